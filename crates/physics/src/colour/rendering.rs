//! How colours of things look under a light: the general colour rendering index Ra of CIE 13.3-1995.
//!
//! Eight samples are compared under the light and under the Planckian radiator (below 5000 K) or phase of daylight of the
//! same colour temperature. 100 is no difference; faces want 80 and more (common practice). Ra says nothing about
//! saturated reds and is meant for whites: for coloured light the figure is computed all the same and means little.

mod samples;

use super::observer::{FIRST_NM, STEP_NM};
use super::spectrum::Spectrum;
use super::{Chromaticity, MAX_EMITTERS, Xyz, cct_duv, daylight};
use crate::units::Kelvin;
use samples::{DAYLIGHT, SAMPLES};

/// How many samples the general index takes.
const COUNT: usize = SAMPLES[0].len();
/// Below this temperature, K, lights are compared with a Planckian radiator.
const DAYLIGHT_FROM: f64 = 5000.0;
/// First wavelength of the samples, nm.
const FIRST_SAMPLE_NM: f64 = 380.0;

/// The general colour rendering index of a light; none for darkness.
pub fn rendering_index(light: &Spectrum) -> Option<f64> {
    let looks = Looks::of(light);
    Reference::of(looks.white.chromaticity()?).index(&looks)
}

/// A light and the eight samples under it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Looks {
    white: Xyz,
    samples: [Xyz; COUNT],
}

/// What lights of one colour are compared with.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reference {
    uv: [f64; 2],
    samples: [[f64; 3]; COUNT],
}

/// The emitters of one light as sources for things to be seen by.
#[derive(Clone, Debug, PartialEq)]
pub struct Rendering {
    emitters: [Looks; MAX_EMITTERS],
}

impl Looks {
    const DARK: Self = Self { white: Xyz::ZERO, samples: [Xyz::ZERO; COUNT] };

    fn of(light: &Spectrum) -> Self {
        // The samples are tabled where almost all light is: what lies beyond is left out on both sides.
        let row = |place: usize| {
            let nm = FIRST_NM + STEP_NM * place as f64;
            let index = ((nm - FIRST_SAMPLE_NM) / STEP_NM).round();
            if index >= 0.0 { SAMPLES.get(index as usize) } else { None }
        };
        Self {
            white: light.seen(|place| f64::from(u8::from(row(place).is_some()))),
            samples: std::array::from_fn(|sample| {
                light.seen(|place| row(place).map_or(0.0, |row| f64::from(row[sample]) / 1000.0))
            }),
        }
    }

    fn add(&mut self, other: &Self, factor: f64) {
        self.white += other.white * factor;
        for (sum, sample) in self.samples.iter_mut().zip(&other.samples) {
            *sum += *sample * factor;
        }
    }
}

impl Reference {
    /// For lights of a colour.
    pub(super) fn of(colour: Chromaticity) -> Self {
        let (temperature, _) = cct_duv(colour);
        let looks = Looks::of(&reference(temperature));
        let uv = looks.white.chromaticity().unwrap_or(colour).uv_1960();
        let seen = |sample: Xyz| {
            let own = sample.chromaticity().map_or(uv, Chromaticity::uv_1960);
            uniform(sample.y / looks.white.y * 100.0, own, uv)
        };
        Self { uv, samples: looks.samples.map(seen) }
    }

    fn index(&self, looks: &Looks) -> Option<f64> {
        let white = looks.white.chromaticity()?.uv_1960();
        let [c, d] = adapted(white);
        let [c_reference, d_reference] = adapted(self.uv);
        let (c_ratio, d_ratio) = (c_reference / c, d_reference / d);
        let mut sum = 0.0;
        for (sample, reference) in looks.samples.iter().zip(&self.samples) {
            let [c, d] = adapted(sample.chromaticity()?.uv_1960());
            let (c, d) = (c_ratio * c, d_ratio * d);
            let divisor = 16.518 + 1.481 * c - d;
            let uv = [(10.872 + 0.404 * c - 4.0 * d) / divisor, 5.52 / divisor];
            let own = uniform(sample.y / looks.white.y * 100.0, uv, self.uv);
            let square: f64 = own.iter().zip(reference).map(|(p, q)| (p - q) * (p - q)).sum();
            sum += 100.0 - 4.6 * libm::sqrt(square);
        }
        Some(sum / COUNT as f64).filter(|index| index.is_finite())
    }
}

impl Rendering {
    /// Of emitters with their spectra and their light at full, in the order of the mixer's emitters.
    pub fn new(emitters: &[(Spectrum, f64)]) -> Self {
        let mut looks = [Looks::DARK; MAX_EMITTERS];
        for (looks, (spectrum, light)) in looks.iter_mut().zip(emitters) {
            let own = Looks::of(spectrum);
            if own.white.y > 0.0 && *light > 0.0 && light.is_finite() {
                looks.add(&own, light / own.white.y);
            }
        }
        Self { emitters: looks }
    }

    /// The general colour rendering index of a mix; none for darkness.
    pub fn index(&self, levels: &[f64; MAX_EMITTERS]) -> Option<f64> {
        let looks = self.looks(levels);
        Reference::of(looks.white.chromaticity()?).index(&looks)
    }

    /// What a mix is compared with; none for darkness.
    pub(super) fn reference(&self, levels: &[f64; MAX_EMITTERS]) -> Option<Reference> {
        self.looks(levels).white.chromaticity().map(Reference::of)
    }

    /// The same against a reference that is known already.
    pub(super) fn index_beside(&self, reference: &Reference, levels: &[f64; MAX_EMITTERS]) -> f64 {
        reference.index(&self.looks(levels)).unwrap_or(f64::NEG_INFINITY)
    }

    fn looks(&self, levels: &[f64; MAX_EMITTERS]) -> Looks {
        let mut sum = Looks::DARK;
        for (emitter, level) in self.emitters.iter().zip(levels).filter(|(_, level)| **level > 0.0) {
            sum.add(emitter, *level);
        }
        sum
    }
}

/// Judd's c and d of the adaptation in CIE 13.3.
fn adapted([u, v]: [f64; 2]) -> [f64; 2] {
    [(4.0 - u - 10.0 * v) / v, (1.708 * v + 0.404 - 1.481 * u) / v]
}

/// CIE 1964 W*, U*, V*.
fn uniform(y: f64, [u, v]: [f64; 2], [white_u, white_v]: [f64; 2]) -> [f64; 3] {
    let w = 25.0 * libm::cbrt(y) - 17.0;
    [w, 13.0 * w * (u - white_u), 13.0 * w * (v - white_v)]
}

/// The light to compare with: a Planckian radiator, from 5000 K daylight.
fn reference(temperature: Kelvin) -> Spectrum {
    let kelvin = temperature.get();
    if kelvin < DAYLIGHT_FROM {
        // Planck's law relative to 560 nm, second radiation constant as in CIE 15.
        let exponent = |nm: f64| 1.4388e7 / (nm * kelvin);
        return Spectrum::from_fn(|nm| {
            let ratio = libm::expm1(exponent(560.0)) / libm::expm1(exponent(nm));
            ratio * libm::pow(560.0 / nm, 5.0)
        });
    }
    // CIE 15: the weights of the characteristic vectors from the colour.
    let Chromaticity { x, y } = daylight(temperature);
    let divisor = 0.0241 + 0.2562 * x - 0.7341 * y;
    let first = (-1.3515 - 1.7703 * x + 5.9114 * y) / divisor;
    let second = (0.0300 - 31.4424 * x + 30.0717 * y) / divisor;
    Spectrum::from_fn(|nm| {
        let at = (nm - FIRST_SAMPLE_NM) / 10.0;
        if !(0.0..=(DAYLIGHT.len() - 1) as f64).contains(&at) {
            return 0.0;
        }
        let below = (at as usize).min(DAYLIGHT.len() - 2);
        let part = at - below as f64;
        let value =
            |axis: usize| DAYLIGHT[below][axis] + (DAYLIGHT[below + 1][axis] - DAYLIGHT[below][axis]) * part;
        value(0) + first * value(1) + second * value(2)
    })
}

#[cfg(test)]
mod tests;
