//! Where along a hanging place lights go, and where they go when it is taken away.

use std::collections::{BTreeMap, BTreeSet};

use lanthorn_physics::units::Metres;
use lanthorn_rig::{HangingPlace, Rig};

use super::addresses::Known;
use super::table::{set_listed, set_plain};
use super::{called, capital};
use crate::change::named::{Kind, find};
use crate::change::sheet::Sheet;
use crate::change::{Refused, opened};
use crate::ink::{number, quoted};

/// How finely lights are placed, metres.
const GRID: f64 = 0.05;

/// To the centimetre.
fn round(metres: f64) -> f64 {
    // Never -0.
    (metres * 100.0).round() / 100.0 + 0.0
}

/// Where along a place so many more lights hang, metres from its middle: evenly, or in the largest gaps between those
/// that hang there.
pub(super) fn spread(rig: &Rig, name: &str, count: usize) -> Vec<f64> {
    let Some(index) = rig.room.places.iter().position(|place| place.name == name) else {
        return vec![0.0; count];
    };
    let half = rig.room.places[index].length.get() / 2.0;
    let mut there: Vec<f64> =
        rig.units.iter().filter(|unit| unit.place == index).map(|unit| unit.offset.get()).collect();
    if half < GRID || there.is_empty() {
        let step = 2.0 * half / count as f64;
        return (0..count).map(|light| round(-half + step * (light as f64 + 0.5))).collect();
    }
    let mut new = Vec::new();
    let cells = ((2.0 * half / GRID).floor() as usize).min(2000);
    for _ in 0..count {
        let mut best = (f64::NEG_INFINITY, 0.0);
        for cell in 0..=cells {
            let at = round(-half + 2.0 * half * cell as f64 / cells as f64);
            // An end of the bar is as good as a light a little further on.
            let end = 2.0 * (half - at.abs()) + GRID;
            let room = there.iter().map(|other| (other - at).abs()).fold(end, f64::min);
            if room > best.0 + 1e-9 {
                best = (room, at);
            }
        }
        there.push(best.1);
        new.push(best.1);
    }
    new.sort_by(f64::total_cmp);
    new
}

/// Takes a hanging place away; its lights go to the nearest other one, as near as can be to where they were.
pub(in crate::change) fn remove(sheet: &mut Sheet, name: &str) -> Result<String, Refused> {
    let name = name.trim();
    find(sheet, Kind::Place, name)?;
    let file = opened(&sheet.text)?;
    let rig = &file.rig;
    let index = rig.room.places.iter().position(|place| place.name == name);
    let on_it: Vec<_> = rig.units.iter().filter(|unit| Some(unit.place) == index).collect();
    let mut went: BTreeMap<&str, Vec<u32>> = BTreeMap::new();
    let mut at = BTreeMap::new();
    for unit in &on_it {
        let here = rig.room.places[unit.place].at(unit.offset);
        let others = rig.room.places.iter().filter(|place| place.name != name);
        let near = others.map(|place| {
            let offset = nearest(place, [here.x(), here.y()]);
            (place.at(Metres::new(offset)).distance(here).get(), place, offset)
        });
        let Some((_, place, offset)) = near.min_by(|a, b| a.0.total_cmp(&b.0)) else {
            return Err(Refused::new(format!(
                "\"{name}\" is the only hanging place and lights hang on it: add another place first"
            )));
        };
        went.entry(&place.name).or_default().push(unit.number);
        at.insert(unit.number, Some(number(round(offset))));
    }
    let known = Known::new(rig);
    let mut says = format!("{} is removed.", Kind::Place.title(name));
    for (place, lights) in went {
        let set: BTreeSet<u32> = lights.iter().copied().collect();
        set_plain(sheet, &known, &set, "place", Some(&quoted(place)))?;
        let is = if lights.len() == 1 { "is" } else { "are" };
        says.push_str(&format!(
            " {} {is} on \"{place}\" now: look at the plan for its load.",
            capital(&called(&lights))
        ));
    }
    set_listed(sheet, &known, "at", &at)?;
    let edit = sheet.remove(&find(sheet, Kind::Place, name)?)?;
    sheet.edit(vec![edit])?;
    Ok(says)
}

/// How far along a place, from its middle, is nearest to a point of the plan.
fn nearest(place: &HangingPlace, [x, y]: [f64; 2]) -> f64 {
    let half = place.length.get().abs() / 2.0;
    let end = place.at(Metres::new(1.0));
    let along = (x - place.middle.x()) * (end.x() - place.middle.x())
        + (y - place.middle.y()) * (end.y() - place.middle.y());
    along.clamp(-half, half)
}
