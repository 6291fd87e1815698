//! The tempo follows the music: put on its beats as a tap would, once, and led there without a step from then on.

use lanthorn_music::pulse::Pulse;
use lanthorn_physics::{Instant, Span};

use super::moods::Picks;
use super::strokes::Strokes;
use super::{GLIDE_FROM, Player, When};
use crate::follow::{self, Following, Mood, Steer, times_in};
use crate::tempo;

/// Further off than so many beats, the position is put on the beat at once, as by a tap; nearer, it is led there.
const PUT_FROM: f64 = 0.15;

/// What is led there comes nearer by this part of what is left in each beat (1 − 1/e), and no tempo is told faster or
/// slower for it than by [`PUT_FROM`].
const LED_BEATS: f64 = 1.0;

/// The place in the bar counts from this confidence on.
const BAR_SURE: f32 = 0.3;

/// Without music for so long, what is to be calm becomes calm.
const CALM_AFTER: Span = Span::from_millis(1500);

/// How fast light that goes with the sound becomes steady without music, seconds.
const STEADY_SECS: f64 = 0.5;

/// What a hand may make of the music's tempo at most.
const MOST_TIMES: f64 = 8.0;

/// How the music is followed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Follow {
    pulse: Option<Pulse>,
    /// It may set the tempo.
    wanted: bool,
    /// The tempo that it sets, beats a minute, once the position has been put on its beats.
    sets: Option<f64>,
    times: f64,
    /// The music's bars begin so many of its beats later than it says.
    one: f64,
    earlier: Span,
    range: [f64; 2],
    lead: Span,
    /// Since when there has been no music, while something listens.
    quiet: Option<Instant>,
    calm: bool,
    /// Of low, middle and high sound.
    swells: [Swell; 3],
    /// How fast they come up and go down, seconds.
    swell_secs: [f64; 2],
    pub(super) strokes: Strokes,
    pub(super) picks: Picks,
}

/// A part that light goes with the sound, 0 to 1: on its way from a value to another.
#[derive(Clone, Copy, Debug)]
struct Swell {
    from: f64,
    to: f64,
    /// How fast: the time of 1 − 1/e of the way, seconds.
    secs: f64,
    since: Instant,
}

impl Swell {
    fn at(&self, now: Instant) -> f64 {
        let left = libm::exp(-((now - self.since).secs().max(0.0)) / self.secs);
        self.to + (self.from - self.to) * left
    }

    fn towards(&mut self, to: f64, secs: f64, now: Instant) {
        *self = Self { from: self.at(now), to, secs, since: now };
    }
}

impl Follow {
    pub(super) fn new(rule: &follow::MusicRule) -> Self {
        Self {
            pulse: None,
            wanted: true,
            sets: None,
            times: 1.0,
            one: 0.0,
            earlier: Span::ZERO,
            range: rule.range(),
            lead: rule.lead(),
            quiet: None,
            calm: false,
            swells: [Swell { from: 1.0, to: 1.0, secs: STEADY_SECS, since: Instant::ZERO }; 3],
            swell_secs: rule.swell().map(Span::secs),
            strokes: Strokes::default(),
            picks: Picks::default(),
        }
    }

    /// The same under another show's rule.
    pub(super) fn carried(self, rule: &follow::MusicRule, was: &follow::MusicRule) -> Self {
        // A range that a hand has set stays until the show says another.
        let range = if rule.range == was.range { self.range } else { rule.range() };
        Self { lead: rule.lead(), range, swell_secs: rule.swell().map(Span::secs), ..self }
    }

    pub(super) fn told(&self) -> Following {
        Following {
            pulse: self.pulse,
            follow: self.wanted,
            sets: self.sets.is_some(),
            times: self.pulse.map_or(self.times, |pulse| times_in(pulse.bpm, self.times, self.range)),
            earlier: self.earlier,
            range: self.range,
            calm: self.calm,
            picks: self.picks.on,
            mood: self.picks.mood,
            line_in: None,
        }
    }

    /// The tempo that the music sets, beats a minute; none when it sets none.
    pub(super) fn bpm(&self) -> Option<f64> {
        self.sets
    }

    /// How much there is now of low, middle and high sound, for light that goes with it: 0 to 1.
    pub(super) fn loud(&self, when: &When) -> [f64; 3] {
        self.swells.map(|swell| swell.at(when.now))
    }

    /// Lets them come and go with the sound; without music they come up and stay.
    fn swell(&mut self, when: &When) {
        let sounding = self.sounding();
        let [up, down] = self.swell_secs;
        for (band, swell) in self.swells.iter_mut().enumerate() {
            let to = sounding.map(|pulse| f64::from(pulse.bands[band]).clamp(0.0, 1.0));
            match to {
                // Nothing moves while all is to stand.
                _ if when.still => {}
                Some(to) if to > swell.at(when.now) => swell.towards(to, up, when.now),
                Some(to) => swell.towards(to, down, when.now),
                None => swell.towards(1.0, STEADY_SECS, when.now),
            }
        }
    }

    /// They stay where they are.
    pub(super) fn stand_still(&mut self, when: &When) {
        for swell in &mut self.swells {
            swell.towards(swell.at(when.now), STEADY_SECS, when.now);
        }
    }

    pub(super) fn is_calm(&self) -> bool {
        self.calm
    }

    /// So long before the beat steps leave, as it is now.
    pub(super) fn lead(&self) -> Span {
        self.lead + self.earlier
    }

    /// The music as it was told last.
    pub(super) fn pulse(&self) -> Option<Pulse> {
        self.pulse
    }

    /// The music, while it sounds.
    pub(super) fn sounding(&self) -> Option<Pulse> {
        self.pulse.filter(|pulse| pulse.follows && !pulse.lost)
    }

    /// Beats of the music since one of its bars began, as they are to leave now: the hand's word on where bars begin in it.
    fn in_bar(&self, pulse: &Pulse, now: Instant) -> f64 {
        let of = f64::from(pulse.of.max(1));
        (pulse.in_bar(now + self.lead()) - self.one).rem_euclid(of)
    }
}

impl Player {
    /// How the music is followed.
    pub fn following(&self) -> Following {
        self.music.told()
    }

    /// The music as it is now; none when nothing listens any more.
    pub(super) fn hear(&mut self, pulse: Option<Pulse>, when: &When) {
        let pulse = pulse.filter(|pulse| pulse.bpm.is_finite() && pulse.bpm > 0.0);
        // Whoever listens to something next wants it followed.
        self.music.wanted |= self.music.pulse.is_some() && pulse.is_none();
        self.music.pulse = pulse;
        match pulse.filter(|pulse| self.music.wanted && pulse.follows && !pulse.lost) {
            Some(pulse) if !when.still => self.keep_to(&pulse, when),
            Some(_) => {}
            None => self.let_tempo_be(when),
        }
        self.music.swell(when);
        self.hush(when);
        self.hear_strokes(when);
        self.hear_form(when);
    }

    /// What a hand asks of it.
    pub(super) fn steer(&mut self, steer: &Steer, when: &When) {
        match *steer {
            Steer::Follow(follow) => {
                self.music.wanted = follow;
                if !follow {
                    self.let_tempo_be(when);
                }
            }
            Steer::Times(times) if times.is_finite() && times > 0.0 => match self.music.bpm() {
                Some(bpm) if within(bpm * times, tempo::RANGE) => {
                    if !within(bpm * times, self.music.range) {
                        self.music.range = tempo::RANGE;
                    }
                    self.music.times = (self.music.told().times * times).clamp(1.0 / MOST_TIMES, MOST_TIMES);
                }
                Some(_) => {}
                None => self.set_tempo(self.tempo.bpm() * times, when),
            },
            Steer::One => self.put_one(when),
            Steer::Earlier(span) => self.bring_earlier(span, when),
            Steer::Range(range) => self.music.range = follow::range(range).unwrap_or(self.music.range),
            Steer::Pick(on) => self.pick_looks(on, when),
            Steer::Times(_) => {}
        }
        self.hear(self.music.pulse, when);
    }

    /// The hand has set the tempo: the music sets it no more, until it is asked to.
    pub(super) fn take_in_hand(&mut self) {
        if self.music.pulse.is_some() {
            (self.music.wanted, self.music.sets) = (false, None);
        }
    }

    /// Leads the position to where the music is, or puts it there when it is far off.
    fn keep_to(&mut self, pulse: &Pulse, when: &When) {
        let times = times_in(pulse.bpm, self.music.times, self.music.range);
        let bpm = (pulse.bpm * times).clamp(tempo::RANGE[0], tempo::RANGE[1]);
        let bar = f64::from(pulse.of.max(1)) * times;
        let there = self.music.in_bar(pulse, when.now) * times;
        // A bar of whole beats says which beat it is; otherwise only where in it.
        let grid = if (bar - bar.round()).abs() < 1e-9 && bar >= 1.0 { 1.0 } else { times.min(1.0) };
        let off = there - self.tempo.since_one(when.show);
        let off = off - (off / grid).round() * grid;
        let was = self.tempo.pace();
        if self.music.sets.is_none() || off.abs() > PUT_FROM {
            self.locate(when);
            self.see(when);
            self.tempo.set(bpm, when.show);
            self.tempo.move_by(off, when.show);
            self.drift.moved(off, when.show);
            self.retime(was, off, when);
            if off.abs() > GLIDE_FROM {
                self.glide(when, None);
            }
        } else {
            self.tempo.set(bpm * (1.0 + off / LED_BEATS), when.show);
            self.retime(was, 0.0, when);
        }
        self.music.sets = Some(bpm);
        if pulse.of > 0 && pulse.bar_confidence >= BAR_SURE {
            let later = self.tempo.since_one(when.show) - there;
            self.put_bar(bar, (later / grid).round() * grid, when);
        }
    }

    /// Bars of so many beats, the present one beginning so much later than it did; a whole bar later is no change.
    fn put_bar(&mut self, bar: f64, later: f64, when: &When) {
        let later = later - (later / bar).round() * bar;
        let was = self.tempo.pace();
        let mut tempo = self.tempo;
        if !tempo.set_bar(bar, later) {
            return;
        }
        self.locate(when);
        self.see(when);
        self.tempo = tempo;
        // Figures that go with bars come there by and by.
        self.drift.moved(-later, when.show);
        self.retime(was, 0.0, when);
        self.realign(when);
    }

    /// A beat is the first of its bar because a hand says so.
    fn put_one(&mut self, when: &When) {
        match self.music.pulse.filter(|_| self.music.sets.is_some()) {
            Some(pulse) => {
                // As it is heard, not as it leaves: the hand is on the sound.
                let beat = (pulse.in_bar(when.now) - self.music.one).round();
                self.music.one = (self.music.one + beat).rem_euclid(f64::from(pulse.of.max(1)));
            }
            None => {
                self.locate(when);
                self.see(when);
                let later = self.tempo.later(when.show);
                if self.tempo.put_one_on(when.show) {
                    self.drift.moved(-later, when.show);
                    self.realign(when);
                }
            }
        }
    }

    fn bring_earlier(&mut self, span: Span, when: &When) {
        let most = follow::MOST_LEAD;
        if self.music.sets.is_some() {
            self.music.earlier = (self.music.earlier + span).clamp(Span::ZERO - most, most);
            return;
        }
        let beats = span.clamp(Span::ZERO - most, most).secs() / self.tempo.beat_secs();
        self.locate(when);
        self.see(when);
        self.tempo.move_by(beats, when.show);
        self.drift.moved(beats, when.show);
        self.retime(self.tempo.pace(), beats, when);
        if beats.abs() > GLIDE_FROM {
            self.glide(when, None);
        }
    }

    /// Chases that count bars go to where bars begin now.
    pub(super) fn realign(&mut self, when: &When) {
        let mut moved = false;
        for running in &mut self.running {
            let track = &self.script.chases[running.chase].track;
            moved |= running.realign(track, when.show, &self.tempo);
        }
        if moved {
            self.glide(when, None);
        }
    }

    /// The tempo stays as the music had it, without what led the position there.
    fn let_tempo_be(&mut self, when: &When) {
        if let Some(bpm) = self.music.sets.take() {
            self.set_tempo(bpm, when);
        }
    }

    /// Lets chases that are to be calm without music stand, and go on with it.
    fn hush(&mut self, when: &When) {
        let silent = self.music.wanted && self.music.pulse.is_some_and(|pulse| !pulse.follows && !pulse.lost);
        let since = if silent { Some(self.music.quiet.unwrap_or(when.now)) } else { None };
        self.music.quiet = since;
        let calm = since.is_some_and(|since| when.now - since >= CALM_AFTER);
        if calm != self.music.calm && !when.still {
            self.music.calm = calm;
            self.locate(when);
            self.see(when);
            for place in 0..self.running.len() {
                self.hush_chase(place, when);
            }
            if calm {
                self.pick(Mood::Calm, when);
            }
        }
    }

    /// Lets a chase stand or go on, as it is calm now or not.
    pub(super) fn hush_chase(&mut self, place: usize, when: &When) {
        let running = &mut self.running[place];
        let script = &self.script.chases[running.chase];
        let (chase, calm) = (running.chase, self.music.calm && script.calm);
        let speed = match (calm, running.calmed) {
            (true, None) => {
                running.calmed = Some(running.speed);
                0.0
            }
            (false, Some(speed)) => {
                running.calmed = None;
                speed
            }
            _ => return,
        };
        if running.set_speed(&script.track, speed, when.show, &self.tempo) {
            self.glide(when, Some(chase));
        }
    }
}

/// Whether a tempo lies inside a range.
fn within(bpm: f64, [low, high]: [f64; 2]) -> bool {
    bpm >= low - 1e-9 && bpm <= high + 1e-9
}
