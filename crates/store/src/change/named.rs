//! Whatever has a name: found, added, set, called otherwise; and every place that calls it by its name.

use lanthorn_show::Mood;

use super::Refused;
use super::sheet::{Edit, Sheet, Table};
use super::value::Value;
use crate::ink::quoted;
use crate::nearest::nearest;
use crate::tree::{Data, Entry, Node};

/// What has a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Mark,
    Place,
    Platform,
    Audience,
    Furniture,
    Circuit,
    Group,
    Swatch,
    Figure,
    Look,
    Chase,
    Score,
}

impl Kind {
    /// Where its tables stand.
    pub(super) const fn path(self) -> &'static [&'static str] {
        match self {
            Self::Mark => &["room", "mark"],
            Self::Place => &["room", "place"],
            Self::Platform => &["room", "platform"],
            Self::Audience => &["room", "audience"],
            Self::Furniture => &["room", "furniture"],
            Self::Circuit => &["circuit"],
            Self::Group => &["group"],
            Self::Swatch => &["swatch"],
            Self::Figure => &["figure"],
            Self::Look => &["look"],
            Self::Chase => &["chase"],
            Self::Score => &["score"],
        }
    }

    pub(super) const fn noun(self) -> &'static str {
        match self {
            Self::Mark => "mark",
            Self::Place => "hanging place",
            Self::Platform => "platform",
            Self::Audience => "audience area",
            Self::Furniture => "furniture",
            Self::Circuit => "circuit",
            Self::Group => "group",
            Self::Swatch => "swatch",
            Self::Figure => "figure",
            Self::Look => "look",
            Self::Chase => "chase",
            Self::Score => "score",
        }
    }

    /// `Look "Supper"`.
    pub(super) fn title(self, name: &str) -> String {
        format!("{} \"{name}\"", capital(self.noun()))
    }
}

/// With a capital letter.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// The text of a key.
pub(super) fn text<'s>(entries: &'s [Entry], key: &str) -> Option<&'s str> {
    match &entry(entries, key)?.value.data {
        Data::Text(text) => Some(text),
        _ => None,
    }
}

pub(super) fn entry<'s>(entries: &'s [Entry], key: &str) -> Option<&'s Entry> {
    entries.iter().find(|entry| entry.key == key)
}

/// The keys and values of every table under `path`, however it is written.
pub(super) fn records<'s>(sheet: &'s Sheet, path: &[&str]) -> Vec<&'s [Entry]> {
    let (outer, key) = match path {
        [key] => (None, *key),
        [outer, key] => (Some(*outer), *key),
        _ => return Vec::new(),
    };
    inner(sheet.entries(outer), key)
}

pub(super) fn inner<'s>(entries: &'s [Entry], key: &str) -> Vec<&'s [Entry]> {
    let Some(Data::List(items)) = entry(entries, key).map(|entry| &entry.value.data) else {
        return Vec::new();
    };
    let table = |node: &'s Node| match &node.data {
        Data::Table(entries) => Some(entries.as_slice()),
        _ => None,
    };
    items.iter().filter_map(table).collect()
}

/// Names of that kind, in the order of the file. An area without a name is called by its kind.
pub(super) fn names(sheet: &Sheet, kind: Kind) -> Vec<&str> {
    records(sheet, kind.path()).into_iter().filter_map(|entries| name_of(kind, entries)).collect()
}

fn name_of(kind: Kind, entries: &[Entry]) -> Option<&str> {
    let usual = matches!(kind, Kind::Platform | Kind::Audience).then(|| kind.path()[1]);
    text(entries, "name").or(usual)
}

/// The table of that name; the first where several have it.
pub(super) fn find<'s>(sheet: &'s Sheet, kind: Kind, name: &str) -> Result<Table<'s>, Refused> {
    let name = name.trim();
    let tables = sheet.tables(kind.path())?;
    match tables.into_iter().find(|table| name_of(kind, table.entries) == Some(name)) {
        Some(table) => Ok(table),
        None => Err(no_such(kind.noun(), name, &names(sheet, kind))),
    }
}

/// "there is no look …", with the nearest name, or those there are.
pub(super) fn no_such(noun: &str, name: &str, names: &[&str]) -> Refused {
    let shown: String = name.chars().take(80).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let remedy = match nearest(&shown, names.iter().copied()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None if names.is_empty() => "add one first".to_owned(),
        None => {
            let quoted: Vec<String> = names.iter().take(8).map(|name| format!("\"{name}\"")).collect();
            format!("there is {}{}", quoted.join(", "), if names.len() > 8 { ", …" } else { "" })
        }
    };
    Refused::new(format!("there is no {noun} \"{shown}\": {remedy}"))
}

/// A name that something new of this kind may have. `now` is its name so far.
pub(super) fn free(sheet: &Sheet, kind: Kind, name: &str, now: Option<&str>) -> Result<String, Refused> {
    let name = name.trim();
    let noun = kind.noun();
    if name.is_empty() {
        return Err(Refused::new(format!("the name of a {noun} must not be empty: write one")));
    }
    let taken = |kind: Kind| names(sheet, kind).contains(&name) && now != Some(name);
    let other = match kind {
        Kind::Look => Some(Kind::Chase),
        Kind::Chase => Some(Kind::Look),
        _ => None,
    };
    for kind in std::iter::once(kind).chain(other) {
        if taken(kind) {
            let taken = kind.noun();
            return Err(Refused::new(format!("there is a {taken} \"{name}\" already: choose another name")));
        }
    }
    // A look that says the word means the colour of that word so far.
    let meant = if kind == Kind::Swatch && now != Some(name) { refs(sheet, kind, name) } else { Vec::new() };
    if !meant.is_empty() {
        let places = holders(&meant);
        return Err(Refused::new(format!("\"{name}\" is a colour by itself {places}: choose another name")));
    }
    Ok(name.to_owned())
}

/// Adds one with these lines.
pub(super) fn add(
    sheet: &mut Sheet,
    kind: Kind,
    name: &str,
    values: Vec<(&'static str, String)>,
) -> Result<String, Refused> {
    let name = free(sheet, kind, name, None)?;
    let mut lines = vec![("name", quoted(&name))];
    lines.extend(values);
    let edit = sheet.add(kind.path(), &lines_of(&lines))?;
    sheet.edit(vec![edit])?;
    Ok(format!("{} is added.", kind.title(&name)))
}

/// `key = value` lines.
pub(super) fn lines_of(values: &[(&'static str, String)]) -> String {
    values.iter().map(|(key, value)| format!("{key} = {value}\n")).collect()
}

/// Sets a field of one.
pub(super) fn set(
    sheet: &mut Sheet,
    kind: Kind,
    name: &str,
    key: &str,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let table = find(sheet, kind, name)?;
    let edits = sheet.set(&table, key, value.map(Value::source).as_deref())?;
    sheet.edit(edits)?;
    Ok(now(&kind.title(name.trim()), key, value))
}

/// "Look "Supper": level is 80 % now."
pub(super) fn now(title: &str, key: &str, value: Option<&Value>) -> String {
    let key = key.replace('_', " ");
    match value {
        Some(value) if key == "at" => format!("{title}: at {} now.", value.words()),
        Some(value) => format!("{title}: {key} is {} now.", value.words()),
        None => format!("{title}: {key} is left out now."),
    }
}

/// Calls one otherwise, wherever it is called.
pub(super) fn rename(sheet: &mut Sheet, kind: Kind, name: &str, to: &str) -> Result<String, Refused> {
    let name = name.trim();
    let to = free(sheet, kind, to, Some(name))?;
    let table = find(sheet, kind, name)?;
    let new = quoted(&to);
    let mut edits = sheet.set(&table, "name", Some(&new))?;
    let refs = refs(sheet, kind, name);
    for one in &refs {
        edits.push(Edit { from: one.node.from, to: one.node.to, with: new.clone() });
    }
    let places = holders(&refs);
    let comma = if places.is_empty() { "" } else { ", " };
    let says = format!("{} is called \"{to}\" now{comma}{places}.", kind.title(name));
    sheet.edit(edits)?;
    Ok(says)
}

/// Somewhere a name is called.
pub(super) struct Ref<'s> {
    /// The name there.
    pub(super) node: &'s Node,
    /// The key and value that it stands in.
    pub(super) entry: &'s Entry,
    /// What of a show that is in.
    pub(super) holder: (&'static str, usize),
}

impl Ref<'_> {
    /// Whether the name is all there is to the value.
    pub(super) fn alone(&self) -> bool {
        std::ptr::eq(self.node, &self.entry.value)
    }
}

/// Everywhere that this name is called.
pub(super) fn refs<'s>(sheet: &'s Sheet, kind: Kind, name: &str) -> Vec<Ref<'s>> {
    let mut found = Finder { sheet, name, list: Vec::new() };
    match kind {
        Kind::Mark => {
            found.parts("aim");
            found.every(&["figure"], "figure", "centre");
            found.every(&["unit"], "light", "focus");
            found.every(&["sight"], "sight", "mark");
        }
        Kind::Place => found.every(&["unit"], "light", "place"),
        Kind::Circuit => found.every(&["unit"], "light", "circuit"),
        Kind::Group if name != "all" => found.parts("who"),
        Kind::Swatch => {
            found.parts("colour");
            found.parts("sound_colour");
        }
        Kind::Figure => found.parts("figure"),
        Kind::Look => {
            found.steps();
            found.every(&["cue"], "cue", "look");
            found.scores("look");
            found.start();
            found.moods();
        }
        Kind::Chase => {
            found.every(&["cue"], "cue", "chases");
            found.scores("chases");
            found.start();
        }
        Kind::Platform | Kind::Audience | Kind::Furniture | Kind::Group | Kind::Score => {}
    }
    found.list
}

struct Finder<'s, 'n> {
    sheet: &'s Sheet,
    name: &'n str,
    list: Vec<Ref<'s>>,
}

impl<'s> Finder<'s, '_> {
    fn every(&mut self, path: &[&str], noun: &'static str, key: &str) {
        for (index, entries) in records(self.sheet, path).into_iter().enumerate() {
            self.key(entries, key, (noun, index));
        }
    }

    fn parts(&mut self, key: &str) {
        for (index, look) in records(self.sheet, &["look"]).into_iter().enumerate() {
            for part in inner(look, "part") {
                self.key(part, key, ("look", index));
            }
        }
    }

    fn scores(&mut self, key: &str) {
        for (index, score) in records(self.sheet, &["score"]).into_iter().enumerate() {
            for part in inner(score, "part") {
                self.key(part, key, ("score", index));
            }
        }
    }

    fn steps(&mut self) {
        for (index, chase) in records(self.sheet, &["chase"]).into_iter().enumerate() {
            let Some(entry) = entry(chase, "steps") else { continue };
            let Data::List(items) = &entry.value.data else { continue };
            for item in items {
                match &item.data {
                    Data::Table(step) => self.key(step, "look", ("chase", index)),
                    _ => self.node(item, entry, ("chase", index)),
                }
            }
        }
    }

    fn start(&mut self) {
        self.key(self.sheet.entries(Some("show")), "start", ("show", 0));
        self.key(self.sheet.entries(Some("show")), "tonight", ("pads", 0));
    }

    fn moods(&mut self) {
        for mood in Mood::ALL {
            self.key(self.sheet.entries(Some("music")), mood.word(), ("moods", 0));
        }
    }

    fn key(&mut self, entries: &'s [Entry], key: &str, holder: (&'static str, usize)) {
        if let Some(entry) = entry(entries, key) {
            self.node(&entry.value, entry, holder);
        }
    }

    fn node(&mut self, node: &'s Node, entry: &'s Entry, holder: (&'static str, usize)) {
        match &node.data {
            Data::Text(text) if text == self.name => self.list.push(Ref { node, entry, holder }),
            Data::List(items) => items.iter().for_each(|item| self.node(item, entry, holder)),
            Data::Table(entries) => entries.iter().for_each(|inner| self.node(&inner.value, entry, holder)),
            _ => {}
        }
    }
}

/// "in 1 chase and 2 cues", "for 3 lights", "at the start"; empty where it is called nowhere.
pub(super) fn holders(refs: &[Ref<'_>]) -> String {
    let how_many = |noun: &str| {
        let mut which: Vec<usize> =
            refs.iter().filter(|one| one.holder.0 == noun).map(|one| one.holder.1).collect();
        which.dedup();
        (!which.is_empty()).then(|| count(which.len(), noun))
    };
    let inside: Vec<String> =
        ["look", "figure", "chase", "cue", "score", "sight"].into_iter().filter_map(how_many).collect();
    let mut words = Vec::new();
    if !inside.is_empty() {
        words.push(format!("in {}", and(&inside)));
    }
    words.extend(how_many("light").map(|lights| format!("for {lights}")));
    if refs.iter().any(|one| one.holder.0 == "show") {
        words.push("at the start".to_owned());
    }
    if refs.iter().any(|one| one.holder.0 == "pads") {
        words.push("on its pad".to_owned());
    }
    if refs.iter().any(|one| one.holder.0 == "moods") {
        words.push("among those that the music picks".to_owned());
    }
    and(&words)
}

/// "1 cue", "3 cues".
pub(super) fn count(count: usize, noun: &str) -> String {
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {noun}{s}")
}

/// "a, b and c".
pub(super) fn and(words: &[String]) -> String {
    match words.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    }
}
