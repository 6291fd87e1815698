//! Every change there is.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::fields::{
    AreaField, ChaseField, CircuitField, CueField, FigureField, FurnitureField, LightField, LimitField,
    MainsField, MusicField, PartField, PlaceField, RoomField, ScoreField, ScorePartField, ShowField,
    StepField, StepsField,
};
use super::value::Value;
use crate::chart::Answer;
use crate::starter::{Lights, Room};
use crate::values::Table;

/// Values of a new table.
pub type Values<F> = BTreeMap<F, Value>;

/// One change to a show. Names are those of the show file; places in an order, parts and steps count from 1; a value
/// that is left out (null) clears its field. docs/changes.md has an example of each.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[cfg_attr(feature = "ts", derive(ts_rs::TS))]
#[serde(tag = "type", rename_all = "snake_case", deny_unknown_fields)]
#[expect(missing_docs, reason = "the fields say what they are; docs/changes.md tells the rest")]
pub enum Change {
    /// All of these, or none.
    Many { changes: Vec<Change> },

    /// A first show of these lights, in a show that has none yet; without a room, in the room that it has.
    Begin { room: Option<Room>, lights: Vec<Lights> },

    /// Set a field of `[show]`.
    ShowSet { field: ShowField, value: Option<Value> },
    /// Set a field of `[music]`.
    MusicSet { field: MusicField, value: Option<Value> },
    /// Set a field of `[limits]`.
    LimitSet { field: LimitField, value: Option<Value> },
    /// Set a field of the mains.
    MainsSet { field: MainsField, value: Option<Value> },
    /// Set a field of `[room]`.
    RoomSet { field: RoomField, value: Option<Value> },

    /// A new mark.
    MarkAdd { name: String, at: Value },
    /// Move a mark.
    MarkSet { name: String, at: Value },
    /// Call a mark otherwise, everywhere.
    MarkRename { name: String, to: String },
    /// Take a mark away; who was aimed at it keeps the point.
    MarkRemove { name: String },
    /// A new hanging place.
    PlaceAdd {
        name: String,
        #[serde(default)]
        values: Values<PlaceField>,
    },
    /// Set a field of a hanging place.
    PlaceSet { name: String, field: PlaceField, value: Option<Value> },
    /// Call a hanging place otherwise, everywhere.
    PlaceRename { name: String, to: String },
    /// Take a hanging place away; its lights go to the nearest other one.
    PlaceRemove { name: String },
    /// A new raised floor.
    PlatformAdd {
        name: String,
        #[serde(default)]
        values: Values<AreaField>,
    },
    /// Set a field of a raised floor.
    PlatformSet { name: String, field: AreaField, value: Option<Value> },
    /// Call a raised floor otherwise.
    PlatformRename { name: String, to: String },
    /// Take a raised floor away.
    PlatformRemove { name: String },
    /// A new area where people are.
    AudienceAdd {
        name: String,
        #[serde(default)]
        values: Values<AreaField>,
    },
    /// Set a field of an area where people are.
    AudienceSet { name: String, field: AreaField, value: Option<Value> },
    /// Call an area where people are otherwise.
    AudienceRename { name: String, to: String },
    /// Take an area where people are away.
    AudienceRemove { name: String },
    /// A new piece of furniture, or several of the same.
    FurnitureAdd {
        name: String,
        #[serde(default)]
        values: Values<FurnitureField>,
    },
    /// Set a field of a piece of furniture.
    FurnitureSet { name: String, field: FurnitureField, value: Option<Value> },
    /// Call a piece of furniture otherwise.
    FurnitureRename { name: String, to: String },
    /// Take a piece of furniture away.
    FurnitureRemove { name: String },

    /// A new circuit.
    CircuitAdd {
        name: String,
        #[serde(default)]
        values: Values<CircuitField>,
    },
    /// Set a field of a circuit.
    CircuitSet { name: String, field: CircuitField, value: Option<Value> },
    /// Call a circuit otherwise, everywhere.
    CircuitRename { name: String, to: String },
    /// Take a circuit away; its lights are on none.
    CircuitRemove { name: String },

    /// Lights more: numbered behind the last, at the first free addresses (of a universe, or of all), spread along the
    /// place, and on the data line of that universe where there is one.
    LightAdd {
        profile: String,
        mode: Option<String>,
        place: String,
        #[serde(default = "one")]
        count: usize,
        #[serde(default)]
        universe: Option<u16>,
    },
    /// Lights less, and what is left without them.
    LightRemove { lights: Vec<u32> },
    /// Take the library's description of a light into the show, in place of the one that it has. `identity` is that of the
    /// description that was looked at: another is not taken.
    ProfileTake { name: String, identity: Option<String> },
    /// Set a field of some lights. A list may have one for each, where the show file allows a list.
    LightSet { lights: Vec<u32>, field: LightField, value: Option<Value> },
    /// Which lights a data line has, in the order of the cable; who was on it and is not named is on none.
    LineSet { name: String, lights: Vec<u32> },
    /// Give every driven light an address anew, one behind another along the data lines.
    AddressAll {},

    /// A new kind of light, read from the text of its manual's channel chart with what is answered to the questions about
    /// it; with `replace` in the place of the one of that name.
    ProfileAdd {
        name: String,
        text: String,
        #[serde(default)]
        answers: Vec<Answer>,
        #[serde(default)]
        replace: bool,
    },
    /// What a channel of a kind of light is called and does, by its number in the mode; its ranges have the keys of a
    /// profile file. A kind that the show does not carry is put in.
    ProfileChannelSet {
        profile: String,
        mode: String,
        channel: u16,
        name: Option<String>,
        #[cfg_attr(feature = "ts", ts(type = "{ [key in string]: Value }[]"))]
        ranges: Vec<Table>,
    },

    /// A new group.
    GroupAdd { name: String, lights: Vec<u32> },
    /// Which lights a group has, in order.
    GroupSet { name: String, lights: Vec<u32> },
    /// Call a group otherwise, everywhere.
    GroupRename { name: String, to: String },
    /// Take a group away; looks that named it name its lights.
    GroupRemove { name: String },

    /// A new named colour.
    SwatchAdd { name: String, colour: Value },
    /// Another colour for a name.
    SwatchSet { name: String, colour: Value },
    /// Call a named colour otherwise, everywhere.
    SwatchRename { name: String, to: String },
    /// Take a name of a colour away; who had it keeps the colour.
    SwatchRemove { name: String },

    /// A new figure.
    FigureAdd {
        name: String,
        #[serde(default)]
        values: Values<FigureField>,
    },
    /// Set a field of a figure.
    FigureSet { name: String, field: FigureField, value: Option<Value> },
    /// Call a figure otherwise, everywhere.
    FigureRename { name: String, to: String },
    /// Take a figure away; who ran it stands where it was aimed.
    FigureRemove { name: String },

    /// A new look, dark or like another.
    LookAdd { name: String, like: Option<String> },
    /// Call a look otherwise, everywhere.
    LookRename { name: String, to: String },
    /// Take a look away, and the steps that showed it.
    LookRemove { name: String },
    /// The same look once more, behind it.
    LookDuplicate { name: String, to: String },
    /// Another place in the order of looks.
    LookMove { name: String, to: usize },
    /// How long it fades when put on by hand.
    LookFade { name: String, fade: Option<Value> },
    /// A look of these parts, in place of those that it had, or new.
    LookKeep { name: String, fade: Option<Value>, parts: Vec<Values<PartField>> },
    /// One more part: at that place, or last.
    PartAdd {
        look: String,
        who: Value,
        #[serde(default)]
        values: Values<PartField>,
        at: Option<usize>,
    },
    /// One part less.
    PartRemove { look: String, part: usize },
    /// Another place in the order of parts.
    PartMove { look: String, part: usize, to: usize },
    /// Set a field of a part.
    PartSet { look: String, part: usize, field: PartField, value: Option<Value> },

    /// A new chase of these looks.
    ChaseAdd {
        name: String,
        steps: Vec<String>,
        #[serde(default)]
        values: Values<ChaseField>,
    },
    /// Call a chase otherwise, everywhere.
    ChaseRename { name: String, to: String },
    /// Take a chase away; cues no longer call it.
    ChaseRemove { name: String },
    /// The same chase once more, behind it.
    ChaseDuplicate { name: String, to: String },
    /// Another place in the order of chases.
    ChaseMove { name: String, to: usize },
    /// Set a field of a chase.
    ChaseSet { name: String, field: ChaseField, value: Option<Value> },
    /// One more step: at that place, or last.
    StepAdd { chase: String, look: String, time: Option<Value>, fade: Option<Value>, at: Option<usize> },
    /// One step less; without any the chase goes.
    StepRemove { chase: String, step: usize },
    /// Another place in the order of steps.
    StepMove { chase: String, step: usize, to: usize },
    /// Set a field of a step.
    StepSet { chase: String, step: usize, field: StepField, value: Option<Value> },
    /// The same time or fade for all steps.
    StepsSet { chase: String, field: StepsField, value: Option<Value> },

    /// A new cue: behind that one, or last.
    CueAdd {
        after: Option<String>,
        #[serde(default)]
        values: Values<CueField>,
    },
    /// One cue less.
    CueRemove { number: String },
    /// Another place in the list; it takes a number that fits there.
    CueMove { number: String, to: usize },
    /// Another number; it goes to where that belongs.
    CueNumber { number: String, to: String },
    /// Set a field of a cue.
    CueSet { number: String, field: CueField, value: Option<Value> },

    /// A score of these parts over a track, in place of the one of that name, or new.
    ScoreKeep {
        name: String,
        values: Values<ScoreField>,
        #[serde(default)]
        parts: Vec<Values<ScorePartField>>,
    },
    /// Call a score otherwise.
    ScoreRename { name: String, to: String },
    /// Take a score away.
    ScoreRemove { name: String },
    /// Set a field of a score.
    ScoreSet { name: String, field: ScoreField, value: Option<Value> },
    /// One more part of a score, behind the others in the file.
    ScorePartAdd { score: String, values: Values<ScorePartField> },
    /// One part of a score less.
    ScorePartRemove { score: String, part: usize },
    /// Set fields of a part of a score; those that are null are left out of it from now on.
    ScorePartSet {
        score: String,
        part: usize,
        #[cfg_attr(feature = "ts", ts(type = "{ [key in ScorePartField]?: Value | null }"))]
        values: BTreeMap<ScorePartField, Option<Value>>,
    },
}

const fn one() -> usize {
    1
}
