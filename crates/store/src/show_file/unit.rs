//! Lights, groups and circuits.

use std::collections::BTreeMap;
use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::Profile;
use lanthorn_physics::Point;
use lanthorn_physics::units::{Amps, Metres, Radians};
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Circuit, Group, PlaceKind, Room, Run, Unit};

use super::address::{self, Wanted};
use super::room::{Marks, marks_of, place_or_mark};
use super::{Names, Unique, for_each};
use crate::quantity::{AMPS, ANGLE, LENGTH, Measure};
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

/// Circuits, and their places by name.
pub(super) fn circuits(
    root: &Fields<'_>,
    report: &mut Report<'_>,
) -> (Vec<Circuit>, BTreeMap<String, usize>) {
    let mut list = Vec::new();
    let mut by_name = BTreeMap::new();
    let mut seen = Unique::default();
    for mut table in root.tables("circuit", report) {
        let name = table.need("name", "\"kitchen\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "circuit", table.at, report);
            table.called(format!("circuit \"{name}\""));
        }
        let breaker = table.need("breaker", "\"16 A\"", report);
        let breaker = breaker.and_then(|s| report.measure(&s, AMPS.between(0.5, 1000.0)));
        let other_load = table.get("other_load").and_then(|s| report.measure(&s, AMPS)).map(Amps::new);
        let at = table.get("at").and_then(|s| report.point(&s));
        table.finish(report);
        if let Some(name) = name {
            by_name.entry(name.clone()).or_insert(list.len());
            list.push(Circuit { name, breaker: Amps::new(breaker.unwrap_or(16.0)), other_load, at });
        }
    }
    (list, by_name)
}

/// Lights, ascending by number.
pub(super) fn units(root: &Fields<'_>, room: &Room, names: &Names, report: &mut Report<'_>) -> Vec<Unit> {
    let places = room.places.iter().enumerate().map(|(index, place)| (place.name.clone(), index)).collect();
    let reader = Reader { room, names, marks: marks_of(room), places };
    let mut drafts: Vec<Draft<'_>> = Vec::new();
    let mut lines: BTreeMap<String, u32> = BTreeMap::new();
    for table in root.tables("unit", report) {
        let at = table.at;
        drafts.extend(reader.table(table, &mut lines, report));
        if drafts.len() > MOST_UNITS {
            let what = format!("a show has at most {MOST_UNITS} lights");
            report.wrong_at(at, "unit", &what, "split the show in two");
            return Vec::new();
        }
    }
    drafts.sort_by_key(|draft| draft.unit.number);
    for pair in drafts.windows(2).filter(|pair| pair[0].unit.number == pair[1].unit.number) {
        let number = pair[0].unit.number;
        let (first, second) = (report.line(pair[0].at), report.line(pair[1].at));
        let what = format!("two lights have the number {number} (lines {first} and {second})");
        report.wrong_at(pair[1].at, &format!("unit {number}"), &what, "give each light a number of its own");
    }
    address::settle(&mut drafts, report);
    leaders(&drafts, report);
    drafts.into_iter().map(|draft| draft.unit).collect()
}

/// Whoever follows must follow a light that leads.
fn leaders(drafts: &[Draft<'_>], report: &mut Report<'_>) {
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
pub(super) fn groups(root: &Fields<'_>, units: &[Unit], report: &mut Report<'_>) -> Vec<Group> {
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
}

impl Reader<'_> {
    /// The lights of one `[[unit]]`; what cannot be used is reported and left out.
    fn table<'n>(
        &self,
        mut table: Fields<'n>,
        lines: &mut BTreeMap<String, u32>,
        report: &mut Report<'_>,
    ) -> Vec<Draft<'n>> {
        let Some(numbers) = numbers(&table, report) else { return Vec::new() };
        table.called(match numbers[..] {
            [only] => format!("unit {only}"),
            _ => format!("units {}-{}", numbers[0], numbers[numbers.len() - 1]),
        });
        let count = numbers.len();
        let common = self.common(&table, report);
        let offsets = each_measure(&table, "at", count, LENGTH.between(-100.0, 100.0), report);
        let turns = each_measure(&table, "turn", count, ANGLE, report);
        let leans = each_measure(&table, "lean", count, ANGLE, report);
        let focus = self.focus(&table, count, report);
        let order = table.get("line_order").and_then(|s| report.whole(&s, 0, 4096)).map(|order| order as u32);
        let run = common.as_ref().map_or(RunWord::Driven, |common| common.run);
        let (address, shares, leader) = (table.get("address"), table.get("shares"), table.get("leader"));
        let shares_number = shares.as_ref().and_then(|s| report.whole(s, 1, 99_999));
        let leader_number = leader.as_ref().and_then(|s| report.whole(s, 1, 99_999));
        if run == RunWord::Linked && leader.is_none() {
            table.need("leader", "1", report);
        }
        for (spot, wanted) in
            [(&address, RunWord::Driven), (&shares, RunWord::Driven), (&leader, RunWord::Linked)]
        {
            if let Some(spot) = spot.as_ref().filter(|_| run != wanted) {
                report.wrong(
                    spot,
                    "this means nothing for a light that runs this way",
                    "leave it out, or change `run`",
                );
            }
        }
        table.finish(report);
        let Some(common) = common else { return Vec::new() };
        let footprint = common.profile.modes[common.mode].footprint();
        let wanted = address.as_ref().filter(|_| run == RunWord::Driven);
        let addresses = Wanted::new(wanted, count, footprint, shares.is_some(), report);
        let mut list = Vec::new();
        for (index, number) in numbers.into_iter().enumerate() {
            let next = common.line.as_ref().map(|line| {
                let count = lines.entry(line.clone()).or_insert(0);
                *count += 1;
                *count
            });
            let (address, address_spot) = addresses.of(index);
            let run = common.run(address, shares_number, leader_number);
            let unit = Unit {
                number,
                profile: common.profile.clone(),
                mode: common.mode,
                place: common.place,
                offset: Metres::new(offsets.get(index).copied().unwrap_or(0.0)),
                up: common.up,
                turn: Radians::new(turns.get(index).copied().unwrap_or(0.0)),
                lean: Radians::new(leans.get(index).copied().unwrap_or(0.0)),
                pan_invert: common.pan_invert,
                tilt_invert: common.tilt_invert,
                swap: common.swap,
                focus: focus.get(index).copied(),
                run,
                circuit: common.circuit,
                line: common.line.clone(),
                line_order: order.or(next).unwrap_or(0),
            };
            list.push(Draft {
                unit,
                at: table.at,
                address: address_spot,
                shares: shares.clone(),
                leader: leader.clone(),
            });
        }
        list
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
    fn run(&self, address: Option<Address>, shares: Option<i64>, leader: Option<i64>) -> Run {
        let number = |number: i64| u32::try_from(number).unwrap_or(0);
        match self.run {
            RunWord::Driven => Run::Driven { address, shares: shares.map(number) },
            RunWord::Linked => {
                Run::Linked { leader: leader.map_or(0, number), programme: self.programme.clone() }
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
