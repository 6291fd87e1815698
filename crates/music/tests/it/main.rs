//! What the follower of music hears, on music whose truth is exact.

mod clips;
mod invariance;
mod metrics;
mod networks;
