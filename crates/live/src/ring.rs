//! The two ways across the thread boundary: commands in through a bounded ring, the latest snapshot out through a
//! triple buffer. The machine never waits for the other side.

use std::sync::{Arc, Mutex, TryLockError};

use lanthorn_dmx::Frames;
use lanthorn_physics::Instant;
use lanthorn_rig::aim::Head;
use lanthorn_show::command::Command;
use lanthorn_show::player::{Driver, Status};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::output::OutputStatus;

/// Most commands that wait for one tick; what comes beyond is refused and counted.
pub const COMMANDS: usize = 256;

/// Most renewed heads that wait for one tick.
pub const RENEWALS: usize = 64;

/// The hand's side of the command ring, and of the one beside it for heads that were sighted in.
#[derive(Debug)]
pub struct Commands {
    ring: Producer<(Command, Instant)>,
    renewals: Producer<(usize, Head)>,
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
    /// Ticks that panicked, and outputs that did: the last good frames went on, and it was tried again.
    pub faults: u64,
    /// Snapshots that were not shown, because the reader took one at that very moment.
    pub unpublished: u64,
    /// Microseconds from the deadline to the start of the last tick.
    pub last_lateness_us: u64,
}

/// The reader's side of the snapshots.
#[derive(Debug)]
pub struct Snapshots {
    shelf: Arc<Mutex<Shelf>>,
    latest: Box<Snapshot>,
}

/// The machine's side of both.
#[derive(Debug)]
pub struct MachineEnd {
    pub(crate) commands: Consumer<(Command, Instant)>,
    pub(crate) renewals: Consumer<(usize, Head)>,
    shelf: Arc<Mutex<Shelf>>,
    next: Box<Snapshot>,
}

/// What lies between the two. The lock is held for no longer than two pointers take to change places, and the machine
/// only ever tries it.
#[derive(Debug)]
struct Shelf {
    snapshot: Box<Snapshot>,
    unread: bool,
}

/// Makes both ways. `first` is what a reader sees before the first tick; all buffers are its copies, so that
/// filling them later needs no allocation.
pub fn connect(first: &Snapshot) -> (Commands, Snapshots, MachineEnd) {
    let (command_in, command_out) = RingBuffer::new(COMMANDS);
    let (renewal_in, renewal_out) = RingBuffer::new(RENEWALS);
    let copy = || Box::new(first.clone());
    let shelf = Arc::new(Mutex::new(Shelf { snapshot: copy(), unread: false }));
    (
        Commands { ring: command_in, renewals: renewal_in, refused: 0 },
        Snapshots { shelf: shelf.clone(), latest: copy() },
        MachineEnd { commands: command_out, renewals: renewal_out, shelf, next: copy() },
    )
}

impl Commands {
    /// Sends a command given at the moment `at` of the machine's clock; `false` when the ring is full.
    pub fn send(&mut self, command: Command, at: Instant) -> bool {
        let sent = self.ring.push((command, at)).is_ok();
        self.refused += u64::from(!sent);
        sent
    }

    /// Has a light aimed by another head from the next tick on; `false` when the ring is full: try again after a tick.
    /// A head is plain data of fixed size, so that nothing has to come back to be freed.
    pub fn renew(&mut self, unit: usize, head: Head) -> bool {
        self.renewals.push((unit, head)).is_ok()
    }

    /// Commands refused so far because the ring was full.
    pub const fn refused(&self) -> u64 {
        self.refused
    }
}

impl Snapshots {
    /// The newest snapshot; the same one again when no tick has passed.
    pub fn latest(&mut self) -> &Snapshot {
        let mut shelf = self.shelf.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        if std::mem::take(&mut shelf.unread) {
            std::mem::swap(&mut shelf.snapshot, &mut self.latest);
        }
        drop(shelf);
        &self.latest
    }
}

impl MachineEnd {
    /// Fills a buffer and puts it in place of the one before; `false` when the reader takes one at this very moment.
    pub(crate) fn publish(&mut self, fill: impl FnOnce(&mut Snapshot)) -> bool {
        fill(&mut self.next);
        let mut shelf = match self.shelf.try_lock() {
            Ok(shelf) => shelf,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => return false,
        };
        std::mem::swap(&mut shelf.snapshot, &mut self.next);
        shelf.unread = true;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    fn ends() -> (Commands, Snapshots, MachineEnd) {
        let machine = crate::Machine::new(Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
        connect(&Snapshot {
            now: Instant::ZERO,
            frames: machine.frames().clone(),
            status: machine.player().status(Instant::ZERO),
            drivers: Vec::new(),
            outputs: Vec::new(),
            ticks: Ticks::default(),
        })
    }

    #[test]
    fn a_full_ring_refuses_and_counts() {
        let (mut commands, _snapshots, mut end) = ends();
        for _ in 0..COMMANDS {
            assert!(commands.send(Command::Go, Instant::ZERO));
        }
        assert!(!commands.send(Command::Back, Instant::ZERO) && !commands.send(Command::Back, Instant::ZERO));
        assert_eq!(commands.refused(), 2);
        assert_eq!(end.commands.pop(), Ok((Command::Go, Instant::ZERO)));
        assert!(commands.send(Command::Back, Instant::ZERO), "there is room again");
        assert_eq!(commands.refused(), 2);
    }

    #[test]
    fn a_slow_reader_gets_the_newest_and_stops_nobody() {
        let (_commands, mut snapshots, mut end) = ends();
        let mut publish = |done| assert!(end.publish(|snapshot| snapshot.ticks.done = done));
        assert_eq!(snapshots.latest().ticks.done, 0);
        (1..=1000).for_each(&mut publish);
        assert_eq!(snapshots.latest().ticks.done, 1000);
        assert_eq!(snapshots.latest().ticks.done, 1000, "no tick has passed");
        drop(snapshots);
        (1001..=1100).for_each(publish);
    }

    #[test]
    fn a_reader_at_work_is_passed_by() {
        let (_commands, mut snapshots, mut end) = ends();
        let shelf = snapshots.shelf.clone();
        let taking = shelf.lock().unwrap();
        assert!(!end.publish(|snapshot| snapshot.ticks.done = 1));
        drop(taking);
        assert_eq!(snapshots.latest().ticks.done, 0);
        assert!(end.publish(|snapshot| snapshot.ticks.done = 2));
        assert_eq!(snapshots.latest().ticks.done, 2);
    }
}
