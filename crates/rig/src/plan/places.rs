//! Weight on every bar, truss, stand and stretch of floor; and whether lights are where they can be.

use serde::Serialize;

use super::bearing::{self, BarPlan, StandPlan};
use super::finding::{self, Finding, lights};
use super::{at, place, position};
use crate::rig::WayUp;
use crate::{HangingPlace, PlaceKind, Rig, Unit};

/// One clamp: this plan's assumption.
pub(crate) const CLAMP_KG: f64 = 0.6;
/// One steel bond: this plan's assumption.
pub(crate) const BOND_KG: f64 = 0.2;
/// Both, for each light that hangs.
pub(crate) const CLAMP_AND_BOND_KG: f64 = 0.8;
/// What is typed to the centimetre is not beyond an end by less than one.
const BEYOND_M: f64 = 0.01;
/// Over people, load only half of what is marked.
const HALF: f64 = 0.5;
/// Largest load that a stand raised by hand is meant for.
const HAND_RAISED_KG: f64 = 15.0;
/// A stand from this height on gets its own word of care: above a person's reach.
const TALL_STAND_M: f64 = 2.4;
/// Head room over places where people walk.
const HEAD_ROOM_M: f64 = 2.03;
const DGUV: &str = "DGUV Information 215-313, as quoted in public";
const NO_SOURCE: &str = "common practice, no source";

/// What hangs on one place. A sum, never a permission.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlacePlan {
    /// Its name.
    pub name: String,
    /// Bar, truss, stand or floor.
    pub kind: PlaceKind,
    /// The lights on it, from its left end.
    pub units: Vec<u32>,
    /// Known weights, a clamp and bond for each light (not on the floor), and its own weight where given.
    pub weight_kg: f64,
    /// How much of that is assumed clamps and bonds.
    pub assumed_kg: f64,
    /// Its own weight as far as it counts; none: not given, so not in the sum.
    pub own_kg: Option<f64>,
    /// Written limit; none: not known.
    pub rated_kg: Option<f64>,
    /// Sum over written limit.
    pub share: Option<f64>,
    /// Lights whose weight is not known and so not in the sum.
    pub unknown_weight: Vec<u32>,
    /// Its points and its tube, where the show says where it hangs.
    pub bar: Option<BarPlan>,
    /// Its legs, where the show says what they are.
    pub stand: Option<StandPlan>,
}

pub(crate) fn plan(rig: &Rig) -> Vec<PlacePlan> {
    let used = rig.room.places.iter().enumerate().map(|(index, place)| {
        let mut units: Vec<&Unit> = rig.units.iter().filter(|unit| unit.place == index).collect();
        units.sort_by(|a, b| a.offset.get().total_cmp(&b.offset.get()).then(a.number.cmp(&b.number)));
        (place, units)
    });
    used.filter(|(_, units)| !units.is_empty()).map(|(place, units)| sum(rig, place, &units)).collect()
}

fn sum(rig: &Rig, place: &HangingPlace, units: &[&Unit]) -> PlacePlan {
    let lights: f64 = units.iter().filter_map(|unit| unit.profile.body.weight.value()).map(|w| w.get()).sum();
    let each = if place.kind == PlaceKind::Floor { 0.0 } else { CLAMP_AND_BOND_KG };
    let assumed_kg = each * units.len() as f64;
    let own_kg = place.own_weight.map(|weight| weight.get());
    let weight_kg = lights + assumed_kg + own_kg.unwrap_or(0.0);
    let rated_kg = place.rated.map(|rated| rated.get());
    let unknown = units.iter().filter(|unit| !unit.profile.body.weight.is_known());
    PlacePlan {
        name: place.name.clone(),
        kind: place.kind,
        units: units.iter().map(|unit| unit.number).collect(),
        weight_kg,
        assumed_kg,
        own_kg,
        rated_kg,
        share: rated_kg.filter(|rated| *rated > 0.0).map(|rated| weight_kg / rated),
        unknown_weight: unknown.map(|unit| unit.number).collect(),
        bar: bearing::bar(place, units),
        stand: bearing::stand(rig, place, units),
    }
}

pub(crate) fn check(rig: &Rig, places: &[PlacePlan], findings: &mut Vec<Finding>) {
    for plan in places {
        weight(plan, findings);
        if plan.kind == PlaceKind::Stand {
            stand(rig, plan, findings);
        }
    }
    bearing::check(rig, places, findings);
    for unit in &rig.units {
        beyond_the_end(rig, unit, findings);
        outside(rig, unit, findings);
        low_over_people(rig, unit, findings);
    }
}

fn weight(plan: &PlacePlan, findings: &mut Vec<Finding>) {
    let name = plan.name.as_str();
    if plan.kind == PlaceKind::Floor {
        return;
    }
    if !plan.unknown_weight.is_empty() {
        let who = finding::capital(&lights(&plan.unknown_weight));
        findings.push(
            Finding::caution(
                "weight-unknown",
                name,
                format!("{who} on {name}: weight not known, so missing from the sum"),
            )
            .units(&plan.unknown_weight)
            .rule("an unknown weight is not zero", "this tool")
            .remedy("Weigh it, or read the label, and put the weight into the profile"),
        );
    }
    let kg = plan.weight_kg;
    let finding = match plan.rated_kg {
        None => Finding::caution("load-limit-unknown", name, format!("No written load limit for {name}"))
            .figure(format!("{kg:.1} kg planned"))
            .rule("no written limit, no load", NO_SOURCE)
            .remedy("Ask its owner for the limit in writing before anything hangs there"),
        Some(rated) if kg > rated => {
            Finding::error("overloaded", name, format!("More weight on {name} than its written limit"))
                .figure(format!("{kg:.1} kg of {rated:.1} kg"))
                .rule("the sum stays within the written limit", "the owner's or maker's limit")
                .remedy("Hang less there, or use another place")
        }
        Some(rated) if kg > HALF * rated => Finding::caution(
            "over-half",
            name,
            format!("More than half of the written limit hangs on {name}"),
        )
        .figure(format!("{kg:.1} kg of {rated:.1} kg"))
        .rule("over people, only half of a marked working load counts", DGUV)
        .remedy("If people can be below, hang less; let a competent person look at it"),
        Some(_) => return,
    };
    findings.push(finding.units(&plan.units));
}

fn stand(rig: &Rig, plan: &PlacePlan, findings: &mut Vec<Finding>) {
    let height =
        rig.room.places.iter().find(|place| place.name == plan.name).map_or(0.0, |place| place.middle.z());
    let load = plan.weight_kg - plan.own_kg.unwrap_or(0.0);
    let name = plan.name.as_str();
    if load > HAND_RAISED_KG {
        findings.push(
            Finding::caution("stand-heavy", name, format!("Heavy load for a stand raised by hand: {name}"))
                .units(&plan.units)
                .figure(format!("{load:.1} kg"))
                .rule(
                    "a stand raised by hand carries 15 kg at most",
                    "DIN 56950-3:2015, from its public summary",
                )
                .remedy("Put fewer lights on it, or use a stand with a winch"),
        );
    }
    // Where the legs are known, the shove that tips it is said instead.
    let shove =
        plan.stand.as_ref().is_some_and(|stand| stand.tip_force_heavy_side_n < bearing::LIGHT_SHOVE_N);
    if !shove && (plan.units.len() > 1 || height > TALL_STAND_M) {
        let count = plan.units.len();
        let noun = if count == 1 { "light" } else { "lights" };
        findings.push(
            Finding::caution("stand-tips", name, format!("{name} can be pushed over: load it evenly, weight its foot"))
                .units(&plan.units)
                .figure(format!("{count} {noun}, {load:.1} kg at {height:.1} m"))
                .rule("the push that tips a stand is its weight times the reach of its legs over its height", "statics")
                .remedy("Legs fully spread, load even on both sides, weight on the foot, tied or fenced, off walkways, as low as works"),
        );
    }
}

fn beyond_the_end(rig: &Rig, unit: &Unit, findings: &mut Vec<Finding>) {
    let Some(place) = place(rig, unit) else { return };
    let (offset, half) = (unit.offset.get(), place.length.get() / 2.0);
    if offset.abs() <= half + BEYOND_M {
        return;
    }
    let what = format!("Light {} is beyond the end of {}", unit.number, place.name);
    let finding = match place.kind {
        PlaceKind::Floor => Finding::caution("beyond-end", at(unit), what),
        PlaceKind::Bar | PlaceKind::Truss | PlaceKind::Stand => Finding::error("beyond-end", at(unit), what),
    };
    findings.push(
        finding
            .units(&[unit.number])
            .figure(format!("{:.2} m from the middle, the end is at {half:.2} m", offset.abs()))
            .rule("a light is fixed between the ends of its place", "geometry")
            .remedy("Move it inwards, or correct the length"),
    );
}

fn outside(rig: &Rig, unit: &Unit, findings: &mut Vec<Finding>) {
    let Some(point) = position(rig, unit) else { return };
    let room = &rig.room;
    let within = |value: f64, low: f64, high: f64| value >= low - 1e-9 && value <= high + 1e-9;
    let inside = within(point.x(), room.x[0].get(), room.x[1].get())
        && within(point.y(), room.y[0].get(), room.y[1].get())
        && within(point.z(), 0.0, room.height.get());
    if !inside {
        findings.push(
            Finding::error("outside-room", at(unit), format!("Light {} is outside the room", unit.number))
                .units(&[unit.number])
                .figure(format!("x {:.2}, y {:.2}, z {:.2} m", point.x(), point.y(), point.z()))
                .rule("a light is between the walls, the floor and the ceiling", "geometry")
                .remedy("Correct its place or its offset, or the size of the room"),
        );
    }
}

/// A light that hangs over an audience area lower than a person's head room.
fn low_over_people(rig: &Rig, unit: &Unit, findings: &mut Vec<Finding>) {
    let Some(point) = position(rig, unit).filter(|_| unit.up == WayUp::Hanging) else { return };
    let under = rig.room.audience.iter().find(|area| {
        (area.x[0].get()..=area.x[1].get()).contains(&point.x())
            && (area.y[0].get()..=area.y[1].get()).contains(&point.y())
    });
    let Some(area) = under else { return };
    let room =
        point.z() - unit.profile.body.height.value().map_or(0.0, |height| height.get()) - area.height.get();
    if room < HEAD_ROOM_M {
        findings.push(
            Finding::caution(
                "low-over-people",
                at(unit),
                format!("Light {} hangs low over {}", unit.number, area.name),
            )
            .units(&[unit.number])
            .figure(format!("{room:.2} m head room"))
            .rule(
                "2.03 m (80 in) head room over places where people walk",
                "ADA accessibility guidelines, protruding objects",
            )
            .remedy("Raise it, move it, or keep people away from under it"),
        );
    }
}
