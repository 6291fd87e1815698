//! Starting, stopping, and what the two ends of the machine see.

use std::net::Ipv4Addr;

use lanthorn_live::output::UsbKind;
use lanthorn_live::{EngineError, OutputSpec};
use lanthorn_show::command::Command;

use crate::{sender, start, testing, wait_for};

#[test]
fn it_starts_ticks_takes_commands_and_stops() {
    let (engine, mut commands, mut snapshots) = start(1, &[], 31);
    assert!(engine.is_running());
    let first = wait_for("a tick", || {
        let latest = snapshots.latest();
        (latest.ticks.done > 0).then(|| latest.clone())
    });
    assert_eq!(first.drivers.len(), testing::HEADS);
    assert!(first.status.chases[0].is_some(), "the chase that the show starts with");
    assert!(commands.send(Command::Blackout(true), engine.clock().now()));
    wait_for("the blackout", || snapshots.latest().status.blackout.then_some(()));
    // Dimmers are at 5 and 6 of each head.
    let frames = snapshots.latest().frames.clone();
    let (_, frame) = frames.iter().next().unwrap();
    let dark = frame.0.chunks_exact(testing::FOOTPRINT).all(|head| head[4..6] == [0, 0]);
    assert!(dark, "{frame:?}");
    // Ends, and joins: the test would hang otherwise.
    engine.stop();
    let done = snapshots.latest().ticks.done;
    std::thread::sleep(std::time::Duration::from_millis(100));
    assert_eq!(snapshots.latest().ticks.done, done, "no tick after the end");
}

#[test]
fn dropping_is_stopping_and_many_may_follow_each_other() {
    for _ in 0..20 {
        let (engine, _commands, _snapshots) = start(1, &[], 32);
        drop(engine);
    }
}

#[test]
fn a_flood_of_commands_is_refused_and_counted_and_ends() {
    let (engine, mut commands, mut snapshots) = start(1, &[], 33);
    let mut refused = 0;
    for _ in 0..50_000 {
        refused += u64::from(!commands.send(Command::Tap, engine.clock().now()));
    }
    assert!(refused > 0, "a ring of 256 cannot take fifty thousand at once");
    assert_eq!(commands.refused(), refused);
    let done = snapshots.latest().ticks.done;
    wait_for("more ticks", || (snapshots.latest().ticks.done > done + 3).then_some(()));
    assert!(wait_for("room", || commands.send(Command::Go, engine.clock().now()).then_some(true)));
    engine.stop();
}

#[test]
fn outputs_that_cannot_be_opened_say_why() {
    let rows = [
        (
            OutputSpec::Sacn { to: None, interface: Some(Ipv4Addr::new(192, 0, 2, 77)) },
            "interface 192.0.2.77: no network interface here has this address; there are",
        ),
        (
            OutputSpec::Usb {
                path: "/dev/nothing".into(),
                kind: Some(UsbKind::Bare),
                universe: lanthorn_dmx::Universe::new(9).ok(),
            },
            "USB /dev/nothing: universe 9 is not in this rig; it uses 1",
        ),
    ];
    for (spec, want) in rows {
        let (show, rig) = (testing::show().into(), testing::rig_of(1).into());
        let fault = lanthorn_live::Engine::start(show, rig, &[spec], &sender(34)).unwrap_err();
        assert!(matches!(fault, EngineError::Output(_)));
        assert!(fault.to_string().starts_with(want), "{fault}");
    }
}
