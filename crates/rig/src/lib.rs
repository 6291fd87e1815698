//! Lights placed, addressed, cabled and powered in a room.
//!
//! The way through: [`RigState`] (room terms) → [`aim`] → [`RigPose`] → [`limit`] → [`Limited`] → [`encode`] → frames.
//! Beside it [`plan`]: the sums, what to select in each menu, and the findings. Knows no shows, music, files, sockets.

pub mod patch;
pub mod place;
pub mod plan;
pub mod rig;
pub mod room;
pub mod state;

pub use place::{HangingPlace, PlaceKind};
pub use rig::{Circuit, Group, Rig, Run, Unit};
pub use room::{Area, Mark, Room};
pub use state::{RigPose, RigState, UnitWish};
