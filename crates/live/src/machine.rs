//! One tick, without the thread: everything between the command ring and the outputs.

use std::sync::Arc;

use lanthorn_dmx::Frames;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Span};
use lanthorn_rig::aim::Head;
use lanthorn_rig::limit::Held;
use lanthorn_rig::{Drive, Rig, RigState};
use lanthorn_show::command::Command;
use lanthorn_show::player::{Resume, Seen};
use lanthorn_show::{Player, Show, Succession};

use crate::engine::PERIOD;
use crate::trial::{Trial, Trials};

/// Ticks that lean come so much nearer to each other, or further apart, at most: never more than 42 a second.
pub const MOST_LEAN: Span = Span::from_millis(1);

/// They come so long after the step, lest it be missed by a hair.
const BEHIND: Span = Span::from_millis(1);

/// Show and rig, driven tick by tick. The same commands at the same moments give the same frames, in the running
/// machine and wherever frames are only computed.
#[derive(Debug)]
pub struct Machine {
    player: Player,
    drive: Drive,
    wished: RigState,
    trials: Trials,
}

/// What is to go on after a restart.
#[derive(Clone, Debug, PartialEq)]
pub struct Resuming {
    /// What was on.
    pub on: Resume,
    /// Where heads were: place in the rig, pan and tilt as they were sent.
    pub heads: Vec<(usize, Radians, Radians)>,
}

impl Machine {
    /// Ready for its first tick.
    pub fn new(show: Arc<Show>, rig: Arc<Rig>) -> Self {
        let mut drive = Drive::new(&rig);
        drive.prepare_rendering(&rig, &show.lights_rendering_best(&rig));
        Self {
            wished: RigState::dark(&rig),
            drive,
            player: Player::new(show, rig),
            trials: Trials::default(),
        }
    }

    /// Takes a command given at `at`.
    pub fn apply(&mut self, command: &Command, at: Instant) {
        self.player.apply(command, at);
    }

    /// Tries a value on one slot from the next tick on, for some seconds unless it is asked for again; none ends that.
    pub fn try_slot(&mut self, trial: Option<Trial>, now: Instant) {
        let before = self.trials.unit();
        if let Some(unit) = before.filter(|unit| trial.is_none_or(|trial| trial.unit != *unit)) {
            self.player.apply(&Command::LetGo(Some(unit)), now);
        }
        if let Some(trial) = trial.filter(|trial| trial.lit && before != Some(trial.unit)) {
            self.player.apply(&Command::Level { unit: trial.unit, level: 1.0 }, now);
        }
        self.trials.set(trial, now);
    }

    /// Aims a light by another head from the next tick on: see [`Drive::renew`].
    pub fn renew(&mut self, unit: usize, head: Head) {
        self.drive.renew(unit, head);
    }

    /// Goes on where another machine is, from the moment `now`: see [`Player::take_over`] and [`Drive::take_over`]. `self`
    /// is fresh; `old` is of no use afterwards. Does not allocate.
    pub fn take_over(&mut self, old: &mut Self, succession: &Succession, now: Instant) {
        self.player.take_over(&mut old.player, succession, now);
        self.drive.take_over(&old.drive, succession.units());
        self.trials = old.trials;
        self.trials.follow(succession.units());
    }

    /// Begins at `now` with what was on before a restart: see [`Player::resume`] and [`Drive::place`]. For a fresh machine.
    pub fn resume(&mut self, resume: &Resuming, now: Instant) {
        self.player.resume(&resume.on, now);
        for &(unit, pan, tilt) in &resume.heads {
            self.drive.place(unit, pan, tilt);
        }
    }

    /// The frames of the moment `now`. Moments must rise. Does not allocate.
    pub fn tick(&mut self, now: Instant) -> &Frames {
        if self.trials.lapsed(now) {
            self.try_slot(None, now);
        }
        self.player.frame(now, &mut self.wished);
        self.drive.tick(&self.wished, now);
        if self.trials.unit().is_some() {
            self.trials.apply(&self.player.status(now), now, self.drive.frames_mut());
        }
        self.drive.frames()
    }

    /// How much later the next tick should come than a period after the one at `now`. While something goes with music, ticks
    /// lean towards its beats and steps, so that one comes just behind the next and not up to a period later; by [`MOST_LEAN`]
    /// at most, either way.
    pub fn lean(&self, now: Instant) -> Span {
        let Some(left) = self.player.next_with_music(now) else { return Span::ZERO };
        let wanted = (left + BEHIND).secs() / PERIOD.secs();
        let ticks = wanted.round().max(1.0);
        Span::from_secs((wanted / ticks - 1.0) * PERIOD.secs()).clamp(Span::ZERO - MOST_LEAN, MOST_LEAN)
    }

    /// The frames of the last tick.
    pub const fn frames(&self) -> &Frames {
        self.drive.frames()
    }

    /// What the flash limit does now.
    pub const fn held(&self) -> Held {
        self.drive.held()
    }

    /// What is seen of the light at a place in the rig since the last tick: see [`Player::seen`].
    pub fn seen(&self, unit: usize) -> Seen {
        self.wished.units.get(unit).map(|wish| self.player.seen(unit, wish)).unwrap_or_default()
    }

    /// The player behind it.
    pub const fn player(&self) -> &Player {
        &self.player
    }
}
