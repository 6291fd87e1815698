//! What was found out, kept in the show's own file: at once, and without losing what another program wrote there.

use std::path::PathBuf;

use lanthorn_rig::sight::Sight;
use lanthorn_store::edit::{self, EditError, Finding};
use lanthorn_store::{disk, read_show};

/// How often a file is read anew when another program writes it at the same moment.
const TRIES: usize = 3;

/// One change of the file.
#[derive(Clone, Debug)]
pub(crate) enum Edit {
    /// A sight more.
    Add(u32, Sight),
    /// A sight less.
    Remove(u32, Sight),
    /// Something else found.
    Found(u32, Finding),
}

/// The show's file, and what is not in it yet.
#[derive(Debug)]
pub(crate) struct Book {
    /// None for the built-in show.
    path: Option<PathBuf>,
    waiting: Vec<Edit>,
}

impl Book {
    pub(crate) const fn new(path: Option<PathBuf>) -> Self {
        Self { path, waiting: Vec::new() }
    }

    /// Writes the changes, and those before that could not be written. What went wrong or is to be known, one sentence;
    /// empty when all is written.
    pub(crate) fn keep(&mut self, edits: impl IntoIterator<Item = Edit>) -> String {
        let Some(path) = &self.path else {
            return "The built-in show keeps it until it ends: `lanthorn new NAME --from demo` makes a show of your own that keeps it.".to_owned();
        };
        self.waiting.extend(edits);
        if self.waiting.is_empty() {
            return String::new();
        }
        match write(path, &self.waiting) {
            Ok(()) => {
                self.waiting.clear();
                String::new()
            }
            Err(why) => format!("It is kept here but not in the file yet: {why}."),
        }
    }

    /// `true` while something is not in the file yet.
    pub(crate) fn waits(&self) -> bool {
        !self.waiting.is_empty()
    }
}

/// Applies changes to what stands in the file now.
pub(crate) fn write(path: &std::path::Path, edits: &[Edit]) -> Result<(), String> {
    let load = || disk::load(path).map_err(|error| error.to_string());
    for _ in 0..TRIES {
        let text = load()?;
        let changed = applied(&text, edits).map_err(|why| format!("{}: {why}", path.display()))?;
        if changed == text {
            return Ok(());
        }
        // Written meanwhile by another program: its words count, ours are put into them.
        if load()? == text {
            return disk::save_atomic(path, &changed).map_err(|error| error.to_string());
        }
    }
    Err(format!("{}: another program keeps writing it", path.display()))
}

/// The text with the changes; or why they cannot be made, with the line where that is known.
fn applied(text: &str, edits: &[Edit]) -> Result<String, String> {
    readable(text)?;
    let mut changed = text.to_owned();
    for edit in edits {
        let next = match edit {
            Edit::Add(unit, sight) => edit::add_sight(&changed, *unit, sight),
            Edit::Remove(unit, sight) => match edit::remove_sight(&changed, *unit, sight) {
                // Somebody has taken it out already.
                Err(EditError::NoSuchPlace { .. }) => Ok(changed.clone()),
                other => other,
            },
            Edit::Found(unit, finding) => edit::set_found(&changed, *unit, *finding),
        };
        changed = next.map_err(|error| error.to_string())?;
    }
    readable(&changed)?;
    Ok(changed)
}

fn readable(text: &str) -> Result<(), String> {
    let (file, problems) = read_show(text);
    match problems.iter().find(|problem| problem.is_error()) {
        Some(problem) if file.is_none() => Err(format!("line {}: {}", problem.line, problem.message)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use lanthorn_physics::Point;
    use lanthorn_physics::units::Seconds;
    use lanthorn_store::DEMO_TEXT;

    use super::*;

    fn sight(pan: u16) -> Sight {
        Sight { mark: Some("cake".to_owned()), at: Point::new(-2.6, -0.2, 1.0), pan, tilt: 20_110 }
    }

    #[test]
    fn what_another_program_writes_is_never_lost() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("dance.show.toml");
        std::fs::write(&path, DEMO_TEXT).unwrap();
        let mut book = Book::new(Some(path.clone()));
        let text = || std::fs::read_to_string(&path).unwrap();
        assert_eq!(book.keep([Edit::Add(3, sight(1))]), "");
        // Somebody edits the file.
        let edited = text().replace("tempo = 96", "tempo = 104 # faster");
        std::fs::write(&path, &edited).unwrap();
        assert_eq!(book.keep([Edit::Add(3, sight(2))]), "");
        assert_eq!(text(), edit::add_sight(&edited, 3, &sight(2)).unwrap());
        // Somebody is in the middle of it: ours waits, theirs stays.
        let broken = text().replace("tempo = 104", "tempo = ");
        std::fs::write(&path, &broken).unwrap();
        let said = book.keep([Edit::Add(3, sight(3))]);
        assert!(
            said.starts_with("It is kept here but not in the file yet: ") && said.contains("line 8"),
            "{said}"
        );
        assert_eq!(text(), broken);
        assert!(book.waits());
        let mended = broken.replace("tempo =  # faster", "tempo = 100 # faster");
        std::fs::write(&path, &mended).unwrap();
        assert_eq!(book.keep([Edit::Found(3, Finding::PanTime(Some(Seconds::new(2.5))))]), "");
        let found = read_show(&text()).0.unwrap().rig.unit(3).unwrap().found.clone();
        assert_eq!(found.sights, [sight(1), sight(2), sight(3)]);
        assert_eq!(found.pan_time, Some(Seconds::new(2.5)));
        // One that somebody has taken out is out.
        assert_eq!(book.keep([Edit::Remove(3, sight(9)), Edit::Remove(3, sight(3))]), "");
        let found = read_show(&text()).0.unwrap().rig.unit(3).unwrap().found.clone();
        assert_eq!(found.sights, [sight(1), sight(2)]);
        // The light itself is gone: nothing is written that would not open.
        std::fs::write(&path, DEMO_TEXT.replace("numbers = \"2-3\"", "numbers = \"2,12\"")).unwrap();
        let before = text();
        assert!(book.keep([Edit::Add(3, sight(4))]).contains("there is no light 3"));
        assert_eq!(text(), before);
    }

    #[test]
    fn a_file_that_is_gone_is_said_and_the_built_in_show_says_how_to_keep_it() {
        let folder = tempfile::tempdir().unwrap();
        let mut book = Book::new(Some(folder.path().join("gone.show.toml")));
        assert!(book.keep([Edit::Add(3, sight(1))]).contains("there is no such file"));
        assert!(book.waits());
        let mut demo = Book::new(None);
        assert!(demo.keep([Edit::Add(3, sight(1))]).contains("lanthorn new NAME --from demo"));
        assert!(!demo.waits());
    }
}
