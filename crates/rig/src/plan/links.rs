//! Linked chains and built-in programmes: who leads, who follows, and whether that can be.

use super::at;
use super::finding::{Finding, capital, lights, listed};
use super::units::{Way, followers, programme};
use crate::{Rig, Run, Unit};

const TRADE: &str = "common practice, no source";
const ONE_TALKER: &str = "makers' manuals; common practice";

pub(crate) fn check(rig: &Rig, findings: &mut Vec<Finding>) {
    for unit in &rig.units {
        match &unit.run {
            Run::Linked { leader, programme } if *leader == unit.number => {
                programme_chosen(unit, programme.as_deref(), "leads", findings);
                leads_somebody(rig, unit, findings);
                same_kind(rig, unit, findings);
            }
            Run::Linked { leader, .. } => has_leader(rig, unit, *leader, findings),
            Run::OnItsOwn { programme } => {
                programme_chosen(unit, programme.as_deref(), "is on its own", findings)
            }
            Run::Driven { .. } => {}
        }
    }
    one_talker(rig, findings);
}

fn programme_chosen(unit: &Unit, name: Option<&str>, does: &str, findings: &mut Vec<Finding>) {
    let number = unit.number;
    let offered: Vec<String> = unit.profile.programmes.iter().map(|p| format!("“{}”", p.name)).collect();
    let remedy = if offered.is_empty() {
        "This kind of light has no built-in programme on record: look in its manual, or drive it".to_owned()
    } else {
        format!("Choose one of {}", offered.join(", "))
    };
    let finding = match name {
        Some(name) if programme(unit, Some(name)).is_none() => {
            Finding::error("programme-unknown", at(unit), format!("Light {number} has no programme “{name}”"))
        }
        None => Finding::caution(
            "programme-missing",
            at(unit),
            format!("Light {number} {does}, but no programme is chosen"),
        ),
        Some(_) => return,
    };
    findings.push(
        finding
            .units(&[number])
            .rule("a light without a controller does what its menu says", TRADE)
            .remedy(remedy),
    );
}

fn leads_somebody(rig: &Rig, unit: &Unit, findings: &mut Vec<Finding>) {
    if followers(rig, unit.number).is_empty() {
        findings.push(
            Finding::note(
                "leads-nobody",
                at(unit),
                format!("Light {} leads, but nothing follows it", unit.number),
            )
            .units(&[unit.number])
            .rule("a leader talks on its line", ONE_TALKER)
            .remedy("Link lights to it, or run it on its own"),
        );
    }
}

/// Followers understand a leader of their own kind; another kind's channels mean something else.
fn same_kind(rig: &Rig, leader: &Unit, findings: &mut Vec<Finding>) {
    let others: Vec<u32> = followers(rig, leader.number)
        .into_iter()
        .filter(|number| {
            rig.units.iter().any(|u| u.number == *number && u.profile.name != leader.profile.name)
        })
        .collect();
    if !others.is_empty() {
        let what = format!(
            "{} of another kind than light {}, which leads",
            capital(&lights(&others)),
            leader.number
        );
        findings.push(
            Finding::caution("linked-kinds", at(leader), what)
                .units(&[&others[..], &[leader.number]].concat())
                .rule("a leader sends its own channel values: another kind of light reads them as something else", TRADE)
                .remedy("Link lights of one kind, each kind with a leader of its own; or drive them"),
        );
    }
}

fn has_leader(rig: &Rig, unit: &Unit, leader: u32, findings: &mut Vec<Finding>) {
    let number = unit.number;
    let found = rig.units.iter().find(|unit| unit.number == leader);
    let finding = match found.map(|leader| &leader.run) {
        None => Finding::error(
            "leader-unknown",
            at(unit),
            format!("Light {number} follows light {leader}, which does not exist"),
        )
        .units(&[number]),
        Some(Run::Linked { leader: its, .. }) if *its == leader => return,
        Some(Run::Linked { .. }) => match ring(rig, unit) {
            Some(ring) => Finding::error(
                "leader-loop",
                at(unit),
                format!("{} follow each other in a ring", capital(&lights(&ring))),
            )
            .units(&ring),
            None => Finding::error(
                "leader-follows",
                at(unit),
                format!("Light {number} follows light {leader}, which follows another"),
            )
            .units(&[number, leader]),
        },
        Some(run @ (Run::Driven { .. } | Run::OnItsOwn { .. })) => {
            let way = Way::of(run).words();
            let what = format!("Light {number} follows light {leader}, which does not lead: it is {way}");
            Finding::error("leader-not-leading", at(unit), what).units(&[number, leader])
        }
    };
    findings.push(
        finding
            .rule("a linked chain has one leader, set to lead, and followers that name it", ONE_TALKER)
            .remedy("Set one light to lead (its own number as leader) and let the others follow that one"),
    );
}

/// The ring that this light is part of, if following leaders comes back to it.
fn ring(rig: &Rig, unit: &Unit) -> Option<Vec<u32>> {
    let mut met = vec![unit.number];
    let mut now = unit;
    while let Run::Linked { leader, .. } = now.run {
        if leader == unit.number {
            return Some(met).filter(|met| met.len() > 1);
        }
        if met.contains(&leader) {
            return None;
        }
        met.push(leader);
        now = rig.units.iter().find(|unit| unit.number == leader)?;
    }
    None
}

/// A named line with a leader and a controller, or with two leaders, has two talkers.
fn one_talker(rig: &Rig, findings: &mut Vec<Finding>) {
    let mut names: Vec<&str> = rig.units.iter().filter_map(|unit| unit.line.as_deref()).collect();
    names.sort_unstable();
    names.dedup();
    for line in names {
        let name = super::lines::called(line);
        let on: Vec<&Unit> = rig.units.iter().filter(|unit| unit.line.as_deref() == Some(line)).collect();
        let pick = |way| on.iter().filter(|u| Way::of(&u.run) == way).map(|u| u.number).collect::<Vec<u32>>();
        let (driven, linked) = (pick(Way::Driven), pick(Way::Linked));
        let mut leaders: Vec<u32> = on.iter().filter_map(|u| leader_of(u)).collect();
        leaders.sort_unstable();
        leaders.dedup();
        let finding = if !driven.is_empty() && !linked.is_empty() {
            let what = format!("{} mixes driven and linked lights", capital(&name));
            let figure = format!("driven {}; linked {}", listed(&driven), listed(&linked));
            Finding::error("mixed-line", name.as_str(), what).figure(figure)
        } else if leaders.len() > 1 {
            Finding::error(
                "two-leaders",
                name.as_str(),
                format!("{} has {} leaders", capital(&name), leaders.len()),
            )
            .figure(format!("leaders {}", listed(&leaders)))
        } else {
            continue;
        };
        findings.push(
            finding
                .units(&[driven, linked].concat())
                .rule("one talker on a line: a leading light and a controller garble each other", ONE_TALKER)
                .remedy("Give the linked lights a line of their own, or set every light on this line to be driven"),
        );
    }
}

fn leader_of(unit: &Unit) -> Option<u32> {
    match unit.run {
        Run::Linked { leader, .. } => Some(leader),
        Run::Driven { .. } | Run::OnItsOwn { .. } => None,
    }
}
