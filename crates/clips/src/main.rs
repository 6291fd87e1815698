//! Writes clips and their truth: NAME.wav, NAME.beats, NAME.onsets, NAME.sections.

use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result, bail};
use clap::Parser;
use lanthorn_clips::{Fonts, Wish, render, styles, whole_songs};

/// Invented music with its exact truth.
#[derive(Parser)]
struct Asked {
    /// Seeds, `A` or `A..B` (B not included)
    #[arg(long, default_value = "0..10")]
    seed: String,
    /// Length of each clip
    #[arg(long, default_value_t = 30.0)]
    secs: f64,
    /// Samples a second
    #[arg(long, default_value_t = 24_000)]
    rate: u32,
    /// One style only; `list` names all of them
    #[arg(long)]
    style: Option<String>,
    /// Rooms, noise and small microphones
    #[arg(long)]
    degrade: bool,
    /// Folder to write to; without it nothing is written
    #[arg(long)]
    out: Option<PathBuf>,
    /// SoundFont 2 files
    #[arg(long, num_args = 1..)]
    font: Vec<PathBuf>,
    /// Recorded speech, WAV files of 16 bit
    #[arg(long, num_args = 1..)]
    voice: Vec<PathBuf>,
}

fn main() -> Result<()> {
    let asked = Asked::parse();
    if asked.style.as_deref() == Some("list") {
        styles().iter().chain(whole_songs()).for_each(|name| println!("{name}"));
        return Ok(());
    }
    let style = match &asked.style {
        None => None,
        Some(name) => match styles().iter().chain(whole_songs()).find(|s| *s == name) {
            Some(known) => Some(*known),
            None => bail!("no style is called \"{name}\"; `--style list` names all of them"),
        },
    };
    let fonts = fonts(&asked)?;
    if let Some(out) = &asked.out {
        fs::create_dir_all(out).with_context(|| format!("cannot make the folder {}", out.display()))?;
    }
    for seed in seeds(&asked.seed)? {
        let clip =
            render(&Wish { style, secs: asked.secs, rate: asked.rate, degrade: asked.degrade, seed }, &fonts);
        println!("{} {} beats {} onsets", clip.name, clip.truth.beats.len(), clip.truth.onsets.len());
        let Some(out) = &asked.out else { continue };
        let files = [
            ("wav", clip.wav()),
            ("beats", clip.truth.beats_text().into_bytes()),
            ("onsets", clip.truth.onsets_text().into_bytes()),
            ("sections", clip.truth.sections_text().into_bytes()),
        ];
        for (kind, bytes) in files {
            let path = out.join(format!("{}.{kind}", clip.name));
            fs::write(&path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
        }
    }
    Ok(())
}

fn seeds(text: &str) -> Result<std::ops::Range<u64>> {
    let number = |t: &str| t.parse::<u64>().with_context(|| format!("--seed: \"{text}\" is not A or A..B"));
    Ok(match text.split_once("..") {
        Some((from, to)) => number(from)?..number(to)?,
        None => number(text)?..number(text)? + 1,
    })
}

fn read(paths: &[PathBuf]) -> Result<Vec<Vec<u8>>> {
    paths.iter().map(|p| fs::read(p).with_context(|| format!("cannot read {}", p.display()))).collect()
}

fn fonts(asked: &Asked) -> Result<Fonts> {
    #[cfg(feature = "soundfont")]
    let fonts = Fonts::read(&read(&asked.font)?).map_err(anyhow::Error::msg)?;
    #[cfg(not(feature = "soundfont"))]
    let fonts =
        if asked.font.is_empty() { Fonts::none() } else { bail!("--font needs the feature `soundfont`") };
    fonts.voices(&read(&asked.voice)?).map_err(anyhow::Error::msg)
}
