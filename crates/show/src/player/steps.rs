//! Where a chase is: from the time since it began to its step, by arithmetic alone, so that any moment may be asked
//! for without having seen the ones before.

use lanthorn_physics::{Instant, Span};

use crate::chase::PHRASE_BARS;
use crate::tempo::{Pace, Tempo};
use crate::{Chase, Order, Step, StepTime, Swing, seed};

/// Nothing is shorter: a hundredth of a second or of a beat.
const SHORTEST: f64 = 0.01;

/// Steps of a random order are drawn ahead for so many rounds (fewer for long chases), then the draw repeats.
const DRAWN_ROUNDS: usize = 64;
const DRAWN_STEPS: usize = 4096;

/// A chase's steps in the order that they run, for one turn of the wheel.
#[derive(Clone, Debug)]
pub(super) struct Track {
    /// Step numbers in order.
    sequence: Vec<u16>,
    /// Time at which each place of the sequence begins, and where the last ends.
    starts: Vec<Length>,
    fades: Vec<Length>,
    /// How many steps until it ends by itself.
    limit: Option<u64>,
    counts_beats: bool,
    /// On what its steps change; none where some of it is seconds.
    grid: Option<Grid>,
}

/// What the steps of a chase change on.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Grid {
    /// Beats. Where its turn has a whole number of them, that is `turn`, and it has no end: it goes along with bars.
    Beats { turn: Option<f64> },
    /// Bars.
    Bars,
    /// Phrases.
    Phrases,
}

impl Grid {
    fn of(chase: &Chase, turn: Length) -> Option<Self> {
        if turn.secs > 0.0 {
            return None;
        }
        if turn.beats > 0.0 || turn.bars <= 0.0 {
            let whole = turn.bars <= 0.0 && (turn.beats - turn.beats.round()).abs() < 1e-9;
            let endless = chase.rounds.is_none() && chase.at_each.is_none() && chase.order != Order::Random;
            return (turn.beats > 0.0)
                .then_some(Self::Beats { turn: (whole && endless).then(|| turn.beats.round()) });
        }
        let phrase = |step: &Step| matches!(step.time, StepTime::Bars(bars) if bars % PHRASE_BARS == 0.0);
        Some(if chase.steps.iter().all(phrase) { Self::Phrases } else { Self::Bars })
    }

    /// Position in beats, counted from where one of its fields begins, and how many beats a field has.
    fn at(self, show: Instant, tempo: &Tempo) -> (f64, f64) {
        let divides = |part: f64, whole: f64| (whole / part - (whole / part).round()).abs() < 1e-9;
        match self {
            Self::Phrases => (tempo.since_phrase(show), tempo.phrase_beats()),
            Self::Bars => (tempo.since_one(show), tempo.bar_beats()),
            Self::Beats { turn: Some(turn) }
                if tempo.bars_are_told() && divides(turn, tempo.phrase_beats()) =>
            {
                (tempo.since_phrase(show), turn)
            }
            Self::Beats { .. } => (tempo.beat(show), 1.0),
        }
    }

    /// Whether it moves when bars do.
    fn goes_with_bars(self, tempo: &Tempo) -> bool {
        !matches!(self, Self::Beats { turn }  if turn.is_none() || !tempo.bars_are_told())
    }
}

/// A length of time that may hang partly on the tempo.
#[derive(Clone, Copy, Debug, Default)]
struct Length {
    secs: f64,
    beats: f64,
    bars: f64,
}

/// A chase that runs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Running {
    /// Place in the show's chases.
    pub chase: usize,
    /// A moment of the show's clock, and how far into the track the chase was then, seconds at the tempo of now.
    anchor: Instant,
    offset_secs: f64,
    /// How many times as fast as its steps say; 0 stands.
    pub speed: f64,
    /// It stands because there is no music; the speed at which it goes on.
    pub calmed: Option<f64>,
    /// It waits for a stroke of the music, and drives nothing meanwhile.
    pub waits: bool,
}

/// Where a chase is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Position {
    /// Steps begun since the start.
    pub count: u64,
    /// The step before; none at the very first.
    pub previous: Option<u16>,
    pub step: u16,
    pub next: u16,
    /// Of the fade into this step, 0 to 1.
    pub faded: f64,
    /// What is left of that fade.
    pub fade_left: Span,
    /// What is left of the step, at its own speed.
    pub left: Span,
    /// Of the whole step, 0 to 1.
    through: f64,
}

impl Length {
    const ZERO: Self = Self { secs: 0.0, beats: 0.0, bars: 0.0 };

    fn of(time: StepTime) -> Self {
        let held = |count: f64| if count.is_finite() { count } else { 0.0 };
        match time {
            StepTime::Time(span) => Self { secs: span.secs(), ..Self::ZERO },
            StepTime::Beats(beats) => Self { beats: held(beats), ..Self::ZERO },
            StepTime::Bars(bars) => Self { bars: held(bars), ..Self::ZERO },
        }
    }

    fn step(time: StepTime) -> Self {
        let Self { secs, beats, bars } = Self::of(time);
        match time {
            StepTime::Time(_) => Self { secs: secs.max(SHORTEST), ..Self::ZERO },
            StepTime::Beats(_) => Self { beats: beats.max(SHORTEST), ..Self::ZERO },
            StepTime::Bars(_) => Self { bars: bars.max(SHORTEST), ..Self::ZERO },
        }
    }

    fn plus(self, other: Self) -> Self {
        Self { secs: self.secs + other.secs, beats: self.beats + other.beats, bars: self.bars + other.bars }
    }

    fn until(self, later: Self) -> Self {
        Self { secs: later.secs - self.secs, beats: later.beats - self.beats, bars: later.bars - self.bars }
    }

    /// What the first of two steps gets of the time of the second: as many of their seconds, beats or bars as both have.
    fn swung(self, second: Self, swing: Swing) -> Self {
        let share = 2.0 * swing.0.clamp(Swing::EVEN.0, Swing::MOST.0) - 1.0;
        Self {
            secs: share * self.secs.min(second.secs),
            beats: share * self.beats.min(second.beats),
            bars: share * self.bars.min(second.bars),
        }
    }

    fn at(self, pace: Pace) -> f64 {
        self.secs + (self.beats + self.bars * pace.bar_beats) * pace.beat_secs
    }
}

impl Track {
    pub(super) fn new(chase: &Chase) -> Self {
        let mut sequence = sequence(chase);
        let round = match chase.order {
            Order::Random => chase.steps.len(),
            Order::Forward | Order::Backward | Order::ToAndFro => sequence.len(),
        };
        if chase.swing > Swing::EVEN && sequence.len() % 2 == 1 {
            // The first step is late in every other round: the wheel turns once for two of them.
            sequence.extend_from_within(..);
        }
        let mut starts = vec![Length::default()];
        let mut fades = Vec::with_capacity(sequence.len());
        let mut sum = Length::default();
        for &step in &sequence {
            let step = &chase.steps[usize::from(step)];
            let time = Length::step(step.time);
            sum = sum.plus(time);
            starts.push(sum);
            fades.push(Length::of(step.fade));
        }
        for pair in (0..sequence.len().saturating_sub(1)).step_by(2) {
            let [first, second] = [pair, pair + 1].map(|place| starts[place].until(starts[place + 1]));
            let late = first.swung(second, chase.swing);
            starts[pair + 1] = starts[pair + 1].plus(late);
        }
        Self {
            limit: chase.rounds.or(chase.at_each.map(|_| 1)).map(|rounds| u64::from(rounds) * round as u64),
            counts_beats: sum.beats + sum.bars > 0.0,
            grid: Grid::of(chase, sum),
            sequence,
            starts,
            fades,
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.sequence.is_empty() || self.limit == Some(0)
    }

    pub(super) fn counts_beats(&self) -> bool {
        self.counts_beats
    }

    fn turn_secs(&self, pace: Pace) -> f64 {
        self.starts[self.sequence.len()].at(pace)
    }

    /// How long so many steps last from the start.
    fn length_secs(&self, steps: u64, pace: Pace) -> f64 {
        let turn = self.sequence.len() as u64;
        let part = (steps % turn) as usize;
        (steps / turn) as f64 * self.turn_secs(pace) + self.starts[part].at(pace)
    }

    fn position(&self, secs: f64, pace: Pace) -> Position {
        // Sums of decimal fractions fall a hair short of the round moment that a person asked for.
        let secs = secs.max(0.0) + 1e-9;
        let turn = self.turn_secs(pace);
        let turns = (secs / turn).floor();
        let inside = secs - turns * turn;
        let length = self.sequence.len();
        let place = self.starts[1..length].partition_point(|start| start.at(pace) <= inside);
        let count = turns as u64 * length as u64 + place as u64;
        match self.limit {
            Some(limit) if count >= limit => {
                let last = ((limit - 1) % length as u64) as usize;
                self.inside(last, limit - 1, f64::INFINITY, pace)
            }
            _ => self.inside(place, count, inside - self.starts[place].at(pace), pace),
        }
    }

    fn inside(&self, place: usize, count: u64, since: f64, pace: Pace) -> Position {
        let length = self.sequence.len();
        let time = self.starts[place + 1].at(pace) - self.starts[place].at(pace);
        let fade = self.fades[place].at(pace).min(time);
        Position {
            count,
            previous: (count > 0).then(|| self.sequence[(place + length - 1) % length]),
            step: self.sequence[place],
            next: self.sequence[(place + 1) % length],
            fade_left: Span::from_secs((fade - since).max(0.0)),
            faded: if fade <= 0.0 { 1.0 } else { (since / fade).clamp(0.0, 1.0) },
            left: Span::from_secs((time - since).clamp(0.0, time)),
            through: (since / time).clamp(0.0, 1.0),
        }
    }
}

impl Running {
    /// Begins at `show`. A chase that counts beats alone begins with the beat that is on, one that counts bars or phrases
    /// alone with the one that is on, so that its steps change on them. Where it is known where bars begin, an endless one
    /// that counts beats, a whole number of its turns to a phrase, is where it would be had it begun with the phrase.
    pub(super) fn begin(chase: usize, track: &Track, show: Instant, tempo: &Tempo) -> Self {
        let beats = track.grid.map_or(0.0, |grid| {
            let (position, field) = grid.at(show, tempo);
            position.rem_euclid(field)
        });
        Self {
            chase,
            anchor: show,
            offset_secs: beats * tempo.beat_secs(),
            speed: 1.0,
            calmed: None,
            waits: false,
        }
    }

    /// The same in a show in which the chase has another place.
    pub(super) fn carried(&self, chase: usize) -> Self {
        Self { chase, ..*self }
    }

    /// One that has run for so long already.
    pub(super) fn resumed(chase: usize, show: Instant, ran: Span, speed: f64) -> Self {
        Self { chase, anchor: show, offset_secs: ran.secs().max(0.0), speed, calmed: None, waits: false }
    }

    /// The same, waiting for a stroke or not.
    pub(super) fn waiting(self, waits: bool) -> Self {
        Self { waits, ..self }
    }

    /// Begins anew at `show`, at its first step.
    pub(super) fn strike(&mut self, show: Instant) {
        (self.anchor, self.offset_secs, self.waits) = (show, 0.0, false);
    }

    /// Goes on at another speed from `show` on. One that counts beats alone is moved, by half a step of the beat at most, so
    /// that its steps change on beats, one that counts bars or phrases alone likewise; `true` then.
    pub(super) fn set_speed(&mut self, track: &Track, speed: f64, show: Instant, tempo: &Tempo) -> bool {
        (self.offset_secs, self.anchor, self.speed) = (self.secs(show), show, speed);
        let Some(grid) = track.grid.filter(|_| speed > 0.0) else { return false };
        let (position, unit) = grid.at(show, tempo);
        // At double time there are two of its beats to one of the tempo, at half time half a one.
        let grid = unit * speed.min(1.0);
        let off = self.offset_secs / tempo.beat_secs() - position * speed;
        let moved = ((off / grid).round() * grid - off) * tempo.beat_secs();
        self.offset_secs = begun(self.offset_secs + moved, grid * tempo.beat_secs());
        moved.abs() > 1e-9
    }

    /// Brings one that goes with bars or phrases back to them, after they were moved; `true` when that moved it.
    pub(super) fn realign(&mut self, track: &Track, show: Instant, tempo: &Tempo) -> bool {
        track.grid.is_some_and(|grid| grid.goes_with_bars(tempo))
            && self.set_speed(track, self.speed, show, tempo)
    }

    /// How far it is into its steps.
    pub(super) fn ran(&self, show: Instant) -> Span {
        Span::from_secs(self.secs(show))
    }

    fn secs(&self, show: Instant) -> f64 {
        self.offset_secs + (show - self.anchor).secs() * self.speed
    }

    pub(super) fn position(&self, track: &Track, show: Instant, pace: Pace) -> Position {
        track.position(self.secs(show), pace)
    }

    /// When it ends by itself, on the show's clock.
    pub(super) fn end(&self, track: &Track, pace: Pace) -> Option<Instant> {
        let length = track.length_secs(track.limit?, pace);
        let left = (length - self.offset_secs) / self.speed;
        // One that stands or waits does not end.
        (self.speed > 0.0 && !self.waits).then(|| self.anchor + Span::from_secs(left))
    }

    /// Another tempo from `show` on: it stays at the same place in the same step; `beats_moved` is by how much a tap
    /// has moved the beat under it.
    pub(super) fn retime(&mut self, track: &Track, show: Instant, was: Pace, is: Pace, beats_moved: f64) {
        if !track.counts_beats {
            return;
        }
        let Position { count, through, .. } = track.position(self.secs(show), was);
        let start = track.length_secs(count, is);
        let end = track.length_secs(count + 1, is);
        let moved = if track.grid.is_some() { beats_moved * is.beat_secs * self.speed } else { 0.0 };
        let unit = match track.grid {
            Some(Grid::Bars | Grid::Phrases) => is.bar_beats,
            Some(Grid::Beats { .. }) | None => 1.0,
        };
        let grid = unit * is.beat_secs * self.speed.min(1.0);
        self.offset_secs = begun(start + (end - start) * through + moved, grid);
        self.anchor = show;
    }
}

/// A place in the track that is not before its beginning: whole steps of a grid later than one that would be.
fn begun(secs: f64, grid: f64) -> f64 {
    if secs >= 0.0 || grid <= 0.0 { secs.max(0.0) } else { secs.rem_euclid(grid) }
}

fn sequence(chase: &Chase) -> Vec<u16> {
    let steps = u16::try_from(chase.steps.len()).unwrap_or(u16::MAX);
    match chase.order {
        Order::Forward => (0..steps).collect(),
        Order::Backward => (0..steps).rev().collect(),
        Order::ToAndFro => (0..steps).chain((1..steps.saturating_sub(1)).rev()).collect(),
        // Two steps that never repeat can only take turns.
        Order::Random if steps < 3 => (0..steps).collect(),
        Order::Random => draw(steps, seed::of(&chase.name)),
    }
}

/// Rounds in which every step comes once, no step twice running, not even from the end to the beginning.
fn draw(steps: u16, seed: u64) -> Vec<u16> {
    let length = usize::from(steps);
    let rounds = (DRAWN_STEPS / length).clamp(2, DRAWN_ROUNDS);
    let mut state = seed;
    let mut drawn: Vec<u16> = Vec::with_capacity(rounds * length);
    for round in 0..rounds {
        let start = drawn.len();
        drawn.extend(0..steps);
        for place in (1..length).rev() {
            let other = (seed::next(&mut state) % (place as u64 + 1)) as usize;
            drawn.swap(start + place, start + other);
        }
        if round > 0 && drawn[start] == drawn[start - 1] {
            drawn.swap(start, start + 1);
        }
        if round + 1 == rounds && drawn[drawn.len() - 1] == drawn[0] {
            // Three or more steps: the one before the last is neither, and its left neighbour cannot be the last.
            let last = drawn.len() - 1;
            drawn.swap(last, last - 1);
        }
    }
    drawn
}

#[cfg(test)]
mod tests;
