//! Ears: sound comes in as blocks, or a MIDI clock as ticks, and the pulse of the music goes to the machine.
//!
//! A thread of its own follows the music, so that neither the tick nor whoever brings the sound waits for it. Blocks come
//! through a bounded queue; when it is full they are refused and counted. There is one source at a time: a new one takes the
//! place of the one before, whose blocks are then ignored.

mod listener;
mod midi_clock;
mod sound_clock;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use lanthorn_music::pulse::Pulse;
use lanthorn_music::tracker::NoTracker;
use lanthorn_physics::{Instant, Span};

use crate::Clock;
use listener::Listener;
use midi_clock::MidiClock;
pub use midi_clock::MidiMessage;
pub use sound_clock::SoundClock;

/// Most blocks that wait: two and a half seconds of those that a page sends.
const QUEUE: usize = 128;

/// Without a block for so long, the input is lost: the tempo is held, and it is said.
pub const LOST_AFTER: Span = Span::from_millis(1000);

/// How often a silent source is looked after.
const LOOK: Duration = Duration::from_millis(100);

/// Where the music is to come from.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// What a person calls it.
    pub name: String,
    /// What it brings.
    pub brings: Brings,
}

/// What a source brings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Brings {
    /// Mono sound.
    Sound {
        /// Samples a second.
        rate: u32,
        /// How long after it sounded the sound is there to be sent, as far as the source knows.
        delay: Span,
    },
    /// MIDI clock.
    MidiClock,
    /// The pulse itself, known beforehand.
    Pulse,
}

/// How the ears fare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hearing {
    /// Counts the sources that there were; 0 before the first.
    pub number: u64,
    /// What is listened to; none when nothing is.
    pub source: Option<Source>,
    /// Level, dB below a full-scale sine; none before any sound.
    pub level_db: Option<f32>,
    /// The loudest sample of late, dB below full scale.
    pub peak_db: Option<f32>,
    /// Samples have reached full scale within the last two seconds: the input is set too loud.
    pub clips: bool,
    /// Nothing comes in any more.
    pub lost: bool,
    /// How long after it sounded the sound arrives here, as far as that can be known: what the source says of itself, a block,
    /// and the time that blocks take on their way beyond the quickest.
    pub delay: Option<Span>,
    /// How much faster the source's clock runs than this machine's, parts in a million; none while it is not known.
    pub drift_ppm: Option<f64>,
    /// Holes in the sound so far.
    pub gaps: u64,
    /// Blocks that were refused, because those before them were still being listened to.
    pub refused: u64,
    /// Why the source cannot be listened to, or how it ended.
    pub problem: Option<String>,
}

/// What is said to the thread. The first number is that of the source.
enum Said {
    Open(u64, Source),
    Block { of: u64, first: Option<u64>, samples: Vec<f32>, at: Instant },
    Midi { of: u64, message: MidiMessage, secs: f64, at: Instant },
    Pulse { of: u64, pulse: Pulse, at: Instant },
    End(u64, Option<String>),
}

/// The ears. Clones are the same ears.
#[derive(Clone)]
pub struct Ears {
    say: SyncSender<Said>,
    shared: Arc<Shared>,
}

/// What both sides see.
#[derive(Default)]
struct Shared {
    /// The number of the source that counts.
    current: AtomicU64,
    refused: AtomicU64,
    hearing: Mutex<Hearing>,
}

/// The way in for one source.
#[derive(Clone)]
pub struct Feed {
    number: u64,
    ears: Ears,
}

impl Ears {
    /// Starts the thread. `give` takes the pulse for the machine (see [`Commands::hear`](crate::Commands::hear)), and none when
    /// nothing is listened to any more; it must not wait. The thread ends with `stop`.
    ///
    /// # Errors
    /// The system gave no thread.
    pub fn start(
        clock: Clock,
        give: impl FnMut(Option<Pulse>, Instant) + Send + 'static,
        stop: Arc<AtomicBool>,
    ) -> std::io::Result<(Self, std::thread::JoinHandle<()>)> {
        let (say, hear) = sync_channel(QUEUE);
        let ears = Self { say, shared: Arc::default() };
        let work =
            Work { clock, give, shared: ears.shared.clone(), state: State::default(), at: Instant::ZERO };
        let thread = std::thread::Builder::new()
            .name("lanthorn-ears".to_owned())
            .spawn(move || work.run(&hear, &stop))?;
        Ok((ears, thread))
    }

    /// Listens to a source from now on, and to no other.
    pub fn open(&self, source: Source) -> Feed {
        let number = self.shared.current.fetch_add(1, Ordering::AcqRel) + 1;
        // The first word of a source may wait for a moment: it must not be refused.
        let _ = self.say.send(Said::Open(number, source));
        Feed { number, ears: self.clone() }
    }

    /// Listens to nothing any more.
    pub fn close(&self) {
        let number = self.shared.current.fetch_add(1, Ordering::AcqRel) + 1;
        let _ = self.say.send(Said::End(number, None));
    }

    /// How they fare.
    pub fn hearing(&self) -> Hearing {
        let mut hearing = self.shared.hearing.lock().unwrap_or_else(PoisonError::into_inner).clone();
        hearing.refused = self.shared.refused.load(Ordering::Relaxed);
        hearing
    }
}

impl Feed {
    /// Which source it is: [`Hearing::number`].
    pub fn number(&self) -> u64 {
        self.number
    }

    /// `false` once another source has taken its place, or nothing is listened to.
    pub fn counts(&self) -> bool {
        self.ears.shared.current.load(Ordering::Acquire) == self.number
    }

    /// Brings mono samples, full scale ±1, which arrived at `at`. `first` counts the samples before them since the source
    /// began, where it knows: then holes are found. `false` when this source does not count any more.
    pub fn push(&self, first: Option<u64>, samples: Vec<f32>, at: Instant) -> bool {
        self.send(Said::Block { of: self.number, first, samples, at })
    }

    /// Brings a message of a MIDI clock, sent `secs` by the source's own clock; `false` likewise.
    pub fn midi(&self, message: MidiMessage, secs: f64, at: Instant) -> bool {
        self.send(Said::Midi { of: self.number, message, secs, at })
    }

    /// Brings the pulse as it is known at `at`; `false` likewise.
    pub fn pulse(&self, pulse: Pulse, at: Instant) -> bool {
        self.send(Said::Pulse { of: self.number, pulse, at })
    }

    /// The source has ended, or cannot go on.
    pub fn end(&self, why: Option<String>) {
        let _ = self.ears.say.send(Said::End(self.number, why));
    }

    fn send(&self, said: Said) -> bool {
        if !self.counts() {
            return false;
        }
        if self.ears.say.try_send(said).is_err() {
            self.ears.shared.refused.fetch_add(1, Ordering::Relaxed);
        }
        true
    }
}

/// What the thread owns.
struct Work<Give> {
    clock: Clock,
    give: Give,
    shared: Arc<Shared>,
    state: State,
    /// When something came in last.
    at: Instant,
}

/// What is listened to.
#[derive(Default)]
struct State {
    number: u64,
    source: Option<Source>,
    ear: Option<Ear>,
    lost: bool,
    problem: Option<String>,
}

enum Ear {
    Sound(Box<Listener>),
    Midi(Box<(MidiClock, SoundClock)>),
    Known(Option<Pulse>),
}

impl<Give: FnMut(Option<Pulse>, Instant)> Work<Give> {
    fn run(mut self, hear: &Receiver<Said>, stop: &AtomicBool) {
        while !stop.load(Ordering::Acquire) {
            match hear.recv_timeout(LOOK) {
                Ok(said) => self.take(said),
                Err(RecvTimeoutError::Timeout) => self.look(),
                Err(RecvTimeoutError::Disconnected) => return,
            }
        }
    }

    fn take(&mut self, said: Said) {
        match said {
            Said::Open(number, source) => self.open(number, source),
            Said::Block { of, first, samples, at } if of == self.state.number => {
                self.at = at;
                if let Some(Ear::Sound(listener)) = &mut self.state.ear {
                    listener.hear(first, &samples, at);
                    self.tell();
                }
            }
            Said::Midi { of, message, secs, at } if of == self.state.number => {
                self.at = at;
                if let Some(Ear::Midi(midi)) = &mut self.state.ear {
                    let (midi, clock) = &mut **midi;
                    clock.observe(secs, at);
                    midi.hear(message, secs);
                    self.tell();
                }
            }
            Said::Pulse { of, pulse, at } if of == self.state.number => {
                self.at = at;
                if let Some(Ear::Known(known)) = &mut self.state.ear {
                    *known = Some(pulse);
                    self.tell();
                }
            }
            Said::End(of, why) if of >= self.state.number => {
                self.state = State { number: of, problem: why, ..State::default() };
                self.show();
                (self.give)(None, self.clock.now());
            }
            Said::Block { .. } | Said::Midi { .. } | Said::Pulse { .. } | Said::End(..) => {}
        }
    }

    fn open(&mut self, number: u64, source: Source) {
        let ear = match source.brings {
            Brings::Sound { rate, delay } => {
                Listener::new(rate, delay).map(|listener| Ear::Sound(Box::new(listener)))
            }
            Brings::Pulse => Ok(Ear::Known(None)),
            Brings::MidiClock => Ok(Ear::Midi(Box::new((MidiClock::default(), SoundClock::new(Span::ZERO))))),
        };
        let (ear, problem) = match ear {
            Ok(ear) => (Some(ear), None),
            Err(why) => (None, Some(NoTracker::to_string(&why))),
        };
        self.at = self.clock.now();
        let source = ear.is_some().then_some(source);
        self.state = State { number, source, ear, lost: false, problem };
        self.show();
        (self.give)(None, self.at);
    }

    /// Nothing came for a while.
    fn look(&mut self) {
        let lost = self.state.ear.is_some() && self.clock.now() - self.at > LOST_AFTER;
        let newly = lost && !self.state.lost;
        self.state.lost |= lost;
        self.show();
        if newly {
            self.send();
        }
    }

    fn tell(&mut self) {
        self.state.lost = false;
        self.show();
        self.send();
    }

    fn send(&mut self) {
        let pulse = match &self.state.ear {
            Some(Ear::Sound(listener)) => listener.pulse(),
            Some(Ear::Midi(midi)) => midi.0.pulse(|secs| midi.1.moment(secs)),
            Some(Ear::Known(Some(pulse))) => *pulse,
            Some(Ear::Known(None)) | None => return,
        };
        let pulse = Pulse { lost: self.state.lost, ..pulse };
        (self.give)(Some(pulse), self.clock.now());
    }

    fn show(&self) {
        let State { number, source, ear, lost, problem } = &self.state;
        let mut hearing = self.shared.hearing.lock().unwrap_or_else(PoisonError::into_inner);
        if hearing.number != *number {
            *hearing = Hearing::default();
            self.shared.refused.store(0, Ordering::Relaxed);
        }
        if hearing.source != *source {
            hearing.source.clone_from(source);
        }
        hearing.problem.clone_from(problem);
        (hearing.number, hearing.lost) = (*number, *lost);
        match ear {
            Some(Ear::Sound(listener)) => listener.tell(self.clock.now(), &mut hearing),
            Some(Ear::Midi(midi)) => {
                (hearing.delay, hearing.drift_ppm) = (midi.1.delay(), midi.1.drift_ppm());
            }
            Some(Ear::Known(_)) | None => {}
        }
    }
}

#[cfg(test)]
mod tests;
