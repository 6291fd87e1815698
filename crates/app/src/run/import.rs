//! `lanthorn import FILE SHOW`: a rig file into a new show, a patch list into one that is there.

mod patch;

use std::io::Write;
use std::path::PathBuf;

use lanthorn_store::{disk, mvr, read_show, write_show};

use super::{Failure, new};
use crate::command::Import;

/// By what is in the file, not by its name: an archive is a rig, anything else is a table.
pub(crate) fn run(options: &Import) -> Result<(), Failure> {
    let bytes =
        disk::load_bytes(&options.file, mvr::MOST_BYTES).map_err(|why| Failure::Input(why.to_string()))?;
    if bytes.starts_with(b"PK") { rig(options, &bytes) } else { patch::run(options, &bytes) }
}

fn rig(options: &Import, bytes: &[u8]) -> Result<(), Failure> {
    let name = options.show.trim_end_matches(".show.toml");
    let title = PathBuf::from(name).file_name().map(|title| title.to_string_lossy().into_owned());
    let Some(title) = title.filter(|title| !title.trim().is_empty()) else {
        return Err(Failure::Input(format!("import {}: a show needs a name", options.show)));
    };
    let file = options.file.display();
    let read = mvr::read(bytes, &title).map_err(|why| Failure::Input(format!("{file}: {why}")))?;
    let text = write_show(&read.file);
    let (opened, problems) = read_show(&text);
    if opened.is_none() {
        let why = problems.iter().find(|problem| problem.is_error()).map_or(String::new(), |it| it.in_line());
        return Err(Failure::Machine(anyhow::anyhow!("{file}: no show can be made of it: {why}")));
    }
    let path = PathBuf::from(format!("{name}.show.toml"));
    new::save(&path, &text)?;
    let mut out = std::io::stdout().lock();
    let rig = &read.file.rig;
    let warnings: Vec<String> =
        read.problems.iter().map(|(part, problem)| problem.in_file(&format!("{file}: {part}"))).collect();
    if options.json {
        let told = serde_json::json!({
            "file": path.display().to_string(),
            "lights": rig.units.len(),
            "places": rig.room.places.iter().map(|place| &place.name).collect::<Vec<_>>(),
            "marks": rig.room.marks.iter().map(|mark| &mark.name).collect::<Vec<_>>(),
            "profiles": read.file.profiles.iter().map(|profile| &profile.name).collect::<Vec<_>>(),
            "kept": read.file.kept.len(),
            "warnings": warnings,
            "asks": read.asks,
        });
        serde_json::to_writer_pretty(&mut out, &told).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(
        out,
        "{} lights of {} kinds, {} hanging places, {} marks; {} things are kept as they stood",
        rig.units.len(),
        read.file.profiles.len(),
        rig.room.places.len(),
        rig.room.marks.len(),
        read.file.kept.len()
    )?;
    for warning in &warnings {
        writeln!(out, "{warning}")?;
    }
    for ask in &read.asks {
        writeln!(out, "take care: {ask}")?;
    }
    drop(out);
    new::say_written(&path)
}
