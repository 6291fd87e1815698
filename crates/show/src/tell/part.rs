//! One sentence of a look.

use lanthorn_fixture::profile::Kind;
use lanthorn_physics::colour::Objective;
use lanthorn_physics::units::Lux;
use lanthorn_rig::Rig;

use super::sentence::Sentence;
use super::{figure, list, number, place};
use crate::light_level::LuxAnswer;
use crate::player::lights_of;
use crate::{Aim, Band, Part, Show, Spread, Who};

/// How much of a sentence is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Detail {
    Whole,
    /// For a cue: without the figures of a figure.
    Glance,
}

/// Who, where, what colour, how bright, and what else. `answer`: what a light level that it asks for comes to.
pub(super) fn tell(
    part: &Part,
    answer: Option<&LuxAnswer>,
    (show, rig): (&Show, &Rig),
    detail: Detail,
    sentence: &mut Sentence,
) {
    sentence.say_of("who", &who(&part.who, rig));
    let figure = part.figure.as_deref().and_then(|name| show.figure(name));
    let aim = figure.and_then(|figure| figure.centre.as_ref()).or(part.aim.as_ref());
    match (figure, aim) {
        (Some(figure), Some(aim)) => {
            let one = is_one(&part.who, rig);
            figure::tell(figure, aim, &where_to(aim, rig), one, sentence);
            if detail == Detail::Whole {
                figure::details(figure, one, sentence);
            }
        }
        (None, Some(aim)) => _ = sentence.say(" ").say_of("aim", &where_to(aim, rig)),
        (_, None) => {}
    }
    colours(part, sentence);
    if let Some(mixing) = mixing(part) {
        sentence.say(mixing);
    }
    if let Some(level) = lux(part, answer).or_else(|| level(part)) {
        sentence.comma().say_of("level", &level);
    }
    for (of, extra) in extras(part) {
        sentence.comma().say_of(of, &extra);
    }
}

/// A name of one light, which goes with "circles" and not with "circle".
fn is_one(who: &Who, rig: &Rig) -> bool {
    match who {
        Who::All => false,
        Who::Units(numbers) => numbers.len() == 1,
        Who::Group(name) => !name.ends_with('s') && lights_of(who, rig).len() == 1,
    }
}

pub(super) fn who(who: &Who, rig: &Rig) -> String {
    match who {
        Who::All => "all lights".to_owned(),
        Who::Group(name) => name.clone(),
        Who::Units(numbers) => {
            let mut kinds: Vec<(Option<Kind>, Vec<u32>)> = Vec::new();
            for &number in numbers {
                let kind = rig.unit(number).map(|unit| unit.profile.kind);
                match kinds.iter_mut().find(|(known, _)| *known == kind) {
                    Some((_, of_kind)) => of_kind.push(number),
                    None => kinds.push((kind, vec![number])),
                }
            }
            let told: Vec<String> = kinds.iter().map(|(kind, numbers)| of_kind(*kind, numbers)).collect();
            list(&told.iter().map(String::as_str).collect::<Vec<_>>())
        }
    }
}

/// "spot 2", "heads 8, 9", "pars 3 to 6".
fn of_kind(kind: Option<Kind>, numbers: &[u32]) -> String {
    let (one, several) = match kind {
        Some(Kind::WashHead) => ("head", "heads"),
        Some(Kind::SpotHead) => ("spot", "spots"),
        Some(Kind::Par) => ("par", "pars"),
        Some(Kind::Bar) => ("bar", "bars"),
        Some(Kind::Strobe) => ("strobe", "strobes"),
        Some(Kind::Hazer) => ("hazer", "hazers"),
        Some(Kind::Dimmer) => ("dimmer", "dimmers"),
        Some(Kind::Fresnel) => ("fresnel", "fresnels"),
        Some(Kind::ProfileSpot) => ("profile spot", "profile spots"),
        Some(Kind::Scanner) => ("scanner", "scanners"),
        Some(Kind::Flood) => ("flood", "floods"),
        Some(Kind::Blinder) => ("blinder", "blinders"),
        Some(Kind::Effect) => ("effect light", "effect lights"),
        Some(Kind::Fogger) => ("fogger", "foggers"),
        Some(Kind::Machine) => ("machine", "machines"),
        None => ("light", "lights"),
    };
    let run = numbers.len() > 2 && numbers.windows(2).all(|pair| pair[0].checked_add(1) == Some(pair[1]));
    match numbers {
        [only] => format!("{one} {only}"),
        [first, .., last] if run => format!("{several} {first} to {last}"),
        _ => {
            let numbers: Vec<String> = numbers.iter().map(u32::to_string).collect();
            format!("{several} {}", numbers.join(", "))
        }
    }
}

fn where_to(aim: &Aim, rig: &Rig) -> String {
    match aim {
        Aim::Mark(name) => format!("on the {name}"),
        Aim::At(point) => place::on(*point, &rig.room),
        Aim::Line { from, to } => place::line(*from, *to, &rig.room),
    }
}

fn colours(part: &Part, sentence: &mut Sentence) {
    let last = part.colours.len().saturating_sub(1);
    for (place, ask) in part.colours.iter().enumerate() {
        let before = match (place, part.colour_spread) {
            (0, _) => ", ",
            (_, Spread::InOrder | Spread::FromTheMiddle) => " to ",
            (place, Spread::Even) if place == last => " and ",
            (_, Spread::Even) => ", ",
        };
        sentence.say(before).say_colour(ask);
    }
    if part.colours.len() > 1 {
        sentence.say(how_spread(part.colour_spread));
    }
}

/// "400 lx", "reaches 320 of 400 lx".
fn lux(part: &Part, answer: Option<&LuxAnswer>) -> Option<String> {
    let asked = part.lux?.lux.get();
    let figure = |lux: f64| number(if lux < 10.0 { (lux * 10.0).round() / 10.0 } else { lux.round() });
    let plainly = format!("{} lx", figure(asked));
    let Some(answer) = answer.filter(|answer| !answer.is_met() && !answer.at.is_empty()) else {
        return Some(plainly);
    };
    let at_least = if answer.unknown.is_empty() { "" } else { "at least " };
    Some(match answer.reached.map(Lux::get) {
        None => format!("{plainly} asked for, brightness not known"),
        Some(reached) if reached > asked => {
            format!("dark, for {at_least}{} of {plainly} are there already", figure(reached))
        }
        Some(reached) => format!("reaches {at_least}{} of {plainly}", figure(reached)),
    })
}

fn mixing(part: &Part) -> Option<&'static str> {
    match (part.mixing, part.matched) {
        (Objective::MostLight, false) => None,
        (Objective::MostLight, true) => Some(", matched"),
        (Objective::BestRendering, false) => Some(" for faces"),
        (Objective::BestRendering, true) => Some(" for faces, matched"),
        (Objective::LeastPower, false) => Some(" with the fewest watts"),
        (Objective::LeastPower, true) => Some(" with the fewest watts, matched"),
    }
}

fn level(part: &Part) -> Option<String> {
    let percent = |level: f64| number((level * 100.0).round());
    // A hazer has no light to speak of.
    if (part.haze > 0.0 || part.fan > 0.0) && part.colours.is_empty() {
        return None;
    }
    match part.level_to {
        Some(to) => {
            let between = if part.level_spread == Spread::Even { "and" } else { "to" };
            let spread = how_spread(part.level_spread);
            Some(format!("{} {between} {} %{spread}", percent(part.level.0), percent(to.0)))
        }
        None if part.level.0 > 0.0 => Some(format!("{} %", percent(part.level.0))),
        None => Some("dark".to_owned()),
    }
}

fn how_spread(spread: Spread) -> &'static str {
    match spread {
        Spread::Even => " by turns",
        Spread::InOrder => " in order",
        Spread::FromTheMiddle => " from the middle",
    }
}

fn extras(part: &Part) -> Vec<(&'static str, String)> {
    let percent = |name: &'static str, value: f64| {
        (value > 0.0).then(|| (name, format!("{name} {} %", number((value * 100.0).round()))))
    };
    [
        part.sound.map(|band| {
            let word = match band {
                Band::Low => "low",
                Band::Middle => "middle",
                Band::High => "high",
            };
            match &part.sound_colour {
                Some(colour) => ("sound_colour", format!("from {} with the {word} sound", colour.text)),
                None => ("sound", format!("with the {word} sound")),
            }
        }),
        part.strobe.map(|rate| ("strobe", format!("{} flashes a second", number(rate.get())))),
        part.gobo.as_ref().map(|gobo| ("gobo", format!("gobo {gobo}"))),
        part.prism.then(|| ("prism", "prism".to_owned())),
        part.zoom.map(|zoom| ("zoom", format!("beam {}°", number(zoom.deg())))),
        part.focus.map(|focus| ("focus", format!("focus {} %", number((focus * 100.0).round())))),
        percent("frost", part.frost),
        percent("iris", part.iris),
        percent("haze", part.haze),
        percent("fan", part.fan),
    ]
    .into_iter()
    .flatten()
    .collect()
}
