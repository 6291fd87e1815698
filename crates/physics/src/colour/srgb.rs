//! sRGB (IEC 61966-2-1): what screens and colour names mean.

use super::matrix::{Matrix, apply};
use super::{Chromaticity, Xyz};

/// Linear part of an encoded sRGB component, both 0 to 1.
pub fn linear_of_srgb(encoded: f64) -> f64 {
    if encoded <= 0.04045 { encoded / 12.92 } else { libm::pow((encoded + 0.055) / 1.055, 2.4) }
}

/// Encoded sRGB component of a linear part, both 0 to 1.
pub fn srgb_of_linear(linear: f64) -> f64 {
    if linear <= 0.003_130_8 { linear * 12.92 } else { 1.055 * libm::pow(linear, 1.0 / 2.4) - 0.055 }
}

/// Tristimulus values of linear sRGB; white (1, 1, 1) is D65 at Y = 1.
pub fn xyz_of_linear_rgb(rgb: [f64; 3]) -> Xyz {
    Xyz::of_array(apply(&XYZ_FROM_RGB, rgb))
}

/// Encoded sRGB of tristimulus values with D65 at Y = 1, each part cut off at black and full.
pub fn rgb8_of_xyz(xyz: Xyz) -> [u8; 3] {
    apply(&RGB_FROM_XYZ, xyz.array()).map(|part| (srgb_of_linear(part.clamp(0.0, 1.0)) * 255.0).round() as u8)
}

/// Reads `#rgb` or `#rrggbb` (either case); `None` for anything else.
pub fn rgb8_of_hex(text: &str) -> Option<[u8; 3]> {
    let digits = text.strip_prefix('#')?;
    if !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return None;
    }
    let number = u32::from_str_radix(digits, 16).ok()?;
    match digits.len() {
        3 => Some([8, 4, 0].map(|shift| ((number >> shift) & 0xf) as u8 * 0x11)),
        6 => Some([16, 8, 0].map(|shift| ((number >> shift) & 0xff) as u8)),
        _ => None,
    }
}

/// Writes `#rrggbb`.
pub fn hex_of_rgb8([r, g, b]: [u8; 3]) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// How a screen shows a colour of light: linear sRGB with the largest part 1. What a screen cannot show moves in a
/// straight line towards D65 until it can. What is no colour at all (not finite, not adding up to light) is white.
pub fn screen_rgb(chromaticity: Chromaticity) -> [f64; 3] {
    let Chromaticity { x, y } = chromaticity;
    let rgb = apply(&RGB_FROM_XYZ, [x, y, 1.0 - x - y]);
    // Adding the same to all three parts adds D65: a straight line in xy.
    let lift = (-rgb[0].min(rgb[1]).min(rgb[2])).max(0.0);
    let shown = rgb.map(|part| part + lift);
    let largest = shown[0].max(shown[1]).max(shown[2]);
    if !(largest > 1e-9 && largest.is_finite() && shown.iter().all(|part| part.is_finite())) {
        return [1.0; 3];
    }
    shown.map(|part| part / largest)
}

/// [`screen_rgb`] as `#rrggbb`.
pub fn screen_hex(chromaticity: Chromaticity) -> String {
    hex_of_rgb8(screen_rgb(chromaticity).map(|part| (srgb_of_linear(part) * 255.0).round() as u8))
}

/// From the primaries (.64, .33), (.30, .60), (.15, .06) and the white (.3127, .3290) of IEC 61966-2-1.
const XYZ_FROM_RGB: Matrix = [
    [0.412_390_799_265_959_4, 0.357_584_339_383_877_96, 0.180_480_788_401_834_3],
    [0.212_639_005_871_510_3, 0.715_168_678_767_755_9, 0.072_192_315_360_733_71],
    [0.019_330_818_715_591_825, 0.119_194_779_794_625_96, 0.950_532_152_249_660_7],
];

/// Inverse of `XYZ_FROM_RGB`.
const RGB_FROM_XYZ: Matrix = [
    [3.240_969_941_904_521_3, -1.537_383_177_570_093_2, -0.498_610_760_293_003_2],
    [-0.969_243_636_280_879_4, 1.875_967_501_507_720_2, 0.041_555_057_407_175_56],
    [0.055_630_079_696_993_59, -0.203_976_958_888_976_46, 1.056_971_514_242_878_4],
];

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn primaries_are_those_of_the_standard() {
        for (rgb, x, y, luminance) in [
            ([1.0, 0.0, 0.0], 0.64, 0.33, 0.2126),
            ([0.0, 1.0, 0.0], 0.30, 0.60, 0.7152),
            ([0.0, 0.0, 1.0], 0.15, 0.06, 0.0722),
            ([1.0, 1.0, 1.0], 0.3127, 0.3290, 1.0),
        ] {
            let xyz = xyz_of_linear_rgb(rgb);
            let colour = xyz.chromaticity().unwrap();
            assert!((colour.x - x).abs() < 1e-12 && (colour.y - y).abs() < 1e-12, "{rgb:?}: {colour:?}");
            assert!((xyz.y - luminance).abs() < 5e-5, "{rgb:?}: {xyz:?}");
        }
    }

    #[test]
    fn screens_show_the_nearest_they_can() {
        assert_eq!(screen_hex(Chromaticity::D65), "#ffffff");
        assert_eq!(screen_hex(Chromaticity::new(0.64, 0.33)), "#ff0000");
        let green = screen_rgb(Chromaticity::new(0.162, 0.733));
        assert_eq!((green[1], green[0].min(green[2])), (1.0, 0.0));
        for bad in [Chromaticity::new(f64::NAN, 0.3), Chromaticity::new(0.3, f64::INFINITY)] {
            assert!(screen_rgb(bad).iter().all(|part| (part - 1.0).abs() < 1e-15));
        }
    }

    #[test]
    fn hex_is_read_in_both_lengths() {
        for (text, expected) in [
            ("#f80", Some([255, 136, 0])),
            ("#Ff8800", Some([255, 136, 0])),
            ("ff8800", None),
            ("#ff88", None),
            ("#+f8800", None),
            ("#ggg", None),
            ("#", None),
        ] {
            assert_eq!(rgb8_of_hex(text), expected, "{text}");
        }
    }

    proptest! {
        #[test]
        fn encoding_has_an_inverse(bytes in prop::array::uniform3(0u8..)) {
            let again = bytes.map(|byte| {
                (srgb_of_linear(linear_of_srgb(f64::from(byte) / 255.0)) * 255.0).round() as u8
            });
            prop_assert_eq!(again, bytes);
            prop_assert_eq!(rgb8_of_hex(&hex_of_rgb8(bytes)), Some(bytes));
        }
    }
}
