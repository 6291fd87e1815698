//! A program that edits a show is killed at random instants: what it was told is done stays done, and the show opens.
//!
//! This kills a process, not the power: that what is acknowledged has reached the disk rests on SQLite's `synchronous =
//! FULL` and on the file being flushed before it takes its place.

#![expect(clippy::unwrap_used, reason = "the helpers of a test fail like the test")]

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use lanthorn_store::history::{BY_HAND, EntryId, History, Outcome, UnixTime};
use lanthorn_store::{DEMO_TEXT, read_show};

/// Says where the show of the one that is killed lies.
const FOLDER: &str = "LANTHORN_TEST_KILLED_IN";
/// How often to kill; usually [`KILLS`].
const HOW_OFTEN: &str = "LANTHORN_TEST_KILLS";
const KILLS: usize = 60;
/// How many edits to measure; usually [`EDITS`].
const HOW_MANY: &str = "LANTHORN_TEST_EDITS";
const EDITS: u32 = 10_000;

/// Run by the test below in a process of its own: records, undoes and redoes, and says what it was told is done.
#[test]
#[ignore = "does nothing by itself"]
fn the_one_that_is_killed() {
    let Some(folder) = std::env::var_os(FOLDER) else { return };
    let show = Path::new(&folder).join("supper.show.toml");
    let mut out = std::io::stdout();
    writeln!(out).unwrap();
    let (mut history, seen) = History::open(&show, UnixTime(1)).unwrap();
    let mut version = seen.version;
    for turn in 0_u32.. {
        let mark = format!("{}-{turn}", std::process::id());
        let (word, done) = match turn % 8 {
            3 | 4 => ("undo", history.undo(version.id, UnixTime(2))),
            5 => ("redo", history.redo(version.id, UnixTime(2))),
            _ => {
                let text = format!("{DEMO_TEXT}# {mark}\n");
                ("record", history.record(version.id, &text, &format!("Edit {mark}."), "killed", UnixTime(2)))
            }
        };
        let Outcome::Done(step) = done.unwrap() else { panic!("nobody else is here") };
        version = step.version;
        writeln!(out, "did {word} {} {mark}", version.id).unwrap();
        out.flush().unwrap();
    }
}

/// What was acknowledged in one folder.
#[derive(Default)]
struct Told {
    /// The edits, by number.
    edits: BTreeMap<i64, String>,
    /// Where the show stood last.
    head: Option<i64>,
    /// How often the step that was on when it was killed was found done.
    went_on: usize,
}

impl Told {
    /// One line of the one that is killed. A line that was cut off was not said.
    fn hear(&mut self, line: &str) {
        let words: Vec<&str> = line.split(' ').collect();
        let (["did", word, number, mark], true) = (&words[..], line.ends_with('\n')) else { return };
        let number: i64 = number.parse().unwrap();
        self.head = Some(number);
        if *word == "record" {
            self.edits.insert(number, mark.trim().to_owned());
        }
    }
}

/// Numbers that look random, the same in each run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end
    }
}

#[test]
fn no_acknowledged_edit_is_lost_when_the_program_is_killed_at_any_instant() {
    let kills = std::env::var(HOW_OFTEN).map_or(KILLS, |count| count.parse().unwrap());
    let mut dice = Dice(7);
    let (mut edits, mut went_on) = (0, 0);
    for first in (0..kills).step_by(10) {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("supper.show.toml"), DEMO_TEXT).unwrap();
        let mut told = Told::default();
        for _ in first..(first + 10).min(kills) {
            run_and_kill(folder.path(), &mut dice, &mut told);
            look_at(folder.path(), &mut told, dice.below(3) == 0);
        }
        edits += told.edits.len();
        went_on += told.went_on;
    }
    println!(
        "killed {kills} times: {edits} edits acknowledged, none lost; {went_on} steps found done that were not"
    );
    assert!(edits > kills / 2, "it was killed before it did anything");
}

/// Minutes. Each edit changes the tempo and a value of one look, as a page does.
#[test]
#[ignore = "long: for the figures in docs/history.md"]
fn many_edits_of_the_demo_stay_small() {
    let folder = tempfile::tempdir().unwrap();
    let show = folder.path().join("supper.show.toml");
    std::fs::write(&show, DEMO_TEXT).unwrap();
    let (mut history, seen) = History::open(&show, UnixTime(1)).unwrap();
    let (mut version, began) = (seen.version, std::time::Instant::now());
    let count = std::env::var(HOW_MANY).map_or(EDITS, |count| count.parse().unwrap());
    let mut text = DEMO_TEXT.replacen("level = \"85 %\"", "level = \"9 %\"", 1);
    for number in 0..count {
        let (key, unit) = if number % 2 == 0 { ("tempo = ", "") } else { ("level = \"", " %") };
        let start = text.find(key).unwrap() + key.len();
        let length = text[start..].find(|c: char| !c.is_ascii_digit()).unwrap();
        let rest = text[start + length..].strip_prefix(unit).unwrap();
        text = format!("{}{}{unit}{rest}", &text[..start], 30 + number / 2 % 70);
        assert!(text != version.text);
        let says = "Look Supper: washes 80 %.";
        let outcome = history.record(version.id, &text, says, "phone", UnixTime(1_800_000_000)).unwrap();
        let Outcome::Done(step) = outcome else { panic!("nobody else is here") };
        version = step.version;
    }
    let each = began.elapsed() / count;
    let path = history.path().to_owned();
    drop(history);
    let bytes = std::fs::metadata(path).unwrap().len();
    println!("{count} edits: {bytes} bytes, {each:?} each");
    assert!(bytes < 8_000_000, "{bytes}");
    let again = std::time::Instant::now();
    let (mut history, seen) = History::open(&show, UnixTime(2)).unwrap();
    println!("opened in {:?}, listed in {:?}", again.elapsed(), {
        let began = std::time::Instant::now();
        assert_eq!(history.list().unwrap().len(), count as usize + 1);
        began.elapsed()
    });
    assert_eq!(seen.version, version);
}

fn run_and_kill(folder: &Path, dice: &mut Dice, told: &mut Told) {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["history::the_one_that_is_killed", "--exact", "--ignored", "--nocapture"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(child.stdout.take().unwrap());
    let mut steps = dice.below(9);
    while steps > 0 {
        let mut line = String::new();
        assert!(said.read_line(&mut line).unwrap() > 0, "it ended by itself");
        told.hear(&line);
        steps -= u64::from(line.starts_with("did "));
    }
    std::thread::sleep(Duration::from_micros(dice.below(12_000)));
    child.kill().unwrap();
    child.wait().unwrap();
    let mut rest = String::new();
    said.read_to_string(&mut rest).unwrap();
    rest.split_inclusive('\n').for_each(|line| told.hear(line));
}

fn look_at(folder: &Path, told: &mut Told, by_hand: bool) {
    let show = folder.join("supper.show.toml");
    let file = || std::fs::read_to_string(&show).unwrap();
    assert!(read_show(&file()).0.is_some(), "the file opens before anything is finished");
    let (mut history, seen) = History::open(&show, UnixTime(3)).unwrap();
    assert_eq!(seen.set_aside, None);
    assert_eq!(file(), seen.version.text);
    assert!(read_show(&seen.version.text).0.is_some());
    let list = history.list().unwrap();
    let ids: BTreeMap<i64, EntryId> =
        list.iter().map(|listed| (listed.entry.id.number(), listed.entry.id)).collect();
    for (number, mark) in &told.edits {
        assert_eq!(history.text(ids[number]).unwrap(), format!("{DEMO_TEXT}# {mark}\n"), "entry {number}");
    }
    // Where it was told to stand, or one step further.
    let parent = |number: i64| {
        let entry = &list.iter().find(|listed| listed.entry.id.number() == number).unwrap().entry;
        entry.parent.map(EntryId::number)
    };
    let now = seen.version.id.number();
    if let Some(head) = told.head {
        assert_eq!(seen.taken_in, None);
        let one_further = parent(now) == Some(head) || parent(head) == Some(now);
        assert!(now == head || one_further, "stands at {now}, was told {head}");
        told.went_on += usize::from(now != head);
    }
    told.head = Some(now);
    if by_hand {
        // Somebody edits the file while nothing runs.
        drop(history);
        let edited = format!("{}# by hand\n", file());
        std::fs::write(&show, &edited).unwrap();
        let (_, seen) = History::open(&show, UnixTime(4)).unwrap();
        assert_eq!((seen.version.text, seen.taken_in.unwrap().who.as_str()), (edited, BY_HAND));
        told.head = Some(seen.version.id.number());
    }
}
