//! What is lit now, said as the sentences of a look: what is kept when a person likes what they see.
//!
//! A sentence that is on as it stands is kept as it stands. A light that a chase or a hand has is said by itself, with what
//! the hand holds in the place of what the show asks for, and what nobody asks for as it is seen. Fades are kept as what they lead to.

use lanthorn_physics::Point;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_rig::Rig;

use crate::player::{Held, Layout, LookValues, Seen, aim_point, gobo_name, lights_of};
use crate::{Aim, Ask, Level, Look, Part, Show, Spread, Who};

/// What is on. Places count in the show's and the rig's lists.
#[derive(Clone, Debug)]
pub struct On<'a> {
    /// The base look.
    pub look: Option<usize>,
    /// Running chases with the step that each is on, oldest first.
    pub chases: &'a [(usize, usize)],
    /// What is seen of each light.
    pub seen: &'a [Seen],
}

/// The sentences of a look that lights these lights (none: every one) as they are lit now. Empty when all are dark.
pub fn keep(show: &Show, rig: &Rig, on: &On<'_>, only: Option<&[u32]>) -> Vec<Part> {
    let keeping = Keeping::new(show, rig, on, only);
    let mut parts = keeping.as_they_stand();
    // Lights that are said by themselves, and alike, share a sentence.
    let mut alone: Vec<(Part, Vec<u32>)> = Vec::new();
    for unit in (0..rig.units.len()).filter(|&unit| keeping.is_kept(unit) && !keeping.stands[unit]) {
        let Some(part) = keeping.part(unit) else { continue };
        let number = rig.units[unit].number;
        match alone.iter_mut().find(|(other, _)| *other == part) {
            Some((_, lights)) => lights.push(number),
            None => alone.push((part, vec![number])),
        }
    }
    parts.extend(alone.into_iter().map(|(part, lights)| Part { who: Who::Units(lights), ..part }));
    parts
}

struct Keeping<'a> {
    rig: &'a Rig,
    on: &'a On<'a>,
    only: Option<&'a [u32]>,
    base: Option<(&'a Look, LookValues)>,
    /// The step's look of the chase that has the light, and its place in `steps`.
    tops: Vec<Option<usize>>,
    steps: Vec<(&'a Look, LookValues)>,
    /// A sentence of the base look is on for the light as it stands, with all its lights.
    stands: Vec<bool>,
}

impl<'a> Keeping<'a> {
    fn new(show: &'a Show, rig: &'a Rig, on: &'a On<'a>, only: Option<&'a [u32]>) -> Self {
        let layout = Layout::new(rig);
        let values = |look: &'a Look| (look, LookValues::new(look, &show.figures, rig, &layout));
        let base = on.look.and_then(|look| show.looks.get(look)).map(values);
        let (mut tops, mut steps) = (vec![None; rig.units.len()], Vec::new());
        for &(chase, step) in on.chases {
            let Some(chase) = show.chases.get(chase) else { continue };
            let looks = |name: &str| show.look_index(name).map(|look| &show.looks[look]);
            let Some(now) = chase.steps.get(step).and_then(|step| looks(&step.look)) else { continue };
            for look in chase.steps.iter().filter_map(|step| looks(&step.look)) {
                for unit in look.parts.iter().flat_map(|part| lights_of(&part.who, rig)) {
                    tops[unit] = Some(steps.len());
                }
            }
            steps.push(values(now));
        }
        let mut keeping = Self { rig, on, only, base, tops, steps, stands: Vec::new() };
        let mut stands: Vec<bool> = (0..rig.units.len()).map(|unit| keeping.could_stand(unit)).collect();
        // A sentence stands with every light that it names, or is said for each that it has.
        let parts = keeping.base.iter().flat_map(|(look, _)| &look.parts);
        for (place, part) in parts.enumerate() {
            let lights = lights_of(&part.who, rig);
            if !lights.iter().all(|&unit| stands[unit] && keeping.has(unit, place)) {
                lights
                    .iter()
                    .filter(|&&unit| keeping.has(unit, place))
                    .for_each(|&unit| stands[unit] = false);
            }
        }
        keeping.stands = stands;
        keeping
    }

    fn is_kept(&self, unit: usize) -> bool {
        self.only.is_none_or(|only| only.contains(&self.rig.units[unit].number))
    }

    fn held(&self, unit: usize) -> Held {
        self.on.seen.get(unit).map(|seen| seen.held).unwrap_or_default()
    }

    /// The sentence of the base look that has the light is this one.
    fn has(&self, unit: usize, part: usize) -> bool {
        self.base.as_ref().and_then(|(_, values)| values.aimed(unit)).is_some_and(|aimed| aimed.part == part)
    }

    fn could_stand(&self, unit: usize) -> bool {
        self.is_kept(unit) && self.tops[unit].is_none() && self.held(unit) == Held::default()
    }

    /// The sentences of the base look that are on for all their lights.
    fn as_they_stand(&self) -> Vec<Part> {
        let Some((look, _)) = &self.base else { return Vec::new() };
        let on = |(place, part): &(usize, &Part)| {
            lights_of(&part.who, self.rig).iter().any(|&unit| self.has(unit, *place) && self.stands[unit])
        };
        look.parts.iter().enumerate().filter(on).map(|(_, part)| part.clone()).collect()
    }

    /// What one light is asked for, for itself alone; none when it is dark.
    fn part(&self, unit: usize) -> Option<Part> {
        let held = self.held(unit);
        let below = self.base.as_ref().and_then(|(look, values)| self.flat(look, values, unit));
        let mut part = match self.tops[unit] {
            None => below,
            Some(step) => {
                let (look, values) = &self.steps[step];
                match self.flat(look, values, unit) {
                    Some(part) => Some(over(part, below)),
                    // Dark in this step; haze goes on.
                    None => below.map(|below| Part { haze: below.haze, fan: below.fan, ..dark() }),
                }
            }
        };
        if part.is_none() && held != Held::default() {
            part = Some(dark());
        }
        let mut part = part?;
        if let Some(at) = held.aim {
            (part.aim, part.figure) = (Some(self.named(at)), None);
        }
        if let Some(level) = held.level {
            (part.level, part.level_to, part.level_spread) = (Level(level), None, Spread::Even);
            (part.lux, part.matched) = (None, false);
        }
        if let Some(colour) = held.colour {
            (part.colours, part.colour_spread) = (vec![asked(colour)], Spread::Even);
        }
        // What nobody asks for stays as it is seen.
        let seen = self.on.seen.get(unit).copied().unwrap_or_default();
        if part.aim.is_none() && part.figure.is_none() {
            part.aim = seen.aim.map(|at| self.named(at));
        }
        if part.colours.is_empty() {
            part.colours = seen.colours.into_iter().flatten().map(asked).collect();
            part.colours.dedup();
            part.colour_spread = if part.colours.len() > 1 { Spread::InOrder } else { Spread::Even };
        }
        part.gobo = part.gobo.or_else(|| gobo_name(&seen.beam, &self.rig.units[unit].profile));
        part.prism |= seen.beam.prism;
        (part.level.0 > 0.0 || part.haze > 0.0).then_some(part)
    }

    /// The sentence that has the light, with what goes over its group said for this light.
    fn flat(&self, look: &Look, values: &LookValues, unit: usize) -> Option<Part> {
        let aimed = values.aimed(unit)?;
        let part = look.parts.get(aimed.part)?;
        let group = lights_of(&part.who, self.rig);
        let place = group.iter().position(|&other| other == unit)?;
        let along = if group.len() < 2 { 0.0 } else { place as f64 / (group.len() - 1) as f64 };
        let mut flat = Part { who: Who::Units(Vec::new()), ..part.clone() };
        if let Some(aim @ Aim::Line { .. }) = &part.aim {
            flat.aim = aim_point(aim, self.rig, along).map(|at| self.named(at));
        }
        let spreads = part.colours.len() > 1 || part.level_to.is_some() || part.lux.is_some() || part.matched;
        if let (true, Some((first, last))) = (spreads, aimed.heads.first().zip(aimed.heads.last())) {
            (flat.level, flat.level_to) =
                (Level(first.0), ((last.0 - first.0).abs() > 0.0).then_some(Level(last.0)));
            flat.level_spread = if flat.level_to.is_some() { Spread::InOrder } else { Spread::Even };
            let colours = [first.1, last.1].into_iter().flatten();
            flat.colours = colours.map(|colour| words_of(colour, &part.colours)).collect();
            flat.colours.dedup();
            flat.colour_spread = if flat.colours.len() > 1 { Spread::InOrder } else { Spread::Even };
            (flat.lux, flat.matched) = (None, false);
        }
        Some(flat)
    }

    /// By the name of the mark that is there, within two centimetres; else the point, to the centimetre.
    fn named(&self, at: Point) -> Aim {
        const THERE: f64 = 0.02;
        let near = self.rig.room.marks.iter().find(|mark| mark.at.distance(at).get() < THERE);
        let round = |metres: f64| (metres * 100.0).round() / 100.0;
        near.map_or_else(
            || Aim::At(Point::from(<[f64; 3]>::from(at).map(round))),
            |mark| Aim::Mark(mark.name.clone()),
        )
    }
}

/// A sentence of a chase's step over what the base has for the light: what it leaves out comes from below.
fn over(part: Part, below: Option<Part>) -> Part {
    let Some(below) = below else { return part };
    // Without a place of its own it is where the step before left it, or on the figure below.
    let (aim, figure) = match below.figure {
        Some(figure) if part.aim.is_none() && part.figure.is_none() => (below.aim, Some(figure)),
        _ => (part.aim, part.figure),
    };
    let (colours, colour_spread) = if part.colours.is_empty() {
        (below.colours, below.colour_spread)
    } else {
        (part.colours, part.colour_spread)
    };
    let or = |own: f64, below: f64| if own > 0.0 { own } else { below };
    Part {
        aim,
        figure,
        colours,
        colour_spread,
        gobo: part.gobo.or(below.gobo),
        prism: part.prism || below.prism,
        zoom: part.zoom.or(below.zoom),
        focus: part.focus.or(below.focus),
        frost: or(part.frost, below.frost),
        iris: or(part.iris, below.iris),
        haze: or(part.haze, below.haze),
        fan: or(part.fan, below.fan),
        ..part
    }
}

fn dark() -> Part {
    Part::of(Who::Units(Vec::new()))
}

/// In the words of the sentence where it has them.
fn words_of(colour: Chromaticity, asks: &[Ask]) -> Ask {
    asks.iter().find(|ask| ask.chromaticity == colour).cloned().unwrap_or_else(|| asked(colour))
}

fn asked(colour: Chromaticity) -> Ask {
    Ask { text: format!("xy {:.4} {:.4}", colour.x, colour.y), chromaticity: colour }
}
