//! One light and one surface by plain keys: what follows from what is given.

use lanthorn_physics::beam::{Given, spot_ellipse};
use lanthorn_physics::units::{Lux, Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use serde_json::{Value, json};

use super::{Case, amount, beam_angle, degrees, distribution, flux, intensity, number, summary};

pub(super) fn solve(case: &Case) -> Result<Value, String> {
    let (mut shape, file) = distribution(case)?;
    let (intensity, flux) = (intensity(case)?, flux(case)?);
    if shape.is_none() && flux.is_some() && intensity.is_none() {
        // Nothing says otherwise: a point that shines all round.
        shape = Some(lanthorn_physics::beam::Distribution::Even);
    }
    let own_peak = file.as_ref().map(|file| file.table.curve().intensity(Radians::ZERO));
    let metres = |keys: &[&str]| Ok::<_, String>(amount(case, keys)?.and_then(Metres::checked));
    let given = Given {
        beam: beam_angle(case)?.or_else(|| shape.as_ref().and_then(|shape| shape.full_angle(0.5))),
        distribution: shape,
        intensity: intensity.or(own_peak.filter(|_| flux.is_none())),
        flux,
        off_axis: degrees(case, &["off_axis_deg"])?,
        distance: metres(&["d_m", "distance_m", "throw_m", "r_m"])?,
        incidence: incidence(case)?,
        illuminance: amount(case, &["E_lx", "lux", "lx", "illuminance_lx"])?.and_then(Lux::checked),
        height: metres(&["height_m", "h_m", "height"])?,
        out: metres(&["aim_m", "out_m", "offset_m", "horizontal_m"])?,
        tilt: degrees(case, &["tilt_deg", "from_vertical_deg"])?,
        diameter: metres(&["diameter_m"])?,
    };
    if *case == Case::default() {
        return Err("give some of I_cd, flux_lm, d_m, angle_deg, E_lx, beam_deg, height_m, aim_m".to_owned());
    }
    let solved = given.solve().map_err(|error| error.to_string())?;
    let field = solved.distribution.as_ref().and_then(|shape| shape.full_angle(0.1));
    let lumens_per_cd = solved.distribution.as_ref().map(|shape| shape.lumens_per_candela());
    let mut answer = json!({
        "I_cd": solved.intensity.map(|value| value.get()),
        "peak_cd": solved.intensity.map(|value| value.get()),
        "I_towards_cd": solved.intensity.map(|value| value.get() * solved.part()),
        "flux_lm": solved.flux.map(|value| value.get()),
        "lm_per_cd": lumens_per_cd,
        "E_lx": solved.illuminance.map(Lux::get),
        "lux": solved.illuminance.map(Lux::get),
        "d_m": solved.distance.map(Metres::get),
        "angle_deg": solved.incidence.map(Radians::deg),
        "height_m": solved.height.map(Metres::get),
        "out_m": solved.out.map(Metres::get),
        "tilt_deg": solved.tilt.map(Radians::deg),
        "beam_deg": solved.beam.map(Radians::deg),
        "field_deg": field.map(Radians::deg),
        "diameter_m": solved.diameter.map(Metres::get),
        "spot": spot(&solved),
        "relative": solved.distribution.as_ref().map(|_| solved.part()),
    });
    if let (Some(file), Some(answer)) = (file, answer.as_object_mut()) {
        answer.insert("ies".to_owned(), summary(&file));
        answer.insert("candela".to_owned(), asked(case, &file)?);
    }
    if let Some(answer) = answer.as_object_mut() {
        answer.retain(|_, value| !value.is_null());
    }
    Ok(answer)
}

fn incidence(case: &Case) -> Result<Option<Radians>, String> {
    if let Some(cosine) = number(case, &["cos", "cosine"])? {
        if !(-1.0..=1.0).contains(&cosine) {
            return Err("\"cos\" lies between -1 and 1".to_owned());
        }
        return Ok(Radians::checked(cosine.acos()));
    }
    degrees(case, &["angle_deg", "incidence_deg", "theta_deg"])
}

/// The ellipse on a level surface, `y` counted out from below the light.
fn spot(solved: &Given) -> Value {
    let Some(((height, tilt), beam)) = solved.height.zip(solved.tilt).zip(solved.beam) else {
        return Value::Null;
    };
    let along = Rotation::about_x(tilt).apply(Direction::DOWN);
    let from = Point::new(0.0, 0.0, height.get());
    let Some(ellipse) = spot_ellipse(from, along, beam / 2.0, Point::ORIGIN, Direction::UP) else {
        return json!({ "endless": true });
    };
    let (major, minor) = (ellipse.semi_major(), ellipse.semi_minor());
    json!({
        "semi_major_m": major,
        "semi_minor_m": minor,
        "centre_m": ellipse.centre.y(),
        "near_m": ellipse.centre.y() - major,
        "far_m": ellipse.centre.y() + major,
        "eccentricity": (1.0 - minor * minor / (major * major)).max(0.0).sqrt(),
        "area_m2": std::f64::consts::PI * major * minor,
    })
}

/// `at`: intensities of the file in directions of its own.
fn asked(case: &Case, file: &lanthorn_physics::beam::ies::Photometry) -> Result<Value, String> {
    let Some(at) = case.get("at") else { return Ok(Value::Null) };
    let Value::Array(at) = at else {
        return Err("\"at\" is a list of {vertical_deg, horizontal_deg}".to_owned());
    };
    let one = |direction: &Value| {
        let direction =
            direction.as_object().ok_or("\"at\" is a list of {vertical_deg, horizontal_deg}".to_owned())?;
        let angle = |keys: &[&str]| Ok::<_, String>(degrees(direction, keys)?.unwrap_or(Radians::ZERO));
        let cd = file.table.intensity(
            angle(&["vertical_deg", "v", "gamma_deg"])?,
            angle(&["horizontal_deg", "h", "c_deg"])?,
        );
        Ok(json!({ "cd": cd.get(), "cd_before_factors": cd.get() / file.factor }))
    };
    at.iter().map(one).collect::<Result<Vec<_>, String>>().map(Value::Array)
}
