//! How much may come in: so much at once, and then so much a second.

use std::time::{Duration, Instant};

/// A token bucket that may run into debt once: what has come has come, and the next waits until it is paid.
pub(crate) struct Bucket {
    /// What flows in, a second.
    rate: f64,
    /// What it holds at most.
    holds: f64,
    left: f64,
    at: Instant,
}

impl Bucket {
    /// A full one.
    pub(crate) fn new(rate: u32, holds: u32, now: Instant) -> Self {
        Self { rate: f64::from(rate.max(1)), holds: f64::from(holds), left: f64::from(holds), at: now }
    }

    /// Takes out what has come; the answer is how long the next has to wait.
    pub(crate) fn take(&mut self, what: u32, now: Instant) -> Duration {
        let passed = now.saturating_duration_since(self.at).as_secs_f64();
        self.left = (self.left + passed * self.rate).min(self.holds) - f64::from(what);
        self.at = now;
        Duration::try_from_secs_f64((-self.left / self.rate).max(0.0)).unwrap_or(Duration::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_passes_and_then_the_rate_holds() {
        let mut now = Instant::now();
        let begun = now;
        let mut bucket = Bucket::new(10, 20, now);
        for _ in 0..120 {
            now += bucket.take(1, now);
        }
        // 20 at once, the other 100 at 10 a second.
        assert!((now - begun).abs_diff(Duration::from_secs(10)) < Duration::from_millis(1));
        now += Duration::from_secs(3600);
        assert!(bucket.take(20, now).is_zero(), "full again, and no fuller than full");
        assert_eq!(bucket.take(10, now).as_millis(), 1000);
    }
}
