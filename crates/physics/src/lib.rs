//! The maths of light in a room: quantities, time, space, colour, beams, motor motion.
//!
//! Everything here is a function of its arguments: no clock, disk, network, thread or environment.
//! Trigonometry comes from `libm`, so that the same input gives the same bits on every system.
//!
//! Angles are radians inside and degrees at the edges; lengths are metres; time is [`Instant`] and [`Span`].
//! World frame: right-handed, X to the right as seen from the audience, Y away from the audience, Z up,
//! origin on the floor at the middle of the stage front.

pub mod beam;
pub mod colour;
pub mod motion;
pub mod space;
pub mod time;
pub mod units;

pub use space::{Direction, Point, Rotation};
pub use time::{Instant, Span};
