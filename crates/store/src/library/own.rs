//! One's own folder of profiles: one file for each, its name that of the profile.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use lanthorn_fixture::Profile;

use super::difference::{Difference, difference};
use super::identity::identity;
use crate::disk::{self, DiskError};
use crate::problem::{Problem, Severity};
use crate::profile_file::{read_profile, write_profile};

/// A file in one's own folder.
#[derive(Clone, Debug)]
pub struct Own {
    /// Where it lies.
    pub file: PathBuf,
    /// What it says; none where it cannot be used.
    pub profile: Option<Arc<Profile>>,
    /// What is odd or wrong about it.
    pub problems: Vec<Problem>,
}

/// What became of a profile that was to be added.
#[derive(Clone, Debug, PartialEq)]
pub enum Added {
    /// It is in the folder now, under this name of a file.
    New(PathBuf),
    /// The folder has the very same already.
    Same(PathBuf),
    /// The folder has another of that name: nothing was written.
    Differs {
        /// Where that lies.
        file: PathBuf,
        /// What would be another.
        differences: Vec<Difference>,
    },
    /// It took the place of another, which lies beside it.
    Replaced {
        /// Where it lies now.
        file: PathBuf,
        /// Where the other lies.
        kept: PathBuf,
        /// What is another.
        differences: Vec<Difference>,
    },
}

/// Every profile in a folder, by name of the file. A folder that is not there holds none. What was replaced
/// (`NAME.IDENTITY.toml` beside a `NAME.toml`) is left out; of two with one name the first is used.
///
/// # Errors
///
/// The folder is there and cannot be read.
pub fn read_folder(folder: &Path) -> Result<Vec<Own>, DiskError> {
    let mut list: Vec<Own> = Vec::new();
    for file in disk::files(folder, ".toml")? {
        if is_kept(&file) {
            continue;
        }
        let text = match disk::load(&file) {
            Ok(text) => text,
            Err(error) => {
                let problems = vec![wrong("", error.to_string(), "")];
                list.push(Own { file, profile: None, problems });
                continue;
            }
        };
        let (profile, mut problems) = read_profile(&text);
        let mut profile = profile.map(Arc::new);
        let twin = profile.as_ref().and_then(|profile| {
            let of_name = |own: &&Own| own.profile.as_ref().is_some_and(|it| it.name == profile.name);
            list.iter().find(of_name).map(|own| own.file.display().to_string())
        });
        if let Some(twin) = twin {
            let what = format!("{twin} has that name already");
            problems.push(wrong("name", what, "call one of them otherwise, or delete one"));
            profile = None;
        }
        list.push(Own { file, profile, problems });
    }
    Ok(list)
}

/// Puts a profile into a folder, `text` being its file as it was written (none: written here). Another profile of that
/// name is left as it is, or with `replace` kept beside it under its identity: nothing is lost.
///
/// # Errors
///
/// The disk says no.
pub fn add(folder: &Path, profile: &Profile, text: Option<&str>, replace: bool) -> Result<Added, DiskError> {
    let there = read_folder(folder)?;
    let of_name = there.iter().find_map(|own| {
        own.profile.as_ref().filter(|it| it.name == profile.name).map(|it| (own.file.clone(), it.clone()))
    });
    let written = || write_profile(profile);
    let text = text.map_or_else(written, str::to_owned);
    let Some((file, old)) = of_name else {
        let file = free_name(folder, &profile.name, &there);
        disk::keep(&file, &text)?;
        return Ok(Added::New(file));
    };
    if identity(&old) == identity(profile) {
        return Ok(Added::Same(file));
    }
    let differences = difference(&old, profile);
    if !replace {
        return Ok(Added::Differs { file, differences });
    }
    let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let kept = folder.join(format!("{stem}.{}.toml", identity(&old)));
    // First the old one beside, then the new one in its place: whenever this ends, one of them is whole.
    disk::keep(&kept, disk::load(&file)?)?;
    disk::keep(&file, &text)?;
    Ok(Added::Replaced { file, kept, differences })
}

fn wrong(field: &str, message: String, remedy: &str) -> Problem {
    let (field, remedy) = (field.to_owned(), remedy.to_owned());
    Problem { line: 1, column: 1, severity: Severity::Error, field, message, remedy }
}

/// `stem.0123456789ab.toml`: what was replaced.
fn is_kept(file: &Path) -> bool {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    stem.rsplit_once('.')
        .is_some_and(|(_, end)| end.len() == 12 && end.bytes().all(|c| c.is_ascii_hexdigit()))
}

/// A name for the file that no other has: the letters and figures of the profile's name.
fn free_name(folder: &Path, name: &str, there: &[Own]) -> PathBuf {
    let mut stem = String::new();
    for c in name.to_lowercase().chars() {
        if c.is_ascii_alphanumeric() {
            stem.push(c);
        } else if !stem.ends_with('-') && !stem.is_empty() {
            stem.push('-');
        }
    }
    let stem = stem.trim_matches('-').chars().take(60).collect::<String>();
    let stem = if stem.is_empty() { "light".to_owned() } else { stem };
    let taken = |file: &Path| there.iter().any(|own| own.file == file) || disk::stamp(file).is_ok();
    let first = folder.join(format!("{stem}.toml"));
    if !taken(&first) {
        return first;
    }
    (2..).map(|n| folder.join(format!("{stem}-{n}.toml"))).find(|file| !taken(file)).unwrap_or(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAR: &str = include_str!("../../profiles/rgb-par.toml");

    fn read(text: &str) -> Profile {
        read_profile(text).0.unwrap()
    }

    #[test]
    fn what_is_added_is_never_lost() {
        let folder = tempfile::tempdir().unwrap();
        let folder = folder.path().join("profiles");
        assert!(read_folder(&folder).unwrap().is_empty());
        let file = folder.join("rgb-par.toml");
        let other = PAR.replace("28 W", "31 W");
        assert_eq!(add(&folder, &read(PAR), Some(PAR), false).unwrap(), Added::New(file.clone()));
        assert_eq!(disk::load(&file).unwrap(), PAR, "with its remarks");
        assert_eq!(add(&folder, &read(PAR), None, true).unwrap(), Added::Same(file.clone()));
        let refused = add(&folder, &read(&other), Some(&other), false).unwrap();
        let Added::Differs { differences, .. } = refused else { panic!("{refused:?}") };
        assert_eq!(differences[0].to_string(), "power at full: 28 W is now 31 W");
        assert_eq!(disk::load(&file).unwrap(), PAR);
        let replaced = add(&folder, &read(&other), Some(&other), true).unwrap();
        let Added::Replaced { kept, .. } = replaced else { panic!("{replaced:?}") };
        assert_eq!(kept, folder.join(format!("rgb-par.{}.toml", identity(&read(PAR)))));
        assert_eq!((disk::load(&kept).unwrap(), disk::load(&file).unwrap()), (PAR.to_owned(), other));
        let there = read_folder(&folder).unwrap();
        assert_eq!(there.len(), 1, "what was replaced is none of the library: {there:?}");
    }

    #[test]
    fn a_file_that_cannot_be_used_is_told_and_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("rgb-par.toml");
        disk::save_atomic(&file, "name = 3\n").unwrap();
        disk::save_atomic(&folder.path().join("a.toml"), PAR.replace("RGB par", "twin")).unwrap();
        disk::save_atomic(&folder.path().join("b.toml"), PAR.replace("RGB par", "twin")).unwrap();
        let there = read_folder(folder.path()).unwrap();
        let usable: Vec<bool> = there.iter().map(|own| own.profile.is_some()).collect();
        assert_eq!(usable, [true, false, false]);
        assert!(there[1].problems[0].message.contains("a.toml has that name already"), "{there:?}");
        let added = add(folder.path(), &read(PAR), Some(PAR), true).unwrap();
        assert_eq!(added, Added::New(folder.path().join("rgb-par-2.toml")));
        assert_eq!(disk::load(&file).unwrap(), "name = 3\n");
    }
}
