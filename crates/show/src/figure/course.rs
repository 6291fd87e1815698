//! The whole course of one light in one look, to be looked at beforehand: does it stay in the room, can a head follow?

use std::sync::Arc;

use lanthorn_physics::Point;
use lanthorn_rig::Rig;

use super::{Path, Place};
use crate::player::{aim_point, lights_of};
use crate::{Figure, Look, Part, Show};

/// Where the spot of one light runs in one look.
#[derive(Clone, Debug, PartialEq)]
pub struct Course<'s> {
    /// The light's place in the rig.
    pub unit: usize,
    /// The figure.
    pub figure: &'s Figure,
    /// What it runs about.
    pub centre: Point,
    path: Arc<Path>,
    place: Place,
}

impl<'s> Course<'s> {
    /// Of every light that a look lets run a figure, in the order of the look. A later part wins for a light that two
    /// parts name.
    pub fn of_look(look: &Look, show: &'s Show, rig: &Rig) -> Vec<Self> {
        let mut courses: Vec<Self> = Vec::new();
        for part in &look.parts {
            let group = lights_of(&part.who, rig);
            courses.retain(|earlier| !group.contains(&earlier.unit));
            if let Some(figure) = part.figure.as_deref().and_then(|name| show.figure(name)) {
                courses.extend(Self::of_part(part, figure, rig));
            }
        }
        courses
    }

    /// Of every light of one part; none where there is nothing to run about.
    pub fn of_part(part: &Part, figure: &'s Figure, rig: &Rig) -> Vec<Self> {
        let Some(aim) = figure.centre.as_ref().or(part.aim.as_ref()) else { return Vec::new() };
        let group = lights_of(&part.who, rig);
        let path = Arc::new(Path::new(figure));
        let last = group.len().saturating_sub(1).max(1) as f64;
        let course = |(index, &unit): (usize, &usize)| {
            let centre = aim_point(aim, rig, index as f64 / last)?;
            let place = Place::new(figure, index, group.len(), rig.units[unit].number);
            Some(Self { unit, figure, centre, path: Arc::clone(&path), place })
        };
        group.iter().enumerate().filter_map(course).collect()
    }

    /// Where the spot is after so many rounds.
    pub fn at(&self, rounds: f64) -> Point {
        self.path.around(self.centre, rounds, &self.place)
    }

    /// Seconds a round at so many seconds a beat; `None` when it stands still.
    pub fn round_secs(&self, beat_secs: f64) -> Option<f64> {
        self.path.round_secs(beat_secs)
    }

    /// One round as so many points, at equal times.
    pub fn points(&self, count: usize) -> impl Iterator<Item = Point> + '_ {
        (0..count).map(move |point| self.at(point as f64 / count as f64))
    }
}
