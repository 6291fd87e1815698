//! A setup card for each light, to cut out and take up the ladder.

use lanthorn_rig::plan::{UnitPlan, Way};

use crate::Context;
use crate::drawing::{Anchor, At, Dash, Drawing, Frame, Ink, Stroke, Type};
use crate::facts;
use crate::font::{Face, Fonts};
use crate::layout::{Flow, LEFT, Sheet, capital, triangle};

/// From a card's edge to its words.
const PAD: f64 = 4.4;

/// The sheet: as many cards on a page as have room, all of one size.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let size = cx.options.paper.upright();
    let mut flow = Flow::new(&cx.fonts, cx.style, size);
    let lead = "One for each light, in its order along the cable. Cut along the dashed lines.";
    flow.title("Setup cards", lead);
    if cx.plan.units.is_empty() {
        flow.words("No lights yet.", cx.style.note());
        return flow.end("Setup cards");
    }
    let columns = if cx.style.large { 1 } else { 2 };
    let width = flow.width() / columns as f64;
    let cards: Vec<(Drawing, f64)> = in_order(cx).into_iter().map(|unit| card(cx, unit, width)).collect();
    // Cards beside each other are of one height, so that one cut parts a row.
    let mut top = true;
    for row in cards.chunks(columns) {
        let high = row.iter().map(|(_, high)| *high).fold(0.0, f64::max);
        top |= flow.need(high);
        let y = flow.y();
        let cut = Stroke::solid(0.15, Ink::Mid).dash(Dash::Dashed);
        for (n, (drawing, _)) in row.iter().enumerate() {
            flow.page().add(drawing, [LEFT + n as f64 * width, y]);
        }
        let right = LEFT + row.len() as f64 * width;
        for cut_at in [top.then_some(y), Some(y + high)].into_iter().flatten() {
            flow.page().line(&[[LEFT, cut_at], [right, cut_at]], cut);
        }
        for n in 0..=row.len() {
            let x = LEFT + n as f64 * width;
            flow.page().line(&[[x, y], [x, y + high]], cut);
        }
        top = false;
        flow.took(high);
    }
    flow.end("Setup cards")
}

/// Along the data lines, then those that are on none.
fn in_order<'c>(cx: &'c Context<'_>) -> Vec<&'c UnitPlan> {
    let order: Vec<u32> = cx.plan.lines.iter().flat_map(|line| line.units.iter().copied()).collect();
    let place = |unit: &&UnitPlan| order.iter().position(|n| *n == unit.number).unwrap_or(usize::MAX);
    let mut units: Vec<&UnitPlan> = cx.plan.units.iter().collect();
    units.sort_by_key(|unit| (place(unit), unit.number));
    units
}

/// A card being written from its top.
struct Pen<'f> {
    fonts: &'f Fonts,
    drawing: Drawing,
    width: f64,
    y: f64,
}

impl Pen<'_> {
    /// Words under a label in the left column.
    fn fact(&mut self, label: Type, with: Type, name: &str, text: &str) {
        let aside = label.width(self.fonts, "Switches") + 3.0;
        self.drawing.text([PAD, self.y + with.leading() * 0.78], Anchor::Start, label, name);
        self.words_at(with, text, PAD + aside);
        self.y += 0.45;
    }

    fn words_at(&mut self, with: Type, text: &str, x: f64) {
        for line in self.fonts.wrap(with.face, with.size, text, self.width - x - PAD) {
            self.drawing.text([x, self.y + with.leading() * 0.78], Anchor::Start, with, line);
            self.y += with.leading();
        }
    }

    fn rule(&mut self) {
        self.y += 0.7;
        let ends = [[PAD, self.y], [self.width - PAD, self.y]];
        self.drawing.line(&ends, Stroke::solid(0.12, Ink::Light));
        self.y += 0.9;
    }
}

fn card(cx: &Context<'_>, plan: &UnitPlan, width: f64) -> (Drawing, f64) {
    let (style, large) = (cx.style, cx.style.large);
    let size = |usual: f64| if large { 14.0 } else { usual };
    let label = Type::new(Face::Facts, size(7.4), Ink::Mid);
    let with = Type::new(Face::Facts, size(8.4), Ink::Black);
    let strong = Type::new(Face::FactsBold, size(9.2), Ink::Black);
    let mut pen = Pen { fonts: &cx.fonts, drawing: Drawing::new([width, 0.0]), width, y: PAD };
    head(cx, plan, &mut pen);
    pen.rule();
    pen.fact(label, with, "Mode", &mode(plan));
    for (n, step) in plan.menu.iter().enumerate() {
        pen.fact(label, strong, if n == 0 { "Menu" } else { "" }, step);
    }
    if let Some(on) = &plan.dip_switches_on {
        switches(&mut pen, on, label, strong);
    }
    if let Some(address) = facts::address(plan) {
        let shared = plan.shares.map_or_else(String::new, |with| format!(", the same as light {with}"));
        pen.fact(label, strong, "Address", &format!("{address}{shared}"));
    }
    if let Some((line, where_)) = facts::on_line(cx.plan, plan.number) {
        pen.fact(label, with, "Data", &format!("{}: {where_}", capital(&line)));
    } else {
        pen.fact(label, with, "Data", "no data cable");
    }
    pen.fact(label, with, "Power", &power(cx, plan));
    let weight = plan.weight_kg.map_or_else(|| facts::UNKNOWN.to_owned(), |kg| format!("{kg:.1} kg"));
    pen.fact(label, with, "Weight", &format!("{weight} without clamp and bond"));
    pen.rule();
    let small = Type::new(Face::Facts, size(7.4), Ink::Dark);
    promises(&mut pen, plan, small);
    let falls = cx.rig.unit(plan.number).is_some_and(|unit| facts::can_fall(cx.rig, unit));
    if falls {
        pen.y += 0.8;
        let at = [PAD + 1.4, pen.y + small.leading() * 0.5];
        triangle(&mut pen.drawing, at, 1.4, None);
        let bond = Type { face: Face::FactsBold, ink: Ink::Black, ..small };
        pen.words_at(bond, "Its own rated bond on a second point before you let go.", PAD + 4.5);
    }
    pen.y += 1.4;
    ticks(
        &mut pen,
        if falls { &["placed", "bonded", "set", "tried"] } else { &["placed", "set", "tried"] },
        style.label(),
    );
    let high = pen.y + PAD * 0.7;
    (pen.drawing, high)
}

fn head(cx: &Context<'_>, plan: &UnitPlan, pen: &mut Pen<'_>) {
    let large = cx.style.large;
    let number = Type::new(Face::WordsBold, if large { 34.0 } else { 27.0 }, Ink::Black);
    let strong = Type::new(Face::FactsBold, if large { 15.0 } else { 10.0 }, Ink::Black);
    let place = Type::new(Face::WordsItalic, if large { 14.0 } else { 8.3 }, Ink::Dark);
    let text = plan.number.to_string();
    pen.drawing.text([PAD, pen.y + number.cap()], Anchor::Start, number, text.clone());
    let x = PAD + number.width(pen.fonts, &text).max(number.width(pen.fonts, "0") * 1.4) + 4.0;
    let top = pen.y;
    pen.words_at(strong, &capital(&plan.profile), x);
    let unit = cx.rig.unit(plan.number);
    let up = unit.map_or_else(String::new, |unit| facts::way_up(cx.rig, unit));
    let at = if plan.place.is_empty() { "no place yet".to_owned() } else { capital(&plan.place) };
    pen.words_at(place, &format!("{at}: {up}"), x);
    pen.y = pen.y.max(top + number.cap() + 1.5);
}

fn mode(plan: &UnitPlan) -> String {
    let way = match plan.way {
        Way::Driven => "driven".to_owned(),
        Way::OnItsOwn => "on its own".to_owned(),
        Way::Linked => match plan.follows {
            Some(leader) => format!("linked: follows light {leader}"),
            None if plan.leads.is_empty() => "linked: leads nobody yet".to_owned(),
            None => format!("linked: leads {}", facts::lights(&plan.leads)),
        },
    };
    if plan.way == Way::Driven && !plan.mode.is_empty() { format!("{}, {way}", plan.mode) } else { way }
}

fn power(cx: &Context<'_>, plan: &UnitPlan) -> String {
    let circuit = match plan.circuit.as_deref() {
        Some(name) => {
            let letter = facts::circuit_letter(cx.plan, name).unwrap_or_default();
            format!("circuit {letter}, {name}")
        }
        None => "no circuit chosen".to_owned(),
    };
    let watts = plan.watts.map_or_else(|| "watts not known".to_owned(), |watts| format!("{watts:.0} W"));
    let amps = plan.amps.map_or_else(String::new, |amps| format!(", {amps:.2} A"));
    format!("{circuit}; {watts}{amps}")
}

/// The switches as they look: on is up.
fn switches(pen: &mut Pen<'_>, on: &[u8], label: Type, strong: Type) {
    let (wide, high) = (4.4, 6.4);
    let x = PAD + label.width(pen.fonts, "Switches") + 3.0;
    let y = pen.y + 0.6;
    pen.drawing.text([PAD, y + 4.2], Anchor::Start, label, "Switches");
    for n in 1..=10_u8 {
        let left = x + f64::from(n - 1) * (wide + 0.5);
        let case = Frame::new([left, y], [wide, high]);
        pen.drawing.rect(case, Some(Stroke::solid(0.2, Ink::Black)), None);
        let up = on.contains(&n);
        let knob = Frame::new(
            [left + 0.8, if up { y + 0.7 } else { y + high / 2.0 + 0.2 }],
            [wide - 1.6, high / 2.0 - 0.9],
        );
        // The tenth is not for the address: it is left open.
        let fill = (n < 10).then_some(if up { Ink::Black } else { Ink::Light });
        pen.drawing.rect(knob, Some(Stroke::solid(0.15, Ink::Dark)), fill);
        let number = Type { size: strong.size.min(9.0) * 0.78, ..label };
        pen.drawing.text([left + wide / 2.0, y + high + 2.6], Anchor::Middle, number, n.to_string());
    }
    pen.y = y + high + 3.8;
}

fn promises(pen: &mut Pen<'_>, plan: &UnitPlan, small: Type) {
    let strong = Type { face: Face::FactsBold, ..small };
    for (head, list) in [("Will", &plan.will), ("Will not", &plan.will_not)] {
        let aside = strong.width(pen.fonts, "Will not") + 2.0;
        for (n, line) in list.iter().enumerate() {
            if n == 0 {
                pen.drawing.text([PAD, pen.y + small.leading() * 0.78], Anchor::Start, strong, head);
            }
            pen.words_at(small, &lower(line), PAD + aside);
        }
        pen.y += 0.6;
    }
    if !plan.leads.is_empty() {
        let does = if plan.leads.len() == 1 {
            "goes dark, freezes or runs by itself, as its"
        } else {
            "go dark, freeze or run by themselves, as their"
        };
        let what = format!(
            "If this light stops or loses power, {} {does} maker chose: try it before doors.",
            facts::lights(&plan.leads)
        );
        pen.words_at(strong, &what, PAD);
    }
}

/// With a small first letter: it goes on from "will".
fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

fn ticks(pen: &mut Pen<'_>, words: &[&str], with: Type) {
    let mut x = PAD;
    for word in words {
        let side = with.cap() * 1.2;
        let y = pen.y + with.leading() * 0.78;
        let box_: At = [x, y - side * 0.95];
        pen.drawing.rect(Frame::new(box_, [side, side]), Some(Stroke::solid(0.2, Ink::Dark)), None);
        pen.drawing.text([x + side + 1.2, y], Anchor::Start, with, *word);
        x += side + 1.2 + with.width(pen.fonts, word) + 4.0;
    }
    pen.y += with.leading();
}
