//! Where frames leave the machine. Every fault is counted and shown, and tried again; none ends the show.

pub mod artnet;
pub mod net;
mod networks;
pub mod sacn;
pub mod usb;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::PathBuf;

use lanthorn_dmx::rate::LEAST_GAP;
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
    /// The networks cannot be watched: no thread.
    #[error("start the thread that watches the networks")]
    Networks(#[source] std::io::Error),
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

    /// Sends again whatever has become due since [`send`](Self::send), of the same frames. Never waits.
    pub fn pump(&mut self, now: Instant) {
        match self {
            Self::Sacn(output) => output.pump(now),
            Self::ArtNet(output) => output.pump(now),
            Self::Usb(_) => {}
        }
    }

    /// When [`pump`](Self::pump) is wanted, if before the next tick: the last tick found a packet too close to the
    /// one before it, or the system's buffer full. USB ports have threads of their own and want nothing.
    pub fn held_until(&self) -> Option<Instant> {
        match self {
            Self::Sacn(output) => output.held_until(),
            Self::ArtNet(output) => output.held_until(),
            Self::Usb(_) => None,
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

    /// Goes over to the universes that `successor` was made ready for: those that stay go on undisturbed, those that go
    /// are dark and end as the protocol wants. Does not allocate; `successor` keeps what is of no use any more.
    pub(crate) fn take_over(&mut self, successor: &mut Successor) {
        match (self, successor) {
            (Self::Sacn(output), Successor::Sacn(sender)) => output.take_over(sender),
            (Self::ArtNet(output), Successor::ArtNet(sender)) => output.take_over(sender),
            (Self::Usb(output), Successor::Usb(universe)) => output.take_over(*universe),
            // Successors are made for the outputs that there are, in their order.
            _ => {}
        }
    }

    /// What is to be known of it to make a successor ready.
    pub(crate) fn settings(&self) -> OutputSettings {
        match self {
            Self::Sacn(output) => OutputSettings::Sacn(output.settings().clone()),
            Self::ArtNet(output) => OutputSettings::ArtNet(output.settings().clone()),
            Self::Usb(output) => OutputSettings::Usb(output.wanted()),
        }
    }

    /// Ends it as its protocol wants: sACN tells the end of each stream three times. Takes less than a tenth of a
    /// second, or a second for a serial port whose driver hangs.
    pub fn finish(&mut self, clock: &Clock) {
        match self {
            Self::Sacn(output) => output.finish(clock),
            Self::ArtNet(_) => {}
            Self::Usb(output) => output.finish(clock),
        }
    }
}

/// How an open output is set.
#[derive(Clone, Debug)]
pub(crate) enum OutputSettings {
    Sacn(lanthorn_dmx::sacn::Settings),
    ArtNet(lanthorn_dmx::artnet::Settings),
    /// The universe that was asked for.
    Usb(Option<Universe>),
}

/// What an output needs to go over to other universes, made ready apart from the tick.
#[derive(Debug)]
pub(crate) enum Successor {
    Sacn(lanthorn_dmx::sacn::Sender),
    ArtNet(lanthorn_dmx::artnet::Sender),
    /// The universe to carry; none: the one that was asked for is not there.
    Usb(Option<Universe>),
}

impl OutputSettings {
    /// For the universes of `frames`; `ever` are all that were used so far.
    pub(crate) fn successor(&self, frames: &Frames, ever: &[Universe]) -> Result<Successor, OutputError> {
        let universes = frames.iter().map(|(universe, _)| universe);
        let ever = ever.iter().copied();
        Ok(match self {
            Self::Sacn(settings) => {
                Successor::Sacn(lanthorn_dmx::sacn::Sender::successor(settings.clone(), universes, ever))
            }
            Self::ArtNet(settings) => {
                Successor::ArtNet(lanthorn_dmx::artnet::Sender::successor(settings.clone(), universes, ever)?)
            }
            Self::Usb(Some(wanted)) => {
                Successor::Usb(Some(*wanted).filter(|wanted| frames.get(*wanted).is_some()))
            }
            Self::Usb(None) => Successor::Usb(frames.iter().map(|(universe, _)| universe).next()),
        })
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
    /// Since the round began.
    sent: bool,
    failed: bool,
    mended: Option<Instant>,
}

impl Tally {
    /// A failing socket is looked after this often.
    const MEND: Span = Span::from_millis(1000);

    pub(crate) fn sent(&mut self, count: u64) {
        self.status.sent += count;
        self.sent |= count > 0;
    }

    pub(crate) fn failed(&mut self, count: u64, fault: Option<i32>) {
        self.status.failed += count;
        self.status.last_fault = fault;
        self.failed = true;
    }

    /// Ends a round of sending: one failure makes it a failed one, and a round in which nothing was due tells
    /// nothing. `true`, once a second while rounds fail, when the socket is to be looked after.
    pub(crate) fn close_round(&mut self, now: Instant) -> bool {
        match (std::mem::take(&mut self.sent), std::mem::take(&mut self.failed)) {
            (_, true) => self.status.state = OutputState::Failing,
            (true, false) => self.status.state = OutputState::Working,
            (false, false) => {}
        }
        let failing = self.status.state == OutputState::Failing;
        let due = failing && self.mended.is_none_or(|last| now - last >= Self::MEND);
        if due {
            self.mended = Some(now);
        }
        due
    }
}

/// When a sender that was pumped at `pumped` wants it again before its next tick. What went out at `pumped` may
/// repeat a whole gap later at the earliest and waits for the tick, which may have newer values; what is due sooner
/// was held back. What is overdue found the buffer full and tries again a little later.
pub(crate) fn held(next_due: Option<Instant>, pumped: Instant) -> Option<Instant> {
    const AGAIN: Span = Span::from_millis(2);
    next_due.filter(|due| *due < pumped + LEAST_GAP).map(|due| due.max(pumped + AGAIN))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ms(ms: f64) -> Instant {
        Instant::from_secs(ms / 1e3)
    }

    #[test]
    fn only_what_was_held_back_is_pumped() {
        // (next due, pumped at, wanted) in ms.
        for (due, pumped, wanted) in [
            (Some(122.727), 100.0, None), // sent at the pump: its repeat waits for the tick
            (Some(1000.0), 100.0, None),  // a keep-alive far off
            (Some(104.0), 100.0, Some(104.0)), // held back by the guard
            (Some(99.0), 100.0, Some(102.0)), // the buffer was full
            (Some(-1e9), 100.0, Some(102.0)), // never sent yet, and the buffer full
            (None, 100.0, None),
        ] {
            assert_eq!(held(due.map(ms), ms(pumped)), wanted.map(ms), "{due:?}");
        }
    }

    #[test]
    fn one_failure_makes_a_failed_round_and_mending_is_due_once_a_second() {
        let mut tally = Tally::default();
        tally.failed(2, Some(101));
        tally.sent(5);
        assert!(tally.close_round(ms(0.0)));
        assert_eq!(tally.status.state, OutputState::Failing);
        assert!(!tally.close_round(ms(25.0)), "nothing was due; mended just now");
        assert_eq!(tally.status.state, OutputState::Failing, "nothing was due, nothing is known");
        tally.failed(1, Some(100));
        assert!(tally.close_round(ms(1000.0)));
        tally.sent(1);
        assert!(!tally.close_round(ms(3000.0)));
        let OutputStatus { state, sent, failed, last_fault, .. } = tally.status;
        assert_eq!((state, sent, failed, last_fault), (OutputState::Working, 6, 3, Some(100)));
    }
}
