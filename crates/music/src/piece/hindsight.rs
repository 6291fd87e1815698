//! A piece heard at once, from its beginning and from its end.

use super::{Beat, Line, Onset, Part, Peaks, Piece, figures, kinds, lines, marks};
use crate::bar;
use crate::net::{Heard, Hindsight, LATE_FRAMES, Live, UnusableWeights, Weights};
use crate::spectrum::{Frame, Loudness, Spectra};
use crate::tracker::{Event, Form, NoTracker, Onsets, WEIGHTS as LIVE, What};
use crate::{FRAMES_A_SECOND, HOP, Resampler};

/// The weights of the network that looks back, made by training/README.md.
static WEIGHTS: &[u8] = include_bytes!("../../weights/hindsight.weights");

/// Where the mean of so many frames is above this, there is music.
const MUSIC: f32 = 0.5;
const MUSIC_FRAMES: usize = 150;

/// Music is at least so long, and a gap in it, frames.
const LEAST_MUSIC: usize = 400;
const LEAST_GAP: usize = 200;

/// How much earlier than it was taught to this network tells of a beat, seconds: measured on clips that were not learned
/// from.
const EARLY: f64 = -0.012;

/// A piece that is being read, to be heard at its end.
pub struct Hearing {
    resampler: Resampler,
    spectra: Spectra,
    frames: Vec<Frame>,
    loudness: Vec<Loudness>,
    piece: Piece,
    seen: Peaks,
    rate: u32,
    samples: u64,
}

impl Hearing {
    /// For sound of so many samples a second.
    ///
    /// # Errors
    /// A rate that sound cannot have.
    pub fn new(rate: u32) -> Result<Self, NoTracker> {
        Ok(Self {
            resampler: Resampler::new(rate)?,
            spectra: Spectra::new(),
            frames: Vec::new(),
            loudness: Vec::new(),
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
        let Self { resampler, spectra, frames, loudness, .. } = self;
        resampler.push(samples, |piece| {
            spectra.push(piece, |frame, loud| {
                frames.push(*frame);
                loudness.push(loud);
            });
        });
    }

    /// Hears all of it.
    ///
    /// # Errors
    /// The weights that the program carries are unusable.
    pub fn end(mut self) -> Result<Piece, NoTracker> {
        // What the windows and the filter still hold back.
        let rest = vec![0.0; 3 * HOP];
        self.spectra.push(&rest, |frame, loud| {
            self.frames.push(*frame);
            self.loudness.push(loud);
        });
        let secs = self.samples as f64 / f64::from(self.rate);
        let mut piece = self.piece;
        piece.decibels = self.loudness.iter().map(Loudness::decibels).collect();
        let (live, heard) = both(&self.frames)?;
        for (from, to) in music(&heard, &self.loudness) {
            let told = secs;
            piece.music.push((from as f64 / FRAMES_A_SECOND, (to as f64 / FRAMES_A_SECOND).min(secs)));
            let beats = bar::path(&heard[from..to]).into_iter().map(|beat| Beat {
                at: (f64::from(beat.frame) + (from + 1 - LATE_FRAMES.min(from + 1)) as f64) / FRAMES_A_SECOND
                    + EARLY,
                told,
                place: beat.place,
                of: beat.beats,
            });
            piece.beats.extend(beats.filter(|beat| (0.0..=secs).contains(&beat.at)));
        }
        piece.onsets = onsets(&heard);
        (piece.lines, piece.parts) = form_of(&piece.beats, &self.frames, &self.loudness, [&live, &heard]);
        piece.end(secs);
        Ok(piece)
    }
}

/// What both networks hear, on the mean: one knows what comes, the other has been taught to be sure without. Where they
/// disagree about the level of the beat, both levels stay possible, and the way through the whole piece decides. Given: what
/// the first hears, and the mean.
fn both(frames: &[Frame]) -> Result<(Vec<Heard>, Vec<Heard>), UnusableWeights> {
    let mut follows = Live::new(&Weights::read(LIVE)?)?;
    let live: Vec<Heard> = frames.iter().map(|frame| follows.hear(frame)).collect();
    let back = Hindsight::new(&Weights::read(WEIGHTS)?)?.hear(frames);
    let mean = back.iter().zip(&live).map(|(back, live)| back.mean(live)).collect();
    Ok((live, mean))
}

/// What begins when.
fn onsets(heard: &[Heard]) -> Vec<Onset> {
    let (mut onsets, mut found) = (Onsets::default(), Vec::new());
    for (at, heard) in heard.iter().enumerate() {
        let told = (at + 1) as f64 / FRAMES_A_SECOND;
        onsets.hear(heard, told, &mut |event: Event| {
            if let What::Onset(class, _) = event.what {
                found.push(Onset { at: event.at, class });
            }
        });
    }
    found
}

/// Lines of the form: those that were told as it went, and those that show in looking back.
pub(super) fn form_of(
    beats: &[Beat],
    frames: &[Frame],
    loudness: &[Loudness],
    [live, heard]: [&[Heard]; 2],
) -> (Vec<Line>, Vec<Part>) {
    let (mut form, mut went) = (Form::default(), Vec::new());
    let mut next = beats.iter().peekable();
    for (at, ((heard, frame), loud)) in live.iter().zip(frames).zip(loudness).enumerate() {
        let told = (at + 1) as f64 / FRAMES_A_SECOND;
        let give = &mut |event: Event| {
            if let What::Line(mark) = event.what {
                went.push(Line { at: event.at, told: event.told, mark });
            }
        };
        form.hear(frame, loud, heard, told, give);
        while let Some(beat) = next.next_if(|beat| beat.at <= told) {
            form.beat(beat.at, beat.place, beat.of, told, give);
        }
    }
    let figures = figures::figures(beats, frames, loudness, heard);
    let begins = lines::lines(beats, &figures);
    let lines = marks::lines(beats, &begins, &went, frames.len() as f64 / FRAMES_A_SECOND);
    let parts = kinds::parts(beats, &figures, &lines);
    (lines, parts)
}

/// Stretches with music, in frames.
fn music(heard: &[Heard], loudness: &[Loudness]) -> Vec<(usize, usize)> {
    let sound = |at: usize| if loudness[at].is_silent() { 0.0 } else { heard[at].music };
    let half = MUSIC_FRAMES / 2;
    let mut sum: f32 = (0..heard.len().min(half)).map(sound).sum();
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for at in 0..heard.len() {
        if at + half < heard.len() {
            sum += sound(at + half);
        }
        if at > half {
            sum -= sound(at - half - 1);
        }
        let (begin, end) = (at.saturating_sub(half), (at + half + 1).min(heard.len()));
        if sum / ((end - begin) as f32) < MUSIC {
            continue;
        }
        match stretches.last_mut() {
            Some(last) if at - last.1 <= LEAST_GAP => last.1 = at + 1,
            _ => stretches.push((at, at + 1)),
        }
    }
    stretches.retain(|(from, to)| to - from >= LEAST_MUSIC);
    stretches
}
