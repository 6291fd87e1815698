//! The convex hull of the emitters' chromaticities: the gamut.

use super::{Chromaticity, MAX_EMITTERS};

/// Points closer than this, in xy, are one; far below what anyone can see or measure.
const ON_THE_EDGE: f64 = 1e-6;

/// Corners in CIE 1931 x, y. Push points, then [`closed`](Self::closed) makes the hull: no corner (no emitters), one
/// (a single colour), two (a chord) or more (an area, anticlockwise).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Hull {
    corners: [[f64; 2]; MAX_EMITTERS],
    count: usize,
}

impl Hull {
    pub(super) fn push(&mut self, colour: Chromaticity) {
        let point = [colour.x, colour.y];
        let known = self.points().any(|own| distance(own, point) < ON_THE_EDGE);
        if !known && self.count < MAX_EMITTERS {
            self.corners[self.count] = point;
            self.count += 1;
        }
    }

    /// Andrew's monotone chain; corners that stick out by less than [`ON_THE_EDGE`] are no corners.
    pub(super) fn closed(mut self) -> Self {
        self.corners[..self.count].sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
        if self.count < 3 {
            return self;
        }
        let mut chain = [[0.0; 2]; 2 * MAX_EMITTERS];
        let mut length = 0;
        let there = 0..self.count;
        let back = (0..self.count - 1).rev();
        let mut floor = 1;
        for (step, index) in there.chain(back).enumerate() {
            if step == self.count {
                floor = length;
            }
            while length > floor && does_not_turn(chain[length - 2], chain[length - 1], self.corners[index]) {
                length -= 1;
            }
            chain[length] = self.corners[index];
            length += 1;
        }
        // The chain ends where it began.
        let mut hull = Self { count: length - 1, ..Self::default() };
        hull.corners[..hull.count].copy_from_slice(&chain[..hull.count]);
        hull
    }

    pub(super) fn len(&self) -> usize {
        self.count
    }

    /// From the first corner of a chord to the second, length 1.
    pub(super) fn chord(&self) -> [f64; 2] {
        let [from, to] = [self.corners[0], self.corners[1]];
        let length = distance(from, to).max(f64::MIN_POSITIVE);
        [(to[0] - from[0]) / length, (to[1] - from[1]) / length]
    }

    /// `true` when a colour is inside or at most `spare` (in xy) outside.
    pub(super) fn contains(&self, colour: Chromaticity, spare: f64) -> bool {
        let point = [colour.x, colour.y];
        match self.count {
            0 => false,
            1 | 2 => {
                let close = onto(self.corners[0], self.corners[self.count - 1], point);
                distance(close, point) <= spare
            }
            _ => self.edges().all(|(from, to)| cross(from, to, point) >= -spare * distance(from, to)),
        }
    }

    /// How far inside an area a colour lies, in xy; below zero outside.
    pub(super) fn clearance(&self, colour: Chromaticity) -> f64 {
        let point = [colour.x, colour.y];
        let inside = |(from, to)| cross(from, to, point) / distance(from, to).max(f64::MIN_POSITIVE);
        self.edges().map(inside).fold(f64::INFINITY, f64::min)
    }

    /// The colour in the hull nearest to one outside, in u′v′; `None` when there is no hull or no such distance.
    pub(super) fn nearest(&self, colour: Chromaticity) -> Option<Chromaticity> {
        let point = colour.uv_prime();
        let mut best: Option<(f64, [f64; 2])> = None;
        // Straight lines in xy are straight in u′v′ too, so the edges stay edges.
        for (from, to) in self.edges() {
            let [from, to] = [from, to].map(|[x, y]| Chromaticity::new(x, y).uv_prime());
            let close = onto(from, to, point);
            let away = distance(close, point);
            if away.is_finite() && best.is_none_or(|(least, _)| away < least) {
                best = Some((away, close));
            }
        }
        best.map(|(_, uv)| Chromaticity::from_uv_prime(uv))
    }

    pub(super) fn points(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.corners[..self.count].iter().copied()
    }

    fn edges(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
        (0..self.count).map(|at| (self.corners[at], self.corners[(at + 1) % self.count]))
    }
}

/// `true` when the middle of three points does not turn the chain to the left.
fn does_not_turn(from: [f64; 2], middle: [f64; 2], to: [f64; 2]) -> bool {
    cross(from, middle, to) <= ON_THE_EDGE * distance(from, to)
}

/// Twice the area of a triangle; above zero when it runs anticlockwise.
fn cross(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

/// The point of a segment nearest to a point.
fn onto(from: [f64; 2], to: [f64; 2], point: [f64; 2]) -> [f64; 2] {
    let edge = [to[0] - from[0], to[1] - from[1]];
    let length = edge[0] * edge[0] + edge[1] * edge[1];
    if length <= 0.0 {
        return from;
    }
    let along = ((point[0] - from[0]) * edge[0] + (point[1] - from[1]) * edge[1]) / length;
    let along = along.clamp(0.0, 1.0);
    [from[0] + edge[0] * along, from[1] + edge[1] * along]
}
