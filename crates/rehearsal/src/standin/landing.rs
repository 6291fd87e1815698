//! Where a beam lands: floor, walls, ceiling, and the tops and sides of platforms.

use lanthorn_physics::beam::{Ellipse, Face, hits_box, illuminance, spot_ellipse};
use lanthorn_physics::units::{Lux, Metres};
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::{Area, Room};

use super::now::BeamNow;

/// Where the middle of a beam lands.
#[derive(Clone, Debug, PartialEq)]
pub struct SpotNow {
    /// Where the axis meets the surface.
    pub at: Point,
    /// Of what.
    pub surface: Surface,
    /// Unit normal of the surface, into the room.
    pub normal: Direction,
    /// Distance from the lens.
    pub throw: Metres,
    /// On the surface at `at`; none when the light's brightness is not known.
    pub lux: Option<Lux>,
    /// Edge of the half-peak spot on the surface's plane; none when it has no end there.
    pub ellipse: Option<Ellipse>,
}

/// What a beam lands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// A side of the room.
    Room(Face),
    /// Top of a platform, by place in [`Room::platforms`].
    PlatformTop(usize),
    /// A side of a platform.
    PlatformSide(usize),
}

impl Surface {
    /// In words: "floor", "far wall", a platform's name.
    pub fn name(self, room: &Room) -> &str {
        match self {
            Self::Room(Face::Floor) => "floor",
            Self::Room(Face::Ceiling) => "ceiling",
            Self::Room(Face::Left) => "left wall",
            Self::Room(Face::Right) => "right wall",
            Self::Room(Face::Near) => "near wall",
            Self::Room(Face::Far) => "far wall",
            Self::PlatformTop(place) | Self::PlatformSide(place) => {
                room.platforms.get(place).map_or("platform", |platform| &platform.name)
            }
        }
    }
}

pub(super) fn spot(room: &Room, beam: &BeamNow) -> Option<SpotNow> {
    let (at, normal, surface) = hit(room, beam.from, beam.along)?;
    Some(SpotNow {
        at,
        surface,
        normal,
        throw: beam.from.distance(at),
        lux: beam.candela.map(|candela| illuminance(candela, beam.from, at, normal)),
        ellipse: spot_ellipse(beam.from, beam.along, beam.shape.beam / 2.0, at, normal),
    })
}

/// The first surface on the way.
fn hit(room: &Room, from: Point, along: Direction) -> Option<(Point, Direction, Surface)> {
    let metres = |pair: [Metres; 2]| pair.map(Metres::get);
    let (at, normal, face) = hits_box(from, along, metres(room.x), metres(room.y), [0.0, room.height.get()])?;
    let mut nearest = (from.distance(at), at, normal, Surface::Room(face));
    for (place, platform) in room.platforms.iter().enumerate() {
        let Some((distance, normal, top)) = enters(platform, from, along) else { continue };
        if distance < nearest.0 {
            let surface = if top { Surface::PlatformTop(place) } else { Surface::PlatformSide(place) };
            nearest = (distance, from.along(along, distance), normal, surface);
        }
    }
    let (_, at, normal, surface) = nearest;
    Some((at, normal, surface))
}

/// Where a ray from outside enters a platform: how far on, the normal, and whether through its top. By slabs: it is
/// inside when it is between all three pairs of planes.
fn enters(platform: &Area, from: Point, along: Direction) -> Option<(Metres, Direction, bool)> {
    let bounds = [platform.x.map(Metres::get), platform.y.map(Metres::get), [0.0, platform.height.get()]];
    let (start, ahead): ([f64; 3], [f64; 3]) = (from.into(), along.into());
    let (mut entry, mut exit, mut through) = (f64::NEG_INFINITY, f64::INFINITY, 0);
    for axis in 0..3 {
        let [low, high] = bounds[axis];
        if ahead[axis].abs() < 1e-12 {
            if start[axis] <= low || start[axis] >= high {
                return None;
            }
            continue;
        }
        let (a, b) = ((low - start[axis]) / ahead[axis], (high - start[axis]) / ahead[axis]);
        if a.min(b) > entry {
            (entry, through) = (a.min(b), axis);
        }
        exit = exit.min(a.max(b));
    }
    if entry < 0.0 || entry >= exit {
        return None;
    }
    let mut normal = [0.0; 3];
    normal[through] = -ahead[through].signum();
    Some((Metres::checked(entry)?, Direction::new(normal[0], normal[1], normal[2])?, through == 2))
}
