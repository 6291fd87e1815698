//! Sound that comes to a running show: from pages, through the door, and from the command line.

use std::process::Command;

use lanthorn_clips::{Fonts, Wish, render};
use serde_json::{Value, json};

use super::pairing::start;
use super::socket::{Page, open};

/// The music of the next moment for which something holds.
fn music(page: &mut Page, what: &str, holds: impl Fn(&Value, &Value) -> bool) -> Value {
    page.wait(what, |heard| {
        (heard["type"] == "moment" && holds(&heard["music"], &heard["now"])).then(|| heard["music"].clone())
    })
}

fn hello(name: &str) -> Value {
    json!({ "name": name, "rate": 48000, "delay_ms": 10 })
}

/// A block as a page sends it: the count of samples before it, then samples.
fn block(first: u64, samples: &[i16]) -> Vec<u8> {
    let mut bytes = first.to_le_bytes().to_vec();
    bytes.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    bytes
}

#[test]
fn only_who_may_run_the_show_is_listened_to() {
    let folder = tempfile::tempdir().unwrap();
    let (_show, address, code) = start(folder.path(), "--lan", "127.0.0.1:0");
    let mut page = Page::open(&address);
    page.say(&json!({ "type": "pair", "code": code, "name": "the technician's" }));
    let token = page.wait("to be admitted", |heard| {
        (heard["type"] == "admitted").then(|| heard["token"].as_str().unwrap().to_owned())
    });
    // Whoever has no token is told nothing but that, and brings nothing.
    let mut stranger = Page::open_at(&address, "/ears");
    stranger.say(&hello("a stranger's"));
    stranger.bring(&block(0, &[8000; 480]));
    assert_eq!(stranger.hear()["type"], "pair");
    assert_eq!(stranger.hear()["type"], "pair");
    assert_eq!(music(&mut page, "a moment", |_, _| true)["source"], Value::Null);

    let mut ears = Page::open_at(&address, "/ears");
    ears.say(&json!({ "type": "token", "token": token }));
    ears.say(&hello("line in"));
    let told = ears.wait("to be listened to", |heard| (heard["type"] == "listening").then(|| heard.clone()));
    for number in 0..20 {
        ears.bring(&block(number * 480, &[if number == 9 { i16::MAX } else { 8000 }; 480]));
    }
    let now =
        music(&mut page, "its level", |music, _| music["level_db"].is_number() && music["clips"] == true);
    assert_eq!((&now["source"]["name"], &now["source"]["number"]), (&json!("line in"), &told["number"]));
    assert!(now["says"].as_str().unwrap().contains("turn it down"), "{now}");

    // Another takes its place, and the first is told.
    let mut other = Page::open_at(&address, "/ears");
    other.say(&json!({ "type": "token", "token": token }));
    other.say(&hello("the mixer"));
    other.wait("to be listened to", |heard| (heard["type"] == "listening").then_some(()));
    ears.bring(&block(9600, &[0; 480]));
    assert!(ears.hear()["says"].as_str().unwrap().contains("Something else"));
    drop(other);
    music(&mut page, "it is gone", |music, _| music["source"].is_null());
}

#[test]
fn a_file_is_followed_and_its_tempo_held_after_its_end() {
    let folder = tempfile::tempdir().unwrap();
    let clip = render(
        &Wish { style: Some("plain rock"), secs: 20.0, rate: 44_100, degrade: false, seed: 3 },
        &Fonts::none(),
    );
    std::fs::write(folder.path().join("set.wav"), clip.wav()).unwrap();
    let secs = clip.truth.beats.last().unwrap().at - clip.truth.beats[0].at;
    let bpm = 60.0 * (clip.truth.beats.len() - 1) as f64 / secs;
    let (_show, _, address) = open(folder.path(), &["open", "demo", "--ears", "file:set.wav"]);
    let mut page = Page::open(&address);
    let near = |now: &Value| (now["tempo_bpm"].as_f64().unwrap() - bpm).abs() < 1.6;
    let now = music(&mut page, "it to be followed", |music, now| music["sets"] == true && near(now));
    assert_eq!(now["source"]["name"], "the file set.wav");
    let after = music(&mut page, "its end", |music, now| music["source"].is_null() && near(now));
    assert_eq!(after["says"], "The file has ended.");
}

#[test]
fn a_source_that_cannot_be_is_said_so_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let ended = Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(["open", "demo", "--no-page", "--ears", "-@8"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert_eq!(ended.status.code(), Some(2), "a rate that is none");
    let said = String::from_utf8_lossy(&ended.stderr).into_owned();
    assert!(said.contains("8000 to 192000"), "{said}");
    let missing = Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(["open", "demo", "--no-page", "--ears", "file:nothing.wav"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert_eq!(missing.status.code(), Some(2));
}
