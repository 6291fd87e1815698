//! A data line as a strip: each light in its order with its symbol, the cable between, the terminator at the end.

use lanthorn_rig::plan::LinePlan;

use crate::Context;
use crate::drawing::{Anchor, Frame, Ink, Stroke, Type};
use crate::facts;
use crate::font::Face;
use crate::layout::{Flow, LEFT};
use crate::symbol;

/// From one light to the next, and from one row to the next, millimetres; in large print wider.
const STEP: f64 = 17.5;
const ROW: f64 = 21.0;
const SYMBOL: f64 = 6.0;

/// Draws it in as many rows as it takes.
pub(super) fn strip(cx: &Context<'_>, flow: &mut Flow<'_>, line: &LinePlan) {
    let grow = if cx.style.large { 1.6 } else { 1.0 };
    let (step, row) = (STEP * grow, ROW * grow);
    let number = Type::new(Face::FactsBold, if cx.style.large { 14.0 } else { 10.0 }, Ink::Black);
    let small = Type::new(Face::Facts, if cx.style.large { 14.0 } else { 7.2 }, Ink::Dark);
    let stroke = Stroke::solid(0.35, Ink::Dark);
    let per_row = ((flow.width() - 6.0) / step).max(1.0) as usize;
    let start = facts::from_controller(line).then_some(None);
    let stops: Vec<Option<u32>> = start.into_iter().chain(line.units.iter().copied().map(Some)).collect();
    for (n, stop) in stops.iter().enumerate() {
        let column = n % per_row;
        if column == 0 {
            flow.need(row);
            flow.took(row);
        }
        let x = LEFT + 6.0 + column as f64 * step;
        let y = flow.y() - row * 0.5;
        let leg = stop.and_then(|to| line.legs.iter().find(|leg| leg.to == to));
        if let Some(leg) = leg {
            // The cable into this light; over a row's end it comes in from the left.
            let from = if column == 0 { x - 6.0 } else { x - step + SYMBOL * 0.55 };
            let to = x - SYMBOL * 0.55;
            flow.page().line(&[[from, y], [to, y]], stroke);
            let length = leg.way_m.map_or_else(|| "?".to_owned(), |m| format!("{:.0} m", m.ceil()));
            if column > 0 {
                flow.page().text([(from + to) / 2.0, y - 1.0], Anchor::Middle, small, length);
            }
        }
        let Some(light) = stop else {
            let desk = Frame { from: [x - 3.0, y - 2.0], to: [x + 3.0, y + 2.0] };
            flow.page().rect(desk, Some(stroke), None);
            flow.page().text([x, y + 3.4 + small.leading()], Anchor::Middle, small, "controller");
            continue;
        };
        let plan = cx.plan.units.iter().find(|plan| plan.number == *light);
        if let Some(plan) = plan {
            symbol::light(flow.page(), plan.kind, [x, y], SYMBOL, 0.0);
            let address = plan.address.map_or_else(String::new, |slot| format!("{slot:03}"));
            flow.page().text([x, y + 3.4 + small.leading()], Anchor::Middle, small, address);
        }
        flow.page().text([x, y - SYMBOL * 0.7], Anchor::Middle, number, light.to_string());
        if n + 1 < stops.len() && column + 1 == per_row {
            flow.page().line(&[[x + SYMBOL * 0.55, y], [x + step * 0.5, y]], stroke);
        }
        if line.terminator == Some(*light) && n + 1 == stops.len() {
            let at = [x + SYMBOL * 0.5 + 3.0, y];
            flow.page().line(&[[x + SYMBOL * 0.5, y], at], stroke);
            symbol::terminator(flow.page(), at, 1.8);
        }
    }
    flow.gap(1.5);
}
