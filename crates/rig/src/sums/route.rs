//! The shortest way of a line: from the controller past every light, ending at any.

/// Up to so many lights the answer is exact.
pub const EXACT: usize = 12;

/// An order and what it needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Indices of the lights, in the order of the cable.
    pub order: Vec<usize>,
    /// Sum of its steps.
    pub length: f64,
    /// `true`: no order is shorter.
    pub exact: bool,
}

/// Length of an order: from the start to its first, and on; without a start, from its first on.
pub fn length(from_start: Option<&[f64]>, between: &[Vec<f64>], order: &[usize]) -> f64 {
    let first = from_start.zip(order.first()).map_or(0.0, |(from, first)| from[*first]);
    first + order.windows(2).map(|pair| between[pair[0]][pair[1]]).sum::<f64>()
}

/// The shortest order. `from_start[i]` is the way from the controller to light `i` (none: it may start anywhere),
/// `between[i][j]` that from light to light, the same both ways. Exact for up to [`EXACT`] lights (dynamic programming over
/// sets, Held and Karp 1962); beyond, the best of several nearest-neighbour orders, each made shorter by turning stretches
/// round and moving short ones until neither helps.
pub fn shortest(from_start: Option<&[f64]>, between: &[Vec<f64>]) -> Order {
    let count = between.len();
    let order = if count <= EXACT { by_sets(from_start, between) } else { by_exchange(from_start, between) };
    Order { length: length(from_start, between, &order), order, exact: count <= EXACT }
}

fn by_sets(from_start: Option<&[f64]>, between: &[Vec<f64>]) -> Vec<usize> {
    let count = between.len();
    if count == 0 {
        return Vec::new();
    }
    let sets = 1_usize << count;
    // cost[set][last]: shortest way through the set that ends at `last`.
    let mut cost = vec![vec![f64::INFINITY; count]; sets];
    let mut before = vec![vec![usize::MAX; count]; sets];
    for last in 0..count {
        cost[1 << last][last] = from_start.map_or(0.0, |from| from[last]);
    }
    for set in 1..sets {
        for last in (0..count).filter(|last| set & (1 << last) != 0) {
            let so_far = cost[set][last];
            for next in (0..count).filter(|next| set & (1 << next) == 0) {
                let with = set | 1 << next;
                let way = so_far + between[last][next];
                if way < cost[with][next] {
                    cost[with][next] = way;
                    before[with][next] = last;
                }
            }
        }
    }
    let mut set = sets - 1;
    let mut last = (0..count).min_by(|a, b| cost[set][*a].total_cmp(&cost[set][*b])).unwrap_or(0);
    let mut order = vec![last];
    while before[set][last] != usize::MAX {
        let earlier = before[set][last];
        set &= !(1 << last);
        last = earlier;
        order.push(last);
    }
    order.reverse();
    order
}

fn by_exchange(from_start: Option<&[f64]>, between: &[Vec<f64>]) -> Vec<usize> {
    /// Beginnings tried: the lights nearest to the controller.
    const BEGINNINGS: usize = 12;
    let mut firsts: Vec<usize> = (0..between.len()).collect();
    if let Some(from) = from_start {
        firsts.sort_by(|a, b| from[*a].total_cmp(&from[*b]));
    }
    let tries = firsts.into_iter().take(BEGINNINGS).map(|first| {
        let mut order = nearest_next(first, between);
        while turn_stretches(from_start, between, &mut order)
            || move_stretches(from_start, between, &mut order)
        {}
        order
    });
    tries
        .min_by(|a, b| length(from_start, between, a).total_cmp(&length(from_start, between, b)))
        .unwrap_or_default()
}

fn nearest_next(first: usize, between: &[Vec<f64>]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..between.len()).filter(|index| *index != first).collect();
    let mut order = vec![first];
    let mut here = first;
    while let Some(at) =
        (0..left.len()).min_by(|a, b| between[here][left[*a]].total_cmp(&between[here][left[*b]]))
    {
        here = left.remove(at);
        order.push(here);
    }
    order
}

/// Shorter by less than this is rounding.
const GAIN: f64 = 1e-9;

/// Way between two places of an order, one of which may be the start or beyond the end.
fn step(
    from_start: Option<&[f64]>,
    between: &[Vec<f64>],
    order: &[usize],
    a: Option<usize>,
    b: usize,
) -> f64 {
    match (a, order.get(b)) {
        (_, None) => 0.0,
        (None, Some(to)) => from_start.map_or(0.0, |from| from[*to]),
        (Some(a), Some(to)) => between[order[a]][*to],
    }
}

/// Turns one stretch round if that is shorter (2-opt).
fn turn_stretches(from_start: Option<&[f64]>, between: &[Vec<f64>], order: &mut [usize]) -> bool {
    for from in 0..order.len() {
        for to in from + 1..order.len() {
            let before = from.checked_sub(1);
            let old = step(from_start, between, order, before, from)
                + step(from_start, between, order, Some(to), to + 1);
            let joined = match before {
                Some(before) => between[order[before]][order[to]],
                None => from_start.map_or(0.0, |start| start[order[to]]),
            };
            let new = joined + order.get(to + 1).map_or(0.0, |next| between[order[from]][*next]);
            if new + GAIN < old {
                order[from..=to].reverse();
                return true;
            }
        }
    }
    false
}

/// Moves one stretch of one to three lights elsewhere, either way round, if that is shorter (or-opt).
fn move_stretches(from_start: Option<&[f64]>, between: &[Vec<f64>], order: &mut Vec<usize>) -> bool {
    // From one light to another, either of which may be the start or beyond the end.
    let gap = |a: Option<usize>, b: Option<usize>| match (a, b) {
        (_, None) => 0.0,
        (None, Some(to)) => from_start.map_or(0.0, |from| from[to]),
        (Some(a), Some(b)) => between[a][b],
    };
    for long in 1..=3.min(order.len().saturating_sub(1)) {
        for from in 0..=order.len() - long {
            let mut rest = order.clone();
            let stretch: Vec<usize> = rest.drain(from..from + long).collect();
            let (first, last) = (stretch[0], stretch[long - 1]);
            let at = |place: Option<usize>| place.and_then(|place| rest.get(place).copied());
            let (before, after) = (at(from.checked_sub(1)), at(Some(from)));
            let won = gap(before, Some(first)) + gap(Some(last), after) - gap(before, after);
            for to in 0..=rest.len() {
                let (before, after) = (at(to.checked_sub(1)), at(Some(to)));
                for (head, tail) in [(first, last), (last, first)] {
                    let cost = gap(before, Some(head)) + gap(Some(tail), after) - gap(before, after);
                    if cost + GAIN < won {
                        let turned = head != first;
                        let piece: Vec<usize> =
                            if turned { stretch.iter().rev().copied().collect() } else { stretch.clone() };
                        rest.splice(to..to, piece);
                        *order = rest;
                        return true;
                    }
                }
            }
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ways(points: &[(f64, f64)]) -> (Vec<f64>, Vec<Vec<f64>>) {
        let far = |a: (f64, f64), b: (f64, f64)| libm::hypot(a.0 - b.0, a.1 - b.1);
        let start = points.iter().map(|point| far((0.0, 0.0), *point)).collect();
        (start, points.iter().map(|a| points.iter().map(|b| far(*a, *b)).collect()).collect())
    }

    /// Every order.
    fn by_brute_force(from: &[f64], between: &[Vec<f64>]) -> f64 {
        fn on(between: &[Vec<f64>], here: usize, left: &[usize]) -> f64 {
            let next = |to: &usize| {
                let rest: Vec<usize> = left.iter().copied().filter(|other| other != to).collect();
                between[here][*to] + on(between, *to, &rest)
            };
            if left.is_empty() { 0.0 } else { left.iter().map(next).fold(f64::INFINITY, f64::min) }
        }
        let all: Vec<usize> = (0..between.len()).collect();
        let first = |to: &usize| {
            let rest: Vec<usize> = all.iter().copied().filter(|other| other != to).collect();
            from[*to] + on(between, *to, &rest)
        };
        all.iter().map(first).fold(f64::INFINITY, f64::min)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn no_order_is_shorter(points in prop::collection::vec((0.0..20.0_f64, 0.0..12.0_f64), 1..8)) {
            let (from, between) = ways(&points);
            let found = shortest(Some(&from), &between);
            prop_assert!(found.exact);
            prop_assert!((found.length - by_brute_force(&from, &between)).abs() < 1e-9);
        }

        #[test]
        fn exchanging_comes_within_five_percent(points in prop::collection::vec((0.0..20.0_f64, 0.0..12.0_f64), 12)) {
            let (from, between) = ways(&points);
            let exact = length(Some(&from), &between, &by_sets(Some(&from), &between));
            let quick = length(Some(&from), &between, &by_exchange(Some(&from), &between));
            prop_assert!(quick <= exact * 1.05 + 1e-9, "{quick} of {exact}");
        }
    }

    #[test]
    fn nine_lights_by_brute_force_and_many_along_a_bar() {
        let points: Vec<(f64, f64)> =
            (0..8).map(|n| (f64::from(n * 7 % 9) * 1.7, f64::from(n * 5 % 8) * 1.3)).collect();
        let (from, between) = ways(&points);
        assert!((shortest(Some(&from), &between).length - by_brute_force(&from, &between)).abs() < 1e-9);
        // Forty along a bar, numbered every which way: from one end to the other.
        let bar: Vec<(f64, f64)> = (0..40).map(|n| (f64::from(n * 17 % 40) * 0.5 + 1.0, 0.0)).collect();
        let (from, between) = ways(&bar);
        let found = shortest(Some(&from), &between);
        assert!((found.length - 20.5).abs() < 1e-9, "{}", found.length);
        assert!(shortest(None, &[]).order.is_empty());
        assert!((shortest(None, &between).length - 19.5).abs() < 1e-9);
    }
}
