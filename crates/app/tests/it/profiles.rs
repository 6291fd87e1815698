//! `lanthorn profile list`, `show`, `check`, `add` and `diff` from outside, with a folder of one's own.

use std::path::Path;
use std::process::{Command, Output};

use super::text;

const PAR: &str = include_str!("../../../store/profiles/rgb-par.toml");

fn lanthorn(folder: &Path, words: &[&str]) -> Output {
    let own = folder.join("own");
    Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(words)
        .current_dir(folder)
        .env("LANTHORN_PROFILES", own)
        .output()
        .unwrap()
}

/// What is printed, where the command must succeed.
fn printed(folder: &Path, words: &[&str]) -> String {
    let done = lanthorn(folder, words);
    assert_eq!(done.status.code(), Some(0), "{words:?}: {}", text(&done.stderr));
    text(&done.stdout).to_owned()
}

fn refused(folder: &Path, words: &[&str]) -> String {
    let done = lanthorn(folder, words);
    assert_eq!(done.status.code(), Some(2), "{words:?}: {}", text(&done.stdout));
    format!("{}{}", text(&done.stdout), text(&done.stderr))
}

fn json(folder: &Path, words: &[&str]) -> serde_json::Value {
    serde_json::from_str(&printed(folder, words)).unwrap()
}

#[test]
fn the_library_is_listed_and_searched_by_name_sort_and_channels() {
    let folder = tempfile::tempdir().unwrap();
    let names = |word: &str| -> Vec<String> {
        let list = json(folder.path(), &["profile", "list", word, "--json"]);
        list.as_array().unwrap().iter().map(|one| one["name"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(
        json(folder.path(), &["profile", "list", "--json"]).as_array().unwrap().len(),
        lanthorn_store::shipped().len()
    );
    assert_eq!(names("fogger"), ["fogger"]);
    assert_eq!(names("PAR 9 channels"), ["flat RGBW par"]);
    assert!(names("hazer").contains(&"small hazer".to_owned()));
    assert!(printed(folder.path(), &["profile", "list", "no such thing"]).contains("no kind of light"));
}

#[test]
fn a_light_is_told_with_its_chart_and_the_states_that_prove_it() {
    let folder = tempfile::tempdir().unwrap();
    let told = printed(folder.path(), &["profile", "show", "fogger"]);
    assert!(told.starts_with("Fogger, ") && told.contains("900 W") && told.contains("(guessed)"), "{told}");
    let par = json(folder.path(), &["profile", "show", "RGBW par", "--mode", "8 channels", "--json"]);
    let mode = &par["modes"][0];
    let row = |channel: &str, values: &str| {
        let rows = mode["chart"].as_array().unwrap();
        rows.iter().find(|row| row["channel"] == channel && row["values"] == values).unwrap().clone()
    };
    assert_eq!(row("strobe", "1–5")["danger"], "listens to its microphone");
    // Dimmer, four colours, then strobe in the middle of "on", programmes and their speed at nothing: read off the chart by hand.
    let states: Vec<(String, serde_json::Value)> = mode["states"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| (one["state"].as_str().unwrap().to_owned(), one["values"].clone()))
        .collect();
    assert_eq!(states[1], ("steady open".to_owned(), serde_json::json!([255, 255, 255, 255, 255, 8, 0, 0])));
    assert_eq!(states[0].1[0], 0);
    assert_eq!(states[2].1, states[0].1);
    let strobe = printed(folder.path(), &["profile", "show", "strobe", "--mode", "1 channel"]);
    assert!(strobe.contains("this mode gives no steady light"), "{strobe}");
    assert!(refused(folder.path(), &["profile", "show", "spot"]).contains("write the whole name"));
    assert!(refused(folder.path(), &["profile", "show", "par of mine"]).contains("lanthorn profile list"));
}

#[test]
fn files_are_checked_with_file_and_line() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("good.toml"), PAR).unwrap();
    std::fs::write(folder.path().join("bad.toml"), PAR.replace("at = 3", "at = 2")).unwrap();
    let says = printed(folder.path(), &["profile", "check", "good.toml"]);
    assert!(says.starts_with("good.toml: \"RGB par\", 1 mode, "), "{says}");
    let says = refused(folder.path(), &["profile", "check", "good.toml", "bad.toml", "none.toml"]);
    let line = PAR.lines().position(|line| line == "[[mode]]").unwrap() + 1;
    assert!(says.contains(&format!("bad.toml:{line}: ")) && says.contains("both at place 2"), "{says}");
    assert!(
        says.contains("none.toml: there is no such file") && says.contains("2 files cannot be used"),
        "{says}"
    );
}

#[test]
fn fixture_files_are_checked_as_well() {
    let folder = tempfile::tempdir().unwrap();
    printed(folder.path(), &["profile", "write", "small spot head", "-o", "spot.gdtf"]);
    std::fs::write(folder.path().join("broken.gdtf"), b"PK\x03\x04 and nothing else").unwrap();
    let says = printed(folder.path(), &["profile", "check", "spot.gdtf"]);
    assert!(says.starts_with("spot.gdtf: \"small spot head\", "), "{says}");
    let says = refused(folder.path(), &["profile", "check", "spot.gdtf", "broken.gdtf"]);
    assert!(
        says.contains("broken.gdtf: ") && !says.contains("UTF-8") && says.contains("1 file cannot"),
        "{says}"
    );
}

#[test]
fn what_is_added_goes_before_the_shipped_one_and_no_show_changes_by_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    let new = ["new", "supper", "--room", "village hall", "--lights", "4 RGB par"];
    printed(path, &new);
    let show = std::fs::read_to_string(path.join("supper.show.toml")).unwrap();
    std::fs::write(path.join("par.toml"), PAR.replace("28 W", "30 W")).unwrap();
    assert!(printed(path, &["profile", "add", "par.toml"]).contains("is in your library"));
    assert!(printed(path, &["profile", "add", "par.toml"]).contains("already"));
    std::fs::write(path.join("par.toml"), PAR.replace("28 W", "31 W")).unwrap();
    let says = refused(path, &["profile", "add", "par.toml"]);
    assert!(
        says.contains("power at full: 30 W is now 31 W") && says.contains("nothing was written"),
        "{says}"
    );
    assert!(printed(path, &["profile", "add", "par.toml", "--replace"]).contains("the other is kept as"));
    assert_eq!(std::fs::read_dir(path.join("own")).unwrap().count(), 2);

    // The show has what it had, and is told what it could have.
    let list = json(path, &["profile", "list", "--in", "supper", "--json"]);
    assert_eq!(list[0]["from"], "carried");
    assert_eq!(list[0]["offer"]["differences"], serde_json::json!(["power at full: 28 W is now 31 W"]));
    assert!(
        printed(path, &["check", "supper", "--all"])
            .contains("your own folder has another description of \"RGB par\"")
    );
    assert!(printed(path, &["profile", "diff", "--in", "supper", "RGB par"]).contains("28 W is now 31 W"));
    assert!(printed(path, &["profile", "diff", "RGB par"]).contains("28 W is now 31 W"));
    assert_eq!(std::fs::read_to_string(path.join("supper.show.toml")).unwrap(), show);

    // A first show of today is made of one's own.
    printed(path, &["new", "other", "--room", "village hall", "--lights", "4 RGB par"]);
    assert!(std::fs::read_to_string(path.join("other.show.toml")).unwrap().contains("watts = \"31 W\""));
}

/// Built-in shows only name their lights: they mean what was first shipped, whatever lies in the folder.
#[test]
fn a_built_in_show_does_not_change_with_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    let frames = ["frames", "demo", "--start", "Supper", "--at", "3 s", "--json"];
    let before = printed(folder.path(), &frames);
    let par = include_str!("../../../store/profiles/rgbw-par.toml")
        .replace("at = 2\nname = \"red\"", "at = 9\nname = \"red\"");
    std::fs::write(folder.path().join("par.toml"), par).unwrap();
    printed(folder.path(), &["profile", "add", "par.toml"]);
    assert_eq!(printed(folder.path(), &frames), before);
    let list = json(folder.path(), &["profile", "list", "--in", "demo", "--json"]);
    let par = list.as_array().unwrap().iter().find(|one| one["name"] == "RGBW par").unwrap();
    assert_eq!((&par["from"], &par["offer"]["from"]), (&"named".into(), &"own".into()));
}

/// A kind that only this machine knows goes into the show with the first change of it.
#[test]
fn a_show_carries_what_is_ones_own() {
    use std::io::Write;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    std::fs::write(path.join("par.toml"), PAR.replace("RGB par", "attic par")).unwrap();
    printed(path, &["profile", "add", "par.toml"]);
    let show = "lanthorn = 1\n[show]\nname = \"attic\"\n[room]\nname = \"attic\"\nx = [-3, 3]\ny = [-4, 4]\nheight = \"3 m\"\n\
        [[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, 2.5]\nlength = \"3 m\"\n\
        [[unit]]\nnumber = 1\nprofile = \"attic par\"\nplace = \"bar\"\naddress = \"1.001\"\n";
    std::fs::write(path.join("attic.show.toml"), show).unwrap();
    printed(path, &["check", "attic"]);
    let mut running = Command::new(env!("CARGO_BIN_EXE_lanthorn"))
        .args(["change", "attic"])
        .current_dir(path)
        .env("LANTHORN_PROFILES", path.join("own"))
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    running.stdin.take().unwrap().write_all(br#"{"type":"group_add","name":"pair","lights":[1]}"#).unwrap();
    assert!(running.wait().unwrap().success());
    std::fs::remove_dir_all(path.join("own")).unwrap();
    printed(path, &["check", "attic"]);
}
