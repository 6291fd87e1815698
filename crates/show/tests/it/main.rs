//! The player as the rest of the project sees it: commands in, pictures out.

#![expect(
    clippy::float_cmp,
    reason = "expected tables hold exact figures: the same input gives the same bits"
)]

mod answering;
mod chases;
mod common;
mod cues;
mod ends_of_fades;
mod fades;
mod figures;
mod groups;
mod hand;
mod keep;
mod looks;
mod music;
mod running;
mod score;
mod stops;
mod swap;
mod telling;
