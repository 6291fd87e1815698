//! Points of one room in another: by proportion of the floor, about the stage front.

use lanthorn_physics::Point;
use lanthorn_physics::units::Metres;
use lanthorn_rig::{Area, Room};

/// Nearer than this to the ceiling, a point is on it.
const ON_CEILING_M: f64 = 0.1;

/// Nearer than this to a mark, a point is that mark.
const ON_MARK_M: f64 = 1e-3;

/// Carried points are given to the centimetre.
const GRAIN_M: f64 = 0.01;

/// Where a point of one room is in another. Left stays left and the audience's side of the stage front stays the
/// audience's: each side of the origin is stretched by itself. Its height over the floor or platform below it is kept,
/// but nothing goes through the ceiling, and what is on one ceiling is on the other.
pub(super) fn carried(at: Point, home: &Room, there: &Room) -> Point {
    let x = stretched(at.x(), home.x.map(Metres::get), there.x.map(Metres::get));
    let y = stretched(at.y(), home.y.map(Metres::get), there.y.map(Metres::get));
    let ceiling = there.height.get();
    let z = if (at.z() - home.height.get()).abs() < ON_CEILING_M {
        ceiling
    } else {
        (at.z() - floor(at, home) + floor(Point::new(x, y, ceiling), there)).clamp(0.0, ceiling.max(0.0))
    };
    let grained = |metres: f64| (metres / GRAIN_M).round() * GRAIN_M;
    // The nearest number of two decimals, so that it reads well.
    let tidy = |metres: f64| format!("{:.2}", grained(metres)).parse().unwrap_or(metres);
    Point::new(tidy(x), tidy(y), tidy(z))
}

/// The mark that a point is on.
pub(super) fn mark_at(at: Point, room: &Room) -> Option<&str> {
    room.marks.iter().find(|mark| mark.at.distance(at).get() < ON_MARK_M).map(|mark| mark.name.as_str())
}

/// One coordinate, from wall to wall; zero stays zero where both rooms have it inside.
fn stretched(value: f64, home: [f64; 2], there: [f64; 2]) -> f64 {
    let inside = |[low, high]: [f64; 2]| low < 0.0 && high > 0.0;
    let stretched = if inside(home) && inside(there) {
        if value < 0.0 { value * (there[0] / home[0]) } else { value * (there[1] / home[1]) }
    } else {
        let part = (value - home[0]) / (home[1] - home[0]);
        if part.is_finite() { there[0] + part * (there[1] - there[0]) } else { there[0] }
    };
    stretched.max(there[0]).min(there[1].max(there[0]))
}

/// Height of the highest platform under a point; the hall's floor is at zero.
fn floor(at: Point, room: &Room) -> f64 {
    let under = |area: &&Area| {
        let within = |value: f64, [low, high]: [Metres; 2]| (low.get()..=high.get()).contains(&value);
        within(at.x(), area.x) && within(at.y(), area.y) && area.height.get() <= at.z() + 0.05
    };
    room.platforms.iter().filter(under).map(|area| area.height.get()).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room(x: [f64; 2], y: [f64; 2], height: f64, stage: Option<f64>) -> Room {
        let stage = stage.map(|height| Area {
            name: "stage".to_owned(),
            x: x.map(Metres::new),
            y: [1.0, y[1]].map(Metres::new),
            height: Metres::new(height),
        });
        Room {
            name: "room".to_owned(),
            x: x.map(Metres::new),
            y: y.map(Metres::new),
            height: Metres::new(height),
            platforms: stage.into_iter().collect(),
            audience: Vec::new(),
            furniture: Vec::new(),
            marks: Vec::new(),
            places: Vec::new(),
        }
    }

    #[test]
    fn sides_stay_and_heights_are_over_the_floor() {
        let hall = room([-6.0, 6.0], [-10.0, 4.0], 4.0, Some(0.6));
        let gym = room([-12.0, 9.0], [-5.0, 8.0], 7.0, None);
        for (at, wanted) in [
            ([-3.0, -5.0, 0.0], [-6.0, -2.5, 0.0]),
            ([3.0, -5.0, 1.7], [4.5, -2.5, 1.7]),
            ([0.0, 0.0, 0.0], [0.0, 0.0, 0.0]),
            ([0.0, 2.0, 2.2], [0.0, 4.0, 1.6]), // a face on the stage is a face on the floor
            ([-6.0, 4.0, 2.0], [-12.0, 8.0, 1.4]), // a wall is a wall
            ([1.0, -2.0, 4.0], [1.5, -1.0, 7.0]), // a ceiling is a ceiling
            ([20.0, -30.0, 3.0], [9.0, -5.0, 3.0]), // no farther than the walls
        ] {
            let carried = carried(Point::from(at), &hall, &gym);
            assert!(carried.distance(Point::from(wanted)).get() < 1e-9, "{at:?}: {carried:?}");
        }
        let low = room([-6.0, 6.0], [-10.0, 4.0], 2.5, None);
        assert!((carried(Point::new(0.0, -1.0, 3.2), &hall, &low).z() - 2.5).abs() < 1e-9);
    }

    #[test]
    fn rooms_without_their_origin_inside_are_stretched_from_wall_to_wall() {
        let hall = room([-6.0, 6.0], [-10.0, 4.0], 4.0, None);
        let aside = room([2.0, 8.0], [1.0, 5.0], 4.0, None);
        let carried = carried(Point::new(0.0, -3.0, 0.0), &hall, &aside);
        assert!(carried.distance(Point::new(5.0, 3.0, 0.0)).get() < 1e-9, "{carried:?}");
    }
}
