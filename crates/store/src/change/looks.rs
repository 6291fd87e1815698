//! Looks and their parts.

use super::Refused;
use super::fields::{Field, PartField};
use super::items::{moved, new_place};
use super::kinds::Values;
use super::named::{self, Kind, find, free, lines_of};
use super::sheet::{Edit, Sheet, Table};
use super::value::Value;
use crate::ink::quoted;

/// A new look, dark or like another.
pub(super) fn add(sheet: &mut Sheet, name: &str, like: Option<&str>) -> Result<String, Refused> {
    let Some(like) = like else { return named::add(sheet, Kind::Look, name, Vec::new()) };
    let name = free(sheet, Kind::Look, name, None)?;
    let last = sheet.tables(Kind::Look.path())?.last().map_or(0, |table| table.end);
    copy(sheet, Kind::Look, like, &name, Some(last))?;
    Ok(format!("{} is added, like \"{}\".", Kind::Look.title(&name), like.trim()))
}

/// The same once more, behind it.
pub(super) fn duplicate(sheet: &mut Sheet, kind: Kind, name: &str, to: &str) -> Result<String, Refused> {
    let to = free(sheet, kind, to, None)?;
    copy(sheet, kind, name, &to, None)?;
    Ok(format!("{} is the same as \"{}\".", kind.title(&to), name.trim()))
}

/// Copies a table under another name, behind it or at a byte.
fn copy(sheet: &mut Sheet, kind: Kind, name: &str, to: &str, at: Option<usize>) -> Result<(), Refused> {
    let table = find(sheet, kind, name)?;
    let (block, end) = (sheet.block(&table)?, table.end);
    let mut copied = Sheet::new(block)?;
    let table = find(&copied, kind, name)?;
    let edits = copied.set(&table, "name", Some(&quoted(to)))?;
    copied.edit(edits)?;
    let at = at.unwrap_or(end);
    sheet.edit(vec![Edit { from: at, to: at, with: format!("\n{}", copied.text) }])
}

/// Another place in the order.
pub(super) fn to_place(sheet: &mut Sheet, kind: Kind, name: &str, to: usize) -> Result<String, Refused> {
    let name = name.trim();
    find(sheet, kind, name)?;
    let tables = sheet.tables(kind.path())?;
    let at = tables.iter().position(|table| named::text(table.entries, "name") == Some(name));
    let order = moved(tables.len(), at.map_or(0, |at| at + 1), to, kind.noun())?;
    let edits = sheet.reorder(&tables, &order)?;
    sheet.edit(edits)?;
    Ok(format!("{} stands in place {to} now.", kind.title(name)))
}

/// A look of these parts, in place of those that it had, or new.
pub(super) fn keep(
    sheet: &mut Sheet,
    name: &str,
    fade: Option<&Value>,
    parts: &[Values<PartField>],
) -> Result<String, Refused> {
    let name = name.trim();
    let texts: String = parts.iter().map(|part| table_of(&sources(part))).collect();
    if !named::names(sheet, Kind::Look).contains(&name) {
        let values = fade.map(|fade| ("fade", fade.source())).into_iter().collect();
        named::add(sheet, Kind::Look, name, values)?;
        let at = find(sheet, Kind::Look, name)?.end;
        sheet.edit(vec![Edit { from: at, to: at, with: texts }])?;
        return Ok(format!("{} is kept, new.", Kind::Look.title(name)));
    }
    let table = find(sheet, Kind::Look, name)?;
    let mut edits = Vec::new();
    if let Some(fade) = fade {
        edits.extend(sheet.set(&table, "fade", Some(&fade.source()))?);
    }
    edits.push(Edit { from: table.own_end, to: table.own_end, with: texts });
    for part in sheet.within(table.entries, "part")? {
        edits.push(sheet.remove(&part)?);
    }
    sheet.edit(edits)?;
    Ok(format!("{} is kept as it is now.", Kind::Look.title(name)))
}

/// Keys of a table in the order of the file.
pub(super) fn sources<F: Field>(values: &Values<F>) -> Vec<(&'static str, String)> {
    values.iter().map(|(field, value)| (field.key(), value.source())).collect()
}

fn table_of(lines: &[(&'static str, String)]) -> String {
    format!("\n[[look.part]]\n{}", lines_of(lines))
}

/// One more part: at that place, or last.
pub(super) fn part_add(
    sheet: &mut Sheet,
    look: &str,
    who: &Value,
    values: &Values<PartField>,
    at: Option<usize>,
) -> Result<String, Refused> {
    let mut values = values.clone();
    values.insert(PartField::Who, who.clone());
    let text = table_of(&sources(&values));
    let table = find(sheet, Kind::Look, look)?;
    let parts = sheet.within(table.entries, "part")?;
    let at = new_place(parts.len(), at, "part")?;
    let place = if at == 1 { table.own_end } else { parts[at - 2].end };
    sheet.edit(vec![Edit { from: place, to: place, with: text }])?;
    Ok(format!("{} has a part for {} more: part {at}.", Kind::Look.title(look.trim()), who.words()))
}

fn part<'s>(parts: &[Table<'s>], number: usize) -> Result<Table<'s>, Refused> {
    let place = moved(parts.len(), number, number, "part").map(|_| number - 1)?;
    parts.get(place).copied().ok_or_else(|| Refused::new("there is no such part: look at the show again"))
}

/// One part less.
pub(super) fn part_remove(sheet: &mut Sheet, look: &str, number: usize) -> Result<String, Refused> {
    let table = find(sheet, Kind::Look, look)?;
    let one = part(&sheet.within(table.entries, "part")?, number)?;
    let edit = sheet.remove(&one)?;
    sheet.edit(vec![edit])?;
    Ok(format!("{}, part {number} is removed.", Kind::Look.title(look.trim())))
}

/// Another place in the order of parts.
pub(super) fn part_move(sheet: &mut Sheet, look: &str, number: usize, to: usize) -> Result<String, Refused> {
    let table = find(sheet, Kind::Look, look)?;
    let parts = sheet.within(table.entries, "part")?;
    let order = moved(parts.len(), number, to, "part")?;
    let edits = sheet.reorder(&parts, &order)?;
    sheet.edit(edits)?;
    Ok(format!("{}, part {number} is part {to} now.", Kind::Look.title(look.trim())))
}

/// Sets a field of a part.
pub(super) fn part_set(
    sheet: &mut Sheet,
    look: &str,
    number: usize,
    field: PartField,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let table = find(sheet, Kind::Look, look)?;
    let one = part(&sheet.within(table.entries, "part")?, number)?;
    let edits = sheet.set(&one, field.key(), value.map(Value::source).as_deref())?;
    sheet.edit(edits)?;
    Ok(named::now(&format!("{}, part {number}", Kind::Look.title(look.trim())), field.key(), value))
}
