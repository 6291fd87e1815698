//! What strangers and greedy pages cost the lights: the built program behind its door, with a chase on, left alone and
//! besieged by turns. How late packets are is seen from outside, by a receiver on the loopback interface.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream, UdpSocket};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use lanthorn_bench::{Times, head, program, row};
use lanthorn_live::clock;
use lanthorn_live::engine::PERIOD;
use serde_json::{Value, json};
use tungstenite::{Message, WebSocket};

/// Each phase, and how many of each kind.
const PHASE: Duration = Duration::from_secs(8);
const ROUNDS: usize = 3;
/// Paired pages that read nothing.
const READ_NOTHING: usize = 200;

type Page = WebSocket<TcpStream>;

fn main() {
    let receiver =
        UdpSocket::bind("127.0.0.1:5568").expect("port 5568 is free: end other programs that receive sACN");
    receiver.set_read_timeout(Some(Duration::from_secs(5))).expect("a time that is not zero");
    let (program, address, mut lines) = program::start(&["--lan", "--everyone-pairs", "--start", "Sheaves"]);
    let code = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| Some(line.strip_prefix("code")?.trim().to_owned()));
    program::read_on(lines);
    let mut page = program::socket(address).0;
    say(&mut page, &json!({ "type": "pair", "code": code.expect("a code is printed"), "name": "a phone" }));
    let token = wait(&mut page, |heard| (heard["type"] == "admitted").then(|| heard["token"].clone()));
    say(&mut page, &json!({ "type": "chase", "name": "Reel", "on": true }));

    println!(
        "packets at the receiver, {ROUNDS} times {} s each way; ms after the earliest grid",
        PHASE.as_secs()
    );
    head(&["", "packets", "p50 ms", "p90 ms", "p99 ms", "longest ms", "late ticks"]);
    let mut rows = [("left alone", Vec::new(), 0.0), ("besieged", Vec::new(), 0.0)];
    let asked = Counts::default();
    for _ in 0..ROUNDS {
        for (besieged, (_, late, ticks)) in rows.iter_mut().enumerate() {
            let siege = (besieged == 1).then(|| Siege::lay(address, &token, &asked));
            let before = late_ticks(&mut page);
            late.extend(lateness(&receiver));
            *ticks += late_ticks(&mut page) - before;
            drop(siege);
            // What was in the pipes runs out.
            std::thread::sleep(Duration::from_secs(1));
        }
    }
    for (words, late, ticks) in rows {
        let packets = late.len();
        let times = Times::new(late);
        let ms = |place| format!("{:.2}", times.at(place) / 1e3);
        row(&[
            words.to_owned(),
            packets.to_string(),
            ms(0.5),
            ms(0.9),
            ms(0.99),
            ms(1.0),
            format!("{ticks}"),
        ]);
    }
    let count = |count: &AtomicU64| count.load(Ordering::Relaxed);
    println!(
        "in the siege: {READ_NOTHING} paired pages that read nothing, {} wrong codes, {} sockets full of noise, {} frames of 10 MB; \
         let in by all that: {}",
        count(&asked.codes),
        count(&asked.noise),
        count(&asked.giants),
        count(&asked.let_in),
    );
    drop(program);
}

fn say(page: &mut Page, what: &Value) {
    page.send(Message::text(what.to_string())).expect("the page's socket is open");
}

/// Reads until something is heard.
fn wait<T>(page: &mut Page, wanted: impl Fn(&Value) -> Option<T>) -> T {
    loop {
        let message = page.read().expect("the page's socket is open");
        let heard = serde_json::from_str(message.to_text().unwrap_or_default()).unwrap_or_default();
        // The machine sends the next moment once this one was seen.
        say(page, &json!({ "type": "seen" }));
        if let Some(found) = wanted(&heard) {
            return found;
        }
    }
}

fn late_ticks(page: &mut Page) -> f64 {
    // The first that is heard may have waited long.
    (0..3).map(|_| wait(page, |heard| heard["link"]["late"].as_f64())).fold(0.0, f64::max)
}

/// How late each packet of a phase came, after the grid of ticks that the earliest of them lie on.
fn lateness(receiver: &UdpSocket) -> Vec<Duration> {
    receiver.set_nonblocking(true).expect("a socket");
    let mut packet = [0; 1500];
    while receiver.recv(&mut packet).is_ok() {}
    receiver.set_nonblocking(false).expect("a socket");
    let (start, period) = (Instant::now(), clock::duration(PERIOD).as_secs_f64());
    let mut at = Vec::new();
    while start.elapsed() < PHASE {
        receiver.recv(&mut packet).expect("packets go on");
        at.push(start.elapsed().as_secs_f64());
    }
    // The phase of the grid: where most packets lie, their mean place within the tick taken as an angle.
    let angle = |time: &f64| time / period * std::f64::consts::TAU;
    let (sin, cos) = at
        .iter()
        .map(|time| angle(time).sin_cos())
        .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let middle = f64::atan2(sin, cos) / std::f64::consts::TAU * period;
    let off = |time: &f64| (time - middle + period / 2.0).rem_euclid(period) - period / 2.0;
    let mut offs: Vec<f64> = at.iter().map(off).collect();
    offs.sort_by(f64::total_cmp);
    // Nearly all lie within a tenth of a millisecond: what is far before the tenth of them is late for the tick before.
    let first = offs.get(offs.len() / 10).copied().unwrap_or(0.0) - 1e-3;
    let late = |off: f64| ((off - first).rem_euclid(period) - 1e-3).max(0.0);
    offs.into_iter().map(|off| Duration::from_secs_f64(late(off))).collect()
}

#[derive(Clone, Default)]
struct Counts {
    codes: Arc<AtomicU64>,
    noise: Arc<AtomicU64>,
    giants: Arc<AtomicU64>,
    let_in: Arc<AtomicU64>,
}

/// Everything at once, until it is dropped.
struct Siege {
    stop: Arc<AtomicBool>,
    threads: Vec<std::thread::JoinHandle<()>>,
    slow: Vec<Page>,
}

impl Siege {
    fn lay(address: SocketAddr, token: &Value, counts: &Counts) -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let slow = (0..READ_NOTHING)
            .map(|_| {
                let mut slow = program::socket(address).0;
                say(&mut slow, &json!({ "type": "token", "token": token }));
                slow
            })
            .collect();
        let kinds: [fn(SocketAddr, &Counts); 3] = [wrong_code, noise, giant];
        let threads = kinds.map(|kind| {
            let (stop, counts) = (stop.clone(), counts.clone());
            std::thread::spawn(move || {
                while !stop.load(Ordering::Relaxed) {
                    kind(address, &counts);
                }
            })
        });
        Self { stop, threads: threads.into(), slow }
    }
}

impl Drop for Siege {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        self.slow.clear();
        for thread in self.threads.drain(..) {
            let _ = thread.join();
        }
    }
}

/// A socket that tries wrong codes until it is thrown out.
fn wrong_code(address: SocketAddr, counts: &Counts) {
    let Ok((mut page, under)) = opened(address) else { return };
    let _ = under.set_read_timeout(Some(Duration::from_millis(200)));
    for code in ["000000", "AAAAAA", "7K2M9X"] {
        if page.send(Message::text(json!({ "type": "pair", "code": code, "name": "x" }).to_string())).is_err()
        {
            return;
        }
        counts.codes.fetch_add(1, Ordering::Relaxed);
        match page.read() {
            Ok(message) if message.to_text().is_ok_and(|text| text.contains("admitted")) => {
                counts.let_in.fetch_add(1, Ordering::Relaxed);
            }
            Ok(_) => {}
            Err(_) => return,
        }
    }
}

/// Bytes that are no frame.
fn noise(address: SocketAddr, counts: &Counts) {
    let Ok((_page, mut under)) = opened(address) else { return };
    // The constants of Knuth's MMIX generator.
    let mut state = counts.noise.fetch_add(1, Ordering::Relaxed);
    let bytes = std::iter::repeat_with(|| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    });
    let _ = under.write_all(&bytes.take(50_000).collect::<Vec<u8>>());
    let _ = under.set_read_timeout(Some(Duration::from_millis(200)));
    let _ = under.read(&mut [0; 1000]);
}

/// One text of ten million bytes.
fn giant(address: SocketAddr, counts: &Counts) {
    let Ok((_page, mut under)) = opened(address) else { return };
    counts.giants.fetch_add(1, Ordering::Relaxed);
    let length: u64 = 10_000_000;
    let mut frame = vec![0x81, 0x80 | 127];
    frame.extend(length.to_be_bytes());
    frame.extend([0; 4]);
    frame.resize(frame.len() + 10_000_000, b' ');
    let _ = under.write_all(&frame);
}

/// A socket, unless the machine takes no more for now.
fn opened(address: SocketAddr) -> Result<(Page, TcpStream), ()> {
    let stream = TcpStream::connect(address).map_err(drop)?;
    let _ = stream.set_read_timeout(Some(Duration::from_secs(2)));
    let under = stream.try_clone().map_err(drop)?;
    let socket = tungstenite::client(format!("ws://{address}/live"), stream);
    if socket.is_err() {
        std::thread::sleep(Duration::from_millis(5));
    }
    Ok((socket.map_err(drop)?.0, under))
}
