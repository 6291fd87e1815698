//! What colours lights can make.

use serde::Serialize;

/// What colours a kind of light can make, and how bright it is there.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ReachView {
    /// Corners of what it can mix, from the left and from the top of a field, 0 to 1; empty when it does not mix an area.
    pub outline: Vec<[f64; 2]>,
    /// Width of the field over its height.
    pub aspect: f64,
    /// Colours inside.
    pub dots: Vec<ReachDot>,
    /// Whites from warm to cold.
    pub whites: Vec<ReachWhite>,
    /// It mixes.
    pub mixes: bool,
    /// Its colours rest on typical emitters.
    pub guessed: bool,
}

/// A colour that a light can make.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ReachDot {
    /// From the left and from the top of the field, 0 to 1.
    pub at: [f64; 2],
    /// As a screen shows it best.
    pub hex: String,
    /// Its most light there as a part of its full light, 0 to 1.
    pub most: f64,
    /// How an intent asks for it.
    pub write: String,
}

/// A white.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ReachWhite {
    /// Colour temperature, K.
    pub kelvin: u32,
    /// As a screen shows it best.
    pub hex: String,
    /// Its most light there as a part of its full light; `null` when the light cannot make it.
    pub most: Option<f64>,
}

/// What a light makes of a colour that was asked for.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ColourAnswer {
    /// The light's number.
    pub unit: u32,
    /// What was asked.
    pub ask: String,
    /// What it shows, as a screen shows that best; `null` when the words were not understood.
    pub hex: Option<String>,
    /// It is what was asked.
    pub reached: bool,
    /// One or two sentences.
    pub says: String,
}
