//! A beam from a place, ready to be asked at many points.

use glam::DVec3;

use super::ies::Curve;
use super::shape::{BeamShape, Falloff};
use super::{NEAREST, illuminance, relative_intensity};
use crate::space::{Direction, Point};
use crate::units::{Candela, Lux, Radians};

/// A beam from a place along an axis, ready to be asked at many points.
#[derive(Clone, Copy, Debug)]
pub struct Beam<'a> {
    from: Point,
    along: Direction,
    peak: Candela,
    shape: BeamShape,
    falloff: Falloff,
    /// Cosine of the angle off the axis beyond which nothing counts.
    edge: f64,
    measured: Option<&'a Curve>,
}

impl<'a> Beam<'a> {
    /// With its peak intensity, from where its light comes, along its axis; of a measured light also the curve.
    pub fn new(
        (shape, measured): (BeamShape, Option<&'a Curve>),
        peak: Candela,
        from: Point,
        along: Direction,
    ) -> Self {
        let falloff = shape.falloff();
        Self { from, along, peak, shape, falloff, edge: libm::cos(falloff.end()), measured }
    }

    /// Intensity towards a point.
    pub fn towards(&self, at: Point) -> Candela {
        let out = at.0 - self.from.0;
        self.peak * self.part(out, out.length())
    }

    /// Light on a surface at a point, with nothing in its way: intensity / distance² × cosine of the angle to the
    /// surface's normal. Light from behind the surface is none. Nearer than a millimetre the figure is that at a
    /// millimetre, in any direction.
    pub fn lux_on(&self, at: Point, normal: Direction) -> Lux {
        let out = at.0 - self.from.0;
        let distance = out.length();
        if distance < NEAREST {
            return illuminance(self.towards(at), self.from, at, normal);
        }
        let facing = -out.dot(normal.0);
        if facing <= 0.0 {
            return Lux::ZERO;
        }
        let lux = self.peak.get() * self.part(out, distance) * facing / (distance * distance * distance);
        Lux::checked(lux).unwrap_or(Lux::ZERO)
    }

    /// Intensity over the peak, at a place so far from the source.
    fn part(&self, out: DVec3, distance: f64) -> f64 {
        let along = out.dot(self.along.0);
        let angle = || Radians::new(libm::atan2(out.cross(self.along.0).length(), along));
        if self.measured.is_some() {
            return relative_intensity(self.shape, self.measured, angle());
        }
        if along < self.edge * distance {
            return 0.0;
        }
        // At the source itself every direction is as good as the axis.
        let short = if distance > 0.0 { 1.0 - along / distance } else { 0.0 };
        match self.falloff.near(short) {
            Some(part) => part,
            None => self.falloff.at(angle().get()),
        }
    }
}
