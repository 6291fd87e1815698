//! Light that meets the eye: what dazzles, and what the blue in it may do. Figures for a caution, never for a clearance.
//!
//! Not here: retinal thermal hazard, infrared, laser. Ultraviolet is not seen and so has no part in lux.

use crate::colour::Xyz;
use crate::units::{Lux, Radians};

/// Blue-weighted irradiance for each unit of CIE 1931 Z (with Y in lux), W/m². The blue-light weighting lies nearly where
/// the Z function lies: this factor meets the figures that were worked out from spectra for white, green, cyan and blue
/// diodes to 13 %. Not for ultraviolet.
pub const BLUE_PER_Z: f64 = 8.0e-4;

/// A small source may be looked at without a thought up to this blue-weighted irradiance, W/m² (IEC 62471, from memory:
/// between exempt or group 1 and group 2).
pub const BLUE_SMALL_SOURCE: f64 = 1.0;

/// Blue-light dose that is allowed within 100 s, J/m² (IEC 62471, from memory).
pub const BLUE_DOSE: f64 = 100.0;

/// Blue-weighted irradiance of visible light at the eye, W/m². `light` has its Y in lux.
pub fn blue_light(light: Xyz) -> f64 {
    (light.z * BLUE_PER_Z).max(0.0)
}

/// How long until the dose of [`BLUE_DOSE`] is used up, seconds; none at or below [`BLUE_SMALL_SOURCE`].
pub fn blue_light_time(irradiance: f64) -> Option<f64> {
    (irradiance > BLUE_SMALL_SOURCE && irradiance.is_finite()).then(|| BLUE_DOSE / irradiance)
}

/// Veiling luminance of one source for a young eye, cd/m²: 10·E/θ² (Stiles and Holladay; CIE 146:2002), `at_eye` on a
/// plane square to the line of sight, `off_sight` from it. The law is told for 1° to 30°: nearer counts as 1°, farther as
/// nothing.
pub fn veil(at_eye: Lux, off_sight: Radians) -> f64 {
    let degrees = off_sight.deg().abs().max(1.0);
    if degrees > 30.0 { 0.0 } else { 10.0 * at_eye.get() / (degrees * degrees) }
}

/// The same for an eye of that age in years: 10·(1 + (age/70)⁴)·E/θ² (CIE 146:2002).
pub fn veil_at_age(at_eye: Lux, off_sight: Radians, age: f64) -> f64 {
    let part = age / 70.0;
    veil(at_eye, off_sight) * (1.0 + part * part * part * part)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Chromaticity;

    #[test]
    fn blue_light_of_typical_diodes() {
        // Lux at which the blue-weighted irradiance is 1 W/m²: CIE LED illuminants and measured spectra, weighted with
        // the ICNIRP table (its values from memory).
        for (x, y, lux) in [
            (0.4560, 0.4078, 3790.0), // LED-B1, 2730 K
            (0.3756, 0.3723, 1850.0), // LED-B3, 4100 K
            (0.3118, 0.3236, 1130.0), // LED-B5, 6600 K
            (0.3246, 0.3420, 1290.0), // cool white
            (0.162, 0.733, 9850.0),   // green, 520 nm
            (0.0725, 0.479, 1450.0),  // cyan, 498 nm
            (0.1495, 0.0309, 50.0),   // blue, 454 nm
        ] {
            let irradiance = blue_light(Xyz::from_chromaticity(Chromaticity::new(x, y), lux));
            assert!((0.9..1.14).contains(&irradiance), "{x} {y}: {irradiance}");
        }
        // Red never comes near.
        assert!(blue_light(Xyz::from_chromaticity(Chromaticity::new(0.6915, 0.3084), 5000.0)) < 0.01);
        // 6000 cd of blue at 4 m: above the limit, used up in about 13 s.
        let near = blue_light(Xyz::from_chromaticity(Chromaticity::new(0.1495, 0.0309), 6000.0 / 16.0));
        assert!((blue_light_time(near).unwrap() - 13.0).abs() < 1.0, "{near}");
        assert_eq!(blue_light_time(1.0), None);
    }

    #[test]
    fn veils() {
        // 1000 lx at the eye 10° off: 100 cd/m². At 70 years twice as much.
        let off = Radians::from_deg(10.0);
        assert!((veil(Lux::new(1000.0), off) - 100.0).abs() < 1e-9);
        assert!((veil_at_age(Lux::new(1000.0), off, 70.0) - 200.0).abs() < 1e-9);
        assert!(veil(Lux::new(1000.0), Radians::from_deg(31.0)) <= 0.0);
        assert!((veil(Lux::new(10.0), Radians::ZERO) - 100.0).abs() < 1e-9);
    }
}
