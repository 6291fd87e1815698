//! What stands between a wish and the lights: motor speed and flash rate. Nothing reaches `encode` unlimited.

mod burst;
mod flash;
mod lamp;
mod motor;
mod reds;
mod swap;
mod swings;

use lanthorn_fixture::UnitState;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Span};

use crate::aim::Head;
use crate::{Rig, RigPose};
use flash::Flashes;
pub use flash::{Held, Tally};
use motor::{Motor, lead};

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
/// - *Flashes*: counted over the whole rig on what is sent, from whatever cause, and held to the rig's limit; see
///   docs/flashes.md.
#[derive(Clone, Debug)]
pub struct Limiter {
    motors: Vec<Option<[Motor; 2]>>,
    flashes: Flashes,
    /// Lights that were lit in the last tick.
    was_lit: Vec<bool>,
    last: Option<Instant>,
    sent: Limited<RigPose>,
}

impl Limiter {
    /// At the start every light is dark and its motors are at home.
    pub fn new(rig: &Rig) -> Self {
        let motors = |unit| Some(Motor::both(&Head::new(rig, unit)?));
        Self {
            motors: rig.units.iter().map(motors).collect(),
            flashes: Flashes::new(rig),
            was_lit: vec![false; rig.units.len()],
            last: None,
            sent: Limited(RigPose::dark(rig)),
        }
    }

    /// What the flash limit does now.
    pub const fn held(&self) -> Held {
        self.flashes.held()
    }

    /// How many flashes were wanted and sent so far.
    pub fn tally(&self) -> Tally {
        self.flashes.tally()
    }

    /// Leads a unit's motors by the limits of another head from now on; they go on from where they are. Does not
    /// allocate.
    pub fn renew(&mut self, unit: usize, head: &Head) {
        if let Some(Some(motors)) = self.motors.get_mut(unit) {
            Motor::renew(motors, head);
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
        let RigPose { units } = &mut self.sent.0;
        for (out, lit) in units.iter().zip(&mut self.was_lit) {
            *lit = is_lit(out);
        }
        self.flashes.limit(&wanted.units, units, now);
        for (index, (out, want)) in units.iter_mut().zip(&wanted.units).enumerate() {
            (out.pan, out.tilt) = match &mut self.motors[index] {
                Some(motors) if self.was_lit[index] && is_lit(out) => lead(motors, [want.pan, want.tilt], dt),
                Some(motors) => {
                    motors[0].send_off(want.pan, begun, dt);
                    motors[1].send_off(want.tilt, begun, dt);
                    (want.pan, want.tilt)
                }
                None => (want.pan, want.tilt),
            };
            out.beam = want.beam;
            out.haze = want.haze;
            out.fan = want.fan;
        }
        &self.sent
    }
}

fn is_lit(unit: &UnitState) -> bool {
    unit.heads.iter().any(|head| head.level > 0.0)
}

#[cfg(test)]
mod tests;
