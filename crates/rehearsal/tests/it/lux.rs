//! Light levels asked for in lux, through player, aim, limits, charts in 8 bit and the stand-in, to the light at the mark.

use std::sync::Arc;

use lanthorn_fixture::Fact;
use lanthorn_fixture::profile::Profile;

use lanthorn_physics::units::{Candela, Lux, Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation, Span};
use lanthorn_rehearsal::{LightNow, settled};
use lanthorn_rig::{Mark, Rig, Unit};
use lanthorn_show::light_level::{self, LuxAnswer};
use lanthorn_show::{Aim, Ask, Level, Look, LuxAsk, Part, Plane, Show, Who, tell};

use crate::hall::{RED, bar, head, rig, unit};

const SPEAKER: Point = Point::new(0.5, 1.0, 2.4);
const CAKE: Point = Point::new(1.5, -3.0, 0.9);

pub(crate) fn lit(units: &[u32], aim: Option<Aim>, level: f64) -> Part {
    Part { aim, level: Level(level), ..Part::of(Who::Units(units.to_vec())) }
}

pub(crate) fn lux(units: &[u32], aim: Option<Aim>, lux: f64) -> Part {
    Part { lux: Some(LuxAsk { lux: Lux::new(lux), on: None }), ..lit(units, aim, 1.0) }
}

pub(crate) fn on(mark: &str) -> Option<Aim> {
    Some(Aim::Mark(mark.to_owned()))
}

/// Four heads and a four-headed bar on the bar in the hall, and two marks.
pub(crate) fn hall() -> Arc<Rig> {
    hall_of(&head())
}

fn hall_of(profile: &Arc<Profile>) -> Arc<Rig> {
    let across = |number: u32, offset: f64| Unit { offset: Metres::new(offset), ..unit(number, profile) };
    let fixed = Unit { focus: Some(Point::new(1.5, -3.0, 0.9)), ..unit(5, &bar()) };
    let mut rig =
        (*rig(vec![across(1, -2.0), across(2, -0.7), across(3, 0.7), across(4, 2.0), fixed])).clone();
    rig.room.marks = vec![
        Mark { name: "speaker".to_owned(), at: SPEAKER },
        Mark { name: "cake".to_owned(), at: CAKE },
        Mark { name: "middle".to_owned(), at: Point::new(0.0, -4.0, 0.0) },
    ];
    Arc::new(rig)
}

pub(crate) fn show(parts: Vec<Part>) -> Show {
    Show { looks: vec![Look { name: "look".to_owned(), fade: Span::ZERO, parts }], ..Show::default() }
}

fn light_at(lights: &[LightNow], at: Point, normal: Direction) -> f64 {
    let beams = lights.iter().flat_map(|light| &light.heads);
    beams.filter_map(|beam| beam.lux_on(at, normal)).map(Lux::get).sum()
}

/// Towards the audience.
fn face() -> Direction {
    Rotation::about_x(Radians::QUARTER).apply(Direction::UP)
}

fn answers(show: &Show, rig: &Rig) -> Vec<Option<LuxAnswer>> {
    light_level::solve(&show.looks[0], &show.figures, rig)
}

/// The light that is measured is the light that was asked for, to 2 %.
fn check(parts: Vec<Part>, wanted: &[(Point, Direction, f64)]) {
    let (rig, show) = (hall(), show(parts));
    let lights = settled(&show, &rig, 0);
    for (at, normal, lux) in wanted {
        let got = light_at(&lights, *at, *normal);
        assert!((got / lux - 1.0).abs() < 0.02, "{got:.1} lx at {at:?}, not {lux}");
    }
}

#[test]
fn the_light_asked_for_is_the_light_that_lands() {
    check(vec![lux(&[1, 2], on("speaker"), 300.0)], &[(SPEAKER, face(), 300.0)]);
    check(
        vec![lux(&[1, 2, 3, 4], on("middle"), 500.0)],
        &[(Point::new(0.0, -4.0, 0.0), Direction::UP, 500.0)],
    );
    // A colour costs light: red alone is 28 % of this head.
    let red = Ask { text: "red".to_owned(), chromaticity: RED };
    check(
        vec![Part { colours: vec![red], ..lux(&[1, 2, 3, 4], on("speaker"), 200.0) }],
        &[(SPEAKER, face(), 200.0)],
    );
    // Fixed lights without an aim: where they are pointed, here a level surface for it is no metre up.
    check(vec![lux(&[5], None, 900.0)], &[(CAKE, Direction::UP, 900.0)]);
    // On a level surface though it is high, because that is what was asked.
    let level = LuxAsk { lux: Lux::new(100.0), on: Some(Plane::Level) };
    check(
        vec![Part { lux: Some(level), ..lux(&[3], on("speaker"), 1.0) }],
        &[(SPEAKER, Direction::UP, 100.0)],
    );
}

#[test]
fn other_sentences_count_first() {
    check(
        vec![lit(&[1], on("speaker"), 0.6), lux(&[2, 3], on("speaker"), 350.0)],
        &[(SPEAKER, face(), 350.0)],
    );
    // Two that ask, each in the other's light.
    let near = Point::new(0.9, 1.0, 2.2);
    check(
        vec![lux(&[1, 2], on("speaker"), 300.0), lux(&[3, 4], Some(Aim::At(near)), 340.0)],
        &[(SPEAKER, face(), 300.0), (near, face(), 340.0)],
    );
    // A light that a later sentence takes away does not count twice.
    check(vec![lux(&[1, 2], on("speaker"), 150.0), lit(&[2], on("cake"), 1.0)], &[(SPEAKER, face(), 150.0)]);
    // More than was asked is there already.
    let rig = hall();
    let over = show(vec![lit(&[1, 2], on("speaker"), 1.0), lux(&[3], on("speaker"), 50.0)]);
    let answer = answers(&over, &rig)[1].clone().unwrap();
    assert!(answer.level <= 0.0 && answer.reached.unwrap().get() > 50.0, "{answer:?}");
    assert!(tell::plain(&tell::look(&over.looks[0], &over, &rig)[1]).contains("are there already"));
}

#[test]
fn what_cannot_be_reached_gives_the_most_and_says_so() {
    let rig = hall();
    let much = show(vec![lux(&[1], on("speaker"), 4000.0)]);
    let answer = answers(&much, &rig)[0].clone().unwrap();
    let got = light_at(&settled(&much, &rig, 0), SPEAKER, face());
    assert!(answer.level >= 1.0 && !answer.is_met());
    assert!((answer.reached.unwrap().get() / got - 1.0).abs() < 0.01, "{answer:?}, {got}");
    let told = tell::plain(&tell::look(&much.looks[0], &much, &rig)[0]);
    assert_eq!(told, format!("Head 1 on the speaker, reaches {:.0} of 4000 lx.", got.round()));
    let fits = show(vec![lux(&[1], on("speaker"), 100.0)]);
    let told = tell::plain(&tell::look(&fits.looks[0], &fits, &rig)[0]);
    assert_eq!(told, "Head 1 on the speaker, 100 lx.");
    // Behind the face, from where it gets nothing.
    let behind = show(vec![lux(&[1], Some(Aim::At(Point::new(0.0, -3.5, 1.6))), 100.0)]);
    assert_eq!(answers(&behind, &rig)[0].clone().unwrap().reached, Some(Lux::ZERO));
}

#[test]
fn unknown_brightness_is_told_and_not_taken_for_darkness() {
    let mut profile = (*head()).clone();
    profile.optics.peak = Fact::<Candela>::unknown();
    let rig = hall_of(&Arc::new(profile));
    let dim = show(vec![lux(&[1, 2], on("speaker"), 300.0)]);
    let answer = answers(&dim, &rig)[0].clone().unwrap();
    assert_eq!((answer.reached, answer.level, answer.unknown.as_slice()), (None, 1.0, &[1, 2][..]));
    let told = tell::plain(&tell::look(&dim.looks[0], &dim, &rig)[0]);
    assert_eq!(told, "Heads 1, 2 on the speaker, 300 lx asked for, brightness not known.");
}

#[test]
fn a_moving_light_without_an_aim_is_left_at_full() {
    let rig = hall();
    let nowhere = show(vec![lux(&[1], None, 300.0)]);
    let answer = answers(&nowhere, &rig)[0].clone().unwrap();
    assert!(answer.at.is_empty() && answer.reached.is_none() && answer.level >= 1.0);
}
