//! Keys and chords.

use crate::dice::Dice;

/// A key and the chords that go round in it.
pub(crate) struct Harmony {
    /// MIDI key of the tonic, 48 to 59.
    pub(crate) tonic: i32,
    /// Semitones of the seven degrees.
    pub(crate) scale: [i32; 7],
    /// Degrees (0 = tonic) of the chords.
    degrees: Vec<usize>,
    /// Chords in a bar: 2, or 1, or one in 2 (0) bars.
    pace: u8,
    sevenths: bool,
}

/// Tones of a chord, as MIDI keys from its root, which lies in 48 to 66.
pub(crate) type Chord = Vec<i32>;

const ROUNDS: &[&[usize]] = &[
    &[0, 4, 5, 3],
    &[0, 5, 3, 4],
    &[0, 3, 4, 0],
    &[5, 3, 0, 4],
    &[0, 0, 3, 4],
    &[0, 3, 0, 4],
    &[1, 4, 0, 0],
    &[0, 6, 3, 0],
    &[0, 6, 5, 4],
    &[0, 5, 2, 6],
    &[0, 0, 3, 0],
    &[0, 3],
    &[0, 4],
    &[0, 6],
    &[0, 0, 5, 6],
    &[0, 5, 1, 4],
    &[0, 2, 3, 4],
    &[0, 4, 5, 2, 3, 0, 3, 4],
    &[0, 0, 0, 0, 3, 3, 0, 0, 4, 3, 0, 4],
    &[0, 0, 0, 4, 4, 4, 4, 0],
    &[0],
];

impl Harmony {
    pub(crate) fn choose(jazz: f32, slow: bool, dice: &mut Dice) -> Harmony {
        const SCALES: [[i32; 7]; 5] = [
            [0, 2, 4, 5, 7, 9, 11],
            [0, 2, 3, 5, 7, 8, 10],
            [0, 2, 3, 5, 7, 9, 10],
            [0, 2, 4, 5, 7, 9, 10],
            [0, 2, 4, 5, 7, 9, 11],
        ];
        let pace = if slow && dice.chance(0.5) {
            2
        } else if dice.chance(0.2) {
            0
        } else {
            1
        };
        Harmony {
            tonic: 48 + dice.int(0, 11) as i32,
            scale: *dice.pick(&SCALES),
            degrees: dice.pick(ROUNDS).to_vec(),
            pace,
            sevenths: dice.chance(jazz),
        }
    }

    /// Number of the chord that sounds at `share` (0 to 1) of bar `bar`.
    pub(crate) fn place(&self, bar: usize, share: f32) -> usize {
        match self.pace {
            0 => bar / 2,
            1 => bar,
            _ => bar * 2 + usize::from(share >= 0.5),
        }
    }

    pub(crate) fn chord(&self, place: usize) -> Chord {
        let degree = self.degrees[place % self.degrees.len()];
        let tone = |n: usize| self.tone((degree + n) as i32);
        let count = if self.sevenths { 4 } else { 3 };
        (0..count).map(|n| tone(2 * n)).collect()
    }

    /// MIDI key of a degree, which may be negative or past the octave.
    pub(crate) fn tone(&self, degree: i32) -> i32 {
        self.tonic + self.scale[degree.rem_euclid(7) as usize] + 12 * degree.div_euclid(7)
    }

    /// The degree nearest below or at a key.
    pub(crate) fn degree(&self, key: i32) -> i32 {
        (-21..35).rev().find(|&d| self.tone(d) <= key).unwrap_or(0)
    }
}
