//! Shows carried to other rooms, from outside and through machine and stand-in.

use std::path::Path;
use std::sync::Arc;

use lanthorn_live::Machine;
use lanthorn_live::engine::PERIOD;
use lanthorn_physics::{Direction, Instant, Point};
use lanthorn_rehearsal::StandIn;
use lanthorn_rig::Rig;
use lanthorn_show::carry::{Carried, Names, carry};
use lanthorn_show::figure::Course;
use lanthorn_show::{Aim, Look, Show, Who};
use lanthorn_store::carry::{Written, carried_text};
use lanthorn_store::{DEMO_TEXT, ShowFile, built_in_room, read_show};

use super::{lanthorn, text};

/// Nearer than this to the middle of the beam, a mark is hit.
const HIT_M: f64 = 0.1;

/// Long enough for motors to come to rest.
const SETTLED_S: f64 = 6.0;

/// Long enough for every figure of the supper to go round.
const ROUND_S: f64 = 10.0;

/// Points of a figure that its light is to keep to.
const POINTS: usize = 256;

/// Lens and direction of a beam.
type Beam = (Point, Direction);

fn file(text: &str) -> ShowFile {
    let (file, problems) = read_show(text);
    file.unwrap_or_else(|| panic!("{problems:?}"))
}

fn carried(show: &ShowFile, there: &ShowFile) -> Carried {
    carry(&show.show, &show.rig, &there.rig, &Names::default())
}

/// Every light that a look aims, with its point, or the points of its figure: a later sentence wins, and a line is shared
/// out by order. Written apart from the player, so that one checks the other.
fn aims(look: &Look, show: &Show, rig: &Rig) -> Vec<(usize, Vec<Point>)> {
    let mut aims: Vec<Option<Vec<Point>>> = vec![None; rig.units.len()];
    for part in &look.parts {
        let units: Vec<usize> = match &part.who {
            Who::All => (0..rig.units.len()).collect(),
            Who::Group(name) => rig.group(name).unwrap().units.clone(),
            Who::Units(numbers) => numbers.iter().map(|number| rig.index_of(*number).unwrap()).collect(),
        };
        for (place, unit) in units.iter().enumerate() {
            aims[*unit] = part.aim.as_ref().map(|aim| match aim {
                Aim::Mark(mark) => vec![rig.room.mark(mark).unwrap().at],
                Aim::At(at) => vec![*at],
                Aim::Line { from, to } => {
                    vec![from.lerp(*to, place as f64 / (units.len().max(2) - 1) as f64)]
                }
            });
        }
    }
    for course in Course::of_look(look, show, rig) {
        aims[course.unit] = Some(course.points(POINTS).collect());
    }
    aims.into_iter().enumerate().filter_map(|(unit, aim)| Some((unit, aim?))).collect()
}

/// The beams of all lights once a look has settled, first heads, several times while figures run.
fn settled(show: &Show, rig: &Rig, look: &str) -> Vec<Vec<Beam>> {
    let show = Show { start: Some(look.to_owned()), ..show.clone() };
    let runs =
        show.looks.iter().any(|one| one.name == look && one.parts.iter().any(|part| part.figure.is_some()));
    let until = if runs { SETTLED_S + ROUND_S } else { SETTLED_S };
    let rig = Arc::new(rig.clone());
    let mut stand_in = StandIn::new(rig.clone());
    let mut machine = Machine::new(Arc::new(show), rig.clone());
    let mut beams = vec![Vec::new(); rig.units.len()];
    let mut now = Instant::ZERO;
    while now.secs() <= until {
        stand_in.take(machine.tick(now), now);
        if now.secs() >= SETTLED_S {
            for (light, beams) in stand_in.lights().iter().zip(&mut beams) {
                beams.push((light.heads[0].from, light.heads[0].along));
            }
        }
        now = now + PERIOD;
    }
    assert!(runs || stand_in.lights().iter().all(|light| !light.moving), "{look} has settled");
    beams
}

/// How far from its point, or from the path of its figure, a beam passes at the worst moment.
fn worst(at: &[Point], beams: &[Beam]) -> f64 {
    let off = |beam: &Beam| at.iter().map(|at| off_axis(*at, *beam)).fold(f64::INFINITY, f64::min);
    beams.iter().map(off).fold(0.0, f64::max)
}

/// Distance from a point to the axis of a beam.
fn off_axis(at: Point, (from, along): Beam) -> f64 {
    let (a, b, d): ([f64; 3], [f64; 3], [f64; 3]) = (from.into(), at.into(), along.into());
    let to: Vec<f64> = (0..3).map(|axis| b[axis] - a[axis]).collect();
    let ahead: f64 = (0..3).map(|axis| to[axis] * d[axis]).sum();
    let squared: f64 = (0..3).map(|axis| (to[axis] - d[axis] * ahead.max(0.0)).powi(2)).sum();
    squared.sqrt()
}

/// Compares the findings with where the stand-in's beams really are. Returns how many aims hit, and how many do not.
fn compare(carried: &Carried, there: &Rig) -> (usize, usize) {
    let (mut hits, mut misses) = (0, 0);
    for (look, report) in carried.show.looks.iter().zip(&carried.looks) {
        let listed = |number: u32| {
            report.findings.iter().any(|finding| {
                matches!(finding.code, "out-of-reach" | "stands-still") && finding.units.contains(&number)
            })
        };
        let beams = settled(&carried.show, there, &look.name);
        for (unit, at) in aims(look, &carried.show, there) {
            let number = there.units[unit].number;
            let off = worst(&at, &beams[unit]);
            assert_eq!(listed(number), off > HIT_M, "{}, light {number}: {off:.3} m off", look.name);
            if off > HIT_M { misses += 1 } else { hits += 1 }
        }
    }
    (hits, misses)
}

#[test]
fn every_reachable_mark_is_hit_in_the_gym_and_the_barn() {
    let demo = file(DEMO_TEXT);
    // Every head of both rooms has 16-bit pan and tilt; 8-bit ones are looked at below.
    for (room, aims) in [("gym", 44), ("barn", 24)] {
        let there = file(built_in_room(room).unwrap());
        let carried = carried(&demo, &there);
        assert_eq!(compare(&carried, &there.rig), (aims, 0), "{room}");
        assert!(carried.looks.iter().all(|look| look.sentences[0] == look.sentences[1]), "{room}");
    }
}

#[test]
fn what_is_out_of_reach_is_listed_and_nothing_else() {
    let demo = file(DEMO_TEXT);
    let barn = built_in_room("barn").unwrap();
    // The cake hangs from the roof: too steep for the heads nearest to it. And light 7, which does not move, is a wash.
    let high = barn.replace("at = [-1.9, -0.3, 1.0]", "at = [-1.9, -0.3, 3.55]");
    let still = barn.replace("name = \"washes\"\nunits = \"1-4\"", "name = \"washes\"\nunits = [1, 4, 7]");
    // Eight bits over 540° and 270° are steps of 2.1° and 1.1°: 10 cm only at throws of some two metres and less.
    let coarse = barn.replace("mode = \"16 channels\"", "mode = \"10 channels\"");
    assert!(high != barn && still != barn && coarse != barn);
    for (name, text) in [("high", &high), ("still", &still)] {
        let there = file(text);
        let (hits, misses) = compare(&carried(&demo, &there), &there.rig);
        assert!(hits > 15 && misses > 0, "{name}: {hits} hit, {misses} not");
    }
    let there = file(&coarse);
    let carried = carried(&demo, &there);
    for look in &carried.show.looks {
        let beams = settled(&carried.show, &there.rig, &look.name);
        for (unit, at) in aims(look, &carried.show, &there.rig) {
            let eight_bit = there.rig.units[unit].mode().name == "10 channels";
            let step = if eight_bit { (540.0 / 255.0_f64).to_radians() } else { 0.0 };
            let allowed = HIT_M + beams[unit][0].0.distance(at[0]).get() * step;
            assert!(
                worst(&at, &beams[unit]) < allowed,
                "{}, light {}",
                look.name,
                there.rig.units[unit].number
            );
        }
    }
}

#[test]
fn there_and_back_again() {
    let demo = file(DEMO_TEXT);
    for room in ["gym", "barn"] {
        let text = built_in_room(room).unwrap();
        let there = file(text);
        let out = carried_text(
            Written { text: DEMO_TEXT, file: &demo },
            Written { text, file: &there },
            &carried(&demo, &there),
        );
        let out = file(&out);
        assert_eq!(out.rig, there.rig);
        let back = carried(&out, &demo).show;
        assert_eq!((&back.chases, &back.cues), (&demo.show.chases, &demo.show.cues));
        assert_eq!((back.tempo, &back.start), (demo.show.tempo, &demo.show.start));
        for (before, after) in demo.show.looks.iter().zip(&back.looks) {
            assert_eq!((&before.name, before.fade), (&after.name, after.fade));
            assert_eq!(before.parts.len(), after.parts.len());
            for (before, after) in before.parts.iter().zip(&after.parts) {
                match (&before.aim, &after.aim) {
                    (Some(Aim::Line { from, to }), Some(Aim::Line { from: a, to: b })) => {
                        let off = from.distance(*a).get().max(to.distance(*b).get());
                        assert!(off < 0.02, "{room}: {from:?} {to:?} came back as {a:?} {b:?}");
                    }
                    (before, after) => assert_eq!(before, after),
                }
                let mut same = after.clone();
                same.aim = before.aim.clone();
                assert_eq!(&same, before, "{room}");
            }
        }
    }
}

/// A room of its own: the gym with other names.
fn church(folder: &Path) {
    let text = built_in_room("gym")
        .unwrap()
        .replace("name = \"cake\"\nat", "name = \"font\"\nat")
        .replace("name = \"spots\"", "name = \"movers\"")
        .replace("name = \"speaker\"\nat", "name = \"Spea ker\"\nat")
        .replace("number = 11", "number = 31");
    std::fs::write(folder.join("church.show.toml"), text).unwrap();
}

#[test]
fn missing_names_are_all_listed_and_answers_work() {
    let folder = tempfile::tempdir().unwrap();
    church(folder.path());
    let asked = lanthorn(folder.path(), &["carry", "demo", "--to", "church"]);
    let said = text(&asked.stderr);
    assert_eq!((asked.status.code(), text(&asked.stdout).as_str()), (Some(2), ""), "{said}");
    for words in [
        "carry demo: 3 names mean nothing in school gym",
        "the mark \"cake\" (in Cake): --mark cake=",
        "--mark cake=none",
        "the group \"spots\" (in Supper, Cake, Sheaves, Gathered, Crossed): --group spots=movers",
        "the light 11 (in Sheaves, Gathered, Crossed): --light 11=31",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let json = lanthorn(folder.path(), &["carry", "demo", "--to", "church", "--json"]);
    assert_eq!(json.status.code(), Some(2));
    let printed: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(printed["questions"].as_array().unwrap().len(), 3);

    let answers = ["--mark", "cake=font", "--group", "spots=movers", "--light", "11=31"];
    let done = lanthorn(folder.path(), &[&["carry", "demo", "--to", "church"][..], &answers].concat());
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let report = text(&done.stdout);
    for words in
        ["Supper (at the start; cues 1, 3, 6, 12): 4 of 4 sentences", "demo-church.show.toml is written"]
    {
        assert!(report.contains(words), "{words}: {report}");
    }
    let path = folder.path().join("demo-church.show.toml");
    let written = std::fs::read_to_string(&path).unwrap();
    for words in
        ["aim = \"font\"", "who = \"movers\"", "who = [31]", "aim = \"Spea ker\"", "# painted", "# beams fan"]
    {
        // The remark of the hall's bar stays in the hall.
        assert_eq!(written.contains(words), words != "# painted", "{words}: {written}");
    }
    assert_eq!(lanthorn(folder.path(), &["check", "demo-church"]).status.code(), Some(0));

    let again = lanthorn(folder.path(), &[&["carry", "demo", "--to", "church"][..], &answers].concat());
    assert_eq!(again.status.code(), Some(2));
    assert!(text(&again.stderr).contains("there is a file already"), "{}", text(&again.stderr));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), written);
}

#[test]
fn points_groups_for_lights_and_leaving_out() {
    let folder = tempfile::tempdir().unwrap();
    church(folder.path());
    let options =
        "carry demo --to church --out there --json --group spots=5,6 --light 11=none --light 2=movers";
    let mut words: Vec<&str> = options.split(' ').collect();
    words.extend(["--mark", "cake=0.5, -2, 1"]);
    let done = lanthorn(folder.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    let printed: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!(printed["file"], "there.show.toml");
    let codes = |look: usize| -> Vec<&str> {
        let findings = printed["looks"][look]["findings"].as_array().unwrap();
        findings.iter().map(|finding| finding["code"].as_str().unwrap()).collect()
    };
    assert!(codes(3).contains(&"left-out"), "{printed}");
    assert_eq!(printed["looks"][3]["sentences"], serde_json::json!([3, 4]));
    assert!(codes(2).contains(&"renamed"));
    let file = file(&std::fs::read_to_string(folder.path().join("there.show.toml")).unwrap());
    let looks = &file.show.looks;
    assert_eq!(looks[2].parts[0].aim, Some(Aim::At(Point::new(0.5, -2.0, 1.0))));
    assert_eq!(looks[2].parts[1].who, Who::Units(vec![5, 6]));
    assert_eq!(looks[1].parts[0].who, Who::Units(vec![5, 13, 14, 6, 3]));
    assert_eq!(looks[3].parts.len(), 3);
}

#[test]
fn wrong_answers_and_files_are_said() {
    let folder = tempfile::tempdir().unwrap();
    church(folder.path());
    let wrong = built_in_room("gym").unwrap().replace("height = \"7 m\"", "height = \"7 kg\"");
    std::fs::write(folder.path().join("wrong.show.toml"), wrong).unwrap();
    for (words, said) in [
        (&["--to", "nowhere"][..], "nowhere"),
        (&["--to", "wrong"], "wrong.show.toml:"),
        (&["--to", "church", "--mark", "cake"], "--mark cake: write it like --mark cake=table"),
        (
            &["--to", "church", "--mark", "cake=altar"],
            "the mark \"cake\" cannot be \"altar\": school gym has the marks",
        ),
        (&["--to", "church", "--mark", "piano=font"], "no look of the show names the mark \"piano\""),
        (&["--to", "church", "--mark", "cake=1,2,NaN"], "three lengths in metres"),
        (
            &["--to", "church", "--group", "spots=99"],
            "the group \"spots\" cannot be \"99\": school gym has the lights",
        ),
        (&["--to", "church", "--light", "two=3"], "the number of a light"),
        (&[], "--to"),
    ] {
        let done = lanthorn(folder.path(), &[&["carry", "demo"][..], words].concat());
        let heard = text(&done.stderr);
        assert_eq!(done.status.code(), Some(2), "{words:?}: {heard}");
        assert!(heard.contains(said), "{words:?}: {heard}");
    }
    let show_wrong = lanthorn(folder.path(), &["carry", "wrong", "--to", "gym"]);
    assert!(text(&show_wrong.stderr).contains("wrong.show.toml:13: "), "{}", text(&show_wrong.stderr));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "nothing was written");
}

#[test]
fn the_built_in_rooms_work_in_every_command() {
    let folder = tempfile::tempdir().unwrap();
    for room in ["gym", "barn"] {
        for words in [&["check", room][..], &["plan", room], &["frames", room, "--at", "3"]] {
            let done = lanthorn(folder.path(), words);
            assert_eq!(done.status.code(), Some(0), "{words:?}: {}", text(&done.stderr));
            assert_eq!(text(&done.stderr), "", "{words:?}");
        }
        let made = lanthorn(folder.path(), &["new", room, "--from", room]);
        assert_eq!(made.status.code(), Some(0), "{}", text(&made.stderr));
        assert_eq!(lanthorn(folder.path(), &["carry", room, "--to", "demo"]).status.code(), Some(0));
    }
}
