//! Another show takes the place of the one that runs: nothing lit jumps.

use std::sync::Arc;

use lanthorn_physics::{Instant, Span};
use lanthorn_rig::RigState;
use lanthorn_show::player::{CHANGE, Resume};
use lanthorn_show::{Command, Kind, Player, Rename, Show, StepTime, Succession};
use proptest::prelude::*;

use crate::common::*;
use crate::running;

/// The bench goes on with another show.
fn swap(bench: &mut Bench, (old, new): (&Show, &Show), renames: &[Rename], now: Instant) {
    let rig = Arc::new(rig());
    let succession = Succession::new((old, &rig), (new, &rig), renames);
    let mut player = Player::new(Arc::new(new.clone()), rig);
    player.take_over(&mut bench.player, &succession, now);
    bench.player = player;
}

fn at(secs: f64) -> Instant {
    Instant::from_secs(secs)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Whatever is going on, the same show again changes nothing at all.
    #[test]
    fn the_same_show_again_changes_nothing(
        commands in prop::collection::vec((0_i64..900_000, running::command(), any::<bool>()), 1..40),
    ) {
        let show = running::show();
        let (mut swaps, mut stays) = (Bench::new(show.clone()), Bench::new(show.clone()));
        let mut now = Instant::ZERO;
        for (wait, command, again) in commands {
            for bench in [&mut swaps, &mut stays] {
                bench.player.apply(&command, now);
            }
            let half = now + Span::from_micros(wait / 2);
            if again {
                swap(&mut swaps, (&show, &show), &[], half);
            }
            for moment in [half, now + Span::from_micros(wait)] {
                for bench in [&mut swaps, &mut stays] {
                    bench.player.frame(moment, &mut bench.out);
                }
                prop_assert_eq!(&swaps.out, &stays.out);
                prop_assert_eq!(swaps.player.status(moment), stays.player.status(moment));
            }
            now = now + Span::from_micros(wait);
        }
    }

    /// Whatever is edited, and whatever is on: at the moment of the swap every light shows what it showed.
    #[test]
    fn no_edit_makes_a_light_jump(
        commands in prop::collection::vec((0_i64..900_000, running::command()), 1..20),
        edits in prop::collection::vec((0_usize..8, 0_usize..3, 0.0..1.0_f64), 1..6),
    ) {
        let show = running::show();
        let mut bench = Bench::new(show.clone());
        let mut now = Instant::ZERO;
        for (wait, command) in commands {
            bench.player.apply(&command, now);
            now = now + Span::from_micros(wait);
            bench.player.frame(now, &mut bench.out);
        }
        let mut next = show.clone();
        // What goes at once because its own fade takes no time may go at once.
        next.chases.iter_mut().for_each(|chase| chase.fade = chase.fade.max(secs(0.5)));
        let mut calm = show.clone();
        calm.chases.clone_from(&next.chases);
        for (kind, place, value) in edits {
            edit(&mut next, kind, place, value);
        }
        swap(&mut bench, (&show, &calm), &[], now);
        let before = seen(&mut bench, now);
        swap(&mut bench, (&calm, &next), &[], now);
        let after = seen(&mut bench, now);
        for (unit, (before, after)) in before.units.iter().zip(&after.units).enumerate() {
            for (before, after) in before.heads.iter().zip(&after.heads) {
                prop_assert!((before.level - after.level).abs() < 1e-9, "light {unit}: {before:?}, {after:?}");
            }
            let lit = before.heads.iter().any(|head| head.level > 1e-6);
            if let (Some(here), Some(there), true) = (before.aim, after.aim, lit) {
                prop_assert!(near(here, there), "light {unit}: {here:?}, {there:?}");
            }
        }
    }
}

fn seen(bench: &mut Bench, now: Instant) -> RigState {
    bench.player.frame(now, &mut bench.out);
    bench.out.clone()
}

fn edit(show: &mut Show, kind: usize, place: usize, value: f64) {
    let looks = show.looks.len();
    match kind {
        0 if looks > 0 => drop(show.looks.remove(place % looks)),
        1 if looks > 0 => show.looks[place % looks].parts.clear(),
        2 if looks > 0 => {
            if let Some(part) = show.looks[place % looks].parts.first_mut() {
                part.level.0 = value;
            }
        }
        3 if looks > 0 => {
            if let Some(part) = show.looks[place % looks].parts.first_mut() {
                part.aim = Some(lanthorn_show::Aim::Mark("door".to_owned()));
            }
        }
        4 if !show.chases.is_empty() => drop(show.chases.remove(place % show.chases.len())),
        5 if !show.chases.is_empty() => {
            let chase = place % show.chases.len();
            show.chases[chase].steps.truncate(1);
        }
        6 if !show.figures.is_empty() => drop(show.figures.remove(place % show.figures.len())),
        7 if !show.cues.is_empty() => drop(show.cues.remove(place % show.cues.len())),
        _ => show.looks.push(look("more", 1.0, vec![part(&[1], RED, value)])),
    }
}

#[test]
fn a_changed_level_arrives_in_a_third_of_a_second_without_a_dip() {
    let show = |level| Show {
        looks: vec![look("warm", 0.0, vec![on("cake", part(&[1], WARM, level))])],
        start: Some("warm".to_owned()),
        ..Show::default()
    };
    let mut bench = Bench::new(show(0.5));
    bench.frame(0.0);
    swap(&mut bench, (&show(0.5), &show(0.9)), &[], at(1.0));
    assert_eq!(bench.levels(0, [1.0, 1.1, 1.15, 1.2, 1.3, 2.0]), [50.0, 63.33, 70.0, 76.67, 90.0, 90.0]);
    assert_eq!(CHANGE, secs(0.3));
}

#[test]
fn what_fades_in_takes_the_rest_of_its_time() {
    let show =
        |level| Show { looks: vec![look("warm", 4.0, vec![part(&[1], WARM, level)])], ..Show::default() };
    let mut bench = Bench::new(show(0.8));
    bench.at(0.0, Command::Look(0));
    assert_eq!(bench.level(2.0, 0), 40.0);
    swap(&mut bench, (&show(0.8), &show(0.6)), &[], at(2.0));
    assert_eq!(bench.levels(0, [2.0, 3.0, 4.0, 5.0]), [40.0, 50.0, 60.0, 60.0]);
}

#[test]
fn a_look_that_is_gone_fades_out_in_its_own_time_and_a_renamed_one_stays() {
    let show = |names: &[&str]| Show {
        looks: names.iter().map(|name| look(name, 2.0, vec![part(&[1], WARM, 0.8)])).collect(),
        start: Some("warm".to_owned()),
        ..Show::default()
    };
    let (old, gone, renamed) = (show(&["warm"]), show(&["other"]), show(&["other", "evening"]));
    let mut bench = Bench::new(old.clone());
    bench.frame(0.0);
    swap(&mut bench, (&old, &gone), &[], at(1.0));
    assert_eq!(bench.levels(0, [1.0, 2.0, 3.0, 9.0]), [80.0, 40.0, 0.0, 0.0]);
    assert_eq!(bench.status(9.0).look, None);
    let mut bench = Bench::new(old.clone());
    bench.frame(0.0);
    let rename = Rename { kind: Kind::Look, old: "warm".to_owned(), new: "evening".to_owned() };
    swap(&mut bench, (&old, &renamed), &[rename], at(1.0));
    assert_eq!(bench.levels(0, [1.0, 2.0, 9.0]), [80.0, 80.0, 80.0]);
    assert_eq!(bench.status(9.0).look, Some(1));
}

#[test]
fn chases_go_on_in_step_and_in_their_order() {
    let beat = StepTime::Beats(1.0);
    let none = StepTime::Beats(0.0);
    let show = |steps: &[&str], more: bool| Show {
        looks: vec![look("a", 0.0, vec![part(&[1], WARM, 1.0)]), look("b", 0.0, vec![part(&[1], WARM, 0.2)])],
        chases: {
            let mut chases = vec![chase("dance", steps, beat, none), chase("slow", &["b"], beat, none)];
            if more {
                chases.insert(0, chase("new", &["a"], beat, none));
            }
            chases
        },
        tempo: Some(60.0),
        ..Show::default()
    };
    let (old, next) = (show(&["a", "b"], false), show(&["a", "b", "b"], true));
    let mut bench = Bench::new(old.clone());
    bench.at(0.0, Command::Chase { index: 1, on: true }).at(0.0, Command::Chase { index: 0, on: true });
    bench.frame(3.5);
    let told = |bench: &Bench, secs: f64| {
        let running = bench.status(secs).chases;
        running.iter().flatten().map(|running| (running.chase, running.count)).collect::<Vec<_>>()
    };
    assert_eq!(told(&bench, 3.5), [(1, 3), (0, 3)]);
    swap(&mut bench, (&old, &next), &[], at(3.5));
    assert_eq!(told(&bench, 3.5), [(2, 3), (1, 3)], "the same chases, in the same order, as far");
    bench.frame(4.0);
    assert_eq!(told(&bench, 4.0), [(2, 4), (1, 4)], "and they change on the same beat");
    // Without chases the lights go back to what lies below: nothing.
    let none = Show { chases: Vec::new(), ..next.clone() };
    swap(&mut bench, (&next, &none), &[], at(5.0));
    assert_eq!(bench.level(5.5, 0), 0.0);
}

#[test]
fn the_cue_goes_on_by_its_number() {
    let show = |numbers: &[&str]| Show {
        looks: vec![look("warm", 0.0, vec![part(&[1], WARM, 0.8)])],
        cues: numbers.iter().map(|number| cue(number, Some("warm"), 1.0)).collect(),
        ..Show::default()
    };
    // (cues before, the cue that is on, cues after, the cue then on, the cue that Go takes)
    type Row<'r> = (&'r [&'r str], usize, &'r [&'r str], Option<usize>, Option<usize>);
    let rows: [Row<'_>; 4] = [
        (&["1", "2", "3"], 1, &["1", "1.5", "2", "3"], Some(2), Some(3)),
        (&["1", "2", "3"], 1, &["1", "3"], Some(0), Some(1)),
        (&["1", "2", "3"], 0, &["2", "3"], None, Some(0)),
        (&["1", "2", "3"], 2, &["1", "2", "3"], Some(2), None),
    ];
    for (before, on, after, want, next) in rows {
        let (old, new) = (show(before), show(after));
        let mut bench = Bench::new(old.clone());
        bench.at(0.0, Command::Cue(on));
        swap(&mut bench, (&old, &new), &[], at(3.0));
        let status = bench.status(3.0);
        assert_eq!((status.cue, status.next_cue), (want, next), "{before:?} at {on} to {after:?}");
        assert_eq!(bench.level(3.0, 0), 80.0);
    }
}

#[test]
fn a_restarted_show_goes_on_in_step_without_a_fade() {
    let show = running::show();
    let mut bench = Bench::new(show.clone());
    bench.at(0.0, Command::Go).at(0.5, Command::Master(0.7)).at(1.0, Command::Tempo(90.0));
    bench.at(2.0, Command::Go).at(2.5, Command::StopStrobe(true));
    bench.frame(9.0);
    let kept = Resume::of(&bench.status(9.0), bench.player.group_masters());
    // Three seconds later the machine is there again, and its clock begins at zero.
    let mut again = Bench::new(show);
    again.player.resume(&kept.later(secs(3.0)), at(0.0));
    for after in [0.0, 0.025, 0.6, 1.7, 30.0] {
        let there = bench.frame(12.0 + after).clone();
        let here = again.frame(after);
        for (unit, (there, here)) in there.units.iter().zip(&here.units).enumerate() {
            for (there, here) in there.heads.iter().zip(&here.heads) {
                assert!(
                    (there.level - here.level).abs() < 1e-6,
                    "light {unit}, {after} s: {there:?} {here:?}"
                );
            }
            if let (Some(there), Some(here)) = (there.aim, here.aim) {
                assert!(there.distance(here).get() < 1e-4, "light {unit}, {after} s: {there:?} {here:?}");
            }
        }
        let (there, here) = (bench.status(12.0 + after), again.status(after));
        assert_eq!((there.look, there.cue, there.by_cue), (here.look, here.cue, here.by_cue));
        assert!((there.beat - here.beat).abs() < 1e-6 && there.strobe_stopped == here.strobe_stopped);
    }
}

#[test]
fn swapping_does_not_allocate() {
    let (show, rig) = (running::show(), Arc::new(rig()));
    let mut bench = Bench::new(show.clone());
    bench.at(0.0, Command::Look(0)).at(0.3, Command::Chase { index: 1, on: true });
    bench.frame(0.5);
    let succession = Succession::new((&show, &rig), (&show, &rig), &[]);
    let mut player = Player::new(Arc::new(show), rig);
    let counted = allocation_counter::measure(|| player.take_over(&mut bench.player, &succession, at(0.7)));
    assert_eq!((counted.count_total, counted.count_current), (0, 0));
}
