//! Counting flashes: down after up, and when that happened.

use lanthorn_physics::{Instant, Span};

use crate::rig::Limits;

/// Smallest change that counts, of the most there can be. The published figure is a tenth (W3C WCAG 2.2, general flash);
/// a little less, since a channel holds whole numbers and what is sent can be a little more than what is meant.
pub(super) const STEP: f64 = 0.08;

/// From here on everybody has counted a fall, also who takes another light for the most there can be.
const WHOLE_STEP: f64 = 0.2;

/// Light that falls less than this in a tick creeps to its end, as that of a filament does.
const CREEP: f64 = 1e-4;

/// Most flashes that are remembered: no more than the highest limit can ask for.
pub(super) const KEPT: usize = Limits::MOST.get() as usize;

/// So many flashes within so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rate {
    pub(super) count: usize,
    pub(super) within: Span,
}

impl Rate {
    /// 3 a second are three within any second; 3.5 a second three within any 6/7 s; one in two seconds one within 2 s.
    pub(super) fn of(per_second: f64) -> Self {
        let count = per_second.floor().max(1.0);
        Self { count: count as usize, within: Span::from_secs(count / per_second.max(0.01)) }
    }

    /// The same with some taken by others.
    pub(super) fn less(self, taken: usize) -> Self {
        Self { count: self.count.saturating_sub(taken), ..self }
    }
}

/// Moments of the last flashes, oldest first.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stamps([Option<Instant>; KEPT]);

impl Stamps {
    pub(super) fn push(&mut self, now: Instant) {
        self.0.rotate_left(1);
        self.0[KEPT - 1] = Some(now);
    }

    pub(super) fn move_last(&mut self, now: Instant) {
        self.0[KEPT - 1] = Some(now);
    }

    pub(super) fn within(&self, span: Span, now: Instant) -> usize {
        self.0.iter().filter(|stamp| stamp.is_some_and(|at| now - at <= span)).count()
    }

    /// Whether one more keeps the rate.
    pub(super) fn free(&self, rate: Rate, now: Instant) -> bool {
        self.within(rate.within, now) < rate.count
    }
}

/// A measure of light, 0 to 1, as it goes up and down.
///
/// A flash counts from the moment at which the light fell after it, and goes on counting from later as long as it falls.
/// A rise may begin only while there are fewer of those within the last second than the limit allows. So whoever counts
/// by the same definition with a change of [`STEP`] to [`WHOLE_STEP`], be it rises, falls, or pairs of both, never counts
/// more than the limit: between two of his rises, and between two of his falls, lies one of ours, stamped no earlier than
/// his; and while a rise is held back, the light stays less than [`STEP`] above its lowest.
#[derive(Clone, Copy, Debug)]
pub(super) struct Swings {
    /// Lowest since the last fall, or highest since the last rise.
    extreme: f64,
    fallen: bool,
    /// From where it fell last.
    peak: f64,
    pub(super) stamps: Stamps,
    /// Rises so far.
    pub(super) count: u32,
}

impl Swings {
    pub(super) const DARK: Self =
        Self { extreme: 0.0, fallen: true, peak: 0.0, stamps: Stamps([None; KEPT]), count: 0 };

    /// Goes on where the most there can be is another, at a moment. So much light there is now, and each rise from here
    /// counts: what was a small fall may be a large one now.
    pub(super) fn rescale(&mut self, scale: f64, light: f64, at: Option<Instant>) {
        self.extreme *= scale;
        self.peak *= scale;
        if (scale - 1.0).abs() <= 1e-9 {
            return;
        }
        if self.fallen {
            self.extreme = self.extreme.min(light);
        } else {
            (self.fallen, self.peak, self.extreme) = (true, self.extreme.max(light), light);
            if let Some(at) = at {
                self.stamps.push(at);
            }
        }
    }

    /// How far up it may go now.
    pub(super) fn ceiling(&self, rate: Rate, now: Instant) -> f64 {
        if !self.fallen || self.stamps.free(rate, now) { f64::INFINITY } else { self.extreme + STEP * 0.99 }
    }

    /// Takes what is sent.
    pub(super) fn observe(&mut self, value: f64, now: Instant) {
        if self.fallen {
            if value >= self.extreme + STEP {
                (self.fallen, self.extreme) = (false, value);
                self.count = self.count.wrapping_add(1);
            } else if value < self.extreme {
                if self.peak - self.extreme < WHOLE_STEP && self.extreme - value > CREEP {
                    self.stamps.move_last(now);
                }
                self.extreme = value;
            }
        } else if value > self.extreme {
            self.extreme = value;
        } else if value <= self.extreme - STEP {
            (self.fallen, self.peak, self.extreme) = (true, self.extreme, value);
            self.stamps.push(now);
        }
    }
}

/// Of some number of flashes a second: when it was one or more, two or more, and so on.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Recent([Option<Instant>; KEPT]);

impl Recent {
    /// The most within so long.
    pub(super) fn most(&self, within: Span, now: Instant) -> usize {
        let recent = |at: &Option<Instant>| at.is_some_and(|at| now - at <= within);
        self.0.iter().rposition(recent).map_or(0, |index| index + 1)
    }

    pub(super) fn note(&mut self, rate: usize, now: Instant) {
        self.0.iter_mut().take(rate).for_each(|at| *at = Some(now));
    }
}
