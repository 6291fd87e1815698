//! `lanthorn change` from outside.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use super::{lanthorn, text};

/// Runs `lanthorn change` with that on standard input.
fn change(folder: &Path, show: &str, json: &str) -> Output {
    let mut running = Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(["change", show])
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that has ended already reads nothing, and says why.
    let _ = running.stdin.take().unwrap().write_all(json.as_bytes());
    running.wait_with_output().unwrap()
}

#[test]
fn a_change_is_written_and_told_and_one_that_cannot_be_leaves_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("supper.show.toml");
    std::fs::write(&path, lanthorn_store::DEMO_TEXT).unwrap();
    let one = r#"{"type":"look_rename","name":"Supper","to":"Dinner"}"#;
    // The ending may be left out.
    let done = change(folder.path(), "supper", one);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert_eq!(
        text(&done.stdout),
        "Look \"Supper\" is called \"Dinner\" now, in 4 cues, at the start and among those that the music picks.\n"
    );
    let now = std::fs::read_to_string(&path).unwrap();
    assert!(
        now.contains("look = \"Dinner\"") && now.contains("# the face of somebody standing on the stage")
    );
    // All of a list, or none of it.
    let list = r#"[{"type":"look_fade","name":"Dinner","fade":"1 s"},{"type":"cue_remove","number":"99"}]"#;
    for (json, says) in [
        (list, "supper.show.toml: there is no cue \"99\": "),
        (
            r#"{"type":"look_fade","name":"Dinner","fade":"1 stone"}"#,
            "supper.show.toml: look \"Dinner\": `fade = \"1 stone\"`",
        ),
        (r#"{"type":"look_paint"}"#, "change: unknown variant `look_paint`"),
        ("", "change: EOF while parsing"),
    ] {
        let refused = change(folder.path(), "supper.show.toml", json);
        assert_eq!(refused.status.code(), Some(2), "{json}");
        assert!(text(&refused.stderr).starts_with(says), "{json}: {}", text(&refused.stderr));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), now);
    }
    // It can be taken back, and what was refused is in no history.
    let undone = lanthorn(folder.path(), &["history", "supper", "--undo"]);
    assert_eq!(undone.status.code(), Some(0), "{}", text(&undone.stderr));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), lanthorn_store::DEMO_TEXT);
    let again = lanthorn(folder.path(), &["history", "supper", "--undo"]);
    assert!(text(&again.stderr).contains("nothing to undo"), "{}", text(&again.stderr));
}

#[test]
fn what_is_not_there_or_built_in_is_said() {
    let folder = tempfile::tempdir().unwrap();
    for (show, says) in [
        ("nowhere.show.toml", "there is no such file"),
        ("demo", "`lanthorn new NAME --from demo` makes one of your own to change"),
    ] {
        let refused = change(folder.path(), show, r#"{"type":"address_all"}"#);
        assert_eq!(refused.status.code(), Some(2));
        assert!(text(&refused.stderr).contains(says), "{}", text(&refused.stderr));
    }
}
