//! Bars, calm and what a show says of the music, read and written again.

use lanthorn_physics::Span;
use lanthorn_show::{Band, StepTime};
use lanthorn_store::{read_show, write_show};

const SHOW: &str = r#"lanthorn = 1

[show]
name = "dance"

[music]
lead = "60 ms"
slowest = 70

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

[[chase]]
name = "round"
calm = true
step_time = "1 bar"
step_fade = "0.5 beats"
steps = ["a", { look = "b", time = "1 phrase" }, { look = "a", time = "2 phrases", fade = "2 bars" }]
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
}
