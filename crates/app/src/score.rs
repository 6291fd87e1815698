//! Scored tracks at the edge: from a piece that was heard to a score; a score played; its sound.

mod clock;
pub(crate) mod heard;
mod play;
pub(crate) mod sound;
mod strokes;

pub(crate) use play::Scores;
