//! Rendered clips, whose beats are known, through ears and player.

use std::sync::mpsc::channel;

use lanthorn_clips::{Clip, Fonts, Wish, render};
use lanthorn_show::follow::LEAD;
use lanthorn_show::{Command, Player, Show};

use super::*;
use crate::testing;

/// What a page sends at once: 20 ms at 24 kHz.
const BLOCK: usize = 480;

fn clip(style: &'static str, secs: f64, seed: u64) -> Clip {
    render(&Wish { style: Some(style), secs, rate: 24_000, degrade: false, seed }, &Fonts::none())
}

/// Plays a clip that begins at `begin` to a listener and a player, each block arriving some milliseconds late. Where the
/// show's whole beats lay, as they are seen, and which of their bar they were.
fn play(clip: &Clip, begin: f64) -> (Vec<(f64, u64)>, Player) {
    let mut listener = Listener::new(clip.rate, Span::from_millis(12)).unwrap();
    let mut player = Player::new(Arc::new(Show::default()), Arc::new(testing::rig_of(1)));
    let mut beats = Vec::new();
    let mut last = None;
    let mut random: u64 = 3;
    for (number, block) in clip.samples.chunks(BLOCK).enumerate() {
        let end = (number * BLOCK + block.len()) as f64 / f64::from(clip.rate);
        random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let jitter = ((random >> 40) as f64 / f64::from(1 << 24)).powi(3) * 0.03;
        let arrives = begin + end + 0.012 + jitter;
        listener.hear(Some((number * BLOCK) as u64), block, Instant::from_secs(arrives));
        let now = Instant::from_secs(begin + end + 0.045);
        player.apply(&Command::Pulse(Some(listener.pulse())), now);
        // As often as there are milliseconds until the next block.
        for millis in 0..20 {
            let at = now + Span::from_millis(millis);
            let status = player.status(at);
            let whole = status.beat.floor();
            if last.is_some_and(|last| whole > last) {
                let seen = at.secs() + LEAD.secs() - begin;
                beats.push((seen, whole.rem_euclid(status.bar_beats).round() as u64 + 1));
            }
            last = Some(whole);
        }
    }
    (beats, player)
}

/// How far each beat from a moment on lies from the nearest of the show's, seconds, and whether it is that of the bar.
fn errors(clip: &Clip, beats: &[(f64, u64)], from: f64) -> Vec<(f64, bool)> {
    let of_music = |at: f64| clip.truth.music.iter().any(|(begin, end)| at >= *begin && at <= *end);
    let true_beats = clip.truth.beats.iter().filter(|beat| beat.at > from && beat.at < clip.truth.secs - 0.5);
    true_beats
        .filter(|beat| of_music(beat.at))
        .filter_map(|beat| {
            let near = beats.iter().min_by(|a, b| (a.0 - beat.at).abs().total_cmp(&(b.0 - beat.at).abs()))?;
            Some((near.0 - beat.at, near.1 == u64::from(beat.place)))
        })
        .collect()
}

#[test]
fn beats_are_seen_within_fifteen_milliseconds_of_the_true_ones() {
    let mut all = Vec::new();
    for (style, seed) in
        [("plain four", 1), ("plain four", 2), ("plain rock", 3), ("plain rock", 4), ("plain waltz", 5)]
    {
        let clip = clip(style, 30.0, seed);
        let (beats, player) = play(&clip, 3.3);
        let errors = errors(&clip, &beats, 10.0);
        let mut off: Vec<f64> = errors.iter().map(|(off, _)| off.abs()).collect();
        off.sort_by(f64::total_cmp);
        let placed = errors.iter().filter(|(_, placed)| *placed).count();
        let p95 = off[off.len() * 95 / 100];
        println!(
            "{style} {seed}: {} beats, p50 {:.1} ms, p95 {:.1} ms, mean {:+.1} ms, {placed} in their place, {:.1} bpm",
            off.len(),
            off[off.len() / 2] * 1e3,
            p95 * 1e3,
            errors.iter().map(|(off, _)| off).sum::<f64>() / off.len() as f64 * 1e3,
            player.status(Instant::from_secs(33.0)).bpm,
        );
        all.push((style, seed, p95, placed * 10 >= errors.len() * 9));
    }
    for (style, seed, p95, placed) in all {
        assert!(p95 < 0.015, "{style} {seed}: {:.1} ms", p95 * 1e3);
        // Four equal kicks do not say which of them is the first.
        assert!(placed || style == "plain four", "{style} {seed}: bars");
    }
}

#[test]
fn speech_sets_no_tempo() {
    let (_, player) = play(&clip("speech", 20.0, 6), 0.0);
    let music = player.status(Instant::from_secs(21.0)).music;
    assert!(!music.sets && music.calm && music.pulse.is_some_and(|pulse| !pulse.follows));
}

#[test]
fn a_hole_in_the_sound_is_told_and_the_beat_kept() {
    let clip = clip("plain four", 20.0, 2);
    let mut listener = Listener::new(clip.rate, Span::ZERO).unwrap();
    for (number, block) in clip.samples.chunks(BLOCK).enumerate() {
        let (first, end) = (number * BLOCK, number * BLOCK + block.len());
        // 200 ms are lost after twelve seconds.
        if !(12.0..12.2).contains(&(first as f64 / 24_000.0)) {
            listener.hear(Some(first as u64), block, Instant::from_secs(end as f64 / 24_000.0 + 0.01));
        }
    }
    let mut hearing = Hearing::default();
    listener.tell(Instant::from_secs(20.0), &mut hearing);
    assert_eq!(hearing.gaps, 1);
    let pulse = listener.pulse();
    let beat = clip.truth.beats.iter().map(|beat| (beat.at - pulse.beat_at.secs()).abs()).fold(1.0, f64::min);
    assert!(pulse.follows && beat < 0.02, "{beat}");
}

#[test]
fn what_is_too_loud_and_how_late_it_comes_is_told() {
    let mut listener = Listener::new(48_000, Span::from_millis(20)).unwrap();
    for block in 0..200 {
        let at = f64::from(block + 1) * 0.01 + if block % 7 == 0 { 0.02 } else { 0.0 };
        let sample = |n: usize| if block == 150 { 1.0 } else { 0.1 * (n as f32 * 0.2).sin() };
        listener.hear(None, &(0..480).map(sample).collect::<Vec<_>>(), Instant::from_secs(at));
    }
    let mut hearing = Hearing::default();
    listener.tell(Instant::from_secs(2.1), &mut hearing);
    assert!(hearing.clips && (-24.0..-16.0).contains(&hearing.level_db.unwrap()), "{hearing:?}");
    let delay = hearing.delay.unwrap().secs();
    assert!((0.03..0.04).contains(&delay), "its own 20 ms, a block of 10 ms, and what jitter adds: {delay}");
    listener.tell(Instant::from_secs(4.0), &mut hearing);
    assert!(!hearing.clips);
}

/// Ears whose words to the machine come out here.
fn ears() -> (Ears, Receiver<Option<Pulse>>, Clock, Arc<AtomicBool>) {
    let (give, given) = channel();
    let (clock, stop) = (Clock::start(), Arc::new(AtomicBool::new(false)));
    let give = move |pulse, _| {
        let _ = give.send(pulse);
    };
    let (ears, _thread) = Ears::start(clock, give, stop.clone()).unwrap();
    (ears, given, clock, stop)
}

fn sound(name: &str, rate: u32) -> Source {
    Source { name: name.to_owned(), brings: Brings::Sound { rate, delay: Span::ZERO } }
}

#[test]
fn a_source_that_falls_silent_is_lost_and_said_so() {
    let (ears, given, clock, stop) = ears();
    let feed = ears.open(sound("the mixer", 48_000));
    assert!(feed.push(None, vec![0.1; 480], clock.now()) && feed.counts());
    let lost = |pulse: Option<Pulse>| pulse.is_some_and(|pulse| pulse.lost);
    let wait = Duration::from_secs(20);
    assert!(std::iter::from_fn(|| given.recv_timeout(wait).ok()).any(lost));
    assert!(ears.hearing().lost && ears.hearing().source.is_some());
    // It comes back as if nothing had been.
    assert!(feed.push(None, vec![0.1; 480], clock.now()));
    let back = |pulse: Option<Pulse>| pulse.is_some_and(|pulse| !pulse.lost);
    assert!(std::iter::from_fn(|| given.recv_timeout(wait).ok()).any(back));
    stop.store(true, Ordering::Release);
}

#[test]
fn a_new_source_takes_the_place_of_the_one_before() {
    let (ears, given, clock, stop) = ears();
    let first = ears.open(sound("one", 48_000));
    let second = ears.open(sound("two", 44_100));
    assert!(!first.push(None, vec![0.0; 480], clock.now()), "it does not count any more");
    assert!(second.push(None, vec![0.0; 480], clock.now()));
    let heard = |pulse: Option<Pulse>| pulse.is_some();
    assert!(std::iter::from_fn(|| given.recv_timeout(Duration::from_secs(20)).ok()).any(heard));
    assert_eq!(ears.hearing().source.map(|source| source.name).as_deref(), Some("two"));
    ears.close();
    assert!(!second.push(None, vec![0.0; 480], clock.now()));
    let nothing = |pulse: Option<Pulse>| pulse.is_none();
    assert!(std::iter::from_fn(|| given.recv_timeout(Duration::from_secs(20)).ok()).any(nothing));
    let wrong = ears.open(sound("three", 100));
    assert!(wrong.push(None, vec![0.0; 480], clock.now()));
    let told = std::iter::repeat_with(|| ears.hearing().problem).take(2000).find_map(|problem| {
        std::thread::sleep(Duration::from_millis(5));
        problem
    });
    assert!(told.is_some_and(|why| why.contains("100 samples")));
    stop.store(true, Ordering::Release);
}
