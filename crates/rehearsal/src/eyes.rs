//! Light levels that cannot be had, and looks that shine into eyes: findings, each with figure, rule and source.
//!
//! Every look is settled once. Eyes are a grid over the audience areas, seated and standing. Nobody moves, nothing shades,
//! and a person may look straight into a light: figures are for the worst place. They are cautions, never clearances.

use std::sync::Arc;

use lanthorn_fixture::Attribute;
use lanthorn_physics::colour::{Chromaticity, Xyz};
use lanthorn_physics::units::{Lux, Metres, Radians};
use lanthorn_physics::{Direction, Point, eye};
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_rig::{Area, Mark, Rig};
use lanthorn_show::light_level::{self, LuxAnswer};
use lanthorn_show::{Look, Plane, Show};

use crate::{BeamNow, LightNow, settled};

/// Looks that are settled at most: a show with more is checked as far as that.
const MOST_LOOKS: usize = 100;
/// Eye heights above what people stand on: seated, standing.
const EYES_M: [f64; 2] = [1.2, 1.6];
/// Eyes stand this far apart, or 24 to a side.
const EYE_STEP_M: f64 = 0.5;
const MOST_EYES: f64 = 24.0;
/// From this veil on, a sentence is worth saying: as bright as a face under about 80 lx (no source).
const VEIL_CD: f64 = 10.0;
/// Diffuse reflectance of a face, for the comparison (no source).
const FACE_REFLECTANCE: f64 = 0.4;
/// A key should stand higher than this above the line of sight.
const KEY_DEG: f64 = 30.0;
/// Less light on a face than this is no key.
const KEY_LUX: f64 = 50.0;
/// A mark that is higher above the floor may be a face.
const FACE_FROM_M: f64 = 1.0;
/// A mark that is nearer to a wall is on it.
const ON_WALL_M: f64 = 0.15;
const DEFER: &str = "the venue, the maker's manual and a competent person decide";

/// What a show's looks do to the eyes, and which light levels they do not reach.
pub fn light_findings(show: &Show, rig: &Arc<Rig>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut eyes = Eyes::new(rig);
    for (index, look) in show.looks.iter().enumerate().take(MOST_LOOKS) {
        for answer in light_level::solve(look, &show.figures, rig).into_iter().flatten() {
            findings.extend(short_of(look, &answer, rig));
        }
        eyes.meet(&look.name, &settled(show, rig, index));
    }
    findings.extend(eyes.findings());
    findings.sort_by(|a, b| (a.severity, a.code, &a.place).cmp(&(b.severity, b.code, &b.place)));
    findings
}

fn finding(severity: Severity, code: &'static str, place: String, what: String) -> Finding {
    let (rule, source, remedy) = ("", "", String::new());
    Finding { severity, code, place, what, units: Vec::new(), figure: None, rule, source, remedy }
}

/// A mark on a wall is no face.
fn on_wall(rig: &Rig, mark: &Mark) -> bool {
    let room = &rig.room;
    let near = |at: f64, ends: [Metres; 2]| ends.iter().any(|end| (at - end.get()).abs() < ON_WALL_M);
    near(mark.at.x(), room.x) || near(mark.at.y(), room.y)
}

/// A light level that is asked for and not had.
fn short_of(look: &Look, answer: &LuxAnswer, rig: &Rig) -> Option<Finding> {
    let asked = answer.asked.get();
    let at_mark = |mark: &&Mark| answer.at.iter().any(|at| at.distance(mark.at).get() < 0.15);
    let where_to =
        rig.room.marks.iter().find(at_mark).map(|mark| format!(" at {}", mark.name)).unwrap_or_default();
    let on = if answer.plane == Plane::Face { "a face turned to the audience" } else { "a level surface" };
    let (code, what, remedy) = match answer.reached {
        None if answer.at.is_empty() => (
            "lux-no-aim",
            "asks for a light level, but its lights are aimed nowhere".to_owned(),
            "Aim the sentence at a mark or a point",
        ),
        None => (
            "lux-unknown",
            format!("asks for {asked:.0} lx{where_to}, and the brightness of its lights is not known"),
            "Put peak or flux with beam angle into the profile, or measure the light level and write a level in %",
        ),
        Some(_) if answer.is_met() => return None,
        Some(reached) if reached.get() > asked => (
            "lux-over",
            format!(
                "asks for {asked:.0} lx{where_to}, and its other lights give {:.0} lx already",
                reached.get()
            ),
            "Ask for more, or take the other lights down",
        ),
        Some(reached) => (
            "lux-short",
            format!("reaches {:.0} of {asked:.0} lx{where_to}", reached.get()),
            "Aim more lights there, bring them nearer, narrow the beam, choose a paler colour, or ask for less",
        ),
    };
    let severity = if code == "lux-over" { Severity::Note } else { Severity::Caution };
    let figure = answer.reached.map(|reached| {
        let at_least = if answer.unknown.is_empty() { "" } else { "at least " };
        format!("{at_least}{:.0} of {asked:.0} lx on {on}", reached.get())
    });
    Some(Finding {
        units: if code == "lux-unknown" { answer.unknown.clone() } else { Vec::new() },
        figure,
        rule: "inverse square with cosine; the profile's peak, angles and emitters; no shading, no reflected light",
        source: "geometry; the profiles",
        remedy: remedy.to_owned(),
        ..finding(severity, code, format!("look {}", look.name), format!("Look “{}” {what}", look.name))
    })
}

/// Worst cases over all looks.
struct Eyes<'r> {
    rig: &'r Rig,
    /// Area and eye.
    eyes: Vec<(&'r str, Point)>,
    blue: Worst,
    ultraviolet: Worst,
    veil: Worst,
    keys: Worst,
}

/// Which lights in which looks, and the worst figure with its words.
#[derive(Default)]
struct Worst {
    units: Vec<u32>,
    looks: Vec<String>,
    figure: f64,
    words: String,
}

impl Worst {
    fn note(&mut self, unit: u32, look: &str, figure: f64, words: impl FnOnce() -> String) {
        if !self.units.contains(&unit) {
            self.units.push(unit);
        }
        if !self.looks.iter().any(|known| known == look) {
            self.looks.push(look.to_owned());
        }
        if self.words.is_empty() || figure > self.figure {
            self.figure = figure;
            self.words = words();
        }
    }

    fn lights(&self) -> String {
        let mut units = self.units.clone();
        units.sort_unstable();
        let list: Vec<String> = units.iter().map(u32::to_string).collect();
        format!("{} {}", if list.len() == 1 { "Light" } else { "Lights" }, list.join(", "))
    }

    fn looks(&self) -> String {
        const MOST: usize = 4;
        let mut list: Vec<String> = self.looks.iter().take(MOST).map(|look| format!("“{look}”")).collect();
        if self.looks.len() > MOST {
            list.push(format!("{} more", self.looks.len() - MOST));
        }
        list.join(", ")
    }
}

impl<'r> Eyes<'r> {
    fn new(rig: &'r Rig) -> Self {
        let eyes =
            rig.room.audience.iter().flat_map(|area| eyes_in(area).map(|eye| (area.name.as_str(), eye)));
        Self {
            rig,
            eyes: eyes.collect(),
            blue: Worst::default(),
            ultraviolet: Worst::default(),
            veil: Worst::default(),
            keys: Worst::default(),
        }
    }

    fn meet(&mut self, look: &str, lights: &[LightNow]) {
        for light in lights {
            let lit: Vec<&BeamNow> = light.heads.iter().filter(|beam| beam.level > 1e-3).collect();
            if lit.is_empty() {
                continue;
            }
            self.blue_light(look, light.number, &lit);
            self.keys(look, light.number, &lit);
        }
        self.veils(look, lights);
    }

    fn blue_light(&mut self, look: &str, number: u32, lit: &[&BeamNow]) {
        if self.rig.unit(number).is_some_and(|unit| {
            let emitters = &unit.profile.emitters;
            !emitters.is_empty() && emitters.iter().all(|emitter| emitter.attribute == Attribute::ColorAddUV)
        }) {
            self.ultraviolet.note(number, look, 0.0, String::new);
            return;
        }
        let mut worst: Option<(f64, f64, usize)> = None;
        for (place, (_, eye)) in self.eyes.iter().enumerate() {
            let (mut blue, mut lux) = (0.0, 0.0);
            for beam in lit {
                let Some(at_eye) = square_to(beam, *eye) else { continue };
                let colour = beam.chromaticity.unwrap_or(Chromaticity::D65);
                blue += eye::blue_light(Xyz::from_chromaticity(colour, at_eye.get()));
                lux += at_eye.get();
            }
            if worst.is_none_or(|(most, ..)| blue > most) {
                worst = Some((blue, lux, place));
            }
        }
        let Some((blue, lux, place)) = worst.filter(|(blue, ..)| *blue > eye::BLUE_SMALL_SOURCE) else {
            return;
        };
        let (area, eye) = self.eyes[place];
        let time = eye::blue_light_time(blue).unwrap_or(0.0);
        self.blue.note(number, look, blue, || {
            format!(
                "{} W/m² blue-weighted, {lux:.0} lx at an eye in {area} ({:.1} m above the hall floor); the dose for \
                 100 s is used up in {time:.0} s",
                figures(blue),
                eye.z()
            )
        });
    }

    /// Keys for a face at a raised mark, too near its line of sight.
    fn keys(&mut self, look: &str, number: u32, lit: &[&BeamNow]) {
        let Some(audience) = Direction::new(0.0, -1.0, 0.0) else { return };
        let faces = self
            .rig
            .room
            .marks
            .iter()
            .filter(|mark| mark.at.z() - self.rig.room.floor_under(mark.at).get() > FACE_FROM_M)
            .filter(|mark| !on_wall(self.rig, mark));
        for mark in faces {
            let lux: f64 = lit.iter().filter_map(|beam| beam.lux_on(mark.at, audience)).map(Lux::get).sum();
            let Some(to_light) = lit.first().and_then(|beam| mark.at.towards(beam.from)) else { continue };
            let above = 90.0 - Direction::UP.angle_to(to_light).deg();
            if lux >= KEY_LUX && above < KEY_DEG {
                self.keys.note(number, look, -above, || {
                    let (degrees, way) = (above.abs(), if above < 0.0 { "below" } else { "above" });
                    format!("{degrees:.0}° {way} the line of sight of a face at {}, {lux:.0} lx", mark.name)
                });
            }
        }
    }

    /// Veils over what the audience looks at, all lights together; line of sight level towards the stage.
    fn veils(&mut self, look: &str, lights: &[LightNow]) {
        let Some(sight) = Direction::new(0.0, 1.0, 0.0) else { return };
        for (area, eye) in &self.eyes {
            let mut sum = 0.0;
            let mut most = (0.0, None);
            for light in lights {
                let veil: f64 = light
                    .heads
                    .iter()
                    .filter(|beam| beam.level > 1e-3)
                    .map(|beam| veil(beam, *eye, sight))
                    .sum();
                sum += veil;
                if veil > most.0 {
                    most = (veil, Some(light.number));
                }
            }
            let (_, Some(number)) = most else { continue };
            if sum >= VEIL_CD {
                self.veil.note(number, look, sum, || {
                    let face = std::f64::consts::PI * sum / FACE_REFLECTANCE;
                    format!(
                        "{} cd/m² before an eye in {area}, as bright as a face under {} lx",
                        figures(sum),
                        figures(face)
                    )
                });
            }
        }
    }

    fn findings(&self) -> Vec<Finding> {
        let rows = [
            (
                &self.blue,
                Severity::Caution,
                "blue-light",
                "shine blue light into eyes of the audience, standing still",
                "above 1 W/m² blue-weighted a small source is no longer for looking at as one likes (risk group 2 of \
                 IEC 62471); 100 J/m² within 100 s",
                "IEC 62471 and ICNIRP 2013, limits from memory; weighting by CIE Z, to 13 %",
                "Keep still blue beams above heads, mix in less blue, dim, or keep them moving",
            ),
            (
                &self.ultraviolet,
                Severity::Caution,
                "ultraviolet",
                "give ultraviolet, which shows in no lux figure",
                "ultraviolet is judged by its own irradiance (10 W/m² UV-A to the eye beyond 1000 s)",
                "ICNIRP, from memory",
                "Keep the distance of the maker's manual; not at eye height, not near people for long",
            ),
            (
                &self.veil,
                Severity::Note,
                "glare",
                "throw a veil over what the audience looks at",
                "veil = 10·E/θ² of every light within 30° of the line of sight, for a young eye; twice that at 70",
                "CIE 146:2002; from when on it disturbs: no source",
                "Point lights that face the audience higher or lower, dim them, or move them out of the line of sight",
            ),
            (
                &self.keys,
                Severity::Note,
                "low-key-light",
                "light a face from low down, nearly in its line of sight or from below",
                "for who speaks or sings, keys stand more than 30° above the line of sight",
                "trade articles give 34–45°; no threshold of discomfort is known for stages",
                "Hang the key higher, or bring it nearer to the stage",
            ),
        ];
        let told = rows.into_iter().filter(|(worst, ..)| !worst.units.is_empty());
        told.map(|(worst, severity, code, what, rule, source, remedy)| Finding {
            units: sorted(&worst.units),
            figure: Some(worst.words.clone()).filter(|words| !words.is_empty()),
            rule,
            source,
            remedy: format!("{remedy}; {DEFER}"),
            ..finding(
                severity,
                code,
                "eyes".to_owned(),
                format!("{} {what} (looks {})", worst.lights(), worst.looks()),
            )
        })
        .collect()
    }
}

fn sorted(units: &[u32]) -> Vec<u32> {
    let mut units = units.to_vec();
    units.sort_unstable();
    units
}

/// Light at an eye that looks into the beam.
fn square_to(beam: &BeamNow, eye: Point) -> Option<Lux> {
    let towards = eye.towards(beam.from)?;
    beam.lux_on(eye, towards)
}

fn veil(beam: &BeamNow, eye: Point, sight: Direction) -> f64 {
    let Some(towards) = eye.towards(beam.from) else { return 0.0 };
    let off_sight: Radians = sight.angle_to(towards);
    beam.lux_on(eye, sight).map_or(0.0, |lux| eye::veil(lux, off_sight))
}

/// Two digits that count.
fn figures(value: f64) -> String {
    if value >= 100.0 {
        format!("{:.0}", (value / 10.0).round() * 10.0)
    } else if value >= 10.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    }
}

/// Eyes over an area, edges included.
fn eyes_in(area: &Area) -> impl Iterator<Item = Point> {
    let (x, y, floor) = (area.x.map(Metres::get), area.y.map(Metres::get), area.height.get());
    let row = |ends: [f64; 2]| {
        let steps = ((ends[1] - ends[0]).abs() / EYE_STEP_M).ceil().clamp(1.0, MOST_EYES) as u8;
        (0..=steps).map(move |step| ends[0] + (ends[1] - ends[0]) * f64::from(step) / f64::from(steps))
    };
    row(x)
        .flat_map(move |x| row(y).map(move |y| (x, y)))
        .flat_map(move |(x, y)| EYES_M.map(|eye| Point::new(x, y, floor + eye)))
}
