//! Every edit of a show, durable before it is acknowledged.
//!
//! The truth is the show's text file, `NAME.show.toml`. Beside it stands `NAME.history`: every text that the show ever
//! had, who changed it, when, and in a sentence what was done. A step goes in this order: the entry is made durable, the
//! file is written, the step is acknowledged. Whoever is interrupted in between is finished when the history is next
//! looked at. What somebody writes into the file by hand is taken in as one more entry and never overwritten unseen.
//!
//! Several programs may have the same history open. Each step therefore names the entry that it builds on; where the
//! show has gone on meanwhile the answer is [`Outcome::Newer`], with the newest text to apply the change to.

mod compare;
mod db;
mod files;
mod patch;
#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

use rusqlite::{Connection, Transaction, TransactionBehavior};

use crate::disk::DiskError;
use crate::problem::Problem;
use crate::show_file::read_show;
use db::{Fault, Note, State};
use files::{Disk, Files};

/// Who changed a file that no program of ours wrote.
pub const BY_HAND: &str = "by hand";

/// How often a file is looked at anew when somebody writes it at the same moment.
const TRIES: usize = 3;
/// Longest sentence and longest name that are kept, characters.
const LONGEST_SENTENCE: usize = 300;
const LONGEST_NAME: usize = 80;

/// A moment as computers count them: seconds since the beginning of 1970, UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct UnixTime(pub i64);

/// The number of an entry: from 1, in the order in which they were made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EntryId(i64);

impl EntryId {
    /// As people write it.
    pub const fn number(self) -> i64 {
        self.0
    }
}

impl std::fmt::Display for EntryId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.fmt(f)
    }
}

/// One edit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number.
    pub id: EntryId,
    /// The one that it was made from; none for the first.
    pub parent: Option<EntryId>,
    /// When it was recorded.
    pub at: UnixTime,
    /// The same as the clock on this machine's wall shows it: "2026-09-19 18:04".
    pub when: String,
    /// Who did it: a page's name, or [`BY_HAND`].
    pub who: String,
    /// What was done, one sentence.
    pub says: String,
}

/// Where an entry stands, seen from the show as it is now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The show is this.
    Now,
    /// The show came by it.
    Before,
    /// It was undone, or is another way that was left.
    Aside,
}

/// An entry in the list of all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// The entry itself.
    pub entry: Entry,
    /// The bookmarks on it, by name.
    pub bookmarks: Vec<String>,
    /// Where it stands.
    pub standing: Standing,
}

/// The show's text under its entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// Which entry.
    pub id: EntryId,
    /// The whole text.
    pub text: String,
}

/// What was found when a history was opened or looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// The show as it is now.
    pub version: Version,
    /// An edit by hand that was not known yet, or the first entry of a new history.
    pub taken_in: Option<Entry>,
    /// An entry whose way into the file had been interrupted, and is finished now.
    pub finished: Option<Entry>,
    /// Where a history that could not be read was moved to; this one is new.
    pub set_aside: Option<PathBuf>,
}

/// What became of a step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is done, and durable.
    Done(Step),
    /// Nothing was done: the show has gone on meanwhile. What is wanted is to be applied to this text.
    Newer(Version),
}

/// A step that is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// The show as it is now.
    pub version: Version,
    /// What was recorded, undone (the last first) or redone (the first first). Empty where nothing had to change.
    pub entries: Vec<Entry>,
}

/// Why the history did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum HistoryError {
    /// The show's file.
    #[error(transparent)]
    Disk(#[from] DiskError),
    /// Somebody else keeps writing the show's file.
    #[error("{path}: another program keeps writing this file; try again when it has ended", path = path.display())]
    Restless {
        /// The show's file.
        path: PathBuf,
    },
    /// Made by a newer program. It stays as it is.
    #[error("{path}: this history was made by a newer lanthorn (version {version}, this one reads {ours}); use that one", path = path.display())]
    Newer {
        /// The database.
        path: PathBuf,
        /// Its version.
        version: i64,
        /// The newest that is read.
        ours: i64,
    },
    /// Another program's. It stays as it is.
    #[error("{path}: this is another program's database where the history should be; move it elsewhere", path = path.display())]
    Foreign {
        /// The database.
        path: PathBuf,
    },
    /// In use.
    #[error("{path}: another program is using the history; try again in a moment", path = path.display())]
    Busy {
        /// The database.
        path: PathBuf,
    },
    /// What stands in it cannot be.
    #[error("{path}: the history is damaged ({reason}); open it anew: it is set aside then, and the show's file stays", path = path.display())]
    Broken {
        /// The database.
        path: PathBuf,
        /// What is wrong with it.
        reason: String,
    },
    /// The system says no.
    #[error("{path}: the history cannot be used ({reason}); look at its permissions and at free space", path = path.display())]
    System {
        /// The database.
        path: PathBuf,
        /// What the system said.
        reason: String,
    },
    /// A text that is no show is not recorded.
    #[error("the show would not open any more: {first}", first = first(problems))]
    DoesNotOpen {
        /// Everything that is wrong with it.
        problems: Vec<Problem>,
    },
    /// Nothing of that number or name.
    #[error("there is no entry and no bookmark \"{which}\" in the history")]
    NoSuch {
        /// What was asked for.
        which: String,
    },
    /// The show is at the first text that opens.
    #[error("there is nothing to undo")]
    NothingToUndo,
    /// Nothing was undone.
    #[error("there is nothing to redo")]
    NothingToRedo,
    /// No name for a bookmark.
    #[error("\"{name}\" cannot be the name of a bookmark: {why}")]
    BadName {
        /// The name.
        name: String,
        /// Why not.
        why: &'static str,
    },
}

/// The first problem in words.
fn first(problems: &[Problem]) -> String {
    let first = problems.iter().find(|problem| problem.is_error());
    first.map_or_else(String::new, Problem::in_line)
}

/// The history of one show.
#[derive(Debug)]
pub struct History {
    show: PathBuf,
    path: PathBuf,
    db: Connection,
    disk: Box<dyn Disk>,
}

/// Where a step leads.
struct Goal {
    version: Version,
    entries: Vec<Entry>,
    /// Whether the entry was made for this step.
    is_new: bool,
}

impl History {
    /// Opens the history of a show that has a file, or begins it; says what was found. A damaged history is set aside,
    /// so that only the show's own file, a newer version, another program's database or the system can be in the way.
    pub fn open(show: &Path, now: UnixTime) -> Result<(Self, Seen), HistoryError> {
        Self::open_on(Box::new(Files), show, now)
    }

    fn open_on(disk: Box<dyn Disk>, show: &Path, now: UnixTime) -> Result<(Self, Seen), HistoryError> {
        let show = disk.find(show)?;
        let path = files::history_of(&show);
        let (db, set_aside) = match opened(&path) {
            Ok(db) => (db, None),
            Err(Fault::Broken(_)) => {
                let failed = |reason: std::io::Error| Fault::System(reason.to_string()).at(&path);
                let aside = db::set_aside(&path).map_err(failed)?;
                (opened(&path).map_err(|fault| fault.at(&path))?, Some(aside))
            }
            Err(fault) => return Err(fault.at(&path)),
        };
        let mut history = Self { show, path, db, disk };
        let seen = history.look(now)?;
        Ok((history, Seen { set_aside, ..seen }))
    }

    /// `true` when the show of that file has a history.
    pub fn is_there(show: &Path) -> bool {
        files::history_of(show).exists()
    }

    /// Where the history itself is kept.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The show as it is now. An edit by hand is taken in, a step that was interrupted is finished.
    pub fn look(&mut self, now: UnixTime) -> Result<Seen, HistoryError> {
        let place = Place { show: &self.show, disk: &*self.disk, now };
        let mut look = || {
            let transaction = begun(&mut self.db)?;
            let seen = place.look(&transaction)?;
            transaction.commit()?;
            Ok(seen)
        };
        look().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// Records a text that was made from the entry `base`: durable, then in the file, then acknowledged. A text that
    /// does not open is refused.
    pub fn record(
        &mut self,
        base: EntryId,
        text: &str,
        says: &str,
        who: &str,
        now: UnixTime,
    ) -> Result<Outcome, HistoryError> {
        let (says, who) = (clean(says, LONGEST_SENTENCE), clean(who, LONGEST_NAME));
        self.step(base, now, |db, version| {
            if text == version.text {
                return Ok(Goal { version, entries: Vec::new(), is_new: false });
            }
            check(text)?;
            added(db, version.id, text, Note { at: now, who: &who, says: &says })
        })
    }

    /// Goes back before the last entry, passing by texts that do not open.
    pub fn undo(&mut self, base: EntryId, now: UnixTime) -> Result<Outcome, HistoryError> {
        self.step(base, now, |db, version| {
            let (mut id, mut entries) = (version.id, Vec::new());
            loop {
                let entry = known(db, id)?;
                let parent = entry.parent.ok_or(HistoryError::NothingToUndo)?;
                entries.push(entry);
                let text = db::text(db, parent)?;
                if opens(&text) {
                    return Ok(Goal { version: Version { id: parent, text }, entries, is_new: false });
                }
                id = parent;
            }
        })
    }

    /// Goes forward again to what was undone last, passing by texts that do not open.
    pub fn redo(&mut self, base: EntryId, now: UnixTime) -> Result<Outcome, HistoryError> {
        self.step(base, now, |db, version| {
            let (mut id, mut entries) = (version.id, Vec::new());
            loop {
                id = db::next(db, id)?.ok_or(HistoryError::NothingToRedo)?;
                entries.push(known(db, id)?);
                let text = db::text(db, id)?;
                if opens(&text) {
                    return Ok(Goal { version: Version { id, text }, entries, is_new: false });
                }
            }
        })
    }

    /// Makes the show what it was at an entry; that is an entry itself, so it can be undone.
    pub fn restore(
        &mut self,
        base: EntryId,
        to: EntryId,
        who: &str,
        now: UnixTime,
    ) -> Result<Outcome, HistoryError> {
        let who = clean(who, LONGEST_NAME);
        self.step(base, now, |db, version| {
            let entry = known(db, to)?;
            let text = db::text(db, to)?;
            if text == version.text {
                return Ok(Goal { version, entries: Vec::new(), is_new: false });
            }
            check(&text)?;
            let says = clean(&format!("Back to {to}: {}", entry.says), LONGEST_SENTENCE);
            added(db, version.id, &text, Note { at: now, who: &who, says: &says })
        })
    }

    /// What undo would take back and redo would do again; none where there is nothing.
    pub fn around(&self) -> Result<(Option<Entry>, Option<Entry>), HistoryError> {
        let around = || {
            let Some(state) = db::state(&self.db)? else { return Ok((None, None)) };
            let now = known(&self.db, state.head)?;
            let redo = db::next(&self.db, state.head)?.map(|id| known(&self.db, id)).transpose()?;
            Ok((now.parent.is_some().then_some(now), redo))
        };
        around().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// Gives the show as it is now a name to come back to. The name is not a number, not "now", and not taken.
    pub fn bookmark(&mut self, name: &str, now: UnixTime) -> Result<Entry, HistoryError> {
        let name = name.trim();
        let bad = |why| HistoryError::BadName { name: clean(name, LONGEST_NAME), why };
        if name.is_empty() || name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
            return Err(bad("write one to 80 letters, on one line"));
        }
        if name.parse::<i64>().is_ok() || name.eq_ignore_ascii_case("now") {
            return Err(bad("numbers name entries, and \"now\" is the show as it is"));
        }
        let place = Place { show: &self.show, disk: &*self.disk, now };
        let mut set = || {
            let transaction = begun(&mut self.db)?;
            let id = place.look(&transaction)?.version.id;
            if db::bookmark(&transaction, name)?.is_some() {
                return Err(bad("there is a bookmark of that name").into());
            }
            db::add_bookmark(&transaction, name, id, now)?;
            let entry = known(&transaction, id)?;
            transaction.commit()?;
            Ok(entry)
        };
        set().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// The entry of a number, a bookmark's name, or "now".
    pub fn find(&self, which: &str) -> Result<EntryId, HistoryError> {
        let which = which.trim();
        let find = || {
            let found = match which.parse() {
                Ok(number) => db::entry(&self.db, EntryId(number))?.map(|entry| entry.id),
                Err(_) if which.eq_ignore_ascii_case("now") => db::state(&self.db)?.map(|state| state.head),
                Err(_) => db::bookmark(&self.db, which)?,
            };
            found.ok_or_else(|| HistoryError::NoSuch { which: clean(which, LONGEST_NAME) }.into())
        };
        find().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// The text of an entry.
    pub fn text(&self, id: EntryId) -> Result<String, HistoryError> {
        let text = || {
            known(&self.db, id)?;
            db::text(&self.db, id)
        };
        text().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// What differs from one entry to another, by looks, cues, lights and so on; a line each, empty where nothing does.
    pub fn compare(&self, from: EntryId, to: EntryId) -> Result<Vec<String>, HistoryError> {
        Ok(compare::compare(&self.text(from)?, &self.text(to)?))
    }

    /// Every entry, the newest first.
    pub fn list(&mut self) -> Result<Vec<Listed>, HistoryError> {
        let mut list = || {
            // All three in one view of the database.
            let transaction = self.db.transaction()?;
            let (entries, bookmarks) = (db::entries(&transaction)?, db::bookmarks(&transaction)?);
            let state = db::state(&transaction)?;
            transaction.commit()?;
            Ok(listed(entries, &bookmarks, state.map(|state| state.head)))
        };
        list().map_err(|fault: Fault| fault.at(&self.path))
    }

    /// One step, whatever it is: `go` finds where it leads, with everything else as it was at `base`.
    fn step(
        &mut self,
        base: EntryId,
        now: UnixTime,
        go: impl FnOnce(&Connection, Version) -> Result<Goal, Fault>,
    ) -> Result<Outcome, HistoryError> {
        let place = Place { show: &self.show, disk: &*self.disk, now };
        place.step(&mut self.db, base, go).map_err(|fault| fault.at(&self.path))
    }
}

/// Opens the database; one whose last texts cannot be put together is broken.
fn opened(path: &Path) -> Result<Connection, Fault> {
    let db = db::open(path)?;
    if let Some(state) = db::state(&db)? {
        db::text(&db, state.head)?;
        db::text(&db, state.written)?;
    }
    Ok(db)
}

/// A transaction that no other program can come between.
fn begun(db: &mut Connection) -> Result<Transaction<'_>, Fault> {
    Ok(db.transaction_with_behavior(TransactionBehavior::Immediate)?)
}

/// An entry of which somebody gave the number.
fn known(db: &Connection, id: EntryId) -> Result<Entry, Fault> {
    db::entry(db, id)?.ok_or_else(|| HistoryError::NoSuch { which: id.to_string() }.into())
}

/// A new entry as a goal.
fn added(db: &Connection, parent: EntryId, text: &str, note: Note<'_>) -> Result<Goal, Fault> {
    let id = db::add(db, Some(parent), text, note)?;
    let version = Version { id, text: text.to_owned() };
    Ok(Goal { version, entries: vec![known(db, id)?], is_new: true })
}

/// Says what is wrong with a text that does not open.
fn check(text: &str) -> Result<(), HistoryError> {
    match read_show(text) {
        (Some(_), _) => Ok(()),
        (None, problems) => Err(HistoryError::DoesNotOpen { problems }),
    }
}

fn opens(text: &str) -> bool {
    check(text).is_ok()
}

/// On one line, without what a terminal would obey, not longer than it may be.
fn clean(text: &str, most: usize) -> String {
    let mut clean: String =
        text.trim().chars().map(|c| if c.is_control() { ' ' } else { c }).take(most + 1).collect();
    if clean.chars().count() > most {
        clean = clean.chars().take(most - 1).chain(['…']).collect();
    }
    clean
}

fn listed(entries: Vec<Entry>, bookmarks: &[(String, EntryId)], head: Option<EntryId>) -> Vec<Listed> {
    // From the newest to the oldest: each parent is older than its child.
    let mut on_the_way = head;
    let list = entries.into_iter().map(|entry| {
        let names = bookmarks.iter().filter(|(_, id)| *id == entry.id).map(|(name, _)| name.clone());
        let standing = if Some(entry.id) == head { Standing::Now } else { Standing::Before };
        let here = on_the_way == Some(entry.id);
        if here {
            on_the_way = entry.parent;
        }
        Listed { bookmarks: names.collect(), standing: if here { standing } else { Standing::Aside }, entry }
    });
    list.collect()
}

/// The show's file, and the moment at which it is looked at.
struct Place<'h> {
    show: &'h Path,
    disk: &'h dyn Disk,
    now: UnixTime,
}

impl Place<'_> {
    /// Brings file and history together, inside a transaction.
    fn look(&self, db: &Connection) -> Result<Seen, Fault> {
        for _ in 0..TRIES {
            let text = self.disk.load(self.show)?;
            let Some(state) = db::state(db)? else {
                return self.take_in(db, None, text);
            };
            let hash = patch::hash(&text);
            let mut finished = None;
            if hash != db::hash(db, state.head)? {
                let is_late = state.written != state.head && hash == db::hash(db, state.written)?;
                if !is_late {
                    return self.take_in(db, Some(state), text);
                }
                let newest = db::text(db, state.head)?;
                if !self.disk.save_over(self.show, &text, &newest)? {
                    continue;
                }
                finished = Some(known(db, state.head)?);
            }
            if state.written != state.head {
                db::set_state(db, State { written: state.head, ..state })?;
            }
            let version = Version { id: state.head, text: db::text(db, state.head)? };
            return Ok(Seen { version, taken_in: None, finished, set_aside: None });
        }
        Err(HistoryError::Restless { path: self.show.to_owned() }.into())
    }

    /// Takes a text in that somebody wrote by hand.
    fn take_in(&self, db: &Connection, state: Option<State>, text: String) -> Result<Seen, Fault> {
        let parent = state.map(|state| state.written);
        let mut says = match parent {
            None => "The show as it was found".to_owned(),
            Some(parent) => by_hand(&compare::compare(&db::text(db, parent)?, &text)),
        };
        if !opens(&text) {
            says.push_str("; it does not open");
        }
        let says = clean(&format!("{says}."), LONGEST_SENTENCE);
        let id = db::add(db, parent, &text, Note { at: self.now, who: BY_HAND, says: &says })?;
        db::set_state(db, State { head: id, written: id })?;
        let taken_in = Some(known(db, id)?);
        Ok(Seen { version: Version { id, text }, taken_in, finished: None, set_aside: None })
    }

    fn step(
        &self,
        db: &mut Connection,
        base: EntryId,
        go: impl FnOnce(&Connection, Version) -> Result<Goal, Fault>,
    ) -> Result<Outcome, Fault> {
        let transaction = begun(db)?;
        let before = self.look(&transaction)?.version;
        if before.id != base {
            transaction.commit()?;
            return Ok(Outcome::Newer(before));
        }
        let redo = db::next(&transaction, base)?;
        let text = before.text.clone();
        let goal = go(&transaction, before)?;
        db::set_state(&transaction, State { head: goal.version.id, written: base })?;
        transaction.commit()?;

        // From here on it is durable; the file follows, and then the answer.
        let transaction = begun(db)?;
        let gone_on = db::state(&transaction)?.is_none_or(|state| state.head != goal.version.id);
        let outcome = if gone_on { Ok(None) } else { self.write(&transaction, &text, &goal) };
        let outcome = match outcome {
            Ok(None) => Ok(Outcome::Done(Step { version: goal.version, entries: goal.entries })),
            // Nobody has been told of it: it is taken back.
            Ok(Some(by_hand)) => {
                take_back(&transaction, base, redo, &goal)?;
                let state = Some(State { head: base, written: base });
                Ok(Outcome::Newer(self.take_in(&transaction, state, by_hand)?.version))
            }
            Err(fault) => {
                take_back(&transaction, base, redo, &goal)?;
                Err(fault)
            }
        };
        transaction.commit()?;
        outcome
    }

    /// Writes a goal over the text before it. What somebody has written there meanwhile by hand is the answer.
    fn write(&self, db: &Connection, old: &str, goal: &Goal) -> Result<Option<String>, Fault> {
        let new = &goal.version.text;
        if old != new {
            match self.disk.save_over(self.show, old, new) {
                Ok(true) => {}
                Ok(false) => match self.disk.load(self.show)? {
                    now if now == *new => {} // another program was quicker to finish it
                    now => return Ok(Some(now)),
                },
                // In its place after all, and perhaps not for long: the next look makes sure.
                Err(_) if self.disk.load(self.show).is_ok_and(|now| now == *new) => return Ok(None),
                Err(error) => return Err(error.into()),
            }
        }
        db::set_state(db, State { head: goal.version.id, written: goal.version.id })?;
        Ok(None)
    }
}

/// As if a step had not been.
fn take_back(db: &Connection, base: EntryId, redo: Option<EntryId>, goal: &Goal) -> Result<(), Fault> {
    db::set_state(db, State { head: base, written: base })?;
    db::set_next(db, base, redo)?;
    if goal.is_new {
        db::drop_last(db, goal.version.id)?;
    }
    Ok(())
}

/// What was done by hand, in a sentence without its full stop.
fn by_hand(differences: &[String]) -> String {
    match differences {
        [] => "Edited by hand".to_owned(),
        [one] => format!("Edited by hand: {one}"),
        [one, two] => format!("Edited by hand: {one}; {two}"),
        [one, two, rest @ ..] => format!("Edited by hand: {one}; {two}; and {} more", rest.len()),
    }
}
