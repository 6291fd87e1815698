//! Changing one value in a file that a person keeps: remarks, order and spacing stay where the value is not touched.

mod found;

pub use found::{Finding, add_sight, remove_sight, set_found};

use toml_edit::{DocumentMut, Item, Value};

/// Why a value could not be changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The file is no TOML.
    #[error("the file cannot be read: {0}")]
    NotRead(String),
    /// Nothing stands at that path.
    #[error("there is no `{path}` in the file: check the path")]
    NoSuchPlace {
        /// The path that was asked for, up to where it broke off.
        path: String,
    },
    /// Tables that are written as one value.
    #[error("`{key}` stands in the file as one value: write it as `[[{key}]]` tables")]
    NotATable {
        /// Of which key.
        key: String,
    },
    /// The new value is no TOML value.
    #[error("`{value}` is no value: texts stand in quotation marks, lists in [ ]")]
    NotAValue {
        /// What was given.
        value: String,
    },
}

/// One step on the way to a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step<'p> {
    /// The value of a key.
    Key(&'p str),
    /// The table or item of that place in a list, from 0.
    Item(usize),
}

/// The text with the value at `path` replaced by `value` (a TOML value, such as `"3 s"` with its quotation marks, or
/// `[1, 2]`). The last key may be new; everything before it must exist. Remarks beside the value are kept.
pub fn set_value(text: &str, path: &[Step<'_>], value: &str) -> Result<String, EditError> {
    let mut document: DocumentMut =
        text.parse().map_err(|error: toml_edit::TomlError| EditError::NotRead(error.message().to_owned()))?;
    let new: Value = value.parse().map_err(|_| EditError::NotAValue { value: value.to_owned() })?;
    let Some((last, before)) = path.split_last() else {
        return Err(EditError::NoSuchPlace { path: String::new() });
    };
    let mut at = document.as_item_mut();
    for (index, step) in before.iter().enumerate() {
        at = inside(at, *step).ok_or_else(|| no_such(&path[..=index]))?;
    }
    put(at, *last, new).ok_or_else(|| no_such(path))?;
    Ok(document.to_string())
}

fn inside<'d>(item: &'d mut Item, step: Step<'_>) -> Option<&'d mut Item> {
    match step {
        Step::Key(key) => item.as_table_like_mut()?.get_mut(key),
        Step::Item(index) => item.get_mut(index),
    }
}

fn put(item: &mut Item, step: Step<'_>, mut new: Value) -> Option<()> {
    let Step::Key(key) = step else {
        let Step::Item(index) = step else { return None };
        let old = item.as_array_mut()?.get_mut(index)?;
        *new.decor_mut() = old.decor().clone();
        *old = new;
        return Some(());
    };
    let table = item.as_table_like_mut()?;
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        Some(_) => return None, // a whole table: not one value
        None => {
            table.insert(key, Item::Value(new));
        }
    }
    Some(())
}

fn no_such(path: &[Step<'_>]) -> EditError {
    let mut words = String::new();
    for step in path {
        match step {
            Step::Key(key) if words.is_empty() => words.push_str(key),
            Step::Key(key) => words.push_str(&format!(".{key}")),
            Step::Item(index) => words.push_str(&format!("[{}]", index + 1)),
        }
    }
    EditError::NoSuchPlace { path: words }
}

#[cfg(test)]
mod tests {
    use super::Step::{Item, Key};
    use super::*;

    const TEXT: &str = "# my show\n[[unit]]\nnumber = 1\naddress = \"1.001\" # by the door\n\n# second\n[[unit]]\n\
                        number = 2\nat = [ -1.0,  1.0 ]\n";

    #[test]
    fn only_the_value_changes() {
        let path = [Key("unit"), Item(0), Key("address")];
        let text = set_value(TEXT, &path, "\"1.101\"").unwrap();
        assert_eq!(text, TEXT.replace("1.001", "1.101"));
        let text = set_value(TEXT, &[Key("unit"), Item(1), Key("at"), Item(1)], "2.5").unwrap();
        assert_eq!(text, TEXT.replace("  1.0 ]", "  2.5 ]"));
    }

    #[test]
    fn a_new_key_joins_its_table() {
        let text = set_value(TEXT, &[Key("unit"), Item(1), Key("turn")], "\"90°\"").unwrap();
        assert_eq!(text, format!("{TEXT}turn = \"90°\"\n"));
    }

    #[test]
    fn what_cannot_be_is_said() {
        let say = |path: &[Step<'_>], value| set_value(TEXT, path, value).unwrap_err().to_string();
        assert_eq!(
            say(&[Key("unit"), Item(4), Key("address")], "1"),
            "there is no `unit[5]` in the file: check the path"
        );
        assert_eq!(
            say(&[Key("unit"), Item(0), Key("address")], "kitchen"),
            "`kitchen` is no value: texts stand in quotation marks, lists in [ ]"
        );
        assert!(set_value("a = ", &[Key("a")], "1").is_err());
    }
}
