//! Where in its form the music stands: plain data, and the energy in it.

use crate::spectrum::Loudness;

/// What goes on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Phase {
    /// All that plays plays, or nothing else is known.
    #[default]
    Full,
    /// The kick and what is low have gone.
    Breakdown,
    /// They have gone, and it rises towards their return.
    Build,
}

/// Where in its form the music stands.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shape {
    /// What goes on.
    pub phase: Phase,
    /// How much goes on, against what this music had so far: 0 nothing, 1 as much as ever. It moves within a bar or two.
    pub energy: f32,
    /// Bars since the last phrase line, from 0.
    pub phrase_bar: u8,
    /// Phrase lines so far.
    pub phrases: u32,
    /// When the last drop was, seconds of sound since the first sample; none before the first.
    pub drop_at: Option<f64>,
    /// When the last line of the form was (phrase, section, breakdown, drop or lift), in the same seconds.
    pub line_at: Option<f64>,
}

/// How much goes on.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Energy {
    /// Running mean power, and the most that it was.
    power: f32,
    most: f32,
}

/// Frames over which it is taken: about a bar.
const FRAMES: f32 = 150.0;

/// Frames after which the most is forgotten to a third: three minutes.
const MOST_FRAMES: f32 = 18_000.0;

/// So far below the most is nothing, dB.
const RANGE: f32 = 20.0;

impl Energy {
    pub(super) fn hear(&mut self, loudness: &Loudness) {
        self.power += (loudness.power - self.power) / FRAMES;
        self.most = if self.power > self.most { self.power } else { self.most * (1.0 - 1.0 / MOST_FRAMES) };
    }

    /// 0 to 1.
    pub(super) fn value(&self) -> f32 {
        if self.most < 1e-9 {
            return 0.0;
        }
        (1.0 + 10.0 * libm::log10f(self.power / self.most + 1e-9) / RANGE).clamp(0.0, 1.0)
    }
}
