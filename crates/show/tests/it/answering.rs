//! Chases that answer to strokes of the music, phrases, and looks that the music picks.

use lanthorn_music::pulse::{Form, Phase, Pulse, Strike, Stroke};
use lanthorn_physics::Instant;
use lanthorn_show::follow::{LEAD, Mood, Steer};
use lanthorn_show::{Ask, Band, Chase, Command, Part, Show, StepTime};

use crate::common::*;
use crate::music::{Music, hear};

const MUSIC: Music = Music { bpm: 120.0, one: 0.0 };

/// A phrase of [`MUSIC`] is eight bars of four half seconds.
const PHRASE: f64 = 16.0;

fn one(name: &str, unit: u32) -> lanthorn_show::Look {
    look(name, 0.0, vec![on("cake", part(&[unit], RED, 1.0))])
}

/// A light that flashes at each snare over one that is on at 40 %.
fn flash() -> Show {
    let below = look("below", 0.0, vec![on("cake", part(&[1], RED, 0.4))]);
    let flash = Chase {
        at_each: Some(Strike::Snare),
        fade: secs(0.4),
        ..chase("flash", &["white"], StepTime::Time(secs(0.1)), StepTime::Time(secs(0.0)))
    };
    Show {
        looks: vec![below, look("white", 0.0, vec![part(&[1], WARM, 1.0)])],
        chases: vec![flash],
        start: Some("below".to_owned()),
        ..Show::default()
    }
}

fn struck(strike: Strike, at: f64) -> impl Fn(Pulse) -> Pulse {
    move |pulse| {
        let mut strokes = pulse.strokes;
        strokes[strike as usize] = Some(Stroke { at: Instant::from_secs(at), sure: 0.9 });
        Pulse { strokes, ..pulse }
    }
}

#[test]
fn a_chase_answers_to_each_stroke_and_gives_its_lights_back() {
    let mut bench = Bench::new(flash());
    hear(&mut bench, &MUSIC, (0.0, 2.0), |pulse| pulse);
    bench.at(2.0, Command::Chase { index: 0, on: true });
    hear(&mut bench, &MUSIC, (2.0, 3.0), |pulse| pulse);
    let running = bench.status(3.0).chases[0].unwrap();
    assert!(running.waits && running.next_in.is_none(), "{running:?}");
    assert_eq!(bench.level(3.0, 0), 40.0, "it waits, and drives nothing");
    hear(&mut bench, &MUSIC, (3.0, 3.01), struck(Strike::Kick, 2.98));
    assert_eq!(bench.level(3.01, 0), 40.0, "a kick is no snare");
    // Told at 3.02 s, 20 ms after it was heard: there at once, for 100 ms, and back within 400 ms.
    hear(&mut bench, &MUSIC, (3.02, 3.1), struck(Strike::Snare, 3.0));
    assert_eq!(bench.level(3.11, 0), 100.0);
    let [sinking, back] = [3.3, 3.53].map(|secs| bench.level(secs, 0));
    assert!((45.0..95.0).contains(&sinking), "{sinking}");
    assert_eq!(back, 40.0);
    // The same stroke told again, a little beside, is no new one; another is.
    hear(&mut bench, &MUSIC, (3.6, 3.7), struck(Strike::Snare, 3.03));
    assert_eq!(bench.level(3.7, 0), 40.0);
    hear(&mut bench, &MUSIC, (4.0, 4.04), struck(Strike::Snare, 4.0));
    assert_eq!(bench.level(4.05, 0), 100.0);
    // Stopped, it answers no more.
    bench.at(4.1, Command::Chase { index: 0, on: false });
    hear(&mut bench, &MUSIC, (5.0, 5.2), struck(Strike::Snare, 5.0));
    assert_eq!(bench.level(5.1, 0), 40.0);
}

#[test]
fn strokes_that_are_known_before_are_seen_in_time_and_stale_ones_or_speech_move_nothing() {
    let mut bench = Bench::new(flash());
    bench.at(0.0, Command::Chase { index: 0, on: true });
    hear(&mut bench, &MUSIC, (0.0, 2.0), |pulse| pulse);
    hear(&mut bench, &MUSIC, (2.0, 2.05), struck(Strike::Snare, 3.0));
    let leaves = 3.0 - LEAD.secs();
    assert_eq!(bench.level(leaves - 0.005, 0), 40.0);
    assert_eq!(bench.level(leaves + 0.005, 0), 100.0, "so much before that it is seen with it");
    hear(&mut bench, &MUSIC, (5.0, 5.1), struck(Strike::Snare, 4.2));
    assert_eq!(bench.level(5.1, 0), 40.0, "what comes 0.8 s late is nothing to answer to");
    hear(&mut bench, &MUSIC, (6.0, 6.1), |pulse| Pulse {
        follows: false,
        ..struck(Strike::Snare, 6.0)(pulse)
    });
    assert_eq!(bench.level(6.1, 0), 40.0, "nor is a clap in speech");
    // Stillness: no flash; nor one that is owed afterwards.
    bench.at(7.0, Command::Stillness(true));
    hear(&mut bench, &MUSIC, (7.0, 7.1), struck(Strike::Snare, 7.0));
    bench.at(7.1, Command::Stillness(false));
    assert_eq!(bench.level(7.2, 0), 40.0);
}

/// What the form tells at a moment: from each of these moments on.
fn formed(rows: &[(f64, Phase, f32)], secs: f64, pulse: Pulse) -> Pulse {
    let Some(last) = rows.iter().rposition(|(at, ..)| *at <= secs) else { return pulse };
    let (at, phase, energy) = rows[last];
    let form = Form { phase, energy, phrase_at: Some(Instant::from_secs(at)), lines: last as u32 + 1 };
    Pulse { form: Some(form), ..pulse }
}

/// The looks that come on, each with its moment.
fn looks(bench: &mut Bench, rows: &[(f64, Phase, f32)], (from, to): (f64, f64)) -> Vec<(f64, usize)> {
    let mut list = Vec::new();
    let mut secs = from;
    while secs < to {
        bench.at(secs, Command::Pulse(Some(formed(rows, secs, MUSIC.pulse(secs)))));
        let look = bench.status(secs).look;
        if let Some(look) = look.filter(|look| list.last().is_none_or(|(_, last)| last != look)) {
            list.push((secs, look));
        }
        secs += 0.02;
    }
    list
}

fn moody() -> Show {
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    Show {
        looks: ["candle", "barn", "field", "sky", "sun", "moon"]
            .iter()
            .zip(1..)
            .map(|(name, unit)| one(name, unit.min(4)))
            .collect(),
        moods: [names(&["candle"]), names(&["barn", "field"]), names(&["sky", "sun"])],
        ..Show::default()
    }
}

#[test]
fn looks_change_at_phrase_lines_by_the_mood_and_never_repeat() {
    let mut bench = Bench::new(moody());
    bench.at(0.0, Command::Steer(Steer::Pick(true)));
    let [calm, barn, field, sky, sun] = [0, 1, 2, 3, 4];
    let rows = [
        (2.0, Phase::Full, 0.6),
        // What comes is not known at its line: a phrase that was at the peak lets the next one have its looks.
        (2.0 + PHRASE, Phase::Full, 0.95),
        (2.0 + 2.0 * PHRASE, Phase::Full, 0.6),
        // A breakdown of eight bars that is told a bar late is calm from then on, until the drop.
        (2.0 + 2.5 * PHRASE, Phase::Breakdown, 0.3),
    ];
    let drop_at = 2.0 + 3.5 * PHRASE;
    let got = looks(&mut bench, &rows, (0.1, drop_at - 0.1));
    let lines: Vec<f64> = got.iter().map(|(at, _)| *at).collect();
    let order: Vec<usize> = got.iter().map(|(_, look)| *look).collect();
    assert_eq!(order, [barn, field, barn, sky, calm], "{got:?}");
    // The first with the music; the others as the phrase begins, so early that they are seen then.
    for (line, want) in lines[1..].iter().zip([2.0, 2.0 + PHRASE, 2.0 + 2.0 * PHRASE]) {
        assert!(
            (line - (want - LEAD.secs())).abs() < 0.03 || (line - want).abs() < 0.03,
            "{line} for {want}"
        );
    }
    // The drop: told 0.3 s late, it has a look of the peak at once, and the next line comes eight bars later.
    let after = [(drop_at, Phase::Full, 0.95)];
    let mut secs = drop_at + 0.3;
    let mut seen = Vec::new();
    while secs < drop_at + PHRASE + 0.1 {
        let pulse = struck(Strike::Drop, drop_at)(formed(&after, secs, MUSIC.pulse(secs)));
        let form = pulse.form.map(|form| Form { lines: 9, ..form });
        bench.at(secs, Command::Pulse(Some(Pulse { form, ..pulse })));
        let look = bench.status(secs).look.unwrap();
        if seen.last().is_none_or(|(_, last)| *last != look) {
            seen.push((secs, look));
        }
        secs += 0.02;
    }
    assert_eq!(seen.iter().map(|(_, look)| *look).collect::<Vec<_>>(), [sun, sky], "{seen:?}");
    assert!(
        (seen[0].0 - drop_at - 0.3).abs() < 1e-6 && (seen[1].0 - drop_at - PHRASE).abs() < 0.06,
        "{seen:?}"
    );
    // Speech is calm; a hand that puts a look on has it for good.
    hear(&mut bench, &MUSIC, (secs, secs + 3.0), |pulse| Pulse { follows: false, ..pulse });
    assert_eq!(bench.status(secs + 3.0).look, Some(calm));
    bench.at(secs + 3.0, Command::Look(5));
    hear(&mut bench, &MUSIC, (secs + 3.0, secs + 60.0), |pulse| pulse);
    let status = bench.status(secs + 60.0);
    assert!(status.look == Some(5) && !status.music.picks, "{status:?}");
}

#[test]
fn a_mood_without_looks_takes_those_of_another_and_calm_takes_none() {
    let mut show = moody();
    show.moods = [Vec::new(), Vec::new(), vec!["sky".to_owned()]];
    let mut bench = Bench::new(show);
    bench.at(0.0, Command::Steer(Steer::Pick(true)));
    hear(&mut bench, &MUSIC, (0.1, 40.0), |pulse| pulse);
    let status = bench.status(40.0);
    assert_eq!((status.look, status.music.mood), (Some(3), Some(Mood::Groove)), "one look stays on");
    hear(&mut bench, &MUSIC, (40.0, 44.0), |pulse| Pulse { follows: false, ..pulse });
    assert_eq!(bench.status(44.0).look, Some(3), "nothing calm to put on");
}

#[test]
fn phrases_begin_where_the_music_says_and_chases_of_phrases_with_them() {
    let mut show = moody();
    show.chases = vec![
        chase("phrases", &["barn", "field"], StepTime::Bars(8.0), StepTime::Beats(0.0)),
        chase("beats", &["barn", "field", "sky", "sun"], StepTime::Beats(1.0), StepTime::Beats(0.0)),
    ];
    let mut bench = Bench::new(show);
    // Bars are known by then; the chases are started in the middle of one.
    hear(&mut bench, &MUSIC, (0.0, 5.2), |pulse| pulse);
    bench.at(5.2, Command::Chase { index: 0, on: true }).at(5.2, Command::Chase { index: 1, on: true });
    let rows = [(6.0, Phase::Full, 0.6)];
    let mut secs = 5.3;
    while secs < 7.0 {
        bench.at(secs, Command::Pulse(Some(formed(&rows, secs, MUSIC.pulse(secs)))));
        secs += 0.02;
    }
    let step = |secs: f64, place: usize| bench.status(secs - LEAD.secs()).chases[place].unwrap().step;
    assert!(
        bench.status(7.0).music.line_in.is_some_and(|beats| (beats - 30.0 + LEAD.secs() * 2.0).abs() < 0.1)
    );
    assert_ne!(step(6.0 + PHRASE - 0.02, 0), step(6.0 + PHRASE + 0.02, 0), "with the phrase");
    assert_eq!(step(6.0 + PHRASE + 0.02, 0), step(6.0 + 2.0 * PHRASE - 0.02, 0));
    // Four beats are a bar: the first step is on its first beat.
    assert_eq!([8.01, 8.51, 9.01, 9.51, 10.01].map(|secs| step(secs, 1)), [0, 1, 2, 3, 0]);
}

#[test]
fn colour_goes_with_the_sound_and_answers_cost_no_memory() {
    let ask = |chromaticity| Ask { text: "a colour".to_owned(), chromaticity };
    let part =
        Part { sound: Some(Band::Low), sound_colour: Some(ask(BLUE)), ..on("cake", part(&[1], RED, 0.8)) };
    let mut show = flash();
    show.looks[0] = look("below", 0.0, vec![part]);
    let mut bench = Bench::new(show);
    let sounding = |low: f32| move |pulse: Pulse| Pulse { bands: [low, 1.0, 1.0], ..pulse };
    let colour = |bench: &mut Bench, secs: f64| bench.light(secs, 0).heads[0].colour.unwrap();
    hear(&mut bench, &MUSIC, (0.0, 2.0), sounding(1.0));
    assert!(colour(&mut bench, 2.0).distance_uv(RED) < 0.002, "all of it: {:?}", colour(&mut bench, 2.0));
    hear(&mut bench, &MUSIC, (2.0, 5.0), sounding(0.0));
    assert!(colour(&mut bench, 5.0).distance_uv(BLUE) < 0.002, "none: {:?}", colour(&mut bench, 5.0));
    assert_eq!(bench.level(5.0, 0), 80.0, "its level stays");
    bench.at(5.0, Command::Chase { index: 0, on: true });
    bench.frame(5.0);
    let counted = allocation_counter::measure(|| {
        for beat in 0..16 {
            let at = 5.5 + f64::from(beat) * 0.5;
            hear(&mut bench, &MUSIC, (at, at + 0.3), struck(Strike::Snare, at));
            bench.frame(at + 0.3);
        }
    });
    assert_eq!(counted.count_total, 0);
}
