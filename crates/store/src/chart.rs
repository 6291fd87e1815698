//! The channel chart of a light's manual, as its text was copied, to a profile's modes; every doubt is a question.
//!
//! ```text
//! text -> rows (writing: numbers in digits; layout: one below the other) -> tokens -> sections (headings)
//!      -> chain (what each number is) -> table (words beside numbers)
//!      -> meaning (attribute, kind, direction of each range) -> Reading, with questions -> modes of a profile
//! ```
//!
//! Nothing is repaired silently: what is printed is read as printed, and what that leaves open is asked. An [`Answer`] is
//! given back with the text, and the whole is read again: reading is a function of text and answers.

mod ask;
mod chain;
mod doubt_words;
mod doubts;
mod exploded;
mod figures;
mod fill;
mod heads;
mod layout;
mod meaning;
mod modes;
mod page;
mod profile;
mod subject;
mod table;
mod text;
mod token;
mod understand;
mod words;
mod writing;

pub use ask::Answer;
pub use profile::profile;
pub(crate) use profile::with_steady_light_of;

use std::borrow::Cow;

use crate::reading::{ModeReading, Reading};
use ask::Asker;
use heads::{Named, Section};
use table::Table;
use text::Row;
use token::Token;
use words::Said;

/// The longest text that is read, in bytes: a manual of some hundred pages.
pub const MOST_BYTES: usize = 4 << 20;
/// Rows of the text that are read.
const MOST_ROWS: usize = 20_000;

/// Reads a chart's text, with what has been answered to earlier questions about it.
///
/// Never fails: a text in which no channel is found gives no modes.
pub fn read(text: &str, answers: &[Answer]) -> Reading {
    let mut end = text.len().min(MOST_BYTES);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let mut rows = text::rows(text.get(..end).unwrap_or_default());
    let lines = text::close_up(&mut rows);
    let mut reading = read_rows(rows, answers);
    on_lines(&mut reading, &lines);
    reading
}

/// Gives a reading the lines that its text had before it was closed up, if it was.
fn on_lines(reading: &mut Reading, lines: &[(u32, u32)]) {
    let channels = reading.modes.iter_mut().flat_map(|mode| &mut mode.channels);
    let of_channels = channels.flat_map(|channel| {
        std::iter::once(&mut channel.lines).chain(channel.ranges.iter_mut().map(|range| &mut range.lines))
    });
    let of_questions = reading.questions.iter_mut().map(|question| &mut question.lines);
    for line in of_channels.chain(of_questions).flatten() {
        if let Ok(at) = lines.binary_search_by_key(line, |(now, _)| *now) {
            *line = lines[at].1;
        }
    }
}

/// Reads the rows of a text.
fn read_rows(rows: Vec<Row>, answers: &[Answer]) -> Reading {
    let mut rows = layout::one_below_the_other(writing::in_digits(rows));
    rows.truncate(MOST_ROWS);
    page::without_titles(&mut rows);
    page::without_breaks(&mut rows);
    page::without_switches(&mut rows);
    let tokens = token::tokens(&rows);
    let sections = heads::sections(&rows, &tokens);
    let light = Light { haze: says_haze(&rows, &sections), ..Light::default() };
    let reading = read_sections(&sections, &rows, &tokens, light, answers);
    // A light that mixes its colours in one mode has no wheel of colours in another.
    let has = |mode: &ModeReading, attrs: &[&str]| {
        mode.channels.iter().flat_map(|c| &c.ranges).any(|range| attrs.contains(&range.attr.as_str()))
    };
    let mixes = reading.modes.iter().any(|mode| has(mode, &["ColorAdd_R", "ColorAdd_G"]));
    let wheel = |mode: &ModeReading| has(mode, &["Color1", "Color1WheelSpin"]);
    if mixes && reading.modes.iter().any(|mode| wheel(mode) && !has(mode, &["ColorAdd_R", "ColorAdd_G"])) {
        return read_sections(&sections, &rows, &tokens, Light { mixes, ..light }, answers);
    }
    // And one that has a wheel in one mode has no ready mixes in another.
    let wheels = !mixes && reading.modes.iter().any(wheel);
    if wheels && reading.modes.iter().any(|mode| !wheel(mode) && has(mode, &["ColorMacro1"])) {
        return read_sections(&sections, &rows, &tokens, Light { wheels, ..light }, answers);
    }
    reading
}

/// What the text as a whole says of the light.
#[derive(Clone, Copy, Debug, Default)]
struct Light {
    /// In one of its modes it mixes colours.
    mixes: bool,
    /// In one of its modes it has a wheel of colours, and in none it mixes them.
    wheels: bool,
    /// It is a haze machine.
    haze: bool,
}

/// What stands above the tables, and in their headings, speaks of haze.
fn says_haze(rows: &[Row], sections: &[Section]) -> bool {
    let first = sections
        .iter()
        .find(|section| section.line.is_some())
        .map_or(rows.len().min(3), |section| section.from);
    rows.iter()
        .take(first)
        .any(|row| Said::new(&row.text()).has("haze|hazer|dunst*|brouillard|foschia|neblina"))
}

/// Reads the table below each heading.
fn read_sections(
    sections: &[Section],
    rows: &[Row],
    tokens: &[Token],
    light: Light,
    answers: &[Answer],
) -> Reading {
    let headed = sections.iter().any(|section| section.line.is_some());
    let mut asker = Asker::new(answers);
    let mut reading = Reading::default();
    let mut tables: Vec<(u32, Table)> = Vec::new();
    for section in sections {
        // What stands before the first heading is no table, if there are headings with tables below them.
        if section.line.is_none() && headed {
            continue;
        }
        add(section, (rows, tokens), light, &mut tables, &mut reading, &mut asker);
    }
    if reading.modes.is_empty() && headed {
        // The headings headed nothing: the whole may still be a table.
        let whole = Section { to: rows.len(), ..Section::default() };
        add(&whole, (rows, tokens), light, &mut tables, &mut reading, &mut asker);
    }
    reading.questions = asker.questions;
    reading.questions.sort_by_key(|question| question.lines.first().copied().unwrap_or(u32::MAX));
    profile::with_steady_light(&mut reading);
    reading
}

/// Reads the table below one heading.
fn add(
    section: &Section,
    (rows, tokens): (&[Row], &[Token]),
    light: Light,
    tables: &mut Vec<(u32, Table)>,
    reading: &mut Reading,
    asker: &mut Asker<'_>,
) {
    let first = tokens.partition_point(|token| token.row < section.from);
    let last = tokens.partition_point(|token| token.row < section.to);
    let mut of_section = Cow::Borrowed(tokens.get(first..last).unwrap_or_default());
    if !section.again.is_empty() {
        of_section.to_mut().retain(|token| !section.again.contains(&token.row));
    }
    if of_section.is_empty() {
        return;
    }
    if section.modes.len() > 1 {
        let columns = modes::columns(&section.modes, &of_section, &mut |doubt| {
            ask_columns(&section.modes, doubt, rows, asker)
        });
        let whole = table::read(rows, &columns.tokens, u32::try_from(columns.numbers.len()).ok());
        for (index, named) in section.modes.iter().enumerate() {
            let table = modes::one_mode(&whole, &columns.numbers, index);
            finish((&named.name, named.count), section.line, table, light, reading, asker);
        }
        return;
    }
    let named = section.modes.first();
    let mut table = table::read(
        rows,
        &of_section,
        named.and_then(|named| named.count).filter(|_| section.like.is_none()),
    );
    // "As 11-channel mode, with": that mode's channels, where this table has none of its own.
    if let Some((_, other)) = section.like.and_then(|like| tables.iter().find(|(count, _)| *count == like)) {
        let mut all: Vec<_> = other
            .channels
            .iter()
            .filter(|channel| table.channels.iter().all(|own| own.number != channel.number))
            .cloned()
            .collect();
        all.append(&mut table.channels);
        all.sort_by_key(|channel| channel.number);
        table.channels = all;
    }
    if let Some(last) = table.channels.last() {
        tables.push((last.fine.unwrap_or(last.number), table.clone()));
    }
    let name = named.map(|named| named.name.clone());
    let channels = table.channels.last().map_or(0, |last| last.fine.unwrap_or(last.number));
    // Without a heading a few numbers in prose are no table.
    let counted = named.is_some_and(|named| named.count.is_some());
    let valued = table.channels.iter().any(|channel| !channel.ranges.is_empty());
    if !counted
        && (!valued || table.channels.len() < 2 && !has_whole_range(&table))
        && (named.is_some() || !valued && table.channels.len() < 3)
    {
        return;
    }
    let name = name.unwrap_or_else(|| format!("{channels} channels"));
    finish((&name, named.and_then(|named| named.count)), section.line, table, light, reading, asker);
}

/// Numbers whose columns were lost can be other modes': the answer says so.
fn ask_columns(modes: &[Named], doubt: &modes::Doubt, rows: &[Row], asker: &mut Asker<'_>) -> bool {
    let names = |places: &[usize]| -> String {
        let names: Vec<&str> =
            places.iter().filter_map(|place| modes.get(*place)).map(|mode| mode.name.as_str()).collect();
        names.join(" and ")
    };
    let row = doubt.rows.last().and_then(|row| rows.get(*row));
    let text = format!(
        "\"{}\": there are more modes than numbers, and no column says whose they are. Which modes have this row?",
        row.map(|row| row.text().split_whitespace().collect::<Vec<_>>().join(" ")).unwrap_or_default()
    );
    let lines: Vec<u32> = doubt.rows.iter().filter_map(|row| rows.get(*row)).map(|row| row.line).collect();
    let named = doubt.read.first().and_then(|place| modes.get(*place));
    let about = ask::About {
        kind: "columns",
        mode: named.map(|mode| mode.name.as_str()),
        ch: u16::try_from(doubt.number).ok().filter(|number| *number > 0),
        which: row.map_or(0, |row| row.line),
        lines,
    };
    let (read, other) = (names(&doubt.read), names(&doubt.other));
    let answer = asker.ask(about, text, &[("read", &read), ("other", &other)]);
    answer.as_deref() == Some("other")
}

fn has_whole_range(table: &Table) -> bool {
    table.channels.iter().any(|channel| {
        channel.ranges.first().is_some_and(|range| range.from == 0)
            && channel.ranges.last().is_some_and(|range| range.to >= 255)
    })
}

/// Most letters of a mode's name that are kept.
const MOST_OF_A_MODE_NAME: usize = 60;

/// From a table to a mode, with its questions.
fn finish(
    (name, count): (&str, Option<u32>),
    line: Option<u32>,
    table: Table,
    light: Light,
    reading: &mut Reading,
    asker: &mut Asker<'_>,
) {
    if table.channels.is_empty() {
        return;
    }
    // A profile's names are one line of at most 80 letters, and one that comes again has its number behind it.
    let mut name: String = name.chars().take(MOST_OF_A_MODE_NAME).collect::<String>().trim().to_owned();
    let mut again = 2;
    while reading.modes.iter().any(|mode| mode.name == name) {
        name = format!("{} ({again})", name.trim_end_matches(&format!(" ({})", again - 1)));
        again += 1;
    }
    // Channel numbers that begin anew without a heading are another mode.
    let anew = (1..table.channels.len()).find(|at| {
        let (before, now) = (&table.channels[at - 1], &table.channels[*at]);
        now.numbered && now.number == 1 && before.number > 1
    });
    let mut table = table;
    let rest = anew.map(|at| Table {
        channels: table.channels.split_off(at),
        cost: table.cost,
        dots: Vec::new(),
        paired: None,
    });
    let last = table.channels.last().map_or(0, |last| last.fine.unwrap_or(last.number));
    let whole = rest.is_some();
    fill::unfold(&mut table);
    let (table, filled) = fill::dots(table);
    let count = count.filter(|count| !whole || *count == last);
    let mut mode = understand::mode(&name, &table, light, asker);
    doubts::mode(&mut mode, &table, count, line, &filled, asker);
    reading.modes.push(mode);
    if let Some(rest) = rest {
        let channels = rest.channels.last().map_or(0, |last| last.fine.unwrap_or(last.number));
        finish((&format!("{channels} channels"), None), line, rest, light, reading, asker);
    }
}
