//! Lights less: what is left without them goes too, and who moved with them finds another to move with.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_rig::{Rig, Run};

use super::addresses::Known;
use super::table::{lamps, numbers_of, reduced, set_listed, set_plain};
use super::{called, capital, known_lights, numbers_source};
use crate::change::named::{self, count, entry};
use crate::change::sheet::{Edit, Sheet};
use crate::change::{Refused, opened};
use crate::tree::Data;
use crate::walk::Report;

/// Takes lights away, with their sights; groups and parts that have no other light go too.
pub(in crate::change) fn remove(sheet: &mut Sheet, lights: &[u32]) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let lights = known_lights(&file.rig, lights)?;
    let gone: BTreeSet<u32> = lights.iter().copied().collect();
    let known = Known::new(&file.rig);
    heirs(sheet, &file.rig, &known, &gone)?;
    let mut edits = Vec::new();
    for lamp in lamps(sheet)? {
        let kept: Vec<usize> =
            (0..lamp.numbers.len()).filter(|index| !gone.contains(&lamp.numbers[*index])).collect();
        if kept.is_empty() {
            edits.push(sheet.remove(&lamp.table)?);
        } else if kept.len() < lamp.numbers.len() {
            edits.extend(reduced(sheet, &known, &lamp, &kept)?);
        }
    }
    for path in ["sight", "found"] {
        for table in sheet.tables(&[path])? {
            let unit = entry(table.entries, "unit").map(|entry| &entry.value.data);
            if matches!(unit, Some(Data::Whole(unit)) if gone.iter().any(|light| i64::from(*light) == *unit))
            {
                edits.push(sheet.remove(&table)?);
            }
        }
    }
    let (groups, group_edits) = groups(sheet, &gone)?;
    edits.extend(group_edits);
    let (parts, part_edits) = parts(sheet, &gone, &groups)?;
    edits.extend(part_edits);
    sheet.edit(edits)?;
    let is = if lights.len() == 1 { "is" } else { "are" };
    let mut went: Vec<String> = groups.iter().map(|group| format!("the group \"{group}\"")).collect();
    if parts > 0 {
        went.push(format!("{} of looks", count(parts, "part")));
    }
    let with = if went.is_empty() {
        String::new()
    } else {
        format!(", and with {} {}", if lights.len() == 1 { "it" } else { "them" }, named::and(&went))
    };
    Ok(format!("{} {is} removed{with}.", capital(&called(&lights))))
}

/// Whoever shared the address of a light that goes, or followed it: the first of them takes its place.
fn heirs(sheet: &mut Sheet, rig: &Rig, known: &Known, gone: &BTreeSet<u32>) -> Result<(), Refused> {
    for light in gone {
        let (mut sharing, mut following) = (Vec::new(), Vec::new());
        for unit in rig.units.iter().filter(|unit| !gone.contains(&unit.number)) {
            match unit.run {
                Run::Driven { shares: Some(shares), .. } if shares == *light => sharing.push(unit.number),
                Run::Linked { leader, .. } if leader == *light => following.push(unit.number),
                _ => {}
            }
        }
        if let Some((heir, others)) = sharing.split_first() {
            set_plain(sheet, known, &BTreeSet::from([*heir]), "shares", None)?;
            let address = BTreeMap::from([(*heir, known.source(*light))]);
            set_listed(sheet, known, "address", &address)?;
            let others = others.iter().copied().collect();
            set_plain(sheet, known, &others, "shares", Some(&heir.to_string()))?;
        }
        feed_from_behind(sheet, rig, known, gone, *light)?;
        if let Some(heir) = following.first() {
            let all = following.iter().copied().collect();
            set_plain(sheet, known, &all, "leader", Some(&heir.to_string()))?;
        }
    }
    Ok(())
}

/// Whoever was plugged into a light that goes is plugged into what that was plugged into: an earlier light, or a socket.
fn feed_from_behind(
    sheet: &mut Sheet,
    rig: &Rig,
    known: &Known,
    gone: &BTreeSet<u32>,
    light: u32,
) -> Result<(), Refused> {
    let mut feeder = rig.unit(light).and_then(|unit| unit.feed.from);
    for _ in 0..rig.units.len() {
        feeder =
            feeder.and_then(
                |number| if gone.contains(&number) { rig.unit(number)?.feed.from } else { Some(number) },
            );
    }
    let fed = rig.units.iter().filter(|unit| unit.feed.from == Some(light) && !gone.contains(&unit.number));
    let values: BTreeMap<u32, Option<String>> =
        fed.map(|unit| (unit.number, feeder.map(|number| number.to_string()))).collect();
    if values.is_empty() { Ok(()) } else { set_listed(sheet, known, "power_from", &values) }
}

/// Groups with fewer lights; the names of those that have none left.
fn groups(sheet: &Sheet, gone: &BTreeSet<u32>) -> Result<(Vec<String>, Vec<Edit>), Refused> {
    let mut report = Report::new(&sheet.text);
    let (mut empty, mut edits) = (Vec::new(), Vec::new());
    for table in sheet.tables(&["group"])? {
        let Some(units) = entry(table.entries, "units") else { continue };
        let numbers = numbers_of(&mut report, &units.value).unwrap_or_default();
        let kept: Vec<u32> = numbers.iter().copied().filter(|number| !gone.contains(number)).collect();
        if kept.is_empty() {
            empty.extend(named::text(table.entries, "name").map(str::to_owned));
            edits.push(sheet.remove(&table)?);
        } else if kept.len() < numbers.len() {
            edits.push(sheet.replace(units, &numbers_source(&kept))?);
        }
    }
    Ok((empty, edits))
}

/// Parts for fewer lights; how many had no other.
fn parts(sheet: &Sheet, gone: &BTreeSet<u32>, groups: &[String]) -> Result<(usize, Vec<Edit>), Refused> {
    let mut report = Report::new(&sheet.text);
    let (mut empty, mut edits) = (0, Vec::new());
    for look in sheet.tables(&["look"])? {
        for part in sheet.within(look.entries, "part")? {
            let Some(who) = entry(part.entries, "who") else { continue };
            let group = match &who.value.data {
                Data::Text(text) => groups.contains(text),
                _ => false,
            };
            let numbers = numbers_of(&mut report, &who.value).unwrap_or_default();
            let kept: Vec<u32> = numbers.iter().copied().filter(|number| !gone.contains(number)).collect();
            if group || (kept.is_empty() && !numbers.is_empty()) {
                empty += 1;
                edits.push(sheet.remove(&part)?);
            } else if kept.len() < numbers.len() {
                edits.push(sheet.replace(who, &numbers_source(&kept))?);
            }
        }
    }
    Ok((empty, edits))
}
