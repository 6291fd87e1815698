//! A text full of remarks: nothing but what a change concerns differs, in whatever way the file is written.

use lanthorn_store::change::apply;

use super::{change, changed, diff, read};

const TEXT: &str = include_str!("../shows/remarks.show.toml");

const CHANGES: &str = r##"
{"type":"show_set","field":"tempo","value":120}
{"type":"show_set","field":"name","value":"  Other \"remarks\" "}
{"type":"show_set","field":"notes","value":"new"}
{"type":"room_set","field":"x","value":[-6,6]}
{"type":"limit_set","field":"flash","value":"4 Hz"}
{"type":"mark_add","name":"door","at":[4,-7,1]}
{"type":"mark_set","name":"singer","at":[0,1,1.5]}
{"type":"mark_rename","name":"singer","to":"soloist"}
{"type":"mark_remove","name":"singer"}
{"type":"mark_remove","name":"cake"}
{"type":"place_rename","name":"bar","to":"front bar"}
{"type":"place_remove","name":"floor"}
{"type":"place_remove","name":"bar"}
{"type":"circuit_remove","name":"left"}
{"type":"circuit_rename","name":"left","to":"right"}
{"type":"light_add","profile":"white fresnel","place":"bar"}
{"type":"light_add","profile":"RGB par","place":"bar","count":3}
{"type":"light_set","lights":[2],"field":"at","value":"-90 cm"}
{"type":"light_set","lights":[1,2,3,4],"field":"at","value":[-2,-1,1,2]}
{"type":"light_set","lights":[1,2,3,4],"field":"at","value":null}
{"type":"light_set","lights":[2],"field":"at","value":null}
{"type":"light_set","lights":[3],"field":"turn","value":"180°"}
{"type":"light_set","lights":[2,3],"field":"up","value":"standing"}
{"type":"light_set","lights":[2],"field":"address","value":"2.001"}
{"type":"light_set","lights":[1,2,3,4],"field":"address","value":"3.001"}
{"type":"light_set","lights":[4],"field":"address","value":null}
{"type":"light_set","lights":[7],"field":"focus","value":"cake"}
{"type":"light_set","lights":[5,6],"field":"focus","value":["cake",[1,1,1]]}
{"type":"light_set","lights":[1],"field":"profile","value":"small spot head"}
{"type":"light_set","lights":[1,2,3,4],"field":"mode","value":"14 channels"}
{"type":"light_set","lights":[3,4],"field":"run","value":"linked"}
{"type":"light_set","lights":[6],"field":"shares","value":null}
{"type":"light_remove","lights":[1]}
{"type":"light_remove","lights":[2,3]}
{"type":"light_remove","lights":[5]}
{"type":"light_remove","lights":[1,2,3,4]}
{"type":"address_all"}
{"type":"group_set","name":"heads","lights":[4,3,2,1]}
{"type":"group_remove","name":"heads"}
{"type":"group_rename","name":"heads","to":"movers"}
{"type":"swatch_rename","name":"evening","to":"dusk"}
{"type":"swatch_remove","name":"evening"}
{"type":"figure_remove","name":"round"}
{"type":"figure_set","name":"round","field":"centre","value":{"from":"cake","to":"singer"}}
{"type":"look_rename","name":"warm","to":"warmer"}
{"type":"look_remove","name":"warm"}
{"type":"look_remove","name":"solo"}
{"type":"look_duplicate","name":"warm","to":"warm again"}
{"type":"look_move","name":"solo","to":1}
{"type":"look_fade","name":"solo","fade":"2 s"}
{"type":"look_fade","name":"warm","fade":null}
{"type":"look_add","name":"new"}
{"type":"look_keep","name":"warm","fade":null,"parts":[{"who":"heads","level":1}]}
{"type":"look_keep","name":"new","fade":"1 s","parts":[]}
{"type":"part_add","look":"warm","who":"all","at":2}
{"type":"part_remove","look":"warm","part":1}
{"type":"part_remove","look":"warm","part":2}
{"type":"part_move","look":"warm","part":2,"to":1}
{"type":"part_set","look":"warm","part":1,"field":"colour","value":["evening","blue","#ffffff"]}
{"type":"part_set","look":"warm","part":1,"field":"colour","value":null}
{"type":"part_set","look":"warm","part":2,"field":"gobo","value":"stars"}
{"type":"chase_add","name":"one","steps":["solo"]}
{"type":"chase_set","name":"sway","field":"rounds","value":3}
{"type":"chase_duplicate","name":"sway","to":"sway 2"}
{"type":"chase_remove","name":"sway"}
{"type":"step_add","chase":"sway","look":"solo"}
{"type":"step_add","chase":"sway","look":"solo","fade":"1 s","at":1}
{"type":"step_remove","chase":"sway","step":1}
{"type":"step_remove","chase":"sway","step":2}
{"type":"step_remove","chase":"sway","step":3}
{"type":"step_move","chase":"sway","step":3,"to":1}
{"type":"step_set","chase":"sway","step":1,"field":"time","value":"2 s"}
{"type":"step_set","chase":"sway","step":2,"field":"time","value":null}
{"type":"step_set","chase":"sway","step":2,"field":"look","value":"warm"}
{"type":"steps_set","chase":"sway","field":"time","value":"1 beat"}
{"type":"cue_add","after":"1"}
{"type":"cue_add","after":null,"values":{"name":"last"}}
{"type":"cue_remove","number":"2.5"}
{"type":"cue_move","number":"2.5","to":1}
{"type":"cue_number","number":"1","to":"4"}
{"type":"cue_set","number":"1","field":"note","value":"now"}
"##;

fn changes() -> impl Iterator<Item = &'static str> {
    CHANGES.lines().filter(|line| !line.is_empty())
}

#[test]
fn only_the_lines_that_a_change_concerns_differ() {
    let mut table = String::new();
    for json in changes() {
        let (text, says) = changed(TEXT, json);
        let lines = diff(TEXT, &text);
        // Profiles are long, and are looked at in the examples.
        let (mut lines, profile) = match lines.split_once("+[[profile]]") {
            Some((lines, _)) => (lines.to_owned(), "+[[profile]] …\n"),
            None => (lines, ""),
        };
        lines.push_str(profile);
        table.push_str(&format!("{json}\n{says}\n{lines}\n"));
    }
    insta::assert_snapshot!(table);
}

#[test]
fn line_ends_are_those_of_the_file() {
    let crlf = |text: &str| text.replace('\n', "\r\n");
    for json in changes() {
        let (text, says) = changed(TEXT, json);
        assert_eq!(changed(&crlf(TEXT), json), (crlf(&text), says), "{json}");
    }
}

#[test]
fn a_last_line_without_an_end_is_no_matter() {
    let cut = TEXT.trim_end().trim_end_matches("# the last line of the file").trim_end();
    for json in changes() {
        let with = read(&changed(TEXT, json).0);
        assert_eq!(read(&changed(cut, json).0), with, "{json}");
    }
}

#[test]
fn what_is_set_to_what_it_is_stays_as_it_is() {
    for (json, value) in [
        (r#"{"type":"show_set","field":"start","value":"warm"}"#, "start"),
        (r#"{"type":"light_set","lights":[1,2,3,4],"field":"circuit","value":"left"}"#, "circuit"),
        (r#"{"type":"light_set","lights":[2],"field":"at","value":-0.8}"#, "at"),
        (r#"{"type":"light_set","lights":[3],"field":"line","value":"A"}"#, "line"),
        (r#"{"type":"cue_move","number":"2.5","to":2}"#, "place"),
        (r#"{"type":"look_move","name":"solo","to":2}"#, "place"),
        (r#"{"type":"step_set","chase":"sway","step":1,"field":"fade","value":null}"#, "fade"),
    ] {
        assert_eq!(changed(TEXT, json).0, TEXT, "{value}");
    }
}

#[test]
fn steps_go_however_the_list_is_laid_out() {
    let other = "look = \"solo\"";
    for (list, left) in [
        ("[ \"warm\",\n \"warm\",\n { look = \"solo\" } ]", 1),
        ("[\"warm\", { look = \"solo\" }, \"warm\", \"warm\"]", 1),
        ("[\n  \"warm\",\n  \"warm\", # two\n  { look = \"solo\" }, # one\n  \"warm\" ]", 1),
        ("[\n{ look = \"solo\" },\n\"warm\",\n\n# here\n{ look = \"solo\" }\n, \"warm\"\n]", 2),
    ] {
        let start = TEXT.find("steps = [").unwrap();
        let end = start + TEXT[start..].find("\n]\n").unwrap() + 2;
        let text = format!("{}steps = {list}{}", &TEXT[..start], &TEXT[end..]);
        let (after, _) = changed(&text, r#"{"type":"look_remove","name":"warm"}"#);
        let steps = &read(&after).show.chases[0].steps;
        assert_eq!(
            steps.iter().map(|step| step.look.as_str()).collect::<Vec<_>>(),
            vec!["solo"; left],
            "{list}"
        );
        assert_eq!(after.matches(other).count(), TEXT.matches(other).count() - 1 + left, "{list}");
        let one = "# one";
        assert_eq!(after.contains(one), list.contains(one));
    }
}

#[test]
fn all_or_none() {
    let many = r#"{"type":"many","changes":[
        {"type":"look_rename","name":"warm","to":"w"},{"type":"part_set","look":"w","part":1,"field":"level","value":"50 %"},
        {"type":"cue_set","number":"1","field":"look","value":"w"}]}"#;
    let (text, says) = changed(TEXT, many);
    assert_eq!(says.matches("now").count(), 3, "{says}");
    assert_eq!(read(&text).show.cues[0].look.as_deref(), Some("w"));
    // One that asks for what the one before took away.
    let refused = r#"{"type":"many","changes":[
        {"type":"look_remove","name":"warm"},{"type":"look_fade","name":"warm","fade":"1 s"}]}"#;
    let error = apply(TEXT, &change(refused)).unwrap_err().to_string();
    assert_eq!(error, "there is no look \"warm\": there is \"solo\"");
    // What does not open on the way opens at the end.
    let on_the_way = r#"{"type":"many","changes":[
        {"type":"part_set","look":"solo","part":1,"field":"level","value":0.5},
        {"type":"cue_set","number":"1","field":"look","value":"later"},{"type":"look_add","name":"later"}]}"#;
    assert_eq!(read(&changed(TEXT, on_the_way).0).show.cues[0].look.as_deref(), Some("later"));
}
