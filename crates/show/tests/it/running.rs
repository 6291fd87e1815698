//! Promises about running: the same every time, without allocating, whatever comes.

use crate::common::*;
use lanthorn_music::Pulse;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
use lanthorn_show::{Chase, Command, Cue, Figure, Order, Part, Show, Steer, StepTime};
use proptest::prelude::*;

pub(crate) fn show() -> Show {
    let beat = StepTime::Beats(1.0);
    let half = StepTime::Beats(0.5);
    let figure = |name: &str, shape, pace| Figure {
        name: name.to_owned(),
        shape,
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace,
        backwards: false,
        phase: 0.5,
        phase_spread: PhaseSpread::Mirrored,
        centre: None,
    };
    let running = |name: &str, part: Part| Part { figure: Some(name.to_owned()), ..part };
    Show {
        figures: vec![
            figure("round", Shape::Circle { across: Metres::new(2.0) }, Pace::Beats(3.0)),
            figure("wide", Shape::Line { length: Metres::new(3.0) }, Pace::Round(secs(2.2))),
        ],
        looks: vec![
            look(
                "warm",
                1.0,
                vec![running("round", on("cake", part(&[1, 2, 3], WARM, 0.5))), part(&[5], RED, 0.7)],
            ),
            look("door", 2.0, vec![running("wide", on("door", part(&[1, 4], BLUE, 1.0)))]),
            look("green", 0.5, vec![on("door", part(&[2, 3, 5], GREEN, 0.9))]),
        ],
        chases: vec![
            Chase {
                order: Order::Random,
                calm: true,
                ..chase("dance", &["warm", "door", "green"], beat, half)
            },
            Chase { rounds: Some(3), fade: secs(0.7), ..chase("thrice", &["door", "green"], beat, half) },
            Chase {
                order: Order::ToAndFro,
                ..chase("sway", &["green", "warm"], StepTime::Time(secs(0.4)), half)
            },
        ],
        cues: vec![
            Cue { follow: Some(secs(1.5)), tempo: Some(140.0), ..cue("1", Some("warm"), 1.0) },
            Cue { chases: Some(vec!["dance".to_owned(), "sway".to_owned()]), ..cue("2", Some("door"), 2.0) },
        ],
        start: Some("dance".to_owned()),
        ..Show::default()
    }
}

pub(crate) fn command() -> impl Strategy<Value = Command> {
    let unit = 0_usize..7;
    prop_oneof![
        (0_usize..4).prop_map(Command::Look),
        (0_usize..4, any::<bool>()).prop_map(|(index, on)| Command::Chase { index, on }),
        (0_usize..4, any::<f64>()).prop_map(|(index, speed)| Command::ChaseSpeed { index, speed }),
        (0_usize..3, 0_u8..5)
            .prop_map(|(index, half)| Command::ChaseSpeed { index, speed: f64::from(half) / 2.0 }),
        Just(Command::Go),
        Just(Command::Back),
        (0_usize..3).prop_map(Command::Cue),
        any::<f64>().prop_map(Command::Master),
        (0_usize..3, any::<f64>()).prop_map(|(group, level)| Command::GroupMaster { group, level }),
        any::<bool>().prop_map(Command::Blackout),
        any::<bool>().prop_map(Command::Dark),
        (
            prop::option::of(0_usize..4),
            prop::option::of(prop::collection::vec(0_usize..5, 0..10)),
            -100_i64..3000
        )
            .prop_map(|(look, chases, fade)| Command::Part {
                look,
                chases: chases.map(|chases| chases.into_iter().collect()),
                fade: Span::from_millis(fade),
            }),
        any::<bool>().prop_map(Command::Stillness),
        any::<bool>().prop_map(Command::StopStrobe),
        Just(Command::Tap),
        any::<f64>().prop_map(Command::Tempo),
        pulse().prop_map(Command::Pulse),
        steer().prop_map(Command::Steer),
        (unit.clone(), -9.0..9.0, -9.0..9.0)
            .prop_map(|(unit, x, y)| Command::Aim { unit, at: Point::new(x, y, 0.0) }),
        (unit.clone(), any::<f64>()).prop_map(|(unit, level)| Command::Level { unit, level }),
        unit.clone().prop_map(|unit| Command::Colour { unit, chromaticity: RED }),
        prop::option::of(unit).prop_map(Command::LetGo),
    ]
}

/// Music that is anything, or none.
fn pulse() -> impl Strategy<Value = Option<Pulse>> {
    let beat = (any::<bool>(), 20.0..400.0, 0_i64..60_000_000, 0_u8..9, 0_u8..9);
    prop::option::of(beat.prop_map(|(follows, bpm, at, place, of)| Pulse {
        follows,
        held: false,
        lost: false,
        bpm,
        beat_at: Instant::from_micros(at),
        place,
        of,
        confidence: 1.0,
        bar_confidence: 1.0,
        level_db: None,
        bands: [0.0; 3],
        strokes: [None; 3],
    }))
}

fn steer() -> impl Strategy<Value = Steer> {
    prop_oneof![
        any::<bool>().prop_map(Steer::Follow),
        any::<f64>().prop_map(Steer::Times),
        Just(Steer::Times(0.5)),
        Just(Steer::One),
        (-900_000_i64..900_000).prop_map(|micros| Steer::Earlier(Span::from_micros(micros))),
        (any::<f64>(), any::<f64>()).prop_map(|(low, high)| Steer::Range([low, high])),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Two players given the same commands show the same, though one is asked a hundred times as often; and what they
    /// show is always fit to be sent.
    #[test]
    fn the_same_every_time(commands in prop::collection::vec((0_i64..900_000, command()), 1..40)) {
        let (mut often, mut seldom) = (Bench::new(show()), Bench::new(show()));
        let mut now = Instant::ZERO;
        often.player.frame(now, &mut often.out);
        seldom.player.frame(now, &mut seldom.out);
        for (wait, command) in commands {
            let next = now + Span::from_micros(wait);
            while now < next {
                often.player.frame(now, &mut often.out);
                now = now + Span::from_micros(7_919);
            }
            now = next;
            often.player.apply(&command, now);
            seldom.player.apply(&command, now);
            often.player.frame(now, &mut often.out);
            for head in often.out.units.iter().flat_map(|unit| &unit.heads) {
                prop_assert!((0.0..=1.0).contains(&head.level), "{head:?}");
                prop_assert!(head.colour.is_none_or(|c| c.x.is_finite() && c.y > 0.0), "{head:?}");
            }
        }
        seldom.player.frame(now, &mut seldom.out);
        prop_assert_eq!(&often.out, &seldom.out);
        prop_assert_eq!(often.player.status(now), seldom.player.status(now));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Nothing flashes: where every fade takes a quarter of a second or more (a beat at the fastest tempo), no light
    /// changes by more than its share of that from one frame to the next, whatever is started, stopped, taken or tapped.
    #[test]
    fn no_light_jumps(commands in prop::collection::vec((0_i64..60, calm_command()), 1..30)) {
        let mut show = show();
        for chase in &mut show.chases {
            chase.fade = chase.fade.max(secs(0.5));
            for step in &mut chase.steps {
                step.fade = StepTime::Beats(1.0);
                step.time = StepTime::Beats(1.0);
            }
        }
        let mut bench = Bench::new(show);
        let mut tick = 0;
        let mut last = bench.frame(0.0).clone();
        for (wait, command) in commands {
            bench.player.apply(&command, Instant::from_secs(tick as f64 * 0.02));
            for _ in 0..=wait {
                bench.player.frame(Instant::from_secs(tick as f64 * 0.02), &mut bench.out);
                for (was, is) in last.units.iter().zip(&bench.out.units) {
                    for (was, is) in was.heads.iter().zip(&is.heads) {
                        let step = (was.level.sqrt() - is.level.sqrt()).abs();
                        // Two fades may run over each other: the light's own and that of the chase's step.
                        prop_assert!(step < 0.02 / 0.25 * 2.0 + 0.01, "{step} after {command:?} at tick {tick}");
                    }
                }
                last.clone_from(&bench.out);
                tick += 1;
            }
        }
    }
}

fn calm_command() -> impl Strategy<Value = Command> {
    prop_oneof![
        (0_usize..3).prop_map(Command::Look),
        (0_usize..3, any::<bool>()).prop_map(|(index, on)| Command::Chase { index, on }),
        Just(Command::Go),
        Just(Command::Back),
        (0_usize..2).prop_map(Command::Cue),
        any::<bool>().prop_map(Command::Stillness),
        Just(Command::Tap),
        (30.0..240.0).prop_map(Command::Tempo),
        Just(Command::LetGo(None)),
    ]
}

#[test]
fn frames_and_commands_do_not_allocate() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    let part = Command::Part { look: Some(1), chases: Some([0, 1].into_iter().collect()), fade: Span::ZERO };
    let counted = allocation_counter::measure(|| {
        for tick in 0..2000_i32 {
            let secs = f64::from(tick) * 0.025;
            match tick % 97 {
                3 => drop(bench.at(secs, Command::Go)),
                10 => drop(bench.at(secs, Command::Chase { index: 1, on: true })),
                20 => drop(bench.at(secs, Command::Look(2))),
                30 => drop(bench.at(secs, Command::Cue(1))),
                35 => drop(bench.at(secs, Command::Dark(true))),
                37 => drop(bench.at(secs, part)),
                40 => drop(bench.at(secs, Command::Back)),
                45 | 65 => drop(bench.at(secs, Command::Tap)),
                50 => drop(bench.at(secs, Command::Aim { unit: 2, at: CAKE })),
                60 => drop(bench.at(secs, Command::Chase { index: 0, on: false })),
                70 => drop(bench.at(secs, Command::LetGo(None))),
                _ => {}
            }
            bench.frame(secs);
            std::hint::black_box(bench.status(secs));
        }
    });
    assert_eq!(counted.count_total, 0);
    let control = allocation_counter::measure(|| drop(std::hint::black_box(vec![1_u8])));
    assert_eq!(control.count_total, 1, "the counter counts");
}

#[test]
fn time_that_goes_back_counts_as_the_latest() {
    let mut bench = Bench::new(show());
    bench.frame(10.0);
    let before = bench.frame(12.0).clone();
    assert_eq!(bench.frame(3.0), &before);
    bench.at(1.0, Command::Look(1));
    assert!((bench.status(12.0).fade - 0.0).abs() < 1e-9, "taken at 12");
}

#[test]
fn a_rig_or_show_without_anything_plays() {
    let mut bench = Bench::new(Show::default());
    bench.at(0.0, Command::Go).at(1.0, Command::LetGo(None));
    assert!(bench.frame(2.0).units.iter().flat_map(|unit| &unit.heads).all(|head| head.level == 0.0));
}
