//! A first show, where there is none yet.

use super::named::count;
use super::sheet::Sheet;
use super::{Refused, opened};
use crate::starter::{self, Answers, Lights, Measures, Room};

/// Puts the text of a first show in place of all that the file holds; the show keeps its name, and profiles of its own can
/// be asked for.
pub(super) fn begin(sheet: &mut Sheet, room: Option<&Room>, lights: &[Lights]) -> Result<String, Refused> {
    // What stood in the file goes, so nothing may stand there that somebody has made.
    let file = opened(&sheet.text)?;
    if !file.rig.units.is_empty() {
        return Err(Refused::new(format!(
            "lights: the show has {} already: add to them one by one, remove them all first, or begin another show",
            count(file.rig.units.len(), "light")
        )));
    }
    let show = &file.show;
    for (how_many, what) in
        [(show.looks.len(), "look"), (show.chases.len(), "chase"), (show.cues.len(), "cue")]
    {
        if how_many > 0 {
            return Err(Refused::new(format!(
                "lights: the show has {} already, which would be lost: add lights one by one, remove what there is first, \
                 or begin another show",
                count(how_many, what)
            )));
        }
    }
    let answers = Answers {
        name: file.show.name.clone(),
        room: room.cloned().unwrap_or_else(|| Room::Measured(Measures::of(&file.rig.room))),
        room_name: room.is_none().then(|| file.rig.room.name.clone()),
        lights: lights.to_vec(),
        own: file.profiles.clone(),
    };
    let text = starter::begin(&answers).map_err(|refused| Refused::new(refused.to_string()))?;
    let now = opened(&text)?;
    *sheet = Sheet::new(text)?;
    // With what to do about it they stand in the plan.
    let cautions: String =
        starter::cautions(&now.rig).iter().map(|care| format!(" {}.", care.what)).collect();
    Ok(format!(
        "The show begins with {} in the room \"{}\": {}, {} and {}. Look at the plan for weight and power before you \
         hang them.{cautions}",
        count(now.rig.units.len(), "light"),
        now.rig.room.name,
        count(now.show.looks.len(), "look"),
        count(now.show.chases.len(), "chase"),
        count(now.show.cues.len(), "cue"),
    ))
}
