//! Strokes of the music, and the chases that answer to them.

use lanthorn_music::pulse::Strike;
use lanthorn_physics::{Instant, Span};

use super::follow::Follow;
use super::{Player, When};

/// What is told within this of the stroke before is that stroke, told again with its moment known better.
const APART: Span = Span::from_millis(50);

/// What is told so late is not answered to any more.
const STALE: Span = Span::from_millis(600);

/// What was struck.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Strokes {
    /// When each was heard last.
    heard: [Option<Instant>; Strike::ALL.len()],
    /// When it is to be answered to, on the show's clock.
    due: [Option<Instant>; Strike::ALL.len()],
}

impl Follow {
    /// The stroke that is to be answered to next, and when on the show's clock.
    pub(super) fn due_stroke(&self) -> Option<(Instant, Strike)> {
        let due = |strike: Strike| Some((self.strokes.due[strike as usize]?, strike));
        Strike::ALL.into_iter().filter_map(due).min_by_key(|(at, _)| *at)
    }
}

impl Player {
    /// Takes what is told of strokes. One that is told before it happens is answered to when it leaves in time to be seen
    /// with it, any other at once.
    pub(super) fn hear_strokes(&mut self, when: &When) {
        let Some(pulse) = self.music.pulse() else { return };
        let (sounds, lead) = (self.music.sounding().is_some(), self.music.lead());
        for strike in Strike::ALL {
            let place = strike as usize;
            let Some(at) = pulse.strokes[place].map(|stroke| stroke.at) else { continue };
            let Strokes { heard, due } = &mut self.music.strokes;
            if due[place].is_some() || heard[place].is_some_and(|last| at - last < APART) {
                continue;
            }
            heard[place] = Some(at);
            if sounds && !when.still && when.now - at < STALE {
                let ahead = at - lead - when.now;
                due[place] = Some(when.show + ahead.max(Span::ZERO));
            }
        }
    }

    /// Lets the chases that wait for it run.
    pub(super) fn answer(&mut self, strike: Strike, when: &When) {
        self.music.strokes.due[strike as usize] = None;
        let script = std::sync::Arc::clone(&self.script);
        let answers = |chase: usize, speed: f64| script.chases[chase].at_each == Some(strike) && speed > 0.0;
        if !self.running.iter().any(|running| answers(running.chase, running.speed)) {
            return;
        }
        self.change(when, Span::ZERO, |player| {
            for running in &mut player.running {
                if answers(running.chase, running.speed) {
                    running.strike(when.show);
                }
            }
        });
    }
}
