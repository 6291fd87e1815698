//! Cables as they are sold: which length for which way, how many to carry.

use std::collections::BTreeMap;

/// Lengths that cables are usually sold in, metres (common practice, no source).
pub const USUAL_M: &[f64] = &[1.5, 3.0, 5.0, 10.0, 15.0, 20.0];
/// Slack of a tenth, and half a metre at each end to plug in (common practice, no source).
pub const SLACK: f64 = 1.1;
/// See [`SLACK`].
pub const AT_BOTH_ENDS_M: f64 = 1.0;
/// How cables are counted.
pub const SPARE_RULE: &str = "a tenth more, rounded up, and one (common practice, no source)";

/// A way with slack, metres: a tenth more and a metre for both ends.
pub fn with_slack(way_m: f64) -> f64 {
    way_m * SLACK + AT_BOTH_ENDS_M
}

/// Cables for one way: the shortest of the stock that is long enough, or several of the longest and one more joined to them.
/// Empty for a stock without a usable length.
pub fn pick(need_m: f64, stock: &[f64]) -> Vec<f64> {
    let mut lengths: Vec<f64> = stock.iter().copied().filter(|length| *length > 0.0).collect();
    lengths.sort_by(f64::total_cmp);
    let Some(&longest) = lengths.last() else { return Vec::new() };
    let mut cables = Vec::new();
    let mut left = need_m.clamp(0.0, 10_000.0);
    while left > longest + 1e-9 {
        cables.push(longest);
        left -= longest;
    }
    cables.extend(
        lengths
            .iter()
            .find(|length| **length + 1e-9 >= left)
            .copied()
            .filter(|_| left > 1e-9 || cables.is_empty()),
    );
    cables
}

/// So many of each length, shortest first: metres and how many.
pub fn count(cables: &[f64]) -> Vec<(f64, usize)> {
    let mut by_length: BTreeMap<u64, usize> = BTreeMap::new();
    for cable in cables {
        *by_length.entry((cable * 1000.0).round() as u64).or_default() += 1;
    }
    by_length.into_iter().map(|(millimetres, count)| (millimetres as f64 / 1000.0, count)).collect()
}

/// How many more to carry: a tenth, rounded up, and one; nothing for nothing.
pub const fn spares(count: usize) -> usize {
    if count == 0 { 0 } else { count.div_ceil(10) + 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cables_are_long_enough_and_no_longer_than_they_need_be() {
        for (need, cables) in [
            (0.0, vec![1.5]),
            (1.5, vec![1.5]),
            (1.6, vec![3.0]),
            (9.0, vec![10.0]),
            (20.0, vec![20.0]),
            (21.0, vec![20.0, 1.5]),
            (47.0, vec![20.0, 20.0, 10.0]),
            (40.0, vec![20.0, 20.0]),
        ] {
            assert_eq!(pick(need, USUAL_M), cables, "{need}");
        }
        assert_eq!(pick(3.0, &[]), [] as [f64; 0]);
        assert_eq!(count(&[3.0, 1.5, 3.0]), [(1.5, 1), (3.0, 2)]);
        assert_eq!([0, 1, 10, 11].map(spares), [0, 2, 2, 3]);
        assert!((with_slack(10.0) - 12.0).abs() < 1e-12);
    }
}
