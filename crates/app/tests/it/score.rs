//! A track scored from the command line, and played by a running show, as a person does it.

use std::fs;
use std::path::Path;

use lanthorn_clips::{Clip, Fonts, Wish, render, styles};
use serde_json::{Value, json};

use super::socket::{Page, open};
use super::{get, lanthorn, text};

fn clip(folder: &Path, name: &str, style: &'static str, secs: f64) -> Clip {
    assert!(styles().contains(&style));
    let wish = Wish { style: Some(style), secs, rate: 24_000, degrade: false, seed: 4 };
    let clip = render(&wish, &Fonts::none());
    fs::write(folder.join(name), clip.wav()).unwrap();
    clip
}

/// A show of the demo's own kind, to change.
fn show(folder: &Path) {
    let made = lanthorn(folder, &["new", "dance", "--from", "demo"]);
    assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
}

fn shown(folder: &Path) -> String {
    fs::read_to_string(folder.join("dance.show.toml")).unwrap()
}

#[test]
fn a_track_is_scored_and_the_score_stays_with_the_show() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    show(folder);
    let before = shown(folder);
    clip(folder, "house.wav", "deep house", 60.0);
    let scored = lanthorn(folder, &["score", "house.wav", "--show", "dance", "--svg", "house.svg"]);
    let told = text(&scored.stdout);
    assert_eq!(scored.status.code(), Some(0), "{}", text(&scored.stderr));
    assert!(told.starts_with("Score \"house\" is kept, new, with "), "{told}");
    assert!(told.contains("time") && told.contains("section") && told.contains("why"), "{told}");
    assert!(told.contains("take care: haze with "), "{told}");
    let after = shown(folder);
    assert!(before.lines().all(|line| after.contains(line)) && after.contains("file = \"house.wav\""));
    assert!(fs::read_to_string(folder.join("house.svg")).unwrap().contains("class=\"part\""));
    let check = lanthorn(folder, &["check", "dance"]);
    assert_eq!(check.status.code(), Some(0), "{}", text(&check.stdout));

    // Not in the place of another unasked; asked, the history keeps the old one.
    let again = lanthorn(folder, &["score", "house.wav", "--show", "dance"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("--again"), "{}", text(&again.stderr));
    assert_eq!(shown(folder), after);
    let json = lanthorn(folder, &["score", "house.wav", "--show", "dance", "--name", "other", "--json"]);
    let told: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert!(told["bpm"].as_f64().unwrap() > 60.0 && told["parts"][0]["why"].is_string(), "{told}");
    let anew = lanthorn(folder, &["score", "house.wav", "--show", "dance", "--again"]);
    assert!(text(&anew.stdout).contains("laid anew"), "{}", text(&anew.stderr));
    let history = text(&lanthorn(folder, &["history", "dance"]).stdout);
    assert!(history.contains("Score \"house\" is kept, new"), "{history}");
}

#[test]
fn what_has_no_beat_is_said_so_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    show(folder);
    let before = shown(folder);
    clip(folder, "talk.wav", "speech", 20.0);
    for (words, says) in [
        (&["score", "talk.wav", "--show", "dance"][..], "no beat is heard in it"),
        (&["score", "nothing.wav", "--show", "dance"], "nothing.wav"),
        (&["score", "talk.wav", "--show", "demo"], "the built-in show keeps no score"),
    ] {
        let done = lanthorn(folder, words);
        assert_eq!(done.status.code(), Some(2), "{words:?}");
        assert!(text(&done.stderr).contains(says), "{words:?}: {}", text(&done.stderr));
    }
    assert_eq!(shown(folder), before);
}

/// The next moment for which something holds.
fn moment(page: &mut Page, what: &str, holds: impl Fn(&Value) -> bool) -> Value {
    page.wait(what, |heard| (heard["type"] == "moment" && holds(heard)).then(|| heard.clone()))
}

#[test]
fn a_running_show_plays_its_score_and_gives_its_sound() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    show(folder);
    clip(folder, "house.wav", "plain four", 12.0);
    let score = "\n[[score]]\nname = \"house\"\nfile = \"house.wav\"\nlength = \"12 s\"\nbars = [0.5, 2.5, 4.5, 6.5, 8.5, 10.5]\n\
                 [[score.part]]\nbar = 2\nlook = \"Speech\"\nchases = []\n\
                 [[score.part]]\nbar = 4\nlook = \"Cake\"\nchases = [\"Waltz\"]\ndark = \"1 beat\"\n";
    fs::write(folder.join("dance.show.toml"), shown(folder) + score).unwrap();
    let (_show, _, address) = open(folder, &["open", "dance"]);
    let mut page = Page::open(&address);
    let scene = page.wait("the scene", |heard| (heard["type"] == "scene").then(|| heard.clone()));
    let view = &scene["scores"][0];
    assert_eq!((&view["name"], &view["parts"][1]["place"]), (&json!("house"), &json!("bar 4")));
    assert_eq!((&view["parts"][1]["at_s"], &view["parts"][1]["dark_s"]), (&json!(6.5), &json!(6.0)));

    // By itself, from the middle of its second bar: the first part is on, then the second.
    page.say(&json!({ "type": "score", "ask": { "do": "play", "score": "house", "at_s": 3.6 } }));
    let on = moment(&mut page, "its first part", |moment| moment["now"]["look"] == "Speech");
    assert_eq!((&on["score"]["score"], &on["score"]["player"]), (&json!("house"), &json!(0)));
    moment(&mut page, "its tempo", |moment| {
        moment["music"]["sets"] == true && (moment["now"]["tempo_bpm"].as_f64().unwrap() - 120.0).abs() < 2.0
    });
    moment(&mut page, "the dark before the second", |moment| moment["score"]["dark"] == true);
    let on = moment(&mut page, "its second part", |moment| moment["now"]["look"] == "Cake");
    assert_eq!(on["score"]["dark"], false);
    // A hand wins until the next part; stopped, all stays.
    page.say(&json!({ "type": "look", "name": "Supper" }));
    moment(&mut page, "the hand's look", |moment| moment["now"]["look"] == "Supper");
    page.say(&json!({ "type": "score", "ask": { "do": "play", "score": "house", "at_s": 7.0 } }));
    moment(&mut page, "what would be on there", |moment| moment["now"]["look"] == "Cake");
    page.say(&json!({ "type": "score", "ask": { "do": "stop" } }));
    let after = moment(&mut page, "it is stopped", |moment| moment["score"].is_null());
    assert_eq!(after["now"]["look"], "Cake");

    // A page that plays the sound says where it is, by its own clock.
    for word in 0..5 {
        let at = 2.6 + 0.05 * f64::from(word);
        page.say(&json!({ "type": "score", "ask":
            { "do": "at", "score": "house", "at_s": at, "clock_ms": 50.0 * f64::from(word), "player": 77 } }));
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
    let on = moment(&mut page, "the page's place", |moment| moment["score"]["player"] == 77);
    assert!((2.5..9.0).contains(&on["score"]["at_s"].as_f64().unwrap()), "{}", on["score"]);
    moment(&mut page, "the part there", |moment| moment["now"]["look"] == "Speech");

    let whole = get(&address, "/score/0/sound");
    assert!(whole.starts_with("HTTP/1.1 200") && whole.contains("audio/wav"), "{}", &whole[..200]);
    assert!(get(&address, "/score/1/sound").starts_with("HTTP/1.1 404"));
    let outline = get(&address, "/score/0/outline.json");
    let values = outline.split("\r\n\r\n").nth(1).unwrap_or_default().matches(',').count();
    assert!((230..=240).contains(&values), "twenty a second: {values}");
}
