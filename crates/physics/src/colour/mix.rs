//! What emitters can mix: the levels that give a colour, with as much light as there is or with the fewest watts.
//!
//! Everything is in linear light: a level of 0.5 is half the emitter's light. Solve once for the colour at the largest
//! output and dim by scaling all levels ([`Mix::dimmed`]): the colour stays the same. Nothing here allocates.

mod ceiling;
mod faithful;
mod hull;
mod optimum;

use serde::{Deserialize, Serialize};

use super::{Chromaticity, Ipt, Xyz, white};
use crate::units::{Kelvin, Watts};
pub use ceiling::Ceiling;
pub use faithful::{LEAST_LIGHT, Whites};
use hull::Hull;
use optimum::best_levels;

/// The most emitters that one light mixes; further ones are left dark.
pub const MAX_EMITTERS: usize = 8;

/// Distance in u′v′ from the gamut within which a colour counts as inside.
const AS_GOOD_AS_REACHED: f64 = 2e-4;

/// How near to the edge of the gamut, in xy, the search for a colour with the same hue ends.
const CLOSE_TO_THE_EDGE: f64 = 1e-9;

/// One colour of a light that mixes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Emitter {
    /// Its colour.
    pub chromaticity: Chromaticity,
    /// Its light at full: lumens, candela or a relative figure, the same for all emitters of one light.
    pub luminance: f64,
}

/// What a mix aims at when more than one gives the colour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Objective {
    /// As much light as there is.
    #[default]
    MostLight,
    /// Faces, cloth and food look as they do by daylight or lamplight, at the cost of some light. Means something for
    /// whites only; other colours get the most light.
    BestRendering,
    /// The fewest watts.
    LeastPower,
}

/// Levels, and the light that they give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// Part of full light of each emitter, 0 to 1, in the order in which the emitters were given.
    pub levels: [f64; MAX_EMITTERS],
    /// Light of all emitters together, in the unit of [`Emitter::luminance`].
    pub luminance: f64,
    /// The colour that comes out; [`Chromaticity::D65`] when there is no light at all.
    pub chromaticity: Chromaticity,
    /// `true` when the wanted colour is inside the gamut; else this is the best that the emitters can do, and
    /// [`Chromaticity::distance_uv`] from what was wanted says how far off it is.
    pub reached: bool,
}

/// The emitters of one light, prepared for solving.
#[derive(Clone, Debug, PartialEq)]
pub struct Mixer {
    xyz: [Xyz; MAX_EMITTERS],
    count: usize,
    /// Bit set of the emitters that give light.
    here: u32,
    hull: Hull,
    neutral: Option<Chromaticity>,
}

impl Mixer {
    /// Prepares emitters, eight at most. An emitter without light, or whose figures are not finite or no colour, is
    /// never used.
    pub fn new(emitters: &[Emitter]) -> Self {
        let mut xyz = [Xyz::ZERO; MAX_EMITTERS];
        let mut hull = Hull::default();
        let count = emitters.len().min(MAX_EMITTERS);
        let mut here = 0;
        for (index, (slot, emitter)) in xyz.iter_mut().zip(emitters).enumerate() {
            *slot = Xyz::from_chromaticity(emitter.chromaticity, emitter.luminance);
            if slot.y > 0.0 {
                here |= 1 << index;
                hull.push(emitter.chromaticity);
            }
        }
        let hull = hull.closed();
        Self { xyz, count, here, neutral: neutral_inside(&hull), hull }
    }

    /// How many emitters there are.
    pub fn emitters(&self) -> usize {
        self.count
    }

    /// `true` when some mix has this colour, or one within 0.0002 in u′v′: a tenth of what can be seen, and far less than
    /// is known about any emitter.
    pub fn in_gamut(&self, target: Chromaticity) -> bool {
        self.nearest(target).is_some_and(|(_, reached)| reached)
    }

    /// The corners of what can be mixed, in order around it: one for a single colour, two for a line, none without light.
    pub fn corners(&self) -> impl Iterator<Item = Chromaticity> + '_ {
        self.hull.points().map(|[x, y]| Chromaticity::new(x, y))
    }

    /// `true` when the emitters are of more than one colour.
    pub fn varies(&self) -> bool {
        self.hull.len() > 1
    }

    /// `true` when some white can be mixed: colours out of reach then keep their hue.
    pub fn has_white(&self) -> bool {
        self.neutral.is_some()
    }

    /// The light at given levels (clamped to 0 to 1; missing ones are dark).
    pub fn light(&self, levels: &[f64]) -> Xyz {
        self.xyz.iter().zip(levels).map(|(xyz, level)| *xyz * part_of_full(*level)).sum()
    }

    /// Everything at full: the most light, in whatever colour that is.
    pub fn white(&self) -> Mix {
        self.mix(self.xyz.map(|xyz| if xyz.y > 0.0 { 1.0 } else { 0.0 }), self.hull.len() > 0)
    }

    /// The levels that give a colour with the most light.
    ///
    /// A colour outside the gamut keeps its hue and loses chroma until it is inside (in IPT, towards D65 or the white
    /// nearest to D65 that these emitters can mix). Emitters that can mix no white (one colour, tunable white, …)
    /// give the nearest colour in u′v′. No emitters, or a target that is not finite: no light.
    pub fn max_output(&self, target: Chromaticity) -> Mix {
        let Some((colour, reached)) = self.nearest(target) else {
            return self.mix([0.0; MAX_EMITTERS], false);
        };
        self.mix(self.most_of(colour), reached)
    }

    /// The levels that give a colour with the most light that a number of watts allows. `watts` is what each emitter
    /// draws at full, in the order of the emitters; those that are missing, negative or not finite count as none.
    pub fn max_output_within(&self, target: Chromaticity, watts: &[Watts], limit: Watts) -> Mix {
        let most = self.max_output(target);
        let draws = drawn(watts);
        let power: f64 = most.levels.iter().zip(draws).map(|(level, watts)| level * watts).sum();
        if power <= limit.get() {
            return most;
        }
        // The optimum without the limit is beyond it, so with it the optimum lies on it.
        let limit = limit.get().max(0.0);
        let gain = self.xyz.map(|xyz| xyz.y);
        let rows = self.rows(most.chromaticity, draws);
        let levels = match self.hull.len() {
            1 => best_levels(&rows.map(|[watts, ..]| [watts]), &gain, [limit], self.here),
            2 => best_levels(&rows.map(|[watts, a, _]| [watts, a]), &gain, [limit, 0.0], self.here),
            _ => best_levels(&rows, &gain, [limit, 0.0, 0.0], self.here),
        };
        // Rounding may defeat the solver; the same colour dimmed is within the limit.
        levels.map_or_else(|| most.dimmed(limit / power), |levels| self.mix(levels, most.reached))
    }

    /// The levels of the most light in a colour that can be mixed.
    fn most_of(&self, colour: Chromaticity) -> [f64; MAX_EMITTERS] {
        let gain = self.xyz.map(|xyz| xyz.y);
        let rows = self.rows(colour, [0.0; MAX_EMITTERS]);
        let levels = match self.hull.len() {
            1 => best_levels(&rows.map(|_| []), &gain, [], self.here),
            2 => best_levels(&rows.map(|[_, a, _]| [a]), &gain, [0.0], self.here),
            _ => best_levels(&rows.map(|[_, a, b]| [a, b]), &gain, [0.0, 0.0], self.here),
        };
        levels.unwrap_or_else(|| self.nearest_alone(colour))
    }

    /// For each emitter a figure of the caller's, then how it pulls a mix away from a colour, along the chord when all
    /// colours lie on one.
    fn rows(&self, colour: Chromaticity, figures: [f64; MAX_EMITTERS]) -> [[f64; 3]; MAX_EMITTERS] {
        let chord = (self.hull.len() == 2).then(|| self.hull.chord());
        std::array::from_fn(|index| {
            let [a, b] = off_axis(self.xyz[index], colour);
            match chord {
                Some([x, y]) => [figures[index], a * x + b * y, 0.0],
                None => [figures[index], a, b],
            }
        })
    }

    /// The colour that comes out when one is wanted: the same, or what is made of one outside the gamut (see
    /// [`Self::max_output`]). None without light.
    pub fn reach(&self, target: Chromaticity) -> Option<Chromaticity> {
        self.nearest(target).map(|(colour, _)| colour)
    }

    /// The colour nearest in u′v′ that can be mixed: for one that is hardly outside, where hue does not turn. Costs far
    /// less than [`Self::reach`]. None without light.
    pub fn clip(&self, target: Chromaticity) -> Option<Chromaticity> {
        if self.hull.contains(target, 0.0) { Some(target) } else { self.hull.nearest(target) }
    }

    /// The most light of every colour, without the levels.
    pub fn ceiling(&self) -> Ceiling {
        Ceiling::new(self)
    }

    /// The levels that give a colour at a luminance with the fewest watts, for a battery or a warm light. `watts` is
    /// what each emitter draws at full, in the order of the emitters; when one is missing or not above zero the
    /// answer is [`max_output`](Self::max_output) dimmed. More luminance than there is gives all there is.
    pub fn least_power(&self, target: Chromaticity, luminance: f64, watts: &[Watts]) -> Mix {
        let most = self.max_output(target);
        if luminance.is_nan() || luminance >= most.luminance {
            return most;
        }
        let dimmed = most.dimmed(luminance / most.luminance);
        let known = watts.len() >= self.count && watts.iter().all(|watts| watts.get() > 0.0);
        if !(known && luminance > 0.0) {
            return dimmed;
        }
        let mut gain = [-1.0; MAX_EMITTERS];
        for (gain, watts) in gain.iter_mut().zip(watts) {
            *gain = -watts.get();
        }
        let rows = self.rows(most.chromaticity, self.xyz.map(|xyz| xyz.y));
        let levels = match self.hull.len() {
            1 => best_levels(&rows.map(|[light, ..]| [light]), &gain, [luminance], self.here),
            2 => best_levels(&rows.map(|[light, a, _]| [light, a]), &gain, [luminance, 0.0], self.here),
            _ => best_levels(&rows, &gain, [luminance, 0.0, 0.0], self.here),
        };
        levels.map_or(dimmed, |levels| self.mix(levels, most.reached))
    }

    /// The colour that the emitters give when this one is wanted, and whether it is the same.
    fn nearest(&self, target: Chromaticity) -> Option<(Chromaticity, bool)> {
        if self.hull.len() == 0 || !(target.x.is_finite() && target.y.is_finite()) {
            return None;
        }
        if self.hull.contains(target, 0.0) {
            return Some((target, true));
        }
        let close = self.hull.nearest(target)?;
        if close.distance_uv(target) <= AS_GOOD_AS_REACHED {
            return Some((close, true));
        }
        let kept = self.neutral.and_then(|neutral| self.keep_hue(target, neutral));
        Some((kept.unwrap_or(close), false))
    }

    /// The most colourful point inside the gamut between a neutral inside and a target outside, on a straight line in
    /// IPT at the lightness of the target.
    fn keep_hue(&self, target: Chromaticity, neutral: Chromaticity) -> Option<Chromaticity> {
        let wanted = Ipt::from_xyz(Xyz::from_chromaticity(target, 1.0));
        let grey = Ipt::from_xyz(Xyz::from_chromaticity(neutral, 1.0));
        if !(wanted.i > 0.0 && grey.i > 0.0) {
            return None;
        }
        let scale = wanted.i / grey.i;
        let at = |part: f64| {
            let between = |from: f64, to: f64| from * scale + (to - from * scale) * part;
            let ipt = Ipt { i: wanted.i, p: between(grey.p, wanted.p), t: between(grey.t, wanted.t) };
            ipt.to_xyz().chromaticity()
        };
        // How far inside, in xy; what is no colour at all is well outside.
        let spare = |part: f64| at(part).map_or(-1.0, |colour| self.hull.clearance(colour));
        let (mut inside, mut outside) = ((0.0, spare(0.0)), (1.0, spare(1.0)));
        let mut last_kept = 0;
        // The Illinois method: a straight line through both ends, an end that stays twice counts half. Ends within a few
        // rounds; the colour is then brought onto the edge.
        for _ in 0..40 {
            if inside.1.min(-outside.1) < CLOSE_TO_THE_EDGE || outside.0 - inside.0 < CLOSE_TO_THE_EDGE {
                break;
            }
            let part = (inside.0 * outside.1 - outside.0 * inside.1) / (outside.1 - inside.1);
            let here = spare(part);
            if here >= 0.0 {
                inside = (part, here);
                outside.1 *= if last_kept == 1 { 0.5 } else { 1.0 };
                last_kept = 1;
            } else {
                outside = (part, here);
                inside.1 *= if last_kept == -1 { 0.5 } else { 1.0 };
                last_kept = -1;
            }
        }
        let best = if inside.1 < -outside.1 { inside.0 } else { outside.0 };
        self.clip(at(best)?)
    }

    fn mix(&self, levels: [f64; MAX_EMITTERS], reached: bool) -> Mix {
        let light = self.light(&levels);
        Mix {
            levels,
            luminance: light.y,
            chromaticity: light.chromaticity().unwrap_or(Chromaticity::D65),
            reached,
        }
    }

    /// The emitter nearest to a colour, alone at full: what is left when rounding defeats the solver.
    fn nearest_alone(&self, colour: Chromaticity) -> [f64; MAX_EMITTERS] {
        let mut best = (0, f64::INFINITY);
        for (index, xyz) in self.xyz.iter().enumerate() {
            let distance = xyz.chromaticity().map_or(f64::INFINITY, |own| own.distance_uv(colour));
            if distance < best.1 {
                best = (index, distance);
            }
        }
        let mut levels = [0.0; MAX_EMITTERS];
        levels[best.0] = 1.0;
        levels
    }
}

impl Mix {
    /// The same colour at a part (0 to 1, clamped) of the light.
    pub fn dimmed(self, part: f64) -> Self {
        let part = part_of_full(part);
        Self { levels: self.levels.map(|level| level * part), luminance: self.luminance * part, ..self }
    }
}

/// What each emitter draws at full, W; none where nothing sensible is said.
fn drawn(watts: &[Watts]) -> [f64; MAX_EMITTERS] {
    std::array::from_fn(|index| watts.get(index).map_or(0.0, |watts| watts.get().max(0.0)))
}

/// 0 to 1; what is not a number is dark.
fn part_of_full(level: f64) -> f64 {
    if level > 0.0 { level.min(1.0) } else { 0.0 }
}

/// How an emitter pulls a mix away from a colour, in x and y: a mix has the colour when the pulls add up to nothing.
fn off_axis(xyz: Xyz, colour: Chromaticity) -> [f64; 2] {
    let sum = xyz.x + xyz.y + xyz.z;
    [xyz.x - colour.x * sum, xyz.y - colour.y * sum]
}

/// D65 when it can be mixed; else the white from 1900 K to 10 000 K that is nearest to it in mired and can be mixed.
fn neutral_inside(hull: &Hull) -> Option<Chromaticity> {
    if hull.len() < 3 {
        return None;
    }
    if hull.contains(Chromaticity::D65, 0.0) {
        return Some(Chromaticity::D65);
    }
    (0..=75)
        .flat_map(|step| [154.0 + 5.0 * f64::from(step), 154.0 - 5.0 * f64::from(step)])
        .filter(|mired| (100.0..=527.0).contains(mired))
        .map(|mired| white(Kelvin::new(1e6 / mired), None))
        .find(|candidate| hull.contains(*candidate, 0.0))
}

#[cfg(test)]
mod tests;
