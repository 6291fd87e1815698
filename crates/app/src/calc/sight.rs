//! `lanthorn calc sight`

mod read;

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::sight::{
    NotYet, Pose, Problem, Sent, Solved, SpotAt, next_mark, sent_for, solve as sight, words,
};
use serde_json::{Value, json};

use super::case::degrees;
use read::Sighting;

/// Sighting in: one case.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let Sighting { problem, tests, understood } = read::case(case)?;
    let outcome = sight(&problem);
    if let Err(NotYet::Wrong(why)) = &outcome {
        return Err(why.clone());
    }
    let named = |(index, at): (usize, &Point)| SpotAt {
        name: format!("test point {index} ({:.2}, {:.2}, {:.2})", at.x(), at.y(), at.z()),
        at: *at,
        radius: None,
    };
    let spots: Vec<SpotAt> = tests.iter().enumerate().map(named).collect();
    let mut answer = match &outcome {
        Ok(solved) => solved_answer(&problem, solved, &tests),
        Err(why) => {
            json!({ "pose": null, "aims": [], "dmx_aims": [], "outliers": [], "not_yet": why.to_string() })
        }
    };
    let next = next_mark(&problem, outcome.as_ref().ok(), &tests);
    answer["next_mark"] =
        next.map_or(Value::Null, |index| json!({ "index": index, "xyz": <[f64; 3]>::from(tests[index]) }));
    answer["mount_understood"] = understood.into();
    answer["says"] = words(&problem, outcome.as_ref(), &spots).into();
    Ok(answer)
}

fn solved_answer(problem: &Problem, solved: &Solved, tests: &[Point]) -> Value {
    let ways: Vec<Option<(Sent, Metres)>> = tests.iter().map(|at| solved.surest(*at)).collect();
    let errors: Vec<Option<f64>> =
        ways.iter().map(|way| way.map(|(_, error)| tenth(error.get() * 100.0))).collect();
    let known: Vec<f64> = errors.iter().flatten().copied().collect();
    let mean = if known.is_empty() {
        solved.expected_error_mean().map(|mean| tenth(mean.get() * 100.0))
    } else {
        Some(tenth(known.iter().sum::<f64>() / known.len() as f64))
    };
    let nearest = |at: &Point| sent_for(&solved.pose, problem.travels, *at).first().copied();
    let aims: Vec<Value> = tests
        .iter()
        .zip(&ways)
        .map(|(at, way)| aim(problem, &solved.pose, way.map(|(sent, _)| sent).or_else(|| nearest(at))))
        .collect();
    let plain: Vec<Value> = aims.iter().map(|aim| aim["dmx"].clone()).collect();
    let wrong = solved.misses.iter().enumerate().filter(|(_, miss)| miss.wrong).map(|(index, _)| index);
    let miss = solved
        .misses
        .iter()
        .map(|miss| json!({ "off_cm": tenth(miss.off.get() * 100.0), "outlier": miss.wrong }));
    let travel = |axis: usize| {
        let travel = solved.travels[axis];
        json!({ "as_stated": !travel.freed, "scale": travel.scale, "sd": travel.sd })
    };
    json!({
        "pose": pose(&solved.pose),
        "aims": aims,
        "dmx_aims": plain,
        "outliers": wrong.collect::<Vec<usize>>(),
        "marks": miss.collect::<Vec<Value>>(),
        "travels": { "pan": travel(0), "tilt": travel(1) },
        "position_sd_m": solved.position_sd.map(|sd| sd.get()),
        "expected_error_cm": errors,
        "expected_error_mean_cm": mean,
        "sigma_deg": solved.sigma.deg(),
        "twin": solved.twin,
    })
}

fn pose(pose: &Pose) -> Value {
    json!({
        "R": rows(pose.world_from_fixture),
        "position": <[f64; 3]>::from(pose.pivot),
        "pan": { "inverted": pose.pan.inverted, "scale": pose.pan.scale },
        "tilt": {
            "inverted": pose.tilt.inverted,
            "scale": pose.tilt.scale,
            "offset_deg": degrees(pose.tilt.offset),
        },
    })
}

/// The rotation row by row.
fn rows(rotation: Rotation) -> [[f64; 3]; 3] {
    let axes = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let columns = axes.map(|[x, y, z]| {
        Direction::new(x, y, z).map_or([x, y, z], |axis| <[f64; 3]>::from(rotation.apply(axis)))
    });
    [0, 1, 2].map(|row| columns.map(|column| column[row]))
}

/// What to send, in whole steps.
fn aim(problem: &Problem, pose: &Pose, sent: Option<Sent>) -> Value {
    let Some(Sent { pan, tilt, reaches }) = sent else {
        return json!({ "dmx": null, "pan_deg": null, "tilt_deg": null, "reachable": false });
    };
    let value = |sent: Radians, travel: Radians| {
        ((sent / travel + 0.5) * problem.steps).round().clamp(0.0, problem.steps) as u64
    };
    json!({
        "dmx": [value(pan, problem.travels[0]), value(tilt, problem.travels[1])],
        "pan_deg": degrees(pose.pan.angle(pan)),
        "tilt_deg": degrees(pose.tilt.angle(tilt)),
        "reachable": reaches,
    })
}

/// To a tenth.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests;
