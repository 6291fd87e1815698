//! What stands still in the plan: room, furniture, hanging places, data lines, sockets, and their names.

use lanthorn_physics::units::Metres;
use lanthorn_rig::room::{Furniture, FurnitureKind};
use lanthorn_rig::{Area, HangingPlace, PlaceKind};

use super::Drawn;
use crate::drawing::{At, Dash, Drawing, Frame, Ink, Stroke, Type};
use crate::facts;
use crate::font::Face;
use crate::ground::ordered;
use crate::place::Side;
use crate::symbol;

/// How far a data cable swags between two lights, parts of its length; and at most so many millimetres.
const SWAG: f64 = 0.16;
const MOST_SWAG: f64 = 5.0;

impl Drawn<'_> {
    pub(super) fn room(&mut self, x: [f64; 2], y: [f64; 2]) {
        let thin = Stroke::solid(0.2, Ink::Mid);
        for area in &self.cx.rig.room.audience {
            let frame = self.area(area);
            self.drawing.rect(frame, Some(thin.dash(Dash::DashDot)), None);
        }
        for area in &self.cx.rig.room.platforms {
            let frame = self.area(area);
            self.drawing.rect(frame, None, Some(Ink::White));
            self.drawing.hatch(frame, 2.6, Stroke::solid(0.1, Ink::Light));
            self.drawing.rect(frame, Some(Stroke::solid(0.3, Ink::Dark)), None);
        }
        let walls = self.ground.frame(x, y);
        self.drawing.rect(walls, Some(Stroke::solid(0.9, Ink::Black)), None);
        self.placer.avoid(&walls.ring());
    }

    fn area(&self, area: &Area) -> Frame {
        self.ground.frame(ordered(area.x), ordered(area.y))
    }

    pub(super) fn furniture(&mut self) {
        for thing in &self.cx.rig.room.furniture {
            let at = self.point(thing.at);
            let thin = Stroke::solid(0.18, Ink::Mid);
            let across = self.ground.mm(thing.size[0].get().clamp(0.0, 50.0));
            match thing.kind {
                FurnitureKind::RoundTable => {
                    self.drawing.circle(at, across / 2.0, Some(thin), Some(Ink::White));
                }
                FurnitureKind::Cake => {
                    self.drawing.circle(at, across / 2.0, Some(thin), Some(Ink::Pale));
                }
                FurnitureKind::Table => self.table(thing, at),
                FurnitureKind::Person => {
                    // Shoulders and head, as one sees them from above.
                    let (wide, deep) = (self.ground.mm(0.23), self.ground.mm(0.11));
                    let frame =
                        Frame { from: [at[0] - wide, at[1] - deep], to: [at[0] + wide, at[1] + deep] };
                    self.drawing.rect(frame, Some(thin), Some(Ink::White));
                    self.drawing.circle(at, self.ground.mm(0.1), Some(thin), Some(Ink::Pale));
                }
            }
        }
    }

    fn table(&mut self, thing: &Furniture, at: At) {
        let [w, h] = [0, 1].map(|i| self.ground.mm(thing.size[i].get()) / 2.0);
        let (sin, cos) = libm::sincos(thing.turn.get());
        let corner = |x: f64, y: f64| [at[0] + x * cos + y * sin, at[1] - x * sin + y * cos];
        let corners = [corner(-w, -h), corner(w, -h), corner(w, h), corner(-w, h)];
        if corners.iter().all(|at| self.ground.inside.holds(&Frame { from: *at, to: *at })) {
            self.drawing.outline(&corners, Some(Stroke::solid(0.18, Ink::Mid)), Some(Ink::White));
        }
    }

    pub(super) fn places(&mut self) {
        for place in &self.cx.rig.room.places {
            let half = place.length / 2.0;
            let [a, b] = [place.at(-half), place.at(half)].map(|end| self.point(end));
            let at = self.point(place.middle);
            match place.kind {
                PlaceKind::Bar => double(&mut self.drawing, a, b, 0.55, 0.25),
                PlaceKind::Truss => {
                    double(&mut self.drawing, a, b, 1.3, 0.25);
                    zigzag(&mut self.drawing, a, b, 1.3);
                }
                PlaceKind::Stand => self.stand(at, a, b),
                PlaceKind::Floor => {
                    self.drawing.line(&[a, b], Stroke::solid(0.25, Ink::Mid).dash(Dash::Dotted));
                }
            }
            self.placer.avoid(&[a, b]);
        }
    }

    fn stand(&mut self, at: At, a: At, b: At) {
        let reach = self.symbol * 0.85;
        let leg = |n: f64| {
            let (sin, cos) = libm::sincos((n / 3.0 + 0.25) * std::f64::consts::TAU);
            vec![at, [at[0] + reach * cos, at[1] + reach * sin]]
        };
        let legs: Vec<Vec<At>> = [0.0, 1.0, 2.0].map(leg).to_vec();
        self.drawing.path(legs, false, Some(Stroke::solid(0.3, Ink::Mid)), None);
        if libm::hypot(a[0] - b[0], a[1] - b[1]) > 1.0 {
            double(&mut self.drawing, a, b, 0.5, 0.25);
        }
    }

    pub(super) fn data_lines(&mut self) {
        let controller = self.cx.rig.controller.map(|point| self.point(point));
        for (n, line) in self.cx.plan.lines.iter().enumerate() {
            // Many cables cross many labels: drawn finer there.
            let width = if self.crowded() { 0.22 } else { 0.35 };
            let stroke = Stroke::solid(width, Ink::Dark).dash(Dash::ALL[n % Dash::ALL.len()]);
            let start = controller.filter(|_| facts::from_controller(line));
            let stops: Vec<At> =
                start.into_iter().chain(line.units.iter().filter_map(|n| self.light_at(*n))).collect();
            for pair in stops.windows(2) {
                let cable = swag(pair[0], pair[1]);
                self.drawing.line(&cable, stroke);
                arrow(&mut self.drawing, &cable);
                let every: Vec<At> = cable.iter().step_by(4).copied().collect();
                self.placer.avoid(&every);
            }
            if let Some(end) = line.terminator.and_then(|last| self.light_at(last)) {
                let at = [end[0] + self.symbol * 0.5 + 2.6, end[1]];
                self.drawing.line(&[end, at], stroke);
                symbol::terminator(&mut self.drawing, at, 1.5);
                let taken = Frame { from: [end[0], end[1] - 1.6], to: [at[0] + 1.4, at[1] + 1.6] };
                self.placer.keep_off(taken);
            }
        }
        if let Some(at) = controller {
            let desk = Frame { from: [at[0] - 2.2, at[1] - 1.5], to: [at[0] + 2.2, at[1] + 1.5] };
            self.drawing.rect(desk, Some(Stroke::solid(0.35, Ink::Black)), Some(Ink::White));
            self.placer.keep_off(desk);
        }
    }

    pub(super) fn sockets(&mut self) {
        for circuit in &self.cx.rig.circuits {
            let Some(at) = circuit.at.map(|at| self.point(at)) else { continue };
            symbol::socket(&mut self.drawing, at, 1.7);
            self.placer.keep_off(Frame { from: at, to: at }.grown(1.8));
        }
    }

    pub(super) fn marks(&mut self) {
        for mark in &self.cx.rig.room.marks {
            let at = self.point(mark.at);
            symbol::mark(&mut self.over, at, 1.0);
            self.placer.keep_off(Frame { from: at, to: at }.grown(1.0));
        }
    }

    /// Sockets, controller, hanging places, marks, areas: after the lights, which need their room most.
    pub(super) fn other_labels(&mut self) {
        let small = self.small();
        let name = Type { ink: Ink::Dark, ..small };
        let strong = Type { face: Face::FactsBold, ..small };
        let italic = Type { face: Face::WordsItalic, ..name };
        let cx = self.cx;
        for circuit in &cx.rig.circuits {
            let Some(at) = circuit.at.map(|at| self.point(at)) else { continue };
            let letter = facts::circuit_letter(cx.plan, &circuit.name);
            let words = format!("{}, {:.0} A", circuit.name, circuit.breaker.get());
            self.badged(at, 1.8, Side::Left, &[(strong, words)], letter);
        }
        if let Some(at) = cx.rig.controller.map(|at| self.point(at)) {
            self.label(at, 2.3, Side::Right, &[(strong, "controller".to_owned())]);
        }
        for place in &cx.rig.room.places {
            if cx.plan.places.iter().any(|plan| plan.name == place.name) {
                let at = self.point(place.at(-(place.length / 2.0)));
                self.label(at, self.symbol * 0.6, Side::Above, &[(italic, place_words(place))]);
            }
        }
        for mark in &cx.rig.room.marks {
            let at = self.point(mark.at);
            self.label(at, 1.1, Side::Right, &[(name, mark.name.clone())]);
        }
        for area in cx.rig.room.platforms.iter().chain(&cx.rig.room.audience) {
            let frame = self.area(area);
            let up = area.height.get();
            let words = if up > Metres::ZERO.get() {
                format!("{}, {up:.1} m up", area.name)
            } else {
                area.name.clone()
            };
            let at = [(frame.from[0] + 14.0).min(frame.to[0]), (frame.to[1] - 4.0).max(frame.from[1])];
            self.label(at, 0.0, Side::Above, &[(italic, words)]);
        }
    }
}

/// "front bar, 3.6 m up".
fn place_words(place: &HangingPlace) -> String {
    match place.kind {
        PlaceKind::Floor => place.name.clone(),
        PlaceKind::Bar | PlaceKind::Truss | PlaceKind::Stand => {
            format!("{}, {:.1} m up", place.name, place.middle.z())
        }
    }
}

/// Two lines beside each other.
fn double(drawing: &mut Drawing, a: At, b: At, apart: f64, width: f64) {
    let Some([nx, ny]) = across(a, b) else { return };
    let side = |by: f64| [[a[0] + nx * by, a[1] + ny * by], [b[0] + nx * by, b[1] + ny * by]];
    let ([al, bl], [ar, br]) = (side(apart), side(-apart));
    drawing.outline(&[al, bl, br, ar], Some(Stroke::solid(width, Ink::Dark)), Some(Ink::White));
}

fn zigzag(drawing: &mut Drawing, a: At, b: At, apart: f64) {
    let Some([nx, ny]) = across(a, b) else { return };
    let count = (libm::hypot(b[0] - a[0], b[1] - a[1]) / (2.2 * apart)).max(2.0) as usize;
    let point = |n: usize| {
        let part = n as f64 / count as f64;
        let by = if n.is_multiple_of(2) { apart } else { -apart };
        [a[0] + (b[0] - a[0]) * part + nx * by, a[1] + (b[1] - a[1]) * part + ny * by]
    };
    let line: Vec<At> = (0..=count).map(point).collect();
    drawing.line(&line, Stroke::solid(0.15, Ink::Mid));
}

/// Across a line, of length one.
fn across(a: At, b: At) -> Option<[f64; 2]> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = libm::hypot(dx, dy);
    (long > 1e-6).then(|| [-dy / long, dx / long])
}

/// A cable that swags a little between two things, always up the paper, so that it is seen beside the bar.
fn swag(a: At, b: At) -> Vec<At> {
    const PIECES: usize = 16;
    let Some([nx, ny]) = across(a, b) else { return vec![a, b] };
    let long = libm::hypot(b[0] - a[0], b[1] - a[1]);
    let deep = (long * SWAG).min(MOST_SWAG) * if ny > 0.0 { -1.0 } else { 1.0 };
    let point = |n: usize| {
        let t = n as f64 / PIECES as f64;
        let by = 4.0 * t * (1.0 - t) * deep;
        [a[0] + (b[0] - a[0]) * t + nx * by, a[1] + (b[1] - a[1]) * t + ny * by]
    };
    (0..=PIECES).map(point).collect()
}

/// Which way the data goes.
fn arrow(drawing: &mut Drawing, cable: &[At]) {
    let middle = cable.len() / 2;
    let (Some(from), Some(to)) = (cable.get(middle.saturating_sub(1)), cable.get(middle)) else { return };
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let long = libm::hypot(dx, dy);
    if long < 0.15 {
        return;
    }
    let (ux, uy) = (dx / long, dy / long);
    let head = [
        *to,
        [to[0] - 1.3 * ux - 0.55 * uy, to[1] - 1.3 * uy + 0.55 * ux],
        [to[0] - 1.3 * ux + 0.55 * uy, to[1] - 1.3 * uy - 0.55 * ux],
    ];
    drawing.outline(&head, None, Some(Ink::Dark));
}
