//! The stand-in rig, which takes frames as the real lights would, and the show played against time.
//!
//! [`standin`] knows nothing of what a show meant: only the bytes that were sent, the profiles, and where the lights hang.
//! So what it shows is a check of everything before it. Beside it, what comes of a show on that rig: [`moves()`] plays it
//! and says which lit beams cannot be where they are wanted in time, [`flashes()`] what the flash limit holds back,
//! [`settled()`] shows a look at rest, [`planted`] plants faults to practise setting up with, [`lux_map`] and
//! [`eyes`] say how much light that is where. Not here: sockets, files, clocks.

pub mod eyes;
mod flashes;
pub mod lux_map;
mod moves;
pub mod planted;
mod settled;
pub mod standin;

pub use eyes::light_findings;
pub use flashes::flashes;
pub use lux_map::{LuxMap, MapPlane};
pub use moves::moves;
pub use settled::settled;
pub use standin::{BeamNow, LightNow, SpotNow, StandIn, Surface};
