//! Hanging places, which rig files name but do not draw: worked out from the lights that hang on them.

use std::collections::BTreeMap;

use lanthorn_physics::Point;
use lanthorn_physics::units::{Metres, Radians};
use lanthorn_rig::place::{Held, PlaceKind};
use lanthorn_rig::{HangingPlace, rig::WayUp};

use super::frame::EDGE;
use super::scene::{Own, Scene};
use crate::words::PLACES;
use crate::xml::notes::{Notes, unused};

/// How far lights of one bar may be off its line.
const LINE: f64 = 0.05;
/// How near a light is to the truss that it hangs on.
const NEAR: f64 = 1.0;
/// What a bar is longer than what hangs on it.
const SPARE: f64 = 0.5;

/// Where each light is: its place, and how far along.
pub(super) type Hung = Vec<(usize, Metres)>;

/// The places, and where on them the lights are, in the order of the scene.
pub(super) fn places(
    scene: &Scene<'_>,
    shift: [f64; 3],
    notes: &mut Notes<'_>,
    asks: &mut Vec<String>,
) -> (Vec<HangingPlace>, Hung) {
    let at: Vec<Point> = scene.lights.iter().map(|light| light.frame.place_m(shift)).collect();
    let mut places: Vec<HangingPlace> = Vec::new();
    let mut hung: Hung = vec![(0, Metres::ZERO); at.len()];
    let mut guessed = Vec::new();
    for (name, kind, lights) in groups(scene, &at, shift) {
        if let Some(place) = scene.own.as_ref().and_then(|own| own_place(own, &name))
            && lights.iter().all(|light| distance(&place, at[*light]) < 2.0 * LINE)
        {
            lights.iter().for_each(|light| hung[*light] = (places.len(), along(&place, at[*light])));
            places.push(place);
            continue;
        }
        for line in lines(&lights, &at) {
            let name = unused(&name, |name| places.iter().any(|place| place.name == name));
            let standing = line.iter().all(|light| scene.lights[*light].frame.turned().up == WayUp::Standing);
            let place = fitted(name, kind, standing, &line, &at);
            guessed.push(place.name.clone());
            line.iter().for_each(|light| hung[*light] = (places.len(), along(&place, at[*light])));
            places.push(place);
        }
    }
    if let Some(own) = &scene.own {
        let empty: Vec<HangingPlace> = own.places.keys().filter_map(|name| own_place(own, name)).collect();
        for place in empty {
            if places.iter().all(|known| known.name != place.name) {
                places.push(place);
            }
        }
    }
    if !guessed.is_empty() {
        let list: Vec<&str> = guessed.iter().take(12).map(String::as_str).collect();
        let more = if guessed.len() > list.len() { ", …" } else { "" };
        asks.push(format!("Where hanging places are and how long is worked out from the lights on them: {}{more}. Look at each.", list.join(", ")));
    }
    if shift.iter().any(|part| part.abs() > 0.0) {
        let what = format!(
            "the rig stands far from the origin and is moved by {}, {}, {} m",
            -shift[0], -shift[1], -shift[2]
        );
        notes.doubt_at(0, "", &what, "check its place in the room");
    }
    let far = format!("it stands more than {EDGE} m from the rest, and is put there");
    for light in scene.lights.iter().filter(|light| light.frame.is_beyond(shift)) {
        notes.doubt(light.node, "", &far, "check its place in the room");
    }
    for point in scene.points.iter().filter(|point| point.frame.is_beyond(shift)) {
        notes.doubt_at(0, &format!("point \"{}\"", point.name), &far, "check its place in the room");
    }
    (places, hung)
}

/// Lights that belong together by what the file says: a named position, else the truss that is near, else nothing.
fn groups(scene: &Scene<'_>, at: &[Point], shift: [f64; 3]) -> Vec<(String, Option<PlaceKind>, Vec<usize>)> {
    let mut named: BTreeMap<(String, u8), Vec<usize>> = BTreeMap::new();
    for (index, light) in scene.lights.iter().enumerate() {
        let position = light.position.as_ref();
        let own = position.and_then(|id| scene.positions.get(id)).map(|name| (name.clone(), 0));
        let by_id = || position.and_then(|id| scene.trusses.iter().find(|truss| truss.id == *id));
        let near = || {
            let far = |truss: &&super::scene::Named| {
                let (from, heading) = (truss.frame.place_m(shift), truss.frame.heading());
                let (sin, cos) = libm::sincos(heading.get());
                let (dx, dy) = (at[index].x() - from.x(), at[index].y() - from.y());
                libm::hypot(dy * cos - dx * sin, at[index].z() - from.z())
            };
            let nearest = scene.trusses.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
            nearest.filter(|truss| far(truss) < NEAR)
        };
        let truss = || by_id().or_else(near).map(|truss| (truss.name.clone(), 1));
        let key = own.or_else(truss).unwrap_or_else(|| (String::new(), 2));
        named.entry(key).or_default().push(index);
    }
    let mut list = Vec::new();
    for ((name, how), lights) in named {
        let kind = (how == 1).then_some(PlaceKind::Truss);
        if how < 2 {
            list.push((name, kind, lights));
            continue;
        }
        // Without any word, what is on the floor and what hangs are told apart.
        let (low, high): (Vec<usize>, Vec<usize>) =
            lights.into_iter().partition(|light| at[*light].z() < 0.3);
        if !low.is_empty() {
            list.push(("floor".to_owned(), Some(PlaceKind::Floor), low));
        }
        if !high.is_empty() {
            list.push(("bar".to_owned(), None, high));
        }
    }
    list
}

fn own_place(own: &Own, name: &str) -> Option<HangingPlace> {
    let (kind, [x, y, z], length, turn) = own.places.get(name)?;
    let kind = PLACES.iter().find(|(word, _)| word == kind)?.1;
    let possible = [*x, *y, *z].iter().all(|part| part.abs() < 1000.0)
        && (0.0..=100.0).contains(length)
        && turn.abs() <= 720.0;
    possible.then(|| place(name.to_owned(), kind, Point::new(*x, *y, *z), *length, Radians::from_deg(*turn)))
}

fn place(name: String, kind: PlaceKind, middle: Point, length: f64, turn: Radians) -> HangingPlace {
    HangingPlace {
        name,
        kind,
        middle,
        length: Metres::new(length),
        turn,
        rated: None,
        own_weight: None,
        held: Held::default(),
    }
}

/// Lights sorted into straight, level lines: all on one where they are, else by height, else by depth, else by width, else
/// each on its own.
fn lines(lights: &[usize], at: &[Point]) -> Vec<Vec<usize>> {
    if is_line(lights, at) {
        return vec![lights.to_vec()];
    }
    let ways: [fn(&Point) -> f64; 3] = [|point| point.z(), |point| point.y(), |point| point.x()];
    for way in ways {
        let split = clusters(lights, at, way);
        if split.len() > 1 {
            return split.iter().flat_map(|part| lines(part, at)).collect();
        }
    }
    lights.iter().map(|light| vec![*light]).collect()
}

fn clusters(lights: &[usize], at: &[Point], way: fn(&Point) -> f64) -> Vec<Vec<usize>> {
    let mut sorted = lights.to_vec();
    sorted.sort_by(|a, b| way(&at[*a]).total_cmp(&way(&at[*b])));
    let mut list: Vec<Vec<usize>> = Vec::new();
    for light in sorted {
        match list.last_mut() {
            Some(last) if last.first().is_some_and(|first| way(&at[light]) - way(&at[*first]) <= LINE) => {
                last.push(light)
            }
            _ => list.push(vec![light]),
        }
    }
    list.iter_mut().for_each(|cluster| cluster.sort_unstable());
    list
}

fn is_line(lights: &[usize], at: &[Point]) -> bool {
    let Some((from, to)) = ends(lights, at) else { return true };
    let (dx, dy) = (to.x() - from.x(), to.y() - from.y());
    let length = libm::hypot(dx, dy);
    let level = lights.iter().all(|light| (at[*light].z() - from.z()).abs() <= LINE);
    let near = |light: &usize| {
        let (px, py) = (at[*light].x() - from.x(), at[*light].y() - from.y());
        length < LINE || (px * dy - py * dx).abs() / length <= LINE
    };
    level && lights.iter().all(near) && length < 99.0
}

/// The two that are farthest from each other, as good as: the one farthest from the first, and the one farthest from that.
fn ends(lights: &[usize], at: &[Point]) -> Option<(Point, Point)> {
    let first = at[*lights.first()?];
    let farthest = |from: Point| {
        let points = lights.iter().map(|light| at[*light]);
        points.max_by(|a, b| from.distance(*a).get().total_cmp(&from.distance(*b).get())).unwrap_or(from)
    };
    let to = farthest(first);
    Some((farthest(to), to))
}

/// A place through these lights.
fn fitted(
    name: String,
    kind: Option<PlaceKind>,
    standing: bool,
    lights: &[usize],
    at: &[Point],
) -> HangingPlace {
    let (from, to) = ends(lights, at).unwrap_or((Point::ORIGIN, Point::ORIGIN));
    let (from, to) = if (to.x(), to.y()) < (from.x(), from.y()) { (to, from) } else { (from, to) };
    let (dx, dy) = (to.x() - from.x(), to.y() - from.y());
    let length = libm::hypot(dx, dy);
    let turn = if length > LINE { Radians::new(libm::atan2(dy, dx)) } else { Radians::ZERO };
    let turn = Radians::from_deg((turn.deg() * 1e4).round() / 1e4 + 0.0);
    let middle = from.lerp(to, 0.5);
    let kind = kind.unwrap_or(match (middle.z() < 0.3, standing && lights.len() == 1) {
        (true, _) => PlaceKind::Floor,
        (false, true) => PlaceKind::Stand,
        (false, false) => PlaceKind::Bar,
    });
    let round = |value: f64| (value * 1e6).round() / 1e6;
    let middle = Point::new(round(middle.x()), round(middle.y()), round(middle.z()));
    let length = if kind == PlaceKind::Stand && length < LINE { 0.0 } else { (length + SPARE) * 100.0 };
    place(name, kind, middle, length.ceil() / 100.0, turn)
}

/// How far along a place a point is, from its middle.
fn along(place: &HangingPlace, point: Point) -> Metres {
    let (sin, cos) = libm::sincos(place.turn.get());
    let along = (point.x() - place.middle.x()) * cos + (point.y() - place.middle.y()) * sin;
    Metres::new((along * 1e6).round() / 1e6 + 0.0)
}

fn distance(place: &HangingPlace, point: Point) -> f64 {
    place.at(along(place, point)).distance(point).get()
}
