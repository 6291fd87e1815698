//! Any rate to the working rate.

use rubato::audioadapter_buffers::direct::InterleavedSlice;
use rubato::{
    Async, FixedAsync, Resampler as _, SincInterpolationParameters, SincInterpolationType, WindowFunction,
};

use crate::RATE;

/// Samples that are taken at once.
const BLOCK: usize = 64;

/// Taps of the filter. Half of them is what resampling adds to the delay: 0.7 ms at 44.1 kHz.
const TAPS: usize = 64;

/// Slowest and fastest rate that is taken, samples a second.
pub(crate) const RATES: [u32; 2] = [8_000, 192_000];

/// A rate that sound cannot have here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0} samples a second cannot be listened to; 8000 to 192000 can")]
pub struct UnusableRate(pub u32);

/// A stream of samples at some rate, made one at [`RATE`], whatever the size of the blocks in which it comes. The first
/// sample out is that of the moment of the first sample in, to a sample. Nothing is allocated after [`Self::new`].
pub struct Resampler {
    /// None where the stream has the right rate already.
    convert: Option<Box<Async<f32>>>,
    block: [f32; BLOCK],
    filled: usize,
    out: Vec<f32>,
    /// Samples out that are still to be left out: the delay of the filter.
    early: usize,
}

impl Resampler {
    /// For a stream of so many samples a second.
    ///
    /// # Errors
    /// A rate outside [`RATES`].
    pub fn new(rate: u32) -> Result<Self, UnusableRate> {
        if !(RATES[0]..=RATES[1]).contains(&rate) {
            return Err(UnusableRate(rate));
        }
        let convert = if rate == RATE { None } else { Some(Box::new(converter(rate)?)) };
        let most = convert.as_ref().map_or(0, |convert| convert.output_frames_max());
        let early = convert.as_ref().map_or(0, |convert| convert.output_delay());
        Ok(Self { convert, block: [0.0; BLOCK], filled: 0, out: vec![0.0; most], early })
    }

    /// Takes samples; gives what comes of them, in order and in pieces.
    pub fn push(&mut self, mut samples: &[f32], mut give: impl FnMut(&[f32])) {
        let Some(convert) = &mut self.convert else {
            give(samples);
            return;
        };
        while !samples.is_empty() {
            let taken = samples.len().min(BLOCK - self.filled);
            self.block[self.filled..self.filled + taken].copy_from_slice(&samples[..taken]);
            self.filled += taken;
            samples = &samples[taken..];
            if self.filled < BLOCK {
                return;
            }
            self.filled = 0;
            let most = self.out.len();
            let made = InterleavedSlice::new(&self.block[..], 1, BLOCK).ok().and_then(|block| {
                let mut out = InterleavedSlice::new_mut(&mut self.out[..], 1, most).ok()?;
                convert.process_into_buffer(&block, &mut out, None).ok()
            });
            // Buffers are as large as the converter asked for, so there is always something made.
            let made = made.map_or(0, |(_, made)| made);
            let left_out = self.early.min(made);
            self.early -= left_out;
            if made > left_out {
                give(&self.out[left_out..made]);
            }
        }
    }
}

fn converter(rate: u32) -> Result<Async<f32>, UnusableRate> {
    let filter = SincInterpolationParameters::new(TAPS, WindowFunction::BlackmanHarris2)
        .oversampling_factor(256)
        .interpolation(SincInterpolationType::Linear);
    let ratio = f64::from(RATE) / f64::from(rate);
    Async::new_sinc(ratio, 1.0, &filter, BLOCK, 1, FixedAsync::Input).map_err(|_| UnusableRate(rate))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole(rate: u32, samples: &[f32], block: usize) -> Vec<f32> {
        let mut resampler = Resampler::new(rate).unwrap();
        let mut out = Vec::new();
        for block in samples.chunks(block) {
            resampler.push(block, |piece| out.extend_from_slice(piece));
        }
        out
    }

    fn tone(rate: u32, hertz: f64, secs: f64) -> Vec<f32> {
        let count = (f64::from(rate) * secs) as usize;
        (0..count)
            .map(|index| libm::sin(std::f64::consts::TAU * hertz * index as f64 / f64::from(rate)) as f32)
            .collect()
    }

    #[test]
    fn a_tone_stays_the_same_tone_at_the_same_time() {
        for rate in [8_000, 11_025, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 96_000, 192_000] {
            let got = whole(rate, &tone(rate, 1000.0, 1.0), 441);
            let want = tone(RATE, 1000.0, 1.0);
            assert!(got.len() > 23_500 && got.len() <= 24_000, "{rate}: {}", got.len());
            for (index, (got, want)) in got.iter().zip(&want).enumerate().skip(300) {
                // A sample late or early (42 µs) makes 0.26.
                assert!((got - want).abs() < 0.3, "{rate}, sample {index}: {got} for {want}");
            }
        }
    }

    #[test]
    fn what_cannot_be_heard_at_the_working_rate_does_not_fold_back() {
        let got = whole(48_000, &tone(48_000, 17_000.0, 0.5), 512);
        let loudest = got[500..].iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
        assert!(loudest < 0.01, "{loudest}");
    }

    #[test]
    fn blocks_of_any_size_give_the_same() {
        let samples = tone(44_100, 440.0, 0.4);
        let whole_at_once = whole(44_100, &samples, samples.len());
        for block in [1, 63, 64, 65, 441, 4096] {
            assert_eq!(whole(44_100, &samples, block), whole_at_once, "{block}");
        }
    }

    #[test]
    fn a_rate_that_is_none_is_told() {
        assert_eq!(Resampler::new(0).err(), Some(UnusableRate(0)));
        assert!(UnusableRate(400_000).to_string().contains("400000"));
    }
}
