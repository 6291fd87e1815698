//! The sums of the plan by themselves: numbers in, numbers out, no rig.
//!
//! [`crate::plan`] feeds them from a rig, the calculators from a script. Every formula and table names its source; figures
//! from memory and our own planning values say so. None of them is a permission: local code, the venue, the maker's
//! manual and a competent person overrule every one.

pub mod assign;
pub mod bar;
pub mod cable;
pub mod electric;
pub mod noise;
pub mod route;
pub mod stand;
pub mod stock;
