//! Another show takes the place of the one that runs, without a jump.

use lanthorn_physics::{Instant, Span};

use super::value::UnitValue;
use super::{Base, Player, When};
use crate::Succession;

/// What was changed in the show is faded to over this time, from what is lit.
pub const CHANGE: Span = Span::from_millis(300);

impl Player {
    /// Goes on from the moment `now` where another player is. What is on stays on: the base with its fades, chases in
    /// step, the cue, the tempo and its beat, what is held, masters and stop keys. Where the show says otherwise of what
    /// is on, the light fades to it from what it shows, over [`CHANGE`] or the rest of the fade that it is in, if that is
    /// longer; what is gone fades out in its own time. A light that is new starts dark.
    ///
    /// `self` is fresh, of the new show; `old` is of no use afterwards. Neither allocates nor frees.
    pub fn take_over(&mut self, old: &mut Self, succession: &Succession, now: Instant) {
        if old.begun.is_none() {
            return;
        }
        let when = old.advance(now);
        old.locate(&when);
        old.see(&when);
        self.inherit(old, succession, &when);
        self.locate(&when);
        for unit in 0..self.script.layout.units() {
            match succession.units().get(unit).copied().flatten() {
                Some(old_unit) => self.go_on_with(unit, (old, old_unit), succession, &when),
                // Of a fresh player's pictures everything is dark.
                None => self.fades.restart(unit, &self.seen, &self.script.layout, &when, CHANGE),
            }
        }
    }

    fn inherit(&mut self, old: &Self, succession: &Succession, when: &When) {
        (self.clock, self.begun, self.last_fade) = (old.clock, old.begun, old.last_fade);
        (self.tempo, self.taps, self.drift) = (old.tempo, old.taps, old.drift);
        self.music = old.music.carried(&self.script.music, &old.script.music);
        self.groups.take_over(&old.groups, succession, when.now);
        (self.master, self.blackout, self.strobe_stopped) = (old.master, old.blackout, old.strobe_stopped);
        self.dark = old.dark;
        let look = |look: usize| succession.looks.get(look).copied().flatten();
        let cue = |cue: usize| succession.cues.get(cue).copied().flatten();
        // Where the cue itself is gone, Go goes on after the last one before it.
        self.cue = old.cue.and_then(|last| (0..=last).rev().find_map(cue));
        self.base = match old.base {
            Base::Dark => Base::Dark,
            Base::Look(was) => look(was).map_or(Base::Dark, Base::Look),
            Base::Cue { cue: taken, look: was } => match (cue(taken), look(was)) {
                (Some(cue), Some(look)) => Base::Cue { cue, look },
                (None, Some(look)) => Base::Look(look),
                (_, None) => Base::Dark,
            },
        };
        self.follow = self.followed(old, old.cue.and_then(cue), when);
        self.running.clear();
        let pace = self.tempo.pace();
        for running in &old.running {
            let Some(chase) = succession.chases.get(running.chase).copied().flatten() else { continue };
            let script = &self.script.chases[chase];
            let (track, mut running) = (&script.track, running.carried(chase));
            let answers = script.at_each.is_some();
            // One that answered to the music and does so no more stops waiting.
            running.waits &= answers;
            // Fewer rounds than it has run already: it is over.
            let over = running.end(track, pace).is_some_and(|end| end < when.show);
            running.waits |= over && answers;
            let twice = self.running.iter().any(|other| other.chase == chase);
            if !track.is_empty() && (!over || answers) && !twice {
                self.running.push(running);
            }
        }
        let motion = old.motion(when);
        let carried = |value: &UnitValue| value.carried(&succession.figures, &motion);
        for (unit, old_unit) in succession.units().iter().enumerate() {
            let Some(old_unit) = *old_unit else { continue };
            self.hands[unit] = old.hands[old_unit];
            let (here, there) = ((unit, &self.script.layout), (old_unit, &old.script.layout));
            self.fades.inherit(here, &old.fades, there, carried);
            self.base_fades.inherit(here, &old.base_fades, there, carried);
            self.seen.units[unit] = carried(&old.seen.units[old_unit]);
            self.beneath.units[unit] = carried(&old.beneath.units[old_unit]);
            for (head, place) in self.script.layout.heads(unit).enumerate() {
                if let Some(old_place) = old.script.layout.like_head(old_unit, head) {
                    self.seen.heads[place] = old.seen.heads[old_place];
                    self.beneath.heads[place] = old.beneath.heads[old_place];
                }
            }
        }
    }

    /// When the next cue follows by itself: as it was, or as the cue that is on says now.
    fn followed(&self, old: &Self, cue: Option<usize>, when: &When) -> Option<Instant> {
        let (at, cue, old_cue) = (old.follow?, cue?, old.cue?);
        let now = self.script.cues.get(cue)?.follow.filter(|_| cue + 1 < self.script.cues.len())?;
        let was = old.script.cues.get(old_cue)?.follow?;
        if now == was { Some(at) } else { Some((at + (now - was)).max(when.show)) }
    }

    /// Lets a light fade to what it is to show now, where that is something else.
    fn go_on_with(
        &mut self,
        unit: usize,
        (old, old_unit): (&Self, usize),
        succession: &Succession,
        when: &When,
    ) {
        let top = self.top(unit).map(|place| self.running[place].chase);
        let was = old.tops[old_unit];
        let same_top = top == was.and_then(|chase| succession.chases.get(chase).copied().flatten());
        let span = self.time_to_change((old, old_unit), succession, was.is_some() && !same_top);
        if self.base_differs(unit, (old, old_unit), succession, when) {
            if top.is_some() && same_top {
                // The chase goes on; only what it leaves to the layer below fades.
                let span = span.max(self.base_fades.remaining(unit, when));
                self.base_fades.restart(unit, &self.beneath, &self.script.layout, when, span);
            } else {
                let span = span.max(self.fades.remaining(unit, when));
                self.fades.restart(unit, &self.seen, &self.script.layout, when, span);
                self.base_fades.restart(unit, &self.seen, &self.script.layout, when, Span::ZERO);
            }
        }
        if self.picture_differs(unit, (old, old_unit), succession, when) {
            let span = span.max(self.fades.remaining(unit, when));
            self.fades.restart(unit, &self.seen, &self.script.layout, when, span);
        }
    }

    /// What is gone takes its own fade out; what was changed, [`CHANGE`].
    fn time_to_change(
        &self,
        (old, old_unit): (&Self, usize),
        succession: &Succession,
        chase_gone: bool,
    ) -> Span {
        let gone = |look: &usize| succession.looks.get(*look).copied().flatten().is_none();
        let chase = old.tops[old_unit].filter(|_| chase_gone);
        match (chase, old.base.look().filter(gone)) {
            (Some(chase), _) => old.script.chases[chase].fade,
            (None, Some(look)) => old.script.look_fades[look],
            (None, None) => CHANGE,
        }
    }

    fn base_differs(
        &self,
        unit: usize,
        (old, old_unit): (&Self, usize),
        succession: &Succession,
        when: &When,
    ) -> bool {
        let was = old.base_unit(old_unit, when).carried(&succession.figures, &old.motion(when));
        let differs = |(head, place): (usize, usize)| {
            old.script.layout.like_head(old_unit, head).is_none()
                || self.base_head(unit, head, when) != self.beneath.heads[place]
        };
        !self.base_unit(unit, when).same(&was) || self.script.layout.heads(unit).enumerate().any(differs)
    }

    fn picture_differs(
        &self,
        unit: usize,
        (old, old_unit): (&Self, usize),
        succession: &Succession,
        when: &When,
    ) -> bool {
        let mut heads = self.script.layout.heads(unit).enumerate();
        if heads.any(|(head, place)| self.visible_head(unit, head, when) != self.seen.heads[place]) {
            return true;
        }
        let lit = old.seen.units[old_unit].lit;
        let was = old.visible_unit(old_unit, lit, when).carried(&succession.figures, &old.motion(when));
        !self.visible_unit(unit, lit, when).same(&was)
    }
}
