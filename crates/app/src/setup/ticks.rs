//! What is ticked, kept in the person's state folder beside what is on: one small file for each show's path, so that a
//! restart, or another phone, sees it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use lanthorn_store::disk;
use serde::{Deserialize, Serialize};

use crate::resume;

/// The layout of the file.
const VERSION: u32 = 1;
/// More keys than any rig has; a file that holds more is none of ours.
const MOST: usize = 20_000;

/// The file.
#[derive(Debug, Default, Deserialize, Serialize)]
struct Kept {
    version: u32,
    /// The show's path, for people.
    show: String,
    done: BTreeSet<String>,
}

/// What is ticked.
#[derive(Debug, Default)]
pub(crate) struct Ticks {
    /// None for a show that is built in: it is kept until the show ends.
    file: Option<PathBuf>,
    show: String,
    done: BTreeSet<String>,
    says: String,
}

/// The file of a show's path in a state folder.
pub(crate) fn file_of(state: &Path, show: &Path) -> PathBuf {
    resume::file_in(state, "set-up", show)
}

impl Ticks {
    /// What was ticked when the show was last open. What cannot be read any more counts as nothing ticked.
    pub(crate) fn open(file: Option<PathBuf>, show: Option<&Path>) -> Self {
        let kept = file.as_ref().and_then(|file| disk::load(file).ok());
        let kept: Option<Kept> = kept.and_then(|text| serde_json::from_str(&text).ok());
        let done =
            kept.filter(|kept| kept.version == VERSION && kept.done.len() <= MOST).map(|kept| kept.done);
        Self {
            file,
            show: show.map_or_else(String::new, |show| show.display().to_string()),
            done: done.unwrap_or_default(),
            says: String::new(),
        }
    }

    pub(crate) fn has(&self, key: &str) -> bool {
        self.done.contains(key)
    }

    /// Why they are not kept, one sentence; empty while they are.
    pub(crate) fn says(&self) -> &str {
        &self.says
    }

    /// Ticks keys, or takes their ticks away; durable when this returns, or `says` why not.
    pub(crate) fn set(&mut self, keys: &[String], done: bool) {
        let mut changed = false;
        for key in keys {
            changed |= if done { self.done.insert(key.clone()) } else { self.done.remove(key) };
        }
        let Some(file) = self.file.as_ref().filter(|_| changed) else { return };
        let kept = Kept { version: VERSION, show: self.show.clone(), done: self.done.clone() };
        // Plain data of ours always has a JSON form.
        let text = serde_json::to_string(&kept).unwrap_or_default();
        self.says = match disk::keep(file, &text) {
            Ok(()) => String::new(),
            Err(why) => format!("What you tick lasts until the show ends, not over a restart: {why}."),
        };
    }
}
