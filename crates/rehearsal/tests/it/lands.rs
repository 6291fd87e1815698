//! A wish for a point, through aim, limits and channel values, lands on that point.

use std::sync::Arc;

use lanthorn_physics::units::{Metres, Radians};
use lanthorn_physics::{Instant, Point, Rotation, Span};
use lanthorn_rehearsal::{LightNow, StandIn};
use lanthorn_rig::aim::Head;
use lanthorn_rig::drive::Drive;
use lanthorn_rig::rig::WayUp;
use lanthorn_rig::{Rig, RigState, Unit};
use proptest::prelude::*;

use crate::hall::{head, rig, unit};

/// What the stand-in shows eight seconds after every light was asked to shine on a point.
fn aimed(rig: &Arc<Rig>, target: Point) -> StandIn {
    let mut wished = RigState::dark(rig);
    for wish in &mut wished.units {
        wish.aim = Some(target);
        wish.heads[0].level = 0.5;
    }
    let mut drive = Drive::new(rig);
    let mut stand_in = StandIn::new(Arc::clone(rig));
    for tick in 0..320 {
        let now = Instant::ZERO + Span::from_millis(25) * tick;
        stand_in.take(drive.tick(&wished, now), now);
    }
    stand_in
}

/// Distance from the target to the beam's axis, metres.
fn miss(light: &LightNow, target: Point) -> f64 {
    let beam = &light.heads[0];
    let angle = beam.from.towards(target).map_or(0.0, |towards| beam.along.angle_to(towards).get());
    beam.from.distance(target).get() * libm::sin(angle.min(Radians::QUARTER.get()))
}

fn mounts() -> Vec<Unit> {
    let head = head();
    let hang = |number| unit(number, &head);
    let stand = |number| Unit { up: WayUp::Standing, place: 1, ..hang(number) };
    let deg = Radians::from_deg;
    vec![
        hang(1),
        Unit { turn: deg(90.0), offset: Metres::new(1.5), ..hang(2) },
        Unit { lean: deg(45.0), turn: deg(-30.0), ..hang(3) },
        Unit { pan_invert: true, ..hang(4) },
        Unit { tilt_invert: true, turn: deg(200.0), ..hang(5) },
        Unit { pan_invert: true, tilt_invert: true, ..hang(6) },
        Unit { swap: true, ..hang(7) },
        Unit { swap: true, pan_invert: true, turn: deg(15.0), ..hang(8) },
        stand(9),
        Unit { turn: deg(-70.0), tilt_invert: true, ..stand(10) },
        Unit { lean: deg(-20.0), swap: true, tilt_invert: true, ..stand(11) },
    ]
}

#[test]
fn spots_land_within_a_centimetre() {
    let rig = rig(mounts());
    // The cake on its table, the dance floor, a door, a face on the stage, a corner of the ceiling.
    for target in [
        Point::new(2.0, -4.0, 0.9),
        Point::new(0.5, -6.0, 0.0),
        Point::new(-5.5, -9.0, 1.5),
        Point::new(1.0, 1.5, 2.4),
        Point::new(5.0, 3.0, 4.9),
    ] {
        for light in aimed(&rig, target).lights() {
            let cm = miss(light, target) * 100.0;
            assert!(cm < 1.0 && !light.moving, "light {}: {cm:.1} cm off {target:?}", light.number);
        }
    }
}

#[test]
fn the_spot_is_where_the_axis_meets_the_floor() {
    let rig = rig(vec![unit(1, &head())]);
    let target = Point::new(2.5, -6.0, 0.0);
    let stand_in = aimed(&rig, target);
    let spot = stand_in.lights()[0].heads[0].spot.as_ref().unwrap();
    assert!(spot.at.distance(target).get() < 0.01, "{:?}", spot.at);
    assert_eq!(spot.surface.name(&rig.room), "floor");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Any mount, any point on the floor, as long as it is not behind the base plate, where tilt ends.
    #[test]
    fn any_mount_lands(
        turn in -180.0..180.0, lean in -40.0..40.0, standing: bool, pan_invert: bool, tilt_invert: bool, swap: bool,
        x in -5.5..5.5, y in -9.5..3.5,
    ) {
        let up = if standing { WayUp::Standing } else { WayUp::Hanging };
        let (turn, lean) = (Radians::from_deg(turn), Radians::from_deg(lean));
        let light = Unit { turn, lean, up, pan_invert, tilt_invert, swap, ..unit(1, &head()) };
        let target = Point::new(x, y, 0.0);
        let rig = rig(vec![light]);
        let out = rig.units[0].world_from_fixture().apply(lanthorn_physics::Direction::DOWN);
        let off = rig.pivot(&rig.units[0]).towards(target).unwrap().angle_to(out).deg();
        let cm = miss(&aimed(&rig, target).lights()[0], target) * 100.0;
        prop_assert!(cm < 1.0 || off > 134.9, "{cm:.1} cm, {off:.0}° off straight out");
    }
}

#[test]
fn a_light_that_is_found_to_hang_otherwise_shines_from_there_at_once_and_lands_again() {
    let target = Point::new(1.5, -1.0, 1.2);
    let planned = rig(mounts());
    let mut stand_in = aimed(&planned, target);
    let before = stand_in.lights().to_vec();
    let mut found = (*planned).clone();
    let head = Head::new(&found, &found.units[2]).unwrap();
    let mut pose = head.pose();
    pose.pivot = pose.pivot.moved(0.1, 0.05, -0.1);
    pose.world_from_fixture = pose.world_from_fixture.then(Rotation::about_y(Radians::from_deg(6.0)));
    pose.pan.inverted = true;
    found.units[2].found.pose = Some(pose);
    let found = Arc::new(found);
    // What is sent stays: the light shows elsewhere, standing still; the others have nothing to do with it.
    let mut wished = RigState::dark(&planned);
    for wish in &mut wished.units {
        wish.aim = Some(target);
        wish.heads[0].level = 0.5;
    }
    let mut drive = Drive::new(&planned);
    let mut now = Instant::ZERO;
    for tick in 0..320 {
        now = Instant::ZERO + Span::from_millis(25) * tick;
        stand_in.take(drive.tick(&wished, now), now);
    }
    stand_in.renew(Arc::clone(&found), &[2]);
    stand_in.take(drive.frames(), now);
    for (index, (was, is)) in before.iter().zip(stand_in.lights()).enumerate() {
        assert!(!is.moving, "light {}", is.number);
        if index == 2 {
            assert_eq!(is.heads[0].from, pose.pivot);
            assert!(miss(is, target) > 0.3, "{}", miss(is, target));
        } else {
            assert_eq!((was.heads[0].along, was.heads[0].from), (is.heads[0].along, is.heads[0].from));
        }
    }
    // Aimed by what was found, it lands.
    drive.renew(2, Head::new(&found, &found.units[2]).unwrap());
    for tick in 1..320 {
        let now = now + Span::from_millis(25) * tick;
        stand_in.take(drive.tick(&wished, now), now);
    }
    assert!(miss(&stand_in.lights()[2], target) < 0.01, "{}", miss(&stand_in.lights()[2], target));
}
