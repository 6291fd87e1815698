//! `lanthorn profile check FILE…`

use std::io::Write;

use lanthorn_store::{disk, library, read_profile};

use super::super::Failure;
use crate::command::ProfileCheck;
use crate::files;
use crate::words::counted;

/// Says what is wrong with profile files. Anything but a warning is exit status 2.
pub(crate) fn run(options: &ProfileCheck) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    let mut wrong = 0;
    for path in &options.files {
        let name = path.display().to_string();
        let text = match disk::load(path) {
            Ok(text) => text,
            Err(error) => {
                writeln!(out, "{error}")?;
                wrong += 1;
                continue;
            }
        };
        let (profile, problems) = read_profile(&text);
        if !problems.is_empty() {
            writeln!(out, "{}", files::lines(&name, &problems))?;
        }
        match profile {
            Some(profile) => {
                let modes = counted(profile.modes.len(), "mode");
                writeln!(out, "{name}: \"{}\", {modes}, {}", profile.name, library::identity(&profile))?;
            }
            None => wrong += 1,
        }
    }
    match wrong {
        0 => Ok(()),
        _ => Err(Failure::Input(format!("{} cannot be used as it is", counted(wrong, "file")))),
    }
}
