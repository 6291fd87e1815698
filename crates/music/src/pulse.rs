//! The pulse: what of the music matters to lights, at one moment. Plain data that crosses threads as it is.

mod bands;

use lanthorn_physics::{Instant, Span};

pub use bands::Bands;

pub use crate::tracker::Phase;
use crate::tracker::{Shape, Standing};

/// Bars of a phrase: what most dance music and songs are built of (common practice, no source).
pub const PHRASE_BARS: u32 = 8;

/// The music at one moment, on the machine's clock. Where it comes from is another matter: sound, or a MIDI clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pulse {
    /// There is music, and its beat is known.
    pub follows: bool,
    /// The beat is not heard at present (a breakdown, a long note): its tempo is held.
    pub held: bool,
    /// Nothing comes in any more. All else is as it was heard last.
    pub lost: bool,
    /// Beats a minute; more than 0.
    pub bpm: f64,
    /// When a beat was, or within a moment will be. Others lie whole beats before and after it.
    pub beat_at: Instant,
    /// The place of that beat in its bar, from 1; 0 when it is not known.
    pub place: u8,
    /// Beats of the bar; 0 when not known.
    pub of: u8,
    /// How sure the beat is, 0 to 1.
    pub confidence: f32,
    /// How sure the place in the bar is, 0 to 1.
    pub bar_confidence: f32,
    /// Level of the sound, dB below a full-scale sine; none where there is no sound to hear (a MIDI clock).
    pub level_db: Option<f32>,
    /// Level of low, middle and high sound, each 0 to 1 of the most in the last seconds: see [`Bands`].
    pub bands: [f32; 3],
    /// Where it stands in its form; none where that is not known (a MIDI clock).
    pub form: Option<Form>,
    /// The last of each [`Strike`], or the next, where that is known before.
    pub strokes: [Option<Stroke>; Strike::ALL.len()],
}

/// Where music stands in its form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// What goes on.
    pub phase: Phase,
    /// How much goes on, against what this music had so far: 0 nothing, 1 as much as ever.
    pub energy: f32,
    /// When the phrase began that is on: the last line of the form; none before the first.
    pub phrase_at: Option<Instant>,
    /// Lines so far.
    pub lines: u32,
}

/// What light may answer to at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strike {
    /// A kick drum.
    Kick,
    /// A snare drum, a clap.
    Snare,
    /// A hi-hat, a cymbal.
    Hat,
    /// All comes back at once after a breakdown.
    Drop,
}

impl Strike {
    /// All, in the order of [`Pulse::strokes`].
    pub const ALL: [Self; 4] = [Self::Kick, Self::Snare, Self::Hat, Self::Drop];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Kick => "kick",
            Self::Snare => "snare",
            Self::Hat => "hat",
            Self::Drop => "drop",
        }
    }
}

/// Something was struck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// When.
    pub at: Instant,
    /// How sure that is, 0 to 1.
    pub sure: f32,
}

impl Pulse {
    /// Of the beat as it stands; `moment` turns seconds of sound into a moment of the machine's clock. Level, bands, form and
    /// strokes are still to be told.
    pub fn of(standing: &Standing, moment: impl Fn(f64) -> Instant) -> Self {
        let known = standing.of > 0 && standing.beat_at.is_finite() && standing.bpm > 0.0;
        Self {
            follows: standing.follows && known,
            held: standing.held,
            lost: false,
            bpm: if standing.bpm.is_finite() && standing.bpm > 0.0 { standing.bpm } else { 120.0 },
            beat_at: if known { moment(standing.beat_at) } else { Instant::ZERO },
            place: standing.place,
            of: standing.of,
            confidence: standing.confidence,
            bar_confidence: standing.bar_confidence,
            level_db: None,
            bands: [0.0; 3],
            form: None,
            strokes: [None; 4],
        }
    }

    /// The same with what is known of its form; the drop is a stroke.
    #[must_use]
    pub fn formed(self, shape: &Shape, moment: impl Fn(f64) -> Instant) -> Self {
        let phrase_at = shape.line_at.map(&moment);
        let form = Form { phase: shape.phase, energy: shape.energy, phrase_at, lines: shape.phrases };
        let mut strokes = self.strokes;
        strokes[Strike::Drop as usize] = shape.drop_at.map(|at| Stroke { at: moment(at), sure: 1.0 });
        Self { form: Some(form), strokes, ..self }
    }

    /// Seconds a beat.
    pub fn beat_secs(&self) -> f64 {
        60.0 / self.bpm
    }

    /// Beats since the last first beat of a bar, 0 up to [`Self::of`]; where no bar is known, the place inside the beat.
    pub fn in_bar(&self, at: Instant) -> f64 {
        let place = f64::from(self.place.max(1) - 1);
        let beats = place + (at - self.beat_at).secs() / self.beat_secs();
        beats.rem_euclid(f64::from(self.of.max(1)))
    }

    /// The same, later or earlier by so much.
    #[must_use]
    pub fn moved(self, span: Span) -> Self {
        Self { beat_at: self.beat_at + span, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standing() -> Standing {
        Standing { follows: true, bpm: 120.0, beat_at: 3.0, place: 2, of: 4, ..Standing::default() }
    }

    #[test]
    fn a_place_in_the_bar_for_every_moment() {
        let pulse = Pulse::of(&standing(), |secs| Instant::from_secs(secs + 10.0));
        for (at, place) in
            [(13.0, 1.0), (13.25, 1.5), (14.0, 3.0), (14.5, 0.0), (12.5, 0.0), (12.25, 3.5), (16.5, 0.0)]
        {
            let got = pulse.in_bar(Instant::from_secs(at));
            assert!((got - place).abs() < 1e-9, "{at} s: {got}");
        }
    }

    #[test]
    fn before_any_beat_nothing_is_followed() {
        let pulse = Pulse::of(&Standing { follows: true, ..Standing::default() }, Instant::from_secs);
        assert!(!pulse.follows && pulse.bpm > 0.0);
        assert!(pulse.in_bar(Instant::from_secs(7.3)) < 1.0);
    }
}
