use super::*;
use proptest::prelude::*;

fn check(got: Chromaticity, x: f64, y: f64, within: f64, what: &str) {
    assert!((got.x - x).abs() <= within && (got.y - y).abs() <= within, "{what}: {got:?}, expected {x} {y}");
}

#[test]
fn planckian_radiators() {
    // Planck's law with c2 = 1.4388e-2 m·K and the CIE 1931 observer in steps of 1 nm, summed with colour-science
    // 0.4.7 data.
    for (kelvin, x, y) in [
        (1900.0, 0.53778, 0.41120),
        (2000.0, 0.52668, 0.41330),
        (2700.0, 0.45986, 0.41060),
        (2856.0, 0.44754, 0.40743),
        (3000.0, 0.43693, 0.40408),
        (3200.0, 0.42336, 0.39895),
        (3500.0, 0.40531, 0.39072),
        (4000.0, 0.38044, 0.37675),
        (5000.0, 0.34510, 0.35161),
        (5600.0, 0.33020, 0.33908),
        (6500.0, 0.31353, 0.32363),
        (7500.0, 0.30034, 0.31027),
        (10000.0, 0.28063, 0.28829),
    ] {
        check(planckian(Kelvin::new(kelvin)), x, y, 1e-5, &format!("{kelvin} K"));
    }
}

#[test]
fn phases_of_daylight() {
    // CIE 15 formula.
    for (kelvin, x, y) in [
        (4000.0, 0.38234, 0.38377),
        (5000.0, 0.34574, 0.35867),
        (5600.0, 0.33016, 0.34555),
        (6500.0, 0.31278, 0.32918),
        (7500.0, 0.29909, 0.31503),
        (10000.0, 0.27880, 0.29197),
    ] {
        check(daylight(Kelvin::new(kelvin)), x, y, 1e-5, &format!("{kelvin} K"));
    }
}

#[test]
fn standard_illuminants_are_near_their_radiators() {
    // CIE 15 illuminants. A was defined with c2 = 1.435e-2 at 2848 K, D illuminants with c2 = 1.438e-2: the
    // temperatures of today are larger by the ratio of the constants.
    check(planckian(Kelvin::new(2848.0 * 1.4388 / 1.435)), 0.44758, 0.40745, 2e-5, "A");
    for (nominal, x, y) in [
        (5000.0, 0.3457, 0.3585),
        (5500.0, 0.33243, 0.34744),
        (6500.0, 0.3127, 0.3290),
        (7500.0, 0.29903, 0.31488),
    ] {
        check(
            daylight(Kelvin::new(nominal * 1.4388 / 1.438)),
            x,
            y,
            1.5e-4,
            &format!("D{}", nominal / 100.0),
        );
    }
}

const A: Chromaticity = Chromaticity::new(0.44758, 0.40745);
const EQUAL_ENERGY: Chromaticity = Chromaticity::new(1.0 / 3.0, 1.0 / 3.0);
const LED_B1: Chromaticity = Chromaticity::new(0.4560, 0.4078);
const LED_B3: Chromaticity = Chromaticity::new(0.3756, 0.3723);

#[test]
fn temperature_and_tint_of_published_illuminants() {
    // Ohno 2013, evaluated with colour-science 0.4.7. The chromaticities are published to four or five digits.
    for (name, colour, kelvin, duv, within) in [
        ("A", A, 2855.5, 0.0000, 0.5),
        ("D65", Chromaticity::D65, 6504.3, 0.0032, 1.5),
        ("LED-B1", LED_B1, 2732.8, -0.0007, 1.5),
        ("E", EQUAL_ENERGY, 5455.5, -0.0044, 1.0),
    ] {
        let (got, tint) = cct_duv(colour);
        assert!((got.get() - kelvin).abs() < within, "{name}: {got}");
        assert!((tint - duv).abs() < 6e-5, "{name}: {tint}");
    }
}

#[test]
fn mccamys_cubic() {
    // McCamy 1992, evaluated with colour-science 0.4.7.
    let d50 = Chromaticity::new(0.3457, 0.3585);
    for (name, colour, kelvin, within) in [
        ("A", A, 2857.1, 0.3),
        ("D50", d50, 5001.0, 1.0),
        ("D65", Chromaticity::D65, 6505.1, 1.0),
        ("E", EQUAL_ENERGY, 5459.0, 1.0),
        ("LED-B3", LED_B3, 4112.1, 2.0),
    ] {
        let got = mccamy(colour).unwrap().get();
        assert!((got - kelvin).abs() < within, "{name}: {got}");
    }
    assert_eq!(mccamy(Chromaticity::new(0.4, 0.1858)), None);
}

#[test]
fn tinted_whites() {
    // Ohno 2013 in reverse (along the normal of the locus), evaluated with colour-science 0.4.7 data.
    for (kelvin, duv, x, y) in [
        (3200.0, 0.005, 0.42995, 0.41397),
        (3200.0, -0.005, 0.41708, 0.38463),
        (2700.0, 0.005, 0.46871, 0.42647),
        (4000.0, -0.006, 0.37637, 0.36174),
        (5600.0, 0.005, 0.33012, 0.34889),
        (5600.0, -0.005, 0.33027, 0.32962),
    ] {
        check(white(Kelvin::new(kelvin), Some(duv)), x, y, 1.5e-5, &format!("{kelvin} K {duv:+}"));
    }
}

#[test]
fn white_moves_from_planckian_to_daylight_without_a_jump() {
    assert_eq!(white(Kelvin::new(3200.0), None), planckian(Kelvin::new(3200.0)));
    assert_eq!(white(Kelvin::new(5600.0), None), daylight(Kelvin::new(5600.0)));
    let mut before = white(Kelvin::new(3800.0), None);
    for step in 1..=140 {
        let here = white(Kelvin::new(3800.0 + 10.0 * f64::from(step)), None);
        assert!(here.distance_uv(before) < 0.001, "{step}");
        before = here;
    }
}

#[test]
fn temperatures_mix_in_mired() {
    let middle = mired_between(Kelvin::new(2700.0), Kelvin::new(6500.0), 0.5);
    assert!((middle.get() - 3815.0).abs() < 0.5, "{middle}");
    assert_eq!(mired_between(Kelvin::ZERO, Kelvin::new(3000.0), 0.5), Kelvin::ZERO);
}

proptest! {
    #[test]
    fn temperature_and_tint_come_back(kelvin in 1500.0..20_000.0, duv in -0.02..0.02) {
        let colour = white(Kelvin::new(kelvin), Some(duv));
        let (again, tint) = cct_duv(colour);
        prop_assert!((again.get() / kelvin - 1.0).abs() < 1e-6, "{}", again);
        prop_assert!((tint - duv).abs() < 1e-9, "{}", tint);
    }

    #[test]
    fn no_temperature_breaks_it(kelvin in -1e9..1e9) {
        for duv in [None, Some(0.01)] {
            let colour = white(Kelvin::new(kelvin), duv);
            prop_assert!(colour.x.is_finite() && colour.y > 0.0);
        }
    }
}
