//! A show goes on where one was that has ended unasked.

use lanthorn_physics::{Instant, Span};

use super::steps::Running;
use super::{Base, Player, Status};
use crate::command::held_speed;
use crate::tempo::Tempo;

/// What was on: all but what was held by hand. Places count in the show that is to go on.
#[derive(Clone, Debug, PartialEq)]
pub struct Resume {
    /// The base look.
    pub look: Option<usize>,
    /// It was put on by the cue.
    pub by_cue: bool,
    /// The cue taken last.
    pub cue: Option<usize>,
    /// When the next one follows by itself.
    pub follows_in: Option<Span>,
    /// Running chases, oldest first: how far each is into its steps, and how many times as fast it runs.
    pub chases: Vec<(usize, Span, f64)>,
    /// Beats a minute.
    pub bpm: f64,
    /// Position in beats.
    pub beat: f64,
    /// Since the show began, on its own clock: figures go on from there.
    pub since: Span,
    /// 0 to 1, perceptual.
    pub master: f64,
    /// The same over groups, by their places in the rig; those that are not named are whole.
    pub groups: Vec<(usize, f64)>,
    /// Blackout is on.
    pub blackout: bool,
    /// Stillness is on.
    pub stillness: bool,
    /// Strobes are stopped.
    pub strobe_stopped: bool,
    /// The music picks looks.
    pub picks: bool,
}

impl Resume {
    /// What is on, with the levels over groups as [`Player::group_masters`] has them.
    pub fn of(status: &Status, groups: &[f64]) -> Self {
        Self {
            look: status.look,
            by_cue: status.by_cue,
            cue: status.cue,
            follows_in: status.follows_in,
            chases: status
                .chases
                .iter()
                .flatten()
                .map(|running| (running.chase, running.ran, running.speed))
                .collect(),
            bpm: status.bpm,
            beat: status.beat,
            since: status.since,
            master: status.master,
            groups: groups.iter().copied().enumerate().filter(|(_, level)| *level < 1.0).collect(),
            blackout: status.blackout,
            stillness: status.stillness,
            strobe_stopped: status.strobe_stopped,
            picks: status.music.picks,
        }
    }

    /// The same so much later, as if the show had gone on meanwhile; under stillness it has not.
    pub fn later(mut self, span: Span) -> Self {
        if self.stillness {
            return self;
        }
        self.chases
            .iter_mut()
            .for_each(|(_, ran, speed)| *ran = *ran + Span::from_secs(span.secs() * *speed));
        self.beat += span.secs() * self.bpm / 60.0;
        self.since = self.since + span;
        self.follows_in = self.follows_in.map(|left| (left - span).max(Span::ZERO));
        self
    }
}

impl Player {
    /// Begins at `now` with what was on, without a fade. Places that the show has not got, and numbers that are not finite,
    /// are left out. For a fresh player.
    pub fn resume(&mut self, resume: &Resume, now: Instant) {
        self.begin(now);
        self.begun = Some(now - resume.since);
        let when = self.clock.at(now);
        self.running.clear();
        self.tempo = Tempo::resumed(resume.bpm, resume.beat, now);
        let cue = resume.cue.filter(|cue| *cue < self.script.cues.len());
        let look = resume.look.filter(|look| *look < self.script.looks.len());
        self.base = match (cue.filter(|_| resume.by_cue), look) {
            (_, None) => Base::Dark,
            (Some(cue), Some(look)) => Base::Cue { cue, look },
            (None, Some(look)) => Base::Look(look),
        };
        self.cue = cue;
        self.follow = resume.follows_in.filter(|_| cue.is_some()).map(|left| when.show + left);
        for &(chase, ran, speed) in &resume.chases {
            let Some(script) = self.script.chases.get(chase) else { continue };
            let (track, waits) = (&script.track, script.at_each.is_some());
            let speed = held_speed(speed).unwrap_or(1.0);
            let running = Running::resumed(chase, when.show, ran, speed).waiting(waits);
            let over = running.end(track, self.tempo.pace()).is_some_and(|end| end <= when.show);
            if !track.is_empty() && !over && self.running.iter().all(|other| other.chase != chase) {
                self.running.push(running);
            }
        }
        self.master = if resume.master.is_finite() { resume.master.clamp(0.0, 1.0) } else { 1.0 };
        resume.groups.iter().for_each(|&(group, level)| self.groups.set(group, level));
        (self.blackout, self.strobe_stopped) = (resume.blackout, resume.strobe_stopped);
        self.music.picks.on = resume.picks;
        self.clock.stand_still(resume.stillness, now);
    }
}
