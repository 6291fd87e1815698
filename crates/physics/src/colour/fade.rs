//! The way from one colour of light to another.

use super::{Oklab, Xyz};

/// The light `part` of the way (0 to 1, clamped) on a straight line in OKLab, which shows neither the dark dip of a
/// fade by channel values nor the jump out of the dark of a fade in linear light. Values are relative to white at Y = 1.
///
/// A fade from or to darkness keeps the colour of the lit end all the way. Between two very saturated colours the line
/// may bow just outside what emitters can mix: [`super::Mixer::max_output`] brings it back.
pub fn fade(from: Xyz, to: Xyz, part: f64) -> Xyz {
    if part.is_nan() || part <= 0.0 {
        return from;
    }
    if part >= 1.0 {
        return to;
    }
    let between = Oklab::from_xyz(from).lerp(Oklab::from_xyz(to), part).to_xyz();
    // Rounding, and lines that leave the real colours, must not ask for negative light.
    Xyz::new(between.x.max(0.0), between.y.max(0.0), between.z.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Chromaticity, lightness};
    use proptest::prelude::*;

    const RED: Chromaticity = Chromaticity::new(0.6915, 0.3084);

    #[test]
    fn darkness_takes_the_colour_of_the_lit_end() {
        let red = Xyz::from_chromaticity(RED, 0.3);
        for part in [0.01, 0.3, 0.99] {
            for light in [fade(Xyz::ZERO, red, part), fade(red, Xyz::ZERO, part)] {
                assert!(light.chromaticity().unwrap().distance_uv(RED) < 1e-6, "{part}: {light:?}");
            }
        }
    }

    #[test]
    fn no_dark_dip_between_red_and_green() {
        // A fade by equal channel steps on a square-law light loses 14.6 of lightness in the middle.
        let red = Xyz::from_chromaticity(RED, 0.3);
        let green = Xyz::from_chromaticity(Chromaticity::new(0.162, 0.733), 0.65);
        let (dark, bright) = (lightness(red.y), lightness(green.y));
        for step in 1..20 {
            let part = f64::from(step) / 20.0;
            let got = lightness(fade(red, green, part).y);
            assert!(got > dark + (bright - dark) * part - 3.0, "{part}: {got}");
        }
    }

    proptest! {
        #[test]
        fn ends_are_exact_and_light_is_never_negative(
            from in prop::array::uniform3(0.0..1.0), to in prop::array::uniform3(0.0..1.0), part in -0.5..1.5,
        ) {
            let (from, to) = (Xyz::of_array(from), Xyz::of_array(to));
            prop_assert_eq!(fade(from, to, 0.0), from);
            prop_assert_eq!(fade(from, to, 1.0), to);
            prop_assert!(fade(from, to, part).array().iter().all(|value| *value >= 0.0));
        }
    }
}
