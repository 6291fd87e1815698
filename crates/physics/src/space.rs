//! Points, directions and rotations in the room.
//!
//! Frame of a light (DIN SPEC 15800): drawn hanging, seen from the front; pan axis Z, tilt axis X, beam −Z at
//! rest, origin at the base plate. With the right-hand rule a head at `pan`, `tilt` shines along
//! `d = R · Rz(pan) · Rx(tilt) · (0, 0, −1)`; the sign of both axes belongs to each unit.

use glam::{DMat3, DQuat, DVec3};
use serde::{Deserialize, Serialize};

use crate::units::{Metres, Radians};

/// A place in the room, metres in the world frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 3]", into = "[f64; 3]")]
pub struct Point(pub(crate) DVec3);

/// A unit vector. The frame is in the variable's name (`beam_in_world`, `beam_in_fixture`).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(into = "[f64; 3]")]
pub struct Direction(pub(crate) DVec3);

/// A rotation that takes one frame to another; name it `target_from_source`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rotation(pub(crate) DQuat);

impl Point {
    /// The middle of the stage front, on the floor.
    pub const ORIGIN: Self = Self(DVec3::ZERO);

    /// From metres: right, away from the audience, up.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self(DVec3::new(x, y, z))
    }

    /// To the right as seen from the audience, metres.
    pub const fn x(self) -> f64 {
        self.0.x
    }

    /// Away from the audience, metres.
    pub const fn y(self) -> f64 {
        self.0.y
    }

    /// Up, metres.
    pub const fn z(self) -> f64 {
        self.0.z
    }

    /// Straight-line distance.
    pub fn distance(self, other: Self) -> Metres {
        Metres::new(self.0.distance(other.0))
    }

    /// The direction from here to there; `None` when they are the same point (closer than a nanometre).
    pub fn towards(self, other: Self) -> Option<Direction> {
        Direction::new(other.0.x - self.0.x, other.0.y - self.0.y, other.0.z - self.0.z)
    }

    /// The point at `distance` along `direction`.
    pub fn along(self, direction: Direction, distance: Metres) -> Self {
        Self(self.0 + direction.0 * distance.get())
    }

    /// The point `part` of the way to `other`; 0 here, 1 there.
    pub fn lerp(self, other: Self, part: f64) -> Self {
        Self(self.0.lerp(other.0, part))
    }

    /// This point moved by metres along the world axes.
    pub fn moved(self, dx: f64, dy: f64, dz: f64) -> Self {
        Self(self.0 + DVec3::new(dx, dy, dz))
    }

    /// `true` when every coordinate is a finite number.
    pub fn is_finite(self) -> bool {
        self.0.is_finite()
    }
}

impl From<[f64; 3]> for Point {
    fn from([x, y, z]: [f64; 3]) -> Self {
        Self::new(x, y, z)
    }
}

impl From<Point> for [f64; 3] {
    fn from(point: Point) -> Self {
        point.0.to_array()
    }
}

impl Direction {
    /// Straight down.
    pub const DOWN: Self = Self(DVec3::NEG_Z);
    /// Straight up.
    pub const UP: Self = Self(DVec3::Z);

    /// The direction of a vector of any length; `None` when it has no direction (shorter than 1e-9, or not finite).
    pub fn new(x: f64, y: f64, z: f64) -> Option<Self> {
        let vector = DVec3::new(x, y, z);
        let length = vector.length();
        (length.is_finite() && length > 1e-9).then(|| Self(vector / length))
    }

    /// Component along X.
    pub const fn x(self) -> f64 {
        self.0.x
    }

    /// Component along Y.
    pub const fn y(self) -> f64 {
        self.0.y
    }

    /// Component along Z.
    pub const fn z(self) -> f64 {
        self.0.z
    }

    /// Cosine of the angle between two directions.
    pub fn dot(self, other: Self) -> f64 {
        self.0.dot(other.0)
    }

    /// The angle between two directions, exact for small angles too.
    pub fn angle_to(self, other: Self) -> Radians {
        Radians::new(libm::atan2(self.0.cross(other.0).length(), self.0.dot(other.0)))
    }

    /// The opposite direction.
    pub fn reversed(self) -> Self {
        Self(-self.0)
    }
}

impl From<Direction> for [f64; 3] {
    fn from(direction: Direction) -> Self {
        direction.0.to_array()
    }
}

impl Rotation {
    /// Nothing turned.
    pub const IDENTITY: Self = Self(DQuat::IDENTITY);

    /// From the rows of a matrix that takes column vectors of the source frame to the target frame. None for what is no
    /// right-handed rotation, to 1 in 1000.
    pub fn from_rows(rows: [[f64; 3]; 3]) -> Option<Self> {
        let matrix = DMat3::from_cols_array_2d(&rows).transpose();
        let off = matrix * matrix.transpose() - DMat3::IDENTITY;
        let square = off.to_cols_array().iter().all(|part| part.abs() < 1e-3);
        (square && matrix.determinant() > 0.0).then(|| Self(DQuat::from_mat3(&matrix).normalize()))
    }

    /// Right-handed turn about the X axis.
    pub fn about_x(angle: Radians) -> Self {
        let (sin, cos) = libm::sincos(angle.get() / 2.0);
        Self(DQuat::from_xyzw(sin, 0.0, 0.0, cos))
    }

    /// Right-handed turn about the Y axis.
    pub fn about_y(angle: Radians) -> Self {
        let (sin, cos) = libm::sincos(angle.get() / 2.0);
        Self(DQuat::from_xyzw(0.0, sin, 0.0, cos))
    }

    /// Right-handed turn about the Z axis.
    pub fn about_z(angle: Radians) -> Self {
        let (sin, cos) = libm::sincos(angle.get() / 2.0);
        Self(DQuat::from_xyzw(0.0, 0.0, sin, cos))
    }

    /// The shortest turn that takes one direction to another.
    pub fn between(from: Direction, to: Direction) -> Self {
        Self(DQuat::from_rotation_arc(from.0, to.0))
    }

    /// `outer ∘ self`: first `self`, then `outer`. `world_from_base.after(base_from_head)` is not meant:
    /// write `base_from_head.then(world_from_base)`.
    pub fn then(self, outer: Self) -> Self {
        Self(outer.0 * self.0)
    }

    /// The way back.
    pub fn inverse(self) -> Self {
        Self(self.0.conjugate())
    }

    /// Turns a direction.
    pub fn apply(self, direction: Direction) -> Direction {
        Direction(self.0 * direction.0)
    }

    /// From a quaternion x, y, z, w of any length; `None` when it is too short to say anything, or not finite.
    pub fn from_array(quaternion: [f64; 4]) -> Option<Self> {
        let quaternion = DQuat::from_array(quaternion);
        let length = quaternion.length();
        (length.is_finite() && length > 1e-9).then(|| Self(quaternion * (1.0 / length)))
    }

    /// Quaternion as x, y, z, w, for a page that draws.
    pub fn to_array(self) -> [f64; 4] {
        self.0.to_array()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: Direction, b: [f64; 3]) -> bool {
        let a: [f64; 3] = a.into();
        a.iter().zip(b).all(|(p, q)| (p - q).abs() < 1e-12)
    }

    #[test]
    fn turns_are_right_handed() {
        let x = Direction::new(1.0, 0.0, 0.0).unwrap();
        let y = Direction::new(0.0, 3.0, 0.0).unwrap();
        assert!(near(Rotation::about_z(Radians::QUARTER).apply(x), [0.0, 1.0, 0.0]));
        assert!(near(Rotation::about_x(Radians::QUARTER).apply(y), [0.0, 0.0, 1.0]));
        let both = Rotation::about_z(Radians::QUARTER).then(Rotation::about_x(Radians::QUARTER));
        assert!(near(both.apply(x), [0.0, 0.0, 1.0]));
        assert!(near(both.inverse().apply(both.apply(x)), [1.0, 0.0, 0.0]));
    }

    #[test]
    fn a_matrix_turns_as_its_rows_say() {
        let quarter = Rotation::from_rows([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]).unwrap();
        assert!(near(quarter.apply(Direction::new(1.0, 0.0, 0.0).unwrap()), [0.0, 1.0, 0.0]));
        // A mirror, a stretch, and nothing.
        for (x, z) in [(1.0, -1.0), (2.0, 1.0), (0.0, 0.0), (f64::NAN, 1.0)] {
            assert_eq!(Rotation::from_rows([[x, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, z]]), None);
        }
    }

    #[test]
    fn a_quaternion_goes_there_and_back() {
        let turn = Rotation::about_z(Radians::new(0.7)).then(Rotation::about_x(Radians::new(-2.0)));
        let doubled = turn.to_array().map(|part| part * 2.0);
        let back = Rotation::from_array(doubled).unwrap().to_array();
        assert!(back.iter().zip(turn.to_array()).all(|(a, b)| (a - b).abs() < 1e-15));
        assert_eq!(Rotation::from_array([0.0; 4]), None);
        assert_eq!(Rotation::from_array([f64::NAN, 0.0, 0.0, 1.0]), None);
    }

    #[test]
    fn the_shortest_turn_leads_there() {
        for [a, b] in [
            [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0]],
            [[0.3, -0.2, 0.9], [0.31, -0.2, 0.9]],
            [[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]],
        ] {
            let [a, b] = [a, b].map(|[x, y, z]: [f64; 3]| Direction::new(x, y, z).unwrap());
            assert!(near(Rotation::between(a, b).apply(a), b.into()));
        }
    }

    #[test]
    fn a_point_has_no_direction_to_itself() {
        let p = Point::new(1.0, 2.0, 3.0);
        assert_eq!(p.towards(p), None);
        assert_eq!(p.towards(p.moved(0.0, 0.0, -2.0)), Some(Direction::DOWN));
    }

    #[test]
    fn small_angles_keep_their_digits() {
        let a = Direction::DOWN;
        let b = Rotation::about_x(Radians::new(1e-8)).apply(a);
        assert!((a.angle_to(b).get() - 1e-8).abs() < 1e-15);
    }
}
