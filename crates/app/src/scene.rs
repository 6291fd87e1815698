//! From show, rig and plan to what the page sees of what stands still.

mod fields;
mod making;
pub(crate) mod rigging;
mod scores;
pub(crate) mod sums;

use axum::extract::ws::Utf8Bytes;
use lanthorn_fixture::profile::Kind;
use lanthorn_physics::colour::{Chromaticity, screen_hex};
use lanthorn_physics::units::Metres;
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rig::plan::{PlacePlan, Plan, UnitPlan};
use lanthorn_rig::room::{Furniture, FurnitureKind};
use lanthorn_rig::{Area, HangingPlace, PlaceKind, Rig, Room, Run, Unit};
use lanthorn_show::figure::{Course, Shape};
use lanthorn_show::{Show, tell};
use lanthorn_store::values::Table;

use crate::current::{Both, Edits, Text};
use crate::reach::Reaches;
use crate::stage::json;
use crate::wire::{
    AreaView, ChaseView, CueView, EditsView, FurnitureView, GroupView, LookView, MarkView, PathView,
    PlaceView, RoomView, Scene, SightingView, ToPage, UnitView, Word,
};

/// Everything that does not change from moment to moment, as it goes to pages. `sighting` is what is known of each
/// light, in the rig's order.
pub(crate) fn message(
    both: &Both,
    edits: &Edits,
    plan: &Plan,
    sighting: &[Option<SightingView>],
) -> Utf8Bytes {
    let edits = EditsView { undo: edits.undo.clone(), redo: edits.redo.clone(), names: edits.names };
    let scene = Scene { generation: both.generation as f64, edits, ..scene(both, plan, sighting) };
    json(&ToPage::Scene(Box::new(scene)))
}

/// The same, before it is sent.
pub(crate) fn scene(both: &Both, plan: &Plan, sighting: &[Option<SightingView>]) -> Scene {
    let (show, rig, text) = (&*both.show, &*both.rig, &*both.text);
    let reaches = Reaches::new(rig);
    let of_show = rigging::of_show(&text.profiles, rig);
    Scene {
        generation: 0.0,
        show: show.name.clone(),
        room: room(&rig.room, plan),
        units: rig
            .units
            .iter()
            .zip(&plan.units)
            .zip(sighting)
            .enumerate()
            .map(|(index, ((unit, planned), sighting))| UnitView {
                reach: reaches.of(index),
                ..self::unit(rig, unit, planned, sighting.clone())
            })
            .collect(),
        reaches: reaches.views(),
        groups: rig
            .groups
            .iter()
            .map(|group| GroupView {
                name: group.name.clone(),
                units: group.units.iter().map(|&index| rig.units[index].number).collect(),
            })
            .collect(),
        looks: (0..show.looks.len()).map(|index| look(rig, show, index, text)).collect(),
        chases: (0..show.chases.len()).map(|index| chase(show, index, text)).collect(),
        cues: (0..show.cues.len()).map(|index| cue(show, rig, index, text)).collect(),
        scores: scores::views(show, text),
        plan: sums::view(rig, plan),
        flash_limit_hz: rig.limits.in_force().get(),
        flash_reason: rig.limits.flash_reason.clone(),
        edits: EditsView { undo: None, redo: None, names: 0 },
        swatches: text.swatches.iter().map(making::swatch).collect(),
        figures: making::figures(show, &text.values.figures),
        tonight: show.tonight.clone(),
        moods: show.moods.clone(),
        profiles: rigging::profiles(&of_show, &text.charts),
        offers: rigging::offers(&text.profiles, rig),
        free: rigging::free(rig, &of_show),
    }
}

fn room(room: &Room, plan: &Plan) -> RoomView {
    RoomView {
        name: room.name.clone(),
        x: room.x.map(Metres::get),
        y: room.y.map(Metres::get),
        height: room.height.get(),
        platforms: room.platforms.iter().map(area).collect(),
        audience: room.audience.iter().map(area).collect(),
        furniture: room.furniture.iter().map(furniture).collect(),
        marks: room
            .marks
            .iter()
            .map(|mark| MarkView { name: mark.name.clone(), at: mark.at.into() })
            .collect(),
        places: room.places.iter().map(|place| self::place(place, plan)).collect(),
    }
}

fn area(area: &Area) -> AreaView {
    AreaView {
        name: area.name.clone(),
        x: area.x.map(Metres::get),
        y: area.y.map(Metres::get),
        height: area.height.get(),
    }
}

fn furniture(thing: &Furniture) -> FurnitureView {
    FurnitureView {
        name: thing.name.clone(),
        kind: match thing.kind {
            FurnitureKind::Table => "table",
            FurnitureKind::RoundTable => "round_table",
            FurnitureKind::Cake => "cake",
            FurnitureKind::Person => "person",
        }
        .to_owned(),
        at: thing.at.into(),
        size: thing.size.map(Metres::get),
        turn: thing.turn.get(),
    }
}

fn place(place: &HangingPlace, plan: &Plan) -> PlaceView {
    let half = place.length / 2.0;
    PlaceView {
        name: place.name.clone(),
        kind: match place.kind {
            PlaceKind::Bar => "bar",
            PlaceKind::Truss => "truss",
            PlaceKind::Stand => "stand",
            PlaceKind::Floor => "floor",
        }
        .to_owned(),
        from: place.at(-half).into(),
        to: place.at(half).into(),
        length: place.length.get(),
        load: plan.places.iter().find(|planned| planned.name == place.name).map(load).unwrap_or_default(),
        fields: fields::place(place),
    }
}

fn load(place: &PlacePlan) -> String {
    let at_least = if place.unknown_weight.is_empty() { "" } else { "at least " };
    match place.rated_kg {
        Some(rated) => format!("{at_least}{:.1} of {rated:.0} kg", place.weight_kg),
        None if place.kind == PlaceKind::Floor => format!("{at_least}{:.1} kg", place.weight_kg),
        None => format!("{at_least}{:.1} kg, limit not known", place.weight_kg),
    }
}

fn unit(rig: &Rig, unit: &Unit, planned: &UnitPlan, sighting: Option<SightingView>) -> UnitView {
    let body = &unit.profile.body;
    // Drawn at a usual size where the profile does not know it.
    let size = |fact: lanthorn_fixture::Fact<Metres>| fact.value().map_or(0.25, Metres::get);
    let (at, world_from_fixture) = hangs(rig, unit);
    UnitView {
        number: unit.number,
        kind: unit.profile.name.clone(),
        symbol: symbol(unit.profile.kind),
        mode: unit.mode().name.clone(),
        at: at.into(),
        rotation: world_from_fixture.to_array(),
        size: [size(body.width), size(body.depth), size(body.height)],
        moves: unit.moves(),
        heads: u32::from(unit.mode().heads),
        place: rig.room.places[unit.place].name.clone(),
        along: unit.offset.get(),
        turn: rigging::degrees(unit.turn),
        modes: rigging::modes(&unit.profile),
        run: run(unit),
        leader: match unit.run {
            Run::Linked { leader, .. } => Some(leader),
            Run::Driven { .. } | Run::OnItsOwn { .. } => None,
        },
        programme: match &unit.run {
            Run::Linked { programme, .. } | Run::OnItsOwn { programme } => programme.clone(),
            Run::Driven { .. } => None,
        },
        programmes: unit.profile.programmes.iter().map(|programme| programme.name.clone()).collect(),
        address: unit.address().map(|address| address.to_string()),
        footprint: u32::from(planned.footprint),
        menu: planned.menu.clone(),
        circuit: planned.circuit.clone(),
        line: unit.line.clone(),
        sighting,
        reach: None,
        groups: rig
            .groups
            .iter()
            .filter(|group| group.units.iter().any(|&index| rig.units[index].number == unit.number))
            .map(|group| group.name.clone())
            .collect(),
    }
}

/// Base plate and turn: as sighted in, else as planned.
fn hangs(rig: &Rig, unit: &Unit) -> (Point, Rotation) {
    match unit.found.pose {
        None => (rig.position(unit), unit.world_from_fixture()),
        Some(pose) => {
            // From the base plate to the pivot as the plan has it, turned with the light.
            let (base, pivot) = (rig.position(unit), rig.pivot(unit));
            let up = pose.world_from_fixture.apply(Direction::UP);
            (pose.pivot.along(up, base.distance(pivot)), pose.world_from_fixture)
        }
    }
}

pub(crate) fn symbol(kind: Kind) -> String {
    match kind {
        Kind::WashHead => "wash_head",
        Kind::SpotHead => "spot_head",
        Kind::Par => "par",
        Kind::Bar => "bar",
        Kind::Strobe => "strobe",
        Kind::Hazer => "hazer",
        Kind::Dimmer => "dimmer",
        Kind::Fresnel => "fresnel",
        Kind::ProfileSpot => "profile_spot",
        Kind::Scanner => "scanner",
        Kind::Flood => "flood",
        Kind::Blinder => "blinder",
        Kind::Effect => "effect",
        Kind::Fogger => "fogger",
        Kind::Machine => "machine",
    }
    .to_owned()
}

fn run(unit: &Unit) -> String {
    match &unit.run {
        Run::Driven { shares: Some(other), .. } => format!("driven, moves as {other}"),
        Run::Driven { .. } => "driven".to_owned(),
        Run::Linked { leader, .. } if *leader == unit.number => "linked, leads".to_owned(),
        Run::Linked { leader, .. } => format!("linked, follows {leader}"),
        Run::OnItsOwn { .. } => "on its own".to_owned(),
    }
}

fn look(rig: &Rig, show: &Show, index: usize, text: &Text) -> LookView {
    let look = &show.looks[index];
    let written = text.values.looks.get(index);
    LookView {
        fade: written.and_then(|look| making::words(look, "fade")),
        used: making::look_used(&look.name, show),
        parts: making::parts(look, written, rig),
        name: look.name.clone(),
        colours: tell::look_colours(look).into_iter().map(screen_hex).collect(),
        words: tell::look(look, show, rig).iter().map(|sentence| words(sentence)).collect(),
        paths: Course::of_look(look, show, rig).iter().filter_map(|course| path(rig, course)).collect(),
    }
}

/// None for a light that stands, or cannot move.
fn path(rig: &Rig, course: &Course<'_>) -> Option<PathView> {
    let unit = rig.units.get(course.unit).filter(|unit| unit.moves() && course.figure.shape.moves())?;
    // A wandering spot bends as often as a handful of circles.
    let count = if matches!(course.figure.shape, Shape::Wander { .. }) { 256 } else { 64 };
    let millimetres = |metres: f64| (metres * 1000.0).round() / 1000.0;
    let points = course.points(count).map(|at| <[f64; 3]>::from(at).map(millimetres)).collect();
    Some(PathView { unit: unit.number, points })
}

fn chase(show: &Show, index: usize, text: &Text) -> ChaseView {
    let chase = &show.chases[index];
    let empty = Table::new();
    let written = text.values.chases.get(index).unwrap_or(&empty);
    ChaseView {
        order: making::words(written, "order").unwrap_or_else(|| "forward".to_owned()),
        swing: chase.swing.0,
        calm: chase.calm,
        at_each: chase.at_each.map(|strike| strike.word().to_owned()),
        rounds: chase.rounds,
        fade: making::words(written, "fade"),
        step_time: making::words(written, "step_time"),
        step_fade: making::words(written, "step_fade"),
        used: making::chase_used(&chase.name, show),
        each: making::steps(written),
        name: chase.name.clone(),
        steps: chase.steps.iter().map(|step| step.look.clone()).collect(),
        colours: chase.steps.iter().map(|step| screen_hex(step_colour(show, &step.look))).collect(),
        words: words(&tell::chase(chase, show)),
    }
}

/// The first colour of the brightest sentence of a step's look.
fn step_colour(show: &Show, look: &str) -> Chromaticity {
    let parts = show.looks.iter().filter(|known| known.name == look).flat_map(|look| &look.parts);
    let coloured = parts.filter(|part| !part.colours.is_empty());
    let brightest = coloured.reduce(|best, part| if part.level.0 > best.level.0 { part } else { best });
    brightest.map_or(Chromaticity::D65, |part| part.colours[0].chromaticity)
}

fn cue(show: &Show, rig: &Rig, index: usize, text: &Text) -> CueView {
    let cue = &show.cues[index];
    let written = text.values.cues.get(index);
    CueView {
        look: cue.look.clone(),
        chases: cue.chases.clone(),
        fade: written.and_then(|cue| making::words(cue, "fade")),
        follow: written.and_then(|cue| making::words(cue, "follow")),
        tempo: cue.tempo,
        number: cue.number.clone(),
        name: cue.name.clone(),
        words: words(&tell::cue(index, show, rig)),
        note: cue.note.clone(),
        fade_s: cue.fade.secs(),
        follow_s: cue.follow.map(lanthorn_physics::Span::secs),
    }
}

fn words(words: &[tell::Word]) -> Vec<Word> {
    let word = |word: &tell::Word| Word {
        text: word.text.clone(),
        colour: word.colour.map(screen_hex),
        of: word.of.map(str::to_owned),
    };
    words.iter().map(word).collect()
}
