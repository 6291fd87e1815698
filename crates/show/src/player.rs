//! The player: what is every light to do now?
//!
//! Layers, bottom to top (docs/layers.md tells them to a reader who does not program):
//! 1. **Base**: one look, put on by hand or by a cue.
//!    A sentence of a look may let its lights run a figure about their place, on the show's clock.
//! 2. **Chases**: each drives the lights that its steps name; where two want the same light, the one started later
//!    has it. What a step's sentence leaves out (aim, colour, gobo …) comes from below.
//! 3. **Hand**: what is held, light by light, property by property.
//! 4. **Master**: scales the level, and so does each group's over its lights.
//! 5. **Stillness** stands movement, figures, chases and tempo still and takes strobes away; **stop-strobe** takes strobes
//!    away; **blackout** takes the light away.
//!
//! Whenever a command changes who drives a light, that light fades from what it shows at that moment: one fade for
//! each light, whatever is going on, so nothing dips or jumps when a cue is taken in the middle of another.
//!
//! The picture is a function of the show, of the commands with their times and of the moment asked for: it does not
//! depend on how often or when frames were asked for before.

mod clock;
pub(crate) mod compile;
mod follow;
mod groups;
mod hand;
mod moods;
mod picture;
mod resume;
mod script;
mod status;
mod steps;
mod strokes;
mod swap;
mod target;
mod value;

use std::sync::Arc;

use lanthorn_music::pulse::Strike;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_rig::{Rig, RigState};

use crate::command::held_speed;
use crate::tempo::{Drift, Pace, Taps, Tempo};
use crate::{Chases, Command, Show};
use clock::Clock;
use follow::Follow;
use groups::Groups;
use hand::{Grip, Hand};
use picture::{Fades, Picture};
use script::Script;
use steps::{Position, Running};
use target::Motion;

pub use compile::lights_of;
pub(crate) use compile::{Aimed, Layout, LookValues, aim_point, gobo_name};
pub use hand::{Held, LET_GO, LIFT};
pub use resume::Resume;
pub use status::{Driver, MAX_TOLD_CHASES, RunningChase, Seen, Status};
pub use swap::CHANGE;
pub(crate) use value::HeadValue;

/// A tap that moves the beat by more than this many beats lets chases glide to their new place.
const GLIDE_FROM: f64 = 0.02;
const GLIDE: Span = Span::from_millis(250);

/// Plays a show on a rig. Neither [`apply`](Self::apply) nor [`frame`](Self::frame) allocates.
#[derive(Clone, Debug)]
pub struct Player {
    script: Arc<Script>,
    clock: Clock,
    /// When the show began, once it has.
    begun: Option<Instant>,
    base: Base,
    base_fades: Fades,
    running: Vec<Running>,
    positions: Vec<Position>,
    /// How much of a level that goes with the sound there is now: with its low, middle and high part.
    loud: [f64; 3],
    fades: Fades,
    cue: Option<usize>,
    /// When the next cue follows by itself, on the show's clock.
    follow: Option<Instant>,
    last_fade: (Instant, Span),
    tempo: Tempo,
    taps: Taps,
    drift: Drift,
    music: Follow,
    hands: Vec<Hand>,
    master: f64,
    groups: Groups,
    blackout: bool,
    /// A score wants no light of looks and chases; and while that ends, so that fades begin in the dark.
    dark: bool,
    rising: bool,
    strobe_stopped: bool,
    seen: Picture,
    beneath: Picture,
    tops: Vec<Option<usize>>,
}

/// What the base layer shows.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Base {
    Dark,
    Look(usize),
    Cue { cue: usize, look: usize },
}

/// A moment.
#[derive(Clone, Copy, Debug)]
struct When {
    now: Instant,
    /// The same on the show's clock, which stands still under stillness.
    show: Instant,
    still: bool,
}

impl Base {
    fn look(self) -> Option<usize> {
        match self {
            Self::Dark => None,
            Self::Look(look) | Self::Cue { look, .. } => Some(look),
        }
    }
}

impl Player {
    /// A player with its show's starting look or chase ready. The first moment that it is given, by a command or a
    /// frame, is when the show begins. Names that the show or the rig does not have are ignored here: the reader of
    /// the file has reported them.
    pub fn new(show: Arc<Show>, rig: Arc<Rig>) -> Self {
        let script = Script::new(&show, &rig);
        let (units, chases) = (script.layout.units(), script.chases.len());
        Self {
            clock: Clock::default(),
            begun: None,
            base: Base::Dark,
            base_fades: Fades::new(&script.layout),
            running: Vec::with_capacity(chases),
            positions: Vec::with_capacity(chases),
            loud: [1.0; 3],
            fades: Fades::new(&script.layout),
            cue: None,
            follow: None,
            last_fade: (Instant::ZERO, Span::ZERO),
            tempo: Tempo::new(script.tempo, Instant::ZERO),
            taps: Taps::default(),
            drift: Drift::default(),
            music: Follow::new(&script.music),
            hands: vec![Hand::default(); units],
            master: 1.0,
            groups: Groups::new(&rig),
            blackout: false,
            dark: false,
            rising: false,
            strobe_stopped: false,
            seen: Picture::dark(&script.layout),
            beneath: Picture::dark(&script.layout),
            tops: vec![None; units],
            script: Arc::new(script),
        }
    }

    /// Takes a command at a moment. Moments must not go back; one that does counts as the latest so far.
    pub fn apply(&mut self, command: &Command, now: Instant) {
        let when = self.advance(now);
        match *command {
            Command::Look(look) => {
                self.music.leave_looks();
                self.put_on(look, &when);
            }
            Command::Chase { index, on } => self.run(index, on, &when),
            Command::ChaseSpeed { index, speed } if speed.is_finite() => self.set_speed(index, speed, &when),
            Command::Go => self.take_cue(self.next_cue(), false, &when),
            Command::Back => self.take_cue(self.cue.and_then(|cue| cue.checked_sub(1)), true, &when),
            Command::Cue(cue) => self.take_cue(Some(cue), true, &when),
            Command::Part { look, chases, fade } => self.take_part(look, chases, fade, &when),
            // Nothing flashes while all is to stand.
            Command::Dark(on) => self.dark = on && !when.still,
            Command::Master(level) if level.is_finite() => self.master = level.clamp(0.0, 1.0),
            Command::GroupMaster { group, level } => self.groups.set(group, level),
            Command::Blackout(on) => self.blackout = on,
            Command::Stillness(on) => {
                self.music.stand_still(&when);
                self.clock.stand_still(on, now);
            }
            Command::StopStrobe(on) => self.strobe_stopped = on,
            Command::Tap => self.tap(&when),
            Command::Tempo(bpm) => {
                self.take_in_hand();
                self.set_tempo(bpm, &when);
            }
            Command::Pulse(pulse) => self.hear(pulse, &when),
            Command::Steer(steer) => self.steer(&steer, &when),
            Command::Aim { unit, at } if at.is_finite() => self.hold_aim(unit, at, &when),
            Command::Send { unit, pan, tilt } if pan.get().is_finite() && tilt.get().is_finite() => {
                self.hold_sent(unit, (pan, tilt), &when);
            }
            Command::Level { unit, level } if level.is_finite() => {
                self.hold(unit, |hand| hand.level = Grip::Held(level.clamp(0.0, 1.0)));
            }
            Command::Colour { unit, chromaticity }
                if chromaticity.x.is_finite() && chromaticity.y.is_finite() =>
            {
                self.hold(unit, |hand| hand.colour = Grip::Held(chromaticity));
            }
            Command::LetGo(Some(unit)) => self.hold(unit, |hand| hand.let_go(&when)),
            Command::LetGo(None) => self.hands.iter_mut().for_each(|hand| hand.let_go(&when)),
            Command::Master(_)
            | Command::ChaseSpeed { .. }
            | Command::Aim { .. }
            | Command::Send { .. }
            | Command::Level { .. }
            | Command::Colour { .. } => {}
        }
    }

    /// What every light is to do at a moment, into `out`, which was made for the same rig. Takes cues that follow by
    /// themselves and ends chases whose rounds are over, each at its exact moment.
    pub fn frame(&mut self, now: Instant, out: &mut RigState) {
        let when = self.advance(now);
        self.locate(&when);
        let steady = when.still || self.strobe_stopped;
        let motion = self.motion(&when);
        for (unit, wish) in out.units.iter_mut().enumerate().take(self.script.layout.units()) {
            let hand = &self.hands[unit];
            let master = self.master * self.groups.level(unit, when.now);
            let mut lit = false;
            for (place, head) in wish.heads.iter_mut().enumerate() {
                let mut below = self.visible_head(unit, place, &when);
                lit |= below.is_lit();
                below.level = if self.dark { 0.0 } else { below.level };
                let value = hand.head(below, &self.script.layout.lamps[unit], &when);
                let level = if self.blackout { 0.0 } else { value.level * master };
                head.level = level * level;
                head.colour = value.colour;
                head.mixing = value.mixing;
                head.strobe = value.strobe.filter(|_| !steady && hand.sent.is_none());
            }
            let value = hand.unit(self.visible_unit(unit, lit, &when), lit, &when);
            let ahead = || self.ahead(unit).filter(|_| !lit && !hand.holds() && !when.still);
            wish.aim = value.aim.map(|target| target.point(&motion)).or_else(ahead);
            let until = value.until.filter(|until| lit && *until > when.show);
            wish.fade = until.and_then(|until| self.fade_until(unit, until, &when));
            wish.sent = hand.sent;
            wish.beam = if hand.sent.is_some() { hand::PLAIN } else { value.beam };
            wish.haze = value.haze;
            wish.fan = value.fan;
        }
    }

    /// Brings everything that happens by itself up to a moment.
    fn advance(&mut self, now: Instant) -> When {
        if self.begun.is_none() {
            self.begin(now);
        }
        let when = self.clock.at(now);
        while let Some((show, event)) =
            self.next_event().filter(|(show, _)| *show <= when.show && !when.still)
        {
            let then = When { now: self.clock.real(show), show, still: false };
            match event {
                Event::ChaseEnds(chase) => self.end_chase(chase, &then),
                Event::Stroke(strike) => self.answer(strike, &then),
                Event::Line => self.take_line(false, &then),
                Event::CueFollows => {
                    self.follow = None;
                    self.take_cue(self.next_cue(), false, &then);
                }
            }
        }
        when
    }

    fn begin(&mut self, now: Instant) {
        self.begun = Some(now);
        self.clock = Clock::new(now);
        self.tempo = Tempo::new(self.script.tempo, now);
        self.last_fade = (now, Span::ZERO);
        if let Some(look) = self.script.start_look {
            self.base = Base::Look(look);
        }
        if let Some(chase) = self.script.start_chase {
            let when = self.clock.at(now);
            self.start_chase(chase, &when);
        }
    }

    /// The moment for figures: they run from the beginning of the show as a clock does, whichever looks are on.
    fn motion(&self, when: &When) -> Motion<'_> {
        Motion {
            paths: &self.script.paths,
            secs: (when.show - self.begun.unwrap_or(when.show)).secs(),
            beats: self.tempo.since_one(when.show) + self.drift.beats(when.show),
        }
    }

    fn next_event(&self) -> Option<(Instant, Event)> {
        let ends = |running: &Running| {
            let end = running.end(&self.script.chases[running.chase].track, self.tempo.pace())?;
            Some((end, Event::ChaseEnds(running.chase)))
        };
        let first_end = self.running.iter().filter_map(ends).min_by_key(|(at, _)| *at);
        let follow = self.follow.map(|at| (at, Event::CueFollows));
        let strokes = self.music.due_stroke().map(|(at, strike)| (at, Event::Stroke(strike)));
        let line = self.next_line().map(|at| (at, Event::Line));
        first_end.into_iter().chain(follow).chain(strokes).chain(line).min_by_key(|(at, _)| *at)
    }

    fn next_cue(&self) -> Option<usize> {
        let next = self.cue.map_or(0, |cue| cue + 1);
        (next < self.script.cues.len()).then_some(next)
    }

    /// Where a dark light that nothing asks for anything goes: to where the next cue that lights it wants it, so that it
    /// need not travel lit. A figure waits in its middle.
    fn ahead(&self, unit: usize) -> Option<Point> {
        let looks = self.script.cues.get(self.next_cue()?..)?.iter().filter_map(|cue| cue.own.look);
        let next = looks.filter_map(|look| self.script.looks[look].unit(unit)).find(|value| value.lit)?;
        next.aim.map(|target| target.at)
    }

    fn put_on(&mut self, look: usize, when: &When) {
        let Some(&fade) = self.script.look_fades.get(look) else { return };
        self.last_fade = (when.now, fade);
        self.rise(when, fade, |player| player.base = Base::Look(look));
    }

    fn run(&mut self, chase: usize, on: bool, when: &When) {
        let Some(fade) = self.script.chases.get(chase).map(|chase| chase.fade) else { return };
        self.change(when, fade, |player| {
            if on {
                player.start_chase(chase, when);
            } else {
                player.running.retain(|running| running.chase != chase);
            }
        });
    }

    /// One whose rounds are over stops, or waits for the next stroke.
    fn end_chase(&mut self, chase: usize, when: &When) {
        if self.script.chases[chase].at_each.is_none() {
            return self.run(chase, false, when);
        }
        self.change(when, self.script.chases[chase].fade, |player| {
            player
                .running
                .iter_mut()
                .filter(|running| running.chase == chase)
                .for_each(|running| running.waits = true);
        });
    }

    fn start_chase(&mut self, chase: usize, when: &When) {
        let track = &self.script.chases[chase].track;
        if track.is_empty() || self.running.iter().any(|running| running.chase == chase) {
            return;
        }
        let waits = self.script.chases[chase].at_each.is_some();
        self.running.push(Running::begin(chase, track, when.show, &self.tempo).waiting(waits));
        if self.music.is_calm() {
            self.hush_chase(self.running.len() - 1, when);
        }
    }

    fn set_speed(&mut self, chase: usize, speed: f64, when: &When) {
        let Some(place) = self.running.iter().position(|running| running.chase == chase) else { return };
        self.locate(when);
        self.see(when);
        let track = &self.script.chases[chase].track;
        let Some(speed) = held_speed(speed) else { return };
        // The hand wins over the calm.
        self.running[place].calmed = None;
        if self.running[place].set_speed(track, speed, when.show, &self.tempo) {
            self.glide(when, Some(chase));
        }
    }

    /// `whole`: with what the cues before it have set, as when it is reached out of order.
    fn take_cue(&mut self, cue: Option<usize>, whole: bool, when: &When) {
        let script = Arc::clone(&self.script);
        let Some((cue, values)) = cue.and_then(|cue| Some((cue, script.cues.get(cue)?))) else { return };
        let change = if whole { &values.whole } else { &values.own };
        self.music.leave_looks();
        self.cue = Some(cue);
        let follows = values.follow.filter(|_| cue + 1 < script.cues.len());
        self.follow = follows.map(|follow| when.show + follow);
        self.last_fade = (when.now, values.fade);
        if let Some(bpm) = change.tempo {
            self.set_tempo(bpm, when);
        }
        self.rise(when, values.fade, |player| {
            if let Some(look) = change.look {
                player.base = Base::Cue { cue, look };
            }
            if let Some(chases) = &change.chases {
                player.running.retain(|running| chases.contains(&running.chase));
                for &chase in chases {
                    player.start_chase(chase, when);
                }
            }
        });
    }

    /// A change that ends the dark of a score, if it is dark.
    fn rise(&mut self, when: &When, fade: Span, change: impl FnOnce(&mut Self)) {
        self.rising = std::mem::take(&mut self.dark);
        self.change(when, fade, change);
        self.rising = false;
    }

    /// What a part of a score has on.
    fn take_part(&mut self, look: Option<usize>, chases: Option<Chases>, fade: Span, when: &When) {
        // A part comes on a beat: one that is a hair before it by the show's own count begins with that beat all the same.
        let on_beat = When { show: when.show + Span::from_secs(self.tempo.beat_secs() / 8.0), ..*when };
        let look = look.filter(|look| *look < self.script.looks.len());
        let fade = fade.max(Span::ZERO);
        self.last_fade = (when.now, fade);
        self.rise(when, fade, |player| {
            if let Some(look) = look {
                player.base = Base::Look(look);
            }
            if let Some(chases) = chases {
                player.running.retain(|running| chases.places().any(|place| place == running.chase));
                let known = player.script.chases.len();
                for chase in chases.places().filter(|chase| *chase < known) {
                    player.start_chase(chase, &on_beat);
                }
            }
        });
    }

    fn tap(&mut self, when: &When) {
        let Some(bpm) = self.taps.tap(when.now) else { return };
        self.take_in_hand();
        let was = self.tempo.pace();
        self.locate(when);
        self.see(when);
        self.tempo.set(bpm, when.show);
        let moved = self.tempo.put_beat_on(when.show);
        self.drift.moved(moved, when.show);
        self.retime(was, moved, when);
        if moved.abs() > GLIDE_FROM {
            self.glide(when, None);
        }
    }

    fn set_tempo(&mut self, bpm: f64, when: &When) {
        let was = self.tempo.pace();
        self.tempo.set(bpm, when.show);
        self.retime(was, 0.0, when);
    }

    fn retime(&mut self, was: Pace, beats_moved: f64, when: &When) {
        let is = self.tempo.pace();
        for running in &mut self.running {
            let track = &self.script.chases[running.chase].track;
            running.retime(track, when.show, was, is, beats_moved);
        }
    }

    fn hold(&mut self, unit: usize, grip: impl FnOnce(&mut Hand)) {
        if let Some(hand) = self.hands.get_mut(unit) {
            grip(hand);
        }
    }

    fn hold_aim(&mut self, unit: usize, at: Point, when: &When) {
        self.lift(unit, when);
        self.hold(unit, |hand| (hand.aim, hand.sent) = (Grip::Held(at), None));
    }

    fn hold_sent(&mut self, unit: usize, sent: (Radians, Radians), when: &When) {
        self.lift(unit, when);
        self.hold(unit, |hand| (hand.aim, hand.sent) = (Grip::Free, Some(sent)));
    }

    /// Brings a dark light up, so that its spot can be seen.
    fn lift(&mut self, unit: usize, when: &When) {
        if unit >= self.hands.len() {
            return;
        }
        self.locate(when);
        let lamp = &self.script.layout.lamps[unit];
        let dark = !(0..self.script.layout.heads(unit).len())
            .any(|head| self.hands[unit].head(self.visible_head(unit, head, when), lamp, when).is_lit());
        let hand = &mut self.hands[unit];
        if dark && !matches!(hand.level, Grip::Held(_)) {
            hand.level = Grip::Held(LIFT);
        }
    }
}

/// What happens by itself.
#[derive(Clone, Copy, Debug)]
enum Event {
    ChaseEnds(usize),
    CueFollows,
    /// Something was struck.
    Stroke(Strike),
    /// A phrase begins.
    Line,
}
