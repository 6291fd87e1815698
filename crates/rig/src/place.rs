//! What a light is fixed to.

use lanthorn_physics::Point;
use lanthorn_physics::units::{Kilograms, Metres, Radians};
use serde::Serialize;

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
