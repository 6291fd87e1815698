//! Where labels go: each near its thing, none over another, none outside the drawing.

use crate::drawing::{At, Frame};

/// Left free around labels and symbols, millimetres.
const AIR: f64 = 0.5;
/// From one ring of tries to the next.
const RING: f64 = 1.5;
const RINGS: usize = 110;
const TURNS: usize = 28;

/// A label that has its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Placed {
    pub(crate) frame: Frame,
    /// From its edge to the edge of its thing, where the two are apart.
    pub(crate) leader: Option<[At; 2]>,
}

/// The side of its thing that a label likes best.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Below,
    Above,
    Right,
    Left,
}

/// What a label's leader may pass over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tidy {
    /// Nothing that is drawn.
    Clear,
    /// Symbols, but no label and no other leader.
    OverSymbols,
    /// Anything: better than no label.
    Anyhow,
}

/// Places labels one after another.
#[derive(Clone, Debug)]
pub(crate) struct Placer {
    inside: Frame,
    /// What no label may cover: symbols and signs.
    symbols: Vec<Frame>,
    /// What a label had better not cover.
    soft: Vec<[At; 2]>,
    leaders: Vec<[At; 2]>,
    /// Every label that was placed.
    pub(crate) labels: Vec<Frame>,
}

impl Placer {
    pub(crate) const fn new(inside: Frame) -> Self {
        Self { inside, symbols: Vec::new(), soft: Vec::new(), leaders: Vec::new(), labels: Vec::new() }
    }

    /// A symbol, or whatever else labels keep off.
    pub(crate) fn keep_off(&mut self, frame: Frame) {
        self.symbols.push(frame);
    }

    /// A line that labels should rather not stand on.
    pub(crate) fn avoid(&mut self, line: &[At]) {
        self.soft.extend(line.windows(2).map(|pair| [pair[0], pair[1]]));
    }

    /// The best free place for a label of that size near a thing of that reach. None where the whole drawing is full.
    pub(crate) fn place(&mut self, thing: At, reach: f64, size: [f64; 2], likes: Side) -> Option<Placed> {
        let all = [Tidy::Clear, Tidy::OverSymbols, Tidy::Anyhow];
        let found = all.into_iter().find_map(|tidy| self.near(thing, reach, size, likes, tidy))?;
        self.labels.push(found.frame);
        self.leaders.extend(found.leader);
        Some(found)
    }

    fn near(&self, thing: At, reach: f64, size: [f64; 2], likes: Side, tidy: Tidy) -> Option<Placed> {
        let first = self.best(adjacent(thing, reach, size, likes), thing, reach, tidy);
        first.or_else(|| {
            (1..=RINGS).find_map(|ring| {
                let away = reach + ring as f64 * RING;
                let turn = |n: usize| {
                    let (sin, cos) = libm::sincos(n as f64 / TURNS as f64 * std::f64::consts::TAU);
                    let middle =
                        [thing[0] + cos * (away + size[0] / 2.0), thing[1] + sin * (away + size[1] / 2.0)];
                    Frame::new([middle[0] - size[0] / 2.0, middle[1] - size[1] / 2.0], size)
                };
                self.best((0..TURNS).map(turn), thing, reach, tidy)
            })
        })
    }

    /// Of these, the free one that covers the fewest lines; the earlier where several do.
    fn best(
        &self,
        tries: impl IntoIterator<Item = Frame>,
        thing: At,
        reach: f64,
        tidy: Tidy,
    ) -> Option<Placed> {
        let mut best: Option<(usize, Placed)> = None;
        for frame in tries {
            let Some(placed) = self.fits(frame, thing, reach, tidy) else { continue };
            let covers = self.soft.iter().filter(|line| crosses(frame.grown(AIR), line)).count();
            if best.is_none_or(|(least, _)| covers < least) {
                best = Some((covers, placed));
            }
        }
        best.map(|(_, placed)| placed)
    }

    fn fits(&self, frame: Frame, thing: At, reach: f64, tidy: Tidy) -> Option<Placed> {
        let mut taken = self.symbols.iter().chain(&self.labels);
        if !self.inside.holds(&frame) || taken.any(|taken| taken.meets(&frame.grown(AIR))) {
            return None;
        }
        let leader = leader(frame, thing, reach);
        if tidy != Tidy::Anyhow {
            let over = self.leaders.iter().any(|line| crosses(frame, line));
            let through = leader.is_some_and(|leader| {
                self.leaders.iter().any(|other| meet(leader, *other))
                    || self.labels.iter().any(|label| crosses(*label, &leader))
                    || tidy == Tidy::Clear && self.symbols.iter().any(|s| crosses(s.grown(-0.2), &leader))
            });
            if over || through {
                return None;
            }
        }
        Some(Placed { frame, leader })
    }
}

/// Right beside the thing: the liked side first, then the others, then the corners.
fn adjacent([x, y]: At, reach: f64, size: [f64; 2], likes: Side) -> Vec<Frame> {
    let [w, h] = size;
    let gap = reach + AIR + 0.1;
    let at = |side: Side| match side {
        Side::Below => [x - w / 2.0, y + gap],
        Side::Above => [x - w / 2.0, y - gap - h],
        Side::Right => [x + gap, y - h / 2.0],
        Side::Left => [x - gap - w, y - h / 2.0],
    };
    let all = [Side::Below, Side::Above, Side::Right, Side::Left];
    let sides = std::iter::once(likes).chain(all.into_iter().filter(|side| *side != likes)).map(at);
    let near = gap * 0.75;
    let corners = [
        [x + near, y + near],
        [x - near - w, y + near],
        [x + near, y - near - h],
        [x - near - w, y - near - h],
    ];
    sides.chain(corners).map(|from| Frame::new(from, size)).collect()
}

/// From the label to its thing, where one cannot see that they belong together.
fn leader(frame: Frame, thing: At, reach: f64) -> Option<[At; 2]> {
    let near = |i: usize| thing[i].clamp(frame.from[i], frame.to[i]);
    let edge = [near(0), near(1)];
    let (dx, dy) = (thing[0] - edge[0], thing[1] - edge[1]);
    let away = libm::hypot(dx, dy);
    if away < reach + RING + AIR {
        return None;
    }
    let stop = (away - reach) / away;
    Some([edge, [edge[0] + dx * stop, edge[1] + dy * stop]])
}

/// Whether a line passes through a rectangle (by clipping, after Liang and Barsky).
pub(crate) fn crosses(frame: Frame, [a, b]: &[At; 2]) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for i in 0..2 {
        let step = b[i] - a[i];
        if step.abs() < 1e-12 {
            if a[i] <= frame.from[i] || a[i] >= frame.to[i] {
                return false;
            }
            continue;
        }
        let (one, two) = ((frame.from[i] - a[i]) / step, (frame.to[i] - a[i]) / step);
        from = from.max(one.min(two));
        to = to.min(one.max(two));
    }
    from < to
}

/// Whether two lines cross.
fn meet([a, b]: [At; 2], [c, d]: [At; 2]) -> bool {
    let side = |p: At, q: At, r: At| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_crowd_of_labels_never_overlaps_and_stays_inside() {
        let inside = Frame::new([0.0, 0.0], [180.0, 150.0]);
        let mut placer = Placer::new(inside);
        let things: Vec<At> = (0..60).map(|n| [60.0 + f64::from(n), 70.0 + f64::from(n % 3)]).collect();
        things.iter().for_each(|at| placer.keep_off(Frame { from: *at, to: *at }.grown(2.0)));
        for thing in &things {
            let placed = placer.place(*thing, 2.0, [9.0, 9.5], Side::Below).unwrap();
            assert!(inside.holds(&placed.frame));
        }
        for (n, label) in placer.labels.iter().enumerate() {
            assert!(placer.labels[..n].iter().all(|other| !other.meets(label)));
            assert!(things.iter().all(|at| !Frame { from: *at, to: *at }.grown(2.0).meets(label)));
        }
    }

    #[test]
    fn where_nothing_is_free_it_says_so() {
        let inside = Frame::new([0.0, 0.0], [10.0, 10.0]);
        let mut placer = Placer::new(inside);
        assert!(placer.place([5.0, 5.0], 1.0, [9.0, 9.0], Side::Below).is_none());
    }
}
