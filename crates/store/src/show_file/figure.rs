//! Figures, and the parts of looks that let lights run them.

use lanthorn_physics::units::{Metres, MetresPerSecond, Radians};
use lanthorn_physics::{Direction, Point, Span};
use lanthorn_rig::{Rig, Room};
use lanthorn_show::figure::{Course, Pace, Plane, Shape};
use lanthorn_show::{Figure, Part};

use super::Unique;
use super::look::aim;
use super::room::Marks;
use crate::quantity::{ANGLE, BEATS, FRACTION, LENGTH, SPEED, TIME};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot};
use crate::words::{DIRECTIONS, FIGURE_PLANES, PHASE_SPREADS, SHAPES};

/// How far a path may stand out of the room before somebody is told, metres.
const OUTSIDE: f64 = 0.01;

/// Points of a path that are looked at, and lights of a part.
const POINTS: usize = 64;
const LIGHTS: usize = 64;

/// A size that stands in for one that could not be read.
const STANDS_IN: Metres = Metres::new(0.1);

/// Figures, in the order of the file.
pub(super) fn figures(root: &Fields<'_>, room: &Room, marks: &Marks, report: &mut Report<'_>) -> Vec<Figure> {
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in root.tables("figure", report) {
        let name = table.need("name", "\"slow circle\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "figure", table.at, report);
            table.called(format!("figure \"{name}\""));
        }
        let shape = shape(&table, report);
        let (phase, phase_spread) = phase(&table, shape, report);
        let figure = Figure {
            name: name.clone().unwrap_or_default(),
            shape,
            plane: table.get("plane").and_then(|s| plane(&s, report)).unwrap_or_default(),
            turn: table
                .get("turn")
                .and_then(|s| report.measure(&s, ANGLE))
                .map_or(Radians::ZERO, Radians::new),
            pace: pace_of(&table, shape, report),
            backwards: table.get("direction").and_then(|s| report.choice(&s, DIRECTIONS)).unwrap_or_default(),
            phase,
            phase_spread,
            centre: table.get("centre").and_then(|s| aim(&s, marks, room, report)),
        };
        table.finish(report);
        // A figure that cannot be used stands in all the same, so that looks with it are not complained about too.
        list.extend(name.map(|_| figure));
    }
    list
}

/// `shape` and `size`.
fn shape(table: &Fields<'_>, report: &mut Report<'_>) -> Shape {
    let make = table.need("shape", "\"circle\"", report).and_then(|s| report.choice(&s, SHAPES));
    let spot = table.need("size", "\"3 m\"", report);
    let metres = |spot: &Spot<'_>, report: &mut Report<'_>| {
        report.measure(spot, LENGTH.between(0.05, 100.0)).map(Metres::new)
    };
    let stands_in = |sizes: Option<(Metres, Metres)>| {
        let (first, second) = sizes.unwrap_or((STANDS_IN, STANDS_IN));
        make.map_or(Shape::Circle { across: first }, |make| make(first, second))
    };
    let Some(spot) = spot else { return stands_in(None) };
    let is_eight = matches!(stands_in(None), Shape::Eight { .. });
    let sizes = match spot.items() {
        None => metres(&spot, report).map(|size| (size, size / 2.0)),
        Some(_) if is_eight => report
            .several(&spot, "[\"4 m\", \"2 m\"]: width and height")
            .and_then(|[width, height]| metres(&width, report).zip(metres(&height, report))),
        Some(_) if make.is_none() => None,
        Some(_) => {
            report.wrong(&spot, "only an eight has two sizes", "write one, such as \"3 m\"");
            None
        }
    };
    stands_in(sizes)
}

fn phase(
    table: &Fields<'_>,
    shape: Shape,
    report: &mut Report<'_>,
) -> (f64, lanthorn_show::figure::PhaseSpread) {
    let (phase, spread) = (table.get("phase"), table.get("phase_spread"));
    for spot in phase.iter().chain(&spread).filter(|_| !shape.takes_phase()) {
        let (what, remedy) = match shape {
            Shape::Wander { .. } => ("lights that wander go each its own way", "leave it out"),
            _ => ("all lights do this together", "leave it out, or let them run a line or a wave"),
        };
        report.wrong(spot, what, remedy);
    }
    let phase = phase.and_then(|s| report.measure(&s, FRACTION)).unwrap_or(shape.usual_phase());
    let spread = spread.and_then(|s| report.choice(&s, PHASE_SPREADS)).unwrap_or_default();
    (phase, spread)
}

fn pace_of(table: &Fields<'_>, shape: Shape, report: &mut Report<'_>) -> Pace {
    let still = Pace::Round(Span::ZERO);
    if shape.moves() {
        return table.need("speed", "\"1 m/s\"", report).and_then(|s| pace(&s, report)).unwrap_or(still);
    }
    if let Some(spot) = table.get("speed") {
        report.wrong(&spot, "lights that hold do not move", "leave it out, or let them run a circle");
    }
    still
}

/// "1.5 m/s", "4 beats" or "6 s".
fn pace(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Pace> {
    let text = match &spot.node.data {
        Data::Text(text) => text.trim_end(),
        _ => "",
    };
    if text.ends_with("beat") || text.ends_with("beats") {
        return report.measure(spot, BEATS.between(0.5, 4096.0)).map(Pace::Beats);
    }
    if TIME.has_unit(text) {
        let secs = report.measure(spot, TIME.between(0.5, 3600.0));
        return secs.map(|secs| Pace::Round(Span::from_secs(secs)));
    }
    if text.ends_with(char::is_alphabetic) && !SPEED.has_unit(text) {
        let what = "a figure's speed is in m/s or cm/s, or in beats, s or min a round";
        report.wrong(spot, what, "write it such as \"1 m/s\", \"4 beats\" or \"6 s\"");
        return None;
    }
    report.measure(spot, SPEED.between(0.01, 20.0)).map(|speed| Pace::Speed(MetresPerSecond::new(speed)))
}

/// A word, or `{ faces = [x, y, z] }`.
fn plane(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Plane> {
    let Data::Table(_) = spot.node.data else { return report.choice(spot, FIGURE_PLANES) };
    let table = spot.fields(format!("{}, plane", spot.who), report)?;
    let faces = table.need("faces", "[0, -1, 1]", report);
    table.finish(report);
    let faces = faces?;
    let way = report.point(&faces)?;
    if Direction::new(way.x(), way.y(), way.z()).is_none() {
        report.wrong(&faces, "this points nowhere", "write which way it faces, such as [0, -1, 1]");
        return None;
    }
    Some(Plane::Facing(way.into()))
}

/// The figure that a part's lights run.
pub(super) fn of_part<'f>(
    spot: &Spot<'_>,
    aimed: bool,
    figures: &'f [Figure],
    report: &mut Report<'_>,
) -> Option<&'f Figure> {
    let name = report.name(spot)?;
    let Some(figure) = figures.iter().find(|figure| figure.name == name) else {
        report.no_such(spot, "figure", &name, figures.iter().map(|figure| figure.name.as_str()));
        return None;
    };
    if figure.centre.is_some() && aimed {
        let what = "this figure has a centre of its own, so the `aim` of this part does nothing";
        report.doubt(spot, what, "leave out one of the two");
    }
    if figure.centre.is_none() && !aimed {
        let what = "this figure runs about where the lights are aimed, and they are not";
        report.wrong(spot, what, "give this part an `aim`, or the figure a `centre`");
        return None;
    }
    Some(figure)
}

/// Doubts a figure that no light of the part can run, or whose path leaves the room.
pub(super) fn doubts(spot: &Spot<'_>, figure: &Figure, part: &Part, rig: &Rig, report: &mut Report<'_>) {
    // Inside its circle, wherever it wanders.
    let bounds = match figure.shape {
        Shape::Wander { across } => Figure { shape: Shape::Circle { across }, ..figure.clone() },
        _ => figure.clone(),
    };
    let courses = Course::of_part(part, &bounds, rig);
    if !courses.is_empty() && !courses.iter().any(|course| rig.units[course.unit].moves()) {
        report.doubt(spot, "none of these lights can follow it", "leave it out, or name lights that move");
        return;
    }
    let mut farthest = (OUTSIDE, None);
    for course in courses.iter().filter(|course| rig.units[course.unit].moves()).take(LIGHTS) {
        // Where the centre itself is outside, that is said already.
        if outside(course.centre, &rig.room) > OUTSIDE {
            continue;
        }
        for point in course.points(POINTS) {
            let out = outside(point, &rig.room);
            if out > farthest.0 + 1e-6 {
                farthest = (out, Some((rig.units[course.unit].number, point)));
            }
        }
    }
    if let (out, Some((number, at))) = farthest {
        let [x, y, z] = [at.x(), at.y(), at.z()].map(|metres| (metres * 10.0).round() / 10.0 + 0.0);
        let what = format!("the spot of light {number} leaves the room by {out:.1} m, at [{x}, {y}, {z}]");
        report.doubt(spot, &what, "make the figure smaller, or move what it runs about");
    }
}

/// How far outside the walls, the floor and the ceiling, metres.
fn outside(at: Point, room: &Room) -> f64 {
    let beyond = |value: f64, low: f64, high: f64| (low - value).max(value - high);
    let [x, y] = [room.x, room.y].map(|ends| ends.map(Metres::get));
    beyond(at.x(), x[0], x[1]).max(beyond(at.y(), y[0], y[1])).max(beyond(at.z(), 0.0, room.height.get()))
}
