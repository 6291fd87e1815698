//! Looks that the music picks: at phrase lines, by its mood, each mood's in turn.

use lanthorn_music::pulse::{Form, Phase, Pulse, Strike};
use lanthorn_physics::{Instant, Span};

use super::follow::Follow;
use super::{Player, When};
use crate::follow::Mood;

/// Below and above so much energy it is calm, or at its peak; once it is, it stays so for this much more or less.
const CALM_BELOW: f32 = 0.42;
const PEAK_ABOVE: f32 = 0.84;
const STAYS: f32 = 0.06;

/// Before so many lines nobody knows how much "as much as ever" will be.
const LINES_FOR_A_PEAK: u32 = 2;

/// A line that is told within so many bars of one that was taken is that line.
const SAME_LINE_BARS: f64 = 0.75;

/// A drop that was told is at a line within this of it.
const AT_LINE: Span = Span::from_millis(500);

/// What is known of picking.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Picks {
    /// The music picks looks.
    pub on: bool,
    /// The mood by which it did last.
    pub mood: Option<Mood>,
    /// In each mood's list, the place whose turn it is.
    turn: [usize; Mood::ALL.len()],
    /// When the last line was taken, on the show's clock.
    line: Instant,
    /// Lines that the music has told of; none before it was followed.
    lines: Option<u32>,
}

impl Follow {
    /// A hand has chosen: looks stay.
    pub(super) fn leave_looks(&mut self) {
        (self.picks.on, self.picks.mood) = (false, None);
    }
}

impl Player {
    /// Lets the music pick looks from now on, or leaves them as they are.
    pub(super) fn pick_looks(&mut self, on: bool, when: &When) {
        if !on {
            return self.music.leave_looks();
        }
        if self.music.picks.on {
            return;
        }
        self.music.picks.on = true;
        if self.music.is_calm() {
            self.pick(Mood::Calm, when);
        } else if self.music.sounding().is_some() {
            self.take_line(false, when);
        }
    }

    /// Beats until the next phrase line, where it is known where phrases begin.
    pub(super) fn line_in(&self, show: Instant) -> Option<f64> {
        self.tempo.bars_are_told().then(|| self.tempo.phrase_beats() - self.tempo.in_phrase(show))
    }

    /// When the next phrase line is to be taken, on the show's clock. In a breakdown none is, before the music says so: its
    /// end may be a drop.
    pub(super) fn next_line(&self) -> Option<Instant> {
        let Follow { picks, .. } = &self.music;
        let full = |pulse: &Pulse| pulse.form.is_none_or(|form| form.phase == Phase::Full);
        self.music.sounding().filter(|pulse| picks.on && self.music.bpm().is_some() && full(pulse))?;
        let from = picks.line + self.one_bar();
        Some(from + Span::from_secs(self.line_in(from)? * self.tempo.beat_secs()))
    }

    /// Takes what is told of the form.
    pub(super) fn hear_form(&mut self, when: &When) {
        if when.still {
            return;
        }
        let Some(pulse) = self.music.sounding().filter(|_| self.music.bpm().is_some()) else {
            (self.music.picks.line, self.music.picks.lines) = (when.show, None);
            return;
        };
        if pulse.form.is_some_and(|form| form.phase != Phase::Full) {
            self.music.picks.line = self.music.picks.line.max(when.show - self.one_bar());
        }
        if let Some(at) = pulse.form.and_then(|form| form.phrase_at) {
            self.put_phrase(&pulse, at, when);
        }
        let lines = pulse.form.map_or(0, |form| form.lines);
        let told = self.music.picks.lines.replace(lines);
        let dropped = pulse.form.is_some_and(|form| dropped(&pulse, &form));
        let is_new = when.show - self.music.picks.line >= self.one_bar();
        if told.is_none_or(|told| told != lines && (dropped || is_new)) {
            self.take_line(dropped, when);
        }
    }

    /// What counts as one bar between two lines.
    fn one_bar(&self) -> Span {
        Span::from_secs(SAME_LINE_BARS * self.tempo.bar_beats() * self.tempo.beat_secs())
    }

    /// Lets phrases begin where they do in the music.
    fn put_phrase(&mut self, pulse: &Pulse, began: Instant, when: &When) {
        let times = self.music.told().times;
        let since = (when.now + self.music.lead() - began).secs() / pulse.beat_secs() * times;
        let later = (self.tempo.since_phrase(when.show) - since) / self.tempo.bar_beats();
        let mut tempo = self.tempo;
        if !tempo.bars_are_told() || !tempo.put_phrase(later) {
            return;
        }
        self.locate(when);
        self.see(when);
        self.tempo = tempo;
        self.realign(when);
    }

    /// A phrase begins, or something new in the music.
    pub(super) fn take_line(&mut self, dropped: bool, when: &When) {
        self.music.picks.line = when.show;
        let mood = if dropped { Mood::Peak } else { self.mood() };
        self.pick(mood, when);
    }

    /// The mood of the music now.
    fn mood(&self) -> Mood {
        let Some(form) = self.music.sounding().and_then(|pulse| pulse.form) else { return Mood::Groove };
        let was = self.music.picks.mood;
        let more = |mood| if was == Some(mood) { STAYS } else { 0.0 };
        match form.phase {
            Phase::Breakdown => Mood::Calm,
            Phase::Build => Mood::Groove,
            Phase::Full if form.energy < CALM_BELOW + more(Mood::Calm) => Mood::Calm,
            Phase::Full if form.energy > PEAK_ABOVE - more(Mood::Peak) && form.lines >= LINES_FOR_A_PEAK => {
                Mood::Peak
            }
            Phase::Full => Mood::Groove,
        }
    }

    /// Puts on the look of a mood whose turn it is, never the one that is on. Calm has its own looks or none; the others may
    /// take each other's.
    pub(super) fn pick(&mut self, mood: Mood, when: &When) {
        if !self.music.picks.on {
            return;
        }
        self.music.picks.mood = Some(mood);
        let from: &[Mood] = match mood {
            Mood::Calm => &[Mood::Calm],
            Mood::Groove => &[Mood::Groove, Mood::Peak, Mood::Calm],
            Mood::Peak => &[Mood::Peak, Mood::Groove, Mood::Calm],
        };
        let script = std::sync::Arc::clone(&self.script);
        let lists = from.iter().map(|mood| *mood as usize);
        let Some(list) = lists.into_iter().find(|list| !script.moods[*list].is_empty()) else { return };
        let (looks, turn, on) = (&script.moods[list], self.music.picks.turn[list], self.base.look());
        let places = (0..looks.len()).map(|step| (turn + step) % looks.len());
        if let Some(place) = places.into_iter().find(|place| Some(looks[*place]) != on) {
            self.music.picks.turn[list] = place + 1;
            self.put_on(looks[place], when);
        }
    }
}

/// Whether the line that the form tells of is a drop.
fn dropped(pulse: &Pulse, form: &Form) -> bool {
    let drop = pulse.strokes[Strike::Drop as usize].map(|stroke| stroke.at);
    let apart = |at: Instant, line: Instant| (at - line).max(line - at);
    form.phrase_at.zip(drop).is_some_and(|(line, at)| apart(at, line) <= AT_LINE)
}
