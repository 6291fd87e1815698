//! Show files from the command line: "demo" or a path; problems printed one a line.

use std::path::{Path, PathBuf};

use lanthorn_store::disk::{self, DiskError};
use lanthorn_store::{DEMO_TEXT, Problem, ShowFile, read_show};

use crate::run::Failure;

/// The built-in show's name on the command line.
pub(crate) const DEMO: &str = "demo";

/// A show that was read, with the warnings that came with it.
#[derive(Debug)]
pub(crate) struct Opened {
    /// As problems are headed with it: the file's path, or "demo".
    pub(crate) name: String,
    /// Its file; none for the built-in show.
    pub(crate) path: Option<PathBuf>,
    pub(crate) file: ShowFile,
    pub(crate) warnings: Vec<Problem>,
}

/// Reads a show; whatever is wrong with it is in the failure, a line for each problem.
pub(crate) fn open(show: &str) -> Result<Opened, Failure> {
    let (path, text) = text_of(show)?;
    let name = path.as_ref().map_or_else(|| DEMO.to_owned(), |path| path.display().to_string());
    let (file, problems) = read_show(&text);
    match file {
        Some(file) => Ok(Opened { name, path, file, warnings: problems }),
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

/// A show's text and its path; none for the built-in one. A name without its ending is tried with it.
fn text_of(show: &str) -> Result<(Option<PathBuf>, String), Failure> {
    if show == DEMO {
        return Ok((None, DEMO_TEXT.to_owned()));
    }
    let path = with_ending(Path::new(show));
    let text = disk::load(&path).map_err(|error| unreadable(&error))?;
    Ok((Some(path), text))
}

fn with_ending(path: &Path) -> PathBuf {
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
