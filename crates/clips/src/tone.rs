//! Voices of notes: filtered saws and pulses, frequency modulation, plucked strings, organs, vowels; or a font's program.

mod figures;

use std::collections::BTreeMap;

use crate::dice::Dice;
use crate::dsp::{Svf, blep, db, decay, hertz, peak, sine};
use crate::fonts::{FontSound, Fonts};

/// Sorts of voices.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Family {
    Bass,
    SynthBass,
    Keys,
    Organ,
    Guitar,
    Drive,
    Strings,
    Choir,
    Brass,
    Reed,
    Synth,
    Pad,
    Bell,
    Chip,
    Vocal,
    Squeeze,
}

impl Family {
    /// General MIDI programs (counted from 0) of the family.
    pub(crate) fn programs(self) -> &'static [u8] {
        match self {
            Family::Bass => &[32, 33, 34, 35, 36, 32, 33],
            Family::SynthBass => &[38, 39, 87, 36],
            Family::Keys => &[0, 1, 2, 3, 4, 5, 0, 0],
            Family::Organ => &[16, 17, 18, 19],
            Family::Guitar => &[24, 25, 26, 27, 28, 105, 15],
            Family::Drive => &[29, 30],
            Family::Strings => &[48, 49, 50, 44, 45],
            Family::Choir => &[52, 53, 54],
            Family::Brass => &[61, 62, 56, 57, 60, 63],
            Family::Reed => &[65, 66, 68, 71, 73, 40, 74, 75, 22],
            Family::Synth => &[80, 81, 84, 86, 62, 90],
            Family::Pad => &[88, 89, 91, 94, 95, 50],
            Family::Bell => &[8, 9, 10, 11, 12, 13, 14, 108],
            Family::Chip => &[80, 81],
            Family::Vocal => &[52, 53, 85, 54],
            Family::Squeeze => &[21, 23, 22, 109],
        }
    }

    /// Families that are rather drawn than sampled.
    pub(crate) fn electric(self) -> bool {
        matches!(self, Family::SynthBass | Family::Synth | Family::Pad | Family::Chip | Family::Vocal)
    }
}

/// How a voice makes its wave.
#[derive(Clone, Copy)]
enum Engine {
    Saw { voices: usize, detune: f32, width: f32 },
    Fm { ratio: f32, index: f32, fall: f32 },
    Pluck { dull: f32, drive: f32 },
    Organ { bars: [f32; 5] },
    Vowel { shift: f32 },
    Square { width: f32 },
}

/// The figures of a voice.
#[derive(Clone, Copy)]
struct Figures {
    engine: Engine,
    attack: f32,
    decay: f32,
    sustain: f32,
    release: f32,
    /// Cut-off as a multiple of the note, and how far the envelope opens it.
    cut: f32,
    open: f32,
    q: f32,
    vibrato: f32,
}

/// One sounding note.
pub(crate) struct Sound {
    pub(crate) samples: Vec<f32>,
    /// Samples before the attack can be heard.
    pub(crate) lead: usize,
    /// Whether it begins as an attack, not as a swell.
    pub(crate) sharp: bool,
}

/// A voice, with the notes that it has made so far.
pub(crate) struct Voice<'a> {
    figures: Figures,
    font: Option<FontSound<'a>>,
    rate: f32,
    made: BTreeMap<(u8, u16, bool), Sound>,
    dice: Dice,
}

impl<'a> Voice<'a> {
    pub(crate) fn make(family: Family, rate: f32, fonts: &'a Fonts, dice: &mut Dice) -> Voice<'a> {
        let font = fonts.voice(family, dice);
        Voice {
            figures: figures::choose(family, dice),
            font,
            rate,
            made: BTreeMap::new(),
            dice: dice.fork(9),
        }
    }

    /// The note `key` of about `secs`, struck hard or softly; its highest value is about 1.
    pub(crate) fn note(&mut self, key: u8, secs: f32, hard: bool) -> &Sound {
        let slot = ((secs / 0.03).round() as u16).clamp(1, 400);
        let (figures, font, rate, dice) = (&self.figures, &self.font, self.rate, &mut self.dice);
        self.made.entry((key, slot, hard)).or_insert_with(|| {
            let secs = f32::from(slot) * 0.03;
            let made = font.as_ref().and_then(|f| f.note(key, if hard { 110 } else { 75 }, secs, rate));
            let mut samples = made.unwrap_or_else(|| figures.note(key, secs, hard, rate, dice));
            let top = peak(&samples).max(1e-6);
            samples.iter_mut().for_each(|s| *s /= top);
            let (lead, sharp) = attack(&samples, rate);
            Sound { samples, lead, sharp }
        })
    }
}

/// Where a note's attack is first heard (15 % of the loudest millisecond of its first fifth of a second), and whether 70 % are
/// reached within 45 ms of that.
fn attack(samples: &[f32], rate: f32) -> (usize, bool) {
    let step = (rate / 1000.0) as usize;
    let levels: Vec<f32> = samples[..samples.len().min(200 * step)].chunks(step).map(peak).collect();
    let top = levels.iter().fold(0.0f32, |m, &l| m.max(l));
    let first = levels.iter().position(|&l| l >= 0.15 * top).unwrap_or(0);
    let full = levels.iter().position(|&l| l >= 0.7 * top).unwrap_or(0);
    (first * step, full - first.min(full) < 45)
}

impl Figures {
    fn note(&self, key: u8, secs: f32, hard: bool, rate: f32, dice: &mut Dice) -> Vec<f32> {
        let f = hertz(f32::from(key));
        let len = ((secs + self.release) * rate) as usize;
        let mut out = match self.engine {
            Engine::Pluck { dull, drive } => {
                pluck(f, dull + if hard { 0.0 } else { 0.15 }, drive, len, rate, dice)
            }
            Engine::Vowel { shift } => self.vowel(f, shift, len, rate, dice),
            _ => self.wave(f, len, rate, dice),
        };
        self.shape(&mut out, f, secs, hard, rate);
        out
    }

    /// Saws, pulses, modulated and summed sines.
    fn wave(&self, f: f32, len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
        let step = f / rate;
        let mut p = [0.0f32; 5];
        p.iter_mut()
            .for_each(|p| *p = if matches!(self.engine, Engine::Saw { .. }) { dice.unit() } else { 0.0 });
        let turn = 5.3 / rate;
        let modulated = decay(
            match self.engine {
                Engine::Fm { fall, .. } => fall * 3.0,
                _ => 1.0,
            },
            rate,
        );
        let mut level = 1.0f32;
        (0..len)
            .map(|i| {
                let step = step * (1.0 + self.vibrato * sine(i as f32 * turn));
                match self.engine {
                    Engine::Saw { voices, detune, width } => (0..voices).fold(0.0, |sum, v| {
                        let own = step * (1.0 + detune * (v as f32 - 0.5 * (voices - 1) as f32));
                        p[v] += own;
                        p[v] -= p[v].floor();
                        let saw = 2.0 * p[v] - 1.0 - blep(p[v], own);
                        sum + if width > 0.0 { saw - saw_at(p[v] + width, own) } else { saw }
                    }),
                    Engine::Square { width } => {
                        p[0] += step;
                        p[0] -= p[0].floor();
                        saw_at(p[0], step) - saw_at(p[0] + width, step)
                    }
                    Engine::Fm { ratio, index, .. } => {
                        p[0] += step;
                        p[0] -= p[0].floor();
                        level *= modulated;
                        p[1] += step * ratio;
                        p[1] -= p[1].floor();
                        sine(p[0] + index * 0.16 * level * sine(p[1]))
                    }
                    Engine::Organ { bars } => {
                        p[0] += step * 0.5;
                        p[0] -= p[0].floor();
                        sine(2.0 * p[0]) * bars[0]
                            + sine(p[0]) * bars[1]
                            + sine(3.0 * p[0]) * bars[2]
                            + sine(4.0 * p[0]) * bars[3]
                            + sine(8.0 * p[0]) * bars[4]
                    }
                    _ => 0.0,
                }
            })
            .collect()
    }

    /// A buzz through the three resonances of a vowel that moves to another (formants: Peterson and Barney 1952, from memory).
    fn vowel(&self, f: f32, shift: f32, len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
        const VOWELS: [[f32; 3]; 5] = [
            [730.0, 1090.0, 2440.0],
            [270.0, 2290.0, 3010.0],
            [300.0, 870.0, 2240.0],
            [530.0, 1840.0, 2480.0],
            [570.0, 840.0, 2410.0],
        ];
        let (from, to) = (*dice.pick(&VOWELS), *dice.pick(&VOWELS));
        let mut filters = [Svf::default(); 3];
        let (mut p, mut glide) = (0.0f32, if dice.chance(0.4) { dice.span(-0.1, 0.06) } else { 0.0 });
        let settle = decay(0.25, rate);
        (0..len)
            .map(|i| {
                if i % 64 == 0 {
                    let t = (i as f32 / len as f32).min(1.0);
                    for (n, filter) in filters.iter_mut().enumerate() {
                        filter.tune((from[n] + (to[n] - from[n]) * t) * shift, 6.0 + 3.0 * n as f32, rate);
                    }
                }
                glide *= settle;
                let step = f / rate * (1.0 + glide + self.vibrato * sine(i as f32 * 5.5 / rate));
                p += step;
                p -= p.floor();
                let x = saw_at(p, step) + dice.noise() * 0.04;
                filters[0].band(x) + 0.6 * filters[1].band(x) + 0.35 * filters[2].band(x)
            })
            .collect()
    }

    /// The envelope, and the low pass that follows it.
    fn shape(&self, out: &mut [f32], f: f32, secs: f32, hard: bool, rate: f32) {
        let (rise, fall) = (1.0 / (self.attack * rate).max(1.0), decay(self.decay * 2.0, rate));
        let end = (secs * rate) as usize;
        let release = decay(self.release, rate);
        let (mut level, mut gate, mut up) = (1.0f32, 1.0f32, 0.0f32);
        let mut filter = Svf::default();
        let open = self.open * if hard { 1.0 } else { 0.5 };
        let flat = self.cut * f > rate * 0.4;
        for (i, s) in out.iter_mut().enumerate() {
            up = (up + rise).min(1.0);
            level *= fall;
            if i > end {
                gate *= release;
            }
            if !flat {
                if i % 32 == 0 {
                    filter.tune(f * (self.cut + open * level * level), self.q, rate);
                }
                *s = filter.low(*s);
            }
            *s *= up * gate * (self.sustain + (1.0 - self.sustain) * level);
        }
        let fade = out.len().min(64);
        let from = out.len() - fade;
        out[from..].iter_mut().enumerate().for_each(|(i, s)| *s *= 1.0 - i as f32 / fade as f32);
    }
}

/// A saw's value at `phase` (which may be up to one turn ahead).
fn saw_at(phase: f32, step: f32) -> f32 {
    let p = phase - phase.floor();
    2.0 * p - 1.0 - blep(p, step)
}

/// A plucked string: noise that goes round in a line, smoothed each time (Karplus and Strong 1983).
fn pluck(f: f32, dull: f32, drive: f32, len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let size = ((rate / f - 0.5).max(2.0)) as usize;
    let part = (rate / f - 0.5 - size as f32).clamp(0.0, 1.0);
    let mut line: Vec<f32> = (0..size).map(|_| dice.noise()).collect();
    let mut smooth = 0.0;
    for s in line.iter_mut() {
        smooth += (*s - smooth) * (1.0 - dull);
        *s = smooth;
    }
    let keep = db(-60.0 / (f * if drive > 0.0 { 6.0 } else { 3.0 }).max(60.0));
    let (mut at, mut last, mut last2) = (0, 0.0f32, 0.0f32);
    (0..len)
        .map(|_| {
            let x = line[at];
            let mixed = 0.5 * (x + last);
            last = x;
            let out = mixed * (1.0 - part) + last2 * part;
            last2 = mixed;
            line[at] = out * keep;
            at = (at + 1) % size;
            if drive > 0.0 {
                let y = x * drive;
                y / (1.0 + y.abs())
            } else {
                x
            }
        })
        .collect()
}
