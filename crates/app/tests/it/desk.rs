//! The show is made while it runs: the real program, its sockets, its file, and a kill in the middle.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::flashes::Dice;
use super::pairing::{admitted, pair, start};
use super::socket::{Page, open};
use super::{lanthorn, text};

fn level(look: &str, level: &str) -> Value {
    let change = json!({ "type": "part_set", "look": look, "part": 1, "field": "level", "value": level });
    json!({ "type": "change", "change": change })
}

/// The answer to the next change: what it says, and whether it was refused.
fn said(page: &mut Page) -> (String, bool) {
    page.wait("an answer", |heard| {
        (heard["type"] == "said")
            .then(|| (heard["says"].as_str().unwrap().to_owned(), heard["wrong"].as_bool().unwrap()))
    })
}

fn done(page: &mut Page, intent: &Value) -> String {
    page.say(intent);
    let (says, wrong) = said(page);
    assert!(!wrong, "{intent}: {says}");
    says
}

/// The level that a part of a look has in a scene.
fn level_in(scene: &Value, look: &str) -> Option<String> {
    let look = scene["looks"].as_array()?.iter().find(|one| one["name"] == look)?;
    Some(look["parts"][0]["values"]["level"].as_str()?.to_owned())
}

fn show(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("dance.show.toml")).unwrap()
}

#[test]
fn two_pages_see_each_others_changes_and_take_them_back() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let before = show(folder.path());
    let (_running, _, address) = open(folder.path(), &["open", "dance"]);
    let (mut one, mut other) = (Page::open(&address), Page::open(&address));
    let says = done(&mut one, &level("Supper", "35 %"));
    assert!(says.contains("35 %"), "{says}");
    let at_35 = |scene: &Value| (level_in(scene, "Supper")? == "35 %").then(|| scene["edits"].clone());
    let edits = other.wait("the other page's scene", at_35);
    assert!(edits["undo"].as_str().unwrap().contains("35 %") && edits["redo"].is_null(), "{edits}");
    assert!(show(folder.path()).contains("35 %"), "in the file before it was answered");
    // The last writer of one value wins; another value of the same sentence stays.
    done(&mut other, &level("Supper", "50 %"));
    let colour =
        json!({ "type": "part_set", "look": "Supper", "part": 1, "field": "colour", "value": "red" });
    done(&mut one, &json!({ "type": "change", "change": colour }));
    done(&mut one, &level("Supper", "45 %"));
    let now = show(folder.path());
    let told = text(&lanthorn(folder.path(), &["history", "dance"]).stdout);
    assert!(told.contains("the page") && told.matches("Supper").count() == 4, "{told}");
    // One page takes back what the other did.
    for _ in 0..4 {
        let says = done(&mut other, &json!({ "type": "undo" }));
        assert!(says.starts_with("Taken back: "), "{says}");
    }
    assert_eq!(show(folder.path()), before);
    other.say(&json!({ "type": "undo" }));
    assert_eq!(said(&mut other), ("There is nothing to undo".to_owned(), true));
    for _ in 0..4 {
        done(&mut one, &json!({ "type": "redo" }));
    }
    assert_eq!(show(folder.path()), now);
    // What cannot be is told to the one who asked, and the file stays.
    one.say(&level("Supper", "a lot"));
    let (says, wrong) = said(&mut one);
    assert!(wrong && says.contains("level"), "{says}");
    one.say(&level("Nowhere", "10 %"));
    assert!(said(&mut one).1);
    assert_eq!(show(folder.path()), now);
}

#[test]
fn what_is_lit_is_kept_and_put_on_again() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let (_running, _, address) = open(folder.path(), &["open", "dance"]);
    let mut page = Page::open(&address);
    let look = page.wait("the scene", |heard| Some(heard["looks"][0]["name"].as_str()?.to_owned()));
    page.say(&json!({ "type": "look", "name": look }));
    page.wait("the look", |heard| {
        (heard["now"]["look"] == look && heard["now"]["fade"] == 1.0).then_some(())
    });
    // Kept with what the hand did last, however soon after.
    page.say(&json!({ "type": "level", "unit": 1, "level": 0.33 }));
    done(&mut page, &json!({ "type": "keep_look", "name": "As I like it", "units": null }));
    assert!(show(folder.path()).contains("name = \"As I like it\""));
    let text = show(folder.path());
    let kept = &text[text.find("name = \"As I like it\"").unwrap()..];
    assert!(kept.contains("level = 0.33\n"), "{kept}");
    page.wait("the new look", |heard| {
        heard["looks"].as_array()?.iter().any(|one| one["name"] == "As I like it").then_some(())
    });
    let shown = |heard: &Value, held: bool| {
        let light = heard["lights"].as_array()?.iter().find(|light| light["unit"] == 1)?;
        light["heads"][0]["level"].as_f64().filter(|_| light["held"] == held)
    };
    let as_held = page.wait("the light as it is held", |heard| shown(heard, true));
    page.say(&json!({ "type": "look", "name": "As I like it" }));
    page.say(&json!({ "type": "let_go", "unit": null }));
    // The same light from the moment that it is let go, and beyond the two seconds in which a hand's fade away.
    let mut moments = 0;
    while moments < 100 {
        let heard = page.wait("a moment", |heard| heard["now"].is_object().then(|| heard.clone()));
        let Some(now) = shown(&heard, false) else { continue };
        assert!(heard["now"]["look"] == "As I like it" && heard["now"]["fade"] == 1.0, "{}", heard["now"]);
        assert!((now - as_held).abs() < 1e-3, "moment {moments}: {now}, {as_held} when held");
        moments += 1;
    }
    // Nothing of dark lights is no look.
    page.say(&json!({ "type": "keep_look", "name": "Nothing", "units": [] }));
    assert!(said(&mut page).1);
}

#[test]
fn who_may_only_run_the_show_does_not_change_it() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan", "0.0.0.0:0");
    let (mut page, told) = admitted(&address, &pair(&code));
    assert_eq!(told["role"], "run");
    for intent in [
        level("Supper", "35 %"),
        json!({ "type": "undo" }),
        json!({ "type": "redo" }),
        json!({ "type": "keep_look", "name": "Mine", "units": null }),
        json!({ "type": "ask_history" }),
        json!({ "type": "bookmark", "name": "mine" }),
        json!({ "type": "restore", "id": 1 }),
    ] {
        page.say(&intent);
        page.wait("a refusal", |heard| {
            assert!(heard["type"] != "said", "{heard}");
            (heard["type"] == "refused").then_some(())
        });
    }
}

/// What a page is told of the history when it asks.
fn history(page: &mut Page) -> Value {
    page.say(&json!({ "type": "ask_history" }));
    page.wait("the history", |heard| (heard["type"] == "history").then(|| heard.clone()))
}

#[test]
fn a_moment_is_named_and_the_show_goes_back_to_it() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let (_running, _, address) = open(folder.path(), &["open", "dance"]);
    let mut page = Page::open(&address);
    done(&mut page, &level("Supper", "35 %"));
    let named = show(folder.path());
    let says = done(&mut page, &json!({ "type": "bookmark", "name": " before soundcheck " }));
    assert_eq!(says, "The show as it is now is kept as \"before soundcheck\".");
    done(&mut page, &level("Supper", "50 %"));
    done(&mut page, &level("Speech", "50 %"));
    let told = history(&mut page);
    let entries = told["entries"].as_array().unwrap();
    let standing: Vec<&str> = entries.iter().map(|entry| entry["standing"].as_str().unwrap()).collect();
    assert_eq!(standing, ["now", "before", "before", "before"], "{told}");
    let at = &entries[2];
    assert_eq!(at["bookmarks"], json!(["before soundcheck"]));
    let since = at["since"].to_string();
    assert!(since.contains("Supper") && since.contains("50 %") && since.contains("Speech"), "{since}");
    assert!(entries[0]["since"].as_array().unwrap().is_empty() && entries[0]["who"] == "the page", "{told}");
    // The name leads there, whatever came since; and the way back is an undo.
    let now = show(folder.path());
    let says = done(&mut page, &json!({ "type": "restore", "id": at["id"] }));
    assert!(says.starts_with("Back to ") && says.contains("35 %"), "{says}");
    assert_eq!(show(folder.path()), named);
    page.wait("the look as it was", |heard| (level_in(heard, "Supper")? == "35 %").then_some(()));
    assert_eq!(done(&mut page, &json!({ "type": "restore", "id": at["id"] })), "The show is that already");
    done(&mut page, &json!({ "type": "undo" }));
    assert_eq!(show(folder.path()), now);
    // The command line knows the same.
    let listed = text(&lanthorn(folder.path(), &["history", "dance"]).stdout);
    assert!(listed.contains("[before soundcheck]"), "{listed}");
    // What cannot be is said.
    for (intent, why) in [
        (json!({ "type": "bookmark", "name": "before soundcheck" }), "there is a bookmark of that name"),
        (json!({ "type": "bookmark", "name": "7" }), "numbers name entries"),
        (json!({ "type": "restore", "id": 999 }), "999"),
    ] {
        page.say(&intent);
        let (says, wrong) = said(&mut page);
        assert!(wrong && says.contains(why), "{says}");
    }
}

#[test]
fn a_built_in_show_says_that_it_keeps_no_history() {
    let folder = tempfile::tempdir().unwrap();
    let (_running, _, address) = open(folder.path(), &["open", "demo"]);
    let mut page = Page::open(&address);
    let told = history(&mut page);
    assert!(told["entries"].as_array().unwrap().is_empty());
    assert!(told["none"].as_str().unwrap().contains("lanthorn new"), "{told}");
    page.say(&json!({ "type": "bookmark", "name": "before doors" }));
    assert!(said(&mut page).1);
}

/// Kills the program so many times at random instants while changes are made: `LANTHORN_KILLS`, four where it is not set.
#[test]
fn a_kill_in_the_middle_of_changes_loses_none_that_was_answered() {
    let kills = std::env::var("LANTHORN_KILLS").map_or(4, |kills| kills.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let mut answered: BTreeMap<&str, u64> = BTreeMap::new();
    let mut number = 1000;
    for round in 0..kills {
        let (mut running, said, address) = open(folder.path(), &["open", "dance"]);
        assert!(!said.iter().any(|line| line.contains("set aside")), "{said:?}");
        let mut page = Page::open(&address);
        let scene = page.wait("the scene", |heard| heard["looks"].is_array().then(|| heard.clone()));
        for (look, least) in &answered {
            // Seconds of the fade count up, so that a later one may stand there, never an earlier one.
            let fade = scene["looks"].as_array().unwrap().iter().find(|one| one["name"] == *look).unwrap();
            let stands: u64 = fade["fade"].as_str().unwrap().trim_end_matches(" ms").parse().unwrap();
            assert!(stands >= *least, "round {round}: {look} has {stands}, answered was {least}");
        }
        let until = Instant::now() + Duration::from_millis(dice.below(700) as u64);
        let process = running.0.0.id().to_string();
        let killer = std::thread::spawn(move || {
            std::thread::sleep(until.saturating_duration_since(Instant::now()));
            std::process::Command::new("kill").args(["-9", &process]).status().unwrap()
        });
        let looks = ["Supper", "Speech"];
        loop {
            let look = looks[dice.below(2)];
            number += 1;
            let change = json!({ "type": "look_fade", "name": look, "fade": format!("{number} ms") });
            if page.try_say(&json!({ "type": "change", "change": change })).is_err() {
                break;
            }
            let Some(answer) = answer(&mut page) else { break };
            assert!(answer["wrong"] == false, "{answer}");
            answered.insert(look, number);
        }
        assert!(killer.join().unwrap().success());
        running.0.0.wait().unwrap();
        let checked = lanthorn(folder.path(), &["check", "dance"]);
        assert_eq!(checked.status.code(), Some(0), "round {round}: {}", text(&checked.stderr));
    }
    assert!(!answered.is_empty(), "some were answered before the kill");
}

/// The next answer; none when the socket ends before.
fn answer(page: &mut Page) -> Option<Value> {
    loop {
        let heard = page.hear_or_end()?;
        if heard["type"] == "said" {
            return Some(heard);
        }
        page.try_say(&json!({ "type": "seen" })).ok()?;
    }
}
