use lanthorn_physics::units::{Hertz, Radians};
use lanthorn_physics::{Instant, Span};

use super::Limiter;
use crate::{RigPose, testing};

const TICK: Span = Span::from_millis(25);

fn at(tick: i64) -> Instant {
    Instant::ZERO + TICK * tick
}

#[test]
fn a_lit_head_is_led_no_faster_than_its_motor() {
    let rig = testing::rig_with_head(Radians::from_deg(540.0), Radians::from_deg(270.0));
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    wanted.units[0].heads[0].level = 1.0;
    limiter.limit(&wanted, at(0));
    wanted.units[0].pan = Radians::from_deg(180.0);
    let head = crate::aim::Head::new(&rig, &rig.units[0]).unwrap();
    let mut last = 0.0;
    let mut ticks = 0;
    for tick in 1..400 {
        let pan = limiter.limit(&wanted, at(tick)).get().units[0].pan.get();
        assert!((pan - last) / TICK.secs() <= head.pan_limits.speed * 1.000_001, "tick {tick}");
        last = pan;
        ticks = tick;
        if (pan - Radians::HALF.get()).abs() < 1e-9 {
            break;
        }
    }
    let expected = head.pan_limits.travel_time(Radians::HALF).secs();
    let took = (TICK * ticks).secs();
    assert!((took - expected).abs() <= TICK.secs() + 1e-9, "took {took} s, by the motor {expected} s");
}

#[test]
fn a_moving_head_that_is_sent_elsewhere_runs_past_by_no_more_than_it_must() {
    // Pan runs at 90°/s and is then wanted right where it is, while tilt has a second and more to go.
    let rig = testing::rig_with_head(Radians::from_deg(540.0), Radians::from_deg(270.0));
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    wanted.units[0].heads[0].level = 1.0;
    for tick in 0..40 {
        wanted.units[0].pan = Radians::from_deg(90.0 * (TICK * tick).secs());
        limiter.limit(&wanted, at(tick));
    }
    let there = limiter.sent().get().units[0].pan + Radians::from_deg(1.0);
    (wanted.units[0].pan, wanted.units[0].tilt) = (there, Radians::from_deg(100.0));
    let mut furthest = there;
    for tick in 40..160 {
        furthest = furthest.max(limiter.limit(&wanted, at(tick)).get().units[0].pan);
    }
    // Braking from 90°/s at 360°/s² takes 11.25°.
    assert!((furthest - there).deg() < 11.3, "{}° past", (furthest - there).deg());
    let last = &limiter.sent().get().units[0];
    assert!((last.pan - there).abs().deg() < 1e-6 && (last.tilt.deg() - 100.0).abs() < 1e-6, "{last:?}");
}

#[test]
fn a_path_that_ends_at_a_stop_is_braked_before_it() {
    let rig = testing::rig_with_head(Radians::from_deg(540.0), Radians::from_deg(270.0));
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    wanted.units[0].heads[0].level = 1.0;
    let (mut last, mut last_speed) = (0.0, 0.0);
    for tick in 0..120 {
        wanted.units[0].pan = Radians::from_deg((150.0 * (TICK * tick).secs()).min(270.0));
        let pan = limiter.limit(&wanted, at(tick)).get().units[0].pan.deg();
        let speed = (pan - last) / TICK.secs();
        assert!(pan <= 270.0 + 1e-6, "tick {tick}: {pan}°");
        assert!(
            (speed - last_speed).abs() <= 360.0 * TICK.secs() + 1e-3,
            "tick {tick}: {last_speed} {speed}"
        );
        (last, last_speed) = (pan, speed);
    }
    assert!((last - 270.0).abs() < 1e-6, "and it comes to rest there");
}

#[test]
fn a_dark_head_may_be_sent_anywhere_at_once() {
    let rig = testing::rig_with_head(Radians::from_deg(540.0), Radians::from_deg(270.0));
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    wanted.units[0].pan = Radians::from_deg(180.0);
    assert_eq!(limiter.limit(&wanted, at(0)).get().units[0].pan, wanted.units[0].pan);
}

#[test]
fn strobes_share_the_flash_limit() {
    // Rates of lights that do not keep time together add up.
    for (lights, rates) in [
        (1, vec![3.0]),
        (2, vec![1.0, 1.0]),
        (3, vec![1.0, 1.0, 1.0]),
        (4, vec![1.0, 1.0, 1.0, 0.0]), // the fourth stays steady
    ] {
        let rig = testing::rig_of(lights);
        let mut limiter = Limiter::new(&rig);
        let mut wanted = RigPose::dark(&rig);
        for unit in &mut wanted.units {
            unit.heads[0].level = 1.0;
            unit.heads[0].strobe = Some(Hertz::new(12.0));
        }
        let sent = limiter.limit(&wanted, at(0)).get();
        let got: Vec<f64> =
            sent.units.iter().map(|unit| unit.heads[0].strobe.map_or(0.0, Hertz::get)).collect();
        assert_eq!(got, rates, "{lights} lights");
        assert!(sent.units.iter().all(|unit| unit.heads[0].level > 0.99), "the light itself stays");
    }
}

#[test]
fn a_head_flashes_no_more_often_than_the_limit() {
    let rig = testing::rig_of(1);
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    let mut levels = Vec::new();
    for tick in 0..400 {
        // Ten flashes a second are asked for.
        wanted.units[0].heads[0].level = if tick % 4 < 2 { 1.0 } else { 0.0 };
        levels.push(limiter.limit(&wanted, at(tick)).get().units[0].heads[0].level);
    }
    let rises: Vec<usize> = (1..levels.len()).filter(|&i| levels[i] - levels[i - 1] >= 0.1).collect();
    for window in rises.windows(4) {
        assert!(window[3] - window[0] >= 40, "four rises within a second: {window:?}");
    }
    assert!(rises.len() > 20, "it does flash");
}

#[test]
fn slow_fades_and_blackouts_pass_untouched() {
    let rig = testing::rig_of(1);
    let mut limiter = Limiter::new(&rig);
    let mut wanted = RigPose::dark(&rig);
    for tick in 0..200 {
        let level = match tick {
            0..80 => f64::from(tick) / 80.0,
            80..100 => 1.0,
            100..120 => 0.0,
            _ => 0.7,
        };
        wanted.units[0].heads[0].level = level;
        let sent = limiter.limit(&wanted, at(i64::from(tick))).get().units[0].heads[0].level;
        assert!((sent - level).abs() < 1e-12, "tick {tick}: {sent} for {level}");
    }
}
