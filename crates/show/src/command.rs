//! What a person, or a clock, may ask of a running show.

use lanthorn_music::pulse::Pulse;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Span};

use crate::follow::Steer;
use crate::score::MOST_CHASES;

/// The fastest that a chase may be sped up to: see [`Command::ChaseSpeed`].
pub const MOST_SPEED: f64 = 4.0;

/// A chase that would be slower than this stands.
pub const LEAST_SPEED: f64 = 0.1;

/// One wish. Small and without heap, so that it may cross from one thread to another through a fixed ring.
///
/// Looks, chases and cues are named by their place in the [`Show`](crate::Show), lights by their place in the
/// [`Rig`](lanthorn_rig::Rig); a place that does not exist is ignored, and so is a number that is not finite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Command {
    /// Put a look on as the base, crossfading in the look's own time.
    Look(usize),
    /// Start or stop a chase. Starting one that runs, or stopping one that does not, changes nothing.
    Chase {
        /// Place in [`Show::chases`](crate::Show::chases).
        index: usize,
        /// Start or stop.
        on: bool,
    },
    /// Let a running chase go on at so many times the speed that its steps say: 0 lets it stand, and 1 go on again; 0.5 and
    /// 2 are half and double time. Held to [`MOST_SPEED`]; less than
    /// [`LEAST_SPEED`] is 0. One that counts beats alone stays on the beat.
    ChaseSpeed {
        /// Place in [`Show::chases`](crate::Show::chases).
        index: usize,
        /// How many times as fast.
        speed: f64,
    },
    /// Take the next cue; at the end of the list, stay.
    Go,
    /// Take the cue before; at the first, stay.
    Back,
    /// Take a cue by its place in the list, with everything that the cues before it have set.
    Cue(usize),
    /// What a part of a score has on from this moment: a look, if it names one, and chases, of which no others run.
    Part {
        /// Place in [`Show::looks`](crate::Show::looks); none keeps the look.
        look: Option<usize>,
        /// The chases that run; none keeps those that do.
        chases: Option<Chases>,
        /// Fade.
        fade: Span,
    },
    /// All light of looks and chases goes away at once, as a score asks before one of its parts, or comes back. What a hand
    /// holds stays. A look that is put on, a cue and a part end it.
    Dark(bool),
    /// Level over the whole rig, 0 to 1, perceptual.
    Master(f64),
    /// Level over the lights of a group, 0 to 1, perceptual.
    GroupMaster {
        /// The group's place in the rig.
        group: usize,
        /// 0 to 1.
        level: f64,
    },
    /// Every light dark at once, and back as it would be by then.
    Blackout(bool),
    /// Stop all movement and flashing at once, keep the light.
    Stillness(bool),
    /// Stop strobes, keep the light.
    StopStrobe(bool),
    /// One tap of the tempo.
    Tap,
    /// Set the tempo, beats a minute; held to [`tempo::RANGE`](crate::tempo::RANGE).
    Tempo(f64),
    /// The music as it is at this moment; none when nothing listens any more. While the music may set the tempo, it does.
    /// A tap and a tempo that is set take the tempo into the hand.
    Pulse(Option<Pulse>),
    /// How the music is to be followed.
    Steer(Steer),
    /// Hold a light's beam on a point. A dark light comes up to 60 % so that its spot can be seen.
    Aim {
        /// Place in [`Rig::units`](lanthorn_rig::Rig::units).
        unit: usize,
        /// Where, in the room.
        at: Point,
    },
    /// Hold a light at a pan and tilt that are sent as they are, wherever that points. A dark light comes up as for
    /// [`Command::Aim`]; either takes the place of the other.
    Send {
        /// Place in [`Rig::units`](lanthorn_rig::Rig::units).
        unit: usize,
        /// Radians about home in the light's own sense.
        pan: Radians,
        /// Radians about home in the light's own sense.
        tilt: Radians,
    },
    /// Hold a light's level, 0 to 1, perceptual.
    Level {
        /// Place in [`Rig::units`](lanthorn_rig::Rig::units).
        unit: usize,
        /// How bright.
        level: f64,
    },
    /// Hold a light's colour.
    Colour {
        /// Place in [`Rig::units`](lanthorn_rig::Rig::units).
        unit: usize,
        /// Which.
        chromaticity: Chromaticity,
    },
    /// Let go of one light, or of all; it goes back to the show over two seconds.
    LetGo(Option<usize>),
}

/// Chases by their places in [`Show::chases`](crate::Show::chases), at most [`MOST_CHASES`]. Without heap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Chases {
    places: [u16; MOST_CHASES],
    count: u8,
}

impl Chases {
    /// The places, in the order in which the chases start.
    pub fn places(&self) -> impl Iterator<Item = usize> + '_ {
        self.places.iter().take(usize::from(self.count)).map(|place| usize::from(*place))
    }
}

impl FromIterator<usize> for Chases {
    /// What is beyond the most, and beyond what any show has, is left out.
    fn from_iter<T: IntoIterator<Item = usize>>(places: T) -> Self {
        let mut chases = Self::default();
        for place in places.into_iter().filter_map(|place| u16::try_from(place).ok()).take(MOST_CHASES) {
            chases.places[usize::from(chases.count)] = place;
            chases.count += 1;
        }
        chases
    }
}

/// A speed that a chase may have; none for what is not finite.
pub(crate) fn held_speed(speed: f64) -> Option<f64> {
    let held = if speed < LEAST_SPEED { 0.0 } else { speed.min(MOST_SPEED) };
    speed.is_finite().then_some(held)
}
