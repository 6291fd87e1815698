//! Which parts of a light can be lit and coloured apart: its heads.

use std::collections::BTreeMap;

use roxmltree::Node;

use super::geometry::Parts;
use super::mode::{Listed, Placed};
use crate::xml::notes::{Notes, children};

/// Heads that can be told apart, as a profile's text takes them.
const MOST_HEADS: usize = 64;

/// The head of each part.
pub(super) struct Heads {
    pub(super) count: u8,
    of: BTreeMap<usize, u8>,
}

impl Heads {
    /// The head that a part belongs to; none acts on all.
    pub(super) fn of(&self, part: usize) -> Option<u8> {
        self.of.get(&part).copied()
    }
}

/// Heads are the innermost parts that have a dimmer or a colour of their own, where there are two or more. A channel that
/// acts on several of them, and not on all, is taken to act on all.
pub(super) fn heads(
    parts: &Parts<'_>,
    placed: &[Placed],
    listed: &[Listed<'_>],
    mode: Node<'_, '_>,
    who: &str,
    notes: &mut Notes<'_>,
) -> Heads {
    let one = Heads { count: 1, of: BTreeMap::new() };
    let lit: Vec<bool> = listed.iter().map(|channel| is_lit(channel.node)).collect();
    let mut bright: Vec<usize> = placed.iter().filter(|it| lit[it.listed]).map(|it| it.part).collect();
    bright.sort_unstable();
    bright.dedup();
    // Parts stand before what sits on them: a part with a bright one on it is no innermost one.
    let mut has_inner = vec![false; parts.list.len()];
    for part in &bright {
        let mut above = parts.list[*part].parent;
        while let Some(at) = above.filter(|at| !has_inner[*at]) {
            has_inner[at] = true;
            above = parts.list[at].parent;
        }
    }
    let innermost: Vec<usize> = bright.iter().copied().filter(|part| !has_inner[*part]).collect();
    if innermost.len() < 2 {
        return one;
    }
    if innermost.len() > MOST_HEADS {
        let what = format!("it has {} heads, and {MOST_HEADS} can be told apart", innermost.len());
        notes.doubt(mode, who, &what, "they are taken to act together");
        return one;
    }
    let mut of = BTreeMap::new();
    let mut used: Vec<usize> = placed.iter().map(|it| it.part).collect();
    used.sort_unstable();
    used.dedup();
    for part in used {
        let within = innermost.iter().position(|head| parts.is_within(part, *head));
        let over: Vec<usize> =
            (0..innermost.len()).filter(|head| parts.is_within(innermost[*head], part)).collect();
        match (within, &over[..]) {
            (Some(head), _) => drop(of.insert(part, head as u8)),
            (None, [only]) => drop(of.insert(part, *only as u8)),
            (None, over) if (2..innermost.len()).contains(&over.len()) => {
                let what = "a channel acts on some of its heads and not on all";
                notes.doubt(mode, who, what, "it is taken to act on all of them");
            }
            (None, _) => {}
        }
    }
    Heads { count: innermost.len() as u8, of }
}

/// `true` for a channel that dims or colours.
fn is_lit<'a>(channel: Node<'a, 'a>) -> bool {
    let is = |name: &str| {
        let name = name.trim().to_ascii_lowercase();
        name == "dimmer"
            || name.starts_with("coloradd_")
            || name.starts_with("colorrgb_")
            || name == "hsb_brightness"
    };
    children(channel, "LogicalChannel").any(|logical| logical.attribute("Attribute").is_some_and(is))
}
