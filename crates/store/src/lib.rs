//! Everything at rest: show files and the profile library.
//!
//! The way in: text → [`read_show`] → a [`ShowFile`] and every [`Problem`], each with its line. The way out:
//! [`write_show`], or, in a file that a person keeps, [`change`] for what somebody asks for and [`edit`] for what was found out;
//! [`history`] keeps every text that a show ever had. Disk is touched in [`disk`] and [`history`] alone.

mod archive;
pub mod carry;
pub mod change;
pub mod chart;
pub mod demo;
pub mod disk;
pub mod edit;
pub mod gdtf;
pub mod history;
mod ink;
mod kept_chart;
pub mod library;
pub mod mvr;
mod nearest;
pub mod patch_table;
pub mod problem;
pub mod profile_file;
mod quantity;
pub mod reading;
pub mod show_file;
pub mod starter;
mod tree;
pub mod values;
mod walk;
mod words;
mod xml;

pub use demo::{BUILT_IN, DEMO_TEXT, built_in_room, built_in_show, demo};
pub use history::History;
pub use kept_chart::{KeptChart, MOST_BYTES as MOST_CHART_BYTES, kept_charts};
pub use library::{shipped, shipped_profile};
pub use problem::{Problem, Severity};
pub use profile_file::{attach_photometry, photometry_lines, read_profile, write_profile};
pub use show_file::{ShowFile, Swatch, read_show, write_show};
