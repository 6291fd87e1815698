//! The room in metres: where people are, where bars hang, what is aimed at.
//!
//! The frame is that of every show: the audience looks along y, zero is the middle of the stage front on the hall floor.
//! Without a stage it is where those who speak begin to have room for themselves before the far wall.

use super::{Measures, Refused, Room, Stage, StageSide, no_such, words};

/// A room that has a name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NamedRoom {
    /// Its name.
    pub name: &'static str,
    /// How large it is.
    pub measures: Measures,
}

const fn room(name: &'static str, [width, depth, height]: [f64; 3], stage: Option<Stage>) -> NamedRoom {
    NamedRoom { name, measures: Measures { width, depth, height, stage } }
}

/// Rooms as one meets them; invented, and to be measured on the spot.
pub const NAMED_ROOMS: [NamedRoom; 5] = [
    room("village hall", [13.0, 14.0, 4.5], Some(Stage { side: StageSide::End, depth: 3.0, height: 0.6 })),
    room("school gym", [15.0, 24.0, 7.0], Some(Stage { side: StageSide::End, depth: 4.0, height: 0.4 })),
    room("barn", [8.4, 13.0, 3.8], None),
    room("marquee", [9.0, 15.0, 3.6], Some(Stage { side: StageSide::Side, depth: 2.4, height: 0.3 })),
    room("club room", [7.0, 9.0, 2.8], None),
];

/// Of the bars: no higher than two people raise them by hand.
const HIGHEST_BAR: f64 = 4.5;

/// Between a bar and the ceiling: clamps, cables and hands.
const CLEARANCE: f64 = 0.6;

/// The least of it in a low room.
const LEAST_CLEARANCE: f64 = 0.3;

/// The height of a face that stands.
const FACE: f64 = 1.6;

/// How far before a face a light hangs, as a part of how far above it: 42° above the line of sight (trade articles give
/// 34 to 45°).
const BEFORE_FACE: f64 = 1.11;

/// A beam that comes down no flatter than this (run over rise, 32°) is above the line of sight of whoever stands in it.
pub(super) const STEEP: f64 = 1.6;

/// The room, worked out.
#[derive(Clone, Debug)]
pub(super) struct Space {
    pub(super) name: String,
    pub(super) width: f64,
    /// The audience end and the far wall.
    pub(super) near: f64,
    pub(super) far: f64,
    pub(super) height: f64,
    /// Height of the stage's floor, and whether there is a stage.
    pub(super) floor: f64,
    pub(super) stage: bool,
    pub(super) bar_height: f64,
    pub(super) front_bar: f64,
    pub(super) back_bar: f64,
    /// Where somebody speaks: how far back, how high the face.
    pub(super) face: [f64; 2],
    /// The dance floor, near to far.
    pub(super) dance: [f64; 2],
    /// Where people sit, near to far; none in a room that is too short.
    pub(super) seats: Option<[f64; 2]>,
}

/// To the decimetre, as a person measures.
pub(super) fn dm(value: f64) -> f64 {
    (value * 10.0).round() / 10.0 + 0.0
}

impl Space {
    pub(super) fn new(room: &Room) -> Result<Self, Refused> {
        match room {
            Room::Named(word) => {
                let known = NAMED_ROOMS.iter().find(|room| room.name.eq_ignore_ascii_case(&words(word)));
                let names = NAMED_ROOMS.map(|room| room.name);
                let known = known.ok_or_else(|| {
                    Refused::room(format!("{}, or give its measures", no_such("room", word.trim(), &names)))
                })?;
                Ok(Self::measured(known.name, &known.measures))
            }
            Room::Measured(measures) => {
                check(measures)?;
                Ok(Self::measured("hall", measures))
            }
        }
    }

    fn measured(name: &str, measures: &Measures) -> Self {
        let across = measures.stage.is_some_and(|stage| stage.side == StageSide::Side);
        let (width, depth) =
            if across { (measures.depth, measures.width) } else { (measures.width, measures.depth) };
        let floor = measures.stage.map_or(0.0, |stage| stage.height);
        let far = dm(measures.stage.map_or((depth * 0.18).clamp(1.2, 3.0), |stage| stage.depth));
        let near = far - depth;
        let height = measures.height;
        let bar_height = dm((height - CLEARANCE).clamp(2.5, HIGHEST_BAR).min(height - LEAST_CLEARANCE));
        let face = [(far * 0.4).min(1.0), floor + FACE].map(dm);
        let above = (bar_height - 0.15 - face[1]).max(0.3);
        let front_bar = dm((face[0] - above * BEFORE_FACE).min(face[0] - 0.8));
        let dance_near = -dm(0.3 + (-near * 0.42).clamp(1.6, 6.0));
        let seats = [dm(near + 0.4), dm(dance_near - 0.4)];
        Self {
            name: name.to_owned(),
            width,
            near: (near * 100.0).round() / 100.0,
            far,
            height,
            floor,
            stage: measures.stage.is_some(),
            bar_height,
            front_bar,
            back_bar: dm(far - 0.5),
            face,
            dance: [dance_near, -0.3],
            seats: (seats[1] - seats[0] >= 1.2).then_some(seats),
        }
    }

    /// Half as wide as people stand: along the walls there is a way, and lights on the floor.
    pub(super) fn half_of_people(&self) -> f64 {
        dm(self.width / 2.0 - 1.1)
    }

    /// Middle of what is lit of the dance floor, front to back: clear of the feet of the heads on the front bar, so that
    /// they can follow a path round it.
    pub(super) fn dance_middle(&self) -> f64 {
        let middle = (self.dance[0] + self.dance[1]) / 2.0;
        dm(middle.min(self.front_bar - 1.7).max(self.dance[0] + 0.5))
    }

    /// How far from there a path may go.
    pub(super) fn dance_radius(&self) -> f64 {
        let clear = self.front_bar - self.dance_middle() - 0.6;
        dm(clear.min(self.dance_half()).min(self.bar_height * 0.35).clamp(0.4, 1.3))
    }

    /// Half as wide as the stage.
    pub(super) fn stage_half(&self) -> f64 {
        dm(self.width / 2.0 - 0.9)
    }

    /// How far to a side beams go on the dance floor.
    pub(super) fn dance_half(&self) -> f64 {
        dm((self.half_of_people() * 0.7).min(3.6))
    }

    /// The way to the seats: as far down the middle as the front bar shines on it from above.
    pub(super) fn aisle(&self) -> f64 {
        // A beam from the side is over the way itself before it comes down to the heads of those who sit beside it: in the
        // last quarter of its run.
        let beside = |seats: [f64; 2]| {
            ((seats[0] + seats[1]) / 2.0).max((seats[1] - self.front_bar / 4.0) / 0.75 + 0.2)
        };
        let deep = self.seats.map_or(self.dance[0], beside);
        dm(deep.max(self.front_bar - self.bar_height * STEEP + 0.2).max(self.near + 0.6))
    }

    /// Where spots lie on the far wall: to which side, how high.
    pub(super) fn wall_spot(&self) -> [f64; 2] {
        let high = self.floor + ((self.height - self.floor) * 0.6).min(2.4);
        [self.width * 0.24, high.min(self.bar_height - 0.2)].map(dm)
    }

    /// What a light on the bar at the back shines on: steep enough that few of those who face it look into it.
    pub(super) fn under_back_bar(&self, x: f64) -> [f64; 3] {
        let y = (self.back_bar - self.bar_height * 0.6).max(self.dance[1] - 0.9);
        let on_stage = self.stage && y >= 0.0 && x.abs() <= self.stage_half();
        [x, y, if on_stage { self.floor } else { 0.0 }].map(dm)
    }

    /// How long a bar across the room may be.
    pub(super) fn longest_bar(&self) -> f64 {
        dm((self.width - 1.0).min(14.0))
    }

    /// How long the floor before the far wall is.
    pub(super) fn back_floor(&self) -> f64 {
        dm((self.width - 2.4).min(16.0))
    }

    /// The stretch of floor along a side wall: its middle, and how long it is.
    pub(super) fn side(&self) -> [f64; 2] {
        let (low, high) = (self.near + 1.0, -0.6);
        [(low + high) / 2.0, (high - low).clamp(1.0, 16.0)].map(dm)
    }
}

fn check(measures: &Measures) -> Result<(), Refused> {
    let within = |name: &str, value: f64, low: f64, high: f64| {
        if value.is_finite() && (low..=high).contains(&value) {
            return Ok(());
        }
        let value = if value.is_finite() { format!("{value} m") } else { "that".to_owned() };
        Err(Refused::room(format!("{name} {value} cannot be: give {low} to {high} m")))
    };
    within("a width of", measures.width, 4.0, 60.0)?;
    within("a depth of", measures.depth, 5.0, 100.0)?;
    within("a height of", measures.height, 2.4, 30.0)?;
    let Some(stage) = measures.stage else { return Ok(()) };
    let deep = if stage.side == StageSide::Side { measures.width } else { measures.depth };
    within("a stage depth of", stage.depth, 1.0, (deep / 2.0).min(10.0))?;
    within("a stage height of", stage.height, 0.0, 2.0_f64.min(measures.height - 2.2))
}
