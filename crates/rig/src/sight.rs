//! Sighting in: where a light really hangs and how its axes really run, from a few marks that it was aimed at.
//!
//! A [`Sight`] says what was sent while the beam was on a known point. [`Pose`] is what such sights, taken together,
//! say about the light; [`crate::aim::Head`] and the stand-in use it instead of the plan's place and turn.
//!
//! [`solve`] takes a [`Problem`] to a [`Solved`], or to what is still missing ([`NotYet`]); [`words`] puts either into
//! sentences. What the marks cannot tell: tilt running backwards is the same light turned by half a turn of pan, so that
//! is never reported against the plan; with the position unknown, marks in one plane fit a mirrored light as well.

use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Rotation};

mod choose;
mod fit;
mod matrix;
mod predict;
mod problem;
mod solve;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod trials;
mod words;

pub use predict::{Sent, sent_for};
pub use problem::{Bounds, Mount, Problem, Sighted, TAPE};
pub use solve::{Miss, NotYet, Solved, SpotAt, Travel, enough, next_mark, solve};
pub use words::words;

/// One record: this light's beam is on this point at these pan and tilt values.
#[derive(Clone, Debug, PartialEq)]
pub struct Sight {
    /// Name of the mark that was sighted, for people; none for a bare point.
    pub mark: Option<String>,
    /// Where the beam was, in the world. It keeps what it was when the mark is moved later.
    pub at: Point,
    /// Value sent for pan in 16 bit, coarse times 256 plus fine: 0 to 65 535 is the profile's whole travel, its middle
    /// is home. Axes of a light with swapped channels are named by what moves, not by the channel.
    pub pan: u16,
    /// The same for tilt.
    pub tilt: u16,
}

/// How one axis really runs: angle by the right-hand rule = ±`scale` × (sent angle) + `offset`.
///
/// The sent angle is the profile's: (value / 65535 − ½) × stated travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisFit {
    /// It runs the other way.
    pub inverted: bool,
    /// True travel over the profile's travel, above zero; 0.92 means that it travels 8 % less.
    pub scale: f64,
    /// Angle when home is sent.
    pub offset: Radians,
}

/// Where a light really hangs and how its axes run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Where its pan and tilt axes cross, in the world.
    pub pivot: Point,
    /// Fixture frame to world.
    pub world_from_fixture: Rotation,
    /// Pan. Its offset is zero: a turn of the whole light says the same.
    pub pan: AxisFit,
    /// Tilt.
    pub tilt: AxisFit,
}

impl AxisFit {
    /// As the profile says, perhaps the other way round.
    pub const fn stated(inverted: bool) -> Self {
        Self { inverted, scale: 1.0, offset: Radians::ZERO }
    }

    /// From what is sent, radians about home by the stated travel, to the angle by the right-hand rule.
    pub fn angle(&self, sent: Radians) -> Radians {
        sent * (if self.inverted { -self.scale } else { self.scale }) + self.offset
    }

    /// The way back from [`AxisFit::angle`].
    pub fn sent(&self, angle: Radians) -> Radians {
        (angle - self.offset) / (if self.inverted { -self.scale } else { self.scale })
    }
}

/// What is sent, radians about home, of a 16-bit value over a travel.
pub fn sent_of_value(value: u16, travel: Radians) -> Radians {
    travel * (f64::from(value) / 65_535.0 - 0.5)
}

/// The nearest 16-bit value of what is sent; beyond the travel, its end.
pub fn value_of_sent(sent: Radians, travel: Radians) -> u16 {
    // `as` holds to the range of u16.
    ((sent / travel + 0.5) * 65_535.0).round() as u16
}
