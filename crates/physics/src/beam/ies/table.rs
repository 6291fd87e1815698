//! Intensities over vertical and horizontal angles, and what follows from them.

use super::{Angles, IesError};
use crate::units::{Candela, Lumens, Radians};

/// Angles closer than this to a figure are that figure, degrees.
const NEAR_DEG: f64 = 0.01;

/// Intensities of a luminaire in all directions, linear between the angles of its file.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// From straight down, ascending, radians.
    vertical: Vec<f64>,
    /// About the vertical, ascending, radians.
    horizontal: Vec<f64>,
    /// Plane by plane, candela.
    candela: Vec<f64>,
    symmetry: Symmetry,
}

/// How the planes of a file stand for those that it leaves out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Symmetry {
    /// One plane for all.
    Axial,
    /// 0 to 90°.
    Quadrant,
    /// 0 to 180°.
    Sides,
    /// 90° to 270°.
    Ends,
    /// All round.
    None,
}

/// Intensity over the angle off the axis, the mean all round it: what a round beam with the same light would have.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Ascending from 0, radians.
    angles: Vec<f64>,
    /// Candela.
    candela: Vec<f64>,
    /// Its beam angle, found once.
    beam: Option<Radians>,
}

impl Table {
    pub(super) fn new(vertical: &Angles, horizontal: &Angles, candela: Vec<f64>) -> Result<Self, IesError> {
        let near = |value: f64, figure: f64| (value - figure).abs() < NEAR_DEG;
        let ends = |angles: &Angles| angles.degrees.first().copied().zip(angles.degrees.last().copied());
        let (Some((top, bottom)), Some((first, last))) = (ends(vertical), ends(horizontal)) else {
            return Err(IesError::new(vertical.line, "a table has angles"));
        };
        if !(near(top, 0.0) || near(top, 90.0)) || bottom > 180.0 + NEAR_DEG {
            return Err(IesError::new(
                vertical.line,
                "vertical angles of type C begin at 0° or 90° and end at 180° at the latest",
            ));
        }
        let symmetry = if horizontal.degrees.len() == 1 {
            Symmetry::Axial
        } else if near(first, 90.0) && near(last, 270.0) {
            Symmetry::Ends
        } else if near(first, 0.0) && near(last, 90.0) {
            Symmetry::Quadrant
        } else if near(first, 0.0) && near(last, 180.0) {
            Symmetry::Sides
        } else if near(first, 0.0) && last > 180.0 && last < 360.0 + NEAR_DEG {
            Symmetry::None
        } else {
            return Err(IesError::new(
                horizontal.line,
                "horizontal angles of type C run from 0° to 0°, 90°, 180° or 360°, or from 90° to 270°",
            ));
        };
        let radians = |angles: &Angles| angles.degrees.iter().map(|deg| deg.to_radians()).collect();
        Ok(Self { vertical: radians(vertical), horizontal: radians(horizontal), candela, symmetry })
    }

    /// Intensity towards a direction: `vertical` from straight down, `horizontal` about it. Nothing beyond the angles
    /// of the file.
    pub fn intensity(&self, vertical: Radians, horizontal: Radians) -> Candela {
        let (before, after, part) = self.planes(horizontal.get());
        let from = self.in_plane(before, vertical.get());
        let to = self.in_plane(after, vertical.get());
        Candela::checked(from + (to - from) * part).unwrap_or(Candela::ZERO)
    }

    /// The most intensity in any direction.
    pub fn peak(&self) -> Candela {
        Candela::checked(self.candela.iter().copied().fold(0.0, f64::max)).unwrap_or(Candela::ZERO)
    }

    /// All the light: the integral of the intensities, linear between the angles, over the whole sphere.
    pub fn flux(&self) -> Lumens {
        let curve = self.curve();
        let strips = curve.angles.windows(2).zip(curve.candela.windows(2));
        let strip = |(angles, candela): (&[f64], &[f64])| {
            let (from, to) = (angles[0], angles[1]);
            let slope = (candela[1] - candela[0]) / (to - from);
            // ∫ (a + b(θ − θ₀)) sin θ dθ
            candela[0] * (libm::cos(from) - libm::cos(to))
                + slope * (libm::sin(to) - libm::sin(from) - (to - from) * libm::cos(to))
        };
        Lumens::checked(std::f64::consts::TAU * strips.map(strip).sum::<f64>()).unwrap_or(Lumens::ZERO)
    }

    /// The mean all round the axis.
    pub fn curve(&self) -> Curve {
        let weights = self.weights();
        let all: f64 = weights.iter().sum();
        let mean = |row: usize| {
            let sum: f64 =
                weights.iter().enumerate().map(|(plane, weight)| weight * self.value(plane, row)).sum();
            sum / all
        };
        let candela = (0..self.vertical.len()).map(mean).collect();
        let curve = Curve { angles: self.vertical.clone(), candela, beam: None };
        Curve { beam: curve.full_angle(0.5), ..curve }
    }

    /// How much of a turn each plane stands for, by the trapezoid rule.
    fn weights(&self) -> Vec<f64> {
        let count = self.horizontal.len();
        if count == 1 {
            return vec![1.0];
        }
        let mut weights = vec![0.0; count];
        for (place, pair) in self.horizontal.windows(2).enumerate() {
            let half = (pair[1] - pair[0]) / 2.0;
            weights[place] += half;
            weights[place + 1] += half;
        }
        if self.symmetry == Symmetry::None {
            let gap = (std::f64::consts::TAU - self.horizontal[count - 1]).max(0.0) / 2.0;
            weights[0] += gap;
            weights[count - 1] += gap;
        }
        weights
    }

    /// The planes on both sides of a horizontal angle, and how far between them.
    fn planes(&self, horizontal: f64) -> (usize, usize, f64) {
        use std::f64::consts::{FRAC_PI_2, PI, TAU};
        let turned = if horizontal.is_finite() { horizontal.rem_euclid(TAU) } else { 0.0 };
        let folded = match self.symmetry {
            Symmetry::Axial => return (0, 0, 0.0),
            Symmetry::Quadrant => {
                let half = turned.rem_euclid(PI);
                if half > FRAC_PI_2 { PI - half } else { half }
            }
            Symmetry::Sides if turned > PI => TAU - turned,
            Symmetry::Ends if turned < FRAC_PI_2 => PI - turned,
            Symmetry::Ends if turned > 3.0 * FRAC_PI_2 => 3.0 * PI - turned,
            Symmetry::Sides | Symmetry::Ends | Symmetry::None => turned,
        };
        let last = self.horizontal.len() - 1;
        let after = self.horizontal.partition_point(|angle| *angle <= folded);
        if after == 0 {
            return (0, 0, 0.0);
        }
        if after > last {
            let gap = TAU - self.horizontal[last];
            let wraps = self.symmetry == Symmetry::None && gap > 1e-6;
            let part = if wraps { (folded - self.horizontal[last]) / gap } else { 0.0 };
            return (last, if wraps { 0 } else { last }, part.clamp(0.0, 1.0));
        }
        let (low, high) = (self.horizontal[after - 1], self.horizontal[after]);
        (after - 1, after, (folded - low) / (high - low))
    }

    fn in_plane(&self, plane: usize, vertical: f64) -> f64 {
        between(&self.vertical, vertical, |row| self.value(plane, row))
    }

    fn value(&self, plane: usize, row: usize) -> f64 {
        self.candela.get(plane * self.vertical.len() + row).copied().unwrap_or(0.0)
    }
}

impl Curve {
    /// Intensity at an angle off the axis; nothing beyond the angles of the file.
    pub fn intensity(&self, off_axis: Radians) -> Candela {
        let value = between(&self.angles, off_axis.get().abs(), |row| self.candela[row]);
        Candela::checked(value).unwrap_or(Candela::ZERO)
    }

    /// Intensity at an angle over that on the axis; none of a curve without light on its axis.
    pub fn relative(&self, off_axis: Radians) -> Option<f64> {
        let axis = self.intensity(Radians::ZERO).get();
        (axis > 0.0).then(|| self.intensity(off_axis).get() / axis)
    }

    /// Full angle at half of its peak; none where it does not fall so low.
    pub fn beam(&self) -> Option<Radians> {
        self.beam
    }

    /// The most intensity at any angle.
    pub fn peak(&self) -> Candela {
        Candela::checked(self.candela.iter().copied().fold(0.0, f64::max)).unwrap_or(Candela::ZERO)
    }

    /// Twice the outermost angle at which the intensity is that part of its peak: 0.5 gives the beam angle, 0.1 the
    /// field angle. None where there is no light, or where it does not fall so low.
    pub fn full_angle(&self, part: f64) -> Option<Radians> {
        let wanted = self.peak().get() * part;
        let last = self.candela.iter().rposition(|candela| *candela >= wanted).filter(|_| wanted > 0.0)?;
        let (inner, outer) = (self.angles[last], self.angles.get(last + 1).copied());
        let Some(outer) = outer else {
            // It ends at once where the file ends, unless that is the far side of the sphere.
            return (inner < std::f64::consts::FRAC_PI_2 - 1e-6).then(|| Radians::new(2.0 * inner));
        };
        let (high, low) = (self.candela[last], self.candela[last + 1]);
        let angle = inner + (outer - inner) * (high - wanted) / (high - low);
        Radians::checked(2.0 * angle)
    }
}

/// Linear between the angles, nothing outside of them.
fn between(angles: &[f64], at: f64, value: impl Fn(usize) -> f64) -> f64 {
    const SPARE: f64 = 1e-9;
    let (Some(first), Some(last)) = (angles.first(), angles.last()) else { return 0.0 };
    if !(first - SPARE..=last + SPARE).contains(&at) {
        return 0.0;
    }
    let after = angles.partition_point(|angle| *angle <= at);
    if after == 0 {
        return value(0);
    }
    if after == angles.len() {
        return value(after - 1);
    }
    let (low, high) = (angles[after - 1], angles[after]);
    let (from, to) = (value(after - 1), value(after));
    from + (to - from) * (at - low) / (high - low)
}
