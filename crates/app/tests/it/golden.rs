//! The same show at the same moments gives the same bytes, on every system and in every later version that does not
//! mean to change them.

use std::fmt::Write;

use super::lanthorn;

/// A sample that is never edited, so that a change to the demo changes nothing here.
const SHOW: &str =
    concat!(env!("CARGO_MANIFEST_DIR"), "/../store/tests/it/shows/v1/harvest-supper.show.toml");
const TABLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/golden-frames.txt");

#[test]
fn frames_are_the_same_everywhere() {
    let folder = tempfile::tempdir().unwrap();
    let mut made = String::new();
    for (start, times) in
        [("Supper", "0 0.5 3 8"), ("Round the floor", "0 0.5 1.25 2 3.7 9 60"), ("Reel", "0 4 10.3 31")]
    {
        for time in times.split(' ') {
            let done = lanthorn(folder.path(), &["frames", SHOW, "--at", time, "--start", start]);
            assert_eq!(done.status.code(), Some(0), "{}", super::text(&done.stderr));
            write!(made, "{start}\n{}", super::text(&done.stdout)).unwrap();
        }
    }
    let found = std::fs::read_to_string(TABLE).unwrap_or_default();
    if found == made {
        return;
    }
    if std::env::var_os("WRITE_GOLDEN").is_some() {
        std::fs::write(TABLE, &made).unwrap();
    }
    let (line, pair) =
        made.lines().zip(found.lines()).enumerate().find(|(_, (a, b))| a != b).unwrap_or_default();
    panic!(
        "frames differ from golden-frames.txt at line {}:\n  now    {}\n  before {}\nif that is meant, WRITE_GOLDEN=1 writes the table anew",
        line + 1,
        pair.0,
        pair.1
    );
}
