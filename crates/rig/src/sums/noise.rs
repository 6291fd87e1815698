//! Fans, heard from a seat.

/// A fan nearer than this is not heard louder than from here: the formula is for a small source in the open.
pub const NEAREST_M: f64 = 0.3;
/// Height of the ears of a person who sits, above the floor (common practice, no source).
pub const EAR_M: f64 = 1.2;
/// Where the formulas stand.
pub const SOURCE: &str =
    "textbook acoustics: free field of a point source, powers add; a room with hard walls is louder";

/// Levels of separate sources add as powers: 10 log10 Σ 10^(L/10), in dBA. None without a source.
pub fn sum(levels: impl IntoIterator<Item = f64>) -> Option<f64> {
    let power: f64 = levels.into_iter().map(|level| libm::exp10(level / 10.0)).sum();
    (power > 0.0).then(|| 10.0 * libm::log10(power))
}

/// A level of 1 m, heard from `distance_m`: L − 20 log10 d.
pub fn at_distance(level_at_1_m: f64, distance_m: f64) -> f64 {
    level_at_1_m - 20.0 * libm::log10(distance_m.max(NEAREST_M))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_add_and_fall_as_published() {
        // 62 + 73 = 73.3, 90 + 96 = 97, 75 + 80 = 81.2 (textbook exercises on two public pages).
        for (levels, total) in [([62.0, 73.0], 73.3), ([90.0, 96.0], 97.0), ([75.0, 80.0], 81.2)] {
            assert!((sum(levels).unwrap() - total).abs() < 0.05);
        }
        // Equal sources: 2 are 3 dB more, 4 are 6, 10 are 10; twice as far is 6 dB less (textbook).
        for (count, more) in [(2, 3.01), (4, 6.02), (10, 10.0)] {
            assert!((sum(vec![40.0; count]).unwrap() - 40.0 - more).abs() < 0.005);
        }
        assert!((at_distance(50.0, 4.0) - 37.96).abs() < 0.005);
        assert!((at_distance(50.0, 2.0) - 43.98).abs() < 0.005);
        assert_eq!(sum([]), None);
    }
}
