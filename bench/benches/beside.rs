//! Solves a second for aim, colour, light level and sighting in, beside numpy, scipy and colour-science doing the same
//! work in the same run. Without Python and these packages only our own side is told.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Duration;

use lanthorn_bench::{each_ns, head, rig, row};
use lanthorn_physics::beam::{Beam, BeamShape};
use lanthorn_physics::colour::{Chromaticity, Emitter, Mixer, white};
use lanthorn_physics::units::{Candela, Kelvin, Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::aim::Head;
use lanthorn_rig::sight::{Bounds, Mount, Problem, Sighted, solve};
use serde_json::{Value, json};

const BUDGET: Duration = Duration::from_secs(1);
const CASES: usize = 50;
const GRID: usize = 40;
const HOME: (Radians, Radians) = (Radians::ZERO, Radians::ZERO);

/// One kind of work: what both sides are given, how long ours took, and what ours found, to be compared.
struct Work {
    name: &'static str,
    cases: Vec<Value>,
    ns: f64,
    agrees: Box<Agrees>,
}

/// Whether the other side's answer to a case is ours.
type Agrees = dyn Fn(usize, &Value) -> bool;

fn main() {
    let works = [aim(), sight(), colour(), whites(), level()];
    let mut input = json!({ "budget": BUDGET.as_secs_f64() });
    for work in &works {
        input[work.name] = Value::Array(work.cases.clone());
    }
    let beside = python(&input);
    match &beside {
        Ok(beside) => println!("beside {}", beside["versions"]),
        Err(why) => println!("ours alone: {why}"),
    }
    head(&["work", "ours, a second", "theirs", "times as many", "same answers"]);
    for work in &works {
        let ours = 1e9 / work.ns;
        let mut columns = vec![work.name.to_owned(), format!("{ours:.0}")];
        if let Some(theirs) = beside.as_ref().ok().and_then(|beside| beside.get(work.name)) {
            let rate = 1.0 / theirs["seconds"].as_f64().unwrap_or(f64::NAN);
            let none = Vec::new();
            let answers = theirs["answers"].as_array().unwrap_or(&none);
            let same = answers.iter().enumerate().filter(|(index, answer)| (work.agrees)(*index, answer));
            columns.extend([
                format!("{rate:.0}"),
                ratio(ours / rate),
                format!("{} of {}", same.count(), work.cases.len()),
            ]);
        }
        row(&columns);
    }
}

fn ratio(times: f64) -> String {
    if times < 10.0 { format!("{times:.1}") } else { format!("{times:.0}") }
}

/// Runs the other side: `LANTHORN_PYTHON` names an interpreter that has the packages, usually python3.
fn python(input: &Value) -> Result<Value, String> {
    let interpreter = std::env::var("LANTHORN_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/beside.py");
    let hint = "LANTHORN_PYTHON may name an interpreter with numpy, scipy and colour-science";
    let mut child = Command::new(&interpreter)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|why| format!("{interpreter}: {why}; {hint}"))?;
    if let Some(mut pipe) = child.stdin.take() {
        pipe.write_all(input.to_string().as_bytes()).map_err(|why| format!("{interpreter}: {why}"))?;
    }
    let output = child.wait_with_output().map_err(|why| format!("{interpreter}: {why}"))?;
    let error = String::from_utf8_lossy(&output.stderr);
    let last = error.lines().last().unwrap_or("no answer").to_owned();
    serde_json::from_slice(&output.stdout).map_err(|_| format!("{interpreter}: {last}; {hint}"))
}

/// Never the same twice, evenly spread: 0 to 1.
fn spread(index: usize, which: usize) -> f64 {
    const STEPS: [f64; 6] = [0.618_034, 0.754_878, 0.569_840, 0.819_173, 0.671_044, 0.549_700];
    (index as f64 * STEPS[which % 6] + 0.37 * which as f64).fract()
}

fn within(index: usize, which: usize, low: f64, high: f64) -> f64 {
    low + (high - low) * spread(index, which)
}

/// Every pan and tilt inside the travel that shines on a point.
fn aim() -> Work {
    let rig = rig(1);
    let heads: Vec<Head> = rig
        .units
        .iter()
        .cycle()
        .take(CASES)
        .enumerate()
        .filter_map(|(index, unit)| {
            let turned = Rotation::about_x(Radians::new(within(index, 0, -0.8, 0.8)))
                .then(Rotation::about_z(Radians::new(within(index, 1, -3.0, 3.0))));
            let mut head = Head::new(&rig, unit)?;
            head.world_from_fixture = turned;
            Some(head)
        })
        .collect();
    let targets: Vec<Point> =
        (0..CASES).map(|i| Point::new(within(i, 2, -5.0, 5.0), within(i, 3, -8.0, 3.0), 0.0)).collect();
    let case = |(head, target): (&Head, &Point)| {
        json!({
            "R": matrix(head.world_from_fixture),
            "pivot": head.pivot,
            "target": target,
            "pan_range": head.pan_range,
            "tilt_range": head.tilt_range,
        })
    };
    let cases = heads.iter().zip(&targets).map(case).collect();
    let ns = each_ns(BUDGET, CASES, |index| heads[index].solve(targets[index], HOME));
    let agrees = move |index: usize, theirs: &Value| {
        let mut ours: Vec<[f64; 2]> = heads[index]
            .solve(targets[index], HOME)
            .as_slice()
            .iter()
            .map(|found| [found.pan.get(), found.tilt.get()])
            .collect();
        ours.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let theirs: Vec<[f64; 2]> = serde_json::from_value(theirs.clone()).unwrap_or_default();
        let near = |(a, b): (&[f64; 2], &[f64; 2])| (a[0] - b[0]).abs() + (a[1] - b[1]).abs() < 1e-6;
        ours.len() == theirs.len() && ours.iter().zip(&theirs).all(near)
    };
    Work { name: "aim", cases, ns, agrees: Box::new(agrees) }
}

/// Rows of a rotation's matrix.
fn matrix(rotation: Rotation) -> [[f64; 3]; 3] {
    let column = |x, y, z| Direction::new(x, y, z).map_or([0.0; 3], |axis| rotation.apply(axis).into());
    let columns: [[f64; 3]; 3] = [column(1.0, 0.0, 0.0), column(0.0, 1.0, 0.0), column(0.0, 0.0, 1.0)];
    std::array::from_fn(|row| std::array::from_fn(|at| columns[at][row]))
}

/// Red, green, blue, white, amber, lime: the most light at a colour.
fn colour() -> Work {
    let emitters = [
        [0.6915, 0.3084, 0.30],
        [0.162, 0.733, 0.65],
        [0.1495, 0.0309, 0.11],
        [0.3246, 0.3420, 1.0],
        [0.5874, 0.4120, 0.25],
        [0.41, 0.54, 1.1],
    ];
    let mixer = Mixer::new(
        &emitters.map(|[x, y, luminance]| Emitter { chromaticity: Chromaticity::new(x, y), luminance }),
    );
    let wanted: Vec<Chromaticity> = (0..CASES)
        .map(|index| Chromaticity::new(within(index, 0, 0.28, 0.46), within(index, 1, 0.28, 0.42)))
        .collect();
    let cases = wanted.iter().map(|xy| json!({ "xy": [xy.x, xy.y], "emitters": emitters })).collect();
    let ns = each_ns(BUDGET, CASES, |index| mixer.max_output(wanted[index]));
    let agrees = move |index: usize, theirs: &Value| {
        let ours = mixer.max_output(wanted[index]).luminance;
        theirs.as_f64().is_some_and(|theirs| (theirs - ours).abs() < 1e-6)
    };
    Work { name: "colour", cases, ns, agrees: Box::new(agrees) }
}

/// Chromaticity of a colour temperature with tint. colour-science walks Ohno's table; the two differ in its steps.
fn whites() -> Work {
    let wanted: Vec<(f64, f64)> =
        (0..CASES).map(|index| (within(index, 0, 2000.0, 9000.0), within(index, 1, -0.008, 0.008))).collect();
    let cases = wanted.iter().map(|(kelvin, duv)| json!({ "kelvin": kelvin, "duv": duv })).collect();
    let solve = move |index: usize| white(Kelvin::new(wanted[index].0), Some(wanted[index].1));
    let ns = each_ns(BUDGET, CASES, solve.clone());
    let agrees = move |index: usize, theirs: &Value| {
        let theirs: [f64; 2] = serde_json::from_value(theirs.clone()).unwrap_or_default();
        solve(index).distance_uv(Chromaticity::new(theirs[0], theirs[1])) < 2e-4
    };
    Work { name: "white", cases, ns, agrees: Box::new(agrees) }
}

/// Lux of eight beams on a grid of the floor, 1600 points a solve.
fn level() -> Work {
    let lit: Vec<Vec<Lit>> = (0..4).map(beams).collect();
    let points: Vec<Point> = (0..GRID * GRID)
        .map(|index| Point::new((index % GRID) as f64 * 0.3 - 6.0, (index / GRID) as f64 * 0.3 - 9.0, 0.0))
        .collect();
    let beam = |(from, along, peak, shape): &Lit| json!({ "from": from, "along": along, "peak": peak, "beam": shape.beam });
    let case =
        |lit: &Vec<Lit>| json!({ "points": points, "beams": lit.iter().map(beam).collect::<Vec<_>>() });
    let cases = lit.iter().map(case).collect();
    let sum = move |index: usize| {
        let ready = |&(from, along, peak, shape): &Lit| Beam::new((shape, None), peak, from, along);
        let beams: Vec<Beam<'_>> = lit[index].iter().map(ready).collect();
        let lux =
            |point: &Point| beams.iter().map(|beam| beam.lux_on(*point, Direction::UP).get()).sum::<f64>();
        points.iter().map(lux).sum::<f64>()
    };
    let ns = each_ns(BUDGET, 4, &sum);
    let agrees = move |index: usize, theirs: &Value| {
        let ours = sum(index);
        theirs.as_f64().is_some_and(|theirs| (theirs / ours - 1.0).abs() < 1e-6)
    };
    Work { name: "level", cases, ns, agrees: Box::new(agrees) }
}

/// A beam: from where, along which axis, its peak, its shape.
type Lit = (Point, Direction, Candela, BeamShape);

fn beams(case: usize) -> Vec<Lit> {
    let beam = |index: usize| {
        let at = case * 8 + index;
        let from = Point::new(within(at, 0, -5.0, 5.0), within(at, 1, -2.0, 1.0), 4.0);
        let along = Direction::new(within(at, 2, -0.8, 0.8), within(at, 3, -0.9, 0.2), -1.0)?;
        let beam = Radians::from_deg(within(at, 4, 8.0, 40.0));
        Some((from, along, Candela::new(within(at, 5, 1e3, 2e4)), BeamShape::from_beam(beam)))
    };
    (0..8).filter_map(beam).collect()
}

/// A hanging light, known to five centimetres, from seven sights; every other one runs backwards, every third has one
/// wrong mark. Same answer: the same sign, the same mark left out.
fn sight() -> Work {
    let rig = rig(1);
    let base = rig.units.iter().find_map(|unit| Head::new(&rig, unit)).expect("the rig has heads");
    let problems: Vec<Problem> = (0..20).map(|case| sighted(&base, case)).collect();
    let case = |problem: &Problem| {
        let sights = &problem.sights;
        json!({
            "marks": sights.iter().map(|sight| sight.at).collect::<Vec<_>>(),
            "sent": sights.iter().map(|sight| [sight.pan, sight.tilt]).collect::<Vec<_>>(),
            "position": problem.position.map(|(at, _)| at),
            "position_sd": PLACED,
        })
    };
    let cases = problems.iter().map(case).collect();
    let ns = each_ns(BUDGET, problems.len(), |index| solve(&problems[index]));
    let agrees = move |index: usize, theirs: &Value| {
        let Ok(solved) = solve(&problems[index]) else { return false };
        let wrong: Vec<usize> = (0..7).filter(|mark| solved.misses[*mark].wrong).collect();
        let left_out: Vec<usize> =
            theirs["left_out"].as_u64().map(|mark| mark as usize).into_iter().collect();
        theirs["inverted"] == solved.pose.pan.inverted && left_out == wrong
    };
    Work { name: "sight", cases, ns, agrees: Box::new(agrees) }
}

/// How well the place of a light is known, metres.
const PLACED: f64 = 0.05;

fn sighted(base: &Head, case: usize) -> Problem {
    let pan_sign = if case.is_multiple_of(2) { 1.0 } else { -1.0 };
    let pivot = Point::new(within(case, 0, -4.0, 4.0), within(case, 1, -3.0, 1.0), 4.0);
    let world_from_fixture = Rotation::about_x(Radians::from_deg(within(case, 2, -4.0, 4.0)))
        .then(Rotation::about_z(Radians::new(within(case, 3, -3.0, 3.0))));
    let mut head = *base;
    head.pivot = pivot;
    head.world_from_fixture = world_from_fixture;
    let travels = [head.pan_range, head.tilt_range].map(|[low, high]| high - low);
    let mark = |index: usize| Point::new(within(index, 0, -5.0, 5.0), within(index, 1, -9.0, 3.0), 0.0);
    let sights = (0..7).map(|index| {
        let at = mark(case * 7 + index);
        // The light is really on another mark of the room.
        let wrong = case.is_multiple_of(3) && index == case % 7;
        let to = if wrong { mark(case * 7 + index + 500) } else { at };
        let error = |which| Radians::from_deg(within(case * 7 + index, which, -0.4, 0.4));
        let (pan, tilt) =
            head.solve(to, HOME).as_slice().first().map_or(HOME, |found| (found.pan, found.tilt));
        Sighted { name: None, at, pan: (pan + error(4)) * pan_sign, tilt: tilt + error(5) }
    });
    Problem {
        sights: sights.collect(),
        travels,
        steps: 65_535.0,
        mount: Mount::Leaning(Radians::ZERO),
        position: Some((pivot.moved(within(case, 4, -PLACED, PLACED), 0.0, 0.0), Metres::new(PLACED))),
        pan_backwards: None,
        bounds: Bounds { low: Point::new(-7.0, -10.0, 0.0), high: Point::new(7.0, 4.0, 6.0) },
    }
}
