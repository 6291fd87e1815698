//! How the intensity of a beam falls off from its axis.

use serde::{Deserialize, Serialize};

use crate::units::{Candela, Lumens, Radians};

/// How wide a beam is: full angles between the directions of half and of a tenth of the peak intensity (the trade's
/// beam angle and field angle). A field equal to [`GAUSSIAN_FIELD`](Self::GAUSSIAN_FIELD) beams is a soft Gaussian edge;
/// a field not much wider than the beam is a hard edge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BeamShape {
    /// Full angle at 50 % of the peak.
    pub beam: Radians,
    /// Full angle at 10 % of the peak.
    pub field: Radians,
}

impl BeamShape {
    /// Field angle of a Gaussian beam over its beam angle: √(log₂ 10).
    pub const GAUSSIAN_FIELD: f64 = 1.822_615_728_804_994_7;

    /// From the beam angle alone, as a Gaussian.
    pub fn from_beam(beam: Radians) -> Self {
        Self { beam, field: beam * Self::GAUSSIAN_FIELD }
    }

    /// From the field angle alone, as a Gaussian.
    pub fn from_field(field: Radians) -> Self {
        Self { beam: field / Self::GAUSSIAN_FIELD, field }
    }

    /// From both.
    pub fn new(beam: Radians, field: Radians) -> Self {
        Self { beam, field }
    }

    /// The beam at another beam angle, and by how much its peak rises: the flux stays the same. A zoom that is no beam
    /// angle (nothing, half a turn) changes nothing.
    pub fn zoomed(self, zoom: Option<Radians>) -> (Self, f64) {
        let Some(zoom) = zoom.filter(|zoom| zoom.get() > 0.0 && *zoom < Radians::HALF) else {
            return (self, 1.0);
        };
        let factor = zoom / self.beam;
        let half_tan = |angle: Radians| libm::tan(angle.get().min(3.0) / 2.0);
        let narrower = half_tan(self.beam) / half_tan(zoom);
        (Self::new(zoom, self.field * factor), narrower * narrower)
    }

    /// Intensity in a direction off the axis, as a part of the peak: 0.5 at half the beam angle, 0.1 at half the field
    /// angle, by 2^−(2θ/beam)^p. Nothing beyond a quarter turn.
    pub fn relative_intensity(self, off_axis: Radians) -> f64 {
        self.falloff().at(off_axis.get().abs())
    }

    /// Peak intensity of a beam with this flux, by numerical integration over the half sphere.
    pub fn peak_from_flux(self, flux: Lumens) -> Candela {
        Candela::checked(flux.get() / self.lumens_per_candela()).unwrap_or(Candela::ZERO)
    }

    /// Flux of a beam with this peak intensity, by numerical integration over the half sphere.
    pub fn flux_from_peak(self, peak: Candela) -> Lumens {
        Lumens::checked(peak.get() * self.lumens_per_candela()).unwrap_or(Lumens::ZERO)
    }

    /// ∫ relative intensity · 2π·sin θ dθ, steradians.
    fn lumens_per_candela(self) -> f64 {
        const STEPS: u32 = 2000;
        let falloff = self.falloff();
        let step = falloff.end() / f64::from(STEPS);
        let ring = |index: u32| {
            let angle = step * f64::from(index);
            falloff.at(angle) * libm::sin(angle)
        };
        // Simpson's rule.
        let inner: f64 = (1..STEPS).map(|index| ring(index) * if index % 2 == 1 { 4.0 } else { 2.0 }).sum();
        std::f64::consts::TAU * step / 3.0 * (ring(0) + inner + ring(STEPS))
    }

    pub(super) fn falloff(self) -> Falloff {
        // A beam angle of nothing would have no finite peak, one beyond half a turn is no beam.
        let half_beam = (self.beam.get() / 2.0).clamp(1e-4, std::f64::consts::FRAC_PI_2);
        // A field that is no wider than the beam is a hard edge; the bound keeps the exponent finite.
        let widening = (self.field.get() / (2.0 * half_beam)).max(1.02);
        Falloff { half_beam, exponent: libm::log(std::f64::consts::LOG2_10) / libm::log(widening) }
    }
}

/// 2^−(θ / half beam)^exponent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Falloff {
    half_beam: f64,
    exponent: f64,
}

impl Falloff {
    /// The angle off the axis beyond which less than 2⁻⁴⁰ of the peak is left, or a quarter turn.
    pub(super) fn end(&self) -> f64 {
        (self.half_beam * libm::pow(40.0, 1.0 / self.exponent)).min(std::f64::consts::FRAC_PI_2)
    }

    /// At an angle off the axis, radians, not negative.
    pub(super) fn at(&self, angle: f64) -> f64 {
        if angle > std::f64::consts::FRAC_PI_2 {
            return 0.0;
        }
        let out = angle / self.half_beam;
        libm::exp2(-if self.gaussian() { out * out } else { libm::pow(out, self.exponent) })
    }

    /// The same near the axis of a Gaussian beam, by one less the cosine of the angle; none elsewhere. No angle need be
    /// found then: its square is 4·arcsin²√(h/2) = 2 Σ (2h)ⁿ / (n²·C(2n, n)), cut where a term is below 10⁻¹² of the first.
    pub(super) fn near(&self, short: f64) -> Option<f64> {
        const SERIES: [f64; 10] = [
            2.0,
            1.0 / 3.0,
            4.0 / 45.0,
            1.0 / 35.0,
            16.0 / 1575.0,
            8.0 / 2079.0,
            64.0 / 42_042.0,
            4.0 / 6435.0,
            256.0 / 984_555.0,
            128.0 / 1_154_725.0,
        ];
        if short > 0.15 || !self.gaussian() {
            return None;
        }
        // Odd and even powers apart, so that neither waits for the other.
        let twice = short * short;
        let [odd, even] = SERIES
            .chunks_exact(2)
            .rev()
            .fold([0.0, 0.0], |[odd, even], pair| [odd * twice + pair[0], even * twice + pair[1]]);
        let square = (odd + even * short) * short;
        Some(libm::exp2(-square / (self.half_beam * self.half_beam)))
    }

    /// As most are: needs no power.
    fn gaussian(&self) -> bool {
        (self.exponent - 2.0).abs() < 1e-12
    }
}
