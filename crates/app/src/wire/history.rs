//! The history of the show, as the page lists it.

use serde::{Deserialize, Serialize};

/// What the show has been, the newest first.
#[derive(Clone, Debug, Default, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct HistoryView {
    /// The last edits, and every one with a bookmark.
    pub entries: Vec<EntryView>,
    /// How many older ones are left out.
    pub older: u32,
    /// Why there is none; a sentence.
    pub none: Option<String>,
}

/// An edit in the history.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct EntryView {
    /// Its number.
    pub id: u32,
    /// When, as the clock on the machine's wall had it: "2026-09-19 18:04".
    pub when: String,
    /// Who did it.
    pub who: String,
    /// What was done, one sentence.
    pub says: String,
    /// The bookmarks on it.
    pub bookmarks: Vec<String>,
    /// Where it stands.
    pub standing: EntryStanding,
    /// With a bookmark: what is otherwise in the show now, a line each.
    pub since: Vec<String>,
    /// How many lines of that are left out.
    pub since_more: u32,
}

/// Where an edit stands, seen from the show as it is now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(rename_all = "snake_case")]
pub(crate) enum EntryStanding {
    /// The show is this.
    Now,
    /// The show came by it.
    Before,
    /// It was undone, or is another way that was left.
    Aside,
}
