//! Setting up at the venue: what is ticked, and the line check, which lights some lights at a time and asks what they do.
//!
//! [`Session`] is a function of intents and of time, without clock, thread or socket; `worker` runs it. Whatever it wants of
//! lights goes through hand commands, so that they are limited like every other; light comes and goes slowly.

mod bump;
mod ticks;
mod view;
mod worker;

#[cfg(test)]
mod tests;

use lanthorn_dmx::Frames;
use lanthorn_physics::Instant;
use lanthorn_rig::Rig;
use lanthorn_rig::setup::{Answer, LineCheck, Part, Seen, steps};
use lanthorn_show::Command;

use crate::wire::{Intent, Otherwise};
use bump::Bump;

pub(crate) use ticks::{Ticks, file_of};
pub(crate) use worker::SetUp;

/// What the machine is at now, as far as it matters here.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Sees {
    /// Blackout is on.
    pub(crate) blackout: bool,
    /// The level over everything, perceptual.
    pub(crate) master: f64,
    /// Strobes are stopped already.
    pub(crate) strobe_stopped: bool,
}

/// Everything about setting up.
#[derive(Debug)]
pub(crate) struct Session {
    rig: Rig,
    parts: Vec<Part>,
    ticks: Ticks,
    check: Option<Check>,
    /// What each light shows of the show, perceptual.
    shows: Vec<f64>,
    acts: Vec<Command>,
}

/// The line check that is open.
#[derive(Debug)]
struct Check {
    line: LineCheck,
    bump: Bump,
    /// It was this check that stopped strobes.
    stopped_strobe: bool,
    says: String,
    /// The lights are the show's again; what was found stays to be read until the next check.
    resting: bool,
}

impl Session {
    /// Nothing is checked.
    pub(crate) fn new(rig: Rig, ticks: Ticks) -> Self {
        Self {
            parts: steps(&rig),
            shows: vec![0.0; rig.units.len()],
            rig,
            ticks,
            check: None,
            acts: Vec::new(),
        }
    }

    /// Goes over to another rig. A check of a rig that is now otherwise begins anew.
    pub(crate) fn replace(&mut self, rig: &Rig) {
        self.acts.clear();
        if *rig == self.rig {
            return;
        }
        self.rig = rig.clone();
        self.parts = steps(rig);
        self.shows = vec![0.0; rig.units.len()];
        if let Some(check) = &mut self.check {
            check.line = LineCheck::new(rig);
            check.bump = Bump::new(vec![0.0; rig.units.len()]);
            check.says = "The rig was changed: the check begins anew.".to_owned();
        }
    }

    /// What is to be done since this was last asked.
    pub(crate) fn acts(&mut self) -> Vec<Command> {
        std::mem::take(&mut self.acts)
    }

    /// Takes an intent; `false` for those that are nobody's business here.
    pub(crate) fn take(&mut self, intent: &Intent, now: Instant, sees: Sees) -> bool {
        match intent {
            Intent::SetUpTick { keys, done } => self.tick(keys, *done),
            Intent::SetUpCheck { on: true } if self.open().is_none() => self.begin(now, sees),
            Intent::SetUpCheck { on: false } => self.rest(),
            Intent::SetUpAnswer { question, otherwise } => self.answer(*question, otherwise, now),
            Intent::SetUpBack => self.back(now),
            Intent::SetUpAnew => {
                if let Some(check) = self.open() {
                    check.line.begin_anew();
                    check.says.clear();
                    check.bump.ask(now);
                }
            }
            // A hand that lets everything go ends what a hand began.
            Intent::LetGo { unit: None } => self.rest(),
            _ => return false,
        }
        true
    }

    /// Tells what is sent now, so that a check that begins fades from there.
    pub(crate) fn see(&mut self, frames: &Frames) {
        for (shows, unit) in self.shows.iter_mut().zip(&self.rig.units) {
            let heads = unit.reading(frames).map(|reading| reading.heads).unwrap_or_default();
            *shows = heads.iter().map(|head| head.output).fold(0.0, f64::max).clamp(0.0, 1.0).sqrt();
        }
    }

    /// Goes on with what takes time.
    pub(crate) fn look(&mut self, now: Instant) {
        if let Some(check) = self.check.as_mut().filter(|check| !check.resting) {
            check.bump.go_on(&check.line, now, &mut self.acts);
        }
    }

    fn tick(&mut self, keys: &[String], done: bool) {
        let known = |key: &&String| {
            self.parts
                .iter()
                .flat_map(|part| &part.cards)
                .flat_map(|card| &card.steps)
                .any(|step| step.key == **key)
        };
        let known: Vec<String> = keys.iter().filter(known).cloned().collect();
        self.ticks.set(&known, done);
    }

    fn begin(&mut self, now: Instant, sees: Sees) {
        let mut bump = Bump::new(self.shows.clone());
        bump.ask(now);
        if !sees.strobe_stopped {
            self.acts.push(Command::StopStrobe(true));
        }
        let line = LineCheck::new(&self.rig);
        self.check = Some(Check {
            line,
            bump,
            stopped_strobe: !sees.strobe_stopped,
            says: String::new(),
            resting: false,
        });
    }

    /// The check whose lights are in hand.
    fn open(&mut self) -> Option<&mut Check> {
        self.check.as_mut().filter(|check| !check.resting)
    }

    /// The lights go back to the show.
    fn rest(&mut self) {
        let Some(check) = self.check.as_mut().filter(|check| !check.resting) else { return };
        check.resting = true;
        let plan = check.line.plan();
        self.acts.extend(plan.lit.iter().map(|unit| Command::LetGo(Some(*unit))));
        if check.stopped_strobe {
            self.acts.push(Command::StopStrobe(false));
        }
    }

    fn answer(&mut self, question: u32, otherwise: &[Otherwise], now: Instant) {
        let Some(check) = self.check.as_mut().filter(|check| !check.resting) else { return };
        // A key that was tapped twice answers once.
        if check.line.count() as u64 != u64::from(question) {
            return;
        }
        let Some(asked) = check.line.asked() else { return };
        let mut seen = asked.expected.clone();
        for Otherwise { unit, seen: is } in otherwise {
            let Some(place) = self.rig.index_of(*unit) else { continue };
            let is = is.map(Seen::from);
            if is.is_none_or(|is| asked.ask.classes().contains(&is)) && seen[place].is_some() {
                seen[place] = is;
            }
        }
        check.line.answer(Answer(seen));
        check.says.clear();
        check.bump.ask(now);
    }

    fn back(&mut self, now: Instant) {
        if let Some(check) = self.open()
            && check.line.back()
        {
            check.bump.ask(now);
        }
    }
}
