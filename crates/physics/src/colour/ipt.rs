//! IPT (Ebner and Fairchild 1998): the space in which a line from white keeps its hue best.
//!
//! Used to bring a colour that cannot be mixed back to one that can. XYZ with D65 as white at Y = 1.

use super::Xyz;
use super::matrix::{Matrix, apply, signed_pow};

/// A colour in IPT, relative to D65 at Y = 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ipt {
    /// Lightness, 0 to 1.
    pub i: f64,
    /// Green (−) to red (+).
    pub p: f64,
    /// Blue (−) to yellow (+).
    pub t: f64,
}

impl Ipt {
    /// From tristimulus values.
    pub fn from_xyz(xyz: Xyz) -> Self {
        let powers = apply(&CONES_FROM_XYZ, xyz.array()).map(|cone| signed_pow(cone, EXPONENT));
        let [i, p, t] = apply(&IPT_FROM_POWERS, powers);
        Self { i, p, t }
    }

    /// Back to tristimulus values.
    pub fn to_xyz(self) -> Xyz {
        let powers = apply(&POWERS_FROM_IPT, [self.i, self.p, self.t]);
        Xyz::of_array(apply(&XYZ_FROM_CONES, powers.map(|power| signed_pow(power, 1.0 / EXPONENT))))
    }

    /// Hue angle, radians, −π to π.
    pub fn hue(self) -> f64 {
        libm::atan2(self.t, self.p)
    }
}

const EXPONENT: f64 = 0.43;

const CONES_FROM_XYZ: Matrix = [[0.4002, 0.7075, -0.0807], [-0.2280, 1.1500, 0.0612], [0.0, 0.0, 0.9184]];

const IPT_FROM_POWERS: Matrix = [[0.4, 0.4, 0.2], [4.4550, -4.8510, 0.3960], [0.8056, 0.3572, -1.1628]];

/// Inverse of `CONES_FROM_XYZ`.
const XYZ_FROM_CONES: Matrix = [
    [1.850_242_944_943_205_6, -1.138_301_637_867_232_8, 0.238_434_958_508_701_36],
    [0.366_830_775_171_348_5, 0.643_884_544_840_235_5, -0.010_673_443_584_379_992],
    [0.0, 0.0, 1.088_850_174_216_028],
];

/// Inverse of `IPT_FROM_POWERS`.
const POWERS_FROM_IPT: Matrix = [
    [1.0, 0.097_568_930_514_613_93, 0.205_226_433_164_591_63],
    [1.0, -0.113_876_485_473_147_12, 0.133_217_158_369_998_1],
    [1.0, 0.032_615_109_917_066_4, -0.676_887_183_069_179_3],
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn matches_a_published_value_and_goes_back() {
        // colour-science 0.4.7, XYZ_to_IPT.
        let xyz = Xyz::new(0.206_540_08, 0.121_972_25, 0.051_369_52);
        let got = Ipt::from_xyz(xyz);
        let off = [got.i - 0.384_261_91, got.p - 0.384_873_06, got.t - 0.188_868_38];
        assert!(off.iter().all(|part| part.abs() < 1e-7), "{got:?}");
        let back = got.to_xyz();
        assert!((back.x - xyz.x).abs().max((back.y - xyz.y).abs()).max((back.z - xyz.z).abs()) < 1e-12);
    }
}
