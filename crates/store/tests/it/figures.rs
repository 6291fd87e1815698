//! Figures in files: read, written, and every mistake in full.

use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
use lanthorn_store::{read_show, write_show};

const BASE: &str = include_str!("shows/base.show.toml");

/// The small show whose look "warm" runs a figure.
fn with(figure: &str) -> String {
    let part = "aim = \"cake\"\nfigure = \"it\"\n";
    format!("{}\n[[figure]]\n{figure}", BASE.replacen("aim = \"cake\"\n", part, 1))
}

/// What is said, without the line.
fn said(text: &str) -> Vec<String> {
    let (file, problems) = read_show(text);
    assert_eq!(file.is_none(), problems.iter().any(|problem| problem.is_error()), "{problems:?}");
    problems
        .iter()
        .map(|problem| problem.in_file("s").split_once(": ").unwrap_or_default().1.to_owned())
        .collect()
}

const CIRCLE: &str = "name = \"it\"\nshape = \"circle\"\nsize = \"1 m\"\nspeed = \"1 m/s\"\n";

#[test]
fn every_shape_is_read_and_written_back_as_it_was() {
    let kinds = [
        CIRCLE,
        "name = \"it\"\nshape = \"eight\"\nsize = [\"2 m\", \"80 cm\"]\nspeed = \"4 beats\"\nphase = 1\nphase_spread = \"mirrored\"\n",
        "name = \"it\"\nshape = \"eight\"\nsize = 2\nspeed = \"50 cm/s\"\nplane = \"back wall\"\n",
        "name = \"it\"\nshape = \"line\"\nsize = 2\nspeed = \"6 s\"\nturn = \"90°\"\ndirection = \"backward\"\nphase = \"50 %\"\n",
        "name = \"it\"\nshape = \"sweep\"\nsize = 2\nspeed = 0.7\nplane = \"floor\"\n",
        "name = \"it\"\nshape = \"fan\"\nsize = 2\nspeed = \"1 min\"\nplane = \"left wall\"\n",
        "name = \"it\"\nshape = \"wave\"\nsize = 0.6\nspeed = \"1 beat\"\nplane = \"right wall\"\nphase = 0\n",
        "name = \"it\"\nshape = \"wave\"\nsize = 0.6\nspeed = \"500 ms\"\nplane = \"front wall\"\nphase_spread = \"from the middle\"\n",
        "name = \"it\"\nshape = \"hold\"\nsize = 1\nplane = { faces = [0.3, -1, 0.2] }\n",
        "name = \"it\"\nshape = \"wander\"\nsize = 1.1\nspeed = \"1 m/s\"\n",
    ];
    for kind in kinds {
        let (file, problems) = read_show(&with(kind));
        assert_eq!(problems, [], "{kind}");
        let file = file.unwrap();
        assert_eq!(file.show.looks[0].parts[0].figure.as_deref(), Some("it"));
        let written = write_show(&file);
        assert_eq!(read_show(&written).0.as_ref(), Some(&file), "{written}");
    }
    let centres = ["\"cake\"", "[0, 1, 0]", "{ from = \"cake\", to = [0, 1, 0] }"];
    for centre in centres {
        let figure = format!("{CIRCLE}centre = {centre}\n");
        let text = with(&figure).replacen("aim = \"cake\"\n", "", 1);
        let (file, problems) = read_show(&text);
        assert_eq!(problems, [], "{centre}");
        let file = file.unwrap();
        assert!(file.show.figures[0].centre.is_some());
        assert_eq!(read_show(&write_show(&file)).0, Some(file));
    }
}

#[test]
fn what_is_read_is_what_was_meant() {
    let read = |figure: &str| read_show(&with(figure)).0.unwrap().show.figures.remove(0);
    let it = read(
        kind_of("line", "phase = \"25 %\"\nphase_spread = \"from the middle\"\nturn = \"90°\"").as_str(),
    );
    assert!(matches!(it.shape, Shape::Line { length } if (length.get() - 1.0).abs() < 1e-12));
    assert!((it.phase - 0.25).abs() < 1e-12 && it.phase_spread == PhaseSpread::FromTheMiddle);
    assert!((it.turn.deg() - 90.0).abs() < 1e-9 && !it.backwards && it.plane == Plane::Floor);
    let paces =
        [("\"1.5 m/s\"", 1.5), ("\"150 cm/s\"", 1.5), ("1.5", 1.5), ("\"4 beats\"", 4.0), ("\"6 s\"", 6.0)];
    for (written, value) in paces {
        let pace = read(&CIRCLE.replace("\"1 m/s\"", written)).pace;
        let got = match pace {
            Pace::Speed(speed) => speed.get(),
            Pace::Beats(beats) => beats,
            Pace::Round(span) => span.secs(),
        };
        assert!((got - value).abs() < 1e-9, "{written}: {pace:?}");
        assert_eq!(matches!(pace, Pace::Beats(_)), written.contains("beat"));
        assert_eq!(matches!(pace, Pace::Round(_)), written.ends_with(" s\""));
    }
    // An eight of one size is half as high as wide; what waves or holds is evenly round unless said otherwise.
    let eight = read(&kind_of("eight", ""));
    let sizes = eight.shape.sizes();
    assert_eq!((sizes.0.get() * 4.0) as u32, 4);
    assert_eq!(sizes.1.map(|height| (height.get() * 4.0) as u32), Some(2));
    assert!((read(&kind_of("wave", "")).phase - 1.0).abs() < 1e-12 && read(CIRCLE).phase.abs() < 1e-12);
}

fn kind_of(shape: &str, more: &str) -> String {
    format!("{}{more}\n", CIRCLE.replace("circle", shape))
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table: one row for each mistake")]
fn each_mistake_is_said_with_what_to_do() {
    let rows: &[(&str, &str, &[&str])] = &[
        (
            "\"circle\"",
            "\"circel\"",
            &[
                r##"figure "it": `shape = "circel"`: this is one of "circle", "eight", "line", "sweep", "fan", "wave", "hold", "wander"; did you mean "circle"?"##,
            ],
        ),
        ("shape = \"circle\"\n", "", &[r##"figure "it": `shape` is missing; add `shape = "circle"`"##]),
        ("size = \"1 m\"\n", "", &[r##"figure "it": `size` is missing; add `size = "3 m"`"##]),
        ("speed = \"1 m/s\"\n", "", &[r##"figure "it": `speed` is missing; add `speed = "1 m/s"`"##]),
        (
            "\"1 m\"",
            "\"0 m\"",
            &[r##"figure "it": `size = "0 m"`: a length here runs from 0.05 to 100 m; check the figure"##],
        ),
        (
            "\"1 m\"",
            "nan",
            &[
                r##"figure "it": `size = nan`: a length is a number that can be measured; write it such as "3.5 m""##,
            ],
        ),
        (
            "\"1 m\"",
            "[1, 2]",
            &[r##"figure "it": `size = [1, 2]`: only an eight has two sizes; write one, such as "3 m""##],
        ),
        (
            "\"circle\"\nsize = \"1 m\"",
            "\"eight\"\nsize = [1, 2, 3]",
            &[
                r##"figure "it": `size = [1, 2, 3]`: this is a list of 2; write it such as ["4 m", "2 m"]: width and height"##,
            ],
        ),
        (
            "\"1 m/s\"",
            "\"2 m\"",
            &[
                r##"figure "it": `speed = "2 m"`: a figure's speed is in m/s or cm/s, or in beats, s or min a round; write it such as "1 m/s", "4 beats" or "6 s""##,
            ],
        ),
        (
            "\"1 m/s\"",
            "\"quick\"",
            &[
                r##"figure "it": `speed = "quick"`: a figure's speed is in m/s or cm/s, or in beats, s or min a round; write it such as "1 m/s", "4 beats" or "6 s""##,
            ],
        ),
        (
            "\"1 m/s\"",
            "\"300 m/s\"",
            &[
                r##"figure "it": `speed = "300 m/s"`: a speed here runs from 0.01 to 20 m/s; check the figure"##,
            ],
        ),
        (
            "\"1 m/s\"",
            "\"0 beats\"",
            &[
                r##"figure "it": `speed = "0 beats"`: a number of beats here runs from 0.5 to 4096 beats; check the figure"##,
            ],
        ),
        (
            "\"1 m/s\"",
            "\"10 ms\"",
            &[r##"figure "it": `speed = "10 ms"`: a time here runs from 0.5 to 3600 s; check the figure"##],
        ),
        (
            "\"1 m/s\"",
            "true",
            &[r##"figure "it": `speed = true`: a speed starts with a number; write it such as "1.5 m/s""##],
        ),
        (
            "\"circle\"",
            "\"hold\"",
            &[
                r##"figure "it": `speed = "1 m/s"`: lights that hold do not move; leave it out, or let them run a circle"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"sweep\"\nphase = 1",
            &[
                r##"figure "it": `phase = 1`: all lights do this together; leave it out, or let them run a line or a wave"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"wander\"\nphase_spread = \"mirrored\"",
            &[
                r##"figure "it": `phase_spread = "mirrored"`: lights that wander go each its own way; leave it out"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\nphase = 3",
            &[
                r##"figure "it": `phase = 3`: a part of the whole here runs from 0 to 1, or from 0 % to 100 %; check the figure"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\nplane = \"celling\"",
            &[
                r##"figure "it": `plane = "celling"`: this is one of "floor", "back wall", "left wall", "right wall", "front wall"; write one of these"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\nplane = { faces = [0, 0, 0] }",
            &[
                r##"figure "it", plane: `faces = [0, 0, 0]`: this points nowhere; write which way it faces, such as [0, -1, 1]"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\ndirection = \"left\"",
            &[
                r##"figure "it": `direction = "left"`: this is one of "forward", "backward"; write one of these"##,
            ],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\ncentre = \"door\"",
            &[r##"figure "it": `centre = "door"`: there is no mark "door"; there is "cake""##],
        ),
        (
            "shape = \"circle\"",
            "shape = \"circle\"\ncentre = \"cake\"",
            &[
                r##"warning: look "warm", part 1: `figure = "it"`: this figure has a centre of its own, so the `aim` of this part does nothing; leave out one of the two"##,
            ],
        ),
        (
            "name = \"it\"",
            "name = \"its\"",
            &[r##"look "warm", part 1: `figure = "it"`: there is no figure "it"; did you mean "its"?"##],
        ),
        (
            "\"1 m\"",
            "\"3 m\"",
            // Level, it has room enough; the next is upright and goes through the floor.
            &[],
        ),
        (
            "size = \"1 m\"",
            "size = \"3 m\"\nplane = \"back wall\"",
            &[
                r##"warning: look "warm", part 1: `figure = "it"`: the spot of light 1 leaves the room by 0.5 m, at [1, -1, -0.5]; make the figure smaller, or move what it runs about"##,
            ],
        ),
        (
            "\"circle\"\nsize = \"1 m\"",
            "\"wander\"\nsize = \"7 m\"",
            &[
                r##"warning: look "warm", part 1: `figure = "it"`: the spot of light 1 leaves the room by 0.5 m, at [4.5, -1, 1]; make the figure smaller, or move what it runs about"##,
            ],
        ),
    ];
    for (from, to, wanted) in rows {
        assert!(CIRCLE.contains(from), "{from}");
        assert_eq!(said(&with(&CIRCLE.replacen(from, to, 1))), *wanted, "{to}");
    }
    let twice = format!("{}\n[[figure]]\n{CIRCLE}", with(CIRCLE));
    assert_eq!(
        said(&twice),
        ["figure \"it\": there is a figure \"it\" already; give each a name of its own"]
    );
}

#[test]
fn a_part_needs_something_to_run_about_and_lights_that_move() {
    let text = with(CIRCLE).replacen("aim = \"cake\"\n", "", 1);
    assert_eq!(
        said(&text),
        [
            r##"look "warm", part 1: `figure = "it"`: this figure runs about where the lights are aimed, and they are not; give this part an `aim`, or the figure a `centre`"##
        ]
    );
    let text = with(CIRCLE).replacen("who = \"pair\"", "who = 2", 1);
    assert_eq!(
        said(&text),
        [
            r##"warning: look "warm", part 1: `figure = "it"`: none of these lights can follow it; leave it out, or name lights that move"##
        ]
    );
    // Without any figure there is nothing to suggest.
    let text = BASE.replacen("aim = \"cake\"\n", "aim = \"cake\"\nfigure = \"it\"\n", 1);
    assert_eq!(
        said(&text),
        [
            r##"look "warm", part 1: `figure = "it"`: there is no figure "it"; this show has no figure at all: add one"##
        ]
    );
}
