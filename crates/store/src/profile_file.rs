//! Profiles as text: the same keys in a file of its own and under `[[profile]]` in a show.

mod read;
mod write;

use lanthorn_fixture::Profile;

use crate::edit::{EditError, Step, set_value};
use crate::ink;
use crate::problem::Problem;
use crate::tree;
use crate::walk::{Fields, Report};

pub(crate) use read::{LONGEST_KEPT, MOST_KEPT, kept as read_kept, profile as read_fields};
pub(crate) use write::{kept as write_kept, profile as write_into};

/// Reads one profile from a file of its own. No profile when any of the problems is an error.
pub fn read_profile(text: &str) -> (Option<Profile>, Vec<Problem>) {
    let root = match tree::parse(text) {
        Ok(root) => root,
        Err(problem) => return (None, vec![*problem]),
    };
    let mut report = Report::new(text);
    let tree::Data::Table(entries) = &root.data else { return (None, report.finish()) };
    let profile = read::profile(Fields::new(entries, "profile".to_owned(), 0), &mut report);
    let profile = profile.filter(|_| !report.has_errors());
    (profile, report.finish())
}

/// The line of a profile's `[optics]` that carries a photometric file. Line ends become those of the profile.
pub fn photometry_lines(file: &str) -> String {
    let mut out = String::new();
    ink::line(&mut out, "ies", &ink::lines(&file.replace("\r\n", "\n").replace('\r', "\n")));
    out
}

/// The text of a profile's file with a photometric file in its `[optics]`, every other byte as it was.
///
/// # Errors
///
/// A sentence: the text is no profile, or would not be one any more.
pub fn attach_photometry(profile: &str, file: &str) -> Result<String, String> {
    let first = |problems: Vec<Problem>| {
        problems
            .into_iter()
            .find(Problem::is_error)
            .map_or_else(|| "it is no profile".to_owned(), |it| it.in_line())
    };
    let (read, problems) = read_profile(profile);
    if read.is_none() {
        return Err(first(problems));
    }
    let value = ink::lines(&file.replace("\r\n", "\n").replace('\r', "\n"));
    let path = [Step::Key("optics"), Step::Key("ies")];
    let text = match set_value(profile, &path, &value) {
        Ok(text) => text,
        Err(EditError::NoSuchPlace { .. }) => {
            let stop = if profile.is_empty() || profile.ends_with('\n') { "" } else { "\n" };
            format!("{profile}{stop}\n[optics]\nies = {value}\n")
        }
        Err(why) => return Err(why.to_string()),
    };
    let (read, problems) = read_profile(&text);
    if read.is_none() { Err(first(problems)) } else { Ok(text) }
}

/// One profile as the text of a file of its own. Reading it gives the same profile.
pub fn write_profile(profile: &Profile) -> String {
    let mut out = String::new();
    write::profile(&mut out, profile, "");
    out
}

/// One profile as a table of a show file.
pub(crate) fn write_table(profile: &Profile) -> String {
    let mut out = "[[profile]]\n".to_owned();
    write::profile(&mut out, profile, "profile.");
    out
}
