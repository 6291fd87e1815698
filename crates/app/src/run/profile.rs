//! `lanthorn profile …`

mod read;

use super::Failure;
use crate::command::Profile;

/// Does what was asked with profiles.
pub(crate) fn run(profile: &Profile) -> Result<(), Failure> {
    match profile {
        Profile::Read(options) => read::run(options),
    }
}
