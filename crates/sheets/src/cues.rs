//! The cue sheet and the run sheet of tonight.

use lanthorn_show::tell;
use lanthorn_show::{Cue, Look};

use crate::Context;
use crate::layout::{Column, Flow, Sheet, TICK, Table, capital};

/// One cue as it is told.
pub(crate) struct Told {
    pub(crate) number: String,
    pub(crate) name: String,
    /// Words for the person.
    pub(crate) note: String,
    /// What happens, a sentence.
    pub(crate) what: String,
    pub(crate) fade: String,
    /// What follows by itself; empty: a person presses Go.
    pub(crate) follow: String,
}

/// Every cue, in order.
pub(crate) fn told(cx: &Context<'_>) -> Vec<Told> {
    let one = |(index, cue): (usize, &Cue)| Told {
        number: cue.number.clone(),
        name: cue.name.clone(),
        note: cue.note.clone(),
        what: capital(&tell::plain(&tell::cue(index, cx.show, cx.rig))),
        fade: tell::span(cue.fade),
        follow: cue.follow.map_or_else(String::new, |after| format!("{} later", tell::span(after))),
    };
    cx.show.cues.iter().enumerate().map(one).collect()
}

/// The sheet.
pub(crate) fn sheet(cx: &Context<'_>) -> Sheet {
    let paper = cx.options.paper;
    let size = if cx.style.large { paper.lying() } else { paper.upright() };
    let mut flow = Flow::new(&cx.fonts, cx.style, size);
    flow.title(
        "Cues and run sheet",
        "The evening in order. Each cue waits for its moment; press Go when it comes.",
    );
    let mut table = Table::new(vec![
        Column::new("cue").right().strong(),
        Column::new("when").share(1.0).noted(),
        Column::new("what happens").share(2.0),
        Column::new("fade").right(),
        Column::new("then"),
        Column::new("went").share(0.35),
    ]);
    for cue in told(cx) {
        let when = if cue.note.is_empty() { cue.name } else { format!("{}\n{}", cue.name, cue.note) };
        let then = if cue.follow.is_empty() { "Go".to_owned() } else { cue.follow };
        table.row(vec![cue.number, when, cue.what, cue.fade, then, String::new()]);
    }
    if table.is_empty() {
        flow.words("The evening is blank: no cues yet.", cx.style.note());
    } else {
        flow.table(&table);
    }
    tonight(cx, &mut flow);
    let mut heads = vec!["Haze", "Eyes", "Exits"];
    if flashes(cx) {
        heads.insert(0, "Strobe");
    }
    let cautions = cx.cautions(&heads);
    flow.cautions(&cautions);
    if flashes(cx) {
        let limit = cx.rig.limits.in_force().get();
        let agreed =
            cx.rig.limits.flash_reason.as_deref().map_or_else(String::new, |why| format!(" Agreed: {why}."));
        flow.gap(3.0);
        let words = format!("Limit set here: {limit:.1} flashes a second, over every light in view.{agreed}");
        flow.words(&words, cx.style.body());
        flow.gap(2.0);
        flow.fields(&[
            "The venue’s limit, flashes a second",
            "Asked (name, date)",
            "Notices are up at (entrances)",
        ]);
    }
    flow.end("Cues and run sheet")
}

/// Whether a look flashes, or there is a strobe that could.
fn flashes(cx: &Context<'_>) -> bool {
    let look = |look: &Look| look.parts.iter().any(|part| part.strobe.is_some());
    cx.show.looks.iter().any(look) || cx.caution("Strobe").is_some()
}

/// The looks and chases that have a pad tonight, in their order.
fn tonight(cx: &Context<'_>, flow: &mut Flow<'_>) {
    let all = || {
        let looks = cx.show.looks.iter().map(|look| look.name.clone());
        looks.chain(cx.show.chases.iter().map(|chase| chase.name.clone())).collect()
    };
    let names: Vec<String> = cx.show.tonight.clone().unwrap_or_else(all);
    if names.is_empty() {
        return;
    }
    flow.heading("Tonight", 24.0);
    flow.words("Looks and chases that are at hand, in the order of their pads. The last column is for keys of your own.", cx.style.note());
    flow.gap(1.5);
    let mut table = Table::new(vec![
        Column::new("pad").right(),
        Column::new("name").strong().share(0.7),
        Column::new("what it is").share(2.6),
        Column::new("key"),
    ]);
    for (n, name) in (1..).zip(&names) {
        table.row(vec![format!("{n}"), name.clone(), what(cx, name), TICK.to_owned()]);
    }
    flow.table(&table);
}

/// A look or a chase in sentences.
fn what(cx: &Context<'_>, name: &str) -> String {
    if let Some(index) = cx.show.look_index(name) {
        let parts = tell::look(&cx.show.looks[index], cx.show, cx.rig);
        return parts.iter().map(|words| capital(&tell::plain(words))).collect::<Vec<_>>().join(" ");
    }
    if let Some(index) = cx.show.chase_index(name) {
        let words = tell::plain(&tell::chase(&cx.show.chases[index], cx.show));
        let told = words.strip_prefix(name).map(|rest| rest.trim_start_matches([':', ' '])).unwrap_or(&words);
        return format!("Chase: {told}");
    }
    "not in this show".to_owned()
}
