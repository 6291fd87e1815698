//! Points of a room by the marks that they are near.

use lanthorn_physics::Point;
use lanthorn_rig::{Mark, Room};

/// Nearer than this a point is the mark.
const ON_MARK_M: f64 = 0.15;

/// Marks farther off than this do not help to find a point.
const NEAR_MARK_M: f64 = 5.0;

/// Smaller differences are not worth a word.
const WORTH_SAYING_M: f64 = 0.05;

/// "the cake", "1.3 m right and 0.9 m back from the dance floor". Right and left as seen from the audience; back is away
/// from it.
pub(super) fn tell(at: Point, room: &Room) -> String {
    let nearest = nearest_mark(at, room).filter(|mark| mark.at.distance(at).get() < NEAR_MARK_M);
    match nearest {
        Some(mark) if is_on(mark, at) => format!("the {}", mark.name),
        Some(mark) => legs(mark.at, at, &format!("the {}", mark.name)),
        None => legs(Point::ORIGIN, at, "the middle of the stage front"),
    }
}

/// Whether a point counts as the mark it is nearest to.
pub(super) fn is_on_mark(at: Point, room: &Room) -> bool {
    nearest_mark(at, room).is_some_and(|mark| is_on(mark, at))
}

fn is_on(mark: &Mark, at: Point) -> bool {
    mark.at.distance(at).get() < ON_MARK_M
}

fn nearest_mark(at: Point, room: &Room) -> Option<&Mark> {
    room.marks.iter().min_by(|a, b| a.at.distance(at).get().total_cmp(&b.at.distance(at).get()))
}

fn legs(from: Point, to: Point, name: &str) -> String {
    let legs: Vec<String> = [
        (to.x() - from.x(), "right", "left"),
        (to.y() - from.y(), "back", "forward"),
        (to.z() - from.z(), "up", "down"),
    ]
    .into_iter()
    .filter(|(metres, ..)| metres.abs() >= WORTH_SAYING_M)
    .map(|(metres, more, less)| format!("{:.1} m {}", metres.abs(), if metres > 0.0 { more } else { less }))
    .collect();
    let legs: Vec<&str> = legs.iter().map(String::as_str).collect();
    if legs.is_empty() { name.to_owned() } else { format!("{} from {name}", super::list(&legs)) }
}
