//! The form of the music as it goes: phrase lines, breakdowns, drops, steps up.

mod drop;
mod levels;

use super::shape::Energy;
use super::{Event, Mark, Phase, Shape, What};
use crate::net::Heard;
use crate::spectrum::{Frame, Loudness};
use drop::Drops;
use levels::{Levels, Part, decibels};

/// A breakdown: so many beats nearly without a kick, after a time in which there were so many a beat.
const NO_KICK_BEATS: usize = 4;
const NO_KICKS: f32 = 0.5;
const KICKS_BEFORE: f32 = 0.35;

/// Beats that stand for "before".
const BEFORE: f64 = 16.0;

/// By so much the low bands must fall in a breakdown, dB.
const LOW_FALLS: f32 = 5.0;

/// All of it must get louder by so much, from bar to bars before, to be a lift, dB.
const LIFT: f32 = 3.5;

/// A phrase has so many bars when nothing says otherwise.
const PHRASE_BARS: u32 = 8;

/// No two lines of the form are nearer than this, beats.
const APART: u64 = 4;

/// The slowest and the quickest beat, seconds; and the usual one.
const BEAT_SECS: [f64; 2] = [0.25, 1.0];
const USUAL_SECS: f64 = 0.5;

/// What has been heard of the form.
pub(crate) struct Form {
    levels: Levels,
    drops: Drops,
    energy: Energy,
    /// Beats so far.
    beats: u64,
    /// When the last beats were.
    at: [f64; NO_KICK_BEATS + 1],
    /// The low level before the breakdown that is on, dB.
    breakdown: Option<f32>,
    /// Bars since the last line of the form.
    bars: u32,
    /// The beat of the last line that was told.
    line: u64,
    /// What is told of it.
    shape: Shape,
}

impl Default for Form {
    fn default() -> Self {
        Self {
            levels: Levels::default(),
            drops: Drops::default(),
            energy: Energy::default(),
            beats: 0,
            at: [0.0; NO_KICK_BEATS + 1],
            breakdown: None,
            bars: 0,
            line: 0,
            shape: Shape::default(),
        }
    }
}

impl Form {
    /// Where the music stands.
    pub(crate) fn shape(&self) -> Shape {
        let phase = if self.breakdown.is_some() { Phase::Breakdown } else { Phase::Full };
        let phrase_bar = u8::try_from(self.bars).unwrap_or(u8::MAX);
        Shape { phase, energy: self.energy.value(), phrase_bar, ..self.shape }
    }

    /// Seconds of a beat lately.
    fn interval(&self) -> f64 {
        if self.beats < 3 {
            return USUAL_SECS;
        }
        let mut gaps: [f64; NO_KICK_BEATS] = std::array::from_fn(|index| self.at[index + 1] - self.at[index]);
        gaps.sort_unstable_by(f64::total_cmp);
        f64::midpoint(gaps[1], gaps[2]).clamp(BEAT_SECS[0], BEAT_SECS[1])
    }

    /// Hears a frame.
    pub(crate) fn hear(
        &mut self,
        frame: &Frame,
        loudness: &Loudness,
        heard: &Heard,
        told: f64,
        give: &mut impl FnMut(Event),
    ) {
        let kick = self.levels.hear(frame, loudness, heard.kick, heard.snare);
        self.energy.hear(loudness);
        let interval = self.interval();
        if let Some(at) = self.drops.hear(kick, interval, &self.levels) {
            self.breakdown = None;
            self.line(at, told, Mark::Drop, give);
        }
    }

    /// A beat: its moment, its place in the bar.
    pub(crate) fn beat(&mut self, at: f64, place: u8, told: f64, give: &mut impl FnMut(Event)) {
        self.beats += 1;
        self.at.rotate_left(1);
        self.at[NO_KICK_BEATS] = at;
        self.drops.beat(at, place == 1, self.interval(), &self.levels);
        if self.beats >= BEFORE as u64 + NO_KICK_BEATS as u64 {
            self.judge(told, give);
        }
        if place == 1 {
            self.bar(at, told, give);
        }
    }

    /// Whether a breakdown is on.
    fn judge(&mut self, told: f64, give: &mut impl FnMut(Event)) {
        let (from, to) = (self.at[0] - 0.05, self.at[NO_KICK_BEATS] - 0.05);
        let begin = self.at[0] - BEFORE * self.interval();
        let low = |from, to| decibels(self.levels.mean(Part::Low, from, to));
        let (kicks, kicks_before) = (self.levels.kicks(from, to), self.levels.kicks(begin, from));
        let (now, before) = (low(from, to), low(begin, from));
        match self.breakdown {
            None => {
                let had_kicks = kicks_before / BEFORE as f32 >= KICKS_BEFORE;
                if had_kicks && kicks < NO_KICKS && before - now > LOW_FALLS {
                    self.breakdown = Some(before);
                    self.line(self.at[0], told, Mark::Breakdown, give);
                }
            }
            // Everything has come back by and by.
            Some(full) if kicks >= 0.8 * NO_KICK_BEATS as f32 && full - now < LOW_FALLS / 2.0 => {
                self.breakdown = None;
            }
            Some(_) => {}
        }
    }

    fn bar(&mut self, at: f64, told: f64, give: &mut impl FnMut(Event)) {
        self.bars += 1;
        let interval = self.interval();
        let all = |from, to| decibels(self.levels.mean(Part::All, from, to));
        let middle = at - 2.0 * interval;
        let louder = all(middle, at) - all(middle - BEFORE * interval, middle);
        let lift = self.beats > BEFORE as u64 + 2 && self.beats - self.line >= 16 && louder > LIFT;
        if lift && self.breakdown.is_none() {
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
