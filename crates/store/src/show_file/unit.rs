//! Lights, groups and circuits.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::Profile;
use lanthorn_physics::Point;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Found, Group, PlaceKind, Room, Run, Unit};

use super::address::{self, Wanted};
use super::room::{Marks, marks_of, place_or_mark};
use super::{Names, Unique, for_each, power};
use crate::quantity::{ANGLE, LENGTH, Measure};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot, number_list};
use crate::words::WAYS_UP;

/// Most lights in a show.
const MOST_UNITS: usize = 4096;

/// How a light runs, as one word.
#[derive(Clone, Copy, PartialEq)]
enum RunWord {
    Driven,
    Linked,
    OnItsOwn,
}

/// A light and where it stands in the file, until everything that refers to other lights is settled.
pub(super) struct Draft<'n> {
    pub(super) unit: Unit,
    pub(super) at: usize,
    pub(super) address: Option<Spot<'n>>,
    pub(super) shares: Option<Spot<'n>>,
    leader: Option<Spot<'n>>,
}

/// Lights, ascending by number; and every number that stands in the file, those of lights that cannot be used included.
pub(super) fn units(
    root: &Fields<'_>,
    room: &Room,
    names: &Names,
    report: &mut Report<'_>,
) -> (Vec<Unit>, BTreeSet<u32>) {
    let places = room.places.iter().enumerate().map(|(index, place)| (place.name.clone(), index)).collect();
    let reader = Reader { room, names, marks: marks_of(room), places };
    let mut drafts: Vec<Draft<'_>> = Vec::new();
    let mut cabled = Cabled::default();
    for table in root.tables("unit", report) {
        let at = table.at;
        drafts.extend(reader.table(table, &mut cabled, report));
        if drafts.len() > MOST_UNITS {
            let what = format!("a show has at most {MOST_UNITS} lights");
            report.wrong_at(at, "unit", &what, "split the show in two");
            return (Vec::new(), cabled.mentioned);
        }
    }
    drafts.sort_by_key(|draft| draft.unit.number);
    for pair in drafts.windows(2).filter(|pair| pair[0].unit.number == pair[1].unit.number) {
        let number = pair[0].unit.number;
        let (first, second) = (report.line(pair[0].at), report.line(pair[1].at));
        let what = format!("two lights have the number {number} (lines {first} and {second})");
        report.wrong_at(pair[1].at, &format!("unit {number}"), &what, "give each light a number of its own");
    }
    address::settle(&mut drafts, &cabled.mentioned, report);
    leaders(&drafts, &cabled.mentioned, report);
    power::feeders(&drafts, &cabled.mentioned, report);
    (drafts.into_iter().map(|draft| draft.unit).collect(), cabled.mentioned)
}

/// Whoever follows must follow a light that leads.
fn leaders(drafts: &[Draft<'_>], mentioned: &BTreeSet<u32>, report: &mut Report<'_>) {
    let linked: BTreeMap<u32, u32> = drafts
        .iter()
        .filter_map(|draft| match draft.unit.run {
            Run::Linked { leader, .. } => Some((draft.unit.number, leader)),
            _ => None,
        })
        .collect();
    for draft in drafts {
        let (Run::Linked { leader, .. }, Some(spot)) = (&draft.unit.run, &draft.leader) else { continue };
        match linked.get(leader) {
            Some(own) if own == leader => {}
            Some(_) => report.wrong(
                spot,
                &format!("light {leader} follows another itself"),
                "name the light at the head of the chain",
            ),
            None if mentioned.contains(leader)
                && drafts.binary_search_by_key(leader, |other| other.unit.number).is_err() => {}
            None => {
                let what = format!("light {leader} does not lead");
                report.wrong(
                    spot,
                    &what,
                    &format!("give light {leader} `run = \"linked\"` and `leader = {leader}`"),
                );
            }
        }
    }
}

/// Groups of lights.
pub(super) fn groups(
    root: &Fields<'_>,
    units: &[Unit],
    mentioned: &BTreeSet<u32>,
    report: &mut Report<'_>,
) -> Vec<Group> {
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("group", report) {
        let spot = table.need("name", "\"front pair\"", report);
        let name = spot.as_ref().and_then(|s| report.name(s));
        if let (Some(spot), Some(name)) = (&spot, &name) {
            seen.check(name, "group", table.at, report);
            table.called(format!("group \"{name}\""));
            if name == "all" || number_list(name, 4096).is_some() {
                report.wrong(
                    spot,
                    "this word means lights by itself",
                    "choose a name that is no number and not \"all\"",
                );
            }
        }
        let spot = table.need("units", "\"1-4\"", report);
        let numbers = spot.as_ref().and_then(|s| report.numbers(s)).unwrap_or_default();
        let mut members = Vec::new();
        for number in numbers {
            match units.binary_search_by_key(&number, |unit| unit.number) {
                Ok(index) => members.push(index),
                Err(_) if mentioned.contains(&number) => {} // said where it stands
                Err(_) => {
                    if let Some(spot) = &spot {
                        report.wrong(
                            spot,
                            &format!("there is no light {number}"),
                            "name lights that stand under `[[unit]]`",
                        );
                    }
                }
            }
        }
        table.finish(report);
        list.extend(name.map(|name| Group { name, units: members }));
    }
    list
}

struct Reader<'r> {
    room: &'r Room,
    names: &'r Names,
    marks: Marks,
    places: BTreeMap<String, usize>,
}

/// What one `[[unit]]` says of each of its lights; empty where it says nothing.
struct Each {
    at: Vec<f64>,
    turn: Vec<f64>,
    lean: Vec<f64>,
    focus: Vec<Point>,
    line_order: Option<u32>,
}

/// Where one `[[unit]]` says whom its lights listen to.
struct Others<'n> {
    address: Option<Spot<'n>>,
    shares: Option<Spot<'n>>,
    leader: Option<Spot<'n>>,
    shares_number: Option<u32>,
    leader_number: Option<u32>,
}

impl<'n> Others<'n> {
    fn read(table: &Fields<'n>, run: Option<RunWord>, report: &mut Report<'_>) -> Self {
        let (address, shares, leader) = (table.get("address"), table.get("shares"), table.get("leader"));
        let mut number = |spot: &Option<Spot<'n>>| {
            spot.as_ref().and_then(|s| report.whole(s, 1, 99_999)).map(|number| number as u32)
        };
        let (shares_number, leader_number) = (number(&shares), number(&leader));
        if run == Some(RunWord::Linked) && leader.is_none() {
            table.need("leader", "1", report);
        }
        let fits = [(&address, RunWord::Driven), (&shares, RunWord::Driven), (&leader, RunWord::Linked)];
        for (spot, wanted) in fits {
            if let Some(spot) = spot.as_ref().filter(|_| run.is_some_and(|run| run != wanted)) {
                let what = "this means nothing for a light that runs this way";
                report.wrong(spot, what, "leave it out, or change `run`");
            }
        }
        Self { address, shares, leader, shares_number, leader_number }
    }
}

/// What lights have in common across the whole file.
#[derive(Default)]
struct Cabled {
    /// Numbers that stand in the file, those of lights that cannot be used included.
    mentioned: BTreeSet<u32>,
    /// Lights so far on each data line.
    lines: BTreeMap<String, u32>,
}

impl Cabled {
    /// Place of the next light on a line, from 1.
    fn next(&mut self, line: &str) -> u32 {
        let count = self.lines.entry(line.to_owned()).or_insert(0);
        *count += 1;
        *count
    }
}

/// What one `[[unit]]` says of all its lights.
struct Common {
    profile: Arc<Profile>,
    mode: usize,
    place: usize,
    up: WayUp,
    pan_invert: bool,
    tilt_invert: bool,
    swap: bool,
    circuit: Option<usize>,
    line: Option<String>,
    programme: Option<String>,
    run: RunWord,
    case: Option<String>,
}

impl Reader<'_> {
    /// The lights of one `[[unit]]`; what cannot be used is reported and left out.
    fn table<'n>(
        &self,
        mut table: Fields<'n>,
        cabled: &mut Cabled,
        report: &mut Report<'_>,
    ) -> Vec<Draft<'n>> {
        let Some(numbers) = numbers(&table, report) else { return Vec::new() };
        cabled.mentioned.extend(&numbers);
        table.called(match numbers[..] {
            [only] => format!("unit {only}"),
            [first, .., last] => format!("units {first} to {last}"),
            [] => "unit".to_owned(),
        });
        let common = self.common(&table, report);
        let each = self.each(&table, numbers.len(), report);
        let feeds = power::feeds(&table, numbers.len(), report);
        let others = Others::read(&table, common.as_ref().map(|common| common.run), report);
        table.finish(report);
        let Some(common) = common else { return Vec::new() };
        let footprint = common.profile.modes[common.mode].footprint();
        let wanted = others.address.as_ref().filter(|_| common.run == RunWord::Driven);
        let addresses = Wanted::new(wanted, numbers.len(), footprint, others.shares.is_some(), report);
        let mut list = Vec::new();
        for (index, number) in numbers.into_iter().enumerate() {
            let (address, address_spot) = addresses.of(index);
            let next = common.line.as_ref().map_or(0, |line| cabled.next(line));
            let unit = Unit {
                number,
                profile: common.profile.clone(),
                mode: common.mode,
                place: common.place,
                offset: Metres::new(each.at.get(index).copied().unwrap_or(0.0)),
                up: common.up,
                turn: Radians::new(each.turn.get(index).copied().unwrap_or(0.0)),
                lean: Radians::new(each.lean.get(index).copied().unwrap_or(0.0)),
                pan_invert: common.pan_invert,
                tilt_invert: common.tilt_invert,
                swap: common.swap,
                focus: each.focus.get(index).copied(),
                run: common.run(address, &others),
                circuit: common.circuit,
                line: common.line.clone(),
                line_order: each.line_order.unwrap_or(next),
                feed: feeds.get(index).copied().unwrap_or_default(),
                case: common.case.clone(),
                found: Found::default(),
            };
            let (shares, leader) = (others.shares.clone(), others.leader.clone());
            list.push(Draft { unit, at: table.at, address: address_spot, shares, leader });
        }
        list
    }

    fn each(&self, table: &Fields<'_>, count: usize, report: &mut Report<'_>) -> Each {
        Each {
            at: each_measure(table, "at", count, LENGTH.between(-100.0, 100.0), report),
            turn: each_measure(table, "turn", count, ANGLE, report),
            lean: each_measure(table, "lean", count, ANGLE, report),
            focus: self.focus(table, count, report),
            line_order: table
                .get("line_order")
                .and_then(|s| report.whole(&s, 0, 4096))
                .map(|order| order as u32),
        }
    }

    fn common(&self, table: &Fields<'_>, report: &mut Report<'_>) -> Option<Common> {
        let profile =
            table.need("profile", "\"small wash head\"", report).and_then(|s| self.profile(&s, report));
        let mode = match (&profile, table.get("mode")) {
            (Some(profile), Some(spot)) => mode(profile, &spot, report),
            (Some(profile), None) if profile.modes.len() == 1 => Some(0),
            (Some(profile), None) => {
                let first = &profile.modes[0].name;
                table.need("mode", &format!("\"{first}\""), report);
                None
            }
            (None, _) => None,
        };
        let place = table.need("place", "\"front bar\"", report).and_then(|s| {
            let name = report.name(&s)?;
            self.found(&self.places, &s, "place", &name, report)
        });
        let circuit = table.get("circuit").and_then(|s| {
            let name = report.name(&s)?;
            self.found(&self.names.circuits, &s, "circuit", &name, report)
        });
        let up = table.get("up").and_then(|s| report.choice(&s, WAYS_UP));
        let [pan_invert, tilt_invert] = inverted(table, report);
        let swap = table.get("swap").and_then(|s| report.flag(&s)).unwrap_or(false);
        let line = table.get("line").and_then(|s| report.name(&s));
        let case = table.get("case").and_then(|s| report.name(&s));
        const RUNS: &[(&str, RunWord)] =
            &[("driven", RunWord::Driven), ("linked", RunWord::Linked), ("on its own", RunWord::OnItsOwn)];
        let run = table.get("run").map(|s| report.choice(&s, RUNS));
        let programme = table.get("programme").and_then(|s| self.programme(&s, profile.as_deref(), report));
        let (profile, mode, place) = (profile?, mode?, place?);
        let usual = match self.room.places[place].kind {
            PlaceKind::Bar | PlaceKind::Truss => WayUp::Hanging,
            PlaceKind::Stand | PlaceKind::Floor => WayUp::Standing,
        };
        let run = run.unwrap_or(Some(RunWord::Driven))?;
        let up = up.unwrap_or(usual);
        Some(Common {
            profile,
            mode,
            place,
            up,
            pan_invert,
            tilt_invert,
            swap,
            circuit,
            line,
            programme,
            run,
            case,
        })
    }

    fn found(
        &self,
        known: &BTreeMap<String, usize>,
        spot: &Spot<'_>,
        kind: &str,
        name: &str,
        report: &mut Report<'_>,
    ) -> Option<usize> {
        let found = known.get(name).copied();
        if found.is_none() {
            report.no_such(spot, kind, name, known.keys().map(String::as_str));
        }
        found
    }

    fn profile(&self, spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Arc<Profile>> {
        let name = report.name(spot)?;
        let found = self.names.profiles.get(&name).filter(|profile| !profile.modes.is_empty());
        if found.is_none() {
            report.no_such(spot, "profile", &name, self.names.profiles.keys().map(String::as_str));
        }
        found.cloned()
    }

    fn programme(
        &self,
        spot: &Spot<'_>,
        profile: Option<&Profile>,
        report: &mut Report<'_>,
    ) -> Option<String> {
        let name = report.name(spot)?;
        let known = &profile?.programmes;
        if !known.iter().any(|programme| programme.name == name) {
            report.no_such(spot, "programme", &name, known.iter().map(|programme| programme.name.as_str()));
            return None;
        }
        Some(name)
    }

    fn focus(&self, table: &Fields<'_>, count: usize, report: &mut Report<'_>) -> Vec<Point> {
        let Some(spot) = table.get("focus") else { return Vec::new() };
        let is_one = |spot: &Spot<'_>| match &spot.node.data {
            Data::List(items) => !items.iter().any(|item| matches!(item.data, Data::List(_) | Data::Text(_))),
            _ => true,
        };
        let spots = for_each(&spot, count, is_one, report).unwrap_or_default();
        spots.iter().filter_map(|spot| place_or_mark(spot, &self.marks, report)).collect()
    }
}

impl Common {
    fn run(&self, address: Option<Address>, others: &Others<'_>) -> Run {
        match self.run {
            RunWord::Driven => Run::Driven { address, shares: others.shares_number },
            RunWord::Linked => {
                Run::Linked { leader: others.leader_number.unwrap_or(0), programme: self.programme.clone() }
            }
            RunWord::OnItsOwn => Run::OnItsOwn { programme: self.programme.clone() },
        }
    }
}

fn numbers(table: &Fields<'_>, report: &mut Report<'_>) -> Option<Vec<u32>> {
    match (table.get("number"), table.get("numbers")) {
        (Some(_), Some(spot)) => {
            report.wrong(&spot, "`number` stands here too", "keep one of the two");
            None
        }
        (Some(spot), None) => report.whole(&spot, 1, 99_999).map(|number| vec![number as u32]),
        (None, Some(spot)) => report.numbers(&spot),
        (None, None) => {
            table.need("number", "1", report);
            None
        }
    }
}

fn mode(profile: &Profile, spot: &Spot<'_>, report: &mut Report<'_>) -> Option<usize> {
    let name = report.name(spot)?;
    let found = profile.modes.iter().position(|mode| mode.name == name);
    if found.is_none() {
        report.no_such(spot, "mode", &name, profile.modes.iter().map(|mode| mode.name.as_str()));
    }
    found
}

/// `invert = "pan"`, or `invert = ["pan", "tilt"]`.
fn inverted(table: &Fields<'_>, report: &mut Report<'_>) -> [bool; 2] {
    let mut inverted = [false, false];
    let Some(spot) = table.get("invert") else { return inverted };
    for item in spot.items().unwrap_or_else(|| vec![spot]) {
        if let Some(index) = report.choice(&item, &[("pan", 0_usize), ("tilt", 1)]) {
            inverted[index] = true;
        }
    }
    inverted
}

/// One value for all lights or one for each.
fn each_measure(
    table: &Fields<'_>,
    key: &'static str,
    count: usize,
    measure: Measure,
    report: &mut Report<'_>,
) -> Vec<f64> {
    let Some(spot) = table.get(key) else { return Vec::new() };
    let is_one = |spot: &Spot<'_>| !matches!(spot.node.data, Data::List(_));
    let spots = for_each(&spot, count, is_one, report).unwrap_or_default();
    let mut list = Vec::new();
    for spot in spots {
        match report.measure(&spot, measure) {
            Some(value) => list.push(value),
            None => break, // said once
        }
    }
    list
}
