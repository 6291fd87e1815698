//! Rig files: what is read out of those of others, and what of ours reads back.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::io::{Cursor, Write};

use lanthorn_fixture::Attribute;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_rig::rig::{Run, WayUp};
use lanthorn_rig::{Rig, place::PlaceKind};
use lanthorn_store::{ShowFile, built_in_show, gdtf, mvr, read_show, shipped_profile, write_show};
use proptest::prelude::*;
use zip::write::SimpleFileOptions;

/// An archive of these files.
pub(crate) fn packed(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn built_in(name: &str) -> ShowFile {
    read_show(&built_in_show(name).unwrap()).0.unwrap()
}

/// What a rig file must keep: number, mode, place, where along it, which way, which address.
fn kept(rig: &Rig) -> Vec<String> {
    let round = |value: f64| (value * 1e4).round() / 1e4 + 0.0;
    rig.units
        .iter()
        .map(|unit| {
            let at = rig.position(unit);
            format!(
                "{} {} {} at {} {:?} {} {} {:?} {:?} {:?} ({}, {}, {})",
                unit.number,
                unit.mode().footprint(),
                rig.room.places[unit.place].name,
                round(unit.offset.get()),
                unit.up,
                round(unit.turn.deg()),
                round(unit.lean.deg()),
                unit.address().map(|address| address.to_string()),
                (unit.pan_invert, unit.tilt_invert),
                unit.mode().name,
                round(at.x()),
                round(at.y()),
                round(at.z()),
            )
        })
        .collect()
}

#[test]
fn our_rigs_read_back_in_places_orientations_and_addresses() {
    for name in ["demo", "gym", "barn"] {
        let file = built_in(name);
        let written = mvr::write(&file).unwrap();
        assert_eq!(written, mvr::write(&file).unwrap(), "the same bytes every time");
        let read = mvr::read(&written.bytes, "again").unwrap();
        let said: Vec<String> = read.problems.iter().map(|(part, problem)| problem.in_file(part)).collect();
        let odd: Vec<&String> = said.iter().filter(|it| it.starts_with("General")).collect();
        assert_eq!(odd, Vec::<&String>::new(), "{name}");
        assert_eq!(kept(&read.file.rig), kept(&file.rig), "{name}");
        let (back, room) = (&read.file.rig.room, &file.rig.room);
        assert_eq!((&back.name, back.x, back.y, back.height), (&room.name, room.x, room.y, room.height));
        let marks =
            |rig: &Rig| rig.room.marks.iter().map(|mark| (mark.name.clone(), mark.at)).collect::<Vec<_>>();
        assert_eq!(marks(&read.file.rig), marks(&file.rig), "{name}");
        let text = write_show(&read.file);
        let (opened, problems) = read_show(&text);
        let errors: Vec<String> =
            problems.iter().filter(|it| it.is_error()).map(|it| it.in_file("x")).collect();
        assert_eq!((opened.is_some(), errors), (true, Vec::new()), "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_way_to_hang_reads_back(
        turns in prop::collection::vec((-179.9..179.9_f64, -80.0..80.0_f64, any::<bool>(), -2.0..2.0_f64, any::<bool>()), 1..8),
        middle in prop::array::uniform3(-9.0..9.0_f64),
        bar in -170.0..170.0_f64,
    ) {
        let mut file = built_in("demo");
        file.rig.units.truncate(turns.len());
        let place = file.rig.units[0].place;
        file.rig.room.places[place].middle = middle.into();
        file.rig.room.places[place].turn = Radians::from_deg(bar);
        for (unit, (turn, lean, standing, at, inverted)) in file.rig.units.iter_mut().zip(&turns) {
            unit.place = place;
            unit.offset = Metres::new(*at);
            unit.turn = Radians::from_deg(*turn);
            unit.lean = Radians::from_deg(*lean);
            unit.up = if *standing { WayUp::Standing } else { WayUp::Hanging };
            unit.pan_invert = *inverted;
        }
        let read = mvr::read(&mvr::write(&file).unwrap().bytes, "x").unwrap();
        for (own, back) in file.rig.units.iter().zip(&read.file.rig.units) {
            prop_assert!(own.world_from_fixture().apply(lanthorn_physics::Direction::DOWN)
                .angle_to(back.world_from_fixture().apply(lanthorn_physics::Direction::DOWN)).deg() < 0.01);
            prop_assert!(file.rig.position(own).distance(read.file.rig.position(back)).get() < 0.002);
            prop_assert_eq!((own.up, own.pan_invert), (back.up, back.pan_invert));
        }
    }
}

/// A rig as others write it: no provider, AUXData behind the layers, groups with frames, identities in pairs, slots over
/// 512, a light that is not patched, one whose fixture file is missing, things that we have no place for.
pub(crate) const SCENE: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<GeneralSceneDescription verMajor="1" verMinor="5">
  <UserData><Data provider="Somebody" ver="2">their own</Data></UserData>
  <Scene>
    <Layers>
      <Layer name="rig" uuid="11111111-1111-4111-8111-111111111111">
        <Matrix>{1,0,0}{0,1,0}{0,0,1}{0,0,100}</Matrix>
        <ChildList>
          <GroupObject name="left" uuid="22222222-2222-4222-8222-222222222222">
            <Matrix>{0,1,0}{-1,0,0}{0,0,1}{2000,0,3900}</Matrix>
            <ChildList>
              <Fixture name="one" uuid="33333333-3333-4333-8333-333333333331">
                <Matrix>{1,0,0}{0,1,0}{0,0,1}{1000,0,0}</Matrix>
                <GDTFSpec>head.gdtf</GDTFSpec><GDTFMode>16 channels</GDTFMode>
                <Focus>44 44 44 44 44 44 44 44 84 44 44 44 44 44 44 44</Focus>
                <Position>AAAAAAAA-AAAA-4AAA-8AAA-AAAAAAAAAAAA</Position>
                <DMXInvertPan>true</DMXInvertPan><FixtureID>7</FixtureID><UnitNumber>3</UnitNumber>
                <Classing>66666666-6666-4666-8666-666666666666</Classing>
                <Addresses><Address break="0">513</Address></Addresses>
                <CustomCommands><CustomCommand>Yoke_Pan.Pan.Pan 1,f 0.0</CustomCommand></CustomCommands>
              </Fixture>
              <Fixture name="two" uuid="33333333-3333-4333-8333-333333333332">
                <Matrix>{1,0,0}{0,-1,0}{0,0,-1}{-1000,0,0}</Matrix>
                <GDTFSpec>head</GDTFSpec><GDTFMode>nothing</GDTFMode>
                <Position>aaaaaaaaaaaa4aaa8aaaaaaaaaaaaaaa</Position>
                <FixtureID>7</FixtureID><Addresses><Address break="0">2.17</Address></Addresses>
              </Fixture>
            </ChildList>
          </GroupObject>
          <Fixture name="par" uuid="33333333-3333-4333-8333-333333333333">
            <Matrix>{-1,0,0}{0,1,0}{0,0,-1}{-3000,4000,-100}</Matrix>
            <GDTFSpec>nowhere.gdtf</GDTFSpec><GDTFMode>odd</GDTFMode><FixtureID></FixtureID>
            <Focus>{44444444-4444-4444-8444-444444444444}</Focus>
            <Addresses><Address break="0">0</Address></Addresses>
          </Fixture>
          <FocusPoint name="cake" uuid="44444444-4444-4444-8444-444444444444"><Matrix>{1,0,0}{0,1,0}{0,0,1}{500,-2000,900}</Matrix></FocusPoint>
          <SceneObject name="curtain" uuid="55555555-5555-4555-8555-555555555555"><Matrix>{1,0,0}{0,1,0}{0,0,1}{0,0,0}</Matrix></SceneObject>
        </ChildList>
      </Layer>
    </Layers>
    <AUXData>
      <Position uuid="aaaaaaaa-aaaa-4aaa-8aaa-aaaaaaaaaaaa" name="left bar"/>
      <Class uuid="66666666-6666-4666-8666-666666666666" name="heads"/>
    </AUXData>
  </Scene>
</GeneralSceneDescription>"#;

fn foreign() -> mvr::Read {
    let head = gdtf::write(&shipped_profile("small spot head").unwrap()).unwrap().bytes;
    let files: [(&str, &[u8]); 3] =
        [("generalscenedescription.XML", SCENE.as_bytes()), ("head.gdtf", &head), (".3ds", b"mesh")];
    mvr::read(&packed(&files), "their rig").unwrap()
}

#[test]
fn a_rig_of_others_stands_where_it_says() {
    let read = foreign();
    let rig = &read.file.rig;
    assert_eq!(
        kept(rig),
        [
            // Turned by its group by a quarter; on its own by half a turn about X. Its own number is taken.
            "1 16 left bar at -1 Standing -90 0 Some(\"2.017\") (false, false) \"16 channels\" (2, -1, 4)",
            "2 1 floor at 0 Standing 0 0 None (false, false) \"odd\" (-3, 4, 0)",
            "7 16 left bar at 1 Hanging 90 0 Some(\"2.001\") (true, false) \"16 channels\" (2, 1, 4)",
        ]
    );
    let bar = &rig.room.places[rig.unit(7).unwrap().place];
    assert_eq!((bar.kind, bar.length.get(), bar.turn.deg().round()), (PlaceKind::Bar, 2.5, 90.0));
    assert_eq!(rig.room.marks[0].name, "cake");
    assert_eq!(rig.room.marks[0].at, lanthorn_physics::Point::new(0.5, -2.0, 1.0));
    assert_eq!(
        rig.unit(2).unwrap().focus,
        Some(rig.room.marks[0].at),
        "a fixed light is pointed at the mark"
    );
    assert!(matches!(rig.unit(2).unwrap().run, Run::Driven { address: None, .. }));
    let pan = rig.unit(7).unwrap().mode().channels.iter().any(|it| it.ranges[0].attribute == Attribute::Pan);
    assert!(pan && rig.unit(7).unwrap().moves());
}

#[test]
fn what_is_not_known_is_told_asked_and_kept() {
    let read = foreign();
    let said: Vec<String> = read
        .problems
        .iter()
        .filter(|(part, _)| part.starts_with("General"))
        .map(|(_, problem)| problem.in_file("x"))
        .collect();
    insta::assert_snapshot!(format!("{}\n\n{}", said.join("\n"), read.asks.join("\n")));
    let kept = |at: &str| {
        read.file.kept.iter().filter(|kept| kept.at == at).map(|kept| kept.text.as_str()).collect::<Vec<_>>()
    };
    assert!(kept("UserData")[0].contains("their own"));
    assert!(kept("Scene/AUXData")[0].contains("Class"));
    assert!(kept("Scene/Layers/Layer[rig]")[0].contains("curtain"));
    assert!(kept("Scene/Fixture[7]").iter().any(|text| text.contains("CustomCommand")));
    assert!(kept("Scene/Fixture[7]").iter().any(|text| text.contains("Classing")));
    assert_eq!(kept("archive/.3ds"), ["a file of 4 bytes, in the archive that this was read from"]);
    // In a show's text, and in a rig file again where its light is.
    let (again, _) = read_show(&write_show(&read.file));
    assert_eq!(again.unwrap().kept, read.file.kept);
    let written = mvr::write(&read.file).unwrap();
    assert!(
        written.description.contains("Yoke_Pan.Pan.Pan 1,f 0.0")
            && written.description.contains("name=\"heads\"")
    );
    assert!(written.left_out.iter().any(|it| it == "kept of another file: Scene/Layers/Layer[rig]"));
}

#[test]
fn breaks_follow_each_other_or_it_is_said() {
    let everything = include_str!("gdtf/everything.xml");
    let fixture = packed(&[("description.xml", everything.as_bytes())]);
    let scene = |second: u32| {
        format!(
            "<GeneralSceneDescription><Scene><Layers><Layer><ChildList><Fixture name=\"ring\"><GDTFSpec>ring.gdtf</GDTFSpec>\
             <GDTFMode>Long</GDTFMode><FixtureID>1</FixtureID><Addresses><Address break=\"2\">{second}</Address>\
             <Address break=\"0\">101</Address></Addresses></Fixture></ChildList></Layer></Layers></Scene></GeneralSceneDescription>"
        )
    };
    let read = |second| {
        let scene = scene(second);
        mvr::read(&packed(&[("GeneralSceneDescription.xml", scene.as_bytes()), ("ring.gdtf", &fixture)]), "x")
            .unwrap()
    };
    let told =
        |read: &mvr::Read| read.problems.iter().any(|(_, problem)| problem.message.contains("do not follow"));
    // The first break takes 29 slots: 101 to 129.
    let (right, wrong) = (read(130), read(200));
    assert_eq!((told(&right), told(&wrong)), (false, true));
    assert_eq!(right.file.rig.units[0].address().unwrap().to_string(), "1.101");
    let again = mvr::write(&right.file).unwrap().description;
    assert!(
        again.contains("<Address break=\"0\">101</Address>")
            && again.contains("<Address break=\"1\">130</Address>")
    );
}

#[test]
fn a_light_that_stands_miles_away_is_put_at_the_edge_and_that_is_said() {
    let light = |number: u32, y: f64| {
        format!(
            "<Fixture name=\"spot\" uuid=\"00000000-0000-0000-0000-00000000000{number}\"><Matrix>{{1,0,0}}{{0,1,0}}{{0,0,1}}{{0,{y},3000}}</Matrix>\
             <GDTFSpec>none.gdtf</GDTFSpec><GDTFMode>none</GDTFMode><FixtureID>{number}</FixtureID><UnitNumber>{number}</UnitNumber></Fixture>"
        )
    };
    let xml = format!(
        "<GeneralSceneDescription verMajor=\"1\" verMinor=\"6\"><Scene><Layers><Layer name=\"all\" uuid=\"10000000-0000-0000-0000-000000000000\"><ChildList>{}{}{}</ChildList></Layer></Layers></Scene></GeneralSceneDescription>",
        light(1, 0.0),
        light(2, 1000.0),
        light(3, 9_000_000.0)
    );
    let read = mvr::read_scene(xml.as_bytes(), "far").unwrap();
    let (back, problems) = read_show(&write_show(&read.file));
    assert!(back.is_some(), "{problems:?}");
    let said: String = read.problems.iter().map(|(_, problem)| problem.to_string()).collect();
    assert!(said.contains("more than 900 m"), "{said}");
}

#[test]
fn lights_at_one_address_share_it_or_the_later_one_has_none() {
    let light = |number: u32, mode: &str, address: u32| {
        format!(
            "<Fixture name=\"par\" uuid=\"00000000-0000-0000-0000-00000000000{number}\"><Matrix>{{1,0,0}}{{0,1,0}}{{0,0,1}}{{{number}000,0,3000}}</Matrix>\
             <GDTFSpec>none.gdtf</GDTFSpec><GDTFMode>{mode}</GDTFMode><FixtureID>{number}</FixtureID><UnitNumber>{number}</UnitNumber>\
             <Addresses><Address break=\"0\">{address}</Address></Addresses></Fixture>"
        )
    };
    let lights = [light(3, "b", 17), light(2, "a", 17), light(1, "a", 17), light(4, "a", 18)].concat();
    let xml = format!(
        "<GeneralSceneDescription verMajor=\"1\" verMinor=\"6\"><Scene><Layers><Layer name=\"all\" uuid=\"10000000-0000-0000-0000-000000000000\"><ChildList>{lights}</ChildList></Layer></Layers></Scene></GeneralSceneDescription>"
    );
    let read = mvr::read_scene(xml.as_bytes(), "alike").unwrap();
    let (back, problems) = read_show(&write_show(&read.file));
    let rig = back.unwrap_or_else(|| panic!("{problems:?}")).rig;
    let run = |number: u32| &rig.units.iter().find(|unit| unit.number == number).unwrap().run;
    let at = |slot: &str, shares| Run::Driven { address: slot.parse().ok(), shares };
    assert_eq!([run(1), run(2), run(4)], [&at("1.017", None), &at("1.017", Some(1)), &at("1.018", None)]);
    assert_eq!(run(3), &Run::Driven { address: None, shares: None });
    let said: String = read.problems.iter().map(|(_, problem)| problem.to_string()).collect();
    assert!(said.contains("as light 1 is") && said.contains("left without an address"), "{said}");
}
