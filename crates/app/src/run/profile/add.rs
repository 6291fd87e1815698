//! `lanthorn profile add FILE`

use std::io::Write;

use lanthorn_store::library::{self, Added, identity};

use super::super::Failure;
use super::find;
use crate::command::ProfileAdd;
use crate::files;

/// Puts a profile file into one's own folder.
pub(crate) fn run(options: &ProfileAdd) -> Result<(), Failure> {
    let (profile, text) = find::in_file(&options.file)?;
    let folder = files::own_folder().ok_or_else(|| {
        Failure::Input("profile add: no folder is known: name one in LANTHORN_PROFILES".to_owned())
    })?;
    let added = library::add(&folder, &profile, Some(&text), options.replace)
        .map_err(|error| Failure::Machine(error.into()))?;
    let mut out = std::io::stdout().lock();
    let named = format!("\"{}\" ({})", profile.name, identity(&profile));
    match added {
        Added::New(file) => {
            writeln!(out, "{named} is in your library: {}", file.display())?;
            if library::shipped_profile(&profile.name).is_some() {
                writeln!(
                    out,
                    "  It goes before the shipped one of that name wherever you choose a light. Shows keep what they have:\n  \
                     `lanthorn profile list --in SHOW` tells what they could take."
                )?;
            }
        }
        Added::Same(file) => writeln!(out, "{named} is in your library already: {}", file.display())?,
        Added::Replaced { file, kept, differences } => {
            writeln!(out, "{named} is in your library: {}", file.display())?;
            differences.iter().try_for_each(|one| writeln!(out, "  {one}"))?;
            writeln!(out, "  the other is kept as {}", kept.display())?;
        }
        Added::Differs { file, differences } => {
            let list: Vec<String> = differences.iter().map(|one| format!("\n  {one}")).collect();
            return Err(Failure::Input(format!(
                "{}: your library has another \"{}\":{}\nnothing was written; add --replace to put this one in its place \
                 (the other is kept beside it), or give this one a name of its own",
                file.display(),
                profile.name,
                list.concat()
            )));
        }
    }
    Ok(())
}
