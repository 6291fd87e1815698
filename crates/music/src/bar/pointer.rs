//! The pointer followed as it goes.

use super::{ANY_TEMPO, Grid, Likelihood, METRES};
use crate::net::Heard;

/// How often music stops and other music begins, a frame: once in a few minutes.
const OTHER_MUSIC: f32 = 4e-5;

/// Nothing less is believed to be heard on a beat; see [`Likelihood::of`].
const LEAST: f32 = 0.03;

/// Another place must be so many times more probable before the guess goes there.
const STAY: f32 = 1.5;

/// What belongs to one guess: intervals within this part of it, and phases within this part of a beat.
const SAME_TEMPO: f32 = 0.06;
const SAME_PHASE: f32 = 0.1;

/// Where the bar is, most probably.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// Frames of a beat.
    pub interval: f32,
    /// Place within the beat, 0 to 1.
    pub phase: f32,
    /// Beat within the bar, the first is 0.
    pub beat: u8,
    /// Beats of the bar.
    pub beats: u8,
    /// How much of all probability lies about this tempo and phase, 0 to 1.
    pub share: f32,
    /// Of that, how much says that this is the beat of the bar.
    pub bar_share: f32,
}

/// Probabilities of all places, and the best guess.
pub struct Pointer {
    grid: Grid,
    /// Metre after metre, in each beat after beat.
    places: Vec<Vec<f32>>,
    /// What leaves each beat of a metre, and what comes into the next.
    leaving: Vec<f32>,
    coming: Vec<f32>,
    guess: Option<Guess>,
    /// The most probable place: metre, beat, interval, place.
    best: [usize; 4],
    /// Only intervals between these are looked at.
    range: [f32; 2],
}

impl Default for Pointer {
    fn default() -> Self {
        Self::new()
    }
}

impl Pointer {
    /// Before anything was heard.
    pub fn new() -> Self {
        let grid = Grid::new();
        let places = METRES.iter().map(|(beats, _)| vec![0.0; grid.size(*beats)]).collect();
        let count = grid.intervals.len();
        let range = [0.0, f32::INFINITY];
        let mut pointer = Self {
            grid,
            places,
            leaving: vec![0.0; count * 8],
            coming: vec![0.0; count],
            guess: None,
            best: [0; 4],
            range,
        };
        pointer.forget();
        pointer
    }

    /// The best guess as of the last frame.
    pub fn guess(&self) -> Option<Guess> {
        self.guess
    }

    /// As if nothing had been heard yet.
    pub fn forget(&mut self) {
        self.guess = None;
        for ((beats, common), places) in METRES.iter().zip(&mut self.places) {
            for beat in places.chunks_exact_mut(self.grid.beat_size) {
                for (interval, (prior, offset)) in self.grid.prior.iter().zip(&self.grid.offsets).enumerate()
                {
                    let frames = self.grid.intervals[interval];
                    let inside = (self.range[0]..=self.range[1]).contains(&(frames as f32));
                    let part =
                        if inside { common * prior / (f32::from(*beats) * frames as f32) } else { 0.0 };
                    beat[*offset..*offset + frames].fill(part);
                }
            }
        }
    }

    /// Only beats of so many frames from now on: what lies outside is impossible.
    pub fn keep_to(&mut self, range: [f32; 2]) {
        self.range = range;
        self.forget();
    }

    /// Says where the bar is, by hand: this moment is so far in the beat `beat`; the rest is forgotten but for a little.
    pub fn put(&mut self, interval: f32, phase: f32, beat: u8) {
        let grid = &self.grid;
        for ((beats, common), places) in METRES.iter().zip(&mut self.places) {
            for (number, of_beat) in places.chunks_exact_mut(grid.beat_size).enumerate() {
                for (offset, frames) in grid.offsets.iter().zip(&grid.intervals) {
                    let off_tempo = libm::fabsf(*frames as f32 / interval - 1.0);
                    let here = number == usize::from(beat % beats) && off_tempo < SAME_TEMPO;
                    for (place, part) in of_beat[*offset..*offset + frames].iter_mut().enumerate() {
                        let near = here && away(place as f32 / *frames as f32, phase) < 0.5 * SAME_PHASE;
                        *part = *part * 1e-4
                            + if near {
                                common * libm::expf(-60.0 * off_tempo) / *frames as f32
                            } else {
                                0.0
                            };
                    }
                }
            }
        }
        self.scale();
        self.guess = None;
    }

    /// Hears one more frame.
    pub fn hear(&mut self, heard: &Heard) -> Guess {
        let likely = Likelihood::of(heard, LEAST);
        for (metre, (beats, common)) in METRES.iter().enumerate() {
            self.advance(metre, usize::from(*beats), *common, likely);
        }
        self.scale();
        self.look()
    }

    /// One frame on in a metre, weighed by what was heard.
    fn advance(&mut self, metre: usize, beats: usize, common: f32, likely: Likelihood) {
        let Self { grid, places, leaving, coming, range, .. } = self;
        let places = &mut places[metre];
        let count = grid.intervals.len();
        for (beat, places) in places.chunks_exact(grid.beat_size).enumerate() {
            for (interval, (offset, frames)) in grid.offsets.iter().zip(&grid.intervals).enumerate() {
                leaving[beat * count + interval] = places[offset + frames - 1];
            }
        }
        let anew = OTHER_MUSIC * common / beats as f32;
        for (beat, places) in places.chunks_exact_mut(grid.beat_size).enumerate() {
            let from = (beat + beats - 1) % beats;
            let leaving = &leaving[from * count..(from + 1) * count];
            let all: f32 = leaving.iter().sum();
            for (coming, prior) in coming.iter_mut().zip(&grid.prior) {
                *coming = ANY_TEMPO * all * prior;
            }
            for (part, (first, parts)) in leaving.iter().zip(&grid.next) {
                for (coming, share) in coming[*first..].iter_mut().zip(parts) {
                    *coming += part * share;
                }
            }
            for (interval, offset) in grid.offsets.iter().enumerate() {
                let frames = grid.intervals[interval];
                if !(range[0]..=range[1]).contains(&(frames as f32)) {
                    continue;
                }
                let places = &mut places[*offset..*offset + frames];
                places.copy_within(..frames - 1, 1);
                places[0] = coming[interval];
                let anew = anew * grid.prior[interval] / frames as f32;
                likely.weigh(beat, beats, places, |part, likely| *part = (*part + anew) * likely);
            }
        }
    }

    /// All probabilities together are one.
    fn scale(&mut self) {
        let all: f32 = self.places.iter().flatten().sum();
        if all > 1e-30 && all.is_finite() {
            let by = 1.0 / all;
            self.places.iter_mut().flatten().for_each(|part| *part *= by);
        } else {
            self.forget();
        }
    }

    /// The guess follows its own place unless another is clearly more probable.
    fn look(&mut self) -> Guess {
        let followed = self.guess.map(|guess| {
            let phase = guess.phase + 1.0 / guess.interval;
            let (phase, beat) = if phase >= 1.0 {
                (phase - 1.0, (guess.beat + 1) % guess.beats)
            } else {
                (phase, guess.beat)
            };
            self.about(guess.interval, phase, Some((beat, guess.beats)))
        });
        let fresh = self.find();
        let guess = match followed {
            Some(followed) if followed.share * STAY >= fresh.share => followed,
            _ => fresh,
        };
        self.guess = Some(guess);
        guess
    }

    /// The guess about the most probable place, all metres and beats of the bar together.
    fn find(&mut self) -> Guess {
        let mut most = 0.0;
        for (metre, places) in self.places.iter().enumerate() {
            for (beat, places) in places.chunks_exact(self.grid.beat_size).enumerate() {
                for (interval, (offset, frames)) in
                    self.grid.offsets.iter().zip(&self.grid.intervals).enumerate()
                {
                    let places = &places[*offset..*offset + frames];
                    // Summed over what one guess takes in, long beats have more places for the same.
                    for (place, part) in places.iter().enumerate() {
                        let weight = part * *frames as f32;
                        if weight > most {
                            most = weight;
                            self.best = [metre, beat, interval, place];
                        }
                    }
                }
            }
        }
        let [_, _, interval, place] = self.best;
        let frames = self.grid.intervals[interval];
        self.about(frames as f32, place as f32 / frames as f32, None)
    }

    /// What lies about a tempo and a phase: the mean of both, and which beat of which bar that is.
    fn about(&self, interval: f32, phase: f32, stay: Option<(u8, u8)>) -> Guess {
        let grid = &self.grid;
        let near = |frames: usize| libm::fabsf(frames as f32 / interval - 1.0) <= SAME_TEMPO;
        let first = grid.intervals.iter().position(|frames| near(*frames)).unwrap_or(0);
        let end = grid.intervals.iter().rposition(|frames| near(*frames)).map_or(first, |last| last + 1);
        let (mut share, mut intervals, mut shifts) = (0.0, 0.0, 0.0);
        let mut best: (f32, u8, u8) = (-1.0, 0, 4);
        let mut kept = 0.0;
        for ((beats, _), places) in METRES.iter().zip(&self.places) {
            for beat in 0..*beats {
                let mut of_beat = 0.0;
                for at in first..end {
                    let frames = grid.intervals[at] as f32;
                    let reach = libm::ceilf(SAME_PHASE * frames) as i64;
                    let middle = libm::roundf(phase * frames) as i64;
                    for place in middle - reach..=middle + reach {
                        // Past an end of the beat lies the beat beside it.
                        let (number, place) = match place {
                            place if place < 0 => (beat + beats - 1, place + grid.intervals[at] as i64),
                            place if place >= grid.intervals[at] as i64 => {
                                (beat + 1, place - grid.intervals[at] as i64)
                            }
                            place => (beat, place),
                        };
                        let index =
                            usize::from(number % beats) * grid.beat_size + grid.offsets[at] + place as usize;
                        let part = places[index];
                        let off = place as f32 / frames - phase;
                        of_beat += part;
                        intervals += part * frames;
                        shifts += part * (off - libm::roundf(off));
                    }
                }
                share += of_beat;
                if stay == Some((beat, *beats)) {
                    kept = of_beat;
                }
                if of_beat > best.0 {
                    best = (of_beat, beat, *beats);
                }
            }
        }
        if let Some((beat, beats)) = stay.filter(|_| kept * STAY >= best.0) {
            best = (kept, beat, beats);
        }
        let (mut phase, mut interval, (of_bar, mut beat, beats)) = (phase, interval, best);
        if share > 0.0 {
            phase += shifts / share;
            interval = intervals / share;
        }
        // The mean may lie past the end of the beat.
        if phase >= 1.0 {
            (phase, beat) = (phase - 1.0, (beat + 1) % beats);
        } else if phase < 0.0 {
            (phase, beat) = (phase + 1.0, (beat + beats - 1) % beats);
        }
        Guess {
            interval,
            phase,
            beat,
            beats,
            share,
            bar_share: if share > 0.0 { of_bar / share } else { 0.0 },
        }
    }
}

/// How far two phases lie from each other, 0 to a half.
fn away(a: f32, b: f32) -> f32 {
    let off = a - b;
    libm::fabsf(off - libm::roundf(off))
}
