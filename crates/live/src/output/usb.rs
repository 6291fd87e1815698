//! USB serial adapters: one thread a port, because their drivers wait.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicI32, AtomicU8, AtomicU64, Ordering};
use std::time::Duration;

use lanthorn_dmx::serial::{BIT_RATE, SLOT_US, bare, framed};
use lanthorn_dmx::{Frame, Frames, Universe};
use lanthorn_physics::units::Hertz;
use lanthorn_physics::{Instant, Span};
use rtrb::{Consumer, Producer, RingBuffer};

use super::{OutputError, OutputState, OutputStatus, UsbKind};
use crate::clock::Clock;
use crate::engine::PERIOD;

/// A device that is gone, or not there yet, is looked for this often.
const LOOK_AGAIN: Span = Span::from_millis(500);
/// A write that takes longer than this has failed: the device's buffer is full and stays so.
const WRITE_TIMEOUT: Duration = Duration::from_millis(200);
/// At the end, a port whose driver hangs is left behind after so long.
const LET_GO: Span = Span::from_millis(1000);
/// How long a framed adapter may take to say what it is.
const ANSWER_TIMEOUT: Duration = Duration::from_millis(100);

/// One adapter.
#[derive(Debug)]
pub struct UsbOutput {
    /// None: the one that was asked for is not in the rig any more.
    universe: Option<Universe>,
    wanted: Option<Universe>,
    frames: Producer<Frame>,
    shared: Arc<Shared>,
    thread: Option<std::thread::JoinHandle<()>>,
}

/// What the port's thread tells, and is told.
#[derive(Debug, Default)]
struct Shared {
    sent: AtomicU64,
    failed: AtomicU64,
    state: AtomicU8,
    fault: AtomicI32,
    stop: AtomicBool,
}

/// The calls that a transmission needs of a serial port; behind a trait, because a break does not show on a pseudo
/// terminal.
pub trait SerialLine {
    /// Starts or ends a break.
    fn set_break(&mut self, on: bool) -> std::io::Result<()>;
    /// Writes everything.
    fn write_all(&mut self, bytes: &[u8]) -> std::io::Result<()>;
    /// Waits until everything written has left.
    fn drain(&mut self) -> std::io::Result<()>;
    /// Waits at least so long.
    fn wait(&mut self, span: Span);
}

impl UsbOutput {
    pub(super) fn open(
        path: &Path,
        kind: Option<UsbKind>,
        universe: Option<Universe>,
        frames: &Frames,
    ) -> Result<Self, OutputError> {
        let shown = path.display().to_string();
        let mut there = frames.iter().map(|(universe, _)| universe);
        let wanted = universe;
        let universe = match universe {
            Some(universe) if frames.get(universe).is_some() => universe,
            None => there.next().unwrap_or(Universe::FIRST),
            Some(universe) => {
                let there = there.map(|u| u.number().to_string()).collect::<Vec<_>>().join(", ");
                return Err(OutputError::NoUniverse { path: shown, universe: universe.number(), there });
            }
        };
        let (producer, consumer) = RingBuffer::new(4);
        let shared = Arc::new(Shared::default());
        shared.state.store(state_code(OutputState::Unplugged), Ordering::Relaxed);
        let port = Port { path: path.to_owned(), kind, frames: consumer, shared: shared.clone() };
        let thread = std::thread::Builder::new()
            .name("lanthorn-usb".to_owned())
            .spawn(move || port.go())
            .map_err(|source| OutputError::Thread { path: shown, source })?;
        Ok(Self { universe: Some(universe), wanted, frames: producer, shared, thread: Some(thread) })
    }

    pub(super) fn send(&mut self, frames: &Frames) {
        // An adapter repeats what it had: a universe that is gone must be told to be dark.
        let frame = self.universe.map_or(Some(&Frame::DARK), |universe| frames.get(universe));
        if let Some(frame) = frame {
            // A full ring means that the port is behind; it takes newer values when it comes back.
            let _ = self.frames.push(*frame);
        }
    }

    pub(super) fn take_over(&mut self, universe: Option<Universe>) {
        self.universe = universe;
    }

    pub(super) fn wanted(&self) -> Option<Universe> {
        self.wanted
    }

    pub(super) fn status(&self) -> OutputStatus {
        let fault = self.shared.fault.load(Ordering::Relaxed);
        OutputStatus {
            state: state_from(self.shared.state.load(Ordering::Relaxed)),
            sent: self.shared.sent.load(Ordering::Relaxed),
            failed: self.shared.failed.load(Ordering::Relaxed),
            last_fault: (fault != 0).then_some(fault),
            nodes: 0,
        }
    }

    pub(super) fn finish(&mut self, clock: &Clock) {
        self.shared.stop.store(true, Ordering::Release);
        let Some(thread) = self.thread.take() else { return };
        let give_up = clock.now() + LET_GO;
        while !thread.is_finished() && clock.now() < give_up {
            clock.sleep_until(clock.now() + Span::from_millis(2));
        }
        if thread.is_finished() {
            // A panic in the thread has already been printed by the runtime.
            let _ = thread.join();
        }
    }
}

impl Drop for UsbOutput {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Release);
    }
}

/// What the port's thread owns.
struct Port {
    path: PathBuf,
    kind: Option<UsbKind>,
    frames: Consumer<Frame>,
    shared: Arc<Shared>,
}

impl Port {
    fn go(mut self) {
        let clock = Clock::start();
        let mut frame = None;
        while !self.stopped() {
            match OpenPort::open(&self.path, self.kind, clock) {
                Ok(mut open) => {
                    if let Err(fault) = self.run(&mut open, &mut frame, &clock) {
                        self.shared.failed.fetch_add(1, Ordering::Relaxed);
                        self.unplugged(&fault);
                    }
                }
                // Not there: nothing was sent that could have failed.
                Err(fault) => self.unplugged(&fault),
            }
            let again = clock.now() + LOOK_AGAIN;
            while !self.stopped() && clock.now() < again {
                self.newest(&mut frame);
                clock.sleep_until((clock.now() + PERIOD).min(again));
            }
        }
    }

    /// Sends until the port fails or the machine stops.
    fn run(&mut self, open: &mut OpenPort, frame: &mut Option<Frame>, clock: &Clock) -> std::io::Result<()> {
        while !self.stopped() {
            self.newest(frame);
            if let Some(frame) = frame {
                if open.send(frame, clock.now())? {
                    self.shared.sent.fetch_add(1, Ordering::Relaxed);
                }
                self.shared.state.store(state_code(OutputState::Working), Ordering::Relaxed);
            }
            // Levels come once a tick; looking twice as often keeps them fresh.
            let soon = clock.now() + Span::from_micros(PERIOD.micros() / 2);
            clock.sleep_until(open.next_due().map_or(soon, |due| due.min(soon)));
        }
        Ok(())
    }

    fn newest(&mut self, frame: &mut Option<Frame>) {
        while let Ok(newer) = self.frames.pop() {
            *frame = Some(newer);
        }
    }

    fn stopped(&self) -> bool {
        self.shared.stop.load(Ordering::Acquire)
    }

    fn unplugged(&self, fault: &std::io::Error) {
        self.shared.fault.store(fault_code(fault), Ordering::Relaxed);
        self.shared.state.store(state_code(OutputState::Unplugged), Ordering::Relaxed);
    }
}

/// A port that is open, with what is behind it.
struct OpenPort {
    line: Line,
    device: Device,
}

/// The stream to one device.
enum Device {
    Framed(framed::Sender),
    Bare(Box<bare::Sender>),
}

impl OpenPort {
    fn open(path: &Path, kind: Option<UsbKind>, clock: Clock) -> std::io::Result<Self> {
        let mut line = Line::open(path, clock)?;
        let (kind, rate) = match kind {
            Some(kind) => (kind, None),
            None => line.ask()?,
        };
        let device = match kind {
            UsbKind::Framed => Device::Framed(framed::Sender::new(rate)),
            UsbKind::Bare => {
                let sender = bare::Sender::new(bare::Settings::default()).map_err(std::io::Error::other)?;
                Device::Bare(Box::new(sender))
            }
        };
        Ok(Self { line, device })
    }

    /// Sends if a packet is due; whether one was.
    fn send(&mut self, frame: &Frame, now: Instant) -> std::io::Result<bool> {
        match &mut self.device {
            Device::Framed(sender) => {
                sender.update(frame);
                let Some(bytes) = sender.due(now) else { return Ok(false) };
                self.line.write_all(bytes)?;
            }
            Device::Bare(sender) => {
                sender.update(frame);
                let Some(transmission) = sender.due(now) else { return Ok(false) };
                transmit(&mut self.line, &transmission)?;
            }
        }
        Ok(true)
    }

    fn next_due(&self) -> Option<Instant> {
        match &self.device {
            Device::Framed(sender) => sender.next_due(),
            Device::Bare(sender) => sender.next_due(),
        }
    }
}

/// Performs one transmission: break, mark, bytes, and the time until they have left. That time is waited for as well
/// as asked for: drivers of USB adapters call the line drained while bytes are still in the chip, and the next break
/// would cut them off.
pub fn transmit(line: &mut impl SerialLine, transmission: &bare::Transmission<'_>) -> std::io::Result<()> {
    line.set_break(true)?;
    line.wait(Span::from_micros(transmission.break_us.into()));
    line.set_break(false)?;
    line.wait(Span::from_micros(transmission.mab_us.into()));
    line.write_all(transmission.bytes)?;
    line.wait(Span::from_micros(i64::from(SLOT_US) * transmission.bytes.len() as i64));
    line.drain()
}

/// A real serial port.
struct Line {
    port: serial2::SerialPort,
    clock: Clock,
}

impl Line {
    fn open(path: &Path, clock: Clock) -> std::io::Result<Self> {
        let mut port = serial2::SerialPort::open(path, |mut settings: serial2::Settings| {
            settings.set_raw();
            settings.set_baud_rate(BIT_RATE)?;
            settings.set_stop_bits(serial2::StopBits::Two);
            Ok(settings)
        })?;
        port.set_write_timeout(WRITE_TIMEOUT)?;
        port.set_read_timeout(ANSWER_TIMEOUT)?;
        Ok(Self { port, clock })
    }

    /// Asks a framed adapter for its parameters; a bare one has nobody who could answer. The rate is the adapter's own.
    fn ask(&mut self) -> std::io::Result<(UsbKind, Option<Hertz>)> {
        self.port.write_all(&framed::GET_PARAMETERS)?;
        let mut parser = framed::Parser::new();
        let mut buffer = [0; 64];
        let give_up = self.clock.now() + Span::from_millis(300);
        while self.clock.now() < give_up {
            match self.port.read(&mut buffer) {
                Ok(length) => {
                    let mut piece = &buffer[..length];
                    while let Some(message) = parser.read(&mut piece) {
                        if message.label == framed::label::GET_PARAMETERS {
                            let rate = framed::Parameters::parse(message.data).and_then(|told| told.rate);
                            return Ok((UsbKind::Framed, rate));
                        }
                    }
                }
                Err(fault) if fault.kind() == std::io::ErrorKind::TimedOut => parser.quiet(),
                Err(fault) => return Err(fault),
            }
        }
        Ok((UsbKind::Bare, None))
    }
}

impl SerialLine for Line {
    fn set_break(&mut self, on: bool) -> std::io::Result<()> {
        self.port.set_break(on)
    }

    fn write_all(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.port.write_all(bytes)
    }

    fn drain(&mut self) -> std::io::Result<()> {
        self.port.flush()
    }

    fn wait(&mut self, span: Span) {
        let until: Instant = self.clock.now() + span;
        self.clock.sleep_until(until);
    }
}

/// The system's number of a fault; that of "timed out" for a device that takes nothing more.
fn fault_code(fault: &std::io::Error) -> i32 {
    let timed_out = fault.kind() == std::io::ErrorKind::TimedOut;
    let known = fault.raw_os_error().filter(|_| !timed_out);
    known.unwrap_or(if timed_out { TIMED_OUT } else { IO_FAULT })
}

#[cfg(unix)]
const TIMED_OUT: i32 = rustix::io::Errno::TIMEDOUT.raw_os_error();
#[cfg(unix)]
const IO_FAULT: i32 = rustix::io::Errno::IO.raw_os_error();
// WSAETIMEDOUT and ERROR_GEN_FAILURE.
#[cfg(not(unix))]
const TIMED_OUT: i32 = 10060;
#[cfg(not(unix))]
const IO_FAULT: i32 = 31;

const STATES: [OutputState; 4] =
    [OutputState::Working, OutputState::Failing, OutputState::Waiting, OutputState::Unplugged];

fn state_code(state: OutputState) -> u8 {
    STATES.iter().position(|&known| known == state).unwrap_or(0) as u8
}

fn state_from(code: u8) -> OutputState {
    STATES[usize::from(code) % STATES.len()]
}
