//! `lanthorn calc motion`

use lanthorn_physics::Span;
use lanthorn_physics::motion::{Axis, AxisLimits};
use lanthorn_physics::units::{Radians, Seconds};
use serde_json::{Map, Value, json};

use super::case::{Case, degrees};

const WANTS: &str = "from_deg, to_deg, v, a (or travel_deg, full_time_s, acceleration_time_s), samples or dt; or pan and \
                     tilt, each with these, and arrive_together";

/// Assumed where a case states only a full travel (common practice, no source).
const ACCELERATION_SECS: f64 = 0.5;

/// Most samples of one move.
const MOST_SAMPLES: f64 = 100_000.0;

/// One axis and its move.
struct Move {
    from: Radians,
    to: Radians,
    limits: AxisLimits,
    assumed: bool,
}

/// Time of moves: one case.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let case = Case::new(case, WANTS)?;
    let named = |name: &str| case.get(name).map(|axis| Move::read(axis.clone(), name)).transpose();
    match (named("pan")?, named("tilt")?) {
        (None, None) => {
            let axis = Move::of(&case)?;
            let secs = axis.secs()?;
            let mut answer = axis.told(axis.limits, secs);
            if let Some(times) = times(&case, secs)? {
                let sample = |&at: &f64| json!([at, degrees(axis.at(axis.limits, at))]);
                answer.insert("samples".to_owned(), times.iter().map(sample).collect());
            }
            Ok(Value::Object(answer))
        }
        (Some(pan), Some(tilt)) => pair(&case, &pan, &tilt),
        _ => Err("a pair of axes wants both 'pan' and 'tilt'".to_owned()),
    }
}

/// Two axes that start together and, where it is asked for, arrive together: the quicker one takes as long as the other.
fn pair(case: &Case, pan: &Move, tilt: &Move) -> Result<Value, String> {
    let together = match case.get("arrive_together") {
        None => false,
        Some(Value::Bool(together)) => *together,
        Some(other) => return Err(format!("'arrive_together' wants true or false, not {other}")),
    };
    let secs = [pan.secs()?, tilt.secs()?];
    let all = secs[0].max(secs[1]);
    let slowed = |axis: &Move, secs: f64| match together && secs > 0.0 {
        true => (axis.limits.slowed(all / secs), all),
        false => (axis.limits, secs),
    };
    let (pan_limits, pan_secs) = slowed(pan, secs[0]);
    let (tilt_limits, tilt_secs) = slowed(tilt, secs[1]);
    let mut answer = json!({
        "time_s": all,
        "pan": pan.told(pan_limits, pan_secs),
        "tilt": tilt.told(tilt_limits, tilt_secs),
    });
    if let Some(times) = times(case, all)? {
        let sample =
            |&at: &f64| json!([at, degrees(pan.at(pan_limits, at)), degrees(tilt.at(tilt_limits, at))]);
        answer["samples"] = times.iter().map(sample).collect();
    }
    Ok(answer)
}

impl Move {
    fn read(axis: Value, name: &str) -> Result<Self, String> {
        let of = || Self::of(&Case::new(axis, WANTS)?);
        of().map_err(|error| format!("'{name}': {error}"))
    }

    fn of(case: &Case) -> Result<Self, String> {
        let (limits, assumed) = limits(case)?;
        let travel = case.positive("travel_deg")?;
        let angle = |key| case.get(key).map(|_| case.numbers::<1>(key)).transpose();
        let (from, to) = match (angle("from_deg")?, angle("to_deg")?, angle("angle_deg")?, travel) {
            (from, Some([to]), None, _) => (from.map_or(0.0, |[from]| from), to),
            (from, None, Some([by]), _) => {
                let from = from.map_or(0.0, |[from]| from);
                (from, from + by)
            }
            (None, None, None, Some(travel)) => (0.0, travel),
            _ => return Err("say where it goes: from_deg and to_deg, or angle_deg".to_owned()),
        };
        Ok(Self { from: Radians::from_deg(from), to: Radians::from_deg(to), limits, assumed })
    }

    fn secs(&self) -> Result<f64, String> {
        let secs = self.limits.travel_secs(self.to - self.from);
        secs.ok_or_else(|| "speed and acceleration must be above zero".to_owned())
    }

    fn at(&self, limits: AxisLimits, secs: f64) -> Radians {
        let mut axis = Axis::at_rest(self.from);
        axis.step(self.to, limits, Span::from_secs(secs));
        axis.position
    }

    fn told(&self, limits: AxisLimits, secs: f64) -> Map<String, Value> {
        let peak = limits.peak_speed(self.to - self.from);
        let mut told = Map::new();
        told.insert("time_s".to_owned(), json!(secs));
        told.insert("v_deg_s".to_owned(), json!(self.limits.speed.to_degrees()));
        told.insert("a_deg_s2".to_owned(), json!(self.limits.acceleration.to_degrees()));
        told.insert("peak_deg_s".to_owned(), json!(peak.to_degrees()));
        told.insert("full_speed".to_owned(), json!(peak >= self.limits.speed * (1.0 - 1e-12)));
        if self.assumed {
            told.insert("assumed_acceleration_time_s".to_owned(), json!(ACCELERATION_SECS));
        }
        told
    }
}

/// Speed and acceleration as given, or from a travel that was timed; and whether the acceleration was assumed.
fn limits(case: &Case) -> Result<(AxisLimits, bool), String> {
    if case.get("v").is_some() || case.get("a").is_some() {
        let part =
            |key| case.positive(key)?.ok_or_else(|| format!("'{key}' is missing: v in °/s, a in °/s²"));
        let (speed, acceleration): (f64, f64) = (part("v")?, part("a")?);
        let limits = AxisLimits { speed: speed.to_radians(), acceleration: acceleration.to_radians() };
        return Ok((limits, false));
    }
    let (Some(travel), Some(full)) = (case.positive("travel_deg")?, case.positive("full_time_s")?) else {
        return Err("say what the motor can do: v and a, or travel_deg and full_time_s".to_owned());
    };
    let rise = case.positive("acceleration_time_s")?;
    let limits = AxisLimits::from_travel(
        Radians::from_deg(travel),
        Seconds::new(full),
        Seconds::new(rise.unwrap_or(ACCELERATION_SECS)),
    );
    limits.map(|limits| (limits, rise.is_none())).ok_or_else(|| "no motor travels like that".to_owned())
}

/// The moments to sample: so many, the ends among them, or one every `dt`, and the end.
fn times(case: &Case, secs: f64) -> Result<Option<Vec<f64>>, String> {
    let most = |count: f64| match count <= MOST_SAMPLES {
        true => Ok(count as usize),
        false => Err(format!("{count:.0} samples are more than the {MOST_SAMPLES} that one case may have")),
    };
    match (case.positive("samples")?, case.positive("dt")?) {
        (None, None) => Ok(None),
        (Some(count), None) => match most(count)? {
            ..2 => Err("'samples' wants 2 or more".to_owned()),
            count => Ok(Some((0..count).map(|at| secs * at as f64 / (count - 1) as f64).collect())),
        },
        (None, Some(dt)) => {
            let mut times: Vec<f64> = (0..=most(secs / dt)?).map(|at| at as f64 * dt).collect();
            if times.last().is_some_and(|last| *last < secs - 1e-9) {
                times.push(secs);
            }
            Ok(Some(times))
        }
        (Some(_), Some(_)) => Err("say 'samples' or 'dt', not both".to_owned()),
    }
}
