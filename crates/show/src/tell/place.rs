//! Points of a room in words: the mark that they are on, or else the surface that they are on and a mark nearby.

use lanthorn_physics::Point;
use lanthorn_rig::{Mark, Room};

/// Not farther than this a point is the mark.
const ON_MARK_M: f64 = 0.15;

/// Marks farther off than this do not help to find a point.
const NEAR_MARK_M: f64 = 2.5;

/// A point this near to a floor, wall or ceiling is on it.
const ON_SURFACE_M: f64 = 0.1;

/// Smaller differences are not worth a word.
const WORTH_SAYING_M: f64 = 0.05;

/// Who is told to find a point finds it by two lengths; a third only confuses.
const MOST_LEGS: usize = 2;

/// "the cake", "the floor, 1.3 m right of the dance floor", "the back wall". Right and left as seen from the audience;
/// behind is away from it.
pub(super) fn tell(at: Point, room: &Room) -> String {
    let surface = Surface::at(at, room);
    match nearest_mark(at, room) {
        Some((mark, off)) if off <= ON_MARK_M => format!("the {}", mark.name),
        Some((mark, off)) if off <= NEAR_MARK_M => {
            format!("the {}, {} the {}", surface.name(), legs(mark.at, at, surface), mark.name)
        }
        _ => format!("the {}", surface.name()),
    }
}

/// The same with its preposition: "on the cake", "in the air, 1.2 m above the cake".
pub(super) fn on(at: Point, room: &Room) -> String {
    let in_the_air = mark_on(at, room).is_none() && Surface::at(at, room) == Surface::Air;
    format!("{} {}", if in_the_air { "in" } else { "on" }, tell(at, room))
}

/// Where a line runs: "from the left tables to the right tables", "across the floor", "along the back wall".
pub(super) fn line(from: Point, to: Point, room: &Room) -> String {
    let surfaces = (Surface::at(from, room), Surface::at(to, room));
    let marks = (mark_on(from, room), mark_on(to, room));
    match (surfaces, marks) {
        (_, (Some(first), Some(last))) if first.name == last.name => format!("on the {}", first.name),
        ((first, last), _) if first == last && first.is_wall() => format!("along the {}", first.name()),
        (_, (Some(first), Some(last))) => format!("from the {} to the {}", first.name, last.name),
        ((Surface::Air, _), (None, _)) | ((_, Surface::Air), (_, None)) => "through the air".to_owned(),
        ((first, last), _) if first == last => format!("across the {}", first.name()),
        ((first, last), marks) => {
            let end = |surface: Surface<'_>, mark: Option<&Mark>| {
                mark.map_or_else(|| surface.name().to_owned(), |mark| mark.name.clone())
            };
            format!("from the {} to the {}", end(first, marks.0), end(last, marks.1))
        }
    }
}

/// What a point lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Surface<'r> {
    Floor,
    Platform(&'r str),
    Ceiling,
    LeftWall,
    RightWall,
    BackWall,
    /// The wall that the audience has behind it.
    FrontWall,
    Air,
}

impl<'r> Surface<'r> {
    fn at(point: Point, room: &'r Room) -> Self {
        let near = |value: f64, surface: f64| (value - surface).abs() <= ON_SURFACE_M;
        let (x, y) = (room.x.map(|x| x.get()), room.y.map(|y| y.get()));
        let platform = room.platforms.iter().find(|area| {
            let within = |value: f64, [from, to]: [f64; 2]| (from..=to).contains(&value);
            near(point.z(), area.height.get())
                && within(point.x(), area.x.map(|x| x.get()))
                && within(point.y(), area.y.map(|y| y.get()))
        });
        // Corners of wall and floor count as floor.
        match platform {
            Some(area) => Self::Platform(&area.name),
            None if near(point.z(), 0.0) => Self::Floor,
            None if near(point.z(), room.height.get()) => Self::Ceiling,
            None if near(point.y(), y[1]) => Self::BackWall,
            None if near(point.x(), x[0]) => Self::LeftWall,
            None if near(point.x(), x[1]) => Self::RightWall,
            None if near(point.y(), y[0]) => Self::FrontWall,
            None => Self::Air,
        }
    }

    fn name(self) -> &'r str {
        match self {
            Self::Floor => "floor",
            Self::Platform(name) => name,
            Self::Ceiling => "ceiling",
            Self::LeftWall => "left wall",
            Self::RightWall => "right wall",
            Self::BackWall => "back wall",
            Self::FrontWall => "wall behind the audience",
            Self::Air => "air",
        }
    }

    fn is_wall(self) -> bool {
        matches!(self, Self::LeftWall | Self::RightWall | Self::BackWall | Self::FrontWall)
    }

    /// The axis (x, y, z) along which all its points are alike, so that it needs no word.
    fn flat_axis(self) -> Option<usize> {
        match self {
            Self::LeftWall | Self::RightWall => Some(0),
            Self::BackWall | Self::FrontWall => Some(1),
            Self::Floor | Self::Platform(_) | Self::Ceiling => Some(2),
            Self::Air => None,
        }
    }
}

fn mark_on(at: Point, room: &Room) -> Option<&Mark> {
    nearest_mark(at, room).filter(|(_, off)| *off <= ON_MARK_M).map(|(mark, _)| mark)
}

/// With its distance in metres.
fn nearest_mark(at: Point, room: &Room) -> Option<(&Mark, f64)> {
    let marks = room.marks.iter().map(|mark| (mark, mark.at.distance(at).get()));
    marks.min_by(|(_, a), (_, b)| a.total_cmp(b))
}

/// "1.3 m right of", "1.3 m right and 0.9 m in front of": the longest legs along the surface, in the order right, behind,
/// above. What is straight over or under the mark is so much above or below it.
fn legs(from: Point, to: Point, surface: Surface<'_>) -> String {
    const WORDS: [[(&str, &str); 2]; 3] = [
        [("right", " of"), ("left", " of")],
        [("behind", ""), ("in front", " of")],
        [("above", ""), ("below", "")],
    ];
    let metres = [to.x() - from.x(), to.y() - from.y(), to.z() - from.z()];
    let worth = |axis: &usize| metres[*axis].abs() >= WORTH_SAYING_M;
    let mut axes: Vec<usize> =
        (0..3).filter(|axis| Some(*axis) != surface.flat_axis()).filter(worth).collect();
    if axes.is_empty() {
        axes = (0..3).filter(worth).collect();
    }
    axes.sort_by(|a, b| metres[*b].abs().total_cmp(&metres[*a].abs()));
    axes.truncate(MOST_LEGS);
    axes.sort_unstable();
    let mut words = Vec::new();
    let mut joint = "";
    for axis in axes {
        let (word, of) = WORDS[axis][usize::from(metres[axis] < 0.0)];
        words.push(format!("{:.1} m {word}", metres[axis].abs()));
        joint = of;
    }
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    format!("{}{joint}", super::list(&words))
}
