//! A light that was sighted in is aimed anew while the show runs.

use std::sync::Arc;

use lanthorn_dmx::Frames;
use lanthorn_live::Machine;
use lanthorn_live::engine::PERIOD;
use lanthorn_physics::units::{Radians, Seconds};
use lanthorn_physics::{Instant, Point, Rotation};
use lanthorn_rig::aim::Head;
use lanthorn_rig::sight::{AxisFit, Pose};
use lanthorn_rig::{Found, Rig};
use lanthorn_show::Command;

use crate::{machine, start, testing, wait_for};

const RENEWED: usize = 4;
/// The cake of the testing show: look 0 sends every head there.
const CAKE: Point = Point::new(2.0, 1.0, 0.9);

/// The rig, with one head that hangs seven degrees and some centimetres off, runs pan backwards and is slower.
fn found_out() -> Rig {
    let mut rig = testing::rig_of(1);
    let unit = &rig.units[RENEWED];
    let pose = Pose {
        pivot: rig.pivot(unit).moved(0.1, -0.05, 0.08),
        world_from_fixture: unit
            .world_from_fixture()
            .then(Rotation::about_x(Radians::from_deg(5.0)))
            .then(Rotation::about_y(Radians::from_deg(-5.0))),
        pan: AxisFit::stated(true),
        tilt: AxisFit { inverted: false, scale: 0.97, offset: Radians::from_deg(1.5) },
    };
    let slower = Some(Seconds::new(5.0));
    rig.units[RENEWED].found = Found { pose: Some(pose), pan_time: slower, ..Found::default() };
    rig
}

fn head() -> Head {
    let rig = found_out();
    Head::new(&rig, &rig.units[RENEWED]).unwrap()
}

/// Pan and tilt as they are sent to a head, radians about home.
fn sent(frames: &Frames, unit: usize) -> [f64; 2] {
    let (_, frame) = frames.iter().next().unwrap();
    let slots = &frame.0[unit * testing::FOOTPRINT..];
    let value = |at: usize| f64::from(u16::from_be_bytes([slots[at], slots[at + 1]]));
    let travels = [540.0_f64, 220.0].map(f64::to_radians);
    [0, 1].map(|axis| (value(2 * axis) / 65_535.0 - 0.5) * travels[axis])
}

fn others(frames: &Frames) -> Vec<u8> {
    let (_, frame) = frames.iter().next().unwrap();
    let own = RENEWED * testing::FOOTPRINT..(RENEWED + 1) * testing::FOOTPRINT;
    frame.0.iter().enumerate().filter(|(slot, _)| !own.contains(slot)).map(|(_, value)| *value).collect()
}

#[test]
fn a_renewed_light_goes_to_its_mark_at_the_speed_of_its_motors_and_no_other_light_is_concerned() {
    let (mut renewed, mut as_it_was) = (machine(1), machine(1));
    let head = head();
    let limits = head.sent_limits();
    let mut before = [0.0; 2];
    let mut moved = 0.0_f64;
    for tick in 0..400 {
        let now = Instant::ZERO + PERIOD * tick;
        for machine in [&mut renewed, &mut as_it_was] {
            if tick == 0 {
                machine.apply(&Command::Chase { index: 0, on: false }, now);
                machine.apply(&Command::Look(0), now);
            }
        }
        if tick == 200 {
            renewed.renew(RENEWED, head);
        }
        let frames = renewed.tick(now).clone();
        assert_eq!(others(&frames), others(as_it_was.tick(now)), "tick {tick}");
        let is = sent(&frames, RENEWED);
        if tick >= 200 {
            for axis in 0..2 {
                let step = (is[axis] - before[axis]).abs();
                // One step of the channel may be the rounding.
                let most =
                    limits[axis].speed * PERIOD.secs() + [540.0_f64, 220.0][axis].to_radians() / 65_535.0;
                assert!(step <= most, "tick {tick}, axis {axis}: {step} > {most}");
                moved += step;
            }
        }
        before = is;
    }
    assert!(moved > 0.1, "the head must have had to move for this to mean anything: {moved}");
    let [pan, tilt] = before.map(Radians::new);
    let (pan, tilt) = head.from_sent(pan, tilt);
    let miss = head.direction(pan, tilt).angle_to(head.pivot.towards(CAKE).unwrap());
    assert!(miss.deg() < 0.01, "the mark, by the new pose: {} degrees off", miss.deg());
}

#[test]
fn ticks_that_renew_do_not_allocate() {
    let mut machine = machine(1);
    let head = head();
    machine.tick(Instant::ZERO);
    let counted = allocation_counter::measure(|| {
        for tick in 1..=400 {
            machine.renew(RENEWED, head);
            // What is not there, or does not move, is let be.
            machine.renew(9999, head);
            machine.tick(Instant::ZERO + PERIOD * tick);
        }
    });
    assert_eq!(counted.count_total, 0);
}

#[test]
fn a_running_engine_takes_it_from_its_ring() {
    let (engine, mut commands, mut snapshots) = start(1, &[], 41);
    let now = engine.clock().now();
    assert!(commands.send(Command::Chase { index: 0, on: false }, now));
    assert!(commands.send(Command::Look(0), now));
    let aims_at_cake = |head: &Head, frames: &Frames| {
        let [pan, tilt] = sent(frames, RENEWED).map(Radians::new);
        let (pan, tilt) = head.from_sent(pan, tilt);
        head.direction(pan, tilt).angle_to(head.pivot.towards(CAKE).unwrap()).deg() < 0.01
    };
    let planned = testing::rig_of(1);
    let planned = Head::new(&planned, &planned.units[RENEWED]).unwrap();
    wait_for("the planned aim", || aims_at_cake(&planned, &snapshots.latest().frames).then_some(()));
    let head = head();
    assert!(commands.renew(RENEWED, head));
    wait_for("the new aim", || aims_at_cake(&head, &snapshots.latest().frames).then_some(()));
    // More than the ring holds: refused, and there is room again after a tick.
    let refused = (0..10_000).filter(|_| !commands.renew(RENEWED, head)).count();
    assert!(refused > 0);
    wait_for("room", || commands.renew(RENEWED, head).then_some(()));
    assert_eq!(snapshots.latest().ticks.faults, 0);
    engine.stop();
}

#[test]
fn a_light_that_cannot_follow_a_spot_is_let_be() {
    let mut rig = testing::rig_of(1);
    let mut profile = (*rig.units[0].profile).clone();
    profile.movement = None;
    rig.units[0].profile = Arc::new(profile);
    let mut machine = Machine::new(Arc::new(testing::show()), Arc::new(rig));
    let before = machine.tick(Instant::ZERO).clone();
    machine.renew(0, head());
    assert_eq!(*machine.tick(Instant::ZERO), before);
}
