//! A lit head that turns over: on a fade whose straight path it cannot keep to the end, both motors go evenly to another
//! way to shine there, and arrive when the fade ends.

use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Span};

use crate::AimFade;
use crate::aim::{Head, held};

/// Part of a motor's acceleration with which it is stopped when it moves as the turn begins: the rest is for the turn.
const STOPPING: f64 = 0.5;
/// A turn for which there is no more time than the motors need and a tenth is left to them: led all the way at their
/// limits, they would lag behind.
const HARDLY: f64 = 1.1;
/// An end that moves by more than this within a tick is another place, radians of either motor.
const SAME_WAY: f64 = 0.2;
/// So near to its end a motor is there, radians: a tick at a crawl.
const THERE: f64 = 2e-3;

/// A turn that is under way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Turn {
    /// Where it would come to rest if it were only stopped.
    from: (Radians, Radians),
    to: (Radians, Radians),
    /// What is left of the speed that it had when it began, rad/s.
    speed: [f64; 2],
    /// Of its time, 0 to 1; none when both motors just go there as quickly as they can.
    part: Option<f64>,
}

impl Turn {
    /// Over to the way to a point that takes the smallest turn, of nearly equal ones the one that ends furthest from a
    /// stop of pan. None where the point is out of reach.
    pub(super) fn begin(head: &Head, to: Point, at: (Radians, Radians), speed: [f64; 2]) -> Option<Self> {
        let [pan, tilt] = stopping_ways(head, speed);
        let from = (held(at.0 + pan, head.pan_range), held(at.1 + tilt, head.tilt_range));
        head.solve(to, from).best()?;
        Some(Self { from, to: head.choose(to, from), speed, part: Some(0.0) })
    }

    /// Goes on for `dt`, after which `fade` has what it has left. Hands over pan and tilt.
    pub(super) fn go(&mut self, head: &Head, fade: AimFade, dt: Span) -> (Radians, Radians) {
        // The end may have moved a little: a figure runs there, and the tempo is another.
        let near = |a: Radians, b: Radians| (a - b).abs().get() < SAME_WAY;
        let same = |to: (Radians, Radians)| near(to.0, self.to.0) && near(to.1, self.to.1);
        let end = head.solve(fade.to, self.to).best().map(|way| (way.pan, way.tilt));
        self.to = end.filter(|to| same(*to)).unwrap_or(self.to);
        let limits = [head.pan_limits, head.tilt_limits];
        let ways = [self.to.0 - self.from.0, self.to.1 - self.from.1];
        let own = |axis: usize| limits[axis].travel_secs(ways[axis]).unwrap_or(0.0);
        let (dt, needed) = (dt.secs(), own(0).max(own(1)) * HARDLY);
        self.part = self.part.and_then(|part| {
            let (rest, left) = (1.0 - part, fade.left.secs() + dt);
            (left > dt && left >= needed * rest).then_some(part + rest * dt / left)
        });
        let Some(part) = self.part else { return self.to };
        for (speed, limits) in self.speed.iter_mut().zip(limits) {
            let brake = STOPPING * limits.acceleration * dt;
            *speed -= speed.clamp(-brake, brake);
        }
        let to_stop = stopping_ways(head, self.speed);
        let angle = |axis: usize, from: Radians, range: [Radians; 2]| {
            let way = ways[axis] * limits[axis].part_of_way(ways[axis], part);
            held(from + way - to_stop[axis], range)
        };
        (angle(0, self.from.0, head.pan_range), angle(1, self.from.1, head.tilt_range))
    }

    /// Its time is over, or it was left to the motors, and they have arrived.
    pub(super) fn is_over(&self, at: (Radians, Radians)) -> bool {
        let there = |at: Radians, to: Radians| (at - to).abs().get() < THERE;
        self.part.is_none() && there(at.0, self.to.0) && there(at.1, self.to.1)
    }
}

/// How far both motors run on while they are stopped.
fn stopping_ways(head: &Head, speed: [f64; 2]) -> [Radians; 2] {
    [(speed[0], head.pan_limits), (speed[1], head.tilt_limits)].map(|(speed, limits)| {
        let brake = STOPPING * limits.acceleration;
        Radians::new(if brake > 0.0 { speed * speed.abs() / (2.0 * brake) } else { 0.0 })
    })
}
