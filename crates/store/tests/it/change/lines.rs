//! Data lines by changes: which lights, in which order, and where new lights come in.

use lanthorn_rig::plan::plan;
use lanthorn_store::DEMO_TEXT;
use lanthorn_store::change::apply;

use super::{change, changed, read};

/// The lights of a line as its cable runs.
fn runs(text: &str, line: &str) -> Vec<u32> {
    let plan = plan(&read(text).rig);
    plan.lines.iter().find(|known| known.name == line).map_or_else(Vec::new, |line| line.units.clone())
}

#[test]
fn a_line_runs_as_it_was_asked_to() {
    let was = runs(DEMO_TEXT, "line A");
    assert_eq!(was, [7, 1, 5, 2, 3, 6, 4, 8, 11, 10, 9]);
    for order in [
        vec![9, 10, 11, 8, 4, 6, 3, 2, 5, 1, 7],
        vec![7, 1, 5, 2, 3, 6, 4, 8, 9, 10, 11],
        vec![3, 7, 1, 5, 2, 6, 4, 8, 11, 10, 9],
        was,
    ] {
        let json = serde_json::json!({ "type": "line_set", "name": "A", "lights": order });
        let (text, _) = changed(DEMO_TEXT, &json.to_string());
        assert_eq!(runs(&text, "line A"), order, "{text}");
    }
}

#[test]
fn the_order_of_the_file_needs_no_numbers() {
    let (away, _) =
        changed(DEMO_TEXT, r#"{"type":"line_set","name":"A","lights":[9,7,1,5,2,3,6,4,8,11,10]}"#);
    assert!(away.contains("line_order"), "{away}");
    let (back, _) = changed(&away, r#"{"type":"line_set","name":"A","lights":[7,1,5,2,3,6,4,8,11,10,9]}"#);
    assert_eq!(back, DEMO_TEXT);
}

#[test]
fn who_is_not_named_is_on_none() {
    let (text, says) = changed(DEMO_TEXT, r#"{"type":"line_set","name":"A","lights":[7,1,5,2,3,6,4,8]}"#);
    assert!(says.contains("Lights 9 to 11 are on none"), "{says}");
    let (text, says) = changed(&text, r#"{"type":"line_set","name":"B","lights":[10,9,11]}"#);
    assert_eq!(says, "Line B now runs to lights 10, 9 and 11, in this order.");
    assert_eq!(runs(&text, "line A"), [7, 1, 5, 2, 3, 6, 4, 8]);
    assert_eq!(runs(&text, "line B"), [10, 9, 11]);
}

#[test]
fn new_lights_join_the_line_of_their_universe() {
    let (text, _) = changed(
        DEMO_TEXT,
        r#"{"type":"light_add","profile":"RGBW par","mode":"8 channels","place":"stage foot","count":2}"#,
    );
    assert_eq!(runs(&text, "line A"), [7, 1, 5, 2, 3, 6, 4, 8, 11, 10, 9, 12, 13]);
    // A universe of its own has no line yet.
    let (text, _) = changed(
        &text,
        r#"{"type":"light_add","profile":"RGBW par","mode":"8 channels","place":"stage foot","universe":2}"#,
    );
    let file = read(&text);
    let new = file.rig.unit(14).unwrap();
    assert_eq!((new.address().unwrap().to_string(), new.line.as_deref()), ("2.001".to_owned(), None));
}

#[test]
fn what_cannot_be_cabled_is_refused() {
    let linked = DEMO_TEXT
        .replacen("number = 9\n", "number = 9\nrun = \"linked\"\nleader = 9\n", 1)
        .replacen("address = \"1.121\"\n", "", 1);
    for (text, json, why) in [
        (&linked[..], r#"{"type":"line_set","name":"A","lights":[7,9]}"#, "light 9 is not driven"),
        (DEMO_TEXT, r#"{"type":"line_set","name":"A","lights":[99]}"#, "there is no light 99"),
        (DEMO_TEXT, r#"{"type":"line_set","name":" ","lights":[1]}"#, "needs one"),
        (
            DEMO_TEXT,
            r#"{"type":"light_add","profile":"eight-segment pixel bar","mode":"27 channels","place":"front bar","count":30,"universe":1}"#,
            "universe 1 has no room",
        ),
    ] {
        let refused = apply(text, &change(json)).unwrap_err().to_string();
        assert!(refused.contains(why), "{refused}");
    }
}

#[test]
fn another_way_of_running_takes_along_what_it_needs_and_nothing_else() {
    let set = |text: &str, run: &str| {
        changed(text, &format!(r#"{{"type":"light_set","lights":[9],"field":"run","value":{run}}}"#)).0
    };
    let away = set(DEMO_TEXT, r#""linked""#);
    assert_eq!(runs(&away, "line A"), [7, 1, 5, 2, 3, 6, 4, 8, 11, 10]);
    assert_eq!(runs(&away, "chain of light 9"), [9]);
    assert!(plan(&read(&away).rig).findings.iter().all(|finding| finding.code != "mixed-line"));
    let back = read(&set(&away, "null"));
    let light = back.rig.unit(9).unwrap();
    assert_eq!(
        (light.address().unwrap().to_string(), light.line.as_deref()),
        ("1.117".to_owned(), Some("A"))
    );
}
