//! Whatever is called otherwise is called so everywhere: nothing is left dangling, and back again it is the same file.

use lanthorn_store::change::{Change, apply};
use lanthorn_store::{DEMO_TEXT, read_show};
use proptest::prelude::*;

use super::read;

const REMARKS: &str = include_str!("../shows/remarks.show.toml");

/// Every rename there is in a show.
fn renames(text: &str, to: &str) -> Vec<(String, Change, Change)> {
    let file = read(text);
    let mut list = Vec::new();
    macro_rules! add {
        ($kind:ident, $names:expr) => {
            for name in $names {
                let (name, to) = (name.clone(), to.to_owned());
                let there = Change::$kind { name: name.clone(), to: to.clone() };
                list.push((name.clone(), there, Change::$kind { name: to, to: name }));
            }
        };
    }
    let room = &file.rig.room;
    add!(MarkRename, room.marks.iter().map(|one| &one.name));
    add!(PlaceRename, room.places.iter().map(|one| &one.name));
    add!(PlatformRename, room.platforms.iter().map(|one| &one.name));
    add!(AudienceRename, room.audience.iter().map(|one| &one.name));
    add!(CircuitRename, file.rig.circuits.iter().map(|one| &one.name));
    add!(GroupRename, file.rig.groups.iter().map(|one| &one.name));
    add!(SwatchRename, file.swatches.iter().map(|one| &one.name));
    add!(FigureRename, file.show.figures.iter().map(|one| &one.name));
    add!(LookRename, file.show.looks.iter().map(|one| &one.name));
    add!(ChaseRename, file.show.chases.iter().map(|one| &one.name));
    list
}

fn check(text: &str, to: &str, which: usize) {
    let all = renames(text, to);
    let (name, there, back) = &all[which % all.len()];
    let Ok(changed) = apply(text, there) else { return };
    let (file, problems) = read_show(&changed.text);
    assert!(file.is_some(), "{there:?}: {problems:?}");
    assert!(changed.says.contains(name) && changed.says.contains(to.trim()), "{}", changed.says);
    let again = apply(&changed.text, back).unwrap_or_else(|refused| panic!("{back:?}: {refused}"));
    assert_eq!(again.text, text, "{there:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn no_reference_is_left_dangling(to in "[a-zA-Z\"'\\\\#=é☂\\[\\]{}., -]{1,30}", which in 0_usize..1000) {
        check(DEMO_TEXT, &to, which);
        check(REMARKS, &to, which);
    }
}

#[test]
fn what_was_meant_is_meant_still() {
    // The same show, but for the names: each model with its names put back is the model before.
    for (text, old, new, kind) in [
        (DEMO_TEXT, "Supper", "Zw9", "look"),
        (DEMO_TEXT, "Waltz", "Zw9", "chase"),
        (DEMO_TEXT, "washes", "Zw9", "group"),
        (DEMO_TEXT, "late sky", "Zw9", "swatch"),
        (DEMO_TEXT, "ring dance", "Zw9", "figure"),
        (DEMO_TEXT, "dance floor", "Zw9", "mark"),
        (DEMO_TEXT, "front bar", "Zw9", "place"),
        (DEMO_TEXT, "kitchen", "Zw9", "circuit"),
    ] {
        let json = format!(r#"{{"type":"{kind}_rename","name":"{old}","to":"{new}"}}"#);
        let (after, _) = super::changed(text, &json);
        let put_back = format!("{:?}", read(&after)).replace(&format!("{new:?}"), &format!("{old:?}"));
        assert_eq!(put_back, format!("{:?}", read(text)), "{json}");
    }
}
