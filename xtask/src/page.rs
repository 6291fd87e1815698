//! The page: built from `web/`, committed inside the crate that carries it, and never older than its sources.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, bail, ensure};
use sha2::{Digest, Sha256};

/// Where the built page is committed, from the root.
const PAGE: &str = "crates/app/page";
/// In it: a hash of every source that it was built from, one line a file, as `sha256sum` writes and checks them.
const SOURCES: &str = "SOURCES.sha256";
/// What the page is built from, beside everything under `web/src`.
const INPUTS: [&str; 5] = [
    "web/index.html",
    "web/package-lock.json",
    "web/package.json",
    "web/tsconfig.json",
    "web/vite.config.ts",
];

/// Builds the page and notes its sources.
pub(crate) fn build(root: &Path) -> anyhow::Result<()> {
    npm(root, &["ci", "--no-audit", "--no-fund"])?;
    npm(root, &["run", "build"])?;
    let page = root.join(PAGE);
    std::fs::write(page.join(SOURCES), sources(root)?).context("note the page's sources")?;
    let total: usize = files(&page)?.values().map(Vec::len).sum();
    println!("the page is built: {} kB in {PAGE}", total / 1000);
    Ok(())
}

/// Builds the page elsewhere and compares it with the committed one.
pub(crate) fn check(root: &Path) -> anyhow::Result<()> {
    fresh(root)?;
    npm(root, &["ci", "--no-audit", "--no-fund"])?;
    let elsewhere = root.join("target/page-check");
    let folder = elsewhere.to_str().context("read the folder's name")?;
    npm(root, &["run", "build", "--", "--outDir", folder, "--emptyOutDir"])?;
    let mut committed = files(&root.join(PAGE))?;
    committed.remove(Path::new(SOURCES));
    let built = files(&elsewhere)?;
    let names: Vec<_> =
        built.keys().chain(committed.keys().filter(|name| !built.contains_key(*name))).collect();
    let other: Vec<_> = names.iter().filter(|name| built.get(**name) != committed.get(**name)).collect();
    ensure!(other.is_empty(), "not what its sources build: {other:?} in {PAGE}: run `cargo xtask web`");
    println!("the page is what its sources build, byte for byte ({} files)", built.len());
    Ok(())
}

/// Whether the committed page was built from the sources as they are. Needs no Node.
pub(crate) fn fresh(root: &Path) -> anyhow::Result<()> {
    let noted = std::fs::read_to_string(root.join(PAGE).join(SOURCES))
        .context("the page has never been built: run `cargo xtask web`")?;
    let now = sources(root)?;
    if noted == now {
        return Ok(());
    }
    let changed = |from: &str, to: &str| {
        let lines = from.lines().filter(|line| !to.lines().any(|other| other == *line));
        lines.filter_map(|line| line.split_once("  ")).map(|(_, path)| path.to_owned()).collect::<Vec<_>>()
    };
    let mut paths = [changed(&now, &noted), changed(&noted, &now)].concat();
    paths.sort_unstable();
    paths.dedup();
    bail!("page sources changed: run `cargo xtask web` ({})", paths.join(", "))
}

/// One line a source: its hash, two spaces, its path from the root.
fn sources(root: &Path) -> anyhow::Result<String> {
    let mut inputs: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    for (path, bytes) in files(&root.join("web/src"))? {
        let path = path.to_str().context("read a file's name")?.replace('\\', "/");
        inputs.insert(format!("web/src/{path}"), bytes);
    }
    for path in INPUTS {
        let bytes = std::fs::read(root.join(path)).with_context(|| format!("read {path}"))?;
        inputs.insert(path.to_owned(), bytes);
    }
    let mut lines = String::new();
    for (path, bytes) in inputs {
        for byte in Sha256::digest(&bytes) {
            write!(lines, "{byte:02x}")?;
        }
        writeln!(lines, "  {path}")?;
    }
    Ok(lines)
}

/// Every file under a folder, by its path from there.
fn files(folder: &Path) -> anyhow::Result<BTreeMap<PathBuf, Vec<u8>>> {
    let mut found = BTreeMap::new();
    let mut waiting = vec![folder.to_owned()];
    while let Some(next) = waiting.pop() {
        for entry in next.read_dir().with_context(|| format!("read {}", next.display()))? {
            let path = entry?.path();
            if path.is_dir() {
                waiting.push(path);
            } else {
                found.insert(path.strip_prefix(folder)?.to_owned(), std::fs::read(&path)?);
            }
        }
    }
    Ok(found)
}

fn npm(root: &Path, words: &[&str]) -> anyhow::Result<()> {
    let name = if cfg!(windows) { "npm.cmd" } else { "npm" };
    let status = Command::new(name)
        .args(words)
        .current_dir(root.join("web"))
        .status()
        .context("run npm: the page's tool chain needs Node 20.19 or later")?;
    ensure!(status.success(), "npm {} did not succeed", words.join(" "));
    Ok(())
}
