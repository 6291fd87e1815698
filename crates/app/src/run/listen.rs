//! `lanthorn listen FILE… --out DIR`

use std::fs::File;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use anyhow::Context;
use lanthorn_music::decode::Sound;
use lanthorn_music::{Piece, RATE, Tracker};
use lanthorn_store::disk;
use serde::Serialize;

use super::Failure;
use crate::command::Listen;

/// Samples that the live path is given at once: ten milliseconds at 44.1 kHz.
const BLOCK: usize = 441;

/// What listening took.
#[derive(Debug, Default, Serialize)]
struct Timing {
    /// Processor seconds of all files together.
    cpu_s: f64,
    /// Seconds of sound.
    audio_s: f64,
}

/// Listens to sound files, and writes or tells what is in them.
pub(crate) fn run(options: &Listen) -> Result<(), Failure> {
    let begun = processor_secs();
    let files = &options.files;
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<Option<Result<Piece, Failure>>>> = Mutex::new(files.iter().map(|_| None).collect());
    let workers = thread::available_parallelism().map_or(1, usize::from).min(files.len());
    thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    let Some(file) = files.get(number) else { return };
                    let heard = listen(file, options.live);
                    if let Ok(mut done) = done.lock() {
                        done[number] = Some(heard);
                    }
                }
            });
        }
    });
    let done = done.into_inner().map_err(|_| anyhow::anyhow!("a listener failed"))?;
    let mut pieces = Vec::new();
    for (file, heard) in files.iter().zip(done) {
        pieces.push((file, heard.context("a listener failed")??));
    }
    let timing = Timing {
        cpu_s: processor_secs() - begun,
        audio_s: pieces.iter().map(|(_, piece)| piece.secs).sum(),
    };
    if let Some(folder) = &options.out {
        write(folder, &pieces, &timing)?;
    }
    if let Some(folder) = &options.svg {
        for (file, piece) in &pieces {
            save(&folder.join(format!("{}.svg", stem(file))), &picture::drawn(piece, &stem(file)))?;
        }
    }
    tell(options, &pieces, &timing)
}
