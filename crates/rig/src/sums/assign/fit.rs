//! Whether everything fits, by completing one circuit after another; and by how little it does not.

use super::Bundle;

/// Steps of one search at most.
const MOST_STEPS: u64 = 300_000;

/// A search for any packing.
pub(crate) struct Fit<'b> {
    bundles: &'b [Bundle],
    steps: u64,
    most: u64,
}

/// Where the search stands.
struct State {
    /// The circuit of each bundle so far.
    chosen: Vec<Option<usize>>,
    /// Circuits that are not completed yet, as bits.
    open: u64,
    rooms: Vec<i64>,
}

impl<'b> Fit<'b> {
    pub(crate) const fn new(bundles: &'b [Bundle]) -> Self {
        Self { bundles, steps: 0, most: MOST_STEPS }
    }

    /// Whether the last search ended before it had tried everything.
    pub(crate) const fn cut_short(&self) -> bool {
        self.steps >= self.most
    }

    /// The circuit of each bundle, if everything fits.
    pub(crate) fn pack(&mut self, rooms: &[i64]) -> Option<Vec<usize>> {
        self.steps = 0;
        if let Some(found) = greedy(self.bundles, rooms) {
            return Some(found);
        }
        if short_of_room(self.bundles, rooms).is_some() {
            return None;
        }
        let open = if rooms.is_empty() { 0 } else { u64::MAX >> (64 - rooms.len()) };
        let mut state = State { chosen: vec![None; self.bundles.len()], open, rooms: rooms.to_vec() };
        self.complete(&mut state).then(|| state.chosen.iter().map(|bin| bin.unwrap_or(0)).collect())
    }

    /// Completes the circuits that are still open.
    fn complete(&mut self, state: &mut State) -> bool {
        let left = self.left(state);
        if left.is_empty() {
            return true;
        }
        // Every bundle needs an open circuit; what all of them can waste together is known.
        let needed: i64 = left.iter().map(|index| self.bundles[*index].size).sum();
        let room: i64 = bits(state.open).map(|bin| state.rooms[bin]).sum();
        if room < needed || left.iter().any(|index| self.bundles[*index].allowed & state.open == 0) {
            return false;
        }
        // The circuit that fewest bundles can go to comes first, then the smallest.
        let suits = |bin: usize| {
            let fits = left
                .iter()
                .filter(|i| self.bundles[**i].may(bin) && self.bundles[**i].size <= state.rooms[bin]);
            (fits.count(), state.rooms[bin], bin)
        };
        let Some((_, _, bin)) = bits(state.open).map(suits).min() else { return false };
        state.open &= !(1 << bin);
        let mine: Vec<usize> = left.into_iter().filter(|index| self.bundles[*index].may(bin)).collect();
        let mut after = vec![0; mine.len() + 1];
        for (at, index) in mine.iter().enumerate().rev() {
            after[at] = after[at + 1] + self.bundles[*index].size;
        }
        let fill = Filling { bin, waste: room - needed, after, mine };
        let done = self.fill(state, &fill, 0, state.rooms[bin], None);
        if !done {
            state.open |= 1 << bin;
        }
        done
    }

    /// Decides about one bundle after another, larger first: in this circuit, or not in it.
    fn fill(
        &mut self,
        state: &mut State,
        fill: &Filling,
        at: usize,
        room: i64,
        skipped: Option<i64>,
    ) -> bool {
        self.steps += 1;
        if self.cut_short() || room - fill.after[at] > fill.waste {
            return false;
        }
        let Some(&index) = fill.mine.get(at) else {
            // A set that leaves room for one that was skipped is no better than the set with it.
            return skipped.is_none_or(|smallest| smallest > room) && self.complete(state);
        };
        let bundle = &self.bundles[index];
        // An alike one was skipped just before: taking this one instead changes nothing.
        let twin = at > 0
            && state.chosen[fill.mine[at - 1]].is_none()
            && bundle.like(&self.bundles[fill.mine[at - 1]]);
        if bundle.size <= room && !twin {
            state.chosen[index] = Some(fill.bin);
            if self.fill(state, fill, at + 1, room - bundle.size, skipped) {
                return true;
            }
            state.chosen[index] = None;
        }
        if bundle.allowed & state.open == 0 {
            return false; // it can go nowhere else any more
        }
        let skipped =
            if bundle.size > 0 { Some(skipped.map_or(bundle.size, |s| s.min(bundle.size))) } else { skipped };
        self.fill(state, fill, at + 1, room, skipped)
    }

    fn left(&self, state: &State) -> Vec<usize> {
        (0..self.bundles.len()).filter(|index| state.chosen[*index].is_none()).collect()
    }
}

/// One circuit that is being completed.
struct Filling {
    bin: usize,
    /// What may be left empty in it at most.
    waste: i64,
    /// Sum of the bundles from each place on.
    after: Vec<i64>,
    /// Bundles that may go to it, larger first.
    mine: Vec<usize>,
}

/// The numbers of the bits that are set, ascending.
fn bits(set: u64) -> impl Iterator<Item = usize> + Clone {
    (0..64).filter(move |bin| set & (1 << bin) != 0)
}

/// Fewest choices first, then largest; each where it leaves least room. Quick, and often enough.
fn greedy(bundles: &[Bundle], rooms: &[i64]) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..bundles.len()).collect();
    order.sort_by_key(|index| (bundles[*index].allowed.count_ones(), -bundles[*index].size));
    let mut left = rooms.to_vec();
    let mut chosen = vec![0; bundles.len()];
    for index in order {
        let fits = |bin: &usize| bundles[index].may(*bin) && bundles[index].size <= left[*bin];
        let bin = (0..rooms.len()).filter(fits).min_by_key(|bin| left[*bin])?;
        left[bin] -= bundles[index].size;
        chosen[index] = bin;
    }
    Some(chosen)
}

/// Sets of circuits that some bundles cannot leave: those bundles' sum over the room there, the largest lack first found.
/// `(sum, room, circuits)`.
fn short_of_room(bundles: &[Bundle], rooms: &[i64]) -> Option<(i64, i64, usize)> {
    let mut sets: Vec<u64> = bundles.iter().map(|bundle| bundle.allowed).collect();
    sets.sort_unstable();
    sets.dedup();
    let unions: Vec<u64> = sets.iter().flat_map(|a| sets.iter().map(move |b| a | b)).collect();
    let all = sets.iter().fold(0, |all, set| all | set);
    let mut worst: Option<(i64, i64, usize)> = None;
    for set in unions.into_iter().chain([all]) {
        let sum: i64 = bundles.iter().filter(|b| b.allowed & !set == 0).map(|b| b.size).sum();
        let room: i64 = bits(set).filter(|bin| *bin < rooms.len()).map(|bin| rooms[bin]).sum();
        let lack = sum - room;
        if lack > 0 && worst.is_none_or(|(sum, room, _)| lack > sum - room) {
            worst = Some((sum, room, set.count_ones() as usize));
        }
    }
    worst
}

/// Why it does not fit.
pub(super) fn proof(bundles: &[Bundle], rooms: &[i64], settled: bool) -> String {
    let amps = |micro: i64| micro as f64 / 1e6;
    if let Some((sum, room, count)) = short_of_room(bundles, rooms) {
        let noun = if count == 1 { "circuit" } else { "circuits" };
        return format!(
            "{:.2} A have only {count} {noun} to go to, with {:.2} A left together: {:.2} A too much",
            amps(sum),
            amps(room),
            amps(sum - room)
        );
    }
    let largest =
        bundles.iter().find(|b| bits(b.allowed).all(|bin| rooms.get(bin).is_none_or(|r| b.size > *r)));
    if let Some(bundle) = largest {
        return format!(
            "{:.2} A in one piece are more than any circuit that it reaches has left",
            amps(bundle.size)
        );
    }
    if settled {
        "the sum would fit, but no way of dividing the lights does: every one was tried".to_owned()
    } else {
        "no way was found before the search was cut short; there may be one".to_owned()
    }
}

/// Rooms raised so that everything fits, with as few circuits raised as possible and those by as little as possible; and
/// by how much, microamperes in all.
pub(super) fn least_over(bundles: &[Bundle], rooms: &[i64]) -> (Vec<i64>, i64) {
    let total: i64 = bundles.iter().map(|bundle| bundle.size).sum();
    let raised = |set: u64, by: i64| -> Vec<i64> {
        rooms
            .iter()
            .enumerate()
            .map(|(bin, room)| room + if set & (1 << bin) != 0 { by } else { 0 })
            .collect()
    };
    let fits = |set: u64, by: i64| {
        let mut fit = Fit::new(bundles);
        fit.most = 8_000;
        fit.pack(&raised(set, by)).is_some()
    };
    for count in 1..=rooms.len() as u32 {
        let sets = (1..1_u64 << rooms.len().min(12)).filter(|set| set.count_ones() == count);
        let mut best: Option<(i64, u64)> = None;
        for set in sets.filter(|set| fits(*set, total)).take(64) {
            let (mut low, mut high) = (0, best.map_or(total, |(by, _)| by));
            if best.is_some() && !fits(set, high - 1) {
                continue;
            }
            while high - low > 1000 {
                let middle = low + (high - low) / 2;
                if fits(set, middle) { high = middle } else { low = middle }
            }
            best = Some((high, set));
        }
        if let Some((by, set)) = best {
            return (raised(set, by), by * i64::from(count));
        }
    }
    (rooms.iter().map(|room| room + total).collect(), total)
}

/// The fewest lights, then the smallest, without which the rest fits; empty when more than three are needed.
pub(super) fn leave_out(bundles: &[Bundle], rooms: &[i64]) -> Vec<usize> {
    /// Sets tried of each size at most.
    const MOST_SETS: usize = 4000;
    let count = bundles.len();
    let all = (0..count).rev();
    let ones: Vec<Vec<usize>> = all.clone().map(|a| vec![a]).collect();
    let twos: Vec<Vec<usize>> = all.clone().flat_map(|a| (a + 1..count).map(move |b| vec![a, b])).collect();
    let threes =
        all.flat_map(|a| (a + 1..count).flat_map(move |b| (b + 1..count).map(move |c| vec![a, b, c])));
    let threes: Vec<Vec<usize>> = threes.take(MOST_SETS).collect();
    for mut sets in [ones, twos, threes] {
        sets.sort_by_key(|set| set.iter().map(|index| bundles[*index].size).sum::<i64>());
        let mut tried: Vec<Vec<i64>> = Vec::new();
        for set in sets.into_iter().take(MOST_SETS) {
            let sizes: Vec<i64> = set.iter().map(|i| bundles[*i].size).collect();
            let free = set.iter().all(|i| bundles[*i].allowed.count_ones() as usize == rooms.len());
            if free && tried.contains(&sizes) {
                continue; // an alike set did not help
            }
            let rest: Vec<Bundle> = bundles
                .iter()
                .enumerate()
                .filter(|(i, _)| !set.contains(i))
                .map(|(_, b)| b.clone())
                .collect();
            let mut fit = Fit::new(&rest);
            fit.most = 2000;
            if fit.pack(rooms).is_some() {
                return set.iter().flat_map(|index| bundles[*index].members.clone()).collect();
            }
            if free {
                tried.push(sizes);
            }
        }
    }
    Vec::new()
}
