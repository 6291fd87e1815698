//! Following allocates nothing after its start, and neither tires nor drifts.

use lanthorn_clips::{Fonts, Wish, render};
use lanthorn_music::tracker::{Tracker, What};

fn four() -> (Vec<f32>, Vec<f64>) {
    let wish = Wish { style: Some("plain four"), secs: 30.0, rate: 44_100, degrade: false, seed: 5 };
    let clip = render(&wish, &Fonts::none());
    let beats = clip.truth.beats.iter().map(|beat| beat.at).collect();
    (clip.samples, beats)
}

#[test]
fn nothing_is_allocated_while_music_is_followed() {
    let (samples, _) = four();
    let mut tracker = Tracker::new(44_100).unwrap();
    let mut beats = 0;
    let counted = allocation_counter::measure(|| {
        for block in samples.chunks(512) {
            tracker.push(block, |event| beats += u32::from(matches!(event.what, What::Beat { .. })));
        }
    });
    assert!(beats > 20, "{beats}");
    assert_eq!(counted.count_total, 0);
}

#[test]
#[ignore = "two hours of music"]
fn two_hours_end_as_they_began() {
    let (samples, truth) = four();
    let mut tracker = Tracker::new(44_100).unwrap();
    let rounds = 2 * 120;
    let mut off = vec![Vec::new(); rounds];
    for (round, off) in off.iter_mut().enumerate() {
        let begin = round as f64 * samples.len() as f64 / 44_100.0;
        for block in samples.chunks(512) {
            tracker.push(block, |event| {
                if matches!(event.what, What::Beat { .. }) {
                    let near = truth
                        .iter()
                        .map(|at| event.at - begin - at)
                        .min_by(|a, b| a.abs().total_cmp(&b.abs()));
                    off.extend(near.filter(|off| off.abs() < 0.07));
                }
            });
        }
        off.sort_unstable_by(f64::total_cmp);
    }
    // The clip is cut to itself in the middle of a beat, so that each round finds in anew: the first knows no other.
    let counts: Vec<usize> = off[1..].iter().map(Vec::len).collect();
    assert!(counts.iter().all(|count| *count >= truth.len() / 2), "{counts:?}");
    let middle = |off: &Vec<f64>| off[off.len() / 2];
    let (first, last) = (middle(&off[1]), middle(&off[rounds - 1]));
    assert!((first - last).abs() < 0.002, "{first} s, two hours later {last} s");
}
