//! What looks on: the stand-in takes the frames that were sent, and pages see it and put their hand in.

use std::net::TcpListener;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use anyhow::Context;
use axum::extract::ws::Utf8Bytes;
use lanthorn_live::{Clock, Commands, Snapshots};
use lanthorn_physics::{Point, colour};
use lanthorn_rehearsal::StandIn;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Plan};
use lanthorn_show::{Command, Show};
use tokio::sync::watch;

use crate::http::{Server, router};
use crate::lux::Mapper;
use crate::moment::Moments;
use crate::planned::Playing;
use crate::reach::Reaches;
use crate::scene;
use crate::sighting::{Book, Onlooker, Session, Sighting};
use crate::wire::{Intent, ToPage};

/// The page sees so many moments a second.
const MOMENT: Duration = Duration::from_millis(33);

/// What a page looks at.
pub(crate) struct Stage {
    pub(crate) show: Arc<Show>,
    pub(crate) rig: Arc<Rig>,
    pub(crate) plan: Plan,
    /// What of the plan the moves of the show ask of its motors, or who finds that out.
    pub(crate) moves: Result<Vec<Finding>, Playing>,
    /// How the lights of the stand-in really hang, when that is not as they are believed to.
    pub(crate) truth: Option<Arc<Rig>>,
    /// The show's own file; none for the built-in one.
    pub(crate) path: Option<PathBuf>,
    /// The outputs in words.
    pub(crate) names: Vec<String>,
    pub(crate) clock: Clock,
}

impl Stage {
    /// Serves the page until `stop`. Whatever happens here, the tick thread goes on.
    pub(crate) fn serve(
        self,
        listener: TcpListener,
        local: bool,
        commands: Commands,
        mut snapshots: Snapshots,
        stop: &Arc<AtomicBool>,
    ) -> anyhow::Result<()> {
        let commands = Arc::new(Mutex::new(commands));
        let session = Session::new((*self.rig).clone(), Book::new(self.path));
        let scene = scene::message(&self.show, &self.rig, &self.plan, session.views());
        let (scene_in, scene) = watch::channel(scene);
        let (moment_in, moment) = watch::channel(Utf8Bytes::default());
        let now = (self.clock, snapshots.latest());
        let (sighting, onlooker, sighter) = Sighting::start(
            session,
            (self.show.clone(), self.moves),
            commands.clone(),
            now,
            scene_in,
            stop.clone(),
        )
        .context("start the thread for sighting in")?;
        let hand = Hand {
            show: self.show.clone(),
            reaches: Reaches::new(&self.rig),
            rig: self.rig.clone(),
            commands,
            clock: self.clock,
            sighting,
        };
        let hangs = self.truth.clone().unwrap_or_else(|| self.rig.clone());
        let mapper = Arc::new(Mapper::new(self.show.clone(), hangs.clone()));
        let looking = Looking {
            stand_in: StandIn::new(hangs.clone()),
            mapper: mapper.clone(),
            as_believed: self.truth.is_none(),
            moments: Moments::new(self.show, hangs, self.names),
            snapshots,
            onlooker,
        };
        let stopped = stop.clone();
        let looker = std::thread::Builder::new()
            .name("lanthorn-standin".to_owned())
            .spawn(move || looking.run(&moment_in, &stopped))
            .context("start the stand-in's thread")?;
        let server = Server { scene, moment, hand: Arc::new(hand), mapper, local };
        let served = serve(listener, server, stop.clone());
        stop.store(true, Ordering::Release);
        // A panic there has already been printed; the lights went on.
        let _ = (looker.join(), sighter.join());
        served
    }
}

/// The thread that looks.
struct Looking {
    stand_in: StandIn,
    /// The stand-in's lights hang as they are believed to.
    as_believed: bool,
    mapper: Arc<Mapper>,
    moments: Moments,
    snapshots: Snapshots,
    onlooker: Onlooker,
}

impl Looking {
    fn run(mut self, out: &watch::Sender<Utf8Bytes>, stop: &AtomicBool) {
        while !stop.load(Ordering::Acquire) {
            let snapshot = self.snapshots.latest();
            if let Some((rig, units)) = self.onlooker.renewed().filter(|_| self.as_believed) {
                self.stand_in.renew(rig, &units);
            }
            self.stand_in.take(&snapshot.frames, snapshot.now);
            let sighting = self.onlooker.look(snapshot);
            let moment = self.moments.moment(snapshot, self.stand_in.lights(), sighting);
            self.mapper.take(self.stand_in.lights());
            out.send_replace(json(&ToPage::Moment(Box::new(moment))));
            std::thread::sleep(MOMENT);
        }
    }
}

/// The hand: what pages ask for, sent to the machine.
pub(crate) struct Hand {
    show: Arc<Show>,
    rig: Arc<Rig>,
    reaches: Reaches,
    commands: Arc<Mutex<Commands>>,
    clock: Clock,
    sighting: Sighting,
}

impl Hand {
    /// Takes an intent at this moment. What names something that is not there does nothing.
    pub(crate) fn take(&self, intent: &Intent) {
        let at = self.clock.now();
        if let Some(command) = self.command(intent) {
            let mut commands = self.commands.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            // A full ring is counted there.
            commands.send(command, at);
        }
        self.sighting.take(intent);
    }

    /// The answer to a question; none to what is no question, or about a light that is not there.
    pub(crate) fn answer(&self, intent: &Intent) -> Option<Utf8Bytes> {
        let Intent::AskColour { unit, colour } = intent else { return None };
        let index = self.rig.index_of(*unit)?;
        // A colour's words are short; more is not read out again.
        let ask: String = colour.chars().take(80).collect();
        Some(json(&ToPage::Colour(Box::new(self.reaches.answer(index, *unit, &ask)))))
    }

    fn command(&self, intent: &Intent) -> Option<Command> {
        let unit = |number: &u32| self.rig.index_of(*number);
        Some(match intent {
            Intent::Look { name } => Command::Look(self.show.look_index(name)?),
            Intent::Chase { name, on } => Command::Chase { index: self.show.chase_index(name)?, on: *on },
            Intent::Go => Command::Go,
            Intent::Back => Command::Back,
            Intent::Cue { index } => Command::Cue(*index as usize),
            Intent::Master { level } => Command::Master(*level),
            Intent::Blackout { on } => Command::Blackout(*on),
            Intent::Stillness { on } => Command::Stillness(*on),
            Intent::StopStrobe { on } => Command::StopStrobe(*on),
            Intent::Tap => Command::Tap,
            Intent::Tempo { bpm } => Command::Tempo(*bpm),
            Intent::Aim { unit: number, at } => Command::Aim { unit: unit(number)?, at: Point::from(*at) },
            Intent::Level { unit: number, level } => Command::Level { unit: unit(number)?, level: *level },
            Intent::Colour { unit: number, colour } => Command::Colour {
                unit: unit(number)?,
                chromaticity: colour::parse(colour).ok()?.chromaticity,
            },
            Intent::LetGo { unit: None } => Command::LetGo(None),
            Intent::LetGo { unit: Some(number) } => Command::LetGo(Some(unit(number)?)),
            Intent::SightGo { .. }
            | Intent::SightNudge { .. }
            | Intent::SightOn { .. }
            | Intent::SightUndo { .. }
            | Intent::SignTry { .. }
            | Intent::SignWent { .. }
            | Intent::StopwatchStart { .. }
            | Intent::StopwatchThere { .. }
            | Intent::SightAlone { .. }
            | Intent::SightEnd { .. } => return None,
            // The connection's own words; they never get this far.
            Intent::Seen | Intent::AskColour { .. } => return None,
        })
    }
}

fn serve(listener: TcpListener, server: Server, stop: Arc<AtomicBool>) -> anyhow::Result<()> {
    listener.set_nonblocking(true).context("serve the page")?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .thread_name("lanthorn-page")
        .enable_all()
        .build()
        .context("start the page's server")?;
    let served = runtime.block_on(async {
        let listener = tokio::net::TcpListener::from_std(listener)?;
        let stopped = async move {
            while !stop.load(Ordering::Acquire) {
                tokio::time::sleep(Duration::from_millis(20)).await;
            }
        };
        // Open sockets would hold a graceful end for ever: stop waiting when told to stop.
        tokio::select! {
            served = async { axum::serve(listener, router(server)).await } => served,
            () = stopped => Ok(()),
        }
    });
    runtime.shutdown_timeout(Duration::from_millis(200));
    served.context("serve the page")
}

/// As it goes to pages.
pub(crate) fn json(message: &ToPage) -> Utf8Bytes {
    // Plain data of ours always has a JSON form.
    serde_json::to_string(message).unwrap_or_default().into()
}
