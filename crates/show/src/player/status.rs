//! What is on: small enough to be copied out of the tick.

use lanthorn_fixture::BeamState;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_rig::UnitWish;

use super::hand::{Hand, Held};
use super::steps::Running;
use super::{Base, Player};
use crate::follow::Following;

/// How many running chases a [`Status`] tells of; more may run.
pub const MAX_TOLD_CHASES: usize = 8;

/// What is on. Places count in the show's lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Status {
    /// The base look, if any.
    pub look: Option<usize>,
    /// The running chases, oldest first, the last [`MAX_TOLD_CHASES`] of them.
    pub chases: [Option<RunningChase>; MAX_TOLD_CHASES],
    /// The cue taken last.
    pub cue: Option<usize>,
    /// The cue that Go would take.
    pub next_cue: Option<usize>,
    /// When it follows by itself: time left, which stands still under stillness.
    pub follows_in: Option<Span>,
    /// Progress of the fade of the last look or cue, 0 to 1; 1 when none runs.
    pub fade: f64,
    /// Master, 0 to 1, perceptual.
    pub master: f64,
    /// Blackout is on.
    pub blackout: bool,
    /// Stillness is on.
    pub stillness: bool,
    /// Strobes are stopped.
    pub strobe_stopped: bool,
    /// Beats a minute.
    pub bpm: f64,
    /// Position in beats since some bar began; the fraction is the place inside the beat.
    pub beat: f64,
    /// Beats a bar.
    pub bar_beats: f64,
    /// How the music is followed.
    pub music: Following,
    /// How many lights are held by hand.
    pub held: usize,
    /// The base look was put on by a cue.
    pub by_cue: bool,
    /// Time since the show began, on its own clock.
    pub since: Span,
}

/// A chase that runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunningChase {
    /// Which.
    pub chase: usize,
    /// The step that is on, from 0, as the chase lists them.
    pub step: usize,
    /// Steps begun since it started, the present one not counted.
    pub count: u64,
    /// How far it is into its steps, at the tempo of now.
    pub ran: Span,
    /// How many times as fast as its steps say; 0 stands.
    pub speed: f64,
    /// It stands until there is music.
    pub calmed: bool,
    /// It waits for a stroke of the music.
    pub waits: bool,
    /// How long until its next step; none while it stands or waits.
    pub next_in: Option<Span>,
}

/// What is seen of a light, whoever asks for it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Seen {
    /// What a hand holds of it.
    pub held: Held,
    /// Where its spot is or is going to.
    pub aim: Option<Point>,
    /// The colours of its first and its last head.
    pub colours: [Option<Chromaticity>; 2],
    /// What its beam goes through.
    pub beam: BeamState,
}

/// Who drives a light. Places count in the show's lists.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Driver {
    /// Nobody lights it.
    #[default]
    Dark,
    /// A look put on by hand.
    Look(u16),
    /// A chase.
    Chase(u16),
    /// A cue's look.
    Cue(u16),
    /// Held by hand, wholly or in part.
    Hand,
}

impl Player {
    /// What is on. `now` is the moment of the last frame, or later.
    pub fn status(&self, now: Instant) -> Status {
        let when = self.clock.peek(now);
        let (started, span) = self.last_fade;
        Status {
            look: self.base.look(),
            chases: self.told_chases(when.show),
            cue: self.cue,
            next_cue: self.next_cue(),
            follows_in: self.follow.map(|at| (at - when.show).max(Span::ZERO)),
            fade: span.progress(when.now - started),
            master: self.master,
            blackout: self.blackout,
            stillness: when.still,
            strobe_stopped: self.strobe_stopped,
            bpm: self.music.bpm().unwrap_or(self.tempo.bpm()),
            beat: self.tempo.since_one(when.show),
            bar_beats: self.tempo.bar_beats(),
            music: Following { line_in: self.line_in(when.show), ..self.music.told() },
            by_cue: matches!(self.base, Base::Cue { .. }),
            since: when.show - self.begun.unwrap_or(when.show),
            held: self.hands.iter().filter(|hand| hand.holds()).count(),
        }
    }

    /// How long until something happens with the music that is followed: a beat, a step of a chase that counts beats, a phrase
    /// with which a look is picked, an answer to a stroke that is known beforehand. None without music, and while all stands
    /// still.
    pub fn next_with_music(&self, now: Instant) -> Option<Span> {
        let when = self.clock.peek(now);
        self.music.bpm().filter(|_| !when.still)?;
        let pace = self.tempo.pace();
        let step = |running: &Running| {
            let track = &self.script.chases[running.chase].track;
            let steps = track.counts_beats() && running.speed > 0.0 && !running.waits;
            steps.then(|| {
                Span::from_secs(running.position(track, when.show, pace).left.secs() / running.speed)
            })
        };
        let steps = self.running.iter().filter_map(step);
        let beat = self.tempo.beat(when.show);
        let beat = Span::from_secs((beat.floor() + 1.0 - beat) * pace.beat_secs);
        let stroke = self.music.due_stroke().map(|(at, _)| at - when.show);
        let line = self.next_line().map(|at| at - when.show);
        steps.chain(stroke).chain(line).chain([beat]).min()
    }

    /// The level over each group, in the rig's order; 0 to 1, perceptual.
    pub fn group_masters(&self) -> &[f64] {
        self.groups.masters()
    }

    /// Who drives the light at a place in the rig; [`Driver::Dark`] for a place that does not exist.
    pub fn driver(&self, unit: usize) -> Driver {
        let Some(hand) = self.hands.get(unit) else { return Driver::Dark };
        if hand.holds() {
            return Driver::Hand;
        }
        if let Some(place) = self.top(unit) {
            return Driver::Chase(small(self.running[place].chase));
        }
        let look = self.base.look().and_then(|look| self.script.looks[look].unit(unit));
        match self.base {
            _ if !look.is_some_and(|value| value.lit) => Driver::Dark,
            Base::Dark => Driver::Dark,
            Base::Look(look) => Driver::Look(small(look)),
            Base::Cue { cue, .. } => Driver::Cue(small(cue)),
        }
    }

    /// What is seen of the light at a place in the rig, which the last frame gave that wish; no hand for a place that
    /// does not exist.
    pub fn seen(&self, unit: usize, wish: &UnitWish) -> Seen {
        Seen {
            held: self.hands.get(unit).map(Hand::held).unwrap_or_default(),
            aim: wish.aim,
            colours: [wish.heads.first(), wish.heads.last()].map(|head| head.and_then(|head| head.colour)),
            beam: wish.beam,
        }
    }

    fn told_chases(&self, show: Instant) -> [Option<RunningChase>; MAX_TOLD_CHASES] {
        let mut told = [None; MAX_TOLD_CHASES];
        let untold = self.running.len().saturating_sub(MAX_TOLD_CHASES);
        for (place, running) in told.iter_mut().zip(&self.running[untold..]) {
            let track = &self.script.chases[running.chase].track;
            let position = running.position(track, show, self.tempo.pace());
            *place = Some(RunningChase {
                chase: running.chase,
                step: usize::from(position.step),
                count: position.count,
                ran: running.ran(show),
                speed: running.calmed.unwrap_or(running.speed),
                calmed: running.calmed.is_some(),
                waits: running.waits,
                next_in: (running.speed > 0.0 && !running.waits)
                    .then(|| Span::from_secs(position.left.secs() / running.speed)),
            });
        }
        told
    }
}

fn small(place: usize) -> u16 {
    u16::try_from(place).unwrap_or(u16::MAX)
}
