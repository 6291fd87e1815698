//! Integration tests of the rig crate, in one binary.

mod depth;
mod plan;
mod random;
mod rigs;
