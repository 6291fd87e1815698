//! From a point in the room to pan and tilt, in closed form.
//!
//! A head at pan `p` and tilt `t` shines along `d = R · Rz(p) · Rx(t) · (0, 0, −1)`, which in the fixture frame is
//! `(−sin p · sin t, cos p · sin t, −cos t)` (axes of DIN SPEC 15800, right-hand rule). So
//! `t = ±acos(−d_z)`, `p = atan2(−s·d_x, s·d_y)` with `s` the sign of `t`, and every whole turn of `p` inside the
//! travel is one more solution. How the unit's axes really run ([`AxisFit`]) and swapped axes are applied last, by
//! [`Head::sent`].

use lanthorn_physics::motion::AxisLimits;
use lanthorn_physics::units::{Radians, Seconds};
use lanthorn_physics::{Direction, Point, Rotation, Span};

use crate::sight::{AxisFit, Pose};
use crate::{Rig, RigPose, RigState, Unit};

/// Closer to straight down (or up) than this, pan no longer matters: sine of the tilt, about 0.0006°.
const NADIR: f64 = 1e-5;

/// Time over a whole travel that is assumed where a profile does not say (common practice, no source).
const ASSUMED_TRAVEL_TIME: Seconds = Seconds::new(3.0);

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

/// Every solution inside the travel, quickest first. No more than eight are kept (a pan travel of two whole turns).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solutions {
    list: [Solution; 8],
    len: usize,
}

/// The heads of a rig, ready to be aimed every tick without allocating.
#[derive(Clone, Debug)]
pub struct Aimer {
    heads: Vec<Option<Head>>,
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

    /// Where it shines at a pan and tilt, in the world.
    pub fn direction(&self, pan: Radians, tilt: Radians) -> Direction {
        beam_in_world(self.world_from_fixture, pan, tilt)
    }

    /// Every pan and tilt inside the travel that shines along a direction, quickest from `current` first.
    pub fn solve_direction(&self, beam_in_world: Direction, current: (Radians, Radians)) -> Solutions {
        let d = self.world_from_fixture.inverse().apply(beam_in_world);
        let across = libm::hypot(d.x(), d.y());
        let tilt = libm::atan2(across, -d.z());
        let mut solutions = Solutions::EMPTY;
        for sign in [1.0, -1.0] {
            let tilt = Radians::new(sign * tilt);
            if across < NADIR {
                // Pan is free: keep it.
                let pan = current.0.max(self.pan_range[0]).min(self.pan_range[1]);
                self.admit(&mut solutions, pan, tilt, current);
                continue;
            }
            let pan = libm::atan2(-sign * d.x(), sign * d.y());
            let turns = |edge: Radians| (edge.get() - pan) / std::f64::consts::TAU;
            // A hair of tolerance, so that a solution on the very end of the travel is not lost to rounding.
            let first = (turns(self.pan_range[0]) - 1e-12).ceil() as i64;
            let last = (turns(self.pan_range[1]) + 1e-12).floor() as i64;
            for turn in first..=last.min(first + 7) {
                let pan = Radians::new(pan + turn as f64 * std::f64::consts::TAU);
                self.admit(&mut solutions, pan, tilt, current);
            }
        }
        solutions
    }

    /// Every pan and tilt inside the travel that shines on a point, quickest from `current` first. A target closer
    /// than a nanometre to the pivot has none.
    pub fn solve(&self, target: Point, current: (Radians, Radians)) -> Solutions {
        self.pivot.towards(target).map_or(Solutions::EMPTY, |d| self.solve_direction(d, current))
    }

    /// The pan and tilt inside the travel that shine nearest to a point which is out of reach.
    pub fn nearest(&self, target: Point, current: (Radians, Radians)) -> (Radians, Radians) {
        let Some(wanted) = self.pivot.towards(target) else { return current };
        let d = self.world_from_fixture.inverse().apply(wanted);
        let tilt = libm::atan2(libm::hypot(d.x(), d.y()), -d.z());
        let clamp =
            |angle: f64, range: [Radians; 2]| Radians::new(angle.clamp(range[0].get(), range[1].get()));
        let mut best = (current, f64::INFINITY, Span::ZERO);
        for sign in [1.0, -1.0] {
            for turn in [-1.0, 0.0, 1.0] {
                let pan = libm::atan2(-sign * d.x(), sign * d.y()) + turn * std::f64::consts::TAU;
                let pose = (clamp(pan, self.pan_range), clamp(sign * tilt, self.tilt_range));
                let miss = self.direction(pose.0, pose.1).angle_to(wanted).get();
                let time = self.travel_time(current, pose);
                if miss < best.1 - 1e-9 || (miss < best.1 + 1e-9 && time < best.2) {
                    best = (pose, miss, time);
                }
            }
        }
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

    fn pan_per_tilt(&self) -> f64 {
        self.travels[0] / self.travels[1]
    }

    fn admit(&self, solutions: &mut Solutions, pan: Radians, tilt: Radians, current: (Radians, Radians)) {
        let inside = |angle: Radians, [low, high]: [Radians; 2]| {
            angle.get() >= low.get() - 1e-9 && angle.get() <= high.get() + 1e-9
        };
        if inside(pan, self.pan_range) && inside(tilt, self.tilt_range) {
            solutions.insert(Solution { pan, tilt, time: self.travel_time(current, (pan, tilt)) });
        }
    }
}

impl Solutions {
    const EMPTY: Self =
        Self { list: [Solution { pan: Radians::ZERO, tilt: Radians::ZERO, time: Span::ZERO }; 8], len: 0 };

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

impl Aimer {
    /// Ready to aim a rig.
    pub fn new(rig: &Rig) -> Self {
        Self { heads: rig.units.iter().map(|unit| Head::new(rig, unit)).collect() }
    }

    /// Puts another head in the place of a unit's, as it was sighted in. Nothing happens for a light that cannot follow
    /// a spot. Does not allocate.
    pub fn renew(&mut self, unit: usize, head: Head) {
        if let Some(Some(old)) = self.heads.get_mut(unit) {
            *old = head;
        }
    }

    /// The head of a unit by its place in the rig; `None` for a light that cannot follow a spot.
    pub fn head(&self, unit: usize) -> Option<&Head> {
        self.heads.get(unit).and_then(Option::as_ref)
    }

    /// What every light is to do in its own frame: the solution nearest in time to where it was sent last. A point
    /// out of reach gets the nearest pose inside the travel; a light without an aim stays where it is.
    pub fn aim(&self, wished: &RigState, sent_last: &RigPose, pose: &mut RigPose) {
        for (index, wish) in wished.units.iter().enumerate() {
            let (last, out) = (&sent_last.units[index], &mut pose.units[index]);
            (out.pan, out.tilt) = match (&self.heads[index], wish.aim) {
                _ if wish.sent.is_some() => wish.sent.unwrap_or_default(),
                (Some(head), Some(target)) => {
                    let current = head.from_sent(last.pan, last.tilt);
                    let aimed = head.solve(target, current).best();
                    let (pan, tilt) =
                        aimed.map_or_else(|| head.nearest(target, current), |best| (best.pan, best.tilt));
                    head.sent(pan, tilt)
                }
                _ => (last.pan, last.tilt),
            };
            out.beam = wish.beam;
            out.haze = wish.haze;
            out.fan = wish.fan;
            out.heads.copy_from_slice(&wish.heads);
        }
    }
}

/// Where a light shines at a pan and tilt by the right-hand rule.
pub fn beam_in_world(world_from_fixture: Rotation, pan: Radians, tilt: Radians) -> Direction {
    Rotation::about_x(tilt).then(Rotation::about_z(pan)).then(world_from_fixture).apply(Direction::DOWN)
}

/// Lowest and highest angle of an axis that is sent its whole travel.
fn range(axis: AxisFit, travel: Radians) -> [Radians; 2] {
    let reach = travel * (axis.scale / 2.0);
    [axis.offset - reach, axis.offset + reach]
}

#[cfg(test)]
mod tests;
