//! The light level map: lux over the room on a plane, with contour lines of equal light.
//!
//! What counts: every beam of the stand-in, its intensity off its axis, distance and cosine. What does not: shadows of
//! people, furniture, platforms and other lights; light that walls give back; gobo, prism, frost and iris. Flashing light
//! counts as if it stood. A light whose brightness is not known counts as nothing and is told.

mod contour;
mod ramp;
mod sheet;

use lanthorn_physics::beam::Beam;
use lanthorn_physics::units::Metres;
use lanthorn_physics::{Direction, Point};
use lanthorn_rig::Rig;
use lanthorn_rig::shine::Shine;

pub use contour::Contour;
pub use ramp::band_colour;
pub use sheet::{SheetWords, sheet};

use crate::{BeamNow, LightNow};

/// Contours at most: the upper end of a 1-2-5 series.
const MOST_LEVELS: usize = 8;
/// Below this, a map is dark.
const LEAST_LUX: f64 = 1.0;

/// What a map is measured on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MapPlane {
    /// Level, facing up, so high above what one stands on (floor or platform).
    Level {
        /// Above what one stands on.
        height: Metres,
    },
    /// Upright, turned to the audience, so high above what one stands on.
    Face {
        /// Above what one stands on: 1.2 m seated, 1.5 m standing.
        height: Metres,
    },
}

/// Light over the room.
#[derive(Clone, Debug, PartialEq)]
pub struct LuxMap {
    /// What it is measured on.
    pub plane: MapPlane,
    /// Left and near end of the room, metres.
    pub from: [f64; 2],
    /// From point to point, metres.
    pub step: f64,
    /// How many points to the right and away.
    pub count: [usize; 2],
    /// Row by row from the near end, lux.
    pub lux: Vec<f64>,
    /// Light levels with a contour, ascending: a 1-2-5 series.
    pub levels: Vec<f64>,
    /// Their lines.
    pub contours: Vec<Contour>,
    /// The most light of any point of the grid, and where.
    pub most: (f64, Point),
    /// At each mark of the room, on the same surface through the mark itself: name, place, lux.
    pub marks: Vec<(String, Point, f64)>,
    /// Lit lights whose brightness is not known: they are missing.
    pub unknown: Vec<u32>,
    /// Lit lights whose brightness is not stated by their maker.
    pub assumed: Vec<u32>,
    /// Lit lights whose beam angles are those that such lights usually have.
    pub assumed_shape: Vec<u32>,
    /// How many lights are lit.
    pub lit: usize,
}

impl MapPlane {
    /// Above what one stands on.
    pub const fn height(self) -> Metres {
        match self {
            Self::Level { height } | Self::Face { height } => height,
        }
    }

    fn normal(self) -> Option<Direction> {
        match self {
            Self::Level { .. } => Some(Direction::UP),
            Self::Face { .. } => Direction::new(0.0, -1.0, 0.0),
        }
    }

    /// "the floor", "a level plane 1.0 m up", "faces at 1.5 m, turned to the audience".
    pub fn words(self) -> String {
        match self {
            Self::Level { height } if height.get().abs() < 0.005 => "floor and platforms".to_owned(),
            Self::Level { height } => format!("level surfaces {height:.1} above floor and platforms"),
            Self::Face { height } => {
                format!("faces {height:.1} above floor and platforms, turned to the audience")
            }
        }
    }
}

impl LuxMap {
    /// Maps what lights show, with about `across` points over the longer side of the room (8 to 400).
    pub fn new(lights: &[LightNow], rig: &Rig, plane: MapPlane, across: usize) -> Self {
        let (x, y) = (rig.room.x.map(Metres::get), rig.room.y.map(Metres::get));
        let sides = [(x[1] - x[0]).abs().max(0.1), (y[1] - y[0]).abs().max(0.1)];
        let across = across.clamp(8, 400);
        let step = sides[0].max(sides[1]) / across as f64;
        // Rounded, so that the last point lies on the wall where it can.
        let count = sides.map(|side| ((side / step).round() as usize).max(2) + 1);
        let from = [x[0].min(x[1]), y[0].min(y[1])];
        let lit: Vec<&LightNow> =
            lights.iter().filter(|light| light.heads.iter().any(|beam| beam.level > 1e-3)).collect();
        let beams: Vec<Beam<'_>> = lit
            .iter()
            .flat_map(|light| &light.heads)
            .filter(|beam| beam.level > 1e-3)
            .filter_map(BeamNow::ready)
            .collect();
        let mut lux = Vec::with_capacity(count[0] * count[1]);
        let mut most = (0.0, Point::new(from[0], from[1], 0.0));
        for row in 0..count[1] {
            for column in 0..count[0] {
                let at = on_plane(rig, plane, from[0] + column as f64 * step, from[1] + row as f64 * step);
                let value = light_at(&beams, at, plane);
                if value > most.0 {
                    most = (value, at);
                }
                lux.push(value);
            }
        }
        let levels = series(most.0);
        let contours =
            levels.iter().flat_map(|level| contour::lines(&lux, count, from, step, *level)).collect();
        let marks = &rig.room.marks;
        let told = |tell: &dyn Fn(&LightNow) -> bool| {
            lit.iter().filter(|light| tell(light)).map(|light| light.number).collect()
        };
        let guessed = |light: &LightNow| {
            let unit = rig.unit(light.number);
            let shine = unit.and_then(|unit| Shine::new(rig, unit));
            shine.is_some_and(|shine| shine.peak.is_some() && shine.assumed)
        };
        Self {
            marks: marks.iter().map(|m| (m.name.clone(), m.at, light_at(&beams, m.at, plane))).collect(),
            unknown: told(&|light| light.heads.iter().any(|beam| beam.candela.is_none())),
            assumed: told(&guessed),
            assumed_shape: told(&|light| light.heads.iter().any(|beam| beam.shape_assumed)),
            lit: lit.len(),
            plane,
            from,
            step,
            count,
            lux,
            levels,
            contours,
            most,
        }
    }

    /// Which band a light level falls in: 0 below the first contour, 1 between the first and the second, …
    pub fn band(&self, lux: f64) -> usize {
        self.levels.partition_point(|level| *level <= lux)
    }

    /// For each row of cells from the near end: band and how many cells of it follow each other. A cell lies about its point.
    pub fn runs(&self) -> Vec<Vec<(usize, usize)>> {
        let row = |points: &[f64]| {
            let mut runs: Vec<(usize, usize)> = Vec::new();
            for lux in points {
                let band = self.band(*lux);
                match runs.last_mut() {
                    Some((of, count)) if *of == band => *count += 1,
                    _ => runs.push((band, 1)),
                }
            }
            runs
        };
        self.lux.chunks(self.count[0].max(1)).map(row).collect()
    }

    /// What must be said with the map: what it leaves out, and how sure it is. One sentence each.
    pub fn caution(&self) -> Vec<String> {
        let mut said = vec![
            "Reckoned, not measured: nothing in the room shades or reflects; gobo, prism, frost and iris do not count."
                .to_owned(),
        ];
        if !self.unknown.is_empty() {
            said.push(format!("Missing, because nobody knows their brightness: {}.", lights(&self.unknown)));
        }
        if !self.assumed.is_empty() {
            said.push(format!(
                "Brightness derived or guessed, not stated by the maker: {}.",
                lights(&self.assumed)
            ));
        }
        if !self.assumed_shape.is_empty() {
            said.push(format!("Beam angle as such lights usually have it: {}.", lights(&self.assumed_shape)));
        }
        said.push(
            "Expect a third more or less (common practice, no source); measure what matters. No claim about escape light."
                .to_owned(),
        );
        said
    }
}

/// "light 3", "lights 3, 5, 6".
fn lights(numbers: &[u32]) -> String {
    let list: Vec<String> = numbers.iter().map(u32::to_string).collect();
    format!("{} {}", if list.len() == 1 { "light" } else { "lights" }, list.join(", "))
}

fn on_plane(rig: &Rig, plane: MapPlane, x: f64, y: f64) -> Point {
    let floor = rig.room.floor_under(Point::new(x, y, rig.room.height.get()));
    Point::new(x, y, floor.get() + plane.height().get())
}

fn light_at(beams: &[Beam<'_>], at: Point, plane: MapPlane) -> f64 {
    let Some(normal) = plane.normal() else { return 0.0 };
    beams.iter().map(|beam| beam.lux_on(at, normal).get()).sum()
}

/// 1, 2, 5, 10 … below the most light there is, at most [`MOST_LEVELS`] of them, none below [`LEAST_LUX`].
fn series(most: f64) -> Vec<f64> {
    let mut levels = Vec::new();
    let mut decade = LEAST_LUX;
    while decade < most && decade < 1e7 {
        levels.extend([1.0, 2.0, 5.0].map(|step| decade * step).into_iter().filter(|level| *level < most));
        decade *= 10.0;
    }
    let skip = levels.len().saturating_sub(MOST_LEVELS);
    levels.split_off(skip)
}

#[cfg(test)]
mod tests;
