//! Scored tracks, told; and what a page may ask of one that is played.

use lanthorn_store::values::Table;
use serde::{Deserialize, Serialize};

/// A scored track.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ScoreView {
    /// Its name.
    pub name: String,
    /// Its sound file, as the show's file has it.
    pub file: String,
    /// Its length, seconds.
    pub length_s: f64,
    /// When each bar begins, and when the last one ends, seconds.
    pub bars: Vec<f64>,
    /// Beats of each bar; 0 where there is no beat.
    pub beats: Vec<u32>,
    /// Lines of the form.
    pub lines: Vec<ScoreLineView>,
    /// Its parts, in the order in which they come.
    pub parts: Vec<ScorePartView>,
}

/// A line of the form.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ScoreLineView {
    /// When, seconds.
    pub at_s: f64,
    /// The bar that begins there; 0: the beginning.
    pub bar: u32,
    /// `section`, `phrase`, `breakdown`, `drop` or `lift`.
    pub kind: String,
    /// What it is called; may be empty.
    pub name: String,
    /// How much is going on, 0 to 1.
    pub energy: Option<f64>,
}

/// A part of a score.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ScorePartView {
    /// Its number in the file, from 1: changes call it so.
    pub part: u32,
    /// When it begins, seconds.
    pub at_s: f64,
    /// Where, as one says it: "bar 17", "bar 17, beat 3", "0:12.5".
    pub place: String,
    /// Since when it is dark before it, seconds; the same as `at_s` where it is not.
    pub dark_s: f64,
    /// The look that is on from here, its own or the last one named.
    pub look: Option<String>,
    /// The chases that run from here, likewise.
    pub chases: Vec<String>,
    /// The first colours of the look, `#rrggbb`.
    pub colours: Vec<String>,
    /// Why it is so, for people.
    pub why: String,
    /// Its values as the file has them, by their names there.
    #[cfg_attr(test, ts(type = "{ [key in ScorePartField]?: Value }"))]
    pub values: Table,
}

/// A score that is played now.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ScoreNow {
    /// Its name.
    pub score: String,
    /// Where it is, seconds.
    pub at_s: f64,
    /// Which page plays the sound, as it called itself; 0: the machine plays it, without sound.
    pub player: u32,
    /// All is dark before a part.
    pub dark: bool,
}

/// What a page asks of a score.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "do", rename_all = "snake_case")]
pub(crate) enum ScoreAsk {
    /// The machine plays it from there on, without sound.
    Play {
        /// Its name.
        score: String,
        /// From where, seconds.
        at_s: f64,
    },
    /// This page plays its sound: where it is. Said some times a second.
    At {
        /// Its name.
        score: String,
        /// Where, seconds.
        at_s: f64,
        /// When that was by the page's own clock, milliseconds.
        clock_ms: f64,
        /// What the page calls itself: any number above 0 that no other page has.
        player: u32,
    },
    /// Play no more. The light stays as it is.
    Stop,
}
