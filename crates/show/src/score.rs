//! Scored tracks: what is to be on when, along a piece of music that is known beforehand.
//!
//! A score lies on the musical grid of its track: bars, and beats in them. What begins at a bar stays with that bar wherever it
//! sounds. Moments are counted from the beginning of the sound.

pub mod lay;

use lanthorn_physics::Span;

use crate::StepTime;

/// Most bars of a score: a bound on files, four hours at 68 bars a minute.
pub const MOST_BARS: usize = 16_384;
/// Most parts, and most lines.
pub const MOST_PARTS: usize = 1024;
/// Most chases that a part lets run.
pub const MOST_CHASES: usize = 8;
/// Most beats of a bar.
pub const MOST_BEATS: u8 = 16;
/// A beat where the track has none near: that of 120 beats a minute.
const BEAT_SECS: f64 = 0.5;

/// A lighting score over a track.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Score {
    /// Its name, unique among scores.
    pub name: String,
    /// The sound file, as the show's file writes it: a path from that file's folder, or a whole one.
    pub file: String,
    /// How long the track is.
    pub length: Span,
    /// When each bar begins, rising, and when the last one ends; none where no beat was heard.
    pub bars: Vec<Span>,
    /// Beats a bar: each holds from its bar on. Without any, four (common practice, no source).
    pub metres: Vec<Metre>,
    /// Sections and other lines of the form, by bar.
    pub lines: Vec<Line>,
    /// What is to be on, in the order of the file.
    pub parts: Vec<ScorePart>,
}

/// From a bar on, so many beats a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Metre {
    /// The first bar, from 1.
    pub bar: u32,
    /// Beats, to [`MOST_BEATS`]; 0 where there is no beat for a while.
    pub of: u8,
}

/// A line of the form.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The bar that begins there, from 1; 0: the beginning of the track, before its first bar.
    pub bar: u32,
    /// What begins.
    pub kind: LineKind,
    /// What a person calls it ("intro", "verse"); may be empty.
    pub name: String,
    /// How much is going on until the next line, 0 (least) to 1 (most of the track); none where nobody knows.
    pub energy: Option<f64>,
}

/// What begins at a line of the form.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LineKind {
    /// Something new.
    #[default]
    Section,
    /// A phrase.
    Phrase,
    /// The kick and what is low have gone.
    Breakdown,
    /// They are back, all at once.
    Drop,
    /// It is louder from here on.
    Lift,
}

impl LineKind {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Section => "section",
            Self::Phrase => "phrase",
            Self::Breakdown => "breakdown",
            Self::Drop => "drop",
            Self::Lift => "lift",
        }
    }
}

/// What is to be on from a place of the track.
#[derive(Clone, Debug, PartialEq)]
pub struct ScorePart {
    /// Where it begins.
    pub place: Place,
    /// The look that becomes the base; none keeps it.
    pub look: Option<String>,
    /// Chases that run from there on: no others; none keeps those that run.
    pub chases: Option<Vec<String>>,
    /// Fade in.
    pub fade: Span,
    /// All is dark for so long before it.
    pub dark: Option<StepTime>,
    /// Why it is so, for people; may be empty.
    pub why: String,
}

/// A place in a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// A beat of a bar, both from 1.
    Bar {
        /// The bar.
        bar: u32,
        /// The beat.
        beat: u8,
    },
    /// So long after the beginning, for music without bars.
    Time(Span),
}

/// A beat of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beat {
    /// When it is.
    pub at: Span,
    /// How long it lasts.
    pub secs: f64,
    /// Its bar, from 1.
    pub bar: u32,
    /// Its place in the bar, from 1.
    pub place: u8,
    /// Beats of the bar.
    pub of: u8,
}

/// What a score has on at a moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Standing<'s> {
    /// Place of the part in [`Score::parts`]; none before the first.
    pub part: Option<usize>,
    /// The look, from this part or the last that named one.
    pub look: Option<&'s str>,
    /// The chases, likewise.
    pub chases: Option<&'s [String]>,
    /// All is dark, before a part that asks for it.
    pub dark: bool,
}

impl Score {
    /// How many bars there are.
    pub fn bar_count(&self) -> u32 {
        self.bars.len().saturating_sub(1) as u32
    }

    /// Beats of a bar, counted from 1; 0 where there is no beat.
    pub fn beats_of(&self, bar: u32) -> u8 {
        self.metres.iter().rev().find(|metre| metre.bar <= bar).map_or(4, |metre| metre.of)
    }

    /// When a bar begins; bar 0 is the beginning of the track, and the bar after the last is where that ends.
    pub fn bar_at(&self, bar: u32) -> Option<Span> {
        match bar.checked_sub(1) {
            None => Some(Span::ZERO),
            Some(place) => self.bars.get(place as usize).copied(),
        }
    }

    /// When a place is; none where the track has no such bar.
    pub fn moment(&self, place: Place) -> Option<Span> {
        match place {
            Place::Time(at) => Some(at),
            Place::Bar { bar: 0, .. } => Some(Span::ZERO),
            Place::Bar { bar, beat } => {
                let begin = self.bar_at(bar)?;
                let beats = f64::from(beat.max(1) - 1);
                let Some(end) = self.bar_at(bar + 1) else { return (beats < 1.0).then_some(begin) };
                let of = f64::from(self.beats_of(bar).max(1));
                Some(begin + Span::from_secs((end - begin).secs() * (beats / of).min(1.0)))
            }
        }
    }

    /// The beat that a moment lies in; none outside the bars, and where there is no beat.
    pub fn beat_at(&self, at: Span) -> Option<Beat> {
        let bar = self.bars.partition_point(|begin| *begin <= at) as u32;
        let (begin, end) = (self.bar_at(bar.max(1))?, self.bar_at(bar + 1)?);
        let of = self.beats_of(bar);
        if bar == 0 || of == 0 || end <= begin {
            return None;
        }
        let secs = (end - begin).secs() / f64::from(of);
        let place = ((at - begin).secs() / secs).floor().clamp(0.0, f64::from(of - 1));
        Some(Beat { at: begin + Span::from_secs(place * secs), secs, bar, place: place as u8 + 1, of })
    }

    /// Seconds a beat just before a moment; where there is none, of the nearest bar, else [`BEAT_SECS`].
    fn beat_secs_before(&self, at: Span) -> (f64, u8) {
        let just = at - Span::from_millis(1);
        let near = self.bars.first().map(|first| just.max(*first));
        let last = self.bars.last().map(|last| *last - Span::from_millis(1));
        let near = near.zip(last).and_then(|(near, last)| self.beat_at(near.min(last)));
        near.map_or((BEAT_SECS, 4), |beat| (beat.secs, beat.of))
    }

    /// When a part begins, and when it begins to be dark before it; none where its bar is not there.
    pub fn span_of(&self, part: &ScorePart) -> Option<(Span, Span)> {
        let at = self.moment(part.place)?;
        let secs = part.dark.map_or(0.0, |dark| match dark {
            StepTime::Time(span) => span.secs(),
            StepTime::Beats(beats) => beats * self.beat_secs_before(at).0,
            StepTime::Bars(bars) => {
                let (secs, of) = self.beat_secs_before(at);
                bars * secs * f64::from(of)
            }
        });
        Some(((at - Span::from_secs(secs)).max(Span::ZERO), at))
    }

    /// Places of the parts in [`Self::parts`], in the order in which they come, those without a place in the track left out.
    pub fn order(&self) -> Vec<usize> {
        let mut order: Vec<(Span, usize)> = self
            .parts
            .iter()
            .enumerate()
            .filter_map(|(index, part)| Some((self.moment(part.place)?, index)))
            .collect();
        order.sort_unstable();
        order.into_iter().map(|(_, index)| index).collect()
    }

    /// What is on at a moment, had the track been played from its beginning.
    pub fn standing(&self, at: Span) -> Standing<'_> {
        let mut standing = Standing::default();
        for index in self.order() {
            let part = &self.parts[index];
            let Some((dark, begins)) = self.span_of(part) else { continue };
            if begins > at {
                standing.dark |= dark <= at;
                continue;
            }
            standing.part = Some(index);
            standing.look = part.look.as_deref().or(standing.look);
            standing.chases = part.chases.as_deref().or(standing.chases);
        }
        standing
    }

    /// The next moment after this one at which something changes; none when nothing does any more.
    pub fn next_change(&self, after: Span) -> Option<Span> {
        let both = self.parts.iter().filter_map(|part| self.span_of(part));
        both.flat_map(|(dark, begins)| [dark, begins]).filter(|at| *at > after).min()
    }

    /// The last line of the form at or before a moment.
    pub fn line_at(&self, at: Span) -> Option<&Line> {
        self.lines.iter().rev().find(|line| self.bar_at(line.bar).is_some_and(|begins| begins <= at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(place: Place, look: &str) -> ScorePart {
        ScorePart {
            place,
            look: (!look.is_empty()).then(|| look.to_owned()),
            chases: None,
            fade: Span::ZERO,
            dark: None,
            why: String::new(),
        }
    }

    /// Eight bars of 2 s from 1 s on, the fifth without a beat, the last three of three beats.
    fn score() -> Score {
        Score {
            length: Span::from_secs(20.0),
            bars: (0..=8).map(|bar| Span::from_secs(1.0 + 2.0 * f64::from(bar))).collect(),
            metres: [(1, 4), (5, 0), (6, 3)].map(|(bar, of)| Metre { bar, of }).to_vec(),
            ..Score::default()
        }
    }

    #[test]
    fn places_on_the_grid_are_moments() {
        let score = score();
        for (bar, beat, at) in [
            (1, 1, Some(1.0)),
            (1, 3, Some(2.0)),
            (2, 1, Some(3.0)),
            (6, 2, Some(11.0 + 2.0 / 3.0)),
            (0, 1, Some(0.0)),
            (9, 1, Some(17.0)),
            (9, 2, None),
            (10, 1, None),
        ] {
            assert_eq!(score.moment(Place::Bar { bar, beat }), at.map(Span::from_secs), "{bar}.{beat}");
        }
        let beat = score.beat_at(Span::from_secs(4.6)).unwrap();
        assert_eq!((beat.bar, beat.place, beat.of, beat.at), (2, 4, 4, Span::from_secs(4.5)));
        for none in [0.5, 9.5, 17.5] {
            assert_eq!(score.beat_at(Span::from_secs(none)), None, "{none} s");
        }
    }

    #[test]
    fn what_is_on_follows_from_the_place_alone() {
        let mut score = score();
        let mut drop = part(Place::Bar { bar: 3, beat: 1 }, "bright");
        (drop.dark, drop.chases) = (Some(StepTime::Beats(1.0)), Some(vec!["run".to_owned()]));
        score.parts = vec![
            part(Place::Bar { bar: 6, beat: 1 }, ""),
            drop,
            part(Place::Time(Span::from_millis(250)), "calm"),
        ];
        assert_eq!(score.order(), [2, 1, 0]);
        let at = |secs| score.standing(Span::from_secs(secs));
        assert_eq!(at(0.1), Standing::default());
        assert_eq!((at(0.25).look, at(0.25).part, at(4.4).dark), (Some("calm"), Some(2), false));
        // The dark ends exactly where the part begins.
        assert!(at(4.5).dark && at(4.999).dark && at(4.999).look == Some("calm"));
        assert_eq!((at(5.0).dark, at(5.0).look), (false, Some("bright")));
        let late = at(15.0);
        assert_eq!((late.part, late.look, late.chases.map(<[_]>::len)), (Some(0), Some("bright"), Some(1)));
        let mut changes = Vec::new();
        let mut after = Span::ZERO - Span::from_millis(1);
        while let Some(next) = score.next_change(after) {
            changes.push(next.secs());
            after = next;
        }
        assert_eq!(changes, [0.25, 4.5, 5.0, 11.0]);
    }
}
