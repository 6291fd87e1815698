//! One tick, and its way onto the wire.

use std::io::IoSlice;
use std::net::{SocketAddr, UdpSocket};
use std::time::Duration;

use lanthorn_bench::{HEADS, Times, head, in_turns, machine, row};
use lanthorn_dmx::Frames;
use lanthorn_dmx::sacn::Cid;
use lanthorn_live::engine::PERIOD;
use lanthorn_live::output::{Output, OutputSpec, Sender};
use lanthorn_physics::Instant;
use rustix::net::{MMsgHdr, SendAncillaryBuffer, SendFlags, SocketAddrAny, sendmmsg};

const SIZES: [usize; 4] = [1, 8, 64, 512];
const BUDGET: Duration = Duration::from_secs(3);
/// Ticks of one round of the chase, three steps of 2 s. The first round is left out: its first step does not fade.
const ROUND: i64 = 240;

fn main() {
    println!("tick: player, aim, limit, encode; {HEADS} 16-bit RGBW heads a universe, all moving in a chase");
    head(&["universes", "median us", "min us", "p99 us", "of 25 ms", "ns a head", "allocations"]);
    SIZES.into_iter().for_each(tick);
    println!();
    println!("send: every universe changed at every tick, to a loopback socket that nobody reads");
    println!(
        "bare: one sendmmsg of as many packets, built before; x: how many times the time of bare (medians)"
    );
    head(&["universes", "bare us", "sACN out us", "x", "tick + sACN us", "x", "ns a packet"]);
    for size in SIZES {
        send(size);
    }
}

fn tick(universes: usize) {
    let mut machine = machine(universes);
    machine.tick(Instant::ZERO); // the show begins
    let mut moment = ROUND;
    let mut one = || {
        moment += 1;
        std::hint::black_box(machine.tick(Instant::ZERO + PERIOD * moment));
    };
    // Whole rounds of the chase, so that every size meets the same colours and moves: some cost more than others.
    let rounds = (64 / universes).clamp(1, 8) as i64;
    let mut times = Vec::new();
    let counted = allocation_counter::measure(|| (0..8).for_each(|_| one()));
    for _ in 0..rounds * ROUND {
        let begun = std::time::Instant::now();
        one();
        times.push(begun.elapsed());
    }
    let times = Times::new(times);
    row(&[
        universes.to_string(),
        format!("{:.1}", times.median()),
        format!("{:.1}", times.min()),
        format!("{:.1}", times.at(0.99)),
        format!("{:.2} %", times.median() / PERIOD.secs() / 1e4),
        format!("{:.0}", times.median() * 1e3 / (universes * HEADS) as f64),
        counted.count_total.to_string(),
    ]);
}

fn send(universes: usize) {
    let receiver = UdpSocket::bind("127.0.0.1:0").expect("a socket on the loopback interface");
    let to = receiver.local_addr().expect("its address");
    let mut machine = machine(universes);
    let (mut output_alone, mut output_together) =
        (output(to, machine.frames()), output(to, machine.frames()));
    machine.tick(Instant::ZERO);
    // Two frames that differ in every universe.
    let frames = [ROUND, ROUND + 40].map(|tick| machine.tick(Instant::ZERO + PERIOD * tick).clone());
    assert!(frames[0].iter().zip(frames[1].iter()).all(|(one, other)| one != other));
    let (mut sent, mut ticked) = (0, ROUND + 40);
    let mut bare = Bare::new(to, &frames[0]);
    let [bare, alone, together] = in_turns(
        BUDGET,
        [
            &mut || bare.send(),
            &mut || {
                sent += 1;
                output_alone.send(&frames[sent as usize % 2], Instant::ZERO + PERIOD * sent);
            },
            &mut || {
                ticked += 1;
                let now = Instant::ZERO + PERIOD * ticked;
                output_together.send(machine.tick(now), now);
            },
        ],
    );
    row(&[
        universes.to_string(),
        format!("{:.1}", bare.median()),
        format!("{:.1}", alone.median()),
        format!("{:.2}", alone.median() / bare.median()),
        format!("{:.1}", together.median()),
        format!("{:.2}", together.median() / bare.median()),
        format!("{:.0}", alone.median() * 1e3 / universes as f64),
    ]);
    // What was timed must have been sent.
    let (status, of_both) = (output_alone.status(), output_together.status());
    assert!(status.failed + of_both.failed == 0 && status.sent >= sent as u64 * universes as u64);
}

fn output(to: SocketAddr, frames: &Frames) -> Output {
    let sender = Sender { cid: Cid::from_random([7; 16]), name: "bench".to_owned() };
    let spec = OutputSpec::Sacn { to: Some(to), interface: None };
    Output::open(&spec, &sender, frames).expect("a socket")
}

/// Packets built once and sent as they are: what the system alone costs.
struct Bare {
    socket: UdpSocket,
    to: SocketAddrAny,
    packets: Vec<[u8; lanthorn_dmx::sacn::DATA_PACKET_LEN]>,
}

impl Bare {
    fn new(to: SocketAddr, frames: &Frames) -> Self {
        let socket = UdpSocket::bind("127.0.0.1:0").expect("a socket on the loopback interface");
        socket.set_nonblocking(true).expect("a socket that does not wait");
        let packets = frames.iter().map(|(_, frame)| {
            let mut packet = [0; lanthorn_dmx::sacn::DATA_PACKET_LEN];
            packet[126..].copy_from_slice(&frame.0);
            packet
        });
        Self { socket, to: to.into(), packets: packets.collect() }
    }

    fn send(&mut self) {
        let slices: Vec<[IoSlice<'_>; 1]> =
            self.packets.iter().map(|packet| [IoSlice::new(packet)]).collect();
        let mut control: Vec<SendAncillaryBuffer<'_, '_, '_>> =
            slices.iter().map(|_| SendAncillaryBuffer::default()).collect();
        let mut messages: Vec<MMsgHdr<'_>> = slices
            .iter()
            .zip(&mut control)
            .map(|(slice, control)| MMsgHdr::new_with_addr(&self.to, slice, control))
            .collect();
        let mut first = 0;
        while first < messages.len() {
            let Ok(sent) = sendmmsg(&self.socket, &mut messages[first..], SendFlags::DONTWAIT) else {
                return;
            };
            first += sent.max(1);
        }
    }
}
