//! Spectra of typical light sources, for what chromaticity alone cannot say: how colours of things look under them.
//!
//! They are models. A narrow diode is Ohno's sum of two gaussians over peak and width; a diode behind a phosphor is a
//! blue pump and one broad gaussian. [`Spectrum::typical`] shifts a model until it has the colour that is stated, as
//! nearly as it can. Against measured spectra such models miss xy by 0.01 (red, blue, amber) to 0.06 (cyan): whatever
//! rests on them says so.

use super::observer::{FIRST_NM, OBSERVER, STEP_NM};
use super::{Chromaticity, Xyz};

/// How many values a spectrum has.
const VALUES: usize = OBSERVER.len();

/// Radiant power at 360 to 830 nm in steps of 5 nm, in any unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum([f64; VALUES]);

/// How a source makes its light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Make {
    /// A diode alone: one narrow band.
    Narrow,
    /// A diode behind a phosphor: white, lime, phosphor amber.
    Phosphor,
    /// Whatever fits the colour better, narrow if both do.
    Unknown,
}

/// Over the width of Ohno's gaussian g: (g + 2g⁵)/3 is one half at 0.46091 of it on either side.
const FULL_WIDTH: f64 = 0.921_823;
/// Peak and width at half of the blue pump behind a phosphor, nm.
const PUMP: (f64, f64) = (450.0, 20.0);
/// Width at half of a usual phosphor, nm.
const PHOSPHOR_WIDTH: f64 = 110.0;
/// What a width of e times the usual costs, in u′v′: so little that it only chooses among models of the same colour.
const UNUSUAL: f64 = 3e-4;
/// A narrow model within this distance of the colour, in u′v′, is good.
const GOOD: f64 = 0.01;

impl Spectrum {
    /// The power at each wavelength (nm, 360 to 830 in steps of 5). What is negative or not finite counts as none.
    pub fn from_fn(power: impl Fn(f64) -> f64) -> Self {
        Self(std::array::from_fn(|index| {
            let power = power(FIRST_NM + STEP_NM * index as f64);
            if power > 0.0 && power.is_finite() { power } else { 0.0 }
        }))
    }

    /// A diode alone by Ohno's model (2005): peak and full width at half of it, nm.
    pub fn narrow(peak: f64, width: f64) -> Self {
        let scale = width.max(1.0) / FULL_WIDTH;
        Self::from_fn(|nm| {
            let off = (nm - peak) / scale;
            let g = libm::exp(-off * off);
            let square = g * g;
            (g + 2.0 * square * square * g) / 3.0
        })
    }

    /// One broad band, a gaussian: peak and full width at half of it, nm.
    fn broad(peak: f64, width: f64) -> Self {
        Self::from_fn(|nm| {
            let off = (nm - peak) / width;
            libm::exp(-4.0 * std::f64::consts::LN_2 * off * off)
        })
    }

    /// The model that comes nearest to a colour.
    pub fn typical(make: Make, colour: Chromaticity) -> Self {
        let narrow = || fitted_narrow(colour);
        let phosphor = || fitted_phosphor(colour);
        match make {
            Make::Narrow => narrow().0,
            Make::Phosphor => phosphor().0,
            Make::Unknown => {
                let (diode, off) = narrow();
                if off <= GOOD {
                    return diode;
                }
                let (phosphor, other) = phosphor();
                if other < off { phosphor } else { diode }
            }
        }
    }

    /// Tristimulus values, in no particular unit.
    pub fn xyz(&self) -> Xyz {
        self.seen(|_| 1.0)
    }

    /// The same after a filter or off a surface: the part that remains at each wavelength, by its place from 360 nm in
    /// steps of 5 nm.
    pub(super) fn seen(&self, part: impl Fn(usize) -> f64) -> Xyz {
        let mut sum = [0.0; 3];
        for (index, (power, row)) in self.0.iter().zip(&OBSERVER).enumerate() {
            let power = power * part(index);
            for (sum, value) in sum.iter_mut().zip(row) {
                *sum += power * value;
            }
        }
        Xyz::of_array(sum)
    }

    /// Its colour; none for darkness.
    pub fn chromaticity(&self) -> Option<Chromaticity> {
        self.xyz().chromaticity()
    }

    fn off(&self, colour: Chromaticity) -> f64 {
        self.chromaticity().map_or(f64::INFINITY, |own| own.distance_uv(colour))
    }

    fn plus(&self, weight: f64, other: &Self, other_weight: f64) -> Self {
        Self(std::array::from_fn(|index| self.0[index] * weight + other.0[index] * other_weight))
    }
}

/// The narrow model nearest to a colour and how far off it is, in u′v′.
fn fitted_narrow(colour: Chromaticity) -> (Spectrum, f64) {
    // Usual widths: blue 20, green and cyan 32, amber and red 16 nm.
    let usual = |peak: f64| match peak {
        p if p < 480.0 => 20.0,
        p if p < 570.0 => 32.0,
        _ => 16.0,
    };
    let cost = |[peak, width]: [f64; 2]| {
        Spectrum::narrow(peak, width).off(colour) + UNUSUAL * libm::log(width / usual(peak)).abs()
    };
    let grid = (0..=60).flat_map(|step| {
        let peak = 380.0 + 5.0 * f64::from(step);
        [10.0, 16.0, 24.0, 36.0, 54.0].map(|width| [peak, width])
    });
    let [peak, width] = settled(grid, [5.0, 8.0], [[380.0, 680.0], [8.0, 60.0]], cost);
    let found = Spectrum::narrow(peak, width);
    let off = found.off(colour);
    (found, off)
}

/// The model of a pump and a phosphor nearest to a colour, and how far off it is.
fn fitted_phosphor(colour: Chromaticity) -> (Spectrum, f64) {
    let pump = Spectrum::narrow(PUMP.0, PUMP.1);
    let cost = |[peak, width]: [f64; 2]| {
        with_pump(&pump, &Spectrum::broad(peak, width), colour).off(colour)
            + UNUSUAL * libm::log(width / PHOSPHOR_WIDTH).abs()
    };
    let grid = (0..=24).flat_map(|step| {
        let peak = 520.0 + 5.0 * f64::from(step);
        [80.0, 110.0, 140.0].map(|width| [peak, width])
    });
    let [peak, width] = settled(grid, [5.0, 20.0], [[510.0, 650.0], [60.0, 160.0]], cost);
    let found = with_pump(&pump, &Spectrum::broad(peak, width), colour);
    let off = found.off(colour);
    (found, off)
}

/// The best of a grid, then better by steps that are halved.
fn settled(
    grid: impl Iterator<Item = [f64; 2]>,
    mut step: [f64; 2],
    bounds: [[f64; 2]; 2],
    cost: impl Fn([f64; 2]) -> f64,
) -> [f64; 2] {
    let mut best = ([0.0; 2], f64::INFINITY);
    for at in grid {
        let here = cost(at);
        if here < best.1 {
            best = (at, here);
        }
    }
    for _ in 0..7 {
        step = step.map(|step| step / 2.0);
        for axis in [0, 1] {
            for sign in [1.0, -1.0] {
                let mut at = best.0;
                at[axis] = (at[axis] + sign * step[axis]).clamp(bounds[axis][0], bounds[axis][1]);
                let here = cost(at);
                if here < best.1 {
                    best = (at, here);
                }
            }
        }
    }
    best.0
}

/// So much of both that the sum comes nearest to a colour: mixtures lie on the chord between their colours.
fn with_pump(pump: &Spectrum, phosphor: &Spectrum, colour: Chromaticity) -> Spectrum {
    let (blue, broad) = (pump.xyz(), phosphor.xyz());
    let weigh = |xyz: Xyz| xyz.x + 15.0 * xyz.y + 3.0 * xyz.z;
    let (Some(from), Some(to)) = (blue.chromaticity(), broad.chromaticity()) else { return phosphor.clone() };
    let ([fu, fv], [tu, tv], [u, v]) = (from.uv_prime(), to.uv_prime(), colour.uv_prime());
    let (du, dv) = (tu - fu, tv - fv);
    let along = (((u - fu) * du + (v - fv) * dv) / (du * du + dv * dv)).clamp(0.0, 1.0);
    pump.plus((1.0 - along) / weigh(blue), phosphor, along / weigh(broad))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrow_band_is_as_wide_as_it_says() {
        for width in [10.0, 20.0, 60.0] {
            let at = |off: f64| {
                let g = libm::exp(-(off / (width / FULL_WIDTH)).powi(2));
                (g + 2.0 * g.powi(5)) / 3.0
            };
            assert!((at(width / 2.0) - 0.5).abs() < 1e-4, "{width}: {}", at(width / 2.0));
        }
        assert_eq!(Spectrum::from_fn(|_| f64::NAN).chromaticity(), None);
    }

    #[test]
    fn models_have_the_colour_that_is_stated() {
        // Typical emitters, reduced from measured spectra. A model of two figures comes this near in u′v′.
        for (make, x, y, within) in [
            (Make::Narrow, 0.6915, 0.3084, 0.003),
            (Make::Narrow, 0.5874, 0.4120, 0.003),
            (Make::Narrow, 0.162, 0.733, 0.003),
            (Make::Narrow, 0.0725, 0.479, 0.003),
            (Make::Narrow, 0.1495, 0.0309, 0.003),
            (Make::Phosphor, 0.3246, 0.3420, 0.001),
            (Make::Phosphor, 0.4560, 0.4078, 0.001),
            (Make::Phosphor, 0.5889, 0.4056, 0.006),
            (Make::Phosphor, 0.41, 0.54, 0.003),
            (Make::Unknown, 0.3246, 0.3420, 0.001),
            (Make::Unknown, 0.162, 0.733, 0.003),
        ] {
            let colour = Chromaticity::new(x, y);
            let off = Spectrum::typical(make, colour).off(colour);
            assert!(off < within, "{make:?} {x} {y}: {off}");
        }
    }
}
