//! A drawing: a plain list of shapes in millimetres of paper, from the upper left corner, right and down.
//!
//! It is written to PDF ([`crate::pdf`]) or to SVG ([`crate::svg`]); both draw the same shapes.

use crate::font::{Face, Fonts, MM_PER_PT};

/// A place on the paper.
pub type At = [f64; 2];

/// How dark: nothing here is told by colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "plain words")]
pub enum Ink {
    Black,
    Dark,
    Mid,
    Light,
    Pale,
    White,
}

impl Ink {
    /// 0 is black, 255 white.
    pub const fn grey(self) -> u8 {
        match self {
            Self::Black => 22,
            Self::Dark => 70,
            Self::Mid => 112,
            Self::Light => 178,
            Self::Pale => 234,
            Self::White => 255,
        }
    }
}

/// How a line is broken up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "plain words")]
pub enum Dash {
    Solid,
    Dashed,
    Dotted,
    DashDot,
}

impl Dash {
    /// Each data line, or whatever else has to be told apart, has its own.
    pub const ALL: [Self; 4] = [Self::Solid, Self::Dashed, Self::DashDot, Self::Dotted];

    /// Strokes and gaps in millimetres.
    pub const fn pattern(self) -> &'static [f32] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[1.8, 1.2],
            Self::Dotted => &[0.2, 0.9],
            Self::DashDot => &[2.6, 0.9, 0.3, 0.9],
        }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Millimetres.
    pub width: f64,
    /// Broken or not.
    pub dash: Dash,
    /// How dark.
    pub ink: Ink,
}

impl Stroke {
    /// An unbroken line.
    pub const fn solid(width: f64, ink: Ink) -> Self {
        Self { width, dash: Dash::Solid, ink }
    }

    /// The same line, broken.
    pub const fn dash(mut self, dash: Dash) -> Self {
        self.dash = dash;
        self
    }
}

/// Which end of a text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "plain words")]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Type {
    /// Typeface.
    pub face: Face,
    /// Points.
    pub size: f64,
    /// How dark.
    pub ink: Ink,
}

impl Type {
    /// A face at a size in points.
    pub const fn new(face: Face, size: f64, ink: Ink) -> Self {
        Self { face, size, ink }
    }

    /// From one line to the next, millimetres.
    pub fn leading(self) -> f64 {
        let factor = match self.face {
            Face::Facts | Face::FactsBold => 1.3,
            Face::Words | Face::WordsBold | Face::WordsItalic => 1.36,
        };
        self.size * MM_PER_PT * factor
    }

    /// From the baseline up to the top of a capital, millimetres, about.
    pub fn cap(self) -> f64 {
        self.size * MM_PER_PT * 0.69
    }

    /// Wide enough for a line of text, millimetres.
    pub fn width(self, fonts: &Fonts, text: &str) -> f64 {
        fonts.width(self.face, self.size, text)
    }
}

/// What a text is on its page, for a reader who hears it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The name of a sheet.
    Title,
    /// A heading in it.
    Heading,
    /// What is read.
    Words,
    /// Running head and foot: the same on every page, so not read.
    Margin,
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Lines through points; several lines are one shape, so that a filled one may have holes.
    Path {
        /// Each a line of points.
        lines: Vec<Vec<At>>,
        /// Back to where each began.
        closed: bool,
        /// None: not drawn along.
        stroke: Option<Stroke>,
        /// None: see-through.
        fill: Option<Ink>,
    },
    /// A circle.
    Circle {
        /// Its middle.
        at: At,
        /// Millimetres.
        radius: f64,
        /// None: no line.
        stroke: Option<Stroke>,
        /// None: see-through.
        fill: Option<Ink>,
    },
    /// One line of text.
    Text {
        /// On the baseline.
        at: At,
        /// The words.
        text: String,
        /// How it is set.
        with: Type,
        /// Which end of it stands at `at`.
        anchor: Anchor,
        /// What it is on its page.
        part: Part,
    },
}

/// A rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Left and upper corner.
    pub from: At,
    /// Right and lower corner.
    pub to: At,
}

impl Frame {
    /// From its corner and its size.
    pub const fn new(from: At, size: [f64; 2]) -> Self {
        Self { from, to: [from[0] + size[0], from[1] + size[1]] }
    }

    /// Width.
    pub const fn width(&self) -> f64 {
        self.to[0] - self.from[0]
    }

    /// Height.
    pub const fn height(&self) -> f64 {
        self.to[1] - self.from[1]
    }

    /// Its middle.
    pub const fn middle(&self) -> At {
        [(self.from[0] + self.to[0]) / 2.0, (self.from[1] + self.to[1]) / 2.0]
    }

    /// Once round its edge.
    pub const fn ring(&self) -> [At; 5] {
        let ([l, t], [r, b]) = (self.from, self.to);
        [[l, t], [r, t], [r, b], [l, b], [l, t]]
    }

    /// Larger by so much on each side; smaller where that is negative.
    pub const fn grown(&self, by: f64) -> Self {
        Self { from: [self.from[0] - by, self.from[1] - by], to: [self.to[0] + by, self.to[1] + by] }
    }

    /// Whether the two have a piece in common.
    pub fn meets(&self, other: &Self) -> bool {
        (0..2).all(|i| self.from[i] < other.to[i] && other.from[i] < self.to[i])
    }

    /// Whether the other lies wholly inside.
    pub fn holds(&self, other: &Self) -> bool {
        (0..2).all(|i| self.from[i] <= other.from[i] + 1e-9 && other.to[i] <= self.to[i] + 1e-9)
    }

    fn around(points: impl IntoIterator<Item = At>) -> Option<Self> {
        points.into_iter().fold(None, |frame: Option<Self>, at| {
            let frame = frame.unwrap_or(Self { from: at, to: at });
            let least = |i: usize| frame.from[i].min(at[i]);
            let most = |i: usize| frame.to[i].max(at[i]);
            Some(Self { from: [least(0), least(1)], to: [most(0), most(1)] })
        })
    }
}

/// A page, or a part of one.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Width and height, millimetres.
    pub size: [f64; 2],
    /// In the order drawn.
    pub shapes: Vec<Shape>,
}

impl Drawing {
    /// An empty one.
    pub const fn new(size: [f64; 2]) -> Self {
        Self { size, shapes: Vec::new() }
    }

    /// A line through points.
    pub fn line(&mut self, points: &[At], stroke: Stroke) {
        self.path(vec![points.to_vec()], false, Some(stroke), None);
    }

    /// A line that comes back to where it began.
    pub fn outline(&mut self, points: &[At], stroke: Option<Stroke>, fill: Option<Ink>) {
        self.path(vec![points.to_vec()], true, stroke, fill);
    }

    /// Several lines as one shape.
    pub fn path(&mut self, lines: Vec<Vec<At>>, closed: bool, stroke: Option<Stroke>, fill: Option<Ink>) {
        self.shapes.push(Shape::Path { lines, closed, stroke, fill });
    }

    /// A rectangle along the paper.
    pub fn rect(&mut self, frame: Frame, stroke: Option<Stroke>, fill: Option<Ink>) {
        let ([l, t], [r, b]) = (frame.from, frame.to);
        self.outline(&[[l, t], [r, t], [r, b], [l, b]], stroke, fill);
    }

    /// A circle.
    pub fn circle(&mut self, at: At, radius: f64, stroke: Option<Stroke>, fill: Option<Ink>) {
        self.shapes.push(Shape::Circle { at, radius, stroke, fill });
    }

    /// One line of text; an empty one draws nothing.
    pub fn text(&mut self, at: At, anchor: Anchor, with: Type, text: impl Into<String>) {
        self.part(Part::Words, at, anchor, with, text);
    }

    /// One line of text that is more than words.
    pub fn part(&mut self, part: Part, at: At, anchor: Anchor, with: Type, text: impl Into<String>) {
        let text = text.into();
        if !text.trim().is_empty() {
            self.shapes.push(Shape::Text { at, text, with, anchor, part });
        }
    }

    /// Slanting lines inside a rectangle, `step` millimetres apart.
    pub fn hatch(&mut self, frame: Frame, step: f64, stroke: Stroke) {
        let ([l, t], [r, b]) = (frame.from, frame.to);
        let (wide, high) = (frame.width(), frame.height());
        let count = ((wide + high) / step) as usize;
        let lines = (1..=count).map(|n| {
            let along = n as f64 * step;
            let low = if along <= high { [l, t + along] } else { [l + along - high, b] };
            let top = if along <= wide { [l + along, t] } else { [r, t + along - wide] };
            vec![low, top]
        });
        let lines: Vec<_> = lines.collect();
        if !lines.is_empty() {
            self.path(lines, false, Some(stroke), None);
        }
    }

    /// All shapes of another drawing, moved.
    pub fn add(&mut self, other: &Self, by: At) {
        let moved = |at: &At| [at[0] + by[0], at[1] + by[1]];
        self.shapes.extend(other.shapes.iter().cloned().map(|mut shape| {
            match &mut shape {
                Shape::Path { lines, .. } => lines.iter_mut().flatten().for_each(|at| *at = moved(at)),
                Shape::Circle { at, .. } | Shape::Text { at, .. } => *at = moved(at),
            }
            shape
        }));
    }
}

impl Shape {
    /// What it takes up, half its line's width included; none for an empty path.
    pub fn bounds(&self, fonts: &Fonts) -> Option<Frame> {
        match self {
            Self::Path { lines, stroke, .. } => Frame::around(lines.iter().flatten().copied())
                .map(|frame| frame.grown(stroke.map_or(0.0, |stroke| stroke.width / 2.0))),
            Self::Circle { at, radius, stroke, .. } => {
                let reach = radius + stroke.map_or(0.0, |stroke| stroke.width / 2.0);
                Some(Frame { from: *at, to: *at }.grown(reach))
            }
            Self::Text { at, text, with, anchor, .. } => {
                let width = with.width(fonts, text);
                let left = match anchor {
                    Anchor::Start => at[0],
                    Anchor::Middle => at[0] - width / 2.0,
                    Anchor::End => at[0] - width,
                };
                let high = with.size * MM_PER_PT;
                Some(Frame::new([left, at[1] - 0.8 * high], [width, 1.05 * high]))
            }
        }
    }
}
