//! What attributes and words mean: how a function's values are to be taken, what is dangerous, what things are called.

use lanthorn_fixture::Attribute;
use lanthorn_fixture::mode::Danger;

/// How the values of a function are to be taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Family {
    /// Nothing happens.
    Nothing,
    /// In proportion.
    Amount,
    /// In proportion, in degrees, hertz or kelvin: 0 to 1 is a form that nobody filled in.
    Measured,
    /// Windows that are open or closed.
    Shutter,
    /// Windows of a wheel.
    Wheel,
    /// Windows that each do something of their own.
    Windows,
}

/// The family of an attribute, by its name in the standard (DIN SPEC 15800, annexes A and B).
pub(super) fn family(name: &str) -> Family {
    let lower = name.to_ascii_lowercase();
    let base: String = lower.chars().map(|c| if c.is_ascii_digit() { 'n' } else { c }).collect();
    let base = base.as_str();
    match base {
        "nofeature" | "" => Family::Nothing,
        "shuttern" | "shutter" => Family::Shutter,
        "colorn" | "gobon" | "prismn" | "animationwheeln" | "colornwheelindex" | "gobonwheelindex"
        | "gobonselectshake" | "gobonselectspin" | "gobonselecteffects" => Family::Wheel,
        "pan" | "tilt" | "panrotate" | "tiltrotate" | "zoom" | "cto" | "ctc" | "ctb" => Family::Measured,
        "strobeduration" | "lampcontrol" | "function" | "dimmercurve" | "effectsn" | "effectsnselect"
        | "controln" | "colormacron" | "positioneffect" => {
            if base == "strobeduration" {
                Family::Measured
            } else {
                Family::Windows
            }
        }
        _ if base.ends_with("mode") || base.ends_with("reset") || base.contains("audio") => Family::Windows,
        _ if base.contains("strobe") || base.ends_with("rotate") || base.ends_with("spin") => {
            Family::Measured
        }
        _ if base.ends_with("pos") || base.ends_with("wheelrandom") => Family::Measured,
        _ => Family::Amount,
    }
}

/// What a window may do that nobody wants by accident, by its attribute and by the words on it.
pub(super) fn danger(attribute: &str, words: &str) -> Option<Danger> {
    let attribute = attribute.to_ascii_lowercase();
    let words = words.to_ascii_lowercase();
    let says = |list: &[&str]| list.iter().any(|word| words.contains(word));
    let of_control = matches!(family(&attribute), Family::Windows | Family::Nothing | Family::Amount);
    let effects =
        attribute.starts_with("effects") && !attribute.ends_with("rate") && !attribute.ends_with("fade");
    if attribute.ends_with("reset") || (of_control && says(&["reset", "rescale", "recalibrat"])) {
        Some(Danger::Reset)
    } else if attribute.contains("lamp")
        || (of_control && says(&["lamp on", "lamp off", "ignit", "heater", "heating", "purge"]))
    {
        Some(Danger::Heater)
    } else if attribute.contains("audio")
        || (of_control && says(&["sound", "music", "audio", "microphone"]))
            && !attribute.ends_with("rate")
            && !attribute.contains("sensitiv")
    {
        Some(Danger::Sound)
    } else if effects
        || (of_control && is_windows(&attribute) && says(&["program", "auto", "chase", "show ", "demo"]))
    {
        Some(Danger::Programme)
    } else {
        None
    }
}

fn is_windows(attribute: &str) -> bool {
    family(attribute) == Family::Windows
}

/// `true` for words that say that nothing happens.
pub(super) fn says_nothing(words: &str) -> bool {
    const IDLE: &[&str] = &[
        "no function",
        "nofunction",
        "no effect",
        "none",
        "off",
        "out",
        "idle",
        "not used",
        "unused",
        "no use",
        "reserved",
        "no feature",
        "nofeature",
        "disabled",
        "inactive",
        "no function ",
        "no action",
        "stop",
        "no macro",
        "no reset",
        "no prism",
        "no program",
        "no programme",
        "empty",
        "normal",
        "safe",
        "blank",
    ];
    let words = words.trim().to_ascii_lowercase();
    IDLE.contains(&words.as_str()) || words.starts_with("no function")
}

/// 1 for a window that is open, 0 for one that is closed, by the words on it.
pub(super) fn open_or_closed(words: &str) -> Option<f64> {
    let words = words.to_ascii_lowercase();
    let says = |list: &[&str]| words.split(|c: char| !c.is_alphanumeric()).any(|word| list.contains(&word));
    if says(&["strobe", "pulse", "random", "lightning", "flash", "flashing"]) {
        return None;
    }
    match (
        says(&["open", "opened", "on", "steady", "full"]),
        says(&["closed", "close", "off", "shut", "blackout"]),
    ) {
        (true, false) => Some(1.0),
        (false, true) => Some(0.0),
        _ => None,
    }
}

/// What a channel is called that drives an attribute, in plain words.
pub(super) fn channel_name(attribute: &Attribute) -> String {
    let name = match attribute {
        Attribute::Dimmer => "dimmer",
        Attribute::Shutter1 => "shutter",
        Attribute::Pan => "pan",
        Attribute::Tilt => "tilt",
        Attribute::PositionMSpeed => "movement speed",
        Attribute::ColorAddR => "red",
        Attribute::ColorAddG => "green",
        Attribute::ColorAddB => "blue",
        Attribute::ColorAddC => "cyan",
        Attribute::ColorAddM => "magenta",
        Attribute::ColorAddY => "yellow",
        Attribute::ColorAddRY => "amber",
        Attribute::ColorAddGY => "lime",
        Attribute::ColorAddUV => "UV",
        Attribute::ColorAddW => "white",
        Attribute::ColorAddWW => "warm white",
        Attribute::ColorAddCW => "cool white",
        Attribute::Color1 => "colour wheel",
        Attribute::Gobo1 => "gobo wheel",
        Attribute::Prism1 => "prism",
        Attribute::Zoom => "zoom",
        Attribute::Focus1 => "focus",
        Attribute::Iris => "iris",
        Attribute::Frost1 => "frost",
        Attribute::Effects1 => "own programmes",
        Attribute::NoFeature => "not used",
        Attribute::FixtureGlobalReset => "reset",
        Attribute::Fog1 => "fog",
        Attribute::Haze1 => "haze",
        Attribute::Fan1 => "fan",
        other => other.name(),
    };
    name.to_owned()
}

/// The attribute of an emitter by what it is called, for files that do not say which function drives it.
pub(super) fn emitter_by_name(name: &str) -> Option<Attribute> {
    let lower = name.to_ascii_lowercase();
    let has = |word: &str| lower.contains(word);
    Some(match () {
        () if has("warm") => Attribute::ColorAddWW,
        () if has("cold") || has("cool") => Attribute::ColorAddCW,
        () if has("white") => Attribute::ColorAddW,
        () if has("amber") => Attribute::ColorAddRY,
        () if has("lime") || has("mint") => Attribute::ColorAddGY,
        () if has("cyan") => Attribute::ColorAddC,
        () if has("magenta") => Attribute::ColorAddM,
        () if has("yellow") => Attribute::ColorAddY,
        () if has("ultra") || lower == "uv" || lower.starts_with("uv ") || lower.starts_with("uv_") => {
            Attribute::ColorAddUV
        }
        () if has("red") => Attribute::ColorAddR,
        () if has("green") => Attribute::ColorAddG,
        () if has("blue") => Attribute::ColorAddB,
        () => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_have_a_family() {
        for (name, expected) in [
            ("Dimmer", Family::Amount),
            ("ColorAdd_R", Family::Amount),
            ("pan", Family::Measured),
            ("Shutter2", Family::Shutter),
            ("Shutter1Strobe", Family::Measured),
            ("Color1", Family::Wheel),
            ("Gobo2", Family::Wheel),
            ("Gobo1PosRotate", Family::Measured),
            ("Effects1", Family::Windows),
            ("Effects1Rate", Family::Amount),
            ("FixtureGlobalReset", Family::Windows),
            ("NoFeature", Family::Nothing),
            ("PT Speed", Family::Amount),
        ] {
            assert_eq!(family(name), expected, "{name}");
        }
    }

    #[test]
    fn dangers_are_seen_by_attribute_and_by_words() {
        for (attribute, words, expected) in [
            ("FixtureGlobalReset", "", Some(Danger::Reset)),
            ("Control1", "Reset all motors", Some(Danger::Reset)),
            ("LampControl", "", Some(Danger::Heater)),
            ("Control1", "Lamp On", Some(Danger::Heater)),
            ("Effects1", "Sound control", Some(Danger::Sound)),
            ("Effects1", "3", Some(Danger::Programme)),
            ("Control1", "Auto show 2", Some(Danger::Programme)),
            ("Effects1Rate", "slow to fast", None),
            ("Dimmer", "closed", None),
            ("Color1", "Open", None),
        ] {
            assert_eq!(danger(attribute, words), expected, "{attribute} {words}");
        }
    }

    #[test]
    fn words_on_windows_are_understood() {
        for (words, expected) in [
            ("Open", Some(1.0)),
            ("Shutter closed", Some(0.0)),
            ("LED off", Some(0.0)),
            ("Strobe open", None),
            ("opening", None),
            ("open/closed", None),
        ] {
            assert_eq!(open_or_closed(words), expected, "{words}");
        }
        assert!(says_nothing(" No Function ") && !says_nothing("open"));
        assert_eq!(emitter_by_name("Warm White LED"), Some(Attribute::ColorAddWW));
        assert_eq!(emitter_by_name("COB"), None);
    }
}
