//! Scored tracks: `[[score]]` with its `[[score.part]]`s.

use std::collections::BTreeSet;

use lanthorn_physics::Span;
use lanthorn_show::score::{Line, MOST_BARS, MOST_BEATS, MOST_CHASES, MOST_PARTS, Metre, Place};
use lanthorn_show::{Score, ScorePart, Show};

use super::Unique;
use super::chase::step_time;
use crate::quantity::{FRACTION, TIME};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot};
use crate::words::LINE_KINDS;

/// Longest path of a sound file, letters.
const LONGEST_PATH: usize = 1000;

/// Looks and chases that parts may name.
struct Known<'s> {
    looks: BTreeSet<&'s str>,
    chases: BTreeSet<&'s str>,
}

/// Scores, in the order of the file.
pub(super) fn scores(root: &Fields<'_>, show: &Show, report: &mut Report<'_>) -> Vec<Score> {
    let known = Known {
        looks: show.looks.iter().map(|look| look.name.as_str()).collect(),
        chases: show.chases.iter().map(|chase| chase.name.as_str()).collect(),
    };
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("score", report) {
        let name = table.need("name", "\"last dance\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "score", table.at, report);
            table.called(format!("score \"{name}\""));
        }
        let score = score(&table, &known, report);
        table.finish(report);
        list.extend(name.map(|name| Score { name, ..score }));
    }
    list
}

fn score(table: &Fields<'_>, known: &Known<'_>, report: &mut Report<'_>) -> Score {
    let file = table.need("file", "\"last dance.flac\"", report).and_then(|s| path(&s, report));
    let length = table.need("length", "\"184.2 s\"", report);
    let length = length.and_then(|s| report.measure(&s, TIME)).map_or(Span::ZERO, Span::from_secs);
    let bars = table.get("bars").map_or_else(Vec::new, |spot| bars(&spot, length, report));
    let mut score = Score { file: file.unwrap_or_default(), length, bars, ..Score::default() };
    if let Some(spot) = table.get("beats") {
        score.metres = metres(&spot, score.bar_count(), report);
    }
    if let Some(spot) = table.get("lines") {
        score.lines = lines(&spot, score.bar_count(), report);
    }
    let parts = table.tables("part", report);
    if parts.len() > MOST_PARTS {
        report.wrong_at(
            table.at,
            &table.who,
            &format!("a score has at most {MOST_PARTS} parts"),
            "make a second score of the rest",
        );
        return score;
    }
    let mut places: Vec<(Span, usize)> = Vec::new();
    for (index, mut fields) in parts.into_iter().enumerate() {
        fields.called(format!("{}, part {}", table.who, index + 1));
        let Some(part) = part(&fields, &score, known, report) else { continue };
        if let Some(at) = score.moment(part.place) {
            if let Some((_, other)) = places.iter().find(|(place, _)| *place == at) {
                report.wrong_at(
                    fields.at,
                    &fields.who,
                    &format!("part {} begins there too", other + 1),
                    "move one of them, or take it away",
                );
            }
            places.push((at, index));
        }
        score.parts.push(part);
    }
    score
}

/// A sound file: one line.
fn path(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<String> {
    let text = report.long_text(spot, LONGEST_PATH)?;
    if text.trim().is_empty() || text.contains(['\n', '\t']) {
        report.wrong(
            spot,
            "this is the path of a sound file, one line",
            "write it such as \"last dance.flac\"",
        );
        return None;
    }
    Some(text)
}

/// When bars begin, and the end of the last.
fn bars(spot: &Spot<'_>, length: Span, report: &mut Report<'_>) -> Vec<Span> {
    let items = spot.items().unwrap_or_default();
    if items.len() > MOST_BARS + 1 || items.len() == 1 || !matches!(spot.node.data, Data::List(_)) {
        report.wrong(
            spot,
            &format!("this is a list of the moments at which bars begin, and the end of the last; {MOST_BARS} bars at most"),
            "write it such as [0.5, 2.5, 4.5], in seconds, or leave it out where there is no beat",
        );
        return Vec::new();
    }
    let mut list: Vec<Span> = Vec::new();
    for item in &items {
        let Some(secs) = report.measure(item, TIME) else { return Vec::new() };
        let at = Span::from_secs(secs);
        if let Some(last) = list.last().filter(|last| at <= **last) {
            let what = format!("it does not come after {} s, where the bar before it begins", last.secs());
            report.wrong(item, &what, "let the moments rise");
            return Vec::new();
        }
        // A millisecond more is a matter of rounding.
        if at > length + Span::from_millis(1) && length > Span::ZERO {
            report.wrong(
                item,
                &format!("the track is {} s long", length.secs()),
                "end the last bar with the track",
            );
            return Vec::new();
        }
        list.push(at);
    }
    list
}

/// `beats = 4`, or `[{ bar = 1, of = 4 }, { bar = 33, of = 3 }]`.
fn metres(spot: &Spot<'_>, bars: u32, report: &mut Report<'_>) -> Vec<Metre> {
    if matches!(spot.node.data, Data::Whole(_)) {
        let of = report.whole(spot, 1, i64::from(MOST_BEATS));
        return of.map(|of| Metre { bar: 1, of: of as u8 }).into_iter().collect();
    }
    let Some(items) = spot.items().filter(|items| items.len() <= MOST_BARS) else {
        report.wrong(spot, "this is how many beats a bar has", BEATS_REMEDY);
        return Vec::new();
    };
    let mut list: Vec<Metre> = Vec::new();
    for item in &items {
        let Some(fields) = item.fields(format!("{}, {}", item.who, item.key), report) else { continue };
        let bar = fields.need("bar", "1", report).and_then(|s| bar_number(&s, 1, bars, report));
        let of = fields.need("of", "4", report).and_then(|s| report.whole(&s, 0, i64::from(MOST_BEATS)));
        fields.finish(report);
        let (Some(bar), Some(of)) = (bar, of) else { continue };
        if list.last().is_some_and(|last| last.bar >= bar) {
            report.wrong(item, "these stand in the order of their bars, each bar once", BEATS_REMEDY);
        }
        list.push(Metre { bar, of: of as u8 });
    }
    list
}

const BEATS_REMEDY: &str =
    "write it such as 4, or [{ bar = 1, of = 4 }, { bar = 33, of = 3 }]; of = 0 is a bar without a beat";

/// `[{ bar = 1, kind = "section", name = "intro", energy = 0.3 }]`.
fn lines(spot: &Spot<'_>, bars: u32, report: &mut Report<'_>) -> Vec<Line> {
    let Some(items) = spot.items().filter(|items| items.len() <= MOST_PARTS) else {
        let what = format!("this is a list of lines of the form, at most {MOST_PARTS}");
        report.wrong(
            spot,
            &what,
            "write it such as [{ bar = 1, name = \"intro\" }, { bar = 9, kind = \"drop\" }]",
        );
        return Vec::new();
    };
    let mut list: Vec<Line> = Vec::new();
    for item in &items {
        let Some(fields) = item.fields(format!("{}, {}", item.who, item.key), report) else { continue };
        let bar = fields.need("bar", "1", report).and_then(|s| bar_number(&s, 0, bars, report));
        let line = Line {
            bar: bar.unwrap_or_default(),
            kind: fields.get("kind").and_then(|s| report.choice(&s, LINE_KINDS)).unwrap_or_default(),
            name: fields.get("name").and_then(|s| report.name(&s)).unwrap_or_default(),
            energy: fields.get("energy").and_then(|s| report.measure(&s, FRACTION)),
        };
        fields.finish(report);
        if bar.is_some() && list.last().is_some_and(|last| last.bar >= line.bar) {
            report.wrong(
                item,
                "it does not come after the line before it",
                "put them in the order of their bars",
            );
        }
        list.push(line);
    }
    list
}

fn bar_number(spot: &Spot<'_>, first: u32, bars: u32, report: &mut Report<'_>) -> Option<u32> {
    match spot.node.data {
        Data::Whole(bar) if bar > i64::from(bars) && bar <= MOST_BARS as i64 => {
            let remedy = if bars == 0 {
                "add `bars`, or say `time` in place of it".to_owned()
            } else {
                format!("name one from {first} to {bars}")
            };
            let what = if bars == 0 {
                "this score has no bars".to_owned()
            } else {
                format!("the track ends with bar {bars}")
            };
            report.wrong(spot, &what, &remedy);
            None
        }
        _ => report.whole(spot, i64::from(first), MOST_BARS as i64).map(|bar| bar as u32),
    }
}

fn part(fields: &Fields<'_>, score: &Score, known: &Known<'_>, report: &mut Report<'_>) -> Option<ScorePart> {
    let called = |spot: &Spot<'_>, kind, known: &BTreeSet<&str>, report: &mut Report<'_>| {
        let name = report.name(spot)?;
        if !known.contains(name.as_str()) {
            report.no_such(spot, kind, &name, known.iter().copied());
        }
        Some(name)
    };
    let place = place(fields, score, report);
    let look = fields.get("look").and_then(|s| called(&s, "look", &known.looks, report));
    let chases = fields.get("chases").map(|spot| {
        let Some(items) = spot.items().filter(|items| items.len() <= MOST_CHASES) else {
            report.wrong(
                &spot,
                &format!("this is a list of at most {MOST_CHASES} chases"),
                "write it such as [\"round the floor\"], or [] to stop them all",
            );
            return Vec::new();
        };
        items.iter().filter_map(|item| called(item, "chase", &known.chases, report)).collect()
    });
    let fade = fields.get("fade").and_then(|s| report.measure(&s, TIME)).map_or(Span::ZERO, Span::from_secs);
    let dark = fields.get("dark").and_then(|s| step_time(&s, report));
    let why = fields.get("why").and_then(|s| report.text(&s)).unwrap_or_default();
    fields.finish(report);
    Some(ScorePart { place: place?, look, chases, fade, dark, why })
}

/// `bar` and `beat`, or `time`.
fn place(fields: &Fields<'_>, score: &Score, report: &mut Report<'_>) -> Option<Place> {
    let (bar, beat, time) = (fields.get("bar"), fields.get("beat"), fields.get("time"));
    match (&bar, time) {
        (Some(bar), None) => {
            let number = bar_number(bar, 1, score.bar_count(), report)?;
            let most = i64::from(score.beats_of(number).max(1));
            let beat = match &beat {
                Some(spot) => report.whole(spot, 1, most)? as u8,
                None => 1,
            };
            Some(Place::Bar { bar: number, beat })
        }
        (None, Some(time)) => {
            let at = Span::from_secs(report.measure(&time, TIME)?);
            if at >= score.length && score.length > Span::ZERO {
                report.wrong(
                    &time,
                    &format!("the track ends at {} s", score.length.secs()),
                    "let the part begin before that",
                );
                return None;
            }
            Some(Place::Time(at))
        }
        (Some(bar), Some(_)) => {
            report.wrong(bar, "the part says a `time` too", "keep one of them");
            None
        }
        (None, None) => {
            report.wrong_at(
                fields.at,
                &fields.who,
                "it does not say where it begins",
                "add `bar = 1`, or `time = \"12 s\"` for music without bars",
            );
            None
        }
    }
}
