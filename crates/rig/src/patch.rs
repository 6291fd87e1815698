//! The patch: which light sits on which universe and address; overlaps, what is free, DIP switches.

use std::collections::BTreeMap;

use lanthorn_dmx::{Address, Slot};
use serde::Serialize;

use crate::{Rig, Run, Unit};

/// The slots that lights with one start address take, and which lights those are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Where it starts.
    pub start: Address,
    /// Last slot, as counted from the widest of its lights; may lie past 512.
    pub last: u32,
    /// The lights, ascending.
    pub units: Vec<u32>,
    /// `true` when all of them say that they share, or there is only one.
    pub agreed: bool,
}

/// Two blocks that take the same slots.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overlap {
    /// The one that starts earlier.
    pub earlier: Block,
    /// The one that starts inside it.
    pub later: Block,
}

/// How full a universe is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct UniversePlan {
    /// Its number, from 1.
    pub universe: u16,
    /// The lights on it, ascending.
    pub units: Vec<u32>,
    /// Slots taken by one light or more, 0 to 512.
    pub used_slots: u16,
    /// The rest of the 512.
    pub free_slots: u16,
    /// The first slot after the last taken one; none when slot 512 is taken.
    pub free_from: Option<u16>,
}

/// The switches to set on, by their numbers (1 to 9 weigh 1, 2, 4 … 256), for a start address; none for slot 512,
/// which nine switches cannot reach (their sum is 511).
pub fn dip_switches(slot: Slot) -> Option<Vec<u8>> {
    let number = slot.number();
    (number < 512).then(|| (1..=9).filter(|switch| number & (1 << (switch - 1)) != 0).collect())
}

/// The last start address at which a light of `footprint` channels still fits: 512 − footprint + 1 (ANSI E1.11:
/// 512 slots). None for a footprint of nothing or of more than 512.
pub fn last_usable_start(footprint: u16) -> Option<Slot> {
    (footprint > 0)
        .then(|| Slot::COUNT.checked_sub(footprint - 1))
        .flatten()
        .and_then(|n| Slot::new(n.into()).ok())
}

/// Every start address in use, ascending, with the lights there. Lights without an address or channels are left out.
pub fn blocks(rig: &Rig) -> Vec<Block> {
    let mut by_start: BTreeMap<Address, Vec<&Unit>> = BTreeMap::new();
    for unit in &rig.units {
        if let Some(address) = unit.address().filter(|_| footprint(unit) > 0) {
            by_start.entry(address).or_default().push(unit);
        }
    }
    let block = |(start, units): (Address, Vec<&Unit>)| {
        let mut roots: Vec<u32> = units.iter().map(|unit| share_root(rig, unit)).collect();
        roots.sort_unstable();
        roots.dedup();
        let mut numbers: Vec<u32> = units.iter().map(|unit| unit.number).collect();
        numbers.sort_unstable();
        let last = units.iter().map(|unit| start.last_slot(footprint(unit))).max().unwrap_or(0);
        Block { start, last, units: numbers, agreed: roots.len() == 1 }
    };
    by_start.into_iter().map(block).collect()
}

/// Every pair of blocks that take the same slots from different starts.
pub fn overlaps(rig: &Rig) -> Vec<Overlap> {
    let blocks = blocks(rig);
    let mut found = Vec::new();
    for (index, later) in blocks.iter().enumerate() {
        let before = blocks[..index].iter().filter(|b| b.start.universe == later.start.universe);
        for earlier in before.filter(|b| b.last >= u32::from(later.start.slot.number())) {
            found.push(Overlap { earlier: earlier.clone(), later: later.clone() });
        }
    }
    found
}

/// How full each universe is, ascending.
pub fn universes(rig: &Rig) -> Vec<UniversePlan> {
    let mut by_universe: BTreeMap<u16, ([bool; 512], Vec<u32>)> = BTreeMap::new();
    for block in blocks(rig) {
        let number = block.start.universe.number();
        let (taken, units) = by_universe.entry(number).or_insert(([false; 512], Vec::new()));
        let last = usize::try_from(block.last).unwrap_or(512).min(512);
        taken[block.start.slot.index()..last].fill(true);
        units.extend(block.units);
    }
    let plan = |(universe, (taken, mut units)): (u16, ([bool; 512], Vec<u32>))| {
        units.sort_unstable();
        let used_slots = (0u16..).zip(taken).filter(|(_, taken)| *taken).count() as u16;
        let free_from = (1u16..).zip(taken).filter(|(_, taken)| *taken).map(|(slot, _)| slot + 1).max();
        UniversePlan {
            universe,
            units,
            used_slots,
            free_slots: Slot::COUNT - used_slots,
            free_from: free_from.filter(|slot| *slot <= Slot::COUNT),
        }
    };
    by_universe.into_iter().map(plan).collect()
}

/// How many slots a light takes; nothing when its mode does not exist.
pub(crate) fn footprint(unit: &Unit) -> u16 {
    unit.profile.modes.get(unit.mode).map_or(0, lanthorn_fixture::Mode::footprint)
}

/// The light at the end of the "shares with" chain: its own number when it shares with nobody. In a ring, the
/// smallest number met.
pub(crate) fn share_root(rig: &Rig, unit: &Unit) -> u32 {
    let mut met = vec![unit.number];
    let mut now = unit;
    while let Run::Driven { shares: Some(next), .. } = now.run {
        if met.contains(&next) {
            return met.into_iter().min().unwrap_or(next);
        }
        let Some(unit) = rig.units.iter().find(|unit| unit.number == next) else { return now.number };
        met.push(next);
        now = unit;
    }
    now.number
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn switches_add_up_to_the_address() {
        // 10, 24, 233 and 247: worked examples of makers' manuals and of a public theatre reference (names withheld).
        let published: [(u32, &[u8]); 4] =
            [(10, &[2, 4]), (24, &[4, 5]), (233, &[1, 4, 6, 7, 8]), (247, &[1, 2, 3, 5, 6, 7, 8])];
        for (number, switches) in published {
            assert_eq!(dip_switches(Slot::new(number).unwrap()).unwrap(), switches, "{number}");
        }
        for number in 1..=511 {
            let switches = dip_switches(Slot::new(number).unwrap()).unwrap();
            assert_eq!(switches.iter().map(|n| 2u32.pow(u32::from(*n) - 1)).sum::<u32>(), number);
        }
        assert_eq!(dip_switches(Slot::new(512).unwrap()), None);
    }

    #[test]
    fn the_last_start_leaves_room_for_every_channel() {
        for (footprint, last) in [(1, Some(512)), (13, Some(500)), (512, Some(1)), (513, None), (0, None)] {
            assert_eq!(last_usable_start(footprint).map(Slot::number), last, "{footprint}");
        }
    }
}
