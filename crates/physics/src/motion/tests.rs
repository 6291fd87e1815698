use super::*;
use proptest::prelude::*;

fn limits(speed: f64, acceleration: f64) -> AxisLimits {
    AxisLimits { speed: speed.to_radians(), acceleration: acceleration.to_radians() }
}

#[test]
fn travel_times() {
    // Trapezoid with 180°/s and 360°/s².
    for (degrees, secs) in [
        (0.0, 0.0),
        (20.0, 0.471_40),
        (45.0, std::f64::consts::FRAC_1_SQRT_2),
        (90.0, 1.0),
        (180.0, 1.5),
        (540.0, 3.5),
        (-540.0, 3.5),
    ] {
        let got = limits(180.0, 360.0).travel_time(Radians::from_deg(degrees)).secs();
        assert!((got - secs).abs() < 5e-5, "{degrees}°: {got}");
    }
    assert_eq!(limits(0.0, 1.0).travel_time(Radians::QUARTER).micros(), i64::MAX);
}

#[test]
fn a_slowed_motor_takes_that_much_longer_on_every_way() {
    for degrees in [5.0, 45.0, 90.0, 540.0] {
        let angle = Radians::from_deg(degrees);
        let own = limits(180.0, 360.0);
        for factor in [1.0, 1.7, 12.0] {
            let slowed = own.slowed(factor);
            let (got, want) = (slowed.travel_secs(angle).unwrap(), own.travel_secs(angle).unwrap() * factor);
            assert!((got - want).abs() < 1e-9, "{degrees}° {factor}: {got} {want}");
            assert!((slowed.peak_speed(angle) - own.peak_speed(angle) / factor).abs() < 1e-9);
        }
        assert_eq!(own.slowed(0.5), own, "never quicker");
    }
    // By hand: half of 45° at 360°/s² ends at √(45 · 360) = 127.28°/s.
    let peak = limits(180.0, 360.0).peak_speed(Radians::from_deg(45.0));
    assert!((peak.to_degrees() - 127.279_220_614).abs() < 1e-6);
}

#[test]
fn a_part_of_the_way_is_where_the_motor_is_by_then() {
    // By another way: the axis itself, stepped for that part of the time of the whole move.
    for degrees in [5.0, 45.0, 90.0, 91.0, -540.0] {
        let angle = Radians::from_deg(degrees);
        for factor in [1.0, 3.0] {
            let slowed = limits(180.0, 360.0).slowed(factor);
            let whole = slowed.travel_secs(angle).unwrap();
            for part in [0.0, 0.01, 0.2, 0.5, 0.77, 0.999, 1.0] {
                let mut axis = Axis::at_rest(Radians::ZERO);
                axis.step(angle, slowed, Span::from_secs(whole * part));
                let got = limits(180.0, 360.0).part_of_way(angle, part);
                let want = axis.position.get() / angle.get();
                assert!((got - want).abs() < 1e-5, "{degrees}° {factor} {part}: {got} {want}");
            }
        }
    }
    for dead in [
        limits(180.0, 360.0).part_of_way(Radians::ZERO, 0.25),
        limits(0.0, 0.0).part_of_way(Radians::HALF, 0.25),
    ] {
        assert!((dead - 0.125).abs() < 1e-12, "{dead}");
    }
}

#[test]
fn limits_from_what_a_profile_states() {
    // 540° in 3.5 s with 0.5 s to full speed is 180°/s and 360°/s².
    let got =
        AxisLimits::from_travel(Radians::from_deg(540.0), Seconds::new(3.5), Seconds::new(0.5)).unwrap();
    assert!(
        (got.speed.to_degrees() - 180.0).abs() < 1e-9 && (got.acceleration.to_degrees() - 360.0).abs() < 1e-9
    );
    for (travel, full, rise) in [(540.0, 3.0, 0.4), (270.0, 2.0, 0.0), (270.0, 2.0, 1.0), (270.0, 2.0, 5.0)] {
        let travel = Radians::from_deg(travel);
        let got = AxisLimits::from_travel(travel, Seconds::new(full), Seconds::new(rise)).unwrap();
        assert!((got.travel_time(travel).secs() - full).abs() < 1e-5, "{full} {rise}");
    }
    for (travel, full, rise) in [(0.0, 3.0, 0.4), (540.0, 0.0, 0.0), (540.0, 3.0, -0.1)] {
        assert_eq!(
            AxisLimits::from_travel(Radians::new(travel), Seconds::new(full), Seconds::new(rise)),
            None
        );
    }
}

#[test]
fn rounding_at_the_end_of_braking_does_not_stall_the_axis() {
    // Found by random trial: braking missed the target by the last digit and the axis waited out a whole step.
    let limits = AxisLimits { speed: 3.524074915820404, acceleration: 23.394311022132012 };
    let (mut axis, target) =
        (Axis::at_rest(Radians::new(2.1361514976103884)), Radians::new(0.05436585393668381));
    for _ in 0..14 {
        axis.step(target, limits, Span::from_micros(53_637));
    }
    assert!(axis.has_arrived(target), "{axis:?}");
}

#[test]
fn bad_numbers_move_nothing() {
    let start = Axis { position: Radians::new(1.0), velocity: 0.5 };
    for (limits, millis, speed) in [
        (limits(180.0, 360.0), 0, 0.0),
        (limits(180.0, 360.0), -5, 0.0),
        (limits(0.0, 360.0), 25, 0.0),
        (limits(180.0, f64::NAN), 25, 0.0),
        (limits(180.0, 360.0), 25, f64::NAN),
    ] {
        let mut axis = start;
        axis.follow(Radians::QUARTER, speed, limits, Span::from_millis(millis));
        assert_eq!(axis, start);
    }
}

#[test]
fn a_moving_target_is_followed_without_lag() {
    // A figure: ±30° in 4 s, 47°/s at most, sampled forty times a second.
    let limits = limits(180.0, 360.0);
    let dt = Span::from_millis(25);
    let at = |secs: f64| 30.0_f64.to_radians() * libm::sin(secs * std::f64::consts::FRAC_PI_2);
    let (mut following, mut chasing) = (Axis::default(), Axis::default());
    let (mut worst_following, mut worst_chasing) = (0.0_f64, 0.0_f64);
    for frame in 1..400 {
        let (before, now) = (at(f64::from(frame - 1) * 0.025), at(f64::from(frame) * 0.025));
        let target = Radians::new(now);
        following.follow(target, (now - before) / 0.025, limits, dt);
        chasing.step(target, limits, dt);
        if frame > 40 {
            worst_following = worst_following.max((following.position - target).get().abs());
            worst_chasing = worst_chasing.max((chasing.position - target).get().abs());
        }
    }
    assert!(worst_following.to_degrees() < 0.1, "{}°", worst_following.to_degrees());
    // Chasing without knowing the speed lags by v²/2a: 3.1°.
    assert!((1.0..4.0).contains(&worst_chasing.to_degrees()), "{}°", worst_chasing.to_degrees());
}

#[test]
fn a_target_at_full_speed_is_not_caught_but_not_lost_either() {
    let limits = limits(90.0, 360.0);
    let mut axis = Axis::default();
    let dt = Span::from_millis(25);
    let mut gap = 0.0;
    for frame in 1..=200 {
        let target = Radians::from_deg(90.0 * 0.025 * f64::from(frame));
        axis.follow(target, 500.0, limits, dt);
        gap = (target - axis.position).deg();
    }
    // It started from rest: v²/2a = 11.25° behind, and stays so.
    assert!((gap - 11.25).abs() < 0.5, "{gap}");
    assert!(axis.velocity <= limits.speed * (1.0 + 1e-12));
}

prop_compose! {
    fn any_limits()(speed in 20.0..400.0, acceleration in 50.0..2000.0) -> AxisLimits { limits(speed, acceleration) }
}

proptest! {
    #[test]
    fn a_move_from_rest_takes_its_time_and_never_overshoots(
        limits in any_limits(), from in -5.0..5.0, to in -5.0..5.0, micros in 500i64..60_000,
    ) {
        let (mut axis, target, dt) = (Axis::at_rest(Radians::new(from)), Radians::new(to), Span::from_micros(micros));
        let expected = limits.travel_time(Radians::new(to - from));
        let direction = f64::signum(to - from);
        let mut taken = Span::ZERO;
        while !axis.has_arrived(target) {
            let before = axis;
            axis.step(target, limits, dt);
            taken = taken + dt;
            prop_assert!((axis.position - before.position).get() * direction >= -1e-12, "backwards: {:?}", axis);
            prop_assert!((target - axis.position).get() * direction >= -1e-12, "overshot: {:?}", axis);
            prop_assert!(taken <= expected + dt + Span::from_micros(2), "late: {:?} {:?}", taken, expected);
        }
        prop_assert!(taken + dt > expected, "early: {:?} {:?}", taken, expected);
    }

    #[test]
    fn limits_hold_whatever_is_asked(
        limits in any_limits(), targets in prop::collection::vec(-5.0..5.0, 1..40), micros in 500i64..60_000,
        hold in 1usize..20, speed in -3.0..3.0,
    ) {
        let dt = Span::from_micros(micros);
        let mut axis = Axis::default();
        for target in targets {
            for _ in 0..hold {
                let before = axis;
                axis.follow(Radians::new(target), speed, limits, dt);
                let change = (axis.velocity - before.velocity).abs();
                let moved = (axis.position - before.position).get().abs();
                prop_assert!(axis.velocity.abs() <= limits.speed * (1.0 + 1e-9), "speed {:?}", axis);
                prop_assert!(change <= limits.acceleration * dt.secs() * (1.0 + 1e-9) + 1e-9, "acceleration {}", change);
                prop_assert!(moved <= limits.speed * dt.secs() * (1.0 + 1e-9) + 1e-9, "jump {}", moved);
            }
        }
    }

    #[test]
    fn one_long_step_ends_where_many_short_ones_end(
        limits in any_limits(), position in -5.0..5.0, part in -1.0..1.0, to in -5.0..5.0, parts in 1i64..50,
    ) {
        let start = Axis { position: Radians::new(position), velocity: part * limits.speed };
        let target = Radians::new(to);
        let (mut once, mut often) = (start, start);
        once.step(target, limits, Span::from_micros(10_000 * parts));
        for _ in 0..parts {
            often.step(target, limits, Span::from_micros(10_000));
        }
        prop_assert!((once.position - often.position).get().abs() < 1e-8, "{:?} {:?}", once, often);
        prop_assert!((once.velocity - often.velocity).abs() < 1e-5, "{:?} {:?}", once, often);
    }

    #[test]
    fn always_arrives_from_any_speed(
        limits in any_limits(), position in -5.0..5.0, part in -3.0..3.0, to in -5.0..5.0,
    ) {
        let mut axis = Axis { position: Radians::new(position), velocity: part * limits.speed };
        for _ in 0..4000 {
            axis.step(Radians::new(to), limits, Span::from_millis(25));
        }
        prop_assert!(axis.has_arrived(Radians::new(to)), "{:?}", axis);
    }
}
