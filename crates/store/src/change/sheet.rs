//! A show's text with the places of its tables and values: what changes is cut out of it or set into it.
//!
//! A table's block is its heading, its lines, the remarks directly above the heading and those directly below its last
//! line; remarks with an empty line between stay where they are. After each round of edits the text is parsed anew, so
//! that places are always right.

use super::Refused;
use crate::tree::{self, Data, Entry, Node};

/// The text and its tree.
pub(super) struct Sheet {
    pub(super) text: String,
    pub(super) root: Node,
    /// Where headings stand.
    heads: Vec<usize>,
    /// Where values end.
    ends: Vec<usize>,
}

/// A stretch of text that becomes another.
#[derive(Clone, Debug)]
pub(super) struct Edit {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) with: String,
}

/// A table under a heading of its own.
#[derive(Clone, Copy)]
pub(super) struct Table<'s> {
    pub(super) entries: &'s [Entry],
    /// Its heading.
    from: usize,
    /// With the remarks directly above.
    pub(super) start: usize,
    /// Behind its own last line.
    body: usize,
    /// With the remarks directly below.
    pub(super) own_end: usize,
    /// With the tables inside it.
    pub(super) end: usize,
}

/// In which order tables stand in a show file: a new one goes behind the last of its kind, or of those before.
const ORDER: &[&[&str]] = &[
    &["show"],
    &["music"],
    &["room"],
    &["room", "platform"],
    &["room", "audience"],
    &["room", "furniture"],
    &["room", "mark"],
    &["room", "place"],
    &["mains"],
    &["limits"],
    &["circuit"],
    &["unit"],
    &["sight"],
    &["found"],
    &["group"],
    &["swatch"],
    &["figure"],
    &["look"],
    &["chase"],
    &["cue"],
    &["score"],
    &["profile"],
];

/// Tables that stand once.
const ONCE: &[&str] = &["show", "music", "room", "mains", "limits"];

impl Sheet {
    pub(super) fn new(text: String) -> Result<Self, Refused> {
        let root = tree::parse(&text).map_err(|problem| Refused::by(&problem))?;
        let (mut heads, mut ends) = (Vec::new(), vec![0]);
        collect(&root, &text, &mut heads, &mut ends);
        heads.sort_unstable();
        ends.sort_unstable();
        Ok(Self { text, root, heads, ends })
    }

    /// Makes these edits, and finds every place anew.
    pub(super) fn edit(&mut self, mut edits: Vec<Edit>) -> Result<(), Refused> {
        if edits.is_empty() {
            return Ok(());
        }
        edits.sort_by_key(|edit| edit.from);
        let newline = if self.text.contains("\r\n") { "\r\n" } else { "\n" };
        let mut out = String::with_capacity(self.text.len() + 256);
        let mut at = 0;
        for edit in edits {
            let Some(kept) = self.text.get(at..edit.from).filter(|_| edit.to >= edit.from) else {
                return Err(Refused::new(
                    "two of these changes touch the same place of the file: make them one by one",
                ));
            };
            out.push_str(kept);
            let with = edit.with.replace("\r\n", "\n");
            if with.ends_with('\n') && edit.from == edit.to && !out.is_empty() && !out.ends_with('\n') {
                out.push_str(newline); // the last line of the file has no end yet
            }
            out.push_str(&with.replace('\n', newline));
            at = edit.to;
        }
        out.push_str(self.text.get(at..).unwrap_or_default());
        *self = Self::new(out)?;
        Ok(())
    }

    /// A value as the file writes it.
    pub(super) fn source(&self, node: &Node) -> &str {
        self.text.get(node.from..node.to).unwrap_or_default()
    }

    /// The keys and values at the top of the file, or in the table of that name there.
    pub(super) fn entries(&self, key: Option<&str>) -> &[Entry] {
        let Data::Table(entries) = &self.root.data else { return &[] };
        let Some(key) = key else { return entries };
        match entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value.data) {
            Some(Data::Table(entries)) => entries,
            _ => &[],
        }
    }

    /// The table of that name at the top of the file, under a heading.
    pub(super) fn single(&self, key: &str) -> Result<Option<Table<'_>>, Refused> {
        let Some(entry) = self.entries(None).iter().find(|entry| entry.key == key) else { return Ok(None) };
        match &entry.value.data {
            Data::Table(entries) if self.is_headed(&entry.value) => {
                Ok(Some(self.table(&entry.value, entries)))
            }
            _ => Err(not_headed(&format!("[{key}]"))),
        }
    }

    /// Every table under `[[path]]`, in the order of the file.
    pub(super) fn tables(&self, path: &[&str]) -> Result<Vec<Table<'_>>, Refused> {
        match path {
            [key] => self.within(self.entries(None), key),
            [outer, key] => self.within(self.entries(Some(outer)), key),
            _ => Ok(Vec::new()),
        }
    }

    /// Every table under `[[…key]]` of a table.
    pub(super) fn within<'s>(&'s self, entries: &'s [Entry], key: &str) -> Result<Vec<Table<'s>>, Refused> {
        let Some(entry) = entries.iter().find(|entry| entry.key == key) else { return Ok(Vec::new()) };
        let inline = || not_headed(&format!("[[…{key}]]"));
        let Data::List(items) = &entry.value.data else { return Err(inline()) };
        let table = |node: &'s Node| match &node.data {
            Data::Table(entries) if self.is_headed(node) => Ok(self.table(node, entries)),
            _ => Err(inline()),
        };
        items.iter().map(table).collect()
    }

    fn is_headed(&self, node: &Node) -> bool {
        self.text.get(node.from..).is_some_and(|rest| rest.starts_with('['))
    }

    fn table<'s>(&'s self, node: &'s Node, entries: &'s [Entry]) -> Table<'s> {
        let body = self.line_end(self.last(entries, node.from, false));
        let own_end = self.remarks_below(body);
        let all = self.line_end(self.last(entries, node.from, true));
        let end = if all > body { self.remarks_below(all) } else { own_end };
        Table { entries, from: node.from, start: self.remarks_above(node.from), body, own_end, end }
    }

    /// Where the last value ends; with `inside`, also of the tables inside.
    fn last(&self, entries: &[Entry], from: usize, inside: bool) -> usize {
        let mut last = from;
        for Entry { value, .. } in entries {
            last = last.max(self.last_of(value, inside));
        }
        last
    }

    fn last_of(&self, node: &Node, inside: bool) -> usize {
        match &node.data {
            Data::Table(_) if self.is_headed(node) && !inside => 0,
            Data::Table(entries) => {
                let own = if self.is_headed(node) { node.from } else { node.to };
                self.last(entries, own, inside)
            }
            Data::List(items) if items.iter().any(|item| self.is_table_heading(item)) => {
                items.iter().map(|item| self.last_of(item, inside)).max().unwrap_or(0)
            }
            _ => node.to,
        }
    }

    fn is_table_heading(&self, node: &Node) -> bool {
        matches!(node.data, Data::Table(_)) && self.is_headed(node)
    }

    pub(super) fn line_start(&self, at: usize) -> usize {
        self.text[..at].rfind('\n').map_or(0, |newline| newline + 1)
    }

    /// Behind the end of the line of a byte.
    pub(super) fn line_end(&self, at: usize) -> usize {
        self.text[at..].find('\n').map_or(self.text.len(), |newline| at + newline + 1)
    }

    /// Up over the remarks that stand directly above a line.
    fn remarks_above(&self, at: usize) -> usize {
        let mut start = self.line_start(at);
        // No further than the value before: a line of a text may look like a remark.
        let floor = self.ends[self.ends.partition_point(|end| *end <= at).saturating_sub(1)];
        while start > floor {
            let above = self.line_start(start - 1);
            if above < floor || !self.text[above..start].trim_start().starts_with('#') {
                break;
            }
            start = above;
        }
        start
    }

    /// Down over the remarks that stand directly below, unless they stand directly above something else.
    fn remarks_below(&self, at: usize) -> usize {
        let mut end = at;
        loop {
            let line = &self.text[end..self.line_end(end)];
            if line.trim_start().starts_with('#') {
                end = self.line_end(end);
            } else if line.trim().is_empty() {
                return end;
            } else {
                return at;
            }
        }
    }

    /// The edit that gives a key of a table another value, takes it out (none), or sets it in.
    pub(super) fn set(
        &self,
        table: &Table<'_>,
        key: &str,
        value: Option<&str>,
    ) -> Result<Vec<Edit>, Refused> {
        let old = table.entries.iter().find(|entry| entry.key == key);
        Ok(match (old, value) {
            (None, None) => Vec::new(),
            (None, Some(value)) => {
                let indent = self.indent(table);
                vec![Edit { from: table.body, to: table.body, with: format!("{indent}{key} = {value}\n") }]
            }
            (Some(old), Some(value)) => vec![self.replace(old, value)?],
            (Some(old), None) => vec![self.cut(old)?],
        })
    }

    /// The edit that gives an entry another value.
    pub(super) fn replace(&self, entry: &Entry, value: &str) -> Result<Edit, Refused> {
        self.one_value(entry)?;
        Ok(Edit { from: entry.value.from, to: entry.value.to, with: value.to_owned() })
    }

    /// The edit that takes an entry out, with its line.
    pub(super) fn cut(&self, entry: &Entry) -> Result<Edit, Refused> {
        self.one_value(entry)?;
        let (from, to) = (self.line_start(entry.key_at), self.line_end(entry.value.to));
        let behind = self.text[entry.value.to..to].trim();
        let before = self.text[from..entry.key_at].trim();
        if !before.is_empty() || !(behind.is_empty() || behind.starts_with('#')) {
            return Err(Refused::new(format!(
                "`{}` stands in a line with others: give it a line of its own",
                entry.key
            )));
        }
        Ok(Edit { from, to, with: String::new() })
    }

    /// Whether an entry is `key = value`.
    pub(super) fn one_value(&self, entry: &Entry) -> Result<(), Refused> {
        let between = self.text.get(entry.key_at..entry.value.from).unwrap_or_default();
        if entry.value.to > entry.value.from && between.trim_end().ends_with('=') && !between.contains('\n') {
            return Ok(());
        }
        Err(Refused::new(format!("`{0}` is written in several lines: write it as `{0} = …`", entry.key)))
    }

    fn indent(&self, table: &Table<'_>) -> &str {
        let own = |entry: &&Entry| entry.value.to > entry.value.from && entry.value.to <= table.body;
        let at = table.entries.iter().rfind(own).map_or(table.from, |entry| entry.key_at);
        let indent = &self.text[self.line_start(at)..at];
        if indent.trim().is_empty() { indent } else { "" }
    }

    /// The edit that takes a table out, with the tables inside it and one empty line above.
    pub(super) fn remove(&self, table: &Table<'_>) -> Result<Edit, Refused> {
        self.in_one_piece(table)?;
        let mut edit = Edit { from: table.start, to: table.end, with: String::new() };
        if edit.from == 0 {
            let below = self.line_end(edit.to);
            if self.text[edit.to..below].trim().is_empty() {
                edit.to = below;
            }
            return Ok(edit);
        }
        let above = self.line_start(edit.from - 1);
        if self.text[above..edit.from].trim().is_empty() {
            edit.from = above;
        }
        Ok(edit)
    }

    /// A table's whole text.
    pub(super) fn block(&self, table: &Table<'_>) -> Result<String, Refused> {
        self.in_one_piece(table)?;
        let text = &self.text[table.start..table.end];
        Ok(if text.ends_with('\n') { text.to_owned() } else { format!("{text}\n") })
    }

    /// Refuses a table with somebody else's heading in between.
    fn in_one_piece(&self, table: &Table<'_>) -> Result<(), Refused> {
        let (mut inside, mut ends) = (vec![table.from], Vec::new());
        for entry in table.entries {
            collect(&entry.value, &self.text, &mut inside, &mut ends);
        }
        let there = self.heads.iter().filter(|head| (table.from..table.end).contains(*head)).count();
        if there == inside.len() {
            return Ok(());
        }
        let heading = self.text[table.from..self.line_end(table.from)].trim();
        Err(Refused::new(format!("`{heading}` stands in two places of the file: bring its tables together")))
    }

    /// The edits that give tables another order: `order[i]` is whose text stands in the place of table `i`.
    pub(super) fn reorder(&self, tables: &[Table<'_>], order: &[usize]) -> Result<Vec<Edit>, Refused> {
        let mut edits = Vec::new();
        for (place, from) in order.iter().enumerate() {
            if let (true, Some(old), Some(new)) = (place != *from, tables.get(place), tables.get(*from)) {
                self.in_one_piece(old)?;
                edits.push(Edit { from: old.start, to: old.end, with: self.block(new)? });
            }
        }
        Ok(edits)
    }

    /// The edit that sets a new table in, behind the last of its kind.
    pub(super) fn add(&self, path: &[&str], lines: &str) -> Result<Edit, Refused> {
        let place = ORDER.iter().position(|known| *known == path).unwrap_or(ORDER.len() - 1);
        let mut at = self.text.len();
        for path in ORDER[..=place].iter().rev() {
            let last = match path {
                [only] if ONCE.contains(only) => self.single(only)?.map(|table| table.own_end),
                path => self.tables(path)?.iter().map(|table| table.end).max(),
            };
            if let Some(last) = last {
                at = last;
                break;
            }
        }
        let heading = path.join(".");
        let heading = if path.len() == 1 && ONCE.contains(&path[0]) {
            format!("[{heading}]")
        } else {
            format!("[[{heading}]]")
        };
        Ok(Edit { from: at, to: at, with: format!("\n{heading}\n{lines}") })
    }
}

/// Headings and ends of values, of a node and all inside it.
fn collect(node: &Node, text: &str, heads: &mut Vec<usize>, ends: &mut Vec<usize>) {
    match &node.data {
        Data::Table(entries) => {
            if node.to > node.from {
                if text.get(node.from..).is_some_and(|rest| rest.starts_with('[')) {
                    heads.push(node.from);
                } else {
                    ends.push(node.to);
                }
            }
            entries.iter().for_each(|entry| collect(&entry.value, text, heads, ends));
        }
        Data::List(items) => {
            let headed = |item: &Node| {
                matches!(item.data, Data::Table(_))
                    && text.get(item.from..).is_some_and(|rest| rest.starts_with('['))
            };
            if !items.iter().any(headed) {
                ends.push(node.to);
            }
            items.iter().for_each(|item| collect(item, text, heads, ends));
        }
        _ => ends.push(node.to),
    }
}

fn not_headed(heading: &str) -> Refused {
    Refused::new(format!("this stands in the file as one value: write it under a heading, `{heading}`"))
}
