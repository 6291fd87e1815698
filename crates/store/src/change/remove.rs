//! What goes when something is taken away: as little as can be, so that the file still opens.

use lanthorn_show::Mood;

use super::Refused;
use super::items;
use super::named::{self, Kind, Ref, count, entry, find, refs};
use super::sheet::{Edit, Sheet};
use crate::tree::{Data, Entry, Node};

/// Takes away what nothing refers to, or what others can do without.
pub(super) fn thing(sheet: &mut Sheet, kind: Kind, name: &str) -> Result<String, Refused> {
    let name = name.trim();
    let table = find(sheet, kind, name)?;
    let mut edits = vec![sheet.remove(&table)?];
    let refs = refs(sheet, kind, name);
    let places = named::holders(&refs);
    let kept = |words: &str| if places.is_empty() { String::new() } else { format!("; {places} {words}") };
    let rest = match kind {
        Kind::Mark => {
            edits.extend(in_place(sheet, &refs, value_of(sheet, table.entries, "at"))?);
            kept("its point stays")
        }
        Kind::Group => {
            edits.extend(in_place(sheet, &refs, value_of(sheet, table.entries, "units"))?);
            kept("its lights are named instead")
        }
        Kind::Swatch => {
            edits.extend(in_place(sheet, &refs, value_of(sheet, table.entries, "colour"))?);
            kept("its colour stays")
        }
        Kind::Figure => {
            edits.extend(figure(sheet, &refs, table.entries)?);
            kept("the lights stand where they are aimed")
        }
        Kind::Circuit => {
            for one in &refs {
                edits.push(sheet.cut(one.entry)?);
            }
            kept("no circuit is named")
        }
        _ => String::new(),
    };
    sheet.edit(edits)?;
    Ok(format!("{} is removed{rest}.", kind.title(name)))
}

fn value_of(sheet: &Sheet, entries: &[Entry], key: &str) -> Option<String> {
    entry(entries, key).map(|entry| sheet.source(&entry.value).to_owned())
}

/// What the name stood for in its place; where that is for people only, the line goes.
fn in_place(sheet: &Sheet, refs: &[Ref<'_>], value: Option<String>) -> Result<Vec<Edit>, Refused> {
    let mut edits = Vec::new();
    for one in refs {
        match &value {
            Some(value) if one.holder.0 != "sight" => {
                edits.push(Edit { from: one.node.from, to: one.node.to, with: value.clone() });
            }
            _ => edits.push(sheet.cut(one.entry)?),
        }
    }
    Ok(edits)
}

/// A part without its figure is aimed at the figure's centre where it has no aim of its own.
fn figure(sheet: &Sheet, refs: &[Ref<'_>], entries: &[Entry]) -> Result<Vec<Edit>, Refused> {
    let centre = value_of(sheet, entries, "centre");
    let mut edits = Vec::new();
    for one in refs {
        let aimless = named::records(sheet, &["look"])
            .into_iter()
            .flat_map(|look| named::inner(look, "part"))
            .any(|part| {
                entry(part, "figure").is_some_and(|own| std::ptr::eq(own, one.entry))
                    && entry(part, "aim").is_none()
            });
        match &centre {
            Some(centre) if aimless => {
                let to = one.entry.value.to;
                edits.push(Edit { from: one.entry.key_at, to, with: format!("aim = {centre}") });
            }
            _ => edits.push(sheet.cut(one.entry)?),
        }
    }
    Ok(edits)
}

/// Takes a look away, its steps, and chases that have no others.
pub(super) fn look(sheet: &mut Sheet, name: &str) -> Result<String, Refused> {
    let name = name.trim();
    let table = find(sheet, Kind::Look, name)?;
    let mut edits = vec![sheet.remove(&table)?];
    let (mut steps, mut empty) = (0, Vec::new());
    for chase in named::records(sheet, &["chase"]) {
        let Some(list) = entry(chase, "steps") else { continue };
        let all = items::items(sheet, &list.value)?;
        let gone = all.iter().filter(|item| look_of(item) == Some(name)).count();
        steps += gone;
        if gone > 0 && gone == all.len() {
            empty.extend(named::text(chase, "name").map(str::to_owned));
        } else {
            edits.extend(items::without(sheet, &list.value, |_, item| look_of(item) == Some(name))?);
        }
    }
    let calls = refs(sheet, Kind::Look, name);
    let mut cues = 0;
    edits.extend(pad(sheet, name)?);
    for mood in Mood::ALL {
        edits.extend(without(sheet, "music", mood.word(), name)?);
    }
    for one in calls.iter().filter(|one| !matches!(one.holder.0, "chase" | "pads" | "moods")) {
        cues += usize::from(one.holder.0 == "cue");
        edits.push(sheet.cut(one.entry)?);
    }
    let scores = parts_of(&calls);
    let mut rest =
        if steps == 0 { String::new() } else { format!(", and {} that showed it", count(steps, "step")) };
    if scores > 0 {
        let keep = if scores == 1 { "keeps" } else { "keep" };
        rest.push_str(&format!("; {} of scores {keep} the look before", count(scores, "part")));
    }
    if cues > 0 {
        let keep = if cues == 1 { "keeps" } else { "keep" };
        rest.push_str(&format!("; {} {keep} the look before", count(cues, "cue")));
    }
    if calls.iter().any(|one| one.holder.0 == "show") {
        rest.push_str("; nothing is on at the start");
    }
    sheet.edit(edits)?;
    let mut says = format!("{} is removed{rest}.", Kind::Look.title(name));
    for name in empty {
        says.push_str(&format!(" {}", chase(sheet, &name)?));
    }
    Ok(says)
}

/// How many of these stand in parts of scores.
fn parts_of(calls: &[Ref<'_>]) -> usize {
    calls.iter().filter(|one| one.holder.0 == "score").count()
}

/// The look that a step shows.
pub(super) fn look_of(item: &Node) -> Option<&str> {
    match &item.data {
        Data::Text(text) => Some(text),
        Data::Table(step) => named::text(step, "look"),
        _ => None,
    }
}

/// Takes a chase away, also where cues call it.
pub(super) fn chase(sheet: &mut Sheet, name: &str) -> Result<String, Refused> {
    let name = name.trim();
    let table = find(sheet, Kind::Chase, name)?;
    let mut edits = vec![sheet.remove(&table)?];
    let (mut cues, mut scores) = (0, 0);
    for cue in named::records(sheet, &["cue"]) {
        let Some(list) = entry(cue, "chases") else { continue };
        let called = |_: usize, item: &Node| matches!(&item.data, Data::Text(text) if text == name);
        let cut = items::without(sheet, &list.value, called)?;
        cues += usize::from(!cut.is_empty());
        edits.extend(cut);
    }
    for score in named::records(sheet, &["score"]) {
        for part in named::inner(score, "part") {
            let Some(list) = entry(part, "chases") else { continue };
            let called = |_: usize, item: &Node| matches!(&item.data, Data::Text(text) if text == name);
            let cut = items::without(sheet, &list.value, called)?;
            scores += usize::from(!cut.is_empty());
            edits.extend(cut);
        }
    }
    edits.extend(pad(sheet, name)?);
    let start = refs(sheet, Kind::Chase, name).into_iter().find(|one| one.holder.0 == "show" && one.alone());
    let mut rest = String::new();
    if cues > 0 {
        rest.push_str(&format!(
            "; {} no longer {} it",
            count(cues, "cue"),
            if cues == 1 { "calls" } else { "call" }
        ));
    }
    if scores > 0 {
        let call = if scores == 1 { "calls" } else { "call" };
        rest.push_str(&format!("; {} of scores no longer {call} it", count(scores, "part")));
    }
    if let Some(start) = start {
        edits.push(sheet.cut(start.entry)?);
        rest.push_str("; nothing is on at the start");
    }
    sheet.edit(edits)?;
    Ok(format!("{} is removed{rest}.", Kind::Chase.title(name)))
}

/// Takes its pad away.
fn pad(sheet: &Sheet, name: &str) -> Result<Vec<Edit>, Refused> {
    without(sheet, "show", "tonight", name)
}

/// Takes a name out of a list.
fn without(sheet: &Sheet, table: &str, key: &str, name: &str) -> Result<Vec<Edit>, Refused> {
    let Some(list) = entry(sheet.entries(Some(table)), key) else { return Ok(Vec::new()) };
    items::without(sheet, &list.value, |_, item| matches!(&item.data, Data::Text(text) if text == name))
}
