//! Figures: paths that spots run along, in metres in the room.
//!
//! A figure lies in a plane about a centre. Seen from the side to which the plane faces (from above for the floor, from
//! inside the room for a wall), `right` and `up` are its axes: on the floor `up` is away from the audience. A *round* is
//! once through the figure; the *phase* is a light's place in it, 0 to 1.
//!
//! | shape | where the spot is at phase p |
//! | --- | --- |
//! | circle | clockwise from the top: `D/2 · (sin 2πp, cos 2πp)` |
//! | eight | a lying eight from its crossing, `W/2 · sin t` right, `H/2 · sin 2t` up, with `t` so that the speed is even |
//! | line | to and fro from the middle, even speed with a gentle turn at each end |
//! | sweep | the same from the left end, all lights together |
//! | fan | the lights spread out over a line from its middle and close again, first left, last right |
//! | wave | `H/2 · sin 2πp` up: one after another |
//! | hold | as a circle, but nobody moves: the lights stand around it |
//! | wander | a smooth random way inside a circle, at even speed, of each light its own |
//!
//! A *gentle turn*: within an eighth of the length from an end ([`TURN`]) the spot slows down evenly and comes back the
//! same way, so that a motor can follow. A speed in metres a second is the speed along the path; where that varies (line,
//! sweep, fan: the turns; wave: all the way; fan: the inner lights) it is the fastest.

mod course;
mod path;
mod place;

use lanthorn_physics::Span;
use lanthorn_physics::units::{Metres, MetresPerSecond, Radians};

use crate::Aim;

pub use course::Course;
pub use path::{Path, TURN};
pub use place::Place;

/// A path for spots.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its name, unique among figures.
    pub name: String,
    /// What it looks like, and how large.
    pub shape: Shape,
    /// The plane that it lies in.
    pub plane: Plane,
    /// Turn in its plane, right-handed (anticlockwise) seen from the side to which the plane faces.
    pub turn: Radians,
    /// How fast.
    pub pace: Pace,
    /// Runs the other way round.
    pub backwards: bool,
    /// How far apart the lights are, rounds from the first light to one past the last; 1 is evenly round, 0 together.
    pub phase: f64,
    /// How the phase goes over the lights.
    pub phase_spread: PhaseSpread,
    /// What it runs about; none: each light's own aim.
    pub centre: Option<Aim>,
}

/// What a figure looks like. Sizes are above zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Round and round.
    Circle {
        /// Diameter.
        across: Metres,
    },
    /// A lying eight.
    Eight {
        /// From one end to the other.
        width: Metres,
        /// Of its loops.
        height: Metres,
    },
    /// To and fro along a straight line.
    Line {
        /// From end to end.
        length: Metres,
    },
    /// All lights together along a straight line, from one end to the other and back.
    Sweep {
        /// From end to end.
        length: Metres,
    },
    /// The lights spread out along a line and close again.
    Fan {
        /// From the first light to the last when it is open.
        width: Metres,
    },
    /// Up and down, one after another.
    Wave {
        /// From the lowest to the highest.
        height: Metres,
    },
    /// The lights stand around a circle.
    Hold {
        /// Diameter.
        across: Metres,
    },
    /// Each light goes a random way inside a circle.
    Wander {
        /// Diameter.
        across: Metres,
    },
}

/// The plane that a figure lies in: which way it faces. Where it lies comes from the centre.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Plane {
    /// Level, facing up.
    #[default]
    Floor,
    /// Upright, facing the audience.
    BackWall,
    /// Upright, facing right.
    LeftWall,
    /// Upright, facing left.
    RightWall,
    /// Upright, facing away from the audience.
    FrontWall,
    /// Facing along a vector of any length, in the world.
    Facing([f64; 3]),
}

/// How fast a figure runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pace {
    /// Along the path.
    Speed(MetresPerSecond),
    /// Beats a round.
    Beats(f64),
    /// Time for a round.
    Round(Span),
}

/// How the phase goes over a group.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PhaseSpread {
    /// From the first light to the last.
    #[default]
    InOrder,
    /// From the middle outwards.
    FromTheMiddle,
    /// From the first and the last light inwards; the second half of the group runs the mirror image of the first.
    Mirrored,
}

impl Shape {
    /// Sizes in metres: the larger extent first as a person gives it.
    pub fn sizes(self) -> (Metres, Option<Metres>) {
        match self {
            Self::Eight { width, height } => (width, Some(height)),
            Self::Line { length: size } | Self::Sweep { length: size } => (size, None),
            Self::Fan { width: size } | Self::Wave { height: size } => (size, None),
            Self::Circle { across: size } | Self::Hold { across: size } | Self::Wander { across: size } => {
                (size, None)
            }
        }
    }

    /// `true` when a phase between the lights means something: a sweep and a fan are of all lights together, and those
    /// that wander go each its own way.
    pub fn takes_phase(self) -> bool {
        !matches!(self, Self::Sweep { .. } | Self::Fan { .. } | Self::Wander { .. })
    }

    /// The phase over the lights when nobody says another: evenly round where the lights would else do the same and
    /// nothing of the shape would be seen, together otherwise.
    pub fn usual_phase(self) -> f64 {
        match self {
            Self::Wave { .. } | Self::Hold { .. } => 1.0,
            _ => 0.0,
        }
    }

    /// `false` for lights that only stand.
    pub fn moves(self) -> bool {
        !matches!(self, Self::Hold { .. })
    }
}

#[cfg(test)]
mod tests;
