//! From a touch on a page to the packet that leaves: the built program runs the built-in show, a page's socket says a new
//! master level, and a receiver on the loopback interface waits for the first packet in which a slot is another.

use std::io::{BufRead, BufReader, Read};
use std::net::{SocketAddr, TcpStream, UdpSocket};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use lanthorn_bench::{Times, head, row};
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
    let (program, address) = program();
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

/// A program that runs until this is dropped.
struct Program(Child, PathBuf);

impl Drop for Program {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
        let _ = std::fs::remove_dir_all(&self.1);
    }
}

/// The built program on the built-in show with a still look, and where its page is.
fn program() -> (Program, SocketAddr) {
    // Of this very build: the benches lie in `deps` beside it.
    let beside =
        std::env::current_exe().ok().and_then(|path| Some(path.parent()?.parent()?.join("lanthorn")));
    let path = std::env::var_os("LANTHORN").map(PathBuf::from).or(beside).expect("a path of this program");
    assert!(path.exists(), "{}: build it first: cargo build --release", path.display());
    let state = std::env::temp_dir().join(format!("lanthorn-touch-{}", std::process::id()));
    let mut child = Command::new(&path)
        .args(["open", "demo", "--listen", "127.0.0.1:0", "--sacn", "127.0.0.1", "--start", "Supper"])
        .env("XDG_STATE_HOME", &state)
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut lines = BufReader::new(child.stdout.take().expect("it is piped")).lines();
    let program = Program(child, state);
    let page =
        lines.by_ref().map_while(Result::ok).find_map(|line| Some(line.split_once("http://")?.1.to_owned()));
    let address =
        page.and_then(|page| page.trim_end_matches('/').parse().ok()).expect("it tells where its page is");
    // Where nobody listens any more, it would end.
    std::thread::spawn(move || lines.for_each(drop));
    (program, address)
}

/// A page's socket. What the machine says to it is read and thrown away by a thread.
fn page(address: SocketAddr) -> WebSocket<TcpStream> {
    let stream = TcpStream::connect(address).expect("the page is served");
    stream.set_nodelay(true).expect("a socket");
    let mut hears = stream.try_clone().expect("a socket");
    let (socket, _) = tungstenite::client(format!("ws://{address}/live"), stream).expect("the socket opens");
    std::thread::spawn(move || {
        let mut heard = [0; 65_536];
        while hears.read(&mut heard).is_ok_and(|length| length > 0) {}
    });
    socket
}
