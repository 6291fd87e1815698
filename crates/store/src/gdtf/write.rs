//! From a profile to a fixture file: DIN SPEC 15800, version 1.2, strictly. Every value is written for the bytes of its
//! channel, so that nobody has to know how to widen one; the same profile gives the same bytes.

mod back;
mod channel;
mod definitions;
mod drawing;

use std::collections::BTreeSet;

use lanthorn_fixture::profile::{Emitter, Profile, Wheel};
use lanthorn_fixture::{Fact, emitters};
use lanthorn_physics::units::Radians;
use sha2::{Digest, Sha256};

use super::kept::step;
use crate::archive::{self, ArchiveError};
use crate::xml::Element;

pub(crate) use drawing::Drawing;

/// A fixture file, and what of the profile is not in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The archive.
    pub bytes: Vec<u8>,
    /// Its `description.xml`.
    pub description: String,
    /// The name that the standard gives the archive: `Maker@Light.gdtf`.
    pub name: String,
    /// What the format has no place for, in words.
    pub left_out: Vec<String>,
}

/// Writes a profile as a GDTF archive.
///
/// # Errors
///
/// The archive could not be packed.
pub fn write(profile: &Profile) -> Result<Written, ArchiveError> {
    let mut left_out = Vec::new();
    let maker = kept(profile, "FixtureType@Manufacturer").map_or_else(|| "Unknown".to_owned(), name);
    let mut root = Element::new("GDTF").with("DataVersion", "1.2");
    root.push(fixture_type(profile, &maker, &mut left_out));
    // By content: the same light has the same identity, wherever and whenever it is written.
    let identity = identity(root.file().as_bytes());
    for fixture in root.elements_mut() {
        if let Some((_, value)) = fixture.attributes.iter_mut().find(|(name, _)| name == "FixtureTypeID") {
            *value = identity.clone();
        }
    }
    let description = root.file();
    let bytes = archive::pack(&[("description.xml".to_owned(), description.clone().into_bytes())])?;
    let file = |text: &str| text.replace(['@', '/', ':'], "_").replace(' ', "_");
    let name = format!("{}@{}.gdtf", file(&maker), file(&name(&profile.name)));
    lost(profile, &mut left_out);
    left_out.sort();
    left_out.dedup();
    Ok(Written { bytes, description, name, left_out })
}

fn fixture_type(profile: &Profile, maker: &str, left_out: &mut Vec<String>) -> Element {
    let title = name(&profile.name);
    let drawing = Drawing::new(profile);
    let long = kept(profile, "FixtureType@LongName").unwrap_or(&profile.name);
    let short = kept(profile, "FixtureType@ShortName").unwrap_or(&title);
    let mut fixture = Element::new("FixtureType")
        .with("Name", &title)
        .with("ShortName", short)
        .with("LongName", long)
        .with("Manufacturer", maker)
        .with("Description", kept(profile, "FixtureType@Description").unwrap_or(""))
        .with("FixtureTypeID", "00000000-0000-0000-0000-000000000000")
        .with("RefFT", "");
    let mut modes = Element::new("DMXModes");
    for mode in &profile.modes {
        modes.push(channel::mode(profile, mode, &drawing, left_out));
    }
    fixture.push(definitions::definitions(profile));
    fixture.push(Element::new("Wheels").holding(profile.wheels.iter().map(wheel)));
    fixture.push(physical(profile));
    fixture.push(drawing.models(profile));
    fixture.push(drawing.geometries(profile));
    fixture.push(modes);
    fixture.push(Element::new("Revisions"));
    fixture.push(Element::new("FTPresets"));
    fixture.push(protocols(profile));
    back::put_back(&mut fixture, &profile.kept, left_out);
    fixture
}

fn kept<'p>(profile: &'p Profile, at: &str) -> Option<&'p str> {
    profile
        .kept
        .iter()
        .find(|kept| kept.at == at)
        .map(|kept| kept.text.as_str())
        .filter(|text| !text.is_empty())
}

/// A name of the letters that the standard allows (its annex C); what it does not is written otherwise.
pub(crate) fn name(text: &str) -> String {
    let letter = |c: char| match c {
        ',' => ';',
        '.' | '!' | '?' => ' ',
        '&' => '+',
        '[' | '{' => '(',
        ']' | '}' => ')',
        '|' | '\\' => '/',
        '’' | '‘' => '\'',
        '“' | '”' | '„' => '"',
        '→' => '>',
        '–' | '—' | '~' | '^' => '-',
        '…' => ' ',
        'ä' | 'á' | 'à' | 'â' => 'a',
        'é' | 'è' | 'ê' => 'e',
        'ö' | 'ó' | 'ô' => 'o',
        'ü' | 'ú' | 'û' => 'u',
        'ß' => 's',
        '°' => ' ',
        c if c.is_ascii_alphanumeric() || " \"#%'()*+-/:;<=>@_`".contains(c) => c,
        _ => '_',
    };
    let text: String = text.chars().map(letter).collect();
    let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
    if words.is_empty() { "_".to_owned() } else { words.join(" ") }
}

/// A figure as the standard writes it.
pub(crate) fn figure(value: f64) -> String {
    let text = format!("{value:.6}");
    if value.is_finite() { text } else { "0.000000".to_owned() }
}

/// `x,y,Y`.
pub(crate) fn colour(x: f64, y: f64, level: f64) -> String {
    format!("{x:.6},{y:.6},{level:.6}")
}

/// The name of a profile's wheel.
fn wheel_name(wheel: &Wheel) -> String {
    name(&format!("{} wheel", wheel.attribute.name()))
}

fn wheel(wheel: &Wheel) -> Element {
    let slots = wheel.slots.iter().zip(1_u32..).map(|(slot, number)| {
        let passes = slot.transmission.value().map_or(100.0, |part| part * 100.0);
        let tint = slot.chromaticity.value().map(|it| colour(it.x, it.y, passes));
        Element::new("Slot").with("Name", name(&slot.name)).with_known("Color", tint).keyed(number)
    });
    Element::new("Wheel").with("Name", wheel_name(wheel)).holding(slots)
}

fn emitter(emitter: &Emitter) -> Element {
    let typical = emitters::typical(&emitter.attribute);
    let tint = emitter.chromaticity.value().unwrap_or(typical.chromaticity);
    let level = emitter.output.value().unwrap_or(0.0);
    Element::new("Emitter").with("Name", name(&emitter.name)).with("Color", colour(tint.x, tint.y, level))
}

fn physical(profile: &Profile) -> Element {
    let weight = profile.body.weight.value().map_or(0.0, |weight| weight.get());
    let properties =
        Element::new("Properties").holding([Element::new("Weight").with("Value", figure(weight))]);
    let inside =
        ["Filters", "ColorSpace", "AdditionalColorSpaces", "Gamuts", "DMXProfiles", "CRIs"].map(Element::new);
    let mut all = Element::new("PhysicalDescriptions")
        .holding([Element::new("Emitters").holding(profile.emitters.iter().map(emitter))])
        .holding(inside);
    all.push(properties);
    for space in all.elements_mut().filter(|inner| inner.tag == "ColorSpace") {
        space.attributes =
            vec![("Name".to_owned(), "Default".to_owned()), ("Mode".to_owned(), "sRGB".to_owned())];
    }
    all
}

fn protocols(profile: &Profile) -> Element {
    let raw =
        profile.kept.iter().any(|kept| kept.at == "FixtureType/Protocols" && kept.text.starts_with("<FTRDM"));
    let rdm = profile.data.rdm.value().filter(|_| !raw).map(|rdm| {
        Element::new("FTRDM")
            .with("ManufacturerID", format!("0x{:04X}", rdm.manufacturer))
            .with("DeviceModelID", format!("0x{:04X}", rdm.model))
    });
    Element::new("Protocols").holding(rdm)
}

/// An identity by content, in the form of a UUID of version 8 (RFC 9562: for ways of one's own).
pub(crate) fn identity(content: &[u8]) -> String {
    let mut bytes = [0_u8; 16];
    for (own, byte) in bytes.iter_mut().zip(Sha256::digest(content)) {
        *own = byte;
    }
    bytes[6] = bytes[6] & 0x0f | 0x80;
    bytes[8] = bytes[8] & 0x3f | 0x80;
    let mut text = String::new();
    for (index, byte) in bytes.iter().enumerate() {
        if matches!(index, 4 | 6 | 8 | 10) {
            text.push('-');
        }
        text.push_str(&format!("{byte:02X}"));
    }
    text
}

/// What of the profile the format has no place for at all.
fn lost(profile: &Profile, left_out: &mut Vec<String>) {
    let mut say = |known: bool, what: &str| {
        if known {
            left_out.push(what.to_owned());
        }
    };
    fn known<T>(fact: &Fact<T>) -> bool {
        fact.is_known()
    }
    let (power, data, optics, menu) = (&profile.power, &profile.data, &profile.optics, &profile.menu);
    say(known(&profile.noise), "how loud it is");
    say(known(&power.through), "what may be passed on by its power outlet");
    say(
        known(&power.leakage) || known(&power.inrush) || known(&power.battery),
        "leakage, switch-on current, battery",
    );
    say(known(&power.connector) || known(&data.connector), "its connectors, which are in our own words");
    say(
        known(&data.unit_load) || known(&data.on_loss) || known(&data.addressing) || known(&data.counts_from),
        "what it does without data, how its address is set, its load on the data line",
    );
    say(known(&optics.peak) || known(&optics.response), "peak intensity, and how light follows the dimmer");
    say(optics.measured.is_some(), "its photometric file");
    say(known(&menu.address) || known(&menu.leader) || known(&menu.follower), "what its menu calls things");
    say(profile.modes.iter().any(|mode| known(&mode.menu)), "what to select for each mode");
    say(!profile.programmes.is_empty(), "its own programmes");
    say(profile.emitters.iter().any(|emitter| known(&emitter.watts)), "what each emitter draws");
    say(
        profile.emitters.iter().any(|it| !known(&it.chromaticity)),
        "that the colour of an emitter is not known: a typical one is written",
    );
    let names: BTreeSet<&str> =
        profile.modes.iter().flat_map(|mode| &mode.channels).map(|it| it.name.as_str()).collect();
    let usual = |angle: Fact<Radians>| angle.value().is_some_and(|it| (it.deg() - 25.0).abs() < 1e-6);
    let usual_flux = optics.flux.value().is_some_and(|flux| (flux.get() - 10_000.0).abs() < 1e-6);
    say(
        usual(optics.beam) || usual(optics.field) || usual_flux,
        "an angle of exactly 25° or a flux of 10,000 lm: readers take these for not filled in",
    );
    say(true, "what sort of light it is: a reader guesses it from what it has");
    say(!names.is_empty(), "the names of channels, and where each figure came from");
}

/// The step of a way that leads to an element.
fn step_of(element: &Element) -> String {
    match element.key.as_deref().or_else(|| element.attribute("Name")) {
        Some(key) if element.tag != "FixtureType" => step(&element.tag, key),
        _ => element.tag.clone(),
    }
}
