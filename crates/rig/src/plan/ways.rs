//! The way a cable takes: along the place, down at its end, along wall and floor, and up again.

use lanthorn_physics::Point;

use super::position;
use crate::{HangingPlace, PlaceKind, Rig, Unit};

/// Nearer to each other than this is the same height.
const LEVEL_M: f64 = 0.05;

/// One end of a cable.
#[derive(Clone, Copy)]
pub(crate) struct End<'r> {
    at: Point,
    /// The place that it runs along, and how far from its middle.
    on: Option<(usize, &'r HangingPlace, f64)>,
}

impl<'r> End<'r> {
    /// At a light; none where that can not be known.
    pub(crate) fn of_unit(rig: &'r Rig, unit: &Unit) -> Option<Self> {
        let at = position(rig, unit)?;
        let place = rig.room.places.get(unit.place)?;
        Some(Self { at, on: Some((unit.place, place, unit.offset.get())) })
    }

    /// At a point in the room: the controller, a socket.
    pub(crate) const fn of_point(at: Point) -> Self {
        Self { at, on: None }
    }

    /// Where the cable leaves the place, and how far along it that is.
    fn leaves(&self) -> Vec<(Point, f64)> {
        let Some((_, place, offset)) = self.on else { return vec![(self.at, 0.0)] };
        let half = place.length.get() / 2.0;
        let end = |at: f64| (place.at(lanthorn_physics::units::Metres::new(at)), (at - offset).abs());
        match place.kind {
            PlaceKind::Bar | PlaceKind::Truss if half > 0.0 => vec![end(-half), end(half)],
            // Down the mast.
            PlaceKind::Stand if half > 0.0 => vec![end(0.0)],
            PlaceKind::Bar | PlaceKind::Truss | PlaceKind::Stand | PlaceKind::Floor => vec![(self.at, 0.0)],
        }
    }
}

/// Metres from end to end, without slack. On one place: along it. Otherwise out to the better end, down to the floor, along
/// the floor parallel to the walls, and up again.
pub(crate) fn way_m(rig: &Rig, from: &End<'_>, to: &End<'_>) -> Option<f64> {
    if let (Some((a, _, at)), Some((b, _, other))) = (from.on, to.on)
        && a == b
    {
        return Some((at - other).abs());
    }
    let floor = |point: Point| rig.room.floor_under(point).get();
    let joined = |(a, along_a): &(Point, f64), (b, along_b): &(Point, f64)| {
        let level = floor(*a).min(floor(*b));
        let up =
            |point: &Point| if (point.z() - level).abs() < LEVEL_M { 0.0 } else { (point.z() - level).abs() };
        along_a + along_b + up(a) + up(b) + (a.x() - b.x()).abs() + (a.y() - b.y()).abs()
    };
    let leaves = to.leaves();
    let all =
        from.leaves().into_iter().flat_map(|a| leaves.iter().map(move |b| joined(&a, b)).collect::<Vec<_>>());
    all.min_by(f64::total_cmp).filter(|metres| metres.is_finite() && *metres < 1e6)
}

/// From a light to a light.
pub(crate) fn between(rig: &Rig, from: &Unit, to: &Unit) -> Option<f64> {
    way_m(rig, &End::of_unit(rig, from)?, &End::of_unit(rig, to)?)
}

/// From a point to a light.
pub(crate) fn from_point(rig: &Rig, from: Point, to: &Unit) -> Option<f64> {
    way_m(rig, &End::of_point(from), &End::of_unit(rig, to)?)
}

/// How the length of a cable is reached.
pub(crate) fn reckoning(of: &'static str, way_m: f64) -> crate::Reckoning {
    use crate::sums::stock::{AT_BOTH_ENDS_M, SLACK};
    crate::Reckoning::new(
        of,
        "(along the place + down + along the floor parallel to the walls + up) x 1.1 + 1 m, then the next longer cable",
        "geometry of the show file; slack is common practice, no source",
    )
    .with("way", way_m, "m", "show file")
    .with("slack", SLACK, "", "assumed")
    .with("for both ends", AT_BOTH_ENDS_M, "m", "assumed")
}
