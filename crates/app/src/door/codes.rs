//! Pairing codes: six characters that can be read in the dark and typed with a thumb.

use std::time::{Duration, Instant};

use subtle::ConstantTimeEq;

use super::hash;
use crate::wire::Role;

/// No two of these are taken for each other: B, I, O, S, Z and 0, 1, 5 are left out.
const ALPHABET: &[u8; 28] = b"ACDEFGHJKLMNPQRTUVWXY2346789";
const LENGTH: usize = 6;
/// A code that nobody uses lapses.
const HOLDS: Duration = Duration::from_secs(600);

const ROLES: [Role; 3] = [Role::Look, Role::Run, Role::Make];

/// One code for each role at most.
#[derive(Default)]
pub(super) struct Codes([Option<Code>; 3]);

struct Code {
    text: String,
    hash: [u8; 32],
    /// When it was made or last used.
    fresh: Instant,
}

/// A code that holds.
pub(super) struct Held<'a> {
    pub(super) role: Role,
    pub(super) text: &'a str,
    /// Whole minutes left, counted up.
    pub(super) minutes: u32,
}

impl Codes {
    /// A new code in the place of the one before.
    pub(super) fn renew(&mut self, role: Role, now: Instant) -> Result<(), getrandom::Error> {
        let slot = &mut self.0[role as usize];
        *slot = None;
        let text = fresh()?;
        *slot = Some(Code { hash: hash(&text), text, fresh: now });
        Ok(())
    }

    /// What a typed code gives. A code to make is good once: the next takes its place.
    pub(super) fn take(&mut self, typed: &str, now: Instant) -> Option<Role> {
        self.lapse(now);
        let typed = hash(&plain(typed));
        // All are compared, and each to its end: how long this takes tells nothing of them.
        let mut found = None;
        for (role, code) in ROLES.into_iter().zip(&self.0) {
            let same = code.as_ref().is_some_and(|code| bool::from(code.hash.ct_eq(&typed)));
            found = if same { Some(role) } else { found };
        }
        let role = found?;
        if role == Role::Make {
            // Without random numbers there is no code any more; the used one is gone either way.
            let _ = self.renew(role, now);
        } else if let Some(code) = &mut self.0[role as usize] {
            code.fresh = now;
        }
        Some(role)
    }

    /// The codes that hold now.
    pub(super) fn held(&mut self, now: Instant) -> impl Iterator<Item = Held<'_>> {
        self.lapse(now);
        ROLES.into_iter().zip(&self.0).filter_map(move |(role, code)| {
            let code = code.as_ref()?;
            let left = HOLDS.saturating_sub(now.saturating_duration_since(code.fresh));
            let minutes = u32::try_from(left.as_secs().div_ceil(60)).unwrap_or(0);
            Some(Held { role, text: &code.text, minutes })
        })
    }

    fn lapse(&mut self, now: Instant) {
        for slot in &mut self.0 {
            if slot.as_ref().is_some_and(|code| now.saturating_duration_since(code.fresh) >= HOLDS) {
                *slot = None;
            }
        }
    }
}

/// As it would be printed: what a thumb adds or leaves small does not matter.
fn plain(typed: &str) -> String {
    // No code is longer, whatever was typed between its characters.
    let typed = typed.chars().filter(char::is_ascii_alphanumeric).take(LENGTH + 1);
    typed.map(|c| c.to_ascii_uppercase()).collect()
}

fn fresh() -> Result<String, getrandom::Error> {
    let mut text = String::new();
    while text.len() < LENGTH {
        let mut bytes = [0; 16];
        getrandom::fill(&mut bytes)?;
        let count = ALPHABET.len();
        // The bytes above the last whole multiple are left out, so that every character is equally likely.
        let even = bytes.iter().map(|byte| usize::from(*byte)).filter(|byte| *byte < 256 / count * count);
        text.extend(even.map(|byte| char::from(ALPHABET[byte % count])).take(LENGTH - text.len()));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(codes: &mut Codes, role: Role, now: Instant) -> Option<String> {
        codes.held(now).find(|code| code.role == role).map(|code| code.text.to_owned())
    }

    #[test]
    fn codes_have_six_plain_characters_and_all_of_them_come_up() {
        let mut seen = [0_u32; 128];
        for _ in 0..2000 {
            let code = fresh().unwrap();
            assert_eq!(code.len(), LENGTH);
            code.bytes().for_each(|byte| seen[usize::from(byte)] += 1);
        }
        // 12,000 draws of 28: 429 each, give or take 20 (one standard deviation).
        for byte in 0..128_u8 {
            let count = seen[usize::from(byte)];
            let wanted = ALPHABET.contains(&byte);
            assert!(if wanted { (300..560).contains(&count) } else { count == 0 }, "{byte}: {count}");
        }
    }

    #[test]
    fn a_code_to_run_stays_and_a_code_to_make_changes() {
        let now = Instant::now();
        let mut codes = Codes::default();
        codes.renew(Role::Run, now).unwrap();
        codes.renew(Role::Make, now).unwrap();
        let run = text(&mut codes, Role::Run, now).unwrap();
        let make = text(&mut codes, Role::Make, now).unwrap();
        let typed = format!(" {}-{} ", &run[..3].to_lowercase(), &run[3..]);
        assert_eq!(codes.take(&typed, now), Some(Role::Run));
        assert_eq!(codes.take(&run, now), Some(Role::Run));
        assert_eq!(codes.take(&make, now), Some(Role::Make));
        assert_eq!(codes.take(&make, now), None, "used");
        assert!(text(&mut codes, Role::Make, now).is_some_and(|next| next != make));
        for wrong in ["", "AAAAA", &run[..5], &format!("{run}A"), &"A".repeat(1_000_000)] {
            assert_eq!(codes.take(wrong, now), None);
        }
    }

    #[test]
    fn ten_minutes_unused_end_a_code_and_using_it_keeps_it() {
        let now = Instant::now();
        let after = |minutes: u64| now + Duration::from_secs(60 * minutes);
        let mut codes = Codes::default();
        codes.renew(Role::Run, now).unwrap();
        let run = text(&mut codes, Role::Run, now).unwrap();
        assert_eq!(codes.take(&run, after(9)), Some(Role::Run));
        assert_eq!(codes.held(after(18)).next().map(|code| code.minutes), Some(1));
        assert_eq!(codes.take(&run, after(19)), None);
        assert_eq!(codes.held(after(19)).count(), 0);
    }
}
