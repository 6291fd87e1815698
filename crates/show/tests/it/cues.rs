//! The cue list: in order, back, by themselves, out of order.

use crate::common::*;
use lanthorn_show::{Command, Cue, Driver, Show, StepTime};

const SECOND: StepTime = StepTime::Time(lanthorn_physics::Span::from_millis(1000));

fn names(names: &[&str]) -> Option<Vec<String>> {
    Some(names.iter().map(|&name| name.to_owned()).collect())
}

fn show() -> Show {
    Show {
        looks: vec![
            look("warm", 1.0, vec![on("cake", part(&[1, 2], WARM, 0.5))]),
            look("red", 1.0, vec![on("door", part(&[1], RED, 1.0))]),
            look("hand", 1.0, vec![part(&[3], GREEN, 1.0)]),
        ],
        chases: vec![
            chase("turn", &["red", "warm"], SECOND, SECOND),
            chase("green", &["hand"], SECOND, SECOND),
        ],
        cues: vec![
            Cue { chases: names(&["turn"]), ..cue("1", Some("warm"), 2.0) },
            Cue { tempo: Some(96.0), ..cue("2", None, 4.0) },
            Cue { chases: names(&[]), ..cue("3", Some("red"), 1.0) },
            Cue { chases: names(&["green", "no such chase"]), ..cue("4.5", None, 0.0) },
        ],
        ..Show::default()
    }
}

#[test]
fn go_takes_them_in_order_and_stays_at_the_end() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    let now = |bench: &Bench, secs| {
        let status = bench.status(secs);
        let chases: Vec<usize> = status.chases.iter().flatten().map(|told| told.chase).collect();
        (status.cue, status.next_cue, status.look, chases)
    };
    assert_eq!(now(&bench, 0.0), (None, Some(0), None, vec![]));
    for (secs, want) in [
        (1.0, (Some(0), Some(1), Some(0), vec![0])),
        (2.0, (Some(1), Some(2), Some(0), vec![0])), // says nothing of look and chases: both go on
        (3.0, (Some(2), Some(3), Some(1), vec![])),
        (4.0, (Some(3), None, Some(1), vec![1])),
        (5.0, (Some(3), None, Some(1), vec![1])),
    ] {
        bench.at(secs, Command::Go);
        assert_eq!(now(&bench, secs), want, "{secs}");
    }
    assert_eq!(bench.status(5.0).bpm, 96.0);
    assert_eq!(bench.player.driver(0), Driver::Cue(2));
}

#[test]
fn back_and_jumps_bring_all_that_was_set_before() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(1.0, Command::Cue(3));
    let status = bench.status(1.0);
    assert_eq!((status.look, status.bpm), (Some(1), 96.0), "cue 3's look, cue 2's tempo");
    bench.at(2.0, Command::Back).at(3.0, Command::Back);
    let status = bench.status(3.0);
    assert_eq!((status.cue, status.look), (Some(1), Some(0)), "cue 2 stands on cue 1's look");
    assert_eq!(status.chases[0].unwrap().chase, 0, "and on its chase");
    bench.at(4.0, Command::Back).at(5.0, Command::Back);
    assert_eq!(bench.status(5.0).cue, Some(0), "there is nothing before the first");
    // A look put on by hand is left alone by a cue that names none.
    bench.at(6.0, Command::Look(2)).at(7.0, Command::Go);
    assert_eq!((bench.status(7.0).cue, bench.status(7.0).look), (Some(1), Some(2)));
}

#[test]
fn fades_take_the_cue_s_time() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Cue(2));
    assert_eq!((bench.status(10.5).fade, bench.status(11.5).fade), (0.5, 1.0));
    assert_eq!(bench.levels(0, [10.0, 10.5, 11.0]), [0.0, 50.0, 100.0]);
}

fn following(follow: [f64; 3]) -> Show {
    let mut show = show();
    show.chases.clear();
    for (cue, follow) in show.cues.iter_mut().zip(follow) {
        cue.chases = None;
        cue.follow = Some(secs(follow));
    }
    show.cues[3].follow = Some(secs(1.0)); // nothing left to follow
    show
}

#[test]
fn cues_follow_at_their_exact_moments() {
    let mut bench = Bench::new(following([3.0, 0.5, 2.0]));
    bench.frame(0.0);
    bench.at(10.0, Command::Go);
    assert_eq!(bench.status(11.0).follows_in, Some(secs(2.0)));
    for (secs, cue) in [(12.99, 0), (13.0, 1), (13.49, 1), (13.5, 2), (15.49, 2), (15.5, 3), (99.0, 3)] {
        bench.frame(secs);
        assert_eq!(bench.status(secs).cue, Some(cue), "{secs}");
    }
    // Late, all at once, and still exact: cue 3 was taken at 13.5, so its one-second fade is half through at 14.
    let mut late = Bench::new(following([3.0, 0.5, 2.0]));
    late.frame(0.0);
    late.at(10.0, Command::Go);
    let mut early = Bench::new(following([3.0, 0.5, 2.0]));
    early.frame(0.0);
    early.at(10.0, Command::Go);
    for tick in 0..400 {
        early.frame(10.0 + f64::from(tick) * 0.01);
    }
    assert_eq!(late.frame(14.0), early.frame(14.0));
}

#[test]
fn a_go_by_hand_takes_the_place_of_the_follow() {
    let mut bench = Bench::new(following([3.0, 10.0, 2.0]));
    bench.frame(0.0);
    bench.at(10.0, Command::Go).at(11.0, Command::Go);
    bench.frame(20.9);
    assert_eq!(bench.status(20.9).cue, Some(1), "not at 13, and not before 21");
    bench.frame(21.0);
    assert_eq!(bench.status(21.0).cue, Some(2));
}

#[test]
fn a_chain_without_time_ends() {
    let mut bench = Bench::new(following([0.0, 0.0, 0.0]));
    bench.at(1.0, Command::Go);
    bench.frame(1.0);
    assert_eq!(bench.status(1.0).cue, Some(3));
}

#[test]
fn numbers_as_printed() {
    let show = show();
    assert_eq!((show.cue_index("4.5"), show.cue_index(" 1 "), show.cue_index("4")), (Some(3), Some(0), None));
    assert_eq!(
        (show.look_index("red"), show.chase_index("green"), show.look_index("Red")),
        (Some(1), Some(1), None)
    );
}

#[test]
fn a_dark_light_goes_ahead_to_where_the_next_cue_wants_it() {
    let shows = |cues| Show {
        looks: vec![
            look("warm", 1.0, vec![on("cake", part(&[1], WARM, 0.5))]),
            look("red", 1.0, vec![on("door", part(&[1, 2], RED, 1.0))]),
            look("here", 1.0, vec![part(&[2], GREEN, 1.0)]),
        ],
        cues,
        ..Show::default()
    };
    let mut bench =
        Bench::new(shows(vec![cue("1", Some("warm"), 2.0), cue("2", None, 0.0), cue("3", Some("red"), 1.0)]));
    let aim = |bench: &mut Bench, secs, unit: usize| bench.light(secs, unit).aim;
    assert!(near(aim(&mut bench, 0.0, 0).unwrap(), CAKE), "before the first cue");
    assert!(near(aim(&mut bench, 0.0, 1).unwrap(), DOOR), "the first cue that lights it");
    bench.at(1.0, Command::Go);
    assert!(near(aim(&mut bench, 1.5, 0).unwrap(), CAKE), "lit: it stays");
    assert!(near(aim(&mut bench, 1.5, 1).unwrap(), DOOR));
    // Stillness stops dark movement too; blackout does not, so that all are there when it ends.
    bench.at(2.0, Command::Stillness(true));
    assert_eq!(aim(&mut bench, 2.5, 1), None);
    bench.at(3.0, Command::Stillness(false)).at(3.0, Command::Blackout(true)).at(3.5, Command::Cue(2));
    let dark = bench.light(6.0, 0).clone();
    assert!(dark.heads[0].level <= 0.0 && near(dark.aim.unwrap(), DOOR), "it goes on underneath");
    bench.at(7.0, Command::Blackout(false));
    assert!(near(aim(&mut bench, 7.0, 0).unwrap(), DOOR));
    assert_eq!(aim(&mut bench, 7.0, 2), None, "no cue lights it");

    // A light that a hand holds, or that a cue lights wherever it is, is left there.
    let mut bench = Bench::new(shows(vec![cue("1", Some("red"), 0.0)]));
    bench.frame(0.0);
    bench.at(1.0, Command::Level { unit: 1, level: 0.5 });
    assert_eq!(aim(&mut bench, 1.5, 1), None);
    let mut bench = Bench::new(shows(vec![cue("1", Some("here"), 0.0)]));
    assert_eq!(aim(&mut bench, 0.5, 1), None);
    bench.at(1.0, Command::Go);
    assert_eq!(aim(&mut bench, 1.5, 1), None);
}

#[test]
fn a_dark_light_is_at_its_new_place_from_the_first_moment_of_a_fade() {
    let mut bench = Bench::new(Show {
        looks: vec![
            look("warm", 1.0, vec![on("cake", part(&[1], WARM, 0.5))]),
            look("both", 1.0, vec![on("cake", part(&[1], WARM, 0.5)), on("door", part(&[2], RED, 1.0))]),
        ],
        cues: vec![cue("1", Some("warm"), 1.0), cue("2", Some("both"), 4.0)],
        ..Show::default()
    });
    bench.frame(0.0);
    bench.at(0.0, Command::Go).at(5.0, Command::Go);
    assert!(bench.level(5.1, 1) < 5.0);
    for secs in [5.1, 6.0, 9.0] {
        assert!(near(bench.light(secs, 1).aim.unwrap(), DOOR), "{secs} s");
    }
    assert!(bench.level(9.0, 1) > 99.0);
}
