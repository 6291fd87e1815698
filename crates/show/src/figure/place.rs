//! A light's place in a figure.

use super::{Figure, PhaseSpread, Shape};
use crate::seed;

/// Where a light stands in a figure that several run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// Rounds ahead of the figure's own phase, 0 to 1.
    pub phase: f64,
    /// Along a fan: −1 for the first light, 1 for the last, 0 for one alone.
    pub along: f64,
    /// Runs the mirror image, right for left.
    pub mirrored: bool,
}

impl Place {
    /// Of the light `index` of `count`; `number` is the light's own.
    pub fn new(figure: &Figure, index: usize, count: usize, number: u32) -> Self {
        let along = if count < 2 { 0.0 } else { 2.0 * index as f64 / (count - 1) as f64 - 1.0 };
        if let Shape::Wander { .. } = figure.shape {
            // Each light begins somewhere else: the same place in every run of the same show.
            let draw = seed::next(&mut (seed::of(&figure.name) ^ u64::from(number)));
            return Self { phase: (draw >> 11) as f64 / (1_u64 << 53) as f64, along, mirrored: false };
        }
        let half = count.div_ceil(2).max(1);
        let from_outside = index.min(count.saturating_sub(1).saturating_sub(index));
        let part = match figure.phase_spread {
            PhaseSpread::InOrder => index as f64 / count.max(1) as f64,
            PhaseSpread::FromTheMiddle => (half - 1 - from_outside.min(half - 1)) as f64 / half as f64,
            PhaseSpread::Mirrored => from_outside as f64 / half as f64,
        };
        let mirrored = figure.phase_spread == PhaseSpread::Mirrored && index >= half;
        Self { phase: if figure.shape.takes_phase() { figure.phase * part } else { 0.0 }, along, mirrored }
    }
}
