//! Lights as placed, addressed, cabled and powered.

use std::sync::Arc;

use lanthorn_dmx::{Address, Frames};
use lanthorn_fixture::decode::{Reading, decode};
use lanthorn_fixture::{Mode, Profile};
use lanthorn_physics::units::{Amps, Hertz, Metres, Radians, Seconds, VoltAmps, Volts, WattHours};
use lanthorn_physics::{Direction, Point, Rotation};

use crate::Room;
use crate::sight::{Pose, Problem, Sight, solve};
use crate::sums::cable::Size;
use crate::sums::electric::{Curve, Region};
use crate::sums::stock::USUAL_M;

/// How far from its base plate a light's beams start, as a part of its height (common practice, no source).
pub const PIVOT_DEPTH: f64 = 0.6;

/// Sights that leave a mean miss beyond this, 95 %, are not believed over the plan: a light that was hung by eye, seven
/// degrees off, misses by as much at five metres.
const BETTER_THAN_PLANNED: Metres = Metres::new(0.6);

/// The rig. Built by a reader of files or by hand, then checked by [`crate::plan`]; whatever is wrong in it becomes a
/// finding, never a panic.
#[derive(Clone, Debug, PartialEq)]
pub struct Rig {
    /// The room it stands in.
    pub room: Room,
    /// Every light, ascending by number, numbers unique.
    pub units: Vec<Unit>,
    /// Lights used together; order matters for spreads.
    pub groups: Vec<Group>,
    /// Breakers or fuses and their sockets.
    pub circuits: Vec<Circuit>,
    /// Where the controller (laptop, interface) stands.
    pub controller: Option<Point>,
    /// Mains of the region.
    pub mains: Mains,
    /// The limits that are on by default.
    pub limits: Limits,
    /// Lengths of the cables that one owns.
    pub stock: Stock,
}

/// Lengths in which one has cables; how many of each is not counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// Data cables.
    pub data: Vec<Metres>,
    /// Power leads.
    pub power: Vec<Metres>,
}

/// One physical light with its number.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// Its number, from 1.
    pub number: u32,
    /// What kind of light.
    pub profile: Arc<Profile>,
    /// Index into the profile's modes.
    pub mode: usize,
    /// Index into the room's hanging places.
    pub place: usize,
    /// Along the place from its middle.
    pub offset: Metres,
    /// Which way up.
    pub up: WayUp,
    /// Turn about the vertical, right-handed seen from above; zero is the drawn position, front to the audience.
    pub turn: Radians,
    /// For a light clamped at an angle: lean about its own X axis, after which `turn` applies.
    pub lean: Radians,
    /// Pan runs the other way.
    pub pan_invert: bool,
    /// Tilt runs the other way.
    pub tilt_invert: bool,
    /// Pan and tilt channels are swapped.
    pub swap: bool,
    /// For a light without pan and tilt: where a person points it when rigging.
    pub focus: Option<Point>,
    /// How it runs.
    pub run: Run,
    /// Index into the circuits.
    pub circuit: Option<usize>,
    /// Name of its data line; lights of one line are cabled in the order of `line_order`.
    pub line: Option<String>,
    /// Place in the line's order; ties by number.
    pub line_order: u32,
    /// How it gets its power.
    pub feed: Feed,
    /// The case that it travels in.
    pub case: Option<String>,
    /// What was found out about it in the room.
    pub found: Found,
}

/// How a light gets its power.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Feed {
    /// The number of the light whose power outlet it is plugged into; none: a socket.
    pub from: Option<u32>,
    /// The lead to it, from the socket or from that light.
    pub lead: Option<Lead>,
    /// Its own battery, when that is another than its profile says.
    pub battery: Option<WattHours>,
    /// It stays on its circuit, whatever would be better.
    pub fixed: bool,
}

/// A power lead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lead {
    /// Its length.
    pub length: Metres,
    /// The size of its conductors; none: not known.
    pub cable: Option<Size>,
}

/// What was found out about a light in the room, beyond plan and profile.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// What was sighted, in the order of sighting.
    pub sights: Vec<Sight>,
    /// Watched in the sign check: pan runs against the right-hand rule, as the plan has the light hang; over
    /// `Unit::pan_invert`. None: not watched.
    pub pan_backwards: Option<bool>,
    /// Pan from end to end, by the stopwatch.
    pub pan_time: Option<Seconds>,
    /// Tilt from end to end, by the stopwatch.
    pub tilt_time: Option<Seconds>,
    /// What the sights say, once they say enough; computed from them by whoever builds the rig.
    pub pose: Option<Pose>,
}

/// Which way up a light is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WayUp {
    /// Base plate up, as on a bar.
    Hanging,
    /// Base plate down, as on the floor or on a stand's top.
    Standing,
}

/// The three ways of running.
#[derive(Clone, Debug, PartialEq)]
pub enum Run {
    /// From a controller.
    Driven {
        /// First slot; none: not addressed yet.
        address: Option<Address>,
        /// Number of the light whose address it shares, moving as one with it; `address` then repeats that light's.
        shares: Option<u32>,
    },
    /// Follows, or leads, over a data cable.
    Linked {
        /// The light that leads; its own number for the leader itself.
        leader: u32,
        /// The leader's programme by name; none: not chosen yet.
        programme: Option<String>,
    },
    /// A built-in programme, no data cable.
    OnItsOwn {
        /// The programme by name; none: not chosen yet.
        programme: Option<String>,
    },
}

/// Lights used together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Its name.
    pub name: String,
    /// Indices into the rig's units, in order.
    pub units: Vec<usize>,
}

/// One breaker's or fuse's worth of power.
#[derive(Clone, Debug, PartialEq)]
pub struct Circuit {
    /// Its name ("kitchen").
    pub name: String,
    /// The breaker.
    pub breaker: Amps,
    /// What else already hangs on it.
    pub other_load: Option<Amps>,
    /// Where its socket is.
    pub at: Option<Point>,
    /// The longest lead that may run from there.
    pub reach: Option<Metres>,
    /// The lead from its socket to all of its lights.
    pub lead: Option<Lead>,
    /// The phase that it is on, 1 to 3.
    pub phase: Option<u8>,
    /// The trip curve of its breaker.
    pub curve: Option<Curve>,
    /// Rating of the residual current device before it.
    pub rcd: Option<Amps>,
}

impl Circuit {
    /// A circuit of which only name and breaker are known.
    pub const fn new(name: String, breaker: Amps) -> Self {
        let (at, lead, reach, curve) = (None, None, None, None);
        Self { name, breaker, other_load: None, at, reach, lead, phase: None, curve, rcd: None }
    }
}

/// Mains supply and the rule for continuous load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mains {
    /// Nominal tension.
    pub volts: Volts,
    /// Planned use of a breaker's rating, such as 0.8.
    pub continuous: f64,
    /// Where in the world, if it was said.
    pub region: Option<Region>,
    /// Planned use of one socket.
    pub receptacle: Option<Amps>,
    /// Rating of the residual current device before every circuit that says nothing else.
    pub rcd: Option<Amps>,
    /// A generator feeds it all: its rating.
    pub generator: Option<VoltAmps>,
}

/// Limits on what is sent, on by default.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Most flashes a second for the whole rig, as it was set; [`Limits::in_force`] is what holds.
    pub flash: Hertz,
    /// Who has agreed to more than [`Limits::WITHOUT_REASON`], in the venue's words.
    pub flash_reason: Option<String>,
}

impl Limits {
    /// Three flashes a second: the strictest published figure (W3C WCAG 2.3.1), borrowed for room light.
    pub const USUAL: Hertz = Hertz::new(3.0);
    /// Above four flashes a second, the figure for clubs (UK HSE advice, as quoted in public), somebody must have agreed.
    pub const WITHOUT_REASON: Hertz = Hertz::new(4.0);
    /// No more than this, whoever agrees: half of the 16 a second from which on most people at risk react. There is no
    /// source for a maximum; the published advice ends below five.
    pub const MOST: Hertz = Hertz::new(8.0);

    /// The flash limit that holds: no more than four a second without a reason, and never more than eight.
    pub fn in_force(&self) -> Hertz {
        let agreed = self.flash_reason.as_ref().is_some_and(|reason| !reason.trim().is_empty());
        let most = if agreed { Self::MOST } else { Self::WITHOUT_REASON };
        if self.flash > most { most } else { self.flash }
    }
}

impl Mains {
    /// The usual figures of a region.
    pub fn of(region: Region) -> Self {
        let usual = region.usual();
        Self {
            volts: Volts::new(usual.volts),
            continuous: usual.continuous,
            region: Some(region),
            receptacle: Some(Amps::new(usual.receptacle)),
            rcd: Some(Amps::new(usual.rcd)),
            generator: None,
        }
    }
}

impl Default for Mains {
    fn default() -> Self {
        let (region, receptacle, rcd, generator) = (None, None, None, None);
        Self { volts: Volts::new(230.0), continuous: 0.8, region, receptacle, rcd, generator }
    }
}

impl Default for Stock {
    fn default() -> Self {
        let usual: Vec<Metres> = USUAL_M.iter().copied().map(Metres::new).collect();
        Self { data: usual.clone(), power: usual }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self { flash: Self::USUAL, flash_reason: None }
    }
}

impl Unit {
    /// The selected mode.
    pub fn mode(&self) -> &Mode {
        &self.profile.modes[self.mode]
    }

    /// The address to send to: its own, or the shared one.
    pub fn address(&self) -> Option<Address> {
        match self.run {
            Run::Driven { address, .. } => address,
            Run::Linked { .. } | Run::OnItsOwn { .. } => None,
        }
    }

    /// What these frames ask of it; none where nothing is sent to it.
    pub fn reading(&self, frames: &Frames) -> Option<Reading> {
        let address = self.address()?;
        let slots = frames.get(address.universe)?.0.get(address.slot.index()..)?;
        Some(decode(&self.profile, self.mode, slots))
    }

    /// `true` when it can follow a spot: its mode has pan and tilt and its profile knows both travels.
    pub fn moves(&self) -> bool {
        use lanthorn_fixture::Attribute::{Pan, Tilt};
        let has = |attribute| {
            self.mode().channels.iter().any(|c| c.ranges.iter().any(|range| range.attribute == attribute))
        };
        let travels = self
            .profile
            .movement
            .as_ref()
            .is_some_and(|m| m.pan_travel.is_known() && m.tilt_travel.is_known());
        travels && has(Pan) && has(Tilt)
    }

    /// Takes directions in the fixture frame to directions in the world: leaned about X, turned over when standing,
    /// turned about the vertical.
    ///
    /// A standing light is the hanging one turned by half a turn about Y, so that its front still faces the audience.
    pub fn world_from_fixture(&self) -> Rotation {
        let over = match self.up {
            WayUp::Hanging => Rotation::IDENTITY,
            WayUp::Standing => Rotation::about_y(Radians::HALF),
        };
        Rotation::about_x(self.lean).then(over).then(Rotation::about_z(self.turn))
    }
}

impl Rig {
    /// The light of that number.
    pub fn unit(&self, number: u32) -> Option<&Unit> {
        self.index_of(number).map(|index| &self.units[index])
    }

    /// Place in [`Rig::units`] of the light of that number.
    pub fn index_of(&self, number: u32) -> Option<usize> {
        self.units.binary_search_by_key(&number, |unit| unit.number).ok()
    }

    /// The group of that name.
    pub fn group(&self, name: &str) -> Option<&Group> {
        self.group_index(name).map(|index| &self.groups[index])
    }

    /// Place in [`Rig::groups`] of the group of that name.
    pub fn group_index(&self, name: &str) -> Option<usize> {
        self.groups.iter().position(|group| group.name == name)
    }

    /// Computes from a unit's sights how it hangs, and lets it be aimed by that once it is known better than by the plan;
    /// until then the plan counts. Whoever changes sights calls this.
    pub fn settle(&mut self, unit: usize) {
        let solved = Problem::of_unit(self, &self.units[unit]).and_then(|problem| solve(&problem).ok());
        let known = solved.filter(|solved| {
            !solved.twin && solved.expected_error_mean().is_some_and(|mean| mean < BETTER_THAN_PLANNED)
        });
        self.units[unit].found.pose = known.map(|solved| solved.pose);
    }

    /// Where the base plate of a unit is.
    pub fn position(&self, unit: &Unit) -> Point {
        self.room.places[unit.place].at(unit.offset)
    }

    /// Where the beams of a unit start: the crossing of pan and tilt axes of a moving head, the lens of another light.
    /// It lies [`PIVOT_DEPTH`] of the body's height from the base plate; at the base plate when the height is unknown.
    pub fn pivot(&self, unit: &Unit) -> Point {
        let base = self.position(unit);
        match unit.profile.body.height.value() {
            Some(height) => {
                base.along(unit.world_from_fixture().apply(Direction::DOWN), height * PIVOT_DEPTH)
            }
            None => base,
        }
    }
}
