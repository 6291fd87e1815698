//! Chance that always falls the same way: splitmix64 (Steele, Lea, Flood 2014), seeded, with no clock.

/// A seeded source of chance.
#[derive(Clone, Debug)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        let mut dice = Dice(seed ^ 0x5EED_C11F_5000_0001);
        dice.next();
        dice
    }

    /// Another source, which depends on this one's place and `tag`; the own course does not change by what it is used for.
    pub(crate) fn fork(&mut self, tag: u64) -> Dice {
        Dice::new(self.next() ^ tag.wrapping_mul(0x9E37_79B9_7F4A_7C15))
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 (included) to 1 (excluded).
    pub(crate) fn unit(&mut self) -> f32 {
        (self.next() >> 40) as f32 / (1u64 << 24) as f32
    }

    /// −1 to 1: one sample of white noise.
    pub(crate) fn noise(&mut self) -> f32 {
        self.unit() * 2.0 - 1.0
    }

    pub(crate) fn span(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.unit()
    }

    /// Evenly spread in ratio, as frequencies and times are.
    pub(crate) fn ratio(&mut self, low: f32, high: f32) -> f32 {
        low * libm::powf(high / low, self.unit())
    }

    /// `low` to `high`, both included.
    pub(crate) fn int(&mut self, low: usize, high: usize) -> usize {
        low + (self.next() % (high - low + 1) as u64) as usize
    }

    pub(crate) fn chance(&mut self, p: f32) -> bool {
        self.unit() < p
    }

    /// One of `choices`, which must not be empty.
    pub(crate) fn pick<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[self.int(0, choices.len() - 1)]
    }

    /// About normal, mean 0, spread 1 (sum of four even draws).
    pub(crate) fn normal(&mut self) -> f32 {
        (self.noise() + self.noise() + self.noise() + self.noise()) * 0.866
    }
}
