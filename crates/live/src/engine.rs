//! The tick thread.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use lanthorn_dmx::Frames;
use lanthorn_physics::{Instant, Span};
use lanthorn_rig::Rig;
use lanthorn_show::Show;
use lanthorn_show::player::{Driver, Seen};

use crate::clock::Clock;
use crate::machine::{Machine, Resuming};
use crate::output::{Output, OutputError, OutputSpec, Sender};
use crate::ring::{COMMANDS, Commands, MachineEnd, Returned, Snapshot, Snapshots, Ticks, Wish, connect};
use crate::swap::{Preparer, Replacement};

/// Forty frames a second: under the 44 that 512 slots allow (ANSI E1.11), in whole microseconds.
pub const PERIOD: Span = Span::from_millis(25);

/// The most time spent on computing missed moments.
const CATCH_UP: Span = Span::from_micros(PERIOD.micros() / 2);
/// After a tick that panicked, its frames are computed anew this much later.
const TRY_AGAIN: Span = Span::from_millis(1000);

/// The running machine. Dropping it stops the thread cleanly, terminated packets included.
#[derive(Debug)]
pub struct Engine {
    clock: Clock,
    stop: Arc<AtomicBool>,
    thread: Option<std::thread::JoinHandle<()>>,
}

/// Why the machine did not start.
#[derive(Debug, thiserror::Error)]
pub enum EngineError {
    /// An output could not be opened.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The system gave no thread.
    #[error("start the tick thread")]
    Thread(#[source] std::io::Error),
}

impl Engine {
    /// Opens the outputs, starts the thread and gives the two ways to it. The show begins
    /// at moment zero of the machine's clock, with what it starts with.
    pub fn start(
        show: Arc<Show>,
        rig: Arc<Rig>,
        outputs: &[OutputSpec],
        sender: &Sender,
    ) -> Result<(Self, Commands, Snapshots), EngineError> {
        let (run, commands, snapshots) = Run::new(show, rig, outputs, sender)?;
        Ok((run.start()?, commands, snapshots))
    }

    /// The same, going on where a machine was that has ended unasked.
    pub fn resume(
        (show, rig): (Arc<Show>, Arc<Rig>),
        resume: &Resuming,
        outputs: &[OutputSpec],
        sender: &Sender,
    ) -> Result<(Self, Commands, Snapshots), EngineError> {
        let (mut run, commands, snapshots) = Run::new(show, rig, outputs, sender)?;
        run.machine.resume(resume, Instant::ZERO);
        Ok((run.start()?, commands, snapshots))
    }

    /// The machine's clock.
    pub const fn clock(&self) -> Clock {
        self.clock
    }

    /// `true` until the thread has ended, by [`Engine::stop`] or by a fault.
    pub fn is_running(&self) -> bool {
        self.thread.as_ref().is_some_and(|thread| !thread.is_finished())
    }

    /// Ends every stream as its protocol wants it and waits for the thread.
    pub fn stop(mut self) {
        self.end();
    }

    fn end(&mut self) {
        self.stop.store(true, Ordering::Release);
        if let Some(thread) = self.thread.take() {
            // A panic in the thread has already been printed by the runtime.
            let _ = thread.join();
        }
    }
}

impl Drop for Engine {
    fn drop(&mut self) {
        self.end();
    }
}

/// What the thread owns.
struct Run {
    clock: Clock,
    machine: Machine,
    good: LastGood,
    outputs: Vec<Output>,
    end: MachineEnd,
    ticks: Ticks,
    /// What computing a tick takes, as far as is known.
    cost: Span,
    stop: Arc<AtomicBool>,
}

impl Run {
    fn new(
        show: Arc<Show>,
        rig: Arc<Rig>,
        outputs: &[OutputSpec],
        sender: &Sender,
    ) -> Result<(Self, Commands, Snapshots), OutputError> {
        let lights = rig.units.len();
        let machine = Machine::new(show.clone(), rig.clone());
        let outputs = outputs
            .iter()
            .map(|spec| Output::open(spec, sender, machine.frames()))
            .collect::<Result<Vec<_>, _>>()?;
        let settings = outputs.iter().map(Output::settings).collect();
        let preparer = Preparer::new(show, rig, machine.frames(), settings);
        let first = Snapshot {
            generation: 0,
            now: Instant::ZERO,
            frames: machine.frames().clone(),
            status: machine.player().status(Instant::ZERO),
            flashes: machine.held(),
            drivers: vec![Driver::default(); lights],
            seen: vec![Seen::default(); lights],
            groups: machine.player().group_masters().to_vec(),
            outputs: outputs.iter().map(Output::status).collect(),
            ticks: Ticks::default(),
        };
        let (commands, snapshots, end) = connect(&first, preparer);
        let clock = Clock::start();
        let good = LastGood::new(machine.frames());
        let (ticks, cost, stop) = (Ticks::default(), Span::from_millis(1), Arc::default());
        let run = Run { clock, machine, good, outputs, end, ticks, cost, stop };
        Ok((run, commands, snapshots))
    }

    fn start(self) -> Result<Engine, EngineError> {
        let (clock, stop) = (self.clock, self.stop.clone());
        let thread = std::thread::Builder::new()
            .name("lanthorn-tick".to_owned())
            .spawn(move || self.go())
            .map_err(EngineError::Thread)?;
        Ok(Engine { clock, stop, thread: Some(thread) })
    }

    fn go(mut self) {
        let mut due = Instant::ZERO;
        while !self.stop.load(Ordering::Acquire) {
            self.wait(due);
            let lateness = (self.clock.now() - due).max(Span::ZERO);
            let missed = lateness.micros() / PERIOD.micros();
            self.catch_up(due, missed);
            due = due + PERIOD * missed;
            self.ticks.late += missed.unsigned_abs();
            self.ticks.last_lateness_us = lateness.micros().unsigned_abs();
            self.tick(due);
            due = due + PERIOD + self.machine.lean(due);
        }
        for output in &mut self.outputs {
            guarded(|| output.finish(&self.clock));
        }
    }

    /// Sleeps until the tick's deadline. What the tick before had to hold back leaves on the way, as soon as it may:
    /// waiting for the next tick would halve the rate after each late one.
    fn wait(&mut self, deadline: Instant) {
        while self.clock.now() < deadline {
            let held = self.outputs.iter().filter_map(Output::held_until).min();
            let Some(held) = held.filter(|held| *held < deadline) else { break };
            self.clock.sleep_until(held);
            let now = self.clock.now();
            for output in &mut self.outputs {
                self.ticks.faults += u64::from(!guarded(|| output.pump(now)));
            }
        }
        self.clock.sleep_until(deadline);
    }

    /// Computes missed moments, which are never sent, so that motors go on from where they would be and the frames
    /// stay those of a machine that was never late. When that takes too long it would only make the loop later still:
    /// then they are jumped over.
    fn catch_up(&mut self, due: Instant, missed: i64) {
        if self.cost * missed <= CATCH_UP {
            (0..missed).for_each(|tick| self.compute(due + PERIOD * tick));
        }
    }

    fn compute(&mut self, now: Instant) {
        let begun = self.clock.now();
        self.ticks.faults += u64::from(!self.good.take(now, || self.machine.tick(now)));
        // A tick that was interrupted says little of what ticks cost: growth is believed by and by.
        let took = (self.clock.now() - begun).max(Span::from_micros(1));
        self.cost = took.min(self.cost + self.cost);
    }

    fn tick(&mut self, now: Instant) {
        // No more than a ring holds, however fast new ones come.
        for _ in 0..COMMANDS {
            let Ok(wish) = self.end.wishes.pop() else { break };
            match wish {
                Wish::Command(command, at) => {
                    let well = guarded(|| self.machine.apply(&command, at.min(now)));
                    self.ticks.faults += u64::from(!well);
                }
                Wish::Try(trial) => {
                    self.ticks.faults += u64::from(!guarded(|| self.machine.try_slot(trial, now)));
                }
                Wish::Renew(unit, head) => self.machine.renew(unit, head),
                Wish::Replace(replacement) => self.replace(replacement, now),
            }
        }
        self.compute(now);
        for output in &mut self.outputs {
            let sent = guarded(|| output.send(&self.good.frames, self.clock.now()));
            self.ticks.faults += u64::from(!sent);
        }
        self.ticks.done += 1;
        self.publish(now);
    }

    /// Goes on with another show and rig. What is left of the old ones goes back in the same box, to be freed elsewhere.
    fn replace(&mut self, mut replacement: Box<Replacement>, now: Instant) {
        let Replacement { machine, succession, frames, outputs, spares, generation, .. } = &mut *replacement;
        // Whatever could not be taken over, it is the new show and rig that go on: others count on it.
        let well = guarded(|| machine.take_over(&mut self.machine, succession, now));
        self.ticks.faults += u64::from(!well);
        std::mem::swap(&mut self.machine, machine);
        frames.copy_shared(&self.good.frames);
        std::mem::swap(&mut self.good.frames, frames);
        for (output, successor) in self.outputs.iter_mut().zip(outputs) {
            self.ticks.faults += u64::from(!guarded(|| output.take_over(successor)));
        }
        std::mem::swap(&mut self.end.spares, spares);
        self.end.generation = *generation;
        self.end.give_back(Returned::Replacement(replacement));
    }

    fn publish(&mut self, now: Instant) {
        let Self { machine, good, outputs, end, ticks, .. } = self;
        let mut published = false;
        let generation = end.generation;
        let told = guarded(|| {
            published = end.publish(|snapshot| {
                snapshot.generation = generation;
                snapshot.now = now;
                snapshot.frames.copy_from(&good.frames);
                snapshot.ticks = *ticks;
                fill(&mut snapshot.outputs, outputs.iter().map(Output::status));
                snapshot.flashes = machine.held();
                snapshot.status = machine.player().status(now);
                for (unit, driver) in snapshot.drivers.iter_mut().enumerate() {
                    *driver = machine.player().driver(unit);
                }
                fill(&mut snapshot.groups, machine.player().group_masters().iter().copied());
                for (unit, seen) in snapshot.seen.iter_mut().enumerate() {
                    *seen = machine.seen(unit);
                }
            });
        });
        ticks.faults += u64::from(!told);
        ticks.unpublished += u64::from(!published);
    }
}

/// The frames of the last tick that went well: what goes on to the lights when one does not.
#[derive(Debug)]
struct LastGood {
    frames: Frames,
    again: Option<Instant>,
}

impl LastGood {
    fn new(frames: &Frames) -> Self {
        Self { frames: frames.clone(), again: None }
    }

    /// Takes the frames that `compute` gives. When it panics, keeps those it has and leaves `compute` alone for a
    /// second, so that a fault that stays costs no more than a message a second; `false` then.
    fn take<'a>(&mut self, now: Instant, compute: impl FnOnce() -> &'a Frames) -> bool {
        if self.again.is_some_and(|again| now < again) {
            return true;
        }
        let well = guarded(|| self.frames.copy_from(compute()));
        self.again = (!well).then_some(now + TRY_AGAIN);
        well
    }
}

/// `false` when it panicked. The runtime has printed the message then; the loop goes on, for a light left burning is
/// better than an exact one that is dark.
fn guarded(what: impl FnOnce()) -> bool {
    catch_unwind(AssertUnwindSafe(what)).is_ok()
}

fn fill<T>(into: &mut [T], from: impl Iterator<Item = T>) {
    for (slot, status) in into.iter_mut().zip(from) {
        *slot = status;
    }
}

#[cfg(test)]
mod tests;
