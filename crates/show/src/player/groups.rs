//! A level over each group of lights. A light in several groups has the levels of all of them over it.

use lanthorn_physics::Instant;
use lanthorn_rig::Rig;

use super::swap::CHANGE;
use crate::Succession;

#[derive(Clone, Debug)]
pub(super) struct Groups {
    /// Of each group, 0 to 1, perceptual.
    masters: Vec<f64>,
    /// The groups of each light.
    of: Vec<Vec<usize>>,
    /// What is over each light.
    dims: Vec<Dim>,
}

/// On its way from one level to another since a moment; a hand is followed at once.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Dim {
    from: f64,
    since: Instant,
    to: f64,
}

impl Dim {
    const fn at(level: f64) -> Self {
        Self { from: level, since: Instant::ZERO, to: level }
    }

    fn level(&self, now: Instant) -> f64 {
        self.from + (self.to - self.from) * CHANGE.progress(now - self.since)
    }
}

impl Groups {
    pub(super) fn new(rig: &Rig) -> Self {
        let of =
            |unit| (0..rig.groups.len()).filter(|&group| rig.groups[group].units.contains(&unit)).collect();
        Self {
            masters: vec![1.0; rig.groups.len()],
            of: (0..rig.units.len()).map(of).collect(),
            dims: vec![Dim::at(1.0); rig.units.len()],
        }
    }

    /// Of each group, in the rig's order.
    pub(super) fn masters(&self) -> &[f64] {
        &self.masters
    }

    /// Nothing for a group that does not exist, or a level that is no number.
    pub(super) fn set(&mut self, group: usize, level: f64) {
        let Some(master) = self.masters.get_mut(group).filter(|_| level.is_finite()) else { return };
        *master = level.clamp(0.0, 1.0);
        for unit in 0..self.dims.len() {
            if self.of[unit].contains(&group) {
                self.dims[unit] = Dim::at(self.asked(unit));
            }
        }
    }

    /// What is over a light.
    pub(super) fn level(&self, unit: usize, now: Instant) -> f64 {
        self.dims.get(unit).map_or(1.0, |dim| dim.level(now))
    }

    fn asked(&self, unit: usize) -> f64 {
        self.of[unit].iter().map(|&group| self.masters[group]).product()
    }

    /// Goes on where those of another rig are; a light that has another level over it now goes there in [`CHANGE`].
    pub(super) fn take_over(&mut self, old: &Self, succession: &Succession, now: Instant) {
        for (old_group, group) in succession.groups().iter().enumerate() {
            if let (Some(group), Some(master)) = (*group, old.masters.get(old_group)) {
                self.masters[group] = *master;
            }
        }
        for unit in 0..self.dims.len() {
            let to = self.asked(unit);
            self.dims[unit] = match succession.units().get(unit).copied().flatten() {
                Some(old_unit) => Dim { from: old.level(old_unit, now), since: now, to },
                None => Dim::at(to),
            };
        }
    }
}
