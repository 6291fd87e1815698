//! Whether something new began a bar ago: what came since is compared with the two bars before it.

use super::levels::{Levels, Part, decibels};
use crate::spectrum::{BANDS, Frame, Loudness, SCALE};

/// Beats that are remembered: what is usual is taken over them.
const REMEMBERED: usize = 96;

/// Beats before.
const BEFORE: usize = 8;

/// Beats before something that are looked at for whether it stands out.
const AROUND: usize = 4;

/// Nothing is new among so few beats.
const LEAST: usize = 12;

/// Seconds of a cymbal.
const CYMBAL_SECS: f64 = 0.3;

/// What is steadier counts as so steady, nepers of power.
const STEADIEST: f32 = 0.5;

/// What is heard in a beat: the mean logarithm of each band's power, and what is high just after it, dB.
#[derive(Clone, Copy)]
struct Figures {
    bands: [f32; BANDS],
    cymbal: f32,
}

/// Looks for what is new.
pub(super) struct Newness {
    past: Box<[Figures; REMEMBERED]>,
    beats: usize,
    now: [f32; BANDS],
    frames: f32,
    /// When the beat that goes on began.
    at: f64,
}

impl Default for Newness {
    fn default() -> Self {
        Self {
            past: Box::new([Figures { bands: [0.0; BANDS], cymbal: 0.0 }; REMEMBERED]),
            beats: 0,
            now: [0.0; BANDS],
            frames: 0.0,
            at: 0.0,
        }
    }
}

impl Newness {
    /// Hears a frame.
    pub(super) fn hear(&mut self, frame: &Frame, loudness: &Loudness) {
        let about = loudness.about();
        for (sum, level) in self.now.iter_mut().zip(frame) {
            *sum += about + level * SCALE;
        }
        self.frames += 1.0;
    }

    /// The next beat.
    pub(super) fn beat(&mut self, at: f64, levels: &Levels) {
        let bands = self.now.map(|sum| sum / self.frames.max(1.0));
        let cymbal = decibels(levels.mean(Part::High, self.at, (self.at + CYMBAL_SECS).min(at)));
        self.past[self.beats % REMEMBERED] = Figures { bands, cymbal };
        self.beats += 1;
        (self.now, self.frames, self.at) = ([0.0; BANDS], 0.0, at);
    }

    /// How much says that something began so many beats ago, on the first beat of a bar, log odds.
    pub(super) fn began(&self, since: usize) -> f32 {
        if self.beats < LEAST {
            return f32::NEG_INFINITY;
        }
        let spread = self.spread();
        let at = self.beats - since;
        let unlike = |at| self.unlike(at, since, &spread);
        let new = unlike(at);
        let before = (1..=AROUND).map(|back| unlike(at - back)).fold(0.0, f32::max);
        let mut cymbals: [f32; LEAST] = std::array::from_fn(|back| self.of(self.beats - 1 - back).cymbal);
        cymbals.sort_unstable_by(f32::total_cmp);
        let cymbal = self.of(at).cymbal - f32::midpoint(cymbals[LEAST / 2 - 1], cymbals[LEAST / 2]);
        // Of a logistic regression over 128 invented pieces (crate `clips`, styles `whole …`).
        2.456 * new + 1.511 * (new - before) + 0.223 * cymbal.clamp(-5.0, 12.0) - 4.342
    }

    fn of(&self, beat: usize) -> &Figures {
        &self.past[beat % REMEMBERED]
    }

    /// How much each band usually moves from beat to beat.
    fn spread(&self) -> [f32; BANDS] {
        let beats = self.beats.saturating_sub(REMEMBERED)..self.beats;
        let count = beats.len() as f32;
        let (mut sum, mut squares) = ([0.0_f32; BANDS], [0.0_f32; BANDS]);
        for beat in beats {
            for (band, level) in self.of(beat).bands.iter().enumerate() {
                sum[band] += level;
                squares[band] += level * level;
            }
        }
        std::array::from_fn(|band| {
            let mean = sum[band] / count;
            libm::sqrtf((squares[band] / count - mean * mean).max(0.0)).max(STEADIEST)
        })
    }

    /// How unlike so many beats from this on are to those before it.
    fn unlike(&self, at: usize, since: usize, spread: &[f32; BANDS]) -> f32 {
        let mean = |from: usize, to: usize, band: usize| {
            (from..to).map(|beat| self.of(beat).bands[band]).sum::<f32>() / (to - from) as f32
        };
        let before = at.saturating_sub(BEFORE);
        let apart = |band: usize| (mean(at, at + since, band) - mean(before, at, band)) / spread[band];
        libm::sqrtf((0..BANDS).map(|band| apart(band) * apart(band)).sum::<f32>() / BANDS as f32)
    }
}
