//! The values of a show's looks, chases, cues and figures as its text writes them, for whoever edits them: "3 s", "80 %", a
//! mark's name. What the text leaves out is not there.

use std::collections::BTreeMap;

use crate::change::Value;
use crate::tree::{self, Data, Node};

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
    /// Every `[[score]]`; its parts and all else in one.
    pub scores: Vec<Table>,
    /// Every `[[swatch]]`.
    pub swatches: Vec<Table>,
    /// Every `[[figure]]`.
    pub figures: Vec<Table>,
}

/// Reads the values. Empty for a text that is no TOML: whoever edits has read the show itself before.
pub fn values(text: &str) -> ShowValues {
    let Ok(root) = tree::parse(text) else { return ShowValues::default() };
    let mut root = table(text, &root);
    let mut list = |key: &str| match root.remove(key) {
        Some(Value::List(items)) => items.into_iter().filter_map(inside).collect(),
        _ => Vec::new(),
    };
    let (looks, chases, cues) = (list("look"), list("chase"), list("cue"));
    let (scores, swatches, figures) = (list("score"), list("swatch"), list("figure"));
    let show = root.remove("show").and_then(inside).unwrap_or_default();
    ShowValues { show, looks, chases, cues, scores, swatches, figures }
}

fn inside(value: Value) -> Option<Table> {
    match value {
        Value::Table(table) => Some(table),
        _ => None,
    }
}

fn table(text: &str, node: &Node) -> Table {
    let Data::Table(entries) = &node.data else { return Table::new() };
    entries.iter().map(|entry| (entry.key.clone(), value(text, &entry.value))).collect()
}

fn value(text: &str, node: &Node) -> Value {
    match &node.data {
        Data::Text(text) => Value::Text(text.clone()),
        Data::Whole(whole) => Value::Whole(*whole),
        Data::Number(number) => Value::Number(*number),
        Data::Flag(flag) => Value::Flag(*flag),
        Data::Date => Value::Text(text.get(node.from..node.to).unwrap_or_default().to_owned()),
        Data::List(items) => Value::List(items.iter().map(|item| value(text, item)).collect()),
        Data::Table(_) => Value::Table(table(text, node)),
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
