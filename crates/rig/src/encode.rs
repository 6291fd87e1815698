//! From limited poses to the frames of every universe.

use lanthorn_dmx::{Frames, Universe};
use lanthorn_fixture::Encoder;

use crate::limit::Limited;
use crate::{Rig, RigPose, Run};

/// Writes the whole rig's channel values. Built once; encoding does not allocate.
#[derive(Clone, Debug)]
pub struct RigEncoder {
    units: Vec<Place>,
}

/// Where one unit's channels go.
#[derive(Clone, Debug)]
struct Place {
    /// Place in [`Rig::units`].
    unit: usize,
    universe: Universe,
    first: usize,
    encoder: Encoder,
}

impl RigEncoder {
    /// Every driven unit that has an address of its own. Units that share another's address move as that one does
    /// and are not written a second time; a unit that reaches past slot 512 is cut there (the plan says so).
    pub fn new(rig: &Rig) -> Self {
        let place = |(index, unit): (usize, &crate::Unit)| match unit.run {
            Run::Driven { address: Some(address), shares: None } => Some(Place {
                unit: index,
                universe: address.universe,
                first: address.slot.index(),
                encoder: Encoder::new(&unit.profile, unit.mode),
            }),
            _ => None,
        };
        Self { units: rig.units.iter().enumerate().filter_map(place).collect() }
    }

    /// Makes lights ready for mixing that renders best, by their places in [`Rig::units`]: see
    /// [`Encoder::prepare_rendering`]. Lights of one kind are worked out once. Takes a while: not for the tick.
    pub fn prepare_rendering(&mut self, rig: &Rig, units: &[usize]) {
        for index in 0..self.units.len() {
            let unit = self.units[index].unit;
            if !units.contains(&unit) {
                continue;
            }
            let own = &rig.units[unit];
            let alike = |place: &&Place| {
                let other = &rig.units[place.unit];
                units.contains(&place.unit) && other.profile == own.profile && other.mode == own.mode
            };
            match self.units[..index].iter().find(alike) {
                Some(ready) => self.units[index].encoder = ready.encoder.clone(),
                None => self.units[index].encoder.prepare_rendering(&own.profile, own.mode),
            }
        }
    }

    /// Dark frames for the universes this rig uses.
    pub fn frames(&self) -> Frames {
        Frames::dark(self.units.iter().map(|place| place.universe))
    }

    /// Writes every channel of every unit; slots that no unit uses are left as they are.
    pub fn encode(&self, pose: &Limited<RigPose>, frames: &mut Frames) {
        for place in &self.units {
            if let Some(frame) = frames.get_mut(place.universe) {
                place.encoder.encode(&pose.get().units[place.unit], &mut frame.0[place.first..]);
            }
        }
    }
}
