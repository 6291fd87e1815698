//! The plan: what to select in each light's menu, the sums, and the findings.
//!
//! [`plan`] is a function of the rig alone; nothing in it depends on time, order of hashing or the machine. Whatever
//! is wrong with a rig becomes a [`Finding`]; nothing panics. An unknown figure is `None` here and `null` in JSON, or
//! it is assumed and says so; it is never zero.
//!
//! The sums themselves stand in [`crate::sums`]; docs/plan.md tells every formula and its source. The plan sums and warns;
//! it never says that something may be hung or plugged in.

mod addresses;
mod beams;
mod bearing;
mod cautions;
mod chains;
mod circuits;
mod compare;
mod depth_text;
mod finding;
mod lines;
mod links;
mod packing;
mod patching;
mod places;
mod power;
mod seat;
mod supply;
mod text;
mod units;
mod ways;

use lanthorn_fixture::{Attribute, Mode};
use lanthorn_physics::Point;
use serde::Serialize;

pub use self::addresses::{AddressChange, ReaddressPlan};
pub use self::beams::{Landing, Surface};
pub use self::bearing::{BarPlan, StandPlan};
pub use self::chains::{ChainPlan, DropPlan, Link};
pub use self::circuits::{AssignedCircuit, AssignmentPlan, Move};
pub use self::compare::{Difference, compare, difference_text};
pub use self::finding::{Finding, Severity, lights};
pub use self::lines::{Leg, LineKind, LinePlan, ShorterOrder};
pub use self::packing::{BatteryPlan, CasePlan, PackedItem};
pub use self::places::PlacePlan;
pub use self::power::CircuitPlan;
pub use self::seat::SeatPlan;
pub use self::supply::{GeneratorPlan, LeakagePlan, PhasesPlan, SwitchOnPlan};
pub use self::text::{short_text, to_text};
pub use self::units::{NoisePlan, UnitPlan, Way};
use crate::patch::{UniversePlan, universes};
use crate::{HangingPlace, Rig, Unit};

/// Everything that one must know before leaving home. Field names carry their units.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// "Eleven lights, one line, two circuits".
    pub headline: String,
    /// The room's name.
    pub room: String,
    /// Nominal mains tension that the currents are computed for.
    pub mains_volts: f64,
    /// Every light, by number.
    pub units: Vec<UnitPlan>,
    /// Every data line: driven ones by name, then linked chains by their leader.
    pub lines: Vec<LinePlan>,
    /// Every universe in use.
    pub universes: Vec<UniversePlan>,
    /// New addresses with the least change; none where today's are well.
    pub readdress: Option<ReaddressPlan>,
    /// Every circuit, in the rig's order.
    pub circuits: Vec<CircuitPlan>,
    /// Lights that are on no circuit and so in no sum.
    pub without_circuit: Vec<u32>,
    /// Every hanging place that carries a light, in the room's order.
    pub places: Vec<PlacePlan>,
    /// All fans together.
    pub noise: NoisePlan,
    /// How the lights are best divided among the circuits; none without circuits.
    pub assignment: Option<AssignmentPlan>,
    /// Three phases, where circuits say theirs.
    pub phases: Option<PhasesPlan>,
    /// The generator, where there is one.
    pub generator: Option<GeneratorPlan>,
    /// Lights that feed each other.
    pub chains: Vec<ChainPlan>,
    /// Tension lost in leads, where they are known.
    pub drops: Vec<DropPlan>,
    /// What to pack, case by case.
    pub cases: Vec<CasePlan>,
    /// What the plan noticed, worst first, then by place.
    pub findings: Vec<Finding>,
    /// What to mind with a rig like this one.
    pub cautions: Vec<String>,
}

/// Plans a rig.
pub fn plan(rig: &Rig) -> Plan {
    let units = units::plan(rig);
    let lines = lines::plan(rig);
    let circuits = power::plan(rig, &units);
    let places = places::plan(rig);
    let assignment = circuits::plan(rig, &units, &circuits);
    let (phases, generator) = (supply::phases_of(rig, &circuits), supply::generator(rig, &circuits));
    let (chains, drops) = (chains::plan(rig, &units), chains::drops(rig, &units));
    let cases = packing::plan(rig, &units, &lines, &packing::leads(rig));
    let mut findings = Vec::new();
    broken_references(rig, &mut findings);
    patching::check(rig, &mut findings);
    links::check(rig, &mut findings);
    lines::check(rig, &lines, &mut findings);
    power::check(rig, &units, &circuits, assignment.as_ref(), &mut findings);
    supply::check(rig, &circuits, phases.as_ref(), generator.as_ref(), &mut findings);
    chains::check(rig, &units, &chains, &drops, &mut findings);
    places::check(rig, &places, &mut findings);
    beams::check(rig, &units, &mut findings);
    findings.sort_by_cached_key(Finding::key);
    Plan {
        headline: headline(rig, &lines),
        room: rig.room.name.clone(),
        mains_volts: rig.mains.volts.get(),
        universes: universes(rig),
        readdress: addresses::plan(rig),
        without_circuit: units.iter().filter(|u| u.circuit.is_none()).map(|u| u.number).collect(),
        noise: units::noise(rig, &units),
        cautions: cautions::list(rig, &units),
        units,
        lines,
        circuits,
        places,
        assignment,
        phases,
        generator,
        chains,
        drops,
        cases,
        findings,
    }
}

fn headline(rig: &Rig, lines: &[LinePlan]) -> String {
    let used = (0..rig.circuits.len()).filter(|i| rig.units.iter().any(|u| u.circuit == Some(*i))).count();
    let parts = [(rig.units.len(), "light"), (lines.len(), "line"), (used, "circuit")]
        .map(|(count, noun)| format!("{} {noun}{}", number_word(count), if count == 1 { "" } else { "s" }));
    finding::capital(&parts.join(", "))
}

/// "no", "one" … "twelve", then digits.
fn number_word(count: usize) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

/// A rig built by hand may point at modes, places or circuits that do not exist, or use a number twice.
fn broken_references(rig: &Rig, findings: &mut Vec<Finding>) {
    for unit in &rig.units {
        let lacks = [
            (mode(unit).is_none(), "mode"),
            (place(rig, unit).is_none(), "hanging place"),
            (unit.circuit.is_some_and(|index| index >= rig.circuits.len()), "circuit"),
        ];
        for (_, what) in lacks.iter().filter(|(lacks, _)| *lacks) {
            findings.push(
                Finding::error(
                    "broken-reference",
                    at(unit),
                    format!("Light {}: its {what} does not exist", unit.number),
                )
                .units(&[unit.number])
                .rule("every light names a mode, a hanging place and a circuit that exist", "this tool")
                .remedy(format!("Choose a {what} that exists")),
            );
        }
    }
    let mut numbers: Vec<u32> = rig.units.iter().map(|unit| unit.number).collect();
    numbers.sort_unstable();
    let mut twice: Vec<u32> =
        numbers.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0]).collect();
    twice.dedup();
    for number in twice {
        findings.push(
            Finding::error(
                "number-twice",
                format!("light {number}"),
                format!("Two lights have the number {number}"),
            )
            .units(&[number])
            .rule("every light has a number of its own", "this tool")
            .remedy("Give one of them a free number"),
        );
    }
}

/// Where a finding about one light is.
fn at(unit: &Unit) -> String {
    format!("light {}", unit.number)
}

/// The selected mode, if it exists.
fn mode(unit: &Unit) -> Option<&Mode> {
    unit.profile.modes.get(unit.mode)
}

/// The hanging place, if it exists.
fn place<'a>(rig: &'a Rig, unit: &Unit) -> Option<&'a HangingPlace> {
    rig.room.places.get(unit.place)
}

/// Where its base plate is, if that can be known and lies within a thousand kilometres.
fn position(rig: &Rig, unit: &Unit) -> Option<Point> {
    let near = |point: &Point| <[f64; 3]>::from(*point).iter().all(|metres| metres.abs() < 1e6);
    place(rig, unit).map(|place| place.at(unit.offset)).filter(near)
}

/// Straight-line distance in metres; none when it is beyond all numbers.
fn straight_m(from: Point, to: Point) -> Option<f64> {
    let [a, b]: [[f64; 3]; 2] = [from.into(), to.into()];
    let sum: f64 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
    Some(sum.sqrt()).filter(|metres| metres.is_finite())
}

/// `true` when some channel of the mode controls it.
fn has(mode: &Mode, attribute: &Attribute) -> bool {
    mode.channels.iter().any(|channel| channel.ranges.iter().any(|range| range.attribute == *attribute))
}
