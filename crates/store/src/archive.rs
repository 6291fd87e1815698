//! Zip archives of open fixture and rig files, read from memory and written to it. Disk is not touched.
//!
//! What comes from outside may be a trap: every limit here is on bytes that are read, never on what an archive says of
//! itself, and nothing is unpacked by a stored name.

use std::io::{Cursor, Read, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// Files in an archive. The largest rig file that was met has 897.
pub(crate) const MOST_ENTRIES: usize = 5_000;
/// Bytes out for each byte in. The most that was met in an honest file is 13.
const MOST_RATIO: u64 = 200;
/// An entry so small is never a trap, whatever its ratio.
const SMALL: u64 = 16 * 1024;

/// What keeps an archive, or a file in it, from being read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ArchiveError {
    /// Neither begins nor ends as a zip archive does.
    #[error("the archive is damaged or cut short ({0}): get the file again from where it came from")]
    Damaged(String),
    /// Too many files.
    #[error(
        "the archive says it holds {0} files, and at most {MOST_ENTRIES} are read: it is no fixture or rig file"
    )]
    Entries(u64),
    /// No file of that name.
    #[error("there is no {0} in the archive: is it the right file?")]
    Missing(String),
    /// One file is too large unpacked.
    #[error("{name} unpacks to more than {most} MiB: it is refused")]
    TooLarge {
        /// Which file.
        name: String,
        /// How much it may have, in MiB.
        most: u64,
    },
    /// All that was unpacked together is too large.
    #[error("the archive unpacks to more than {0} MiB: it is refused")]
    Total(u64),
    /// It grows too much.
    #[error("{0} grows to more than {MOST_RATIO} times its packed size: it is refused")]
    Ratio(String),
    /// Encrypted, or packed in a way that the standard does not allow.
    #[error("{0} is encrypted or packed in another way than stored or deflated: pack it again without")]
    Packing(String),
}

/// An archive that is open, with what may still be unpacked from it.
pub(crate) struct Archive<'b> {
    zip: ZipArchive<Cursor<&'b [u8]>>,
    /// Bytes that may still come out.
    left: u64,
    total: u64,
}

/// `true` when the bytes begin as a zip archive does.
pub(crate) fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

impl<'b> Archive<'b> {
    /// Opens an archive of which `total` bytes may be unpacked.
    pub(crate) fn open(bytes: &'b [u8], total: u64) -> Result<Self, ArchiveError> {
        check_directory(bytes)?;
        let zip =
            ZipArchive::new(Cursor::new(bytes)).map_err(|why| ArchiveError::Damaged(why.to_string()))?;
        Ok(Self { zip, left: total, total })
    }

    /// The names as they are stored, sorted; two files of one name count once.
    pub(crate) fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.zip.file_names().map(str::to_owned).collect();
        names.sort_unstable();
        names
    }

    /// Packed and said-to-be-unpacked bytes of a file, for telling a person.
    pub(crate) fn said_size(&mut self, name: &str) -> Option<u64> {
        let index = self.zip.index_for_name(name)?;
        self.zip.by_index_raw(index).ok().map(|file| file.size())
    }

    /// A file by its exact name, or else by its name in any case; no more than `most` bytes of it.
    pub(crate) fn read(&mut self, wanted: &str, most: u64) -> Result<Vec<u8>, ArchiveError> {
        let index = self.index(wanted).ok_or_else(|| ArchiveError::Missing(wanted.to_owned()))?;
        let name = wanted.to_owned();
        let damaged = |why: &dyn std::fmt::Display| ArchiveError::Damaged(format!("{wanted}: {why}"));
        {
            let raw = self.zip.by_index_raw(index).map_err(|why| damaged(&why))?;
            let known = matches!(raw.compression(), CompressionMethod::Stored | CompressionMethod::Deflated);
            if raw.encrypted() || !known {
                return Err(ArchiveError::Packing(name));
            }
        }
        let file = self.zip.by_index(index).map_err(|why| damaged(&why))?;
        let ratio = (file.compressed_size().saturating_mul(MOST_RATIO)).max(SMALL);
        let limit = most.min(self.left).min(ratio);
        let mut bytes = Vec::new();
        file.take(limit + 1).read_to_end(&mut bytes).map_err(|why| damaged(&why))?;
        let length = bytes.len() as u64;
        if length > limit {
            return Err(match () {
                () if limit == ratio => ArchiveError::Ratio(name),
                () if limit == most => ArchiveError::TooLarge { name, most: most >> 20 },
                () => ArchiveError::Total(self.total >> 20),
            });
        }
        self.left -= length;
        Ok(bytes)
    }

    fn index(&self, wanted: &str) -> Option<usize> {
        self.zip.index_for_name(wanted).or_else(|| {
            let names = self.names();
            self.zip.index_for_name(names.iter().find(|name| name.eq_ignore_ascii_case(wanted))?)
        })
    }
}

/// Walks the list of files at the end of an archive before anything makes room for it.
fn check_directory(bytes: &[u8]) -> Result<(), ArchiveError> {
    const END: &[u8] = b"PK\x05\x06";
    const LONGEST_TAIL: usize = 66_000;
    let damaged = |what: &str| ArchiveError::Damaged(what.to_owned());
    let tail_at = bytes.len().saturating_sub(LONGEST_TAIL);
    let tail = bytes.get(tail_at..).unwrap_or_default();
    let at = tail.windows(END.len()).rposition(|window| window == END);
    let at = at.ok_or_else(|| damaged("its list of files is missing"))? + tail_at;
    let count = number(bytes, at + 10, 2).ok_or_else(|| damaged("its end is missing"))?;
    if count > MOST_ENTRIES as u64 {
        return Err(ArchiveError::Entries(count));
    }
    let size = number(bytes, at + 12, 4).ok_or_else(|| damaged("its end is missing"))? as usize;
    let mut place =
        at.checked_sub(size).ok_or_else(|| damaged("its list of files is longer than the file"))?;
    for _ in 0..count {
        if bytes.get(place..place + 4) != Some(b"PK\x01\x02") {
            return Err(damaged("its list of files is broken"));
        }
        let lengths = [28, 30, 32].map(|field| number(bytes, place + field, 2).unwrap_or(0) as usize);
        place += 46 + lengths.iter().sum::<usize>();
    }
    if place > at {
        return Err(damaged("its list of files is broken"));
    }
    Ok(())
}

/// A little-endian number.
fn number(bytes: &[u8], at: usize, length: usize) -> Option<u64> {
    let bytes = bytes.get(at..at.checked_add(length)?)?;
    Some(bytes.iter().rev().fold(0, |sum, byte| sum << 8 | u64::from(*byte)))
}

/// Packs files, in this order, without any date: the same files give the same bytes.
pub(crate) fn pack(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, ArchiveError> {
    let failed =
        |why: &dyn std::fmt::Display| ArchiveError::Damaged(format!("it could not be packed: {why}"));
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(zip::DateTime::default())
        .unix_permissions(0o644);
    for (name, bytes) in files {
        // What is packed already gains nothing.
        let stored = options.compression_method(CompressionMethod::Stored);
        let options = if is_archive(bytes) { stored } else { options };
        zip.start_file(name.as_str(), options).map_err(|why| failed(&why))?;
        zip.write_all(bytes).map_err(|why| failed(&why))?;
    }
    Ok(zip.finish().map_err(|why| failed(&why))?.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_packed_is_read_and_packing_again_gives_the_same_bytes() {
        let files =
            [("description.xml".to_owned(), b"<GDTF/>".repeat(50)), ("wheels/x.png".to_owned(), vec![7; 99])];
        let packed = pack(&files).unwrap();
        assert_eq!(packed, pack(&files).unwrap());
        let mut archive = Archive::open(&packed, 1 << 20).unwrap();
        assert_eq!(archive.read("Description.XML", 1 << 20).unwrap(), files[0].1, "any case");
        assert_eq!(archive.said_size("wheels/x.png"), Some(99));
        assert_eq!(archive.read("none", 9), Err(ArchiveError::Missing("none".to_owned())));
    }

    #[test]
    fn limits_are_on_what_comes_out() {
        let packed =
            pack(&[("a".to_owned(), b"0123456789".repeat(2_000)), ("b".to_owned(), vec![0; 9 << 20])]);
        let packed = packed.unwrap();
        let mut archive = Archive::open(&packed, 64 << 20).unwrap();
        assert_eq!(archive.read("b", 64 << 20), Err(ArchiveError::Ratio("b".to_owned())));
        assert_eq!(archive.read("a", 100), Err(ArchiveError::TooLarge { name: "a".to_owned(), most: 0 }));
        let mut archive = Archive::open(&packed, 30).unwrap();
        assert_eq!(archive.read("a", 100), Err(ArchiveError::Total(0)));
    }

    #[test]
    fn cut_anywhere_it_is_refused() {
        let packed = pack(&[("description.xml".to_owned(), b"<GDTF/>".repeat(9))]).unwrap();
        for length in 0..packed.len() {
            let opened = Archive::open(&packed[..length], 1 << 20);
            assert!(matches!(opened.map(|_| ()), Err(ArchiveError::Damaged(_))), "{length}");
        }
    }
}
