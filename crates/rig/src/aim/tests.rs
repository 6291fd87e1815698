use lanthorn_physics::units::Radians;
use lanthorn_physics::{Direction, Point, Rotation};

use super::{Head, beam_in_world};
use crate::sight::AxisFit;
use crate::testing;

fn deg(degrees: f64) -> Radians {
    Radians::from_deg(degrees)
}

const HOME: (Radians, Radians) = (Radians::ZERO, Radians::ZERO);

/// A head at (0, 0, 5) with the given mounting and travels.
fn head(world_from_fixture: Rotation, pan_travel: f64, tilt_travel: f64) -> Head {
    let rig = testing::rig_with_head(deg(pan_travel), deg(tilt_travel));
    let head = Head::new(&rig, &rig.units[0]).unwrap();
    Head { pivot: Point::new(0.0, 0.0, 5.0), world_from_fixture, ..head }
}

#[test]
fn the_beam_follows_the_axes_of_the_standard() {
    // d = (−sin p · sin t, cos p · sin t, −cos t): worked by hand from the axes of DIN SPEC 15800 and the right-hand
    // rule.
    for (pan, tilt, d) in [
        (0.0, 0.0, [0.0, 0.0, -1.0]),
        (0.0, 90.0, [0.0, 1.0, 0.0]),
        (90.0, 90.0, [-1.0, 0.0, 0.0]),
        (180.0, 90.0, [0.0, -1.0, 0.0]),
        (0.0, -90.0, [0.0, -1.0, 0.0]),
        (30.0, 60.0, [-0.433_012_701_892, 0.75, -0.5]),
    ] {
        let beam: [f64; 3] = beam_in_world(Rotation::IDENTITY, deg(pan), deg(tilt)).into();
        for (got, want) in beam.iter().zip(d) {
            assert!((got - want).abs() < 1e-9, "pan {pan} tilt {tilt}: {beam:?}");
        }
    }
}

#[test]
fn every_solution_shines_on_the_target_and_none_is_missed() {
    let mountings = [
        Rotation::IDENTITY,
        Rotation::about_y(Radians::HALF),
        Rotation::about_x(deg(45.0)),
        Rotation::about_x(deg(-90.0)).then(Rotation::about_z(deg(37.0))),
    ];
    let targets = [(0.0, 3.0, 0.0), (-4.0, 1.0, 0.0), (2.5, -6.0, 1.6), (0.3, 0.2, 0.0), (1.0, 0.2, 9.0)];
    for mounting in mountings {
        for (pan_travel, tilt_travel) in [(540.0, 270.0), (630.0, 265.0), (400.0, 180.0)] {
            let head = head(mounting, pan_travel, tilt_travel);
            for target in targets.map(|(x, y, z)| Point::new(x, y, z)) {
                let wanted = head.pivot.towards(target).unwrap();
                let solutions = head.solve(target, HOME);
                for s in solutions.as_slice() {
                    let miss = head.direction(s.pan, s.tilt).angle_to(wanted);
                    assert!(miss.deg() < 1e-9, "{target:?}: {s:?} misses by {} degrees", miss.deg());
                }
                assert_eq!(solutions.as_slice().len(), count_by_scanning(&head, wanted), "{target:?}");
                assert!(solutions.as_slice().is_sorted_by_key(|s| s.time));
            }
        }
    }
}

/// Counts local minima of the miss that are zero, over the whole travel: slow, and sure.
fn count_by_scanning(head: &Head, wanted: Direction) -> usize {
    let d = head.world_from_fixture.inverse().apply(wanted);
    let tilt = libm::acos(-d.z());
    let mut count = 0;
    for tilt in [tilt, -tilt] {
        if tilt.abs() > head.tilt_range[1].get() {
            continue;
        }
        let steps = 20_000;
        let pan = |i: i32| {
            let part = f64::from(i) / f64::from(steps);
            head.pan_range[0] + (head.pan_range[1] - head.pan_range[0]) * part
        };
        let miss = |i: i32| head.direction(pan(i), Radians::new(tilt)).angle_to(wanted).get();
        for i in 1..steps {
            let (before, here, after) = (miss(i - 1), miss(i), miss(i + 1));
            count += usize::from(here < 1e-3 && here <= before && here < after);
        }
    }
    count
}

#[test]
fn the_solution_nearest_in_time_comes_first() {
    let head = head(Rotation::IDENTITY, 540.0, 270.0);
    let target = Point::new(0.0, -5.0, 0.0);
    // Straight towards the audience: tilt −45° at pan 0, or tilt 45° at pan ±180°.
    let from_home = head.solve(target, HOME).best().unwrap();
    assert!(from_home.pan.abs().deg() < 1e-9 && (from_home.tilt.deg() + 45.0).abs() < 1e-9);
    let turned = head.solve(target, (deg(170.0), deg(40.0))).best().unwrap();
    assert!((turned.pan.deg() - 180.0).abs() < 1e-9 && (turned.tilt.deg() - 45.0).abs() < 1e-9);
}

#[test]
fn straight_down_keeps_the_pan() {
    let head = head(Rotation::IDENTITY, 540.0, 270.0);
    let below = head.solve(Point::new(0.0, 0.0, 0.0), (deg(77.0), deg(20.0)));
    assert_eq!(below.as_slice().len(), 1);
    assert!((below.as_slice()[0].pan.deg() - 77.0).abs() < 1e-12);
    assert_eq!(head.solve(head.pivot, HOME).as_slice(), [], "no direction to its own pivot");
}

#[test]
fn out_of_reach_gives_the_nearest_pose() {
    let head = head(Rotation::IDENTITY, 540.0, 180.0);
    let above = Point::new(0.0, 1.0, 9.0);
    assert_eq!(head.solve(above, HOME).as_slice(), []);
    let (pan, tilt) = head.nearest(above, HOME);
    assert!((tilt.deg().abs() - 90.0).abs() < 1e-9, "level is as high as it goes");
    let miss = head.direction(pan, tilt).angle_to(head.pivot.towards(above).unwrap());
    assert!((miss.deg() - 75.963_756_532).abs() < 1e-6, "atan(4 / 1), by hand: {}", miss.deg());
}

#[test]
fn nothing_inside_the_travel_is_nearer_than_the_nearest() {
    let mountings = [Rotation::IDENTITY, Rotation::about_x(deg(50.0)), Rotation::about_y(deg(170.0))];
    for mounting in mountings {
        for (pan_travel, tilt_travel) in [(90.0, 60.0), (300.0, 100.0), (540.0, 180.0)] {
            let head = head(mounting, pan_travel, tilt_travel);
            for target in [(0.0, 1.0, 9.0), (2.0, -3.0, 0.0), (-3.0, 0.1, 6.0), (0.2, 0.1, 0.0)] {
                let target = Point::new(target.0, target.1, target.2);
                let wanted = head.pivot.towards(target).unwrap();
                let miss = |(pan, tilt)| head.direction(pan, tilt).angle_to(wanted).deg();
                let found = head.nearest(target, HOME);
                let step =
                    |[low, high]: [Radians; 2], part: u32| low + (high - low) * (f64::from(part) / 90.0);
                let scanned = (0..=90 * 91)
                    .map(|cell| miss((step(head.pan_range, cell / 91), step(head.tilt_range, cell % 91))));
                let best = scanned.fold(f64::INFINITY, f64::min);
                assert!(miss(found) <= best + 1e-6, "{target:?}: {} but {best} by scanning", miss(found));
            }
        }
    }
}

#[test]
fn signs_and_swap_come_back_from_what_is_sent() {
    for (pan_invert, tilt_invert, swap) in (0..8).map(|bits| (bits & 1 == 1, bits & 2 == 2, bits & 4 == 4)) {
        let head = Head {
            pan: AxisFit::stated(pan_invert),
            tilt: AxisFit::stated(tilt_invert),
            swap,
            ..head(Rotation::IDENTITY, 540.0, 270.0)
        };
        let (pan, tilt) = head.sent(deg(100.0), deg(-30.0));
        let back = head.from_sent(pan, tilt);
        assert!((back.0.deg() - 100.0).abs() < 1e-9 && (back.1.deg() + 30.0).abs() < 1e-9);
        let inside = |angle: Radians, range: [Radians; 2]| angle.abs().get() <= range[1].get();
        assert!(
            inside(pan, head.pan_range) && inside(tilt, head.tilt_range),
            "what is sent fits the channel"
        );
    }
    let plain = head(Rotation::IDENTITY, 540.0, 270.0);
    let inverted = Head { pan: AxisFit::stated(true), ..plain }.sent(deg(100.0), deg(-30.0));
    assert!((inverted.0.deg() + 100.0).abs() < 1e-9 && (inverted.1.deg() + 30.0).abs() < 1e-9);
    // Swapped: the pan channel moves the tilt motor, 270 of 540 degrees for the same part of the travel.
    let swapped = Head { swap: true, ..plain }.sent(deg(100.0), deg(-30.0));
    assert!((swapped.0.deg() + 60.0).abs() < 1e-9 && (swapped.1.deg() - 50.0).abs() < 1e-9);
}
