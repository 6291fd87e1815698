//! `lanthorn profile write NAME-OR-FILE -o FILE.gdtf`

use std::io::Write;
use std::path::Path;

use lanthorn_fixture::Profile;
use lanthorn_store::{disk, gdtf, read_profile, shipped, shipped_profile};

use super::super::Failure;
use crate::command::ProfileWrite;
use crate::files;

/// Writes a fixture file, and says what is not in it.
pub(crate) fn run(options: &ProfileWrite) -> Result<(), Failure> {
    let profile = find(&options.profile)?;
    let written = gdtf::write(&profile).map_err(|why| Failure::Machine(why.into()))?;
    disk::keep(&options.out, &written.bytes).map_err(|why| Failure::Machine(why.into()))?;
    let mut out = std::io::stdout().lock();
    let path = options.out.display();
    if options.json {
        let told = serde_json::json!({
            "file": path.to_string(),
            "light": profile.name,
            "standard_name": written.name,
            "left_out": written.left_out,
        });
        serde_json::to_writer_pretty(&mut out, &told).map_err(std::io::Error::from)?;
        writeln!(out)?;
        return Ok(());
    }
    writeln!(
        out,
        "{path}: {}, as GDTF 1.2 ({} by the standard's way of naming files)",
        profile.name, written.name
    )?;
    for what in &written.left_out {
        writeln!(out, "for your information: not in the file: {what}")?;
    }
    Ok(())
}

/// A profile by its name in the library, or from a file of ours or of the standard.
fn find(wanted: &str) -> Result<Profile, Failure> {
    if let Some(profile) = shipped_profile(wanted) {
        return Ok(Profile::clone(&profile));
    }
    let path = Path::new(wanted);
    if !path.exists() {
        let names: Vec<&str> = shipped().iter().map(|profile| profile.name.as_str()).collect();
        return Err(Failure::Input(format!(
            "{wanted}: there is no such light in the library and no such file\n  lights: {}",
            names.join(", ")
        )));
    }
    let bytes = disk::load_bytes(path, gdtf::MOST_BYTES).map_err(|why| Failure::Input(why.to_string()))?;
    if gdtf::is_gdtf(&bytes) {
        let read = gdtf::read(&bytes).map_err(|why| Failure::Input(format!("{wanted}: {why}")))?;
        eprint(wanted, &read.problems);
        return Ok(read.profile);
    }
    let text = disk::load(path).map_err(|why| Failure::Input(why.to_string()))?;
    let (profile, problems) = read_profile(&text);
    match profile {
        Some(profile) => {
            eprint(wanted, &problems);
            Ok(profile)
        }
        None => Err(Failure::Input(files::lines(wanted, &problems))),
    }
}

fn eprint(name: &str, problems: &[lanthorn_store::Problem]) {
    if !problems.is_empty() {
        eprintln!("{}", files::lines(name, problems));
    }
}
