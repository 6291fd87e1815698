//! What is held by hand, and how it goes back.

use crate::common::*;
use lanthorn_show::{Command, Driver, Show};

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
