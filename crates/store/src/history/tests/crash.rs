//! Stopped at any step: the folder is copied as it stands there, and the copy is opened as if after a crash.

use std::path::Path;
use std::sync::{Arc, Mutex};

use super::*;

/// What the folder looked like at each step, with a word for it.
type Copies = Arc<Mutex<Vec<(String, tempfile::TempDir)>>>;

/// What fails at the next writing.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fails {
    Nothing,
    /// Nothing is written.
    Before,
    /// It is written, and then reported as failed.
    After,
    /// Somebody writes the file at the last moment.
    ByHand,
}

/// Real files, with a copy of the folder before and after each writing.
#[derive(Debug)]
struct Copying {
    copies: Copies,
    fails: Arc<Mutex<Fails>>,
}

fn copy(folder: &Path) -> tempfile::TempDir {
    let copy = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(folder).unwrap() {
        let entry = entry.unwrap();
        // The shared memory of the database does not outlive its programs.
        if !entry.file_name().to_string_lossy().ends_with("-shm") {
            fs::copy(entry.path(), copy.path().join(entry.file_name())).unwrap();
        }
    }
    copy
}

impl Disk for Copying {
    fn find(&self, show: &Path) -> Result<PathBuf, DiskError> {
        Files.find(show)
    }

    fn load(&self, show: &Path) -> Result<String, DiskError> {
        Files.load(show)
    }

    fn save_over(&self, show: &Path, old: &str, new: &str) -> Result<bool, DiskError> {
        let failed = || DiskError::System {
            path: show.to_owned(),
            doing: "writing",
            reason: std::io::Error::other("no space left"),
        };
        let keep = |word: &str| {
            let folder = copy(show.parent().unwrap());
            self.copies.lock().unwrap().push((word.to_owned(), folder));
        };
        let fails = std::mem::replace(&mut *self.fails.lock().unwrap(), Fails::Nothing);
        keep("recorded, not written");
        match fails {
            Fails::Nothing => {}
            Fails::Before => return Err(failed()),
            Fails::After => {
                Files.save_over(show, old, new)?;
                return Err(failed());
            }
            Fails::ByHand => fs::write(show, super::show(77)).unwrap(),
        }
        let saved = Files.save_over(show, old, new);
        keep("written, not known to be");
        saved
    }
}

fn bench() -> (Bench, Copies, Arc<Mutex<Fails>>) {
    let mut bench = Bench::new(&show(100));
    let (copies, fails) = (Copies::default(), Arc::new(Mutex::new(Fails::Nothing)));
    let disk = Copying { copies: copies.clone(), fails: fails.clone() };
    bench.history = History::open_on(Box::new(disk), &bench.path(), UnixTime(1)).unwrap().0;
    (bench, copies, fails)
}

#[test]
fn a_step_that_was_stopped_anywhere_is_finished_or_has_not_been() {
    let (mut bench, copies, _) = bench();
    let mut acknowledged = vec![(0, show(100))];
    let mut after = |steps: &Copies, text: String| acknowledged.push((steps.lock().unwrap().len(), text));
    for tempo in [110, 120, 130] {
        bench.record(&show(tempo), "Tempo.");
        after(&copies, show(tempo));
    }
    for text in [bench.undo().version.text, bench.undo().version.text, bench.redo().version.text] {
        after(&copies, text);
    }
    bench.record(&show(90), "Another way.");
    after(&copies, show(90));
    let copies = std::mem::take(&mut *copies.lock().unwrap());
    assert_eq!(copies.len(), 14, "two for each step");
    for (index, (word, folder)) in copies.iter().enumerate() {
        let file = folder.path().join("dance.show.toml");
        // The step that was on has been recorded, so it is finished.
        let text = &acknowledged[index / 2 + 1].1;
        let (mut history, seen) = History::open(&file, UnixTime(9)).unwrap();
        assert_eq!((&seen.version.text, &seen.taken_in), (text, &None), "{index}: {word}");
        assert_eq!(seen.finished.is_some(), index % 2 == 0, "{index}: {word}");
        assert_eq!(&fs::read_to_string(&file).unwrap(), text, "{index}: {word}");
        for (entry, (_, text)) in (2..).zip(&acknowledged[1..=(index / 2 + 1).min(3)]) {
            assert_eq!(&history.text(EntryId(entry)).unwrap(), text, "{index}: {word}");
        }
        // And it goes on from there.
        done(history.record(seen.version.id, &show(150), "On.", "phone", UnixTime(10)).unwrap());
    }
}

#[test]
fn edited_by_hand_after_a_crash_the_hand_counts_and_the_step_is_kept() {
    let (mut bench, copies, _) = bench();
    bench.record(&show(110), "Tempo 110.");
    let folder = copies.lock().unwrap().remove(0).1;
    let file = folder.path().join("dance.show.toml");
    fs::write(&file, show(95)).unwrap();
    let (mut history, seen) = History::open(&file, UnixTime(9)).unwrap();
    assert_eq!(seen.version.text, show(95));
    assert_eq!(seen.taken_in.unwrap().says, "Edited by hand: show: tempo 95 instead of 100.");
    assert_eq!(history.list().unwrap()[1].standing, Standing::Aside);
    assert_eq!(history.text(EntryId(2)).unwrap(), show(110));
    assert_eq!(fs::read_to_string(&file).unwrap(), show(95));
}

#[test]
fn a_step_that_cannot_be_written_has_not_been() {
    let (mut bench, _, fails) = bench();
    bench.record(&show(110), "Tempo 110.");
    let base = bench.undo().version.id;
    *fails.lock().unwrap() = Fails::Before;
    let error = bench.history.record(base, &show(120), "Tempo 120.", "phone", UnixTime(5)).unwrap_err();
    assert!(error.to_string().contains("no space left"), "{error}");
    assert_eq!((bench.file(), bench.says().len()), (show(100), 2));
    assert_eq!(bench.look().version.id, base);
    // The way forward is still there; and it fails and works in the same way.
    *fails.lock().unwrap() = Fails::Before;
    assert!(bench.history.redo(base, UnixTime(5)).is_err());
    assert_eq!((bench.file(), bench.again().version.text), (show(100), show(100)));
    assert_eq!(bench.redo().version.text, show(110));
}

#[test]
fn a_step_that_is_in_its_place_after_all_is_done() {
    let (mut bench, _, fails) = bench();
    *fails.lock().unwrap() = Fails::After;
    assert_eq!(bench.record(&show(110), "Tempo 110.").version.text, show(110));
    let seen = bench.look();
    assert_eq!((seen.version.text, seen.taken_in, bench.file()), (show(110), None, show(110)));
}

#[test]
fn a_hand_at_the_last_moment_counts_and_the_step_is_told_so() {
    let (mut bench, _, fails) = bench();
    let base = bench.look().version.id;
    *fails.lock().unwrap() = Fails::ByHand;
    let outcome = bench.history.record(base, &show(110), "Tempo 110.", "phone", UnixTime(5)).unwrap();
    let Outcome::Newer(newer) = outcome else { panic!("{outcome:?}") };
    assert_eq!((newer.text, bench.file()), (show(77), show(77)));
    let says = ["Edited by hand: show: tempo 77 instead of 100.", "The show as it was found."];
    assert_eq!(bench.says(), says, "what nobody was told of is gone");
    done(bench.history.record(newer.id, &show(110), "Tempo 110.", "phone", UnixTime(6)).unwrap());
}

#[test]
fn a_log_that_was_cut_off_anywhere_opens_and_the_file_counts() {
    let (mut bench, copies, _) = bench();
    for tempo in 101..=106 {
        bench.record(&show(tempo), "Tempo.");
    }
    let folder = copies.lock().unwrap().pop().unwrap().1;
    let log = fs::read(folder.path().join("dance.history-wal")).unwrap();
    for cut in (0..log.len()).step_by(1_537) {
        let folder = copy(folder.path());
        let file = folder.path().join("dance.show.toml");
        fs::write(folder.path().join("dance.history-wal"), &log[..cut]).unwrap();
        let (history, seen) = History::open(&file, UnixTime(9)).unwrap();
        // What the history has lost (it was never acknowledged then) is taken in from the file.
        assert_eq!((seen.version.text, seen.set_aside), (show(106), None), "cut at {cut}");
        assert_eq!(fs::read_to_string(&file).unwrap(), show(106));
        drop(history);
    }
}

#[test]
fn damage_anywhere_in_the_database_never_touches_the_show() {
    let mut bench = Bench::new(&show(100));
    for tempo in 101..=120 {
        bench.record(&show(tempo), "Tempo.");
    }
    let Bench { folder, history, .. } = bench;
    drop(history);
    let whole = fs::read(folder.path().join("dance.history")).unwrap();
    let mut places: Vec<usize> = (0..100).chain((100..whole.len()).step_by(211)).collect();
    places.push(whole.len() - 1);
    for place in places {
        for change in [0xff, 0x01] {
            let copy = copy(folder.path());
            let mut bytes = whole.clone();
            bytes[place] ^= change;
            fs::write(copy.path().join("dance.history"), bytes).unwrap();
            let file = copy.path().join("dance.show.toml");
            match History::open(&file, UnixTime(9)) {
                Ok((_, seen)) => assert_eq!(seen.version.text, show(120), "byte {place}"),
                // As if of a newer version or of another program.
                Err(HistoryError::Newer { .. } | HistoryError::Foreign { .. }) => assert!(place < 100),
                Err(other) => panic!("byte {place}: {other}"),
            }
            assert_eq!(fs::read_to_string(&file).unwrap(), show(120), "byte {place}");
        }
    }
    for length in (0..whole.len()).step_by(whole.len() / 40) {
        let copy = copy(folder.path());
        fs::write(copy.path().join("dance.history"), &whole[..length]).unwrap();
        let file = copy.path().join("dance.show.toml");
        let (_, seen) = History::open(&file, UnixTime(9)).unwrap();
        assert_eq!((seen.version.text.as_str(), seen.set_aside.is_some()), (&*show(120), length > 0));
    }
}
