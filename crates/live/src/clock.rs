//! The one place that reads a clock and sleeps.

use lanthorn_physics::{Instant, Span};

/// A monotonic clock whose zero is the moment it was made.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    zero: std::time::Instant,
    #[cfg(target_os = "linux")]
    zero_on_system: rustix::time::Timespec,
}

impl Clock {
    /// Zero is now.
    pub fn start() -> Self {
        Self {
            zero: std::time::Instant::now(),
            #[cfg(target_os = "linux")]
            zero_on_system: rustix::time::clock_gettime(rustix::time::ClockId::Monotonic),
        }
    }

    /// The time since zero.
    pub fn now(&self) -> Instant {
        Instant::from_micros(i64::try_from(self.zero.elapsed().as_micros()).unwrap_or(i64::MAX))
    }

    /// Sleeps until `deadline`; returns at once when it has passed. The deadline is absolute, so that a late
    /// wake-up never shifts the next.
    pub fn sleep_until(&self, deadline: Instant) {
        while self.now() < deadline {
            self.sleep_once(deadline);
        }
    }

    #[cfg(target_os = "linux")]
    fn sleep_once(&self, deadline: Instant) {
        let zero = self.zero_on_system;
        let nanos = zero.tv_nsec + (deadline.micros() % 1_000_000) * 1000;
        let wake = rustix::time::Timespec {
            tv_sec: zero.tv_sec + deadline.micros() / 1_000_000 + nanos / 1_000_000_000,
            tv_nsec: nanos % 1_000_000_000,
        };
        // An interrupted sleep is taken up again by the caller's loop.
        let _ = rustix::thread::clock_nanosleep_absolute(rustix::thread::ClockId::Monotonic, &wake);
    }

    #[cfg(not(target_os = "linux"))]
    fn sleep_once(&self, deadline: Instant) {
        let left: Span = deadline - self.now();
        std::thread::sleep(std::time::Duration::from_micros(left.micros().max(0) as u64));
    }
}

/// A span as the standard library's duration; a negative one is zero.
pub fn duration(span: Span) -> std::time::Duration {
    std::time::Duration::from_micros(u64::try_from(span.micros()).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleeps_until_the_deadline_and_not_before() {
        let clock = Clock::start();
        let deadline = clock.now() + Span::from_millis(20);
        clock.sleep_until(deadline);
        assert!(clock.now() >= deadline);
        clock.sleep_until(Instant::ZERO); // long past: returns at once
    }
}
