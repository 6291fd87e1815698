//! A first score, laid over sections as they were heard.

use lanthorn_physics::units::Hertz;
use lanthorn_physics::{Instant, Span};
use lanthorn_show::chase::{Order, Step, Swing};
use lanthorn_show::score::lay::{CannotLay, Section, lay};
use lanthorn_show::score::{LineKind, Metre, Place};
use lanthorn_show::{Chase, Command, Cue, Level, Look, Part, Score, Show, StepTime, Who};

use super::common::{Bench, rig};

fn look(name: &str, level: f64) -> Look {
    let part = Part { level: Level(level), ..Part::of(Who::All) };
    Look { name: name.to_owned(), fade: Span::ZERO, parts: vec![part] }
}

fn chase(name: &str, beats: f64) -> Chase {
    let step = |look: &str| Step {
        look: look.to_owned(),
        time: StepTime::Beats(beats),
        fade: StepTime::Time(Span::ZERO),
    };
    Chase {
        name: name.to_owned(),
        steps: vec![step("low"), step("full")],
        order: Order::Forward,
        swing: Swing::EVEN,
        rounds: None,
        fade: Span::ZERO,
        calm: false,
        at_each: None,
    }
}

/// Four looks from low to full, one that strobes, one that is dark, two chases.
fn show() -> Show {
    let mut strobe = look("strobe", 1.0);
    strobe.parts[0].strobe = Some(Hertz::new(2.0));
    Show {
        looks: vec![
            look("full", 1.0),
            look("low", 0.2),
            strobe,
            look("half", 0.5),
            look("dark", 0.0),
            look("high", 0.8),
        ],
        chases: vec![chase("quick", 1.0), chase("slow", 8.0)],
        ..Show::default()
    }
}

/// Sixty-four bars of two seconds.
fn grid() -> Score {
    Score {
        length: Span::from_secs(130.0),
        bars: (0..=64).map(|bar| Span::from_secs(1.0 + 2.0 * f64::from(bar))).collect(),
        metres: vec![Metre { bar: 1, of: 4 }],
        ..Score::default()
    }
}

fn section(bar: u32, kind: LineKind, energy: f64, drums: bool) -> Section {
    Section { bar, kind, energy, drums, like: None }
}

/// Intro, a verse, something louder, the verse again, a breakdown, the drop, an end.
fn song() -> Vec<Section> {
    use LineKind::{Breakdown, Drop, Lift, Section as New};
    let mut sections = vec![
        section(1, New, 0.1, false),
        section(9, New, 0.5, true),
        section(17, Lift, 0.8, true),
        section(25, New, 0.5, true),
        section(33, Breakdown, 0.2, false),
        section(41, Drop, 1.0, true),
        section(57, New, 0.3, false),
    ];
    sections[3].like = Some(1);
    sections
}

fn laid(sections: &[Section]) -> Score {
    let mut score = grid();
    lay(&show(), &rig(), &mut score, sections).expect("it can be laid");
    score
}

#[test]
fn a_song_gets_a_score_that_goes_with_it() {
    let score = laid(&song());
    let names: Vec<&str> = score.lines.iter().map(|line| line.name.as_str()).collect();
    assert_eq!(names, ["intro", "A", "B", "A", "breakdown", "drop", "outro"]);
    let looks: Vec<&str> = score.parts.iter().filter_map(|part| part.look.as_deref()).collect();
    assert_eq!(looks, ["low", "half", "high", "half", "low", "full", "low"]);
    let chases: Vec<usize> = score.parts.iter().map(|part| part.chases.as_ref().unwrap().len()).collect();
    assert_eq!(chases, [0, 1, 1, 1, 0, 1, 0], "none in what is calm");
    assert_eq!(score.parts[5].chases, Some(vec!["quick".to_owned()]), "the quickest in the drop");
    assert_eq!(score.parts[5].place, Place::Bar { bar: 41, beat: 1 });
    let dark: Vec<bool> = score.parts.iter().map(|part| part.dark.is_some()).collect();
    assert_eq!(dark, [false, false, false, false, false, true, false]);
    let (from, to) = score.span_of(&score.parts[5]).unwrap();
    assert_eq!(to - from, Span::from_millis(500), "a beat of dark, and it ends with the drop");
    assert_eq!(score.parts[5].fade, Span::ZERO);
    assert!(score.parts.iter().all(|part| part.why.ends_with('.') && part.why.len() > 20));
    assert_eq!(score, laid(&song()), "the same every time");
}

#[test]
fn no_look_follows_itself_and_changes_come_at_lines_alone() {
    let kinds = [LineKind::Section, LineKind::Lift, LineKind::Drop, LineKind::Breakdown, LineKind::Phrase];
    let mut state: u32 = 7;
    let mut roll = |sides: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 16) % sides
    };
    for _ in 0..200 {
        let mut sections = Vec::new();
        let mut bar = 1;
        while bar < 60 {
            let kind = kinds[roll(5) as usize];
            let like = (!sections.is_empty() && roll(2) == 0).then(|| roll(sections.len() as u32) as usize);
            let energy = f64::from(roll(101)) / 100.0;
            sections.push(Section { bar, kind, energy, drums: roll(3) > 0, like });
            bar += 1 + roll(9);
        }
        let score = laid(&sections);
        let looks: Vec<&str> = score.parts.iter().filter_map(|part| part.look.as_deref()).collect();
        assert!(looks.windows(2).all(|pair| pair[0] != pair[1]), "{looks:?}");
        assert!(looks.iter().all(|look| !["strobe", "dark"].contains(look)), "{looks:?}");
        for (part, section) in score.parts.iter().zip(&sections) {
            assert_eq!(part.place, Place::Bar { bar: section.bar, beat: 1 });
        }
    }
}

#[test]
fn what_strobes_comes_only_where_the_persons_own_cues_put_it_on() {
    let mut show = show();
    show.cues.push(Cue {
        number: "1".to_owned(),
        name: String::new(),
        note: String::new(),
        look: Some("strobe".to_owned()),
        chases: None,
        fade: Span::ZERO,
        follow: None,
        tempo: None,
    });
    show.looks.retain(|look| ["strobe", "low"].contains(&look.name.as_str()));
    let mut score = grid();
    lay(&show, &rig(), &mut score, &song()).unwrap();
    assert!(score.parts.iter().any(|part| part.look.as_deref() == Some("strobe")));
}

#[test]
fn without_a_beat_or_a_look_nothing_is_laid() {
    let mut score = Score::default();
    assert_eq!(lay(&show(), &rig(), &mut score, &song()), Err(CannotLay::NoBeat));
    let mut score = grid();
    assert_eq!(lay(&Show::default(), &rig(), &mut score, &song()), Err(CannotLay::NoLooks));
}

/// A bench on which look "full" (first) is on, and `quick` runs over nothing of it.
fn bench() -> Bench {
    let mut bench = Bench::new(show());
    bench.at(0.0, Command::Look(0));
    bench
}

#[test]
fn a_part_puts_on_its_look_and_no_chases_but_its_own() {
    let mut bench = bench();
    bench.at(1.0, Command::Chase { index: 1, on: true });
    let part = |look, chases: &[usize]| Command::Part {
        look,
        chases: Some(chases.iter().copied().collect()),
        fade: Span::from_millis(1000),
    };
    bench.at(2.0, part(Some(3), &[]));
    assert_eq!(bench.levels(0, [2.0, 2.5, 3.0]), [20.0, 35.0, 50.0], "from the chase's step to the look");
    bench.at(4.0, part(None, &[0]));
    assert_eq!(bench.player.status(Instant::from_secs(5.0)).chases.iter().flatten().count(), 1);
    assert_eq!(bench.level(6.1, 0), 20.0, "the chase has the light");
    bench.at(7.0, Command::Part { look: None, chases: None, fade: Span::ZERO });
    assert_eq!(bench.player.status(Instant::from_secs(7.0)).chases.iter().flatten().count(), 1);
    bench.at(8.0, part(Some(99), &[99, 0]));
    assert_eq!(bench.player.status(Instant::from_secs(8.0)).look, Some(3), "what is not there is left out");
}

#[test]
fn dark_takes_the_light_until_a_part_a_look_or_a_cue_but_not_from_a_hand() {
    let mut bench = bench();
    bench.at(1.0, Command::Level { unit: 1, level: 0.4 }).at(1.0, Command::Dark(true));
    assert_eq!((bench.level(1.0, 0), bench.level(1.0, 1)), (0.0, 40.0));
    bench.at(2.0, Command::Part { look: Some(3), chases: None, fade: Span::from_millis(1000) });
    assert_eq!(bench.levels(0, [2.0, 2.5, 3.0]), [0.0, 25.0, 50.0], "it comes up from the dark");
    bench.at(4.0, Command::Dark(true)).at(4.5, Command::Look(0));
    assert_eq!(bench.level(4.5, 0), 100.0);
    bench.at(5.0, Command::Dark(true)).at(5.5, Command::Dark(false));
    assert_eq!(bench.level(5.5, 0), 100.0);
    bench.at(6.0, Command::Stillness(true)).at(6.5, Command::Dark(true));
    assert_eq!(bench.level(6.5, 0), 100.0, "nothing flashes under stillness");
}
