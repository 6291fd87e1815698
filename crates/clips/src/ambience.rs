//! What is no music with a beat: speech, people, weather, rooms, silence.

use crate::dice::Dice;
use crate::dsp::{Pink, Pole, Svf, add, decay, hertz, rms, sine};
use crate::fonts::Fonts;
use crate::tone::{Family, Voice};

/// Sounds without a beat; each is a style of its own.
pub(crate) const NAMES: &[&str] = &[
    "silence",
    "speech",
    "applause",
    "murmur",
    "cheering",
    "laughter",
    "hum",
    "pads",
    "rain",
    "traffic",
    "whistle",
    "glasses",
    "footsteps",
    "tuning",
    "room noise",
];

/// `len` samples of the sound called `name`, its level about 0.2 rms where it sounds.
pub(crate) fn sound(name: &str, len: usize, rate: f32, fonts: &Fonts, dice: &mut Dice) -> Vec<f32> {
    let mut out = match name {
        "speech" => match fonts.speech(len, rate, dice).filter(|_| dice.chance(0.7)) {
            Some(recorded) => recorded,
            None => speech(len, rate, dice),
        },
        "applause" => applause(len, rate, dice),
        "murmur" => (0..dice.int(4, 8)).fold(vec![0.0; len], |mut all, _| {
            let gain = dice.span(0.3, 1.0);
            add(&mut all, &speech(len, rate, dice), 0, gain);
            all
        }),
        "cheering" => cheering(len, rate, dice),
        "laughter" => laughter(len, rate, dice),
        "hum" => hum(len, rate, dice),
        "pads" => pads(len, rate, fonts, dice),
        "rain" => rain(len, rate, dice),
        "traffic" => traffic(len, rate, dice),
        "whistle" => whistle(len, rate, dice),
        "glasses" => scattered(len, rate, (0.2, 2.5), dice, |d| clink(rate, d)),
        "footsteps" => scattered(len, rate, (0.35, 0.9), dice, |d| step(rate, d)),
        "tuning" => tuning(len, rate, fonts, dice),
        "room noise" => noise(len, rate, dice),
        _ => return vec![0.0; len],
    };
    let loud = rms(&out).max(1e-6);
    out.iter_mut().for_each(|s| *s *= 0.2 / loud);
    out
}

/// Syllables, three to six a second, in phrases with pauses: a voice's buzz through moving formants, and hisses.
fn speech(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mut out = vec![0.0; len];
    let (pitch, shift, pace) = (dice.ratio(85.0, 260.0), dice.span(0.85, 1.25), dice.span(3.0, 6.0));
    let mut at = dice.span(0.0, 0.6) * rate;
    while (at as usize) < len {
        let count = dice.int(3, 14);
        for n in 0..count {
            let secs = (1.0 / pace) * dice.span(0.6, 1.5);
            let fall = 1.1 - 0.25 * n as f32 / count as f32;
            let one = syllable(secs, pitch * fall * dice.span(0.92, 1.1), shift, rate, dice);
            add(&mut out, &one, at as i64, dice.span(0.4, 1.0));
            at += secs * rate;
        }
        at += dice.ratio(0.15, 1.5) * rate;
    }
    out
}

fn syllable(secs: f32, pitch: f32, shift: f32, rate: f32, d: &mut Dice) -> Vec<f32> {
    let len = (secs * rate) as usize;
    let mut formant = |low: f32, high: f32| (d.span(low, high) * shift, d.span(low, high) * shift);
    let moves = [formant(280.0, 780.0), formant(850.0, 2300.0), formant(2300.0, 3000.0)];
    let mut filters = [Svf::default(); 3];
    let mut hiss = Svf::new(d.span(2500.0, 7000.0), 1.0, rate);
    let (hissing, hard) = (d.span(0.05, 0.35), d.chance(0.4));
    let hissing = if d.chance(0.6) { hissing } else { 0.0 };
    let bend = d.span(-0.15, 0.1);
    let mut p = 0.0f32;
    (0..len)
        .map(|i| {
            let t = i as f32 / len as f32;
            if i % 48 == 0 {
                for (n, f) in filters.iter_mut().enumerate() {
                    f.tune(moves[n].0 + (moves[n].1 - moves[n].0) * t, 5.0 + 3.0 * n as f32, rate);
                }
            }
            if t < hissing {
                let rise = if hard { 1.0 - t / hissing } else { (t / hissing * 6.0).min(1.0) };
                return hiss.band(d.noise()) * rise * 0.5;
            }
            let u = (t - hissing) / (1.0 - hissing);
            p += pitch * (1.0 + bend * u) / rate;
            p -= p.floor();
            let x = if p < 0.6 { sine(p * 0.5 / 0.6) * (p / 0.6) } else { -0.3 } + d.noise() * 0.03;
            let shape = (u * 8.0).min(1.0) * ((1.0 - u) * 4.0).min(1.0);
            (filters[0].band(x) + 0.5 * filters[1].band(x) + 0.25 * filters[2].band(x)) * shape
        })
        .collect()
}

/// Many hands, each at its own pace, thicker and thinner over time.
fn applause(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let claps: Vec<Vec<f32>> = (0..12)
        .map(|_| {
            let (mut band, fall) = (
                Svf::new(dice.ratio(700.0, 3200.0), dice.span(0.8, 2.5), rate),
                decay(dice.span(0.02, 0.09), rate),
            );
            let mut level = 1.0;
            (0..(0.06 * rate) as usize)
                .map(|_| {
                    level *= fall;
                    band.band(dice.noise()) * level
                })
                .collect()
        })
        .collect();
    let mut out = vec![0.0; len];
    for _ in 0..dice.int(6, 90) {
        let pace = dice.ratio(2.2, 5.5);
        let (far, own) = (dice.ratio(0.1, 1.0), dice.int(0, claps.len() - 1));
        let mut at = dice.span(-0.2, 0.8) * rate;
        let stop = if dice.chance(0.5) { len as f32 } else { len as f32 * dice.unit() };
        while at < stop {
            add(&mut out, &claps[own], at as i64, far * dice.span(0.6, 1.0));
            at += rate / pace * dice.span(0.85, 1.15);
        }
    }
    out
}

/// A crowd's shout: noise and voices that swell.
fn cheering(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mut out = vec![0.0; len];
    let mut bands =
        [(500.0, 1.5), (1100.0, 2.0), (2400.0, 2.5)].map(|(f, q)| Svf::new(f * dice.span(0.8, 1.2), q, rate));
    let (swell, turn) = (dice.span(0.1, 0.5) / rate, dice.unit());
    for (i, s) in out.iter_mut().enumerate() {
        let x = dice.noise();
        *s = bands.iter_mut().map(|b| b.band(x)).sum::<f32>() * (0.6 + 0.4 * sine(turn + i as f32 * swell));
    }
    let loud = rms(&out);
    for _ in 0..len / (rate as usize) + 1 {
        let secs = dice.span(0.4, 1.4);
        let call = syllable(secs, dice.ratio(220.0, 600.0), dice.span(1.0, 1.3), rate, dice);
        add(&mut out, &call, dice.int(0, len) as i64, loud * dice.span(2.0, 8.0));
    }
    out
}

fn laughter(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mut out = vec![0.0; len];
    for _ in 0..dice.int(1, 6) {
        let (pitch, pace) = (dice.ratio(120.0, 420.0), dice.span(4.0, 6.5));
        let mut at = dice.span(0.0, 2.0) * rate;
        while (at as usize) < len {
            for n in 0..dice.int(3, 9) {
                let one = syllable(0.7 / pace, pitch * (1.15 - 0.03 * n as f32), 1.1, rate, dice);
                add(&mut out, &one, at as i64, dice.span(0.5, 1.0));
                at += rate / pace * dice.span(0.9, 1.1);
            }
            at += dice.ratio(0.4, 3.0) * rate;
        }
    }
    out
}

fn hum(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mains: f64 = *dice.pick(&[50.0, 60.0]);
    let parts: Vec<f32> = (1..9).map(|n| dice.unit() / n as f32).collect();
    let hiss = dice.span(0.0, 0.3);
    (0..len)
        .map(|i| {
            let turn = (mains * i as f64 / f64::from(rate)).fract() as f32;
            parts.iter().enumerate().map(|(n, a)| a * sine(turn * (n + 1) as f32)).sum::<f32>()
                + hiss * dice.noise()
        })
        .collect()
}

/// Long chords that swell one into another, at no pace.
fn pads(len: usize, rate: f32, fonts: &Fonts, dice: &mut Dice) -> Vec<f32> {
    let mut out = vec![0.0; len];
    let mut voice =
        Voice::make(*dice.pick(&[Family::Pad, Family::Strings, Family::Choir]), rate, fonts, dice);
    let (root, mut at) = (dice.int(36, 55) as u8, 0.0);
    while (at as usize) < len {
        let secs = dice.span(3.0, 8.0);
        for tone in [0, 7, 12, 16].iter().take(dice.int(2, 4)) {
            let mut one =
                voice.note(root + tone + *dice.pick(&[0u8, 0, 2, 5, 7]), secs, false).samples.clone();
            let swell = one.len() / 3;
            one.iter_mut().take(swell).enumerate().for_each(|(i, s)| *s *= i as f32 / swell as f32);
            let from = one.len() - swell;
            one[from..].iter_mut().enumerate().for_each(|(i, s)| *s *= 1.0 - i as f32 / swell as f32);
            add(&mut out, &one, (at + dice.span(0.0, 1.0) * rate) as i64, 0.3);
        }
        at += secs * 0.6 * rate;
    }
    out
}

fn rain(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mut high = Svf::new(dice.ratio(800.0, 4000.0), 0.6, rate);
    let drops = dice.ratio(1.0, 60.0) / rate;
    let fall = decay(0.012, rate);
    let mut drop = 0.0f32;
    (0..len)
        .map(|_| {
            if dice.chance(drops) {
                drop = dice.span(0.5, 3.0);
            }
            drop *= fall;
            high.high(dice.noise()) * (0.5 + drop)
        })
        .collect()
}

fn traffic(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let (mut low, mut slow) = (Svf::new(dice.ratio(120.0, 700.0), 0.7, rate), Pole::new(0.3, rate));
    (0..len).map(|_| low.low(dice.noise()) * (0.3 + 30.0 * slow.low(dice.noise()).abs())).collect()
}

/// Feedback: a tone that grows, holds and breaks off.
fn whistle(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let mut out = noise(len, rate, dice);
    out.iter_mut().for_each(|s| *s *= 0.02);
    let mut at = 0.0;
    while (at as usize) < len {
        at += dice.ratio(0.2, 3.0) * rate;
        let (f, secs) = (dice.ratio(250.0, 5000.0), dice.ratio(0.5, 5.0));
        let one: Vec<f32> = (0..(secs * rate) as usize)
            .map(|i| {
                let t = i as f32 / (secs * rate);
                sine((f64::from(f) * i as f64 / f64::from(rate)).fract() as f32)
                    * (t * 2.0).min(1.0)
                    * ((1.0 - t) * 6.0).min(1.0)
            })
            .collect();
        add(&mut out, &one, at as i64, dice.span(0.1, 0.6));
        at += secs * rate;
    }
    out
}

fn scattered(
    len: usize,
    rate: f32,
    gaps: (f32, f32),
    dice: &mut Dice,
    mut one: impl FnMut(&mut Dice) -> Vec<f32>,
) -> Vec<f32> {
    let mut out = noise(len, rate, dice);
    out.iter_mut().for_each(|s| *s *= 0.03);
    let mut at = dice.unit() * rate;
    while (at as usize) < len {
        let sound = one(dice);
        add(&mut out, &sound, at as i64, dice.ratio(0.2, 1.0));
        at += dice.ratio(gaps.0, gaps.1) * rate;
    }
    out
}

fn clink(rate: f32, d: &mut Dice) -> Vec<f32> {
    let (f, fall) = (d.ratio(1800.0, 5500.0), decay(d.span(0.1, 0.7), rate));
    let (mut level, mut p) = (1.0f32, 0.0f32);
    (0..(0.6 * rate) as usize)
        .map(|_| {
            level *= fall;
            p += f / rate;
            (sine(p) + 0.5 * sine(p * 1.62) + 0.3 * sine(p * 2.31)) * level
        })
        .collect()
}

fn step(rate: f32, d: &mut Dice) -> Vec<f32> {
    let (mut low, fall) = (Svf::new(d.ratio(90.0, 600.0), 1.0, rate), decay(d.span(0.05, 0.15), rate));
    let mut level = 1.0;
    (0..(0.15 * rate) as usize)
        .map(|_| {
            level *= fall;
            low.low(d.noise()) * level
        })
        .collect()
}

/// One instrument that tries single notes, slides and goes again, at no pace.
fn tuning(len: usize, rate: f32, fonts: &Fonts, dice: &mut Dice) -> Vec<f32> {
    let mut out = vec![0.0; len];
    let mut voice = Voice::make(
        *dice.pick(&[Family::Guitar, Family::Reed, Family::Strings, Family::Brass, Family::Keys]),
        rate,
        fonts,
        dice,
    );
    let mut at = dice.unit() * rate;
    while (at as usize) < len {
        let key = *dice.pick(&[40u8, 45, 50, 55, 59, 64, 69, 69]);
        let sound = &voice.note(key, dice.ratio(0.3, 2.5), true).samples;
        let off = hertz(69.0 + dice.span(-0.4, 0.1)) / 440.0;
        add(&mut out, &crate::dsp::stretch(sound, f64::from(off)), at as i64, dice.span(0.3, 1.0));
        at += dice.ratio(0.4, 3.0) * rate;
    }
    out
}

/// White to pink.
pub(crate) fn noise(len: usize, rate: f32, dice: &mut Dice) -> Vec<f32> {
    let (mut pink, share) = (Pink::default(), dice.unit());
    let mut low = Pole::new(dice.ratio(1500.0, 11000.0), rate);
    (0..len)
        .map(|_| {
            let white = dice.noise();
            low.low(pink.next(white) * 3.0 * share + white * (1.0 - share))
        })
        .collect()
}
