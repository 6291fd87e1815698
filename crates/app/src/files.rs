//! Show files from the command line: a built-in name ("demo", "gym", "barn") or a path; problems printed one a line.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use lanthorn_store::disk::{self, DiskError};
use lanthorn_store::history::UnixTime;
use lanthorn_store::{Problem, ShowFile, built_in_room, built_in_show, library, read_show};

use crate::run::Failure;

/// The built-in show's name on the command line.
pub(crate) const DEMO: &str = "demo";

/// A show that was read, with the warnings that came with it.
#[derive(Debug)]
pub(crate) struct Opened {
    /// As problems are headed with it: the file's path, or the built-in name.
    pub(crate) name: String,
    /// Its file; none for what is built in.
    pub(crate) path: Option<PathBuf>,
    pub(crate) text: String,
    pub(crate) file: ShowFile,
    pub(crate) warnings: Vec<Problem>,
}

/// Reads a show; whatever is wrong with it is in the failure, a line for each problem.
pub(crate) fn open(show: &str) -> Result<Opened, Failure> {
    match built_in_show(show) {
        Some(text) => read(show.to_owned(), None, text),
        None => load(show),
    }
}

/// Reads a room with its lights to carry a show to: a show file, or a built-in room, which has no looks of its own.
pub(crate) fn open_room(room: &str) -> Result<Opened, Failure> {
    match built_in_room(room) {
        Some(text) => read(room.to_owned(), None, text.to_owned()),
        None => load(room),
    }
}

fn read(name: String, path: Option<PathBuf>, text: String) -> Result<Opened, Failure> {
    let (file, problems) = read_show(&text);
    match file {
        Some(file) => Ok(Opened { name, path, text, file, warnings: problems }),
        None => Err(Failure::Input(lines(&name, &problems))),
    }
}

impl Opened {
    /// Puts a look or a chase on from the first moment.
    pub(crate) fn start_with(&mut self, start: Option<&str>) -> Result<(), Failure> {
        let Some(start) = start else { return Ok(()) };
        let show = &mut self.file.show;
        let looks = show.looks.iter().map(|look| look.name.as_str());
        let mut names = looks.chain(show.chases.iter().map(|chase| chase.name.as_str()));
        let Some(name) = names.find(|name| name.eq_ignore_ascii_case(start)).map(str::to_owned) else {
            let looks = list(show.looks.iter().map(|look| look.name.as_str()));
            let chases = list(show.chases.iter().map(|chase| chase.name.as_str()));
            return Err(Failure::Input(format!(
                "--start {start}: {} has no look or chase of that name\n  looks: {looks}\n  chases: {chases}",
                self.name
            )));
        };
        show.start = Some(name);
        Ok(())
    }

    /// Prints the warnings on standard error.
    pub(crate) fn print_warnings(&self) {
        if !self.warnings.is_empty() {
            eprintln!("{}", lines(&self.name, &self.warnings));
        }
    }
}

/// Where a show lies, if it has a file of its own.
pub(crate) fn path_of(show: &str) -> Option<PathBuf> {
    (built_in_show(show).is_none()).then(|| with_ending(Path::new(show)))
}

/// Where programs keep what is to last over restarts.
pub(crate) fn state_folder() -> Option<PathBuf> {
    std::env::var_os("XDG_STATE_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::home_dir().map(|home| home.join(".local/state")))
}

/// One's own folder of profiles: `LANTHORN_PROFILES`, else beside what else lasts over restarts.
pub(crate) fn own_folder() -> Option<PathBuf> {
    let named = std::env::var_os("LANTHORN_PROFILES").filter(|folder| !folder.is_empty()).map(PathBuf::from);
    named.or_else(|| state_folder().map(|folder| folder.join("lanthorn").join("profiles")))
}

/// Reads one's own profiles anew. What cannot be used is told by `lanthorn profile list`.
pub(crate) fn bring_own_profiles() {
    let read = own_folder().and_then(|folder| library::read_folder(&folder).ok()).unwrap_or_default();
    library::bring_own(read.into_iter().filter_map(|own| own.profile).collect());
}

/// The time of day, for what is recorded.
pub(crate) fn now() -> UnixTime {
    // A clock that stands before 1970 is set wrong: that edit bears the beginning of time.
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    UnixTime(since.as_secs().try_into().unwrap_or(i64::MAX))
}

/// A show from its file. A name without its ending is tried with it.
fn load(show: &str) -> Result<Opened, Failure> {
    let path = with_ending(Path::new(show));
    let text = disk::load(&path).map_err(|error| unreadable(&error))?;
    read(path.display().to_string(), Some(path), text)
}

/// As given, or with the ending of show files where only that is there.
pub(crate) fn with_ending(path: &Path) -> PathBuf {
    let longer = PathBuf::from(format!("{}.show.toml", path.display()));
    if !path.exists() && longer.exists() { longer } else { path.to_owned() }
}

fn unreadable(error: &DiskError) -> Failure {
    Failure::Input(error.to_string())
}

/// The problems, one a line.
pub(crate) fn lines(name: &str, problems: &[Problem]) -> String {
    problems.iter().map(|problem| problem.in_file(name)).collect::<Vec<_>>().join("\n")
}

fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}
