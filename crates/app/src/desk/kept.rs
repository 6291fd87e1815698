//! Where the texts of the show are kept.

use std::path::{Path, PathBuf};

use lanthorn_store::History;
use lanthorn_store::change::{Change, apply};
use lanthorn_store::history::{EntryId, HistoryError, Outcome, Step, Version};

use super::history::told;
use crate::current::Edits;
use crate::files::now;
use crate::wire::HistoryView;
use crate::words::small;

/// How often a change is made anew when another program changes the show at the same moment.
const TRIES: usize = 3;

/// The show's file with its history, or the texts of one that is built in.
#[derive(Debug)]
pub(crate) enum Kept {
    File {
        path: PathBuf,
        /// Who the history says it was.
        who: &'static str,
        /// Open once there is one, or something was to be written.
        history: Option<History>,
    },
    Memory {
        /// What was done to come to each, and the text; never empty.
        texts: Vec<(String, String)>,
        at: usize,
    },
}

/// The show as it is now.
#[derive(Clone, Debug)]
struct Now {
    id: Option<EntryId>,
    text: String,
}

/// A step that is done.
#[derive(Clone, Debug)]
pub(crate) struct Stepped {
    pub(crate) text: String,
    /// What was done, taken back or done again.
    pub(crate) says: String,
    /// What else is to be known; mostly empty.
    pub(crate) note: String,
}

/// Why a change was not made; a sentence.
#[derive(Debug)]
pub(crate) enum NotMade {
    /// It cannot be made in this show.
    Refused(String),
    /// The show cannot be kept.
    NotKept(String),
}

impl NotMade {
    pub(super) fn says(self) -> String {
        let (Self::Refused(says) | Self::NotKept(says)) = self;
        says
    }
}

impl From<Version> for Now {
    fn from(version: Version) -> Self {
        Self { id: Some(version.id), text: version.text }
    }
}

impl Kept {
    /// The show of that file, or with that text where it has none; `who` changes it.
    pub(crate) fn new(path: Option<PathBuf>, text: String, who: &'static str) -> Self {
        let Some(path) = path else {
            return Self::Memory { texts: vec![(String::new(), text)], at: 0 };
        };
        // One that is there is opened, so that what was done before can be taken back.
        let history = History::is_there(&path).then(|| History::open(&path, now()).ok()).flatten();
        Self::File { path, who, history: history.map(|(history, _)| history) }
    }

    /// Makes a change in the show as it is now: durable before this returns.
    pub(crate) fn change(&mut self, change: &Change) -> Result<Stepped, NotMade> {
        let mut now = self.now().map_err(NotMade::NotKept)?;
        for _ in 0..TRIES {
            let changed =
                apply(&now.text, change).map_err(|refused| NotMade::Refused(refused.to_string()))?;
            match self.record(&now, &changed.text, &changed.says).map_err(NotMade::NotKept)? {
                Ok(stepped) => return Ok(stepped),
                // Changed meanwhile by another program: its words count, this change is made in them.
                Err(newer) => now = newer,
            }
        }
        let why = "another program keeps changing the show's file; try again when it has ended";
        Err(NotMade::NotKept(why.to_owned()))
    }

    /// The show's text as it is now.
    pub(super) fn text(&mut self) -> Result<String, String> {
        self.now().map(|now| now.text)
    }

    /// The show as it is now; what another program wrote is taken in.
    fn now(&mut self) -> Result<Now, String> {
        match self {
            Self::Memory { texts, at } => Ok(Now { id: None, text: texts[*at].1.clone() }),
            Self::File { path, history, .. } => {
                with(path, history, |history| history.look(now())).map(|seen| seen.version.into())
            }
        }
    }

    /// Takes in what another program wrote, if there is a history.
    pub(super) fn look(&mut self) {
        if let Self::File { history: Some(history), .. } = self {
            // What is in the way of it is told with the next change.
            let _ = history.look(now());
        }
    }

    /// Keeps a text made from `base`; or the newer one on which it should have been built.
    fn record(&mut self, base: &Now, text: &str, says: &str) -> Result<Result<Stepped, Now>, String> {
        let stepped =
            |note: &str| Stepped { text: text.to_owned(), says: says.to_owned(), note: note.to_owned() };
        match self {
            Self::Memory { texts, at } => {
                if texts[*at].1 == text {
                    return Ok(Ok(stepped("")));
                }
                let first = texts.len() == 1;
                texts.truncate(*at + 1);
                texts.push((says.to_owned(), text.to_owned()));
                *at += 1;
                let note = "The built-in show keeps it until it ends: `lanthorn new NAME --from demo` makes a show of \
                            your own.";
                Ok(Ok(stepped(if first { note } else { "" })))
            }
            Self::File { path, who, history } => {
                let Some(id) = base.id else { return Err("the show has no history: try again".to_owned()) };
                let outcome = with(path, history, |history| history.record(id, text, says, who, now()))?;
                Ok(match outcome {
                    Outcome::Done(_) => Ok(stepped("")),
                    Outcome::Newer(newer) => Err(newer.into()),
                })
            }
        }
    }

    pub(super) fn undo(&mut self) -> Result<Stepped, String> {
        self.step(-1, |history, id| history.undo(id, now()))
    }

    pub(super) fn redo(&mut self) -> Result<Stepped, String> {
        self.step(1, |history, id| history.redo(id, now()))
    }

    /// Makes the show what it was at an entry of its history; that can be undone.
    pub(super) fn restore(&mut self, id: u32) -> Result<Stepped, String> {
        let (_, who, _) = self.of_file()?;
        self.step(0, |history, base| {
            let to = history.find(&id.to_string())?;
            history.restore(base, to, who, now())
        })
        .map(|stepped| match stepped.says.as_str() {
            "" => Stepped { says: "the show is that already".to_owned(), ..stepped },
            _ => stepped,
        })
    }

    /// Gives the show as it is now a name to come back to. What was done, in words.
    pub(super) fn bookmark(&mut self, name: &str) -> Result<String, String> {
        let (path, _, history) = self.of_file()?;
        with(path, history, |history| history.bookmark(name, now()))?;
        Ok(format!("The show as it is now is kept as \"{}\".", name.trim()))
    }

    /// What the page is told of the history.
    pub(super) fn history(&mut self) -> Result<HistoryView, String> {
        let (path, _, history) = self.of_file()?;
        with(path, history, |history| {
            let id = history.look(now())?.version.id;
            told(history, id)
        })
    }

    fn of_file(&mut self) -> Result<(&Path, &'static str, &mut Option<History>), String> {
        match self {
            Self::Memory { .. } => {
                Err("the built-in show keeps no history: `lanthorn new NAME --from demo` makes a show \
                                        of your own"
                    .to_owned())
            }
            Self::File { path, who, history } => Ok((path, who, history)),
        }
    }

    fn step(
        &mut self,
        by: isize,
        go: impl Fn(&mut History, EntryId) -> Result<Outcome, HistoryError>,
    ) -> Result<Stepped, String> {
        match self {
            Self::Memory { texts, at } => {
                let to = at.checked_add_signed(by).filter(|to| *to < texts.len());
                let to =
                    to.ok_or(if by < 0 { "there is nothing to undo" } else { "there is nothing to redo" })?;
                let says = texts[to.max(*at)].0.clone();
                *at = to;
                Ok(Stepped { text: texts[to].1.clone(), says, note: String::new() })
            }
            Self::File { path, history, .. } => with(path, history, |history| {
                // What another program has just done is what is taken back.
                let id = history.look(now())?.version.id;
                go(history, id)
            })
            .and_then(|outcome| match outcome {
                Outcome::Done(Step { version, entries }) => {
                    let says: Vec<&str> = entries.iter().map(|entry| entry.says.as_str()).collect();
                    Ok(Stepped { text: version.text, says: says.join(" "), note: String::new() })
                }
                Outcome::Newer(_) => {
                    Err("another program has just changed the show: look, and try again".to_owned())
                }
            }),
        }
    }

    /// What undo would take back and redo would do again.
    pub(super) fn edits(&self) -> Edits {
        let words = |says: &str| small(says).trim_end_matches('.').to_owned();
        match self {
            Self::Memory { texts, at } => Edits {
                undo: (*at > 0).then(|| words(&texts[*at].0)),
                redo: texts.get(at + 1).map(|(says, _)| words(says)),
                ..Edits::default()
            },
            Self::File { history, .. } => {
                let around = history.as_ref().and_then(|history| history.around().ok());
                let (undo, redo) = around.unwrap_or_default();
                Edits {
                    undo: undo.map(|entry| words(&entry.says)),
                    redo: redo.map(|entry| words(&entry.says)),
                    ..Edits::default()
                }
            }
        }
    }
}

/// Does something with the history, opened if need be. What goes wrong closes it: whatever was in the way is looked at anew
/// the next time.
fn with<T>(
    path: &Path,
    kept: &mut Option<History>,
    go: impl FnOnce(&mut History) -> Result<T, HistoryError>,
) -> Result<T, String> {
    let mut history = match kept.take() {
        Some(history) => history,
        None => History::open(path, now()).map_err(|error| error.to_string())?.0,
    };
    match go(&mut history) {
        Ok(done) => {
            *kept = Some(history);
            Ok(done)
        }
        // These say something of the show, not of the history.
        Err(
            why @ (HistoryError::NothingToUndo
            | HistoryError::NothingToRedo
            | HistoryError::DoesNotOpen { .. }
            | HistoryError::BadName { .. }
            | HistoryError::NoSuch { .. }),
        ) => {
            *kept = Some(history);
            Err(why.to_string())
        }
        Err(why) => Err(why.to_string()),
    }
}
