//! The show's own clock: real time, less what stillness has held back.

use lanthorn_physics::{Instant, Span};

use super::When;

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Clock {
    latest: Instant,
    lag: Span,
    /// The show's time at which it stands still.
    held: Option<Instant>,
}

impl Clock {
    pub(super) fn new(now: Instant) -> Self {
        Self { latest: now, ..Self::default() }
    }

    /// Time never goes back: an earlier moment counts as the latest.
    pub(super) fn at(&mut self, now: Instant) -> When {
        self.latest = self.latest.max(now);
        self.peek(self.latest)
    }

    pub(super) fn peek(&self, now: Instant) -> When {
        let now = now.max(self.latest);
        When { now, show: self.held.unwrap_or(now - self.lag), still: self.held.is_some() }
    }

    pub(super) fn stand_still(&mut self, on: bool, now: Instant) {
        let When { now, show, still } = self.at(now);
        match (on, still) {
            (true, false) => self.held = Some(show),
            (false, true) => {
                self.held = None;
                self.lag = now - show;
            }
            _ => {}
        }
    }

    /// The real moment of a moment of the show, while it does not stand still.
    pub(super) fn real(&self, show: Instant) -> Instant {
        show + self.lag
    }
}
