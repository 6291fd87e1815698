//! Random edits of the demo while it runs.

use lanthorn_dmx::Address;
use lanthorn_fixture::decode::Reading;
use lanthorn_live::Machine;
use lanthorn_live::engine::PERIOD;
use lanthorn_physics::Instant;
use lanthorn_rig::Run;
use lanthorn_show::{Kind, Level, Succession};

use super::*;
use crate::truth::Dice;

/// Some edit, and what was named anew by it.
fn edit(show: &mut Show, rig: &mut Rig, dice: &mut Dice) -> Vec<Rename> {
    let look = dice.below(show.looks.len());
    match dice.below(9) {
        0 if show.looks.len() > 2 => drop(show.looks.remove(look)),
        1 => {
            let parts = &mut show.looks[look].parts;
            let part = dice.below(parts.len());
            if let Some(part) = parts.get_mut(part) {
                part.level = Level(dice.below(11) as f64 / 10.0);
            }
        }
        2 => {
            let mark = rig.room.marks[dice.below(rig.room.marks.len())].name.clone();
            if let Some(part) = show.looks[look].parts.first_mut() {
                part.aim = Some(lanthorn_show::Aim::Mark(mark));
            }
        }
        3 => {
            let (old, new) = (show.looks[look].name.clone(), format!("look {}", dice.below(1000)));
            show.looks[look].name.clone_from(&new);
            for step in show.chases.iter_mut().flat_map(|chase| &mut chase.steps) {
                if step.look == old {
                    step.look.clone_from(&new);
                }
            }
            return vec![Rename { kind: Kind::Look, old, new }];
        }
        4 if !show.chases.is_empty() => drop(show.chases.remove(dice.below(show.chases.len()))),
        5 if !show.chases.is_empty() => {
            let chase = dice.below(show.chases.len());
            show.chases[chase].steps.rotate_left(1);
        }
        6 if rig.units.len() > 3 => {
            let gone = dice.below(rig.units.len());
            rig.units.remove(gone);
            for group in &mut rig.groups {
                group.units.retain(|unit| *unit != gone);
                group.units.iter_mut().filter(|unit| **unit > gone).for_each(|unit| *unit -= 1);
            }
        }
        7 => {
            let unit = dice.below(rig.units.len());
            if let Run::Driven { address, shares: None } = &mut rig.units[unit].run {
                *address = Address::new(2, 1 + 20 * dice.below(20) as u32).ok();
            }
        }
        _ => show.looks[look].parts.reverse(),
    }
    Vec::new()
}

fn readings(machine: &Machine, rig: &Rig) -> Vec<(u32, Option<Reading>)> {
    rig.units.iter().map(|unit| (unit.number, unit.reading(machine.frames()))).collect()
}

fn command(show: &Show, rig: &Rig, dice: &mut Dice) -> Command {
    match dice.below(5) {
        0 | 1 => Command::Look(dice.below(show.looks.len())),
        2 => Command::Chase { index: dice.below(show.chases.len()), on: true },
        3 => Command::Go,
        _ => Command::Level { unit: dice.below(rig.units.len()), level: 0.7 },
    }
}

/// Everywhere outside the slots of its lights a frame is zero.
fn nothing_is_left_behind(machine: &Machine, rig: &Rig) {
    for (universe, frame) in machine.frames().iter() {
        let mut used = [false; 512];
        for unit in &rig.units {
            let Some(address) = unit.address().filter(|address| address.universe == universe) else {
                continue;
            };
            let first = address.slot.index();
            let end = (first + usize::from(unit.mode().footprint())).min(512);
            used[first..end].fill(true);
        }
        let left = (0..512).find(|slot| !used[*slot] && frame.0[*slot] != 0);
        assert_eq!(left, None, "universe {}", universe.number());
    }
}

#[test]
fn no_edit_of_the_demo_makes_a_lit_light_jump() {
    let demo = lanthorn_store::demo().unwrap();
    let mut dice = Dice(11);
    let mut tick = 0;
    for _ in 0..4 {
        let (mut show, mut rig) = (demo.show.clone(), demo.rig.clone());
        // What goes out in no time when it is gone may do so.
        let calm = |fade: &mut lanthorn_physics::Span| *fade = (*fade).max(PERIOD * 20);
        show.looks.iter_mut().for_each(|look| calm(&mut look.fade));
        show.chases.iter_mut().for_each(|chase| calm(&mut chase.fade));
        let mut machine = Machine::new(Arc::new(show.clone()), Arc::new(rig.clone()));
        for _ in 0..8 {
            for _ in 0..2 {
                machine.apply(&command(&show, &rig, &mut dice), Instant::ZERO + PERIOD * tick);
                for _ in 0..10 + dice.below(60) {
                    tick += 1;
                    machine.tick(Instant::ZERO + PERIOD * tick);
                }
            }
            let before = readings(&machine, &rig);
            let (mut next, mut next_rig) = (show.clone(), rig.clone());
            let renames = edit(&mut next, &mut next_rig, &mut dice);
            let succession = Succession::new((&show, &rig), (&next, &next_rig), &renames);
            let mut new = Machine::new(Arc::new(next.clone()), Arc::new(next_rig.clone()));
            // At the same moment again: nothing may have gone on.
            new.take_over(&mut machine, &succession, Instant::ZERO + PERIOD * tick);
            (machine, show, rig) = (new, next, next_rig);
            machine.tick(Instant::ZERO + PERIOD * tick);
            nothing_is_left_behind(&machine, &rig);
            for (number, after) in readings(&machine, &rig) {
                let was = before.iter().find(|(other, _)| *other == number);
                let (Some((_, Some(was))), Some(after)) = (was, after) else { continue };
                for (was, after) in was.heads.iter().zip(&after.heads) {
                    assert!((was.output - after.output).abs() < 0.02, "light {number}: {was:?}, {after:?}");
                }
                if was.heads.iter().any(|head| head.output > 0.0) {
                    let moved = |a: Option<lanthorn_physics::units::Radians>, b| match (a, b) {
                        (Some(a), Some(b)) => (a - b).abs().deg(),
                        _ => 0.0,
                    };
                    let moved = [moved(was.pan, after.pan), moved(was.tilt, after.tilt)];
                    assert!(moved.iter().all(|moved| *moved < 0.1), "light {number}: {moved:?} degrees");
                }
            }
        }
    }
}
