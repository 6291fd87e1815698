//! What lights can do, and which of them do it together.

use lanthorn_fixture::mode::RangeKind;
use lanthorn_fixture::profile::{Kind, Profile};
use lanthorn_fixture::{Attribute, Encoder, Mode};
use lanthorn_physics::Point;
use lanthorn_physics::colour::{Chromaticity, Xyz};
use lanthorn_physics::eye;
use lanthorn_physics::units::Radians;
use lanthorn_rig::aim::Head;
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::shine::Shine;
use lanthorn_rig::{Rig, Unit};

use super::hang::Spot;
use super::room::Space;

/// The most blue-weighted light at an eye that is planned, W/m² (IEC 62471 draws its line for small sources at 1).
const BLUE: f64 = 0.8;

/// Heights of eyes above what people stand on, metres.
const EYE: f64 = 1.6;

/// A beam that falls by less than this part of its length is flat.
const FLAT: f64 = 0.4;

/// How near one comes to a light on a stand, metres.
const CLOSE: f64 = 1.2;

/// What one light is, as far as a show is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    /// A head with a soft beam.
    Wash,
    /// A head with a hard beam and gobos.
    Spot,
    /// Stands still and has colours.
    Colour,
    /// Likewise, with several heads side by side.
    Cells,
    /// Stands still and has one white.
    White,
    Strobe,
    Hazer,
    /// Dimmers: what is plugged in nobody knows.
    Pack,
    /// Outlets that are on or off.
    Switch,
    /// What blinds, bursts, turns or is hardly seen: no look has it until a person puts it there.
    Extra,
}

impl Class {
    pub(super) fn of(profile: &Profile, mode: usize) -> Self {
        let mode_of = &profile.modes[mode];
        let knows_travel = |movement: &lanthorn_fixture::profile::Movement| {
            movement.pan_travel.is_known() && movement.tilt_travel.is_known()
        };
        let moves = profile.movement.as_ref().is_some_and(knows_travel)
            && has(mode_of, &Attribute::Pan)
            && has(mode_of, &Attribute::Tilt);
        match profile.kind {
            Kind::Strobe => Self::Strobe,
            Kind::Hazer => Self::Hazer,
            Kind::Fogger | Kind::Machine | Kind::Blinder | Kind::Effect | Kind::Scanner => Self::Extra,
            _ if hardly_seen(profile) => Self::Extra,
            Kind::Dimmer if switches(mode_of) => Self::Switch,
            Kind::Dimmer => Self::Pack,
            _ if !Encoder::new(profile, mode).gives_light() => Self::Pack,
            Kind::SpotHead if moves => Self::Spot,
            _ if moves => Self::Wash,
            Kind::Bar => Self::Cells,
            _ if mode_of.heads > 1 => Self::Cells,
            _ if has_colours(profile, mode) => Self::Colour,
            _ => Self::White,
        }
    }
}

/// Its light is ultraviolet and nothing else.
fn hardly_seen(profile: &Profile) -> bool {
    let invisible = |emitter: &lanthorn_fixture::Emitter| emitter.attribute == Attribute::ColorAddUV;
    !profile.emitters.is_empty() && profile.emitters.iter().all(invisible)
}

fn has(mode: &Mode, attribute: &Attribute) -> bool {
    mode.channels.iter().any(|channel| channel.ranges.iter().any(|range| range.attribute == *attribute))
}

/// Its levels are on or off, and nothing between.
fn switches(mode: &Mode) -> bool {
    let ranges = mode.channels.iter().flat_map(|channel| &channel.ranges);
    let mut levels = ranges.filter(|range| range.attribute == Attribute::Dimmer).peekable();
    levels.peek().is_some() && levels.all(|range| range.kind == RangeKind::Fixed)
}

/// Mixes colours, or has them on a wheel.
fn has_colours(profile: &Profile, mode: usize) -> bool {
    let encoder = Encoder::new(profile, mode);
    encoder.mixes() || encoder.nearest_slot(Some(Chromaticity::D65)).is_some()
}

/// The mode with most to offer: of those that give steady light the one with most channels.
pub(super) fn best_mode(profile: &Profile) -> usize {
    let key = |index: &usize| {
        let steady = !profile.kind.gives_light() || Encoder::new(profile, *index).steady_light();
        (steady, profile.modes[*index].footprint().min(512), std::cmp::Reverse(*index))
    };
    (0..profile.modes.len()).max_by_key(key).unwrap_or(0)
}

/// Name of the group of outlets that are on or off.
pub(super) const SWITCHES: &str = "switches";

/// What lights of a group are for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// Faces, from the front, in colours too.
    Front,
    /// Faces, from the front, in one white.
    White,
    /// Colour up the walls, from the floor.
    Walls,
    /// Colour down from the bar at the back.
    Back,
    /// Washes that hang in front.
    Washes,
    /// Spots that hang in front.
    Spots,
    /// Heads on the bar at the back.
    BackHeads,
    /// Heads that stand on the floor.
    FloorHeads,
    Strobes,
    Haze,
    Packs,
    Switches,
    Extras,
}

impl Role {
    const ALL: [(Self, &'static str); 13] = [
        (Self::Washes, "washes"),
        (Self::Spots, "spots"),
        (Self::BackHeads, "back heads"),
        (Self::FloorHeads, "floor heads"),
        (Self::Front, "front"),
        (Self::White, "front white"),
        (Self::Walls, "walls"),
        (Self::Back, "back"),
        (Self::Strobes, "strobes"),
        (Self::Haze, "haze"),
        (Self::Packs, "dimmers"),
        (Self::Switches, SWITCHES),
        (Self::Extras, "extras"),
    ];

    fn of(rig: &Rig, unit: &Unit) -> Self {
        let place = rig.room.places[unit.place].name.as_str();
        let back = place == Spot::BackBar.name();
        match Class::of(&unit.profile, unit.mode) {
            Class::Strobe => Self::Strobes,
            Class::Hazer => Self::Haze,
            Class::Pack => Self::Packs,
            Class::Switch => Self::Switches,
            Class::Extra => Self::Extras,
            Class::Wash | Class::Spot if unit.up == WayUp::Standing => Self::FloorHeads,
            Class::Wash | Class::Spot if back => Self::BackHeads,
            Class::Wash => Self::Washes,
            Class::Spot => Self::Spots,
            Class::Colour | Class::Cells if unit.up == WayUp::Standing => Self::Walls,
            Class::Colour | Class::Cells if back => Self::Back,
            Class::Colour | Class::Cells => Self::Front,
            Class::White if unit.up == WayUp::Standing => Self::Walls,
            Class::White if back => Self::Back,
            Class::White => Self::White,
        }
    }
}

/// Lights that do a thing together, from left to right.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub(super) role: Role,
    pub(super) name: &'static str,
    /// Places in the rig.
    pub(super) units: Vec<usize>,
    /// All of them have colours.
    pub(super) colours: bool,
    /// Names of their gobos, where all have the same; the open one left out.
    pub(super) gobos: Vec<String>,
    /// All of them have a zoom.
    pub(super) zoom: bool,
    /// All of them are rows of cells.
    pub(super) cells: bool,
}

/// Every group of a rig, in the order of the roles. Heads that cannot reach all marks are in none.
pub(super) fn groups(rig: &Rig) -> Vec<Group> {
    let mut groups = Vec::new();
    for (role, name) in Role::ALL {
        let fits = |unit: &usize| Role::of(rig, &rig.units[*unit]) == role && reaches(rig, *unit);
        let mut units: Vec<usize> = (0..rig.units.len()).filter(fits).collect();
        if units.is_empty() {
            continue;
        }
        let across = |unit: &usize| {
            let at = rig.position(&rig.units[*unit]);
            [at.x(), at.y()]
        };
        units.sort_by(|a, b| {
            let ([ax, ay], [bx, by]) = (across(a), across(b));
            ax.total_cmp(&bx).then(ay.total_cmp(&by)).then(a.cmp(b))
        });
        let every = |what: &dyn Fn(&Unit) -> bool| units.iter().all(|unit| what(&rig.units[*unit]));
        let first = gobos(&rig.units[units[0]]);
        let same = every(&|unit| gobos(unit) == first);
        groups.push(Group {
            role,
            name,
            colours: every(&|unit| has_colours(&unit.profile, unit.mode)),
            zoom: every(&|unit| has(unit.mode(), &Attribute::Zoom)),
            cells: every(&|unit| Class::of(&unit.profile, unit.mode) == Class::Cells),
            gobos: if same { first } else { Vec::new() },
            units,
        });
    }
    groups
}

/// A light that does not move, or a head that reaches every mark.
fn reaches(rig: &Rig, unit: usize) -> bool {
    let Some(head) = Head::new(rig, &rig.units[unit]) else { return true };
    let home = (Radians::ZERO, Radians::ZERO);
    rig.room.marks.iter().all(|mark| head.solve(mark.at, home).best().is_some())
}

/// Names of a light's gobos, without the open place.
fn gobos(unit: &Unit) -> Vec<String> {
    let known = has(unit.mode(), &Attribute::Gobo1);
    let wheel = unit.profile.wheels.iter().find(|wheel| known && wheel.attribute == Attribute::Gobo1);
    let slots = wheel.map(|wheel| wheel.slots.iter().map(|slot| slot.name.clone()));
    slots.into_iter().flatten().filter(|name| name != "open").collect()
}

/// How the slot of a light's colour wheel is called that comes nearest to a colour; none for lights that mix.
fn slot_word(unit: &Unit, meant: Chromaticity) -> Option<String> {
    let encoder = Encoder::new(&unit.profile, unit.mode);
    if encoder.mixes() {
        return None;
    }
    let wheel = unit.profile.wheels.iter().find(|wheel| wheel.attribute == Attribute::Color1)?;
    let off = |slot: &Chromaticity| {
        let ([hue, strong], [other, weak]) = (hue(meant), hue(*slot));
        // White for white; of colours that of the nearest hue, and of two as near the one as strong.
        let turn = (hue - other).abs().min(TAU - (hue - other).abs());
        match (strong < PALE, weak < PALE) {
            (true, _) => meant.distance_uv(*slot),
            (false, true) => TAU,
            (false, false) => turn + STRENGTH * (strong - weak).abs(),
        }
    };
    let known = wheel
        .slots
        .iter()
        .enumerate()
        .filter_map(|(place, slot)| Some((place, slot, slot.chromaticity.value()?)));
    let (place, slot, chromaticity) = known.min_by(|a, b| off(&a.2).total_cmp(&off(&b.2)))?;
    let leads_there = |word: &str| {
        let read = lanthorn_physics::colour::parse(word).ok()?;
        (encoder.nearest_slot(Some(read.chromaticity)) == u8::try_from(place + 1).ok())
            .then(|| word.to_owned())
    };
    leads_there(&slot.name)
        .or_else(|| leads_there(&format!("xy {:.3} {:.3}", chromaticity.x, chromaticity.y)))
}

/// A whole turn.
const TAU: f64 = std::f64::consts::TAU;

/// How much a difference in strength (u′v′) counts beside one in hue (radians).
const STRENGTH: f64 = 2.0;

/// Nearer to white than this in u′v′, a colour is a white.
const PALE: f64 = 0.03;

/// Hue about white, radians, and distance from it, in u′v′.
fn hue(colour: Chromaticity) -> [f64; 2] {
    let ([u, v], [u0, v0]) = (colour.uv_prime(), Chromaticity::D65.uv_prime());
    [(v - v0).atan2(u - u0), (u - u0).hypot(v - v0)]
}

impl Group {
    /// The colour word or swatch that a group is told: a wheel is told its own slot that is nearest in hue.
    pub(super) fn colour(&self, rig: &Rig, swatch: &'static str, colour: &str) -> String {
        let meant = lanthorn_physics::colour::parse(colour).ok().map(|target| target.chromaticity);
        let slot = |unit: &Unit| slot_word(unit, meant?);
        let names: Option<Vec<String>> = self.units.iter().map(|unit| slot(&rig.units[*unit])).collect();
        match names.as_deref() {
            Some([first, rest @ ..]) if rest.iter().all(|name| name == first) => first.clone(),
            _ => swatch.to_owned(),
        }
    }

    /// The most of the level that is planned, 0 to 1, so that nobody who stands in a still beam and looks into it has
    /// more blue light in the eye than [`BLUE`].
    pub(super) fn most(&self, rig: &Rig, colours: &[String], aims: &[Point], zoom: Option<Radians>) -> f64 {
        let mut worst = 0.0_f64;
        for unit in self.units.iter().map(|unit| &rig.units[*unit]) {
            let Some(shine) = Shine::new(rig, unit) else { continue };
            let encoder = Encoder::new(&unit.profile, unit.mode);
            // A light that does not move shines where it was pointed.
            let focus = unit.focus.filter(|_| !shine.moves());
            for aim in focus.iter().chain(aims) {
                let Some(axis) = shine.pivot.towards(*aim) else { continue };
                // Where the beam comes down to the height of eyes; a flat one may meet them anywhere.
                let (down, above) = (-axis.z(), shine.pivot.z() - EYE);
                let along = if down < FLAT { CLOSE } else { (above / down).max(CLOSE / 2.0) };
                let eye = shine.pivot.along(axis, lanthorn_physics::units::Metres::new(along));
                for colour in colours {
                    let meant =
                        lanthorn_physics::colour::parse(colour).ok().map(|target| target.chromaticity);
                    let meant = meant.filter(|_| self.colours);
                    let seen = meant.and_then(|meant| encoder.reach(meant)).or(encoder.own_white());
                    let at_eye = shine.lux(0, axis, (meant, zoom), eye, axis.reversed());
                    if let (Some(lux), seen) = (at_eye, seen.unwrap_or(Chromaticity::D65)) {
                        worst = worst.max(eye::blue_light(Xyz::from_chromaticity(seen, lux.get())));
                    }
                }
            }
        }
        if worst > BLUE { (BLUE / worst).sqrt() } else { 1.0 }
    }

    /// Light that the group throws on a face at full, lux.
    pub(super) fn on_face(&self, rig: &Rig, colour: &str, face: Point, zoom: Option<Radians>) -> f64 {
        let meant = lanthorn_physics::colour::parse(colour).ok().map(|target| target.chromaticity);
        let Some(towards) = lanthorn_physics::Direction::new(0.0, -1.0, 0.0) else { return 0.0 };
        let units = self.units.iter().map(|unit| &rig.units[*unit]);
        let lux = |unit: &Unit| {
            let shine = Shine::new(rig, unit)?;
            let axis = shine.axis(Some(face))?;
            let meant = meant.filter(|_| self.colours);
            let each = |head| shine.lux(head, axis, (meant, zoom), face, towards).map(|lux| lux.get());
            (0..shine.lenses.len()).map(each).sum::<Option<f64>>()
        };
        units.filter_map(lux).sum()
    }

    /// Its lights follow an aim.
    pub(super) const fn is_heads(&self) -> bool {
        matches!(self.role, Role::Washes | Role::Spots | Role::BackHeads | Role::FloorHeads)
    }

    /// Numbers of its lights.
    pub(super) fn numbers(&self, rig: &Rig) -> Vec<u32> {
        self.units.iter().map(|unit| rig.units[*unit].number).collect()
    }

    /// Numbers of the lights in its middle, so many at most.
    pub(super) fn middle(&self, rig: &Rig, most: usize, space: &Space) -> Vec<u32> {
        let off = |unit: &usize| {
            let at = rig.position(&rig.units[*unit]);
            at.x().abs() + (at.y() - space.front_bar).abs()
        };
        let mut units = self.units.clone();
        units.sort_by(|a, b| off(a).total_cmp(&off(b)));
        // As many on the left as on the right.
        units.truncate(if self.units.len() % 2 == most % 2 { most } else { most.saturating_sub(1).max(1) });
        let mut numbers: Vec<u32> = units.into_iter().map(|unit| rig.units[unit].number).collect();
        numbers.sort_unstable();
        numbers
    }
}
