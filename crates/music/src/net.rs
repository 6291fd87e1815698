//! The small network that hears beats and drums in frames: two convolutions, two gated recurrent layers (GRU, K. Cho et
//! al. 2014, in the form of C. Olah's and PyTorch's equations), one output a column. Plain loops over weights that
//! training/README.md tells how to make.

mod gru;
mod weights;

use crate::spectrum::{BANDS, Frame};
use gru::{Dense, Gru, elu, sigmoid};
pub use weights::{UnusableWeights, Weights};

/// So many frames after something happened the network tells of it: it may see the attack first.
pub const LATE_FRAMES: usize = 2;

/// What the network tells of a frame, each as a probability.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heard {
    /// A beat.
    pub beat: f32,
    /// The first beat of a bar.
    pub first: f32,
    /// A kick drum begins.
    pub kick: f32,
    /// A snare drum begins.
    pub snare: f32,
    /// A hi-hat or cymbal begins.
    pub hat: f32,
    /// Something else begins.
    pub other: f32,
    /// There is music with a beat.
    pub music: f32,
}

/// Columns of [`Heard`].
const COLUMNS: usize = 7;

/// Frames that the first convolution sees, and the second.
const SEEN: [usize; 2] = [5, 3];

/// What lies outside the bands and before the first frame.
const NOTHING: f32 = -3.0;

/// Steps of a packed level, and where they begin.
const STEPS: f32 = 42.0;

/// A level in one byte, as the network was taught.
pub fn packed(level: f32) -> u8 {
    ((level - NOTHING) * STEPS).round().clamp(0.0, 255.0) as u8
}

/// The level of a byte.
pub fn unpacked(byte: u8) -> f32 {
    f32::from(byte) / STEPS + NOTHING
}

/// The two convolutions, which see a few frames.
struct Sight {
    first: Convolution,
    second: Convolution,
    inner: Dense,
    /// Frames seen last, oldest first, each with what lies beside the bands.
    frames: Vec<f32>,
    /// What the first convolution made of them.
    middle: Vec<f32>,
    made: Vec<f32>,
    flat: Vec<f32>,
    out: Vec<f32>,
}

/// One convolution over time and bands, with the greater of each two neighbours after it.
struct Convolution {
    inputs: usize,
    outputs: usize,
    seen: usize,
    wide: usize,
    weights: Vec<f32>,
    bias: Vec<f32>,
}

/// The network that follows: what it hears rests on what was.
pub struct Live {
    sight: Sight,
    layers: [Gru; 2],
    out: Dense,
    said: [f32; COLUMNS],
}

impl Live {
    /// With weights of the kind `live`, before the first frame.
    ///
    /// # Errors
    /// Weights that are not those of such a network.
    pub fn new(weights: &Weights) -> Result<Self, UnusableWeights> {
        let sight = Sight::new(weights)?;
        let first = Gru::new(weights, "first", "")?;
        let second = Gru::new(weights, "second", "")?;
        let out = Dense::new(weights, "out")?;
        if first.inputs() != sight.out.len()
            || second.inputs() != first.outputs()
            || out.shape() != [COLUMNS, second.outputs()]
        {
            return Err(UnusableWeights::Shape("out.weight"));
        }
        Ok(Self { sight, layers: [first, second], out, said: [0.0; COLUMNS] })
    }

    /// Hears the next frame. Nothing is allocated.
    pub fn hear(&mut self, frame: &Frame) -> Heard {
        let seen = self.sight.see(frame);
        let [first, second] = &mut self.layers;
        self.out.of(second.step(first.step(seen)), &mut self.said);
        Heard::of(&self.said)
    }
}

/// The network that hears a whole piece at once, forwards and backwards.
pub struct Hindsight {
    sight: Sight,
    layers: [[Gru; 2]; 2],
    out: Dense,
}

impl Hindsight {
    /// With weights of the kind `hindsight`.
    ///
    /// # Errors
    /// Weights that are not those of such a network.
    pub fn new(weights: &Weights) -> Result<Self, UnusableWeights> {
        let both = |name| Ok([Gru::new(weights, name, "")?, Gru::new(weights, name, "_reverse")?]);
        let (sight, layers, out) =
            (Sight::new(weights)?, [both("first")?, both("second")?], Dense::new(weights, "out")?);
        let [[first, _], [second, _]] = &layers;
        if first.inputs() != sight.out.len()
            || second.inputs() != 2 * first.outputs()
            || out.shape() != [COLUMNS, 2 * second.outputs()]
        {
            return Err(UnusableWeights::Shape("out.weight"));
        }
        Ok(Self { sight, layers, out })
    }

    /// Hears a piece from its beginning.
    pub fn hear(&mut self, frames: &[Frame]) -> Vec<Heard> {
        self.sight.forget();
        self.layers.iter_mut().flatten().for_each(Gru::forget);
        let mut seen: Vec<Vec<f32>> = frames.iter().map(|frame| self.sight.see(frame).to_vec()).collect();
        for [forwards, backwards] in &mut self.layers {
            let there: Vec<Vec<f32>> = seen.iter().map(|seen| forwards.step(seen).to_vec()).collect();
            let mut back: Vec<Vec<f32>> =
                seen.iter().rev().map(|seen| backwards.step(seen).to_vec()).collect();
            back.reverse();
            seen = there.into_iter().zip(back).map(|(there, back)| [there, back].concat()).collect();
        }
        let mut said = [0.0; COLUMNS];
        let mut hear = |seen: &Vec<f32>| {
            self.out.of(seen, &mut said);
            Heard::of(&said)
        };
        seen.iter().map(&mut hear).collect()
    }
}

impl Heard {
    /// The mean of what two networks tell.
    pub(crate) fn mean(&self, other: &Self) -> Self {
        let mean = |of: fn(&Self) -> f32| 0.5 * (of(self) + of(other));
        Self {
            beat: mean(|of| of.beat),
            first: mean(|of| of.first),
            kick: mean(|of| of.kick),
            snare: mean(|of| of.snare),
            hat: mean(|of| of.hat),
            other: mean(|of| of.other),
            music: mean(|of| of.music),
        }
    }

    fn of(said: &[f32; COLUMNS]) -> Self {
        let [beat, first, kick, snare, hat, other, music] = said.map(sigmoid);
        Self { beat, first, kick, snare, hat, other, music }
    }
}

impl Sight {
    fn new(weights: &Weights) -> Result<Self, UnusableWeights> {
        let first = Convolution::new(weights, "c1", SEEN[0])?;
        let second = Convolution::new(weights, "c2", SEEN[1])?;
        let inner = Dense::new(weights, "inner")?;
        if first.inputs != 1
            || second.inputs != first.outputs
            || inner.shape()[1] != second.outputs * BANDS / 4
        {
            return Err(UnusableWeights::Shape("inner.weight"));
        }
        let wide = BANDS + first.wide - 1;
        let middle = first.outputs * (BANDS / 2 + second.wide - 1);
        Ok(Self {
            frames: vec![NOTHING; SEEN[0] * wide],
            middle: vec![0.0; SEEN[1] * middle],
            made: vec![0.0; BANDS],
            flat: vec![0.0; second.outputs * BANDS / 4],
            out: vec![0.0; inner.shape()[0]],
            first,
            second,
            inner,
        })
    }

    fn forget(&mut self) {
        self.frames.fill(NOTHING);
        self.middle.fill(0.0);
    }

    fn see(&mut self, frame: &Frame) -> &[f32] {
        let row = self.frames.len() / SEEN[0];
        self.frames.copy_within(row.., 0);
        let side = (row - BANDS) / 2;
        let newest = self.frames.len() - row + side;
        for (slot, level) in self.frames[newest..newest + BANDS].iter_mut().zip(frame) {
            *slot = level.max(NOTHING);
        }
        // What comes out of the first is padded with zeros for the second.
        let row = self.middle.len() / SEEN[1];
        self.middle.copy_within(row.., 0);
        let newest = self.middle.len() - row;
        let (half, wide) = (BANDS / 2, row / self.first.outputs);
        for output in 0..self.first.outputs {
            self.first.of(output, &self.frames, BANDS, &mut self.made);
            let at = newest + output * wide + (wide - half) / 2;
            pooled(&self.made[..BANDS], &mut self.middle[at..at + half]);
        }
        for output in 0..self.second.outputs {
            self.second.of(output, &self.middle, half, &mut self.made);
            pooled(&self.made[..half], &mut self.flat[output * half / 2..(output + 1) * half / 2]);
        }
        self.inner.of(&self.flat, &mut self.out);
        self.out.iter_mut().for_each(|value| *value = elu(*value));
        &self.out
    }
}

impl Convolution {
    fn new(weights: &Weights, name: &'static str, frames: usize) -> Result<Self, UnusableWeights> {
        let (shape, kernel) = weights.get(name, "weight")?;
        let (_, bias) = weights.get(name, "bias")?;
        let &[outputs, inputs, seen, wide] = shape else { return Err(UnusableWeights::Shape(name)) };
        if seen != frames || wide % 2 == 0 || bias.len() != outputs {
            return Err(UnusableWeights::Shape(name));
        }
        Ok(Self { inputs, outputs, seen, wide, weights: kernel.to_vec(), bias: bias.to_vec() })
    }

    /// One output over all bands. `rows`: frame after frame, in each input after input, each padded.
    fn of(&self, output: usize, rows: &[f32], bands: usize, made: &mut [f32]) {
        let made = &mut made[..bands];
        made.fill(self.bias[output]);
        let row = bands + self.wide - 1;
        for input in 0..self.inputs {
            for seen in 0..self.seen {
                let levels = &rows[(seen * self.inputs + input) * row..][..row];
                let kernel = ((output * self.inputs + input) * self.seen + seen) * self.wide;
                for (offset, weight) in self.weights[kernel..kernel + self.wide].iter().enumerate() {
                    for (made, level) in made.iter_mut().zip(&levels[offset..]) {
                        *made += weight * level;
                    }
                }
            }
        }
        made.iter_mut().for_each(|value| *value = elu(*value));
    }
}

/// The greater of each two neighbours.
fn pooled(from: &[f32], to: &mut [f32]) {
    for (slot, pair) in to.iter_mut().zip(from.chunks_exact(2)) {
        *slot = pair[0].max(pair[1]);
    }
}
