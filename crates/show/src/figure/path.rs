//! A figure ready to be followed: any moment in closed form, or by a table of equal lengths where there is none.

use std::f64::consts::{PI, TAU};

use lanthorn_physics::units::Metres;
use lanthorn_physics::{Direction, Point};

use super::{Figure, Pace, Place, Plane, Shape};
use crate::seed;

/// Part of a straight way, at each end, in which the spot slows down and speeds up again.
pub const TURN: f64 = 1.0 / 8.0;

/// The fastest on a way of one, once to or fro, when it takes a time of one: the turns cost what their length again would.
const FASTEST: f64 = 1.0 + 2.0 * TURN;

/// Entries of a table of equal lengths.
const TABLE: usize = 2048;

/// Straight pieces by which a curve is measured.
const PIECES: usize = 16_384;

/// Corners that guide a wandering spot in one round.
const CORNERS: usize = 32;

/// Corners that are tried for each one taken.
const TRIES: usize = 12;

/// Ways that are drawn, of which the gentlest is taken.
const WAYS: usize = 64;

/// Pieces between two corners by which a way's bends are measured.
const BEND_PIECES: usize = 12;

/// How far apart corners are best, in radii.
const APART: f64 = 0.7;

/// A figure ready to be followed.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    shape: Shape,
    /// Axes of its plane in the world.
    right: [f64; 3],
    up: [f64; 3],
    /// Sine and cosine of its turn in that plane.
    turn: (f64, f64),
    sense: f64,
    rate: Rate,
    /// For a wandering spot, in radii.
    corners: Vec<[f64; 2]>,
    /// The curve's parameter (0 to 1) at equal lengths along it; empty for shapes that need none.
    even: Vec<f64>,
}

/// How long a round takes.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Rate {
    Secs(f64),
    Beats(f64),
    Still,
}

impl Path {
    /// Of a figure.
    pub fn new(figure: &Figure) -> Self {
        let (right, up) = axes(figure.plane);
        let wanders = matches!(figure.shape, Shape::Wander { .. });
        let mut path = Self {
            shape: figure.shape,
            right,
            up,
            turn: libm::sincos(figure.turn.get()),
            sense: if figure.backwards { -1.0 } else { 1.0 },
            rate: Rate::Still,
            corners: if wanders { gentlest(seed::of(&figure.name)) } else { Vec::new() },
            even: Vec::new(),
        };
        let round_metres = path.measure();
        path.rate = match figure.pace {
            _ if !figure.shape.moves() || round_metres <= 0.0 => Rate::Still,
            Pace::Speed(speed) if speed.get() > 0.0 => Rate::Secs(round_metres / speed.get()),
            Pace::Beats(beats) if beats > 0.0 => Rate::Beats(beats),
            Pace::Round(span) if span.secs() > 0.0 => Rate::Secs(span.secs()),
            _ => Rate::Still,
        };
        path
    }

    /// Rounds since the start, at so many seconds and beats since then.
    pub fn rounds(&self, secs: f64, beats: f64) -> f64 {
        match self.rate {
            Rate::Secs(round) => secs / round,
            Rate::Beats(round) => beats / round,
            Rate::Still => 0.0,
        }
    }

    /// Seconds a round at so many seconds a beat; `None` for one that stands still.
    pub fn round_secs(&self, beat_secs: f64) -> Option<f64> {
        match self.rate {
            Rate::Secs(round) => Some(round),
            Rate::Beats(round) => Some(round * beat_secs),
            Rate::Still => None,
        }
    }

    /// How far from its centre the spot of a light is after so many rounds, along the axes of the world.
    pub fn offset_at(&self, rounds: f64, place: &Place) -> [Metres; 3] {
        let (right, up) = self.in_plane(rounds, place);
        [0, 1, 2].map(|axis| Metres::new(self.right[axis] * right + self.up[axis] * up))
    }

    /// `centre` moved by [`Path::offset_at`].
    pub fn around(&self, centre: Point, rounds: f64, place: &Place) -> Point {
        let [x, y, z] = self.offset_at(rounds, place).map(Metres::get);
        centre.moved(x, y, z)
    }

    fn in_plane(&self, rounds: f64, place: &Place) -> (f64, f64) {
        let rounds = self.sense * rounds + place.phase;
        let phase = rounds - rounds.floor();
        let (right, up) = match self.shape {
            Shape::Circle { across } | Shape::Hold { across } => {
                let (sin, cos) = libm::sincos(TAU * phase);
                (across.get() / 2.0 * sin, across.get() / 2.0 * cos)
            }
            Shape::Eight { .. } | Shape::Wander { .. } => self.curve(self.parameter(phase)),
            Shape::Line { length } => (length.get() / 2.0 * to_and_fro(phase + 0.25), 0.0),
            Shape::Sweep { length } => (length.get() / 2.0 * to_and_fro(phase), 0.0),
            Shape::Fan { width } => (width.get() / 2.0 * place.along * (to_and_fro(phase) + 1.0) / 2.0, 0.0),
            Shape::Wave { height } => (0.0, height.get() / 2.0 * libm::sin(TAU * phase)),
        };
        let (sin, cos) = match self.shape {
            // Each light's own way is the same one turned.
            Shape::Wander { .. } => libm::sincos(TAU * 61.0 * place.phase),
            _ => (0.0, 1.0),
        };
        let (right, up) = turned((right, up), (sin, cos));
        let (right, up) = turned((right, up), self.turn);
        (if place.mirrored { -right } else { right }, up)
    }

    /// The spot at a parameter of 0 to 1, of the shapes that are measured.
    fn curve(&self, parameter: f64) -> (f64, f64) {
        match self.shape {
            Shape::Eight { width, height } => {
                let angle = TAU * parameter;
                (width.get() / 2.0 * libm::sin(angle), height.get() / 2.0 * libm::sin(2.0 * angle))
            }
            Shape::Wander { across } => {
                let (right, up) = spline(&self.corners, parameter);
                (across.get() / 2.0 * right, across.get() / 2.0 * up)
            }
            _ => (0.0, 0.0),
        }
    }

    fn parameter(&self, phase: f64) -> f64 {
        let at = phase * TABLE as f64;
        let entry = (at as usize).min(TABLE - 1);
        match self.even.get(entry..entry + 2) {
            Some(&[from, to]) => from + (to - from) * (at - entry as f64),
            _ => phase,
        }
    }

    /// What a round is long at the fastest speed in it; makes the table of equal lengths.
    fn measure(&mut self) -> f64 {
        match self.shape {
            Shape::Circle { across } => PI * across.get(),
            Shape::Hold { .. } => 0.0,
            Shape::Line { length } | Shape::Sweep { length } => 2.0 * FASTEST * length.get(),
            Shape::Fan { width } => FASTEST * width.get(),
            Shape::Wave { height } => PI * height.get(),
            Shape::Eight { .. } | Shape::Wander { .. } => {
                let (even, length) = measured(|parameter| self.curve(parameter));
                self.even = even;
                length
            }
        }
    }
}

/// −1 to 1 and back in a round, at even speed but for gentle turns.
fn to_and_fro(phase: f64) -> f64 {
    let phase = phase - phase.floor();
    let (way, sense) = if phase < 0.5 { (phase * 2.0, 1.0) } else { (phase * 2.0 - 1.0, -1.0) };
    // Braking evenly from full speed over TURN takes twice as long as TURN at full speed.
    let turning = 2.0 * TURN / FASTEST;
    let from_end = |time: f64| FASTEST * time * time / (2.0 * turning);
    let gone = if way < turning {
        from_end(way)
    } else if way > 1.0 - turning {
        1.0 - from_end(1.0 - way)
    } else {
        TURN + FASTEST * (way - turning)
    };
    sense * (2.0 * gone - 1.0)
}

fn turned((right, up): (f64, f64), (sin, cos): (f64, f64)) -> (f64, f64) {
    (cos * right - sin * up, sin * right + cos * up)
}

/// Right and up of a plane, as seen from the side that it faces.
fn axes(plane: Plane) -> ([f64; 3], [f64; 3]) {
    const UP: [f64; 3] = [0.0, 0.0, 1.0];
    match plane {
        Plane::Floor => ([1.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
        Plane::BackWall => ([1.0, 0.0, 0.0], UP),
        Plane::LeftWall => ([0.0, 1.0, 0.0], UP),
        Plane::RightWall => ([0.0, -1.0, 0.0], UP),
        Plane::FrontWall => ([-1.0, 0.0, 0.0], UP),
        Plane::Facing([x, y, z]) => {
            let Some(normal) = Direction::new(x, y, z) else { return axes(Plane::Floor) };
            match Direction::new(-normal.y(), normal.x(), 0.0) {
                Some(right) if libm::hypot(normal.x(), normal.y()) > 1e-6 => {
                    let (n, r) = (<[f64; 3]>::from(normal), <[f64; 3]>::from(right));
                    let up =
                        [n[1] * r[2] - n[2] * r[1], n[2] * r[0] - n[0] * r[2], n[0] * r[1] - n[1] * r[0]];
                    (r, up)
                }
                _ if normal.z() > 0.0 => axes(Plane::Floor),
                // From below, as somebody sees it who lies with the head to the audience.
                _ => ([1.0, 0.0, 0.0], [0.0, -1.0, 0.0]),
            }
        }
    }
}

/// The parameter at equal lengths along a closed curve, and its whole length.
fn measured(curve: impl Fn(f64) -> (f64, f64)) -> (Vec<f64>, f64) {
    let mut gone = vec![0.0; PIECES + 1];
    let mut last = curve(0.0);
    for piece in 1..=PIECES {
        let here = curve(piece as f64 / PIECES as f64);
        gone[piece] = gone[piece - 1] + libm::hypot(here.0 - last.0, here.1 - last.1);
        last = here;
    }
    let length = gone[PIECES];
    let parameter = |entry: usize| {
        let wanted = length * entry as f64 / TABLE as f64;
        let piece = gone.partition_point(|gone| *gone <= wanted).clamp(1, PIECES);
        let (from, to) = (gone[piece - 1], gone[piece]);
        let part = if to > from { (wanted - from) / (to - from) } else { 0.0 };
        (piece as f64 - 1.0 + part) / PIECES as f64
    };
    ((0..=TABLE).map(parameter).collect(), length)
}

/// A closed cubic B-spline of even steps: smooth, and never outside the outline of its corners (de Boor 1978).
fn spline(corners: &[[f64; 2]], parameter: f64) -> (f64, f64) {
    let count = corners.len();
    if count == 0 {
        return (0.0, 0.0);
    }
    let at = parameter * count as f64;
    let first = at.floor();
    let t = at - first;
    let weights = [
        (1.0 - t) * (1.0 - t) * (1.0 - t),
        3.0 * t * t * t - 6.0 * t * t + 4.0,
        -3.0 * t * t * t + 3.0 * t * t + 3.0 * t + 1.0,
        t * t * t,
    ];
    let mut sum = (0.0, 0.0);
    for (next, weight) in weights.into_iter().enumerate() {
        let [right, up] = corners[(first as usize + next) % count];
        sum = (sum.0 + weight / 6.0 * right, sum.1 + weight / 6.0 * up);
    }
    sum
}

/// Corners inside a circle of radius 1 whose way has no sharp bend: of many random ones the gentlest.
fn gentlest(mut seed: u64) -> Vec<[f64; 2]> {
    let mut best = (Vec::new(), f64::INFINITY);
    for _ in 0..WAYS {
        let way = corners(&mut seed);
        let bend = sharpest_bend(&way);
        if bend < best.1 {
            best = (way, bend);
        }
    }
    best.0
}

/// Corners inside a circle of radius 1, each not too near, not too far, and rather ahead than back.
fn corners(seed: &mut u64) -> Vec<[f64; 2]> {
    let mut unit = || (seed::next(seed) >> 11) as f64 / (1_u64 << 53) as f64;
    let mut list: Vec<[f64; 2]> = Vec::with_capacity(CORNERS);
    for _ in 0..CORNERS {
        let mut best = ([0.0, 0.0], f64::INFINITY);
        for _ in 0..TRIES {
            // Even over the area.
            let (radius, angle) = (libm::sqrt(unit()), TAU * unit());
            let (sin, cos) = libm::sincos(angle);
            let corner = [radius * cos, radius * sin];
            let cost = unease(&list, corner);
            if cost < best.1 {
                best = (corner, cost);
            }
        }
        list.push(best.0);
    }
    list
}

/// How little one likes to go on to a corner: too near, too far, or back the way one came.
fn unease(list: &[[f64; 2]], corner: [f64; 2]) -> f64 {
    let [.., last] = list else { return 0.0 };
    let step = [corner[0] - last[0], corner[1] - last[1]];
    let length = libm::hypot(step[0], step[1]);
    let [.., before, _] = list else { return (length - APART).abs() };
    let came = [last[0] - before[0], last[1] - before[1]];
    let along = (step[0] * came[0] + step[1] * came[1]) / (length * libm::hypot(came[0], came[1])).max(1e-9);
    (length - APART).abs() + 2.0 * (1.0 - along)
}

/// The most that the way turns over its length, radians a radius.
fn sharpest_bend(corners: &[[f64; 2]]) -> f64 {
    let pieces = corners.len() * BEND_PIECES;
    let at = |piece: usize| spline(corners, (piece % pieces) as f64 / pieces as f64);
    let step = |piece: usize| {
        let (from, to) = (at(piece), at(piece + 1));
        (to.0 - from.0, to.1 - from.1)
    };
    let bend = |piece: usize| {
        let (a, b) = (step(piece), step(piece + 1));
        let turn = libm::atan2(a.0 * b.1 - a.1 * b.0, a.0 * b.0 + a.1 * b.1).abs();
        turn * 2.0 / (libm::hypot(a.0, a.1) + libm::hypot(b.0, b.1)).max(1e-9)
    };
    (0..pieces).map(bend).fold(0.0, f64::max)
}
