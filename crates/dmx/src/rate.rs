//! When a stream of one universe may, and when it must, send: the one place that all senders ask.

use lanthorn_physics::time::{Instant, Span};

/// The least time between two packets of one universe: 44 Hz, the fastest that a line of ANSI E1.11 carries 512 slots
/// and so the limit of E1.31-2018 §6.6.1 and of Art-Net.
pub const LEAST_GAP: Span = Span::from_micros(22_727);

/// The time between packets while nothing changes, in the middle of the 800 to 1000 ms of E1.31-2018 §6.6.2 (which
/// Art-Net recommends too) so that a tick that comes late still meets it.
pub const KEEP_ALIVE: Span = Span::from_millis(900);

/// How often the same values leave before a stream slows to keep-alives (E1.31-2018 §6.6.2).
pub const SETTLED_PACKETS: u8 = 3;

/// Holds packets apart: never two closer than the gap.
#[derive(Clone, Copy, Debug)]
pub struct RateGuard {
    gap: Span,
    last: Option<Instant>,
}

/// The pace of one stream: on change, until settled, then keep-alives, and never faster than its guard.
///
/// Silent until the first [`change`](Self::change): a stream without values has nothing to say.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    guard: RateGuard,
    continuous: bool,
    started: bool,
    owed: u8, // packets of the present values still to send at the full rate
}

impl RateGuard {
    /// A guard that has seen nothing yet, so that the first packet may leave at once.
    pub const fn new(gap: Span) -> Self {
        Self { gap, last: None }
    }

    /// The earliest moment of the next packet; before everything else when there was none yet.
    pub fn earliest(&self) -> Instant {
        self.after(self.gap)
    }

    /// Whether a packet may leave now.
    pub fn allows(&self, now: Instant) -> bool {
        self.earliest() <= now
    }

    /// A packet has left.
    pub fn sent(&mut self, now: Instant) {
        self.last = Some(now);
    }

    fn after(&self, span: Span) -> Instant {
        self.last.map_or(Instant::from_micros(i64::MIN), |last| last + span)
    }
}

impl Pace {
    /// A pace of at most one packet a `gap`. `continuous`: a packet each gap, changed or not.
    pub const fn new(gap: Span, continuous: bool) -> Self {
        Self { guard: RateGuard::new(gap), continuous, started: false, owed: 0 }
    }

    /// The values are new, or someone new listens: they are due as soon as the guard allows, and then until settled.
    pub fn change(&mut self) {
        self.started = true;
        self.owed = SETTLED_PACKETS;
    }

    /// `true` once there were values.
    pub fn has_started(&self) -> bool {
        self.started
    }

    /// When the next packet is due; `None` before the first change. May lie in the past.
    pub fn next_due(&self) -> Option<Instant> {
        let full_rate = self.continuous || self.owed > 0;
        self.started.then(|| if full_rate { self.guard.earliest() } else { self.guard.after(KEEP_ALIVE) })
    }

    /// Takes the packet that is due, if one is: answers `true` and counts it as sent.
    pub fn take(&mut self, now: Instant) -> bool {
        let due = self.next_due().is_some_and(|due| due <= now);
        if due {
            self.guard.sent(now);
            self.owed = self.owed.saturating_sub(1);
        }
        due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The moments in ms at which a pace sends when asked every `step_us` for `for_ms`, changing at `changes` (ms).
    fn moments(continuous: bool, step_us: i64, for_ms: i64, changes: &[i64]) -> Vec<i64> {
        let mut pace = Pace::new(LEAST_GAP, continuous);
        let mut sent = Vec::new();
        for micros in (0..for_ms * 1000).step_by(step_us as usize) {
            if changes.iter().any(|ms| (micros - step_us + 1..=micros).contains(&(ms * 1000))) {
                pace.change();
            }
            if pace.take(Instant::from_micros(micros)) {
                sent.push(micros / 1000);
            }
        }
        sent
    }

    #[test]
    fn change_settles_and_slows() {
        // Three of the settled values 22.727 ms apart, then one each 900 ms after the last.
        assert_eq!(moments(false, 1000, 2000, &[0]), [0, 23, 46, 946, 1846]);
        // A change that comes too early waits for the guard; it counts three anew.
        assert_eq!(moments(false, 1000, 1000, &[0, 5, 30]), [0, 23, 46, 69, 92, 992]);
        // A change between two keep-alives leaves at once.
        assert_eq!(moments(false, 1000, 1500, &[0, 700]), [0, 23, 46, 700, 723, 746]);
        assert_eq!(moments(false, 1000, 1000, &[]), [0; 0], "nothing to say without values");
    }

    #[test]
    fn continuous_sends_every_tick_but_no_faster_than_44_hz() {
        assert_eq!(moments(true, 25_000, 100, &[0]), [0, 25, 50, 75]);
        assert_eq!(moments(true, 1000, 10_000, &[0]).len(), 435, "one each 23 ms of a 1 ms tick");
        assert_eq!(moments(true, 22_727, 1000, &[0]).len(), 45, "t = 0 and 44 more");
    }
}
