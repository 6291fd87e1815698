//! The most probable way through a whole piece.

use super::{ANY_TEMPO, Grid, Likelihood, METRES};
use crate::net::Heard;

/// Nothing less is believed to be heard on a beat.
const LEAST: f32 = 0.01;

/// A beat of the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// Its frame; a fraction where the peak that is heard says so.
    pub frame: f32,
    /// Its place in the bar, from 1.
    pub place: u8,
    /// Beats of the bar.
    pub beats: u8,
}

/// Beats of the most probable way (the algorithm of A. Viterbi 1967). Only where one beat goes over into the next is there
/// a choice, so only those are kept.
pub fn path(heard: &[Heard]) -> Vec<Beat> {
    let grid = Grid::new();
    let ways = METRES.iter().map(|(beats, common)| way(&grid, *beats, *common, heard));
    let best = ways.max_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or_else(Vec::new, |(_, beats)| beats)
}

/// Logarithm of how probable the best way in one metre is, and its beats.
fn way(grid: &Grid, beats: u8, common: f32, heard: &[Heard]) -> (f32, Vec<Beat>) {
    let count = grid.intervals.len();
    let bar = usize::from(beats);
    let mut places = vec![f32::NEG_INFINITY; grid.size(beats)];
    for of_beat in places.chunks_exact_mut(grid.beat_size) {
        for (interval, (offset, frames)) in grid.offsets.iter().zip(&grid.intervals).enumerate() {
            let part = common * grid.prior[interval] / (bar * frames) as f32;
            of_beat[*offset..offset + frames].fill(libm::logf(part));
        }
    }
    let steps = Steps::new(grid);
    let mut from = vec![0_u8; heard.len() * bar * count];
    let mut leaving = vec![0.0; bar * count];
    let mut coming = vec![(f32::NEG_INFINITY, 0); count];
    for (frame, heard) in heard.iter().enumerate() {
        let likely = Likelihood::of(heard, LEAST);
        let likely = likely.logarithms();
        for (beat, places) in places.chunks_exact(grid.beat_size).enumerate() {
            for (interval, (offset, frames)) in grid.offsets.iter().zip(&grid.intervals).enumerate() {
                leaving[beat * count + interval] = places[offset + frames - 1];
            }
        }
        for (beat, places) in places.chunks_exact_mut(grid.beat_size).enumerate() {
            let before = (beat + bar - 1) % bar;
            let leaving = &leaving[before * count..(before + 1) * count];
            arrivals(&steps, leaving, &mut coming);
            let from = &mut from[(frame * bar + beat) * count..][..count];
            for (interval, (offset, frames)) in grid.offsets.iter().zip(&grid.intervals).enumerate() {
                let best = coming[interval];
                from[interval] = best.1 as u8;
                let places = &mut places[*offset..offset + frames];
                places.copy_within(..frames - 1, 1);
                places[0] = best.0;
                likely.weigh(beat, bar, places, |part, likely| *part += likely);
            }
        }
    }
    back(grid, beats, &places, &from, heard)
}

/// Logarithms of going from one interval to another.
struct Steps {
    /// To those near it: the first of them, and their parts.
    near: Vec<(usize, Vec<f32>)>,
    /// To each from anywhere.
    any: Vec<f32>,
}

impl Steps {
    fn new(grid: &Grid) -> Self {
        let any: Vec<f32> = grid.prior.iter().map(|prior| ANY_TEMPO * prior).collect();
        let near = |(first, parts): &(usize, Vec<f32>)| {
            let log = |(part, any): (&f32, &f32)| libm::logf(part + any);
            (*first, parts.iter().zip(&any[*first..]).map(log).collect())
        };
        Self {
            near: grid.next.iter().map(near).collect(),
            any: any.iter().map(|any| libm::logf(*any)).collect(),
        }
    }
}

/// For each interval the best that comes into it, and from which.
fn arrivals(steps: &Steps, leaving: &[f32], coming: &mut [(f32, usize)]) {
    let best = (0..leaving.len()).max_by(|a, b| leaving[*a].total_cmp(&leaving[*b])).unwrap_or(0);
    for (coming, any) in coming.iter_mut().zip(&steps.any) {
        *coming = (leaving[best] + any, best);
    }
    for (other, (leaving, (first, parts))) in leaving.iter().zip(&steps.near).enumerate() {
        for (coming, part) in coming[*first..].iter_mut().zip(parts) {
            let value = leaving + part;
            if value > coming.0 {
                *coming = (value, other);
            }
        }
    }
}

/// The way back from the most probable end.
fn back(grid: &Grid, beats: u8, places: &[f32], from: &[u8], heard: &[Heard]) -> (f32, Vec<Beat>) {
    let (count, bar) = (grid.intervals.len(), usize::from(beats));
    let Some((end, most)) = places.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)) else {
        return (f32::NEG_INFINITY, Vec::new());
    };
    let mut beat = end / grid.beat_size;
    let within = end % grid.beat_size;
    let mut interval = grid.offsets.iter().rposition(|offset| *offset <= within).unwrap_or(0);
    let mut frame = heard.len() as i64 - 1 - (within - grid.offsets[interval]) as i64;
    let mut found = Vec::new();
    while frame >= 0 {
        found.push(Beat { frame: peak(heard, frame as usize), place: beat as u8 + 1, beats });
        interval = usize::from(from[(frame as usize * bar + beat) * count + interval]);
        beat = (beat + bar - 1) % bar;
        frame -= grid.intervals[interval] as i64;
    }
    found.reverse();
    (*most, found)
}

/// Where about the beginning of a beat it is heard most.
fn peak(heard: &[Heard], frame: usize) -> f32 {
    let (begin, end) = (frame.saturating_sub(2), (frame + 3).min(heard.len()));
    let most = (begin..end).max_by(|a, b| heard[*a].beat.total_cmp(&heard[*b].beat)).unwrap_or(frame);
    let (left, here, right) = (
        most.checked_sub(1).map_or(0.0, |at| heard[at].beat),
        heard[most].beat,
        heard.get(most + 1).map_or(0.0, |next| next.beat),
    );
    if here < 0.1 {
        return frame as f32;
    }
    // The top of the parabola through three points.
    let bend = left - 2.0 * here + right;
    most as f32 + if bend < -1e-6 { (0.5 * (left - right) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}
