//! Power: each light's load, the sum on every circuit, and what is near or over.

use lanthorn_fixture::profile::Kind;
use serde::Serialize;

use super::finding::{Finding, lights};
use super::supply::{self, LeakagePlan, SwitchOnPlan};
use super::units::UnitPlan;
use super::{AssignmentPlan, at, finding};
use crate::reckoning::origin_word;
use crate::sums::electric::amps_reckoning;
use crate::{Reckoning, Rig, Unit};

/// Share of the planned limit from which a circuit counts as nearly full.
const NEAR: f64 = 0.8;
const NEC: &str = "NEC 210.20(A), as quoted in public; elsewhere this plan's default: the local code decides";
const ASSUMED: &str = "this plan's assumption; small lamps with uncorrected electronics draw about 1.8 times their active current";

/// One breaker's or fuse's worth of power.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CircuitPlan {
    /// Its name.
    pub name: String,
    /// The lights on it, ascending.
    pub units: Vec<u32>,
    /// Sum of the known watts of its lights.
    pub watts: f64,
    /// Sum of their volt-amps: an upper bound, since currents need not peak together.
    pub volt_amps: f64,
    /// Their current at the rig's mains; none when the tension is not a usable number.
    pub light_amps: Option<f64>,
    /// What else hangs on it; none: not known.
    pub other_amps: Option<f64>,
    /// Lights and what else is known to hang on it.
    pub amps: Option<f64>,
    /// The breaker.
    pub breaker_amps: f64,
    /// Planned continuous use: breaker × the rig's share.
    pub limit_amps: f64,
    /// Limit less current; negative when over.
    pub headroom_amps: Option<f64>,
    /// Lights whose power factor is assumed.
    pub assumed_power_factor: Vec<u32>,
    /// Lights whose watts are not known and so not in the sum.
    pub unknown_watts: Vec<u32>,
    /// Where its socket is, metres in the world frame.
    pub at: Option<[f64; 3]>,
    /// Which lights to switch on together; none for a single light.
    pub switch_on: Option<SwitchOnPlan>,
    /// Leakage against its residual current device, where the show says which it has.
    pub leakage: Option<LeakagePlan>,
    /// How current and limit were reached.
    pub how: Vec<Reckoning>,
}

/// One light's load.
pub(crate) struct Load {
    pub(crate) watts: Option<f64>,
    pub(crate) power_factor: Option<f64>,
    pub(crate) assumed: bool,
    pub(crate) volt_amps: Option<f64>,
    pub(crate) amps: Option<f64>,
}

/// VA = W / pf, A = VA / V. A power factor that is not known counts as 0.6 below 100 W and 0.9 from there on.
pub(crate) fn load(rig: &Rig, unit: &Unit) -> Load {
    let watts = unit.profile.power.watts.value().map(|watts| watts.get()).filter(|watts| *watts >= 0.0);
    let stated = unit.profile.power.power_factor.value().filter(|factor| *factor > 0.0 && *factor <= 1.0);
    let power_factor = stated.or_else(|| watts.map(crate::sums::electric::assumed_power_factor));
    let volt_amps = watts.zip(power_factor).map(|(watts, factor)| watts / factor);
    let amps = volt_amps.zip(volts(rig)).map(|(volt_amps, volts)| volt_amps / volts);
    Load { watts, power_factor, assumed: stated.is_none() && watts.is_some(), volt_amps, amps }
}

/// The rig's mains, if it is a tension that one can divide by.
fn volts(rig: &Rig) -> Option<f64> {
    Some(rig.mains.volts.get()).filter(|volts| *volts >= 1.0)
}

pub(crate) fn plan(rig: &Rig, units: &[UnitPlan]) -> Vec<CircuitPlan> {
    let circuit = |(index, circuit): (usize, &crate::Circuit)| {
        let on = |unit: &&Unit| unit.circuit == Some(index);
        let mut numbers: Vec<u32> = rig.units.iter().filter(on).map(|unit| unit.number).collect();
        numbers.sort_unstable();
        let on: Vec<&UnitPlan> = units.iter().filter(|unit| numbers.contains(&unit.number)).collect();
        let pick = |wanted: fn(&UnitPlan) -> bool| {
            on.iter().filter(|unit| wanted(unit)).map(|unit| unit.number).collect::<Vec<u32>>()
        };
        let volt_amps: f64 = on.iter().filter_map(|unit| unit.volt_amps).sum();
        let light_amps = volts(rig).map(|volts| volt_amps / volts);
        let other_amps = circuit.other_load.map(|other| other.get());
        let amps = light_amps.map(|amps| amps + other_amps.unwrap_or(0.0));
        let limit_amps = circuit.breaker.get() * rig.mains.continuous;
        CircuitPlan {
            name: circuit.name.clone(),
            units: numbers.clone(),
            watts: on.iter().filter_map(|unit| unit.watts).sum(),
            volt_amps,
            light_amps,
            other_amps,
            amps,
            breaker_amps: circuit.breaker.get(),
            limit_amps,
            headroom_amps: amps.map(|amps| limit_amps - amps),
            assumed_power_factor: pick(|unit| unit.power_factor_assumed),
            unknown_watts: pick(|unit| unit.watts.is_none()),
            at: circuit.at.map(Into::into),
            switch_on: supply::switch_on(rig, index, units),
            leakage: supply::leakage(rig, index),
            how: how(rig, circuit, &on),
        }
    };
    rig.circuits.iter().enumerate().map(circuit).collect()
}

/// How a circuit's current and its limit are reached.
fn how(rig: &Rig, circuit: &crate::Circuit, on: &[&UnitPlan]) -> Vec<Reckoning> {
    let mut amps = amps_reckoning("amps").with("mains", rig.mains.volts.get(), "V", "show file");
    for unit in on {
        amps = amps.maybe(format!("volt-amps of light {}", unit.number), unit.volt_amps, "VA", "sum");
    }
    let other = circuit.other_load.map(|other| other.get());
    let limit = Reckoning::new("limit_amps", "breaker x planned share", NEC)
        .with("breaker", circuit.breaker.get(), "A", "show file")
        .with("planned share", rig.mains.continuous, "", "show file");
    vec![amps.maybe("other load", other, "A", "show file"), limit]
}

/// How one light's current is reached.
pub(crate) fn unit_reckoning(rig: &Rig, unit: &Unit, load: &Load) -> Reckoning {
    let power = &unit.profile.power;
    let factor = if load.assumed { "assumed" } else { origin_word(power.power_factor.origin()) };
    amps_reckoning("amps")
        .maybe("watts", load.watts, "W", origin_word(power.watts.origin()))
        .maybe("power factor", load.power_factor, "", factor)
        .with("mains", rig.mains.volts.get(), "V", "show file")
}

pub(crate) fn check(
    rig: &Rig,
    units: &[UnitPlan],
    circuits: &[CircuitPlan],
    assignment: Option<&AssignmentPlan>,
    findings: &mut Vec<Finding>,
) {
    let advice = assignment.and_then(AssignmentPlan::advice);
    for circuit in circuits {
        full(circuit, advice.as_deref(), findings);
        unsure(circuit, findings);
    }
    let without: Vec<u32> =
        units.iter().filter(|unit| unit.circuit.is_none()).map(|unit| unit.number).collect();
    if !without.is_empty() {
        let what = format!("{} on no circuit, so in no sum", finding::capital(&lights(&without)));
        findings.push(
            Finding::caution("without-circuit", "power", what)
                .units(&without)
                .rule("every light's current counts on one circuit", "common practice, no source")
                .remedy("Say which socket each one is plugged into"),
        );
    }
    supply(rig, findings);
    through(rig, units, findings);
    mains(rig, findings);
}

/// Over the breaker, over the planned limit, or near it.
fn full(circuit: &CircuitPlan, advice: Option<&str>, findings: &mut Vec<Finding>) {
    let Some(amps) = circuit.amps.filter(|_| !circuit.units.is_empty()) else { return };
    let place = format!("circuit {}", circuit.name);
    let CircuitPlan { name, breaker_amps, limit_amps, .. } = circuit;
    let finding = if amps > *breaker_amps {
        Finding::error(
            "circuit-over-breaker",
            place,
            format!("Circuit {name} would trip: more current than its breaker"),
        )
        .figure(format!("{amps:.1} A on a {breaker_amps:.0} A breaker"))
        .rule("the current stays below the breaker's rating", NEC)
        .remedy(with(advice, "Move lights to another circuit; never fit a larger breaker"))
    } else if amps > *limit_amps {
        Finding::error("circuit-over-limit", place, format!("Circuit {name} is over its limit for hours of use"))
            .figure(format!("{amps:.1} A of {limit_amps:.1} A ({breaker_amps:.0} A breaker)"))
            .rule("what runs for three hours or more stays within the planned share of the breaker (80 % as a rule)", NEC)
            .remedy(with(advice, "Move lights to another circuit, or take another load off this one"))
    } else if amps >= NEAR * limit_amps {
        Finding::caution("circuit-near-limit", place, format!("Circuit {name} is nearly full"))
            .figure(format!("{amps:.1} A of {limit_amps:.1} A ({breaker_amps:.0} A breaker)"))
            .rule(
                "from four fifths of the planned limit on, one kettle more is too much",
                "this plan's default",
            )
            .remedy("Keep everything else off this circuit, or move a light to another one")
    } else {
        return;
    };
    findings.push(finding.units(&circuit.units));
}

/// The usual remedy, and what the search for a better way has found.
fn with(advice: Option<&str>, usual: &str) -> String {
    advice.map_or_else(|| usual.to_owned(), |advice| format!("{usual}. {}", advice.trim_end_matches('.')))
}

/// What the sum had to assume or leave out.
fn unsure(circuit: &CircuitPlan, findings: &mut Vec<Finding>) {
    let place = format!("circuit {}", circuit.name);
    if !circuit.unknown_watts.is_empty() {
        let who = finding::capital(&lights(&circuit.unknown_watts));
        findings.push(
            Finding::caution(
                "watts-unknown",
                place.as_str(),
                format!("{who}: watts not known, so missing from the sum"),
            )
            .units(&circuit.unknown_watts)
            .rule("an unknown load is not zero", "this tool")
            .remedy("Read the watts or amps on the label and put them into the profile"),
        );
    }
    if !circuit.assumed_power_factor.is_empty() {
        let who = finding::capital(&lights(&circuit.assumed_power_factor));
        findings.push(
            Finding::note(
                "power-factor-assumed",
                place.as_str(),
                format!("{who}: power factor not known, so assumed"),
            )
            .units(&circuit.assumed_power_factor)
            .figure("0.6 below 100 W, 0.9 from 100 W")
            .rule("volt-amps are watts over power factor", ASSUMED)
            .remedy("If the label prints amps or a power factor, put it into the profile"),
        );
    }
    if circuit.other_amps.is_none() && !circuit.units.is_empty() {
        findings.push(
            Finding::note(
                "other-load-unknown",
                place,
                format!("What else hangs on circuit {} is not known", circuit.name),
            )
            .units(&circuit.units)
            .rule(
                "a socket is not a circuit: fridges, kettles and sound may share the breaker",
                "common practice, no source",
            )
            .remedy("Ask which sockets share this breaker, and add their load"),
        );
    }
}

/// Supply range against the mains, one finding per kind of light.
fn supply(rig: &Rig, findings: &mut Vec<Finding>) {
    let mains = rig.mains.volts.get();
    let mut unknown: Vec<u32> = Vec::new();
    for unit in &rig.units {
        match unit.profile.power.supply.get() {
            Some((low, high)) if mains < low.get() || mains > high.get() => findings.push(
                Finding::error(
                    "supply-voltage",
                    at(unit),
                    format!("Light {} is not made for this mains", unit.number),
                )
                .units(&[unit.number])
                .figure(format!("{mains:.0} V mains, {:.0}–{:.0} V light", low.get(), high.get()))
                .rule("the mains lies inside the range on the label", "the maker's label")
                .remedy("Do not plug it in here; use a light made for this mains"),
            ),
            Some(_) => {}
            None => unknown.push(unit.number),
        }
    }
    if !unknown.is_empty() {
        let what = format!("{}: supply range not known", finding::capital(&lights(&unknown)));
        findings.push(
            Finding::note("supply-unknown", "power", what)
                .units(&unknown)
                .figure(format!("{mains:.0} V mains"))
                .rule("the mains lies inside the range on the label", "the maker's label")
                .remedy("Read the label before plugging in"),
        );
    }
}

/// Power passed on from light to light is not part of a rig, so it is not summed; the printed limits are shown.
fn through(rig: &Rig, units: &[UnitPlan], findings: &mut Vec<Finding>) {
    let mut kinds: Vec<(&str, f64, Option<f64>, Vec<u32>)> = Vec::new();
    for unit in &rig.units {
        let Some(limit) = unit.profile.power.through.value() else { continue };
        // Where the show says who feeds whom, it is summed.
        if unit.feed.from.is_some() || rig.units.iter().any(|other| other.feed.from == Some(unit.number)) {
            continue;
        }
        let each =
            units.iter().find(|u| u.number == unit.number).and_then(|u| u.amps).filter(|amps| *amps > 0.0);
        match kinds.iter_mut().find(|(name, ..)| *name == unit.profile.name) {
            Some((.., numbers)) => numbers.push(unit.number),
            None => kinds.push((&unit.profile.name, limit.get(), each, vec![unit.number])),
        }
    }
    for (name, limit, each, numbers) in kinds {
        let figure = match each {
            Some(each) => {
                let more = (limit / each).floor().clamp(0.0, 999.0);
                format!("{limit:.1} A printed, at most {more:.0} more of this kind at {each:.2} A each")
            }
            None => format!("{limit:.1} A printed"),
        };
        findings.push(
            Finding::note(
                "through-power",
                format!("profile {name}"),
                format!("Power passed on from one {name} to the next is not summed here"),
            )
            .units(&numbers)
            .figure(figure)
            .rule(
                "the maker's printed limit holds, even where the breaker would carry more",
                "the maker's manual",
            )
            .remedy("Where one light feeds the next, count from the first; do not mix kinds in one chain"),
        );
    }
}

/// The region's figures, and packs whose own loads are not seen.
fn mains(rig: &Rig, findings: &mut Vec<Finding>) {
    if volts(rig).is_none() {
        findings.push(
            Finding::error(
                "mains-voltage",
                "power",
                "The mains tension is not a usable number, so no current is known",
            )
            .figure(format!("{:.0} V", rig.mains.volts.get()))
            .rule("amps are volt-amps over volts", "arithmetic")
            .remedy("Give the mains of the region, such as 230 V or 120 V"),
        );
    }
    if rig.mains.continuous > 0.8 + 1e-9 || rig.mains.continuous <= 0.0 {
        findings.push(
            Finding::caution("continuous-share", "power", "The planned share of the breakers is unusual")
                .figure(format!("{:.0} % of the breaker", rig.mains.continuous * 100.0))
                .rule("what runs for three hours or more stays within 80 % of a standard breaker", NEC)
                .remedy("Keep 0.8 unless a licensed electrician has said otherwise for this supply"),
        );
    }
    let packs: Vec<u32> =
        rig.units.iter().filter(|u| u.profile.kind == Kind::Dimmer).map(|unit| unit.number).collect();
    if !packs.is_empty() {
        let what = format!(
            "{}: what is plugged into a dimmer pack loads the pack's circuit",
            finding::capital(&lights(&packs))
        );
        findings.push(
            Finding::note("dimmer-load", "power", what)
                .units(&packs)
                .rule("a pack passes its lamps' current on", "common practice, no source")
                .remedy("Put the lamps that it feeds on the pack's circuit, and keep each outlet within its printed limit"),
        );
    }
}
