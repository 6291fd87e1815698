//! What to pack, case by case, with weights; and how long batteries last.

use serde::Serialize;

use super::places::{BOND_KG, CLAMP_KG};
use super::{LinePlan, UnitPlan, place};
use crate::sums::electric::{BATTERY_USABLE, battery_hours};
use crate::sums::stock;
use crate::{PlaceKind, Reckoning, Rig, Unit};

/// A case from this weight on is lifted by two (common practice, no source: 15 to 20 kg).
pub(crate) const TWO_PEOPLE_KG: f64 = 20.0;
/// Case of what belongs to no light.
const SMALL_PARTS: &str = "cables and small parts";

/// One case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CasePlan {
    /// Its name; "no case" for lights without one, "cables and small parts" for what belongs to none.
    pub name: String,
    /// What is in it.
    pub items: Vec<PackedItem>,
    /// Sum of the known weights, the case itself not counted.
    pub weight_kg: f64,
    /// Something in it has a weight that is not known.
    pub unknown_weight: bool,
    /// Lift it with two people.
    pub two_people: bool,
}

/// So many of one thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PackedItem {
    /// What.
    pub what: String,
    /// How many.
    pub count: usize,
    /// All of them together; none: not known.
    pub weight_kg: Option<f64>,
}

/// How long a light runs on its battery.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BatteryPlan {
    /// Hours at full output.
    pub hours: f64,
    /// How it was reached.
    pub how: Reckoning,
}

/// Watt-hours of a light's battery: what the show says, otherwise its profile.
pub(crate) fn watt_hours(unit: &Unit) -> Option<f64> {
    unit.feed.battery.or_else(|| unit.profile.power.battery.value()).map(|energy| energy.get())
}

pub(crate) fn battery(unit: &Unit) -> Option<BatteryPlan> {
    let energy = watt_hours(unit)?;
    let watts = unit.profile.power.watts.value()?.get();
    let origin = if unit.feed.battery.is_some() {
        "show file"
    } else {
        crate::reckoning::origin_word(unit.profile.power.battery.origin())
    };
    let how = Reckoning::new(
        "hours",
        "watt-hours x usable part / watts",
        "arithmetic; usable part: common practice, no source",
    )
    .with("battery", energy, "Wh", origin)
    .with("usable part", BATTERY_USABLE, "", "assumed")
    .with("power", watts, "W", crate::reckoning::origin_word(unit.profile.power.watts.origin()));
    battery_hours(energy, BATTERY_USABLE, watts).map(|hours| BatteryPlan { hours, how })
}

pub(crate) fn plan(rig: &Rig, units: &[UnitPlan], lines: &[LinePlan], leads: &Leads) -> Vec<CasePlan> {
    let mut cases: Vec<(String, Vec<PackedItem>)> = Vec::new();
    let mut names: Vec<Option<&str>> = rig.units.iter().map(|unit| unit.case.as_deref()).collect();
    // Named cases by name, lights without one behind them.
    names.sort_by_key(|name| (name.is_none(), *name));
    names.dedup();
    for name in names {
        let mine: Vec<&UnitPlan> = units
            .iter()
            .filter(|plan| {
                rig.units.iter().any(|unit| unit.number == plan.number && unit.case.as_deref() == name)
            })
            .collect();
        let mut items: Vec<PackedItem> = Vec::new();
        for plan in mine {
            match items.iter_mut().find(|item| item.what == plan.profile) {
                Some(item) => {
                    item.count += 1;
                    item.weight_kg = item.weight_kg.zip(plan.weight_kg).map(|(sum, kg)| sum + kg);
                }
                None => {
                    items.push(PackedItem {
                        what: plan.profile.clone(),
                        count: 1,
                        weight_kg: plan.weight_kg,
                    });
                }
            }
        }
        cases.push((name.map_or_else(|| "no case".to_owned(), str::to_owned), items));
    }
    let small = small_parts(rig, lines, leads);
    match cases.iter_mut().find(|(name, _)| name == SMALL_PARTS) {
        Some((_, items)) => items.extend(small),
        None if small.is_empty() => {}
        None => cases.push((SMALL_PARTS.to_owned(), small)),
    }
    cases.into_iter().map(|(name, items)| case(name, items)).collect()
}

fn case(name: String, items: Vec<PackedItem>) -> CasePlan {
    let weight_kg = items.iter().filter_map(|item| item.weight_kg).sum();
    CasePlan {
        two_people: weight_kg > TWO_PEOPLE_KG && !["no case", SMALL_PARTS].contains(&name.as_str()),
        unknown_weight: items.iter().any(|item| item.weight_kg.is_none()),
        name,
        items,
        weight_kg,
    }
}

/// Cables by length with spares, leads, clamps, bonds, terminators.
fn small_parts(rig: &Rig, lines: &[LinePlan], leads: &Leads) -> Vec<PackedItem> {
    let mut items = Vec::new();
    let mut add = |what: String, count: usize, each: Option<f64>| {
        if count > 0 {
            items.push(PackedItem { what, count, weight_kg: each.map(|kg| kg * count as f64) });
        }
    };
    let data: Vec<f64> =
        lines.iter().flat_map(|line| &line.legs).flat_map(|leg| leg.cables_m.clone()).collect();
    let unmeasured = lines.iter().flat_map(|line| &line.legs).filter(|leg| leg.cables_m.is_empty()).count();
    for (length, count) in stock::count(&data) {
        add(format!("data cable {length} m"), count, None);
    }
    add("data cable, length not known".to_owned(), unmeasured, None);
    let longest = data.iter().copied().fold(0.0, f64::max);
    let spare =
        if longest > 0.0 { format!("spare data cable {longest} m") } else { "spare data cable".to_owned() };
    add(spare, stock::spares(data.len() + unmeasured), None);
    add("terminator".to_owned(), lines.iter().filter(|line| line.terminator.is_some()).count(), None);
    add("adapter between 3-pin and 5-pin".to_owned(), adapters(rig, lines), None);
    for (length, count) in stock::count(&leads.known) {
        add(format!("power lead {length} m"), count, None);
    }
    add("power lead to a light, length not known".to_owned(), leads.unknown, None);
    let longest = leads.known.iter().copied().fold(0.0, f64::max);
    let spare =
        if longest > 0.0 { format!("spare power lead {longest} m") } else { "spare power lead".to_owned() };
    add(spare, stock::spares(leads.known.len() + leads.unknown), None);
    let hung = rig
        .units
        .iter()
        .filter(|unit| place(rig, unit).is_some_and(|place| place.kind != PlaceKind::Floor))
        .count();
    add("clamp (weight assumed)".to_owned(), hung, Some(CLAMP_KG));
    add("steel bond (weight assumed)".to_owned(), hung, Some(BOND_KG));
    items
}

/// Places on the lines where a light with 3 pins meets one with 5.
fn adapters(rig: &Rig, lines: &[LinePlan]) -> usize {
    let pins = |number: &u32| {
        let words = rig.unit(*number)?.profile.data.connector.get()?;
        words.chars().find(|c| matches!(c, '3' | '5'))
    };
    let meet = |pair: &&[u32]| {
        let (a, b) = (pins(&pair[0]), pins(&pair[1]));
        a.is_some() && b.is_some() && a != b
    };
    lines.iter().map(|line| line.units.windows(2).filter(meet).count()).sum()
}

/// Power leads to carry, metres each, and how many lights need one whose length is not known.
pub(crate) struct Leads {
    known: Vec<f64>,
    unknown: usize,
}

/// Power leads to carry, from stock: for each light that is plugged into a socket or a light whose way is known, as its
/// lead says or as long as its way asks for. Behind a lead that all lights of a circuit share each still has one of its own.
pub(crate) fn leads(rig: &Rig) -> Leads {
    let lengths: Vec<f64> = rig.stock.power.iter().map(|length| length.get()).collect();
    let mut known: Vec<f64> =
        rig.circuits.iter().filter_map(|circuit| circuit.lead).map(|lead| lead.length.get()).collect();
    let mut unknown = 0;
    for unit in &rig.units {
        if let Some(lead) = unit.feed.lead {
            known.push(lead.length.get());
            continue;
        }
        let circuit = unit.circuit.and_then(|index| rig.circuits.get(index));
        let way = match (unit.feed.from.and_then(|number| rig.unit(number)), circuit) {
            (Some(feeder), _) => super::ways::between(rig, feeder, unit),
            (None, Some(circuit)) if circuit.lead.is_none() => {
                circuit.at.and_then(|at| super::ways::from_point(rig, at, unit))
            }
            _ => None,
        };
        match way {
            Some(way) => known.extend(stock::pick(stock::with_slack(way), &lengths)),
            None => unknown += 1,
        }
    }
    Leads { known, unknown }
}
