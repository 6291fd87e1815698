//! Figures in a running show: on the show's clock, through fades, chases, hand, tempo and stillness.

use std::f64::consts::PI;

use crate::common::*;
use lanthorn_physics::units::{Metres, MetresPerSecond, Radians};
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_show::figure::{Course, Pace, PhaseSpread, Plane, Shape};
use lanthorn_show::{Aim, Chase, Command, Figure, Part, Show, StepTime};

const SECOND: StepTime = StepTime::Time(Span::from_millis(1000));
const TICK: f64 = 0.025;

/// Quarter of a round every second.
fn circle(name: &str) -> Figure {
    Figure {
        name: name.to_owned(),
        shape: Shape::Circle { across: Metres::new(2.0) },
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace: Pace::Round(secs(4.0)),
        backwards: false,
        phase: 0.0,
        phase_spread: PhaseSpread::InOrder,
        centre: None,
    }
}

fn running(figure: &str, part: Part) -> Part {
    Part { figure: Some(figure.to_owned()), ..part }
}

fn show() -> Show {
    let round_cake = |units: &[u32], level| running("slow", on("cake", part(units, RED, level)));
    Show {
        figures: vec![
            circle("slow"),
            Figure { pace: Pace::Beats(4.0), ..circle("beat") },
            Figure {
                shape: Shape::Eight { width: Metres::new(3.0), height: Metres::new(1.5) },
                pace: Pace::Speed(MetresPerSecond::new(1.5)),
                ..circle("eight")
            },
            Figure { centre: Some(Aim::Mark("door".to_owned())), phase: 1.0, ..circle("of its own") },
            Figure { shape: Shape::Wander { across: Metres::new(2.0) }, ..circle("wander") },
        ],
        looks: vec![
            look("round", 2.0, vec![round_cake(&[1, 2], 1.0)]),
            look("still", 2.0, vec![on("door", part(&[1, 2], BLUE, 1.0))]),
            look("there", 2.0, vec![running("slow", on("door", part(&[1, 2], GREEN, 1.0)))]),
            look("beat", 2.0, vec![running("beat", on("cake", part(&[1, 2], GREEN, 1.0)))]),
            look("eight", 2.0, vec![running("eight", on("door", part(&[1, 2], GREEN, 1.0)))]),
            look("no aim", 2.0, vec![part(&[1, 2], RED, 1.0)]),
            look("own", 0.0, vec![running("of its own", part(&[1, 2, 3, 4], RED, 1.0))]),
            look("wander", 2.0, vec![running("wander", on("cake", part(&[1, 2, 3, 4], RED, 1.0)))]),
        ],
        chases: vec![
            chase("colours", &["round", "there"], SECOND, SECOND),
            chase("beats", &["beat", "eight"], StepTime::Beats(1.0), StepTime::Beats(0.5)),
            Chase { fade: secs(1.0), ..chase("wanders", &["wander"], SECOND, SECOND) },
        ],
        start: Some("round".to_owned()),
        ..Show::default()
    }
}

fn bench() -> Bench {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench
}

fn aim(bench: &mut Bench, secs: f64) -> Point {
    bench.light(secs, 0).aim.expect("aimed")
}

/// Clockwise from the far side, so many rounds on.
fn on_circle(centre: Point, rounds: f64) -> Point {
    let (sin, cos) = libm::sincos(2.0 * PI * rounds);
    centre.moved(sin, cos, 0.0)
}

/// The fastest speed of the first light between two moments, looked at every tick.
fn fastest(bench: &mut Bench, from: f64, to: f64) -> f64 {
    let mut last = aim(bench, from);
    let mut fastest = 0.0_f64;
    for tick in 1..=((to - from) / TICK) as usize {
        let here = aim(bench, from + tick as f64 * TICK);
        fastest = fastest.max(last.distance(here).get() / TICK);
        last = here;
    }
    fastest
}

#[test]
fn a_figure_runs_from_the_beginning_of_the_show() {
    let mut bench = bench();
    for (secs, rounds) in [(0.0, 0.0), (1.0, 0.25), (2.5, 0.625), (41.0, 10.25)] {
        assert!(near(aim(&mut bench, secs), on_circle(CAKE, rounds)), "{secs}");
    }
    // A centre of its own, and a light's place in the group: numbers 1 to 4, a quarter of a round apart.
    bench.at(42.0, Command::Look(6));
    for unit in 0..4 {
        let at = bench.light(42.0, unit).aim.unwrap();
        assert!(near(at, on_circle(DOOR, 0.5 + 0.25 * unit as f64)), "{unit}: {at:?}");
    }
    // The show may begin at any moment of the machine.
    let mut later = Bench::new(show());
    later.frame(100.0);
    assert!(near(aim(&mut later, 101.0), on_circle(CAKE, 0.25)));
}

#[test]
fn a_fade_to_a_figure_ends_on_the_moving_path_and_one_from_it_leaves_it_moving() {
    let mut bench = bench();
    bench.at(10.0, Command::Look(1));
    // Half-way the figure is half as large, half-way to the door, and still turns.
    assert!(near(aim(&mut bench, 10.0), on_circle(CAKE, 2.5)));
    let middle = CAKE.lerp(DOOR, 0.5);
    assert!(near(aim(&mut bench, 11.0), middle.lerp(on_circle(middle, 2.75), 0.5)));
    assert!(near(aim(&mut bench, 12.0), DOOR));
    bench.at(20.0, Command::Look(0));
    assert!(near(aim(&mut bench, 20.0), DOOR));
    let middle = CAKE.lerp(DOOR, 0.25);
    assert!(near(aim(&mut bench, 21.5), middle.lerp(on_circle(middle, 0.375), 0.75)));
    for secs in [22.0, 22.1, 25.0] {
        assert!(near(aim(&mut bench, secs), on_circle(CAKE, secs / 4.0)), "{secs}");
    }
}

#[test]
fn the_same_figure_goes_on_while_its_centre_moves() {
    let mut bench = bench();
    bench.at(10.0, Command::Look(2));
    for part in [0.0, 0.25, 0.5, 1.0] {
        let secs = 10.0 + 2.0 * part;
        assert!(near(aim(&mut bench, secs), on_circle(CAKE.lerp(DOOR, part), secs / 4.0)), "{part}");
    }
    // In a chase too, from step to step: light 1 runs one whole circle while the steps go to and fro.
    bench.at(14.0, Command::Look(0)).at(18.0, Command::Chase { index: 0, on: true });
    assert!(near(aim(&mut bench, 18.5), on_circle(CAKE, 18.5 / 4.0)), "the first step has nothing before it");
    assert!(near(aim(&mut bench, 19.5), on_circle(CAKE.lerp(DOOR, 0.5), 19.5 / 4.0)));
    assert!(near(aim(&mut bench, 20.25), on_circle(DOOR.lerp(CAKE, 0.25), 20.25 / 4.0)));
}

#[test]
fn nothing_jumps_however_the_looks_follow_each_other() {
    let mut bench = bench();
    // Looks cut into each other's fades, so that more figures overlap than are kept.
    let mut now = 5.0;
    for look in [3, 4, 7, 0, 1, 4, 2, 5, 7, 3] {
        let before = aim(&mut bench, now);
        bench.at(now, Command::Look(look));
        assert!(before.distance(aim(&mut bench, now)).get() < 1e-9, "look {look} at {now}");
        // From corner to corner of the hall in two seconds, and the figures' own speeds: no more than 10 m/s.
        let speed = fastest(&mut bench, now, now + 0.6);
        assert!(speed < 10.0, "look {look}: {speed} m/s");
        now += 0.6;
    }
}

#[test]
fn without_another_place_a_light_comes_to_rest() {
    let mut bench = bench();
    bench.at(10.0, Command::Look(5));
    assert!(near(aim(&mut bench, 11.0), CAKE.lerp(on_circle(CAKE, 2.75), 0.5)));
    assert!(near(aim(&mut bench, 12.0), CAKE) && near(aim(&mut bench, 13.0), CAKE));
}

#[test]
fn stillness_stands_figures_still() {
    let mut bench = bench();
    bench.at(9.0, Command::Stillness(true)).at(10.0, Command::Look(4));
    for secs in [9.0, 9.5, 30.0] {
        assert!(near(aim(&mut bench, secs), on_circle(CAKE, 2.25)), "{secs}");
    }
    bench.at(30.0, Command::Stillness(false)).at(30.0, Command::Look(0));
    assert!(near(aim(&mut bench, 32.0), on_circle(CAKE, 2.75)), "it goes on from where it stood");
    bench.at(40.0, Command::Look(3)).at(43.0, Command::Stillness(true));
    let stood = aim(&mut bench, 43.0);
    bench.at(44.0, Command::Tap).at(44.4, Command::Tap).at(44.8, Command::Tempo(90.0));
    assert!(near(aim(&mut bench, 60.0), stood), "whatever the tempo does");
    bench.at(60.0, Command::Stillness(false));
    assert!(near(aim(&mut bench, 60.0), stood));
}

#[test]
fn beats_follow_the_tempo_and_never_jump() {
    let mut bench = bench();
    bench.at(1.0, Command::Look(3));
    // 120 beats a minute, four beats a round of 2 π m: π m/s.
    assert!(near(aim(&mut bench, 10.0), on_circle(CAKE, 5.0)));
    assert!((fastest(&mut bench, 10.0, 11.0) - PI).abs() < 0.01);
    let before = aim(&mut bench, 11.3);
    bench.at(11.3, Command::Tempo(60.0));
    assert!(near(aim(&mut bench, 11.3), before));
    assert!((fastest(&mut bench, 11.3, 12.0) - PI / 2.0).abs() < 0.01);
    // Taps beside the beat: it is never faster than the beat and what it has to make up in two seconds, half a beat for
    // each of the four taps that fall into them.
    let mut last = aim(&mut bench, 20.0);
    let mut fastest = 0.0_f64;
    for tick in 1..400_i32 {
        let now = 20.0 + f64::from(tick) * TICK;
        if [3, 23, 45, 66, 70, 150].contains(&tick) {
            let before = aim(&mut bench, now);
            bench.at(now, Command::Tap);
            assert!(before.distance(aim(&mut bench, now)).get() < 1e-9, "a tap at {now}");
        }
        let here = aim(&mut bench, now);
        fastest = fastest.max(last.distance(here).get() / TICK);
        last = here;
    }
    let bpm = bench.status(30.0).bpm;
    assert!(fastest < (bpm / 60.0 + 4.0 * 0.25) * PI / 2.0, "{fastest} m/s at {bpm}");
    // In the end it is where the beat says.
    assert!(near(aim(&mut bench, 33.0), on_circle(CAKE, bench.status(33.0).beat / 4.0)));
}

#[test]
fn the_hand_wins_and_gives_back_in_two_seconds() {
    let mut bench = bench();
    bench.at(10.0, Command::Aim { unit: 0, at: DOOR });
    assert!(near(aim(&mut bench, 10.0), DOOR) && near(aim(&mut bench, 15.0), DOOR));
    assert!(near(bench.light(15.0, 1).aim.unwrap(), on_circle(CAKE, 3.75)), "the other light goes on");
    bench.at(16.0, Command::LetGo(Some(0)));
    assert!(near(aim(&mut bench, 16.0), DOOR));
    let middle = DOOR.lerp(CAKE, 0.5);
    assert!(near(aim(&mut bench, 17.0), middle.lerp(on_circle(middle, 4.25), 0.5)));
    for secs in [18.0, 18.2] {
        assert!(near(aim(&mut bench, secs), on_circle(CAKE, secs / 4.0)), "{secs}");
    }
}

#[test]
fn a_dark_light_waits_on_its_path_and_one_that_goes_dark_stays_on_it() {
    let mut bench = bench();
    bench.at(10.0, Command::Look(6)).at(14.0, Command::Look(0));
    // Lights 3 and 4 go dark over two seconds on the path that they ran.
    for secs in [14.0, 15.0, 15.9] {
        let at = bench.light(secs, 2).aim.unwrap();
        assert!(near(at, on_circle(DOOR, secs / 4.0 + 0.5)), "{secs}: {at:?}");
    }
    bench.frame(20.0);
    bench.at(20.0, Command::Look(6));
    assert!(near(bench.light(20.0, 2).aim.unwrap(), on_circle(DOOR, 5.5)));
}

#[test]
fn the_course_beforehand_is_the_way_that_is_run() {
    let (show, rig) = (show(), rig());
    for (index, look) in show.looks.iter().enumerate() {
        let courses = Course::of_look(look, &show, &rig);
        let named = look.parts.iter().any(|part| part.figure.is_some());
        assert_eq!(!courses.is_empty(), named, "{}", look.name);
        let mut bench = bench();
        bench.at(0.0, Command::Look(index));
        for secs in [3.0, 4.7, 19.0] {
            for course in &courses {
                let round = course.round_secs(0.5).unwrap();
                let at = bench.light(secs, course.unit).aim.unwrap();
                assert!(near(at, course.at(secs / round)), "{}, unit {}", look.name, course.unit);
            }
        }
    }
}

#[test]
fn how_often_one_looks_changes_nothing() {
    let (mut often, mut seldom) = (bench(), bench());
    let script = |tick: i32| match tick {
        100 => Some(Command::Look(3)),
        130 => Some(Command::Tap),
        149 | 171 => Some(Command::Tap),
        160 => Some(Command::Chase { index: 1, on: true }),
        180 => Some(Command::Stillness(true)),
        200 => Some(Command::Stillness(false)),
        210 => Some(Command::Look(7)),
        225 => Some(Command::Chase { index: 1, on: false }),
        _ => None,
    };
    for tick in 0..300_i32 {
        let now = f64::from(tick) * TICK;
        if let Some(command) = script(tick) {
            often.at(now, command);
            seldom.at(now, command);
        }
        often.frame(now);
        often.frame(now + 0.4 * TICK);
    }
    assert_eq!(often.frame(7.5), seldom.frame(7.5));
}

#[test]
fn figures_do_not_allocate() {
    let mut bench = bench();
    let counted = allocation_counter::measure(|| {
        for tick in 0..1000_i32 {
            let now = f64::from(tick) * TICK;
            match tick % 50 {
                5 => drop(bench.at(now, Command::Look((tick / 50) as usize % 8))),
                15 => drop(bench.at(now, Command::Chase { index: 1, on: tick % 100 > 50 })),
                20 | 40 => drop(bench.at(now, Command::Tap)),
                30 => drop(bench.at(now, Command::Aim { unit: 0, at: CAKE })),
                45 => drop(bench.at(now, Command::LetGo(None))),
                _ => {}
            }
            bench.frame(now);
        }
    });
    assert_eq!(counted.count_total, 0);
}

#[test]
fn a_figure_that_is_not_there_is_ignored() {
    let mut show = show();
    show.figures.clear();
    let mut bench = Bench::new(show);
    bench.frame(0.0);
    assert!(near(aim(&mut bench, 3.0), CAKE));
    bench.player.frame(Instant::from_secs(4.0), &mut bench.out);
}
