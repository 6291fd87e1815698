//! One `[[unit]]` for several lights: a value for one of them, and the table split where that must be.

use std::collections::{BTreeMap, BTreeSet};

use super::addresses::Known;
use super::numbers_source;
use crate::change::Refused;
use crate::change::items;
use crate::change::named::entry;
use crate::change::sheet::{Edit, Sheet, Table};
use crate::ink::{list, quoted};
use crate::tree::{Data, Entry, Node};
use crate::walk::{Report, Spot};

/// Keys that may have a value for each light.
const LISTED: [&str; 7] = ["at", "turn", "lean", "focus", "address", "power_from", "lead"];

/// One `[[unit]]` and its lights.
pub(super) struct Lamp<'s> {
    pub(super) table: Table<'s>,
    pub(super) numbers: Vec<u32>,
}

/// Every `[[unit]]`, in the order of the file.
pub(super) fn lamps(sheet: &Sheet) -> Result<Vec<Lamp<'_>>, Refused> {
    let mut report = Report::new(&sheet.text);
    let mut list = Vec::new();
    for table in sheet.tables(&["unit"])? {
        let numbers = entry(table.entries, "number").or_else(|| entry(table.entries, "numbers"));
        let numbers = numbers.and_then(|entry| numbers_of(&mut report, &entry.value)).unwrap_or_default();
        list.push(Lamp { table, numbers });
    }
    Ok(list)
}

/// Numbers of lights as a value names them.
pub(super) fn numbers_of(report: &mut Report<'_>, node: &Node) -> Option<Vec<u32>> {
    report.numbers(&Spot { node, who: "".into(), key: "".into() })
}

/// Whether a value has one for each light.
fn is_list(key: &str, node: &Node) -> bool {
    match &node.data {
        // A point is a list too.
        Data::List(items) if key == "focus" => {
            items.iter().any(|item| matches!(item.data, Data::List(_) | Data::Text(_)))
        }
        Data::List(_) => true,
        _ => false,
    }
}

/// What each light of a table has now.
fn now(sheet: &Sheet, known: &Known, lamp: &Lamp<'_>, key: &str) -> Vec<Option<String>> {
    let Some(entry) = entry(lamp.table.entries, key) else { return vec![None; lamp.numbers.len()] };
    match &entry.value.data {
        _ if key == "address" => lamp.numbers.iter().map(|light| known.source(*light)).collect(),
        Data::List(items) if is_list(key, &entry.value) => (0..lamp.numbers.len())
            .map(|index| items.get(index).map(|item| sheet.source(item).to_owned()))
            .collect(),
        _ => vec![Some(sheet.source(&entry.value).to_owned()); lamp.numbers.len()],
    }
}

/// Gives lights values of their own, or none.
pub(super) fn set_listed(
    sheet: &mut Sheet,
    known: &Known,
    key: &str,
    values: &BTreeMap<u32, Option<String>>,
) -> Result<(), Refused> {
    loop {
        let mut edits = Vec::new();
        let mut split = None;
        for lamp in lamps(sheet)? {
            let mine = || lamp.numbers.iter().filter_map(|light| values.get(light));
            if mine().next().is_none() {
                continue;
            }
            let zero = (matches!(key, "at" | "turn" | "lean") && mine().any(Option::is_some))
                .then(|| "0".to_owned());
            let merged: Vec<Option<String>> = now(sheet, known, &lamp, key)
                .into_iter()
                .zip(&lamp.numbers)
                .map(|(now, light)| {
                    values.get(light).cloned().unwrap_or_else(|| now.or_else(|| zero.clone()))
                })
                .collect();
            let some: Vec<String> = merged.iter().flatten().cloned().collect();
            if some.is_empty() {
                edits.extend(sheet.set(&lamp.table, key, None)?);
            } else if some.len() == merged.len() {
                edits.extend(written(sheet, known, &lamp, key, &some)?);
            } else {
                split = Some(parted(sheet, known, &lamp, |index| merged[index].is_some())?);
                break;
            }
        }
        match split {
            Some(split) => sheet.edit(split)?,
            None => return sheet.edit(edits),
        }
    }
}

/// The edits that write a value for each light of a table.
fn written(
    sheet: &Sheet,
    known: &Known,
    lamp: &Lamp<'_>,
    key: &str,
    values: &[String],
) -> Result<Vec<Edit>, Refused> {
    if let Some(old) = entry(lamp.table.entries, key)
        && is_list(key, &old.value)
        && values.len() > 1
    {
        let items = items::items(sheet, &old.value)?;
        let changed = items.iter().zip(values).filter(|(item, value)| sheet.source(item) != value.as_str());
        return Ok(changed
            .map(|(item, value)| Edit { from: item.from, to: item.to, with: value.clone() })
            .collect());
    }
    let one = if key == "address" { known.joined_sources(&lamp.numbers, values) } else { joined(values) };
    sheet.set(&lamp.table, key, Some(&one))
}

fn joined(values: &[String]) -> String {
    match values {
        [first, rest @ ..] if rest.iter().all(|value| value == first) => first.clone(),
        _ => list(values.iter().cloned()),
    }
}

/// Gives some lights the same value, or none: for keys that have one value in a table.
pub(super) fn set_plain(
    sheet: &mut Sheet,
    known: &Known,
    lights: &BTreeSet<u32>,
    key: &str,
    value: Option<&str>,
) -> Result<(), Refused> {
    loop {
        let mut edits = Vec::new();
        let mut split = None;
        for lamp in lamps(sheet)? {
            let mine = lamp.numbers.iter().filter(|light| lights.contains(light)).count();
            let old = entry(lamp.table.entries, key).map(|entry| sheet.source(&entry.value));
            if mine == 0 || old == value {
                continue;
            }
            if mine < lamp.numbers.len() {
                split = Some(parted(sheet, known, &lamp, |index| lights.contains(&lamp.numbers[index]))?);
                break;
            }
            edits.extend(sheet.set(&lamp.table, key, value)?);
        }
        match split {
            Some(split) => sheet.edit(split)?,
            None => return sheet.edit(edits),
        }
    }
}

/// The edits that split a table where its lights differ, in their order: the first keeps its lines and remarks.
fn parted(
    sheet: &Sheet,
    known: &Known,
    lamp: &Lamp<'_>,
    class: impl Fn(usize) -> bool,
) -> Result<Vec<Edit>, Refused> {
    let mut runs: Vec<Vec<usize>> = Vec::new();
    for index in 0..lamp.numbers.len() {
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|last| class(*last) == class(index)) => run.push(index),
            _ => runs.push(vec![index]),
        }
    }
    let Some((first, rest)) = runs.split_first() else { return Ok(Vec::new()) };
    let mut edits = reduced(sheet, known, lamp, first)?;
    let mut others = String::new();
    for run in rest {
        others.push_str("\n[[unit]]\n");
        for entry in lamp.table.entries {
            sheet.one_value(entry)?;
            let (key, value) = sliced(sheet, known, lamp, entry, run);
            others.push_str(&format!("{key} = {value}\n"));
        }
    }
    let at = lamp.table.own_end;
    edits.push(Edit { from: at, to: at, with: others });
    Ok(edits)
}

/// The edits that leave a table only some of its lights.
pub(super) fn reduced(
    sheet: &Sheet,
    known: &Known,
    lamp: &Lamp<'_>,
    kept: &[usize],
) -> Result<Vec<Edit>, Refused> {
    let mut edits = Vec::new();
    for entry in lamp.table.entries {
        let (key, value) = sliced(sheet, known, lamp, entry, kept);
        if key == entry.key && value == sheet.source(&entry.value) {
            continue;
        }
        sheet.one_value(entry)?;
        if kept.len() > 1 && LISTED.contains(&key) && is_list(key, &entry.value) {
            edits.extend(items::without(sheet, &entry.value, |index, _| !kept.contains(&index))?);
        } else if key == entry.key {
            edits.push(sheet.replace(entry, &value)?);
        } else {
            edits.push(Edit { from: entry.key_at, to: entry.value.to, with: format!("{key} = {value}") });
        }
    }
    Ok(edits)
}

/// A key and its value for some of a table's lights.
fn sliced<'s>(
    sheet: &'s Sheet,
    known: &Known,
    lamp: &Lamp<'_>,
    entry: &'s Entry,
    kept: &[usize],
) -> (&'s str, String) {
    let key = entry.key.as_str();
    let same = || sheet.source(&entry.value).to_owned();
    let lights: Vec<u32> = kept.iter().filter_map(|index| lamp.numbers.get(*index).copied()).collect();
    if matches!(key, "number" | "numbers") {
        return (if lights.len() == 1 { "number" } else { "numbers" }, numbers_source(&lights));
    }
    if !LISTED.contains(&key) {
        return (key, same());
    }
    if let (true, Data::List(items)) = (is_list(key, &entry.value), &entry.value.data) {
        let some: Vec<String> = kept
            .iter()
            .filter_map(|index| items.get(*index))
            .map(|item| sheet.source(item).to_owned())
            .collect();
        return (key, if let [only] = &some[..] { only.clone() } else { list(some) });
    }
    let shared = lamp.table.entries.iter().any(|entry| entry.key == "shares");
    let from_the_first = kept.iter().enumerate().all(|(place, index)| place == *index);
    if key != "address" || shared || from_the_first {
        return (key, same());
    }
    let addresses: Vec<String> =
        lights.iter().map(|light| known.source(*light).unwrap_or_else(|| quoted("1.001"))).collect();
    (key, known.joined_sources(&lights, &addresses))
}
