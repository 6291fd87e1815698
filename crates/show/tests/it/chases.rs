//! Chases over a base: who has which light, what shines through, how they begin and end.

use crate::common::*;
use lanthorn_show::{Chase, Command, Driver, Part, Show, StepTime};

const SECOND: StepTime = StepTime::Time(lanthorn_physics::Span::from_millis(1000));
const HALF: StepTime = StepTime::Time(lanthorn_physics::Span::from_millis(500));
const NONE: StepTime = StepTime::Time(lanthorn_physics::Span::ZERO);

fn start(index: usize) -> Command {
    Command::Chase { index, on: true }
}

fn stop(index: usize) -> Command {
    Command::Chase { index, on: false }
}

fn show() -> Show {
    let no_colour = |units: &[u32], level| Part { colours: Vec::new(), ..part(units, RED, level) };
    Show {
        looks: vec![
            look("base", 1.0, vec![on("cake", part(&[1, 2, 3], RED, 0.4))]),
            look("one", 1.0, vec![part(&[1], BLUE, 1.0)]),
            look("two", 1.0, vec![part(&[2], BLUE, 1.0)]),
            look("plain", 1.0, vec![no_colour(&[2, 3], 0.9)]),
            look("far", 1.0, vec![on("door", part(&[1], GREEN, 1.0))]),
        ],
        chases: vec![
            chase("pair", &["one", "two"], SECOND, NONE),
            chase("glow", &["plain"], SECOND, NONE),
            Chase { fade: secs(2.0), ..chase("soft", &["one", "two"], SECOND, HALF) },
            Chase { rounds: Some(2), fade: secs(1.0), ..chase("twice", &["one", "two"], SECOND, NONE) },
            chase("to the beat", &["one", "two"], StepTime::Beats(1.0), NONE),
            chase("move", &["one", "far"], SECOND, HALF),
        ],
        start: Some("base".to_owned()),
        ..Show::default()
    }
}

fn bench() -> Bench {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench
}

#[test]
fn a_chase_drives_the_lights_its_steps_name_and_no_others() {
    let mut bench = bench();
    bench.at(10.0, start(0));
    let table: Vec<[f64; 4]> =
        [10.5, 11.5, 12.5].map(|secs| [0, 1, 2, 3].map(|unit| bench.level(secs, unit))).to_vec();
    assert_eq!(table, [[100.0, 0.0, 40.0, 0.0], [0.0, 100.0, 40.0, 0.0], [100.0, 0.0, 40.0, 0.0]]);
    assert_eq!(bench.player.driver(0), Driver::Chase(0));
    assert_eq!(bench.player.driver(2), Driver::Look(0));
    assert_eq!(bench.player.driver(3), Driver::Dark);
    // The base's aim shines through a step that says nothing of place.
    assert!(near(bench.light(12.6, 0).aim.unwrap(), CAKE));
    assert_eq!(bench.light(12.6, 0).heads[0].colour, Some(BLUE));
    bench.at(13.0, stop(0));
    assert_eq!([0, 1, 2].map(|unit| bench.level(13.0, unit)), [40.0; 3]);
}

#[test]
fn the_one_started_later_has_the_light() {
    let mut bench = bench();
    bench.at(10.0, start(0)).at(10.2, start(1));
    assert_eq!([0, 1, 2].map(|unit| bench.level(10.5, unit)), [100.0, 90.0, 90.0]);
    // Its step names no colour: the one below is kept, here the earlier chase is not below, the base is.
    assert_eq!(bench.light(10.5, 2).heads[0].colour, Some(RED));
    // Started again while it runs, nothing changes; stopped, the earlier one has its light back, in step.
    bench.at(10.6, start(0)).at(11.2, stop(1));
    assert_eq!([0, 1, 2].map(|unit| bench.level(11.5, unit)), [0.0, 100.0, 40.0]);
    let told =
        bench.status(11.5).chases.iter().flatten().map(|told| (told.chase, told.step)).collect::<Vec<_>>();
    assert_eq!(told, [(0, 1)]);
}

#[test]
fn a_chase_fades_in_and_out() {
    let mut bench = bench();
    bench.at(10.0, start(2));
    // From 40 % towards the step's 100 % in two seconds; at 11 s the step turns to darkness within half a second.
    assert_eq!(bench.levels(0, [10.0, 10.5, 11.0]), [40.0, 55.0, 70.0]);
    bench.at(20.5, stop(2));
    let level = bench.level(20.5, 0);
    assert_eq!(level, 100.0);
    assert_eq!(bench.levels(0, [21.5, 22.5, 30.0]), [70.0, 40.0, 40.0]);
}

#[test]
fn rounds_end_by_themselves_with_a_fade() {
    let mut bench = bench();
    bench.at(10.0, start(3));
    bench.frame(13.9);
    assert!(bench.status(13.9).chases[0].is_some());
    // Two rounds of two seconds: ends at 14, light 2 lit then, back to the base in one second.
    assert_eq!(bench.levels(1, [14.5, 15.0, 16.0]), [70.0, 40.0, 40.0]);
    assert_eq!(bench.status(14.5).chases[0], None);
    // The same when nobody looked in between.
    let mut seldom = self::bench();
    seldom.at(10.0, start(3));
    assert_eq!(seldom.level(14.5, 1), 70.0);
}

#[test]
fn beats_follow_the_tempo_without_a_jump() {
    let mut bench = bench();
    bench.at(10.0, Command::Tempo(60.0)).at(10.0, start(4));
    let step = |bench: &Bench, secs| bench.status(secs).chases[0].unwrap().step;
    assert_eq!([10.1, 10.9, 11.1, 12.1].map(|secs| step(&bench, secs)), [0, 0, 1, 0]);
    // Half through a beat the tempo doubles: the rest of the beat takes half as long.
    bench.at(12.5, Command::Tempo(120.0));
    assert_eq!([12.6, 12.74, 12.76, 13.26].map(|secs| step(&bench, secs)), [0, 0, 1, 0]);
    // 20 beats in the first ten seconds, 2.5 until the change, half a beat since.
    assert!((bench.status(12.75).beat - 23.0).abs() < 1e-9);
}

#[test]
fn taps_set_tempo_and_beat() {
    let mut bench = bench();
    bench.at(10.0, start(4));
    for tap in [20.3, 20.9, 21.5, 22.1] {
        bench.at(tap, Command::Tap);
    }
    let status = bench.status(22.1);
    assert!((status.bpm - 100.0).abs() < 1e-6, "{}", status.bpm);
    assert!((status.beat - status.beat.round()).abs() < 1e-9, "the last tap is on the beat");
    // Steps now change on beats: every 0.6 s from the last tap.
    let step = |bench: &Bench, secs| bench.status(secs).chases[0].unwrap().count;
    let count = step(&bench, 22.2);
    assert_eq!([22.65, 22.75, 23.25, 23.35].map(|secs| step(&bench, secs) - count), [0, 1, 1, 2]);
}

#[test]
fn a_dark_light_goes_ahead_to_its_next_place() {
    let mut bench = bench();
    bench.at(10.0, start(5));
    // Light 1 is lit in both steps: it moves in a line from the cake (the base's) to the door in half a second.
    let aim = |bench: &mut Bench, secs| bench.light(secs, 0).aim.unwrap();
    assert!(near(aim(&mut bench, 10.9), CAKE));
    assert!(near(aim(&mut bench, 11.9), DOOR));

    let mut show = show();
    show.looks.push(look("rest", 1.0, vec![part(&[2], RED, 1.0)]));
    show.chases = vec![chase("blink", &["far", "rest"], SECOND, HALF)];
    show.looks[0] = look("base", 1.0, vec![on("cake", part(&[1], RED, 1.0))]);
    let mut bench = Bench::new(show);
    bench.at(10.0, start(0));
    assert!(near(aim(&mut bench, 11.25), DOOR), "stays while it goes dark");
    bench.frame(11.8);
    assert!(near(aim(&mut bench, 11.8), DOOR), "and waits there for its next step, not at the base's place");
}

#[test]
fn a_chase_stands_goes_on_and_runs_at_half_and_double_time_on_the_beat() {
    let beat = StepTime::Beats(1.0);
    let show = Show {
        looks: vec![look("a", 0.0, vec![part(&[1], WARM, 1.0)]), look("b", 0.0, vec![part(&[1], WARM, 0.2)])],
        chases: vec![chase("dance", &["a", "b"], beat, StepTime::Beats(0.0))],
        tempo: Some(60.0),
        ..Show::default()
    };
    let speed = |speed| Command::ChaseSpeed { index: 0, speed };
    let mut bench = Bench::new(show);
    bench.frame(0.0);
    bench.at(0.0, Command::Chase { index: 0, on: true });
    let count = |bench: &mut Bench, secs: f64| {
        bench.frame(secs);
        bench.status(secs).chases[0].unwrap().count
    };
    assert_eq!([2.9, 3.1].map(|secs| count(&mut bench, secs)), [2, 3]);
    // It stands where it is, however long.
    bench.at(3.3, speed(0.0));
    assert_eq!([3.4, 30.0].map(|secs| count(&mut bench, secs)), [3, 3]);
    // It goes on, and changes on the beat.
    bench.at(30.4, speed(1.0));
    assert_eq!([30.5, 30.99, 31.01, 32.01].map(|secs| count(&mut bench, secs)), [3, 3, 4, 5]);
    bench.at(32.2, speed(0.5));
    let half = [32.3, 33.01, 34.01, 35.01, 36.01, 37.01].map(|secs| count(&mut bench, secs));
    let steps: Vec<u64> = half.windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert_eq!(steps.iter().sum::<u64>(), half[5] - half[0]);
    assert!((2..=3).contains(&(half[5] - half[0])), "every other beat: {half:?}");
    for secs in [38.0, 39.0, 40.0, 41.0] {
        assert_eq!(count(&mut bench, secs + 0.02), count(&mut bench, secs + 0.98), "only on beats");
    }
    bench.at(42.3, speed(2.0));
    let before = count(&mut bench, 43.01);
    assert_eq!([43.49, 43.51, 44.01, 44.51].map(|secs| count(&mut bench, secs) - before), [0, 1, 2, 3]);
    assert_eq!(bench.status(44.51).chases[0].unwrap().speed, 2.0);
    // What is no speed, and a chase that does not run.
    bench.at(45.0, speed(f64::NAN)).at(45.0, Command::ChaseSpeed { index: 9, speed: 1.0 });
    bench.at(45.0, speed(-3.0));
    assert_eq!(bench.status(45.0).chases[0].unwrap().speed, 0.0);
}
