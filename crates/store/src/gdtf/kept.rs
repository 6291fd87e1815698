//! What a description says and a profile has no place for: kept as it stands, with the way to it.

use lanthorn_fixture::Kept;
use roxmltree::Node;

use super::function::narrow;
use super::meaning::{Family, family};
use super::value::DmxValue;
use crate::xml::keeping::Keeping;
use crate::xml::notes::{Notes, child, children};

/// Attributes that a profile holds in its own way, by element.
const TAKEN: &[(&str, &[&str])] = &[
    ("GDTF", &["DataVersion"]),
    ("FixtureType", &["Name"]),
    ("Wheel", &["Name"]),
    ("Slot", &["Name", "Color"]),
    ("Emitter", &["Name", "Color", "DominantWaveLength"]),
    ("DMXMode", &["Name", "Geometry"]),
    ("DMXChannel", &["DMXBreak", "Offset", "Default", "InitialFunction", "Geometry"]),
    ("LogicalChannel", &["Attribute"]),
    (
        "ChannelFunction",
        &[
            "Name",
            "Attribute",
            "DMXFrom",
            "Default",
            "PhysicalFrom",
            "PhysicalTo",
            "Wheel",
            "Emitter",
            "ModeMaster",
            "ModeFrom",
            "ModeTo",
        ],
    ),
];

/// What the standard takes a missing attribute for (its tables 58 to 60): said or not, it is the same.
const USUAL: &[(&str, &str)] = &[
    ("Highlight", "None"),
    ("Snap", "No"),
    ("Master", "None"),
    ("MibFade", "0"),
    ("DMXChangeTimeLimit", "0"),
    ("RealFade", "0"),
    ("RealAcceleration", "0"),
    ("CanHaveChildren", "Yes"),
];

/// What is kept so far.
pub(super) struct Keeper<'n, 't> {
    text: &'t str,
    notes: &'n mut Notes<'t>,
    list: Keeping,
}

/// Which things of a file have become part of the profile.
pub(super) struct Held<'a> {
    pub(super) wheels: Vec<String>,
    pub(super) emitters: Vec<String>,
    /// Modes by their element: the name they have here, and the place of each channel.
    pub(super) modes: Vec<HeldMode<'a>>,
}

/// A mode that has become one of the profile's.
pub(super) struct HeldMode<'a> {
    pub(super) node: Node<'a, 'a>,
    pub(super) name: String,
    pub(super) places: Vec<(Node<'a, 'a>, Option<u16>)>,
}

impl<'n, 't> Keeper<'n, 't> {
    pub(super) fn new(text: &'t str, notes: &'n mut Notes<'t>) -> Self {
        Self { text, notes, list: Keeping::default() }
    }

    /// Something of the archive that stays there.
    pub(super) fn file(&mut self, name: &str, bytes: u64) {
        self.list.file(name, bytes);
    }

    pub(super) fn finish(self) -> Vec<Kept> {
        let (list, beyond) = self.list.finish();
        if let Some(what) = beyond {
            self.notes.doubt_at(0, "", &what, "keep the file that this was read from");
        }
        list
    }

    fn push(&mut self, at: String, text: String) {
        self.list.push(at, text);
    }

    /// An element as it stands.
    fn raw(&mut self, parent: &str, node: Node<'_, '_>) {
        let xml = self.text.get(node.range()).unwrap_or_default().replace('\r', "");
        self.push(parent.to_owned(), xml);
    }

    fn attributes(&mut self, node: Node<'_, '_>, path: &str) {
        let tag = node.tag_name().name();
        let taken = TAKEN.iter().find(|(known, _)| *known == tag).map_or(&[][..], |(_, taken)| *taken);
        for attribute in node.attributes() {
            let (name, value) = (attribute.name(), attribute.value().trim());
            let usual = USUAL.iter().any(|(known, usual)| {
                let same = super::value::number(value).is_some_and(|value| usual.parse() == Ok(value));
                *known == name && (same || value.eq_ignore_ascii_case(usual))
            });
            if !taken.contains(&name) && !value.is_empty() && !usual {
                self.push(format!("{path}@{name}"), attribute.value().replace(['\r', '\n'], " "));
            }
        }
    }

    /// Everything of a fixture type that is not held.
    pub(super) fn fixture<'a>(&mut self, fixture: Node<'a, 'a>, held: &Held<'a>) {
        let path = "FixtureType";
        self.attributes(fixture, path);
        for node in fixture.children().filter(Node::is_element) {
            let at = format!("{path}/{}", node.tag_name().name());
            match node.tag_name().name() {
                "AttributeDefinitions" => self.definitions(node, &at),
                "Wheels" => self.wheels(node, &at, held),
                "PhysicalDescriptions" => self.physical(node, &at, held),
                "DMXModes" => self.modes(node, &at, held),
                "Models" | "Protocols" | "Revisions" | "FTPresets" => self.inside(node, &at),
                _ => self.raw(path, node),
            }
        }
    }

    /// Each element inside, as it stands.
    fn inside(&mut self, node: Node<'_, '_>, path: &str) {
        self.attributes(node, path);
        node.children().filter(Node::is_element).for_each(|inner| self.raw(path, inner));
    }

    /// Attributes that the standard does not list.
    fn definitions<'a>(&mut self, node: Node<'a, 'a>, path: &str) {
        let Some(attributes) = child(node, "Attributes") else { return };
        for attribute in children(attributes, "Attribute") {
            let name = attribute.attribute("Name").unwrap_or("");
            if matches!(lanthorn_fixture::Attribute::from_name(name), lanthorn_fixture::Attribute::Other(_)) {
                self.raw(&format!("{path}/Attributes"), attribute);
            }
        }
    }

    fn wheels<'a>(&mut self, node: Node<'a, 'a>, path: &str, held: &Held<'a>) {
        for wheel in children(node, "Wheel") {
            let name = wheel.attribute("Name").unwrap_or("");
            if !held.wheels.iter().any(|known| known == name) {
                self.raw(path, wheel);
                continue;
            }
            let at = format!("{path}/{}", step("Wheel", name));
            self.attributes(wheel, &at);
            for (slot, number) in children(wheel, "Slot").zip(1_u32..) {
                let at = format!("{at}/{}", step("Slot", &number.to_string()));
                self.inside(slot, &at);
            }
        }
    }

    fn physical<'a>(&mut self, node: Node<'a, 'a>, path: &str, held: &Held<'a>) {
        for inner in node.children().filter(Node::is_element) {
            let at = format!("{path}/{}", inner.tag_name().name());
            match inner.tag_name().name() {
                "Emitters" => {
                    for emitter in children(inner, "Emitter") {
                        let name = emitter.attribute("Name").unwrap_or("");
                        if held.emitters.iter().any(|known| known == name) {
                            self.inside(emitter, &format!("{at}/{}", step("Emitter", name)));
                        } else {
                            self.raw(&at, emitter);
                        }
                    }
                }
                "Properties" => {
                    let of_ours =
                        |node: &Node<'_, '_>| node.is_element() && node.tag_name().name() != "Weight";
                    inner.children().filter(of_ours).for_each(|inner| self.raw(&at, inner));
                }
                "ColorSpace" | "AdditionalColorSpace" => self.raw(path, inner),
                _ => self.inside(inner, &at),
            }
        }
    }

    fn modes<'a>(&mut self, node: Node<'a, 'a>, path: &str, held: &Held<'a>) {
        for mode in children(node, "DMXMode") {
            let Some(known) = held.modes.iter().find(|known| known.node == mode) else {
                self.raw(path, mode);
                continue;
            };
            let at = format!("{path}/{}", step("DMXMode", &known.name));
            self.attributes(mode, &at);
            for inner in mode.children().filter(Node::is_element) {
                let tag = inner.tag_name().name();
                if tag == "DMXChannels" {
                    self.channels(inner, &format!("{at}/{tag}"), known);
                } else {
                    self.inside(inner, &format!("{at}/{tag}"));
                }
            }
        }
    }

    fn channels<'a>(&mut self, node: Node<'a, 'a>, path: &str, mode: &HeldMode<'a>) {
        for channel in children(node, "DMXChannel") {
            let place = mode.places.iter().find(|(known, _)| *known == channel).and_then(|(_, place)| *place);
            let Some(place) = place else {
                self.raw(path, channel);
                continue;
            };
            let at = format!("{path}/{}", step("DMXChannel", &place.to_string()));
            self.attributes(channel, &at);
            let bytes =
                channel.attribute("Offset").map_or(1, |text| text.split(',').count().clamp(1, 4)) as u8;
            for logical in children(channel, "LogicalChannel") {
                let attribute = logical.attribute("Attribute").unwrap_or("NoFeature");
                let at = format!("{at}/{}", step("LogicalChannel", attribute));
                self.attributes(logical, &at);
                children(logical, "ChannelFunction")
                    .for_each(|function| self.function(function, attribute, bytes, &at));
            }
        }
    }

    fn function<'a>(&mut self, node: Node<'a, 'a>, usual: &str, bytes: u8, path: &str) {
        let from = node.attribute("DMXFrom").and_then(DmxValue::read).unwrap_or(DmxValue::ZERO).start(bytes);
        let at = format!("{path}/{}", step("ChannelFunction", &narrow(from, bytes).to_string()));
        self.attributes(node, &at);
        let family = family(node.attribute("Attribute").unwrap_or(usual));
        let in_proportion = matches!(family, Family::Amount | Family::Measured | Family::Nothing);
        for inner in node.children().filter(Node::is_element) {
            let is_set = inner.tag_name().name() == "ChannelSet";
            let named = inner.attribute("Name").is_some_and(|name| !name.trim().is_empty());
            if !is_set || (in_proportion && named) {
                self.raw(&at, inner);
            }
        }
    }
}

/// One step of a way: an element, and which of several.
pub(crate) fn step(tag: &str, key: &str) -> String {
    let key: String =
        key.chars().map(|c| if matches!(c, '[' | ']') || c.is_control() { '_' } else { c }).collect();
    format!("{tag}[{key}]")
}
