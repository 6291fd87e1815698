//! The key under the plan: what its signs mean.

use std::collections::BTreeSet;

use lanthorn_fixture::profile::Kind;
use lanthorn_rig::plan::Severity;

use crate::Context;
use crate::drawing::{Anchor, At, Dash, Drawing, Ink, Stroke, Type};
use crate::facts;
use crate::layout::{Flow, LEFT, capital, triangle};
use crate::symbol;

/// Draws a sign about a place.
type Sign = Box<dyn Fn(&mut Drawing, At)>;

/// One entry: how wide its sign is, what draws it, what it means.
struct Entry {
    wide: f64,
    sign: Sign,
    words: String,
}

fn entry(wide: f64, words: &str, sign: impl Fn(&mut Drawing, At) + 'static) -> Entry {
    Entry { wide, sign: Box::new(sign), words: capital(words) }
}

/// Prints the key in rows.
pub(super) fn key(cx: &Context<'_>, flow: &mut Flow<'_>) {
    let with = cx.style.small();
    let row = with.leading().max(6.0);
    let (mut x, right) = (LEFT, LEFT + flow.width());
    flow.gap(1.5);
    flow.need(row);
    for entry in entries(cx) {
        let long = entry.wide + 1.6 + with.width(&cx.fonts, &entry.words);
        if x > LEFT && x + long > right {
            flow.took(row);
            flow.need(row);
            x = LEFT;
        }
        let y = flow.y() + row / 2.0;
        (entry.sign)(flow.page(), [x + entry.wide / 2.0, y]);
        let at = [x + entry.wide + 1.6, y + with.cap() / 2.0];
        let text = flow.fonts.wrap(with.face, with.size, &entry.words, right - at[0]);
        flow.page().text(at, Anchor::Start, with, text.into_iter().next().unwrap_or_default());
        x += long + 5.5;
    }
    flow.took(row);
    let address = if cx.plan.universes.len() > 1 { "universe and start address" } else { "start address" };
    let words = format!(
        "By each light: its number, with its circuit in a circle; its {address}; the straight way to its focus or, for \
         a head that moves, to the first mark. Cables show the order, not the length."
    );
    flow.words(&words, Type { ink: Ink::Mid, ..with });
}

fn entries(cx: &Context<'_>) -> Vec<Entry> {
    let kinds: BTreeSet<Kind> = cx.rig.units.iter().map(|unit| unit.profile.kind).collect();
    let light =
        |kind| entry(5.4, symbol::words(kind), move |page, at| symbol::light(page, kind, at, 5.0, 0.0));
    let mut entries: Vec<Entry> = kinds.into_iter().map(light).collect();
    for (n, line) in cx.plan.lines.iter().enumerate() {
        let stroke = Stroke::solid(0.35, Ink::Dark).dash(Dash::ALL[n % Dash::ALL.len()]);
        let words = format!("data, {}", line.name);
        entries.push(entry(9.0, &words, move |page, [x, y]| {
            page.line(&[[x - 4.5, y], [x + 4.5, y]], stroke);
        }));
    }
    if cx.plan.lines.iter().any(|line| line.terminator.is_some()) {
        entries.push(entry(3.0, "terminator", |page, at| symbol::terminator(page, at, 1.5)));
    }
    for circuit in &cx.plan.circuits {
        let letter = facts::circuit_letter(cx.plan, &circuit.name).unwrap_or_default();
        let words = format!("circuit {letter}: {}, {:.0} A", circuit.name, circuit.breaker_amps);
        entries.push(entry(2.2, &words, |page, at| symbol::socket(page, at, 1.6)));
    }
    if !cx.rig.room.marks.is_empty() {
        entries.push(entry(2.2, "mark", |page, at| symbol::mark(page, at, 1.0)));
    }
    if cx.plan.findings.iter().any(|finding| finding.severity != Severity::Note) {
        entries.push(entry(3.4, "with a number: see “To look at”", |page, at| {
            triangle(page, at, 1.5, None)
        }));
    }
    entries
}
