//! The text of a carried show: what is intended from one file, room and lights from the other, with the remarks of both.
//!
//! Whole tables are copied as they stand; in looks only what means something else there is written anew. The text is
//! read again before it is given out: where the two cannot be put together like this (a room written as one inline
//! table, say), the show is written from its values, without remarks.

use lanthorn_physics::Point;
use lanthorn_rig::Room;
use lanthorn_show::carry::Carried;
use lanthorn_show::{Aim, Part};
use toml_edit::{DocumentMut, Item, TableLike, Value};

use crate::ink::{point, quoted};
use crate::profile_file;
use crate::show_file::{ShowFile, read_show, who_value, write_show};

/// Tables that belong to the room and its lights. All others are what the show wants.
const OF_THE_RIG: [&str; 8] = ["room", "mains", "limits", "circuit", "unit", "group", "profile", "kept"];

/// The key that says the version; each file has its own.
const VERSION_KEY: &str = "lanthorn";

/// A file's text and what was read from it.
#[derive(Clone, Copy, Debug)]
pub struct Written<'f> {
    /// The text.
    pub text: &'f str,
    /// What it says.
    pub file: &'f ShowFile,
}

/// What a carried show is: the intent as it was said anew, with the other file's rig and every profile that it uses.
pub fn carried_file(show: &ShowFile, there: &ShowFile, carried: &Carried) -> ShowFile {
    let file = ShowFile { show: carried.show.clone(), rig: there.rig.clone(), ..show.clone() };
    ShowFile {
        profiles: there.profiles.clone(),
        kept: there.kept.clone(),
        version: there.version.max(show.version),
        ..file
    }
    .carrying()
}

/// The carried show as text. Reading it gives [`carried_file`].
pub fn carried_text(show: Written<'_>, there: Written<'_>, carried: &Carried) -> String {
    let wanted = carried_file(show.file, there.file, carried);
    let joined = join(show, there, carried, &wanted);
    let same = |text: &String| read_show(text).0.is_some_and(|read| read == wanted);
    joined.filter(same).unwrap_or_else(|| write_show(&wanted))
}

/// None where the texts are not written as tables one after the other.
fn join(show: Written<'_>, there: Written<'_>, carried: &Carried, wanted: &ShowFile) -> Option<String> {
    let mut intent: DocumentMut = show.text.parse().ok()?;
    let rig: DocumentMut = there.text.parse().ok()?;
    say_anew(&mut intent, show.file, carried, &there.file.rig.room)?;
    let remarks = head_remarks(&intent);
    let only = |document: &DocumentMut, wanted: &dyn Fn(&str) -> bool| {
        let mut document = document.clone();
        let keys: Vec<String> = document.iter().map(|(key, _)| key.to_owned()).collect();
        for key in keys.iter().filter(|key| !wanted(key)) {
            document.remove(key);
        }
        document
    };
    let plain = |mut document: DocumentMut| {
        document.set_trailing("");
        document.to_string()
    };
    let title = format!("# {}, carried to: {}\n", wanted.show.name, wanted.rig.room.name);
    let pieces = [
        title,
        remarks,
        plain(only(&rig, &|key| key == VERSION_KEY)),
        plain(only(&intent, &|key| key == "show")),
        only(&rig, &|key| OF_THE_RIG.contains(&key)).to_string(),
        only(&intent, &|key| key != VERSION_KEY && key != "show" && !OF_THE_RIG.contains(&key)).to_string(),
    ];
    let mut text = String::new();
    for piece in pieces.iter().map(|piece| piece.trim_matches('\n')).filter(|piece| !piece.is_empty()) {
        text.push_str(piece);
        text.push_str("\n\n");
    }
    for profile in &wanted.profiles[there.file.profiles.len().min(wanted.profiles.len())..] {
        text.push_str(&profile_file::write_table(profile));
        text.push('\n');
    }
    Some(text.trim_end_matches('\n').to_owned() + "\n")
}

/// Remarks above the first key of a file.
fn head_remarks(document: &DocumentMut) -> String {
    let key = document.as_table().key(VERSION_KEY);
    let above = key.and_then(|key| key.leaf_decor().prefix()?.as_str());
    above.unwrap_or_default().to_owned()
}

/// Writes who and where anew in figures and looks, and takes away what was left out.
fn say_anew(document: &mut DocumentMut, file: &ShowFile, carried: &Carried, room: &Room) -> Option<()> {
    for (place, (before, after)) in file.show.figures.iter().zip(&carried.show.figures).enumerate() {
        if before.centre == after.centre {
            continue;
        }
        let table = document.get_mut("figure")?.get_mut(place)?.as_table_like_mut()?;
        match &after.centre {
            Some(centre) => put(table, "centre", &aim_value(centre, room))?,
            None => _ = table.remove("centre")?,
        }
    }
    for (place, (before, after)) in file.show.looks.iter().zip(&carried.show.looks).enumerate() {
        let parts = document.get_mut("look")?.get_mut(place)?.as_table_like_mut()?.get_mut("part");
        let Some(parts) = parts else { continue };
        let kept = carried.from.get(place)?;
        for (part, from) in after.parts.iter().zip(kept) {
            let table = parts.get_mut(*from)?.as_table_like_mut()?;
            part_anew(table, before.parts.get(*from)?, part, room)?;
        }
        for gone in (0..before.parts.len()).rev().filter(|part| !kept.contains(part)) {
            match parts {
                Item::ArrayOfTables(tables) => {
                    tables.remove(gone);
                }
                Item::Value(Value::Array(tables)) => {
                    tables.remove(gone);
                }
                _ => return None,
            }
        }
    }
    Some(())
}

fn part_anew(table: &mut dyn TableLike, before: &Part, after: &Part, room: &Room) -> Option<()> {
    if before.who != after.who {
        put(table, "who", &who_value(&after.who))?;
    }
    if let Some(aim) = after.aim.as_ref().filter(|aim| before.aim.as_ref() != Some(*aim)) {
        put(table, "aim", &aim_value(aim, room))?;
    }
    Some(())
}

/// Ends of a line that are on a mark are written by its name.
fn aim_value(aim: &Aim, room: &Room) -> String {
    let end = |at: Point| {
        let mark = room.marks.iter().find(|mark| mark.at == at);
        mark.map_or_else(|| point(at), |mark| quoted(&mark.name))
    };
    match aim {
        Aim::Mark(name) => quoted(name),
        Aim::At(at) => point(*at),
        Aim::Line { from, to } => format!("{{ from = {}, to = {} }}", end(*from), end(*to)),
    }
}

fn put(table: &mut dyn TableLike, key: &str, value: &str) -> Option<()> {
    let mut new: Value = value.parse().ok()?;
    let old = table.get_mut(key)?.as_value_mut()?;
    *new.decor_mut() = old.decor().clone();
    *old = new;
    Some(())
}
