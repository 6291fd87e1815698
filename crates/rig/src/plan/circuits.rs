//! Which circuit each light is best on: [`crate::sums::assign`], fed from the rig.

use serde::Serialize;

use super::chains::root;
use super::ways::from_point;
use super::{CircuitPlan, UnitPlan};
use crate::sums::assign::{Answer, Bin, Item, Problem, assign};
use crate::sums::stock::with_slack;
use crate::{Reckoning, Rig, Unit};

/// How the lights are best divided among the circuits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AssignmentPlan {
    /// Every light whose current is known can be on a circuit inside its planned limit.
    pub fits: bool,
    /// What has to change for that: nothing when it is well as it is.
    pub moves: Vec<Move>,
    /// The circuits as they would then be.
    pub circuits: Vec<AssignedCircuit>,
    /// When it does not fit: amperes too much, on the fewest circuits that have to be over.
    pub short_by_amps: Option<f64>,
    /// Why it cannot fit; empty when it does.
    pub proof: String,
    /// The fewest lights without which the rest fits, up to three.
    pub leave_out: Vec<u32>,
    /// Whether it fits is certain (the search went through).
    pub certain: bool,
    /// No fewer lights could move.
    pub fewest_moves: bool,
    /// Lights with unknown current: in no sum here.
    pub unknown: Vec<u32>,
    /// How it was found.
    pub how: Reckoning,
}

/// One light that changes its circuit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Move {
    /// The light.
    pub unit: u32,
    /// The circuit that it is on; none: on no circuit yet.
    pub from: Option<String>,
    /// The circuit that it goes to.
    pub to: String,
}

/// A circuit after the moves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AssignedCircuit {
    /// Its name.
    pub name: String,
    /// The lights on it, ascending.
    pub units: Vec<u32>,
    /// Lights and other load.
    pub amps: f64,
    /// Planned limit.
    pub limit_amps: f64,
}

/// Rigs of more lights are not searched: they are no small rigs, and a page waits for its plan.
const MOST_SEARCHED: usize = 150;

/// None without circuits or lights with a known current.
pub(crate) fn plan(rig: &Rig, units: &[UnitPlan], circuits: &[CircuitPlan]) -> Option<AssignmentPlan> {
    let amps = |unit: &Unit| units.iter().find(|plan| plan.number == unit.number).and_then(|plan| plan.amps);
    // A light on its battery needs no circuit.
    let plugged = |unit: &&Unit| unit.circuit.is_some() || super::packing::watt_hours(unit).is_none();
    let (known, unknown): (Vec<&Unit>, Vec<&Unit>) =
        rig.units.iter().filter(plugged).partition(|unit| amps(unit).is_some());
    if circuits.is_empty() || known.is_empty() || known.len() > MOST_SEARCHED {
        return None;
    }
    let item = |unit: &&Unit| Item {
        amps: amps(unit).unwrap_or(0.0),
        now: unit.circuit.filter(|index| *index < circuits.len()),
        leads: leads(rig, unit),
        fixed: unit.circuit.filter(|_| unit.feed.fixed),
        together: rig.index_of(root(rig, unit)),
    };
    let bin = |(plan, circuit): (&CircuitPlan, &crate::Circuit)| {
        let other = plan.other_amps.unwrap_or(0.0);
        Bin { room: plan.limit_amps - other, limit: plan.limit_amps, other, phase: circuit.phase }
    };
    let bins: Vec<Bin> = circuits.iter().zip(&rig.circuits).map(bin).collect();
    let even_phases = bins.iter().any(|bin| bin.phase.is_some());
    let answer = assign(&Problem { items: known.iter().map(item).collect(), bins, even_phases });
    Some(told(rig, circuits, &known, &unknown, &answer))
}

/// Metres of lead from every circuit's socket; none: too far for it. Nothing where no socket's place is known.
fn leads(rig: &Rig, unit: &Unit) -> Vec<Option<f64>> {
    if rig.circuits.iter().all(|circuit| circuit.at.is_none()) {
        return Vec::new();
    }
    let lead = |circuit: &crate::Circuit| {
        let way = circuit.at.and_then(|at| from_point(rig, at, unit)).map(with_slack);
        match (way, circuit.reach) {
            (Some(way), Some(reach)) if way > reach.get() => None,
            (way, _) => Some(way.unwrap_or(0.0)),
        }
    };
    rig.circuits.iter().map(lead).collect()
}

fn told(
    rig: &Rig,
    circuits: &[CircuitPlan],
    known: &[&Unit],
    unknown: &[&Unit],
    answer: &Answer,
) -> AssignmentPlan {
    let name =
        |index: usize| rig.circuits.get(index).map_or_else(String::new, |circuit| circuit.name.clone());
    let moved = |(unit, bin): (&&Unit, &Option<usize>)| {
        let to = bin.filter(|bin| unit.circuit != Some(*bin))?;
        Some(Move { unit: unit.number, from: unit.circuit.map(name), to: name(to) })
    };
    let circuit = |(index, plan): (usize, &CircuitPlan)| {
        let on = known.iter().zip(&answer.best.bins).filter(|(_, bin)| **bin == Some(index));
        let amps = answer.best.amps.get(index).copied().unwrap_or(0.0) + plan.other_amps.unwrap_or(0.0);
        AssignedCircuit {
            name: plan.name.clone(),
            units: on.map(|(unit, _)| unit.number).collect(),
            amps,
            limit_amps: plan.limit_amps,
        }
    };
    let how = Reckoning::new(
        "moves",
        "every way of dividing the lights, by bin completion and branch and bound: circuits over limit, then moves, then the fullest circuit",
        "exact search of this tool",
    )
    .with("lights", known.len() as f64, "", "show file")
    .with("circuits", circuits.len() as f64, "", "show file");
    AssignmentPlan {
        fits: answer.fits,
        moves: known.iter().zip(&answer.best.bins).filter_map(moved).collect(),
        circuits: circuits.iter().enumerate().map(circuit).collect(),
        short_by_amps: (!answer.fits).then_some(answer.short_by),
        proof: answer.proof.clone(),
        leave_out: answer
            .leave_out
            .iter()
            .filter_map(|index| known.get(*index))
            .map(|unit| unit.number)
            .collect(),
        certain: answer.settled,
        fewest_moves: answer.fewest_moves,
        unknown: unknown.iter().map(|unit| unit.number).collect(),
        how,
    }
}

impl AssignmentPlan {
    /// What to do, in a sentence; none when all is well as it is.
    pub fn advice(&self) -> Option<String> {
        if self.fits {
            let moves: Vec<String> =
                self.moves.iter().map(|one| format!("light {} to {}", one.unit, one.to)).collect();
            return (!moves.is_empty()).then(|| {
                format!("Move {}: then every circuit is inside its limit", super::finding::and(&moves))
            });
        }
        let leave = match self.leave_out.as_slice() {
            [] => String::new(),
            out => format!(" Without {} the rest fits.", super::finding::lights(out)),
        };
        let short = self.short_by_amps.unwrap_or(0.0);
        Some(format!("It cannot fit on these circuits, by {short:.1} A at least: {}.{leave}", self.proof))
    }
}
