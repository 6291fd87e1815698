//! OKLab: the straight line of a fade between two colours.
//!
//! Matrices as published by the space's author (bottosson.github.io/posts/oklab), for XYZ with D65 as white at Y = 1.

use super::Xyz;
use super::matrix::{Matrix, apply};

/// A colour in OKLab, relative to D65 at Y = 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Oklab {
    /// Lightness, 0 to 1 (beyond 1 for light brighter than the white).
    pub l: f64,
    /// Green (−) to red (+).
    pub a: f64,
    /// Blue (−) to yellow (+).
    pub b: f64,
}

impl Oklab {
    /// From tristimulus values.
    pub fn from_xyz(xyz: Xyz) -> Self {
        let [l, a, b] = apply(&LAB_FROM_ROOTS, apply(&CONES_FROM_XYZ, xyz.array()).map(libm::cbrt));
        Self { l, a, b }
    }

    /// Back to tristimulus values.
    pub fn to_xyz(self) -> Xyz {
        let roots = apply(&ROOTS_FROM_LAB, [self.l, self.a, self.b]);
        Xyz::of_array(apply(&XYZ_FROM_CONES, roots.map(|root| root * root * root)))
    }

    /// The point `part` of the way to `other`: 0 here, 1 there.
    pub fn lerp(self, other: Self, part: f64) -> Self {
        let between = |from: f64, to: f64| from + (to - from) * part;
        Self { l: between(self.l, other.l), a: between(self.a, other.a), b: between(self.b, other.b) }
    }
}

const CONES_FROM_XYZ: Matrix = [
    [0.8189330101, 0.3618667424, -0.1288597137],
    [0.0329845436, 0.9293118715, 0.0361456387],
    [0.0482003018, 0.2643662691, 0.6338517070],
];

const LAB_FROM_ROOTS: Matrix = [
    [0.2104542553, 0.7936177850, -0.0040720468],
    [1.9779984951, -2.4285922050, 0.4505937099],
    [0.0259040371, 0.7827717662, -0.8086757660],
];

/// Inverse of `CONES_FROM_XYZ`.
const XYZ_FROM_CONES: Matrix = [
    [1.227_013_851_103_521, -0.557_799_980_651_822_2, 0.281_256_148_966_467_8],
    [-0.040_580_178_423_280_6, 1.112_256_869_616_83, -0.071_676_678_665_601_2],
    [-0.076_381_284_505_706_9, -0.421_481_978_418_012_7, 1.586_163_220_440_794_7],
];

/// Inverse of `LAB_FROM_ROOTS`.
const ROOTS_FROM_LAB: Matrix = [
    [0.999_999_998_450_519_7, 0.396_337_792_173_767_8, 0.215_803_758_060_758_77],
    [1.000_000_008_881_760_7, -0.105_561_342_323_656_3, -0.063_854_174_771_705_9],
    [1.000_000_054_672_410_8, -0.089_484_182_094_965_74, -1.291_485_537_864_091_7],
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn matches_the_authors_table() {
        for (xyz, [l, a, b]) in [
            ([0.950, 1.0, 1.089], [1.0, 0.0, 0.0]),
            ([1.0, 0.0, 0.0], [0.450, 1.236, -0.019]),
            ([0.0, 1.0, 0.0], [0.922, -0.671, 0.263]),
            ([0.0, 0.0, 1.0], [0.153, -1.415, -0.449]),
        ] {
            let got = Oklab::from_xyz(Xyz::of_array(xyz));
            let off = (got.l - l).abs().max((got.a - a).abs()).max((got.b - b).abs());
            assert!(off < 6e-4, "{xyz:?}: {got:?}");
        }
    }

    #[test]
    fn goes_there_and_back() {
        for xyz in [[0.3, 0.2, 0.1], [0.95, 1.0, 1.09], [0.0, 0.0, 0.0], [-0.1, 0.2, 0.9]] {
            let back = Oklab::from_xyz(Xyz::of_array(xyz)).to_xyz().array();
            assert!(back.iter().zip(xyz).all(|(p, q)| (p - q).abs() < 1e-12), "{xyz:?}: {back:?}");
        }
    }
}
