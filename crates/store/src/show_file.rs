//! Shows as text: `NAME.show.toml`. What each key means stands in `docs/show-file.md`.

mod address;
mod chase;
mod figure;
mod look;
mod music;
mod power;
mod room;
mod score;
mod sight;
mod unit;
mod write;

#[cfg(test)]
mod tests;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lanthorn_fixture::{Kept, Profile};
use lanthorn_physics::units::Hertz;
use lanthorn_rig::Rig;
use lanthorn_rig::rig::Limits;
use lanthorn_show::{Ask, Show};

use crate::library;
use crate::problem::Problem;
use crate::profile_file;
use crate::quantity::{RATE, TEMPO};
use crate::tree;
use crate::walk::{Fields, Report, Spot};

pub(crate) use address::following;
pub use write::write_show;
pub(crate) use write::{found_lines, sight_lines};
pub(crate) use write::{look_text, score_text, who_value};

/// The version of the format that this program writes, and the newest that it reads.
pub const VERSION: u32 = 1;

/// Everything that a show file holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ShowFile {
    /// The version of the format that it was written in.
    pub version: u32,
    /// Looks, chases, cues.
    pub show: Show,
    /// Room, lights, groups, circuits.
    pub rig: Rig,
    /// The profiles that it carries, in the order of the file. Lights may use others: what their name alone
    /// means in the library.
    pub profiles: Vec<Arc<Profile>>,
    /// Named colours, in the order of the file.
    pub swatches: Vec<Swatch>,
    /// Remarks on the whole show.
    pub notes: String,
    /// What a rig file said that has no place here, as it stood there.
    pub kept: Vec<Kept>,
}

/// A named colour.
#[derive(Clone, Debug, PartialEq)]
pub struct Swatch {
    /// Its name; a look that says it means this colour.
    pub name: String,
    /// The colour as written, and what it means.
    pub colour: Ask,
}

impl ShowFile {
    /// The same show carrying every profile that its lights use, so that it needs no library.
    pub fn carrying(mut self) -> Self {
        for unit in &self.rig.units {
            if !self.profiles.iter().any(|carried| carried.name == unit.profile.name) {
                self.profiles.push(unit.profile.clone());
            }
        }
        self
    }
}

/// Reads a show. All problems are found in one go, in the order of the file; there is no show when any of them is an
/// error. Never panics, whatever the text.
pub fn read_show(text: &str) -> (Option<ShowFile>, Vec<Problem>) {
    let root = match tree::parse(text) {
        Ok(root) => root,
        Err(problem) => return (None, vec![*problem]),
    };
    let mut report = Report::new(text);
    let file = match &root.data {
        tree::Data::Table(entries) => whole(&Fields::new(entries, String::new(), 0), &mut report),
        _ => None,
    };
    let file = file.filter(|_| !report.has_errors());
    (file, report.finish())
}

/// What a name stands for, while a show is read.
struct Names {
    profiles: BTreeMap<String, Arc<Profile>>,
    circuits: BTreeMap<String, usize>,
    swatches: BTreeMap<String, Ask>,
    /// Numbers of lights that stand in the file, usable or not.
    mentioned: BTreeSet<u32>,
}

fn whole(root: &Fields<'_>, report: &mut Report<'_>) -> Option<ShowFile> {
    let version = version(root, report)?;
    let mut show = Show::default();
    let mut notes = String::new();
    let (mut start, mut tonight) = (None, None);
    if let Some(head) =
        root.need("show", "{ name = \"…\" }", report).and_then(|s| s.fields("show".to_owned(), report))
    {
        show.name =
            head.need("name", "\"spring dance\"", report).and_then(|s| report.name(&s)).unwrap_or_default();
        notes = head.get("notes").and_then(|s| report.text(&s)).unwrap_or_default();
        show.tempo = head.get("tempo").and_then(|s| report.measure(&s, TEMPO));
        start = head.get("start");
        show.start = start.as_ref().and_then(|s| report.name(s));
        tonight = head.get("tonight");
        head.finish(report);
    }
    let (rule, moods) = music::rule(root, report);
    show.music = rule;
    let (room, controller) = room::room(root, report)?;
    let (profiles, carried) = profiles(root, report);
    let (circuits, circuit_names) = power::circuits(root, report);
    let mut names =
        Names { profiles, circuits: circuit_names, swatches: BTreeMap::new(), mentioned: BTreeSet::new() };
    let (mut units, mentioned) = unit::units(root, &room, &names, report);
    sight::found(root, &room, &mut units, &mentioned, report);
    let groups = unit::groups(root, &units, &mentioned, report);
    names.mentioned = mentioned;
    let (mains, limits) = (power::mains(root, report), limits(root, report));
    let stock = power::stock(root, report);
    let mut rig = Rig { room, units, groups, circuits, controller, mains, limits, stock };
    if !report.has_errors() {
        (0..rig.units.len()).for_each(|unit| rig.settle(unit));
    }
    let swatches = swatches(root, report);
    names.swatches = swatches.iter().map(|swatch| (swatch.name.clone(), swatch.colour.clone())).collect();
    let marks = room::marks_of(&rig.room);
    show.figures = figure::figures(root, &rig.room, &marks, report);
    show.looks = look::looks(root, &rig, &names, &show.figures, report);
    show.moods = music::moods(moods, &show.looks, report);
    show.chases = chase::chases(root, &show.looks, report);
    show.cues = chase::cues(root, &show, report);
    show.scores = score::scores(root, &show, report);
    let known = show.looks.iter().map(|look| &look.name).chain(show.chases.iter().map(|chase| &chase.name));
    let known: Vec<&str> = known.map(String::as_str).collect();
    if let (Some(spot), Some(name)) = (start, &show.start)
        && !known.contains(&name.as_str())
    {
        report.no_such(&spot, "look or chase", name, known.iter().copied());
    }
    let tonight = tonight.map(|spot| pads(&spot, &known, report));
    show.tonight = tonight;
    let kept = profile_file::read_kept(root, report);
    root.finish(report);
    Some(ShowFile { version, show, rig, profiles: carried, swatches, notes, kept })
}

/// The looks and chases that have a pad.
fn pads(spot: &Spot<'_>, known: &[&str], report: &mut Report<'_>) -> Vec<String> {
    let Some(items) = spot.items() else {
        report.wrong(
            spot,
            "this is a list of looks and chases",
            "write it such as [\"warm\", \"round the floor\"], or leave it out for all of them",
        );
        return Vec::new();
    };
    let mut pads: Vec<String> = Vec::new();
    for item in items {
        let Some(name) = report.name(&item) else { continue };
        if !known.contains(&name.as_str()) {
            report.no_such(&item, "look or chase", &name, known.iter().copied());
        }
        if pads.contains(&name) {
            report.wrong(&item, &format!("\"{name}\" has a pad already"), "name each once");
        }
        pads.push(name);
    }
    pads
}

fn version(root: &Fields<'_>, report: &mut Report<'_>) -> Option<u32> {
    let spot = root.need("lanthorn", "1", report)?;
    let version = report.whole(&spot, 1, 9999)? as u32;
    if version > VERSION {
        let what = format!("this show was written by a newer lanthorn; this one reads format {VERSION}");
        report.wrong(&spot, &what, "use a newer lanthorn");
        return None;
    }
    Some(version)
}

/// Profiles by name, carried ones before those that a name alone means; and the carried ones alone.
fn profiles(
    root: &Fields<'_>,
    report: &mut Report<'_>,
) -> (BTreeMap<String, Arc<Profile>>, Vec<Arc<Profile>>) {
    let known = library::names_meant().into_iter().map(|profile| (profile.name.clone(), profile));
    let mut by_name: BTreeMap<String, Arc<Profile>> = known.collect();
    let mut carried: Vec<Arc<Profile>> = Vec::new();
    let mut seen = Unique::default();
    for table in root.tables("profile", report) {
        let at = table.at;
        let Some(profile) = profile_file::read_fields(table, report) else { continue };
        seen.check(&profile.name, "profile", at, report);
        let profile = Arc::new(profile);
        by_name.insert(profile.name.clone(), profile.clone());
        carried.push(profile);
    }
    (by_name, carried)
}

/// Letters of a reason at most.
const LONGEST_REASON: usize = 200;

fn limits(root: &Fields<'_>, report: &mut Report<'_>) -> Limits {
    let usual = Limits::default();
    let Some(table) = root.get("limits").and_then(|s| s.fields("limits".to_owned(), report)) else {
        return usual;
    };
    let spot = table.get("flash");
    let rates = RATE.between(0.1, Limits::MOST.get());
    let flash = spot.as_ref().and_then(|s| report.measure(s, rates)).map(Hertz::new);
    let given = table.get("flash_reason");
    let reason = given.as_ref().and_then(|s| reason(s, report));
    if let (Some(spot), Some(flash)) = (&spot, flash) {
        if flash > Limits::WITHOUT_REASON && given.is_none() {
            let what = "more than 4 flashes a second need somebody's word for it, and can bring on seizures";
            let remedy = "write 3 Hz, or add flash_reason = \"who agreed, in the venue's words\"";
            report.wrong(spot, what, remedy);
        } else if flash > usual.flash {
            let what = "more than 3 flashes a second can bring on seizures";
            report.doubt(spot, what, "keep to 3 Hz unless everybody in the room has been told and agrees");
        }
    }
    table.finish(report);
    Limits { flash: flash.unwrap_or(usual.flash), flash_reason: reason }
}

/// Who has agreed to the limit, one line.
fn reason(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<String> {
    let text = report.text(spot)?;
    let text = text.trim();
    let remedy =
        "write who agreed, in the venue's words and in one line, or leave `flash` at 4 Hz or less without it";
    if text.is_empty() {
        report.wrong(spot, "this names nobody", remedy);
    } else if text.chars().count() > LONGEST_REASON || text.chars().any(char::is_control) {
        report.wrong(spot, "this is more than one line of 200 letters", remedy);
    } else {
        return Some(text.to_owned());
    }
    None
}

fn swatches(root: &Fields<'_>, report: &mut Report<'_>) -> Vec<Swatch> {
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("swatch", report) {
        let name = table.need("name", "\"harvest gold\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "swatch", table.at, report);
            table.called(format!("swatch \"{name}\""));
        }
        let colour = table.need("colour", "\"#ffb84d\"", report);
        let colour = colour.and_then(|s| look::colour(&s, &BTreeMap::new(), report));
        table.finish(report);
        list.extend(name.zip(colour).map(|(name, colour)| Swatch { name, colour }));
    }
    list
}

/// Says so when a name is given twice.
#[derive(Default)]
struct Unique {
    seen: BTreeSet<String>,
}

impl Unique {
    fn check(&mut self, name: &str, kind: &str, at: usize, report: &mut Report<'_>) {
        if !self.seen.insert(name.to_owned()) {
            let what = format!("there is a {kind} \"{name}\" already");
            report.wrong_at(at, &format!("{kind} \"{name}\""), &what, "give each a name of its own");
        }
    }
}

/// A value for each of several lights: one for all, or a list with one for each.
fn for_each<'n>(
    spot: &Spot<'n>,
    count: usize,
    is_one: fn(&Spot<'n>) -> bool,
    report: &mut Report<'_>,
) -> Option<Vec<Spot<'n>>> {
    if is_one(spot) {
        return Some(vec![spot.clone(); count]);
    }
    let items = spot.items().unwrap_or_default();
    if items.len() == count {
        return Some(items);
    }
    let what = format!("there are {} of these for {count} lights", items.len());
    report.wrong(
        spot,
        &what,
        "write one for all, or a list with one for each light in the order of `numbers`",
    );
    None
}
