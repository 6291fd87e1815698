//! Walking a file's tree: every value is taken by name, turned into what it must be, and complained about exactly.
//!
//! Nothing here stops at the first problem. A value that cannot be used is reported and then treated as absent.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use lanthorn_physics::Point;

use crate::nearest::nearest;
use crate::problem::{Problem, Severity};
use crate::quantity::{LENGTH, Measure, NotAQuantity};
use crate::tree::{Data, Entry, Node};

/// Problems shown at most; the rest are counted.
const MOST_PROBLEMS: usize = 200;
/// Longest name.
const LONGEST_NAME: usize = 80;
/// Longest remark, label or menu path.
const LONGEST_TEXT: usize = 2000;

/// The problems found so far, and the text that they stand in.
pub(crate) struct Report<'t> {
    text: &'t str,
    line_starts: Vec<usize>,
    problems: Vec<Problem>,
    beyond: usize,
}

/// A value with its name: "unit 4" and "address".
#[derive(Clone)]
pub(crate) struct Spot<'n> {
    pub(crate) node: &'n Node,
    pub(crate) who: Rc<str>,
    pub(crate) key: Rc<str>,
}

/// A table whose keys are taken one by one; what is left over at the end is unknown.
pub(crate) struct Fields<'n> {
    entries: &'n [Entry],
    pub(crate) who: Rc<str>,
    pub(crate) at: usize,
    asked: RefCell<BTreeSet<&'static str>>,
}

impl<'t> Report<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        let newlines = text.match_indices('\n').map(|(at, _)| at + 1);
        Self {
            text,
            line_starts: std::iter::once(0).chain(newlines).collect(),
            problems: Vec::new(),
            beyond: 0,
        }
    }

    /// Everything found, in the order of the file.
    pub(crate) fn finish(mut self) -> Vec<Problem> {
        self.problems.sort_by_key(|problem| (problem.line, problem.column));
        if self.beyond > 0 {
            let last = self.problems.last().map_or(1, |problem| problem.line);
            self.problems.push(Problem {
                line: last,
                column: 1,
                severity: Severity::Error,
                field: String::new(),
                message: format!("{} more problems are not shown", self.beyond),
                remedy: "put these right first".to_owned(),
            });
        }
        self.problems
    }

    /// Whether anything found so far stops the file from being used.
    pub(crate) fn has_errors(&self) -> bool {
        self.beyond > 0 || self.problems.iter().any(Problem::is_error)
    }

    /// How many errors have been found so far.
    pub(crate) fn errors(&self) -> usize {
        self.beyond + self.problems.iter().filter(|problem| problem.is_error()).count()
    }

    /// Line of a byte offset, from 1.
    pub(crate) fn line(&self, at: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= at)
    }

    fn push(&mut self, severity: Severity, at: usize, field: String, message: String, remedy: String) {
        if self.problems.len() >= MOST_PROBLEMS {
            self.beyond += 1;
            return;
        }
        let line = self.line(at);
        let start = self.line_starts[line - 1];
        let column = self.text.get(start..at).map_or(1, |before| before.chars().count() + 1);
        self.problems.push(Problem { line, column, severity, field, message, remedy });
    }

    /// An error about a table as a whole.
    pub(crate) fn wrong_at(&mut self, at: usize, who: &str, what: &str, remedy: &str) {
        self.push(Severity::Error, at, who.to_owned(), joined(who, what), remedy.to_owned());
    }

    /// A warning about a table as a whole.
    pub(crate) fn doubt_at(&mut self, at: usize, who: &str, what: &str, remedy: &str) {
        self.push(Severity::Warning, at, who.to_owned(), joined(who, what), remedy.to_owned());
    }

    /// An error about one value.
    pub(crate) fn wrong(&mut self, spot: &Spot<'_>, what: &str, remedy: &str) {
        self.about(Severity::Error, spot, what, remedy);
    }

    /// A warning about one value.
    pub(crate) fn doubt(&mut self, spot: &Spot<'_>, what: &str, remedy: &str) {
        self.about(Severity::Warning, spot, what, remedy);
    }

    fn about(&mut self, severity: Severity, spot: &Spot<'_>, what: &str, remedy: &str) {
        let shown = format!("`{} = {}`: {what}", spot.key, self.source(spot.node));
        let field =
            if spot.who.is_empty() { spot.key.to_string() } else { format!("{}, {}", spot.who, spot.key) };
        self.push(severity, spot.node.from, field, joined(&spot.who, &shown), remedy.to_owned());
    }

    /// The value as it stands in the file, shortened.
    pub(crate) fn source(&self, node: &Node) -> String {
        const SHOWN: usize = 40;
        let raw = self.text.get(node.from..node.to).unwrap_or("");
        let line = raw.lines().next().unwrap_or("");
        let cut: String = line.chars().take(SHOWN).collect();
        if cut.len() < raw.trim_end().len() { format!("{cut}…") } else { cut }
    }

    /// "There is no such …", with the nearest name or the list of those there are.
    pub(crate) fn no_such<'c>(
        &mut self,
        spot: &Spot<'_>,
        kind: &str,
        name: &str,
        names: impl Iterator<Item = &'c str>,
    ) {
        if self.problems.len() >= MOST_PROBLEMS {
            self.beyond += 1;
            return;
        }
        let names: Vec<&str> = names.take(2000).collect();
        let remedy = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None if names.is_empty() => format!("this show has no {kind} at all: add one"),
            None => {
                let more = if names.len() > 8 { ", …" } else { "" };
                let quoted: Vec<String> = names.iter().take(8).map(|name| format!("\"{name}\"")).collect();
                format!("there is {}{more}", quoted.join(", "))
            }
        };
        self.wrong(spot, &format!("there is no {kind} \"{name}\""), &remedy);
    }

    /// A text of any length that a screen can hold.
    pub(crate) fn text(&mut self, spot: &Spot<'_>) -> Option<String> {
        self.long_text(spot, LONGEST_TEXT)
    }

    /// A text of at most so many letters.
    pub(crate) fn long_text(&mut self, spot: &Spot<'_>, longest: usize) -> Option<String> {
        match &spot.node.data {
            Data::Text(text) if text.chars().count() > longest => {
                self.wrong(spot, &format!("a text has at most {longest} letters"), "shorten it");
                None
            }
            Data::Text(text) if text.chars().any(|c| c.is_control() && c != '\n' && c != '\t') => {
                self.wrong(spot, "a text holds no control characters", "take them out");
                None
            }
            Data::Text(text) => Some(text.clone()),
            _ => {
                self.wrong(spot, "a text stands in quotation marks", "write it such as \"kitchen\"");
                None
            }
        }
    }

    /// A name: one line, not empty.
    pub(crate) fn name(&mut self, spot: &Spot<'_>) -> Option<String> {
        let text = self.text(spot)?;
        if text.trim().is_empty() || text.trim() != text {
            self.wrong(
                spot,
                "a name is not empty and neither starts nor ends with a space",
                "write a plain name",
            );
        } else if text.contains(['\n', '\t']) || text.chars().count() > LONGEST_NAME {
            self.wrong(spot, &format!("a name is one line of at most {LONGEST_NAME} letters"), "shorten it");
        } else {
            return Some(text);
        }
        None
    }

    /// true or false.
    pub(crate) fn flag(&mut self, spot: &Spot<'_>) -> Option<bool> {
        if let Data::Flag(flag) = spot.node.data {
            return Some(flag);
        }
        self.wrong(spot, "this is either true or false", "write true or false, without quotation marks");
        None
    }

    /// A whole number inside limits.
    pub(crate) fn whole(&mut self, spot: &Spot<'_>, low: i64, high: i64) -> Option<i64> {
        match spot.node.data {
            Data::Whole(whole) if (low..=high).contains(&whole) => return Some(whole),
            _ => self.wrong(
                spot,
                &format!("a whole number from {low} to {high} is meant here"),
                "write it without a point and without quotation marks",
            ),
        }
        None
    }

    /// A quantity, in the unit that the program counts in.
    pub(crate) fn measure(&mut self, spot: &Spot<'_>, measure: Measure) -> Option<f64> {
        let read = match &spot.node.data {
            Data::Whole(whole) => measure.bare(*whole as f64),
            Data::Number(number) => measure.bare(*number),
            Data::Text(text) => measure.read(text),
            _ => Err(NotAQuantity::NoNumber),
        };
        let what = measure.what;
        let (what, remedy) = match read {
            Ok(value) => return Some(value),
            Err(NotAQuantity::NoNumber) => {
                (format!("{what} starts with a number"), format!("write it such as {}", measure.example))
            }
            Err(NotAQuantity::Comma) => (
                format!("{what} has a point, not a comma, before its decimals"),
                format!("write it such as {}", measure.example),
            ),
            Err(NotAQuantity::Unit(units)) => {
                (format!("{what} needs {units}"), format!("write it such as {}", measure.example))
            }
            Err(NotAQuantity::NotFinite) => (
                format!("{what} is a number that can be measured"),
                format!("write it such as {}", measure.example),
            ),
            Err(NotAQuantity::Range(limits)) => {
                (format!("{what} here runs {limits}"), "check the figure".to_owned())
            }
        };
        self.wrong(spot, &what, &remedy);
        None
    }

    /// One of a few words.
    pub(crate) fn choice<T: Copy>(&mut self, spot: &Spot<'_>, choices: &[(&'static str, T)]) -> Option<T> {
        let word = match &spot.node.data {
            Data::Text(text) => text.as_str(),
            _ => "",
        };
        if let Some((_, value)) = choices.iter().find(|(name, _)| *name == word) {
            return Some(*value);
        }
        let list: Vec<String> = choices.iter().map(|(name, _)| format!("\"{name}\"")).collect();
        let remedy = match nearest(word, choices.iter().map(|(name, _)| *name)) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => "write one of these".to_owned(),
        };
        self.wrong(spot, &format!("this is one of {}", list.join(", ")), &remedy);
        None
    }

    /// Exactly `N` values.
    pub(crate) fn several<'n, const N: usize>(
        &mut self,
        spot: &Spot<'n>,
        example: &str,
    ) -> Option<[Spot<'n>; N]> {
        let items = spot.items().unwrap_or_default();
        match <[Spot<'n>; N]>::try_from(items) {
            Ok(items) => Some(items),
            Err(_) => {
                self.wrong(spot, &format!("this is a list of {N}"), &format!("write it such as {example}"));
                None
            }
        }
    }

    /// `[x, y, z]` in metres.
    pub(crate) fn point(&mut self, spot: &Spot<'_>) -> Option<Point> {
        let [x, y, z] = self.several(spot, "[0, 1.5, 1.2]: metres to the right, to the back and up")?;
        let x = self.measure(&x, LENGTH);
        let y = self.measure(&y, LENGTH);
        let z = self.measure(&z, LENGTH);
        Some(Point::new(x?, y?, z?))
    }

    /// `[low, high]`, low below high.
    pub(crate) fn span(&mut self, spot: &Spot<'_>, measure: Measure) -> Option<[f64; 2]> {
        let [low, high] = self.several(spot, "[-4, 4]")?;
        let (low, high) = (self.measure(&low, measure), self.measure(&high, measure));
        let (low, high) = (low?, high?);
        if low >= high {
            self.wrong(spot, "the first is not below the second", "write the smaller one first");
            return None;
        }
        Some([low, high])
    }

    /// Numbers of lights: 3, [1, 2, 5], "1-4" or "1-4, 7".
    pub(crate) fn numbers(&mut self, spot: &Spot<'_>) -> Option<Vec<u32>> {
        const MOST: usize = 4096;
        let list = match &spot.node.data {
            Data::Whole(_) => vec![self.whole(spot, 1, 99_999)? as u32],
            Data::List(_) => {
                let items = spot.items().unwrap_or_default();
                let mut list = Vec::new();
                for item in items.iter().take(MOST + 1) {
                    list.push(self.whole(item, 1, 99_999)? as u32);
                }
                list
            }
            Data::Text(text) => match number_list(text, MOST) {
                Some(list) => list,
                None => {
                    self.wrong(
                        spot,
                        &format!("these are no numbers of lights, 1 to 99999 and no more than {MOST}"),
                        "write 3, [1, 2, 5], \"1-4\" or \"1-4, 7\"",
                    );
                    return None;
                }
            },
            _ => {
                self.wrong(
                    spot,
                    "these are no numbers of lights",
                    "write 3, [1, 2, 5], \"1-4\" or \"1-4, 7\"",
                );
                return None;
            }
        };
        let mut seen = BTreeSet::new();
        if list.is_empty() || list.len() > MOST {
            self.wrong(spot, &format!("a list of lights holds 1 to {MOST}"), "name at least one light");
            return None;
        }
        if let Some(twice) = list.iter().find(|number| !seen.insert(**number)) {
            self.wrong(spot, &format!("light {twice} stands in it twice"), "name each light once");
            return None;
        }
        Some(list)
    }
}

/// "1-4, 7" as numbers; none when it is something else or would be longer than `most`.
pub(crate) fn number_list(text: &str, most: usize) -> Option<Vec<u32>> {
    let mut list = Vec::new();
    for part in text.split(',') {
        let (first, last) = part.split_once(['-', '–']).unwrap_or((part, part));
        let first: u32 = first.trim().parse().ok()?;
        let last: u32 = last.trim().parse().ok()?;
        if first == 0
            || first > last
            || (last - first) as usize >= most
            || list.len() >= most
            || last > 99_999
        {
            return None;
        }
        list.extend(first..=last);
    }
    Some(list)
}

fn joined(who: &str, what: &str) -> String {
    if who.is_empty() { what.to_owned() } else { format!("{who}: {what}") }
}

impl<'n> Spot<'n> {
    /// The items of a list, each with a name of its own.
    pub(crate) fn items(&self) -> Option<Vec<Self>> {
        let Data::List(items) = &self.node.data else { return None };
        let named = |(index, node)| Self {
            node,
            who: self.who.clone(),
            key: format!("{}[{}]", self.key, index + 1).into(),
        };
        Some(items.iter().enumerate().map(named).collect())
    }

    /// The table that this is.
    pub(crate) fn fields(&self, who: String, report: &mut Report<'_>) -> Option<Fields<'n>> {
        match &self.node.data {
            Data::Table(entries) => Some(Fields::new(entries, who, self.node.from)),
            _ => {
                let remedy = format!("write `[{0}]` or `{0} = {{ … }}`", self.key);
                report.wrong(self, "this is a table of keys and values", &remedy);
                None
            }
        }
    }
}

impl<'n> Fields<'n> {
    pub(crate) fn new(entries: &'n [Entry], who: String, at: usize) -> Self {
        let at = if at == 0 { entries.first().map_or(0, |entry| entry.key_at) } else { at };
        Self { entries, who: who.into(), at, asked: RefCell::default() }
    }

    /// Gives the table a better name once it is known.
    pub(crate) fn called(&mut self, who: String) {
        self.who = who.into();
    }

    /// A value that may be missing.
    pub(crate) fn get(&self, key: &'static str) -> Option<Spot<'n>> {
        self.asked.borrow_mut().insert(key);
        let entry = self.entries.iter().find(|entry| entry.key == key)?;
        Some(Spot { node: &entry.value, who: self.who.clone(), key: key.into() })
    }

    /// A value that has been asked for already.
    pub(crate) fn peek(&self, key: &str) -> Option<&'n Data> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value.data)
    }

    /// A value that must be there.
    pub(crate) fn need(&self, key: &'static str, example: &str, report: &mut Report<'_>) -> Option<Spot<'n>> {
        let found = self.get(key);
        if found.is_none() {
            report.wrong_at(
                self.at,
                &self.who,
                &format!("`{key}` is missing"),
                &format!("add `{key} = {example}`"),
            );
        }
        found
    }

    /// The tables of `[[key]]`, or none.
    pub(crate) fn tables(&self, key: &'static str, report: &mut Report<'_>) -> Vec<Fields<'n>> {
        let Some(spot) = self.get(key) else { return Vec::new() };
        let Some(items) = spot.items() else {
            let what = format!("`{key}`: there may be several of these");
            let remedy = format!("write `[[{key}]]` with two brackets");
            report.wrong_at(spot.node.from, &self.who, &what, &remedy);
            return Vec::new();
        };
        let mut list = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let who = format!("{key} {}", index + 1);
            let who = if self.who.is_empty() { who } else { format!("{}, {who}", self.who) };
            list.extend(item.fields(who, report));
        }
        list
    }

    /// Names every key that nobody asked for.
    pub(crate) fn finish(&self, report: &mut Report<'_>) {
        let asked = self.asked.borrow();
        for entry in self.entries.iter().filter(|entry| !asked.contains(entry.key.as_str())) {
            if report.problems.len() >= MOST_PROBLEMS {
                report.beyond += 1;
                continue;
            }
            let shown: String = entry.key.chars().take(40).collect();
            let remedy = match nearest(&shown, asked.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    let list: Vec<String> = asked.iter().map(|key| format!("`{key}`")).collect();
                    format!("known here: {}", list.join(", "))
                }
            };
            report.wrong_at(entry.key_at, &self.who, &format!("`{shown}` means nothing here"), &remedy);
        }
    }
}
