//! What was kept of another file, put back where its parent is written too.

use lanthorn_fixture::Kept;

use super::step_of;
use crate::xml::{Child, Element};

/// Never put back: the drawing is ours, so what refers to another drawing would refer to nothing; files of the archive
/// are not here; and a light's identity is by its content.
const OURS: &[&str] = &[
    "Geometries",
    "Model",
    "Relation",
    "FTMacro",
    "FTPreset",
    "DMXMode",
    "DMXChannel",
    "Attribute",
    "Wheel",
    "ColorSpace",
];
const OUR_ATTRIBUTES: &[&str] = &[
    "FixtureTypeID",
    "RefFT",
    "Thumbnail",
    "ThumbnailOffsetX",
    "ThumbnailOffsetY",
    "MediaFileName",
    "InitialFunction",
];

/// Puts everything back that can be; what cannot is told.
pub(super) fn put_back(fixture: &mut Element, kept: &[Kept], left_out: &mut Vec<String>) {
    for one in kept {
        if !put(fixture, one) {
            left_out.push(format!("kept of another file: {}", one.at));
        }
    }
}

fn put(fixture: &mut Element, one: &Kept) -> bool {
    if one.at.starts_with("archive/") {
        return false;
    }
    // A name may hold an @, an attribute's name never holds a bracket.
    let (path, attribute) = match one.at.rsplit_once('@') {
        Some((path, name)) if !name.contains(']') => (path, Some(name)),
        _ => (one.at.as_str(), None),
    };
    let Some(parent) = find(fixture, path) else { return false };
    match attribute {
        Some(name) => {
            let known = parent.attribute(name).map(str::to_owned);
            if OUR_ATTRIBUTES.contains(&name) || !is_name(name) {
                return false;
            }
            if known.is_none() {
                parent.attributes.push((name.to_owned(), one.text.clone()));
            }
            true
        }
        None => {
            let tag: String =
                one.text.trim_start_matches('<').chars().take_while(|c| c.is_ascii_alphanumeric()).collect();
            let whole = crate::xml::parse(&one.text).is_ok();
            let there = parent.elements().any(|inner| inner.tag == tag && parent.tag == "FixtureType");
            if !whole || there || OURS.contains(&tag.as_str()) {
                return false;
            }
            parent.children.push(Child::Raw(one.text.clone()));
            true
        }
    }
}

fn is_name(name: &str) -> bool {
    !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

/// The element at the end of a way from the fixture type on.
fn find<'e>(fixture: &'e mut Element, path: &str) -> Option<&'e mut Element> {
    let mut rest = path.strip_prefix("FixtureType")?;
    let mut now = fixture;
    while !rest.is_empty() {
        rest = rest.strip_prefix('/')?;
        let end = end_of_step(rest);
        let (step, after) = rest.split_at(end);
        now = now.elements_mut().find(|inner| step_of(inner) == step || inner.tag == step)?;
        rest = after;
    }
    Some(now)
}

/// A step ends at a slash outside of brackets.
fn end_of_step(path: &str) -> usize {
    let mut inside = false;
    for (at, c) in path.char_indices() {
        match c {
            '[' => inside = true,
            ']' => inside = false,
            '/' if !inside => return at,
            _ => {}
        }
    }
    path.len()
}
