//! Published worked figures, and cases as a stranger writes them.

use serde_json::{Value, json};

use super::solve;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Case, key of the answer (with `/` into it), what it must be, and within what. Sources stand beside the rows.
const PUBLISHED: &[(&str, &str, f64, f64)] = &[
    // 303 W at 120 V: 2.525 A; five of them 12.6 A of 16 A planned (an event company's article of 2024).
    (
        r##"{"task": "power", "lights": [{"watts": 303, "pf": 1, "count": 5}], "volts": 120, "breaker": 20}"##,
        "/amps",
        12.625,
        1e-9,
    ),
    (r##"{"task": "power", "lights": [{"W": "303 W", "PF": 1}], "voltage": "120 V"}"##, "/amps", 2.525, 1e-9),
    // One kilowatt on three mains (arithmetic).
    (r##"{"task": "load", "kW": 1, "pf": 1, "region": "jp"}"##, "/amps", 10.0, 1e-9),
    (r##"{"task": "power", "watts": 1000, "pf": 1, "region": "eu"}"##, "/limit_amps", 12.8, 1e-9),
    (r##"{"task": "power", "watts": 1000, "pf": 1, "region": "uk"}"##, "/limit_amps", 20.0, 1e-9),
    // 16 AWG, 100 ft, 4 A: 3.992 V; 12 AWG, 20 A by K: 7.9 V, 6.6 % (two public lessons).
    (
        r##"{"task": "drop", "awg": 16, "length_ft": 100, "amps": 4, "volts": 120}"##,
        "/drop_volts",
        3.992,
        1e-9,
    ),
    (
        r##"{"task": "voltage drop", "cable": "#12", "length": "100 ft", "amps": 20, "volts": 120, "method": "K"}"##,
        "/drop_percent",
        6.6,
        0.05,
    ),
    (
        r##"{"task": "drop", "cable": "3G1.5", "length_m": 30, "amps": 13, "volts": 230}"##,
        "/drop_percent",
        5.4,
        0.05,
    ),
    (r##"{"task": "drop", "mm2": 1.5, "chain": [1, 1, 1, 1], "link_m": 5}"##, "/drop_volts", 1.6, 1e-9),
    (
        r##"{"task": "drop", "table": "iec 60228", "mm2": 1.5, "temperature_c": 70, "length_m": 100, "amps": 1}"##,
        "/drop_volts",
        3.183,
        0.001,
    ),
    // 3.5, 0.7 and 0.5 mA: 2, 12 and 18 for 30 mA (a switchgear maker's guide).
    (r##"{"task": "leakage", "rcd_ma": 30, "each_ma": 3.5, "lights": 3}"##, "/max_lights", 2.0, 0.0),
    (r##"{"task": "rcd", "rcd": "30 mA", "leakage_ma": 0.7}"##, "/max_lights", 12.0, 0.0),
    (r##"{"task": "leakage", "leakage_ma": 0.5}"##, "/max_lights", 18.0, 0.0),
    (r##"{"task": "inrush", "breaker": 16, "curve": "B", "watts": 75}"##, "/together", 8.0, 0.0),
    (
        r##"{"task": "daisy chain", "amps": 2.525, "max_units": 5, "circuit_amps": 16}"##,
        "/max_lights",
        5.0,
        0.0,
    ),
    (r##"{"task": "generator", "kw": 2.86, "pf": 0.8}"##, "/kva", 3.575, 1e-9),
    (r##"{"task": "generator", "kw": 100, "pf": 0.8, "share": 1}"##, "/rating_kva", 125.0, 1e-9),
    (r##"{"task": "battery", "volts": 10, "ah": 10, "watts": 17}"##, "/hours", 5.0, 1e-9),
    (r##"{"task": "phases", "amps": [10, 0, 0]}"##, "/neutral_amps", 10.0, 1e-9),
    // 3 m of steel tube with 4 × 9 kg: 241 N, 181 N·m, 18 % (worked by hand from beam tables).
    (
        r##"{"task": "bar", "span_m": 3, "tube": "48.3x4 steel", "loads": [[0.5, 9], [1, 9], [2, 9], [2.5, 9]]}"##,
        "/moment_nm",
        181.0,
        0.5,
    ),
    // Worked by hand: 4 x 4.37 + 6 x 8.3 + 1.42 = 68.7 kg, evenly on two points.
    (
        r##"{"task": "bar", "length_m": 4, "kg_per_m": 4.37, "loads": [{"kg": 7.5, "count": 6}], "clamp_kg": 0.6, "bond_kg": 0.2, "cable_kg": 1.42}"##,
        "/reactions_kg/0",
        34.35,
        1e-9,
    ),
    (
        r##"{"task": "bar", "length_m": 4, "points": [-2, 2], "loads": [{"x": 0, "kg": 40}]}"##,
        "/moment_nm",
        40.0 * 9.806_65,
        1e-6,
    ),
    // 20 kg, 0.6 m, 2.4 m: 24.5 N; tips at 12.1 m/s (statics).
    (r##"{"task": "stand", "kg": 20, "r": 0.6, "h": 2.4}"##, "/tip_force_n", 24.5, 0.05),
    (
        r##"{"task": "stand", "total_kg": 20, "leg_radius_m": 0.6, "height_m": 2.2, "area_m2": 0.25, "cd": 1.2}"##,
        "/tip_wind_m_s",
        12.1,
        0.05,
    ),
    // 122.5 N on 2 m² at 10 m/s (a public calculator, Cd 1).
    (r##"{"task": "wind", "v": 10, "area": 2, "cd": 1}"##, "/force_n", 122.5, 1e-9),
    // 62 + 73 = 73.3; eight of 38 and two of 44 dBA at 4 m: 38.0 (textbook).
    (r##"{"task": "noise", "levels": [62, 73]}"##, "/level_dba", 73.3, 0.05),
    (
        r##"{"task": "noise", "fans": [{"dba": 38, "count": 8}, {"dba": "44 dBA", "count": 2}], "distance_m": 4}"##,
        "/level_dba",
        38.0,
        0.02,
    ),
    (r##"{"task": "cables", "count": 11}"##, "/to_carry", 14.0, 0.0),
    (r##"{"task": "cables", "lights": 11, "splitter": true, "lines": 2}"##, "/cables", 12.0, 0.0),
    (
        r##"{"task": "line order", "start": [0, 0], "points": [[5, 0], [1, 0], [3, 0]]}"##,
        "/length_m",
        5.0,
        1e-9,
    ),
    (r##"{"task": "addresses", "lights": 3, "channels": 13, "start": 490}"##, "/starts/1", 1.0, 0.0),
    (
        r##"{"task": "addresses", "lights": [{"no": 3, "ch": 13}], "rule": "by number", "step": 20}"##,
        "/starts/0",
        41.0,
        0.0,
    ),
    (r##"{"task": "addresses", "footprints": [16, 8, 8], "gap": 4}"##, "/starts/2", 33.0, 0.0),
    (r##"{"task": "dip", "switches_on": [1, 4, 6, 7, 8]}"##, "/address", 233.0, 0.0),
];

#[test]
fn published_figures_come_out() {
    for (case, pointer, wanted, within) in PUBLISHED {
        let case: Value = serde_json::from_str(case).unwrap();
        let answer = solve(case.clone()).unwrap_or_else(|error| panic!("{case}: {error}"));
        let value = answer.pointer(pointer).unwrap_or_else(|| panic!("{case}: no {pointer} in {answer}"));
        assert!((number(value) - wanted).abs() <= *within, "{case}: {pointer} is {value}, not {wanted}");
        for key in ["says", "source"] {
            assert!(answer[key].as_str().is_some_and(|text| !text.is_empty()), "{case}: no {key}");
        }
    }
}

#[test]
fn circuits_are_found_where_largest_first_fails() {
    for case in [
        json!({"task": "circuits", "lights": [4, 4, 3, 3, 3, 3], "circuits": [10, 10]}),
        json!({"task": "packing", "volts": 120, "lights": [{"name": "a", "va": 480, "count": 2}, {"name": "b", "watts": 360, "pf": 1, "count": 4}],
            "circuits": [{"name": "left", "breaker": 12.5}, {"name": "right", "breaker": 20, "other_load": 6}]}),
        json!({"task": "assign", "lights": {"a": 4, "b": 4, "c": 3, "d": 3, "e": 3, "f": 3}, "circuits": {"left": 10, "right": {"usable_amps": 10}}}),
    ] {
        let answer = solve(case.clone()).unwrap();
        assert_eq!(answer["fits"], true, "{case}: {answer}");
        assert_eq!(answer["circuits"][0]["amps"].as_f64().map(f64::round), Some(10.0), "{case}");
    }
    let answer = solve(json!({"task": "circuits", "lights": [7, 7, 7, 7, 7], "breakers": [20, 20]})).unwrap();
    assert_eq!(
        (&answer["fits"], &answer["circuits_over"], &answer["certain"]),
        (&json!(false), &json!(1), &json!(true))
    );
    assert!((number(&answer["short_by_amps"]) - 5.0).abs() < 0.01);
    // What is on its circuit and fits stays there; what must, and what cannot be reached, is respected.
    let answer = solve(json!({"task": "circuits", "circuits": [{"name": "A", "usable_amps": 6}, {"name": "B", "usable_amps": 6}],
        "lights": [{"name": "x", "amps": 4, "circuit": "A"}, {"name": "y", "amps": 3, "circuit": "A"}, {"name": "z", "amps": 2, "circuit": "B", "reach": ["B"]}]})).unwrap();
    assert_eq!(answer["moved"], json!(["y"]), "{answer}");
}

#[test]
fn addresses_and_switches() {
    let found = solve(json!({"task": "addresses", "lights": [{"number": 1, "channels": 13, "address": 505}, {"number": 2, "channels": 4, "address": "1.510"}]})).unwrap();
    let texts = found["findings"].to_string();
    assert!(texts.contains("last usable start is 500") && texts.contains("overlap"), "{texts}");
    let kept = solve(json!({"task": "readdress", "lights": [{"number": 1, "channels": 30, "address": 1}, {"number": 2, "channels": 8, "address": 3},
        {"number": 3, "channels": 8, "address": 11}]})).unwrap();
    assert_eq!((&kept["kept"], &kept["exact"]), (&json!([2, 3]), &json!(true)));
    let dip = solve(json!({"task": "dip", "address": 247})).unwrap();
    assert_eq!(dip["switches_on"], json!([1, 2, 3, 5, 6, 7, 8]));
    assert_eq!(dip["picture"].as_str().map(|text| text.lines().count()), Some(3));
    assert_eq!(
        solve(json!({"task": "dip", "address": 10, "from_zero": true})).unwrap()["switches_on"],
        json!([1, 4])
    );
}

#[test]
fn what_is_wrong_is_said() {
    for (case, said) in [
        (json!({"watts": 3}), "\"task\" is missing: one of power, circuits"),
        (json!({"task": "cook"}), "is no task"),
        (json!([1]), "a case is an object"),
        (json!({"task": "power", "watts": 3}), "\"volts\" is missing"),
        (json!({"task": "power", "watts": -3, "volts": 230}), "is 0 or more"),
        (json!({"task": "power", "watts": "many", "volts": 230}), "is a number, not"),
        (json!({"task": "power", "lights": [{"pf": 1}], "volts": 230}), "light 1: \"watts\" is missing"),
        (json!({"task": "drop", "cable": "thick", "amps": 1, "length_m": 2}), "have figures for"),
        (
            json!({"task": "drop", "cable": "14 AWG", "table": "BS 7671", "amps": 1, "length_m": 2}),
            "has no 14 AWG",
        ),
        (json!({"task": "bar", "length_m": 3, "points": [1, 1], "loads": []}), "two different places"),
        (json!({"task": "stand", "kg": 20, "h": 2}), "\"leg_radius_m\" is missing"),
        (json!({"task": "dip", "address": 512}), "nine switches reach 511"),
        (json!({"task": "dip", "address": 600}), "600"),
        (json!({"task": "circuits", "lights": [1], "circuits": []}), "has 1 to 60 entries"),
        (
            json!({"task": "circuits", "lights": [{"amps": 1, "circuit": "Z"}], "circuits": [5]}),
            "there is no circuit \"Z\"",
        ),
        (json!({"task": "region", "region": "mars"}), "is no task"),
        (json!({"task": "power", "watts": 1, "region": "mars"}), "is no region"),
    ] {
        let error = solve(case.clone()).unwrap_err();
        assert!(error.contains(said), "{case}: {error}");
    }
}

#[test]
fn nothing_is_called_safe() {
    for case in [
        json!({"task": "stand", "kg": 20, "r": 0.6, "h": 2.4, "area_m2": 0.25, "wind_m_s": 5}),
        json!({"task": "bar", "length_m": 3, "tube": "steel", "loads": [[1, 9]], "point_rated_kg": 500}),
        json!({"task": "power", "watts": 10, "volts": 230, "breaker": 16}),
    ] {
        let answer = solve(case).unwrap();
        assert!(!answer.to_string().to_lowercase().contains("safe"), "{answer}");
        assert!(answer["caution"].as_str().is_some_and(|text| text.len() > 40));
    }
}
