//! The tables as comma-separated values (RFC 4180): one head line, CRLF at the end of each line, quotes where they are
//! needed. An empty field is not known.

use lanthorn_rig::plan::LineKind;

use crate::Context;
use crate::{cues, facts};

/// A table for machines.
struct Rows(Vec<Vec<String>>);

impl Rows {
    fn new(head: &[&str]) -> Self {
        Self(vec![head.iter().map(|name| (*name).to_owned()).collect()])
    }

    fn text(self) -> String {
        self.0.iter().map(|row| line(row)).collect()
    }
}

fn line(fields: &[String]) -> String {
    let quoted: Vec<String> = fields.iter().map(|field| quote(field)).collect();
    quoted.join(",") + "\r\n"
}

fn quote(field: &str) -> String {
    if field.contains(['"', ',', '\r', '\n']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}

fn maybe<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// Fine enough for every sum here, without the noise of binary fractions.
fn figure(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| {
        let text = format!("{value:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    })
}

fn numbers(units: &[u32]) -> String {
    units.iter().map(u32::to_string).collect::<Vec<_>>().join(" ")
}

/// Every table: its file name and its text.
pub(crate) fn all(cx: &Context<'_>) -> Vec<(&'static str, String)> {
    vec![
        ("patch.csv", patch(cx).text()),
        ("power.csv", power(cx).text()),
        ("data.csv", data(cx).text()),
        ("weight.csv", weight(cx).text()),
        ("cables.csv", cables(cx).text()),
        ("cues.csv", cue_list(cx).text()),
    ]
}

fn patch(cx: &Context<'_>) -> Rows {
    let mut rows = Rows::new(&[
        "number",
        "light",
        "mode",
        "runs",
        "universe",
        "address",
        "last_slot",
        "channels",
        "shares_with",
        "menu",
        "place",
        "circuit",
        "watts",
        "volt_amps",
        "amps",
        "weight_kg",
    ]);
    for unit in &cx.plan.units {
        rows.0.push(vec![
            unit.number.to_string(),
            unit.profile.clone(),
            unit.mode.clone(),
            unit.way.words().to_owned(),
            maybe(unit.universe),
            maybe(unit.address),
            maybe(unit.last_slot),
            unit.footprint.to_string(),
            maybe(unit.shares),
            unit.menu.join("; "),
            unit.place.clone(),
            maybe(unit.circuit.clone()),
            figure(unit.watts),
            figure(unit.volt_amps),
            figure(unit.amps),
            figure(unit.weight_kg),
        ]);
    }
    rows
}

fn power(cx: &Context<'_>) -> Rows {
    let mut rows = Rows::new(&[
        "circuit",
        "lights",
        "watts",
        "volt_amps",
        "light_amps",
        "other_amps",
        "amps",
        "limit_amps",
        "breaker_amps",
        "headroom_amps",
        "unknown_watts",
        "assumed_power_factor",
    ]);
    for circuit in &cx.plan.circuits {
        rows.0.push(vec![
            circuit.name.clone(),
            numbers(&circuit.units),
            figure(Some(circuit.watts)),
            figure(Some(circuit.volt_amps)),
            figure(circuit.light_amps),
            figure(circuit.other_amps),
            figure(circuit.amps),
            figure(Some(circuit.limit_amps)),
            figure(Some(circuit.breaker_amps)),
            figure(circuit.headroom_amps),
            numbers(&circuit.unknown_watts),
            numbers(&circuit.assumed_power_factor),
        ]);
    }
    rows
}

fn data(cx: &Context<'_>) -> Rows {
    let mut rows = Rows::new(&[
        "line",
        "kind",
        "universe",
        "lights",
        "cables",
        "cables_to_carry",
        "terminator_on",
        "unit_loads",
        "way_m",
        "length_complete",
    ]);
    for line in &cx.plan.lines {
        let kind = match line.kind {
            LineKind::Driven => "driven",
            LineKind::Linked => "linked",
        };
        rows.0.push(vec![
            line.name.clone(),
            kind.to_owned(),
            maybe(line.universe),
            numbers(&line.units),
            line.cables.to_string(),
            line.cables_to_carry.to_string(),
            maybe(line.terminator),
            figure(Some(line.unit_loads)),
            figure(line.way_m),
            line.length_complete.to_string(),
        ]);
    }
    rows
}

fn weight(cx: &Context<'_>) -> Rows {
    let mut rows = Rows::new(&[
        "place",
        "kind",
        "lights",
        "weight_kg",
        "assumed_kg",
        "own_kg",
        "written_limit_kg",
        "unknown_weight",
    ]);
    for place in &cx.plan.places {
        rows.0.push(vec![
            place.name.clone(),
            facts::place_kind(place.kind).to_owned(),
            numbers(&place.units),
            figure(Some(place.weight_kg)),
            figure(Some(place.assumed_kg)),
            figure(place.own_kg),
            figure(place.rated_kg),
            numbers(&place.unknown_weight),
        ]);
    }
    rows
}

fn cables(cx: &Context<'_>) -> Rows {
    let mut rows = Rows::new(&["cable", "line", "from", "to", "way_m", "take_m"]);
    for (n, leg) in (1..).zip(facts::legs(cx.plan)) {
        let cable: u32 = n;
        let take = leg.take_m.iter().map(f64::to_string).collect::<Vec<String>>().join("; ");
        rows.0.push(vec![cable.to_string(), leg.line, leg.from, leg.to, figure(leg.way_m), take]);
    }
    rows
}

fn cue_list(cx: &Context<'_>) -> Rows {
    let mut rows =
        Rows::new(&["cue", "name", "note", "look", "chases", "what", "fade_s", "follow_s", "tempo"]);
    for (cue, told) in cx.show.cues.iter().zip(cues::told(cx)) {
        rows.0.push(vec![
            cue.number.clone(),
            cue.name.clone(),
            cue.note.clone(),
            maybe(cue.look.clone()),
            cue.chases.as_ref().map_or_else(String::new, |chases| chases.join("; ")),
            told.what,
            figure(Some(cue.fade.secs())),
            figure(cue.follow.map(|after| after.secs())),
            figure(cue.tempo),
        ]);
    }
    rows
}
