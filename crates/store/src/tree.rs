//! A file's text as a tree of values that know where they stand.

use toml_edit::{Document, Item, TableLike, Value};

use crate::problem::{Problem, Severity};

/// Most bytes in a file.
pub(crate) const MOST_BYTES: usize = 16 << 20;
/// Most lines in a file.
pub(crate) const MOST_LINES: usize = 200_000;
/// Deepest nesting; ours needs six.
const DEEPEST: usize = 32;

/// One value and where it stands, as byte offsets.
#[derive(Debug)]
pub(crate) struct Node {
    pub(crate) data: Data,
    pub(crate) from: usize,
    pub(crate) to: usize,
}

/// What a value is.
#[derive(Debug)]
pub(crate) enum Data {
    Text(String),
    Whole(i64),
    Number(f64),
    Flag(bool),
    Date,
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// One key with its value.
#[derive(Debug)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) key_at: usize,
    pub(crate) value: Node,
}

/// The tree of a text, or the one reason why there is none.
pub(crate) fn parse(text: &str) -> Result<Node, Box<Problem>> {
    check_size(text)?;
    let document = Document::parse(text).map_err(|error| Box::new(syntax(text, &error)))?;
    let table = document.as_table();
    entries(table, 0, 0).map(|data| Node { data, from: 0, to: 0 }).ok_or_else(|| {
        let what = format!("values are nested more than {DEEPEST} deep");
        Box::new(problem(text, 0, what, "nothing in a show file needs that"))
    })
}

fn check_size(text: &str) -> Result<(), Box<Problem>> {
    if let Some((at, _)) = text.match_indices('\n').nth(MOST_LINES - 1)
        && at + 1 < text.len()
    {
        let what = format!("a show file has at most {MOST_LINES} lines, and this is one more");
        return Err(Box::new(Problem {
            line: MOST_LINES + 1,
            ..problem(text, 0, what, "split the show in two")
        }));
    }
    if text.len() > MOST_BYTES {
        let cut = (0..=MOST_BYTES).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
        let what =
            format!("the file has {} bytes; a show file has at most {MOST_BYTES} (16 MiB)", text.len());
        return Err(Box::new(problem(text, cut, what, "split the show in two")));
    }
    Ok(())
}

fn problem(text: &str, at: usize, message: String, remedy: &str) -> Problem {
    let (line, column) = line_and_column(text, at);
    Problem {
        line,
        column,
        severity: Severity::Error,
        field: String::new(),
        message,
        remedy: remedy.to_owned(),
    }
}

/// Line and column of a byte, by counting: for the one problem that ends a reading.
fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// A text that is no TOML, in words of our own.
fn syntax(text: &str, error: &toml_edit::TomlError) -> Problem {
    let at = error.span().map_or(text.len(), |span| span.start).min(text.trim_end().len());
    let at = (0..=at).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    let (line, _) = line_and_column(text, at);
    let last = text.trim_end().matches('\n').count() + 1;
    let rest = text[at..].trim();
    let source = text.lines().nth(line - 1).unwrap_or("").trim();
    let readable = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let shown: String = source.chars().take(60).map(readable).collect();
    if source.contains('\0') {
        return problem(
            text,
            at,
            "this is no text: it holds bytes of zero".to_owned(),
            "check that it is the right file",
        );
    }
    if line == last && rest.lines().count() <= 1 && unfinished(source, rest) {
        return problem(
            text,
            at,
            format!("the file ends in the middle of something: `{shown}`"),
            "it was cut off, or a quotation mark or bracket is not closed: go back to a whole copy or finish the line",
        );
    }
    let reason = error.message();
    let (what, remedy) = if reason.contains("duplicate key") {
        (format!("`{shown}`: this key stands twice in the same table"), "keep one of the two")
    } else if source.matches('"').count() % 2 == 1 {
        (format!("`{shown}`: a text is not closed"), "put it between two quotation marks, on one line")
    } else if reason.contains("string") || reason.contains("quote") {
        (format!("`{shown}`: a text stands in quotation marks"), "put them around it")
    } else if reason.contains("key with no value") || (!source.contains('=') && !source.starts_with('[')) {
        (
            format!("`{shown}`: a line holds `key = value`, a `[table]` or a `# remark`"),
            "write it as one of these",
        )
    } else if source.starts_with('[') {
        (
            format!("`{shown}`: this table heading cannot be read"),
            "write `[name]`, or `[[name]]` for one of several",
        )
    } else {
        (
            format!("`{shown}`: this value cannot be read ({reason})"),
            "texts and numbers with a unit stand in quotation marks, lists in [ ], choices are true or false",
        )
    };
    problem(text, at, what, remedy)
}

/// Whether a last line looks cut off rather than wrong.
fn unfinished(line: &str, rest: &str) -> bool {
    let quotes = line.matches('"').count();
    rest.is_empty() || quotes % 2 == 1 || line.ends_with('=') || !line.contains('=') || line.ends_with(',')
}

fn entries(table: &dyn TableLike, at: usize, depth: usize) -> Option<Data> {
    if depth > DEEPEST {
        return None;
    }
    let mut list = Vec::new();
    for (key, item) in table.iter() {
        let key_at = table.key(key).and_then(toml_edit::Key::span).map_or(at, |span| span.start);
        list.push(Entry { key: key.to_owned(), key_at, value: node(item, key_at, depth + 1)? });
    }
    Some(Data::Table(list))
}

fn node(item: &Item, at: usize, depth: usize) -> Option<Node> {
    let span = item.span().unwrap_or(at..at);
    let data = match item {
        Item::None => Data::Table(Vec::new()),
        Item::Value(value) => return value_node(value, at, depth),
        Item::Table(table) => entries(table, span.start, depth)?,
        Item::ArrayOfTables(tables) => {
            let one = |table: &toml_edit::Table| {
                let span = table.span().unwrap_or(at..at);
                entries(table, span.start, depth + 1).map(|data| Node {
                    data,
                    from: span.start,
                    to: span.end,
                })
            };
            Data::List(tables.iter().map(one).collect::<Option<_>>()?)
        }
    };
    Some(Node { data, from: span.start, to: span.end })
}

fn value_node(value: &Value, at: usize, depth: usize) -> Option<Node> {
    if depth > DEEPEST {
        return None;
    }
    let span = value.span().unwrap_or(at..at);
    let data = match value {
        Value::String(text) => Data::Text(text.value().clone()),
        Value::Integer(whole) => Data::Whole(*whole.value()),
        Value::Float(number) => Data::Number(*number.value()),
        Value::Boolean(flag) => Data::Flag(*flag.value()),
        Value::Datetime(_) => Data::Date,
        Value::Array(list) => Data::List(
            list.iter().map(|item| value_node(item, span.start, depth + 1)).collect::<Option<_>>()?,
        ),
        Value::InlineTable(table) => entries(table, span.start, depth)?,
    };
    Some(Node { data, from: span.start, to: span.end })
}
