//! Integration tests of the rig crate, in one binary.

mod plan;
mod random;
mod rigs;
