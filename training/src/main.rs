//! Writes what the network learns from: frames of invented music, as the follower sees them, with their truth.
//!
//! `lanthorn-training OUT CLIPS SECS learn|try|all [FONT.sf2 …] [VOICE.wav …]` writes `OUT/frames` (one byte a band) and
//! `OUT/truth` (one byte a column, see [`COLUMNS`]), clip after clip, each of the same length. Styles of one in eight are
//! kept for trying;
//! `all` learns from those too, once nothing is left to choose.

use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::{env, thread};

use anyhow::{Context, bail};
use lanthorn_clips::{Class, Clip, Fonts, Wish, styles};
use lanthorn_music::RATE;
use lanthorn_music::net::{LATE_FRAMES, packed};
use lanthorn_music::spectrum::{BANDS, Spectra};

/// What is told of each frame: beat, first of the bar, kick, snare, hat, other onset, music.
const COLUMNS: usize = 7;

/// Of so many styles one is kept for trying.
const KEPT: usize = 8;

fn main() -> anyhow::Result<()> {
    let words: Vec<String> = env::args().skip(1).collect();
    let [out, clips, secs, purpose, files @ ..] = &words[..] else {
        bail!("usage: lanthorn-training OUT CLIPS SECS learn|try|all [FONT.sf2 …] [VOICE.wav …]");
    };
    let (clips, secs): (u64, f64) = (clips.parse()?, secs.parse()?);
    let (trying, whole) = match purpose.as_str() {
        "learn" => (false, false),
        "try" => (true, false),
        "all" => (false, true),
        other => bail!("{other} is neither learn, try nor all"),
    };
    let (voices, fonts): (Vec<&String>, Vec<&String>) = files.iter().partition(|file| file.ends_with(".wav"));
    let fonts = Fonts::read(&read(&fonts)?).map_err(anyhow::Error::msg)?;
    let fonts = fonts.voices(&read(&voices)?).map_err(anyhow::Error::msg)?;
    let own: Vec<&'static str> = styles()
        .iter()
        .enumerate()
        .filter(|(index, _)| whole || (index % KEPT == KEPT / 2) == trying)
        .map(|(_, style)| *style)
        .collect();
    fs::create_dir_all(out)?;
    let writer = |name: &str| anyhow::Ok(BufWriter::new(File::create(format!("{out}/{name}"))?));
    let files = Mutex::new((writer("frames")?, writer("truth")?));
    let next = AtomicU64::new(0);
    let workers = thread::available_parallelism()?.get();
    let seeds = if trying { 1 << 40 } else { 0 };
    thread::scope(|scope| {
        let work = || -> anyhow::Result<()> {
            loop {
                let number = next.fetch_add(1, Ordering::Relaxed);
                if number >= clips {
                    return Ok(());
                }
                // Now and then one that goes from style to style.
                let mixed = !trying && number % 6 == 5;
                let style = own.get(number as usize % own.len()).copied().filter(|_| !mixed);
                let wish = Wish {
                    style,
                    secs,
                    rate: RATE,
                    degrade: !number.is_multiple_of(3),
                    seed: seeds + number,
                };
                let (frames, truth) = told(&lanthorn_clips::render(&wish, &fonts), secs);
                let mut files = files.lock().map_err(|_| anyhow::anyhow!("another worker failed"))?;
                files.0.write_all(&frames)?;
                files.1.write_all(&truth)?;
            }
        };
        let workers: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
        workers
            .into_iter()
            .try_for_each(|worker| worker.join().map_err(|_| anyhow::anyhow!("a worker failed"))?)
    })?;
    let mut files = files.into_inner().map_err(|_| anyhow::anyhow!("a worker failed"))?;
    files.0.flush()?;
    files.1.flush()?;
    Ok(())
}

fn read(files: &[&String]) -> anyhow::Result<Vec<Vec<u8>>> {
    files.iter().map(|file| fs::read(file).with_context(|| format!("read {file}"))).collect()
}

/// Frames and truth of a clip, cut or filled up to its length.
fn told(clip: &Clip, secs: f64) -> (Vec<u8>, Vec<u8>) {
    let count = (secs * 100.0) as usize;
    let mut frames = Vec::with_capacity(count * BANDS);
    Spectra::new().push(&clip.samples, |frame, _| frames.extend(frame.iter().map(|level| packed(*level))));
    frames.resize(count * BANDS, 0);
    let mut truth = vec![0; count * COLUMNS];
    // A frame ends at (index + 1) hundredths of a second; what happens is told so many frames late.
    let frame_of =
        |at: f64| ((at * 100.0).round() as usize + LATE_FRAMES).checked_sub(1).filter(|frame| *frame < count);
    let mut tell = |at: f64, column: usize| {
        if let Some(frame) = frame_of(at) {
            truth[frame * COLUMNS + column] = 1;
        }
    };
    for beat in &clip.truth.beats {
        tell(beat.at, 0);
        if beat.place == 1 {
            tell(beat.at, 1);
        }
    }
    for onset in &clip.truth.onsets {
        let column = match onset.class {
            Class::Kick => 2,
            Class::Snare => 3,
            Class::Hat => 4,
            Class::Other => 5,
        };
        tell(onset.at, column);
    }
    for (from, to) in &clip.truth.music {
        for frame in (from * 100.0) as usize..((to * 100.0) as usize).min(count) {
            truth[frame * COLUMNS + 6] = 1;
        }
    }
    (frames, truth)
}
