//! One slot of one light, held at a value of its own: to see what a channel of a real light does.
//!
//! The light is lit by hand meanwhile, as it is believed to be lit. The hold ends by itself when it is not renewed, so that a
//! page that goes away leaves nothing behind; and the stop keys come before it.

use lanthorn_dmx::{Address, Frames};
use lanthorn_physics::{Instant, Span};
use lanthorn_show::Status;

/// So long a trial stands after it was asked for last.
const LASTS: Span = Span::from_millis(3000);

/// What is tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// Place in the rig.
    pub unit: usize,
    /// The slot.
    pub slot: Address,
    /// What is sent there.
    pub value: u8,
    /// The light is lit at full by hand meanwhile; never what makes fog.
    pub lit: bool,
    /// The value changes no sooner after its last change than this: the time of a flash at the limit.
    pub pace: Span,
}

/// The trial that runs, and when anything was changed by one.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Trials {
    running: Option<Running>,
    changed: Option<Instant>,
}

#[derive(Clone, Copy, Debug)]
struct Running {
    trial: Trial,
    /// What is sent, which follows what is asked for.
    sent: Option<u8>,
    renewed: Instant,
    /// The rig was replaced: nothing is sent until it is asked for anew.
    waits: bool,
}

impl Trials {
    /// Begins one, goes on with it, or ends it.
    pub(crate) fn set(&mut self, trial: Option<Trial>, now: Instant) {
        let same = |before: &Running| trial.is_some_and(|trial| trial.slot == before.trial.slot);
        let sent = self.running.filter(same).and_then(|before| before.sent);
        self.running = trial.map(|trial| Running { trial, sent, renewed: now, waits: false });
    }

    /// The place of the light that is tried.
    pub(crate) fn unit(&self) -> Option<usize> {
        self.running.map(|running| running.trial.unit)
    }

    /// In a rig that took the place of another: the same light, elsewhere.
    pub(crate) fn follow(&mut self, units: &[Option<usize>]) {
        self.running = self.running.and_then(|mut running| {
            running.trial.unit = units.iter().position(|unit| *unit == Some(running.trial.unit))?;
            running.waits = true;
            Some(running)
        });
    }

    /// It was not asked for any more.
    pub(crate) fn lapsed(&self, now: Instant) -> bool {
        self.running.is_some_and(|running| now - running.renewed > LASTS)
    }

    /// Puts the value into the frames, unless a stop key is on.
    pub(crate) fn apply(&mut self, status: &Status, now: Instant, frames: &mut Frames) {
        let Some(running) = &mut self.running else { return };
        let Trial { slot, value, pace, .. } = running.trial;
        let may = self.changed.is_none_or(|changed| now - changed >= pace);
        if running.sent != Some(value) && may {
            running.sent = Some(value);
            self.changed = Some(now);
        }
        if running.waits || status.blackout || status.stillness || status.strobe_stopped {
            return;
        }
        if let (Some(sent), Some(frame)) = (running.sent, frames.get_mut(slot.universe)) {
            frame.0[slot.slot.index()] = sent;
        }
    }
}
