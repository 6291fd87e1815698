//! What is told of descriptions of lights that the library has otherwise than the show.

use serde::Serialize;

/// Another description of a kind of light than the show has; nothing changes until it is taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct OfferView {
    /// Name of the kind of light.
    pub name: String,
    /// It lies in one's own folder; else it came with the program.
    pub own: bool,
    /// The identity of what is offered, for `profile_take`.
    pub identity: String,
    /// Lights that it concerns.
    pub lights: Vec<u32>,
    /// What would be another, one sentence each.
    pub differences: Vec<String>,
}
