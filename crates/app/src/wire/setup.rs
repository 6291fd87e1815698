//! Setting up at the venue: what pages are told of it, and what they ask. Ticks are one for all browsers.

use serde::{Deserialize, Serialize};

/// The set-up run, as it stands; sent first and again whenever something of it changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SetUpView {
    /// The check-off: each data line, each linked chain, lights on their own.
    pub parts: Vec<SetUpPart>,
    /// Lights that are all ticked.
    pub done: u32,
    /// Lights in all.
    pub of: u32,
    /// Lights that the line check can ask about.
    pub can_be_asked: u32,
    /// The line check, while it is open.
    pub check: Option<CheckView>,
    /// What is to be known of the ticks: where they are kept, or why they are not; mostly empty.
    pub says: String,
}

/// One data line, or chain.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SetUpPart {
    /// "line A".
    pub title: String,
    /// What is to be known first, sentences.
    pub says: Vec<String>,
    /// It cannot work as planned.
    pub refused: bool,
    /// Its lights in the order in which they are set up.
    pub cards: Vec<SetUpCard>,
}

/// One light.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SetUpCard {
    /// Its number.
    pub unit: u32,
    /// "small wash head on the front bar".
    pub title: String,
    /// What is done to it.
    pub steps: Vec<SetUpStep>,
    /// All of it is ticked.
    pub done: bool,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SetUpStep {
    /// What it is known by.
    pub key: String,
    /// `mode`, `address`, `link`, `programme`, `hang`, `bond`, `cable`, `power`.
    pub kind: String,
    /// What to do.
    pub says: String,
    /// What to mind with it.
    pub caution: Option<String>,
    /// Ticked.
    pub done: bool,
}

/// The line check.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CheckView {
    /// Lights are in its hand; else they are the show's again, and what was found stays to be read.
    pub open: bool,
    /// How many questions were answered; the open one is the next.
    pub answered: u32,
    /// The open question; none once nothing more can be told.
    pub question: Option<QuestionView>,
    /// How each light stands, by number.
    pub standings: Vec<StandingView>,
    /// What is likeliest wrong, most likely first.
    pub causes: Vec<CauseView>,
    /// What is to be known now: that blackout is on, that the rig was changed. Mostly empty.
    pub says: String,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct QuestionView {
    /// `lit`, `swing`, `power`.
    pub kind: String,
    /// In words.
    pub words: String,
    /// The lights that it is about.
    pub about: Vec<u32>,
    /// Each light that is to be looked at, by number: those that it is about, and the others.
    pub lights: Vec<AskedLight>,
}

/// One light in a question.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct AskedLight {
    /// Its number.
    pub unit: u32,
    /// Where it is: "front bar".
    pub place: String,
    /// What it should do.
    pub expected: SeenName,
    /// What it may do, what it should first.
    pub choices: Vec<SeenName>,
}

/// How one light stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct StandingView {
    /// Its number.
    pub unit: u32,
    /// `not asked`, `open`, `right`, `wrong`, `unreached`.
    pub stands: String,
}

/// What may be wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CauseView {
    /// The lights that it is about.
    pub units: Vec<u32>,
    /// What seems to be the case.
    pub says: String,
    /// What to do.
    pub remedy: String,
    /// It is taken to be so.
    pub sure: bool,
    /// What else it may be.
    pub or: Vec<String>,
}

/// What one light is seen to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub(crate) enum SeenName {
    /// No light.
    Dark,
    /// Steady white.
    White,
    /// Lit otherwise, or moving by itself.
    Odd,
    /// It flickers.
    Flickers,
    /// Its head stands.
    Still,
    /// To the left, as seen from the audience.
    Left,
    /// To the right.
    Right,
    /// Away from the audience.
    Away,
    /// Towards the audience.
    Towards,
    /// Something is lit on the light itself.
    Powered,
    /// Nothing is.
    Unpowered,
}

/// A light that does otherwise than it should.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Otherwise {
    /// Its number.
    pub unit: u32,
    /// What it does; none: cannot say.
    pub seen: Option<SeenName>,
}
