//! Everything that may be wrong, and how common each is.
//!
//! The figures are common practice, no source: what goes wrong most when a small rig is put up. They only decide which
//! cause is named first among those that fit what was seen.

use std::collections::BTreeMap;

use lanthorn_dmx::Address;

use super::Plan;
use super::stand::{Axes, Setting, turns};
use crate::plan::{LineKind, LinePlan, plan};
use crate::{Rig, Unit};

/// A light answers at the address of another light of the plan.
const AT_ANOTHERS: f64 = 0.04;
/// It answers at 1, as it comes from the maker.
const AT_FIRST: f64 = 0.015;
/// It is one off: some count from 0.
const ONE_OFF: f64 = 0.004;
/// It answers where the plan has nothing.
const AT_NOTHING: f64 = 0.005;
const OTHER_MODE: f64 = 0.045;
const PAN_BACKWARDS: f64 = 0.025;
const TILT_BACKWARDS: f64 = 0.012;
const AXES_EXCHANGED: f64 = 0.004;
const NO_POWER: f64 = 0.03;
const NO_LAMP: f64 = 0.004;
const OWN_PROGRAMME: f64 = 0.012;

/// Somewhere along a line nothing comes through any more.
const BROKEN: f64 = 0.2;
/// The first cable, the output or its universe is as likely to be wrong as three other cables.
const FIRST_CABLE: f64 = 3.0;
const UNTERMINATED: f64 = 0.03;
const LEADS: f64 = 0.02;
const CIRCUIT_OFF: f64 = 0.01;

/// Something that concerns many lights at once.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Common {
    /// Behind so many lights of a line nothing is heard; of the lines by place.
    Broken { line: usize, after: usize },
    /// A line's end has no terminator.
    Unterminated { line: usize },
    /// A light talks on a line that a controller talks on.
    Leads { line: usize, unit: usize },
    /// A circuit is dead.
    CircuitOff { circuit: usize },
}

/// What common causes make of one light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Condition {
    /// It hears well.
    Hears,
    /// It hears nothing.
    Deaf,
    /// It hears, with gaps.
    Disturbed,
    /// It has no power.
    Off,
    /// It plays to the others.
    Plays,
}

impl Condition {
    pub(crate) const ALL: [Self; 5] = [Self::Hears, Self::Deaf, Self::Disturbed, Self::Off, Self::Plays];
}

/// A line that a controller feeds, by places of its lights in the rig.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) name: String,
    pub(crate) units: Vec<usize>,
}

/// Everything that may be wrong with one rig.
#[derive(Clone, Debug)]
pub(crate) struct Cases {
    /// For each light of the rig what it may be set to and how common that is, the planned setting first; empty for a
    /// light that cannot be asked about.
    pub(crate) settings: Vec<Vec<(Setting, f64)>>,
    pub(crate) lines: Vec<Line>,
    /// None of them, each, and pairs of them: by places in `commons`, with how common.
    pub(crate) together: Vec<(Vec<usize>, f64)>,
    pub(crate) commons: Vec<Common>,
    /// For each light what is selected in its own menu: its mode, its address.
    pub(crate) menus: Vec<Vec<String>>,
}

impl Cases {
    pub(crate) fn new(rig: &Rig, asked: &Plan) -> Self {
        let planned = plan(rig);
        let lines: Vec<Line> = planned
            .lines
            .iter()
            .filter(|line| line.kind == LineKind::Driven)
            .map(|line: &LinePlan| Line {
                name: line.name.clone(),
                units: line.units.iter().filter_map(|number| rig.index_of(*number)).collect(),
            })
            .collect();
        let settings =
            |(place, unit)| if asked.lit.contains(&place) { settings(rig, unit) } else { Vec::new() };
        let weighed = commons(rig, &lines);
        let mut together = vec![(Vec::new(), 1.0)];
        for (first, (_, prior)) in weighed.iter().enumerate() {
            together.push((vec![first], *prior));
            for (second, (_, other)) in weighed.iter().enumerate().skip(first + 1) {
                together.push((vec![first, second], prior * other));
            }
        }
        Self {
            settings: rig.units.iter().enumerate().map(settings).collect(),
            lines,
            together,
            commons: weighed.into_iter().map(|(common, _)| common).collect(),
            menus: planned.units.into_iter().map(|unit| unit.menu).collect(),
        }
    }

    /// What common causes make of a light.
    pub(crate) fn condition(&self, rig: &Rig, together: &[usize], place: usize) -> Condition {
        let mut condition = Condition::Hears;
        let at = |line: usize| self.lines[line].units.iter().position(|unit| *unit == place);
        for common in together.iter().map(|common| &self.commons[*common]) {
            let next = match common {
                Common::CircuitOff { circuit } if rig.units[place].circuit == Some(*circuit) => {
                    Condition::Off
                }
                Common::Leads { unit, .. } if *unit == place => Condition::Plays,
                Common::Broken { line, after } if at(*line).is_some_and(|at| at >= *after) => Condition::Deaf,
                Common::Leads { line, .. } if at(*line).is_some() => Condition::Disturbed,
                // What comes back from an open end is worst near it.
                Common::Unterminated { line }
                    if at(*line).is_some_and(|at| at * 2 >= self.lines[*line].units.len()) =>
                {
                    Condition::Disturbed
                }
                _ => continue,
            };
            condition = worse(condition, next);
        }
        condition
    }
}

/// Of two conditions the one that is seen.
fn worse(a: Condition, b: Condition) -> Condition {
    [Condition::Off, Condition::Plays, Condition::Deaf, Condition::Disturbed]
        .into_iter()
        .find(|worse| a == *worse || b == *worse)
        .unwrap_or(Condition::Hears)
}

fn settings(rig: &Rig, unit: &Unit) -> Vec<(Setting, f64)> {
    let addresses = addresses(rig, unit);
    let modes: Vec<(usize, f64)> = {
        let others = unit.profile.modes.len().saturating_sub(1);
        let prior = |mode| if mode == unit.mode { 1.0 } else { OTHER_MODE / others.max(1) as f64 };
        std::iter::once(unit.mode)
            .chain((0..unit.profile.modes.len()).filter(|mode| *mode != unit.mode))
            .map(|mode| (mode, prior(mode)))
            .collect()
    };
    let axes: &[(Axes, f64)] = if unit.moves() {
        &[
            (Axes::Right, 1.0),
            (Axes::PanBackwards, PAN_BACKWARDS),
            (Axes::TiltBackwards, TILT_BACKWARDS),
            (Axes::Exchanged, AXES_EXCHANGED),
        ]
    } else {
        &[(Axes::Right, 1.0)]
    };
    let mut settings = Vec::new();
    for (at, of_address) in &addresses {
        for (mode, of_mode) in &modes {
            for (axes, of_axes) in axes {
                // A mode without pan and tilt says nothing of how the axes run.
                if *axes == Axes::Right || turns(unit, *mode) {
                    let setting = Setting::Hears { at: *at, mode: *mode, axes: *axes };
                    settings.push((setting, of_address * of_mode * of_axes));
                }
            }
        }
    }
    settings.extend([
        (Setting::NoPower, NO_POWER),
        (Setting::NoLamp, NO_LAMP),
        (Setting::OwnProgramme, OWN_PROGRAMME),
    ]);
    let all: f64 = settings.iter().map(|(_, prior)| prior).sum();
    settings.iter_mut().for_each(|(_, prior)| *prior /= all);
    settings
}

/// Where a light may answer: where it should, where others should, at 1, one off, where nothing is.
fn addresses(rig: &Rig, unit: &Unit) -> Vec<(Option<Address>, f64)> {
    let Some(own) = unit.address() else { return Vec::new() };
    let mut priors: BTreeMap<Address, f64> = BTreeMap::new();
    let others: Vec<Address> = {
        let mut all: Vec<Address> = rig.units.iter().filter_map(Unit::address).collect();
        all.sort_unstable();
        all.dedup();
        all.retain(|other| *other != own && other.universe == own.universe);
        all
    };
    for other in &others {
        *priors.entry(*other).or_default() += AT_ANOTHERS / others.len() as f64;
    }
    let number = u32::from(own.slot.number());
    let near = [(1, AT_FIRST), (number.saturating_sub(1), ONE_OFF), (number + 1, ONE_OFF)];
    for (slot, prior) in near {
        if let Ok(at) = Address::new(own.universe.number().into(), slot)
            && at != own
        {
            *priors.entry(at).or_default() += prior;
        }
    }
    let all: f64 = priors.values().sum::<f64>() + AT_NOTHING;
    let own = std::iter::once((Some(own), 1.0 - all));
    own.chain(priors.into_iter().map(|(at, prior)| (Some(at), prior))).chain([(None, AT_NOTHING)]).collect()
}

fn commons(rig: &Rig, lines: &[Line]) -> Vec<(Common, f64)> {
    let mut commons = Vec::new();
    for (line, Line { units, .. }) in lines.iter().enumerate() {
        let cables = FIRST_CABLE + units.len().saturating_sub(1) as f64;
        for after in 0..units.len() {
            let weight = if after == 0 { FIRST_CABLE } else { 1.0 };
            commons.push((Common::Broken { line, after }, BROKEN * weight / cables));
        }
        commons.push((Common::Unterminated { line }, UNTERMINATED));
        for unit in units {
            commons.push((Common::Leads { line, unit: *unit }, LEADS / units.len() as f64));
        }
    }
    let used = (0..rig.circuits.len()).filter(|at| rig.units.iter().any(|unit| unit.circuit == Some(*at)));
    commons.extend(used.map(|circuit| (Common::CircuitOff { circuit }, CIRCUIT_OFF)));
    commons
}
