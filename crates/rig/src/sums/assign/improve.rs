//! From a packing that fits to the best one: fewest moves, then most even, then shortest leads.

use std::collections::BTreeMap;

use super::{Bundle, Problem, micro};

/// Steps of the search for the fewest moves at most.
const MOST_STEPS: u64 = 120_000;
/// Steps of the search for the most even way at most: it matters less.
const MOST_STEPS_EVEN: u64 = 25_000;
/// States remembered at most.
const MOST_REMEMBERED: usize = 30_000;

/// The best packing, and what of it is certain.
pub(super) struct Improved {
    pub(super) bins: Vec<usize>,
    pub(super) fewest_moves: bool,
    pub(super) most_even: bool,
}

/// How good a packing is; less is better, the first that differs decides.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Cost {
    moves: u32,
    /// Fullest phase, microamperes; 0 where phases do not matter.
    phase: i64,
    /// Largest share in use, millionths.
    share: i64,
    lead: i64,
}

struct Search<'p> {
    problem: &'p Problem,
    bundles: &'p [Bundle],
    rooms: &'p [i64],
    /// Planned limit and other load of each circuit, microamperes.
    limits: Vec<(i64, i64)>,
    /// Only moves are to be fewer.
    moves_alone: bool,
    most_moves: u32,
    best: Option<Cost>,
    best_bins: Vec<usize>,
    steps: u64,
    budget: u64,
    seen: BTreeMap<(usize, Vec<i64>), u32>,
}

pub(super) fn improve(problem: &Problem, bundles: &[Bundle], rooms: &[i64], start: Vec<usize>) -> Improved {
    let limits =
        problem.bins.iter().take(rooms.len()).map(|bin| (micro(bin.limit), micro(bin.other))).collect();
    let mut search = Search {
        problem,
        bundles,
        rooms,
        limits,
        moves_alone: true,
        most_moves: u32::MAX,
        best: None,
        best_bins: start.clone(),
        steps: 0,
        budget: MOST_STEPS,
        seen: BTreeMap::new(),
    };
    for candidate in [start, search.stay_where_possible()] {
        search.offer(&candidate);
    }
    let fewest_moves = search.run();
    search.polish();
    search.moves_alone = false;
    search.budget = MOST_STEPS_EVEN;
    search.most_moves = search.best.map_or(u32::MAX, |best| best.moves);
    search.steps = 0;
    let most_even = search.run();
    search.polish();
    Improved { bins: search.best_bins, fewest_moves, most_even }
}

impl Search<'_> {
    /// Everybody stays, as far as there is room; the rest where there is most.
    fn stay_where_possible(&self) -> Vec<usize> {
        let mut left = self.rooms.to_vec();
        let mut chosen = vec![usize::MAX; self.bundles.len()];
        let fewest = |bundle: &Bundle, left: &[i64]| {
            let may = (0..left.len()).filter(|bin| bundle.may(*bin) && bundle.size <= left[*bin]);
            may.min_by_key(|bin| (bundle.moves[*bin], -left[*bin]))
        };
        for (index, bundle) in self.bundles.iter().enumerate() {
            if let Some(bin) = fewest(bundle, &left) {
                left[bin] -= bundle.size;
                chosen[index] = bin;
            }
        }
        chosen
    }

    /// Takes a packing that is inside all rooms, if it is better.
    fn offer(&mut self, bins: &[usize]) -> bool {
        let mut left = self.rooms.to_vec();
        for (bundle, bin) in self.bundles.iter().zip(bins) {
            match left.get_mut(*bin) {
                Some(room) if bundle.may(*bin) => *room -= bundle.size,
                _ => return false,
            }
        }
        if left.iter().any(|room| *room < 0) {
            return false;
        }
        let cost = self.cost(bins);
        let better = cost.moves <= self.most_moves && self.best.is_none_or(|best| cost < best);
        if better {
            self.best = Some(cost);
            self.best_bins = bins.to_vec();
        }
        better
    }

    fn cost(&self, bins: &[usize]) -> Cost {
        let mut loads = vec![0_i64; self.rooms.len()];
        let (mut moves, mut lead) = (0, 0);
        for (bundle, bin) in self.bundles.iter().zip(bins) {
            loads[*bin] += bundle.size;
            moves += bundle.moves[*bin];
            lead += bundle.lead[*bin];
        }
        Cost { moves, phase: self.phase(&loads), share: self.share(&loads), lead }
    }

    fn phase(&self, loads: &[i64]) -> i64 {
        if !self.problem.even_phases {
            return 0;
        }
        let mut phases: BTreeMap<u8, i64> = BTreeMap::new();
        for ((load, bin), (_, other)) in loads.iter().zip(&self.problem.bins).zip(&self.limits) {
            if let Some(phase) = bin.phase {
                *phases.entry(phase).or_default() += load + other;
            }
        }
        phases.values().copied().max().unwrap_or(0)
    }

    fn share(&self, loads: &[i64]) -> i64 {
        let share = |(load, (limit, other)): (&i64, &(i64, i64))| {
            if *limit > 0 { ((load + other) as i128 * 1_000_000 / i128::from(*limit)) as i64 } else { 0 }
        };
        loads.iter().zip(&self.limits).map(share).max().unwrap_or(0)
    }

    /// Tries everything that can still be better; true when nothing was left out.
    fn run(&mut self) -> bool {
        self.seen.clear();
        let mut loads = vec![0; self.rooms.len()];
        let mut bins = vec![0; self.bundles.len()];
        self.place(0, &mut loads, &mut bins, (0, 0));
        self.steps < self.budget
    }

    fn place(&mut self, at: usize, loads: &mut Vec<i64>, bins: &mut Vec<usize>, so_far: (u32, i64)) {
        self.steps += 1;
        if self.steps >= self.budget || self.hopeless(at, loads, so_far) {
            return;
        }
        if at == self.bundles.len() {
            let bins = bins.clone();
            self.offer(&bins);
            return;
        }
        if self.moves_alone && self.seen.len() < MOST_REMEMBERED {
            let met = self.seen.entry((at, loads.clone())).or_insert(u32::MAX);
            if *met <= so_far.0 {
                return;
            }
            *met = so_far.0;
        }
        let bundle = &self.bundles[at];
        let mut order: Vec<usize> = (0..self.rooms.len()).filter(|bin| bundle.may(*bin)).collect();
        order
            .sort_by_key(|bin| (bundle.moves[*bin], self.after(loads, *bin, bundle.size), bundle.lead[*bin]));
        // Alike bundles go to circuits in ascending order.
        let least = if at > 0 && bundle.like(&self.bundles[at - 1]) { bins[at - 1] } else { 0 };
        for bin in order.into_iter().filter(|bin| *bin >= least) {
            if loads[bin] + bundle.size > self.rooms[bin] || self.alike_before(at, bin, loads) {
                continue;
            }
            loads[bin] += bundle.size;
            bins[at] = bin;
            self.place(at + 1, loads, bins, (so_far.0 + bundle.moves[bin], so_far.1 + bundle.lead[bin]));
            loads[bin] -= bundle.size;
        }
    }

    /// Share of a circuit with so much more on it, millionths.
    fn after(&self, loads: &[i64], bin: usize, more: i64) -> i64 {
        let (limit, other) = self.limits[bin];
        if limit > 0 {
            ((loads[bin] + other + more) as i128 * 1_000_000 / i128::from(limit)) as i64
        } else {
            0
        }
    }

    /// A circuit with a lower number that is just like this one, for everything still to be placed.
    fn alike_before(&self, at: usize, bin: usize, loads: &[i64]) -> bool {
        if at > 0 && self.bundles[at].like(&self.bundles[at - 1]) {
            return false; // their order has been made use of already
        }
        (0..bin).any(|other| {
            loads[other] == 0
                && loads[bin] == 0
                && self.rooms[other] == self.rooms[bin]
                && self.limits[other] == self.limits[bin]
                && self.problem.bins[other].phase == self.problem.bins[bin].phase
                && self.bundles[at..].iter().all(|bundle| {
                    bundle.may(other) == bundle.may(bin)
                        && bundle.moves[other] == bundle.moves[bin]
                        && bundle.lead[other] == bundle.lead[bin]
                })
        })
    }

    /// Whether nothing better can come of what is placed so far.
    fn hopeless(&self, at: usize, loads: &[i64], (moves, lead): (u32, i64)) -> bool {
        let rest = &self.bundles[at..];
        let still: i64 = rest.iter().map(|bundle| bundle.size).sum();
        let room: i64 = self.rooms.iter().zip(loads).map(|(room, load)| room - load).sum();
        if still > room {
            return true;
        }
        let moves = moves + self.moves_to_come(rest, loads);
        if moves > self.most_moves {
            return true;
        }
        let Some(best) = self.best else { return false };
        if self.moves_alone {
            return moves >= best.moves;
        }
        let lead = lead + rest.iter().map(|b| b.lead.iter().copied().min().unwrap_or(0)).sum::<i64>();
        let all: i64 =
            loads.iter().sum::<i64>() + still + self.limits.iter().map(|(_, other)| other).sum::<i64>();
        let limit: i64 = self.limits.iter().map(|(limit, _)| limit).sum();
        let even = if limit > 0 { (i128::from(all) * 1_000_000 / i128::from(limit)) as i64 } else { 0 };
        let bound = Cost { moves, phase: self.phase(loads), share: self.share(loads).max(even), lead };
        bound >= best
    }

    /// Moves that cannot be avoided any more: where too much is at home, the largest leave.
    fn moves_to_come(&self, rest: &[Bundle], loads: &[i64]) -> u32 {
        let mut sum = 0;
        for (bin, (load, room)) in loads.iter().zip(self.rooms).enumerate() {
            let home = rest.iter().filter(|bundle| bundle.may(bin) && bundle.moves[bin] == 0);
            let home = home.filter(|bundle| bundle.moves.iter().any(|moves| *moves > 0));
            let mut excess = home.clone().map(|bundle| bundle.size).sum::<i64>() + load - room;
            for bundle in home {
                if excess <= 0 {
                    break;
                }
                excess -= bundle.size;
                sum += 1;
            }
        }
        // Whoever cannot stay has to move anyway, and is in no count above.
        sum + rest.iter().map(|bundle| self.least_moves(bundle)).sum::<u32>()
    }

    fn least_moves(&self, bundle: &Bundle) -> u32 {
        (0..self.rooms.len()).filter(|bin| bundle.may(*bin)).map(|bin| bundle.moves[bin]).min().unwrap_or(0)
    }

    /// Single moves and exchanges, as long as one makes it better.
    fn polish(&mut self) {
        const MOST_ROUNDS: usize = 50;
        let count = self.bundles.len();
        for _ in 0..MOST_ROUNDS {
            let mut better = false;
            for index in 0..count {
                for bin in 0..self.rooms.len() {
                    let mut bins = self.best_bins.clone();
                    bins[index] = bin;
                    better |= self.offer(&bins);
                }
                for other in index + 1..count {
                    let mut bins = self.best_bins.clone();
                    bins.swap(index, other);
                    better |= self.offer(&bins);
                }
            }
            if !better {
                return;
            }
        }
    }
}
