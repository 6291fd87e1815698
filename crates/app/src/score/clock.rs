//! Where a track is at a moment of the machine's clock: it runs by that clock, or a page plays it and says where it is.

use lanthorn_live::ears::SoundClock;
use lanthorn_physics::{Instant, Span};

/// So many of a page's last words count: the middle one of what they say.
const WORDS: usize = 9;

/// A word further off than this is a jump to another place, seconds.
const JUMP_SECS: f64 = 0.1;

/// The place in a track.
#[derive(Clone, Debug)]
pub(super) enum PlaceClock {
    /// The machine plays it: where it was, and when.
    Own { at: Span, since: Instant },
    /// A page does.
    Page(Box<PageClock>),
}

/// What a page says of where it is, by its own clock.
#[derive(Clone, Debug)]
pub(super) struct PageClock {
    /// From the page's clock to the machine's.
    clock: SoundClock,
    /// The newest moment of the page's clock, seconds.
    newest: f64,
    /// Place in the track less the page's clock, of the last words.
    offsets: Vec<f64>,
}

impl PlaceClock {
    /// Where it is.
    pub(super) fn place(&self, now: Instant) -> Span {
        match self {
            Self::Own { at, since } => *at + (now - *since),
            Self::Page(page) => page.place(now),
        }
    }
}

impl PageClock {
    pub(super) fn new() -> Self {
        Self { clock: SoundClock::new(Span::ZERO), newest: 0.0, offsets: Vec::with_capacity(WORDS) }
    }

    /// The page was at `at` seconds of the track when its own clock stood at `clock`; the word came at `now`. `true` when that
    /// is another place than before.
    pub(super) fn hear(&mut self, at: f64, clock: f64, now: Instant) -> bool {
        self.clock.observe(clock, now);
        self.newest = clock;
        let offset = at - clock;
        let jumped = self.offsets.is_empty() || (offset - self.offset()).abs() > JUMP_SECS;
        if jumped {
            self.offsets.clear();
        } else if self.offsets.len() == WORDS {
            self.offsets.remove(0);
        }
        self.offsets.push(offset);
        jumped
    }

    fn offset(&self) -> f64 {
        let mut sorted = self.offsets.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or_default()
    }

    fn place(&self, now: Instant) -> Span {
        let late = self.clock.moment(self.newest).secs() - self.newest;
        Span::from_secs(now.secs() - late + self.offset())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_jitter_tell_the_place_and_a_jump_is_one() {
        let mut page = PageClock::new();
        // The page's clock stands 5 s behind the machine's; words take 2 to 30 ms, and the player rounds to 10 ms.
        let mut worst: f64 = 0.0;
        for word in 0..60 {
            let clock = 0.2 * f64::from(word);
            let true_place = 40.0 + clock;
            let told = (true_place * 100.0).floor() / 100.0;
            let late = 0.002 + 0.028 * f64::from(word * 7 % 5) / 4.0;
            let jumped = page.hear(told, clock, Instant::from_secs(clock + 5.0 + late));
            assert_eq!(jumped, word == 0);
            if word > 10 {
                let place = page.place(Instant::from_secs(clock + 5.0 + 0.05));
                worst = worst.max((place.secs() - true_place - 0.05).abs());
            }
        }
        assert!(worst < 0.012, "off by {worst} s");
        assert!(page.hear(10.0, 12.2, Instant::from_secs(17.204)));
        let place = page.place(Instant::from_secs(17.202)).secs();
        assert!((place - 10.0).abs() < 0.01, "{place}");
    }
}
