//! Shows that ask too much of motors, and shows that do not.

use std::sync::Arc;

use lanthorn_fixture::profile::Profile;

use lanthorn_physics::units::{Metres, MetresPerSecond, Radians, Seconds};
use lanthorn_physics::{Point, Span};
use lanthorn_rehearsal::moves;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_show::figure::{Pace, PhaseSpread, Plane, Shape};
use lanthorn_show::{Aim, Chase, Cue, Figure, Level, Look, Order, Part, Show, Step, StepTime, Swing, Who};

use crate::hall::{head, rig, unit};

/// The head hangs 4 m up, over (0, −2); 180°/s and 360°/s² on both axes, 540° and 270°.
fn one_head(profile: &Arc<Profile>) -> Arc<Rig> {
    rig(vec![unit(1, profile)])
}

/// A beam of 3°: its spot on the floor has a radius of a hand.
fn narrow() -> Arc<Profile> {
    let mut profile = head();
    Arc::make_mut(&mut profile).optics.beam = lanthorn_fixture::Fact::stated(Radians::from_deg(3.0));
    profile
}

pub(crate) fn look(name: &str, at: (f64, f64, f64), level: f64, fade: f64) -> Look {
    let part =
        Part { aim: Some(Aim::At(Point::new(at.0, at.1, at.2))), level: Level(level), ..Part::of(Who::All) };
    Look { name: name.to_owned(), fade: Span::from_secs(fade), parts: vec![part] }
}

pub(crate) fn chase(looks: &[&str], secs: f64, fade: f64) -> Chase {
    let [time, fade] = [secs, fade].map(|secs| StepTime::Time(Span::from_secs(secs)));
    let step = |look: &&str| Step { look: (*look).to_owned(), time, fade };
    Chase {
        name: "round".to_owned(),
        steps: looks.iter().map(step).collect(),
        order: Order::Forward,
        swing: Swing::EVEN,
        rounds: None,
        calm: false,
        at_each: None,
        fade: Span::ZERO,
    }
}

fn found(show: Show, rig: &Arc<Rig>) -> Vec<Finding> {
    let (findings, whole) = moves(&Arc::new(show), rig);
    assert!(whole);
    findings
}

fn told(findings: &[Finding]) -> Vec<(&str, &'static str, Severity)> {
    findings.iter().map(|finding| (finding.place.as_str(), finding.code, finding.severity)).collect()
}

#[test]
fn lit_moves_that_motors_cannot_make_are_told() {
    use Severity::{Caution, Error};
    let rig = one_head(&narrow());
    let (front, back) = ((-3.0, -6.0, 0.0), (3.0, 2.0, 0.8));
    let two = |fade| vec![look("front", front, 1.0, 9.0), look("back", back, 1.0, fade)];
    // By hand: from the front left to the back right is a turn of 135° of tilt and more, or half a turn of pan: at
    // 180°/s and 360°/s² longer than half a second, and less than three.
    assert_eq!(
        told(&found(Show { looks: two(0.0), ..Show::default() }, &rig))[0],
        ("look back", "move-too-fast", Caution)
    );
    assert_eq!(told(&found(Show { looks: two(6.0), ..Show::default() }, &rig)), [], "six seconds are enough");

    // Straight up through the ceiling: 180° of tilt, and it has 135° to either side.
    let above = Show { looks: vec![look("above", (0.0, -2.0, 9.0), 1.0, 0.0)], ..Show::default() };
    let findings = found(above, &rig);
    assert_eq!(told(&findings), [("look above", "move-out-of-reach", Error)]);
    assert!(findings[0].figure.as_ref().unwrap().contains("all the time"), "{findings:?}");

    // Dark before, lit at once somewhere else: its motors are not there yet.
    let dark = vec![look("front", front, 0.0, 0.0), look("back", back, 1.0, 0.0)];
    assert_eq!(
        told(&found(Show { looks: dark, ..Show::default() }, &rig)),
        [("look back", "move-still-on-its-way", Caution)]
    );
}

#[test]
fn a_path_under_the_head_and_a_figure_round_it_are_told_as_such() {
    let rig = one_head(&narrow());
    // Passing 34 cm from the foot at 2 m/s: let through it, off by more than its spot for longer than 0.3 s.
    let under = Show {
        looks: vec![look("left", (-3.0, -1.66, 0.0), 1.0, 12.0), look("right", (3.0, -1.66, 0.0), 1.0, 3.0)],
        ..Show::default()
    };
    let findings = found(under, &rig);
    assert_eq!(told(&findings), [("look right", "move-under-head", Severity::Caution)], "{findings:?}");

    // A figure about its foot that never stops turning.
    let mut ring = look("ring", (0.0, -2.0, 0.0), 1.0, 0.0);
    ring.parts[0].figure = Some("ring".to_owned());
    let show = Show {
        figures: vec![Figure {
            name: "ring".to_owned(),
            shape: Shape::Circle { across: Metres::new(5.0) },
            plane: Plane::Floor,
            turn: Radians::ZERO,
            pace: Pace::Speed(MetresPerSecond::new(1.5)),
            backwards: false,
            phase: 0.0,
            phase_spread: PhaseSpread::InOrder,
            centre: None,
        }],
        looks: vec![ring],
        chases: vec![chase(&["ring", "ring"], 20.0, 0.0)],
        ..Show::default()
    };
    let findings = found(show, &rig);
    assert_eq!(told(&findings), [("chase round", "move-at-stop", Severity::Caution)], "{findings:?}");
    assert_eq!(findings[0].units, [1]);
    assert!(findings[0].figure.as_ref().unwrap().contains("step "), "{findings:?}");
}

#[test]
fn fades_that_turn_over_are_told_as_such_and_not_as_stops() {
    let rig = one_head(&narrow());
    // Four corners about its foot, twice round in a chase: pan has one and a half.
    let corners = [(3.0, 1.0, 0.8), (3.0, -5.0, 0.0), (-3.0, -5.0, 0.0), (-3.0, 1.0, 0.8)];
    let names = ["a", "b", "c", "d"];
    let looks = |fade: f64| -> Vec<Look> {
        names.iter().zip(corners).map(|(name, at)| look(name, at, 1.0, fade)).collect()
    };
    let round: Vec<&str> = names.iter().chain(&names).copied().collect();
    let in_time = Show { looks: looks(5.0), chases: vec![chase(&round, 3.0, 3.0)], ..Show::default() };
    let findings = found(in_time, &rig);
    let turns: Vec<&Finding> = findings.iter().filter(|finding| finding.code == "move-turns-over").collect();
    assert_eq!(turns.len(), findings.len(), "in time, and nothing else: {findings:?}");
    assert!(turns.iter().any(|finding| finding.place == "chase round"), "{findings:?}");
    for finding in turns {
        assert_eq!((finding.severity, &finding.units[..]), (Severity::Note, &[1][..]));
        assert!(finding.what.contains("light 1 turns over while lit, for"), "{finding:?}");
        let figure = finding.figure.as_ref().unwrap();
        // The beam passes near the foot, which is 3 m from the straight line between two corners.
        assert!(figure.starts_with("up to 3.0 m off it, for "), "{finding:?}");
    }

    // In 0.6 s it cannot turn half round: 1.5 s by its motors. The looks go round once, from d to d.
    let findings = found(Show { looks: looks(0.6), ..Show::default() }, &rig);
    let late: Vec<&Finding> = findings.iter().filter(|finding| finding.code == "move-turns-over").collect();
    assert_eq!(late.len(), 1, "{findings:?}");
    assert_eq!(late[0].severity, Severity::Caution);
    assert!(late[0].what.contains("light 1 turns over while lit and comes late, for"), "{findings:?}");
    assert!(late[0].remedy.contains("longer fade"), "{findings:?}");
}

#[test]
fn cues_are_played_in_order_with_what_they_follow_with() {
    let rig = one_head(&head());
    let cue = |number: &str, look: &str, fade: f64, follow: Option<f64>| Cue {
        number: number.to_owned(),
        name: format!("to {look}"),
        note: String::new(),
        look: Some(look.to_owned()),
        chases: None,
        fade: Span::from_secs(fade),
        follow: follow.map(Span::from_secs),
        tempo: None,
    };
    let looks = vec![look("front", (-3.0, -6.0, 0.0), 1.0, 9.0), look("back", (3.0, 2.0, 0.8), 1.0, 9.0)];
    // The second cue comes by itself in the middle of the first, and takes no time itself.
    let cues =
        vec![cue("1", "front", 6.0, Some(6.5)), cue("2", "back", 0.0, None), cue("3", "front", 6.0, None)];
    let findings = found(Show { looks, cues, ..Show::default() }, &rig);
    assert_eq!(told(&findings), [("cue 2", "move-too-fast", Severity::Caution)]);
    assert!(
        findings[0].what.contains("Cue 2, to back") && findings[0].what.contains("light 1"),
        "{findings:?}"
    );
}

#[test]
fn a_motor_that_was_timed_slower_makes_findings() {
    let looks =
        || vec![look("front", (-3.0, -6.0, 0.0), 1.0, 30.0), look("back", (3.0, -6.0, 0.0), 1.0, 1.5)];
    let show = || Show { looks: looks(), ..Show::default() };
    let rig = one_head(&narrow());
    assert_eq!(told(&found(show(), &rig)), []);
    let mut slow = Rig::clone(&rig);
    slow.units[0].found.pan_time = Some(Seconds::new(20.0));
    assert_eq!(told(&found(show(), &Arc::new(slow))), [("look back", "move-too-fast", Severity::Caution)]);
}
