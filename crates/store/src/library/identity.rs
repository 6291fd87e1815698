//! What tells one description of a light from another: its content, and nothing else.

use std::fmt;

use lanthorn_fixture::Profile;
use sha2::{Digest, Sha256};

use crate::profile_file::write_profile;

/// The identity of a profile: SHA-256 (FIPS 180-4) of its canonical text. The canonical text is what [`write_profile`]
/// writes: every fact that is known, with its origin, in one order, without remarks. So it is the same on every system,
/// however the file was laid out, and another one whenever anything that a light does or that is told of it differs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Identity([u8; 32]);

/// Digits that are shown, of 64: enough to tell by eye.
const SHOWN: usize = 12;

/// The identity of a profile.
pub fn identity(profile: &Profile) -> Identity {
    Identity(Sha256::digest(write_profile(profile)).into())
}

impl Identity {
    /// All 64 hexadecimal digits.
    pub fn whole(&self) -> String {
        self.0.iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// Whether typed digits stand for it: at least six of the first, in any letters.
    pub fn begins_with(&self, typed: &str) -> bool {
        let typed = typed.trim().to_ascii_lowercase();
        typed.len() >= 6 && self.whole().starts_with(&typed)
    }
}

impl fmt::Display for Identity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.whole()[..SHOWN])
    }
}

impl fmt::Debug for Identity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Identity({self})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile_file::read_profile;
    use crate::{library, shipped_profile};

    const PAR: &str = include_str!("../../profiles/rgb-par.toml");

    fn of(text: &str) -> Identity {
        identity(&read_profile(text).0.unwrap())
    }

    #[test]
    fn remarks_and_the_order_of_keys_make_no_difference_and_everything_else_does() {
        let same = [
            PAR.replace('#', "# indeed: "),
            PAR.replace(
                "watts = \"28 W\"\npower_factor = \"unknown\"\n",
                "# dim\npower_factor = \"unknown\"\nwatts = \"28 W\"\n",
            ),
            PAR.replace("power_factor = \"unknown\"\n", ""),
            PAR.replace("weight = \"0.9 kg\"", "weight = \"900 g\""),
            PAR.replace('\n', "\r\n"),
        ];
        for text in &same {
            assert_ne!(text, PAR);
            assert_eq!(of(text), of(PAR), "{text}");
        }
        let other = [
            ("28 W", "29 W"),
            ("watts = \"28 W\"", "watts = { guessed = \"28 W\" }"),
            ("does = \"ColorAdd_R\"\n\n", "does = \"ColorAdd_G\"\n\n"),
            ("at = 3", "at = 4"),
            ("menu = \"switch 10 off\"", "menu = \"switch 10 on\""),
        ];
        for (from, to) in other {
            let text = PAR.replacen(from, to, 1);
            assert_ne!(text, PAR, "{from}");
            assert_ne!(of(&text), of(PAR), "{from}");
        }
    }

    /// Kept, so that no system and no later version says otherwise: a show's profile would be offered anew for nothing.
    /// When a shipped text was changed on purpose, the text as it was goes to `shipped::EARLIER`, and this table is taken anew.
    #[test]
    fn identities_are_the_same_everywhere() {
        let mut table = String::new();
        for profile in library::shipped() {
            table.push_str(&format!("{} {}\n", identity(profile), profile.name));
        }
        insta::assert_snapshot!(table);
        let par = identity(&shipped_profile("RGB par").unwrap());
        assert!(par.begins_with(&par.to_string().to_uppercase()) && !par.begins_with("12345"));
    }

    /// FIPS 180-4, example for "abc" (NIST's published vectors).
    #[test]
    fn the_digest_is_sha_256() {
        assert_eq!(
            Identity(Sha256::digest("abc").into()).whole(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
