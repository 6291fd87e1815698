//! The project's own chores.
//!
//! `cargo xtask web` builds the page into the crate that carries it; `cargo xtask check-web` builds it again elsewhere
//! and compares. Both need Node. The guards of ARCHITECTURE.md are the tests of this crate and need none.

mod page;

#[cfg(test)]
mod guards;

use std::path::Path;

use anyhow::{Context, bail};

const USAGE: &str = "usage: cargo xtask web | check-web
  web        build the page from web/ into crates/app/page/ (needs Node and npm)
  check-web  build it elsewhere and compare every byte with what is committed";

fn main() -> anyhow::Result<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["web"] => page::build(root()?),
        ["check-web"] => page::check(root()?),
        _ => bail!("{USAGE}"),
    }
}

/// The folder that holds everything.
fn root() -> anyhow::Result<&'static Path> {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().context("find the folder above xtask")
}
