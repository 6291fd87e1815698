//! From a piece that was heard to the grid and the sections that a score is laid on.

use lanthorn_music::piece::{Beat, Onset, Part, Piece};
use lanthorn_music::tracker::{Class, Mark};
use lanthorn_physics::Span;
use lanthorn_show::Score;
use lanthorn_show::score::lay::Section;
use lanthorn_show::score::{LineKind, MOST_BEATS, Metre};

/// A gap between beats so many beats long is a stretch without a beat.
const GAP_BEATS: f64 = 2.6;

/// Lines nearer to the one before than so many bars are no section of their own, unless the kick goes or comes there.
const APART: u32 = 4;

/// A section goes on for so many bars before a phrase in it counts as a section of its own, and has so many left then.
const LONG: u32 = 16;
const LEFT: u32 = 8;

/// Before the first bar so much sound is a section of its own, seconds.
const BEFORE_SECS: f64 = 4.0;

/// So much quieter than the loudest section is as quiet as it gets, dB.
const QUIET_DB: f64 = 18.0;

/// How much loudness counts; the rest is drums.
const LOUDNESS: f64 = 0.6;

/// Where sections differ by less than this, they count as equal.
const LEAST_SPREAD: f64 = 0.08;

/// The energy of a piece whose sections are all alike.
const EVEN: f64 = 0.6;

/// Kicks and snares a bar from which on there are drums.
const DRUMS: f64 = 1.0;

/// The bars of a piece, and how many beats they have.
pub(crate) fn grid(piece: &Piece) -> Score {
    let length = Span::from_secs(piece.secs);
    let mut grid = Score { length, ..Score::default() };
    let beat = usual_beat(&piece.beats);
    let mut rest = &piece.beats[..];
    while let Some(first) = rest.iter().position(|beat| beat.place == 1) {
        rest = &rest[first..];
        // To the next first beat, or to where beats end.
        let gap = |at: usize| rest[at + 1].at - rest[at].at > GAP_BEATS * beat;
        let next = (1..rest.len()).find(|at| rest[*at].place == 1 || gap(at - 1));
        let count = next.unwrap_or(rest.len());
        let end = match next {
            Some(next) if rest[next].place == 1 && !gap(next - 1) => rest[next].at,
            _ => rest[count - 1].at + beat,
        };
        bar(&mut grid, rest[0].at, end.min(piece.secs), count);
        rest = &rest[count..];
    }
    grid
}

/// Adds a bar; what lies between it and the one before is one without a beat.
fn bar(grid: &mut Score, from: f64, to: f64, beats: usize) {
    let (from, to) = (round(from), round(to));
    match grid.bars.last().copied() {
        None => grid.bars.push(from),
        Some(last) if from - last > Span::from_millis(20) => {
            metre(grid, 0);
            grid.bars.push(from);
        }
        Some(_) => {}
    }
    if grid.bars.last().is_some_and(|last| to <= *last) {
        return;
    }
    metre(grid, beats.min(usize::from(MOST_BEATS)) as u8);
    grid.bars.push(to);
}

/// The bar that begins at the last moment has so many beats.
fn metre(grid: &mut Score, of: u8) {
    let bar = grid.bars.len() as u32;
    if grid.metres.last().is_none_or(|last| last.of != of) {
        grid.metres.push(Metre { bar, of });
    }
}

/// To a tenth of a millisecond: what is heard is no more exact.
fn round(secs: f64) -> Span {
    Span::from_secs((secs * 1e4).round() / 1e4)
}

/// The usual length of a beat, seconds.
fn usual_beat(beats: &[Beat]) -> f64 {
    let mut gaps: Vec<f64> = beats.windows(2).map(|pair| pair[1].at - pair[0].at).collect();
    gaps.sort_unstable_by(f64::total_cmp);
    gaps.get(gaps.len() / 2).copied().unwrap_or(0.5)
}

/// The sections of a piece: from its lines, put on the bars of its grid.
pub(crate) fn sections(piece: &Piece, grid: &Score) -> Vec<Section> {
    let begins = begins(piece, grid);
    let mut sections: Vec<Section> = Vec::new();
    let mut felt: Vec<Felt> = Vec::new();
    for (index, (bar, kind)) in begins.iter().enumerate() {
        let from = grid.bar_at(*bar).unwrap_or_default().secs();
        let to = begins.get(index + 1).and_then(|(bar, _)| grid.bar_at(*bar)).unwrap_or(grid.length).secs();
        felt.push(Felt::of(piece, (from, to), grid));
        let drums = felt[index].drums >= DRUMS;
        sections.push(Section { bar: *bar, kind: *kind, energy: EVEN, drums, like: None });
    }
    for (section, energy) in sections.iter_mut().zip(energies(&felt)) {
        section.energy = energy;
    }
    alike(&mut sections, piece, grid);
    sections
}

/// Says which sections sound like one before them, by the parts of the piece that their middles lie in.
fn alike(sections: &mut [Section], piece: &Piece, grid: &Score) {
    let begin = |section: &Section| grid.bar_at(section.bar).unwrap_or_default().secs();
    let kinds: Vec<Option<u8>> = (0..sections.len())
        .map(|index| {
            let end = sections.get(index + 1).map_or(piece.secs, begin);
            let middle = (begin(&sections[index]) + end) / 2.0;
            let inside = |part: &&Part| (part.from..part.to).contains(&middle);
            piece.parts.iter().find(inside).map(|part| part.kind)
        })
        .collect();
    for index in 0..sections.len() {
        // A phrase goes on with what it divides.
        if sections[index].kind != LineKind::Phrase {
            sections[index].like =
                (0..index).find(|before| kinds[index].is_some() && kinds[*before] == kinds[index]);
        }
    }
}

/// Bars at which something begins, and what; long sections are divided at their phrases.
fn begins(piece: &Piece, grid: &Score) -> Vec<(u32, LineKind)> {
    let all = turns(piece, grid);
    let mut divided = Vec::new();
    for (index, one) in all.iter().enumerate() {
        divided.push(*one);
        let end = all.get(index + 1).map_or(grid.bar_count() + 1, |(bar, _)| *bar);
        let mut last = one.0;
        for line in piece.lines.iter().filter(|line| line.mark == Mark::Phrase) {
            let Some(bar) = nearest(grid, line.at) else { continue };
            if one.0 > 0 && bar >= last + LONG && bar + LEFT <= end {
                divided.push((bar, LineKind::Phrase));
                last = bar;
            }
        }
    }
    divided
}

/// The bar that begins nearest to a moment.
fn nearest(grid: &Score, at: f64) -> Option<u32> {
    let off = |bar: &u32| (grid.bar_at(*bar).unwrap_or_default().secs() - at).abs();
    (1..=grid.bar_count()).min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Bars at which something else begins, and what.
fn turns(piece: &Piece, grid: &Score) -> Vec<(u32, LineKind)> {
    let bars = grid.bar_count();
    let mut all: Vec<(u32, LineKind)> = Vec::new();
    if grid.bars.first().is_some_and(|first| first.secs() > BEFORE_SECS) {
        all.push((0, LineKind::Section));
    }
    all.push((1, LineKind::Section));
    for line in &piece.lines {
        let kind = match line.mark {
            Mark::Phrase => continue,
            Mark::Section => LineKind::Section,
            Mark::Breakdown => LineKind::Breakdown,
            Mark::Drop => LineKind::Drop,
            Mark::Lift => LineKind::Lift,
        };
        let Some(bar) = nearest(grid, line.at) else { continue };
        let turns = matches!(kind, LineKind::Breakdown | LineKind::Drop);
        let Some(last) = all.last_mut() else { continue };
        if bar <= last.0 {
            // Of what begins at one bar, the turn of the kick says most.
            if bar == last.0 && turns && bar > 1 {
                last.1 = kind;
            }
        } else if turns || (bar >= last.0 + APART && bar + 1 < bars) {
            all.push((bar, kind));
        }
    }
    all
}

/// What is felt of a stretch.
struct Felt {
    /// Mean level, dB.
    decibels: f64,
    /// Kicks and snares a bar.
    drums: f64,
    /// All strokes a second.
    strokes: f64,
}

impl Felt {
    fn of(piece: &Piece, (from, to): (f64, f64), grid: &Score) -> Self {
        let hundredth = |secs: f64| ((secs * 100.0) as usize).min(piece.decibels.len());
        let levels = &piece.decibels[hundredth(from)..hundredth(to)];
        let power: f64 = levels.iter().map(|level| 10_f64.powf(f64::from(*level) / 10.0)).sum();
        let inside = |onset: &&Onset| onset.at >= from - 0.05 && onset.at < to - 0.05;
        let strokes: Vec<Class> = piece.onsets.iter().filter(inside).map(|onset| onset.class).collect();
        let beaten = strokes.iter().filter(|class| matches!(class, Class::Kick | Class::Snare)).count();
        let bars = grid.bars.iter().filter(|at| (from..to).contains(&at.secs())).count().max(1);
        let drums = strokes.iter().filter(|class| **class != Class::Other).count();
        Self {
            decibels: 10.0 * (power / levels.len().max(1) as f64).max(1e-9).log10(),
            drums: beaten as f64 / bars as f64,
            strokes: drums as f64 / (to - from).max(0.1),
        }
    }
}

/// How much is going on, 0 to 1 of the most: half of it against the loudest section, half in the order of the piece's own.
fn energies(felt: &[Felt]) -> Vec<f64> {
    let most = |of: fn(&Felt) -> f64| felt.iter().map(of).fold(f64::MIN, f64::max);
    let (loudest, busiest) = (most(|one| one.decibels), most(|one| one.strokes).max(0.1));
    let plain = |one: &Felt| {
        let loud = (1.0 - (loudest - one.decibels) / QUIET_DB).clamp(0.0, 1.0);
        LOUDNESS * loud + (1.0 - LOUDNESS) * (one.strokes / busiest)
    };
    let all: Vec<f64> = felt.iter().map(plain).collect();
    let (least, most) =
        all.iter().fold((f64::MAX, f64::MIN), |(low, high), one| (low.min(*one), high.max(*one)));
    if all.len() < 2 || most - least < LEAST_SPREAD {
        return vec![EVEN; all.len()];
    }
    all.iter().map(|one| 0.5 * one + 0.5 * (one - least) / (most - least)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lanthorn_music::piece::Line;

    fn beats(times: &[(f64, u8)]) -> Vec<Beat> {
        times.iter().map(|&(at, place)| Beat { at, told: at, place, of: 4 }).collect()
    }

    #[test]
    fn bars_lie_on_first_beats_and_a_gap_is_a_bar_without_a_beat() {
        let mut times: Vec<(f64, u8)> = vec![(0.6, 4)];
        times.extend((0..8).map(|beat| (1.1 + 0.5 * f64::from(beat), (beat % 4) as u8 + 1)));
        // Six seconds of talk, then a bar of three and one of four.
        for (at, place) in (0..7).zip([1, 2, 3, 1, 2, 3, 4]) {
            times.push((11.0 + 0.5 * f64::from(at), place));
        }
        let piece = Piece { secs: 20.0, beats: beats(&times), ..Piece::default() };
        let grid = grid(&piece);
        let bars: Vec<f64> = grid.bars.iter().map(|at| at.secs()).collect();
        assert_eq!(bars, [1.1, 3.1, 5.1, 11.0, 12.5, 14.5]);
        let metres: Vec<(u32, u8)> = grid.metres.iter().map(|metre| (metre.bar, metre.of)).collect();
        assert_eq!(metres, [(1, 4), (3, 0), (4, 3), (5, 4)]);
        assert_eq!(super::grid(&Piece::default()).bar_count(), 0);
    }

    #[test]
    fn sections_begin_at_lines_on_bars() {
        let times: Vec<(f64, u8)> =
            (0..160).map(|beat| (1.0 + 0.5 * f64::from(beat), (beat % 4) as u8 + 1)).collect();
        let line = |at, mark| Line { at, told: at, mark };
        let lines = vec![
            line(17.2, Mark::Section),
            line(19.0, Mark::Section),
            line(33.1, Mark::Breakdown),
            line(41.0, Mark::Section),
            line(41.0, Mark::Drop),
            line(45.0, Mark::Phrase),
        ];
        let decibels = (0..8200).map(|at| if (3300..4100).contains(&at) { -40.0 } else { -12.0 }).collect();
        let onsets = times
            .iter()
            .filter(|(at, _)| !(33.0..40.9).contains(at))
            .map(|(at, _)| Onset { at: *at, class: Class::Kick });
        let piece = Piece {
            secs: 82.0,
            beats: beats(&times),
            onsets: onsets.collect(),
            lines,
            decibels,
            ..Piece::default()
        };
        let part = |from, to, kind| Part { from, to, mark: Mark::Section, kind, energy: 0.5 };
        let piece = Piece {
            parts: vec![part(1.0, 17.0, 0), part(17.0, 33.0, 1), part(33.0, 41.0, 2), part(41.0, 82.0, 1)],
            ..piece
        };
        let sections = sections(&piece, &grid(&piece));
        assert_eq!(
            sections.iter().map(|section| section.like).collect::<Vec<_>>(),
            [None, None, None, Some(1)]
        );
        let told: Vec<(u32, LineKind, bool)> =
            sections.iter().map(|section| (section.bar, section.kind, section.drums)).collect();
        assert_eq!(
            told,
            [
                (1, LineKind::Section, true),
                (9, LineKind::Section, true),
                (17, LineKind::Breakdown, false),
                (21, LineKind::Drop, true)
            ]
        );
        assert!(sections[2].energy < 0.2 && sections[3].energy > 0.9, "{sections:?}");
    }
}
