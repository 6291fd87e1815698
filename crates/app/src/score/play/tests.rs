use std::sync::Arc;

use lanthorn_clips::{Fonts, Wish, render};
use lanthorn_dmx::Frames;
use lanthorn_live::Machine;
use lanthorn_music::piece::Hearing;
use lanthorn_rehearsal::StandIn;
use lanthorn_show::score::lay::lay;
use lanthorn_show::score::{Line, LineKind, Metre, Place};
use lanthorn_show::{ScorePart, StepTime};
use lanthorn_store::read_show;

use super::*;
use crate::score::heard::{grid, sections};

/// Four dimmers and four looks on them, each another mean level, all at once.
fn show() -> (Arc<Show>, Arc<lanthorn_rig::Rig>) {
    let mut text = String::from(
        "lanthorn = 1\n[show]\nname = \"x\"\n[room]\nname = \"hall\"\nx = [-5, 5]\ny = [-8, 3]\nheight = \"4 m\"\n\
         [[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, 3]\nlength = \"4 m\"\n\
         [[unit]]\nnumbers = \"1-4\"\nprofile = \"RGBW par\"\nmode = \"8 channels\"\nplace = \"bar\"\nat = [-1.5, -0.5, 0.5, 1.5]\naddress = \"1.001\"\n",
    );
    for (name, level) in [("low", 0.3), ("half", 0.5), ("high", 0.75), ("full", 1.0)] {
        text.push_str(&format!(
            "[[look]]\nname = \"{name}\"\n[[look.part]]\nwho = \"all\"\ncolour = \"white\"\nlevel = {level}\n"
        ));
    }
    let (file, problems) = read_show(&text);
    let file = file.unwrap_or_else(|| panic!("{problems:?}"));
    (Arc::new(file.show), Arc::new(file.rig))
}

/// What a frame of 512 slots takes on a DMX line (ANSI E1.11: a break and 513 slots of 44 µs), seconds.
const LINE_SECS: f64 = 0.023;

/// Plays a score from its beginning through the machine into the stand-in, with ticks that lean as the running machine's do,
/// the first at `phase`, and gives when the light was seen to change, and to what level.
fn seen(score: &Score, show: &Arc<Show>, rig: &Arc<lanthorn_rig::Rig>, phase: f64) -> Vec<(f64, f64)> {
    let mut machine = Machine::new(show.clone(), rig.clone());
    let mut stand_in = StandIn::new(rig.clone());
    let mut frames: Frames = machine.frames().clone();
    let mut lit = Lit::default();
    let lead = show.music.lead();
    let mut changes: Vec<(f64, f64)> = Vec::new();
    // The thread wakes exactly when something is due.
    let ahead = lead + AHEAD;
    let mut wake = Span::ZERO - ahead;
    let strokes = Strokes::of(score, None, false);
    let mut now = phase;
    while now < score.length.secs() {
        while wake.secs() <= now {
            let at = Instant::from_secs(10.0 + wake.secs());
            let due = lit.due(score, wake + ahead);
            if let Some((standing, fade)) = &due.part {
                machine.apply(&command(standing, *fade, show), at);
            }
            if let Some(dark) = due.dark {
                machine.apply(&Command::Dark(dark), at);
            }
            wake = score.next_change(wake + ahead).map_or(score.length, |next| next - ahead);
        }
        let at = Instant::from_secs(10.0 + now);
        let music = pulse(score, (&strokes, lead), Span::from_secs(now), at);
        machine.apply(&Command::Pulse(Some(music)), at);
        frames.copy_from(machine.tick(at));
        stand_in.take(&frames, at);
        let level = stand_in.lights()[0].heads[0].level;
        match changes.last_mut() {
            // The modelled light takes some frames; a change is seen from its beginning, and is what comes of it.
            Some((begun, last)) if now + LINE_SECS - *begun < 0.15 => *last = level,
            Some((_, last)) if (*last - level).abs() < 0.01 => {}
            _ => changes.push((now + LINE_SECS, level)),
        }
        now += 0.025 + machine.lean(at).secs();
    }
    changes
}

fn part(bar: u32, look: &str, dark: bool) -> ScorePart {
    ScorePart {
        place: Place::Bar { bar, beat: 1 },
        look: Some(look.to_owned()),
        chases: Some(Vec::new()),
        fade: Span::ZERO,
        dark: dark.then_some(StepTime::Beats(1.0)),
        why: String::new(),
    }
}

#[test]
fn looks_are_seen_to_change_on_their_bars() {
    let (show, rig) = show();
    let score = Score {
        length: Span::from_secs(20.0),
        bars: (0..=8).map(|bar| Span::from_secs(0.613 + 1.937 * f64::from(bar))).collect(),
        metres: vec![Metre { bar: 1, of: 4 }],
        parts: vec![part(2, "half", false), part(4, "full", true), part(7, "low", false)],
        ..Score::default()
    };
    let bar = |bar: u32| score.bar_at(bar).unwrap().secs();
    for phase in [0.0, 0.006, 0.013, 0.021] {
        let changes = seen(&score, &show, &rig, phase);
        let expected = [bar(2), bar(4) - 1.937 / 4.0, bar(4), bar(7)];
        let told: Vec<f64> = changes[1..].iter().map(|(at, _)| *at).collect();
        assert_eq!(told.len(), expected.len(), "{changes:?}");
        for (told, expected) in told.iter().zip(expected) {
            assert!((told - expected).abs() < 0.015, "seen at {told:.3} s, asked for at {expected:.3} s");
        }
        for ((_, level), expected) in changes.iter().zip([0.0, 0.25, 0.0, 1.0, 0.09]) {
            assert!((level - expected).abs() < 0.07, "dark between, and back with the part: {changes:?}");
        }
    }
}

#[test]
fn a_clip_that_was_scored_changes_its_light_at_its_section_lines() {
    let clip = render(
        &Wish { style: Some("deep house"), secs: 75.0, rate: 24_000, degrade: false, seed: 4 },
        &Fonts::none(),
    );
    let mut hearing = Hearing::new(clip.rate).unwrap();
    hearing.push(&clip.samples);
    let piece = hearing.end().unwrap();
    let mut score = grid(&piece);
    let (show, rig) = show();
    let sections = sections(&piece, &score);
    lay(&show, &rig, &mut score, &sections).unwrap();
    assert!(score.parts.len() > 1, "{:?}", score.lines);
    // Fades hide when a change begins.
    score.parts.iter_mut().for_each(|part| (part.fade, part.dark) = (Span::ZERO, None));
    let changes = seen(&score, &show, &rig, 0.011);
    let mut lines = score.parts.iter().map(|part| score.moment(part.place).unwrap().secs());
    let first = lines.next();
    for line in lines {
        let near = changes.iter().any(|(at, _)| (at - line).abs() < 0.015);
        assert!(near, "a line at {line:.3} s after {first:?}, changes {changes:?}");
        let on_beat = clip.truth.beats.iter().any(|beat| (beat.at - line).abs() < 0.03);
        assert!(on_beat, "{line:.3} s is no beat of the clip");
    }
}

#[test]
fn a_jump_brings_what_would_be_on_and_a_change_comes_softly() {
    let mut score = Score {
        length: Span::from_secs(20.0),
        bars: (0..=8).map(|bar| Span::from_secs(2.0 * f64::from(bar))).collect(),
        lines: vec![Line { bar: 1, kind: LineKind::Section, name: "A".to_owned(), energy: None }],
        parts: vec![part(2, "half", false), part(4, "full", true)],
        ..Score::default()
    };
    score.parts[1].fade = Span::from_secs(4.0);
    let mut lit = Lit::default();
    assert_eq!(
        lit.due(&score, Span::from_secs(1.0)),
        Due::default(),
        "before the first part nothing is asked for"
    );
    lit.sent = None;
    let due = lit.due(&score, Span::from_secs(11.0));
    let (standing, fade) = due.part.unwrap();
    assert_eq!((standing.look, fade), (Some("full"), JUMP_FADE));
    assert_eq!(lit.due(&score, Span::from_secs(11.1)), Due::default(), "once is enough");
    let mut other = score.clone();
    other.parts[1].look = Some("low".to_owned());
    let (standing, fade) = lit.due(&other, Span::from_secs(11.2)).part.unwrap();
    assert_eq!((standing.look, fade), (Some("low"), CHANGE));
    // Into the dark before a part, and out again by a jump back.
    lit.sent = None;
    assert_eq!(lit.due(&score, Span::from_secs(5.6)).dark, Some(true));
    let back = lit.due(&score, Span::from_secs(3.0));
    assert_eq!((back.part, back.dark), (None, Some(false)));
}

#[test]
fn the_pulse_of_a_score_is_its_bars() {
    let score = Score {
        length: Span::from_secs(20.0),
        bars: (0..=4).map(|bar| Span::from_secs(1.0 + 1.5 * f64::from(bar))).collect(),
        metres: vec![Metre { bar: 1, of: 3 }],
        ..Score::default()
    };
    let now = Instant::from_secs(100.0);
    let lines = [(2, LineKind::Breakdown), (3, LineKind::Drop)];
    let line = |(bar, kind)| Line { bar, kind, name: String::new(), energy: Some(0.8) };
    let score = Score { lines: lines.map(line).to_vec(), ..score };
    let strokes = Strokes::of(&score, None, false);
    let told = |secs| pulse(&score, (&strokes, Span::ZERO), Span::from_secs(secs), now);
    let on = told(3.2);
    assert!(on.follows && (on.bpm - 120.0).abs() < 1e-9 && (on.place, on.of) == (2, 3));
    assert_eq!(on.beat_at, Instant::from_secs(99.8));
    let form = on.form.unwrap();
    assert_eq!(
        (form.phase, form.lines, form.phrase_at),
        (Phase::Breakdown, 1, Some(Instant::from_secs(99.3)))
    );
    let drop = on.strokes[Strike::Drop as usize].unwrap().at;
    assert_eq!(drop, Instant::from_secs(100.8), "known before it comes");
    assert!(!told(0.5).follows && !told(7.5).follows, "no beat, nothing to follow");
}
