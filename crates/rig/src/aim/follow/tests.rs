//! Lit paths from outside: what is sent, tick by tick, and by how much its beam misses.

mod fades;

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Instant, Point, Span};
use proptest::prelude::*;

use crate::{AimFade, Drive, Rig, RigState, testing};

const TICK: Span = Span::from_millis(25);

/// One tick of a lit head.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Shown {
    pan: f64,
    tilt: f64,
    /// How far the beam passes from the target, metres.
    miss: f64,
    /// Where it meets the floor, or 30 m out.
    spot: Point,
    /// It is said to turn over.
    turns: bool,
}

impl Shown {
    fn pan(&self) -> f64 {
        self.pan
    }

    fn tilt(&self) -> f64 {
        self.tilt
    }
}

/// A head with 180°/s and 360°/s² on both axes, 5 m up over the middle, pan 540°, tilt 270°.
fn rig() -> Rig {
    testing::rig_with_head(Radians::from_deg(540.0), Radians::from_deg(270.0))
}

/// Plays a path, a point for each tick, on the first light.
fn play(rig: &Rig, path: impl Iterator<Item = Point>) -> Vec<Shown> {
    play_fades(rig, path.map(|point| (point, None)))
}

/// The same with what the player says of fades.
fn play_fades(rig: &Rig, path: impl IntoIterator<Item = (Point, Option<AimFade>)>) -> Vec<Shown> {
    let mut drive = Drive::new(rig);
    let mut wished = RigState::dark(rig);
    wished.units[0].heads[0].level = 1.0;
    let shown = |(tick, (point, fade)): (i64, (Point, Option<AimFade>))| {
        wished.units[0].aim = Some(point);
        wished.units[0].fade = fade;
        drive.tick(&wished, Instant::ZERO + TICK * tick);
        let sent = &drive.sent().get().units[0];
        let head = drive.aimer().head(0).unwrap();
        let (pan, tilt) = head.from_sent(sent.pan, sent.tilt);
        let beam = head.direction(pan, tilt);
        let distance = head.pivot.distance(point).get();
        let off = beam.angle_to(head.pivot.towards(point).unwrap()).get();
        let miss = distance * if off < std::f64::consts::FRAC_PI_2 { libm::sin(off) } else { 1.0 };
        let down = (-beam.z()).max(1e-3);
        let spot = head.pivot.along(beam, Metres::new((head.pivot.z() / down).min(30.0)));
        Shown { pan: pan.deg(), tilt: tilt.deg(), miss, spot, turns: drive.aimer().turns_over(0) }
    };
    (0..).zip(path).map(shown).collect()
}

/// From `from` to `to` at a speed, after a second at rest and before another.
fn line(from: Point, to: Point, metres_a_second: f64) -> impl Iterator<Item = Point> {
    let secs = from.distance(to).get() / metres_a_second;
    let ticks = (secs / TICK.secs()) as i64 + 80;
    (0..ticks).map(move |tick| from.lerp(to, (((tick - 40) as f64 * TICK.secs()) / secs).clamp(0.0, 1.0)))
}

/// The worst miss while the target is within 1.5 m of the foot of the head: what the passage itself costs, without the
/// start of the path, where the motors have to get going first.
fn worst_near_foot(shown: &[Shown], path: &[Point]) -> f64 {
    let near = |at: &Point| libm::hypot(at.x(), at.y()) < 1.5;
    let misses = shown.iter().zip(path).filter(|(_, at)| near(at)).map(|(now, _)| now.miss);
    misses.fold(0.0, f64::max)
}

#[test]
fn a_straight_path_under_a_head_misses_by_no_more_than_its_offset() {
    let rig = rig();
    for speed in [0.3, 1.0, 1.5, 3.0] {
        for offset in [0.0, 0.001, 0.02, 0.05, 0.1, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.6, 0.9] {
            for turn in [0.0, 0.7, 1.6] {
                let (sin, cos) = libm::sincos(turn);
                let at = |x: f64| Point::new(x * cos - offset * sin, x * sin + offset * cos, 0.0);
                let path: Vec<Point> = line(at(-3.0), at(3.0), speed).collect();
                let worst = worst_near_foot(&play(&rig, path.iter().copied()), &path);
                assert!(worst <= offset + 0.01, "{turn}, {speed} m/s at {offset} m: misses by {worst} m");
                // 180°/s and 360°/s² can stay on a path at v/ω, and at v·√(0.65/a), both with a tenth in hand.
                if offset > speed * 0.36 {
                    assert!(worst < 0.01, "{turn}, {speed} m/s at {offset} m: {worst} m, it can be followed");
                }
            }
        }
    }
}

#[test]
fn right_under_a_head_tilt_goes_through_zero_and_pan_stands_still() {
    let path = line(Point::new(0.0, -3.0, 0.0), Point::new(0.0, 3.0, 0.0), 1.5);
    let shown = play(&rig(), path);
    let (first, last) = (shown[0], shown[shown.len() - 1]);
    assert!((first.tilt + last.tilt).abs() < 0.1 && first.tilt.abs() > 30.0, "{first:?} {last:?}");
    assert!(shown.iter().all(|now| (now.pan - first.pan).abs() < 1e-6));
    assert!(last.miss < 1e-6);
}

#[test]
fn a_lit_path_that_runs_into_a_stop_never_whips_round() {
    // Three rounds about the foot, 2 m out: pan has one and a half.
    let radius = 2.0;
    for (speed, way) in [(0.5, 1.0), (1.0, -1.0), (2.0, 1.0)] {
        let round = |tick: i64| {
            let (sin, cos) = libm::sincos(way * tick as f64 * TICK.secs() * speed / radius);
            Point::new(radius * sin, radius * cos, 0.0)
        };
        let ticks = (3.0 * std::f64::consts::TAU * radius / speed / TICK.secs()) as i64;
        let shown = play(&rig(), (0..ticks).map(round));
        let mut found_again = false;
        let mut lost = false;
        for pair in shown.windows(2) {
            let out = libm::hypot(pair[1].spot.x(), pair[1].spot.y());
            assert!(out < radius + 0.1, "{speed} m/s: the spot runs out to {out} m");
            assert!((pair[1].pan - pair[0].pan).abs() <= 180.0 * TICK.secs() + 1e-6);
            let moved = pair[0].spot.distance(pair[1].spot).get() / TICK.secs();
            assert!(moved < 4.0 * speed + 4.0, "{speed} m/s: the spot runs at {moved} m/s");
            assert!(pair[1].miss < radius + 0.1);
            found_again |= lost && pair[1].miss < 0.05;
            lost |= pair[1].miss > 1.0;
        }
        assert!(lost, "it does run into the stop");
        assert!(found_again, "{speed} m/s: and finds the way back");
    }
}

#[test]
fn a_beam_left_at_a_stop_goes_over_once_its_path_rests() {
    // Half a round more than pan has, then rest; and the same without rest a little before.
    let at = |part: f64| {
        let (sin, cos) = libm::sincos(part * std::f64::consts::TAU);
        Point::new(2.0 * sin, 2.0 * cos, 0.0)
    };
    let shown = play(&rig(), (0..700).map(|tick| at(0.95 * (f64::from(tick) / 500.0).min(1.0))));
    let at_stop = shown.iter().position(|now| now.miss > 0.5).unwrap();
    assert!(at_stop < 500, "it runs into the stop on the way");
    assert!((at_stop..500).all(|tick| shown[tick].pan.abs() > 269.9), "and stays there while the path moves");
    assert!(shown[699].miss < 1e-6, "and goes over in the end: {:?}", shown[699]);
}

#[test]
fn a_lit_head_goes_to_another_place_in_one_sweep() {
    for (from, to) in [((0.0, -3.0), (2.5, 1.0)), ((3.0, -4.0), (-1.0, -2.0)), ((0.5, 3.0), (0.4, -0.6))] {
        let [from, to] = [from, to].map(|(x, y)| Point::new(x, y, 0.0));
        let rig = rig();
        let shown = play(&rig, (0..200).map(|tick| if tick < 20 { from } else { to }));
        let (start, end) = (shown[19], shown[199]);
        assert!(end.miss < 1e-6);
        let arrived =
            |of: fn(&Shown) -> f64| shown.iter().rposition(|now| (of(now) - of(&end)).abs() > 1e-3).unwrap();
        let [pan, tilt] = [arrived(|now| now.pan), arrived(|now| now.tilt)];
        assert!(pan.abs_diff(tilt) <= 2, "{to:?}: pan at tick {pan}, tilt at {tilt}");
        let head = crate::aim::Head::new(&rig, &rig.units[0]).unwrap();
        let deg = |now: &Shown| (Radians::from_deg(now.pan), Radians::from_deg(now.tilt));
        let expected = head.travel_time(deg(&start), deg(&end)).secs();
        let took = (pan.max(tilt) - 19) as f64 * TICK.secs();
        assert!((took - expected).abs() < 0.1, "{to:?}: took {took} s, the slower axis {expected} s");
        for pair in shown.windows(2) {
            let goes_on = |of: fn(&Shown) -> f64| {
                (of(&pair[1]) - of(&pair[0])) * (of(&end) - of(&start)).signum() > -1e-9
            };
            assert!(goes_on(|now| now.pan) && goes_on(|now| now.tilt), "{to:?}: an axis turned back");
        }
    }
}

#[test]
fn a_dark_head_takes_the_quickest_way_and_of_equal_ones_that_away_from_the_stops() {
    // Pan and sign of tilt for places 3 m out, straight along these pans as tilt above zero counts them. From 180° it is
    // 70° to 250°, 110° back to 70° with tilt below zero; 88° to 268°, hard by the stop at 270°, and 92° back to 88°.
    let rows: [(f64, f64, f64); 8] = [
        (0.0, 0.0, 1.0),
        (180.0, 0.0, -1.0),
        (80.0, 80.0, 1.0),
        (160.0, 160.0, 1.0),
        (180.0, 180.0, 1.0),
        (250.0, 250.0, 1.0),
        (180.0, 180.0, 1.0),
        (268.0, 88.0, -1.0),
    ];
    let rig = rig();
    let mut drive = Drive::new(&rig);
    let mut wished = RigState::dark(&rig);
    for (tick, (line, pan, sign)) in (0..).zip(rows) {
        let (sin, cos) = libm::sincos(line.to_radians());
        wished.units[0].aim = Some(Point::new(-3.0 * sin, 3.0 * cos, 0.0));
        drive.tick(&wished, Instant::ZERO + TICK * tick);
        let sent = &drive.sent().get().units[0];
        let got = drive.aimer().head(0).unwrap().from_sent(sent.pan, sent.tilt);
        assert!((got.0.deg() - pan).abs() < 1e-6, "{line}: pan {}", got.0.deg());
        assert!(got.1.deg() * sign > 30.0, "{line}: tilt {}", got.1.deg());
    }
}

#[test]
fn a_timed_motor_is_led_by_its_own_time() {
    let mut rig = rig();
    let path = || (0..400).map(|tick| Point::new(if tick < 2 { -3.0 } else { 3.0 }, -2.0, 0.0));
    let ticks = |rig: &Rig| {
        let shown = play(rig, path());
        shown.iter().position(|now| (now.pan - shown[399].pan).abs() < 1e-6).unwrap() as f64
    };
    let stated = ticks(&rig);
    // 7 s by the stopwatch in place of 3.5 s: 540° / 6.5 s in place of 540° / 3 s.
    rig.units[0].found.pan_time = Some(lanthorn_physics::units::Seconds::new(7.0));
    let timed = ticks(&rig);
    assert!(timed > stated * 1.4, "{timed} ticks, {stated} before");
}

#[test]
fn what_is_to_be_sent_as_it_stands_is_passed_on() {
    let rig = rig();
    let mut drive = Drive::new(&rig);
    let mut wished = RigState::dark(&rig);
    wished.units[0].aim = Some(Point::new(1.0, 2.0, 0.0));
    wished.units[0].sent = Some((Radians::from_deg(123.0), Radians::from_deg(-45.0)));
    drive.tick(&wished, Instant::ZERO);
    let sent = &drive.sent().get().units[0];
    assert_eq!(Some((sent.pan, sent.tilt)), wished.units[0].sent);
}

/// A path that changes its mind: places, how long to take to each, and whether to jump there.
fn wandering() -> impl Strategy<Value = Vec<(f64, f64, i64, bool)>> {
    prop::collection::vec((-4.0..4.0, -4.0..4.0, 1i64..120, any::<bool>()), 2..8)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn motors_keep_their_limits_whatever_a_lit_head_is_asked(legs in wandering()) {
        let mut path = Vec::new();
        let mut from = Point::new(1.0, 1.0, 0.0);
        for (x, y, ticks, jump) in legs {
            let to = Point::new(x, y, 0.0);
            path.extend((1..=ticks).map(|tick| if jump { to } else { from.lerp(to, tick as f64 / ticks as f64) }));
            from = to;
        }
        let shown = play(&rig(), path.into_iter());
        for axis in [|now: &Shown| now.pan, |now: &Shown| now.tilt] {
            let speeds: Vec<f64> =
                shown.windows(2).map(|pair| (axis(&pair[1]) - axis(&pair[0])) / TICK.secs()).collect();
            prop_assert!(speeds.iter().all(|speed| speed.abs() <= 180.0 + 1e-6));
            // The first tick is dark: what it sends counts as rest.
            let from_rest = std::iter::once(0.0).chain(speeds.iter().copied());
            for (before, after) in from_rest.zip(&speeds) {
                prop_assert!((after - before).abs() <= 360.0 * TICK.secs() + 1e-6, "{} {}", before, after);
            }
        }
    }

    #[test]
    fn other_motors_miss_by_no_more_than_the_offset_either(
        pan_secs in 2.0..8.0, rise in 0.1..0.9, speed in 0.2..1.5, offset in 0.0..1.0, turn in 0.0..6.3,
    ) {
        let mut rig = rig();
        let profile = std::sync::Arc::make_mut(&mut rig.units[0].profile);
        let movement = profile.movement.as_mut().unwrap();
        movement.pan_time = lanthorn_fixture::Fact::stated(lanthorn_physics::units::Seconds::new(pan_secs));
        movement.pan_acceleration = lanthorn_fixture::Fact::stated(lanthorn_physics::units::Seconds::new(rise));
        let (sin, cos) = libm::sincos(turn);
        let at = |x: f64| Point::new(x * cos - offset * sin, x * sin + offset * cos, 0.0);
        let path: Vec<Point> = line(at(-4.0), at(4.0), speed).collect();
        let worst = worst_near_foot(&play(&rig, path.iter().copied()), &path);
        prop_assert!(worst <= offset * 1.02 + 0.02, "misses by {}", worst);
    }
}
