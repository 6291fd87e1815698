//! The room: walls, platforms, audience, furniture, marks, hanging places.

use std::collections::BTreeMap;

use lanthorn_physics::Point;
use lanthorn_physics::units::{Kilograms, Metres, Radians};
use lanthorn_rig::room::Furniture;
use lanthorn_rig::sums::bar::{TUBES, Tube};
use lanthorn_rig::{Area, HangingPlace, Held, Legs, Mark, PlaceKind, Room};

use super::Unique;
use crate::quantity::{ANGLE, LENGTH, WEIGHT};
use crate::tree::Data;
use crate::walk::{Fields, Report, Spot};
use crate::words::{FURNITURE, PLACES};

/// Names of marks and where they are.
pub(super) type Marks = BTreeMap<String, Point>;

/// The room and where the controller stands. None only when there is no `[room]` at all.
pub(super) fn room(root: &Fields<'_>, report: &mut Report<'_>) -> Option<(Room, Option<Point>)> {
    let table = root.need("room", "{ … }", report)?.fields("room".to_owned(), report)?;
    let name = table.get("name").and_then(|s| report.name(&s)).unwrap_or_else(|| "room".to_owned());
    let x = table.need("x", "[-5, 5]", report).and_then(|s| report.span(&s, LENGTH));
    let y = table.need("y", "[-10, 4]", report).and_then(|s| report.span(&s, LENGTH));
    let height =
        table.need("height", "4.5", report).and_then(|s| report.measure(&s, LENGTH.between(1.0, 100.0)));
    let controller = table.get("controller").and_then(|s| report.point(&s));
    let platforms = areas(&table, "platform", report);
    let audience = areas(&table, "audience", report);
    let furniture = furniture(&table, report);
    let places = places(&table, report);
    let metres = |[a, b]: [f64; 2]| [Metres::new(a), Metres::new(b)];
    let known = x.is_some() && y.is_some() && height.is_some();
    let mut room = Room {
        name,
        x: metres(x.unwrap_or([-1.0, 1.0])),
        y: metres(y.unwrap_or([-1.0, 1.0])),
        height: Metres::new(height.unwrap_or(3.0)),
        platforms,
        audience,
        furniture,
        marks: Vec::new(),
        places,
    };
    room.marks = marks(&table, known.then_some(&room), report);
    table.finish(report);
    Some((room, controller))
}

/// Marks by name.
pub(super) fn marks_of(room: &Room) -> Marks {
    room.marks.iter().map(|mark| (mark.name.clone(), mark.at)).collect()
}

/// A point: a mark's name, or `[x, y, z]`.
pub(super) fn place_or_mark(spot: &Spot<'_>, marks: &Marks, report: &mut Report<'_>) -> Option<Point> {
    let Data::Text(name) = &spot.node.data else { return report.point(spot) };
    let found = marks.get(name).copied();
    if found.is_none() {
        report.no_such(spot, "mark", name, marks.keys().map(String::as_str));
    }
    found
}

fn areas(room: &Fields<'_>, key: &'static str, report: &mut Report<'_>) -> Vec<Area> {
    let mut list = Vec::new();
    for table in room.tables(key, report) {
        let name = table.get("name").and_then(|s| report.name(&s)).unwrap_or_else(|| key.to_owned());
        let x = table.need("x", "[-3, 3]", report).and_then(|s| report.span(&s, LENGTH));
        let y = table.need("y", "[1, 4]", report).and_then(|s| report.span(&s, LENGTH));
        let height = table.get("height").map(|s| report.measure(&s, LENGTH.between(0.0, 50.0)));
        table.finish(report);
        let height = Metres::new(height.flatten().unwrap_or(0.0));
        if let (Some(x), Some(y)) = (x, y) {
            list.push(Area { name, x: x.map(Metres::new), y: y.map(Metres::new), height });
        }
    }
    list
}

/// Things; a list of points stands for several of the same kind, which get numbers.
fn furniture(room: &Fields<'_>, report: &mut Report<'_>) -> Vec<Furniture> {
    let mut list = Vec::new();
    for table in room.tables("furniture", report) {
        let kind = table.need("kind", "\"table\"", report).and_then(|s| report.choice(&s, FURNITURE));
        let name = table.need("name", "\"top table\"", report).and_then(|s| report.name(&s));
        let at = table.need("at", "[0, 1, 0]", report).map(|s| points(&s, report)).unwrap_or_default();
        let size = table.need("size", "[1.8, 0.8, 0.75]", report);
        let size = size.and_then(|s| report.several(&s, "[1.8, 0.8, 0.75]: along x, y and z"));
        let size =
            size.map(|size: [Spot<'_>; 3]| size.map(|s| report.measure(&s, LENGTH.between(0.0, 100.0))));
        let turn = table.get("turn").and_then(|s| report.measure(&s, ANGLE)).map(Radians::new);
        table.finish(report);
        let (Some(kind), Some(name), Some([Some(x), Some(y), Some(z)])) = (kind, name, size) else {
            continue;
        };
        let several = at.len() > 1;
        for (index, at) in at.into_iter().enumerate() {
            let name = if several { format!("{name} {}", index + 1) } else { name.clone() };
            let size = [x, y, z].map(Metres::new);
            list.push(Furniture { name, kind, at, size, turn: turn.unwrap_or(Radians::ZERO) });
        }
    }
    list
}

/// One point, or a list of points.
fn points(spot: &Spot<'_>, report: &mut Report<'_>) -> Vec<Point> {
    match spot.items() {
        Some(items) if items.iter().any(|item| matches!(item.node.data, Data::List(_))) => {
            items.iter().filter_map(|item| report.point(item)).collect()
        }
        _ => report.point(spot).into_iter().collect(),
    }
}

/// Doubts a point that lies outside the walls or above the ceiling: often it was meant in centimetres.
pub(super) fn inside(spot: &Spot<'_>, at: Point, room: &Room, report: &mut Report<'_>) {
    let ([left, right], [near, far]) = (room.x.map(Metres::get), room.y.map(Metres::get));
    let top = room.height.get();
    let within = (left..=right).contains(&at.x()) && (near..=far).contains(&at.y()) && at.z() <= top;
    if !within {
        let what = format!("this is outside the room: x {left} to {right}, y {near} to {far}, up to {top} m");
        report.doubt(spot, &what, "check it; a point is in metres");
    }
}

fn marks(table: &Fields<'_>, room: Option<&Room>, report: &mut Report<'_>) -> Vec<Mark> {
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in table.tables("mark", report) {
        let name = table.need("name", "\"cake\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "mark", table.at, report);
            table.called(format!("mark \"{name}\""));
        }
        let spot = table.need("at", "[0, 1.5, 1.2]", report);
        let at = spot.as_ref().and_then(|spot| report.point(spot));
        if let (Some(spot), Some(at), Some(room)) = (&spot, at, room) {
            inside(spot, at, room, report);
        }
        table.finish(report);
        // A mark whose point cannot be read stands in all the same, as a place does.
        list.extend(name.map(|name| Mark { name, at: at.unwrap_or(Point::ORIGIN) }));
    }
    list
}

fn places(room: &Fields<'_>, report: &mut Report<'_>) -> Vec<HangingPlace> {
    let mut list = Vec::new();
    let mut seen = Unique::default();
    for mut table in room.tables("place", report) {
        let name = table.need("name", "\"front bar\"", report).and_then(|s| report.name(&s));
        if let Some(name) = &name {
            seen.check(name, "place", table.at, report);
            table.called(format!("place \"{name}\""));
        }
        let kind = table.need("kind", "\"bar\"", report).and_then(|s| report.choice(&s, PLACES));
        let middle = table.need("middle", "[0, -1, 3.6]", report).and_then(|s| report.point(&s));
        let length = match table.get("length") {
            Some(spot) => report.measure(&spot, LENGTH.between(0.0, 100.0)),
            None if kind == Some(PlaceKind::Stand) => Some(0.0),
            None => {
                table.need("length", "6", report);
                None
            }
        };
        let turn = table.get("turn").and_then(|s| report.measure(&s, ANGLE)).map(Radians::new);
        let weight = |key, report: &mut Report<'_>| {
            table.get(key).and_then(|spot| report.measure(&spot, WEIGHT)).map(Kilograms::new)
        };
        let (rated, own_weight) = (weight("rated", report), weight("own_weight", report));
        let held = held(&table, kind, report);
        table.finish(report);
        // A place that cannot be used stands in all the same, so that lights on it are not complained about too.
        list.extend(name.map(|name| HangingPlace {
            name,
            kind: kind.unwrap_or(PlaceKind::Bar),
            middle: middle.unwrap_or(Point::ORIGIN),
            length: Metres::new(length.unwrap_or(0.0)),
            turn: turn.unwrap_or(Radians::ZERO),
            rated,
            own_weight,
            held,
        }));
    }
    list
}

/// What holds a place up.
fn held(table: &Fields<'_>, kind: Option<PlaceKind>, report: &mut Report<'_>) -> Held {
    let points = table.get("points").and_then(|s| report.span(&s, LENGTH.between(-50.0, 50.0)));
    let weight = |key, report: &mut Report<'_>| {
        table.get(key).and_then(|spot| report.measure(&spot, WEIGHT)).map(Kilograms::new)
    };
    let point_rated = weight("point_rated", report);
    let tube = table.get("tube").and_then(|spot| {
        let name = report.name(&spot)?;
        let found = Tube::read(&name);
        if found.is_none() {
            report.no_such(&spot, "tube", &name, TUBES.iter().map(|tube| tube.name));
        }
        found
    });
    let spot = table.get("legs");
    let count = spot.as_ref().and_then(|s| report.whole(s, 3, 8)).map(|count| count as u8);
    let radius = table.get("leg_radius").and_then(|s| report.measure(&s, LENGTH.between(0.05, 10.0)));
    let ballast = weight("ballast", report).unwrap_or(Kilograms::ZERO);
    let outdoors = table.get("outdoors").and_then(|s| report.flag(&s)).unwrap_or(false);
    if let Some(spot) = spot.filter(|_| kind.is_some_and(|kind| kind != PlaceKind::Stand)) {
        report.wrong(&spot, "only a stand has legs", "leave it out, or write kind = \"stand\"");
    }
    let legs = count.zip(radius).map(|(count, radius)| Legs { count, radius: Metres::new(radius), ballast });
    Held { points: points.map(|pair| pair.map(Metres::new)), point_rated, tube, legs, outdoors }
}
