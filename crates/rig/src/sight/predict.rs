//! What a solved light would do: where it shines, how far it may miss, and which mark would help most.

use glam::{DMat3, DQuat, DVec3};
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};

use super::fit::{Seen, State};
use super::matrix::{Square, UNKNOWNS, cholesky, inverse};
use super::problem::{Bounds, point, vector};
use super::{AxisFit, Pose};
use crate::aim::beam_in_world;

/// Closer to straight down its own axis than this, pan no longer matters.
const NADIR: f64 = 1e-6;
/// Whole turns of pan that are tried either way: more than any head has.
const MOST_TURNS: i32 = 4;

/// What to send for a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sent {
    /// For pan, radians about home by the stated travel.
    pub pan: Radians,
    /// For tilt.
    pub tilt: Radians,
    /// The beam gets there; if not, this is as near as it gets.
    pub reaches: bool,
}

/// Every value inside the travels that shines on a point, nearest to home first. For a point out of reach there is one:
/// the nearest that the travels allow. Empty for a point at the pivot itself.
pub fn sent_for(pose: &Pose, travels: [Radians; 2], target: Point) -> Vec<Sent> {
    let Some(beam) = pose.pivot.towards(target) else { return Vec::new() };
    let d = pose.world_from_fixture.inverse().apply(beam);
    let across = libm::hypot(d.x(), d.y());
    let clamped = |sent: Radians, travel: Radians| sent.max(travel * -0.5).min(travel * 0.5);
    let mut found = Vec::new();
    let mut nearest: Option<(f64, Sent)> = None;
    for way in [1.0, -1.0] {
        let tilt = pose.tilt.sent(Radians::new(way * libm::atan2(across, -d.z())));
        let pan = if across < NADIR { 0.0 } else { libm::atan2(-way * d.x(), way * d.y()) };
        for turn in -MOST_TURNS..=MOST_TURNS {
            let pan = pose.pan.sent(Radians::new(pan + f64::from(turn) * std::f64::consts::TAU));
            let held = Sent { pan: clamped(pan, travels[0]), tilt: clamped(tilt, travels[1]), reaches: true };
            if (held.pan - pan).abs().get() < 1e-9 && (held.tilt - tilt).abs().get() < 1e-9 {
                found.push(held);
                continue;
            }
            let off = held.beam(pose).angle_to(beam).get();
            if nearest.is_none_or(|(least, _)| off < least) {
                nearest = Some((off, Sent { reaches: false, ..held }));
            }
        }
    }
    if found.is_empty() {
        found.extend(nearest.map(|(_, sent)| sent));
    }
    let far = |sent: &Sent| (sent.pan / travels[0]).abs().max((sent.tilt / travels[1]).abs());
    found.sort_by(|a, b| far(a).total_cmp(&far(b)));
    found
}

impl Sent {
    /// Where the light then shines, in the world.
    pub fn beam(&self, pose: &Pose) -> Direction {
        beam_in_world(pose.world_from_fixture, pose.pan.angle(self.pan), pose.tilt.angle(self.tilt))
    }
}

impl State {
    /// As others see it. Tilt backwards is this light turned by half a turn of pan; `backwards` says it that way.
    pub(super) fn pose(&self, tilt_backwards: bool) -> Pose {
        let [pan, tilt] = self.log_scales.map(libm::exp);
        let (half_turn, offset) = if tilt_backwards {
            (DMat3::from_diagonal(DVec3::new(-1.0, -1.0, 1.0)), -self.offset)
        } else {
            (DMat3::IDENTITY, self.offset)
        };
        let quaternion = DQuat::from_mat3(&(self.turn * half_turn)).to_array();
        Pose {
            pivot: point(self.at),
            world_from_fixture: Rotation::from_array(quaternion).unwrap_or(Rotation::IDENTITY),
            pan: AxisFit { inverted: self.sign < 0.0, scale: pan, offset: Radians::ZERO },
            tilt: AxisFit { inverted: tilt_backwards, scale: tilt, offset: Radians::new(offset) },
        }
    }

    /// How a point would be missed: the miss, metres, by each unknown, when that is sent for it.
    fn sensitivity(&self, sent: Sent, target: Point) -> [DVec3; UNKNOWNS] {
        let at = vector(target);
        let (_, columns) = self.residual(&Seen { at, sent: [sent.pan.get(), sent.tilt.get()] });
        let distance = at.distance(self.at);
        columns.map(|column| column * distance)
    }

    /// The ways to shine on a point that reach it, nearest to home first.
    pub(super) fn ways(&self, travels: [Radians; 2], target: Point) -> impl Iterator<Item = Sent> {
        sent_for(&self.pose(false), travels, target).into_iter().filter(|sent| sent.reaches)
    }
}

/// Rotation as a matrix.
pub(super) fn matrix(rotation: Rotation) -> DMat3 {
    DMat3::from_quat(DQuat::from_array(rotation.to_array()))
}

/// Covariance of the miss at a point, metres squared, when that is sent for it.
pub(super) fn miss_covariance(state: &State, covariance: &Square, sent: Sent, target: Point) -> DMat3 {
    let columns = state.sensitivity(sent, target);
    let mut sum = DMat3::ZERO;
    for (a, row) in columns.iter().zip(covariance) {
        let weighted = columns.iter().zip(row).fold(DVec3::ZERO, |sum, (b, entry)| sum + *b * *entry);
        sum.x_axis += *a * weighted.x;
        sum.y_axis += *a * weighted.y;
        sum.z_axis += *a * weighted.z;
    }
    sum
}

/// The length that a normal miss with such a covariance stays below in 95 of 100 cases.
///
/// The miss lies in the plane across the beam, so only two eigenvalues count. Between 1.960 (all along one line) and
/// 2.448 (the same all round) the factor of the greater one follows the ratio of the two to within 1 %.
pub(super) fn radius_95(covariance: &DMat3) -> Metres {
    let m = covariance;
    let trace = (m.x_axis.x + m.y_axis.y + m.z_axis.z).max(0.0);
    let minor = |a: f64, b: f64, c: f64| a * b - c * c;
    let minors = minor(m.x_axis.x, m.y_axis.y, m.x_axis.y)
        + minor(m.x_axis.x, m.z_axis.z, m.x_axis.z)
        + minor(m.y_axis.y, m.z_axis.z, m.y_axis.z);
    let root = libm::sqrt((trace * trace / 4.0 - minors).max(0.0));
    let greater = trace / 2.0 + root;
    let lesser = (trace / 2.0 - root).max(0.0);
    let ratio = if greater > 0.0 { libm::sqrt(lesser / greater) } else { 0.0 };
    Metres::new(libm::sqrt(greater) * (1.960 + 0.488 * libm::pow(ratio, 2.6)))
}

/// Points spread over a floor, at the height of its boards and at that of a face.
pub(super) fn floor(bounds: Bounds) -> Vec<Point> {
    let (low, high) = (vector(bounds.low), vector(bounds.high));
    let mut points = Vec::new();
    for x in 0..5 {
        for y in 0..5 {
            let part = DVec3::new(0.1 + 0.2 * f64::from(x), 0.1 + 0.2 * f64::from(y), 0.0);
            let up = if (x + y) % 2 == 0 { 0.0 } else { 1.5 };
            let here = low + (high - low) * part;
            points.push(point(DVec3::new(here.x, here.y, low.z + up)));
        }
    }
    points
}

/// Mean squared miss over points, metres squared, for the unknowns' covariance; those out of reach do not count.
pub(super) fn mean_squared(
    state: &State,
    covariance: &Square,
    travels: [Radians; 2],
    points: &[Point],
) -> Option<f64> {
    let squares: Vec<f64> = points
        .iter()
        .filter_map(|target| Some((state.ways(travels, *target).next()?, *target)))
        .map(|(sent, target)| miss_covariance(state, covariance, sent, target))
        .map(|m| m.x_axis.x + m.y_axis.y + m.z_axis.z)
        .collect();
    (!squares.is_empty()).then(|| squares.iter().sum::<f64>() / squares.len() as f64)
}

/// The covariance after one more sight, of the mark at `target`; `None` when it is out of reach.
pub(super) fn after_sighting(
    state: &State,
    covariance: &Square,
    travels: [Radians; 2],
    sigma: Radians,
    target: Point,
) -> Option<Square> {
    let columns = state.sensitivity(state.ways(travels, target).next()?, target);
    let distance = vector(target).distance(state.at);
    let weight = 1.0 / (sigma.get() * distance).powi(2);
    let mut precision = inverse(&cholesky(covariance)?);
    for (row, a) in columns.iter().enumerate() {
        for (column, b) in columns.iter().enumerate() {
            precision[row][column] += weight * a.dot(*b);
        }
    }
    Some(inverse(&cholesky(&precision)?))
}
