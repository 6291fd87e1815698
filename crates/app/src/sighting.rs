//! Sighting in: one light at a time is lit and led by hand to marks whose places are known, and what was sent there says
//! where the light really hangs and how its axes run.
//!
//! [`Session`] is a function of intents and of what is sent, without clock, thread or socket; `worker` runs it. Whatever
//! it wants of the light goes through [`Command::Send`], so that the light is limited like every other.

mod axes;
mod book;
mod nudge;
mod signs;
mod stopwatch;
#[cfg(test)]
mod tests;
mod view;
mod worker;

use lanthorn_dmx::Frames;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Instant, Point, Span};
use lanthorn_rig::aim::{Head, Solution};
use lanthorn_rig::sight::Sight;
use lanthorn_rig::{Rig, Run, Unit};
use lanthorn_show::Command;
use lanthorn_store::edit::Finding;

use crate::wire::{AxisName, Intent, NudgeStep, SightingNow, SightingView};
use axes::{Axes, Values};
use signs::Signs;
use stopwatch::Stopwatch;

pub(crate) use book::{Book, Edit, write};
pub(crate) use view::{view, views};
pub(crate) use worker::{Onlooker, Sighting};

/// Perceptual level of a light that is sighted in: well seen beside others, and not blinding.
const LEVEL: f64 = 0.8;
/// What is sent must not have changed for so long before a sight counts: motors swing out.
const QUIET: Span = Span::from_millis(300);
/// A refusal for a light that is not being sighted in is shown for so long.
const SHOWN: Span = Span::from_millis(8000);
/// Sights of one mark whose values differ by less of the travel are the same sight again.
const AGAIN: u16 = 65_535 / 8;

/// What the machine sends now.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    /// The machine's time.
    pub(crate) now: Instant,
    /// The frames of the last tick.
    pub(crate) frames: Frames,
    /// Blackout is on.
    pub(crate) blackout: bool,
}

/// What a session wants done.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Act {
    /// Of the show.
    Command(Command),
    /// The light of that place in the rig is believed to hang otherwise, or to be of another speed.
    Renew(usize),
}

/// Everything about sighting in.
#[derive(Debug)]
pub(crate) struct Session {
    rig: Rig,
    views: Vec<Option<SightingView>>,
    book: Book,
    /// What was watched of each light.
    signs: Vec<Signs>,
    light: Option<Light>,
    /// The others go dark while one is sighted in, so that its spot is seen alone.
    alone: bool,
    refused: Option<(u32, String, Instant)>,
    acts: Vec<Act>,
}

/// The light that is being sighted in.
#[derive(Debug)]
struct Light {
    unit: usize,
    axes: Axes,
    /// The mark that it is on the way to, by place in the room.
    mark: Option<usize>,
    /// What it is to be sent; none while something else leads it.
    held: Option<Values>,
    /// When its motors are there, as far as their speed is known.
    there: Instant,
    /// What was sent last, and since when.
    read: Option<(Values, Instant)>,
    doing: Doing,
    says: String,
}

/// What is going on with it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Doing {
    Nothing,
    /// An axis is led to where it can be watched.
    Preparing(AxisName),
    /// An axis was moved a little, from and to these values.
    Watching(AxisName, Values, Values),
    Timing(Stopwatch),
}

impl Session {
    /// Nobody is being sighted in.
    pub(crate) fn new(rig: Rig, book: Book) -> Self {
        let views = views(&rig);
        let signs = rig.units.iter().map(|_| Signs::default()).collect();
        Self { rig, views, book, signs, light: None, alone: false, refused: None, acts: Vec::new() }
    }

    /// Goes over to another rig. What was watched of a light stays with its number, and so does the light in hand, unless
    /// it is not what it was.
    pub(crate) fn replace(&mut self, rig: &Rig) {
        let old = std::mem::replace(&mut self.rig, rig.clone());
        let was = |unit: &Unit| old.index_of(unit.number).map(|place| self.signs[place].clone());
        self.signs = self.rig.units.iter().map(|unit| was(unit).unwrap_or_default()).collect();
        self.views = views(&self.rig);
        self.acts.clear();
        let Some(light) = &mut self.light else { return };
        let before = &old.units[light.unit];
        let unit = self.rig.index_of(before.number);
        let alike = |unit: &Unit| unit.profile == before.profile && unit.mode == before.mode;
        match unit.map(|unit| (unit, &self.rig.units[unit])) {
            Some((place, unit)) if alike(unit) && unit.swap == before.swap => {
                light.unit = place;
                if let Ok(axes) = Axes::new(unit) {
                    light.axes = axes;
                }
                let name = light.mark.map(|mark| &old.room.marks[mark].name);
                let mark = |name| self.rig.room.marks.iter().position(|mark| &mark.name == name);
                light.mark = name.and_then(mark);
            }
            _ => {
                self.light = None;
                self.acts.extend(unit.map(|unit| Act::Command(Command::LetGo(Some(unit)))));
            }
        }
    }

    /// The rig as it is believed to hang now.
    pub(crate) const fn rig(&self) -> &Rig {
        &self.rig
    }

    /// What is known of each light.
    pub(crate) fn views(&self) -> &[Option<SightingView>] {
        &self.views
    }

    /// What is to be done since this was last asked.
    pub(crate) fn acts(&mut self) -> Vec<Act> {
        std::mem::take(&mut self.acts)
    }

    /// What the page is told of every moment.
    pub(crate) fn now(&self, now: Instant) -> Option<SightingNow> {
        let Some(light) = &self.light else {
            let (unit, says, _) = self.refused.as_ref().filter(|(.., at)| now - *at < SHOWN)?;
            return Some(SightingNow { unit: *unit, says: says.clone(), ..SightingNow::default() });
        };
        let [pan, tilt] = light.held.or(light.read.map(|read| read.0)).unwrap_or_default().map(u32::from);
        let watching = match light.doing {
            Doing::Watching(axis, ..) => Some(axes::name(axis).to_owned()),
            _ => None,
        };
        let running = match light.doing {
            Doing::Timing(stopwatch) => stopwatch.since().map(|since| (stopwatch.axis, since)),
            _ => None,
        };
        Some(SightingNow {
            unit: self.rig.units[light.unit].number,
            mark: light.mark.map(|mark| self.rig.room.marks[mark].name.clone()),
            pan,
            tilt,
            watching,
            timing: running.map(|(axis, _)| axes::name(axis).to_owned()),
            timing_s: running.map_or(0.0, |(_, since)| (now - since).secs()),
            alone: self.alone,
            says: light.says.clone(),
        })
    }

    /// Takes an intent. Those that are nobody's business here do nothing.
    pub(crate) fn take(&mut self, intent: &Intent, seen: &Seen) {
        match intent {
            Intent::SightGo { unit, mark } => self.with(*unit, seen, |s| s.go(mark, seen)),
            Intent::SightNudge { unit, towards: [x, y, z], step } => {
                let towards = Direction::new(*x, *y, *z);
                self.with(*unit, seen, |s| s.nudge(towards, *step, seen));
            }
            Intent::SightOn { unit, mark } => self.with(*unit, seen, |s| s.on(mark, seen)),
            Intent::SightUndo { unit } => self.undo(*unit, seen),
            Intent::SignTry { unit, axis } => self.with(*unit, seen, |s| s.try_sign(*axis, seen)),
            Intent::SignWent { unit, axis, towards } => {
                let towards = towards.map(|[x, y, z]| Direction::new(x, y, z));
                self.with(*unit, seen, |s| s.sign_went(*axis, towards, seen));
            }
            Intent::StopwatchStart { unit, axis } => {
                self.with(*unit, seen, |s| s.start_stopwatch(*axis, seen));
            }
            Intent::StopwatchThere { unit, all_of_kind } => {
                self.with(*unit, seen, |s| s.stop_stopwatch(*all_of_kind, seen));
            }
            Intent::SightAlone { unit, on } if self.is_on(*unit) => self.set_alone(*on),
            Intent::SightEnd { unit } if self.is_on(*unit) => self.end(true),
            // Somebody lets go of it, or drags its spot, in the picture.
            Intent::LetGo { unit } if unit.is_none_or(|unit| self.is_on(unit)) => self.end(false),
            Intent::Aim { unit, .. } if self.is_on(*unit) => {
                if let Some(light) = &mut self.light {
                    (light.held, light.doing) = (None, Doing::Nothing);
                    light.says.clear();
                }
            }
            _ => {}
        }
    }

    /// Goes on with what takes time.
    pub(crate) fn look(&mut self, seen: &Seen) {
        let Some(light) = &mut self.light else { return };
        let read = light.axes.read(&seen.frames);
        if light.read.map(|(values, _)| values) != read {
            light.read = read.map(|values| (values, seen.now));
        }
        match light.doing {
            Doing::Nothing | Doing::Watching(..) => {}
            Doing::Preparing(axis) => {
                if self.is_there(seen) {
                    self.try_sign(axis, seen);
                }
            }
            Doing::Timing(stopwatch) => self.run_stopwatch(stopwatch, seen),
        }
    }

    /// Tries once more to write what is not in the file yet.
    pub(crate) fn write_again(&mut self) {
        if self.book.waits() {
            let said = self.book.keep([]);
            if said.is_empty() {
                self.say("Everything is in the file now.".to_owned());
            }
        }
    }

    /// Before everything ends: what could not be written is said.
    pub(crate) fn finish(&mut self) -> Option<String> {
        let said = self.book.keep([]);
        self.book.waits().then_some(said)
    }

    fn is_on(&self, number: u32) -> bool {
        self.light.as_ref().is_some_and(|light| self.rig.units[light.unit].number == number)
    }

    /// Does something with a light, which is taken in hand first if it is not; or says why that cannot be.
    fn with(&mut self, number: u32, seen: &Seen, what: impl FnOnce(&mut Self) -> Option<String>) {
        if !self.is_on(number)
            && let Err(why) = self.begin(number, seen)
        {
            match &mut self.light {
                Some(light) => light.says = why,
                None => self.refused = Some((number, why, seen.now)),
            }
            return;
        }
        if let Some(says) = what(self) {
            let dark = if seen.blackout { " Blackout is on: nothing is seen." } else { "" };
            let says = format!("{says}{dark}").trim_start().to_owned();
            self.say(says);
        }
    }

    fn say(&mut self, says: String) {
        if let Some(light) = &mut self.light {
            light.says = says;
        }
    }

    fn begin(&mut self, number: u32, seen: &Seen) -> Result<(), String> {
        let unit = self.rig.index_of(number).ok_or_else(|| format!("There is no light {number}."))?;
        let axes = Axes::new(&self.rig.units[unit])?;
        let read = axes.read(&seen.frames).ok_or_else(|| format!("Nothing is sent to light {number}."))?;
        self.end(true);
        self.refused = None;
        self.light = Some(Light {
            unit,
            axes,
            mark: None,
            held: None,
            there: seen.now,
            read: Some((read, seen.now)),
            doing: Doing::Nothing,
            says: String::new(),
        });
        if self.alone {
            self.darken_others();
        }
        Ok(())
    }

    /// The light goes back to the show, and the others if they are dark for it; `let_go`: it has not been told so yet.
    fn end(&mut self, let_go: bool) {
        if self.alone {
            self.give_others_back();
        }
        if let Some(light) = self.light.take()
            && let_go
        {
            self.acts.push(Act::Command(Command::LetGo(Some(light.unit))));
        }
    }

    fn set_alone(&mut self, on: bool) {
        if on == self.alone {
            return;
        }
        self.alone = on;
        if on {
            self.darken_others();
            self.say("The other lights are dark until you are done here.".to_owned());
        } else {
            self.give_others_back();
            self.say("The other lights are back.".to_owned());
        }
    }

    fn darken_others(&mut self) {
        for unit in self.others() {
            self.acts.push(Act::Command(Command::Level { unit, level: 0.0 }));
        }
    }

    fn give_others_back(&mut self) {
        for unit in self.others() {
            self.acts.push(Act::Command(Command::LetGo(Some(unit))));
        }
    }

    /// Every other light that gives light and is driven at an address of its own.
    fn others(&self) -> Vec<usize> {
        let Some(light) = &self.light else { return Vec::new() };
        let driven = |unit: &Unit| matches!(unit.run, Run::Driven { shares: None, .. });
        let shines = |unit: &Unit| unit.profile.kind.gives_light();
        let units = self.rig.units.iter().enumerate();
        units
            .filter(|(index, unit)| *index != light.unit && driven(unit) && shines(unit))
            .map(|(index, _)| index)
            .collect()
    }

    /// The head as it is believed to hang; over what the machine knows, that it hangs the other way round, and while
    /// nothing is solved, that its beam was on what was sighted last.
    fn believed(&self, unit: usize) -> Option<Head> {
        let (rig, unit, signs) = (&self.rig, &self.rig.units[unit], &self.signs[unit]);
        signs::believed(rig, unit, signs)
    }

    fn unit(&self) -> Option<&Unit> {
        self.light.as_ref().map(|light| &self.rig.units[light.unit])
    }

    /// What the light is sent, or is to be.
    fn values(&self) -> Option<Values> {
        let light = self.light.as_ref()?;
        light.held.or(light.read.map(|read| read.0))
    }

    /// Leads the light to values, lit.
    fn hold(&mut self, values: Values, now: Instant) {
        let from = self.values().unwrap_or(values);
        let Some(light) = &mut self.light else { return };
        let head = signs::believed(&self.rig, &self.rig.units[light.unit], &self.signs[light.unit]);
        let angles = |values| {
            let (pan, tilt) = light.axes.sent(values);
            head.map(|head| head.from_sent(pan, tilt)).unwrap_or_default()
        };
        let time = head.map_or(Span::ZERO, |head| head.travel_time(angles(from), angles(values)));
        light.there = light.there.max(now) + time;
        light.held = Some(values);
        let (unit, (pan, tilt)) = (light.unit, light.axes.sent(values));
        self.acts.extend(
            [
                Command::Level { unit, level: LEVEL },
                Command::Colour { unit, chromaticity: Chromaticity::D65 },
                Command::Send { unit, pan, tilt },
            ]
            .map(Act::Command),
        );
    }

    /// The light is sent what it is to be sent, its motors have had the time to get there, and all is quiet.
    fn is_there(&self, seen: &Seen) -> bool {
        let Some(light) = &self.light else { return false };
        let Some((read, since)) = light.read else { return false };
        light.held.is_none_or(|held| light.axes.same(read, held))
            && seen.now >= light.there
            && seen.now - since >= QUIET
    }

    fn go(&mut self, name: &str, seen: &Seen) -> Option<String> {
        let Some(mark) = self.rig.room.marks.iter().position(|mark| mark.name == name) else {
            return Some(format!("There is no mark \"{name}\"."));
        };
        let (unit, axes) = self.light.as_ref().map(|light| (light.unit, light.axes.clone()))?;
        let head = self.believed(unit)?;
        let at = self.rig.room.marks[mark].at;
        let (pan, tilt) = axes.sent(self.values()?);
        let current = head.from_sent(pan, tilt);
        let best = self.best_way(unit, &head, &axes, at, current);
        let (pan, tilt) = best.map_or_else(|| head.nearest(at, current), |best| (best.pan, best.tilt));
        let (pan, tilt) = head.sent(pan, tilt);
        if let Some(light) = &mut self.light {
            (light.mark, light.doing) = (Some(mark), Doing::Nothing);
        }
        self.hold(axes.snapped(axes.values(pan, tilt)), seen.now);
        let near = if best.is_none() { ", which is out of its reach: it goes as near as it can" } else { "" };
        Some(format!("On the way to \"{name}\"{near}.{}", self.copies(unit)))
    }

    /// The way to shine on a mark that tells most: with tilt to the side that fewer sights were taken on, for only both
    /// sides together tell where tilt's middle is. Of those the quickest.
    fn best_way(
        &self,
        unit: usize,
        head: &Head,
        axes: &Axes,
        at: Point,
        current: (Radians, Radians),
    ) -> Option<Solution> {
        let side = |sight: &Sight| {
            let (pan, tilt) = axes.sent([sight.pan, sight.tilt]);
            if head.from_sent(pan, tilt).1.get() > 0.0 { 1 } else { -1 }
        };
        let more: i32 = self.rig.units[unit].found.sights.iter().map(side).sum();
        let solutions = head.solve(at, current);
        let other = |way: &&Solution| f64::from(more) * way.tilt.get() < 0.0;
        solutions.as_slice().iter().find(other).copied().or_else(|| solutions.best())
    }

    /// The lights that move with one.
    fn copies(&self, unit: usize) -> String {
        let number = self.rig.units[unit].number;
        let follows =
            |other: &&Unit| matches!(other.run, Run::Driven { shares: Some(leader), .. } if leader == number);
        let numbers: Vec<String> =
            self.rig.units.iter().filter(follows).map(|unit| unit.number.to_string()).collect();
        match &numbers[..] {
            [] => String::new(),
            [only] => format!(" Light {only} shares its address and moves with it."),
            several => format!(" Lights {} share its address and move with it.", several.join(", ")),
        }
    }

    fn nudge(&mut self, towards: Option<Direction>, step: NudgeStep, seen: &Seen) -> Option<String> {
        let towards = towards?;
        let from = self.values()?;
        let light = self.light.as_mut()?;
        light.doing = Doing::Nothing;
        let (unit, axes, mark) = (light.unit, light.axes.clone(), light.mark);
        let mark = mark.map(|mark| self.rig.room.marks[mark].at);
        let head = self.believed(unit)?;
        match nudge::nudged(&head, &axes, &self.rig.room, mark, from, (towards, step)) {
            Some(values) => {
                self.hold(values, seen.now);
                Some(String::new())
            }
            None => Some("It cannot go further that way: an axis is at its end.".to_owned()),
        }
    }

    fn on(&mut self, name: &str, seen: &Seen) -> Option<String> {
        let Some(mark) = self.rig.room.mark(name) else {
            return Some(format!("There is no mark \"{name}\"."));
        };
        let at = mark.at;
        if !self.is_there(seen) {
            return Some("Its motors are still on their way: wait until the spot stands still.".to_owned());
        }
        let light = self.light.as_mut()?;
        light.doing = Doing::Nothing;
        let (unit, [pan, tilt]) = (light.unit, light.read?.0);
        light.mark = self.rig.room.marks.iter().position(|mark| mark.name == name);
        let sight = Sight { mark: Some(name.to_owned()), at, pan, tilt };
        let number = self.rig.units[unit].number;
        let sights = &mut self.rig.units[unit].found.sights;
        let again = |old: &Sight| {
            old.mark == sight.mark && old.pan.abs_diff(pan) < AGAIN && old.tilt.abs_diff(tilt) < AGAIN
        };
        let mut edits = Vec::new();
        let mut says = format!("\"{name}\" is kept.");
        if let Some(place) = sights.iter().position(again) {
            edits.push(Edit::Remove(number, sights.remove(place)));
            says = format!("\"{name}\" is kept in place of the sight before.");
        }
        sights.push(sight.clone());
        edits.push(Edit::Add(number, sight));
        self.renew(unit);
        Some(self.kept(says, edits))
    }

    fn undo(&mut self, number: u32, seen: &Seen) {
        let Some(unit) = self.rig.index_of(number) else { return };
        let says = match self.rig.units[unit].found.sights.pop() {
            None => format!("Light {number} has no sight to take back."),
            Some(sight) => {
                let what = sight.mark.as_ref().map_or("A point".to_owned(), |mark| format!("\"{mark}\""));
                self.renew(unit);
                self.kept(format!("{what} is taken back."), [Edit::Remove(number, sight)])
            }
        };
        if self.is_on(number) {
            self.say(says);
        } else if self.light.is_none() {
            self.refused = Some((number, says, seen.now));
        }
    }

    /// Writes to the show's file; the sentence with what is to be said of that.
    fn kept(&mut self, says: String, edits: impl IntoIterator<Item = Edit>) -> String {
        let said = self.book.keep(edits);
        if said.is_empty() { says } else { format!("{says} {said}") }
    }

    /// A light is known better, or otherwise.
    fn renew(&mut self, unit: usize) {
        self.rig.settle(unit);
        self.views[unit] = view(&self.rig, &self.rig.units[unit]);
        self.acts.push(Act::Renew(unit));
    }
}
