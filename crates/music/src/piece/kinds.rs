//! Which parts of a piece sound alike.

use super::figures::{DRUMS, Figures, even_out};
use super::{Beat, Line, Part};
use crate::spectrum::BANDS;
use crate::tracker::Mark;

/// Parts that are less unlike than this are of one kind: root mean square over bands, in spreads, and drums.
const ALIKE: f64 = 0.42;

/// How much the drums count beside the bands.
const DRUMS_COUNT: f64 = 2.0;

/// Energy: so far below the loudest part is nothing, dB; how much of it are drums (as it is told live).
const RANGE: f64 = 18.0;
const DRUMS_SHARE: f64 = 0.4;

/// What a part is like, on the mean.
#[derive(Clone)]
struct Likeness {
    figures: Vec<f64>,
    beats: f64,
}

/// Parts of a piece, from line to line.
pub(super) fn parts(beats: &[Beat], figures: &[Figures], lines: &[Line]) -> Vec<Part> {
    let (Some(first), Some(last)) = (beats.first(), beats.last()) else { return Vec::new() };
    let mut even = figures.to_vec();
    even_out(&mut even);
    let begins = lines.iter().filter(|line| line.mark != Mark::Phrase).map(|line| (line.at, line.mark));
    let begins: Vec<(f64, Mark)> = std::iter::once((first.at, Mark::Section)).chain(begins).collect();
    let ends = begins.iter().skip(1).map(|begin| begin.0).chain([last.at]);
    let mut parts = Vec::new();
    let mut like: Vec<Likeness> = Vec::new();
    let mut sounds: Vec<(f64, f64)> = Vec::new();
    for ((from, mark), to) in begins.iter().copied().zip(ends) {
        let place = |at: f64| beats.partition_point(|beat| beat.at < at - 0.05).min(figures.len());
        let range = place(from)..place(to);
        if range.len() < 2 {
            continue;
        }
        let count = range.len() as f64;
        let power = figures[range.clone()].iter().map(|of| of.power).sum::<f64>() / count;
        let struck = |of: &Figures| (0..DRUMS).filter(|at| at % 4 < 2).map(|at| of.drums[at]).sum::<f64>();
        sounds.push((power, figures[range.clone()].iter().map(struck).sum::<f64>() / count));
        like.push(Likeness::of(&even[range]));
        parts.push(Part { from, to, mark, kind: 0, energy: 0.0 });
    }
    let most = |of: fn(&(f64, f64)) -> f64| sounds.iter().map(of).fold(1e-9, f64::max);
    let (loudest, busiest) = (most(|of| of.0), most(|of| of.1));
    for (part, (power, drums)) in parts.iter_mut().zip(&sounds) {
        let level = (1.0 + 10.0 * libm::log10((power + 1e-12) / loudest) / RANGE).clamp(0.0, 1.0);
        part.energy = (level * (1.0 - DRUMS_SHARE + DRUMS_SHARE * drums / busiest)) as f32;
    }
    for (part, kind) in parts.iter_mut().zip(kinds(&like)) {
        part.kind = kind;
    }
    parts
}

impl Likeness {
    fn of(figures: &[Figures]) -> Self {
        let count = figures.len() as f64;
        let bands = (0..BANDS).map(|band| figures.iter().map(|of| of.bands[band]).sum::<f64>() / count);
        let drums =
            (0..DRUMS).map(|drum| DRUMS_COUNT * figures.iter().map(|of| of.drums[drum]).sum::<f64>() / count);
        Self { figures: bands.chain(drums).collect(), beats: count }
    }

    fn unlike(&self, other: &Self) -> f64 {
        let pairs = self.figures.iter().zip(&other.figures);
        libm::sqrt(pairs.map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / self.figures.len() as f64)
    }

    fn join(&mut self, other: &Self) {
        let all = self.beats + other.beats;
        for (own, other_one) in self.figures.iter_mut().zip(&other.figures) {
            *own = (*own * self.beats + other_one * other.beats) / all;
        }
        self.beats = all;
    }
}

/// For each part the number of its kind, in the order in which they come: the nearest two are joined until none are alike.
fn kinds(parts: &[Likeness]) -> Vec<u8> {
    let mut groups: Vec<(Likeness, Vec<usize>)> =
        parts.iter().cloned().enumerate().map(|(at, like)| (like, vec![at])).collect();
    loop {
        let pairs = (0..groups.len()).flat_map(|a| (a + 1..groups.len()).map(move |b| (a, b)));
        let near =
            pairs.map(|(a, b)| (groups[a].0.unlike(&groups[b].0), a, b)).min_by(|x, y| x.0.total_cmp(&y.0));
        let Some((_, a, b)) = near.filter(|(unlike, ..)| *unlike < ALIKE) else { break };
        let (like, members) = groups.remove(b);
        groups[a].0.join(&like);
        groups[a].1.extend(members);
    }
    groups.sort_by_key(|(_, members)| members.iter().min().copied());
    let mut kinds = vec![0; parts.len()];
    for (kind, (_, members)) in groups.iter().enumerate() {
        members.iter().for_each(|at| kinds[*at] = u8::try_from(kind).unwrap_or(u8::MAX));
    }
    kinds
}
