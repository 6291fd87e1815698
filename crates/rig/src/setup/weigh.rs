//! How likely everything is after what was seen.
//!
//! What one light does depends on how it is set and on what concerns many lights at once (a broken line, a dead circuit).
//! Given the latter, lights are apart from each other: so every combination of faults of single lights is weighed, not
//! only one or two at a time, and of causes in common none, one or two.

use std::collections::BTreeMap;
use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::decode::Reading;

use super::ask::{Answer, Ask, Plan, Seen, Sent};
use super::cases::{Cases, Condition};
use super::stand::{Said, Setting, deaf, heads, reads, says};
use crate::aim::Head;
use crate::{Drive, Rig};

/// A person who looks at one light among many says something else than it does as often as this.
const MISTAKEN: f64 = 0.03;
/// A light that hears with gaps is seen to flicker as often as this.
const FLICKERS: f64 = 0.7;

/// How likely each thing is that may be seen, in the order of [`Ask::classes`].
pub(crate) type Spread = [f64; 6];

/// What is known of one rig, and what follows for one light after the other.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    pub(crate) rig: Rig,
    pub(crate) plan: Plan,
    pub(crate) cases: Cases,
    drive: Drive,
    sent: Sent,
    heads: Vec<[Option<Head>; 4]>,
    /// For each light the first one of its kind.
    kinds: Vec<usize>,
    /// For each combination of common causes what it makes of each light, as places in [`Condition::ALL`].
    conditions: Vec<Vec<u8>>,
}

/// What a question would show of each light for each setting that it may have, where it hears well.
pub(crate) type Shown = Vec<Vec<Said>>;

/// How likely everything is.
#[derive(Clone, Debug)]
pub(crate) struct Weights {
    /// Of each combination of common causes.
    pub(crate) together: Vec<f64>,
    /// Of each light each condition.
    pub(crate) conditions: Vec<[f64; 5]>,
    /// Of each light each setting, for each condition: how likely, given that condition.
    pub(crate) given: Vec<[Vec<f64>; 5]>,
    /// Of each light each setting.
    pub(crate) settings: Vec<Vec<f64>>,
}

impl Model {
    pub(crate) fn new(rig: &Rig) -> Self {
        let plan = Plan::new(rig);
        let cases = Cases::new(rig, &plan);
        let heads =
            rig.units.iter().enumerate().map(|(place, unit)| heads(rig, unit, &plan, place)).collect();
        let of = |together: &Vec<usize>| {
            (0..rig.units.len()).map(|place| cases.condition(rig, together, place) as u8).collect()
        };
        let kinds = rig.units.iter().map(|unit| {
            rig.units.iter().position(|other| Arc::ptr_eq(&other.profile, &unit.profile)).unwrap_or_default()
        });
        let conditions = cases.together.iter().map(|(together, _)| of(together)).collect();
        Self {
            drive: Drive::new(rig),
            rig: rig.clone(),
            plan,
            heads,
            kinds: kinds.collect(),
            conditions,
            cases,
            sent: Sent::default(),
        }
    }

    /// What a question would show.
    pub(crate) fn shown(&mut self, ask: &Ask) -> Shown {
        let all: Vec<usize> = self.plan.lit.clone();
        let right = self.sent.of(&self.plan, &self.rig, &self.drive, &Ask::Lit(all)).clone();
        let frames = self.sent.of(&self.plan, &self.rig, &self.drive, ask).clone();
        // Lights of one kind read the same from the same place.
        let mut known: BTreeMap<(usize, usize, Option<Address>), [Reading; 2]> = BTreeMap::new();
        let mut shown: Shown = Vec::new();
        for (place, unit) in self.rig.units.iter().enumerate() {
            let lit = reads(unit, unit.mode, unit.address(), &right[0]);
            let says_of = |(setting, _): &(Setting, f64)| {
                let (at, mode) = match setting {
                    Setting::Hears { at, mode, .. } => (*at, *mode),
                    _ => (unit.address(), unit.mode),
                };
                let read = known.entry((self.kinds[place], mode, at)).or_insert_with(|| match ask {
                    Ask::Lit(_) => [reads(unit, mode, at, &frames[0]), Reading::default()],
                    Ask::Swing(..) => [0, 1].map(|end| reads(unit, mode, at, &frames[end])),
                    Ask::Power(_) => <[Reading; 2]>::default(),
                });
                says((*setting, &self.heads[place]), ask, read, &lit)
            };
            shown.push(self.cases.settings[place].iter().map(says_of).collect());
        }
        shown
    }

    /// What a light that is set as planned does.
    pub(crate) fn expected(&self, ask: &Ask, shown: &Shown) -> Vec<Option<Seen>> {
        let first = |said: &Said| ask.classes().iter().copied().find(|class| said.may_be(*class));
        shown.iter().map(|settings| settings.first().and_then(first)).collect()
    }

    /// How likely each thing is seen of a light with what a setting shows, in a condition.
    pub(crate) fn spread(&self, place: usize, ask: &Ask, said: Said, condition: Condition) -> Spread {
        match condition {
            Condition::Hears => spread(ask, said),
            Condition::Deaf => {
                let [one, other] = deaf(&self.rig.units[place], ask).map(|said| spread(ask, said));
                std::array::from_fn(|class| (one[class] + other[class]) / 2.0)
            }
            Condition::Off => match ask {
                Ask::Lit(_) => spread(ask, Said::surely(Seen::Dark)),
                Ask::Swing(..) => spread(ask, Said::surely(Seen::Still)),
                Ask::Power(_) => spread(ask, Said::surely(Seen::Unpowered)),
            },
            Condition::Plays => match ask {
                Ask::Lit(_) => spread(ask, Said::surely(Seen::Odd)),
                Ask::Swing(..) => spread(ask, Said::either(Seen::Odd, Seen::Still)),
                Ask::Power(_) => spread(ask, Said::surely(Seen::Powered)),
            },
            Condition::Disturbed => {
                let well = spread(ask, said);
                let Ask::Lit(_) = ask else { return well };
                let wild = spread(ask, Said::surely(Seen::Flickers));
                std::array::from_fn(|class| wild[class] * FLICKERS + well[class] * (1.0 - FLICKERS))
            }
        }
    }

    /// Weighs everything by what was answered.
    pub(crate) fn weigh(&self, answered: &[(Ask, Shown, Answer)]) -> Weights {
        let lights = self.rig.units.len();
        let mut given: Vec<[Vec<f64>; 5]> = Vec::with_capacity(lights);
        let mut sums = vec![[1.0; 5]; lights];
        for place in 0..lights {
            let settings = &self.cases.settings[place];
            let mut of = [(); 5].map(|()| settings.iter().map(|(_, prior)| *prior).collect::<Vec<f64>>());
            let mut of_deaf = [1.0; 2];
            for (ask, shown, Answer(seen)) in answered {
                let Some(seen) = seen.get(place).copied().flatten() else { continue };
                let Some(class) = ask.classes().iter().position(|class| *class == seen) else { continue };
                let said = deaf(&self.rig.units[place], ask);
                of_deaf.iter_mut().zip(said).for_each(|(likely, said)| *likely *= spread(ask, said)[class]);
                for (condition, weights) in Condition::ALL.into_iter().zip(&mut of) {
                    if condition == Condition::Deaf {
                        continue;
                    }
                    // Few settings show anything of their own.
                    let mut known: Vec<(Said, f64)> = Vec::new();
                    for (weight, said) in weights.iter_mut().zip(&shown[place]) {
                        let likely = match known.iter().find(|(other, _)| other == said) {
                            Some((_, likely)) => *likely,
                            None => {
                                let likely = self.spread(place, ask, *said, condition)[class];
                                known.push((*said, likely));
                                likely
                            }
                        };
                        *weight *= likely;
                    }
                }
            }
            let deaf = (of_deaf[0] + of_deaf[1]) / 2.0;
            of[Condition::Deaf as usize].iter_mut().for_each(|weight| *weight *= deaf);
            for (sum, weights) in sums[place].iter_mut().zip(&mut of) {
                if !settings.is_empty() {
                    *sum = weights.iter().sum();
                    let scale = if *sum > 0.0 { 1.0 / *sum } else { 0.0 };
                    weights.iter_mut().for_each(|weight| *weight *= scale);
                }
            }
            given.push(of);
        }
        let together = self.together(&sums);
        let mut conditions = vec![[0.0; 5]; lights];
        for (weight, of) in together.iter().zip(&self.conditions) {
            for (place, condition) in of.iter().enumerate() {
                conditions[place][usize::from(*condition)] += weight;
            }
        }
        let settings = given.iter().zip(&conditions).map(|(given, conditions)| {
            let mut all = vec![0.0; given[0].len()];
            for (weights, part) in given.iter().zip(conditions) {
                all.iter_mut().zip(weights).for_each(|(all, weight)| *all += weight * part);
            }
            all
        });
        Weights { together, settings: settings.collect(), conditions, given }
    }

    fn together(&self, sums: &[[f64; 5]]) -> Vec<f64> {
        let logs: Vec<f64> = self
            .cases
            .together
            .iter()
            .zip(&self.conditions)
            .map(|((_, prior), of)| {
                let lights =
                    of.iter().enumerate().map(|(place, condition)| sums[place][usize::from(*condition)]);
                libm::log(*prior) + lights.map(|sum| libm::log(sum.max(1e-300))).sum::<f64>()
            })
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut weights: Vec<f64> = logs.iter().map(|log| libm::exp(log - most)).collect();
        let all: f64 = weights.iter().sum();
        weights.iter_mut().for_each(|weight| *weight /= all);
        weights
    }
}

/// What is said, with what a person may mistake it for.
fn spread(ask: &Ask, said: Said) -> Spread {
    let classes = ask.classes();
    let other = MISTAKEN / (classes.len() as f64 - 1.0);
    let mut spread = [0.0; 6];
    for (class, likely) in classes.iter().zip(&mut spread) {
        let part = if said.may_be(*class) { 1.0 / f64::from(said.count().max(1)) } else { 0.0 };
        *likely = part * (1.0 - MISTAKEN) + (1.0 - part) * other;
    }
    spread
}
