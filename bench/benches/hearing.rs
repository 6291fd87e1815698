//! Beats of invented music as we hear them, beside aubio, librosa and essentia on the same files in the same run: F-measure
//! by mir_eval, and processor seconds for a minute of sound. Without Python and these packages only our own times are told.

use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use lanthorn_bench::{head, row};
use lanthorn_clips::{Clip, Fonts, Wish, render};
use lanthorn_music::piece::{Hearing, Live, Piece};
use rustix::time::{ClockId, clock_gettime};
use serde_json::{Value, json};

const SECS: f64 = 40.0;
const RATE: u32 = 44_100;

/// Every fifth style of music, every second clip with a room, noise or a small microphone.
const EVERY: usize = 5;

/// Music only: what follows in the list has no beat.
const NO_BEAT: usize = 15;

fn main() -> std::io::Result<()> {
    let all = lanthorn_clips::styles();
    let styles = all[..all.len() - NO_BEAT].iter().step_by(EVERY);
    let clips: Vec<Clip> = styles
        .enumerate()
        .map(|(number, style)| {
            let seed = 4_000_000 + number as u64;
            render(
                &Wish { style: Some(style), secs: SECS, rate: RATE, degrade: number % 2 == 1, seed },
                &Fonts::none(),
            )
        })
        .collect();
    let folder = std::env::temp_dir().join(format!("lanthorn-hearing-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    let minutes = clips.len() as f64 * SECS / 60.0;
    let live = heard("as it goes", &clips, |clip| {
        let mut live = Live::new(RATE).map_err(std::io::Error::other)?;
        live.push(&clip.samples);
        Ok(live.end())
    })?;
    let back = heard("looking back", &clips, |clip| {
        let mut hearing = Hearing::new(RATE).map_err(std::io::Error::other)?;
        hearing.push(&clip.samples);
        hearing.end().map_err(std::io::Error::other)
    })?;
    let mut files = Vec::new();
    for (number, clip) in clips.iter().enumerate() {
        let path = folder.join(format!("{number}.wav"));
        fs::write(&path, clip.wav())?;
        let beats: Vec<f64> = clip.truth.beats.iter().map(|beat| beat.at).collect();
        files.push(json!({ "path": path, "beats": beats }));
    }
    let theirs = python(&json!({ "files": files, "ours": [live, back] }));
    fs::remove_dir_all(&folder)?;
    match &theirs {
        Ok(theirs) => println!("{} clips of {SECS} s, beside {}", clips.len(), theirs["versions"]),
        Err(why) => println!("ours alone: {why}"),
    }
    head(&["", "beat F", "in step at some level", "processor s a minute"]);
    let none = Vec::new();
    let rows = theirs.as_ref().ok().and_then(|theirs| theirs["rows"].as_array()).unwrap_or(&none);
    for told in rows {
        let figure = |name: &str| told[name].as_f64().unwrap_or(f64::NAN);
        row(&[
            told["name"].as_str().unwrap_or_default().to_owned(),
            format!("{:.3}", figure("f")),
            format!("{:.3}", figure("amlt")),
            format!("{:.2}", figure("cpu") / minutes),
        ]);
    }
    if rows.is_empty() {
        for own in [&live, &back] {
            let cpu = own["cpu"].as_f64().unwrap_or(f64::NAN) / minutes;
            row(&[own["name"].to_string(), String::new(), String::new(), format!("{cpu:.2}")]);
        }
    }
    Ok(())
}

/// When a lamp would act on each beat of each clip, and the processor time that took.
fn heard(
    name: &str,
    clips: &[Clip],
    hear: impl Fn(&Clip) -> std::io::Result<Piece>,
) -> std::io::Result<Value> {
    let began = processor_secs();
    let pieces = clips.iter().map(hear).collect::<std::io::Result<Vec<Piece>>>()?;
    let cpu = processor_secs() - began;
    let live = name == "as it goes";
    let acts = |piece: &Piece| -> Vec<f64> {
        piece.beats.iter().map(|beat| if live { beat.at.max(beat.told) } else { beat.at }).collect()
    };
    Ok(
        json!({ "name": format!("ours, {name}"), "cpu": cpu, "beats": pieces.iter().map(acts).collect::<Vec<_>>() }),
    )
}

fn processor_secs() -> f64 {
    let time = clock_gettime(ClockId::ProcessCPUTime);
    time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
}

/// Runs the other side: `LANTHORN_PYTHON` names an interpreter that has the packages, usually python3.
fn python(input: &Value) -> Result<Value, String> {
    let interpreter = std::env::var("LANTHORN_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/hearing.py");
    let hint = "LANTHORN_PYTHON may name an interpreter with mir_eval and any of aubio, librosa and essentia";
    let mut child = Command::new(&interpreter)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|why| format!("{interpreter}: {why}; {hint}"))?;
    if let Some(mut pipe) = child.stdin.take() {
        pipe.write_all(input.to_string().as_bytes()).map_err(|why| format!("{interpreter}: {why}"))?;
    }
    let output = child.wait_with_output().map_err(|why| format!("{interpreter}: {why}"))?;
    let error = String::from_utf8_lossy(&output.stderr);
    let last = error.lines().last().unwrap_or("no answer").to_owned();
    serde_json::from_slice(&output.stdout).map_err(|_| format!("{interpreter}: {last}; {hint}"))
}
