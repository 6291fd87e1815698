//! A first show, where there is none yet.

use lanthorn_physics::units::Metres;
use lanthorn_rig::Room as Hall;

use super::named::count;
use super::sheet::Sheet;
use super::{Refused, opened};
use crate::starter::{self, Answers, Lights, Measures, Room, Stage, StageSide};

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
        room: room.cloned().unwrap_or_else(|| Room::Measured(measures(&file.rig.room))),
        room_name: room.is_none().then(|| file.rig.room.name.clone()),
        lights: lights.to_vec(),
        own: file.profiles.clone(),
    };
    let text = starter::begin(&answers).map_err(|refused| Refused::new(refused.to_string()))?;
    let now = opened(&text)?;
    *sheet = Sheet::new(text)?;
    let cautions: String =
        starter::cautions(&now.rig).iter().map(|care| format!(" {}. {}.", care.what, care.remedy)).collect();
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

/// The room that a show has. What is raised at its far end is the stage.
fn measures(hall: &Hall) -> Measures {
    let length = |[low, high]: [Metres; 2]| ((high - low).get() * 100.0).round() / 100.0;
    let at_far_end = |area: &&lanthorn_rig::Area| (area.y[1] - hall.y[1]).get().abs() < 0.5;
    let stage = hall.platforms.iter().find(at_far_end);
    Measures {
        width: length(hall.x),
        depth: length(hall.y),
        height: hall.height.get(),
        stage: stage.map(|area| Stage {
            side: StageSide::End,
            depth: length([area.y[0], hall.y[1]]),
            height: area.height.get(),
        }),
    }
}
