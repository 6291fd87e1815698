//! What sighting in has found out about a light, as pages and the command line show it.

use lanthorn_fixture::Encoder;
use lanthorn_physics::Point;
use lanthorn_physics::beam::diameter_at;
use lanthorn_physics::units::Seconds;
use lanthorn_rig::aim::{ASSUMED_TRAVEL_TIME, Head};
use lanthorn_rig::sight::{NotYet, Problem, Solved, SpotAt, enough, next_mark, solve, words};
use lanthorn_rig::{Rig, Run, Unit};

use crate::wire::{SightView, SightingView};

/// Of every light; none for one that cannot follow a spot.
pub(crate) fn views(rig: &Rig) -> Vec<Option<SightingView>> {
    rig.units.iter().map(|unit| view(rig, unit)).collect()
}

/// Of one light.
pub(crate) fn view(rig: &Rig, unit: &Unit) -> Option<SightingView> {
    let problem = Problem::of_unit(rig, unit)?;
    let head = Head::new(rig, unit)?;
    let solved = solve(&problem);
    let known = solved.as_ref().ok();
    let spots = spots(rig, unit, &head);
    let home = head.from_sent(Default::default(), Default::default());
    let near: Vec<SpotAt> =
        spots.iter().filter(|spot| head.solve(spot.at, home).best().is_some()).cloned().collect();
    let points: Vec<Point> = near.iter().map(|spot| spot.at).collect();
    let next_mark = next_mark(&problem, known, &points).map(|index| near[index].name.clone());
    let enough = known.is_some_and(|solved| !solved.twin && enough(solved, &spots));
    let sight = |(index, sight): (usize, &lanthorn_rig::sight::Sight)| {
        let miss = known.and_then(|solved| solved.misses.get(index));
        SightView {
            mark: sight.mark.clone(),
            at: sight.at.into(),
            miss_cm: miss.map(|miss| miss.off.get() * 100.0),
            wrong: miss.is_some_and(|miss| miss.wrong),
        }
    };
    let movement = unit.profile.movement.as_ref()?;
    let found = &unit.found;
    let (pan_time_s, pan_from) = time(found.pan_time, movement.pan_time.value());
    let (tilt_time_s, tilt_from) = time(found.tilt_time, movement.tilt_time.value());
    let expected = |spot: &SpotAt| Some(known?.expected_error(spot.at)?.get() * 100.0);
    Some(SightingView {
        sights: found.sights.iter().enumerate().map(sight).collect(),
        says: says(unit, &problem, solved.as_ref(), &near),
        expected_cm: if known.is_some() { spots.iter().map(expected).collect() } else { Vec::new() },
        spot_cm: spots.iter().map(|spot| Some(spot.radius?.get() * 100.0)).collect(),
        next_mark,
        enough,
        signs: match found.pan_backwards {
            None => "not watched",
            Some(backwards) if backwards == unit.pan_invert => "as the plan says",
            Some(_) => "backwards",
        }
        .to_owned(),
        pan_time_s,
        tilt_time_s,
        times_from: [pan_from, tilt_from].map(str::to_owned),
    })
}

/// A full travel as it counts now, and where it comes from.
fn time(found: Option<Seconds>, profile: Option<Seconds>) -> (Option<f64>, &'static str) {
    match (found, profile) {
        (Some(time), _) => (Some(time.get()), "stopwatch"),
        (None, Some(time)) => (Some(time.get()), "profile"),
        (None, None) => (Some(ASSUMED_TRAVEL_TIME.get()), "assumed"),
    }
}

/// Every mark with the radius of the light's spot there.
fn spots(rig: &Rig, unit: &Unit, head: &Head) -> Vec<SpotAt> {
    let shape = Encoder::new(&unit.profile, unit.mode).beam_shape();
    let spot = |mark: &lanthorn_rig::Mark| SpotAt {
        name: mark.name.clone(),
        at: mark.at,
        radius: shape.map(|shape| diameter_at(head.pivot.distance(mark.at), shape.beam) / 2.0),
    };
    rig.room.marks.iter().map(spot).collect()
}

/// What is known, what is wrong and what to do; most important first.
fn says(unit: &Unit, problem: &Problem, solved: Result<&Solved, &NotYet>, near: &[SpotAt]) -> Vec<String> {
    match unit.run {
        Run::Driven { shares: Some(leader), .. } => vec![format!(
            "It shares the address of light {leader} and moves with it: sight in light {leader}."
        )],
        _ if problem.sights.is_empty() => {
            let needed = match problem.pan_backwards {
                Some(_) => "Not sighted yet: two marks are needed.",
                None => "Not sighted yet: three marks are needed, or two after the sign check.",
            };
            vec![needed.to_owned()]
        }
        _ => words(problem, solved, near),
    }
}
