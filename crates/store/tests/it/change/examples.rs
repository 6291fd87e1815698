//! The examples in docs/changes.md, each made in a harvest supper: what they say stands in the document, and which
//! lines of the file differ stands in a kept table.

use std::collections::BTreeSet;

use super::{changed, diff, read};

/// A harvest supper as the built-in one began, which stays as it is.
const SUPPER: &str = include_str!("../shows/supper.show.toml");

/// A show without a light.
pub(super) const EMPTY: &str = "\
lanthorn = 1\n\n[show]\nname = \"Spring dance\"\n\n[room]\nname = \"old school\"\nx = [-5, 5]\ny = [-9, 3]\nheight = \"4 m\"\n\n\
[[room.platform]]\nname = \"stage\"\nx = [-4, 4]\ny = [0, 3]\nheight = \"70 cm\"\n";

const DOCUMENT: &str = include_str!("../../../../../docs/changes.md");

/// Every example, and what the document says that it says.
fn examples() -> Vec<(&'static str, &'static str)> {
    let mut list = Vec::new();
    for after in DOCUMENT.split("```json\n").skip(1) {
        let (json, rest) = after.split_once("```").unwrap_or_default();
        let says =
            rest.trim_start().strip_prefix("> ").map_or("", |line| line.lines().next().unwrap_or_default());
        list.push((json.trim(), says));
    }
    list
}

#[test]
fn examples_do_what_the_document_says() {
    let mut table = String::new();
    let mut wrong = Vec::new();
    for (json, written) in examples() {
        // A first show is begun where there is none; the starter's own tests look at its text.
        let begins = json.contains("\"begin\"");
        let (text, says) = changed(if begins { EMPTY } else { SUPPER }, json);
        read(&text);
        let differs = if begins { "a whole show\n".to_owned() } else { diff(SUPPER, &text) };
        table.push_str(&format!("{json}\n\n{says}\n\n{differs}\n"));
        if says != written {
            wrong.push(format!("{json}\n\n> {says}\n"));
        }
    }
    insta::assert_snapshot!(table);
    assert!(wrong.is_empty(), "docs/changes.md should say:\n{}", wrong.join("\n"));
}

#[test]
fn every_kind_of_change_has_an_example() {
    let kind = |json: &str| {
        let value: serde_json::Value = serde_json::from_str(json).unwrap();
        value["type"].as_str().unwrap().to_owned()
    };
    let found: BTreeSet<String> = examples().iter().map(|(json, _)| kind(json)).collect();
    // A kind that is none names all that there are.
    let error =
        serde_json::from_str::<lanthorn_store::change::Change>(r#"{"type":"?"}"#).unwrap_err().to_string();
    let all: BTreeSet<String> = error.split('`').skip(3).step_by(2).map(str::to_owned).collect();
    assert!(all.len() > 70, "{error}");
    assert_eq!(found, all);
}
