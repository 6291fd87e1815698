//! Sights and findings put into a show file, and taken out again: every other byte stays as it is.
//!
//! The text is parsed only to know where tables stand; what changes is cut out of it or set into it.

use lanthorn_physics::units::Seconds;
use lanthorn_rig::Found;
use lanthorn_rig::sight::Sight;

use super::EditError;
use crate::show_file::{found_lines, sight_lines};
use crate::tree::{self, Data, Entry, Node};
use crate::walk::{Fields, Report};

/// One thing that was found out about a light; none takes it out again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finding {
    /// Which way pan runs: `true` is backwards.
    PanBackwards(Option<bool>),
    /// Pan from end to end.
    PanTime(Option<Seconds>),
    /// Tilt from end to end.
    TiltTime(Option<Seconds>),
}

/// The text with a sight of a light more: behind the last `[[sight]]`, or behind the lights where it is the first.
pub fn add_sight(text: &str, unit: u32, sight: &Sight) -> Result<String, EditError> {
    let mut table = String::from("[[sight]]\n");
    sight_lines(&mut table, unit, sight);
    insert(text, &table, &["sight", "unit"])
}

/// The text without a sight of a light: the last that says the same.
pub fn remove_sight(text: &str, unit: u32, sight: &Sight) -> Result<String, EditError> {
    let root = parse(text)?;
    let mut found = None;
    for table in tables(text, &root, "sight")? {
        if table.number("unit") == Some(i64::from(unit)) && says(text, &table, sight) {
            found = Some(table);
        }
    }
    let table = found.ok_or_else(|| EditError::NoSuchPlace { path: format!("sight of unit {unit}") })?;
    let start = before_blank_line(text, line_start(text, table.from));
    Ok(format!("{}{}", &text[..start], &text[table.end..]))
}

/// The text with a finding about a light: in its `[[found]]`, which is made where there is none.
pub fn set_found(text: &str, unit: u32, finding: Finding) -> Result<String, EditError> {
    let (key, value) = finding.line();
    let root = parse(text)?;
    let number = Some(i64::from(unit));
    let table = tables(text, &root, "found")?.into_iter().find(|table| table.number("unit") == number);
    match (table, value) {
        (None, None) => Ok(text.to_owned()),
        (None, Some(value)) => {
            let table = format!("[[found]]\nunit = {unit}\n{key} = {value}\n");
            insert(text, &table, &["found", "sight", "unit"])
        }
        (Some(table), value) => {
            let old = table.entries.iter().find(|entry| entry.key == key);
            Ok(match (old, value) {
                (Some(old), Some(value)) => {
                    format!("{}{value}{}", &text[..old.value.from], &text[old.value.to..])
                }
                (Some(old), None) => {
                    let end = line_end(text, old.value.to);
                    format!("{}{}", &text[..line_start(text, old.key_at)], &text[end..])
                }
                (None, Some(value)) => set_in(text, table.end, &format!("{key} = {value}\n")),
                (None, None) => text.to_owned(),
            })
        }
    }
}

impl Finding {
    /// Its key and its value as the file writes it.
    fn line(self) -> (&'static str, Option<String>) {
        let (key, found) = match self {
            Self::PanBackwards(pan_backwards) => ("pan", Found { pan_backwards, ..Found::default() }),
            Self::PanTime(pan_time) => ("pan_time", Found { pan_time, ..Found::default() }),
            Self::TiltTime(tilt_time) => ("tilt_time", Found { tilt_time, ..Found::default() }),
        };
        (key, found_lines(&found).pop().map(|(_, value)| value))
    }
}

/// A table under a heading of its own.
struct Table<'n> {
    /// Its heading.
    from: usize,
    /// Behind the line of its last value.
    end: usize,
    entries: &'n [Entry],
}

impl Table<'_> {
    fn number(&self, key: &str) -> Option<i64> {
        match self.entries.iter().find(|entry| entry.key == key)?.value.data {
            Data::Whole(whole) => Some(whole),
            _ => None,
        }
    }
}

/// Whether a table is this very sight.
fn says(text: &str, table: &Table<'_>, sight: &Sight) -> bool {
    let fields = Fields::new(table.entries, String::new(), table.from);
    let at = fields.get("at").and_then(|spot| Report::new(text).point(&spot));
    at.is_some_and(|at| at.distance(sight.at).get() < 1e-9)
        && table.number("pan") == Some(i64::from(sight.pan))
        && table.number("tilt") == Some(i64::from(sight.tilt))
}

fn parse(text: &str) -> Result<Node, EditError> {
    tree::parse(text).map_err(|problem| EditError::NotRead(problem.in_line()))
}

/// The tables under `[[key]]`.
fn tables<'n>(text: &str, root: &'n Node, key: &str) -> Result<Vec<Table<'n>>, EditError> {
    let Data::Table(entries) = &root.data else { return Ok(Vec::new()) };
    let Some(entry) = entries.iter().find(|entry| entry.key == key) else { return Ok(Vec::new()) };
    let inline = || EditError::NotATable { key: key.to_owned() };
    let Data::List(items) = &entry.value.data else { return Err(inline()) };
    let table = |item: &'n Node| match &item.data {
        Data::Table(entries) if text[item.from..].starts_with("[[") => {
            let last = entries.iter().map(|entry| entry.value.to).max().unwrap_or(item.to).max(item.to);
            Ok(Table { from: item.from, end: line_end(text, last), entries })
        }
        _ => Err(inline()),
    };
    items.iter().map(table).collect()
}

/// Sets a table behind the last of the first kind that there is; at the end where there is none.
fn insert(text: &str, table: &str, behind: &[&str]) -> Result<String, EditError> {
    let root = parse(text)?;
    let mut at = None;
    for (place, key) in behind.iter().enumerate() {
        match tables(text, &root, key) {
            // Tables of the kind itself must be ours to add to; lights may be written as they like.
            Err(error) if place == 0 => return Err(error),
            Err(_) => {}
            Ok(tables) => at = at.or_else(|| tables.iter().map(|table| table.end).max()),
        }
    }
    Ok(set_in(text, at.unwrap_or(text.len()), &format!("\n{table}")))
}

/// The text with lines set in, ended as those of the file are.
fn set_in(text: &str, at: usize, lines: &str) -> String {
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let end = if at > 0 && !text[..at].ends_with('\n') { newline } else { "" };
    format!("{}{end}{}{}", &text[..at], lines.replace('\n', newline), &text[at..])
}

/// Where the line of a byte begins.
fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |newline| newline + 1)
}

/// Behind the end of the line of a byte.
fn line_end(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |newline| at + newline + 1)
}

/// One empty line above goes with what is taken out.
fn before_blank_line(text: &str, start: usize) -> usize {
    if start == 0 {
        return start;
    }
    let above = line_start(text, start - 1);
    if text[above..start].trim().is_empty() { above } else { start }
}

#[cfg(test)]
mod tests {
    use lanthorn_physics::Point;

    use super::*;
    use crate::{DEMO_TEXT, read_show};

    fn sight(pan: u16) -> Sight {
        Sight { mark: Some("cake".to_owned()), at: Point::new(-2.6, -0.2, 1.0), pan, tilt: 20_110 }
    }

    fn found(text: &str, unit: u32) -> Found {
        let (file, problems) = read_show(text);
        assert!(problems.is_empty(), "{problems:?}\n{text}");
        file.unwrap().rig.unit(unit).unwrap().found.clone()
    }

    #[test]
    fn a_sight_goes_behind_the_lights_and_the_next_behind_it() {
        let first = add_sight(DEMO_TEXT, 3, &sight(33_211)).unwrap();
        let second = add_sight(&first, 1, &sight(7)).unwrap();
        let third = add_sight(&second, 3, &sight(33_300)).unwrap();
        assert_eq!(found(&third, 3).sights, [sight(33_211), sight(33_300)]);
        assert_eq!(found(&third, 1).sights, [sight(7)]);
        let set_in =
            "\n[[sight]]\nunit = 3\nmark = \"cake\"\nat = [-2.6, -0.2, 1]\npan = 33211\ntilt = 20110\n";
        let at = first.find(set_in).unwrap();
        assert_eq!(format!("{}{}", &first[..at], &first[at + set_in.len()..]), DEMO_TEXT);
        assert!(
            first[..at]
                .ends_with("focus = [0, 4, 2.6] # up the back wall\ncircuit = \"hall\"\nline = \"A\"\n")
        );
        // Taken out again, everything is as it was.
        let without = remove_sight(&third, 1, &sight(7)).unwrap();
        let without = remove_sight(&without, 3, &sight(33_300)).unwrap();
        assert_eq!(without, first);
        assert_eq!(remove_sight(&without, 3, &sight(33_211)).unwrap(), DEMO_TEXT);
        let nothing = remove_sight(DEMO_TEXT, 3, &sight(1)).unwrap_err();
        assert_eq!(nothing.to_string(), "there is no `sight of unit 3` in the file: check the path");
    }

    #[test]
    fn findings_are_set_changed_and_taken_out() {
        let backwards = Finding::PanBackwards(Some(true));
        let text = set_found(DEMO_TEXT, 2, backwards).unwrap();
        let text = set_found(&text, 2, Finding::PanTime(Some(Seconds::new(3.1)))).unwrap();
        let text = set_found(&text, 4, Finding::TiltTime(Some(Seconds::new(1.9)))).unwrap();
        assert!(text.contains(
            "\n[[found]]\nunit = 2\npan = \"backwards\"\npan_time = \"3.1 s\"\n\n[[found]]\nunit = 4\n"
        ));
        let (two, four) = (found(&text, 2), found(&text, 4));
        assert_eq!((two.pan_backwards, two.pan_time), (Some(true), Some(Seconds::new(3.1))));
        assert_eq!((four.pan_backwards, four.tilt_time), (None, Some(Seconds::new(1.9))));
        let remark = text.replace("\"backwards\"", "\"backwards\" # watched on Friday");
        let changed = set_found(&remark, 2, Finding::PanBackwards(Some(false))).unwrap();
        assert_eq!(changed, remark.replace("\"backwards\" #", "\"forwards\" #"));
        let gone = set_found(&changed, 2, Finding::PanTime(None)).unwrap();
        assert_eq!(gone, changed.replace("pan_time = \"3.1 s\"\n", ""));
        assert_eq!(set_found(DEMO_TEXT, 2, Finding::PanTime(None)).unwrap(), DEMO_TEXT);
    }

    #[test]
    fn every_way_to_end_a_line_and_a_file_is_kept() {
        let windows = DEMO_TEXT.replace('\n', "\r\n");
        let text = add_sight(&windows, 3, &sight(1)).unwrap();
        assert_eq!(text, add_sight(DEMO_TEXT, 3, &sight(1)).unwrap().replace('\n', "\r\n"));
        assert_eq!(remove_sight(&text, 3, &sight(1)).unwrap(), windows);
        let cut = "[[unit]]\nnumber = 3 # the last";
        let sighted = add_sight(cut, 3, &sight(1)).unwrap();
        assert!(sighted.starts_with("[[unit]]\nnumber = 3 # the last\n\n[[sight]]\n"), "{sighted}");
        let indented = "[show]\nname = \"x\"\n\n  [[sight]]\n  unit = 3\n  at = [\n    -2.6,\n    \"-20 cm\", 1]\n  pan = 7\n  tilt = 20110 # t\n# after\n";
        let without = remove_sight(indented, 3, &sight(7)).unwrap();
        assert_eq!(without, "[show]\nname = \"x\"\n# after\n");
    }

    #[test]
    fn what_is_written_in_another_way_is_not_touched() {
        let inline = format!("sight = [{{ unit = 3, at = [0, 0, 0], pan = 1, tilt = 2 }}]\n{DEMO_TEXT}");
        let said = add_sight(&inline, 3, &sight(1)).unwrap_err().to_string();
        assert_eq!(said, "`sight` stands in the file as one value: write it as `[[sight]]` tables");
        assert!(add_sight("lanthorn = ", 3, &sight(1)).is_err());
        // Lights on one line: the new table goes to the end, for keys of the file itself may follow them.
        let lights = "unit = [{ number = 3 }]\nlanthorn = 1\n";
        let text = add_sight(lights, 3, &sight(1)).unwrap();
        assert!(text.starts_with(&format!("{lights}\n[[sight]]\n")), "{text}");
    }
}
