//! What is held by hand, and how it goes back.

use crate::common::*;
use lanthorn_fixture::BeamState;
use lanthorn_physics::units::{Hertz, Radians};
use lanthorn_show::{Command, Driver, Part, Show};

fn bench() -> Bench {
    let show = Show {
        looks: vec![
            look("cake", 1.0, vec![on("cake", part(&[1, 2], RED, 0.8))]),
            look("blue", 4.0, vec![on("cake", part(&[1], BLUE, 0.4))]),
        ],
        start: Some("cake".to_owned()),
        ..Show::default()
    };
    let mut bench = Bench::new(show);
    bench.frame(0.0);
    bench
}

#[test]
fn each_property_is_held_by_itself() {
    let mut bench = bench();
    bench.at(1.0, Command::Level { unit: 0, level: 0.3 });
    assert_eq!((bench.level(1.0, 0), bench.level(1.0, 1)), (30.0, 80.0));
    let light = bench.light(1.0, 0).clone();
    assert!(near(light.aim.unwrap(), CAKE) && light.heads[0].colour == Some(RED));
    bench
        .at(2.0, Command::Aim { unit: 0, at: DOOR })
        .at(2.0, Command::Colour { unit: 0, chromaticity: GREEN });
    let light = bench.light(2.0, 0).clone();
    assert!(near(light.aim.unwrap(), DOOR) && light.heads[0].colour == Some(GREEN));
    assert_eq!((bench.player.driver(0), bench.player.driver(1)), (Driver::Hand, Driver::Look(0)));
    assert_eq!(bench.status(2.0).held, 1);
    // The show goes on underneath.
    bench.at(3.0, Command::Look(1));
    assert_eq!(bench.levels(0, [3.0, 9.0]), [30.0, 30.0]);
}

#[test]
fn let_go_goes_back_in_two_seconds() {
    let mut bench = bench();
    bench
        .at(1.0, Command::Level { unit: 0, level: 0.4 })
        .at(1.0, Command::Aim { unit: 0, at: DOOR })
        .at(1.0, Command::Colour { unit: 0, chromaticity: GREEN })
        .at(5.0, Command::LetGo(Some(0)));
    for (secs, part) in [(5.0, 0.0), (5.5, 0.25), (6.0, 0.5), (7.0, 1.0)] {
        let mut bench = self::bench();
        bench.at(1.0, Command::Aim { unit: 0, at: DOOR }).at(5.0, Command::LetGo(None));
        assert!(near(bench.light(secs, 0).aim.unwrap(), DOOR.lerp(CAKE, part)), "{secs}");
    }
    let seen = [5.0, 6.0, 7.0, 8.0]
        .map(|secs| (bench.level(secs, 0), bench.light(secs, 0).heads[0].colour.unwrap()));
    assert_eq!(seen.map(|(level, _)| level), [40.0, 60.0, 80.0, 80.0]);
    let colours = seen.map(|(_, colour)| colour);
    assert_eq!((colours[0], colours[2]), (GREEN, RED));
    assert!(colours[1].distance_uv(GREEN) > 0.05 && colours[1].distance_uv(RED) > 0.05);
    assert_eq!(bench.player.driver(0), Driver::Look(0));
}

#[test]
fn a_dark_light_comes_up_when_its_spot_is_dragged() {
    let mut bench = bench();
    bench.at(1.0, Command::Aim { unit: 2, at: DOOR });
    assert_eq!(bench.level(1.0, 2), 60.0);
    assert_eq!(bench.light(1.0, 2).heads[0].colour, None, "never coloured: its own white");
    // One that was lit before keeps its last colour.
    bench.at(2.0, Command::Look(1)).at(10.0, Command::Aim { unit: 1, at: DOOR });
    assert_eq!(bench.level(10.0, 1), 60.0);
    assert_eq!(bench.light(10.0, 1).heads[0].colour, Some(RED));
    // A lit light keeps its level, one held dark on purpose stays dark.
    bench.at(11.0, Command::Aim { unit: 0, at: DOOR });
    assert_eq!(bench.level(11.0, 0), 40.0);
    bench.at(12.0, Command::Level { unit: 3, level: 0.0 }).at(13.0, Command::Aim { unit: 3, at: CAKE });
    assert_eq!(bench.level(13.0, 3), 0.0);
    // Let go, it goes dark where it is, without sweeping back while it is lit.
    bench.at(20.0, Command::LetGo(None));
    assert_eq!(bench.levels(2, [20.0, 21.0]), [60.0, 30.0]);
    assert!(near(bench.light(21.9, 1).aim.unwrap(), DOOR));
    assert_eq!(bench.level(22.0, 2), 0.0);
}

#[test]
fn pan_and_tilt_are_held_as_they_are_sent() {
    let sent = |pan, tilt| Command::Send { unit: 0, pan: Radians::new(pan), tilt: Radians::new(tilt) };
    let mut bench = bench();
    assert_eq!(bench.light(0.5, 0).sent, None);
    bench.at(1.0, sent(0.5, -0.25));
    assert_eq!(bench.light(1.0, 0).sent, Some((Radians::new(0.5), Radians::new(-0.25))));
    assert_eq!(bench.light(1.0, 1).sent, None, "no other light is held");
    assert_eq!((bench.player.driver(0), bench.player.driver(1)), (Driver::Hand, Driver::Look(0)));
    // Another value takes its place; the look that comes underneath does not.
    bench.at(2.0, sent(0.6, -0.2)).at(3.0, Command::Look(1));
    assert_eq!(bench.light(9.0, 0).sent, Some((Radians::new(0.6), Radians::new(-0.2))));
    assert_eq!(bench.level(9.0, 0), 40.0, "the level is the show's");
    // A place takes its place, and the other way round.
    bench.at(10.0, Command::Aim { unit: 0, at: DOOR });
    let light = bench.light(10.0, 0).clone();
    assert!(light.sent.is_none() && near(light.aim.unwrap(), DOOR));
    bench.at(11.0, sent(0.1, 0.1));
    assert!(bench.light(11.0, 0).sent.is_some());
    // Let go, the show has it again at once: the level goes back in two seconds, the motors by the limits.
    bench.at(12.0, Command::LetGo(Some(0)));
    let light = bench.light(12.0, 0).clone();
    assert!(light.sent.is_none() && near(light.aim.unwrap(), CAKE), "{light:?}");
    assert_eq!(bench.player.driver(0), Driver::Look(1));
}

#[test]
fn a_dark_light_comes_up_when_its_pan_and_tilt_are_sent() {
    let mut bench = bench();
    let sent = |unit| Command::Send { unit, pan: Radians::new(0.5), tilt: Radians::ZERO };
    bench.at(1.0, sent(2));
    assert_eq!(bench.level(1.0, 2), 60.0);
    // One that is held dark on purpose stays dark.
    bench.at(2.0, Command::Level { unit: 3, level: 0.0 }).at(3.0, sent(3));
    assert_eq!(bench.level(3.0, 3), 0.0);
    // What is no light and what is no number does nothing.
    let nan = Radians::ZERO / 0.0;
    bench.at(4.0, sent(99)).at(4.0, Command::Send { unit: 1, pan: nan, tilt: Radians::ZERO });
    assert_eq!(bench.light(4.0, 1).sent, None);
}

#[test]
fn the_beam_of_a_light_that_is_sent_is_plain_narrow_and_steady() {
    let busy = Part {
        strobe: Some(Hertz::new(2.0)),
        gobo: Some("stars".to_owned()),
        prism: true,
        zoom: Some(Radians::from_deg(30.0)),
        frost: 0.5,
        iris: 0.4,
        ..part(&[1, 2], RED, 0.8)
    };
    let show = Show { looks: vec![look("busy", 0.0, vec![on("cake", busy)])], ..Show::default() };
    let mut bench = Bench::new(show);
    bench.at(0.0, Command::Look(0));
    assert!(bench.light(1.0, 0).beam.prism && bench.light(1.0, 0).heads[0].strobe.is_some());
    bench.at(2.0, Command::Send { unit: 0, pan: Radians::ZERO, tilt: Radians::ZERO });
    let plain = BeamState { zoom: Some(Radians::ZERO), ..BeamState::default() };
    let light = bench.light(2.0, 0).clone();
    assert_eq!((light.beam, light.heads[0].strobe), (plain, None));
    let other = bench.light(2.0, 1).clone();
    assert!(other.beam.prism && other.heads[0].strobe.is_some(), "the other light goes on");
    bench.at(3.0, Command::LetGo(None));
    let light = bench.light(3.0, 0).clone();
    assert!(light.beam.prism && light.heads[0].strobe.is_some());
}
