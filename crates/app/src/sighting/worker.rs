//! The thread that a session runs on: neither ticks nor pages wait for solving or for the disk.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use axum::extract::ws::Utf8Bytes;
use lanthorn_live::{Clock, Snapshot};
use lanthorn_rig::aim::Head;
use lanthorn_rig::plan::{Finding, plan};
use tokio::sync::watch;

use super::{Act, Seen, Session};
use crate::current::{Both, Current, Edits};
use crate::planned::{Playing, with_show};
use crate::scene;
use crate::wire::{Intent, SightingNow};

/// How often a session goes on by itself.
const PACE: Duration = Duration::from_millis(30);
/// How often what is not in the file yet is tried again, in paces.
const TRY_AGAIN: u32 = 100;

/// Where intents go.
#[derive(Clone, Debug)]
pub(crate) struct Sighting(Sender<Intent>);

/// What the thread and the one that looks at the machine tell each other.
#[derive(Clone, Debug)]
pub(crate) struct Onlooker(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    seen: Mutex<Seen>,
    now: Mutex<Option<SightingNow>>,
    /// The rig as it is believed to hang, and the lights that are new in it.
    renewed: Mutex<Option<(Both, Vec<usize>)>>,
}

/// What the thread owns.
struct Worker {
    session: Session,
    /// What the session is about.
    both: Both,
    /// What the moves of the show ask of its motors, as last known.
    moves: Vec<Finding>,
    /// Who finds that out anew.
    playing: Option<Playing>,
    /// What that is about has changed since: once it is done, it begins anew. Playing a show takes a whole processor.
    outdated: bool,
    intents: Receiver<Intent>,
    shared: Arc<Shared>,
    current: Arc<Current>,
    clock: Clock,
    scene: watch::Sender<Utf8Bytes>,
    /// What pages were told that can be taken back.
    edits: Edits,
    /// Heads that the machine has not taken yet.
    heads: Vec<(usize, Head)>,
}

impl Sighting {
    /// Starts the thread; it ends with `stop`.
    pub(crate) fn start(
        session: Session,
        (both, moves): (Both, Result<Vec<Finding>, Playing>),
        current: &Arc<Current>,
        (clock, first): (Clock, &Snapshot),
        scene: watch::Sender<Utf8Bytes>,
        stop: Arc<AtomicBool>,
    ) -> std::io::Result<(Self, Onlooker, std::thread::JoinHandle<()>)> {
        let (sender, intents) = channel();
        let shared = Arc::new(Shared {
            seen: Mutex::new(Seen {
                now: first.now,
                frames: first.frames.clone(),
                blackout: first.status.blackout,
            }),
            now: Mutex::default(),
            renewed: Mutex::default(),
        });
        let onlooker = Onlooker(shared.clone());
        let (moves, playing) = match moves {
            Ok(moves) => (moves, None),
            Err(playing) => (Vec::new(), Some(playing)),
        };
        let worker = Worker {
            session,
            both,
            moves,
            playing,
            outdated: false,
            intents,
            shared,
            current: current.clone(),
            clock,
            scene,
            edits: current.edits(),
            heads: Vec::new(),
        };
        let thread = std::thread::Builder::new()
            .name("lanthorn-sighting".to_owned())
            .spawn(move || worker.run(&stop))?;
        Ok((Self(sender), onlooker, thread))
    }

    /// Hands an intent over; every one that concerns a light in hand.
    pub(crate) fn take(&self, intent: &Intent) {
        // The thread ends only with everything else.
        let _ = self.0.send(intent.clone());
    }
}

impl Onlooker {
    /// Tells what is sent now, and hears what is going on.
    pub(crate) fn look(&self, snapshot: &Snapshot) -> Option<SightingNow> {
        let mut seen = lock(&self.0.seen);
        seen.now = snapshot.now;
        seen.frames.copy_from(&snapshot.frames);
        seen.blackout = snapshot.status.blackout;
        drop(seen);
        lock(&self.0.now).clone()
    }

    /// The lights that are believed to hang otherwise since this was last asked.
    pub(crate) fn renewed(&self) -> Option<(Both, Vec<usize>)> {
        lock(&self.0.renewed).take()
    }
}

impl Worker {
    fn run(mut self, stop: &AtomicBool) {
        let mut paces: u32 = 0;
        while !stop.load(Ordering::Acquire) {
            let intent = match self.intents.recv_timeout(PACE) {
                Ok(intent) => Some(intent),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => break,
            };
            self.follow();
            let mut seen = lock(&self.shared.seen).clone();
            if let Some(intent) = intent {
                // A stopwatch is stopped when it is tapped, not at the tick before.
                seen.now = self.clock.now();
                self.session.take(&intent, &seen);
            } else {
                paces = paces.wrapping_add(1);
                if paces.is_multiple_of(TRY_AGAIN) {
                    self.session.write_again();
                }
            }
            self.session.look(&seen);
            self.act();
            self.hear_of_moves();
            *lock(&self.shared.now) = self.session.now(seen.now);
        }
        if let Some(said) = self.session.finish() {
            eprintln!("take care: what was sighted is not all in the show's file. {said}");
        }
    }

    /// Goes over to another show and rig when they are replaced, and tells pages.
    fn follow(&mut self) {
        let both = self.current.both();
        if both.generation == self.both.generation {
            if self.edits != self.current.edits() {
                self.tell();
            }
            return;
        }
        self.session.replace(&both.rig);
        // Heads on their way were of the rig before: the new one has its own.
        self.heads.clear();
        *lock(&self.shared.renewed) = None;
        self.both = both;
        self.play();
        self.tell();
    }

    /// Has it found out what the moves ask of the motors now.
    fn play(&mut self) {
        self.outdated = self.playing.is_some();
        if !self.outdated {
            // Without a thread to spare what was known stays.
            self.playing = Playing::start(self.both.show.clone(), self.both.rig.clone()).ok();
        }
    }

    fn act(&mut self) {
        let mut units = Vec::new();
        let at = self.clock.now();
        let generation = self.both.generation;
        for act in self.session.acts() {
            match act {
                // What was meant for a rig that is gone is not sent.
                Act::Command(command) => {
                    self.current.ask(at, |both| (both.generation == generation).then_some(command));
                }
                Act::Renew(unit) => units.push(unit),
            }
        }
        let rig = self.session.rig();
        for &unit in &units {
            self.heads.retain(|(other, _)| *other != unit);
            self.heads.extend(Head::new(rig, &rig.units[unit]).map(|head| (unit, head)));
        }
        // What the ring does not hold goes with the next pace.
        self.heads.retain(|(unit, head)| !self.current.renew(generation, *unit, *head));
        if units.is_empty() {
            return;
        }
        self.both.rig = Arc::new(rig.clone());
        self.current.found(generation, &self.both.rig);
        self.play();
        self.tell();
        let mut renewed = lock(&self.shared.renewed);
        if let Some((_, before)) = renewed.take() {
            units.extend(before);
        }
        *renewed = Some((self.both.clone(), units));
    }

    fn hear_of_moves(&mut self) {
        if let Some(moves) = self.playing.as_ref().and_then(|playing| playing.wait(Duration::ZERO)) {
            self.playing = None;
            if self.outdated {
                self.play();
            } else if moves != self.moves {
                self.moves = moves;
                self.tell();
            }
        }
    }

    /// Tells pages of the show, and of the rig as it is believed to hang.
    fn tell(&mut self) {
        let (show, rig) = (&self.both.show, &self.both.rig);
        let mut plan = plan(rig);
        plan.findings.extend(self.moves.iter().cloned());
        let plan = with_show(plan, show, rig);
        self.edits = self.current.edits();
        self.scene.send_replace(scene::message(&self.both, &self.edits, &plan, self.session.views()));
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
