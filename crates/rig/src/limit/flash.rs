//! Flashes of the whole rig, counted on what is sent, and held back where they are too many. docs/flashes.md tells people
//! what is counted and what is not.
//!
//! - *Light in view* is the sum over all driven lights of their output: peak × solid angle of the beam × level, in the
//!   colour that is on, of what the rig could give. A rise after a fall, both large enough, is a flash.
//! - Each head by itself is held to the same rate: somebody stands in its beam.
//! - *Strobes* run by clocks of their own: each counts with its rate, rounded up, and what they take the rest has not.
//! - *Red* that comes and goes is counted by itself and held to a lower rate.
//!
//! One flash too many: what would rise stays as low as keeps the sum where it is, what falls falls; so the light stays and
//! a stop key is obeyed at once. As soon as the last second has room, everything is sent as it is wanted.

use std::sync::Arc;

use lanthorn_fixture::{Encoder, HeadState, Profile, UnitState};
use lanthorn_physics::units::Hertz;
use lanthorn_physics::{Instant, Span};

use super::burst::Burst;
use super::lamp::{By, Glow, Lamp, Sum, output};
use super::reds::{Reds, View};
use super::swings::{Rate, Recent, Swings};
use crate::rig::Limits;
use crate::{Rig, Run};

/// For so long after it acted last, the cap is said to act.
const ACTS: Span = Span::from_millis(2000);
const SECOND: Span = Span::from_millis(1000);

/// Strobes make room for what flashed within so long: so they do not stand in the way of the next beat.
const GIVES_WAY: Span = Span::from_millis(4000);
/// The last three steps of a channel of eight bits.
const LAST_STEPS: f64 = 3.0 / 255.0;

/// What the flash limit does now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Held {
    /// Flashes within the last second, of everything together or of the head that flashes most, strobes with their rates.
    pub rate: u32,
    /// It acts, or did within the last two seconds.
    pub acts: bool,
    /// Flashes held back since it began to act.
    pub flashes: u32,
    /// Lights that flash more slowly than wanted, or not at all, now.
    pub strobes: u32,
}

/// How many flashes there were since the start: of the sum, or of the head that flashed most.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Wanted.
    pub asked: u32,
    /// Sent.
    pub sent: u32,
    /// Red ones, wanted.
    pub red_asked: u32,
    /// Red ones, sent.
    pub red_sent: u32,
}

/// What there is room for at a moment.
#[derive(Clone, Copy, Debug)]
struct Room {
    rate: Rate,
    red: Rate,
    now: Instant,
}

/// The memory of the flash limit. Plain data; nothing allocates after [`Flashes::new`].
#[derive(Clone, Debug)]
pub(super) struct Flashes {
    limit: f64,
    lamps: Vec<Lamp>,
    /// Output of everything at full, and number of heads; 0 for a rig without light.
    most: [f64; 2],
    /// As sent and as seen, of each [`Sum`].
    sums: [[Swings; 3]; 2],
    asked: Swings,
    /// As sent and as seen, by output and with all heads alike.
    reds: [[Reds; 2]; 2],
    reds_asked: Reds,
    /// Flashes a second beside strobes, and red ones.
    busy: Recent,
    busy_red: Recent,
    burst: Burst,
    /// Something is held back.
    waiting: bool,
    last: Option<Instant>,
    last_held: Option<Instant>,
    held: Held,
}

impl Flashes {
    /// Everything dark.
    pub(super) fn new(rig: &Rig) -> Self {
        let mut encoders: Vec<(Arc<Profile>, usize, Arc<Encoder>)> = Vec::new();
        let mut lamps: Vec<Lamp> = rig
            .units
            .iter()
            .map(|unit| {
                let same = |known: &&(Arc<Profile>, usize, Arc<Encoder>)| {
                    Arc::ptr_eq(&known.0, &unit.profile) && known.1 == unit.mode
                };
                let encoder = match encoders.iter().find(same) {
                    Some((.., encoder)) => encoder.clone(),
                    None => {
                        let encoder = Arc::new(Encoder::new(&unit.profile, unit.mode));
                        encoders.push((unit.profile.clone(), unit.mode, encoder.clone()));
                        encoder
                    }
                };
                Lamp::new(unit, encoder)
            })
            .collect();
        // Lights on one address shine together; that their strobes start in step nobody says.
        for unit in &rig.units {
            let Run::Driven { shares: Some(leader), .. } = unit.run else { continue };
            let leader = lamps.iter().position(|lamp| lamp.number == leader);
            let own = lamps.iter().position(|lamp| lamp.number == unit.number);
            if let (Some(leader), Some(own)) = (leader, own) {
                let weight = output(unit, &lamps[own].encoder);
                lamps[leader].weight += weight;
                lamps[leader].even += f64::from(u8::from(weight > 0.0));
                let both = lamps[leader].trains.zip(lamps[own].trains);
                lamps[leader].trains = both.map(|(leader, own)| leader + own);
            }
        }
        let most = |of: fn(&Lamp) -> f64| lamps.iter().map(|lamp| of(lamp) * lamp.heads.len() as f64).sum();
        let most: [f64; 2] = [most(|lamp| lamp.weight), most(|lamp| lamp.even)];
        for lamp in &mut lamps {
            lamp.weight = over(lamp.weight, most[0]);
            lamp.even = over(lamp.even, most[1]);
        }
        Self {
            limit: rig.limits.in_force().get(),
            lamps,
            most,
            sums: [[Swings::DARK; 3]; 2],
            asked: Swings::DARK,
            reds: [[Reds::default(); 2]; 2],
            reds_asked: Reds::default(),
            busy: Recent::default(),
            busy_red: Recent::default(),
            burst: Burst::default(),
            waiting: false,
            last: None,
            last_held: None,
            held: Held::default(),
        }
    }

    /// Goes on where another left off. `units` says for each light its place in the other; what is new is dark.
    pub(super) fn take_over(&mut self, old: &Self, units: &[Option<usize>]) {
        for (lamp, before) in self.lamps.iter_mut().zip(units) {
            let Some(before) = before.and_then(|before| old.lamps.get(before)) else { continue };
            (lamp.strobing, lamp.strobed, lamp.strobed_red) =
                (before.strobing, before.strobed, before.strobed_red);
            for (head, old) in lamp.heads.iter_mut().zip(&before.heads) {
                head.shine_in(old.last.colour, &lamp.encoder);
                (head.swings, head.asked, head.reds) = (old.swings, old.asked, old.reds);
                (head.last, head.sent, head.glow) = (old.last, old.sent, old.glow);
            }
        }
        (self.sums, self.asked, self.last) = (old.sums, old.asked, old.last);
        let scales = [0, 1].map(|of| over(old.most[of], self.most[of]));
        for (of, sum) in Sum::ALL.into_iter().enumerate() {
            let scale = scales[of.min(1)];
            for (by, swings) in By::ALL.into_iter().zip(0..) {
                let light = self.total(|lamp, head| lamp.of(sum, lamp.now(by, head)));
                self.sums[swings][of].rescale(scale, light, self.last);
            }
        }
        let light = self.total(|lamp, head| lamp.of(Sum::Output, head.sent));
        self.asked.rescale(scales[0], light, self.last);
        (self.reds, self.reds_asked) = (old.reds, old.reds_asked);
        (self.busy, self.busy_red) = (old.busy, old.busy_red);
        (self.burst, self.waiting) = (old.burst, old.waiting);
        (self.last_held, self.held) = (old.last_held, old.held);
    }

    pub(super) const fn held(&self) -> Held {
        self.held
    }

    pub(super) fn tally(&self) -> Tally {
        let heads = || self.lamps.iter().filter(|lamp| lamp.weight > 0.0).flat_map(|lamp| &lamp.heads);
        Tally {
            asked: heads().map(|head| head.asked.count).fold(self.asked.count, u32::max),
            sent: heads().map(|head| head.swings[0][0].count).fold(self.sums[0][0].count, u32::max),
            red_asked: self.reds_asked.count,
            red_sent: self.reds[0][0].count,
        }
    }

    /// Level, colour and strobe of every head as they may be sent. `sent` holds what was sent last.
    pub(super) fn limit(&mut self, wanted: &[UnitState], sent: &mut [UnitState], now: Instant) {
        let most = self.burst.rate(self.limit, now);
        let (rate, red) = (Rate::of(most), Rate::of(red_limit(most)));
        let dt = self.last.map_or(Span::ZERO, |last| now - last);
        self.last = Some(now);
        self.lamps.iter_mut().for_each(|lamp| lamp.follow_for(dt));

        self.ask(wanted, sent, now);
        let slowed = self.strobes(wanted, sent, Room { rate, red, now });
        let taken = self.strobed(|lamp| &lamp.strobed, now);
        let red = red.less(self.strobed(|lamp| &lamp.strobed_red, now));
        let room = Room { rate: rate.less(taken), red, now };
        let mut waiting = self.hold_heads(sent, room);
        waiting |= self.hold_sums(sent, room);
        waiting |= self.hold_red(sent, room);
        self.commit(sent, now);

        let flashes = self.pulses(SECOND, now) + taken;
        self.burst.saw(flashes, now);
        let newly = waiting && !self.waiting;
        self.waiting = waiting;
        self.tell(newly, slowed, now);
        self.held.rate = flashes as u32;
    }

    /// What is wanted, as far as it can be sent at all; and how many flashes that would be.
    fn ask(&mut self, wanted: &[UnitState], sent: &mut [UnitState], now: Instant) {
        let (mut whole, mut view) = (0.0, [0.0; 3]);
        for ((lamp, want), out) in self.lamps.iter_mut().zip(wanted).zip(sent) {
            for (index, want) in want.heads.iter().enumerate().take(lamp.heads.len()) {
                let level = if want.level.is_finite() { want.level.clamp(0.0, 1.0) } else { 0.0 };
                out.heads[index] = HeadState { level, ..*want };
                lamp.heads[index].shine_in(want.colour, &lamp.encoder);
                let light = lamp.of(Sum::Output, lamp.shines(index, &out.heads[index]));
                whole += light;
                add(&mut view, lamp.heads[index].xyz, light);
                lamp.heads[index].asked.observe(level, now);
            }
        }
        self.asked.observe(whole, now);
        self.reds_asked.observe(View(view), now);
    }

    /// What pulses leave goes to the strobes; says how many lights flash more slowly than wanted.
    fn strobes(&mut self, wanted: &[UnitState], sent: &mut [UnitState], room: Room) -> u32 {
        let now = room.now;
        let (mut trains, mut red) = (0, false);
        for (lamp, out) in self.lamps.iter().zip(&*sent).filter(|(lamp, _)| lamp.weight > 0.0) {
            let flashes = out.heads.iter().any(|head| lamp.flashes(head));
            trains += lamp.trains.filter(|_| flashes).unwrap_or(0);
            red |= flashes_red(lamp, out);
        }
        self.busy.note(self.pulses(room.rate.within, now), now);
        self.busy_red.note(self.red_pulses(room.red.within, now), now);
        // One flash is kept for everything else: the light may go out and come on at any moment.
        let mut left = room.rate.less(self.busy.most(GIVES_WAY, now) + 1).count;
        if red {
            left = left.min(room.red.less(self.busy_red.most(GIVES_WAY, now) + 1).count);
        }
        let most = left / trains.max(1).min(left.max(1));
        let mut slowed = 0;
        let mut taken = self.strobed(|lamp| &lamp.strobed, now);
        for ((lamp, want), out) in self.lamps.iter_mut().zip(wanted).zip(sent) {
            let trains = lamp.trains.filter(|trains| *trains > 0 && lamp.weight > 0.0);
            let others = taken - lamp.strobed.most(SECOND, now);
            // Begun anew it would flash at once, whatever its rate.
            let may_begin = lamp.strobing || lamp.strobed.most(SECOND, now) == 0;
            let (mut fastest, mut slower) = (0.0_f64, false);
            for (head, want) in out.heads.iter_mut().zip(&want.heads) {
                let Some(asked) = want.strobe.map(Hertz::get).filter(|_| head.level > 0.0) else {
                    head.strobe = None;
                    continue;
                };
                let rate = asked.min(most as f64);
                let room = trains.is_some_and(|trains| others + trains * (rate.ceil() as usize) <= left);
                let may = room && may_begin && lamp.can_flash(rate);
                head.strobe = may.then_some(Hertz::new(rate));
                slower |= (!may || rate < asked) && (trains.is_none() || lamp.can_flash(asked));
                fastest = if may { fastest.max(rate) } else { fastest };
            }
            let all = trains.unwrap_or(0) * (fastest.ceil() as usize);
            if flashes_red(lamp, out) {
                lamp.strobed_red.note(all, now);
            }
            lamp.strobed.note(all, now);
            taken = others + lamp.strobed.most(SECOND, now);
            lamp.shine(out);
            slowed += u32::from(slower && lamp.trains != Some(0));
        }
        slowed
    }

    /// Every head by itself: somebody stands in its beam. `true` where one is held back.
    fn hold_heads(&mut self, sent: &mut [UnitState], room: Room) -> bool {
        let mut held = false;
        let no_red = self.red_pulses(room.red.within, room.now) >= room.red.count;
        for (lamp, out) in self.lamps.iter_mut().zip(sent) {
            for index in 0..lamp.heads.len().min(out.heads.len()) {
                let last = lamp.heads[index].last.level;
                if no_red && out.heads[index].level < last.min(LAST_STEPS) {
                    // The last steps of a channel may be red whatever the colour is.
                    out.heads[index].level = 0.0;
                    lamp.shine(out);
                }
                let head = &lamp.heads[index];
                let strict = View(head.xyz).is_red() && room.red.count < room.rate.count;
                let most = if strict { room.red } else { room.rate };
                let mut keep = 1.0_f64;
                for (by, swings) in By::ALL.into_iter().zip(&head.swings) {
                    let (next, now, kept) = (lamp.next(by, head), lamp.now(by, head), lamp.keeps(by));
                    for of in [0, 1] {
                        let ceiling = swings[of].ceiling(most, room.now);
                        if next[of] > ceiling {
                            let wanted = (ceiling - now[of] * kept) / (1.0 - kept).max(1e-9);
                            keep = keep.min((wanted / head.wanted[of]).clamp(0.0, 1.0));
                        }
                    }
                }
                if keep < 1.0 {
                    lamp.dim(out, index, keep);
                    lamp.shine(out);
                    held = true;
                }
                let waits = |lamp: &Lamp| {
                    let head = &lamp.heads[index];
                    let mut reds = By::ALL.into_iter().zip(&head.reds);
                    reds.any(|(by, reds)| reds.must_wait(lamp.view(by, head), room.red, room.now))
                };
                if waits(lamp) {
                    lamp.heads[index].freeze(&mut out.heads[index]);
                    lamp.shine(out);
                    if waits(lamp) {
                        out.heads[index].level = 0.0;
                        lamp.shine(out);
                    }
                    held = true;
                }
            }
        }
        held
    }

    /// Of every sum: falls fall, rises rise together as far as the ceiling lets them. `true` where it did not let them all.
    fn hold_sums(&mut self, sent: &mut [UnitState], room: Room) -> bool {
        let mut held = false;
        for (by, of_by) in By::ALL.into_iter().zip(self.sums) {
            for (sum, swings) in Sum::ALL.into_iter().zip(of_by) {
                held |= self.hold(sent, by, sum, swings.ceiling(room.rate, room.now));
            }
        }
        held
    }

    fn hold(&mut self, sent: &mut [UnitState], by: By, sum: Sum, ceiling: f64) -> bool {
        if ceiling >= 1.0 || self.total(|lamp, head| lamp.of(sum, lamp.next(by, head))) <= ceiling {
            return false;
        }
        let rises = |lamp: &Lamp, head: &Glow| {
            let (wanted, now) = (lamp.of(sum, head.wanted), lamp.of(sum, lamp.now(by, head)));
            (wanted > now).then_some((wanted, now))
        };
        let (mut base, mut rise) = (0.0, 0.0);
        for lamp in &self.lamps {
            for head in &lamp.heads {
                match rises(lamp, head) {
                    None => base += lamp.of(sum, lamp.next(by, head)),
                    Some((wanted, now)) if lamp.dims => {
                        base += now;
                        rise += (wanted - now) * (1.0 - lamp.keeps(by));
                    }
                    // One that cannot rise a little waits dark.
                    Some((_, now)) => base += now * lamp.keeps(by),
                }
            }
        }
        let part = if rise > 0.0 { ((ceiling - base) / rise).clamp(0.0, 1.0) } else { 0.0 };
        for (lamp, out) in self.lamps.iter_mut().zip(sent) {
            let mut waits = false;
            for index in 0..lamp.heads.len().min(out.heads.len()) {
                if let Some((wanted, now)) = rises(lamp, &lamp.heads[index]) {
                    lamp.dim(out, index, (now + (wanted - now) * part) / wanted);
                    waits = true;
                }
            }
            if waits {
                lamp.shine(out);
            }
        }
        true
    }

    /// Red that would flash once too often waits: everything stays as it is, or what is red goes dark. `true` where that
    /// had to be.
    fn hold_red(&mut self, sent: &mut [UnitState], room: Room) -> bool {
        if !self.red_must_wait(room) {
            return false;
        }
        for (lamp, out) in self.lamps.iter_mut().zip(&mut *sent) {
            for (head, out) in lamp.heads.iter_mut().zip(&mut out.heads) {
                head.freeze(out);
                out.strobe = out.strobe.filter(|_| lamp.keeps_level && head.last.strobe.is_some());
            }
            lamp.shine(out);
        }
        // A filament may still be on its way up to what was sent last.
        self.hold_sums(sent, room);
        if self.red_must_wait(room) {
            for (lamp, out) in self.lamps.iter_mut().zip(sent) {
                for (head, out) in lamp.heads.iter_mut().zip(&mut out.heads) {
                    out.level = if View(head.xyz).is_reddish() { 0.0 } else { out.level };
                }
                lamp.shine(out);
            }
        }
        true
    }

    fn red_must_wait(&self, room: Room) -> bool {
        let waits = |(by, reds): (By, &[Reds; 2])| {
            let mut sums = [Sum::Output, Sum::Even].into_iter().zip(reds);
            sums.any(|(sum, reds)| reds.must_wait(self.view(by, sum), room.red, room.now))
        };
        By::ALL.into_iter().zip(&self.reds).any(waits)
    }

    /// All light as it will be.
    fn view(&self, by: By, sum: Sum) -> View {
        let mut view = [0.0; 3];
        for lamp in &self.lamps {
            for head in &lamp.heads {
                add(&mut view, head.xyz, lamp.of(sum, lamp.next(by, head)));
            }
        }
        View(view)
    }

    fn total(&self, of: impl Fn(&Lamp, &Glow) -> f64) -> f64 {
        self.lamps.iter().flat_map(|lamp| lamp.heads.iter().map(|head| of(lamp, head))).sum()
    }

    /// Counts what is sent.
    fn commit(&mut self, sent: &[UnitState], now: Instant) {
        for (place, by) in By::ALL.into_iter().enumerate() {
            for (of, sum) in Sum::ALL.into_iter().enumerate() {
                let light = self.total(|lamp, head| lamp.of(sum, lamp.next(by, head)));
                self.sums[place][of].observe(light, now);
            }
            for (of, sum) in [Sum::Output, Sum::Even].into_iter().enumerate() {
                let view = self.view(by, sum);
                self.reds[place][of].observe(view, now);
            }
        }
        for (lamp, out) in self.lamps.iter_mut().zip(sent) {
            for index in 0..lamp.heads.len().min(out.heads.len()) {
                let next = By::ALL.map(|by| lamp.next(by, &lamp.heads[index]));
                let views = By::ALL.map(|by| lamp.view(by, &lamp.heads[index]));
                let head = &mut lamp.heads[index];
                for (swings, next) in head.swings.iter_mut().zip(next) {
                    swings.iter_mut().zip(next).for_each(|(swings, light)| swings.observe(light, now));
                }
                head.reds.iter_mut().zip(views).for_each(|(reds, view)| reds.observe(view, now));
                ([head.sent, head.glow], head.last) = (next, out.heads[index]);
            }
        }
    }

    /// Most flashes within so long, of a sum or of a head.
    fn pulses(&self, span: Span, now: Instant) -> usize {
        let lamps = self.lamps.iter().filter(|lamp| lamp.weight > 0.0);
        let heads = lamps.flat_map(|lamp| &lamp.heads).flat_map(|head| head.swings.as_flattened());
        let all = heads.chain(self.sums.as_flattened());
        all.map(|swings| swings.stamps.within(span, now)).max().unwrap_or(0)
    }

    /// The same of red.
    fn red_pulses(&self, span: Span, now: Instant) -> usize {
        let lamps = self.lamps.iter().filter(|lamp| lamp.weight > 0.0);
        let heads = lamps.flat_map(|lamp| &lamp.heads).flat_map(|head| &head.reds);
        let all = heads.chain(self.reds.as_flattened());
        all.map(|reds| reds.stamps.within(span, now)).max().unwrap_or(0)
    }

    /// Strobe flashes a second that were sent within the last second.
    fn strobed(&self, of: impl Fn(&Lamp) -> &Recent, now: Instant) -> usize {
        self.lamps.iter().map(|lamp| of(lamp).most(SECOND, now)).sum()
    }

    fn tell(&mut self, newly: bool, slowed: u32, now: Instant) {
        let acted = self.last_held.is_some_and(|at| now - at < ACTS);
        if self.waiting || slowed > 0 {
            if !acted {
                self.held.flashes = 0;
            }
            self.last_held = Some(now);
        }
        self.held.flashes += u32::from(newly);
        self.held.strobes = slowed;
        self.held.acts = self.last_held.is_some_and(|at| now - at < ACTS);
    }
}

/// Whether a light flashes in what may be saturated red in the end.
fn flashes_red(lamp: &Lamp, out: &UnitState) -> bool {
    let mut heads = lamp.heads.iter().zip(&out.heads);
    lamp.weight > 0.0 && heads.any(|(head, out)| lamp.flashes(out) && View(head.xyz).may_be_red_at(out.level))
}

/// A part of a whole that may be nothing.
fn over(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

/// Red flashes a second under a limit: those of the next stricter class. Classes: up to 3, up to 4, above with a reason;
/// under the strictest one fewer than usual (our own choice, no source).
pub(super) fn red_limit(limit: f64) -> f64 {
    if limit > Limits::WITHOUT_REASON.get() {
        Limits::WITHOUT_REASON.get()
    } else if limit > Limits::USUAL.get() {
        Limits::USUAL.get()
    } else {
        limit.min(Limits::USUAL.get() - 1.0)
    }
}

fn add(sum: &mut [f64; 3], part: [f64; 3], times: f64) {
    for (sum, part) in sum.iter_mut().zip(part) {
        *sum += part * times;
    }
}
