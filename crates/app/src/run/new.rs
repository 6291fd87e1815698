//! `lanthorn new NAME`

use std::io::Write;
use std::path::{Path, PathBuf};

use lanthorn_store::disk::{self, DiskError};
use lanthorn_store::starter::{self, Answers, Measures, NAMED_ROOMS, Question, Refused, StageSide};
use lanthorn_store::{built_in_show, library, read_show, write_show};

use super::Failure;
use crate::command::New;

/// A small show to start from: four lights on a bar, three looks, a chase, three cues.
const SMALL: &str = include_str!("../../shows/small.show.toml");

/// Writes a new show file. It carries the profiles it uses, so that it opens anywhere; an existing file is never
/// replaced.
pub(crate) fn run(new: &New) -> Result<(), Failure> {
    if new.room.is_some() && new.lights.is_none() && !new.empty {
        return Err(Failure::Input(
            "new --room: say which lights with --lights \"4 small spot head, 4 RGBW par\", or none with --empty".to_owned(),
        ));
    }
    let name = new.name.trim_end_matches(".show.toml");
    let title = PathBuf::from(name).file_name().map(|title| title.to_string_lossy().into_owned());
    let Some(title) = title.filter(|title| !title.trim().is_empty()) else {
        return Err(Failure::Input(format!("new {}: a show needs a name", new.name)));
    };
    let path = PathBuf::from(format!("{name}.show.toml"));
    if new.empty || new.room.is_some() {
        let text = begun(new, &title).map_err(|refused| refusal(new, &refused))?;
        save(&path, &text)?;
        say_written(&path)?;
        return say_cautions(&text);
    }
    let text = built_in_show(&new.from).unwrap_or_else(|| SMALL.to_owned());
    let (file, problems) = read_show(&text);
    let Some(mut file) = file else {
        return Err(Failure::Machine(anyhow::anyhow!(
            "the built-in show: {}",
            crate::files::lines("", &problems)
        )));
    };
    file.show.name = title;
    save(&path, &write_show(&file.carrying()))?;
    say_written(&path)
}

/// The text of a first show, or of an empty room.
fn begun(new: &New, title: &str) -> Result<String, Refused> {
    let room = starter::room_from_words(new.room.as_deref().unwrap_or(NAMED_ROOMS[0].name))?;
    match &new.lights {
        Some(lights) => starter::begin(&Answers {
            name: title.to_owned(),
            room,
            room_name: None,
            lights: starter::lights_from_words(lights)?,
            own: Vec::new(),
        }),
        None => starter::empty(title, &room),
    }
}

/// What does not do, with the option that says it.
fn refusal(new: &New, refused: &Refused) -> Failure {
    let option = match refused.to {
        Question::Name => "NAME",
        Question::Room => "--room",
        Question::Lights => "--lights",
    };
    Failure::Input(format!("new {}: {option}: {}", new.name, refused.why))
}

/// What to take care of first: weight, strobe, haze.
fn say_cautions(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    for care in read_show(text).0.iter().flat_map(|file| starter::cautions(&file.rig)) {
        let figure = care.figure.map(|figure| format!(" ({figure})")).unwrap_or_default();
        writeln!(out, "{}: {}{figure}; {}", care.severity, care.what, care.remedy)?;
    }
    Ok(())
}

/// The rooms that have a name and the lights that the library has, for the help.
pub(crate) fn rooms_and_lights() -> String {
    let mut out = "Rooms that have a name, to be measured on the spot:\n".to_owned();
    for room in NAMED_ROOMS {
        let Measures { width, depth, height, stage } = room.measures;
        let stage = match stage {
            None => String::new(),
            Some(stage) => {
                let side = if stage.side == StageSide::End { "end" } else { "side" };
                format!(", stage {side} {} x {}", stage.depth, stage.height)
            }
        };
        out.push_str(&format!("  {:13} {width} x {depth} x {height}{stage}\n", room.name));
    }
    let all = library::all();
    let (usual, more): (Vec<_>, Vec<_>) = all.iter().partition(|profile| library::is_usual(&profile.name));
    out.push_str("Lights that are met most, and their modes:\n");
    for profile in usual {
        let modes: Vec<&str> = profile.modes.iter().map(|mode| mode.name.as_str()).collect();
        out.push_str(&format!("  {:23} {}\n", profile.name, modes.join(", ")));
    }
    let names: Vec<&str> = more.iter().map(|profile| profile.name.as_str()).collect();
    out.push_str(&format!(
        "Lights besides, whose modes `lanthorn profile list WORD` tells:\n  {}\n",
        names.join(", ")
    ));
    let places = starter::places().join(", ");
    out.push_str(&format!("Places, if you want to choose: {places}"));
    out
}

/// Writes a file that is not there yet.
pub(super) fn save(path: &Path, text: &str) -> Result<(), Failure> {
    disk::save_new(path, text).map_err(|error| match error {
        DiskError::Exists { .. } => Failure::Input(error.to_string()),
        error => Failure::Machine(error.into()),
    })
}

/// What was written, and what to do with it.
pub(super) fn say_written(path: &Path) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{} is written", path.display())?;
    let typed = quoted(&path.display().to_string());
    writeln!(out, "  lanthorn check {typed}\n  lanthorn plan {typed}\n  lanthorn open {typed}")?;
    Ok(())
}

/// As a shell wants it.
pub(super) fn quoted(path: &str) -> String {
    let plain = path.chars().all(|c| c.is_alphanumeric() || "-_./=,".contains(c));
    if plain { path.to_owned() } else { format!("'{}'", path.replace('\'', r"'\''")) }
}
