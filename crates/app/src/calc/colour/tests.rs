use super::*;

/// Typical emitters: chromaticities from measured spectra, light and watts of the size that small lights have.
const EMITTERS: [(&str, [f64; 2], f64, f64); 7] = [
    ("red", [0.6915, 0.3084], 95.0, 3.0),
    ("green", [0.162, 0.733], 206.0, 3.0),
    ("blue", [0.1495, 0.0309], 34.0, 3.0),
    ("white", [0.3246, 0.3420], 318.0, 4.0),
    ("amber", [0.5889, 0.4056], 160.0, 3.0),
    ("lime", [0.41, 0.54], 330.0, 4.0),
    ("cyan", [0.0725, 0.479], 120.0, 3.0),
];

fn emitters(count: usize) -> Value {
    let one = |(name, [x, y], light, watts): &(&str, [f64; 2], f64, f64)| json!({ "name": name, "x": x, "y": y, "Ymax": light, "watts": watts });
    EMITTERS[..count].iter().map(one).collect()
}

fn solved(mut case: Value, count: usize) -> Value {
    case["emitters"] = emitters(count);
    solve(case).unwrap()
}

fn at(answer: &Value, key: &str) -> f64 {
    answer[key].as_f64().unwrap_or_else(|| panic!("{key} in {answer}"))
}

/// Emitters used, colour, task, wanted light, limit of watts; the most light, the light given, the watts drawn.
type Row = (usize, [f64; 2], &'static str, Option<f64>, Option<f64>, f64, f64, f64);

/// scipy 1.x linprog (HiGHS), tolerances 1e-10, on the rows of the same chromaticity, of the light and of the watts.
const SOLVED_BY_A_REFERENCE: [Row; 20] = [
    (3, [0.42336, 0.39895], "max", None, None, 246.91030, 246.91030, 5.458542),
    (3, [0.5005, 0.4408], "max", None, None, 212.17334, 212.17334, 4.738353),
    (4, [0.42336, 0.39895], "max", None, None, 354.22461, 354.22461, 6.487311),
    (4, [0.3127, 0.329], "max", None, None, 615.58584, 615.58584, 10.598930),
    (4, [0.4004, 0.2545], "max", None, None, 241.87624, 241.87624, 5.394635),
    (5, [0.42336, 0.39895], "max", None, None, 727.92527, 727.92527, 12.280493),
    (5, [0.5005, 0.4408], "max", None, None, 453.84861, 453.84861, 8.824854),
    (7, [0.33016, 0.34555], "max", None, None, 1240.96463, 1240.96463, 21.951876),
    (7, [0.2011, 0.2438], "max", None, None, 569.53324, 569.53324, 11.519201),
    (4, [0.33016, 0.34555], "max", None, Some(5.0), 363.67102, 363.67102, 5.000000),
    (5, [0.42336, 0.39895], "max", None, Some(6.5), 412.29480, 412.29480, 6.500000),
    (7, [0.3127, 0.329], "max", None, Some(9.0), 640.10399, 640.10399, 9.000000),
    (3, [0.42336, 0.39895], "level", Some(100.0), None, 246.91030, 100.00000, 2.210739),
    (4, [0.3127, 0.329], "level", Some(400.0), None, 615.58584, 400.00000, 6.887053),
    (4, [0.4004, 0.2545], "level", Some(999.0), None, 241.87624, 241.87624, 5.394635),
    (7, [0.5005, 0.4408], "level", Some(250.0), Some(4.0), 256.48209, 250.00000, 3.898908),
    (4, [0.33016, 0.34555], "least_power", Some(120.0), None, 624.40242, 120.00000, 1.555456),
    (5, [0.42336, 0.39895], "least_power", Some(200.0), None, 727.92527, 200.00000, 3.100440),
    (7, [0.4004, 0.2545], "least_power", Some(90.0), None, 425.32860, 90.00000, 1.941511),
    (7, [0.2011, 0.2438], "least_power", Some(9999.0), None, 569.53324, 569.53324, 11.519201),
];

#[test]
fn answers_are_those_of_a_reference_solver() {
    for (count, colour, task, wanted, limit, most, light, watts) in SOLVED_BY_A_REFERENCE {
        let case = json!({ "task": task, "target_xy": colour, "Y": wanted, "watts_limit": limit });
        let answer = solved(case, count);
        assert!((at(&answer, "max_Y") / most - 1.0).abs() < 1e-7, "{task} {colour:?}: {answer}");
        assert!((at(&answer, "Y") / light - 1.0).abs() < 1e-7, "{task} {colour:?}: {answer}");
        assert!((at(&answer, "watts") - watts).abs() < 2e-6, "{task} {colour:?}: {answer}");
        let [x, y] = [0, 1].map(|part| answer["xy"][part].as_f64().unwrap());
        assert!(Chromaticity::new(x, y).distance_uv(Chromaticity::new(colour[0], colour[1])) < 1e-9);
        let enough = wanted.is_none_or(|wanted| wanted <= most);
        assert_eq!(answer["feasible"], enough, "{answer}");
        assert_eq!(answer["mapping"], "none");
        assert_eq!(answer["levels_by_name"]["green"], answer["levels"][1]);
    }
}

#[test]
fn whites_are_those_of_their_tables() {
    // Planckian radiators and tints by Ohno 2013, colour-science 0.4.7; daylight by the formula of CIE 15.
    for (kelvin, duv, x, y) in [
        (3200.0, None, 0.42336, 0.39895),
        (3200.0, Some(0.005), 0.42995, 0.41397),
        (4000.0, Some(-0.006), 0.37637, 0.36174),
        (5600.0, None, 0.33016, 0.34555),
        (5600.0, Some(0.0), 0.33020, 0.33908),
        (6500.0, None, 0.31278, 0.32918),
    ] {
        for key in ["duv", "tint"] {
            let answer = solved(json!({ "kelvin": kelvin, key: duv }), 4);
            let [got_x, got_y] = [0, 1].map(|part| answer["xy"][part].as_f64().unwrap());
            assert!((got_x - x).abs() < 2e-5 && (got_y - y).abs() < 2e-5, "{kelvin} {duv:?}: {answer}");
        }
    }
}

#[test]
fn out_of_reach_is_said_with_what_was_done_instead() {
    // The spectral locus at 490 nm (CIE 1931).
    let colour = [0.04539, 0.29498];
    let kept = solved(json!({ "target_xy": colour }), 3);
    let near = solved(json!({ "target_xy": colour, "out_of_gamut": "nearest" }), 3);
    assert_eq!((&kept["mapping"], &near["mapping"]), (&json!("hue"), &json!("nearest")));
    assert_eq!((&kept["feasible"], &near["feasible"]), (&json!(false), &json!(false)));
    assert!(at(&near, "distance_uv") < at(&kept, "distance_uv") - 1e-4, "{near} {kept}");
    // Two whites mix no other colour's hue: the nearest.
    let chord = solve(json!({ "kelvin": 3200, "emitters": [
        { "xy": [0.4560, 0.4078], "Ymax": 1 }, { "chromaticity": { "x": 0.3118, "y": 0.3236 }, "Ymax": 0.8 },
    ] }))
    .unwrap();
    assert_eq!(chord["mapping"], "nearest");
    // colour-science 0.4.7: 0.006 in u′v′ beside 3200 K, at its nearest a little less.
    assert!((0.004..0.007).contains(&at(&chord, "distance_uv")), "{chord}");
    assert_eq!(chord["watts"], Value::Null);
}

#[test]
fn odd_sets_of_emitters_give_what_they_can() {
    let one = |emitters: Value| solve(json!({ "name": "amber", "emitters": emitters })).unwrap();
    let single = one(json!([{ "x": 0.69, "y": 0.31, "Ymax": 5 }]));
    assert_eq!((&single["levels"], &single["mapping"]), (&json!([1.0]), &json!("nearest")));
    let dark = one(json!([{ "x": 0.69, "y": 0.31, "Ymax": 0 }]));
    assert_eq!((at(&dark, "Y"), &dark["feasible"]), (0.0, &json!(false)));
    let in_line = one(json!([
        { "x": 0.3, "y": 0.3, "Ymax": 7 }, { "x": 0.4, "y": 0.4, "Ymax": 7 }, { "x": 0.5, "y": 0.5, "Ymax": 7 },
    ]));
    assert!(at(&in_line, "Y") > 6.9, "{in_line}");
    let none = solved(json!({ "task": "level", "Y": 0, "name": "red" }), 3);
    assert_eq!((at(&none, "Y"), &none["xy"], &none["feasible"]), (0.0, &Value::Null, &json!(true)));
    let alike = one(json!([
        { "name": "red", "x": 0.69, "y": 0.31, "Ymax": 5 }, { "name": "red", "x": 0.69, "y": 0.31, "Ymax": 5 },
    ]));
    assert_eq!(alike["levels_by_name"], json!({ "red": 1.0, "red (2)": 1.0 }));
}

#[test]
fn the_best_rendering_says_how_good_and_by_what() {
    let most = solved(json!({ "task": "max", "kelvin": 3200 }), 5);
    let best = solved(json!({ "task": "best_rendering", "kelvin": 3200 }), 5);
    // The most light of such emitters renders with Ra 83 (measured spectra of an open data set); the best of them has 93.
    assert!(at(&best, "rendering_index") > 92.0, "{best}");
    assert!(at(&best, "Y") > 0.4999 * at(&most, "Y"), "{best}");
    assert!((at(&best, "max_Y") - at(&most, "Y")).abs() < 1e-9, "{best}");
    assert!(best["says"].as_str().unwrap().contains("typical spectra"), "{best}");
    // More light is asked for than that: it is there, and renders no better.
    let wanted = 0.9 * at(&most, "Y");
    let bright = solved(json!({ "task": "best_rendering", "kelvin": 3200, "Y": wanted }), 5);
    assert!((at(&bright, "Y") - wanted).abs() < 1e-6 * wanted && bright["feasible"] == true, "{bright}");
    assert!(at(&bright, "rendering_index") < at(&best, "rendering_index"), "{bright}");
    let narrow = solve(json!({ "task": "best_rendering", "kelvin": 3200, "emitters": [
        { "xy": [0.6915, 0.3084], "Ymax": 95, "peak_nm": 629, "fwhm_nm": 15 },
        { "xy": [0.162, 0.733], "Ymax": 206, "peak_nm": 520, "fwhm_nm": 32 },
        { "xy": [0.1495, 0.0309], "Ymax": 34, "make": "narrow" },
    ] }))
    .unwrap();
    assert!(at(&narrow, "rendering_index") < 40.0, "{narrow}");
}

#[test]
fn a_wrong_case_says_what_to_write() {
    let with = |mut case: Value| {
        case["emitters"] = emitters(3);
        solve(case).unwrap_err()
    };
    let nine: Value = (0..9).map(|_| json!({ "x": 0.3, "y": 0.3, "Ymax": 1 })).collect();
    for (error, expected) in [
        (solve(json!(3)).unwrap_err(), "object"),
        (with(json!({})), "there is no colour"),
        (with(json!({ "target_xy": [0.3, 0.0] })), "no colour of light"),
        (with(json!({ "target_xy": ["0.3", 0.3] })), "two numbers"),
        (with(json!({ "target_xy": [0.7, 0.7] })), "no colour of light"),
        (with(json!({ "kelvin": 100 })), "500 to 25000"),
        (with(json!({ "kelvin": 3000, "duv": 0.2 })), "-0.05"),
        (with(json!({ "name": "blac" })), "did you mean"),
        (with(json!({ "name": "red", "task": "level" })), "Y is missing"),
        (with(json!({ "name": "red", "task": "level", "Y": -1 })), "0 or more"),
        (with(json!({ "name": "red", "task": "quick" })), "write max"),
        (with(json!({ "name": "red", "out_of_gamut": "clip" })), "hue or nearest"),
        (with(json!({ "name": "red", "watts_limit": -3 })), "watts_limit"),
        (solve(json!({ "name": "red", "emitters": [] })).unwrap_err(), "at least one"),
        (solve(json!({ "name": "red", "emitters": nine })).unwrap_err(), "there are 9"),
        (solve(json!({ "name": "red", "emitters": [{ "x": 0.3, "Ymax": 1 }] })).unwrap_err(), "emitter 1: x and y"),
        (solve(json!({ "name": "red", "emitters": [{ "xy": [0.3, 0.3] }] })).unwrap_err(), "Ymax is missing"),
        (
            solve(json!({ "name": "red", "task": "least_power", "Y": 1, "emitters": [{ "name": "w", "xy": [0.3, 0.3], "Ymax": 2 }] }))
                .unwrap_err(),
            "\"w\" has no watts",
        ),
    ] {
        assert!(error.contains(expected), "{error:?} does not say {expected:?}");
    }
}
