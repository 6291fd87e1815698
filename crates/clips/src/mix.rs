//! Effects on whole tracks. None of them delays the direct sound.

use crate::dice::Dice;
use crate::dsp::{Pole, Svf, db, decay, peak, rms, sine};

/// What a room answers, without the direct sound: six combs whose highs fall faster, and two all-passes (Schroeder 1962).
pub(crate) fn room(dry: &[f32], secs: f32, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let size = dice.span(0.6, 1.5);
    let mut combs: Vec<(Vec<f32>, usize, f32, Pole)> = [0.0297, 0.0353, 0.0371, 0.0411, 0.0437, 0.0493]
        .iter()
        .map(|&base| {
            let len = (base * size * dice.span(0.95, 1.05) * rate) as usize + 1;
            let keep = libm::powf(decay(secs, rate), len as f32);
            (vec![0.0; len], 0, keep, Pole::new(dice.span(1800.0, 6000.0), rate))
        })
        .collect();
    let mut passes: Vec<(Vec<f32>, usize)> =
        [0.0053, 0.0018].iter().map(|s| (vec![0.0; (s * rate) as usize + 1], 0)).collect();
    dry.iter()
        .map(|&x| {
            let mut y = 0.0;
            for (line, at, keep, damp) in &mut combs {
                let out = line[*at];
                line[*at] = x + damp.low(out) * *keep;
                *at += 1;
                if *at == line.len() {
                    *at = 0;
                }
                y += out;
            }
            y *= 0.3;
            for (line, at) in &mut passes {
                let old = line[*at];
                let new = y + old * 0.6;
                line[*at] = new;
                *at += 1;
                if *at == line.len() {
                    *at = 0;
                }
                y = old - new * 0.6;
            }
            y
        })
        .collect()
}

/// Echoes `secs` apart, without the direct sound.
pub(crate) fn echo(dry: &[f32], secs: f32, keep: f32, rate: f32) -> Vec<f32> {
    let by = ((secs * rate) as usize).max(1);
    let mut out = vec![0.0; dry.len()];
    let mut dull = Pole::new(3500.0, rate);
    for i in by..dry.len() {
        out[i] = dull.low(dry[i - by] + out[i - by] * keep);
    }
    out
}

/// Makes room after each moment of `times` (samples): down by `depth` (0 to 1) at once, back over `secs`.
pub(crate) fn duck(track: &mut [f32], times: &[i64], depth: f32, secs: f32, rate: f32) {
    let fall = decay(secs * 1.6, rate);
    let (mut hold, mut smooth, mut next) = (0.0f32, 0.0f32, 0);
    for (i, s) in track.iter_mut().enumerate() {
        while next < times.len() && times[next] <= i as i64 {
            hold = depth;
            next += 1;
        }
        smooth += (hold - smooth) * 0.02;
        *s *= 1.0 - smooth;
        hold *= fall;
    }
}

/// A compressor: above `threshold` (of the mean level) only the `ratio`-th part passes.
pub(crate) fn squash(track: &mut [f32], threshold: f32, ratio: f32, attack: f32, release: f32, rate: f32) {
    let line = rms(track) * threshold;
    if line <= 0.0 {
        return;
    }
    let (up, down) = (Pole::new(1.0 / attack / 6.0, rate), Pole::new(1.0 / release / 6.0, rate));
    let (mut level, mut gain) = (0.0f32, 1.0);
    for (i, s) in track.iter_mut().enumerate() {
        let x = s.abs();
        level = if x > level { up.at(level).low(x) } else { down.at(level).low(x) };
        if i % 8 == 0 {
            gain = if level > line { libm::powf(level / line, 1.0 / ratio - 1.0) } else { 1.0 };
        }
        *s *= gain;
    }
}

/// A low or high pass whose cut-off goes evenly in ratio from one frequency to another between two samples.
pub(crate) fn sweep(track: &mut [f32], span: (usize, usize), hertz: (f32, f32), high: bool, rate: f32) {
    let mut filter = Svf::new(hertz.0, 0.9, rate);
    let (from, to) = (span.0.min(track.len()), span.1.min(track.len()));
    let len = (to - from).max(1) as f32;
    for (i, s) in track[from..to].iter_mut().enumerate() {
        if i % 64 == 0 {
            filter.tune(hertz.0 * libm::powf(hertz.1 / hertz.0, i as f32 / len), 0.9, rate);
        }
        *s = if high { filter.high(*s) } else { filter.low(*s) };
    }
}

/// A low pass that opens and closes `turns` times a second, open first.
pub(crate) fn wobble(track: &mut [f32], turns: f32, top: f32, rate: f32) {
    let mut filter = Svf::default();
    for (i, s) in track.iter_mut().enumerate() {
        if i % 32 == 0 {
            let open =
                0.5 + 0.5 * sine(0.25 + (f64::from(turns) * i as f64 / f64::from(rate)).fract() as f32);
            filter.tune(120.0 * libm::powf(top / 120.0, open), 2.0, rate);
        }
        *s = filter.low(*s);
    }
}

/// More or less bass and treble, by chance.
pub(crate) fn tilt(track: &mut [f32], dice: &mut Dice, rate: f32) {
    let (mut low, mut high) =
        (Svf::new(dice.ratio(80.0, 400.0), 0.7, rate), Svf::new(dice.ratio(1500.0, 5000.0), 0.7, rate));
    let (bass, treble) = (dice.span(-0.7, 1.2), dice.span(-0.8, 1.0));
    for s in track.iter_mut() {
        *s += low.low(*s) * bass + high.high(*s) * treble;
    }
}

/// Brings what sounds to about −14 dBFS rms, peaks rounded off below 1.
pub(crate) fn level(samples: &mut [f32]) {
    let floor = rms(samples) * 0.1;
    let loud: Vec<f32> = samples.chunks(2048).map(rms).filter(|&r| r > floor).collect();
    let mean = rms(&loud);
    if mean < 1e-6 {
        return;
    }
    let gain = db(-14.0) / mean;
    for s in samples.iter_mut() {
        let x = *s * gain;
        // straight up to 0.7, then bent towards 0.98
        *s = if x.abs() <= 0.7 {
            x
        } else {
            x.signum() * (0.7 + 0.28 * (1.0 - 1.0 / (1.0 + (x.abs() - 0.7) / 0.28)))
        };
    }
    debug_assert!(peak(samples) < 1.0);
}
