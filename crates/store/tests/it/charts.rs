//! Channel charts as they come out of manuals, against readings that were made by hand by somebody who knew nothing of how
//! they are read (invented lights; the habits are those of printed charts, see the `habits` of each).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use lanthorn_store::chart::{self, Answer};
use lanthorn_store::reading::{KindReading as Kind, Reading};
use lanthorn_store::{read_profile, write_profile};
use serde_json::Value;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/charts")
}

fn charts() -> Vec<(String, String, Value)> {
    let mut names: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("as the corpus is written")
        .map(|entry| entry.expect("as the corpus is written").path())
        .filter(|path| path.extension().is_some_and(|end| end == "txt"))
        .collect();
    names.sort();
    assert!(names.len() >= 160, "charts to read");
    let read = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).expect("as the corpus is written");
        let wanted = serde_json::from_str(
            &std::fs::read_to_string(path.with_extension("json")).expect("as the corpus is written"),
        )
        .expect("as the corpus is written");
        (path.file_stem().expect("as the corpus is written").to_string_lossy().into_owned(), text, wanted)
    };
    names.into_iter().map(read).collect()
}

/// What a person relies on of a range: mode, channel, values, attribute, kind, direction, whose fine byte, when.
type Ranges = BTreeMap<(usize, u64, u64, u64), Vec<String>>;

fn ranges(reading: &Value) -> Ranges {
    let mut out = Ranges::new();
    for (index, mode) in reading["modes"].as_array().expect("as the corpus is written").iter().enumerate() {
        for channel in mode["channels"].as_array().expect("as the corpus is written") {
            for range in channel["ranges"].as_array().expect("as the corpus is written") {
                let key = (
                    index,
                    channel["ch"].as_u64().expect("as the corpus is written"),
                    range["from"].as_u64().expect("as the corpus is written"),
                    range["to"].as_u64().expect("as the corpus is written"),
                );
                let what = ["attr", "kind", "dir", "when"].map(|field| range[field].to_string()).join(" ");
                out.entry(key).or_default().push(format!("{what} fine of {}", channel["fine_of"]));
            }
        }
    }
    out
}

#[test]
fn every_range_is_read_as_a_careful_person_would() {
    let (mut wrong, mut count) = (Vec::new(), 0);
    for (name, text, wanted) in charts() {
        let read = serde_json::to_value(chart::read(&text, &[])).expect("as the corpus is written");
        let (wanted, read) = (ranges(&wanted), ranges(&read));
        count += wanted.values().map(Vec::len).sum::<usize>();
        for (key, meanings) in &wanted {
            if read.get(key) != Some(meanings) {
                wrong.push(format!("{name} {key:?}: wanted {meanings:?}, read {:?}", read.get(key)));
            }
        }
        wrong.extend(
            read.keys()
                .filter(|key| !wanted.contains_key(key))
                .map(|key| format!("{name} {key:?}: not there")),
        );
    }
    assert!(count > 5700, "{count} ranges");
    assert_eq!(wrong, Vec::<String>::new());
}

/// The text as other programs copy it: an empty line behind every line, other ends of lines, blanks that do not break.
fn copies(text: &str) -> [(&'static str, String); 3] {
    [
        ("a gap behind every line", text.replace('\n', "\n\n")),
        ("other ends of lines", text.replace('\n', "\r\n")),
        ("blanks that do not break", text.replace("  ", "\u{a0} ")),
    ]
}

#[test]
fn a_chart_reads_the_same_however_it_was_copied() {
    // One chart has a sentence whose end is told by an empty line alone.
    const BY_A_GAP: &str = "53-more";
    for (name, text, _) in charts() {
        let plain = ranges(&serde_json::to_value(chart::read(&text, &[])).expect("a reading is JSON"));
        for (how, copy) in copies(&text) {
            if name == BY_A_GAP && how == "a gap behind every line" {
                continue;
            }
            let reading = chart::read(&copy, &[]);
            let rows: Vec<&str> = copy.lines().collect();
            for line in reading.questions.iter().flat_map(|question| &question.lines) {
                let row = usize::try_from(*line).ok().and_then(|line| rows.get(line - 1));
                assert!(row.is_some_and(|row| !row.trim().is_empty()), "{name}, {how}: line {line}");
            }
            let read = ranges(&serde_json::to_value(reading).expect("a reading is JSON"));
            assert_eq!(read, plain, "{name}, {how}");
        }
    }
}

/// A text whose ranges lost the mark between their two values, those that the chart is known to have.
fn without_marks(text: &str, wanted: &Ranges) -> String {
    let known = |from: &str, to: &str| {
        let (Ok(from), Ok(to)) = (from.parse::<u64>(), to.parse::<u64>()) else { return false };
        wanted.keys().any(|key| (key.2, key.3) == (from, to))
    };
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(['-', '~', '\u{2013}', '\u{2014}']) {
        let mark = rest[at..].chars().next().map_or(1, char::len_utf8);
        let (before, after) = (&rest[..at], &rest[at + mark..]);
        let trimmed = before.trim_end_matches(' ');
        let from = &trimmed[trimmed.trim_end_matches(|c: char| c.is_ascii_digit()).len()..];
        let behind = after.trim_start_matches(' ');
        let digits = behind.len() - behind.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let lost = known(from, &behind[..digits]);
        out.push_str(before);
        out.push_str(if lost { " " } else { &rest[at..at + mark] });
        rest = after;
    }
    out.push_str(rest);
    out
}

#[test]
fn a_chart_that_lost_the_marks_of_its_ranges_reads_nearly_as_with_them() {
    // Left out are those whose ranges stand in hexadecimal digits as well, fall, or have lost the blanks between words.
    const OTHERS: [&str; 5] = ["12-", "90-", "110-", "118-", "119-"];
    let (mut same, mut all) = (0, 0);
    for (name, text, wanted) in charts() {
        if OTHERS.iter().any(|other| name.starts_with(other)) {
            continue;
        }
        let plain = ranges(&serde_json::to_value(chart::read(&text, &[])).expect("a reading is JSON"));
        let lost = chart::read(&without_marks(&text, &ranges(&wanted)), &[]);
        let lost = ranges(&serde_json::to_value(lost).expect("a reading is JSON"));
        all += plain.len();
        same += plain.iter().filter(|(key, meanings)| lost.get(key) == Some(meanings)).count();
    }
    assert!(same * 1000 >= all * 995, "{same} of {all} ranges");
}

#[test]
fn every_doubt_that_a_chart_raises_is_asked_beside_its_lines() {
    let mut missing = Vec::new();
    for (name, text, wanted) in charts() {
        let read = chart::read(&text, &[]);
        let lines = u32::try_from(text.lines().count()).expect("as the corpus is written");
        let modes: Vec<&str> = wanted["modes"]
            .as_array()
            .expect("as the corpus is written")
            .iter()
            .map(|mode| mode["name"].as_str().expect("as the corpus is written"))
            .collect();
        for question in wanted["questions"].as_array().expect("as the corpus is written") {
            let place =
                question["mode"].as_str().and_then(|mode| modes.iter().position(|name| *name == mode));
            let asked = read.questions.iter().any(|asked| {
                asked.kind == question["kind"].as_str().expect("as the corpus is written")
                    && question["ch"].as_u64().is_none_or(|ch| asked.ch.map(u64::from) == Some(ch))
                    && place.is_none_or(|place| {
                        asked.mode.as_ref() == read.modes.get(place).map(|mode| &mode.name)
                    })
            });
            if !asked {
                missing.push(format!("{name}: {question}"));
            }
        }
        for question in &read.questions {
            assert!(question.lines.iter().all(|line| (1..=lines).contains(line)), "{name}: {question:?}");
            assert!(!question.answers.is_empty(), "{name}: {question:?}");
        }
    }
    assert_eq!(missing, Vec::<String>::new());
}

#[test]
fn footprints_and_last_addresses() {
    for (name, text, wanted) in charts() {
        let read = chart::read(&text, &[]);
        let wanted: Vec<(u64, u64)> = wanted["modes"]
            .as_array()
            .expect("as the corpus is written")
            .iter()
            .map(|mode| {
                (
                    mode["footprint"].as_u64().expect("as the corpus is written"),
                    mode["last_start_address"].as_u64().expect("as the corpus is written"),
                )
            })
            .collect();
        let read: Vec<(u64, u64)> = read
            .modes
            .iter()
            .map(|mode| (u64::from(mode.footprint), u64::from(mode.last_start_address.unwrap_or(0))))
            .collect();
        assert_eq!(read, wanted, "{name}");
    }
}

/// Answers every question by the choice at `place` (or the last there is).
fn answered(text: &str, place: usize) -> Reading {
    let mut answers: Vec<Answer> = Vec::new();
    for _ in 0..8 {
        let reading = chart::read(text, &answers);
        let open: Vec<Answer> = reading
            .questions
            .iter()
            .filter(|question| question.answered.is_none())
            .filter_map(|question| {
                let choice = question.answers.get(place).or(question.answers.last())?;
                Some(Answer { id: question.id.clone(), value: choice.value.clone() })
            })
            .collect();
        if open.is_empty() {
            return reading;
        }
        answers.extend(open);
    }
    panic!("questions without end");
}

#[test]
fn whatever_is_answered_gives_a_profile_that_can_be_driven() {
    let mut wrong = Vec::new();
    for (name, text, _) in charts() {
        for place in [0, 1, 2] {
            let reading = answered(&text, place);
            let profile = chart::profile(&reading, &name, None);
            let (read, problems) = read_profile(&write_profile(&profile));
            wrong.extend(
                problems
                    .iter()
                    .filter(|problem| problem.is_error())
                    .map(|problem| format!("{name}, {place}: {problem}")),
            );
            if read.as_ref() != Some(&profile) {
                wrong.push(format!("{name}, {place}: does not come back as it was written"));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn an_answer_changes_what_was_in_doubt_and_nothing_else() {
    let text = "3 CH MODE\nCH1 0-255 Dimmer\nCH2 0-255 Speed of strobe\nCH3 0-99 Red\n105-255 Blue";
    let before = chart::read(text, &[]);
    let gap =
        before.questions.iter().find(|question| question.kind == "gap").expect("as the corpus is written");
    assert_eq!((gap.ch, gap.lines.as_slice()), (Some(3), &[4, 5][..]));
    let answer = Answer { id: gap.id.clone(), value: "below".to_owned() };
    let after = chart::read(text, &[answer]);
    let values: Vec<(u16, u16)> =
        after.modes[0].channels[2].ranges.iter().map(|range| (range.from, range.to)).collect();
    assert_eq!(values, [(0, 104), (105, 255)]);
    assert_eq!(after.modes[0].channels[..2], before.modes[0].channels[..2]);
}

#[test]
fn a_channel_of_programmes_keeps_a_way_out_when_its_condition_falls_away() {
    let text = "3 CH MODE\nCH1 0-255 Dimmer\nCH2 Programs\nIf CH1 is 0-100:\n0-150 Program 1\n151-255 Program 2\n\
        If CH9 is 0-15:\n0-255 No function\nCH3 0-255 Red";
    let reading = chart::read(text, &[]);
    let (read, problems) = read_profile(&write_profile(&chart::profile(&reading, "show light", None)));
    let mode = &read.unwrap_or_else(|| panic!("{problems:?}")).modes[0];
    assert!(mode.channels[1].ranges.iter().any(|range| !range.is_dangerous()));
}

#[test]
fn a_gobo_told_in_a_sentence_and_steps_without_words_have_names_that_a_profile_holds() {
    let text = "3 CH MODE\nCH1 0-255 Dimmer\nCH2 Gobo\n0-9 Open\n10-19 The light passes through a glass with many small stars and then through another one with a moon on it\n\
        20-255\nCH3 0-255 Focus";
    for place in 0..3 {
        let profile = chart::profile(&answered(text, place), "spot", None);
        let (read, problems) = read_profile(&write_profile(&profile));
        assert_eq!(read.as_ref(), Some(&profile), "{place}: {problems:?}");
    }
}

#[test]
fn a_first_window_in_words_that_nobody_knows_is_asked() {
    let text = "3 CH MODE\nCH1 0-255 Dimmer\nCH2 0-9 Zwrt\n10-99 Gobo 1\n100-255 Gobo 2\nCH3 0-255 Focus";
    let before = chart::read(text, &[]);
    let asked = before
        .questions
        .iter()
        .find(|question| (question.kind.as_str(), question.ch) == ("meaning", Some(2)))
        .expect("a doubt");
    assert_eq!(asked.lines, [3]);
    let first = |reading: &Reading| {
        let range = &reading.modes[0].channels[1].ranges[0];
        (range.attr.clone(), range.kind, range.slot)
    };
    assert_eq!(first(&before), ("Gobo1".to_owned(), Kind::Fixed, Some(1)));
    let after = chart::read(text, &[Answer { id: asked.id.clone(), value: "NoFeature".to_owned() }]);
    assert_eq!(first(&after), ("NoFeature".to_owned(), Kind::None, None));
}

#[test]
fn text_that_is_no_chart_gives_no_mode() {
    for text in [
        "",
        "\n\n",
        "A letter to a friend. It has 3 lines.\nAnd 12 words or so.",
        "\u{0}\u{1}\u{2}",
        "()()()",
    ] {
        assert_eq!(chart::read(text, &[]).modes, Vec::new(), "{text:?}");
    }
}

#[test]
fn a_channel_that_is_dangerous_at_every_printed_value_is_asked_about_and_can_rest() {
    let text = "6-CHANNEL MODE\n1 000-255 Dimmer\n2 000-255 Red\n3 000-255 Green\n4 000-255 Blue\n5 000-255 Strobe slow to fast\n6 000-127 Auto programs\n128-255 Sound active\n";
    let rests_at = |answers: &[Answer]| {
        let reading = chart::read(text, answers);
        let asked = reading.questions.iter().find(|question| question.kind == "danger");
        let asked = asked.unwrap_or_else(|| panic!("{:?}", reading.questions)).clone();
        assert!(asked.text.contains("does nothing") || asked.text.contains("do nothing"), "{}", asked.text);
        let profile = chart::profile(&reading, "a light", None);
        let (back, problems) = read_profile(&write_profile(&profile));
        let back = back.unwrap_or_else(|| panic!("{problems:?}"));
        let channel = &back.modes[0].channels[5];
        let free: Vec<u16> =
            channel.ranges.iter().filter(|range| range.danger.is_none()).map(|range| range.from).collect();
        (asked.id, free)
    };
    let (id, free) = rests_at(&[]);
    assert_eq!(free, [0], "until somebody says otherwise");
    assert_eq!(rests_at(&[Answer { id, value: "255".to_owned() }]).1, [255]);
}

#[test]
fn numbers_of_modes_without_columns_are_asked_about_where_they_can_be_others() {
    let text = "2CH 4CH 8CH Value Function\n1 1 000-255 Master dimmer\n1 2 000-255 Head 1 warm white\n\
        2 3 000-255 Head 1 cold white\n3 4 000-255 Head 2 warm white\n4 5 000-255 Head 2 cold white\n\
        2 6 000-009 No strobe\n010-255 Strobe slow to fast\n7 000-255 Auto speed slow to fast\n\
        8 000-255 Dimmer curve speed slow to fast\n";
    let reading = chart::read(text, &[]);
    let counts: Vec<u16> = reading.modes.iter().map(|mode| mode.footprint).collect();
    assert_eq!(counts, [2, 4, 8]);
    let question = reading.questions.iter().find(|question| question.kind == "columns").expect("a doubt");
    assert_eq!(question.lines, [2, 3]);
    let first = |reading: &Reading, mode: usize| reading.modes[mode].channels[0].ranges[0].attr.clone();
    let as_read = [first(&reading, 0), first(&reading, 1)];
    let answer = Answer { id: question.id.clone(), value: "other".to_owned() };
    let other = chart::read(text, &[answer]);
    assert_eq!([first(&other, 1), first(&other, 0)], as_read);
    assert_ne!(as_read[0], as_read[1]);
    assert_eq!(first(&other, 2), "Dimmer");
}

#[test]
fn a_wheel_of_more_windows_than_there_are_slots_gives_a_profile_that_reads_back() {
    let text = format!(
        "5 channels\nCH1 Dimmer 0-255\nCH2 Gobo wheel\n{}",
        "48-63 Gobo 6\n64-127 Gobos 1-8\n".repeat(300)
    );
    let reading = chart::read(&text, &[]);
    assert!(reading.modes[0].channels[1].ranges.len() > 500);
    let written = write_profile(&chart::profile(&reading, "Lamp", None));
    let (back, problems) = read_profile(&written);
    assert!(back.is_some(), "{problems:?}");
}
