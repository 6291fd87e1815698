//! Motors: how long a move takes, and where a head is on its way.
//!
//! One axis (pan or tilt) has a largest speed and a largest acceleration. [`Axis::step`] moves it in the shortest time
//! that these allow. It serves twice: to keep what is sent within what a motor can follow, and as the motor of the
//! stand-in. Not here: jerk, backlash, the maker's own smoothing.

use serde::{Deserialize, Serialize};

use crate::time::Span;
use crate::units::{Radians, Seconds};

/// What the motor of an axis can do. Both values must be above zero; an axis with other limits stays where it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct AxisLimits {
    /// Largest speed, rad/s.
    pub speed: f64,
    /// Largest acceleration and braking, rad/s².
    pub acceleration: f64,
}

/// Where an axis is, and how fast it turns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Axis {
    /// Angle.
    pub position: Radians,
    /// Speed, rad/s, with its sign.
    pub velocity: f64,
}

impl AxisLimits {
    /// From what a profile states (DIN SPEC 15800 RealFade and RealAcceleration): the travel from end to end, the time
    /// for it from rest to rest, and the time from rest to full speed. Then speed = travel / (full − acceleration time)
    /// and acceleration = speed / acceleration time.
    ///
    /// An acceleration time of more than half the travel time means that full speed is never reached: it counts as
    /// half. One of less than a millisecond counts as a millisecond. `None` when travel or travel time is not above zero
    /// or the acceleration time is below zero.
    pub fn from_travel(travel: Radians, full_travel: Seconds, to_full_speed: Seconds) -> Option<Self> {
        let (travel, full) = (travel.get().abs(), full_travel.get());
        let usable = travel > 0.0
            && full > 0.0
            && to_full_speed.get() >= 0.0
            && travel.is_finite()
            && full.is_finite();
        if !usable {
            return None;
        }
        let rise = to_full_speed.get().max(1e-3).min(full / 2.0);
        let speed = travel / (full - rise);
        Some(Self { speed, acceleration: speed / rise })
    }

    /// Time to turn by an angle from rest to rest: θ/v + v/a when full speed is reached, 2·√(θ/a) when not. An axis
    /// that cannot move takes for ever (the largest span).
    pub fn travel_time(&self, angle: Radians) -> Span {
        self.travel_secs(angle).map_or(Span::from_micros(i64::MAX), Span::from_secs)
    }

    /// [`travel_time`](Self::travel_time) in seconds, not rounded; `None` for an axis that cannot move.
    pub fn travel_secs(&self, angle: Radians) -> Option<f64> {
        let angle = angle.get().abs();
        if angle <= 0.0 {
            return Some(0.0);
        }
        let Self { speed, acceleration } = *self;
        self.usable().then(|| {
            if angle >= speed * speed / acceleration {
                angle / speed + speed / acceleration
            } else {
                2.0 * (angle / acceleration).sqrt()
            }
        })
    }

    /// Fastest that it gets on the way by an angle from rest to rest, rad/s: v, or √(θ·a) on a way too short for it.
    pub fn peak_speed(&self, angle: Radians) -> f64 {
        (angle.get().abs() * self.acceleration).sqrt().min(self.speed)
    }

    /// How much of a way from rest to rest is behind after a part of the time for it, both 0 to 1: up to speed, on, down
    /// to rest, in the shares that this motor takes on that way. It is the same however much longer the whole is to take
    /// (see [`slowed`](Self::slowed)). An axis that cannot move speeds up over half of the time and brakes over the rest.
    pub fn part_of_way(&self, angle: Radians, part_of_time: f64) -> f64 {
        let whole = self.travel_secs(angle).filter(|secs| *secs > 0.0);
        let rise = whole.map_or(0.5, |whole| (self.peak_speed(angle) / self.acceleration / whole).min(0.5));
        let part = part_of_time.clamp(0.0, 1.0);
        // Area under a speed that rises to `top`, stays and falls, which is 1 in all.
        let top = 1.0 / (1.0 - rise);
        let ramp = |part: f64| top * part * part / (2.0 * rise);
        if part < rise {
            ramp(part)
        } else if part > 1.0 - rise {
            1.0 - ramp(1.0 - part)
        } else {
            top * (part - rise / 2.0)
        }
    }

    /// The same motor held back so that every move takes `factor` times as long (1 or more): speed ÷ factor,
    /// acceleration ÷ factor².
    pub fn slowed(&self, factor: f64) -> Self {
        let factor = factor.max(1.0);
        Self { speed: self.speed / factor, acceleration: self.acceleration / (factor * factor) }
    }

    fn usable(&self) -> bool {
        self.speed > 0.0 && self.acceleration > 0.0 && self.speed.is_finite() && self.acceleration.is_finite()
    }
}

impl Axis {
    /// At rest at an angle.
    pub fn at_rest(position: Radians) -> Self {
        Self { position, velocity: 0.0 }
    }

    /// `true` when the axis rests at the target.
    pub fn has_arrived(&self, target: Radians) -> bool {
        self.position == target && self.velocity.abs() <= 0.0
    }

    /// Moves for `dt` towards rest at `target` in the shortest time: speeds up, runs at full speed, brakes in time. The
    /// way within `dt` is followed exactly, so that one long step ends where many short ones end. It overshoots only
    /// when the axis is already too fast to stop (a target that jumps back), and then by no more than it must.
    /// Nothing moves when a number is not finite, `dt` is not above zero, or the limits are no limits.
    pub fn step(&mut self, target: Radians, limits: AxisLimits, dt: Span) {
        self.follow(target, 0.0, limits, dt);
    }

    /// [`step`](Self::step) for a target that moves: `target` is where it will be at the end of `dt`, `target_speed`
    /// (rad/s, with its sign) how fast it moves meanwhile. An axis that has caught up stays on it without lagging, as
    /// long as the target keeps within the limits.
    pub fn follow(&mut self, target: Radians, target_speed: f64, limits: AxisLimits, dt: Span) {
        let seconds = dt.secs();
        let numbers = [self.position.get(), self.velocity, target.get(), target_speed];
        if !limits.usable() || seconds <= 0.0 || numbers.iter().any(|number| !number.is_finite()) {
            return;
        }
        // Seen from the target, it stands still: what is to go, and how fast that shrinks.
        let target_speed = target_speed.clamp(-limits.speed, limits.speed);
        let to_go = target.get() - target_speed * seconds - self.position.get();
        let closing = self.velocity - target_speed;
        match Approach::plan(to_go, closing, target_speed, limits).after(seconds) {
            Some((left, closing)) => {
                self.position = target - Radians::new(left);
                self.velocity = closing + target_speed;
            }
            None => *self = Self { position: target, velocity: target_speed },
        }
    }
}

/// The quickest way to rest at a target that stands still: up to a speed, on at that speed, down to rest. Distances and
/// speeds count in the direction in which the axis has to go (`sign`); `speed` may at first be against it.
struct Approach {
    sign: f64,
    to_go: f64,
    speed: f64,
    /// Change of speed in the first part: speeding up, or braking down to the limit.
    change: f64,
    change_secs: f64,
    top: f64,
    top_secs: f64,
    braking: f64,
}

impl Approach {
    fn plan(to_go: f64, closing: f64, target_speed: f64, limits: AxisLimits) -> Self {
        let AxisLimits { speed: limit, acceleration } = limits;
        // Braking at once would end here; the target is ahead of that or behind it.
        let miss = to_go - closing * closing.abs() / (2.0 * acceleration);
        let sign = if miss < 0.0 { -1.0 } else { 1.0 };
        let (to_go, speed) = (to_go * sign, closing * sign);
        // The axis may run at `limit`; seen from the target, which runs itself, that is more or less.
        let most = (limit - target_speed * sign).max(0.0);
        let peak = (acceleration * to_go + speed * speed / 2.0).max(0.0).sqrt();
        let top = peak.min(most);
        let change = if speed > top { -acceleration } else { acceleration };
        let change_secs = (top - speed) / change;
        let changing = (speed + top) / 2.0 * change_secs;
        let cruising = to_go - changing - top * top / (2.0 * acceleration);
        // Below full speed there is nothing to cruise; rounding must not leave a rest to cover at a speed of nothing.
        let top_secs = if peak <= most || cruising <= 0.0 { 0.0 } else { cruising / top };
        Self { sign, to_go, speed, change, change_secs, top, top_secs, braking: acceleration }
    }

    /// What is left to go, and the closing speed, after some time; `None` when the axis has arrived.
    fn after(&self, seconds: f64) -> Option<(f64, f64)> {
        let brake_secs = self.top / self.braking;
        let (left, speed) = if seconds < self.change_secs {
            let gone = (self.speed + self.change * seconds / 2.0) * seconds;
            (self.to_go - gone, self.speed + self.change * seconds)
        } else if seconds < self.change_secs + self.top_secs {
            let changing = (self.speed + self.top) / 2.0 * self.change_secs;
            (self.to_go - changing - self.top * (seconds - self.change_secs), self.top)
        } else {
            // Counted back from the end, so that the axis ends exactly there.
            let remaining = self.change_secs + self.top_secs + brake_secs - seconds;
            if remaining <= 0.0 {
                return None;
            }
            let speed = self.braking * remaining;
            (speed * remaining / 2.0, speed)
        };
        Some((left * self.sign, speed * self.sign))
    }
}

#[cfg(test)]
mod tests;
