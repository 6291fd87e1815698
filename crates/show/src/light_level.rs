//! Light levels asked for in lux, solved: how far up the lights of a sentence must be so that so much light lands.
//!
//! A sentence's light is measured where its lights are aimed: at the mark, point or line that it names (the middle of a
//! figure), else where each of
//! its lights is pointed. Its lights all stand at one level. What other sentences of the same look send there counts
//! first. Where several sentences ask, their levels are found together.
//!
//! Light is reckoned as [`lanthorn_rig::shine`] does: the profile's peak, angles and emitters; nothing shades, walls give
//! nothing back. A light whose brightness is not known counts as nothing and is told.

use lanthorn_physics::units::Lux;
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::shine::Shine;
use lanthorn_rig::{Rig, Room, Unit};

use crate::player::{Aimed, LookValues};
use crate::{Figure, Look, Part, Plane};

/// An aim higher than this above what is under it is a face, metres.
const FACE_FROM_M: f64 = 1.0;

/// Rounds of solving several sentences together; each round halves the error at least where they hardly share light.
const ROUNDS: usize = 200;

/// Nearer than this part of what was asked is there.
const CLOSE: f64 = 0.005;

/// What it takes for one sentence.
#[derive(Clone, Debug, PartialEq)]
pub struct LuxAnswer {
    /// As asked.
    pub asked: Lux,
    /// What lands, all sentences of the look together, the mean over where it is measured; none where nothing can be
    /// reckoned.
    pub reached: Option<Lux>,
    /// Level for all lights of the sentence, perceptual. Full where nothing can be reckoned.
    pub level: f64,
    /// What it is measured on.
    pub plane: Plane,
    /// Where it is measured.
    pub at: Vec<Point>,
    /// Lights of the sentence whose brightness is not known: there is more light than was reckoned.
    pub unknown: Vec<u32>,
    /// Lights whose brightness is not stated by their maker.
    pub assumed: Vec<u32>,
}

impl LuxAnswer {
    /// `true` when what lands is what was asked, to half a percent.
    pub fn is_met(&self) -> bool {
        self.reached.is_some_and(|reached| (reached / self.asked - 1.0).abs() <= CLOSE)
    }
}

/// Solves every sentence of a look that asks for lux; one entry for each of [`Look::parts`].
pub fn solve(look: &Look, figures: &[Figure], rig: &Rig) -> Vec<Option<LuxAnswer>> {
    if look.parts.iter().all(|part| part.lux.is_none()) {
        return vec![None; look.parts.len()];
    }
    solve_values(look, rig, &LookValues::unsolved(look, figures, rig))
}

/// The same for a look that is compiled already, its levels as if every lux sentence were full.
pub(crate) fn solve_values(look: &Look, rig: &Rig, values: &LookValues) -> Vec<Option<LuxAnswer>> {
    let scene = Scene::new(look, rig, values);
    let mut questions: Vec<Question> =
        (0..look.parts.len()).filter_map(|part| Question::new(part, look, rig, &scene)).collect();
    settle(&mut questions);
    let mut answers: Vec<Option<LuxAnswer>> = vec![None; look.parts.len()];
    let lights: Vec<f64> = questions.iter().map(|question| question.light).collect();
    for question in questions {
        let total = question.total(&lights);
        let unknown = scene.numbers(rig, question.part, |light| light.shine.peak.is_none());
        let blind = question.at.is_empty() || (question.own() <= 0.0 && !unknown.is_empty());
        answers[question.part] = Some(LuxAnswer {
            asked: question.asked,
            reached: Lux::checked(total).filter(|_| !blind),
            level: libm::sqrt(question.light),
            plane: question.plane,
            at: question.at,
            unknown,
            assumed: scene
                .numbers(rig, question.part, |light| light.shine.peak.is_some() && light.shine.assumed),
        });
    }
    answers
}

/// The lights of a look as they will shine.
struct Scene {
    lights: Vec<Light>,
    parts: Vec<bool>,
}

/// One light that a look names.
struct Light {
    unit: usize,
    /// The sentence that has it.
    part: usize,
    shine: Shine,
    axis: Option<Direction>,
    value: Aimed,
}

impl Scene {
    fn new(look: &Look, rig: &Rig, values: &LookValues) -> Self {
        let light = |(unit, of_rig): (usize, &Unit)| {
            let value = values.aimed(unit)?;
            let shine = Shine::new(rig, of_rig)?;
            Some(Light { unit, part: value.part, axis: shine.axis(value.aim), shine, value })
        };
        let lights = rig.units.iter().enumerate().filter_map(light).collect();
        Self { lights, parts: look.parts.iter().map(|part| part.lux.is_some()).collect() }
    }

    /// Light at full of one light of the scene, or at its own level where its sentence does not ask for lux.
    fn lux(&self, light: &Light, at: Point, normal: Direction) -> f64 {
        let Some(axis) = light.axis else { return 0.0 };
        let asks = self.parts.get(light.part).copied().unwrap_or(false);
        let head = |(head, (level, colour)): (usize, &(f64, _))| {
            let full = light.shine.lux(head, axis, (*colour, light.value.zoom), at, normal);
            full.map_or(0.0, Lux::get) * if asks { 1.0 } else { level * level }
        };
        light.value.heads.iter().enumerate().map(head).sum()
    }

    fn numbers(&self, rig: &Rig, part: usize, which: impl Fn(&Light) -> bool) -> Vec<u32> {
        let of_part = self.lights.iter().filter(|light| light.part == part && which(light));
        of_part.map(|light| rig.units[light.unit].number).collect()
    }
}

/// One sentence that asks.
struct Question {
    part: usize,
    asked: Lux,
    plane: Plane,
    at: Vec<Point>,
    /// Light of sentences that do not ask.
    fixed: f64,
    /// Light at full of each sentence that asks, itself too: part and lux.
    shares: Vec<(usize, f64)>,
    /// Linear light that its lights are to give, 0 to 1.
    light: f64,
}

impl Question {
    fn new(place: usize, look: &Look, rig: &Rig, scene: &Scene) -> Option<Self> {
        let part = &look.parts[place];
        let ask = part.lux?;
        let at = places(place, part, rig, scene);
        let plane = ask.on.unwrap_or_else(|| usual_plane(&at, &rig.room));
        let mut question =
            Self { part: place, asked: ask.lux, plane, fixed: 0.0, shares: Vec::new(), light: 1.0, at };
        let Some(normal) = normal(plane) else { return Some(question) };
        for light in &scene.lights {
            let sum: f64 = question.at.iter().map(|at| scene.lux(light, *at, normal)).sum();
            let mean = sum / question.at.len().max(1) as f64;
            if !scene.parts[light.part] {
                question.fixed += mean;
            } else if let Some((_, share)) = question.shares.iter_mut().find(|(part, _)| *part == light.part)
            {
                *share += mean;
            } else {
                question.shares.push((light.part, mean));
            }
        }
        Some(question)
    }

    /// Light of its own lights at full.
    fn own(&self) -> f64 {
        self.shares.iter().find(|(part, _)| *part == self.part).map_or(0.0, |(_, lux)| *lux)
    }

    /// All the light where it is measured. `lights` stands in the order of the questions' parts.
    fn total(&self, lights: &[f64]) -> f64 {
        self.fixed + self.shares.iter().zip(lights).map(|((_, lux), light)| lux * light).sum::<f64>()
    }
}

/// Levels of all that ask: each in turn takes what is still missing, until nothing changes.
fn settle(questions: &mut [Question]) {
    let order: Vec<usize> = questions.iter().map(|question| question.part).collect();
    for question in questions.iter_mut() {
        // One share for each question, in the same order.
        let share = |part: &usize| {
            let known = question.shares.iter().find(|(of, _)| of == part);
            (*part, known.map_or(0.0, |(_, lux)| *lux))
        };
        question.shares = order.iter().map(share).collect();
    }
    for _ in 0..ROUNDS {
        let mut moved = 0.0_f64;
        for place in 0..questions.len() {
            let lights: Vec<f64> = questions.iter().map(|question| question.light).collect();
            let question = &mut questions[place];
            let own = question.own();
            let others = question.total(&lights) - own * question.light;
            let wanted = if own > 0.0 { (question.asked.get() - others) / own } else { 1.0 };
            let light = wanted.clamp(0.0, 1.0);
            moved = moved.max((light - question.light).abs());
            question.light = light;
        }
        if moved < 1e-9 {
            break;
        }
    }
}

/// Where the sentence's light is measured, each place once.
fn places(place: usize, part: &Part, rig: &Rig, scene: &Scene) -> Vec<Point> {
    let mut list: Vec<Point> = Vec::new();
    for light in scene.lights.iter().filter(|light| light.part == place) {
        let focus = rig.units[light.unit].focus;
        let at = if part.aim.is_some() { light.value.aim } else { focus.filter(|_| !light.shine.moves()) };
        if let Some(at) = at.filter(|at| !list.contains(at)) {
            list.push(at);
        }
    }
    list
}

/// On a face where the aims are high above what is under them, else level.
fn usual_plane(at: &[Point], room: &Room) -> Plane {
    let high = |point: &Point| point.z() - room.floor_under(*point).get() > FACE_FROM_M;
    if at.iter().any(high) { Plane::Face } else { Plane::Level }
}

/// Up, or towards the audience.
fn normal(plane: Plane) -> Option<Direction> {
    match plane {
        Plane::Level => Some(Direction::UP),
        Plane::Face => Direction::new(0.0, -1.0, 0.0),
    }
}
