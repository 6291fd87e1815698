use super::solve;
use serde_json::{Value, json};

fn answer(case: Value) -> Value {
    solve(case.clone()).unwrap_or_else(|error| panic!("{case}: {error}"))
}

fn figure(answer: &Value, at: &str) -> f64 {
    answer.pointer(at).and_then(Value::as_f64).unwrap_or_else(|| panic!("no {at} in {answer}"))
}

/// A case, where its answer has a figure, the figure, and how near it comes.
type Row = (Value, &'static str, f64, f64);

fn check(rows: &[Row]) {
    for (case, at, expected, near) in rows {
        let got = figure(&answer(case.clone()), at);
        assert!((got / expected - 1.0).abs() <= *near, "{case}: {at} is {got}, not {expected}");
    }
}

#[test]
fn worked_examples_as_published() {
    check(&[
        // Exercises of physics teaching: an isotropic lamp; the incidence that gives 30 lx.
        (json!({"lumens": 628, "d_m": 1, "angle_deg": 37}), "/I_cd", 50.0, 1e-3),
        (json!({"lumens": 628, "d_m": 1, "angle_deg": 37}), "/E_lx", 40.0, 3e-3),
        (json!({"I_cd": 450, "d_m": 3, "E_lx": 30}), "/angle_deg", 53.130, 1e-5),
        // The same law asked the other ways round.
        (json!({"E_lx": 400, "d_m": 5}), "/I_cd", 10_000.0, 1e-9),
        (json!({"I_cd": 10_000, "E_lx": 400}), "/d_m", 5.0, 1e-9),
        (json!({"I_cd": 8000, "height_m": 4, "out_m": 3}), "/E_lx", 8000.0 * 0.8 / 25.0, 1e-9),
        (json!({"I_cd": 8000, "height_m": 4, "out_m": 3}), "/angle_deg", 36.869_897_6, 1e-8),
        (json!({"I_cd": 500, "cos": 0.5, "d_m": 2}), "/E_lx", 62.5, 1e-9),
    ]);
}

#[test]
fn flux_and_peak_by_every_model() {
    // lm for each cd: scipy 1.17 quad, over the half space ahead.
    let soft = [
        (4.0, 0.005_520_926),
        (10.0, 0.034_452_76),
        (20.0, 0.137_056_8),
        (40.0, 0.536_355_0),
        (60.0, 1.162_385_2),
        (90.0, 2.322_796_4),
    ];
    for (beam, lumens) in soft {
        check(&[
            (json!({"peak_cd": 1000, "beam_deg": beam}), "/flux_lm", 1000.0 * lumens, 1e-5),
            (json!({"lumens": 1000, "beam_deg": beam}), "/peak_cd", 1000.0 / lumens, 1e-5),
            (json!({"lumens": 1000, "half_angle_deg": beam / 2.0}), "/I_cd", 1000.0 / lumens, 1e-5),
        ]);
    }
    // Closed forms: Ω = 2π(1 − cos(a/2)); n = ln 0.5 / ln cos(B/2), Φ = 2π I / (n + 1).
    for (beam, cone, cosine) in [
        (10.0, 0.023_909_42, 0.034_370_74),
        (20.0, 0.095_455_70, 0.135_771_6),
        (60.0, 0.841_787_2, 1.079_800_0),
    ] {
        check(&[
            (json!({"lumens": 500, "beam_deg": beam, "model": "cone"}), "/I_cd", 500.0 / cone, 1e-6),
            (json!({"lumens": 500, "beam_deg": beam, "model": "cosn"}), "/I_cd", 500.0 / cosine, 1e-5),
        ]);
    }
    check(&[
        (json!({"lumens": 100, "model": "lambert"}), "/I_cd", 31.830_989, 1e-7),
        (json!({"lumens": 100, "solid_angle_sr": 2}), "/I_cd", 50.0, 1e-9),
    ]);
}

#[test]
fn spots() {
    let slanted = json!({"height_m": 5, "aim_m": 4, "half_angle_deg": 10});
    check(&[
        (slanted.clone(), "/spot/semi_major_m", 1.4752, 1e-4),
        (slanted.clone(), "/spot/semi_minor_m", 1.1404, 1e-4),
        (slanted, "/spot/centre_m", 4.2081, 1e-5),
        (json!({"d_m": 6, "beam_deg": 25}), "/diameter_m", 2.660_336, 1e-6),
        (json!({"d_m": 6, "diameter_m": 2.660_336}), "/beam_deg", 25.0, 1e-6),
        (
            json!({"beams": [{"pos": [1, 2, 5], "target": [1, 6, 0], "peak_cd": 1, "beam_deg": 20}]}),
            "/beams/0/spot/centre/1",
            6.2081,
            1e-5,
        ),
    ]);
    let level = answer(json!({"height_m": 2, "tilt_deg": 80, "beam_deg": 30}));
    assert_eq!(level["spot"]["endless"], true);
}

#[test]
fn lights_in_a_room_add_up() {
    let lights = json!([
        {"pos": [0, 0, 5], "target": [4, 0, 0], "peak_cd": 10_000, "beam_deg": 20, "xy": [0.6915, 0.3084]},
        {"pos": [2, -3, 4.5], "target": [0, 1, 1.6], "peak_cd": 8000, "beam_deg": 14, "xy": [0.3127, 0.3290]},
    ]);
    let room = |point: Value| json!({"beams": lights, "points": [point]});
    check(&[
        // numpy, the same formulas written there.
        (room(json!([3, 0.5, 0])), "/points/0/lux/0", 140.219_296, 1e-6),
        (room(json!({"at": [0, 1, 1.6], "normal": "face"})), "/points/0/lux/1", 211.321_229, 1e-6),
        (room(json!({"at": [0.3, 1, 1.2], "normal": [0, -2, 0]})), "/points/0/lux/1", 135.517_990, 1e-6),
        (room(json!({"xyz": [0.3, 1, 1.2], "face": [0, -1, 0]})), "/points/0/lux/1", 135.517_990, 1e-6),
    ]);
    let both = answer(room(json!([2, 0, 0])));
    let (one, other) = (figure(&both, "/points/0/lux/0"), figure(&both, "/points/0/lux/1"));
    assert!((figure(&both, "/points/0/sum_lux") - one - other).abs() < 1e-9 && one > 0.0 && other > 0.0);
    // Pan and tilt by the convention of the program: Rx(30°) leans the beam away from the audience.
    let head = json!({"beams": [{"pos": [0, 0, 4], "R": [[1, 0, 0], [0, 1, 0], [0, 0, 1]], "tilt_deg": 30,
        "lumens": 900, "beam_deg": 15}]});
    check(&[(head, "/beams/0/floor/1", 4.0 * 30.0_f64.to_radians().tan(), 1e-9)]);
    // Three colours on one spot: the mix of the XYZ, not of the xy (colour-science, fixed row).
    let spot = json!({"lights": [{"lux": 140, "xy": [0.6915, 0.3084]}, {"lux": 60, "xy": [0.1495, 0.0309]},
        {"lux": 25, "xy": [0.3127, 0.3290]}]});
    check(&[
        (spot.clone(), "/points/0/xy/0", 0.25406, 1e-4),
        (spot.clone(), "/points/0/xy/1", 0.09103, 1e-4),
        (spot, "/points/0/sum_lux", 225.0, 1e-12),
    ]);
}

#[test]
fn a_measured_light() {
    let ies = "IESNA:LM-63-1995\nTILT=NONE\n1 -1 2 5 3 1 2 0 0 0\n0.5 1 300\n0 20 50 70 90\n0 30 90\n\
               8000 6200 2100 400 0\n8000 5100 1500 300 0\n8000 3900 700 200 0\n";
    let case = json!({"ies": ies, "d_m": 4, "at": [{"vertical_deg": 30, "horizontal_deg": 60}]});
    check(&[
        // scipy (RegularGridInterpolator, dblquad); multiplier 2 and ballast factor 0.5 cancel.
        (case.clone(), "/flux_lm", 9425.199, 1e-6),
        (case.clone(), "/candela/0/cd", 3366.667, 1e-6),
        (case.clone(), "/candela/0/cd_before_factors", 6733.333, 1e-6),
        (case, "/E_lx", 500.0, 1e-9),
        // Off its axis in a room, in its own planes: 60° about the axis, 30° off it.
        (
            json!({"beams": [{"pos": [0, 0, 4], "ies": ies}], "points": [{
                "at": [4.0 * 30.0_f64.to_radians().tan() * 0.5, 4.0 * 30.0_f64.to_radians().tan() * 0.75_f64.sqrt(), 0],
                "normal": "towards"}]}),
            "/points/0/sum_lux",
            3366.667 * 0.75 / 16.0,
            1e-6,
        ),
    ]);
}

#[test]
fn what_cannot_be_answered_says_why() {
    for (case, says) in [
        (json!([1]), "object"),
        (json!({}), "I_cd"),
        (json!({"I_cd": "bright"}), "number"),
        (json!({"I_cd": -1}), "0 or more"),
        (json!({"I_cd": 10, "d_m": 3, "E_lx": 300}), "no incidence"),
        (json!({"I_cd": 10, "angle_deg": 90, "E_lx": 300}), "grazes"),
        (json!({"lumens": 10, "model": "cone"}), "beam_deg"),
        (json!({"lumens": 10, "beam_deg": 0}), "above 0°"),
        (json!({"lumens": 10, "beam_deg": 200}), "below 180°"),
        (json!({"lumens": 10, "model": "laser"}), "no model"),
        (json!({"ies": "hello"}), "line 1"),
        (json!({"beams": [{"peak_cd": 1}]}), "beam 1: \"pos\""),
        (json!({"beams": [{"pos": [0, 0, 1]}]}), "how bright"),
        (json!({"beams": [{"pos": [0, 0, 1], "peak_cd": 1, "dir": [0, 0, 0]}]}), "direction"),
        (
            json!({"beams": [{"pos": [0, 0, 1], "peak_cd": 1, "R": [[1, 0, 0], [0, 2, 0], [0, 0, 1]]}]}),
            "rotation",
        ),
        (json!({"beams": [{"pos": [0, 0, 1], "peak_cd": 1, "xy": [0.9, 0.9]}]}), "colour"),
        (json!({"beams": [], "points": [{"at": [0, 0]}]}), "point 1"),
        (json!({"beams": [], "points": [{"at": [0, 0, 0], "normal": "sideways"}]}), "surface"),
    ] {
        let error = solve(case.clone()).unwrap_err();
        assert!(error.contains(says), "{case}: {error}");
    }
}
