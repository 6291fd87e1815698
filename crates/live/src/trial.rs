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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use lanthorn_show::Command;

    use super::*;
    use crate::{Machine, testing};

    /// Of the first light.
    const DIMMER: u32 = 5;
    const TICK: Span = Span::from_millis(25);

    fn trial(unit: usize, slot: u32, value: u8) -> Trial {
        Trial { unit, slot: Address::new(1, slot).unwrap(), value, lit: true, pace: Span::from_millis(333) }
    }

    struct Bench {
        machine: Machine,
        now: Instant,
    }

    impl Bench {
        fn new() -> Self {
            let machine = Machine::new(Arc::new(testing::show()), Arc::new(testing::rig_of(1)));
            Self { machine, now: Instant::ZERO }
        }

        fn tick(&mut self) {
            self.now = self.now + TICK;
            self.machine.tick(self.now);
        }

        fn ticks(&mut self, ticks: usize) {
            (0..ticks).for_each(|_| self.tick());
        }

        fn slot(&self, slot: u32) -> u8 {
            let slot = Address::new(1, slot).unwrap();
            self.machine.frames().get(slot.universe).unwrap().0[slot.slot.index()]
        }

        fn try_it(&mut self, trial: Option<Trial>) {
            self.machine.try_slot(trial, self.now);
        }
    }

    #[test]
    fn a_value_is_held_and_every_other_slot_is_as_it_was() {
        let (mut tried, mut plain) = (Bench::new(), Bench::new());
        // The same hand on the light in both.
        plain.machine.apply(&Command::Level { unit: 0, level: 1.0 }, plain.now);
        tried.try_it(Some(trial(0, 9, 77)));
        for _ in 0..100 {
            tried.tick();
            plain.tick();
            let mut expected = plain.machine.frames().clone();
            let universe = Address::new(1, 9).unwrap().universe;
            expected.get_mut(universe).unwrap().0[8] = 77;
            assert_eq!(*tried.machine.frames(), expected);
        }
    }

    #[test]
    fn what_is_not_asked_for_again_ends_by_itself_and_lets_go() {
        let mut bench = Bench::new();
        bench.try_it(Some(trial(0, 9, 77)));
        for _ in 0..5 {
            bench.ticks(40);
            assert_eq!((bench.slot(9), bench.machine.player().status(bench.now).held), (77, 1));
            bench.try_it(Some(trial(0, 9, 77)));
        }
        // Nobody asks any more: after three seconds, and the two of letting go, nothing of it is left.
        bench.ticks(6 * 40);
        assert_eq!(bench.machine.player().status(bench.now).held, 0);
        let mut untouched = Bench::new();
        untouched.ticks(11 * 40);
        assert_eq!(bench.now, untouched.now);
        assert_eq!(bench.slot(9), untouched.slot(9));
    }

    #[test]
    fn the_stop_keys_come_first() {
        for stop in [Command::Blackout(true), Command::Stillness(true), Command::StopStrobe(true)] {
            let (mut tried, mut plain) = (Bench::new(), Bench::new());
            plain.machine.apply(&Command::Level { unit: 0, level: 1.0 }, plain.now);
            tried.try_it(Some(trial(0, 9, 77)));
            for bench in [&mut tried, &mut plain] {
                bench.ticks(10);
                bench.machine.apply(&stop, bench.now);
                bench.ticks(4);
            }
            assert_eq!(tried.machine.frames(), plain.machine.frames(), "{stop:?}");
        }
    }

    /// However fast values are asked for, ended and begun anew, the slot rises no more than three times in any second.
    #[test]
    fn values_change_no_faster_than_flashes_may() {
        for ends in [false, true] {
            let mut bench = Bench::new();
            // A dimmer that is dark by itself.
            bench.machine.apply(&Command::Master(0.0), bench.now);
            bench.ticks(80);
            let mut rises = Vec::new();
            let mut before = 255;
            for turn in 0..400 {
                let value = if turn % 2 == 0 { 255 } else { 0 };
                let asked = if ends && turn % 2 == 1 { None } else { Some(trial(0, DIMMER, value)) };
                bench.try_it(asked.map(|trial| Trial { lit: false, ..trial }));
                bench.tick();
                let now = bench.slot(DIMMER);
                if now == 255 && before != 255 {
                    rises.push(bench.now);
                }
                before = now;
            }
            let most = rises
                .iter()
                .map(|from| {
                    rises.iter().filter(|at| **at >= *from && **at - *from < Span::from_secs(1.0)).count()
                })
                .max();
            assert!(most.is_some_and(|most| (1..=3).contains(&most)), "{most:?}");
        }
    }

    #[test]
    fn after_the_rig_was_replaced_it_waits_until_it_is_asked_for_anew() {
        let mut bench = Bench::new();
        bench.try_it(Some(trial(0, 9, 77)));
        bench.ticks(40);
        let mut trials = Trials::default();
        trials.set(Some(trial(3, 9, 77)), bench.now);
        trials.follow(&[None, Some(3), Some(0)]);
        assert_eq!(trials.unit(), Some(1), "the same light");
        let mut frames = bench.machine.frames().clone();
        let universe = Address::new(1, 9).unwrap().universe;
        frames.get_mut(universe).unwrap().0[8] = 1;
        trials.apply(&bench.machine.player().status(bench.now), bench.now, &mut frames);
        assert_eq!(frames.get(universe).unwrap().0[8], 1);
        trials.follow(&[None]);
        assert_eq!(trials.unit(), None, "it is gone");
    }
}
