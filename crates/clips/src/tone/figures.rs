//! The figures of a voice of each family, by chance.

use super::{Engine, Family, Figures};
use crate::dice::Dice;

pub(super) fn choose(family: Family, d: &mut Dice) -> Figures {
    let base = Figures {
        engine: Engine::Square { width: 0.5 },
        attack: 0.003,
        decay: d.span(0.15, 0.8),
        sustain: d.span(0.2, 0.8),
        release: d.span(0.03, 0.2),
        cut: d.span(2.0, 8.0),
        open: d.span(0.0, 8.0),
        q: d.span(0.6, 2.5),
        vibrato: 0.0,
    };
    match family {
        Family::Bass
        | Family::SynthBass
        | Family::Keys
        | Family::Guitar
        | Family::Drive
        | Family::Bell
        | Family::Chip => struck(family, base, d),
        _ => held(family, base, d),
    }
}

fn saw(d: &mut Dice) -> Engine {
    let width = if d.chance(0.3) { 0.5 } else { 0.0 };
    Engine::Saw { voices: d.int(1, 4), detune: d.span(0.001, 0.012), width }
}

fn pluck(d: &mut Dice) -> Engine {
    Engine::Pluck { dull: d.span(0.1, 0.7), drive: 0.0 }
}

fn fm(ratios: &[f32], d: &mut Dice) -> Engine {
    Engine::Fm { ratio: *d.pick(ratios), index: d.span(0.5, 4.0), fall: d.span(0.1, 0.8) }
}

/// Voices that are struck or plucked and die away.
fn struck(family: Family, base: Figures, d: &mut Dice) -> Figures {
    match family {
        Family::Bass => {
            let engine = if d.chance(0.6) { pluck(d) } else { saw(d) };
            Figures { engine, cut: d.span(3.0, 7.0), ..base }
        }
        Family::SynthBass => {
            let engine = match d.int(0, 4) {
                0 | 1 => Engine::Square { width: d.span(0.2, 0.5) },
                2 => fm(&[1.0, 2.0, 0.5], d),
                _ => saw(d),
            };
            Figures {
                engine,
                cut: d.ratio(1.5, 12.0),
                q: d.span(0.7, 5.0),
                sustain: d.span(0.3, 1.0),
                ..base
            }
        }
        Family::Keys => Figures {
            engine: fm(&[1.0, 1.0, 2.0, 3.0], d),
            decay: d.span(0.6, 2.0),
            sustain: 0.05,
            cut: 12.0,
            ..base
        },
        Family::Drive => {
            let engine = Engine::Pluck { dull: 0.05, drive: d.span(4.0, 20.0) };
            Figures { engine, sustain: 1.0, cut: d.span(6.0, 14.0), open: 0.0, ..base }
        }
        Family::Bell => {
            let engine = fm(&[3.5, 4.0, 1.41, 2.76], d);
            Figures { engine, decay: d.span(0.4, 1.6), sustain: 0.0, cut: 40.0, ..base }
        }
        Family::Chip => {
            let engine = Engine::Square { width: *d.pick(&[0.5, 0.25, 0.125]) };
            Figures { engine, decay: 0.2, cut: 40.0, attack: 0.001, release: 0.01, ..base }
        }
        _ => Figures { engine: pluck(d), sustain: 1.0, cut: 20.0, ..base },
    }
}

/// Voices that go on as long as they are held.
fn held(family: Family, base: Figures, d: &mut Dice) -> Figures {
    match family {
        Family::Organ => {
            let bars = [1.0, d.unit(), d.unit(), d.unit() * 0.6, d.unit() * 0.5];
            Figures {
                engine: Engine::Organ { bars },
                sustain: 1.0,
                cut: 30.0,
                vibrato: d.span(0.0, 0.004),
                ..base
            }
        }
        Family::Strings | Family::Pad => {
            let attack = if family == Family::Pad { d.span(0.1, 0.5) } else { d.span(0.02, 0.09) };
            let release = d.span(0.2, 0.6);
            Figures { engine: saw(d), attack, sustain: 0.9, release, q: 0.7, vibrato: 0.002, ..base }
        }
        Family::Choir => {
            let engine = Engine::Vowel { shift: d.span(0.9, 1.3) };
            let attack = d.span(0.02, 0.09);
            Figures { engine, attack, sustain: 0.9, release: 0.25, cut: 40.0, vibrato: 0.006, ..base }
        }
        Family::Vocal => {
            let engine = Engine::Vowel { shift: d.span(0.85, 1.35) };
            let (attack, vibrato) = (d.span(0.01, 0.04), d.span(0.0, 0.015));
            Figures { engine, attack, sustain: 0.9, release: 0.1, cut: 40.0, vibrato, ..base }
        }
        Family::Brass => {
            let (attack, open) = (d.span(0.01, 0.04), d.span(2.0, 8.0));
            Figures { engine: saw(d), attack, sustain: 0.8, open, vibrato: 0.003, ..base }
        }
        Family::Reed => {
            let engine = Engine::Square { width: d.span(0.3, 0.5) };
            Figures { engine, attack: d.span(0.008, 0.04), sustain: 0.85, vibrato: 0.006, ..base }
        }
        Family::Squeeze => {
            let engine = Engine::Saw { voices: 3, detune: 0.006, width: 0.4 };
            Figures { engine, attack: d.span(0.008, 0.03), sustain: 0.95, ..base }
        }
        _ => Figures { engine: saw(d), q: d.span(0.7, 4.0), cut: d.ratio(2.0, 16.0), ..base },
    }
}
