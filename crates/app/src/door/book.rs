//! Paired browsers: kept over restarts in a file of the state folder, each by the hash of its token alone.

use std::net::IpAddr;
use std::path::PathBuf;

use lanthorn_store::disk::{self, DiskError};
use serde::{Deserialize, Serialize};
use tokio::sync::watch;

use crate::wire::{PairedView, Role};

/// More browsers than anybody has; then the one that was away longest gives way.
const MOST: usize = 64;
/// Who has not been here for so long, seconds, pairs again.
const MONTH_S: u64 = 30 * 24 * 3600;
/// The date of the last visit is written when it is older than this, seconds.
const DAY_S: u64 = 24 * 3600;
/// Longest name, characters.
const NAME: usize = 40;

/// The list.
pub(super) struct Book {
    file: Option<PathBuf>,
    paired: Vec<Paired>,
    /// What is in memory is not in the file yet, and why.
    unwritten: Option<String>,
    /// What was wrong with the file at the start.
    unread: Option<String>,
}

struct Paired {
    kept: Kept,
    /// Its sockets hold receivers: they hear when this is dropped, and count who is here.
    stay: watch::Sender<()>,
}

/// One browser in the file.
#[derive(Clone, Debug, Deserialize, Serialize)]
struct Kept {
    id: u32,
    /// SHA-256 of the token, hexadecimal.
    hash: String,
    role: Role,
    name: String,
    /// The address that it was paired from.
    from: String,
    /// When it last knocked, seconds since 1970.
    seen: u64,
}

/// The file.
#[derive(Deserialize, Serialize)]
struct File {
    lanthorn_paired: u32,
    paired: Vec<Kept>,
}

impl Book {
    /// Reads the list. One that cannot be read is told of, and everybody has to pair again.
    pub(super) fn open(file: Option<PathBuf>, unix_s: u64) -> Self {
        let read = match file.as_ref().map(|path| disk::load(path)) {
            None | Some(Err(DiskError::NotThere { .. })) => Ok(Vec::new()),
            Some(Ok(text)) => serde_json::from_str::<File>(&text)
                .map_err(|error| error.to_string())
                .and_then(|file| match file.lanthorn_paired {
                    1 => Ok(file.paired),
                    other => Err(format!("version {other} is not known")),
                }),
            Some(Err(error)) => Err(error.to_string()),
        };
        let unread = read.as_ref().err().map(|why| {
            format!("The list of paired browsers cannot be read; they have to pair again. ({why})")
        });
        let mut book = Self { file, paired: Vec::new(), unwritten: None, unread };
        for mut kept in read.unwrap_or_default().into_iter().take(MOST) {
            kept.name = plain(&kept.name);
            book.paired.push(Paired { kept, stay: watch::Sender::new(()) });
        }
        book.forget(unix_s);
        book
    }

    /// Takes a new browser in.
    pub(super) fn add(
        &mut self,
        hash: &[u8; 32],
        role: Role,
        name: &str,
        from: IpAddr,
        unix_s: u64,
    ) -> watch::Receiver<()> {
        if self.paired.len() >= MOST {
            // Nobody who is here gives way to somebody new while somebody else is away.
            let away = self.paired.iter().enumerate();
            let away = away.min_by_key(|(_, one)| (one.stay.receiver_count() > 0, one.kept.seen));
            if let Some((at, _)) = away {
                self.paired.remove(at);
            }
        }
        let id = self.paired.iter().map(|one| one.kept.id).max().unwrap_or(0).saturating_add(1);
        let (stay, stays) = watch::channel(());
        let kept = Kept {
            id,
            hash: super::hex(hash),
            role,
            name: plain(name),
            from: from.to_string(),
            seen: unix_s,
        };
        self.paired.push(Paired { kept, stay });
        self.write();
        stays
    }

    /// Lets a browser in by the hash of its token.
    pub(super) fn enter(&mut self, hash: &[u8; 32], unix_s: u64) -> Option<(Role, watch::Receiver<()>)> {
        let hash = super::hex(hash);
        let one = self.paired.iter_mut().find(|one| one.kept.hash == hash)?;
        let stale = unix_s.saturating_sub(one.kept.seen) >= DAY_S;
        one.kept.seen = one.kept.seen.max(unix_s);
        let found = (one.kept.role, one.stay.subscribe());
        if stale {
            self.write();
        }
        Some(found)
    }

    /// What such a browser may; none where there is none. Hashes of 256 random bits are compared: how long it takes tells
    /// nothing.
    pub(super) fn role(&self, hash: &[u8; 32]) -> Option<Role> {
        let hash = super::hex(hash);
        self.paired.iter().find(|one| one.kept.hash == hash).map(|one| one.kept.role)
    }

    /// Sends a browser away.
    pub(super) fn remove(&mut self, id: u32) {
        let before = self.paired.len();
        self.paired.retain(|one| one.kept.id != id);
        if self.paired.len() < before {
            self.write();
        }
    }

    /// Forgets who was away too long, and tries again to write what could not be written.
    pub(super) fn look_after(&mut self, unix_s: u64) {
        if self.forget(unix_s) || self.unwritten.is_some() {
            self.write();
        }
    }

    fn forget(&mut self, unix_s: u64) -> bool {
        let before = self.paired.len();
        self.paired
            .retain(|one| one.stay.receiver_count() > 0 || unix_s.saturating_sub(one.kept.seen) < MONTH_S);
        self.paired.len() < before
    }

    pub(super) fn views(&self) -> Vec<PairedView> {
        let view = |one: &Paired| PairedView {
            id: one.kept.id,
            name: one.kept.name.clone(),
            role: one.kept.role,
            from: one.kept.from.clone(),
            here: one.stay.receiver_count() > 0,
        };
        self.paired.iter().map(view).collect()
    }

    /// What the machine's own page should know of the list.
    pub(super) fn says(&self) -> Vec<String> {
        self.unread.iter().chain(&self.unwritten).cloned().collect()
    }

    fn write(&mut self) {
        let Some(path) = &self.file else { return };
        let paired = self.paired.iter().map(|one| one.kept.clone()).collect();
        // Plain data of ours always has a JSON form.
        let text = serde_json::to_string_pretty(&File { lanthorn_paired: 1, paired }).unwrap_or_default();
        self.unwritten = disk::keep(path, &text).err().map(|why| {
            format!(
                "The list of paired browsers cannot be written: after a restart the old one holds, with those who were \
                 sent away since. ({why})"
            )
        });
    }
}

/// A name as it may stand on the page: letters, digits and a few signs, not too many.
fn plain(name: &str) -> String {
    let kept = name.chars().filter(|c| c.is_alphanumeric() || " '’-.,&()".contains(*c)).take(NAME);
    let name = kept.collect::<String>().trim().to_owned();
    if name.is_empty() { "a browser".to_owned() } else { name }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: IpAddr = IpAddr::V4(std::net::Ipv4Addr::new(10, 0, 0, 9));

    #[test]
    fn pairing_lasts_over_a_restart_and_the_file_holds_no_token() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("state/paired-7411.json");
        let mut book = Book::open(Some(path.clone()), 1000);
        let (token, other) = ("a".repeat(64), "b".repeat(64));
        book.add(&super::super::hash(&token), Role::Run, "Ann's \u{202e}phone <b>", HERE, 1000);
        book.add(&super::super::hash(&other), Role::Look, "", HERE, 1000);
        let text = disk::load(&path).unwrap();
        assert!(!text.contains(&token) && text.contains(&super::super::hex(&super::super::hash(&token))));
        let mut again = Book::open(Some(path.clone()), 2000);
        assert_eq!(again.views(), book.views());
        assert_eq!(
            (again.views()[0].name.as_str(), again.views()[1].name.as_str()),
            ("Ann's phone b", "a browser")
        );
        assert_eq!(again.enter(&super::super::hash(&token), 2000).map(|(role, _)| role), Some(Role::Run));
        assert!(again.enter(&super::super::hash("c"), 2000).is_none());
        again.remove(1);
        assert!(again.role(&super::super::hash(&token)).is_none(), "sent away");
        assert!(Book::open(Some(path), 3000).role(&super::super::hash(&token)).is_none(), "for good");
    }

    #[test]
    fn sockets_hear_that_they_are_sent_away_and_are_counted() {
        let mut book = Book::open(None, 0);
        let mut stay = book.add(&[1; 32], Role::Run, "phone", HERE, 0);
        assert!(book.views()[0].here);
        assert!(stay.has_changed().is_ok());
        book.remove(1);
        assert!(stay.has_changed().is_err());
        stay = book.add(&[2; 32], Role::Run, "phone", HERE, 0);
        drop(stay);
        assert!(!book.views()[0].here);
    }

    #[test]
    fn a_month_away_is_forgotten_and_there_is_room_for_sixty_four() {
        let mut book = Book::open(None, 0);
        for id in 0..70 {
            book.add(&[id; 32], Role::Run, "phone", HERE, u64::from(id));
        }
        assert_eq!(book.views().len(), MOST);
        assert!(book.role(&[0; 32]).is_none() && book.role(&[69; 32]).is_some());
        book.look_after(MONTH_S + 60);
        assert_eq!(book.views().len(), 9);
    }

    #[test]
    fn a_list_that_cannot_be_read_or_written_is_told_of() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("paired.json");
        for text in [
            "",
            "{}",
            "[1]",
            r#"{"lanthorn_paired":2,"paired":[]}"#,
            r#"{"lanthorn_paired":1,"paired":[{"id":-1}]}"#,
        ] {
            std::fs::write(&path, text).unwrap();
            let book = Book::open(Some(path.clone()), 0);
            assert!(book.views().is_empty());
            assert!(book.says()[0].contains("cannot be read"), "{text}");
        }
        let blocked = path.join("below a file.json");
        let mut book = Book::open(Some(blocked), 0);
        book.add(&[1; 32], Role::Run, "phone", HERE, 0);
        assert!(book.says().iter().any(|says| says.contains("cannot be written")), "{:?}", book.says());
    }
}
