//! The line of whites, tabled, for whoever asks often.

use super::{Chromaticity, Locus};

/// From where to where the line goes, in mired (11 100 K to 1660 K), and its steps.
const MIRED: [f64; 2] = [90.0, 603.0];
const STEP: f64 = 3.0;
/// Colours farther than this from the Planckian radiators, in CIE 1960 uv, are no whites: warm candlelight lies within
/// 0.01, and so do most tints that are asked for.
const WHITE_WITHIN: f64 = 0.02;

/// Planckian radiators from 1660 K to 11 100 K with the colours beside them. Made once; asking then costs a few
/// multiplications and does not allocate.
#[derive(Clone, Debug, PartialEq)]
pub struct WhiteLine {
    places: Vec<Place>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    /// CIE 1960.
    uv: [f64; 2],
    /// Change of u, v for one mired.
    slope: [f64; 2],
}

impl WhiteLine {
    /// Tables the line: a millisecond or two.
    pub fn new() -> Self {
        let count = ((MIRED[1] - MIRED[0]) / STEP) as usize + 1;
        let place = |index: usize| {
            let Locus { uv, tangent } = Locus::at(MIRED[0] + STEP * index as f64);
            Place { uv, slope: tangent }
        };
        Self { places: (0..count).map(place).collect() }
    }

    /// Where a colour lies beside the line: mired of the nearest radiator, and tint Duv (positive towards green). None
    /// beyond the ends, and for what is farther off than 0.02.
    pub fn locate(&self, colour: Chromaticity) -> Option<(f64, f64)> {
        let uv = colour.uv_1960();
        let beyond = |place: &Place| dot(less(uv, place.uv), place.slope) >= 0.0;
        let next = self.places.partition_point(beyond);
        if next == 0 || next >= self.places.len() {
            return None;
        }
        // Where the line is square to the way to the colour, by Newton's method; it is nearly straight over one step.
        let mut part = 0.5;
        for _ in 0..8 {
            let (at, slope) = self.point(next - 1, part)?;
            let off = dot(less(uv, at), slope);
            part = (part + off / (dot(slope, slope) * STEP)).clamp(0.0, 1.0);
        }
        let (at, slope) = self.point(next - 1, part)?;
        let away = less(uv, at);
        let duv = dot(away, across(slope));
        let is_white = duv.abs() <= WHITE_WITHIN;
        is_white.then_some((MIRED[0] + STEP * ((next - 1) as f64 + part), duv))
    }

    /// The colour at a place beside the line; beyond its ends, at the ends.
    pub fn at(&self, mired: f64, duv: f64) -> Chromaticity {
        let mired = if mired >= MIRED[0] { mired.min(MIRED[1]) } else { MIRED[0] };
        let along = (mired - MIRED[0]) / STEP;
        let index = (along as usize).min(self.places.len().saturating_sub(2));
        let Some((at, slope)) = self.point(index, along - index as f64) else { return Chromaticity::D65 };
        let normal = across(slope);
        Chromaticity::from_uv_1960([at[0] + duv * normal[0], at[1] + duv * normal[1]])
    }

    /// The colour `part` of the way (0 to 1) from one white to another, even in mired, with the tint blended: half way from
    /// 2700 K to 6500 K is 3815 K. None when one of them is no white.
    pub fn between(&self, from: Chromaticity, to: Chromaticity, part: f64) -> Option<Chromaticity> {
        let (from_mired, from_duv) = self.locate(from)?;
        let (to_mired, to_duv) = self.locate(to)?;
        Some(self.at(from_mired + (to_mired - from_mired) * part, from_duv + (to_duv - from_duv) * part))
    }

    /// On the cubic through two places with their slopes, and the slope there for one mired.
    fn point(&self, index: usize, t: f64) -> Option<([f64; 2], [f64; 2])> {
        let [from, to] = self.places.get(index..index + 2)? else { return None };
        let (s, t2) = (1.0 - t, t * t);
        let value = |axis: usize| {
            let (a, b) = (from.uv[axis], to.uv[axis]);
            let (p, q) = (from.slope[axis] * STEP, to.slope[axis] * STEP);
            a * (1.0 + 2.0 * t) * s * s + p * t * s * s + b * t2 * (3.0 - 2.0 * t) - q * t2 * s
        };
        let slope = |axis: usize| {
            let rise = to.uv[axis] - from.uv[axis];
            let (p, q) = (from.slope[axis] * STEP, to.slope[axis] * STEP);
            (6.0 * rise * t * s + p * s * (1.0 - 3.0 * t) + q * t * (3.0 * t - 2.0)) / STEP
        };
        Some(([value(0), value(1)], [slope(0), slope(1)]))
    }
}

impl Default for WhiteLine {
    fn default() -> Self {
        Self::new()
    }
}

fn less(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Across a slope, towards green, length 1.
fn across(slope: [f64; 2]) -> [f64; 2] {
    let length = libm::hypot(slope[0], slope[1]);
    [-slope[1] / length, slope[0] / length]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{cct_duv, white};
    use crate::units::Kelvin;

    #[test]
    fn it_is_the_line_that_is_computed_in_full() {
        let line = WhiteLine::new();
        for kelvin in [1700.0, 2000.0, 2700.0, 3200.0, 4500.0, 5600.0, 6500.0, 10_000.0] {
            for duv in [-0.015, 0.0, 0.004, 0.015] {
                let colour = white(Kelvin::new(kelvin), Some(duv));
                let (mired, tint) = line.locate(colour).unwrap();
                assert!((mired * kelvin / 1e6 - 1.0).abs() < 1e-5, "{kelvin} {duv}: {}", 1e6 / mired);
                assert!((tint - duv).abs() < 1e-7, "{kelvin} {duv}: {tint}");
                assert!(line.at(mired, tint).distance_uv(colour) < 1e-7, "{kelvin} {duv}");
            }
        }
        for none in [
            white(Kelvin::new(1200.0), None),
            Chromaticity::new(0.6915, 0.3084),
            Chromaticity::new(f64::NAN, 0.3),
        ] {
            assert_eq!(line.locate(none), None, "{none:?}");
        }
    }

    #[test]
    fn half_way_between_two_whites_is_half_way_in_mired() {
        // (1e6/2700 + 1e6/6500)/2 mired is 3815 K; the tint of D65 is +0.0032 (Ohno 2013, colour-science 0.4.7).
        let line = WhiteLine::new();
        let (warm, cold) = (white(Kelvin::new(2700.0), None), white(Kelvin::new(6500.0), None));
        let middle = line.between(warm, cold, 0.5).unwrap();
        let (kelvin, duv) = cct_duv(middle);
        assert!((kelvin.get() - 3815.0).abs() < 1.0, "{kelvin}");
        assert!((duv - 0.0016).abs() < 1e-4, "{duv}");
        assert!(line.between(warm, cold, 0.0).unwrap().distance_uv(warm) < 1e-8);
        assert!(line.between(warm, cold, 1.0).unwrap().distance_uv(cold) < 1e-8);
        assert_eq!(line.between(warm, Chromaticity::new(0.15, 0.06), 0.5), None);
    }
}
