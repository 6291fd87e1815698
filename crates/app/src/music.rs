//! The music as a page is told of it.

use lanthorn_live::ears::{Brings, Hearing};
use lanthorn_music::pulse::Phase;
use lanthorn_show::player::RunningChase;
use lanthorn_show::{Show, Status};

use crate::wire::{MusicNow, MusicSource};

/// Below this level nothing can be heard of music.
const QUIET_DB: f32 = -60.0;

/// The next step is told this many beats ahead at most.
const MOST_BEATS: f64 = 16.0;

/// The music now, from what the ears and the player say.
pub(crate) fn now(hearing: &Hearing, status: &Status, show: &Show) -> MusicNow {
    let music = &status.music;
    let pulse = music.pulse.as_ref();
    let form = pulse.filter(|pulse| pulse.follows).and_then(|pulse| pulse.form);
    MusicNow {
        source: hearing.source.as_ref().map(|source| MusicSource {
            number: hearing.number as f64,
            name: source.name.clone(),
            brings: match source.brings {
                Brings::Sound { .. } => "sound".to_owned(),
                Brings::MidiClock => "midi".to_owned(),
                Brings::Pulse => "score".to_owned(),
            },
        }),
        says: says(hearing, status),
        next: next(status, show),
        follow: music.follow,
        sets: music.sets,
        heard: pulse.is_some_and(|pulse| pulse.follows && !pulse.lost),
        lost: hearing.lost,
        calm: music.calm,
        in_bar: status.beat.rem_euclid(status.bar_beats),
        bar_beats: status.bar_beats,
        sure: pulse.map_or(0.0, |pulse| f64::from(pulse.confidence)),
        bar_sure: pulse.map_or(0.0, |pulse| f64::from(pulse.bar_confidence)),
        bpm: pulse.filter(|pulse| pulse.follows).map(|pulse| pulse.bpm.round()),
        times: music.times,
        earlier_ms: music.earlier.secs() * 1e3,
        range: music.range,
        picks: music.picks,
        mood: music.mood.map(|mood| mood.word().to_owned()),
        phase: form.map(|form| phase(form.phase).to_owned()),
        energy: form.map(|form| f64::from((form.energy * 100.0).round() / 100.0)),
        line_bars: line_bars(status),
        level_db: hearing.level_db.map(f64::from),
        peak_db: hearing.peak_db.map(f64::from),
        bands: pulse.map_or([0.0; 3], |pulse| pulse.bands.map(f64::from)),
        clips: hearing.clips,
        delay_ms: hearing.delay.map(|delay| delay.secs() * 1e3),
        gaps: hearing.gaps as f64,
    }
}

/// The word for what goes on.
fn phase(phase: Phase) -> &'static str {
    match phase {
        Phase::Full => "full",
        Phase::Breakdown => "breakdown",
        Phase::Build => "build",
    }
}

/// Bars until the next phrase line, the one that is on counted.
fn line_bars(status: &Status) -> Option<f64> {
    status.music.line_in.map(|beats| (beats / status.bar_beats).ceil().max(1.0))
}

/// How it stands, in words.
fn says(hearing: &Hearing, status: &Status) -> String {
    let music = &status.music;
    if let Some(problem) = &hearing.problem {
        return problem.clone();
    }
    let Some(source) = &hearing.source else {
        return "Nothing is listened to. The tempo is the one that was set or tapped.".to_owned();
    };
    let hand = if music.follow { "" } else { " The tempo is in your hand." };
    let midi = source.brings == Brings::MidiClock;
    let calm = if music.calm { " What is to be calm stands." } else { "" };
    let heard = match &music.pulse {
        _ if hearing.lost && midi => "The clock has stopped coming; the tempo is held.".to_owned(),
        _ if hearing.lost => format!("Nothing comes in from {} any more; the tempo is held.", source.name),
        None => format!("Listening to {}.", source.name),
        Some(pulse) if midi && !pulse.follows => "The clock stands; the tempo is held.".to_owned(),
        Some(pulse) if !pulse.follows && hearing.level_db.is_some_and(|level| level < QUIET_DB) => {
            "It is silent; the tempo is held.".to_owned()
        }
        Some(pulse) if !pulse.follows => "No beat is heard; the tempo is held.".to_owned(),
        Some(pulse) if pulse.held => "The beat is not heard just now; its tempo is held.".to_owned(),
        Some(pulse) if music.sets => match pulse.form.map_or(Phase::Full, |form| form.phase) {
            Phase::Full => "On the beat.",
            Phase::Breakdown => "On the beat, in a breakdown.",
            Phase::Build => "On the beat; it builds up.",
        }
        .to_owned(),
        Some(_) => "A beat is heard.".to_owned(),
    };
    let clips = if hearing.clips { " The input is too loud: turn it down." } else { "" };
    format!("{heard}{hand}{calm}{clips}")
}

/// What comes next: the look that the music picks, and in the chases that run with the beat.
fn next(status: &Status, show: &Show) -> String {
    let chase = next_step(status, show);
    let music = &status.music;
    if !music.picks || music.calm {
        return chase;
    }
    let look = match (music.sets, line_bars(status)) {
        (true, Some(1.0)) => "A look by the music with the next bar.".to_owned(),
        (true, Some(bars)) => format!("A look by the music in {bars} bars, or with a drop."),
        _ => "Looks by the music, once its beat is known.".to_owned(),
    };
    format!("{look} {chase}").trim_end().to_owned()
}

/// What comes next in the chase that was started last.
fn next_step(status: &Status, show: &Show) -> String {
    let beat_secs = 60.0 / status.bpm;
    let of = |running: &RunningChase| {
        let chase = show.chases.get(running.chase)?;
        let name = &chase.name;
        if running.calmed {
            return Some(format!("{name} waits for the music."));
        }
        if let Some(strike) = chase.at_each.filter(|_| running.waits) {
            return Some(format!("{name} waits for a {}.", strike.word()));
        }
        let beats = (running.next_in?.secs() / beat_secs).ceil().max(1.0);
        if beats > MOST_BEATS {
            return None;
        }
        let look = &chase.steps.get((running.step + 1) % chase.steps.len().max(1))?.look;
        let when = if beats < 1.5 { "with the next beat".to_owned() } else { format!("in {beats} beats") };
        let what = match chase.order {
            lanthorn_show::Order::Forward => format!("{name} goes to {look}"),
            _ => format!("{name} takes its next step"),
        };
        Some(format!("{what} {when}."))
    };
    status.chases.iter().flatten().last().and_then(of).unwrap_or_default()
}
