//! Scored tracks as a page draws and edits them.

use lanthorn_physics::Span;
use lanthorn_physics::colour::screen_hex;
use lanthorn_show::score::Place;
use lanthorn_show::{Score, Show, tell};
use lanthorn_store::change::Value;
use lanthorn_store::values::Table;

use crate::current::Text;
use crate::run::score::minutes;
use crate::wire::{ScoreLineView, ScorePartView, ScoreView};

/// So many colours of a look are shown.
const COLOURS: usize = 3;

/// Every score, as the show and its text have it.
pub(super) fn views(show: &Show, text: &Text) -> Vec<ScoreView> {
    let one = |(index, score): (usize, &Score)| view(show, score, text.values.scores.get(index));
    show.scores.iter().enumerate().map(one).collect()
}

fn view(show: &Show, score: &Score, written: Option<&Table>) -> ScoreView {
    let tables = match written.and_then(|score| score.get("part")) {
        Some(Value::List(parts)) => &parts[..],
        _ => &[],
    };
    let line = |line: &lanthorn_show::score::Line| ScoreLineView {
        at_s: score.bar_at(line.bar).unwrap_or_default().secs(),
        bar: line.bar,
        kind: line.kind.word().to_owned(),
        name: line.name.clone(),
        energy: line.energy,
    };
    ScoreView {
        name: score.name.clone(),
        file: score.file.clone(),
        length_s: score.length.secs(),
        bars: score.bars.iter().map(|at| at.secs()).collect(),
        beats: (1..=score.bar_count()).map(|bar| u32::from(score.beats_of(bar))).collect(),
        lines: score.lines.iter().map(line).collect(),
        parts: score.order().into_iter().filter_map(|index| part(show, score, index, tables)).collect(),
    }
}

fn part(show: &Show, score: &Score, index: usize, written: &[Value]) -> Option<ScorePartView> {
    let part = &score.parts[index];
    let (dark, at) = score.span_of(part)?;
    let standing = score.standing(at);
    let look = standing.look.and_then(|name| show.looks.iter().find(|look| look.name == name));
    let colours = look.map(tell::look_colours).unwrap_or_default();
    Some(ScorePartView {
        part: index as u32 + 1,
        at_s: at.secs(),
        place: place(part.place),
        dark_s: dark.secs(),
        look: standing.look.map(str::to_owned),
        chases: standing.chases.unwrap_or_default().to_vec(),
        colours: colours.into_iter().take(COLOURS).map(screen_hex).collect(),
        why: part.why.clone(),
        values: match written.get(index) {
            Some(Value::Table(values)) => values.clone(),
            _ => Table::new(),
        },
    })
}

fn place(place: Place) -> String {
    match place {
        Place::Bar { bar, beat: 0 | 1 } => format!("bar {bar}"),
        Place::Bar { bar, beat } => format!("bar {bar}, beat {beat}"),
        Place::Time(at) => minutes(at.max(Span::ZERO).secs()),
    }
}
