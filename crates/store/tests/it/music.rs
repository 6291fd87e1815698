//! Bars, calm and what a show says of the music, read and written again.

use lanthorn_physics::Span;
use lanthorn_show::{Band, StepTime, Strike};
use lanthorn_store::change::{Change, MusicField, Value, apply};
use lanthorn_store::{read_show, write_show};

const SHOW: &str = r#"lanthorn = 1

[show]
name = "dance"

[music]
lead = "60 ms"
rise = "5 ms"
fall = "0.4 s"
slowest = 70
calm = ["a"]
peak = ["b", "a"]

[room]
name = "hall"
x = [-5, 5]
y = [-8, 4]
height = "4 m"

[[room.place]]
name = "bar"
kind = "bar"
middle = [0, 0, 3.5]
length = "6 m"

[[unit]]
number = 1
profile = "RGB par"
place = "bar"
at = 0
address = "1.001"

[[look]]
name = "a"

[[look.part]]
who = 1

[[look]]
name = "b"

[[look.part]]
who = 1
sound = "low"
colour = "red"
sound_colour = "blue"

[[chase]]
name = "round"
calm = true
step_time = "1 bar"
step_fade = "0.5 beats"
steps = ["a", { look = "b", time = "1 phrase" }, { look = "a", time = "2 phrases", fade = "2 bars" }]

[[chase]]
name = "clap"
at_each = "snare"
fade = "0.3 s"
step_time = "80 ms"
steps = ["b"]
"#;

#[test]
fn bars_phrases_and_the_music_are_read_and_written_again() {
    let (file, problems) = read_show(SHOW);
    let file = file.unwrap_or_else(|| panic!("{problems:?}"));
    let chase = &file.show.chases[0];
    let times: Vec<StepTime> = chase.steps.iter().map(|step| step.time).collect();
    assert_eq!(times, [StepTime::Bars(1.0), StepTime::Bars(8.0), StepTime::Bars(16.0)]);
    assert_eq!(chase.steps[0].fade, StepTime::Beats(0.5));
    assert!(chase.calm);
    assert_eq!(file.show.music.lead(), Span::from_millis(60));
    assert_eq!(file.show.music.range, [Some(70.0), None]);
    assert_eq!([0, 1].map(|look| file.show.looks[look].parts[0].sound), [None, Some(Band::Low)]);
    let again = read_show(&write_show(&file)).0.unwrap();
    assert_eq!(again.show.looks, file.show.looks);
    assert_eq!((&again.show.music, &again.show.chases), (&file.show.music, &file.show.chases));
    assert_eq!(file.show.music.swell(), [Span::from_millis(5), Span::from_millis(400)]);
    assert_eq!(file.show.moods, [vec!["a"], vec![], vec!["b", "a"]]);
    assert_eq!(again.show.moods, file.show.moods);
    assert_eq!([0, 1].map(|chase| file.show.chases[chase].at_each), [None, Some(Strike::Snare)]);
    let colour = file.show.looks[1].parts[0].sound_colour.as_ref();
    assert_eq!(colour.map(|ask| ask.text.as_str()), Some("blue"));
}

#[test]
fn looks_that_the_music_picks_go_by_their_names() {
    let wrong = |from: &str, to: &str| {
        let (file, problems) = read_show(&SHOW.replace(from, to));
        assert!(file.is_none(), "{to}");
        problems.iter().map(ToString::to_string).collect::<String>()
    };
    for (from, to, says) in [
        ("[\"b\", \"a\"]", "[\"b\", \"aa\"]", "aa"),
        ("[\"b\", \"a\"]", "[\"b\", \"b\"]", "in this list already"),
        ("[\"b\", \"a\"]", "\"b\"", "list of looks"),
        ("at_each = \"snare\"", "at_each = \"cowbell\"", "snare"),
        ("sound = \"low\"\n", "", "which part"),
        ("rise = \"5 ms\"", "rise = \"1 min\"", "10"),
    ] {
        let told = wrong(from, to);
        assert!(told.contains(says), "{to}: {told}");
    }
    let rename = Change::LookRename { name: "a".to_owned(), to: "dusk".to_owned() };
    let changed = apply(SHOW, &rename).unwrap();
    assert!(changed.says.contains("among those that the music picks"), "{}", changed.says);
    let show = read_show(&changed.text).0.unwrap().show;
    assert_eq!(show.moods, [vec!["dusk"], vec![], vec!["b", "dusk"]]);
    let gone = apply(SHOW, &Change::LookRemove { name: "a".to_owned() }).unwrap();
    assert_eq!(read_show(&gone.text).0.unwrap().show.moods, [vec![], vec![], vec!["b"]]);
    let set = Change::MusicSet {
        field: MusicField::Groove,
        value: Some(Value::List(vec![Value::Text("b".to_owned())])),
    };
    assert_eq!(read_show(&apply(SHOW, &set).unwrap().text).0.unwrap().show.moods[1], ["b"]);
}
