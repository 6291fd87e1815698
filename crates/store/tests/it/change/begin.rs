//! A first show, where there is none yet.

use lanthorn_store::change::apply;
use lanthorn_store::{DEMO_TEXT, write_profile};

use super::examples::EMPTY;
use super::{change, changed, read};

#[test]
fn the_show_keeps_its_name_and_its_room_where_none_is_said() {
    let (text, says) =
        changed(EMPTY, r#"{ "type": "begin", "lights": [{ "profile": "rgb pars", "count": 2 }] }"#);
    let file = read(&text);
    assert_eq!(file.show.name, "Spring dance");
    let room = &file.rig.room;
    assert_eq!(room.name, "old school");
    assert_eq!([room.x, room.y].map(|ends| ends.map(|end| end.get())), [[-5.0, 5.0], [-9.0, 3.0]]);
    assert!((room.platforms[0].height.get() - 0.7).abs() < 1e-9);
    assert_eq!(file.rig.units.len(), 2);
    assert!(says.contains("\"old school\""), "{says}");
}

#[test]
fn profiles_of_the_show_itself_may_be_asked_for() {
    let mut own = lanthorn_store::shipped_profile("RGBW par").unwrap().as_ref().clone();
    own.name = "borrowed par".to_owned();
    let lines: String = write_profile(&own)
        .lines()
        .map(|line| {
            match line
                .strip_prefix("[[")
                .map(|rest| ("[[", rest))
                .or(line.strip_prefix('[').map(|rest| ("[", rest)))
            {
                Some((open, rest)) => format!("{open}profile.{rest}\n"),
                None => format!("{line}\n"),
            }
        })
        .collect();
    let show = format!("{EMPTY}\n[[profile]]\n{lines}");
    read(&show);
    let (text, _) =
        changed(&show, r#"{ "type": "begin", "lights": [{ "profile": "borrowed par", "count": 4 }] }"#);
    let file = read(&text);
    assert!(file.rig.units.iter().all(|unit| unit.profile.name == "borrowed par"));
    assert_eq!(file.profiles.len(), 1, "the file carries it still");
}

#[test]
fn it_is_one_of_many_and_what_comes_after_is_made_in_the_new_text() {
    let json = r#"{ "type": "many", "changes": [
        { "type": "begin", "room": "barn", "lights": [{ "profile": "small wash head", "count": 2 }] },
        { "type": "look_rename", "name": "Supper", "to": "Dinner" }
    ] }"#;
    let (text, _) = changed(EMPTY, json);
    assert!(read(&text).show.looks.iter().any(|look| look.name == "Dinner"));
}

#[test]
fn what_cannot_be_begun_is_said_with_what_to_do() {
    let begin = |rest: &str| format!(r#"{{ "type": "begin", {rest} }}"#);
    for (show, rest, words) in [
        (DEMO_TEXT, r#""lights": [{ "profile": "RGB par" }]"#, &["11 lights already", "remove them"][..]),
        (EMPTY, r#""lights": []"#, &["name one light"]),
        (
            EMPTY,
            r#""lights": [{ "profile": "small spot haed" }]"#,
            &["\"small spot haed\"", "did you mean \"small spot head\""],
        ),
        (EMPTY, r#""lights": [{ "profile": "spot" }]"#, &["did you mean \"small spot head\""]),
        (
            EMPTY,
            r#""lights": [{ "profile": "RGB par", "mode": "4 channels" }]"#,
            &["mode of \"RGB par\"", "3 channels"],
        ),
        (
            EMPTY,
            r#""lights": [{ "profile": "RGB par", "place": "front bra" }]"#,
            &["did you mean \"front bar\""],
        ),
        (EMPTY, r#""lights": [{ "profile": "RGB par", "count": 0 }]"#, &["name 1 to"]),
        (EMPTY, r#""lights": [{ "profile": "small spot head", "count": 190 }]"#, &["no space", "take fewer"]),
        (
            EMPTY,
            r#""room": "vilage hall", "lights": [{ "profile": "RGB par" }]"#,
            &["did you mean \"village hall\""],
        ),
        (
            EMPTY,
            r#""room": { "width": 900, "depth": 9, "height": 3 }, "lights": [{ "profile": "RGB par" }]"#,
            &["width", "900 m", "give 4 to 60"],
        ),
    ] {
        let why = apply(show, &change(&begin(rest))).unwrap_err().to_string();
        assert!(words.iter().all(|word| why.contains(word)), "{rest}: {why}");
    }
    let made = format!("{EMPTY}\n[[look]]\nname = \"Mine\"\n\n[[look.part]]\nwho = \"all\"\n");
    let why =
        apply(&made, &change(&begin(r#""lights": [{ "profile": "RGB par" }]"#))).unwrap_err().to_string();
    assert!(why.contains("1 look already") && why.contains("lost"), "{why}");
    let error = serde_json::from_str::<lanthorn_store::change::Change>(&begin(r#""room": 7, "lights": []"#))
        .unwrap_err();
    assert!(error.to_string().contains("village hall"), "{error}");
}
