//! The form of the music as it goes: phrase lines, breakdowns, drops, steps up.
//!
//! All is told in beats: what is heard between two of them is summed up, and each is compared with those before it.

use super::shape::Energy;
use super::{Event, Mark, Phase, Shape, What};
use crate::spectrum::{Frame, LOW_BANDS, Loudness, TIMED_BANDS};

/// Beats that are remembered.
const REMEMBERED: usize = 64;

/// A breakdown: so many beats without a kick, after a time in which at least this part of the beats had one.
const NO_KICK_BEATS: usize = 4;
const KICKS_BEFORE: f32 = 0.35;

/// Beats that stand for "before".
const BEFORE: usize = 16;

/// By so much the low bands must fall in a breakdown, dB.
const LOW_FALLS: f32 = 5.0;

/// A breakdown is so many beats long before a drop may end it: a fill is none.
const BREAKDOWN_BEATS: u64 = 7;

/// The kick of a drop is listened to for so long, and from then on what comes with it, seconds.
const KICK_SECS: f64 = 0.14;
const AFTER_KICK_SECS: [f64; 2] = [0.2, 0.36];

/// How far below what was before the breakdown a drop may be, dB: its kick, and what comes with that, in the low bands and in
/// all. A kick alone is the beginning of a build.
const KICK_BELOW: f32 = 1.5;
const LOW_BELOW: f32 = 4.5;
const ALL_BELOW: f32 = 4.2;

/// A kick that is so much louder than all was is a drop whatever comes with it, dB.
const LOUDER: f32 = 2.2;

/// All of it must get louder by so much, from bar to bars before, to be a lift, dB.
const LIFT: f32 = 3.5;

/// A phrase has so many bars when nothing says otherwise.
const PHRASE_BARS: u32 = 8;

/// No two lines of the form are nearer than this, beats.
const APART: u64 = 4;

/// Mean power of a stretch, in three parts of the spectrum, and the kicks in it.
#[derive(Clone, Copy, Debug, Default)]
struct Stretch {
    low: f32,
    all: f32,
    high: f32,
    frames: f32,
    kicks: f32,
}

/// A breakdown that is on.
#[derive(Clone, Copy, Debug)]
struct Breakdown {
    /// The beat with which it began.
    since: u64,
    /// What was before it.
    full: Stretch,
    /// Kicks that may be the drop.
    kicks: [Option<Kick>; 4],
}

/// A kick in a breakdown: its moment, how it sounds, and what comes with it.
#[derive(Clone, Copy, Debug)]
struct Kick {
    at: f64,
    begins: Stretch,
    goes_on: Stretch,
}

impl Breakdown {
    /// Hears a frame; the moment of the drop, once it is sure.
    fn hear(&mut self, stretch: &Stretch, kick: Option<f64>, told: f64) -> Option<f64> {
        if let (Some(free), Some(at)) = (self.kicks.iter_mut().find(|of| of.is_none()), kick) {
            *free = Some(Kick { at, begins: Stretch::default(), goes_on: Stretch::default() });
        }
        let full = self.full;
        let mut drop = None;
        for slot in &mut self.kicks {
            let Some(kick) = slot else { continue };
            let since = told - kick.at;
            if since < KICK_SECS {
                kick.begins.and(stretch);
            } else if since > AFTER_KICK_SECS[0] {
                kick.goes_on.and(stretch);
            }
            if since >= AFTER_KICK_SECS[1] {
                drop = kick.is_drop(&full).then_some(kick.at).or(drop);
                *slot = None;
            }
        }
        drop
    }
}

impl Kick {
    /// Whether all is back with it.
    fn is_drop(&self, full: &Stretch) -> bool {
        let low = |of: &Stretch| of.decibels(|of| of.low) - full.decibels(|of| of.low);
        let all = |of: &Stretch| of.decibels(|of| of.all) - full.decibels(|of| of.all);
        let kick_is_back = low(&self.begins) > -KICK_BELOW && all(&self.begins) > -KICK_BELOW;
        let rest_is_back = low(&self.goes_on) > -LOW_BELOW && all(&self.goes_on) > -ALL_BELOW;
        (kick_is_back && rest_is_back) || all(&self.begins) > LOUDER
    }
}

/// What has been heard of the form.
pub(crate) struct Form {
    now: Stretch,
    past: [Stretch; REMEMBERED],
    /// Beats so far.
    beats: u64,
    /// When the last beats were.
    at: [f64; NO_KICK_BEATS + 1],
    /// The breakdown that is on.
    breakdown: Option<Breakdown>,
    /// Bars since the last line of the form.
    bars: u32,
    /// The beat of the last line that was told.
    line: u64,
    energy: Energy,
    /// What is told of it.
    shape: Shape,
}

impl Default for Form {
    fn default() -> Self {
        Self {
            now: Stretch::default(),
            past: [Stretch::default(); REMEMBERED],
            beats: 0,
            at: [0.0; NO_KICK_BEATS + 1],
            breakdown: None,
            bars: 0,
            line: 0,
            energy: Energy::default(),
            shape: Shape::default(),
        }
    }
}

impl Stretch {
    fn of(frame: &Frame, loudness: &Loudness) -> Self {
        let mean = |bands: &[f32]| {
            bands.iter().map(|level| loudness.power_of(*level)).sum::<f32>() / bands.len() as f32
        };
        // Below 150 Hz; everything; above 4 kHz.
        let timed = &frame[LOW_BANDS..];
        Self {
            low: mean(&frame[..5]),
            all: loudness.power,
            high: mean(&timed[TIMED_BANDS * 3 / 4..]),
            frames: 1.0,
            kicks: 0.0,
        }
    }

    fn and(&mut self, other: &Self) {
        self.low += other.low;
        self.all += other.all;
        self.high += other.high;
        self.frames += other.frames;
        self.kicks += other.kicks;
    }

    fn decibels(&self, part: impl Fn(&Self) -> f32) -> f32 {
        10.0 * libm::log10f(part(self) / self.frames.max(1.0) + 1e-12)
    }
}

impl Form {
    /// The last so-many beats, `back` beats ago at the latest.
    fn last(&self, count: usize, back: usize) -> Stretch {
        let mut sum = Stretch::default();
        for number in back..(back + count).min(self.beats.min(REMEMBERED as u64) as usize) {
            sum.and(&self.past[(self.beats as usize - 1 - number) % REMEMBERED]);
        }
        sum
    }

    /// Where the music stands.
    pub(crate) fn shape(&self) -> Shape {
        let phase = if self.breakdown.is_some() { Phase::Breakdown } else { Phase::Full };
        let phrase_bar = u8::try_from(self.bars).unwrap_or(u8::MAX);
        Shape { phase, energy: self.energy.value(), phrase_bar, ..self.shape }
    }

    /// Hears a frame; `kick`: the moment of a kick that was just found.
    pub(crate) fn hear(
        &mut self,
        frame: &Frame,
        loudness: &Loudness,
        kick: Option<f64>,
        told: f64,
        give: &mut impl FnMut(Event),
    ) {
        let mut stretch = Stretch::of(frame, loudness);
        stretch.kicks = if kick.is_some() { 1.0 } else { 0.0 };
        self.now.and(&stretch);
        self.energy.hear(loudness);
        let beats = self.beats;
        let Some(breakdown) = self.breakdown.as_mut().filter(|of| beats - of.since >= BREAKDOWN_BEATS) else {
            return;
        };
        if let Some(at) = breakdown.hear(&stretch, kick, told) {
            self.breakdown = None;
            self.line(at, told, Mark::Drop, give);
        }
    }

    /// A beat: its moment, its place in the bar.
    pub(crate) fn beat(&mut self, at: f64, place: u8, told: f64, give: &mut impl FnMut(Event)) {
        self.past[self.beats as usize % REMEMBERED] = std::mem::take(&mut self.now);
        self.beats += 1;
        self.at.rotate_left(1);
        self.at[NO_KICK_BEATS] = at;
        if self.beats < (BEFORE + NO_KICK_BEATS) as u64 {
            if place == 1 {
                self.bar(at, told, give);
            }
            return;
        }
        let (last, before) = (self.last(NO_KICK_BEATS, 0), self.last(BEFORE, NO_KICK_BEATS));
        let low = |of: &Stretch| of.decibels(|of| of.low);
        match self.breakdown {
            None => {
                let had_kicks = before.kicks / BEFORE as f32 >= KICKS_BEFORE;
                if had_kicks && last.kicks == 0.0 && low(&before) - low(&last) > LOW_FALLS {
                    let since = self.beats - NO_KICK_BEATS as u64;
                    self.breakdown = Some(Breakdown { since, full: before, kicks: [None; 4] });
                    self.line(self.at[0], told, Mark::Breakdown, give);
                    return;
                }
            }
            // Everything has come back by and by.
            Some(of)
                if last.kicks >= NO_KICK_BEATS as f32 && low(&of.full) - low(&last) < LOW_FALLS / 2.0 =>
            {
                self.breakdown = None;
            }
            Some(_) => {}
        }
        if place == 1 {
            self.bar(at, told, give);
        }
    }

    fn bar(&mut self, at: f64, told: f64, give: &mut impl FnMut(Event)) {
        self.bars += 1;
        let all = |of: &Stretch| of.decibels(|of| of.all);
        let (last, before) = (self.last(2, 0), self.last(BEFORE, 2));
        if self.breakdown.is_none()
            && self.beats > BEFORE as u64 + 2
            && self.beats - self.line >= 16
            && all(&last) - all(&before) > LIFT
        {
            self.line(at, told, Mark::Lift, give);
        } else if self.bars >= PHRASE_BARS {
            self.tell(at, told, Mark::Phrase, give);
        }
    }

    fn line(&mut self, at: f64, told: f64, mark: Mark, give: &mut impl FnMut(Event)) {
        if self.beats.saturating_sub(self.line) < APART && self.line > 0 {
            return;
        }
        self.line = self.beats;
        self.tell(at, told, mark, give);
    }

    fn tell(&mut self, at: f64, told: f64, mark: Mark, give: &mut impl FnMut(Event)) {
        self.bars = 0;
        self.shape.phrases += 1;
        self.shape.line_at = Some(at);
        if mark == Mark::Drop {
            self.shape.drop_at = Some(at);
        }
        give(Event { at, told, what: What::Line(mark) });
    }
}
