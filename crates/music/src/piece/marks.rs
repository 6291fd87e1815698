//! What each line of a piece is, and phrases between them.

use super::{Beat, Line};
use crate::pulse::PHRASE_BARS;
use crate::tracker::Mark;

/// What was told as it went belongs to the line within so many beats.
const NEAR_BEATS: f64 = 2.5;

/// How many bars are left before the next line at least, for a phrase to begin.
const LEFT_BARS: usize = 3;

/// Lines of a piece: `begins`, the beats at which parts begin; `told`, what was told as it went. `secs`: when all is known.
pub(super) fn lines(beats: &[Beat], begins: &[usize], told: &[Line], secs: f64) -> Vec<Line> {
    let mut lines: Vec<Line> =
        begins.iter().map(|at| Line { at: beats[*at].at, told: secs, mark: Mark::Section }).collect();
    for line in told.iter().filter(|line| line.mark != Mark::Phrase) {
        let near = NEAR_BEATS * interval(beats, line.at);
        let nearest = lines.iter_mut().min_by(|a, b| {
            let away = |of: &Line| (of.at - line.at).abs();
            away(a).total_cmp(&away(b))
        });
        match nearest.filter(|of| (of.at - line.at).abs() < near) {
            Some(of) if weight(line.mark) > weight(of.mark) => of.mark = line.mark,
            Some(_) => {}
            None if matches!(line.mark, Mark::Lift | Mark::Section) => {}
            None => lines.push(Line { told: secs, ..*line }),
        }
    }
    lines.sort_by(|a, b| a.at.total_cmp(&b.at));
    let phrases = phrases(beats, &lines, secs);
    lines.extend(phrases);
    lines.sort_by(|a, b| a.at.total_cmp(&b.at));
    lines
}

/// Which of two marks a line has.
fn weight(mark: Mark) -> u8 {
    match mark {
        Mark::Phrase => 0,
        Mark::Section => 1,
        Mark::Lift => 2,
        Mark::Breakdown => 3,
        Mark::Drop => 4,
    }
}

/// Seconds of a beat about a moment.
fn interval(beats: &[Beat], at: f64) -> f64 {
    let next = beats.partition_point(|beat| beat.at < at).clamp(1, beats.len().max(2) - 1);
    match beats.get(next) {
        Some(beat) => (beat.at - beats[next - 1].at).clamp(0.25, 1.5),
        None => 0.5,
    }
}

/// Phrases: every eight bars of a part.
fn phrases(beats: &[Beat], lines: &[Line], secs: f64) -> Vec<Line> {
    let mut phrases = Vec::new();
    let starts: Vec<usize> = std::iter::once(0)
        .chain(lines.iter().map(|line| beats.partition_point(|beat| beat.at < line.at - 0.05)))
        .chain([beats.len()])
        .collect();
    for (part, pair) in starts.windows(2).enumerate() {
        let mut from = pair[0];
        // The piece may begin anywhere in a bar.
        if part == 0 {
            from += beats.iter().take_while(|beat| beat.place != 1).count();
        }
        let Some(first) = beats.get(from) else { continue };
        let bar = usize::from(first.of.max(1));
        let phrase = PHRASE_BARS as usize * bar;
        let mut at = from + phrase;
        while at + LEFT_BARS * bar < pair[1] {
            phrases.push(Line { at: beats[at].at, told: secs, mark: Mark::Phrase });
            at += phrase;
        }
    }
    phrases
}
