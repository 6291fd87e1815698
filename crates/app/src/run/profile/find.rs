//! Profiles as the command line names them: by name, or by the file that they stand in.

use std::path::Path;
use std::sync::Arc;

use lanthorn_fixture::Profile;
use lanthorn_store::{ShowFile, library, write_profile};

use super::super::Failure;
use super::read;

/// The profile in a file of any kind that can be read, and its text as a file of ours; whatever is wrong with it is in the
/// failure, a line for each problem. What is odd, or in question, is told.
pub(super) fn in_file(path: &Path) -> Result<(Arc<Profile>, String), Failure> {
    let held = read::read(path, None, &[])?;
    for odd in &held.odd {
        eprintln!("{odd}");
    }
    let open = held.reading.questions.len();
    if open > 0 {
        let name = path.display();
        let questions = if open == 1 { "1 question".to_owned() } else { format!("{open} questions") };
        eprintln!(
            "{name}: {questions} about it: `lanthorn profile read` asks them, and writes what is answered"
        );
    }
    let text = held.text.unwrap_or_else(|| write_profile(&held.profile));
    Ok((Arc::new(held.profile), text))
}

/// A profile of the library by its name in any letters, or of a file.
pub(super) fn one(name: &str) -> Result<Arc<Profile>, Failure> {
    let path = Path::new(name);
    if path.is_file() {
        return Ok(in_file(path)?.0);
    }
    let all = library::all();
    among(name, &all, "there is no kind of light")
}

/// A profile of a show by its name in any letters: one that it has lights of, or carries.
pub(super) fn within(file: &ShowFile, name: &str) -> Result<Arc<Profile>, Failure> {
    among(name, &of_show(file), "the show has no kind of light")
}

/// Every profile of a show, in the order of its lights, then what it carries besides.
pub(super) fn of_show(file: &ShowFile) -> Vec<Arc<Profile>> {
    let mut list: Vec<Arc<Profile>> = Vec::new();
    for profile in file.rig.units.iter().map(|unit| &unit.profile).chain(&file.profiles) {
        if list.iter().all(|known| known.name != profile.name) {
            list.push(profile.clone());
        }
    }
    list
}

fn among(name: &str, list: &[Arc<Profile>], none: &str) -> Result<Arc<Profile>, Failure> {
    let wanted = name.trim().to_lowercase();
    if let Some(found) = list.iter().find(|profile| profile.name.to_lowercase() == wanted) {
        return Ok(found.clone());
    }
    let holding: Vec<&Arc<Profile>> =
        list.iter().filter(|profile| profile.name.to_lowercase().contains(&wanted)).collect();
    match holding[..] {
        [only] => Ok(only.clone()),
        [] => Err(Failure::Input(format!(
            "{none} \"{name}\", and no file of that name: `lanthorn profile list` tells which there are"
        ))),
        _ => {
            let names: Vec<String> = holding.iter().map(|profile| format!("\"{}\"", profile.name)).collect();
            Err(Failure::Input(format!("\"{name}\" may be {}: write the whole name", names.join(", "))))
        }
    }
}
