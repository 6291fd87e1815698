//! Light levels in lux and measured beams: read, written, read again.

use lanthorn_fixture::{Encoder, Origin};
use lanthorn_physics::units::{Candela, Lux, Radians};
use lanthorn_show::{LuxAsk, Plane};
use lanthorn_store::{read_profile, read_show, write_profile, write_show};

const BASE: &str = include_str!("shows/base.show.toml");

const PROFILE: &str = r#"
name = "measured par"
kind = "par"
[optics]
response = "linear"
ies = '''
IESNA:LM-63-1995
[TEST] kitchen table
TILT=NONE
1 -1 1 5 1 1 2 0.1 0.1 0
1 1 30
0 10 20 40 90
0
4000 3000 1000 100 0
'''
[[mode]]
name = "1 channel"
[[mode.channel]]
at = 1
name = "dimmer"
does = "Dimmer"
"#;

fn said(level: &str) -> (Option<LuxAsk>, Vec<String>) {
    assert!(BASE.contains("level = \"80 %\""));
    let (file, problems) = read_show(&BASE.replacen("level = \"80 %\"", level, 1));
    let said = problems.iter().map(|problem| problem.in_file("s")).collect();
    let Some(file) = file else { return (None, said) };
    let (again, problems) = read_show(&write_show(&file));
    assert_eq!(problems, []);
    assert_eq!(again.map(|again| again.show).as_ref(), Some(&file.show));
    (file.show.looks[0].parts[0].lux, said)
}

#[test]
fn levels_in_lux() {
    for (text, lux, on) in [
        ("level = \"400 lx\"", 400.0, None),
        ("level = \"400lux\"\non = \"face\"", 400.0, Some(Plane::Face)),
        // 10.764 lx: NIST SP 811, footcandle.
        ("on = \"level\"\nlevel = \"10 fc\"", 107.639, Some(Plane::Level)),
    ] {
        let (ask, said) = said(text);
        let ask = ask.unwrap_or_else(|| panic!("{text}: {said:?}"));
        assert!((ask.lux / Lux::new(lux) - 1.0).abs() < 1e-5 && ask.on == on, "{text}: {ask:?}");
        assert_eq!(said, Vec::<String>::new());
    }
    assert_eq!(said("level = \"80 %\"").0, None);
    for (text, says) in [
        ("level = 0.5\non = \"face\"", "belongs to a level in lux"),
        ("level = \"400 lx\"\nlevel_to = 0.5", "one level"),
        ("level = \"0 lx\"", "from 0.1"),
        ("level = \"-3 lx\"", "from 0.1"),
        ("level = \"lots of lx\"", "light level"),
        ("level = \"400 lx\"\non = \"wall\"", "wall"),
    ] {
        let (ask, said) = said(text);
        assert!(ask.is_none() && said.iter().any(|line| line.contains(says)), "{text}: {said:?}");
    }
}

#[test]
fn a_measured_beam_says_what_is_not_stated() {
    let (profile, problems) = read_profile(PROFILE);
    assert_eq!(problems, []);
    let profile = profile.unwrap();
    let optics = &profile.optics;
    assert_eq!((optics.peak.value(), optics.peak.origin()), (Some(Candela::new(4000.0)), Origin::Derived));
    // Half of 4000 lies in the middle between 10° and 20°, a tenth (400) two thirds of the way from 20° to 40°.
    assert!((optics.beam.value().unwrap().deg() - 30.0).abs() < 1e-9);
    assert!((optics.field.value().unwrap().deg() - 2.0 * (20.0 + 20.0 * 2.0 / 3.0)).abs() < 1e-9);
    assert_eq!(Encoder::new(&profile, 0).max_candela(), Some(Candela::new(4000.0)));
    let written = write_profile(&profile);
    assert!(!written.contains("peak") && written.contains("kitchen table"), "{written}");
    assert_eq!(read_profile(&written).0.as_ref(), Some(&profile));

    let stated = PROFILE.replace("response =", "peak = \"5000 cd\"\nbeam = \"32°\"\nresponse =");
    let profile = read_profile(&stated).0.unwrap();
    assert_eq!(profile.optics.peak.value(), Some(Candela::new(5000.0)));
    assert_eq!(profile.optics.beam.value(), Some(Radians::from_deg(32.0)));
    assert_eq!(profile.optics.field.origin(), Origin::Derived);
    assert_eq!(read_profile(&write_profile(&profile)).0.as_ref(), Some(&profile));
}

#[test]
fn what_is_wrong_with_a_photometric_file_is_said_with_its_own_line() {
    for (from, to, says) in [
        ("0 10 20", "0 30 20", "line 6 of the photometric file: each vertical angle is larger"),
        ("TILT=NONE", "", "line 8 of the photometric file: there is no line that begins with TILT="),
        ("4000 3000", "0 3000", "no light along its axis"),
        ("LM-63-1995", "LM-63-2002", "says [TESTLAB]"),
    ] {
        let (_, problems) = read_profile(&PROFILE.replace(from, to));
        let said: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
        assert!(said.iter().any(|message| message.contains(says)), "{to}: {said:?}");
    }
    let (_, problems) = read_profile(&PROFILE.replace("ies = '''", "ies = 3\nx = '''"));
    assert!(problems.iter().any(|problem| problem.message.contains("text of a photometric file")));
}
