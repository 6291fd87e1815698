//! A figure as part of a sentence: "circle the dance floor, 3 m across, 1 m/s".

use super::number;
use super::sentence::Sentence;
use super::span;
use crate::figure::{Pace, PhaseSpread, Plane, Shape};
use crate::{Aim, Figure};

/// What lights do that run a figure, after who they are. `place` is where to, in words ("on the cake"); `one`: it is a
/// single light.
pub(super) fn tell(figure: &Figure, aim: &Aim, place: &str, one: bool, sentence: &mut Sentence) {
    sentence.say(" ").say_of(
        "figure",
        &match aim {
            Aim::Line { .. } => format!("{place}, {}", doing(figure.shape, one)),
            Aim::Mark(_) | Aim::At(_) => does(figure.shape, place, one),
        },
    );
}

/// How large, how fast, and what else.
pub(super) fn details(figure: &Figure, one: bool, sentence: &mut Sentence) {
    sentence.comma().say(&size(figure));
    if figure.shape.moves() {
        sentence.comma().say(&pace(figure.pace));
    }
    match figure.plane {
        Plane::Floor => {}
        Plane::Facing(_) => _ = sentence.comma().say("at a slant"),
        Plane::BackWall | Plane::LeftWall | Plane::RightWall | Plane::FrontWall => {
            sentence.comma().say("upright");
        }
    }
    if figure.backwards {
        sentence.comma().say("backwards");
    }
    if let Some(spread) = spread(figure).filter(|_| !one) {
        sentence.comma().say(spread);
    }
}

/// A figure by itself: "circle, 3 m across, 1 m/s".
pub fn figure(figure: &Figure) -> String {
    let name = match figure.shape {
        Shape::Circle { .. } => "circle",
        Shape::Eight { .. } => "eight",
        Shape::Line { .. } => "to and fro",
        Shape::Sweep { .. } => "sweep",
        Shape::Fan { .. } => "fan",
        Shape::Wave { .. } => "wave",
        Shape::Hold { .. } => "hold",
        Shape::Wander { .. } => "wander",
    };
    let mut sentence = Sentence::default();
    sentence.say(name);
    details(figure, false, &mut sentence);
    super::plain(&sentence.words())
}

/// "circles the cake", "run an eight over the dance floor", "wander in the air".
fn does(shape: Shape, place: &str, one: bool) -> String {
    let (several_do, one_does, on) = match shape {
        Shape::Circle { .. } => ("circle", "circles", ""),
        Shape::Eight { .. } => ("run an eight", "runs an eight", "over "),
        Shape::Line { .. } => ("run to and fro", "runs to and fro", "over "),
        Shape::Sweep { .. } => ("sweep", "sweeps", "over "),
        Shape::Fan { .. } => ("fan out and in", "fans out and in", "over "),
        Shape::Wave { .. } => ("wave", "waves", "over "),
        Shape::Hold { .. } => ("stand", "stands", "around "),
        Shape::Wander { .. } => ("wander", "wanders", "about "),
    };
    let verb = if one { one_does } else { several_do };
    match place.strip_prefix("on ") {
        Some(place) => format!("{verb} {on}{place}"),
        None => format!("{verb} {place}"),
    }
}

fn doing(shape: Shape, one: bool) -> String {
    let (each, doing) = match shape {
        Shape::Circle { .. } => (true, "circling"),
        Shape::Eight { .. } => (true, "running an eight"),
        Shape::Line { .. } => (true, "running to and fro"),
        Shape::Sweep { .. } => (false, "sweeping"),
        Shape::Fan { .. } => (false, "fanning out and in"),
        Shape::Wave { .. } => (false, "waving"),
        Shape::Hold { .. } => (false, "in a ring"),
        Shape::Wander { .. } => (true, "wandering"),
    };
    format!("{}{doing}", if each && !one { "each " } else { "" })
}

fn size(figure: &Figure) -> String {
    let metres = |size: lanthorn_physics::units::Metres| number(size.get());
    match figure.shape {
        Shape::Circle { across } | Shape::Hold { across } | Shape::Wander { across } => {
            format!("{} m across", metres(across))
        }
        Shape::Eight { width, height } => format!("{} by {} m", metres(width), metres(height)),
        Shape::Line { length } | Shape::Sweep { length } => format!("{} m long", metres(length)),
        Shape::Fan { width } => format!("{} m wide", metres(width)),
        Shape::Wave { height } if figure.plane == Plane::Floor => format!("{} m deep", metres(height)),
        Shape::Wave { height } => format!("{} m high", metres(height)),
    }
}

/// "1 m/s", "a round every 4 beats".
fn pace(pace: Pace) -> String {
    match pace {
        Pace::Speed(speed) => format!("{} m/s", number(speed.get())),
        Pace::Beats(beats) if (beats - 1.0).abs() < 1e-9 => "a round every beat".to_owned(),
        Pace::Beats(beats) => format!("a round every {} beats", number(beats)),
        Pace::Round(time) => format!("a round every {}", span(time)),
    }
}

/// What one sees of the phase, where the shape does not say it.
fn spread(figure: &Figure) -> Option<&'static str> {
    let apart = figure.phase > 0.0 && figure.shape.takes_phase();
    match figure.phase_spread {
        PhaseSpread::Mirrored if figure.shape.takes_phase() => Some("mirrored"),
        PhaseSpread::FromTheMiddle if apart => Some("from the middle"),
        PhaseSpread::InOrder if apart && figure.shape.usual_phase() <= 0.0 => Some("one after another"),
        _ => None,
    }
}
