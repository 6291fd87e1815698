//! A first show from nothing: which lights, how many, which room. What comes back is the text of a whole show file, with
//! every light placed and addressed and looks, chases and cues made for exactly these lights.
//!
//! The way: [`Answers`] → the room in metres ([`room`](mod@room)) → lights on their places, numbered and addressed (`hang`) → that text,
//! read as any show is, gives the rig → looks for what this rig can do (`looks`), chases and cues (`evening`) → the whole
//! text. What nobody has said is not made up: no load limit of a bar, no circuit; `lanthorn check` asks for those.

mod ask;
mod evening;
mod groups;
mod hang;
mod looks;
mod recipes;
mod room;
mod show;
mod text;

use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_physics::units::Metres;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, plan};
use serde::{Deserialize, Serialize};

use crate::nearest::nearest;
use crate::{library, read_show};

pub use ask::{lights_from_words, room_from_words};
pub use room::{NAMED_ROOMS, NamedRoom};

/// Most lights of a starter.
const MOST_LIGHTS: usize = 200;

/// What is asked before a show is begun.
#[derive(Clone, Debug, PartialEq)]
pub struct Answers {
    /// The show's name.
    pub name: String,
    /// Where.
    pub room: Room,
    /// What the room is called; its own name, or "hall", when left out.
    pub room_name: Option<String>,
    /// Which lights, and how many.
    pub lights: Vec<Lights>,
    /// Profiles of the show's own, before those of the library.
    pub own: Vec<Arc<Profile>>,
}

/// Which room.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[cfg_attr(feature = "ts", ts(rename = "BeginRoom"))]
#[serde(
    untagged,
    expecting = "a room is its name, such as \"village hall\", or its width, depth, height and perhaps stage in metres"
)]
pub enum Room {
    /// One of [`NAMED_ROOMS`] by its name.
    Named(String),
    /// Of these measures.
    Measured(Measures),
}

/// A room by its measures, in metres.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[cfg_attr(feature = "ts", ts(rename = "RoomMeasures"))]
#[serde(deny_unknown_fields)]
pub struct Measures {
    /// From side wall to side wall, 4 to 60.
    pub width: f64,
    /// The other way, 5 to 100.
    pub depth: f64,
    /// Of the ceiling or of what is lowest under it, 2.4 to 30.
    pub height: f64,
    /// The stage, if there is one.
    #[serde(default)]
    pub stage: Option<Stage>,
}

impl Measures {
    /// Those of a room that a show has. What is raised at its far end is the stage.
    pub fn of(hall: &lanthorn_rig::Room) -> Self {
        let length = |[low, high]: [Metres; 2]| ((high - low).get() * 100.0).round() / 100.0;
        let at_far_end = |area: &&lanthorn_rig::Area| (area.y[1] - hall.y[1]).get().abs() < 0.5;
        let stage = hall.platforms.iter().find(at_far_end);
        Self {
            width: length(hall.x),
            depth: length(hall.y),
            height: hall.height.get(),
            stage: stage.map(|area| Stage {
                side: StageSide::End,
                depth: length([area.y[0], hall.y[1]]),
                height: area.height.get(),
            }),
        }
    }
}

/// A stage, in metres.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[cfg_attr(feature = "ts", ts(rename = "StageMeasures"))]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// Along which wall.
    pub side: StageSide,
    /// From its front to the wall behind it, 1 to 10, and not more than half of the room.
    pub depth: f64,
    /// Of its floor above the hall's, 0 to 2.
    pub height: f64,
}

/// Along which wall a stage is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub enum StageSide {
    /// At the end of the room's depth, as wide as the room.
    End,
    /// Along one side, as long as the room is deep.
    Side,
}

/// Some lights of one kind.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[cfg_attr(feature = "ts", ts(rename = "BeginLights"))]
#[serde(deny_unknown_fields)]
pub struct Lights {
    /// Name of the profile, in small or large letters.
    pub profile: String,
    /// Its mode; the one with most to offer when left out.
    #[serde(default)]
    pub mode: Option<String>,
    /// How many.
    #[serde(default = "one")]
    pub count: usize,
    /// A hanging place of the starter ("front bar", "back bar", "left stand", "right stand", "floor at the back",
    /// "left side", "right side"); left out: where they do most good.
    #[serde(default)]
    pub place: Option<String>,
}

const fn one() -> usize {
    1
}

/// Why no show can be begun: one sentence that names the question and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}: {why}", .to.word())]
pub struct Refused {
    /// To which question the answer does not do.
    pub to: Question,
    /// What is wrong, and what to do.
    pub why: String,
}

/// What is asked before a show is begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// What it is called.
    Name,
    /// In which room.
    Room,
    /// Which lights, how many, where.
    Lights,
}

impl Question {
    /// "name", "room", "lights".
    pub const fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Room => "room",
            Self::Lights => "lights",
        }
    }
}

impl Refused {
    fn name(why: impl Into<String>) -> Self {
        Self { to: Question::Name, why: why.into() }
    }

    fn room(why: impl Into<String>) -> Self {
        Self { to: Question::Room, why: why.into() }
    }

    fn lights(why: impl Into<String>) -> Self {
        Self { to: Question::Lights, why: why.into() }
    }
}

/// Some lights of one kind, looked up.
struct Wanted {
    profile: Arc<Profile>,
    mode: usize,
    count: usize,
    place: Option<hang::Spot>,
}

/// The text of a show for these answers: it opens.
///
/// # Errors
///
/// A sentence: a room, profile, mode or place is not known, a measure is out of bounds, or there is no space for so many
/// lights.
pub fn begin(answers: &Answers) -> Result<String, Refused> {
    let name = name(&answers.name)?;
    let space = space(&answers.room, answers.room_name.as_deref())?;
    if answers.lights.is_empty() {
        return Err(Refused::lights("name one light at least, or begin with an empty room"));
    }
    let mut wanted = Vec::new();
    for lights in &answers.lights {
        wanted.push(look_up(lights, &answers.own)?);
    }
    let total: usize = wanted.iter().map(|lights| lights.count).sum();
    if total > MOST_LIGHTS {
        return Err(Refused::lights(format!(
            "{total} are too many to begin with: name {MOST_LIGHTS} at most, and add the rest by and by"
        )));
    }
    let hung = hang::hang(&space, &wanted)?;
    let placed = text::placed(&space, &wanted, &hung);
    let (start, profiles) = (text::head(name, None), text::profiles(&wanted));
    let rig = opened(&format!("{start}{placed}{profiles}"))?;
    let show = show::design(&rig, &space);
    let head = text::head(name, show.looks.first().map(|look| look.name));
    let whole = format!("{head}{placed}{}{profiles}", text::show(&show));
    opened(&whole).map(|_| whole)
}

/// The text of a show in such a room with no light yet.
///
/// # Errors
///
/// A sentence: the room is not known, or a measure is out of bounds.
pub fn empty(name_of_show: &str, room: &Room) -> Result<String, Refused> {
    let head = text::head(name(name_of_show)?, None);
    let whole = format!("{head}{}", text::empty(&space(room, None)?));
    opened(&whole).map(|_| whole)
}

fn space(room: &Room, called: Option<&str>) -> Result<room::Space, Refused> {
    let mut space = room::Space::new(room)?;
    if let Some(called) = called {
        space.name = name(called)?.to_owned();
    }
    Ok(space)
}

/// What is to be taken care of before a first show's lights are hung and switched on: weight, strobe, haze.
pub fn cautions(rig: &Rig) -> Vec<Finding> {
    const FIRST: [&str; 3] = ["load-limit-unknown", "strobe", "haze"];
    let mut findings = plan(rig).findings;
    findings.retain(|finding| FIRST.contains(&finding.code));
    findings
}

/// Names of the hanging places that lights may be told to go to.
pub fn places() -> [&'static str; 7] {
    hang::Spot::ALL.map(hang::Spot::name)
}

/// A name as the file takes it.
fn name(name: &str) -> Result<&str, Refused> {
    let name = name.trim();
    let long = name.chars().count() > 80;
    if name.is_empty() || long || name.chars().any(char::is_control) {
        return Err(Refused::name("give it a name of one line, at most 80 letters"));
    }
    Ok(name)
}

fn opened(text: &str) -> Result<Rig, Refused> {
    let (file, problems) = read_show(text);
    let why = || problems.iter().find(|one| one.is_error()).map_or(String::new(), |one| one.message.clone());
    file.map(|file| file.rig).ok_or_else(|| {
        Refused::lights(format!("the show would not open ({}): take other lights or another room", why()))
    })
}

fn look_up(lights: &Lights, own: &[Arc<Profile>]) -> Result<Wanted, Refused> {
    let profile = profile(&lights.profile, own)?;
    if !(1..=MOST_LIGHTS).contains(&lights.count) {
        let what = format!("{} of \"{}\"", lights.count, profile.name);
        return Err(Refused::lights(format!("{what}: name 1 to {MOST_LIGHTS}")));
    }
    let mode = match lights.mode.as_deref() {
        None => groups::best_mode(&profile),
        Some(word) => {
            let word = words(word);
            let word = word.as_str();
            let names: Vec<&str> = profile.modes.iter().map(|mode| mode.name.as_str()).collect();
            names.iter().position(|name| name.eq_ignore_ascii_case(word)).ok_or_else(|| {
                Refused::lights(no_such(&format!("mode of \"{}\"", profile.name), word, &names))
            })?
        }
    };
    if profile.modes[mode].footprint() == 0 {
        return Err(Refused::lights(format!(
            "mode \"{}\" of \"{}\" has no channels: choose another",
            profile.modes[mode].name, profile.name
        )));
    }
    let place = lights.place.as_deref().map(hang::Spot::read).transpose()?;
    Ok(Wanted { profile, mode, count: lights.count, place })
}

/// Words with one space between.
fn words(typed: &str) -> String {
    typed.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A profile by its name in any letters, one or several of it ("RGBW pars"), the show's own first.
fn profile(word: &str, own: &[Arc<Profile>]) -> Result<Arc<Profile>, Refused> {
    let word = words(word);
    let word = word.as_str();
    let library = library::all();
    let all = || own.iter().chain(&library);
    let is = |word: &str| all().find(|profile| profile.name.to_lowercase() == word).cloned();
    let small = word.to_lowercase();
    let singular = small.strip_suffix('s').and_then(is);
    is(&small).or(singular).ok_or_else(|| {
        let names: Vec<&str> = all().map(|profile| profile.name.as_str()).collect();
        Refused::lights(no_such("light", word, &names))
    })
}

/// "there is no X "Y": did you mean …?"
fn no_such(what: &str, word: &str, names: &[&str]) -> String {
    let near = nearest(word, names.iter().copied());
    // Part of a name is a hint as well: "spot" for "small spot head".
    let part = || {
        let small = word.to_lowercase();
        names.iter().copied().find(|name| !small.is_empty() && name.to_lowercase().contains(&small))
    };
    match near.or_else(part) {
        Some(near) => format!("there is no {what} \"{word}\": did you mean \"{near}\"?"),
        None => format!("there is no {what} \"{word}\": take one of {}", names.join(", ")),
    }
}
