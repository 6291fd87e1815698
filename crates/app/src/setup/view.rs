//! What pages are told of setting up.

use lanthorn_rig::Rig;
use lanthorn_rig::setup::{Ask, Asked, Card, Cause, Part, Seen, Standing, Step};

use super::{Check, Sees, Session, Ticks};
use crate::wire::{
    AskedLight, CauseView, CheckView, QuestionView, SeenName, SetUpCard, SetUpPart, SetUpStep, SetUpView,
    StandingView,
};

impl Session {
    /// As it stands.
    pub(crate) fn view(&self, sees: Sees) -> SetUpView {
        let parts: Vec<SetUpPart> = self.parts.iter().map(|the| part(the, &self.ticks)).collect();
        let cards = || parts.iter().flat_map(|part| &part.cards);
        SetUpView {
            done: cards().filter(|card| card.done).count() as u32,
            of: cards().count() as u32,
            can_be_asked: lanthorn_rig::setup::Plan::lit_of(&self.rig).len() as u32,
            check: self.check.as_ref().map(|check| check_view(check, sees)),
            says: self.ticks.says().to_owned(),
            parts,
        }
    }
}

fn part(the: &Part, ticks: &Ticks) -> SetUpPart {
    SetUpPart {
        title: the.title.clone(),
        says: the.says.clone(),
        refused: the.refused,
        cards: the.cards.iter().map(|the| card(the, ticks)).collect(),
    }
}

fn card(the: &Card, ticks: &Ticks) -> SetUpCard {
    let step = |the: &Step| SetUpStep {
        key: the.key.clone(),
        kind: the.kind.word().to_owned(),
        says: the.says.clone(),
        caution: the.caution.map(str::to_owned),
        done: ticks.has(&the.key),
    };
    let steps: Vec<SetUpStep> = the.steps.iter().map(step).collect();
    SetUpCard { unit: the.unit, title: the.title.clone(), done: steps.iter().all(|step| step.done), steps }
}

fn check_view(check: &Check, sees: Sees) -> CheckView {
    let rig = check.line.rig();
    let standing = |(unit, stands): (&lanthorn_rig::Unit, Standing)| StandingView {
        unit: unit.number,
        stands: stands_word(stands).to_owned(),
    };
    let mut says = vec![check.says.as_str()];
    if check.line.asked().is_some() && !check.resting {
        if sees.blackout {
            says.push("Blackout is on: nothing is seen.");
        } else if sees.master < 0.5 {
            says.push("The master is low: what is lit is faint.");
        }
    }
    CheckView {
        open: !check.resting,
        answered: check.line.count() as u32,
        question: check.line.asked().filter(|_| !check.resting).map(|asked| question(rig, asked)),
        standings: rig.units.iter().zip(check.line.standings()).map(standing).collect(),
        causes: check.line.causes().into_iter().map(cause).collect(),
        says: says.join(" ").trim().to_owned(),
    }
}

const fn stands_word(standing: Standing) -> &'static str {
    match standing {
        Standing::NotAsked => "not asked",
        Standing::Open => "open",
        Standing::Right => "right",
        Standing::Wrong => "wrong",
        Standing::Unreached => "unreached",
    }
}

fn cause(cause: Cause) -> CauseView {
    CauseView {
        units: cause.fault.units(),
        sure: cause.is_sure(),
        or: cause.or.into_iter().map(|(_, says)| says).collect(),
        says: cause.says,
        remedy: cause.remedy,
    }
}

fn question(rig: &Rig, asked: &Asked) -> QuestionView {
    let (kind, about) = match &asked.ask {
        Ask::Lit(lit) => ("lit", lit.clone()),
        Ask::Swing(_, heads) => ("swing", heads.clone()),
        Ask::Power(unit) => ("power", vec![*unit]),
    };
    let light = |place: usize| {
        let expected = asked.expected[place]?;
        let unit = &rig.units[place];
        let others = likely_first(expected).iter().copied().filter(|seen| asked.ask.classes().contains(seen));
        Some(AskedLight {
            unit: unit.number,
            place: rig.room.places.get(unit.place).map_or_else(String::new, |place| place.name.clone()),
            expected: expected.into(),
            choices: std::iter::once(expected).chain(others).map(SeenName::from).collect(),
        })
    };
    QuestionView {
        kind: kind.to_owned(),
        words: asked.words.clone(),
        lights: (0..rig.units.len()).filter_map(light).collect(),
        about: about.iter().map(|place| rig.units[*place].number).collect(),
    }
}

/// What a light may do instead of what it should, by how often it does.
const fn likely_first(expected: Seen) -> &'static [Seen] {
    match expected {
        Seen::White => &[Seen::Dark, Seen::Odd, Seen::Flickers],
        Seen::Dark => &[Seen::White, Seen::Odd, Seen::Flickers],
        Seen::Odd => &[Seen::White, Seen::Dark, Seen::Flickers, Seen::Still, Seen::Left, Seen::Right],
        Seen::Flickers => &[Seen::White, Seen::Dark, Seen::Odd],
        Seen::Left => &[Seen::Right, Seen::Still, Seen::Away, Seen::Towards, Seen::Odd],
        Seen::Right => &[Seen::Left, Seen::Still, Seen::Away, Seen::Towards, Seen::Odd],
        Seen::Away => &[Seen::Towards, Seen::Still, Seen::Left, Seen::Right, Seen::Odd],
        Seen::Towards => &[Seen::Away, Seen::Still, Seen::Left, Seen::Right, Seen::Odd],
        Seen::Still => &[Seen::Left, Seen::Right, Seen::Away, Seen::Towards, Seen::Odd],
        Seen::Powered => &[Seen::Unpowered],
        Seen::Unpowered => &[Seen::Powered],
    }
}

impl From<Seen> for SeenName {
    fn from(seen: Seen) -> Self {
        match seen {
            Seen::Dark => Self::Dark,
            Seen::White => Self::White,
            Seen::Odd => Self::Odd,
            Seen::Flickers => Self::Flickers,
            Seen::Still => Self::Still,
            Seen::Left => Self::Left,
            Seen::Right => Self::Right,
            Seen::Away => Self::Away,
            Seen::Towards => Self::Towards,
            Seen::Powered => Self::Powered,
            Seen::Unpowered => Self::Unpowered,
        }
    }
}

impl From<SeenName> for Seen {
    fn from(seen: SeenName) -> Self {
        match seen {
            SeenName::Dark => Self::Dark,
            SeenName::White => Self::White,
            SeenName::Odd => Self::Odd,
            SeenName::Flickers => Self::Flickers,
            SeenName::Still => Self::Still,
            SeenName::Left => Self::Left,
            SeenName::Right => Self::Right,
            SeenName::Away => Self::Away,
            SeenName::Towards => Self::Towards,
            SeenName::Powered => Self::Powered,
            SeenName::Unpowered => Self::Unpowered,
        }
    }
}
