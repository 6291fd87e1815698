//! Words that follow each other, beginning with a capital and ending with a stop.

use lanthorn_physics::colour::Chromaticity;

use super::{Word, colour};
use crate::Ask;

#[derive(Debug, Default)]
pub(super) struct Sentence(Vec<Word>);

impl Sentence {
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn say(&mut self, text: &str) -> &mut Self {
        match self.0.last_mut() {
            Some(Word { text: last, colour: None, of: None }) => last.push_str(text),
            _ => self.push(text, None, None),
        }
        self
    }

    /// Says what a field of the show's file has, under the name of that field.
    pub(super) fn say_of(&mut self, of: &'static str, text: &str) -> &mut Self {
        self.push(text, None, Some(of));
        self
    }

    pub(super) fn say_colour(&mut self, ask: &Ask) -> &mut Self {
        self.push(&colour::word(ask), Some(ask.chromaticity), Some("colour"));
        self
    }

    /// All words of another sentence, as they are.
    pub(super) fn append(&mut self, other: Self) -> &mut Self {
        for word in other.0 {
            match (word.colour, word.of) {
                (None, None) => _ = self.say(&word.text),
                _ => self.0.push(word),
            }
        }
        self
    }

    /// Without the names of fields: those are of another thing than the one that is told.
    pub(super) fn of_another(self) -> Self {
        let mut plain = Self::default();
        for word in self.0 {
            match word.colour {
                None => _ = plain.say(&word.text),
                Some(_) => plain.0.push(Word { of: None, ..word }),
            }
        }
        plain
    }

    /// How many letters it has so far.
    pub(super) fn letters(&self) -> usize {
        self.0.iter().map(|word| word.text.chars().count()).sum()
    }

    pub(super) fn comma(&mut self) -> &mut Self {
        if !self.is_empty() {
            self.say(", ");
        }
        self
    }

    pub(super) fn semicolon(&mut self) -> &mut Self {
        if !self.is_empty() {
            self.say("; ");
        }
        self
    }

    /// Its words as they are, no sentence yet.
    pub(super) fn words(self) -> Vec<Word> {
        self.0
    }

    pub(super) fn end(mut self) -> Vec<Word> {
        if let Some(first) = self.0.first_mut() {
            first.text = capital(&first.text);
            self.say(".");
        }
        self.0
    }

    fn push(&mut self, text: &str, colour: Option<Chromaticity>, of: Option<&'static str>) {
        self.0.push(Word { text: text.to_owned(), colour, of });
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
