//! Moving a spot a little, and which way a move leads: by where the light is believed to hang.

use lanthorn_physics::beam::hits_box;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::Room;
use lanthorn_rig::aim::Head;

use super::axes::{Axes, Values};
use crate::wire::NudgeStep;

/// How far a coarse and a fine nudge move the spot.
const COARSE: f64 = 0.25;
const FINE: f64 = 0.03;

/// A creep whose spot goes further astray than this is none: cosine of the angle to the wanted way.
const ASTRAY: f64 = 0.3;

impl NudgeStep {
    /// Metres; none for single steps.
    const fn distance(self) -> Option<f64> {
        match self {
            Self::Coarse => Some(COARSE),
            Self::Fine => Some(FINE),
            Self::Creep => None,
        }
    }
}

/// Where a light that is sent such values is believed to shine.
pub(super) fn beam(head: &Head, axes: &Axes, values: Values) -> Direction {
    let (pan, tilt) = axes.sent(values);
    let (pan, tilt) = head.from_sent(pan, tilt);
    head.direction(pan, tilt)
}

/// The values that move the spot of a light along `towards`. `mark` is what it is on or near; without one, the
/// room's walls stand in for what it lands on. None when it is at the end of its travel that way.
pub(super) fn nudged(
    head: &Head,
    axes: &Axes,
    room: &Room,
    mark: Option<Point>,
    from: Values,
    (towards, step): (Direction, NudgeStep),
) -> Option<Values> {
    let along = beam(head, axes, from);
    let distance = match mark {
        Some(mark) => head.pivot.distance(mark),
        None => landing(room, head.pivot, along).map_or(Metres::new(5.0), |at| head.pivot.distance(at)),
    };
    let moved = step.distance().and_then(|by| {
        let spot = head.pivot.along(along, distance).along(towards, Metres::new(by));
        let (pan, tilt) = axes.sent(from);
        let current = head.from_sent(pan, tilt);
        let best = head.solve(spot, current).best()?;
        let (pan, tilt) = head.sent(best.pan, best.tilt);
        let values = axes.snapped(axes.values(pan, tilt));
        (values != from).then_some(values)
    });
    moved.or_else(|| crept(head, axes, from, towards))
}

/// One step of the axis, or of both, that moves the spot most nearly that way. A step that moves it by much less than
/// another would (pan, straight below the light) is taken only where no other leads there.
fn crept(head: &Head, axes: &Axes, from: Values, towards: Direction) -> Option<Values> {
    let along = beam(head, axes, from);
    let wanted = across(towards, along)?;
    let mut steps = Vec::new();
    for pan in -1..=1 {
        for tilt in -1..=1 {
            let Some(values) = axes.stepped(from, [pan, tilt]).filter(|values| *values != from) else {
                continue;
            };
            let there = beam(head, axes, values);
            if let Some(way) = difference(along, there) {
                steps.push((way.dot(wanted), along.angle_to(there), values));
            }
        }
    }
    let widest = steps.iter().map(|step| step.1).fold(Radians::ZERO, Radians::max);
    let nearest = |least: Radians| {
        let fit = steps.iter().filter(|step| step.1 >= least && step.0 > ASTRAY);
        fit.max_by(|a, b| a.0.total_cmp(&b.0)).map(|step| step.2)
    };
    nearest(widest / 5.0).or_else(|| nearest(Radians::ZERO))
}

/// Which way a spot moves along the surface that it lands on when the light that is sent `from` is sent `to`.
pub(super) fn way(head: &Head, axes: &Axes, room: &Room, from: Values, to: Values) -> Option<Direction> {
    let beams = [from, to].map(|values| beam(head, axes, values));
    match beams.map(|along| landing_on(room, head.pivot, along)) {
        [Some((before, side)), Some((after, other))] if side == other => before.towards(after),
        _ => difference(beams[0], beams[1]),
    }
}

/// Where a beam lands in the empty room.
fn landing(room: &Room, from: Point, along: Direction) -> Option<Point> {
    landing_on(room, from, along).map(|(at, _)| at)
}

fn landing_on(room: &Room, from: Point, along: Direction) -> Option<(Point, lanthorn_physics::beam::Face)> {
    let metres = |pair: [Metres; 2]| pair.map(Metres::get);
    let hit = hits_box(from, along, metres(room.x), metres(room.y), [0.0, room.height.get()]);
    hit.map(|(at, _, side)| (at, side))
}

fn difference(from: Direction, to: Direction) -> Option<Direction> {
    // Longer than the least that counts as a direction, however small the step.
    const LONG: f64 = 1e6;
    Direction::new((to.x() - from.x()) * LONG, (to.y() - from.y()) * LONG, (to.z() - from.z()) * LONG)
}

/// The part of a direction that lies across a beam; none along it.
fn across(direction: Direction, beam: Direction) -> Option<Direction> {
    let along = direction.dot(beam);
    Direction::new(
        direction.x() - along * beam.x(),
        direction.y() - along * beam.y(),
        direction.z() - along * beam.z(),
    )
}

/// The angle of the step by which the sign check moves an axis.
pub(super) const TRIED: Radians = Radians::from_deg(8.0);
