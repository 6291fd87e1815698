//! Sound as a hundred frames a second of band levels, whatever its loudness.
//!
//! Two windows look at the same moment: a short one for when something happens, a long one for the pitch of what is low.
//! All levels are told against the running loudness, so that the same music 30 dB down looks the same (but for the noise
//! that it then lies in).

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

use crate::{HOP, RATE};

/// Samples of the short window: 21 ms.
const SHORT: usize = 512;

/// Samples of the long window: 85 ms.
const LONG: usize = 2048;

/// Bands of the long window, 30 to 400 Hz.
pub const LOW_BANDS: usize = 16;

/// Bands of the short window, 40 Hz to 11.5 kHz.
pub const TIMED_BANDS: usize = 48;

/// Bands of a frame: first the low ones.
pub const BANDS: usize = LOW_BANDS + TIMED_BANDS;

/// Loudness below which there is nothing: 90 dB under full scale, as power.
const SILENCE: f32 = 1e-9;

/// Over how many frames the running loudness is taken: three seconds.
const LOUDNESS_FRAMES: f32 = 300.0;

/// Nothing is told as lying further below the running loudness than this, in nepers of power (52 dB).
const DEEPEST: f32 = 12.0;

/// One step of a told level, in nepers of power.
pub(crate) const SCALE: f32 = 4.0;

/// Band levels of one moment, on a scale of about −3 (nothing) to 2.
pub type Frame = [f32; BANDS];

/// What makes frames of samples at [`RATE`]. Nothing is allocated after [`Self::new`].
pub struct Spectra {
    short: Window,
    long: Window,
    /// The last samples, the newest at the end.
    past: [f32; LONG],
    /// The samples of the frame that is being filled.
    next: [f32; HOP],
    filled: usize,
    loudness: Loudness,
}

/// How loud it is and was.
#[derive(Clone, Copy, Debug, Default)]
pub struct Loudness {
    /// Power of the last short window, full scale sine = 0.5.
    pub power: f32,
    /// The running mean of its logarithm; the last one while there is silence.
    mean: f32,
    frames: f32,
}

impl Default for Spectra {
    fn default() -> Self {
        Self::new()
    }
}

impl Spectra {
    /// Before the first sample.
    pub fn new() -> Self {
        let mut planner = RealFftPlanner::new();
        Self {
            short: Window::new(&mut planner, SHORT, &edges(TIMED_BANDS, 40.0, 11_500.0)),
            long: Window::new(&mut planner, LONG, &edges(LOW_BANDS, 30.0, 400.0)),
            past: [0.0; LONG],
            next: [0.0; HOP],
            filled: 0,
            loudness: Loudness::default(),
        }
    }

    /// Takes samples; gives each frame that they complete, with how loud it is. What is not a number counts as nothing.
    pub fn push(&mut self, samples: &[f32], mut give: impl FnMut(&Frame, Loudness)) {
        for sample in samples {
            self.next[self.filled] = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
            self.filled += 1;
            if self.filled == HOP {
                self.filled = 0;
                self.past.copy_within(HOP.., 0);
                self.past[LONG - HOP..].copy_from_slice(&self.next);
                let frame = self.frame();
                give(&frame, self.loudness);
            }
        }
    }

    fn frame(&mut self) -> Frame {
        let mut frame = [0.0; BANDS];
        let (low, timed) = frame.split_at_mut(LOW_BANDS);
        self.long.levels(&self.past, low);
        self.short.levels(&self.past[LONG - SHORT..], timed);
        let tail = &self.past[LONG - SHORT..];
        let power = tail.iter().map(|sample| sample * sample).sum::<f32>() / SHORT as f32;
        let about = self.loudness.take(power);
        for level in &mut frame {
            let above = libm::logf(*level + SILENCE * 1e-3) - about;
            *level = above.max(-DEEPEST) / SCALE;
        }
        frame
    }
}

impl Loudness {
    fn take(&mut self, power: f32) -> f32 {
        self.power = power;
        if power > SILENCE {
            self.frames = (self.frames + 1.0).min(LOUDNESS_FRAMES);
            self.mean += (libm::logf(power) - self.mean) / self.frames;
        }
        self.mean
    }

    /// The power that a told level stands for at this moment.
    pub(crate) fn power_of(&self, level: f32) -> f32 {
        libm::expf(level * SCALE + self.mean)
    }

    /// What told levels are told against: the running mean of the logarithm of power.
    pub(crate) fn about(&self) -> f32 {
        self.mean
    }

    /// `true` where there is nothing to hear.
    pub fn is_silent(&self) -> bool {
        self.power <= SILENCE
    }

    /// Level in dB below a full-scale sine.
    pub fn decibels(&self) -> f32 {
        10.0 * libm::log10f((self.power * 2.0).max(1e-12))
    }
}

/// A Hann window, its transform, and the bands over it.
struct Window {
    shape: Vec<f32>,
    transform: Arc<dyn RealToComplex<f32>>,
    samples: Vec<f32>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    bands: Vec<Band>,
}

/// A triangle over bins.
struct Band {
    first: usize,
    weights: Vec<f32>,
}

impl Window {
    fn new(planner: &mut RealFftPlanner<f32>, length: usize, edges: &[f64]) -> Self {
        let transform = planner.plan_fft_forward(length);
        let shape = (0..length)
            .map(|index| {
                let turn = std::f64::consts::TAU * (index as f64 + 0.5) / length as f64;
                (0.5 - 0.5 * libm::cos(turn)) as f32
            })
            .collect();
        Self {
            shape,
            samples: transform.make_input_vec(),
            bins: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            transform,
            bands: edges.windows(3).map(|edges| Band::new(edges, length)).collect(),
        }
    }

    /// Mean power in each band, so that a full-scale sine gives about as much in either window.
    fn levels(&mut self, samples: &[f32], levels: &mut [f32]) {
        for ((slot, sample), shape) in self.samples.iter_mut().zip(samples).zip(&self.shape) {
            *slot = sample * shape;
        }
        // The buffers are those that the plan itself made.
        if self.transform.process_with_scratch(&mut self.samples, &mut self.bins, &mut self.scratch).is_err()
        {
            return;
        }
        let scale = 1.0 / (self.samples.len() as f32).powi(2);
        for (level, band) in levels.iter_mut().zip(&self.bands) {
            let bins = self.bins[band.first..].iter().zip(&band.weights);
            *level = bins.map(|(bin, weight)| bin.norm_sqr() * weight).sum::<f32>() * scale;
        }
    }
}

impl Band {
    /// From its lower edge over its middle to its upper edge, Hz; never narrower than a bin to either side.
    fn new(edges: &[f64], length: usize) -> Self {
        let bin = f64::from(RATE) / length as f64;
        let middle = edges[1] / bin;
        let (below, above) = ((middle - edges[0] / bin).max(1.0), (edges[2] / bin - middle).max(1.0));
        let first = (libm::ceil(middle - below) as usize).clamp(1, length / 2);
        let last = (libm::floor(middle + above) as usize).clamp(first, length / 2);
        let weight = |at: usize| {
            let away = at as f64 - middle;
            (1.0 - if away < 0.0 { -away / below } else { away / above }).max(0.0) as f32
        };
        Self { first, weights: (first..=last).map(weight).collect() }
    }
}

/// Edges of triangles that overlap by half: evenly in hertz below 500 Hz and in octaves above, near enough to the ear's.
fn edges(bands: usize, from: f64, to: f64) -> Vec<f64> {
    let warp = |hertz: f64| libm::asinh(hertz / 300.0);
    let (from, to) = (warp(from), warp(to));
    let step = (to - from) / (bands + 1) as f64;
    (0..bands + 2).map(|index| 300.0 * libm::sinh(from + step * index as f64)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frames(samples: &[f32]) -> Vec<Frame> {
        let mut frames = Vec::new();
        Spectra::new().push(samples, |frame, _| frames.push(*frame));
        frames
    }

    fn tone(hertz: f64, secs: f64, level: f64) -> Vec<f32> {
        let sample =
            |index: usize| level * libm::sin(std::f64::consts::TAU * hertz * index as f64 / f64::from(RATE));
        (0..(secs * f64::from(RATE)) as usize).map(|index| sample(index) as f32).collect()
    }

    #[test]
    fn a_tone_is_loudest_in_its_band() {
        let middles = edges(TIMED_BANDS, 40.0, 11_500.0);
        for hertz in [300.0, 1000.0, 4000.0, 9000.0] {
            let frames = frames(&tone(hertz, 0.5, 0.3));
            let last = &frames[40][LOW_BANDS..];
            let loudest = (0..TIMED_BANDS).max_by(|a, b| last[*a].total_cmp(&last[*b])).unwrap();
            let (below, above) = (middles[loudest], middles[loudest + 2]);
            assert!((below..above).contains(&hertz), "{hertz} Hz in {below} to {above}");
        }
    }

    #[test]
    fn the_same_thirty_decibels_down_looks_the_same() {
        let loud: Vec<f32> =
            tone(200.0, 1.0, 0.4).iter().zip(tone(3000.0, 1.0, 0.2)).map(|(a, b)| a + b).collect();
        let quiet: Vec<f32> = loud.iter().map(|sample| sample * 0.0316).collect();
        for (at, (loud, quiet)) in frames(&loud).iter().zip(&frames(&quiet)).enumerate() {
            for (loud, quiet) in loud.iter().zip(quiet).filter(|(loud, _)| **loud > -1.5) {
                assert!((loud - quiet).abs() < 0.02, "frame {at}: {loud} and {quiet}");
            }
        }
    }

    #[test]
    fn silence_and_nonsense_are_nothing() {
        let mut samples = vec![0.0; 24_000];
        samples[9_000] = f32::NAN;
        samples[9_001] = f32::INFINITY;
        assert!(frames(&samples).iter().flatten().all(|level| level.is_finite() && *level < 0.0));
    }
}
