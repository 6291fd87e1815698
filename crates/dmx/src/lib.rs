//! Universes, slots, frames, and the packets that carry them: one module for each open protocol.
//!
//! Sans-IO: time is an argument, bytes are values. Out of scope: sockets, fixtures, scheduling.

pub mod address;
pub mod frame;

pub use address::{Address, AddressError, Slot, Universe};
pub use frame::{Frame, Frames};
