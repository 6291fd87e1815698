//! How the lights of the stand-in really hang, when that is not as the show believes: to practise sighting in at the
//! kitchen table.

use std::sync::Arc;

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use lanthorn_rehearsal::planted;
use lanthorn_rig::aim::Head;
use lanthorn_rig::setup::Fault;
use lanthorn_rig::sight::Pose;
use lanthorn_rig::{Found, Rig};

/// Most that a head leans otherwise than planned, and most that it hangs elsewhere.
const MOST_LEAN: Radians = Radians::from_deg(7.0);
const MOST_AWAY: Metres = Metres::new(0.15);
/// How many heads run pan backwards: one in so many.
const BACKWARDS: u64 = 3;

/// The stand-in's lights as another show file has them hang. They are told by the show that is open: modes and
/// addresses are its own.
pub(crate) fn as_in(believed: &Rig, mut other: Rig, name: &str) -> Result<Rig, String> {
    let listed = |rig: &Rig| {
        let numbers: Vec<String> = rig.units.iter().map(|unit| unit.number.to_string()).collect();
        numbers.join(", ")
    };
    if believed.units.iter().map(|unit| unit.number).ne(other.units.iter().map(|unit| unit.number)) {
        return Err(format!(
            "--stand-in {name}: it has the lights {}, the show has {}; both must have the same numbers",
            listed(&other),
            listed(believed)
        ));
    }
    for (unit, there) in believed.units.iter().zip(&mut other.units) {
        if unit.profile.name != there.profile.name {
            return Err(format!(
                "--stand-in {name}: light {} is a \"{}\" there and a \"{}\" in the show; both must be of the same kind",
                unit.number, there.profile.name, unit.profile.name
            ));
        }
        let alike = own_mode(there, unit);
        if let Some(mode) = alike {
            there.mode = mode;
        } else {
            (there.profile, there.mode) = (unit.profile.clone(), unit.mode);
        }
        there.run = unit.run.clone();
    }
    Ok(other)
}

/// A light that the other file describes otherwise does as it says there, in the mode of the same name, if that takes as many
/// channels: its place there.
fn own_mode(there: &lanthorn_rig::Unit, believed: &lanthorn_rig::Unit) -> Option<usize> {
    let wanted = believed.mode();
    let same =
        |mode: &lanthorn_fixture::Mode| mode.name == wanted.name && mode.footprint() == wanted.footprint();
    there.profile.modes.iter().position(same).filter(|_| there.profile.name == believed.profile.name)
}

/// The stand-in's lights hung askew, the same for the same seed: every head up to seven degrees and 15 cm otherwise
/// than planned, and some with pan running backwards. And what was done to each, a line for each head.
pub(crate) fn askew(believed: &Rig, seed: u64) -> (Rig, Vec<String>) {
    let mut rig = believed.clone();
    let mut dice = Dice(seed);
    let mut lines = Vec::new();
    for index in 0..rig.units.len() {
        // What was found out before must not move the lights.
        rig.units[index].found = Found::default();
        let Some(planned) = Head::new(&rig, &rig.units[index]).map(|head| head.pose()) else { continue };
        let (lean, away) = (MOST_LEAN * dice.part(), MOST_AWAY * dice.part());
        let about = dice.direction();
        let pivot = planned.pivot.along(dice.direction(), away);
        let backwards = dice.next().is_multiple_of(BACKWARDS);
        let mut pan = planned.pan;
        pan.inverted = pan.inverted != backwards;
        let world_from_fixture = planned.world_from_fixture.then(turn(about, lean));
        let pose = Pose { pivot: inside(&rig, pivot), world_from_fixture, pan, tilt: planned.tilt };
        rig.units[index].found.pose = Some(pose);
        lines.push(format!(
            "light {}: {:.1}° and {:.0} cm off{}",
            rig.units[index].number,
            lean.deg(),
            planned.pivot.distance(pose.pivot).get() * 100.0,
            if backwards { ", pan runs backwards" } else { "" }
        ));
    }
    (rig, lines)
}

/// The faults that `--faults` asks for: in words, or three by a seed.
pub(crate) fn faults(text: &str, believed: &Rig) -> Result<Vec<Fault>, String> {
    let seed = text.trim().strip_prefix("random").map(|seed| seed.trim_start_matches(':').trim());
    match seed {
        Some("") => Ok(planted::random(believed, 1)),
        Some(seed) => {
            let seed = seed
                .parse()
                .map_err(|_| format!("--faults {text}: the seed is a whole number, as in random:7"))?;
            Ok(planted::random(believed, seed))
        }
        None => planted::parse(text, believed).map_err(|why| format!("--faults: {why}")),
    }
}

/// The stand-in's lights when another rig takes the place of the one that is believed: a head that is planned as it was
/// hangs as it did, every other light as it is believed to.
pub(crate) fn follow(truth: &Rig, before: &Rig, believed: &Rig) -> Rig {
    let mut rig = believed.clone();
    for unit in &mut rig.units {
        let hung = before.unit(unit.number).zip(truth.unit(unit.number));
        let Some((was, hung)) = hung else { continue };
        let set = |unit: &lanthorn_rig::Unit| (unit.profile.clone(), unit.mode, unit.run.clone(), unit.swap);
        let as_before = set(was) == set(unit);
        let other = !Arc::ptr_eq(&hung.profile, &was.profile);
        let (was, is) = (planned(before, was), planned(believed, unit));
        if let Some(head) = Head::new(truth, hung).filter(|_| was.is_some() && was == is) {
            unit.found = Found { pose: Some(head.pose()), ..Found::default() };
        }
        // What it really is does not follow what its kind is believed to do.
        if other && let Some(mode) = own_mode(hung, unit) {
            (unit.profile, unit.mode) = (hung.profile.clone(), mode);
        }
        // A light that is planned to be set as it was stays set as it really is.
        if as_before && !other {
            (unit.mode, unit.run, unit.swap) = (hung.mode, hung.run.clone(), hung.swap);
        }
    }
    rig
}

/// A head as the plan has it.
fn planned(rig: &Rig, unit: &lanthorn_rig::Unit) -> Option<Head> {
    Head::new(rig, &lanthorn_rig::Unit { found: Found::default(), ..unit.clone() })
}

/// A turn about an axis of the world: the axis is led to Z and back.
fn turn(about: Direction, angle: Radians) -> Rotation {
    let up = Rotation::between(about, Direction::UP);
    up.then(Rotation::about_z(angle)).then(up.inverse())
}

/// No light hangs in a wall.
fn inside(rig: &Rig, at: Point) -> Point {
    let clamp = |value: f64, [low, high]: [Metres; 2]| value.clamp(low.get(), high.get());
    let room = &rig.room;
    let height = [Metres::ZERO, room.height];
    Point::new(clamp(at.x(), room.x), clamp(at.y(), room.y), clamp(at.z(), height))
}

/// Random numbers of a seed (SplitMix64).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `most`.
    #[cfg(test)]
    pub(crate) fn below(&mut self, most: usize) -> usize {
        self.next() as usize % most.max(1)
    }

    /// 0 to 1.
    fn part(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn direction(&mut self) -> Direction {
        loop {
            let [x, y, z] = [(); 3].map(|()| self.part() * 2.0 - 1.0);
            if x * x + y * y + z * z <= 1.0
                && let Some(direction) = Direction::new(x, y, z)
            {
                return direction;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_hang_askew_by_the_seed_alone() {
        let believed = lanthorn_store::demo().unwrap().rig;
        let (rig, lines) = askew(&believed, 7);
        assert_eq!((rig.clone(), lines.clone()), askew(&believed, 7));
        assert_ne!(rig, askew(&believed, 8).0);
        assert_eq!(lines.len(), 6, "{lines:?}");
        let mut backwards = 0;
        let mut farthest = 0.0_f64;
        for seed in 0..50 {
            let (rig, _) = askew(&believed, seed);
            for (unit, hung) in believed.units.iter().zip(&rig.units) {
                let (Some(plan), Some(pose)) = (Head::new(&believed, unit), hung.found.pose) else {
                    assert_eq!(unit, hung);
                    continue;
                };
                let plan = plan.pose();
                assert!(plan.pivot.distance(pose.pivot) <= MOST_AWAY);
                let away = pose.world_from_fixture.then(plan.world_from_fixture.inverse());
                for axis in [Direction::UP, Direction::new(1.0, 0.0, 0.0).unwrap()] {
                    let lean = away.apply(axis).angle_to(axis);
                    assert!(lean <= MOST_LEAN * 1.0001);
                    farthest = farthest.max(lean.deg());
                }
                backwards += u32::from(pose.pan.inverted);
            }
        }
        assert!((60..140).contains(&backwards), "a third of 300: {backwards}");
        assert!(farthest > 6.0);
    }

    #[test]
    fn a_light_that_the_other_file_describes_otherwise_stays_what_it_is() {
        let believed = lanthorn_store::demo().unwrap().rig;
        let mut other = believed.clone();
        let mut described = (*other.units[0].profile).clone();
        described.modes[believed.units[0].mode].channels[0].name = "something else".to_owned();
        other.units[0].profile = Arc::new(described.clone());
        let truth = as_in(&believed, other, "x").unwrap();
        assert_eq!(*truth.units[0].profile, described);
        // What is believed of it changes, and comes to be right; it is what it is.
        let mut next = believed.clone();
        next.units[0].profile = Arc::new(described.clone());
        let after = follow(&truth, &believed, &next);
        assert_eq!(*after.units[0].profile, described);
        let back = follow(&after, &next, &believed);
        assert_eq!(*back.units[0].profile, described);
        assert_eq!(back.units[1].profile, believed.units[1].profile);
    }

    #[test]
    fn another_show_must_have_the_same_lights() {
        let believed = lanthorn_store::demo().unwrap().rig;
        let mut other = believed.clone();
        other.units[0].offset = Metres::new(0.3);
        other.units[0].run = lanthorn_rig::Run::OnItsOwn { programme: None };
        let rig = as_in(&believed, other.clone(), "x").unwrap();
        assert_eq!((rig.units[0].offset, &rig.units[0].run), (Metres::new(0.3), &believed.units[0].run));
        let missing = Rig { units: other.units[1..].to_vec(), ..other.clone() };
        let said = as_in(&believed, missing, "x").unwrap_err();
        assert!(said.ends_with("it has the lights 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, the show has 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11; both must have the same numbers"), "{said}");
        other.units[3].profile = other.units[4].profile.clone();
        let said = as_in(&believed, other, "x").unwrap_err();
        assert!(
            said.contains("light 4 is a \"small spot head\" there and a \"small wash head\" in the show"),
            "{said}"
        );
    }
}
