//! Solves a second for aim, colour, light level and sighting in, beside numpy, scipy and colour-science doing the same
//! work in the same run. Without Python and these packages only our own side is told.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Duration;

use lanthorn_bench::{each_ns, head, rig, row};
use lanthorn_physics::beam::{BeamShape, illuminance, intensity_towards};
use lanthorn_physics::colour::{Chromaticity, Emitter, Mixer, white};
use lanthorn_physics::units::{Candela, Kelvin, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::aim::Head;
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
    let works = [aim(), colour(), whites(), level()];
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
                format!("{:.0}", ours / rate),
                format!("{} of {}", same.count(), work.cases.len()),
            ]);
        }
        row(&columns);
    }
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
    let shapes: Vec<Vec<(Point, Direction, Candela, BeamShape)>> = (0..CASES).map(beams).collect();
    let points: Vec<Point> = (0..GRID * GRID)
        .map(|index| Point::new((index % GRID) as f64 * 0.3 - 6.0, (index / GRID) as f64 * 0.3 - 9.0, 0.0))
        .collect();
    let case = |beams: &Vec<(Point, Direction, Candela, BeamShape)>| {
        let beam = |(from, along, peak, shape): &(Point, Direction, Candela, BeamShape)| json!({ "from": from, "along": along, "peak": peak, "beam": shape.beam });
        json!({ "points": points, "beams": beams.iter().map(beam).collect::<Vec<_>>() })
    };
    let cases: Vec<Value> = shapes.iter().take(4).map(case).collect();
    let sum = move |index: usize| {
        let mut total = 0.0;
        for &point in &points {
            for &(from, along, peak, shape) in &shapes[index % 4] {
                let intensity = intensity_towards(shape, peak, from, along, point);
                total += illuminance(intensity, from, point, Direction::UP).get();
            }
        }
        total
    };
    let ns = each_ns(BUDGET, 4, &sum);
    let agrees = move |index: usize, theirs: &Value| {
        let ours = sum(index);
        theirs.as_f64().is_some_and(|theirs| (theirs / ours - 1.0).abs() < 1e-6)
    };
    Work { name: "level", cases, ns, agrees: Box::new(agrees) }
}

fn beams(case: usize) -> Vec<(Point, Direction, Candela, BeamShape)> {
    let beam = |index: usize| {
        let at = case * 8 + index;
        let from = Point::new(within(at, 0, -5.0, 5.0), within(at, 1, -2.0, 1.0), 4.0);
        let along = Direction::new(within(at, 2, -0.8, 0.8), within(at, 3, -0.9, 0.2), -1.0)?;
        let beam = Radians::from_deg(within(at, 4, 8.0, 40.0));
        Some((from, along, Candela::new(within(at, 5, 1e3, 2e4)), BeamShape::from_beam(beam)))
    };
    (0..8).filter_map(beam).collect()
}
