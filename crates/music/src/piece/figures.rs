//! What is heard in each beat of a piece.

use super::Beat;
use crate::FRAMES_A_SECOND;
use crate::net::Heard;
use crate::spectrum::{BANDS, Frame, LOW_BANDS, Loudness, TIMED_BANDS};

/// Drums at each quarter of a beat.
pub(super) const DRUMS: usize = 16;

/// Seconds of a cymbal.
const CYMBAL_SECS: f64 = 0.3;

/// What is heard in a beat.
#[derive(Clone)]
pub(super) struct Figures {
    /// The mean logarithm of each band's power.
    pub(super) bands: [f64; BANDS],
    /// Kick, snare, hat and others, each at its most probable in each quarter.
    pub(super) drums: [f64; DRUMS],
    /// Mean power.
    pub(super) power: f64,
    /// What is high just after it, dB.
    pub(super) cymbal: f64,
}

/// Of all beats but the last.
pub(super) fn figures(
    beats: &[Beat],
    frames: &[Frame],
    loudness: &[Loudness],
    heard: &[Heard],
) -> Vec<Figures> {
    beats.windows(2).map(|pair| Figures::of(pair[0].at, pair[1].at, frames, loudness, heard)).collect()
}

impl Figures {
    fn of(from: f64, to: f64, frames: &[Frame], loudness: &[Loudness], heard: &[Heard]) -> Self {
        let frame = |secs: f64| ((secs.max(0.0) * FRAMES_A_SECOND) as usize + 2).min(frames.len());
        let (from, to) = (frame(from), frame(to));
        let mut figures = Self { bands: [0.0; BANDS], drums: [0.0; DRUMS], power: 0.0, cymbal: 0.0 };
        let count = to.saturating_sub(from).max(1) as f64;
        for at in from..to {
            for (figure, level) in figures.bands.iter_mut().zip(&frames[at]) {
                *figure += f64::from(libm::logf(loudness[at].power_of(*level) + 1e-11)) / count;
            }
            figures.power += f64::from(loudness[at].power) / count;
            let heard = &heard[at];
            let quarter = ((at - from) * 4 / (to - from)).min(3);
            let drums = [heard.kick, heard.snare, heard.hat, heard.other];
            for (most, drum) in figures.drums[4 * quarter..].iter_mut().zip(drums) {
                *most = most.max(f64::from(drum));
            }
        }
        let rings = from..(from + (CYMBAL_SECS * FRAMES_A_SECOND) as usize).min(frames.len());
        let high = |at: usize| {
            let bands = &frames[at][LOW_BANDS + TIMED_BANDS * 3 / 4..];
            bands.iter().map(|level| f64::from(loudness[at].power_of(*level))).sum::<f64>()
                / bands.len() as f64
        };
        let power = rings.clone().map(high).sum::<f64>() / rings.len().max(1) as f64;
        figures.cymbal = 10.0 * libm::log10(power + 1e-10);
        figures
    }
}

/// Every band with mean 0 and spread 1.
pub(super) fn even_out(figures: &mut [Figures]) {
    for band in 0..BANDS {
        let (mean, spread) = mean_and_spread(figures.iter().map(|of| of.bands[band]));
        figures.iter_mut().for_each(|of| of.bands[band] = (of.bands[band] - mean) / spread.max(0.3));
    }
}

pub(super) fn mean_and_spread(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let count = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<f64>() / count;
    (mean, libm::sqrt(values.map(|value| (value - mean) * (value - mean)).sum::<f64>() / count))
}
