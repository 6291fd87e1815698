//! The thread that setting up runs on: neither ticks of the machine nor pages wait for weighing or for the disk.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::Duration;

use axum::extract::ws::Utf8Bytes;
use lanthorn_live::Clock;
use tokio::sync::watch;

use super::{Sees, Session, Ticks};
use crate::current::{Both, Current};
use crate::stage::json;
use crate::wire::{Intent, SetUpView, ToPage};

/// How often light goes on, and how often it is looked whether the show was replaced.
const PACE: Duration = Duration::from_millis(50);

/// Where intents go.
#[derive(Clone, Debug)]
pub(crate) struct SetUp(Sender<Intent>);

/// What is started: where intents go, what pages are told, the thread.
pub(crate) type Start = (SetUp, watch::Receiver<Utf8Bytes>, std::thread::JoinHandle<()>);

/// What the thread owns.
struct Worker {
    session: Session,
    both: Both,
    intents: Receiver<Intent>,
    current: Arc<Current>,
    clock: Clock,
    /// What the machine was at when pages were told last.
    seen: Sees,
    told: Option<SetUpView>,
    out: watch::Sender<Utf8Bytes>,
}

impl SetUp {
    /// Starts the thread; it ends with `stop`.
    pub(crate) fn start(
        ticks: Ticks,
        current: &Arc<Current>,
        clock: Clock,
        stop: Arc<AtomicBool>,
    ) -> std::io::Result<Start> {
        let (sender, intents) = channel();
        let (out, told) = watch::channel(Utf8Bytes::default());
        let both = current.both();
        let mut worker = Worker {
            session: Session::new((*both.rig).clone(), ticks),
            both,
            intents,
            current: current.clone(),
            clock,
            seen: Sees::default(),
            told: None,
            out,
        };
        worker.tell();
        let thread = std::thread::Builder::new()
            .name("lanthorn-set-up".to_owned())
            .spawn(move || worker.run(&stop))?;
        Ok((Self(sender), told, thread))
    }

    /// Hands an intent over; every one that concerns setting up.
    pub(crate) fn take(&self, intent: &Intent) {
        // The thread ends only with everything else.
        let _ = self.0.send(intent.clone());
    }
}

impl Worker {
    fn run(mut self, stop: &AtomicBool) {
        while !stop.load(Ordering::Acquire) {
            let intent = match self.intents.recv_timeout(PACE) {
                Ok(intent) => Some(intent),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => break,
            };
            let mut changed = self.follow();
            let sees = self.sees();
            if let Some(intent) = intent {
                if let (Intent::SetUpCheck { on: true }, Some(last)) = (&intent, self.current.last()) {
                    self.session.see(&last.frames);
                }
                changed |= self.session.take(&intent, self.clock.now(), sees);
            }
            self.session.look(self.clock.now());
            self.act();
            // Weighing what is told takes its time: only when it may be another.
            if changed || sees != self.seen {
                self.seen = sees;
                self.tell();
            }
        }
    }

    /// Goes over to another show and rig when they are replaced, or to heads that are known better; `true` when it did.
    fn follow(&mut self) -> bool {
        let both = self.current.both();
        let other = both.generation != self.both.generation || !Arc::ptr_eq(&both.rig, &self.both.rig);
        if other {
            self.session.replace(&both.rig);
            self.both = both;
        }
        other
    }

    fn act(&mut self) {
        let (at, generation) = (self.clock.now(), self.both.generation);
        for command in self.session.acts() {
            // What was meant for a rig that is gone is not sent.
            self.current.ask(at, |both| (both.generation == generation).then_some(command));
        }
    }

    fn sees(&self) -> Sees {
        let status = self.current.last().map(|last| last.status);
        status.map_or(Sees { master: 1.0, ..Sees::default() }, |status| Sees {
            blackout: status.blackout,
            master: status.master,
            strobe_stopped: status.strobe_stopped,
        })
    }

    fn tell(&mut self) {
        let view = self.session.view(self.sees());
        if self.told.as_ref() != Some(&view) {
            self.out.send_replace(json(&ToPage::SetUp(Box::new(view.clone()))));
            self.told = Some(view);
        }
    }
}
