//! What the whole rig is to do now: in room terms, and as poses of each light.

use lanthorn_fixture::{BeamState, HeadState, UnitState};
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Point, Span};

use crate::Rig;

/// What every light is to do now, in room terms. Filled in place every tick: nothing here allocates after
/// [`RigState::dark`].
#[derive(Clone, Debug, PartialEq)]
pub struct RigState {
    /// In the order of [`Rig::units`].
    pub units: Vec<UnitWish>,
}

/// One light, in room terms.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitWish {
    /// Where its beam is to land; none: stay where it is.
    pub aim: Option<Point>,
    /// The fade from place to place that `aim` is on, while it lasts and the light is lit.
    pub fade: Option<AimFade>,
    /// Pan and tilt to be sent as they are, radians about home in the light's own sense; over `aim`. For sighting in,
    /// where the place of the light is what is to be found out.
    pub sent: Option<(Radians, Radians)>,
    /// Its optics.
    pub beam: BeamState,
    /// Haze output, 0 to 1.
    pub haze: f64,
    /// Hazer fan, 0 to 1.
    pub fan: f64,
    /// Its heads. Level is linear light.
    pub heads: Vec<HeadState>,
}

/// A fade from place to place: where and when it ends, as far as that is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AimFade {
    /// Where the spot will be at its end.
    pub to: Point,
    /// What is left of it. While movement stands still, that stays the same to the microsecond.
    pub left: Span,
}

/// What every light is to do now, in each light's own frame: the output of `aim`, before limits.
#[derive(Clone, Debug, PartialEq)]
pub struct RigPose {
    /// In the order of [`Rig::units`].
    pub units: Vec<UnitState>,
}

impl RigState {
    /// Everything dark, nothing aimed.
    pub fn dark(rig: &Rig) -> Self {
        let dark = |unit: &crate::Unit| UnitWish {
            aim: None,
            fade: None,
            sent: None,
            beam: BeamState::default(),
            haze: 0.0,
            fan: 0.0,
            heads: vec![HeadState::default(); usize::from(unit.mode().heads)],
        };
        Self { units: rig.units.iter().map(dark).collect() }
    }
}

impl RigPose {
    /// Everything dark and at home.
    pub fn dark(rig: &Rig) -> Self {
        Self { units: rig.units.iter().map(|unit| UnitState::dark(usize::from(unit.mode().heads))).collect() }
    }
}
