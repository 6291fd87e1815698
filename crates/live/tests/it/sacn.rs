//! sACN out, read by the receiver of the other side.

use std::collections::BTreeMap;
use std::net::{Ipv4Addr, UdpSocket};
use std::time::Duration;

use lanthorn_dmx::sacn::{DataPacket, Packet, Receiver};
use lanthorn_dmx::{Frames, Universe};
use lanthorn_live::engine::PERIOD;
use lanthorn_live::input::{Ears, Heard};
use lanthorn_live::output::{Output, OutputState};
use lanthorn_live::{Clock, OutputSpec};
use lanthorn_physics::{Instant, Span};
use lanthorn_show::command::Command;

use crate::{machine, sender, start, wait_for};

/// A receiver's socket that holds a few seconds of packets.
fn socket() -> UdpSocket {
    let socket = UdpSocket::bind("127.0.0.1:0").unwrap();
    socket.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    socket
}

/// The next data packet and what is in it.
fn next<'a>(socket: &UdpSocket, buffer: &'a mut [u8; 2048]) -> DataPacket<'a> {
    loop {
        let length = socket.recv(buffer).unwrap();
        if matches!(Packet::parse(&buffer[..length]), Ok(Packet::Data(_))) {
            let Ok(Packet::Data(packet)) = Packet::parse(&buffer[..length]) else { unreachable!() };
            return packet;
        }
    }
}

#[test]
fn what_arrives_is_what_a_machine_computes_apart() {
    let receiver = socket();
    let (engine, _commands, mut snapshots) =
        start(3, &[OutputSpec::Sacn { to: receiver.local_addr().ok(), interface: None }], 11);
    // What a tick of each moment must send; ticks that came late are left out of both.
    let mut buffer = [0; 2048];
    let mut heard: Vec<(Universe, [u8; 512], u8)> = Vec::new();
    while heard.len() < 240 {
        let packet = next(&receiver, &mut buffer);
        assert_eq!((packet.source_name.as_ref(), packet.start_code), ("hall laptop", 0));
        heard.push((packet.universe, packet.slots.try_into().unwrap(), packet.sequence));
    }
    engine.stop();
    let ticks = snapshots.latest().ticks;
    let mut sequences: BTreeMap<Universe, u8> = BTreeMap::new();
    for (universe, _, sequence) in &heard {
        if let Some(last) = sequences.insert(*universe, *sequence) {
            assert_eq!(*sequence, last.wrapping_add(1), "universe {universe:?}");
        }
    }
    assert_eq!(sequences.len(), 3);
    // The motors' way depends on which moments were computed, and a noisy machine leaves some out: the frames before
    // the first late tick are certain, and the first two are always among them.
    let mut apart = machine(3);
    let mut expected: Vec<Frames> = Vec::new();
    for tick in 0..400 {
        expected.push(apart.tick(Instant::ZERO + PERIOD * tick).clone());
    }
    let known = |(universe, slots, _): &&(Universe, [u8; 512], u8)| {
        expected.iter().any(|frames| frames.get(*universe).unwrap().0 == *slots)
    };
    let matching = heard.iter().take_while(known).count();
    let least = if ticks.late == 0 { heard.len() } else { 3 };
    assert!(matching >= least, "{matching} of {} as computed, {} late ticks", heard.len(), ticks.late);
}

#[test]
fn a_still_show_settles_keeps_alive_and_ends_with_three_terminated_packets() {
    let receiver = socket();
    let (engine, mut commands, _snapshots) =
        start(1, &[OutputSpec::Sacn { to: receiver.local_addr().ok(), interface: None }], 12);
    assert!(commands.send(Command::Stillness(true), Instant::ZERO));
    let mut book = Receiver::new();
    let clock = Clock::start();
    let mut buffer = [0; 2048];
    // Until the same values have come six times: three at the full rate, and then keep-alives.
    let (mut repeats, mut last) = (0, None);
    let mut gaps: Vec<f64> = Vec::new();
    let mut before = clock.now();
    while repeats < 6 {
        let packet = next(&receiver, &mut buffer);
        let now = clock.now();
        repeats = if last == Some(packet.slots.to_vec()) { repeats + 1 } else { 0 };
        last = Some(packet.slots.to_vec());
        if repeats == 0 {
            gaps.clear();
        } else {
            gaps.push((now - before).secs());
        }
        before = now;
    }
    // Two quick repeats, then slow ones: told apart by far, since this machine may be busy.
    assert!(gaps[2..].iter().all(|gap| *gap > 0.4), "{gaps:?}");
    engine.stop();
    let mut terminated = 0;
    receiver.set_read_timeout(Some(Duration::from_millis(200))).unwrap();
    let from = receiver.local_addr().unwrap();
    while let Ok(length) = receiver.recv(&mut buffer) {
        if let Ok(Packet::Data(packet)) = Packet::parse(&buffer[..length]) {
            assert!(packet.options.terminated || terminated == 0, "nothing but the end after the end");
            terminated += u32::from(packet.options.terminated);
        }
        book.handle(&buffer[..length], from, clock.now()).unwrap();
    }
    assert_eq!(terminated, 3);
    assert_eq!(book.sources().count(), 0);
}

#[test]
fn multicast_reaches_each_listener_once_on_the_chosen_interface() {
    let own = Some(Ipv4Addr::LOCALHOST);
    let us = sender(13);
    // More groups than one socket may join, so that a packet could come twice.
    let universes = (1..=25).map(|number| Universe::new(number).unwrap());
    let ears = Ears::open(universes, own).unwrap();
    let (engine, _commands, _snapshots) = start(2, &[OutputSpec::Sacn { to: None, interface: own }], 13);
    let clock = Clock::start();
    let mut book = Receiver::new();
    let mut packets = 0;
    wait_for("levels of both universes, and their list", || {
        ears.hear(|heard| {
            let Heard::Sacn(bytes, from) = heard else { return };
            // Others may be on the loopback interface too.
            let ours = bytes.get(22..38) == Some(&us.cid.0[..]);
            if ours && book.handle(bytes, from, clock.now()).is_ok() {
                packets += 1;
            }
        });
        let told = book.announced().next().is_some_and(|(_, told)| told.universes.len() == 2);
        (told && packets > 40).then_some(())
    });
    engine.stop();
    let sources: Vec<_> = book.sources().collect();
    assert_eq!(sources.iter().map(|source| source.universe.number()).collect::<Vec<_>>(), [1, 2]);
    for source in sources {
        assert_eq!(
            (source.out_of_order, source.from.ip()),
            (0, Ipv4Addr::LOCALHOST.into()),
            "once, from there"
        );
        assert!(source.levels.is_some());
    }
}

#[test]
fn late_ticks_hold_packets_back_and_lose_none() {
    let receiver = socket();
    let mut frames = Frames::dark([Universe::FIRST]);
    let spec = OutputSpec::Sacn { to: receiver.local_addr().ok(), interface: None };
    let mut output = Output::open(&spec, &sender(15), &frames).unwrap();
    let (mut left, mut heard, mut buffer) = (Vec::new(), Vec::new(), [0; 2048]);
    // How late each tick is, in ms; simulated, round and round.
    let lateness = [0.0, 9.0, 0.0, 0.0, 12.0, 3.0, 0.0, 20.0, 1.0, 0.0, 0.0, 5.0];
    let at = |tick: u8| {
        Instant::ZERO + PERIOD * i64::from(tick) + Span::from_secs(lateness[usize::from(tick) % 12] / 1e3)
    };
    for tick in 0..240 {
        frames.get_mut(Universe::FIRST).unwrap().0[0] = tick;
        let mut now = at(tick);
        output.send(&frames, now);
        loop {
            // All but the one packet of discovery.
            while left.len() < output.status().sent as usize - 1 {
                left.push(now);
                heard.push(next(&receiver, &mut buffer).slots[0]);
            }
            match output.held_until() {
                Some(held) if held < at(tick + 1) => {
                    assert!(held > now, "or it would spin");
                    now = held;
                    output.pump(now);
                }
                _ => break,
            }
        }
    }
    assert_eq!(heard, (0..240).collect::<Vec<u8>>(), "the frame of every tick, in order, once");
    let gaps = left.windows(2).map(|pair| (pair[1] - pair[0]).micros());
    assert!(gaps.min() >= Some(22_727), "44 Hz is never exceeded");
}

#[test]
fn an_output_that_cannot_send_counts_and_stops_nobody() {
    let receiver = socket();
    // Nothing may be sent to port 0.
    let nowhere = "127.0.0.1:0".parse().ok();
    let outputs = [
        OutputSpec::Sacn { to: nowhere, interface: None },
        OutputSpec::Sacn { to: receiver.local_addr().ok(), interface: None },
    ];
    let (engine, _commands, mut snapshots) = start(2, &outputs, 14);
    let ticks = wait_for("the second output's packets", || {
        let latest = snapshots.latest();
        (latest.outputs[1].sent > 40).then_some(latest.ticks)
    });
    let [failing, working] = snapshots.latest().outputs[..] else { panic!("two outputs") };
    assert!(ticks.done > 10 && ticks.faults == 0);
    assert_eq!(working.state, OutputState::Working);
    assert_eq!((failing.state, failing.sent), (OutputState::Failing, 0));
    assert!(failing.failed > 20 && failing.last_fault.is_some());
    engine.stop();
}
