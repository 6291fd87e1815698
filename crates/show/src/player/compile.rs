//! Names become places and sentences become values, once, before the show runs.

use std::sync::Arc;

use lanthorn_fixture::{Attribute, BeamState, Profile};
use lanthorn_physics::Point;
use lanthorn_physics::colour::{Chromaticity, WhiteLine};
use lanthorn_physics::units::Radians;
use lanthorn_rig::{Rig, Unit};

use super::target::Target;
use super::value::{HeadValue, Lamp, UnitValue};
use crate::figure::Place;
use crate::light_level;
use crate::matching::Meeting;
use crate::{Aim, Ask, Figure, Look, Part, Spread, Who};

/// Where each light's heads lie in one flat row of heads, and what the lights are like.
#[derive(Clone, Debug)]
pub(crate) struct Layout {
    /// First head of each light, and one more entry for the end.
    first: Vec<usize>,
    pub(super) lamps: Vec<Lamp>,
    /// No light in particular, for gradients over a group.
    screen: Lamp,
}

/// A look as values of the lights that it names.
#[derive(Clone, Debug)]
pub(crate) struct LookValues {
    /// For each light of the rig its place in `units`, if the look names it.
    place: Vec<Option<u32>>,
    units: Vec<Entry>,
    heads: Vec<HeadValue>,
}

/// One light that a look names.
#[derive(Clone, Debug)]
struct Entry {
    value: UnitValue,
    /// Its heads in [`LookValues::heads`].
    first: usize,
    count: usize,
    /// The sentence that has it.
    part: usize,
}

/// What a light is asked for, as far as it matters for how much light lands where.
#[derive(Clone, Debug)]
pub(crate) struct Aimed {
    /// Place of the sentence that has it.
    pub part: usize,
    pub aim: Option<Point>,
    pub zoom: Option<Radians>,
    /// Perceptual level and colour of each head.
    pub heads: Vec<(f64, Option<Chromaticity>)>,
}

impl Layout {
    pub(crate) fn new(rig: &Rig) -> Self {
        let mut first = Vec::with_capacity(rig.units.len() + 1);
        let mut next = 0;
        for unit in &rig.units {
            first.push(next);
            next += usize::from(unit.mode().heads);
        }
        first.push(next);
        let whites = Arc::new(WhiteLine::new());
        let lamp = |unit: &Unit| Lamp::of(&unit.profile, unit.mode(), whites.clone());
        Self { first, lamps: rig.units.iter().map(lamp).collect(), screen: Lamp::screen(whites.clone()) }
    }

    pub(super) fn units(&self) -> usize {
        self.first.len() - 1
    }

    pub(super) fn all_heads(&self) -> usize {
        self.first[self.units()]
    }

    pub(super) fn heads(&self, unit: usize) -> std::ops::Range<usize> {
        self.first[unit]..self.first[unit + 1]
    }

    /// The head in the flat row that is most like one of a light with more heads or fewer; none for a light without any.
    pub(super) fn like_head(&self, unit: usize, head: usize) -> Option<usize> {
        let heads = self.heads(unit);
        (!heads.is_empty()).then(|| (heads.start + head).min(heads.end - 1))
    }
}

impl LookValues {
    pub(crate) fn new(look: &Look, figures: &[Figure], rig: &Rig, layout: &Layout) -> Self {
        let mut values = Self::as_asked(look, figures, rig, layout);
        if look.parts.iter().any(|part| part.lux.is_some()) {
            let answers = light_level::solve_values(look, rig, &values);
            for (part, answer) in answers.iter().enumerate() {
                if let Some(answer) = answer {
                    values.set_level(part, answer.level);
                }
            }
        }
        values
    }

    /// A look whose levels in lux are still full.
    pub(crate) fn unsolved(look: &Look, figures: &[Figure], rig: &Rig) -> Self {
        Self::as_asked(look, figures, rig, &Layout::new(rig))
    }

    fn as_asked(look: &Look, figures: &[Figure], rig: &Rig, layout: &Layout) -> Self {
        let mut values = Self { place: vec![None; layout.units()], units: Vec::new(), heads: Vec::new() };
        for place in 0..look.parts.len() {
            values.take((place, &look.parts[place]), figures, rig, layout);
        }
        values
    }

    /// One level for all lights that a sentence has.
    fn set_level(&mut self, part: usize, level: f64) {
        for entry in self.units.iter_mut().filter(|entry| entry.part == part) {
            let heads = self.heads.iter_mut().skip(entry.first).take(entry.count);
            entry.value.lit = heads.fold(false, |lit, head| {
                head.level = level;
                lit | head.is_lit()
            });
        }
    }

    /// What a light that the look names is asked for.
    pub(crate) fn aimed(&self, unit: usize) -> Option<Aimed> {
        let entry = self.units.get((*self.place.get(unit)?)? as usize)?;
        let heads = self.heads.iter().skip(entry.first).take(entry.count);
        Some(Aimed {
            part: entry.part,
            aim: entry.value.aim.map(|target| target.at),
            zoom: entry.value.beam.zoom,
            heads: heads.map(|head| (head.level, head.colour)).collect(),
        })
    }

    /// The light's value, if the look names it.
    pub(crate) fn unit(&self, unit: usize) -> Option<&UnitValue> {
        self.place[unit].map(|place| &self.units[place as usize].value)
    }

    /// The value of one head of a light that the look names.
    pub(crate) fn head(&self, unit: usize, head: usize) -> Option<HeadValue> {
        let entry = &self.units[self.place[unit]? as usize];
        self.heads.get(entry.first + head).copied()
    }

    pub(super) fn names(&self, unit: usize) -> bool {
        self.place[unit].is_some()
    }

    fn take(&mut self, (part_place, part): (usize, &Part), figures: &[Figure], rig: &Rig, layout: &Layout) {
        let group = lights_of(&part.who, rig);
        let met = Meeting::of(part, rig, &group);
        let all_heads: usize = group.iter().map(|&unit| layout.heads(unit).len()).sum();
        let alone = group.len() == 1;
        let colours = met.as_ref().map_or(&part.colours[..], |met| &met.colours[..]);
        let mut heads_before = 0;
        for (place, &unit) in group.iter().enumerate() {
            let first = self.heads.len();
            for head in 0..layout.heads(unit).len() {
                // Gradients run over every head of the group; alternation is by light, unless there is but one.
                let over_heads = (heads_before + head, all_heads);
                let over_lights = if alone { over_heads } else { (place, group.len()) };
                let mut value = head_value(part, colours, &layout.screen, over_heads, over_lights);
                value.level *= met.as_ref().and_then(|met| met.levels.get(place)).copied().unwrap_or(1.0);
                self.heads.push(value);
            }
            let heads = layout.heads(unit).len();
            heads_before += heads;
            let lit = self.heads[first..].iter().any(HeadValue::is_lit);
            let target = target(part, figures, rig, unit, (place, group.len()));
            let value = UnitValue { aim: target, ..unit_value(part, rig, unit, lit) };
            let entry = Entry { value, first, count: heads, part: part_place };
            match self.place[unit] {
                Some(earlier) => self.units[earlier as usize] = entry,
                None => {
                    self.place[unit] = u32::try_from(self.units.len()).ok();
                    self.units.push(entry);
                }
            }
        }
    }
}

/// Places in the rig of the lights that are meant, each once, in order.
pub fn lights_of(who: &Who, rig: &Rig) -> Vec<usize> {
    let mut units: Vec<usize> = match who {
        Who::All => (0..rig.units.len()).collect(),
        Who::Group(name) => rig.group(name).map(|group| group.units.clone()).unwrap_or_default(),
        Who::Units(numbers) => numbers.iter().filter_map(|&number| rig.index_of(number)).collect(),
    };
    let mut seen = vec![false; rig.units.len()];
    units.retain(|&unit| unit < seen.len() && !std::mem::replace(&mut seen[unit], true));
    units
}

/// Where the light that is one of so many in its group is wanted.
fn target(
    part: &Part,
    figures: &[Figure],
    rig: &Rig,
    unit: usize,
    (place, of): (usize, usize),
) -> Option<Target> {
    let named = |name: &str| figures.iter().position(|figure| figure.name == name);
    let index = part.figure.as_deref().and_then(named);
    let centre = index.and_then(|index| figures[index].centre.as_ref());
    let at = aim_point(centre.or(part.aim.as_ref())?, rig, share(place, of))?;
    Some(match index {
        Some(index) => {
            Target::running(at, index, Place::new(&figures[index], place, of, rig.units[unit].number))
        }
        None => Target::still(at),
    })
}

/// All but where it is aimed.
fn unit_value(part: &Part, rig: &Rig, unit: usize, lit: bool) -> UnitValue {
    UnitValue {
        aim: None,
        beam: BeamState {
            gobo: part.gobo.as_deref().and_then(|gobo| gobo_slot(gobo, &rig.units[unit].profile)),
            prism: part.prism,
            zoom: part.zoom,
            focus: part.focus.map(unit_interval),
            frost: unit_interval(part.frost),
            iris: unit_interval(part.iris),
        },
        haze: unit_interval(part.haze),
        fan: unit_interval(part.fan),
        lit,
        until: None,
    }
}

/// `over_heads` and `over_lights`: place and how many there are.
fn head_value(
    part: &Part,
    colours: &[Ask],
    screen: &Lamp,
    over_heads: (usize, usize),
    over_lights: (usize, usize),
) -> HeadValue {
    let level = unit_interval(part.level.0);
    let level = match part.level_to {
        None => level,
        Some(to) => {
            let to = unit_interval(to.0);
            match part.level_spread {
                Spread::Even if over_lights.0.is_multiple_of(2) => level,
                Spread::Even => to,
                gradient => level + (to - level) * gradient_share(gradient, over_heads),
            }
        }
    };
    HeadValue {
        level,
        colour: colour_at(colours, part.colour_spread, screen, over_heads, over_lights),
        strobe: part.strobe,
        mixing: part.mixing,
        sound: part.sound,
        sound_colour: part.sound_colour.as_ref().map(|ask| ask.chromaticity),
    }
}

fn colour_at(
    colours: &[Ask],
    spread: Spread,
    screen: &Lamp,
    over_heads: (usize, usize),
    over_lights: (usize, usize),
) -> Option<Chromaticity> {
    let last = colours.len().checked_sub(1)?;
    if spread == Spread::Even {
        return Some(colours[over_lights.0 % colours.len()].chromaticity);
    }
    let along = gradient_share(spread, over_heads) * last as f64;
    let at = (along as usize).min(last.saturating_sub(1));
    let (from, to) = (colours[at].chromaticity, colours[(at + 1).min(last)].chromaticity);
    let lit = |colour| HeadValue { level: 1.0, colour: Some(colour), ..HeadValue::default() };
    lit(from).mix(&lit(to), along - at as f64, screen).colour
}

/// How far along the group, 0 to 1.
pub(crate) fn share(place: usize, of: usize) -> f64 {
    if of < 2 { 0.0 } else { place as f64 / (of - 1) as f64 }
}

fn gradient_share(spread: Spread, (place, of): (usize, usize)) -> f64 {
    match spread {
        Spread::Even => 0.0,
        Spread::InOrder => share(place, of),
        // The innermost lights (one or two) are at 0, the outermost at 1.
        Spread::FromTheMiddle => {
            let middle = (of.max(1) - 1) as f64 / 2.0;
            let inner = middle - middle.floor();
            if middle - inner <= 0.0 {
                0.0
            } else {
                ((place as f64 - middle).abs() - inner) / (middle - inner)
            }
        }
    }
}

/// The point for a light so far along its group, 0 to 1.
pub(crate) fn aim_point(aim: &Aim, rig: &Rig, along: f64) -> Option<Point> {
    match aim {
        Aim::Mark(name) => rig.room.mark(name).map(|mark| mark.at),
        Aim::At(point) => Some(*point),
        Aim::Line { from, to } => Some(from.lerp(*to, along)),
    }
    .filter(|point| point.is_finite())
}

/// By number, or by the name in the light's own gobo wheel, upper and lower case alike; "open" on any wheel is open.
fn gobo_slot(gobo: &str, profile: &Profile) -> Option<u8> {
    let gobo = gobo.trim();
    let wheel = profile.wheels.iter().find(|wheel| wheel.attribute == Attribute::Gobo1)?;
    let by_number = || gobo.parse::<usize>().ok().filter(|&slot| (1..=wheel.slots.len()).contains(&slot));
    let by_name = wheel.slots.iter().position(|slot| slot.name.eq_ignore_ascii_case(gobo));
    let slot = by_name.map(|place| place + 1).or_else(by_number)?;
    let open = wheel.slots[slot - 1].name.eq_ignore_ascii_case("open");
    u8::try_from(slot).ok().filter(|_| !open)
}

/// The name of the gobo that is in.
pub(crate) fn gobo_name(beam: &BeamState, profile: &Profile) -> Option<String> {
    let wheel = profile.wheels.iter().find(|wheel| wheel.attribute == Attribute::Gobo1)?;
    let slot = usize::from(beam.gobo?).checked_sub(1)?;
    wheel.slots.get(slot).map(|slot| slot.name.clone())
}

fn unit_interval(value: f64) -> f64 {
    if value.is_finite() { value.clamp(0.0, 1.0) } else { 0.0 }
}
