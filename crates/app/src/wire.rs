//! What crosses the WebSocket between the running machine and the page: one message enum each way, JSON text.
//!
//! The page draws and sends [`Intent`]s; every number it shows was computed in Rust and travels here. The
//! TypeScript twin, `web/src/wire.gen.ts`, is generated from these types by a test.
//!
//! Units: metres in the world frame, radians, seconds, lux, candela; colours are linear-light sRGB, 0 to 1,
//! normalised so that the largest part is 1 (brightness travels apart).

mod chart;
mod door;
mod flashes;
mod history;
mod making;
mod music;
mod offers;
mod plan;
mod reach;
mod room;
mod score;
mod setup;
mod sight;

use lanthorn_store::change::Change;
use serde::{Deserialize, Serialize};

pub(crate) use chart::{ChartAsk, ChartTake, KindView};
pub(crate) use door::{Admitted, CodeView, DoorView, Knock, PairAsk, PairedView, QrView, Role};
pub(crate) use flashes::FlashesNow;
pub(crate) use history::{EntryStanding, EntryView, HistoryView};
pub(crate) use making::{
    EditsView, FigureView, FreeView, ModeView, PartView, ProfileView, StepView, SwatchView,
};
pub(crate) use music::{EarsHello, MusicAsk, MusicNow, MusicSource, ToEars};
pub(crate) use offers::OfferView;
pub(crate) use plan::{
    CaseView, CircuitView, DivideView, FieldChoice, FieldView, FindingView, HowView, InputView, LineView,
    MoveView, PlaceSumsView, PlanView, ShorterView, SumView, WhatIfView,
};
pub(crate) use reach::{ColourAnswer, ReachDot, ReachView, ReachWhite};
pub(crate) use room::{AreaView, FurnitureView, MarkView, PlaceView, RoomView};
pub(crate) use score::{ScoreAsk, ScoreLineView, ScoreNow, ScorePartView, ScoreView};
pub(crate) use setup::{
    AskedLight, CauseView, CheckView, Otherwise, QuestionView, SeenName, SetUpCard, SetUpPart, SetUpStep,
    SetUpView, StandingView,
};
pub(crate) use sight::{AxisName, NudgeStep, SightingNow};

/// From the machine to the page.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "type", rename_all = "snake_case")]
pub(crate) enum ToPage {
    /// What does not change from moment to moment; sent first and again whenever it changes.
    Scene(Box<Scene>),
    /// What the stand-in shows now; sent about thirty times a second.
    Moment(Box<Moment>),
    /// What a light makes of a colour, to the page that asked.
    Colour(Box<ColourAnswer>),
    /// The browser is not admitted: it wants a code.
    Pair(PairAsk),
    /// The browser is admitted.
    Admitted(Admitted),
    /// Who may come in, to the machine's own page.
    Door(Box<DoorView>),
    /// The browser may not do what it asked; one sentence.
    Refused {
        /// Why.
        says: String,
    },
    /// What came of a change that this page asked for; one for each, in order.
    Said {
        /// What was done, or why not; a sentence or a few.
        says: String,
        /// Nothing was done.
        wrong: bool,
    },
    /// The show's history, to the page that asked.
    History(Box<HistoryView>),
    /// What a change would bring.
    WhatIf(Box<WhatIfView>),
    /// Setting up at the venue.
    SetUp(Box<SetUpView>),
    /// The browser was sent away and has to pair again.
    SentAway {
        /// One sentence.
        says: String,
    },
}

/// The show, its room and its rig, as far as they stand still.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Scene {
    /// Moments of the same number belong to it; one more each time that show or rig are replaced while they run.
    pub generation: f64,
    /// The show's name.
    pub show: String,
    /// The room.
    pub room: RoomView,
    /// Every light, by number.
    pub units: Vec<UnitView>,
    /// What colours each kind of light can make.
    pub reaches: Vec<ReachView>,
    /// Groups in the order of the show file.
    pub groups: Vec<GroupView>,
    /// Looks in the order of the show file.
    pub looks: Vec<LookView>,
    /// Chases in the order of the show file.
    pub chases: Vec<ChaseView>,
    /// The cue list in order.
    pub cues: Vec<CueView>,
    /// Scored tracks, in the order of the file.
    pub scores: Vec<ScoreView>,
    /// The plan's sums and findings.
    pub plan: PlanView,
    /// The flash limit in force, flashes a second.
    pub flash_limit_hz: f64,
    /// Who agreed to a limit above four, in the venue's words.
    pub flash_reason: Option<String>,
    /// What can be taken back and done again.
    pub edits: EditsView,
    /// Named colours in the order of the show file.
    pub swatches: Vec<SwatchView>,
    /// Figures in the order of the show file.
    pub figures: Vec<FigureView>,
    /// The looks and chases that have a pad tonight, in order; none: all of them.
    pub tonight: Option<Vec<String>>,
    /// Looks from which the music picks: calm, groove, peak.
    pub moods: [Vec<String>; 3],
    /// Kinds of light that can be added: the show's own first.
    pub profiles: Vec<ProfileView>,
    /// What the library describes otherwise.
    pub offers: Vec<OfferView>,
    /// Where more lights would answer.
    pub free: Vec<FreeView>,
}

/// A light where it hangs.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct UnitView {
    /// Its number.
    pub number: u32,
    /// What kind of light, in words ("small wash head").
    pub kind: String,
    /// What to draw, by the kind of light: `wash_head`, `par`, `profile_spot`, `fogger` and so on.
    pub symbol: String,
    /// Mode's name.
    pub mode: String,
    /// Base plate in the room.
    pub at: [f64; 3],
    /// World from fixture, quaternion x, y, z, w.
    pub rotation: [f64; 4],
    /// Width, depth, height of the body in the fixture frame.
    pub size: [f64; 3],
    /// `true` when pan and tilt can follow a spot.
    pub moves: bool,
    /// How many independently lit heads it has.
    pub heads: u32,
    /// Hanging place.
    pub place: String,
    /// Along it, metres from its middle; towards larger x (before the place is turned) is positive.
    pub along: f64,
    /// How it is turned about the vertical, degrees, as the plan has it.
    pub turn: f64,
    /// The modes it has.
    pub modes: Vec<ModeView>,
    /// `driven`, `linked, leads`, `linked, follows 3`, `on its own`.
    pub run: String,
    /// The light that it follows, its own number when it leads; `null` when it is not linked.
    pub leader: Option<u32>,
    /// The built-in programme that it runs when it leads or is on its own.
    pub programme: Option<String>,
    /// The built-in programmes that its kind has.
    pub programmes: Vec<String>,
    /// First slot, "1.101"; `null` when it has none.
    pub address: Option<String>,
    /// How many channels.
    pub footprint: u32,
    /// What to select in its own menu, in words.
    pub menu: Vec<String>,
    /// Circuit's name.
    pub circuit: Option<String>,
    /// Its data line, as the show file calls it ("A"); none: the one of its universe.
    pub line: Option<String>,
    /// Names of the groups it belongs to.
    pub groups: Vec<String>,
    /// What sighting in has found out; none for a light that cannot follow a spot.
    pub sighting: Option<SightingView>,
    /// Place in `Scene::reaches` of what colours it can make; none for a light that gives none.
    pub reach: Option<u32>,
}

/// What sighting in has found out about one light.
#[derive(Clone, Debug, Default, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SightingView {
    /// The sights, in order.
    pub sights: Vec<SightView>,
    /// What is known, what is wrong and what to do, in sentences; most important first.
    pub says: Vec<String>,
    /// Expected miss at each mark, 95 %, centimetres, in the order of `RoomView::marks`; empty while nothing is solved,
    /// `null` for a mark out of reach.
    pub expected_cm: Vec<Option<f64>>,
    /// Radius of the spot at each mark, centimetres; `null` when the beam is not known.
    pub spot_cm: Vec<Option<f64>>,
    /// The mark to sight next.
    pub next_mark: Option<String>,
    /// Enough is known: the expected miss is below a third of the spot wherever it matters.
    pub enough: bool,
    /// The sign check: `not watched`, `as the plan says`, `backwards`.
    pub signs: String,
    /// Full travel of pan, seconds, as it counts now.
    pub pan_time_s: Option<f64>,
    /// Full travel of tilt.
    pub tilt_time_s: Option<f64>,
    /// Where these times come from: `stopwatch`, `profile`, `assumed`; pan, tilt.
    pub times_from: [String; 2],
}

/// One sight.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct SightView {
    /// The mark's name; none for a bare point.
    pub mark: Option<String>,
    /// Where.
    pub at: [f64; 3],
    /// How far the solved beam passes from it, centimetres; `null` while nothing is solved.
    pub miss_cm: Option<f64>,
    /// It does not fit the others and is left out.
    pub wrong: bool,
}

/// A group.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct GroupView {
    /// Its name.
    pub name: String,
    /// Light numbers in order.
    pub units: Vec<u32>,
}

/// A look, told.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LookView {
    /// Its name.
    pub name: String,
    /// The colours in it as `#rrggbb`, each once.
    pub colours: Vec<String>,
    /// The sentences: who, where, what colour, how bright.
    pub words: Vec<Vec<Word>>,
    /// Where the spots run that run a figure.
    pub paths: Vec<PathView>,
    /// How long it fades when put on by hand, as the file has it.
    pub fade: Option<String>,
    /// Where it is used: "in 1 chase and 2 cues"; empty where nowhere.
    pub used: String,
    /// What the editors of its sentences need, one for each.
    pub parts: Vec<PartView>,
}

/// The way of one light's spot in one look: closed, metres in the room.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct PathView {
    /// The light's number.
    pub unit: u32,
    /// Points along it.
    pub points: Vec<[f64; 3]>,
}

/// A piece of a sentence; a colour word carries its colour.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Word {
    /// The text, spaces and stops included.
    pub text: String,
    /// `#rrggbb` when this is a colour word.
    pub colour: Option<String>,
    /// The field of the show's file that it tells, by its name there.
    pub of: Option<String>,
}

/// A chase, told.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct ChaseView {
    /// Its name.
    pub name: String,
    /// For each step the look's name.
    pub steps: Vec<String>,
    /// One colour for each step, `#rrggbb`.
    pub colours: Vec<String>,
    /// One sentence.
    pub words: Vec<Word>,
    /// In what order its steps come.
    pub order: String,
    /// How much of the time of two steps the first has, 0.5 even, to 0.75.
    pub swing: f64,
    /// It stands while no music is heard.
    pub calm: bool,
    /// What it answers to: `kick`, `snare`, `hat` or `drop`.
    pub at_each: Option<String>,
    /// Rounds after which it ends.
    pub rounds: Option<u32>,
    /// How long it comes in and goes out, as the file has it.
    pub fade: Option<String>,
    /// For steps that say nothing of their own.
    pub step_time: Option<String>,
    /// Likewise.
    pub step_fade: Option<String>,
    /// Where it is used: "in 2 cues"; empty where nowhere.
    pub used: String,
    /// Its steps as the file has them.
    pub each: Vec<StepView>,
}

/// A cue, told.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct CueView {
    /// Its number as printed ("4", "4.5").
    pub number: String,
    /// Its name.
    pub name: String,
    /// What will change, one sentence.
    pub words: Vec<Word>,
    /// A note for the person ("after the toast").
    pub note: String,
    /// Fade-in, seconds.
    pub fade_s: f64,
    /// Seconds after which the next cue follows by itself.
    pub follow_s: Option<f64>,
    /// The look that it puts on.
    pub look: Option<String>,
    /// The chases that run from it on; none: those that ran before.
    pub chases: Option<Vec<String>>,
    /// Its fade, as the file has it.
    pub fade: Option<String>,
    /// When the next one follows, as the file has it.
    pub follow: Option<String>,
    /// Beats a minute from it on.
    pub tempo: Option<f64>,
}

/// What the stand-in shows and the machine does now.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Moment {
    /// Which scene it belongs to.
    pub generation: f64,
    /// Seconds since the machine started.
    pub time_s: f64,
    /// Every light, in the order of `Scene::units`.
    pub lights: Vec<LightMoment>,
    /// What is on.
    pub now: Now,
    /// What the flash limit does.
    pub flashes: FlashesNow,
    /// How the machine itself is doing.
    pub link: Link,
    /// The music, and how the show follows it.
    pub music: MusicNow,
    /// The score that is played, while one is.
    pub score: Option<ScoreNow>,
    /// The light that is being sighted in, while one is.
    pub sighting: Option<SightingNow>,
    /// What is to be known of the show's file, while something is.
    pub file: Option<FileSays>,
}

/// What is to be known of the show's file.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct FileSays {
    /// One or two sentences, with file and line where something is wrong.
    pub says: String,
    /// It cannot be read as it is; what runs goes on.
    pub wrong: bool,
}

/// One light now, as decoded from the very bytes that were sent.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct LightMoment {
    /// Its number.
    pub unit: u32,
    /// Pan of the modelled motor, radians about home in the fixture frame.
    pub pan: f64,
    /// Tilt of the modelled motor.
    pub tilt: f64,
    /// `true` while the motors are still on their way.
    pub moving: bool,
    /// Who drives it: "base", the look's, chase's or cue's name, "your hand".
    pub driver: String,
    /// `true` while it is held by hand.
    pub held: bool,
    /// Its beams.
    pub heads: Vec<HeadMoment>,
}

/// One beam now.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct HeadMoment {
    /// Lens in the room.
    pub from: [f64; 3],
    /// Unit vector of the beam in the room.
    pub along: [f64; 3],
    /// Light as a fraction of what the head can give at most, 0 to 1.
    pub level: f64,
    /// Linear-light colour, largest part 1.
    pub rgb: [f64; 3],
    /// Candela on the axis now; 0 when dark; `null` when the profile does not know its brightness.
    pub candela: Option<f64>,
    /// Full angle at half of the peak, radians.
    pub beam: f64,
    /// Full angle at a tenth of the peak, radians.
    pub field: f64,
    /// Flashes a second; 0 for steady light.
    pub strobe_hz: f64,
    /// Gobo's name in its slot, if not open.
    pub gobo: Option<String>,
    /// `true` with the prism in.
    pub prism: bool,
    /// Haze output 0 to 1 (hazers only).
    pub haze: f64,
    /// Where the middle of the beam lands.
    pub spot: Option<Spot>,
}

/// Where a beam lands.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Spot {
    /// Where the beam's axis meets the surface.
    pub at: [f64; 3],
    /// `floor`, `left wall`, `right wall`, `far wall`, `near wall`, `ceiling`, or a platform's name.
    pub surface: String,
    /// Unit normal of the surface, into the room.
    pub normal: [f64; 3],
    /// Middle of the half-peak ellipse on the surface.
    pub centre: [f64; 3],
    /// From the middle to the far end of the long axis, a vector along the surface.
    pub major: [f64; 3],
    /// From the middle to the end of the short axis.
    pub minor: [f64; 3],
    /// Distance from the lens.
    pub throw_m: f64,
    /// Illuminance on the surface at `at`; `null` when brightness is not known.
    pub lux: Option<f64>,
}

/// What is on.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Now {
    /// The base look.
    pub look: Option<String>,
    /// Running chases.
    pub chases: Vec<RunningChase>,
    /// The cue that is on, by place in `Scene::cues`.
    pub cue: Option<u32>,
    /// The cue that Go takes.
    pub next_cue: Option<u32>,
    /// Progress of the running fade, 0 to 1; 1 when none runs.
    pub fade: f64,
    /// Master, 0 to 1.
    pub master: f64,
    /// The same over each group, in the order of `Scene::groups`.
    pub groups: Vec<f64>,
    /// Blackout is on.
    pub blackout: bool,
    /// Stillness is on.
    pub stillness: bool,
    /// Strobes are stopped.
    pub strobe_stopped: bool,
    /// Beats a minute.
    pub tempo_bpm: f64,
    /// Beats since some bar began; the fraction is the place inside the beat.
    pub beat: f64,
}

/// A chase that runs.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct RunningChase {
    /// Its name.
    pub name: String,
    /// The step that is on, from 0.
    pub step: u32,
    /// How many times as fast as its steps say: 0 stands, 0.5 is half time, 2 double time.
    pub speed: f64,
    /// It stands until there is music.
    pub calm: bool,
    /// It waits for a stroke of the music.
    pub waits: bool,
}

/// How the machine itself is doing.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct Link {
    /// Outputs; empty when only the stand-in is driven.
    pub outputs: Vec<OutputView>,
    /// Frames a second that the machine aims at.
    pub rate_hz: f64,
    /// Ticks done.
    pub ticks: f64,
    /// Ticks that came too late and were skipped.
    pub late: f64,
}

/// One output.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct OutputView {
    /// "sACN multicast", "Art-Net 10.0.0.7", "USB /dev/ttyUSB0".
    pub name: String,
    /// `true` while it works.
    pub ok: bool,
    /// What it does or what is wrong, in words.
    pub words: String,
    /// Packets or frames sent.
    pub sent: f64,
    /// Sends that failed.
    pub failed: f64,
}

/// From the page to the machine.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(tag = "type", rename_all = "snake_case")]
pub(crate) enum Intent {
    /// Put a look on (crossfades in the look's own time).
    Look {
        /// Its name.
        name: String,
    },
    /// Start or stop a chase.
    Chase {
        /// Its name.
        name: String,
        /// Start or stop.
        on: bool,
    },
    /// Let a running chase stand, go on, run at half or double time.
    ChaseSpeed {
        /// Its name.
        name: String,
        /// How many times as fast as its steps say, 0 to 4.
        speed: f64,
    },
    /// Take the next cue.
    Go,
    /// Take the cue before.
    Back,
    /// Take a cue by its place in the list.
    Cue {
        /// Place, from 0.
        index: u32,
    },
    /// Set the master, 0 to 1.
    Master {
        /// Level.
        level: f64,
    },
    /// Set the master of a group, 0 to 1.
    GroupMaster {
        /// Its name.
        group: String,
        /// Level.
        level: f64,
    },
    /// Blackout and back as it was.
    Blackout {
        /// On or off.
        on: bool,
    },
    /// Stop all movement and flashing, keep the light.
    Stillness {
        /// On or off.
        on: bool,
    },
    /// Stop strobes.
    StopStrobe {
        /// On or off.
        on: bool,
    },
    /// One tap of the tempo.
    Tap,
    /// Set the tempo.
    Tempo {
        /// Beats a minute.
        bpm: f64,
    },
    /// How the music is followed, and where it comes from.
    Music {
        /// What.
        ask: MusicAsk,
    },
    /// Play a score, or say where a page that plays one is.
    Score {
        /// What.
        ask: ScoreAsk,
    },
    /// Hold a light's spot on a point.
    Aim {
        /// Light's number.
        unit: u32,
        /// Point in the room.
        at: [f64; 3],
    },
    /// Hold a light's level, 0 to 1.
    Level {
        /// Light's number.
        unit: u32,
        /// Level.
        level: f64,
    },
    /// Hold a light's colour.
    Colour {
        /// Light's number.
        unit: u32,
        /// As a look writes it: a name, `#rrggbb`, `3200 K`.
        colour: String,
    },
    /// Let go of a light, or of all.
    LetGo {
        /// Light's number; none lets go of everything.
        unit: Option<u32>,
    },
    /// Sight a light in: it is lit by hand and goes to where it believes the mark is.
    SightGo {
        /// Light's number.
        unit: u32,
        /// The mark's name.
        mark: String,
    },
    /// Move the spot of the light that is being sighted in.
    SightNudge {
        /// Light's number.
        unit: u32,
        /// Which way along the surface that the spot lies on, in the room; its length does not matter.
        towards: [f64; 3],
        /// How far.
        step: NudgeStep,
    },
    /// The beam is on the mark now: keep a sight.
    SightOn {
        /// Light's number.
        unit: u32,
        /// The mark's name.
        mark: String,
    },
    /// Take the last sight of a light back.
    SightUndo {
        /// Light's number.
        unit: u32,
    },
    /// Sign check: move an axis a little in its own positive sense.
    SignTry {
        /// Light's number.
        unit: u32,
        /// Which axis.
        axis: AxisName,
    },
    /// Sign check: the spot went this way; none: it could not be seen, forget it.
    SignWent {
        /// Light's number.
        unit: u32,
        /// Which axis had moved.
        axis: AxisName,
        /// Which way along the surface, in the room.
        towards: Option<[f64; 3]>,
    },
    /// Stopwatch: send an axis from one end to the other and start counting.
    StopwatchStart {
        /// Light's number.
        unit: u32,
        /// Which axis.
        axis: AxisName,
    },
    /// Stopwatch: it is there now. The time counts for this light, or for all of its kind.
    StopwatchThere {
        /// Light's number.
        unit: u32,
        /// For every light of this kind.
        all_of_kind: bool,
    },
    /// While a light is sighted in the others go dark, or stay as the show has them.
    SightAlone {
        /// The light in hand.
        unit: u32,
        /// Dark.
        on: bool,
    },
    /// End sighting in: the light goes back to the show.
    SightEnd {
        /// Light's number.
        unit: u32,
    },
    /// What a light would make of a colour: answered to this page alone; nothing moves.
    AskColour {
        /// Light's number.
        unit: u32,
        /// As in [`Intent::Colour`].
        colour: String,
    },
    /// Change the show: answered by [`ToPage::Said`].
    Change {
        /// What.
        change: Change,
    },
    /// Take the last change back; answered likewise.
    Undo,
    /// Do again what was taken back last; answered likewise.
    Redo,
    /// Keep what is lit now as a look, new or in the place of what it was; answered likewise.
    KeepLook {
        /// The look's name.
        name: String,
        /// Of these lights alone; none: of all.
        units: Option<Vec<u32>>,
    },
    /// The show's history: answered to this page alone, by [`ToPage::History`].
    AskHistory,
    /// What the plan would say after a change, which is not made: answered to this page alone, by [`ToPage::WhatIf`].
    WhatIf {
        /// The change.
        change: Change,
    },
    /// Give the show as it is now a name to come back to; answered by [`ToPage::Said`].
    Bookmark {
        /// The name.
        name: String,
    },
    /// Make the show what it was at an entry of its history; answered likewise.
    Restore {
        /// The entry's number.
        id: u32,
    },
    /// Setting up: these steps are done, or not.
    SetUpTick {
        /// What they are known by.
        keys: Vec<String>,
        /// Done.
        done: bool,
    },
    /// Open the line check, or end it: the lights go back to the show.
    SetUpCheck {
        /// Open.
        on: bool,
    },
    /// What the lights of the open question do: as they should, but for these.
    SetUpAnswer {
        /// How many were answered before it: an answer to another question counts for nothing.
        question: u32,
        /// The others.
        otherwise: Vec<Otherwise>,
    },
    /// Take the last answer back: its question is open again.
    SetUpBack,
    /// Check again from the first question on.
    SetUpAnew,
    /// Send a value to one channel of a light as it is; again each second, or it ends. Refused as [`ToPage::Refused`].
    ChannelTry {
        /// Light's number.
        unit: u32,
        /// Its place in the mode, from 1.
        channel: u16,
        /// The byte.
        value: u8,
        /// Also where it may do harm.
        sure: bool,
    },
    /// No channel is tried any more.
    ChannelRelease,
    /// A moment was taken in: the next may come.
    Seen,
    /// A new pairing code, in the place of the one before; from the machine's own page.
    NewCode {
        /// What it gives.
        role: Role,
    },
    /// Send a paired browser away; from the machine's own page.
    SendAway {
        /// Which one.
        id: u32,
    },
}

#[cfg(test)]
mod tests;
