//! Every message in full: what a person sees is what is asserted.

use lanthorn_store::read_show;

const BASE: &str = include_str!("shows/base.show.toml");

/// What is said about the small show once `from` reads `to`.
fn said(from: &str, to: &str) -> Vec<String> {
    assert!(BASE.contains(from), "{from}");
    said_of(&BASE.replacen(from, to, 1))
}

fn said_of(text: &str) -> Vec<String> {
    let (file, problems) = read_show(text);
    assert_eq!(file.is_none(), problems.iter().any(|problem| problem.is_error()), "{problems:?}");
    problems.iter().map(|problem| problem.in_file("s")).collect()
}

#[test]
fn the_small_show_is_right() {
    assert_eq!(said_of(BASE), Vec::<String>::new());
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table: one row for each mistake")]
fn each_mistake_is_said_where_it_stands_and_with_what_to_do() {
    let table: &[(&str, &str, &[&str])] = &[
        (
            "\"4 m\"\n\n[[room.mark",
            "\"3 kg\"\n\n[[room.mark",
            &[
                r##"s:9: room: `height = "3 kg"`: a length needs m, cm, mm, ft or in; write it such as "3.5 m""##,
            ],
        ),
        (
            "height = \"4 m\"",
            "height = nan",
            &[
                r##"s:9: room: `height = nan`: a length is a number that can be measured; write it such as "3.5 m""##,
            ],
        ),
        (
            "height = \"4 m\"",
            "height = inf",
            &[
                r##"s:9: room: `height = inf`: a length is a number that can be measured; write it such as "3.5 m""##,
            ],
        ),
        (
            "height = \"4 m\"",
            "height = \"4,5 m\"",
            &[
                r##"s:9: room: `height = "4,5 m"`: a length has a point, not a comma, before its decimals; write it such as "3.5 m""##,
            ],
        ),
        (
            "height = \"4 m\"",
            "height = \"4000 m\"",
            &[r##"s:9: room: `height = "4000 m"`: a length here runs from 1 to 100 m; check the figure"##],
        ),
        (
            "height = \"4 m\"",
            "height = true",
            &[r##"s:9: room: `height = true`: a length starts with a number; write it such as "3.5 m""##],
        ),
        ("height = \"4 m\"\n", "", &[r##"s:6: room: `height` is missing; add `height = 4.5`"##]),
        (
            "height =",
            "hieght =",
            &[
                r##"s:6: room: `height` is missing; add `height = 4.5`"##,
                r##"s:9: room: `hieght` means nothing here; did you mean `height`?"##,
            ],
        ),
        (
            "aim = \"cake\"",
            "aim = \"ckae\"",
            &[
                r##"s:52: look "warm", part 1: `aim = "ckae"`: there is no mark "ckae"; did you mean "cake"?"##,
            ],
        ),
        (
            "aim = \"cake\"",
            "aim = \"stage left\"",
            &[
                r##"s:52: look "warm", part 1: `aim = "stage left"`: there is no mark "stage left"; there is "cake""##,
            ],
        ),
        (
            "aim = \"cake\"",
            "aim = [1, 2]",
            &[
                r##"s:52: look "warm", part 1: `aim = [1, 2]`: this is a list of 3; write it such as [0, 1.5, 1.2]: metres to the right, to the back and up"##,
            ],
        ),
        (
            "aim = \"cake\"",
            "aim = { from = [0, 0, 0] }",
            &[r##"s:52: look "warm", part 1, aim: `to` is missing; add `to = [-2, -4, 0]`"##],
        ),
        (
            "\"1.001\"",
            "\"1.505\"",
            &[
                r##"s:31: unit 1: `address = "1.505"`: 14 channels from slot 505 end at 518, past 512; the last usable start address is 1.499"##,
            ],
        ),
        (
            "\"1.001\"",
            "\"1.098\"",
            &[
                r##"s:39: unit 2: `address = "1.101"`: light 2 (1.101 to 103) overlaps light 1 (1.098 to 111) of line 31; start it at 1.112 or later, or say `shares = 1` if both are to do the same"##,
            ],
        ),
        (
            "\"1.001\"",
            "\"1.600\"",
            &[r##"s:31: unit 1: `address = "1.600"`: slot 600: slots run from 1 to 512; check the address"##],
        ),
        (
            "\"1.001\"",
            "\"kitchen\"",
            &[
                r##"s:31: unit 1: `address = "kitchen"`: this is no address; write universe and start address with a point between, such as "1.101""##,
            ],
        ),
        (
            "\"1.001\"",
            "1.001",
            &[
                r##"s:31: unit 1: `address = 1.001`: an address is universe and start address with a point between, in quotation marks; write it such as "1.101""##,
            ],
        ),
        (
            "number = 2\nprofile",
            "number = 1\nprofile",
            &[
                r##"s:34: unit 1: two lights have the number 1 (lines 25 and 34); give each light a number of its own"##,
                r##"s:44: group "pair": `units = [1, 2]`: there is no light 2; name lights that stand under `[[unit]]`"##,
            ],
        ),
        (
            "\"RGB par\"",
            "\"RBG par\"",
            &[
                r##"s:36: unit 2: `profile = "RBG par"`: there is no profile "RBG par"; did you mean "RGB par"?"##,
            ],
        ),
        (
            "\"14 channels\"",
            "\"13 channels\"",
            &[
                r##"s:28: unit 1: `mode = "13 channels"`: there is no mode "13 channels"; did you mean "14 channels"?"##,
            ],
        ),
        (
            "mode = \"14 channels\"\n",
            "",
            &[r##"s:25: unit 1: `mode` is missing; add `mode = "9 channels"`"##],
        ),
        (
            "circuit = \"hall\"",
            "circuit = \"hull\"",
            &[r##"s:32: unit 1: `circuit = "hull"`: there is no circuit "hull"; did you mean "hall"?"##],
        ),
        (
            "place = \"bar\"\nat = 1\n",
            "place = \"beam\"\nat = 1\n",
            &[r##"s:37: unit 2: `place = "beam"`: there is no place "beam"; there is "bar""##],
        ),
        (
            "address = \"1.101\"",
            "shares = 1",
            &[
                r##"s:39: unit 2: `shares = 1`: light 2 is "RGB par" in mode "3 channels", light 1 is "small wash head" in mode "14 channels"; only lights of one kind and mode can share an address"##,
            ],
        ),
        (
            "address = \"1.101\"",
            "shares = 9",
            &[
                r##"s:39: unit 2: `shares = 9`: there is no light 9; name a light that has an address of its own"##,
            ],
        ),
        (
            "address = \"1.101\"",
            "run = \"linked\"\nleader = 1",
            &[
                r##"s:40: unit 2: `leader = 1`: light 1 does not lead; give light 1 `run = "linked"` and `leader = 1`"##,
            ],
        ),
        (
            "address = \"1.101\"",
            "run = \"on its own\"\nprogramme = \"slow colour\"",
            &[
                r##"s:40: unit 2: `programme = "slow colour"`: there is no programme "slow colour"; did you mean "slow colours"?"##,
            ],
        ),
        (
            "address = \"1.101\"",
            "run = \"linked\"",
            &[r##"s:34: unit 2: `leader` is missing; add `leader = 1`"##],
        ),
        (
            "who = \"pair\"",
            "who = \"pear\"",
            &[
                r##"s:51: look "warm", part 1: `who = "pear"`: there is no group "pear"; there is "pair", "all""##,
            ],
        ),
        (
            "who = [1]",
            "who = [7]",
            &[
                r##"s:60: look "cold", part 1: `who = [7]`: there is no light 7; name lights that stand under `[[unit]]`"##,
            ],
        ),
        (
            "who = [1]",
            "who = \"1-\"",
            &[r##"s:60: look "cold", part 1: `who = "1-"`: there is no group "1-"; there is "pair", "all""##],
        ),
        (
            "units = [1, 2]",
            "units = [1, 2, 2]",
            &[
                r##"s:44: group "pair": `units = [1, 2, 2]`: light 2 stands in it twice; name each light once"##,
            ],
        ),
        (
            "units = [1, 2]",
            "units = [1, 3]",
            &[
                r##"s:44: group "pair": `units = [1, 3]`: there is no light 3; name lights that stand under `[[unit]]`"##,
            ],
        ),
        (
            "name = \"pair\"",
            "name = \"all\"",
            &[
                r##"s:43: group 1: `name = "all"`: this word means lights by itself; choose a name that is no number and not "all""##,
                r##"s:51: look "warm", part 1: `who = "pair"`: there is no group "pair"; there is "all", "all""##,
            ],
        ),
        (
            "\"warm white\"",
            "\"warn white\"",
            &[
                r##"s:53: look "warm", part 1: `colour = "warn white"`: "warn white" is no colour that we know (did you mean "warm white"?); write a name ("dark orange", "warm white"), #rgb or #rrggbb, "xy 0.45 0.41", "3200 K" or "3200 K +0.005""##,
            ],
        ),
        (
            "\"warm white\"",
            "\"#ff88\"",
            &[
                r##"s:53: look "warm", part 1: `colour = "#ff88"`: "#ff88" is no hex colour; write # and three or six digits 0-9 a-f, as #f80 or #ff8800"##,
            ],
        ),
        (
            "\"80 %\"",
            "\"180 %\"",
            &[
                r##"s:54: look "warm", part 1: `level = "180 %"`: a part of the whole here runs from 0 to 1, or from 0 % to 100 %; check the figure"##,
            ],
        ),
        (
            "fade = \"2 s\"",
            "fade = \"2 m\"",
            &[r##"s:48: look "warm": `fade = "2 m"`: a time needs s, ms or min; write it such as "2 s""##],
        ),
        (
            "steps = [\"warm\", { look = \"cold\", time = \"2 s\" }]",
            "steps = []",
            &[
                r##"s:65: chase "to and fro": `steps = []`: a chase has 1 to 4096 steps; list looks, such as ["left", "right"]"##,
            ],
        ),
        (
            "{ look = \"cold\", time = \"2 s\" }",
            "\"colt\"",
            &[
                r##"s:65: chase "to and fro": `steps[2] = "colt"`: there is no look "colt"; did you mean "cold"?"##,
            ],
        ),
        (
            "time = \"2 s\"",
            "time = \"0 s\"",
            &[
                r##"s:65: chase "to and fro", steps[2]: `look = "cold"`: this step takes no time; give it a `time` such as "1 beat" or "2 s""##,
            ],
        ),
        (
            "time = \"2 s\"",
            "time = \"2 m\"",
            &[
                r##"s:65: chase "to and fro", steps[2]: `time = "2 m"`: a step's time needs s, ms, min, beats, bars or phrases; write it such as "2 s", "4 beats" or "1 bar""##,
            ],
        ),
        (
            "time = \"2 s\"",
            "time = \"2 s\", fade = \"3 s\"",
            &[
                r##"s:65: warning: chase "to and fro", steps[2]: `look = "cold"`: the fade into this step is longer than the step; make the fade part of the step's time"##,
            ],
        ),
        (
            "name = \"cold\"",
            "name = \"warm\"",
            &[
                r##"s:56: look "warm": there is a look "warm" already; give each a name of its own"##,
                r##"s:65: chase "to and fro", steps[2]: `look = "cold"`: there is no look "cold"; there is "warm""##,
                r##"s:74: cue 2: `look = "cold"`: there is no look "cold"; there is "warm""##,
            ],
        ),
        (
            "name = \"to and fro\"",
            "name = \"cold\"",
            &[
                r##"s:64: chase 1: `name = "cold"`: a look has this name; give the chase a name of its own, so that either can be called"##,
                r##"s:70: cue 1: `chases[1] = "to and fro"`: there is no chase "to and fro"; there is "cold""##,
            ],
        ),
        (
            "chases = [\"to and fro\"]",
            "chases = [\"round\"]",
            &[r##"s:70: cue 1: `chases[1] = "round"`: there is no chase "round"; there is "to and fro""##],
        ),
        (
            "number = 2\nlook",
            "number = 0.5\nlook",
            &[
                r##"s:73: cue 2: `number = 0.5`: it comes after cue 1; cues stand in the order of their numbers, each number once"##,
            ],
        ),
        (
            "number = 2\nlook",
            "number = \"2a\"\nlook",
            &[
                r##"s:73: cue 2: `number = "2a"`: a cue number is digits, perhaps with a point; write it such as "4" or "4.5""##,
            ],
        ),
        (
            "name = \"small\"",
            "name = \"small\"\nstart = \"wram\"",
            &[r##"s:5: show: `start = "wram"`: there is no look or chase "wram"; did you mean "warm"?"##],
        ),
        ("lanthorn = 1\n", "", &[r##"s:2: `lanthorn` is missing; add `lanthorn = 1`"##]),
        (
            "lanthorn = 1\n",
            "lanthorn = 2\n",
            &[
                r##"s:1: `lanthorn = 2`: this show was written by a newer lanthorn; this one reads format 1; use a newer lanthorn"##,
            ],
        ),
        (
            "colour = \"warm white\"",
            "colour = \"warm white\"\ngobo = \"leaves\"",
            &[
                r##"s:54: warning: look "warm", part 1: `gobo = "leaves"`: none of these lights has such a gobo; leave it out"##,
            ],
        ),
        (
            "colour = \"warm white\"",
            "colour = \"warm white\"\nstrobe = \"8 Hz\"",
            &[
                r##"s:54: warning: look "warm", part 1: `strobe = "8 Hz"`: this is faster than the limit of 3 Hz, to which it will be held; write 3 Hz or less"##,
            ],
        ),
        (
            "x = [-4, 4]",
            "x = [4, -4]",
            &[
                r##"s:7: room: `x = [4, -4]`: the first is not below the second; write the smaller one first"##,
            ],
        ),
        ("number = 1\nprofile", "numbers = \"1,3\"\nprofile", &[]),
        (
            "breaker = \"16 A\"",
            "breaker = \"16 V\"",
            &[
                r##"s:23: circuit "hall": `breaker = "16 V"`: a current needs A or mA; write it such as "16 A""##,
            ],
        ),
        (
            "[[circuit]]",
            "[circuit]",
            &[
                r##"s:21: `circuit`: there may be several of these; write `[[circuit]]` with two brackets"##,
                r##"s:32: unit 1: `circuit = "hall"`: there is no circuit "hall"; this show has no circuit at all: add one"##,
            ],
        ),
        (
            "name = \"small\"",
            "name = \"small",
            &[
                r##"s:4: `name = "small`: a text is not closed; put it between two quotation marks, on one line"##,
            ],
        ),
        (
            "name = \"small\"",
            "name = small",
            &[r##"s:4: `name = small`: a text stands in quotation marks; put them around it"##],
        ),
        (
            "name = \"small\"",
            "name \"small\"",
            &[
                r##"s:4: `name "small"`: a line holds `key = value`, a `[table]` or a `# remark`; write it as one of these"##,
            ],
        ),
        (
            "name = \"small\"",
            "name = \"small\"\nname = \"other\"",
            &[r##"s:5: `name = "other"`: this key stands twice in the same table; keep one of the two"##],
        ),
        (
            "[show]",
            "[show",
            &[
                r##"s:3: `[show`: this table heading cannot be read; write `[name]`, or `[[name]]` for one of several"##,
            ],
        ),
    ];
    for (from, to, messages) in table {
        assert_eq!(said(from, to), *messages, "{from} -> {to}");
    }
}

#[test]
fn what_a_show_says_of_the_music_is_looked_at() {
    let music = |rest: &str| said_of(&format!("{BASE}\n[music]\n{rest}\n"));
    assert!(music("lead = \"40 ms\"\nslowest = 70\nfastest = 140").is_empty());
    assert!(music("lead = \"-40 ms\"").is_empty(), "a light that is quicker than the sound");
    for (rest, says) in [
        ("lead = \"2 s\"", "runs from"),
        ("lead = \"3 beats\"", "s, ms or min"),
        (
            "slowest = 100\nfastest = 150",
            "from 100 to 150 beats a minute leaves tempi without a place; let the fastest be twice",
        ),
        ("slowest = 5", "runs from 30 to 240"),
        ("ears = true", "ears"),
    ] {
        let said = music(rest);
        assert!(said.len() == 1 && said[0].contains(says), "{rest}: {said:?}");
    }
}

#[test]
fn an_address_too_high_for_thirteen_channels() {
    let mut profile =
        String::from("\n[[profile]]\nname = \"thirteen\"\nkind = \"par\"\n[[profile.mode]]\nname = \"13\"\n");
    for at in 1..=13 {
        profile += &format!("[[profile.mode.channel]]\nat = {at}\nname = \"c{at}\"\n");
    }
    let text = BASE.replace("\"RGB par\"", "\"thirteen\"").replace("\"1.101\"", "\"1.505\"") + &profile;
    assert_eq!(
        said_of(&text),
        [
            r##"s:39: unit 2: `address = "1.505"`: 13 channels from slot 505 end at 517, past 512; the last usable start address is 1.500"##
        ]
    );
}

#[test]
fn a_file_cut_off() {
    assert_eq!(
        said_of(&BASE[..200]),
        [
            r##"s:19: the file ends in the middle of something: `length = "`; it was cut off, or a quotation mark or bracket is not closed: go back to a whole copy or finish the line"##
        ]
    );
    let at = BASE.find("[[chase]]").unwrap() + "[[chase]]".len();
    assert_eq!(
        said_of(&BASE[..at]),
        [
            r##"s:63: chase 1: `name` is missing; add `name = "round the floor"`"##,
            r##"s:63: chase 1: `steps` is missing; add `steps = ["left", "right"]`"##,
        ]
    );
}

#[test]
fn a_carried_chart_that_makes_no_sense() {
    let chart = r#"
[[profile]]
name = "mine"
kind = "par"
[[profile.mode]]
name = "two"
[[profile.mode.channel]]
at = 1
name = "shutter"
ranges = [
  { values = "0-99", does = "Shutter1", kind = "fixed", physical = 1 },
  { values = "120-255", does = "Shutter1Strobe" },
]
[[profile.mode.channel]]
at = 2
name = "level"
does = "Dimmer"
"#;
    let first = BASE.lines().count() + 2;
    let said_with = |from: &str, to: &str| {
        assert!(chart.contains(from), "{from}");
        said_of(&(BASE.to_owned() + &chart.replace(from, to)))
    };
    let shutter = first + 7;
    let gap = format!(
        "s:{shutter}: warning: profile \"mine\": values 100-119 of channel \"shutter\" (mode \"two\") mean nothing; say so with a range of kind nothing"
    );
    let only = [gap.clone()];
    assert_eq!(said_with("120-255", "120-255"), only);
    assert_eq!(said_with("120-255", "100-255"), Vec::<String>::new());
    // A slip of the fingers would leave the light dark without a word.
    let slip = format!(
        "s:{}: warning: profile \"mine\", mode \"two\", channel \"level\": `does = \"Dimer\"`: this is no attribute that we know, so nothing is done with it; did you mean \"Dimmer\"?",
        first + 15
    );
    assert_eq!(said_with("does = \"Dimmer\"", "does = \"Dimer\""), [gap, slip]);
    // Other names of the standard are meant as they stand.
    for other in ["Gobo2", "CTB", "Tint", "Anything of ours"] {
        assert_eq!(said_with("Dimmer", other), only, "{other}");
    }
    let home = format!(
        "s:{shutter}: profile \"mine\": home 120 of channel \"shutter\" (mode \"two\") lies in a range marked as dangerous; choose another"
    );
    assert_eq!(said_with("Shutter1Strobe\"", "Shutter1Strobe\", danger = \"sound\""), only);
    let text = BASE.to_owned()
        + &chart
            .replace(
                "120-255\", does = \"Shutter1Strobe\"",
                "100-255\", does = \"Effects1\", danger = \"sound\"",
            )
            .replace("name = \"shutter\"", "name = \"shutter\"\nhome = 120");
    assert_eq!(said_of(&text), [home]);
}

#[test]
fn one_mistake_is_said_once() {
    // Whom a part is for is read first: what is wrong with it says nothing about the other keys.
    let from = "who = [1]\n";
    assert!(BASE.contains(from));
    assert_eq!(
        said_of(&BASE.replacen(from, "who = \"nobody\"\nprism = true\nzoom = \"20°\"\nfrost = 0.1\n", 1))
            .len(),
        1
    );
}

#[test]
fn what_is_no_text_is_not_printed() {
    let said = said_of("\0\0\0\u{1b}[31m");
    assert_eq!(said, ["s:1: this is no text: it holds bytes of zero; check that it is the right file"]);
    let said = said_of("lanthorn = 1\u{1b}[31m");
    assert!(said.iter().all(|message| message.chars().all(|c| !c.is_control())), "{said:?}");
    // Line ends of a single carriage return are no line ends in TOML.
    let said = said_of("lanthorn = 1\r[show]\rname = \"x\"\r");
    assert!(said.iter().all(|message| message.chars().all(|c| !c.is_control())), "{said:?}");
}

#[test]
fn points_outside_the_room_are_doubted() {
    let mark = "at = [1, -1, 1]";
    assert!(BASE.contains(mark));
    let outside = |figures: &str| {
        format!(
            "`at = {figures}`: this is outside the room: x -4 to 4, y -6 to 3, up to 4 m; check it; a point is in metres"
        )
    };
    for wrong in ["[0, 150, 120]", "[5, 1.5, 1.2]", "[0, 1.5, 4.5]", "[0, -7, 0]"] {
        let said = said(mark, &format!("at = {wrong}"));
        assert!(said.iter().any(|message| message.ends_with(&outside(wrong))), "{said:?}");
    }
    let said = said("aim = \"cake\"", "aim = { from = \"cake\", to = [0, 15, 0] }");
    assert!(said[0].contains("outside the room") && said.len() == 1, "{said:?}");
}

#[test]
fn a_mark_with_a_wrong_point_is_a_mark_all_the_same() {
    assert_eq!(said("at = [1, -1, 1]", "at = [nan, -1, 1]").len(), 1);
}

#[test]
fn a_limit_above_four_flashes_needs_somebodys_word() {
    let limits = |rest: &str| said_of(&format!("{BASE}\n[limits]\n{rest}\n"));
    let line = BASE.lines().count() + 3;
    assert_eq!(limits("flash = \"3 Hz\""), Vec::<String>::new());
    let raised = "more than 3 flashes a second can bring on seizures; keep to 3 Hz unless everybody in the room has been told and agrees";
    assert_eq!(
        limits("flash = \"3.5 Hz\""),
        [format!("s:{line}: warning: limits: `flash = \"3.5 Hz\"`: {raised}")]
    );
    assert_eq!(
        limits("flash = \"6 Hz\""),
        [format!(
            "s:{line}: limits: `flash = \"6 Hz\"`: more than 4 flashes a second need somebody's word for it, and can bring on seizures; write 3 Hz, or add flash_reason = \"who agreed, in the venue's words\""
        )]
    );
    assert_eq!(
        limits("flash = \"6 Hz\"\nflash_reason = \"the hall\""),
        [format!("s:{line}: warning: limits: `flash = \"6 Hz\"`: {raised}")]
    );
    let empty = limits("flash = \"6 Hz\"\nflash_reason = \"  \"");
    let names_nobody = "this names nobody; write who agreed, in the venue's words and in one line, or leave `flash` at 4 Hz or less without it";
    assert!(empty[1].ends_with(names_nobody) || empty[0].ends_with(names_nobody), "{empty:?}");
    assert!(limits("flash = \"9 Hz\"\nflash_reason = \"the hall\"")[0].contains("runs from 0.1 to 8 Hz"));
    let two_lines = limits("flash = \"6 Hz\"\nflash_reason = \"the hall\\nand more\"");
    assert!(two_lines.iter().any(|said| said.contains("one line of 200 letters")), "{two_lines:?}");
}

#[test]
fn the_reason_for_a_raised_limit_is_kept() {
    let text = format!("{BASE}\n[limits]\nflash = \"6 Hz\"\nflash_reason = \"agreed by the hall\"\n");
    let file = read_show(&text).0.unwrap();
    assert_eq!(file.rig.limits.in_force(), file.rig.limits.flash);
    let again = read_show(&lanthorn_store::write_show(&file)).0.unwrap();
    assert_eq!(again.rig.limits.flash_reason.as_deref(), Some("agreed by the hall"));
}
