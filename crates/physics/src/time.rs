//! Moments and lengths of time as whole microseconds, so that tests and expected tables hold plain numbers.

use serde::{Deserialize, Serialize};

/// A moment: microseconds since an arbitrary zero (the start of the run, as a rule).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Instant(i64);

/// A length of time in microseconds. May be negative as the difference of two moments.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Span(i64);

impl Instant {
    /// The arbitrary zero.
    pub const ZERO: Self = Self(0);

    /// From microseconds since zero.
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// From seconds since zero, rounded to a microsecond.
    pub fn from_secs(secs: f64) -> Self {
        Self::ZERO + Span::from_secs(secs)
    }

    /// Microseconds since zero.
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// Seconds since zero.
    pub fn secs(self) -> f64 {
        self.0 as f64 / 1e6
    }
}

impl Span {
    /// No time at all.
    pub const ZERO: Self = Self(0);

    /// From microseconds.
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// From milliseconds.
    pub const fn from_millis(millis: i64) -> Self {
        Self(millis * 1000)
    }

    /// From seconds, rounded to a microsecond; what is not finite becomes zero, what is too large saturates.
    pub fn from_secs(secs: f64) -> Self {
        Self((secs * 1e6).round() as i64)
    }

    /// In microseconds.
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// In seconds.
    pub fn secs(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// How far `part` is through `self`, 0 to 1; a length of zero or less is always done (1).
    pub fn progress(self, part: Self) -> f64 {
        if self.0 <= 0 { 1.0 } else { (part.0 as f64 / self.0 as f64).clamp(0.0, 1.0) }
    }
}

impl std::ops::Add<Span> for Instant {
    type Output = Self;
    fn add(self, span: Span) -> Self {
        Self(self.0.saturating_add(span.0))
    }
}

impl std::ops::Sub<Span> for Instant {
    type Output = Self;
    fn sub(self, span: Span) -> Self {
        Self(self.0.saturating_sub(span.0))
    }
}

impl std::ops::Sub for Instant {
    type Output = Span;
    fn sub(self, earlier: Self) -> Span {
        Span(self.0.saturating_sub(earlier.0))
    }
}

impl std::ops::Add for Span {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::ops::Sub for Span {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl std::ops::Mul<i64> for Span {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0.saturating_mul(times))
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "halves and quarters are exact")]
mod tests {
    use super::*;

    #[test]
    fn moments_and_lengths() {
        let start = Instant::from_secs(1.5);
        assert_eq!((start + Span::from_millis(250)).micros(), 1_750_000);
        assert_eq!((Instant::ZERO - start).secs(), -1.5);
        assert_eq!(Span::from_secs(f64::NAN), Span::ZERO);
    }

    #[test]
    fn progress_is_done_when_there_is_nothing_to_wait_for() {
        assert_eq!(Span::ZERO.progress(Span::ZERO), 1.0);
        assert_eq!(Span::from_secs(4.0).progress(Span::from_secs(1.0)), 0.25);
        assert_eq!(Span::from_secs(4.0).progress(Span::from_secs(9.0)), 1.0);
    }
}
