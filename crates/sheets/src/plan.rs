//! The rig plan: the room from above, to scale.

use lanthorn_physics::Point;
use lanthorn_rig::Unit;
use lanthorn_rig::plan::{Finding, Severity, UnitPlan, Way};

use crate::Context;
use crate::drawing::{Anchor, At, Drawing, Frame, Ink, Stroke, Type};
use crate::facts;
use crate::findings::{self, pointer};
use crate::font::Face;
use crate::ground::{Ground, ordered, reduction, turned};
use crate::layout::{Flow, LEFT, Paper, Sheet, heads};
use crate::place::{Placer, Side};
use crate::symbol;

mod key;
mod things;

/// Room around the walls, millimetres; for many lights, whose labels need it, more.
const PAD: [f64; 2] = [5.0, 9.0];
/// What title, key and margins take of a page beside that: width, height.
const TAKEN: [f64; 2] = [2.0 * LEFT + 2.0, 24.0 + 19.0 + 22.0 + 34.0];
/// From so many lights on labels are smaller.
const MANY: usize = 24;
/// No more findings than these are pointed at.
const MOST_POINTERS: usize = 24;

/// The plan as drawn, with what a test measures.
pub struct RigPlan {
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
    /// Lights without a label, for want of room.
    pub unlabelled: Vec<u32>,
}

/// What is being drawn.
pub(crate) struct Drawn<'c> {
    pub(crate) cx: &'c Context<'c>,
    pub(crate) ground: Ground,
    pub(crate) drawing: Drawing,
    /// The labels, which lie over everything.
    over: Drawing,
    pub(crate) placer: Placer,
    /// How wide a light's symbol is, millimetres.
    pub(crate) symbol: f64,
    pub(crate) unlabelled: Vec<u32>,
}

/// Draws the plan with its upper left corner at `corner`, on a page of that size.
pub(crate) fn draw<'c>(cx: &'c Context<'c>, size: [f64; 2], corner: At) -> Drawn<'c> {
    let (x, y) = (ordered(cx.rig.room.x), ordered(cx.rig.room.y));
    let taken = taken(cx);
    let scale = reduction([x[1] - x[0], y[1] - y[0]], [size[0] - taken[0], size[1] - taken[1]]);
    let ground = Ground::new(x, y, scale, corner, size[0] - 2.0 * LEFT, pad(cx));
    let mut drawn = Drawn {
        cx,
        ground,
        drawing: Drawing::new(size),
        over: Drawing::new(size),
        placer: Placer::new(ground.inside.grown(-0.3)),
        symbol: symbol_size(cx, &ground),
        unlabelled: Vec::new(),
    };
    drawn.room(x, y);
    drawn.furniture();
    drawn.places();
    drawn.data_lines();
    drawn.lights();
    drawn.sockets();
    drawn.marks();
    drawn.light_labels();
    drawn.pointers();
    drawn.other_labels();
    let over = std::mem::replace(&mut drawn.over, Drawing::new(size));
    drawn.drawing.add(&over, [0.0, 0.0]);
    drawn
}

fn pad(cx: &Context<'_>) -> f64 {
    PAD[usize::from(cx.rig.units.len() > MANY)]
}

fn taken(cx: &Context<'_>) -> [f64; 2] {
    let larger = if cx.style.large { 30.0 } else { 0.0 };
    [TAKEN[0], TAKEN[1] + larger + 2.0 * pad(cx)]
}

/// As large as the nearest two lights let it be.
fn symbol_size(cx: &Context<'_>, ground: &Ground) -> f64 {
    let at: Vec<At> = cx
        .rig
        .units
        .iter()
        .filter_map(|unit| facts::position(cx.rig, unit))
        .map(|p| ground.at(p.x(), p.y()))
        .collect();
    let apart = |(n, a): (usize, &At)| {
        let others = at[..n].iter().map(|b| libm::hypot(a[0] - b[0], a[1] - b[1]));
        others.filter(|away| *away > 0.3).fold(f64::MAX, f64::min)
    };
    let nearest = at.iter().enumerate().map(apart).fold(f64::MAX, f64::min);
    (nearest * 0.92).clamp(3.4, 6.4)
}

/// The sheet: the plan, its key, and what to look at.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let mut flow = Flow::new(&cx.fonts, cx.style, page_size(cx));
    let lead = format!("{}. The audience end is at the bottom.", cx.plan.headline.trim_end_matches('.'));
    flow.title("Rig plan", &lead);
    let size = page_size(cx);
    let drawn = draw(cx, size, [LEFT, flow.y()]);
    let high = drawn.ground.inside.height();
    flow.page().add(&drawn.drawing, [0.0, 0.0]);
    flow.took(high + 6.5);
    let at = [LEFT + 2.0, flow.y()];
    let words = Type { size: 7.8, ..cx.style.label() };
    drawn.ground.scale_bar(flow.page(), at, words, paper(cx.options.paper));
    flow.took(5.0);
    key::key(cx, &mut flow);
    if !drawn.unlabelled.is_empty() {
        let missing = format!("Not labelled for want of room: {}.", facts::lights(&drawn.unlabelled));
        flow.words(&missing, cx.style.note());
    }
    findings::list(&mut flow, &cx.plan.findings);
    let first = cx.cautions(&["First of all", "Exits"]);
    flow.cautions(&first);
    flow.end("Rig plan")
}

/// The drawing alone, on a page of its own.
pub(crate) fn alone(cx: &Context<'_>) -> RigPlan {
    let size = page_size(cx);
    let Drawn { drawing, ground, placer, unlabelled, .. } = draw(cx, size, [LEFT, 26.0]);
    let mut page = Drawing::new(size);
    heads(&mut page, &cx.fonts, &format!("Rig plan, {}", cx.rig.room.name), &cx.show.name);
    page.add(&drawing, [0.0, 0.0]);
    let words = Type::new(Face::Facts, 7.8, Ink::Mid);
    let at = [LEFT + 2.0, ground.inside.to[1] + 6.5];
    let metre = ground.scale_bar(&mut page, at, words, paper(cx.options.paper));
    RigPlan {
        drawing: page,
        reduction: ground.reduction,
        metre,
        labels: placer.labels,
        inside: ground.inside,
        unlabelled,
    }
}

fn page_size(cx: &Context<'_>) -> [f64; 2] {
    let (x, y) = (ordered(cx.rig.room.x), ordered(cx.rig.room.y));
    turned(cx.options.paper, [x[1] - x[0], y[1] - y[0]], taken(cx))
}

pub(crate) const fn paper(paper: Paper) -> &'static str {
    match paper {
        Paper::A4 => "A4",
        Paper::Letter => "Letter",
    }
}

impl Drawn<'_> {
    /// Whether there are so many lights that everything has to be finer.
    fn crowded(&self) -> bool {
        self.cx.rig.units.len() > MANY
    }

    pub(crate) fn small(&self) -> Type {
        let size = if self.crowded() { 6.0 } else { 6.9 };
        Type::new(Face::Facts, self.cx.style.drawn(size), Ink::Black)
    }

    pub(crate) fn number(&self) -> Type {
        let size = if self.crowded() { 8.6 } else { 10.5 };
        Type::new(Face::FactsBold, self.cx.style.drawn(size), Ink::Black)
    }

    pub(crate) fn unit_at(&self, unit: &Unit) -> Option<At> {
        facts::position(self.cx.rig, unit).map(|p| self.ground.at(p.x(), p.y()))
    }

    pub(crate) fn light_at(&self, number: u32) -> Option<At> {
        self.unit_at(self.cx.rig.unit(number)?)
    }

    pub(crate) fn point(&self, point: Point) -> At {
        self.ground.at(point.x(), point.y())
    }

    /// A label on white, with its leader, near a thing. `false` where there is no room for it.
    pub(crate) fn label(&mut self, thing: At, reach: f64, likes: Side, lines: &[(Type, String)]) -> bool {
        self.badged(thing, reach, likes, lines, None)
    }

    /// The same; its first line ends in a letter in a circle.
    pub(crate) fn badged(
        &mut self,
        thing: At,
        reach: f64,
        likes: Side,
        lines: &[(Type, String)],
        badge: Option<String>,
    ) -> bool {
        let wide = |(with, text): &(Type, String)| with.width(&self.cx.fonts, text);
        let letter = Type { face: Face::FactsBold, size: self.small().size * 0.95, ink: Ink::Black };
        let round = letter.size * 0.3528 * 0.62;
        let aside = if badge.is_some() { 2.0 * round + 0.7 } else { 0.0 };
        let first = lines.first().map_or(0.0, wide);
        let width = lines.iter().map(wide).fold(first + aside, f64::max);
        let height: f64 = lines.iter().map(|(with, _)| with.size * 0.3528 * 1.12).sum();
        let Some(placed) = self.placer.place(thing, reach, [width + 1.5, height + 0.5], likes) else {
            return false;
        };
        if let Some(leader) = placed.leader {
            leads(&mut self.drawing, leader);
        }
        self.over.rect(placed.frame, None, Some(Ink::White));
        let (mut y, middle) = (placed.frame.from[1] + 0.2, placed.frame.middle()[0]);
        for (n, (with, text)) in lines.iter().enumerate() {
            y += with.size * 0.3528 * 1.12;
            let base = y - with.size * 0.3528 * 0.26;
            let shift = if n == 0 { aside / 2.0 } else { 0.0 };
            self.over.text([middle - shift, base], Anchor::Middle, *with, text.clone());
            if let Some(badge) = badge.as_ref().filter(|_| n == 0) {
                let at = [middle - shift + first / 2.0 + 0.7 + round, base - with.cap() / 2.0];
                self.over.circle(at, round, Some(Stroke::solid(0.18, Ink::Dark)), Some(Ink::White));
                self.over.text([at[0], at[1] + letter.cap() / 2.0], Anchor::Middle, letter, badge.clone());
            }
        }
        true
    }

    fn lights(&mut self) {
        for unit in &self.cx.rig.units {
            let Some(at) = self.unit_at(unit) else { continue };
            self.placer.keep_off(Frame { from: at, to: at }.grown(self.symbol * 0.48));
            let turn = facing(self.cx, unit);
            symbol::light(&mut self.drawing, unit.profile.kind, at, self.symbol, turn);
        }
    }

    fn light_labels(&mut self) {
        let universes = self.cx.plan.universes.len() > 1;
        for plan in &self.cx.plan.units {
            let Some(at) = self.light_at(plan.number) else { continue };
            let (number, small) = (self.number(), self.small());
            let circuit = plan.circuit.as_deref().and_then(|name| facts::circuit_letter(self.cx.plan, name));
            let mut lines = vec![(number, plan.number.to_string()), (small, address(plan, universes))];
            if let Some(throw) = facts::throw(plan) {
                lines.push((small, format!("{throw:.1} m")));
            }
            let likes = if self.crowded_below(at) { Side::Above } else { Side::Below };
            if !self.badged(at, self.symbol * 0.5, likes, &lines, circuit) {
                self.unlabelled.push(plan.number);
            }
        }
    }

    /// Whether another light hangs close below on the paper.
    fn crowded_below(&self, at: At) -> bool {
        let mut others = self.cx.rig.units.iter().filter_map(|unit| self.unit_at(unit));
        others
            .any(|other| other[1] > at[1] + 1.0 && other[1] < at[1] + 16.0 && (other[0] - at[0]).abs() < 6.0)
    }

    fn pointers(&mut self) {
        for (number, finding) in (1..).zip(&self.cx.plan.findings).take(MOST_POINTERS) {
            // What is only worth knowing is pointed at where it is about one light alone.
            if finding.severity == Severity::Note && finding.units.len() != 1 {
                continue;
            }
            let Some(thing) = self.spoken_of(finding) else { continue };
            let with = Type::new(Face::FactsBold, self.cx.style.drawn(7.5), Ink::Black);
            let size = findings::pointer_size(&self.cx.fonts, with, number);
            let Some(placed) = self.placer.place(thing, self.symbol * 0.5, size, Side::Right) else {
                continue;
            };
            if let Some(leader) = placed.leader {
                leads(&mut self.drawing, leader);
            }
            pointer(&mut self.over, placed.frame, finding.severity, number, with);
        }
    }

    /// The place in the room that a finding speaks of.
    fn spoken_of(&self, finding: &Finding) -> Option<At> {
        let circuit = finding.place.strip_prefix("circuit ");
        let socket =
            circuit.and_then(|name| self.cx.rig.circuits.iter().find(|c| c.name == name)).and_then(|c| c.at);
        let place = || self.cx.rig.room.place(&finding.place).map(|place| place.middle);
        if let Some(point) = socket.or_else(place) {
            return Some(self.point(point));
        }
        finding.units.iter().find_map(|number| self.light_at(*number))
    }
}

/// A leader, with a dot where it comes to its thing.
pub(crate) fn leads(drawing: &mut Drawing, leader: [At; 2]) {
    drawing.line(&leader, Stroke::solid(0.15, Ink::Dark));
    drawing.circle(leader[1], 0.32, None, Some(Ink::Dark));
}

/// Where a light looks, as a turn of its symbol: a light that a person points looks at its focus.
fn facing(cx: &Context<'_>, unit: &Unit) -> f64 {
    let look = unit.focus.filter(|_| !unit.moves()).zip(facts::position(cx.rig, unit));
    let towards = look.map(|(focus, at)| (focus.x() - at.x(), focus.y() - at.y()));
    match towards.filter(|(x, y)| libm::hypot(*x, *y) > 0.2) {
        // Front is down the paper, towards the audience: −y.
        Some((x, y)) => libm::atan2(x, -y),
        None => unit.turn.get(),
    }
}

/// "1.061", or how it runs where nothing is sent to it.
fn address(plan: &UnitPlan, universes: bool) -> String {
    match (plan.way, plan.universe, plan.address) {
        (Way::Driven, Some(universe), Some(slot)) if universes => format!("{universe}.{slot:03}"),
        (Way::Driven, _, Some(slot)) => format!("{slot:03}"),
        (Way::Driven, ..) => "no address".to_owned(),
        (Way::Linked, ..) => {
            plan.follows.map_or_else(|| "leads".to_owned(), |leader| format!("follows {leader}"))
        }
        (Way::OnItsOwn, ..) => "on its own".to_owned(),
    }
}
