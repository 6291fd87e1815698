//! The set-up run: what is done to each light at the venue, and the line check, which finds out by a few questions which
//! light is wrong and why.
//!
//! [`steps`] lists the work light by light along each data line. [`LineCheck`] asks: some lights are lit, or their heads
//! swing, a person says what each light does, and of everything that may be wrong that is kept which fits. What is asked
//! and how causes are ranked: docs/setup.md.

mod ask;
mod cases;
mod check;
mod choose;
mod fault;
mod stand;
mod steps;
mod tell;
mod weigh;
mod words;

pub use ask::{Answer, Ask, AxisAsked, LEVEL, Plan, Seen};
pub use check::{Asked, LineCheck};
pub use fault::Fault;
pub use stand::{Axes, Setting};
pub use steps::{Card, Part, Step, StepKind, steps};
pub use tell::{Cause, Standing};

#[cfg(test)]
mod tests;
