//! Whether all comes back at once: the drop.
//!
//! Each kick and each beat may be one. Shortly after it some figures are weighed, all of them against what this music had
//! before.

use super::levels::{Full, Levels, Part, THERE, decibels};

/// So long after it what comes with it is weighed, seconds: first for what is plain, then for the rest.
const LOOKS: [f64; 2] = [0.12, 0.36];

/// How much it must weigh, log odds.
const ENOUGH: [f32; 2] = [0.5, -1.0];

/// Of a logistic regression for each look over 223 invented pieces (crate `clips`, styles `whole …` and others). Each has the
/// sign that one would give it by hand.
const WEIGHTS: [Weights; 2] = [
    Weights {
        low: 0.384,
        low_before: -0.535,
        all: 0.089,
        jump: 0.192,
        away: 0.09,
        snares: 1.492,
        first: 0.92,
        none: -11.518,
    },
    Weights {
        low: 0.491,
        low_before: -0.551,
        all: 0.033,
        jump: 0.178,
        away: 0.081,
        snares: 1.497,
        first: 1.052,
        none: -10.568,
    },
];

/// What says that all comes back, log odds each.
struct Weights {
    /// A dB of what is low, against when all played.
    low: f32,
    /// The same in the two bars before.
    low_before: f32,
    /// A dB of all, against when all played.
    all: f32,
    /// A dB of all, against the beat before.
    jump: f32,
    /// A beat since the kick was there.
    away: f32,
    /// A snare a beat in the bar before.
    snares: f32,
    /// It is the first beat of a bar.
    first: f32,
    /// Nothing at all.
    none: f32,
}

/// Two within this are one, seconds.
const ONE: f64 = 0.06;

/// A beat and a kick within this are one.
const ON_BEAT: f64 = 0.07;

/// Nothing is weighed before, seconds: all is new at the beginning.
const FROM: f64 = 3.0;

/// What never played in full comes at once, and not back, unless so many snares in a bar lead to it.
const ROLLED: f32 = 6.0;

/// No drop follows another within, seconds.
const APART: f64 = 3.0;

/// What lies just before is left out, seconds: the attack may be early.
const EDGE: f64 = 0.05;

/// What may be a drop.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    at: f64,
    /// The first beat of a bar.
    first: bool,
    /// Beats since the kick was there.
    away: f64,
    full: Full,
    /// How often it was looked at.
    looks: usize,
}

/// Looks for drops.
#[derive(Default)]
pub(super) struct Drops {
    waiting: [Option<Candidate>; 8],
    /// The last candidate.
    last: f64,
    /// When the kick was last there.
    there: f64,
    /// The last drop.
    drop: Option<f64>,
    /// Beats: the last first beat of a bar.
    first: Option<f64>,
}

impl Drops {
    /// A beat is told: its moment, whether it is the first of a bar.
    pub(super) fn beat(&mut self, at: f64, first: bool, interval: f64, levels: &Levels) {
        if first {
            self.first = Some(at);
            let near = |of: &&mut Candidate| (of.at - at).abs() < ON_BEAT;
            self.waiting.iter_mut().flatten().filter(near).for_each(|of| of.first = true);
        }
        self.candidate(at, interval, levels);
    }

    /// A frame was heard; `kick`: the moment of one that was found. The moment of a drop, once it is sure.
    pub(super) fn hear(&mut self, kick: Option<f64>, interval: f64, levels: &Levels) -> Option<f64> {
        if let Some(at) = kick {
            self.candidate(at, interval, levels);
        }
        let now = levels.now();
        let mut found = None;
        for slot in &mut self.waiting {
            let Some(of) = slot else { continue };
            if now < of.at + LOOKS[of.looks] - 1e-6 {
                continue;
            }
            let rolled = levels.snares(of.at - 4.0 * interval, of.at - EDGE) > ROLLED;
            let may = (of.full.was() || rolled) && self.drop.is_none_or(|drop| of.at - drop > APART);
            if may && of.weight(interval, now, levels) > ENOUGH[of.looks] {
                found = Some(of.at);
                break;
            }
            of.looks += 1;
            if of.looks == LOOKS.len() {
                *slot = None;
            }
        }
        if found.is_some() {
            self.drop = found;
            self.waiting = [None; 8];
        }
        found
    }

    fn candidate(&mut self, at: f64, interval: f64, levels: &Levels) {
        if (at - self.last).abs() < ONE || at < FROM {
            return;
        }
        self.last = at;
        if levels.kicks(at - 2.0 - EDGE, at - EDGE) >= THERE * levels.full.kicks.max(1.0) {
            self.there = at;
        }
        let first = self.first.is_some_and(|first| (first - at).abs() < ON_BEAT);
        let away = (at - self.there) / interval;
        if let Some(free) = self.waiting.iter_mut().find(|of| of.is_none()) {
            *free = Some(Candidate { at, first, away, full: levels.full, looks: 0 });
        }
    }
}

impl Candidate {
    /// How much says that it is a drop, log odds.
    fn weight(&self, interval: f64, now: f64, levels: &Levels) -> f32 {
        let over = |part, from: f64, to: f64| decibels(levels.mean(part, from, to));
        let at = self.at;
        let low = over(Part::Low, at, now) - decibels(self.full.low);
        let all = over(Part::All, at, now);
        let low_before = over(Part::Low, at - 8.0 * interval, at - EDGE) - decibels(self.full.low);
        let jump = all - over(Part::All, at - interval, at - EDGE);
        let snares = levels.snares(at - 4.0 * interval, at - EDGE) / 4.0;
        let weights = &WEIGHTS[self.looks];
        weights.low * low.clamp(-12.0, 3.0)
            + weights.low_before * low_before.clamp(-14.0, 0.0)
            + weights.all * (all - decibels(self.full.all)).clamp(-9.0, 3.0)
            + weights.jump * jump.clamp(-3.0, 12.0)
            + weights.away * self.away.clamp(0.0, 12.0) as f32
            + weights.snares * snares.clamp(0.0, 2.0)
            + if self.first { weights.first } else { 0.0 }
            + weights.none
    }
}
