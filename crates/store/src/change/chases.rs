//! Chases and their steps.

use super::Refused;
use super::fields::{Field, StepField, StepsField};
use super::items::{self, moved};
use super::named::{self, Kind, entry, find};
use super::sheet::{Edit, Sheet};
use super::value::Value;
use super::{kinds::Values, looks, remove};
use crate::ink::{list, quoted};
use crate::tree::{Data, Node};

/// A new chase of these looks.
pub(super) fn add(
    sheet: &mut Sheet,
    name: &str,
    steps: &[String],
    values: &Values<super::fields::ChaseField>,
) -> Result<String, Refused> {
    let mut lines = looks::sources(values);
    lines.push(("steps", list(steps.iter().map(|look| quoted(look.trim())))));
    named::add(sheet, Kind::Chase, name, lines)
}

/// The list of steps of a chase.
fn steps<'s>(sheet: &'s Sheet, chase: &str) -> Result<&'s Node, Refused> {
    let table = find(sheet, Kind::Chase, chase)?;
    let entry = entry(table.entries, "steps");
    entry.map(|entry| &entry.value).ok_or_else(|| Refused::new("the chase has no `steps`: add some"))
}

/// A step as the file writes it.
fn source(look: &str, time: Option<&str>, fade: Option<&str>) -> String {
    let mut keys = vec![format!("look = {look}")];
    keys.extend(time.map(|time| format!("time = {time}")));
    keys.extend(fade.map(|fade| format!("fade = {fade}")));
    if keys.len() == 1 { look.to_owned() } else { format!("{{ {} }}", keys.join(", ")) }
}

/// One more step: at that place, or last.
pub(super) fn step_add(
    sheet: &mut Sheet,
    chase: &str,
    look: &str,
    [time, fade]: [Option<&Value>; 2],
    at: Option<usize>,
) -> Result<String, Refused> {
    let node = steps(sheet, chase)?;
    let at = items::new_place(items::items(sheet, node)?.len(), at, "step")?;
    let [time, fade] = [time, fade].map(|value| value.map(Value::source));
    let step = source(&quoted(look.trim()), time.as_deref(), fade.as_deref());
    let edit = items::with(sheet, node, at - 1, &step)?;
    sheet.edit(vec![edit])?;
    Ok(format!("{} has step {at} more, \"{}\".", Kind::Chase.title(chase.trim()), look.trim()))
}

/// One step less; without any the chase goes.
pub(super) fn step_remove(sheet: &mut Sheet, chase: &str, number: usize) -> Result<String, Refused> {
    let node = steps(sheet, chase)?;
    let count = items::items(sheet, node)?.len();
    moved(count, number, number, "step")?;
    if count == 1 {
        return Ok(format!("The last step went. {}", remove::chase(sheet, chase)?));
    }
    let edits = items::without(sheet, node, |index, _| index == number - 1)?;
    sheet.edit(edits)?;
    Ok(format!("{}, step {number} is removed.", Kind::Chase.title(chase.trim())))
}

/// Another place in the order of steps.
pub(super) fn step_move(sheet: &mut Sheet, chase: &str, number: usize, to: usize) -> Result<String, Refused> {
    let node = steps(sheet, chase)?;
    let order = moved(items::items(sheet, node)?.len(), number, to, "step")?;
    let edits = items::reorder(sheet, node, &order)?;
    sheet.edit(edits)?;
    Ok(format!("{}, step {number} is step {to} now.", Kind::Chase.title(chase.trim())))
}

/// Sets a field of a step.
pub(super) fn step_set(
    sheet: &mut Sheet,
    chase: &str,
    number: usize,
    field: StepField,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let node = steps(sheet, chase)?;
    let all = items::items(sheet, node)?;
    moved(all.len(), number, number, "step")?;
    let edit = one_step(sheet, &all[number - 1], field, value)?;
    sheet.edit(edit.into_iter().collect())?;
    let title = format!("{}, step {number}", Kind::Chase.title(chase.trim()));
    Ok(named::now(&title, field.key(), value))
}

fn one_step(
    sheet: &Sheet,
    item: &Node,
    field: StepField,
    value: Option<&Value>,
) -> Result<Option<Edit>, Refused> {
    let empty = [];
    let entries = if let Data::Table(entries) = &item.data { entries.as_slice() } else { &empty };
    if let (Some(entry), Some(value)) = (entry(entries, field.key()), value) {
        return sheet.replace(entry, &value.source()).map(Some);
    }
    let now = |own: StepField| {
        if own == field {
            return value.map(Value::source);
        }
        match (entry(entries, own.key()), &item.data) {
            (Some(entry), _) => Some(sheet.source(&entry.value).to_owned()),
            (None, Data::Table(_)) => None,
            (None, _) => (own == StepField::Look).then(|| sheet.source(item).to_owned()),
        }
    };
    let look = now(StepField::Look).ok_or_else(|| Refused::new("a step shows a look: name one"))?;
    let new = source(&look, now(StepField::Time).as_deref(), now(StepField::Fade).as_deref());
    let edit = Edit { from: item.from, to: item.to, with: new };
    Ok((sheet.source(item) != edit.with).then_some(edit))
}

/// The same time or fade for all steps.
pub(super) fn steps_set(
    sheet: &mut Sheet,
    chase: &str,
    field: StepsField,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let (own, whole) = match field {
        StepsField::Time => (StepField::Time, "step_time"),
        StepsField::Fade => (StepField::Fade, "step_fade"),
    };
    let table = find(sheet, Kind::Chase, chase)?;
    let mut edits = sheet.set(&table, whole, value.map(Value::source).as_deref())?;
    let node = steps(sheet, chase)?;
    for item in items::items(sheet, node)? {
        edits.extend(one_step(sheet, item, own, None)?);
    }
    sheet.edit(edits)?;
    Ok(named::now(&format!("{}, all steps", Kind::Chase.title(chase.trim())), field.key(), value))
}
