//! How much light each light sends where, from what its profile knows: for sums made before anything is lit.
//!
//! Simplifications: as in the stand-in a beam is round about its axis; zoom keeps the flux; gobo, prism, frost and iris
//! do not count. Nothing in the room shades anything.

use std::sync::Arc;

use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Encoder, Origin};
use lanthorn_physics::beam::ies::Curve;
use lanthorn_physics::beam::{Beam, BeamShape};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Candela, Lux, Radians};
use lanthorn_physics::{Direction, Point};

use crate::{Rig, Unit};

/// One light, ready to be asked.
#[derive(Clone, Debug)]
pub struct Shine {
    /// Where its beams start, one for each head of the mode.
    pub lenses: Vec<Point>,
    /// Where pan and tilt cross, or the lens of a light that does not move.
    pub pivot: Point,
    /// Intensity on the axis of one head at full, all its emitters on; none where nobody knows.
    pub peak: Option<Candela>,
    /// The peak is not stated by the maker, but worked out or guessed.
    pub assumed: bool,
    /// Angles of the beam, as lights of its kind usually have them where nobody knows.
    pub shape: BeamShape,
    curve: Option<Arc<Curve>>,
    encoder: Encoder,
    moves: bool,
    focus: Direction,
}

impl Shine {
    /// None for what gives no light (a hazer), and for a light whose mode does not exist.
    pub fn new(rig: &Rig, unit: &Unit) -> Option<Self> {
        let profile = &unit.profile;
        if !profile.kind.gives_light() || unit.mode >= profile.modes.len() {
            return None;
        }
        let pose = unit.found.pose;
        let pivot = pose.map_or_else(|| rig.pivot(unit), |pose| pose.pivot);
        let world = pose.map_or_else(|| unit.world_from_fixture(), |pose| pose.world_from_fixture);
        let heads = unit.mode().heads.max(1);
        let width = profile.body.width.value().unwrap_or_default();
        let right = Direction::new(1.0, 0.0, 0.0).map(|right| world.apply(right));
        let lens = |head: u8| {
            let part = (f64::from(head) + 0.5) / f64::from(heads) - 0.5;
            right.map_or(pivot, |right| pivot.along(right, width * part))
        };
        let encoder = Encoder::new(profile, unit.mode);
        let focus = unit.focus.and_then(|focus| pivot.towards(focus));
        Some(Self {
            lenses: (0..heads).map(lens).collect(),
            pivot,
            peak: encoder.max_candela(),
            assumed: profile.optics.peak.origin() != Origin::Stated,
            shape: encoder.beam_shape().unwrap_or_else(|| usual_shape(profile.kind)),
            curve: profile.optics.measured.as_ref().map(|measured| measured.curve.clone()),
            encoder,
            moves: profile.movement.is_some(),
            focus: focus.unwrap_or_else(|| world.apply(Direction::DOWN)),
        })
    }

    /// Whether it follows an aim; any other light shines where a person points it.
    pub fn moves(&self) -> bool {
        self.moves
    }

    /// Along which axis its beams run when it is aimed at a point; none where a moving light has no aim.
    pub fn axis(&self, aim: Option<Point>) -> Option<Direction> {
        if self.moves { aim.and_then(|aim| self.pivot.towards(aim)) } else { Some(self.focus) }
    }

    /// Light of one head at full on a surface at a point: `colour` as wanted (none: its own white), `zoom` as wanted.
    /// None where its brightness is not known.
    pub fn lux(
        &self,
        head: usize,
        axis: Direction,
        (colour, zoom): (Option<Chromaticity>, Option<Radians>),
        at: Point,
        normal: Direction,
    ) -> Option<Lux> {
        let from = self.lenses.get(head).copied().unwrap_or(self.pivot);
        let (shape, concentration) = self.shape.zoomed(zoom);
        let share = self.encoder.luminance_share(colour) * concentration;
        let beam = Beam::new((shape, self.curve.as_deref()), self.peak? * share, from, axis);
        Some(beam.lux_on(at, normal))
    }
}

/// What lights of a kind usually have (common practice, no source).
pub fn usual_shape(kind: Kind) -> BeamShape {
    let beam = match kind {
        Kind::SpotHead | Kind::Scanner => 14.0,
        Kind::WashHead | Kind::Par | Kind::Hazer | Kind::Fogger | Kind::Machine => 25.0,
        Kind::ProfileSpot => 26.0,
        Kind::Bar | Kind::Dimmer | Kind::Fresnel => 30.0,
        Kind::Blinder | Kind::Effect => 60.0,
        Kind::Strobe | Kind::Flood => 100.0,
    };
    BeamShape::from_beam(Radians::from_deg(beam))
}
