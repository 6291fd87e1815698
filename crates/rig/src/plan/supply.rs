//! Phases, generator, switching on, and leakage.

use serde::Serialize;

use super::finding::{Finding, lights};
use super::{CircuitPlan, UnitPlan};
use crate::reckoning::origin_word;
use crate::sums::electric::{
    CLASS_I_LEAKAGE, Curve, GENERATOR_SHARE, INRUSH_SOURCE, INRUSH_TABLE_SOURCE, LEAKAGE_SHARE,
    LEAKAGE_SOURCE, phases, switch_on_together,
};
use crate::{Reckoning, Rig, Unit};

/// An imbalance from here on is said (common practice, no source).
const UNEVEN: f64 = 0.2;

/// Three phases.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhasesPlan {
    /// Lights and other load on phase 1, 2, 3.
    pub amps: [f64; 3],
    /// Largest distance from the mean, as a part of the mean.
    pub imbalance: f64,
    /// Current in the neutral if all currents were sines in step.
    pub neutral_amps: f64,
    /// The most that could flow there if the lights' electronics draw mostly third harmonic, which adds up in the neutral.
    pub neutral_worst_amps: f64,
    /// Circuits whose phase is not said, and so not in it.
    pub without_phase: Vec<String>,
    /// How it was reached.
    pub how: Reckoning,
}

/// A generator.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GeneratorPlan {
    /// Its rating.
    pub rated_va: f64,
    /// Lights and other load.
    pub load_va: f64,
    /// Load over rating.
    pub share: f64,
    /// The rating that would be planned for this load.
    pub wanted_va: f64,
    /// How it was reached.
    pub how: Reckoning,
}

/// Which lights to switch on together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SwitchOnPlan {
    /// The breaker's curve.
    pub curve: &'static str,
    /// The curve is not said, so taken as B.
    pub curve_assumed: bool,
    /// Lights that may be switched on together, group by group.
    pub groups: Vec<Vec<u32>>,
    /// Lights whose peak is not known and was taken from the trade table.
    pub by_table: Vec<u32>,
    /// How it was reached.
    pub how: Reckoning,
}

/// What leaks on a circuit all the time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeakagePlan {
    /// Rating of the residual current device.
    pub rated_ma: f64,
    /// What may leak all the time: 30 % of it.
    pub limit_ma: f64,
    /// Sum of the known ones.
    pub known_ma: f64,
    /// The same with the largest allowed figure for lights that say nothing.
    pub at_most_ma: f64,
    /// Lights whose leakage is assumed.
    pub assumed: Vec<u32>,
    /// How it was reached.
    pub how: Reckoning,
}

pub(crate) fn phases_of(rig: &Rig, circuits: &[CircuitPlan]) -> Option<PhasesPlan> {
    let mut amps = [0.0; 3];
    let mut without_phase = Vec::new();
    for (circuit, plan) in rig.circuits.iter().zip(circuits) {
        match circuit.phase.and_then(|phase| amps.get_mut(usize::from(phase) - 1)) {
            Some(sum) => *sum += plan.amps.unwrap_or(0.0),
            None => without_phase.push(circuit.name.clone()),
        }
    }
    if without_phase.len() == circuits.len() {
        return None;
    }
    let found = phases(amps);
    let how = Reckoning::new(
        "imbalance",
        "largest distance from the mean / mean; neutral: root of (a2 + b2 + c2 - ab - bc - ca); at worst root of 3 x the largest",
        "textbook three-phase sums; the factor root of 3 for rectifiers is from memory",
    )
    .with("phase 1", amps[0], "A", "sum")
    .with("phase 2", amps[1], "A", "sum")
    .with("phase 3", amps[2], "A", "sum");
    Some(PhasesPlan {
        amps,
        imbalance: found.imbalance,
        neutral_amps: found.neutral_amps,
        neutral_worst_amps: found.neutral_worst_amps,
        without_phase,
        how,
    })
}

pub(crate) fn generator(rig: &Rig, circuits: &[CircuitPlan]) -> Option<GeneratorPlan> {
    let rated_va = rig.mains.generator?.get();
    let volts = rig.mains.volts.get();
    let load_va: f64 =
        circuits.iter().map(|circuit| circuit.volt_amps + circuit.other_amps.unwrap_or(0.0) * volts).sum();
    let how = Reckoning::new(
        "share",
        "sum of (watts / power factor) / rating; planned to 0.8",
        "arithmetic; 75 to 80 %: common practice",
    )
    .with("load", load_va, "VA", "sum")
    .with("rating", rated_va, "VA", "show file")
    .with("planned share", GENERATOR_SHARE, "", "assumed");
    let wanted_va = load_va / GENERATOR_SHARE;
    Some(GeneratorPlan { rated_va, load_va, share: load_va / rated_va, wanted_va, how })
}

/// For a circuit with more than one light on it.
pub(crate) fn switch_on(rig: &Rig, index: usize, units: &[UnitPlan]) -> Option<SwitchOnPlan> {
    let circuit = rig.circuits.get(index)?;
    let on: Vec<&Unit> = rig.units.iter().filter(|unit| unit.circuit == Some(index)).collect();
    if on.len() < 2 {
        return None;
    }
    let curve = circuit.curve.unwrap_or(Curve::B);
    let breaker = circuit.breaker.get();
    // One light takes 1/N of what may be switched on together.
    let part = |unit: &&Unit| {
        let plan = units.iter().find(|plan| plan.number == unit.number);
        let amps = plan.and_then(|plan| plan.amps).unwrap_or(0.0);
        let watts = plan.and_then(|plan| plan.watts).unwrap_or(f64::INFINITY);
        let peak = unit.profile.power.inrush.value().map(|peak| peak.get());
        let together = switch_on_together(breaker, curve, amps, watts, peak);
        1.0 / f64::from(together.max(1))
    };
    let mut parts: Vec<(u32, f64)> = on.iter().map(|unit| (unit.number, part(unit))).collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut groups: Vec<(f64, Vec<u32>)> = Vec::new();
    for (number, part) in parts {
        match groups.iter_mut().find(|(used, _)| used + part <= 1.0 + 1e-9) {
            Some((used, numbers)) => {
                *used += part;
                numbers.push(number);
            }
            None => groups.push((part, vec![number])),
        }
    }
    let by_table: Vec<u32> =
        on.iter().filter(|unit| !unit.profile.power.inrush.is_known()).map(|unit| unit.number).collect();
    let source = if by_table.is_empty() { INRUSH_SOURCE } else { INRUSH_TABLE_SOURCE };
    let how = Reckoning::new(
        "groups",
        "each light takes 1/N of a group; N = min(k x breaker / peak, breaker / amps), or the trade table",
        source,
    )
    .with("breaker", breaker, "A", "show file")
    .with("k", curve.peak_factor(), "", "table");
    let mut groups: Vec<Vec<u32>> = groups.into_iter().map(|(_, numbers)| numbers).collect();
    groups.iter_mut().for_each(|numbers| numbers.sort_unstable());
    Some(SwitchOnPlan {
        curve: curve.letter(),
        curve_assumed: circuit.curve.is_none(),
        groups,
        by_table,
        how,
    })
}

/// Where the show says what residual current device stands before the circuit.
pub(crate) fn leakage(rig: &Rig, index: usize) -> Option<LeakagePlan> {
    let circuit = rig.circuits.get(index)?;
    let rated_ma = circuit.rcd.or(rig.mains.rcd)?.get() * 1000.0;
    let on: Vec<&Unit> = rig.units.iter().filter(|unit| unit.circuit == Some(index)).collect();
    if on.is_empty() {
        return None;
    }
    let mut how =
        Reckoning::new("limit_ma", "0.3 x rating, against the sum of the lights' leakage", LEAKAGE_SOURCE)
            .with("rating", rated_ma, "mA", "show file")
            .with("standing part", LEAKAGE_SHARE, "", "standard");
    let mut known_ma = 0.0;
    let mut assumed = Vec::new();
    for unit in on {
        let fact = &unit.profile.power.leakage;
        match fact.value() {
            Some(leaks) => {
                known_ma += leaks.get() * 1000.0;
                how = how.with(
                    format!("light {}", unit.number),
                    leaks.get() * 1000.0,
                    "mA",
                    origin_word(fact.origin()),
                );
            }
            None => {
                assumed.push(unit.number);
                how = how.with(
                    format!("light {}, at most", unit.number),
                    CLASS_I_LEAKAGE * 1000.0,
                    "mA",
                    "assumed",
                );
            }
        }
    }
    let at_most_ma = known_ma + assumed.len() as f64 * CLASS_I_LEAKAGE * 1000.0;
    Some(LeakagePlan { rated_ma, limit_ma: rated_ma * LEAKAGE_SHARE, known_ma, at_most_ma, assumed, how })
}

pub(crate) fn check(
    rig: &Rig,
    circuits: &[CircuitPlan],
    phases: Option<&PhasesPlan>,
    generator: Option<&GeneratorPlan>,
    findings: &mut Vec<Finding>,
) {
    for (plan, circuit) in circuits.iter().zip(&rig.circuits) {
        leaks(plan, findings);
        groups(plan, circuit.curve.is_some(), findings);
        one_socket(rig, plan, circuit.lead.is_some(), findings);
    }
    if let Some(phases) = phases {
        uneven(phases, findings);
    }
    if let Some(generator) = generator {
        small_generator(generator, findings);
    }
}

fn leaks(circuit: &CircuitPlan, findings: &mut Vec<Finding>) {
    let Some(leakage) = &circuit.leakage else { return };
    let place = format!("circuit {}", circuit.name);
    let LeakagePlan { rated_ma, limit_ma, known_ma, at_most_ma, assumed, .. } = leakage;
    let finding = if *known_ma > *limit_ma {
        Finding::caution(
            "leakage",
            place,
            format!(
                "The lights on {} leak enough to trip its residual current device at times",
                circuit.name
            ),
        )
        .figure(format!("{known_ma:.1} mA of {limit_ma:.1} mA ({rated_ma:.0} mA device)"))
    } else if *at_most_ma > *limit_ma {
        Finding::note("leakage-assumed", place, format!("The lights on {} may leak enough to trip its residual current device at times", circuit.name))
            .figure(format!(
                "up to {at_most_ma:.1} mA of {limit_ma:.1} mA ({rated_ma:.0} mA device), {} assumed at 3.5 mA, the most that is allowed",
                lights(assumed)
            ))
    } else {
        return;
    };
    findings.push(
        finding
            .units(&circuit.units)
            .rule("what leaks all the time stays within 30 % of the device's rating", LEAKAGE_SOURCE)
            .remedy("Spread the lights over circuits with devices of their own; never bridge one, never lift an earth"),
    );
}

fn groups(circuit: &CircuitPlan, curve_known: bool, findings: &mut Vec<Finding>) {
    let Some(plan) = circuit.switch_on.as_ref().filter(|plan| curve_known && plan.groups.len() > 1) else {
        return;
    };
    let said: Vec<String> = plan.groups.iter().map(|group| super::finding::listed(group)).collect();
    findings.push(
        Finding::note("switch-on", format!("circuit {}", circuit.name), format!("Switch on {} in {} groups", circuit.name, said.len()))
            .units(&circuit.units)
            .figure(said.join(", then "))
            .rule("short peaks at switch-on add up and trip breakers", plan.how.source)
            .remedy("One group after another, a second or two apart, lights at zero; a breaker that trips asks for smaller groups"),
    );
}

/// A lead from one socket to all of a circuit's lights.
fn one_socket(rig: &Rig, circuit: &CircuitPlan, leads: bool, findings: &mut Vec<Finding>) {
    let (Some(limit), Some(amps)) = (rig.mains.receptacle.filter(|_| leads), circuit.light_amps) else {
        return;
    };
    if amps > limit.get() + 1e-9 {
        findings.push(
            Finding::caution(
                "receptacle-over",
                format!("circuit {}", circuit.name),
                format!("All of {} from one socket is much for it", circuit.name),
            )
            .units(&circuit.units)
            .figure(format!("{amps:.1} A of {:.1} A", limit.get()))
            .rule(
                "one socket has a planned use of its own, below its breaker",
                "`receptacle`, or the region's usual figure",
            )
            .remedy("Use two sockets"),
        );
    }
}

fn uneven(phases: &PhasesPlan, findings: &mut Vec<Finding>) {
    let figure = format!("{:.1}, {:.1} and {:.1} A", phases.amps[0], phases.amps[1], phases.amps[2]);
    if phases.imbalance > UNEVEN {
        findings.push(
            Finding::note("phases-uneven", "power", "The three phases are not evenly loaded")
                .figure(format!("{figure}: {:.0} % off the mean", phases.imbalance * 100.0))
                .rule("even phases leave the neutral and the supply in peace", "common practice, no source")
                .remedy("Move a circuit's lights to the phase with least on it"),
        );
    }
    findings.push(
        Finding::note("neutral", "power", "The neutral of a three-phase supply may carry more than a phase")
            .figure(format!(
                "{figure}; {:.1} A in step, {:.1} A at the very most",
                phases.neutral_amps, phases.neutral_worst_amps
            ))
            .rule(
                "third harmonics of electronic lights add up in the neutral instead of cancelling",
                "textbook; the factor is from memory",
            )
            .remedy("Let a licensed electrician look at the neutral; never open it under load"),
    );
}

fn small_generator(generator: &GeneratorPlan, findings: &mut Vec<Finding>) {
    let figure = format!(
        "{:.1} of {:.1} kVA ({:.0} %)",
        generator.load_va / 1000.0,
        generator.rated_va / 1000.0,
        generator.share * 100.0
    );
    let finding = if generator.share > 1.0 {
        Finding::error("generator-over", "power", "The generator is too small")
    } else if generator.share > GENERATOR_SHARE {
        Finding::caution("generator-full", "power", "The generator is nearly full")
    } else {
        return;
    };
    findings.push(
        finding
            .figure(figure)
            .rule(
                "a generator is planned to 75 to 80 % of its rating, for electronic lights rather less",
                "common practice, no source",
            )
            .remedy(format!("Take one of {:.1} kVA or more, or fewer lights", generator.wanted_va / 1000.0)),
    );
}
