//! Styles: rows of a table over a few dozen kinds of patterns. A row is a range of chances, no piece.

mod grooves;
mod lines;
mod rows;

use crate::kit::{Drum, Kind};
use crate::tone::Family;

pub(crate) use rows::ROWS;

/// Drums of a bar or of two: for each drum a character a step.
/// `X` loud, `x` usual, `o` soft; `1`–`9` usual with so many tenths of chance, `a`–`i` soft likewise; `.` nothing.
/// A row shorter than the bar begins anew; one of two bars' length goes over two.
pub(crate) type Groove = &'static [(Drum, &'static str)];

/// Notes of a bar, a character a step, repeated like a groove's row; `-` holds on.
/// Bass: `r` root, `R` the same loud, `f` fifth, `F` fifth below, `o` octave, `t` third, `w` a tone of the chord,
/// `a` a step from the next root, `?` perhaps a root. Chords: `c` short, `C` loud, `h` held, `?` perhaps; `b`, `f` root and
/// fifth in the bass; `1`–`5` one tone of the chord.
pub(crate) type Line = &'static str;

/// Beats in a bar, steps in a beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Meter {
    pub(crate) beats: u8,
    pub(crate) steps: u8,
}

/// Which off-beats are late, and how late: where the second of a pair begins, in percent of the pair.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Swing {
    No,
    Eighths(f32, f32),
    Sixteenths(f32, f32),
}

/// How steadily it is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Feel {
    /// To the sample.
    Machine,
    /// To a click: a few milliseconds.
    Tight,
    /// A band: up to 12 ms, and a drifting tempo.
    Live,
    /// Alone: more of both.
    Free,
}

/// Which parts follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// Breakdown, build, drop.
    Dance,
    /// Verse, chorus.
    Song,
    /// Round and round, with now and then an instrument less.
    Groove,
    /// Tunes A and B; no drums unless the style has some.
    Tune,
}

/// What the tune does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lead {
    /// A melody with a motif.
    Tune,
    /// A bar's figure again and again.
    Riff,
    /// A note on each step or each other.
    Run,
    /// Chord tones up and down.
    Arp,
    /// Like a melody, longer notes, sung.
    Vocal,
}

/// A style.
#[derive(Debug)]
pub(crate) struct Style {
    pub(crate) name: &'static str,
    /// Beats a minute, from, to.
    pub(crate) bpm: (f32, f32),
    pub(crate) meter: Meter,
    pub(crate) swing: Swing,
    pub(crate) feel: Feel,
    pub(crate) form: Form,
    pub(crate) kit: Kind,
    pub(crate) grooves: &'static [Groove],
    pub(crate) bass: &'static [&'static [Line]],
    pub(crate) comp: &'static [&'static [Line]],
    pub(crate) leads: &'static [Lead],
    pub(crate) band: &'static Band,
    pub(crate) loud_hats: bool,
}

/// Which families of voices a style chooses from.
#[derive(Debug)]
pub(crate) struct Band {
    pub(crate) bass: &'static [Family],
    pub(crate) comp: &'static [Family],
    pub(crate) lead: &'static [Family],
    pub(crate) pad: &'static [Family],
    /// Sets of chords: see `harmony`.
    pub(crate) jazz: f32,
    /// Chance that the kick ducks the rest.
    pub(crate) pump: f32,
}

impl Style {
    /// The row of that name.
    pub(crate) fn named(name: &str) -> Option<&'static Style> {
        ROWS.iter().find(|style| style.name == name)
    }

    /// Whether nothing is left to chance but the seed's notes: for checks.
    pub(crate) fn plain(&self) -> bool {
        self.kit == Kind::Plain
    }

    /// The drums that its grooves use, with those of fills and crashes.
    pub(crate) fn drums(&self) -> Vec<Drum> {
        let mut drums: Vec<Drum> = self.grooves.iter().flat_map(|g| g.iter().map(|row| row.0)).collect();
        if !drums.is_empty() {
            drums.extend([
                Drum::Kick,
                Drum::Snare,
                Drum::Hat,
                Drum::Crash,
                Drum::Clave,
                Drum::Clap,
                Drum::Tamb,
                Drum::Shaker,
                Drum::Bell,
                Drum::CongaHi,
                Drum::CongaLo,
                Drum::Ride,
                Drum::TomHi,
                Drum::TomLo,
                Drum::Open,
            ]);
        }
        drums.sort();
        drums.dedup();
        drums
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_sixty_styles_of_different_names_from_40_to_240() {
        let mut names: Vec<_> = ROWS.iter().map(|s| s.name).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), ROWS.len());
        assert!(ROWS.len() >= 60, "{}", ROWS.len());
        assert!(ROWS.iter().any(|s| s.bpm.0 <= 42.0) && ROWS.iter().any(|s| s.bpm.1 >= 235.0));
    }

    #[test]
    fn patterns_fit_their_bars() {
        for style in ROWS {
            let bar = usize::from(style.meter.beats * style.meter.steps);
            for (drum, row) in style.grooves.iter().flat_map(|g| g.iter()) {
                assert!(row.len() == 2 * bar || row.len() <= bar, "{} {drum:?} {row}", style.name);
                assert!(row.chars().all(|c| "Xxo.123456789abcdefghi".contains(c)), "{} {row}", style.name);
            }
            for line in style.bass.iter().copied().flatten() {
                assert!(line.len() == 2 * bar || line.len() <= bar, "{} {line}", style.name);
                assert!(line.chars().all(|c| "rRfFotwa?.-".contains(c)), "{} {line}", style.name);
            }
            for line in style.comp.iter().copied().flatten() {
                assert!(line.len() == 2 * bar || line.len() <= bar, "{} {line}", style.name);
                assert!(line.chars().all(|c| "cCh?bf12345.-".contains(c)), "{} {line}", style.name);
            }
        }
    }
}
