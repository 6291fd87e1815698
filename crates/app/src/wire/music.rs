//! What is told of the music, and what a page may ask of it.

use serde::{Deserialize, Serialize};

/// The music now, and how the show follows it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct MusicNow {
    /// What is listened to; `null` when nothing is.
    pub source: Option<MusicSource>,
    /// How it stands, one or two sentences.
    pub says: String,
    /// What comes next in what runs with the music: one sentence, or empty.
    pub next: String,
    /// It may set the tempo; otherwise the tempo is in the hand.
    pub follow: bool,
    /// It sets the tempo now.
    pub sets: bool,
    /// There is music with a beat.
    pub heard: bool,
    /// Nothing comes in any more.
    pub lost: bool,
    /// What is to be calm without music stands.
    pub calm: bool,
    /// Beats since a bar began, and beats a bar, of the show as it leaves.
    pub in_bar: f64,
    /// Beats a bar.
    pub bar_beats: f64,
    /// How sure the beat is, 0 to 1.
    pub sure: f64,
    /// How sure the place in the bar is, 0 to 1.
    pub bar_sure: f64,
    /// Tempo of the music itself, beats a minute; `null` while there is none.
    pub bpm: Option<f64>,
    /// So many beats of the show are one of the music.
    pub times: f64,
    /// By how much a hand has moved steps, milliseconds; earlier is positive.
    pub earlier_ms: f64,
    /// Slowest and fastest tempo that it may set, beats a minute.
    pub range: [f64; 2],
    /// It picks looks.
    pub picks: bool,
    /// The mood by which it picked last: `calm`, `groove` or `peak`.
    pub mood: Option<String>,
    /// What goes on in it: `full`, `breakdown` or `build`; `null` where nobody knows.
    pub phase: Option<String>,
    /// How much goes on, against what it had so far, 0 to 1; `null` where nobody knows.
    pub energy: Option<f64>,
    /// Bars until a phrase begins, rounded up; `null` while it is not known where phrases begin.
    pub line_bars: Option<f64>,
    /// Level, dB below a full-scale sine.
    pub level_db: Option<f64>,
    /// The loudest of late, dB below full scale.
    pub peak_db: Option<f64>,
    /// Low, middle and high sound, each 0 to 1 of the most of the last seconds.
    pub bands: [f64; 3],
    /// The input is set too loud.
    pub clips: bool,
    /// How late the sound arrives here, milliseconds, as far as that can be known.
    pub delay_ms: Option<f64>,
    /// Holes in the sound so far.
    pub gaps: f64,
}

/// What is listened to.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct MusicSource {
    /// Counts the sources that there were: a page knows its own by it.
    pub number: f64,
    /// What a person calls it.
    pub name: String,
    /// `sound`, `midi` or `score`.
    pub brings: String,
}

/// What a hand asks of the music.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "do", rename_all = "snake_case")]
pub(crate) enum MusicAsk {
    /// Follow it, or hold the tempo as it is now.
    Follow {
        /// Follow.
        on: bool,
    },
    /// So many times the tempo that there is now: 0.5 or 2.
    Times {
        /// How many.
        times: f64,
    },
    /// This beat is the first of a bar.
    One,
    /// Steps come earlier, or later where it is less than 0.
    Earlier {
        /// Milliseconds.
        ms: f64,
    },
    /// Slowest and fastest tempo that the music may set, beats a minute; the fastest is twice the slowest or more.
    Range {
        /// Slowest.
        slowest: f64,
        /// Fastest.
        fastest: f64,
    },
    /// Let it pick looks by its mood, or leave the look as it is.
    Pick {
        /// Pick.
        on: bool,
    },
    /// Listen to nothing.
    Off,
    /// Listen to a MIDI clock that this page hears, from now on.
    MidiClock {
        /// What the sender is called.
        name: String,
    },
    /// Messages of that clock.
    MidiTicks {
        /// Of each its status byte (F8, FA, FB, FC), and when it came by the page's own clock, milliseconds.
        ticks: Vec<(u8, f64)>,
    },
}

/// The first words of a page that sends sound, on a socket of its own.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct EarsHello {
    /// What a person calls the input.
    pub name: String,
    /// Samples a second.
    pub rate: u32,
    /// How long after it sounded the browser has the sound, milliseconds, as far as it knows.
    pub delay_ms: f64,
}

/// What it is told there.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "type", rename_all = "snake_case")]
pub(crate) enum ToEars {
    /// Send: blocks as binary messages, each the count of samples before it (8 bytes, little endian), then samples of 16 bit
    /// likewise.
    Listening {
        /// [`MusicSource::number`].
        number: f64,
    },
    /// It is not listened to, or not any more; the socket ends.
    Ended {
        /// Why, one sentence.
        says: String,
    },
}
