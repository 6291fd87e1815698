//! A kind of light from its chart, within a show: kept with its answers, read again, and its channels set range by range.

use lanthorn_store::change::{Change, apply};
use lanthorn_store::chart::{self, Answer};
use lanthorn_store::kept_charts;

use super::{changed, read};

const SUPPER: &str = include_str!("../shows/supper.show.toml");
const CHARTS: [&str; 4] = [
    include_str!("../../charts/01-par-three-modes.txt"),
    include_str!("../../charts/04-spot-lost-dashes.txt"),
    include_str!("../../charts/14-misprints-spot.txt"),
    include_str!("../../charts/36-combined-conditions.txt"),
];

fn add(text: &str, answers: Vec<Answer>, replace: bool) -> Change {
    Change::ProfileAdd { name: "own light".to_owned(), text: text.to_owned(), answers, replace }
}

#[test]
fn a_chart_and_its_answers_stay_beside_the_profile_that_they_give() {
    for text in CHARTS {
        for show in [SUPPER.to_owned(), SUPPER.replace('\n', "\r\n")] {
            let first = apply(&show, &add(text, Vec::new(), false)).unwrap();
            let reading = chart::read(text, &[]);
            let answers: Vec<Answer> = reading
                .questions
                .iter()
                .filter_map(|asked| {
                    let value = asked.answers.first()?.value.clone();
                    Some(Answer { id: asked.id.clone(), value })
                })
                .collect();
            assert!(kept_charts(&first.text)[0].answers.is_empty());
            let second = apply(&first.text, &add(text, answers.clone(), true)).unwrap();
            let kept = kept_charts(&second.text);
            assert_eq!(kept.len(), 1);
            assert_eq!(kept[0].profile, "own light");
            assert_eq!(kept[0].text.trim_end(), text.trim_end());
            assert_eq!(kept[0].answers, answers);
            // What a drive needs comes of the very same reading.
            let file = read(&second.text);
            let profile = file.profiles.iter().find(|profile| profile.name == "own light").unwrap();
            let expected = chart::profile(&chart::read(text, &answers), "own light", None);
            assert_eq!(profile.modes, expected.modes);
        }
    }
}

#[test]
fn a_name_that_is_taken_is_refused_with_a_clear_word() {
    let mut taken = add(CHARTS[0], Vec::new(), false);
    if let Change::ProfileAdd { name, .. } = &mut taken {
        *name = "RGBW par".to_owned();
    }
    let why = apply(SUPPER, &taken).unwrap_err().to_string();
    assert!(why.contains("has a kind of light \"RGBW par\" already") && why.contains("replace"), "{why}");
    for (text, wanted) in
        [("nothing that is a table", "no channel is found"), (&"x".repeat(300 << 10), "300 KiB are too much")]
    {
        let why = apply(SUPPER, &add(text, Vec::new(), false)).unwrap_err().to_string();
        assert!(why.contains(wanted), "{why}");
    }
}

#[test]
fn a_channel_is_set_and_every_other_stays_to_the_byte() {
    let own = apply(SUPPER, &add(CHARTS[0], Vec::new(), false)).unwrap().text;
    let json = r#"{ "type": "profile_channel_set", "profile": "own light", "mode": "7 Channel Mode", "channel": 5, "name": "strobe",
        "ranges": [{ "values": "0-10", "label": "open" }, { "values": "11-255", "does": "Dimmer", "label": "less and less", "sense": "down" }] }"#;
    let (text, says) = changed(&own, json);
    assert!(says.contains("Channel 5 (strobe)") && says.contains("2 ranges"), "{says}");
    let before = read(&own).profiles.iter().find(|one| one.name == "own light").unwrap().clone();
    let after = read(&text).profiles.iter().find(|one| one.name == "own light").unwrap().clone();
    for (one, other) in before.modes.iter().zip(&after.modes) {
        for (was, is) in one.channels.iter().zip(&other.channels) {
            let set = one.name == "7 Channel Mode" && was.coarse == 5;
            assert_eq!(was == is, !set, "{}, channel {}", one.name, was.coarse);
        }
    }
    for (json, wanted) in [
        (json.replace("\"channel\": 5", "\"channel\": 9"), "there is no channel 9"),
        (json.replace("7 Channel", "9 Channel"), "there is no mode"),
        (json.replace("11-255", "5-255"), "5"),
        (json.replace("11-255", "11-300"), "255"),
        (json.replace("\"ranges\": [", "\"ranges\": [], \"x\": ["), "unknown field"),
    ] {
        let refused = match serde_json::from_str::<Change>(&json) {
            Ok(change) => apply(&own, &change).unwrap_err().to_string(),
            Err(why) => why.to_string(),
        };
        assert!(refused.contains(wanted), "{refused}");
    }
}
