//! What is known about a light before it is solved.

use glam::DVec3;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Point, Rotation};

use super::fit::{DEGREE, Prior, Seen};
use super::{NotYet, sent_of_value};
use crate::{Rig, Unit};

/// A place in the plan was measured with a tape, give or take this (common practice, no source).
pub const TAPE: Metres = Metres::new(0.05);

/// Angle of tilt when home is sent: about zero, give or take this (common practice, no source).
const HOME_SD: f64 = 4.0 * DEGREE;

/// Largest coordinate and travel that make sense, metres and radians.
const MOST: f64 = 1e4;

/// What is known about a light, ready to be solved.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What was sighted, in the order of sighting.
    pub sights: Vec<Sighted>,
    /// Travels of pan and tilt as the profile states them, above zero.
    pub travels: [Radians; 2],
    /// Steps of a channel that lead over the whole travel: 65 535, or 255 for a coarse channel alone.
    pub steps: f64,
    /// How it hangs or stands, as far as that is known.
    pub mount: Mount,
    /// Where its pivot is, and the standard deviation of each coordinate; none: anywhere inside `bounds`.
    pub position: Option<(Point, Metres)>,
    /// Watched in the sign check: pan runs against the right-hand rule about the way `mount` has it hang.
    pub pan_backwards: Option<bool>,
    /// The room.
    pub bounds: Bounds,
}

/// A sight as the solver takes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighted {
    /// Name of the mark, for people.
    pub name: Option<String>,
    /// Where the beam was.
    pub at: Point,
    /// What was sent for pan, about home, by the stated travel.
    pub pan: Radians,
    /// What was sent for tilt.
    pub tilt: Radians,
}

/// How a light hangs or stands, as far as that is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mount {
    /// Nothing is known.
    Unknown,
    /// The angle between its pan axis, from the base plate to the head, and straight down, to within about ten degrees:
    /// zero hangs, half a turn stands. How it is turned is not known.
    Leaning(Radians),
    /// Fixture frame to world as the plan has it, to within about ten degrees.
    As(Rotation),
}

/// A box parallel to the walls: the room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Its corner of least x, y and z.
    pub low: Point,
    /// Its corner of greatest x, y and z.
    pub high: Point,
}

impl Problem {
    /// The problem of one light of a rig: its sights, its place in the plan as measured with a tape, the way it hangs
    /// there, and the sign check. None for a light that cannot follow a spot.
    pub fn of_unit(rig: &Rig, unit: &Unit) -> Option<Self> {
        if !unit.moves() {
            return None;
        }
        let movement = unit.profile.movement.as_ref()?;
        let travels = [movement.pan_travel.value()?, movement.tilt_travel.value()?];
        let sighted = |sight: &super::Sight| Sighted {
            name: sight.mark.clone(),
            at: sight.at,
            pan: sent_of_value(sight.pan, travels[0]),
            tilt: sent_of_value(sight.tilt, travels[1]),
        };
        let room = &rig.room;
        Some(Self {
            sights: unit.found.sights.iter().map(sighted).collect(),
            travels,
            steps: 65_535.0,
            mount: Mount::As(unit.world_from_fixture()),
            position: Some((rig.pivot(unit), TAPE)),
            pan_backwards: unit.found.pan_backwards,
            bounds: Bounds {
                low: Point::new(room.x[0].get(), room.y[0].get(), 0.0),
                high: Point::new(room.x[1].get(), room.y[1].get(), room.height.get()),
            },
        })
    }

    /// Refuses numbers that mean nothing.
    pub(super) fn check(&self) -> Result<(), NotYet> {
        let fits = |point: Point| point.is_finite() && <[f64; 3]>::from(point).iter().all(|x| x.abs() < MOST);
        let wrong = |text: String| Err(NotYet::Wrong(text));
        for (travel, axis) in self.travels.iter().zip(["pan", "tilt"]) {
            if !(travel.get() > 0.0 && travel.get() < MOST) {
                return wrong(format!("the travel of {axis} must be above zero and finite"));
            }
        }
        if !(self.steps >= 1.0 && self.steps.is_finite()) {
            return wrong("the travel must have one step at least".to_owned());
        }
        for (index, sight) in self.sights.iter().enumerate() {
            if !fits(sight.at) {
                return wrong(format!("mark {}: its place must be finite and within 10 km", index + 1));
            }
            if !(sight.pan.abs().get() < MOST && sight.tilt.abs().get() < MOST) {
                return wrong(format!("mark {}: what was sent must be finite", index + 1));
            }
        }
        if let Some((at, sd)) = self.position
            && !(fits(at) && sd.get() >= 0.0 && sd.get() < MOST)
        {
            return wrong("the place of the light must be finite, its uncertainty zero or more".to_owned());
        }
        let (low, high) = (vector(self.bounds.low), vector(self.bounds.high));
        if !(fits(self.bounds.low) && fits(self.bounds.high) && low.cmple(high).all()) {
            return wrong("the room must have finite walls, the lower before the upper".to_owned());
        }
        Ok(())
    }

    pub(super) fn seen(&self) -> Vec<Seen> {
        let seen = |sight: &Sighted| Seen { at: vector(sight.at), sent: [sight.pan.get(), sight.tilt.get()] };
        self.sights.iter().map(seen).collect()
    }

    /// What is known beforehand, with scales as wide as given.
    pub(super) fn prior(&self, scale_sd: [f64; 2]) -> Prior {
        let (at, at_sd) = match self.position {
            Some((at, sd)) => (vector(at), DVec3::splat(sd.get().max(0.005))),
            None => {
                let (low, high) = (vector(self.bounds.low), vector(self.bounds.high));
                ((low + high) * 0.5, ((high - low) * 0.6).max(DVec3::ONE))
            }
        };
        // Variance of a value that was rounded to the nearest step.
        let step = self.travels[0].get().max(self.travels[1].get()) / self.steps;
        Prior { at, at_sd, offset_sd: HOME_SD, scale_sd, grain: step * step / 12.0 }
    }
}

pub(super) fn vector(point: Point) -> DVec3 {
    DVec3::from_array(point.into())
}

pub(super) fn point(vector: DVec3) -> Point {
    Point::from(vector.to_array())
}
