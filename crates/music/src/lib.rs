//! Samples in; onsets, beats, bars, phrases, sections and energy out.
//!
//! Everything here is a function of the samples so far: no clock, no device. Sound comes as blocks of any size, mono, of
//! one rate; a moment is counted in seconds of sound since the first sample. What the live path says about a moment never
//! rests on what comes later.

pub mod bar;
#[cfg(feature = "decode")]
pub mod decode;
pub mod net;
pub mod piece;
pub mod pulse;
mod resample;
pub mod spectrum;
pub mod tracker;

pub use pulse::Pulse;
pub use resample::{Resampler, UnusableRate};

/// Samples a second on which all here is computed: what lies above 12 kHz tells nothing about a beat.
pub const RATE: u32 = 24_000;

/// Samples from one frame to the next: ten milliseconds.
pub const HOP: usize = 240;

/// Frames a second.
pub const FRAMES_A_SECOND: f64 = RATE as f64 / HOP as f64;
