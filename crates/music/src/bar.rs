//! Where in the bar we are: a pointer that moves through the bar at some tempo, and how probable each place of it is.
//!
//! The model is the bar pointer of N. Whiteley, A. T. Cemgil and S. Godsill (ISMIR 2006) on the state space of F. Krebs,
//! S. Böck and G. Widmer (ISMIR 2015): a beat of n frames has n places, and the tempo changes only from beat to beat. Run
//! forward ([`Pointer`]) it follows; looked at from the end ([`path`]) it is the most probable way through a whole piece.

mod path;
mod pointer;

pub use path::{Beat, path};
pub use pointer::{Guess, Pointer};

use crate::net::Heard;

/// Beats of the bars that are looked for, the commonest first, and how common each is (from memory of popular music).
pub const METRES: [(u8, f32); 3] = [(4, 0.78), (3, 0.12), (2, 0.10)];

/// Between beats, what is heard is shared out over so many times as many frames as on them.
const BETWEEN: f32 = 15.0;

/// How much a beat is heard in its own frame, and one and two frames beside it.
const BESIDE: [f32; 3] = [1.0, 0.6, 0.2];

/// How unwilling the tempo is to change from one beat to the next: exp(−that · |ratio − 1|).
const STEADY: f32 = 90.0;

/// How often a beat goes on in any other tempo.
const ANY_TEMPO: f32 = 1e-5;

/// Tempos that are looked for, beats a minute.
pub const TEMPOS: [f64; 2] = [40.0, 230.0];

/// All places: tempo by tempo in each beat of each metre.
pub struct Grid {
    /// Frames of a beat, from fast to slow.
    intervals: Vec<usize>,
    /// Where the places of each interval begin within a beat.
    offsets: Vec<usize>,
    /// Places of one beat.
    beat_size: usize,
    /// How probable each interval is before anything is heard.
    prior: Vec<f32>,
    /// From each interval to those near it: first of them, and their parts.
    next: Vec<(usize, Vec<f32>)>,
}

/// How likely what was heard is: where no beat is, and on and beside a beat, the first of a bar or another.
#[derive(Clone, Copy, Debug)]
struct Likelihood {
    between: f32,
    first: [f32; 3],
    other: [f32; 3],
}

impl Default for Grid {
    fn default() -> Self {
        Self::new()
    }
}

impl Grid {
    /// Of [`TEMPOS`].
    pub fn new() -> Self {
        let frames = |bpm: f64| 60.0 * crate::FRAMES_A_SECOND / bpm;
        let (fast, slow) = (libm::round(frames(TEMPOS[1])) as usize, libm::round(frames(TEMPOS[0])) as usize);
        // Every frame where that is more than a fortieth, then in steps of a fortieth.
        let mut intervals = vec![fast];
        while let Some(last) = intervals.last().copied().filter(|last| *last < slow) {
            intervals.push((last + (last / 40).max(1)).min(slow));
        }
        let mut offsets = Vec::new();
        let mut beat_size = 0;
        for interval in &intervals {
            offsets.push(beat_size);
            beat_size += interval;
        }
        let mut prior: Vec<f32> = intervals.iter().map(|interval| commonness(*interval)).collect();
        let all: f32 = prior.iter().sum();
        prior.iter_mut().for_each(|part| *part /= all);
        let next = intervals.iter().map(|interval| near(&intervals, *interval)).collect();
        Self { intervals, offsets, beat_size, prior, next }
    }

    /// Places of a whole metre.
    fn size(&self, beats: u8) -> usize {
        self.beat_size * usize::from(beats)
    }
}

/// People tap most easily at about 500 ms a beat, and seldom far from it (D. Moelants 2002: a peak at 120 to 125 BPM); wide
/// enough here that any music can win against it.
fn commonness(interval: usize) -> f32 {
    let octaves = libm::log2f(interval as f32 / 50.0);
    libm::expf(-0.5 * (octaves / 0.8) * (octaves / 0.8)) / interval as f32
}

/// The parts that go on to other intervals.
fn near(intervals: &[usize], from: usize) -> (usize, Vec<f32>) {
    let part = |to: usize| libm::expf(-STEADY * libm::fabsf(to as f32 / from as f32 - 1.0));
    let parts: Vec<f32> = intervals.iter().map(|to| part(*to)).collect();
    let all: f32 = parts.iter().sum();
    let close = |part: &f32| *part > 1e-4 * all;
    let first = parts.iter().position(close).unwrap_or(0);
    let end = parts.iter().rposition(close).map_or(parts.len(), |last| last + 1);
    (first, parts[first..end].iter().map(|part| part / all).collect())
}

impl Likelihood {
    /// `least`: no less is taken for what is heard on a beat, so that what is silent for a while does not speak against it.
    fn of(heard: &Heard, least: f32) -> Self {
        let any = heard.beat.max(heard.first).clamp(least, 0.98);
        let first = heard.first.clamp(least * 0.5, 0.97);
        let between = (1.0 - any) / BETWEEN;
        let beside = |on: f32| BESIDE.map(|part| part * on + (1.0 - part) * between);
        Self { between, first: beside(first), other: beside((any - first).max(least * 0.5)) }
    }

    fn logarithms(&self) -> Self {
        let log = |of: [f32; 3]| of.map(libm::logf);
        Self { between: libm::logf(self.between), first: log(self.first), other: log(self.other) }
    }

    /// On and beside a beat of the bar, the first is 0.
    fn on(&self, beat: usize) -> &[f32; 3] {
        if beat == 0 { &self.first } else { &self.other }
    }

    /// Weighs the places of one beat of the bar, which has `beats`; `by` takes a place and a likelihood.
    fn weigh(&self, beat: usize, beats: usize, places: &mut [f32], by: impl Fn(&mut f32, f32)) {
        let (own, next) = (self.on(beat), self.on((beat + 1) % beats));
        let count = places.len();
        for (place, likely) in places.iter_mut().zip(own) {
            by(place, *likely);
        }
        for place in &mut places[3..count - 2] {
            by(place, self.between);
        }
        by(&mut places[count - 1], next[1]);
        by(&mut places[count - 2], next[2]);
    }
}
