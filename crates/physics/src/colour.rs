//! Colour of light: what a person writes, what the eye sees, what emitters can mix.
//!
//! The core is CIE 1931 2° tristimulus values in linear light. Perceptual spaces serve one purpose each:
//! [`Ipt`] keeps the hue of what cannot be mixed, [`Oklab`] is the straight line of a fade, sRGB is for
//! names and screens. Spectra are models, and serve colour rendering alone. Not here: chromatic adaptation.

pub mod dim;
mod fade;
pub mod ipt;
mod matrix;
pub mod mix;
mod names;
mod observer;
pub mod oklab;
mod parse;
mod rendering;
mod spectrum;
pub mod srgb;
mod white;

use serde::{Deserialize, Serialize};

pub use dim::{iec62386, iec62386_level, lightness, luminance_of_lightness, square_law, square_law_inverse};
pub use fade::fade;
pub use ipt::Ipt;
pub use mix::{Ceiling, Emitter, LEAST_LIGHT, MAX_EMITTERS, Mix, Mixer, Objective, Whites};
pub use oklab::Oklab;
pub use parse::{ColourError, Target, names, parse};
pub use rendering::{Rendering, rendering_index};
pub use spectrum::{Make, Spectrum};
pub use srgb::{
    hex_of_rgb8, linear_of_srgb, rgb8_of_hex, rgb8_of_xyz, screen_hex, screen_rgb, srgb_of_linear,
    xyz_of_linear_rgb,
};
pub use white::{WhiteLine, cct_duv, daylight, mccamy, mired_between, planckian, white};

/// A colour without its brightness: CIE 1931 2° x and y. Real light has y > 0 and lies inside the spectral locus;
/// the type itself does not check that (see [`Chromaticity::is_real`]).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Chromaticity {
    /// CIE 1931 x, X / (X + Y + Z).
    pub x: f64,
    /// CIE 1931 y, Y / (X + Y + Z).
    pub y: f64,
}

/// CIE 1931 2° tristimulus values in linear light; Y is the luminance in whatever unit the caller uses throughout.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Xyz {
    /// X.
    pub x: f64,
    /// Y: luminance, illuminance, lumens or a relative figure.
    pub y: f64,
    /// Z.
    pub z: f64,
}

impl Chromaticity {
    /// CIE standard illuminant D65 as rounded by IEC 61966-2-1: the white of screens and colour names.
    pub const D65: Self = Self::new(0.3127, 0.3290);

    /// From CIE 1931 x and y.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// CIE 1976 u′, v′, in which equal distances look about equally different.
    pub fn uv_prime(self) -> [f64; 2] {
        let divisor = -2.0 * self.x + 12.0 * self.y + 3.0;
        [4.0 * self.x / divisor, 9.0 * self.y / divisor]
    }

    /// From CIE 1976 u′, v′.
    pub fn from_uv_prime([u, v]: [f64; 2]) -> Self {
        let divisor = 6.0 * u - 16.0 * v + 12.0;
        Self::new(9.0 * u / divisor, 4.0 * v / divisor)
    }

    /// CIE 1960 u, v: the plane in which Duv is measured (v = ⅔ v′).
    pub fn uv_1960(self) -> [f64; 2] {
        let [u, v] = self.uv_prime();
        [u, v * (2.0 / 3.0)]
    }

    /// From CIE 1960 u, v.
    pub fn from_uv_1960([u, v]: [f64; 2]) -> Self {
        Self::from_uv_prime([u, v * 1.5])
    }

    /// Distance in u′v′. Just visible side by side is about 0.003 (from memory).
    pub fn distance_uv(self, other: Self) -> f64 {
        let ([u, v], [other_u, other_v]) = (self.uv_prime(), other.uv_prime());
        libm::hypot(u - other_u, v - other_v)
    }

    /// `true` when some light has this chromaticity: inside the spectral locus and the line of purples, with
    /// 0.002 to spare for the roundings of published figures.
    pub fn is_real(self) -> bool {
        observer::inside_locus(self, 0.002)
    }

    /// The point `part` of the way to `other` along a straight line in xy: 0 here, 1 there.
    pub fn lerp(self, other: Self, part: f64) -> Self {
        Self::new(self.x + (other.x - self.x) * part, self.y + (other.y - self.y) * part)
    }
}

impl Xyz {
    /// No light.
    pub const ZERO: Self = Self { x: 0.0, y: 0.0, z: 0.0 };

    /// From the three values.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// A colour at a luminance. No light when the luminance is not above zero, or when y is so small (below 1e-6)
    /// that no finite light could have it.
    pub fn from_chromaticity(chromaticity: Chromaticity, luminance: f64) -> Self {
        let Chromaticity { x, y } = chromaticity;
        if !(luminance > 0.0 && luminance.is_finite() && y > 1e-6 && x.is_finite() && y.is_finite()) {
            return Self::ZERO;
        }
        Self::new(x / y * luminance, luminance, (1.0 - x - y) / y * luminance)
    }

    /// The colour of this light; `None` for no light.
    pub fn chromaticity(self) -> Option<Chromaticity> {
        let sum = self.x + self.y + self.z;
        (sum > 0.0 && sum.is_finite()).then(|| Chromaticity::new(self.x / sum, self.y / sum))
    }

    pub(crate) const fn array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }

    pub(crate) const fn of_array([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
}

impl std::ops::Add for Xyz {
    type Output = Self;
    /// Light adds: two beams on one spot.
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl std::ops::AddAssign for Xyz {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl std::ops::Mul<f64> for Xyz {
    type Output = Self;
    /// Dimming: the same colour, `factor` times the light.
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor, self.z * factor)
    }
}

impl std::iter::Sum for Xyz {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        items.fold(Self::ZERO, |sum, item| sum + item)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beams_on_one_spot_add_as_light() {
        // Computed with colour-science 0.4.7: red 140 lx + blue 60 lx + D65 25 lx.
        let red = Xyz::from_chromaticity(Chromaticity::new(0.6915, 0.3084), 140.0);
        let blue = Xyz::from_chromaticity(Chromaticity::new(0.1495, 0.0309), 60.0);
        let white = Xyz::from_chromaticity(Chromaticity::D65, 25.0);
        let spot: Xyz = [red, blue, white].into_iter().sum();
        let colour = spot.chromaticity().unwrap();
        assert!((colour.x - 0.25406).abs() < 1e-5 && (colour.y - 0.09103).abs() < 1e-5, "{colour:?}");
        assert!((spot.y - 225.0).abs() < 1e-9);
    }

    #[test]
    fn planes_have_inverses_and_darkness_has_no_colour() {
        let d65 = Chromaticity::D65;
        // CIE 15: D65 is u′ 0.1978, v′ 0.4683.
        assert!((d65.uv_prime()[0] - 0.1978).abs() < 5e-5 && (d65.uv_prime()[1] - 0.4683).abs() < 5e-5);
        assert!(Chromaticity::from_uv_prime(d65.uv_prime()).distance_uv(d65) < 1e-15);
        assert!(Chromaticity::from_uv_1960(d65.uv_1960()).distance_uv(d65) < 1e-15);
        assert_eq!(Xyz::ZERO.chromaticity(), None);
        assert_eq!(Xyz::from_chromaticity(Chromaticity::new(0.3, f64::NAN), 1.0), Xyz::ZERO);
        assert_eq!(Xyz::from_chromaticity(d65, f64::NAN), Xyz::ZERO);
    }
}
