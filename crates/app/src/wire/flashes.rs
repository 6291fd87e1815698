//! What is told of the flash limit.

use serde::Serialize;

/// What the flash limit holds back.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FlashesNow {
    /// Flashes within the last second, strobes with their rates; the most there may be is in the scene.
    pub rate: u32,
    /// It acts, or did within the last two seconds.
    pub acts: bool,
    /// Flashes held back since it began to act.
    pub held: u32,
    /// Lights that now flash more slowly than wanted, or not at all.
    pub slowed: u32,
}
