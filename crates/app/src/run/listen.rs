//! `lanthorn listen FILE… --out DIR`

mod picture;

use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use anyhow::Context;
use lanthorn_music::decode::Sound;
use lanthorn_music::piece::{Hearing, Live, Piece};
use serde::Serialize;

use super::Failure;
use crate::command::Listen;

/// What listening took, written as `timing.json`.
#[derive(Debug, Serialize)]
struct Timing {
    /// Processor seconds of all files together.
    cpu_s: f64,
    /// Seconds of sound.
    audio_s: f64,
}

/// A piece as JSON, times in seconds.
#[derive(Debug, Serialize)]
struct Told<'a> {
    file: String,
    secs: f64,
    bpm: Option<f64>,
    beats: Vec<(f64, u8, f64)>,
    onsets: Vec<(f64, &'a str)>,
    lines: Vec<(f64, &'a str, f64)>,
    music: Vec<(f64, f64)>,
}

/// Listens to sound files, and writes or tells what is in them.
pub(crate) fn run(options: &Listen) -> Result<(), Failure> {
    let names = names(&options.files)?;
    let began = processor_secs();
    let pieces = listen_to_all(options)?;
    let timing =
        Timing { cpu_s: processor_secs() - began, audio_s: pieces.iter().map(|piece| piece.secs).sum() };
    if let Some(folder) = &options.out {
        make(folder)?;
        for (name, piece) in names.iter().zip(&pieces) {
            save(folder, &format!("{name}.beats"), &beats(piece))?;
            save(folder, &format!("{name}.onsets"), &onsets(piece))?;
            save(folder, &format!("{name}.sections"), &sections(piece))?;
        }
        save(folder, "timing.json", &json(&timing)?)?;
    }
    if let Some(folder) = &options.svg {
        make(folder)?;
        for (name, piece) in names.iter().zip(&pieces) {
            save(folder, &format!("{name}.svg"), &picture::drawn(name, piece))?;
        }
    }
    let mut out = std::io::stdout().lock();
    if options.json {
        let told: Vec<Told> =
            options.files.iter().zip(&pieces).map(|(file, piece)| told(file, piece)).collect();
        write!(out, "{}", json(&told)?)?;
        return Ok(());
    }
    for (name, piece) in names.iter().zip(&pieces) {
        writeln!(out, "{}", sentence(name, piece))?;
    }
    Ok(())
}

/// What files are written as: their names without the ending; no two may be the same.
fn names(files: &[PathBuf]) -> Result<Vec<String>, Failure> {
    let mut names: Vec<String> = Vec::new();
    for file in files {
        let name = file.file_stem().map(|name| name.to_string_lossy().into_owned());
        let name = name.ok_or_else(|| Failure::Input(format!("{}: this is not a file", file.display())))?;
        if names.contains(&name) {
            let shown = file.display();
            return Err(Failure::Input(format!(
                "{shown}: another file is called {name} too; listen to one at a time"
            )));
        }
        names.push(name);
    }
    Ok(names)
}

/// Each file on the next processor that is free; in the order of the files.
fn listen_to_all(options: &Listen) -> Result<Vec<Piece>, Failure> {
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
    done.into_iter().map(|heard| heard.context("a listener failed")?).collect()
}

/// Hears one file.
pub(crate) fn listen(path: &Path, live: bool) -> Result<Piece, Failure> {
    let wrong = |why: &dyn std::fmt::Display| Failure::Input(format!("{}: {why}", path.display()));
    let file = File::open(path).map_err(|error| wrong(&error))?;
    let ending = path.extension().and_then(|ending| ending.to_str());
    let mut sound = Sound::open(Box::new(file), ending).map_err(|error| wrong(&error))?;
    let piece = if live {
        let mut live = Live::new(sound.rate()).map_err(|error| wrong(&error))?;
        while let Some(samples) = sound.next_samples().map_err(|error| wrong(&error))? {
            live.push(samples);
        }
        live.end()
    } else {
        let mut hearing = Hearing::new(sound.rate()).map_err(|error| wrong(&error))?;
        while let Some(samples) = sound.next_samples().map_err(|error| wrong(&error))? {
            hearing.push(samples);
        }
        hearing.end().map_err(|error| wrong(&error))?
    };
    if sound.torn > 0 {
        eprintln!("{}: {} torn pieces were left out", path.display(), sound.torn);
    }
    Ok(piece)
}

/// `seconds beat-in-bar emit-seconds`
fn beats(piece: &Piece) -> String {
    piece.beats.iter().map(|beat| format!("{:.4} {} {:.4}\n", beat.at, beat.place, beat.told)).collect()
}

/// `seconds class`
fn onsets(piece: &Piece) -> String {
    piece.onsets.iter().map(|onset| format!("{:.4} {}\n", onset.at, onset.class.word())).collect()
}

/// `seconds label emit-seconds`
fn sections(piece: &Piece) -> String {
    piece.lines.iter().map(|line| format!("{:.4} {} {:.4}\n", line.at, line.mark.word(), line.told)).collect()
}

fn told<'a>(file: &Path, piece: &'a Piece) -> Told<'a> {
    // A tenth of a millisecond is finer than anything is known.
    let fine = |secs: f64| (secs * 1e4).round() / 1e4;
    Told {
        file: file.display().to_string(),
        secs: fine(piece.secs),
        bpm: piece.bpm().map(|bpm| (bpm * 100.0).round() / 100.0),
        beats: piece.beats.iter().map(|beat| (fine(beat.at), beat.place, fine(beat.told))).collect(),
        onsets: piece.onsets.iter().map(|onset| (fine(onset.at), onset.class.word())).collect(),
        lines: piece.lines.iter().map(|line| (fine(line.at), line.mark.word(), fine(line.told))).collect(),
        music: piece.music.iter().map(|(from, to)| (fine(*from), fine(*to))).collect(),
    }
}

fn sentence(name: &str, piece: &Piece) -> String {
    let length = format!("{}:{:02}", piece.secs as u64 / 60, piece.secs as u64 % 60);
    let Some(bpm) = piece.bpm() else {
        return format!("{name}: {length}, no beat is heard");
    };
    let bars = piece.beats.iter().filter(|beat| beat.place == 1).count();
    let lines = piece.lines.iter().map(|line| line.mark.word()).filter(|word| *word != "phrase").count();
    let beats = piece.beats.len();
    format!(
        "{name}: {length}, {bpm:.1} beats a minute; {beats} beats, {bars} bars, {lines} lines of the form"
    )
}

fn make(folder: &Path) -> Result<(), Failure> {
    let context = || format!("make the folder {}", folder.display());
    Ok(fs::create_dir_all(folder).with_context(context)?)
}

fn save(folder: &Path, name: &str, text: &str) -> Result<(), Failure> {
    let path = folder.join(name);
    Ok(fs::write(&path, text).with_context(|| format!("write {}", path.display()))?)
}

fn json(value: &impl Serialize) -> Result<String, Failure> {
    let mut text = serde_json::to_string(value).context("write JSON")?;
    text.push('\n');
    Ok(text)
}

/// Processor time that this program has taken.
fn processor_secs() -> f64 {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}
