//! The tempo follows the music, without ever breaking; the hand wins.

use lanthorn_music::pulse::Pulse;
use lanthorn_physics::{Instant, Span};
use lanthorn_show::follow::{LEAD, Steer};
use lanthorn_show::{Band, Chase, Command, MusicRule, Part, Show, StepTime};

use crate::common::*;

/// Music of so many beats a minute, four in a bar, the first of them at `one` seconds.
#[derive(Clone, Copy)]
pub(crate) struct Music {
    pub(crate) bpm: f64,
    pub(crate) one: f64,
}

impl Music {
    pub(crate) fn pulse(&self, secs: f64) -> Pulse {
        let beat = ((secs - self.one) * self.bpm / 60.0).floor();
        Pulse {
            follows: true,
            held: false,
            lost: false,
            bpm: self.bpm,
            beat_at: Instant::from_secs(self.one + beat * 60.0 / self.bpm),
            place: beat.rem_euclid(4.0) as u8 + 1,
            of: 4,
            confidence: 0.9,
            bar_confidence: 0.9,
            level_db: Some(-18.0),
            bands: [0.0; 3],
            form: None,
            strokes: [None; 4],
        }
    }

    fn beats(&self, secs: f64) -> f64 {
        (secs - self.one) * self.bpm / 60.0
    }
}

/// Hears the music fifty times a second from one moment to another, as `change` makes it.
pub(crate) fn hear(
    bench: &mut Bench,
    music: &Music,
    (from, to): (f64, f64),
    change: impl Fn(Pulse) -> Pulse,
) {
    let mut secs = from;
    while secs < to {
        bench.at(secs, Command::Pulse(Some(change(music.pulse(secs)))));
        secs += 0.02;
    }
}

/// How far the show's place in the bar lies from the music's, beats; `secs` with the lead that steps have.
fn off(bench: &Bench, music: &Music, secs: f64, times: f64) -> f64 {
    let status = bench.status(secs);
    let off = status.beat - music.beats(secs + LEAD.secs()) * times;
    off - (off / status.bar_beats).round() * status.bar_beats
}

fn show() -> Show {
    let one = |name: &str, unit| look(name, 0.0, vec![on("cake", part(&[unit], RED, 1.0))]);
    Show {
        looks: vec![one("a", 1), one("b", 2)],
        chases: vec![
            chase("beats", &["a", "b"], StepTime::Beats(1.0), StepTime::Beats(0.0)),
            chase("bars", &["a", "b"], StepTime::Bars(1.0), StepTime::Beats(0.0)),
            Chase { calm: true, ..chase("calm", &["a", "b"], StepTime::Beats(1.0), StepTime::Beats(0.0)) },
        ],
        ..Show::default()
    }
}

#[test]
fn the_tempo_comes_to_the_music_and_stays_on_it() {
    for (bpm, one) in [(128.0, 0.13), (90.0, 0.5), (171.3, 0.31), (62.0, 0.9)] {
        let mut bench = Bench::new(show());
        let music = Music { bpm, one };
        hear(&mut bench, &music, (1.0, 9.0), |pulse| pulse);
        for secs in [9.0, 9.3, 9.9] {
            let off = off(&bench, &music, secs, 1.0) * 60.0 / bpm;
            assert!(off.abs() < 0.001, "{bpm}: {off} s beside the beat, with its place in the bar");
        }
        assert!((bench.status(9.0).bpm - bpm).abs() < 1e-9);
        assert!(bench.status(9.0).music.sets);
    }
}

#[test]
fn what_is_lit_never_jumps_once_it_is_on_the_beat() {
    // Slow drift, and beats that are told a few milliseconds beside where they are: the position only ever goes on.
    let mut bench = Bench::new(show());
    let mut last: Option<f64> = None;
    let mut secs = 1.0;
    while secs < 30.0 {
        let music = Music { bpm: 120.0 + 0.2 * secs, one: 0.0 };
        let mut pulse = music.pulse(secs);
        // 120 t + 0.1 t²: the beat as such a drift has it.
        let beat = (2.0 * secs + secs * secs * 0.2 / 120.0).floor();
        let at = (-2.0 + (4.0 + 4.0 * beat * 0.2 / 120.0).sqrt()) / (2.0 * 0.2 / 120.0);
        let shaken = at + 0.006 * ((beat * 0.37).rem_euclid(2.0) - 1.0);
        pulse.beat_at = Instant::from_secs(shaken);
        pulse.place = beat.rem_euclid(4.0) as u8 + 1;
        pulse.bpm = 60.0 * (2.0 + 2.0 * secs * 0.2 / 120.0);
        bench.at(secs, Command::Pulse(Some(pulse)));
        let now = bench.status(secs).beat;
        if let Some(last) = last.filter(|_| secs > 1.1) {
            let went = (now - last) / (0.02 * pulse.bpm / 60.0);
            assert!((0.8..1.2).contains(&went), "{secs}: at {went} times its tempo");
        }
        last = Some(now);
        secs += 0.02;
    }
    let beats = 2.0 * (secs + LEAD.secs()) + (secs + LEAD.secs()).powi(2) * 0.2 / 120.0;
    let off = bench.status(secs).beat - beats;
    assert!((off - (off / 4.0).round() * 4.0).abs() < 0.03, "{off} beats");
}

#[test]
fn steps_by_the_beat_and_by_the_bar_change_with_the_music() {
    let mut bench = Bench::new(show());
    let music = Music { bpm: 120.0, one: 0.25 };
    bench.at(0.0, Command::Chase { index: 1, on: true });
    hear(&mut bench, &music, (0.1, 12.0), |pulse| pulse);
    // Bars begin at 8.25, 10.25, 12.25 s; what leaves is LEAD ahead.
    let step = |bench: &Bench, secs: f64| bench.status(secs - LEAD.secs()).chases[0].unwrap().step;
    let first = step(&bench, 12.2);
    assert_ne!(step(&bench, 12.26), first, "with the bar");
    assert_eq!(step(&bench, 14.2), step(&bench, 12.3), "and not before the next");
    assert_ne!(step(&bench, 14.3), step(&bench, 12.3));
    bench.at(12.0, Command::Chase { index: 1, on: false }).at(12.0, Command::Chase { index: 0, on: true });
    assert_ne!(step(&bench, 12.74), step(&bench, 12.76), "with the beat");
}

#[test]
fn half_double_and_a_range_are_followed_too() {
    let music = Music { bpm: 172.0, one: 0.4 };
    for (steer, times) in [
        (None, 1.0),
        (Some(Steer::Times(0.5)), 0.5),
        (Some(Steer::Range([60.0, 130.0])), 0.5),
        (Some(Steer::Range([30.0, 60.0])), 0.25),
    ] {
        let mut bench = Bench::new(show());
        hear(&mut bench, &music, (0.0, 1.0), |pulse| pulse);
        if let Some(steer) = steer {
            bench.at(1.0, Command::Steer(steer));
        }
        hear(&mut bench, &music, (1.0, 9.0), |pulse| pulse);
        assert!((bench.status(9.0).bpm - 172.0 * times).abs() < 1e-9, "{steer:?}");
        assert!(
            off(&bench, &music, 9.0, times).abs() < 0.01,
            "{steer:?}: {}",
            off(&bench, &music, 9.0, times)
        );
    }
    // Double of what lies outside what lights do is not taken.
    let mut bench = Bench::new(show());
    hear(&mut bench, &music, (0.0, 1.0), |pulse| pulse);
    bench.at(1.0, Command::Steer(Steer::Times(2.0)));
    assert!((bench.status(1.0).bpm - 172.0).abs() < 1e-9);
}

#[test]
fn the_hand_wins() {
    let music = Music { bpm: 120.0, one: 0.0 };
    let mut bench = Bench::new(show());
    hear(&mut bench, &music, (0.0, 4.0), |pulse| pulse);
    bench.at(4.1, Command::Tap).at(4.7, Command::Tap);
    hear(&mut bench, &music, (4.7, 8.0), |pulse| pulse);
    let status = bench.status(8.0);
    assert!(
        (status.bpm - 100.0).abs() < 1e-6 && !status.music.follow && !status.music.sets,
        "{}",
        status.bpm
    );
    bench.at(8.0, Command::Steer(Steer::Follow(true)));
    hear(&mut bench, &music, (8.0, 9.0), |pulse| pulse);
    assert!((bench.status(9.0).bpm - 120.0).abs() < 1e-9 && bench.status(9.0).music.sets);
    bench.at(9.0, Command::Steer(Steer::Follow(false)));
    let faster = Music { bpm: 140.0, ..music };
    hear(&mut bench, &faster, (9.0, 12.0), |pulse| pulse);
    assert!((bench.status(12.0).bpm - 120.0).abs() < 1e-9, "held");
    bench.at(12.0, Command::Tempo(77.0));
    assert!((bench.status(12.0).bpm - 77.0).abs() < 1e-9);
    // What is listened to next is followed.
    bench.at(12.0, Command::Pulse(None));
    assert!((bench.status(12.0).bpm - 77.0).abs() < 1e-9 && bench.status(12.0).music.follow);
    hear(&mut bench, &faster, (12.0, 14.0), |pulse| pulse);
    assert!((bench.status(14.0).bpm - 140.0).abs() < 1e-9);
}

#[test]
fn this_is_one_and_earlier() {
    let music = Music { bpm: 120.0, one: 0.0 };
    let mut bench = Bench::new(show());
    hear(&mut bench, &music, (0.0, 4.9), |pulse| pulse);
    // The music's beat at 5.0 s is its third; the hand says one.
    bench
        .at(4.97, Command::Steer(Steer::One))
        .at(4.97, Command::Steer(Steer::Earlier(Span::from_millis(20))));
    hear(&mut bench, &music, (5.0, 10.0), |pulse| pulse);
    let mine = Music { one: 1.0, ..music };
    let earlier = off(&bench, &mine, 10.0, 1.0) * 0.5;
    assert!((earlier - 0.020).abs() < 0.001, "{earlier}");
    // Without music they move what is tapped.
    let mut bench = Bench::new(show());
    bench.frame(0.0);
    bench.at(1.1, Command::Steer(Steer::One));
    assert!((bench.status(1.1).beat.rem_euclid(4.0) - 0.2).abs() < 1e-9);
    bench
        .at(1.1, Command::Steer(Steer::Earlier(Span::from_millis(-10))))
        .at(1.1, Command::Steer(Steer::Times(0.5)));
    assert!((bench.status(1.1).beat.rem_euclid(4.0) - 0.18).abs() < 1e-9);
    assert!((bench.status(1.1).bpm - 60.0).abs() < 1e-9);
}

#[test]
fn without_music_the_tempo_is_held_and_what_is_to_be_calm_is() {
    let music = Music { bpm: 126.0, one: 0.0 };
    let speech = |pulse: Pulse| Pulse { follows: false, bpm: 77.0, place: 0, of: 0, ..pulse };
    let mut bench = Bench::new(show());
    bench.at(0.0, Command::Chase { index: 0, on: true }).at(0.0, Command::Chase { index: 2, on: true });
    hear(&mut bench, &music, (0.0, 4.0), |pulse| pulse);
    let at = bench.status(4.0).beat;
    hear(&mut bench, &music, (4.0, 9.0), speech);
    let status = bench.status(9.0);
    assert!((status.bpm - 126.0).abs() < 1e-9 && !status.music.sets && status.music.calm);
    assert!((status.beat - at - 5.0 * 126.0 / 60.0).abs() < 0.02, "it goes on as it was");
    let [beats, calm] = [0, 1].map(|place| status.chases[place].unwrap());
    assert!(calm.calmed && !beats.calmed && beats.count > calm.count + 4, "{beats:?} {calm:?}");
    // It goes on with the music, on its beats.
    hear(&mut bench, &music, (9.0, 14.0), |pulse| pulse);
    let status = bench.status(14.0);
    assert!(!status.music.calm && !status.chases[1].unwrap().calmed);
    let step = |secs: f64| bench.status(secs - LEAD.secs()).chases[1].unwrap().step;
    let beat = (14.0 * 126.0 / 60.0_f64).ceil() * 60.0 / 126.0;
    assert_ne!(step(beat - 0.01), step(beat + 0.01));
    // What is lost is no speech: all goes on.
    hear(&mut bench, &music, (14.0, 20.0), |pulse| Pulse { lost: true, ..pulse });
    let status = bench.status(20.0);
    assert!(!status.music.calm && !status.music.sets && (status.bpm - 126.0).abs() < 1e-9);
}

#[test]
fn a_show_says_when_its_steps_leave_and_how_fast_they_may_be() {
    let rule = MusicRule {
        lead: Some(Span::from_millis(120)),
        range: [Some(50.0), Some(100.0)],
        ..MusicRule::default()
    };
    let mut bench = Bench::new(Show { music: rule, ..show() });
    let music = Music { bpm: 128.0, one: 0.2 };
    hear(&mut bench, &music, (0.0, 9.0), |pulse| pulse);
    let status = bench.status(9.0);
    assert!((status.bpm - 64.0).abs() < 1e-9);
    let off = status.beat - music.beats(9.12) / 2.0;
    assert!((off - (off / 2.0).round() * 2.0).abs() < 0.01, "{off}");
}

#[test]
fn following_does_not_allocate() {
    let mut bench = Bench::new(show());
    let music = Music { bpm: 133.0, one: 0.0 };
    bench.at(0.0, Command::Chase { index: 1, on: true }).at(0.0, Command::Chase { index: 2, on: true });
    bench.frame(0.0);
    let counted = allocation_counter::measure(|| {
        hear(&mut bench, &music, (0.0, 5.0), |pulse| pulse);
        hear(&mut bench, &music, (5.0, 9.0), |pulse| Pulse { follows: false, ..pulse });
        bench.at(9.0, Command::Steer(Steer::One)).at(9.0, Command::Steer(Steer::Times(0.5)));
        hear(&mut bench, &Music { one: 0.2, ..music }, (9.0, 12.0), |pulse| Pulse { of: 3, ..pulse });
        std::hint::black_box(bench.status(12.0));
    });
    assert_eq!(counted.count_total, 0);
}

#[test]
fn a_level_goes_with_its_part_of_the_sound_while_there_is_music() {
    let low = Part { sound: Some(Band::Low), ..on("cake", part(&[1], RED, 0.8)) };
    let steady = on("cake", part(&[2], RED, 0.8));
    let mut bench = Bench::new(Show {
        looks: vec![look("pulse", 0.0, vec![low, steady])],
        start: Some("pulse".to_owned()),
        ..Show::default()
    });
    let music = Music { bpm: 120.0, one: 0.0 };
    let sounding = |low: f32| move |pulse: Pulse| Pulse { bands: [low, 1.0, 1.0], ..pulse };
    assert_eq!(bench.level(0.0, 0), 80.0, "without music it is as it was asked");
    hear(&mut bench, &music, (0.0, 2.0), sounding(1.0));
    assert!((bench.level(2.0, 0) - 80.0).abs() < 0.5);
    // Down within a second, and up at once.
    hear(&mut bench, &music, (2.0, 2.2), sounding(0.0));
    let soon = bench.level(2.2, 0);
    assert!((25.0..65.0).contains(&soon), "{soon}");
    hear(&mut bench, &music, (2.2, 4.0), sounding(0.0));
    assert!((bench.level(4.0, 0) - 20.0).abs() < 0.5, "a quarter of it: {}", bench.level(4.0, 0));
    hear(&mut bench, &music, (4.0, 4.1), sounding(0.5));
    assert!((bench.level(4.1, 0) - 50.0).abs() < 2.0, "{}", bench.level(4.1, 0));
    // Stillness keeps the light as it is.
    bench.at(4.1, Command::Stillness(true));
    let still = bench.level(4.1, 0);
    hear(&mut bench, &music, (4.1, 6.0), sounding(1.0));
    assert!((bench.level(6.0, 0) - still).abs() < 0.1);
    bench.at(6.0, Command::Stillness(false));
    // In speech it comes up and stays.
    hear(&mut bench, &music, (6.0, 10.0), |pulse| Pulse { follows: false, bands: [0.1; 3], ..pulse });
    assert!((bench.level(10.0, 0) - 80.0).abs() < 0.5);
    assert_eq!(bench.level(10.0, 1), 80.0, "the other never moved");
}
