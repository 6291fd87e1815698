//! Another rig takes the place of the one that runs.

use lanthorn_physics::units::Radians;

use super::Limiter;

impl Limiter {
    /// Goes on where another limiter is: motors where they are, flashes as counted: those of the last second
    /// count on, and a burst goes on. `units` says for each light of this rig its place in the other; one that is new is
    /// dark. Does not allocate.
    pub(crate) fn take_over(&mut self, old: &Self, units: &[Option<usize>]) {
        self.last = old.last;
        self.flashes.take_over(&old.flashes, units);
        for (unit, old_unit) in units.iter().enumerate() {
            let Some(old_unit) = *old_unit else { continue };
            if let (Some(Some(motors)), Some(Some(was))) =
                (self.motors.get_mut(unit), old.motors.get(old_unit))
            {
                motors.iter_mut().zip(was).for_each(|(motor, was)| motor.take_over(was));
            }
            if let (Some(sent), Some(was)) = (self.sent.0.units.get_mut(unit), old.sent.0.units.get(old_unit))
            {
                (sent.pan, sent.tilt, sent.beam, sent.haze, sent.fan) =
                    (was.pan, was.tilt, was.beam, was.haze, was.fan);
                sent.heads.iter_mut().zip(&was.heads).for_each(|(head, was)| *head = *was);
            }
        }
    }

    /// Takes a dark light's motors to be somewhere else than at home: pan and tilt as they were sent.
    pub(crate) fn place(&mut self, unit: usize, pan: Radians, tilt: Radians) {
        let Some(sent) = self.sent.0.units.get_mut(unit) else { return };
        (sent.pan, sent.tilt) = (pan, tilt);
        if let Some(Some(motors)) = self.motors.get_mut(unit) {
            motors.iter_mut().zip([pan, tilt]).for_each(|(motor, at)| motor.place(at));
        }
    }
}
