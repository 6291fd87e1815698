//! The show that opens when none is named: an invented harvest supper and dance.

use crate::show_file::{ShowFile, read_show};

/// The text of the built-in show.
pub const DEMO_TEXT: &str = include_str!("../shows/harvest-supper.show.toml");

/// The built-in show. None never happens: a test reads the text.
pub fn demo() -> Option<ShowFile> {
    read_show(DEMO_TEXT).0
}
