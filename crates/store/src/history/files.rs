//! What the history does with files: a seam, so that a test can stop it at any step.

use std::fmt::Debug;
use std::path::{Path, PathBuf};

use super::db::longer;
use crate::disk::{self, DiskError};

/// The show's file, as the history uses it.
pub(super) trait Disk: Debug + Send {
    /// The file itself where the path is a link to it; an error where there is none to read.
    fn find(&self, show: &Path) -> Result<PathBuf, DiskError>;
    /// Its text.
    fn load(&self, show: &Path) -> Result<String, DiskError>;
    /// Replaces its text where that is still `old`.
    fn save_over(&self, show: &Path, old: &str, new: &str) -> Result<bool, DiskError>;
}

/// Real files.
#[derive(Debug)]
pub(super) struct Files;

impl Disk for Files {
    fn find(&self, show: &Path) -> Result<PathBuf, DiskError> {
        disk::load(show)?;
        Ok(std::fs::canonicalize(show).unwrap_or_else(|_| show.to_owned()))
    }

    fn load(&self, show: &Path) -> Result<String, DiskError> {
        disk::load(show)
    }

    fn save_over(&self, show: &Path, old: &str, new: &str) -> Result<bool, DiskError> {
        disk::save_over(show, old, new)
    }
}

/// `NAME.history` beside `NAME.show.toml`; the whole name longer for a file that is called otherwise.
pub(super) fn history_of(show: &Path) -> PathBuf {
    let name = show.file_name().and_then(|name| name.to_str());
    match name.and_then(|name| name.strip_suffix(".show.toml")) {
        Some(stem) if !stem.is_empty() => show.with_file_name(format!("{stem}.history")),
        _ => longer(show, ".history"),
    }
}
