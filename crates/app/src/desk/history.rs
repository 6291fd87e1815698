//! What the page is told of the show's history.

use lanthorn_store::History;
use lanthorn_store::history::{EntryId, HistoryError, Listed, Standing};

use crate::wire::{EntryStanding, EntryView, HistoryView};

/// So many of the last edits are told; more are read on the command line.
const TOLD: usize = 60;
/// So many bookmarks are told, the newest.
const BOOKMARKS: usize = 20;
/// So many lines of what is otherwise since a bookmark.
const SINCE: usize = 4;

/// The last edits and every bookmark, with what has changed since.
pub(super) fn told(history: &mut History, now: EntryId) -> Result<HistoryView, HistoryError> {
    let list = history.list()?;
    let mut view = HistoryView::default();
    let mut bookmarks = 0;
    for (place, listed) in list.into_iter().enumerate() {
        let named = !listed.bookmarks.is_empty() && bookmarks < BOOKMARKS;
        bookmarks += usize::from(named);
        if place >= TOLD && !named {
            view.older += 1;
            continue;
        }
        let since = if named { history.compare(listed.entry.id, now)? } else { Vec::new() };
        view.entries.push(entry(listed, since));
    }
    Ok(view)
}

fn entry(listed: Listed, mut since: Vec<String>) -> EntryView {
    let Listed { entry, bookmarks, standing } = listed;
    let more = since.len().saturating_sub(SINCE);
    since.truncate(SINCE);
    EntryView {
        id: u32::try_from(entry.id.number()).unwrap_or(u32::MAX),
        when: entry.when,
        who: entry.who,
        says: entry.says,
        bookmarks,
        standing: match standing {
            Standing::Now => EntryStanding::Now,
            Standing::Before => EntryStanding::Before,
            Standing::Aside => EntryStanding::Aside,
        },
        since,
        since_more: u32::try_from(more).unwrap_or(u32::MAX),
    }
}
