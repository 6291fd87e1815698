//! The library's description of a light in place of the show's own.

use lanthorn_fixture::Fact;
use lanthorn_physics::units::Watts;
use lanthorn_store::library::{self, Source, identity};
use lanthorn_store::{shipped_profile, write_profile};

use super::{changed, read, refused};

/// Four lights of one kind side by side, and one of another behind them.
const SHOW: &str = "\
lanthorn = 1\n\n[show]\nname = \"Spring dance\"\n\n[room]\nname = \"old school\"\nx = [-5, 5]\ny = [-9, 3]\nheight = \"4 m\"\n\n\
[[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, 3.5]\nlength = \"8 m\"\n\n\
[[unit]]\nnumbers = \"1-2\"\nprofile = \"RGBW par\"\nmode = \"8 channels\"\nplace = \"bar\"\nat = [-2, -1]\naddress = \"1.001\"\n\n\
[[unit]]\nnumber = 3\nprofile = \"RGB par\"\nplace = \"bar\"\nat = \"1 m\"\naddress = \"1.017\" # right behind\n";

/// The show, carrying another text of the RGBW par.
fn carrying(from: &str, to: &str) -> String {
    let text = write_profile(&shipped_profile("RGBW par").expect("it is shipped"));
    let other = text.replacen(from, to, 1);
    assert_ne!(other, text, "{from}");
    let within = other.replace("\n[[", "\n[[profile.").replace("\n[", "\n[profile.");
    let within = within.replace("[profile.[profile.", "[[profile.");
    format!("{SHOW}\n# as we measured it\n[[profile]]\n{within}\n# the end\n")
}

const TAKE: &str = r#"{ "type": "profile_take", "name": "RGBW par" }"#;

#[test]
fn an_offer_is_told_and_changes_nothing_until_it_is_taken() {
    let text = carrying("watts = \"72 W\"", "watts = \"66 W\"");
    let file = read(&text);
    let offers = library::offers(&file.profiles, &file.rig);
    assert_eq!(offers.len(), 1, "{offers:?}");
    let offer = &offers[0];
    assert_eq!((offer.source, &offer.lights[..]), (Source::Shipped, &[1, 2][..]));
    let told: Vec<String> = offer.differences.iter().map(ToString::to_string).collect();
    assert_eq!(told, ["power at full: 66 W is now 72 W"]);
    assert_eq!(file.rig.units[0].profile.power.watts, Fact::stated(Watts::new(66.0)));

    let (after, says) = changed(&text, TAKE);
    assert_eq!(
        says,
        "\"RGBW par\" is described as in the library now: 1 difference; it concerns lights 1 and 2."
    );
    let taken = read(&after);
    assert_eq!(taken.rig.units[0].profile, shipped_profile("RGBW par").unwrap());
    assert_eq!(taken.profiles.len(), 1);
    assert!(library::offers(&taken.profiles, &taken.rig).is_empty());
    assert!(after.starts_with(SHOW), "every other byte stays");
    let why = refused(&after, TAKE);
    assert_eq!(
        why,
        "the show has the library's description of \"RGBW par\" already: there is nothing to take"
    );
}

#[test]
fn only_what_was_looked_at_is_taken() {
    let text = carrying("watts = \"72 W\"", "watts = \"66 W\"");
    let now = identity(&shipped_profile("RGBW par").unwrap());
    let with =
        |digits: &str| format!(r#"{{ "type": "profile_take", "name": "RGBW par", "identity": "{digits}" }}"#);
    let why = refused(&text, &with("0123456789ab"));
    assert!(why.contains(&format!("the library has {now} of \"RGBW par\" now, not 0123456789ab")), "{why}");
    changed(&text, &with(&now.to_string()));
    let why = refused(&text, r#"{ "type": "profile_take", "name": "RGBW pat" }"#);
    assert!(why.contains("did you mean \"RGBW par\"?"), "{why}");
}

#[test]
fn a_mode_in_use_that_is_gone_is_named() {
    let text = carrying("name = \"8 channels\"", "name = \"eight\"")
        .replace("mode = \"8 channels\"", "mode = \"eight\"");
    let why = refused(&text, TAKE);
    assert_eq!(
        why,
        "lights 1 and 2 are in mode \"eight\", which the other description does not have (it has \"4 channels\" and \
         \"8 channels\"): put them into a mode that both have first"
    );
}

/// The show's own chart is a channel shorter: taken, the lights need more and meet each other.
#[test]
fn lights_that_grow_are_told_and_moved_where_they_collide() {
    let speed = write_profile(&shipped_profile("RGBW par").unwrap());
    let last = &speed[speed.rfind("\n[[mode.channel]]").unwrap()..];
    let text = carrying(last, "\n").replace("address = \"1.001\"", "address = [\"1.001\", \"1.008\"]");
    let text = text.replace("1.017", "1.015");
    assert_eq!(read(&text).rig.units[0].mode().footprint(), 7);
    let (after, says) = changed(&text, TAKE);
    assert_eq!(
        says,
        "\"RGBW par\" is described as in the library now: 2 differences; it concerns lights 1 and 2. Lights 1 and 2 take 8 \
         channels instead of 7. Light 2 answers at 1.018 now."
    );
    let file = read(&after);
    let at: Vec<String> = file.rig.units.iter().map(|unit| unit.address().unwrap().to_string()).collect();
    assert_eq!(at, ["1.001", "1.018", "1.015"]);
}

#[test]
fn a_show_that_only_names_a_light_is_not_changed_by_the_library() {
    let file = read(SHOW);
    assert!(file.profiles.is_empty());
    for unit in &file.rig.units {
        assert_eq!(Some(&unit.profile), library::meant_by_name(&unit.profile.name).as_ref());
    }
    assert!(library::offers(&file.profiles, &file.rig).is_empty());
    let (after, _) = changed(SHOW, TAKE);
    assert_eq!(read(&after).profiles, [shipped_profile("RGBW par").unwrap()]);
}
