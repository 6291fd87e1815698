//! `lanthorn history`, as a person uses it.

use std::path::Path;

use super::{lanthorn, text};

/// Runs it on the show "dance": exit status, what it printed, what it complained of.
fn history(folder: &Path, words: &[&str]) -> (Option<i32>, String, String) {
    let done = lanthorn(folder, &[&["history", "dance"], words].concat());
    (done.status.code(), text(&done.stdout), text(&done.stderr))
}

#[test]
fn edits_are_listed_undone_named_restored_and_compared() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let made = lanthorn(folder, &["new", "dance", "--from", "demo"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
    let show = folder.join("dance.show.toml");
    let file = || std::fs::read_to_string(&show).unwrap();
    let first = file();

    let (status, listed, _) = history(folder, &[]);
    assert_eq!((status, listed.lines().count()), (Some(0), 1), "{listed}");
    assert!(listed.starts_with("> 1  ") && listed.contains("The show as it was found."), "{listed}");

    // Sighting in records through it, and so does a hand in the file.
    let sight = ["sight", "dance", "--unit", "1", "--add", "cake", "--pan", "30000", "--tilt", "20000"];
    assert_eq!(lanthorn(folder, &sight).status.code(), Some(0));
    let sighted = file();
    std::fs::write(&show, sighted.replace("tempo = 96", "tempo = 104")).unwrap();
    let (_, listed, said) = history(folder, &["--bookmark", "before doors"]);
    assert!(said.starts_with("taken in: Edited by hand: show: tempo 104 instead of 96."), "{said}");
    assert!(listed.ends_with("the show is at 3 now\n"), "{listed}");

    let (status, undone, _) = history(folder, &["--undo"]);
    assert!(status == Some(0) && undone.starts_with("undone: 3  Edited by hand"), "{undone}");
    assert_eq!(file(), sighted);
    assert!(history(folder, &["--undo"]).1.starts_with("undone: 2  Light 1: sighted on \"cake\"."));
    assert_eq!(file(), first);
    let (status, _, said) = history(folder, &["--undo"]);
    assert_eq!((status, said.as_str()), (Some(2), "there is nothing to undo\n"));
    assert!(history(folder, &["--redo"]).1.starts_with("redone: 2  Light 1"));
    assert_eq!(file(), sighted);

    let (_, compared, _) = history(folder, &["--compare", "1", "before doors"]);
    assert_eq!(compared, "show: tempo 104 instead of 96\nsight of light 1: added\n");
    assert_eq!(history(folder, &["--compare", "now", "2"]).1, "nothing differs\n");
    assert!(history(folder, &["--restore", "Before doors"]).1.starts_with("recorded: 4  Back to 3: Edited"));
    assert!(file().contains("tempo = 104"));
    let (status, _, said) = history(folder, &["--restore", "tomorrow"]);
    assert_eq!(status, Some(2));
    assert_eq!(said, "there is no entry and no bookmark \"tomorrow\" in the history\n");

    let (_, listed, _) = history(folder, &[]);
    let lines: Vec<&str> = listed.lines().collect();
    assert!(lines.len() == 4 && lines[0].starts_with("> 4  "), "{listed}");
    assert!(lines[1].contains("[before doors]  (undone)") && lines[2].contains("sighting in"), "{listed}");
    let (_, listed, _) = history(folder, &["--json"]);
    let listed: serde_json::Value = serde_json::from_str(&listed).unwrap();
    assert_eq!(listed[0]["standing"], "now");
    assert_eq!(listed[1]["bookmarks"][0], "before doors");
    assert_eq!((&listed[2]["parent"], &listed[2]["who"]), (&1.into(), &"sighting in".into()));
    let (_, undone, _) = history(folder, &["--undo", "--json"]);
    let undone: serde_json::Value = serde_json::from_str(&undone).unwrap();
    assert_eq!((&undone["now"], &undone["entries"][0]["id"]), (&2.into(), &4.into()));
    let left: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "the show and its history: {left:?}");
}

#[test]
fn what_cannot_be_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let (status, _, said) = history(folder, &[]);
    assert!(status == Some(2) && said.contains("there is no such file"), "{said}");
    let done = lanthorn(folder, &["history", "demo"]);
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("the built-in show is never changed"));
    assert_eq!(lanthorn(folder, &["history", "dance", "--undo", "--redo"]).status.code(), Some(2));
    // A history that cannot be read is kept, and the show has a new one.
    assert_eq!(lanthorn(folder, &["new", "dance"]).status.code(), Some(0));
    std::fs::write(folder.join("dance.history"), "not at all a database".repeat(100)).unwrap();
    let (status, listed, said) = history(folder, &[]);
    assert_eq!((status, listed.lines().count()), (Some(0), 1), "{said}");
    assert!(said.contains("was damaged") && said.contains("dance.history.broken-1"), "{said}");
    // A show that does not open has a history all the same.
    let show = folder.join("dance.show.toml");
    let before = std::fs::read_to_string(&show).unwrap();
    std::fs::write(&show, "lanthorn = ").unwrap();
    let (status, _, said) = history(folder, &["--undo"]);
    assert!(status == Some(0) && said.contains("it does not open"), "{said}");
    assert_eq!(std::fs::read_to_string(&show).unwrap(), before);
}
