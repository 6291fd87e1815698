//! What is asked in the line check, what a person may answer, and what is sent for a question.

use std::collections::BTreeMap;

use lanthorn_dmx::Frames;
use lanthorn_fixture::BeamState;
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Instant, Span};

use super::stand::{Axes, Said};
use crate::aim::Head;
use crate::{Drive, Rig, RigState, Run, Unit};

/// Perceptual level of a light that is lit for a question: well seen beside others, and not blinding.
pub const LEVEL: f64 = 0.7;

/// How far a head swings to either side of where it stands.
const PAN_SWING: Radians = Radians::from_deg(25.0);
const TILT_SWING: Radians = Radians::from_deg(20.0);
/// Tilt at which a pan swing is well seen.
const SEEN_TILT: Radians = Radians::from_deg(40.0);
/// A beam that turns by less than this, as a part of its length, is taken to stand.
const STILL: f64 = 0.06;
/// Between this and still a person may say either.
const HARDLY: f64 = 0.12;
/// One way is clear when it is so many times as far as the other; else a person may say either.
const CLEARLY: f64 = 1.5;
/// Motors and lamps have long arrived.
const ARRIVED_TICKS: i64 = 5;
const ARRIVED_TICK: Span = Span::from_millis(3000);

/// A question. Lights are named by their places in [`Rig::units`].
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// These are lit white and no other: what does each light do?
    Lit(Vec<usize>),
    /// These heads swing one way and back, and no other moves: which way does each go?
    Swing(AxisAsked, Vec<usize>),
    /// Is anything lit on the light itself, a display or a small lamp?
    Power(usize),
}

/// An axis of a head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AxisAsked {
    /// To the left, as seen from the audience.
    Pan,
    /// Away from the audience.
    Tilt,
}

/// What one light is seen to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Seen {
    /// No light.
    Dark,
    /// Its own steady white.
    White,
    /// Lit, but in another colour, in part, strobing, or moving by itself; of a swing: moving by itself.
    Odd,
    /// It flickers or jerks at times.
    Flickers,
    /// Its head stands.
    Still,
    /// Its head goes to the left, as seen from the audience.
    Left,
    /// To the right.
    Right,
    /// Away from the audience.
    Away,
    /// Towards the audience.
    Towards,
    /// Something is lit on the light itself.
    Powered,
    /// Nothing is lit on it.
    Unpowered,
}

impl Seen {
    /// What may be seen when it is asked whether lights are lit.
    pub const LIT: [Self; 4] = [Self::Dark, Self::White, Self::Odd, Self::Flickers];
    /// What may be seen when heads swing.
    pub const SWING: [Self; 6] = [Self::Still, Self::Left, Self::Right, Self::Away, Self::Towards, Self::Odd];
    /// What may be seen on a light itself.
    pub const POWER: [Self; 2] = [Self::Powered, Self::Unpowered];
}

/// What a person saw of each light, in the order of [`Rig::units`]; none: cannot say, or it was not looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer(pub Vec<Option<Seen>>);

impl Ask {
    /// What may be seen.
    pub const fn classes(&self) -> &'static [Seen] {
        match self {
            Self::Lit(_) => &Seen::LIT,
            Self::Swing(..) => &Seen::SWING,
            Self::Power(_) => &Seen::POWER,
        }
    }
}

/// What is sent for the questions about one rig: which lights can be asked about, and where heads stand and swing.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Lights that are driven at an address, give light, and are written to: places in the rig, ascending.
    pub lit: Vec<usize>,
    /// For each light where its head stands meanwhile, pan and tilt as they are sent; none for what does not move.
    pub stands: Vec<Option<(Radians, Radians)>>,
    /// For each light the ends of its swing by pan and by tilt, as they are sent; none where a swing would tell nothing.
    pub swings: Vec<[Option<Ends>; 2]>,
}

/// From where to where a head swings, pan and tilt as they are sent.
pub(crate) type Ends = [(Radians, Radians); 2];

impl Plan {
    /// Lights that can be asked about, as in [`Plan::lit`].
    pub fn lit_of(rig: &Rig) -> Vec<usize> {
        let lit = |(_, unit): &(usize, &Unit)| {
            matches!(unit.run, Run::Driven { address: Some(_), shares: None })
                && unit.profile.kind.gives_light()
        };
        rig.units.iter().enumerate().filter(lit).map(|(place, _)| place).collect()
    }

    /// For a rig as it is planned.
    pub fn new(rig: &Rig) -> Self {
        let lit = Self::lit_of(rig);
        let moves = |(place, unit): (usize, &Unit)| {
            Head::new(rig, unit).filter(|_| lit.contains(&place)).map(|head| Swinging::new(rig, unit, &head))
        };
        let swinging: Vec<Option<Swinging>> = rig.units.iter().enumerate().map(moves).collect();
        let swings = |s: &Option<Swinging>| s.as_ref().map_or([None, None], |s| [s.pan, s.tilt]);
        Self {
            stands: swinging.iter().map(|s| Some(s.as_ref()?.stands)).collect(),
            swings: swinging.iter().map(swings).collect(),
            lit,
        }
    }

    /// Heads that can be asked about by one axis.
    pub fn heads(&self, axis: AxisAsked) -> Vec<usize> {
        let swings = |place: &usize| self.swings[*place][axis.index()].is_some();
        self.lit.iter().copied().filter(swings).collect()
    }

    /// What every light is to do for a question; of a swing at its beginning (`end` 0) or at its end (1).
    pub fn state(&self, rig: &Rig, ask: &Ask, end: usize) -> RigState {
        let mut state = RigState::dark(rig);
        for (place, wish) in state.units.iter_mut().enumerate() {
            wish.sent = self.sent(ask, place, end);
            if wish.sent.is_some() {
                // The beam of a head that is led by hand: as narrow as it may be and nothing in it.
                wish.beam = BeamState { zoom: Some(Radians::ZERO), ..BeamState::default() };
            }
            for head in &mut wish.heads {
                head.colour = Some(Chromaticity::D65);
                head.level = if self.is_lit(ask, place) { LEVEL * LEVEL } else { 0.0 };
            }
        }
        state
    }

    /// Whether a light is lit for a question.
    pub fn is_lit(&self, ask: &Ask, place: usize) -> bool {
        match ask {
            Ask::Lit(lit) => lit.contains(&place),
            Ask::Swing(axis, _) => self.swings.get(place).is_some_and(|s| s[axis.index()].is_some()),
            Ask::Power(_) => false,
        }
    }

    /// Pan and tilt that a head is sent for a question; none for what does not move.
    pub fn sent(&self, ask: &Ask, place: usize, end: usize) -> Option<(Radians, Radians)> {
        let stands = *self.stands.get(place)?;
        match ask {
            Ask::Swing(axis, units) => match self.swings[place][axis.index()] {
                Some(ends) if units.contains(&place) => Some(ends[end]),
                Some(ends) => Some(ends[0]),
                None => stands,
            },
            Ask::Lit(_) | Ask::Power(_) => stands,
        }
    }

    /// The channel values of a question once all is lit and every motor has arrived.
    pub(crate) fn frames(&self, rig: &Rig, drive: &Drive, ask: &Ask, end: usize) -> Frames {
        let mut drive = drive.clone();
        let state = self.state(rig, ask, end);
        for tick in 0..ARRIVED_TICKS {
            drive.tick(&state, Instant::ZERO + ARRIVED_TICK * tick);
        }
        drive.frames().clone()
    }
}

impl AxisAsked {
    /// Both, pan first.
    pub const BOTH: [Self; 2] = [Self::Pan, Self::Tilt];

    pub(crate) const fn index(self) -> usize {
        self as usize
    }

    /// Which way a head goes that is right.
    pub const fn way(self) -> Seen {
        match self {
            Self::Pan => Seen::Left,
            Self::Tilt => Seen::Away,
        }
    }
}

/// Where one head stands and swings.
struct Swinging {
    stands: (Radians, Radians),
    pan: Option<Ends>,
    tilt: Option<Ends>,
}

impl Swinging {
    /// Of all pans in steps of 15° the one at which the beam points most away from the audience, of those at which the
    /// swings tell a right head from one that runs backwards.
    fn new(rig: &Rig, unit: &Unit, head: &Head) -> Self {
        let [_, wrong_pan, wrong_tilt, exchanged] = Axes::ALL.map(|axes| axes.head(rig, unit));
        let differs = |ends: &Ends, axis: AxisAsked, wrong: &Option<Head>| {
            wrong.as_ref().is_some_and(|wrong| !went(wrong, *ends).may_be(axis.way()))
        };
        let tells = |ends: &Ends, axis: AxisAsked, wrong: &Option<Head>| {
            went(head, *ends) == Said::surely(axis.way()) && differs(ends, axis, wrong)
        };
        let mut best: Option<(f64, Self)> = None;
        for step in [0, 12, -12].into_iter().chain((1..12).flat_map(|step| [step, -step])) {
            for sign in [1.0, -1.0] {
                let (pan, tilt) = (Radians::from_deg(f64::from(step) * 15.0), SEEN_TILT * sign);
                if !inside(pan.abs() + PAN_SWING, head.pan_range) || !inside(tilt.abs(), head.tilt_range) {
                    continue;
                }
                let tried = Self::at(head, pan, tilt);
                let pan_tells = tried.pan.filter(|ends| tells(ends, AxisAsked::Pan, &wrong_pan));
                let tilt_tells = tried.tilt.filter(|ends| tells(ends, AxisAsked::Tilt, &wrong_tilt));
                let exchange_tells = pan_tells.is_some_and(|ends| differs(&ends, AxisAsked::Pan, &exchanged))
                    || tilt_tells.is_some_and(|ends| differs(&ends, AxisAsked::Tilt, &exchanged));
                let told = f64::from(u8::from(pan_tells.is_some()) + u8::from(tilt_tells.is_some()));
                let score =
                    told * 10.0 + f64::from(u8::from(exchange_tells)) * 5.0 + head.direction(pan, tilt).y();
                if best.as_ref().is_none_or(|(most, _)| score > most + 1e-6) {
                    best = Some((score, Self { pan: pan_tells, tilt: tilt_tells, ..tried }));
                }
            }
        }
        let home = || Self { stands: head.sent(Radians::ZERO, Radians::ZERO), pan: None, tilt: None };
        best.map_or_else(home, |(_, best)| best)
    }

    fn at(head: &Head, pan: Radians, tilt: Radians) -> Self {
        let ends = |a: (Radians, Radians), b: (Radians, Radians), way: Seen| {
            let ends = [head.sent(a.0, a.1), head.sent(b.0, b.1)];
            let turned = [ends[1], ends[0]];
            Some(if went(head, ends).may_be(way) { ends } else { turned })
        };
        Self {
            stands: head.sent(pan, tilt),
            pan: ends((pan - PAN_SWING, tilt), (pan + PAN_SWING, tilt), AxisAsked::Pan.way()),
            tilt: ends((pan, -TILT_SWING), (pan, TILT_SWING), AxisAsked::Tilt.way()),
        }
    }
}

fn inside(angle: Radians, [low, high]: [Radians; 2]) -> bool {
    low <= -angle && angle <= high
}

/// Which way a beam is seen to go when a head is sent from one pan and tilt to another.
pub(crate) fn went(head: &Head, ends: Ends) -> Said {
    let [from, to] = ends.map(|(pan, tilt)| {
        let (pan, tilt) = head.from_sent(pan, tilt);
        head.direction(pan, tilt)
    });
    way(from, to)
}

fn way(from: Direction, to: Direction) -> Said {
    let (dx, dy) = (to.x() - from.x(), to.y() - from.y());
    let across = if dx < 0.0 { Seen::Left } else { Seen::Right };
    let along = if dy > 0.0 { Seen::Away } else { Seen::Towards };
    let (larger, smaller) = if dx.abs() > dy.abs() { (across, along) } else { (along, across) };
    let (far, near) = (dx.abs().max(dy.abs()), dx.abs().min(dy.abs()));
    if far < STILL {
        Said::surely(Seen::Still)
    } else if far < HARDLY {
        Said::either(Seen::Still, larger)
    } else if far < near * CLEARLY {
        Said::either(larger, smaller)
    } else {
        Said::surely(larger)
    }
}

/// Frames of each question, worked out once.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sent(BTreeMap<Ask, [Frames; 2]>);

impl Sent {
    pub(crate) fn of(&mut self, plan: &Plan, rig: &Rig, drive: &Drive, ask: &Ask) -> &[Frames; 2] {
        self.0.entry(ask.clone()).or_insert_with(|| {
            let first = plan.frames(rig, drive, ask, 0);
            let last = if let Ask::Swing(..) = ask { plan.frames(rig, drive, ask, 1) } else { first.clone() };
            [first, last]
        })
    }
}
