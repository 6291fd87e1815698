//! What one light shows, and the way from one such value to another.

use lanthorn_fixture::BeamState;
use lanthorn_physics::Point;
use lanthorn_physics::colour::{Chromaticity, Xyz, fade, screen_rgb, xyz_of_linear_rgb};
use lanthorn_physics::units::Hertz;

/// Below this level (a millionth of the light) a head counts as dark.
pub(super) const DARK: f64 = 1e-3;

/// A whole light, without its heads.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct UnitValue {
    /// Where to; none leaves it.
    pub aim: Option<Point>,
    pub beam: BeamState,
    pub haze: f64,
    pub fan: f64,
    /// At least one head is not dark.
    pub lit: bool,
}

/// One head.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct HeadValue {
    /// Perceptual, 0 to 1.
    pub level: f64,
    pub colour: Option<Chromaticity>,
    pub strobe: Option<Hertz>,
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
}

impl Part {
    pub(super) fn both(part: f64) -> Self {
        Self { light: part, movement: part, held: false }
    }

    pub(super) fn is_done(self) -> bool {
        self.light >= 1.0 && self.movement >= 1.0
    }
}

impl HeadValue {
    pub(super) fn is_lit(&self) -> bool {
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
        Self {
            aim: self.aim_towards(to, part),
            beam: self.beam_towards(to, part.light),
            haze: lerp(self.haze, to.haze, part.light),
            fan: lerp(self.fan, to.fan, part.light),
            lit,
        }
    }

    fn aim_towards(&self, to: &Self, part: Part) -> Option<Point> {
        let (Some(here), Some(there)) = (self.aim, to.aim) else { return to.aim.or(self.aim) };
        if part.held {
            return Some(here);
        }
        if part.is_done() || !self.lit {
            return Some(there);
        }
        Some(if to.lit { here.lerp(there, part.movement) } else { here })
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
            beam,
            haze: or(self.haze, below.haze),
            fan: or(self.fan, below.fan),
            lit: self.lit,
        }
    }
}

impl HeadValue {
    /// On the way to `to`. The level goes evenly as the eye sees it; the colour goes between what is seen, so that
    /// darkness at either end lends no colour. `white` is what this head shows when no colour is asked for.
    pub(super) fn mix(&self, to: &Self, part: f64, white: Chromaticity) -> Self {
        if part <= 0.0 && self.is_lit() {
            return *self;
        }
        let colour = match (self.is_lit(), to.is_lit()) {
            (_, false) => self.colour.or(to.colour),
            (false, true) => to.colour,
            (true, true) => self.colour_towards(to, part, white),
        };
        let strobe = if to.is_lit() || part >= 1.0 { to.strobe } else { self.strobe };
        Self { level: lerp(self.level, to.level, part), colour, strobe }
    }

    fn colour_towards(&self, to: &Self, part: f64, white: Chromaticity) -> Option<Chromaticity> {
        if part >= 1.0 || self.colour == to.colour {
            return to.colour;
        }
        let seen = |head: &Self| {
            let colour = head.colour.unwrap_or(white);
            Xyz::from_chromaticity(colour, full_luminance(colour) * head.level * head.level)
        };
        fade(seen(self), seen(to), part).chromaticity().or(to.colour)
    }

    /// This head of a chase over what lies below: without a colour of its own it takes the one below.
    pub(super) fn over(&self, below: &Self) -> Self {
        Self { colour: self.colour.or(below.colour), ..*self }
    }
}

/// About how bright a mixing light is at full in a colour, white = 1: as a screen's three primaries are.
fn full_luminance(colour: Chromaticity) -> f64 {
    xyz_of_linear_rgb(screen_rgb(colour)).y
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
