//! Any show to any rig: nothing panics, nothing is lost without a word, and the text says what was carried.

use std::sync::LazyLock;

use lanthorn_physics::Point;
use lanthorn_rig::Rig;
use lanthorn_show::carry::{Carried, LightsFor, Name, Names, PlaceFor, carry, questions};
use lanthorn_show::{Aim, Look, Part, Show, Who};
use lanthorn_store::carry::{Written, carried_file, carried_text};
use lanthorn_store::{BUILT_IN, ShowFile, built_in_room, built_in_show, read_show, write_show};
use proptest::prelude::*;

/// Every kept show, the rooms that are built in, and one of them with its show; read once.
static FILES: LazyLock<Vec<(String, ShowFile)>> = LazyLock::new(|| {
    let mut texts = vec![
        include_str!("shows/base.show.toml").to_owned(),
        include_str!("shows/forty-heads.show.toml").to_owned(),
    ];
    texts.extend(BUILT_IN.iter().filter_map(|name| built_in_room(name)).map(str::to_owned));
    texts.extend(built_in_show("gym"));
    texts.into_iter().map(|text| (text.clone(), file(&text))).collect()
});

/// The hall's place among them.
const HALL: usize = 2;

fn file(text: &str) -> ShowFile {
    let (file, problems) = read_show(text);
    file.unwrap_or_else(|| panic!("{problems:?}"))
}

/// Every sentence went along, or a finding of its look says that it did not.
fn nothing_is_lost(show: &Show, carried: &Carried) {
    assert_eq!(carried.looks.len(), show.looks.len());
    for (place, (before, report)) in show.looks.iter().zip(&carried.looks).enumerate() {
        let kept = &carried.from[place];
        assert_eq!(carried.show.looks[place].parts.len(), kept.len());
        assert_eq!(report.sentences, [kept.len(), before.parts.len()]);
        let left_out =
            report.findings.iter().filter(|finding| finding.what.starts_with("left out: ")).count();
        assert_eq!(kept.len() + left_out, before.parts.len(), "{}: {:#?}", before.name, report.findings);
        for (part, from) in carried.show.looks[place].parts.iter().zip(kept) {
            let home = &before.parts[*from];
            let same = Part { who: home.who.clone(), aim: home.aim.clone(), ..part.clone() };
            assert_eq!(&same, home, "all but who and where stays");
            assert_eq!(part.aim.is_some(), home.aim.is_some());
        }
    }
    assert_eq!((&carried.show.chases, &carried.show.cues), (&show.chases, &show.cues));
}

#[test]
fn every_kept_show_goes_to_every_kept_rig() {
    for (show_text, show) in FILES.iter() {
        for (there_text, there) in FILES.iter() {
            let carried = carry(&show.show, &show.rig, &there.rig, &Names::default());
            nothing_is_lost(&show.show, &carried);
            let (from, to) =
                (Written { text: show_text, file: show }, Written { text: there_text, file: there });
            assert_eq!(file(&carried_text(from, to, &carried)), carried_file(show, there, &carried));
        }
    }
}

#[test]
fn to_its_own_room_a_show_goes_unchanged() {
    let demo = &FILES[HALL].1;
    let carried = carry(&demo.show, &demo.rig, &demo.rig, &Names::default());
    for (before, after) in demo.show.looks.iter().zip(&carried.show.looks) {
        assert_eq!(before, after);
    }
    let said: Vec<&str> =
        carried.looks.iter().flat_map(|look| &look.findings).map(|found| found.code).collect();
    assert!(said.iter().all(|code| ["point", "same-number"].contains(code)), "{said:?}");
}

#[test]
fn remarks_of_both_files_are_kept() {
    let text = built_in_show("gym").unwrap();
    for remark in [
        "# beams fan out over the floor, as straws of a sheaf", // the look's
        "# Three chases, all of which keep to the tempo.",
        "# on a vaulting box by the left wall", // the room's
        "# The truss is eight metres",
        "# twice as many as in the hall",
    ] {
        assert_eq!(text.matches(remark).count(), 1, "{remark}");
    }
    assert!(!text.contains("village hall:") || text.contains("carried to: school gym"));
    assert!(!text.contains("painted on its end"), "the hall's bar stays in the hall");
    assert!(
        text.contains("aim = { from = \"left tables\", to = \"right tables\" }"),
        "marks by name: {text}"
    );
}

#[test]
fn a_show_written_in_another_way_is_carried_without_its_remarks() {
    // Rooms and looks in one line each cannot be put together table by table.
    let show = "lanthorn = 1 # mine\nshow = { name = \"x\" }\n\
                room = { name = \"hall\", x = [-5, 5], y = [-8, 3], height = 4, mark = [{ name = \"cake\", at = [0, 0, 1] }], \
                place = [{ name = \"bar\", kind = \"bar\", middle = [0, 0, 3], length = 4 }] }\n\
                unit = [{ number = 1, profile = \"small wash head\", mode = \"14 channels\", place = \"bar\" }]\n\
                group = [{ name = \"washes\", units = 1 }]\n\
                look = [{ name = \"a\", part = [{ who = \"washes\", aim = \"cake\" }, { who = 1, aim = [1, 1, 0] }] }]\n";
    let show_file = file(show);
    for name in BUILT_IN {
        let text = built_in_room(name).unwrap();
        let there = file(text);
        for (from, to) in [((show, &show_file), (text, &there)), ((text, &there), (show, &show_file))] {
            let carried = carry(&from.1.show, &from.1.rig, &to.1.rig, &Names::default());
            nothing_is_lost(&from.1.show, &carried);
            let written = |(text, file)| Written { text, file };
            assert_eq!(
                file(&carried_text(written(from), written(to), &carried)),
                carried_file(from.1, to.1, &carried)
            );
        }
    }
}

/// Sentences that may name anything that some room has, or nothing.
fn any_part() -> impl Strategy<Value = Part> {
    let names = ["washes", "spots", "stands", "stage foot", "front pair", "all heads"];
    let marks = ["top table", "speaker", "cake", "dance floor", "singer", "nowhere"];
    let who = prop_oneof![
        Just(Who::All),
        prop::sample::select(names.to_vec()).prop_map(|name| Who::Group(name.to_owned())),
        prop::collection::vec(0..45_u32, 1..5).prop_map(Who::Units),
    ];
    let point = (-30.0..30.0_f64, -30.0..30.0_f64, -1.0..12.0_f64).prop_map(|(x, y, z)| Point::new(x, y, z));
    let aim = prop_oneof![
        Just(None),
        prop::sample::select(marks.to_vec()).prop_map(|name| Some(Aim::Mark(name.to_owned()))),
        point.clone().prop_map(|at| Some(Aim::At(at))),
        (point.clone(), point).prop_map(|(from, to)| Some(Aim::Line { from, to })),
    ];
    let gobo = prop_oneof![Just(None), Just(Some("stars".to_owned())), Just(Some("3".to_owned()))];
    (who, aim, gobo, 0.0..1.0_f64, 0..40_usize, any::<bool>()).prop_map(
        |(who, aim, gobo, level, other, extra)| {
            let parts: Vec<&Part> = FILES[HALL].1.show.looks.iter().flat_map(|look| &look.parts).collect();
            let part = parts[other % parts.len()].clone();
            let level = lanthorn_show::Level(level);
            Part {
                who,
                aim,
                gobo,
                level,
                figure: None,
                prism: extra,
                frost: level.0,
                haze: if extra { 0.3 } else { 0.0 },
                ..part
            }
        },
    )
}

/// A rig without some of its lights, groups and marks.
fn thinned(mut rig: Rig, out: &[bool; 24]) -> Rig {
    let gone = |place: usize| out[place % out.len()];
    let numbers: Vec<u32> = rig.units.iter().map(|unit| unit.number).collect();
    let groups: Vec<(String, Vec<u32>)> = rig
        .groups
        .iter()
        .map(|group| (group.name.clone(), group.units.iter().map(|unit| numbers[*unit]).collect()))
        .collect();
    let mut place = 0;
    rig.units.retain(|_| {
        place += 1;
        !gone(place)
    });
    rig.room.marks.retain(|mark| !gone(mark.name.len()));
    rig.groups = groups
        .into_iter()
        .filter(|(name, _)| !gone(name.len() + 5))
        .map(|(name, numbers)| lanthorn_rig::Group {
            name,
            units: numbers.iter().filter_map(|number| rig.index_of(*number)).collect(),
        })
        .filter(|group| !group.units.is_empty())
        .collect();
    rig
}

/// Answers to some of the questions, by what is offered first.
fn some_answers(show: &Show, home: &Rig, there: &Rig, every: usize) -> Names {
    let mut names = Names::default();
    for question in questions(show, home, there, &Names::default()).into_iter().step_by(every.max(1)) {
        let near = question.near.first().cloned();
        let lights = near.clone().map_or(LightsFor::Nothing, |near| match near.parse() {
            Ok(number) => LightsFor::Units(vec![number]),
            Err(_) => LightsFor::Group(near),
        });
        match question.name {
            Name::Mark(name) => names.marks.push((name, near.map_or(PlaceFor::Nothing, PlaceFor::Mark))),
            Name::Group(name) => names.groups.push((name, lights)),
            Name::Light(number) => names.lights.push((number, lights)),
        }
    }
    names
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_looks_between_any_rigs(
        parts in prop::collection::vec(any_part(), 0..6),
        (from, to) in (0..6_usize, 0..6_usize),
        (out_from, out_to) in (any::<[bool; 24]>(), any::<[bool; 24]>()),
        answered in 1..4_usize,
    ) {
        let home = thinned(FILES[from].1.rig.clone(), &out_from);
        let there = FILES[to].1.clone();
        let there = ShowFile {
            rig: thinned(there.rig, &out_to),
            swatches: FILES[HALL].1.swatches.clone(),
            ..there
        };
        let look = Look { name: "any".to_owned(), fade: lanthorn_physics::Span::ZERO, parts };
        let show = Show { looks: vec![look], ..Show::default() };
        let names = some_answers(&show, &home, &there.rig, answered);
        prop_assert_eq!(names.check(&show, &home, &there.rig), Ok(()));
        let carried = carry(&show, &home, &there.rig, &names);
        nothing_is_lost(&show, &carried);
        if answered == 1 {
            prop_assert!(questions(&show, &home, &there.rig, &names).is_empty());
        }
        for finding in carried.looks.iter().flat_map(|look| &look.findings) {
            prop_assert!(!finding.what.is_empty() && !finding.place.is_empty() && !finding.remedy.is_empty());
            prop_assert!(!finding.what.contains("NaN") && !finding.figure.iter().any(|f| f.contains("NaN")));
        }
        // What comes out can be read: it names nothing that is not there.
        let written = write_show(&ShowFile { show: Show { name: "x".to_owned(), ..carried.show }, ..there }.carrying());
        prop_assert!(read_show(&written).0.is_some(), "{:?}\n{written}", read_show(&written).1);
    }
}

#[test]
fn figures_are_written_with_their_new_centres() {
    let (demo, _) = &FILES[HALL];
    let show = format!(
        "{demo}\n[[figure]]\nname = \"ring\" # about the cake\nshape = \"circle\"\nsize = \"1 m\"\nspeed = \"6 s\"\n\
         centre = \"cake\" # the mark\n\n[[figure]]\nname = \"arc\"\nshape = \"circle\"\nsize = \"1 m\"\nspeed = \"6 s\"\n\
         centre = [-3, -5, 0]\n\n[[look]]\nname = \"Rings\"\n[[look.part]]\nwho = \"washes\"\nfigure = \"ring\"\n\
         [[look.part]]\nwho = \"spots\"\nfigure = \"arc\"\n"
    );
    let show_file = file(&show);
    let there_text = built_in_room("barn").unwrap().replace("name = \"cake\"\nat", "name = \"tart\"\nat");
    let there = file(&there_text);
    let go = |answer| {
        let names = Names { marks: vec![("cake".to_owned(), answer)], ..Names::default() };
        let carried = carry(&show_file.show, &show_file.rig, &there.rig, &names);
        nothing_is_lost(&show_file.show, &carried);
        let (from, to) =
            (Written { text: &show, file: &show_file }, Written { text: &there_text, file: &there });
        let text = carried_text(from, to, &carried);
        assert_eq!(file(&text), carried_file(&show_file, &there, &carried));
        text
    };
    let text = go(PlaceFor::Mark("tart".to_owned()));
    assert!(
        text.contains("name = \"ring\" # about the cake") && text.contains("centre = \"tart\" # the mark")
    );
    assert!(text.contains("centre = [-1.94, -4.75, 0]"), "{text}");
    let text = go(PlaceFor::Nothing);
    assert!(text.contains("# about the cake") && !text.contains("# the mark"), "{text}");
}
