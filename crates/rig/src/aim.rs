//! From a point in the room to pan and tilt, in closed form; and from one moment to the next, so that a lit beam never
//! jumps.
//!
//! A head at pan `p` and tilt `t` shines along `d = R · Rz(p) · Rx(t) · (0, 0, −1)`, which in the fixture frame is
//! `(−sin p · sin t, cos p · sin t, −cos t)` (axes of DIN SPEC 15800, right-hand rule). So
//! `t = ±acos(−d_z)`, `p = atan2(−s·d_x, s·d_y)` with `s` the sign of `t`, and every whole turn of either inside the
//! travel is one more solution. How the unit's axes really run ([`AxisFit`]) and swapped axes are applied last, by
//! [`Head::sent`].

mod follow;

use lanthorn_physics::motion::AxisLimits;
use lanthorn_physics::units::{Radians, Seconds};
use lanthorn_physics::{Direction, Point, Rotation, Span};

pub use self::follow::Aimer;
use crate::sight::{AxisFit, Pose};
use crate::{Rig, Unit};

/// Closer to the pan axis than this (sine of the angle), a beam has no pan of its own.
const ON_AXIS: f64 = 1e-9;

/// How far beyond its end a travel still counts, so that rounding loses no solution that lies right on it.
const END_SLACK: f64 = 1e-9;

/// The most turns of an axis that are looked through to either side.
const MOST_TURNS: i64 = 1000;

/// Time over a whole travel that is assumed where a profile does not say (common practice, no source).
pub const ASSUMED_TRAVEL_TIME: Seconds = Seconds::new(3.0);

/// Time from rest to full speed that is assumed where a profile does not say (common practice, no source).
const ASSUMED_ACCELERATION_TIME: Seconds = Seconds::new(0.5);

/// The geometry of one moving head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// Where its pan and tilt axes cross.
    pub pivot: Point,
    /// Fixture frame to world.
    pub world_from_fixture: Rotation,
    /// Lowest and highest pan.
    pub pan_range: [Radians; 2],
    /// Lowest and highest tilt.
    pub tilt_range: [Radians; 2],
    /// Speed and acceleration of pan.
    pub pan_limits: AxisLimits,
    /// Speed and acceleration of tilt.
    pub tilt_limits: AxisLimits,
    /// Travels as the profile states them.
    travels: [Radians; 2],
    pan: AxisFit,
    tilt: AxisFit,
    swap: bool,
}

/// One way to shine on a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solution {
    /// Pan about home, right-hand rule.
    pub pan: Radians,
    /// Tilt about home, right-hand rule.
    pub tilt: Radians,
    /// Time to get there from where the head is: the slower of the two axes.
    pub time: Span,
}

/// Every solution inside the travel, quickest first. No more than sixteen are kept: enough for a pan travel of four whole
/// turns.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solutions {
    list: [Solution; 16],
    len: usize,
}

impl Head {
    /// The head of a unit; `None` for a light that cannot follow a spot.
    pub fn new(rig: &Rig, unit: &Unit) -> Option<Self> {
        if !unit.moves() {
            return None;
        }
        let movement = unit.profile.movement.as_ref()?;
        let travels = [movement.pan_travel.value()?, movement.tilt_travel.value()?];
        let planned = || Pose {
            pivot: rig.pivot(unit),
            world_from_fixture: unit.world_from_fixture(),
            pan: AxisFit::stated(unit.found.pan_backwards.unwrap_or(unit.pan_invert)),
            tilt: AxisFit::stated(unit.tilt_invert),
        };
        let Pose { pivot, world_from_fixture, pan, tilt } = unit.found.pose.unwrap_or_else(planned);
        let limits = |travel: Radians, time: Option<Seconds>, acceleration: Option<Seconds>| {
            let time = time.unwrap_or(ASSUMED_TRAVEL_TIME);
            AxisLimits::from_travel(travel, time, acceleration.unwrap_or(ASSUMED_ACCELERATION_TIME))
        };
        let [pan_time, tilt_time] = [
            unit.found.pan_time.or(movement.pan_time.value()),
            unit.found.tilt_time.or(movement.tilt_time.value()),
        ];
        Some(Self {
            pivot,
            world_from_fixture,
            pan_range: range(pan, travels[0]),
            tilt_range: range(tilt, travels[1]),
            pan_limits: limits(travels[0] * pan.scale, pan_time, movement.pan_acceleration.value())?,
            tilt_limits: limits(travels[1] * tilt.scale, tilt_time, movement.tilt_acceleration.value())?,
            travels,
            pan,
            tilt,
            swap: unit.swap,
        })
    }

    /// A head by its geometry alone: the right-hand rule on both axes, nothing inverted or swapped, home in the middle
    /// of a stated travel as wide as the range.
    pub fn bare(
        pivot: Point,
        world_from_fixture: Rotation,
        [pan_range, tilt_range]: [[Radians; 2]; 2],
        [pan_limits, tilt_limits]: [AxisLimits; 2],
    ) -> Self {
        let axis =
            |[low, high]: [Radians; 2]| AxisFit { offset: (low + high) / 2.0, ..AxisFit::stated(false) };
        let travel = |[low, high]: [Radians; 2]| high - low;
        Self {
            pivot,
            world_from_fixture,
            pan_range,
            tilt_range,
            pan_limits,
            tilt_limits,
            travels: [travel(pan_range), travel(tilt_range)],
            pan: axis(pan_range),
            tilt: axis(tilt_range),
            swap: false,
        }
    }

    /// How it hangs and how its axes run, as it is aimed by.
    pub const fn pose(&self) -> Pose {
        Pose {
            pivot: self.pivot,
            world_from_fixture: self.world_from_fixture,
            pan: self.pan,
            tilt: self.tilt,
        }
    }

    /// Where it shines at a pan and tilt, in the world.
    pub fn direction(&self, pan: Radians, tilt: Radians) -> Direction {
        beam_in_world(self.world_from_fixture, pan, tilt)
    }

    /// `true` for a direction right along the pan axis: any pan shines there.
    pub fn pan_is_free(&self, beam_in_world: Direction) -> bool {
        let d = self.world_from_fixture.inverse().apply(beam_in_world);
        libm::hypot(d.x(), d.y()) < ON_AXIS
    }

    /// Hands over every pan and tilt inside the travel that shines along a direction, in no order; a pose that is its
    /// own mirror image comes twice. Along the pan axis the current pan is kept, as far as the travel lets it.
    pub fn each_solution(
        &self,
        beam_in_world: Direction,
        current: (Radians, Radians),
        mut take: impl FnMut(Solution),
    ) {
        let d = self.world_from_fixture.inverse().apply(beam_in_world);
        let across = libm::hypot(d.x(), d.y());
        let from_axis = libm::atan2(across, -d.z());
        for sign in [1.0, -1.0] {
            for tilt in turns_inside(sign * from_axis, self.tilt_range) {
                let mut admit = |pan: Radians| {
                    take(Solution { pan, tilt, time: self.travel_time(current, (pan, tilt)) });
                };
                if across < ON_AXIS {
                    admit(held(current.0, self.pan_range));
                } else {
                    turns_inside(libm::atan2(-sign * d.x(), sign * d.y()), self.pan_range).for_each(admit);
                }
            }
        }
    }

    /// Every pan and tilt inside the travel that shines along a direction, quickest from `current` first.
    pub fn solve_direction(&self, beam_in_world: Direction, current: (Radians, Radians)) -> Solutions {
        let mut solutions = Solutions::EMPTY;
        self.each_solution(beam_in_world, current, |solution| solutions.insert(solution));
        solutions
    }

    /// Every pan and tilt inside the travel that shines on a point, quickest from `current` first. A target closer
    /// than a nanometre to the pivot has none.
    pub fn solve(&self, target: Point, current: (Radians, Radians)) -> Solutions {
        self.pivot.towards(target).map_or(Solutions::EMPTY, |d| self.solve_direction(d, current))
    }

    /// The pan and tilt inside the travel that shine nearest to a point which is out of reach; of several, the one that
    /// is there first.
    ///
    /// The cosine of the miss is `sin t · sin T · cos(p − P) + cos t · cos T`, where `P` and `T` would be wanted. For a
    /// given tilt it is greatest at a pan of `P`, half a turn from there, or at an end of the travel; for a given pan
    /// it is `A · cos(t − φ)`. So the best lies among few.
    pub fn nearest(&self, target: Point, current: (Radians, Radians)) -> (Radians, Radians) {
        let Some(wanted) = self.pivot.towards(target) else { return current };
        let d = self.world_from_fixture.inverse().apply(wanted);
        let pan = libm::atan2(-d.x(), d.y());
        let mut best = (current, f64::INFINITY, Span::ZERO);
        let mut weigh = |pan: Radians| {
            let mut weigh = |tilt: Radians| {
                let miss = self.direction(pan, tilt).angle_to(wanted).get();
                let time = self.travel_time(current, (pan, tilt));
                if miss < best.1 - 1e-9 || (miss < best.1 + 1e-9 && time < best.2) {
                    best = ((pan, tilt), miss, time);
                }
            };
            let along = d.y() * libm::cos(pan.get()) - d.x() * libm::sin(pan.get());
            turns_inside(libm::atan2(along, -d.z()), self.tilt_range).for_each(&mut weigh);
            self.tilt_range.into_iter().for_each(weigh);
        };
        turns_inside(pan, self.pan_range).for_each(&mut weigh);
        turns_inside(pan + std::f64::consts::PI, self.pan_range).for_each(&mut weigh);
        weigh(held(current.0, self.pan_range));
        self.pan_range.into_iter().for_each(weigh);
        best.0
    }

    /// Time from one pose to another: the slower of the two axes.
    pub fn travel_time(&self, from: (Radians, Radians), to: (Radians, Radians)) -> Span {
        let pan = self.pan_limits.travel_time((to.0 - from.0).abs());
        let tilt = self.tilt_limits.travel_time((to.1 - from.1).abs());
        pan.max(tilt)
    }

    /// From pan and tilt by the right-hand rule to what this unit must be sent: its signs, and its axes if swapped.
    ///
    /// A light with swapped axes moves its tilt motor by the pan channel, over the whole of the tilt travel, and the
    /// other way round; so each angle is carried over as a fraction of travel.
    pub fn sent(&self, pan: Radians, tilt: Radians) -> (Radians, Radians) {
        let (pan, tilt) = (self.pan.sent(pan), self.tilt.sent(tilt));
        if self.swap { (tilt * self.pan_per_tilt(), pan / self.pan_per_tilt()) } else { (pan, tilt) }
    }

    /// The way back from [`Head::sent`].
    pub fn from_sent(&self, pan: Radians, tilt: Radians) -> (Radians, Radians) {
        let (pan, tilt) =
            if self.swap { (tilt * self.pan_per_tilt(), pan / self.pan_per_tilt()) } else { (pan, tilt) };
        (self.pan.angle(pan), self.tilt.angle(tilt))
    }

    /// Limits of the two axes as they are sent (see [`Head::sent`]).
    pub fn sent_limits(&self) -> [AxisLimits; 2] {
        let scaled = |limits: AxisLimits, factor: f64| AxisLimits {
            speed: limits.speed * factor,
            acceleration: limits.acceleration * factor,
        };
        let pan = scaled(self.pan_limits, 1.0 / self.pan.scale);
        let tilt = scaled(self.tilt_limits, 1.0 / self.tilt.scale);
        if self.swap {
            [scaled(tilt, self.pan_per_tilt()), scaled(pan, 1.0 / self.pan_per_tilt())]
        } else {
            [pan, tilt]
        }
    }

    /// How far the two axes turn from home to either side as they are sent (see [`Head::sent`]).
    pub fn sent_reach(&self) -> [Radians; 2] {
        self.travels.map(|travel| travel / 2.0)
    }

    fn pan_per_tilt(&self) -> f64 {
        self.travels[0] / self.travels[1]
    }
}

impl Solutions {
    const EMPTY: Self =
        Self { list: [Solution { pan: Radians::ZERO, tilt: Radians::ZERO, time: Span::ZERO }; 16], len: 0 };

    /// Quickest first.
    pub fn as_slice(&self) -> &[Solution] {
        &self.list[..self.len]
    }

    /// The quickest.
    pub fn best(&self) -> Option<Solution> {
        self.as_slice().first().copied()
    }

    /// Keeps the list sorted by time; the slowest falls off a full list. A second copy of the same pose (straight
    /// down has only one) is dropped.
    fn insert(&mut self, solution: Solution) {
        let same = |a: Radians, b: Radians| (a - b).abs().get() < 1e-9;
        if self.as_slice().iter().any(|s| same(s.pan, solution.pan) && same(s.tilt, solution.tilt)) {
            return;
        }
        let at = self.as_slice().partition_point(|s| s.time <= solution.time);
        if at == self.list.len() {
            return;
        }
        self.len = (self.len + 1).min(self.list.len());
        self.list[at..self.len].rotate_right(1);
        self.list[at] = solution;
    }
}

/// Where a light shines at a pan and tilt by the right-hand rule.
pub fn beam_in_world(world_from_fixture: Rotation, pan: Radians, tilt: Radians) -> Direction {
    Rotation::about_x(tilt).then(Rotation::about_z(pan)).then(world_from_fixture).apply(Direction::DOWN)
}

/// An angle and all that differ from it by whole turns, inside a range.
fn turns_inside(angle: f64, [low, high]: [Radians; 2]) -> impl Iterator<Item = Radians> {
    let turns = |edge: f64| (edge - angle) / std::f64::consts::TAU;
    let first = (turns(low.get() - END_SLACK).ceil() as i64).max(-MOST_TURNS);
    let last = (turns(high.get() + END_SLACK).floor() as i64).min(MOST_TURNS);
    (first..=last).map(move |turn| Radians::new(angle + turn as f64 * std::f64::consts::TAU))
}

/// The nearest angle inside a range.
fn held(angle: Radians, [low, high]: [Radians; 2]) -> Radians {
    angle.max(low).min(high)
}

/// Lowest and highest angle of an axis that is sent its whole travel.
fn range(axis: AxisFit, travel: Radians) -> [Radians; 2] {
    let reach = travel * (axis.scale / 2.0);
    [axis.offset - reach, axis.offset + reach]
}

#[cfg(test)]
mod tests;
