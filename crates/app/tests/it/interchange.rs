//! `lanthorn import`, `export`, `profile write` and `ies --attach` from outside.

use std::path::Path;

use super::{lanthorn, text};

/// What was printed, where the command did what it was asked.
fn done(folder: &Path, words: &[&str]) -> String {
    let done = lanthorn(folder, words);
    assert_eq!(done.status.code(), Some(0), "{words:?}: {}", text(&done.stderr));
    text(&done.stdout)
}

#[test]
fn a_rig_goes_out_and_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let told = done(folder, &["export", "demo", "-o", "demo.mvr"]);
    assert!(
        told.starts_with("demo.mvr is written\n") && told.contains("not in the file: looks, chases"),
        "{told}"
    );
    let told = done(folder, &["import", "demo.mvr", "back"]);
    assert!(told.starts_with("11 lights of 6 kinds, 5 hanging places, 9 marks"), "{told}");
    assert!(told.contains("take care: Confirm the aim of one head before you trust any"), "{told}");
    let plan = |show: &str| {
        let plan: serde_json::Value = serde_json::from_str(&done(folder, &["plan", show, "--json"])).unwrap();
        let units = plan["units"].as_array().unwrap().clone();
        let told = |unit: &serde_json::Value| {
            ["number", "profile", "mode", "place", "universe", "address"].map(|key| unit[key].to_string())
        };
        units.iter().map(told).collect::<Vec<_>>()
    };
    assert_eq!(plan("back"), plan("demo"));
    let again = lanthorn(folder, &["import", "demo.mvr", "back"]);
    assert_eq!(again.status.code(), Some(2), "a show that is there is never replaced");
    let json: serde_json::Value =
        serde_json::from_str(&done(folder, &["import", "demo.mvr", "other", "--json"])).unwrap();
    assert_eq!((json["lights"].as_u64(), json["file"].as_str()), (Some(11), Some("other.show.toml")));
    std::fs::write(folder.join("cut.mvr"), b"PK\x03\x04 and no more").unwrap();
    let cut = lanthorn(folder, &["import", "cut.mvr", "x"]);
    assert_eq!(cut.status.code(), Some(2));
    assert!(
        text(&cut.stderr).starts_with("cut.mvr: the archive is damaged or cut short"),
        "{}",
        text(&cut.stderr)
    );
}

#[test]
fn a_table_tells_what_it_would_change_before_it_does() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    done(folder, &["new", "hall", "--from", "demo"]);
    done(folder, &["export", "hall", "-o", "hall-patch.csv"]);
    assert_eq!(done(folder, &["import", "hall-patch.csv", "hall"]), "nothing differs\n");
    let show = folder.join("hall.show.toml");
    let before = std::fs::read_to_string(&show).unwrap();
    std::fs::write(folder.join("new.csv"), "number,universe,address\r\n1,2,7\r\n").unwrap();
    let told = done(folder, &["import", "new.csv", "hall"]);
    assert!(told.starts_with("light 1: address 1.001 → 2.007\n"), "{told}");
    assert!(told.ends_with("nothing is changed yet: --write does it\n"), "{told}");
    assert_eq!(std::fs::read_to_string(&show).unwrap(), before);
    done(folder, &["import", "new.csv", "hall", "--write"]);
    let after = std::fs::read_to_string(&show).unwrap();
    assert_eq!(after, before.replacen("address = \"1.001\"", "address = \"2.007\"", 1));
    done(folder, &["history", "hall", "--undo"]);
    assert_eq!(std::fs::read_to_string(&show).unwrap(), before);
    let wrong = lanthorn(folder, &["export", "hall", "-o", "what.xls"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains("write a rig to NAME.mvr, or a table to one of patch.csv"));
}

#[test]
fn a_light_becomes_a_fixture_file_and_says_what_is_not_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let told = done(folder, &["profile", "write", "small spot head", "-o", "spot.gdtf"]);
    assert!(told.starts_with("spot.gdtf: small spot head, as GDTF 1.2"), "{told}");
    assert!(told.contains("not in the file: how loud it is"), "{told}");
    let bytes = std::fs::read(folder.join("spot.gdtf")).unwrap();
    let read = lanthorn_store::gdtf::read(&bytes).unwrap();
    assert_eq!((read.profile.name.as_str(), read.profile.modes.len()), ("small spot head", 2));
    // A fixture file of others as well, and what it is in our own words.
    done(folder, &["profile", "write", "spot.gdtf", "-o", "again.gdtf", "--json"]);
    let none = lanthorn(folder, &["profile", "write", "no such light", "-o", "x.gdtf"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(
        text(&none.stderr).contains("there is no kind of light \"no such light\", and no file of that name")
    );
}

#[test]
fn a_photometric_file_goes_into_a_profile_and_nothing_else_changes() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let ies = "IESNA:LM-63-2002\r\n[TEST] invented\r\n[TESTLAB] x\r\n[ISSUEDATE] x\r\n[MANUFAC] nobody\r\nTILT=NONE\r\n\
               1 -1 1 3 1 1 2 0.1 0.1 0.1\r\n1 1 60\r\n0 45 90\r\n0\r\n1000 400 0\r\n";
    std::fs::write(folder.join("beam.ies"), ies).unwrap();
    let with = "name = \"lamp\" # ours\nkind = \"par\"\n\n[optics]\nbeam = \"20°\" # as printed\n\n[[mode]]\nname = \"1\"\n\n[[mode.channel]]\nat = 1\nname = \"dimmer\"\ndoes = \"Dimmer\"\n";
    let without = with.replace("[optics]\nbeam = \"20°\" # as printed\n\n", "");
    for (name, old) in [("with.toml", with), ("without.toml", &without)] {
        std::fs::write(folder.join(name), old).unwrap();
        let told = done(folder, &["ies", "beam.ies", "--attach", name]);
        assert!(told.contains("[optics] ies now holds"), "{told}");
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        let (profile, _) = lanthorn_store::read_profile(&text);
        let optics = profile.unwrap().optics;
        assert_eq!(optics.measured.unwrap().text, ies.replace("\r\n", "\n"));
        for line in old.lines() {
            assert!(text.lines().any(|own| own == line), "{name}: {line}");
        }
        // Again: the file takes the place of the one that is there.
        done(folder, &["ies", "beam.ies", "--attach", name]);
        assert_eq!(std::fs::read_to_string(folder.join(name)).unwrap(), text);
    }
    std::fs::write(folder.join("show.toml"), "lanthorn = 1\n").unwrap();
    let wrong = lanthorn(folder, &["ies", "beam.ies", "--attach", "show.toml"]);
    assert_eq!(wrong.status.code(), Some(2), "no profile");
}
