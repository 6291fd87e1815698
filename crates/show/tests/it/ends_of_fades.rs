//! What a wish says of the fade that its aim is on: where and when it ends.

use crate::common::*;
use lanthorn_physics::units::Metres;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Span};
use lanthorn_rig::{AimFade, RigState};
use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
use lanthorn_show::player::LET_GO;
use lanthorn_show::{Chase, Command, Figure, Part, Show, StepTime};

const TICK: f64 = 0.025;

fn show() -> Show {
    let figure = |name: &str, pace| Figure {
        name: name.to_owned(),
        shape: Shape::Circle { across: Metres::new(2.0) },
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace,
        backwards: false,
        phase: 0.0,
        phase_spread: PhaseSpread::InOrder,
        centre: None,
    };
    let running = |figure: &str, part: Part| Part { figure: Some(figure.to_owned()), ..part };
    let beats = StepTime::Beats;
    Show {
        figures: vec![figure("clock", Pace::Round(secs(5.0))), figure("beat", Pace::Beats(6.0))],
        looks: vec![
            look("cake", 4.0, vec![on("cake", part(&[1, 2], RED, 1.0))]),
            look("door", 4.0, vec![on("door", part(&[1], GREEN, 0.5)), on("door", part(&[3], BLUE, 0.8))]),
            look("round the cake", 3.0, vec![running("clock", on("cake", part(&[1, 2], RED, 1.0)))]),
            look("round the door", 3.0, vec![running("beat", on("door", part(&[1, 2], RED, 1.0)))]),
        ],
        chases: vec![Chase {
            fade: secs(2.5),
            ..chase("to and fro", &["cake", "round the door"], beats(4.0), beats(3.0))
        }],
        start: Some("cake".to_owned()),
        ..Show::default()
    }
}

fn fade(bench: &mut Bench, at: f64, unit: usize) -> Option<AimFade> {
    bench.light(at, unit).fade
}

/// Where a light will be if nobody touches anything.
fn later(bench: &Bench, at: f64, unit: usize) -> Option<Point> {
    let (mut player, mut out) = (bench.player.clone(), RigState::clone(&bench.out));
    player.frame(lanthorn_physics::Instant::from_secs(at), &mut out);
    out.units[unit].aim
}

#[test]
fn a_lit_fade_from_place_to_place_says_where_and_when_it_ends() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    assert_eq!(fade(&mut bench, 5.0, 0), None, "at rest");
    bench.at(10.0, Command::Look(1));
    let left = |secs: f64| Some(AimFade { to: DOOR, left: Span::from_secs(secs) });
    for (at, want) in
        [(10.0, left(4.0)), (11.0, left(3.0)), (13.975, left(0.025)), (14.0, None), (20.0, None)]
    {
        assert_eq!(fade(&mut bench, at, 0), want, "{at} s");
        assert_eq!(fade(&mut bench, at, 1), None, "it goes dark where it is");
        assert_eq!(fade(&mut bench, at, 2), None, "it was dark and went ahead at once");
    }
    // Back again and, in the middle, back once more: each fade has its own end.
    bench.at(30.0, Command::Look(0));
    assert_eq!(fade(&mut bench, 31.0, 0), Some(AimFade { to: CAKE, left: secs(3.0) }));
    bench.at(32.0, Command::Look(1));
    assert_eq!(fade(&mut bench, 33.0, 0), left(3.0));
    // A hand has no fade; let go, it fades back.
    bench.at(40.0, Command::Aim { unit: 0, at: CAKE });
    assert_eq!(fade(&mut bench, 41.0, 0), None);
    bench.at(42.0, Command::LetGo(None));
    assert_eq!(fade(&mut bench, 42.5, 0), Some(AimFade { to: DOOR, left: LET_GO - secs(0.5) }));
}

#[test]
fn stillness_holds_what_is_left() {
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(10.0, Command::Look(1)).at(11.0, Command::Stillness(true));
    let held = fade(&mut bench, 11.0, 0).unwrap();
    assert_eq!(held, AimFade { to: DOOR, left: secs(3.0) });
    for at in [11.025, 12.0, 19.0] {
        assert_eq!(fade(&mut bench, at, 0), Some(held), "{at} s");
    }
    bench.at(20.0, Command::Stillness(false));
    assert_eq!(fade(&mut bench, 21.0, 0), Some(AimFade { to: DOOR, left: secs(2.0) }));
    // Begun meanwhile it does not even begin.
    bench.at(30.0, Command::Stillness(true)).at(30.0, Command::Look(0));
    assert_eq!(fade(&mut bench, 31.0, 0), None);
}

#[test]
fn when_a_fade_ends_the_light_is_where_it_was_said_to_be() {
    // Figures at both ends, a chase that fades in while its steps fade, a hand that lets go meanwhile.
    let commands = [
        (1.0, Command::Look(2)),
        (5.0, Command::Look(3)),
        (6.2, Command::Look(2)),
        (12.0, Command::Tempo(97.0)),
        (13.0, Command::Chase { index: 0, on: true }),
        (25.0, Command::Aim { unit: 0, at: Point::new(0.0, -3.0, 0.0) }),
        (26.0, Command::LetGo(None)),
        (30.0, Command::Look(1)),
        (40.0, Command::Chase { index: 0, on: false }),
    ];
    let mut bench = Bench::new(show());
    let mut next = 0;
    let (mut checked, mut longest) = (0, 0.0_f64);
    for tick in 0..2000 {
        let now = f64::from(tick) * TICK;
        while commands.get(next).is_some_and(|(at, _)| *at <= now) {
            bench.at(commands[next].0, commands[next].1);
            next += 1;
        }
        for unit in 0..2 {
            let Some(AimFade { to, left }) = fade(&mut bench, now, unit) else { continue };
            assert!(left > Span::ZERO);
            let off = later(&bench, now + left.secs(), unit).unwrap().distance(to).get();
            assert!(off < 1e-4, "light {unit} at {now} s, {left:?} before the end: {off} m off");
            checked += 1;
            longest = longest.max(left.secs());
        }
    }
    assert!(checked > 1000 && longest > 2.0, "{checked} {longest}");
}
