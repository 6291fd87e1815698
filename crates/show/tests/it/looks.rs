//! What a look's sentences mean for each light.

use crate::common::*;
use lanthorn_physics::Point;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_show::{Aim, Ask, Command, Level, Part, Show, Spread, Who};

fn shown(parts: Vec<Part>) -> Bench {
    let show = Show { looks: vec![look("it", 0.0, parts)], start: Some("it".to_owned()), ..Show::default() };
    let mut bench = Bench::new(show);
    bench.frame(0.0);
    bench
}

fn asks(colours: &[Chromaticity]) -> Vec<Ask> {
    colours.iter().map(|&chromaticity| Ask { text: String::new(), chromaticity }).collect()
}

#[test]
fn levels_are_perceptual_and_light_is_their_square() {
    let mut bench = shown(vec![part(&[1], RED, 0.5), part(&[2], RED, 1.0), part(&[3], RED, f64::NAN)]);
    let light: Vec<f64> = bench.frame(1.0).units.iter().map(|unit| unit.heads[0].level).collect();
    assert_eq!(light, [0.25, 1.0, 0.0, 0.0, 0.0, 0.0]);
}

#[test]
fn a_later_sentence_wins_and_groups_keep_their_order() {
    let line = Aim::Line { from: Point::new(0.0, 0.0, 0.0), to: Point::new(3.0, 0.0, 0.0) };
    let heads = Part { who: Who::Group("heads".to_owned()), aim: Some(line), ..part(&[], RED, 0.4) };
    let mut bench = shown(vec![heads, part(&[2], BLUE, 1.0)]);
    // The group runs from light 4 to light 1; light 2 has its own sentence, without an aim.
    let aims: Vec<_> = bench.frame(1.0).units.iter().map(|unit| unit.aim.map(Point::x)).collect();
    assert_eq!(aims, [Some(3.0), None, Some(1.0), Some(0.0), None, None]);
    assert_eq!(bench.light(1.0, 1).heads[0].colour, Some(BLUE));
    assert_eq!(bench.level(1.0, 0), 40.0);
}

#[test]
fn level_spreads() {
    for (spread, want) in [
        (Spread::Even, [20.0, 80.0, 20.0, 80.0]),
        (Spread::InOrder, [20.0, 40.0, 60.0, 80.0]),
        (Spread::FromTheMiddle, [80.0, 20.0, 20.0, 80.0]),
    ] {
        let sentence =
            Part { level_to: Some(Level(0.8)), level_spread: spread, ..part(&[1, 2, 3, 4], RED, 0.2) };
        let mut bench = shown(vec![sentence]);
        let got: Vec<f64> = (0..4).map(|unit| bench.level(1.0, unit)).collect();
        assert_eq!(got, want, "{spread:?}");
    }
    let three = Part {
        level_to: Some(Level(0.8)),
        level_spread: Spread::FromTheMiddle,
        ..part(&[1, 2, 3], RED, 0.2)
    };
    let mut bench = shown(vec![three]);
    assert_eq!([0, 1, 2].map(|unit| bench.level(1.0, unit)), [80.0, 20.0, 80.0]);
}

#[test]
fn colours_alternate_or_run_over_the_group() {
    let even = Part { colours: asks(&[RED, BLUE]), ..part(&[1, 2, 3], RED, 1.0) };
    let mut bench = shown(vec![even]);
    let colours: Vec<_> = bench.frame(1.0).units[..3].iter().map(|unit| unit.heads[0].colour).collect();
    assert_eq!(colours, [Some(RED), Some(BLUE), Some(RED)]);

    let run =
        Part { colours: asks(&[RED, GREEN]), colour_spread: Spread::InOrder, ..part(&[1, 2, 3], RED, 1.0) };
    let mut bench = shown(vec![run]);
    let [first, middle, last] = [0, 1, 2].map(|unit| bench.light(1.0, unit).heads[0].colour.unwrap());
    assert_eq!((first, last), (RED, GREEN));
    // Between red and green, on neither end: yellow.
    assert!(middle.distance_uv(RED) > 0.1 && middle.distance_uv(GREEN) > 0.1, "{middle:?}");

    // A light with several heads, alone in its sentence, alternates over its heads; so does a run.
    let alone = Part { colours: asks(&[RED, BLUE]), ..part(&[5], RED, 1.0) };
    let heads =
        |bench: &mut Bench| bench.light(1.0, 4).heads.iter().map(|head| head.colour).collect::<Vec<_>>();
    assert_eq!(heads(&mut shown(vec![alone])), [Some(RED), Some(BLUE), Some(RED), Some(BLUE)]);
    let run =
        Part { colours: asks(&[RED, BLUE]), colour_spread: Spread::InOrder, ..part(&[1, 5, 2], RED, 1.0) };
    let mut bench = shown(vec![run]);
    assert_eq!(bench.light(1.0, 0).heads[0].colour, Some(RED));
    assert_eq!(bench.light(1.0, 1).heads[0].colour, Some(BLUE));
    let over = heads(&mut bench);
    assert!(over.windows(2).all(|pair| pair[0] != pair[1]), "{over:?}");
}

#[test]
fn gobos_by_name_or_number() {
    for (asked, slot) in [
        ("leaves", Some(2)),
        ("Stars", Some(3)),
        ("3", Some(3)),
        ("open", None),
        ("1", None),
        ("9", None),
        ("x", None),
    ] {
        let mut bench = shown(vec![Part { gobo: Some(asked.to_owned()), ..part(&[1, 5], RED, 1.0) }]);
        assert_eq!(bench.light(1.0, 0).beam.gobo, slot, "{asked}");
        assert_eq!(bench.light(1.0, 4).beam.gobo, None, "a light without a wheel");
    }
}

#[test]
fn what_cannot_be_found_is_left_out() {
    let mut bench = shown(vec![
        on("nowhere", part(&[1, 99, 1], RED, 1.0)),
        Part { who: Who::Group("no such group".to_owned()), ..part(&[], RED, 1.0) },
        Part { aim: Some(Aim::At(Point::new(f64::NAN, 0.0, 0.0))), ..part(&[2], RED, 1.0) },
    ]);
    assert_eq!((bench.level(1.0, 0), bench.light(1.0, 0).aim), (100.0, None));
    assert_eq!(bench.light(1.0, 1).aim, None);
    for command in [
        Command::Look(7),
        Command::Chase { index: 7, on: true },
        Command::Cue(7),
        Command::Go,
        Command::Master(f64::NAN),
        Command::Tempo(f64::INFINITY),
        Command::Aim { unit: 99, at: CAKE },
        Command::Aim { unit: 1, at: Point::new(f64::NAN, 0.0, 0.0) },
        Command::Level { unit: 99, level: 1.0 },
        Command::LetGo(Some(99)),
    ] {
        bench.at(2.0, command);
    }
    assert_eq!((bench.level(3.0, 0), bench.light(3.0, 1).aim), (100.0, None));
}

#[test]
fn everything_at_once_reaches_the_lights() {
    let mut bench = shown(vec![
        Part { prism: true, focus: Some(0.3), frost: 0.2, iris: 0.7, ..part(&[1], RED, 1.0) },
        Part { who: Who::All, haze: 0.6, fan: 0.4, ..part(&[], RED, 0.0) },
        Part { prism: true, focus: Some(0.3), frost: 0.2, iris: 0.7, ..part(&[1], RED, 1.0) },
    ]);
    let beam = bench.light(1.0, 0).beam;
    assert_eq!((beam.prism, beam.focus, beam.frost, beam.iris), (true, Some(0.3), 0.2, 0.7));
    assert_eq!((bench.light(1.0, 5).haze, bench.light(1.0, 5).fan), (0.6, 0.4));
}
