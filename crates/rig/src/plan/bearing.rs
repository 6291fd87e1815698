//! What holds the weight: the points of a bar, the tube, the legs of a stand, wind.

use serde::Serialize;

use super::finding::Finding;
use super::places::{CLAMP_AND_BOND_KG, PlacePlan};
use crate::sums::bar::{Bar, HALF, HALF_SOURCE, TUBE_SOURCE, moment_reckoning};
use crate::sums::stand::{self, DRAG, LOWER_AT, Stand};
use crate::{HangingPlace, PlaceKind, Reckoning, Rig, Unit};

/// An offset from this part of the tipping distance on is said.
const OFFSET_PART: f64 = 0.5;
/// A side force below this is a light shove (this plan's default: what a person gives in passing).
pub(crate) const LIGHT_SHOVE_N: f64 = 50.0;

/// A bar on two points.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarPlan {
    /// What each point carries, kg, left first.
    pub points_kg: [f64; 2],
    /// What is written on each of them.
    pub point_rated_kg: Option<f64>,
    /// Largest bending moment.
    pub moment_nm: f64,
    /// What the tube allows; none: the tube is not known.
    pub allowed_nm: Option<f64>,
    /// Moment over allowed moment. It says nothing about clamps, points and ceiling, which fail first.
    pub moment_share: Option<f64>,
    /// How far it sags half-way between the points, millimetres.
    pub sag_mm: Option<f64>,
    /// The tube's own weight as far as it is in these figures.
    pub tube_kg: Option<f64>,
    /// How moment and points were reached.
    pub how: Reckoning,
}

/// A stand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StandPlan {
    /// From the mast to the nearest line between two feet.
    pub tip_distance_m: f64,
    /// Side force at the height of the lights that tips it, load balanced.
    pub tip_force_n: f64,
    /// The same towards the heavier side.
    pub tip_force_heavy_side_n: f64,
    /// Centre of the lights from the mast, along the crossbar.
    pub offset_m: f64,
    /// Everything together: stand, ballast, lights, clamps.
    pub total_kg: f64,
    /// The stand's own weight is not known and so not in it.
    pub own_weight_unknown: bool,
    /// Outdoors: wind at which it tips; none indoors, or when no size is known.
    pub tip_wind_m_s: Option<f64>,
    /// The area that the wind meets, as far as bodies are known.
    pub wind_area_m2: Option<f64>,
    /// How the side force was reached.
    pub how: Reckoning,
}

fn kg(unit: &Unit) -> f64 {
    unit.profile.body.weight.value().map_or(0.0, |weight| weight.get()) + CLAMP_AND_BOND_KG
}

/// Where two points are said.
pub(crate) fn bar(place: &HangingPlace, units: &[&Unit]) -> Option<BarPlan> {
    let points = place.held.points?.map(|at| at.get());
    if !matches!(place.kind, PlaceKind::Bar | PlaceKind::Truss) {
        return None;
    }
    let half = place.length.get() / 2.0;
    let tube = place.held.tube;
    let length = (2.0 * half).max(1e-9);
    // The tube's figure, or what the show says that it weighs.
    let own = tube.map(|tube| tube.kg_per_m * length).or_else(|| place.own_weight.map(|own| own.get()));
    let bar = Bar {
        ends: [-half, half],
        points,
        kg_per_m: own.unwrap_or(0.0) / length,
        loads: units.iter().map(|unit| (unit.offset.get(), kg(unit))).collect(),
    };
    let bent = bar.bent()?;
    Some(BarPlan {
        points_kg: bent.reactions_kg,
        point_rated_kg: place.held.point_rated.map(|rated| rated.get()),
        moment_nm: bent.moment_nm,
        allowed_nm: tube.map(|tube| tube.allowed_nm),
        moment_share: tube.map(|tube| bent.moment_nm / tube.allowed_nm),
        sag_mm: tube.and_then(|tube| bar.sag_m(tube)).map(|metres| metres * 1000.0),
        tube_kg: own,
        how: moment_reckoning(&bar, &bent).maybe(
            "allowed",
            tube.map(|tube| tube.allowed_nm),
            "N m",
            TUBE_SOURCE,
        ),
    })
}

/// Where legs are said.
pub(crate) fn stand(rig: &Rig, place: &HangingPlace, units: &[&Unit]) -> Option<StandPlan> {
    let legs = place.held.legs.filter(|_| place.kind == PlaceKind::Stand)?;
    let height_m = place.middle.z() - rig.room.floor_under(place.middle).get();
    if height_m < 0.1 {
        return None;
    }
    let loads: Vec<(f64, f64)> = units.iter().map(|unit| (unit.offset.get(), kg(unit))).collect();
    let load_kg: f64 = loads.iter().map(|load| load.1).sum();
    let own = place.own_weight.map(|own| own.get());
    let stand = Stand {
        legs: legs.count.into(),
        leg_radius_m: legs.radius.get(),
        total_kg: load_kg + own.unwrap_or(0.0) + legs.ballast.get(),
        height_m,
        offset_m: stand::offset(&loads),
        load_kg,
    };
    let face = |unit: &&Unit| {
        let body = &unit.profile.body;
        // The broader side; nobody knows how it will be turned.
        let broad = match (body.width.value(), body.depth.value()) {
            (Some(width), Some(depth)) => width.get().max(depth.get()),
            (one, other) => one.or(other)?.get(),
        };
        body.height.value().map(|height| broad * height.get())
    };
    let wind_area_m2 =
        place.held.outdoors.then(|| units.iter().filter_map(face).sum()).filter(|area| *area > 0.0);
    Some(StandPlan {
        tip_distance_m: stand.tip_distance_m(),
        tip_force_n: stand.tip_force_n(),
        tip_force_heavy_side_n: stand.tip_force_heavy_side_n(),
        offset_m: stand.offset_m,
        total_kg: stand.total_kg,
        own_weight_unknown: own.is_none(),
        tip_wind_m_s: wind_area_m2.and_then(|area| stand.tip_wind_m_s(area, DRAG)),
        wind_area_m2,
        how: stand::reckoning(&stand),
    })
}

pub(crate) fn check(rig: &Rig, places: &[PlacePlan], findings: &mut Vec<Finding>) {
    for plan in places {
        if let Some(bar) = &plan.bar {
            points(plan, bar, findings);
            tube(plan, bar, findings);
        }
        if let Some(stand) = &plan.stand {
            let outdoors = rig.room.place(&plan.name).is_some_and(|place| place.held.outdoors);
            push(plan, stand, findings);
            offset(plan, stand, findings);
            if outdoors {
                wind(plan, stand, findings);
            }
        }
    }
}

fn points(plan: &PlacePlan, bar: &BarPlan, findings: &mut Vec<Finding>) {
    let [left, right] = bar.points_kg;
    let figure = format!("{left:.1} and {right:.1} kg");
    let name = plan.name.as_str();
    let worst = left.max(right);
    let finding = if left.min(right) < -1e-6 {
        Finding::error("point-lifts", name, format!("One end of {name} would lift off its point"))
            .figure(figure)
            .rule("both points are pulled, none is pushed", "statics")
            .remedy("Hang more between the points, or move the points outwards")
    } else if let Some(rated) = bar.point_rated_kg.filter(|rated| worst > *rated) {
        Finding::error(
            "point-overloaded",
            name,
            format!("A point of {name} carries more than is written on it"),
        )
        .figure(format!("{figure} of {rated:.0} kg"))
        .rule("each point stays within its written limit", "the owner's or maker's limit")
        .remedy("Hang less, or move lights to the other side")
    } else if let Some(rated) = bar.point_rated_kg.filter(|rated| worst > HALF * rated) {
        Finding::caution(
            "point-over-half",
            name,
            format!("A point of {name} carries more than half of what is written on it"),
        )
        .figure(format!("{figure} of {rated:.0} kg"))
        .rule("over people, only half of a marked working load counts", HALF_SOURCE)
        .remedy("If people can be below, hang less; let a competent person look at it")
    } else {
        return;
    };
    findings.push(finding.units(&plan.units));
}

fn tube(plan: &PlacePlan, bar: &BarPlan, findings: &mut Vec<Finding>) {
    let (Some(share), Some(allowed)) = (bar.moment_share, bar.allowed_nm) else { return };
    let name = plan.name.as_str();
    let figure = format!("{:.0} of {allowed:.0} N·m ({:.0} %)", bar.moment_nm, share * 100.0);
    let finding = if share > 1.0 {
        Finding::error("tube-bends", name, format!("The tube of {name} is bent more than its figures allow"))
    } else if share > HALF {
        Finding::caution(
            "tube-half",
            name,
            format!("The tube of {name} is bent by more than half of what its figures allow"),
        )
    } else {
        return;
    };
    findings.push(
        finding
            .units(&plan.units)
            .figure(figure)
            .rule("the largest bending moment stays inside the tube's; clamps, points and ceiling fail before it", TUBE_SOURCE)
            .remedy("Hang less, or nearer to the points; ask a competent person"),
    );
}

fn push(plan: &PlacePlan, stand: &StandPlan, findings: &mut Vec<Finding>) {
    let force = stand.tip_force_heavy_side_n;
    if force >= LIGHT_SHOVE_N {
        return;
    }
    let unknown = if stand.own_weight_unknown { ", its own weight not known and not counted" } else { "" };
    findings.push(
        Finding::caution("stand-shove", plan.name.as_str(), format!("A light shove tips {}", plan.name))
            .units(&plan.units)
            .figure(format!(
                "{force:.0} N (about {:.1} kg) at the height of the lights{unknown}",
                force / crate::sums::bar::GRAVITY
            ))
            .rule(
                "the push that tips a stand is its weight times its tipping distance over its height",
                "statics",
            )
            .remedy("Weight on the foot, legs further out, lower, tied or fenced, off walkways"),
    );
}

fn offset(plan: &PlacePlan, stand: &StandPlan, findings: &mut Vec<Finding>) {
    let part = stand.offset_m.abs() / stand.tip_distance_m;
    if part < OFFSET_PART {
        return;
    }
    let figure = format!(
        "{:.2} m aside, {:.2} m to the line between two feet",
        stand.offset_m.abs(),
        stand.tip_distance_m
    );
    let finding = if part >= 1.0 {
        Finding::error(
            "stand-offset",
            plan.name.as_str(),
            format!("The lights on {} hang beyond its feet", plan.name),
        )
    } else {
        Finding::caution(
            "stand-offset",
            plan.name.as_str(),
            format!("The lights on {} hang far to one side", plan.name),
        )
    };
    findings.push(
        finding
            .units(&plan.units)
            .figure(figure)
            .rule(
                "the centre of the load stays well inside the feet",
                "statics; how far inside: common practice, no source",
            )
            .remedy("Load both sides alike, the heavier light nearer to the mast"),
    );
}

fn wind(plan: &PlacePlan, stand: &StandPlan, findings: &mut Vec<Finding>) {
    let figure = match stand.tip_wind_m_s {
        Some(wind) => format!("tips at {wind:.1} m/s; down from {LOWER_AT:.0} m/s gusts on"),
        None => format!("sizes not known, so no figure; down from {LOWER_AT:.0} m/s gusts on"),
    };
    findings.push(
        Finding::caution("stand-wind", plan.name.as_str(), format!("{} stands in the wind", super::finding::capital(&plan.name)))
            .units(&plan.units)
            .figure(figure)
            .rule("wind pushes with half the air's density times speed squared times area times 1.2", "public wind calculators; 8 m/s is this plan's default")
            .remedy("A wind limit, a gauge, and a named person who lowers it; ballast and ties; rated units and connectors outdoors"),
    );
}
