//! What must make no difference.

use lanthorn_clips::{Fonts, Wish, render};
use lanthorn_music::tracker::{Event, Tracker, What};

fn clip(style: &'static str, rate: u32, secs: f64) -> Vec<f32> {
    render(&Wish { style: Some(style), secs, rate, degrade: false, seed: 12 }, &Fonts::none()).samples
}

fn told(samples: &[f32], rate: u32, block: usize) -> Vec<Event> {
    let mut tracker = Tracker::new(rate).unwrap();
    let mut events = Vec::new();
    for block in samples.chunks(block) {
        tracker.push(block, |event| events.push(event));
    }
    events
}

fn beats(events: &[Event]) -> Vec<f64> {
    events.iter().filter(|event| matches!(event.what, What::Beat { .. })).map(|event| event.at).collect()
}

#[test]
fn blocks_of_any_size_tell_the_same() {
    for rate in [44_100, 48_000] {
        let samples = clip("house", rate, 12.0);
        let whole = told(&samples, rate, 441);
        assert!(beats(&whole).len() > 8);
        for block in [1, 64, 512, 4096, samples.len()] {
            assert_eq!(told(&samples, rate, block), whole, "blocks of {block} at {rate}");
        }
    }
}

#[test]
fn nothing_that_is_told_rests_on_what_comes_later() {
    let samples = clip("plain rock", 44_100, 16.0);
    let whole = told(&samples, 44_100, 441);
    for secs in [5.0, 9.3, 13.71] {
        let cut = told(&samples[..(secs * 44_100.0) as usize], 44_100, 441);
        // The resampler holds back less than a block.
        let until = secs - 0.02;
        let early = |events: &[Event]| -> Vec<Event> {
            events.iter().copied().filter(|event| event.told <= until).collect()
        };
        assert_eq!(early(&cut), early(&whole), "cut at {secs} s");
    }
}

#[test]
fn the_same_music_thirty_decibels_down_has_the_same_beats() {
    for style in ["plain four", "plain rock", "plain waltz"] {
        let loud = clip(style, 44_100, 20.0);
        let quiet: Vec<f32> = loud.iter().map(|sample| sample * 0.031_62).collect();
        let (loud, quiet) = (beats(&told(&loud, 44_100, 441)), beats(&told(&quiet, 44_100, 441)));
        assert_eq!(loud.len(), quiet.len(), "{style}");
        assert!(loud.len() > 10, "{style}");
        for (loud, quiet) in loud.iter().zip(&quiet) {
            assert!((loud - quiet).abs() < 0.005, "{style}: {loud} and {quiet}");
        }
    }
}

#[test]
fn beats_are_told_ahead() {
    let samples = clip("plain four", 48_000, 20.0);
    let told = told(&samples, 48_000, 480);
    let beats: Vec<&Event> = told.iter().filter(|event| matches!(event.what, What::Beat { .. })).collect();
    let ahead = beats.iter().filter(|event| event.told <= event.at).count();
    assert!(ahead * 20 >= beats.len() * 19, "{ahead} of {}", beats.len());
}
