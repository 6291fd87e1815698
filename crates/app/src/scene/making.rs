//! What the editors of a show need beyond what is told: values as the file has them, and where things are used.

use std::collections::BTreeSet;

use lanthorn_fixture::Attribute;
use lanthorn_physics::colour::screen_hex;
use lanthorn_rig::Rig;
use lanthorn_show::{Figure, Look, Score, Show, lights_of, tell};
use lanthorn_store::Swatch;
use lanthorn_store::change::Value;
use lanthorn_store::values::Table;

use crate::wire::{FigureView, PartView, StepView, SwatchView};
use crate::words::counted;

/// A value as one writes it; none where it is left out.
pub(super) fn words(table: &Table, key: &str) -> Option<String> {
    match table.get(key)? {
        Value::Text(text) => Some(text.clone()),
        Value::Whole(number) => Some(number.to_string()),
        Value::Number(number) => Some(number.to_string()),
        Value::Flag(_) | Value::List(_) | Value::Table(_) => None,
    }
}

pub(super) fn swatch(swatch: &Swatch) -> SwatchView {
    SwatchView {
        name: swatch.name.clone(),
        colour: swatch.colour.text.clone(),
        hex: screen_hex(swatch.colour.chromaticity),
    }
}

/// Every figure; `written` as the file has them.
pub(super) fn figures(show: &Show, written: &[Table]) -> Vec<FigureView> {
    let figure = |(index, figure): (usize, &Figure)| FigureView {
        name: figure.name.clone(),
        says: tell::figure(figure),
        values: written.get(index).cloned().unwrap_or_default(),
        used: figure_used(&figure.name, show),
    };
    show.figures.iter().enumerate().map(figure).collect()
}

/// "in 2 looks"; empty where in none.
fn figure_used(name: &str, show: &Show) -> String {
    let runs = |look: &&Look| look.parts.iter().any(|part| part.figure.as_deref() == Some(name));
    match show.looks.iter().filter(runs).count() {
        0 => String::new(),
        looks => format!("in {}", counted(looks, "look")),
    }
}

/// One for each sentence of the look; `written` as the file has the look.
pub(super) fn parts(look: &Look, written: Option<&Table>, rig: &Rig) -> Vec<PartView> {
    let tables = match written.and_then(|look| look.get("part")) {
        Some(Value::List(parts)) => &parts[..],
        _ => &[],
    };
    let part = |(index, part): (usize, &lanthorn_show::Part)| {
        let lights = lights_of(&part.who, rig);
        let mut gobos = BTreeSet::new();
        for &unit in &lights {
            let wheels = rig.units[unit].profile.wheels.iter();
            for wheel in wheels.filter(|wheel| wheel.attribute == Attribute::Gobo1) {
                gobos.extend(wheel.slots.iter().map(|slot| slot.name.clone()));
            }
        }
        PartView {
            values: match tables.get(index) {
                Some(Value::Table(values)) => values.clone(),
                _ => Table::new(),
            },
            lights: lights.iter().map(|&unit| rig.units[unit].number).collect(),
            hexes: part.colours.iter().map(|ask| screen_hex(ask.chromaticity)).collect(),
            gobos: gobos.into_iter().collect(),
        }
    };
    look.parts.iter().enumerate().map(part).collect()
}

/// The steps of a chase as the file has it.
pub(super) fn steps(chase: &Table) -> Vec<StepView> {
    let Some(Value::List(steps)) = chase.get("steps") else { return Vec::new() };
    let step = |step: &Value| match step {
        Value::Text(look) => Some(StepView { look: look.clone(), time: None, fade: None }),
        Value::Table(step) => Some(StepView {
            look: words(step, "look")?,
            time: words(step, "time"),
            fade: words(step, "fade"),
        }),
        _ => None,
    };
    steps.iter().filter_map(step).collect()
}

/// "in 1 chase and 2 cues"; empty where nowhere.
pub(super) fn look_used(name: &str, show: &Show) -> String {
    let chases = show.chases.iter().filter(|chase| chase.steps.iter().any(|step| step.look == name)).count();
    let cues = show.cues.iter().filter(|cue| cue.look.as_deref() == Some(name)).count();
    let parts = |score: &Score| score.parts.iter().any(|part| part.look.as_deref() == Some(name));
    let scores = show.scores.iter().filter(|score| parts(score)).count();
    used(&[(chases, "chase"), (cues, "cue"), (scores, "score")])
}

/// "in 2 cues"; empty where nowhere.
pub(super) fn chase_used(name: &str, show: &Show) -> String {
    let calls = |chases: &Vec<String>| chases.iter().any(|chase| chase == name);
    let cues = show.cues.iter().filter(|cue| cue.chases.as_ref().is_some_and(calls)).count();
    let parts = |score: &Score| score.parts.iter().any(|part| part.chases.as_ref().is_some_and(calls));
    used(&[(cues, "cue"), (show.scores.iter().filter(|score| parts(score)).count(), "score")])
}

fn used(counts: &[(usize, &str)]) -> String {
    let some = counts.iter().filter(|(count, _)| *count > 0);
    let words: Vec<String> = some.map(|(count, noun)| counted(*count, noun)).collect();
    if words.is_empty() { String::new() } else { format!("in {}", words.join(" and ")) }
}
