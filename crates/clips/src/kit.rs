//! Drums: each struck sound made once for a clip, from drawn figures, or taken from a SoundFont's kit.

use std::collections::BTreeMap;

use crate::dice::Dice;
use crate::dsp::{Svf, add, db, decay, peak, sine};
use crate::fonts::Fonts;
use crate::truth::Class;

/// What can be struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Drum {
    Kick,
    Snare,
    Clap,
    Rim,
    Brush,
    Snap,
    Hat,
    Open,
    Ride,
    Shaker,
    Tamb,
    Crash,
    TomHi,
    TomLo,
    CongaHi,
    CongaLo,
    Bell,
    Clave,
}

impl Drum {
    pub(crate) fn class(self) -> Class {
        match self {
            Drum::Kick => Class::Kick,
            Drum::Snare | Drum::Clap | Drum::Rim | Drum::Brush | Drum::Snap => Class::Snare,
            Drum::Hat | Drum::Open | Drum::Ride | Drum::Shaker | Drum::Tamb => Class::Hat,
            _ => Class::Other,
        }
    }

    /// Usual level, dB below the kick.
    fn level(self) -> f32 {
        match self {
            Drum::Kick => 0.0,
            Drum::Snare | Drum::Clap => -3.0,
            Drum::Rim | Drum::Snap | Drum::TomHi | Drum::TomLo => -7.0,
            Drum::Crash => -8.0,
            Drum::Brush | Drum::CongaHi | Drum::CongaLo => -9.0,
            Drum::Open | Drum::Ride => -12.0,
            Drum::Hat | Drum::Tamb | Drum::Bell | Drum::Clave => -13.0,
            Drum::Shaker => -16.0,
        }
    }

    /// The key of the General MIDI percussion map (MIDI 1.0 GM level 1).
    fn key(self) -> u8 {
        match self {
            Drum::Kick => 36,
            Drum::Snare | Drum::Brush => 38,
            Drum::Clap | Drum::Snap => 39,
            Drum::Rim => 37,
            Drum::Hat => 42,
            Drum::Open => 46,
            Drum::Ride => 51,
            Drum::Shaker => 70,
            Drum::Tamb => 54,
            Drum::Crash => 49,
            Drum::TomHi => 48,
            Drum::TomLo => 43,
            Drum::CongaHi => 63,
            Drum::CongaLo => 64,
            Drum::Bell => 56,
            Drum::Clave => 75,
        }
    }
}

/// The sort of drum set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// The same figures always: for clips that are checked to the millisecond.
    Plain,
    Electric,
    Acoustic,
    Brushes,
    Chip,
    /// Deep drum and crisp snare, much room.
    March,
}

/// A drum set.
pub(crate) struct Kit {
    sounds: BTreeMap<Drum, Vec<Vec<f32>>>,
    gains: BTreeMap<Drum, f32>,
}

impl Kit {
    /// A set with `drums` in it.
    pub(crate) fn make(
        kind: Kind,
        drums: &[Drum],
        loud_hats: bool,
        rate: f32,
        fonts: &Fonts,
        dice: &mut Dice,
    ) -> Kit {
        let mut kit = Kit { sounds: BTreeMap::new(), gains: BTreeMap::new() };
        let font = if kind == Kind::Plain { None } else { fonts.kit(kind, dice) };
        let spread = if kind == Kind::Plain { 0.0 } else { 4.0 };
        let hats = dice.span(-4.0, 5.0) * spread / 4.0 + if loud_hats { 9.0 } else { 0.0 };
        for &drum in drums {
            let mut level = drum.level() + dice.normal() * spread * 0.6;
            if drum.class() == Class::Hat {
                level += hats;
            }
            let variants =
                if drum == Drum::Kick || kind == Kind::Chip || kind == Kind::Plain { 1 } else { 3 };
            let mut own = dice.fork(drum as u64);
            let sound = |n: usize| {
                let from_font = font.as_ref().and_then(|f| f.strike(drum.key(), 80 + 20 * n as u8, rate));
                let mut sound = from_font.unwrap_or_else(|| own_sound(kind, drum, rate, n, &own));
                let top = peak(&sound).max(1e-6);
                sound.iter_mut().for_each(|s| *s /= top);
                sound
            };
            kit.sounds.insert(drum, (0..variants).map(sound).collect());
            own.next();
            kit.gains.insert(drum, db(level));
        }
        kit
    }

    /// A strike: the sound, and its gain at full velocity.
    pub(crate) fn strike(&self, drum: Drum, dice: &mut Dice) -> Option<(&[f32], f32)> {
        let sounds = self.sounds.get(&drum)?;
        Some((sounds[dice.int(0, sounds.len() - 1)].as_slice(), self.gains[&drum]))
    }
}

/// Variants of one drum share their figures and differ in noise and a little in tuning.
fn own_sound(kind: Kind, drum: Drum, rate: f32, variant: usize, dice: &Dice) -> Vec<f32> {
    let mut dice = dice.clone();
    let tune = 1.0 + 0.012 * variant as f32;
    let d = &mut dice;
    match drum {
        Drum::Kick => kick(kind, rate, d),
        Drum::Snare if kind == Kind::Chip => burst(&[(3000.0, 0.5)], 0.12, 0.0, rate, d),
        Drum::Snare => snare(kind, rate, tune, d),
        Drum::Brush => brush(rate, d),
        Drum::Clap => clap(rate, d),
        Drum::Snap => burst(&[(d.span(1800.0, 2800.0), 4.0)], d.span(0.05, 0.1), 0.0, rate, d),
        Drum::Rim => knock(d.span(420.0, 900.0) * tune, d.span(0.03, 0.08), 0.4, 2.7, rate, d),
        Drum::Hat => metal(d.span(6500.0, 9500.0), d.span(0.04, 0.14), rate, d),
        Drum::Open => metal(d.span(6000.0, 9000.0), d.span(0.3, 0.9), rate, d),
        Drum::Ride => metal(d.span(4000.0, 7000.0), d.span(0.8, 1.8), rate, d),
        Drum::Crash => metal(d.span(2500.0, 5000.0), d.span(1.5, 3.0), rate, d),
        Drum::Shaker => burst(&[(d.span(5000.0, 8000.0), 1.5)], d.span(0.06, 0.12), 0.004, rate, d),
        Drum::Tamb => metal(d.span(7000.0, 10000.0), d.span(0.12, 0.3), rate, d),
        Drum::TomHi => knock(d.span(140.0, 220.0) * tune, d.span(0.3, 0.6), 0.25, 1.6, rate, d),
        Drum::TomLo => knock(d.span(75.0, 120.0) * tune, d.span(0.4, 0.8), 0.25, 1.6, rate, d),
        Drum::CongaHi => knock(d.span(280.0, 380.0) * tune, d.span(0.15, 0.3), 0.2, 1.5, rate, d),
        Drum::CongaLo => knock(d.span(170.0, 230.0) * tune, d.span(0.25, 0.4), 0.15, 1.5, rate, d),
        Drum::Bell => bell(d.span(480.0, 900.0), d.span(0.15, 0.5), rate),
        Drum::Clave => bell(d.span(1700.0, 2600.0), d.span(0.06, 0.12), rate),
    }
}

/// A tone that sweeps down, a click before it, some drive: from clicky to boomy.
fn kick(kind: Kind, rate: f32, d: &mut Dice) -> Vec<f32> {
    let (base, top, sweep, secs, click, drive) = match kind {
        Kind::Plain => (52.0, 320.0, 0.12, 0.35, 0.4, 1.5),
        Kind::Electric | Kind::Chip => (
            d.span(40.0, 62.0),
            d.ratio(110.0, 700.0),
            d.span(0.05, 0.25),
            d.span(0.2, 0.9),
            d.span(0.0, 0.8),
            d.span(1.0, 4.0),
        ),
        Kind::March => {
            (d.span(45.0, 65.0), d.span(90.0, 140.0), 0.1, d.span(0.5, 1.2), d.span(0.0, 0.2), 1.0)
        }
        _ => (
            d.span(48.0, 80.0),
            d.span(110.0, 260.0),
            d.span(0.04, 0.12),
            d.span(0.18, 0.5),
            d.span(0.1, 0.9),
            d.span(1.0, 2.0),
        ),
    };
    let (fall, bend) = (decay(secs, rate), decay(sweep, rate));
    let (mut level, mut lift, mut phase) = (1.0f32, top - base, d.span(0.0, 0.12));
    let mut tick = Svf::new(d.span(1500.0, 5000.0), 0.8, rate);
    let tick_fall = decay(d.span(0.008, 0.03), rate);
    let mut tick_level = click;
    (0..(secs * rate) as usize)
        .map(|_| {
            phase += (base + lift) / rate;
            let body = sine(phase) * level * drive;
            let out = body / (1.0 + body.abs() * (drive - 1.0) * 0.5) + tick.band(d.noise()) * tick_level;
            level *= fall;
            lift *= bend;
            tick_level *= tick_fall;
            out
        })
        .collect()
}

fn snare(kind: Kind, rate: f32, tune: f32, d: &mut Dice) -> Vec<f32> {
    let tone = d.span(150.0, 280.0) * tune;
    let (body_secs, noise_secs, mix) = match kind {
        Kind::March => (0.1, d.span(0.15, 0.3), d.span(0.6, 0.9)),
        Kind::Electric => (d.span(0.06, 0.25), d.span(0.08, 0.45), d.span(0.4, 0.95)),
        _ => (d.span(0.1, 0.2), d.span(0.12, 0.35), d.span(0.5, 0.9)),
    };
    let (mut low, mut wide) =
        (Svf::new(d.span(700.0, 2200.0), 0.6, rate), Svf::new(d.span(4000.0, 9000.0), 0.7, rate));
    let (body_fall, noise_fall, bend) = (decay(body_secs, rate), decay(noise_secs, rate), decay(0.04, rate));
    let (mut body, mut noise, mut lift, mut p) = (1.0f32 - mix * 0.6, mix, tone, 0.1f32);
    (0..((body_secs.max(noise_secs)) * rate) as usize)
        .map(|_| {
            p += (tone + lift * 0.6) / rate;
            lift *= bend;
            body *= body_fall;
            noise *= noise_fall;
            (sine(p) + 0.5 * sine(p * 1.78)) * body + wide.low(low.high(d.noise())) * noise * 1.4
        })
        .collect()
}

fn brush(rate: f32, d: &mut Dice) -> Vec<f32> {
    let secs = d.span(0.12, 0.3);
    burst(&[(d.span(2000.0, 4500.0), 0.7)], secs, 0.006, rate, d)
}

/// Several short bursts, the first of them loudest at once, and a tail.
fn clap(rate: f32, d: &mut Dice) -> Vec<f32> {
    let band = [(d.span(900.0, 1900.0), 1.2)];
    let mut out = burst(&band, d.span(0.12, 0.4), 0.0, rate, d);
    for n in 1..3 {
        let again = burst(&band, 0.03, 0.0, rate, d);
        add(&mut out, &again, (n as f32 * d.span(0.007, 0.012) * rate) as i64, 0.8);
    }
    out
}

/// Noise through bands of (hertz, q).
fn burst(bands: &[(f32, f32)], secs: f32, attack: f32, rate: f32, d: &mut Dice) -> Vec<f32> {
    let mut filters: Vec<Svf> = bands.iter().map(|&(f, q)| Svf::new(f, q, rate)).collect();
    let (fall, rise) = (decay(secs, rate), 1.0 / (attack * rate).max(1.0));
    let (mut level, mut up) = (1.0, 0.0f32);
    (0..(secs * rate) as usize)
        .map(|_| {
            let x = d.noise();
            up = (up + rise).min(1.0);
            level *= fall;
            filters.iter_mut().map(|f| f.band(x)).sum::<f32>() * level * up
        })
        .collect()
}

/// A struck skin or block: a tone bending down, with a second mode and a tick of noise.
fn knock(hertz: f32, secs: f32, noise: f32, mode: f32, rate: f32, d: &mut Dice) -> Vec<f32> {
    let (fall, quick, bend) = (decay(secs, rate), decay(secs * 0.3, rate), decay(0.08, rate));
    let (mut level, mut level2, mut lift, mut tick, mut p) = (1.0f32, 0.5f32, 0.35f32, noise, 0.1f32);
    let tick_fall = decay(0.015, rate);
    (0..(secs * rate) as usize)
        .map(|_| {
            p += hertz * (1.0 + lift) / rate;
            lift *= bend;
            level *= fall;
            level2 *= quick;
            tick *= tick_fall;
            sine(p) * level + sine(p * mode) * level2 + d.noise() * tick
        })
        .collect()
}

/// Six squares out of tune with each other, and noise, above `hertz`.
fn metal(hertz: f32, secs: f32, rate: f32, d: &mut Dice) -> Vec<f32> {
    let cap = hertz.min(rate * 0.36);
    let mut high = Svf::new(cap, 0.9, rate);
    let base = d.span(280.0, 460.0);
    let steps: Vec<f32> =
        [1.0, 1.34, 1.52, 1.87, 2.31, 2.73].iter().map(|r| base * r * d.span(0.97, 1.03) / rate).collect();
    let mut phases = [0.0f32; 6];
    let (ring, fall) = (d.span(0.1, 0.7), decay(secs, rate));
    let mut level = 1.0;
    (0..(secs * rate) as usize)
        .map(|_| {
            let mut tone = 0.0;
            for (p, s) in phases.iter_mut().zip(&steps) {
                *p += s;
                *p -= p.floor();
                tone += if *p < 0.5 { 0.3 } else { -0.3 };
            }
            level *= fall;
            high.high(tone * ring + d.noise() * (1.0 - ring * 0.7)) * level
        })
        .collect()
}

/// Two tones a bell's interval apart.
fn bell(hertz: f32, secs: f32, rate: f32) -> Vec<f32> {
    let (fall, mut level, mut p) = (decay(secs, rate), 1.0f32, 0.1f32);
    (0..(secs * rate) as usize)
        .map(|_| {
            p += hertz / rate;
            level *= fall;
            (sine(p) + 0.7 * sine(p * 1.48) + 0.2 * sine(p * 2.9)) * level
        })
        .collect()
}
