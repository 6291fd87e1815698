//! Values as a change brings them: those of the show file, in JSON's clothes.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::ink::{list, number, quoted};

/// A value in the same words as the show file has it: `"80 %"`, `0.8`, `[0, 1.5, 1.2]`, `"cake"`,
/// `{ "from": "left", "to": [2, 0, 0] }`. Texts lose spaces at their ends.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// true or false.
    Flag(bool),
    /// A whole number.
    Whole(i64),
    /// Any other number.
    Number(f64),
    /// A text, such as a quantity with its unit or a name.
    Text(String),
    /// Several, such as a point.
    List(Vec<Value>),
    /// Keys and values.
    Table(BTreeMap<String, Value>),
}

impl Value {
    /// As a show file writes it. What is no value there (a number that is none) is found when the text is read.
    pub(super) fn source(&self) -> String {
        // Beyond this a whole number of ours could be too long for the file.
        const LARGE: f64 = 1e15;
        match self {
            Self::Flag(flag) => flag.to_string(),
            Self::Whole(whole) => whole.to_string(),
            Self::Number(value) if value.abs() >= LARGE => format!("{value:e}"),
            Self::Number(value) => number(*value),
            Self::Text(text) => quoted(text.trim()),
            Self::List(items) => list(items.iter().map(Self::source)),
            Self::Table(entries) => {
                let keys: Vec<String> = entries.iter().map(|(key, value)| entry(key, value)).collect();
                if keys.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", keys.join(", ")) }
            }
        }
    }

    /// For people, and not longer than a line: quantities as they are, words in quotation marks.
    pub(super) fn words(&self) -> String {
        const LONGEST: usize = 60;
        let words = match self {
            Self::Text(text) => {
                let text = text.trim().replace(char::is_control, " ");
                let amount = text.starts_with(|c: char| c.is_ascii_digit() || "#-+.".contains(c));
                if amount { text } else { format!("\"{text}\"") }
            }
            Self::List(items) if items.iter().all(|item| matches!(item, Self::Text(_))) => {
                items.iter().map(Self::words).collect::<Vec<_>>().join(", ")
            }
            other => other.source().replace(char::is_control, " "),
        };
        if words.chars().count() <= LONGEST {
            return if words.is_empty() { "none".to_owned() } else { words };
        }
        format!("{}…", words.chars().take(LONGEST).collect::<String>())
    }

    /// The text that this is.
    pub(super) fn text(&self) -> &str {
        match self {
            Self::Text(text) => text.trim(),
            _ => "",
        }
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

/// A key with its value.
pub(super) fn entry(key: &str, value: &Value) -> String {
    format!("{} = {}", bare(key), value.source())
}

fn bare(key: &str) -> String {
    let plain = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if plain { key.to_owned() } else { quoted(key) }
}

/// What TypeScript knows of [`Value`].
#[cfg(feature = "ts")]
mod typescript {
    use super::Value;

    impl ts_rs::TS for Value {
        type WithoutGenerics = Self;
        type OptionInnerType = Self;

        fn name(_: &ts_rs::Config) -> String {
            "Value".to_owned()
        }

        fn inline(_: &ts_rs::Config) -> String {
            "boolean | number | string | Array<Value> | { [key in string]: Value }".to_owned()
        }

        fn decl(config: &ts_rs::Config) -> String {
            format!("type Value = {};", Self::inline(config))
        }

        fn decl_concrete(config: &ts_rs::Config) -> String {
            Self::decl(config)
        }
    }
}
