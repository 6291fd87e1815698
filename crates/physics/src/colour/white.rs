//! Whites by colour temperature and tint.

mod line;

use super::Chromaticity;
use super::observer::{FIRST_NM, OBSERVER, STEP_NM};
use crate::units::Kelvin;
pub use line::WhiteLine;

/// Coldest and hottest Planckian radiator that is computed, K.
const PLANCKIAN_K: [f64; 2] = [500.0, 100_000.0];
/// Where the daylight formula of CIE 15 holds, K.
const DAYLIGHT_K: [f64; 2] = [4000.0, 25_000.0];
/// Second radiation constant, m·K, as in the definition of the present illuminants (CIE 15).
const C2: f64 = 1.4388e-2;

/// The chromaticity of a Planckian radiator (an incandescent lamp, a candle), by summing Planck's law with the
/// CIE 1931 observer; 500 to 100 000 K, clamped.
pub fn planckian(temperature: Kelvin) -> Chromaticity {
    let kelvin = clamped(temperature, PLANCKIAN_K);
    let locus = Locus::at(1e6 / kelvin);
    Chromaticity::from_uv_1960(locus.uv)
}

/// The chromaticity of a phase of daylight (CIE 15); 4000 to 25 000 K, clamped. Illuminant D65 is 6504 K.
pub fn daylight(temperature: Kelvin) -> Chromaticity {
    let kelvin = clamped(temperature, DAYLIGHT_K);
    let (a, b, c, d) = if kelvin <= 7000.0 {
        (-4.6070e9, 2.9678e6, 0.09911e3, 0.244_063)
    } else {
        (-2.0064e9, 1.9018e6, 0.24748e3, 0.237_040)
    };
    let x = ((a / kelvin + b) / kelvin + c) / kelvin + d;
    Chromaticity::new(x, (-3.0 * x + 2.870) * x - 0.275)
}

/// The white that a person means by a colour temperature, 500 to 25 000 K, clamped.
///
/// Without `duv`: Planckian up to 4000 K, daylight from 5000 K, and between them a straight blend in u′v′ by mired,
/// so that the white moves without a jump. With `duv` (tint, the distance in CIE 1960 uv, positive towards green,
/// useful from −0.05 to +0.05): measured from the Planckian radiator of that temperature at every temperature, along
/// the normal of the locus. `Some(0.0)` is therefore the Planckian radiator itself.
pub fn white(temperature: Kelvin, duv: Option<f64>) -> Chromaticity {
    let kelvin = clamped(temperature, [PLANCKIAN_K[0], DAYLIGHT_K[1]]);
    if let Some(duv) = duv.filter(|duv| duv.is_finite()) {
        let locus = Locus::at(1e6 / kelvin);
        let normal = locus.normal();
        return Chromaticity::from_uv_1960([locus.uv[0] + duv * normal[0], locus.uv[1] + duv * normal[1]]);
    }
    let temperature = Kelvin::new(kelvin);
    let part = (250.0 - 1e6 / kelvin) / (250.0 - 200.0);
    if part <= 0.0 {
        planckian(temperature)
    } else if part >= 1.0 {
        daylight(temperature)
    } else {
        let (from, to) = (planckian(temperature).uv_prime(), daylight(temperature).uv_prime());
        Chromaticity::from_uv_prime([0, 1].map(|axis| from[axis] + (to[axis] - from[axis]) * part))
    }
}

/// Correlated colour temperature and tint Duv: the Planckian radiator nearest in CIE 1960 uv, found to the last digits.
/// Meaningful within 0.05 of the locus; further away the figure is still the nearest radiator, 500 to 100 000 K.
pub fn cct_duv(chromaticity: Chromaticity) -> (Kelvin, f64) {
    let uv = chromaticity.uv_1960();
    let [hottest, coldest] = [1e6 / PLANCKIAN_K[1], 1e6 / PLANCKIAN_K[0]];
    // Coarse: even steps of the square root of mired, which are nearly even steps along the locus.
    const STEPS: usize = 48;
    let (from, to) = (hottest.sqrt(), coldest.sqrt());
    let mired_at = |step: usize| {
        let root = from + (to - from) * step as f64 / STEPS as f64;
        root * root
    };
    let distance = |step: usize| {
        let at = Locus::at(mired_at(step)).uv;
        libm::hypot(at[0] - uv[0], at[1] - uv[1])
    };
    let mut nearest = (0, f64::INFINITY);
    for step in 0..=STEPS {
        let here = distance(step);
        if here < nearest.1 {
            nearest = (step, here);
        }
    }
    // Fine: halve the bracket on the side where the foot of the perpendicular lies.
    let mut low = mired_at(nearest.0.saturating_sub(1));
    let mut high = mired_at((nearest.0 + 1).min(STEPS));
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        let locus = Locus::at(middle);
        let ahead = (uv[0] - locus.uv[0]) * locus.tangent[0] + (uv[1] - locus.uv[1]) * locus.tangent[1];
        if ahead > 0.0 { low = middle } else { high = middle }
    }
    let mired = (low + high) / 2.0;
    let locus = Locus::at(mired);
    let normal = locus.normal();
    let duv = (uv[0] - locus.uv[0]) * normal[0] + (uv[1] - locus.uv[1]) * normal[1];
    (Kelvin::checked(1e6 / mired).unwrap_or(Kelvin::ZERO), duv)
}

/// McCamy's cubic (1992): a quick colour temperature, a few kelvin off near the locus from 2850 to 6500 K. `None` where
/// it has no value (y = 0.1858).
pub fn mccamy(chromaticity: Chromaticity) -> Option<Kelvin> {
    let n = (chromaticity.x - 0.3320) / (0.1858 - chromaticity.y);
    Kelvin::checked(((449.0 * n + 3525.0) * n + 6823.3) * n + 5520.33)
}

/// The colour temperature `part` of the way (0 to 1, clamped) from one to another, even in mired (10⁶/K) as the eye
/// sees it: half way from 2700 K to 6500 K is 3815 K. Temperatures must be above zero; else the first is returned.
pub fn mired_between(from: Kelvin, to: Kelvin, part: f64) -> Kelvin {
    if !(from.get() > 0.0 && to.get() > 0.0 && part.is_finite()) {
        return from;
    }
    let part = part.clamp(0.0, 1.0);
    let mired = 1e6 / from.get() * (1.0 - part) + 1e6 / to.get() * part;
    Kelvin::checked(1e6 / mired).unwrap_or(from)
}

/// One place on the Planckian locus, CIE 1960 uv.
struct Locus {
    uv: [f64; 2],
    /// Change of u, v for each mired, towards warmer.
    tangent: [f64; 2],
}

impl Locus {
    fn at(mired: f64) -> Self {
        let (mut sum, mut slope) = ([0.0; 3], [0.0; 3]);
        // Only ratios matter: the spectrum is taken relative to its value at 560 nm, which keeps cold radiators finite.
        let exponent_at = |nm: f64| C2 / (nm * 1e-9) * 1e-6 * mired;
        let reference = exponent_at(560.0);
        let mut nm = FIRST_NM;
        for row in &OBSERVER {
            let exponent = exponent_at(nm);
            let less_one = -libm::expm1(-exponent);
            let power = libm::exp(reference - exponent) / (libm::pow(nm / 560.0, 5.0) * less_one);
            let power_slope = -power * exponent / (mired * less_one);
            for axis in 0..3 {
                sum[axis] += power * row[axis];
                slope[axis] += power_slope * row[axis];
            }
            nm += STEP_NM;
        }
        // u = 4X / (X + 15Y + 3Z), v = 6Y / (X + 15Y + 3Z)
        let weigh = |xyz: [f64; 3]| xyz[0] + 15.0 * xyz[1] + 3.0 * xyz[2];
        let (divisor, divisor_slope) = (weigh(sum), weigh(slope));
        let uv = [4.0 * sum[0] / divisor, 6.0 * sum[1] / divisor];
        let tangent = [
            (4.0 * slope[0] - uv[0] * divisor_slope) / divisor,
            (6.0 * slope[1] - uv[1] * divisor_slope) / divisor,
        ];
        Self { uv, tangent }
    }

    /// Across the locus, towards green.
    fn normal(&self) -> [f64; 2] {
        let length = libm::hypot(self.tangent[0], self.tangent[1]);
        [-self.tangent[1] / length, self.tangent[0] / length]
    }
}

fn clamped(temperature: Kelvin, [low, high]: [f64; 2]) -> f64 {
    // NaN ends at the low end.
    temperature.get().max(low).min(high)
}

#[cfg(test)]
mod tests;
