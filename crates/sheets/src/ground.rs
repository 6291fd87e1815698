//! From metres in the room to millimetres on paper, at a scale that a ruler knows.

use lanthorn_physics::units::Metres;

use crate::drawing::{Anchor, At, Drawing, Frame, Ink, Stroke, Type};
use crate::layout::Paper;

/// 1 : so many. What a scale ruler has, and beyond.
const SCALES: [u32; 14] = [20, 25, 50, 75, 100, 125, 150, 200, 250, 500, 1000, 2500, 5000, 10_000];

/// A view of the room on paper: right and up in metres become right and down in millimetres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ground {
    /// 1 : so many.
    pub(crate) reduction: u32,
    /// Left and lower end in metres, at `corner` on the paper.
    from: [f64; 2],
    corner: At,
    /// Nothing is drawn beyond it.
    pub(crate) inside: Frame,
}

/// The smaller and the larger of two ends, never the same.
pub(crate) fn ordered(ends: [Metres; 2]) -> [f64; 2] {
    let [a, b] = ends.map(Metres::get);
    let (low, high) = (a.min(b), a.max(b));
    if low.is_finite() && high.is_finite() { [low, high.max(low + 0.1)] } else { [-5.0, 5.0] }
}

/// The largest scale at which so many metres fit into so many millimetres.
pub(crate) fn reduction(metres: [f64; 2], room: [f64; 2]) -> u32 {
    let fits = |scale: &&u32| (0..2).all(|i| metres[i] * 1000.0 / f64::from(**scale) <= room[i]);
    let most = SCALES[SCALES.len() - 1];
    SCALES.iter().find(fits).copied().unwrap_or(most)
}

/// Upright or lying, whichever lets the drawing be larger. `taken` is what margins and words need of width and height.
pub(crate) fn turned(paper: Paper, metres: [f64; 2], taken: [f64; 2]) -> [f64; 2] {
    let left = |size: [f64; 2]| [size[0] - taken[0], size[1] - taken[1]];
    let (upright, lying) = (paper.upright(), paper.lying());
    if reduction(metres, left(lying)) < reduction(metres, left(upright)) { lying } else { upright }
}

impl Ground {
    /// A view of `x` by `y` metres with its upper left corner at `corner`, `pad` millimetres inside a frame of that width.
    pub(crate) fn new(x: [f64; 2], y: [f64; 2], reduction: u32, corner: At, width: f64, pad: f64) -> Self {
        let k = 1000.0 / f64::from(reduction);
        let (wide, high) = ((x[1] - x[0]) * k, (y[1] - y[0]) * k);
        let left = corner[0] + (width - wide).max(0.0) / 2.0;
        let inside = Frame::new(corner, [width, high + 2.0 * pad]);
        Self { reduction, from: [x[0], y[0]], corner: [left, corner[1] + pad + high], inside }
    }

    /// Millimetres of paper to a metre.
    pub(crate) fn mm(&self, metres: f64) -> f64 {
        metres * 1000.0 / f64::from(self.reduction)
    }

    /// On paper; what lies beyond the drawing stands at its edge.
    pub(crate) fn at(&self, x: f64, y: f64) -> At {
        let raw = [self.corner[0] + self.mm(x - self.from[0]), self.corner[1] - self.mm(y - self.from[1])];
        let keep = self.inside.grown(-1.0);
        [0, 1].map(|i| {
            let value = if raw[i].is_finite() { raw[i] } else { keep.from[i] };
            value.clamp(keep.from[i], keep.to[i].max(keep.from[i]))
        })
    }

    /// A rectangle of the room.
    pub(crate) fn frame(&self, x: [f64; 2], y: [f64; 2]) -> Frame {
        let (low, high) = (self.at(x[0], y[0]), self.at(x[1], y[1]));
        Frame { from: [low[0], high[1]], to: [high[0], low[1]] }
    }

    /// A bar of whole metres from `at` on, a tick at each, and what the scale is. Returns the two ends of its first metre.
    pub(crate) fn scale_bar(&self, drawing: &mut Drawing, [x, y]: At, with: Type, paper: &str) -> [At; 2] {
        let metres = if self.mm(1.0) >= 25.0 { 2 } else { 5 };
        let stroke = Stroke::solid(0.3, Ink::Black);
        let one = [[x, y], [x + self.mm(1.0), y]];
        drawing.line(&one, stroke);
        drawing.line(&[one[1], [x + self.mm(f64::from(metres)), y]], stroke);
        for metre in 0..=metres {
            let x = x + self.mm(f64::from(metre));
            let long = if metre == 0 || metre == metres { 1.6 } else { 1.0 };
            drawing.line(&[[x, y - long], [x, y]], stroke);
            if metre == 0 || metre == 1 || metre == metres {
                let words = if metre == metres { format!("{metre} m") } else { metre.to_string() };
                drawing.text([x, y - 2.4], Anchor::Middle, with, words);
            }
        }
        let words = format!("Scale 1 : {} on {paper}, printed at 100 %", self.reduction);
        drawing.text([x + self.mm(f64::from(metres)) + 8.0, y], Anchor::Start, with, words);
        one
    }
}
