//! First shows as text, and as rigs: symmetric, numbered, addressed. What they look like, the program's tests see.

use std::collections::BTreeMap;

use lanthorn_rig::patch::{blocks, overlaps};
use lanthorn_rig::rig::Rig;
use lanthorn_store::starter::{
    Answers, Lights, Measures, NAMED_ROOMS, Refused, Room, Stage, StageSide, begin, empty, lights_from_words,
};
use lanthorn_store::{read_show, shipped};
use proptest::prelude::*;

fn begun(room: &str, lights: &str) -> Result<String, Refused> {
    begin(&Answers {
        name: "Harvest supper".to_owned(),
        room: Room::Named(room.to_owned()),
        room_name: None,
        lights: lights_from_words(lights)?,
        own: Vec::new(),
    })
}

fn rig(text: &str) -> Rig {
    let (file, problems) = read_show(text);
    assert_eq!(problems, [], "{text}");
    file.expect("it opens").rig
}

#[test]
fn the_text_reads_as_a_person_would_write_it() {
    let text = begun("village hall", "2 small wash head, 2 RGBW par").unwrap();
    let (show, profiles) = text.split_once("# The lights as their manuals").unwrap();
    assert!(profiles.contains("\"small wash head\"") && profiles.contains("\"RGBW par\""));
    insta::assert_snapshot!(show);
}

#[test]
fn lights_hang_mirrored_and_are_numbered_from_left_to_right() {
    let text = begun("village hall", "4 small spot head, 6 RGBW par, 2 white fresnel, 1 hazer").unwrap();
    let rig = rig(&text);
    let mut there: BTreeMap<(&str, &str), Vec<(u32, f64)>> = BTreeMap::new();
    for unit in &rig.units {
        let place = rig.room.places[unit.place].name.as_str();
        there.entry((&unit.profile.name, place)).or_default().push((unit.number, unit.offset.get()));
    }
    for ((kind, place), lights) in there.iter().filter(|((kind, _), _)| *kind != "hazer") {
        assert!(
            lights.windows(2).all(|pair| pair[0].1 < pair[1].1 && pair[0].0 < pair[1].0),
            "{kind} on {place}: {lights:?}"
        );
        let mirrored = lights.iter().zip(lights.iter().rev()).all(|(a, b)| (a.1 + b.1).abs() < 0.11);
        assert!(mirrored, "{kind} on {place}: {lights:?}");
    }
    let all: Vec<u32> = rig.units.iter().map(|unit| unit.number).collect();
    assert_eq!(all, (1..=13).collect::<Vec<_>>());
}

#[test]
fn two_universes_are_two_data_lines_and_nothing_overlaps() {
    let text = begun("school gym", "40 small spot head on front bar");
    assert!(text.unwrap_err().to_string().contains("no space"));
    let rig =
        rig(&begun("school gym", "20 small spot head, 20 small wash head, 12 RGBWA+UV par, 8 RGB par")
            .unwrap());
    assert_eq!(overlaps(&rig), []);
    assert!(blocks(&rig).iter().all(|block| block.last <= 512));
    let mut lines: BTreeMap<String, (u16, usize)> = BTreeMap::new();
    for unit in &rig.units {
        let universe = unit.address().unwrap().universe.number();
        let line = lines.entry(unit.line.clone().unwrap()).or_insert((universe, 0));
        assert_eq!(line.0, universe, "line {:?}", unit.line);
        line.1 += 1;
    }
    assert!(lines.len() >= 2 && lines.values().all(|(_, count)| *count <= 32), "{lines:?}");
}

#[test]
fn a_place_that_is_said_is_kept() {
    let rig =
        rig(&begun("barn", "2 RGB par on left stand, 2 RGB par on right stand, 2 small wash head").unwrap());
    let place = |number: u32| rig.room.places[rig.unit(number).unwrap().place].name.as_str();
    assert_eq!(
        [1, 2, 3, 4, 5, 6].map(place),
        ["left stand", "left stand", "right stand", "right stand", "front bar", "front bar"]
    );
}

#[test]
fn bars_hang_below_every_ceiling_and_an_empty_room_opens() {
    for room in NAMED_ROOMS {
        let text = empty("x", &Room::Named(room.name.to_owned())).unwrap();
        let rig = rig(&text);
        assert!(rig.units.is_empty());
        for place in &rig.room.places {
            let under = room.measures.height - place.middle.z();
            assert!((0.25..).contains(&under) && place.middle.z() >= 2.0, "{}: {under}", room.name);
        }
    }
}

fn any_room() -> impl Strategy<Value = Room> {
    let stage =
        proptest::option::of((any::<bool>(), -1.0..12.0, -0.5..2.5).prop_map(|(end, depth, height)| Stage {
            side: if end { StageSide::End } else { StageSide::Side },
            depth,
            height,
        }));
    let measured = (3.0..70.0, 4.0..110.0, 2.0..32.0, stage)
        .prop_map(|(width, depth, height, stage)| Room::Measured(Measures { width, depth, height, stage }));
    let named = (0..NAMED_ROOMS.len()).prop_map(|index| Room::Named(NAMED_ROOMS[index].name.to_owned()));
    let strange = prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1.0)]
        .prop_map(|height| Room::Measured(Measures { width: 8.0, depth: 9.0, height, stage: None }));
    prop_oneof![6 => measured, 4 => named, 1 => strange]
}

fn any_lights() -> impl Strategy<Value = Lights> {
    (0..shipped().len(), 0_usize..24, proptest::option::weighted(0.2, 0_usize..7)).prop_map(
        |(profile, count, place)| Lights {
            profile: shipped()[profile].name.clone(),
            mode: None,
            count,
            place: place.map(|place| lanthorn_store::starter::places()[place].to_owned()),
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_is_answered_a_show_opens_or_a_sentence_says_why(
        room in any_room(),
        lights in proptest::collection::vec(any_lights(), 0..6),
        name in "\\PC{0,90}",
    ) {
        let answers = Answers { name, room, room_name: None, lights, own: Vec::new() };
        match begin(&answers) {
            Ok(text) => {
                let (file, problems) = read_show(&text);
                prop_assert_eq!(problems, []);
                let rig = file.unwrap().rig;
                prop_assert_eq!(rig.units.len(), answers.lights.iter().map(|lights| lights.count).sum::<usize>());
                prop_assert_eq!(overlaps(&rig), []);
                for unit in &rig.units {
                    let at = rig.position(unit);
                    prop_assert!(at.z() <= rig.room.height.get() && at.x().abs() <= rig.room.x[1].get(), "{:?}", at);
                    prop_assert!((rig.room.y[0].get()..=rig.room.y[1].get()).contains(&at.y()), "{:?}", at);
                }
            }
            Err(why) => {
                let why = why.to_string();
                prop_assert!(why.contains(": ") && why.len() < 400, "{}", why);
            }
        }
    }
}
