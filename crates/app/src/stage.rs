//! What looks on: the stand-in takes the frames that were sent, and pages see it and put their hand in.

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use anyhow::Context;
use axum::extract::ws::Utf8Bytes;
use lanthorn_live::ears::{Brings, Feed, MidiMessage, Source};
use lanthorn_live::{Clock, Ears, Snapshots};
use lanthorn_physics::{Instant, Point, Span, colour};
use lanthorn_rehearsal::StandIn;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Plan};
use lanthorn_show::{Command, Steer};
use tokio::sync::watch;

use crate::chart;
use crate::current::{Both, Current};
use crate::desk::Desk;
use crate::door::{Door, Time};
use crate::http::{self, Server, router};
use crate::lux::Mapper;
use crate::moment::Moments;
use crate::planned::Playing;
use crate::reach::Reaches;
use crate::scene;
use crate::score::Scores;
use crate::setup::{SetUp, Ticks};
use crate::sighting::{Book, Onlooker, Session, Sighting};
use crate::truth;
use crate::wire::{FileSays, Intent, MusicAsk, ToPage};

/// The page sees so many moments a second.
const MOMENT: Duration = Duration::from_millis(33);

/// What a page looks at.
pub(crate) struct Stage {
    pub(crate) current: Arc<Current>,
    pub(crate) plan: Plan,
    /// What of the plan the moves of the show ask of its motors, or who finds that out.
    pub(crate) moves: Result<Vec<Finding>, Playing>,
    /// How the lights of the stand-in really hang, when that is not as they are believed to.
    pub(crate) truth: Option<Arc<Rig>>,
    /// The show's own file; none for the built-in one.
    pub(crate) path: Option<PathBuf>,
    /// What is ticked of setting up.
    pub(crate) ticks: Ticks,
    /// Where it is made.
    pub(crate) desk: Desk,
    /// The outputs in words.
    pub(crate) names: Vec<String>,
    pub(crate) clock: Clock,
    /// What listens to the music.
    pub(crate) ears: Ears,
    /// Where scores are played.
    pub(crate) scores: Scores,
}

impl Stage {
    /// Serves the page until `stop`. Whatever happens here, the tick thread goes on.
    pub(crate) fn serve(
        self,
        listener: TcpListener,
        door: Arc<Door>,
        mut snapshots: Snapshots,
        stop: &Arc<AtomicBool>,
    ) -> anyhow::Result<()> {
        let both = self.current.both();
        let session = Session::new((*both.rig).clone(), Book::new(self.path.clone()));
        let scene = scene::message(&both, &self.current.edits(), &self.plan, session.views());
        let (scene_in, scene) = watch::channel(scene);
        let (moment_in, moment) = watch::channel(Utf8Bytes::default());
        let now = (self.clock, snapshots.latest());
        let (sighting, onlooker, sighter) =
            Sighting::start(session, (both.clone(), self.moves), &self.current, now, scene_in, stop.clone())
                .context("start the thread for sighting in")?;
        let (set_up, setting_up, setter) = SetUp::start(self.ticks, &self.current, self.clock, stop.clone())
            .context("start the thread for setting up")?;
        let hand = Hand {
            reaches: Mutex::new((both.generation, Arc::new(Reaches::new(&both.rig)))),
            current: self.current.clone(),
            clock: self.clock,
            sighting,
            set_up,
            ears: self.ears.clone(),
            scores: self.scores.clone(),
            path: self.path.clone(),
            midi: Mutex::default(),
        };
        let hangs = self.truth.clone().unwrap_or_else(|| both.rig.clone());
        let mapper = Arc::new(Mapper::new(both.show.clone(), hangs.clone()));
        let looking = Looking {
            stand_in: StandIn::new(hangs.clone()),
            mapper: mapper.clone(),
            truth: self.truth,
            moments: Moments::new(both.show.clone(), hangs, self.names.clone()),
            names: self.names,
            current: self.current,
            both,
            snapshots,
            onlooker,
            ears: self.ears,
            scores: self.scores,
        };
        let stopped = stop.clone();
        let looker = std::thread::Builder::new()
            .name("lanthorn-standin".to_owned())
            .spawn(move || looking.run(&moment_in, &stopped))
            .context("start the stand-in's thread")?;
        let server = Server {
            scene,
            moment,
            setting_up,
            hand: Arc::new(hand),
            desk: self.desk,
            mapper,
            door,
            maps: Server::maps(),
        };
        let served = serve(listener, server, stop.clone());
        stop.store(true, Ordering::Release);
        // A panic there has already been printed; the lights went on.
        let _ = (looker.join(), sighter.join(), setter.join());
        served
    }
}

/// The thread that looks.
struct Looking {
    stand_in: StandIn,
    /// How the stand-in's lights hang; none when that is as they are believed to.
    truth: Option<Arc<Rig>>,
    mapper: Arc<Mapper>,
    moments: Moments,
    names: Vec<String>,
    current: Arc<Current>,
    /// What the snapshots belong to.
    both: Both,
    snapshots: Snapshots,
    onlooker: Onlooker,
    ears: Ears,
    scores: Scores,
}

impl Looking {
    fn run(mut self, out: &watch::Sender<Utf8Bytes>, stop: &AtomicBool) {
        while !stop.load(Ordering::Acquire) {
            let generation = self.snapshots.latest().generation;
            if generation != self.both.generation {
                self.follow(generation);
            }
            let snapshot = self.snapshots.latest();
            if snapshot.ticks.done > 0 {
                self.current.see(snapshot);
            }
            if let Some((found, units)) = self.onlooker.renewed().filter(|_| self.truth.is_none())
                && found.generation == self.both.generation
            {
                self.stand_in.renew(found.rig, &units);
            }
            // The next look follows what came between.
            if snapshot.generation == self.both.generation {
                self.stand_in.take(&snapshot.frames, snapshot.now);
                let sighting = self.onlooker.look(snapshot);
                let file = self.current.file_says().map(|(says, wrong)| FileSays { says, wrong });
                let hearing = self.ears.hearing();
                let music = (&hearing, self.scores.now());
                let moment = self.moments.moment(snapshot, self.stand_in.lights(), sighting, file, music);
                self.mapper.take(self.stand_in.lights());
                out.send_replace(json(&ToPage::Moment(Box::new(moment))));
            }
            std::thread::sleep(MOMENT);
        }
    }

    /// Goes over to another show and rig, as the machine has.
    fn follow(&mut self, generation: u64) {
        let Some(both) = self.current.of(generation) else { return };
        if let Some(truth) = &mut self.truth {
            *truth = Arc::new(truth::follow(truth, &self.both.rig, &both.rig));
        }
        let hangs = self.truth.clone().unwrap_or_else(|| both.rig.clone());
        self.stand_in.replace(hangs.clone());
        self.mapper.replace(both.show.clone(), hangs.clone(), self.stand_in.lights());
        self.moments = Moments::new(both.show.clone(), hangs, self.names.clone());
        self.both = both;
    }
}

/// The hand: what pages ask for, sent to the machine.
pub(crate) struct Hand {
    current: Arc<Current>,
    /// With the generation that they are of.
    reaches: Mutex<(u64, Arc<Reaches>)>,
    clock: Clock,
    sighting: Sighting,
    set_up: SetUp,
    ears: Ears,
    scores: Scores,
    /// The show's own file.
    path: Option<PathBuf>,
    /// The way in for a MIDI clock that a page hears.
    midi: Mutex<Option<Feed>>,
}

impl Hand {
    /// What listens to the music.
    pub(crate) fn ears(&self) -> &Ears {
        &self.ears
    }

    /// The show's own file; none for one that is built in.
    pub(crate) fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// This moment of the machine's clock.
    pub(crate) fn now(&self) -> Instant {
        self.clock.now()
    }

    /// The show and rig as they are now.
    pub(crate) fn both(&self) -> Both {
        self.current.both()
    }

    /// Takes an intent at this moment. What names something that is not there does nothing. A refusal is a sentence.
    pub(crate) fn take(&self, intent: &Intent) -> Result<(), String> {
        if let Intent::Music { ask } = intent {
            self.listen(ask);
        }
        if let Intent::Score { ask } = intent {
            self.scores.take(ask);
        }
        self.current.try_slot(|both| chart::trial(intent, both))?;
        self.current.ask(self.clock.now(), |both| command(intent, both));
        self.sighting.take(intent);
        self.set_up.take(intent);
        Ok(())
    }

    /// Does what concerns the source of the music.
    fn listen(&self, ask: &MusicAsk) {
        match ask {
            MusicAsk::Off => self.ears.close(),
            MusicAsk::MidiClock { name } => {
                let name = name.chars().filter(|c| !c.is_control()).take(60).collect();
                let feed = self.ears.open(Source { name, brings: Brings::MidiClock });
                *self.midi.lock().unwrap_or_else(PoisonError::into_inner) = Some(feed);
            }
            MusicAsk::MidiTicks { ticks } => {
                let now = self.clock.now();
                let midi = self.midi.lock().unwrap_or_else(PoisonError::into_inner);
                let Some(feed) = &*midi else { return };
                for (byte, ms) in ticks.iter().filter(|(_, ms)| ms.is_finite()) {
                    if let Some(message) = MidiMessage::of(*byte) {
                        feed.midi(message, ms / 1e3, now);
                    }
                }
            }
            MusicAsk::Follow { .. }
            | MusicAsk::Times { .. }
            | MusicAsk::One
            | MusicAsk::Earlier { .. }
            | MusicAsk::Range { .. }
            | MusicAsk::Pick { .. } => {}
        }
    }

    /// The answer to a question; none to what is no question, or about a light that is not there.
    pub(crate) fn answer(&self, intent: &Intent) -> Option<Utf8Bytes> {
        let Intent::AskColour { unit, colour } = intent else { return None };
        let both = self.current.both();
        let index = both.rig.index_of(*unit)?;
        // A colour's words are short; more is not read out again.
        let ask: String = colour.chars().take(80).collect();
        Some(json(&ToPage::Colour(Box::new(self.reaches(&both).answer(index, *unit, &ask)))))
    }

    fn reaches(&self, both: &Both) -> Arc<Reaches> {
        let mut reaches = self.reaches.lock().unwrap_or_else(PoisonError::into_inner);
        if reaches.0 != both.generation {
            *reaches = (both.generation, Arc::new(Reaches::new(&both.rig)));
        }
        reaches.1.clone()
    }
}

/// What an intent asks of the machine.
fn command(intent: &Intent, both: &Both) -> Option<Command> {
    let (show, rig) = (&both.show, &both.rig);
    let unit = |number: &u32| rig.index_of(*number);
    Some(match intent {
        Intent::Look { name } => Command::Look(show.look_index(name)?),
        Intent::Chase { name, on } => Command::Chase { index: show.chase_index(name)?, on: *on },
        Intent::ChaseSpeed { name, speed } => {
            Command::ChaseSpeed { index: show.chase_index(name)?, speed: *speed }
        }
        Intent::Go => Command::Go,
        Intent::Back => Command::Back,
        Intent::Cue { index } => Command::Cue(*index as usize),
        Intent::Master { level } => Command::Master(*level),
        Intent::GroupMaster { group, level } => {
            Command::GroupMaster { group: rig.group_index(group)?, level: *level }
        }
        Intent::Blackout { on } => Command::Blackout(*on),
        Intent::Stillness { on } => Command::Stillness(*on),
        Intent::StopStrobe { on } => Command::StopStrobe(*on),
        Intent::Tap => Command::Tap,
        Intent::Tempo { bpm } => Command::Tempo(*bpm),
        Intent::Music { ask } => Command::Steer(match ask {
            MusicAsk::Follow { on } => Steer::Follow(*on),
            MusicAsk::Times { times } => Steer::Times(*times),
            MusicAsk::One => Steer::One,
            MusicAsk::Earlier { ms } => Steer::Earlier(Span::from_secs(ms / 1e3)),
            MusicAsk::Range { slowest, fastest } => Steer::Range([*slowest, *fastest]),
            MusicAsk::Pick { on } => Steer::Pick(*on),
            MusicAsk::Off | MusicAsk::MidiClock { .. } | MusicAsk::MidiTicks { .. } => return None,
        }),
        Intent::Aim { unit: number, at } => Command::Aim { unit: unit(number)?, at: Point::from(*at) },
        Intent::Level { unit: number, level } => Command::Level { unit: unit(number)?, level: *level },
        Intent::Colour { unit: number, colour } => {
            Command::Colour { unit: unit(number)?, chromaticity: colour::parse(colour).ok()?.chromaticity }
        }
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
        | Intent::SightEnd { .. }
        | Intent::SetUpTick { .. }
        | Intent::SetUpCheck { .. }
        | Intent::SetUpAnswer { .. }
        | Intent::SetUpBack
        | Intent::SetUpAnew => return None,
        // Beside the player.
        Intent::ChannelTry { .. } | Intent::ChannelRelease => return None,
        // Where scores are played.
        Intent::Score { .. } => return None,
        // Made at the desk.
        Intent::Change { .. }
        | Intent::Undo
        | Intent::Redo
        | Intent::KeepLook { .. }
        | Intent::AskHistory
        | Intent::WhatIf { .. }
        | Intent::Bookmark { .. }
        | Intent::Restore { .. } => return None,
        // The connection's own words; they never get this far.
        Intent::Seen | Intent::AskColour { .. } | Intent::NewCode { .. } | Intent::SendAway { .. } => {
            return None;
        }
    })
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
        let door = server.door.clone();
        let looked_after = async move {
            loop {
                tokio::time::sleep(Duration::from_secs(1)).await;
                door.refresh(Time::now());
            }
        };
        // Open sockets would hold a graceful end for ever: stop waiting when told to stop.
        tokio::select! {
            served = http::serve(listener, router(server)) => served,
            () = looked_after => Ok(()),
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
