//! Unlike lights of one sentence that meet on a colour and a level.
//!
//! The colour is the one asked for, brought with its hue into what every one of them can mix; where none is asked, midway
//! between their own whites. The level is what the weakest gives, as light on the points that they are aimed at where all
//! of these are known (the same light on one face or wall looks the same whatever the throw), else as light sent out.
//! It is worked out once, for where the sentence aims them: lights whose spots then move about stay as they are.
//!
//! A light that picks its colours from a wheel, or has but one, cannot go to meet the others: it takes the nearest that
//! it has. One whose brightness nobody knows is left at its level. [`doubts`] tells of both.

use lanthorn_fixture::Encoder;
use lanthorn_physics::Point;
use lanthorn_physics::colour::{Chromaticity, screen_hex};
use lanthorn_rig::Rig;

use crate::player::compile;
use crate::{Ask, Part};

/// So often a colour goes round the lights until all can mix it.
const ROUNDS: usize = 24;
/// A colour is met when every light mixes it within this, in u′v′: half of what is seen side by side.
const MET: f64 = 0.0015;
/// Below this part of what a light gives otherwise, the others are said to be held back.
const HELD_BACK: f64 = 0.5;

/// What the lights of a sentence have met on.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Meeting {
    /// In place of the colours asked for.
    pub colours: Vec<Ask>,
    /// For each light in the order of the sentence, what its level is multiplied by, 0 to 1.
    pub levels: Vec<f64>,
}

/// One of the lights.
struct Guest<'r> {
    number: u32,
    encoder: Encoder,
    white: Option<Chromaticity>,
    /// Where its beam goes.
    throw: Option<f64>,
    name: &'r str,
}

impl Meeting {
    /// Of the lights `units` of a sentence that asks for it; none of one that does not.
    pub(crate) fn of(part: &Part, rig: &Rig, units: &[usize]) -> Option<Self> {
        if !part.matched || units.len() < 2 {
            return None;
        }
        let guests = guests(part, rig, units);
        let colours = colours(part, &guests);
        let levels = levels(part, &guests, &colours);
        Some(Self { colours, levels })
    }
}

/// What keeps the lights of a sentence from meeting as asked, one sentence for each doubt; none when nothing does or when
/// it does not ask for it.
pub fn doubts(part: &Part, rig: &Rig) -> Vec<String> {
    let units = compile::lights_of(&part.who, rig);
    let Some(met) = Meeting::of(part, rig, &units) else { return Vec::new() };
    let guests = guests(part, rig, &units);
    let mut said = Vec::new();
    for guest in &guests {
        for ask in &met.colours {
            said.extend(guest.colour_doubt(ask));
        }
        if part.lux.is_none() && guest.encoder.max_candela().is_none() && guest.encoder.gives_light() {
            said.push(format!(
                "nobody knows how bright light {} ({}) is, so it meets the others in colour alone",
                guest.number, guest.name
            ));
        }
    }
    for (asked, met) in part.colours.iter().zip(&met.colours) {
        let off = asked.chromaticity.distance_uv(met.chromaticity);
        if off > 2.0 * MET {
            said.push(format!(
                "not all of these lights can make {}: they meet on {}, {off:.3} away in u\u{2032}v\u{2032}",
                asked.text,
                screen_hex(met.chromaticity)
            ));
        }
    }
    let held_back: Vec<String> = guests
        .iter()
        .zip(&met.levels)
        .filter(|(_, level)| *level * *level < HELD_BACK)
        .map(|(guest, level)| format!("light {} to {:.0} %", guest.number, level * level * 100.0))
        .collect();
    if !held_back.is_empty() {
        said.push(format!("to meet the weakest of them, light is held back: {}", held_back.join(", ")));
    }
    said
}

impl Guest<'_> {
    fn mixes(&self) -> bool {
        self.encoder.mixes()
    }

    /// A colour that it cannot go to meet, and what it shows instead.
    fn colour_doubt(&self, ask: &Ask) -> Option<String> {
        if !self.encoder.gives_light() {
            return None;
        }
        let nearest = self.encoder.reach(ask.chromaticity)?;
        let off = nearest.distance_uv(ask.chromaticity);
        if off <= 2.0 * MET {
            return None;
        }
        let (number, text) = (self.number, &ask.text);
        let shown = match self.encoder.nearest_slot(Some(ask.chromaticity)) {
            Some(slot) => format!("slot {slot} of its wheel, {}", screen_hex(nearest)),
            None => screen_hex(nearest),
        };
        Some(format!(
            "light {number} ({}) has no way to make {text}: nearest is {shown}, {off:.3} away in u\u{2032}v\u{2032}",
            self.name
        ))
    }
}

fn guests<'r>(part: &Part, rig: &'r Rig, units: &[usize]) -> Vec<Guest<'r>> {
    let of = units.len();
    let guest = |(place, &unit): (usize, &usize)| {
        let own = rig.units.get(unit)?;
        let aim = match &part.aim {
            Some(aim) if own.moves() => compile::aim_point(aim, rig, compile::share(place, of)),
            _ => own.focus,
        };
        let from: Point = rig.position(own);
        let encoder = Encoder::new(&own.profile, own.mode);
        Some(Guest {
            number: own.number,
            white: encoder.own_white(),
            encoder,
            throw: aim.map(|at| at.distance(from).get()).filter(|throw| *throw > 0.0),
            name: &own.profile.name,
        })
    };
    units.iter().enumerate().filter_map(guest).collect()
}

fn colours(part: &Part, guests: &[Guest<'_>]) -> Vec<Ask> {
    if !part.colours.is_empty() {
        let met = |ask: &Ask| Ask { text: ask.text.clone(), chromaticity: meet(ask.chromaticity, guests) };
        return part.colours.iter().map(met).collect();
    }
    let whites: Vec<[f64; 2]> = guests.iter().filter_map(|g| g.white).map(Chromaticity::uv_prime).collect();
    if whites.is_empty() {
        return Vec::new();
    }
    let mean = |axis: usize| whites.iter().map(|uv| uv[axis]).sum::<f64>() / whites.len() as f64;
    let middle = Chromaticity::from_uv_prime([mean(0), mean(1)]);
    vec![Ask { text: "their white".to_owned(), chromaticity: meet(middle, guests) }]
}

/// The colour brought with its hue into what every light that mixes can mix.
fn meet(asked: Chromaticity, guests: &[Guest<'_>]) -> Chromaticity {
    let mut colour = asked;
    for _ in 0..ROUNDS {
        let before = colour;
        for guest in guests.iter().filter(|guest| guest.mixes()) {
            colour = guest.encoder.reach(colour).unwrap_or(colour);
        }
        if before.distance_uv(colour) < 1e-6 {
            break;
        }
    }
    colour
}

/// What each level is multiplied by, so that all give the light of the weakest in the colour that it is weakest in.
fn levels(part: &Part, guests: &[Guest<'_>], colours: &[Ask]) -> Vec<f64> {
    // Asked for in lux, one level is found for all of them: they meet in colour alone.
    if part.lux.is_some() {
        return vec![1.0; guests.len()];
    }
    let sent = |guest: &Guest<'_>| {
        let most = guest.encoder.max_candela()?.get();
        let share = |ask: &Ask| guest.encoder.luminance_share(Some(ask.chromaticity));
        let least = colours.iter().map(share).fold(1.0, f64::min);
        Some(most * least).filter(|light| *light > 0.0)
    };
    let sent: Vec<Option<f64>> = guests.iter().map(sent).collect();
    let throws_known = guests.iter().zip(&sent).all(|(guest, sent)| sent.is_none() || guest.throw.is_some());
    let light = |(guest, sent): (&Guest<'_>, &Option<f64>)| {
        let throw = guest.throw.filter(|_| throws_known).unwrap_or(1.0);
        sent.map(|sent| sent / (throw * throw))
    };
    let lights: Vec<Option<f64>> = guests.iter().zip(&sent).map(light).collect();
    let weakest = lights.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    // A level is perceptual: light is its square.
    lights.iter().map(|light| light.map_or(1.0, |light| libm::sqrt(weakest / light).min(1.0))).collect()
}
