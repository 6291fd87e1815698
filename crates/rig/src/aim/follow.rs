//! From one moment to the next: which of the ways to shine there a head takes, so that a lit beam never jumps, never
//! whips round, and misses by as little as its motors allow. docs/motors.md tells the rules to people.
//!
//! Seen from a head, a target is a point `u` across the pan axis and a depth along it. At pan `p` the beam can only be
//! in the plane of the axis and of `e = (−sin p, cos p)`; there it comes nearest to the target with a tilt of
//! `atan2(u · e, depth)`, whose sign says on which side of the axis it shines.

use lanthorn_physics::motion::AxisLimits;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Instant, Point, Rotation, Span};

mod turn;

use super::{Head, beam_in_world, held};
use crate::{AimFade, Rig, RigPose, RigState};
use turn::Turn;

/// A target that moves by more within a tick than both motors could at so many times their speed has not moved: it is
/// another.
const JUMP: f64 = 2.0;
/// And no less than this.
const SMALLEST_JUMP: Radians = Radians::from_deg(2.0);
/// Part of a motor's speed and acceleration that a path may ask for before it is smoothed.
const HEADROOM: f64 = 0.9;
/// A path is let through the axis when it passes nearer than this part of the distance at which pan could just stay on
/// it. Further off, pan turns as quickly as it can and tilt makes the best of it: that misses by less (found by trial
/// with motors of 180°/s and 360°/s²; a test holds it for others).
const LET_THROUGH: f64 = 0.5;
/// A path that is let through the axis stays so until it would pass so many times as far off.
const STAY_THROUGH: f64 = 1.5;
/// Held back by a stop by more than this, an axis is not where it is wanted.
const STUCK: f64 = 1e-6;
/// Over so long the speed of a target is evened out, seconds: a hand's moves come in jerks.
const EVEN_SECS: f64 = 0.1;
/// A target slower than this stands still, m/s.
const STILL: f64 = 1e-3;
/// The end of a fade that moves by more than this within a tick, metres, is another place.
const SAME_PLACE: f64 = 0.3;
/// In so many steps a path is looked through before it is taken.
const STEPS: usize = 48;
/// Longer than any motor takes.
const AT_ONCE: Span = Span::from_millis(1_000_000);
/// Nearer to the axis than this, metres, it is not looked through more closely.
const CLOSELY: f64 = 1e-4;
/// Ways that take so much longer than the quickest are as good.
const NEARLY_AS_QUICK: f64 = 1.1;

/// The heads of a rig, ready to be aimed every tick without allocating.
#[derive(Clone, Debug)]
pub struct Aimer {
    heads: Vec<Option<Head>>,
    tracks: Vec<Track>,
    last: Option<Instant>,
}

/// What is kept of a head's aim from one moment to the next.
#[derive(Clone, Copy, Debug, Default)]
struct Track {
    /// Where the target was; none when the head was not aimed.
    target: Option<Target>,
    /// How fast the target moves across the pan axis, m/s; none when that is not known yet.
    velocity: Option<[f64; 2]>,
    /// Pan and tilt that were wanted.
    goal: (Radians, Radians),
    /// On the way to another place, lit: not caught up yet.
    sweeping: bool,
    /// The path is let through the axis.
    through: bool,
    /// A stop held the path back.
    stuck: bool,
    /// Pan and tilt that had been sent.
    at: (Radians, Radians),
    /// The fade that it is on, as it was decided how.
    fade: Option<AimFade>,
    /// How it turns over on that fade; none when it follows.
    turn: Option<Turn>,
}

/// A target as a head sees it, in metres in the fixture frame.
#[derive(Clone, Copy, Debug)]
struct Target {
    across: [f64; 2],
    depth: f64,
}

impl Aimer {
    /// Ready to aim a rig.
    pub fn new(rig: &Rig) -> Self {
        let heads: Vec<_> = rig.units.iter().map(|unit| Head::new(rig, unit)).collect();
        Self { tracks: vec![Track::default(); heads.len()], heads, last: None }
    }

    /// Puts another head in the place of a unit's, as it was sighted in. Nothing happens for a light that cannot follow
    /// a spot. Does not allocate.
    pub fn renew(&mut self, unit: usize, head: Head) {
        if let (Some(Some(old)), Some(track)) = (self.heads.get_mut(unit), self.tracks.get_mut(unit)) {
            *old = head;
            *track = Track::default();
        }
    }

    /// The head of a unit by its place in the rig; `None` for a light that cannot follow a spot.
    pub fn head(&self, unit: usize) -> Option<&Head> {
        self.heads.get(unit).and_then(Option::as_ref)
    }

    /// `true` while a unit's lit head turns over on a fade that it could not follow to its end, until it has arrived.
    pub fn turns_over(&self, unit: usize) -> bool {
        self.tracks.get(unit).is_some_and(|track| track.turn.is_some())
    }

    /// What every light is to do in its own frame at `now`. A light without an aim stays where it is; what is to be sent
    /// as it stands is passed on untouched.
    ///
    /// A head that was dark, or whose target is suddenly another, takes the quickest way from where it was sent last
    /// (of nearly equal ones the one that ends furthest from a stop of pan). A lit head whose target moves goes on the
    /// way it is on: see [`Track::follow`]; where that has ended at a stop, it goes over to another way once the target
    /// rests. On a fade that it could not follow to its end, it turns over: see [`Track::on_fade`].
    pub fn aim(&mut self, wished: &RigState, sent_last: &RigPose, now: Instant, pose: &mut RigPose) {
        let dt = self.last.map_or(Span::ZERO, |last| (now - last).max(Span::ZERO));
        self.last = Some(now);
        for (index, wish) in wished.units.iter().enumerate() {
            let (last, out) = (&sent_last.units[index], &mut pose.units[index]);
            let track = &mut self.tracks[index];
            (out.pan, out.tilt) = match (&self.heads[index], wish.aim) {
                _ if wish.sent.is_some() => {
                    *track = Track::default();
                    wish.sent.unwrap_or_default()
                }
                (Some(head), Some(target)) => {
                    let is_lit =
                        |heads: &[lanthorn_fixture::HeadState]| heads.iter().any(|head| head.level > 0.0);
                    let lit = is_lit(&last.heads) && is_lit(&wish.heads);
                    let current = head.from_sent(last.pan, last.tilt);
                    let (pan, tilt) = track.aim(head, (target, wish.fade), current, lit, dt);
                    head.sent(pan, tilt)
                }
                _ => {
                    *track = Track::default();
                    (last.pan, last.tilt)
                }
            };
            out.beam = wish.beam;
            out.haze = wish.haze;
            out.fan = wish.fan;
            out.heads.copy_from_slice(&wish.heads);
        }
    }
}

impl Track {
    fn aim(
        &mut self,
        head: &Head,
        (target, fade): (Point, Option<AimFade>),
        current: (Radians, Radians),
        lit: bool,
        dt: Span,
    ) -> (Radians, Radians) {
        let Some(seen) = Target::seen(head, target) else {
            *self = Self::default();
            return current;
        };
        let known = self.target.replace(seen);
        let before = known.filter(|before| !before.jumps_to(&seen, head, dt));
        self.velocity = before.and_then(|before| self.evened(&before, &seen, dt));
        let was = std::mem::replace(&mut self.at, current);
        if lit && known.is_some() {
            let secs = if dt > Span::ZERO { dt.secs() } else { f64::INFINITY };
            let speed = [current.0 - was.0, current.1 - was.1].map(|moved| moved.get() / secs);
            let lost = match self.on_fade(head, (target, fade), (current, speed), dt) {
                OnFade::Turns => return self.goal,
                OnFade::Follows => false,
                OnFade::Lost => true,
            };
            if before.is_some() && !lost {
                self.stuck = self.follow(head, &seen, current, dt);
                if !self.stuck || self.moves() || head.solve(target, current).best().is_none() {
                    return self.goal;
                }
            }
        } else {
            (self.fade, self.turn) = (None, None);
        }
        (self.sweeping, self.through, self.stuck) = (lit, false, false);
        self.goal = head.choose(target, current);
        self.goal
    }

    /// Decides at the start of a fade whether it is followed, which is when the way that the head is on leads to its end
    /// inside the travel; else it turns over. A fade to another place decides anew, from where the head is and how fast
    /// it moves. Leaves the goal of a turn in `goal`.
    fn on_fade(
        &mut self,
        head: &Head,
        (target, fade): (Point, Option<AimFade>),
        (current, speed): ((Radians, Radians), [f64; 2]),
        dt: Span,
    ) -> OnFade {
        let known = self.fade;
        // Later than its fade, a turn goes on as long as its end is still wanted.
        self.fade = fade.or(self.turn.map(|_| AimFade { to: target, left: Span::ZERO }));
        let Some(now) = self.fade else { return OnFade::Follows };
        let known = known.filter(|known| known.to.distance(now.to).get() <= SAME_PLACE);
        let goes_on = match known {
            Some(_) if self.turn.is_some() => true,
            Some(known) => now.left <= known.left && !self.stuck,
            None => false,
        };
        if !goes_on {
            let turned = self.turn.take().is_some();
            if fade.is_none() {
                return OnFade::Lost;
            }
            let off = |target: Target| target.angle_from(current) > SMALLEST_JUMP;
            let off = turned && self.target.is_some_and(off);
            if self.stuck || off || !self.leads_to(head, target, now, dt) {
                self.turn = Turn::begin(head, now.to, current, speed);
            }
        }
        let Some(turn) = &mut self.turn else { return OnFade::Follows };
        let stands_still = fade.is_some() && known.is_some_and(|known| known.left == now.left);
        if !stands_still {
            self.goal = turn.go(head, now, dt);
        }
        if turn.is_over(current) {
            // What it saw of the target's speed was that of the fade.
            (self.turn, self.velocity) = (None, None);
        }
        (self.sweeping, self.through, self.stuck) = (false, false, false);
        OnFade::Turns
    }

    /// `true` when the straight path from a point to the end of a fade can be followed on the way that the head is on,
    /// without a stop in between; however fast, but not when it jumps from tick to tick.
    fn leads_to(&self, head: &Head, from: Point, fade: AimFade, dt: Span) -> bool {
        let seen = |at: Point| Target::seen(head, at);
        let (Some(start), Some(end)) = (seen(from), seen(fade.to)) else { return true };
        let secs = fade.left.secs().max(1e-3);
        let a_tick = from.lerp(fade.to, (dt.secs() / secs).min(1.0));
        if seen(a_tick).is_some_and(|next| start.jumps_to(&next, head, dt)) {
            return false;
        }
        let mut probe = Self { sweeping: false, ..*self };
        let across = [0, 1].map(|axis| end.across[axis] - start.across[axis]);
        let length = libm::hypot(across[0], across[1]);
        // Steps are even in the angle about the axis, so that none is missed close by.
        let [along, past] = if length > CLOSELY {
            let [x, y] = start.across;
            [(x * across[0] + y * across[1]) / length, (x * across[1] - y * across[0]) / length]
        } else {
            [0.0, 0.0]
        };
        let past = past.abs().max(CLOSELY);
        let [first, last] = [along, along + length].map(|along| libm::atan2(along, past));
        let part = |step: usize| match step as f64 / STEPS as f64 {
            even if length <= CLOSELY => even,
            even => ((past * libm::tan(first + (last - first) * even) - along) / length).clamp(0.0, 1.0),
        };
        let mut stuck = |at: Target, moves: bool| {
            let goal = probe.goal;
            probe.velocity = moves.then_some(across.map(|way| way / secs));
            probe.follow(head, &at, goal, AT_ONCE)
        };
        let on_the_way = (1..=STEPS).filter_map(|step| seen(from.lerp(fade.to, part(step))));
        !on_the_way.map(|at| (at, true)).chain([(end, false)]).any(|(at, moves)| stuck(at, moves))
    }

    fn moves(&self) -> bool {
        let [x, y] = self.velocity.unwrap_or_default();
        libm::hypot(x, y) >= STILL
    }

    /// Goes on the way that the head is on. `true` when that ends at a stop before it is on the target.
    ///
    /// - Pan takes that line through the axis which is nearest to the last one: the beam passes under the head by
    ///   tilting through zero, without half a turn of pan.
    /// - A path that comes much nearer to the axis than pan can turn is let through it, see [`Track::line`].
    /// - At a stop pan stays at the stop, until the same line can be had from the other side, or the target rests.
    /// - While pan is behind, tilt keeps the beam as near to the target as it can be at the pan that there is. Only
    ///   on a sweep to another place both axes just go there.
    fn follow(&mut self, head: &Head, target: &Target, current: (Radians, Radians), dt: Span) -> bool {
        let wanted = match self.line(target, head.pan_limits) {
            Some([x, y]) => nearest_line(head, target, libm::atan2(-x, y), self.goal),
            None => self.goal.0,
        };
        let pan = held(wanted, head.pan_range);
        let behind = (pan - current.0).get();
        let reach = head.pan_limits.speed * dt.secs();
        self.sweeping &= behind.abs() > reach || (self.goal.1 - current.1).abs().get() > reach;
        let pan_there =
            if self.sweeping { pan } else { current.0 + Radians::new(behind.clamp(-reach, reach)) };
        let best = target.best_tilt(pan_there, self.goal.1);
        let tilt = held(best, head.tilt_range);
        self.goal = (pan, tilt);
        (pan.get() - wanted.get()).abs().max((tilt - best).abs().get()) > STUCK
    }

    /// The line across the axis in which pan is to lie; none when any will do.
    ///
    /// To stay on a target that passes the axis at `v` and a distance `b`, pan would have to turn at `v / b`, and
    /// speed up by `0.65 · v² / b²`. Where its motor is far from that, the line keeps between the true one and the
    /// direction of the path: at `x` along the path, at an angle of `atan(b · x / (x² + c²))` to it in place of `atan(b / x)`. So the
    /// beam passes through the axis and misses by no more than `b`. This turns by no more than `v · b / c²`, and its
    /// turning changes by no more than `1.46 · v² · b / c³`, from which follows `c`.
    fn line(&mut self, target: &Target, limits: AxisLimits) -> Option<[f64; 2]> {
        let [x, y] = target.across;
        let exact = (libm::hypot(x, y) > 1e-9).then_some([x, y]);
        let [vx, vy] = self.velocity.unwrap_or_default();
        let v = libm::hypot(vx, vy);
        if !self.moves() {
            self.through = false;
            return exact;
        }
        let [tx, ty] = [vx / v, vy / v];
        let (along, b) = (x * tx + y * ty, y * tx - x * ty);
        let (speed, acceleration) = (limits.speed * HEADROOM, limits.acceleration * HEADROOM);
        let can_turn = (v / speed).max(v * (0.65 / acceleration).sqrt());
        self.through = b.abs() < can_turn * LET_THROUGH * if self.through { STAY_THROUGH } else { 1.0 };
        if !self.through {
            return exact;
        }
        let c = (v * b.abs() / speed).sqrt().max(libm::cbrt(1.46 * v * v * b.abs() / acceleration));
        let (forth, aside) = (along * along + c * c, b * along);
        Some(if forth > 1e-12 { [tx * forth - ty * aside, ty * forth + tx * aside] } else { [tx, ty] })
    }

    fn evened(&self, before: &Target, now: &Target, dt: Span) -> Option<[f64; 2]> {
        let secs = dt.secs();
        if secs <= 0.0 {
            return self.velocity;
        }
        let raw = |axis: usize| (now.across[axis] - before.across[axis]) / secs;
        let share = -libm::expm1(-secs / EVEN_SECS);
        Some(match self.velocity {
            None => [raw(0), raw(1)],
            Some([x, y]) => [x + (raw(0) - x) * share, y + (raw(1) - y) * share],
        })
    }
}

/// How a head goes on a fade.
#[derive(Clone, Copy, Debug)]
enum OnFade {
    Follows,
    Turns,
    /// The fade was taken away in the middle of a turn.
    Lost,
}

impl Target {
    /// None for a target in the pivot itself.
    fn seen(head: &Head, target: Point) -> Option<Self> {
        let d: Direction = head.world_from_fixture.inverse().apply(head.pivot.towards(target)?);
        let distance = head.pivot.distance(target).get();
        Some(Self { across: [d.x() * distance, d.y() * distance], depth: -d.z() * distance })
    }

    fn direction(&self) -> Option<Direction> {
        Direction::new(self.across[0], self.across[1], -self.depth)
    }

    fn angle_to(&self, other: &Self) -> Radians {
        match (self.direction(), other.direction()) {
            (Some(a), Some(b)) => a.angle_to(b),
            _ => Radians::HALF,
        }
    }

    /// By how much the beam of a pose misses it.
    fn angle_from(&self, (pan, tilt): (Radians, Radians)) -> Radians {
        let beam = beam_in_world(Rotation::IDENTITY, pan, tilt);
        self.direction().map_or(Radians::HALF, |wanted| wanted.angle_to(beam))
    }

    /// Within `dt` it could not have moved there: it is another.
    fn jumps_to(&self, other: &Self, head: &Head, dt: Span) -> bool {
        let speed = head.pan_limits.speed.max(head.tilt_limits.speed);
        self.angle_to(other).get() > SMALLEST_JUMP.get().max(JUMP * speed * dt.secs())
    }

    /// The tilt that brings the beam nearest at a pan; of those that differ by whole turns the one nearest to `last`.
    fn best_tilt(&self, pan: Radians, last: Radians) -> Radians {
        let (sin, cos) = libm::sincos(pan.get());
        let tilt = libm::atan2(self.across[1] * cos - self.across[0] * sin, self.depth);
        Radians::new(nearest_of(tilt, std::f64::consts::TAU, last.get()))
    }
}

impl Head {
    /// The quickest way to a point; of nearly equal ones the one that ends furthest from a stop of pan. Out of reach, the
    /// nearest pose.
    fn choose(&self, target: Point, current: (Radians, Radians)) -> (Radians, Radians) {
        let solutions = self.solve(target, current);
        let Some(quickest) = solutions.best() else { return self.nearest(target, current) };
        let room = |pan: Radians| (pan - self.pan_range[0]).min(self.pan_range[1] - pan);
        let most = quickest.time.secs() * NEARLY_AS_QUICK;
        let as_quick = solutions.as_slice().iter().filter(|way| way.time.secs() <= most);
        let best =
            as_quick.fold(quickest, |best, way| if room(way.pan) > room(best.pan) { *way } else { best });
        (best.pan, best.tilt)
    }
}

/// Of the pans that put a line in the plane of the beam, half a turn apart, the one nearest to the last goal; one whose
/// tilt lies inside the travel before one whose tilt does not.
fn nearest_line(head: &Head, target: &Target, line: f64, (pan, tilt): (Radians, Radians)) -> Radians {
    let half = std::f64::consts::PI;
    let nearest = nearest_of(line, half, pan.get());
    let other = nearest + if nearest > pan.get() { -half } else { half };
    let inside = |at: f64| {
        let wanted = target.best_tilt(Radians::new(at), tilt);
        (held(wanted, head.tilt_range) - wanted).abs().get() < 1e-9
    };
    Radians::new(if inside(nearest) || !inside(other) { nearest } else { other })
}

/// Of all values that differ from `value` by whole periods, the one nearest to `to`.
fn nearest_of(value: f64, period: f64, to: f64) -> f64 {
    value + ((to - value) / period).round() * period
}

mod swap;
#[cfg(test)]
mod tests;
