//! The ways across the thread boundary: commands, renewed heads and replacements in through one bounded ring, so that
//! each is taken in its order; the latest snapshot out through a triple buffer; what the machine has no use for any more
//! out through a ring of its own, to be freed here. The machine never waits for the other side.

use std::sync::{Arc, Mutex, TryLockError};

use lanthorn_dmx::Frames;
use lanthorn_music::pulse::Pulse;
use lanthorn_physics::Instant;
use lanthorn_rig::aim::Head;
use lanthorn_rig::limit::Held;
use lanthorn_show::command::Command;
use lanthorn_show::player::{Driver, Seen, Status};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::output::OutputStatus;
use crate::swap::{Preparer, REPLACEMENTS, Replacement, SwapError};
use crate::trial::Trial;

/// Most commands that wait for one tick; what comes beyond is refused and counted.
pub const COMMANDS: usize = 256;

/// How many buffers go round between the machine and the reader of snapshots.
pub(crate) const BUFFERS: usize = 3;

/// Most that the machine gives back before somebody takes it: each replacement, and the buffers it takes the place of.
const RETURNS: usize = 32;

/// The hand's side of the ring.
#[derive(Debug)]
pub struct Commands {
    ring: Producer<Wish>,
    returns: Consumer<Returned>,
    preparer: Preparer,
    /// Replacements that have not come back.
    out: usize,
    refused: u64,
}

/// What the machine is asked for.
#[derive(Debug)]
pub(crate) enum Wish {
    /// By a hand, at a moment.
    Command(Command, Instant),
    /// To try a value on one slot; none ends that.
    Try(Option<Trial>),
    /// To aim a light by another head.
    Renew(usize, Head),
    /// To go on with another show and rig.
    Replace(Box<Replacement>),
}

/// What the machine has no use for any more.
#[derive(Debug)]
pub(crate) enum Returned {
    /// With the machine that it has taken the place of.
    Replacement(#[expect(dead_code, reason = "it came to be dropped")] Box<Replacement>),
    Snapshot(#[expect(dead_code, reason = "it came to be dropped")] Box<Snapshot>),
}

/// What the machine did in one tick.
#[derive(Clone, Debug)]
pub struct Snapshot {
    /// Which show and rig it belongs to: 0 for those that the machine was started with, one more for each replacement.
    pub generation: u64,
    /// The tick's moment.
    pub now: Instant,
    /// The channel values that were handed to the outputs.
    pub frames: Frames,
    /// What the player does.
    pub status: Status,
    /// What the flash limit does.
    pub flashes: Held,
    /// Who drives each light, in the rig's order.
    pub drivers: Vec<Driver>,
    /// What is seen of each light, in the rig's order.
    pub seen: Vec<Seen>,
    /// The level over each group, in the rig's order.
    pub groups: Vec<f64>,
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
    pub(crate) wishes: Consumer<Wish>,
    returns: Producer<Returned>,
    shelf: Arc<Mutex<Shelf>>,
    next: Box<Snapshot>,
    /// To take the place of buffers that were made for an earlier rig.
    pub(crate) spares: [Option<Box<Snapshot>>; BUFFERS],
    pub(crate) generation: u64,
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
pub(crate) fn connect(first: &Snapshot, preparer: Preparer) -> (Commands, Snapshots, MachineEnd) {
    let (wish_in, wish_out) = RingBuffer::new(COMMANDS);
    let (return_in, return_out) = RingBuffer::new(RETURNS);
    let copy = || Box::new(first.clone());
    let shelf = Arc::new(Mutex::new(Shelf { snapshot: copy(), unread: false }));
    (
        Commands { ring: wish_in, returns: return_out, preparer, out: 0, refused: 0 },
        Snapshots { shelf: shelf.clone(), latest: copy() },
        MachineEnd {
            wishes: wish_out,
            returns: return_in,
            shelf,
            next: copy(),
            spares: [None, None, None],
            generation: first.generation,
        },
    )
}

impl Commands {
    /// Sends a command given at the moment `at` of the machine's clock; `false` when the ring is full.
    pub fn send(&mut self, command: Command, at: Instant) -> bool {
        self.tidy();
        let sent = self.ring.push(Wish::Command(command, at)).is_ok();
        self.refused += u64::from(!sent);
        sent
    }

    /// Sends the music as it is at the moment `at`, unless the ring is half full: the next comes soon, and the room is for hands.
    /// That nothing listens any more is sent like any command.
    pub fn hear(&mut self, pulse: Option<Pulse>, at: Instant) -> bool {
        (pulse.is_none() || self.ring.slots() > COMMANDS / 2) && self.send(Command::Pulse(pulse), at)
    }

    /// Has a value tried on one slot, or ends that; `false` when the ring is full. See [`Machine::try_slot`](crate::Machine::try_slot).
    pub fn try_slot(&mut self, trial: Option<Trial>) -> bool {
        self.tidy();
        let sent = self.ring.push(Wish::Try(trial)).is_ok();
        self.refused += u64::from(!sent);
        sent
    }

    /// Has a light aimed by another head from the next tick on; `false` when the ring is full: try again after a tick.
    /// A head is plain data of fixed size, so that nothing has to come back to be freed.
    pub fn renew(&mut self, unit: usize, head: Head) -> bool {
        self.tidy();
        self.ring.push(Wish::Renew(unit, head)).is_ok()
    }

    /// The way to make a replacement ready, which takes a while: for another moment than this.
    pub fn preparer(&self) -> Preparer {
        self.preparer.clone()
    }

    /// Has the machine go on with another show and rig from the next tick on; what is sent afterwards counts by their
    /// places. The new generation.
    pub fn replace(&mut self, replacement: Box<Replacement>) -> Result<u64, SwapError> {
        self.tidy();
        if replacement.generation != self.preparer.generation() + 1 {
            return Err(SwapError::Overtaken);
        }
        if self.out >= REPLACEMENTS {
            return Err(SwapError::Busy);
        }
        let next = replacement.next_preparer();
        match self.ring.push(Wish::Replace(replacement)) {
            Ok(()) => {
                self.out += 1;
                self.preparer = next;
                Ok(self.preparer.generation())
            }
            Err(_) => Err(SwapError::Busy),
        }
    }

    /// Frees what the machine has given back.
    pub fn tidy(&mut self) {
        while let Ok(returned) = self.returns.pop() {
            self.out -= usize::from(matches!(returned, Returned::Replacement(_)));
        }
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
        if self.next.generation != self.generation
            && let Some(spare) = self.spares.iter_mut().find_map(Option::take)
        {
            let old = std::mem::replace(&mut self.next, spare);
            self.give_back(Returned::Snapshot(old));
        }
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

    /// Sends something back to be freed. There is always room: no more replacements are on the way than that.
    pub(crate) fn give_back(&mut self, returned: Returned) {
        let _ = self.returns.push(returned);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;

    fn ends() -> (Commands, Snapshots, MachineEnd) {
        let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
        let machine = crate::Machine::new(show.clone(), rig.clone());
        let preparer = Preparer::new(show, rig, machine.frames(), Vec::new());
        let first = Snapshot {
            generation: 0,
            now: Instant::ZERO,
            frames: machine.frames().clone(),
            status: machine.player().status(Instant::ZERO),
            flashes: Held::default(),
            drivers: Vec::new(),
            seen: Vec::new(),
            groups: Vec::new(),
            outputs: Vec::new(),
            ticks: Ticks::default(),
        };
        connect(&first, preparer)
    }

    #[test]
    fn a_full_ring_refuses_and_counts() {
        let (mut commands, _snapshots, mut end) = ends();
        for _ in 0..COMMANDS {
            assert!(commands.send(Command::Go, Instant::ZERO));
        }
        assert!(!commands.send(Command::Back, Instant::ZERO) && !commands.send(Command::Back, Instant::ZERO));
        assert_eq!(commands.refused(), 2);
        assert!(matches!(end.wishes.pop(), Ok(Wish::Command(Command::Go, Instant::ZERO))));
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
