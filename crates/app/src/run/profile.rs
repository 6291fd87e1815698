//! `lanthorn profile …`

mod add;
mod check;
mod diff;
mod find;
mod list;
mod read;
mod show;
mod write;

use super::Failure;
use crate::command::Profile;

/// Does what was asked with profiles.
pub(crate) fn run(profile: &Profile) -> Result<(), Failure> {
    match profile {
        Profile::Read(options) => read::run(options),
        Profile::Write(options) => write::run(options),
        Profile::List(options) => list::run(options),
        Profile::Show(options) => show::run(options),
        Profile::Check(options) => check::run(options),
        Profile::Add(options) => add::run(options),
        Profile::Diff(options) => diff::run(options),
    }
}
