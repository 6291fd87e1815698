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
    let steps = steps(grid);
    let mut from = vec![0_u8; heard.len() * bar * count];
    let mut leaving = vec![0.0; bar * count];
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
            for (interval, (offset, frames)) in grid.offsets.iter().zip(&grid.intervals).enumerate() {
                let mut best = (f32::NEG_INFINITY, 0);
                for (other, leaving) in leaving.iter().enumerate() {
                    let value = leaving + steps[other * count + interval];
                    if value > best.0 {
                        best = (value, other);
                    }
                }
                from[(frame * bar + beat) * count + interval] = best.1 as u8;
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
fn steps(grid: &Grid) -> Vec<f32> {
    let count = grid.intervals.len();
    let mut steps: Vec<f32> = (0..count * count).map(|at| ANY_TEMPO * grid.prior[at % count]).collect();
    for (from, (first, parts)) in grid.next.iter().enumerate() {
        for (to, part) in parts.iter().enumerate() {
            steps[from * count + first + to] += part;
        }
    }
    steps.iter_mut().for_each(|step| *step = libm::logf(*step));
    steps
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
