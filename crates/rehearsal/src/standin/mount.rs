//! How a light hangs, which way its axes run, and what its beam is made of. Written apart from `rig::aim`, so that one
//! checks the other.

use std::sync::Arc;

use lanthorn_fixture::Encoder;
use lanthorn_fixture::decode::Reading;
use lanthorn_physics::beam::BeamShape;
use lanthorn_physics::beam::ies::Curve;
use lanthorn_physics::motion::AxisLimits;
use lanthorn_physics::units::{Candela, Radians, Seconds};
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::shine::usual_shape;
use lanthorn_rig::sight::{AxisFit, Pose};
use lanthorn_rig::{Rig, Unit};

/// Assumed where a profile does not say (common practice, no source).
const PAN_TRAVEL: Radians = Radians::from_deg(540.0);
const TILT_TRAVEL: Radians = Radians::from_deg(270.0);
const PAN_TIME: Seconds = Seconds::new(3.0);
const TILT_TIME: Seconds = Seconds::new(2.0);
const ACCELERATION_TIME: Seconds = Seconds::new(0.5);

#[derive(Clone, Debug)]
pub(super) struct Mount {
    /// One for each head of the mode.
    pub lenses: Vec<Point>,
    world_from_fixture: Rotation,
    /// Of a light that does not move: the way it points.
    fixed: Option<Direction>,
    travels: (Radians, Radians),
    pan: AxisFit,
    tilt: AxisFit,
    swap: bool,
    pub pan_limits: Option<AxisLimits>,
    pub tilt_limits: Option<AxisLimits>,
    /// Of one head at full.
    pub peak: Option<Candela>,
    shape: BeamShape,
    pub curve: Option<Arc<Curve>>,
    pub shape_assumed: bool,
    shines: bool,
}

impl Mount {
    pub(super) fn new(rig: &Rig, unit: &Unit) -> Self {
        let profile = &unit.profile;
        let planned = || Pose {
            pivot: rig.pivot(unit),
            world_from_fixture: unit.world_from_fixture(),
            pan: AxisFit::stated(unit.found.pan_backwards.unwrap_or(unit.pan_invert)),
            tilt: AxisFit::stated(unit.tilt_invert),
        };
        let Pose { pivot, world_from_fixture, pan, tilt } = unit.found.pose.unwrap_or_else(planned);
        let movement = profile.movement.clone().unwrap_or_default();
        let travels = (
            movement.pan_travel.value().unwrap_or(PAN_TRAVEL),
            movement.tilt_travel.value().unwrap_or(TILT_TRAVEL),
        );
        let limits = |travel, time: Option<Seconds>, usual, acceleration: Option<Seconds>| {
            let acceleration = acceleration.unwrap_or(ACCELERATION_TIME);
            AxisLimits::from_travel(travel, time.unwrap_or(usual), acceleration)
        };
        let encoder = Encoder::new(profile, unit.mode);
        let out = world_from_fixture.apply(Direction::DOWN);
        let focused = || unit.focus.and_then(|focus| pivot.towards(focus)).unwrap_or(out);
        Self {
            lenses: lenses(unit, pivot, world_from_fixture),
            fixed: profile.movement.is_none().then(focused),
            world_from_fixture,
            travels,
            pan,
            tilt,
            swap: unit.swap,
            pan_limits: limits(
                travels.0 * pan.scale,
                unit.found.pan_time.or(movement.pan_time.value()),
                PAN_TIME,
                movement.pan_acceleration.value(),
            ),
            tilt_limits: limits(
                travels.1 * tilt.scale,
                unit.found.tilt_time.or(movement.tilt_time.value()),
                TILT_TIME,
                movement.tilt_acceleration.value(),
            ),
            peak: encoder.max_candela(),
            shape: encoder.beam_shape().unwrap_or_else(|| usual_shape(profile.kind)),
            curve: profile.optics.measured.as_ref().map(|measured| measured.curve.clone()),
            shape_assumed: encoder.beam_shape().is_none(),
            shines: profile.kind.gives_light(),
        }
    }

    /// Where its channels send the two axes, in the fixture frame. With swapped axes the pan channel turns the tilt
    /// motor over its whole travel, and the other way round; an inverted axis runs backwards.
    pub(super) fn axes(&self, reading: &Reading) -> (Radians, Radians) {
        let (pan, tilt) = (reading.pan.unwrap_or_default(), reading.tilt.unwrap_or_default());
        let (pan_travel, tilt_travel) = self.travels;
        let (pan, tilt) = if self.swap {
            (pan_travel * (tilt / tilt_travel), tilt_travel * (pan / pan_travel))
        } else {
            (pan, tilt)
        };
        (self.pan.angle(pan), self.tilt.angle(tilt))
    }

    /// Axis of the beam in the room: `R · Rz(pan) · Rx(tilt) · (0, 0, −1)`.
    pub(super) fn along(&self, pan: Radians, tilt: Radians) -> Direction {
        self.fixed.unwrap_or_else(|| {
            let world_from_head =
                Rotation::about_x(tilt).then(Rotation::about_z(pan)).then(self.world_from_fixture);
            world_from_head.apply(Direction::DOWN)
        })
    }

    /// Light that a head is to give.
    pub(super) fn output(&self, reading: &Reading, head: usize) -> f64 {
        if self.shines { reading.heads.get(head).map_or(0.0, |head| head.output) } else { 0.0 }
    }

    /// The beam at a zoom, and by how much its peak rises: the flux stays the same.
    pub(super) fn zoomed(&self, zoom: Option<Radians>) -> (BeamShape, f64) {
        self.shape.zoomed(zoom)
    }
}

/// The heads of a bar stand side by side over its width, the first at the left end as the light is drawn.
fn lenses(unit: &Unit, pivot: Point, world_from_fixture: Rotation) -> Vec<Point> {
    let heads = unit.mode().heads;
    let width = unit.profile.body.width.value().unwrap_or_default();
    let right = Direction::new(1.0, 0.0, 0.0).map(|x| world_from_fixture.apply(x));
    let lens = |head: u8| {
        let place = (f64::from(head) + 0.5) / f64::from(heads) - 0.5;
        right.map_or(pivot, |right| pivot.along(right, width * place))
    };
    (0..heads).map(lens).collect()
}
