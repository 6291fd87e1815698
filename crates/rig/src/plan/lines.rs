//! Data lines: order, cables, terminator, unit loads, length.

use std::collections::BTreeMap;

use lanthorn_physics::Point;
use serde::Serialize;

use super::finding::{Finding, capital, listed};
use super::units::{Way, followers};
use super::{position, straight_m, ways};
use crate::sums::route;
use crate::sums::stock::{pick, spares, with_slack};
use crate::{Reckoning, Rig, Run, Unit};

/// Unit loads that one driver can feed.
const UNIT_LOADS: f64 = 32.0;
/// Longest line.
const LENGTH_M: f64 = 300.0;
/// A real cable goes up, along and down: it is planned half as long again as the straight line.
const DETOUR: f64 = 1.5;
/// A shorter order is worth saying from here on, and when it is this part of today's.
const WORTH_M: f64 = 2.0;
/// See [`WORTH_M`].
const WORTH_PART: f64 = 0.05;
/// Branches are far when a splitter saves so much, and so large a part stays (this plan's defaults).
const FAR_BRANCHES_M: f64 = 15.0;
/// Lines of more lights are not searched for a shorter order.
const MOST_SEARCHED: usize = 64;
/// See [`FAR_BRANCHES_M`].
const FAR_BRANCHES_PART: f64 = 0.7;
const EIA_485: &str = "EIA-485, which ANSI E1.11 builds on";
const GUIDES: &str = "published DMX512 cabling guides; common practice";

/// One data line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LinePlan {
    /// Its name ("line 1", "chain of light 4").
    pub name: String,
    /// Driven or linked.
    pub kind: LineKind,
    /// The one universe on it; none when linked, not addressed, or more than one.
    pub universe: Option<u16>,
    /// The lights in the order of the cable; for a linked chain the leader first.
    pub units: Vec<u32>,
    /// From one thing to the next: driven, from the controller on; linked, from the leader on.
    pub legs: Vec<Leg>,
    /// How many cables: as many as lights when driven, one fewer when linked.
    pub cables: usize,
    /// With a tenth more, rounded up, and one spare.
    pub cables_to_carry: usize,
    /// The light whose data output takes the terminator: the last one. None for an empty chain or a lone leader.
    pub terminator: Option<u32>,
    /// EIA-485 unit loads, an unknown one counted as 1.
    pub unit_loads: f64,
    /// Lights whose unit load is assumed.
    pub assumed_unit_loads: Vec<u32>,
    /// Sum of the known legs as straight lines: real cable is longer. None when no leg is known.
    pub straight_m: Option<f64>,
    /// `true` when every leg is known, the one from the controller among them.
    pub length_complete: bool,
    /// Sum of the known legs as a cable runs: along places, down, along the floor, up.
    pub way_m: Option<f64>,
    /// A shorter order, where there is one that saves two metres and a twentieth or more.
    pub shorter: Option<ShorterOrder>,
    /// Why a splitter would help here; none: it would not.
    pub splitter: Option<String>,
    /// How the length was reached.
    pub how: Option<Reckoning>,
}

/// A shorter order of the same line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShorterOrder {
    /// The lights, from the controller on.
    pub units: Vec<u32>,
    /// As a cable runs.
    pub way_m: f64,
    /// Shorter than today's order by so much.
    pub saves_m: f64,
    /// No order is shorter.
    pub exact: bool,
}

/// What feeds a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LineKind {
    /// A controller.
    Driven,
    /// A leading light.
    Linked,
}

/// One cable.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leg {
    /// Light it comes from; none: the controller.
    pub from: Option<u32>,
    /// Light it goes to.
    pub to: u32,
    /// As a straight line; none when an end's place is not known.
    pub straight_m: Option<f64>,
    /// As a cable runs: along the place, down at its end, along the floor, up. Without slack.
    pub way_m: Option<f64>,
    /// What to take for it from the stock of lengths, slack included; empty when the way is not known.
    pub cables_m: Vec<f64>,
}

pub(crate) fn plan(rig: &Rig) -> Vec<LinePlan> {
    let mut driven: BTreeMap<String, Vec<&Unit>> = BTreeMap::new();
    let mut leaders: Vec<u32> = Vec::new();
    for unit in &rig.units {
        match unit.run {
            Run::Driven { .. } => driven.entry(driven_name(rig, unit)).or_default().push(unit),
            Run::Linked { leader, .. } => leaders.push(leader),
            Run::OnItsOwn { .. } => {}
        }
    }
    leaders.sort_unstable();
    leaders.dedup();
    let mut lines: Vec<LinePlan> = driven
        .into_iter()
        .map(|(name, mut units)| {
            units.sort_by_key(|unit| (unit.line_order, unit.number));
            line(rig, name, LineKind::Driven, &units)
        })
        .collect();
    lines.extend(leaders.into_iter().map(|leader| {
        let numbers = std::iter::once(leader).chain(followers(rig, leader));
        let units: Vec<&Unit> =
            numbers.filter_map(|number| rig.units.iter().find(|unit| unit.number == number)).collect();
        line(rig, format!("chain of light {leader}"), LineKind::Linked, &units)
    }));
    lines
}

/// A light without a named line is on a line for its universe; without an address, on that of the first universe.
fn driven_name(rig: &Rig, unit: &Unit) -> String {
    if let Some(name) = &unit.line {
        return called(name);
    }
    let universe = |unit: &Unit| unit.address().map(|address| address.universe.number());
    let universe = universe(unit).or_else(|| rig.units.iter().filter_map(universe).min());
    format!("line {}", universe.unwrap_or(1))
}

/// A line by its name, so that it reads as one wherever it stands: "line A".
pub(crate) fn called(name: &str) -> String {
    if name.to_lowercase().contains("line") { name.to_owned() } else { format!("line {name}") }
}

fn line(rig: &Rig, name: String, kind: LineKind, units: &[&Unit]) -> LinePlan {
    let numbers: Vec<u32> = units.iter().map(|unit| unit.number).collect();
    let legs = legs(rig, kind, units);
    let known: Vec<f64> = legs.iter().filter_map(|leg| leg.straight_m).collect();
    let universes = universes(units);
    let load = |unit: &&Unit| unit.profile.data.unit_load.value().filter(|load| *load >= 0.0);
    let unit_loads = units.iter().map(|unit| load(unit).unwrap_or(1.0)).sum();
    let ways: Option<Vec<f64>> = legs.iter().map(|leg| leg.way_m).collect();
    let whole_way = ways.filter(|ways| !ways.is_empty()).map(|ways| ways.iter().sum::<f64>());
    let known_ways: Vec<f64> = legs.iter().filter_map(|leg| leg.way_m).collect();
    let way_m = (!known_ways.is_empty()).then(|| known_ways.iter().sum::<f64>());
    LinePlan {
        name,
        kind,
        universe: if let [one] = universes[..] { Some(one) } else { None },
        cables: legs.len(),
        cables_to_carry: legs.len() + spares(legs.len()),
        terminator: numbers.last().copied().filter(|_| !legs.is_empty()),
        unit_loads,
        assumed_unit_loads: units
            .iter()
            .filter(|unit| load(unit).is_none())
            .map(|unit| unit.number)
            .collect(),
        straight_m: (!known.is_empty()).then(|| known.iter().sum()),
        length_complete: known.len() == legs.len(),
        way_m,
        shorter: shorter(rig, kind, units, whole_way),
        splitter: splitter(rig, kind, units, unit_loads, way_m),
        how: way_m.map(|way| ways::reckoning("way_m", way)),
        units: numbers,
        legs,
    }
}

fn legs(rig: &Rig, kind: LineKind, units: &[&Unit]) -> Vec<Leg> {
    let straight = |from: Option<Point>, to: &Unit| straight_m(from?, position(rig, to)?);
    let stock: Vec<f64> = rig.stock.data.iter().map(|length| length.get()).collect();
    let leg = |from: Option<u32>, to: &Unit, straight_m: Option<f64>, way_m: Option<f64>| {
        let cables_m = way_m.map_or_else(Vec::new, |way| pick(with_slack(way), &stock));
        Leg { from, to: to.number, straight_m, way_m, cables_m }
    };
    let first = units.first().filter(|_| kind == LineKind::Driven).map(|first| {
        let way = rig.controller.and_then(|at| ways::from_point(rig, at, first));
        leg(None, first, straight(rig.controller, first), way)
    });
    let rest = units.windows(2).map(|pair| {
        let way = ways::between(rig, pair[0], pair[1]);
        leg(Some(pair[0].number), pair[1], straight(position(rig, pair[0]), pair[1]), way)
    });
    first.into_iter().chain(rest).collect()
}

/// The shortest order of a driven line, if it saves enough; a linked chain begins with its leader.
fn shorter(rig: &Rig, kind: LineKind, units: &[&Unit], today: Option<f64>) -> Option<ShorterOrder> {
    let (today, ways) = (today?, Ways::of(rig, kind, units)?);
    let found = ways.shortest();
    let saves_m = today - found.length;
    let numbers = ways.fixed.iter().chain(&ways.free).map(|unit| unit.number).collect::<Vec<u32>>();
    let order = found.order.iter().filter_map(|index| numbers.get(index + ways.fixed.len())).copied();
    let units = numbers[..ways.fixed.len()].iter().copied().chain(order).collect();
    (saves_m >= WORTH_M.max(WORTH_PART * today)).then_some(ShorterOrder {
        units,
        way_m: found.length,
        saves_m,
        exact: found.exact,
    })
}

/// Ways between the lights of a line, all of them known.
struct Ways<'u> {
    /// A leader, where the line begins with it.
    fixed: Vec<&'u Unit>,
    free: Vec<&'u Unit>,
    from_start: Vec<f64>,
    between: Vec<Vec<f64>>,
}

impl<'u> Ways<'u> {
    fn of(rig: &Rig, kind: LineKind, units: &[&'u Unit]) -> Option<Self> {
        let lead = usize::from(kind == LineKind::Linked);
        let (fixed, free) = units.split_at_checked(lead).filter(|_| units.len() <= MOST_SEARCHED)?;
        let from = |unit: &&Unit| match fixed {
            [leader] => ways::between(rig, leader, unit),
            _ => ways::from_point(rig, rig.controller?, unit),
        };
        Some(Self {
            from_start: free.iter().map(from).collect::<Option<_>>()?,
            between: free
                .iter()
                .map(|a| free.iter().map(|b| ways::between(rig, a, b)).collect::<Option<_>>())
                .collect::<Option<_>>()?,
            fixed: fixed.to_vec(),
            free: free.to_vec(),
        })
    }

    fn shortest(&self) -> route::Order {
        route::shortest(Some(&self.from_start), &self.between)
    }

    /// Cable that branches from splitters would need: the shortest tree from the controller (Prim).
    fn tree_m(&self) -> f64 {
        let mut near = self.from_start.clone();
        let mut left: Vec<usize> = (0..near.len()).collect();
        let mut sum = 0.0;
        while let Some(at) = (0..left.len()).min_by(|a, b| near[left[*a]].total_cmp(&near[left[*b]])) {
            let taken = left.remove(at);
            sum += near[taken];
            for other in &left {
                near[*other] = near[*other].min(self.between[taken][*other]);
            }
        }
        sum
    }
}

/// Why a splitter would help.
fn splitter(rig: &Rig, kind: LineKind, units: &[&Unit], loads: f64, way_m: Option<f64>) -> Option<String> {
    if loads > UNIT_LOADS {
        return Some(format!("{loads:.1} unit loads are more than the 32 of one driver"));
    }
    if let Some(way) = way_m.filter(|way| *way > LENGTH_M) {
        return Some(format!("{way:.0} m are more than 300 m for one line"));
    }
    let ways = Ways::of(rig, kind, units).filter(|_| kind == LineKind::Driven)?;
    let (line, tree) = (ways.shortest().length, ways.tree_m());
    (line - tree > FAR_BRANCHES_M && tree < FAR_BRANCHES_PART * line).then(|| {
        format!("far branches: {tree:.0} m of cable from a splitter instead of {line:.0} m in one line")
    })
}

fn universes(units: &[&Unit]) -> Vec<u16> {
    let mut universes: Vec<u16> =
        units.iter().filter_map(|unit| unit.address()).map(|address| address.universe.number()).collect();
    universes.sort_unstable();
    universes.dedup();
    universes
}

pub(crate) fn check(rig: &Rig, lines: &[LinePlan], findings: &mut Vec<Finding>) {
    for line in lines {
        loads(line, findings);
        length(rig, line, findings);
        terminator(line, findings);
        one_universe(rig, line, findings);
    }
    one_line_each(lines, findings);
    for unit in rig.units.iter().filter(|unit| Way::of(&unit.run) == Way::OnItsOwn && unit.line.is_some()) {
        let what = format!("Light {} runs on its own and needs no data cable", unit.number);
        findings.push(
            Finding::note("needless-cable", super::at(unit), what)
                .units(&[unit.number])
                .rule(
                    "a light on its own listens to nobody; left as a leader it may even talk",
                    "common practice, no source",
                )
                .remedy("Leave it off the line"),
        );
    }
}

fn loads(line: &LinePlan, findings: &mut Vec<Finding>) {
    let place = line.name.as_str();
    let assumed = match line.assumed_unit_loads.len() {
        0 => String::new(),
        count => format!(", {count} of them assumed as 1"),
    };
    let figure = format!("{:.1} unit loads of 32{assumed}", line.unit_loads);
    if line.unit_loads > UNIT_LOADS {
        findings.push(
            Finding::error("unit-loads", place, format!("Too many lights on {place} for one driver"))
                .units(&line.units)
                .figure(figure)
                .rule("one driver feeds 32 unit loads", EIA_485)
                .remedy("Split the line with an isolated splitter: every output is a new line with its own terminator"),
        );
    }
}

fn length(rig: &Rig, line: &LinePlan, findings: &mut Vec<Finding>) {
    let place = line.name.as_str();
    let straight = line.straight_m.unwrap_or(0.0);
    let figure =
        format!("{straight:.0} m along straight lines, about {:.0} m of cable, of 300 m", straight * DETOUR);
    let finding = if straight > LENGTH_M {
        Finding::error("line-long", place, format!("{} is too long", capital(place)))
    } else if straight * DETOUR > LENGTH_M {
        Finding::caution(
            "line-long",
            place,
            format!("{} may be too long once the cable goes up and down", capital(place)),
        )
    } else {
        if rig.controller.is_none() && line.kind == LineKind::Driven {
            findings.push(
                Finding::note(
                    "controller-place-unknown",
                    place,
                    format!("First cable of {place} is not measured"),
                )
                .units(&line.units)
                .rule("a line starts at the controller", "common practice, no source")
                .remedy("Say where the controller stands"),
            );
        }
        return;
    };
    findings.push(
        finding
            .units(&line.units)
            .figure(figure)
            .rule("300 m (1000 ft) of data cable for one line", GUIDES)
            .remedy("Shorten it, or put an isolated splitter in the middle: it starts a new line"),
    );
}

fn terminator(line: &LinePlan, findings: &mut Vec<Finding>) {
    let Some(last) = line.terminator else { return };
    findings.push(
        Finding::note(
            "terminator",
            line.name.as_str(),
            format!("Terminator on light {last}, the last of {}", line.name),
        )
        .units(&[last])
        .figure("120 Ω between pins 2 and 3")
        .rule("the far end of every line is terminated", EIA_485)
        .remedy("Put the terminator plug into its data output; a passive Y in the line is never right"),
    );
}

fn one_universe(rig: &Rig, line: &LinePlan, findings: &mut Vec<Finding>) {
    let on_line: Vec<&Unit> = rig.units.iter().filter(|unit| line.units.contains(&unit.number)).collect();
    let universes: Vec<u32> = universes(&on_line).into_iter().map(u32::from).collect();
    if line.kind == LineKind::Driven && universes.len() > 1 {
        findings.push(
            Finding::error(
                "line-universes",
                line.name.as_str(),
                format!("{} carries more than one universe", capital(&line.name)),
            )
            .units(&line.units)
            .figure(format!("universes {}", listed(&universes)))
            .rule("one cable carries one universe of 512 slots", "ANSI E1.11")
            .remedy("Give each universe a line of its own, or address these lights in one universe"),
        );
    }
}

fn one_line_each(lines: &[LinePlan], findings: &mut Vec<Finding>) {
    let mut by_universe: BTreeMap<u16, Vec<&LinePlan>> = BTreeMap::new();
    for line in lines {
        if let Some(universe) = line.universe {
            by_universe.entry(universe).or_default().push(line);
        }
    }
    for (universe, lines) in by_universe.into_iter().filter(|(_, lines)| lines.len() > 1) {
        let names: Vec<String> = lines.iter().map(|line| line.name.clone()).collect();
        let units: Vec<u32> = lines.iter().flat_map(|line| line.units.clone()).collect();
        findings.push(
            Finding::note(
                "universe-lines",
                format!("universe {universe}"),
                format!("Universe {universe} leaves on {} lines", lines.len()),
            )
            .units(&units)
            .figure(super::finding::and(&names))
            .rule("a line never forks by itself: each one starts at an output or a splitter", GUIDES)
            .remedy(
                "Feed these lines from an isolated splitter, or from two outputs that send the same universe",
            ),
        );
    }
}
