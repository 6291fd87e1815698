//! The room of the show: what stands in it, and where lights can hang.

use serde::Serialize;

use super::FieldView;

/// The room: floor from `x[0]` to `x[1]` and `y[0]` to `y[1]`, walls up to `height`.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct RoomView {
    /// Its name.
    pub name: String,
    /// Left and right wall.
    pub x: [f64; 2],
    /// Audience end and far end (the far end has the larger y).
    pub y: [f64; 2],
    /// Ceiling height.
    pub height: f64,
    /// Raised floors (stage).
    pub platforms: Vec<AreaView>,
    /// Where people stand or sit.
    pub audience: Vec<AreaView>,
    /// Tables and the like, for the picture alone.
    pub furniture: Vec<FurnitureView>,
    /// Points to aim at.
    pub marks: Vec<MarkView>,
    /// Bars, trusses, stands.
    pub places: Vec<PlaceView>,
}

/// A rectangle on the floor, `height` above it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct AreaView {
    /// Its name.
    pub name: String,
    /// Left and right.
    pub x: [f64; 2],
    /// Near and far.
    pub y: [f64; 2],
    /// Top above the hall floor; for audience areas, of the floor they stand on.
    pub height: f64,
}

/// A thing that stands in the room.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FurnitureView {
    /// Its name.
    pub name: String,
    /// `table` (long), `round_table`, `cake`, `person`.
    pub kind: String,
    /// Middle of its foot.
    pub at: [f64; 3],
    /// Size along x, y and z before turning; for round things x is the diameter.
    pub size: [f64; 3],
    /// Turn about the vertical, radians.
    pub turn: f64,
}

/// A mark.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct MarkView {
    /// Its name.
    pub name: String,
    /// Where.
    pub at: [f64; 3],
}

/// A hanging place.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PlaceView {
    /// Its name.
    pub name: String,
    /// `bar`, `truss`, `stand`, `floor`.
    pub kind: String,
    /// One end.
    pub from: [f64; 3],
    /// The other end (the same as `from` for a stand without a crossbar).
    pub to: [f64; 3],
    /// Load as a sentence: "41.2 of 80 kg", "limit not known".
    pub load: String,
    /// From end to end, metres; 0 for a stand without a crossbar.
    pub length: f64,
    /// What the show says of it.
    pub fields: Vec<FieldView>,
}
