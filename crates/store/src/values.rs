//! The values of a show's looks, chases and cues as its text writes them, for whoever edits them: "3 s", "80 %", a
//! mark's name. What the text leaves out is not there.

use std::collections::BTreeMap;

use toml_edit::{Document, Item, TableLike, Value as Toml};

use crate::change::Value;

/// Keys and their values.
pub type Table = BTreeMap<String, Value>;

/// What of a show's text can be edited by value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ShowValues {
    /// `[show]`.
    pub show: Table,
    /// Every `[[look]]`, in order; its parts and all else in one.
    pub looks: Vec<Table>,
    /// Every `[[chase]]`.
    pub chases: Vec<Table>,
    /// Every `[[cue]]`.
    pub cues: Vec<Table>,
    /// Every `[[swatch]]`.
    pub swatches: Vec<Table>,
}

/// Reads the values. Empty for a text that is no TOML: whoever edits has read the show itself before.
pub fn values(text: &str) -> ShowValues {
    let Ok(document) = Document::parse(text) else { return ShowValues::default() };
    let root = document.as_table();
    let list = |key: &str| root.get(key).map(tables).unwrap_or_default();
    ShowValues {
        show: root.get("show").and_then(Item::as_table_like).map(table).unwrap_or_default(),
        looks: list("look"),
        chases: list("chase"),
        cues: list("cue"),
        swatches: list("swatch"),
    }
}

/// The tables of an array, whichever way it is written.
fn tables(item: &Item) -> Vec<Table> {
    if let Some(tables) = item.as_array_of_tables() {
        return tables.iter().map(|one| table(one)).collect();
    }
    let inline = item.as_array().into_iter().flatten();
    inline.filter_map(Toml::as_inline_table).map(|one| table(one)).collect()
}

fn table(table: &dyn TableLike) -> Table {
    let entries = table.iter().filter_map(|(key, item)| Some((key.to_owned(), of_item(item)?)));
    entries.collect()
}

fn of_item(item: &Item) -> Option<Value> {
    match item {
        Item::None => None,
        Item::Value(value) => Some(of_value(value)),
        Item::Table(one) => Some(Value::Table(table(one))),
        Item::ArrayOfTables(several) => {
            Some(Value::List(several.iter().map(|one| Value::Table(table(one))).collect()))
        }
    }
}

fn of_value(value: &Toml) -> Value {
    match value {
        Toml::String(text) => Value::Text(text.value().clone()),
        Toml::Integer(whole) => Value::Whole(*whole.value()),
        Toml::Float(number) => Value::Number(*number.value()),
        Toml::Boolean(flag) => Value::Flag(*flag.value()),
        Toml::Datetime(time) => Value::Text(time.value().to_string()),
        Toml::Array(items) => Value::List(items.iter().map(of_value).collect()),
        Toml::InlineTable(entries) => Value::Table(table(entries)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DEMO_TEXT;

    #[test]
    fn values_are_those_that_the_text_writes() {
        let values = values(DEMO_TEXT);
        let supper = &values.looks[0];
        assert_eq!(supper["name"], Value::from("Supper"));
        let Value::List(parts) = &supper["part"] else { panic!("{supper:?}") };
        let Value::Table(spots) = &parts[1] else { panic!("{parts:?}") };
        assert_eq!((&spots["who"], &spots["level"]), (&Value::from("spots"), &Value::from("90 %")));
        let Value::Table(aim) = &spots["aim"] else { panic!("{spots:?}") };
        assert_eq!(aim["from"], Value::from("back wall left"));
        assert_eq!(values.cues.len(), 12);
        assert!(matches!(&values.chases[0]["steps"], Value::List(steps) if steps.len() == 4));
        assert_eq!(super::values("no [ toml"), ShowValues::default());
    }
}
