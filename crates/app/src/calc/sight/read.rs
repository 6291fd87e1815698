//! From a case to a problem.

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Point, Rotation};
use lanthorn_rig::sight::{Bounds, Mount, Problem, Sighted};
use serde_json::Value;

use super::super::case::{Case, flat};

const WANTS: &str = "profile, mount_hint, position, position_sd_m, marks, test_points";

/// A position without its own uncertainty is known to this, metres.
const KNOWN: f64 = 0.01;
/// Most marks and points of one case.
const MOST: usize = 1000;

/// A case, read.
pub(super) struct Sighting {
    pub problem: Problem,
    pub tests: Vec<Point>,
    /// How the mount hint was taken, in words.
    pub understood: String,
}

pub(super) fn case(case: Value) -> Result<Sighting, String> {
    let case = Case::new(case, WANTS)?;
    let profile = case.get("profile").cloned().ok_or("'profile' is missing")?;
    let profile = Case::new(profile, "pan_range_deg, tilt_range_deg, bits")?;
    let travels = [travel(&profile, "pan_range_deg")?, travel(&profile, "tilt_range_deg")?];
    let steps = steps(&profile)?;
    let sights = list(&case, "marks")?
        .iter()
        .enumerate()
        .map(|(index, mark)| {
            sighted(mark, travels, steps).map_err(|why| format!("mark {}: {why}", index + 1))
        })
        .collect::<Result<Vec<Sighted>, String>>()?;
    let tests = list(&case, "test_points")?
        .iter()
        .enumerate()
        .map(|(index, point)| point_of(point).map_err(|why| format!("test point {}: {why}", index + 1)))
        .collect::<Result<Vec<Point>, String>>()?;
    let sd = match case.get("position_sd_m") {
        None => KNOWN,
        Some(_) => case.numbers::<1>("position_sd_m")?[0],
    };
    if sd < 0.0 {
        return Err(format!("'position_sd_m' must be zero or more, not {sd}"));
    }
    let position =
        case.get("position").map(point_of).transpose().map_err(|why| format!("'position': {why}"))?;
    let (mount, understood) = mount(case.get("mount_hint"));
    let all = || sights.iter().map(|sight| sight.at).chain(tests.iter().copied());
    let bounds = bounds(all().chain(position));
    let pan_backwards = case.get("pan_backwards").and_then(Value::as_bool);
    let position = position.map(|at| (at, Metres::new(sd)));
    let problem = Problem { sights, travels, steps, mount, position, pan_backwards, bounds };
    Ok(Sighting { problem, tests, understood })
}

fn list<'a>(case: &'a Case, key: &str) -> Result<&'a [Value], String> {
    match case.get(key) {
        None => Ok(&[]),
        Some(Value::Array(items)) if items.len() <= MOST => Ok(items),
        Some(Value::Array(items)) => Err(format!("'{key}' has {} entries, at most {MOST}", items.len())),
        Some(other) => Err(format!("'{key}' wants a list, not {other}")),
    }
}

/// A number is the whole travel; of a pair of ends, their distance.
fn travel(profile: &Case, key: &str) -> Result<Radians, String> {
    let value = profile.get(key).ok_or_else(|| format!("'{key}' is missing"))?;
    let travel = match flat(key, value)?[..] {
        [travel] => travel,
        [low, high] => high - low,
        _ => return Err(format!("'{key}' wants the whole travel, or [lowest, highest]")),
    };
    if !(travel > 0.0 && travel <= 36_000.0) {
        return Err(format!("'{key}' must be above zero and at most 36000 degrees, not {travel}"));
    }
    Ok(Radians::from_deg(travel))
}

fn steps(profile: &Case) -> Result<f64, String> {
    let bits = match profile.get("bits") {
        None => 16.0,
        Some(_) => profile.numbers::<1>("bits")?[0],
    };
    if (1.0..=32.0).contains(&bits) && bits.fract() == 0.0 {
        Ok(f64::from(1_u32 << (bits as u32 - 1)) * 2.0 - 1.0)
    } else {
        Err(format!("'bits' must be 8 or 16, not {bits}"))
    }
}

fn sighted(mark: &Value, travels: [Radians; 2], steps: f64) -> Result<Sighted, String> {
    let case = Case::new(mark.clone(), "xyz, dmx")?;
    let at = ["xyz", "at", "point"].iter().find_map(|key| case.get(key)).ok_or("'xyz' is missing")?;
    let pair = case.pan_and_tilt("dmx")?.ok_or("'dmx' is missing")?;
    let mut sent = [Radians::ZERO; 2];
    for (axis, value) in pair.iter().enumerate() {
        let value = value.as_f64().ok_or("'dmx' wants one number for pan and one for tilt")?;
        if !(0.0..=steps).contains(&value) {
            return Err(format!("'dmx' runs from 0 to {steps}, not {value}"));
        }
        sent[axis] = travels[axis] * (value / steps - 0.5);
    }
    let name = case.get("name").and_then(Value::as_str).map(str::to_owned);
    Ok(Sighted { name, at: point_of(at)?, pan: sent[0], tilt: sent[1] })
}

/// `[x, y, z]`, `{"x": …, "y": …, "z": …}`, or either as `xyz`.
fn point_of(value: &Value) -> Result<Point, String> {
    let numbers = match value {
        Value::Object(fields) => match ["xyz", "at", "position"].iter().find_map(|key| fields.get(*key)) {
            Some(inner) => return point_of(inner),
            None => {
                let part = |key: &str| fields.get(key).and_then(Value::as_f64);
                match (part("x"), part("y"), part("z")) {
                    (Some(x), Some(y), Some(z)) => vec![x, y, z],
                    _ => Vec::new(),
                }
            }
        },
        list => flat("xyz", list)?,
    };
    match numbers[..] {
        [x, y, z] if numbers.iter().all(|number| number.abs() < 1e4) => Ok(Point::new(x, y, z)),
        [_, _, _] => Err("a place must be within 10 km".to_owned()),
        _ => Err("a place wants x, y and z in metres".to_owned()),
    }
}

/// The room, as far as the points tell it: their box with some air around it, from the floor up to where lights hang.
fn bounds(points: impl Iterator<Item = Point>) -> Bounds {
    let mut box_of = [[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]];
    for point in points {
        for (axis, value) in <[f64; 3]>::from(point).into_iter().enumerate() {
            box_of[0][axis] = box_of[0][axis].min(value);
            box_of[1][axis] = box_of[1][axis].max(value);
        }
    }
    if box_of[0][0] > box_of[1][0] {
        box_of = [[-5.0, -5.0, 0.0], [5.0, 5.0, 0.0]];
    }
    let [low, high] = box_of;
    let air = |axis: usize| 1.0 + 0.15 * (high[axis] - low[axis]);
    let top = (high[2] + 2.0).max(6.5);
    Bounds {
        low: Point::new(low[0] - air(0), low[1] - air(1), low[2].min(0.0)),
        high: Point::new(high[0] + air(0), high[1] + air(1), top),
    }
}

/// A hint is taken as liberally as can be; what is not understood is no hint.
fn mount(hint: Option<&Value>) -> (Mount, String) {
    let unknown = |why: &str| (Mount::Unknown, format!("mount unknown{why}"));
    match hint {
        None => unknown(""),
        Some(Value::String(word)) => named(word).unwrap_or_else(|| match word.trim() {
            "" | "unknown" => unknown(""),
            other => unknown(&format!(" (no mount is called \"{other}\")")),
        }),
        Some(value @ Value::Array(_)) => {
            matrix(value).unwrap_or_else(|| unknown(" (the matrix is no rotation)"))
        }
        Some(Value::Object(fields)) => {
            let number = |key: &str| fields.get(key).and_then(Value::as_f64).filter(|x| x.abs() < 1e6);
            let up = fields.get("up").and_then(Value::as_str).unwrap_or("hanging");
            if let Some(rotation) = fields.get("R").and_then(matrix) {
                return rotation;
            }
            match (number("turn_deg"), number("lean_deg")) {
                (None, None) => {
                    named(up).unwrap_or_else(|| unknown(" (the hint has neither R nor turn_deg)"))
                }
                (turn, lean) => {
                    let over = match up {
                        "standing" | "floor" => Rotation::about_y(Radians::HALF),
                        _ => Rotation::IDENTITY,
                    };
                    let [turn, lean] = [turn, lean].map(|angle| Radians::from_deg(angle.unwrap_or(0.0)));
                    let planned = Rotation::about_x(lean).then(over).then(Rotation::about_z(turn));
                    (Mount::As(planned), "turn and lean as given, to about 10 degrees".to_owned())
                }
            }
        }
        Some(_) => unknown(" (the hint is no word, no matrix and no object)"),
    }
}

fn matrix(value: &Value) -> Option<(Mount, String)> {
    let numbers = flat("mount_hint", value).ok()?;
    let [a, b, c, d, e, f, g, h, i] = numbers[..] else { return None };
    let planned = Rotation::from_rows([[a, b, c], [d, e, f], [g, h, i]])?;
    Some((Mount::As(planned), "orientation as given, to about 10 degrees".to_owned()))
}

/// A named mount says how far the light leans, and nothing about its turn.
fn named(word: &str) -> Option<(Mount, String)> {
    let word: String = word.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
    let lean = |degrees: f64, words: &str| {
        Some((Mount::Leaning(Radians::from_deg(degrees)), format!("{words}, turn not known")))
    };
    let has = |parts: &[&str]| parts.iter().any(|part| word.contains(part));
    if has(&["45"]) {
        Some((Mount::Unknown, "leaning by 45 degrees, which way is not known: as unknown".to_owned()))
    } else if has(&["hang", "truss", "bar", "ceiling"]) {
        lean(0.0, "hanging")
    } else if has(&["standing", "floor", "upright"]) {
        lean(180.0, "standing")
    } else if has(&["wall", "side"]) {
        lean(90.0, "on a wall")
    } else {
        None
    }
}
