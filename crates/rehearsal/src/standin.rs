//! Lights that are not there: they read their channels from the frames by their own charts, turn their heads as fast
//! as their motors can, and shine into the room from where they hang.
//!
//! Simplifications: a beam is a cone about its axis; people, furniture and other lights do not stop it; zoom keeps the
//! flux; iris and frost are told but do not change the beam's figures; a light at its slowest speed setting moves as
//! fast as at its fastest.

mod landing;
mod mount;
mod now;

use std::sync::Arc;

use lanthorn_dmx::{Frames, Universe};
use lanthorn_fixture::decode::{HeadReading, Reading, decode};
use lanthorn_physics::motion::{Axis, AxisLimits};
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Span};
use lanthorn_rig::{Rig, Unit};

pub use landing::{SpotNow, Surface};
use mount::Mount;
pub use now::{BeamNow, LightNow};

/// Time in which a light source comes within a third of a new level: diodes; filaments (common practice, no source).
const DIODE_LAG_SECS: f64 = 0.012;
const FILAMENT_LAG_SECS: f64 = 0.15;

/// Closer to a new level than this, the source is there.
const LAG_END: f64 = 1e-4;

/// The stand-in of a whole rig.
#[derive(Clone, Debug)]
pub struct StandIn {
    rig: Arc<Rig>,
    lights: Vec<StandInLight>,
    now: Vec<LightNow>,
    latest: Option<Instant>,
}

/// One light.
#[derive(Clone, Debug)]
struct StandInLight {
    mount: Mount,
    /// Where it listens; none for a light that is not driven.
    ear: Option<Ear>,
    pan: Axis,
    tilt: Axis,
    lag_secs: f64,
    /// Light of each head as it glows now.
    glow: Vec<f64>,
}

/// The part of a universe that a light listens to, and what it heard last.
#[derive(Clone, Debug)]
struct Ear {
    universe: Universe,
    first: usize,
    slots: Vec<u8>,
    reading: Reading,
}

impl StandIn {
    /// Every light dark, its head at home.
    pub fn new(rig: Arc<Rig>) -> Self {
        let lights: Vec<_> = rig.units.iter().map(|unit| StandInLight::new(&rig, unit)).collect();
        let now =
            rig.units.iter().zip(&lights).map(|(unit, light)| LightNow::dark(unit, &light.mount)).collect();
        Self { rig, lights, now, latest: None }
    }

    /// Takes what was sent at a moment. Motors and lamps move on from the moment before; the first call and a moment
    /// that goes back only set the clock.
    pub fn take(&mut self, frames: &Frames, now: Instant) {
        let elapsed = self.latest.map_or(Span::ZERO, |latest| (now - latest).max(Span::ZERO));
        self.latest = Some(now);
        for ((unit, light), shown) in self.rig.units.iter().zip(&mut self.lights).zip(&mut self.now) {
            light.take(unit, frames, elapsed);
            light.show(&self.rig, shown);
        }
    }

    /// Lights are found to hang otherwise, or to be of another speed. Their heads stand at once where they are sent to:
    /// nothing has moved but what is known.
    pub fn renew(&mut self, rig: Arc<Rig>, units: &[usize]) {
        self.rig = rig;
        for &unit in units {
            let light = self.lights.get_mut(unit).zip(self.now.get_mut(unit));
            if let (Some((light, shown)), Some(hung)) = (light, self.rig.units.get(unit)) {
                light.mount = Mount::new(&self.rig, hung);
                for (beam, lens) in shown.heads.iter_mut().zip(&light.mount.lenses) {
                    beam.from = *lens;
                }
                if let Some(ear) = light.ear.as_ref().filter(|ear| !ear.slots.is_empty()) {
                    let (pan, tilt) = light.mount.axes(&ear.reading);
                    (light.pan, light.tilt) = (Axis::at_rest(pan), Axis::at_rest(tilt));
                }
            }
        }
    }

    /// Goes over to another rig: lights of the same number stay where they are, and glow as they do.
    pub fn replace(&mut self, rig: Arc<Rig>) {
        let mut next = Self::new(rig);
        next.latest = self.latest;
        for (place, unit) in next.rig.units.iter().enumerate() {
            let Some(old) = self.rig.index_of(unit.number) else { continue };
            let (light, was) = (&mut next.lights[place], &self.lights[old]);
            (light.pan, light.tilt) = (was.pan, was.tilt);
            light.glow.iter_mut().zip(&was.glow).for_each(|(glow, was)| *glow = *was);
            let heads = next.now[place].heads.iter_mut().zip(&self.now[old].heads);
            heads.for_each(|(beam, was)| beam.chromaticity = was.chromaticity);
        }
        *self = next;
    }

    /// Every light now, in the order of [`Rig::units`].
    pub fn lights(&self) -> &[LightNow] {
        &self.now
    }
}

impl StandInLight {
    fn new(rig: &Rig, unit: &Unit) -> Self {
        let mount = Mount::new(rig, unit);
        let filament = unit.profile.has_filament();
        let ear = unit.address().map(|address| Ear {
            universe: address.universe,
            first: address.slot.index(),
            slots: Vec::new(),
            reading: Reading::default(),
        });
        Self {
            glow: vec![0.0; mount.lenses.len()],
            mount,
            ear,
            pan: Axis::default(),
            tilt: Axis::default(),
            lag_secs: if filament { FILAMENT_LAG_SECS } else { DIODE_LAG_SECS },
        }
    }

    fn take(&mut self, unit: &Unit, frames: &Frames, elapsed: Span) {
        let heard = self.ear.as_mut().is_some_and(|ear| ear.listen(unit, frames));
        let reading = self.ear.as_ref().filter(|_| heard).map(|ear| &ear.reading);
        if let Some(reading) = reading {
            let (pan, tilt) = self.mount.axes(reading);
            turn(&mut self.pan, pan, self.mount.pan_limits, elapsed);
            turn(&mut self.tilt, tilt, self.mount.tilt_limits, elapsed);
        }
        let kept = libm::exp(-elapsed.secs() / self.lag_secs);
        for (head, glow) in self.glow.iter_mut().enumerate() {
            let wanted = reading.map_or(0.0, |reading| self.mount.output(reading, head));
            *glow = wanted + (*glow - wanted) * kept;
            if (*glow - wanted).abs() < LAG_END {
                *glow = wanted;
            }
        }
    }

    fn show(&self, rig: &Rig, shown: &mut LightNow) {
        let nothing = Reading::default();
        let reading = self.ear.as_ref().filter(|ear| !ear.slots.is_empty()).map(|ear| &ear.reading);
        shown.driven = reading.is_some();
        let reading = reading.unwrap_or(&nothing);
        shown.pan = self.pan.position;
        shown.tilt = self.tilt.position;
        let (pan, tilt) = self.mount.axes(reading);
        shown.moving = shown.driven && !(self.pan.has_arrived(pan) && self.tilt.has_arrived(tilt));
        shown.haze = reading.haze;
        shown.fan = reading.fan;
        shown.gobo.clone_from(&reading.gobo_name);
        shown.prism = reading.prism;
        shown.programme = reading.programme || reading.danger.is_some();
        let along = self.mount.along(shown.pan, shown.tilt);
        for (head, beam) in shown.heads.iter_mut().enumerate() {
            let heard = reading.heads.get(head).copied().unwrap_or_default();
            self.shine(&heard, self.glow[head], reading.zoom, beam);
            beam.along = along;
            beam.spot = landing::spot(&rig.room, beam);
        }
    }

    fn shine(&self, heard: &HeadReading, glow: f64, zoom: Option<Radians>, beam: &mut BeamNow) {
        beam.level = glow;
        // What goes dark keeps its colour on the way.
        beam.chromaticity = heard.chromaticity.or(beam.chromaticity);
        beam.strobe = heard.strobe;
        beam.flashing = heard.flashing;
        let (shape, concentration) = self.mount.zoomed(zoom);
        beam.shape = shape;
        beam.candela = self.mount.peak.map(|peak| peak * (glow * concentration));
    }
}

impl Ear {
    /// Reads its slots anew where they have changed; `false` when nothing at all is sent there.
    fn listen(&mut self, unit: &Unit, frames: &Frames) -> bool {
        let Some(frame) = frames.get(self.universe) else {
            self.slots.clear();
            return false;
        };
        let end = (self.first + usize::from(unit.mode().footprint())).min(frame.0.len());
        let slots = &frame.0[self.first.min(end)..end];
        if slots != self.slots {
            self.slots.clear();
            self.slots.extend_from_slice(slots);
            self.reading = decode(&unit.profile, unit.mode, slots);
        }
        true
    }
}

/// A light without knowledge of its motors turns at once.
fn turn(axis: &mut Axis, target: Radians, limits: Option<AxisLimits>, elapsed: Span) {
    match limits {
        Some(limits) => axis.step(target, limits, elapsed),
        None => *axis = Axis::at_rest(target),
    }
}
