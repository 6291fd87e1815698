//! `lanthorn score FILE --show SHOW`

mod picture;

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::Path;

use anyhow::Context;
use lanthorn_music::piece::Piece;
use lanthorn_physics::Span;
use lanthorn_show::score::lay::lay;
use lanthorn_show::{Part, Score, Show};
use lanthorn_store::change::score_keep;
use serde::Serialize;

use super::Failure;
use super::listen::listen;
use crate::command;
use crate::desk::{Kept, NotMade};
use crate::files;
use crate::score::heard::{grid, sections};

/// A score as JSON, times in seconds.
#[derive(Debug, Serialize)]
struct Told<'s> {
    name: &'s str,
    file: &'s str,
    secs: f64,
    bpm: Option<f64>,
    bars: Vec<f64>,
    parts: Vec<Row<'s>>,
    cautions: &'s [String],
}

/// A part of it.
#[derive(Debug, Serialize)]
struct Row<'s> {
    at: f64,
    /// As one says it: "17", "17.3"; none outside the bars.
    bar: Option<String>,
    section: &'s str,
    look: Option<&'s str>,
    chases: &'s [String],
    fade_s: f64,
    /// Dark for so long before it, seconds.
    dark_s: f64,
    why: &'s str,
}

/// Hears a sound file, lays a score over it, and keeps it in the show.
pub(crate) fn run(options: &command::Score) -> Result<(), Failure> {
    let opened = files::open(&options.show)?;
    let Some(path) = opened.path.clone() else {
        return Err(Failure::Input(format!(
            "{0}: the built-in show keeps no score: `lanthorn new NAME --from {0}` makes one of your own",
            opened.name
        )));
    };
    let name = name(options)?;
    if opened.file.show.score_index(&name).is_some() && !options.again {
        return Err(Failure::Input(format!(
            "{}: there is a score \"{name}\" already: --again lays it anew (the history keeps the old one), --name \
             NAME gives this one another name",
            opened.name
        )));
    }
    let piece = listen(&options.file, false)?;
    let mut score = grid(&piece);
    let sections = sections(&piece, &score);
    lay(&opened.file.show, &opened.file.rig, &mut score, &sections)
        .map_err(|why| Failure::Input(format!("{}: {why}; nothing is written", options.file.display())))?;
    (score.name, score.file) = (name, as_written(&options.file, &path));
    if let Some(file) = &options.svg {
        let drawn = picture::drawn(&score, &piece, &opened.file.show);
        fs::write(file, drawn).with_context(|| format!("write {}", file.display()))?;
    }
    let stepped = Kept::new(Some(path), String::new(), "lanthorn score")
        .change(&score_keep(&score))
        .map_err(|why| match why {
            NotMade::Refused(why) => Failure::Input(format!("{}: {why}", opened.name)),
            NotMade::NotKept(why) => Failure::Machine(anyhow::anyhow!(why)),
        })?;
    let cautions = cautions(&score, &opened.file.show);
    tell(options.json, &score, &piece, (&stepped.says, &cautions))
}

/// What to take care of in what is on: flashes, haze, and the dark.
fn cautions(score: &Score, show: &Show) -> Vec<String> {
    let of_chases = score.parts.iter().flat_map(|part| part.chases.iter().flatten());
    let chases = of_chases.filter_map(|name| show.chases.iter().find(|chase| chase.name == *name));
    let steps = chases.flat_map(|chase| &chase.steps).map(|step| &step.look);
    let on: BTreeSet<&String> =
        score.parts.iter().filter_map(|part| part.look.as_ref()).chain(steps).collect();
    let named = |with: fn(&Part) -> bool| {
        let looks = show.looks.iter().filter(|look| on.contains(&look.name) && look.parts.iter().any(with));
        looks.map(|look| format!("\"{}\"", look.name)).collect::<Vec<_>>().join(", ")
    };
    let mut cautions = Vec::new();
    let flashes = named(|part| part.strobe.is_some());
    if !flashes.is_empty() {
        cautions.push(format!(
            "take care: {flashes} in it: flashing light can bring on seizures; tell everybody, and keep to the venue's rules"
        ));
    }
    let haze = named(|part| part.haze > 0.0);
    if !haze.is_empty() {
        cautions.push(format!(
            "take care: haze with {haze}: smoke detectors may answer; ask the venue, and keep to the maker's manual"
        ));
    }
    if score.parts.iter().any(|part| part.dark.is_some()) {
        cautions.push(
            "take care: all driven lights go dark for a moment in it; where people move about keep the venue's own light on"
                .to_owned(),
        );
    }
    cautions
}

/// What it is called: as asked, else as the file without its ending.
fn name(options: &command::Score) -> Result<String, Failure> {
    let usual = || options.file.file_stem().map(|name| name.to_string_lossy().into_owned());
    let name = options.name.clone().or_else(usual).unwrap_or_default();
    let name: String = name.trim().chars().filter(|c| !c.is_control()).take(80).collect();
    if name.is_empty() {
        return Err(Failure::Input(format!("{}: this is no sound file", options.file.display())));
    }
    Ok(name)
}

/// From the folder of the show's file where the sound lies in it, else as a whole path.
fn as_written(file: &Path, show: &Path) -> String {
    let whole = |path: &Path| fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let file = whole(file);
    let show = whole(show);
    let inside = show.parent().and_then(|folder| file.strip_prefix(folder).ok());
    inside.unwrap_or(&file).to_string_lossy().into_owned()
}

fn tell(
    json: bool,
    score: &Score,
    piece: &Piece,
    (says, cautions): (&str, &[String]),
) -> Result<(), Failure> {
    let rows: Vec<Row<'_>> = score.order().into_iter().filter_map(|part| row(score, part)).collect();
    let mut out = std::io::stdout().lock();
    if json {
        let told = Told {
            name: &score.name,
            file: &score.file,
            secs: piece.secs,
            bpm: piece.bpm(),
            bars: score.bars.iter().map(|at| at.secs()).collect(),
            parts: rows,
            cautions,
        };
        let json = serde_json::to_string_pretty(&told).context("write JSON")?;
        writeln!(out, "{json}")?;
        return Ok(());
    }
    writeln!(out, "{says}\n")?;
    let cells: Vec<[String; 5]> = rows.iter().map(cells).collect();
    let heads = ["time", "bar", "section", "look", "chases"].map(str::to_owned);
    let mut wide = [0; 5];
    for row in std::iter::once(&heads).chain(&cells) {
        for (wide, cell) in wide.iter_mut().zip(row) {
            *wide = (*wide).max(cell.chars().count());
        }
    }
    let line = |row: &[String; 5], why: &str| {
        let padded: Vec<String> = row.iter().zip(wide).map(|(cell, wide)| format!("{cell:<wide$}")).collect();
        format!("{}  {why}", padded.join("  "))
    };
    writeln!(out, "{}", line(&heads, "why"))?;
    for (row, cells) in rows.iter().zip(&cells) {
        writeln!(out, "{}", line(cells, row.why))?;
    }
    for caution in cautions {
        writeln!(out, "{caution}")?;
    }
    Ok(())
}

fn row(score: &Score, index: usize) -> Option<Row<'_>> {
    let part = &score.parts[index];
    let (dark, at) = score.span_of(part)?;
    let beat = score.beat_at(at + Span::from_millis(1));
    let section = score.line_at(at + Span::from_millis(1)).map_or("", |line| line.name.as_str());
    Some(Row {
        at: at.secs(),
        bar: beat.map(|beat| match beat.place {
            1 => beat.bar.to_string(),
            place => format!("{}.{place}", beat.bar),
        }),
        section,
        look: part.look.as_deref(),
        chases: part.chases.as_deref().unwrap_or_default(),
        fade_s: part.fade.secs(),
        dark_s: (at - dark).secs(),
        why: &part.why,
    })
}

fn cells(row: &Row<'_>) -> [String; 5] {
    let chases = if row.chases.is_empty() { "none".to_owned() } else { row.chases.join(", ") };
    [
        minutes(row.at),
        row.bar.clone().unwrap_or_else(|| "–".to_owned()),
        row.section.to_owned(),
        row.look.unwrap_or("as before").to_owned(),
        chases,
    ]
}

/// "1:02.5".
pub(crate) fn minutes(secs: f64) -> String {
    let tenths = (secs * 10.0).round() as u64;
    format!("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10)
}
