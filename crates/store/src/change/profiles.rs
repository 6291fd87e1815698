//! The descriptions of lights that a show carries.

use std::collections::BTreeMap;
use std::sync::Arc;

use lanthorn_fixture::Profile;

use super::lights::{Known, called, carry};
use super::named::{self, and, capital, count, entry};
use super::sheet::{Edit, Sheet};
use super::{Refused, opened};
use crate::library::{Source, identity, offer_for, shipped_profile};
use crate::tree::Data;
use crate::{ShowFile, profile_file};

/// A show carries what only this machine knows: as soon as something else changes in it, so that it opens elsewhere.
pub(super) fn carry_own(sheet: &mut Sheet) -> Result<(), Refused> {
    let file = opened(&sheet.text)?;
    let carried = |profile: &Profile| file.profiles.iter().any(|one| one.name == profile.name);
    let mut own: Vec<&Arc<Profile>> = Vec::new();
    for profile in file.rig.units.iter().map(|unit| &unit.profile) {
        let known = own.iter().any(|one| one.name == profile.name);
        if !known && !carried(profile) && shipped_profile(&profile.name).is_none() {
            own.push(profile);
        }
    }
    own.into_iter().try_for_each(|profile| carry(sheet, &file, profile))
}

/// Takes the library's description of a light into the show.
pub(super) fn take(sheet: &mut Sheet, name: &str, wanted: Option<&str>) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let name = name.trim();
    let used = file.rig.units.iter().map(|unit| &unit.profile);
    let has = file.profiles.iter().chain(used).find(|profile| profile.name == name).cloned();
    let has = has.ok_or_else(|| named::no_such("profile", name, &names(&file)))?;
    let Some(offer) = offer_for(&file.rig, &has) else {
        if file.profiles.iter().any(|profile| profile.name == name) {
            return Err(Refused::new(format!(
                "the show has the library's description of \"{name}\" already: there is nothing to take"
            )));
        }
        carry(sheet, &file, &has)?;
        return Ok(format!("The show carries its description of \"{name}\" itself now."));
    };
    let offered = &offer.offered;
    if let Some(wanted) = wanted.filter(|wanted| !identity(offered).begins_with(wanted)) {
        return Err(Refused::new(format!(
            "the library has {} of \"{name}\" now, not {}: look at the differences again",
            identity(offered),
            wanted.trim()
        )));
    }
    modes_are_there(&file, offered)?;
    replace(sheet, &file, offered)?;
    let lights = &offer.lights;
    let moved = refit(sheet, &file, offered)?;
    let whose = match offer.source {
        Source::Own => "in your own folder",
        Source::Shipped => "in the library",
    };
    let concerns = match lights.len() {
        0 => "no light is of it".to_owned(),
        _ => format!("it concerns {}", called(lights)),
    };
    Ok(format!(
        "\"{name}\" is described as {whose} now: {}; {concerns}.{moved}",
        count(offer.differences.len(), "difference")
    ))
}

fn names(file: &ShowFile) -> Vec<&str> {
    let used = file.rig.units.iter().map(|unit| unit.profile.name.as_str());
    used.chain(file.profiles.iter().map(|profile| profile.name.as_str())).collect()
}

/// Every mode that some light is in.
fn modes_are_there(file: &ShowFile, offered: &Profile) -> Result<(), Refused> {
    let mut lost: BTreeMap<&str, Vec<u32>> = BTreeMap::new();
    for unit in file.rig.units.iter().filter(|unit| unit.profile.name == offered.name) {
        let mode = unit.mode();
        if offered.mode(&mode.name).is_none() {
            lost.entry(&mode.name).or_default().push(unit.number);
        }
    }
    let Some((mode, lights)) = lost.first_key_value() else { return Ok(()) };
    let has: Vec<String> = offered.modes.iter().map(|mode| format!("\"{}\"", mode.name)).collect();
    let is = if lights.len() == 1 { "is" } else { "are" };
    Err(Refused::new(format!(
        "{} {is} in mode \"{mode}\", which the other description does not have (it has {}): put {} into a mode that both \
         have first",
        called(lights),
        and(&has),
        if lights.len() == 1 { "it" } else { "them" },
    )))
}

/// The other description in place of the one that the file carries, or new in it.
fn replace(sheet: &mut Sheet, file: &ShowFile, offered: &Profile) -> Result<(), Refused> {
    if file.profiles.iter().all(|carried| carried.name != offered.name) {
        return carry(sheet, file, offered);
    }
    let tables = sheet.tables(&["profile"])?;
    let is_it = |entries| {
        entry(entries, "name")
            .is_some_and(|name| matches!(&name.value.data, Data::Text(text) if text.trim() == offered.name))
    };
    let Some(table) = tables.iter().find(|table| is_it(table.entries)) else {
        return Err(Refused::new(format!(
            "the description of \"{}\" cannot be found in the file: write it under `[[profile]]`",
            offered.name
        )));
    };
    sheet.block(table)?; // refuses one that is in pieces
    let edit = Edit { from: table.start, to: table.end, with: profile_file::write_table(offered) };
    sheet.edit(vec![edit])
}

/// Lights whose mode takes other channels: told, and moved where they no longer fit.
fn refit(sheet: &mut Sheet, file: &ShowFile, offered: &Profile) -> Result<String, Refused> {
    let mut known = Known::new(&file.rig);
    let mut wider: BTreeMap<(u16, u16), Vec<u32>> = BTreeMap::new();
    for unit in file.rig.units.iter().filter(|unit| unit.profile.name == offered.name) {
        let before = unit.mode().footprint();
        let Some(after) = offered.mode(&unit.mode().name).map(lanthorn_fixture::Mode::footprint) else {
            continue;
        };
        if after != before {
            wider.entry((before, after)).or_default().push(unit.number);
            known.footprints.insert(unit.number, after);
        }
    }
    let mut says = String::new();
    for ((before, after), lights) in &wider {
        let takes = if lights.len() == 1 { "takes" } else { "take" };
        says.push_str(&format!(
            " {} {takes} {} instead of {before}.",
            capital(&called(lights)),
            count(usize::from(*after), "channel")
        ));
    }
    let lights: Vec<u32> = wider.into_values().flatten().collect();
    if !lights.is_empty() {
        says.push_str(&known.refit(sheet, &lights)?);
    }
    Ok(says)
}
