//! Following the music: what a hand may ask of it, and what is told of it.

use lanthorn_music::pulse::Pulse;
use lanthorn_physics::Span;

use crate::tempo;

/// So long before the beat a step leaves, without any other word: the millisecond after its moment with which its tick comes,
/// and the 23 ms that a frame of 512 slots takes on a DMX line (ANSI E1.11: 513 slots of 44 µs and the break before them).
/// What a light itself takes is not known.
pub const LEAD: Span = Span::from_millis(24);

/// The most that a step may leave before or after the beat.
pub const MOST_LEAD: Span = Span::from_millis(500);

/// How fast light that goes with the sound comes up and goes down without any other word. Quick up and slow down, so that a
/// stroke is seen and does not flicker (common practice, no source).
pub const RISE: Span = Span::from_millis(20);
/// See there.
pub const FALL: Span = Span::from_millis(250);

/// The most that either may take.
pub const MOST_SWELL: Span = Span::from_millis(10_000);

/// What a show says of the music.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MusicRule {
    /// How long before the beat steps leave, so that they are seen on it; none: [`LEAD`].
    pub lead: Option<Span>,
    /// Slowest and fastest tempo that the music may set, beats a minute; none: [`tempo::RANGE`]. Music outside it is followed
    /// at half, double, a quarter of its tempo and so on.
    pub range: [Option<f64>; 2],
    /// How fast light that goes with the sound comes up, and goes down; none: [`RISE`], [`FALL`].
    pub rise: Option<Span>,
    /// See there.
    pub fall: Option<Span>,
}

/// How much goes on in the music.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mood {
    /// Little, a breakdown, or no music at all.
    Calm,
    /// It goes along.
    Groove,
    /// As much as there is, a drop.
    Peak,
}

impl Mood {
    /// All, from calm to peak.
    pub const ALL: [Self; 3] = [Self::Calm, Self::Groove, Self::Peak];

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Calm => "calm",
            Self::Groove => "groove",
            Self::Peak => "peak",
        }
    }
}

impl MusicRule {
    /// The lead that counts.
    pub fn lead(&self) -> Span {
        self.lead.unwrap_or(LEAD).clamp(Span::ZERO - MOST_LEAD, MOST_LEAD)
    }

    /// How fast light that goes with the sound comes up and goes down: the time of 1 − 1/e of the way.
    pub fn swell(&self) -> [Span; 2] {
        [self.rise.unwrap_or(RISE), self.fall.unwrap_or(FALL)]
            .map(|span| span.clamp(Span::from_millis(1), MOST_SWELL))
    }

    /// The range that counts.
    pub fn range(&self) -> [f64; 2] {
        let [low, high] = self.range;
        range([low.unwrap_or(tempo::RANGE[0]), high.unwrap_or(tempo::RANGE[1])]).unwrap_or(tempo::RANGE)
    }
}

/// What a hand asks of the music that is followed. The hand wins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Steer {
    /// Follow the music (`true`), or hold the tempo as it is now.
    Follow(bool),
    /// So many times the tempo of the music, from what it is now: 0.5 or 2. Without music, of the tempo that is set.
    Times(f64),
    /// The beat nearest to now is the first of a bar.
    One,
    /// Steps come so much earlier than they do; a negative time makes them later.
    Earlier(Span),
    /// Slowest and fastest tempo that the music may set, beats a minute.
    Range([f64; 2]),
    /// Let the music pick looks by its mood, at phrase lines (`true`), or leave the look as it is.
    Pick(bool),
}

/// How the music is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Following {
    /// The music as it was told last; none while nothing listens.
    pub pulse: Option<Pulse>,
    /// It may set the tempo; otherwise the tempo is in the hand.
    pub follow: bool,
    /// It sets the tempo now.
    pub sets: bool,
    /// So many beats of the show are one of the music.
    pub times: f64,
    /// By how much a hand has moved steps: earlier is positive.
    pub earlier: Span,
    /// Slowest and fastest tempo that it may set, beats a minute.
    pub range: [f64; 2],
    /// There is no music: what is to be calm then is.
    pub calm: bool,
    /// It picks looks.
    pub picks: bool,
    /// The mood by which it has picked last.
    pub mood: Option<Mood>,
    /// Beats of the show until the next phrase line; none while it is not known where phrases begin.
    pub line_in: Option<f64>,
}

/// A range that can be: both finite, the first lower, an octave apart at least so that any tempo has a place in it.
pub fn range([low, high]: [f64; 2]) -> Option<[f64; 2]> {
    let [low, high] = [low, high].map(|bpm| bpm.clamp(tempo::RANGE[0], tempo::RANGE[1]));
    (low.is_finite() && high.is_finite() && high >= 2.0 * low - 1e-9).then_some([low, high])
}

/// How many times its tempo music of so many beats a minute is followed, to be inside a range: `times` made twice or half as
/// much as often as it takes.
pub(crate) fn times_in(bpm: f64, times: f64, [low, high]: [f64; 2]) -> f64 {
    let mut times = times;
    for _ in 0..8 {
        if bpm * times < low - 1e-9 {
            times *= 2.0;
        } else if bpm * times > high + 1e-9 {
            times /= 2.0;
        }
    }
    times
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn music_finds_a_place_in_the_range() {
        for (bpm, times, range, want) in [
            (128.0, 1.0, [30.0, 240.0], 1.0),
            (172.0, 1.0, [70.0, 140.0], 0.5),
            (58.0, 1.0, [80.0, 160.0], 2.0),
            (128.0, 2.0, [30.0, 240.0], 1.0),
            (128.0, 0.5, [30.0, 240.0], 0.5),
            (200.0, 1.0, [40.0, 80.0], 0.25),
        ] {
            let got = times_in(bpm, times, range);
            assert!((got - want).abs() < 1e-9, "{bpm} x {times} in {range:?}: {got}");
        }
    }

    #[test]
    fn ranges_that_leave_a_tempo_without_a_place_are_none() {
        assert_eq!(range([80.0, 160.0]), Some([80.0, 160.0]));
        for wrong in [[100.0, 150.0], [160.0, 80.0], [f64::NAN, 100.0], [100.0, 100.0]] {
            assert_eq!(range(wrong), None, "{wrong:?}");
        }
    }
}
