//! Another show and rig for the machine that runs: nothing jumps, and streams go on or end as they must.

use std::net::UdpSocket;
use std::sync::Arc;

use lanthorn_dmx::{Address, Frames, Universe};
use lanthorn_live::engine::PERIOD;
use lanthorn_live::{Machine, OutputSpec};
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Point};
use lanthorn_rig::{Rig, Run};
use lanthorn_show::{Command, Show, Succession};

use crate::{machine, start, testing, wait_for};

fn at(tick: i64) -> Instant {
    Instant::ZERO + PERIOD * tick
}

/// The machine that goes on with another show and rig.
fn swapped(mut old: Machine, (show, rig): (&Show, &Rig), next: (Show, Rig), now: Instant) -> Machine {
    let succession = Succession::new((show, rig), (&next.0, &next.1), &[]);
    let mut new = Machine::new(Arc::new(next.0), Arc::new(next.1));
    new.take_over(&mut old, &succession, now);
    new
}

fn slots(frames: &Frames, unit: usize) -> Vec<u8> {
    let (_, frame) = frames.iter().nth(unit / testing::HEADS).unwrap();
    let first = unit % testing::HEADS * testing::FOOTPRINT;
    frame.0[first..first + testing::FOOTPRINT].to_vec()
}

#[test]
fn the_same_show_again_gives_the_same_bytes() {
    let (show, rig) = (testing::show(), testing::rig_of(1));
    let (mut swaps, mut stays) = (machine(1), machine(1));
    let mut dice: u64 = 7;
    for tick in 0..800 {
        let mut commands = Vec::new();
        match tick {
            60 => commands.push(Command::Aim { unit: 3, at: Point::new(1.0, -2.0, 0.0) }),
            90 => commands.push(Command::Level { unit: 8, level: 0.4 }),
            130 => commands.push(Command::LetGo(Some(3))),
            200 => commands.extend([Command::Look(1), Command::Chase { index: 0, on: false }]),
            230 => commands.push(Command::Chase { index: 0, on: true }),
            300 => commands.push(Command::Stillness(true)),
            340 => commands.push(Command::Stillness(false)),
            400 => commands.push(Command::Send { unit: 5, pan: Radians::new(0.4), tilt: Radians::new(0.2) }),
            500 => commands.push(Command::Blackout(true)),
            520 => commands.push(Command::Blackout(false)),
            _ => {}
        }
        for command in &commands {
            swaps.apply(command, at(tick));
            stays.apply(command, at(tick));
        }
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        if (dice >> 33).is_multiple_of(7) {
            swaps = swapped(swaps, (&show, &rig), (show.clone(), rig.clone()), at(tick));
        }
        assert_eq!(swaps.tick(at(tick)), stays.tick(at(tick)), "tick {tick}");
    }
}

#[test]
fn lit_heads_stay_and_a_removed_light_goes_dark_at_once() {
    let (show, rig) = (testing::show(), testing::rig_of(1));
    let mut old = machine(1);
    old.apply(&Command::Look(0), at(0));
    old.apply(&Command::Chase { index: 0, on: false }, at(0));
    let before = (0..200).map(|tick| old.tick(at(tick)).clone()).last().unwrap();
    // Light 6 is gone; 9 has moved to the end of another universe; 40 is new.
    let mut next = rig.clone();
    next.units[8].run = Run::Driven { address: Address::new(2, 101).ok(), shares: None };
    let mut new = next.units[5].clone();
    new.number = 40;
    next.units.remove(5);
    next.units.push(new);
    let mut new = swapped(old, (&show, &rig), (show.clone(), next), at(200));
    let after = new.tick(at(200)).clone();
    let second = Universe::new(2).unwrap();
    assert_eq!(after.get(second).unwrap().0[100..114], slots(&before, 8), "it goes on at its new address");
    assert_eq!(slots(&after, 8), [0; testing::FOOTPRINT], "its old slots are free");
    // The new light has the removed one's address: it starts dark.
    assert_eq!(slots(&after, 5)[4..6], [0, 0]);
    for unit in (0..testing::HEADS).filter(|unit| ![5, 8].contains(unit)) {
        assert_eq!(slots(&after, unit)[..4], slots(&before, unit)[..4], "light {}: pan and tilt", unit + 1);
        assert_eq!(slots(&after, unit)[4..6].first(), slots(&before, unit)[4..6].first());
    }
    let risen = (201..220).map(|tick| new.tick(at(tick)).clone()).last().unwrap();
    assert!(slots(&risen, 5)[4] > 0, "and comes up");
}

#[test]
fn streams_go_on_in_sequence_and_a_universe_that_goes_is_dark_and_ended() {
    let receiver = UdpSocket::bind("127.0.0.1:0").unwrap();
    receiver.set_read_timeout(Some(std::time::Duration::from_millis(5))).unwrap();
    let to = receiver.local_addr().ok();
    let (engine, mut commands, mut snapshots) = start(2, &[OutputSpec::Sacn { to, interface: None }], 61);
    wait_for("ticks", || (snapshots.latest().ticks.done > 4).then_some(()));
    let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
    let replacement = commands.preparer().prepare(show, rig, &[]).unwrap();
    assert_eq!(commands.replace(replacement).unwrap(), 1);
    wait_for("the swap", || (snapshots.latest().generation == 1).then_some(()));
    let done = snapshots.latest().ticks.done;
    wait_for("more ticks", || (snapshots.latest().ticks.done > done + 12).then_some(()));
    engine.stop();
    // Of each universe: sequence number, whether it tells its end, whether it is dark.
    let mut heard: [Vec<(u8, bool, bool)>; 2] = Default::default();
    let mut buffer = [0; 2048];
    while let Ok((length, _)) = receiver.recv_from(&mut buffer) {
        let Ok(lanthorn_dmx::sacn::Packet::Data(packet)) =
            lanthorn_dmx::sacn::Packet::parse(&buffer[..length])
        else {
            continue;
        };
        let dark = packet.slots.iter().all(|slot| *slot == 0);
        let universe = usize::from(packet.universe.number()) - 1;
        heard[universe].push((packet.sequence, packet.options.terminated, dark));
    }
    for (universe, heard) in heard.iter().enumerate() {
        for pair in heard.windows(2) {
            assert_eq!(pair[1].0, pair[0].0.wrapping_add(1), "universe {}", universe + 1);
        }
    }
    let [_, second] = &heard;
    let ends = second.iter().position(|(_, terminated, _)| *terminated).unwrap();
    assert_eq!(second.len() - ends, 3, "told three times, then silence");
    assert!(second[ends - 3..].iter().all(|(.., dark)| *dark), "dark before it ends");
    assert!(second[..ends - 3].iter().any(|(.., dark)| !*dark));
}
