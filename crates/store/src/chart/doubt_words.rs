//! Doubts about the words of one range: what nobody can read, what can mean two things, steps and directions not told.

use super::ask::{About, Asker};
use super::meaning::{Meaning, ONE_MOTOR};
use super::table::RawRange;
use super::words::Said;
use crate::reading::{ChannelReading, KindReading as Kind, RangeReading, Way};

/// A range, where it stands.
pub(super) struct Place<'a> {
    pub(super) mode: &'a str,
    pub(super) channel: &'a ChannelReading,
    pub(super) raw: &'a RawRange,
    /// Its place among the ranges of its channel, as printed.
    pub(super) which: u32,
}

/// What can be chosen for words that nobody can read.
const MEANINGS: &[(&str, &str)] = &[
    ("NoFeature", "it does nothing"),
    ("Dimmer", "it dims"),
    ("Shutter1Strobe", "it flashes"),
    ("ColorMacro1", "colours of its own"),
    ("Effects1", "programmes of its own"),
    ("Effects1Rate", "the speed of its programmes"),
    ("PositionMSpeed", "how fast the head moves"),
    ("Control1", "something else: leave it alone"),
];

impl Place<'_> {
    /// Asks what the words leave open, and does what was answered.
    pub(super) fn ask(&self, range: &mut RangeReading, meaning: &Meaning, asker: &mut Asker<'_>) {
        let place = format!("Channel {}, {}-{}", self.channel.ch, range.from, range.to);
        let said = if range.label.is_empty() { self.channel.name.clone() } else { range.label.clone() };
        if meaning.unread && self.channel.fine_of.is_none() {
            self.unread(range, &place, &said, asker);
        }
        if let Some((one, other)) = meaning.either {
            let (place, said) = if (one, other) == ONE_MOTOR {
                (format!("Channel {}", self.channel.ch), format!("\"{said}\" and the like"))
            } else {
                (place.clone(), format!("\"{said}\""))
            };
            let (first, second) = (either_words(one), either_words(other));
            let text = format!("{place}: {said} may be {first} or {second}. Which?");
            let choices = [(one, first), (other, second)];
            range.origin = "guessed".to_owned();
            if let Some(attr) = asker.ask(self.about("meaning"), text, &choices) {
                if attr == "NoFeature" {
                    (range.kind, range.slot) = (Kind::None, None);
                }
                range.attr = attr;
                range.origin = "stated".to_owned();
            }
        }
        self.condition(range, &place, &said, asker);
        if range.kind == Kind::Level && range.dir.is_none() {
            let text = format!("{place}: which way does \"{said}\" go? The chart does not say.");
            range.dir = asker.direction(self.about("direction"), text);
        }
        if range.kind == Kind::Select {
            let text =
                format!("{place}: the steps of \"{said}\" are not printed one by one. How many equal steps?");
            let steps: Vec<(String, String)> =
                (2..=32).map(|n| (n.to_string(), format!("{n} equal steps"))).collect();
            let mut choices: Vec<(&str, &str)> = vec![("unknown", "leave them unknown")];
            choices.extend(steps.iter().map(|(value, text)| (value.as_str(), text.as_str())));
            asker.ask(self.about("steps"), text, &choices);
        }
    }

    fn about(&self, kind: &'static str) -> About<'_> {
        let lines = if self.raw.lines.is_empty() { &self.channel.lines } else { &self.raw.lines };
        About {
            kind,
            mode: Some(self.mode),
            ch: Some(self.channel.ch),
            which: self.which,
            lines: lines.clone(),
        }
    }

    fn unread(&self, range: &mut RangeReading, place: &str, said: &str, asker: &mut Asker<'_>) {
        let text = format!("{place}: what does \"{said}\" do? Nothing here can be read with certainty.");
        range.attr = "Control1".to_owned();
        range.kind = if range.kind == Kind::Level { Kind::Level } else { Kind::Fixed };
        range.origin = "guessed".to_owned();
        let Some(attr) = asker.ask(self.about("unread"), text, MEANINGS) else { return };
        range.kind = match attr.as_str() {
            "NoFeature" => Kind::None,
            "Dimmer" | "Shutter1Strobe" | "Effects1Rate" | "PositionMSpeed" => Kind::Level,
            "Control1" => Kind::Fixed,
            _ => Kind::Select,
        };
        range.danger = (attr == "Effects1").then(|| "programme".to_owned());
        range.dir = (attr == "Dimmer").then_some(Way::Up);
        range.attr = attr;
        range.origin = "stated".to_owned();
    }

    /// A meaning that depends on another channel in words that are not exact.
    fn condition(&self, range: &mut RangeReading, place: &str, said: &str, asker: &mut Asker<'_>) {
        let vague = Said::new(said)
            .has("depends on|depending on|dependent on|according to|abhangig|selon|depende de|dipende da");
        let text = match self.raw.mentions.first() {
            Some(other) => {
                format!(
                    "{place}: \"{said}\" depends on channel {other} in words that are not exact. When does it act?"
                )
            }
            None if vague && self.raw.when.is_empty() => {
                format!(
                    "{place}: \"{said}\" depends on something that the chart names in words only. When does it act?"
                )
            }
            None => return,
        };
        range.origin = "guessed".to_owned();
        let choices = [("always", "always, whatever the other does"), ("not", "leave it out of use")];
        match asker.ask(self.about("condition"), text, &choices).as_deref() {
            Some("not") => {
                (range.attr, range.kind, range.dir) = ("Control1".to_owned(), Kind::Fixed, None);
            }
            Some(_) => range.origin = "stated".to_owned(),
            None => {}
        }
    }
}

fn either_words(attr: &str) -> &'static str {
    match attr {
        "PositionMSpeed" => "how fast the head moves",
        "Effects1Rate" => "how fast its programmes run",
        "CTO" => "the warmth of its white, without steps",
        "ColorMacro1" => "colours or whites of its own, in steps",
        "Color1" | "Color2" => "a choice of colours",
        "Gobo1" | "Gobo2" => "a gobo",
        "Prism1" | "Prism2" => "a prism in the beam",
        "Frost1" => "frost in the beam",
        "NoFeature" => "nothing at all",
        "Shutter1" => "the light going dark",
        "FixtureGlobalReset" => "a reset like that of the whole light",
        "Gobo1WheelSpin" => "the turning of its beams",
        "Color1WheelSpin" => "the turning of its wheel of colours",
        _ => "something of its own that is best left alone",
    }
}
