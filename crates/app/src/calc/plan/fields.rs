//! The fields of a case, read forgivingly: keys in any case and with spaces, hyphens or underscores; several words for one
//! thing; numbers as numbers, or as texts with a unit.

use serde_json::{Map, Value};

/// Values beyond this are slips.
const MOST: f64 = 1e12;
/// Most entries of a list.
const MOST_ENTRIES: usize = 2000;

/// The fields of one case, or of one entry in it.
pub(super) struct Fields {
    map: Map<String, Value>,
    /// "light 3: " before what is said about it; empty for the case itself.
    who: String,
}

/// "Voltage drop" → "voltage_drop".
pub(super) fn plain(text: &str) -> String {
    text.trim().to_lowercase().replace([' ', '-'], "_")
}

/// Units that a text may end in, and what the number is multiplied by.
const UNITS: &[(&str, f64)] = &[
    ("", 1.0),
    ("m", 1.0),
    ("cm", 0.01),
    ("mm", 0.001),
    ("ft", 0.3048),
    ("feet", 0.3048),
    ("in", 0.0254),
    ("kg", 1.0),
    ("g", 0.001),
    ("lb", 0.453_592_37),
    ("a", 1.0),
    ("ma", 0.001),
    ("v", 1.0),
    ("w", 1.0),
    ("kw", 1000.0),
    ("va", 1.0),
    ("kva", 1000.0),
    ("wh", 1.0),
    ("kwh", 1000.0),
    ("ah", 1.0),
    ("%", 0.01),
    ("dba", 1.0),
    ("db", 1.0),
    ("m/s", 1.0),
    ("km/h", 1.0 / 3.6),
    ("mph", 0.447_04),
    ("m2", 1.0),
    ("n", 1.0),
];

impl Fields {
    /// A case is an object; `wants` says what belongs in it.
    pub(super) fn new(value: Value, wants: &str) -> Result<Self, String> {
        match value {
            Value::Object(fields) => {
                let map = fields.into_iter().map(|(key, value)| (plain(&key), value)).collect();
                Ok(Self { map, who: String::new() })
            }
            _ => Err(format!("a case is an object with {wants}")),
        }
    }

    /// A value by the first of these keys that is there and not `null`, with that key.
    fn find<'k>(&self, keys: &[&'k str]) -> Option<(&'k str, &Value)> {
        keys.iter()
            .find_map(|key| self.map.get(*key).filter(|value| !value.is_null()).map(|value| (*key, value)))
    }

    pub(super) fn has(&self, keys: &[&str]) -> bool {
        self.find(keys).is_some()
    }

    /// The value itself.
    pub(super) fn value(&self, keys: &[&str]) -> Option<&Value> {
        self.find(keys).map(|(_, value)| value)
    }

    fn wrong(&self, key: &str, what: &str) -> String {
        format!("{}\"{key}\" {what}", self.who)
    }

    /// A number; a text may end in a unit.
    pub(super) fn number(&self, keys: &[&str]) -> Result<Option<f64>, String> {
        let Some((key, value)) = self.find(keys) else { return Ok(None) };
        match read_number(value) {
            Some(number) if number.abs() <= MOST => Ok(Some(number)),
            Some(_) => Err(self.wrong(key, "is too large")),
            None => Err(self.wrong(key, &format!("is a number, not {value}"))),
        }
    }

    /// A number by keys whose unit is another: each key with what it is multiplied by. A text with a unit says its own.
    pub(super) fn scaled(&self, keys: &[(&str, f64)]) -> Result<Option<f64>, String> {
        for (key, factor) in keys {
            if let Some(number) = self.number(&[key])? {
                let says_unit = self
                    .value(&[key])
                    .and_then(Value::as_str)
                    .is_some_and(|text| text.trim().ends_with(|c: char| c.is_alphabetic() || c == '%'));
                return Ok(Some(if says_unit { number } else { number * factor }));
            }
        }
        Ok(None)
    }

    /// A number of 0 or more.
    pub(super) fn amount(&self, keys: &[(&str, f64)]) -> Result<Option<f64>, String> {
        match self.scaled(keys)? {
            Some(number) if number < 0.0 => Err(self.wrong(keys[0].0, "is 0 or more")),
            other => Ok(other),
        }
    }

    /// A number above zero.
    pub(super) fn positive(&self, keys: &[(&str, f64)]) -> Result<Option<f64>, String> {
        match self.scaled(keys)? {
            Some(number) if number <= 0.0 => Err(self.wrong(keys[0].0, "is above zero")),
            other => Ok(other),
        }
    }

    /// A number above zero that must be there.
    pub(super) fn need(&self, keys: &[(&str, f64)], what: &str) -> Result<f64, String> {
        self.positive(keys)?.ok_or_else(|| self.missing(keys[0].0, what))
    }

    pub(super) fn missing(&self, key: &str, what: &str) -> String {
        format!("{}\"{key}\" is missing: {what}", self.who)
    }

    /// A whole number of 0 or more.
    pub(super) fn count(&self, keys: &[&str]) -> Result<Option<u32>, String> {
        match self.number(keys)? {
            None => Ok(None),
            Some(number) if number.fract().abs() < 1e-9 && (0.0..=1e6).contains(&number) => {
                Ok(Some(number as u32))
            }
            Some(_) => Err(self.wrong(keys[0], "is a whole number")),
        }
    }

    /// A text; a number is taken as one.
    pub(super) fn text(&self, keys: &[&str]) -> Result<Option<String>, String> {
        match self.find(keys) {
            None => Ok(None),
            Some((_, Value::String(text))) => Ok(Some(text.clone())),
            Some((_, Value::Number(number))) => Ok(Some(number.to_string())),
            Some((key, _)) => Err(self.wrong(key, "is a text")),
        }
    }

    /// true or false.
    pub(super) fn flag(&self, keys: &[&str]) -> Result<bool, String> {
        match self.find(keys) {
            None => Ok(false),
            Some((_, Value::Bool(flag))) => Ok(*flag),
            Some((key, _)) => Err(self.wrong(key, "is true or false")),
        }
    }

    /// Plain numbers.
    pub(super) fn numbers(&self, keys: &[&str]) -> Result<Option<Vec<f64>>, String> {
        let Some((key, value)) = self.find(keys) else { return Ok(None) };
        let list = value.as_array().filter(|list| list.len() <= MOST_ENTRIES);
        let numbers = list.and_then(|list| list.iter().map(read_number).collect::<Option<Vec<f64>>>());
        numbers
            .map(Some)
            .ok_or_else(|| self.wrong(key, &format!("is a list of at most {MOST_ENTRIES} numbers")))
    }

    /// A point of two or three coordinates; a missing height is zero.
    pub(super) fn point(&self, keys: &[&str]) -> Result<Option<[f64; 3]>, String> {
        let Some((key, value)) = self.find(keys) else { return Ok(None) };
        read_point(value).map(Some).ok_or_else(|| self.wrong(key, "is a point [x, y, z] in metres"))
    }

    /// Entries of a list: objects as they are; plain numbers and texts under the key `bare`; points under `at`.
    pub(super) fn entries(&self, keys: &[&str], noun: &str, bare: &str) -> Result<Option<Vec<Self>>, String> {
        let Some((key, value)) = self.find(keys) else { return Ok(None) };
        let list = match value {
            Value::Array(list) => list.clone(),
            // By name: {"left": 3, "right": {…}}.
            Value::Object(named) => named.iter().map(|(name, value)| called(name, value, bare)).collect(),
            // A mere count is read by whoever asks for one.
            Value::Number(_) => return Ok(None),
            _ => return Err(self.wrong(key, "is a list")),
        };
        if list.len() > MOST_ENTRIES {
            return Err(self.wrong(key, &format!("has at most {MOST_ENTRIES} entries")));
        }
        let entry = |(index, value): (usize, &Value)| {
            let who = format!("{noun} {}: ", index + 1);
            let map = match value {
                Value::Object(fields) => {
                    fields.iter().map(|(key, value)| (plain(key), value.clone())).collect()
                }
                Value::Array(_) if bare != "at" && read_point(value).is_some() => {
                    Map::from_iter([("at".to_owned(), value.clone())])
                }
                other => Map::from_iter([(bare.to_owned(), other.clone())]),
            };
            Self { map, who }
        };
        Ok(Some(list.iter().enumerate().map(entry).collect()))
    }

    /// What stands for it in answers: its name, its number, or its place in the list.
    pub(super) fn name(&self, index: usize) -> Result<String, String> {
        let name = self.text(&["name", "id", "number", "no", "light", "circuit_name", "label"])?;
        Ok(name.unwrap_or_else(|| (index + 1).to_string()))
    }
}

/// An entry of an object of entries.
fn called(name: &str, value: &Value, bare: &str) -> Value {
    let mut entry = match value {
        Value::Object(fields) => fields.clone(),
        other => Map::from_iter([(bare.to_owned(), other.clone())]),
    };
    entry.entry("name").or_insert_with(|| Value::String(name.to_owned()));
    Value::Object(entry)
}

/// A number, or a text that begins with one and ends in a unit that we know.
fn read_number(value: &Value) -> Option<f64> {
    let text = match value {
        Value::Number(number) => return number.as_f64().filter(|number| number.is_finite()),
        Value::String(text) => text.trim().to_lowercase().replace('²', "2"),
        _ => return None,
    };
    let digits = text.find(|c: char| !(c.is_ascii_digit() || ".+-".contains(c))).unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let factor = UNITS.iter().find(|(symbol, _)| *symbol == unit.trim()).map(|(_, factor)| factor)?;
    number.parse::<f64>().ok().filter(|number| number.is_finite()).map(|number| number * factor)
}

pub(super) fn read_point(value: &Value) -> Option<[f64; 3]> {
    let numbers: Vec<f64> = match value {
        Value::Array(list) => list.iter().map(read_number).collect::<Option<_>>()?,
        Value::Object(fields) => {
            let part = |key: &str| fields.get(key).map_or(Some(0.0), read_number);
            vec![part("x")?, part("y")?, part("z")?]
        }
        _ => return None,
    };
    match numbers[..] {
        [x, y] => Some([x, y, 0.0]),
        [x, y, z] => Some([x, y, z]),
        _ => None,
    }
}

/// Keys that several tasks know.
pub(super) const LENGTH: &[(&str, f64)] = &[
    ("length_m", 1.0),
    ("length", 1.0),
    ("metres", 1.0),
    ("meters", 1.0),
    ("m", 1.0),
    ("one_way_m", 1.0),
    ("lead_m", 1.0),
    ("run_m", 1.0),
    ("distance_m", 1.0),
    ("length_ft", 0.3048),
    ("feet", 0.3048),
    ("ft", 0.3048),
    ("distance_ft", 0.3048),
];
pub(super) const AMPS: &[(&str, f64)] =
    &[("amps", 1.0), ("a", 1.0), ("current_a", 1.0), ("current", 1.0), ("load_amps", 1.0), ("load_a", 1.0)];
pub(super) const WATTS: &[(&str, f64)] = &[
    ("watts", 1.0),
    ("w", 1.0),
    ("power_w", 1.0),
    ("watt", 1.0),
    ("kw", 1000.0),
    ("power", 1.0),
    ("load_w", 1.0),
];
pub(super) const VOLT_AMPS: &[(&str, f64)] =
    &[("va", 1.0), ("volt_amps", 1.0), ("kva", 1000.0), ("apparent_va", 1.0)];
pub(super) const FACTOR: &[(&str, f64)] =
    &[("power_factor", 1.0), ("pf", 1.0), ("cos_phi", 1.0), ("cosphi", 1.0)];
pub(super) const KG: &[(&str, f64)] =
    &[("kg", 1.0), ("weight_kg", 1.0), ("mass_kg", 1.0), ("weight", 1.0), ("lb", 0.453_592_37)];
pub(super) const BREAKER: &[(&str, f64)] = &[
    ("breaker", 1.0),
    ("breaker_a", 1.0),
    ("breaker_amps", 1.0),
    ("fuse", 1.0),
    ("rating", 1.0),
    ("in_a", 1.0),
];
pub(super) const CONTINUOUS: &[(&str, f64)] =
    &[("continuous", 1.0), ("continuous_share", 1.0), ("share", 1.0), ("factor", 1.0), ("derate", 1.0)];
pub(super) const OTHER: &[(&str, f64)] = &[
    ("other_amps", 1.0),
    ("other_load", 1.0),
    ("other_load_a", 1.0),
    ("other_load_amps", 1.0),
    ("other", 1.0),
    ("other_a", 1.0),
    ("existing_a", 1.0),
];
pub(super) const COUNT: &[&str] = &["count", "n", "qty", "quantity", "how_many", "lights_count"];
