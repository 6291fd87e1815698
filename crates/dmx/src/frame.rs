//! The values of one universe, and of all universes of a rig at one moment.

use crate::Universe;

/// The 512 channel values of one universe (start code 0x00 not included).
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Frame(pub [u8; 512]);

/// The frames of a rig, one for each universe it uses, sorted by universe. Which universes these are is fixed at
/// construction, so that filling it in the tick never allocates.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Frames(Vec<(Universe, Frame)>); // invariant: sorted, each universe once

impl Frame {
    /// All channels at zero.
    pub const DARK: Self = Self([0; 512]);
}

impl Default for Frame {
    fn default() -> Self {
        Self::DARK
    }
}

impl std::fmt::Debug for Frame {
    /// The values up to the last that is not zero.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let used = self.0.iter().rposition(|&v| v != 0).map_or(0, |last| last + 1);
        f.debug_list().entries(&self.0[..used]).finish()
    }
}

impl Frames {
    /// Dark frames for the given universes, in any order, repeats allowed.
    pub fn dark(universes: impl IntoIterator<Item = Universe>) -> Self {
        let mut numbers: Vec<Universe> = universes.into_iter().collect();
        numbers.sort_unstable();
        numbers.dedup();
        Self(numbers.into_iter().map(|universe| (universe, Frame::DARK)).collect())
    }

    /// The frame of a universe, if the rig uses it.
    pub fn get(&self, universe: Universe) -> Option<&Frame> {
        self.index_of(universe).map(|index| &self.0[index].1)
    }

    /// The frame of a universe, to fill.
    pub fn get_mut(&mut self, universe: Universe) -> Option<&mut Frame> {
        self.index_of(universe).map(|index| &mut self.0[index].1)
    }

    /// The place of a universe in iteration order; stable for the life of the rig.
    pub fn index_of(&self, universe: Universe) -> Option<usize> {
        self.0.binary_search_by_key(&universe, |(number, _)| *number).ok()
    }

    /// Universes and frames, ascending.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (Universe, &Frame)> {
        self.0.iter().map(|(universe, frame)| (*universe, frame))
    }

    /// The same, to fill.
    pub fn iter_mut(&mut self) -> impl ExactSizeIterator<Item = (Universe, &mut Frame)> {
        self.0.iter_mut().map(|(universe, frame)| (*universe, frame))
    }

    /// How many universes.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// `true` for a rig without a single address.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Takes over the values of another of the same universes, without allocating.
    pub fn copy_from(&mut self, other: &Self) {
        self.0.clone_from(&other.0);
    }

    /// Takes over the values of those universes that another has as well; the others keep theirs. Does not allocate.
    pub fn copy_shared(&mut self, other: &Self) {
        for (universe, frame) in self.iter_mut() {
            if let Some(theirs) = other.get(universe) {
                *frame = *theirs;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sorted_and_once() {
        let universe = |n| Universe::new(n).unwrap();
        let mut frames = Frames::dark([3, 1, 3, 2].map(universe));
        assert_eq!(frames.iter().map(|(u, _)| u.number()).collect::<Vec<_>>(), [1, 2, 3]);
        frames.get_mut(universe(2)).unwrap().0[6] = 99;
        assert_eq!(frames.get(universe(2)).unwrap().0[6], 99);
        assert_eq!(frames.get(universe(4)), None);
        assert_eq!(format!("{:?}", frames.get(universe(2)).unwrap()), "[0, 0, 0, 0, 0, 0, 99]");
    }
}
