//! The parts of a light as they are when every reference to a part is followed.

use std::collections::BTreeMap;

use roxmltree::Node;

use super::value::{address, lift};
use super::{GdtfError, line};
use crate::xml::notes::child;

/// References inside each other.
const DEEPEST: usize = 16;
/// Parts of a light, references followed.
const MOST_PARTS: usize = 4_096;

/// One part of a light.
pub(super) struct Part<'a> {
    pub(super) node: Node<'a, 'a>,
    /// Place of the part that it sits on.
    pub(super) parent: Option<usize>,
    /// For a reference: where its channels begin in each break, the last for channels that say "Overwrite".
    pub(super) breaks: Option<Vec<(u16, u32)>>,
    /// How high its origin is, metres; mostly below nothing, since lights are drawn hanging.
    pub(super) lift: f64,
}

/// A light's parts, a part before those that sit on it.
pub(super) struct Parts<'a> {
    pub(super) list: Vec<Part<'a>>,
    by_name: BTreeMap<&'a str, Vec<usize>>,
}

/// Everything that is drawn, by name, outermost only.
pub(super) struct Drawn<'a> {
    top: Vec<Node<'a, 'a>>,
}

impl<'a> Drawn<'a> {
    pub(super) fn new(fixture: Node<'a, 'a>) -> Self {
        let top = child(fixture, "Geometries").into_iter().flat_map(|all| all.children());
        Self { top: top.filter(Node::is_element).collect() }
    }

    pub(super) fn find(&self, name: &str) -> Option<Node<'a, 'a>> {
        let named = |node: &&Node<'a, 'a>| node.attribute("Name") == Some(name);
        let alike =
            |node: &&Node<'a, 'a>| node.attribute("Name").is_some_and(|it| it.eq_ignore_ascii_case(name));
        self.top.iter().find(named).or_else(|| self.top.iter().find(alike)).copied()
    }

    /// The first that is drawn.
    pub(super) fn first(&self) -> Option<Node<'a, 'a>> {
        self.top.first().copied()
    }

    /// A top part with all that sits on it.
    pub(super) fn parts(&self, root: Node<'a, 'a>) -> Result<Parts<'a>, GdtfError> {
        let mut parts = Parts { list: Vec::new(), by_name: BTreeMap::new() };
        self.add(&mut parts, root, None, &mut Vec::new())?;
        Ok(parts)
    }

    /// `inside` holds the names of the top parts that this one is drawn in.
    fn add(
        &self,
        parts: &mut Parts<'a>,
        node: Node<'a, 'a>,
        parent: Option<usize>,
        inside: &mut Vec<&'a str>,
    ) -> Result<(), GdtfError> {
        if parts.list.len() >= MOST_PARTS {
            return Err(GdtfError::Geometry {
                line: line(node),
                what: format!("the light has more than {MOST_PARTS} parts"),
            });
        }
        let is_reference = node.tag_name().name() == "GeometryReference";
        let target = node.attribute("Geometry").filter(|_| is_reference);
        let target = target.and_then(|name| self.find(name));
        let at = parts.list.len();
        let position = node.attribute("Position").map_or(0.0, lift);
        let lift =
            parent.and_then(|parent| parts.list.get(parent)).map_or(0.0, |parent| parent.lift) + position;
        let breaks = is_reference.then(|| breaks(node));
        parts.list.push(Part { node, parent, breaks, lift });
        for name in node.attribute("Name").into_iter().chain(target.and_then(|it| it.attribute("Name"))) {
            let known = parts.by_name.entry(name).or_default();
            if known.last() != Some(&at) {
                known.push(at);
            }
        }
        let entered = parent.is_none() || target.is_some();
        if entered {
            let name = target.unwrap_or(node).attribute("Name").unwrap_or("");
            if inside.contains(&name) {
                let what = format!("\"{name}\" is drawn inside itself");
                return Err(GdtfError::Geometry { line: line(node), what });
            }
            if inside.len() >= DEEPEST {
                let what = format!("references to parts stand in each other more than {DEEPEST} deep");
                return Err(GdtfError::Geometry { line: line(node), what });
            }
            inside.push(name);
        }
        let held = target.unwrap_or(node);
        for next in held.children().filter(|next| next.is_element() && next.tag_name().name() != "Break") {
            // What has no name and no place is a part's own data, such as the pins of a cable.
            if next.attribute("Name").is_some() || next.attribute("Position").is_some() {
                self.add(parts, next, Some(at), inside)?;
            }
        }
        if entered {
            inside.pop();
        }
        Ok(())
    }
}

fn breaks(reference: Node<'_, '_>) -> Vec<(u16, u32)> {
    let list = reference.children().filter(|node| node.tag_name().name() == "Break");
    list.map(|node| {
        let number = node.attribute("DMXBreak").and_then(|text| text.trim().parse().ok()).unwrap_or(1);
        (number, node.attribute("DMXOffset").and_then(address).unwrap_or(1))
    })
    .collect()
}

impl<'a> Parts<'a> {
    /// The parts of that name, references to it included.
    pub(super) fn named(&self, name: &str) -> Vec<usize> {
        self.by_name.get(name).cloned().unwrap_or_default()
    }

    /// Break and shift of a channel that acts on a part; a break of none is "Overwrite".
    pub(super) fn shift(&self, part: usize, number: Option<u16>) -> (u16, u32) {
        let mut number = number;
        let mut shift = 0;
        let mut now = Some(part);
        while let Some(part) = now.and_then(|at| self.list.get(at)) {
            if let Some(breaks) = &part.breaks {
                let found = match number {
                    None => breaks.last(),
                    Some(number) => breaks.iter().find(|(own, _)| *own == number),
                };
                if let Some((own, offset)) = found {
                    number = number.or(Some(*own));
                    shift += offset.saturating_sub(1);
                }
            }
            now = part.parent;
        }
        (number.unwrap_or(1), shift)
    }

    /// `true` when a part is another one, or sits on it.
    pub(super) fn is_within(&self, part: usize, whole: usize) -> bool {
        let mut now = Some(part);
        while let Some(at) = now {
            if at == whole {
                return true;
            }
            now = self.list.get(at).and_then(|part| part.parent);
        }
        false
    }

    /// The drawing of a part itself: what a reference refers to, else the part.
    pub(super) fn drawn(&self, part: usize, drawn: &Drawn<'a>) -> Node<'a, 'a> {
        let node = self.list[part].node;
        let target = self.list[part].breaks.as_ref().and(node.attribute("Geometry"));
        target.and_then(|name| drawn.find(name)).unwrap_or(node)
    }
}
