//! Universes, slots, frames, and the packets that carry them: one module for each open protocol.
//!
//! Sans-IO: time is an argument, bytes are values. Out of scope: sockets, fixtures, scheduling.
//!
//! Every sender is driven in the same way: `update` with the newest frames as often as you like, send whatever
//! `due(now)` yields, then sleep until `next_due(now)` or the next tick, whichever is earlier. What changes between
//! two calls of `due` is not queued: the latest values win. Nothing allocates after construction.

pub mod address;
pub mod artnet;
pub mod frame;
pub mod rate;
pub mod sacn;
pub mod serial;

pub use address::{Address, AddressError, Slot, Universe};
pub use frame::{Frame, Frames};
