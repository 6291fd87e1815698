//! The history at rest: one SQLite database. A function here does one thing to it, inside whatever transaction is on.

use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, ErrorCode, OpenFlags, OptionalExtension, Row, TransactionBehavior};

use super::patch::{self, Hash, Patch};
use super::{Entry, EntryId, HistoryError, UnixTime};
use crate::disk::DiskError;

/// The version of the tables that this program writes, and the newest that it reads.
const VERSION: i64 = 1;
/// "LanH": tells our databases from others.
const APPLICATION: i64 = 0x4C61_6E48;
/// How long another program may keep the database to itself before we give up.
const PATIENCE: Duration = Duration::from_secs(3);
/// Every so many entries a whole text: so a text is put together from few pieces, and damage stays small.
const WHOLE_EVERY: i64 = 50;

/// `next` is where redo leads: to the newest child, which is the one that was undone last. At depth 0 `middle` is the whole text, otherwise what differs from the parent's.
const TABLES: &str = "
    CREATE TABLE entry (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        parent INTEGER REFERENCES entry,
        next INTEGER REFERENCES entry ON DELETE SET NULL,
        at INTEGER NOT NULL,
        who TEXT NOT NULL,
        says TEXT NOT NULL,
        depth INTEGER NOT NULL,
        front INTEGER NOT NULL,
        back INTEGER NOT NULL,
        middle TEXT NOT NULL,
        hash BLOB NOT NULL
    ) STRICT;
    CREATE INDEX entry_parent ON entry (parent);
    CREATE INDEX entry_next ON entry (next) WHERE next IS NOT NULL;
    CREATE TABLE bookmark (
        name TEXT PRIMARY KEY COLLATE NOCASE,
        entry INTEGER NOT NULL REFERENCES entry,
        at INTEGER NOT NULL
    ) STRICT;
    CREATE TABLE state (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        head INTEGER NOT NULL REFERENCES entry,
        written INTEGER NOT NULL REFERENCES entry
    ) STRICT;";

/// What an entry is read from; local time is the database's own sum.
const ENTRY: &str = "id, parent, at, strftime('%Y-%m-%d %H:%M', at, 'unixepoch', 'localtime'), who, says";

/// Why the database did not do what was asked.
#[derive(Debug)]
pub(super) enum Fault {
    /// Written by a newer program.
    Newer(i64),
    /// Not ours.
    Foreign,
    /// Somebody else has it.
    Busy,
    /// What stands in it cannot be.
    Broken(String),
    /// The system says no.
    System(String),
    /// Something else, with its own words.
    Said(Box<HistoryError>),
}

impl From<HistoryError> for Fault {
    fn from(error: HistoryError) -> Self {
        Self::Said(Box::new(error))
    }
}

impl From<DiskError> for Fault {
    fn from(error: DiskError) -> Self {
        HistoryError::Disk(error).into()
    }
}

impl Fault {
    /// The same for whoever hears of it, with the database's file.
    pub(super) fn at(self, path: &Path) -> HistoryError {
        let path = path.to_owned();
        match self {
            Self::Newer(version) => HistoryError::Newer { path, version, ours: VERSION },
            Self::Foreign => HistoryError::Foreign { path },
            Self::Busy => HistoryError::Busy { path },
            Self::Broken(reason) => HistoryError::Broken { path, reason },
            Self::System(reason) => HistoryError::System { path, reason },
            Self::Said(error) => *error,
        }
    }
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        let said = error.to_string();
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(
                ErrorCode::ReadOnly
                | ErrorCode::CannotOpen
                | ErrorCode::DiskFull
                | ErrorCode::SystemIoFailure
                | ErrorCode::PermissionDenied
                | ErrorCode::OutOfMemory
                | ErrorCode::FileLockingProtocolFailed
                | ErrorCode::NoLargeFileSupport,
            ) => Self::System(said),
            _ => Self::Broken(said),
        }
    }
}

/// Where the history stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct State {
    /// The entry whose text the show has.
    pub(super) head: EntryId,
    /// The entry whose text the show's file was last known to have; another one only while that is being written.
    pub(super) written: EntryId,
}

/// Opens the database, or begins it. One of a newer version, or of another program, stays as it is.
pub(super) fn open(path: &Path) -> Result<Connection, Fault> {
    let flags =
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(path, flags)?;
    connection.busy_timeout(PATIENCE)?;
    let is_new = is_new(&connection)?;
    // Where the file system cannot do this the old journal stays, which lasts as well.
    connection.query_row("PRAGMA journal_mode = WAL", [], |_| Ok(()))?;
    connection.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON; PRAGMA foreign_keys = ON;",
    )?;
    if is_new {
        begin(&mut connection)?;
    }
    let sound: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if sound == "ok" { Ok(connection) } else { Err(Fault::Broken(sound)) }
}

/// Whether there is nothing in it yet.
fn is_new(connection: &Connection) -> Result<bool, Fault> {
    let number = |sql: &str| connection.query_row(sql, [], |row| row.get::<_, i64>(0));
    let application = number("PRAGMA application_id")?;
    let version = number("PRAGMA user_version")?;
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    match (application, version, tables) {
        (0, 0, 0) => Ok(true),
        (APPLICATION, VERSION, _) => Ok(false),
        (APPLICATION, version, _) if version > VERSION => Err(Fault::Newer(version)),
        (APPLICATION, version, _) => Err(Fault::Broken(format!("there is no version {version}"))),
        _ => Err(Fault::Foreign),
    }
}

fn begin(connection: &mut Connection) -> Result<(), Fault> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have been quicker.
    if is_new(&transaction)? {
        transaction.execute_batch(TABLES)?;
        transaction.pragma_update(None, "application_id", APPLICATION)?;
        transaction.pragma_update(None, "user_version", VERSION)?;
    }
    Ok(transaction.commit()?)
}

/// Moves a broken database out of the way, with the files beside it that belong to it. Where it is now.
pub(super) fn set_aside(path: &Path) -> io::Result<PathBuf> {
    let name = |number: u32| longer(path, &format!(".broken-{number}"));
    let free = |path: &PathBuf| fs::symlink_metadata(path).is_err();
    let aside = (1..1000).map(name).find(free).unwrap_or_else(|| name(1000));
    fs::rename(path, &aside)?;
    for ending in ["-wal", "-shm"] {
        let beside = longer(path, ending);
        if fs::symlink_metadata(&beside).is_ok() {
            fs::rename(beside, longer(&aside, ending))?;
        }
    }
    Ok(aside)
}

/// The path with something behind its name.
pub(super) fn longer(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    PathBuf::from(name)
}

/// Where the history stands; none before the first entry.
pub(super) fn state(connection: &Connection) -> Result<Option<State>, Fault> {
    let read = |row: &Row<'_>| Ok(State { head: EntryId(row.get(0)?), written: EntryId(row.get(1)?) });
    Ok(connection.query_row("SELECT head, written FROM state", [], read).optional()?)
}

/// Says where the history stands from now on.
pub(super) fn set_state(connection: &Connection, state: State) -> Result<(), Fault> {
    let sql = "INSERT OR REPLACE INTO state (one, head, written) VALUES (1, ?1, ?2)";
    connection.execute(sql, [state.head.0, state.written.0])?;
    Ok(())
}

/// What is to be said of a new entry.
#[derive(Clone, Copy, Debug)]
pub(super) struct Note<'n> {
    pub(super) at: UnixTime,
    pub(super) who: &'n str,
    pub(super) says: &'n str,
}

/// Adds an entry behind another; redo leads there from now on.
pub(super) fn add(
    connection: &Connection,
    parent: Option<EntryId>,
    text: &str,
    note: Note<'_>,
) -> Result<EntryId, Fault> {
    let (mut depth, mut old) = (0, String::new());
    if let Some(parent) = parent {
        let sql = "SELECT depth FROM entry WHERE id = ?1";
        depth = (connection.query_row(sql, [parent.0], |row| row.get::<_, i64>(0))? + 1) % WHOLE_EVERY;
        old = self::text(connection, parent)?;
    }
    let mut patch = Patch::between(&old, text);
    if depth == 0 || patch.middle.len() > text.len() / 2 {
        (depth, patch) = (0, Patch { front: 0, back: 0, middle: text });
    }
    let sql = "INSERT INTO entry (parent, at, who, says, depth, front, back, middle, hash) \
               VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
    let (front, back) = (patch.front as i64, patch.back as i64);
    let parent = parent.map(|parent| parent.0);
    let values = rusqlite::params![
        parent,
        note.at.0,
        note.who,
        note.says,
        depth,
        front,
        back,
        patch.middle,
        patch::hash(text)
    ];
    connection.execute(sql, values)?;
    let id = EntryId(connection.last_insert_rowid());
    if let Some(parent) = parent {
        set_next(connection, EntryId(parent), Some(id))?;
    }
    Ok(id)
}

/// Takes out an entry that nobody was told of. It stays where something stands on it already.
pub(super) fn drop_last(connection: &Connection, id: EntryId) -> Result<(), Fault> {
    let sql = "DELETE FROM entry WHERE id = ?1 AND NOT EXISTS (SELECT 1 FROM entry WHERE parent = ?1) \
               AND NOT EXISTS (SELECT 1 FROM bookmark WHERE entry = ?1) \
               AND NOT EXISTS (SELECT 1 FROM state WHERE head = ?1 OR written = ?1)";
    connection.execute(sql, [id.0])?;
    Ok(())
}

/// Says where redo leads from an entry.
pub(super) fn set_next(connection: &Connection, from: EntryId, to: Option<EntryId>) -> Result<(), Fault> {
    let to = to.map(|to| to.0);
    connection.execute("UPDATE entry SET next = ?2 WHERE id = ?1", rusqlite::params![from.0, to])?;
    Ok(())
}

/// Where redo leads from an entry.
pub(super) fn next(connection: &Connection, id: EntryId) -> Result<Option<EntryId>, Fault> {
    let sql = "SELECT next FROM entry WHERE id = ?1";
    Ok(connection.query_row(sql, [id.0], |row| row.get::<_, Option<i64>>(0))?.map(EntryId))
}

/// The hash of an entry's text.
pub(super) fn hash(connection: &Connection, id: EntryId) -> Result<Hash, Fault> {
    Ok(connection.query_row("SELECT hash FROM entry WHERE id = ?1", [id.0], |row| row.get(0))?)
}

/// An entry's text, put together and compared with its hash.
pub(super) fn text(connection: &Connection, id: EntryId) -> Result<String, Fault> {
    let broken = |why: &str| Fault::Broken(format!("entry {id}: {why}"));
    let sql = "SELECT parent, depth, front, back, middle FROM entry WHERE id = ?1";
    let mut statement = connection.prepare(sql)?;
    let (mut pieces, mut at) = (Vec::new(), id.0);
    loop {
        let read = |row: &Row<'_>| {
            let piece: (i64, i64, String) = (row.get(2)?, row.get(3)?, row.get(4)?);
            Ok((row.get::<_, Option<i64>>(0)?, row.get::<_, i64>(1)?, piece))
        };
        let (parent, depth, piece) = statement.query_row([at], read)?;
        pieces.push(piece);
        if depth == 0 {
            break;
        }
        at = parent.ok_or_else(|| broken("its beginning is missing"))?;
        if pieces.len() as i64 > WHOLE_EVERY {
            return Err(broken("its beginning is too far away"));
        }
    }
    let mut text = String::new();
    for (front, back, middle) in pieces.iter().rev() {
        let length = |bytes: i64| usize::try_from(bytes).map_err(|_| broken("a length is wrong"));
        let patch = Patch { front: length(*front)?, back: length(*back)?, middle };
        text = patch.applied(&text).ok_or_else(|| broken("it does not fit the one before"))?;
    }
    if patch::hash(&text) == hash(connection, id)? {
        Ok(text)
    } else {
        Err(broken("its text is not what was recorded"))
    }
}

/// One entry; none of that number.
pub(super) fn entry(connection: &Connection, id: EntryId) -> Result<Option<Entry>, Fault> {
    let sql = format!("SELECT {ENTRY} FROM entry WHERE id = ?1");
    Ok(connection.query_row(&sql, [id.0], read_entry).optional()?)
}

/// Every entry, the newest first.
pub(super) fn entries(connection: &Connection) -> Result<Vec<Entry>, Fault> {
    let mut statement = connection.prepare(&format!("SELECT {ENTRY} FROM entry ORDER BY id DESC"))?;
    let rows = statement.query_map([], read_entry)?.collect::<Result<_, _>>()?;
    Ok(rows)
}

fn read_entry(row: &Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        id: EntryId(row.get(0)?),
        parent: row.get::<_, Option<i64>>(1)?.map(EntryId),
        at: UnixTime(row.get(2)?),
        // A time that no calendar has.
        when: row.get::<_, Option<String>>(3)?.unwrap_or_else(|| "unknown".to_owned()),
        who: row.get(4)?,
        says: row.get(5)?,
    })
}

/// Every bookmark with its entry, by name.
pub(super) fn bookmarks(connection: &Connection) -> Result<Vec<(String, EntryId)>, Fault> {
    let mut statement = connection.prepare("SELECT name, entry FROM bookmark ORDER BY name")?;
    let rows =
        statement.query_map([], |row| Ok((row.get(0)?, EntryId(row.get(1)?))))?.collect::<Result<_, _>>()?;
    Ok(rows)
}

/// The entry under a bookmark, capitals or not.
pub(super) fn bookmark(connection: &Connection, name: &str) -> Result<Option<EntryId>, Fault> {
    let sql = "SELECT entry FROM bookmark WHERE name = ?1";
    Ok(connection.query_row(sql, [name], |row| row.get(0).map(EntryId)).optional()?)
}

/// Puts a bookmark on an entry.
pub(super) fn add_bookmark(
    connection: &Connection,
    name: &str,
    id: EntryId,
    at: UnixTime,
) -> Result<(), Fault> {
    let sql = "INSERT INTO bookmark (name, entry, at) VALUES (?1, ?2, ?3)";
    connection.execute(sql, rusqlite::params![name, id.0, at.0])?;
    Ok(())
}
