use super::*;
use crate::beam::Distribution;
use crate::units::{Candela, Radians};
use proptest::prelude::*;

fn at(table: &Table, vertical: f64, horizontal: f64) -> f64 {
    table.intensity(Radians::from_deg(vertical), Radians::from_deg(horizontal)).get()
}

/// A file of the 2002 edition with one plane of cos θ (a matt surface) every 5°.
fn matt(peak: f64) -> String {
    let angles: Vec<String> = (0..=18).map(|step| (step * 5).to_string()).collect();
    let candela: Vec<String> =
        (0..=18).map(|step| format!("{:.6}", peak * libm::cos(f64::from(step * 5).to_radians()))).collect();
    format!(
        "IESNA:LM-63-2002\n[TEST] 1\n[TESTLAB] kitchen table\n[ISSUEDATE] 1-JAN-2020\n[MANUFAC] nobody\nTILT=NONE\n\
         1 -1 1 19 1 1 2 0.1 0.1 0\n1 1 30\n{}\n0\n{}\n",
        angles.join(" "),
        candela.join(" ")
    )
}

#[test]
fn a_matt_surface_has_pi_lumens_for_each_candela() {
    let file = read(&matt(100.0)).unwrap();
    assert_eq!((file.edition, file.doubts.as_slice()), (Edition::Y2002, &[][..]));
    // ∫ cos θ dΩ over the half sphere is π; the chords between 5° steps lose 0.06 %.
    let flux = file.table.flux().get();
    assert!((flux / (100.0 * std::f64::consts::PI) - 1.0).abs() < 1e-3, "{flux}");
    let curve = file.table.curve();
    assert!((curve.full_angle(0.5).unwrap().deg() - 120.0).abs() < 0.1);
    assert_eq!((file.lumens_per_lamp, file.watts), (None, Some(Watts::new(30.0))));
    assert_eq!(file.keyword("TESTLAB"), Some("kitchen table"));
    let shape = Distribution::Measured(file.table);
    assert!((shape.relative(Radians::from_deg(60.0), Radians::ZERO) - 0.5).abs() < 1e-6);
    assert!((shape.peak_from_flux(Lumens::new(flux)).get() - 100.0).abs() < 1e-9);
}

/// Flux and intensities of a quadrant file, against scipy 1.17 (bilinear interpolation, dblquad). The same run gave the
/// published figures of the example that comes with LM-63-2002: 98 596 lm, 24 666.7 cd at (30°, 60°), 33 000 cd at (30°, 150°).
#[test]
fn a_quadrant_file_has_the_light_of_its_table() {
    let text = "IESNA: LM-63-2002\n[TEST] x\n[MORE] y\nTILT=INCLUDE\n1\n3\n0 90 180\n1.0 .9 1.0\n\
                1 9000 1 5 3 1 1 .5 .6 0\n1.0 1.0 300\n0 20 50 70 90\n0 30 90\n\
                8000 6200 2100 400 0\n8000 5100 1500 300 0\n8000 3900 700 200 0\n";
    let file = read(text).unwrap();
    let flux = file.table.flux().get();
    assert!((flux / 9_425.199 - 1.0).abs() < 1e-6, "{flux}");
    assert!((at(&file.table, 30.0, 60.0) - 3_366.667).abs() < 1e-2);
    assert!((at(&file.table, 35.0, 150.0) - 3_300.0).abs() < 1e-6);
    // Feet.
    for (side, metres) in file.size.into_iter().zip([0.1524, 0.18288, 0.0]) {
        assert!((side.get() - metres).abs() < 1e-9, "{side}");
    }
    assert_eq!(file.keyword("TEST"), Some("x y"));
    assert_eq!(file.doubts.iter().map(|doubt| doubt.line).collect::<Vec<_>>(), [1, 1, 1, 4]);
}

#[test]
fn planes_stand_for_those_that_are_left_out() {
    let file = |horizontal: &str, rows: &str| {
        let count = horizontal.split_whitespace().count();
        let text =
            format!("IESNA91\nTILT=NONE\n1 1000 2 2 {count} 1 2 0 0 0\n1 1 0\n0 90\n{horizontal}\n{rows}\n");
        read(&text).unwrap().table
    };
    // The multiplier of 2 is contained.
    for (horizontal, rows, asked) in [
        ("0", "100 0", vec![(0.0, 200.0), (123.0, 200.0)]),
        (
            "0 90",
            "100 0 50 0",
            vec![(0.0, 200.0), (90.0, 100.0), (180.0, 200.0), (225.0, 150.0), (315.0, 150.0), (-90.0, 100.0)],
        ),
        ("0 90 180", "100 0 50 0 20 0", vec![(180.0, 40.0), (270.0, 100.0), (225.0, 70.0), (315.0, 150.0)]),
        ("90 180 270", "100 0 50 0 20 0", vec![(90.0, 200.0), (0.0, 100.0), (270.0, 40.0), (45.0, 150.0)]),
        (
            "0 90 180 270 360",
            "100 0 50 0 20 0 10 0 100 0",
            vec![(270.0, 20.0), (315.0, 110.0), (135.0, 70.0)],
        ),
        // The last plane left out.
        ("0 90 180 270", "100 0 50 0 20 0 10 0", vec![(315.0, 110.0), (350.0, 180.0)]),
    ] {
        let table = file(horizontal, rows);
        for (angle, candela) in asked {
            let got = at(&table, 0.0, angle);
            assert!((got - candela).abs() < 1e-6, "{horizontal}: {got} at {angle}°, not {candela}");
        }
        assert!(at(&table, 90.1, 0.0) <= 0.0);
    }
}

#[test]
fn every_edition_and_every_odd_layout() {
    let body = "TILT=NONE\n1 1000 1 3 1 1 2 0 0 0\n1 0.9 50\n0 45 90\n0\n100 50 0\n";
    for (first, edition, factor) in [
        ("some label of 1986", Edition::Y1986, 0.9),
        ("IESNA91", Edition::Y1991, 0.9),
        ("IESNA:LM-63-1995", Edition::Y1995, 1.0),
        ("iesna: lm-63-2002", Edition::Y2002, 1.0),
        ("IES:LM-63-2019", Edition::Y2019, 1.0),
    ] {
        let text = format!("{first}\n{body}");
        let plain = read(&text).unwrap();
        assert_eq!((plain.edition, plain.factor), (edition, factor), "{first}");
        assert!((plain.table.peak().get() - 100.0 * factor).abs() < 1e-9);
        for odd in [
            text.replace('\n', "\r\n"),
            text.replace('\n', "\r"),
            text.replace("0 45 90", "0,45 ,\t90"),
            text.replace("100 50 0", "100\n\n  50\n0\n\u{1a}"),
            text.replace("TILT=NONE", " Tilt = none "),
            format!("\u{feff}{text}"),
        ] {
            assert_eq!(read(&odd).map(|file| file.table), Ok(plain.table.clone()), "{odd:?}");
        }
    }
    // No first line at all: 1986 had none.
    assert_eq!(read(body).unwrap().edition, Edition::Y1986);
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    let good = "IESNA91\n[TEST] x\nTILT=NONE\n1 1000 1 2 1 1 2 0 0 0\n1 1 50\n0 90\n0\n100 0\n";
    assert!(read(good).is_ok());
    for (from, to, line, says) in [
        ("TILT=NONE", "TILT=LAMP.TLT", 3, "another file"),
        ("TILT=NONE", "TILT=", 3, "NONE"),
        ("TILT=NONE", "", 8, "TILT="),
        ("1 1000 1 2 1 1 2", "1 1000 1 2 1 2 2", 4, "type B"),
        ("1 1000 1 2 1 1 2", "1 1000 1 2 1 3 2", 4, "type A"),
        ("1 1000 1 2 1 1 2", "1 1000 1 2 1 7 2", 4, "1 (C)"),
        ("1 1000 1 2 1 1 2", "1 1000 0 2 1 1 2", 4, "multiplier"),
        ("1 1000 1 2 1 1 2", "1 1000 1 2.5 1 1 2", 4, "whole number"),
        ("1 1000 1 2 1 1 2", "1 1000 1 -2 1 1 2", 4, "whole number"),
        ("1 1000 1 2 1 1 2", "1 1000 1 1e6 1e6 1 2", 4, "at most"),
        ("1 1000 1 2 1 1 2", "1 1000 1 2 1 1 3", 4, "metres"),
        ("1 1 50", "0 1 50", 5, "ballast"),
        ("0 90\n", "90 0\n", 6, "larger"),
        ("0 90\n", "10 90\n", 6, "begin at 0°"),
        ("0 90\n", "0 190\n", 6, "180°"),
        ("100 0", "100 -1", 8, "0 or more"),
        ("100 0", "100 NaN", 8, "number"),
        ("100 0", "100 inf", 8, "number"),
        ("100 0", "100", 8, "ends"),
        ("100 0", "100 dark", 8, "\"dark\""),
    ] {
        let error = read(&good.replace(from, to)).unwrap_err();
        assert!(error.line == line && error.what.contains(says), "{to:?}: {error}");
    }
    let twice =
        read(&(good.replace("1 1000 1 2 1 1 2", "1 1000 1 2 2 1 2").replace("\n0\n", "\n0 45\n") + "100 0"));
    assert!(twice.unwrap_err().what.contains("0°, 90°"));
    assert!(read("").is_err());
    let more = read(&format!("{good}7 8\n")).unwrap();
    assert_eq!(more.doubts.first().map(|doubt| doubt.line), Some(9));
}

#[test]
fn a_beam_that_ends_with_its_file() {
    let text = "IESNA91\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 50\n0 5 10\n0\n1000 900 800\n";
    let curve = read(text).unwrap().table.curve();
    assert!((curve.full_angle(0.5).unwrap().deg() - 20.0).abs() < 1e-9);
    assert!(curve.intensity(Radians::from_deg(10.1)) == Candela::ZERO);
    // Half way between 5° and 10°.
    assert!((curve.relative(Radians::from_deg(7.5)).unwrap() - 0.85).abs() < 1e-9);
}

proptest! {
    #[test]
    fn no_text_panics(text in "(?s).{0,400}") {
        let _ = read(&text);
    }

    #[test]
    fn no_heap_of_numbers_panics(
        first in "(IESNA91|IES:LM-63-2019|)",
        tilt in "(NONE|INCLUDE)",
        numbers in prop::collection::vec(prop_oneof![
            (-3i32..400).prop_map(|n| n.to_string()),
            Just("1".to_owned()),
            Just("2".to_owned()),
            Just("1e308".to_owned()),
            Just("-1e-308".to_owned()),
        ], 0..60),
    ) {
        if let Ok(file) = read(&format!("{first}\nTILT={tilt}\n{}", numbers.join(" "))) {
            let curve = file.table.curve();
            prop_assert!(file.table.flux().get() >= 0.0);
            prop_assert!(curve.full_angle(0.5).is_none_or(|angle| angle.get() >= 0.0));
            for angle in [0.0, 33.3, 90.0, 180.0, 271.0, -40.0] {
                let candela = at(&file.table, angle, angle);
                prop_assert!(candela >= 0.0 && candela <= file.table.peak().get() * (1.0 + 1e-9));
            }
        }
    }

    #[test]
    fn what_is_written_is_what_is_read(
        candela in prop::collection::vec(0.0..1e5f64, 12),
        multiplier in 0.1..10.0f64,
    ) {
        let rows: Vec<String> = candela.iter().map(f64::to_string).collect();
        let text = format!(
            "IESNA:LM-63-1995\nTILT=NONE\n1 -1 {multiplier} 4 3 1 2 0 0 0\n1 1 50\n0 10 30 90\n0 90 180\n{}\n",
            rows.join("\n")
        );
        let table = read(&text).unwrap().table;
        for (plane, horizontal) in [0.0, 90.0, 180.0].into_iter().enumerate() {
            for (row, vertical) in [0.0, 10.0, 30.0, 90.0].into_iter().enumerate() {
                let expected = candela[plane * 4 + row] * multiplier;
                prop_assert!((at(&table, vertical, horizontal) - expected).abs() <= 1e-6 * (1.0 + expected));
            }
        }
    }
}
