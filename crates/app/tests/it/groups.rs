//! Group masters from outside: the real program, its socket, and a kill.

use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};

use super::lanthorn;
use super::socket::{Page, open};

fn group(group: &str, level: &Value) -> Value {
    json!({ "type": "group_master", "group": group, "level": level })
}

/// What the eye sees of each light, by number: the largest level of its heads; none while heads turn or a fade runs.
fn seen(heard: &Value) -> Option<Vec<(u64, f64)>> {
    if heard["now"]["fade"] != 1.0 {
        return None;
    }
    let level = |light: &Value| {
        let levels = light["heads"].as_array()?.iter().filter_map(|head| head["level"].as_f64());
        Some((light["unit"].as_u64()?, levels.fold(0.0, f64::max).sqrt()))
    };
    heard["lights"].as_array()?.iter().map(level).collect()
}

/// A look in which washes and others shine, put on and settled.
fn put_on(page: &mut Page) {
    let look = page.wait("the scene", |heard| {
        let still = |look: &&Value| look["paths"].as_array().is_some_and(Vec::is_empty);
        Some(heard["looks"].as_array()?.iter().find(still)?["name"].as_str()?.to_owned())
    });
    page.say(&json!({ "type": "look", "name": look }));
    page.wait("the look", |heard| {
        let rest = heard["lights"].as_array()?.iter().all(|light| light["moving"] == false);
        (heard["now"]["look"] == look && heard["now"]["fade"] == 1.0 && rest).then_some(())
    });
}

fn kept_level(folder: &Path) -> Option<f64> {
    let files = std::fs::read_dir(folder.join("state/lanthorn/on")).ok()?;
    let file = files.flatten().find(|file| file.file_name().to_string_lossy().ends_with(".json"))?;
    let kept: Value = serde_json::from_slice(&std::fs::read(file.path()).ok()?).ok()?;
    kept["on"]["groups"][0][1].as_f64()
}

#[test]
fn a_group_master_is_set_renamed_under_way_and_there_again_after_a_kill() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(lanthorn(folder.path(), &["new", "dance", "--from", "demo"]).status.code(), Some(0));
    let (mut running, _, address) = open(folder.path(), &["open", "dance"]);
    let mut page = Page::open(&address);
    put_on(&mut page);
    let before = page.wait("levels", seen);
    let is_wash = |unit: u64| (1..=4).contains(&unit);
    assert!(before.iter().any(|(unit, level)| is_wash(*unit) && *level > 0.1), "{before:?}");
    assert!(before.iter().any(|(unit, level)| !is_wash(*unit) && *level > 0.1), "{before:?}");

    // What is no group and what is no level changes nothing, and the machine goes on hearing.
    page.say(&group("nowhere", &json!(0.1)));
    page.say(&group("", &json!(0.1)));
    page.say(&group("washes", &Value::Null));
    page.say(&group("washes", &json!("NaN")));
    page.say(&json!({ "type": "master", "level": 0.9 }));
    let groups = page
        .wait("the master", |heard| (heard["now"]["master"] == 0.9).then(|| heard["now"]["groups"].clone()));
    assert_eq!(groups, json!([1.0, 1.0, 1.0, 1.0]));
    page.say(&json!({ "type": "master", "level": 1.0 }));
    page.wait("the master, back", |heard| (heard["now"]["master"] == 1.0).then_some(()));

    page.say(&group("washes", &json!(0.5)));
    let halved = |heard: &Value| {
        let now = seen(heard)?;
        let as_meant = now.iter().zip(&before).all(|((unit, now), (_, before))| {
            let part = if is_wash(*unit) { 0.5 } else { 1.0 };
            (now - before * part).abs() < 0.01
        });
        as_meant.then_some(())
    };
    page.wait("washes at half, all else as it was", halved);

    // Called otherwise while it runs, it stays where it is.
    let change = json!({ "type": "group_rename", "name": "washes", "to": "front" });
    page.say(&json!({ "type": "change", "change": change }));
    page.wait("the new name", |heard| (heard["groups"][0]["name"] == "front").then_some(()));
    let groups = page.wait("a moment", |heard| heard["now"]["groups"].as_array().cloned());
    assert_eq!(groups[0], 0.5);
    page.wait("still at half", halved);

    // What is kept is written a little later than it is on.
    while kept_level(folder.path()) != Some(0.5) {
        std::thread::sleep(Duration::from_millis(300));
    }
    running.0.0.kill().unwrap();
    running.0.0.wait().unwrap();
    let (_running, said, address) = open(folder.path(), &["open", "dance"]);
    assert!(said.iter().any(|line| line.contains("goes on where it was")), "{said:?}");
    let mut page = Page::open(&address);
    let groups = page.wait("the first moment", |heard| heard["now"]["groups"].as_array().cloned());
    assert_eq!(groups, [0.5, 1.0, 1.0, 1.0]);
    page.wait("at half again", halved);
}
