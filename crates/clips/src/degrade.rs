//! What a room, a small microphone and a cheap interface do to sound. Nothing moves in time unless the truth moves along.

use std::f32::consts::PI;

use crate::ambience;
use crate::dice::Dice;
use crate::dsp::{Pole, Svf, add, db, peak, rms};
use crate::fonts::Fonts;
use crate::mix;

/// How many times as fast the clip is played, pitch along: at most 4 % off.
pub(crate) fn speed(dice: &mut Dice) -> f64 {
    if dice.chance(0.3) { f64::from(dice.span(0.96, 1.04)) } else { 1.0 }
}

/// One to several harms by chance.
pub(crate) fn degrade(samples: &mut [f32], rate: f32, fonts: &Fonts, dice: &mut Dice) {
    if dice.chance(0.55) {
        far(samples, rate, dice);
    }
    if dice.chance(0.65) {
        let name = *dice.pick(&[
            "room noise",
            "room noise",
            "room noise",
            "murmur",
            "applause",
            "speech",
            "rain",
            "traffic",
            "cheering",
            "glasses",
        ]);
        let noise = ambience::sound(name, samples.len(), rate, fonts, dice);
        let below = if name == "room noise" { dice.span(0.0, 30.0) } else { dice.span(3.0, 30.0) };
        let gain = rms(samples).max(1e-3) / rms(&noise).max(1e-6) * db(-below);
        add(samples, &noise, 0, gain);
    }
    if dice.chance(0.12) {
        let hum = ambience::sound("hum", samples.len(), rate, fonts, dice);
        let gain = rms(samples) / 0.2 * db(-dice.span(6.0, 35.0));
        add(samples, &hum, 0, gain);
    }
    if dice.chance(0.4) {
        band(samples, rate, dice);
    }
    if dice.chance(0.3) {
        ride(samples, rate, dice);
    }
    if dice.chance(0.25) {
        clip(samples, dice);
    }
    if dice.chance(0.3) {
        mix::squash(
            samples,
            dice.span(0.2, 0.8),
            dice.span(3.0, 20.0),
            dice.span(0.001, 0.05),
            dice.span(0.1, 2.0),
            rate,
        );
    }
    if dice.chance(0.2) {
        codec(samples, dice);
    }
}

/// Further away: less direct sound, early reflections, the room's tail, highs lost.
fn far(samples: &mut [f32], rate: f32, dice: &mut Dice) {
    let mut wet = mix::room(samples, dice.ratio(0.2, 2.0), rate, dice);
    for _ in 0..dice.int(2, 7) {
        let at = dice.span(0.003, 0.05);
        add(&mut wet, samples, (at * rate) as i64, 0.5 * dice.noise());
    }
    let share = dice.ratio(0.08, 0.9);
    let mut dull = Pole::new(dice.ratio(3500.0, 11000.0), rate);
    for (s, w) in samples.iter_mut().zip(&wet) {
        *s = *s * (1.0 - 0.4 * share) + dull.low(*w) * share;
    }
}

/// A phone's microphone, a small loudspeaker, a muffled room next door.
fn band(samples: &mut [f32], rate: f32, dice: &mut Dice) {
    let (low, high) = match dice.int(0, 3) {
        0 => (200.0, 7000.0),
        1 => (dice.ratio(100.0, 350.0), dice.ratio(3400.0, 8000.0)),
        2 => (dice.ratio(60.0, 160.0), 11000.0),
        _ => (25.0, dice.ratio(900.0, 3500.0)),
    };
    let (mut cut, mut dull) = (Svf::new(low, 0.7, rate), Svf::new(high, 0.7, rate));
    let mut bump = Svf::new(dice.ratio(400.0, 4000.0), dice.span(0.7, 3.0), rate);
    let lift = dice.span(-0.5, 1.5);
    for s in samples.iter_mut() {
        let x = dull.low(cut.high(*s));
        *s = x + bump.band(x) * lift;
    }
}

/// Level jumps and slow rides, 40 dB in all.
fn ride(samples: &mut [f32], rate: f32, dice: &mut Dice) {
    let mut at = 0;
    let (mut now, jumps) = (dice.span(-20.0, 0.0), dice.chance(0.5));
    while at < samples.len() {
        let end = (at + (dice.ratio(1.5, 12.0) * rate) as usize).min(samples.len());
        let next = dice.span(-40.0, 0.0);
        let len = (end - at) as f32;
        for (i, s) in samples[at..end].iter_mut().enumerate() {
            let level = if jumps { next } else { now + (next - now) * i as f32 / len };
            // ten to the power by a power of two
            *s *= libm::exp2f(level * 0.166_096);
        }
        now = next;
        at = end;
    }
}

fn clip(samples: &mut [f32], dice: &mut Dice) {
    // silence has no peak to divide by
    let top = (peak(samples) * dice.ratio(0.1, 0.8)).max(1e-4);
    let hard = dice.chance(0.5);
    for s in samples.iter_mut() {
        *s = if hard { s.clamp(-top, top) } else { *s / (1.0 + (*s / top).abs()) };
    }
}

/// Blocks of 256 through a cosine transform with overlap, the bands rounded coarsely, and back; no delay.
fn codec(samples: &mut [f32], dice: &mut Dice) {
    const N: usize = 128;
    let window: Vec<f32> = (0..2 * N).map(|i| libm::sinf(PI * (i as f32 + 0.5) / (2 * N) as f32)).collect();
    let turn = |i: usize, k: usize| PI / N as f32 * (i as f32 + 0.5 + N as f32 / 2.0) * (k as f32 + 0.5);
    let table: Vec<f32> = (0..N).flat_map(|k| (0..2 * N).map(move |i| libm::cosf(turn(i, k)))).collect();
    let (steps, top) = (dice.ratio(1.5, 12.0), dice.int(N / 4, N));
    let mut out = vec![0.0; samples.len() + 2 * N];
    let mut padded = vec![0.0; N];
    padded.extend_from_slice(samples);
    padded.extend(std::iter::repeat_n(0.0, 3 * N));
    let mut block = [0.0f32; 2 * N];
    for from in (0..samples.len() + N).step_by(N) {
        for (i, b) in block.iter_mut().enumerate() {
            *b = padded[from + i] * window[i];
        }
        let mut lines: Vec<f32> = (0..top)
            .map(|k| table[k * 2 * N..(k + 1) * 2 * N].iter().zip(&block).map(|(t, b)| t * b).sum())
            .collect();
        for band in lines.chunks_mut(16) {
            let size = (peak(band) / steps).max(1e-6);
            band.iter_mut().for_each(|l| *l = (*l / size).round() * size);
        }
        block.fill(0.0);
        for (k, l) in lines.iter().enumerate().filter(|(_, l)| l.abs() > 0.0) {
            block.iter_mut().zip(&table[k * 2 * N..(k + 1) * 2 * N]).for_each(|(b, t)| *b += t * l);
        }
        for (i, b) in block.iter().enumerate() {
            // `out` lies N samples later than `samples`, as `padded` does
            if let Some(to) = out.get_mut(from + i) {
                *to += b * window[i] / N as f32;
            }
        }
    }
    samples.iter_mut().zip(&out[N..]).for_each(|(s, o)| *s = *o);
}
