//! Which lit beams are off their spots, by how much and for how long.

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Direction, Instant, Point, Span};
use lanthorn_rig::aim::Head;
use lanthorn_rig::rig::Rig;
use lanthorn_rig::{Drive, RigState, Run, Unit};
use lanthorn_show::{Driver, Player, Show};

/// So long a beam may be off its spot without a word.
const LET_PASS: Span = Span::from_millis(300);

/// The radius of a spot whose beam angle is not known.
const USUAL_RADIUS: f64 = 0.5;

/// Darker than this part of full light, nobody sees it move.
const SEEN: f64 = 0.01;

/// A target so near to the foot of a head, metres, is under it.
const UNDER: f64 = 1.0;

/// An axis so near to where it is to be is there.
const THERE: Radians = Radians::from_deg(0.5);

pub(super) struct Watch<'a> {
    show: &'a Show,
    /// For each light that is watched, half its beam's angle where that is known.
    watched: Vec<Option<Option<Radians>>>,
    off: Vec<Option<Miss>>,
    /// What was off for long enough to be told.
    pub(super) seen: Vec<Miss>,
}

/// One beam off its spot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Miss {
    /// Place in the rig.
    pub(super) unit: usize,
    pub(super) whose: Whose,
    since: Instant,
    until: Instant,
    /// By how much at worst, metres.
    pub(super) metres: f64,
    pub(super) cause: Cause,
    /// For how long of that it was turning over although its fade had ended.
    late: Span,
    /// It was never on its spot as long as this had it.
    pub(super) never: bool,
}

/// What wanted it there. Places count in the show's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Whose {
    Cue(usize),
    Chase { chase: usize, step: usize },
    Look(usize),
}

/// Why it is off; of several reasons the first here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Cause {
    OutOfReach,
    StillOnItsWay,
    PanStop,
    UnderTheHead,
    TooSlow,
    /// It turns over on a fade that it could not follow to its end.
    TurnsOver,
}

impl Miss {
    pub(super) fn secs(&self) -> f64 {
        (self.until - self.since).secs()
    }

    /// It was off although the fade on which it turned over had ended.
    pub(super) fn is_late(&self) -> bool {
        self.late > LET_PASS
    }
}

impl<'a> Watch<'a> {
    pub(super) fn new(show: &'a Show, rig: &Rig) -> Self {
        let half_beam = |unit: &Unit| {
            let own = matches!(unit.run, Run::Driven { address: Some(_), shares: None });
            let beam = unit.profile.optics.beam.value();
            (own && unit.moves()).then(|| beam.map(|beam| beam / 2.0))
        };
        Self {
            show,
            watched: rig.units.iter().map(half_beam).collect(),
            off: vec![None; rig.units.len()],
            seen: Vec::new(),
        }
    }

    /// Looks at every lit beam at a moment.
    pub(super) fn look(&mut self, player: &Player, drive: &Drive, wished: &RigState, now: Instant) {
        let status = player.status(now);
        for unit in 0..self.watched.len() {
            let Some(half_beam) = self.watched[unit] else { continue };
            let sent = &drive.sent().get().units[unit];
            let lit = sent.heads.iter().any(|head| head.level > SEEN);
            let whose = match player.driver(unit) {
                Driver::Look(look) => Some(Whose::Look(usize::from(look))),
                Driver::Cue(cue) => Some(Whose::Cue(usize::from(cue))),
                Driver::Chase(chase) => {
                    let chase = usize::from(chase);
                    let running = status.chases.iter().flatten().find(|running| running.chase == chase);
                    Some(Whose::Chase { chase, step: running.map_or(0, |running| running.step) })
                }
                Driver::Dark | Driver::Hand => None,
            };
            let wish = &wished.units[unit];
            let half_beam = wish.beam.zoom.map_or(half_beam, |zoom| Some(zoom / 2.0));
            let aimed = drive.aimer().head(unit).zip(wish.aim).zip(whose).filter(|_| lit);
            let Some(((head, target), whose)) = aimed else {
                self.close(unit, now);
                continue;
            };
            let Some((pan, tilt)) = drive.motors(unit) else { continue };
            let (pan, tilt) = head.from_sent(pan, tilt);
            let metres = miss(head, target, head.direction(pan, tilt));
            if metres <= radius(head, target, half_beam) {
                self.close(unit, now);
                continue;
            }
            let turns = drive.aimer().turns_over(unit);
            let cause = if turns {
                Cause::TurnsOver
            } else {
                cause(head, target, (pan, tilt), head.from_sent(sent.pan, sent.tilt))
            };
            self.count(unit, whose, now, metres, cause, turns && wish.fade.is_none());
        }
    }

    /// The end of a run.
    pub(super) fn end(&mut self) {
        for unit in 0..self.off.len() {
            if let Some(miss) = self.off[unit].take() {
                self.keep(miss, true);
            }
        }
    }

    fn count(&mut self, unit: usize, whose: Whose, now: Instant, metres: f64, cause: Cause, late: bool) {
        if self.off[unit].is_some_and(|miss| miss.whose != whose)
            && let Some(miss) = self.off[unit].take()
        {
            self.keep(miss, true);
        }
        let fresh = Miss {
            unit,
            whose,
            since: now,
            until: now,
            metres: 0.0,
            cause: Cause::TurnsOver,
            late: Span::ZERO,
            never: false,
        };
        let miss = self.off[unit].get_or_insert(fresh);
        if late {
            miss.late = miss.late + (now - miss.until);
        }
        miss.until = now;
        miss.metres = miss.metres.max(metres);
        miss.cause = miss.cause.min(cause);
    }

    /// The beam is on its spot again, or dark.
    fn close(&mut self, unit: usize, now: Instant) {
        if let Some(miss) = self.off[unit].take() {
            self.keep(Miss { until: now, ..miss }, false);
        }
    }

    fn keep(&mut self, miss: Miss, never: bool) {
        let known = match miss.whose {
            Whose::Cue(cue) => cue < self.show.cues.len(),
            Whose::Chase { chase, .. } => chase < self.show.chases.len(),
            Whose::Look(look) => look < self.show.looks.len(),
        };
        if known && miss.until - miss.since > LET_PASS {
            self.seen.push(Miss { never, ..miss });
        }
    }
}

/// How far a beam passes from a point, metres; the whole distance when it shines the other way.
fn miss(head: &Head, target: Point, beam: Direction) -> f64 {
    let Some(wanted) = head.pivot.towards(target) else { return 0.0 };
    let distance = head.pivot.distance(target).get();
    let off = beam.angle_to(wanted);
    distance * if off < Radians::QUARTER { libm::sin(off.get()) } else { 1.0 }
}

fn radius(head: &Head, target: Point, half_beam: Option<Radians>) -> f64 {
    let throw: Metres = head.pivot.distance(target);
    let known = half_beam.filter(|half| *half < Radians::QUARTER);
    known.map_or(USUAL_RADIUS, |half| throw.get() * libm::tan(half.get()))
}

/// `motors` and `sent` by the right-hand rule.
fn cause(head: &Head, target: Point, motors: (Radians, Radians), sent: (Radians, Radians)) -> Cause {
    let close = |a: Radians, b: Radians| (a - b).abs() < THERE;
    if head.solve(target, motors).best().is_none() {
        Cause::OutOfReach
    } else if !close(motors.0, sent.0) || !close(motors.1, sent.1) {
        Cause::StillOnItsWay
    } else if head.pan_range.iter().any(|end| close(*end, motors.0)) {
        Cause::PanStop
    } else if head.pivot.towards(target).is_some_and(|wanted| under(head, target, wanted)) {
        Cause::UnderTheHead
    } else {
        Cause::TooSlow
    }
}

fn under(head: &Head, target: Point, wanted: Direction) -> bool {
    let d = head.world_from_fixture.inverse().apply(wanted);
    head.pivot.distance(target).get() * libm::hypot(d.x(), d.y()) < UNDER && d.z() < 0.0
}
