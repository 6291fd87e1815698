//! A look: who, where, what colour, how bright.

use lanthorn_physics::colour::{Chromaticity, Objective};
use lanthorn_physics::units::{Hertz, Lux, Radians};
use lanthorn_physics::{Point, Span};

/// A wanted state of some lights. Lights that a look does not name stay dark.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Its name, unique among looks.
    pub name: String,
    /// Crossfade when it is put on by hand.
    pub fade: Span,
    /// Sentences, in order; a later part wins for a light that two parts name.
    pub parts: Vec<Part>,
}

/// One sentence of a look.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Which lights.
    pub who: Who,
    /// Where to; none leaves the aim as it is (static lights have none).
    pub aim: Option<Aim>,
    /// Colours: one for all, or several spread over the group by [`Part::colour_spread`].
    pub colours: Vec<Ask>,
    /// How the colours go over the group.
    pub colour_spread: Spread,
    /// How bright.
    pub level: Level,
    /// How the level goes over the group: from `level` to `level_to`.
    pub level_to: Option<Level>,
    /// How `level` … `level_to` goes over the group.
    pub level_spread: Spread,
    /// Light level asked for where the beams land; `level` is then what it takes.
    pub lux: Option<LuxAsk>,
    /// What mixing aims at.
    pub mixing: Objective,
    /// Unlike lights meet on the colour and the level that all of them can reach.
    pub matched: bool,
    /// Name of a figure that the spots run about where they are aimed.
    pub figure: Option<String>,
    /// The level goes with this part of the sound, while there is music: from a quarter of `level` to all of it.
    pub sound: Option<Band>,
    /// Instead of the level the colour goes with `sound`: from this one, where there is no such sound, to the sentence's own.
    pub sound_colour: Option<Ask>,
    /// Flashes a second.
    pub strobe: Option<Hertz>,
    /// Gobo slot by name or number, as the light's wheel calls it.
    pub gobo: Option<String>,
    /// Prism in.
    pub prism: bool,
    /// Zoom, full beam angle.
    pub zoom: Option<Radians>,
    /// Focus, 0 to 1.
    pub focus: Option<f64>,
    /// Frost, 0 to 1.
    pub frost: f64,
    /// Iris, 0 (open) to 1 (closed).
    pub iris: f64,
    /// Haze output, 0 to 1.
    pub haze: f64,
    /// Hazer fan, 0 to 1.
    pub fan: f64,
}

impl Part {
    /// A sentence that says nothing but which lights: they are dark, and all else is left as it is.
    pub fn of(who: Who) -> Self {
        Self {
            who,
            aim: None,
            colours: Vec::new(),
            colour_spread: Spread::Even,
            level: Level(0.0),
            level_to: None,
            level_spread: Spread::Even,
            lux: None,
            mixing: Objective::default(),
            matched: false,
            figure: None,
            sound: None,
            sound_colour: None,
            strobe: None,
            gobo: None,
            prism: false,
            zoom: None,
            focus: None,
            frost: 0.0,
            iris: 0.0,
            haze: 0.0,
            fan: 0.0,
        }
    }
}

/// A part of the sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Band {
    /// Kick and bass.
    Low,
    /// Voices and most instruments.
    Middle,
    /// Cymbals, breath, hiss.
    High,
}

/// Which lights, in order (spreads follow it).
#[derive(Clone, Debug, PartialEq)]
pub enum Who {
    /// Every light.
    All,
    /// A group by name.
    Group(String),
    /// Lights by number.
    Units(Vec<u32>),
}

/// Where to.
#[derive(Clone, Debug, PartialEq)]
pub enum Aim {
    /// A mark by name.
    Mark(String),
    /// A point in the room.
    At(Point),
    /// Spread from one point to another over the group, by the order of the group.
    Line {
        /// The first light's point.
        from: Point,
        /// The last light's point.
        to: Point,
    },
}

/// A colour as asked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// As the person wrote it ("warm white", "#ff8800", "3200 K").
    pub text: String,
    /// What it means.
    pub chromaticity: Chromaticity,
}

/// How bright, as asked for: 0 to 1, perceptual (a square law to light, IEC-like dimming; see the player).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level(pub f64);

/// A light level as asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LuxAsk {
    /// How much.
    pub lux: Lux,
    /// On what; none: on a face where the aim is above the height of a table, else on a level surface.
    pub on: Option<Plane>,
}

/// What a light level is measured on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Plane {
    /// A level surface, facing up.
    Level,
    /// A face: upright, turned to the audience.
    Face,
}

/// How a value differs across a group.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Spread {
    /// The same for all; several values alternate in order.
    #[default]
    Even,
    /// From the first light to the last.
    InOrder,
    /// From the middle outwards.
    FromTheMiddle,
}
