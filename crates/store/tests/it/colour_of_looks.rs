//! Ways of mixing, meeting and responses in the file, and what is doubted about them.

use lanthorn_fixture::Encoder;
use lanthorn_fixture::profile::Response;
use lanthorn_physics::Instant;
use lanthorn_physics::colour::{Chromaticity, Objective};
use lanthorn_physics::units::Watts;
use lanthorn_rig::RigState;
use lanthorn_show::Player;
use lanthorn_store::{ShowFile, read_show, write_show};
use std::sync::Arc;

const SHOW: &str = r#"
lanthorn = 1

[show]
name = "meeting"
start = "met"

[room]
name = "hall"
x = [-5, 5]
y = [-8, 5]
height = "4 m"

[[room.mark]]
name = "cake"
at = [0, 1, 1]

[[room.place]]
name = "front bar"
kind = "bar"
middle = [0, -3, 3.5]
length = "8 m"

[[unit]]
number = 1
profile = "small wash head"
place = "front bar"
at = -1
address = "1.001"

[[unit]]
number = 2
profile = "RGB par"
place = "front bar"
at = 3.5
focus = "cake"
address = "1.101"

[[unit]]
number = 3
profile = "small spot head"
place = "front bar"
at = 0
address = "1.201"

[[look]]
name = "met"

[[look.part]]
who = [1, 2]
aim = "cake"
colour = "COLOUR"
KEYS
"#;

fn read(colour: &str, keys: &str) -> (ShowFile, Vec<String>) {
    let mut text = SHOW.replace("COLOUR", colour).replace("KEYS", keys);
    // Modes: the first of each profile.
    for (profile, mode) in
        [("small wash head", "14 channels"), ("RGB par", "3 channels"), ("small spot head", "16 channels")]
    {
        let line = format!("profile = \"{profile}\"\n");
        text = text.replace(&line, &format!("{line}mode = \"{mode}\"\n"));
    }
    let (file, problems) = read_show(&text);
    let said: Vec<String> = problems.iter().map(|problem| problem.in_file("s")).collect();
    (file.unwrap_or_else(|| panic!("{said:?}")), said)
}

/// Level and colour of the first head of lights 1 and 2, and the light they send, in candela.
fn shown(file: &ShowFile) -> Vec<(f64, Option<Chromaticity>, f64)> {
    let rig = Arc::new(file.rig.clone());
    let mut out = RigState::dark(&rig);
    Player::new(Arc::new(file.show.clone()), rig.clone()).frame(Instant::from_secs(10.0), &mut out);
    let of = |place: usize| {
        let head = out.units[place].heads[0];
        let encoder = Encoder::new(&rig.units[place].profile, rig.units[place].mode);
        let most = encoder.max_candela().map_or(f64::NAN, lanthorn_physics::units::Candela::get);
        (head.level, head.colour, head.level * most * encoder.luminance_share(head.colour))
    };
    vec![of(0), of(1)]
}

#[test]
fn unlike_lights_meet_on_colour_and_light() {
    let (apart, said) = read("3000 K", "level = 1");
    assert_eq!(said, Vec::<String>::new());
    let apart = shown(&apart);
    assert!(apart.iter().all(|(level, ..)| (level - 1.0).abs() < 1e-12));
    let (file, _) = read("3000 K", "level = 1\nmatch = true");
    let met = shown(&file);
    assert_eq!(met[0].1, met[1].1);
    // The same light on the cake, whatever the throw, and the weaker one all open.
    let at = file.rig.room.mark("cake").unwrap().at;
    let lux = |place: usize| {
        let throw = file.rig.position(&file.rig.units[place]).distance(at).get();
        met[place].2 / (throw * throw)
    };
    assert!((lux(0) / lux(1) - 1.0).abs() < 1e-9, "{} {}", lux(0), lux(1));
    assert!(met.iter().any(|(level, ..)| (level - 1.0).abs() < 1e-12), "{met:?}");
    // Half as bright to the eye: a quarter of the light of each.
    let (half, _) = read("3000 K", "level = 0.5\nmatch = true");
    assert!((shown(&half)[0].2 / met[0].2 - 0.25).abs() < 1e-9);
}

#[test]
fn a_colour_that_not_all_can_make_is_met_with_its_hue_and_said() {
    // The spectral locus at 490 nm: beyond every one of them.
    let (file, said) = read("xy 0.0454 0.295", "match = true");
    let met = shown(&file);
    let colour = met[0].1.unwrap();
    assert_eq!(met[0].1, met[1].1);
    for unit in &file.rig.units[..2] {
        assert!(Encoder::new(&unit.profile, unit.mode).reached(Some(colour)), "{colour:?}");
    }
    assert!(
        said.iter().any(|line| line.contains("not all of these lights can make xy 0.0454 0.295")),
        "{said:?}"
    );
}

#[test]
fn a_wheel_takes_its_nearest_and_it_is_said() {
    let text_of = |who: &str| {
        let (_, said) = read(
            "amber",
            &format!("match = true\n\n[[look.part]]\nwho = {who}\ncolour = \"lilac\"\nmatch = true"),
        );
        said
    };
    let said = text_of("[1, 3]");
    assert!(
        said.iter().any(|line| line.contains("light 3 (small spot head) has no way to make lilac: nearest is slot ")),
        "{said:?}"
    );
}

#[test]
fn ways_of_mixing_are_read_written_and_played() {
    for (word, objective) in [
        ("most light", Objective::MostLight),
        ("best rendering", Objective::BestRendering),
        ("least power", Objective::LeastPower),
    ] {
        let (file, said) = read("3000 K", &format!("mixing = \"{word}\"\nmatch = true"));
        let part = &file.show.looks[0].parts[0];
        assert_eq!((part.mixing, part.matched), (objective, true));
        let doubted = said
            .iter()
            .any(|line| line.contains("nobody knows what each emitter of \"small wash head\" draws"));
        assert_eq!(doubted, objective == Objective::LeastPower, "{said:?}");
        let written = write_show(&file);
        assert_eq!(read_show(&written).0.unwrap(), file, "{written}");
        let rig = Arc::new(file.rig.clone());
        let mut out = RigState::dark(&rig);
        Player::new(Arc::new(file.show.clone()), rig).frame(Instant::from_secs(1.0), &mut out);
        assert_eq!(out.units[0].heads[0].mixing, objective);
    }
}

const PROFILE: &str = r#"
name = "measured par"
kind = "par"

[optics]
response = RESPONSE

[[emitter]]
name = "red"
does = "ColorAdd_R"
colour = [0.69, 0.31]
output = 1
watts = "3 W"

[[mode]]
name = "1 channel"

[[mode.channel]]
at = 1
name = "red"
does = "ColorAdd_R"
"#;

#[test]
fn a_measured_response_is_read_and_written() {
    let read = |response: &str| lanthorn_store::read_profile(&PROFILE.replace("RESPONSE", response));
    let (profile, problems) = read("{ derived = [[0, 0], [0.25, 8], [0.5, 31], [0.75, 70], [1, 125]] }");
    assert!(problems.iter().all(|problem| !problem.is_error()), "{problems:?}");
    let profile = profile.unwrap();
    let Some(Response::Measured(curve)) = profile.optics.response.value() else { panic!("{profile:?}") };
    assert!((curve.points()[2][1] - 31.0 / 125.0).abs() < 1e-12, "{curve:?}");
    assert_eq!(profile.emitters[0].watts.value(), Some(Watts::new(3.0)));
    let written = lanthorn_store::write_profile(&profile);
    assert_eq!(lanthorn_store::read_profile(&written).0.unwrap(), profile, "{written}");
    for (wrong, says) in [
        ("[[0, 0], [0.5, 9], [0.4, 10], [1, 12]]", "must rise"),
        ("[[0, 0]]", "2 to 11 points"),
        ("[[0, 0], [0.5]]", "[0.5, 120]"),
        ("\"cubic\"", "linear"),
    ] {
        let said: Vec<String> = read(wrong).1.iter().map(|problem| problem.in_file("p")).collect();
        assert!(said.iter().any(|line| line.contains(says)), "{wrong}: {said:?}");
    }
}
