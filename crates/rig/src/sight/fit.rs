//! One hypothesis fitted to the sights: least squares with what is known beforehand, by Levenberg and Marquardt.
//!
//! Unknowns, in this order: a small turn of the fixture frame (3, applied before the turn so far), angle of tilt at
//! home, logarithms of the scales of pan and tilt, position (3). Tilt is taken to run forwards: running backwards is
//! the same light turned by half a turn of pan with the angle at home negated, so sights cannot tell.
//!
//! All residuals are taken in the fixture frame: (beam − direction of the mark), which for small angles is the angle
//! between them. Its derivatives are written out; a test compares them with differences.

use glam::{DMat3, DQuat, DVec3};

use super::matrix::{Column, Square, UNKNOWNS, cholesky, half_log_determinant, inverse, solve};

pub(super) const SCALES: [usize; 2] = [4, 5];
pub(super) const POSITION: usize = 6;

/// Aiming errors lie about this, radians: half a degree, by a person who puts a spot on a mark (common practice, no
/// source) ...
const USUAL_SIGMA: f64 = 0.5 * DEGREE;
/// ... give or take this factor's logarithm.
const SIGMA_SPREAD: f64 = 0.6;
/// Nobody aims better than this.
const LEAST_SIGMA: f64 = 0.08 * DEGREE;

pub(super) const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// A sight in numbers: where the beam was, and what was sent, radians about home by the stated travels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    pub at: DVec3,
    pub sent: [f64; 2],
}

/// One light as a hypothesis has it.
#[derive(Clone, Copy, Debug)]
pub(super) struct State {
    /// 1 when pan runs by the right-hand rule, −1 when it runs backwards.
    pub sign: f64,
    pub turn: DMat3,
    pub offset: f64,
    /// Logarithms of the scales of pan and tilt.
    pub log_scales: [f64; 2],
    pub at: DVec3,
}

/// What is known before the sights: independent, normal about these values.
#[derive(Clone, Copy, Debug)]
pub(super) struct Prior {
    pub at: DVec3,
    pub at_sd: DVec3,
    pub offset_sd: f64,
    pub scale_sd: [f64; 2],
    /// Variance of each sent angle that comes of coarse steps.
    pub grain: f64,
}

/// A fitted hypothesis.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub state: State,
    /// Aiming error of each axis across the beam, radians.
    pub sigma: f64,
    /// Negative logarithm of the evidence, up to a constant that all hypotheses share.
    pub cost: f64,
    /// Of the unknowns.
    pub covariance: Square,
}

/// The normal equations at a state.
struct System {
    matrix: Square,
    gradient: Column,
    /// Half the sum of squares, priors included.
    value: f64,
    /// Sum of squared angles between beams and marks, without priors.
    squares: f64,
}

/// Where a light shines in its own frame, at angles by the right-hand rule, with the derivatives by pan and by tilt.
fn beam(pan: f64, tilt: f64) -> [DVec3; 3] {
    let (sin_pan, cos_pan) = libm::sincos(pan);
    let (sin_tilt, cos_tilt) = libm::sincos(tilt);
    [
        DVec3::new(-sin_pan * sin_tilt, cos_pan * sin_tilt, -cos_tilt),
        DVec3::new(-cos_pan * sin_tilt, -sin_pan * sin_tilt, 0.0),
        DVec3::new(-sin_pan * cos_tilt, cos_pan * cos_tilt, sin_tilt),
    ]
}

impl State {
    /// True angles of what is sent.
    pub(super) fn angles(&self, sent: [f64; 2]) -> [f64; 2] {
        let [pan, tilt] = self.log_scales.map(libm::exp);
        [self.sign * pan * sent[0], tilt * sent[1] + self.offset]
    }

    /// Where it shines in the world.
    pub(super) fn shines(&self, sent: [f64; 2]) -> DVec3 {
        let [pan, tilt] = self.angles(sent);
        self.turn * beam(pan, tilt)[0]
    }

    /// Beam less direction of the mark, and its derivative by each unknown, in the fixture frame.
    pub(super) fn residual(&self, seen: &Seen) -> (DVec3, [DVec3; UNKNOWNS]) {
        let [pan, tilt] = self.angles(seen.sent);
        let [d, by_pan, by_tilt] = beam(pan, tilt);
        let way = seen.at - self.at;
        let distance = way.length().max(1e-3);
        let fixture_from_world = self.turn.transpose();
        let u = fixture_from_world * (way / distance);
        // The mark's direction turns against the way the light moves: −(1 − u·uᵀ)/distance.
        let moved = |axis: DVec3| (axis - u * u.dot(axis)) / distance;
        let columns = [
            DVec3::new(0.0, -d.z, d.y),
            DVec3::new(d.z, 0.0, -d.x),
            DVec3::new(-d.y, d.x, 0.0),
            by_tilt,
            by_pan * pan,
            by_tilt * (tilt - self.offset),
            moved(fixture_from_world.x_axis),
            moved(fixture_from_world.y_axis),
            moved(fixture_from_world.z_axis),
        ];
        (d - u, columns)
    }

    /// Squared angle between the beam and the direction of the mark, for small ones.
    pub(super) fn squared(&self, seen: &Seen) -> f64 {
        (self.shines(seen.sent) - (seen.at - self.at).normalize_or_zero()).length_squared()
    }

    /// The step that leads to another state.
    pub(super) fn step_to(&self, other: &Self) -> Column {
        let turn = DQuat::from_mat3(&(self.turn.transpose() * other.turn)).to_array();
        let turn = [0, 1, 2].map(|axis| 2.0 * turn[axis] / turn[3]);
        let at = other.at - self.at;
        let [pan, tilt] = [0, 1].map(|axis| other.log_scales[axis] - self.log_scales[axis]);
        [turn[0], turn[1], turn[2], other.offset - self.offset, pan, tilt, at.x, at.y, at.z]
    }

    /// Where a step leads.
    pub(super) fn stepped(&self, step: &Column) -> Self {
        let [x, y, z, offset, pan, tilt, px, py, pz] = *step;
        Self {
            sign: self.sign,
            turn: self.turn * small_turn(DVec3::new(x, y, z)),
            offset: self.offset + offset,
            log_scales: [self.log_scales[0] + pan, self.log_scales[1] + tilt],
            at: self.at + DVec3::new(px, py, pz),
        }
    }
}

/// The rotation about a vector by its length (Cayley's form; to second order the same as the exponential).
fn small_turn(by: DVec3) -> DMat3 {
    let half = by * 0.5;
    let quaternion = DQuat::from_xyzw(half.x, half.y, half.z, 1.0);
    DMat3::from_quat(quaternion * (1.0 / quaternion.length()))
}

impl Prior {
    /// Precision of each unknown.
    fn precision(&self) -> Column {
        let inverse = |sd: f64| 1.0 / (sd * sd);
        let turn = inverse(std::f64::consts::PI);
        let [pan, tilt] = self.scale_sd.map(inverse);
        let at = self.at_sd.to_array().map(inverse);
        [turn, turn, turn, inverse(self.offset_sd), pan, tilt, at[0], at[1], at[2]]
    }

    /// How far a state lies from what is known beforehand. The turn is free: it lies nowhere.
    fn distance(&self, state: &State) -> Column {
        let at = state.at - self.at;
        [0.0, 0.0, 0.0, state.offset, state.log_scales[0], state.log_scales[1], at.x, at.y, at.z]
    }
}

fn system(state: &State, seen: &[Seen], prior: &Prior, sigma: f64) -> System {
    let mut matrix = [[0.0; UNKNOWNS]; UNKNOWNS];
    let mut gradient = [0.0; UNKNOWNS];
    let mut squares = 0.0;
    for one in seen {
        let (residual, columns) = state.residual(one);
        squares += residual.length_squared();
        for (row, a) in columns.iter().enumerate() {
            gradient[row] += a.dot(residual);
            for (entry, b) in matrix[row].iter_mut().zip(&columns) {
                *entry += a.dot(*b);
            }
        }
    }
    let weight = 1.0 / (sigma * sigma);
    let mut value = 0.5 * weight * squares;
    let (precision, distance) = (prior.precision(), prior.distance(state));
    for row in 0..UNKNOWNS {
        matrix[row].iter_mut().for_each(|entry| *entry *= weight);
        matrix[row][row] += precision[row];
        gradient[row] = gradient[row] * weight + precision[row] * distance[row];
        value += 0.5 * precision[row] * distance[row] * distance[row];
    }
    System { matrix, gradient, value, squares }
}

/// Walks downhill from a state, so many steps at most; the state reached and its half sum of squares.
pub(super) fn descend(
    from: State,
    seen: &[Seen],
    prior: &Prior,
    sigma: f64,
    most_steps: usize,
) -> (State, f64) {
    let mut state = from;
    let mut here = system(&state, seen, prior, sigma);
    let mut damping = 1e-3;
    for _ in 0..most_steps {
        let mut damped = here.matrix;
        for (index, row) in damped.iter_mut().enumerate() {
            row[index] *= 1.0 + damping;
        }
        let Some(lower) = cholesky(&damped) else { break };
        let step = solve(&lower, &here.gradient.map(|slope| -slope));
        let there = state.stepped(&step);
        let next = system(&there, seen, prior, sigma);
        let gain = here.value - next.value;
        if gain > 0.0 {
            (state, here) = (there, next);
            damping = (damping * 0.2_f64).max(1e-9);
            if gain < 1e-7 {
                break;
            }
        } else {
            if gain > -1e-9 || damping > 1e8 {
                break;
            }
            damping *= 8.0;
        }
    }
    (state, here.value)
}

/// Fits a state to the sights together with the aiming error, and weighs the evidence for it.
pub(super) fn fit(from: State, seen: &[Seen], prior: &Prior, sigma: f64) -> Option<Fit> {
    let (mut state, mut sigma) = (from, sigma);
    let mut best = None;
    let mut free = 0.0;
    for _round in 0..3 {
        (state, _) = descend(state, seen, prior, sigma, 12);
        let here = system(&state, seen, prior, sigma);
        let covariance = inverse(&cholesky(&here.matrix)?);
        let precision = prior.precision();
        let told_before: f64 = (0..UNKNOWNS).map(|k| precision[k] * covariance[k][k]).sum();
        free = (2.0 * seen.len() as f64 - (UNKNOWNS as f64 - told_before)).max(0.0);
        let last = sigma;
        sigma = likely_sigma(here.squares, free, prior.grain);
        best = Some(state);
        if (sigma / last - 1.0).abs() < 0.02 {
            break;
        }
    }
    let state = best?;
    let here = system(&state, seen, prior, sigma);
    let lower = cholesky(&here.matrix)?;
    let of_sigma = libm::log(sigma / USUAL_SIGMA) / SIGMA_SPREAD;
    let cost = here.value
        + seen.len() as f64 * libm::log(std::f64::consts::TAU * sigma * sigma)
        + half_log_determinant(&lower)
        + prior.scale_sd.iter().map(|sd| libm::log(*sd)).sum::<f64>()
        + 0.5 * of_sigma * of_sigma;
    // The aiming error itself is not known: the normal quantile is widened towards Student's, in its first order.
    let doubt = 1.0 + 2.42 / (2.0 * free + 1.0 / (SIGMA_SPREAD * SIGMA_SPREAD));
    let covariance = inverse(&lower).map(|row| row.map(|entry| entry * doubt * doubt));
    (cost.is_finite() && state.at.is_finite()).then_some(Fit { state, sigma, cost, covariance })
}

/// The aiming error that is likeliest for so much scatter over so many free observations: the zero of the derivative
/// by its logarithm, found by Newton's steps.
fn likely_sigma(squares: f64, free: f64, grain: f64) -> f64 {
    let mean = libm::log(USUAL_SIGMA);
    let tightness = 1.0 / (SIGMA_SPREAD * SIGMA_SPREAD);
    let mut log_sigma = mean;
    for _ in 0..12 {
        let scatter = squares * libm::exp(-2.0 * log_sigma);
        let slope = free - scatter + (log_sigma - mean) * tightness;
        let bend = 2.0 * scatter + tightness;
        log_sigma -= (slope / bend).clamp(-1.0, 1.0);
    }
    libm::exp(log_sigma).max(libm::sqrt(LEAST_SIGMA * LEAST_SIGMA + grain))
}
