//! Lit fades from place to place, from every winding.

use lanthorn_physics::{Point, Span};
use proptest::prelude::*;

use super::{Shown, TICK, play, play_fades, rig};
use crate::AimFade;
use crate::aim::Head;

/// What the motors of [`rig`] can do, degrees.
const SPEED: f64 = 180.0;
const ACCELERATION: f64 = 360.0;

type Asked = (Point, Option<AimFade>);

/// A place on the floor, 5 m under the head: so far round from straight behind it, against the clock, and so far out.
fn place(round: f64, out: f64) -> Point {
    let (sin, cos) = libm::sincos(round.to_radians());
    Point::new(-out * sin, out * cos, 0.0)
}

/// Leads the head round its foot, 2 m out and 30°/s, until pan is at a winding, then out to a place there, and lets it
/// rest for a second. From home on pan is what the path goes round.
fn wound(pan: f64, out: f64) -> Vec<Asked> {
    let turns = (pan.abs() / 30.0 / TICK.secs()).ceil().max(1.0) as i64;
    let round = (0..=turns).map(|tick| place(pan * tick as f64 / turns as f64, 2.0));
    let outwards = (1..=80).map(|tick| place(pan, 2.0 + (out - 2.0) * f64::from(tick) / 80.0));
    let rest = std::iter::repeat_n(place(pan, out), 40);
    round.chain(outwards).chain(rest).map(|at| (at, None)).collect()
}

/// A fade as the player tells it, tick by tick, the last tick at its end; `first` is how much of it there is.
fn fade(from: Point, to: Point, secs: f64, first: f64) -> Vec<Asked> {
    let ticks = (secs / TICK.secs()).round().max(1.0) as i64;
    let until = TICK * ticks;
    let at = |tick: i64| {
        let left = until - TICK * tick;
        let fade = (left > Span::ZERO).then_some(AimFade { to, left });
        (from.lerp(to, until.progress(TICK * tick)), fade)
    };
    (1..=((ticks as f64 * first) as i64)).map(at).collect()
}

fn rest(at: Point, secs: f64) -> impl Iterator<Item = Asked> {
    std::iter::repeat_n((at, None), (secs / TICK.secs()) as usize)
}

/// Both motors stay inside their travel and their limits, and so the beam never jumps.
fn assert_led_gently(shown: &[Shown]) {
    for (axis, end) in [(Shown::pan as fn(&Shown) -> f64, 270.0), (Shown::tilt, 135.0)] {
        let speeds: Vec<f64> =
            shown.windows(2).map(|pair| (axis(&pair[1]) - axis(&pair[0])) / TICK.secs()).collect();
        // The first tick is dark and goes where it likes.
        for (tick, pair) in speeds[1..].windows(2).enumerate() {
            assert!(pair[1].abs() <= SPEED + 1e-6, "{}°/s at tick {tick}", pair[1]);
            let change = (pair[1] - pair[0]).abs() / TICK.secs();
            assert!(change <= ACCELERATION + 1e-3, "{change}°/s² at tick {tick}");
        }
        assert!(shown.iter().all(|now| axis(now).abs() <= end + 1e-6), "inside the travel");
    }
}

#[test]
fn a_fade_beyond_a_stop_turns_over_evenly_and_ends_on_its_place_in_time() {
    for (winding, on, secs) in
        [(250.0, 50.0, 4.0), (-250.0, -60.0, 6.0), (268.0, 120.0, 3.0), (200.0, 100.0, 10.0)]
    {
        let mut asked = wound(winding, 3.0);
        let (from, to) = (place(winding, 3.0), place(winding + on, 3.5));
        let start = asked.len() - 1;
        asked.extend(fade(from, to, secs, 1.0));
        let end = asked.len() - 1;
        asked.extend(rest(to, 2.0));
        let shown = play_fades(&rig(), asked);
        assert!((shown[start].pan - winding).abs() < 1e-6 && shown[start].miss < 1e-6, "{:?}", shown[start]);
        assert!(shown[end].miss < 0.01, "{winding}°: {} m off at the end of the fade", shown[end].miss);
        assert!(shown[end..].iter().all(|now| now.miss < 0.01 && !now.turns));
        assert!(shown[start + 1..end].iter().all(|now| now.turns), "it is told as such, all the way");
        assert_led_gently(&shown);
        // Evenly: over the whole fade, each motor one way, no faster than twice its mean speed, and it never waits.
        for axis in [Shown::pan as fn(&Shown) -> f64, Shown::tilt] {
            let way = axis(&shown[end]) - axis(&shown[start]);
            let steps: Vec<f64> =
                shown[start..=end].windows(2).map(|pair| (axis(&pair[1]) - axis(&pair[0])) / way).collect();
            let mean = TICK.secs() / secs;
            assert!(
                steps.iter().all(|step| (-1e-9..2.0 * mean + 1e-9).contains(step)),
                "{winding}° {steps:?}"
            );
            let middle = &steps[steps.len() / 10..steps.len() * 9 / 10];
            assert!(middle.iter().all(|step| *step > 0.1 * mean), "{winding}°: it never waits");
        }
        // By hand: of 2.5 turns of pan none is nearer than half a turn less than what would be beyond the stop.
        assert!((shown[end].pan - (winding + on - 180.0 * on.signum())).abs() < 1e-3, "{}", shown[end].pan);
    }
}

#[test]
fn of_ways_as_near_it_takes_the_one_away_from_the_stops() {
    // From pan 260° on to what would be 280°, right in front of the stop: straight over is 100°, a whole turn back −80°.
    let mut asked = wound(260.0, 3.0);
    asked.extend(fade(place(260.0, 3.0), place(280.0, 3.0), 5.0, 1.0));
    let shown = play_fades(&rig(), asked);
    let end = shown[shown.len() - 1];
    assert!((end.pan - 100.0).abs() < 1e-3 && end.tilt < 0.0 && end.miss < 0.01, "{end:?}");
}

#[test]
fn a_fade_that_can_be_followed_is_the_same_straight_line_as_without_a_word() {
    for (winding, on, out) in [
        (0.0, 100.0, 3.0),
        (200.0, 60.0, 1.5),
        (-200.0, -69.0, 4.0),
        (250.0, -170.0, 0.4),
        (268.0, -90.0, 3.0),
    ] {
        let mut asked = wound(winding, 3.0);
        asked.extend(fade(place(winding, 3.0), place(winding + on, out), 6.0, 1.0));
        asked.extend(rest(place(winding + on, out), 1.0));
        let with = play_fades(&rig(), asked.iter().copied());
        let without = play(&rig(), asked.iter().map(|(at, _)| *at));
        assert_eq!(with, without, "{winding}°");
        assert!(with.iter().all(|now| !now.turns));
    }
}

#[test]
fn a_fade_too_short_turns_over_as_soon_as_the_motors_can() {
    for secs in [0.05, 0.3, 0.8] {
        let mut asked = wound(250.0, 3.0);
        let start = asked.len() - 1;
        let to = place(320.0, 3.0);
        asked.extend(fade(place(250.0, 3.0), to, secs, 1.0));
        asked.extend(rest(to, 3.0));
        let shown = play_fades(&rig(), asked);
        assert_led_gently(&shown);
        // 110° of pan (to 140°) at 180°/s and 360°/s²: 1.11 s; 62° of tilt is sooner done.
        let needed = 110.0 / SPEED + SPEED / ACCELERATION;
        let there = shown[start..].iter().rposition(|now| now.miss > 0.01).unwrap() as f64 * TICK.secs();
        assert!((there - needed).abs() < 0.08, "{secs} s: there after {there} s, by the motor {needed} s");
        let end = shown[shown.len() - 1];
        assert!((end.pan - 140.0).abs() < 1e-6 && end.miss < 1e-6, "{end:?}");
    }
}

#[test]
fn a_new_fade_in_the_middle_of_a_turn_goes_on_from_where_the_head_is() {
    for first in [0.02, 0.3, 0.5, 0.9] {
        let mut asked = wound(250.0, 3.0);
        let (a, b, c) = (place(250.0, 3.0), place(320.0, 3.0), Point::new(-3.0, -2.0, 0.0));
        asked.extend(fade(a, b, 5.0, first));
        let between = asked[asked.len() - 1].0;
        asked.extend(fade(between, c, 4.0, 1.0));
        let end = asked.len() - 1;
        asked.extend(rest(c, 1.0));
        let shown = play_fades(&rig(), asked);
        assert_led_gently(&shown);
        // Taken so early that the beam is still on its path, the new fade is followed, which ends 2 cm late.
        let turns = shown[end - 40].turns;
        assert_eq!(turns, first > 0.1);
        assert!(shown[end].miss < 0.01, "{first}: {:?}", shown[end]);
        assert!(shown[end..].iter().all(|now| now.miss < if turns { 0.01 } else { 0.02 }), "{first}");
    }
}

#[test]
fn a_turn_stands_still_with_its_fade_and_goes_on_with_it() {
    let mut asked = wound(250.0, 3.0);
    let (a, b) = (place(250.0, 3.0), place(320.0, 3.0));
    let whole = fade(a, b, 5.0, 1.0);
    asked.extend_from_slice(&whole[..80]);
    let held = asked.len();
    asked.extend(std::iter::repeat_n(whole[79], 200));
    asked.extend_from_slice(&whole[80..]);
    let end = asked.len() - 1;
    let shown = play_fades(&rig(), asked);
    assert_led_gently(&shown);
    let still = &shown[held + 40..held + 200];
    assert!(still.iter().all(|now| (now.pan - still[0].pan).abs() < 1e-9), "nothing moves meanwhile");
    assert!((shown[held - 1].pan - still[0].pan).abs() < 0.1, "and it stands where it was");
    assert!(shown[end].miss < 0.01, "{:?}", shown[end]);
}

#[test]
fn a_fade_that_is_taken_away_lets_the_head_go_where_it_is_wanted() {
    let mut asked = wound(250.0, 3.0);
    asked.extend(fade(place(250.0, 3.0), place(320.0, 3.0), 5.0, 0.5));
    // A hand takes the spot near where the straight path would have been.
    let hand = asked[asked.len() - 1].0;
    asked.extend(rest(hand, 3.0));
    let shown = play_fades(&rig(), asked);
    assert_led_gently(&shown);
    let end = shown[shown.len() - 1];
    assert!(end.miss < 1e-6 && !end.turns, "{end:?}");
}

#[test]
fn an_end_that_moves_is_met_and_gone_on_with() {
    // A figure runs at the end of the fade, at 1 m/s; where it will be at the end is known only roughly at first.
    let figure = |secs: f64| place(315.0 + 20.0 * libm::sin(secs), 3.0 + 0.5 * libm::cos(secs));
    let mut asked = wound(250.0, 3.0);
    let from = place(250.0, 3.0);
    for tick in 1..=160 {
        let secs = f64::from(tick) * TICK.secs();
        let fade = AimFade { to: figure(4.0 + (4.0 - secs) * 0.05), left: Span::from_secs(4.0 - secs) };
        asked.push((from.lerp(figure(secs), secs / 4.0), (tick < 160).then_some(fade)));
    }
    let end = asked.len() - 1;
    asked.extend((1..200).map(|tick| (figure(4.0 + f64::from(tick) * TICK.secs()), None)));
    let shown = play_fades(&rig(), asked);
    assert_led_gently(&shown);
    assert!(shown[end - 1].turns);
    assert!(shown[end].miss < 0.05, "{:?}", shown[end]);
    assert!(shown[end + 20..].iter().all(|now| now.miss < 0.01), "it goes on with the figure");
}

/// Three places, each with the seconds to fade there and how much of that comes before the next.
fn fades() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
    let part = prop_oneof![Just(1.0), 0.05..1.0];
    prop::collection::vec((-4.5..4.5, -4.5..4.5, 0.1..8.0, part), 1..5)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_lit_fade_ends_where_it_should_from_any_winding(winding in -265.0..265.0, out in 0.3..4.5, x in -4.5..4.5, y in -4.5..4.5, secs in 0.1..8.0) {
        let mut asked = wound(winding, out);
        let start = asked.len() - 1;
        let (from, to) = (place(winding, out), Point::new(x, y, 0.0));
        asked.extend(fade(from, to, secs, 1.0));
        let end = asked.len() - 1;
        asked.extend(rest(to, 4.0));
        let shown = play_fades(&rig(), asked.iter().copied());
        assert_led_gently(&shown);
        prop_assert!(shown[shown.len() - 1].miss < 1e-6);
        if shown[start + 1].turns {
            let head = Head::new(&rig(), &rig().units[0]).unwrap();
            let pose = |now: &Shown| (lanthorn_physics::units::Radians::from_deg(now.pan), lanthorn_physics::units::Radians::from_deg(now.tilt));
            let needed = head.travel_time(pose(&shown[start]), pose(&shown[shown.len() - 1])).secs();
            let there = shown.iter().rposition(|now| now.miss > 0.01).unwrap() - start;
            let there = there as f64 * TICK.secs();
            prop_assert!(there <= secs.max(needed) + 0.1, "there after {} s, needed {} s of {} s", there, needed, secs);
            if needed < secs - 0.1 {
                prop_assert!(shown[end].miss < 0.01, "{} m off at the end", shown[end].miss);
            }
        } else {
            // Followed: as without a word of the fade, and never at a stop while it is off.
            let without = play(&rig(), asked.iter().map(|(at, _)| *at));
            prop_assert!(shown == without);
            let waits = |now: &Shown| now.miss > 0.05 && now.pan.abs() > 269.9;
            prop_assert!(!shown[start..].iter().any(waits));
        }
    }

    #[test]
    fn fades_upon_fades_never_jump_and_come_to_their_end(winding in -265.0..265.0, fades_ in fades()) {
        let mut asked = wound(winding, 2.5);
        for (x, y, secs, first) in fades_ {
            let from = asked[asked.len() - 1].0;
            asked.extend(fade(from, Point::new(x, y, 0.0), secs, first));
        }
        let last = asked[asked.len() - 1].0;
        asked.extend(rest(last, 4.0));
        let shown = play_fades(&rig(), asked);
        assert_led_gently(&shown);
        prop_assert!(shown[shown.len() - 1].miss < 1e-6, "{:?}", shown[shown.len() - 1]);
    }
}
