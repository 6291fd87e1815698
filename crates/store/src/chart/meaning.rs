//! What a range does, by the words beside it and the name of its channel.

use super::text::plain;
use super::words::{self, Said, Subject};
use crate::reading::{KindReading as Kind, Way};

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

/// What the other channels of the mode say about this one.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Around {
    /// It mixes its colour from red, green and blue.
    pub(super) mixes: bool,
    pub(super) moves: bool,
    pub(super) programmes: bool,
    /// Another channel can hold the shutter open or dims.
    pub(super) dims: bool,
    /// Nothing but flashes: no colour, no movement.
    pub(super) only_flashes: bool,
    /// Another window of the same channel is plainly "on" or "open": its "off" is dark.
    pub(super) on_beside: bool,
}

/// A window of a channel that has others too (`one_of`), with its words, in a channel for `subject`.
pub(super) fn of(subject: Option<Subject>, label: &str, one_of: usize, around: Around) -> Meaning {
    let (percent, words) = without_percent(label);
    let label = words.as_str();
    let said = Said::new(label);
    let said = if said.has(words::NOTHING) { said } else { words::corrected(&said).unwrap_or(said) };
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
            "deg" => matches!(meaning.attr.as_str(), "Pan" | "Tilt" | "Zoom" | "Gobo1Pos" | "Prism1Pos" | "Gobo2Pos"),
            "Hz" => meaning.attr.contains("Strobe"),
            "ms" | "s" => meaning.attr == "StrobeDuration",
            "K" => meaning.attr == "CTO",
            "rpm" => meaning.attr.contains("Spin") || meaning.attr.contains("Rotate"),
            _ => false,
        };
        if fits {
            meaning.phys = Some((from, to));
            meaning.unit = Some(unit);
        }
        // More of CTO is warmer: fewer kelvin.
        let rises = (from < to) != (unit == "K");
        if meaning.kind == Kind::Level && fits {
            meaning.dir = Some(if rises { Way::Up } else { Way::Down });
        }
    }
    if meaning.kind == Kind::Level && let Some((from, to)) = percent && meaning.dir.is_none() {
        let falls = from > to;
        if falls || said.is_empty() || goes_up_by_itself(&meaning.attr) {
            meaning.dir = Some(if falls { Way::Down } else { Way::Up });
        }
    }
    if meaning.kind == Kind::Level {
        if let Some(way) = sense(&said) {
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
    let kind = if several(said) { Kind::Select } else if sense(said).is_some() { Kind::Level } else { Kind::Fixed };
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
        let position = said.has(&["pan", "tilt", "position", "xy"]) && !said.has(&["all", "alles", "tout", "complete", "motors"]);
        let attr = if position { "PositionReset" } else { "FixtureGlobalReset" };
        return Meaning { danger: Some("reset"), ..set(attr, Kind::Fixed) };
    }
    if said.has(&["sensitivity", "empfindlichkeit", "sensibilite", "sensibilidad", "sensibilita", "mikrofonempfindlichkeit"]) {
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
    if !sole || matches!(subject, None | Some(S::Sound | S::Programme | S::Control | S::Strobe)) {
        if said.has(words::SOUND) && !said.has(words::SPEED) {
            return sound();
        }
    }
    let Some(subject) = subject else { return by_words(said, around, one_of) };
    match subject {
        S::Pan | S::PanFine => positional("Pan", said, one_of),
        S::Tilt | S::TiltFine => positional("Tilt", said, one_of),
        S::PanEndless => spin("PanRotate", said),
        S::TiltEndless => spin("TiltRotate", said),
        S::MoveSpeed => speeds("PositionMSpeed", said, one_of, around),
        S::Speed => any_speed(said, one_of, around),
        S::Dimmer | S::DimmerFine => dimmer(said, one_of, around),
        S::DimmerCurve => set("DimmerCurve", if sense(said).is_some() { Kind::Level } else if several(said) { Kind::Select } else { Kind::Fixed }),
        S::DimmerSpeed => set("DimmerCurve", if sense(said).is_some() || sole { Kind::Level } else { Kind::Fixed }),
        S::Shutter | S::Strobe => shutter(subject, said, one_of, around),
        S::StrobeDuration => set("StrobeDuration", Kind::Level),
        S::StrobeRate => set("StrobeRate", Kind::Level),
        S::Emitter(attr) => mixed(attr, said, one_of),
        S::Sub(attr) => mixed(attr, said, one_of),
        S::Cto => if sole || sense(said).is_some() || has_level(said) || said.has(&["cold", "warm", "kalt", "cool"]) { set("CTO", Kind::Level) } else { set("CTO", Kind::Fixed) },
        S::Wheel(n) => wheel(n, said, one_of),
        S::WheelSpin(n) => spin(&format!("Color{n}WheelSpin"), said),
        S::Colour(n) => wheel(n, said, one_of),
        S::Macro => colour_macro(said, one_of),
        S::MacroSpeed => set("ColorMacro1Rate", Kind::Level),
        S::Gobo(n) => gobo(n, said, one_of),
        S::GoboShake(n) => Meaning { ..shake(n, said) },
        S::GoboSpin(n) => gobo_spin(n, said, one_of),
        S::GoboIndex(n) => set(&format!("Gobo{n}Pos"), Kind::Level),
        S::Prism => prism(said, one_of),
        S::PrismSpin => prism_spin(said),
        S::PrismIndex => set("Prism1Pos", Kind::Level),
        S::Focus => mixed("Focus1", said, one_of),
        S::Zoom => mixed("Zoom", said, one_of),
        S::Iris => mixed("Iris", said, one_of),
        S::Frost => mixed("Frost1", said, one_of),
        S::Programme | S::Sound => programmes(subject, said, one_of, around),
        S::ProgrammeSpeed => speeds("Effects1Rate", said, one_of, around),
        S::Sensitivity => set("SoundSensitivity", Kind::Level),
        S::Reset | S::Control | S::Lamp | S::Display => control(subject, said, one_of, around),
        S::Fog => machine("Fog1", said, one_of),
        S::Haze => machine("Haze1", said, one_of),
        S::Fan => machine("Fan1", said, one_of),
        S::Derby => derby(said),
        S::Laser => Meaning { either: Some(("Color1", "Control1")), ..set("Control1", Kind::Level) },
        S::Fine => set("NoFeature", Kind::None),
        S::Nothing if sole || said.is_empty() => nothing(),
        S::Nothing => by_words(said, around, one_of),
    }
}

/// "No function", "no strobe", "off" where that leaves the light as it is.
fn says_nothing(subject: Option<Subject>, said: &Said, around: Around) -> Option<Meaning> {
    use Subject as S;
    let nothing_said = said.has(words::NOTHING);
    let no = |things: &[&str]| things.iter().any(|thing| {
        ["no", "ohne", "kein", "keine", "sans", "sin", "senza", "without", "pas de", "not"].iter().any(|no| said.has(&[&format!("{no} {thing}")]))
    });
    match subject {
        Some(S::Gobo(_) | S::GoboShake(_)) if no(&["gobo", "gobos", "pattern", "wheel"]) => return Some(gobo_open(subject)),
        Some(S::Wheel(n)) if no(&["colour", "color", "wheel", "farbe", "couleur", "colore", "filter"]) => {
            return Some(set(&format!("Color{n}"), Kind::Fixed));
        }
        Some(S::Wheel(n) | S::WheelSpin(n)) if no(&["rotation"]) => return Some(state(&format!("Color{n}WheelSpin"), "stop")),
        Some(S::Gobo(n)) if no(&["rotation"]) => return Some(state(&format!("Gobo{n}WheelSpin"), "stop")),
        Some(S::Strobe | S::Shutter) if no(&["flash", "light", "licht"]) => {
            return Some(if around.only_flashes || !no(&["flash"]) { state("Shutter1", "closed") } else { nothing() });
        }
        _ => {}
    }
    let off = sense(said).is_none() && said.has(&["off", "aus", "arret", "spento", "apagado", "desactivado", "eteint", "disattivato", "spenta", "apagada", "desactive"]);
    if nothing_said && !off_light(subject, said) {
        // "No function" in its own right; a word more may say what does not happen.
        return Some(nothing());
    }
    if no(&["strobe", "strobo", "stroboscope", "blitz", "rotation", "prism", "prisma", "prisme", "macro", "makro", "program", "programme", "effect", "effekt", "effet", "dimming", "colour", "color", "macros", "gobo", "frost", "shake", "sound", "music", "estrobo", "fog", "haze", "auto", "show", "chase", "change", "colour macro", "color macro", "reset", "control"]) {
        return Some(nothing());
    }
    if off {
        return match subject {
            Some(S::Prism | S::PrismSpin | S::Programme | S::Macro | S::Frost | S::Control | S::Reset | S::GoboSpin(_) | S::Sound | S::MoveSpeed | S::ProgrammeSpeed | S::Speed | S::WheelSpin(_) | S::DimmerSpeed | S::DimmerCurve | S::GoboShake(_) | S::MacroSpeed) => {
                (!said.has(&["lamp off", "display off", "fan off", "lampe aus"])).then(nothing)
            }
            Some(S::Strobe) if !off_light(subject, said) => Some(if around.only_flashes || around.on_beside { state("Shutter1", "closed") } else { nothing() }),
            Some(S::Colour(_) | S::Wheel(_)) if said.only(&["off", "aus", "colour", "color", "wheel"]) => Some(nothing()),
            _ => None,
        };
    }
    None
}

/// "LEDs off", "blackout": the light goes dark.
fn off_light(subject: Option<Subject>, said: &Said) -> bool {
    let dark = said.has(&["blackout", "closed", "led off", "leds off", "light off", "dark", "shutter closed", "geschlossen", "ferme", "cerrado", "chiuso", "no light"]);
    dark && matches!(subject, Some(Subject::Strobe | Subject::Shutter | Subject::Dimmer))
}

fn has_level(said: &Said) -> bool {
    said.has(&["0", "100", "linear", "adjust*", "gradually", "stepless", "continuous", "variable", "proportional", "increase*", "decrease*", "stufenlos", "intensity", "level", "from"])
}

fn positional(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of > 1 && said.has(words::STOP) {
        return set(attr, Kind::Fixed);
    }
    if one_of > 1 && said.has(&["continuous", "endless", "infinite", "clockwise", "counterclockwise", "anticlockwise", "cw", "ccw"]) {
        return spin(&format!("{attr}Rotate"), said);
    }
    set(attr, Kind::Level)
}

fn spin(attr: &str, said: &Said) -> Meaning {
    if said.has(words::STOP) && sense(said).is_none() {
        return state(attr, "stop");
    }
    let mut meaning = set(attr, Kind::Level);
    if said.has(&["counter clockwise", "counterclockwise", "anticlockwise", "anti clockwise", "ccw", "counter", "backward", "reverse", "links", "linkslauf"]) {
        meaning.state = Some("ccw");
    } else if said.has(&["clockwise", "cw", "forward", "rechts", "rechtslauf"]) {
        meaning.state = Some("cw");
    }
    meaning
}

fn speeds(attr: &str, said: &Said, one_of: usize, around: Around) -> Meaning {
    if one_of > 1 && said.has(&["blackout", "black out"]) {
        return set("BlackoutMode", Kind::Fixed);
    }
    if one_of > 1 && sense(said).is_none() && !said.has(words::SPEED) {
        if said.has(words::PROGRAMME) && attr == "Effects1Rate" {
            return programme(said);
        }
        if said.has(&["max speed", "maximum", "fast", "standard", "normal", "tracking"]) {
            return set(attr, Kind::Fixed);
        }
        let by = by_words(said, around, one_of);
        return if by.unread { set(attr, Kind::Fixed) } else { by };
    }
    set(attr, Kind::Level)
}

fn any_speed(said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has(words::STROBE) {
        return strobe(said);
    }
    let attr = if said.has(&["pan", "tilt", "movement", "motor", "pt", "xy"]) {
        "PositionMSpeed"
    } else if said.has(words::PROGRAMME) {
        "Effects1Rate"
    } else if around.moves && !around.programmes {
        "PositionMSpeed"
    } else {
        "Effects1Rate"
    };
    let mut meaning = speeds(attr, said, one_of, around);
    if around.moves && around.programmes && !said.has(words::PROGRAMME) && !said.has(&["pan", "tilt", "movement", "motor"]) {
        meaning.either = Some(("PositionMSpeed", "Effects1Rate"));
    }
    meaning
}

fn dimmer(said: &Said, one_of: usize, around: Around) -> Meaning {
    if one_of == 1 {
        return set("Dimmer", Kind::Level);
    }
    if said.has(words::STROBE) {
        return shutter(Subject::Strobe, said, one_of, around);
    }
    if sense(said).is_some() || quantity_said(said) {
        return set("Dimmer", Kind::Level);
    }
    if said.has(&["off", "closed", "blackout", "black out", "aus", "dark", "zu", "geschlossen", "ferme", "no light", "cerrado", "chiuso", "no intensity", "noir"]) {
        return state("Dimmer", "off");
    }
    if said.has(words::OPEN) || said.has(&["full", "maximum", "max", "100", "ein", "on", "voll", "plein", "100 percent", "pleine puissance"]) && !said.has(&["0", "min"]) {
        return state("Dimmer", "full");
    }
    if said.has(words::PROGRAMME) && !said.has(&["dimmer", "dimming", "intensity"]) {
        return programme(said);
    }
    set("Dimmer", Kind::Level)
}

fn strobe(said: &Said) -> Meaning {
    let attr = if said.has(words::RANDOM) {
        "Shutter1StrobeRandom"
    } else if said.has(words::PULSE) {
        "Shutter1StrobePulse"
    } else {
        "Shutter1Strobe"
    };
    set(attr, Kind::Level)
}

fn shutter(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    let level = sense(said).is_some() || quantity_said(said);
    let flashes = said.has(words::STROBE) || said.has(words::RANDOM) || said.has(words::PULSE);
    if one_of > 1 && !level {
        let named_only = said.only(&["shutter", "strobe", "strobo"]);
        if !named_only && said.has(words::CLOSED) && !said.has(&["open and close", "open close", "opening", "closing", "strobe off"]) && !said.has(&["open"]) {
            return state("Shutter1", "closed");
        }
        if said.has(&["light on", "led on", "leds on", "open"]) || said.has(words::OPEN) && !(flashes && !said.has(&["open", "no strobe", "steady"])) {
            return state("Shutter1", "open");
        }
    }
    if one_of > 1 && !flashes && !level {
        if said.has(&["dimmer", "dimming", "intensity"]) {
            return dimmer(said, one_of, around);
        }
        if said.has(words::PROGRAMME) && !said.has(&["effect", "effects", "effekt", "run"]) {
            return programme(said);
        }
    }
    if one_of > 1 && said.has(&["dimmer", "dimming", "intensity"]) && !flashes {
        return set("Dimmer", Kind::Level);
    }
    if said.is_empty() && one_of > 1 {
        return Meaning { unread: true, ..nothing() };
    }
    let known = flashes || level || said.is_empty() || one_of == 1 || said.has(&["speed", "effect", "effects", "opening", "closing", "fade"]) || subject == Subject::Strobe && said.only(&["on"]);
    if known { strobe(said) } else { by_words(said, around, one_of) }
}

fn mixed(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of == 1 || sense(said).is_some() || quantity_said(said) {
        return set(attr, Kind::Level);
    }
    if said.has(words::STROBE) {
        return strobe(said);
    }
    if said.has(&["off", "closed", "aus", "blackout", "dark"]) {
        return state(attr, "off");
    }
    if attr == "Iris" && said.has(&["open", "offen", "ouvert"]) {
        return state(attr, "open");
    }
    if said.has(&["full", "on", "100", "max", "maximum", "voll"]) {
        return state(attr, "full");
    }
    if said.has(words::PROGRAMME) || said.has(words::PULSE) {
        return set("Effects1", Kind::Level);
    }
    set(attr, Kind::Level)
}

fn wheel(n: u8, said: &Said, one_of: usize) -> Meaning {
    let attr = format!("Color{n}");
    let turning = format!("Color{n}WheelSpin");
    let turns = said.has(words::TURN) || said.has(words::RANDOM) || sense(said).is_some() && one_of > 1;
    if one_of > 1 && said.has(words::STOP) && !turns {
        return state(&turning, "stop");
    }
    if one_of > 1 && said.has(&["closed", "blackout", "black", "dark", "geschlossen", "ferme"]) && !turns {
        return Meaning { either: Some(("Shutter1", "Color1")), ..state("Shutter1", "closed") };
    }
    if turns && !said.has(&["half", "split", "position", "index*", "no rotation"]) {
        return spin(&turning, said);
    }
    if said.has(&["index*", "continuous positioning", "stepless", "linear", "position", "positioning"]) || one_of == 1 && said.has(&["0"]) {
        return set(&attr, Kind::Level);
    }
    if several(said) || one_of == 1 { set(&attr, Kind::Select) } else { set(&attr, Kind::Fixed) }
}

fn colour_macro(said: &Said, one_of: usize) -> Meaning {
    let programmed = said.has(&[
        "auto", "automatic", "automatik", "automatikprogramm*", "automatique", "automatico", "program", "programs", "programme", "programmes", "programm", "show", "shows", "chase", "fade", "jump", "jumping", "change", "changing", "wechsel", "farbwechsel", "dream", "gradient", "gradual", "rainbow", "lauflicht", "scroll", "cycle", "pulse",
    ]);
    let changes = said.has(&["rainbow", "change", "changing", "fade", "wechsel", "farbwechsel", "cycle", "scroll", "flow"]);
    if changes && sense(said).is_some() && !said.has(&["auto", "automatic", "program", "programme", "programm", "show"]) {
        return set("ColorMacro1Rate", Kind::Level);
    }
    if programmed && one_of > 1 {
        return programme(said);
    }
    if said.has(words::STROBE) {
        return strobe(said);
    }
    if several(said) || one_of == 1 {
        return set("ColorMacro1", Kind::Select);
    }
    if sense(said).is_some() {
        return set("ColorMacro1Rate", Kind::Level);
    }
    let mixes = said.has(&["mix", "mixing", "mixed", "mischung", "farbmischung", "melange", "mezcla"]);
    set("ColorMacro1", if mixes { Kind::Level } else { Kind::Fixed })
}

fn gobo_open(subject: Option<Subject>) -> Meaning {
    match subject {
        Some(Subject::Gobo(n) | Subject::GoboShake(n)) => state(&format!("Gobo{n}"), "open"),
        _ => state("Gobo1", "open"),
    }
}

fn shake(n: u8, said: &Said) -> Meaning {
    let kind = if several(said) {
        Kind::Select
    } else if number(said).is_some() && sense(said).is_none() {
        Kind::Fixed
    } else {
        Kind::Level
    };
    set(&format!("Gobo{n}SelectShake"), kind)
}

fn gobo(n: u8, said: &Said, one_of: usize) -> Meaning {
    if said.has(words::SHAKE) {
        return shake(n, said);
    }
    let turns = said.has(words::TURN) || sense(said).is_some() && one_of > 1;
    if one_of > 1 && said.has(words::STOP) && !turns {
        return state(&format!("Gobo{n}WheelSpin"), "stop");
    }
    if turns && !said.has(&["index*"]) {
        return spin(&format!("Gobo{n}WheelSpin"), said);
    }
    if said.has(&["open", "offen", "ouvert", "abierto", "aperto", "no gobo", "white", "weiss", "blanc"]) {
        return state(&format!("Gobo{n}"), "open");
    }
    if several(said) || one_of == 1 { set(&format!("Gobo{n}"), Kind::Select) } else { set(&format!("Gobo{n}"), Kind::Fixed) }
}

fn gobo_spin(n: u8, said: &Said, one_of: usize) -> Meaning {
    if said.has(&["index*", "position", "angle", "static", "0 360"]) || quantity_said_in(said, "deg") && one_of > 1 {
        return set(&format!("Gobo{n}Pos"), Kind::Level);
    }
    if said.has(words::SHAKE) {
        return shake(n, said);
    }
    spin(&format!("Gobo{n}PosRotate"), said)
}

fn prism(said: &Said, one_of: usize) -> Meaning {
    if one_of > 1 && said.only(&["stop", "stopped", "stopp", "rotation", "halt", "no"]) && said.has(&["stop", "stopped", "stopp", "halt"]) {
        return state("Prism1PosRotate", "stop");
    }
    if said.has(words::TURN) || sense(said).is_some() {
        return prism_spin(said);
    }
    if one_of > 1 && said.has(&["out", "open", "removed", "raus", "none", "retracted", "offen", "ausgefahren", "ausgeschwenkt"]) && !said.has(&["in"]) {
        return nothing();
    }
    if said.has(&["macro", "macros"]) || several(said) && one_of > 1 {
        return set("Prism1", Kind::Select);
    }
    set("Prism1", Kind::Fixed)
}

fn prism_spin(said: &Said) -> Meaning {
    if said.has(&["index*", "position", "angle"]) && !said.has(words::TURN) || quantity_said_in(said, "deg") {
        return set("Prism1Pos", Kind::Level);
    }
    spin("Prism1PosRotate", said)
}

/// Words for a programme channel that leaves the light to the other channels.
const MANUAL: &[&str] = &["manual", "dmx", "rgb", "dimmer", "rgbw", "mixing", "individual", "manuell", "manuel", "dmx mode", "rgb mode", "colour mixing", "color mixing"];

/// A motor that turns beams: no attribute of the standard fits it plainly.
fn derby(said: &Said) -> Meaning {
    let meaning = spin("Gobo1WheelSpin", said);
    if meaning.kind == Kind::Level { Meaning { either: Some(("Gobo1WheelSpin", "Control1")), ..meaning } } else { meaning }
}

fn programmes(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has(words::SPEED) && sense(said).is_some() && one_of == 1 {
        return set("Effects1Rate", Kind::Level);
    }
    if said.has(words::SOUND) || subject == Subject::Sound && one_of == 1 {
        return sound();
    }
    if one_of > 1 && said.has(words::STROBE) && !said.has(words::PROGRAMME) {
        return strobe(said);
    }
    if one_of > 1 && said.has(&["blackout", "black out", "closed"]) {
        return state("Dimmer", "off");
    }
    if one_of > 1 && said.has(MANUAL) && !said.has(&["auto", "program", "programme"]) {
        return nothing();
    }
    let coloured = said.has(&["colour", "color", "colours", "colors", "farb*", "couleur*"]);
    if around.mixes && coloured && sense(said).is_some() && said.has(&["fade", "rainbow", "change", "flow", "cycle"]) {
        return set("ColorMacro1Rate", Kind::Level);
    }
    if one_of > 1 && coloured && (said.has(&["macro", "macros", "static", "preset", "fixed"]) || !said.has(words::PROGRAMME) && !said.has(words::TURN)) {
        return colour_macro(said, one_of);
    }
    if one_of == 1 && !said.is_empty() && sense(said).is_some() {
        return programme(said);
    }
    if one_of == 1 {
        return Meaning { kind: Kind::Select, ..programme(said) };
    }
    programme(said)
}

fn control(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has(&["lamp", "lampe", "lampara", "lampada"]) {
        return Meaning { danger: Some("other"), ..set("LampControl", Kind::Fixed) };
    }
    if said.has(&["display", "anzeige", "screen"]) {
        return set("DisplayIntensity", Kind::Fixed);
    }
    if said.has(&["fan", "fans", "lufter", "ventilator"]) {
        return set("FanMode", Kind::Fixed);
    }
    if said.has(&["dimmer curve", "curve", "kurve", "dimmer", "linear", "s curve"]) && one_of > 1 {
        return set("DimmerCurve", Kind::Fixed);
    }
    if said.has(&["blackout"]) {
        return set("BlackoutMode", Kind::Fixed);
    }
    if one_of > 1 && said.has(MANUAL) {
        return nothing();
    }
    if subject == Subject::Reset && one_of == 1 {
        return Meaning { danger: Some("reset"), ..set("FixtureGlobalReset", Kind::Fixed) };
    }
    let by = by_words(said, around, one_of);
    if by.unread { Meaning { unread: true, ..set("Control1", Kind::Fixed) } } else { by }
}

fn machine(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of == 1 {
        return set(attr, Kind::Level);
    }
    if said.has(HOT) {
        return Meaning { danger: Some("heater"), ..set("Control1", Kind::Fixed) };
    }
    if sense(said).is_some() || quantity_said(said) || said.has(&["amount", "volume", "output", "variable", "menge", "debit", "adjustable", "regulated"]) && !said.has(&["full", "no output", "off", "max", "maximum"]) {
        return set(attr, Kind::Level);
    }
    if said.has(&["off", "aus", "stop", "no output", "no fog", "no haze", "no smoke", "arret", "spento", "apagado", "kein nebel"]) {
        return state(attr, "off");
    }
    if said.has(&["full", "max", "maximum", "100", "voll", "on", "full output"]) {
        return state(attr, "full");
    }
    set(attr, Kind::Level)
}

/// Without a channel's name the words beside the values have to tell all.
fn by_words(said: &Said, around: Around, one_of: usize) -> Meaning {
    use Subject as S;
    if said.is_empty() {
        return Meaning { unread: true, ..nothing() };
    }
    if said.has(HOT) {
        return Meaning { danger: Some("heater"), ..set("Control1", Kind::Fixed) };
    }
    let text = said.words().collect::<Vec<_>>().join(" ");
    match words::subject(&text) {
        Some(S::Nothing | S::Fine) => nothing(),
        Some(S::Colour(n)) if !around.mixes => wheel(n, said, one_of),
        Some(S::Emitter(attr)) if one_of == 1 => set(attr, Kind::Level),
        Some(S::Emitter(_)) if around.mixes => colour_macro(said, one_of),
        Some(S::Emitter(_)) => wheel(1, said, one_of),
        Some(S::Control | S::Display | S::Lamp) => {
            if said.has(&["lamp", "lampe"]) {
                return Meaning { danger: Some("other"), ..set("LampControl", Kind::Fixed) };
            }
            if said.has(&["display"]) {
                return set("DisplayIntensity", Kind::Fixed);
            }
            Meaning { unread: one_of == 1, ..set("Control1", Kind::Fixed) }
        }
        Some(subject) => attribute(Some(subject), said, one_of, around),
        None if said.has(words::SOUND) => sound(),
        None if said.has(words::TURN) && !around.mixes => spin("Color1WheelSpin", said),
        None if said.has(OPEN_ONLY) => state("Shutter1", "open"),
        None if said.has(&["closed", "blackout", "black out", "geschlossen", "ferme"]) => state("Shutter1", "closed"),
        None if sense(said).is_some() => Meaning { unread: true, ..set("NoFeature", Kind::Level) },
        None => Meaning { unread: true, ..nothing() },
    }
}

/// Words for what a fog machine does to its heater and pump.
const HOT: &[&str] = &["heat*", "heiz*", "chauff*", "prime", "priming", "pump", "calent*", "riscald*", "warm up", "warmup", "purge", "clean*"];

const OPEN_ONLY: &[&str] = &["open", "offen", "ouvert", "abierto", "aperto", "full on", "light on", "led on"];

/// Levels whose sense everybody takes for granted: more with a larger value.
fn goes_up_by_itself(attr: &str) -> bool {
    matches!(attr, "Dimmer" | "Pan" | "Tilt" | "Zoom" | "Iris" | "Frost1" | "Focus1" | "CTO" | "Fog1" | "Haze1" | "Fan1" | "Color1" | "Color2" | "Gobo1Pos" | "Gobo2Pos" | "Prism1Pos" | "StrobeDuration" | "SoundSensitivity")
        || attr.starts_with("ColorAdd_")
        || attr.starts_with("ColorSub_")
}

/// The words speak of several things at once: "gobos 1-7", "16 colours", "programmes".
fn several(said: &Said) -> bool {
    const MANY: &[&str] = &[
        "colours", "colors", "gobos", "programs", "programmes", "programmi", "programas", "macros", "makros", "shows", "patterns", "effects", "effekte", "effets", "presets", "scenes", "chases", "farben", "couleurs", "colores", "colori", "efectos", "effetti", "sequences", "choices", "steps", "stufen", "various", "different", "selection", "auswahl", "select", "farbauswahl", "programmauswahl", "programme auswahl", "modes", "curves", "prisms", "positions",
        "colour selection", "seleccion", "selezione", "choix", "verschiedene",
    ];
    if said.has(&["half colours", "split colours", "half colors", "split colors"]) {
        return true;
    }
    let words: Vec<&str> = said.words().collect();
    let numbers: Vec<u32> = words.iter().filter_map(|word| word.parse().ok()).collect();
    let range = matches!(numbers[..], [a, b, ..] if b > a && b <= 64);
    let spoken = said.has(MANY) && !(said.has(&["programme", "colour change"]) && numbers.len() == 1 && !range && said.at("programmes").is_none());
    spoken && !said.has(&["half"]) && !(numbers.len() == 1 && words.last().is_some_and(|word| word.parse::<u32>().is_ok()))
        || range && words.iter().any(|word| word.chars().all(char::is_alphabetic) && word.len() > 2) && sense(said).is_none() && !said.has(&["hz", "seconds"]) && quantity_free(said)
}

fn quantity_free(said: &Said) -> bool {
    !said.has(&["hz", "s", "sec", "deg", "bpm", "ms", "k"])
}

fn quantity_said(said: &Said) -> bool {
    let words: Vec<&str> = said.words().collect();
    words.windows(2).any(|pair| pair[0] == "0" && pair[1] == "100" || pair[0] == "100" && pair[1] == "0")
        || said.has(&["hz", "1 100", "from 0", "0 to 100"])
        || words.iter().any(|word| word.ends_with("hz") && word.chars().next().is_some_and(|c| c.is_ascii_digit()))
}

fn quantity_said_in(said: &Said, unit: &str) -> bool {
    unit == "deg" && (said.has(&["360", "540", "degrees", "0 360", "deg"]) && !said.has(words::TURN))
}

/// Which way the words say that it goes.
pub(super) fn sense(said: &Said) -> Option<Way> {
    const LOW: &[&str] = &[
        "slow", "slowly", "slowest", "dark", "min", "minimum", "low", "lowest", "weak", "narrow", "near", "small", "langsam", "dunkel", "lent", "lente", "lentement", "lento", "sombre", "oscuro", "scuro", "buio", "short", "kurz", "closed", "zu", "dim", "off", "eng", "schmal", "nah", "klein", "soft", "minimal", "null", "schwach", "0", "little", "quiet", "leise", "lenta", "petit", "proche", "faible", "ferme", "aus", "cold", "warm white min", "slower", "despacio", "bajo", "basso", "chiuso", "cerrado", "less", "none", "noir", "mini", "closer", "unsharp", "lowest speed",
    ];
    const HIGH: &[&str] = &[
        "fast", "quick", "quickly", "fastest", "bright", "max", "maximum", "high", "highest", "strong", "wide", "far", "large", "big", "schnell", "hell", "rapide", "vite", "rapido", "veloce", "clair", "claro", "chiaro", "long", "lang", "open", "full", "on", "weit", "breit", "fern", "gross", "hard", "maximal", "voll", "stark", "100", "much", "loud", "laut", "rapida", "grand", "loin", "fort", "ouvert", "an", "faster", "rapidement", "alto", "aperto", "abierto", "more", "blanc", "maxi", "brightest", "velocemente", "sharp", "luminoso", "brillante", "luminosa",
    ];
    let first = |list: &[&str]| list.iter().filter_map(|word| said.at(word)).min();
    let last = |list: &[&str]| list.iter().filter_map(|word| said.at(word)).max();
    if let (Some(low), Some(high)) = (first(LOW), first(HIGH)) {
        let (low_last, high_last) = (last(LOW).unwrap_or(low), last(HIGH).unwrap_or(high));
        // "Min slow to max fast": both words of an end stand together.
        return match (low < high, low_last < high_last) {
            (true, true) => Some(Way::Up),
            (false, false) => Some(Way::Down),
            (true, false) => Some(Way::Up),
            (false, true) => Some(Way::Down),
        };
    }
    if said.has(&["increas*", "zunehmend*", "croissant*", "accelerat*", "ascending", "crescente", "creciente", "ansteigend", "aumenta*", "steigend", "progressive", "accelere", "accelerando", "schneller werdend", "rising"]) && !said.has(&["decreas*"]) {
        return Some(Way::Up);
    }
    if said.has(&["decreas*", "abnehmend*", "decroissant*", "descending", "decelerat*", "decrescente", "fallend", "decreciente", "falling"]) {
        return Some(Way::Down);
    }
    None
}

/// A number that names one of several things: "gobo 3", "programme 12".
fn number(said: &Said) -> Option<u32> {
    let numbers: Vec<u32> = said
        .words()
        .filter_map(|word| word.parse().ok().or_else(|| words::split_number(word).map(|(_, number)| number)))
        .collect();
    match numbers[..] {
        [one] => Some(one),
        _ => None,
    }
}

/// Two figures with a unit, as they are printed: "0,5 Hz ... 25 Hz", "0-540°", "100%-0%".
fn quantity(label: &str) -> Option<(f64, f64, &'static str)> {
    let chars: Vec<char> = label.chars().collect();
    let mut found: Vec<(f64, Option<&'static str>, usize, usize)> = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let begins = chars[at].is_ascii_digit() && (at == 0 || !chars[at - 1].is_alphanumeric());
        if !begins {
            at += 1;
            continue;
        }
        let start = at;
        let mut text = String::new();
        while let Some(c) = chars.get(at) {
            let point = matches!(c, '.' | ',') && chars.get(at + 1).is_some_and(char::is_ascii_digit) && !text.contains('.');
            if c.is_ascii_digit() {
                text.push(*c);
            } else if point {
                text.push('.');
            } else {
                break;
            }
            at += 1;
        }
        let negative = start > 0 && chars[start - 1] == '-' && (start == 1 || chars[start - 2] == ' ' || chars[start - 2] == '(') && found.is_empty();
        let plus = chars.get(at) == Some(&' ');
        let unit_at = if plus { at + 1 } else { at };
        let word: String = chars[unit_at.min(chars.len())..].iter().take_while(|c| c.is_alphabetic() || matches!(c, '°' | '%' | 'º')).collect();
        let unit = match plain_unit(&word) {
            "hz" => Some("Hz"),
            "deg" | "degree" | "degrees" | "°" | "grad" | "°c" => Some("deg"),
            "%" | "percent" => Some("%"),
            "ms" => Some("ms"),
            "s" | "sec" | "seconds" | "sek" => Some("s"),
            "k" => Some("K"),
            "rpm" => Some("rpm"),
            _ => None,
        };
        if let Ok(value) = text.parse::<f64>() {
            found.push((if negative { -value } else { value }, unit, start, at));
        }
    }
    let pair = found.windows(2).find(|pair| pair[1].1.is_some() && (pair[0].1.is_none() || pair[0].1 == pair[1].1) && pair[1].2 - pair[0].3 <= 10);
    if let Some(pair) = pair {
        return Some((pair[0].0, pair[1].0, pair[1].1?));
    }
    // "540°" alone is the whole travel.
    match found[..] {
        [(value, Some("deg"), ..)] if value > 0.0 => Some((0.0, value, "deg")),
        _ => None,
    }
}

fn plain_unit(word: &str) -> &str {
    match word {
        "Hz" | "HZ" | "hz" => "hz",
        "°" | "º" => "°",
        "S" | "s" => "s",
        "K" | "k" => "k",
        other => other,
    }
}

/// The words without a range of percent ("0%-100%"), which many charts print beside every range, and that range.
fn without_percent(label: &str) -> (Option<(f64, f64)>, String) {
    let words: Vec<&str> = label.split_whitespace().collect();
    let mut percent = None;
    let mut rest = Vec::new();
    let figure = |word: &str| -> Option<f64> { word.trim_matches(['(', ')', '%', ',', ';']).replace(',', ".").parse().ok() };
    let mut at = 0;
    while at < words.len() {
        let joined = words[at].split_once(['-', '~']).or_else(|| words[at].split_once(".."));
        let pair = joined.filter(|(_, to)| to.trim_end_matches([')', ',', ';']).ends_with('%')).and_then(|(from, to)| figure(from).zip(figure(to.trim_start_matches(['.', '-', '~']))));
        if pair.is_some() {
            percent = pair;
            at += 1;
            continue;
        }
        let apart = words.get(at + 2).filter(|_| words.get(at + 1).is_some_and(|mark| matches!(*mark, "-" | "~" | "to" | "..." | "→" | "->" | "bis" | "a" | "à" | ">")));
        if let Some(to) = apart.filter(|to| to.trim_end_matches([')', ',', ';']).ends_with('%'))
            && let (Some(from), Some(to)) = (figure(words[at]), figure(to))
        {
            percent = Some((from, to));
            at += 3;
            continue;
        }
        rest.push(words[at]);
        at += 1;
    }
    (percent, rest.join(" "))
}

/// "Hold 5 seconds", "after 3s": for how long.
fn seconds(label: &str) -> Option<f64> {
    let chars: Vec<char> = label.to_lowercase().chars().collect();
    let mut at = 0;
    while at < chars.len() {
        if !chars[at].is_ascii_digit() || at > 0 && chars[at - 1].is_alphanumeric() {
            at += 1;
            continue;
        }
        let mut text = String::new();
        while let Some(c) = chars.get(at).filter(|c| c.is_ascii_digit() || matches!(c, '.' | ',')) {
            text.push(if *c == ',' { '.' } else { *c });
            at += 1;
        }
        while chars.get(at).is_some_and(|c| matches!(c, ' ' | '-')) {
            at += 1;
        }
        let unit: String = chars[at.min(chars.len())..].iter().take_while(|c| c.is_alphabetic()).collect();
        if matches!(plain(&unit).as_str(), "s" | "sec" | "secs" | "second" | "seconds" | "sek" | "sekunden" | "sekunde" | "secondes" | "segundos" | "secondi" | "seconde") {
            return text.trim_end_matches('.').parse().ok();
        }
    }
    None
}

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
        let rows: &[(Option<Subject>, &str, &str, Kind, Option<Way>, Option<&str>)] = &[
            (Some(S::Shutter), "closed", "Shutter1", Kind::Fixed, None, Some("closed")),
            (Some(S::Strobe), "Strobe, slow to fast", "Shutter1Strobe", Kind::Level, Some(Way::Up), None),
            (Some(S::Strobe), "no strobe", "NoFeature", Kind::None, None, None),
            (Some(S::MoveSpeed), "fast → slow", "PositionMSpeed", Kind::Level, Some(Way::Down), None),
            (Some(S::Wheel(1)), "Rainbow, fast to slow", "Color1WheelSpin", Kind::Level, Some(Way::Down), None),
            (Some(S::Wheel(1)), "Light blue", "Color1", Kind::Fixed, None, None),
            (Some(S::Gobo(1)), "Gobos 1-7", "Gobo1", Kind::Select, None, None),
            (Some(S::Gobo(1)), "Gobo 3 shake, slow to fast", "Gobo1SelectShake", Kind::Level, Some(Way::Up), None),
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
