//! The side elevation: heights, throws, heads of people, to scale. The audience is on the left, the far end on the right.

use lanthorn_physics::Point;
use lanthorn_rig::plan::lights;
use lanthorn_rig::room::FurnitureKind;
use lanthorn_rig::{PlaceKind, Unit};

use crate::Context;
use crate::drawing::{Anchor, At, Dash, Drawing, Frame, Ink, Stroke, Type};
use crate::facts;
use crate::font::Face;
use crate::ground::{Ground, ordered, reduction, turned};
use crate::layout::{Flow, LEFT, Sheet, heads};
use crate::place::{Placer, Side};
use crate::plan::{leads, paper};
use crate::symbol;

const PAD: f64 = 9.0;
/// What title, scale bar and margins take of a page: width, height.
const TAKEN: [f64; 2] = [2.0 * LEFT + 24.0, 24.0 + 19.0 + 22.0 + 30.0 + 2.0 * PAD];
/// Eye heights above what people stand on: seated, standing.
const EYES: [f64; 2] = [1.2, 1.6];
/// A person for scale.
const PERSON_M: f64 = 1.7;
/// Lights nearer to each other than this on paper are drawn and named as one.
const SAME_MM: f64 = 2.4;

/// The elevation as drawn, with what a test measures.
pub struct Elevation {
    /// The drawing, as large as a page.
    pub drawing: Drawing,
    /// 1 : so many.
    pub reduction: u32,
    /// The ends of the scale bar's first metre.
    pub metre: [At; 2],
    /// Every label's box.
    pub labels: Vec<Frame>,
    /// What nothing is drawn beyond.
    pub inside: Frame,
}

struct Drawn<'c> {
    cx: &'c Context<'c>,
    ground: Ground,
    drawing: Drawing,
    placer: Placer,
}

/// Lights that lie on each other when seen from the side.
struct Bunch<'r> {
    at: At,
    units: Vec<&'r Unit>,
}

fn metres(cx: &Context<'_>) -> ([f64; 2], [f64; 2]) {
    let highest = cx.rig.room.places.iter().map(|place| place.middle.z()).filter(|z| z.is_finite());
    let top = highest.fold(cx.rig.room.height.get().max(2.5), f64::max).min(200.0);
    (ordered(cx.rig.room.y), [0.0, top])
}

fn page_size(cx: &Context<'_>) -> [f64; 2] {
    let (y, z) = metres(cx);
    turned(cx.options.paper, [y[1] - y[0], z[1] - z[0]], TAKEN)
}

fn draw<'c>(cx: &'c Context<'c>, size: [f64; 2], corner: At) -> Drawn<'c> {
    let (y, z) = metres(cx);
    let scale = reduction([y[1] - y[0], z[1] - z[0]], [size[0] - TAKEN[0], size[1] - TAKEN[1]]);
    let ground = Ground::new(y, z, scale, corner, size[0] - 2.0 * LEFT, PAD);
    let placer = Placer::new(ground.inside.grown(-0.3));
    let mut drawn = Drawn { cx, ground, drawing: Drawing::new(size), placer };
    drawn.room(y, z);
    let marks = drawn.marks();
    for (at, _) in &marks {
        drawn.placer.keep_off(Frame { from: *at, to: *at }.grown(0.9));
    }
    drawn.people();
    let bunches = drawn.bunches();
    drawn.beams(&bunches);
    drawn.heights();
    drawn.lights(&bunches);
    for (at, _) in &marks {
        symbol::mark(&mut drawn.drawing, *at, 0.9);
    }
    drawn.mark_names(marks);
    drawn
}

/// The sheet.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let size = page_size(cx);
    let mut flow = Flow::new(&cx.fonts, cx.style, size);
    flow.title("Side elevation", "Seen from the side: the audience on the left, the far end on the right.");
    let drawn = draw(cx, size, [LEFT, flow.y()]);
    let high = drawn.ground.inside.height();
    flow.page().add(&drawn.drawing, [0.0, 0.0]);
    flow.took(high + 6.5);
    let words = Type { size: 7.8, ..cx.style.label() };
    let at = [LEFT + 2.0, flow.y()];
    drawn.ground.scale_bar(flow.page(), at, words, paper(cx.options.paper));
    flow.took(5.0);
    let key = "Dashed: the straight way from a light to its focus or, for a head that moves, to the first mark, with its \
               length, which here looks shorter than it is. Dotted: eyes of people who sit (1.2 m) and stand (1.6 m). Keep \
               still beams above standing heads.";
    flow.words(key, Type { ink: Ink::Mid, ..cx.style.small() });
    let cautions = cx.cautions(&["Height", "Eyes", "Stands"]);
    flow.cautions(&cautions);
    flow.end("Side elevation")
}

/// The drawing alone, on a page of its own.
pub(crate) fn alone(cx: &Context<'_>) -> Elevation {
    let size = page_size(cx);
    let Drawn { drawing, ground, placer, .. } = draw(cx, size, [LEFT, 26.0]);
    let mut page = Drawing::new(size);
    heads(&mut page, &cx.fonts, &format!("Side elevation, {}", cx.rig.room.name), &cx.show.name);
    page.add(&drawing, [0.0, 0.0]);
    let words = Type::new(Face::Facts, 7.8, Ink::Mid);
    let at = [LEFT + 2.0, ground.inside.to[1] + 6.5];
    let metre = ground.scale_bar(&mut page, at, words, paper(cx.options.paper));
    Elevation {
        drawing: page,
        reduction: ground.reduction,
        metre,
        labels: placer.labels,
        inside: ground.inside,
    }
}

impl<'c> Drawn<'c> {
    fn small(&self) -> Type {
        Type::new(Face::Facts, self.cx.style.drawn(7.0), Ink::Black)
    }

    fn side(&self, point: Point) -> At {
        self.ground.at(point.y(), point.z())
    }

    fn room(&mut self, y: [f64; 2], z: [f64; 2]) {
        for area in &self.cx.rig.room.platforms {
            let frame = self.ground.frame(ordered(area.y), [0.0, area.height.get().max(0.0)]);
            self.drawing.rect(frame, None, Some(Ink::White));
            self.drawing.hatch(frame, 1.6, Stroke::solid(0.1, Ink::Light));
            self.drawing.rect(frame, Some(Stroke::solid(0.3, Ink::Dark)), None);
            self.placer.avoid(&frame.ring());
        }
        let ceiling = self.cx.rig.room.height.get().clamp(0.1, z[1]);
        let walls = self.ground.frame(y, [0.0, ceiling]);
        self.drawing.rect(walls, Some(Stroke::solid(0.5, Ink::Black)), None);
        let floor = [[walls.from[0] - 2.0, walls.to[1]], [walls.to[0] + 2.0, walls.to[1]]];
        self.drawing.line(&floor, Stroke::solid(0.9, Ink::Black));
        self.placer.avoid(&floor);
        self.placer.avoid(&walls.ring());
    }

    fn people(&mut self) {
        let dots = Stroke::solid(0.2, Ink::Mid).dash(Dash::Dotted);
        // Areas of one height share their words, which stand left of the first.
        let mut told: Vec<(f64, At)> = Vec::new();
        for area in &self.cx.rig.room.audience {
            let (y, floor) = (ordered(area.y), area.height.get());
            for eye in EYES {
                let ends = y.map(|y| self.ground.at(y, floor + eye));
                self.drawing.line(&ends, dots);
                self.placer.avoid(&ends);
                match told.iter_mut().find(|(_, at)| (at[1] - ends[0][1]).abs() < 0.5) {
                    Some((_, at)) => at[0] = at[0].min(ends[0][0]),
                    None => told.push((eye, ends[0])),
                }
            }
            // Where the room has nobody, somebody stands for scale.
            let empty = self.cx.rig.room.furniture.iter().all(|thing| thing.kind != FurnitureKind::Person);
            for part in [0.12, 0.5, 0.9].into_iter().filter(|_| empty) {
                let feet = self.ground.at(y[0] + (y[1] - y[0]) * part, floor);
                symbol::person(&mut self.drawing, feet, self.ground.mm(PERSON_M));
            }
        }
        for person in self.cx.rig.room.furniture.iter().filter(|thing| thing.kind == FurnitureKind::Person) {
            let feet = self.side(person.at);
            let high = self.ground.mm(person.size[2].get().clamp(0.1, 3.0));
            symbol::person(&mut self.drawing, feet, high);
        }
        let small = Type { ink: Ink::Mid, ..self.small() };
        for (eye, at) in told {
            self.label(at, 0.4, Side::Left, &[(small, format!("eyes {eye:.1} m"))]);
        }
    }

    fn bunches(&self) -> Vec<Bunch<'c>> {
        let mut bunches: Vec<Bunch<'c>> = Vec::new();
        let cx = self.cx;
        for unit in &cx.rig.units {
            let Some(at) = facts::position(cx.rig, unit).map(|point| self.side(point)) else { continue };
            let same =
                |bunch: &&mut Bunch<'_>| libm::hypot(bunch.at[0] - at[0], bunch.at[1] - at[1]) < SAME_MM;
            match bunches.iter_mut().find(same) {
                Some(bunch) => bunch.units.push(unit),
                None => bunches.push(Bunch { at, units: vec![unit] }),
            }
        }
        bunches
    }

    /// The straight ways of the light, one line for all of a bunch that go to the same place.
    fn beams(&mut self, bunches: &[Bunch<'_>]) {
        let dashed = Stroke::solid(0.22, Ink::Dark).dash(Dash::Dashed);
        let mut told: Vec<(At, [f64; 2])> = Vec::new();
        for bunch in bunches {
            let mut ends: Vec<(At, [f64; 2])> = Vec::new();
            for unit in &bunch.units {
                let plan = self.cx.plan.units.iter().find(|plan| plan.number == unit.number);
                let throw = plan.and_then(facts::throw);
                let Some((to, throw)) = target(self.cx, unit).map(|to| self.side(to)).zip(throw) else {
                    continue;
                };
                match ends.iter_mut().find(|(at, _)| libm::hypot(at[0] - to[0], at[1] - to[1]) < SAME_MM) {
                    Some((_, range)) => *range = [range[0].min(throw), range[1].max(throw)],
                    None => ends.push((to, [throw; 2])),
                }
            }
            for (to, range) in ends {
                self.drawing.line(&[bunch.at, to], dashed);
                self.placer.avoid(&[bunch.at, to]);
                let middle = [(bunch.at[0] + to[0]) / 2.0, (bunch.at[1] + to[1]) / 2.0];
                told.push((middle, range));
            }
        }
        for (middle, [least, most]) in told {
            let words = if most - least < 0.05 {
                format!("{most:.1} m")
            } else {
                format!("{least:.1}–{most:.1} m")
            };
            self.label(middle, 0.3, Side::Right, &[(self.small(), words)]);
        }
    }

    /// How high each place is, measured from the floor.
    fn heights(&mut self) {
        let thin = Stroke::solid(0.18, Ink::Dark);
        let mut told: Vec<At> = Vec::new();
        for place in &self.cx.rig.room.places {
            let used = self.cx.plan.places.iter().any(|plan| plan.name == place.name);
            let (top, floor) = (self.side(place.middle), self.ground.at(place.middle.y(), 0.0));
            let far = told.iter().all(|at| libm::hypot(at[0] - top[0], at[1] - top[1]) > 1.0);
            if !used || place.kind == PlaceKind::Floor || !far {
                continue;
            }
            told.push(top);
            self.drawing.line(&[top, floor], thin);
            for (at, way) in [(top, 1.0), (floor, -1.0)] {
                let head = [[at[0] - 0.6, at[1] + way * 1.4], at, [at[0] + 0.6, at[1] + way * 1.4]];
                self.drawing.line(&head, thin);
            }
            self.placer.avoid(&[top, floor]);
            let strong = Type { face: Face::FactsBold, ..self.small() };
            let middle = [top[0], (top[1] + floor[1]) / 2.0];
            self.label(middle, 0.3, Side::Left, &[(strong, format!("{:.2} m", place.middle.z()))]);
        }
    }

    fn lights(&mut self, bunches: &[Bunch<'_>]) {
        let number = Type::new(Face::FactsBold, self.cx.style.drawn(9.0), Ink::Black);
        let small = self.small();
        for bunch in bunches {
            self.placer.keep_off(Frame { from: bunch.at, to: bunch.at }.grown(2.4));
        }
        for bunch in bunches {
            let Some(first) = bunch.units.first() else { continue };
            symbol::light(&mut self.drawing, first.profile.kind, bunch.at, 5.0, 0.0);
            let numbers: Vec<u32> = bunch.units.iter().map(|unit| unit.number).collect();
            let words = lights(&numbers);
            let words = words.split_once(' ').map_or(words.as_str(), |(_, numbers)| numbers).to_owned();
            let mut lines: Vec<(Type, String)> = self
                .cx
                .fonts
                .wrap(number.face, number.size, &words, 34.0)
                .into_iter()
                .map(|line| (number, line))
                .collect();
            let mut places: Vec<&str> = bunch
                .units
                .iter()
                .filter_map(|unit| facts::place(self.cx.rig, unit))
                .map(|p| p.name.as_str())
                .collect();
            places.dedup();
            lines.extend(places.into_iter().take(2).map(|name| (small, name.to_owned())));
            self.label(bunch.at, 2.4, Side::Above, &lines);
        }
    }

    /// Marks that lie on each other are one, with all their names.
    fn marks(&self) -> Vec<(At, Vec<String>)> {
        let mut bunches: Vec<(At, Vec<String>)> = Vec::new();
        for mark in &self.cx.rig.room.marks {
            let at = self.side(mark.at);
            match bunches.iter_mut().find(|(other, _)| libm::hypot(at[0] - other[0], at[1] - other[1]) < 0.8)
            {
                Some((_, names)) => names.push(mark.name.clone()),
                None => bunches.push((at, vec![mark.name.clone()])),
            }
        }
        bunches
    }

    fn mark_names(&mut self, marks: Vec<(At, Vec<String>)>) {
        let name = Type { ink: Ink::Dark, ..self.small() };
        for (at, names) in marks {
            let lines: Vec<(Type, String)> = names.into_iter().map(|words| (name, words)).collect();
            self.label(at, 1.0, Side::Right, &lines);
        }
    }

    fn label(&mut self, thing: At, reach: f64, likes: Side, lines: &[(Type, String)]) {
        let width = lines.iter().map(|(with, text)| with.width(&self.cx.fonts, text)).fold(0.0, f64::max);
        let height: f64 = lines.iter().map(|(with, _)| with.size * 0.3528 * 1.12).sum();
        let Some(placed) = self.placer.place(thing, reach, [width + 0.8, height + 0.5], likes) else {
            return;
        };
        if let Some(leader) = placed.leader {
            leads(&mut self.drawing, leader);
        }
        self.drawing.rect(placed.frame, None, Some(Ink::White));
        let (mut y, middle) = (placed.frame.from[1] + 0.2, placed.frame.middle()[0]);
        for (with, text) in lines {
            y += with.size * 0.3528 * 1.12;
            self.drawing.text([middle, y - with.size * 0.3528 * 0.26], Anchor::Middle, *with, text.clone());
        }
    }
}

/// Where a light's throw ends: its focus, or for a head that moves the first mark.
fn target(cx: &Context<'_>, unit: &Unit) -> Option<Point> {
    let plan = cx.plan.units.iter().find(|plan| plan.number == unit.number)?;
    match plan.lands.first()?.mark.as_deref() {
        Some(mark) => cx.rig.room.mark(mark).map(|mark| mark.at),
        None => unit.focus,
    }
}
