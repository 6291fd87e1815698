use super::*;
use crate::Step;

fn chase(steps: usize, order: Order, rounds: Option<u32>, time: StepTime, fade: StepTime) -> Chase {
    let step = |number: usize| Step { look: format!("{number}"), time, fade };
    let steps = (0..steps).map(step).collect();
    Chase {
        name: "wheel".to_owned(),
        steps,
        order,
        swing: Swing::EVEN,
        rounds,
        fade: Span::ZERO,
        calm: false,
        at_each: None,
    }
}

const SECOND: StepTime = StepTime::Time(Span::from_millis(1000));
const NONE: StepTime = StepTime::Time(Span::ZERO);
const HALF_A_SECOND_A_BEAT: Pace = pace(0.5);

const fn pace(beat_secs: f64) -> Pace {
    Pace { beat_secs, bar_beats: 4.0 }
}

/// 120 beats a minute, and so many of them at zero.
fn tempo(beats: f64) -> Tempo {
    Tempo::resumed(120.0, beats, Instant::ZERO)
}

fn steps_at_each_second(chase: &Chase, seconds: usize) -> Vec<u16> {
    let track = Track::new(chase);
    let running = Running::begin(0, &track, Instant::from_secs(7.0), &tempo(0.0));
    let at = |second: usize| Instant::from_secs(7.0 + second as f64);
    (0..seconds).map(|second| running.position(&track, at(second), HALF_A_SECOND_A_BEAT).step).collect()
}

#[test]
fn orders() {
    for (steps, order, want) in [
        (3, Order::Forward, [0, 1, 2, 0, 1, 2, 0, 1, 2]),
        (3, Order::Backward, [2, 1, 0, 2, 1, 0, 2, 1, 0]),
        (3, Order::ToAndFro, [0, 1, 2, 1, 0, 1, 2, 1, 0]),
        (4, Order::ToAndFro, [0, 1, 2, 3, 2, 1, 0, 1, 2]),
        (2, Order::ToAndFro, [0, 1, 0, 1, 0, 1, 0, 1, 0]),
        (1, Order::ToAndFro, [0; 9]),
        (2, Order::Random, [0, 1, 0, 1, 0, 1, 0, 1, 0]),
        (1, Order::Random, [0; 9]),
    ] {
        assert_eq!(
            steps_at_each_second(&chase(steps, order, None, SECOND, NONE), 9),
            want,
            "{steps} {order:?}"
        );
    }
}

#[test]
fn every_second_step_of_a_swung_chase_is_late() {
    let begins = |chase: &Chase, steps: usize| -> Vec<f64> {
        let track = Track::new(chase);
        (0..steps).map(|count| track.length_secs(count as u64, HALF_A_SECOND_A_BEAT)).collect()
    };
    let near = |got: &[f64], want: &[f64]| {
        got.len() == want.len() && got.iter().zip(want).all(|(got, want)| (got - want).abs() < 1e-9)
    };
    let half = StepTime::Beats(0.5);
    let swung = |steps, order, swing| Chase { swing: Swing(swing), ..chase(steps, order, None, half, NONE) };
    // Two half beats of a quarter of a second: two thirds of the half second, and a third.
    let thirds = [0.0, 1.0 / 3.0, 0.5, 0.5 + 1.0 / 3.0, 1.0, 1.0 + 1.0 / 3.0, 1.5];
    for (steps, order) in [
        (4, Order::Forward),
        (3, Order::Forward),
        (3, Order::ToAndFro),
        (5, Order::Random),
        (1, Order::Forward),
    ] {
        let got = begins(&swung(steps, order, 2.0 / 3.0), 7);
        assert!(near(&got, &thirds), "{steps} {order:?}: {got:?}");
    }
    // The order is as it was: an odd round begins late every other time.
    let running = Track::new(&swung(3, Order::Forward, 0.6));
    assert_eq!(running.sequence, [0, 1, 2, 0, 1, 2]);
    assert_eq!(Track::new(&Chase { rounds: Some(3), ..swung(3, Order::Forward, 0.6) }).limit, Some(9));
    // Of steps of different length no more is taken than the shorter one has, nor of beats for seconds.
    let mut uneven = swung(2, Order::Forward, 0.75);
    uneven.steps[0].time = StepTime::Beats(3.0);
    assert!(near(&begins(&uneven, 3), &[0.0, 1.5 + 0.125, 1.75]), "{:?}", begins(&uneven, 3));
    uneven.steps[1].time = SECOND;
    assert!(near(&begins(&uneven, 3), &[0.0, 1.5, 2.5]), "{:?}", begins(&uneven, 3));
    assert!(near(&begins(&swung(2, Order::Forward, 0.5), 3), &[0.0, 0.25, 0.5]));
}

#[test]
fn random_never_repeats_and_misses_nothing() {
    for steps in [3, 4, 5, 16, 700] {
        let track = Track::new(&chase(steps, Order::Random, None, SECOND, NONE));
        let drawn = &track.sequence;
        let around = drawn.iter().zip(drawn.iter().cycle().skip(1));
        assert!(around.clone().all(|(a, b)| a != b), "{steps}: twice running");
        for round in drawn.chunks(steps) {
            let mut sorted = round.to_vec();
            sorted.sort_unstable();
            assert!(sorted.iter().enumerate().all(|(place, &step)| place == usize::from(step)), "{steps}");
        }
        assert!(steps < 4 || drawn[..steps] != drawn[steps..2 * steps], "{steps}: rounds differ");
    }
    // The same in every run, other for another name.
    let wheel = chase(5, Order::Random, None, SECOND, NONE);
    let other = Chase { name: "slow wheel".to_owned(), ..wheel.clone() };
    assert_eq!(Track::new(&wheel).sequence, Track::new(&wheel).sequence);
    assert_ne!(Track::new(&wheel).sequence, Track::new(&other).sequence);
}

#[test]
fn a_name_always_draws_the_same() {
    // Written down at the first run: a change here changes every show that has a random chase.
    let steps = steps_at_each_second(&chase(5, Order::Random, None, SECOND, NONE), 15);
    assert_eq!(steps, [1, 3, 0, 4, 2, 3, 2, 1, 4, 0, 4, 3, 1, 2, 0]);
}

#[test]
fn rounds_end() {
    for (steps, order, rounds, secs) in [
        (3, Order::Forward, 2, 6.0),
        (3, Order::ToAndFro, 2, 8.0),
        (3, Order::Random, 2, 6.0),
        (1, Order::Forward, 5, 5.0),
    ] {
        let track = Track::new(&chase(steps, order, Some(rounds), SECOND, NONE));
        let running = Running::begin(0, &track, Instant::ZERO, &tempo(0.0));
        assert_eq!(running.end(&track, HALF_A_SECOND_A_BEAT), Some(Instant::from_secs(secs)), "{order:?}");
        let last = running.position(&track, Instant::from_secs(secs + 100.0), HALF_A_SECOND_A_BEAT);
        assert_eq!((last.count, last.through), (secs as u64 - 1, 1.0), "stays in its last step");
    }
    assert!(Track::new(&chase(3, Order::Forward, Some(0), SECOND, NONE)).is_empty());
    assert!(Track::new(&chase(0, Order::Random, None, SECOND, NONE)).is_empty());
}

#[test]
fn fades_take_their_part_of_the_step() {
    let track = Track::new(&chase(2, Order::Forward, None, StepTime::Beats(4.0), StepTime::Beats(1.0)));
    let running = Running::begin(0, &track, Instant::ZERO, &tempo(0.0));
    for (secs, step, previous, faded) in [
        (0.0, 0, None, 0.0),
        (0.25, 0, None, 0.5),
        (1.9, 0, None, 1.0),
        (2.1, 1, Some(0), 0.2),
        (4.25, 0, Some(1), 0.5),
    ] {
        let at = running.position(&track, Instant::from_secs(secs), HALF_A_SECOND_A_BEAT);
        assert_eq!((at.step, at.previous), (step, previous), "{secs}");
        assert!((at.faded - faded).abs() < 1e-6, "{secs}: {}", at.faded);
    }
    // A fade longer than its step ends with it.
    let track = Track::new(&chase(2, Order::Forward, None, SECOND, StepTime::Time(Span::from_millis(9000))));
    let running = Running::begin(0, &track, Instant::ZERO, &tempo(0.0));
    assert!(
        (running.position(&track, Instant::from_secs(1.5), HALF_A_SECOND_A_BEAT).faded - 0.5).abs() < 1e-6
    );
}

#[test]
fn another_tempo_keeps_the_place_in_the_step() {
    let mut steps = chase(3, Order::Forward, None, StepTime::Beats(4.0), StepTime::Beats(2.0));
    steps.steps[1].time = SECOND; // beats and seconds may be mixed
    let track = Track::new(&steps);
    let mut running = Running::begin(0, &track, Instant::ZERO, &tempo(0.0));
    let mut beat = 0.5;
    for (secs, next) in [(0.7, 1.0), (5.0, 0.25), (6.1, 0.9), (60.0, 0.5)] {
        let at = Instant::from_secs(secs);
        let before = running.position(&track, at, pace(beat));
        running.retime(&track, at, pace(beat), pace(next), 0.0);
        let after = running.position(&track, at, pace(next));
        assert_eq!((before.step, before.previous), (after.step, after.previous), "{secs}");
        assert!((before.through - after.through).abs() < 1e-6, "{secs}");
        beat = next;
    }
}

#[test]
fn beats_begin_on_the_beat() {
    let track = Track::new(&chase(2, Order::Forward, None, StepTime::Beats(2.0), NONE));
    // Started 0.3 of a beat late, it changes step with the beat all the same: 1.7 beats later.
    let running = Running::begin(0, &track, Instant::ZERO, &tempo(6.3));
    for (secs, step) in [(0.0, 0), (0.84, 0), (0.86, 1), (1.84, 1), (1.86, 0)] {
        assert_eq!(
            running.position(&track, Instant::from_secs(secs), HALF_A_SECOND_A_BEAT).step,
            step,
            "{secs}"
        );
    }
}

#[test]
fn bars_begin_on_the_bar_however_long_it_is() {
    let track = Track::new(&chase(2, Order::Forward, None, StepTime::Bars(1.0), StepTime::Beats(0.0)));
    // Started 2.3 beats into a bar: 1.7 beats are left of it.
    let mut running = Running::begin(0, &track, Instant::ZERO, &tempo(6.3));
    for (secs, step) in [(0.0, 0), (0.84, 0), (0.86, 1), (2.84, 1), (2.86, 0)] {
        assert_eq!(
            running.position(&track, Instant::from_secs(secs), HALF_A_SECOND_A_BEAT).step,
            step,
            "{secs}"
        );
    }
    // A bar that began a beat later brings the steps with it.
    let mut later = tempo(6.3);
    assert!(later.set_bar(4.0, 1.0) && running.realign(&track, Instant::ZERO, &later));
    for (secs, step) in [(0.0, 0), (1.34, 0), (1.36, 1), (3.36, 0)] {
        assert_eq!(
            running.position(&track, Instant::from_secs(secs), HALF_A_SECOND_A_BEAT).step,
            step,
            "{secs}"
        );
    }
    assert!(!running.realign(&track, Instant::from_secs(1.0), &later), "it is on the bar");
    let waltz = Pace { beat_secs: 0.5, bar_beats: 3.0 };
    assert!((track.length_secs(4, waltz) - 6.0).abs() < 1e-9);
}

#[test]
fn steps_without_length_do_not_stop_the_world() {
    for time in
        [NONE, StepTime::Beats(0.0), StepTime::Beats(f64::NAN), StepTime::Beats(-3.0), StepTime::Bars(0.0)]
    {
        let track = Track::new(&chase(2, Order::Forward, None, time, time));
        let running = Running::begin(0, &track, Instant::ZERO, &tempo(0.0));
        let at = running.position(&track, Instant::from_secs(3600.0), HALF_A_SECOND_A_BEAT);
        assert!(at.faded.is_finite() && at.through.is_finite() && at.count > 0, "{time:?}: {at:?}");
    }
}
