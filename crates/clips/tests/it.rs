//! What a user of clips relies on.

use lanthorn_clips::{Class, Clip, Fonts, Mark, Wish, render, styles, whole_songs};

fn clip(style: Option<&'static str>, seed: u64, degrade: bool) -> Clip {
    render(&Wish { style, secs: 20.0, degrade, seed, ..Wish::default() }, &Fonts::none())
}

/// Ten seconds of a style, at a low rate.
fn short(style: &'static str, seed: u64) -> Clip {
    render(&Wish { style: Some(style), secs: 10.0, rate: 16_000, degrade: false, seed }, &Fonts::none())
}

/// Mean square of the `secs` after (or, when negative, before) `at`.
fn energy(clip: &Clip, at: f64, secs: f64) -> f64 {
    let rate = f64::from(clip.rate);
    let (from, to) = (at.min(at + secs).max(0.0), at.max(at + secs).max(0.0));
    let range = (from * rate).round() as usize..((to * rate).round() as usize).min(clip.samples.len());
    let len = range.len().max(1) as f64;
    clip.samples[range].iter().map(|s| f64::from(s * s)).sum::<f64>() / len
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_others() {
    for degrade in [false, true] {
        let (one, two) = (clip(None, 7, degrade), clip(None, 7, degrade));
        assert_eq!(one, two);
        assert_eq!(one.wav(), two.wav());
        assert_ne!(one.samples, clip(None, 8, degrade).samples);
    }
}

#[test]
fn truth_is_sorted_and_inside_and_samples_are_bounded() {
    (0..24).for_each(|seed| holds(&clip(None, seed, seed % 2 == 1)));
}

#[test]
#[ignore = "takes minutes"]
fn thousands_of_clips_hold_at_any_rate() {
    for seed in 0..2000 {
        let rate = [16_000, 22_050, 24_000, 44_100, 48_000][(seed % 5) as usize];
        let secs = [3.0, 12.0, 31.7, 60.0][(seed % 4) as usize];
        let wish = Wish { style: None, secs, rate, degrade: seed % 3 > 0, seed: 50_000 + seed };
        holds(&render(&wish, &Fonts::none()));
    }
}

/// What is true of every clip.
fn holds(clip: &Clip) {
    let truth = &clip.truth;
    let inside = |at: f64| (0.0..truth.secs).contains(&at);
    assert!((clip.samples.len() as f64 / f64::from(clip.rate) - truth.secs).abs() < 0.001, "{}", clip.name);
    assert!(clip.samples.iter().all(|s| s.abs() < 1.0), "{}", clip.name);
    assert!(
        truth.beats.is_sorted_by(|a, b| a.at < b.at) && truth.beats.iter().all(|b| inside(b.at)),
        "{}",
        clip.name
    );
    assert!(truth.onsets.is_sorted_by(|a, b| a.at <= b.at) && truth.onsets.iter().all(|o| inside(o.at)));
    assert!(truth.sections.is_sorted_by(|a, b| a.at <= b.at) && truth.sections.iter().all(|s| inside(s.at)));
    assert!(truth.music.iter().all(|&(from, to)| 0.0 <= from && from < to && to <= truth.secs));
    let outside = truth.beats.iter().find(|b| !truth.plays_at(b.at + 1e-6));
    assert!(outside.is_none(), "{}: a beat where no music sounds: {outside:?}", clip.name);
}

#[test]
fn bars_hold_as_many_beats_as_they_say() {
    for (n, style) in styles().iter().enumerate() {
        let clip = short(style, n as u64);
        for pair in clip.truth.beats.windows(2) {
            // a new song may begin anywhere in a bar, and a gap lies between
            let one_song = pair[1].of == pair[0].of
                && clip.truth.music.iter().all(|m| m.0 <= pair[0].at || pair[1].at < m.0);
            let next = pair[0].place % pair[0].of + 1;
            assert!(!one_song || pair[1].place == next, "{}: {pair:?}", clip.name);
            assert!((1..=pair[0].of).contains(&pair[0].place));
        }
    }
}

#[test]
fn a_plain_kick_is_heard_within_three_milliseconds() {
    let clip = clip(Some("plain four"), 1, false);
    let kicks: Vec<f64> = clip.truth.onsets.iter().filter(|o| o.class == Class::Kick).map(|o| o.at).collect();
    assert!(kicks.len() > 35, "{}", kicks.len());
    for at in kicks {
        let (before, after) = (energy(&clip, at, -0.003), energy(&clip, at, 0.003));
        assert!(after > 3.0 * before.max(1e-7), "kick at {at}: {before} then {after}");
    }
}

#[test]
fn a_plain_clip_has_a_kick_on_every_beat_at_one_tempo() {
    let clip = clip(Some("plain four"), 3, false);
    let period = clip.truth.beats[1].at - clip.truth.beats[0].at;
    assert!((0.468..=0.501).contains(&period), "{period}");
    for pair in clip.truth.beats.windows(2) {
        assert!((pair[1].at - pair[0].at - period).abs() < 1e-6);
    }
    for beat in &clip.truth.beats {
        let near = clip.truth.onsets.iter().any(|o| o.class == Class::Kick && (o.at - beat.at).abs() < 1e-6);
        assert!(near || beat.at > clip.truth.secs - 0.01, "{beat:?}");
    }
}

#[test]
fn silence_is_silent_and_speech_has_no_beat() {
    let silence = clip(Some("silence"), 5, false);
    assert!(silence.samples.iter().all(|s| *s == 0.0) && silence.truth.music.is_empty());
    for name in ["speech", "applause", "murmur", "pads", "footsteps"] {
        let clip = clip(Some(name), 5, false);
        assert!(clip.truth.beats.is_empty() && clip.truth.music.is_empty() && clip.truth.onsets.is_empty());
        assert!(energy(&clip, 0.0, 20.0) > 1e-4, "{name}");
    }
}

#[test]
fn silence_that_is_degraded_stays_finite() {
    for seed in 0..40 {
        let wish = Wish { style: Some("silence"), secs: 2.0, rate: 16_000, degrade: true, seed };
        holds(&render(&wish, &Fonts::none()));
    }
}

#[test]
fn every_style_sounds_and_names_are_unique() {
    let mut names = styles().to_vec();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), styles().len());
    for style in styles().iter().filter(|s| **s != "silence") {
        let clip = short(style, 11);
        assert!(energy(&clip, 0.0, 10.0) > 1e-4, "{style}");
    }
}

#[test]
fn whole_songs_hold_and_drops_bring_the_kick_back() {
    let kicks = |clip: &Clip, from: f64, to: f64| {
        let kick = |o: &&lanthorn_clips::Onset| o.class == Class::Kick && (from..to).contains(&o.at);
        clip.truth.onsets.iter().filter(kick).count()
    };
    let mut drops = 0;
    for (seed, style) in whole_songs().iter().enumerate() {
        let wish = Wish { style: Some(style), secs: 60.0, rate: 16_000, degrade: false, seed: seed as u64 };
        let clip = render(&wish, &Fonts::none());
        holds(&clip);
        assert_eq!(clip.truth.music.len(), 1, "{style}: one song and nothing else");
        let parts: Vec<_> =
            clip.truth.sections.iter().filter(|section| section.mark != Mark::Phrase).collect();
        for pair in parts.windows(2) {
            let [(from, mark), (at, next)] = [pair[0], pair[1]].map(|section| (section.at, section.mark));
            if mark == Mark::Breakdown && next == Mark::Drop {
                drops += 1;
                assert_eq!(
                    kicks(&clip, from + 0.1, at - 2.0),
                    0,
                    "{style}: a kick in the breakdown at {from}"
                );
                let end = (at + 4.0).min(clip.truth.secs);
                assert!(end - at < 3.0 || kicks(&clip, at - 0.1, end) > 0, "{style}: no kick at {at}");
            }
        }
    }
    assert!(drops >= 5, "{drops} drops straight after a breakdown");
}

#[test]
fn a_sixth_of_random_clips_is_no_music() {
    let (mut music, mut all) = (0.0, 0.0);
    for seed in 0..120 {
        let clip = render(&Wish { secs: 30.0, rate: 16_000, seed, ..Wish::default() }, &Fonts::none());
        music += clip.truth.music.iter().map(|m| m.1 - m.0).sum::<f64>();
        all += clip.truth.secs;
    }
    let share = 1.0 - music / all;
    assert!((0.12..0.23).contains(&share), "{share}");
}

#[cfg(feature = "soundfont")]
#[test]
fn a_font_that_is_none_is_refused_by_number() {
    let refused = Fonts::read(&[b"RIFF".to_vec()]).err();
    assert!(refused.is_some_and(|why| why.contains("font 1")));
}

#[test]
fn speech_that_is_no_wav_is_refused_by_number() {
    let good = clip(Some("speech"), 1, false).wav();
    assert!(Fonts::none().voices(std::slice::from_ref(&good)).is_ok());
    let refused = Fonts::none().voices(&[good, b"RIFF".to_vec()]).err();
    assert!(refused.is_some_and(|why| why.contains("speech 2")));
}
