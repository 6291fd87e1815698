//! Rig files of DIN SPEC 15801 (MVR): read leniently into a show, and written strictly from one.
//!
//! The way in: archive → scene as a tree → lights, trusses, points, each in the frame of the world → hanging places, worked
//! out from what hangs on them → [`Read`]. docs/interchange.md tells a user what becomes of what.

mod frame;
mod lights;
mod places;
mod scene;
mod write;

use lanthorn_physics::units::Metres;
use lanthorn_rig::room::Mark;
use lanthorn_rig::{Rig, Room};
use lanthorn_show::Show;

use crate::archive::{Archive, ArchiveError, is_archive};
use crate::problem::Problem;
use crate::show_file::{ShowFile, VERSION};
use crate::xml::keeping::Keeping;
use crate::xml::notes::{Notes, unused};
use crate::xml::{self, XmlError};
use scene::Scene;

pub use write::{Written, write};

/// The scene, in its archive.
const DESCRIPTION: &str = "GeneralSceneDescription.xml";
/// Bytes of a scene.
const MOST_DESCRIPTION: u64 = 32 << 20;
/// Bytes that may be unpacked from one rig file.
const MOST_UNPACKED: u64 = 512 << 20;
/// Bytes of a rig file that are worth taking from a disk.
pub const MOST_BYTES: usize = 256 << 20;
/// Bytes of a fixture file in it.
const MOST_FIXTURE: u64 = 64 << 20;
/// Lights that a show takes.
const MOST_LIGHTS: usize = 4_096;

/// What keeps a rig file from being read at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MvrError {
    /// The archive.
    #[error(transparent)]
    Archive(#[from] ArchiveError),
    /// The XML in it.
    #[error("{DESCRIPTION}, {0}")]
    Xml(#[from] XmlError),
    /// No archive.
    #[error("this is no MVR archive: check that it is the right file")]
    Foreign,
    /// No scene in it.
    #[error("{DESCRIPTION}: {0}: there is nothing to read")]
    Nothing(String),
    /// More lights than a show takes.
    #[error("{DESCRIPTION}: it has more than {MOST_LIGHTS} lights: it is refused")]
    Lights,
}

/// A rig file as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// A show with room, lights and marks, and nothing to run yet.
    pub file: ShowFile,
    /// What is odd in the scene: warnings, with their lines there; and in fixture files, with the file's name before.
    pub problems: Vec<(String, Problem)>,
    /// What the file does not say and a person has to, before anything is trusted.
    pub asks: Vec<String>,
}

/// Reads a scene alone, without the archive and the fixture files that belong to it.
///
/// # Errors
///
/// As [`read`].
pub fn read_scene(description: &[u8], name: &str) -> Result<Read, MvrError> {
    read(&crate::archive::pack(&[(DESCRIPTION.to_owned(), description.to_vec())])?, name)
}

/// Reads an MVR archive into a show of that name.
///
/// # Errors
///
/// Traps, and what is no rig file; nothing else.
pub fn read(bytes: &[u8], name: &str) -> Result<Read, MvrError> {
    if !is_archive(bytes) {
        return Err(MvrError::Foreign);
    }
    let mut archive = Archive::open(bytes, MOST_UNPACKED)?;
    let (text, whole) = xml::text_of(&archive.read(DESCRIPTION, MOST_DESCRIPTION)?);
    let tree = xml::parse(&text)?;
    let mut notes = Notes::new(&text);
    let mut keeping = Keeping::default();
    if !whole {
        notes.doubt_at(0, "", "some letters are no UTF-8", "they are shown as �");
    }
    let scene = Scene::read(&tree, &text, &mut notes, &mut keeping)?;
    let (profiles, mut problems) = lights::profiles(&scene, &mut archive, &mut notes);
    for file in archive.names() {
        let known = file.eq_ignore_ascii_case(DESCRIPTION)
            || profiles.files.iter().any(|it| it.eq_ignore_ascii_case(&file));
        if !known && !file.ends_with('/') {
            let size = archive.said_size(&file).unwrap_or(0);
            keeping.file(&file, size);
        }
    }
    let mut asks = Vec::new();
    let shift = scene.far_away();
    let (room_places, hung) = places::places(&scene, shift, &mut notes, &mut asks);
    let units = lights::units(&scene, &profiles, &hung, shift, &mut notes, &mut keeping);
    let room = room(&scene, name, room_places, shift, &mut asks);
    ask(&scene, &units, &mut asks);
    let (kept, beyond) = keeping.finish();
    if let Some(what) = beyond {
        notes.doubt_at(0, "", &what, "keep the file that this was read from");
    }
    problems.splice(0..0, notes.finish().into_iter().map(|problem| (DESCRIPTION.to_owned(), problem)));
    let rig = Rig {
        room,
        units,
        groups: Vec::new(),
        circuits: Vec::new(),
        controller: None,
        mains: lanthorn_rig::rig::Mains::default(),
        limits: lanthorn_rig::rig::Limits::default(),
        stock: lanthorn_rig::Stock::default(),
    };
    let show = Show { name: name.to_owned(), ..Show::default() };
    let notes = format!("Read from a rig file.\n{}", asks.join("\n"));
    let notes: String = notes.chars().take(1_900).collect();
    let profiles = profiles.list;
    let file = ShowFile { version: VERSION, show, rig, profiles, swatches: Vec::new(), notes, kept };
    Ok(Read { file, problems, asks })
}

/// The room: as our own export says it, else large enough for what stands and hangs in it.
fn room(
    scene: &Scene<'_>,
    name: &str,
    places: Vec<lanthorn_rig::HangingPlace>,
    shift: [f64; 3],
    asks: &mut Vec<String>,
) -> Room {
    let mut marks: Vec<Mark> = Vec::new();
    for point in &scene.points {
        let title = unused(&point.name, |name| marks.iter().any(|mark| mark.name == name));
        marks.push(Mark { name: title, at: point.frame.place_m(shift) });
    }
    let empty = Room {
        name: name.to_owned(),
        x: [Metres::new(-5.0), Metres::new(5.0)],
        y: [Metres::new(-8.0), Metres::new(4.0)],
        height: Metres::new(4.0),
        platforms: Vec::new(),
        audience: Vec::new(),
        furniture: Vec::new(),
        marks,
        places,
    };
    if let Some(own) = &scene.own
        && let Some((name, x, y, height)) = &own.room
    {
        return Room {
            name: name.clone(),
            x: x.map(Metres::new),
            y: y.map(Metres::new),
            height: Metres::new(*height),
            ..empty
        };
    }
    let lights = scene.lights.iter().map(|light| light.frame.place_m(shift));
    let points: Vec<_> = lights.chain(empty.marks.iter().map(|mark| mark.at)).collect();
    let span = |get: fn(&lanthorn_physics::Point) -> f64, least: [f64; 2]| {
        let low = points.iter().map(get).fold(least[0] + 1.0, f64::min) - 1.0;
        let high = points.iter().map(get).fold(least[1] - 1.0, f64::max) + 1.0;
        [low.floor().max(-1000.0), high.ceil().min(1000.0)]
    };
    let x = span(|point| point.x(), empty.x.map(Metres::get));
    let y = span(|point| point.y(), empty.y.map(Metres::get));
    let top = points.iter().map(|point| point.z()).fold(3.5, f64::max) + 0.5;
    let height = top.ceil().clamp(1.0, 100.0);
    asks.push(format!(
        "The room's size is guessed from what is in it: {} m wide, {} m deep, {height} m high. Measure it.",
        x[1] - x[0],
        y[1] - y[0]
    ));
    Room { x: x.map(Metres::new), y: y.map(Metres::new), height: Metres::new(height), ..empty }
}

/// What no rig file says.
fn ask(scene: &Scene<'_>, units: &[lanthorn_rig::Unit], asks: &mut Vec<String>) {
    let head = units.iter().find(|unit| unit.moves()).or(units.first());
    if let Some(head) = head {
        asks.insert(0, format!(
            "Confirm the aim of one head before you trust any: which way a light's own axes run is written differently by \
             different programs. Light {} should hang at its place as the plan shows it; send it to a mark and look.",
            head.number
        ));
    }
    if !units.is_empty() && scene.own.is_none() {
        asks.push("What each hanging place may carry, what holds it up, and on which circuit a light is, is in no rig file: ask the venue.".to_owned());
    }
    let open: Vec<String> =
        units.iter().filter(|unit| unit.address().is_none()).map(|unit| unit.number.to_string()).collect();
    if !open.is_empty() {
        asks.push(format!("No address is given for {}.", open.join(", ")));
    }
}
