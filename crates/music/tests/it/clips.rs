//! Beats, bars and drums of music of our own generator, strictly steady and in many styles.

use lanthorn_clips::{Clip, Fonts, Wish, render};
use lanthorn_music::piece::{Hearing, Live, Piece};

use crate::metrics::{f_measure, in_step};

fn clip(style: &'static str, seed: u64) -> Clip {
    render(&Wish { style: Some(style), secs: 30.0, rate: 44_100, degrade: false, seed }, &Fonts::none())
}

pub(crate) fn live(clip: &Clip) -> Piece {
    let mut live = Live::new(clip.rate).unwrap();
    live.push(&clip.samples);
    live.end()
}

pub(crate) fn looking_back(clip: &Clip) -> Piece {
    let mut hearing = Hearing::new(clip.rate).unwrap();
    hearing.push(&clip.samples);
    hearing.end().unwrap()
}

fn truth(clip: &Clip, first: bool) -> Vec<f64> {
    clip.truth.beats.iter().filter(|beat| !first || beat.place == 1).map(|beat| beat.at).collect()
}

/// When a lamp would act: not before it is told.
fn acts(piece: &Piece, first: bool) -> Vec<f64> {
    piece.beats.iter().filter(|beat| !first || beat.place == 1).map(|beat| beat.at.max(beat.told)).collect()
}

#[test]
fn steady_music_is_followed_beat_by_beat() {
    for (style, seed) in [("plain four", 1), ("plain rock", 2), ("plain waltz", 3)] {
        let clip = clip(style, seed);
        let piece = live(&clip);
        let f = f_measure(&truth(&clip, false), &acts(&piece, false));
        let bars = f_measure(&truth(&clip, true), &acts(&piece, true));
        println!("{style}: F {f:.3}, bars {bars:.3}");
        assert!(f > 0.95, "{style}: F {f}");
        assert!(bars > 0.85, "{style}: bars {bars}");
        // Off by a few milliseconds: a lamp must not trail.
        let mut off: Vec<f64> = piece
            .beats
            .iter()
            .map(|beat| {
                truth(&clip, false)
                    .iter()
                    .map(|at| beat.at - at)
                    .min_by(|a, b| a.abs().total_cmp(&b.abs()))
                    .unwrap()
            })
            .collect();
        off.sort_unstable_by(f64::total_cmp);
        assert!(off[off.len() / 2].abs() < 0.012, "{style}: {} s", off[off.len() / 2]);
    }
}

#[test]
fn many_styles_are_followed_on_the_whole() {
    let styles =
        ["house", "disco", "hip hop", "reggae", "rock", "funk", "shuffle", "waltz", "jig", "synth pop"];
    let (mut beats, mut levels, mut bars, mut looked_back) = (0.0, 0.0, 0.0, 0.0);
    for (seed, style) in styles.into_iter().enumerate() {
        let clip = clip(style, 500 + seed as u64);
        let piece = live(&clip);
        let (truth_of, found) = (truth(&clip, false), acts(&piece, false));
        let f = f_measure(&truth_of, &found);
        let bar = f_measure(&truth(&clip, true), &acts(&piece, true));
        let back: Vec<f64> = looking_back(&clip).beats.iter().map(|beat| beat.at).collect();
        let back = f_measure(&truth_of, &back);
        println!("{style}: F {f:.3}, bars {bar:.3}, looking back {back:.3}");
        (beats, bars, looked_back) = (beats + f, bars + bar, looked_back + back);
        levels += in_step(&truth_of, &found).1;
    }
    let count = styles.len() as f64;
    let (beats, levels, bars, looked_back) =
        (beats / count, levels / count, bars / count, looked_back / count);
    println!("mean: F {beats:.3}, AMLt {levels:.3}, bars {bars:.3}, looking back {looked_back:.3}");
    assert!(beats > 0.80 && levels > 0.75 && bars > 0.50 && looked_back > 0.88);
}

#[test]
fn without_music_no_beat_is_told() {
    for (seed, style) in ["speech", "applause", "murmur", "rain", "silence", "laughter", "traffic", "pads"]
        .into_iter()
        .enumerate()
    {
        let clip = clip(style, 900 + seed as u64);
        let (told, back) = (live(&clip).beats.len(), looking_back(&clip).beats.len());
        // Ten a minute.
        assert!(told <= 5 && back <= 5, "{style}: {told} beats as it goes, {back} looking back");
    }
}

#[test]
fn kicks_are_told_from_the_rest() {
    let clip = clip("plain four", 4);
    let piece = live(&clip);
    let of = |word: &str| -> Vec<f64> {
        piece.onsets.iter().filter(|onset| onset.class.word() == word).map(|onset| onset.at).collect()
    };
    let truth: Vec<f64> = clip
        .truth
        .onsets
        .iter()
        .filter(|onset| onset.class == lanthorn_clips::Class::Kick)
        .map(|onset| onset.at)
        .collect();
    let f = f_measure(&truth, &of("kick"));
    assert!(f > 0.9, "F {f}");
}
