//! What a light is fixed to.

use lanthorn_physics::Point;
use lanthorn_physics::units::{Kilograms, Metres, Radians};
use serde::Serialize;

use crate::sums::bar::Tube;

/// A bar, truss, stand or a stretch of floor.
#[derive(Clone, Debug, PartialEq)]
pub struct HangingPlace {
    /// Its name, unique in the room ("front bar").
    pub name: String,
    /// What it is.
    pub kind: PlaceKind,
    /// Its middle: of the bar, of the stand's crossbar, of the stretch of floor.
    pub middle: Point,
    /// How long it is, end to end; zero for a stand that carries one light on its top.
    pub length: Metres,
    /// Turn about the vertical: zero lies along X (left to right), a quarter along Y.
    pub turn: Radians,
    /// The load that its owner or maker has written down for it; none: not known.
    pub rated: Option<Kilograms>,
    /// Its own weight, where that counts against the rating.
    pub own_weight: Option<Kilograms>,
    /// What holds it up, as far as that is known.
    pub held: Held,
}

/// What holds a hanging place up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    /// The two points that a bar hangs on, from its middle, left first.
    pub points: Option<[Metres; 2]>,
    /// What is written on each of these points.
    pub point_rated: Option<Kilograms>,
    /// The tube that a bar is made of.
    pub tube: Option<&'static Tube>,
    /// The legs of a stand.
    pub legs: Option<Legs>,
    /// It stands outdoors, in the wind.
    pub outdoors: bool,
}

/// The legs of a stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Legs {
    /// How many, 3 or 4 as a rule.
    pub count: u8,
    /// From the mast to the end of a leg, on the floor.
    pub radius: Metres,
    /// Weight laid on its foot.
    pub ballast: Kilograms,
}

/// What it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "words of the trade")]
pub enum PlaceKind {
    Bar,
    Truss,
    Stand,
    Floor,
}

impl HangingPlace {
    /// The point at `offset` from the middle, counted towards the right-hand end (larger x before turning).
    pub fn at(&self, offset: Metres) -> Point {
        let (sin, cos) = libm::sincos(self.turn.get());
        self.middle.moved(offset.get() * cos, offset.get() * sin, 0.0)
    }
}
