//! XML of open fixture and rig files: looked through once for traps, then read as a tree; and written from one.

pub(crate) mod keeping;
pub(crate) mod notes;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// Elements in a file; the largest honest description that was met has 32,453.
const MOST_ELEMENTS: usize = 500_000;
/// How deep they stand in each other; 11 was met.
const DEEPEST: usize = 64;
/// Attributes of one element; 14 was met.
const MOST_ATTRIBUTES: usize = 64;
/// Attributes of all elements together.
const MOST_ATTRIBUTES_OF_ALL: usize = 2_000_000;
/// Declarations of name spaces in a whole file.
const MOST_NAME_SPACES: usize = 256;

/// What keeps a text from being read as XML.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum XmlError {
    /// A document type, by which entities could be declared.
    #[error(
        "line {line}: a document type or an entity is declared, which these files have no use for: it is refused"
    )]
    DocumentType {
        /// Where.
        line: usize,
    },
    /// Too much of something.
    #[error("line {line}: more than {most} {what}: it is refused")]
    TooMany {
        /// Where.
        line: usize,
        /// How many there may be.
        most: usize,
        /// Of what.
        what: &'static str,
    },
    /// It is no XML.
    #[error(
        "line {line}: this is no well-formed XML ({what}): get the file again, or have its maker put it right"
    )]
    Malformed {
        /// Where.
        line: usize,
        /// What is wrong.
        what: String,
    },
}

/// The text of a file: UTF-8 with or without a mark, or UTF-16 with one. Bytes that are none become a sign for that;
/// `false` says so.
pub(crate) fn text_of(bytes: &[u8]) -> (String, bool) {
    let wide = |bytes: &[u8], unit: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| unit([pair[0], pair[1]])).collect();
        (String::from_utf16_lossy(&units), true)
    };
    match bytes {
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xef, 0xbb, 0xbf, rest @ ..] | rest => match std::str::from_utf8(rest) {
            Ok(text) => (text.to_owned(), true),
            Err(_) => (String::from_utf8_lossy(rest).into_owned(), false),
        },
    }
}

/// `true` when the bytes look like the beginning of XML.
pub(crate) fn is_xml(bytes: &[u8]) -> bool {
    let (start, _) = text_of(bytes.get(..bytes.len().min(512)).unwrap_or_default());
    start.trim_start().starts_with('<')
}

/// Reads a text as a tree, once it is known to hold no trap.
pub(crate) fn parse(text: &str) -> Result<roxmltree::Document<'_>, XmlError> {
    look_through(text)?;
    let options = roxmltree::ParsingOptions { allow_dtd: false, nodes_limit: u32::MAX, ..Default::default() };
    roxmltree::Document::parse_with_options(text, options).map_err(|error| {
        let line = error.pos().row as usize;
        XmlError::Malformed { line, what: error.to_string() }
    })
}

/// One pass over the events, with limits, before room is made for a tree: a tree of 100,000 attributes on one element
/// takes half a minute, and the events of it a moment.
fn look_through(text: &str) -> Result<(), XmlError> {
    let mut reader = Reader::from_str(text);
    let (mut elements, mut depth, mut roots) = (0_usize, 0_usize, 0_usize);
    let (mut attributes, mut name_spaces) = (0_usize, 0_usize);
    loop {
        let event = reader.read_event();
        let at = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let line = || line_of(text, at);
        let too_many = |most, what| XmlError::TooMany { line: line(), most, what };
        match event {
            Err(error) => return Err(XmlError::Malformed { line: line(), what: error.to_string() }),
            Ok(Event::DocType(_)) => return Err(XmlError::DocumentType { line: line() }),
            Ok(Event::Start(ref start) | Event::Empty(ref start)) => {
                elements += 1;
                roots += usize::from(depth == 0);
                let (own, spaces) = count(start);
                attributes += own;
                name_spaces += spaces;
                if elements > MOST_ELEMENTS {
                    return Err(too_many(MOST_ELEMENTS, "elements"));
                }
                if own > MOST_ATTRIBUTES {
                    return Err(too_many(MOST_ATTRIBUTES, "attributes on one element"));
                }
                if attributes > MOST_ATTRIBUTES_OF_ALL || name_spaces > MOST_NAME_SPACES {
                    return Err(too_many(MOST_ATTRIBUTES_OF_ALL, "attributes or name spaces"));
                }
                if roots > 1 {
                    let what = "a second outermost element".to_owned();
                    return Err(XmlError::Malformed { line: line(), what });
                }
                if matches!(event, Ok(Event::Start(_))) {
                    depth += 1;
                    if depth > DEEPEST {
                        return Err(too_many(DEEPEST, "elements inside each other"));
                    }
                }
            }
            Ok(Event::End(_)) => depth = depth.saturating_sub(1),
            Ok(Event::Eof) if depth > 0 => {
                let what = "it ends inside an element".to_owned();
                return Err(XmlError::Malformed { line: line(), what });
            }
            Ok(Event::Eof) => return Ok(()),
            Ok(_) => {}
        }
    }
}

/// Attributes of an element, and how many of them declare name spaces; no more are counted than matter.
fn count(start: &BytesStart<'_>) -> (usize, usize) {
    let (mut all, mut spaces) = (0, 0);
    for attribute in start.attributes().with_checks(false).take(MOST_ATTRIBUTES + 1) {
        all += 1;
        spaces += usize::from(attribute.is_ok_and(|it| it.key.as_ref().starts_with(b"xmlns")));
    }
    (all, spaces)
}

/// The line of a place in a text, from 1.
fn line_of(text: &str, at: usize) -> usize {
    text.as_bytes().iter().take(at).filter(|byte| **byte == b'\n').count() + 1
}

/// An element to be written.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Element {
    pub(crate) tag: String,
    /// In this order.
    pub(crate) attributes: Vec<(String, String)>,
    pub(crate) children: Vec<Child>,
    /// How [`crate::gdtf`] names it in a path, where that is not its `Name`.
    pub(crate) key: Option<String>,
}

/// What stands inside an element.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Child {
    Element(Element),
    Text(String),
    /// XML as it stood in another file.
    Raw(String),
}

impl Element {
    pub(crate) fn new(tag: &str) -> Self {
        Self { tag: tag.to_owned(), ..Self::default() }
    }

    /// With one more attribute.
    pub(crate) fn with(mut self, name: &str, value: impl ToString) -> Self {
        self.attributes.push((name.to_owned(), value.to_string()));
        self
    }

    /// With one more attribute, where there is a value.
    pub(crate) fn with_known(self, name: &str, value: Option<impl ToString>) -> Self {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    pub(crate) fn keyed(mut self, key: impl ToString) -> Self {
        self.key = Some(key.to_string());
        self
    }

    pub(crate) fn push(&mut self, child: Self) {
        self.children.push(Child::Element(child));
    }

    /// With these elements inside.
    pub(crate) fn holding(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.children.extend(children.into_iter().map(Child::Element));
        self
    }

    /// With this text inside.
    pub(crate) fn saying(mut self, text: impl ToString) -> Self {
        self.children.push(Child::Text(text.to_string()));
        self
    }

    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    pub(crate) fn elements(&self) -> impl Iterator<Item = &Self> {
        self.children.iter().filter_map(|child| match child {
            Child::Element(element) => Some(element),
            Child::Text(_) | Child::Raw(_) => None,
        })
    }

    pub(crate) fn elements_mut(&mut self) -> impl Iterator<Item = &mut Self> {
        self.children.iter_mut().filter_map(|child| match child {
            Child::Element(element) => Some(element),
            Child::Text(_) | Child::Raw(_) => None,
        })
    }

    /// As a whole file.
    pub(crate) fn file(&self) -> String {
        let mut out = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"no\"?>\n".to_owned();
        self.write(&mut out, 0);
        out
    }

    fn write(&self, out: &mut String, depth: usize) {
        let indent = "  ".repeat(depth);
        out.push_str(&format!("{indent}<{}", self.tag));
        for (name, value) in &self.attributes {
            out.push_str(&format!(" {name}=\"{}\"", escaped(value)));
        }
        match &self.children[..] {
            [] => out.push_str("/>\n"),
            [Child::Text(text)] => out.push_str(&format!(">{}</{}>\n", escaped(text), self.tag)),
            children => {
                out.push_str(">\n");
                for child in children {
                    match child {
                        Child::Element(element) => element.write(out, depth + 1),
                        Child::Text(text) => out.push_str(&format!("{indent}  {}\n", escaped(text))),
                        Child::Raw(xml) => out.push_str(&format!("{indent}  {}\n", xml.trim())),
                    }
                }
                out.push_str(&format!("{indent}</{}>\n", self.tag));
            }
        }
    }
}

/// A text as it stands in XML. What XML cannot hold at all is left out.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push_str(&format!("&#{};", u32::from(c))),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read() {
        let text = Element::new("a").with("b", "1 < 2 & \"3\"\n\u{1}").saying("<é>").file();
        let tree = parse(&text).unwrap();
        let root = tree.root_element();
        assert_eq!((root.attribute("b"), root.text()), (Some("1 < 2 & \"3\"\n"), Some("<é>")));
    }

    #[test]
    fn traps_are_told_apart() {
        let deep = "<a>".repeat(65);
        let wide = format!("<a {}/>", (0..65).map(|n| format!("x{n}=\"\" ")).collect::<String>());
        for (text, said) in [
            ("<a>\n<!DOCTYPE x [<!ENTITY y 'z'>]></a>", "line 2: a document type"),
            ("<a/>\n<b/>", "line 2: this is no well-formed XML (a second outermost element)"),
            ("<a>\n<b></b>", "line 2: this is no well-formed XML (it ends inside an element)"),
            ("<a></b>", "line 1: this is no well-formed XML"),
            ("<a>&x;</a>", "line 1: this is no well-formed XML"),
            ("", "line 1: this is no well-formed XML"),
            (&deep, "line 1: more than 64 elements inside each other"),
            (&wide, "line 1: more than 64 attributes on one element"),
        ] {
            let error = parse(text).unwrap_err().to_string();
            assert!(error.starts_with(said), "{error}");
        }
    }

    #[test]
    fn texts_are_found_in_their_coding() {
        assert_eq!(text_of(b"\xef\xbb\xbf<a/>"), ("<a/>".to_owned(), true));
        assert_eq!(text_of(b"\xff\xfe<\0a\0/\0>\0"), ("<a/>".to_owned(), true));
        assert!(!text_of(b"<a b=\"\xe9\"/>").1);
        assert!(is_xml(b" \n<x>") && !is_xml(b"1 dimmer"));
    }
}
