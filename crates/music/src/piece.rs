//! A whole piece: what is in a sound file.

mod figures;
mod hindsight;
mod kinds;
mod lines;
mod marks;

use crate::spectrum::Loudness;
use crate::tracker::{Class, Event, Mark, NoTracker, Tracker, What};
use crate::{HOP, RATE};
pub use hindsight::Hearing;

/// A piece, by what happens in it. Moments are seconds of sound from the beginning; `told` says when it was known, which is
/// long after for all that was found by looking back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Piece {
    /// Its length.
    pub secs: f64,
    /// Beats, in order.
    pub beats: Vec<Beat>,
    /// What begins, in order.
    pub onsets: Vec<Onset>,
    /// Lines of the form, in order.
    pub lines: Vec<Line>,
    /// Parts from line to line, in order; none as it goes.
    pub parts: Vec<Part>,
    /// From when to when there is music with a beat.
    pub music: Vec<(f64, f64)>,
    /// Loudest sample of each hundredth of a second, full scale 1.
    pub peaks: Vec<f32>,
    /// Loudness of each hundredth of a second, dB below a full-scale sine.
    pub decibels: Vec<f32>,
}

/// A beat of a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// When it is.
    pub at: f64,
    /// When it was told.
    pub told: f64,
    /// Its place in the bar, from 1.
    pub place: u8,
    /// Beats of the bar.
    pub of: u8,
}

/// A sound that begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// When.
    pub at: f64,
    /// What.
    pub class: Class,
}

/// A line of the form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Where.
    pub at: f64,
    /// When it was told.
    pub told: f64,
    /// Which.
    pub mark: Mark,
}

/// A part of a piece: what lies between two lines of the form other than phrases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// What begins with it.
    pub mark: Mark,
    /// Parts of one kind sound alike: 0 for A, 1 for B and so on, in the order in which they come.
    pub kind: u8,
    /// How much goes on, 0 to 1: its level and drums against the fullest part's.
    pub energy: f32,
}

impl Piece {
    /// The tempo most beats have, beats a minute; none with fewer than four beats.
    pub fn bpm(&self) -> Option<f64> {
        let mut gaps: Vec<f64> = self.beats.windows(2).map(|pair| pair[1].at - pair[0].at).collect();
        if gaps.len() < 3 {
            return None;
        }
        gaps.sort_unstable_by(f64::total_cmp);
        Some(60.0 / gaps[gaps.len() / 2]).filter(|bpm| bpm.is_finite())
    }

    fn take(&mut self, event: Event) {
        let Event { at, told, what } = event;
        match what {
            What::Onset(class, _) => self.onsets.push(Onset { at, class }),
            What::Beat { place, of, .. } => self.beats.push(Beat { at, told, place, of }),
            What::Line(mark) => self.lines.push(Line { at, told, mark }),
            What::Music(true) => self.music.push((at, f64::INFINITY)),
            What::Music(false) => {
                if let Some(last) = self.music.last_mut() {
                    last.1 = at;
                }
            }
        }
    }

    fn end(&mut self, secs: f64) {
        self.secs = secs;
        self.onsets.sort_by(|a, b| a.at.total_cmp(&b.at));
        self.lines.sort_by(|a, b| a.at.total_cmp(&b.at));
        if let Some(last) = self.music.last_mut() {
            last.1 = last.1.min(secs);
        }
    }
}

/// What is seen of the sound itself.
#[derive(Default)]
struct Peaks {
    peak: f32,
    samples: usize,
}

impl Peaks {
    /// Takes samples of any rate; `each` is how many make a hundredth of a second.
    fn take(&mut self, samples: &[f32], each: usize, peaks: &mut Vec<f32>) {
        for sample in samples {
            self.peak = self.peak.max(sample.abs());
            self.samples += 1;
            if self.samples == each {
                peaks.push(self.peak);
                *self = Self::default();
            }
        }
    }
}

/// A piece heard as it goes: exactly what the live path tells, gathered.
pub struct Live {
    tracker: Tracker,
    piece: Piece,
    seen: Peaks,
    rate: u32,
    samples: u64,
}

impl Live {
    /// For sound of so many samples a second.
    ///
    /// # Errors
    /// A rate that sound cannot have.
    pub fn new(rate: u32) -> Result<Self, NoTracker> {
        Ok(Self {
            tracker: Tracker::new(rate)?,
            piece: Piece::default(),
            seen: Peaks::default(),
            rate,
            samples: 0,
        })
    }

    /// Takes mono samples.
    pub fn push(&mut self, samples: &[f32]) {
        self.samples += samples.len() as u64;
        self.seen.take(samples, self.rate as usize / 100, &mut self.piece.peaks);
        // A frame at a time, so that the loudness of each is seen.
        for block in samples.chunks(self.rate as usize / 100) {
            self.tracker.push(block, |event| self.piece.take(event));
            let loudness: Loudness = self.tracker.loudness();
            self.piece.decibels.resize((self.tracker.secs() * 100.0).round() as usize, loudness.decibels());
        }
    }

    /// All of it.
    pub fn end(mut self) -> Piece {
        self.piece.end(self.samples as f64 / f64::from(self.rate));
        self.piece
    }
}

const _: () = assert!(RATE as usize / 100 == HOP, "a frame is a hundredth of a second");
