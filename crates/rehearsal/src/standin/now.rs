//! What a light shows at one moment.

use std::sync::Arc;

use lanthorn_physics::beam::ies::Curve;
use lanthorn_physics::beam::{Beam, BeamShape};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Candela, Hertz, Lux, Radians};
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::Unit;

use super::landing::SpotNow;
use super::mount::Mount;

/// One light now.
#[derive(Clone, Debug, PartialEq)]
pub struct LightNow {
    /// Its number.
    pub number: u32,
    /// It hears channel values. A light that runs linked or on its own does not, nor one whose universe is not sent:
    /// those are shown dark.
    pub driven: bool,
    /// Pan of the motor about home in the fixture frame, by the right-hand rule.
    pub pan: Radians,
    /// Tilt of the motor, likewise.
    pub tilt: Radians,
    /// The motors are on their way.
    pub moving: bool,
    /// Haze output, 0 to 1.
    pub haze: f64,
    /// Fan of a hazer, 0 to 1.
    pub fan: f64,
    /// Gobo in the beam; none when open.
    pub gobo: Option<String>,
    /// Prism in.
    pub prism: bool,
    /// It was told to run something of its own (a programme, its microphone, a reset): what follows is its affair.
    pub programme: bool,
    /// Its beams, one for each head.
    pub heads: Vec<BeamNow>,
}

/// One beam now.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamNow {
    /// Lens in the room.
    pub from: Point,
    /// Axis of the beam in the room.
    pub along: Direction,
    /// Light as a fraction of the head's most, 0 to 1, linear; of one flash while it flashes.
    pub level: f64,
    /// Colour of the light; none when it never had one or it is not known.
    pub chromaticity: Option<Chromaticity>,
    /// On the axis; none when the profile does not know its brightness.
    pub candela: Option<Candela>,
    /// Beam and field angle.
    pub shape: BeamShape,
    /// How the light spreads, of a light that was measured.
    pub curve: Option<Arc<Curve>>,
    /// The profile does not know the angles: `shape` is what lights of its kind usually have.
    pub shape_assumed: bool,
    /// Flashes a second, where the chart states them.
    pub strobe: Option<Hertz>,
    /// It flashes, at whatever rate.
    pub flashing: bool,
    /// Where the axis lands; none for a light outside the room.
    pub spot: Option<SpotNow>,
}

impl BeamNow {
    /// Ready to be asked at many points; none where the brightness is not known.
    pub fn ready(&self) -> Option<Beam<'_>> {
        Some(Beam::new((self.shape, self.curve.as_deref()), self.candela?, self.from, self.along))
    }

    /// Light on a surface at a point, if nothing stands in its way; none where the brightness is not known.
    pub fn lux_on(&self, at: Point, normal: Direction) -> Option<Lux> {
        self.ready().map(|beam| beam.lux_on(at, normal))
    }
}

impl LightNow {
    pub(super) fn dark(unit: &Unit, mount: &Mount) -> Self {
        let (shape, _) = mount.zoomed(None);
        let beam = |&from: &Point| BeamNow {
            from,
            along: mount.along(Radians::ZERO, Radians::ZERO),
            level: 0.0,
            chromaticity: None,
            candela: mount.peak.map(|_| Candela::ZERO),
            shape,
            curve: mount.curve.clone(),
            shape_assumed: mount.shape_assumed,
            strobe: None,
            flashing: false,
            spot: None,
        };
        Self {
            number: unit.number,
            driven: false,
            pan: Radians::ZERO,
            tilt: Radians::ZERO,
            moving: false,
            haze: 0.0,
            fan: 0.0,
            gobo: None,
            prism: false,
            programme: false,
            heads: mount.lenses.iter().map(beam).collect(),
        }
    }
}
