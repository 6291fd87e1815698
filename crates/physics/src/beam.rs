//! Beams: how much light where, and the shape of the spot.
//!
//! A beam is a cone about an axis, brightest on the axis, from a point. That holds to 1 % from five times the largest
//! source dimension on (the trade's five-times rule); nearer, figures are an upper bound. Measured lights come in by
//! [`ies`]. Not here: gobos, shutters, reflected light.

mod distribution;
mod given;
pub mod ies;
mod ray;
mod shape;
mod spot;

use serde::{Deserialize, Serialize};

pub use distribution::Distribution;
pub use given::{Given, GivenError};
pub use ray::Beam;
pub use shape::BeamShape;
pub use spot::{Ellipse, spot_ellipse};

use crate::space::{Direction, Point};
use crate::units::{Candela, Lux, Metres, Radians};

/// No light comes nearer to a surface than this, metres: the inverse square law would have no end.
const NEAREST: f64 = 1e-3;

/// Illuminance at a point of a surface: intensity / distance² × cosine of the angle to the surface's normal.
///
/// `intensity` is what the source sends towards `at`. Light from behind the surface is none. Nearer than a millimetre
/// the figure is that at a millimetre, in any direction.
pub fn illuminance(intensity: Candela, from: Point, at: Point, surface_normal: Direction) -> Lux {
    let distance = from.distance(at).get().max(NEAREST);
    let cosine = at.towards(from).map_or(1.0, |back| back.dot(surface_normal).max(0.0));
    Lux::checked(intensity.get() * cosine / (distance * distance)).unwrap_or(Lux::ZERO)
}

/// The normal of a vertical face that looks towards `facing`: its horizontal part. `None` when that is straight up or
/// down. With [`illuminance`] it gives the light on a face, which is what an audience and a camera see.
pub fn face(facing: Direction) -> Option<Direction> {
    Direction::new(facing.x(), facing.y(), 0.0)
}

/// Intensity in a direction off the axis as a part of that on it: of a measured beam by its curve, drawn out to the beam
/// angle that it has now; of any other by its angles.
pub fn relative_intensity(shape: BeamShape, measured: Option<&ies::Curve>, off_axis: Radians) -> f64 {
    let by_curve = || {
        let curve = measured?;
        let drawn_out = curve.beam()? / shape.beam;
        curve.relative(off_axis * drawn_out).filter(|part| part.is_finite())
    };
    by_curve().unwrap_or_else(|| shape.relative_intensity(off_axis))
}

/// Diameter of the spot of a beam with a full angle on a plane square to its axis: 2·d·tan(angle / 2). The angle counts
/// from 0 to just below half a turn.
pub fn diameter_at(distance: Metres, angle: Radians) -> Metres {
    let half = (angle.get() / 2.0).clamp(0.0, 1.57);
    Metres::checked(2.0 * distance.get() * libm::tan(half)).unwrap_or(Metres::ZERO)
}

/// Full angle of the cone that fills a solid angle, steradians: Ω = 2π(1 − cos(a / 2)). None for what is no cone.
pub fn cone_of_solid_angle(steradians: f64) -> Option<Radians> {
    let cosine = 1.0 - steradians / std::f64::consts::TAU;
    (steradians > 0.0 && cosine >= -1.0).then(|| Radians::new(2.0 * libm::acos(cosine)))
}

/// Where a ray meets a plane; `None` when it runs along the plane or away from it.
pub fn where_ray_hits_plane(
    from: Point,
    along: Direction,
    plane_point: Point,
    plane_normal: Direction,
) -> Option<Point> {
    let closing = along.dot(plane_normal);
    if closing.abs() < 1e-12 {
        return None;
    }
    let distance = (plane_point.0 - from.0).dot(plane_normal.0) / closing;
    (distance >= 0.0 && distance.is_finite()).then(|| from.along(along, Metres::new(distance)))
}

/// A side of a box-shaped room, as seen from the audience.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// Smallest x.
    Left,
    /// Largest x.
    Right,
    /// Smallest y: behind the audience.
    Near,
    /// Largest y: behind the stage.
    Far,
    /// Smallest z.
    Floor,
    /// Largest z.
    Ceiling,
}

/// Where a ray from inside a box room meets floor, wall or ceiling: the point, the normal that looks into the room, and
/// the side. Each of `x`, `y`, `z` is smallest and largest, metres. `None` when the ray does not start inside.
pub fn hits_box(
    from: Point,
    along: Direction,
    x: [f64; 2],
    y: [f64; 2],
    z: [f64; 2],
) -> Option<(Point, Direction, Face)> {
    // On the wall is inside, rounding included.
    const SPARE: f64 = 1e-9;
    let sides =
        [(x, [Face::Left, Face::Right]), (y, [Face::Near, Face::Far]), (z, [Face::Floor, Face::Ceiling])];
    let (start, ahead): ([f64; 3], [f64; 3]) = (from.into(), along.into());
    let mut nearest: Option<(f64, usize, usize)> = None;
    for (axis, (bounds, _)) in sides.iter().enumerate() {
        if !(bounds[0] - SPARE..=bounds[1] + SPARE).contains(&start[axis]) {
            return None;
        }
        if ahead[axis].abs() < 1e-12 {
            continue;
        }
        let side = usize::from(ahead[axis] > 0.0);
        let distance = ((bounds[side] - start[axis]) / ahead[axis]).max(0.0);
        if nearest.is_none_or(|(least, ..)| distance < least) {
            nearest = Some((distance, axis, side));
        }
    }
    let (distance, axis, side) = nearest?;
    let mut point: [f64; 3] = from.along(along, Metres::checked(distance)?).into();
    point[axis] = sides[axis].0[side];
    let mut normal = [0.0; 3];
    normal[axis] = if side == 0 { 1.0 } else { -1.0 };
    Some((point.into(), Direction::new(normal[0], normal[1], normal[2])?, sides[axis].1[side]))
}

#[cfg(test)]
mod tests;
