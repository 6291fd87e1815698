//! Bars, stands, wind, and fans heard from a seat.

use lanthorn_rig::sums::bar::{Bar, GRAVITY, HALF, HALF_SOURCE, SOURCE, TUBE_SOURCE, TUBES, Tube};
use lanthorn_rig::sums::noise::{SOURCE as NOISE_SOURCE, at_distance, sum};
use lanthorn_rig::sums::stand::{
    DRAG, FACTOR, LOWER_AT, SOURCE as STAND_SOURCE, Stand, offset, wind_force_n, wind_pressure_pa,
};
use serde_json::{Value, json};

use super::fields::{COUNT, Fields, KG, read_point};
use super::power::LIGHTS;
use super::shown;

const WEIGHT_CAUTION: &str = "A sum is no permission to hang: the written limit of every bar and point decides, and a competent person. Where there is none, nothing hangs. Clamps, points and ceiling fail before the tube.";
const STAND_CAUTION: &str = "Legs fully out, load balanced, weight low, tied or fenced, off walkways. The sum is for level, hard ground and a stiff stand; the maker's limits and a competent person decide.";

const LOADS: &[&str] = &["loads", "lights", "fixtures", "units", "masses", "weights"];
const X: &[(&str, f64)] = &[
    ("at_m", 1.0),
    ("x", 1.0),
    ("at", 1.0),
    ("x_m", 1.0),
    ("position_m", 1.0),
    ("offset_m", 1.0),
    ("position", 1.0),
    ("offset", 1.0),
];

/// Position and kg of each load; `[x, kg]` pairs are taken too. Clamp and bond are added where they are said. Where no load
/// says its place they have none.
fn loads(case: &Fields) -> Result<Vec<(Option<f64>, f64)>, String> {
    let extra = case.amount(&[("clamp_kg", 1.0), ("clamp", 1.0)])?.unwrap_or(0.0)
        + case.amount(&[("bond_kg", 1.0), ("bond", 1.0)])?.unwrap_or(0.0)
        + case.amount(&[("extra_kg_each", 1.0)])?.unwrap_or(0.0);
    if let Some(list) = case.value(LOADS).and_then(Value::as_array) {
        let pair = |value: &Value| {
            value.as_array().and_then(|pair| Some((pair.first()?.as_f64()?, pair.get(1)?.as_f64()?)))
        };
        if let Some(pairs) =
            list.iter().map(pair).collect::<Option<Vec<_>>>().filter(|pairs| !pairs.is_empty())
        {
            return Ok(pairs.into_iter().map(|(x, kg)| (Some(x), kg + extra)).collect());
        }
    }
    let entries = case.entries(LOADS, "load", "kg")?.unwrap_or_default();
    let mut list = Vec::new();
    for entry in &entries {
        let kg = entry.amount(KG)?.ok_or_else(|| entry.missing("kg", "its weight"))?;
        let at = entry.scaled(X)?;
        let count = entry.count(COUNT)?.unwrap_or(1);
        (0..count.min(500)).for_each(|_| list.push((at, kg + extra)));
    }
    let placed = list.iter().filter(|(at, _)| at.is_some()).count();
    if placed > 0 && placed < list.len() {
        let lost = entries.iter().find(|entry| entry.scaled(X).is_ok_and(|at| at.is_none()));
        return Err(lost.map_or_else(String::new, |entry| {
            entry.missing(
                "at_m",
                "where along the bar it hangs; or leave it out for all, and they hang evenly",
            )
        }));
    }
    // Positions and weights in two lists.
    if entries.is_empty()
        && let Some(at) = case.numbers(&["positions", "positions_m", "x_m"])?
    {
        let each = case.amount(&[("each_kg", 1.0), ("kg_each", 1.0), ("load_kg", 1.0), ("kg", 1.0)])?;
        let kg = case.numbers(&["kgs", "weights_kg", "masses_kg"])?;
        for (index, at) in at.iter().enumerate() {
            let kg = kg.as_ref().and_then(|kg| kg.get(index).copied()).or(each);
            list.push((Some(*at), kg.ok_or_else(|| case.missing("each_kg", "the weight of each"))? + extra));
        }
    }
    Ok(list)
}

/// The bar, and whether positions count from its middle.
fn read_bar(case: &Fields, tube: Option<&Tube>) -> Result<(Bar, bool), String> {
    let loads = loads(case)?;
    let points = case.numbers(&["points", "supports", "points_m", "supports_m", "suspension"])?;
    let span = case.positive(&[("span_m", 1.0), ("span", 1.0)])?;
    let length =
        case.positive(&[("length_m", 1.0), ("length", 1.0), ("bar_m", 1.0), ("bar_length_m", 1.0)])?;
    let said = case.text(&["from", "origin", "positions_from"])?;
    let negative =
        loads.iter().filter_map(|load| load.0).chain(points.iter().flatten().copied()).any(|x| x < 0.0);
    let middle = said.map_or(negative, |word| {
        word.to_lowercase().starts_with('m') || word.to_lowercase().starts_with('c')
    });
    let reach = points.as_ref().map(|points| {
        points.iter().fold(0.0_f64, |most, x| most.max(x.abs())) * if middle { 2.0 } else { 1.0 }
    });
    let length = length
        .or(span)
        .or(reach)
        .ok_or_else(|| case.missing("length_m", "the bar's length; or \"span_m\""))?;
    let ends = if middle { [-length / 2.0, length / 2.0] } else { [0.0, length] };
    let each = length / loads.len().max(1) as f64;
    let loads = loads.iter().enumerate();
    let loads = loads.map(|(n, (at, kg))| (at.unwrap_or(ends[0] + (n as f64 + 0.5) * each), *kg)).collect();
    let points = match (points, span) {
        (Some(points), _) => {
            let mut two: [f64; 2] =
                points.try_into().map_err(|_| "\"points\" has the places of two points".to_owned())?;
            two.sort_by(f64::total_cmp);
            two
        }
        // A span shorter than the bar: in its middle.
        (None, Some(span)) => {
            let middle = (ends[0] + ends[1]) / 2.0;
            [middle - span / 2.0, middle + span / 2.0]
        }
        (None, None) => ends,
    };
    let own = case
        .amount(&[("bar_kg", 1.0), ("own_kg", 1.0), ("own_weight_kg", 1.0), ("tube_kg", 1.0)])?
        .map(|kg| kg / length);
    let per_metre = case.amount(&[
        ("kg_per_m", 1.0),
        ("bar_kg_per_m", 1.0),
        ("own_kg_per_m", 1.0),
        ("tube_kg_per_m", 1.0),
    ])?;
    let cable = case.amount(&[("cable_kg_per_m", 1.0)])?.unwrap_or(0.0)
        + case.amount(&[("cable_kg", 1.0), ("cables_kg", 1.0)])?.unwrap_or(0.0) / length;
    let even = case.amount(&[("udl_kg_per_m", 1.0), ("even_kg_per_m", 1.0)])?.unwrap_or(0.0)
        + case.amount(&[("udl_kg", 1.0), ("even_kg", 1.0), ("evenly_kg", 1.0)])?.unwrap_or(0.0) / length;
    let kg_per_m = per_metre.or(own).or(tube.map(|tube| tube.kg_per_m)).unwrap_or(0.0) + cable + even;
    Ok((Bar { ends, points, kg_per_m, loads }, middle))
}

pub(super) fn bar(case: &Fields) -> Result<Value, String> {
    let word = case.text(&["tube", "material", "bar_type"])?;
    let known = TUBES.iter().map(|tube| tube.name).collect::<Vec<_>>().join(", ");
    let tube = match &word {
        Some(word) => Some(
            Tube::read(word)
                .ok_or_else(|| format!("\"{word}\" is no tube that we have figures for: {known}"))?,
        ),
        None => None,
    };
    let (bar, middle) = read_bar(case, tube)?;
    let bent = bar.bent().ok_or("\"points\" are two different places")?;
    let allowed = case
        .positive(&[
            ("allowed_nm", 1.0),
            ("allowed_moment_nm", 1.0),
            ("allowed_knm", 1000.0),
            ("moment_capacity_nm", 1.0),
        ])?
        .or(tube.map(|tube| tube.allowed_nm));
    let share = allowed.map(|allowed| bent.moment_nm / allowed);
    let rated = case.positive(&[
        ("point_rated_kg", 1.0),
        ("point_wll_kg", 1.0),
        ("wll_kg", 1.0),
        ("point_limit_kg", 1.0),
        ("point_kg", 1.0),
    ])?;
    let whole = case.positive(&[("rated_kg", 1.0), ("bar_rated_kg", 1.0), ("limit_kg", 1.0)])?;
    let worst = bent.reactions_kg[0].max(bent.reactions_kg[1]);
    let total = bar.total_kg();
    let half = rated.map(|rated| worst <= HALF * rated + 1e-9);
    let mut says = format!(
        "{} kg in all: {} kg on the left point, {} kg on the right one; bent by {} N·m",
        shown(total),
        shown(bent.reactions_kg[0]),
        shown(bent.reactions_kg[1]),
        shown(bent.moment_nm)
    );
    if let Some(share) = share {
        says += &format!(", {:.0} % of what the tube's figures allow", share * 100.0);
    }
    says += ".";
    if let Some(rated) = rated {
        let word = if worst > rated {
            "more than its written"
        } else if half == Some(false) {
            "more than half of its written"
        } else {
            "within half of its written"
        };
        says += &format!(" The fuller point carries {word} {} kg.", shown(rated));
    }
    if bent.reactions_kg.iter().any(|kg| *kg < -1e-9) {
        says += " One end would lift off its point.";
    }
    Ok(json!({
        "total_kg": total, "reactions_kg": bent.reactions_kg, "reactions_n": bent.reactions_kg.map(|kg| kg * GRAVITY),
        "left_kg": bent.reactions_kg[0], "right_kg": bent.reactions_kg[1],
        "moment_nm": bent.moment_nm, "moment_at_m": bent.moment_at, "allowed_nm": allowed, "share": share, "moment_share": share,
        "sag_mm": tube.and_then(|tube| bar.sag_m(tube)).map(|sag| sag * 1000.0), "kg_per_m": bar.kg_per_m,
        "point_rated_kg": rated, "within_half": half, "within_rating": rated.map(|rated| worst <= rated + 1e-9),
        "bar_rated_kg": whole, "bar_share": whole.map(|whole| total / whole),
        "positions_from": if middle { "middle" } else { "left end" }, "points_m": bar.points,
        "formula": "right point = sum of (kg x distance from the left point) / distance of the points; moment = sum of (force x arm) left of the cut",
        "source": format!("{SOURCE}; {TUBE_SOURCE}; half over people: {HALF_SOURCE}"), "caution": WEIGHT_CAUTION, "says": says,
    }))
}

const RADIUS: &[(&str, f64)] = &[
    ("leg_radius_m", 1.0),
    ("leg_radius", 1.0),
    ("radius_m", 1.0),
    ("radius", 1.0),
    ("r", 1.0),
    ("r_m", 1.0),
];
const HEIGHT: &[(&str, f64)] =
    &[("height_m", 1.0), ("height", 1.0), ("h", 1.0), ("h_m", 1.0), ("push_height_m", 1.0)];
const AREA: &[(&str, f64)] =
    &[("area_m2", 1.0), ("area", 1.0), ("a_m2", 1.0), ("a", 1.0), ("wind_area_m2", 1.0)];
const CD: &[(&str, f64)] = &[("cd", 1.0), ("drag", 1.0), ("drag_coefficient", 1.0)];
const WIND: &[(&str, f64)] = &[
    ("wind_m_s", 1.0),
    ("wind", 1.0),
    ("wind_ms", 1.0),
    ("speed_m_s", 1.0),
    ("v", 1.0),
    ("v_m_s", 1.0),
    ("wind_speed", 1.0),
    ("speed", 1.0),
    ("wind_speed_m_s", 1.0),
    ("wind_km_h", 1.0 / 3.6),
    ("wind_mph", 0.447_04),
];

fn read_stand(case: &Fields) -> Result<Stand, String> {
    let legs = case.count(&["legs", "leg_count", "n_legs", "feet"])?.unwrap_or(3);
    if !(3..=12).contains(&legs) {
        return Err("\"legs\" lies from 3 to 12".to_owned());
    }
    // On the mast, where none says a place.
    let loads: Vec<(f64, f64)> = loads(case)?.into_iter().map(|(at, kg)| (at.unwrap_or(0.0), kg)).collect();
    let listed: f64 = loads.iter().map(|load| load.1).sum();
    let load = case
        .amount(&[("load_kg", 1.0), ("lights_kg", 1.0), ("load", 1.0), ("payload_kg", 1.0)])?
        .unwrap_or(listed);
    let part = |keys: &[(&str, f64)]| Ok::<f64, String>(case.amount(keys)?.unwrap_or(0.0));
    let own = part(&[("stand_kg", 1.0), ("own_kg", 1.0), ("own_weight_kg", 1.0), ("stand_weight_kg", 1.0)])?;
    let ballast = part(&[("ballast_kg", 1.0), ("ballast", 1.0), ("sandbags_kg", 1.0)])?;
    let total =
        case.positive(&[&[("total_kg", 1.0), ("total_weight_kg", 1.0), ("all_kg", 1.0)], KG].concat())?;
    // A total without parts holds everything; ballast named beside it is counted on top.
    let total_kg = total.map_or(load + own + ballast, |total| total + ballast);
    if total_kg <= 0.0 {
        return Err(
            case.missing("total_kg", "everything together; or \"stand_kg\", \"load_kg\", \"ballast_kg\"")
        );
    }
    let said = case.scaled(&[("offset_m", 1.0), ("load_offset_m", 1.0), ("e_m", 1.0)])?;
    Ok(Stand {
        legs,
        leg_radius_m: case.need(RADIUS, "from the mast to the end of a leg, on the floor")?,
        total_kg,
        height_m: case.need(HEIGHT, "of the lights, where a push acts")?,
        offset_m: said.unwrap_or_else(|| offset(&loads)),
        load_kg: if load > 0.0 { load } else { total_kg },
    })
}

pub(super) fn stand(case: &Fields) -> Result<Value, String> {
    let stand = read_stand(case)?;
    let area = case.amount(AREA)?;
    let drag = case.positive(CD)?.unwrap_or(DRAG);
    let wind = case.amount(WIND)?;
    let wanted = case
        .positive(&[("wanted_factor", 1.0), ("safety_factor", 1.0), ("factor", 1.0), ("target_factor", 1.0)])?
        .unwrap_or(FACTOR);
    // The wind may act lower or higher than a push.
    let centre = case.positive(&[
        ("wind_height_m", 1.0),
        ("centre_height_m", 1.0),
        ("center_height_m", 1.0),
        ("wind_h_m", 1.0),
    ])?;
    let in_wind = Stand { height_m: centre.unwrap_or(stand.height_m), ..stand };
    let inside = stand.offset_m.abs() < stand.tip_distance_m();
    let tip_wind = area.and_then(|area| in_wind.tip_wind_m_s(area, drag));
    let factor = area.zip(wind).and_then(|(area, wind)| in_wind.factor_in_wind(wind, area, drag));
    let ballast = area.zip(wind).map(|(area, wind)| in_wind.ballast_kg(wind, area, drag, wanted));
    let mut says = format!("{} N at {} m tip it", shown(stand.tip_force_n()), shown(stand.height_m));
    if stand.offset_m.abs() > 1e-9 {
        says += &format!(", {} N towards its heavier side", shown(stand.tip_force_heavy_side_n()));
    }
    says += &format!(": its feet hold out to {} m.", shown(stand.tip_distance_m()));
    if !inside {
        says += " Its lights hang beyond the feet.";
    }
    if let Some(tip) = tip_wind {
        says += &format!(
            " Wind of {} m/s tips it; light stands come down from {LOWER_AT} m/s gusts on unless the maker says otherwise.",
            shown(tip)
        );
    }
    if let Some((factor, ballast)) = factor.zip(ballast) {
        says += &format!(
            " In the wind asked for it holds {} times what tips it; {} kg more on its feet would make that {}.",
            shown(factor),
            shown(ballast),
            shown(wanted)
        );
    }
    Ok(json!({
        "tip_distance_m": stand.tip_distance_m(), "tip_force_n": stand.tip_force_n(), "tip_force_heavy_side_n": stand.tip_force_heavy_side_n(),
        "tip_force_kgf": stand.tip_force_n() / GRAVITY, "offset_m": stand.offset_m, "offset_inside": inside, "total_kg": stand.total_kg,
        "wind_force_n": area.zip(wind).map(|(area, wind)| wind_force_n(wind, area, drag)), "tip_wind_m_s": tip_wind,
        "factor": factor, "wanted_factor": wanted, "ballast_kg": ballast, "more_ballast_kg": ballast, "drag": drag,
        "formula": "tip distance = leg radius x cos(180 degrees / legs); force = weight x 9.80665 x tip distance / height, less load x offset; wind = root of (2 x force / (1.225 x Cd x area))",
        "source": STAND_SOURCE, "caution": STAND_CAUTION, "says": says,
    }))
}

pub(super) fn wind(case: &Fields) -> Result<Value, String> {
    if case.has(&["legs", "leg_radius_m", "leg_radius", "radius_m", "radius", "r"]) {
        return stand(case);
    }
    let speed = case.amount(WIND)?.ok_or_else(|| case.missing("wind_m_s", "the wind's speed"))?;
    let area = case.amount(AREA)?;
    let said = case.positive(CD)?;
    let drag = said.unwrap_or(DRAG);
    let pressure = wind_pressure_pa(speed);
    let force = area.map(|area| wind_force_n(speed, area, drag));
    let guessed = if said.is_none() { " (Cd 1.2 assumed; flat things 1.2 to 2.0)" } else { "" };
    let pushes =
        force.map_or_else(String::new, |force| format!(" and pushes with {} N{guessed}", shown(force)));
    Ok(json!({
        "pressure_pa": pressure, "force_n": force, "drag": drag, "drag_assumed": said.is_none(), "wind_m_s": speed,
        "force_n_at_cd_1": area.map(|area| pressure * area),
        "formula": "q = 0.5 x 1.225 x v2; force = q x area x Cd", "source": STAND_SOURCE, "caution": STAND_CAUTION,
        "says": format!("{} m/s press with {} Pa{pushes}.", shown(speed), shown(pressure)),
    }))
}

const LEVEL: &[(&str, f64)] = &[
    ("dba", 1.0),
    ("level_dba", 1.0),
    ("noise_dba", 1.0),
    ("level", 1.0),
    ("db", 1.0),
    ("noise", 1.0),
    ("dba_at_1_m", 1.0),
    ("dba_1m", 1.0),
    ("l", 1.0),
];
const DISTANCE: &[(&str, f64)] = &[
    ("distance_m", 1.0),
    ("distance", 1.0),
    ("d_m", 1.0),
    ("d", 1.0),
    ("at_m", 1.0),
    ("m", 1.0),
    ("distance_ft", 0.3048),
];

pub(super) fn noise(case: &Fields) -> Result<Value, String> {
    let fans = case.entries(
        &[&["fans", "sources", "levels", "levels_dba", "dba", "noises"], LIGHTS].concat(),
        "fan",
        "dba",
    )?;
    let fans =
        fans.ok_or_else(|| case.missing("fans", "a list of {\"dba\": …, \"distance_m\": …}, levels at 1 m"))?;
    let seat = case.point(&["seat", "listener", "ear", "at", "position"])?;
    let common = case.positive(DISTANCE)?;
    let mut levels = Vec::new();
    let mut each = Vec::new();
    for fan in &fans {
        let level = fan
            .number(&LEVEL.iter().map(|key| key.0).collect::<Vec<_>>())?
            .ok_or_else(|| fan.missing("dba", "its level at 1 m"))?;
        let at = fan.value(&["at", "xyz", "position"]).and_then(read_point);
        let between =
            seat.zip(at).map(|(a, b)| a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt());
        let distance = fan.positive(DISTANCE)?.or(between).or(common);
        let heard = distance.map_or(level, |distance| at_distance(level, distance));
        let count = fan.count(COUNT)?.unwrap_or(1);
        levels.extend((0..count.min(1000)).map(|_| (level, heard)));
        each.push(json!({ "dba_at_1_m": level, "distance_m": distance, "count": count, "dba": heard }));
    }
    let heard =
        sum(levels.iter().map(|row| row.1)).ok_or_else(|| case.missing("fans", "at least one level"))?;
    let near = sum(levels.iter().map(|row| row.0));
    Ok(json!({
        "level_dba": heard, "dba": heard, "sum_dba": heard, "sum_dba_at_1_m": near, "each": each,
        "formula": "L = L at 1 m - 20 log10(distance); sum = 10 log10 of the sum of 10^(L/10)", "source": NOISE_SOURCE,
        "caution": "A free-field sum: a room with hard walls is louder. Wear hearing protection near sound systems.",
        "says": format!("Together {heard:.1} dBA."),
    }))
}
