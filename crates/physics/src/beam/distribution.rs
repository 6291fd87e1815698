//! How a light spreads what it gives: by its angles, by a model, or as it was measured.

use std::sync::Arc;

use super::BeamShape;
use super::ies::Table;
use crate::units::{Candela, Lumens, Radians};

/// Intensity in every direction as a part of that on the axis.
#[derive(Clone, Debug, PartialEq)]
pub enum Distribution {
    /// By beam and field angle; see [`BeamShape`].
    Soft(BeamShape),
    /// An ideal cone of this full angle: even inside, nothing outside.
    Cone(Radians),
    /// cosⁿ of the angle off the axis, in the half space ahead: 1 is a matt surface (Lambert).
    Cosine(f64),
    /// The same in all directions.
    Even,
    /// As measured.
    Measured(Arc<Table>),
}

impl Distribution {
    /// cosⁿ with half of its peak at half of this beam angle: n = ln 0.5 / ln cos(beam / 2). None for angles that no
    /// such light has (nothing, or half a turn and more).
    pub fn cosine_of_beam(beam: Radians) -> Option<Self> {
        let half = beam.get() / 2.0;
        let within = half > 0.0 && half < std::f64::consts::FRAC_PI_2;
        let exponent = libm::log(0.5) / libm::log(libm::cos(half));
        (within && exponent.is_finite()).then_some(Self::Cosine(exponent))
    }

    /// Intensity in a direction over that on the axis: `off_axis` from the axis, `around` about it. For a measured light
    /// without light on its axis, over its peak.
    pub fn relative(&self, off_axis: Radians, around: Radians) -> f64 {
        let angle = off_axis.get().abs();
        match self {
            Self::Soft(shape) => shape.relative_intensity(off_axis),
            Self::Cone(full) => f64::from(u8::from(angle <= full.get() / 2.0)),
            Self::Cosine(exponent) if angle < std::f64::consts::FRAC_PI_2 => {
                libm::pow(libm::cos(angle), *exponent)
            }
            Self::Cosine(_) => 0.0,
            Self::Even => 1.0,
            Self::Measured(table) => table.intensity(off_axis, around).get() / measured_unit(table),
        }
    }

    /// Lumens for each candela on the axis, steradians.
    pub fn lumens_per_candela(&self) -> f64 {
        use std::f64::consts::TAU;
        match self {
            Self::Soft(shape) => shape.flux_from_peak(Candela::new(1.0)).get(),
            Self::Cone(full) => TAU * (1.0 - libm::cos((full.get() / 2.0).clamp(0.0, std::f64::consts::PI))),
            Self::Cosine(exponent) => TAU / (exponent + 1.0),
            Self::Even => 2.0 * TAU,
            Self::Measured(table) => table.flux().get() / measured_unit(table),
        }
    }

    /// Intensity on the axis of a light with this flux; zero where the distribution holds no light.
    pub fn peak_from_flux(&self, flux: Lumens) -> Candela {
        Candela::checked(flux.get() / self.lumens_per_candela()).unwrap_or(Candela::ZERO)
    }

    /// Full angle at which the intensity has fallen to a part of its peak (0.5: beam angle, 0.1: field angle). None where
    /// it does not fall.
    pub fn full_angle(&self, part: f64) -> Option<Radians> {
        match self {
            Self::Soft(shape) if part >= 0.5 => Some(shape.beam),
            Self::Soft(shape) => Some(shape.field),
            Self::Cone(full) => Some(*full),
            Self::Cosine(exponent) => {
                Radians::checked(2.0 * libm::acos(libm::pow(part, 1.0 / exponent).clamp(0.0, 1.0)))
            }
            Self::Even => None,
            Self::Measured(table) => table.curve().full_angle(part),
        }
    }
}

/// What a measured light's figures are told in: its intensity on the axis, else its peak, else anything.
fn measured_unit(table: &Table) -> f64 {
    let axis = table.curve().intensity(Radians::ZERO).get();
    let peak = table.peak().get();
    if axis > 0.0 {
        axis
    } else if peak > 0.0 {
        peak
    } else {
        1.0
    }
}
