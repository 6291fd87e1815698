//! How much light each head gives, of what the whole rig could give.

use std::f64::consts::TAU;
use std::sync::Arc;

use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Encoder, HeadState, UnitState};
use lanthorn_physics::Span;
use lanthorn_physics::colour::{Chromaticity, Xyz};

use super::reds::{Reds, View};
use super::swings::{Recent, Swings};
use crate::shine::usual_shape;
use crate::{Run, Unit};

/// In so long a filament, a diode comes within a third of a new level (common practice, no source).
const FILAMENT_SECS: f64 = 0.15;
const DIODE_SECS: f64 = 0.012;

/// What a head gives, each of its most: its level; its luminous output in the colour that is on.
pub(super) type Light = [f64; 2];

/// What of the light is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sum {
    /// Luminous output.
    Output,
    /// The same, each head as bright as the other: nobody says who stands how near to which.
    Even,
    /// Levels, whatever the colour.
    Levels,
}

impl Sum {
    pub(super) const ALL: [Self; 3] = [Self::Output, Self::Even, Self::Levels];
}

/// As what light is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum By {
    /// As every source follows at once.
    Sent,
    /// As the sources follow it: a filament slowly.
    Seen,
}

impl By {
    pub(super) const ALL: [Self; 2] = [Self::Sent, Self::Seen];
}

/// One light.
#[derive(Clone, Debug)]
pub(super) struct Lamp {
    pub(super) number: u32,
    pub(super) encoder: Arc<Encoder>,
    /// Output of a head at full of the whole rig's, with those of the lights on the same address; 0 where nothing is sent.
    pub(super) weight: f64,
    /// The same where all heads count alike.
    pub(super) even: f64,
    /// How many strobes it is, with those; none where nobody knows how fast it would flash.
    pub(super) trains: Option<usize>,
    pub(super) dims: bool,
    pub(super) keeps_level: bool,
    /// `false`: it gives light only while it flashes.
    steady: bool,
    pub(super) strobing: bool,
    /// What its strobes took, and what they took in red.
    pub(super) strobed: Recent,
    pub(super) strobed_red: Recent,
    /// How much of the difference to a new level its source keeps to the next tick.
    kept: f64,
    lag_secs: f64,
    /// Its slowest flash rate, Hz; none where nobody knows.
    slowest: Option<f64>,
    pub(super) heads: Vec<Glow>,
}

/// One head.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glow {
    colour: Option<Chromaticity>,
    /// Light in this colour, of the head's most.
    share: f64,
    /// Tristimulus values for one unit of light.
    pub(super) xyz: [f64; 3],
    /// What was sent last.
    pub(super) last: HeadState,
    /// Its light as it was sent last.
    pub(super) sent: Light,
    /// The same as its source follows it.
    pub(super) glow: Light,
    /// What is to be sent now.
    pub(super) wanted: Light,
    /// As sent and as seen, by level and by output.
    pub(super) swings: [[Swings; 2]; 2],
    pub(super) asked: Swings,
    /// As sent and as seen.
    pub(super) reds: [Reds; 2],
}

impl Lamp {
    pub(super) fn new(unit: &Unit, encoder: Arc<Encoder>) -> Self {
        let sent = matches!(unit.run, Run::Driven { address: Some(_), shares: None });
        let filament = unit.profile.has_filament();
        let mut glow = Glow {
            colour: None,
            share: 0.0,
            xyz: [0.0; 3],
            last: HeadState::default(),
            sent: [0.0; 2],
            glow: [0.0; 2],
            wanted: [0.0; 2],
            swings: [[Swings::DARK; 2]; 2],
            asked: Swings::DARK,
            reds: [Reds::default(); 2],
        };
        glow.take_colour(None, &encoder);
        let weight = if sent { output(unit, &encoder) } else { 0.0 };
        Self {
            number: unit.number,
            weight,
            even: f64::from(u8::from(weight > 0.0)),
            trains: encoder.strobe_trains(),
            dims: encoder.dims(),
            keeps_level: encoder.keeps_level_flashing(),
            steady: encoder.steady_light(),
            strobing: false,
            strobed: Recent::default(),
            strobed_red: Recent::default(),
            kept: 0.0,
            lag_secs: if filament { FILAMENT_SECS } else { DIODE_SECS },
            slowest: encoder.strobe_range().map(|(slowest, _)| slowest.get()),
            heads: vec![glow; usize::from(unit.mode().heads)],
            encoder,
        }
    }

    /// A tick is so long.
    pub(super) fn follow_for(&mut self, dt: Span) {
        self.kept = libm::exp(-dt.secs().max(0.0) / self.lag_secs);
    }

    /// How much of the light that was there the next tick keeps.
    pub(super) fn keeps(&self, by: By) -> f64 {
        match by {
            By::Sent => 0.0,
            By::Seen => self.kept,
        }
    }

    /// Light of a head as it is now.
    pub(super) fn now(&self, by: By, head: &Glow) -> Light {
        match by {
            By::Sent => head.sent,
            By::Seen => head.glow,
        }
    }

    /// Light of a head at the end of this tick, if what it wants is sent.
    pub(super) fn next(&self, by: By, head: &Glow) -> Light {
        let (now, kept) = (self.now(by, head), self.keeps(by));
        [0, 1].map(|of| head.wanted[of] + (now[of] - head.wanted[of]) * kept)
    }

    /// The same in its colour.
    pub(super) fn view(&self, by: By, head: &Glow) -> View {
        let [_, output] = self.next(by, head);
        View(head.xyz.map(|part| part * output))
    }

    /// Part of a sum that a head's light is.
    pub(super) fn of(&self, sum: Sum, [level, output]: Light) -> f64 {
        match sum {
            Sum::Output => self.weight * output,
            Sum::Even => self.even * output,
            Sum::Levels => self.even * level,
        }
    }

    /// Whether it can flash so slowly, flashes a second.
    pub(super) fn can_flash(&self, rate: f64) -> bool {
        rate > 0.0 && self.slowest.is_some_and(|slowest| rate >= slowest)
    }

    /// Whether what it is told makes it flash.
    pub(super) fn flashes(&self, out: &HeadState) -> bool {
        out.level > 0.0 && out.strobe.is_some_and(|rate| self.can_flash(rate.get()))
    }

    /// Its light, if this is sent.
    pub(super) fn shine(&mut self, out: &UnitState) {
        self.strobing = out.heads.iter().any(|head| head.strobe.is_some() && head.level > 0.0);
        for index in 0..self.heads.len().min(out.heads.len()) {
            let out = &out.heads[index];
            let level = self.part(out.level, self.strobing);
            let head = &mut self.heads[index];
            head.shine_in(out.colour, &self.encoder);
            head.wanted = [level, level * head.share];
        }
    }

    /// Light of a head if so much were sent and nothing held back.
    pub(super) fn shines(&self, index: usize, out: &HeadState) -> Light {
        let level = self.part(out.level, out.strobe.is_some());
        [level, level * self.heads[index].share]
    }

    /// Leaves so much of what a head wants, 0 to 1. One that knows steps alone goes dark, and one that flashes at full
    /// alone cannot flash and be held.
    pub(super) fn dim(&self, out: &mut UnitState, index: usize, keep: f64) {
        let head = &mut out.heads[index];
        if !self.dims {
            head.level = 0.0;
        } else if self.strobing && !self.keeps_level {
            head.level = head.level.min(keep);
        } else {
            head.level *= keep;
        }
        if !self.keeps_level {
            out.heads.iter_mut().for_each(|head| head.strobe = None);
        }
    }

    /// Light of a head at a level, of its most in the colour. `flashing`: its strobe channel is on.
    fn part(&self, level: f64, flashing: bool) -> f64 {
        if level > 0.0 && flashing && !self.keeps_level {
            1.0
        } else if !self.steady && !flashing {
            0.0
        } else if self.dims {
            level
        } else {
            self.encoder.light(level)
        }
    }
}

impl Glow {
    /// Mixing is worked out anew only where the colour is another.
    pub(super) fn shine_in(&mut self, colour: Option<Chromaticity>, encoder: &Encoder) {
        if colour != self.colour {
            self.take_colour(colour, encoder);
        }
    }

    fn take_colour(&mut self, colour: Option<Chromaticity>, encoder: &Encoder) {
        self.colour = colour;
        self.share = encoder.luminance_share(colour);
        let shown = colour.and_then(|colour| encoder.reach(colour)).or_else(|| encoder.own_white());
        let Xyz { x, y, z } = Xyz::from_chromaticity(shown.unwrap_or(Chromaticity::D65), 1.0);
        self.xyz = [x, y, z];
    }

    /// It stays as it was sent last, or goes darker where that is wanted.
    pub(super) fn freeze(&self, out: &mut HeadState) {
        out.level = out.level.min(self.last.level);
        (out.colour, out.mixing) = (self.last.colour, self.last.mixing);
    }
}

/// Luminous output of one head at full as the count takes it: peak × solid angle of the beam, lumens or near it.
pub(super) fn output(unit: &Unit, encoder: &Encoder) -> f64 {
    if !encoder.gives_light() {
        return 0.0;
    }
    let beam = encoder.beam_shape().unwrap_or_else(|| usual_shape(unit.profile.kind)).beam;
    let solid_angle = TAU * (1.0 - libm::cos(beam.get() / 2.0));
    let known = encoder.max_candela().map(|peak| peak.get() * solid_angle);
    known.filter(|lumens| *lumens > 0.0).unwrap_or_else(|| usual_output(unit.profile.kind))
}

/// What lights of a kind usually give, lumens a head (common practice, no source).
fn usual_output(kind: Kind) -> f64 {
    match kind {
        Kind::SpotHead | Kind::WashHead => 2000.0,
        Kind::Par | Kind::Bar | Kind::Effect => 800.0,
        Kind::Scanner => 2000.0,
        Kind::Dimmer | Kind::Fresnel | Kind::ProfileSpot | Kind::Flood => 4000.0,
        Kind::Strobe | Kind::Blinder => 8000.0,
        Kind::Hazer | Kind::Fogger | Kind::Machine => 0.0,
    }
}
