//! A show: everything that the player needs beside the rig.

use std::collections::BTreeSet;

use lanthorn_physics::colour::Objective;
use lanthorn_rig::Rig;

use crate::follow::{Mood, MusicRule};
use crate::player::compile::lights_of;
use crate::{Chase, Cue, Figure, Look, Score};

/// A show. Names in it are checked against each other and the rig when it is read; the player ignores what it
/// cannot find.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Show {
    /// Its name.
    pub name: String,
    /// In the order of the file.
    pub figures: Vec<Figure>,
    /// In the order of the file.
    pub looks: Vec<Look>,
    /// In the order of the file.
    pub chases: Vec<Chase>,
    /// In the order taken.
    pub cues: Vec<Cue>,
    /// Scored tracks, in the order of the file.
    pub scores: Vec<Score>,
    /// Beats a minute at the start.
    pub tempo: Option<f64>,
    /// How the music is followed.
    pub music: MusicRule,
    /// Looks from which the music picks, in turn, by mood: in the order of [`Mood::ALL`].
    pub moods: [Vec<String>; Mood::ALL.len()],
    /// Look or chase that is on when the show opens.
    pub start: Option<String>,
    /// Looks and chases that have a pad tonight, in order; none: all of them.
    pub tonight: Option<Vec<String>>,
}

impl Show {
    /// The figure of that name.
    pub fn figure(&self, name: &str) -> Option<&Figure> {
        self.figures.iter().find(|figure| figure.name == name)
    }

    /// Place of the look of that name.
    pub fn look_index(&self, name: &str) -> Option<usize> {
        self.looks.iter().position(|look| look.name == name)
    }

    /// Place of the chase of that name.
    pub fn chase_index(&self, name: &str) -> Option<usize> {
        self.chases.iter().position(|chase| chase.name == name)
    }

    /// Places in the rig of the lights that some look wants to render colours as well as they can.
    pub fn lights_rendering_best(&self, rig: &Rig) -> Vec<usize> {
        let parts = self.looks.iter().flat_map(|look| &look.parts);
        let best = parts.filter(|part| part.mixing == Objective::BestRendering);
        let units: BTreeSet<usize> = best.flat_map(|part| lights_of(&part.who, rig)).collect();
        units.into_iter().collect()
    }

    /// Place of the score of that name.
    pub fn score_index(&self, name: &str) -> Option<usize> {
        self.scores.iter().position(|score| score.name == name)
    }

    /// Place of the cue of that number as printed ("4.5").
    pub fn cue_index(&self, number: &str) -> Option<usize> {
        self.cues.iter().position(|cue| cue.number == number.trim())
    }
}
