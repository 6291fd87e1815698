//! From a snapshot and the stand-in to what the page sees of one moment.

use std::sync::Arc;

use lanthorn_live::ears::Hearing;
use lanthorn_live::output::OutputState;
use lanthorn_live::{OutputStatus, Snapshot};
use lanthorn_physics::colour::{Chromaticity, screen_rgb};
use lanthorn_physics::units::{Candela, Hertz, Lux};
use lanthorn_rehearsal::standin::{BeamNow, LightNow, SpotNow};
use lanthorn_rig::Rig;
use lanthorn_show::{Driver, Show};

use crate::music;
use crate::wire::{
    FileSays, FlashesNow, HeadMoment, LightMoment, Link, Moment, Now, OutputView, RunningChase, ScoreNow,
    SightingNow, Spot,
};

/// Makes moments.
pub(crate) struct Moments {
    show: Arc<Show>,
    rig: Arc<Rig>,
    names: Vec<String>,
}

impl Moments {
    pub(crate) fn new(show: Arc<Show>, rig: Arc<Rig>, names: Vec<String>) -> Self {
        Self { show, rig, names }
    }

    pub(crate) fn moment(
        &self,
        snapshot: &Snapshot,
        lights: &[LightNow],
        sighting: Option<SightingNow>,
        file: Option<FileSays>,
        (hearing, score): (&Hearing, Option<ScoreNow>),
    ) -> Moment {
        Moment {
            generation: snapshot.generation as f64,
            time_s: snapshot.now.secs(),
            lights: lights
                .iter()
                .zip(&snapshot.drivers)
                .map(|(light, driver)| self.light(light, *driver))
                .collect(),
            now: self.now(snapshot),
            flashes: FlashesNow {
                rate: snapshot.flashes.rate,
                acts: snapshot.flashes.acts,
                held: snapshot.flashes.flashes,
                slowed: snapshot.flashes.strobes,
            },
            link: self.link(snapshot),
            music: music::now(hearing, &snapshot.status, &self.show),
            score,
            sighting,
            file,
        }
    }

    /// Lights that all are led by one.
    pub(crate) fn lights(&self, lights: &[LightNow], driver: Driver) -> Vec<LightMoment> {
        lights.iter().map(|light| self.light(light, driver)).collect()
    }

    fn light(&self, light: &LightNow, driver: Driver) -> LightMoment {
        LightMoment {
            unit: light.number,
            pan: light.pan.get(),
            tilt: light.tilt.get(),
            moving: light.moving,
            driver: self.driver(driver),
            held: driver == Driver::Hand,
            heads: light.heads.iter().map(|head| self.head(light, head)).collect(),
        }
    }

    fn head(&self, light: &LightNow, head: &BeamNow) -> HeadMoment {
        HeadMoment {
            from: head.from.into(),
            along: head.along.into(),
            level: head.level,
            rgb: screen_rgb(head.chromaticity.unwrap_or(Chromaticity::D65)),
            candela: head.candela.map(Candela::get),
            beam: head.shape.beam.get(),
            field: head.shape.field.get(),
            strobe_hz: head.strobe.map_or(f64::from(u8::from(head.flashing)), Hertz::get),
            gobo: light.gobo.clone(),
            prism: light.prism,
            haze: light.haze,
            spot: head.spot.as_ref().map(|spot| self.spot(spot)),
        }
    }

    fn spot(&self, spot: &SpotNow) -> Spot {
        let at: [f64; 3] = spot.at.into();
        Spot {
            at,
            surface: spot.surface.name(&self.rig.room).to_owned(),
            normal: spot.normal.into(),
            centre: spot.ellipse.as_ref().map_or(at, |ellipse| ellipse.centre.into()),
            major: spot.ellipse.as_ref().map_or([0.0; 3], |ellipse| ellipse.major),
            minor: spot.ellipse.as_ref().map_or([0.0; 3], |ellipse| ellipse.minor),
            throw_m: spot.throw.get(),
            lux: spot.lux.map(Lux::get),
        }
    }

    fn driver(&self, driver: Driver) -> String {
        let name = |name: Option<&String>| name.cloned().unwrap_or_default();
        match driver {
            Driver::Dark => "nobody".to_owned(),
            Driver::Hand => "your hand".to_owned(),
            Driver::Look(look) => name(self.show.looks.get(usize::from(look)).map(|look| &look.name)),
            Driver::Chase(chase) => name(self.show.chases.get(usize::from(chase)).map(|chase| &chase.name)),
            Driver::Cue(cue) => name(self.show.cues.get(usize::from(cue)).map(|cue| &cue.name)),
        }
    }

    fn now(&self, snapshot: &Snapshot) -> Now {
        let status = &snapshot.status;
        let index = |place: Option<usize>| place.and_then(|place| u32::try_from(place).ok());
        let running = |running: lanthorn_show::player::RunningChase| {
            let chase = self.show.chases.get(running.chase)?;
            let step = u32::try_from(running.step).ok()?;
            Some(RunningChase {
                name: chase.name.clone(),
                step,
                speed: running.speed,
                calm: running.calmed,
                waits: running.waits,
            })
        };
        Now {
            look: status.look.and_then(|look| Some(self.show.looks.get(look)?.name.clone())),
            chases: status.chases.iter().flatten().copied().filter_map(running).collect(),
            cue: index(status.cue),
            next_cue: index(status.next_cue),
            fade: status.fade,
            master: status.master,
            groups: snapshot.groups.clone(),
            blackout: status.blackout,
            stillness: status.stillness,
            strobe_stopped: status.strobe_stopped,
            // What is heard of a tempo is not surer than this.
            tempo_bpm: if status.music.sets { status.bpm.round() } else { status.bpm },
            beat: status.beat,
        }
    }

    fn link(&self, snapshot: &Snapshot) -> Link {
        let output = |(name, status): (&String, &OutputStatus)| OutputView {
            name: name.clone(),
            ok: status.state == OutputState::Working,
            words: words(status),
            sent: status.sent as f64,
            failed: status.failed as f64,
        };
        Link {
            outputs: self.names.iter().zip(&snapshot.outputs).map(output).collect(),
            rate_hz: 1.0 / lanthorn_live::engine::PERIOD.secs(),
            ticks: snapshot.ticks.done as f64,
            late: snapshot.ticks.late as f64,
        }
    }
}

/// How an output fares, in words.
fn words(status: &OutputStatus) -> String {
    let why = || match status.last_fault.map(std::io::Error::from_raw_os_error) {
        Some(fault) => format!(": {fault}"),
        None => String::new(),
    };
    match status.state {
        OutputState::Working if status.nodes > 0 => format!("sending, {} answer", status.nodes),
        OutputState::Working => "sending".to_owned(),
        OutputState::Failing => format!("does not get through{}", why()),
        OutputState::Waiting => "no node has answered yet".to_owned(),
        OutputState::Unplugged => format!("not there{}; looked for again twice a second", why()),
    }
}
