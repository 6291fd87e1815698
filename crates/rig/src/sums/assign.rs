//! Which light on which circuit, by exact search.
//!
//! Wanted, in this order: as few circuits over their room as possible (none, where it can be); as few lights moved from
//! where they are as possible; the phases even, where that is asked; the fullest circuit as empty as possible; short leads.
//! Whether everything fits is settled by completing one circuit after another (bin completion): of all sets of lights that
//! leave no room for a further one, with no more waste than the whole can afford. Currents are counted in whole
//! microamperes, so that no rounding decides. A search that would take too long ends after a fixed number of steps and says
//! that it did; the same problem always gives the same answer.

mod fit;
mod improve;
#[cfg(test)]
mod tests;

pub(crate) use fit::Fit;

/// One light, or several that are fed as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its current, amperes, 0 or more.
    pub amps: f64,
    /// The circuit that it is on today.
    pub now: Option<usize>,
    /// Metres of lead to each circuit; none: cannot be reached. Empty: all can be, lengths not known.
    pub leads: Vec<Option<f64>>,
    /// It must be on this one.
    pub fixed: Option<usize>,
    /// Lights with the same number here are fed together.
    pub together: Option<usize>,
}

impl Item {
    /// A light that may be anywhere.
    pub const fn free(amps: f64) -> Self {
        Self { amps, now: None, leads: Vec::new(), fixed: None, together: None }
    }
}

/// A circuit, as far as its room goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bin {
    /// What may be used continuously, less what hangs on it already; amperes. Below zero counts as nothing.
    pub room: f64,
    /// The planned limit that a share is counted of, and what else hangs on it.
    pub limit: f64,
    /// What else hangs on it.
    pub other: f64,
    /// The phase that it is on, from 1.
    pub phase: Option<u8>,
}

/// Lights and circuits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Problem {
    /// The lights.
    pub items: Vec<Item>,
    /// The circuits.
    pub bins: Vec<Bin>,
    /// Phases are to be even.
    pub even_phases: bool,
}

/// Who goes where.
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment {
    /// The circuit of each light; none for a light that reaches none.
    pub bins: Vec<Option<usize>>,
    /// Current of the lights on each circuit.
    pub amps: Vec<f64>,
    /// Circuits over their room.
    pub over: Vec<usize>,
    /// Lights that leave the circuit that they are on today.
    pub moved: Vec<usize>,
    /// Largest share of a planned limit in use, other load counted.
    pub worst_share: f64,
    /// Sum of the leads that are known.
    pub lead_m: f64,
}

/// What the search found.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Everything is inside its room.
    pub fits: bool,
    /// The best way found, over the limit or not.
    pub best: Assignment,
    /// When it does not fit: amperes that the fewest circuits are over by, at the least.
    pub short_by: f64,
    /// When it does not fit: why that is certain, in words; or that the search was cut short.
    pub proof: String,
    /// Whether it fits, or does not, is certain.
    pub settled: bool,
    /// That no fewer lights need to move is certain.
    pub fewest_moves: bool,
    /// That it cannot be more even is certain.
    pub most_even: bool,
    /// The fewest lights to leave out so that the rest fits, as far as up to three do it.
    pub leave_out: Vec<usize>,
}

/// Amperes in whole microamperes.
fn micro(amps: f64) -> i64 {
    const MOST: f64 = 1e12;
    (amps * 1e6).round().clamp(-MOST, MOST) as i64
}

/// Lights that are fed as one.
#[derive(Clone, Debug)]
pub(crate) struct Bundle {
    members: Vec<usize>,
    size: i64,
    /// Circuits that it may go to, as bits.
    allowed: u64,
    /// Lights moved if it goes to each circuit.
    moves: Vec<u32>,
    /// Lead to each circuit, millimetres.
    lead: Vec<i64>,
}

/// Most circuits.
pub const MOST_BINS: usize = 60;

/// Solves it. More than [`MOST_BINS`] circuits: the later ones are left alone.
pub fn assign(problem: &Problem) -> Answer {
    let bins = problem.bins.len().min(MOST_BINS);
    let (bundles, lost) = bundles(problem, bins);
    let rooms: Vec<i64> = problem.bins[..bins].iter().map(|bin| micro(bin.room).max(0)).collect();
    let mut answer = settle(problem, &bundles, &rooms);
    if !lost.is_empty() {
        answer.fits = false;
        let count = lost.len();
        let noun = if count == 1 { "light reaches" } else { "lights reach" };
        answer.proof = format!("{count} {noun} no circuit");
        answer.settled = true;
        answer.leave_out = lost;
    }
    answer
}

/// Lights fed together as one, largest first; and lights that reach no circuit.
fn bundles(problem: &Problem, bins: usize) -> (Vec<Bundle>, Vec<usize>) {
    let mut list: Vec<(Option<usize>, Bundle)> = Vec::new();
    let all: u64 = if bins == 0 { 0 } else { u64::MAX >> (64 - bins) };
    for (index, item) in problem.items.iter().enumerate() {
        let reach = |bin: usize| item.leads.is_empty() || item.leads.get(bin).is_some_and(Option::is_some);
        let mut allowed = (0..bins).filter(|bin| reach(*bin)).fold(0, |bits, bin| bits | 1 << bin);
        if let Some(fixed) = item.fixed {
            allowed = if fixed < bins { all & (1 << fixed) } else { 0 };
        }
        let moves = (0..bins).map(|bin| u32::from(item.now.is_some_and(|now| now != bin))).collect();
        let metres = |bin: usize| item.leads.get(bin).copied().flatten().unwrap_or(0.0);
        let lead = (0..bins).map(|bin| (metres(bin).clamp(0.0, 1e6) * 1000.0).round() as i64).collect();
        let one = Bundle { members: vec![index], size: micro(item.amps.max(0.0)), allowed, moves, lead };
        let same = list.iter_mut().find(|(group, _)| group.is_some() && *group == item.together);
        match same {
            Some((_, bundle)) => bundle.join(one),
            None => list.push((item.together, one)),
        }
    }
    let (kept, lost): (Vec<Bundle>, Vec<Bundle>) =
        list.into_iter().map(|(_, bundle)| bundle).partition(|bundle| bundle.allowed != 0);
    let mut kept = kept;
    // Largest first; alike ones beside each other, so that exchanging them is not tried.
    kept.sort_by(|a, b| {
        b.size
            .cmp(&a.size)
            .then_with(|| a.allowed.cmp(&b.allowed))
            .then_with(|| a.moves.cmp(&b.moves))
            .then_with(|| (&a.lead, &a.members).cmp(&(&b.lead, &b.members)))
    });
    (kept, lost.into_iter().flat_map(|bundle| bundle.members).collect())
}

impl Bundle {
    fn join(&mut self, other: Self) {
        self.members.extend(other.members);
        self.size += other.size;
        self.allowed &= other.allowed;
        self.moves.iter_mut().zip(other.moves).for_each(|(mine, more)| *mine += more);
        self.lead.iter_mut().zip(other.lead).for_each(|(mine, more)| *mine += more);
    }

    fn may(&self, bin: usize) -> bool {
        self.allowed & (1 << bin) != 0
    }

    /// Whether exchanging it for the other changes nothing.
    fn like(&self, other: &Self) -> bool {
        self.size == other.size
            && self.allowed == other.allowed
            && self.moves == other.moves
            && self.lead == other.lead
    }
}

fn settle(problem: &Problem, bundles: &[Bundle], rooms: &[i64]) -> Answer {
    let mut fit = Fit::new(bundles);
    let found = fit.pack(rooms);
    let settled = found.is_some() || !fit.cut_short();
    let (rooms, short_by, proof, leave_out) = match &found {
        Some(_) => (rooms.to_vec(), 0.0, String::new(), Vec::new()),
        None => {
            let proof = fit::proof(bundles, rooms, settled);
            let (raised, short_by) = fit::least_over(bundles, rooms);
            (raised, short_by as f64 / 1e6, proof, fit::leave_out(bundles, rooms))
        }
    };
    let start = found.or_else(|| Fit::new(bundles).pack(&rooms));
    let start =
        start.unwrap_or_else(|| bundles.iter().map(|b| b.allowed.trailing_zeros() as usize).collect());
    let improved = improve::improve(problem, bundles, &rooms, start);
    Answer {
        fits: short_by <= 0.0 && proof.is_empty(),
        best: told(problem, bundles, &improved.bins),
        short_by,
        proof,
        settled,
        fewest_moves: improved.fewest_moves,
        most_even: improved.most_even,
        leave_out,
    }
}

/// The bundles' circuits as a person reads them.
fn told(problem: &Problem, bundles: &[Bundle], chosen: &[usize]) -> Assignment {
    let mut bins = vec![None; problem.items.len()];
    for (bundle, bin) in bundles.iter().zip(chosen) {
        for member in &bundle.members {
            bins[*member] = Some(*bin);
        }
    }
    let mut amps = vec![0.0; problem.bins.len()];
    let mut load = vec![0_i64; problem.bins.len()];
    let mut lead_m = 0.0;
    for (item, bin) in problem.items.iter().zip(&bins) {
        let Some(bin) = *bin else { continue };
        amps[bin] += item.amps;
        load[bin] += micro(item.amps.max(0.0));
        lead_m += item.leads.get(bin).copied().flatten().unwrap_or(0.0);
    }
    let over = |(index, bin): (usize, &Bin)| {
        (load[index] > 0 && load[index] > micro(bin.room).max(0)).then_some(index)
    };
    let share = |(amps, bin): (&f64, &Bin)| {
        if bin.limit > 0.0 { (amps + bin.other) / bin.limit } else { 0.0 }
    };
    let moved =
        |(item, bin): (&Item, &Option<usize>)| bin.is_some() && item.now.is_some() && item.now != *bin;
    Assignment {
        over: problem.bins.iter().enumerate().filter_map(over).collect(),
        moved: (0..bins.len()).filter(|index| moved((&problem.items[*index], &bins[*index]))).collect(),
        worst_share: amps.iter().zip(&problem.bins).map(share).fold(0.0, f64::max),
        lead_m,
        bins,
        amps,
    }
}
