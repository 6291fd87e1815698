//! Typed changes to the text of a show: what a person asks for on a page or in a script becomes other text, with every
//! byte as it was that the change does not concern.
//!
//! The way: [`apply`] makes the change where it stands in the text, and reads the show that comes of it. A change that
//! would make a file that does not open is refused.

mod begin;
mod charting;
mod chases;
mod cues;
mod fields;
mod items;
mod kinds;
mod lights;
mod looks;
mod named;
mod profiles;
mod remove;
mod scores;
mod sheet;
mod value;

#[cfg(test)]
mod tests;

use crate::problem::Problem;
use lanthorn_show::Look;

use crate::show_file::{ShowFile, look_text, read_show};
use crate::values::{Table, values};
use fields::Field;
use named::Kind;
use sheet::Sheet;

pub use fields::{
    AreaField, ChaseField, CircuitField, CueField, FigureField, FurnitureField, LightField, LimitField,
    MainsField, MusicField, PartField, PlaceField, RoomField, ScoreField, ScorePartField, ShowField,
    StepField, StepsField,
};
pub use kinds::{Change, Values};
pub use scores::score_keep;
pub use value::Value;

/// How deep changes may hold changes.
const DEEPEST: usize = 8;

/// A text with a change made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Changed {
    /// The new text: it opens.
    pub text: String,
    /// What was done, for people: a sentence or a few.
    pub says: String,
}

/// Why a change cannot be made: one sentence that names the field and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Refused(String);

impl Refused {
    fn new(why: impl Into<String>) -> Self {
        Self(why.into())
    }

    fn by(problem: &Problem) -> Self {
        let stop = if problem.remedy.is_empty() { "" } else { ": " };
        Self(format!("{}{stop}{}", problem.message, problem.remedy))
    }
}

/// Makes a change in the text of a show. The text that comes back opens; where that cannot be, nothing is changed.
///
/// # Errors
///
/// A sentence: the text does not open as it is, something is not there or has that name already, or a value is none that
/// the show file takes.
pub fn apply(text: &str, change: &Change) -> Result<Changed, Refused> {
    let made = || {
        let mut sheet = Sheet::new(text.to_owned())?;
        let says = make(&mut sheet, change, 0)?;
        profiles::carry_own(&mut sheet)?;
        opened(&sheet.text)?;
        Ok(Changed { text: sheet.text, says })
    };
    made().map_err(|refused| broken(text).unwrap_or(refused))
}

/// Why a text does not open, if that is so.
fn broken(text: &str) -> Option<Refused> {
    let (file, problems) = read_show(text);
    if file.is_some() {
        return None;
    }
    let problem = problems.iter().find(|problem| problem.is_error());
    let why = problem.map_or("it is no show".to_owned(), Problem::in_line);
    Some(Refused::new(format!("the show does not open as it is: {why}: put that right first")))
}

/// The show that a text holds; or why there is none.
fn opened(text: &str) -> Result<ShowFile, Refused> {
    let (file, problems) = read_show(text);
    let why = || match problems.iter().find(|problem| problem.is_error()) {
        Some(problem) => Refused::by(problem),
        None => Refused::new("the show would not open: look at the change again"),
    };
    file.ok_or_else(why)
}

/// The fields of a look's parts, as [`Change::LookKeep`] takes them.
pub fn parts_of(look: &Look) -> Vec<Values<PartField>> {
    let Some(Value::List(parts)) = written_look(look).remove("part") else { return Vec::new() };
    let field = |key: &str| PartField::ALL.iter().copied().find(|field| field.key() == key);
    let part = |part: Value| match part {
        Value::Table(keys) => {
            keys.into_iter().filter_map(|(key, value)| field(&key).map(|field| (field, value))).collect()
        }
        _ => Values::new(),
    };
    parts.into_iter().map(part).collect()
}

fn written_look(look: &Look) -> Table {
    values(&look_text(look)).looks.into_iter().next().unwrap_or_default()
}

fn make(sheet: &mut Sheet, change: &Change, depth: usize) -> Result<String, Refused> {
    match change {
        Change::Many { changes } if depth < DEEPEST => {
            let mut says = Vec::new();
            for change in changes {
                says.push(make(sheet, change, depth + 1)?);
            }
            Ok(says.join(" "))
        }
        Change::Many { .. } => Err(Refused::new(format!(
            "changes are held by changes more than {DEEPEST} deep: write them in one list"
        ))),
        Change::Begin { room, lights } => begin::begin(sheet, room.as_ref(), lights),
        Change::ShowSet { field, value } => single(sheet, "show", "The show", field.key(), value.as_ref()),
        Change::MusicSet { field, value } => single(sheet, "music", "The music", field.key(), value.as_ref()),
        Change::RoomSet { field, value } => single(sheet, "room", "The room", field.key(), value.as_ref()),
        Change::MainsSet { field, value } => single(sheet, "mains", "The mains", field.key(), value.as_ref()),
        Change::LimitSet { field, value } => {
            let says = single(sheet, "limits", "The limits", field.key(), value.as_ref())?;
            let usual = lanthorn_rig::rig::Limits::default().flash;
            let more = read_show(&sheet.text).0.is_some_and(|file| file.rig.limits.flash > usual);
            Ok(if more { format!("{says} {FLASHES}") } else { says })
        }
        other => of_looks(sheet, other)
            .or_else(|| of_chases(sheet, other))
            .or_else(|| of_cues_and_lights(sheet, other))
            .or_else(|| of_scores(sheet, other))
            .or_else(|| of_things(sheet, other))
            .unwrap_or_else(|| Err(Refused::new("this change is not known: look into docs/changes.md"))),
    }
}

/// Said with a flash limit above the usual one.
const FLASHES: &str = "More than 3 flashes a second can bring on seizures: keep to 3 Hz unless everybody in the room has \
                       been told and agrees, and to the rules of the venue.";

/// Sets a field of a table that stands once.
fn single(
    sheet: &mut Sheet,
    key: &'static str,
    title: &str,
    field: &str,
    value: Option<&Value>,
) -> Result<String, Refused> {
    let source = value.map(Value::source);
    let edits = match (sheet.single(key)?, &source) {
        (Some(table), source) => sheet.set(&table, field, source.as_deref())?,
        (None, Some(source)) => vec![sheet.add(&[key], &format!("{field} = {source}\n"))?],
        (None, None) => Vec::new(),
    };
    sheet.edit(edits)?;
    Ok(named::now(title, field, value))
}

/// None for a change of another kind.
fn of_looks(sheet: &mut Sheet, change: &Change) -> Option<Result<String, Refused>> {
    Some(match change {
        Change::LookAdd { name, like } => looks::add(sheet, name, like.as_deref()),
        Change::LookRename { name, to } => named::rename(sheet, Kind::Look, name, to),
        Change::LookRemove { name } => remove::look(sheet, name),
        Change::LookDuplicate { name, to } => looks::duplicate(sheet, Kind::Look, name, to),
        Change::LookMove { name, to } => looks::to_place(sheet, Kind::Look, name, *to),
        Change::LookFade { name, fade } => named::set(sheet, Kind::Look, name, "fade", fade.as_ref()),
        Change::LookKeep { name, fade, parts } => looks::keep(sheet, name, fade.as_ref(), parts),
        Change::PartAdd { look, who, values, at } => looks::part_add(sheet, look, who, values, *at),
        Change::PartRemove { look, part } => looks::part_remove(sheet, look, *part),
        Change::PartMove { look, part, to } => looks::part_move(sheet, look, *part, *to),
        Change::PartSet { look, part, field, value } => {
            looks::part_set(sheet, look, *part, *field, value.as_ref())
        }
        _ => return None,
    })
}

fn of_chases(sheet: &mut Sheet, change: &Change) -> Option<Result<String, Refused>> {
    Some(match change {
        Change::ChaseAdd { name, steps, values } => chases::add(sheet, name, steps, values),
        Change::ChaseRename { name, to } => named::rename(sheet, Kind::Chase, name, to),
        Change::ChaseRemove { name } => remove::chase(sheet, name),
        Change::ChaseDuplicate { name, to } => looks::duplicate(sheet, Kind::Chase, name, to),
        Change::ChaseMove { name, to } => looks::to_place(sheet, Kind::Chase, name, *to),
        Change::ChaseSet { name, field, value } => {
            named::set(sheet, Kind::Chase, name, field.key(), value.as_ref())
        }
        Change::StepAdd { chase, look, time, fade, at } => {
            chases::step_add(sheet, chase, look, [time.as_ref(), fade.as_ref()], *at)
        }
        Change::StepRemove { chase, step } => chases::step_remove(sheet, chase, *step),
        Change::StepMove { chase, step, to } => chases::step_move(sheet, chase, *step, *to),
        Change::StepSet { chase, step, field, value } => {
            chases::step_set(sheet, chase, *step, *field, value.as_ref())
        }
        Change::StepsSet { chase, field, value } => chases::steps_set(sheet, chase, *field, value.as_ref()),
        _ => return None,
    })
}

fn of_cues_and_lights(sheet: &mut Sheet, change: &Change) -> Option<Result<String, Refused>> {
    Some(match change {
        Change::CueAdd { after, values } => cues::add(sheet, after.as_deref(), values),
        Change::CueRemove { number } => cues::remove(sheet, number),
        Change::CueMove { number, to } => cues::to_place(sheet, number, *to),
        Change::CueNumber { number, to } => cues::renumber(sheet, number, to),
        Change::CueSet { number, field, value } => cues::set(sheet, number, *field, value.as_ref()),
        Change::LightAdd { profile, mode, place, count, universe } => {
            lights::add(sheet, profile, mode.as_deref(), place, *count, *universe)
        }
        Change::LightRemove { lights } => lights::remove(sheet, lights),
        Change::LightSet { lights, field, value } => lights::set(sheet, lights, *field, value.as_ref()),
        Change::ProfileTake { name, identity } => profiles::take(sheet, name, identity.as_deref()),
        Change::ProfileAdd { name, text, answers, replace } => {
            charting::add(sheet, name, text, answers, *replace)
        }
        Change::ProfileChannelSet { profile, mode, channel, name, ranges } => {
            charting::channel_set(sheet, profile, (mode, *channel), name.as_deref(), ranges)
        }
        Change::LineSet { name, lights } => lights::line_set(sheet, name, lights),
        Change::AddressAll {} => lights::lay_out(sheet),
        Change::GroupAdd { name, lights } => lights::group_add(sheet, name, lights),
        Change::GroupSet { name, lights } => lights::group_set(sheet, name, lights),
        _ => return None,
    })
}

fn of_scores(sheet: &mut Sheet, change: &Change) -> Option<Result<String, Refused>> {
    Some(match change {
        Change::ScoreKeep { name, values, parts } => scores::keep(sheet, name, values, parts),
        Change::ScoreRename { name, to } => named::rename(sheet, Kind::Score, name, to),
        Change::ScoreRemove { name } => remove::thing(sheet, Kind::Score, name),
        Change::ScoreSet { name, field, value } => scores::set(sheet, name, *field, value.as_ref()),
        Change::ScorePartAdd { score, values } => scores::part_add(sheet, score, values),
        Change::ScorePartRemove { score, part } => scores::part_remove(sheet, score, *part),
        Change::ScorePartSet { score, part, values } => scores::part_set(sheet, score, *part, values),
        _ => return None,
    })
}

/// What has a name and fields and little else.
fn of_things(sheet: &mut Sheet, change: &Change) -> Option<Result<String, Refused>> {
    use Kind::{Audience, Circuit, Figure, Furniture, Group, Mark, Place, Platform, Swatch};
    let add = named::add;
    let set = |sheet: &mut Sheet, kind, name: &str, key: &str, value: &Option<Value>| {
        named::set(sheet, kind, name, key, value.as_ref())
    };
    Some(match change {
        Change::MarkAdd { name, at } => add(sheet, Mark, name, vec![("at", at.source())]),
        Change::MarkSet { name, at } => named::set(sheet, Mark, name, "at", Some(at)),
        Change::MarkRename { name, to } => named::rename(sheet, Mark, name, to),
        Change::MarkRemove { name } => remove::thing(sheet, Mark, name),
        Change::PlaceAdd { name, values } => add(sheet, Place, name, looks::sources(values)),
        Change::PlaceSet { name, field, value } => set(sheet, Place, name, field.key(), value),
        Change::PlaceRename { name, to } => named::rename(sheet, Place, name, to),
        Change::PlaceRemove { name } => lights::place_remove(sheet, name),
        Change::PlatformAdd { name, values } => add(sheet, Platform, name, looks::sources(values)),
        Change::PlatformSet { name, field, value } => set(sheet, Platform, name, field.key(), value),
        Change::PlatformRename { name, to } => named::rename(sheet, Platform, name, to),
        Change::PlatformRemove { name } => remove::thing(sheet, Platform, name),
        Change::AudienceAdd { name, values } => add(sheet, Audience, name, looks::sources(values)),
        Change::AudienceSet { name, field, value } => set(sheet, Audience, name, field.key(), value),
        Change::AudienceRename { name, to } => named::rename(sheet, Audience, name, to),
        Change::AudienceRemove { name } => remove::thing(sheet, Audience, name),
        Change::FurnitureAdd { name, values } => add(sheet, Furniture, name, looks::sources(values)),
        Change::FurnitureSet { name, field, value } => set(sheet, Furniture, name, field.key(), value),
        Change::FurnitureRename { name, to } => named::rename(sheet, Furniture, name, to),
        Change::FurnitureRemove { name } => remove::thing(sheet, Furniture, name),
        Change::CircuitAdd { name, values } => add(sheet, Circuit, name, looks::sources(values)),
        Change::CircuitSet { name, field, value } => set(sheet, Circuit, name, field.key(), value),
        Change::CircuitRename { name, to } => named::rename(sheet, Circuit, name, to),
        Change::CircuitRemove { name } => remove::thing(sheet, Circuit, name),
        Change::GroupRename { name, to } => named::rename(sheet, Group, name, to),
        Change::GroupRemove { name } => remove::thing(sheet, Group, name),
        Change::SwatchAdd { name, colour } => add(sheet, Swatch, name, vec![("colour", colour.source())]),
        Change::SwatchSet { name, colour } => named::set(sheet, Swatch, name, "colour", Some(colour)),
        Change::SwatchRename { name, to } => named::rename(sheet, Swatch, name, to),
        Change::SwatchRemove { name } => remove::thing(sheet, Swatch, name),
        Change::FigureAdd { name, values } => add(sheet, Figure, name, looks::sources(values)),
        Change::FigureSet { name, field, value } => set(sheet, Figure, name, field.key(), value),
        Change::FigureRename { name, to } => named::rename(sheet, Figure, name, to),
        Change::FigureRemove { name } => remove::thing(sheet, Figure, name),
        _ => return None,
    })
}
