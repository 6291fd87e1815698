//! Reading the fields of a case.

use lanthorn_physics::units::Radians;
use serde_json::Value;

/// The fields of one case.
pub(super) struct Case(serde_json::Map<String, Value>);

impl Case {
    /// A case is an object; keys that mean nothing here are left alone. `wants` lists those that do.
    pub(super) fn new(value: Value, wants: &str) -> Result<Self, String> {
        match value {
            Value::Object(fields) => Ok(Self(fields)),
            _ => Err(format!("a case is an object with {wants}")),
        }
    }

    /// A key that is there and not `null`.
    pub(super) fn get(&self, key: &str) -> Option<&Value> {
        self.0.get(key).filter(|value| !value.is_null())
    }

    /// So many numbers, in however many brackets they stand.
    pub(super) fn numbers<const N: usize>(&self, key: &str) -> Result<[f64; N], String> {
        let value = self.get(key).ok_or_else(|| format!("'{key}' is missing"))?;
        let numbers = flat(key, value)?;
        let count = numbers.len();
        numbers.try_into().map_err(|_| format!("'{key}' wants {N} numbers, not {count}"))
    }

    /// A number above zero, if the key is there.
    pub(super) fn positive(&self, key: &str) -> Result<Option<f64>, String> {
        match self.get(key) {
            None => Ok(None),
            Some(_) => match self.numbers::<1>(key)? {
                [number] if number > 0.0 => Ok(Some(number)),
                [number] => Err(format!("'{key}' must be above zero, not {number}")),
            },
        }
    }

    /// A pair of pan and tilt: `[pan, tilt]` or `{"pan": …, "tilt": …}`; the two values as they stand.
    pub(super) fn pan_and_tilt(&self, key: &str) -> Result<Option<[Value; 2]>, String> {
        match self.get(key) {
            None => Ok(None),
            Some(Value::Array(pair)) if pair.len() == 2 => Ok(Some([pair[0].clone(), pair[1].clone()])),
            Some(Value::Object(pair)) => {
                let part = |name: &str| {
                    pair.get(name)
                        .or_else(|| pair.get(&format!("{name}_deg")))
                        .cloned()
                        .ok_or_else(|| format!("'{key}' wants pan and tilt"))
                };
                Ok(Some([part("pan")?, part("tilt")?]))
            }
            Some(_) => Err(format!("'{key}' wants [pan, tilt] or {{\"pan\": …, \"tilt\": …}}")),
        }
    }
}

/// One number, or all the numbers of lists of lists; finite, and none of them beyond what any room or motor needs.
pub(super) fn flat(key: &str, value: &Value) -> Result<Vec<f64>, String> {
    match value {
        Value::Number(number) => match number.as_f64().filter(|number| number.abs() <= 1e9) {
            Some(number) => Ok(vec![number]),
            None => Err(format!("'{key}': {number} is too large")),
        },
        Value::Array(list) => {
            let mut all = Vec::new();
            for item in list {
                all.extend(flat(key, item)?);
            }
            Ok(all)
        }
        other => Err(format!("'{key}' wants numbers, not {other}")),
    }
}

/// Degrees for people, without a minus sign before nothing.
pub(super) fn degrees(angle: Radians) -> f64 {
    angle.deg() + 0.0
}
