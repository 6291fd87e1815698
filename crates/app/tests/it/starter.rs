//! First shows: for many rigs in many rooms, what opens, what lights, what moves, and into whose eyes.

use std::collections::BTreeSet;
use std::sync::Arc;

use lanthorn_fixture::Encoder;
use lanthorn_fixture::profile::Kind;
use lanthorn_physics::{Instant, Point, Span};
use lanthorn_rehearsal::{BeamNow, LightNow, StandIn, light_findings, moves, settled};
use lanthorn_rig::aim::Head;
use lanthorn_rig::plan::{Severity, plan};
use lanthorn_rig::rig::Rig;
use lanthorn_rig::{Area, Drive, RigState};
use lanthorn_show::{Aim, Command, Look, Player, Show, Who, colour_findings};
use lanthorn_store::starter::{
    Answers, Measures, NAMED_ROOMS, Room, Stage, StageSide, begin, lights_from_words,
};
use lanthorn_store::{ShowFile, read_show};

use crate::lanthorn;

/// Rigs as people own them.
const RIGS: [&str; 18] = [
    "2 RGB par",
    "4 small spot head",
    "4 small wash head",
    "4 small spot head, 4 RGBW par, 1 hazer",
    "4 small wash head, 2 small spot head, 2 RGBW par, 1 eight-segment pixel bar, 1 strobe, 1 hazer",
    "8 small wash head, 4 small spot head, 8 RGBWA+UV par, 2 white fresnel, 1 strobe, 1 hazer",
    "8 larger wash head, 8 small spot head, 12 RGBW par, 4 eight-segment pixel bar, 4 white fresnel, 2 strobe, 2 hazer",
    "8 small spot head",
    "1 strobe",
    "1 hazer",
    "4 white fresnel",
    "3 eight-segment pixel bar",
    "4 four-head bar",
    "1 dimmer pack",
    "2 dimmer pack (4 switches)",
    "2 small wash head, 4 white fresnel, 1 hazer, 1 dimmer pack (4 switches)",
    "3 RGBW par, 3 small spot head",
    "2 small spot head on floor at the back, 2 RGBW par on left stand, 2 RGBW par on right stand",
];

/// What the venue and the lights themselves bring along, whatever the show: not ours to settle.
const VENUE: [&str; 8] = [
    "load-limit-unknown",
    "without-circuit",
    "data-loss-unknown",
    "watts-unknown",
    "stand-tips",
    "strobe",
    "haze",
    "ultraviolet",
];

fn rooms() -> Vec<Room> {
    let mut rooms: Vec<Room> = NAMED_ROOMS.iter().map(|room| Room::Named(room.name.to_owned())).collect();
    let stage = |side, depth, height| Some(Stage { side, depth, height });
    rooms.extend([
        Room::Measured(Measures {
            width: 12.0,
            depth: 18.0,
            height: 5.0,
            stage: stage(StageSide::Side, 3.0, 0.8),
        }),
        Room::Measured(Measures {
            width: 7.0,
            depth: 12.0,
            height: 3.4,
            stage: stage(StageSide::End, 2.5, 0.9),
        }),
        Room::Measured(Measures { width: 20.0, depth: 30.0, height: 8.0, stage: None }),
    ]);
    rooms
}

struct First {
    what: String,
    show: Arc<Show>,
    rig: Arc<Rig>,
}

impl First {
    fn new(room: &Room, lights: &str) -> Self {
        let answers = Answers {
            name: "Harvest supper".to_owned(),
            room: room.clone(),
            room_name: None,
            lights: lights_from_words(lights).unwrap(),
            own: Vec::new(),
        };
        let what = format!("{lights} in {room:?}");
        let text = begin(&answers).unwrap_or_else(|refused| panic!("{what}: {refused}"));
        let (file, problems) = read_show(&text);
        assert_eq!(problems, [], "{what}");
        let ShowFile { show, rig, .. } = file.unwrap();
        Self { what, show: Arc::new(show), rig: Arc::new(rig) }
    }

    fn lights(&self, who: &Who) -> Vec<usize> {
        match who {
            Who::All => (0..self.rig.units.len()).collect(),
            Who::Group(name) => self.rig.group(name).unwrap().units.clone(),
            Who::Units(numbers) => numbers.iter().map(|number| self.rig.index_of(*number).unwrap()).collect(),
        }
    }

    /// Findings that are ours to settle.
    fn cares(&self, findings: Vec<lanthorn_rig::plan::Finding>) -> Vec<String> {
        let ours = findings.into_iter().filter(|f| f.severity != Severity::Note && !VENUE.contains(&f.code));
        ours.map(|finding| format!("{}: {}, {:?}", self.what, finding.what, finding.figure)).collect()
    }

    fn point(&self, aim: &Aim, part: f64) -> Point {
        match aim {
            Aim::Mark(name) => self.rig.room.mark(name).unwrap().at,
            Aim::At(point) => *point,
            Aim::Line { from: a, to: b } => {
                a.moved((b.x() - a.x()) * part, (b.y() - a.y()) * part, (b.z() - a.z()) * part)
            }
        }
    }
}

/// Every rig and every room, each at least once with each kind of the other.
fn some() -> Vec<First> {
    let rooms = rooms();
    let of_rigs =
        RIGS.iter().enumerate().map(|(index, lights)| First::new(&rooms[index % rooms.len()], lights));
    of_rigs.chain(rooms.iter().map(|room| First::new(room, RIGS[3]))).collect()
}

#[test]
fn every_first_show_has_a_sound_plan_and_reaches_what_it_aims_at() {
    for (place, room) in rooms().into_iter().enumerate() {
        for (index, lights) in RIGS.iter().enumerate() {
            // The largest rigs in a few rooms.
            if lights.len() > 90 && place % 3 != index % 3 {
                continue;
            }
            let first = First::new(&room, lights);
            assert_eq!(first.cares(plan(&first.rig).findings), Vec::<String>::new());
            let mixing = |number: &u32| {
                let unit = first.rig.unit(*number).unwrap();
                Encoder::new(&unit.profile, unit.mode).mixes()
            };
            let off = colour_findings(&first.show, &first.rig);
            let off: Vec<_> = off.iter().filter(|f| f.units.iter().any(mixing)).collect();
            assert!(off.is_empty(), "{}: {off:#?}", first.what);
            aims_are_in_reach(&first);
            assert!(!first.show.looks.is_empty() && !first.show.cues.is_empty(), "{}", first.what);
            let lit = first.rig.units.iter().any(|unit| Encoder::new(&unit.profile, unit.mode).gives_light());
            let few = !lights.contains(',') && (lights.contains("1 strobe") || lights.contains("switches"));
            let (looks, chases) = if lit && !few { (10, 3) } else { (3, 1) };
            assert!(first.show.looks.len() >= looks, "{}: {}", first.what, first.show.looks.len());
            assert!(first.show.chases.len() >= chases, "{}: {}", first.what, first.show.chases.len());
        }
    }
}

fn aims_are_in_reach(first: &First) {
    let home = Default::default();
    for look in &first.show.looks {
        for part in &look.parts {
            let lights = first.lights(&part.who);
            for (place, index) in lights.iter().enumerate() {
                let unit = &first.rig.units[*index];
                let Some(head) = Head::new(&first.rig, unit) else { continue };
                let aim =
                    part.aim.as_ref().unwrap_or_else(|| panic!("{}: {} aims nowhere", first.what, look.name));
                let along = if lights.len() > 1 { place as f64 / (lights.len() - 1) as f64 } else { 0.5 };
                let at = first.point(aim, along);
                assert!(
                    head.solve(at, home).best().is_some(),
                    "{}: look {}, light {} does not reach {at:?}",
                    first.what,
                    look.name,
                    unit.number
                );
                let room = &first.rig.room;
                let inside = at.x().abs() <= room.x[1].get() && (0.0..=room.height.get()).contains(&at.z());
                assert!(inside, "{}: look {}: {at:?}", first.what, look.name);
            }
        }
    }
}

#[test]
fn every_look_lights_what_it_says_differs_from_the_others_and_spares_eyes() {
    for first in some() {
        let mut seen: Vec<(String, Vec<String>)> = Vec::new();
        for (index, look) in first.show.looks.iter().enumerate() {
            let lights = settled(&first.show, &first.rig, index);
            lights_what_it_says(&first, look, &lights);
            for light in &lights {
                light
                    .heads
                    .iter()
                    .filter(|beam| beam.level > 0.002)
                    .for_each(|beam| spares_eyes(&first, look, beam));
            }
            let picture: Vec<String> = lights.iter().map(picture).collect();
            if let Some((other, _)) = seen.iter().find(|(_, other)| *other == picture) {
                panic!("{}: {} looks as {other} does", first.what, look.name);
            }
            seen.push((look.name.clone(), picture));
        }
        assert_eq!(first.cares(light_findings(&first.show, &first.rig)), Vec::<String>::new());
    }
}

fn lights_what_it_says(first: &First, look: &Look, lights: &[LightNow]) {
    let mut named = BTreeSet::new();
    for part in &look.parts {
        for index in first.lights(&part.who) {
            named.insert(index);
            let (light, unit) = (&lights[index], &first.rig.units[index]);
            let does = if part.haze > 0.0 {
                light.haze > 0.1
            } else {
                light.heads.iter().any(|beam| beam.level > 1e-4)
                    || !Encoder::new(&unit.profile, unit.mode).gives_light()
            };
            // Outlets that are on or off are on in halves: they have a test of their own.
            let outlets = first.what.contains("switches") && unit.profile.kind == Kind::Dimmer;
            assert!(does || outlets, "{}: look {}: light {} is dark", first.what, look.name, light.number);
        }
    }
    for (index, light) in lights.iter().enumerate().filter(|(index, _)| !named.contains(index)) {
        let dark = light.heads.iter().all(|beam| beam.level < 1e-6) && light.haze == 0.0;
        assert!(dark, "{}: look {}: light {} ({index}) is lit", first.what, look.name, light.number);
    }
}

/// What one sees of a light: level, colour, where it points, haze.
fn picture(light: &LightNow) -> String {
    let beam = |beam: &BeamNow| {
        let colour = beam.chromaticity.map_or([0.0; 2], |colour| [colour.x, colour.y]);
        let along = [beam.along.x(), beam.along.y(), beam.along.z()];
        let lit = beam.level > 0.001;
        if lit {
            format!("{:.3} {colour:.2?} {along:.1?} {}", beam.level, beam.flashing)
        } else {
            "dark".to_owned()
        }
    };
    let beams: Vec<String> = light.heads.iter().map(beam).collect();
    format!("{beams:?} {:.2}", light.haze)
}

/// No axis of a beam through the eyes of whoever sits; on the dance floor from well above the line of sight alone.
fn spares_eyes(first: &First, look: &Look, beam: &BeamNow) {
    let falls = -beam.along.z();
    let areas = &first.rig.room.audience;
    let within = |area: &Area, at: Point| {
        (area.x[0].get()..=area.x[1].get()).contains(&at.x())
            && (area.y[0].get()..=area.y[1].get()).contains(&at.y())
    };
    for centimetres in (110..=180).step_by(5) {
        let height = f64::from(centimetres) / 100.0;
        if beam.along.z().abs() < 1e-6 {
            continue;
        }
        let along = (height - beam.from.z()) / beam.along.z();
        if along < 0.0 {
            continue;
        }
        let at = beam.from.moved(along * beam.along.x(), along * beam.along.y(), along * beam.along.z());
        let Some(area) = areas.iter().find(|area| within(area, at)) else { continue };
        let steep = above_level(falls) > 28.0;
        assert!(
            steep && area.name == "dance floor",
            "{}: look {}: a beam from {:?} meets eyes in {} at {at:?}",
            first.what,
            look.name,
            beam.from,
            area.name
        );
    }
}

/// From the part of a beam that falls to its angle below the level, degrees.
fn above_level(falls: f64) -> f64 {
    falls.clamp(-1.0, 1.0).asin().to_degrees()
}

/// Nobody gets haze or flashes who has not asked for them by name.
#[test]
fn haze_and_flashes_are_in_looks_that_are_called_so_and_in_no_cue() {
    for first in some().into_iter().filter(|first| first.what.contains("RGB") || first.what.contains("small"))
    {
        let show = &first.show;
        let asked = |name: &str| ["In the haze", "Short flashes"].contains(&name);
        for look in &show.looks {
            let (haze, flashes) = (
                look.parts.iter().any(|part| part.haze > 0.0),
                look.parts.iter().any(|part| part.strobe.is_some()),
            );
            assert_eq!(haze, look.name == "In the haze", "{}: {}", first.what, look.name);
            assert_eq!(flashes, look.name == "Short flashes", "{}: {}", first.what, look.name);
        }
        let steps = show.chases.iter().flat_map(|chase| &chase.steps).map(|step| step.look.as_str());
        let cues = show.cues.iter().filter_map(|cue| cue.look.as_deref());
        let run: Vec<&str> = steps.chain(cues).filter(|name| asked(name)).collect();
        assert_eq!(run, Vec::<&str>::new(), "{}", first.what);
    }
}

#[test]
fn outlets_that_are_on_or_off_are_switched_in_halves_and_by_no_look_beside_lights() {
    for packs in 1..=4 {
        let first = First::new(&Room::Named("barn".to_owned()), &format!("{packs} dimmer pack (4 switches)"));
        let on = |name: &str| -> String {
            let index = first.show.looks.iter().position(|look| look.name == name).unwrap();
            let lights = settled(&first.show, &first.rig, index);
            let outlets = lights.iter().flat_map(|light| &light.heads);
            outlets.map(|outlet| if outlet.level > 0.5 { 'x' } else { '-' }).collect()
        };
        let (on_, off) = ("x".repeat(2 * packs), "-".repeat(2 * packs));
        assert_eq!(on("Lights up"), format!("{on_}{on_}"));
        assert_eq!(on("Left half"), format!("{on_}{off}"));
        assert_eq!(on("Right half"), format!("{off}{on_}"));
        let middle = on("In the middle");
        assert!(middle.contains("-xx") && middle.contains("xx-"), "{middle}");
        assert_eq!(middle, middle.chars().rev().collect::<String>());
    }
    let first = First::new(&Room::Named("barn".to_owned()), "2 small wash head, 1 dimmer pack (4 switches)");
    let outlets = first.rig.units.len() - 1;
    for look in &first.show.looks {
        for part in &look.parts {
            assert!(!first.lights(&part.who).contains(&outlets), "{}", look.name);
        }
    }
}

#[test]
fn where_every_light_is_white_a_speech_is_brighter_than_supper_and_nothing_is_called_after_a_colour() {
    for room in ["club room", "village hall", "school gym"] {
        let first = First::new(&Room::Named(room.to_owned()), "4 white fresnel");
        let face = first.rig.room.mark("speaker").unwrap().at;
        let audience = lanthorn_physics::Direction::new(0.0, -1.0, 0.0).unwrap();
        let lux = |name: &str| -> f64 {
            let index = first.show.looks.iter().position(|look| look.name == name).unwrap();
            let lights = settled(&first.show, &first.rig, index);
            let beams = lights.iter().flat_map(|light| &light.heads);
            beams.filter_map(|beam| beam.lux_on(face, audience)).map(|lux| lux.get()).sum()
        };
        let order = ["Between", "Supper", "Warm welcome", "Speaking", "Lights up"].map(lux);
        assert!(order.windows(2).all(|pair| pair[0] < pair[1]), "{room}: {order:?}");
        let names = first.show.looks.iter().map(|look| &look.name);
        for name in names.chain(first.show.chases.iter().map(|chase| &chase.name)) {
            let of_colour = ["blue", "dusk", "violet", "gold", "ose and", "olour", "lagoon"];
            assert!(!of_colour.iter().any(|word| name.to_lowercase().contains(word)), "{name}");
        }
    }
}

#[test]
fn faces_are_lit_from_the_front_and_from_above() {
    for first in some() {
        let Some(index) = first.show.looks.iter().position(|look| look.name == "Speaking") else { continue };
        let front = ["front", "front white", "washes", "spots"];
        if !first.rig.groups.iter().any(|group| front.contains(&group.name.as_str())) {
            continue; // nothing hangs in front
        }
        let face = first.rig.room.mark("speaker").unwrap().at;
        let bar = first.rig.room.places.iter().map(|place| place.middle.z()).fold(0.0, f64::max);
        if bar < face.z() + 0.8 {
            continue; // too low a room for light from above
        }
        let audience = lanthorn_physics::Direction::new(0.0, -1.0, 0.0).unwrap();
        let lights = settled(&first.show, &first.rig, index);
        let mut sum = 0.0;
        let mut weighed = 0.0;
        for beam in lights.iter().flat_map(|light| &light.heads).filter(|beam| beam.level > 0.001) {
            let lux = beam.lux_on(face, audience).map_or(0.0, |lux| lux.get());
            let towards = face.towards(beam.from).unwrap();
            sum += lux;
            weighed += lux * above_level(towards.z());
        }
        assert!(sum > 60.0, "{}: {sum:.0} lx on the face", first.what);
        let above = weighed / sum;
        let stands = first.what.contains("stand");
        assert!(stands || (28.0..60.0).contains(&above), "{}: from {above:.0}° above", first.what);
    }
}

#[test]
fn no_lit_move_asks_too_much_of_motors() {
    for first in some() {
        let (findings, whole) = moves(&first.show, &first.rig);
        assert!(whole, "{}", first.what);
        assert_eq!(first.cares(findings), Vec::<String>::new());
    }
}

#[test]
#[ignore = "minutes: every rig in every room"]
fn no_lit_move_asks_too_much_of_motors_anywhere() {
    let mut cares = Vec::new();
    for room in rooms() {
        for lights in RIGS {
            let first = First::new(&room, lights);
            cares.extend(first.cares(moves(&first.show, &first.rig).0));
            cares.extend(first.cares(light_findings(&first.show, &first.rig)));
        }
    }
    assert_eq!(cares, Vec::<String>::new());
}

#[test]
fn cues_run_to_the_end_and_none_is_dark() {
    for first in some() {
        let mut run = Run::new(&first);
        for (place, cue) in first.show.cues.iter().enumerate() {
            run.player.apply(&Command::Go, run.now);
            run.play(cue.fade + Span::from_millis(1500), |_| {});
            assert_eq!(run.player.status(run.now).cue, Some(place), "{}", first.what);
            let lights = run.stand_in.lights();
            let lit = lights.iter().any(|l| l.haze > 0.0 || l.heads.iter().any(|beam| beam.level > 0.001));
            let packs = first.what.contains("dimmer pack");
            assert!(lit || packs, "{}: cue {} is dark", first.what, cue.name);
        }
    }
}

#[test]
fn no_chase_flashes_more_than_three_times_a_second() {
    for first in some().into_iter().filter(|first| first.rig.units.len() <= 12) {
        for (index, chase) in first.show.chases.iter().enumerate() {
            let mut run = Run::new(&first);
            run.player.apply(&Command::Tempo(120.0), run.now);
            run.player.apply(&Command::Chase { index, on: true }, run.now);
            let mut peaks = vec![Peaks::default(); first.rig.units.len()];
            run.play(Span::from_millis(8_000), |run| {
                for (light, peaks) in run.stand_in.lights().iter().zip(&mut peaks) {
                    let level = light.heads.iter().map(|beam| beam.level).fold(0.0, f64::max);
                    peaks.see(level, run.now.secs());
                    let flashes = light.heads.iter().any(|beam| beam.flashing);
                    assert!(!flashes, "{}: chase {}", first.what, chase.name);
                }
            });
            for (light, Peaks { at, .. }) in peaks.iter().enumerate() {
                let fast = at.windows(4).any(|four| four[3] - four[0] < 1.0);
                assert!(!fast, "{}: chase {}, light {light}: {at:?}", first.what, chase.name);
            }
        }
    }
}

/// Moments at which a light has fallen by a tenth of its most from a level to which it had risen by as much.
#[derive(Clone, Default)]
struct Peaks {
    falling: bool,
    extreme: f64,
    at: Vec<f64>,
}

impl Peaks {
    fn see(&mut self, level: f64, now: f64) {
        let turned = if self.falling { level > self.extreme + 0.1 } else { level < self.extreme - 0.1 };
        if turned {
            self.falling = !self.falling;
            self.extreme = level;
            if self.falling {
                self.at.push(now);
            }
        }
        self.extreme = if self.falling { self.extreme.min(level) } else { self.extreme.max(level) };
    }
}

struct Run {
    player: Player,
    drive: Drive,
    wished: RigState,
    stand_in: StandIn,
    now: Instant,
}

impl Run {
    fn new(first: &First) -> Self {
        Self {
            player: Player::new(first.show.clone(), first.rig.clone()),
            drive: Drive::new(&first.rig),
            wished: RigState::dark(&first.rig),
            stand_in: StandIn::new(first.rig.clone()),
            now: Instant::ZERO,
        }
    }

    fn play(&mut self, span: Span, mut see: impl FnMut(&Self)) {
        let end = self.now + span;
        while self.now < end {
            self.player.frame(self.now, &mut self.wished);
            self.stand_in.take(self.drive.tick(&self.wished, self.now), self.now);
            see(self);
            self.now = self.now + Span::from_millis(50);
        }
    }
}

#[test]
fn new_begins_a_show_for_these_lights_and_a_refusal_names_the_option() {
    let folder = tempfile::tempdir().unwrap();
    let new = |args: &[&str]| lanthorn(folder.path(), &[&["new"], args].concat());
    let supper = "Öl \"und\" Wein";
    let lights = "4  small wash  heads, 2 x RGBW par,, 1 strobe, 1 hazer,";
    let made = new(&[supper, "--room", "12 by 18 by 5, Stage End 3 x 0.6", "--lights", lights]);
    assert_eq!(made.status.code(), Some(0), "{made:?}");
    let said = String::from_utf8(made.stdout).unwrap();
    for care in ["No written load limit for front bar", "Light 8 makes haze", "Light 7 made to flash"] {
        assert!(said.contains(care), "{said}");
    }
    let file = format!("{supper}.show.toml");
    assert_eq!(lanthorn(folder.path(), &["check", &file]).status.code(), Some(0));
    let before = std::fs::read_to_string(folder.path().join(&file)).unwrap();
    let again = new(&[supper, "--room", "barn", "--lights", "2 RGB par"]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(folder.path().join(&file)).unwrap(), before);
    assert_eq!(new(&["bare", "--empty"]).status.code(), Some(0));
    for (room, lights, words) in [
        ("barn", "", &["--lights: ", "\"4 small spot head"][..]),
        ("barn", "0 RGB par", &["--lights: ", "name 1 to 200"]),
        ("barn", "4 lasers", &["--lights: ", "no light \"lasers\"", "white fresnel"]),
        ("barn", "4 RGB par on the roof", &["--lights: ", "hanging place", "front bar"]),
        ("barn", "190 small wash head", &["--lights: ", "no space"]),
        ("moon base", "4 RGB par", &["--room: ", "village hall", "its measures"]),
        ("NaN x 5 x 3", "4 RGB par", &["--room: ", "is no size", "12.5 x 18 x 5"]),
        ("-4 x 5 x 3", "4 RGB par", &["--room: ", "a width of -4 m", "give 4 to 60 m"]),
        ("8 x 1e9 x 3", "4 RGB par", &["--room: ", "a depth of", "give 5 to 100 m"]),
    ] {
        let refused = new(&["x", "--room", room, "--lights", lights]);
        let said = String::from_utf8(refused.stderr).unwrap();
        assert_eq!(refused.status.code(), Some(2), "{room}, {lights}: {said}");
        assert!(words.iter().all(|word| said.contains(word)), "{room}, {lights}: {said}");
        assert!(!folder.path().join("x.show.toml").exists());
    }
}
