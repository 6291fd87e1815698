//! The built program, measured from outside.

use std::io::{BufRead, BufReader, Lines};
use std::net::{SocketAddr, TcpStream};
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Stdio};

use tungstenite::WebSocket;

/// A program that runs until this is dropped.
#[derive(Debug)]
pub struct Program(Child, PathBuf);

impl Drop for Program {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
        let _ = std::fs::remove_dir_all(&self.1);
    }
}

/// The built-in show in the built program of this very build, or that which `LANTHORN` names; what it says goes on to be
/// read, and where its page is.
///
/// # Panics
/// When the program is not built, or tells no page.
pub fn start(options: &[&str]) -> (Program, SocketAddr, Lines<BufReader<ChildStdout>>) {
    start_show("demo", options)
}

/// The same with another show.
///
/// # Panics
/// As [`start`].
pub fn start_show(show: &str, options: &[&str]) -> (Program, SocketAddr, Lines<BufReader<ChildStdout>>) {
    // The benches lie in `deps` beside it.
    let beside =
        std::env::current_exe().ok().and_then(|path| Some(path.parent()?.parent()?.join("lanthorn")));
    let path = std::env::var_os("LANTHORN").map(PathBuf::from).or(beside).expect("a path of this program");
    assert!(path.exists(), "{}: build it first: cargo build --release", path.display());
    let state = std::env::temp_dir().join(format!("lanthorn-bench-{}", std::process::id()));
    let mut child = Command::new(&path)
        .args(["open", show, "--listen", "127.0.0.1:0", "--sacn", "127.0.0.1"])
        .args(options)
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
    (program, address, lines)
}

/// Where nobody reads what the program says, it would end: this reads on.
pub fn read_on(lines: Lines<BufReader<ChildStdout>>) {
    std::thread::spawn(move || lines.for_each(drop));
}

/// A page's socket, and the stream under it.
///
/// # Panics
/// When the page is not served.
pub fn socket(address: SocketAddr) -> (WebSocket<TcpStream>, TcpStream) {
    let stream = TcpStream::connect(address).expect("the page is served");
    stream.set_nodelay(true).expect("a socket");
    let under = stream.try_clone().expect("a socket");
    let (socket, _) = tungstenite::client(format!("ws://{address}/live"), stream).expect("the socket opens");
    (socket, under)
}
