//! What is told of what is likeliest: causes with what to do, and how each light stands.

use lanthorn_dmx::Address;

use super::cases::{Common, Condition};
use super::stand::{Axes, Setting};
use super::weigh::{Model, Weights};
use super::{Fault, words};
use crate::Unit;

/// What is less likely than this is not worth naming.
const WORTH_NAMING: f64 = 0.12;
/// What is less likely than this is not worth a word beside something likelier.
const WORTH_A_WORD: f64 = 0.04;
/// From here on something is taken to be so.
const SURE: f64 = 0.8;

/// One thing that may be wrong, and what to do about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// What.
    pub fault: Fault,
    /// How likely, 0 to 1, after what was seen.
    pub likely: f64,
    /// One sentence: what seems to be the case.
    pub says: String,
    /// One or two sentences: what to do.
    pub remedy: String,
    /// What else it may be, most likely first, where that is not sure: as `says`.
    pub or: Vec<(Fault, String)>,
}

impl Cause {
    /// `true` when it is taken to be so.
    pub fn is_sure(&self) -> bool {
        self.likely >= SURE
    }
}

/// How one light stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It is not asked about: not driven, without an address, or it gives no light.
    NotAsked,
    /// Nothing is known yet, or not enough.
    Open,
    /// As planned, as far as can be seen.
    Right,
    /// Something is wrong with it.
    Wrong,
    /// Nothing reaches it; of itself nothing is known until that is mended.
    Unreached,
}

/// What is worth naming, most likely first. What is sure of a light is named by itself; of what is not, the likeliest, and
/// with it the rest.
pub(crate) fn causes(model: &Model, weights: &Weights) -> Vec<Cause> {
    let commons = of_commons(model, weights);
    let mut lights: Vec<(Fault, f64)> =
        (0..model.rig.units.len()).flat_map(|place| of_light(model, weights, place)).collect();
    exchange(model, &mut lights);
    let mut named: Vec<(Fault, f64, Vec<Fault>)> = Vec::new();
    for (index, mut faults) in [commons, lights].into_iter().enumerate() {
        faults.sort_by(|(a, a_likely), (b, b_likely)| b_likely.total_cmp(a_likely).then_with(|| a.cmp(b)));
        for (fault, likely) in faults {
            // Causes in common are each other's alternatives; so are faults of one light.
            let same = |(other, of, _): &&mut (Fault, f64, Vec<Fault>)| {
                let about = index == 0 || other.units().iter().any(|unit| fault.units().contains(unit));
                *of < SURE && is_common(other) == (index == 0) && about
            };
            if likely < WORTH_A_WORD {
                continue;
            }
            match named.iter_mut().find(same) {
                Some((.., or)) => or.push(fault),
                None if likely >= WORTH_NAMING => named.push((fault, likely, Vec::new())),
                None => {}
            }
        }
    }
    named.sort_by(|(a, a_likely, _), (b, b_likely, _)| b_likely.total_cmp(a_likely).then_with(|| a.cmp(b)));
    let told = |(fault, likely, or): (Fault, f64, Vec<Fault>)| {
        let (says, remedy) = words::fault(model, &fault);
        let or = or.into_iter().map(|other| (other.clone(), words::fault(model, &other).0)).collect();
        Cause { fault, likely, says, remedy, or }
    };
    named.into_iter().map(told).collect()
}

const fn is_common(fault: &Fault) -> bool {
    matches!(
        fault,
        Fault::Broken { .. } | Fault::Unterminated { .. } | Fault::Leads { .. } | Fault::CircuitOff { .. }
    )
}

fn of_commons(model: &Model, weights: &Weights) -> Vec<(Fault, f64)> {
    let likely = |index: usize| {
        let holds = model.cases.together.iter().zip(&weights.together);
        holds.filter(|((of, _), _)| of.contains(&index)).map(|(_, weight)| weight).sum()
    };
    let commons = model.cases.commons.iter().enumerate();
    commons.map(|(index, common)| (fault_of(model, common), likely(index))).collect()
}

/// How each light stands.
pub(crate) fn standings(model: &Model, weights: &Weights, begun: bool) -> Vec<Standing> {
    let one = |place: usize| {
        if model.cases.settings[place].is_empty() {
            return Standing::NotAsked;
        }
        let condition = |condition: Condition| weights.conditions[place][condition as usize];
        let reached = condition(Condition::Hears) + condition(Condition::Disturbed);
        let right = weights.settings[place].first().copied().unwrap_or(0.0) * reached;
        if !begun {
            Standing::Open
        } else if condition(Condition::Deaf) + condition(Condition::Off) >= SURE {
            Standing::Unreached
        } else if right >= SURE {
            Standing::Right
        } else if right <= 1.0 - SURE {
            Standing::Wrong
        } else {
            Standing::Open
        }
    };
    (0..model.rig.units.len()).map(one).collect()
}

fn fault_of(model: &Model, common: &Common) -> Fault {
    let number = |place: usize| model.rig.units[place].number;
    let name = |line: usize| model.cases.lines[line].name.clone();
    let units = |line: usize| &model.cases.lines[line].units;
    match common {
        Common::Broken { line, after } => Fault::Broken {
            line: name(*line),
            after: after.checked_sub(1).map(|before| number(units(*line)[before])),
            to: number(units(*line)[*after]),
        },
        Common::Unterminated { line } => Fault::Unterminated {
            line: name(*line),
            last: units(*line).last().map_or(0, |last| number(*last)),
        },
        Common::Leads { line, unit } => Fault::Leads { unit: number(*unit), line: name(*line) },
        Common::CircuitOff { circuit } => {
            let on = model.rig.units.iter().filter(|unit| unit.circuit == Some(*circuit));
            let circuit = model.rig.circuits.get(*circuit).map_or_else(String::new, |c| c.name.clone());
            Fault::CircuitOff { circuit, units: on.map(|unit| unit.number).collect() }
        }
    }
}

/// Every fault of one light with how likely it is, as far as it is reached.
fn of_light(model: &Model, weights: &Weights, place: usize) -> Vec<(Fault, f64)> {
    let unit: &Unit = &model.rig.units[place];
    let number = unit.number;
    let mut found: Vec<(Fault, f64)> = Vec::new();
    let mut add = |fault: Fault, likely: f64| match found.iter_mut().find(|(known, _)| *known == fault) {
        Some((_, sum)) => *sum += likely,
        None => found.push((fault, likely)),
    };
    let conditions = &weights.conditions[place];
    for condition in [Condition::Hears, Condition::Disturbed] {
        let part = conditions[condition as usize];
        let given = &weights.given[place][condition as usize];
        for ((setting, _), weight) in model.cases.settings[place].iter().zip(given) {
            let likely = weight * part;
            match setting {
                Setting::NoPower => add(Fault::NoPower { unit: number }, likely),
                Setting::NoLamp => add(Fault::NoLamp { unit: number }, likely),
                Setting::OwnProgramme => add(Fault::OwnProgramme { unit: number }, likely),
                Setting::Hears { at, mode, axes } => {
                    if *at != unit.address() {
                        add(Fault::Address { unit: number, at: *at }, likely);
                    }
                    if *mode != unit.mode {
                        add(Fault::Mode { unit: number, mode: *mode }, likely);
                    }
                    match axes {
                        Axes::Right => {}
                        Axes::PanBackwards => add(Fault::PanBackwards { unit: number }, likely),
                        Axes::TiltBackwards => add(Fault::TiltBackwards { unit: number }, likely),
                        Axes::Exchanged => add(Fault::AxesExchanged { unit: number }, likely),
                    }
                }
            }
        }
    }
    found
}

/// Two lights that answer at each other's address are one fault.
fn exchange(model: &Model, found: &mut Vec<(Fault, f64)>) {
    let mut pairs: Vec<(u32, u32, f64)> = Vec::new();
    for (fault, likely) in found.iter() {
        let Fault::Address { unit, at: Some(at) } = fault else { continue };
        let Some(other) = owner(model, *at).filter(|other| other.number > *unit) else { continue };
        let own = model.rig.unit(*unit).and_then(Unit::address);
        let back = Fault::Address { unit: other.number, at: own };
        if let Some((_, of_other)) = found.iter().find(|(fault, _)| *fault == back)
            && likely.min(*of_other) >= WORTH_NAMING
        {
            pairs.push((*unit, other.number, likely.min(*of_other)));
        }
    }
    for (one, other, likely) in pairs {
        let addresses = [one, other].map(|unit| model.rig.unit(unit).and_then(Unit::address));
        found.retain(|(fault, _)| {
            *fault != Fault::Address { unit: one, at: addresses[1] }
                && *fault != Fault::Address { unit: other, at: addresses[0] }
        });
        found.push((Fault::Exchanged { units: [one, other] }, likely));
    }
}

/// The light that should answer at an address, the first of those that share it.
pub(crate) fn owner(model: &Model, at: Address) -> Option<&Unit> {
    model.rig.units.iter().find(|unit| unit.address() == Some(at))
}
