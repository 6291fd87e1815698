//! Chases and cues.

use std::collections::BTreeSet;

use lanthorn_physics::Span;
use lanthorn_show::{Chase, Cue, Look, Show, Step, StepTime, Swing};

use super::Unique;
use crate::quantity::{BARS, BEATS, NotAQuantity, SWING, TEMPO, TIME};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot};
use crate::words::{ORDERS, STRIKES};

/// Most steps of a chase.
const MOST_STEPS: usize = 4096;

/// Chases, in the order of the file.
pub(super) fn chases(root: &Fields<'_>, looks: &[Look], report: &mut Report<'_>) -> Vec<Chase> {
    let looks: BTreeSet<&str> = looks.iter().map(|look| look.name.as_str()).collect();
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("chase", report) {
        let spot = table.need("name", "\"round the floor\"", report);
        let name = spot.as_ref().and_then(|s| report.name(s));
        if let (Some(spot), Some(name)) = (&spot, &name) {
            seen.check(name, "chase", table.at, report);
            table.called(format!("chase \"{name}\""));
            if looks.contains(name.as_str()) {
                report.wrong(
                    spot,
                    "a look has this name",
                    "give the chase a name of its own, so that either can be called",
                );
            }
        }
        let order = table.get("order").and_then(|s| report.choice(&s, ORDERS)).unwrap_or_default();
        let rounds =
            table.get("rounds").and_then(|s| report.whole(&s, 1, 1_000_000)).map(|rounds| rounds as u32);
        let swing = table.get("swing").and_then(|s| report.measure(&s, SWING)).map_or(Swing::EVEN, Swing);
        let fade =
            table.get("fade").and_then(|s| report.measure(&s, TIME)).map_or(Span::ZERO, Span::from_secs);
        let calm = table.get("calm").and_then(|s| report.flag(&s)).unwrap_or(false);
        let at_each = table.get("at_each").and_then(|s| report.choice(&s, STRIKES));
        let steps = steps(&table, &looks, report);
        table.finish(report);
        list.extend(name.map(|name| Chase { name, steps, order, swing, rounds, fade, calm, at_each }));
    }
    list
}

/// `steps = ["a", "b", { look = "c", time = "2 beats", fade = "1 beat" }]`; `time` and `fade_in` of the chase hold for
/// steps that say nothing.
fn steps(table: &Fields<'_>, looks: &BTreeSet<&str>, report: &mut Report<'_>) -> Vec<Step> {
    let time = table.get("step_time").and_then(|s| step_time(&s, report));
    let fade = table.get("step_fade").and_then(|s| step_time(&s, report));
    let Some(spot) = table.need("steps", "[\"left\", \"right\"]", report) else { return Vec::new() };
    let items = spot.items().unwrap_or_default();
    if items.is_empty() || items.len() > MOST_STEPS {
        let what = format!("a chase has 1 to {MOST_STEPS} steps");
        report.wrong(&spot, &what, "list looks, such as [\"left\", \"right\"]");
        return Vec::new();
    }
    let mut list = Vec::new();
    for item in &items {
        let (look, own_time, own_fade) = match &item.node.data {
            Data::Table(_) => {
                let Some(step) = item.fields(format!("{}, {}", item.who, item.key), report) else { continue };
                let look = step.need("look", "\"left\"", report);
                let time = step.get("time").and_then(|s| step_time(&s, report));
                let fade = step.get("fade").and_then(|s| step_time(&s, report));
                step.finish(report);
                (look, time, fade)
            }
            _ => (Some(item.clone()), None, None),
        };
        let Some(spot) = look else { continue };
        let Some(look) = report.name(&spot) else { continue };
        if !looks.contains(look.as_str()) {
            report.no_such(&spot, "look", &look, looks.iter().copied());
            continue;
        }
        let time = own_time.or(time).unwrap_or(StepTime::Beats(1.0));
        let fade = own_fade.or(fade).unwrap_or(StepTime::Time(Span::ZERO));
        lengths(&spot, time, fade, report);
        list.push(Step { look, time, fade });
    }
    list
}

/// A step lasts some time, and its fade is part of it.
fn lengths(spot: &Spot<'_>, time: StepTime, fade: StepTime, report: &mut Report<'_>) {
    let empty = match time {
        StepTime::Time(span) => span <= Span::ZERO,
        StepTime::Beats(count) | StepTime::Bars(count) => count <= 0.0,
    };
    let longer = match (time, fade) {
        (StepTime::Time(time), StepTime::Time(fade)) => fade > time,
        (StepTime::Beats(time), StepTime::Beats(fade)) | (StepTime::Bars(time), StepTime::Bars(fade)) => {
            fade > time
        }
        _ => false,
    };
    if empty {
        report.wrong(spot, "this step takes no time", "give it a `time` such as \"1 beat\" or \"2 s\"");
    } else if longer {
        report.doubt(
            spot,
            "the fade into this step is longer than the step",
            "make the fade part of the step's time",
        );
    }
}

/// "2 s", "4 beats", "1 bar" or "1 phrase".
pub(super) fn step_time(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<StepTime> {
    if let Data::Text(text) = &spot.node.data {
        let worded = text.trim_end().ends_with(|c: char| c.is_alphabetic());
        for (measure, words) in [(BEATS, &["beat"][..]), (BARS, &["bar", "phrase"])] {
            match measure.read(text) {
                Ok(count) if worded && measure.what == BEATS.what => return Some(StepTime::Beats(count)),
                Ok(count) if worded => return Some(StepTime::Bars(count)),
                Err(NotAQuantity::Range(_)) if words.iter().any(|word| text.contains(word)) => {
                    report.measure(spot, measure);
                    return None;
                }
                _ => {}
            }
        }
        if matches!(BEATS.read(text), Err(NotAQuantity::Unit(_))) && TIME.read(text).is_err() {
            report.wrong(
                spot,
                "a step's time needs s, ms, min, beats, bars or phrases",
                "write it such as \"2 s\", \"4 beats\" or \"1 bar\"",
            );
            return None;
        }
    }
    report.measure(spot, TIME).map(|secs| StepTime::Time(Span::from_secs(secs)))
}

/// Cues, in the order of the file, which must be that of their numbers.
pub(super) fn cues(root: &Fields<'_>, show: &Show, report: &mut Report<'_>) -> Vec<Cue> {
    let looks: BTreeSet<&str> = show.looks.iter().map(|look| look.name.as_str()).collect();
    let chases: BTreeSet<&str> = show.chases.iter().map(|chase| chase.name.as_str()).collect();
    let mut list: Vec<Cue> = Vec::new();
    let mut before: Option<(f64, String)> = None;
    for mut table in root.tables("cue", report) {
        let spot = table.need("number", "\"1\"", report);
        let number = spot.as_ref().and_then(|s| cue_number(s, report));
        if let Some((_, text)) = &number {
            table.called(format!("cue {text}"));
        }
        if let (Some(spot), Some((value, _)), Some((last, text))) = (&spot, &number, &before)
            && value <= last
        {
            report.wrong(
                spot,
                &format!("it comes after cue {text}"),
                "cues stand in the order of their numbers, each number once",
            );
        }
        let cue = cue(&table, &looks, &chases, report);
        table.finish(report);
        if let Some(number) = number {
            list.push(Cue { number: number.1.clone(), ..cue });
            before = Some(number);
        }
    }
    list
}

fn cue(table: &Fields<'_>, looks: &BTreeSet<&str>, chases: &BTreeSet<&str>, report: &mut Report<'_>) -> Cue {
    let called = |spot: &Spot<'_>, kind, known: &BTreeSet<&str>, report: &mut Report<'_>| {
        let name = report.name(spot)?;
        if !known.contains(name.as_str()) {
            report.no_such(spot, kind, &name, known.iter().copied());
        }
        Some(name)
    };
    let span = |key, report: &mut Report<'_>| {
        table.get(key).and_then(|spot| report.measure(&spot, TIME)).map(Span::from_secs)
    };
    let running = table.get("chases").map(|spot| {
        let Some(items) = spot.items() else {
            report.wrong(
                &spot,
                "this is a list of chases",
                "write it such as [\"round the floor\"], or [] to stop them all",
            );
            return Vec::new();
        };
        items.iter().filter_map(|item| called(item, "chase", chases, report)).collect()
    });
    Cue {
        number: String::new(),
        name: table.get("name").and_then(|s| report.text(&s)).unwrap_or_default(),
        note: table.get("note").and_then(|s| report.text(&s)).unwrap_or_default(),
        look: table.get("look").and_then(|s| called(&s, "look", looks, report)),
        chases: running,
        fade: span("fade", report).unwrap_or(Span::ZERO),
        follow: span("follow", report),
        tempo: table.get("tempo").and_then(|s| report.measure(&s, TEMPO)),
    }
}

/// As printed, and as it is sorted.
fn cue_number(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<(f64, String)> {
    let text = match &spot.node.data {
        Data::Text(text) => text.clone(),
        Data::Whole(_) | Data::Number(_) => report.source(spot.node),
        _ => String::new(),
    };
    let digits = text.len() <= 12 && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    let value: Option<f64> =
        text.parse().ok().filter(|_| digits && !text.starts_with('.') && !text.ends_with('.'));
    if value.is_none() {
        report.wrong(
            spot,
            "a cue number is digits, perhaps with a point",
            "write it such as \"4\" or \"4.5\"",
        );
    }
    Some((value?, text))
}
