//! Lights: set, added, taken away. One `[[unit]]` may stand for several; it is split only where it must be.

mod addresses;
mod lines;
mod places;
mod removal;
mod table;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::Profile;
use lanthorn_rig::patch::Free;
use lanthorn_rig::{Rig, Run, Unit};

use super::fields::{Field, LightField};
use super::named::{self, Kind, and, capital, find, free};
use super::sheet::Sheet;
use super::value::Value;
use super::{Refused, opened};
use crate::ink::{list, number, quoted};
use crate::{ShowFile, library, profile_file};

pub(super) use addresses::Known;
use addresses::first_free;
pub(super) use addresses::lay_out;
pub(super) use lines::line_set;
pub(super) use places::remove as place_remove;
pub(super) use removal::remove;
use table::{set_listed, set_plain};

/// Most lights added in one go.
const MOST_AT_ONCE: usize = 512;

/// "light 3", "lights 1 to 4", "lights 1, 2 and 5".
pub(super) fn called(lights: &[u32]) -> String {
    match lights {
        [only] => format!("light {only}"),
        [first, _, .., last] if follow_on(lights) => format!("lights {first} to {last}"),
        _ => format!("lights {}", and(&lights.iter().map(u32::to_string).collect::<Vec<_>>())),
    }
}

fn follow_on(lights: &[u32]) -> bool {
    lights.windows(2).all(|pair| pair[0].checked_add(1) == Some(pair[1]))
}

/// Numbers of lights as the file writes them.
fn numbers_source(lights: &[u32]) -> String {
    match lights {
        [only] => only.to_string(),
        [first, .., last] if follow_on(lights) => quoted(&format!("{first}-{last}")),
        _ => list(lights.iter().map(u32::to_string)),
    }
}

/// The lights, once each, if the show has them all.
fn known_lights(rig: &Rig, lights: &[u32]) -> Result<Vec<u32>, Refused> {
    let mut list: Vec<u32> = Vec::new();
    for light in lights {
        if rig.unit(*light).is_none() {
            return Err(Refused::new(format!("there is no light {light}: name lights that the show has")));
        }
        if !list.contains(light) {
            list.push(*light);
        }
    }
    if list.is_empty() {
        return Err(Refused::new("no light is named: name at least one"));
    }
    Ok(list)
}

/// Sets a field of some lights.
pub(super) fn set(
    sheet: &mut Sheet,
    lights: &[u32],
    field: LightField,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let lights = known_lights(&file.rig, lights)?;
    let mut known = Known::new(&file.rig);
    let set: BTreeSet<u32> = lights.iter().copied().collect();
    let source = value.map(Value::source);
    match field {
        LightField::At | LightField::Turn | LightField::Lean | LightField::Focus => {
            set_listed(sheet, &known, field.key(), &each(field, &lights, value)?)?;
        }
        LightField::Address => {
            set_listed(sheet, &known, "address", &known.asked(&lights, value)?)?;
        }
        LightField::Profile => {
            return set_profile(sheet, &file, &mut known, &lights, value);
        }
        LightField::Mode => {
            set_plain(sheet, &known, &set, "mode", source.as_deref())?;
            let moved = remeasure(sheet, &file, &mut known, &lights, value)?;
            return Ok(format!("{}{moved}", named::now(&capital(&called(&lights)), "mode", value)));
        }
        LightField::Run => {
            run(sheet, &file.rig, &known, &set, value)?;
        }
        LightField::Shares => {
            set_plain(sheet, &known, &set, "shares", source.as_deref())?;
            if value.is_some() {
                set_plain(sheet, &known, &set, "address", None)?;
            }
        }
        plain => set_plain(sheet, &known, &set, plain.key(), source.as_deref())?,
    }
    Ok(named::now(&capital(&called(&lights)), field.key(), value))
}

/// The value of each light: one for all, or one for each.
fn each(
    field: LightField,
    lights: &[u32],
    value: Option<&Value>,
) -> Result<BTreeMap<u32, Option<String>>, Refused> {
    let items = match value {
        Some(Value::List(items)) if field != LightField::Focus => Some(items),
        // A point is a list too.
        Some(Value::List(items))
            if items.iter().any(|item| matches!(item, Value::List(_) | Value::Text(_))) =>
        {
            Some(items)
        }
        _ => None,
    };
    let Some(items) = items else {
        return Ok(lights.iter().map(|light| (*light, value.map(Value::source))).collect());
    };
    if items.len() != lights.len() {
        return Err(Refused::new(format!(
            "{}: there are {} values for {}: give one for all, or one for each",
            field.key(),
            items.len(),
            named::count(lights.len(), "light")
        )));
    }
    Ok(lights.iter().zip(items).map(|(light, item)| (*light, Some(item.source()))).collect())
}

/// Another way of running: what means nothing in it goes, and a light that is driven from now on gets a free address and
/// a place at the end of its universe's line.
fn run(
    sheet: &mut Sheet,
    rig: &Rig,
    known: &Known,
    set: &BTreeSet<u32>,
    value: Option<&Value>,
) -> Result<(), Refused> {
    let word = value.map(Value::text);
    set_plain(sheet, known, set, "run", value.map(Value::source).as_deref())?;
    let driven = matches!(word, None | Some("driven"));
    let linked = word == Some("linked");
    if driven {
        let was_not = |unit: &&Unit| set.contains(&unit.number) && !matches!(unit.run, Run::Driven { .. });
        let new: Vec<&Unit> = rig.units.iter().filter(was_not).collect();
        address_anew(sheet, rig, known, &new)?;
        let new = new.into_iter().map(|unit| unit.number).collect();
        set_plain(sheet, known, &new, "programme", None)?;
    } else {
        for key in ["address", "shares", "line", "line_order"] {
            set_plain(sheet, known, set, key, None)?;
        }
    }
    if linked {
        let without: BTreeSet<u32> = table::lamps(sheet)?
            .iter()
            .filter(|lamp| named::entry(lamp.table.entries, "leader").is_none())
            .flat_map(|lamp| lamp.numbers.clone())
            .filter(|number| set.contains(number))
            .collect();
        return set_plain(sheet, known, &without, "leader", set.first().map(u32::to_string).as_deref());
    }
    set_plain(sheet, known, set, "leader", None)
}

/// Free addresses, and the line of their universe, for lights that had none.
fn address_anew(sheet: &mut Sheet, rig: &Rig, known: &Known, lights: &[&Unit]) -> Result<(), Refused> {
    let mut free = Free::of(rig);
    let mut sources = BTreeMap::new();
    for unit in lights {
        let address = first_free(&mut free, unit.mode().footprint())?;
        sources.insert(unit.number, Some(quoted(&address.to_string())));
        if let Some(line) = lines::joined(rig, &[address]) {
            set_plain(sheet, known, &BTreeSet::from([unit.number]), "line", Some(&quoted(&line)))?;
        }
    }
    set_listed(sheet, known, "address", &sources)
}

/// A profile that the file carries or has lights of, or else one of the library.
pub(super) fn profile(file: &ShowFile, name: &str) -> Result<Arc<Profile>, Refused> {
    let carried = file.profiles.iter().find(|profile| profile.name == name).cloned();
    let used =
        || file.rig.units.iter().map(|unit| &unit.profile).find(|profile| profile.name == name).cloned();
    let found = carried.or_else(used).or_else(|| library::profile(name));
    found.filter(|profile| !profile.modes.is_empty()).ok_or_else(|| {
        let all = library::all();
        let known = file.profiles.iter().chain(&all).map(|profile| profile.name.as_str());
        named::no_such("profile", name, &known.collect::<Vec<_>>())
    })
}

/// Puts a profile's text into a file that does not carry it.
pub(super) fn carry(sheet: &mut Sheet, file: &ShowFile, profile: &Profile) -> Result<(), Refused> {
    let in_text = named::records(sheet, &["profile"]);
    if file.profiles.iter().any(|carried| carried.name == profile.name)
        || in_text.iter().any(|own| named::text(own, "name") == Some(&profile.name))
    {
        return Ok(());
    }
    let table = profile_file::write_table(profile);
    let lines = table.strip_prefix("[[profile]]\n").unwrap_or(&table).to_owned();
    let edit = sheet.add(&["profile"], &lines)?;
    sheet.edit(vec![edit])
}

/// Another kind of light: its mode is the one of the same name, or as wide, or the first; addresses stay where that fits.
fn set_profile(
    sheet: &mut Sheet,
    file: &ShowFile,
    known: &mut Known,
    lights: &[u32],
    value: Option<&Value>,
) -> Result<String, Refused> {
    let profile = profile(file, value.map(Value::text).unwrap_or_default())?;
    carry(sheet, file, &profile)?;
    let all: BTreeSet<u32> = lights.iter().copied().collect();
    set_plain(sheet, known, &all, "profile", Some(&quoted(&profile.name)))?;
    let mut by_mode: BTreeMap<usize, BTreeSet<u32>> = BTreeMap::new();
    for unit in file.rig.units.iter().filter(|unit| all.contains(&unit.number)) {
        let now = unit.mode();
        let same = profile.modes.iter().position(|mode| mode.name == now.name);
        let wide = || profile.modes.iter().position(|mode| mode.footprint() == now.footprint());
        by_mode.entry(same.or_else(wide).unwrap_or(0)).or_default().insert(unit.number);
    }
    for (mode, lights) in &by_mode {
        set_plain(sheet, known, lights, "mode", Some(&quoted(&profile.modes[*mode].name)))?;
        known.footprints.extend(lights.iter().map(|light| (*light, profile.modes[*mode].footprint())));
    }
    let strange = |lamp: &table::Lamp<'_>| {
        let programme = named::text(lamp.table.entries, "programme")?;
        (!profile.programmes.iter().any(|own| own.name == programme)).then(|| lamp.numbers.clone())
    };
    let strange: BTreeSet<u32> =
        table::lamps(sheet)?.iter().filter_map(strange).flatten().filter(|n| all.contains(n)).collect();
    set_plain(sheet, known, &strange, "programme", None)?;
    let moved = known.refit(sheet, lights)?;
    let modes: Vec<String> =
        by_mode.keys().map(|mode| format!("\"{}\"", profile.modes[*mode].name)).collect();
    let is = if lights.len() == 1 { "is" } else { "are" };
    Ok(format!("{} {is} \"{}\" now, mode {}.{moved}", capital(&called(lights)), profile.name, and(&modes)))
}

/// After another mode: addresses stay where that fits.
fn remeasure(
    sheet: &mut Sheet,
    file: &ShowFile,
    known: &mut Known,
    lights: &[u32],
    mode: Option<&Value>,
) -> Result<String, Refused> {
    let name = mode.map(Value::text).unwrap_or_default();
    for unit in file.rig.units.iter().filter(|unit| lights.contains(&unit.number)) {
        let of_name = unit.profile.modes.iter().find(|mode| mode.name == name);
        if let Some(mode) = of_name.or_else(|| unit.profile.modes.first()) {
            known.footprints.insert(unit.number, mode.footprint());
        }
    }
    known.refit(sheet, lights)
}

/// Lights more: numbered behind the last, at the first free addresses, spread along the place.
pub(super) fn add(
    sheet: &mut Sheet,
    name: &str,
    mode: Option<&str>,
    place: &str,
    count: usize,
    universe: Option<u16>,
) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    if !(1..=MOST_AT_ONCE).contains(&count) {
        return Err(Refused::new(format!("count: from 1 to {MOST_AT_ONCE} lights at a time can be added")));
    }
    let profile = profile(&file, name.trim())?;
    let names: Vec<&str> = profile.modes.iter().map(|mode| mode.name.as_str()).collect();
    let found = match mode {
        Some(name) => profile.modes.iter().find(|mode| mode.name == name.trim()),
        None => profile.modes.first(),
    };
    let mode = found.ok_or_else(|| named::no_such("mode", mode.unwrap_or_default().trim(), &names))?;
    let place = place.trim();
    find(sheet, Kind::Place, place)?;
    let first = file.rig.units.last().map_or(0, |unit| unit.number);
    let numbers: Vec<u32> = (1..=count as u32).map(|index| first.saturating_add(index)).collect();
    let known = Known::new(&file.rig);
    let footprint = mode.footprint();
    let addresses = addresses_for(&file.rig, universe, footprint, count)?;
    let at = places::spread(&file.rig, place, count);
    let key = if count == 1 { "number" } else { "numbers" };
    let mut lines = vec![
        (key, numbers_source(&numbers)),
        ("profile", quoted(&profile.name)),
        ("mode", quoted(&mode.name)),
        ("place", quoted(place)),
    ];
    match &at[..] {
        [only] => lines.push(("at", number(*only))),
        several if several.iter().any(|at| *at != 0.0) => {
            lines.push(("at", list(several.iter().map(|at| number(*at)))));
        }
        _ => {}
    }
    lines.push(("address", known.joined(&addresses, footprint)));
    let line = lines::joined(&file.rig, &addresses);
    lines.extend(line.as_deref().map(|line| ("line", quoted(line))));
    let edit = sheet.add(&["unit"], &named::lines_of(&lines))?;
    sheet.edit(vec![edit])?;
    carry(sheet, &file, &profile)?;
    let (is, from) = if count == 1 { ("is", "") } else { ("are", "from ") };
    Ok(format!(
        "{}, \"{}\" in mode \"{}\", {is} on \"{place}\", {from}{}. Look at the plan for weight and power before you hang {}.",
        capital(&called(&numbers)),
        profile.name,
        mode.name,
        addresses[0],
        if count == 1 { "it" } else { "them" },
    ))
}

/// The first free addresses, in one universe or wherever there is room first.
fn addresses_for(
    rig: &Rig,
    universe: Option<u16>,
    footprint: u16,
    count: usize,
) -> Result<Vec<Address>, Refused> {
    let mut free = Free::of(rig);
    let mut next = || {
        match universe {
        None => first_free(&mut free, footprint),
        Some(universe) => free.take_in(universe, footprint).ok_or_else(|| {
            Refused::new(format!(
                "universe {universe} has no room for {} of {footprint} channels: take fewer, or another universe",
                named::count(count, "light")
            ))
        }),
    }
    };
    (0..count).map(|_| next()).collect()
}

/// A new group.
pub(super) fn group_add(sheet: &mut Sheet, name: &str, lights: &[u32]) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    free(sheet, Kind::Group, name, None)?;
    let lights = known_lights(&file.rig, lights)?;
    named::add(sheet, Kind::Group, name, vec![("units", numbers_source(&lights))])
}

/// Which lights a group has, in order.
pub(super) fn group_set(sheet: &mut Sheet, name: &str, lights: &[u32]) -> Result<String, Refused> {
    let file = opened(&sheet.text)?;
    let lights = known_lights(&file.rig, lights)?;
    let table = find(sheet, Kind::Group, name)?;
    let edits = sheet.set(&table, "units", Some(&numbers_source(&lights)))?;
    sheet.edit(edits)?;
    Ok(format!("{} is {} now.", Kind::Group.title(name.trim()), called(&lights)))
}
