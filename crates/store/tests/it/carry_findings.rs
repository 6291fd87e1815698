//! What a carried look has lost, in figures: small rooms, one look each.

use std::sync::Arc;

use lanthorn_fixture::Attribute;
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_show::carry::{Names, carry};
use lanthorn_store::{ShowFile, read_show};

/// A bar of that height over the mark, and the units and looks as given.
fn file(bar_m: f64, rest: &str) -> ShowFile {
    let text = format!(
        "lanthorn = 1\n[show]\nname = \"x\"\n[room]\nname = \"hall\"\nx = [-9, 9]\ny = [-9, 9]\nheight = 12\n\
         [[room.mark]]\nname = \"cake\"\nat = [0, 0, 1]\n[[room.mark]]\nname = \"hook\"\nat = [0, 0, 11.5]\n\
         [[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, {bar_m}]\nlength = 6\n{rest}"
    );
    let (file, problems) = read_show(&text);
    file.unwrap_or_else(|| panic!("{problems:?}\n{text}"))
}

fn unit(profile: &str, mode: &str, more: &str) -> String {
    format!(
        "[[unit]]\nnumber = 1\nprofile = \"{profile}\"\nmode = \"{mode}\"\nplace = \"bar\"\naddress = \"1.001\"\n{more}\n\
         [[group]]\nname = \"g\"\nunits = 1\n"
    )
}

fn look(part: &str) -> String {
    format!("[[look]]\nname = \"a\"\n[[look.part]]\nwho = \"g\"\n{part}\n")
}

fn findings(home: &ShowFile, there: &ShowFile) -> Vec<Finding> {
    let carried = carry(&home.show, &home.rig, &there.rig, &Names::default());
    carried.looks.into_iter().flat_map(|look| look.findings).collect()
}

#[test]
fn what_is_lost_is_said_in_figures() {
    let wash = || unit("small wash head", "14 channels", "");
    let spot = || unit("small spot head", "16 channels", "");
    let large = || unit("larger wash head", "21 channels", "");
    let par = |more: &str| unit("RGBW par", "8 channels", more);
    let fresnel = || unit("white fresnel", "1 channel", "focus = \"cake\"");
    let slow = |unit: String| format!("{unit}[limits]\nflash = \"1 Hz\"\n");
    let own =
        || unit("small wash head", "14 channels", "").replace("address = \"1.001\"", "run = \"on its own\"");
    for (home, there, part, code, words) in [
        (large(), wash(), "zoom = \"20°\"", "zoom", "light 1 has no zoom"),
        (spot(), wash(), "prism = true", "prism", "light 1 has no prism"),
        (spot(), wash(), "gobo = \"stars\"", "gobo", "light 1 has no gobo stars"),
        (spot(), wash(), "focus = 0.5", "focus", "light 1 has no focus"),
        (wash(), fresnel(), "strobe = 2", "strobe", "light 1 has no strobe"),
        (wash(), slow(wash()), "strobe = 2", "flash-limit", "1 Hz of 2 Hz"),
        (unit("hazer", "3 channels", ""), par(""), "haze = 0.3", "haze", "light 1 has no haze"),
        (unit("hazer", "3 channels", ""), par(""), "fan = 0.3", "fan", "light 1 has no fan"),
        (
            par(""),
            fresnel(),
            "colour = \"blue\"",
            "colour",
            "light 1 cannot show blue; nearest: warm white (#",
        ),
        (wash(), own(), "aim = \"cake\"", "not-driven", "light 1 takes no channel values"),
        (wash(), par("focus = [3, 0, 1]"), "aim = \"cake\"", "stands-still", "light 1 cannot light the cake"),
        // 11.5 m is over the heads of a bar at 8 m: their tilt ends 20° above the horizon.
        (wash(), wash(), "aim = \"hook\"", "out-of-reach", "light 1 cannot light the hook"),
        (
            wash(),
            unit("dimmer pack", "4 channels", "focus = \"cake\""),
            "aim = \"cake\"",
            "brightness-unknown",
            "nobody knows how bright light 1 is there",
        ),
    ] {
        let found = findings(&file(8.0, &(home + &look(part))), &file(8.0, &there));
        let said: Vec<&Finding> = found.iter().filter(|finding| finding.code == code).collect();
        let [said] = said[..] else { panic!("{code}: {found:#?}") };
        let text = format!("{} {}", said.what, said.figure.as_deref().unwrap_or_default());
        assert!(text.contains(words), "{code}: {text}");
        let note = code == "brightness-unknown";
        assert_eq!(said.severity, if note { Severity::Note } else { Severity::Caution });
        assert!(!said.rule.is_empty() && !said.source.is_empty() && !said.remedy.is_empty(), "{code}");
    }
}

#[test]
fn what_stays_is_not_complained_of() {
    let spot = unit("small spot head", "16 channels", "");
    let part =
        "aim = \"cake\"\ncolour = \"warm white\"\ngobo = \"stars\"\nprism = true\nstrobe = 1\nlevel = 0.7";
    let home = file(4.0, &(spot.clone() + &look(part)));
    assert_eq!(findings(&home, &file(4.5, &spot)), []);
    // What the lights at home had not either is not lost.
    let wash = unit("small wash head", "14 channels", "");
    let home = file(4.0, &(wash.clone() + &look(part)));
    assert_eq!(findings(&home, &file(4.0, &wash)), []);
}

#[test]
fn less_than_half_the_light_by_the_inverse_square() {
    // The profile states 2750 lx at 2 m: 11 000 cd, at full in its own white. The pivot lies 0.6 of the body's height
    // under the bar, so both distances follow by hand.
    let wash = unit("small wash head", "14 channels", "");
    let home = file(5.0, &(wash.clone() + &look("aim = \"cake\"")));
    let height = home.rig.units[0].profile.body.height.value().unwrap().get();
    let lux = |bar: f64| 11_000.0 / (bar - 0.6 * height - 1.0).powi(2);
    for bar in [5.0, 6.0, 6.5, 6.8, 7.5, 9.0] {
        let found = findings(&home, &file(bar, &wash));
        let dim = found.iter().find(|finding| finding.code == "dim");
        assert_eq!(dim.is_some(), lux(bar) < lux(5.0) / 2.0, "{bar}: {found:?}");
        if let Some(dim) = dim {
            let figures: Vec<f64> =
                dim.figure.as_ref().unwrap().split(' ').filter_map(|word| word.parse().ok()).collect();
            let [there, at_home] = figures[..] else { panic!("{dim:?}") };
            assert!((there / lux(bar) - 1.0).abs() < 0.05, "{there} for {}", lux(bar));
            assert!((at_home / lux(5.0) - 1.0).abs() < 0.05, "{at_home} for {}", lux(5.0));
        }
    }
}

#[test]
fn a_gobo_by_number_is_another_picture_on_another_wheel() {
    let spot = unit("small spot head", "16 channels", "");
    let home = file(4.0, &(spot.clone() + &look("gobo = 3")));
    let mut there = file(4.0, &spot);
    let mut profile = (*there.rig.units[0].profile).clone();
    for wheel in profile.wheels.iter_mut().filter(|wheel| wheel.attribute == Attribute::Gobo1) {
        wheel.slots[2].name = "bricks".to_owned();
    }
    there.rig.units[0].profile = Arc::new(profile);
    let found = findings(&home, &there);
    let said: Vec<&str> = found.iter().map(|finding| finding.what.as_str()).collect();
    assert_eq!(said, ["gobo 3 is bricks there; at home it was stars"]);
}

#[test]
fn a_group_of_another_size_and_lights_that_two_sentences_want() {
    let units = |numbers: &str, washes: &str, spots: &str| {
        format!(
            "[[unit]]\nnumbers = \"{numbers}\"\nprofile = \"small wash head\"\nmode = \"14 channels\"\nplace = \"bar\"\n\
             address = \"1.001\"\n[[group]]\nname = \"g\"\nunits = {washes}\n[[group]]\nname = \"h\"\nunits = {spots}\n"
        )
    };
    let two = "[[look]]\nname = \"a\"\n[[look.part]]\nwho = \"g\"\n[[look.part]]\nwho = \"h\"\n";
    let home = file(4.0, &(units("1-4", "[1, 2]", "[3, 4]") + two));
    let said = |there: &ShowFile| -> Vec<String> {
        let words = |f: &Finding| format!("{} {}: {} {:?}", f.severity, f.place, f.what, f.figure);
        findings(&home, there).iter().map(words).collect()
    };
    assert_eq!(
        said(&file(4.0, &units("1-4", "[1, 2, 3, 4]", "[3, 4]"))),
        [
            "for your information g: another number of lights Some(\"2 at home, 4 there\")",
            "for your information g: lights 3 and 4 do what a later sentence says None",
        ]
    );
    assert_eq!(
        said(&file(4.0, &units("1-4", "[3, 4]", "[3, 4]"))),
        ["take care g: nothing of it is seen: lights 3 and 4 do what a later sentence says None"]
    );
}

#[test]
fn light_levels_in_lux_are_told_when_they_are_not_reached() {
    let wash = unit("small wash head", "14 channels", "");
    let home = file(4.0, &(wash.clone() + &look("aim = \"cake\"\nlevel = \"800 lx\"")));
    let codes = |bar: f64| -> Vec<(&str, Option<String>)> {
        let found = findings(&home, &file(bar, &wash));
        found.into_iter().map(|finding| (finding.code, finding.figure)).collect()
    };
    // 11 000 cd over the square of some 2.8 m, and of some 7.8 m.
    assert_eq!(codes(4.0), []);
    let found = codes(9.0);
    let [("lux", Some(figure))] = &found[..] else { panic!("{found:?}") };
    assert!(figure.starts_with("about 1") && figure.ends_with("0 lx of 800 lx"), "{figure}");
}

#[test]
fn figures_go_along_with_their_centres() {
    use lanthorn_physics::units::{Metres, Radians};
    use lanthorn_physics::{Point, Span};
    use lanthorn_show::carry::PlaceFor;
    use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
    use lanthorn_show::{Aim, Figure};

    let wash = unit("small wash head", "14 channels", "");
    let mut home = file(5.0, &(wash.clone() + &look("")));
    let circle = |centre: Aim, across: f64| Figure {
        name: "ring".to_owned(),
        shape: Shape::Circle { across: Metres::new(across) },
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace: Pace::Round(Span::from_secs(8.0)),
        backwards: false,
        phase: 0.0,
        phase_spread: PhaseSpread::InOrder,
        centre: Some(centre),
    };
    home.show.looks[0].parts[0].figure = Some("ring".to_owned());
    let mut there = file(5.0, &wash);
    there.rig.room.marks[0].name = "table".to_owned();
    let answer = |place| Names { marks: vec![("cake".to_owned(), place)], ..Names::default() };
    let go = |home: &ShowFile, names: &Names| carry(&home.show, &home.rig, &there.rig, names);
    let codes = |carried: &lanthorn_show::carry::Carried| -> Vec<&str> {
        carried.looks[0].findings.iter().map(|finding| finding.code).collect()
    };

    home.show.figures = vec![circle(Aim::Mark("cake".to_owned()), 2.0)];
    assert_eq!(
        lanthorn_show::carry::questions(&home.show, &home.rig, &there.rig, &Names::default()).len(),
        1,
        "the centre's mark is asked for"
    );
    let carried = go(&home, &answer(PlaceFor::Mark("table".to_owned())));
    assert_eq!(carried.show.figures[0].centre, Some(Aim::Mark("table".to_owned())));
    assert_eq!(codes(&carried), ["renamed"]);
    let carried = go(&home, &answer(PlaceFor::Nothing));
    assert_eq!((codes(&carried), carried.looks[0].sentences), (vec!["left-out"], [0, 1]));

    // A ring under the ceiling: its centre can be had, the ring about it cannot.
    home.show.figures = vec![circle(Aim::At(Point::new(0.0, -4.0, 0.0)), 2.0)];
    assert_eq!(codes(&go(&home, &Names::default())), ["point"]);
    home.show.figures = vec![circle(Aim::At(Point::new(0.0, -6.0, 6.4)), 9.0)];
    assert_eq!(codes(&go(&home, &Names::default())), ["out-of-reach", "point"]);
}

#[test]
fn unlike_lights_that_do_not_meet_are_told() {
    let pair = |other: (&str, &str)| {
        let one = unit("RGBW par", "8 channels", "focus = \"cake\"").replace("units = 1", "units = [1, 2]");
        let (profile, mode) = other;
        one + &format!(
            "[[unit]]\nnumber = 2\nprofile = \"{profile}\"\nmode = \"{mode}\"\nplace = \"bar\"\naddress = \"1.101\"\n\
             focus = \"cake\"\n"
        )
    };
    let alike = ("RGBW par", "8 channels");
    let home = file(4.0, &(pair(alike) + &look("colour = \"blue\"\nmatch = true\nlevel = 0.5")));
    let codes = |there: &ShowFile| -> Vec<&str> {
        findings(&home, there).into_iter().map(|finding| finding.code).collect()
    };
    assert_eq!(codes(&file(4.0, &pair(alike))), <[&str; 0]>::default());
    assert!(codes(&file(4.0, &pair(("white fresnel", "1 channel")))).contains(&"matched"));
}
