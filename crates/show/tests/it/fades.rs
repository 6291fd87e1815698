//! Crossfades: from what is lit now, without dips, jumps or sweeps.

use std::sync::Arc;

use crate::common::*;
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::{Attribute, Channel, Encoder, Fact, Origin, Range};
use lanthorn_physics::colour::{Chromaticity, cct_duv};
use lanthorn_physics::units::Kelvin;
use lanthorn_rig::RigState;
use lanthorn_show::{Command, Player, Show};
use proptest::prelude::*;

fn show() -> Show {
    Show {
        looks: vec![
            look("cake", 4.0, vec![on("cake", part(&[1, 2], RED, 1.0))]),
            look("door", 4.0, vec![on("door", part(&[1], GREEN, 0.5)), on("door", part(&[3], BLUE, 0.8))]),
            look("dark", 2.0, Vec::new()),
            look("cake again", 4.0, vec![on("cake", part(&[1, 2], RED, 1.0))]),
        ],
        start: Some("cake".to_owned()),
        ..Show::default()
    }
}

#[test]
fn levels_go_evenly_as_the_eye_sees_them() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1));
    let moments = [10.0, 11.0, 12.0, 13.0, 14.0, 20.0];
    assert_eq!(bench.levels(0, moments), [100.0, 87.5, 75.0, 62.5, 50.0, 50.0]);
    bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1));
    assert_eq!(bench.levels(1, moments), [100.0, 75.0, 50.0, 25.0, 0.0, 0.0]);
    bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1));
    assert_eq!(bench.levels(2, moments), [0.0, 20.0, 40.0, 60.0, 80.0, 80.0]);
}

#[test]
fn a_dark_light_goes_ahead_and_one_that_goes_dark_stays() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1));
    let first = bench.light(10.02, 2).clone();
    assert!(
        near(first.aim.unwrap(), DOOR) && first.heads[0].colour == Some(BLUE),
        "new place and colour at once"
    );
    let leaving = bench.light(13.9, 1).clone();
    assert!(near(leaving.aim.unwrap(), CAKE) && leaving.heads[0].colour == Some(RED));
    assert!(near(bench.light(30.0, 1).aim.unwrap(), CAKE), "and stays there in the dark");
}

#[test]
fn a_lit_light_moves_in_a_straight_line_through_the_room() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1));
    for (secs, part) in [(10.0, 0.0), (11.0, 0.25), (12.0, 0.5), (14.0, 1.0), (15.0, 1.0)] {
        assert!(near(bench.light(secs, 0).aim.unwrap(), CAKE.lerp(DOOR, part)), "{secs}");
    }
    // Colour on the way from red to green passes neither blue nor a jump.
    bench.at(20.0, Command::Look(0));
    let mut last = bench.light(20.0, 0).heads[0].colour.unwrap();
    assert_eq!(last, GREEN);
    for step in 1..=200 {
        let colour = bench.light(20.0 + f64::from(step) * 0.02, 0).heads[0].colour.unwrap();
        assert!(colour.distance_uv(last) < 0.02, "{step}: {last:?} {colour:?}");
        last = colour;
    }
    assert_eq!(last, RED);
}

#[test]
fn a_cue_in_the_middle_of_a_fade_starts_from_what_is_lit() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1)).at(12.0, Command::Look(0));
    // 100 % down to 75 % in two seconds, then back up over four.
    assert_eq!(bench.levels(0, [12.0, 13.0, 14.0, 16.0]), [75.0, 81.25, 87.5, 100.0]);
    assert!(near(bench.light(16.0, 0).aim.unwrap(), CAKE));
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1)).at(12.0, Command::Look(0));
    let middle = bench.light(12.0, 0).aim.unwrap();
    assert!(near(middle, CAKE.lerp(DOOR, 0.5)), "no jump in place either");
}

#[test]
fn the_same_light_in_both_looks_does_not_stir() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(1.0, Command::Look(3));
    for step in 0..50 {
        let light = bench.light(1.0 + f64::from(step) * 0.1, 0);
        assert!(light.heads[0].level == 1.0 && light.heads[0].colour == Some(RED), "{step}");
    }
}

#[test]
fn a_fade_of_no_time_is_there_at_once() {
    let mut show = show();
    show.looks[1].fade = secs(0.0);
    let mut bench = Bench::new(show);
    bench.frame(0.0);
    bench.at(5.0, Command::Look(1));
    assert_eq!(bench.level(5.0, 0), 50.0);
    assert!(near(bench.light(5.0, 0).aim.unwrap(), DOOR));
}

#[test]
fn pictures_do_not_hang_on_how_often_they_are_asked_for() {
    let commands = [(1.0, Command::Look(1)), (2.3, Command::Look(2)), (3.1, Command::Look(0))];
    let mut seldom = Bench::new(show());
    let mut often = Bench::new(show());
    seldom.frame(0.0);
    let mut next = 0;
    for tick in 0..400 {
        let secs = f64::from(tick) * 0.02;
        while next < commands.len() && commands[next].0 <= secs {
            seldom.at(commands[next].0, commands[next].1);
            often.at(commands[next].0, commands[next].1);
            next += 1;
        }
        often.frame(secs);
    }
    seldom.frame(7.98);
    assert_eq!(seldom.out, often.out);
}

/// A bench whose first light mixes red, green, blue and white.
fn mixing(show: Show) -> (Bench, Encoder) {
    let mut rig = rig();
    let profile = Arc::make_mut(&mut rig.units[0].profile);
    let colours = [Attribute::ColorAddR, Attribute::ColorAddG, Attribute::ColorAddB, Attribute::ColorAddW];
    profile.modes[0].channels = (1..).zip(colours).map(|(place, colour)| channel(place, colour)).collect();
    let encoder = Encoder::new(profile, 0);
    let out = RigState::dark(&rig);
    (Bench { player: Player::new(Arc::new(show), Arc::new(rig)), out }, encoder)
}

fn channel(place: u16, attribute: Attribute) -> Channel {
    let range = Range {
        from: 0,
        to: 255,
        attribute,
        kind: RangeKind::Level,
        direction: Sense::Up,
        physical: None,
        slot: None,
        when: None,
        hold: None,
        danger: None,
        label: String::new(),
        origin: Origin::Stated,
    };
    Channel {
        name: "colour".to_owned(),
        coarse: place,
        fine: None,
        head: None,
        home: Fact::unknown(),
        ranges: vec![range],
    }
}

#[test]
fn from_one_colour_to_another_there_is_no_flare_and_no_dip() {
    for (from, to, level) in [(RED, BLUE, 1.0), (RED, GREEN, 1.0), (BLUE, GREEN, 0.5), (WARM, BLUE, 0.7)] {
        let looks = vec![
            look("from", 0.0, vec![part(&[1], from, 1.0)]),
            look("to", 4.0, vec![part(&[1], to, level)]),
        ];
        let (mut bench, encoder) = mixing(Show { looks, start: Some("from".to_owned()), ..Show::default() });
        let light = |bench: &mut Bench, secs: f64| {
            let head = bench.light(secs, 0).heads[0];
            head.level * encoder.luminance_share(head.colour)
        };
        let first = light(&mut bench, 0.0);
        bench.at(1.0, Command::Look(1));
        let last = level * level * encoder.luminance_share(Some(to));
        let mut before = first;
        for step in 0..=200 {
            let now = light(&mut bench, 1.0 + f64::from(step) * 0.02);
            // A straight line in OKLab is not quite straight in light.
            assert!(
                now > first.min(last) * 0.9 && now < first.max(last) * 1.1,
                "{from:?} {to:?} {step}: {now}"
            );
            assert!((now.sqrt() - before.sqrt()).abs() < 0.03, "{from:?} {to:?} {step}: {before} {now}");
            before = now;
        }
        assert!((before - last).abs() < 1e-9);
    }
}

#[test]
fn from_white_to_white_goes_evenly_in_mired() {
    // Half way from 2700 K to 6500 K is (1e6/2700 + 1e6/6500)/2 mired, 3815 K, with half of the tint of 6500 K daylight
    // (+0.0032, Ohno 2013).
    let white = |kelvin| lanthorn_physics::colour::white(Kelvin::new(kelvin), None);
    let looks = vec![
        look("from", 0.0, vec![part(&[1, 2], white(2700.0), 1.0)]),
        look("to", 4.0, vec![part(&[1, 2], white(6500.0), 1.0)]),
    ];
    let (mut bench, _) = mixing(Show { looks, start: Some("from".to_owned()), ..Show::default() });
    bench.frame(0.0);
    bench.at(1.0, Command::Look(1));
    // A light that mixes, and one of which nothing is known.
    for (secs, kelvin) in [(2.0, 3162.2), (3.0, 3815.2), (4.0, 4808.2)] {
        for unit in [0, 1] {
            let (got, duv) = cct_duv(bench.light(secs, unit).heads[0].colour.unwrap());
            assert!((got.get() - kelvin).abs() < 3.0, "{secs} s, light {unit}: {got}");
            assert!((duv - 0.0032 * (secs - 1.0) / 4.0).abs() < 2e-4, "{secs} s, light {unit}: {duv}");
        }
    }
}

proptest! {
    /// Whatever is asked for and whenever: from one frame to the next (20 ms, shortest fade 2 s) no lit light jumps.
    #[test]
    fn nothing_jumps(looks in prop::collection::vec((0_usize..4, 1_u32..200), 1..12)) {
        let mut bench = Bench::new(show());
        let mut now = 0.0;
        let mut last = bench.frame(now).clone();
        for (look, frames) in looks {
            bench.at(now, Command::Look(look));
            for _ in 0..frames {
                now += 0.02;
                let out = bench.frame(now);
                for (before, after) in last.units.iter().zip(&out.units) {
                    let (was, is) = (before.heads[0], after.heads[0]);
                    prop_assert!((was.level.sqrt() - is.level.sqrt()).abs() < 0.0101, "{was:?} {is:?}");
                    let seen = was.level.sqrt().min(is.level.sqrt());
                    if let (Some(from), Some(to)) = (before.aim, after.aim) {
                        // 10 m in 2 s is 0.1 m a frame.
                        prop_assert!(seen < 0.02 || from.distance(to).get() < 0.11, "{from:?} {to:?} at {seen}");
                    }
                    let colour = |c: Option<Chromaticity>| c.unwrap_or(Chromaticity::D65);
                    prop_assert!(seen < 0.1 || colour(was.colour).distance_uv(colour(is.colour)) < 0.06);
                }
                last.clone_from(out);
            }
        }
    }
}
