//! The cautions that apply, and the records that somebody keeps of having minded them.

use crate::Context;
use crate::layout::{Flow, Sheet};

/// What no plan can see: printed for those whom it concerns.
const IF_IT_APPLIES: [&str; 3] = [
    "Generator: outdoors, level and refuelled only when cold; exhaust away from people; earthed as its maker and the local \
     code say.",
    "Out of doors: nothing but units and connectors rated for rain, plugs off the ground; stop for lightning, or when water \
     gets in; wind has a limit and a named person who lowers what stands up.",
    "Batteries: charged with somebody there, on a hard surface, away from the way out. A swollen, hot or dropped pack goes \
     outside and is not used again.",
];

const RECORDS: [&str; 7] = [
    "Checked by",
    "Date and time",
    "Licensed or competent person",
    "RCD test pressed (time)",
    "Emergency stop and isolator",
    "Nearest exit and extinguisher",
    "Agreed with the venue (what, who)",
];

/// The sheet.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let mut flow = Flow::new(&cx.fonts, cx.style, cx.options.paper.upright());
    flow.title(
        "Cautions",
        "What to mind with a rig like this one. Read it before the first lead is unrolled.",
    );
    flow.cautions(&cx.plan.cautions);
    let rest = IF_IT_APPLIES.map(str::to_owned);
    flow.heading("Only where it applies", 24.0);
    flow.cautions(&rest);
    flow.heading("Records", 70.0);
    flow.fields(&RECORDS);
    flow.end("Cautions")
}
