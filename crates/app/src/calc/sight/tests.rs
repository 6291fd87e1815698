use serde_json::{Value, json};

use super::solve;

/// The worked example of docs/calculators.md.
fn example() -> Value {
    json!({
        "profile": { "pan_range_deg": 540, "tilt_range_deg": 270, "bits": 16 },
        "mount_hint": "hanging",
        "position": [-2.0, 1.0, 4.1],
        "position_sd_m": 0.05,
        "marks": [
            { "xyz": [0, 0, 0.95], "dmx": [27795, 22465] },
            { "xyz": [3, -1, 0], "dmx": [27067, 18067] },
            { "xyz": [-3.5, -3, 0], "dmx": [37527, 19769] },
            { "xyz": [1.5, -5, 0], "dmx": [31474, 16151] },
            { "xyz": [-4.5, 2.5, 1.2], "dmx": [31516, 16410] },
            { "xyz": [2.5, 3, 0], "dmx": [43420, 45567] },
            { "xyz": [-1, -2.5, 0.75], "dmx": [33234, 19298] },
        ],
        "test_points": [[1.0, 2.0, 0.0], [-3.0, 0.0, 1.6]],
    })
}

/// Distance of a test point from the beam of the light that the example was made with: at (−2, 1, 4.1), turned by 20°
/// about Z after leaning by 2° about X, pan backwards, tilt at 92 % and 1.5° at home.
fn miss(dmx: &Value, at: [f64; 3]) -> f64 {
    let sent =
        |index: usize, travel: f64| (dmx[index].as_f64().unwrap() / 65_535.0 - 0.5) * travel.to_radians();
    let (pan, tilt) = (-sent(0, 540.0), 0.92 * sent(1, 270.0) + 1.5_f64.to_radians());
    let beam = [-pan.sin() * tilt.sin(), pan.cos() * tilt.sin(), -tilt.cos()];
    let (s, c) = 2.0_f64.to_radians().sin_cos();
    let beam = [beam[0], c * beam[1] - s * beam[2], s * beam[1] + c * beam[2]];
    let (s, c) = 20.0_f64.to_radians().sin_cos();
    let beam = [c * beam[0] - s * beam[1], s * beam[0] + c * beam[1], beam[2]];
    let way = [at[0] + 2.0, at[1] - 1.0, at[2] - 4.1];
    let along: f64 = (0..3).map(|axis| way[axis] * beam[axis]).sum();
    (0..3).map(|axis| (way[axis] - beam[axis] * along).powi(2)).sum::<f64>().sqrt()
}

#[test]
fn the_worked_example_lands_where_it_should() {
    let answer = solve(example()).unwrap();
    assert_eq!(answer["outliers"], json!([4]));
    assert_eq!(answer["pose"]["pan"]["inverted"], json!(true));
    assert!((answer["pose"]["tilt"]["scale"].as_f64().unwrap() - 0.92).abs() < 0.02);
    for (index, at) in [[1.0, 2.0, 0.0], [-3.0, 0.0, 1.6]].into_iter().enumerate() {
        let cm = 100.0 * miss(&answer["dmx_aims"][index], at);
        assert!(cm < answer["expected_error_cm"][index].as_f64().unwrap(), "{cm} cm");
    }
    let says = answer["says"].to_string();
    assert!(says.contains("Mark 5 does not fit") && says.contains("Tilt travels 8 % less"), "{says}");
}

#[test]
fn a_case_may_be_written_in_more_than_one_way() {
    let plain = solve(example()).unwrap();
    let same: [(&str, Value); 4] = [
        ("/profile/tilt_range_deg", json!([-135, 135])),
        ("/marks/0/dmx", json!({ "pan": 27795, "tilt": 22465 })),
        ("/position", json!({ "x": -2, "y": 1, "z": 4.1 })),
        ("/test_points/1", json!({ "xyz": [-3.0, 0.0, 1.6] })),
    ];
    for (pointer, value) in same {
        let mut case = example();
        *case.pointer_mut(pointer).unwrap() = value;
        assert_eq!(solve(case).unwrap(), plain, "{pointer}");
    }
    for hint in [json!("UNKNOWN"), json!("standing"), json!("45 degrees"), json!(null), json!("sideways?")] {
        let mut case = example();
        case["mount_hint"] = hint.clone();
        let answer = solve(case).unwrap();
        assert_eq!(answer["outliers"], json!([4]), "{hint}");
        assert_ne!(answer["mount_understood"], json!(""), "{hint}");
    }
    let mut coarse = example();
    coarse["profile"]["bits"] = json!(8);
    for mark in coarse["marks"].as_array_mut().unwrap() {
        let eight = |value: &Value| json!((value.as_f64().unwrap() / 257.0).round());
        mark["dmx"] = json!([eight(&mark["dmx"][0]), eight(&mark["dmx"][1])]);
    }
    let answer = solve(coarse).unwrap();
    assert!(answer["aims"][0]["dmx"][0].as_u64().unwrap() <= 255);
    assert!(answer["sigma_deg"].as_f64().unwrap() > 0.4, "coarse steps are in the aiming error: {answer}");
}

#[test]
fn what_is_missing_is_said() {
    let mut few = example();
    few["marks"].as_array_mut().unwrap().truncate(2);
    let answer = solve(few).unwrap();
    assert_eq!(answer["pose"], Value::Null);
    assert!(answer["says"].to_string().contains("Two marks cannot tell which way pan runs"), "{answer}");
    let wrong: [(&str, Value, &str); 7] = [
        ("/profile/pan_range_deg", json!(0), "'pan_range_deg' must be above zero"),
        ("/profile/bits", json!(7.5), "'bits' must be"),
        ("/marks/2/dmx", json!([70000, 1]), "mark 3: 'dmx' runs from 0 to 65535"),
        ("/marks/2/dmx", json!("a"), "mark 3: 'dmx' wants"),
        ("/marks/1/xyz", json!([1, 2]), "mark 2: a place wants"),
        ("/position", json!([1e8, 0, 0]), "'position': a place must be within"),
        ("/position_sd_m", json!(-1), "'position_sd_m' must be zero or more"),
    ];
    for (pointer, value, says) in wrong {
        let mut case = example();
        *case.pointer_mut(pointer).unwrap() = value;
        let why = solve(case).unwrap_err();
        assert!(why.starts_with(says), "{pointer}: {why}");
    }
}
