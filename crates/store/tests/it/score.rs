//! Scored tracks in show files: read, written, checked, changed.

use lanthorn_physics::Span;
use lanthorn_show::score::{LineKind, Place};
use lanthorn_store::change::{Change, apply, score_keep};
use lanthorn_store::{read_show, write_show};

const SUPPER: &str = include_str!("shows/supper.show.toml");

fn read(text: &str) -> lanthorn_store::ShowFile {
    let (file, problems) = read_show(text);
    file.unwrap_or_else(|| panic!("{problems:?}"))
}

#[test]
fn a_score_is_read_and_written_as_it_is() {
    let file = read(SUPPER);
    let score = &file.show.scores[0];
    assert_eq!((score.name.as_str(), score.file.as_str(), score.bar_count()), ("The reel", "reel.flac", 16));
    assert_eq!(score.lines[1].kind, LineKind::Drop);
    assert_eq!(score.parts[1].place, Place::Bar { bar: 5, beat: 1 });
    let (dark, at) = score.span_of(&score.parts[1]).unwrap();
    assert_eq!((dark, at), (Span::from_millis(7_325), Span::from_millis(7_800)));
    let again = read(&write_show(&file));
    assert_eq!(again.show.scores, file.show.scores);
}

#[test]
fn a_score_that_is_kept_comes_back_whole() {
    let file = read(SUPPER);
    let mut score = file.show.scores[0].clone();
    let without = apply(SUPPER, &Change::ScoreRemove { name: score.name.clone() }).unwrap().text;
    assert!(read(&without).show.scores.is_empty());
    let kept = apply(&without, &score_keep(&score)).unwrap().text;
    assert_eq!(read(&kept).show.scores, [score.clone()]);
    // In its own place: laid anew, nothing of the old one is left.
    score.parts.truncate(1);
    score.lines.clear();
    let anew = apply(SUPPER, &score_keep(&score)).unwrap();
    assert_eq!(read(&anew.text).show.scores, [score]);
    assert!(anew.says.contains("laid anew"), "{}", anew.says);
}

#[test]
fn looks_and_chases_take_scores_along() {
    let (name, to) = ("Crossed".to_owned(), "Over cross".to_owned());
    let renamed = apply(SUPPER, &Change::LookRename { name, to }).unwrap();
    assert_eq!(read(&renamed.text).show.scores[0].parts[1].look.as_deref(), Some("Over cross"));
    assert!(renamed.says.contains("1 score"), "{}", renamed.says);
    let (name, to) = ("Reel".to_owned(), "Jig".to_owned());
    let renamed = apply(SUPPER, &Change::ChaseRename { name, to }).unwrap();
    assert_eq!(read(&renamed.text).show.scores[0].parts[1].chases, Some(vec!["Jig".to_owned()]));
    let gone = apply(SUPPER, &Change::LookRemove { name: "Gathered".to_owned() }).unwrap();
    assert_eq!(read(&gone.text).show.scores[0].parts[0].look, None);
    assert!(gone.says.contains("1 part of scores keeps the look before"), "{}", gone.says);
    let gone = apply(SUPPER, &Change::ChaseRemove { name: "Reel".to_owned() }).unwrap();
    assert_eq!(read(&gone.text).show.scores[0].parts[1].chases, Some(Vec::new()));
    assert!(gone.says.contains("1 part of scores no longer calls it"), "{}", gone.says);
}

#[test]
fn each_mistake_is_said_where_it_stands() {
    for (from, to, says) in [
        (
            "4, 5.9",
            "4, 3.9",
            "`bars[4] = 3.9`: it does not come after 4 s, where the bar before it begins; let the moments rise",
        ),
        (
            "28.7, 30.6]",
            "28.7, 40]",
            "`bars[17] = 40`: the track is 34.2 s long; end the last bar with the track",
        ),
        ("\nbar = 5\n", "\nbar = 17\n", "`bar = 17`: the track ends with bar 16; name one from 1 to 16"),
        ("\nbar = 5\n", "\nbar = 1\n", "part 1 begins there too; move one of them, or take it away"),
        ("\nbar = 5\n", "\nbar = 5\nbeat = 5\n", "`beat = 5`: a whole number from 1 to 4 is meant here"),
        ("\nbar = 5\n", "\ntime = \"35 s\"\n", "the track ends at 34.2 s; let the part begin before that"),
        ("\nbar = 5\n", "\n", "it does not say where it begins; add `bar = 1`"),
        (
            "\nlook = \"Crossed\"\nchases = [\"Reel\"]\ndark",
            "\nlook = \"Crosed\"\ndark",
            "there is no look \"Crosed\"; did you mean \"Crossed\"?",
        ),
        (
            "chases = [\"Reel\"]\ndark",
            "chases = [\"Real\"]\ndark",
            "there is no chase \"Real\"; did you mean \"Reel\"?",
        ),
        ("kind = \"drop\"", "kind = \"dorp\"", "did you mean \"drop\"?"),
        (
            "beats = 4\n",
            "beats = [{ bar = 3, of = 4 }, { bar = 3, of = 3 }]\n",
            "these stand in the order of their bars",
        ),
        ("file = \"reel.flac\"\n", "", "`file` is missing"),
        ("dark = \"1 beat\"", "dark = \"1 lux\"", "needs s, ms, min, beats, bars or phrases"),
    ] {
        assert!(SUPPER.contains(from), "{from}");
        let (file, problems) = read_show(&SUPPER.replacen(from, to, 1));
        let told: Vec<String> = problems.iter().map(|problem| problem.in_file("s")).collect();
        assert!(
            file.is_none() && told.iter().any(|line| line.contains(says) && line.contains("The reel")),
            "{to}: {told:#?}"
        );
    }
}

#[test]
fn parts_are_edited_alone() {
    let part = |change: &str| -> String {
        let change: Change = serde_json::from_str(change).unwrap();
        apply(SUPPER, &change).unwrap().text
    };
    let moved = part(r#"{"type":"score_part_set","score":"The reel","part":2,"values":{"bar":7}}"#);
    assert_eq!(moved, SUPPER.replace("bar = 5\nlook", "bar = 7\nlook"), "every other byte is as it was");
    let timed =
        part(r#"{"type":"score_part_set","score":"The reel","part":2,"values":{"bar":null,"time":"32 s"}}"#);
    assert_eq!(read(&timed).show.scores[0].parts[1].place, Place::Time(Span::from_secs(32.0)));
    let refused = |change: &str| {
        let change: Change = serde_json::from_str(change).unwrap();
        apply(SUPPER, &change).unwrap_err().to_string()
    };
    let there = refused(r#"{"type":"score_part_set","score":"The reel","part":2,"values":{"bar":1}}"#);
    assert!(there.contains("part 1 begins there too"), "{there}");
    let none = refused(r#"{"type":"score_part_remove","score":"The reel","part":3}"#);
    assert!(none.contains("part 3 is none"), "{none}");
}
