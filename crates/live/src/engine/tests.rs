use lanthorn_dmx::Universe;

use lanthorn_music::Pulse;
use lanthorn_music::tracker::Standing;
use lanthorn_show::StepTime;
use lanthorn_show::command::Command;
use lanthorn_show::follow::LEAD;

use super::*;
use crate::machine::MOST_LEAN;
use crate::testing;

#[test]
fn the_loop_does_not_allocate() {
    let receiver = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
    let to = receiver.local_addr().ok();
    let specs = [OutputSpec::Sacn { to, interface: None }, OutputSpec::ArtNet { to, interface: None }];
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(2)));
    let (mut run, mut commands, mut snapshots) = Run::new(show, rig, &specs, &sender).unwrap();
    // Nodes, broadcasts and the like may be met in the first tick.
    run.tick(Instant::ZERO);
    let rig = testing::rig_of(2);
    let head = lanthorn_rig::aim::Head::new(&rig, &rig.units[1]).unwrap();
    let counted = allocation_counter::measure(|| {
        for tick in 1..=200 {
            let deadline = Instant::ZERO + PERIOD * tick;
            // The waiting itself, cut short.
            run.wait(run.clock.now() + Span::from_millis(2));
            assert!(commands.send(Command::Chase { index: 0, on: tick % 50 != 0 }, deadline));
            assert!(commands.renew(0, head));
            run.tick(deadline);
            assert_eq!(snapshots.latest().now, deadline);
        }
    });
    assert_eq!(counted.count_total, 0);
    assert_eq!((run.ticks.done, run.ticks.faults), (201, 0));
    assert!(snapshots.latest().outputs.iter().all(|output| output.sent > 0));
}

#[test]
fn ticks_that_go_over_to_another_show_and_rig_neither_allocate_nor_free() {
    let receiver = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
    let to = receiver.local_addr().ok();
    let specs = [OutputSpec::Sacn { to, interface: None }, OutputSpec::ArtNet { to, interface: None }];
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
    let (mut run, mut commands, mut snapshots) = Run::new(show, rig, &specs, &sender).unwrap();
    run.tick(Instant::ZERO);
    for (tick, universes) in (1..).zip([2, 1, 1, 3, 2, 3, 1, 2, 1, 3]) {
        let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(universes)));
        let replacement = commands.preparer().prepare(show, rig, &[]).unwrap();
        let generation = commands.replace(replacement).unwrap();
        assert_eq!(generation, tick as u64);
        for part in 0..5 {
            let now = Instant::ZERO + PERIOD * (tick * 5 + part);
            let counted = allocation_counter::measure(|| run.tick(now));
            assert_eq!(
                (counted.count_total, counted.count_current),
                (0, 0),
                "{universes} universes, part {part}"
            );
            // A reader that looks seldom gets the old buffer first.
            if part % 2 == 1 {
                let latest = snapshots.latest();
                assert_eq!((latest.generation, latest.frames.len()), (generation, universes));
                assert_eq!(latest.drivers.len(), universes * testing::HEADS);
                assert_eq!(latest.outputs.len(), 2);
            }
        }
    }
    assert_eq!(run.ticks.faults, 0);
}

#[test]
fn too_many_replacements_at_once_are_refused_and_one_that_was_overtaken() {
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
    let (mut run, mut commands, _) = Run::new(show.clone(), rig.clone(), &[], &sender).unwrap();
    let prepared = |commands: &Commands| commands.preparer().prepare(show.clone(), rig.clone(), &[]).unwrap();
    let late = prepared(&commands);
    for _ in 0..crate::swap::REPLACEMENTS {
        let replacement = prepared(&commands);
        commands.replace(replacement).unwrap();
    }
    let replacement = prepared(&commands);
    assert!(matches!(commands.replace(replacement), Err(crate::SwapError::Busy)));
    assert!(matches!(commands.replace(late), Err(crate::SwapError::Overtaken)));
    run.tick(Instant::ZERO);
    let replacement = prepared(&commands);
    assert!(commands.replace(replacement).is_ok(), "there is room again");
}

#[test]
fn group_masters_are_told_and_what_is_no_group_or_no_level_changes_nothing() {
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let rig = |names: &[&str]| {
        let group = |name: &&str| lanthorn_rig::Group { name: (*name).to_owned(), units: vec![0, 1] };
        Arc::new(Rig { groups: names.iter().map(group).collect(), ..testing::rig_of(1) })
    };
    let show = Arc::new(testing::show());
    let (mut run, mut commands, mut snapshots) =
        Run::new(show.clone(), rig(&["left", "right"]), &[], &sender).unwrap();
    let at = |tick| Instant::ZERO + PERIOD * tick;
    run.tick(at(0));
    assert_eq!(snapshots.latest().groups, [1.0, 1.0]);
    for (group, level) in
        [(1, 0.5), (1, f64::NAN), (0, f64::INFINITY), (2, 0.25), (usize::MAX, 0.25), (0, 0.75)]
    {
        assert!(commands.send(Command::GroupMaster { group, level }, at(1)));
    }
    run.tick(at(1));
    assert_eq!(snapshots.latest().groups, [0.75, 0.5]);
    // Another rig goes on with them, by name.
    let replacement = commands.preparer().prepare(show, rig(&["new", "right", "left"]), &[]).unwrap();
    commands.replace(replacement).unwrap();
    for tick in 2..5 {
        run.tick(at(tick));
        snapshots.latest();
    }
    assert_eq!(snapshots.latest().groups, [1.0, 0.5, 0.75]);
    assert_eq!(run.ticks.faults, 0);
}

#[test]
fn a_tick_that_panics_leaves_the_last_good_frames() {
    let dark = Frames::dark([Universe::FIRST]);
    let with = |value| {
        let mut frames = dark.clone();
        frames.get_mut(Universe::FIRST).unwrap().0[0] = value;
        frames
    };
    let (first, second) = (with(1), with(2));
    let ms = |ms| Instant::ZERO + Span::from_millis(ms);
    let mut good = LastGood::new(&dark);
    assert!(good.take(ms(0), || &first));
    assert!(!good.take(ms(25), || panic!("meant to")));
    assert_eq!(good.frames, first);
    assert!(good.take(ms(50), || panic!("left alone for a second: not called")));
    assert_eq!(good.frames, first);
    assert!(!good.take(ms(1025), || panic!("meant to, again")));
    assert!(good.take(ms(2025), || &second));
    assert_eq!(good.frames, second, "it recovers");
    assert!(good.take(ms(2050), || &first), "and goes on at every tick");
    assert_eq!(good.frames, first);
}

#[test]
fn missed_moments_are_computed_unless_that_takes_too_long() {
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let new = || {
        let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
        Run::new(show, rig, &[], &sender).unwrap().0
    };
    let at = |tick| Instant::ZERO + PERIOD * tick;
    let (mut late, mut punctual, mut too_late) = (new(), new(), new());
    (0..=120).for_each(|tick| punctual.tick(at(tick)));
    for run in [&mut late, &mut too_late] {
        (0..90).for_each(|tick| run.tick(at(tick)));
    }
    late.cost = Span::from_micros(1);
    late.catch_up(Instant::ZERO + PERIOD * 90, 30);
    late.tick(at(120));
    assert_eq!(late.good.frames, punctual.good.frames, "as if it had never been late");
    // Heads on their way from one mark to the next are not where they would be, but nothing was computed in vain.
    too_late.cost = Span::from_millis(1);
    let before = too_late.good.frames.clone();
    too_late.catch_up(Instant::ZERO + PERIOD * 90, 30);
    assert_eq!(too_late.good.frames, before);
}

#[test]
fn while_steps_go_with_music_a_tick_comes_just_behind_each() {
    let sender = Sender { cid: lanthorn_dmx::sacn::Cid([1; 16]), name: "hall laptop".to_owned() };
    let mut show = testing::show();
    for step in &mut show.chases[0].steps {
        (step.time, step.fade) = (StepTime::Beats(1.0), StepTime::Beats(0.5));
    }
    for bpm in [117.3, 94.0, 160.0] {
        let (show, rig) = (Arc::new(show.clone()), Arc::new(testing::rig_of(1)));
        let mut run = Run::new(show, rig, &[], &sender).unwrap().0;
        let beat = 60.0 / bpm;
        let (mut due, mut last, mut late) = (Instant::ZERO, None, Vec::new());
        while due.secs() < 20.0 {
            let standing = Standing {
                follows: true,
                bpm,
                beat_at: (due.secs() / beat).floor() * beat,
                place: 1,
                of: 1,
                ..Standing::default()
            };
            run.machine.apply(&Command::Pulse(Some(Pulse::of(&standing, Instant::from_secs))), due);
            run.tick(due);
            let count = run.machine.player().status(due).chases[0].unwrap().count;
            if last.is_some_and(|last| last != count) && due.secs() > 8.0 {
                let seen = due.secs() + LEAD.secs();
                late.push((seen - (seen / beat).round() * beat) * 1e3);
            }
            last = Some(count);
            let lean = run.machine.lean(due);
            assert!(lean <= MOST_LEAN && lean >= Span::ZERO - MOST_LEAN);
            due = due + PERIOD + lean;
        }
        assert!(late.len() > 12, "{bpm}: {late:?}");
        assert!(late.iter().all(|ms| (0.0..=2.5).contains(ms)), "{bpm}: {late:?}");
        // Without music they stay on their grid.
        run.machine.apply(&Command::Pulse(None), due);
        assert_eq!(run.machine.lean(due), Span::ZERO);
    }
}
