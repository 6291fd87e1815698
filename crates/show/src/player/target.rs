//! Where a light's spot is wanted: a point, and the figures that run about it.

use lanthorn_physics::Point;

use crate::figure::{Path, Place};

/// The most figures at once: two kept from what was seen, and one of each layer and step that they go over to.
const MOST: usize = 5;

/// So many figures of what was seen go on while a fade leaves them.
const KEPT: usize = 2;

/// Where a spot is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Target {
    /// What it runs about.
    pub at: Point,
    runs: [Run; MOST],
    count: usize,
}

/// One figure of a light, wholly (1) or in part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Run {
    figure: usize,
    place: Place,
    weight: f64,
}

/// The moment for figures: time since the show began, on its own clock, and beats since a bar began.
#[derive(Clone, Copy, Debug)]
pub(super) struct Motion<'p> {
    pub paths: &'p [Path],
    pub secs: f64,
    pub beats: f64,
}

impl Target {
    /// Standing still.
    pub(super) fn still(at: Point) -> Self {
        Self { at, runs: [Run::default(); MOST], count: 0 }
    }

    /// Running a figure (its place in the show) about a point.
    pub(super) fn running(at: Point, figure: usize, place: Place) -> Self {
        let mut target = Self::still(at);
        target.add(Run { figure, place, weight: 1.0 });
        target
    }

    /// The spot at a moment.
    pub(super) fn point(&self, motion: &Motion<'_>) -> Point {
        self.runs().iter().fold(self.at, |at, run| run.moved(at, motion))
    }

    /// On the way to `to`: the points go in a straight line, each figure grows or shrinks. One that both run goes on as
    /// it is, so that only its centre moves.
    pub(super) fn towards(&self, to: &Self, part: f64) -> Self {
        let at = if self.at == to.at { self.at } else { self.at.lerp(to.at, part) };
        let mut between = Self::still(at);
        for run in self.runs() {
            between.add(Run { weight: run.weight * (1.0 - part), ..*run });
        }
        for run in to.runs() {
            between.add(Run { weight: run.weight * part, ..*run });
        }
        between
    }

    /// The same at this moment with so few figures that there is room for others: the slightest stand still from now on.
    pub(super) fn settled(mut self, motion: &Motion<'_>) -> Self {
        while self.count > KEPT {
            let slightest =
                (0..self.count).min_by(|&a, &b| self.runs[a].weight.total_cmp(&self.runs[b].weight));
            let slightest = slightest.unwrap_or_default();
            self.at = self.runs[slightest].moved(self.at, motion);
            self.runs[slightest..self.count].rotate_left(1);
            self.count -= 1;
        }
        self
    }

    /// The same in a show whose figures have other places: `figures` says the new place of each that runs as it did; one
    /// that does not stands still from now on.
    pub(super) fn carried(&self, figures: &[Option<usize>], motion: &Motion<'_>) -> Self {
        let mut carried = Self::still(self.at);
        for run in self.runs() {
            match figures.get(run.figure).copied().flatten() {
                Some(figure) => carried.add(Run { figure, ..*run }),
                None => carried.at = run.moved(carried.at, motion),
            }
        }
        carried
    }

    /// `true` for the same point with the same figures about it.
    pub(super) fn same(&self, other: &Self) -> bool {
        self.at == other.at && self.runs() == other.runs()
    }

    fn runs(&self) -> &[Run] {
        &self.runs[..self.count]
    }

    fn add(&mut self, run: Run) {
        if run.weight <= 0.0 {
            return;
        }
        let same = |known: &&mut Run| known.figure == run.figure && known.place == run.place;
        if let Some(known) = self.runs[..self.count].iter_mut().find(same) {
            known.weight += run.weight;
        } else if self.count < MOST {
            self.runs[self.count] = run;
            self.count += 1;
        }
    }
}

impl Run {
    fn moved(&self, at: Point, motion: &Motion<'_>) -> Point {
        let Some(path) = motion.paths.get(self.figure) else { return at };
        let there = path.around(at, path.rounds(motion.secs, motion.beats), &self.place);
        if self.weight < 1.0 { at.lerp(there, self.weight) } else { there }
    }
}
