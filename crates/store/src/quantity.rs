//! Numbers with units, as people write them: "3.5 m", "350 cm", "12 kg", "90°", "120 ms", "80 %".

/// What kind of quantity a key holds, in which units it may be written, and what is possible.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Measure {
    /// "a length".
    pub(crate) what: &'static str,
    /// Symbol, factor and divisor to the unit that the program counts in; the first is meant when none is written.
    units: &'static [(&'static str, f64, f64)],
    /// For the message: "such as …".
    pub(crate) example: &'static str,
    /// Lowest and highest value that makes sense, in the unit that the program counts in.
    limits: (f64, f64),
}

/// Why a text is no such quantity.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NotAQuantity {
    /// No number in front.
    NoNumber,
    /// 1,5 instead of 1.5.
    Comma,
    /// Another unit; those that fit.
    Unit(String),
    /// NaN or infinite.
    NotFinite,
    /// Too small or too large; what is possible.
    Range(String),
}

/// Degrees to radians, exactly as `Radians::from_deg` has it.
const DEGREE: f64 = std::f64::consts::PI / 180.0;

pub(crate) const LENGTH: Measure = Measure {
    what: "a length",
    units: &[
        ("m", 1.0, 1.0),
        ("cm", 1.0, 100.0),
        ("mm", 1.0, 1000.0),
        ("ft", 0.3048, 1.0),
        ("in", 0.0254, 1.0),
    ],
    example: "\"3.5 m\"",
    limits: (-1000.0, 1000.0),
};
pub(crate) const WEIGHT: Measure = Measure {
    what: "a weight",
    units: &[("kg", 1.0, 1.0), ("g", 1.0, 1000.0), ("lb", 0.453_592_37, 1.0)],
    example: "\"12 kg\"",
    limits: (0.0, 100_000.0),
};
pub(crate) const SPEED: Measure = Measure {
    what: "a speed",
    units: &[("m/s", 1.0, 1.0), ("cm/s", 1.0, 100.0)],
    example: "\"1.5 m/s\"",
    limits: (0.0, 100.0),
};
pub(crate) const ANGLE: Measure = Measure {
    what: "an angle",
    units: &[("°", DEGREE, 1.0), ("deg", DEGREE, 1.0), ("rad", 1.0, 1.0)],
    example: "\"90°\"",
    limits: (-4.0 * std::f64::consts::PI, 4.0 * std::f64::consts::PI),
};
pub(crate) const TIME: Measure = Measure {
    what: "a time",
    units: &[("s", 1.0, 1.0), ("ms", 1.0, 1000.0), ("min", 60.0, 1.0)],
    example: "\"2 s\"",
    limits: (0.0, 86_400.0),
};
pub(crate) const BEATS: Measure = Measure {
    what: "a number of beats",
    units: &[("beats", 1.0, 1.0), ("beat", 1.0, 1.0)],
    example: "\"4 beats\"",
    limits: (0.0, 4096.0),
};
pub(crate) const BARS: Measure = Measure {
    what: "a number of bars",
    units: &[
        ("bars", 1.0, 1.0),
        ("bar", 1.0, 1.0),
        ("phrases", lanthorn_show::chase::PHRASE_BARS, 1.0),
        ("phrase", lanthorn_show::chase::PHRASE_BARS, 1.0),
    ],
    example: "\"1 bar\"",
    limits: (0.0, 1024.0),
};
pub(crate) const AMPS: Measure = Measure {
    what: "a current",
    units: &[("A", 1.0, 1.0), ("mA", 1.0, 1000.0)],
    example: "\"16 A\"",
    limits: (0.0, 1000.0),
};
pub(crate) const VOLTS: Measure = Measure {
    what: "a mains tension",
    units: &[("V", 1.0, 1.0)],
    example: "\"230 V\"",
    limits: (12.0, 1000.0),
};
pub(crate) const WATTS: Measure = Measure {
    what: "a power",
    units: &[("W", 1.0, 1.0), ("kW", 1000.0, 1.0)],
    example: "\"400 W\"",
    limits: (0.0, 100_000.0),
};
pub(crate) const WATT_HOURS: Measure = Measure {
    what: "a stored energy",
    units: &[("Wh", 1.0, 1.0), ("kWh", 1000.0, 1.0)],
    example: "\"100 Wh\"",
    limits: (0.0, 100_000.0),
};
pub(crate) const VOLT_AMPS: Measure = Measure {
    what: "a generator's rating",
    units: &[("VA", 1.0, 1.0), ("kVA", 1000.0, 1.0)],
    example: "\"6 kVA\"",
    limits: (100.0, 1_000_000.0),
};
pub(crate) const RATE: Measure = Measure {
    what: "a rate",
    units: &[("Hz", 1.0, 1.0), ("/s", 1.0, 1.0)],
    example: "\"3 Hz\"",
    limits: (0.0, 100.0),
};
pub(crate) const CANDELA: Measure =
    Measure { what: "an intensity", units: &[("cd", 1.0, 1.0)], example: "\"12000 cd\"", limits: (0.0, 1e9) };
pub(crate) const LUMENS: Measure =
    Measure { what: "a flux", units: &[("lm", 1.0, 1.0)], example: "\"900 lm\"", limits: (0.0, 1e7) };
pub(crate) const LUX: Measure = Measure {
    what: "a light level",
    // A footcandle is a lumen on a square foot.
    units: &[("lx", 1.0, 1.0), ("lux", 1.0, 1.0), ("fc", 1.0, 0.3048 * 0.3048)],
    example: "\"400 lx\"",
    limits: (0.1, 1e6),
};
pub(crate) const NOISE: Measure = Measure {
    what: "a noise",
    units: &[("dBA", 1.0, 1.0), ("dB", 1.0, 1.0)],
    example: "\"42 dBA\"",
    limits: (0.0, 140.0),
};
pub(crate) const FRACTION: Measure = Measure {
    what: "a part of the whole",
    units: &[("", 1.0, 1.0), ("%", 1.0, 100.0)],
    example: "0.8 or \"80 %\"",
    limits: (0.0, 1.0),
};
pub(crate) const SWING: Measure =
    Measure { what: "a swing", example: "0.6 or \"60 %\"", limits: (0.5, 0.75), ..FRACTION };
pub(crate) const TEMPO: Measure =
    Measure { what: "a tempo", units: &[("bpm", 1.0, 1.0)], example: "120", limits: (20.0, 400.0) };
pub(crate) const PLAIN: Measure =
    Measure { what: "a number", units: &[("", 1.0, 1.0)], example: "1.5", limits: (-1e9, 1e9) };

impl Measure {
    /// The same quantity with other limits.
    pub(crate) const fn between(self, low: f64, high: f64) -> Self {
        Self { limits: (low, high), ..self }
    }

    /// A bare number, in the first unit.
    pub(crate) fn bare(&self, number: f64) -> Result<f64, NotAQuantity> {
        let (_, factor, divisor) = self.units[0];
        self.checked(number * factor / divisor)
    }

    /// Whether a text ends in one of its units.
    pub(crate) fn has_unit(&self, text: &str) -> bool {
        let text = text.trim();
        let unit = text[number_length(text)..].trim();
        self.units.iter().any(|(symbol, ..)| *symbol == unit)
    }

    /// A number with a unit.
    pub(crate) fn read(&self, text: &str) -> Result<f64, NotAQuantity> {
        let text = text.trim();
        let (digits, unit) = text.split_at(number_length(text));
        let unit = unit.trim();
        if unit.starts_with(',') {
            return Err(NotAQuantity::Comma);
        }
        let number: f64 = digits.parse().map_err(|_| NotAQuantity::NoNumber)?;
        if unit.is_empty() {
            return self.bare(number);
        }
        match self.units.iter().find(|(symbol, ..)| *symbol == unit) {
            Some((_, factor, divisor)) => self.checked(number * factor / divisor),
            None => Err(NotAQuantity::Unit(self.unit_list())),
        }
    }

    fn checked(&self, value: f64) -> Result<f64, NotAQuantity> {
        let (low, high) = self.limits;
        if !value.is_finite() {
            Err(NotAQuantity::NotFinite)
        } else if value < low || value > high {
            Err(NotAQuantity::Range(self.limit_words()))
        } else {
            Ok(value)
        }
    }

    /// The symbols of its units.
    pub(crate) fn units(&self) -> impl Iterator<Item = &'static str> {
        self.units.iter().map(|(symbol, ..)| *symbol)
    }

    /// "m, cm, mm, ft or in".
    fn unit_list(&self) -> String {
        let names: Vec<&str> =
            self.units.iter().map(|(symbol, ..)| *symbol).filter(|s| !s.is_empty()).collect();
        match names.split_last() {
            None => "no unit".to_owned(),
            Some((last, [])) => (*last).to_owned(),
            Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        }
    }

    /// "from 0 to 1000 m".
    fn limit_words(&self) -> String {
        let (symbol, factor, divisor) = self.units[0];
        if self.units.iter().any(|(symbol, ..)| *symbol == "%") {
            let (low, high) = self.limits;
            return format!("from {low} to {high}, or from {} % to {} %", low * 100.0, high * 100.0);
        }
        let space = if symbol.is_empty() || symbol == "°" { "" } else { " " };
        let shown = |value: f64| (value / factor * divisor * 1e6).round() / 1e6;
        format!("from {} to {}{space}{symbol}", shown(self.limits.0), shown(self.limits.1))
    }
}

/// Bytes of the number at the start of a text.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut at = 0;
    while at < bytes.len() {
        let exponent = matches!(bytes[at], b'e' | b'E')
            && at > 0
            && bytes.get(at + 1).is_some_and(|next| next.is_ascii_digit() || matches!(next, b'+' | b'-'));
        if bytes[at].is_ascii_digit() || matches!(bytes[at], b'.' | b'+' | b'-') || exponent {
            at += 1;
        } else {
            break;
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_read_and_foreign_ones_refused() {
        for (measure, text, value) in [
            (LENGTH, "3.5 m", 3.5),
            (LENGTH, "350cm", 3.5),
            (LENGTH, "-12 mm", -0.012),
            (LENGTH, "10 ft", 3.048),
            (LENGTH, "2", 2.0),
            (ANGLE, "180°", std::f64::consts::PI),
            (ANGLE, "180 deg", std::f64::consts::PI),
            (ANGLE, "1.5 rad", 1.5),
            (TIME, "120 ms", 0.12),
            (FRACTION, "70 %", 0.7),
            (AMPS, "1e1 A", 10.0),
            (WATTS, "1.2 kW", 1200.0),
        ] {
            assert_eq!(measure.read(text), Ok(value), "{text}");
        }
        assert_eq!(LENGTH.read("3 kg"), Err(NotAQuantity::Unit("m, cm, mm, ft or in".to_owned())));
        assert_eq!(LENGTH.read("1,5 m"), Err(NotAQuantity::Comma));
        assert_eq!(LENGTH.read("wide"), Err(NotAQuantity::NoNumber));
        assert_eq!(LENGTH.read("nan m"), Err(NotAQuantity::NoNumber));
        assert_eq!(LENGTH.bare(f64::NAN), Err(NotAQuantity::NotFinite));
        assert_eq!(LENGTH.read("1e999 m"), Err(NotAQuantity::NotFinite));
        assert_eq!(
            FRACTION.read("120 %"),
            Err(NotAQuantity::Range("from 0 to 1, or from 0 % to 100 %".to_owned()))
        );
        assert_eq!(ANGLE.bare(900.0), Err(NotAQuantity::Range("from -720 to 720°".to_owned())));
    }
}
