//! Drops, breakdowns, parts and energy of whole songs of our own generator. What counts as found: a drop within a second, a
//! line within half a second and within three, as the field has it for boundaries (mir_eval 0.8.2, segment detection).

use std::sync::LazyLock;

use lanthorn_clips::{Clip, Fonts, Mark as True, Wish, render};
use lanthorn_music::piece::{Line, Piece};
use lanthorn_music::tracker::{Mark, Phase, Shape, Tracker};

use crate::clips::{live, looking_back};
use crate::metrics::hits;

/// Dance music: breakdowns and builds of several kinds, silence before the drop, or none.
const DANCE: [(&str, u64); 8] = [
    ("whole house", 11),
    ("whole techno", 12),
    ("whole trance", 13),
    ("whole drum and bass", 14),
    ("whole dubstep", 15),
    ("whole two step garage", 16),
    ("whole hard dance", 17),
    ("whole breakbeat", 18),
];

/// Songs, with quiet bars now and then, and a last chorus in another key.
const SONGS: [(&str, u64); 6] = [
    ("whole pop", 21),
    ("whole rock", 22),
    ("whole disco", 23),
    ("whole reggae", 24),
    ("whole polka", 25),
    ("whole samba", 26),
];

fn clip(style: &'static str, seed: u64, secs: f64) -> Clip {
    render(&Wish { style: Some(style), secs, rate: 24_000, degrade: false, seed }, &Fonts::none())
}

/// A hundred seconds of each.
static DANCES: LazyLock<Vec<Clip>> =
    LazyLock::new(|| DANCE.into_iter().map(|(style, seed)| clip(style, seed, 100.0)).collect());

fn true_ones(clip: &Clip, which: impl Fn(True) -> bool) -> Vec<f64> {
    clip.truth.sections.iter().filter(|section| which(section.mark)).map(|section| section.at).collect()
}

fn found(piece: &Piece, which: impl Fn(Mark) -> bool) -> Vec<f64> {
    piece.lines.iter().filter(|line| which(line.mark)).map(|line| line.at).collect()
}

/// Sums of what is true, what is found, and what is both.
#[derive(Default)]
struct Score {
    hits: usize,
    both: usize,
}

impl Score {
    fn add(&mut self, truth: &[f64], found: &[f64], window: f64) {
        self.hits += hits(truth, found, window);
        self.both += truth.len() + found.len();
    }

    fn f(&self) -> f64 {
        2.0 * self.hits as f64 / self.both.max(1) as f64
    }
}

#[test]
fn drops_are_told_at_once_and_breakdowns_and_parts_as_they_come() {
    let (mut drops, mut breakdowns, mut near, mut about) =
        (Score::default(), Score::default(), Score::default(), Score::default());
    let mut late = Vec::new();
    for clip in &*DANCES {
        let piece = live(clip);
        let truth = true_ones(clip, |mark| mark == True::Drop);
        let told = found(&piece, |mark| mark == Mark::Drop);
        println!("{}: drops at {truth:.1?}, found {told:.1?}", clip.name);
        drops.add(&truth, &told, 1.0);
        breakdowns.add(
            &true_ones(clip, |mark| mark == True::Breakdown),
            &found(&piece, |mark| mark == Mark::Breakdown),
            2.0,
        );
        let lines = true_ones(clip, |mark| mark != True::Phrase);
        near.add(&lines, &found(&piece, |mark| mark != Mark::Phrase), 0.5);
        about.add(&lines, &found(&piece, |mark| mark != Mark::Phrase), 3.0);
        let drop = |line: &&Line| line.mark == Mark::Drop;
        for line in piece.lines.iter().filter(drop) {
            late.extend(truth.iter().map(|at| line.told - at).filter(|late| late.abs() < 1.2));
        }
    }
    late.sort_unstable_by(f64::total_cmp);
    let (drops, breakdowns, near, about) = (drops.f(), breakdowns.f(), near.f(), about.f());
    println!(
        "drops F {drops:.2}, late {late:.2?}; breakdowns F {breakdowns:.2}; lines F {near:.2}, {about:.2}"
    );
    assert!(drops > 0.75, "drops F {drops}");
    assert!(late[late.len() / 2] < 0.2 && late[late.len() - 1] < 0.5, "late by {late:?}");
    assert!(breakdowns > 0.7, "breakdowns F {breakdowns}");
    assert!(near > 0.55 && about > 0.6, "lines F {near} within half a second, {about} within three");
}

#[test]
fn music_without_a_drop_has_none() {
    let mut told = 0;
    for (style, seed) in SONGS {
        let clip = clip(style, seed, 60.0);
        let drops = found(&live(&clip), |mark| mark == Mark::Drop);
        println!("{style}: {drops:.1?}");
        told += drops.len();
    }
    // A chorus after bars without a kick is like one.
    assert!(told <= 2, "{told} drops in six minutes");
}

#[test]
fn parts_are_found_looking_back() {
    let (mut near, mut about, mut drops) = (Score::default(), Score::default(), Score::default());
    for clip in &*DANCES {
        let piece = looking_back(clip);
        let truth = true_ones(clip, |mark| mark != True::Phrase);
        let lines = found(&piece, |mark| mark != Mark::Phrase);
        near.add(&truth, &lines, 0.5);
        about.add(&truth, &lines, 3.0);
        drops.add(
            &true_ones(clip, |mark| mark == True::Drop),
            &found(&piece, |mark| mark == Mark::Drop),
            1.0,
        );
        println!("{}: {truth:.1?}, found {lines:.1?}", clip.name);
        // Parts follow each other without a gap, and begin with the lines.
        assert!(
            piece.parts.windows(2).all(|pair| (pair[0].to - pair[1].from).abs() < 1.0),
            "{:?}",
            piece.parts
        );
        assert!(piece.parts.iter().all(|part| part.from < part.to && (0.0..=1.0).contains(&part.energy)));
    }
    let (near, about, drops) = (near.f(), about.f(), drops.f());
    println!("lines F {near:.2} within half a second, {about:.2} within three; drops F {drops:.2}");
    assert!(near > 0.7 && about > 0.75 && drops > 0.75, "{near} {about} {drops}");
}

#[test]
fn the_chorus_is_one_kind_of_part() {
    let (mut same, mut all) = (0, 0);
    for seed in 31..37 {
        let clip = clip("whole pop", seed, 90.0);
        let piece = looking_back(&clip);
        let choruses: Vec<f64> = true_ones(&clip, |mark| mark == True::Lift);
        let kind = |at: f64| {
            piece.parts.iter().find(|part| (part.from..part.to).contains(&(at + 4.0))).map(|part| part.kind)
        };
        let kinds: Vec<Option<u8>> = choruses.into_iter().map(kind).collect();
        println!("{kinds:?} of {}", piece.parts.len());
        for pair in kinds.windows(2) {
            all += 1;
            same += usize::from(pair[0] == pair[1]);
        }
        let different = piece.parts.iter().map(|part| part.kind).max();
        assert!(different > Some(0), "not all of it is one: {:?}", piece.parts);
    }
    assert!(same * 3 >= all * 2, "{same} of {all} choruses are like the one before");
}

fn shapes(samples: &[f32]) -> Vec<(f64, Shape)> {
    let mut tracker = Tracker::new(24_000).unwrap();
    let blocks = samples.chunks(2_400);
    blocks
        .map(|block| {
            tracker.push(block, |_| {});
            (tracker.secs(), tracker.shape())
        })
        .collect()
}

#[test]
fn energy_and_phase_follow_the_form_whatever_the_level() {
    let clip = clip("whole trance", 13, 60.0);
    let quiet: Vec<f32> = clip.samples.iter().map(|sample| sample * 0.031_62).collect();
    let (loud, quiet) = (shapes(&clip.samples), shapes(&quiet));
    let drop = true_ones(&clip, |mark| mark == True::Drop)[0];
    let breakdown = true_ones(&clip, |mark| mark == True::Breakdown)[0];
    for shapes in [&loud, &quiet] {
        let mean = |from: f64, to: f64| {
            let in_it: Vec<f32> = shapes
                .iter()
                .filter(|(at, _)| (from..to).contains(at))
                .map(|(_, shape)| shape.energy)
                .collect();
            in_it.iter().sum::<f32>() / in_it.len() as f32
        };
        let (before, inside, after) = (
            mean(breakdown - 6.0, breakdown),
            mean(breakdown + 2.0, breakdown + 6.0),
            mean(drop + 2.0, drop + 8.0),
        );
        println!("energy {before:.2}, in the breakdown {inside:.2}, after the drop {after:.2}");
        assert!(before > inside + 0.2 && after > inside + 0.2, "{before} {inside} {after}");
        let phase = |at: f64| shapes.iter().find(|(then, _)| *then >= at).map(|(_, shape)| shape.phase);
        assert_ne!(phase(drop - 1.0), Some(Phase::Full));
        assert_eq!(phase(drop + 1.0), Some(Phase::Full));
        let last = shapes.last().unwrap().1;
        assert!((last.drop_at.unwrap() - drop).abs() < 0.1, "{:?}", last.drop_at);
    }
    for ((at, loud), (_, quiet)) in loud.iter().zip(&quiet) {
        assert!((loud.energy - quiet.energy).abs() < 0.05, "{at} s: {} and {}", loud.energy, quiet.energy);
    }
}

#[test]
fn phrases_count_bars_from_their_line() {
    let clip = clip("whole house", 11, 60.0);
    for pair in shapes(&clip.samples).windows(2) {
        let (before, after) = (pair[0].1, pair[1].1);
        assert!(after.phrase_bar <= 8, "{after:?}");
        assert!(after.phrases >= before.phrases, "{before:?} {after:?}");
        assert!(after.phrase_bar <= before.phrase_bar + 1, "{before:?} {after:?}");
    }
}
