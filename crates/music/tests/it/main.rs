//! What the follower of music hears, on music whose truth is exact.

#![expect(clippy::unwrap_used, reason = "tests")]

mod allocation;
mod clips;
mod form;
mod invariance;
mod metrics;
mod networks;
