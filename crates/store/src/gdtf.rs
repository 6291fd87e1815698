//! Fixture files of DIN SPEC 15800 (GDTF, 1.0 to 1.2): read leniently into a profile, and written strictly from one.
//!
//! The way in: archive or bare `description.xml` → a pass that looks for traps → a tree → [`Read`]. Whatever is odd in a
//! file that is not a trap is a warning with its line, and the file is read all the same. What a profile has no place for
//! is kept ([`lanthorn_fixture::Kept`]). docs/interchange.md tells a user what becomes of what.

mod facts;
mod function;
mod geometry;
mod heads;
mod kept;
mod meaning;
mod mode;
mod sense;
mod value;
mod write;

use std::collections::BTreeMap;

use lanthorn_fixture::profile::{Menu, Profile};
use lanthorn_fixture::{Fact, Mode};
use roxmltree::Node;

pub use crate::archive::ArchiveError;
use crate::archive::{Archive, is_archive};
use crate::problem::Problem;
use crate::xml;
pub use crate::xml::XmlError;
use crate::xml::notes::{Notes, child, children, plain_name};
use geometry::{Drawn, Parts};
use kept::{Held, HeldMode, Keeper};
use mode::Reading;
pub(crate) use value::{address, number};
pub use write::{Written, write};
pub(crate) use write::{figure, identity, name};

/// The description of a fixture, in its archive.
const DESCRIPTION: &str = "description.xml";
/// Bytes of a description; the largest that was met has 3.7 MB.
const MOST_DESCRIPTION: u64 = 32 << 20;
/// Bytes that may be unpacked from one fixture file.
const MOST_UNPACKED: u64 = 64 << 20;

/// Bytes of a fixture file that are worth taking from a disk; packed it is no larger than unpacked.
pub const MOST_BYTES: usize = 64 << 20;

/// What keeps a fixture file from being read at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GdtfError {
    /// The archive.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The XML in it.
    #[error("description.xml, {0}")]
    Xml(#[from] XmlError),
    /// Neither an archive nor XML.
    #[error("this is neither a GDTF archive nor a description.xml: check that it is the right file")]
    Foreign,
    /// More than a description may have.
    #[error("description.xml has more than {} MiB: it is refused", MOST_DESCRIPTION >> 20)]
    TooLarge,
    /// Parts that are drawn without end.
    #[error("description.xml, line {line}: {what}: it is refused")]
    Geometry {
        /// Where.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// No light is described in it.
    #[error("description.xml, line {line}: {what}: there is nothing to read")]
    Nothing {
        /// Where.
        line: usize,
        /// What is missing.
        what: String,
    },
}

/// A fixture file as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// The light. It passes the model's own check, holes in its charts aside.
    pub profile: Profile,
    /// What is odd in the file, in its order: warnings all.
    pub problems: Vec<Problem>,
    /// Every mode of the file, with what it takes of each DMX break.
    pub modes: Vec<ModeRead>,
    /// The version of the format that the file states ("1.2").
    pub version: String,
    /// By which the file calls this kind of light, whatever its name.
    pub identity: Option<String>,
    /// Who makes it.
    pub maker: Option<String>,
}

/// A mode of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ModeRead {
    /// Its name in the profile.
    pub name: String,
    /// By number, ascending.
    pub breaks: Vec<Break>,
    /// Channels that have no address.
    pub virtual_channels: usize,
    /// Whether the profile has it: a mode of more than 512 slots or of none has no place there, and is kept.
    pub in_profile: bool,
}

impl ModeRead {
    /// Slots over all breaks.
    pub fn footprint(&self) -> u32 {
        self.breaks.iter().map(|one| one.footprint).sum()
    }
}

/// A stretch of a light's channels with a start address of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Break {
    /// From 1.
    pub number: u16,
    /// The highest address in it over all parts of the light, gaps included.
    pub footprint: u32,
}

/// `true` when the bytes look like what [`read`] reads.
pub fn is_gdtf(bytes: &[u8]) -> bool {
    is_archive(bytes) || xml::is_xml(bytes)
}

/// Reads a GDTF archive, or its `description.xml` alone.
///
/// # Errors
///
/// Traps and what is no fixture file; nothing else. A broken link, a missing attribute or an odd number is a warning.
pub fn read(bytes: &[u8]) -> Result<Read, GdtfError> {
    let mut files: Vec<(String, u64)> = Vec::new();
    let description = if is_archive(bytes) {
        let mut archive = Archive::open(bytes, MOST_UNPACKED)?;
        let description = archive.read(DESCRIPTION, MOST_DESCRIPTION)?;
        for name in archive.names() {
            if !name.eq_ignore_ascii_case(DESCRIPTION) && !name.ends_with('/') {
                let size = archive.said_size(&name).unwrap_or(0);
                files.push((name, size));
            }
        }
        description
    } else if !xml::is_xml(bytes) {
        return Err(GdtfError::Foreign);
    } else if bytes.len() as u64 > MOST_DESCRIPTION {
        return Err(GdtfError::TooLarge);
    } else {
        bytes.to_vec()
    };
    let (text, whole) = xml::text_of(&description);
    drop(description);
    let tree = xml::parse(&text)?;
    let mut notes = Notes::new(&text);
    if !whole {
        notes.doubt_at(0, "", "some letters are no UTF-8", "they are shown as �");
    }
    fixture_type(&tree, &text, &files, notes)
}

fn fixture_type<'a>(
    tree: &'a roxmltree::Document<'a>,
    text: &'a str,
    files: &[(String, u64)],
    mut notes: Notes<'a>,
) -> Result<Read, GdtfError> {
    let root = tree.root_element();
    let nothing = |node, what: &str| GdtfError::Nothing { line: line(node), what: what.to_owned() };
    if root.tag_name().name() != "GDTF" {
        let what = format!("its outermost element is \"{}\" and not GDTF", root.tag_name().name());
        return Err(nothing(root, &what));
    }
    let fixture = child(root, "FixtureType").ok_or_else(|| nothing(root, "it describes no fixture type"))?;
    if let Some(second) = children(root, "FixtureType").nth(1) {
        notes.doubt(second, "", "a second fixture type is described", "the first is read");
    }
    let version = root.attribute("DataVersion").unwrap_or("").trim().to_owned();
    if !matches!(version.as_str(), "1.0" | "1.1" | "1.2") {
        notes.doubt(root, "", &format!("DataVersion is \"{version}\""), "it is read as 1.2");
    }
    let name = fixture.attribute("Name").and_then(plain_name);
    let name = name.or_else(|| fixture.attribute("LongName").and_then(plain_name));
    let name = name.unwrap_or_else(|| {
        notes.doubt(fixture, "", "the light has no name", "it is called \"light without a name\"");
        "light without a name".to_owned()
    });
    let (mut profile, modes, held) = profile(fixture, name, &mut notes)?;
    if profile.modes.is_empty() {
        return Err(nothing(fixture, "none of its modes has a channel that can be driven"));
    }
    make_sense(&mut profile, &held, fixture, &mut notes);
    let mut keeper = Keeper::new(text, &mut notes);
    keeper.fixture(fixture, &held);
    files.iter().for_each(|(name, size)| keeper.file(name, *size));
    profile.kept = keeper.finish();
    let attribute =
        |name| fixture.attribute(name).map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned);
    let (identity, maker) = (attribute("FixtureTypeID"), attribute("Manufacturer"));
    Ok(Read { profile, problems: notes.finish(), modes, version, identity, maker })
}

fn profile<'a>(
    fixture: Node<'a, 'a>,
    name: String,
    notes: &mut Notes<'a>,
) -> Result<(Profile, Vec<ModeRead>, Held<'a>), GdtfError> {
    let drawn = Drawn::new(fixture);
    let wheels = facts::wheels(fixture, notes);
    let names: BTreeMap<(String, String), u8> = wheels
        .iter()
        .flat_map(|(wheel, it)| {
            it.slots.iter().zip(1_u8..).map(|(slot, n)| ((wheel.clone(), slot.name.to_lowercase()), n))
        })
        .collect();
    let slots = |wheel: &str, word: &str| names.get(&(wheel.to_owned(), word.trim().to_lowercase())).copied();
    let mut reading = Reading { drawn: &drawn, notes, slots: &slots, placed: 0, ranges: 0 };
    let (mut reads, mut modes, mut held) = (Vec::new(), Vec::<Mode>::new(), Vec::new());
    let mut taken: Vec<String> = Vec::new();
    let list = child(fixture, "DMXModes").into_iter().flat_map(|all| children(all, "DMXMode"));
    for node in list {
        let made = reading.mode(node, &taken)?;
        taken.push(made.read.name.clone());
        if let Some(mode) = made.mode {
            held.push(HeldMode { node, name: mode.name.clone(), places: made.places });
            modes.push(mode);
        }
        reads.push(made.read);
    }
    let root = held.first().and_then(|mode| drawn.find(mode.node.attribute("Geometry").unwrap_or("")));
    let parts: Option<Parts<'a>> =
        root.or_else(|| drawn.first()).map(|root| drawn.parts(root)).transpose()?;
    let parts = parts.as_ref();
    let emitters = facts::emitters(fixture, notes);
    let kind = facts::kind(fixture, &name, &modes);
    let held = Held {
        wheels: wheels.iter().map(|(name, _)| name.clone()).collect(),
        emitters: emitters.iter().map(|emitter| emitter.name.clone()).collect(),
        modes: held,
    };
    let profile = Profile {
        name,
        kind,
        body: facts::body(fixture, parts, &drawn),
        power: facts::power(parts, &drawn),
        data: facts::data(fixture, parts, &drawn),
        movement: facts::movement(fixture),
        optics: facts::optics(parts, &drawn),
        emitters,
        wheels: wheels.into_iter().map(|(_, wheel)| wheel).collect(),
        noise: Fact::unknown(),
        programmes: Vec::new(),
        menu: Menu::default(),
        modes,
        kept: Vec::new(),
    };
    Ok((profile, reads, held))
}

/// Puts right what makes no sense, and says so at its mode.
fn make_sense(profile: &mut Profile, held: &Held<'_>, fixture: Node<'_, '_>, notes: &mut Notes<'_>) {
    for (mode, what, instead) in sense::make_sense(profile) {
        let node = held.modes.iter().find(|known| known.name == mode).map_or(fixture, |known| known.node);
        notes.doubt(node, "", &what, instead);
    }
}

/// The line of an element.
fn line(node: Node<'_, '_>) -> usize {
    node.document().text_pos_at(node.range().start).row as usize
}
