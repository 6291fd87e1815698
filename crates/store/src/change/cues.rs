//! Cues: numbers stay unique and ascend, and no more of them change than must.

use super::Refused;
use super::fields::{CueField, Field};
use super::items::moved;
use super::kinds::Values;
use super::looks::sources;
use super::named::{self, lines_of, no_such};
use super::sheet::{Edit, Sheet, Table};
use super::value::Value;
use crate::ink::quoted;
use crate::tree::Data;

const PATH: &[&str] = &["cue"];

/// A cue's number as printed.
fn number_of<'s>(sheet: &'s Sheet, table: &Table<'s>) -> &'s str {
    match named::entry(table.entries, "number").map(|entry| &entry.value) {
        Some(node) => match &node.data {
            Data::Text(text) => text,
            _ => sheet.source(node),
        },
        None => "",
    }
}

fn value(number: &str) -> f64 {
    number.parse().unwrap_or(f64::NAN)
}

fn numbers<'s>(sheet: &'s Sheet, tables: &[Table<'s>]) -> Vec<&'s str> {
    tables.iter().map(|table| number_of(sheet, table)).collect()
}

/// Which cue has that number, counted from 0.
fn place(sheet: &Sheet, tables: &[Table<'_>], number: &str) -> Result<usize, Refused> {
    let (number, all) = (number.trim(), numbers(sheet, tables));
    let found = all.iter().position(|own| *own == number);
    let found = found.or_else(|| all.iter().position(|own| (value(own) - value(number)).abs() < 1e-12));
    found.ok_or_else(|| no_such("cue", number, &all))
}

/// As the file writes it.
fn number_source(number: &str) -> String {
    let whole = number.parse::<i64>().is_ok_and(|whole| whole.to_string() == number);
    if whole { number.to_owned() } else { quoted(number) }
}

/// A number between two others: whole where that can be, else with as few digits as can be, near the middle.
fn between(low: Option<&str>, high: Option<&str>) -> Result<String, Refused> {
    const MOST_DIGITS: usize = 6;
    let none = || {
        let (low, high) = (low.unwrap_or("0"), high.unwrap_or("…"));
        Refused::new(format!(
            "no number is left between cue {low} and cue {high}: give one of them another first"
        ))
    };
    let (a, b) = (low.map(value), high.map(value));
    let whole = match (a, b) {
        (None, None) => 1.0,
        (Some(a), _) => a.floor() + 1.0,
        (None, Some(b)) => (b.ceil() - 1.0).max(1.0),
    };
    let fits = |number: f64| a.is_none_or(|a| number > a) && b.is_none_or(|b| number < b);
    if fits(whole) {
        return Ok(format!("{whole}"));
    }
    let (a, b) = (a.unwrap_or(0.0), b.ok_or_else(none)?);
    for digits in 1..=MOST_DIGITS {
        let steps = 10_f64.powi(digits as i32);
        let middle = ((a + b) / 2.0 * steps).round() / steps;
        let text = format!("{middle:.digits$}");
        if fits(value(&text)) && value(&text) > 0.0 {
            return Ok(text);
        }
    }
    Err(none())
}

/// One more cue: behind that one, or last.
pub(super) fn add(
    sheet: &mut Sheet,
    after: Option<&str>,
    values: &Values<CueField>,
) -> Result<String, Refused> {
    let tables = sheet.tables(PATH)?;
    let all = numbers(sheet, &tables);
    let before = match after {
        Some(after) => Some(place(sheet, &tables, after)?),
        None => tables.len().checked_sub(1),
    };
    let next = before.map_or(0, |before| before + 1);
    let number = between(before.map(|before| all[before]), all.get(next).copied())?;
    let mut lines = vec![("number", number_source(&number))];
    lines.extend(sources(values));
    let lines = lines_of(&lines);
    let edit = match before {
        Some(before) => {
            let at = tables[before].end;
            Edit { from: at, to: at, with: format!("\n[[cue]]\n{lines}") }
        }
        None => sheet.add(PATH, &lines)?,
    };
    sheet.edit(vec![edit])?;
    Ok(format!("Cue {number} is added."))
}

/// One cue less.
pub(super) fn remove(sheet: &mut Sheet, number: &str) -> Result<String, Refused> {
    let tables = sheet.tables(PATH)?;
    let at = place(sheet, &tables, number)?;
    let edit = sheet.remove(&tables[at])?;
    sheet.edit(vec![edit])?;
    Ok(format!("Cue {} is removed.", number.trim()))
}

/// Another place in the list, from 1; it takes a number that fits there, and no other changes its number.
pub(super) fn to_place(sheet: &mut Sheet, number: &str, to: usize) -> Result<String, Refused> {
    let tables = sheet.tables(PATH)?;
    let from = place(sheet, &tables, number)?;
    let order = moved(tables.len(), from + 1, to, "cue")?;
    let all = numbers(sheet, &tables);
    let own = all[from].to_owned();
    let neighbour = |place: Option<usize>| place.and_then(|place| order.get(place)).map(|index| all[*index]);
    let (low, high) = (neighbour((to - 1).checked_sub(1)), neighbour(Some(to)));
    let stays =
        low.is_none_or(|low| value(low) < value(&own)) && high.is_none_or(|high| value(&own) < value(high));
    let new = if stays { own.clone() } else { between(low, high)? };
    put(sheet, &order, to - 1, &new)?;
    if stays {
        return Ok(format!("Cue {own} stays where it is."));
    }
    Ok(format!("Cue {own} is cue {new} now, in place {to}."))
}

/// Another number; the cue goes to where that belongs.
pub(super) fn renumber(sheet: &mut Sheet, number: &str, to: &str) -> Result<String, Refused> {
    let to = to.trim();
    let tables = sheet.tables(PATH)?;
    let from = place(sheet, &tables, number)?;
    let all = numbers(sheet, &tables);
    let plain = !to.is_empty() && to.chars().all(|c| c.is_ascii_digit() || c == '.');
    if !plain || value(to).is_nan() {
        return Err(Refused::new(
            "a cue number is digits, perhaps with a point: write it such as \"4\" or \"4.5\"",
        ));
    }
    let same = |other: &&str| (value(other) - value(to)).abs() < 1e-12;
    if all.iter().enumerate().any(|(index, other)| index != from && same(other)) {
        return Err(Refused::new(format!("there is a cue {to} already: choose another number")));
    }
    let others = all.iter().enumerate().filter(|(index, _)| *index != from);
    let below = others.filter(|(_, other)| value(other) < value(to)).count();
    let order = moved(tables.len(), from + 1, below + 1, "cue")?;
    put(sheet, &order, below, to)?;
    Ok(format!("Cue {} is cue {to} now.", number.trim()))
}

fn put(sheet: &mut Sheet, order: &[usize], place: usize, number: &str) -> Result<(), Refused> {
    let tables = sheet.tables(PATH)?;
    let edits = sheet.reorder(&tables, order)?;
    sheet.edit(edits)?;
    let tables = sheet.tables(PATH)?;
    let Some(table) = tables.get(place).filter(|table| number_of(sheet, table) != number) else {
        return Ok(());
    };
    let edits = sheet.set(table, "number", Some(&number_source(number)))?;
    sheet.edit(edits)
}

/// Sets a field of a cue.
pub(super) fn set(
    sheet: &mut Sheet,
    number: &str,
    field: CueField,
    new: Option<&Value>,
) -> Result<String, Refused> {
    let tables = sheet.tables(PATH)?;
    let at = place(sheet, &tables, number)?;
    let edits = sheet.set(&tables[at], field.key(), new.map(Value::source).as_deref())?;
    sheet.edit(edits)?;
    Ok(named::now(&format!("Cue {}", number.trim()), field.key(), new))
}
