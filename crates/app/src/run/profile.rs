//! `lanthorn profile …`

mod read;
mod write;

use super::Failure;
use crate::command::Profile;

/// Does what was asked with profiles.
pub(crate) fn run(profile: &Profile) -> Result<(), Failure> {
    match profile {
        Profile::Read(options) => read::run(options),
        Profile::Write(options) => write::run(options),
    }
}
