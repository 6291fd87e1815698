//! `lanthorn calc aim` and `lanthorn calc motion`, from outside.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::{Value, json};

/// Made once by a Python script that shares nothing with this program: axis matrices multiplied out in numpy 2, every
/// solution found by `scipy.optimize.least_squares` from a grid of starts, the nearest pose out of reach by a grid
/// search. `want`: pan, tilt, seconds; `off`: degrees by which the nearest pose misses.
const ROWS: &str = include_str!("calc-aim-rows.json");

fn calc(what: &str, cases: &Value) -> (Option<i32>, Value) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(["calc", what])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let text = cases.to_string();
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let done = child.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    (done.status.code(), serde_json::from_slice(&done.stdout).unwrap_or_default())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

#[test]
fn every_way_to_shine_there_is_found() {
    let rows: Value = serde_json::from_str(ROWS).unwrap();
    let (status, answers) = calc("aim", &rows);
    assert_eq!(status, Some(0));
    let in_order = |mut ways: Vec<[f64; 3]>| {
        ways.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        ways
    };
    for (row, answer) in rows.as_array().unwrap().iter().zip(answers.as_array().unwrap()) {
        let got: Vec<[f64; 3]> = answer["solutions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|way| ["pan_deg", "tilt_deg", "time_s"].map(|key| number(&way[key])))
            .collect();
        assert!(got.is_sorted_by(|a, b| a[2] <= b[2] + 1e-9), "best first: {answer}");
        let want = row["want"].as_array().unwrap().iter();
        let want = in_order(want.map(|way| [0, 1, 2].map(|place| number(&way[place]))).collect());
        assert_eq!(got.len(), want.len(), "{row}\n{answer}");
        for (got, want) in in_order(got).iter().zip(&want) {
            assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 2e-6), "{got:?} {want:?}");
        }
        assert_eq!(answer["reachable"], json!(!want.is_empty()));
        if let Some(off) = row.get("off") {
            assert!((number(&answer["nearest"]["off_deg"]) - number(off)).abs() < 1e-3, "{row}\n{answer}");
        }
    }
}

#[test]
fn cases_may_be_written_in_several_ways() {
    let base = json!({"pos": [0, 0, 4], "target": [0, -3, 0], "pan_range_deg": 540, "tilt_range_deg": 270,
                      "current": [10, 5], "vmax_amax_deg": [180, 360]});
    let with = |key: &str, value: Value| {
        let mut case = base.clone();
        case[key] = value;
        case
    };
    let same = json!([
        base,
        with("R", json!([[1, 0, 0], [0, 1, 0], [0, 0, 1]])),
        with("R", json!([1, 0, 0, 0, 1, 0, 0, 0, 1])),
        with("pan_range_deg", json!([-270, 270])),
        with("current", json!({"pan": 10, "tilt": 5})),
        with("vmax_amax_deg", json!([[180, 360], [180, 360]])),
        with("vmax_amax_deg", json!([180, 360, 180, 360])),
        with("vmax_amax_deg", json!({"pan": [180, 360], "tilt": {"v": 180, "a": 360}})),
        with("vmax_amax_deg", json!({"v": 180, "a": 360})),
        with("name", json!("front")),
    ]);
    let (status, answers) = calc("aim", &same);
    assert_eq!(status, Some(0));
    let answers = answers.as_array().unwrap();
    // By hand: atan(3/4) = 36.87°; three ways with 540° of pan, the nearest by tilting the other way.
    assert_eq!(answers[0]["solutions"].as_array().unwrap().len(), 3);
    assert!((number(&answers[0]["solutions"][0]["tilt_deg"]) + 36.869_897_645_844).abs() < 1e-9);
    assert!(answers.iter().all(|answer| *answer == answers[0]));
}

#[test]
fn right_below_pan_is_free() {
    let below = json!({"pos": [1, 2, 4], "target": [1, 2, 0], "pan_range_deg": 540, "tilt_range_deg": 270,
                       "current": [77, 20], "vmax_amax_deg": [180, 360]});
    let (_, answer) = calc("aim", &below);
    let ways = answer["solutions"].as_array().unwrap();
    assert_eq!(ways.len(), 1);
    assert_eq!(ways[0]["pan_free"], json!(true));
    assert!((number(&ways[0]["pan_deg"]) - 77.0).abs() < 1e-9 && number(&ways[0]["tilt_deg"]).abs() < 1e-9);
}

#[test]
fn what_cannot_be_solved_is_said() {
    let good = json!({"pos": [0, 0, 4], "target": [0, -3, 0], "pan_range_deg": 540, "tilt_range_deg": 270});
    let mut cases = vec![good.clone(), json!(7)];
    for (key, value) in [
        ("R", json!([1, 2, 3, 4, 5, 6, 7, 8, 9])),
        ("target", json!([0, 0, 4])),
        ("target", json!(["here"])),
        ("pan_range_deg", json!([10, -10])),
        ("pan_range_deg", json!(1e300)),
        ("vmax_amax_deg", json!([0, 360])),
        ("vmax_amax_deg", json!([1, 2, 3])),
        ("current", json!("home")),
    ] {
        let mut case = good.clone();
        case[key] = value;
        cases.push(case);
    }
    let (status, answers) = calc("aim", &json!(cases));
    assert_eq!(status, Some(2));
    let answers = answers.as_array().unwrap();
    assert_eq!(answers[0]["solutions"][0]["time_s"], Value::Null, "no motor was stated");
    for (case, answer) in cases.iter().zip(answers).skip(1) {
        assert!(answer["error"].is_string(), "{case}: {answer}");
    }
}

#[test]
fn moves_take_their_time() {
    // 180°/s and 360°/s²: by hand from θ/v + v/a, and 2·√(θ/a) for the short way.
    let rows = [
        (45.0, 0.5 * std::f64::consts::SQRT_2, 127.279_220_6),
        (90.0, 1.0, 180.0),
        (180.0, 1.5, 180.0),
        (540.0, 3.5, 180.0),
    ];
    let cases = rows.map(|(to, ..)| json!({"to_deg": to, "v": 180, "a": 360}));
    let (status, answers) = calc("motion", &json!(cases));
    assert_eq!(status, Some(0));
    for ((to, secs, peak), answer) in rows.iter().zip(answers.as_array().unwrap()) {
        assert!((number(&answer["time_s"]) - secs).abs() < 1e-8, "{to}: {answer}");
        assert!((number(&answer["peak_deg_s"]) - peak).abs() < 1e-6, "{to}: {answer}");
    }
    let (_, timed) =
        calc("motion", &json!({"travel_deg": 540, "full_time_s": 3.5, "acceleration_time_s": 0.5}));
    assert!(
        (number(&timed["v_deg_s"]) - 180.0).abs() < 1e-9 && (number(&timed["a_deg_s2"]) - 360.0).abs() < 1e-9
    );
}

#[test]
fn two_axes_arrive_together() {
    let pair = json!({"pan": {"to_deg": 180, "v": 180, "a": 360}, "tilt": {"from_deg": 10, "to_deg": 55, "v": 180, "a": 360},
                      "arrive_together": true, "dt": 0.25});
    let (status, answer) = calc("motion", &pair);
    assert_eq!(status, Some(0));
    assert!((number(&answer["tilt"]["time_s"]) - 1.5).abs() < 1e-12);
    let samples = answer["samples"].as_array().unwrap();
    assert_eq!(samples.len(), 7);
    // Pan by hand: 45° after speeding up for half a second, 180°/s from there; tilt, never at full speed, is half way
    // at half time.
    for (at, place, angle) in [(2, 1, 45.0), (4, 1, 135.0), (6, 1, 180.0), (3, 2, 32.5), (6, 2, 55.0)] {
        assert!((number(&samples[at][place]) - angle).abs() < 1e-6, "{answer}");
    }
    for wrong in [
        json!({"to_deg": 5}),
        json!({"to_deg": 5, "v": -1, "a": 2}),
        json!({"to_deg": 5, "v": 1, "a": 1e-9, "dt": 1e-6}),
        json!({"pan": {"to_deg": 5, "v": 1, "a": 2}}),
        json!({"travel_deg": 540, "full_time_s": 0}),
    ] {
        assert_eq!(calc("motion", &wrong).0, Some(2), "{wrong}");
    }
}
