//! Sighting in, as it stands now, and what a hand says in it.

use serde::{Deserialize, Serialize};

/// The light that is being sighted in now.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SightingNow {
    /// Its number.
    pub unit: u32,
    /// The mark that it is on the way to.
    pub mark: Option<String>,
    /// 16-bit value sent for pan.
    pub pan: u32,
    /// 16-bit value sent for tilt.
    pub tilt: u32,
    /// An axis has just been moved a little for the sign check: `pan` or `tilt`.
    pub watching: Option<String>,
    /// The stopwatch runs over this axis: `pan` or `tilt`.
    pub timing: Option<String>,
    /// Seconds since the stopwatch was started.
    pub timing_s: f64,
    /// The other lights are dark meanwhile.
    pub alone: bool,
    /// What just happened, one sentence; empty when nothing did.
    pub says: String,
}

/// How far a nudge moves the spot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub(crate) enum NudgeStep {
    /// About a quarter of a metre.
    Coarse,
    /// About three centimetres.
    Fine,
    /// Single steps of the 16-bit channel.
    Creep,
}

/// An axis of a head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub(crate) enum AxisName {
    /// Pan.
    Pan,
    /// Tilt.
    Tilt,
}
