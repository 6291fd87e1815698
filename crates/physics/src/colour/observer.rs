//! The CIE 1931 2° standard observer.

use super::Chromaticity;

/// Wavelength of the first row, nm.
pub(super) const FIRST_NM: f64 = 360.0;
/// From row to row, nm.
pub(super) const STEP_NM: f64 = 5.0;

/// Colour matching functions x̄, ȳ, z̄, 360 to 830 nm in steps of 5 nm. CIE 015:2018 table of the 1931 observer
/// (ISO/CIE 11664-1), taken from the data of colour-science 0.4.7. Sums over smooth spectra differ from sums in
/// steps of 1 nm by less than 3e-6 in x and y.
#[rustfmt::skip]
pub(super) const OBSERVER: [[f64; 3]; 95] = [
    [0.0001299, 3.917e-06, 0.0006061],
    [0.0002321, 6.965e-06, 0.001086],
    [0.0004149, 1.239e-05, 0.001946],
    [0.0007416, 2.202e-05, 0.003486],
    [0.001368, 3.9e-05, 0.006450001],
    [0.002236, 6.4e-05, 0.01054999],
    [0.004243, 0.00012, 0.02005001],
    [0.00765, 0.000217, 0.03621],
    [0.01431, 0.000396, 0.06785001],
    [0.02319, 0.00064, 0.1102],
    [0.04351, 0.00121, 0.2074],
    [0.07763, 0.00218, 0.3713],
    [0.13438, 0.004, 0.6456],
    [0.21477, 0.0073, 1.03905],
    [0.2839, 0.0116, 1.3856],
    [0.3285, 0.01684, 1.62296],
    [0.34828, 0.023, 1.74706],
    [0.34806, 0.0298, 1.7826],
    [0.3362, 0.038, 1.77211],
    [0.3187, 0.048, 1.7441],
    [0.2908, 0.06, 1.6692],
    [0.2511, 0.0739, 1.5281],
    [0.19536, 0.09098, 1.28764],
    [0.1421, 0.1126, 1.0419],
    [0.09564, 0.13902, 0.8129501],
    [0.05795001, 0.1693, 0.6162],
    [0.03201, 0.20802, 0.46518],
    [0.0147, 0.2586, 0.3533],
    [0.0049, 0.323, 0.272],
    [0.0024, 0.4073, 0.2123],
    [0.0093, 0.503, 0.1582],
    [0.0291, 0.6082, 0.1117],
    [0.06327, 0.71, 0.07824999],
    [0.1096, 0.7932, 0.05725001],
    [0.1655, 0.862, 0.04216],
    [0.2257499, 0.9148501, 0.02984],
    [0.2904, 0.954, 0.0203],
    [0.3597, 0.9803, 0.0134],
    [0.4334499, 0.9949501, 0.008749999],
    [0.5120501, 1.0, 0.005749999],
    [0.5945, 0.995, 0.0039],
    [0.6784, 0.9786, 0.002749999],
    [0.7621, 0.952, 0.0021],
    [0.8425, 0.9154, 0.0018],
    [0.9163, 0.87, 0.001650001],
    [0.9786, 0.8163, 0.0014],
    [1.0263, 0.757, 0.0011],
    [1.0567, 0.6949, 0.001],
    [1.0622, 0.631, 0.0008],
    [1.0456, 0.5668, 0.0006],
    [1.0026, 0.503, 0.00034],
    [0.9384, 0.4412, 0.00024],
    [0.8544499, 0.381, 0.00019],
    [0.7514, 0.321, 0.0001],
    [0.6424, 0.265, 4.999999e-05],
    [0.5419, 0.217, 3e-05],
    [0.4479, 0.175, 2e-05],
    [0.3608, 0.1382, 1e-05],
    [0.2835, 0.107, 2.117582e-22],
    [0.2187, 0.0816, 0.0],
    [0.1649, 0.061, 0.0],
    [0.1212, 0.04458, 0.0],
    [0.0874, 0.032, 0.0],
    [0.0636, 0.0232, 0.0],
    [0.04677, 0.017, 0.0],
    [0.0329, 0.01192, 0.0],
    [0.0227, 0.00821, 0.0],
    [0.01584, 0.005723, 0.0],
    [0.01135916, 0.004102, 0.0],
    [0.008110916, 0.002929, 0.0],
    [0.005790346, 0.002091, 0.0],
    [0.004109457, 0.001484, 0.0],
    [0.002899327, 0.001047, 0.0],
    [0.00204919, 0.00074, 0.0],
    [0.001439971, 0.00052, 0.0],
    [0.0009999493, 0.0003611, 0.0],
    [0.0006900786, 0.0002492, 0.0],
    [0.0004760213, 0.0001719, 0.0],
    [0.0003323011, 0.00012, 0.0],
    [0.0002348261, 8.48e-05, 0.0],
    [0.0001661505, 6e-05, 0.0],
    [0.000117413, 4.24e-05, 0.0],
    [8.307527e-05, 3e-05, 0.0],
    [5.870652e-05, 2.12e-05, 0.0],
    [4.150994e-05, 1.499e-05, 0.0],
    [2.935326e-05, 1.06e-05, 0.0],
    [2.067383e-05, 7.4657e-06, 0.0],
    [1.455977e-05, 5.2578e-06, 0.0],
    [1.025398e-05, 3.7029e-06, 0.0],
    [7.221456e-06, 2.6078e-06, 0.0],
    [5.085868e-06, 1.8366e-06, 0.0],
    [3.581652e-06, 1.2934e-06, 0.0],
    [2.522525e-06, 9.1093e-07, 0.0],
    [1.776509e-06, 6.4153e-07, 0.0],
    [1.251141e-06, 4.5181e-07, 0.0],
];

/// `true` when a chromaticity lies inside the spectral locus and the line of purples, or at most `spare` outside.
pub(super) fn inside_locus(chromaticity: Chromaticity, spare: f64) -> bool {
    let Chromaticity { x, y } = chromaticity;
    // 390 nm to 700 nm: beyond, the locus does not move any more.
    let locus = &OBSERVER[6..=68];
    let corner = |row: &[f64; 3]| {
        let sum = row[0] + row[1] + row[2];
        [row[0] / sum, row[1] / sum]
    };
    // The locus runs clockwise, so that a point inside is on the right of every edge; NaN is on no side.
    (0..locus.len()).all(|at| {
        let (from, to) = (corner(&locus[at]), corner(&locus[(at + 1) % locus.len()]));
        let edge = [to[0] - from[0], to[1] - from[1]];
        let left = edge[0] * (y - from[1]) - edge[1] * (x - from[0]);
        left <= spare * libm::hypot(edge[0], edge[1])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::Xyz;

    /// Tristimulus values, in no particular unit, of the spectrum `power(wavelength in nm)`.
    fn sum_spectrum(power: impl Fn(f64) -> f64) -> Xyz {
        let mut sum = [0.0; 3];
        let mut nm = FIRST_NM;
        for row in &OBSERVER {
            let weight = power(nm);
            for (part, value) in sum.iter_mut().zip(row) {
                *part += weight * value;
            }
            nm += STEP_NM;
        }
        Xyz::of_array(sum)
    }

    #[test]
    fn spectral_colours_match_the_published_table() {
        // CIE 1931 spectral locus.
        for (nm, x, y) in [
            (450.0, 0.15664, 0.01770),
            (480.0, 0.09129, 0.13270),
            (490.0, 0.04539, 0.29498),
            (500.0, 0.00817, 0.53842),
            (520.0, 0.07430, 0.83380),
            (550.0, 0.30160, 0.69231),
            (580.0, 0.51249, 0.48659),
            (620.0, 0.69150, 0.30834),
        ] {
            let line = sum_spectrum(|at| f64::from(u8::from((at - nm).abs() < 1.0)));
            let colour = line.chromaticity().unwrap();
            assert!((colour.x - x).abs() < 1e-5 && (colour.y - y).abs() < 1e-5, "{nm} nm: {colour:?}");
            assert!(inside_locus(colour, 5e-4), "{nm} nm");
        }
        // Equal energy is (1/3, 1/3).
        let even = sum_spectrum(|_| 1.0).chromaticity().unwrap();
        assert!((even.x - 1.0 / 3.0).abs() < 5e-5 && (even.y - 1.0 / 3.0).abs() < 5e-5, "{even:?}");
    }

    #[test]
    fn no_light_lies_outside_the_locus() {
        for (x, y, real) in [
            (0.3127, 0.3290, true),
            (0.6915, 0.3084, true),
            (0.1495, 0.0309, true),
            (0.05, 0.1, false),
            (0.45, 0.10, false),
            (0.7, 0.7, false),
            (f64::NAN, 0.3, false),
        ] {
            assert_eq!(inside_locus(Chromaticity::new(x, y), 0.002), real, "{x} {y}");
        }
    }
}
