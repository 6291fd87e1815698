//! Addresses and modes: what cannot be set, does not fit, or runs into something else.

use lanthorn_dmx::Address;
use lanthorn_fixture::encode::Encoder;

use super::finding::{Finding, capital, lights};
use super::units::{Way, uses_dip};
use super::{at, mode};
use crate::patch::{Block, blocks, footprint, last_usable_start, overlaps};
use crate::{Rig, Run, Unit};

const E1_11: &str = "ANSI E1.11: 512 slots in a universe";
const TRADE: &str = "common practice, no source";

pub(crate) fn check(rig: &Rig, findings: &mut Vec<Finding>) {
    for unit in &rig.units {
        if let Run::Driven { address, shares } = unit.run {
            addressed(unit, address, findings);
            if let Some(with) = shares {
                sharing(rig, unit, with, findings);
            }
            steady_light(unit, findings);
        }
    }
    for block in blocks(rig).iter().filter(|block| !block.agreed) {
        same_start(block, findings);
    }
    for overlap in overlaps(rig) {
        let (early, late) = (&overlap.earlier, &overlap.later);
        let verb = if late.units.len() == 1 { "overlaps" } else { "overlap" };
        let what = format!("{} {verb} {}", capital(&lights(&late.units)), lights(&early.units));
        findings.push(
            Finding::error("overlap", lights(&late.units), what)
                .units(&[&early.units[..], &late.units[..]].concat())
                .figure(format!("{} against {}", span(early), span(late)))
                .rule("every slot belongs to one light, or to lights that share a whole address", E1_11)
                .remedy(match u16::try_from(early.last + 1) {
                    Ok(next @ ..=512) => {
                        format!("Start {} at {next:03} or later, where nothing else is", lights(&late.units))
                    }
                    Ok(_) | Err(_) => "Move one of them to free slots or to another universe".to_owned(),
                }),
        );
    }
    on_loss(rig, findings);
}

/// "1.017–1.032".
fn span(block: &Block) -> String {
    format!("{}–{}.{:03}", block.start, block.start.universe.number(), block.last)
}

fn addressed(unit: &Unit, address: Option<Address>, findings: &mut Vec<Finding>) {
    let (number, footprint) = (unit.number, footprint(unit));
    if mode(unit).is_some() && footprint == 0 {
        findings.push(
            Finding::error("no-channels", at(unit), format!("The mode of light {number} has no channels"))
                .units(&[number])
                .rule("a driven light listens to one channel at least", E1_11)
                .remedy("Choose another mode, or complete the profile"),
        );
    }
    let Some(address) = address else {
        findings.push(
            Finding::error("not-addressed", at(unit), format!("Light {number} has no start address"))
                .units(&[number])
                .rule("a driven light has a start address", E1_11)
                .remedy("Give it one, or let it share another light's"),
        );
        return;
    };
    let last = address.last_slot(footprint);
    if last > 512 {
        let (what, remedy) = match last_usable_start(footprint) {
            Some(usable) => (
                format!("Light {number} runs past the end of universe {}", address.universe.number()),
                format!("Start it at {:03} or below, or in another universe", usable.number()),
            ),
            None => (
                format!("The mode of light {number} is wider than a universe"),
                "Choose a shorter mode".to_owned(),
            ),
        };
        findings.push(
            Finding::error("past-512", at(unit), what)
                .units(&[number])
                .figure(format!("start {:03}, {footprint} channels, last slot {last}", address.slot.number()))
                .rule("a light does not run past slot 512", E1_11)
                .remedy(remedy),
        );
    }
    if uses_dip(unit) && address.slot.number() == 512 {
        findings.push(
            Finding::error(
                "dip-512",
                at(unit),
                format!("Light {number} cannot be set to 512 with its switches"),
            )
            .units(&[number])
            .figure("1 + 2 + 4 + … + 256 = 511")
            .rule("nine switches weigh 1 to 256", "arithmetic; makers' manuals")
            .remedy("Give it an address of 511 or below"),
        );
    }
}

fn sharing(rig: &Rig, unit: &Unit, with: u32, findings: &mut Vec<Finding>) {
    let number = unit.number;
    let other = rig.units.iter().find(|other| other.number == with);
    let finding = match other {
        None => Finding::error(
            "shares-unknown",
            at(unit),
            format!("Light {number} shares with light {with}, which does not exist"),
        ),
        Some(_) if with == number => {
            Finding::error("shares-itself", at(unit), format!("Light {number} shares with itself"))
        }
        Some(other) if Way::of(&other.run) != Way::Driven => {
            let what =
                format!("Light {number} shares with light {with}, which is {}", Way::of(&other.run).words());
            Finding::error("shares-not-driven", at(unit), what)
        }
        Some(other) if other.address() != unit.address() => {
            let text =
                |unit: &Unit| unit.address().map_or_else(|| "none".to_owned(), |address| address.to_string());
            Finding::error(
                "shares-address",
                at(unit),
                format!("Light {number} shares with light {with}, but at another address"),
            )
            .figure(format!("{} against {}", text(unit), text(other)))
        }
        Some(other) if other.profile.name != unit.profile.name || other.mode != unit.mode => Finding::error(
            "shares-mode",
            at(unit),
            format!("Light {number} shares with light {with}, but has another profile or mode"),
        ),
        Some(_) => return,
    };
    findings.push(
        finding
            .units(&[number, with])
            .rule("lights on one address are of one kind, in one mode", TRADE)
            .remedy("Make both alike, or give this light an address of its own"),
    );
}

fn same_start(block: &Block, findings: &mut Vec<Finding>) {
    let what = format!("{} start at {} without sharing it", capital(&lights(&block.units)), block.start);
    findings.push(
        Finding::error("same-start", lights(&block.units), what)
            .units(&block.units)
            .figure(span(block))
            .rule("every slot belongs to one light, or to lights that share a whole address", E1_11)
            .remedy("If they are to move as one, say that they share; otherwise give each its own address"),
    );
}

/// Whether a driven light can burn steadily in its mode at all.
fn steady_light(unit: &Unit, findings: &mut Vec<Finding>) {
    let Some(mode) = mode(unit).filter(|_| unit.profile.kind.gives_light() && footprint(unit) > 0) else {
        return;
    };
    if !Encoder::new(&unit.profile, unit.mode).steady_light() {
        findings.push(
            Finding::caution(
                "no-steady-light",
                at(unit),
                format!("Light {} gives no steady light in this mode", unit.number),
            )
            .units(&[unit.number])
            .figure(format!("mode “{}”", mode.name))
            .rule(
                "a look needs a dimmer or colour channel, and a shutter that can stay open",
                "the mode's channel chart",
            )
            .remedy("Choose another mode for steady light; use this one for flashes only"),
        );
    }
}

/// Driven lights whose behaviour without data is not known.
fn on_loss(rig: &Rig, findings: &mut Vec<Finding>) {
    let unknown: Vec<u32> = rig
        .units
        .iter()
        .filter(|unit| Way::of(&unit.run) == Way::Driven && !unit.profile.data.on_loss.is_known())
        .map(|unit| unit.number)
        .collect();
    if !unknown.is_empty() {
        let what = format!("{}: not known what happens when data stops", capital(&lights(&unknown)));
        findings.push(
            Finding::caution("data-loss-unknown", "data", what)
                .units(&unknown)
                .rule("lights hold, go dark or start a built-in programme, as a menu item says", TRADE)
                .remedy("Pull the data cable before the doors open, see what each one does, and write it into the profile"),
        );
    }
}
