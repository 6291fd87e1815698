//! The lights' symbols, one stroke on a box of 32, its middle at the origin, front down the paper: the same shapes as the
//! page draws. And the other small signs of the drawings.

use lanthorn_fixture::profile::Kind;

use crate::drawing::{At, Drawing, Frame, Ink, Stroke};

/// The box that symbols are drawn on.
const BOX: f64 = 32.0;
/// Pieces of a half circle.
const FINE: usize = 14;

/// What a kind of light is called in a key.
pub(crate) const fn words(kind: Kind) -> &'static str {
    match kind {
        Kind::WashHead => "wash head",
        Kind::SpotHead => "spot head",
        Kind::Par => "par",
        Kind::Bar => "light bar",
        Kind::Strobe => "strobe",
        Kind::Hazer => "hazer",
        Kind::Dimmer => "dimmer",
        Kind::Fresnel => "fresnel",
        Kind::ProfileSpot => "profile spot",
        Kind::Scanner => "scanner",
        Kind::Flood => "flood",
        Kind::Blinder => "blinder",
        Kind::Effect => "effect light",
        Kind::Fogger => "fogger",
        Kind::Machine => "machine",
    }
}

/// Draws the symbol of a kind of light `size` millimetres wide, turned right-handed as seen from above (radians). It covers
/// what lies under it.
pub(crate) fn light(drawing: &mut Drawing, kind: Kind, at: At, size: f64, turn: f64) {
    let (sin, cos) = libm::sincos(turn);
    let put = |[x, y]: At| {
        let (x, y) = (x * size / BOX, y * size / BOX);
        [at[0] + x * cos + y * sin, at[1] - x * sin + y * cos]
    };
    let stroke = Stroke::solid(size * 0.056, Ink::Black);
    let (closed, open) = strokes(kind);
    for line in closed {
        let line: Vec<At> = line.into_iter().map(put).collect();
        drawing.outline(&line, Some(stroke), Some(Ink::White));
    }
    for line in open {
        let line: Vec<At> = line.into_iter().map(put).collect();
        drawing.line(&line, stroke);
    }
    if kind == Kind::SpotHead {
        drawing.circle(put([0.0, 2.0]), 4.0 * size / BOX, None, Some(Ink::Black));
    }
}

type Lines = Vec<Vec<At>>;

/// Closed lines, then open ones.
fn strokes(kind: Kind) -> (Lines, Lines) {
    let bucket = || {
        let mut line = vec![[9.0, -10.0], [9.0, 2.0]];
        line.extend(arc([0.0, 2.0], 9.0, 0.0, 1.0));
        line.push([-9.0, -10.0]);
        line
    };
    match kind {
        Kind::WashHead | Kind::SpotHead => (
            vec![arc([0.0, 2.0], 9.0, 0.0, 2.0)],
            vec![vec![[-13.0, 4.0], [-13.0, -11.0], [13.0, -11.0], [13.0, 4.0]]],
        ),
        Kind::Par => (vec![bucket()], vec![]),
        Kind::Fresnel => (vec![bucket()], vec![vec![[-9.0, 2.0], [9.0, 2.0]]]),
        Kind::Bar => {
            let cell = |n: f64| vec![[n * 5.6, -5.5], [n * 5.6, 5.5]];
            (vec![rect(34.0, 11.0, 0.0)], [-2.0, -1.0, 0.0, 1.0, 2.0].map(cell).to_vec())
        }
        Kind::Strobe => {
            let tube = |x: f64| vec![[x, -3.0], [x, 3.0]];
            (vec![rect(30.0, 14.0, 0.0)], [-7.0, 0.0, 7.0].map(tube).to_vec())
        }
        Kind::Hazer => {
            let wave = |n: usize| {
                let x = -9.0 + 18.0 * n as f64 / 24.0;
                [x, -11.0 - 2.4 * libm::sin(n as f64 / 24.0 * std::f64::consts::TAU)]
            };
            (vec![rect(24.0, 14.0, 3.0)], vec![(0..=24).map(wave).collect()])
        }
        Kind::Dimmer => (vec![rect(24.0, 20.0, 0.0)], vec![vec![[-7.0, 5.0], [7.0, -5.0]]]),
        rest => further(rest),
    }
}

/// The same, of what is met less.
fn further(kind: Kind) -> (Lines, Lines) {
    match kind {
        Kind::ProfileSpot => (
            vec![vec![
                [-9.0, -12.0],
                [9.0, -12.0],
                [9.0, -3.0],
                [5.0, 1.0],
                [5.0, 12.0],
                [-5.0, 12.0],
                [-5.0, 1.0],
                [-9.0, -3.0],
            ]],
            vec![vec![[-12.0, 1.0], [-5.0, 1.0]], vec![[5.0, 1.0], [12.0, 1.0]]],
        ),
        Kind::Scanner => (
            vec![rect(14.0, 22.0, -3.0)],
            vec![vec![[-8.0, 13.0], [8.0, 9.0]], vec![[0.0, 8.0], [0.0, 11.0]]],
        ),
        Kind::Flood => (
            vec![vec![[-7.0, -8.0], [7.0, -8.0], [14.0, 8.0], [-14.0, 8.0]]],
            vec![vec![[-10.0, 3.0], [10.0, 3.0]]],
        ),
        Kind::Blinder => (
            vec![rect(28.0, 16.0, 0.0), arc([-6.8, 0.0], 5.0, 0.0, 2.0), arc([6.8, 0.0], 5.0, 0.0, 2.0)],
            vec![],
        ),
        Kind::Effect => {
            let ray = |n: f64| {
                let (sin, cos) = libm::sincos((0.2 + 0.2 * n) * std::f64::consts::PI);
                vec![[10.5 * cos, -3.0 + 10.5 * sin], [15.0 * cos, -3.0 + 15.0 * sin]]
            };
            (vec![arc([0.0, -3.0], 8.0, 0.0, 2.0)], [0.0, 1.0, 2.0, 3.0].map(ray).to_vec())
        }
        Kind::Fogger => {
            let puff = |x: f64, r: f64| arc([x, 11.0], r, 0.0, 2.0);
            (vec![rect(24.0, 12.0, -5.0), puff(-5.0, 3.4), puff(2.0, 4.4), puff(8.0, 2.6)], vec![])
        }
        Kind::Machine => {
            let spoke = |n: f64| {
                let (sin, cos) = libm::sincos(n * std::f64::consts::PI / 1.5 + 0.5);
                vec![[2.0 * cos, 2.0 * sin], [8.0 * cos, 8.0 * sin]]
            };
            (vec![rect(24.0, 22.0, 0.0), arc([0.0, 0.0], 9.0, 0.0, 2.0)], [0.0, 1.0, 2.0].map(spoke).to_vec())
        }
        _ => (Vec::new(), Vec::new()),
    }
}

/// Half turns from `from` on, as points; clockwise on paper.
fn arc([x, y]: At, r: f64, from: f64, halves: f64) -> Vec<At> {
    let count = (FINE as f64 * halves) as usize;
    let point = |n: usize| {
        let (sin, cos) = libm::sincos((from + halves * n as f64 / count as f64) * std::f64::consts::PI);
        [x + r * cos, y + r * sin]
    };
    (0..=count).map(point).collect()
}

fn rect(w: f64, h: f64, y: f64) -> Vec<At> {
    let (w, h) = (w / 2.0, h / 2.0);
    vec![[-w, y - h], [w, y - h], [w, y + h], [-w, y + h]]
}

/// A mark: an X.
pub(crate) fn mark(drawing: &mut Drawing, [x, y]: At, reach: f64) {
    let stroke = Stroke::solid(0.3, Ink::Black);
    drawing.path(
        vec![
            vec![[x - reach, y - reach], [x + reach, y + reach]],
            vec![[x - reach, y + reach], [x + reach, y - reach]],
        ],
        false,
        Some(stroke),
        None,
    );
}

/// The end of a data line: a short crossbar on a stem.
pub(crate) fn terminator(drawing: &mut Drawing, [x, y]: At, reach: f64) {
    let stroke = Stroke::solid(0.55, Ink::Black);
    drawing.line(&[[x, y - reach], [x, y + reach]], stroke);
    drawing.line(&[[x, y], [x + reach * 0.8, y]], Stroke::solid(0.35, Ink::Black));
}

/// A socket: a tab, filled.
pub(crate) fn socket(drawing: &mut Drawing, [x, y]: At, reach: f64) {
    let tab = Frame { from: [x - reach * 0.6, y - reach], to: [x + reach * 0.6, y + reach] };
    drawing.rect(tab, Some(Stroke::solid(0.3, Ink::Black)), Some(Ink::Mid));
}

/// A person from the front or the side, feet at `feet`, so many millimetres high.
pub(crate) fn person(drawing: &mut Drawing, [x, feet]: At, high: f64) {
    let stroke = Stroke::solid(0.2, Ink::Mid);
    let head = high * 0.075;
    drawing.circle([x, feet - high + head], head, Some(stroke), Some(Ink::White));
    let (shoulder, hip, foot) = (high * 0.11, high * 0.075, high * 0.05);
    let neck = feet - high * 0.82;
    drawing.outline(
        &[
            [x - shoulder, neck],
            [x + shoulder, neck],
            [x + hip, feet - high * 0.48],
            [x + foot, feet],
            [x - foot, feet],
            [x - hip, feet - high * 0.48],
        ],
        Some(stroke),
        Some(Ink::White),
    );
}
