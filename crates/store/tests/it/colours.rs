//! Colours that lights have not got are said.

use lanthorn_show::colour_findings;
use lanthorn_store::{DEMO_TEXT, read_show};

/// What is said of one look of the demo after some words of its text were changed.
fn said(look: &str, changes: &[(&str, &str)]) -> Vec<String> {
    let text = changes.iter().fold(DEMO_TEXT.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replacen(old, new, 1)
    });
    let (Some(file), _) = read_show(&text) else { panic!("the demo can be read: {text}") };
    let findings = colour_findings(&file.show, &file.rig);
    findings.into_iter().filter(|f| f.place == format!("look {look}")).map(|f| f.what).collect()
}

#[test]
fn a_wheel_takes_its_nearest_slot_and_says_so() {
    let rose = said("Supper", &[("colour = \"amber\"", "colour = \"rose\"")]);
    assert_eq!(rose.len(), 1, "{rose:?}");
    assert!(
        rose[0].starts_with("Look Supper: lights 5 and 6 cannot show rose: slot ")
            && rose[0].contains("of the colour wheel is nearest"),
        "{rose:?}"
    );
    // A slot of the wheel itself, by its name or as its profile has it.
    assert_eq!(said("Supper", &[]), Vec::<String>::new());
    let own = [("colour = \"amber\"", "colour = \"xy 0.545 0.44\"")];
    assert_eq!(said("Supper", &own), Vec::<String>::new());
    // Nobody is lit, so nothing is missed.
    let dark = [(
        "colour = \"amber\"\ngobo = \"leaves\"\nlevel = \"90 %\"",
        "colour = \"rose\"\ngobo = \"leaves\"\nlevel = \"0 %\"",
    )];
    assert_eq!(said("Supper", &dark), Vec::<String>::new());
}

#[test]
fn emitters_that_cannot_mix_a_colour_say_what_they_make_of_it() {
    // A spectral green: no mix of red, green, blue and white is as deep.
    let green = said("Supper", &[("colour = \"lamplight\"", "colour = \"xy 0.08 0.83\"")]);
    assert_eq!(green.len(), 1, "{green:?}");
    assert!(
        green.iter().any(|what| what.contains("lights 7 and 8 cannot show xy 0.08 0.83")
            && what.contains("is the most of its hue")),
        "{green:?}"
    );
}
