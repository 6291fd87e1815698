//! The guards of ARCHITECTURE.md: each rule that can be checked by reading the tree is checked here, without Node,
//! network or a second build.

mod edges;
mod texts;

use std::path::{Path, PathBuf};

use crate::{page, root};

/// The crates whose code is a function of its arguments.
const PURE: [&str; 8] = ["physics", "dmx", "fixture", "rig", "show", "rehearsal", "sheets", "music"];

#[test]
fn the_committed_page_matches_its_sources() {
    if let Err(why) = page::fresh(root().unwrap()) {
        panic!("{why:#}");
    }
}

#[test]
fn pure_crates_share_one_list_of_bans() {
    let list = |name: &str| read(format!("crates/{name}/clippy.toml"));
    let first = list(PURE[0]);
    for banned in
        ["Instant::now", "thread::spawn", "fs::read", "env::var", "UdpSocket::bind", "f64::sin", "HashMap"]
    {
        assert!(first.contains(banned), "crates/{}/clippy.toml no longer bans {banned}", PURE[0]);
    }
    for name in PURE {
        assert_eq!(list(name), first, "crates/{name}/clippy.toml differs from that of {}", PURE[0]);
    }
}

#[test]
fn every_crate_obeys_the_workspace_lints() {
    // fuzz/ is a workspace of its own, whose targets are made by a macro that is not ours.
    let ours = |path: &&PathBuf| path.parent() != Some(Path::new("")) && !path.starts_with("fuzz");
    for manifest in files(&["Cargo.toml"]).iter().filter(ours) {
        let text = read(manifest);
        assert!(text.contains("[lints]\nworkspace = true"), "{} sets its own lints", manifest.display());
    }
}

/// Packages of the lock file that are there twice because two of our dependencies disagree. The list may only
/// shrink; a new double is a reason to choose another version or another dependency. Four are due to the reader of PDFs
/// (pdf-extract and lopdf), for which there is no other with Rust alone; three (jni-sys, thiserror and its macros) to the way to
/// inputs of sound on Android (cpal, of the feature `audio-in`), which nothing here builds.
const DOUBLES: [&str; 14] = [
    "block-buffer",
    "cpufeatures",
    "crypto-common",
    "digest",
    "euclid",
    "getrandom",
    "jni-sys",
    "r-efi",
    "rand",
    "rand_core",
    "sha2",
    "syn",
    "thiserror",
    "thiserror-impl",
];

#[test]
fn the_lock_file_holds_no_new_double() {
    let lock = read("Cargo.lock");
    let mut names: Vec<&str> = lock.lines().filter_map(|line| line.strip_prefix("name = ")).collect();
    names.sort_unstable();
    for pair in names.windows(2).filter(|pair| pair[0] == pair[1]) {
        let name = pair[0].trim_matches('"');
        assert!(
            DOUBLES.contains(&name),
            "{name} is in Cargo.lock in two versions: `cargo tree -i {name}` tells why"
        );
    }
}

/// The text of a file, by its path from the root.
fn read(path: impl AsRef<Path>) -> String {
    let path = root().unwrap().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("read {}: {error}", path.display()))
}

/// Every file of ours whose name ends in one of `endings`, by its path from the root, in order.
fn files(endings: &[&str]) -> Vec<PathBuf> {
    /// What is built, fetched, generated for machines or kept by git.
    const LEFT_OUT: [&str; 5] = ["target", "node_modules", ".git", "page", "dist"];
    let root = root().unwrap();
    let mut found = Vec::new();
    let mut waiting = vec![root.to_owned()];
    while let Some(folder) = waiting.pop() {
        for entry in folder.read_dir().unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
            if path.is_dir() {
                if !LEFT_OUT.contains(&name) {
                    waiting.push(path);
                }
            } else if endings.iter().any(|ending| name.ends_with(ending)) {
                found.push(path.strip_prefix(root).unwrap().to_owned());
            }
        }
    }
    found.sort_unstable();
    assert!(!found.is_empty(), "no file ends in {endings:?}");
    found
}
