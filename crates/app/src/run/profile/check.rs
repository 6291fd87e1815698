//! `lanthorn profile check FILE…`

use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;

use lanthorn_fixture::Profile;
use lanthorn_store::{disk, library, read_profile};

use super::super::Failure;
use super::read;
use crate::command::ProfileCheck;
use crate::files;
use crate::words::counted;

/// The profile of a file, a profile file or a fixture file, and all that is wrong or odd in it.
fn look_at(path: &Path) -> (Option<Profile>, Vec<String>) {
    if is_packed(path) {
        return match read::read(path, None, &[]) {
            Ok(held) => (Some(held.profile), held.odd),
            Err(why) => (None, vec![why.to_string()]),
        };
    }
    match disk::load(path) {
        Ok(text) => {
            let (profile, problems) = read_profile(&text);
            let lines = files::lines(&path.display().to_string(), &problems);
            (profile, Some(lines).filter(|lines| !lines.is_empty()).into_iter().collect())
        }
        Err(error) => (None, vec![error.to_string()]),
    }
}

/// The file is an archive, by its first two letters.
fn is_packed(path: &Path) -> bool {
    let mut first = [0; 2];
    File::open(path).and_then(|mut file| file.read_exact(&mut first)).is_ok() && first == *b"PK"
}

/// Says what is wrong with profile files and fixture files. Anything but a warning is exit status 2.
pub(crate) fn run(options: &ProfileCheck) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    let mut wrong = 0;
    for path in &options.files {
        let name = path.display().to_string();
        let (profile, says) = look_at(path);
        says.iter().try_for_each(|line| writeln!(out, "{line}"))?;
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
