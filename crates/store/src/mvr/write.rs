//! From a show's rig to a rig file: DIN SPEC 15801, version 1.6.

use std::collections::BTreeMap;

use lanthorn_fixture::Profile;
use lanthorn_physics::Direction;
use lanthorn_rig::{Rig, Unit};

use super::DESCRIPTION;
use super::frame::Frame;
use crate::archive::{self, ArchiveError};
use crate::gdtf::{self, identity};
use crate::show_file::ShowFile;
use crate::words::{PLACES, word};
use crate::xml::{Child, Element};

/// As whom we write data of our own.
pub(super) const PROVIDER: &str = "Lanthorn";

/// A rig file, and what of the show is not in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The archive.
    pub bytes: Vec<u8>,
    /// Its scene.
    pub description: String,
    /// What the format has no place for, in words.
    pub left_out: Vec<String>,
}

/// Writes the rig of a show as an MVR archive, with a fixture file for each profile that its lights use.
///
/// # Errors
///
/// The archive could not be packed.
pub fn write(file: &ShowFile) -> Result<Written, ArchiveError> {
    let mut left_out = Vec::new();
    let (specs, mut files) = fixture_files(&file.rig, &mut left_out)?;
    let mut root = Element::new("GeneralSceneDescription")
        .with("verMajor", 1)
        .with("verMinor", 6)
        .with("provider", PROVIDER)
        .with("providerVersion", env!("CARGO_PKG_VERSION"));
    root.push(Element::new("UserData").holding([own_data(&file.rig)]));
    root.push(scene(file, &specs, &mut left_out));
    let description = root.file();
    files.insert(0, (DESCRIPTION.to_owned(), description.clone().into_bytes()));
    lost(file, &mut left_out);
    left_out.sort();
    left_out.dedup();
    Ok(Written { bytes: archive::pack(&files)?, description, left_out })
}

/// Names of fixture files by profile, and the files.
type Files = (BTreeMap<String, String>, Vec<(String, Vec<u8>)>);

fn fixture_files(rig: &Rig, left_out: &mut Vec<String>) -> Result<Files, ArchiveError> {
    let mut specs: BTreeMap<String, String> = BTreeMap::new();
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for profile in rig.units.iter().map(|unit| &unit.profile) {
        if specs.contains_key(&profile.name) {
            continue;
        }
        let written = gdtf::write(profile)?;
        left_out.extend(written.left_out.iter().map(|what| format!("{}: {what}", profile.name)));
        let stem = written.name.trim_end_matches(".gdtf").to_owned();
        let same = |name: &str| files.iter().any(|(known, _)| known.eq_ignore_ascii_case(name));
        let numbered = (2_u32..).map(|number| format!("{stem}_{number}.gdtf"));
        let name = std::iter::once(written.name.clone())
            .chain(numbered)
            .find(|name| !same(name))
            .unwrap_or_default();
        specs.insert(profile.name.clone(), name.clone());
        files.push((name, written.bytes));
    }
    Ok((specs, files))
}

/// Room and hanging places, which the standard does not draw, in its place for data of one's own.
fn own_data(rig: &Rig) -> Element {
    let room = &rig.room;
    let mut data = Element::new("Data").with("provider", PROVIDER).with("ver", "1");
    data.push(
        Element::new("Room")
            .with("name", &room.name)
            .with("left", room.x[0].get())
            .with("right", room.x[1].get())
            .with("near", room.y[0].get())
            .with("far", room.y[1].get())
            .with("height", room.height.get()),
    );
    for place in &room.places {
        data.push(
            Element::new("Place")
                .with("name", &place.name)
                .with("kind", word(PLACES, &place.kind))
                .with("x", place.middle.x())
                .with("y", place.middle.y())
                .with("z", place.middle.z())
                .with("length", place.length.get())
                .with("turn", place.turn.deg()),
        );
    }
    data
}

fn scene(file: &ShowFile, specs: &BTreeMap<String, String>, left_out: &mut Vec<String>) -> Element {
    let rig = &file.rig;
    let id = |what: &str, name: &str| identity(format!("{}\n{what}\n{name}", file.show.name).as_bytes());
    let mut aux = Element::new("AUXData");
    for place in &rig.room.places {
        aux.push(Element::new("Position").with("uuid", id("place", &place.name)).with("name", &place.name));
    }
    let mut list = Element::new("ChildList");
    for mark in &rig.room.marks {
        let origin = [mark.at.x(), mark.at.y(), mark.at.z()].map(|part| part * 1000.0);
        let frame = Frame::new([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], origin);
        list.push(
            Element::new("FocusPoint")
                .with("uuid", id("mark", &mark.name))
                .with("name", &mark.name)
                .holding([Element::new("Matrix").saying(frame.text()), Element::new("Geometries")]),
        );
    }
    for unit in &rig.units {
        let number = unit.number.to_string();
        let spec = specs.get(&unit.profile.name).map_or("", String::as_str);
        let mut light = fixture(rig, unit, spec, &id);
        light.attributes.insert(0, ("uuid".to_owned(), id("light", &number)));
        list.push(light.keyed(number));
    }
    for kept in &file.kept {
        if !put_back(&mut aux, &mut list, &kept.at, &kept.text) {
            left_out.push(format!("kept of another file: {}", kept.at));
        }
    }
    let layer = Element::new("Layer").with("uuid", id("layer", "rig")).with("name", "rig").holding([list]);
    Element::new("Scene").holding([aux, Element::new("Layers").holding([layer])])
}

/// Where its parent is there. What refers to files of another archive, or stands where we draw ourselves, is not put back.
fn put_back(aux: &mut Element, list: &mut Element, at: &str, text: &str) -> bool {
    if crate::xml::parse(text).is_err() {
        return false;
    }
    if at == "Scene/AUXData" && text.starts_with("<Class") {
        aux.children.push(Child::Raw(text.to_owned()));
        return true;
    }
    let number = at.strip_prefix("Scene/Fixture[").and_then(|rest| rest.strip_suffix(']'));
    let tag: String = text.chars().skip(1).take_while(char::is_ascii_alphanumeric).collect();
    let Some(light) =
        number.and_then(|number| list.elements_mut().find(|it| it.key.as_deref() == Some(number)))
    else {
        return false;
    };
    if light.elements().any(|inner| inner.tag == tag) {
        return false;
    }
    light.children.push(Child::Raw(text.to_owned()));
    true
}

fn fixture(rig: &Rig, unit: &Unit, spec: &str, id: &dyn Fn(&str, &str) -> String) -> Element {
    let says = |tag: &str, text: String| Element::new(tag).saying(text);
    let focus = unit.focus.and_then(|at| rig.room.marks.iter().find(|mark| mark.at == at));
    let place = rig.room.places.get(unit.place).map(|place| id("place", &place.name));
    let mut light = Element::new("Fixture").with("name", format!("{} {}", unit.profile.name, unit.number));
    light.push(says("Matrix", frame(rig, unit).text()));
    light.push(says("GDTFSpec", spec.to_owned()));
    light.push(says("GDTFMode", mode_name(&unit.profile, unit.mode)));
    light.children.extend(focus.map(|mark| Child::Element(says("Focus", id("mark", &mark.name)))));
    light.push(says("DMXInvertPan", unit.pan_invert.to_string()));
    light.push(says("DMXInvertTilt", unit.tilt_invert.to_string()));
    light.children.extend(place.map(|place| Child::Element(says("Position", place))));
    light.push(says("FixtureID", unit.number.to_string()));
    light.push(says("FixtureIDNumeric", unit.number.to_string()));
    light.push(says("UnitNumber", unit.number.to_string()));
    if let Some(start) = unit.address() {
        let first = (u32::from(start.universe.number()) - 1) * 512 + u32::from(start.slot.number());
        let footprints = unit.profile.modes.get(unit.mode).map_or(&[][..], |mode| &mode.breaks[..]);
        let mut addresses = Element::new("Addresses");
        let mut next = first;
        for index in 0..footprints.len().max(1) {
            addresses.push(Element::new("Address").with("break", index).saying(next));
            next += footprints.get(index).copied().map_or(0, u32::from);
        }
        light.push(addresses);
    }
    light
}

/// As the fixture file has it.
fn mode_name(profile: &Profile, mode: usize) -> String {
    profile.modes.get(mode).map_or_else(String::new, |mode| gdtf::name(&mode.name))
}

/// Where it hangs and how, millimetres.
fn frame(rig: &Rig, unit: &Unit) -> Frame {
    let at = rig.position(unit);
    let rotation = unit.world_from_fixture();
    let axis = |x, y, z| {
        let turned = Direction::new(x, y, z).map(|axis| rotation.apply(axis));
        turned.map_or([x, y, z], |axis| [axis.x(), axis.y(), axis.z()].map(|part| part + 0.0))
    };
    let axes = [axis(1.0, 0.0, 0.0), axis(0.0, 1.0, 0.0), axis(0.0, 0.0, 1.0)];
    Frame::new(axes, [at.x(), at.y(), at.z()].map(|part| part * 1000.0))
}

/// What of the show the format has no place for.
fn lost(file: &ShowFile, left_out: &mut Vec<String>) {
    let (show, rig) = (&file.show, &file.rig);
    let mut say = |there: bool, what: &str| {
        if there {
            left_out.push(what.to_owned());
        }
    };
    say(
        !show.looks.is_empty() || !show.chases.is_empty() || !show.cues.is_empty(),
        "looks, chases, figures and cues",
    );
    say(!rig.groups.is_empty(), "groups");
    say(!rig.circuits.is_empty(), "circuits, leads and the mains");
    say(
        !rig.room.platforms.is_empty() || !rig.room.audience.is_empty() || !rig.room.furniture.is_empty(),
        "platforms, audience and furniture",
    );
    say(rig.units.iter().any(|unit| unit.line.is_some()), "data lines and their order");
    say(rig.units.iter().any(|unit| unit.swap), "swapped pan and tilt");
    say(
        rig.units.iter().any(|unit| !matches!(unit.run, lanthorn_rig::Run::Driven { .. })),
        "lights that run linked or on their own: they have no address there",
    );
    say(
        rig.units.iter().any(|unit| unit.found != lanthorn_rig::Found::default()),
        "what was found out by sighting in",
    );
    say(rig.room.places.iter().any(|place| place.rated.is_some()), "what hanging places may carry");
    say(
        rig.units
            .iter()
            .any(|unit| unit.focus.is_some_and(|at| rig.room.marks.iter().all(|mark| mark.at != at))),
        "where a fixed light is pointed, unless that is a mark",
    );
}
