//! A list of what is kept of a foreign file, with its limits.

use lanthorn_fixture::Kept;

use crate::profile_file::{LONGEST_KEPT, MOST_KEPT};

/// Letters of all that is kept together.
const MOST_LETTERS: usize = 1 << 20;
/// Letters of a way to something.
const LONGEST_WAY: usize = 1_000;

/// What is kept so far.
#[derive(Default)]
pub(crate) struct Keeping {
    list: Vec<Kept>,
    letters: usize,
    beyond: usize,
}

impl Keeping {
    /// Keeps something, unless it is too much or cannot stand in a text.
    pub(crate) fn push(&mut self, at: String, text: String) {
        let letters = at.len() + text.len();
        let fits = self.list.len() < MOST_KEPT && self.letters + letters <= MOST_LETTERS;
        let controlled = text.chars().chain(at.chars()).any(|c| c.is_control() && c != '\n' && c != '\t');
        if !fits || text.chars().count() > LONGEST_KEPT || at.chars().count() > LONGEST_WAY || controlled {
            self.beyond += 1;
            return;
        }
        self.letters += letters;
        self.list.push(Kept { at, text });
    }

    /// Something of the archive that stays there.
    pub(crate) fn file(&mut self, name: &str, bytes: u64) {
        let text = format!("a file of {bytes} bytes, in the archive that this was read from");
        self.push(format!("archive/{name}"), text);
    }

    /// The list, and what was too much, in words.
    pub(crate) fn finish(self) -> (Vec<Kept>, Option<String>) {
        let said = format!("{} things that have no place here are too much to be kept", self.beyond);
        (self.list, (self.beyond > 0).then_some(said))
    }
}
