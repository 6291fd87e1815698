//! How loud it was lately, and how many kicks there were.

use crate::FRAMES_A_SECOND;
use crate::spectrum::{Frame, LOW_BANDS, Loudness, TIMED_BANDS};

/// Frames that are remembered: twenty seconds.
const REMEMBERED: usize = 2_048;

/// Kicks and snares that are remembered.
const STRUCK: usize = 128;

/// What is full is taken over so many seconds.
const FULL_SECS: f64 = 2.0;

/// After so many frames the fullest is forgotten to a third: two minutes.
const FORGOTTEN_FRAMES: f64 = 12_000.0;

/// The kick is there while there are so many of the most that there were, and at least so many in two seconds; so is what
/// is low, of its greatest power.
pub(super) const THERE: f32 = 0.6;
const LEAST_KICKS: f32 = 1.2;
const LOW_THERE: f64 = 0.3;

/// All has played for a while after so many frames of it.
const FULL_FRAMES: u32 = 300;

/// So many seconds of silence end what played: this part of the fullest power (50 dB).
const SILENCE_SECS: f64 = 4.0;
const SILENCE: f64 = 1e-5;

/// A kick or snare counts from this probability on.
const HEARD: [f32; 2] = [0.15, 0.3];

/// After so many seconds the network tells of what was struck.
const LATE_SECS: f64 = 0.02;

/// Below 150 Hz; everything; above 4 kHz.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    Low,
    All,
    High,
}

/// What was loudest and had most kicks, each over two seconds.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Full {
    /// Mean power.
    pub(super) low: f64,
    pub(super) all: f64,
    /// How many kicks, each by its probability.
    pub(super) kicks: f32,
    /// For so many frames both were there.
    frames: u32,
}

impl Full {
    /// All has played for a while: what goes after it can come back.
    pub(super) fn was(&self) -> bool {
        self.frames > FULL_FRAMES
    }
}

/// Struck: when, and how probable that is.
type Struck = (f64, f32);

/// What was heard.
pub(super) struct Levels {
    /// Sums of power since the first frame; the place of each is its number.
    sums: Box<[[f64; 3]; REMEMBERED]>,
    frames: usize,
    /// Kicks and snares.
    struck: [Box<[Struck; STRUCK]>; 2],
    counts: [usize; 2],
    /// The probabilities of the last two frames.
    past: [[f32; 2]; 2],
    pub(super) full: Full,
}

impl Default for Levels {
    fn default() -> Self {
        Self {
            sums: Box::new([[0.0; 3]; REMEMBERED]),
            frames: 0,
            struck: [
                Box::new([(f64::NEG_INFINITY, 0.0); STRUCK]),
                Box::new([(f64::NEG_INFINITY, 0.0); STRUCK]),
            ],
            counts: [0; 2],
            past: [[0.0; 2]; 2],
            full: Full::default(),
        }
    }
}

/// Decibels of a power.
pub(super) fn decibels(power: f64) -> f32 {
    (10.0 * libm::log10(power + 1e-12)) as f32
}

impl Levels {
    /// Hears a frame; `kick`, `snare`: how probable one is. The moment of a kick that was found.
    pub(super) fn hear(&mut self, frame: &Frame, loudness: &Loudness, kick: f32, snare: f32) -> Option<f64> {
        let mean = |bands: &[f32]| {
            bands.iter().map(|level| f64::from(loudness.power_of(*level))).sum::<f64>() / bands.len() as f64
        };
        let timed = &frame[LOW_BANDS..];
        let powers = [mean(&frame[..5]), f64::from(loudness.power), mean(&timed[TIMED_BANDS * 3 / 4..])];
        let before = self.sums[self.frames % REMEMBERED];
        self.frames += 1;
        self.sums[self.frames % REMEMBERED] = std::array::from_fn(|part| before[part] + powers[part]);
        let found = self.strike([kick, snare]);
        self.fill();
        found
    }

    /// Peaks of what the network hears; the moment of a kick.
    fn strike(&mut self, now: [f32; 2]) -> Option<f64> {
        let [before, last] = self.past;
        let at = (self.frames.saturating_sub(1)) as f64 / FRAMES_A_SECOND - LATE_SECS;
        let mut kick = None;
        for drum in 0..2 {
            if last[drum] > HEARD[drum] && last[drum] >= now[drum] && last[drum] > before[drum] {
                self.struck[drum][self.counts[drum] % STRUCK] = (at, last[drum]);
                self.counts[drum] += 1;
                if drum == 0 {
                    kick = Some(at);
                }
            }
        }
        self.past = [last, now];
        kick
    }

    /// What played is over: what comes does not come back.
    pub(super) fn forget(&mut self) {
        self.full.frames = 0;
    }

    /// The fullest so far.
    fn fill(&mut self) {
        let keep = 1.0 - 1.0 / FORGOTTEN_FRAMES;
        let now = self.now();
        let (low, all) = if now > FULL_SECS / 2.0 {
            (self.mean(Part::Low, now - FULL_SECS, now), self.mean(Part::All, now - FULL_SECS, now))
        } else {
            (0.0, 0.0)
        };
        let kicks = self.kicks(now - FULL_SECS, now);
        let full = &mut self.full;
        full.low = if low > full.low { low } else { full.low * keep };
        full.all = if all > full.all { all } else { full.all * keep };
        full.kicks = if kicks > full.kicks { kicks } else { full.kicks * keep as f32 };
        let there = kicks >= THERE * full.kicks && kicks >= LEAST_KICKS && low >= LOW_THERE * full.low;
        full.frames = full.frames.saturating_add(u32::from(there));
        if now > SILENCE_SECS && self.mean(Part::All, now - SILENCE_SECS, now) < SILENCE * self.full.all {
            self.forget();
        }
    }

    /// Seconds of sound so far.
    pub(super) fn now(&self) -> f64 {
        self.frames as f64 / FRAMES_A_SECOND
    }

    /// Mean power from one moment to another, as far as it is remembered.
    pub(super) fn mean(&self, part: Part, from: f64, to: f64) -> f64 {
        let oldest = (self.frames + 1).saturating_sub(REMEMBERED);
        let place = |at: f64| ((at * FRAMES_A_SECOND).round().max(0.0) as usize).clamp(oldest, self.frames);
        let (from, to) = (place(from), place(to));
        if to <= from {
            return 0.0;
        }
        let sum = |at: usize| self.sums[at % REMEMBERED][part as usize];
        ((sum(to) - sum(from)) / (to - from) as f64).max(0.0)
    }

    /// Kicks from one moment to another, each by its probability.
    pub(super) fn kicks(&self, from: f64, to: f64) -> f32 {
        self.count(0, from, to).1
    }

    /// Snares from one moment to another.
    pub(super) fn snares(&self, from: f64, to: f64) -> f32 {
        self.count(1, from, to).0
    }

    fn count(&self, drum: usize, from: f64, to: f64) -> (f32, f32) {
        let mut sum = (0.0, 0.0);
        for number in (self.counts[drum].saturating_sub(STRUCK)..self.counts[drum]).rev() {
            let (at, sure) = self.struck[drum][number % STRUCK];
            if at < from {
                break;
            }
            if at < to {
                sum = (sum.0 + 1.0, sum.1 + sure);
            }
        }
        sum
    }
}
