//! A text as what differs from the text before it: most edits change a few bytes in ten thousand.

use sha2::{Digest, Sha256};

/// What stands between the beginning and the end that two texts share.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Patch<'t> {
    /// Bytes that stay at the beginning.
    pub(super) front: usize,
    /// Bytes that stay at the end.
    pub(super) back: usize,
    /// What stands between them now.
    pub(super) middle: &'t str,
}

impl<'t> Patch<'t> {
    /// The smallest middle that makes `new` of `old`.
    pub(super) fn between(old: &str, new: &'t str) -> Self {
        let same = |(a, b): &(u8, u8)| a == b;
        let mut front = old.bytes().zip(new.bytes()).take_while(same).count();
        while !(old.is_char_boundary(front) && new.is_char_boundary(front)) {
            front -= 1;
        }
        let (left, rest) = (&old.as_bytes()[front..], &new.as_bytes()[front..]);
        let pairs = left.iter().copied().rev().zip(rest.iter().copied().rev());
        let mut back = pairs.take_while(same).count();
        while !(old.is_char_boundary(old.len() - back) && new.is_char_boundary(new.len() - back)) {
            back -= 1;
        }
        Self { front, back, middle: &new[front..new.len() - back] }
    }

    /// The new text; none where the patch does not fit the old one.
    pub(super) fn applied(self, old: &str) -> Option<String> {
        let end = old.len().checked_sub(self.back).filter(|end| *end >= self.front)?;
        Some([old.get(..self.front)?, self.middle, old.get(end..)?].concat())
    }
}

/// What tells one text from another: the first half of SHA-256 (FIPS 180-4).
pub(super) type Hash = [u8; 16];

/// The hash of a text.
pub(super) fn hash(text: &str) -> Hash {
    let mut short = Hash::default();
    short.copy_from_slice(&Sha256::digest(text.as_bytes())[..16]);
    short
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn only_what_differs_is_kept() {
        for (old, new, middle) in [
            ("", "", ""),
            ("", "new", "new"),
            ("level = 80", "level = 85", "5"),
            ("aaa", "aaaa", "a"),
            ("aaaa", "aaa", ""),
            ("Käse", "Köse", "ö"),
            ("“", "”", "”"),
        ] {
            let patch = Patch::between(old, new);
            assert_eq!((patch.middle, patch.applied(old).as_deref()), (middle, Some(new)), "{old} {new}");
        }
    }

    #[test]
    fn a_patch_that_does_not_fit_makes_nothing() {
        let patch = Patch { front: 2, back: 2, middle: "x" };
        for old in ["", "abc", "ä€b", "a€bc"] {
            assert_eq!(patch.applied(old), None, "{old}");
        }
        assert_eq!(patch.applied("abcd").as_deref(), Some("abxcd"));
        assert_eq!(Patch { front: usize::MAX, back: 1, middle: "" }.applied("abc"), None);
    }

    #[test]
    fn the_hash_is_that_of_the_standard() {
        // FIPS 180-4, the example of one block, "abc": ba7816bf 8f01cfea 414140de 5dae2223 …
        assert_eq!(
            hash("abc"),
            [0xba, 0x78, 0x16, 0xbf, 0x8f, 0x01, 0xcf, 0xea, 0x41, 0x41, 0x40, 0xde, 0x5d, 0xae, 0x22, 0x23]
        );
    }

    proptest! {
        #[test]
        fn any_text_comes_of_any_other(old in "[aä€\n]{0,12}", new in "[aä€\n]{0,12}") {
            prop_assert_eq!(Patch::between(&old, &new).applied(&old), Some(new));
        }
    }
}
