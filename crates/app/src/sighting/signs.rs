//! The sign check: an axis is moved a little, a person says which way the spot went, and that tells which way pan runs
//! and whether the light hangs the other way round.

use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Rotation};
use lanthorn_rig::aim::Head;
use lanthorn_rig::sight::{AxisFit, Pose};
use lanthorn_rig::{Found, Rig, Unit};

use super::axes::{self, Axes, Values};
use super::nudge::{self, TRIED};
use super::{Doing, Edit, Finding, Seen, Session};
use crate::wire::AxisName;
use crate::words::capital;

/// Pan is watched near its middle or half a turn from it: a quarter of a turn away the spot of a light that runs
/// backwards would be on the other side and go the same way.
const NEAR_THE_MIDDLE: Radians = Radians::from_deg(40.0);
/// Tilt at which a spot is well seen to move, when it has to be brought somewhere first.
const WATCHED_TILT: Radians = Radians::from_deg(35.0);
/// Tilts at which pan moves the spot enough to be seen.
const SEEN_TILTS: [f64; 2] = [20.0, 75.0];
/// How much likelier one answer must be than the other: cosines, so that 2 is the most for one watch.
const CLEAR: f64 = 0.5;
/// A light is rarely hung the other way round.
const TURNED: f64 = 0.2;
/// Until something is solved, the light is turned in mind so that its beam goes through the last sight, but by no more
/// than this: beyond, something else is wrong.
const TURN_IN_MIND: Radians = Radians::from_deg(25.0);

/// What was watched of one light.
#[derive(Clone, Debug, Default)]
pub(super) struct Signs {
    /// The last watch of each axis.
    watched: [Option<Watch>; 2],
    /// It hangs turned by half a turn about its pan axis against the plan.
    turned: bool,
}

/// From these values to those the spot went that way.
#[derive(Clone, Copy, Debug)]
struct Watch {
    from: Values,
    to: Values,
    towards: Direction,
}

/// What may be the case.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Case {
    backwards: bool,
    turned: bool,
}

/// The head as it is believed to hang.
pub(super) fn believed(rig: &Rig, unit: &Unit, signs: &Signs) -> Option<Head> {
    if unit.found.pose.is_some() {
        return Head::new(rig, unit);
    }
    let backwards = unit.found.pan_backwards.unwrap_or(unit.pan_invert);
    let plain = case(rig, unit, Case { backwards, turned: signs.turned })?;
    let head = through_last_sight(rig, unit, &plain);
    Some(head.unwrap_or(plain))
}

/// The head as the plan has it, but for how pan runs and which way round it hangs.
fn case(rig: &Rig, unit: &Unit, case: Case) -> Option<Head> {
    posed(rig, unit, planned(rig, unit, case))
}

/// Turned by half a turn about its pan axis is the same as tilt the other way.
fn planned(rig: &Rig, unit: &Unit, case: Case) -> Pose {
    Pose {
        pivot: rig.pivot(unit),
        world_from_fixture: unit.world_from_fixture(),
        pan: AxisFit::stated(case.backwards),
        tilt: AxisFit::stated(unit.tilt_invert != case.turned),
    }
}

fn posed(rig: &Rig, unit: &Unit, pose: Pose) -> Option<Head> {
    let found = Found { sights: Vec::new(), pose: Some(pose), ..unit.found.clone() };
    Head::new(rig, &Unit { found, ..unit.clone() })
}

/// The head turned in mind so that its beam goes through what was sighted last.
fn through_last_sight(rig: &Rig, unit: &Unit, head: &Head) -> Option<Head> {
    let sight = unit.found.sights.last()?;
    let axes = Axes::new(unit).ok()?;
    let shines = nudge::beam(head, &axes, [sight.pan, sight.tilt]);
    let there = head.pivot.towards(sight.at)?;
    if shines.angle_to(there) > TURN_IN_MIND {
        return None;
    }
    let turn = Rotation::between(shines, there);
    let mut pose = head.pose();
    pose.world_from_fixture = pose.world_from_fixture.then(turn);
    posed(rig, unit, pose)
}

impl Session {
    /// Moves an axis a little, once the light is where that can be watched.
    pub(super) fn try_sign(&mut self, axis: AxisName, seen: &Seen) -> Option<String> {
        let from = self.values()?;
        let light = self.light.as_ref()?;
        let prepared = light.doing == Doing::Preparing(axis);
        let good = self.watchable(axis, from);
        let axes = light.axes.clone();
        if let Some(values) = good.filter(|_| !prepared) {
            self.light.as_mut()?.doing = Doing::Preparing(axis);
            self.hold(values, seen.now);
            let name = axes::name(axis);
            return Some(format!(
                "It goes to where {name} is well seen to move first. Wait: then it moves a little. Keep eyes out of the beam."
            ));
        }
        let by = axes.span(axis, TRIED);
        let place = axes::index(axis);
        let mut to = from;
        to[place] = from[place].checked_add(by).unwrap_or_else(|| from[place].saturating_sub(by));
        let to = axes.snapped(to);
        self.hold(to, seen.now);
        let light = self.light.as_mut()?;
        light.doing = Doing::Watching(axis, from, to);
        light.says = format!("{} moves by about 8°: watch the spot.", capital(axes::name(axis)));
        None
    }

    /// Where the light must go first so that an axis can be watched; none when it is good where it is.
    fn watchable(&self, axis: AxisName, values: Values) -> Option<Values> {
        let light = self.light.as_ref()?;
        let unit = self.unit()?;
        let head = case(&self.rig, unit, Case { backwards: false, turned: false })?;
        let (pan, tilt) = light.axes.sent(values);
        let (pan, tilt) = head.from_sent(pan, tilt);
        let half_turns = (pan / Radians::HALF).round();
        let off = (pan - Radians::HALF * half_turns).abs();
        let tilt_seen = (SEEN_TILTS[0]..=SEEN_TILTS[1]).contains(&tilt.abs().deg());
        if off <= NEAR_THE_MIDDLE && (tilt_seen || axis == AxisName::Tilt) {
            return None;
        }
        let tilt = if tilt_seen { tilt } else { WATCHED_TILT * if tilt.get() < 0.0 { -1.0 } else { 1.0 } };
        let pan = if off <= NEAR_THE_MIDDLE { pan } else { Radians::ZERO };
        let (pan, tilt) = head.sent(pan, tilt);
        Some(light.axes.snapped(light.axes.values(pan, tilt)))
    }

    /// A person has seen which way the spot went; the outer none: it could not be seen, the inner: no direction.
    pub(super) fn sign_went(
        &mut self,
        axis: AxisName,
        towards: Option<Option<Direction>>,
        seen: &Seen,
    ) -> Option<String> {
        let light = self.light.as_mut()?;
        let Doing::Watching(moved, from, to) = light.doing else {
            return Some("Nothing is being watched: try an axis first.".to_owned());
        };
        if moved != axis {
            return Some(format!("It was {} that moved.", axes::name(moved)));
        }
        let Some(towards) = towards else {
            light.doing = Doing::Nothing;
            self.hold(from, seen.now);
            return Some(
                "That one does not count. Aim it where the spot is well seen, and try again.".to_owned(),
            );
        };
        let towards = towards?;
        light.doing = Doing::Nothing;
        let unit = light.unit;
        self.hold(from, seen.now);
        self.signs[unit].watched[axes::index(axis)] = Some(Watch { from, to, towards });
        let Some(found) = self.verdict(unit) else {
            self.signs[unit].watched[axes::index(axis)] = None;
            return Some("That fits neither way well. Aim it at another mark, and try again.".to_owned());
        };
        self.signs[unit].turned = found.turned;
        Some(self.told(unit, axis, found))
    }

    /// The case that fits what was watched; none when two fit about as well.
    fn verdict(&self, unit: usize) -> Option<Case> {
        let (rig, signs, unit) = (&self.rig, &self.signs[unit], &self.rig.units[unit]);
        let axes = Axes::new(unit).ok()?;
        let watched: Vec<Watch> = signs.watched.iter().flatten().copied().collect();
        let pan_watched = signs.watched[0].is_some();
        let tilt_watched = signs.watched[1].is_some();
        let score = |backwards: bool, turned: bool| {
            let head = case(rig, unit, Case { backwards, turned })?;
            let fits = watched.iter().map(|watch| {
                nudge::way(&head, &axes, &rig.room, watch.from, watch.to)
                    .map_or(0.0, |way| way.dot(watch.towards))
            });
            Some(fits.sum::<f64>() - if turned { TURNED } else { 0.0 })
        };
        let mut best: Option<(f64, Case)> = None;
        let mut rival = f64::NEG_INFINITY;
        let known = unit.found.pan_backwards.unwrap_or(unit.pan_invert);
        for backwards in [false, true] {
            if !pan_watched && backwards != known {
                continue;
            }
            // Which way round it hangs is seen by tilt alone.
            let round = [score(backwards, false)?, score(backwards, true)?];
            let turned = if tilt_watched { round[1] > round[0] } else { signs.turned };
            let here = round[usize::from(turned)];
            if best.is_none_or(|(score, _)| here > score) {
                rival = best.map_or(rival, |(score, _)| score);
                best = Some((here, Case { backwards, turned }));
            } else {
                rival = rival.max(here);
            }
        }
        // Without a watch of pan nothing is said of pan, and only which way round counts.
        best.filter(|(score, _)| score - rival > CLEAR && *score > 0.0).map(|(_, case)| case)
    }

    /// Keeps what was found, and says it.
    fn told(&mut self, unit: usize, axis: AxisName, found: Case) -> String {
        let number = self.rig.units[unit].number;
        let planned = self.rig.units[unit].pan_invert;
        let pan_watched = self.signs[unit].watched[0].is_some();
        let mut says = Vec::new();
        if pan_watched {
            says.push(if found.backwards == planned {
                "Pan runs as the plan says."
            } else {
                "Pan runs backwards: nudges and aims reckon with it from now on."
            });
        }
        if found.turned {
            says.push("Tilt goes the other way: the light hangs turned by half a turn against the plan. Nudges reckon with it; the sights will find it.");
        } else if axis == AxisName::Tilt {
            says.push("Tilt goes as the plan says.");
        }
        let says = says.join(" ");
        if !pan_watched || self.rig.units[unit].found.pan_backwards == Some(found.backwards) {
            return says;
        }
        self.rig.units[unit].found.pan_backwards = Some(found.backwards);
        self.renew(unit);
        self.kept(says, [Edit::Found(number, Finding::PanBackwards(Some(found.backwards)))])
    }
}
