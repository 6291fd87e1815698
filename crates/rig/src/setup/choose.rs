//! Which question tells most.
//!
//! For each question it is reckoned how much what may be seen of each light would tell of that light (the mutual
//! information between what is seen and what is the case), in bits; summed over the lights. A cause that lights have in
//! common is counted for each of them: that prefers questions which show it on many lights, and does no harm.

use super::ask::{Ask, AxisAsked};
use super::cases::Condition;
use super::stand::Said;
use super::weigh::{Model, Shown, Spread, Weights};

/// A question that tells less than this of all lights together is not worth an answer.
const LEAST_BITS: f64 = 0.02;
/// After so many questions a person has had enough of them: each further one must tell so much more.
const PATIENCE: usize = 6;
const IMPATIENCE_BITS: f64 = 0.03;
/// No run asks more, and for each eight lights above twenty one more.
const MOST_QUESTIONS: usize = 12;
/// Of two that tell as much the one with fewer lights to look at: bits a light.
const EASE: f64 = 1e-4;
/// No more lights than this are asked about one at a time before it is known what is wrong.
const MOST_CANDIDATES: usize = 90;

impl Model {
    /// Every question that may be worth asking, simple ones first.
    pub(crate) fn candidates(&self, weights: &Weights) -> Vec<Ask> {
        let mut asks = vec![Ask::Lit(self.plan.lit.clone())];
        asks.extend(self.halves(&self.plan.lit).into_iter().map(Ask::Lit));
        for axis in AxisAsked::BOTH {
            let heads = self.plan.heads(axis);
            if !heads.is_empty() {
                asks.push(Ask::Swing(axis, heads.clone()));
            }
        }
        // One at a time where something is not known, and whatever it may be mistaken for.
        let unsure: Vec<usize> =
            self.plan.lit.iter().copied().filter(|at| self.unsure(weights, *at) > 0.05).collect();
        let suspects = self.suspects(weights, &unsure);
        let pan = self.plan.heads(AxisAsked::Pan);
        for place in suspects {
            asks.push(Ask::Lit(vec![place]));
            if pan.contains(&place) {
                asks.push(Ask::Swing(AxisAsked::Pan, vec![place]));
            }
        }
        for axis in [AxisAsked::Pan, AxisAsked::Tilt] {
            asks.extend(self.halves(&self.plan.heads(axis)).into_iter().map(|half| Ask::Swing(axis, half)));
        }
        asks.extend(unsure.iter().map(|place| Ask::Power(*place)));
        let mut once = Vec::new();
        for ask in asks {
            if !once.contains(&ask) {
                once.push(ask);
            }
        }
        once.truncate(MOST_CANDIDATES);
        once
    }

    /// Halves by each bit of a light's place among those of its kind, and along all; and the other half of each.
    fn halves(&self, of: &[usize]) -> Vec<Vec<usize>> {
        let kind = |place: usize| (&self.rig.units[place].profile.name, self.rig.units[place].mode);
        let among = |at: usize| of[..at].iter().filter(|other| kind(**other) == kind(of[at])).count();
        let ranks: [Vec<usize>; 2] = [(0..of.len()).map(among).collect(), (0..of.len()).collect()];
        let mut halves = Vec::new();
        for rank in &ranks {
            let most = rank.iter().copied().max().unwrap_or(0);
            for bit in (0..usize::BITS).take_while(|bit| (most >> bit) > 0) {
                for wanted in [1, 0] {
                    let chosen = rank.iter().zip(of).filter(|(rank, _)| (*rank >> bit) & 1 == wanted);
                    halves.push(chosen.map(|(_, place)| *place).collect());
                }
            }
        }
        halves
    }

    fn unsure(&self, weights: &Weights, place: usize) -> f64 {
        1.0 - weights.settings[place].iter().copied().fold(0.0, f64::max)
    }

    /// Lights that are not known, and lights at whose addresses those may answer.
    fn suspects(&self, weights: &Weights, unsure: &[usize]) -> Vec<usize> {
        let mut suspects = unsure.to_vec();
        for place in unsure {
            for ((setting, _), weight) in self.cases.settings[*place].iter().zip(&weights.settings[*place]) {
                if let super::Setting::Hears { at: Some(at), .. } = setting
                    && *weight > 0.02
                {
                    let lit = self.plan.lit.iter().copied();
                    suspects.extend(lit.filter(|other| self.rig.units[*other].address() == Some(*at)));
                }
            }
        }
        suspects.sort_unstable();
        suspects.dedup();
        suspects
    }

    /// How much a question would tell, bits.
    pub(crate) fn information(&self, ask: &Ask, shown: &Shown, weights: &Weights) -> f64 {
        let lights = match ask {
            Ask::Power(place) => vec![*place],
            Ask::Lit(_) => self.plan.lit.clone(),
            Ask::Swing(..) => {
                self.plan.lit.iter().copied().filter(|at| self.plan.stands[*at].is_some()).collect()
            }
        };
        lights.iter().map(|place| self.of_one(ask, shown, weights, *place)).sum()
    }

    fn of_one(&self, ask: &Ask, shown: &Shown, weights: &Weights, place: usize) -> f64 {
        let mut mean = [0.0; 6];
        let mut within = 0.0;
        for (index, condition) in Condition::ALL.into_iter().enumerate() {
            let part = weights.conditions[place][index];
            if part < 1e-4 {
                continue;
            }
            // Few settings show anything of their own.
            let mut parts: Vec<(Said, f64)> = Vec::new();
            for (weight, said) in weights.given[place][index].iter().zip(&shown[place]) {
                match parts.iter_mut().find(|(other, _)| other == said) {
                    Some((_, sum)) => *sum += weight,
                    None => parts.push((*said, *weight)),
                }
            }
            for (said, weight) in parts {
                let spread = self.spread(place, ask, said, condition);
                let weight = weight * part;
                mean.iter_mut().zip(spread).for_each(|(mean, likely)| *mean += likely * weight);
                within += weight * bits(&spread);
            }
        }
        (bits(&mean) - within).max(0.0)
    }

    /// The question that tells most of those that were not asked yet; none when none tells enough.
    pub(crate) fn best(
        &mut self,
        weights: &Weights,
        asked: &[&Ask],
        shown: &mut impl FnMut(&mut Self, &Ask) -> Shown,
    ) -> Option<Ask> {
        if asked.len() >= MOST_QUESTIONS + self.plan.lit.len().saturating_sub(20) / 8 {
            return None;
        }
        let mut best: Option<(Ask, f64)> = None;
        for ask in self.candidates(weights) {
            if asked.contains(&&ask) {
                continue;
            }
            let shows = shown(self, &ask);
            let lights = match &ask {
                Ask::Lit(lit) | Ask::Swing(_, lit) => lit.len() as f64,
                Ask::Power(_) => 1.0,
            };
            let tells = self.information(&ask, &shows, weights) - EASE * lights;
            if best.as_ref().is_none_or(|(_, most)| tells > most + 1e-9) {
                best = Some((ask, tells));
            }
        }
        let least = LEAST_BITS + IMPATIENCE_BITS * asked.len().saturating_sub(PATIENCE) as f64;
        best.filter(|(_, tells)| *tells >= least).map(|(ask, _)| ask)
    }
}

/// Entropy of a spread.
fn bits(spread: &Spread) -> f64 {
    spread.iter().filter(|part| **part > 0.0).map(|part| -part * libm::log2(*part)).sum()
}
