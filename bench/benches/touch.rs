//! From a touch on a page to the packet that leaves: the built program runs the built-in show, a page's socket says a new
//! master level, and a receiver on the loopback interface waits for the first packet in which a slot is another.

use std::io::Read;
use std::net::{SocketAddr, TcpStream, UdpSocket};
use std::time::{Duration, Instant};

use lanthorn_bench::{Times, head, program, row};
use lanthorn_live::clock;
use lanthorn_live::engine::PERIOD;
use tungstenite::{Message, WebSocket};

/// Touches of each row.
const TOUCHES: u32 = 400;
/// A hand on the master is followed at once: after some ticks the light stands still again.
const REST: Duration = Duration::from_millis(100);
/// A packet that does not come in this time never comes.
const PATIENCE: Duration = Duration::from_secs(5);
/// Where the slots begin in a packet: ANSI E1.31-2018, table 4-1.
const SLOTS: usize = 126;
/// Other pages that look on, in the second row.
const PAGES: usize = 8;

fn main() {
    let receiver =
        UdpSocket::bind("127.0.0.1:5568").expect("port 5568 is free: end other programs that receive sACN");
    receiver.set_read_timeout(Some(PATIENCE)).expect("a time that is not zero");
    let (program, address, lines) = program::start(&["--start", "Supper"]);
    program::read_on(lines);
    let mut hand = page(address);
    println!("touch to packet, {TOUCHES} touches, the program and the receiver on one computer");
    head(&["pages", "p50 ms", "p90 ms", "p99 ms", "longest ms", "p99 in ticks"]);
    tell("one, that touches", &touch(&mut hand, &receiver));
    let others: Vec<_> = (0..PAGES).map(|_| page(address)).collect();
    tell(&format!("and {PAGES} that look on"), &touch(&mut hand, &receiver));
    println!(
        "a tick is {} ms; a touch meets the next tick in half of one, in the middle",
        clock::duration(PERIOD).as_millis()
    );
    drop((others, program));
}

fn tell(what: &str, times: &Times) {
    let ms = |place| format!("{:.1}", times.at(place) / 1e3);
    let ticks = times.at(0.99) / 1e6 / clock::duration(PERIOD).as_secs_f64();
    row(&[what.to_owned(), ms(0.5), ms(0.9), ms(0.99), ms(1.0), format!("{ticks:.2}")]);
}

/// Touches again and again, at any phase of the tick.
fn touch(hand: &mut WebSocket<TcpStream>, receiver: &UdpSocket) -> Times {
    let times = (0..TOUCHES).map(|index| {
        // A step that has no common measure with the tick, so that touches fall everywhere in it.
        std::thread::sleep(REST + Duration::from_micros(u64::from(index) * 7919 % 25_000));
        let before = last(receiver);
        let level = if index % 2 == 0 { 0.4 } else { 1.0 };
        let said = Instant::now();
        hand.send(Message::text(format!(r#"{{"type":"master","level":{level}}}"#)))
            .expect("the page's socket is open");
        while slots(receiver) == before {
            assert!(said.elapsed() < PATIENCE, "the touch never came to the lights");
        }
        said.elapsed()
    });
    Times::new(times.collect())
}

/// The slots that stand now: of the last packet that has come; waits for one when none has.
fn last(receiver: &UdpSocket) -> Vec<u8> {
    receiver.set_nonblocking(true).expect("a socket");
    let mut packet = [0; 1500];
    let mut last = None;
    while let Ok(length) = receiver.recv(&mut packet) {
        last = packet.get(SLOTS..length).map(<[u8]>::to_vec);
    }
    receiver.set_nonblocking(false).expect("a socket");
    last.unwrap_or_else(|| slots(receiver))
}

fn slots(receiver: &UdpSocket) -> Vec<u8> {
    let mut packet = [0; 1500];
    let length = receiver.recv(&mut packet).expect("packets go on");
    packet.get(SLOTS..length).expect("a data packet").to_vec()
}

/// A page's socket. What the machine says to it is read and thrown away by a thread.
fn page(address: SocketAddr) -> WebSocket<TcpStream> {
    let (socket, mut hears) = program::socket(address);
    std::thread::spawn(move || {
        let mut heard = [0; 65_536];
        while hears.read(&mut heard).is_ok_and(|length| length > 0) {}
    });
    socket
}
