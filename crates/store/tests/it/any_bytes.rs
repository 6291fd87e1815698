//! Whatever the bytes of a file of others: an answer, and never a panic; what opens is a profile and a show of ours.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use lanthorn_store::{gdtf, mvr, patch_table, read_profile, read_show, write_profile, write_show};
use proptest::prelude::*;

use super::gdtf::EVERYTHING;
use super::mvr::{SCENE, packed};

fn answered(bytes: &[u8]) {
    if let Ok(read) = gdtf::read(bytes) {
        let (back, problems) = read_profile(&write_profile(&read.profile));
        assert!(back.is_some(), "{problems:?}");
        assert!(gdtf::read(&gdtf::write(&read.profile).unwrap().bytes).is_ok());
        for problem in &read.problems {
            assert!(problem.line >= 1 && !problem.is_error() && !problem.message.is_empty());
        }
    }
    for read in [mvr::read(bytes, "x"), mvr::read_scene(bytes, "x")].into_iter().flatten() {
        let (back, problems) = read_show(&write_show(&read.file));
        assert!(back.is_some(), "{problems:?}");
        assert!(mvr::write(&read.file).is_ok());
    }
}

/// The largest place at or below `at` where a text can be cut.
fn cut(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}

/// A piece of a description that means something, to be put where it means something else.
fn pieces() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "1",
        "-1",
        "0/1",
        "65535/2",
        "255/1s",
        "4294967295/4",
        "None",
        "Overwrite",
        "1,2,3,4",
        "600",
        "0",
        "NaN",
        "1e999",
        "0.3,0.3,0.3",
        "Pan",
        "Tilt",
        "Dimmer",
        "Shutter1",
        "Color1",
        "Effects1",
        "ColorAdd_R",
        "Segment",
        "Body",
        "Lens",
        "Yoke_Pan",
        "Body_Effects1.Effects1.Shows",
        "Colours",
        "Red",
        "Open",
        "Reset",
        "\u{e9}\u{2192}",
        "",
    ])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        answered(&bytes);
        let _ = patch_table::compare(&String::from_utf8_lossy(&bytes), &read_show(lanthorn_store::DEMO_TEXT).0.unwrap().rig);
    }

    #[test]
    fn a_changed_description_is_answered(at in 0..EVERYTHING.len(), gone in 0..60_usize, put in ".{0,8}") {
        let (from, to) = (cut(EVERYTHING, at), cut(EVERYTHING, at + gone));
        answered(format!("{}{put}{}", &EVERYTHING[..from], &EVERYTHING[to..]).as_bytes());
    }

    #[test]
    fn values_in_wrong_places_are_answered(changes in prop::collection::vec((0..600_usize, pieces()), 1..12)) {
        let mut parts: Vec<String> = EVERYTHING.split('"').map(str::to_owned).collect();
        for (place, piece) in changes {
            // Every second part stands between quotation marks.
            let index = (place * 2 + 1) % parts.len();
            if index % 2 == 1 {
                parts[index] = piece.to_owned();
            }
        }
        answered(parts.join("\"").as_bytes());
    }

    #[test]
    fn a_changed_scene_is_answered(at in 0..SCENE.len(), gone in 0..60_usize, put in "[-0-9.,{}a-z<>/]{0,8}") {
        let (from, to) = (cut(SCENE, at), cut(SCENE, at + gone));
        answered(format!("{}{put}{}", &SCENE[..from], &SCENE[to..]).as_bytes());
    }

    #[test]
    fn a_changed_archive_is_answered(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = packed(&[("description.xml", EVERYTHING.as_bytes()), ("GeneralSceneDescription.xml", SCENE.as_bytes())]);
        for (at, byte) in changes {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        answered(&bytes);
    }
}
