//! The only place that touches disk.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::tree::MOST_BYTES;

#[cfg(test)]
mod tests;

/// What went wrong with a file on disk.
#[derive(Debug, thiserror::Error)]
pub enum DiskError {
    /// Not there.
    #[error("{path}: there is no such file; check the name", path = path.display())]
    NotThere {
        /// Which file.
        path: PathBuf,
    },
    /// Too large to be what it should be.
    #[error("{path}: the file has more than {most} bytes; is it the right one?", path = path.display())]
    TooLarge {
        /// Which file.
        path: PathBuf,
        /// How many it may have.
        most: usize,
    },
    /// Not text.
    #[error("{path}:{line}: this is no UTF-8 text; save it as UTF-8, or check that it is the right file", path = path.display())]
    NotText {
        /// Which file.
        path: PathBuf,
        /// The first line that is none.
        line: usize,
    },
    /// Somebody else's file stands where ours should.
    #[error("{path}: there is a file already; choose another name", path = path.display())]
    Exists {
        /// Which file.
        path: PathBuf,
    },
    /// Not what was once written there.
    #[error("{path}: {length} bytes were expected; delete the file to start anew", path = path.display())]
    WrongLength {
        /// Which file.
        path: PathBuf,
        /// How many it must have.
        length: usize,
    },
    /// A folder stands there.
    #[error("{path}: this is a folder; name the show file in it", path = path.display())]
    Folder {
        /// Which.
        path: PathBuf,
    },
    /// The system does not let us read.
    #[error("{path}: it cannot be read ({reason}); look at its permissions", path = path.display())]
    NotReadable {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        reason: io::Error,
    },
    /// The system says no. Its words are part of the message.
    #[error("{path}: {doing} failed ({reason}); the file is as it was", path = path.display())]
    System {
        /// Which file.
        path: PathBuf,
        /// What was tried.
        doing: &'static str,
        /// What the system said.
        reason: io::Error,
    },
}

/// The text of a file. Never reads more than a show file may have.
pub fn load(path: &Path) -> Result<String, DiskError> {
    let bytes = read_at_most(path, MOST_BYTES)?;
    String::from_utf8(bytes).map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = good.iter().filter(|byte| **byte == b'\n').count() + 1;
        DiskError::NotText { path: path.to_owned(), line }
    })
}

/// The bytes of a file, no more than `most`.
pub fn load_bytes(path: &Path, most: usize) -> Result<Vec<u8>, DiskError> {
    read_at_most(path, most)
}

/// The files in a folder whose names end so, by name; those that begin with a point are left out. A folder that is not
/// there holds none.
pub fn files(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, DiskError> {
    let failed = |reason| DiskError::NotReadable { path: folder.to_owned(), reason };
    let entries = match fs::read_dir(folder) {
        Err(reason) if reason.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(failed)?,
    };
    let mut list = Vec::new();
    for entry in entries {
        let path = entry.map_err(failed)?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.ends_with(ending) && !name.starts_with('.') && path.is_file() {
            list.push(path);
        }
    }
    list.sort();
    Ok(list)
}

/// When a file was written, and how long it is: another stamp means another text, or the same written again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    modified: Option<std::time::SystemTime>,
    length: u64,
}

/// The stamp of a file.
pub fn stamp(path: &Path) -> Result<Stamp, DiskError> {
    let read = fs::metadata(path).map_err(|reason| match reason.kind() {
        io::ErrorKind::NotFound => DiskError::NotThere { path: path.to_owned() },
        _ => DiskError::NotReadable { path: path.to_owned(), reason },
    })?;
    Ok(Stamp { modified: read.modified().ok(), length: read.len() })
}

/// Writes a file whole or not at all: beside it, then into its place. Whatever fails, the old file is as it was.
/// Permissions are kept. A link is followed: its target is replaced, the link stays.
pub fn save_atomic(path: &Path, content: impl AsRef<[u8]>) -> Result<(), DiskError> {
    save_if(path, content.as_ref(), |_| true).map(|_| ())
}

/// Like [`save_atomic`], but only where the file still reads `old` at the last moment: `false`, and nothing is written,
/// when somebody else has written it meanwhile.
pub fn save_over(path: &Path, old: &str, text: &str) -> Result<bool, DiskError> {
    save_if(path, text.as_bytes(), |path| load(path).is_ok_and(|now| now == old))
}

/// Writes beside the file, asks once more, and puts it into its place.
fn save_if(path: &Path, content: &[u8], still: impl FnOnce(&Path) -> bool) -> Result<bool, DiskError> {
    let path = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let failed = |doing| {
        let path = path.clone();
        move |reason| DiskError::System { path, doing, reason }
    };
    let folder = folder_of(&path);
    let beside = beside(&path);
    let written = write_beside(&path, &beside, content).map_err(failed("writing"));
    let moved = written.and_then(|()| {
        let still = still(&path);
        if still {
            fs::rename(&beside, &path).map_err(failed("replacing"))?;
        }
        Ok(still)
    });
    if !matches!(moved, Ok(true)) {
        // What does not take its place is of no use; that it cannot be deleted either changes nothing.
        let _ = fs::remove_file(&beside);
    }
    if moved? {
        // The rename itself must last through a power cut.
        sync_folder(folder).map_err(failed("writing the folder"))?;
        return Ok(true);
    }
    Ok(false)
}

/// Like [`save_atomic`], but refuses to replace a file.
pub fn save_new(path: &Path, text: &str) -> Result<(), DiskError> {
    if fs::symlink_metadata(path).is_ok() {
        return Err(DiskError::Exists { path: path.to_owned() });
    }
    save_atomic(path, text)
}

/// Like [`save_atomic`], and makes the folder where there is none.
pub fn keep(path: &Path, content: impl AsRef<[u8]>) -> Result<(), DiskError> {
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        fs::create_dir_all(folder).map_err(|reason| DiskError::System {
            path: folder.to_owned(),
            doing: "making the folder",
            reason,
        })?;
    }
    save_atomic(path, content)
}

/// Deletes a file of ours that is of no use any more; that it is not there, or stays, changes nothing.
pub fn remove(path: &Path) {
    let _ = fs::remove_file(path);
}

/// The sixteen bytes kept in a file (such as the identity that a sender of sACN keeps over restarts). Where there is no
/// file yet, `fresh` makes them and they are written.
pub fn load_or_create_cid(path: &Path, fresh: impl FnOnce() -> [u8; 16]) -> Result<[u8; 16], DiskError> {
    match read_at_most(path, 1024) {
        Ok(bytes) => parse_cid(&bytes).ok_or(DiskError::WrongLength { path: path.to_owned(), length: 16 }),
        Err(DiskError::NotThere { .. }) => {
            let cid = fresh();
            keep(path, format_cid(&cid))?;
            Ok(cid)
        }
        Err(other) => Err(other),
    }
}

/// 32 hexadecimal digits in the groups of a UUID, so that a person can compare it with a monitor's display.
fn format_cid(cid: &[u8; 16]) -> String {
    let mut text = String::new();
    for (index, byte) in cid.iter().enumerate() {
        if matches!(index, 4 | 6 | 8 | 10) {
            text.push('-');
        }
        text.push_str(&format!("{byte:02x}"));
    }
    text.push('\n');
    text
}

fn parse_cid(bytes: &[u8]) -> Option<[u8; 16]> {
    let text = std::str::from_utf8(bytes).ok()?;
    let digits: String = text.trim().chars().filter(|c| *c != '-').collect();
    if digits.len() != 32 || !digits.bytes().all(|digit| digit.is_ascii_hexdigit()) {
        return None;
    }
    let mut cid = [0; 16];
    for (index, byte) in cid.iter_mut().enumerate() {
        *byte = u8::from_str_radix(digits.get(index * 2..index * 2 + 2)?, 16).ok()?;
    }
    Some(cid)
}

fn read_at_most(path: &Path, most: usize) -> Result<Vec<u8>, DiskError> {
    let failed = |reason: io::Error| match reason.kind() {
        io::ErrorKind::NotFound => DiskError::NotThere { path: path.to_owned() },
        io::ErrorKind::IsADirectory => DiskError::Folder { path: path.to_owned() },
        _ => DiskError::NotReadable { path: path.to_owned(), reason },
    };
    let mut bytes = Vec::new();
    let limit = most as u64 + 1;
    File::open(path).map_err(failed)?.take(limit).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() > most {
        return Err(DiskError::TooLarge { path: path.to_owned(), most });
    }
    Ok(bytes)
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A name beside the file that no other run of this program uses at the same time.
fn beside(path: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(path.file_name().unwrap_or_default());
    name.push(format!(".{}.part", std::process::id()));
    folder_of(path).join(name)
}

fn write_beside(path: &Path, beside: &Path, bytes: &[u8]) -> io::Result<()> {
    // Left over from a run that was killed; ours by its name.
    if fs::symlink_metadata(beside).is_ok() {
        fs::remove_file(beside)?;
    }
    let mut file = OpenOptions::new().write(true).create_new(true).open(beside)?;
    if let Ok(old) = fs::metadata(path) {
        file.set_permissions(old.permissions())?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(()) // a folder cannot be opened there
}
