//! What stands between a wish and the lights: motor speed and flash rate. Nothing reaches `encode` unlimited.

use lanthorn_physics::motion::{Axis, AxisLimits};
use lanthorn_physics::units::{Hertz, Radians};
use lanthorn_physics::{Instant, Span};

use crate::aim::Head;
use crate::{Rig, RigPose, Run};

/// A target that moves faster than so many times what the motor can is another place, not a path.
const STEP: f64 = 1.5;

/// So near to a stop is at it, radians.
const ROUNDING: f64 = 1e-9;

/// Something that went through the limits. Only this module can make one.
#[derive(Clone, Debug, PartialEq)]
pub struct Limited<T>(T);

impl<T> Limited<T> {
    /// What may be sent.
    pub const fn get(&self) -> &T {
        &self.0
    }
}

/// Keeps what is sent inside the limits from one tick to the next.
///
/// - *Motors*: a lit head is led no faster than its profile's speed and acceleration, so that what is sent is where
///   the light really is. Sent to another place, both axes arrive together: the quicker one takes as long as the other,
///   and the spot runs there in one sweep. A dark head may be sent anywhere at once.
/// - *Strobes*: the lights that strobe at the same time do not keep time together, so their rates add up
///   (every rate counts in full). Each gets an equal whole part of the flash limit; those beyond it stay steady.
/// - *Pulses*: a head that rises by a tenth or more after having fallen by a tenth or more has flashed; when it has
///   flashed as often as the limit allows within the last second, it is held down until that second has passed.
///   (Counting of W3C WCAG 2.3.1: a pair of opposite changes of 10 % or more.)
#[derive(Clone, Debug)]
pub struct Limiter {
    flash: Hertz,
    motors: Vec<Option<[Motor; 2]>>,
    pulses: Vec<Vec<Pulses>>,
    repeats: Vec<bool>,
    last: Option<Instant>,
    sent: Limited<RigPose>,
}

#[derive(Clone, Copy, Debug)]
struct Motor {
    /// What is sent.
    axis: Axis,
    target: Radians,
    limits: AxisLimits,
    /// It turns so far from home to either side.
    reach: Radians,
    /// How much longer it is to take on a sweep on which the other axis needs more time.
    slow: f64,
    /// Where the motor is, as far as its limits tell: behind `axis` when it was sent off dark.
    body: Axis,
    behind: bool,
}

/// The recent flashes of one head.
#[derive(Clone, Copy, Debug)]
struct Pulses {
    /// Lowest level since the last fall, or highest since the last rise.
    extreme: f64,
    fallen: bool,
    /// Moments of the last flashes, oldest first; a ring of [`Pulses::MOST`].
    flashes: [Option<Instant>; Pulses::MOST],
}

impl Limiter {
    /// At the start every light is dark and its motors are at home.
    pub fn new(rig: &Rig) -> Self {
        let motors = |unit| {
            let head = Head::new(rig, unit)?;
            let home = Axis::at_rest(Radians::ZERO);
            let motor = |limits, reach| Motor {
                axis: home,
                target: Radians::ZERO,
                limits,
                reach,
                slow: 1.0,
                body: home,
                behind: false,
            };
            // What is sent is in the unit's own sense: with swapped axes its pan value moves the tilt motor.
            let ([pan, tilt], reach) = (head.sent_limits(), head.sent_reach());
            Some([motor(pan, reach[0]), motor(tilt, reach[1])])
        };
        let heads = |unit: &crate::Unit| vec![Pulses::NONE; usize::from(unit.mode().heads)];
        Self {
            flash: rig.limits.flash,
            motors: rig.units.iter().map(motors).collect(),
            pulses: rig.units.iter().map(heads).collect(),
            repeats: rig
                .units
                .iter()
                .map(|unit| matches!(unit.run, Run::Driven { shares: Some(_), .. }))
                .collect(),
            last: None,
            sent: Limited(RigPose::dark(rig)),
        }
    }

    /// Leads a unit's motors by the limits of another head from now on; they go on from where they are. Does not
    /// allocate.
    pub fn renew(&mut self, unit: usize, head: &Head) {
        if let Some(Some(motors)) = self.motors.get_mut(unit) {
            let of_axes = head.sent_limits().into_iter().zip(head.sent_reach());
            for (motor, (limits, reach)) in motors.iter_mut().zip(of_axes) {
                (motor.limits, motor.reach) = (limits, reach);
            }
        }
    }

    /// Where a unit's motors are taken to be, pan and tilt as they are sent; `None` for a light that cannot follow a
    /// spot.
    pub fn motors(&self, unit: usize) -> Option<(Radians, Radians)> {
        let [pan, tilt] = self.motors.get(unit)?.as_ref()?;
        Some((pan.body.position, tilt.body.position))
    }

    /// What was sent last.
    pub const fn sent(&self) -> &Limited<RigPose> {
        &self.sent
    }

    /// Takes the wanted poses for the moment `now` and says what may be sent. Does not allocate.
    pub fn limit(&mut self, wanted: &RigPose, now: Instant) -> &Limited<RigPose> {
        let dt = self.last.map_or(Span::ZERO, |last| now - last);
        let begun = self.last.is_some();
        self.last = Some(now);
        let share = self.strobe_share(wanted);
        let mut strobing = 0;
        for (index, want) in wanted.units.iter().enumerate() {
            let out = &mut self.sent.0.units[index];
            let was_lit = out.heads.iter().any(|head| head.level > 0.0);
            let is_lit = want.heads.iter().any(|head| head.level > 0.0);
            if let Some(motors) = &mut self.motors[index] {
                (out.pan, out.tilt) = if was_lit && is_lit {
                    lead(motors, [want.pan, want.tilt], dt)
                } else {
                    motors[0].send_off(want.pan, begun, dt);
                    motors[1].send_off(want.tilt, begun, dt);
                    (want.pan, want.tilt)
                };
            } else {
                (out.pan, out.tilt) = (want.pan, want.tilt);
            }
            out.beam = want.beam;
            out.haze = want.haze;
            out.fan = want.fan;
            let strobes = is_lit && want.heads.iter().any(|head| head.strobe.is_some());
            if strobes && !self.repeats[index] {
                strobing += 1;
            }
            let allowed = share.filter(|_| f64::from(strobing) <= self.flash.get());
            for (head, want) in want.heads.iter().enumerate() {
                out.heads[head] = *want;
                out.heads[head].level = self.pulses[index][head].limit(want.level, self.flash, now);
                out.heads[head].strobe = want.strobe.and_then(|rate| allowed.map(|most| rate.min(most)));
            }
        }
        &self.sent
    }

    /// The rate each strobing light may have; `None` when not even one flash a second is left.
    fn strobe_share(&self, wanted: &RigPose) -> Option<Hertz> {
        let strobes = |index: &usize| {
            let heads = &wanted.units[*index].heads;
            !self.repeats[*index] && heads.iter().any(|head| head.strobe.is_some() && head.level > 0.0)
        };
        let count = (0..wanted.units.len()).filter(strobes).count().max(1);
        let most = (self.flash.get() / count as f64).floor();
        if most >= 1.0 {
            Some(Hertz::new(if count == 1 { self.flash.get() } else { most }))
        } else {
            // More lights than flashes: the first few may, once a second each.
            (self.flash.get() >= 1.0).then_some(Hertz::new(1.0))
        }
    }
}

/// Leads both motors of a lit head on, towards where they are wanted.
fn lead(motors: &mut [Motor; 2], wanted: [Radians; 2], dt: Span) -> (Radians, Radians) {
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
    fn send_off(&mut self, target: Radians, begun: bool, dt: Span) {
        (self.axis, self.target, self.slow) = (Axis::at_rest(target), target, 1.0);
        if begun {
            self.body.step(target, self.limits, dt);
        } else {
            self.body = self.axis;
        }
        self.behind = !self.body.has_arrived(target);
    }
}

impl Pulses {
    /// How many flashes of the last second are kept. A flash takes two frames at least, so forty frames a second hold
    /// no more than twenty.
    const MOST: usize = 32;
    const NONE: Self = Self { extreme: 0.0, fallen: true, flashes: [None; Self::MOST] };
    /// Smallest change that counts, of full light (W3C WCAG 2.3.1).
    const STEP: f64 = 0.1;

    fn limit(&mut self, wanted: f64, most: Hertz, now: Instant) -> f64 {
        if !self.fallen {
            self.extreme = self.extreme.max(wanted);
            if wanted <= self.extreme - Self::STEP {
                (self.fallen, self.extreme) = (true, wanted);
            }
            return wanted;
        }
        self.extreme = self.extreme.min(wanted);
        if wanted < self.extreme + Self::STEP {
            return wanted;
        }
        let within = |flash: &&Option<Instant>| flash.is_some_and(|at| now - at < Span::from_secs(1.0));
        if self.flashes.iter().filter(within).count() as f64 + 1.0 > most.get() {
            return self.extreme + Self::STEP * 0.99;
        }
        self.flashes.rotate_left(1);
        self.flashes[Self::MOST - 1] = Some(now);
        (self.fallen, self.extreme) = (false, wanted);
        wanted
    }
}

mod swap;
#[cfg(test)]
mod tests;
