//! Where something new begins, looking back.
//!
//! Beat by beat what comes is compared with what was, over one, two and four bars to either side, after J. Foote (ICME 2000).
//! Where the two differ, more than at the beats around, and where a cymbal falls on the first beat of a bar, there is likely
//! a line. The most probable lines of the whole piece are taken together: parts of four and eight bars are likelier than
//! others.

use super::Beat;
use super::figures::{Figures, even_out, mean_and_spread};

/// Beats to either side that are compared.
const SIDES: [usize; 3] = [4, 8, 16];

/// Beats around, among which a line stands out.
const AROUND: usize = 4;

/// Fewer beats have no parts.
const LEAST: usize = 24;

/// Beats so much further apart than usual do not belong together.
const PAUSE: f64 = 3.0;

/// No line is nearer to another, or to the beginning or end, beats.
const APART: usize = 6;
const EDGE: usize = 4;

/// What a line must weigh to be one, log odds; what it must to be thought of.
const COST: f64 = -0.5;
const THOUGHT_OF: f64 = -4.5;

/// The longest part whose length says something, beats.
const LONGEST: usize = 72;

/// How much the first beats of bars are trusted, log odds, against what the lines themselves say of where bars begin.
const FIRST_TRUST: f64 = 3.0;

/// Weights of a logistic regression over 128 invented pieces (crate `clips`, styles `whole …`).
const WEIGHTS: Weights = Weights {
    bands: [[0.544, 0.604], [0.0, 0.216], [0.396, 1.125]],
    drums: [[0.481, 0.0], [0.17, 0.396]],
    cymbal: 0.192,
    first: 3.194,
    none: -5.572,
};

struct Weights {
    /// For each side: the difference, and how it stands out.
    bands: [[f64; 2]; 3],
    /// The same for the first two.
    drums: [[f64; 2]; 2],
    /// A dB.
    cymbal: f64,
    first: f64,
    none: f64,
}

/// Lines of a piece: which beats they are.
pub(super) fn lines(beats: &[Beat], figures: &[Figures]) -> Vec<usize> {
    let mut gaps: Vec<f64> = beats.windows(2).map(|pair| pair[1].at - pair[0].at).collect();
    if gaps.len() < LEAST {
        return Vec::new();
    }
    gaps.sort_unstable_by(f64::total_cmp);
    let pause = PAUSE * gaps[gaps.len() / 2];
    let ends = (1..=beats.len()).filter(|at| *at == beats.len() || beats[*at].at - beats[at - 1].at > pause);
    let (mut from, mut found) = (0, Vec::new());
    for to in ends {
        let part = &beats[from..to];
        if part.len() > LEAST {
            let mut figures = figures[from..to - 1].to_vec();
            even_out(&mut figures);
            let weights = weigh(&figures, part);
            found.extend(likeliest(&weights).into_iter().map(|at| from + at));
        }
        from = to;
    }
    found
}

/// How much says that a line is at each beat, log odds.
fn weigh(figures: &[Figures], beats: &[Beat]) -> Vec<f64> {
    let mut weights = vec![WEIGHTS.none; figures.len()];
    let mut add = |new: &[f64], [height, out]: [f64; 2]| {
        for (weight, (high, stands)) in weights.iter_mut().zip(standing_out(new)) {
            *weight += height * high + out * stands;
        }
    };
    for (side, weight) in SIDES.into_iter().zip(WEIGHTS.bands) {
        add(&newness(figures, side, |of| &of.bands), weight);
    }
    for (side, weight) in SIDES.into_iter().zip(WEIGHTS.drums) {
        add(&newness(figures, side, |of| &of.drums), weight);
    }
    for (at, weight) in weights.iter_mut().enumerate() {
        let (begin, end) = (at.saturating_sub(8), (at + 8).min(figures.len()));
        let others: Vec<f64> =
            (begin..end).filter(|near| *near != at).map(|near| figures[near].cymbal).collect();
        *weight += WEIGHTS.cymbal * (figures[at].cymbal - middle(others)).clamp(-5.0, 12.0);
    }
    let first = first_of_bars(&weights, beats);
    for (weight, beat) in weights.iter_mut().zip(beats) {
        *weight += if beat.place == first { WEIGHTS.first } else { 0.0 };
    }
    weights
}

/// Unlikeness of what comes from each beat on, so many beats, and what was before it.
fn newness<const N: usize>(figures: &[Figures], side: usize, of: impl Fn(&Figures) -> &[f64; N]) -> Vec<f64> {
    let mut sums = vec![[0.0; N]; figures.len() + 1];
    for (at, figure) in figures.iter().enumerate() {
        sums[at + 1] = std::array::from_fn(|index| sums[at][index] + of(figure)[index]);
    }
    let unlike = |at: usize| {
        let (begin, end) = (at.saturating_sub(side), (at + side).min(figures.len()));
        if at - begin < 2 || end - at < 2 {
            return 0.0;
        }
        let mean =
            |from: usize, to: usize, index: usize| (sums[to][index] - sums[from][index]) / (to - from) as f64;
        let apart = |index| mean(at, end, index) - mean(begin, at, index);
        libm::sqrt((0..N).map(|index| apart(index) * apart(index)).sum::<f64>() / N as f64)
    };
    (0..figures.len()).map(unlike).collect()
}

/// How high each value is among all, and how far above those around it, both in spreads.
fn standing_out(values: &[f64]) -> Vec<(f64, f64)> {
    let spread = mean_and_spread(values.iter().copied()).1.max(1e-3);
    let usual = middle(values.to_vec());
    let of = |at: usize| {
        let around =
            (at.saturating_sub(AROUND)..(at + AROUND + 1).min(values.len())).filter(|near| *near != at);
        let most = around.map(|near| values[near]).fold(f64::MIN, f64::max);
        (((values[at] - usual) / spread).clamp(-1.5, 4.0), ((values[at] - most) / spread).clamp(-2.0, 2.0))
    };
    (0..values.len()).map(of).collect()
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    match values.len() {
        0 => 0.0,
        count => f64::midpoint(values[(count - 1) / 2], values[count / 2]),
    }
}

/// The place in the bar that lines fall on: mostly the first, where it is told right.
fn first_of_bars(weights: &[f64], beats: &[Beat]) -> u8 {
    let of = beats.iter().map(|beat| beat.of).max().unwrap_or(1);
    let says = |place: u8| {
        let on = weights.iter().zip(beats).filter(|(_, beat)| beat.place == place);
        let sum: f64 = on.map(|(weight, _)| libm::exp((weight + 2.5).clamp(-10.0, 6.0))).sum();
        libm::log1p(sum) + if place == 1 { FIRST_TRUST } else { 0.0 }
    };
    (1..=of).max_by(|a, b| says(*a).total_cmp(&says(*b))).unwrap_or(1)
}

/// The lines that together weigh most.
fn likeliest(weights: &[f64]) -> Vec<usize> {
    let last = weights.len().saturating_sub(EDGE - 1);
    let may: Vec<usize> = (EDGE..last).filter(|at| weights[*at] > THOUGHT_OF).collect();
    // For each: the most that it and those before it weigh, and the one before it.
    let mut best: Vec<(f64, Option<usize>)> = Vec::with_capacity(may.len());
    for (index, at) in may.iter().enumerate() {
        let own = weights[*at] - COST;
        let before = (0..index).rev().filter(|other| at - may[*other] >= APART);
        let joined = before.map(|other| (best[other].0 + own + length(at - may[other]), Some(other)));
        best.push(joined.fold((own, None), |most, next| if next.0 > most.0 { next } else { most }));
    }
    let top = (0..may.len()).max_by(|a, b| best[*a].0.total_cmp(&best[*b].0)).filter(|at| best[*at].0 > 0.0);
    let mut lines: Vec<usize> = std::iter::successors(top, |at| best[*at].1).map(|at| may[at]).collect();
    lines.reverse();
    lines
}

/// How likely a part of so many beats is, log odds.
fn length(beats: usize) -> f64 {
    match beats {
        0..=LONGEST if beats.is_multiple_of(16) => 1.0,
        0..=LONGEST if beats.is_multiple_of(8) => 0.5,
        0..=LONGEST if beats.is_multiple_of(4) => 0.0,
        0..=LONGEST if (beats + 1) % 16 <= 2 => 0.0,
        0..=LONGEST => -0.8,
        _ => 0.0,
    }
}
