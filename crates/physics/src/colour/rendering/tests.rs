#![expect(clippy::approx_constant, reason = "tabled powers that happen to be near π")]

use super::*;

/// Relative power of illuminants of CIE 15:2018 at 380 to 780 nm in steps of 5 nm, from the data of colour-science 0.4.7.
#[rustfmt::skip]
const ILLUMINANTS: [(&str, f64, [f64; 81]); 4] = [
    ("FL2", 64.1516, [
        1.18, 1.48, 1.84, 2.15, 3.44, 15.69, 3.85, 3.74, 4.19, 4.62, 5.06, 34.98, 11.81, 6.27,
        6.63, 6.93, 7.19, 7.4, 7.54, 7.62, 7.65, 7.62, 7.62, 7.45, 7.28, 7.15, 7.05, 7.04,
        7.16, 7.47, 8.04, 8.88, 10.01, 24.88, 16.64, 14.59, 16.16, 17.56, 18.62, 21.47, 22.79, 19.29,
        18.66, 17.73, 16.54, 15.21, 13.8, 12.36, 10.95, 9.65, 8.4, 7.32, 6.31, 5.43, 4.68, 4.02,
        3.45, 2.96, 2.55, 2.19, 1.89, 1.64, 1.53, 1.27, 1.1, 0.99, 0.88, 0.76, 0.68, 0.61,
        0.56, 0.54, 0.51, 0.47, 0.47, 0.43, 0.46, 0.47, 0.4, 0.33, 0.27,
    ]),
    ("FL4", 51.3515, [
        0.57, 0.7, 0.87, 0.98, 2.01, 13.75, 1.95, 1.59, 1.76, 1.93, 2.1, 30.28, 8.03, 2.55,
        2.7, 2.82, 2.91, 2.99, 3.04, 3.08, 3.09, 3.09, 3.14, 3.06, 3.0, 2.98, 3.01, 3.14,
        3.41, 3.9, 4.69, 5.81, 7.32, 22.59, 15.11, 13.88, 16.33, 18.68, 20.64, 24.28, 26.26, 23.28,
        22.94, 22.14, 20.91, 19.43, 17.74, 16.0, 14.42, 12.56, 10.93, 9.52, 8.18, 7.01, 6.0, 5.11,
        4.36, 3.69, 3.13, 2.64, 2.24, 1.91, 1.7, 1.39, 1.18, 1.03, 0.88, 0.74, 0.64, 0.54,
        0.49, 0.46, 0.42, 0.37, 0.37, 0.33, 0.35, 0.36, 0.31, 0.26, 0.19,
    ]),
    ("LED-B3", 84.8324, [
        0.0, 0.0, 0.01, 0.02, 0.05, 0.11, 0.25, 0.56, 1.2, 2.37, 4.24, 7.17, 12.11, 17.7,
        18.87, 14.58, 9.9, 7.53, 6.02, 5.11, 5.17, 5.82, 6.77, 7.88, 8.94, 9.82, 10.52, 11.06,
        11.51, 11.93, 12.37, 12.83, 13.31, 13.79, 14.26, 14.68, 15.08, 15.42, 15.72, 15.97, 16.18, 16.37,
        16.5, 16.55, 16.5, 16.32, 16.0, 15.54, 14.96, 14.27, 13.48, 12.62, 11.71, 10.78, 9.85, 8.93,
        8.04, 7.2, 6.42, 5.69, 5.02, 4.42, 3.88, 3.39, 2.95, 2.56, 2.22, 1.92, 1.65, 1.43,
        1.23, 1.06, 0.91, 0.78, 0.68, 0.58, 0.5, 0.43, 0.37, 0.32, 0.28,
    ]),
    ("LED-RGB1", 57.1133, [
        0.0, 0.0, 0.0, 0.01, 0.02, 0.05, 0.11, 0.24, 0.5, 0.94, 1.6, 2.43, 3.38, 4.59,
        5.84, 5.56, 4.0, 3.14, 2.8, 2.68, 3.03, 3.98, 5.53, 7.84, 10.96, 14.61, 18.01, 20.24,
        20.57, 19.22, 16.93, 14.58, 12.61, 11.09, 9.93, 9.11, 8.6, 8.31, 8.21, 8.24, 8.42, 8.74,
        9.25, 10.0, 11.1, 12.74, 15.35, 19.43, 26.01, 36.47, 51.1, 62.69, 52.07, 28.62, 15.5, 9.58,
        6.54, 4.95, 4.01, 3.37, 2.89, 2.51, 2.18, 1.92, 1.67, 1.44, 1.25, 1.09, 0.93, 0.82,
        0.71, 0.61, 0.53, 0.45, 0.4, 0.35, 0.3, 0.27, 0.24, 0.21, 0.17,
    ]),
];

#[test]
fn published_illuminants_have_their_index() {
    // CIE 15 gives FL2 as 64, FL4 as 51. The digits are those of colour-science 0.4.7 told to sum in steps of 5 nm, as
    // CIE 13.3 does (it finds the colour temperature in another way, Robertson 1968).
    for (name, index, power) in ILLUMINANTS {
        let light = Spectrum::from_fn(|nm| {
            let at = (nm - 380.0) / 5.0;
            if at >= 0.0 { power.get(at.round() as usize).copied().unwrap_or(0.0) } else { 0.0 }
        });
        let got = rendering_index(&light).unwrap();
        assert!((got - index).abs() < 0.02, "{name}: {got}, published {index}");
    }
    assert_eq!(rendering_index(&Spectrum::from_fn(|_| 0.0)), None);
}

#[test]
fn references_are_perfect() {
    for kelvin in [1900.0, 3200.0, 4900.0, 5100.0, 6500.0, 10_000.0] {
        let got = rendering_index(&reference(Kelvin::new(kelvin))).unwrap();
        assert!((99.5..=100.0001).contains(&got), "{kelvin}: {got}");
    }
}

#[test]
fn mixes_of_modelled_diodes_have_the_index_of_a_reference() {
    // Ohno's models of the same peaks and widths, mixed by luminance and judged by colour-science 0.4.7 in steps of 5 nm.
    let diode = |peak, width, light| (Spectrum::narrow(peak, width), light);
    let emitters = [
        diode(629.0, 15.0, 0.30),
        diode(520.0, 32.0, 0.65),
        diode(454.0, 18.0, 0.11),
        diode(595.0, 15.0, 0.25),
    ];
    let rendering = Rendering::new(&emitters);
    for (levels, index) in
        [([1.0, 0.72, 0.1, 0.0], 7.3349), ([0.5, 0.75, 0.1, 1.0], 70.9851), ([0.9, 1.0, 0.3, 0.5], 33.5638)]
    {
        let mut all = [0.0; MAX_EMITTERS];
        all[..4].copy_from_slice(&levels);
        let got = rendering.index(&all).unwrap();
        assert!((got - index).abs() < 0.02, "{levels:?}: {got}");
    }
    assert_eq!(rendering.index(&[0.0; MAX_EMITTERS]), None);
}
