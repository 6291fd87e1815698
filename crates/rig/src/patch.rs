//! The patch: which light sits on which universe and address; overlaps, what is free, DIP switches.

mod dip;
mod renumber;

use std::collections::BTreeMap;

use lanthorn_dmx::{Address, Slot};
use serde::Serialize;

pub use self::dip::{Dip, dip};
pub use self::renumber::{Readdressed, Rule, Wanted, by_rule, readdress};
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

/// Slots that nobody takes, and the taking of them: so are new lights given their addresses.
#[derive(Clone, Debug, Default)]
pub struct Free {
    taken: BTreeMap<u16, Vec<bool>>,
}

impl Free {
    /// Beside all lights of a rig.
    pub fn of(rig: &Rig) -> Self {
        let mut free = Self::default();
        for unit in &rig.units {
            if let Some(address) = unit.address() {
                free.put(address, footprint(unit));
            }
        }
        free
    }

    /// Takes `footprint` slots from an address on, one at least; false where they are not all free, or run past slot 512.
    pub fn put(&mut self, address: Address, footprint: u16) -> bool {
        let free = self.fits(address, footprint);
        let slots =
            self.taken.entry(address.universe.number()).or_insert_with(|| vec![false; Slot::COUNT.into()]);
        let width = usize::from(footprint.max(1));
        slots.iter_mut().skip(address.slot.index()).take(width).for_each(|slot| *slot = true);
        free
    }

    /// `true` when `footprint` slots from an address on, one at least, are there and free.
    pub fn fits(&self, address: Address, footprint: u16) -> bool {
        let (from, width) = (address.slot.index(), usize::from(footprint.max(1)));
        match self.taken.get(&address.universe.number()) {
            Some(slots) => slots.get(from..from + width).is_some_and(|mine| mine.iter().all(|taken| !taken)),
            None => from + width <= usize::from(Slot::COUNT),
        }
    }

    /// The first address with so many free slots in a row, in the lowest universe that has them; it is taken with that.
    /// None when no universe has.
    pub fn take(&mut self, footprint: u16) -> Option<Address> {
        if footprint > Slot::COUNT {
            return None;
        }
        (1..=u16::MAX).find_map(|universe| self.take_in(universe, footprint))
    }

    /// The same in one universe.
    pub fn take_in(&mut self, universe: u16, footprint: u16) -> Option<Address> {
        let width = usize::from(footprint.max(1));
        let first = match self.taken.get(&universe) {
            Some(slots) => slots.windows(width).position(|window| window.iter().all(|taken| !taken))?,
            None => 0,
        };
        let address = Address::new(universe.into(), u32::try_from(first).ok()? + 1).ok()?;
        if address.last_slot(footprint) > u32::from(Slot::COUNT) {
            return None;
        }
        self.put(address, footprint);
        Some(address)
    }
}

/// Where `count` more lights of `footprint` channels would answer, in order: in one universe, or wherever there is room
/// first. Fewer where there is no more room. It is what adding them takes.
pub fn next_free(rig: &Rig, universe: Option<u16>, footprint: u16, count: usize) -> Vec<Address> {
    let mut free = Free::of(rig);
    let take = |_| match universe {
        Some(universe) => free.take_in(universe, footprint),
        None => free.take(footprint),
    };
    (0..count).map_while(take).collect()
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
    use crate::testing::rig_of;

    /// Lights of one channel at these addresses.
    fn rig_at(addresses: &[&str]) -> Rig {
        let mut rig = rig_of(addresses.len() as u32);
        for (unit, address) in rig.units.iter_mut().zip(addresses) {
            unit.run = Run::Driven { address: Some(address.parse().unwrap()), shares: None };
        }
        rig
    }

    fn words(addresses: &[Address]) -> Vec<String> {
        addresses.iter().map(Address::to_string).collect()
    }

    #[test]
    fn new_lights_take_gaps_that_are_wide_enough_and_then_what_follows() {
        let rig = rig_at(&["1.001", "1.004", "1.010"]);
        assert_eq!(words(&next_free(&rig, None, 1, 3)), ["1.002", "1.003", "1.005"]);
        assert_eq!(words(&next_free(&rig, None, 5, 3)), ["1.005", "1.011", "1.016"]);
        assert_eq!(words(&next_free(&rig, None, 512, 2)), ["2.001", "3.001"]);
        assert_eq!(words(&next_free(&rig, Some(2), 300, 2)), ["2.001"], "a second one does not fit");
        assert_eq!(words(&next_free(&rig, Some(1), 502, 1)), ["1.011"], "to the very last slot");
        assert_eq!(words(&next_free(&rig, Some(1), 503, 1)), Vec::<String>::new());
        assert_eq!(words(&next_free(&rig, None, 513, 1)), Vec::<String>::new());
    }

    #[test]
    fn free_slots_are_free_of_every_light() {
        // Against a count slot by slot, for every width.
        let rig = rig_at(&["1.002", "1.100", "1.101", "1.400", "2.001"]);
        let taken = [2, 100, 101, 400];
        for footprint in 1..=512_u32 {
            let fits = |from: u32| {
                from + footprint <= 513 && !taken.iter().any(|slot| (from..from + footprint).contains(slot))
            };
            let expected = (1..=512).find(|from| fits(*from)).map(|from| format!("1.{from:03}"));
            let found = next_free(&rig, Some(1), footprint as u16, 1);
            assert_eq!(words(&found).first(), expected.as_ref(), "{footprint}");
        }
    }

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
