//! What was seen, as findings: one for each cue, chase or look and each reason, naming the worst of it.

use std::collections::BTreeMap;

use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_show::Show;

use super::watch::{Cause, Miss, Whose};

/// Off for longer than this, it is seen by everybody.
const LONG_SECS: f64 = 0.6;

pub(super) fn findings(show: &Show, rig: &Rig, seen: &[Miss]) -> Vec<Finding> {
    let mut groups: BTreeMap<(Whose, Cause), Vec<&Miss>> = BTreeMap::new();
    for miss in seen {
        let whose = match miss.whose {
            Whose::Chase { chase, .. } => Whose::Chase { chase, step: 0 },
            whole => whole,
        };
        groups.entry((whose, miss.cause)).or_default().push(miss);
    }
    groups.iter().filter_map(|((_, cause), misses)| finding(show, rig, *cause, misses)).collect()
}

fn finding(show: &Show, rig: &Rig, cause: Cause, misses: &[&Miss]) -> Option<Finding> {
    let worst = misses.iter().max_by(|a, b| a.metres.total_cmp(&b.metres))?;
    let longest = misses.iter().map(|miss| miss.secs()).fold(0.0, f64::max);
    let mut units: Vec<u32> = misses.iter().map(|miss| rig.units[miss.unit].number).collect();
    units.sort_unstable();
    units.dedup();
    let late = misses.iter().any(|miss| miss.is_late());
    let severity = match cause {
        Cause::TurnsOver if !late => Severity::Note,
        Cause::OutOfReach if misses.iter().any(|miss| miss.never) => Severity::Error,
        _ if longest > LONG_SECS => Severity::Caution,
        _ => Severity::Note,
    };
    let happens = happens(cause, &units, late);
    let worst_unit = rig.units[worst.unit].number;
    let step = match worst.whose {
        Whose::Chase { chase, step } => {
            let look = show.chases[chase].steps.get(step).map_or("", |step| &step.look);
            format!(", step {}, {look}", step + 1)
        }
        Whose::Cue(_) | Whose::Look(_) => String::new(),
    };
    let (place, title) = named(show, worst.whose);
    Some(Finding {
        severity,
        code: code(cause),
        what: format!("{title}: {happens}"),
        place,
        units,
        figure: Some(format!(
            "up to {:.1} m{}, {} (light {worst_unit}{step})",
            worst.metres,
            if cause == Cause::TurnsOver { " off it" } else { "" },
            if worst.never && cause == Cause::OutOfReach {
                "all the time".to_owned()
            } else {
                format!("for {longest:.1} s")
            }
        )),
        rule: "a lit beam stays within the radius of its spot; 0.3 s is let pass",
        source: "this tool",
        remedy: remedy(cause, late).to_owned(),
    })
}

/// "lights 2 and 3 are off their spots while lit, for …"
fn happens(cause: Cause, units: &[u32], late: bool) -> String {
    let does = match (cause, units.len()) {
        (Cause::TurnsOver, 1) if late => "turns over while lit and comes late",
        (Cause::TurnsOver, _) if late => "turn over while lit and come late",
        (Cause::TurnsOver, 1) => "turns over while lit",
        (Cause::TurnsOver, _) => "turn over while lit",
        (_, 1) => "is off its spot while lit",
        _ => "are off their spots while lit",
    };
    let lights = if units.len() == 1 { "light" } else { "lights" };
    format!("{lights} {} {does}, {}", listed(units), why(cause))
}

/// "cue 7", and "Cue 7, First dance".
fn named(show: &Show, whose: Whose) -> (String, String) {
    match whose {
        Whose::Cue(cue) => {
            let cue = &show.cues[cue];
            (format!("cue {}", cue.number), format!("Cue {}, {}", cue.number, cue.name))
        }
        Whose::Chase { chase, .. } => {
            let name = &show.chases[chase].name;
            (format!("chase {name}"), format!("Chase {name}"))
        }
        Whose::Look(look) => {
            let name = &show.looks[look].name;
            (format!("look {name}"), format!("Look {name}"))
        }
    }
}

fn code(cause: Cause) -> &'static str {
    match cause {
        Cause::OutOfReach => "move-out-of-reach",
        Cause::StillOnItsWay => "move-still-on-its-way",
        Cause::PanStop => "move-at-stop",
        Cause::UnderTheHead => "move-under-head",
        Cause::TooSlow => "move-too-fast",
        Cause::TurnsOver => "move-turns-over",
    }
}

fn why(cause: Cause) -> &'static str {
    match cause {
        Cause::OutOfReach => "for it is out of reach",
        Cause::StillOnItsWay => "for it lights up before its motors are there",
        Cause::PanStop => "for the path runs beyond a stop of pan",
        Cause::UnderTheHead => "for the path passes under the head faster than pan can turn",
        Cause::TooSlow => "for the motors are too slow for it",
        Cause::TurnsOver => "for the straight path cannot be kept to its end",
    }
}

fn remedy(cause: Cause, late: bool) -> &'static str {
    match cause {
        Cause::OutOfReach => "Aim to where the light can reach, or hang or turn it otherwise",
        Cause::StillOnItsWay => "Give it a longer fade, or place it dark in the look or cue before",
        Cause::PanStop => {
            "Move it dark in between, turn the light on its bar, or do not lead the path round it"
        }
        Cause::UnderTheHead => "Lay the path further from the light's foot, or give it more time",
        Cause::TooSlow => "Give it a longer fade or step, or move it dark",
        Cause::TurnsOver if late => "Give it a longer fade, or move it dark in between",
        Cause::TurnsOver => {
            "Leave it if that sweep may be seen; or move it dark in between, or let it fade by way of another place"
        }
    }
}

/// "3", "3 and 4", "3, 4 and 5".
fn listed(numbers: &[u32]) -> String {
    let words: Vec<String> = numbers.iter().map(u32::to_string).collect();
    match &words[..] {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
