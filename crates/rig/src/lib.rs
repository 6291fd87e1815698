//! Lights placed, addressed, cabled and powered in a room.
//!
//! The way through: [`RigState`] (room terms) → [`aim`] → [`RigPose`] → [`limit`] → [`Limited`] → [`encode`] → frames;
//! [`Drive`] walks it once a tick.
//! Beside it [`plan`]: the sums, what to select in each menu, and the findings. Knows no shows, music, files, sockets.

pub mod aim;
pub mod drive;
pub mod encode;
pub mod limit;
pub mod patch;
pub mod place;
pub mod plan;
pub mod reckoning;
pub mod rig;
pub mod room;
pub mod setup;
pub mod shine;
pub mod sight;
pub mod state;
pub mod sums;

#[cfg(test)]
mod testing;

pub use drive::Drive;
pub use limit::Limited;
pub use place::{HangingPlace, Held, Legs, PlaceKind};
pub use reckoning::Reckoning;
pub use rig::{Circuit, Feed, Found, Group, Lead, Rig, Run, Stock, Unit};
pub use room::{Area, Mark, Room};
pub use state::{AimFade, RigPose, RigState, UnitWish};
