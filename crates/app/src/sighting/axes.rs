//! The two axes of a light in the values that are sent: 16 bit, 0 to 65 535 over the profile's whole travel, named by
//! what moves.

use std::sync::Arc;

use lanthorn_dmx::{Address, Frames};
use lanthorn_fixture::decode::decode;
use lanthorn_fixture::{Attribute, Profile};
use lanthorn_physics::units::Radians;
use lanthorn_rig::sight::{sent_of_value, value_of_sent};
use lanthorn_rig::{Run, Unit};

use crate::wire::AxisName;

/// Values of pan and tilt.
pub(crate) type Values = [u16; 2];

/// How a light is told where to turn.
#[derive(Clone, Debug)]
pub(crate) struct Axes {
    profile: Arc<Profile>,
    mode: usize,
    address: Address,
    travels: [Radians; 2],
    swap: bool,
    /// The least step of each axis: 1, or 257 for one byte.
    grain: [u16; 2],
}

impl Axes {
    /// Of a light; or why it cannot be sighted in, one sentence.
    pub(crate) fn new(unit: &Unit) -> Result<Self, String> {
        let number = unit.number;
        let movement = unit.profile.movement.as_ref().filter(|_| unit.moves());
        let travels = movement.and_then(|m| Some([m.pan_travel.value()?, m.tilt_travel.value()?]));
        let travels =
            travels.ok_or_else(|| format!("Light {number} has no pan and tilt to be sighted in."))?;
        let address = match unit.run {
            Run::Driven { shares: Some(leader), .. } => {
                return Err(format!(
                    "Light {number} shares the address of light {leader} and moves with it: sight in light {leader}."
                ));
            }
            Run::Driven { address: Some(address), .. } => address,
            Run::Driven { address: None, .. } => {
                return Err(format!("Light {number} has no address yet: give it one, then sight it in."));
            }
            Run::Linked { .. } | Run::OnItsOwn { .. } => {
                return Err(format!("Light {number} is not driven from here, so it cannot be sighted in."));
            }
        };
        let fine = |attribute: Attribute| {
            let mut channels = unit.mode().channels.iter();
            channels.any(|c| c.fine.is_some() && c.ranges.iter().any(|range| range.attribute == attribute))
        };
        let mut grain = [Attribute::Pan, Attribute::Tilt].map(|axis| if fine(axis) { 1 } else { 257 });
        if unit.swap {
            grain.swap(0, 1);
        }
        Ok(Self { profile: unit.profile.clone(), mode: unit.mode, address, travels, swap: unit.swap, grain })
    }

    /// What is sent to it now; none when nothing is.
    pub(crate) fn read(&self, frames: &Frames) -> Option<Values> {
        let frame = frames.get(self.address.universe)?;
        let slots = frame.0.get(self.address.slot.index()..)?;
        let reading = decode(&self.profile, self.mode, slots);
        Some(self.values(reading.pan?, reading.tilt?))
    }

    /// The values of pan and tilt as they are sent, radians about home in the sense of their channels.
    pub(crate) fn values(&self, pan: Radians, tilt: Radians) -> Values {
        let mut values = [value_of_sent(pan, self.travels[0]), value_of_sent(tilt, self.travels[1])];
        if self.swap {
            values.swap(0, 1);
        }
        values
    }

    /// The way back from [`Axes::values`].
    pub(crate) fn sent(&self, mut values: Values) -> (Radians, Radians) {
        if self.swap {
            values.swap(0, 1);
        }
        (sent_of_value(values[0], self.travels[0]), sent_of_value(values[1], self.travels[1]))
    }

    /// The nearest values that the light can tell apart.
    pub(crate) fn snapped(&self, values: Values) -> Values {
        [0, 1].map(|axis| {
            let grain = u32::from(self.grain[axis]);
            let steps = (u32::from(values[axis]) + grain / 2) / grain;
            u16::try_from(steps * grain).unwrap_or(u16::MAX)
        })
    }

    /// The values so many least steps of each axis further; none beyond the end of a travel.
    pub(crate) fn stepped(&self, values: Values, steps: [i32; 2]) -> Option<Values> {
        let one = |axis: usize| {
            u16::try_from(i32::from(values[axis]) + steps[axis] * i32::from(self.grain[axis])).ok()
        };
        Some([one(0)?, one(1)?])
    }

    /// The value of an angle over an axis' travel.
    pub(crate) fn span(&self, axis: AxisName, angle: Radians) -> u16 {
        (angle / self.travels[index(axis)] * 65_535.0).round() as u16
    }

    /// `true` when what is read is what is held, as nearly as the light can tell.
    pub(crate) fn same(&self, read: Values, held: Values) -> bool {
        (0..2).all(|axis| read[axis].abs_diff(held[axis]) <= self.grain[axis] / 2)
    }
}

/// Place of an axis in [`Values`].
pub(crate) const fn index(axis: AxisName) -> usize {
    match axis {
        AxisName::Pan => 0,
        AxisName::Tilt => 1,
    }
}

/// Its name.
pub(crate) const fn name(axis: AxisName) -> &'static str {
    match axis {
        AxisName::Pan => "pan",
        AxisName::Tilt => "tilt",
    }
}
