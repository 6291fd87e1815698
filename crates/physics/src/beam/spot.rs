//! The spot of a beam on a floor or a wall: where a cone cuts a plane.

use glam::DVec3;
use serde::Serialize;

use crate::space::{Direction, Point};
use crate::units::Radians;

/// An ellipse in the room.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ellipse {
    /// Its centre, which lies beyond the aim point when the beam comes in at a slant.
    pub centre: Point,
    /// From the centre to the end of the long axis (away from the light), metres in the world frame.
    pub major: [f64; 3],
    /// From the centre to the end of the short axis, metres in the world frame.
    pub minor: [f64; 3],
}

impl Ellipse {
    /// Half the long axis, metres.
    pub fn semi_major(&self) -> f64 {
        DVec3::from_array(self.major).length()
    }

    /// Half the short axis, metres.
    pub fn semi_minor(&self) -> f64 {
        DVec3::from_array(self.minor).length()
    }

    /// A point of the edge; `angle` 0 is the end of the long axis.
    pub fn edge(&self, angle: Radians) -> Point {
        let (sin, cos) = libm::sincos(angle.get());
        let offset = DVec3::from_array(self.major) * cos + DVec3::from_array(self.minor) * sin;
        Point(self.centre.0 + offset)
    }
}

/// The ellipse that a cone about `along` cuts out of a plane. `half_angle` is from the axis to the edge of the cone.
/// The plane may be seen from either side.
///
/// `None` when the spot has no end (the edge of the cone runs along the plane or away from it: a parabola or a
/// hyperbola), when the beam points away, when the light is in the plane, or when the angle is not between nothing
/// and a quarter turn.
pub fn spot_ellipse(
    from: Point,
    along: Direction,
    half_angle: Radians,
    plane_point: Point,
    plane_normal: Direction,
) -> Option<Ellipse> {
    let half = half_angle.get();
    let signed_height = (from.0 - plane_point.0).dot(plane_normal.0);
    let height = signed_height.abs();
    if !(half > 0.0 && half < std::f64::consts::FRAC_PI_2 && height > 1e-9 && height.is_finite()) {
        return None;
    }
    // Seen from the foot of the perpendicular: `down` to the plane, `out` along it as the beam leans.
    let down = -plane_normal.0 * signed_height.signum();
    let lean = along.0 - down * along.0.dot(down);
    let tilt = libm::atan2(lean.length(), along.0.dot(down));
    if tilt + half >= std::f64::consts::FRAC_PI_2 - 1e-9 {
        return None;
    }
    let out = lean.try_normalize().filter(|_| tilt > 1e-12).unwrap_or_else(|| down.any_orthonormal_vector());
    let near = height * libm::tan(tilt - half);
    let far = height * libm::tan(tilt + half);
    let semi_major = (far - near) / 2.0;
    let eccentricity = libm::sin(tilt) / libm::cos(half);
    let semi_minor = semi_major * (1.0 - eccentricity * eccentricity).max(0.0).sqrt();
    let foot = from.0 + down * height;
    Some(Ellipse {
        centre: Point(foot + out * ((near + far) / 2.0)),
        major: (out * semi_major).to_array(),
        minor: (down.cross(out) * semi_minor).to_array(),
    })
}
