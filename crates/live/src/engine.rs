//! The tick thread.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use lanthorn_physics::{Instant, Span};
use lanthorn_rig::Rig;
use lanthorn_show::Show;
use lanthorn_show::player::Driver;

use crate::clock::Clock;
use crate::machine::Machine;
use crate::output::{Output, OutputError, OutputSpec, OutputStatus, Sender};
use crate::ring::{Commands, MachineEnd, Snapshot, Snapshots, Ticks, connect};

/// Forty frames a second: under the 44 that 512 slots allow (ANSI E1.11), in whole microseconds.
pub const PERIOD: Span = Span::from_millis(25);

/// After a stall, at most so many missed moments are computed (not sent), so that a chase or a motor goes on from
/// where it would be; a longer stall is jumped over.
const CATCH_UP: i64 = 40;

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
        let lights = rig.units.len();
        let machine = Machine::new(show, rig);
        let outputs = outputs
            .iter()
            .map(|spec| Output::open(spec, sender, machine.frames()))
            .collect::<Result<Vec<_>, _>>()?;
        let first = Snapshot {
            now: Instant::ZERO,
            frames: machine.frames().clone(),
            status: machine.player().status(Instant::ZERO),
            drivers: vec![Driver::default(); lights],
            outputs: outputs.iter().map(Output::status).collect(),
            ticks: Ticks::default(),
        };
        let (commands, snapshots, end) = connect(&first);
        let clock = Clock::start();
        let stop = Arc::new(AtomicBool::new(false));
        let run = Run { clock, machine, outputs, end, ticks: Ticks::default(), stop: stop.clone() };
        let thread = std::thread::Builder::new()
            .name("lanthorn-tick".to_owned())
            .spawn(move || run.go())
            .map_err(EngineError::Thread)?;
        Ok((Self { clock, stop, thread: Some(thread) }, commands, snapshots))
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
    outputs: Vec<Output>,
    end: MachineEnd,
    ticks: Ticks,
    stop: Arc<AtomicBool>,
}

impl Run {
    fn go(mut self) {
        let mut tick: i64 = 0;
        while !self.stop.load(Ordering::Acquire) {
            let deadline = Instant::ZERO + PERIOD * tick;
            self.clock.sleep_until(deadline);
            let lateness = self.clock.now() - deadline;
            let missed = lateness.micros() / PERIOD.micros();
            self.ticks.last_lateness_us = u64::try_from(lateness.micros()).unwrap_or(0);
            if missed > 0 {
                self.ticks.late += missed.unsigned_abs();
                for skipped in (tick + (missed - CATCH_UP).max(0))..(tick + missed) {
                    self.machine.tick(Instant::ZERO + PERIOD * skipped);
                }
                tick += missed;
            }
            self.tick(Instant::ZERO + PERIOD * tick);
            tick += 1;
        }
        for output in &mut self.outputs {
            output.finish(&self.clock);
        }
    }

    fn tick(&mut self, now: Instant) {
        while let Ok((command, at)) = self.end.commands.pop() {
            self.machine.apply(&command, at.min(now));
        }
        let frames = self.machine.tick(now);
        for output in &mut self.outputs {
            output.send(frames, self.clock.now());
        }
        self.ticks.done += 1;
        let (machine, outputs, ticks) = (&self.machine, &self.outputs, self.ticks);
        let published = self.end.publish(|snapshot| {
            snapshot.now = now;
            snapshot.frames.copy_from(machine.frames());
            snapshot.status = machine.player().status(now);
            for (unit, driver) in snapshot.drivers.iter_mut().enumerate() {
                *driver = machine.player().driver(unit);
            }
            fill(&mut snapshot.outputs, outputs.iter().map(Output::status));
            snapshot.ticks = ticks;
        });
        self.ticks.unpublished += u64::from(!published);
    }
}

fn fill(into: &mut [OutputStatus], from: impl Iterator<Item = OutputStatus>) {
    for (slot, status) in into.iter_mut().zip(from) {
        *slot = status;
    }
}
