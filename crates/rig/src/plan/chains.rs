//! Power from light to light, leads, and the tension that they lose.

use serde::Serialize;

use super::finding::{Finding, capital};
use super::{UnitPlan, at};
use crate::sums::cable::{ADVICE_SOURCE, BRANCH_SHARE, Segment, Size, WHOLE_SHARE, drop_volts};
use crate::sums::electric::connector_amps;
use crate::{Lead, Reckoning, Rig, Unit};

/// Lights that feed each other, from the one that is plugged into a socket.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChainPlan {
    /// The light at the socket.
    pub first: u32,
    /// Every light of it with its currents, the first first.
    pub links: Vec<Link>,
}

/// One light of a chain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Link {
    /// The light.
    pub unit: u32,
    /// The light that feeds it; none: the socket.
    pub from: Option<u32>,
    /// Current into it: its own and all that it passes on. None when one of these is not known.
    pub inlet_amps: Option<f64>,
    /// Current that it passes on.
    pub passed_amps: Option<f64>,
    /// What its maker lets it pass on.
    pub through_amps: Option<f64>,
    /// Rating of its power connector, as far as its name tells.
    pub connector_amps: Option<f64>,
}

/// Tension lost on the way to one light.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DropPlan {
    /// The light.
    pub unit: u32,
    /// Volts lost.
    pub drop_volts: f64,
    /// Of the nominal tension.
    pub share: f64,
    /// What is left at the light.
    pub volts: f64,
    /// Pieces of lead on the way that are not known and so not in it.
    pub unknown_leads: usize,
    /// How it was reached.
    pub how: Reckoning,
}

/// The light at the socket end of a light's chain; in a ring, the smallest number met.
pub(crate) fn root(rig: &Rig, unit: &Unit) -> u32 {
    way_up(rig, unit).last().map_or(unit.number, |unit| unit.number)
}

/// A light, the one that feeds it, and so on to the socket; a ring ends where it began.
fn way_up<'r>(rig: &'r Rig, unit: &'r Unit) -> Vec<&'r Unit> {
    let mut way = vec![unit];
    let mut now = unit;
    while let Some(next) = now.feed.from.and_then(|number| rig.unit(number)) {
        if way.iter().any(|met| met.number == next.number) {
            break;
        }
        way.push(next);
        now = next;
    }
    way
}

/// Everybody fed through a light, itself first.
fn fed_by<'r>(rig: &'r Rig, unit: &'r Unit) -> Vec<&'r Unit> {
    let mut all = vec![unit];
    let mut at = 0;
    while at < all.len() {
        let feeder = all[at].number;
        for next in rig.units.iter().filter(|next| next.feed.from == Some(feeder)) {
            if !all.iter().any(|met| met.number == next.number) {
                all.push(next);
            }
        }
        at += 1;
    }
    all
}

fn amps(units: &[UnitPlan], number: u32) -> Option<f64> {
    let index = units.binary_search_by_key(&number, |plan| plan.number).ok()?;
    units[index].amps
}

/// Sum of all of them; none when one is not known.
fn sum(units: &[UnitPlan], of: &[&Unit]) -> Option<f64> {
    of.iter().map(|unit| amps(units, unit.number)).sum()
}

pub(crate) fn plan(rig: &Rig, units: &[UnitPlan]) -> Vec<ChainPlan> {
    let feeds = |unit: &&Unit| rig.units.iter().any(|other| other.feed.from == Some(unit.number));
    let starts = rig.units.iter().filter(|unit| unit.feed.from.is_none()).filter(feeds);
    let link = |unit: &&Unit| {
        let behind = fed_by(rig, unit);
        let connector = unit.profile.power.connector.get().and_then(|name| connector_amps(name));
        Link {
            unit: unit.number,
            from: unit.feed.from,
            inlet_amps: sum(units, &behind),
            passed_amps: sum(units, &behind[1..]),
            through_amps: unit.profile.power.through.value().map(|through| through.get()),
            connector_amps: connector.map(|(amps, _)| amps),
        }
    };
    starts
        .map(|first| ChainPlan { first: first.number, links: fed_by(rig, first).iter().map(link).collect() })
        .collect()
}

/// For every light on whose way a lead is known.
pub(crate) fn drops(rig: &Rig, units: &[UnitPlan]) -> Vec<DropPlan> {
    rig.units.iter().filter_map(|unit| drop(rig, units, unit)).collect()
}

/// The leads from socket to light, each with the current in it; and how many pieces are not known.
fn pieces(rig: &Rig, units: &[UnitPlan], unit: &Unit) -> (Vec<(Lead, f64)>, usize) {
    let mut list = Vec::new();
    let mut unknown = 0;
    let mut take = |lead: Option<Lead>, amps: Option<f64>| match (lead, amps) {
        (Some(lead), Some(amps)) => list.push((lead, amps)),
        _ => unknown += 1,
    };
    let way = way_up(rig, unit);
    let circuit = way.last().and_then(|first| first.circuit);
    let shared = circuit.and_then(|index| rig.circuits.get(index)).and_then(|circuit| circuit.lead);
    if let Some(lead) = shared {
        let on: Vec<&Unit> = rig.units.iter().filter(|unit| unit.circuit == circuit).collect();
        take(Some(lead), sum(units, &on));
    }
    for unit in way.iter().rev() {
        // Behind a lead of the whole circuit a light needs none of its own.
        if unit.feed.lead.is_some() || shared.is_none() || unit.feed.from.is_some() {
            take(unit.feed.lead, sum(units, &fed_by(rig, unit)));
        }
    }
    (list, unknown)
}

fn drop(rig: &Rig, units: &[UnitPlan], unit: &Unit) -> Option<DropPlan> {
    let volts = Some(rig.mains.volts.get()).filter(|volts| *volts >= 1.0)?;
    let (leads, mut unknown_leads) = pieces(rig, units, unit);
    let mut segments = Vec::new();
    let mut how: Option<Reckoning> = None;
    for (lead, amps) in &leads {
        let table = lead.cable.map(Size::usual_table);
        let Some((cable, table, ohm_per_m)) =
            lead.cable.zip(table).and_then(|(cable, table)| Some((cable, table, cable.ohm_per_m(table)?)))
        else {
            unknown_leads += 1;
            continue;
        };
        let length_m = lead.length.get();
        segments.push(Segment { length_m, ohm_per_m, amps: *amps });
        how = Some(match how {
            None => crate::sums::cable::reckoning(cable, table, length_m, *amps),
            Some(how) => how
                .with("next length", length_m, "m", "show file")
                .with(format!("ohms of {}", cable.words()), ohm_per_m * 1000.0, "ohm/km", "table")
                .with("next current", *amps, "A", "sum"),
        });
    }
    let lost = drop_volts(&segments, false);
    let how = how?.with("nominal tension", volts, "V", "show file");
    Some(DropPlan {
        unit: unit.number,
        drop_volts: lost,
        share: lost / volts,
        volts: volts - lost,
        unknown_leads,
        how,
    })
}

pub(crate) fn check(
    rig: &Rig,
    units: &[UnitPlan],
    chains: &[ChainPlan],
    drops: &[DropPlan],
    findings: &mut Vec<Finding>,
) {
    for unit in &rig.units {
        broken(rig, unit, findings);
        carries(rig, units, unit, findings);
    }
    for chain in chains {
        chain.links.iter().for_each(|link| over(link, findings));
        receptacle(rig, chain, findings);
    }
    far(drops, findings);
}

/// Fed by a light that is not there, by itself, or from another circuit.
fn broken(rig: &Rig, unit: &Unit, findings: &mut Vec<Finding>) {
    let Some(from) = unit.feed.from else { return };
    let what = match rig.unit(from) {
        None => format!("Light {} is fed by light {from}, which does not exist", unit.number),
        Some(_) if way_up(rig, unit).iter().all(|unit| unit.feed.from.is_some()) => {
            format!("Light {} is fed by itself in the end", unit.number)
        }
        Some(feeder) if feeder.circuit != unit.circuit => {
            format!("Light {} is fed by light {from}, which is on another circuit", unit.number)
        }
        Some(_) => return,
    };
    findings.push(
        Finding::error("power-from", at(unit), what)
            .units(&[unit.number])
            .rule("a chain starts at one socket and is all on that circuit", "this tool")
            .remedy("Say which light it is plugged into, and put both on the circuit of the first"),
    );
}

/// More passed on, or taken in, than a light is made for.
fn over(link: &Link, findings: &mut Vec<Finding>) {
    let place = format!("light {}", link.unit);
    if let Some((passed, limit)) = link.passed_amps.zip(link.through_amps).filter(|(p, l)| *p > *l + 1e-9) {
        findings.push(
            Finding::error(
                "through-over",
                place.as_str(),
                format!("Light {} passes on more than its maker allows", link.unit),
            )
            .units(&[link.unit])
            .figure(format!("{passed:.1} A of {limit:.1} A printed"))
            .rule(
                "the maker's printed limit holds, even where the breaker would carry more",
                "the maker's manual",
            )
            .remedy(
                "Plug the lights behind it into a socket of their own, or into an earlier light with room",
            ),
        );
    }
    if let Some((inlet, limit)) = link.inlet_amps.zip(link.connector_amps).filter(|(i, l)| *i > *l + 1e-9) {
        findings.push(
            Finding::error(
                "connector-over",
                place.as_str(),
                format!("Too much current for the power inlet of light {}", link.unit),
            )
            .units(&[link.unit])
            .figure(format!("{inlet:.1} A of {limit:.0} A"))
            .rule(
                "a connector carries no more than its rating",
                "IEC 60320 and makers' ratings, as quoted in public",
            )
            .remedy("Make the chain shorter"),
        );
    }
    if link.passed_amps.is_none_or(|amps| amps > 0.0) && link.through_amps.is_none() {
        findings.push(
            Finding::caution(
                "through-unknown",
                place,
                format!("Light {} feeds others, and its printed limit is not known", link.unit),
            )
            .units(&[link.unit])
            .rule("the maker's printed limit holds", "the maker's manual")
            .remedy("Read on its label how much it may pass on, and put it into the profile (`through`)"),
        );
    }
}

/// A chain on one plug against what a socket is planned for.
fn receptacle(rig: &Rig, chain: &ChainPlan, findings: &mut Vec<Finding>) {
    let (Some(limit), Some(first)) = (rig.mains.receptacle, chain.links.first()) else { return };
    let Some(amps) = first.inlet_amps.filter(|amps| *amps > limit.get() + 1e-9) else { return };
    let numbers: Vec<u32> = chain.links.iter().map(|link| link.unit).collect();
    findings.push(
        Finding::caution(
            "receptacle-over",
            format!("light {}", chain.first),
            format!("The chain of light {} is much for one socket", chain.first),
        )
        .units(&numbers)
        .figure(format!("{amps:.1} A of {:.1} A", limit.get()))
        .rule(
            "one socket has a planned use of its own, below its breaker",
            "`receptacle`, or the region's usual figure",
        )
        .remedy("Use two sockets"),
    );
}

/// More current than a lead is made for.
fn carries(rig: &Rig, units: &[UnitPlan], unit: &Unit, findings: &mut Vec<Finding>) {
    let (leads, _) = pieces(rig, units, unit);
    // The lead to this very light; that of the circuit is the first light's.
    let own = leads.iter().rfind(|(lead, _)| Some(*lead) == unit.feed.lead);
    let first = rig.units.iter().find(|other| other.circuit == unit.circuit && other.circuit.is_some());
    let shared = leads.first().filter(|_| first.is_some_and(|first| first.number == unit.number));
    for (lead, amps) in own.into_iter().chain(shared.filter(|shared| Some(shared.0) != unit.feed.lead)) {
        let Some((limit, source)) = lead.cable.and_then(Size::amps).filter(|(limit, _)| amps > limit) else {
            continue;
        };
        let cable = lead.cable.map_or_else(String::new, Size::words);
        findings.push(
            Finding::error(
                "lead-over",
                at(unit),
                format!("Too much current for the lead to light {}", unit.number),
            )
            .units(&[unit.number])
            .figure(format!("{amps:.1} A of {limit:.0} A for {cable}"))
            .rule("a lead carries no more than its size allows; coiled on a drum, far less", source)
            .remedy("Use a thicker lead, unrolled, or divide the lights"),
        );
    }
}

/// The worst drop, when it is beyond the advice.
fn far(drops: &[DropPlan], findings: &mut Vec<Finding>) {
    let beyond: Vec<&DropPlan> = drops.iter().filter(|drop| drop.share > BRANCH_SHARE).collect();
    let Some(worst) = beyond.iter().max_by(|a, b| a.share.total_cmp(&b.share)) else { return };
    let numbers: Vec<u32> = beyond.iter().map(|drop| drop.unit).collect();
    let far = if worst.share > WHOLE_SHARE { "much " } else { "" };
    let unknown =
        if beyond.iter().any(|drop| drop.unknown_leads > 0) { ", unknown leads not counted" } else { "" };
    let who = capital(&super::finding::lights(&numbers));
    findings.push(
        Finding::caution("voltage-drop", "power", format!("{who}: {far}tension is lost in the leads"))
            .units(&numbers)
            .figure(format!(
                "{:.1} V, {:.1} % at light {}{unknown}",
                worst.drop_volts,
                worst.share * 100.0,
                worst.unit
            ))
            .rule("no more than 3 % on the way from the board, 5 % in all", ADVICE_SOURCE)
            .remedy("Shorter or thicker leads, or a socket nearer by; unroll drums"),
    );
}
