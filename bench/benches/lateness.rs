//! How late the loop is: the engine with eight universes to a loopback socket, beside a thread that only sleeps.

use std::net::UdpSocket;
use std::sync::Arc;
use std::time::{Duration, Instant};

use lanthorn_bench::{Times, head, machine, rig, row, show};
use lanthorn_dmx::sacn::Cid;
use lanthorn_live::engine::PERIOD;
use lanthorn_live::output::{OutputSpec, Sender};
use lanthorn_live::{Engine, clock};

const SECONDS: u64 = 10;

fn main() {
    let period = clock::duration(PERIOD);
    // Warm code and memory, as in the middle of a show.
    let mut warm = machine(8);
    warm.tick(lanthorn_physics::Instant::ZERO);
    let plain = std::thread::spawn(move || plain(period));
    let (engine, late, done, packets) = engine(None);
    let (slept, drift) = plain.join().expect("the thread that sleeps");
    println!(
        "lateness over {SECONDS} s, both at the same time, {} ms apart; us after the deadline",
        period.as_millis()
    );
    head(&["loop", "ticks", "p50 us", "p90 us", "p99 us", "longest us", "late ticks", "drift ms"]);
    let line = |name: &str, times: &Times, ticks: usize, late: u64, drift: String| {
        let at = |place| format!("{:.0}", times.at(place));
        row(&[
            name.to_owned(),
            ticks.to_string(),
            at(0.5),
            at(0.9),
            at(0.99),
            at(1.0),
            late.to_string(),
            drift,
        ]);
    };
    line("engine, absolute deadlines", &engine, done, late, "0".to_owned());
    let over = slept.count() as u64 - slept.within(period) as u64;
    line(
        "sleep, nothing else done",
        &slept,
        slept.count(),
        over,
        format!("{:.1}", drift.as_secs_f64() * 1e3),
    );
    // Every half second another show and rig, by turns of eight universes and of nine.
    let (swapping, late, done, _) = self::engine(Some(Duration::from_millis(500)));
    line("engine, swapping twice a second", &swapping, done, late, "0".to_owned());
    println!("late ticks: a whole period or more; drift: how far {SECONDS} s of relative sleeps fall behind");
    println!("the engine sent {packets} packets");
}

/// Lateness of each tick, late ticks, ticks, packets.
fn engine(swap_every: Option<Duration>) -> (Times, u64, usize, u64) {
    let receiver = UdpSocket::bind("127.0.0.1:0").expect("a socket on the loopback interface");
    let outputs = [OutputSpec::Sacn { to: receiver.local_addr().ok(), interface: None }];
    let sender = Sender { cid: Cid::from_random([7; 16]), name: "bench".to_owned() };
    let (engine, mut commands, mut snapshots) =
        Engine::start(Arc::new(show()), Arc::new(rig(8)), &outputs, &sender).expect("a thread and a socket");
    let begun = Instant::now();
    let (mut times, mut seen, mut swaps) = (Vec::new(), 0, 0);
    while begun.elapsed() < Duration::from_secs(SECONDS) {
        let ticks = snapshots.latest().ticks;
        if ticks.done > seen {
            seen = ticks.done;
            times.push(Duration::from_micros(ticks.last_lateness_us));
        }
        if swap_every.is_some_and(|every| begun.elapsed() > every * (swaps + 1)) {
            swaps += 1;
            let (show, rig) = (Arc::new(show()), Arc::new(rig(8 + swaps as usize % 2)));
            let replacement = commands.preparer().prepare(show, rig, &[]).expect("outputs that carry it");
            commands.replace(replacement).expect("the machine keeps up");
        }
        std::thread::sleep(Duration::from_millis(4));
    }
    engine.stop();
    let last = snapshots.latest();
    (Times::new(times), last.ticks.late, last.ticks.done as usize, last.outputs[0].sent)
}

/// How much longer each sleep took than asked, and how far they all fell behind together.
fn plain(period: Duration) -> (Times, Duration) {
    let begun = Instant::now();
    let mut times = Vec::new();
    while begun.elapsed() < Duration::from_secs(SECONDS) {
        let slept = Instant::now();
        std::thread::sleep(period);
        times.push(slept.elapsed().saturating_sub(period));
    }
    let drift = begun.elapsed().saturating_sub(period * times.len() as u32);
    (Times::new(times), drift)
}
