//! From sights to a pose, or to what is still missing.

use lanthorn_physics::Point;
use lanthorn_physics::units::{Metres, Radians};

use super::choose::{AT, Candidate, apart, candidates, chance_freed, mean};
use super::fit::{DEGREE, SCALES, State};
use super::matrix::Square;
use super::predict::{after_sighting, floor, matrix, mean_squared, miss_covariance, radius_95};
use super::problem::{Bounds, Mount, Problem, point, vector};
use super::{Pose, Sent};

/// A rival that is less than this much worse, nats, cannot be excluded: one chance in twenty.
const RIVAL: f64 = 3.0;
/// Half of the floor missed by more than this says nothing yet, metres.
const VAGUE: f64 = 4.0;
/// A way whose expected miss is no more than this times the least is hardly less sure.
const HARDLY_LESS: f64 = 1.03;
/// Marks closer than this are one mark twice.
const SAME_MARK: Metres = Metres::new(0.15);
/// Beams that differ by less, as sent, are one beam twice.
const SAME_BEAM: f64 = 0.7 * DEGREE;

/// What the sights say about a light.
#[derive(Clone, Debug)]
pub struct Solved {
    /// Where it hangs and how its axes run.
    pub pose: Pose,
    /// How far the solved beam passes from each mark, in the order of the sights.
    pub misses: Vec<Miss>,
    /// What was found about the travels of pan and tilt.
    pub travels: [Travel; 2],
    /// Standard deviation of one aim, across the beam, each way.
    pub sigma: Radians,
    /// Standard deviation of the position along x, y and z.
    pub position_sd: [Metres; 3],
    /// Another solution, with pan running the other way or from another place, fits about as well.
    pub twin: bool,
    state: State,
    covariance: Square,
    stated: [Radians; 2],
    bounds: Bounds,
}

/// How one mark fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miss {
    /// Distance of the mark from the solved beam.
    pub off: Metres,
    /// It does not fit the others and was left out.
    pub wrong: bool,
}

/// What was found about a travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// It is not what the profile says.
    pub freed: bool,
    /// True travel over the profile's.
    pub scale: f64,
    /// Standard deviation of `scale`.
    pub sd: f64,
}

/// A mark with the size of the light's spot there.
#[derive(Clone, Debug, PartialEq)]
pub struct SpotAt {
    /// The mark's name.
    pub name: String,
    /// Where it is.
    pub at: Point,
    /// Radius of the spot there; none: not known.
    pub radius: Option<Metres>,
}

/// What is missing before a light can be solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotYet {
    /// A number makes no sense.
    #[error("{0}")]
    Wrong(String),
    /// So many different marks are there, so many are needed.
    #[error("{have} different marks are sighted, {need} are needed")]
    TooFew {
        /// Different ones sighted.
        have: usize,
        /// Different ones needed.
        need: usize,
        /// Two would do if the sign check had been made.
        sign_check_helps: bool,
    },
    /// The marks lie too near each other, in one line with each other, or too near the light.
    #[error(
        "the marks do not pin the light down: they lie too near each other, in one line, or at the light itself"
    )]
    Vague,
}

/// Solves where a light hangs and how its axes run.
///
/// Known position: three different marks, or two after the sign check. Unknown position: four.
///
/// # Errors
/// [`NotYet`] when there are too few marks, when they do not pin the light down, or when a number makes no sense.
pub fn solve(problem: &Problem) -> Result<Solved, NotYet> {
    problem.check()?;
    let have = different(problem);
    let sign_check_helps = problem.position.is_some() && problem.pan_backwards.is_none();
    let need = match (problem.position, problem.pan_backwards) {
        (None, _) => 4,
        (Some(_), None) => 3,
        (Some(_), Some(_)) => 2,
    };
    if have < need {
        return Err(NotYet::TooFew { have, need, sign_check_helps: sign_check_helps && have == 2 });
    }
    let found = candidates(problem);
    let best = found.first().ok_or(NotYet::Vague)?;
    let solved = Solved::new(problem, best, &found);
    let mut errors: Vec<f64> =
        floor(problem.bounds).iter().filter_map(|at| Some(solved.expected_error(*at)?.get())).collect();
    errors.sort_by(f64::total_cmp);
    if errors.get(errors.len() / 2).is_none_or(|middle| *middle > VAGUE) {
        return Err(NotYet::Vague);
    }
    Ok(solved)
}

/// Of the candidates, the mark that helps most when it is sighted next: least mean predicted variance over the floor.
/// While nothing is solved, the one farthest from those already sighted. None when no candidate can be sighted.
pub fn next_mark(problem: &Problem, solved: Option<&Solved>, candidates: &[Point]) -> Option<usize> {
    let gap = |target: Point| {
        let fitting = problem.sights.iter().enumerate().filter(|(index, _)| {
            solved.and_then(|solved| solved.misses.get(*index)).is_none_or(|miss| !miss.wrong)
        });
        fitting.map(|(_, sight)| sight.at.distance(target).get()).fold(f64::INFINITY, f64::min)
    };
    let fresh = |index: &usize| candidates[*index].is_finite() && gap(candidates[*index]) > SAME_MARK.get();
    let fresh: Vec<usize> = (0..candidates.len()).filter(fresh).collect();
    let Some(solved) = solved else {
        // With nothing sighted every gap is infinite and the first will do.
        return fresh.into_iter().rev().max_by(|a, b| gap(candidates[*a]).total_cmp(&gap(candidates[*b])));
    };
    let floor = floor(solved.bounds);
    let variance = |index: usize| {
        let covariance = after_sighting(
            &solved.state,
            &solved.covariance,
            solved.stated,
            solved.sigma,
            candidates[index],
        )?;
        mean_squared(&solved.state, &covariance, solved.stated, &floor)
    };
    let variances = fresh.into_iter().filter_map(|index| Some((index, variance(index)?)));
    variances.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
}

/// Is enough known: at every mark in reach, the miss stays below a third of the spot's radius in 95 of 100 cases? Marks
/// whose spot is not known do not count; `false` when none counts.
pub fn enough(solved: &Solved, marks: &[SpotAt]) -> bool {
    let judged = marks.iter().filter_map(|mark| {
        let radius = mark.radius?;
        Some(solved.expected_error(mark.at)? <= radius / 3.0)
    });
    let judged: Vec<bool> = judged.collect();
    !judged.is_empty() && judged.iter().all(|enough| *enough)
}

/// How many sights are of different marks with different beams.
fn different(problem: &Problem) -> usize {
    let mut distinct: Vec<usize> = Vec::new();
    for (index, sight) in problem.sights.iter().enumerate() {
        let same = |other: &usize| {
            let other = &problem.sights[*other];
            let beams = libm::hypot((sight.pan - other.pan).get(), (sight.tilt - other.tilt).get());
            sight.at.distance(other.at) < SAME_MARK || beams < SAME_BEAM
        };
        if !distinct.iter().any(same) {
            distinct.push(index);
        }
    }
    distinct.len()
}

impl Solved {
    fn new(problem: &Problem, best: &Candidate, all: &[Candidate]) -> Self {
        let (state, covariance) = mean(best, all);
        let tilt_backwards = match problem.mount {
            Mount::As(planned) => {
                let planned = matrix(planned);
                state.turn.x_axis.dot(planned.x_axis) + state.turn.y_axis.dot(planned.y_axis) < 0.0
            }
            Mount::Unknown | Mount::Leaning(_) => false,
        };
        let travel = |axis: usize| {
            let scale = libm::exp(state.log_scales[axis]);
            let variance = covariance[SCALES[axis]][SCALES[axis]];
            Travel { freed: chance_freed(axis, all) > 0.5, scale, sd: scale * libm::sqrt(variance) }
        };
        let seen = problem.seen();
        let misses = seen.iter().enumerate().map(|(index, seen)| {
            let beam = state.shines(seen.sent);
            let way = seen.at - state.at;
            // Behind the light the nearest point of the beam is where it starts.
            let along = way.dot(beam).max(0.0);
            Miss { off: Metres::new((way - beam * along).length()), wrong: best.dropped.contains(&index) }
        });
        Self {
            pose: state.pose(tilt_backwards),
            misses: misses.collect(),
            travels: [travel(0), travel(1)],
            sigma: Radians::new(best.fit.sigma),
            position_sd: [0, 1, 2].map(|axis| Metres::new(libm::sqrt(covariance[AT + axis][AT + axis]))),
            twin: all
                .iter()
                .take_while(|other| other.score < best.score + RIVAL)
                .any(|other| apart(&other.fit.state, &state)),
            state,
            covariance,
            stated: problem.travels,
            bounds: problem.bounds,
        }
    }

    /// The miss at a point that is not exceeded in 95 of 100 cases, from the linearised covariance, aimed by the way
    /// nearest to home; `None` out of reach. What the head's own gears add is not in it.
    pub fn expected_error(&self, at: Point) -> Option<Metres> {
        self.state.ways(self.stated, at).next().map(|sent| self.expected_by(sent, at))
    }

    /// The surest way to shine on a point, with its expected miss: where a head can get there by several ways, one that
    /// runs its axes as the marks did misses least. Of ways that are hardly less sure, the one nearest to home. `None`
    /// out of reach.
    pub fn surest(&self, at: Point) -> Option<(Sent, Metres)> {
        let ways: Vec<(Sent, Metres)> =
            self.state.ways(self.stated, at).map(|sent| (sent, self.expected_by(sent, at))).collect();
        let least = ways.iter().map(|(_, miss)| miss.get()).fold(f64::INFINITY, f64::min);
        ways.into_iter().find(|(_, miss)| miss.get() <= least * HARDLY_LESS)
    }

    fn expected_by(&self, sent: Sent, at: Point) -> Metres {
        radius_95(&miss_covariance(&self.state, &self.covariance, sent, at))
    }

    /// The mean of [`Solved::expected_error`] over the floor and at the height of a face; `None` when all of that is
    /// out of reach.
    pub fn expected_error_mean(&self) -> Option<Metres> {
        let errors: Vec<Metres> =
            floor(self.bounds).iter().filter_map(|at| self.expected_error(*at)).collect();
        (!errors.is_empty()).then(|| errors.iter().copied().sum::<Metres>() / errors.len() as f64)
    }

    /// Where the light shines when so much is sent: a point on its beam, at the distance of `near`.
    pub fn shines_near(&self, sent: [Radians; 2], near: Point) -> Point {
        let distance = vector(near).distance(self.state.at);
        point(self.state.at + self.state.shines(sent.map(Radians::get)) * distance)
    }
}
