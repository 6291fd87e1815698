//! Above four flashes a second: in bursts alone.

use lanthorn_physics::{Instant, Span};

use crate::rig::Limits;

/// A burst ends here; what was counted within the second before its beginning brings it to five seconds.
const BURST: Span = Span::from_millis(4000);

/// And the next may begin so long after its beginning: so no minute holds more than 30 s of bursts.
const AGAIN: Span = Span::from_millis(10_000);

/// When the fast flashing that was agreed upon began.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Burst(Option<Instant>);

impl Burst {
    /// Flashes a second that are allowed now under a limit.
    pub(super) fn rate(&mut self, limit: f64, now: Instant) -> f64 {
        if self.0.is_some_and(|begun| now - begun >= AGAIN) {
            self.0 = None;
        }
        match self.0 {
            Some(begun) if limit > Limits::WITHOUT_REASON.get() && now - begun >= BURST => {
                Limits::USUAL.get()
            }
            _ => limit,
        }
    }

    /// So many flashes were sent within the last second.
    pub(super) fn saw(&mut self, flashes: usize, now: Instant) {
        if flashes as f64 > Limits::USUAL.get() && self.0.is_none() {
            self.0 = Some(now);
        }
    }
}
