//! What differs between two texts of a show, in words: by looks, cues, lights and so on, not by lines.

use std::collections::BTreeMap;

use crate::tree::{self, Data, Entry, Node};

/// Longest value that is shown as it stands.
const LONGEST_VALUE: usize = 40;
/// Deepest list of tables whose items are told one by one.
const DEEPEST: usize = 2;
/// Most things of one name that are paired off by what they say.
const MOST_PAIRED: usize = 500;

/// Something with a name: a look, a light, a mark; or the rest of a section.
type Thing<'n> = Vec<&'n Entry>;

/// All of one name, before and after.
struct Pair<'n> {
    name: String,
    sides: [Vec<Thing<'n>>; 2],
}

const BEFORE: usize = 0;
const AFTER: usize = 1;

/// Two texts that are told apart.
struct Texts<'t> {
    old: &'t str,
    new: &'t str,
}

/// What differs from `old` to `new`, one sentence fragment each, in the order of the files; empty for equal texts.
pub(super) fn compare(old: &str, new: &str) -> Vec<String> {
    if old == new {
        return Vec::new();
    }
    let (old_root, new_root) = match (tree::parse(old), tree::parse(new)) {
        (Ok(old), Ok(new)) => (old, new),
        (Err(problem), _) => {
            return vec![format!("the first cannot be read: {}", problem.in_line())];
        }
        (_, Err(problem)) => {
            return vec![format!("the second cannot be read: {}", problem.in_line())];
        }
    };
    let mut pairs = Pairs::default();
    pairs.collect(&old_root, BEFORE);
    pairs.collect(&new_root, AFTER);
    let texts = Texts { old, new };
    let lines: Vec<String> = pairs.list.iter().flat_map(|pair| texts.pair(pair)).collect();
    if lines.is_empty() { vec!["only remarks, spacing or order".to_owned()] } else { lines }
}

/// Things by name, in the order in which they first appear.
#[derive(Default)]
struct Pairs<'n> {
    list: Vec<Pair<'n>>,
    by_name: BTreeMap<String, usize>,
}

impl<'n> Pairs<'n> {
    fn collect(&mut self, root: &'n Node, side: usize) {
        let Data::Table(sections) = &root.data else { return };
        let mut loose = Vec::new();
        for section in sections {
            if let Some(items) = tables(&section.value) {
                self.items(&section.key, items, side);
            } else if let Data::Table(fields) = &section.value.data {
                let mut own = Vec::new();
                for field in fields {
                    match tables(&field.value) {
                        Some(items) => self.items(&field.key, items, side),
                        None => own.push(field),
                    }
                }
                self.add(section.key.clone(), own, side);
            } else {
                loose.push(section);
            }
        }
        self.add("the file".to_owned(), loose, side);
    }

    fn items(&mut self, kind: &str, items: Vec<&'n [Entry]>, side: usize) {
        for fields in items {
            self.add(name(kind, fields), fields.iter().collect(), side);
        }
    }

    fn add(&mut self, name: String, thing: Thing<'n>, side: usize) {
        let place = *self.by_name.entry(name.clone()).or_insert_with(|| {
            self.list.push(Pair { name, sides: Default::default() });
            self.list.len() - 1
        });
        self.list[place].sides[side].push(thing);
    }
}

/// What people call it: "look "Supper"", "light 3".
fn name(kind: &str, fields: &[Entry]) -> String {
    let kind = match kind {
        "unit" => "light",
        "sight" => "sight of light",
        "found" => "what was found of light",
        kind => kind,
    };
    let id = ["name", "number", "numbers", "unit"]
        .iter()
        .find_map(|key| fields.iter().find(|field| field.key == *key));
    match id.map(|field| (field.key.as_str(), &field.value.data)) {
        Some(("name", Data::Text(name))) => format!("{kind} \"{}\"", plain(name)),
        Some((_, Data::Text(name))) if kind == "light" => format!("lights {}", plain(name)),
        Some((_, Data::Text(name))) => format!("{kind} {}", plain(name)),
        Some((_, Data::Whole(number))) => format!("{kind} {number}"),
        Some((_, Data::Number(number))) => format!("{kind} {number}"),
        _ => kind.to_owned(),
    }
}

/// The tables of a list that holds nothing else.
fn tables(node: &Node) -> Option<Vec<&[Entry]>> {
    let Data::List(items) = &node.data else { return None };
    let table = |item: &'_ Node| matches!(item.data, Data::Table(_));
    if items.is_empty() || !items.iter().all(table) {
        return None;
    }
    Some(items.iter().filter_map(|item| entries(item)).collect())
}

fn entries(node: &Node) -> Option<&[Entry]> {
    match &node.data {
        Data::Table(entries) => Some(entries),
        _ => None,
    }
}

impl Texts<'_> {
    /// The lines about one name. Several things of one name are paired off: first those that are equal, then in order.
    fn pair(&self, pair: &Pair<'_>) -> Vec<String> {
        let [before, after] = &pair.sides;
        let front = before.iter().zip(after).take_while(|(old, new)| all_same(old, new)).count();
        let (before, after) = (&before[front..], &after[front..]);
        let mut new: Vec<&Thing<'_>> = after.iter().collect();
        let mut old = Vec::new();
        for thing in before {
            let few = new.len() <= MOST_PAIRED;
            match new.iter().position(|other| few && all_same(thing, other)) {
                Some(place) => drop(new.remove(place)),
                None => old.push(thing),
            }
        }
        let both = old.len().min(new.len());
        let changed = old
            .iter()
            .zip(&new)
            .map(|(old, new)| format!("{}: {}", pair.name, self.fields(old, new, 0).join("; ")));
        let gone = old.iter().skip(both).map(|_| format!("{}: removed", pair.name));
        let added = new.iter().skip(both).map(|_| format!("{}: added", pair.name));
        changed.chain(gone).chain(added).collect()
    }

    fn fields(&self, old: &[&Entry], new: &[&Entry], depth: usize) -> Vec<String> {
        let (before, after) = (by_key(old), by_key(new));
        let mut said = Vec::new();
        for field in new {
            match before.get(field.key.as_str()) {
                None => {
                    let value = shown(self.new, &field.value).map(|value| format!(" {value}"));
                    said.push(format!("{}{} is new", field.key, value.unwrap_or_default()));
                }
                Some(before) if same(&before.value, &field.value) => {}
                Some(before) => said.extend(self.field(before, field, depth)),
            }
        }
        let gone = old.iter().filter(|field| !after.contains_key(field.key.as_str()));
        said.extend(gone.map(|field| format!("{} is removed", field.key)));
        said
    }

    /// One field that differs.
    fn field(&self, old: &Entry, new: &Entry, depth: usize) -> Vec<String> {
        if let (Some(was), Some(is)) = (shown(self.old, &old.value), shown(self.new, &new.value)) {
            return vec![format!("{} {is} instead of {was}", new.key)];
        }
        let (Some(was), Some(is)) = (tables(&old.value), tables(&new.value)) else {
            return vec![format!("{} changed", new.key)];
        };
        if was.len() != is.len() || depth >= DEEPEST {
            return vec![format!("{} {} instead of {}", new.key, count(is.len()), was.len())];
        }
        let differing = was.iter().zip(&is).enumerate().filter_map(|(index, (was, is))| {
            let (was, is): (Vec<_>, Vec<_>) = (was.iter().collect(), is.iter().collect());
            let said = self.fields(&was, &is, depth + 1);
            (!said.is_empty()).then(|| format!("{} {}: {}", new.key, index + 1, said.join(", ")))
        });
        differing.collect()
    }
}

fn count(tables: usize) -> String {
    if tables == 1 { "1 table".to_owned() } else { format!("{tables} tables") }
}

/// A value as it stands in its text, where that is short.
fn shown(text: &str, node: &Node) -> Option<String> {
    if matches!(node.data, Data::Table(_)) || tables(node).is_some() {
        return None;
    }
    let value = text.get(node.from..node.to)?.trim();
    (!value.is_empty() && value.chars().count() <= LONGEST_VALUE && !value.contains('\n'))
        .then(|| plain(value))
}

/// Without what a terminal would obey.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn by_key<'n>(fields: &[&'n Entry]) -> BTreeMap<&'n str, &'n Entry> {
    fields.iter().map(|field| (field.key.as_str(), *field)).collect()
}

fn all_same(old: &[&Entry], new: &[&Entry]) -> bool {
    if old.len() != new.len() {
        return false;
    }
    let new = by_key(new);
    old.iter().all(|field| new.get(field.key.as_str()).is_some_and(|other| same(&field.value, &other.value)))
}

/// Whether two values say the same, wherever they stand.
fn same(old: &Node, new: &Node) -> bool {
    match (&old.data, &new.data) {
        (Data::Text(old), Data::Text(new)) => old == new,
        (Data::Whole(old), Data::Whole(new)) => old == new,
        (Data::Number(old), Data::Number(new)) => old.to_bits() == new.to_bits(),
        (Data::Flag(old), Data::Flag(new)) => old == new,
        (Data::Date, Data::Date) => true,
        (Data::List(old), Data::List(new)) => {
            old.len() == new.len() && old.iter().zip(new).all(|(old, new)| same(old, new))
        }
        (Data::Table(old), Data::Table(new)) => {
            let (old, new): (Vec<_>, Vec<_>) = (old.iter().collect(), new.iter().collect());
            all_same(&old, &new)
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DEMO_TEXT;

    const TEXT: &str = "lanthorn = 1\n[show]\nname = \"s\"\ntempo = 96\n[room]\nname = \"hall\"\n[[room.mark]]\n\
        name = \"cake\"\nat = [1, 2, 3]\n[[unit]]\nnumber = 3\naddress = \"1.001\"\n[[look]]\nname = \"Supper\"\n\
        [[look.part]]\nlights = \"all\"\nlevel = \"80 %\"\n[[look.part]]\nlights = 3\n[[sight]]\nunit = 3\npan = 1\n\
        [[sight]]\nunit = 3\npan = 2\n";

    #[test]
    fn sections_are_told_by_name() {
        for (old, new, lines) in [
            ("tempo = 96", "tempo = 104 # faster", &["show: tempo 104 instead of 96"][..]),
            ("tempo = 96", "tempo =   96", &["only remarks, spacing or order"]),
            ("tempo = 96\n", "", &["show: tempo is removed"]),
            ("[1, 2, 3]", "[1, 2.5, 3]", &["mark \"cake\": at [1, 2.5, 3] instead of [1, 2, 3]"]),
            ("name = \"cake\"", "name = \"tart\"", &["mark \"cake\": removed", "mark \"tart\": added"]),
            (
                "1.001\"",
                "1.101\"\nline = \"A\"",
                &["light 3: address \"1.101\" instead of \"1.001\"; line \"A\" is new"],
            ),
            ("number = 3", "numbers = \"2-3\"", &["light 3: removed", "lights 2-3: added"]),
            ("80 %", "70 %", &["look \"Supper\": part 1: level \"70 %\" instead of \"80 %\""]),
            ("[[look.part]]\nlights = 3\n", "", &["look \"Supper\": part 1 table instead of 2"]),
            ("[[sight]]\nunit = 3\npan = 1\n", "", &["sight of light 3: removed"]),
            ("pan = 1\n", "pan = 1\n[[sight]]\nunit = 3\npan = 7\n", &["sight of light 3: added"]),
            ("lanthorn = 1", "lanthorn = 2", &["the file: lanthorn 2 instead of 1"]),
            ("tempo = 96", "tempo = ", &["the second cannot be read: line 4: "]),
        ] {
            let changed = TEXT.replacen(old, new, 1);
            assert_ne!(changed, TEXT);
            let said = compare(TEXT, &changed);
            assert_eq!(said.len(), lines.len(), "{said:?}");
            for (said, line) in said.iter().zip(lines) {
                assert!(said == line || (line.ends_with(": ") && said.starts_with(line)), "{said}");
            }
        }
        assert!(compare(TEXT, TEXT).is_empty());
    }

    #[test]
    fn what_is_taken_out_of_the_demo_is_told() {
        let start = DEMO_TEXT.find("[[look]]").unwrap();
        let end = start + 1 + DEMO_TEXT[start + 1..].find("[[look]]").unwrap();
        let without = format!("{}{}", &DEMO_TEXT[..start], &DEMO_TEXT[end..]);
        let said = compare(DEMO_TEXT, &without);
        assert!(
            said.len() == 1 && said[0].starts_with("look \"") && said[0].ends_with(": removed"),
            "{said:?}"
        );
        assert!(compare(&without, DEMO_TEXT)[0].ends_with(": added"));
    }
}
