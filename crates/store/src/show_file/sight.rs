//! What was found out about lights in the room: sights, the sign check, the stopwatch.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_physics::units::Seconds;
use lanthorn_rig::sight::Sight;
use lanthorn_rig::{Room, Unit};

use super::room::{self, Marks};
use crate::quantity::{Measure, TIME};
use crate::walk::{Fields, Report, Spot};
use crate::words::PAN_RUNS;

/// Most sights of one light; nobody makes more than a dozen.
const MOST_SIGHTS: usize = 100;
/// Closer than this a mark is where it was, metres.
const SAME_PLACE: f64 = 0.01;
/// What a head can take from end to end.
const FULL_TRAVEL: Measure = TIME.between(0.1, 120.0);

/// Puts what `[[sight]]` and `[[found]]` say into the lights.
pub(super) fn found(
    root: &Fields<'_>,
    room: &Room,
    units: &mut [Unit],
    mentioned: &BTreeSet<u32>,
    report: &mut Report<'_>,
) {
    let marks = room::marks_of(room);
    for mut table in root.tables("sight", report) {
        let unit = unit_of(&mut table, "sight", units, mentioned, report);
        let sight = sight(&table, room, &marks, report);
        table.finish(report);
        let (Some(index), Some(sight)) = (unit, sight) else { continue };
        let sights = &mut units[index].found.sights;
        if sights.len() == MOST_SIGHTS {
            let what = format!("a light has at most {MOST_SIGHTS} sights");
            report.wrong_at(table.at, &table.who, &what, "take out the oldest");
        } else {
            sights.push(sight);
        }
    }
    let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
    for mut table in root.tables("found", report) {
        let unit = unit_of(&mut table, "found", units, mentioned, report);
        let pan = table.get("pan").and_then(|s| report.choice(&s, PAN_RUNS));
        let mut time = |key| table.get(key).and_then(|s| report.measure(&s, FULL_TRAVEL)).map(Seconds::new);
        let (pan_time, tilt_time) = (time("pan_time"), time("tilt_time"));
        table.finish(report);
        let Some(index) = unit else { continue };
        if let Some(first) = seen.insert(index, table.at) {
            let what = format!("this light has such a table already (line {})", report.line(first));
            report.wrong_at(table.at, &table.who, &what, "put both into one");
        }
        let found = &mut units[index].found;
        (found.pan_backwards, found.pan_time, found.tilt_time) = (pan, pan_time, tilt_time);
    }
}

/// The light that a table is about.
fn unit_of(
    table: &mut Fields<'_>,
    kind: &str,
    units: &[Unit],
    mentioned: &BTreeSet<u32>,
    report: &mut Report<'_>,
) -> Option<usize> {
    let spot = table.need("unit", "1", report)?;
    let number = report.whole(&spot, 1, 99_999)? as u32;
    table.called(format!("{kind} of unit {number}"));
    let Ok(index) = units.binary_search_by_key(&number, |unit| unit.number) else {
        // One that cannot be used is said where it stands.
        if !mentioned.contains(&number) {
            let what = format!("there is no light {number}");
            report.wrong(&spot, &what, "name a light that stands under `[[unit]]`, or take this out");
        }
        return None;
    };
    if !units[index].moves() {
        let what = format!("light {number} has no pan and tilt that could be sighted in");
        report.doubt(&spot, &what, "take this out, or check the light's profile and mode");
    }
    Some(index)
}

fn sight(table: &Fields<'_>, room: &Room, marks: &Marks, report: &mut Report<'_>) -> Option<Sight> {
    let named = table.get("mark");
    let mark = named.as_ref().and_then(|s| report.name(s));
    let spot = table.need("at", "[0, 1.5, 1.2]", report);
    let at = spot.as_ref().and_then(|s| report.point(s));
    let mut value = |key| {
        let spot = table.need(key, "32768", report)?;
        report.whole(&spot, 0, i64::from(u16::MAX)).map(|value| value as u16)
    };
    let (pan, tilt) = (value("pan"), value("tilt"));
    let (spot, at) = (spot?, at?);
    room::inside(&spot, at, room, report);
    if let (Some(named), Some(mark)) = (&named, &mark) {
        moved(named, mark, at, marks, report);
    }
    Some(Sight { mark, at, pan: pan?, tilt: tilt? })
}

/// Doubts a sight whose mark is elsewhere by now: what the light was on stays what it was, but perhaps nobody knows.
fn moved(spot: &Spot<'_>, mark: &str, at: lanthorn_physics::Point, marks: &Marks, report: &mut Report<'_>) {
    let Some(now) = marks.get(mark) else { return };
    let away = now.distance(at).get();
    if away > SAME_PLACE {
        let what = format!(
            "this mark is {} from where the beam was when it was sighted; the sight counts for `at`",
            if away < 1.0 { format!("{:.0} cm", away * 100.0) } else { format!("{away:.1} m") }
        );
        let remedy =
            "sight the light on it again if the mark stood wrong then; leave it if the mark was moved since";
        report.doubt(spot, &what, remedy);
    }
}
