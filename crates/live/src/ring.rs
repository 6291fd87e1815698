//! The two ways across the thread boundary: commands in through a bounded ring, snapshots out through a pool of
//! buffers that go round. Neither side ever waits for the other.

use lanthorn_dmx::Frames;
use lanthorn_physics::Instant;
use lanthorn_show::command::Command;
use lanthorn_show::player::{Driver, Status};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::output::OutputStatus;

/// Most commands that wait for one tick; what comes beyond is refused and counted.
pub const COMMANDS: usize = 256;
/// Snapshots in the round.
const SNAPSHOTS: usize = 4;

/// The hand's side of the command ring.
#[derive(Debug)]
pub struct Commands {
    ring: Producer<(Command, Instant)>,
    refused: u64,
}

/// What the machine did in one tick.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// The tick's moment.
    pub now: Instant,
    /// The channel values that were handed to the outputs.
    pub frames: Frames,
    /// What the player does.
    pub status: Status,
    /// Who drives each light, in the rig's order.
    pub drivers: Vec<Driver>,
    /// How every output fares.
    pub outputs: Vec<OutputStatus>,
    /// How the loop fares.
    pub ticks: Ticks,
}

/// How the loop fares.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Ticks {
    /// Ticks whose frames were handed to the outputs.
    pub done: u64,
    /// Ticks that came a whole period or more too late: computed, never sent in a burst.
    pub late: u64,
    /// Snapshots that found no free buffer.
    pub unpublished: u64,
    /// Microseconds from the deadline to the start of the last tick.
    pub last_lateness_us: u64,
}

/// The reader's side of the snapshots.
#[derive(Debug)]
pub struct Snapshots {
    filled: Consumer<Box<Snapshot>>,
    empty: Producer<Box<Snapshot>>,
    latest: Box<Snapshot>,
}

/// The machine's side of both.
#[derive(Debug)]
pub struct MachineEnd {
    pub(crate) commands: Consumer<(Command, Instant)>,
    filled: Producer<Box<Snapshot>>,
    empty: Consumer<Box<Snapshot>>,
}

/// Makes both ways. `first` is what a reader sees before the first tick; all buffers are its copies, so that
/// filling them later needs no allocation.
pub fn connect(first: &Snapshot) -> (Commands, Snapshots, MachineEnd) {
    let (command_in, command_out) = RingBuffer::new(COMMANDS);
    let (filled_in, filled_out) = RingBuffer::new(SNAPSHOTS);
    let (mut empty_in, empty_out) = RingBuffer::new(SNAPSHOTS);
    for _ in 0..SNAPSHOTS - 1 {
        // The ring is as large as the pool: there is always room.
        let _ = empty_in.push(Box::new(first.clone()));
    }
    (
        Commands { ring: command_in, refused: 0 },
        Snapshots { filled: filled_out, empty: empty_in, latest: Box::new(first.clone()) },
        MachineEnd { commands: command_out, filled: filled_in, empty: empty_out },
    )
}

impl Commands {
    /// Sends a command given at the moment `at` of the machine's clock; `false` when the ring is full.
    pub fn send(&mut self, command: Command, at: Instant) -> bool {
        let sent = self.ring.push((command, at)).is_ok();
        self.refused += u64::from(!sent);
        sent
    }

    /// Commands refused so far because the ring was full.
    pub const fn refused(&self) -> u64 {
        self.refused
    }
}

impl Snapshots {
    /// The newest snapshot; the same one again when no tick has passed.
    pub fn latest(&mut self) -> &Snapshot {
        while let Ok(newer) = self.filled.pop() {
            let older = std::mem::replace(&mut self.latest, newer);
            // The ring is as large as the pool: there is always room.
            let _ = self.empty.push(older);
        }
        &self.latest
    }
}

impl MachineEnd {
    /// Fills a free buffer and publishes it; `false` when the reader holds them all.
    pub(crate) fn publish(&mut self, fill: impl FnOnce(&mut Snapshot)) -> bool {
        let Ok(mut snapshot) = self.empty.pop() else { return false };
        fill(&mut snapshot);
        self.filled.push(snapshot).is_ok()
    }
}
