//! From the level that a person sets to the light that comes out.

/// Square law: light = level². Half the level looks about half as bright (L* 57). Level 0 to 1, clamped.
pub fn square_law(level: f64) -> f64 {
    let level = level.clamp(0.0, 1.0);
    level * level
}

/// The level that gives a part of full light under [`square_law`]; 0 to 1, clamped.
pub fn square_law_inverse(light: f64) -> f64 {
    light.clamp(0.0, 1.0).sqrt()
}

/// CIE 15 lightness L*, 0 to 100, of a relative luminance 0 to 1 (above 1 goes on beyond 100).
pub fn lightness(relative_luminance: f64) -> f64 {
    if relative_luminance > LINEAR_BELOW {
        116.0 * libm::cbrt(relative_luminance) - 16.0
    } else {
        relative_luminance.max(0.0) * SLOPE
    }
}

/// The relative luminance that has a lightness L* (inverse of [`lightness`]).
pub fn luminance_of_lightness(lightness: f64) -> f64 {
    if lightness > LINEAR_BELOW * SLOPE {
        let root = (lightness + 16.0) / 116.0;
        root * root * root
    } else {
        lightness.max(0.0) / SLOPE
    }
}

/// The logarithmic curve of IEC 62386-102: part of full light (0 to 1) at level 0 to 254, where level 1 is 0.1 % and
/// level 254 is 100 %. Level 0 is off; 255 ("no change" on the wire) counts as 254.
pub fn iec62386(level: u8) -> f64 {
    if level == 0 {
        return 0.0;
    }
    libm::pow(10.0, (f64::from(level.min(254)) - 1.0) / (253.0 / 3.0) - 3.0)
}

/// The level of [`iec62386`] nearest to a part of full light, 0 to 254; light above zero never becomes level 0.
pub fn iec62386_level(light: f64) -> u8 {
    if light.is_nan() || light <= 0.0 {
        return 0;
    }
    let level = 1.0 + (libm::log10(light.min(1.0)) + 3.0) * (253.0 / 3.0);
    level.round().clamp(1.0, 254.0) as u8
}

/// CIE 15: (6/29)³, where the cube root meets the straight line.
const LINEAR_BELOW: f64 = 216.0 / 24389.0;
/// CIE 15: (29/3)³, L* for one of relative luminance on the straight line.
const SLOPE: f64 = 24389.0 / 27.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_matches_the_published_table() {
        // CIE 15, evaluated with colour-science 0.4.7; luminance in percent.
        for (percent, expected) in
            [(0.1, 0.903), (1.0, 8.991), (10.0, 37.842), (18.4187, 50.0), (50.0, 76.069), (100.0, 100.0)]
        {
            let got = lightness(percent / 100.0);
            assert!((got - expected).abs() < 1e-3, "{percent} %: {got}");
            assert!((luminance_of_lightness(got) - percent / 100.0).abs() < 1e-12);
        }
    }

    #[test]
    fn logarithmic_curve_matches_the_published_table() {
        // IEC 62386-102 level table: level, percent.
        for (level, percent) in [(1, 0.100), (85, 0.991), (170, 10.09), (229, 50.53), (254, 100.0)] {
            let got = iec62386(level) * 100.0;
            assert!((got / percent - 1.0).abs() < 6e-4, "level {level}: {got}");
            assert_eq!(iec62386_level(got / 100.0), level);
        }
        assert_eq!((iec62386(0), iec62386_level(0.0), iec62386_level(f64::NAN)), (0.0, 0, 0));
    }

    #[test]
    fn square_law_has_an_inverse() {
        for light in [0.0, 0.001, 0.25, 0.5, 1.0] {
            assert!((square_law(square_law_inverse(light)) - light).abs() < 1e-15);
        }
        assert!((lightness(square_law(0.5)) - 57.1).abs() < 0.05);
        assert_eq!((square_law(-1.0), square_law(7.0)), (0.0, 1.0));
    }
}
