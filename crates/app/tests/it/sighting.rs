//! Sighting in from outside: the real program, its socket and its file.

use std::time::Duration;

use serde_json::{Value, json};

pub(super) use super::socket::{Page, open};
use super::{lanthorn, text};

fn says(message: &Value) -> Option<&str> {
    message["sighting"]["says"].as_str()
}

#[test]
fn a_light_is_sighted_in_from_the_page_and_the_file_has_it() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let path = folder.path().join("dance.show.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    let (_running, said, address) = open(folder.path(), &["open", "dance", "--askew", "3"]);
    assert!(said.iter().any(|line| line.contains("askew, seed 3")), "{said:?}");
    assert!(said.iter().any(|line| line.contains("light 1: ") && line.contains("cm off")), "{said:?}");
    let mut page = Page::open(&address);
    let unit = |scene: &Value| scene["units"].as_array()?.iter().find(|unit| unit["number"] == 2).cloned();
    let first = page.wait("the scene", |heard| unit(heard));
    assert_eq!(first["sighting"]["sights"], json!([]));
    assert_eq!(first["sighting"]["signs"], "not watched");
    page.say(&json!({ "type": "sight_go", "unit": 2, "mark": "cake" }));
    page.wait("a light on its way", |heard| {
        (heard["sighting"]["unit"] == 2 && says(heard)?.starts_with("On the way to \"cake\"")).then_some(())
    });
    // Too early, and again until it stands still.
    let scene = loop {
        page.say(&json!({ "type": "sight_on", "unit": 2, "mark": "cake" }));
        let heard = page.wait("an answer", |heard| {
            let kept = unit(heard).filter(|unit| !unit["sighting"]["sights"][0].is_null());
            let moving = says(heard).is_some_and(|says| says.starts_with("Its motors"));
            kept.map(Some).or_else(|| moving.then_some(None))
        });
        match heard {
            Some(unit) => break unit,
            // Each one that counts is solved, written and told, one after the other: not too many, then.
            None => std::thread::sleep(Duration::from_secs(2)),
        }
    };
    assert_eq!(scene["sighting"]["sights"][0]["mark"], "cake");
    let after = std::fs::read_to_string(&path).unwrap();
    let at = after.find("\n[[sight]]\nunit = 2\nmark = \"cake\"\n").unwrap();
    assert!(before.starts_with(&after[..at]), "nothing before it was touched");
    page.say(&json!({ "type": "sight_end", "unit": 2 }));
    page.wait("the end", |heard| (heard["type"] == "moment" && heard["sighting"].is_null()).then_some(()));
    let told = lanthorn(folder.path(), &["sight", "dance", "--unit", "2"]);
    assert!(
        text(&told.stdout).starts_with("light 2, small wash head: 1 sight\n  sighted cake\n"),
        "{}",
        text(&told.stdout)
    );
}

#[test]
fn sights_are_added_told_and_taken_back_on_the_command_line() {
    let folder = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        let done = lanthorn(folder.path(), words);
        (done.status.code(), text(&done.stdout), text(&done.stderr))
    };
    run(&["new", "dance", "--from", "demo"]);
    let path = folder.path().join("dance.show.toml");
    let before = std::fs::read_to_string(&path).unwrap();
    let (status, out, _) = run(&["sight", "dance"]);
    assert_eq!(status, Some(0));
    assert_eq!(out.matches("no sight yet").count(), 6, "{out}");
    assert!(out.contains("three marks are needed, or two after the sign check"), "{out}");
    let add = |mark: &'static str, pan: &'static str, tilt: &'static str| {
        run(&["sight", "dance", "--unit", "2", "--add", mark, "--pan", pan, "--tilt", tilt])
    };
    assert_eq!(add("cake", "20000", "30000").0, Some(0));
    let (status, out, _) = add("door", "50000", "40000");
    assert!(status == Some(0) && out.starts_with("light 2, small wash head: 2 sights\n"), "{out}");
    let (status, out, _) = run(&["sight", "dance", "--unit", "2", "--json"]);
    let told: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(status, Some(0));
    assert_eq!((&told[0]["unit"], &told[0]["sighting"]["sights"][1]["mark"]), (&json!(2), &json!("door")));
    assert_eq!(told[0]["marks"].as_array().unwrap().len(), 9);
    for _ in 0..2 {
        assert_eq!(run(&["sight", "dance", "--unit", "2", "--undo"]).0, Some(0));
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
    for (words, status, want) in [
        (&["sight", "dance", "--unit", "2", "--undo"][..], 2, "light 2 has no sight to take back"),
        (&["sight", "dance", "--unit", "7"], 2, "light 7 has no pan and tilt to be sighted in"),
        (&["sight", "dance", "--unit", "77"], 2, "there is no light 77"),
        (
            &["sight", "dance", "--unit", "2", "--add", "nowhere", "--pan", "1", "--tilt", "1"],
            2,
            "there is no mark \"nowhere\"",
        ),
        (&["sight", "dance", "--add", "cake", "--pan", "1", "--tilt", "1"], 2, "--unit"),
        (&["sight", "dance", "--unit", "2", "--add", "cake", "--pan", "65536", "--tilt", "1"], 2, "65536"),
        (
            &["sight", "demo", "--unit", "2", "--add", "cake", "--pan", "1", "--tilt", "1"],
            2,
            "lanthorn new NAME --from demo",
        ),
        (&["open", "dance", "--stand-in", "nowhere"], 2, "nowhere"),
        (&["open", "dance", "--stand-in", "demo", "--askew"], 2, "--askew"),
    ] {
        let (code, _, said) = run(words);
        assert_eq!(code, Some(status), "{words:?}: {said}");
        assert!(said.contains(want), "{words:?}: {said}");
    }
    run(&["new", "small"]);
    let (status, _, said) = run(&["open", "dance", "--stand-in", "small"]);
    assert!(status == Some(2) && said.contains("both must have the same numbers"), "{said}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), before);
}
