//! Scored tracks and their parts.

use std::collections::BTreeMap;

use lanthorn_show::Score;

use super::Refused;
use super::fields::{Field, ScoreField, ScorePartField};
use super::items::moved;
use super::kinds::{Change, Values};
use super::looks::sources;
use super::named::{self, Kind, find, lines_of};
use super::sheet::{Edit, Sheet, Table};
use super::value::Value;
use crate::show_file::score_text;
use crate::values::{self, values};

/// The change that keeps a score.
pub fn score_keep(score: &Score) -> Change {
    let mut written = values(&score_text(score)).scores.into_iter().next().unwrap_or_default();
    let parts = match written.remove("part") {
        Some(Value::List(parts)) => parts.into_iter().map(part_of).collect(),
        _ => Vec::new(),
    };
    let known = |key: &str| ScoreField::ALL.iter().copied().find(|field| field.key() == key);
    let values = written.into_iter().filter_map(|(key, value)| Some((known(&key)?, value))).collect();
    Change::ScoreKeep { name: score.name.clone(), values, parts }
}

fn part_of(part: Value) -> Values<ScorePartField> {
    let keys = match part {
        Value::Table(keys) => keys,
        _ => values::Table::new(),
    };
    let known = |key: &str| ScorePartField::ALL.iter().copied().find(|field| field.key() == key);
    keys.into_iter().filter_map(|(key, value)| Some((known(&key)?, value))).collect()
}

/// A score of these parts, in place of the one of that name, or new.
pub(super) fn keep(
    sheet: &mut Sheet,
    name: &str,
    values: &Values<ScoreField>,
    parts: &[Values<ScorePartField>],
) -> Result<String, Refused> {
    let name = name.trim();
    let title = Kind::Score.title(name);
    let texts: String = parts.iter().map(table_of).collect();
    if !named::names(sheet, Kind::Score).contains(&name) {
        named::add(sheet, Kind::Score, name, sources(values))?;
        let at = find(sheet, Kind::Score, name)?.end;
        sheet.edit(vec![Edit { from: at, to: at, with: texts }])?;
        return Ok(format!("{title} is kept, new, with {}.", named::count(parts.len(), "part")));
    }
    let table = find(sheet, Kind::Score, name)?;
    let gone: Vec<Edit> = sheet
        .within(table.entries, "part")?
        .iter()
        .map(|part| sheet.remove(part))
        .collect::<Result<_, _>>()?;
    sheet.edit(gone)?;
    for field in ScoreField::ALL {
        let table = find(sheet, Kind::Score, name)?;
        let edits = sheet.set(&table, field.key(), values.get(field).map(Value::source).as_deref())?;
        sheet.edit(edits)?;
    }
    let at = find(sheet, Kind::Score, name)?.end;
    sheet.edit(vec![Edit { from: at, to: at, with: texts }])?;
    Ok(format!("{title} is laid anew, with {}.", named::count(parts.len(), "part")))
}

fn table_of(values: &Values<ScorePartField>) -> String {
    format!("\n[[score.part]]\n{}", lines_of(&sources(values)))
}

/// Sets a field of a score.
pub(super) fn set(
    sheet: &mut Sheet,
    name: &str,
    field: ScoreField,
    value: Option<&Value>,
) -> Result<String, Refused> {
    named::set(sheet, Kind::Score, name, field.key(), value)
}

/// One more part, behind the others.
pub(super) fn part_add(
    sheet: &mut Sheet,
    score: &str,
    values: &Values<ScorePartField>,
) -> Result<String, Refused> {
    let table = find(sheet, Kind::Score, score)?;
    let number = sheet.within(table.entries, "part")?.len() + 1;
    let edit = Edit { from: table.end, to: table.end, with: table_of(values) };
    sheet.edit(vec![edit])?;
    Ok(format!("{} has a part more: part {number}.", Kind::Score.title(score.trim())))
}

fn part<'s>(parts: &[Table<'s>], number: usize) -> Result<Table<'s>, Refused> {
    moved(parts.len(), number, number, "part")?;
    let one = number.checked_sub(1).and_then(|place| parts.get(place));
    one.copied().ok_or_else(|| Refused::new("there is no such part: look at the score again"))
}

/// One part less.
pub(super) fn part_remove(sheet: &mut Sheet, score: &str, number: usize) -> Result<String, Refused> {
    let table = find(sheet, Kind::Score, score)?;
    let one = part(&sheet.within(table.entries, "part")?, number)?;
    let edit = sheet.remove(&one)?;
    sheet.edit(vec![edit])?;
    Ok(format!("{}, part {number} is removed.", Kind::Score.title(score.trim())))
}

/// Sets fields of a part, all together: to move it from a bar to a moment takes two.
pub(super) fn part_set(
    sheet: &mut Sheet,
    score: &str,
    number: usize,
    values: &BTreeMap<ScorePartField, Option<Value>>,
) -> Result<String, Refused> {
    let title = format!("{}, part {number}", Kind::Score.title(score.trim()));
    let mut says = Vec::new();
    for (field, value) in values {
        let table = find(sheet, Kind::Score, score)?;
        let one = part(&sheet.within(table.entries, "part")?, number)?;
        let edits = sheet.set(&one, field.key(), value.as_ref().map(Value::source).as_deref())?;
        sheet.edit(edits)?;
        says.push(named::now(&title, field.key(), value.as_ref()));
    }
    if says.is_empty() {
        return Err(Refused::new(format!("{title}: nothing is named: say which field to set")));
    }
    Ok(says.join(" "))
}
