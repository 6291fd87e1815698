//! The scene as it is written: lights, trusses and points, each in the frame of the world.

use std::collections::BTreeMap;

use roxmltree::{Document, Node};

use super::frame::Frame;
use super::{MOST_LIGHTS, MvrError};
use crate::gdtf::{address, number};
use crate::xml::keeping::Keeping;
use crate::xml::notes::{Notes, child, children, plain_name};

/// Everything in it.
pub(super) struct Scene<'a> {
    pub(super) lights: Vec<Light<'a>>,
    pub(super) trusses: Vec<Named>,
    pub(super) points: Vec<Named>,
    /// Named hanging places, by identity.
    pub(super) positions: BTreeMap<String, String>,
    /// What our own export wrote beside the scene.
    pub(super) own: Option<Own>,
}

/// Something with a name and a place.
pub(super) struct Named {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) frame: Frame,
}

/// One light.
pub(super) struct Light<'a> {
    pub(super) node: Node<'a, 'a>,
    pub(super) name: String,
    pub(super) frame: Frame,
    /// As the file numbers it, where that is a number.
    pub(super) number: Option<u32>,
    /// Name of the fixture file, and of the mode.
    pub(super) spec: String,
    pub(super) mode: String,
    /// Identities of the point that it is pointed at, and of the place that it hangs on.
    pub(super) focus: Option<String>,
    pub(super) position: Option<String>,
    /// Slots over all universes from 1, by break; those that are not patched are left out.
    pub(super) addresses: Vec<(u32, u32)>,
    pub(super) inverted: [bool; 2],
}

/// What our own export says of the room, in the standard's place for data of one's own.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Own {
    /// Name, x, y, height.
    pub(super) room: Option<(String, [f64; 2], [f64; 2], f64)>,
    /// By name: kind, middle, length, turn in degrees.
    pub(super) places: BTreeMap<String, (String, [f64; 3], f64, f64)>,
}

/// An identity for comparing: files write it in groups, in pairs, with or without braces.
pub(super) fn identity(text: &str) -> Option<String> {
    let digits: String =
        text.chars().filter(char::is_ascii_hexdigit).map(|c| c.to_ascii_lowercase()).collect();
    (!digits.is_empty() && digits.bytes().any(|digit| digit != b'0')).then_some(digits)
}

/// Children of a light that a show holds in its own way.
const TAKEN: &[&str] = &[
    "Matrix",
    "GDTFSpec",
    "GDTFMode",
    "Position",
    "FixtureID",
    "FixtureIDNumeric",
    "UnitNumber",
    "Addresses",
    "DMXInvertPan",
    "DMXInvertTilt",
    "ChildList",
];

impl<'a> Scene<'a> {
    pub(super) fn read(
        tree: &'a Document<'a>,
        text: &'a str,
        notes: &mut Notes<'_>,
        keeping: &mut Keeping,
    ) -> Result<Self, MvrError> {
        let root = tree.root_element();
        if root.tag_name().name() != "GeneralSceneDescription" {
            return Err(MvrError::Nothing(format!(
                "its outermost element is \"{}\"",
                root.tag_name().name()
            )));
        }
        let scene = child(root, "Scene").ok_or_else(|| MvrError::Nothing("it has no scene".to_owned()))?;
        let (trusses, points, positions, lights) = (Vec::new(), Vec::new(), BTreeMap::new(), Vec::new());
        let mut read = Self { lights, trusses, points, positions, own: None };
        let raw = |node: Node<'_, '_>| text.get(node.range()).unwrap_or_default().replace('\r', "");
        for data in child(root, "UserData").into_iter().flat_map(|all| children(all, "Data")) {
            if data.attribute("provider") == Some(super::write::PROVIDER) {
                read.own = Some(own(data));
            } else {
                keeping.push("UserData".to_owned(), raw(data));
            }
        }
        // Before the layers by the standard, behind them in files.
        for node in
            child(scene, "AUXData").into_iter().flat_map(|all| all.children()).filter(Node::is_element)
        {
            let id = node.attribute("uuid").and_then(identity);
            match (node.tag_name().name(), id) {
                ("Position", Some(id)) => {
                    let name =
                        node.attribute("name").and_then(plain_name).unwrap_or_else(|| "place".to_owned());
                    read.positions.insert(id, name);
                }
                _ => keeping.push("Scene/AUXData".to_owned(), raw(node)),
            }
        }
        for layer in child(scene, "Layers").into_iter().flat_map(|all| children(all, "Layer")) {
            let name = layer.attribute("name").unwrap_or("").to_owned();
            read.inside(layer, Frame::IDENTITY, &name, &raw, notes, keeping)?;
        }
        Ok(read)
    }

    /// What stands in a layer or a group, in the frame of that.
    fn inside(
        &mut self,
        holder: Node<'a, 'a>,
        outer: Frame,
        layer: &str,
        raw: &dyn Fn(Node<'_, '_>) -> String,
        notes: &mut Notes<'_>,
        keeping: &mut Keeping,
    ) -> Result<(), MvrError> {
        let frame = frame(holder, notes).inside(&outer);
        let list =
            child(holder, "ChildList").into_iter().flat_map(|all| all.children()).filter(Node::is_element);
        for node in list {
            let own = self::frame(node, notes).inside(&frame);
            let name = node.attribute("name").and_then(plain_name);
            let id = node.attribute("uuid").and_then(identity).unwrap_or_default();
            match node.tag_name().name() {
                "Fixture" => {
                    if self.lights.len() >= MOST_LIGHTS {
                        return Err(MvrError::Lights);
                    }
                    self.lights.push(light(node, own, name, notes));
                }
                "FocusPoint" => {
                    let name = name.unwrap_or_else(|| format!("point {}", self.points.len() + 1));
                    self.points.push(Named { id, name, frame: own });
                }
                "Truss" | "Support" => {
                    let usual = if node.tag_name().name() == "Truss" { "truss" } else { "support" };
                    self.trusses.push(Named {
                        id,
                        name: name.unwrap_or_else(|| usual.to_owned()),
                        frame: own,
                    });
                    keeping.push(format!("Scene/Layers/Layer[{layer}]"), without_children(node, raw));
                }
                "GroupObject" => {}
                _ => keeping.push(format!("Scene/Layers/Layer[{layer}]"), without_children(node, raw)),
            }
            self.inside(node, frame, layer, raw, notes, keeping)?;
        }
        Ok(())
    }

    /// How far the whole rig is to be moved so that it stands near the origin: some files count from the middle of a town.
    pub(super) fn far_away(&self) -> [f64; 3] {
        const FAR: f64 = 150.0;
        let frames =
            self.lights.iter().map(|light| light.frame).chain(self.points.iter().map(|point| point.frame));
        let points: Vec<[f64; 3]> = frames.map(|frame| frame.origin_m([0.0; 3]).into()).collect();
        let mut shift = [0.0; 3];
        for (axis, own) in shift.iter_mut().enumerate() {
            let mean = points.iter().map(|point| point[axis]).sum::<f64>() / points.len().max(1) as f64;
            if points.iter().any(|point| point[axis].abs() > FAR) {
                *own = mean.round();
            }
        }
        shift
    }

    /// What of a light a show has no place for, under its number.
    pub(super) fn keep_light(light: &Light<'_>, number: u32, keeping: &mut Keeping, text: &str) {
        let at = format!("Scene/Fixture[{number}]");
        for node in light.node.children().filter(Node::is_element) {
            let tag = node.tag_name().name();
            let empty = node
                .children()
                .all(|inner| inner.text().is_none_or(|text| text.trim().is_empty()) && !inner.is_element());
            let says_nothing = empty && node.attributes().len() == 0;
            if !TAKEN.contains(&tag) && !says_nothing {
                keeping.push(at.clone(), text.get(node.range()).unwrap_or_default().replace('\r', ""));
            }
        }
        for attribute in light.node.attributes().filter(|it| !matches!(it.name(), "uuid" | "name")) {
            if !attribute.value().trim().is_empty() {
                keeping.push(format!("{at}@{}", attribute.name()), attribute.value().to_owned());
            }
        }
    }
}

/// An element without those that stand in it as things of their own.
fn without_children(node: Node<'_, '_>, raw: &dyn Fn(Node<'_, '_>) -> String) -> String {
    let whole = raw(node);
    match node.children().find(|inner| inner.tag_name().name() == "ChildList") {
        Some(list) => whole.replace(&raw(list), ""),
        None => whole,
    }
}

fn frame(node: Node<'_, '_>, notes: &mut Notes<'_>) -> Frame {
    let Some(matrix) = node.children().find(|inner| inner.tag_name().name() == "Matrix") else {
        return Frame::IDENTITY;
    };
    let read = matrix.text().and_then(Frame::read).filter(Frame::is_usable);
    read.unwrap_or_else(|| {
        if matrix.text().is_some_and(|text| !text.trim().is_empty()) {
            notes.doubt(
                matrix,
                "",
                "this is no matrix of four times three figures",
                "it is taken to stand where its holder does",
            );
        }
        Frame::IDENTITY
    })
}

fn light<'a>(node: Node<'a, 'a>, frame: Frame, name: Option<String>, notes: &mut Notes<'_>) -> Light<'a> {
    let text =
        |tag| child(node, tag).and_then(|inner| inner.text()).map(str::trim).filter(|text| !text.is_empty());
    let yes = |tag| text(tag).is_some_and(|text| text.eq_ignore_ascii_case("true") || text == "1");
    let whole = |tag| {
        text(tag).and_then(|text| text.parse::<u32>().ok()).filter(|number| (1..=99_999).contains(number))
    };
    let name = name.unwrap_or_else(|| "light".to_owned());
    let mut addresses = Vec::new();
    for one in child(node, "Addresses").into_iter().flat_map(|all| children(all, "Address")) {
        let number = one.attribute("break").and_then(|text| text.trim().parse().ok()).unwrap_or(0);
        let value = one.text().unwrap_or("").trim();
        match address_of(value) {
            Some(0) => {}
            Some(slot) => addresses.push((number, slot)),
            None if value.is_empty() => {}
            None => notes.doubt(
                one,
                &format!("light \"{name}\""),
                &format!("\"{value}\" is no address"),
                "it is taken as not patched",
            ),
        }
    }
    addresses.sort_unstable();
    Light {
        node,
        frame,
        number: whole("FixtureID").or_else(|| whole("FixtureIDNumeric")),
        spec: text("GDTFSpec").unwrap_or("").to_owned(),
        mode: text("GDTFMode").unwrap_or("").to_owned(),
        focus: text("Focus").and_then(identity),
        position: text("Position").and_then(identity),
        addresses,
        inverted: [yes("DMXInvertPan"), yes("DMXInvertTilt")],
        name,
    }
}

/// A slot counted over all universes, from 1; 0 is not patched.
fn address_of(text: &str) -> Option<u32> {
    if text == "0" || text == "0.0" || text == "1.0" || text == "0.1" {
        return Some(0);
    }
    match text.split_once('.') {
        Some(_) => address(text),
        None => text.parse().ok().filter(|slot| *slot <= 512 * 63_999),
    }
}

fn own(data: Node<'_, '_>) -> Own {
    let mut own = Own::default();
    for node in data.children().filter(Node::is_element) {
        let figure = |name: &str| node.attribute(name).and_then(number);
        let name = node.attribute("name").and_then(plain_name).unwrap_or_default();
        let figures = |names: [&str; 3]| Some([figure(names[0])?, figure(names[1])?, figure(names[2])?]);
        match node.tag_name().name() {
            "Room" => {
                let ends = figure("left")
                    .zip(figure("right"))
                    .zip(figure("near").zip(figure("far")))
                    .zip(figure("height"));
                let possible = |value: f64| value.abs() <= 1000.0;
                own.room = ends
                    .filter(|(((l, r), (n, f)), h)| {
                        l < r
                            && n < f
                            && (1.0..=100.0).contains(h)
                            && [*l, *r, *n, *f].into_iter().all(possible)
                    })
                    .map(|(((left, right), (near, far)), height)| (name, [left, right], [near, far], height));
            }
            "Place" => {
                let kind = node.attribute("kind").unwrap_or("").to_owned();
                let middle = figures(["x", "y", "z"]);
                if let Some(((middle, length), turn)) = middle.zip(figure("length")).zip(figure("turn")) {
                    own.places.insert(name, (kind, middle, length, turn));
                }
            }
            _ => {}
        }
    }
    own
}
