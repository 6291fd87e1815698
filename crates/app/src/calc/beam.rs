//! `lanthorn calc beam`

mod one;
mod room;

use lanthorn_physics::beam::{BeamShape, Distribution, ies};
use lanthorn_physics::units::{Candela, Lumens, Radians};
use serde_json::{Map, Value, json};

type Case = Map<String, Value>;

/// Illuminance: one case.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let Value::Object(case) = case else {
        return Err("a case is an object such as {\"I_cd\": 450, \"d_m\": 3}".to_owned());
    };
    let beams = ["beams", "sources", "lights"].iter().find_map(|key| case.get(*key));
    match beams {
        Some(Value::Array(beams)) => room::solve(&case, beams),
        Some(_) => Err("\"beams\" is a list".to_owned()),
        None => one::solve(&case),
    }
}

/// The first of these keys that is there, as a finite number.
fn number(case: &Case, keys: &[&str]) -> Result<Option<f64>, String> {
    let found =
        keys.iter().find_map(|key| case.get(*key).filter(|value| !value.is_null()).map(|value| (key, value)));
    let Some((key, value)) = found else { return Ok(None) };
    let number = value.as_f64().filter(|number| number.is_finite());
    number.map(Some).ok_or_else(|| format!("\"{key}\" is a number"))
}

/// The same, not below zero.
fn amount(case: &Case, keys: &[&str]) -> Result<Option<f64>, String> {
    match number(case, keys)? {
        Some(below) if below < 0.0 => Err(format!("\"{}\" is 0 or more", keys[0])),
        other => Ok(other),
    }
}

fn degrees(case: &Case, keys: &[&str]) -> Result<Option<Radians>, String> {
    Ok(number(case, keys)?.map(Radians::from_deg))
}

fn text<'c>(case: &'c Case, key: &str) -> Result<Option<&'c str>, String> {
    match case.get(key) {
        None | Some(Value::Null) => Ok(None),
        Some(Value::String(text)) => Ok(Some(text)),
        Some(_) => Err(format!("\"{key}\" is a text")),
    }
}

/// Full beam angle, from any of the ways to write it.
fn beam_angle(case: &Case) -> Result<Option<Radians>, String> {
    let full = degrees(case, &["beam_deg", "cone_deg", "beam_angle_deg"])?;
    let half = degrees(case, &["half_angle_deg", "half_deg"])?.map(|half| half * 2.0);
    match full.or(half) {
        Some(angle) if !(angle.get() > 0.0 && angle.get() <= std::f64::consts::TAU) => {
            Err("\"beam_deg\" lies above 0° and below 180° (a cone: up to 360°)".to_owned())
        }
        angle => Ok(angle),
    }
}

/// How the light spreads, and the file that it was measured in.
fn distribution(case: &Case) -> Result<(Option<Distribution>, Option<ies::Photometry>), String> {
    if let Some(file) = text(case, "ies")? {
        let file = ies::read(file).map_err(|error| format!("\"ies\": {error}"))?;
        return Ok((Some(Distribution::Measured(file.table.clone())), Some(file)));
    }
    let beam = beam_angle(case)?;
    let field = degrees(case, &["field_deg", "field_angle_deg"])?;
    let model = text(case, "model")?.map(str::to_ascii_lowercase);
    let lacks = || "this model needs \"beam_deg\"".to_owned();
    let narrow = |angle: Radians| {
        if angle.get() < std::f64::consts::PI {
            Ok(angle)
        } else {
            Err("\"beam_deg\" lies above 0° and below 180°".to_owned())
        }
    };
    let shape = match model.as_deref() {
        Some("isotropic" | "even" | "point") => Some(Distribution::Even),
        Some("lambert" | "matt") => Some(Distribution::Cosine(1.0)),
        Some("cone" | "ideal cone") => {
            // A cone may be told by its solid angle: Ω = 2π(1 − cos(a / 2)).
            let by_solid = amount(case, &["solid_angle_sr", "sr"])?.and_then(cone_of);
            Some(Distribution::Cone(beam.or(by_solid).ok_or_else(lacks)?))
        }
        Some("cosn" | "cos" | "cos^n" | "cosine") => Some(match number(case, &["n", "exponent"])? {
            Some(n) if n > -1.0 => Distribution::Cosine(n),
            Some(_) => return Err("\"n\" lies above -1".to_owned()),
            None => Distribution::cosine_of_beam(narrow(beam.ok_or_else(lacks)?)?).ok_or_else(lacks)?,
        }),
        None | Some("gauss" | "gaussian" | "soft") => match (beam, field) {
            (Some(beam), Some(field)) => Some(Distribution::Soft(BeamShape::new(narrow(beam)?, field))),
            (Some(beam), None) => Some(Distribution::Soft(BeamShape::from_beam(narrow(beam)?))),
            (None, Some(field)) => Some(Distribution::Soft(BeamShape::from_field(narrow(field)?))),
            (None, None) => {
                amount(case, &["solid_angle_sr", "sr"])?.and_then(cone_of).map(Distribution::Cone)
            }
        },
        Some(other) => {
            return Err(format!("\"{other}\" is no model: gauss, cone, cosn, lambert or isotropic"));
        }
    };
    Ok((shape, None))
}

fn cone_of(solid_angle_sr: f64) -> Option<Radians> {
    lanthorn_physics::beam::cone_of_solid_angle(solid_angle_sr)
}

/// Intensity on the axis, as it is written.
fn intensity(case: &Case) -> Result<Option<Candela>, String> {
    Ok(amount(case, &["peak_cd", "I_cd", "intensity_cd", "candela", "cd", "I0_cd"])?
        .and_then(Candela::checked))
}

fn flux(case: &Case) -> Result<Option<Lumens>, String> {
    Ok(amount(case, &["flux_lm", "lumens", "lm", "phi_lm"])?.and_then(Lumens::checked))
}

/// What a photometric file says.
pub(crate) fn summary(file: &ies::Photometry) -> Value {
    let curve = file.table.curve();
    let axis = curve.intensity(Radians::ZERO).get();
    let angle = |part| curve.full_angle(part).map(Radians::deg);
    json!({
        "edition": file.edition.year(),
        "absolute": file.lumens_per_lamp.is_none(),
        "lamp_lm": file.lumens_per_lamp.map(|lumens| lumens.get() * file.lamps),
        "factor": file.factor,
        "watts": file.watts.map(lanthorn_physics::units::Watts::get),
        "peak_cd": file.table.peak().get(),
        "axis_cd": axis,
        "flux_lm": file.table.flux().get(),
        "beam_deg": angle(0.5),
        "field_deg": angle(0.1),
        "doubts": file.doubts.iter().map(|doubt| format!("line {}: {}", doubt.line, doubt.what)).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests;
