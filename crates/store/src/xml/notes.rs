//! What is odd about an XML file, with the line of each thing; nothing of it keeps the file from being read.

use roxmltree::Node;

use crate::problem::{Problem, Severity};

/// Shown at most; the rest are counted.
const MOST: usize = 200;

/// The warnings so far.
pub(crate) struct Notes<'t> {
    text: &'t str,
    line_starts: Vec<usize>,
    list: Vec<Problem>,
    beyond: usize,
}

impl<'t> Notes<'t> {
    pub(crate) fn new(text: &'t str) -> Self {
        let newlines = text.match_indices('\n').map(|(at, _)| at + 1);
        let line_starts = std::iter::once(0).chain(newlines).collect();
        Self { text, line_starts, list: Vec::new(), beyond: 0 }
    }

    /// Something is odd about an element; `field` says which in words.
    pub(crate) fn doubt(&mut self, node: Node<'_, '_>, field: &str, what: &str, remedy: &str) {
        self.doubt_at(node.range().start, field, what, remedy);
    }

    /// Something is odd about a place in the text. The same about the same field is said once.
    pub(crate) fn doubt_at(&mut self, at: usize, field: &str, what: &str, remedy: &str) {
        let message = if field.is_empty() { what.to_owned() } else { format!("{field}: {what}") };
        if self.list.iter().rev().take(MOST).any(|known| known.message == message) {
            return;
        }
        if self.list.len() >= MOST {
            self.beyond += 1;
            return;
        }
        let line = self.line_starts.partition_point(|start| *start <= at).max(1);
        let start = self.line_starts[line - 1];
        let column = self.text.get(start..at).map_or(1, |before| before.chars().count() + 1);
        self.list.push(Problem {
            line,
            column,
            severity: Severity::Warning,
            field: field.to_owned(),
            message,
            remedy: remedy.to_owned(),
        });
    }

    /// All of them, in the order of the file.
    pub(crate) fn finish(mut self) -> Vec<Problem> {
        self.list.sort_by_key(|problem| (problem.line, problem.column));
        if self.beyond > 0 {
            let line = self.list.last().map_or(1, |problem| problem.line);
            self.list.push(Problem {
                line,
                column: 1,
                severity: Severity::Warning,
                field: String::new(),
                message: format!("{} more things are odd and not shown", self.beyond),
                remedy: String::new(),
            });
        }
        self.list
    }
}

/// The elements of that name directly inside, in order.
pub(crate) fn children<'a>(node: Node<'a, 'a>, tag: &'static str) -> impl Iterator<Item = Node<'a, 'a>> {
    node.children().filter(move |child| child.is_element() && child.tag_name().name() == tag)
}

/// The first element of that name directly inside.
pub(crate) fn child<'a>(node: Node<'a, 'a>, tag: &'static str) -> Option<Node<'a, 'a>> {
    children(node, tag).next()
}

/// A name as ours are: one line of at most 80 letters without blanks at its ends; none where nothing is left.
pub(crate) fn plain_name(text: &str) -> Option<String> {
    let words: Vec<&str> = text.split(|c: char| c.is_whitespace() || c.is_control()).collect();
    let joined = words.into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
    let cut: String = joined.chars().take(80).collect();
    let cut = cut.trim();
    (!cut.is_empty()).then(|| cut.to_owned())
}

/// A name that none of these has yet: as it is, or with a number behind it.
pub(crate) fn unused(name: &str, is_used: impl Fn(&str) -> bool) -> String {
    if !is_used(name) {
        return name.to_owned();
    }
    let short: String = name.chars().take(70).collect();
    (2_u32..).map(|n| format!("{} {n}", short.trim_end())).find(|name| !is_used(name)).unwrap_or_default()
}
