//! A first show as it would be: what the page shows while its four questions are answered. Nothing is changed here.

use std::sync::Arc;

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use lanthorn_rehearsal::settled;
use lanthorn_rig::plan::{Plan, plan};
use lanthorn_show::Driver;
use lanthorn_store::starter::{
    self, Answers, Lights, Measures, NAMED_ROOMS, Question, Refused, Room, StageSide,
};
use lanthorn_store::{ShowFile, library, read_show};
use serde::{Deserialize, Serialize};

use crate::current::{Both, Text};
use crate::moment::Moments;
use crate::scene;
use crate::sighting::views;
use crate::wire::{LightMoment, ModeView, Scene};
use crate::words::counted;

/// The answers so far.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
#[serde(deny_unknown_fields)]
pub(crate) struct BeginAsk {
    /// None: the room that the show has.
    #[cfg_attr(test, ts(as = "Option<Room>"))]
    pub room: Option<Room>,
    /// None yet: an empty room is shown.
    pub lights: Vec<Lights>,
}

/// What may be answered, and the show that comes of the answers so far.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct BeginView {
    /// The rooms that have a name.
    pub rooms: Vec<BeginRoomView>,
    /// The room that the show has.
    pub here: BeginRoomView,
    /// The kinds of light.
    pub kinds: Vec<BeginKind>,
    /// Where lights can be told to go.
    pub places: Vec<String>,
    /// What comes of it; none where something was refused.
    pub preview: Option<BeginPreview>,
    /// What does not do.
    pub refused: Option<BeginRefused>,
}

/// A room in words.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct BeginRoomView {
    /// Its name.
    pub name: String,
    /// "13 × 14 m, 4.5 m high, stage at the end".
    pub says: String,
    /// Its measures.
    pub measures: Measures,
}

/// A kind of light.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct BeginKind {
    /// Name of the profile.
    pub name: String,
    /// What to draw, as `UnitView::symbol`.
    pub symbol: String,
    /// What sort of light, in words.
    pub sort: String,
    /// Its modes.
    pub modes: Vec<ModeView>,
    /// Shown before anybody searches.
    pub usual: bool,
}

/// A show that is not begun yet.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct BeginPreview {
    /// Its scene.
    pub scene: Scene,
    /// Its lights in the look that it starts with.
    pub lights: Vec<LightMoment>,
    /// What there is, and what to take care of.
    pub says: Vec<String>,
}

/// Why no show can be begun.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(ts_rs::TS))]
pub(crate) struct BeginRefused {
    /// "room", "lights" or "name".
    pub to: String,
    /// What is wrong, and what to do.
    pub why: String,
}

/// Answers the page: what comes of its answers, in place of the show that runs.
pub(crate) fn answer(both: &Both, body: &str) -> Response {
    match serde_json::from_str(body) {
        Ok(ask) => {
            let text = serde_json::to_string(&view(both, &ask)).unwrap_or_default();
            let headers = [(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")];
            (headers, text).into_response()
        }
        Err(why) => (StatusCode::BAD_REQUEST, why.to_string()).into_response(),
    }
}

fn view(both: &Both, ask: &BeginAsk) -> BeginView {
    let here = Measures::of(&both.rig.room);
    let (preview, refused) = match preview(both, here, ask) {
        Ok(preview) => (Some(preview), None),
        Err(Refused { to, why }) => (None, Some(BeginRefused { to: to.word().to_owned(), why })),
    };
    let room =
        |name: &str, measures| BeginRoomView { name: name.to_owned(), says: words(&measures), measures };
    BeginView {
        rooms: NAMED_ROOMS.iter().map(|known| room(known.name, known.measures)).collect(),
        here: room(&both.rig.room.name, here),
        kinds: library::all()
            .iter()
            .map(|profile| BeginKind {
                name: profile.name.clone(),
                symbol: scene::symbol(profile.kind),
                sort: library::sort_word(profile.kind).to_owned(),
                modes: scene::rigging::modes(profile),
                usual: library::is_usual(&profile.name),
            })
            .collect(),
        places: starter::places().map(str::to_owned).to_vec(),
        preview,
        refused,
    }
}

/// "13 × 14 m, 4.5 m high, stage at the end".
fn words(measures: &Measures) -> String {
    let Measures { width, depth, height, stage } = measures;
    let stage = match stage.map(|stage| stage.side) {
        None => "no stage",
        Some(StageSide::End) => "stage at the end",
        Some(StageSide::Side) => "stage at the side",
    };
    format!("{width} × {depth} m, {height} m high, {stage}")
}

fn preview(both: &Both, here: Measures, ask: &BeginAsk) -> Result<BeginPreview, Refused> {
    let room = ask.room.clone().unwrap_or(Room::Measured(here));
    let text = if ask.lights.is_empty() {
        starter::empty(&both.show.name, &room)?
    } else {
        starter::begin(&Answers {
            name: both.show.name.clone(),
            room,
            room_name: ask.room.is_none().then(|| both.rig.room.name.clone()),
            lights: ask.lights.clone(),
            own: Vec::new(),
        })?
    };
    match read_show(&text).0 {
        Some(file) => Ok(shown(both.generation, &text, file)),
        None => Err(Refused {
            to: Question::Lights,
            why: "the show would not open: take other lights or another room".to_owned(),
        }),
    }
}

fn shown(generation: u64, text: &str, file: ShowFile) -> BeginPreview {
    let told = Arc::new(Text::new(text, &file));
    let (show, rig) = (Arc::new(file.show), Arc::new(file.rig));
    let start = show.start.as_ref().and_then(|start| show.looks.iter().position(|look| look.name == *start));
    let lights = start.map(|start| settled(&show, &rig, start)).unwrap_or_default();
    let driver = start.and_then(|start| u16::try_from(start).ok()).map_or(Driver::Dark, Driver::Look);
    let both = Both { generation, show, rig, text: told };
    let plan = plan(&both.rig);
    BeginPreview {
        says: says(&both, &plan),
        lights: Moments::new(both.show.clone(), both.rig.clone(), Vec::new()).lights(&lights, driver),
        scene: scene::scene(&both, &plan, &views(&both.rig)),
    }
}

fn says(both: &Both, plan: &Plan) -> Vec<String> {
    let (show, rig) = (&both.show, &both.rig);
    if rig.units.is_empty() {
        return Vec::new();
    }
    let first = rig.units.first().and_then(|unit| unit.address());
    let lines = plan.lines.len();
    let addressed = first.map_or(String::new(), |first| format!(", addressed from {first}"));
    let mut says = vec![format!(
        "{}{addressed}, on {}: {}, {} and {}, made for exactly these lights.",
        counted(rig.units.len(), "light"),
        if lines == 1 { "one data line".to_owned() } else { counted(lines, "data line") },
        counted(show.looks.len(), "look"),
        counted(show.chases.len(), "chase"),
        counted(show.cues.len(), "cue"),
    )];
    says.extend(starter::cautions(rig).into_iter().map(|care| format!("{}. {}.", care.what, care.remedy)));
    says
}

#[cfg(test)]
mod tests {
    use super::*;

    fn empty() -> Both {
        let text = starter::empty("Spring dance", &Room::Named("barn".to_owned())).unwrap();
        let file = read_show(&text).0.unwrap();
        let told = Arc::new(Text::new(&text, &file));
        Both { generation: 3, show: Arc::new(file.show), rig: Arc::new(file.rig), text: told }
    }

    fn asked(json: &str) -> BeginView {
        view(&empty(), &serde_json::from_str(json).unwrap())
    }

    #[test]
    fn the_first_look_is_seen_before_the_show_is_begun() {
        let view = asked(
            r#"{ "room": "village hall", "lights": [{ "profile": "RGBW par", "count": 4 }, { "profile": "hazer" }] }"#,
        );
        let preview = view.preview.unwrap();
        assert_eq!((preview.scene.units.len(), preview.lights.len()), (5, 5));
        assert!(preview.lights.iter().take(4).all(|light| light.heads[0].level > 0.01));
        assert_eq!(preview.scene.room.name, "village hall");
        assert_eq!(preview.scene.show, "Spring dance");
        assert!(
            preview.says[0].starts_with("5 lights, addressed from 1.001, on one data line"),
            "{:?}",
            preview.says
        );
        assert!(preview.says.iter().any(|says| says.contains("haze")), "{:?}", preview.says);
    }

    #[test]
    fn without_lights_the_room_is_seen_and_what_may_be_answered_is_told() {
        let view = asked(r#"{ "room": { "width": 8, "depth": 9, "height": 3 }, "lights": [] }"#);
        let room = view.preview.unwrap().scene.room;
        assert!((room.x[1] - 4.0).abs() < 1e-9);
        assert_eq!(view.here.name, "barn");
        assert_eq!(view.here.says, "8.4 × 13 m, 3.8 m high, no stage");
        assert_eq!(view.kinds.len(), lanthorn_store::shipped().len());
        let room = asked(r#"{ "lights": [] }"#).preview.unwrap().scene.room;
        assert!((room.x[1] - 4.2).abs() < 1e-9, "the show's own");
    }

    #[test]
    fn what_does_not_do_is_said_with_its_question() {
        for (json, to, words) in [
            (r#"{ "room": "moon", "lights": [] }"#, "room", "village hall"),
            (r#"{ "room": { "width": 1, "depth": 9, "height": 3 }, "lights": [] }"#, "room", "give 4 to 60"),
            (r#"{ "lights": [{ "profile": "laser" }] }"#, "lights", "no light \"laser\""),
            (r#"{ "lights": [{ "profile": "RGB par", "count": 0 }] }"#, "lights", "name 1 to"),
        ] {
            let refused = asked(json).refused.unwrap();
            assert_eq!(refused.to, to, "{json}");
            assert!(refused.why.contains(words), "{}", refused.why);
        }
    }
}
