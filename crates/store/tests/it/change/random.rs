//! Thousands of random changes to the built-in show, garbage among them: what comes back always opens, what was not
//! touched is as it was, and a refusal is a sentence.

use std::collections::BTreeMap;

use lanthorn_rig::Unit;
use lanthorn_store::change::{Change, apply};
use lanthorn_store::{DEMO_TEXT, ShowFile, shipped};
use serde_json::{Value, json};

use super::read;

/// Changes tried by each test.
const TRIED: usize = 350;

/// A generator of numbers (xorshift, Marsaglia 2003: shifts 13, 7, 17).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % sides.max(1) as u64) as usize
    }

    fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.roll(list.len())]
    }

    /// One of these names, or one that is none.
    fn name(&mut self, names: Vec<String>) -> String {
        const NONE: &[&str] =
            &["", "  ", "Nobody", "all", "3", "two\nlines", "\"", "amber", "Supper", "# no"];
        if names.is_empty() || self.roll(12) == 0 {
            (*self.pick(NONE)).to_owned()
        } else {
            self.pick(&names).clone()
        }
    }

    fn new_name(&mut self) -> String {
        const NEW: &[&str] =
            &["red hall", "B", " trimmed ", "ö \"q\" \\", "Supper", "hall", "", "1-4", "x#y"];
        let name = *self.pick(NEW);
        if self.roll(3) == 0 { name.to_owned() } else { format!("{name}{}", self.roll(10_000)) }
    }

    /// A value that the field takes, or any other.
    fn value(&mut self, field: &str, file: &ShowFile) -> Value {
        if self.roll(4) == 0 {
            return self.pick(&garbage()).clone();
        }
        let lights: Vec<u32> = file.rig.units.iter().map(|unit| unit.number).collect();
        let some = |list: Vec<String>| list.into_iter().map(Value::from).collect::<Vec<_>>();
        let marks = some(names("mark", file));
        let list: Vec<Value> = match field {
            "who" => [vec![json!("all"), json!(lights)], some(names("group", file))].concat(),
            "aim" | "centre" | "focus" => {
                [vec![json!([0, -2, 1]), json!({ "from": [1, 1, 0], "to": [-1, -3, 0] }), json!(0.5)], marks]
                    .concat()
            }
            "figure" => some(names("figure", file)),
            "colour" => {
                [vec![json!("3200 K"), json!(["red", "#00ff80"])], some(names("swatch", file))].concat()
            }
            "look" | "start" => some(names("look", file)),
            "chases" => vec![json!([]), json!(names("chase", file))],
            "place" => some(names("place", file)),
            "circuit" => some(names("circuit", file)),
            "profile" => shipped().iter().map(|profile| json!(profile.name)).collect(),
            "mode" => shipped().iter().flat_map(|p| &p.modes).map(|mode| json!(mode.name)).collect(),
            "address" => vec![json!("3.001"), json!("1.300"), json!("2.400"), json!("1.001")],
            "shares" | "leader" => lights.iter().map(|light| json!(light)).collect(),
            "x" | "y" => vec![json!([-9, 9]), json!([-3, "2 m"])],
            "height" => vec![json!(5), json!("60 cm")],
            "size" => vec![json!("2 m"), json!(["2 m", "1 m"]), json!([1, 1, 1])],
            "kind" => vec![json!("bar"), json!("stand"), json!("table"), json!("person")],
            "shape" => vec![json!("circle"), json!("eight"), json!("hold"), json!("wave")],
            "at" | "middle" | "controller" => vec![json!([1, -1, 3]), json!(0.5), json!("-1 m")],
            "run" => vec![json!("driven"), json!("linked"), json!("on its own")],
            "up" => vec![json!("hanging"), json!("standing")],
            "order" => vec![json!("random"), json!("to and fro")],
            "level" => vec![json!("40 %"), json!(0.5), json!("300 lx")],
            "strobe" | "flash" => vec![json!("2 Hz"), json!(1), json!("6 Hz")],
            "flash_reason" => vec![json!("the hall's warden")],
            _ => vec![
                json!("1 s"),
                json!("2 beats"),
                json!("50 %"),
                json!("90°"),
                json!(3),
                json!(true),
                json!("in order"),
            ],
        };
        if list.is_empty() { Value::Null } else { self.pick(&list).clone() }
    }

    fn fields(&mut self, fields: &[&str], file: &ShowFile) -> Value {
        let mut map = serde_json::Map::new();
        for field in fields {
            if self.roll(3) > 0 {
                let value = self.value(field, file);
                if !value.is_null() {
                    map.insert((*field).to_owned(), value);
                }
            }
        }
        Value::Object(map)
    }

    fn lights(&mut self, file: &ShowFile) -> Vec<u32> {
        let all: Vec<u32> = file.rig.units.iter().map(|unit| unit.number).chain([77]).collect();
        let count = 1 + self.roll(3);
        (0..count).map(|_| if self.roll(20) == 0 { 0 } else { *self.pick(&all) }).collect()
    }
}

fn garbage() -> Vec<Value> {
    vec![
        json!(null),
        json!(""),
        json!(-1),
        json!(1e300),
        json!(1e18),
        json!(u64::MAX),
        json!("12 parsecs"),
        json!("NaN"),
        json!([]),
        json!([[[]]]),
        json!({}),
        json!({ "from": 1 }),
        json!({ "a b": "\u{0}" }),
        json!("'''\n\"\"\""),
        json!("#"),
        json!("x".repeat(3000)),
        json!([1, 2, 3, 4, 5]),
        json!(false),
    ]
}

fn names(kind: &str, file: &ShowFile) -> Vec<String> {
    fn of<'a, T: 'a>(list: impl IntoIterator<Item = &'a T>, name: fn(&T) -> &String) -> Vec<String> {
        list.into_iter().map(|one| name(one).clone()).collect()
    }
    let room = &file.rig.room;
    match kind {
        "mark" => of(&room.marks, |one| &one.name),
        "place" => of(&room.places, |one| &one.name),
        "platform" => of(&room.platforms, |one| &one.name),
        "audience" => of(&room.audience, |one| &one.name),
        "furniture" => of(&room.furniture, |one| &one.name),
        "circuit" => of(&file.rig.circuits, |one| &one.name),
        "group" => of(&file.rig.groups, |one| &one.name),
        "swatch" => of(&file.swatches, |one| &one.name),
        "figure" => of(&file.show.figures, |one| &one.name),
        "look" => of(&file.show.looks, |one| &one.name),
        "chase" => of(&file.show.chases, |one| &one.name),
        _ => Vec::new(),
    }
}

/// Kinds with their fields.
const THINGS: &[(&str, &[&str])] = &[
    ("mark", &["at"]),
    ("place", &["kind", "middle", "length", "turn", "rated", "own_weight"]),
    ("platform", &["x", "y", "height"]),
    ("audience", &["x", "y", "height"]),
    ("furniture", &["kind", "at", "size", "turn"]),
    ("circuit", &["breaker", "other_load", "at"]),
    ("swatch", &["colour"]),
    ("figure", &["shape", "size", "speed", "plane", "turn", "direction", "phase", "phase_spread", "centre"]),
    ("chase", &["order", "swing", "rounds", "fade", "step_time", "step_fade"]),
];
const PART: &[&str] = &[
    "who",
    "aim",
    "figure",
    "colour",
    "colour_spread",
    "mixing",
    "match",
    "level",
    "on",
    "level_to",
    "level_spread",
    "strobe",
    "gobo",
    "prism",
    "zoom",
    "focus",
    "frost",
    "iris",
    "haze",
    "fan",
];
const LIGHT: &[&str] = &[
    "profile",
    "mode",
    "place",
    "at",
    "up",
    "turn",
    "lean",
    "invert",
    "swap",
    "focus",
    "run",
    "address",
    "shares",
    "leader",
    "programme",
    "circuit",
    "line",
    "line_order",
];
const CUE: &[&str] = &["name", "note", "look", "chases", "fade", "follow", "tempo"];

/// A named thing is added, set, called otherwise or taken away.
fn of_thing(dice: &mut Dice, file: &ShowFile) -> Value {
    let (kind, fields) = *dice.pick(THINGS);
    let name = dice.name(names(kind, file));
    let field = *dice.pick(fields);
    let one = |dice: &mut Dice| dice.value(field, file);
    match (dice.roll(8), kind) {
        (0, "mark") => json!({ "type": "mark_add", "name": dice.new_name(), "at": one(dice) }),
        (0, "swatch") => json!({ "type": "swatch_add", "name": dice.new_name(), "colour": one(dice) }),
        (0, "chase") => json!({ "type": "chase_add", "name": dice.new_name(),
            "steps": (0..dice.roll(4)).map(|_| dice.name(names("look", file))).collect::<Vec<_>>() }),
        (0, _) => {
            json!({ "type": format!("{kind}_add"), "name": dice.new_name(), "values": dice.fields(fields, file) })
        }
        (1, _) => json!({ "type": format!("{kind}_rename"), "name": name, "to": dice.new_name() }),
        (2, _) => json!({ "type": format!("{kind}_remove"), "name": name }),
        (_, "mark") => json!({ "type": "mark_set", "name": name, "at": one(dice) }),
        (_, "swatch") => json!({ "type": "swatch_set", "name": name, "colour": one(dice) }),
        _ => json!({ "type": format!("{kind}_set"), "name": name, "field": field, "value": one(dice) }),
    }
}

fn of_look(dice: &mut Dice, file: &ShowFile) -> Value {
    let look = dice.name(names("look", file));
    let (part, to) = (dice.roll(6), dice.roll(8));
    let field = *dice.pick(PART);
    match dice.roll(14) {
        0 => {
            json!({ "type": "look_add", "name": dice.new_name(), "like": if dice.roll(2) == 0 { None } else { Some(look) } })
        }
        1 => json!({ "type": "look_rename", "name": look, "to": dice.new_name() }),
        2 => json!({ "type": "look_remove", "name": look }),
        3 => json!({ "type": "look_duplicate", "name": look, "to": dice.new_name() }),
        4 => json!({ "type": "look_move", "name": look, "to": to }),
        5 => json!({ "type": "look_fade", "name": look, "fade": dice.value("fade", file) }),
        6 => json!({ "type": "look_keep", "name": if dice.roll(3) == 0 { dice.new_name() } else { look },
            "parts": (0..dice.roll(4)).map(|_| dice.fields(PART, file)).collect::<Vec<_>>() }),
        7 => json!({ "type": "part_add", "look": look, "who": dice.value("who", file),
            "values": dice.fields(&["level", "colour"], file), "at": if dice.roll(2) == 0 { None } else { Some(part) } }),
        8 => json!({ "type": "part_remove", "look": look, "part": part }),
        9 => json!({ "type": "part_move", "look": look, "part": part, "to": to }),
        _ => {
            json!({ "type": "part_set", "look": look, "part": part, "field": field, "value": dice.value(field, file) })
        }
    }
}

fn of_chase(dice: &mut Dice, file: &ShowFile) -> Value {
    let (chase, look) = (dice.name(names("chase", file)), dice.name(names("look", file)));
    let (step, to) = (dice.roll(6), dice.roll(6));
    let field = *dice.pick(&["look", "time", "fade"]);
    match dice.roll(7) {
        0 => json!({ "type": "chase_duplicate", "name": chase, "to": dice.new_name() }),
        1 => json!({ "type": "chase_move", "name": chase, "to": to }),
        2 => {
            json!({ "type": "step_add", "chase": chase, "look": look, "time": dice.value("time", file), "at": step })
        }
        3 => json!({ "type": "step_remove", "chase": chase, "step": step }),
        4 => json!({ "type": "step_move", "chase": chase, "step": step, "to": to }),
        5 => {
            json!({ "type": "step_set", "chase": chase, "step": step, "field": field, "value": dice.value(field, file) })
        }
        _ => {
            json!({ "type": "steps_set", "chase": chase, "field": "fade", "value": dice.value("fade", file) })
        }
    }
}

fn of_cue(dice: &mut Dice, file: &ShowFile) -> Value {
    let number = dice.name(file.show.cues.iter().map(|cue| cue.number.clone()).collect());
    let field = *dice.pick(CUE);
    match dice.roll(6) {
        0 => json!({ "type": "cue_add", "after": number, "values": dice.fields(CUE, file) }),
        1 => json!({ "type": "cue_remove", "number": number }),
        2 => json!({ "type": "cue_move", "number": number, "to": dice.roll(16) }),
        3 => {
            json!({ "type": "cue_number", "number": number, "to": dice.pick(&["7", "0", "3.5", "99", "", "1e3", "2.25"]) })
        }
        _ => json!({ "type": "cue_set", "number": number, "field": field, "value": dice.value(field, file) }),
    }
}

fn of_light(dice: &mut Dice, file: &ShowFile) -> Value {
    let lights = dice.lights(file);
    let field = *dice.pick(LIGHT);
    match dice.roll(15) {
        7 => json!({ "type": "line_set", "name": dice.pick(&["A", "B", " "]), "lights": lights }),
        0 => json!({ "type": "light_add", "profile": dice.pick(shipped()).name, "count": dice.roll(5),
            "place": dice.name(names("place", file)) }),
        1 => json!({ "type": "light_remove", "lights": lights }),
        2 => json!({ "type": "address_all" }),
        3 => json!({ "type": "group_add", "name": dice.new_name(), "lights": lights }),
        4 => json!({ "type": "group_set", "name": dice.name(names("group", file)), "lights": lights }),
        5 => {
            json!({ "type": "group_rename", "name": dice.name(names("group", file)), "to": dice.new_name() })
        }
        6 => json!({ "type": "group_remove", "name": dice.name(names("group", file)) }),
        _ => {
            json!({ "type": "light_set", "lights": lights, "field": field, "value": dice.value(field, file) })
        }
    }
}

fn of_show(dice: &mut Dice, file: &ShowFile) -> Value {
    let (kind, fields): (_, &[&str]) = *dice.pick(&[
        ("show_set", &["name", "notes", "tempo", "start"] as &[&str]),
        ("room_set", &["name", "x", "y", "height", "controller"]),
        ("limit_set", &["flash", "flash_reason"]),
    ]);
    let field = *dice.pick(fields);
    json!({ "type": kind, "field": field, "value": dice.value(field, file) })
}

/// A light with names in the place of indices, so that lights of two rigs can be compared.
fn unit(file: &ShowFile, unit: &Unit) -> String {
    let place = &file.rig.room.places[unit.place];
    let circuit = unit.circuit.map(|index| file.rig.circuits[index].name.clone());
    let alone = Unit { place: 0, circuit: None, line_order: 0, ..unit.clone() };
    format!("{alone:?} on {} at {circuit:?}", place.name)
}

/// Everything in a show, by a name of its own.
fn all(file: &ShowFile) -> BTreeMap<String, String> {
    let mut map = BTreeMap::new();
    let mut put = |kind: &str, name: &str, is: String| map.insert(format!("{kind} {name}"), is);
    let (room, show, rig) = (&file.rig.room, &file.show, &file.rig);
    put("show", "", format!("{} {:?} {:?} {}", show.name, show.tempo, show.start, file.notes));
    put(
        "room",
        "",
        format!("{} {:?} {:?} {:?} {:?}", room.name, room.x, room.y, room.height, rig.controller),
    );
    put("limit", "", format!("{:?} {:?}", rig.limits, rig.mains));
    room.marks.iter().for_each(|one| drop(put("mark", &one.name, format!("{one:?}"))));
    room.places.iter().for_each(|one| drop(put("place", &one.name, format!("{one:?}"))));
    put("platform", "", format!("{:?}", room.platforms));
    put("audience", "", format!("{:?}", room.audience));
    put("furniture", "", format!("{:?}", room.furniture));
    rig.circuits.iter().for_each(|one| drop(put("circuit", &one.name, format!("{one:?}"))));
    rig.units.iter().for_each(|one| drop(put("light", &one.number.to_string(), unit(file, one))));
    for group in &rig.groups {
        let lights: Vec<u32> = group.units.iter().map(|index| rig.units[*index].number).collect();
        put("group", &group.name, format!("{lights:?}"));
    }
    file.swatches.iter().for_each(|one| drop(put("swatch", &one.name, format!("{one:?}"))));
    show.figures.iter().for_each(|one| drop(put("figure", &one.name, format!("{one:?}"))));
    show.looks.iter().for_each(|one| drop(put("look", &one.name, format!("{one:?}"))));
    show.chases.iter().for_each(|one| drop(put("chase", &one.name, format!("{one:?}"))));
    show.cues.iter().for_each(|one| drop(put("cue", &one.number, format!("{one:?}"))));
    map
}

/// Of what a change may touch, the beginnings of names; and nothing else.
fn touched(json: &Value) -> Vec<String> {
    let kind = json["type"].as_str().unwrap_or_default();
    let (what, _) = kind.rsplit_once('_').unwrap_or_default();
    let one =
        |what: &str, key: &str| vec![format!("{what} {}", json[key].as_str().unwrap_or_default().trim())];
    let many = |list: &[&str]| list.iter().map(|what| format!("{what} ")).collect::<Vec<_>>();
    match kind {
        "part_add" | "part_remove" | "part_move" | "part_set" => one("look", "look"),
        "step_add" | "step_move" | "step_set" | "steps_set" => one("chase", "chase"),
        "step_remove" => many(&["chase", "cue", "show"]),
        "look_add" | "look_keep" | "look_fade" | "chase_add" | "chase_set" | "swatch_add" | "figure_add"
        | "figure_set" | "mark_add" | "circuit_add" | "circuit_set" | "place_add" | "place_set"
        | "group_add" | "group_set" => {
            let mut list = one(what, "name");
            // Up or down is by the kind of place where a light does not say.
            list.extend(many(if kind == "place_set" { &["light"] } else { &[] }));
            list
        }
        "look_duplicate" | "chase_duplicate" => one(what, "to"),
        "look_move" | "chase_move" => Vec::new(),
        "cue_set" => one("cue", "number"),
        "light_set" => {
            let lights = json["lights"].as_array().into_iter().flatten();
            let mut list: Vec<String> = lights.map(|light| format!("light {light}")).collect();
            // Lights that share an address move with it.
            list.extend(many(if matches!(json["field"].as_str(), Some("address" | "mode" | "profile")) {
                &["light"]
            } else {
                &[]
            }));
            list
        }
        "light_remove" => many(&["light", "group", "look"]),
        "light_add" | "address_all" | "line_set" => many(&["light"]),
        "look_remove" | "look_rename" => many(&["look", "chase", "cue", "show"]),
        "chase_remove" | "chase_rename" => many(&["chase", "cue", "show"]),
        "group_remove" | "group_rename" => many(&["group", "look"]),
        "swatch_set" | "swatch_remove" | "swatch_rename" | "figure_remove" | "figure_rename" => {
            many(&[what, "look"])
        }
        "mark_set" | "mark_remove" | "mark_rename" => many(&["mark", "look", "figure", "light"]),
        "place_remove" | "place_rename" | "circuit_remove" | "circuit_rename" => many(&[what, "light"]),
        _ => many(&[what]),
    }
}

fn try_changes(seed: u64, make: fn(&mut Dice, &ShowFile) -> Value) {
    let mut dice = Dice(seed);
    let (mut text, mut file) = (DEMO_TEXT.to_owned(), read(DEMO_TEXT));
    let (mut done, mut refused) = (0, 0);
    for tried in 0..TRIED {
        if tried % 60 == 0 {
            (text, file) = (DEMO_TEXT.to_owned(), read(DEMO_TEXT));
        }
        let json = make(&mut dice, &file);
        let Ok(change) = serde_json::from_value::<Change>(json.clone()) else { continue };
        match apply(&text, &change) {
            Ok(changed) => {
                let now = read(&changed.text);
                let (before, after) = (all(&file), all(&now));
                let free = touched(&json);
                for key in before
                    .keys()
                    .chain(after.keys())
                    .filter(|key| !free.iter().any(|free| key.starts_with(free)))
                {
                    assert_eq!(before.get(key), after.get(key), "{json} touches {key}");
                }
                assert!(
                    changed.says.ends_with('.') && !changed.says.contains('\n'),
                    "{json}: {}",
                    changed.says
                );
                (text, file, done) = (changed.text, now, done + 1);
            }
            Err(why) => {
                let why = why.to_string();
                assert!(why.contains(": ") || why.contains(" not "), "{json}: {why}");
                assert!(!why.contains("put that right first") && why.len() < 4000, "{json}: {why}");
                refused += 1;
            }
        }
    }
    assert!(done > TRIED / 10 && refused > TRIED / 10, "{done} made, {refused} refused");
}

#[test]
fn looks() {
    try_changes(1, of_look);
}

#[test]
fn chases() {
    try_changes(2, of_chase);
}

#[test]
fn cues() {
    try_changes(3, of_cue);
}

#[test]
fn lights() {
    try_changes(4, of_light);
}

#[test]
fn things() {
    try_changes(5, of_thing);
}

#[test]
fn everything() {
    try_changes(6, |dice, file| match dice.roll(6) {
        0 => of_look(dice, file),
        1 => of_chase(dice, file),
        2 => of_cue(dice, file),
        3 => of_light(dice, file),
        4 => of_show(dice, file),
        _ => of_thing(dice, file),
    });
}
