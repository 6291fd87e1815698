//! The place: floor, walls, audience areas, marks, hanging places.

use lanthorn_physics::Point;
use lanthorn_physics::units::{Metres, Radians};

use crate::HangingPlace;

/// A room. The floor is a rectangle in the world frame at z = 0; platforms stand on it.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its name ("village hall").
    pub name: String,
    /// Left and right wall, x.
    pub x: [Metres; 2],
    /// Audience end and far end, y (the far end has the larger y).
    pub y: [Metres; 2],
    /// Ceiling height.
    pub height: Metres,
    /// Raised floors, such as a stage.
    pub platforms: Vec<Area>,
    /// Where people stand or sit: eyes and heads to protect.
    pub audience: Vec<Area>,
    /// Things that stand there, for the picture and the plan.
    pub furniture: Vec<Furniture>,
    /// Named points to aim at.
    pub marks: Vec<Mark>,
    /// What lights are fixed to.
    pub places: Vec<HangingPlace>,
}

/// A rectangle, parallel to the walls.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Its name ("stage").
    pub name: String,
    /// Left and right.
    pub x: [Metres; 2],
    /// Near and far.
    pub y: [Metres; 2],
    /// Height of its floor above the hall floor.
    pub height: Metres,
}

/// A named point to aim at.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its name, unique in the room ("cake").
    pub name: String,
    /// Where.
    pub at: Point,
}

/// A thing that stands in the room.
#[derive(Clone, Debug, PartialEq)]
pub struct Furniture {
    /// Its name.
    pub name: String,
    /// What it looks like.
    pub kind: FurnitureKind,
    /// Middle of its foot.
    pub at: Point,
    /// Size along x, y, z before turning; round things take x as their diameter.
    pub size: [Metres; 3],
    /// Turn about the vertical.
    pub turn: Radians,
}

/// What a thing looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "plain words")]
pub enum FurnitureKind {
    Table,
    RoundTable,
    Cake,
    Person,
}

impl Room {
    /// The mark of that name.
    pub fn mark(&self, name: &str) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.name == name)
    }

    /// Height of what one stands on there: the floor, or the highest platform that is not above the point.
    pub fn floor_under(&self, point: Point) -> Metres {
        const SPARE: f64 = 1e-9;
        let within =
            |value: f64, ends: [Metres; 2]| value >= ends[0].get() - SPARE && value <= ends[1].get() + SPARE;
        let under = self.platforms.iter().filter(|area| {
            within(point.x(), area.x) && within(point.y(), area.y) && area.height.get() <= point.z() + SPARE
        });
        under.map(|area| area.height).fold(Metres::ZERO, Metres::max)
    }

    /// The hanging place of that name.
    pub fn place(&self, name: &str) -> Option<&HangingPlace> {
        self.places.iter().find(|place| place.name == name)
    }
}
