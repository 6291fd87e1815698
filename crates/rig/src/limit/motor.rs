//! Motors: a lit head is led no faster than it can turn.

use lanthorn_physics::Span;
use lanthorn_physics::motion::{Axis, AxisLimits};
use lanthorn_physics::units::Radians;

use crate::aim::Head;

/// A target that moves faster than so many times what the motor can is another place, not a path.
const STEP: f64 = 1.5;

/// So near to a stop is at it, radians.
const ROUNDING: f64 = 1e-9;

#[derive(Clone, Copy, Debug)]
pub(super) struct Motor {
    /// What is sent.
    axis: Axis,
    target: Radians,
    limits: AxisLimits,
    /// It turns so far from home to either side.
    reach: Radians,
    /// How much longer it is to take on a sweep on which the other axis needs more time.
    slow: f64,
    /// Where the motor is, as far as its limits tell: behind `axis` when it was sent off dark.
    pub(super) body: Axis,
    behind: bool,
}

/// Leads both motors of a lit head on, towards where they are wanted.
pub(super) fn lead(motors: &mut [Motor; 2], wanted: [Radians; 2], dt: Span) -> (Radians, Radians) {
    let moved = |motor: &Motor, wanted: Radians| (wanted - motor.target).abs().get();
    let steps = motors.iter().zip(wanted).any(|(motor, wanted)| {
        moved(motor, wanted) > motor.limits.speed * dt.secs() * STEP && dt > Span::ZERO
    });
    if steps {
        let secs = |motor: &Motor, wanted: Radians| motor.limits.travel_secs(wanted - motor.axis.position);
        let [pan, tilt] = [0, 1].map(|axis| secs(&motors[axis], wanted[axis]).unwrap_or(0.0));
        let longest = pan.max(tilt);
        for ((motor, own), wanted) in motors.iter_mut().zip([pan, tilt]).zip(wanted) {
            motor.slow = if own > 0.0 { (longest / own).min(motor.slowest(wanted)) } else { 1.0 };
        }
    } else if motors.iter().zip(wanted).any(|(motor, wanted)| moved(motor, wanted) > 1e-9) {
        motors.iter_mut().for_each(|motor| motor.slow = 1.0);
    }
    let [pan, tilt] = motors;
    (pan.lead(wanted[0], steps, dt), tilt.lead(wanted[1], steps, dt))
}

impl Motor {
    /// Pan and tilt of a head, at home and at rest.
    pub(super) fn both(head: &Head) -> [Self; 2] {
        let home = Axis::at_rest(Radians::ZERO);
        // What is sent is in the unit's own sense: with swapped axes its pan value moves the tilt motor.
        let ([pan, tilt], reach) = (head.sent_limits(), head.sent_reach());
        [(pan, reach[0]), (tilt, reach[1])].map(|(limits, reach)| Self {
            axis: home,
            target: Radians::ZERO,
            limits,
            reach,
            slow: 1.0,
            body: home,
            behind: false,
        })
    }

    /// Is led by the limits of another head from now on.
    pub(super) fn renew(motors: &mut [Self; 2], head: &Head) {
        let of_axes = head.sent_limits().into_iter().zip(head.sent_reach());
        for (motor, (limits, reach)) in motors.iter_mut().zip(of_axes) {
            (motor.limits, motor.reach) = (limits, reach);
        }
    }

    /// Goes on as another did, by its own limits.
    pub(super) fn take_over(&mut self, old: &Self) {
        *self = Self { limits: self.limits, reach: self.reach, ..*old };
    }

    /// Is taken to be here, at rest.
    pub(super) fn place(&mut self, at: Radians) {
        (self.axis, self.body, self.target) = (Axis::at_rest(at), Axis::at_rest(at), at);
    }

    fn lead(&mut self, target: Radians, steps: bool, dt: Span) -> Radians {
        // A target that runs on at a speed the motor can follow is followed without lagging behind it.
        let speed = if dt > Span::ZERO && !steps { (target - self.target).get() / dt.secs() } else { 0.0 };
        let speed = if speed.abs() <= self.limits.speed { speed } else { 0.0 };
        let before = self.axis;
        self.axis.follow(target, speed, self.limits.slowed(self.slow), dt);
        if !self.can_stop_inside() {
            // It followed a path up to its stop at speed: it brakes in time to rest there.
            let end = self.reach.get().copysign(self.axis.velocity);
            self.axis = before;
            self.axis.step(Radians::new(end), self.limits, dt);
        }
        self.target = target;
        if self.behind {
            self.body.follow(self.axis.position, self.axis.velocity, self.limits, dt);
            self.behind = (self.body.position - self.axis.position).abs().get() > 1e-6;
        } else {
            self.body = self.axis;
        }
        self.axis.position
    }

    /// How much longer it may take to a target without running past it, as fast as it is: 1 when it does so anyway.
    fn slowest(&self, target: Radians) -> f64 {
        let Axis { position, velocity } = self.axis;
        if velocity.abs() <= 0.0 {
            return f64::INFINITY;
        }
        let ahead = ((target - position).get() * velocity.signum()).max(0.0);
        ((2.0 * self.limits.acceleration * ahead).sqrt() / velocity.abs()).max(1.0)
    }

    fn can_stop_inside(&self) -> bool {
        let Axis { position, velocity } = self.axis;
        let rest = position.get() + velocity * velocity.abs() / (2.0 * self.limits.acceleration);
        rest.abs() <= self.reach.get() + ROUNDING
    }

    /// Sent there at once, dark; the motor gets there when it can. Where it was before the first tick nobody knows: it
    /// had time enough.
    pub(super) fn send_off(&mut self, target: Radians, begun: bool, dt: Span) {
        (self.axis, self.target, self.slow) = (Axis::at_rest(target), target, 1.0);
        if begun {
            self.body.step(target, self.limits, dt);
        } else {
            self.body = self.axis;
        }
        self.behind = !self.body.has_arrived(target);
    }
}
