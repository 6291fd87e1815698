//! The running machine: tick thread, sockets, serial ports, command ring, published snapshot.
//!
//! One tick: drain the command ring, ask the player what now, aim, limit, encode, hand the frames to the outputs,
//! publish. The tick neither allocates nor logs nor waits for anything, a lock included, but its own deadline. Knows no
//! HTTP, no disk, no maths.

pub mod clock;
pub mod ears;
pub mod engine;
pub mod input;
pub mod machine;
pub mod output;
pub mod ring;
pub mod swap;
#[cfg(test)]
mod testing;
mod trial;

pub use clock::Clock;
pub use ears::Ears;
pub use engine::{Engine, EngineError};
pub use machine::{Machine, Resuming};
pub use output::{OutputSpec, OutputStatus};
pub use ring::{Commands, Snapshot, Snapshots};
pub use swap::{Preparer, Replacement, SwapError};
pub use trial::Trial;
