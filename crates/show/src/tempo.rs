//! The tempo: beats a minute, where in the beat we are, and the taps that set both.

use lanthorn_physics::{Instant, Span};

use crate::chase::PHRASE_BARS;

/// Slowest and fastest tempo, beats a minute. At the slow end two taps lie two seconds apart, which is also where a
/// pause begins.
pub const RANGE: [f64; 2] = [30.0, 240.0];

/// Without any other word.
pub const DEFAULT: f64 = 120.0;

/// A tap so long after the last one starts a new count.
pub const PAUSE: Span = Span::from_millis(2000);

/// The most taps that count.
pub const MOST_TAPS: usize = 8;

/// Beats of a bar without any other word.
pub const BAR: f64 = 4.0;

/// Beats a minute, and the position in beats at one moment. Change of tempo bends the line of position over time,
/// and never breaks it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo {
    bpm: f64, // invariant: inside RANGE
    zero: Instant,
    beat_at_zero: f64,
    /// A position at which a bar begins, and how many beats bars have.
    one: f64,
    bar: f64, // invariant: finite, more than 0
    /// A position at which a phrase begins: on a bar.
    phrase: f64,
    /// Somebody has said where bars begin: the music, or a hand.
    bars_told: bool,
}

/// How long beats and bars are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pace {
    /// Seconds a beat.
    pub beat_secs: f64,
    /// Beats a bar.
    pub bar_beats: f64,
}

/// The last taps.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Taps {
    at: [Instant; MOST_TAPS],
    count: usize,
}

/// What makes up for taps: a position in beats that never jumps. A tap moves the beat at once, this follows within
/// [`Drift::SPAN`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Drift {
    since: Instant,
    beats: f64,
}

impl Drift {
    /// So long a tap takes to arrive.
    pub(crate) const SPAN: Span = Span::from_millis(2000);

    /// To be added to the position.
    pub(crate) fn beats(&self, at: Instant) -> f64 {
        self.beats * (1.0 - Self::SPAN.progress(at - self.since))
    }

    /// A tap has moved the position by so many beats.
    pub(crate) fn moved(&mut self, beats: f64, at: Instant) {
        *self = Self { since: at, beats: self.beats(at) - beats };
    }
}

impl Tempo {
    /// A tempo whose beat 0 is at `zero`; what is not finite becomes [`DEFAULT`], the rest is held to [`RANGE`].
    pub fn new(bpm: f64, zero: Instant) -> Self {
        let bpm = held(bpm).unwrap_or(DEFAULT);
        Self { bpm, zero, beat_at_zero: 0.0, one: 0.0, bar: BAR, phrase: 0.0, bars_told: false }
    }

    /// A tempo that is at a position in beats at a moment. What is not finite counts as nothing said.
    pub fn resumed(bpm: f64, beat: f64, at: Instant) -> Self {
        let beat_at_zero = if beat.is_finite() { beat } else { 0.0 };
        Self { beat_at_zero, ..Self::new(bpm, at) }
    }

    /// Beats a minute.
    pub fn bpm(&self) -> f64 {
        self.bpm
    }

    /// Seconds a beat.
    pub fn beat_secs(&self) -> f64 {
        60.0 / self.bpm
    }

    /// Position in beats; the fraction is the place inside the beat.
    pub fn beat(&self, at: Instant) -> f64 {
        self.beat_at_zero + (at - self.zero).secs() / self.beat_secs()
    }

    /// Another tempo from `at` on, the position unbroken. What is not finite is ignored.
    pub fn set(&mut self, bpm: f64, at: Instant) {
        if let Some(bpm) = held(bpm) {
            *self = Self { bpm, zero: at, beat_at_zero: self.beat(at), ..*self };
        }
    }

    /// Puts the nearest whole beat on `at`; returns by how many beats the position moved, −0.5 to 0.5.
    pub fn put_beat_on(&mut self, at: Instant) -> f64 {
        let beat = self.beat(at);
        let moved = beat.round() - beat;
        self.move_by(moved, at);
        moved
    }

    /// Moves the position by so many beats from `at` on, the bars with it. What is not finite is ignored.
    pub(crate) fn move_by(&mut self, beats: f64, at: Instant) {
        if beats.is_finite() {
            *self = Self { zero: at, beat_at_zero: self.beat(at) + beats, ..*self };
        }
    }

    /// Beats since a bar began, 0 up to [`Self::bar_beats`].
    pub fn in_bar(&self, at: Instant) -> f64 {
        self.since_one(at).rem_euclid(self.bar)
    }

    /// Beats a bar.
    pub fn bar_beats(&self) -> f64 {
        self.bar
    }

    /// Position in beats, counted from the beginning of a bar.
    pub(crate) fn since_one(&self, at: Instant) -> f64 {
        self.beat(at) - self.one
    }

    /// Bars of so many beats, which begin so many beats later than they did; the position stays. `true` when that is another
    /// bar than before.
    pub(crate) fn set_bar(&mut self, bar: f64, later: f64) -> bool {
        if !(bar.is_finite() && later.is_finite() && bar > 0.0) {
            return false;
        }
        let was = *self;
        // Phrases go along: they begin with bars.
        (self.one, self.phrase) = (self.one + later, self.phrase + later);
        (self.bar, self.bars_told) = (bar, true);
        (was.one - self.one).abs() > 1e-9 || (was.bar - bar).abs() > 1e-9 || !was.bars_told
    }

    /// Beats since a phrase began, 0 up to [`Self::phrase_beats`].
    pub fn in_phrase(&self, at: Instant) -> f64 {
        self.since_phrase(at).rem_euclid(self.phrase_beats())
    }

    /// Beats of a phrase.
    pub fn phrase_beats(&self) -> f64 {
        PHRASE_BARS * self.bar
    }

    /// Position in beats, counted from the beginning of a phrase.
    pub(crate) fn since_phrase(&self, at: Instant) -> f64 {
        self.beat(at) - self.phrase
    }

    /// Lets phrases begin so many whole bars later than they did; a whole phrase later is no change. `true` when that is
    /// another bar than before.
    pub(crate) fn put_phrase(&mut self, bars_later: f64) -> bool {
        let bars = bars_later.round().rem_euclid(PHRASE_BARS);
        if bars.is_finite() && bars > 0.0 {
            self.phrase += bars * self.bar;
        }
        bars > 0.0
    }

    /// Somebody has said where bars begin.
    pub(crate) fn bars_are_told(&self) -> bool {
        self.bars_told
    }

    /// How many beats later, or earlier, bars would begin if one began with the beat nearest to `at`.
    pub(crate) fn later(&self, at: Instant) -> f64 {
        let later = self.since_one(at).round().rem_euclid(self.bar);
        if later > self.bar / 2.0 { later - self.bar } else { later }
    }

    /// Lets a bar begin with the beat nearest to `at`, and a phrase with it; `true` when none began there before.
    pub(crate) fn put_one_on(&mut self, at: Instant) -> bool {
        let later = self.later(at);
        let bar = self.set_bar(self.bar, later);
        self.put_phrase(self.since_phrase(at) / self.bar) || bar
    }

    pub(crate) fn pace(&self) -> Pace {
        Pace { beat_secs: self.beat_secs(), bar_beats: self.bar }
    }
}

impl Taps {
    /// Counts a tap. From the second on: the tempo as the median of the last intervals (at most seven), so that one
    /// tap gone wrong does not count; held to [`RANGE`].
    pub fn tap(&mut self, at: Instant) -> Option<f64> {
        if self.count > 0 && at - self.at[self.count - 1] > PAUSE {
            self.count = 0;
        }
        if self.count == MOST_TAPS {
            self.at.copy_within(1.., 0);
            self.count -= 1;
        }
        self.at[self.count] = at;
        self.count += 1;
        let secs = self.median_interval()?;
        held(60.0 / secs.max(1e-6))
    }

    fn median_interval(&self) -> Option<f64> {
        let count = self.count.checked_sub(1).filter(|&count| count > 0)?;
        let mut secs = [0.0; MOST_TAPS - 1];
        for (interval, pair) in secs.iter_mut().zip(self.at[..self.count].windows(2)) {
            *interval = (pair[1] - pair[0]).secs();
        }
        let secs = &mut secs[..count];
        secs.sort_unstable_by(f64::total_cmp);
        Some((secs[(count - 1) / 2] + secs[count / 2]) / 2.0)
    }
}

fn held(bpm: f64) -> Option<f64> {
    bpm.is_finite().then(|| bpm.clamp(RANGE[0], RANGE[1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn taps_make_a_tempo() {
        // Taps at these seconds give, after the last: beats a minute.
        let rows: &[(&[f64], Option<f64>)] = &[
            (&[0.0], None),
            (&[0.0, 0.5], Some(120.0)),
            (&[0.0, 0.5, 1.0, 1.5], Some(120.0)),
            (&[0.0, 0.6, 1.2, 1.5, 2.1, 2.7], Some(100.0)), // one tap half a beat early
            (&[0.0, 0.5, 1.0, 2.0, 2.5, 3.0], Some(120.0)), // one tap missed
            (&[0.0, 0.5, 1.0, 3.2], None),                  // a pause starts anew
            (&[0.0, 0.5, 1.0, 3.2, 3.8], Some(100.0)),
            (&[0.0, 2.0], Some(30.0)),
            (&[0.0, 0.05], Some(240.0)),
            (&[0.0, 0.0], Some(240.0)),
            // Ten taps that speed up: the first ones no longer count.
            (&[0.0, 1.0, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5], Some(120.0)),
        ];
        for (taps, bpm) in rows {
            let mut counter = Taps::default();
            let last = taps.iter().map(|&secs| counter.tap(Instant::from_secs(secs))).last().unwrap();
            match (last, bpm) {
                (Some(got), Some(bpm)) => assert!((got - bpm).abs() < 1e-6, "{taps:?}: {got}"),
                (got, want) => assert_eq!(got, *want, "{taps:?}"),
            }
        }
    }

    #[test]
    fn the_position_never_breaks() {
        let mut tempo = Tempo::new(120.0, Instant::ZERO);
        for (secs, bpm) in [(1.3, 90.0), (2.0, 240.0), (2.1, f64::NAN), (7.7, 5.0), (9.0, 1e9)] {
            let at = Instant::from_secs(secs);
            let before = tempo.beat(at);
            tempo.set(bpm, at);
            assert!((tempo.beat(at) - before).abs() < 1e-12, "at {secs} s");
            assert!((RANGE[0]..=RANGE[1]).contains(&tempo.bpm()));
        }
    }

    #[test]
    fn bars_move_and_the_position_stays() {
        let mut tempo = Tempo::new(120.0, Instant::ZERO);
        let at = Instant::from_secs(1.1);
        assert!((tempo.in_bar(at) - 2.2).abs() < 1e-9);
        assert!(tempo.put_one_on(at), "the third beat is the first now");
        assert!((tempo.in_bar(at) - 0.2).abs() < 1e-9 && (tempo.beat(at) - 2.2).abs() < 1e-9);
        assert!((tempo.in_phrase(at) - 0.2).abs() < 1e-9, "a phrase begins with it");
        assert!(!tempo.put_one_on(at), "it is already");
        assert!(tempo.set_bar(3.0, 0.0) && !tempo.set_bar(3.0, 0.0));
        assert!((tempo.in_bar(Instant::from_secs(2.6)) - 0.2).abs() < 1e-9);
        assert!(!tempo.set_bar(0.0, 0.0) && !tempo.set_bar(4.0, f64::NAN));
        let phrase = tempo.in_phrase(at);
        assert!((tempo.phrase_beats() - 24.0).abs() < 1e-9 && (phrase - 0.2).abs() < 1e-9);
        assert!(tempo.put_phrase(-3.0) && !tempo.put_phrase(8.0));
        assert!(
            (tempo.in_phrase(at) - 9.2).abs() < 1e-9,
            "it began three bars before: {}",
            tempo.in_phrase(at)
        );
        tempo.move_by(0.25, at);
        assert!((tempo.in_bar(at) - 0.45).abs() < 1e-9, "the bars go with the position");
    }

    #[test]
    fn a_tap_is_on_the_beat() {
        let mut tempo = Tempo::new(120.0, Instant::ZERO);
        for (secs, moved, beat) in [(1.1, -0.2, 2.0), (2.0, 0.2, 4.0)] {
            let at = Instant::from_secs(secs);
            assert!((tempo.put_beat_on(at) - moved).abs() < 1e-9);
            assert!((tempo.beat(at) - beat).abs() < 1e-12);
        }
    }
}
