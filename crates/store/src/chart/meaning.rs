//! What a range does, by the words beside it and the name of its channel.

mod kinds;
mod none;

use super::figures::{goes_up_by_itself, number, quantity, seconds, sense, several, without_percent};
use super::subject::{self, Subject};
use super::words::{self, Said};
use crate::reading::{KindReading as Kind, Way};
use kinds::*;
use none::says_nothing;

/// What was understood of a range.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meaning {
    /// Name of the attribute in DIN SPEC 15800.
    pub(super) attr: String,
    pub(super) kind: Kind,
    pub(super) dir: Option<Way>,
    pub(super) state: Option<&'static str>,
    pub(super) danger: Option<&'static str>,
    pub(super) hold_s: Option<f64>,
    pub(super) phys: Option<(f64, f64)>,
    pub(super) unit: Option<&'static str>,
    /// The number that the words give to a gobo, a colour, a head.
    pub(super) number: Option<u32>,
    /// Nobody can say what the words mean.
    pub(super) unread: bool,
    /// The words can mean two things: both, in words.
    pub(super) either: Option<(&'static str, &'static str)>,
}

/// A reset of one motor of several: no attribute of the standard says which.
pub(super) const ONE_MOTOR: (&str, &str) = ("FixtureGlobalReset", "Control1");

/// What the other channels of the mode say about this one.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Around {
    /// It mixes its colour from red, green and blue.
    pub(super) mixes: bool,
    pub(super) moves: bool,
    pub(super) programmes: bool,
    /// Nothing but flashes: no colour, no movement.
    pub(super) only_flashes: bool,
    /// Another window of the same channel is plainly "on" or "open": its "off" is dark.
    pub(super) on_beside: bool,
    /// The words alone are being asked, by a channel's own reading of them.
    pub(super) by_words: bool,
}

/// A window of a channel that has others too (`one_of`), with its words, in a channel for `subject`.
pub(super) fn of(subject: Option<Subject>, label: &str, one_of: usize, around: Around) -> Meaning {
    let (percent, words) = without_percent(label);
    let label = words.as_str();
    let said = Said::new(label);
    let said = if said.has(words::NOTHING) { said } else { subject::corrected(&said).unwrap_or(said) };
    let mut meaning = attribute(subject, &said, one_of, around);
    let numbers = quantity(label);
    if let Some((_, _, "K")) = numbers
        && !matches!(subject, Some(Subject::Cto))
        && !matches!(meaning.kind, Kind::None)
    {
        // Whites from warm to cold, in steps or not: the words do not say.
        meaning = Meaning { either: Some(("CTO", "ColorMacro1")), ..set("CTO", Kind::Level) };
    }
    if let Some((from, to, unit)) = numbers {
        let fits = match unit {
            "deg" => matches!(
                meaning.attr.as_str(),
                "Pan" | "Tilt" | "Zoom" | "Gobo1Pos" | "Gobo2Pos" | "Prism1Pos" | "Prism2Pos"
            ),
            "Hz" => meaning.attr.contains("Strobe"),
            "ms" | "s" => meaning.attr == "StrobeDuration",
            "K" => meaning.attr == "CTO",
            "rpm" => meaning.attr.contains("Spin") || meaning.attr.contains("Rotate"),
            _ => false,
        };
        // A figure beyond all reason is a misprint: the words still say which way it goes.
        let most = if unit == "deg" {
            720.0
        } else if unit == "Hz" {
            1000.0
        } else {
            100_000.0
        };
        if fits
            && from.abs().max(to.abs()) <= most
            && (meaning.attr != "Zoom" || from.min(to) >= 0.0 && from.max(to) <= 180.0)
        {
            meaning.phys = Some((from, to));
            meaning.unit = Some(unit);
        }
        // More of CTO is warmer: fewer kelvin.
        let rises = (from < to) != (unit == "K");
        if meaning.kind == Kind::Level && fits {
            meaning.dir = Some(if rises { Way::Up } else { Way::Down });
        }
    }
    if meaning.kind == Kind::Level
        && let Some((from, to)) = percent
        && meaning.dir.is_none()
    {
        let falls = from > to;
        if falls || said.is_empty() || goes_up_by_itself(&meaning.attr) {
            meaning.dir = Some(if falls { Way::Down } else { Way::Up });
        }
    }
    if meaning.kind == Kind::Level {
        let place = |words: &str| words.split('|').find_map(|word| said.at(word));
        let warmth = place(WARM).zip(place(COLD));
        if let Some((warm, cold)) = warmth.filter(|_| meaning.attr == "CTO") {
            meaning.dir = Some(if cold < warm { Way::Up } else { Way::Down });
        } else if let Some(way) = sense(&said) {
            meaning.dir = Some(way);
        } else if meaning.dir.is_none() && goes_up_by_itself(&meaning.attr) {
            meaning.dir = Some(Way::Up);
        }
    } else {
        meaning.dir = None;
    }
    if matches!(meaning.danger, Some("reset" | "other" | "heater")) {
        meaning.hold_s = seconds(label);
    }
    meaning.number = number(&said);
    meaning
}

/// The words say which way it goes; else it is taken for granted.
pub(super) fn says_direction(label: &str) -> bool {
    let (percent, words) = without_percent(label);
    percent.is_some() || quantity(&words).is_some() || sense(&Said::new(&words)).is_some()
}

fn set(attr: &str, kind: Kind) -> Meaning {
    Meaning { attr: attr.to_owned(), kind, ..Meaning::default() }
}

fn state(attr: &str, state: &'static str) -> Meaning {
    Meaning { state: Some(state), ..set(attr, Kind::Fixed) }
}

fn nothing() -> Meaning {
    set("NoFeature", Kind::None)
}

fn programme(said: &Said) -> Meaning {
    let in_turn = said.has("in turn|in sequence|one after another|one after the other|nacheinander|in succession|a la suite|en secuencia");
    let kind = if several(said) && !in_turn {
        Kind::Select
    } else if sense(said).is_some() {
        Kind::Level
    } else {
        Kind::Fixed
    };
    Meaning { danger: Some("programme"), ..set("Effects1", kind) }
}

fn sound() -> Meaning {
    Meaning { state: Some("sound"), danger: Some("sound"), ..set("Effects1", Kind::Fixed) }
}

/// The attribute and how the values differ; level, direction and figures are filled in by the caller.
fn attribute(subject: Option<Subject>, said: &Said, one_of: usize, around: Around) -> Meaning {
    use Subject as S;
    let sole = one_of == 1;
    if said.has(words::RESET) && subject != Some(S::Speed) {
        let position = said.has("pan|tilt|position|xy") && !said.has("all|alles|tout|complete|motors");
        let attr = if position { "PositionReset" } else { "FixtureGlobalReset" };
        let one_motor = said.has("color|colour|gobo|prism|prisma|prisme|focus|zoom|farbrad|farbe|iris|frost|shutter|couleur|couleurs|colores|colore")
            && !said.has("all|alles|tout|complete|motors|whole");
        let either = (one_of > 1 && !position && one_motor).then_some(ONE_MOTOR);
        return Meaning { danger: Some("reset"), either, ..set(attr, Kind::Fixed) };
    }
    let moves = said.has(words::MOTION) && said.has(words::DURING);
    if said.has(words::DARK) && moves
        || said.has("blackout|black out") && said.has("move|moving|movement|change")
    {
        return set("BlackoutMode", Kind::Fixed);
    }
    if said.has(subject::SENSITIVITY) {
        return set("SoundSensitivity", Kind::Level);
    }
    let subject = match subject {
        Some(S::Colour(_)) if around.mixes => Some(S::Macro),
        Some(S::Colour(n)) => Some(S::Wheel(n)),
        other => other,
    };
    if let Some(meaning) = says_nothing(subject, said, around) {
        return meaning;
    }
    let may_listen =
        !sole || matches!(subject, None | Some(S::Sound | S::Programme | S::Control | S::Strobe));
    let to_music = said.has("a tempo di musica|au tempo de la musique|al tempo della musica");
    if may_listen && said.has(words::SOUND) && (to_music || !said.has(words::SPEED)) {
        return sound();
    }
    match subject {
        Some(subject) => by_subject(subject, said, one_of, around),
        None => by_words(said, around, one_of),
    }
}

/// In a channel whose purpose is known.
fn by_subject(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    use Subject as S;
    let sole = one_of == 1;
    match subject {
        S::Pan | S::PanFine => positional("Pan", said, one_of),
        S::Tilt | S::TiltFine => positional("Tilt", said, one_of),
        S::PanEndless => spin("PanRotate", said),
        S::TiltEndless => spin("TiltRotate", said),
        S::MoveSpeed => speeds("PositionMSpeed", said, one_of, around),
        S::Speed => any_speed(said, one_of, around),
        S::Dimmer | S::DimmerFine => dimmer(said, one_of, around),
        S::DimmerCurve => set(
            "DimmerCurve",
            if sense(said).is_some() {
                Kind::Level
            } else if several(said) {
                Kind::Select
            } else {
                Kind::Fixed
            },
        ),
        S::DimmerSpeed => {
            set("DimmerCurve", if sense(said).is_some() || sole { Kind::Level } else { Kind::Fixed })
        }
        S::Shutter | S::Strobe => shutter(subject, said, one_of, around),
        S::StrobeDuration => set("StrobeDuration", Kind::Level),
        S::Emitter(attr) => mixed(attr, said, one_of),
        S::Sub(attr) => mixed(attr, said, one_of),
        S::Cto => {
            if sole || sense(said).is_some() || has_level(said) || said.has("cold|warm|kalt|cool") {
                set("CTO", Kind::Level)
            } else {
                set("CTO", Kind::Fixed)
            }
        }
        S::Wheel(n) => wheel(n, said, one_of),
        S::WheelSpin(n) => wheel_spin(n, said, sole),
        S::Colour(n) => wheel(n, said, one_of),
        S::Macro => colour_macro(said, one_of),
        S::MacroSpeed => set("ColorMacro1Rate", Kind::Level),
        S::Gobo(n) => gobo(n, said, one_of),
        S::GoboShake(n) => Meaning { ..shake(n, said) },
        S::GoboSpin(n) => gobo_spin(n, said, one_of),
        S::GoboIndex(n) if said.has(words::TURN) || !sole && said.has(words::STOP) => {
            gobo_spin(n, said, one_of)
        }
        S::GoboIndex(n) => set(&format!("Gobo{n}Pos"), Kind::Level),
        S::Prism(n) => prism(n, said, one_of),
        S::PrismSpin(n) => prism_spin(n, said),
        S::PrismIndex(n) => set(&format!("Prism{n}Pos"), Kind::Level),
        S::Focus => mixed("Focus1", said, one_of),
        S::Zoom => mixed("Zoom", said, one_of),
        S::Iris => mixed("Iris", said, one_of),
        S::Frost => mixed("Frost1", said, one_of),
        S::Programme | S::Sound => programmes(subject, said, one_of, around),
        S::ProgrammeSpeed => speeds("Effects1Rate", said, one_of, around),
        S::Sensitivity => set("SoundSensitivity", Kind::Level),
        S::Reset | S::Control | S::Lamp | S::Display => control(subject, said, one_of, around),
        S::Fog | S::Emission => machine("Fog1", said, one_of),
        S::Haze => machine("Haze1", said, one_of),
        S::Fan => machine("Fan1", said, one_of),
        S::FanMode => set("FanMode", Kind::Fixed),
        S::Heater => Meaning { danger: Some("heater"), ..set("Control1", Kind::Fixed) },
        S::Derby => derby(said),
        S::Laser => laser(said, one_of),
        S::Fine => set("NoFeature", Kind::None),
        S::Nothing if sole || said.is_empty() => nothing(),
        S::Nothing => by_words(said, around, one_of),
    }
}

fn has_level(said: &Said) -> bool {
    said.has("0|100|linear|adjust*|gradually|stepless|continuous|variable|proportional|increase*|decrease*|stufenlos|\
        intensity|level|from")
}

/// Without a channel's name the words beside the values have to tell all.
fn by_words(said: &Said, around: Around, one_of: usize) -> Meaning {
    use Subject as S;
    if said.is_empty() || around.by_words {
        return Meaning { unread: true, ..nothing() };
    }
    let around = Around { by_words: true, ..around };
    if said.has(words::HOT) {
        return Meaning { danger: Some("heater"), ..set("Control1", Kind::Fixed) };
    }
    let text = said.words().collect::<Vec<_>>().join(" ");
    match subject::subject(&text) {
        Some(S::Nothing | S::Fine) => nothing(),
        Some(S::Colour(n)) if !around.mixes => wheel(n, said, one_of),
        Some(S::Emitter(attr)) if one_of == 1 => set(attr, Kind::Level),
        Some(S::Emitter(_)) if around.mixes => colour_macro(said, one_of),
        Some(S::Emitter(_)) => wheel(1, said, one_of),
        Some(S::Control | S::Display | S::Lamp) => {
            if said.has("lamp|lampe|lampara|lampada|brenner|bulb") {
                return Meaning { danger: Some("other"), ..set("LampControl", Kind::Fixed) };
            }
            if said.has("display") {
                return set("DisplayIntensity", Kind::Fixed);
            }
            Meaning { unread: one_of == 1, ..set("Control1", Kind::Fixed) }
        }
        Some(subject) => attribute(Some(subject), said, one_of, around),
        None if said.has(words::SOUND) => sound(),
        None if said.has(words::TURN) && !around.mixes => spin("Color1WheelSpin", said),
        None if one_of == 1 && sense(said).is_some() => {
            Meaning { unread: true, ..set("NoFeature", Kind::Level) }
        }
        None if said.has(OPEN_ONLY) => state("Shutter1", "open"),
        None if said.has("closed|blackout|black out|geschlossen|ferme") => state("Shutter1", "closed"),
        None if sense(said).is_some() => Meaning { unread: true, ..set("NoFeature", Kind::Level) },
        None => Meaning { unread: true, ..nothing() },
    }
}

/// Words for white light with fewer and with more kelvin.
const WARM: &str = "warm|warmweiss|chaud|chaude|calido|calida|caldo|calda";
const COLD: &str =
    "cold|cool|kalt|kaltweiss|froid|froide|frio|fria|freddo|fredda|koud|koel|daylight|tageslicht";
const OPEN_ONLY: &str = "open|offen|ouvert|abierto|aperto|full on|light on|led on";

#[cfg(test)]
mod tests {
    use super::*;

    fn read(subject: Option<Subject>, label: &str) -> (String, Kind, Option<Way>, Option<&'static str>) {
        let meaning = of(subject, label, 3, Around::default());
        (meaning.attr, meaning.kind, meaning.dir, meaning.state)
    }

    #[test]
    fn words_of_windows() {
        use Subject as S;
        type Row = (Option<Subject>, &'static str, &'static str, Kind, Option<Way>, Option<&'static str>);
        let rows: &[Row] = &[
            (Some(S::Shutter), "closed", "Shutter1", Kind::Fixed, None, Some("closed")),
            (Some(S::Strobe), "Strobe, slow to fast", "Shutter1Strobe", Kind::Level, Some(Way::Up), None),
            (Some(S::Strobe), "no strobe", "NoFeature", Kind::None, None, None),
            (Some(S::MoveSpeed), "fast → slow", "PositionMSpeed", Kind::Level, Some(Way::Down), None),
            (
                Some(S::Wheel(1)),
                "Rainbow, fast to slow",
                "Color1WheelSpin",
                Kind::Level,
                Some(Way::Down),
                None,
            ),
            (Some(S::Wheel(1)), "Light blue", "Color1", Kind::Fixed, None, None),
            (Some(S::Gobo(1)), "Gobos 1-7", "Gobo1", Kind::Select, None, None),
            (
                Some(S::Gobo(1)),
                "Gobo 3 shake, slow to fast",
                "Gobo1SelectShake",
                Kind::Level,
                Some(Way::Up),
                None,
            ),
            (Some(S::Dimmer), "OFF", "Dimmer", Kind::Fixed, None, Some("off")),
            (Some(S::Control), "Reset", "FixtureGlobalReset", Kind::Fixed, None, None),
            (Some(S::Programme), "Sound mode", "Effects1", Kind::Fixed, None, Some("sound")),
            (Some(S::Strobe), "25 - 1 Hz", "Shutter1Strobe", Kind::Level, Some(Way::Down), None),
        ];
        for (subject, label, attr, kind, dir, state) in rows {
            assert_eq!(read(*subject, label), ((*attr).to_owned(), *kind, *dir, *state), "{label}");
        }
    }
}
