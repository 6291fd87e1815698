//! Master, blackout, stillness, stop-strobe.

use crate::common::*;
use lanthorn_physics::units::Hertz;
use lanthorn_show::{Command, Cue, Part, Show, StepTime};

const SECOND: StepTime = StepTime::Time(lanthorn_physics::Span::from_millis(1000));

fn show() -> Show {
    let flash = Part { strobe: Some(Hertz::new(2.0)), ..on("door", part(&[1], BLUE, 1.0)) };
    Show {
        looks: vec![
            look("cake", 4.0, vec![on("cake", part(&[1, 2], RED, 0.8))]),
            look("door", 4.0, vec![flash]),
            look("one", 0.0, vec![on("cake", part(&[3], RED, 1.0))]),
            look("two", 0.0, vec![on("door", part(&[3], GREEN, 1.0))]),
        ],
        chases: vec![chase("to and fro", &["one", "two"], SECOND, SECOND)],
        cues: vec![
            Cue { follow: Some(secs(5.0)), ..cue("1", Some("cake"), 0.0) },
            cue("2", Some("door"), 0.0),
        ],
        start: Some("cake".to_owned()),
        ..Show::default()
    }
}

fn bench() -> Bench {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench
}

#[test]
fn the_master_scales_what_the_eye_sees() {
    let mut bench = bench();
    for (master, level) in [(1.0, 80.0), (0.5, 40.0), (0.0, 0.0), (7.0, 80.0), (-1.0, 0.0)] {
        bench.at(1.0, Command::Master(master));
        assert_eq!(bench.level(1.0, 0), level, "{master}");
    }
    bench.at(2.0, Command::Master(0.25)).at(2.0, Command::Level { unit: 0, level: 1.0 });
    assert_eq!(bench.level(2.0, 0), 25.0, "the hand stands under the master");
    let light = bench.light(2.0, 0);
    assert!(near(light.aim.unwrap(), CAKE) && light.heads[0].colour == Some(RED));
}

#[test]
fn blackout_comes_back_as_it_would_be() {
    let mut dark = bench();
    let mut lit = bench();
    for bench in [&mut dark, &mut lit] {
        bench.at(1.0, Command::Chase { index: 0, on: true }).at(1.0, Command::Look(1));
    }
    dark.at(2.0, Command::Blackout(true));
    for secs in [2.0, 2.5, 3.9] {
        assert!(dark.frame(secs).units.iter().flat_map(|unit| &unit.heads).all(|head| head.level == 0.0));
        let (kept, shown) = (dark.light(secs, 0).clone(), lit.light(secs, 0).clone());
        assert_eq!((kept.aim, kept.heads[0].colour), (shown.aim, shown.heads[0].colour), "all else goes on");
    }
    dark.at(4.0, Command::Blackout(false));
    assert_eq!(dark.frame(4.0), lit.frame(4.0));
}

#[test]
fn strobes_stop_and_the_light_stays() {
    let mut bench = bench();
    bench.at(1.0, Command::Look(1)).at(6.0, Command::StopStrobe(true));
    assert_eq!(bench.light(6.0, 0).heads[0].strobe, None);
    assert_eq!(bench.level(6.0, 0), 100.0);
    bench.at(7.0, Command::StopStrobe(false));
    assert_eq!(bench.light(7.0, 0).heads[0].strobe, Some(Hertz::new(2.0)));
}

#[test]
fn stillness_stands_movement_still_and_keeps_the_light() {
    let mut bench = bench();
    bench
        .at(1.0, Command::Chase { index: 0, on: true })
        .at(1.0, Command::Look(1))
        .at(3.5, Command::Stillness(true));
    let before = bench.frame(3.5).clone();
    let moving = before.units[0].aim.unwrap();
    assert!(!near(moving, CAKE) && !near(moving, DOOR), "in the middle of its way");
    for secs in [3.6, 4.2, 9.0, 90.0] {
        let after = bench.frame(secs);
        for (was, is) in before.units.iter().zip(&after.units) {
            assert_eq!(was.aim, is.aim, "{secs}");
            assert_eq!(is.heads[0].strobe, None);
        }
        assert_eq!(before.units[2].heads, after.units[2].heads, "the chase stands still");
    }
    // Fades of light go on to their end: light 1 towards full, light 2 to dark.
    assert_eq!((bench.level(90.0, 0), bench.level(90.0, 1)), (100.0, 0.0));
    assert_eq!(bench.status(90.0).beat, bench.status(3.5).beat);
    // After it, everything goes on from where it stood.
    bench.at(100.0, Command::Stillness(false));
    assert!(near(bench.light(100.0, 0).aim.unwrap(), moving));
    let mut never = self::bench();
    never.at(1.0, Command::Chase { index: 0, on: true }).at(1.0, Command::Look(1));
    assert!(near(bench.light(100.8, 0).aim.unwrap(), never.light(4.3, 0).aim.unwrap()));
    assert_eq!(bench.light(100.8, 2).heads, never.light(4.3, 2).heads);
}

#[test]
fn a_cue_under_stillness_changes_light_and_moves_nothing() {
    let mut bench = bench();
    bench.at(1.0, Command::Stillness(true)).at(2.0, Command::Look(1));
    for secs in [2.0, 4.0, 30.0] {
        assert!(near(bench.light(secs, 0).aim.unwrap(), CAKE), "{secs}");
    }
    assert_eq!((bench.level(30.0, 0), bench.light(30.0, 0).heads[0].colour), (100.0, Some(BLUE)));
    bench.at(40.0, Command::Stillness(false));
    assert!(near(bench.light(42.0, 0).aim.unwrap(), CAKE.lerp(DOOR, 0.5)), "then it moves over its fade");
    assert!(near(bench.light(44.0, 0).aim.unwrap(), DOOR));
}

#[test]
fn follow_ons_wait_for_stillness_to_end() {
    let mut bench = bench();
    bench.at(10.0, Command::Go).at(12.0, Command::Stillness(true));
    bench.frame(60.0);
    assert_eq!((bench.status(60.0).cue, bench.status(60.0).follows_in), (Some(0), Some(secs(3.0))));
    bench.at(60.0, Command::Stillness(false));
    bench.frame(62.9);
    assert_eq!(bench.status(62.9).cue, Some(0));
    bench.frame(63.0);
    assert_eq!(bench.status(63.0).cue, Some(1));
    // A hand may still be laid on under stillness.
    bench.at(70.0, Command::Stillness(true)).at(71.0, Command::Aim { unit: 0, at: CAKE });
    assert!(near(bench.light(71.0, 0).aim.unwrap(), CAKE));
}
