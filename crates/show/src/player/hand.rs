//! What is held by hand: over everything of the show, for each light and each of its properties.

use lanthorn_fixture::BeamState;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Point, Span};

use super::When;
use super::target::Target;
use super::value::{HeadValue, Lamp, UnitValue, lerp};

/// How long a light takes back to the show when let go.
pub const LET_GO: Span = Span::from_millis(2000);

/// The level to which a dark light comes up when its spot is dragged.
pub const LIFT: f64 = 0.6;

/// The beam of a light whose pan and tilt are sent as they are: as narrow as it may be and nothing in it, so that one
/// sees where its middle is. Zooms go to the nearest that they have.
pub(super) const PLAIN: BeamState =
    BeamState { gobo: None, prism: false, zoom: Some(Radians::ZERO), focus: None, frost: 0.0, iris: 0.0 };

/// One property.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) enum Grip<T> {
    #[default]
    Free,
    Held(T),
    /// Let go: on its way back from the value, since a moment of the real and of the show's clock.
    Going(T, Instant, Instant),
}

/// What is held of a light by hand, each property by itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Held {
    /// Where its spot is held.
    pub aim: Option<Point>,
    /// 0 to 1, perceptual.
    pub level: Option<f64>,
    /// Its colour.
    pub colour: Option<Chromaticity>,
}

/// One light.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Hand {
    pub aim: Grip<Point>,
    /// Pan and tilt to be sent as they are; over `aim`.
    pub sent: Option<(Radians, Radians)>,
    pub level: Grip<f64>,
    pub colour: Grip<Chromaticity>,
}

impl<T: Copy> Grip<T> {
    fn let_go(&mut self, when: &When) {
        if let Self::Held(value) = *self {
            *self = Self::Going(value, when.now, when.show);
        }
    }

    fn is_held(&self) -> bool {
        self.held().is_some()
    }

    const fn held(&self) -> Option<T> {
        match self {
            Self::Held(value) => Some(*value),
            _ => None,
        }
    }
}

impl Hand {
    pub(super) fn let_go(&mut self, when: &When) {
        self.aim.let_go(when);
        self.sent = None;
        self.level.let_go(when);
        self.colour.let_go(when);
    }

    pub(super) const fn held(&self) -> Held {
        Held { aim: self.aim.held(), level: self.level.held(), colour: self.colour.held() }
    }

    pub(super) fn holds(&self) -> bool {
        self.aim.is_held() || self.sent.is_some() || self.level.is_held() || self.colour.is_held()
    }

    pub(super) fn unit(&self, below: UnitValue, lit: bool, when: &When) -> UnitValue {
        let (aim, until) = match self.aim {
            Grip::Free => (below.aim, below.until),
            Grip::Held(point) => (Some(Target::still(point)), None),
            Grip::Going(point, _, since) => {
                let point = Target::still(point);
                let part = LET_GO.progress(when.show - since);
                match below.aim {
                    Some(there) if part >= 1.0 => (Some(there), below.until),
                    Some(there) if below.lit => {
                        let until = (since + LET_GO).max(below.until.unwrap_or_default());
                        (Some(point.towards(&there, part)), Some(until))
                    }
                    // A light that goes dark stays until it is dark.
                    _ => (Some(point), None),
                }
            }
        };
        UnitValue { aim, until, lit, ..below }
    }

    pub(super) fn head(&self, below: HeadValue, lamp: &Lamp, when: &When) -> HeadValue {
        let level = match self.level {
            Grip::Free => below.level,
            Grip::Held(level) => level,
            Grip::Going(level, since, _) => lerp(level, below.level, LET_GO.progress(when.now - since)),
        };
        let colour = match self.colour {
            Grip::Free => below.colour,
            Grip::Held(colour) => Some(colour),
            Grip::Going(colour, since, _) => {
                let held = HeadValue { level, colour: Some(colour), ..HeadValue::default() };
                held.mix(&HeadValue { level, ..below }, LET_GO.progress(when.now - since), lamp).colour
            }
        };
        HeadValue { level, colour, ..below }
    }
}
