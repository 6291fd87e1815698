//! Looks, chases and cues in words.

use crate::common::*;
use lanthorn_physics::colour::{Chromaticity, Objective, parse};
use lanthorn_physics::units::{Hertz, Metres, Radians};
use lanthorn_physics::{Point, Span};
use lanthorn_rig::{Area, Mark, Rig};
use lanthorn_show::{
    Aim, Ask, Chase, Cue, Level, Look, Order, Part, Show, Spread, StepTime, Strike, Swing, Who, tell,
};

fn asks(colours: &[(&str, Chromaticity)]) -> Vec<Ask> {
    colours.iter().map(|&(text, chromaticity)| Ask { text: text.to_owned(), chromaticity }).collect()
}

fn warm(units: &[u32], level: f64) -> Part {
    Part { colours: asks(&[("warm white", WARM)]), ..part(units, WARM, level) }
}

fn told(part: Part) -> String {
    tell::plain(&tell::look(&look("it", 1.0, vec![part]), &Show::default(), &rig())[0])
}

#[test]
fn ways_of_mixing_are_told() {
    let with = |mixing, matched| told(Part { mixing, matched, ..warm(&[1, 2], 0.6) });
    assert_eq!(with(Objective::BestRendering, false), "Spots 1, 2, warm white for faces, 60 %.");
    assert_eq!(with(Objective::LeastPower, false), "Spots 1, 2, warm white with the fewest watts, 60 %.");
    assert_eq!(with(Objective::MostLight, true), "Spots 1, 2, warm white, matched, 60 %.");
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
            Part { colours: Vec::new(), haze: 0.6, fan: 0.35, ..warm(&[6], 1.0) },
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
#[expect(clippy::too_many_lines, reason = "a table: one row for each shape")]
fn figures() {
    use lanthorn_physics::units::MetresPerSecond;
    use lanthorn_show::Figure;
    use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
    let m = Metres::new;
    let circle = Figure {
        name: "it".to_owned(),
        shape: Shape::Circle { across: m(3.0) },
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace: Pace::Speed(MetresPerSecond::new(1.0)),
        backwards: false,
        phase: 0.0,
        phase_spread: PhaseSpread::InOrder,
        centre: None,
    };
    let it = |shape| Figure { shape, ..circle.clone() };
    let upright = |shape| Figure { plane: Plane::BackWall, ..it(shape) };
    let cake = Aim::Mark("cake".to_owned());
    let line = Aim::Line { from: CAKE, to: DOOR };
    let round = PhaseSpread::Mirrored;
    for (figure, units, aim, sentence) in [
        (circle.clone(), &[1, 2][..], &cake, "Spots 1, 2 circle the cake, 3 m across, 1 m/s"),
        (circle.clone(), &[1], &cake, "Spot 1 circles the cake, 3 m across, 1 m/s"),
        (
            Figure { phase: 1.0, pace: Pace::Beats(4.0), ..circle.clone() },
            &[1, 2],
            &line,
            "Spots 1, 2 from the cake to the door, each circling, 3 m across, a round every 4 beats, one after another",
        ),
        (
            Figure { pace: Pace::Round(secs(6.0)), backwards: true, ..circle.clone() },
            &[1],
            &Aim::At(CAKE.moved(0.0, 0.0, 1.1)),
            "Spot 1 circles in the air, 1.1 m above the cake, 3 m across, a round every 6 s, backwards",
        ),
        (
            Figure { phase_spread: round, ..it(Shape::Eight { width: m(4.0), height: m(2.5) }) },
            &[1, 2],
            &cake,
            "Spots 1, 2 run an eight over the cake, 4 by 2.5 m, 1 m/s, mirrored",
        ),
        (
            it(Shape::Line { length: m(5.0) }),
            &[1],
            &cake,
            "Spot 1 runs to and fro over the cake, 5 m long, 1 m/s",
        ),
        (
            it(Shape::Sweep { length: m(8.0) }),
            &[1, 2],
            &cake,
            "Spots 1, 2 sweep over the cake, 8 m long, 1 m/s",
        ),
        (
            Figure { pace: Pace::Beats(1.0), ..it(Shape::Fan { width: m(6.0) }) },
            &[1, 2],
            &cake,
            "Spots 1, 2 fan out and in over the cake, 6 m wide, a round every beat",
        ),
        (
            Figure { phase: 1.0, ..upright(Shape::Wave { height: m(1.5) }) },
            &[1, 2],
            &line,
            "Spots 1, 2 from the cake to the door, waving, 1.5 m high, 1 m/s, upright",
        ),
        (it(Shape::Hold { across: m(3.0) }), &[1, 2], &cake, "Spots 1, 2 stand around the cake, 3 m across"),
        (
            Figure { centre: Some(cake.clone()), ..it(Shape::Wander { across: m(3.0) }) },
            &[1, 2],
            &Aim::Mark("door".to_owned()),
            "Spots 1, 2 wander about the cake, 3 m across, 1 m/s",
        ),
    ] {
        let part = Part { aim: Some(aim.clone()), figure: Some("it".to_owned()), ..warm(units, 0.8) };
        let show = Show { figures: vec![figure], ..Show::default() };
        let told = tell::plain(&tell::look(&look("it", 1.0, vec![part]), &show, &rig())[0]);
        assert_eq!(told, format!("{sentence}, warm white, 80 %."));
    }
    // A cue tells it at a glance.
    let part = Part { aim: Some(cake), figure: Some("it".to_owned()), ..warm(&[1], 0.8) };
    let show = Show {
        figures: vec![circle],
        looks: vec![look("Ring", 1.0, vec![part])],
        cues: vec![cue("1", Some("Ring"), 2.0)],
        ..Show::default()
    };
    assert_eq!(
        tell::plain(&tell::cue(0, &show, &rig())),
        "Ring over 2 s: spot 1 circles the cake, warm white, 80 %."
    );
}

/// A hall with a stage, and marks on a table, in the doorway, on the floor and on the back wall.
fn hall() -> Rig {
    let mut rig = rig();
    rig.room.platforms.push(Area {
        name: "stage".to_owned(),
        x: [-3.0, 3.0].map(Metres::new),
        y: [2.0, 4.0].map(Metres::new),
        height: Metres::new(0.6),
    });
    for (name, at) in [("dance floor", FLOOR), ("left end", LEFT_END), ("right end", RIGHT_END)] {
        rig.room.marks.push(Mark { name: name.to_owned(), at });
    }
    rig
}

const FLOOR: Point = Point::new(0.0, -4.0, 0.0);
const LEFT_END: Point = Point::new(-3.0, 4.0, 2.5);
const RIGHT_END: Point = Point::new(3.0, 4.0, 2.5);

fn aimed(aim: Aim) -> String {
    let part = Part { aim: Some(aim), colours: Vec::new(), ..warm(&[1], 1.0) };
    let sentence = tell::plain(&tell::look(&look("it", 1.0, vec![part]), &Show::default(), &hall())[0]);
    sentence.replace("Spot 1 ", "").replace(", 100 %.", "")
}

#[test]
fn points() {
    for (at, told) in [
        (CAKE, "on the cake"),
        (CAKE.moved(0.1, 0.05, 0.0), "on the cake"),
        (CAKE.moved(0.15, 0.0, 0.0), "on the cake"),
        (FLOOR.moved(1.3, 0.0, 0.0), "on the floor, 1.3 m right of the dance floor"),
        (FLOOR.moved(0.0, -0.9, 0.05), "on the floor, 0.9 m in front of the dance floor"),
        (FLOOR.moved(-1.3, 0.9, 0.0), "on the floor, 1.3 m left and 0.9 m behind the dance floor"),
        (FLOOR.moved(0.4, -0.9, 0.0), "on the floor, 0.4 m right and 0.9 m in front of the dance floor"),
        (FLOOR.moved(3.0, 0.0, 0.0), "on the floor"),
        (CAKE.moved(0.0, 0.0, -0.9), "on the floor, 0.9 m below the cake"),
        (CAKE.moved(0.5, 1.2, 0.3), "in the air, 0.5 m right and 1.2 m behind the cake"),
        (CAKE.moved(0.0, 0.0, 1.1), "in the air, 1.1 m above the cake"),
        (Point::new(0.0, -2.0, 2.5), "in the air"),
        (Point::new(-1.0, 3.0, 0.6), "on the stage"),
        (Point::new(0.0, 4.0, 1.5), "on the back wall"),
        (LEFT_END.moved(1.0, -0.05, -0.5), "on the back wall, 1.0 m right and 0.5 m below the left end"),
        (Point::new(-5.0, 0.0, 2.0), "on the left wall"),
        (Point::new(5.0, -1.0, 2.0), "on the right wall"),
        (Point::new(0.0, -8.0, 2.0), "on the wall behind the audience"),
        (Point::new(0.0, -1.0, 5.0), "on the ceiling"),
        (Point::new(-5.0, 0.0, 0.0), "on the floor"),
        (Point::new(-1.0, 40.0, 2.0), "in the air"),
    ] {
        assert_eq!(aimed(Aim::At(at)), told, "{at:?}");
    }
    assert_eq!(
        tell::place(FLOOR.moved(1.3, 0.0, 0.0), &hall().room),
        "the floor, 1.3 m right of the dance floor"
    );
}

#[test]
fn lines() {
    let point = Point::new;
    for (from, to, told) in [
        (CAKE, DOOR, "from the cake to the door"),
        (CAKE, CAKE.moved(0.1, 0.0, 0.0), "on the cake"),
        (point(-4.0, -3.0, 0.0), point(4.0, -3.0, 0.0), "across the floor"),
        (FLOOR, point(4.0, -3.0, 0.0), "across the floor"),
        (point(-2.0, 3.0, 0.6), point(2.0, 3.0, 0.6), "across the stage"),
        (point(-2.0, 3.95, 2.0), point(2.0, 4.0, 2.0), "along the back wall"),
        (LEFT_END, RIGHT_END, "along the back wall"),
        (point(-5.0, -3.0, 2.0), point(-5.0, 3.0, 2.0), "along the left wall"),
        (point(-4.0, -3.0, 3.0), point(4.0, -3.0, 3.0), "through the air"),
        (CAKE, point(4.0, -3.0, 3.0), "through the air"),
        (point(4.0, -3.0, 0.0), CAKE, "from the floor to the cake"),
        (point(0.0, 3.0, 0.6), point(0.0, 0.0, 0.0), "from the stage to the floor"),
    ] {
        assert_eq!(aimed(Aim::Line { from, to }), told, "{from:?} {to:?}");
    }
}

#[test]
fn figures_of_a_colour_become_a_word() {
    for (written, told) in [
        ("#ffa500", "orange"),
        ("#00f", "blue"),
        ("#0000cd", "blue"), // as light, a darker blue is the same blue
        ("#ff2e63", "crimson"),
        ("#c080ff", "about lilac"),
        ("#a02bd0", "about blue violet"),
        ("xy 0.1495 0.0309", "deep blue"),
        ("0.5874, 0.4120", "amber"),
        ("3200 K", "3200 K"),
        ("Harvest gold", "Harvest gold"),
        ("rebeccapurple", "rebeccapurple"),
    ] {
        let chromaticity = parse(written).map_or(WARM, |target| target.chromaticity);
        let part = Part { colours: asks(&[(written, chromaticity)]), ..warm(&[1], 1.0) };
        let words = &tell::look(&look("it", 1.0, vec![part]), &Show::default(), &rig())[0];
        let word = words.iter().find(|word| word.colour.is_some()).unwrap();
        assert_eq!((word.text.as_str(), word.colour), (told, Some(chromaticity)), "{written}");
    }
}

#[test]
fn words_carry_their_colour_and_the_field_that_they_tell() {
    let words = &tell::look(&look("it", 1.0, vec![on("cake", warm(&[1], 0.5))]), &Show::default(), &rig())[0];
    let pieces: Vec<_> = words.iter().map(|word| (word.text.as_str(), word.colour, word.of)).collect();
    assert_eq!(
        pieces,
        [
            ("Spot 1", None, Some("who")),
            (" ", None, None),
            ("on the cake", None, Some("aim")),
            (", ", None, None),
            ("warm white", Some(WARM), Some("colour")),
            (", ", None, None),
            ("50 %", None, Some("level")),
            (".", None, None),
        ]
    );
    // A cue has fields of its own; those of the look that it puts on are the look's.
    let show = show();
    let of = |words: Vec<tell::Word>| -> Vec<&str> { words.iter().filter_map(|word| word.of).collect() };
    assert_eq!(of(tell::chase(&show.chases[0], &show)), ["colour", "colour", "step_time"]);
    let cues: Vec<Vec<&str>> = (0..show.cues.len()).map(|cue| of(tell::cue(cue, &show, &rig()))).collect();
    assert_eq!(cues[0][..2], ["look", "fade"]);
    assert!(
        cues.iter().flatten().all(|of| ["look", "fade", "chases", "tempo", "follow"].contains(of)),
        "{cues:?}"
    );
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
            Chase {
                swing: Swing(0.625),
                calm: true,
                ..chase("timed", &["blue"], StepTime::Time(secs(1.5)), StepTime::Time(secs(1.5)))
            },
            chase("waltz", &["blue"], StepTime::Bars(2.0), beats(0.0)),
            Chase {
                at_each: Some(Strike::Snare),
                ..chase("clap", &["blue"], StepTime::Time(secs(0.1)), beats(0.0))
            },
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
            "Slow wheel: amber to rose, a step every 4 beats.",
            "Quick: amber, rose and blue, a step every beat, fading over 0.5 beats, in any order, 3 times round.",
            "Timed: blue, a step every 1.5 s, each flowing into the next, swung 62.5 to 37.5, calm without music.",
            "Waltz: blue, a step every 2 bars.",
            "Clap: blue, a step every 0.1 s, at each snare.",
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
fn a_cue_tells_only_what_changes_and_not_too_much() {
    let bright = |units: &[u32], mark: &str| on(mark, warm(units, 1.0));
    let kept = warm(&[5], 0.3);
    let long: Vec<u32> = (1..40).step_by(2).collect();
    let show = Show {
        looks: vec![
            look("Calm", 1.0, vec![bright(&[1], "cake"), kept.clone()]),
            look("Full", 1.0, vec![bright(&[1], "door"), bright(&[2], "cake"), kept, bright(&[3], "cake")]),
            look("Wordy", 1.0, vec![bright(&long, "cake"), bright(&long, "door")]),
        ],
        cues: vec![
            cue("1", Some("Calm"), 2.0),
            cue("2", Some("Full"), 2.0),
            Cue { tempo: Some(90.0), ..cue("3", Some("Full"), 2.0) },
            cue("4", Some("Full"), 2.0),
            cue("5", Some("Wordy"), 2.0),
        ],
        ..Show::default()
    };
    let told: Vec<String> = (0..5).map(|index| tell::plain(&tell::cue(index, &show, &rig()))).collect();
    assert_eq!(
        told,
        [
            "Calm over 2 s: spot 1 on the cake, warm white, 100 %; bar 5, warm white, 30 %.",
            "Full over 2 s: spot 1 on the door, warm white, 100 %; spot 2 on the cake, warm white, 100 %; and the rest.",
            "Tempo 90 beats a minute.",
            "Nothing changes.",
            "Wordy over 2 s: spots 1, 3, bar 5 and lights 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27, 29, 31, 33, 35, 37, 39 \
             on the cake, warm white, 100 %; and the rest.",
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
