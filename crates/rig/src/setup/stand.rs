//! How a light may really be set, and what it would then do with what is sent: read by its own chart, from wherever it
//! listens.

use lanthorn_dmx::{Address, Frames};
use lanthorn_fixture::Attribute;
use lanthorn_fixture::decode::{Reading, decode};
use lanthorn_fixture::profile::OnLoss;

use super::ask::{Ask, Plan, Seen, went};
use crate::aim::Head;
use crate::{Rig, Unit};

/// Less light than this part of all is not seen as lit.
const UNSEEN: f64 = 0.004;
/// Between unseen and this a person may say either.
const FAINT: f64 = 0.03;
/// Colours nearer than this in x and y together look alike across a room.
const ALIKE: f64 = 0.03;
/// Colours further apart than this do not.
const UNLIKE: f64 = 0.06;

/// How one light is really set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Setting {
    /// It listens somewhere, in some mode.
    Hears {
        /// Where; none: at an address where the plan has no light.
        at: Option<Address>,
        /// Place in its profile's modes.
        mode: usize,
        /// How its axes run.
        axes: Axes,
    },
    /// It has no power.
    NoPower,
    /// It hears, and its head moves, but gives no light.
    NoLamp,
    /// It runs a programme of its own.
    OwnProgramme,
}

/// How the axes of a head run, against the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Axes {
    /// As planned.
    Right,
    /// Pan the other way.
    PanBackwards,
    /// Tilt the other way.
    TiltBackwards,
    /// Each moved by the other's channel.
    Exchanged,
}

impl Axes {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Right, Self::PanBackwards, Self::TiltBackwards, Self::Exchanged];

    /// The head of a unit whose axes run so.
    pub(crate) fn head(self, rig: &Rig, unit: &Unit) -> Option<Head> {
        let mut turned = unit.clone();
        let planned = Head::new(rig, unit)?;
        let mut pose = planned.pose();
        match self {
            Self::Right => return Some(planned),
            Self::PanBackwards => pose.pan.inverted = !pose.pan.inverted,
            Self::TiltBackwards => pose.tilt.inverted = !pose.tilt.inverted,
            Self::Exchanged => turned.swap = !turned.swap,
        }
        turned.found.pose = Some(pose);
        Head::new(rig, &turned)
    }
}

/// What a person would say, one of these, each as likely as the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Said(u16);

impl Said {
    /// The one.
    pub(crate) const fn surely(seen: Seen) -> Self {
        Self(1 << seen as u16)
    }

    /// The one or the other.
    pub(crate) const fn either(one: Seen, other: Seen) -> Self {
        Self(1 << one as u16 | 1 << other as u16)
    }

    pub(crate) const fn may_be(self, seen: Seen) -> bool {
        self.0 & (1 << seen as u16) != 0
    }

    /// How many there are.
    pub(crate) const fn count(self) -> u32 {
        self.0.count_ones()
    }
}

/// What a light that listens somewhere reads.
pub(crate) fn reads(unit: &Unit, mode: usize, at: Option<Address>, frames: &Frames) -> Reading {
    let slots = at.and_then(|at| frames.get(at.universe)?.0.get(at.slot.index()..));
    decode(&unit.profile, mode, slots.unwrap_or(&[]))
}

/// What is seen of the lamps of a light: against what it shows when it is right and lit.
pub(crate) fn lamps(reading: &Reading, right: &Reading) -> Said {
    if reading.programme || reading.danger.is_some() {
        return Said::surely(Seen::Odd);
    }
    let most = reading.heads.iter().map(|head| head.output).fold(0.0, f64::max);
    let least = reading.heads.iter().map(|head| head.output).fold(f64::INFINITY, f64::min);
    if reading.heads.is_empty() || most < UNSEEN {
        return Said::surely(Seen::Dark);
    }
    if reading.heads.iter().any(|head| head.flashing) || (least < UNSEEN && most > FAINT) {
        return Said::surely(Seen::Odd);
    }
    if most < FAINT {
        return Said::either(Seen::Dark, Seen::White);
    }
    let wanted = right.heads.iter().find_map(|head| head.chromaticity);
    let off = reading
        .heads
        .iter()
        .filter_map(|head| head.chromaticity)
        .map(|is| wanted.map_or(0.0, |wanted| libm::hypot(is.x - wanted.x, is.y - wanted.y)));
    let off = off.fold(0.0, f64::max);
    if off > UNLIKE || (reading.prism && !right.prism) {
        Said::surely(Seen::Odd)
    } else if off > ALIKE || reading.gobo.is_some() != right.gobo.is_some() {
        Said::either(Seen::Odd, Seen::White)
    } else {
        Said::surely(Seen::White)
    }
}

/// What a light that hears nothing at all does: some go dark, some run a programme of their own; it stays at the one.
pub(crate) fn deaf(unit: &Unit, ask: &Ask) -> [Said; 2] {
    let lamps = if unit.profile.data.on_loss.value() == Some(OnLoss::Programme) {
        [Seen::Dark, Seen::Odd]
    } else {
        [Seen::Dark; 2]
    };
    match ask {
        Ask::Power(_) => [Said::surely(Seen::Powered); 2],
        Ask::Swing(..) => [Said::surely(Seen::Still); 2],
        Ask::Lit(_) => lamps.map(Said::surely),
    }
}

/// What a setting does, where it hears the line well. `read` is what the light reads of a question at both its ends, from
/// where and in the mode that the setting says (as planned, where it says nothing); `right`: what it reads where it is set
/// as planned and lit.
pub(crate) fn says(
    (setting, heads): (Setting, &[Option<Head>; 4]),
    ask: &Ask,
    read: &[Reading; 2],
    right: &Reading,
) -> Said {
    match (setting, ask) {
        (Setting::NoPower, Ask::Power(_)) => Said::surely(Seen::Unpowered),
        (_, Ask::Power(_)) => Said::surely(Seen::Powered),
        (Setting::NoPower, Ask::Lit(_)) | (Setting::NoLamp, Ask::Lit(_)) => Said::surely(Seen::Dark),
        (Setting::NoPower, Ask::Swing(..)) => Said::surely(Seen::Still),
        (Setting::OwnProgramme, Ask::Lit(_)) => Said::surely(Seen::Odd),
        // A programme may move its head, or not.
        (Setting::OwnProgramme, Ask::Swing(..)) => Said::either(Seen::Odd, Seen::Still),
        (Setting::NoLamp, Ask::Swing(..)) => swings(heads[0].as_ref(), read),
        (Setting::Hears { .. }, Ask::Lit(_)) => lamps(&read[0], right),
        (Setting::Hears { axes, .. }, Ask::Swing(..)) => swings(heads[axes as usize].as_ref(), read),
    }
}

fn swings(head: Option<&Head>, read: &[Reading; 2]) -> Said {
    let Some(head) = head else { return Said::surely(Seen::Still) };
    let [Some(from), Some(to)] = [0, 1].map(|end| Some((read[end].pan?, read[end].tilt?))) else {
        return Said::surely(Seen::Still);
    };
    if read.iter().any(|read| read.programme || read.danger.is_some()) {
        return Said::surely(Seen::Odd);
    }
    went(head, [from, to])
}

/// `true` when a mode has pan and tilt.
pub(crate) fn turns(unit: &Unit, mode: usize) -> bool {
    let has = |attribute: &Attribute| {
        unit.profile.modes.get(mode).is_some_and(|mode| {
            mode.channels.iter().any(|c| c.ranges.iter().any(|range| range.attribute == *attribute))
        })
    };
    has(&Attribute::Pan) && has(&Attribute::Tilt)
}

/// Heads of a unit for each way that its axes may run; all none for what does not move.
pub(crate) fn heads(rig: &Rig, unit: &Unit, plan: &Plan, place: usize) -> [Option<Head>; 4] {
    if plan.stands[place].is_none() {
        return [None; 4];
    }
    Axes::ALL.map(|axes| axes.head(rig, unit))
}
