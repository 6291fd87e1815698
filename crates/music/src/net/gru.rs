//! Layers of the network.

use super::{UnusableWeights, Weights};

/// Every output from every input.
pub(super) struct Dense {
    weights: Vec<f32>,
    bias: Vec<f32>,
    inputs: usize,
}

impl Dense {
    pub(super) fn new(weights: &Weights, name: &'static str) -> Result<Self, UnusableWeights> {
        Self::of_parts(weights, name, "weight", "bias")
    }

    fn of_parts(
        weights: &Weights,
        name: &'static str,
        weight: &str,
        bias: &str,
    ) -> Result<Self, UnusableWeights> {
        let (shape, matrix) = weights.get(name, weight)?;
        let (_, bias) = weights.get(name, bias)?;
        let &[outputs, inputs] = shape else { return Err(UnusableWeights::Shape(name)) };
        if bias.len() != outputs {
            return Err(UnusableWeights::Shape(name));
        }
        Ok(Self { weights: matrix.to_vec(), bias: bias.to_vec(), inputs })
    }

    /// Outputs and inputs.
    pub(super) fn shape(&self) -> [usize; 2] {
        [self.bias.len(), self.inputs]
    }

    pub(super) fn of(&self, input: &[f32], output: &mut [f32]) {
        let rows = self.weights.chunks_exact(self.inputs);
        for ((slot, row), bias) in output.iter_mut().zip(rows).zip(&self.bias) {
            *slot = bias + dot(row, input);
        }
    }
}

/// A gated recurrent layer, with what it remembers.
pub(super) struct Gru {
    from_input: Dense,
    from_memory: Dense,
    memory: Vec<f32>,
    by_input: Vec<f32>,
    by_memory: Vec<f32>,
}

impl Gru {
    /// `way` is empty or `_reverse`.
    pub(super) fn new(weights: &Weights, name: &'static str, way: &str) -> Result<Self, UnusableWeights> {
        let part = |of: &str| {
            let [weight, bias] = ["weight", "bias"].map(|what| format!("{what}_{of}_l0{way}"));
            Dense::of_parts(weights, name, &weight, &bias)
        };
        let (from_input, from_memory) = (part("ih")?, part("hh")?);
        let [gates, width] = from_memory.shape();
        if gates != 3 * width || from_input.shape()[0] != gates {
            return Err(UnusableWeights::Shape(name));
        }
        let (by_input, by_memory) = (vec![0.0; gates], vec![0.0; gates]);
        Ok(Self { from_input, from_memory, memory: vec![0.0; width], by_input, by_memory })
    }

    pub(super) fn inputs(&self) -> usize {
        self.from_input.inputs
    }

    pub(super) fn outputs(&self) -> usize {
        self.memory.len()
    }

    /// As before the first input.
    pub(super) fn forget(&mut self) {
        self.memory.fill(0.0);
    }

    /// Takes the next input.
    pub(super) fn step(&mut self, input: &[f32]) -> &[f32] {
        self.from_input.of(input, &mut self.by_input);
        self.from_memory.of(&self.memory, &mut self.by_memory);
        let width = self.memory.len();
        for (at, memory) in self.memory.iter_mut().enumerate() {
            let gate = |which: usize| (self.by_input[which * width + at], self.by_memory[which * width + at]);
            let (reset, keep, new) = (gate(0), gate(1), gate(2));
            let (reset, keep) = (sigmoid(reset.0 + reset.1), sigmoid(keep.0 + keep.1));
            let new = libm::tanhf(new.0 + reset * new.1);
            *memory = (1.0 - keep) * new + keep * *memory;
        }
        &self.memory
    }
}

pub(super) fn sigmoid(value: f32) -> f32 {
    1.0 / (1.0 + libm::expf(-value))
}

pub(super) fn elu(value: f32) -> f32 {
    if value > 0.0 { value } else { libm::expm1f(value) }
}

/// Eight sums side by side, so that the processor adds eight at a time.
fn dot(a: &[f32], b: &[f32]) -> f32 {
    let mut sums = [0.0_f32; 8];
    let (a_eights, b_eights) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f32 = a_eights.remainder().iter().zip(b_eights.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in a_eights.zip(b_eights) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sums.iter().sum::<f32>() + rest
}
