//! What cannot be is refused, with a sentence that names the field and what to do.

use lanthorn_store::change::{Change, Value, apply};

use super::change;

/// A harvest supper as the built-in one began, which stays as it is.
const SUPPER: &str = include_str!("../shows/supper.show.toml");

/// Changes that cannot be, and why.
const ROWS: &[(&str, &str)] = &[
    (r#"{"type":"look_add","name":"  "}"#, "the name of a look must not be empty: write one"),
    (r#"{"type":"look_add","name":" Cake "}"#, "there is a look \"Cake\" already: choose another name"),
    (
        r#"{"type":"look_rename","name":"Cake","to":"Reel"}"#,
        "there is a chase \"Reel\" already: choose another name",
    ),
    (r#"{"type":"look_remove","name":"Caek"}"#, "there is no look \"Caek\": did you mean \"Cake\"?"),
    (r#"{"type":"look_move","name":"Cake","to":7}"#, "look 7 is none: they are counted from 1 to 6"),
    (
        r#"{"type":"part_set","look":"Cake","part":0,"field":"level","value":1}"#,
        "part 0 is none: they are counted from 1 to 3",
    ),
    (
        r#"{"type":"part_set","look":"Cake","part":1,"field":"level","value":"120 %"}"#,
        "look \"Cake\", part 1: `level = \"120 %\"`: a part of the whole here runs from 0 to 1, or from 0 % to 100 %: check the figure",
    ),
    (
        r#"{"type":"part_set","look":"Cake","part":1,"field":"level","value":{"much":[]}}"#,
        "look \"Cake\", part 1: `level = { much = [] }`: a part of the whole starts with a number: write it such as 0.8 or \"80 %\"",
    ),
    (
        r#"{"type":"part_set","look":"Cake","part":2,"field":"who","value":null}"#,
        "look \"Cake\", part 2: `who` is missing: add `who = \"all\"`",
    ),
    (
        r#"{"type":"look_fade","name":"Cake","fade":"soon"}"#,
        "look \"Cake\": `fade = \"soon\"`: a time starts with a number: write it such as \"2 s\"",
    ),
    (
        r#"{"type":"swatch_add","name":"amber","colour":"blue"}"#,
        "\"amber\" is a colour by itself in 2 looks: choose another name",
    ),
    (
        r#"{"type":"mark_add","name":"here","at":[1,2]}"#,
        "mark \"here\": `at = [1, 2]`: this is a list of 3: write it such as [0, 1.5, 1.2]: metres to the right, to the back and up",
    ),
    (
        r#"{"type":"group_add","name":"all","lights":[1]}"#,
        "group 5: `name = \"all\"`: this word means lights by itself: choose a name that is no number and not \"all\"",
    ),
    (r#"{"type":"group_add","name":"new","lights":[]}"#, "no light is named: name at least one"),
    (
        r#"{"type":"group_set","name":"spots","lights":[99]}"#,
        "there is no light 99: name lights that the show has",
    ),
    (
        r#"{"type":"light_set","lights":[1],"field":"address","value":"1.002 and so on"}"#,
        "address: 1.002 and so on is none: write universe and start address with a point between, such as \"1.101\"",
    ),
    (
        r#"{"type":"light_set","lights":[1],"field":"address","value":"1.016"}"#,
        "unit 1: `address = \"1.016\"`: light 1 (1.016 to 029) overlaps light 2 (1.015 to 028) of line 196: start it at 1.029 or later, or say `shares = 2` if both are to do the same",
    ),
    (
        r#"{"type":"light_set","lights":[1,2],"field":"at","value":[1,2,3]}"#,
        "at: there are 3 values for 2 lights: give one for all, or one for each",
    ),
    (
        r#"{"type":"light_add","profile":"RGB pra","place":"front bar"}"#,
        "there is no profile \"RGB pra\": did you mean \"RGB par\"?",
    ),
    (
        r#"{"type":"light_add","profile":"RGB par","place":"front bar","count":0}"#,
        "count: from 1 to 512 lights at a time can be added",
    ),
    (r#"{"type":"cue_number","number":"4","to":"5"}"#, "there is a cue 5 already: choose another number"),
    (
        r#"{"type":"cue_number","number":"4","to":"four"}"#,
        "a cue number is digits, perhaps with a point: write it such as \"4\" or \"4.5\"",
    ),
    (
        r#"{"type":"chase_add","name":"none","steps":[]}"#,
        "chase \"none\": `steps = []`: a chase has 1 to 4096 steps: list looks, such as [\"left\", \"right\"]",
    ),
    (
        r#"{"type":"limit_set","field":"flash","value":"99 Hz"}"#,
        "limits: `flash = \"99 Hz\"`: a rate here runs from 0.1 to 8 Hz: check the figure",
    ),
    (
        r#"{"type":"limit_set","field":"flash","value":"6 Hz"}"#,
        "limits: `flash = \"6 Hz\"`: more than 4 flashes a second need somebody's word for it, and can bring on seizures: write 3 Hz, or add flash_reason = \"who agreed, in the venue's words\"",
    ),
    (
        r#"{"type":"limit_set","field":"flash_reason","value":" "}"#,
        "limits: `flash_reason = \"\"`: this names nobody: write who agreed, in the venue's words and in one line, or leave `flash` at 4 Hz or less without it",
    ),
];

#[test]
fn refusals_say_what_is_wrong_and_what_to_do() {
    for (json, says) in ROWS {
        let refused = apply(SUPPER, &change(json)).expect_err(json).to_string();
        assert_eq!(&refused, says, "{json}");
    }
}

#[test]
fn a_text_that_does_not_open_is_not_changed() {
    let broken = SUPPER.replace("tempo = 96", "tempo = ");
    let refused = apply(&broken, &change(r#"{"type":"look_add","name":"new"}"#)).unwrap_err().to_string();
    assert!(refused.starts_with("the show does not open as it is: line 8: "), "{refused}");
    assert!(refused.ends_with(": put that right first"), "{refused}");
}

#[test]
fn tables_in_one_value_are_left_to_the_editor() {
    let text = "lanthorn = 1\nshow = { name = \"s\" }\nroom = { x = [0, 1], y = [0, 1], height = 3 }\n\
                look = [{ name = \"a\", part = [{ who = \"all\" }] }]\n";
    for json in [
        r#"{"type":"look_add","name":"new"}"#,
        r#"{"type":"look_fade","name":"a","fade":"1 s"}"#,
        r#"{"type":"mark_add","name":"m","at":[0,0,0]}"#,
        r#"{"type":"show_set","field":"tempo","value":100}"#,
    ] {
        let refused = apply(text, &change(json)).expect_err(json).to_string();
        assert!(refused.contains("write it under a heading"), "{json}: {refused}");
    }
}

#[test]
fn changes_that_are_none_are_told_by_their_reader() {
    for (json, says) in [
        (r#"{"type":"look_paint"}"#, "unknown variant `look_paint`"),
        (r#"{"type":"look_fade","name":"Cake","fade":"1 s","colour":"red"}"#, "unknown field `colour`"),
        (
            r#"{"type":"part_set","look":"Cake","part":1,"field":"wattage","value":1}"#,
            "unknown variant `wattage`",
        ),
        (r#"{"type":"part_remove","look":"Cake","part":-1}"#, "invalid value"),
        (r#"{"type":"look_rename","name":"Cake"}"#, "missing field `to`"),
    ] {
        let error = serde_json::from_str::<Change>(json).unwrap_err().to_string();
        assert!(error.contains(says), "{json}: {error}");
    }
}

#[test]
fn numbers_that_are_none_and_depths_without_end_are_refused() {
    for value in [f64::NAN, f64::INFINITY, -1e308] {
        let change = Change::LookFade { name: "Cake".to_owned(), fade: Some(Value::Number(value)) };
        assert!(apply(SUPPER, &change).is_err(), "{value}");
    }
    let mut deep = Value::Whole(1);
    for _ in 0..100 {
        deep = Value::List(vec![deep]);
    }
    let change = Change::LookFade { name: "Cake".to_owned(), fade: Some(deep) };
    assert!(apply(SUPPER, &change).is_err());
    let mut many = Change::Many { changes: Vec::new() };
    for _ in 0..50 {
        many = Change::Many { changes: vec![many] };
    }
    assert!(apply(SUPPER, &many).unwrap_err().to_string().contains("in one list"));
}
