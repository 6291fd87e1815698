//! `lanthorn calc aim`

use lanthorn_physics::motion::AxisLimits;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::aim::Head;
use serde_json::{Value, json};

use super::case::{Case, degrees, flat};

const WANTS: &str = "R, pos, target, pan_range_deg, tilt_range_deg, current, vmax_amax_deg";

/// Most of a travel, turns: what has more is no motor.
const MOST_TURNS: f64 = 100.0;

/// Stands in for the motors of a case that does not say what they can do: time then is the larger of both turns.
const NO_MOTOR: AxisLimits = AxisLimits { speed: 1.0, acceleration: 1e12 };

/// One way to shine there.
struct Way {
    pan: Radians,
    tilt: Radians,
    secs: f64,
    turned: f64,
}

/// Pan and tilt for a point: one case.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let case = Case::new(case, WANTS)?;
    let limits = limits(&case)?;
    let head = Head::bare(
        Point::from(case.numbers("pos")?),
        rotation(&case)?,
        [range(&case, "pan_range_deg")?, range(&case, "tilt_range_deg")?],
        limits.unwrap_or([NO_MOTOR; 2]),
    );
    let target = Point::from(case.numbers("target")?);
    let current = current(&case)?;
    let beam =
        head.pivot.towards(target).ok_or("'target' is where 'pos' is: no direction leads from one to it")?;
    let ways: Vec<Value> = ways(&head, beam, current)
        .iter()
        .map(|way| {
            let mut way = json!({
                "pan_deg": degrees(way.pan),
                "tilt_deg": degrees(way.tilt),
                "time_s": limits.map(|_| way.secs),
            });
            if head.pan_is_free(beam) {
                way["pan_free"] = true.into();
            }
            way
        })
        .collect();
    if !ways.is_empty() {
        return Ok(json!({ "solutions": ways, "reachable": true }));
    }
    let (pan, tilt) = head.nearest(target, current);
    let off = head.direction(pan, tilt).angle_to(beam);
    let nearest = json!({ "pan_deg": degrees(pan), "tilt_deg": degrees(tilt), "off_deg": degrees(off) });
    Ok(json!({ "solutions": [], "reachable": false, "nearest": nearest }))
}

/// Best first: quickest; of equally quick ones the one that turns less in all.
fn ways(head: &Head, beam: Direction, current: (Radians, Radians)) -> Vec<Way> {
    let mut ways: Vec<Way> = Vec::new();
    head.each_solution(beam, current, |solution| {
        let same = |a: Radians, b: Radians| (a - b).abs().get() < 1e-9;
        if ways.iter().any(|way| same(way.pan, solution.pan) && same(way.tilt, solution.tilt)) {
            return;
        }
        let turns = [(solution.pan - current.0).abs(), (solution.tilt - current.1).abs()];
        let secs = [head.pan_limits.travel_secs(turns[0]), head.tilt_limits.travel_secs(turns[1])];
        ways.push(Way {
            pan: solution.pan,
            tilt: solution.tilt,
            secs: secs[0].unwrap_or(f64::MAX).max(secs[1].unwrap_or(f64::MAX)),
            turned: (turns[0] + turns[1]).get(),
        });
    });
    // A billionth of a second is rounding.
    let key = |way: &Way| ((way.secs * 1e9).round(), way.turned);
    ways.sort_by(|a, b| key(a).0.total_cmp(&key(b).0).then(key(a).1.total_cmp(&key(b).1)));
    ways
}

fn rotation(case: &Case) -> Result<Rotation, String> {
    if case.get("R").is_none() {
        return Ok(Rotation::IDENTITY);
    }
    let [a, b, c, d, e, f, g, h, i] = case.numbers::<9>("R")?;
    Rotation::from_rows([[a, b, c], [d, e, f], [g, h, i]]).ok_or_else(|| {
        "'R' is no rotation: its rows must be of length one, at right angles, and no mirror image".to_owned()
    })
}

/// A number is the whole travel about the middle; a pair is both ends.
fn range(case: &Case, key: &str) -> Result<[Radians; 2], String> {
    let value = case.get(key).ok_or_else(|| format!("'{key}' is missing"))?;
    let [low, high] = match flat(key, value)?[..] {
        [travel] => [-travel / 2.0, travel / 2.0],
        [low, high] => [low, high],
        _ => return Err(format!("'{key}' wants the whole travel, or [lowest, highest]")),
    };
    if low > high || low.abs().max(high.abs()) > MOST_TURNS * 360.0 {
        return Err(format!("'{key}' wants a travel of 0 to {MOST_TURNS} turns, the lower end first"));
    }
    Ok([low, high].map(Radians::from_deg))
}

fn current(case: &Case) -> Result<(Radians, Radians), String> {
    let Some([pan, tilt]) = case.pan_and_tilt("current")? else { return Ok((Radians::ZERO, Radians::ZERO)) };
    match (&flat("current", &pan)?[..], &flat("current", &tilt)?[..]) {
        (&[pan], &[tilt]) => Ok((Radians::from_deg(pan), Radians::from_deg(tilt))),
        _ => Err("'current' wants one number for pan and one for tilt, degrees".to_owned()),
    }
}

/// Of pan and tilt; none when the case does not say.
fn limits(case: &Case) -> Result<Option<[AxisLimits; 2]>, String> {
    const KEY: &str = "vmax_amax_deg";
    let axis = |speed: f64, acceleration: f64| {
        if speed > 0.0 && acceleration > 0.0 {
            Ok(AxisLimits { speed: speed.to_radians(), acceleration: acceleration.to_radians() })
        } else {
            Err(format!("'{KEY}': speed and acceleration must be above zero, not {speed} and {acceleration}"))
        }
    };
    let of = |numbers: &[f64]| match *numbers {
        [v, a] => Ok(Some([axis(v, a)?; 2])),
        [vp, ap, vt, at] => Ok(Some([axis(vp, ap)?, axis(vt, at)?])),
        _ => Err(format!("'{KEY}' wants [speed, acceleration] for both axes or for each, degrees")),
    };
    match case.get(KEY) {
        None => match (case.get("vmax"), case.get("amax")) {
            (None, None) => Ok(None),
            _ => of(&paired(
                &flat("vmax", case.get("vmax").ok_or("'vmax' is missing")?)?,
                &flat("amax", case.get("amax").ok_or("'amax' is missing")?)?,
            )),
        },
        Some(Value::Object(fields)) => {
            let part = |names: [&str; 3]| {
                let value = names.iter().find_map(|name| fields.get(*name));
                value
                    .map_or_else(|| Err(format!("'{KEY}' wants {}", names[0])), |value| flat_pair(KEY, value))
            };
            if fields.contains_key("pan") || fields.contains_key("tilt") {
                let (pan, tilt) = (part(["pan"; 3])?, part(["tilt"; 3])?);
                of(&[pan, tilt].concat())
            } else {
                of(&paired(&part(["v", "vmax", "vmax_deg"])?, &part(["a", "amax", "amax_deg"])?))
            }
        }
        Some(value) => of(&flat(KEY, value)?),
    }
}

/// Speeds and accelerations, each one number or one for pan and one for tilt, as pairs.
fn paired(speeds: &[f64], accelerations: &[f64]) -> Vec<f64> {
    match (speeds, accelerations) {
        ([v], [a]) => vec![*v, *a],
        ([vp, vt], [ap, at]) => vec![*vp, *ap, *vt, *at],
        ([v], [ap, at]) => vec![*v, *ap, *v, *at],
        ([vp, vt], [a]) => vec![*vp, *a, *vt, *a],
        _ => Vec::new(),
    }
}

/// Numbers, or an object with speed and acceleration.
fn flat_pair(key: &str, value: &Value) -> Result<Vec<f64>, String> {
    let Value::Object(fields) = value else { return flat(key, value) };
    let part = |names: [&str; 2]| names.iter().find_map(|name| fields.get(*name));
    match (part(["v", "vmax"]), part(["a", "amax"])) {
        (Some(v), Some(a)) => Ok([flat(key, v)?, flat(key, a)?].concat()),
        _ => Err(format!("'{key}' wants v and a for each axis")),
    }
}
