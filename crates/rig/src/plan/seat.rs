//! How loud the fans are at the nearest seat.

use serde::Serialize;

use super::units::UnitPlan;
use super::{position, straight_m};
use crate::reckoning::origin_word;
use crate::sums::noise::{EAR_M, NEAREST_M, SOURCE, at_distance, sum};
use crate::{Area, Reckoning, Rig};
use lanthorn_physics::Point;

/// The loudest seat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SeatPlan {
    /// The audience area.
    pub area: String,
    /// Where the ears are, metres in the world frame.
    pub at: [f64; 3],
    /// All known fans together.
    pub level_dba: f64,
    /// The light that is heard most.
    pub loudest: u32,
    /// How it was reached.
    pub how: Reckoning,
}

/// Points that are listened at in each area, at most.
const MOST_SEATS: usize = 100;

/// The point of the audience areas nearest to a fan, for every fan; of these the one where all together are loudest.
pub(crate) fn loudest(rig: &Rig, units: &[UnitPlan]) -> Option<SeatPlan> {
    let mut fans: Vec<(u32, f64, Point)> = units
        .iter()
        .filter_map(|plan| {
            let unit = rig.unit(plan.number)?;
            Some((plan.number, plan.noise_dba?, position(rig, unit)?))
        })
        .collect();
    // The loudest ones say where to listen.
    fans.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let heard = |seat: Point| {
        let each: Vec<(u32, f64)> = fans
            .iter()
            .filter_map(|(number, level, at)| Some((*number, at_distance(*level, straight_m(*at, seat)?))))
            .collect();
        let level = sum(each.iter().map(|(_, level)| *level))?;
        let loudest = each.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
        Some((level, loudest))
    };
    let seats = rig
        .room
        .audience
        .iter()
        .flat_map(|area| fans.iter().take(MOST_SEATS).map(move |fan| (area, nearest(area, fan.2))));
    let best = seats
        .filter_map(|(area, seat)| heard(seat).map(|(level, loudest)| (area, seat, level, loudest)))
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    let (area, seat, level_dba, loudest) = best;
    let mut how = Reckoning::new(
        "level_dba",
        "10 log10 of the sum of 10^(L/10), each L = level at 1 m - 20 log10(distance)",
        SOURCE,
    )
    .with("ears above the floor", EAR_M, "m", "assumed")
    .with("no nearer than", NEAREST_M, "m", "assumed");
    fans.sort_by_key(|fan| fan.0);
    for (number, level, at) in &fans {
        let origin = rig.unit(*number).map_or("unknown", |unit| origin_word(unit.profile.noise.origin()));
        how = how.with(format!("light {number}"), *level, "dBA", origin);
        how = how.maybe(format!("distance of light {number}"), straight_m(*at, seat), "m", "show file");
    }
    Some(SeatPlan { area: area.name.clone(), at: seat.into(), level_dba, loudest, how })
}

/// The point of an area at ear height that is nearest.
fn nearest(area: &Area, to: Point) -> Point {
    let inside =
        |value: f64, ends: [lanthorn_physics::units::Metres; 2]| value.max(ends[0].get()).min(ends[1].get());
    Point::new(inside(to.x(), area.x), inside(to.y(), area.y), area.height.get() + EAR_M)
}
