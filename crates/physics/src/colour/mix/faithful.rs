//! Mixes of a colour under which other colours look as they should.
//!
//! All mixes of one colour at any level are a cone; the index does not change along its rays, so that the search goes
//! over rays. It climbs from several places by exchanging three emitters at a time, which is the smallest exchange that
//! keeps a colour. The index has more than one hill: what is found is good, and not proved to be the best.

use super::optimum::best_levels;
use super::{MAX_EMITTERS, Mix, Mixer, off_axis};
use crate::colour::rendering::{Reference, Rendering};
use crate::colour::{Chromaticity, white};
use crate::units::Kelvin;

type Levels = [f64; MAX_EMITTERS];

/// Such a mix gives at least this part of the most light of its colour: half is one stop of a camera, and where a level
/// is a square law it is what level 70 % gives anyway.
pub const LEAST_LIGHT: f64 = 0.5;

/// The climb ends at exchanges of this size, as a part of full.
const FINEST: f64 = 1.0 / 512.0;
/// An index that is better by less is not better.
const BETTER: f64 = 1e-4;
/// How many of the best places are climbed from.
const CLIMBS: usize = 3;
/// Whites are tabled from this to this mired, and so far apart.
const TABLED_MIRED: [f64; 2] = [100.0, 540.0];
const MIRED_STEP: f64 = 20.0;
/// How far from the line of whites, in CIE 1960 uv, colours count as white, and from where as colours.
const WHITE_WITHIN: f64 = 0.006;
const COLOUR_FROM: f64 = 0.018;
/// A mix that misses its colour by more than this, in u′v′, is not used.
const MISSES: f64 = 2e-4;

/// For every white that some emitters can mix, the mix under which colours look best: [`Whites::mix`] takes it from a
/// table, quickly and without allocating.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Whites {
    rows: Vec<Row>,
}

/// One white.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Row {
    uv: [f64; 2],
    /// The strongest is 1; none where this white is out of reach.
    levels: Option<Levels>,
}

impl Mixer {
    /// The mix of a colour under which other colours look best by their general colour rendering index, with at least
    /// a part `least` (0 to 1) of the most light of that colour, and that index. The strongest level is 1: dim it as
    /// wanted. Where there is nothing to choose (three emitters or fewer, a colour out of reach) it is the mix of the
    /// most light.
    pub fn best_rendering(
        &self,
        target: Chromaticity,
        rendering: &Rendering,
        least: f64,
    ) -> (Mix, Option<f64>) {
        let most = self.max_output(target);
        let Some(white) = self.light(&most.levels).chromaticity() else { return (most, None) };
        let judged = |mix: Mix| (mix, rendering.index(&mix.levels));
        if !most.reached || self.here.count_ones() < 4 || self.hull.len() < 3 {
            return judged(most);
        }
        let Some(reference) = rendering.reference(&most.levels) else { return judged(most) };
        let climb = Climb {
            mixer: self,
            rendering,
            reference: &reference,
            floor: least.clamp(0.0, 1.0) * most.luminance,
            exchanges: self.exchanges(white),
        };
        let mut best = (most.levels, f64::NEG_INFINITY);
        let starts = self.starts(white, &most.levels).into_iter().map(strongest_at_full);
        let mut starts: Vec<(Levels, f64)> = starts.filter_map(|start| climb.judged(start)).collect();
        starts.sort_by(|a, b| b.1.total_cmp(&a.1));
        for start in starts.into_iter().take(CLIMBS) {
            let found = climb.from(start);
            if found.1 > best.1 + BETTER {
                best = found;
            }
        }
        judged(self.mix(best.0, true))
    }

    /// Places to climb from: the most light; the mixes with as much of one emitter as the colour bears; their mean.
    pub(super) fn starts(&self, colour: Chromaticity, most: &Levels) -> Vec<Levels> {
        let rows = self.rows(colour, [0.0; MAX_EMITTERS]).map(|[_, a, b]| [a, b]);
        let mut starts = vec![*most];
        let mut mean = *most;
        for index in (0..MAX_EMITTERS).filter(|index| (self.here >> index) & 1 == 1) {
            let mut gain = [0.0; MAX_EMITTERS];
            gain[index] = 1.0;
            if let Some(levels) = best_levels(&rows, &gain, [0.0, 0.0], self.here) {
                mean = std::array::from_fn(|at| mean[at] + levels[at]);
                starts.push(levels);
            }
        }
        starts.insert(1, mean);
        starts
    }

    /// Every change of three levels that keeps a colour, the largest of the three being 1.
    fn exchanges(&self, colour: Chromaticity) -> Vec<Levels> {
        let pulls = self.xyz.map(|xyz| off_axis(xyz, colour));
        let lit: Vec<usize> = (0..MAX_EMITTERS).filter(|index| (self.here >> index) & 1 == 1).collect();
        let mut exchanges = Vec::new();
        for (place, &a) in lit.iter().enumerate() {
            for (next, &b) in lit.iter().enumerate().skip(place + 1) {
                for &c in &lit[next + 1..] {
                    let across = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
                    let change =
                        [across(pulls[b], pulls[c]), across(pulls[c], pulls[a]), across(pulls[a], pulls[b])];
                    let largest = change.iter().fold(0.0_f64, |most, part| most.max(part.abs()));
                    if largest > 0.0 {
                        let mut levels = [0.0; MAX_EMITTERS];
                        for (index, part) in [a, b, c].into_iter().zip(change) {
                            levels[index] = part / largest;
                        }
                        exchanges.push(levels);
                    }
                }
            }
        }
        exchanges
    }
}

struct Climb<'a> {
    mixer: &'a Mixer,
    rendering: &'a Rendering,
    reference: &'a Reference,
    floor: f64,
    exchanges: Vec<Levels>,
}

impl Climb<'_> {
    /// The top of the hill above a place and its index.
    fn from(&self, start: (Levels, f64)) -> (Levels, f64) {
        let mut best = start;
        let mut step = 0.25;
        while step >= FINEST {
            let mut better = false;
            for exchange in &self.exchanges {
                for sign in [step, -step] {
                    let moved = std::array::from_fn(|index| {
                        let level = best.0[index] + sign * exchange[index];
                        if level < 0.0 && level > -1e-12 { 0.0 } else { level }
                    });
                    if let Some(found) = self.judged(strongest_at_full(moved))
                        && found.1 > best.1 + BETTER
                    {
                        best = found;
                        better = true;
                    }
                }
            }
            if !better {
                step /= 2.0;
            }
        }
        best
    }

    /// The index of levels; none where a level is below zero or the light too little.
    fn judged(&self, levels: Levels) -> Option<(Levels, f64)> {
        let allowed = levels.iter().all(|level| *level >= 0.0)
            && self.mixer.light(&levels).y >= self.floor * (1.0 - 1e-9);
        allowed.then(|| (levels, self.rendering.index_beside(self.reference, &levels)))
    }
}

impl Whites {
    /// For a light's emitters. Takes a millisecond or so for each white.
    pub fn new(mixer: &Mixer, rendering: &Rendering) -> Self {
        let count = ((TABLED_MIRED[1] - TABLED_MIRED[0]) / MIRED_STEP) as usize + 1;
        let row = |index: usize| {
            let mired = TABLED_MIRED[0] + MIRED_STEP * index as f64;
            let colour = white(Kelvin::new(1e6 / mired), None);
            let reached = mixer.in_gamut(colour) && mixer.here.count_ones() >= 4;
            let levels = reached.then(|| mixer.best_rendering(colour, rendering, LEAST_LIGHT).0.levels);
            Row { uv: colour.uv_1960(), levels }
        };
        let rows: Vec<Row> = (0..count).map(row).collect();
        if rows.iter().all(|row| row.levels.is_none()) { Self::default() } else { Self { rows } }
    }

    /// `true` when no white leaves anything to choose.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The levels for a colour at a part (0 to 1) of the most light of it: the best for whites as far as their light goes,
    /// from there on more and more those of the most light, so that the same part is as bright either way. Colours get
    /// the most light, and what lies between is blended.
    pub fn mix(&self, mixer: &Mixer, target: Chromaticity, part: f64) -> Mix {
        let most = mixer.max_output(target);
        let wanted = most.luminance * part.clamp(0.0, 1.0);
        let Some(best) = self.levels(mixer, most.chromaticity).filter(|_| most.reached) else {
            return most.dimmed(part);
        };
        let light = mixer.light(&best).y;
        let levels = if wanted <= light || most.luminance <= light {
            best.map(|level| level * (wanted / light).min(1.0))
        } else {
            let along = (wanted - light) / (most.luminance - light);
            blend(&best, &most.levels, along)
        };
        mixer.mix(levels, true)
    }

    /// The levels for a colour, the strongest at full.
    fn levels(&self, mixer: &Mixer, colour: Chromaticity) -> Option<Levels> {
        let [u, v] = colour.uv_1960();
        let mut nearest: Option<(f64, Levels)> = None;
        for pair in self.rows.windows(2) {
            let [Row { uv: from, levels: Some(first) }, Row { uv: to, levels: Some(second) }] = pair else {
                continue;
            };
            let edge = [to[0] - from[0], to[1] - from[1]];
            let length = edge[0] * edge[0] + edge[1] * edge[1];
            let along = (((u - from[0]) * edge[0] + (v - from[1]) * edge[1]) / length).clamp(0.0, 1.0);
            let away = libm::hypot(from[0] + edge[0] * along - u, from[1] + edge[1] * along - v);
            if nearest.is_none_or(|(least, _)| away < least) {
                nearest = Some((away, blend(first, second, along)));
            }
        }
        let (away, near) = nearest.filter(|(away, _)| *away < COLOUR_FROM)?;
        let exact = strongest_at_full(mixer.turned_to(near, colour)?);
        if away <= WHITE_WITHIN {
            return Some(exact);
        }
        let along = (away - WHITE_WITHIN) / (COLOUR_FROM - WHITE_WITHIN);
        let most = mixer.max_output(colour).levels;
        Some(strongest_at_full(blend(&exact, &most, along * along * (3.0 - 2.0 * along))))
    }
}

impl Mixer {
    /// Levels of a neighbouring colour changed as little as can be, each in proportion to itself, to give a colour; none
    /// when that would take an emitter below nothing.
    fn turned_to(&self, levels: Levels, colour: Chromaticity) -> Option<Levels> {
        let pulls = self.xyz.map(|xyz| off_axis(xyz, colour));
        let (mut aa, mut ab, mut bb, mut rest) = (0.0, 0.0, 0.0, [0.0; 2]);
        for (level, [a, b]) in levels.iter().zip(pulls) {
            let weight = level * level;
            aa += weight * a * a;
            ab += weight * a * b;
            bb += weight * b * b;
            rest[0] += level * a;
            rest[1] += level * b;
        }
        let determinant = aa * bb - ab * ab;
        if determinant <= 0.0 {
            return None;
        }
        let price =
            [(bb * rest[0] - ab * rest[1]) / determinant, (aa * rest[1] - ab * rest[0]) / determinant];
        let turned = std::array::from_fn(|index| {
            let [a, b] = pulls[index];
            levels[index] - levels[index] * levels[index] * (a * price[0] + b * price[1])
        });
        let own = self.light(&strongest_at_full(turned)).chromaticity()?;
        let fits = turned.iter().all(|level| *level >= 0.0) && own.distance_uv(colour) <= MISSES;
        fits.then_some(turned)
    }
}

fn blend(from: &Levels, to: &Levels, part: f64) -> Levels {
    std::array::from_fn(|index| from[index] + (to[index] - from[index]) * part)
}

fn strongest_at_full(levels: Levels) -> Levels {
    let most = levels.iter().fold(0.0_f64, |most, level| most.max(*level));
    if most > 0.0 { levels.map(|level| level / most) } else { levels }
}
