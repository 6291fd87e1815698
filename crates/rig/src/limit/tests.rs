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

/// What is sent for so many ticks of what is wanted at each, and the limiter afterwards.
fn play(rig: &crate::Rig, ticks: i64, mut want: impl FnMut(i64, &mut RigPose)) -> (Vec<RigPose>, Limiter) {
    let mut limiter = Limiter::new(rig);
    let mut wanted = RigPose::dark(rig);
    let sent = (0..ticks).map(|tick| {
        want(tick, &mut wanted);
        limiter.limit(&wanted, at(tick)).get().clone()
    });
    (sent.collect(), limiter)
}

fn sum(pose: &RigPose) -> f64 {
    pose.units.iter().map(|unit| unit.heads[0].level).sum::<f64>() / pose.units.len() as f64
}

/// Ticks in which the light has risen by a tenth of all after it fell by as much.
fn rises(sent: &[RigPose]) -> Vec<usize> {
    rises_of(sent.iter().map(sum))
}

fn rises_of(light: impl Iterator<Item = f64>) -> Vec<usize> {
    let (mut ticks, mut risen, mut extreme) = (Vec::new(), false, 0.0_f64);
    for (tick, light) in light.enumerate() {
        if risen {
            extreme = extreme.max(light);
            if light <= extreme - 0.1 {
                (risen, extreme) = (false, light);
            }
        } else {
            extreme = extreme.min(light);
            if light >= extreme + 0.1 {
                (risen, extreme) = (true, light);
                ticks.push(tick);
            }
        }
    }
    ticks
}

#[test]
fn strobes_share_the_flash_limit() {
    // Rates of lights that do not keep time together add up, and one flash is kept for everything else.
    for (lights, rates) in [
        (1, vec![2.0]),
        (2, vec![1.0, 1.0]),
        (3, vec![1.0, 1.0, 0.0]), // the third stays steady
    ] {
        let rig = testing::strobes(lights);
        let (sent, limiter) = play(&rig, 80, |_, wanted| {
            for unit in &mut wanted.units {
                unit.heads[0].level = 1.0;
                unit.heads[0].strobe = Some(Hertz::new(12.0));
            }
        });
        let rate = |unit: &lanthorn_fixture::UnitState| unit.heads[0].strobe.map_or(0.0, Hertz::get);
        let got: Vec<f64> = sent[79].units.iter().map(rate).collect();
        assert_eq!(got, rates, "{lights} lights");
        assert!(sent.iter().all(|pose| sum(pose) > 0.99), "the light itself stays");
        assert_eq!(limiter.held().strobes, lights, "each is told to be slower than wanted");
    }
}

#[test]
fn what_strobes_take_pulses_have_not() {
    let rig = testing::strobes(2);
    // The first strobes all the time, the second one goes on and off twice a second.
    let (sent, _) = play(&rig, 800, |tick, wanted| {
        wanted.units[0].heads[0].level = 0.5;
        wanted.units[0].heads[0].strobe = Some(Hertz::new(3.0));
        wanted.units[1].heads[0].level = if tick % 20 < 10 { 1.0 } else { 0.0 };
    });
    let rises = rises(&sent);
    assert!(rises.len() > 10, "it pulses: {rises:?}");
    for tick in 40..sent.len() {
        let strobe = (tick - 39..=tick)
            .filter_map(|tick| sent[tick].units[0].heads[0].strobe)
            .map(|rate| rate.get().ceil() as usize)
            .max()
            .unwrap_or(0);
        let pulses = rises.iter().filter(|&&rise| rise + 40 > tick && rise <= tick).count();
        assert!(strobe + pulses <= 3, "tick {tick}: {strobe} and {pulses}");
    }
}

#[test]
fn lights_that_take_turns_at_flashing_are_counted_together() {
    let rig = testing::rig_of(4);
    // Each by itself flashes twice a second, all together eight times.
    let (sent, limiter) = play(&rig, 400, |tick, wanted| {
        for (index, unit) in wanted.units.iter_mut().enumerate() {
            unit.heads[0].level = if tick % 20 == index as i64 * 5 { 1.0 } else { 0.0 };
        }
    });
    let rises = rises(&sent);
    for window in rises.windows(4) {
        assert!(window[3] - window[0] >= 40, "four within a second: {window:?}");
    }
    assert!(rises.len() > 20, "it does flash: {}", rises.len());
    let held = limiter.held();
    assert!(held.acts && held.flashes > 30, "{held:?}");
    let tally = limiter.tally();
    assert!(tally.asked >= 79 && tally.sent as usize == rises.len(), "{tally:?}");
}

#[test]
fn a_look_that_stays_arrives_within_a_second_and_a_blackout_at_once() {
    let rig = testing::rig_of(3);
    let quick = |tick: i64| if tick % 4 < 2 { 1.0 } else { 0.0 };
    for stays_from in 100..120 {
        let (sent, _) = play(&rig, 200, |tick, wanted| {
            let level = if tick < stays_from { quick(tick) } else { 0.8 };
            wanted.units.iter_mut().for_each(|unit| unit.heads[0].level = level);
        });
        let arrived = sent[stays_from as usize + 40..].iter().all(|pose| (sum(pose) - 0.8).abs() < 1e-9);
        assert!(arrived, "from tick {stays_from}");
        let (sent, _) = play(&rig, 200, |tick, wanted| {
            let level = if tick < stays_from { quick(tick) } else { 0.0 };
            wanted.units.iter_mut().for_each(|unit| unit.heads[0].level = level);
        });
        assert!(sent[stays_from as usize..].iter().all(|pose| sum(pose) <= 0.0), "dark from {stays_from}");
    }
}

#[test]
fn while_it_is_held_the_light_stays_where_it_was() {
    let rig = testing::rig_of(2);
    // The two lights take turns with a dark tick in between: eight rises a second.
    let (sent, _) = play(&rig, 400, |tick, wanted| {
        let (turn, on) = (tick / 5 % 2, tick % 5 != 0);
        wanted.units[0].heads[0].level = f64::from(u8::from(on && turn == 0));
        wanted.units[1].heads[0].level = f64::from(u8::from(on && turn == 1));
    });
    let steps: Vec<f64> = sent.windows(2).map(|pair| sum(&pair[1]) - sum(&pair[0])).collect();
    assert!(steps.iter().filter(|step| **step >= 0.1).count() <= 31);
    assert!(sent.iter().skip(40).any(|pose| sum(pose) > 0.4), "never dark for good");
}

#[test]
fn the_gap_that_slow_lamps_leave_counts_too() {
    // A strobe's quick lamp and two filaments of together as much light take turns: what is sent stays half of all.
    let mut rig = testing::rig_of(3);
    rig.units[0].profile = testing::strobes(1).units[0].profile.clone();
    let turns = |tick: i64, wanted: &mut RigPose| {
        for (index, unit) in wanted.units.iter_mut().enumerate() {
            unit.heads[0].level = f64::from(u8::from((tick % 10 < 5) == (index == 0)));
        }
    };
    // As diodes of a time constant of 12 ms and filaments of 150 ms follow it.
    let seen = |poses: &[RigPose]| {
        let (quick, slow) = (libm::exp(-TICK.secs() / 0.012), libm::exp(-TICK.secs() / 0.15));
        let (mut diodes, mut filaments) = (0.0, 0.0);
        let light = poses.iter().map(move |pose| {
            let level = |unit: usize| pose.units[unit].heads[0].level;
            diodes = level(0) + (diodes - level(0)) * quick;
            let wanted = (level(1) + level(2)) / 2.0;
            filaments = wanted + (filaments - wanted) * slow;
            (diodes + filaments) / 2.0
        });
        rises_of(light)
    };
    let wanted: Vec<RigPose> = (0..400)
        .map(|tick| {
            let mut pose = RigPose::dark(&rig);
            turns(tick, &mut pose);
            pose
        })
        .collect();
    assert!(seen(&wanted).len() > 38, "four times a second: {:?}", seen(&wanted));
    let (sent, _) = play(&rig, 400, turns);
    let seen = seen(&sent);
    assert!(seen.len() > 20, "it does flash: {seen:?}");
    for window in seen.windows(4) {
        assert!(window[3] - window[0] >= 40, "four within a second: {window:?}");
    }
}

#[test]
fn red_that_comes_and_goes_is_held_one_class_stricter() {
    let red = lanthorn_physics::colour::Chromaticity::new(0.64, 0.33);
    let mut reds = super::reds::Reds::default();
    let [red, white] = [red, lanthorn_physics::colour::Chromaticity::D65].map(|colour| {
        let xyz = lanthorn_physics::colour::Xyz::from_chromaticity(colour, 0.5);
        super::reds::View([xyz.x, xyz.y, xyz.z])
    });
    assert!(red.is_red() && !white.is_red());
    for tick in 0..8 {
        reds.observe(if tick % 2 == 0 { white } else { red }, at(tick * 10));
    }
    assert_eq!(reds.count, 4, "as light as before, yet it flashes");
    // From red to orange nearby is no flash, and back from there none either; over pink, far off, it is.
    let [orange, pink] = [[0.60, 0.37], [0.40, 0.32]].map(|[x, y]| {
        let xyz = lanthorn_physics::colour::Xyz::from_chromaticity(
            lanthorn_physics::colour::Chromaticity::new(x, y),
            0.5,
        );
        super::reds::View([xyz.x, xyz.y, xyz.z])
    });
    for (between, count) in [(orange, 4), (pink, 5), (orange, 5)] {
        reds.observe(orange, at(100));
        reds.observe(between, at(101));
        reds.observe(red, at(102));
        assert_eq!(reds.count, count);
    }
    for (limit, red) in [(3.0, 2.0), (2.0, 2.0), (1.0, 1.0), (3.5, 3.0), (4.0, 3.0), (6.0, 4.0)] {
        assert!((super::flash::red_limit(limit) - red).abs() < 1e-12, "{limit}");
    }
}

#[test]
fn fast_flashing_that_was_agreed_upon_comes_in_bursts() {
    let mut rig = testing::rig_of(1);
    let quick = |tick: i64, wanted: &mut RigPose| {
        wanted.units[0].heads[0].level = if tick % 4 < 2 { 1.0 } else { 0.0 };
    };
    rig.limits.flash = Hertz::new(6.0);
    // Without a reason no more than four.
    let (sent, _) = play(&rig, 4000, quick);
    assert!(rises(&sent).windows(5).all(|five| five[4] - five[0] >= 40));
    rig.limits.flash_reason = Some("the hall's warden, by letter".to_owned());
    let (sent, _) = play(&rig, 8000, quick);
    let rises = rises(&sent);
    assert!(rises.windows(7).all(|seven| seven[6] - seven[0] >= 40), "six a second at most");
    // Ticks that lie in a second with more than three.
    let mut fast = vec![false; sent.len()];
    for four in rises.windows(4).filter(|four| four[3] - four[0] < 40) {
        fast[four[0]..=four[3]].fill(true);
    }
    assert!(fast.iter().filter(|fast| **fast).count() > 1000, "it does flash fast");
    let runs = fast.split(|fast| !fast).map(<[bool]>::len);
    assert!(runs.max() <= Some(5 * 40), "five seconds at most");
    for minute in fast.windows(60 * 40) {
        assert!(minute.iter().filter(|fast| **fast).count() <= 30 * 40, "half a minute in a minute");
    }
}

#[test]
fn another_limiter_goes_on_where_the_old_one_was() {
    let rig = testing::rig_of(3);
    let mut other = testing::rig_of(4);
    other.units.remove(1);
    let quick = |tick: i64| if tick % 4 < 2 { 1.0 } else { 0.0 };
    let (_, old) = play(&rig, 62, |tick, wanted| {
        wanted.units.iter_mut().for_each(|unit| unit.heads[0].level = quick(tick));
    });
    let mut new = Limiter::new(&other);
    new.take_over(&old, &[Some(0), Some(2), None]);
    assert_eq!(new.sent().get().units[1], old.sent().get().units[2], "light 3");
    assert!(new.sent().get().units[2].heads[0].level <= 0.0, "light 4 is new");
    // Three flashes were sent within the last second, so the next has to wait as it would have.
    let mut wanted = RigPose::dark(&other);
    wanted.units.iter_mut().for_each(|unit| unit.heads[0].level = 1.0);
    let waits = (62..).find(|&tick| sum(new.limit(&wanted, at(tick)).get()) > 0.9).unwrap();
    let mut old = old;
    let mut wanted = RigPose::dark(&rig);
    wanted.units.iter_mut().for_each(|unit| unit.heads[0].level = 1.0);
    let would = (62..).find(|&tick| sum(old.limit(&wanted, at(tick)).get()) > 0.9).unwrap();
    assert!(waits > 64 && waits == would, "{waits} for {would}");
}

#[test]
fn no_change_of_the_rig_lets_more_flashes_through() {
    // Ten flashes a second are asked for while one rig after another takes the place of the last.
    for every in [1, 3, 7, 40] {
        let rigs = [testing::rig_of(3), testing::rig_of(5)];
        let mut limiter = Limiter::new(&rigs[0]);
        let mut sent = Vec::new();
        for tick in 0..400 {
            let turn = usize::from(tick / every % 2 == 1);
            if tick > 0 && tick % every == 0 {
                let mut new = Limiter::new(&rigs[turn]);
                new.take_over(&limiter, &[Some(0), Some(1), Some(2), None, None][..rigs[turn].units.len()]);
                limiter = new;
            }
            let mut wanted = RigPose::dark(&rigs[turn]);
            // The same three lights in both.
            for unit in &mut wanted.units[..3] {
                unit.heads[0].level = if tick % 4 < 2 { 1.0 } else { 0.0 };
            }
            let pose = limiter.limit(&wanted, at(tick as i64)).get();
            sent.push(pose.units[..3].iter().map(|unit| unit.heads[0].level).sum::<f64>() / 3.0);
        }
        let rises = rises_of(sent.into_iter());
        for window in rises.windows(4) {
            assert!(window[3] - window[0] >= 40, "every {every}: four within a second: {window:?}");
        }
        assert!(rises.len() > 10, "it does flash: {rises:?}");
    }
}

#[test]
fn a_head_flashes_no_more_often_than_the_limit() {
    let rig = testing::rig_of(1);
    // Ten flashes a second are asked for.
    let (sent, _) = play(&rig, 400, |tick, wanted| {
        wanted.units[0].heads[0].level = if tick % 4 < 2 { 1.0 } else { 0.0 };
    });
    let rises = rises(&sent);
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
