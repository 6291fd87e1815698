//! USB adapters, played by pseudo terminals; a break does not show there, so its order is checked through the trait.

use std::fs::File;
use std::io::{Read, Write};
use std::os::unix::fs::symlink;
use std::path::Path;

use lanthorn_dmx::serial::{bare, framed};
use lanthorn_dmx::{Frame, Universe};
use lanthorn_live::output::usb::{SerialLine, transmit};
use lanthorn_live::output::{OutputState, UsbKind};
use lanthorn_live::{OutputSpec, Snapshots};
use lanthorn_physics::{Instant, Span};
use rustix::fs::OFlags;
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

use crate::{start, wait_for};

/// The far end of a port: what an adapter would be. Closing it is pulling the plug.
struct Adapter(File);

impl Adapter {
    /// Plugs a new one in, at `path`.
    fn plug_in(path: &Path) -> Self {
        let end = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&end).unwrap();
        unlockpt(&end).unwrap();
        rustix::fs::fcntl_setfl(&end, OFlags::RDWR | OFlags::NONBLOCK).unwrap();
        let port = ptsname(&end, Vec::new()).unwrap();
        let _ = std::fs::remove_file(path);
        symlink(port.to_str().unwrap(), path).unwrap();
        Self(File::from(end))
    }

    /// What has arrived; nothing while the port is not open at our side.
    fn read(&mut self) -> Vec<u8> {
        let mut buffer = vec![0; 4096];
        let length = self.0.read(&mut buffer).unwrap_or(0);
        buffer.truncate(length);
        buffer
    }

    /// Waits for the question about its parameters and answers it, as framed adapters do.
    fn answer(&mut self) {
        self.read_until("the question", |bytes| bytes.ends_with(&framed::GET_PARAMETERS).then_some(()));
        // Firmware 1.44, break 9 and mark 1 (in 10.67 us), 40 Hz.
        let answer = framed::Message { label: framed::label::GET_PARAMETERS, data: &[0x2C, 1, 9, 1, 40] };
        self.0.write_all(&answer.write().unwrap()).unwrap();
    }

    /// Reads until `find` finds something in all that has come.
    fn read_until<T>(&mut self, what: &str, mut find: impl FnMut(&[u8]) -> Option<T>) -> T {
        let mut all = Vec::new();
        wait_for(what, || {
            all.extend(self.read());
            find(&all)
        })
    }
}

fn usb(path: &Path, kind: Option<UsbKind>) -> OutputSpec {
    OutputSpec::Usb { path: path.to_owned(), kind, universe: Universe::new(2).ok() }
}

fn state(snapshots: &mut Snapshots, output: usize) -> OutputState {
    snapshots.latest().outputs[output].state
}

/// The slots of the first whole framed packet of levels.
fn framed_slots(bytes: &[u8]) -> Option<[u8; 512]> {
    let mut parser = framed::Parser::new();
    let mut rest = bytes;
    while let Some(message) = parser.read(&mut rest) {
        if message.label == framed::label::SEND {
            assert_eq!((message.data.len(), message.data[0]), (513, 0), "start code and 512 slots");
            return message.data[1..].try_into().ok();
        }
    }
    None
}

#[test]
fn a_framed_adapter_is_asked_fed_pulled_and_plugged_in_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("adapter");
    let other = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
    let outputs = [usb(&path, None), OutputSpec::Sacn { to: other.local_addr().ok(), interface: None }];
    // It starts before the adapter is there.
    let (engine, _commands, mut snapshots) = start(2, &outputs, 41);
    wait_for("no such file", || (snapshots.latest().outputs[0].last_fault == Some(2)).then_some(()));
    assert_eq!(state(&mut snapshots, 0), OutputState::Unplugged);

    let mut adapter = Adapter::plug_in(&path);
    adapter.answer();
    let slots = adapter.read_until("levels", framed_slots);
    assert_ne!(slots, [0; 512], "heads that are lit");
    wait_for("working", || (state(&mut snapshots, 0) == OutputState::Working).then_some(()));

    drop(adapter);
    wait_for("unplugged", || (state(&mut snapshots, 0) == OutputState::Unplugged).then_some(()));
    let sent = snapshots.latest().outputs[1].sent;
    wait_for("the others to go on", || (snapshots.latest().outputs[1].sent > sent + 20).then_some(()));
    assert_eq!(state(&mut snapshots, 1), OutputState::Working);

    let mut adapter = Adapter::plug_in(&path);
    adapter.answer();
    assert_ne!(adapter.read_until("levels again", framed_slots), [0; 512]);
    wait_for("working again", || (state(&mut snapshots, 0) == OutputState::Working).then_some(()));
    assert!(snapshots.latest().outputs[0].failed > 0, "what was on its way when the plug was pulled");
    engine.stop();
}

#[test]
fn a_bare_adapter_gets_start_code_and_slots_again_and_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("adapter");
    let mut adapter = Adapter::plug_in(&path);
    let (engine, mut commands, mut snapshots) = start(2, &[usb(&path, Some(UsbKind::Bare))], 42);
    assert!(commands.send(lanthorn_show::command::Command::Stillness(true), engine.clock().now()));
    wait_for("stillness", || snapshots.latest().status.stillness.then_some(()));
    // Heads that brake stand still after a while; then a packet is the same as the one before.
    let packets = adapter.read_until("three equal packets in a row", |bytes| {
        let packets: Vec<&[u8]> = bytes.chunks_exact(513).collect();
        packets
            .windows(3)
            .find(|three| three[0] == three[1] && three[1] == three[2])
            .map(|three| three[2].to_vec())
    });
    let frames = snapshots.latest().frames.clone();
    assert_eq!(packets[0], 0, "start code");
    assert_eq!(packets[1..], frames.get(Universe::new(2).unwrap()).unwrap().0);
    wait_for("the count", || (snapshots.latest().outputs[0].sent >= 3).then_some(()));
    engine.stop();
}

/// Writes down what is asked of it; fails from the call `fails_from` on.
#[derive(Default)]
struct Notebook {
    notes: Vec<String>,
    fails_from: Option<usize>,
}

impl Notebook {
    fn note(&mut self, note: String) -> std::io::Result<()> {
        self.notes.push(note);
        match self.fails_from {
            Some(call) if self.notes.len() > call => Err(std::io::ErrorKind::BrokenPipe.into()),
            _ => Ok(()),
        }
    }
}

impl SerialLine for Notebook {
    fn set_break(&mut self, on: bool) -> std::io::Result<()> {
        self.note(format!("break {on}"))
    }

    fn write_all(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.note(format!("write {} from {}", bytes.len(), bytes[0]))
    }

    fn drain(&mut self) -> std::io::Result<()> {
        self.note("drain".to_owned())
    }

    fn wait(&mut self, span: Span) {
        let _ = self.note(format!("wait {} us", span.micros()));
    }
}

#[test]
fn break_and_mark_come_before_the_bytes_and_the_line_is_given_time() {
    let mut sender = bare::Sender::new(bare::Settings::default()).unwrap();
    sender.update(&Frame::DARK);
    let transmission = sender.due(Instant::ZERO).unwrap();
    let mut line = Notebook::default();
    transmit(&mut line, &transmission).unwrap();
    // ANSI E1.11: break at least 92 us, mark at least 12 us (176 and 16 by default here), 44 us a slot.
    let want = [
        "break true",
        "wait 176 us",
        "break false",
        "wait 16 us",
        "write 513 from 0",
        "wait 22572 us",
        "drain",
    ];
    assert_eq!(line.notes, want);
    // Wherever the line fails, nothing more is asked of it.
    for call in [0, 2, 4, 6] {
        let mut line = Notebook { fails_from: Some(call), ..Notebook::default() };
        assert!(transmit(&mut line, &transmission).is_err());
        assert_eq!(line.notes, want[..=call]);
    }
}
