//! Kinds of light: read from a chart, and what their channels do.

use super::named::{self, and, no_such};
use super::sheet::{Sheet, Table};
use super::value::{Value, entry};
use super::{Refused, lights, opened};
use crate::chart::{self, Answer};
use crate::ink::quoted;
use crate::kept_chart::{MOST_BYTES, write_with_chart};
use crate::{ShowFile, library, values};

/// The keys that say on a channel itself what all its values do.
const WHOLE: [&str; 10] =
    ["does", "kind", "sense", "physical", "slot", "when", "hold", "danger", "label", "origin"];

/// A new kind of light from its chart; or another reading of one that is there.
pub(super) fn add(
    sheet: &mut Sheet,
    name: &str,
    text: &str,
    answers: &[Answer],
    replace: bool,
) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let name = one_line(name)?;
    if text.len() > MOST_BYTES {
        let what = format!("text: {} KiB are too much: paste the pages of the chart alone", text.len() >> 10);
        return Err(Refused::new(what));
    }
    let carried = file.profiles.iter().any(|profile| profile.name == name);
    if !replace && (carried || library::shipped_profile(name).is_some()) {
        let whose = if carried { "the show" } else { "the library" };
        return Err(Refused::new(format!(
            "{whose} has a kind of light \"{name}\" already: give this one another name, or say `replace`"
        )));
    }
    // One kind of line end: the file has its own.
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let reading = chart::read(&text, answers);
    if reading.modes.is_empty() {
        return Err(Refused::new(
            "text: no channel is found in it: paste the rows of the manual's table, each with its number and its values",
        ));
    }
    if carried {
        let table = find(sheet, name)?;
        let edit = sheet.remove(&table)?;
        sheet.edit(vec![edit])?;
    }
    let profile = chart::profile(&reading, name, None);
    let open = reading.questions.iter().filter(|question| question.answered.is_none()).count();
    let asked = |answer: &&Answer| reading.questions.iter().any(|question| question.id == answer.id);
    let answers: Vec<Answer> = answers.iter().filter(asked).cloned().collect();
    let lines = write_with_chart(&profile, &text, &answers);
    let edit = sheet.add(&["profile"], lines.strip_prefix("[[profile]]\n").unwrap_or(&lines))?;
    sheet.edit(vec![edit])?;
    let modes: Vec<String> = reading.modes.iter().map(|mode| format!("\"{}\"", mode.name)).collect();
    let noun = if modes.len() == 1 { "mode" } else { "modes" };
    let doubts = match open {
        0 => "No question about it is open.".to_owned(),
        1 => "1 question about it is open.".to_owned(),
        many => format!("{many} questions about it are open."),
    };
    Ok(format!(
        "The show has a kind of light \"{name}\" now, {noun} {}. {doubts} Its weight, power and beam are not known.",
        and(&modes)
    ))
}

/// What a channel does.
pub(super) fn channel_set(
    sheet: &mut Sheet,
    kind: &str,
    (mode, channel): (&str, u16),
    name: Option<&str>,
    ranges: &[values::Table],
) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let kind = kind.trim();
    let profile = lights::profile(&file, kind)?;
    lights::carry(sheet, &file, &profile)?;
    if ranges.is_empty() {
        return Err(Refused::new("ranges: say what at least one range of values does"));
    }
    let before = called(&file, &profile.name, mode, channel);
    let table = channel_table(sheet, kind, mode, channel)?;
    let mut edits = Vec::new();
    for key in WHOLE {
        edits.extend(sheet.set(&table, key, None)?);
    }
    if let Some(name) = name {
        edits.extend(sheet.set(&table, "name", Some(&quoted(name.trim())))?);
    }
    let sources: Vec<String> = ranges.iter().map(source).collect();
    let written = format!("[\n  {},\n]", sources.join(",\n  "));
    edits.extend(sheet.set(&table, "ranges", Some(&written))?);
    sheet.edit(edits)?;
    let what = name.map_or(before, str::to_owned);
    let count = count_of(sheet, kind, mode, channel);
    Ok(format!(
        "Channel {channel} ({what}) of \"{kind}\", mode \"{}\", has {} now.",
        mode.trim(),
        named::count(count, "range")
    ))
}

/// A range as the file writes it: its values first.
fn source(range: &values::Table) -> String {
    let mut keys: Vec<(&String, &Value)> = range.iter().collect();
    keys.sort_by_key(|(key, _)| key.as_str() != "values");
    let entries: Vec<String> = keys.into_iter().map(|(key, value)| entry(key, value)).collect();
    format!("{{ {} }}", entries.join(", "))
}

fn count_of(sheet: &Sheet, kind: &str, mode: &str, channel: u16) -> usize {
    let table = channel_table(sheet, kind, mode, channel);
    table.map_or(0, |table| named::inner(table.entries, "ranges").len())
}

fn called(file: &ShowFile, kind: &str, mode: &str, channel: u16) -> String {
    let profile = lights::profile(file, kind).ok();
    let mode = profile.as_ref().and_then(|profile| profile.modes.iter().find(|one| one.name == mode.trim()));
    let channel = mode.and_then(|mode| mode.channels.iter().find(|one| one.coarse == channel));
    channel.map(|channel| channel.name.clone()).unwrap_or_default()
}

/// The table of a channel, by the place of its (coarse) byte.
fn channel_table<'s>(sheet: &'s Sheet, kind: &str, mode: &str, channel: u16) -> Result<Table<'s>, Refused> {
    let profile = find(sheet, kind)?;
    let mode = mode.trim();
    let modes = sheet.within(profile.entries, "mode")?;
    let names: Vec<&str> = modes.iter().filter_map(|table| named::text(table.entries, "name")).collect();
    let of_name = modes.iter().find(|table| named::text(table.entries, "name") == Some(mode));
    let Some(mode) = of_name else { return Err(no_such("mode", mode, &names)) };
    let channels = sheet.within(mode.entries, "channel")?;
    let known = channels.iter().filter_map(|table| place(table)).map(|at| at.to_string()).collect::<Vec<_>>();
    let found = channels.into_iter().find(|table| place(table) == Some(i64::from(channel)));
    found.ok_or_else(|| {
        Refused::new(format!("there is no channel {channel} in this mode: its channels are {}", and(&known)))
    })
}

/// Where its (coarse) byte is.
fn place(table: &Table<'_>) -> Option<i64> {
    use crate::tree::Data::{List, Whole};
    match &named::entry(table.entries, "at")?.value.data {
        Whole(at) => Some(*at),
        List(items) => match items.first()?.data {
            Whole(at) => Some(at),
            _ => None,
        },
        _ => None,
    }
}

fn find<'s>(sheet: &'s Sheet, name: &str) -> Result<Table<'s>, Refused> {
    let tables = sheet.tables(&["profile"])?;
    let names: Vec<&str> = tables.iter().filter_map(|table| named::text(table.entries, "name")).collect();
    let at = names.iter().position(|one| *one == name).ok_or_else(|| no_such("profile", name, &names))?;
    tables.into_iter().nth(at).ok_or_else(|| no_such("profile", name, &[]))
}

/// A name that can stand in a file.
fn one_line(name: &str) -> Result<&str, Refused> {
    let name = name.trim();
    if name.is_empty() || name.chars().count() > 80 || name.chars().any(char::is_control) {
        return Err(Refused::new(
            "name: say what this kind of light is called, in one line of up to 80 letters",
        ));
    }
    Ok(name)
}
