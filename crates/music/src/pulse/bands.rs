//! How much low, middle and high sound there is, for light that follows it: quick, and against what was loud lately.

/// Where low ends and high begins, hertz: a kick and a bass lie below the first, hats and breath above the second (common
/// practice, no source).
const EDGES: [f32; 2] = [160.0, 2_000.0];

/// How fast a level comes up and goes down again, seconds.
const UP: f32 = 0.004;
const DOWN: f32 = 0.08;

/// How long the most that was heard counts, seconds.
const MOST_SECS: f32 = 8.0;

/// A band whose most lies below this is silent: 60 dB under full scale, as amplitude.
const SILENT: f32 = 1e-3;

/// Levels of three bands.
#[derive(Clone, Debug)]
pub struct Bands {
    /// Twice each: what is below low's end, above it and below high's beginning, and above that.
    low: [OnePole; 2],
    middle: [[OnePole; 2]; 2],
    high: [OnePole; 2],
    /// Parts of one sample's step, from the times above.
    parts: [f32; 3],
    levels: [f32; 3],
    most: [f32; 3],
}

/// A filter of the first order: what is below its corner is its value, the rest is above.
#[derive(Clone, Copy, Debug)]
struct OnePole {
    part: f32,
    value: f32,
}

impl OnePole {
    fn new(hertz: f32, rate: f32) -> Self {
        Self { part: 1.0 - libm::expf(-std::f32::consts::TAU * hertz / rate), value: 0.0 }
    }

    fn below(&mut self, sample: f32) -> f32 {
        self.value += (sample - self.value) * self.part;
        self.value
    }

    fn above(&mut self, sample: f32) -> f32 {
        sample - self.below(sample)
    }
}

impl Bands {
    /// For sound of so many samples a second.
    pub fn new(rate: u32) -> Self {
        let rate = rate.max(1) as f32;
        let part = |secs: f32| 1.0 - libm::expf(-1.0 / (secs * rate));
        Self {
            low: [OnePole::new(EDGES[0], rate); 2],
            middle: EDGES.map(|hertz| [OnePole::new(hertz, rate); 2]),
            high: [OnePole::new(EDGES[1], rate); 2],
            parts: [part(UP), part(DOWN), part(MOST_SECS)],
            levels: [0.0; 3],
            most: [0.0; 3],
        }
    }

    /// Takes samples. What is not a number counts as nothing.
    pub fn push(&mut self, samples: &[f32]) {
        let [up, down, forget] = self.parts;
        for &sample in samples {
            let sample = if sample.is_finite() { sample.clamp(-8.0, 8.0) } else { 0.0 };
            let low = self.low.iter_mut().fold(sample, |sample, filter| filter.below(sample));
            let [from, to] = &mut self.middle;
            let middle = from.iter_mut().fold(sample, |sample, filter| filter.above(sample));
            let middle = to.iter_mut().fold(middle, |sample, filter| filter.below(sample));
            let high = self.high.iter_mut().fold(sample, |sample, filter| filter.above(sample));
            let bands = [low, middle, high];
            for ((level, most), band) in self.levels.iter_mut().zip(&mut self.most).zip(bands) {
                let band = libm::fabsf(band);
                *level += (band - *level) * if band > *level { up } else { down };
                *most = if *level > *most { *level } else { *most - *most * forget };
            }
        }
    }

    /// Low, middle and high, each 0 to 1 of the most that it was in the last seconds.
    pub fn levels(&self) -> [f32; 3] {
        std::array::from_fn(|band| {
            let most = self.most[band];
            if most < SILENT { 0.0 } else { (self.levels[band] / most).clamp(0.0, 1.0) }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(hertz: f32, secs: f32, loud: f32) -> Vec<f32> {
        let rate = 48_000.0;
        (0..(secs * rate) as usize)
            .map(|index| loud * libm::sinf(std::f32::consts::TAU * hertz * index as f32 / rate))
            .collect()
    }

    #[test]
    fn a_tone_is_heard_in_its_own_band() {
        for (hertz, band) in [(60.0, 0), (700.0, 1), (8_000.0, 2)] {
            let mut bands = Bands::new(48_000);
            // The same loudness in all three first, which is what they are told against.
            for other in [60.0, 700.0, 8_000.0] {
                bands.push(&tone(other, 0.5, 0.5));
            }
            bands.push(&vec![0.0; 24_000]);
            bands.push(&tone(hertz, 0.5, 0.5));
            let levels = bands.levels();
            assert!(levels[band] > 0.7, "{hertz} Hz: {levels:?}");
            assert!(
                levels.iter().enumerate().all(|(at, level)| at == band || *level < 0.45),
                "{hertz} Hz: {levels:?}"
            );
        }
    }

    #[test]
    fn quiet_music_moves_it_as_much_as_loud_music() {
        let level = |loud: f32| {
            let mut bands = Bands::new(48_000);
            bands.push(&tone(60.0, 1.0, loud));
            bands.push(&tone(60.0, 0.5, loud * 0.5));
            bands.levels()[0]
        };
        assert!((level(0.9) - level(0.03)).abs() < 0.01, "{} {}", level(0.9), level(0.03));
        assert!((0.4..0.6).contains(&level(0.9)), "{}", level(0.9));
    }

    #[test]
    fn silence_and_nonsense_move_nothing() {
        let mut bands = Bands::new(44_100);
        bands.push(&[0.0; 4_410]);
        bands.push(&[f32::NAN; 441]);
        assert!(bands.levels().iter().all(|level| *level == 0.0));
    }
}
