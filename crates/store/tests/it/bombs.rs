//! Fixture and rig files that are made to hurt: each is refused with a sentence that says why, before it has cost anything.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::fmt::Write as _;
use std::io::{Cursor, Write};

use lanthorn_store::gdtf::{self, GdtfError};
use lanthorn_store::mvr;
use zip::write::SimpleFileOptions;

use super::mvr::packed;

fn description(xml: &[u8]) -> Vec<u8> {
    packed(&[("description.xml", xml)])
}

fn said(bytes: &[u8]) -> String {
    gdtf::read(bytes).unwrap_err().to_string()
}

/// One file that is written in pieces, so that the test itself needs no room for it.
fn long(name: &str, piece: &[u8], times: usize) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(name, SimpleFileOptions::default()).unwrap();
    for _ in 0..times {
        zip.write_all(piece).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn gdtf_of(inside: &str) -> String {
    format!("<GDTF DataVersion=\"1.1\"><FixtureType Name=\"x\">{inside}</FixtureType></GDTF>")
}

#[test]
fn archives_that_grow() {
    let blanks = vec![b' '; 1 << 20];
    // A gigabyte of blanks packs into a megabyte.
    let gigabyte = long("description.xml", &blanks, 1024);
    assert!(gigabyte.len() < 2 << 20);
    assert_eq!(said(&gigabyte), "description.xml unpacks to more than 32 MiB: it is refused");
    let less = long("description.xml", &blanks, 20);
    assert_eq!(said(&less), "description.xml grows to more than 200 times its packed size: it is refused");
    // Within the ratio, yet too long.
    let noise: Vec<u8> = (0..1_u32 << 20).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let stored = packed_stored("description.xml", &noise.repeat(33));
    assert_eq!(said(&stored), "description.xml unpacks to more than 32 MiB: it is refused");
    let scene = long("GeneralSceneDescription.xml", &blanks, 20);
    assert!(mvr::read(&scene, "x").unwrap_err().to_string().contains("200 times"));
}

fn packed_stored(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    zip.start_file(name, SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored))
        .unwrap();
    zip.write_all(bytes).unwrap();
    zip.finish().unwrap().into_inner()
}

#[test]
fn archives_in_archives_are_opened_once() {
    let inner = description(gdtf_of("").as_bytes());
    let nested = packed(&[("description.gdtf", &inner)]);
    assert_eq!(said(&nested), "there is no description.xml in the archive: is it the right file?");
    // In a rig file a fixture file is one deep; what is in that again is not looked at.
    let scene = b"<GeneralSceneDescription><Scene><Layers><Layer><ChildList><Fixture name=\"a\"><GDTFSpec>deep.gdtf</GDTFSpec></Fixture></ChildList></Layer></Layers></Scene></GeneralSceneDescription>";
    let deep = packed(&[("deep.gdtf", &nested)]);
    let rig = packed(&[("GeneralSceneDescription.xml", scene), ("deep.gdtf", &deep)]);
    let read = mvr::read(&rig, "x").unwrap();
    assert!(
        read.problems[0].1.message.contains("there is no description.xml in the archive"),
        "{}",
        read.problems[0].1
    );
}

#[test]
fn archives_that_lie() {
    let whole = description(gdtf_of("").as_bytes());
    for cut in [1, 30, whole.len() / 2, whole.len() - 1] {
        assert!(said(&whole[..cut.max(4)]).starts_with("the archive is damaged") || cut < 4, "{cut}");
    }
    // The list of files says less than there is, or more.
    for (size, of) in [(0_u32, "less"), (u32::MAX - 1, "more")] {
        let mut lying = whole.clone();
        let at = lying.windows(4).position(|window| window == b"PK\x01\x02").unwrap();
        lying[at + 24..at + 28].copy_from_slice(&size.to_le_bytes());
        // Whatever is said, no more is taken than there is.
        assert!(gdtf::read(&lying).is_err(), "{of}");
    }
    let mut many = whole.clone();
    let at = many.windows(4).rposition(|window| window == b"PK\x05\x06").unwrap();
    many[at + 8..at + 12].copy_from_slice(&[0xff; 4]);
    assert_eq!(
        said(&many),
        "the archive says it holds 65535 files, and at most 5000 are read: it is no fixture or rig file"
    );
    let names: Vec<String> = (0..5_001).map(|n| format!("{n}")).collect();
    let files: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
    assert!(said(&packed(&files)).starts_with("the archive says it holds 5001 files"));
}

#[test]
fn two_files_of_one_name_are_one() {
    let mut twice = packed(&[("description.xml", gdtf_of("").as_bytes()), ("descriptiom.xml", b"<other/>")]);
    while let Some(at) = twice.windows(15).position(|window| window == b"descriptiom.xml") {
        twice[at + 9] = b'n';
    }
    // Which of them counts, nobody says; that it is read or refused without harm is all.
    let _ = gdtf::read(&twice);
    let other_case = packed(&[("DESCRIPTION.XML", super::gdtf::EVERYTHING.as_bytes())]);
    assert!(gdtf::read(&other_case).is_ok());
    // Nothing is unpacked by a stored name.
    let outside = packed(&[("../../description.xml", super::gdtf::EVERYTHING.as_bytes())]);
    assert!(said(&outside).starts_with("there is no description.xml"));
}

#[test]
fn texts_that_grow() {
    let entity = "<!DOCTYPE GDTF [<!ENTITY a \"".to_owned()
        + &"x".repeat(100_000)
        + "\">]><GDTF>"
        + &"&a;".repeat(2_000)
        + "</GDTF>";
    assert_eq!(
        said(entity.as_bytes()),
        "description.xml, line 1: a document type or an entity is declared, which these files have no use for: it is refused"
    );
    let mut wide = "<GDTF><FixtureType ".to_owned();
    (0..100_000).for_each(|n| write!(wide, "a{n}=\"\" ").unwrap());
    assert_eq!(
        said((wide + "/></GDTF>").as_bytes()),
        "description.xml, line 1: more than 64 attributes on one element: it is refused"
    );
    let deep = "<GDTF>".repeat(200_000);
    assert_eq!(
        said(deep.as_bytes()),
        "description.xml, line 1: more than 64 elements inside each other: it is refused"
    );
    let many = gdtf_of(&"<a/>".repeat(1_000_000));
    assert_eq!(said(many.as_bytes()), "description.xml, line 1: more than 500000 elements: it is refused");
    let long = "<GDTF>".to_owned() + &" ".repeat(33 << 20) + "</GDTF>";
    assert_eq!(said(long.as_bytes()), "description.xml has more than 32 MiB: it is refused");
    assert!(said(b"<GDTF><FixtureType></GDTF>").contains("no well-formed XML"));
    assert!(said(b"<GDTF></GDTF><GDTF></GDTF>").contains("a second outermost element"));
    assert_eq!(said(b"1 dimmer\n2 red"), GdtfError::Foreign.to_string());
    assert!(said(b"<html/>").contains("its outermost element is \"html\" and not GDTF"));
}

fn mode_on(geometries: &str) -> String {
    gdtf_of(&format!(
        "<Geometries>{geometries}</Geometries><DMXModes><DMXMode Name=\"m\" Geometry=\"a0\"><DMXChannels><DMXChannel Offset=\"1\" \
         Geometry=\"z\"><LogicalChannel Attribute=\"Dimmer\"/></DMXChannel></DMXChannels></DMXMode></DMXModes>"
    ))
}

#[test]
fn parts_without_end() {
    let ring = mode_on(
        "<Geometry Name=\"a0\"><GeometryReference Name=\"r\" Geometry=\"b\"/></Geometry><Geometry Name=\"b\"><GeometryReference Name=\"s\" Geometry=\"a0\"/></Geometry>",
    );
    assert_eq!(
        said(ring.as_bytes()),
        "description.xml, line 1: \"a0\" is drawn inside itself: it is refused"
    );
    let own = mode_on("<Geometry Name=\"a0\"><GeometryReference Name=\"r\" Geometry=\"a0\"/></Geometry>");
    assert!(said(own.as_bytes()).contains("drawn inside itself"));
    // Each draws the next ten times: ten to the twelfth parts.
    let mut powers = String::new();
    for level in 0..12 {
        let next = format!("<GeometryReference Name=\"r\" Geometry=\"a{}\"/>", level + 1);
        write!(powers, "<Geometry Name=\"a{level}\">{}</Geometry>", next.repeat(10)).unwrap();
    }
    let powers = mode_on(&(powers + "<Geometry Name=\"a12\"/>"));
    assert_eq!(
        said(powers.as_bytes()),
        "description.xml, line 1: the light has more than 4096 parts: it is refused"
    );
    let mut ladder = String::new();
    for level in 0..40 {
        write!(
            ladder,
            "<Geometry Name=\"a{level}\"><GeometryReference Name=\"r{level}\" Geometry=\"a{}\"/></Geometry>",
            level + 1
        )
        .unwrap();
    }
    assert!(said(mode_on(&ladder).as_bytes()).contains("more than 16 deep"));
}

#[test]
fn channels_without_end() {
    // Many modes, each of many channels on many parts.
    let parts = "<GeometryReference Name=\"r\" Geometry=\"z\"/>".repeat(4_000);
    let channels =
        "<DMXChannel Offset=\"1\" Geometry=\"z\"><LogicalChannel Attribute=\"Dimmer\"/></DMXChannel>"
            .repeat(100);
    let mode = format!("<DMXMode Name=\"m\" Geometry=\"a0\"><DMXChannels>{channels}</DMXChannels></DMXMode>")
        .repeat(50);
    let xml = gdtf_of(&format!(
        "<Geometries><Geometry Name=\"a0\">{parts}</Geometry><Beam Name=\"z\"/></Geometries><DMXModes>{mode}</DMXModes>"
    ));
    assert!(
        said(xml.as_bytes()).contains("its modes have more than 400000 channels"),
        "{}",
        said(xml.as_bytes())
    );
    let lights = "<Fixture name=\"a\"/>".repeat(4_097);
    let scene = format!(
        "<GeneralSceneDescription><Scene><Layers><Layer><ChildList>{lights}</ChildList></Layer></Layers></Scene></GeneralSceneDescription>"
    );
    assert!(
        mvr::read_scene(scene.as_bytes(), "x").unwrap_err().to_string().contains("more than 4096 lights")
    );
}
