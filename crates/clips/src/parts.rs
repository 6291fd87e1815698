//! Bass, chords, tune and pad: from patterns to notes.

use crate::dice::Dice;
use crate::form::Scene;
use crate::grid::Grid;
use crate::harmony::Harmony;
use crate::style::{Lead, Line, Style};

/// Who plays a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Bass,
    Comp,
    Lead,
    Pad,
}

/// One note to be played.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Note {
    pub(crate) at: f64,
    pub(crate) secs: f64,
    pub(crate) key: u8,
    /// 0 to 1.
    pub(crate) force: f32,
    pub(crate) part: Part,
}

/// What the four play in one song.
pub(crate) struct Players<'a> {
    style: &'a Style,
    pub(crate) harmony: Harmony,
    bass: Option<Line>,
    comp: Option<Line>,
    lead: Lead,
    /// Motifs of a bar: (step, steps held, degree above the chord's root).
    motifs: Vec<Vec<(usize, usize, i32)>>,
    octaves: [i32; 3],
    low: i32,
}

impl<'a> Players<'a> {
    pub(crate) fn choose(style: &'a Style, bpm: f32, steps: usize, dice: &mut Dice) -> Players<'a> {
        let slow = 60.0 / bpm * f32::from(style.meter.beats) > 2.6;
        let kind = |kinds: &'static [&'static [Line]], dice: &mut Dice| {
            let lines: &'static [Line] =
                if kinds.is_empty() { &[] } else { dice.pick::<&'static [Line]>(kinds) };
            (!lines.is_empty()).then(|| *dice.pick(lines))
        };
        let (bass, comp) = (kind(style.bass, dice), kind(style.comp, dice));
        let lead = *dice.pick(style.leads);
        let motifs = (0..4).map(|_| motif(lead, steps, usize::from(style.meter.steps), dice)).collect();
        Players {
            style,
            harmony: Harmony::choose(style.band.jazz, slow, dice),
            bass,
            comp,
            lead,
            motifs,
            octaves: [*dice.pick(&[-12, 0, 0, 12]), *dice.pick(&[0, 12, 12, 24]), *dice.pick(&[0, 0, 12])],
            low: if dice.chance(0.5) { 28 } else { 33 },
        }
    }

    /// The notes of bar `bar`.
    pub(crate) fn play(&self, grid: &Grid, bar: usize, scene: &Scene, dice: &mut Dice) -> Vec<Note> {
        let mut notes = Vec::new();
        if let (true, Some(line)) = (scene.bass, self.bass) {
            self.bass(line, grid, bar, scene.force, &mut notes, dice);
        }
        if let (true, Some(line)) = (scene.comp, self.comp) {
            self.comp(line, grid, bar, scene.force, &mut notes, dice);
        }
        if scene.lead {
            self.lead(grid, bar, scene.force, &mut notes, dice);
        }
        if scene.pad {
            self.pad(grid, bar, scene.force, &mut notes);
        }
        notes
    }

    fn bass(&self, line: Line, grid: &Grid, bar: usize, force: f32, out: &mut Vec<Note>, dice: &mut Dice) {
        for (step, c, held) in events(line, bar, grid.bar_steps()) {
            let place = self.harmony.place(bar, step as f32 / grid.bar_steps() as f32);
            let chord = self.harmony.chord(place);
            let root = self.low + (chord[0] - self.low).rem_euclid(12);
            let next = self.harmony.chord(place + 1)[0];
            let key = match c {
                'f' => root + 7,
                'F' => {
                    if root - 5 >= self.low - 3 {
                        root - 5
                    } else {
                        root + 7
                    }
                }
                'o' => root + 12,
                't' => root + (chord[1] - chord[0]),
                'w' => root + chord[dice.int(0, chord.len() - 1)] - chord[0],
                'a' => self.low + (next - self.low).rem_euclid(12) + *dice.pick(&[-1, 1, -2, 2]),
                '?' if dice.chance(0.5) => continue,
                _ => root,
            };
            let loud = if c == 'R' { 1.0 } else { 0.8 };
            out.push(note(grid, bar, step, held as f64 * 0.92, key, force * loud, Part::Bass));
        }
    }

    fn comp(&self, line: Line, grid: &Grid, bar: usize, force: f32, out: &mut Vec<Note>, dice: &mut Dice) {
        for (step, c, held) in events(line, bar, grid.bar_steps()) {
            let chord = self.harmony.chord(self.harmony.place(bar, step as f32 / grid.bar_steps() as f32));
            let near = |key: i32| 55 + self.octaves[0] / 2 + (key - 55 - self.octaves[0] / 2).rem_euclid(12);
            let (keys, loud, share): (Vec<i32>, f32, f64) = match c {
                'b' => (vec![36 + (chord[0] - 36).rem_euclid(12)], 0.9, 0.9),
                'f' => (vec![31 + (chord[0] + 7 - 31).rem_euclid(12)], 0.85, 0.9),
                '1'..='5' => {
                    let n = c as usize - '1' as usize;
                    let octave = self.octaves[0] + 12 * (n / chord.len()) as i32;
                    (vec![12 + chord[n % chord.len()] + octave], 0.75, 1.2)
                }
                '?' if dice.chance(0.6) => continue,
                'h' => (chord.iter().map(|&k| near(k)).collect(), 0.75, 0.98),
                'C' => (chord.iter().map(|&k| near(k)).collect(), 1.0, 0.7),
                _ => (chord.iter().map(|&k| near(k)).collect(), 0.7, 0.6),
            };
            let loud = loud / (keys.len() as f32).sqrt();
            out.extend(
                keys.iter().map(|&k| note(grid, bar, step, held as f64 * share, k, force * loud, Part::Comp)),
            );
        }
    }

    fn lead(&self, grid: &Grid, bar: usize, force: f32, out: &mut Vec<Note>, dice: &mut Dice) {
        // the motif comes again, then another, then the first: A A B A by bars
        let motif = match self.lead {
            Lead::Riff | Lead::Arp => &self.motifs[(bar / 8) % 2],
            _ => &self.motifs[[0, 1, 0, 2, 0, 1, 3, 2][bar % 8]],
        };
        for &(step, held, degree) in motif {
            let chord = self.harmony.chord(self.harmony.place(bar, step as f32 / grid.bar_steps() as f32));
            let key = match self.lead {
                Lead::Arp => {
                    chord[degree.rem_euclid(chord.len() as i32) as usize]
                        + 12 * degree.div_euclid(chord.len() as i32)
                }
                Lead::Riff => self.harmony.tone(degree),
                _ => self.harmony.tone(self.harmony.degree(chord[0]) + degree),
            };
            let force = force
                * if step % usize::from(self.style.meter.steps) == 0 { 1.0 } else { 0.8 }
                * dice.span(0.85, 1.0);
            out.push(note(grid, bar, step, held as f64 * 0.9, key + 12 + self.octaves[2], force, Part::Lead));
        }
    }

    fn pad(&self, grid: &Grid, bar: usize, force: f32, out: &mut Vec<Note>) {
        let (now, before) =
            (self.harmony.place(bar, 0.0), bar.checked_sub(1).map(|b| self.harmony.place(b, 0.9)));
        if before == Some(now) {
            return;
        }
        let bars = if self.harmony.place(bar + 1, 0.0) == now { 2 } else { 1 };
        for key in self.harmony.chord(now) {
            let steps = (bars * grid.bar_steps()) as f64;
            out.push(note(grid, bar, 0, steps, key + self.octaves[1] - 12, force * 0.6, Part::Pad));
        }
    }
}

/// The events of a line in a bar: step, what, steps held.
fn events(line: Line, bar: usize, steps: usize) -> Vec<(usize, char, usize)> {
    let signs = crate::drumming::bar_of(line, bar, steps);
    let mut out: Vec<(usize, char, usize)> = Vec::new();
    for (step, &c) in signs.iter().enumerate() {
        match (c, out.last_mut()) {
            ('.', _) => {}
            ('-', Some(last)) => last.2 = step - last.0 + 1,
            ('-', None) => {}
            (c, _) => out.push((step, c, 1)),
        }
    }
    out
}

fn note(grid: &Grid, bar: usize, step: usize, held: f64, key: i32, force: f32, part: Part) -> Note {
    let at = grid.at(bar, step as f64);
    let secs = (grid.at(bar, step as f64 + held) - at).clamp(0.04, 12.0);
    Note { at, secs, key: key.clamp(24, 103) as u8, force, part }
}

/// A bar's figure: more notes on strong steps, small steps of pitch, chord tones on beats.
fn motif(lead: Lead, steps: usize, beat: usize, dice: &mut Dice) -> Vec<(usize, usize, i32)> {
    let half = (beat / 2).max(1);
    let dense = dice.span(0.5, 1.0);
    let every = if dice.chance(0.4) { 1 } else { half };
    let mut starts: Vec<usize> = (0..steps)
        .filter(|&s| match lead {
            Lead::Run => s % half.min(if beat == 3 { 1 } else { half }) == 0 && dice.chance(0.93),
            Lead::Arp => s % every == 0,
            Lead::Tune => dice.chance(
                dense
                    * if s % beat == 0 {
                        0.85
                    } else if s % half == 0 {
                        0.5
                    } else {
                        0.12
                    },
            ),
            Lead::Riff => dice.chance(
                dense
                    * if s % beat == 0 {
                        0.6
                    } else if s % half == 0 {
                        0.55
                    } else {
                        0.3
                    },
            ),
            Lead::Vocal => dice.chance(
                dense
                    * if s % beat == 0 {
                        0.5
                    } else if s % half == 0 {
                        0.4
                    } else {
                        0.1
                    },
            ),
        })
        .collect();
    if starts.is_empty() {
        starts.push(0);
    }
    let mut degree = dice.int(0, 4) as i32;
    let ends = starts.iter().skip(1).copied().chain([steps]).collect::<Vec<_>>();
    let wide = *dice.pick(&[3usize, 4, 6, 8]);
    let figure = starts.iter().zip(ends).enumerate().map(|(n, (&start, end))| {
        if lead == Lead::Arp {
            let turn = n % (2 * wide);
            return (start, end - start, turn.min(2 * wide - turn) as i32);
        }
        degree += *dice.pick(&[-2, -1, -1, 0, 1, 1, 2, 3]);
        degree = degree.clamp(-3, 9);
        if start % beat == 0 && dice.chance(0.6) {
            degree = [0, 2, 4, 7][(degree.clamp(0, 7) / 2) as usize];
        }
        (start, (end - start).min(if lead == Lead::Riff { 3 } else { 2 * beat + 2 }), degree)
    });
    figure.collect()
}
