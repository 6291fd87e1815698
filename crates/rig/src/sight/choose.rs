//! Which hypothesis the sights speak for: which way pan runs, whether one mark is wrong, whether a travel is not what
//! the profile says, and where the light is when nobody measured it.
//!
//! Every hypothesis is fitted from starts in closed form, and weighed by its description length: the evidence of its
//! fit, plus the price of each mark left out, each travel freed, and each piece of earlier knowledge contradicted.

use glam::{DMat3, DVec3};

use super::fit::{DEGREE, Fit, POSITION, Prior, Seen, State, descend, fit};
use super::matrix::{Column, Square, UNKNOWNS, turn_between};
use super::problem::{Mount, Problem, vector};

/// How rare wrong marks are, nats: one in fifteen.
const RARE: f64 = 2.7;
/// Density of a beam that is off by up to thirty degrees, per steradian: one over the solid angle of that cap.
const NEARBY: f64 = 1.0 / 0.841_787;
/// Squared distance between directions thirty degrees apart.
const NEARBY_CHORD: f64 = 0.267_949;
/// The same of a beam that may point anywhere: one over the whole sphere.
const ANYWHERE: f64 = 0.079_577;
/// A travel is as stated more often than not; when one is not, the other hardly is either. For so many that are freed,
/// on top of what the evidence takes for a freed scale.
const PRICE_OF_FREED: [f64; 3] = [0.0, 1.5, 0.7];
/// A travel as stated is right to within this, as a logarithm.
const STATED_SD: f64 = 0.002;
/// A travel that is not as stated.
const FREED_SD: f64 = 0.12;
/// The plan's word on how a light hangs: within this.
const MOUNT_SD: f64 = 10.0 * DEGREE;
/// It is never worth more than this, for lights do get hung another way than planned.
const MOST_FOR_MOUNT: f64 = 4.5;
/// Price of contradicting the sign check.
const PRICE_OF_SIGN: f64 = 8.0;
/// Hypotheses this much worse, nats, do not count in a mean.
const NEGLIGIBLE: f64 = 7.0;
/// Hypotheses further behind than this are not refined.
const HOPELESS: f64 = 25.0;
/// Marks that are tried as wrong, at most.
const MOST_SUSPECTS: usize = 12;

/// A fitted hypothesis with its description length.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub fit: Fit,
    /// Indices of marks left out, ascending.
    pub dropped: Vec<usize>,
    pub freed: [bool; 2],
    /// Description length, nats; less is better.
    pub score: f64,
}

/// All candidates worth naming, best first.
pub(super) fn candidates(problem: &Problem) -> Vec<Candidate> {
    let seen = problem.seen();
    let mut found = Vec::new();
    for sign in [1.0, -1.0] {
        found.extend(explore(problem, &seen, sign));
    }
    sort(&mut found);
    let best = found.first().map_or(0.0, |best| best.score);
    found.retain(|candidate| candidate.score < best + HOPELESS);
    let mut refined: Vec<Candidate> =
        found.iter().flat_map(|candidate| with_travels(problem, &seen, candidate)).collect();
    sort(&mut refined);
    drop_another(problem, &seen, &mut refined);
    refined
}

fn sort(candidates: &mut [Candidate]) {
    candidates.sort_by(|a, b| a.score.total_cmp(&b.score));
}

/// Both travels free; no mark left out, then each of them.
fn explore(problem: &Problem, seen: &[Seen], sign: f64) -> Vec<Candidate> {
    let prior = problem.prior([FREED_SD; 2]);
    let seeds = seeds(problem, seen, sign, &prior);
    let all = best_of(problem, seen, &seeds, &prior, &[]);
    // A mark can be missed when the fit of the others leaves no room for doubt, and with many marks only the
    // worst ones are suspects.
    let mut suspects: Vec<usize> = (0..seen.len()).collect();
    if let (Some(all), true) = (&all, seen.len() > MOST_SUSPECTS) {
        let off = |index: &usize| all.fit.state.squared(&seen[*index]);
        suspects.sort_by(|a, b| off(b).total_cmp(&off(a)));
        suspects.truncate(MOST_SUSPECTS);
    }
    let may_drop = seen.len() >= if problem.position.is_some() { 4 } else { 6 };
    let singles = suspects.iter().filter(|_| may_drop);
    let singles = singles.filter_map(|index| best_of(problem, seen, &seeds, &prior, &[*index]));
    all.into_iter().chain(singles).collect()
}

/// A place and a scale of pan to start from.
#[derive(Clone, Copy, Debug)]
struct Seed {
    sign: f64,
    at: DVec3,
    log_scales: [f64; 2],
}

impl Seed {
    /// The state that turns the beams best onto the marks.
    fn state(&self, kept: &[Seen]) -> State {
        let mut state = State {
            sign: self.sign,
            turn: DMat3::IDENTITY,
            offset: 0.0,
            log_scales: self.log_scales,
            at: self.at,
        };
        let pairs = kept
            .iter()
            .map(|one| (state.shines(one.sent), (one.at - self.at).normalize_or_zero()))
            .collect::<Vec<_>>();
        state.turn = turn_between(pairs.into_iter());
        state
    }
}

/// Where to start from, the most promising few.
fn seeds(problem: &Problem, seen: &[Seen], sign: f64, prior: &Prior) -> Vec<Seed> {
    let scales = [0.0, -0.13, 0.13];
    let places = match problem.position {
        Some((at, _)) => vec![vector(at)],
        None => grid(vector(problem.bounds.low), vector(problem.bounds.high)),
    };
    let mut seeds: Vec<(f64, Seed)> = Vec::new();
    for at in places {
        for log_scales in scales.map(|pan| [pan, 0.0]) {
            let seed = Seed { sign, at, log_scales };
            let state = seed.state(seen);
            seeds.push((trimmed(&state, seen), seed));
        }
    }
    seeds.sort_by(|a, b| a.0.total_cmp(&b.0));
    if problem.position.is_none() {
        seeds.truncate(16);
        // A few steps with a wide aim tell good places from lucky ones.
        for (value, seed) in &mut seeds {
            let (state, _) = descend(seed.state(seen), seen, prior, 2.0 * DEGREE, 4);
            *value = trimmed(&state, seen);
            *seed = Seed { sign, at: state.at, log_scales: state.log_scales };
        }
        seeds.sort_by(|a, b| a.0.total_cmp(&b.0));
        seeds.truncate(4);
    }
    seeds.into_iter().map(|(_, seed)| seed).collect()
}

/// Sum of squares without the worst mark, when there are enough to lose one.
fn trimmed(state: &State, seen: &[Seen]) -> f64 {
    let squares = seen.iter().map(|one| state.squared(one));
    let (sum, worst) = squares.fold((0.0, 0.0_f64), |(sum, worst), x| (sum + x, worst.max(x)));
    if seen.len() > 4 { sum - worst } else { sum }
}

/// Places spread evenly over a box.
fn grid(low: DVec3, high: DVec3) -> Vec<DVec3> {
    let mut places = Vec::new();
    for z in [0.1, 0.4, 0.7, 1.0] {
        for x in [0.0, 0.25, 0.5, 0.75, 1.0] {
            for y in [0.0, 0.25, 0.5, 0.75, 1.0] {
                places.push(low + (high - low) * DVec3::new(x, y, z));
            }
        }
    }
    places
}

/// The best fit of the marks that are kept, from all seeds.
fn best_of(
    problem: &Problem,
    seen: &[Seen],
    seeds: &[Seed],
    prior: &Prior,
    dropped: &[usize],
) -> Option<Candidate> {
    let kept = without(seen, dropped);
    let walk = |seed: &Seed| descend(seed.state(&kept), &kept, prior, DEGREE, 15);
    let mut best: Option<(State, f64)> = None;
    for (state, value) in seeds.iter().map(walk) {
        if above_floor(problem, &state) && best.is_none_or(|(_, least)| value < least) {
            best = Some((state, value));
        }
    }
    let fit = fit(best?.0, &kept, prior, 0.7 * DEGREE)?;
    Some(candidate(problem, seen, fit, dropped.to_vec(), [true; 2]))
}

fn without(seen: &[Seen], dropped: &[usize]) -> Vec<Seen> {
    let kept = seen.iter().enumerate().filter(|(index, _)| !dropped.contains(index));
    kept.map(|(_, one)| *one).collect()
}

/// The light is in the room: not below its floor.
fn above_floor(problem: &Problem, state: &State) -> bool {
    problem.position.is_some() || state.at.z > problem.bounds.low.z() - 0.1
}

/// The same hypothesis with each travel as stated or freed.
fn with_travels(problem: &Problem, seen: &[Seen], from: &Candidate) -> Vec<Candidate> {
    let kept = without(seen, &from.dropped);
    let mut found = vec![from.clone()];
    for freed in [[false, false], [true, false], [false, true]] {
        let mut state = from.fit.state;
        for (log, free) in state.log_scales.iter_mut().zip(freed) {
            *log = if free { *log } else { 0.0 };
        }
        let prior = problem.prior(freed.map(|free| if free { FREED_SD } else { STATED_SD }));
        let fitted = fit(state, &kept, &prior, from.fit.sigma);
        found.extend(
            fitted
                .filter(|fit| above_floor(problem, &fit.state))
                .map(|fit| candidate(problem, seen, fit, from.dropped.clone(), freed)),
        );
    }
    found
}

/// With enough marks, a second and a third may be wrong too: the best hypothesis is tried with one more left out, as
/// long as that pays.
fn drop_another(problem: &Problem, seen: &[Seen], found: &mut Vec<Candidate>) {
    let enough = if problem.position.is_some() { 6 } else { 7 };
    for already in 1..=3 {
        let Some(best) = found.first().filter(|best| best.dropped.len() == already).cloned() else { return };
        if seen.len() < enough + already {
            return;
        }
        let mut more = Vec::new();
        for index in (0..seen.len()).filter(|index| !best.dropped.contains(index)) {
            let mut dropped = best.dropped.clone();
            dropped.push(index);
            dropped.sort_unstable();
            let kept = without(seen, &dropped);
            let prior = problem.prior(best.freed.map(|free| if free { FREED_SD } else { STATED_SD }));
            let fitted = fit(best.fit.state, &kept, &prior, best.fit.sigma);
            more.extend(fitted.map(|fit| candidate(problem, seen, fit, dropped, best.freed)));
        }
        found.extend(more);
        sort(found);
    }
}

/// Puts the price on a fit.
fn candidate(problem: &Problem, seen: &[Seen], fit: Fit, dropped: Vec<usize>, freed: [bool; 2]) -> Candidate {
    let wrong: f64 = dropped.iter().map(|index| RARE + of_wrong(seen, *index, &fit)).sum();
    let travels = PRICE_OF_FREED[freed.iter().filter(|free| **free).count()];
    let score = fit.cost + wrong + travels + of_mount(problem, &fit.state);
    Candidate { fit, dropped, freed, score }
}

/// How a wrong mark's beam is described: a third of them are on another mark, which one is not known, a third on
/// something nearby, a third anywhere.
fn of_wrong(seen: &[Seen], wrong: usize, fit: &Fit) -> f64 {
    // The beam of the fit is itself not known better than an aim.
    let variance = 2.0 * fit.sigma * fit.sigma;
    let on = |other: &Seen| {
        let squared = fit.state.squared(&Seen { at: other.at, sent: seen[wrong].sent });
        libm::exp(-squared / (2.0 * variance)) / (std::f64::consts::TAU * variance)
    };
    let others = seen.iter().enumerate().filter(|(index, _)| *index != wrong);
    let density = others.map(|(_, other)| on(other)).sum::<f64>() / (seen.len() - 1) as f64;
    let nearby = if fit.state.squared(&seen[wrong]) < NEARBY_CHORD { NEARBY } else { 0.0 };
    -libm::log((density + nearby + ANYWHERE) / 3.0)
}

/// The price of hanging another way than was told, and of running another way than was watched.
fn of_mount(problem: &Problem, state: &State) -> f64 {
    let of = |angle: f64| (0.5 * (angle / MOUNT_SD) * (angle / MOUNT_SD)).min(MOST_FOR_MOUNT);
    let axis = state.turn.z_axis;
    let (mount, up) = match problem.mount {
        Mount::Unknown => (0.0, true),
        Mount::Leaning(lean) => {
            let leans = libm::acos(axis.z.clamp(-1.0, 1.0));
            (of(leans - lean.get()), (axis.z > 0.0) == (libm::cos(lean.get()) > 0.0))
        }
        Mount::As(planned) => {
            let planned = super::predict::matrix(planned);
            (of(nearest_turn(state.turn, planned)), axis.dot(planned.z_axis) > 0.0)
        }
    };
    // Watched from the same place, a light that is upside down turns the other way.
    let contradicts = |backwards: bool| (backwards == up) != (state.sign < 0.0);
    let sign = problem.pan_backwards.is_some_and(contradicts);
    mount + if sign { PRICE_OF_SIGN } else { 0.0 }
}

/// Angle between two frames, or with one turned by half a turn of pan (tilt running backwards), whichever is less.
fn nearest_turn(a: DMat3, b: DMat3) -> f64 {
    let angle = |trace: f64| libm::acos(((trace - 1.0) / 2.0).clamp(-1.0, 1.0));
    let (x, y, z) = (a.x_axis.dot(b.x_axis), a.y_axis.dot(b.y_axis), a.z_axis.dot(b.z_axis));
    angle(x + y + z).min(angle(z - x - y))
}

/// The mean of all hypotheses that say nearly the same as the best, each as likely as its description is short: their
/// state and the covariance of the mixture. Between a travel as stated and a travel freed, say, there is often no
/// telling, and the mean misses least.
pub(super) fn mean(best: &Candidate, all: &[Candidate]) -> (State, Square) {
    let near = |other: &&Candidate| {
        other.score < best.score + NEGLIGIBLE && !apart(&other.fit.state, &best.fit.state)
    };
    let weighed: Vec<(f64, Column, &Square)> = all
        .iter()
        .filter(near)
        .map(|other| {
            let weight = libm::exp(best.score - other.score);
            (weight, best.fit.state.step_to(&other.fit.state), &other.fit.covariance)
        })
        .collect();
    let total: f64 = weighed.iter().map(|(weight, ..)| weight).sum();
    let mut step = [0.0; UNKNOWNS];
    for (weight, away, _) in &weighed {
        step.iter_mut().zip(away).for_each(|(sum, part)| *sum += weight / total * part);
    }
    let mut covariance = [[0.0; UNKNOWNS]; UNKNOWNS];
    for (weight, away, own) in &weighed {
        for row in 0..UNKNOWNS {
            for column in 0..UNKNOWNS {
                let apart = (away[row] - step[row]) * (away[column] - step[column]);
                covariance[row][column] += weight / total * (own[row][column] + apart);
            }
        }
    }
    (best.fit.state.stepped(&step), covariance)
}

/// How likely it is that a travel is not as stated.
pub(super) fn chance_freed(axis: usize, all: &[Candidate]) -> f64 {
    let best = all.first().map_or(0.0, |best| best.score);
    let weight = |other: &Candidate| libm::exp(best - other.score);
    let freed: f64 = all.iter().filter(|other| other.freed[axis]).map(weight).sum();
    freed / all.iter().map(weight).sum::<f64>()
}

/// Does the pose of a candidate place the light where another does not?
pub(super) fn apart(a: &State, b: &State) -> bool {
    #[expect(clippy::float_cmp, reason = "signs are 1 or -1")]
    let other_way = a.sign != b.sign;
    other_way || a.at.distance(b.at) > 0.5
}

/// Index of the first position among the unknowns, for those who read a covariance.
pub(super) const AT: usize = POSITION;
