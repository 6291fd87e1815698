//! Two plans beside each other: what a change would bring.

use serde::Serialize;

use super::finding::{Finding, capital};
use super::{CircuitPlan, Plan, UnitPlan};

/// What differs from one plan to another.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Difference {
    /// Headlines before and after, if they differ.
    pub headline: Option<[String; 2]>,
    /// Mains tension before and after, if it differs.
    pub mains_volts: Option<[f64; 2]>,
    /// Circuits whose current or limit differs.
    pub circuits: Vec<CircuitChange>,
    /// Lights whose address, mode or circuit differs, or that are new or gone.
    pub lights: Vec<LightChange>,
    /// Places whose weight differs.
    pub places: Vec<PlaceChange>,
    /// Findings that would come.
    pub come: Vec<Finding>,
    /// Findings that would go.
    pub go: Vec<Finding>,
}

/// A circuit before and after.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CircuitChange {
    /// Its name.
    pub name: String,
    /// Lights and other load before; none: not known, or no such circuit.
    pub before_amps: Option<f64>,
    /// After.
    pub after_amps: Option<f64>,
    /// Planned limit afterwards.
    pub limit_amps: Option<f64>,
}

/// A light before and after, in a few words each; none: it is not there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LightChange {
    /// Its number.
    pub unit: u32,
    /// Before.
    pub before: Option<String>,
    /// After.
    pub after: Option<String>,
}

/// A place before and after.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlaceChange {
    /// Its name.
    pub name: String,
    /// kg before.
    pub before_kg: f64,
    /// kg after.
    pub after_kg: f64,
    /// Written limit.
    pub rated_kg: Option<f64>,
}

/// What changes from one plan to the other. Findings are the same when code, place, text and figure are.
pub fn compare(before: &Plan, after: &Plan) -> Difference {
    let lacks = |plan: &Plan, finding: &&Finding| {
        !plan.findings.iter().any(|other| {
            (other.code, &other.place, &other.what, &other.figure)
                == (finding.code, &finding.place, &finding.what, &finding.figure)
        })
    };
    let only = |plan: &Plan, other: &Plan| -> Vec<Finding> {
        plan.findings.iter().filter(|finding| lacks(other, finding)).cloned().collect()
    };
    Difference {
        headline: (before.headline != after.headline)
            .then(|| [before.headline.clone(), after.headline.clone()]),
        mains_volts: ((before.mains_volts - after.mains_volts).abs() > 1e-9)
            .then_some([before.mains_volts, after.mains_volts]),
        circuits: circuits(before, after),
        lights: lights(before, after),
        places: places(before, after),
        come: only(after, before),
        go: only(before, after),
    }
}

fn circuits(before: &Plan, after: &Plan) -> Vec<CircuitChange> {
    let named = |plan: &Plan, name: &str| -> Option<CircuitPlan> {
        plan.circuits.iter().find(|circuit| circuit.name == name).cloned()
    };
    let mut names: Vec<&str> =
        before.circuits.iter().chain(&after.circuits).map(|circuit| circuit.name.as_str()).collect();
    let mut seen: Vec<&str> = Vec::new();
    names.retain(|name| {
        let new = !seen.contains(name);
        seen.push(name);
        new
    });
    let change = |name: &str| {
        let (old, new) = (named(before, name), named(after, name));
        let amps = |circuit: &Option<CircuitPlan>| circuit.as_ref().and_then(|circuit| circuit.amps);
        let (before_amps, after_amps) = (amps(&old), amps(&new));
        let same = match (before_amps, after_amps) {
            (Some(old), Some(new)) => (old - new).abs() < 1e-9,
            (old, new) => old.is_none() && new.is_none(),
        };
        let limit_amps = new.map(|circuit| circuit.limit_amps);
        (!same).then(|| CircuitChange { name: name.to_owned(), before_amps, after_amps, limit_amps })
    };
    names.into_iter().filter_map(change).collect()
}

/// "small spot head, 16 channels, 1.093, kitchen".
fn words(unit: &UnitPlan) -> String {
    let address = match (unit.universe, unit.address) {
        (Some(universe), Some(slot)) => format!("{universe}.{slot:03}"),
        _ => "no address".to_owned(),
    };
    let circuit = unit.circuit.clone().unwrap_or_else(|| "no circuit".to_owned());
    [unit.profile.clone(), unit.mode.clone(), address, circuit].join(", ")
}

fn lights(before: &Plan, after: &Plan) -> Vec<LightChange> {
    let told = |plan: &Plan, number: u32| plan.units.iter().find(|unit| unit.number == number).map(words);
    let mut numbers: Vec<u32> = before.units.iter().chain(&after.units).map(|unit| unit.number).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let change = |unit: u32| {
        let (before, after) = (told(before, unit), told(after, unit));
        (before != after).then_some(LightChange { unit, before, after })
    };
    numbers.into_iter().filter_map(change).collect()
}

fn places(before: &Plan, after: &Plan) -> Vec<PlaceChange> {
    let weight = |plan: &Plan, name: &str| {
        plan.places.iter().find(|place| place.name == name).map_or(0.0, |place| place.weight_kg)
    };
    let mut names: Vec<(&str, Option<f64>)> = Vec::new();
    for place in after.places.iter().chain(&before.places) {
        if !names.iter().any(|(name, _)| *name == place.name) {
            names.push((&place.name, place.rated_kg));
        }
    }
    let change = |(name, rated_kg): (&str, Option<f64>)| {
        let (before_kg, after_kg) = (weight(before, name), weight(after, name));
        ((before_kg - after_kg).abs() > 1e-9).then(|| PlaceChange {
            name: name.to_owned(),
            before_kg,
            after_kg,
            rated_kg,
        })
    };
    names.into_iter().filter_map(change).collect()
}

/// The difference as plain text.
pub fn difference_text(difference: &Difference) -> String {
    let mut rows = Vec::new();
    if let Some([before, after]) = &difference.headline {
        rows.push(format!("{before}  →  {after}"));
    }
    if let Some([before, after]) = difference.mains_volts {
        rows.push(format!("Mains {before:.0} V  →  {after:.0} V"));
    }
    for light in &difference.lights {
        let told = |words: &Option<String>, none: &str| words.clone().unwrap_or_else(|| none.to_owned());
        let (before, after) = (told(&light.before, "not there"), told(&light.after, "gone"));
        rows.push(format!("Light {}: {before}  →  {after}", light.unit));
    }
    let amps = |amps: Option<f64>| amps.map_or_else(|| "? A".to_owned(), |amps| format!("{amps:.1} A"));
    for circuit in &difference.circuits {
        let limit = circuit.limit_amps.map_or_else(String::new, |limit| format!(" of {limit:.1} A planned"));
        let (before, after) = (amps(circuit.before_amps), amps(circuit.after_amps));
        rows.push(format!("Circuit {}: {before}  →  {after}{limit}", circuit.name));
    }
    for place in &difference.places {
        let rated = place.rated_kg.map_or_else(String::new, |rated| format!(" of {rated:.0} kg written"));
        let (before, after) = (place.before_kg, place.after_kg);
        rows.push(format!("{}: {before:.1} kg  →  {after:.1} kg{rated}", capital(&place.name)));
    }
    for (word, findings) in [("Would come", &difference.come), ("Would go", &difference.go)] {
        for finding in findings {
            let figure = finding.figure.as_ref().map_or_else(String::new, |figure| format!(" ({figure})"));
            rows.push(format!("{word}: {}: {}{figure}", finding.severity, finding.what));
            if word == "Would come" {
                rows.push(format!("    → {}", finding.remedy));
            }
        }
    }
    if rows.is_empty() {
        rows.push("Nothing that the plan knows of would change.".to_owned());
    }
    rows.push(
        "Nothing was saved. These are sums; local code, venue, maker and a competent person decide."
            .to_owned(),
    );
    rows.join("\n") + "\n"
}
