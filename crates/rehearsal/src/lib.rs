//! The stand-in rig: takes frames as the real lights would.
//!
//! Knows nothing of what a show meant: only the bytes that were sent, the profiles, and where the lights hang. So what
//! it shows is a check of everything before it. Not here: sockets, files, clocks.

mod settled;
pub mod standin;

pub use settled::settled;
pub use standin::{BeamNow, LightNow, SpotNow, StandIn, Surface};
