//! The stand-in rig, which takes frames as the real lights would, and the show played against time.
//!
//! The stand-in knows nothing of what a show meant: only the bytes that were sent, the profiles, and where the lights
//! hang. So what it shows is a check of everything before it. [`moves()`] plays a whole show and says which lit beams
//! cannot be where they are wanted in time. Not here: sockets, files, clocks.

mod moves;
mod settled;
pub mod standin;

pub use moves::moves;
pub use settled::settled;
pub use standin::{BeamNow, LightNow, SpotNow, StandIn, Surface};
