//! The line check: question after question, until everything that can be told is told.

use std::collections::BTreeMap;

use super::ask::{Answer, Ask, Plan, Seen};
use super::tell::{Cause, Standing, causes, standings};
use super::weigh::{Model, Shown, Weights};
use super::words;
use crate::Rig;

/// A line check of one rig. The same answers always lead to the same questions.
#[derive(Clone, Debug)]
pub struct LineCheck {
    model: Model,
    /// What each question would show, worked out once.
    shown: BTreeMap<Ask, Shown>,
    answered: Vec<(Ask, Shown, Answer)>,
    weights: Weights,
    asked: Option<Asked>,
}

/// The question that is open.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// What is done.
    pub ask: Ask,
    /// What each light does that is set as planned, in the order of [`Rig::units`]; none for those that are not asked
    /// about.
    pub expected: Vec<Option<Seen>>,
    /// In words: "These should be white: 1, 2 and 3. Which do something else?"
    pub words: String,
}

impl LineCheck {
    /// Nothing asked yet but the first question. Takes some milliseconds, as every step does, and up to a second for
    /// sixty lights: not for the tick.
    pub fn new(rig: &Rig) -> Self {
        let model = Model::new(rig);
        let weights = model.weigh(&[]);
        let mut check = Self { model, shown: BTreeMap::new(), answered: Vec::new(), weights, asked: None };
        check.begin_anew();
        check
    }

    /// Forgets every answer: after something was mended.
    pub fn begin_anew(&mut self) {
        self.answered.clear();
        self.weights = self.model.weigh(&[]);
        self.asked = None;
        if !self.model.plan.lit.is_empty() {
            self.ask_for(Ask::Lit(self.model.plan.lit.clone()));
        }
    }

    /// The rig that is checked.
    pub const fn rig(&self) -> &Rig {
        &self.model.rig
    }

    /// What is sent for questions.
    pub const fn plan(&self) -> &Plan {
        &self.model.plan
    }

    /// The open question; none once no question would tell more.
    pub const fn asked(&self) -> Option<&Asked> {
        self.asked.as_ref()
    }

    /// How many questions were answered.
    pub fn count(&self) -> usize {
        self.answered.len()
    }

    /// What was asked and answered, in order.
    pub fn answers(&self) -> impl Iterator<Item = (&Ask, &Answer)> {
        self.answered.iter().map(|(ask, _, answer)| (ask, answer))
    }

    /// Takes the answer to the open question.
    pub fn answer(&mut self, answer: Answer) {
        let Some(Asked { ask, .. }) = self.asked.take() else { return };
        let shown = self.shows(&ask);
        self.answered.push((ask, shown, answer));
        self.weigh_again();
    }

    /// Takes the last answer back: its question is open again. `false` when nothing was answered.
    pub fn back(&mut self) -> bool {
        let Some((ask, ..)) = self.answered.pop() else { return false };
        self.weights = self.model.weigh(&self.answered);
        self.ask_for(ask);
        true
    }

    /// What is likeliest wrong now, most likely first.
    pub fn causes(&self) -> Vec<Cause> {
        causes(&self.model, &self.weights)
    }

    /// How each light stands, in the order of [`Rig::units`].
    pub fn standings(&self) -> Vec<Standing> {
        standings(&self.model, &self.weights, !self.answered.is_empty())
    }

    fn weigh_again(&mut self) {
        self.weights = self.model.weigh(&self.answered);
        let Self { model, shown: kept, weights, answered, .. } = self;
        let asked: Vec<&Ask> = answered.iter().map(|(ask, ..)| ask).collect();
        let best = model.best(weights, &asked, &mut |model, ask| match kept.get(ask) {
            Some(shown) => shown.clone(),
            None => kept.entry(ask.clone()).or_insert(model.shown(ask)).clone(),
        });
        if let Some(ask) = best {
            self.ask_for(ask);
        }
    }

    fn ask_for(&mut self, ask: Ask) {
        let shown = self.shows(&ask);
        let mut expected = self.model.expected(&ask, &shown);
        for (place, seen) in expected.iter_mut().enumerate() {
            let asked_about = match &ask {
                Ask::Lit(_) => self.model.plan.lit.contains(&place),
                Ask::Swing(..) => self.model.plan.stands[place].is_some(),
                Ask::Power(one) => *one == place,
            };
            if !asked_about {
                *seen = None;
            }
        }
        let words = words::question(&self.model.rig, &ask);
        self.asked = Some(Asked { ask, expected, words });
    }

    fn shows(&mut self, ask: &Ask) -> Shown {
        if let Some(shown) = self.shown.get(ask) {
            return shown.clone();
        }
        let shown = self.model.shown(ask);
        self.shown.insert(ask.clone(), shown.clone());
        shown
    }
}
