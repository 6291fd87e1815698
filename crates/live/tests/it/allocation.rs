//! The tick does not allocate.

use std::net::UdpSocket;
use std::sync::Arc;

use lanthorn_live::engine::PERIOD;
use lanthorn_live::output::{Output, OutputState};
use lanthorn_live::{Machine, OutputSpec};
use lanthorn_physics::{Instant, Point};
use lanthorn_show::command::Command;

use crate::{sender, testing};

/// Two receivers that nobody reads: the system drops what they cannot hold.
fn outputs() -> (Vec<OutputSpec>, [UdpSocket; 2]) {
    let sockets = [(); 2].map(|()| UdpSocket::bind("127.0.0.1:0").unwrap());
    let [sacn, artnet] = sockets.each_ref().map(|socket| socket.local_addr().ok());
    let interface = None;
    let specs = vec![OutputSpec::Sacn { to: sacn, interface }, OutputSpec::ArtNet { to: artnet, interface }];
    (specs, sockets)
}

#[test]
fn ten_thousand_ticks_do_not_allocate() {
    // Three heads on each of three universes: ten thousand ticks take their time where nothing is optimised.
    let mut rig = testing::rig_of(3);
    rig.units.retain(|unit| unit.number % 12 == 1);
    let mut machine = Machine::new(Arc::new(testing::show()), Arc::new(rig));
    let (specs, _receivers) = outputs();
    let mut outputs: Vec<Output> =
        specs.iter().map(|spec| Output::open(spec, &sender(1), machine.frames()).unwrap()).collect();
    let mut before = machine.tick(Instant::ZERO).clone();
    let mut moved = 0;
    let counted = allocation_counter::measure(|| {
        for tick in 1..=10_000 {
            let now = Instant::ZERO + PERIOD * tick;
            match tick % 1000 {
                // What a hand does must not allocate either.
                100 => machine.apply(&Command::Aim { unit: 5, at: Point::new(1.0, 1.0, 0.0) }, now),
                200 => machine.apply(&Command::LetGo(None), now),
                300 => machine.apply(&Command::Look(1), now),
                400 => machine.apply(&Command::Tap, now),
                _ => {}
            }
            let frames = machine.tick(now);
            moved += u32::from(*frames != before);
            before.copy_from(frames);
            for output in &mut outputs {
                output.send(frames, now);
                if let Some(held) = output.held_until() {
                    output.pump(held);
                }
            }
        }
    });
    assert_eq!(counted.count_total, 0, "allocations in 10,000 ticks");
    assert!(moved > 9_000, "the show must keep moving for this to mean anything: {moved}");
    for output in &outputs {
        let status = output.status();
        assert_eq!(status.state, OutputState::Working);
        assert!(status.sent > 3 * 9_000, "three universes: {}", status.sent);
    }
    // The counter itself works.
    assert!(allocation_counter::measure(|| drop(std::hint::black_box(vec![1_u8]))).count_total > 0);
}
