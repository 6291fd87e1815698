//! What was found out about lights in the room, in a show file.

use lanthorn_physics::units::{Radians, Seconds};
use lanthorn_physics::{Point, Rotation};
use lanthorn_rig::aim::{Head, beam_in_world};
use lanthorn_rig::sight::{Sight, sent_for, value_of_sent};
use lanthorn_store::{read_show, write_show};

const BASE: &str = include_str!("shows/base.show.toml");

const SIGHT: &str = "[[sight]]\nunit = 1\nmark = \"cake\"\nat = [1, -1, 1]\npan = 33211\ntilt = 20110\n";

fn said(extra: &str) -> Vec<String> {
    let (file, problems) = read_show(&format!("{BASE}\n{extra}"));
    assert_eq!(file.is_none(), problems.iter().any(|problem| problem.is_error()), "{problems:?}");
    problems.iter().map(|problem| problem.in_file("s")).collect()
}

#[test]
fn sights_and_findings_are_read_and_written() {
    let bare = "[[sight]]\nunit = 1\nat = [0.25, \"-350 cm\", 0]\npan = 0\ntilt = 65535\n";
    let found = "[[found]]\nunit = 1\npan = \"backwards\"\npan_time = \"3100 ms\"\ntilt_time = 1.9\n";
    let (file, problems) = read_show(&format!("{BASE}\n{bare}{SIGHT}{found}"));
    assert_eq!(problems, []);
    let file = file.unwrap();
    let light = &file.rig.unit(1).unwrap().found;
    let cake =
        Sight { mark: Some("cake".to_owned()), at: Point::new(1.0, -1.0, 1.0), pan: 33_211, tilt: 20_110 };
    let point = Sight { mark: None, at: Point::new(0.25, -3.5, 0.0), pan: 0, tilt: 65_535 };
    assert_eq!(light.sights, [point, cake], "in the order of the file");
    assert_eq!(light.pan_backwards, Some(true));
    assert_eq!((light.pan_time, light.tilt_time), (Some(Seconds::new(3.1)), Some(Seconds::new(1.9))));
    assert_eq!(file.rig.unit(2).unwrap().found.sights, []);
    let written = write_show(&file);
    let (again, problems) = read_show(&written);
    assert_eq!(problems, [], "{written}");
    assert_eq!(again.unwrap(), file, "{written}");
    assert!(!write_show(&read_show(BASE).0.unwrap()).contains("found"), "nothing found, nothing written");
}

#[test]
fn each_mistake_is_said_where_it_stands_and_with_what_to_do() {
    for (from, to, line, want) in [
        (
            "unit = 1",
            "unit = 9",
            77,
            "sight 1: `unit = 9`: there is no light 9; name a light that stands under `[[unit]]`, or take this out",
        ),
        ("unit = 1\n", "", 76, "sight 1: `unit` is missing; add `unit = 1`"),
        (
            "33211",
            "65536",
            80,
            "sight of unit 1: `pan = 65536`: a whole number from 0 to 65535 is meant here; write it without a point and without quotation marks",
        ),
        ("tilt = 20110\n", "", 76, "sight of unit 1: `tilt` is missing; add `tilt = 32768`"),
        ("at = [1, -1, 1]\n", "", 76, "sight of unit 1: `at` is missing; add `at = [0, 1.5, 1.2]`"),
        ("pan =", "pam =", 80, "sight of unit 1: `pam` means nothing here; did you mean `pan`?"),
        (
            "unit = 1",
            "unit = 2",
            77,
            "warning: sight 1: `unit = 2`: light 2 has no pan and tilt that could be sighted in; take this out, or check the light's profile and mode",
        ),
        (
            "[1, -1, 1]",
            "[1, -1, 1.05]",
            78,
            "warning: sight of unit 1: `mark = \"cake\"`: this mark is 5 cm from where the beam was when it was sighted; the sight counts for `at`; sight the light on it again if the mark stood wrong then; leave it if the mark was moved since",
        ),
        (
            "[1, -1, 1]",
            "[1, -3.5, 1]",
            78,
            "warning: sight of unit 1: `mark = \"cake\"`: this mark is 2.5 m from where the beam was when it was sighted; the sight counts for `at`; sight the light on it again if the mark stood wrong then; leave it if the mark was moved since",
        ),
        (
            "\"cake\"\nat = [1, -1, 1]",
            "\"a mark of another room\"\nat = [0, 0, 9]",
            79,
            "warning: sight of unit 1: `at = [0, 0, 9]`: this is outside the room: x -4 to 4, y -6 to 3, up to 4 m; check it; a point is in metres",
        ),
    ] {
        assert!(SIGHT.contains(from), "{from}");
        let said = said(&SIGHT.replacen(from, to, 1));
        assert!(said.contains(&format!("s:{line}: {want}")), "{from} -> {to}: {said:#?}");
    }
    assert_eq!(said(&SIGHT.replace("[1, -1, 1]", "[1.006, -1, 1.006]")), [""; 0], "a centimetre is nothing");
    assert_eq!(said(&SIGHT.replace("\"cake\"", "\"gone\"")), [""; 0], "the mark may be gone");
    assert_eq!(said(&SIGHT.repeat(100)), [""; 0]);
    assert_eq!(
        said(&SIGHT.repeat(101)),
        ["s:676: sight of unit 1: a light has at most 100 sights; take out the oldest"]
    );
}

#[test]
fn mistakes_in_findings_are_said_too() {
    let with = |lines: &str| said(&format!("[[found]]\nunit = 1\n{lines}"));
    assert_eq!(with(""), [""; 0]);
    for (lines, line, want) in [
        (
            "pan = \"back\"\n",
            78,
            "`pan = \"back\"`: this is one of \"forwards\", \"backwards\"; write one of these",
        ),
        ("pan_time = \"0.01 s\"\n", 78, "a time here runs from 0.1 to 120 s; check the figure"),
        ("tilt_time = nan\n", 78, "a time is a number that can be measured; write it such as \"2 s\""),
        (
            "tilt = \"backwards\"\n",
            78,
            "`tilt` means nothing here; known here: `pan`, `pan_time`, `tilt_time`, `unit`",
        ),
        (
            "[[found]]\nunit = 1\n",
            78,
            "found of unit 1: this light has such a table already (line 76); put both into one",
        ),
    ] {
        let said = with(lines);
        assert!(
            said.len() == 1 && said[0].starts_with(&format!("s:{line}: ")) && said[0].contains(want),
            "{lines}: {said:#?}"
        );
    }
}

#[test]
fn from_enough_sights_it_is_known_how_a_light_hangs() {
    let (file, _) = read_show(BASE);
    let rig = file.unwrap().rig;
    let unit = rig.unit(1).unwrap();
    // A light that hangs four degrees and twelve centimetres off, with pan running backwards.
    let mut hung = Head::new(&rig, unit).unwrap().pose();
    hung.pivot = hung.pivot.moved(0.09, -0.06, -0.05);
    hung.world_from_fixture = hung.world_from_fixture.then(Rotation::about_x(Radians::from_deg(4.0)));
    hung.pan.inverted = true;
    let movement = unit.profile.movement.as_ref().unwrap();
    let travels = [movement.pan_travel, movement.tilt_travel].map(|travel| travel.value().unwrap());
    let marks = [[1.0, -1.0, 1.0], [-3.0, 2.0, 0.5], [3.0, -5.0, 0.0], [-2.0, -4.5, 1.6], [2.5, 1.5, 2.0]];
    let sight = |at: [f64; 3]| {
        let sent = sent_for(&hung, travels, Point::from(at))[0];
        let [pan, tilt] = [value_of_sent(sent.pan, travels[0]), value_of_sent(sent.tilt, travels[1])];
        format!("[[sight]]\nunit = 1\nat = [{}, {}, {}]\npan = {pan}\ntilt = {tilt}\n\n", at[0], at[1], at[2])
    };
    let pose = |count: usize, extra: &str| {
        let sights: String = marks[..count].iter().map(|at| sight(*at)).collect();
        let (file, problems) = read_show(&format!("{BASE}\n{sights}{extra}"));
        assert_eq!(problems, []);
        file.unwrap().rig.unit(1).unwrap().found.pose
    };
    assert_eq!(pose(0, ""), None);
    assert_eq!(pose(2, ""), None, "two marks do not tell which way pan runs: the plan counts");
    let found = pose(5, "[[found]]\nunit = 1\npan = \"backwards\"\n").unwrap();
    assert!(found.pan.inverted);
    let away = found.pivot.distance(hung.pivot).get();
    // The plan, measured with a tape, has its say.
    assert!(away < 0.04, "{away}");
    for at in marks {
        // As the show would aim, seen by the light that hangs so.
        let sent = sent_for(&found, travels, Point::from(at))[0];
        let (pan, tilt) = (hung.pan.angle(sent.pan), hung.tilt.angle(sent.tilt));
        let beam = beam_in_world(hung.world_from_fixture, pan, tilt);
        let miss = beam.angle_to(hung.pivot.towards(Point::from(at)).unwrap());
        let off = hung.pivot.distance(Point::from(at)) * miss.get();
        assert!(off.get() < 0.08, "{at:?}: {off:.3}");
    }
}
