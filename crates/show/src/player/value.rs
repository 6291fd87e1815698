//! What one light shows, and the way from one such value to another.

use std::sync::Arc;

use lanthorn_fixture::emitters::{Source, sources};
use lanthorn_fixture::{BeamState, Mode, Profile};
use lanthorn_physics::Instant;
use lanthorn_physics::colour::{
    Ceiling, Chromaticity, Emitter, Mixer, Objective, WhiteLine, Xyz, fade, screen_rgb, xyz_of_linear_rgb,
};
use lanthorn_physics::units::Hertz;

use super::target::{Motion, Target};
use crate::look::Band;

/// Below this level (a millionth of the light) a head counts as dark.
pub(super) const DARK: f64 = 1e-3;

/// As far as a straight line in OKLab between two emitters bows out of what they can mix, in u′v′.
const HARDLY_OUTSIDE: f64 = 0.02;

/// A whole light, without its heads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct UnitValue {
    /// Where to; none leaves it.
    pub(super) aim: Option<Target>,
    pub beam: BeamState,
    pub haze: f64,
    pub fan: f64,
    /// At least one head is not dark.
    pub lit: bool,
    /// When the fade that its aim is on is over, on the show's clock; none when the aim is on no fade.
    pub(super) until: Option<Instant>,
}

/// One head.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct HeadValue {
    /// Perceptual, 0 to 1.
    pub level: f64,
    pub colour: Option<Chromaticity>,
    pub strobe: Option<Hertz>,
    pub mixing: Objective,
    /// The level goes with this part of the sound; none once that is done.
    pub sound: Option<Band>,
    /// Instead of the level the colour goes with it, from this one.
    pub sound_colour: Option<Chromaticity>,
}

/// What a light can give.
#[derive(Clone, Debug)]
pub(super) struct Lamp {
    /// What it shows when no colour is asked for.
    pub white: Chromaticity,
    /// None for a light that does not mix.
    mixer: Option<Mixer>,
    /// Its most light of each colour.
    ceiling: Ceiling,
    /// All its emitters together.
    full: f64,
    /// From white to white a fade goes along it.
    whites: Arc<WhiteLine>,
}

/// How far a fade has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    /// Of the light, 0 to 1.
    pub light: f64,
    /// Of the movement, 0 to 1; behind `light` when stillness holds it.
    pub movement: f64,
    /// Movement may not even begin.
    pub held: bool,
    /// When the movement is over, on the show's clock.
    pub until: Instant,
}

impl Part {
    pub(super) fn both(part: f64, until: Instant) -> Self {
        Self { light: part, movement: part, held: false, until }
    }

    pub(super) fn is_done(self) -> bool {
        self.light >= 1.0 && self.movement >= 1.0
    }
}

impl HeadValue {
    pub(crate) fn is_lit(&self) -> bool {
        self.level > DARK
    }
}

impl UnitValue {
    /// On the way to `to`: a lit light moves in a straight line through the room, a dark one goes ahead at once, and
    /// one that goes dark stays where it is until it is dark.
    pub(super) fn mix(&self, to: &Self, part: Part) -> Self {
        let lit = match part.light {
            p if p <= 0.0 => self.lit,
            p if p >= 1.0 => to.lit,
            _ => self.lit || to.lit,
        };
        let (aim, until) = self.aim_towards(to, part);
        Self {
            aim,
            until,
            beam: self.beam_towards(to, part.light),
            haze: lerp(self.haze, to.haze, part.light),
            fan: lerp(self.fan, to.fan, part.light),
            lit,
        }
    }

    /// The aim, and until when it fades: until every fade on the way is over.
    fn aim_towards(&self, to: &Self, part: Part) -> (Option<Target>, Option<Instant>) {
        let Some(here) = self.aim else { return (to.aim, to.until) };
        // Without another place it stays, and comes to rest.
        let there = to.aim.unwrap_or(Target::still(here.at));
        if part.held {
            return (Some(here), None);
        }
        if part.is_done() || !self.lit {
            return (Some(there), to.until);
        }
        if !to.lit {
            return (Some(here), None);
        }
        let until = to.until.map_or(part.until, |until| until.max(part.until));
        (Some(here.towards(&there, part.movement)), Some(until))
    }

    /// The same at this moment, to be kept: see [`Target::settled`].
    pub(super) fn settled(self, motion: &Motion<'_>) -> Self {
        Self { aim: self.aim.map(|target| target.settled(motion)), ..self }
    }

    /// The same in a show whose figures have other places: see [`Target::carried`].
    pub(super) fn carried(&self, figures: &[Option<usize>], motion: &Motion<'_>) -> Self {
        Self { aim: self.aim.map(|target| target.carried(figures, motion)), ..*self }
    }

    /// `true` when a light shows the same by both.
    pub(super) fn same(&self, other: &Self) -> bool {
        let aimed = match (&self.aim, &other.aim) {
            (Some(here), Some(there)) => here.same(there),
            (None, None) => true,
            _ => false,
        };
        let beam = (self.beam, self.haze, self.fan) == (other.beam, other.haze, other.fan);
        aimed && beam && self.lit == other.lit
    }

    fn beam_towards(&self, to: &Self, part: f64) -> BeamState {
        let (here, there) = (&self.beam, &to.beam);
        if part >= 1.0 || !self.lit {
            return *there;
        }
        if part <= 0.0 || !to.lit {
            return *here;
        }
        let maybe = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(lerp(a, b, part)),
            (_, b) => b,
        };
        let zoom = match (here.zoom, there.zoom) {
            (Some(a), Some(b)) => Some(a + (b - a) * part),
            (_, b) => b,
        };
        BeamState {
            zoom,
            focus: maybe(here.focus, there.focus),
            frost: lerp(here.frost, there.frost, part),
            iris: lerp(here.iris, there.iris, part),
            ..*there
        }
    }

    /// This sentence of a chase over what lies below: what it leaves out comes from below.
    pub(super) fn over(&self, below: &Self) -> Self {
        let or = |mine: f64, theirs: f64| if mine > 0.0 { mine } else { theirs };
        let beam = BeamState {
            gobo: self.beam.gobo.or(below.beam.gobo),
            prism: self.beam.prism || below.beam.prism,
            zoom: self.beam.zoom.or(below.beam.zoom),
            focus: self.beam.focus.or(below.beam.focus),
            frost: or(self.beam.frost, below.beam.frost),
            iris: or(self.beam.iris, below.beam.iris),
        };
        Self {
            aim: self.aim.or(below.aim),
            until: if self.aim.is_some() { self.until } else { below.until },
            beam,
            haze: or(self.haze, below.haze),
            fan: or(self.fan, below.fan),
            lit: self.lit,
        }
    }
}

impl HeadValue {
    /// On the way to `to`. In one colour the level goes evenly as the eye sees it. From one colour to another both go
    /// between what is seen, by what this lamp can give in each: the paler colours on the way, of which it has far more,
    /// are held back, or every such fade would flare up in its middle. From white to white the colour goes evenly in mired. Darkness at either end lends no colour.
    pub(super) fn mix(&self, to: &Self, part: f64, lamp: &Lamp) -> Self {
        if part <= 0.0 && self.is_lit() {
            return Self { sound: None, sound_colour: None, ..*self };
        }
        let level = lerp(self.level, to.level, part);
        let (level, colour) = match (self.is_lit(), to.is_lit()) {
            (_, false) => (level, self.colour.or(to.colour)),
            (false, true) => (level, to.colour),
            (true, true) if part >= 1.0 || self.colour == to.colour => (level, to.colour),
            (true, true) => self.light_towards(to, part, lamp).unwrap_or((level, to.colour)),
        };
        let strobe = if to.is_lit() || part >= 1.0 { to.strobe } else { self.strobe };
        // Which mix makes the colour is no matter of more or less: the new way from the first moment on.
        let mixing = if to.is_lit() || part >= 1.0 { to.mixing } else { self.mixing };
        Self { level, colour, strobe, mixing, sound: None, sound_colour: None }
    }

    fn light_towards(&self, to: &Self, part: f64, lamp: &Lamp) -> Option<(f64, Option<Chromaticity>)> {
        let seen = |head: &Self| {
            let colour = lamp.reach(head.colour.unwrap_or(lamp.white));
            Xyz::from_chromaticity(colour, lamp.most(colour) * head.level * head.level)
        };
        let (from, there) = (seen(self), seen(to));
        let between = fade(from, there, part);
        let along = lamp.whites.between(from.chromaticity()?, there.chromaticity()?, part);
        let colour = lamp.clip(along.or_else(|| between.chromaticity())?);
        let level = match lamp.ceiling.luminance(colour) {
            Some(_) => libm::sqrt(between.y / lamp.most(colour)).min(1.0),
            None => lerp(self.level, to.level, part),
        };
        Some((level, Some(colour)))
    }

    /// This head of a chase over what lies below: without a colour of its own it takes the one below.
    pub(super) fn over(&self, below: &Self) -> Self {
        Self { colour: self.colour.or(below.colour), ..*self }
    }
}

impl Lamp {
    /// Of one light. What its mode does not drive, and what is hardly seen, is no part of it.
    pub(super) fn of(profile: &Profile, mode: &Mode, whites: Arc<WhiteLine>) -> Self {
        let driven = |source: &Source| {
            let mut ranges = mode.channels.iter().flat_map(|channel| &channel.ranges);
            source.is_visible() && ranges.any(|range| range.attribute == source.attribute)
        };
        let sources = sources(profile, mode);
        let emitters: Vec<Emitter> = sources
            .iter()
            .filter(|source| driven(source))
            .map(|source| Emitter { chromaticity: source.chromaticity, luminance: source.output })
            .collect();
        let mixer = Mixer::new(&emitters);
        let ceiling = mixer.ceiling();
        // What is of one colour does not mix at all: its light is left to its level.
        let mixer = Some(mixer).filter(Mixer::varies);
        let full = emitters.iter().map(|emitter| emitter.luminance).sum();
        let all =
            emitters.iter().map(|emitter| Xyz::from_chromaticity(emitter.chromaticity, emitter.luminance));
        let white = all.sum::<Xyz>().chromaticity().unwrap_or_else(|| own_white(profile));
        Self { white, mixer, ceiling, full, whites }
    }

    /// No light in particular: as a screen's three primaries are.
    pub(super) fn screen(whites: Arc<WhiteLine>) -> Self {
        Self { white: Chromaticity::D65, mixer: None, ceiling: Ceiling::default(), full: 1.0, whites }
    }

    /// What it shows when a colour is wanted; for one that is hardly outside, nearly so and far more quickly.
    fn reach(&self, colour: Chromaticity) -> Chromaticity {
        let close = self.clip(colour);
        if close.distance_uv(colour) <= HARDLY_OUTSIDE {
            return close;
        }
        self.mixer.as_ref().and_then(|mixer| mixer.reach(colour)).unwrap_or(colour)
    }

    /// The same for a colour on the way between two that it can show: at most just outside.
    fn clip(&self, colour: Chromaticity) -> Chromaticity {
        self.mixer.as_ref().and_then(|mixer| mixer.clip(colour)).unwrap_or(colour)
    }

    /// How bright it can be in a colour that it can show, its own white = 1.
    fn most(&self, colour: Chromaticity) -> f64 {
        let screen = || xyz_of_linear_rgb(screen_rgb(colour)).y;
        self.ceiling.luminance(colour).map_or_else(screen, |most| most / self.full)
    }
}

/// Of a light whose mode drives none of its emitters: all of them together, where the profile knows them; otherwise the white of screens.
fn own_white(profile: &Profile) -> Chromaticity {
    let known = |emitter: &lanthorn_fixture::Emitter| {
        Some(Xyz::from_chromaticity(emitter.chromaticity.value()?, emitter.output.value()?))
    };
    let sum: Option<Xyz> = profile.emitters.iter().map(known).sum();
    sum.and_then(Xyz::chromaticity).unwrap_or(Chromaticity::D65)
}

/// The point `part` of the way, both ends exact.
pub(super) fn lerp(from: f64, to: f64, part: f64) -> f64 {
    if part <= 0.0 {
        from
    } else if part >= 1.0 {
        to
    } else {
        from + (to - from) * part
    }
}
