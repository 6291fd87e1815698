//! Looks, chases and cues in words.

use crate::common::*;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Hertz, Radians};
use lanthorn_physics::{Point, Span};
use lanthorn_show::{Aim, Ask, Chase, Cue, Level, Look, Order, Part, Show, Spread, StepTime, Who, tell};

fn asks(colours: &[(&str, Chromaticity)]) -> Vec<Ask> {
    colours.iter().map(|&(text, chromaticity)| Ask { text: text.to_owned(), chromaticity }).collect()
}

fn warm(units: &[u32], level: f64) -> Part {
    Part { colours: asks(&[("warm white", WARM)]), ..part(units, WARM, level) }
}

fn told(part: Part) -> String {
    tell::plain(&tell::look(&look("it", 1.0, vec![part]), &rig())[0])
}

#[test]
fn sentences_of_a_look() {
    let two = || asks(&[("amber", RED), ("rose", BLUE)]);
    for (part, sentence) in [
        (on("cake", warm(&[2, 3, 5], 0.62)), "Spots 2, 3 and bar 5 on the cake, warm white, 62 %."),
        (warm(&[1, 2, 3, 4, 99], 1.0), "Spots 1 to 4 and light 99, warm white, 100 %."),
        (Part { who: Who::Group("heads".to_owned()), ..warm(&[], 0.0) }, "Heads, warm white, dark."),
        (
            Part { who: Who::All, colours: two(), ..warm(&[], 0.4) },
            "All lights, amber and rose by turns, 40 %.",
        ),
        (
            Part { colours: two(), colour_spread: Spread::InOrder, ..warm(&[1, 2], 0.4) },
            "Spots 1, 2, amber to rose in order, 40 %.",
        ),
        (
            Part { level_to: Some(Level(0.2)), level_spread: Spread::FromTheMiddle, ..warm(&[1], 0.8) },
            "Spot 1, warm white, 80 to 20 % from the middle.",
        ),
        (
            Part { colours: Vec::new(), haze: 0.6, fan: 0.35, ..warm(&[6], 0.0) },
            "Hazer 6, haze 60 %, fan 35 %.",
        ),
        (
            Part {
                strobe: Some(Hertz::new(2.5)),
                gobo: Some("leaves".to_owned()),
                prism: true,
                zoom: Some(Radians::from_deg(12.0)),
                iris: 0.3,
                ..warm(&[1], 1.0)
            },
            "Spot 1, warm white, 100 %, 2.5 flashes a second, gobo leaves, prism, beam 12°, iris 30 %.",
        ),
    ] {
        assert_eq!(told(part), sentence);
    }
}

#[test]
fn places() {
    for (aim, sentence) in [
        (Aim::At(CAKE.moved(0.1, 0.05, 0.0)), "Spot 1 on the cake, warm white, 100 %."),
        (
            Aim::At(CAKE.moved(1.3, -0.9, 0.02)),
            "Spot 1 aimed 1.3 m right and 0.9 m forward from the cake, warm white, 100 %.",
        ),
        (
            Aim::At(Point::new(-1.0, 40.0, 2.0)),
            "Spot 1 aimed 1.0 m left, 40.0 m back and 2.0 m up from the middle of the stage front, warm white, 100 %.",
        ),
        (
            Aim::Line { from: CAKE, to: DOOR },
            "Spot 1 in a line between the cake and the door, warm white, 100 %.",
        ),
    ] {
        assert_eq!(told(Part { aim: Some(aim), ..warm(&[1], 1.0) }), sentence);
    }
}

#[test]
fn colour_words_carry_their_colour() {
    let words = &tell::look(&look("it", 1.0, vec![on("cake", warm(&[1], 0.5))]), &rig())[0];
    let pieces: Vec<_> = words.iter().map(|word| (word.text.as_str(), word.colour)).collect();
    assert_eq!(pieces, [("Spot 1 on the cake, ", None), ("warm white", Some(WARM)), (", 50 %.", None)]);
}

fn show() -> Show {
    let one = |name: &str, text, colour| -> Look {
        look(
            name,
            1.0,
            vec![Part { colours: asks(&[(text, colour)]), ..on("cake", part(&[1], colour, 0.8)) }],
        )
    };
    let beats = |count| StepTime::Beats(count);
    let names = |names: &[&str]| Some(names.iter().map(|&name| name.to_owned()).collect());
    Show {
        looks: vec![one("Speeches", "amber", WARM), one("dance", "rose", RED), one("blue", "blue", BLUE)],
        chases: vec![
            chase("slow wheel", &["Speeches", "dance"], beats(4.0), beats(0.0)),
            Chase {
                order: Order::Random,
                rounds: Some(3),
                ..chase("quick", &["Speeches", "dance", "blue", "dance"], beats(1.0), beats(0.5))
            },
            chase("timed", &["blue"], StepTime::Time(secs(1.5)), StepTime::Time(secs(1.0))),
        ],
        cues: vec![
            Cue { chases: names(&["slow wheel", "quick"]), ..cue("1", Some("dance"), 0.0) },
            Cue { tempo: Some(96.0), follow: Some(secs(90.0)), ..cue("2", None, 1.0) },
            Cue { chases: names(&["timed"]), ..cue("3", Some("Speeches"), 3.0) },
            cue("4", None, 1.0),
        ],
        ..Show::default()
    }
}

#[test]
fn chases() {
    let show = show();
    let told: Vec<String> = show.chases.iter().map(|chase| tell::plain(&tell::chase(chase, &show))).collect();
    assert_eq!(
        told,
        [
            "Slow wheel, amber to rose, a step every 4 beats.",
            "Quick, amber, rose, blue, a step every beat, each fading over 0.5 beats, in random order, 3 rounds.",
            "Timed, blue, a step every 1.5 s, each fading over 1 s.",
        ]
    );
}

#[test]
fn cues_say_what_changes() {
    let (show, rig) = (show(), rig());
    let told: Vec<String> = (0..5).map(|index| tell::plain(&tell::cue(index, &show, &rig))).collect();
    assert_eq!(
        told,
        [
            "Dance at once: spot 1 on the cake, rose, 80 %; slow wheel and quick start.",
            "Tempo 96 beats a minute; the next follows 1 min 30 s later.",
            "Speeches over 3 s: spot 1 on the cake, amber, 80 %; timed starts; slow wheel and quick stop.",
            "Nothing changes.",
            "",
        ]
    );
}

#[test]
fn lengths_of_time() {
    for (secs, text) in [
        (0.0, "0 s"),
        (0.25, "0.25 s"),
        (3.0, "3 s"),
        (60.0, "1 min"),
        (75.0, "75 s"),
        (90.0, "1 min 30 s"),
        (600.0, "10 min"),
    ] {
        assert_eq!(tell::span(Span::from_secs(secs)), text);
    }
}
