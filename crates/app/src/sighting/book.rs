//! What was found out, kept in the show's own file: at once, and without losing what another program wrote there.

use std::path::{Path, PathBuf};

use lanthorn_rig::sight::Sight;
use lanthorn_store::edit::{self, EditError, Finding};
use lanthorn_store::history::Outcome;
use lanthorn_store::{History, read_show};

use crate::files::now;

/// How often a change is made anew when another program changes the show at the same moment.
const TRIES: usize = 3;
/// Who the history says it was.
const WHO: &str = "sighting in";

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

impl Edit {
    /// What was done, for the history.
    fn says(&self) -> String {
        let mark =
            |sight: &Sight| sight.mark.as_ref().map_or("a point".to_owned(), |mark| format!("\"{mark}\""));
        match self {
            Self::Add(unit, sight) => format!("Light {unit}: sighted on {}", mark(sight)),
            Self::Remove(unit, sight) => format!("Light {unit}: the sight on {} is taken back", mark(sight)),
            Self::Found(unit, finding) => {
                let (what, is_found) = match finding {
                    Finding::PanBackwards(found) => ("which way pan runs", found.is_some()),
                    Finding::PanTime(found) => ("how long pan takes from end to end", found.is_some()),
                    Finding::TiltTime(found) => ("how long tilt takes from end to end", found.is_some()),
                };
                let found = if is_found { "found" } else { "forgotten" };
                format!("Light {unit}: {found}: {what}")
            }
        }
    }
}

/// The show's file, and what is not in it yet.
#[derive(Debug)]
pub(crate) struct Book {
    /// None for the built-in show.
    path: Option<PathBuf>,
    /// Open once something was to be written.
    history: Option<History>,
    waiting: Vec<Edit>,
}

impl Book {
    pub(crate) const fn new(path: Option<PathBuf>) -> Self {
        Self { path, history: None, waiting: Vec::new() }
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
        match write_through(&mut self.history, path, &self.waiting) {
            Ok(said) => {
                self.waiting.clear();
                said
            }
            Err(why) => {
                // Whatever is in the way of it is looked at anew the next time.
                self.history = None;
                format!("It is kept here but not in the file yet: {why}.")
            }
        }
    }

    /// `true` while something is not in the file yet.
    pub(crate) fn waits(&self) -> bool {
        !self.waiting.is_empty()
    }
}

/// Applies changes to what stands in the file now, through the show's history. What is to be known, one sentence;
/// mostly empty.
pub(crate) fn write(path: &Path, edits: &[Edit]) -> Result<String, String> {
    write_through(&mut None, path, edits)
}

fn write_through(history: &mut Option<History>, path: &Path, edits: &[Edit]) -> Result<String, String> {
    let mut said = String::new();
    if history.is_none() {
        let (opened, seen) = History::open(path, now()).map_err(|error| error.to_string())?;
        if let Some(aside) = seen.set_aside {
            said = format!(
                "The show's history was damaged: it is kept as {}, a new one begins.",
                aside.display()
            );
        }
        *history = Some(opened);
    }
    let Some(history) = history else { return Ok(said) };
    let mut version = history.look(now()).map_err(|error| error.to_string())?.version;
    let says = edits.iter().map(Edit::says).collect::<Vec<_>>().join("; ");
    for _ in 0..TRIES {
        let changed = applied(&version.text, edits).map_err(|why| format!("{}: {why}", path.display()))?;
        let outcome = history.record(version.id, &changed, &format!("{says}."), WHO, now());
        match outcome.map_err(|error| error.to_string())? {
            Outcome::Done(_) => return Ok(said),
            // Changed meanwhile by another program: its words count, ours are put into them.
            Outcome::Newer(newer) => version = newer,
        }
    }
    Err(format!("{}: another program keeps changing it", path.display()))
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
        Some(problem) if file.is_none() => Err(problem.in_line()),
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
