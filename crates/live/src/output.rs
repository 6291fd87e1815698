//! Where frames leave the machine. Every fault is counted and shown, and tried again; none ends the show.

pub mod artnet;
pub mod net;
pub mod sacn;
pub mod usb;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use lanthorn_dmx::sacn::Cid;
use lanthorn_dmx::{Frames, Universe};
use lanthorn_physics::{Instant, Span};

use crate::clock::Clock;

/// An output as asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OutputSpec {
    /// sACN (ANSI E1.31), to one address or to the multicast group of each universe.
    Sacn {
        /// A receiver's address; none is multicast.
        to: Option<SocketAddr>,
        /// Address of our own network interface to send from; none lets the system choose.
        interface: Option<Ipv4Addr>,
    },
    /// Art-Net 4, to one node or to all that answer a poll.
    ArtNet {
        /// A node's address; none polls the network.
        to: Option<SocketAddr>,
        /// Address of our own network interface; none polls on all.
        interface: Option<Ipv4Addr>,
    },
    /// A USB serial adapter.
    Usb {
        /// The device.
        path: PathBuf,
        /// What it is; none finds out by asking it.
        kind: Option<UsbKind>,
        /// The universe it carries; none is the rig's first.
        universe: Option<Universe>,
    },
}

/// The two kinds of USB adapter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UsbKind {
    /// Has a processor that makes break and timing; takes framed messages.
    Framed,
    /// A bare RS-485 adapter: break and timing are ours.
    Bare,
}

/// Who we are on the network.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sender {
    /// Kept over restarts.
    pub cid: Cid,
    /// Shown by receivers.
    pub name: String,
}

/// How an output fares. Copied every tick: no heap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OutputStatus {
    /// What it is doing.
    pub state: OutputState,
    /// Packets or frames sent.
    pub sent: u64,
    /// Sends that failed.
    pub failed: u64,
    /// The system's number for the last fault, if any.
    pub last_fault: Option<i32>,
    /// Receivers that answered (Art-Net).
    pub nodes: u32,
}

/// What an output is doing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OutputState {
    /// Sending.
    #[default]
    Working,
    /// The last sends failed; it tries again.
    Failing,
    /// Nobody has answered yet (Art-Net).
    Waiting,
    /// The device is gone; it is looked for again (USB).
    Unplugged,
}

/// Why an output could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// No socket.
    #[error("{what}: {source}")]
    Socket {
        /// What was being done.
        what: String,
        /// The system's answer.
        source: std::io::Error,
    },
    /// An interface address that is not ours.
    #[error("interface {address}: no network interface here has this address; there are {there}")]
    NoInterface {
        /// What was asked for.
        address: Ipv4Addr,
        /// Those that exist.
        there: String,
    },
    /// A universe that Art-Net cannot carry.
    #[error("Art-Net: {0}")]
    ArtNet(#[from] lanthorn_dmx::artnet::PortAddressError),
    /// A universe that the rig does not use.
    #[error("USB {path}: universe {universe} is not in this rig; it uses {there}")]
    NoUniverse {
        /// The device.
        path: String,
        /// What was asked for.
        universe: u16,
        /// Those that exist.
        there: String,
    },
    /// The system gave no thread.
    #[error("start the thread of {path}")]
    Thread {
        /// The device.
        path: String,
        /// The system's answer.
        source: std::io::Error,
    },
}

/// An open output.
#[derive(Debug)]
pub enum Output {
    /// sACN.
    Sacn(sacn::SacnOutput),
    /// Art-Net.
    ArtNet(artnet::ArtNetOutput),
    /// USB serial.
    Usb(usb::UsbOutput),
}

impl Output {
    /// Opens it for the universes of `frames`. A USB device that is not there yet is no error: it is waited for.
    pub fn open(spec: &OutputSpec, sender: &Sender, frames: &Frames) -> Result<Self, OutputError> {
        Ok(match spec {
            OutputSpec::Sacn { to, interface } => {
                Self::Sacn(sacn::SacnOutput::open(*to, *interface, sender, frames)?)
            }
            OutputSpec::ArtNet { to, interface } => {
                Self::ArtNet(artnet::ArtNetOutput::open(*to, *interface, frames)?)
            }
            OutputSpec::Usb { path, kind, universe } => {
                Self::Usb(usb::UsbOutput::open(path, *kind, *universe, frames)?)
            }
        })
    }

    /// Hands the frames of one tick over. Never waits.
    pub fn send(&mut self, frames: &Frames, now: Instant) {
        match self {
            Self::Sacn(output) => output.send(frames, now),
            Self::ArtNet(output) => output.send(frames, now),
            Self::Usb(output) => output.send(frames),
        }
    }

    /// How it fares.
    pub fn status(&self) -> OutputStatus {
        match self {
            Self::Sacn(output) => output.status(),
            Self::ArtNet(output) => output.status(),
            Self::Usb(output) => output.status(),
        }
    }

    /// Ends it as its protocol wants: sACN tells the end of each stream three times. Takes less than a tenth of a
    /// second.
    pub fn finish(&mut self, clock: &Clock) {
        match self {
            Self::Sacn(output) => output.finish(clock),
            Self::ArtNet(_) => {}
            Self::Usb(output) => output.finish(),
        }
    }
}

impl OutputSpec {
    /// In words: "sACN multicast", "Art-Net to 10.0.0.7", "USB /dev/ttyUSB0".
    pub fn words(&self) -> String {
        match self {
            Self::Sacn { to: None, interface: None } => "sACN multicast".to_owned(),
            Self::Sacn { to: None, interface: Some(own) } => format!("sACN multicast from {own}"),
            Self::Sacn { to: Some(to), .. } => format!("sACN to {}", to.ip()),
            Self::ArtNet { to: Some(to), .. } => format!("Art-Net to {}", to.ip()),
            Self::ArtNet { to: None, .. } => "Art-Net to nodes that answer".to_owned(),
            Self::Usb { path, .. } => format!("USB {}", path.display()),
        }
    }
}

/// Counts what went out and what did not, and says when to look after a socket that fails.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Tally {
    pub(crate) status: OutputStatus,
    mended: Option<Instant>,
}

impl Tally {
    /// A failing socket is looked after this often.
    const MEND: Span = Span::from_millis(1000);

    pub(crate) fn sent(&mut self, count: u64) {
        self.status.sent += count;
        self.status.state = OutputState::Working;
    }

    pub(crate) fn failed(&mut self, count: u64, fault: Option<i32>) {
        self.status.failed += count;
        self.status.last_fault = fault;
        self.status.state = OutputState::Failing;
    }

    /// `true` once a second while sends fail.
    pub(crate) fn mend_due(&mut self, now: Instant) -> bool {
        let failing = self.status.state == OutputState::Failing;
        let due = failing && self.mended.is_none_or(|last| now - last >= Self::MEND);
        if due {
            self.mended = Some(now);
        }
        due
    }
}
