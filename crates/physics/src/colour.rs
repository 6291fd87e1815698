//! Colour.

use serde::{Deserialize, Serialize};

/// CIE 1931 2° chromaticity.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Chromaticity {
    /// x.
    pub x: f64,
    /// y.
    pub y: f64,
}
