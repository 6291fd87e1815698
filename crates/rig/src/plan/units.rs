//! Each light: what to select in its own menu, what it will and will not do, its figures.

use lanthorn_dmx::Address;
use lanthorn_fixture::profile::{Addressing, Kind, OnLoss, Programme};
use serde::Serialize;

use super::beams::{Landing, landings};
use super::finding::lights;
use super::packing::{self, BatteryPlan};
use super::seat::{SeatPlan, loudest};
use super::{mode, place, power};
use crate::patch::{Dip, dip, footprint};
use crate::{Reckoning, Rig, Run, Unit};

/// One light.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnitPlan {
    /// Its number.
    pub number: u32,
    /// What sort of light.
    pub kind: Kind,
    /// Its profile's name.
    pub profile: String,
    /// Its mode's name; empty when the mode does not exist.
    pub mode: String,
    /// How many heads can be told apart.
    pub heads: u8,
    /// Its hanging place's name; empty when the place does not exist.
    pub place: String,
    /// How it runs.
    pub way: Way,
    /// What to select in its own menu, in order.
    pub menu: Vec<String>,
    /// For DIP addressing: the switches to set on, by number; none otherwise or when they cannot show the address.
    pub dip_switches_on: Option<Vec<u8>>,
    /// The lights that follow it.
    pub leads: Vec<u32>,
    /// The light that it follows.
    pub follows: Option<u32>,
    /// What it will do.
    pub will: Vec<String>,
    /// What it will not do.
    pub will_not: Vec<String>,
    /// Universe, when driven and addressed.
    pub universe: Option<u16>,
    /// First slot.
    pub address: Option<u16>,
    /// Last slot; past 512 when it does not fit.
    pub last_slot: Option<u32>,
    /// Slots that its mode takes.
    pub footprint: u16,
    /// The light whose address it shares.
    pub shares: Option<u32>,
    /// Its circuit's name.
    pub circuit: Option<String>,
    /// At full output.
    pub watts: Option<f64>,
    /// Watts over volt-amps, as used in the sums.
    pub power_factor: Option<f64>,
    /// `true` when the power factor is assumed.
    pub power_factor_assumed: bool,
    /// Apparent power.
    pub volt_amps: Option<f64>,
    /// Current at the rig's mains.
    pub amps: Option<f64>,
    /// Without clamp and bond.
    pub weight_kg: Option<f64>,
    /// Fan at 1 m.
    pub noise_dba: Option<f64>,
    /// Where its light lands: on every mark for a head that moves, on its focus for others.
    pub lands: Vec<Landing>,
    /// For DIP addressing: the switches drawn, three lines.
    pub dip_picture: Option<String>,
    /// How long it runs on its battery, where it has one.
    pub battery: Option<BatteryPlan>,
    /// The light whose power outlet it is plugged into.
    pub power_from: Option<u32>,
    /// How its current was reached.
    pub how: Vec<Reckoning>,
}

/// The three ways of running.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// From a controller.
    Driven,
    /// Leads or follows over a data cable.
    Linked,
    /// A built-in programme, no data cable.
    OnItsOwn,
}

/// The fans of all lights together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NoisePlan {
    /// Level sum of the known ones, each at 1 m.
    pub sum_dba_at_1_m: Option<f64>,
    /// Lights whose noise is not known and so not in the sum.
    pub unknown: Vec<u32>,
    /// At the seat where they are loudest; none without an audience area.
    pub seat: Option<SeatPlan>,
}

impl Way {
    /// As people say it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Driven => "driven",
            Self::Linked => "linked",
            Self::OnItsOwn => "on its own",
        }
    }

    pub(crate) const fn of(run: &Run) -> Self {
        match run {
            Run::Driven { .. } => Self::Driven,
            Run::Linked { .. } => Self::Linked,
            Run::OnItsOwn { .. } => Self::OnItsOwn,
        }
    }
}

/// Every light, by number.
pub(crate) fn plan(rig: &Rig) -> Vec<UnitPlan> {
    let mut units: Vec<UnitPlan> = rig.units.iter().map(|unit| one(rig, unit)).collect();
    units.sort_by_key(|unit| unit.number);
    units
}

/// Levels of separate sources add as powers: 10 log10 Σ 10^(L/10).
pub(crate) fn noise(rig: &Rig, units: &[UnitPlan]) -> NoisePlan {
    NoisePlan {
        sum_dba_at_1_m: crate::sums::noise::sum(units.iter().filter_map(|unit| unit.noise_dba)),
        seat: loudest(rig, units),
        unknown: units.iter().filter(|u| u.noise_dba.is_none()).map(|u| u.number).collect(),
    }
}

/// The built-in programme of that name.
pub(crate) fn programme<'a>(unit: &'a Unit, name: Option<&str>) -> Option<&'a Programme> {
    unit.profile.programmes.iter().find(|programme| Some(programme.name.as_str()) == name)
}

/// The lights that follow `unit`, in the order of the chain.
pub(crate) fn followers(rig: &Rig, leader: u32) -> Vec<u32> {
    let follows = |unit: &&Unit| matches!(unit.run, Run::Linked { leader: l, .. } if l == leader);
    let mut chain: Vec<&Unit> = rig.units.iter().filter(follows).filter(|u| u.number != leader).collect();
    chain.sort_by_key(|unit| (unit.line_order, unit.number));
    chain.iter().map(|unit| unit.number).collect()
}

fn one(rig: &Rig, unit: &Unit) -> UnitPlan {
    let profile = &unit.profile;
    let address = unit.address();
    let load = power::load(rig, unit);
    let (leads, follows) = match unit.run {
        Run::Linked { leader, .. } if leader == unit.number => (followers(rig, leader), None),
        Run::Linked { leader, .. } => (Vec::new(), Some(leader)),
        Run::Driven { .. } | Run::OnItsOwn { .. } => (Vec::new(), None),
    };
    let (will, will_not) = promises(rig, unit, &leads);
    UnitPlan {
        number: unit.number,
        kind: profile.kind,
        profile: profile.name.clone(),
        mode: mode(unit).map_or_else(String::new, |mode| mode.name.clone()),
        heads: mode(unit).map_or(1, |mode| mode.heads),
        place: place(rig, unit).map_or_else(String::new, |place| place.name.clone()),
        way: Way::of(&unit.run),
        menu: menu(unit),
        dip_switches_on: address
            .filter(|_| uses_dip(unit))
            .and_then(|address| switches(unit, address))
            .map(|dip| dip.switches_on()),
        leads,
        follows,
        will,
        will_not,
        universe: address.map(|address| address.universe.number()),
        address: address.map(|address| address.slot.number()),
        last_slot: address.filter(|_| footprint(unit) > 0).map(|address| address.last_slot(footprint(unit))),
        footprint: footprint(unit),
        shares: match unit.run {
            Run::Driven { shares, .. } => shares,
            Run::Linked { .. } | Run::OnItsOwn { .. } => None,
        },
        circuit: unit.circuit.and_then(|index| rig.circuits.get(index)).map(|circuit| circuit.name.clone()),
        watts: load.watts,
        power_factor: load.power_factor,
        power_factor_assumed: load.assumed,
        volt_amps: load.volt_amps,
        amps: load.amps,
        weight_kg: profile.body.weight.value().map(|weight| weight.get()),
        noise_dba: profile.noise.value().map(|noise| noise.get()),
        lands: landings(rig, unit),
        dip_picture: address
            .filter(|_| uses_dip(unit))
            .and_then(|address| switches(unit, address))
            .map(|dip| dip.text()),
        battery: packing::battery(unit),
        power_from: unit.feed.from,
        how: vec![power::unit_reckoning(rig, unit, &load)],
    }
}

pub(crate) fn uses_dip(unit: &Unit) -> bool {
    unit.profile.data.addressing.value() == Some(Addressing::Dip)
}

/// The switches of a light, which may count from zero.
fn switches(unit: &Unit, address: Address) -> Option<Dip> {
    dip(address.slot, unit.profile.data.counts_from.value() == Some(0))
}

/// What to select, in order: mode and address; or leader or follower; or the programme.
fn menu(unit: &Unit) -> Vec<String> {
    let words = &unit.profile.menu;
    let known = |words: Option<&String>, otherwise: &str| {
        words.cloned().unwrap_or_else(|| format!("{otherwise} (menu words not known: see its manual)"))
    };
    match &unit.run {
        Run::Driven { address, .. } => {
            let mode = mode(unit).map(|mode| known(mode.menu.get(), &format!("Mode “{}”", mode.name)));
            mode.into_iter().chain(std::iter::once(address_words(unit, *address))).collect()
        }
        Run::Linked { leader, programme } if *leader == unit.number => {
            vec![known(words.leader.get(), "Leader"), programme_words(unit, programme.as_deref())]
        }
        Run::Linked { .. } => vec![known(words.follower.get(), "Follower")],
        Run::OnItsOwn { programme } => vec![programme_words(unit, programme.as_deref())],
    }
}

fn address_words(unit: &Unit, address: Option<Address>) -> String {
    let Some(address) = address else { return "Start address: not chosen yet".to_owned() };
    let from_zero = unit.profile.data.counts_from.value() == Some(0);
    let number = address.slot.number() - u16::from(from_zero);
    if uses_dip(unit) {
        return match switches(unit, address) {
            Some(dip) => {
                let on: Vec<String> = dip.switches_on().iter().map(u8::to_string).collect();
                format!(
                    "Switches on: {}; all others of 1–9 off (start address {number:03}); switch 10 as its manual says",
                    on.join(", "),
                )
            }
            None => format!("Start address {number:03} cannot be set: nine switches reach 511"),
        };
    }
    match unit.profile.menu.address.get() {
        Some(words) => words.replace("{address}", &format!("{number:03}")),
        None => format!("Start address {number:03} (menu words not known: see its manual)"),
    }
}

fn programme_words(unit: &Unit, name: Option<&str>) -> String {
    match (programme(unit, name), name) {
        (Some(programme), _) => programme.menu.clone(),
        (None, Some(name)) => format!("Programme “{name}” (this kind of light has none of that name)"),
        (None, None) => "Programme: not chosen yet".to_owned(),
    }
}

/// What it will and will not do, run this way.
fn promises(rig: &Rig, unit: &Unit, leads: &[u32]) -> (Vec<String>, Vec<String>) {
    match &unit.run {
        Run::Driven { shares, .. } => driven(rig, unit, *shares),
        Run::Linked { leader, programme: name } if *leader == unit.number => {
            let mut will = vec![runs(unit, name.as_deref())];
            if !leads.is_empty() {
                will.push(format!(
                    "Lead {}: what it does is done there too, at the same time",
                    lights(leads)
                ));
            }
            (will, linked_will_not("Anything but its own programmes"))
        }
        Run::Linked { leader, .. } => {
            let will = vec![
                format!("Copy light {leader}, like every other follower of it"),
                format!(
                    "When light {leader} stops or loses power: go dark, freeze or run by itself, as its maker chose; try it"
                ),
            ];
            (will, linked_will_not("Anything of its own: no colour, level or place apart from its leader's"))
        }
        Run::OnItsOwn { programme: name } => {
            let will_not = vec![
                "Take part in looks, chases, cues, master or blackout".to_owned(),
                "Aim at a mark".to_owned(),
                "Keep in step with other lights".to_owned(),
                "Stop when the show is stopped: only its own menu or its plug stops it".to_owned(),
            ];
            (vec![runs(unit, name.as_deref())], will_not)
        }
    }
}

fn runs(unit: &Unit, name: Option<&str>) -> String {
    match (programme(unit, name), name) {
        (Some(programme), _) if programme.sound => {
            format!("Run its programme “{}”, set off by loud sound near its microphone", programme.name)
        }
        (Some(programme), _) => format!("Run its programme “{}”, round and round", programme.name),
        (None, Some(_)) | (None, None) => "Whatever its menu was left on: no programme is chosen".to_owned(),
    }
}

fn linked_will_not(first: &str) -> Vec<String> {
    vec![
        first.to_owned(),
        "Take part in looks, chases, cues, master or blackout".to_owned(),
        "Aim at a mark".to_owned(),
        "Share its line with a controller: two talkers on one line garble both".to_owned(),
    ]
}

fn driven(rig: &Rig, unit: &Unit, shares: Option<u32>) -> (Vec<String>, Vec<String>) {
    let mut will = vec!["Take part in looks, chases and cues, under master and blackout".to_owned()];
    let mut will_not = vec!["React to sound by itself, or run a built-in programme".to_owned()];
    if mode(unit).is_some() && unit.moves() {
        will.push("Aim at marks, as far as its travel reaches".to_owned());
    } else if unit.profile.kind.gives_light() && unit.profile.kind != Kind::Dimmer {
        will_not.push("Move: its beam stays where a person points it".to_owned());
    }
    let sharers: Vec<u32> = rig
        .units
        .iter()
        .filter(|other| matches!(other.run, Run::Driven { shares: Some(with), .. } if with == unit.number))
        .map(|other| other.number)
        .collect();
    if let Some(with) = shares {
        will.push(format!("Do exactly what light {with} does: one address, moving as one"));
        will_not.push("Do anything apart from the lights on its address".to_owned());
    } else if !sharers.is_empty() {
        let verb = if sharers.len() == 1 { "does" } else { "do" };
        will.push(format!("Do exactly what {} {verb}: one address, moving as one", lights(&sharers)));
        will_not.push("Do anything apart from the lights on its address".to_owned());
    }
    will.push(
        match unit.profile.data.on_loss.value() {
            Some(OnLoss::Hold) => "When data stops: keep its last state",
            Some(OnLoss::Dark) => "When data stops: go dark",
            Some(OnLoss::Programme) => "When data stops: start a built-in programme by itself",
            None => "When data stops: not known; pull its cable before the doors open and see",
        }
        .to_owned(),
    );
    (will, will_not)
}
