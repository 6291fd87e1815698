//! The picture of the base and the chases, and the fades from what was seen to what is wanted.

use lanthorn_physics::{Instant, Span};
use lanthorn_rig::AimFade;

use super::compile::Layout;
use super::steps::Position;
use super::value::{HeadValue, Part, UnitValue};
use super::{GLIDE, Player, When};

/// What is left of a level that goes with the sound where there is no such sound.
const LEAST: f64 = 0.25;

/// Every light at one moment.
#[derive(Clone, Debug)]
pub(super) struct Picture {
    pub units: Vec<UnitValue>,
    pub heads: Vec<HeadValue>,
}

/// For each light: from what, since when, how long.
#[derive(Clone, Debug)]
pub(super) struct Fades {
    units: Vec<Fade>,
    heads: Vec<HeadValue>,
}

#[derive(Clone, Copy, Debug)]
struct Fade {
    from: UnitValue,
    start: When,
    span: Span,
}

impl Picture {
    pub(super) fn dark(layout: &Layout) -> Self {
        Self {
            units: vec![UnitValue::default(); layout.units()],
            heads: vec![HeadValue::default(); layout.all_heads()],
        }
    }
}

impl Fades {
    pub(super) fn new(layout: &Layout) -> Self {
        let start = When { now: Instant::ZERO, show: Instant::ZERO, still: false };
        let done = Fade { from: UnitValue::default(), start, span: Span::ZERO };
        Self { units: vec![done; layout.units()], heads: vec![HeadValue::default(); layout.all_heads()] }
    }

    pub(super) fn restart(&mut self, unit: usize, from: &Picture, layout: &Layout, when: &When, span: Span) {
        self.units[unit] = Fade { from: from.units[unit], start: *when, span };
        let heads = layout.heads(unit);
        self.heads[heads.clone()].copy_from_slice(&from.heads[heads]);
    }

    /// Goes on with the fade of a light of another player; `carried` says its values in terms of this one.
    pub(super) fn inherit(
        &mut self,
        (unit, layout): (usize, &Layout),
        old: &Self,
        (old_unit, old_layout): (usize, &Layout),
        carried: impl Fn(&UnitValue) -> UnitValue,
    ) {
        let fade = &old.units[old_unit];
        self.units[unit] = Fade { from: carried(&fade.from), ..*fade };
        for (head, place) in layout.heads(unit).enumerate() {
            if let Some(old_place) = old_layout.like_head(old_unit, head) {
                self.heads[place] = old.heads[old_place];
            }
        }
    }

    /// What is left of a light's fade; nothing or less when it is over.
    pub(super) fn remaining(&self, unit: usize, when: &When) -> Span {
        self.units[unit].remaining(when)
    }
}

impl Fade {
    fn remaining(&self, when: &When) -> Span {
        self.span - (when.now - self.start.now)
    }

    fn part(&self, when: &When) -> Part {
        let movement = when.show - self.start.show;
        Part {
            light: self.span.progress(when.now - self.start.now),
            movement: self.span.progress(movement),
            held: when.still && movement <= Span::ZERO,
            until: self.start.show + self.span,
        }
    }
}

impl Player {
    /// Carries out a change of who drives which light: every light whose driver is another afterwards, or has
    /// another look under it, fades from what it shows now.
    pub(super) fn change(&mut self, when: &When, span: Span, change: impl FnOnce(&mut Self)) {
        self.locate(when);
        self.see(when);
        let look_before = self.base.look();
        change(self);
        let look_changed = self.base.look() != look_before;
        self.locate(when);
        let script = std::sync::Arc::clone(&self.script);
        for unit in 0..script.layout.units() {
            let top = self.top(unit).map(|place| self.running[place].chase);
            if top.is_some() && top == self.tops[unit] {
                // The chase goes on; only what it leaves to the layer below fades, unseen otherwise.
                if look_changed {
                    self.base_fades.restart(unit, &self.beneath, &script.layout, when, span);
                }
            } else if look_changed || top != self.tops[unit] {
                self.fades.restart(unit, &self.seen, &script.layout, when, span);
                if look_changed {
                    // One fade is enough: the base itself is there at once.
                    self.base_fades.restart(unit, &self.seen, &script.layout, when, Span::ZERO);
                }
            }
        }
    }

    /// Lets lights of chases that count beats glide to the place that a tap has moved them to, from the picture seen.
    /// A light that was fading anyway takes the rest of that time. `only`: one chase alone was moved.
    pub(super) fn glide(&mut self, when: &When, only: Option<usize>) {
        self.locate(when);
        let script = std::sync::Arc::clone(&self.script);
        for unit in 0..script.layout.units() {
            let moved = |place: usize| {
                let chase = self.running[place].chase;
                script.chases[chase].track.counts_beats() && only.is_none_or(|only| only == chase)
            };
            if self.top(unit).is_some_and(moved) {
                let span = self.fades.remaining(unit, when).max(GLIDE);
                self.fades.restart(unit, &self.seen, &script.layout, when, span);
            }
        }
    }

    /// Finds the place of every running chase, for [`Self::visible_unit`] and [`Self::visible_head`].
    pub(super) fn locate(&mut self, when: &When) {
        let pace = self.tempo.pace();
        self.loud = self.music.loud(when);
        self.positions.clear();
        for running in &self.running {
            let track = &self.script.chases[running.chase].track;
            self.positions.push(running.position(track, when.show, pace));
        }
    }

    /// Keeps the picture of now, of the base under it, and who drives each light. Out of the dark of a score all comes up, but
    /// what a hand holds.
    pub(super) fn see(&mut self, when: &When) {
        let mut seen = std::mem::replace(&mut self.seen, Picture { units: Vec::new(), heads: Vec::new() });
        let mut beneath =
            std::mem::replace(&mut self.beneath, Picture { units: Vec::new(), heads: Vec::new() });
        for unit in 0..self.script.layout.units() {
            let (mut lit, mut lit_beneath) = (false, false);
            for (head, place) in self.script.layout.heads(unit).enumerate() {
                seen.heads[place] = self.visible_head(unit, head, when);
                if self.rising && !self.hands[unit].holds() {
                    seen.heads[place].level = 0.0;
                }
                beneath.heads[place] = self.base_head(unit, head, when);
                lit |= seen.heads[place].is_lit();
                lit_beneath |= beneath.heads[place].is_lit();
            }
            let motion = self.motion(when);
            seen.units[unit] = self.visible_unit(unit, lit, when).settled(&motion);
            let base = self.base_unit(unit, when).settled(&motion);
            beneath.units[unit] = UnitValue { lit: lit_beneath, ..base };
            self.tops[unit] = self.top(unit).map(|place| self.running[place].chase);
        }
        self.seen = seen;
        self.beneath = beneath;
    }

    /// Which running chase has the light: the one started last of those that drive it.
    pub(super) fn top(&self, unit: usize) -> Option<usize> {
        self.running
            .iter()
            .rposition(|running| !running.waits && self.script.chases[running.chase].drives[unit])
    }

    /// Base and chases, faded; `lit` as its heads are.
    pub(super) fn visible_unit(&self, unit: usize, lit: bool, when: &When) -> UnitValue {
        let top = self.top(unit).map(|place| (place, self.positions[place]));
        self.unit_at(unit, lit, top, when)
    }

    /// The fade that the aim of a lit light is on until a moment of the show's clock: where it will be by then, as far as
    /// that is known now.
    pub(super) fn fade_until(&self, unit: usize, until: Instant, when: &When) -> Option<AimFade> {
        let left = until - when.show;
        let then = When { now: when.now + left, show: until, still: false };
        let top = self.top(unit).map(|place| {
            let running = &self.running[place];
            let track = &self.script.chases[running.chase].track;
            (place, running.position(track, until, self.tempo.pace()))
        });
        let value = self.hands[unit].unit(self.unit_at(unit, true, top, &then), true, &then);
        let to = value.aim?.point(&self.motion(&then));
        Some(AimFade { to, left })
    }

    /// `top`: the running chase that has the light, and where it is.
    fn unit_at(&self, unit: usize, lit: bool, top: Option<(usize, Position)>, when: &When) -> UnitValue {
        let below = self.base_unit(unit, when);
        let target = match top {
            // A chase's lights blink on and off on the way into it: their aims go evenly all the same.
            Some((place, position)) => {
                let value = self.chase_unit(place, &position, unit, when);
                UnitValue { lit: true, ..value.over(&below) }
            }
            None => below,
        };
        let fade = &self.fades.units[unit];
        UnitValue { lit, ..fade.from.mix(&target, fade.part(when)) }
    }

    pub(super) fn visible_head(&self, unit: usize, head: usize, when: &When) -> HeadValue {
        let below = self.base_head(unit, head, when);
        let target = self.top(unit).map_or(below, |place| self.chase_head(place, unit, head).over(&below));
        let from = self.fades.heads[self.script.layout.heads(unit).start + head];
        let part = self.fades.units[unit].part(when).light;
        from.mix(&target, part, &self.script.layout.lamps[unit])
    }

    pub(super) fn base_unit(&self, unit: usize, when: &When) -> UnitValue {
        let target = self.base.look().and_then(|look| self.script.looks[look].unit(unit));
        let fade = &self.base_fades.units[unit];
        let part = fade.part(when);
        match target {
            // A light that the look does not name has no aim of its own to pass on.
            None if part.is_done() => UnitValue::default(),
            target => fade.from.mix(&target.copied().unwrap_or_default(), part),
        }
    }

    pub(super) fn base_head(&self, unit: usize, head: usize, when: &When) -> HeadValue {
        let target = self.base.look().and_then(|look| self.look_head(look, unit, head));
        let from = self.base_fades.heads[self.script.layout.heads(unit).start + head];
        let part = self.base_fades.units[unit].part(when).light;
        from.mix(&target.unwrap_or_default(), part, &self.script.layout.lamps[unit])
    }

    /// What a look asks of a head, at the loudness of now.
    fn look_head(&self, look: usize, unit: usize, head: usize) -> Option<HeadValue> {
        let value = self.script.looks[look].head(unit, head)?;
        let Some(band) = value.sound else { return Some(value) };
        let loud = self.loud[band as usize];
        let Some(quiet) = value.sound_colour else {
            let level = value.level * (LEAST + (1.0 - LEAST) * loud);
            return Some(HeadValue { level, sound: None, ..value });
        };
        let quiet = HeadValue { colour: Some(quiet), sound: None, ..value };
        Some(quiet.mix(&value, loud, &self.script.layout.lamps[unit]))
    }

    fn chase_unit(&self, place: usize, position: &Position, unit: usize, when: &When) -> UnitValue {
        let step = |step: u16| {
            let look = self.script.chases[self.running[place].chase].looks[usize::from(step)];
            look.and_then(|look| self.script.looks[look].unit(unit)).copied().unwrap_or_default()
        };
        let Position { previous, step: this, next, faded, fade_left, .. } = *position;
        let value = match previous {
            Some(previous) => step(previous).mix(&step(this), Part::both(faded, when.show + fade_left)),
            None => step(this),
        };
        let next = step(next);
        // While dark it goes ahead to where the next step wants it.
        if value.lit || !next.lit {
            value
        } else {
            UnitValue { lit: false, aim: next.aim.or(value.aim), ..next }
        }
    }

    fn chase_head(&self, place: usize, unit: usize, head: usize) -> HeadValue {
        let step = |step: u16| {
            let look = self.script.chases[self.running[place].chase].looks[usize::from(step)];
            look.and_then(|look| self.look_head(look, unit, head)).unwrap_or_default()
        };
        let Position { previous, step: this, next, faded, .. } = self.positions[place];
        let value = match previous {
            Some(previous) => step(previous).mix(&step(this), faded, &self.script.layout.lamps[unit]),
            None => step(this),
        };
        let next = step(next);
        if value.is_lit() || !next.is_lit() { value } else { HeadValue { colour: next.colour, ..value } }
    }
}
