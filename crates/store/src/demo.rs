//! What is built in: an invented harvest supper and dance in a village hall, which opens when no show is named, and two
//! more rooms that it can be carried to.

use lanthorn_show::carry::{Names, carry};

use crate::carry::{Written, carried_text};
use crate::show_file::{ShowFile, read_show};

/// The text of the built-in show.
pub const DEMO_TEXT: &str = include_str!("../shows/harvest-supper.show.toml");

/// A school gym with a truss, a room without looks.
const GYM_TEXT: &str = include_str!("../shows/gym.show.toml");

/// A barn with eight lights, a room without looks.
const BARN_TEXT: &str = include_str!("../shows/barn.show.toml");

/// Names of everything that is built in, the hall with its show first.
pub const BUILT_IN: [&str; 3] = ["demo", "gym", "barn"];

/// The built-in show. None never happens: a test reads the text.
pub fn demo() -> Option<ShowFile> {
    read_show(DEMO_TEXT).0
}

/// The text of a built-in room with its lights, as one carries a show to it; "demo" is the hall with its show.
pub fn built_in_room(name: &str) -> Option<&'static str> {
    match name {
        "demo" => Some(DEMO_TEXT),
        "gym" => Some(GYM_TEXT),
        "barn" => Some(BARN_TEXT),
        _ => None,
    }
}

/// The text of a built-in show: the supper in the hall, or carried to the gym or the barn.
pub fn built_in_show(name: &str) -> Option<String> {
    let room = built_in_room(name)?;
    if name == "demo" {
        return Some(room.to_owned());
    }
    let (show, there) = (demo()?, read_show(room).0?);
    let carried = carry(&show.show, &show.rig, &there.rig, &Names::default());
    let show = Written { text: DEMO_TEXT, file: &show };
    Some(carried_text(show, Written { text: room, file: &there }, &carried))
}
