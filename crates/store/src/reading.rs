//! A profile's channels as they were read, from whatever source: what `lanthorn profile read --json` prints.

mod of_profile;

use serde::Serialize;

pub use of_profile::of_profile;

/// What was read: modes, and every doubt as a question.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct Reading {
    /// In the order in which they stand in the source.
    pub modes: Vec<ModeReading>,
    /// In the order of their lines.
    pub questions: Vec<Question>,
}

/// One mode.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct ModeReading {
    /// As its heading calls it.
    pub name: String,
    /// How many slots it takes.
    pub footprint: u16,
    /// The last start address with which it fits into a universe: 513 − footprint. None where it never does.
    pub last_start_address: Option<u16>,
    /// By their numbers.
    pub channels: Vec<ChannelReading>,
    /// The value of every slot with which it gives steady light, white and full, doing nothing else. None when no values
    /// are known that do.
    pub steady_on: Option<Vec<u8>>,
    /// It has no dimmer of its own, and colours that can stand in for one.
    pub virtual_dimmer: bool,
}

/// One slot of a mode.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct ChannelReading {
    /// Its number in the mode, from 1.
    pub ch: u16,
    /// As the source calls it.
    pub name: String,
    /// The coarse channel, when this is its fine byte.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fine_of: Option<u16>,
    /// The value at which it does nothing to steady light.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub home: Option<u16>,
    /// The head that it acts on, from 0; none acts on all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub head: Option<u8>,
    /// In the order in which they are printed; values of one byte.
    pub ranges: Vec<RangeReading>,
    /// Lines of the source that speak of it.
    pub lines: Vec<u32>,
}

/// One range of a channel's values.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct RangeReading {
    /// First value.
    pub from: u16,
    /// Last value.
    pub to: u16,
    /// What it controls, by the names of DIN SPEC 15800.
    pub attr: String,
    /// How its values differ.
    pub kind: KindReading,
    /// For a level: more or less with a larger value. None where that is not stated.
    pub dir: Option<Way>,
    /// What a fixed range sets: "open", "closed", "full", "off", "sound", "stop".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// Place on the wheel, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slot: Option<u8>,
    /// It means this only while another channel is inside these values.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub when: Option<WhenReading>,
    /// Seconds for which it must be held to act.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hold_s: Option<f64>,
    /// Why nothing may pass through it by accident.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub danger: Option<String>,
    /// What it does at both ends, as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub phys: Option<(f64, f64)>,
    /// The unit of `phys`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The words beside it.
    pub label: String,
    /// Where the reading comes from: "stated", "derived", "guessed".
    pub origin: String,
    /// Lines of the source.
    pub lines: Vec<u32>,
}

/// How the values inside a range differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub enum KindReading {
    /// In proportion.
    Level,
    /// Not at all.
    Fixed,
    /// In steps that are not told one by one.
    Select,
    /// Nothing happens.
    #[default]
    None,
}

/// Which way a level goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub enum Way {
    /// More with a larger value.
    Up,
    /// Less with a larger value.
    Down,
}

/// "While channel `ch` is between `from` and `to`."
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct WhenReading {
    /// The other channel.
    pub ch: u16,
    /// First of its values.
    pub from: u16,
    /// Last.
    pub to: u16,
}

/// Something in the source that can be read in more than one way, or in none.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct Question {
    /// The same as long as the words that raise it are: an answer is remembered by it.
    pub id: String,
    /// What sort of doubt: "gap", "overlap", "count", "missing_channel", "fine_without_coarse", "direction", "steps",
    /// "misprint", "unread", "condition", "no_steady", "cut", "meaning", "values", "danger", "columns".
    pub kind: String,
    /// The mode that it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mode: Option<String>,
    /// The channel that it is about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ch: Option<u16>,
    /// The question in words.
    pub text: String,
    /// Lines of the source that raise it.
    pub lines: Vec<u32>,
    /// What can be answered.
    pub answers: Vec<Choice>,
    /// What was answered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answered: Option<String>,
}

/// One answer to a question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
pub struct Choice {
    /// As it is sent back.
    pub value: String,
    /// As it is shown.
    pub text: String,
}
