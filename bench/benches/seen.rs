//! How near to the beats of music light is seen: the built program listens to invented music on a pipe, as fast as it sounds,
//! and a chase steps with it. Packets are taken from the loopback interface and compared with the truth of the clip.

use std::fs;
use std::io::Write;
use std::net::UdpSocket;
use std::path::Path;
use std::process::Command;
use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant};

use lanthorn_bench::{head, program, row};
use lanthorn_clips::{Clip, Fonts, Wish, render};

/// Plain ones have one tempo and no cuts; the others have whatever happens in a set.
const STYLES: [&str; 6] = ["plain four", "plain rock", "plain four", "plain rock", "disco", "drum and bass"];
const SECS: f64 = 45.0;
const RATE: u32 = 48_000;

/// Until then it may find the beat.
const FROM_SECS: f64 = 15.0;

/// The DMX line's own part: a full frame takes so long (ANSI E1.11: a break and 513 slots of 44 µs).
const LINE_SECS: f64 = 0.023;

/// What is further off than this is on no beat.
const FAR_SECS: f64 = 0.2;

/// Where slots begin in an sACN packet (ANSI E1.31, behind the start code).
const SLOTS_AT: usize = 126;

const SHOW: &str = r#"lanthorn = 1

[show]
name = "seen"

[room]
name = "hall"
x = [-5, 5]
y = [-8, 4]
height = "4 m"

[[room.place]]
name = "bar"
kind = "bar"
middle = [0, 0, 3.5]
length = "6 m"

[[unit]]
number = 1
profile = "one-channel dimmer"
place = "bar"
at = -1
address = "1.001"

[[unit]]
number = 2
profile = "one-channel dimmer"
place = "bar"
at = 1
address = "1.002"

[[look]]
name = "one"
[[look.part]]
who = 1

[[look]]
name = "other"
[[look.part]]
who = 2

[[chase]]
name = "turns"
step_time = "1 beat"
steps = ["one", "other"]
"#;

fn main() -> std::io::Result<()> {
    let receiver =
        UdpSocket::bind("127.0.0.1:5568").expect("port 5568 is free: end other programs that receive sACN");
    receiver.set_read_timeout(Some(Duration::from_millis(200)))?;
    let folder = std::env::temp_dir().join(format!("lanthorn-seen-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    println!("light as it is seen, after the beat (less: before it), ms; a full frame on the line counted");
    head(&["music", "beats", "on a beat", "median", "95 % within", "the widest"]);
    let mut all = Vec::new();
    for (number, style) in STYLES.into_iter().enumerate() {
        let seed = 5_000_000 + number as u64;
        let wish = Wish { style: Some(style), secs: SECS, rate: RATE, degrade: false, seed };
        let clip = render(&wish, &Fonts::none());
        let late = seen(&clip, &folder, &receiver)?;
        let beats = clip.truth.beats.iter().filter(|beat| beat.at > FROM_SECS).count();
        tell(style, beats, &late);
        all.push((beats, late));
    }
    let beats = all.iter().map(|(beats, _)| beats).sum();
    tell("all", beats, &all.into_iter().flat_map(|(_, late)| late).collect::<Vec<f64>>());
    fs::remove_dir_all(&folder)
}

/// How long after its beat each step is seen, seconds.
fn seen(clip: &Clip, folder: &Path, receiver: &UdpSocket) -> std::io::Result<Vec<f64>> {
    let (show, pipe) = (folder.join("seen.show.toml"), folder.join("sound"));
    fs::write(&show, SHOW)?;
    let _ = fs::remove_file(&pipe);
    assert!(Command::new("mkfifo").arg(&pipe).status()?.success(), "mkfifo makes a pipe");
    let ears = format!("raw:{}@{RATE}", pipe.display());
    let options = ["--start", "turns", "--ears", &ears];
    let (program, _, lines) = program::start_show(&show.to_string_lossy(), &options);
    program::read_on(lines);
    let samples: Vec<i16> =
        clip.samples.iter().map(|sample| (sample.clamp(-1.0, 1.0) * 32_767.0) as i16).collect();
    let (begun, when) = channel();
    let player = std::thread::spawn(move || play(&samples, &pipe, &begun));
    let begun = when.recv().expect("the program opens the pipe");
    let end = begun + Duration::from_secs_f64(SECS);
    let (mut packet, mut lit, mut steps) = ([0_u8; 1024], None, Vec::new());
    while Instant::now() < end {
        let Ok(length) = receiver.recv(&mut packet) else { continue };
        let at = (Instant::now() - begun).as_secs_f64();
        if length < SLOTS_AT + 2 {
            continue;
        }
        let now = packet[SLOTS_AT] > packet[SLOTS_AT + 1];
        if lit.is_some_and(|lit| lit != now) && at > FROM_SECS {
            steps.push(at + LINE_SECS);
        }
        lit = Some(now);
    }
    drop(program);
    // Nobody reads it any more.
    let _ = player.join().expect("it plays");
    let off = |step: &f64| {
        let beats = clip.truth.beats.iter().map(|beat| step - beat.at);
        beats.min_by(|a, b| a.abs().total_cmp(&b.abs())).filter(|off| off.abs() < FAR_SECS)
    };
    Ok(steps.iter().filter_map(off).collect())
}

/// Gives samples to a pipe as fast as they sound, a hundredth of a second each time.
fn play(samples: &[i16], pipe: &Path, begun: &Sender<Instant>) -> std::io::Result<()> {
    let mut pipe = fs::OpenOptions::new().write(true).open(pipe)?;
    let start = Instant::now();
    let _ = begun.send(start);
    for (number, block) in samples.chunks(RATE as usize / 100).enumerate() {
        // A block is whole when its last sample has sounded.
        let due = start + Duration::from_millis(10) * (number as u32 + 1);
        std::thread::sleep(due.saturating_duration_since(Instant::now()));
        let bytes: Vec<u8> = block.iter().flat_map(|sample| sample.to_le_bytes()).collect();
        pipe.write_all(&bytes)?;
    }
    Ok(())
}

fn tell(words: &str, beats: usize, late: &[f64]) {
    let mut sorted = late.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut wide: Vec<f64> = late.iter().map(|late| late.abs()).collect();
    wide.sort_by(f64::total_cmp);
    let at = |list: &[f64], part: f64| {
        let place = ((list.len().max(1) - 1) as f64 * part) as usize;
        list.get(place).map_or("none".to_owned(), |secs| format!("{:.1}", secs * 1e3))
    };
    let (on, median) = (late.len().to_string(), at(&sorted, 0.5));
    row(&[words.to_owned(), beats.to_string(), on, median, at(&wide, 0.95), at(&wide, 1.0)]);
}
