//! What is lit is kept as a look: put on by itself, it shows the same.

use lanthorn_physics::Point;
use lanthorn_rig::UnitWish;
use lanthorn_show::player::Seen;
use lanthorn_show::{Aim, Command, Look, On, Part, Show, Spread, StepTime, Who, keep};
use proptest::prelude::*;

use crate::common::*;

/// Steps that stand for four seconds and do not fade; nothing runs a figure.
fn show() -> Show {
    let spread = Part {
        colours: [part(&[], RED, 0.0).colours, part(&[], BLUE, 0.0).colours].concat(),
        ..part(&[5], RED, 0.9)
    };
    let spread = Part {
        colour_spread: Spread::InOrder,
        level_to: Some(lanthorn_show::Level(0.3)),
        level_spread: Spread::InOrder,
        ..spread
    };
    let line = Aim::Line { from: CAKE, to: DOOR };
    let gobo = Part { gobo: Some("stars".to_owned()), ..on("door", part(&[3], GREEN, 0.6)) };
    let four = StepTime::Time(secs(4.0));
    let none = StepTime::Time(secs(0.0));
    Show {
        looks: vec![
            look("line", 1.0, vec![Part { aim: Some(line), ..part(&[1, 2, 3, 4], WARM, 0.5) }, spread]),
            look("two", 2.0, vec![on("door", part(&[1, 4], BLUE, 1.0)), gobo]),
            look("bar", 0.5, vec![part(&[5], GREEN, 0.4), Part { haze: 0.4, ..part(&[6], WARM, 0.0) }]),
            look("colour alone", 0.5, vec![Part { colours: Vec::new(), ..part(&[2, 3], RED, 0.8) }]),
        ],
        chases: vec![
            chase("one", &["two", "bar"], four, none),
            chase("other", &["colour alone", "line"], four, none),
        ],
        ..Show::default()
    }
}

/// The look that keeps what is on, of all lights.
fn kept(bench: &Bench, show: &Show, secs: f64, only: Option<&[u32]>) -> Vec<Part> {
    let rig = rig();
    let status = bench.status(secs);
    let chases: Vec<_> =
        status.chases.iter().flatten().map(|running| (running.chase, running.step)).collect();
    let seen: Vec<Seen> =
        (0..).zip(&bench.out.units).map(|(unit, wish)| bench.player.seen(unit, wish)).collect();
    keep(show, &rig, &On { look: status.look, chases: &chases, seen: &seen }, only)
}

fn lit(light: &UnitWish) -> bool {
    light.heads.iter().any(|head| head.level > 0.0)
}

/// Alike as far as somebody in the room could tell.
fn alike(was: &UnitWish, is: &UnitWish) -> Result<(), String> {
    if !lit(was) && !lit(is) && was.haze == is.haze {
        return Ok(());
    }
    let told = || format!("was {was:?}\nis  {is:?}");
    for (was, is) in was.heads.iter().zip(&is.heads) {
        let colours = was.colour.zip(is.colour).is_none_or(|(was, is)| was.distance_uv(is) < 5e-4);
        if (was.level - is.level).abs() > 1e-3 || !colours {
            return Err(told());
        }
    }
    let aims = was.aim.zip(is.aim).is_none_or(|(was, is)| was.distance(is).get() < 0.021);
    // The bar has nothing to aim with.
    let aimed = was.aim.is_some() == is.aim.is_some() || was.heads.len() > 1;
    if aims && aimed && was.beam.gobo == is.beam.gobo && was.haze == is.haze { Ok(()) } else { Err(told()) }
}

fn command() -> impl Strategy<Value = Command> {
    let unit = 0_usize..5;
    prop_oneof![
        2 => (0_usize..3).prop_map(Command::Look),
        3 => (0_usize..2, any::<bool>()).prop_map(|(index, on)| Command::Chase { index, on }),
        2 => (unit.clone(), -9.0..9.0, -9.0..9.0)
            .prop_map(|(unit, x, y)| Command::Aim { unit, at: Point::new(x, y, 0.0) }),
        2 => (unit.clone(), 0.05..1.0).prop_map(|(unit, level)| Command::Level { unit, level }),
        2 => unit.clone().prop_map(|unit| Command::Colour { unit, chromaticity: RED }),
        1 => prop::option::of(unit).prop_map(Command::LetGo),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn what_is_kept_shows_what_was_lit(commands in prop::collection::vec((0.0..9.0, command()), 1..12)) {
        let show = show();
        let mut bench = Bench::new(show.clone());
        let mut now = 0.0;
        for (wait, command) in commands {
            bench.at(now, command);
            now += wait;
            bench.frame(now);
        }
        // Every fade has ended, no step begins just now.
        now += 20.0;
        let was = bench.frame(now).clone();
        let parts = kept(&bench, &show, now, None);
        let looks = vec![Look { name: "kept".to_owned(), fade: secs(0.0), parts }];
        let mut again = Bench::new(Show { looks, ..Show::default() });
        again.at(0.0, Command::Look(0));
        let is = again.frame(1.0);
        for (number, (was, is)) in was.units.iter().zip(&is.units).enumerate() {
            let same = alike(was, is);
            prop_assert!(same.is_ok(), "light {}: {}", number + 1, same.unwrap_err());
        }
    }
}

#[test]
fn a_sentence_that_is_on_is_kept_as_it_stands_and_what_a_hand_holds_is_said_alone() {
    let show = show();
    let mut bench = Bench::new(show.clone());
    bench.at(0.0, Command::Look(0));
    bench.frame(5.0);
    assert_eq!(kept(&bench, &show, 5.0, None), show.looks[0].parts);
    bench.at(5.0, Command::Aim { unit: 1, at: CAKE });
    bench.frame(6.0);
    let parts = kept(&bench, &show, 6.0, None);
    let told = |part: &Part| (part.who.clone(), part.aim.clone());
    assert_eq!(parts[0], show.looks[0].parts[1], "the bar's sentence stands");
    // The first of the line is there already: said alike, they share a sentence.
    let second = parts.iter().find(|part| part.who == Who::Units(vec![1, 2])).unwrap();
    assert_eq!(told(second).1, Some(Aim::Mark("cake".to_owned())), "by the mark's name");
    // Of some lights alone, and of dark ones nothing.
    let some = kept(&bench, &show, 6.0, Some(&[2, 6]));
    assert_eq!(some.iter().map(|part| part.who.clone()).collect::<Vec<_>>(), [Who::Units(vec![2])]);
    assert_eq!(kept(&Bench::new(show.clone()), &show, 0.0, None), Vec::new());
}
