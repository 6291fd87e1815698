//! Sound files that are listened to, as a user does it.

use std::fs;
use std::path::Path;

use lanthorn_clips::{Clip, Fonts, Wish, render};

use super::{lanthorn, text};

fn clip(folder: &Path, name: &str, style: &'static str) -> Clip {
    let wish = Wish { style: Some(style), secs: 20.0, rate: 44_100, degrade: false, seed: 8 };
    let clip = render(&wish, &Fonts::none());
    fs::write(folder.join(name), clip.wav()).unwrap();
    clip
}

fn rows(path: &Path) -> Vec<Vec<String>> {
    let text = fs::read_to_string(path).unwrap();
    text.lines().map(|line| line.split_whitespace().map(str::to_owned).collect()).collect()
}

#[test]
fn a_file_is_listened_to_and_its_beats_are_where_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let four = clip(folder, "four.wav", "plain four");
    clip(folder, "talk.wav", "speech");
    for (how, lists) in [(&["--live"][..], "live"), (&[], "back")] {
        let words = [&["listen", "four.wav", "talk.wav", "--out", lists, "--svg", lists], how].concat();
        let said = lanthorn(folder, &words);
        assert!(said.status.success(), "{}", text(&said.stderr));
        let told = text(&said.stdout);
        assert!(told.contains("four: 0:20") && told.contains("talk: 0:20, no beat is heard"), "{told}");
        let beats = rows(&folder.join(lists).join("four.beats"));
        let near = |at: f64| four.truth.beats.iter().any(|beat| (beat.at - at).abs() < 0.03);
        let right = beats.iter().filter(|beat| near(beat[0].parse().unwrap())).count();
        assert!(right * 20 > beats.len() * 19 && right > 20, "{lists}: {right} of {}", beats.len());
        assert!(
            beats.iter().all(|beat| beat.len() == 3 && (1..=4).contains(&beat[1].parse::<u8>().unwrap()))
        );
        let onsets = rows(&folder.join(lists).join("four.onsets"));
        assert!(onsets.iter().filter(|onset| onset[1] == "kick").count() > 20, "{onsets:?}");
        assert!(rows(&folder.join(lists).join("talk.beats")).len() < 4);
        let timing: serde_json::Value =
            serde_json::from_slice(&fs::read(folder.join(lists).join("timing.json")).unwrap()).unwrap();
        assert!(
            (timing["audio_s"].as_f64().unwrap() - 40.0).abs() < 0.1
                && timing["cpu_s"].as_f64().unwrap() > 0.0
        );
        let picture = fs::read_to_string(folder.join(lists).join("four.svg")).unwrap();
        assert_eq!(
            picture.matches("class=\"first\"").count(),
            beats.iter().filter(|beat| beat[1] == "1").count()
        );
    }
    let said = lanthorn(folder, &["listen", "four.wav", "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&said.stdout).unwrap();
    let truth = four.truth.beats.windows(2).map(|pair| 60.0 / (pair[1].at - pair[0].at)).next().unwrap();
    assert!((told[0]["bpm"].as_f64().unwrap() / truth - 1.0).abs() < 0.02, "{} for {truth}", told[0]["bpm"]);
}

#[test]
fn what_cannot_be_listened_to_is_told_with_its_name() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    fs::write(folder.join("letter.wav"), "Dear committee").unwrap();
    fs::create_dir(folder.join("other")).unwrap();
    clip(folder, "four.wav", "plain four");
    clip(folder, "other/four.wav", "plain four");
    for (files, says) in [
        (&["missing.mp3"][..], "missing.mp3: "),
        (&["letter.wav"], "letter.wav: this is no sound that can be read"),
        (&["four.wav", "other/four.wav"], "other/four.wav: another file is called four too"),
    ] {
        let said = lanthorn(folder, &[&["listen"], files].concat());
        assert_eq!(said.status.code(), Some(2), "{files:?}");
        assert!(text(&said.stderr).contains(says), "{}", text(&said.stderr));
    }
}
