//! One tick of a rig: wishes in, frames out. Aim, limit and encode in their only order.

use lanthorn_dmx::Frames;
use lanthorn_physics::Instant;
use lanthorn_physics::units::Radians;

use crate::aim::{Aimer, Head};
use crate::encode::RigEncoder;
use crate::limit::{Held, Limited, Limiter, Tally};
use crate::{Rig, RigPose, RigState};

/// Drives a rig. Call [`Drive::tick`] with rising moments; the same wishes at the same moments give the same frames.
#[derive(Clone, Debug)]
pub struct Drive {
    aimer: Aimer,
    limiter: Limiter,
    encoder: RigEncoder,
    pose: RigPose,
    frames: Frames,
}

impl Drive {
    /// Everything dark, motors at home.
    pub fn new(rig: &Rig) -> Self {
        let encoder = RigEncoder::new(rig);
        Self {
            aimer: Aimer::new(rig),
            limiter: Limiter::new(rig),
            frames: encoder.frames(),
            encoder,
            pose: RigPose::dark(rig),
        }
    }

    /// Makes lights ready for mixing that renders best: see [`RigEncoder::prepare_rendering`].
    pub fn prepare_rendering(&mut self, rig: &Rig, units: &[usize]) {
        self.encoder.prepare_rendering(rig, units);
    }

    /// The frames to send at `now`. Does not allocate.
    pub fn tick(&mut self, wished: &RigState, now: Instant) -> &Frames {
        self.aimer.aim(wished, self.limiter.sent().get(), now, &mut self.pose);
        let limited = self.limiter.limit(&self.pose, now);
        self.encoder.encode(limited, &mut self.frames);
        &self.frames
    }

    /// Aims and limits a unit by another head from the next tick on, as it was sighted in or timed. Its motors stay
    /// where they are and are led from there; no other light is concerned. Does not allocate.
    pub fn renew(&mut self, unit: usize, head: Head) {
        self.aimer.renew(unit, head);
        self.limiter.renew(unit, &head);
    }

    /// Goes on where the drive of another rig is: motors, flashes and ways as they are. `units` says for each light of
    /// this rig its place in the other; one that is new is dark, its motors at home. Does not allocate.
    pub fn take_over(&mut self, old: &Self, units: &[Option<usize>]) {
        self.aimer.take_over(&old.aimer, units);
        self.limiter.take_over(&old.limiter, units);
    }

    /// Before the first tick: a light's motors are not at home but here, pan and tilt as they were sent. It goes on from
    /// there, and takes the nearest way.
    pub fn place(&mut self, unit: usize, pan: Radians, tilt: Radians) {
        if pan.get().is_finite() && tilt.get().is_finite() {
            self.limiter.place(unit, pan, tilt);
        }
    }

    /// The frames of the last tick, for a slot that is tried by itself: see `lanthorn_live::Trial`.
    pub const fn frames_mut(&mut self) -> &mut Frames {
        &mut self.frames
    }

    /// The frames of the last tick.
    pub const fn frames(&self) -> &Frames {
        &self.frames
    }

    /// The poses behind the frames of the last tick.
    pub const fn sent(&self) -> &Limited<RigPose> {
        self.limiter.sent()
    }

    /// Where a unit's motors are taken to be now, pan and tilt as they are sent; `None` for a light that cannot follow a
    /// spot. It differs from what is sent while a head that was sent off dark is still on its way.
    pub fn motors(&self, unit: usize) -> Option<(Radians, Radians)> {
        self.limiter.motors(unit)
    }

    /// What the flash limit does now.
    pub const fn held(&self) -> Held {
        self.limiter.held()
    }

    /// How many flashes were wanted and sent so far.
    pub fn tally(&self) -> Tally {
        self.limiter.tally()
    }

    /// The heads that can be aimed.
    pub const fn aimer(&self) -> &Aimer {
        &self.aimer
    }
}
