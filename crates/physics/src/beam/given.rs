//! Small questions about one light: from the figures that are given, those that follow.

use super::{Distribution, diameter_at};
use crate::units::{Candela, Lumens, Lux, Metres, Radians};

/// What is known of one light and one surface. [`Given::solve`] fills what follows from the rest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Given {
    /// How the light spreads; none: only its intensity towards the surface is spoken of.
    pub distribution: Option<Distribution>,
    /// Intensity on the axis.
    pub intensity: Option<Candela>,
    /// All of its light.
    pub flux: Option<Lumens>,
    /// How far off its axis the surface lies.
    pub off_axis: Option<Radians>,
    /// From the light to the surface.
    pub distance: Option<Metres>,
    /// Between the way of the light and the surface's normal.
    pub incidence: Option<Radians>,
    /// On the surface.
    pub illuminance: Option<Lux>,
    /// Height of the light above a level surface.
    pub height: Option<Metres>,
    /// How far out the axis meets that surface, from below the light.
    pub out: Option<Metres>,
    /// Between the axis and the vertical.
    pub tilt: Option<Radians>,
    /// Full angle of the beam.
    pub beam: Option<Radians>,
    /// Of the spot, square to the axis.
    pub diameter: Option<Metres>,
}

/// Why figures do not go together.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum GivenError {
    /// More light is asked for than there is at any incidence.
    #[error("no incidence gives so much light: it is {most} lx when the light comes square to the surface")]
    TooMuch {
        /// What there is at most, in words.
        most: String,
    },
    /// A surface that the light only grazes.
    #[error("light that only grazes the surface (90° to its normal and more) lights nothing")]
    Grazing,
}

impl Given {
    /// Fills in what follows.
    ///
    /// # Errors
    /// When the figures contradict each other.
    pub fn solve(mut self) -> Result<Self, GivenError> {
        self.lie();
        if self.beam.is_none()
            && let Some((diameter, distance)) = self.diameter.zip(self.distance)
            && distance.get() > 0.0
        {
            self.beam = Radians::checked(2.0 * libm::atan(diameter.get() / 2.0 / distance.get()));
        }
        self.light();
        self.fall()?;
        self.light();
        if self.diameter.is_none() {
            self.diameter = self.beam.zip(self.distance).map(|(beam, distance)| diameter_at(distance, beam));
        }
        Ok(self)
    }

    /// Part of the intensity on the axis that goes towards the surface.
    pub fn part(&self) -> f64 {
        let off_axis = self.off_axis.unwrap_or(Radians::ZERO);
        self.distribution.as_ref().map_or(1.0, |shape| shape.relative(off_axis, Radians::ZERO))
    }

    /// Height, way out, distance and tilt, any two of them.
    fn lie(&mut self) {
        let (height, out) = (self.height.map(Metres::get), self.out.map(Metres::get));
        let (distance, tilt) = (self.distance.map(Metres::get), self.tilt.map(Radians::get));
        let found = match (height, out, distance, tilt) {
            (Some(height), Some(out), ..) => Some((height, out)),
            (Some(height), None, _, Some(tilt)) => Some((height, height * libm::tan(tilt))),
            (Some(height), None, Some(distance), None) if distance >= height => {
                Some((height, (distance * distance - height * height).sqrt()))
            }
            (None, Some(out), _, Some(tilt)) if tilt > 0.0 => Some((out / libm::tan(tilt), out)),
            (None, Some(out), Some(distance), None) if distance >= out => {
                Some(((distance * distance - out * out).sqrt(), out))
            }
            (None, None, Some(distance), Some(tilt)) => {
                Some((distance * libm::cos(tilt), distance * libm::sin(tilt)))
            }
            // A light straight above what it lights.
            (Some(height), None, None, None) => Some((height, 0.0)),
            _ => None,
        };
        let Some((height, out)) = found else { return };
        self.height = Metres::checked(height);
        self.out = Metres::checked(out);
        self.distance = self.distance.or(Metres::checked(libm::hypot(height, out)));
        self.tilt = self.tilt.or(Radians::checked(libm::atan2(out, height)));
        // On the level surface the light comes in as it leaves.
        self.incidence = self.incidence.or(self.tilt);
    }

    /// Flux from intensity or the other way round.
    fn light(&mut self) {
        let Some(shape) = &self.distribution else { return };
        let lumens = shape.lumens_per_candela();
        if self.intensity.is_none() {
            self.intensity = self.flux.and_then(|flux| Candela::checked(flux.get() / lumens));
        }
        if self.flux.is_none() {
            self.flux = self.intensity.and_then(|intensity| Lumens::checked(intensity.get() * lumens));
        }
    }

    /// E = I · cos θ / d²: whichever of them is missing.
    fn fall(&mut self) -> Result<(), GivenError> {
        let part = self.part();
        let cosine = libm::cos(self.incidence.unwrap_or(Radians::ZERO).get());
        if cosine <= 1e-12 && self.illuminance.is_some() {
            return Err(GivenError::Grazing);
        }
        let towards = self.intensity.map(|intensity| intensity.get() * part);
        match (towards, self.distance.map(Metres::get), self.illuminance.map(Lux::get)) {
            (Some(towards), Some(distance), None) if distance > 0.0 => {
                self.illuminance = Lux::checked(towards * cosine.max(0.0) / (distance * distance));
            }
            (Some(towards), Some(distance), Some(lux)) if self.incidence.is_none() && towards > 0.0 => {
                let cosine = lux * distance * distance / towards;
                if cosine > 1.0 + 1e-9 {
                    let most = format!("{:.4}", towards / (distance * distance));
                    return Err(GivenError::TooMuch { most });
                }
                self.incidence = Radians::checked(libm::acos(cosine.clamp(-1.0, 1.0)));
            }
            (Some(towards), None, Some(lux)) if lux > 0.0 => {
                self.distance = Metres::checked((towards * cosine / lux).sqrt());
            }
            (None, Some(distance), Some(lux)) if part > 0.0 => {
                self.intensity = Candela::checked(lux * distance * distance / cosine / part);
            }
            _ => {}
        }
        Ok(())
    }
}
