//! What each channel of a mode is for: by its name, the words of its ranges, and the channels around it.

use super::super::Light;
use super::super::meaning::Around;
use super::super::subject::{self, Subject};
use super::super::table::{RawChannel, RawRange};
use super::super::words::{self, Said};

/// A second channel of gobos or colours turns a second wheel.
pub(super) fn second_wheels(channels: &[RawChannel], subjects: &mut [Option<Subject>]) {
    for (first, second) in [(Subject::Gobo(1), Subject::Gobo(2)), (Subject::Wheel(1), Subject::Wheel(2))] {
        let mut seen = false;
        for subject in subjects.iter_mut().filter(|subject| **subject == Some(first)) {
            if seen {
                *subject = Some(second);
            }
            seen = true;
        }
    }
    // "Metal gobo rotation" turns the wheel of "metal gobos".
    let named = |wheel: Subject| {
        let at = subjects.iter().position(|subject| *subject == Some(wheel));
        at.and_then(|at| channels.get(at)).map(|channel| Said::new(&channel.name))
    };
    let (Some(first), Some(second)) = (named(Subject::Gobo(1)), named(Subject::Gobo(2))) else { return };
    let own: Vec<&str> =
        second.words().filter(|word| word.len() > 3 && !first.words().any(|other| other == *word)).collect();
    for (channel, subject) in channels.iter().zip(subjects.iter_mut()) {
        let said = Said::new(&channel.name);
        if said.words().any(|word| own.contains(&word)) {
            *subject = match *subject {
                Some(Subject::GoboSpin(1)) => Some(Subject::GoboSpin(2)),
                Some(Subject::GoboIndex(1)) => Some(Subject::GoboIndex(2)),
                Some(Subject::GoboShake(1)) => Some(Subject::GoboShake(2)),
                other => other,
            };
        }
    }
}

/// Cyan, magenta and yellow without red and green are filters in front of a lamp.
pub(super) fn subtractive(subjects: &mut [Option<Subject>]) {
    let has = |attr: &str, subjects: &[Option<Subject>]| {
        subjects.iter().flatten().any(|subject| {
            *subject
                == Subject::Emitter(match attr {
                    "C" => "ColorAdd_C",
                    "M" => "ColorAdd_M",
                    "Y" => "ColorAdd_Y",
                    "R" => "ColorAdd_R",
                    _ => "ColorAdd_G",
                })
        })
    };
    let filters =
        ["C", "M", "Y"].iter().all(|attr| has(attr, subjects)) && !has("R", subjects) && !has("G", subjects);
    if !filters {
        return;
    }
    for subject in subjects.iter_mut() {
        *subject = match *subject {
            Some(Subject::Emitter("ColorAdd_C")) => Some(Subject::Sub("ColorSub_C")),
            Some(Subject::Emitter("ColorAdd_M")) => Some(Subject::Sub("ColorSub_M")),
            Some(Subject::Emitter("ColorAdd_Y")) => Some(Subject::Sub("ColorSub_Y")),
            other => other,
        };
    }
}

/// Where no name stands apart, the first of two cells beside the first values may be one.
pub(super) fn named(raw: &RawChannel) -> RawChannel {
    let mut channel = raw.clone();
    if channel.name.is_empty()
        && let Some(first) = channel.ranges.first()
    {
        if let Some((name, label)) = first.label.split_once("  ") {
            let others = channel.ranges[1..].iter().filter(|range| range.label.contains("  ")).count();
            let lone = channel.ranges.len() == 1;
            if (lone || others * 2 < channel.ranges.len()) && subject::subject(name).is_some() {
                let (name, label) = (name.trim().to_owned(), label.trim().to_owned());
                channel.name = name;
                channel.ranges[0].label = label;
            }
        } else if channel.ranges.len() > 1
            && let Some((name, label)) = first.label.split_once(':')
            && subject::subject(name).is_some()
            && channel.ranges[1..].iter().all(|range| !range.label.contains(':'))
        {
            let (name, label) = (name.trim().to_owned(), label.trim().to_owned());
            channel.name = name;
            channel.ranges[0].label = label;
        }
    }
    channel
}

/// A lamp that is struck and put out, not one of several that are dimmed.
fn is_struck(channel: &RawChannel) -> bool {
    const LAMP: &str = "lamp|lampe|lampara|lampada";
    let switches = |range: &RawRange| {
        let said = Said::new(&range.label);
        said.has(LAMP) && said.has("on|off|ein|aus|encendida|apagada|accesa|spenta")
    };
    channel.ranges.len() > 1 && Said::new(&channel.name).only(LAMP) && channel.ranges.iter().any(switches)
}

/// What a channel is for: by its name, or by the words of its ranges together.
pub(super) fn subject(channel: &RawChannel) -> Option<Subject> {
    use Subject as S;
    let by_name = subject::subject(&channel.name);
    let says = |words: &str| channel.ranges.iter().any(|range| Said::new(&range.label).has(words));
    if by_name == Some(S::Fan) && channel.ranges.len() > 1 && says(words::FAN_MODES) {
        return Some(S::FanMode);
    }
    if by_name == Some(S::Dimmer) && is_struck(channel) {
        return Some(S::Lamp);
    }
    if by_name.is_some_and(|subject| !matches!(subject, S::Nothing)) {
        return by_name;
    }
    if !channel.name.is_empty() && channel.ranges.len() == 1 && by_name.is_none() {
        return subject::subject(&channel.ranges[0].label);
    }
    by_ranges(channel).or(by_name)
}

/// What the words of its ranges say together.
fn by_ranges(channel: &RawChannel) -> Option<Subject> {
    use Subject as S;
    let says = |words: &str| channel.ranges.iter().any(|range| Said::new(&range.label).has(words));
    let resets = |range: &&RawRange| Said::new(&range.label).has(words::RESET);
    let of_ranges: Vec<(Option<Subject>, &RawRange)> = channel
        .ranges
        .iter()
        .filter(|range| !resets(range))
        .map(|range| (subject::subject(&range.label), range))
        .collect();
    if of_ranges.is_empty() {
        return Some(S::Reset);
    }
    let any =
        |wanted: &dyn Fn(Subject) -> bool| of_ranges.iter().any(|(subject, _)| subject.is_some_and(wanted));
    // "White LEDs off", "strobe", "white LEDs steady" are no colours to choose from.
    let flashes = any(&|s| s == S::Strobe);
    let switched = |range: &RawRange| {
        let said = Said::new(&range.label);
        flashes && (said.has(words::OFF) || said.has(words::OPEN))
    };
    let colours = of_ranges
        .iter()
        .filter(|(subject, range)| {
            (matches!(subject, Some(S::Emitter(_) | S::Wheel(_))) || is_colour(&range.label))
                && !switched(range)
        })
        .count();
    if channel.ranges.len() == 1 {
        return of_ranges.first().and_then(|(subject, _)| *subject);
    }
    let shuts = says("open|closed|blackout|shutter|offen|geschlossen|ouvert|ferme");
    if let Some(S::Dimmer) = of_ranges
        .iter()
        .find_map(|(subject, range)| subject.filter(|_| subject::is_output(&Said::new(&range.label))))
    {
        return Some(S::Dimmer);
    }
    let patterns_run = says(words::SOUND) && !says("gobo|gobos|goborad|shake|shaking");
    if any(&|s| s == S::Derby) {
        Some(S::Derby)
    } else if any(&|s| s == S::Laser) {
        Some(S::Laser)
    } else if any(&|s| matches!(s, S::Gobo(_))) && patterns_run {
        // Patterns that follow music are programmes: no wheel does.
        Some(S::Programme)
    } else if any(&|s| matches!(s, S::Gobo(_) | S::GoboShake(_))) {
        Some(S::Gobo(1))
    } else if colours >= 2 {
        // No wheel stands before LEDs.
        let leds = Said::new(&channel.name).has("led|leds");
        Some(if leds { S::Macro } else { S::Colour(1) })
    } else if any(&|s| s == S::Dimmer) {
        Some(S::Dimmer)
    } else if any(&|s| s == S::Strobe) || shuts && any(&|s| s == S::Shutter) {
        Some(if shuts { S::Shutter } else { S::Strobe })
    } else if let Some(n) = of_ranges.iter().find_map(|(subject, _)| match subject {
        Some(S::Prism(n) | S::PrismSpin(n) | S::PrismIndex(n)) => Some(*n),
        _ => None,
    }) {
        Some(S::Prism(n))
    } else if any(&|s| s == S::Fan) && says(words::FAN_MODES) {
        Some(S::FanMode)
    } else if let Some(machine) = [S::Fog, S::Haze, S::Emission].into_iter().find(|m| any(&|s| s == *m)) {
        Some(machine)
    } else if any(&|s| s == S::Macro) {
        Some(S::Macro)
    } else if any(&|s| matches!(s, S::Programme | S::Sound)) {
        Some(S::Programme)
    } else if any(&|s| s == S::Reset) {
        Some(S::Reset)
    } else {
        of_ranges.iter().find_map(|(subject, _)| subject.filter(|s| !matches!(s, S::Nothing)))
    }
}

pub(super) fn is_colour(label: &str) -> bool {
    Said::new(label).has("red|green|blue|yellow|yel|grn|org|cyn|pnk|magenta|cyan|orange|purple|pink|violet|rose|turquoise|lavender|indigo|rot|grun|\
        blau|gelb|rouge|vert|bleu|jaune|rojo|azul|amarillo|rosso|blu|giallo|light blue|amber|lila")
}

/// What comes out of a haze machine is haze, colours to choose from are a wheel's where there is one, and patterns of a light
/// that mixes its colours are programmes, if the channel does not say.
pub(super) fn by_light(channels: &[RawChannel], subjects: &mut [Option<Subject>], whole: Light) {
    use Subject as S;
    let mixes = subjects.iter().flatten().any(|subject| *subject == S::Emitter("ColorAdd_R"));
    let gobos = |channel: &RawChannel| {
        let mut words = channel.ranges.iter().map(|range| &range.label).chain(std::iter::once(&channel.name));
        words.any(|words| Said::new(words).has("gobo*|wheel|rad|roue|rueda|ruota"))
    };
    let has_gobos = channels.iter().any(gobos);
    for subject in subjects.iter_mut() {
        *subject = match *subject {
            Some(S::Emission) => Some(if whole.haze { S::Haze } else { S::Fog }),
            Some(S::Macro) if whole.wheels => Some(S::Wheel(1)),
            Some(S::Gobo(_)) if mixes && !has_gobos => Some(S::Programme),
            other => other,
        };
    }
}

pub(super) fn around(subjects: &[Option<Subject>], whole: Light) -> Around {
    use Subject as S;
    let any = |wanted: &dyn Fn(S) -> bool| subjects.iter().flatten().any(|subject| wanted(*subject));
    let mixes = any(&|s| matches!(s, S::Emitter("ColorAdd_R" | "ColorAdd_G")));
    let moves = any(&|s| matches!(s, S::Pan | S::Tilt | S::PanEndless | S::TiltEndless));
    let light = any(&|s| {
        matches!(
            s,
            S::Emitter(_)
                | S::Wheel(_)
                | S::Gobo(_)
                | S::Colour(_)
                | S::Shutter
                | S::Sub(_)
                | S::Macro
                | S::Programme
        )
    });
    Around {
        mixes: mixes || whole.mixes,
        moves,
        programmes: any(&|s| matches!(s, S::Programme | S::Sound | S::Control)),
        only_flashes: !light && !moves,
        on_beside: false,
        by_words: false,
    }
}
