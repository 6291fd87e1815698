//! Where a channel's value travels: universe and slot.

/// A slot number inside a universe, 1..=512 (ANSI E1.11).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Slot(u16); // invariant: 1..=512

/// A universe number as sACN counts, 1..=63999 (ANSI E1.31-2018 §6.2.7).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Universe(u16); // invariant: 1..=63999

/// The first slot of a light: `universe.slot`, printed `1.101`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address {
    /// Which universe.
    pub universe: Universe,
    /// Which slot in it.
    pub slot: Slot,
}

/// Why an address cannot be.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AddressError {
    /// Slot outside 1..=512.
    #[error("slot {number}: slots run from 1 to 512")]
    SlotOutOfRange {
        /// What was asked for.
        number: u32,
    },
    /// Universe outside 1..=63999.
    #[error("universe {number}: universes run from 1 to 63999")]
    UniverseOutOfRange {
        /// What was asked for.
        number: u32,
    },
    /// Not of the form `UNIVERSE.SLOT`.
    #[error("address \"{text}\": write universe and start address with a point between, such as \"1.101\"")]
    NotAnAddress {
        /// What was written.
        text: String,
    },
}

impl Slot {
    /// Slots in a universe.
    pub const COUNT: u16 = 512;

    /// Checked.
    pub fn new(number: u32) -> Result<Self, AddressError> {
        match u16::try_from(number) {
            Ok(n) if (1..=Self::COUNT).contains(&n) => Ok(Self(n)),
            _ => Err(AddressError::SlotOutOfRange { number }),
        }
    }

    /// 1..=512.
    pub const fn number(self) -> u16 {
        self.0
    }

    /// Place in a frame's array, 0..=511.
    pub const fn index(self) -> usize {
        self.0 as usize - 1
    }
}

impl Universe {
    /// Universe 1.
    pub const FIRST: Self = Self(1);

    /// Checked.
    pub fn new(number: u32) -> Result<Self, AddressError> {
        match u16::try_from(number) {
            Ok(n) if (1..=63999).contains(&n) => Ok(Self(n)),
            _ => Err(AddressError::UniverseOutOfRange { number }),
        }
    }

    /// 1..=63999.
    pub const fn number(self) -> u16 {
        self.0
    }
}

impl Address {
    /// Checked, from universe and slot numbers.
    pub fn new(universe: u32, slot: u32) -> Result<Self, AddressError> {
        Ok(Self { universe: Universe::new(universe)?, slot: Slot::new(slot)? })
    }

    /// The last slot of a light of `footprint` channels that starts here: may lie past 512.
    pub const fn last_slot(self, footprint: u16) -> u32 {
        self.slot.0 as u32 + footprint as u32 - 1
    }
}

impl std::fmt::Display for Address {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{:03}", self.universe.0, self.slot.0)
    }
}

impl std::str::FromStr for Address {
    type Err = AddressError;

    fn from_str(text: &str) -> Result<Self, AddressError> {
        let not_an_address = || AddressError::NotAnAddress { text: text.to_owned() };
        let (universe, slot) = text.trim().split_once('.').ok_or_else(not_an_address)?;
        let number = |part: &str| part.trim().parse::<u32>().map_err(|_| not_an_address());
        Self::new(number(universe)?, number(slot)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges() {
        for (number, ok) in [(0, false), (1, true), (512, true), (513, false), (70_000, false)] {
            assert_eq!(Slot::new(number).is_ok(), ok, "slot {number}");
        }
        for (number, ok) in [(0, false), (1, true), (63_999, true), (64_000, false), (65_537, false)] {
            assert_eq!(Universe::new(number).is_ok(), ok, "universe {number}");
        }
    }

    #[test]
    fn reads_what_it_prints() {
        for text in ["1.001", "1.101", "12.512"] {
            assert_eq!(text.parse::<Address>().unwrap().to_string(), text);
        }
        assert_eq!("2.7".parse(), Address::new(2, 7));
        for bad in ["", "1", "1.", ".5", "a.b", "1.2.3", "-1.4", "1.5x"] {
            assert!(matches!(bad.parse::<Address>(), Err(AddressError::NotAnAddress { .. })), "{bad}");
        }
        assert_eq!("1.513".parse::<Address>(), Err(AddressError::SlotOutOfRange { number: 513 }));
    }
}
