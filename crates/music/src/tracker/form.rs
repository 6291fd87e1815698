//! The form of the music as it goes: lines of phrases and parts, breakdowns, builds, drops, steps up.

mod drop;
mod levels;
mod newness;

use super::{Event, Mark, Phase, Shape, What};
use crate::net::Heard;
use crate::pulse::PHRASE_BARS;
use crate::spectrum::{Frame, Loudness};
use drop::Drops;
use levels::{Levels, Part, decibels};
use newness::Newness;

/// A breakdown: so many beats nearly without a kick, after a time in which there were so many a beat.
const NO_KICK_BEATS: usize = 4;
const NO_KICKS: f32 = 0.5;
const KICKS_BEFORE: f32 = 0.35;

/// Beats that stand for "before", and how many there must be at least.
const BEFORE: f64 = 16.0;
const LEAST_BEFORE: f64 = 8.0;

/// By so much the low bands must fall in a breakdown, dB.
const LOW_FALLS: f32 = 5.0;

/// A breakdown becomes a build when so many more snares a beat are struck than when it began, or what is high rises by so
/// much from bar to bar, dB; and is one no more when it falls by so much.
const BUILD_SNARES: f32 = 0.45;
const BUILD_RISES: f32 = 3.0;
const BUILD_FALLS: f32 = -4.0;

/// All of it must get louder by so much, from bars to bar before, to be a lift, dB.
const LIFT: f32 = 3.5;

/// Something new begins from so much on, log odds; and how likely that is after eight bars, after four, elsewhere.
const NEW: f32 = -1.5;
const PLACES: [f32; 3] = [0.7, 0.0, -0.7];

/// No two lines of the form are nearer than this, beats.
const APART: u64 = 6;

/// Energy: so far below the fullest is nothing, dB; how much of it are drums.
const RANGE: f32 = 18.0;
const DRUMS: f32 = 0.4;

/// The slowest and the quickest beat, seconds; and the usual one.
const BEAT_SECS: [f64; 2] = [0.25, 1.0];
const USUAL_SECS: f64 = 0.5;

/// Without a beat for so long it is other music that comes next, seconds; so long at least lasts no breakdown.
const OTHER_MUSIC_SECS: f64 = 20.0;

/// An attack may be early by so much, seconds.
const EDGE: f64 = 0.05;

/// What has been heard of the form.
pub(crate) struct Form {
    levels: Levels,
    drops: Drops,
    newness: Newness,
    /// Beats so far.
    beats: u64,
    /// When the last beats were.
    at: [f64; NO_KICK_BEATS + 1],
    phase: Phase,
    /// The low level before the breakdown that is on, dB; its beat, and how many snares a beat its first bars had.
    full: f32,
    since: u64,
    snares: f32,
    /// Bars since the last line of the form.
    bars: u32,
    /// The beat of the last line that was told, and of the last that was no phrase.
    told: u64,
    line: u64,
    /// What is told of it.
    shape: Shape,
}

impl Default for Form {
    fn default() -> Self {
        Self {
            levels: Levels::default(),
            drops: Drops::default(),
            newness: Newness::default(),
            beats: 0,
            at: [0.0; NO_KICK_BEATS + 1],
            phase: Phase::Full,
            full: 0.0,
            since: 0,
            snares: 0.0,
            bars: 0,
            told: 0,
            line: 0,
            shape: Shape::default(),
        }
    }
}

impl Form {
    /// Where the music stands.
    pub(crate) fn shape(&self) -> Shape {
        let phrase_bar = u8::try_from(self.bars).unwrap_or(u8::MAX);
        Shape { phase: self.phase, energy: self.energy(), phrase_bar, ..self.shape }
    }

    /// How much goes on, over the last bar.
    fn energy(&self) -> f32 {
        let now = self.levels.now();
        let from = now - NO_KICK_BEATS as f64 * self.interval();
        let full = &self.levels.full;
        if full.all <= 0.0 {
            return 0.0;
        }
        let below = decibels(full.all) - decibels(self.levels.mean(Part::All, from, now));
        let level = (1.0 - below / RANGE).clamp(0.0, 1.0);
        // Music without drums has nothing but its level.
        let drums = if full.was() { (self.levels.kicks(now - 2.0, now) / full.kicks).min(1.0) } else { 1.0 };
        level * (1.0 - DRUMS + DRUMS * drums)
    }

    /// Seconds of a beat lately.
    fn interval(&self) -> f64 {
        if self.beats <= NO_KICK_BEATS as u64 {
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
        self.newness.hear(frame, loudness);
        if told - self.at[NO_KICK_BEATS] > OTHER_MUSIC_SECS {
            self.levels.forget();
            self.phase = Phase::Full;
        }
        let interval = self.interval();
        if let Some(at) = self.drops.hear(kick, interval, &self.levels) {
            self.phase = Phase::Full;
            self.line(0, at, told, Mark::Drop, give);
        }
    }

    /// A beat: its moment, its place in the bar, beats of the bar.
    pub(crate) fn beat(&mut self, at: f64, place: u8, of: u8, told: f64, give: &mut impl FnMut(Event)) {
        self.beats += 1;
        self.at.rotate_left(1);
        self.at[NO_KICK_BEATS] = at;
        self.drops.beat(at, place == 1, self.interval(), &self.levels);
        self.newness.beat(at, &self.levels);
        self.bars += u32::from(place == 1);
        if self.beats >= LEAST_BEFORE as u64 + NO_KICK_BEATS as u64 {
            self.judge(told, give);
        }
        if place == 1 {
            self.bar(at, of, told, give);
        }
    }

    /// Whether a breakdown is on, or a build.
    fn judge(&mut self, told: f64, give: &mut impl FnMut(Event)) {
        let (from, to) = (self.at[0] - EDGE, self.at[NO_KICK_BEATS] - EDGE);
        let before = BEFORE.min((self.beats - NO_KICK_BEATS as u64) as f64);
        let begin = self.at[0] - before * self.interval();
        let low = |from, to| decibels(self.levels.mean(Part::Low, from, to));
        let (kicks, kicks_before) = (self.levels.kicks(from, to), self.levels.kicks(begin, from));
        let had_kicks = kicks_before / before as f32 >= KICKS_BEFORE;
        let (now, before) = (low(from, to), low(begin, from));
        let snares = self.levels.snares(from, to) / NO_KICK_BEATS as f32;
        if self.phase == Phase::Full {
            if had_kicks && kicks < NO_KICKS && before - now > LOW_FALLS {
                (self.phase, self.full, self.since) = (Phase::Breakdown, before, self.beats);
                self.snares = snares;
                self.line(NO_KICK_BEATS as u64, self.at[0], told, Mark::Breakdown, give);
            }
            return;
        }
        // Everything has come back by and by.
        if kicks >= 0.8 * NO_KICK_BEATS as f32 && self.full - now < LOW_FALLS / 2.0 {
            self.phase = Phase::Full;
            return;
        }
        // The first bars of a breakdown ring out, and say how it is.
        if self.beats < self.since + NO_KICK_BEATS as u64 {
            self.snares = self.snares.max(snares);
            return;
        }
        let high = |from, to| decibels(self.levels.mean(Part::High, from, to));
        let rises = high(from, to) - high(2.0 * from - to, from);
        if snares > self.snares + BUILD_SNARES || rises > BUILD_RISES {
            self.phase = Phase::Build;
        } else if rises < BUILD_FALLS {
            self.phase = Phase::Breakdown;
        }
    }

    fn bar(&mut self, at: f64, of: u8, told: f64, give: &mut impl FnMut(Event)) {
        let since = if of == 3 { 3 } else { NO_KICK_BEATS };
        // Where a bar ago lay in its phrase.
        let place = match self.bars.saturating_sub(1) {
            0 => 0.0,
            bars if bars.is_multiple_of(PHRASE_BARS) => PLACES[0],
            bars if bars.is_multiple_of(PHRASE_BARS / 2) => PLACES[1],
            _ => PLACES[2],
        };
        if self.newness.began(since) + place > NEW {
            let from = self.at[NO_KICK_BEATS - since];
            let all = |from, to| decibels(self.levels.mean(Part::All, from, to));
            let louder = all(from, at) - all(from - BEFORE * self.interval(), from);
            let mark = if louder > LIFT { Mark::Lift } else { Mark::Section };
            if self.line(since as u64, from, told, mark, give) {
                return;
            }
        }
        if self.bars >= PHRASE_BARS {
            self.bars = 0;
            self.tell(at, told, Mark::Phrase, give);
            self.told = self.beats;
        }
    }

    /// A line so many beats ago, unless it is one that was told; whether it was news.
    fn line(&mut self, ago: u64, at: f64, told: f64, mark: Mark, give: &mut impl FnMut(Event)) -> bool {
        let beat = self.beats.saturating_sub(ago);
        let sure = matches!(mark, Mark::Drop | Mark::Breakdown);
        if self.line > 0 && beat < self.line + APART && !sure {
            return false;
        }
        self.bars = u32::from(ago > 0);
        // What turns out to be more than a phrase is no other.
        let again = self.told > 0 && beat < self.told + APART / 2;
        (self.line, self.told) = (beat, beat);
        self.tell(at, told, mark, give);
        self.shape.phrases -= u32::from(again);
        true
    }

    fn tell(&mut self, at: f64, told: f64, mark: Mark, give: &mut impl FnMut(Event)) {
        self.shape.phrases += 1;
        self.shape.line_at = Some(at);
        if mark == Mark::Drop {
            self.shape.drop_at = Some(at);
        }
        give(Event { at, told, what: What::Line(mark) });
    }
}
