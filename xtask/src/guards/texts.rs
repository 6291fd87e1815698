//! What the sources may not say, and how long they may get.

use std::path::Path;

use super::{PURE, files, read};

/// Longest file, lines; from half of it on a file is named, so that it is looked at twice.
const LONGEST: usize = 800;

#[test]
fn no_file_grows_past_its_budget() {
    for path in files(&[".rs", ".ts", ".tsx"]) {
        let lines = read(&path).lines().count();
        let generated = path.ends_with("wire.gen.ts");
        assert!(
            lines <= LONGEST || generated,
            "{}: {lines} lines, at most {LONGEST}: split it",
            path.display()
        );
        if lines > LONGEST / 2 && !generated {
            println!("look twice: {} has {lines} lines", path.display());
        }
    }
}

#[test]
fn a_show_never_sees_a_slot() {
    for path in sources("show") {
        for (number, line) in code(&read(&path)) {
            for word in ["Slot", "Address", "Universe", "Frame", "Frames", "lanthorn_dmx"] {
                assert!(!has_word(&line, word), "{}:{number}: a show knows no {word}", path.display());
            }
        }
    }
}

#[test]
fn bans_are_not_lifted_in_pure_crates() {
    for path in PURE.iter().flat_map(|name| sources(name)) {
        for (number, line) in code(&read(&path)) {
            let lifted = line.contains("clippy::disallowed_") || line.contains("clippy::iter_over_hash_type");
            assert!(!lifted, "{}:{number}: the bans of pure crates hold without exception", path.display());
            assert!(!line.contains("unsafe {"), "{}:{number}: no unsafe code", path.display());
        }
    }
}

#[test]
fn limits_cannot_be_bypassed() {
    // The compiler does the rest: outside its module nothing can make what has a private field.
    let limit = read("crates/rig/src/limit.rs");
    assert!(limit.contains("pub struct Limited<T>(T);"), "the field of Limited must stay private");
    let encode = read("crates/rig/src/encode.rs");
    assert!(encode.contains("&Limited<RigPose>"), "rig::encode takes poses only behind Limited");
}

#[test]
fn the_project_speaks_of_itself_alone() {
    // Written in two pieces, so that this file does not say them.
    let words = [["/wo", "rk/"], ["issue", " #"], ["TO", "DO"], ["FIX", "ME"], ["XX", "X"]]
        .map(|halves| halves.concat());
    for path in files(&[".rs", ".ts", ".tsx", ".mjs", ".md", ".toml", ".css", ".html", ".sh", ".py"]) {
        for (number, line) in read(&path).lines().enumerate() {
            for word in &words {
                assert!(!line.contains(word.as_str()), "{}:{}: says \"{word}\"", path.display(), number + 1);
            }
        }
    }
}

/// The Rust sources of one of our crates, tests beside them left out.
fn sources(name: &str) -> Vec<std::path::PathBuf> {
    let folder = Path::new("crates").join(name).join("src");
    let found: Vec<_> = files(&[".rs"]).into_iter().filter(|path| path.starts_with(&folder)).collect();
    assert!(!found.is_empty(), "no sources in {}", folder.display());
    found
}

/// Numbered lines of code, without comments.
fn code(text: &str) -> Vec<(usize, String)> {
    let lines = text.lines().map(|line| line.split_once("//").map_or(line, |(code, _)| code).to_owned());
    lines.enumerate().map(|(index, line)| (index + 1, line)).collect()
}

fn has_word(line: &str, word: &str) -> bool {
    line.split(|c: char| !c.is_alphanumeric() && c != '_').any(|found| found == word)
}
