//! Scored tracks to text.

use lanthorn_show::score::{Line, Place};
use lanthorn_show::{Score, ScorePart, StepTime};

use super::{several, step_time};
use crate::ink::{line, list, number, quoted, time};
use crate::words::{LINE_KINDS, word};

pub(super) fn score(out: &mut String, score: &Score) {
    several(out, "score");
    line(out, "name", &quoted(&score.name));
    line(out, "file", &quoted(&score.file));
    line(out, "length", &time(score.length));
    match &score.metres[..] {
        [] => {}
        [all] if all.bar == 1 && all.of > 0 => line(out, "beats", &all.of.to_string()),
        several => {
            let each = several.iter().map(|metre| format!("{{ bar = {}, of = {} }}", metre.bar, metre.of));
            line(out, "beats", &list(each));
        }
    }
    if !score.bars.is_empty() {
        line(out, "bars", &list(score.bars.iter().map(|at| number(at.secs()))));
    }
    if !score.lines.is_empty() {
        line(out, "lines", &list(score.lines.iter().map(form_line)));
    }
    score.parts.iter().for_each(|one| part(out, one));
}

fn form_line(form: &Line) -> String {
    let mut keys = format!("bar = {}, kind = {}", form.bar, quoted(word(LINE_KINDS, &form.kind)));
    if !form.name.is_empty() {
        keys.push_str(&format!(", name = {}", quoted(&form.name)));
    }
    if let Some(energy) = form.energy {
        keys.push_str(&format!(", energy = {}", number(energy)));
    }
    format!("{{ {keys} }}")
}

fn part(out: &mut String, part: &ScorePart) {
    several(out, "score.part");
    match part.place {
        Place::Bar { bar, beat } => {
            line(out, "bar", &bar.to_string());
            if beat > 1 {
                line(out, "beat", &beat.to_string());
            }
        }
        Place::Time(at) => line(out, "time", &time(at)),
    }
    if let Some(look) = &part.look {
        line(out, "look", &quoted(look));
    }
    if let Some(chases) = &part.chases {
        line(out, "chases", &list(chases.iter().map(|chase| quoted(chase))));
    }
    line(out, "fade", &time(part.fade));
    if let Some(dark) = part.dark {
        let one = dark == StepTime::Beats(1.0);
        line(out, "dark", &if one { quoted("1 beat") } else { step_time(dark) });
    }
    if !part.why.is_empty() {
        line(out, "why", &quoted(&part.why));
    }
}
