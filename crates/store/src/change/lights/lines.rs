//! Data lines: which lights are on one, and in which order the cable runs.

use std::collections::BTreeSet;

use lanthorn_dmx::Address;
use lanthorn_rig::{Rig, Run, Unit};

use super::addresses::Known;
use super::{called, capital, known_lights};
use crate::change::sheet::Sheet;
use crate::change::{Refused, opened};
use crate::ink::quoted;

use super::table::{lamps, set_plain};

/// The line that lights at these addresses join: the one that every driven light of their universe is on.
pub(super) fn joined(rig: &Rig, addresses: &[Address]) -> Option<String> {
    let universe = addresses.first()?.universe;
    if addresses.iter().any(|address| address.universe != universe) {
        return None;
    }
    let mut lines = rig
        .units
        .iter()
        .filter(|unit| unit.address().is_some_and(|address| address.universe == universe))
        .map(|unit| unit.line.as_ref());
    let line = lines.next()??;
    lines.all(|other| other == Some(line)).then(|| line.clone())
}

/// Puts lights on a data line in this order; who was on it and is not named is on none now.
pub(in crate::change) fn line_set(sheet: &mut Sheet, name: &str, lights: &[u32]) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let name = name.trim();
    if name.is_empty() {
        return Err(Refused::new("name: a data line needs one, such as \"A\""));
    }
    let lights = known_lights(&file.rig, lights)?;
    let driven = |unit: &Unit| matches!(unit.run, Run::Driven { .. });
    let strange = file.rig.units.iter().find(|unit| lights.contains(&unit.number) && !driven(unit));
    if let Some(unit) = strange {
        return Err(Refused::new(format!(
            "light {} is not driven: a controller's line carries driven lights alone, linked ones follow their leader",
            unit.number
        )));
    }
    let known = Known::new(&file.rig);
    let all: BTreeSet<u32> = lights.iter().copied().collect();
    let on_it = |unit: &&Unit| unit.line.as_deref() == Some(name) && driven(unit);
    let left: BTreeSet<u32> =
        file.rig.units.iter().filter(on_it).map(|unit| unit.number).filter(|n| !all.contains(n)).collect();
    for key in ["line", "line_order"] {
        set_plain(sheet, &known, &left, key, None)?;
    }
    set_plain(sheet, &known, &all, "line", Some(&quoted(name)))?;
    order(sheet, &known, &lights)?;
    let says = format!("Line {name} now runs to {}.", called_in_order(&lights));
    if left.is_empty() {
        return Ok(says);
    }
    let left: Vec<u32> = left.into_iter().collect();
    let is = if left.len() == 1 { "is" } else { "are" };
    Ok(format!("{says} {} {is} on none.", capital(&called(&left))))
}

/// The file's own order where that is the one, places by number where it is not. Lights of one table that follow each
/// other have one place there, since among them the lower number comes first.
fn order(sheet: &mut Sheet, known: &Known, lights: &[u32]) -> Result<(), Refused> {
    let tables: Vec<Vec<u32>> = lamps(sheet)?.into_iter().map(|lamp| lamp.numbers).collect();
    let in_file: Vec<u32> = tables.iter().flatten().copied().filter(|n| lights.contains(n)).collect();
    if in_file == lights {
        return set_plain(sheet, known, &lights.iter().copied().collect(), "line_order", None);
    }
    let together =
        |a: u32, b: u32| a < b && tables.iter().any(|table| table.contains(&a) && table.contains(&b));
    let mut places: Vec<BTreeSet<u32>> = Vec::new();
    let mut last = None;
    for light in lights {
        match (places.last_mut(), last) {
            (Some(place), Some(last)) if together(last, *light) => drop(place.insert(*light)),
            _ => places.push(BTreeSet::from([*light])),
        }
        last = Some(*light);
    }
    for (place, at) in places.iter().zip(1u32..) {
        set_plain(sheet, known, place, "line_order", Some(&at.to_string()))?;
    }
    Ok(())
}

fn called_in_order(lights: &[u32]) -> String {
    match lights {
        [only] => format!("light {only}"),
        [rest @ .., last] => {
            let rest: Vec<String> = rest.iter().map(u32::to_string).collect();
            format!("lights {} and {last}, in this order", rest.join(", "))
        }
        [] => String::new(),
    }
}
