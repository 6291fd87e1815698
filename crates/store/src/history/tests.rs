//! The history in one process: what it records, and what is left of it when it is stopped at any step.

mod crash;
mod model;

use std::fs;
use std::path::PathBuf;

use super::*;
use crate::DEMO_TEXT;

/// A show so small that it is read at once; `tempo` tells texts apart.
pub(super) fn show(tempo: u32) -> String {
    format!(
        "lanthorn = 1\n[show]\nname = \"x\"\ntempo = {tempo} # beats\n[room]\nname = \"hall\"\nx = [-5, 5]\n\
         y = [-8, 3]\nheight = \"4 m\"\n"
    )
}

/// A folder with a show in it, and its history.
struct Bench {
    folder: tempfile::TempDir,
    history: History,
    seen: Seen,
    now: i64,
}

impl Bench {
    fn new(text: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("dance.show.toml"), text).unwrap();
        let (history, seen) = History::open(&folder.path().join("dance.show.toml"), UnixTime(1_000)).unwrap();
        Self { folder, history, seen, now: 1_000 }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("dance.show.toml")
    }

    fn file(&self) -> String {
        fs::read_to_string(self.path()).unwrap()
    }

    fn now(&mut self) -> UnixTime {
        self.now += 1;
        UnixTime(self.now)
    }

    fn look(&mut self) -> Seen {
        let now = self.now();
        self.history.look(now).unwrap()
    }

    /// Closes it and opens it again.
    fn again(&mut self) -> Seen {
        let now = self.now();
        let (history, seen) = History::open(&self.path(), now).unwrap();
        self.history = history;
        seen
    }

    fn record(&mut self, text: &str, says: &str) -> Step {
        let (now, base) = (self.now(), self.look().version.id);
        done(self.history.record(base, text, says, "phone", now).unwrap())
    }

    fn undo(&mut self) -> Step {
        let (now, base) = (self.now(), self.look().version.id);
        done(self.history.undo(base, now).unwrap())
    }

    fn redo(&mut self) -> Step {
        let (now, base) = (self.now(), self.look().version.id);
        done(self.history.redo(base, now).unwrap())
    }

    fn says(&mut self) -> Vec<String> {
        self.history.list().unwrap().into_iter().map(|listed| listed.entry.says).collect()
    }
}

fn done(outcome: Outcome) -> Step {
    match outcome {
        Outcome::Done(step) => step,
        Outcome::Newer(version) => panic!("newer: {}", version.id),
    }
}

#[test]
fn an_edit_is_recorded_written_undone_and_redone_over_restarts() {
    let mut bench = Bench::new(&show(100));
    assert_eq!(bench.seen.taken_in.as_ref().unwrap().says, "The show as it was found.");
    let step = bench.record(&show(110), "Tempo 110.");
    assert_eq!((step.version.id.number(), step.entries.len()), (2, 1));
    let entry = &step.entries[0];
    assert_eq!((entry.who.as_str(), entry.says.as_str()), ("phone", "Tempo 110."));
    assert_eq!((entry.parent.map(EntryId::number), entry.at.0 > 1_000), (Some(1), true));
    assert_eq!(bench.file(), show(110));
    bench.record(&show(120), "Tempo 120.");
    assert_eq!(bench.undo().entries[0].says, "Tempo 120.");
    assert_eq!((bench.file(), bench.again().version.text), (show(110), show(110)));
    assert_eq!(bench.undo().version.text, show(100));
    let base = bench.look().version.id;
    let now = bench.now();
    assert!(matches!(bench.history.undo(base, now), Err(HistoryError::NothingToUndo)));
    bench.again();
    assert_eq!(bench.redo().entries[0].says, "Tempo 110.");
    assert_eq!(bench.redo().version.text, show(120));
    let base = bench.look().version.id;
    assert!(matches!(bench.history.redo(base, now), Err(HistoryError::NothingToRedo)));
    assert_eq!(bench.file(), show(120));
    // The same text again is nothing to record.
    assert_eq!(bench.record(&show(120), "Nothing.").entries, []);
    assert_eq!(bench.says().len(), 3);
}

#[test]
fn another_way_after_an_undo_leaves_the_first_in_the_list() {
    let mut bench = Bench::new(&show(100));
    bench.record(&show(110), "Tempo 110.");
    bench.undo();
    bench.record(&show(90), "Tempo 90.");
    let list = bench.history.list().unwrap();
    let told: Vec<_> = list.iter().map(|listed| (listed.entry.id.number(), listed.standing)).collect();
    assert_eq!(told, [(3, Standing::Now), (2, Standing::Aside), (1, Standing::Before)]);
    let (base, now) = (bench.look().version.id, bench.now());
    assert!(matches!(bench.history.redo(base, now), Err(HistoryError::NothingToRedo)));
    // What was undone comes back, and that can be undone itself.
    let to = bench.history.find("2").unwrap();
    let step = done(bench.history.restore(base, to, "phone", now).unwrap());
    assert_eq!((step.version.text, bench.file()), (show(110), show(110)));
    assert_eq!(step.entries[0].says, "Back to 2: Tempo 110.");
    assert_eq!(bench.undo().version.text, show(90));
}

#[test]
fn what_is_written_by_hand_is_taken_in_running_or_not() {
    let mut bench = Bench::new(&show(100));
    fs::write(bench.path(), show(101)).unwrap();
    let seen = bench.look();
    let says = "Edited by hand: show: tempo 101 instead of 100.";
    assert_eq!((seen.version.text, seen.taken_in.unwrap().says), (show(101), says.to_owned()));
    assert_eq!(bench.look().taken_in, None);
    // Between looking and recording.
    let base = bench.look().version.id;
    fs::write(bench.path(), show(102)).unwrap();
    let outcome = bench.history.record(base, &show(110), "Tempo 110.", "phone", UnixTime(5)).unwrap();
    let Outcome::Newer(newer) = outcome else { panic!("{outcome:?}") };
    assert_eq!((newer.text, bench.file()), (show(102), show(102)));
    for outcome in [
        bench.history.undo(base, UnixTime(5)).unwrap(),
        bench.history.redo(base, UnixTime(5)).unwrap(),
        bench.history.restore(base, base, "phone", UnixTime(5)).unwrap(),
    ] {
        assert!(matches!(outcome, Outcome::Newer(_)));
    }
    // While nothing runs: somebody is in the middle of something.
    let broken = show(103).replace("103", "");
    fs::write(bench.path(), &broken).unwrap();
    let seen = bench.again();
    let entry = seen.taken_in.unwrap();
    assert!(entry.who == BY_HAND && entry.says.ends_with("; it does not open."), "{}", entry.says);
    assert_eq!(seen.version.text, broken);
    fs::write(bench.path(), show(104)).unwrap();
    bench.look();
    // A way back does not lead into a show that does not open.
    let step = bench.undo();
    assert_eq!((step.version.text, step.entries.len()), (show(102), 2));
    let step = bench.redo();
    assert_eq!((step.version.text, step.entries.len()), (show(104), 2));
    let (base, to) = (step.version.id, entry.id);
    let refused = bench.history.restore(base, to, "phone", UnixTime(6)).unwrap_err();
    assert!(matches!(refused, HistoryError::DoesNotOpen { .. }), "{refused}");
    assert_eq!(bench.file(), show(104));
}

#[test]
fn a_text_that_does_not_open_is_refused_and_nothing_changes() {
    let mut bench = Bench::new(&show(100));
    let base = bench.look().version.id;
    let broken = show(100).replace("height = \"4 m\"", "height = \"4 kg\"");
    let refused = bench.history.record(base, &broken, "Higher.", "phone", UnixTime(5)).unwrap_err();
    assert!(refused.to_string().starts_with("the show would not open any more: line 9: "), "{refused}");
    let HistoryError::DoesNotOpen { problems } = refused else { panic!() };
    assert_eq!(problems[0].line, 9);
    assert_eq!((bench.file(), bench.says().len()), (show(100), 1));
}

#[test]
fn a_bookmark_is_a_name_to_come_back_to() {
    let mut bench = Bench::new(&show(100));
    bench.record(&show(110), "Tempo 110.");
    assert_eq!(bench.history.bookmark(" before doors ", UnixTime(5)).unwrap().id.number(), 2);
    bench.record(&show(120), "Tempo 120.");
    bench.again();
    let (to, now) = (bench.history.find("Before Doors").unwrap(), bench.history.find("now").unwrap());
    assert_eq!(bench.history.text(to).unwrap(), show(110));
    assert_eq!(bench.history.compare(to, now).unwrap(), ["show: tempo 120 instead of 110"]);
    assert_eq!(bench.history.compare(to, to).unwrap(), [""; 0]);
    let listed = bench.history.list().unwrap();
    assert_eq!(listed[1].bookmarks, ["before doors"]);
    let step = done(bench.history.restore(now, to, "phone", UnixTime(6)).unwrap());
    assert_eq!((step.version.text, bench.file()), (show(110), show(110)));
    for (name, why) in [
        ("", "one to 80"),
        ("12", "numbers name entries"),
        ("now", "the show as it is"),
        ("BEFORE doors", "there is a bookmark of that name"),
        ("a\nb", "on one line"),
        (&"x".repeat(81), "one to 80"),
    ] {
        let refused = bench.history.bookmark(name, UnixTime(5)).unwrap_err().to_string();
        assert!(refused.contains(why), "{refused}");
    }
    for which in ["99", "-1", "tomorrow", ""] {
        let refused = bench.history.find(which).unwrap_err().to_string();
        assert_eq!(refused, format!("there is no entry and no bookmark \"{which}\" in the history"));
    }
}

#[test]
fn what_comes_from_outside_is_kept_on_one_line() {
    let mut bench = Bench::new(&show(100));
    let base = bench.look().version.id;
    let says = format!("Tempo\n\u{1b}[31m{}", "x".repeat(400));
    let step = done(bench.history.record(base, &show(1_00 + 1), &says, "\tphone\r", UnixTime(5)).unwrap());
    let entry = &step.entries[0];
    assert_eq!((entry.says.chars().count(), entry.who.as_str()), (300, "phone"));
    assert!(entry.says.starts_with("Tempo  [31mx") && entry.says.ends_with('…'));
}

#[test]
fn a_show_that_is_not_there_gets_no_history() {
    let folder = tempfile::tempdir().unwrap();
    let error = History::open(&folder.path().join("gone.show.toml"), UnixTime(1)).unwrap_err();
    assert!(error.to_string().ends_with("there is no such file; check the name"), "{error}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_file_that_goes_away_takes_nothing_along() {
    let mut bench = Bench::new(&show(100));
    let base = bench.look().version.id;
    fs::remove_file(bench.path()).unwrap();
    let error = bench.history.record(base, &show(110), "Tempo 110.", "phone", UnixTime(5)).unwrap_err();
    assert!(error.to_string().contains("there is no such file"), "{error}");
    assert!(!bench.path().exists());
    // An empty file in its place, and the show comes back.
    fs::write(bench.path(), "").unwrap();
    assert!(bench.again().taken_in.is_some());
    assert_eq!(bench.undo().version.text, show(100));
    assert_eq!(bench.file(), show(100));
}

#[test]
fn two_programs_never_build_on_what_the_other_has_left() {
    let mut bench = Bench::new(&show(100));
    let (mut other, seen) = History::open(&bench.path(), UnixTime(2)).unwrap();
    assert_eq!(seen.taken_in, None);
    bench.record(&show(110), "Tempo 110.");
    let late = other.record(seen.version.id, &show(90), "Tempo 90.", "laptop", UnixTime(3)).unwrap();
    let Outcome::Newer(newer) = late else { panic!("{late:?}") };
    assert_eq!(newer.text, show(110));
    done(other.record(newer.id, &show(90), "Tempo 90.", "laptop", UnixTime(3)).unwrap());
    assert_eq!(bench.look().version.text, show(90));
    // One that holds it for long is waited for, and then named.
    other.db.execute_batch("BEGIN IMMEDIATE").unwrap();
    bench.history.db.busy_timeout(std::time::Duration::from_millis(20)).unwrap();
    let error = bench.history.look(UnixTime(4)).unwrap_err();
    assert!(error.to_string().ends_with("another program is using the history; try again in a moment"));
    other.db.execute_batch("ROLLBACK").unwrap();
    assert_eq!(bench.look().version.text, show(90));
}

#[test]
fn a_newer_history_and_another_programs_database_are_left_alone() {
    for (sql, words) in [
        ("PRAGMA user_version = 2", "was made by a newer lanthorn (version 2, this one reads 1)"),
        ("PRAGMA application_id = 7", "another program's database"),
    ] {
        let bench = Bench::new(&show(100));
        bench.history.db.execute_batch(sql).unwrap();
        let (folder, path, database) = (bench.folder, bench.history.path.clone(), bench.history);
        drop(database);
        let before = fs::read(&path).unwrap();
        let error = History::open(&folder.path().join("dance.show.toml"), UnixTime(2)).unwrap_err();
        assert!(error.to_string().contains(words), "{error}");
        assert!(fs::read(&path).unwrap() == before, "{words}: untouched");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "{words}: nothing beside it");
    }
}

#[test]
fn a_damaged_history_is_set_aside_and_the_show_opens() {
    let folder = tempfile::tempdir().unwrap();
    let (show_path, path) = (folder.path().join("dance.show.toml"), folder.path().join("dance.history"));
    fs::write(&show_path, show(100)).unwrap();
    for number in 1..=3 {
        fs::write(&path, "no database at all ".repeat(200)).unwrap();
        let (history, seen) = History::open(&show_path, UnixTime(1)).unwrap();
        let aside = seen.set_aside.unwrap();
        assert!(aside.ends_with(format!("dance.history.broken-{number}")), "{}", aside.display());
        assert!(fs::read_to_string(aside).unwrap().starts_with("no database"));
        assert_eq!(seen.version.text, show(100));
        drop(history);
    }
    // A text that is not what was recorded.
    let (mut history, seen) = History::open(&show_path, UnixTime(1)).unwrap();
    done(history.record(seen.version.id, &show(110), "Tempo 110.", "phone", UnixTime(2)).unwrap());
    history.db.execute_batch("UPDATE entry SET middle = 'other' WHERE id = 2").unwrap();
    let refused = history.text(EntryId(2)).unwrap_err();
    assert!(refused.to_string().contains("entry 2: its text is not what was recorded"), "{refused}");
    drop(history);
    let (_, seen) = History::open(&show_path, UnixTime(1)).unwrap();
    assert!(seen.set_aside.unwrap().ends_with("dance.history.broken-4"));
    assert_eq!(fs::read_to_string(&show_path).unwrap(), show(110));
}

#[cfg(unix)]
#[test]
fn the_history_of_a_linked_show_lies_beside_the_show_itself() {
    let bench = Bench::new(DEMO_TEXT);
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("link.show.toml");
    std::os::unix::fs::symlink(bench.path(), &link).unwrap();
    let (history, seen) = History::open(&link, UnixTime(2)).unwrap();
    assert_eq!((seen.taken_in, history.path()), (None, bench.history.path()));
    assert_eq!(fs::read_dir(elsewhere.path()).unwrap().count(), 1);
}

#[test]
fn histories_of_different_files_have_different_names() {
    for (show, history) in [
        ("a/dance.show.toml", "a/dance.history"),
        ("dance.toml", "dance.toml.history"),
        (".show.toml", ".show.toml.history"),
        ("dance", "dance.history"),
    ] {
        assert_eq!(files::history_of(Path::new(show)), PathBuf::from(history));
    }
}
