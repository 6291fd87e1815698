//! A page's socket, and a show that runs, as tests see them from outside.

use std::io::{BufRead, BufReader, Lines, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::{Running, text};

/// Nothing here is timed; this only keeps a test that fails from hanging.
pub(super) const PATIENCE: Duration = Duration::from_secs(60);

/// A page's socket, as RFC 6455 has it: what we send is masked (with zeros), what we hear is not.
pub(super) struct Page(pub(super) TcpStream);

impl Page {
    pub(super) fn open(address: &str) -> Self {
        Self::open_at(address, "/live")
    }

    /// The same at another route.
    pub(super) fn open_at(address: &str, route: &str) -> Self {
        let mut stream = TcpStream::connect(address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        write!(
            stream,
            "GET {route} HTTP/1.1\r\nHost: {address}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\
             Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\nSec-WebSocket-Version: 13\r\n\r\n"
        )
        .unwrap();
        let mut answer = Vec::new();
        while !answer.ends_with(b"\r\n\r\n") {
            let mut byte = [0];
            stream.read_exact(&mut byte).unwrap();
            answer.push(byte[0]);
        }
        assert!(text(&answer).starts_with("HTTP/1.1 101"), "{}", text(&answer));
        Self(stream)
    }

    pub(super) fn say(&mut self, intent: &Value) {
        self.try_say(intent).unwrap();
    }

    /// An error when the machine has ended the socket.
    pub(super) fn try_say(&mut self, intent: &Value) -> std::io::Result<()> {
        let words = intent.to_string();
        let length = u8::try_from(words.len()).ok().filter(|length| *length < 126);
        let mut frame = vec![0x81];
        match length {
            Some(length) => frame.push(0x80 | length),
            None => {
                frame.push(0x80 | 126);
                frame.extend(u16::try_from(words.len()).unwrap().to_be_bytes());
            }
        }
        frame.extend([0; 4]);
        frame.extend(words.as_bytes());
        self.0.write_all(&frame)
    }

    /// Bytes as they are, no more than 65,535.
    pub(super) fn bring(&mut self, bytes: &[u8]) {
        let mut frame = vec![0x82, 0x80 | 126];
        frame.extend(u16::try_from(bytes.len()).unwrap().to_be_bytes());
        frame.extend([0; 4]);
        frame.extend(bytes);
        self.0.write_all(&frame).unwrap();
    }

    pub(super) fn hear(&mut self) -> Value {
        self.hear_or_end().expect("the socket is open")
    }

    /// The next message; none when the machine ends the socket.
    pub(super) fn hear_or_end(&mut self) -> Option<Value> {
        let mut bytes = |count: usize| {
            let mut bytes = vec![0; count];
            self.0.read_exact(&mut bytes).ok()?;
            Some(bytes)
        };
        let head = bytes(2)?;
        if head[0] == 0x88 {
            return None;
        }
        assert_eq!(head[0], 0x81, "one whole text");
        let length = match head[1] {
            126 => usize::from(u16::from_be_bytes(bytes(2)?.try_into().unwrap())),
            127 => usize::try_from(u64::from_be_bytes(bytes(8)?.try_into().unwrap())).unwrap(),
            short => usize::from(short),
        };
        Some(serde_json::from_slice(&bytes(length)?).unwrap())
    }

    /// Hears until there is something; fails the test when there never is.
    pub(super) fn wait<T>(&mut self, what: &str, found: impl Fn(&Value) -> Option<T>) -> T {
        let begun = Instant::now();
        let mut last = Value::Null;
        while begun.elapsed() < PATIENCE {
            last = self.hear();
            // The last words may just have been heard.
            let _ = self.try_say(&json!({ "type": "seen" }));
            if let Some(found) = found(&last) {
                return found;
            }
        }
        panic!("waited in vain: {what}; last heard: {}", last["sighting"])
    }
}

/// A show that runs, and its mouth: where nobody listens any more, it would end.
pub(super) type Open = (Running, Lines<BufReader<ChildStdout>>);

/// Opens a show and waits for its page: what was said, and the address.
pub(super) fn open(folder: &Path, words: &[&str]) -> (Open, Vec<String>, String) {
    let mut running = Running(
        Command::new(env!("CARGO_BIN_EXE_lanthorn"))
            .args(words)
            .args(if words.contains(&"--listen") { &[][..] } else { &["--listen", "127.0.0.1:0"] })
            .current_dir(folder)
            .env("XDG_STATE_HOME", folder.join("state"))
            .stdout(Stdio::piped())
            .spawn()
            .unwrap(),
    );
    let mut said = Vec::new();
    let mut lines = BufReader::new(running.0.stdout.take().unwrap()).lines();
    while let Some(line) = lines.next().map(Result::unwrap) {
        if let Some((_, address)) = line.split_once("http://") {
            let address = address.trim_end_matches('/').to_owned();
            return ((running, lines), said, address);
        }
        said.push(line);
    }
    panic!("no page: {said:?}")
}
