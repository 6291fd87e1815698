//! Where something new begins: bar lines on which what comes differs most from what was.
//!
//! The measure is J. Foote's (ICME 2000): a checkerboard over how alike all pairs of bars are, here over beats' mean spectra
//! and drums.

use super::{Beat, Line};
use crate::FRAMES_A_SECOND;
use crate::net::Heard;
use crate::spectrum::{BANDS, Frame, Loudness};
use crate::tracker::Mark;

/// Figures of a bar: its bands and its drums.
const FIGURES: usize = BANDS + 4;

/// Bars to either side that are compared.
const BARS: usize = 8;

/// How far a line must stand out among all bars, in standard deviations.
const STANDS_OUT: f64 = 0.35;

/// No line lies nearer to another, bars.
const APART: usize = 3;

type Bar = [f64; FIGURES];

/// Lines of a piece.
pub(super) fn lines(beats: &[Beat], frames: &[Frame], loudness: &[Loudness], heard: &[Heard]) -> Vec<Line> {
    let begins: Vec<f64> = beats.iter().filter(|beat| beat.place == 1).map(|beat| beat.at).collect();
    let mut bars: Vec<Bar> =
        begins.windows(2).map(|pair| bar((pair[0], pair[1]), frames, loudness, heard)).collect();
    if bars.len() < 6 {
        return Vec::new();
    }
    even_out(&mut bars);
    let new: Vec<f64> = (0..bars.len()).map(|at| newness(&bars, at)).collect();
    let mean = new.iter().sum::<f64>() / new.len() as f64;
    let spread =
        libm::sqrt(new.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / new.len() as f64);
    let mut order: Vec<usize> = (2..bars.len() - 1).collect();
    order.sort_by(|a, b| new[*b].total_cmp(&new[*a]));
    let mut found: Vec<usize> = Vec::new();
    for at in order {
        let top = (at.saturating_sub(2)..(at + 3).min(new.len())).all(|near| new[near] <= new[at]);
        let apart = found.iter().all(|other| at.abs_diff(*other) > APART);
        if top && apart && new[at] > mean + STANDS_OUT * spread {
            found.push(at);
        }
    }
    found.sort_unstable();
    found.into_iter().map(|at| Line { at: begins[at], told: begins[at], mark: Mark::Section }).collect()
}

/// Mean figures from one moment to another.
fn bar((from, to): (f64, f64), frames: &[Frame], loudness: &[Loudness], heard: &[Heard]) -> Bar {
    let frame = |secs: f64| ((secs * FRAMES_A_SECOND) as usize + 2).min(frames.len());
    let mut bar = [0.0; FIGURES];
    let (from, to) = (frame(from), frame(to));
    for at in from..to {
        for (figure, level) in bar.iter_mut().zip(&frames[at]) {
            *figure += f64::from(libm::logf(loudness[at].power_of(*level) + 1e-10));
        }
        let drums = [heard[at].kick, heard[at].snare, heard[at].hat, heard[at].other];
        for (figure, drum) in bar[BANDS..].iter_mut().zip(drums) {
            *figure += f64::from(drum) * 100.0;
        }
    }
    bar.map(|figure| figure / (to - from).max(1) as f64)
}

/// Every figure with mean 0 and spread 1 over the piece.
fn even_out(bars: &mut [Bar]) {
    let count = bars.len() as f64;
    for figure in 0..FIGURES {
        let mean = bars.iter().map(|bar| bar[figure]).sum::<f64>() / count;
        let spread = libm::sqrt(
            bars.iter().map(|bar| (bar[figure] - mean) * (bar[figure] - mean)).sum::<f64>() / count,
        );
        // Drums count as much as a quarter of all bands.
        let weight = if figure < BANDS { 1.0 } else { 2.0 };
        for bar in bars.iter_mut() {
            bar[figure] = weight * (bar[figure] - mean) / spread.max(0.3);
        }
    }
}

/// How much what comes from a bar on differs from what was before it: unlikeness across the line over that on either side.
fn newness(bars: &[Bar], at: usize) -> f64 {
    let (begin, end) = (at.saturating_sub(BARS), (at + BARS).min(bars.len()));
    let (mut across, mut across_count, mut within, mut within_count) = (0.0, 0.0, 0.0, 0.0);
    for first in begin..end {
        for second in first + 1..end {
            // Near the line counts more.
            let away = |bar: usize| (bar as f64 + 0.5 - at as f64) / BARS as f64;
            let weight = libm::exp(-1.5 * (away(first) * away(first) + away(second) * away(second)));
            let apart = distance(&bars[first], &bars[second]);
            if (first < at) == (second < at) {
                within += weight * apart;
                within_count += weight;
            } else {
                across += weight * apart;
                across_count += weight;
            }
        }
    }
    if across_count <= 0.0 || within_count <= 0.0 {
        0.0
    } else {
        across / across_count - within / within_count
    }
}

fn distance(a: &Bar, b: &Bar) -> f64 {
    libm::sqrt(a.iter().zip(b).map(|(p, q)| (p - q) * (p - q)).sum::<f64>() / FIGURES as f64)
}
