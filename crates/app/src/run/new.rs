//! `lanthorn new NAME`

use std::io::Write;
use std::path::{Path, PathBuf};

use lanthorn_store::disk::{self, DiskError};
use lanthorn_store::{built_in_show, read_show, write_show};

use super::Failure;
use crate::command::New;

/// A small show to start from: four lights on a bar, three looks, a chase, three cues.
const SMALL: &str = include_str!("../../shows/small.show.toml");

/// Writes a new show file. It carries the profiles it uses, so that it opens anywhere; an existing file is never
/// replaced.
pub(crate) fn run(new: &New) -> Result<(), Failure> {
    let name = new.name.trim_end_matches(".show.toml");
    let title = PathBuf::from(name).file_name().map(|title| title.to_string_lossy().into_owned());
    let Some(title) = title.filter(|title| !title.trim().is_empty()) else {
        return Err(Failure::Input(format!("new {}: a show needs a name", new.name)));
    };
    let text = built_in_show(&new.from).unwrap_or_else(|| SMALL.to_owned());
    let (file, problems) = read_show(&text);
    let Some(mut file) = file else {
        return Err(Failure::Machine(anyhow::anyhow!(
            "the built-in show: {}",
            crate::files::lines("", &problems)
        )));
    };
    file.show.name = title;
    let path = PathBuf::from(format!("{name}.show.toml"));
    save(&path, &write_show(&file.carrying()))?;
    say_written(&path)
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
