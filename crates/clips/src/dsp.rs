//! Small parts that every voice and effect is made of.

use std::f32::consts::TAU;

/// Sine of a turn (`phase` 1 = once around), to about 0.1 %: two parabolas, the second correcting the first.
pub(crate) fn sine(phase: f32) -> f32 {
    let x = phase - phase.round();
    let y = 8.0 * x - 16.0 * x * x.abs();
    0.225 * (y * y.abs() - y) + y
}

/// What a value is multiplied by each sample to fall by 60 dB in `secs`.
pub(crate) fn decay(secs: f32, rate: f32) -> f32 {
    libm::expf(-6.9078 / (secs.max(1e-4) * rate))
}

/// Decibels to a factor.
pub(crate) fn db(level: f32) -> f32 {
    libm::powf(10.0, level / 20.0)
}

/// Frequency of a MIDI key, A4 = 440 Hz.
pub(crate) fn hertz(key: f32) -> f32 {
    440.0 * libm::powf(2.0, (key - 69.0) / 12.0)
}

/// Root of the mean square.
pub(crate) fn rms(samples: &[f32]) -> f32 {
    if samples.is_empty() {
        return 0.0;
    }
    (samples.iter().map(|s| s * s).sum::<f32>() / samples.len() as f32).sqrt()
}

/// Largest absolute value.
pub(crate) fn peak(samples: &[f32]) -> f32 {
    samples.iter().fold(0.0, |m, s| m.max(s.abs()))
}

/// Adds `from` × `gain` into `into`, beginning at sample `at` (which may lie before the first).
pub(crate) fn add(into: &mut [f32], from: &[f32], at: i64, gain: f32) {
    let skip = usize::try_from(-at).unwrap_or(0).min(from.len());
    let start = usize::try_from(at).unwrap_or(0).min(into.len());
    for (to, s) in into[start..].iter_mut().zip(&from[skip..]) {
        *to += s * gain;
    }
}

/// `from` at `ratio` times the speed, by straight lines between samples.
pub(crate) fn stretch(from: &[f32], ratio: f64) -> Vec<f32> {
    let len = (from.len() as f64 / ratio) as usize;
    let at = |i: usize| {
        let x = i as f64 * ratio;
        let (n, part) = (x as usize, (x - x.floor()) as f32);
        let a = from.get(n).copied().unwrap_or(0.0);
        a + (from.get(n + 1).copied().unwrap_or(a) - a) * part
    };
    (0..len).map(at).collect()
}

/// One pole: low pass.
#[derive(Clone, Copy, Default)]
pub(crate) struct Pole {
    k: f32,
    y: f32,
}

impl Pole {
    pub(crate) fn new(hertz: f32, rate: f32) -> Pole {
        Pole { k: 1.0 - libm::expf(-TAU * hertz / rate), y: 0.0 }
    }

    pub(crate) fn low(&mut self, x: f32) -> f32 {
        self.y += (x - self.y) * self.k;
        self.y
    }

    /// The same, standing at `y`.
    pub(crate) fn at(self, y: f32) -> Pole {
        Pole { y, ..self }
    }
}

/// State-variable filter, trapezoidal (Simper 2013, from memory): low, band and high pass at once.
#[derive(Clone, Copy, Default)]
pub(crate) struct Svf {
    g: f32,
    k: f32,
    a: f32,
    s1: f32,
    s2: f32,
}

impl Svf {
    pub(crate) fn new(hertz: f32, q: f32, rate: f32) -> Svf {
        let mut svf = Svf::default();
        svf.tune(hertz, q, rate);
        svf
    }

    pub(crate) fn tune(&mut self, hertz: f32, q: f32, rate: f32) {
        let x = (hertz / rate).clamp(0.0005, 0.47) * std::f32::consts::PI;
        // tan by its continued fraction: within 1 % up to 0.45 of the rate
        let x2 = x * x;
        self.g = x * (15.0 - x2) / (15.0 - 6.0 * x2).max(0.05);
        self.k = 1.0 / q;
        self.a = 1.0 / (1.0 + self.g * (self.g + self.k));
    }

    /// Low, band (0 dB at its middle), high.
    pub(crate) fn all(&mut self, x: f32) -> (f32, f32, f32) {
        let high = (x - (self.k + self.g) * self.s1 - self.s2) * self.a;
        let band = self.g * high + self.s1;
        let low = self.g * band + self.s2;
        self.s1 = self.g * high + band;
        self.s2 = self.g * band + low;
        (low, band * self.k, high)
    }

    pub(crate) fn low(&mut self, x: f32) -> f32 {
        self.all(x).0
    }

    pub(crate) fn band(&mut self, x: f32) -> f32 {
        self.all(x).1
    }

    pub(crate) fn high(&mut self, x: f32) -> f32 {
        self.all(x).2
    }
}

/// The correction that takes the edge off a jump of a saw at `phase`, `step` a sample (polynomial band-limited step).
pub(crate) fn blep(phase: f32, step: f32) -> f32 {
    if phase < step {
        let t = phase / step;
        t + t - t * t - 1.0
    } else if phase > 1.0 - step {
        let t = (phase - 1.0) / step;
        t * t + t + t + 1.0
    } else {
        0.0
    }
}

/// Pink noise (Kellet's three poles, from memory).
#[derive(Default)]
pub(crate) struct Pink([f32; 3]);

impl Pink {
    pub(crate) fn next(&mut self, white: f32) -> f32 {
        self.0[0] = 0.99765 * self.0[0] + white * 0.099_046;
        self.0[1] = 0.963 * self.0[1] + white * 0.296_516_4;
        self.0[2] = 0.57 * self.0[2] + white * 1.052_691_3;
        (self.0.iter().sum::<f32>() + white * 0.1848) * 0.2
    }
}
