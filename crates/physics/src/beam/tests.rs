use super::*;
use crate::units::Lumens;
use proptest::prelude::*;

#[test]
fn flux_of_gaussian_beams() {
    // lm for each peak cd, exact Gaussian; integrated with scipy.
    for (degrees, expected) in [(4.0, 0.0055), (10.0, 0.0345), (20.0, 0.1371), (40.0, 0.5364), (60.0, 1.1624)]
    {
        let shape = BeamShape::from_beam(Radians::from_deg(degrees));
        let flux = shape.flux_from_peak(Candela::new(1.0)).get();
        assert!((flux - expected).abs() < 6e-5, "{degrees}°: {flux}");
        let peak = shape.peak_from_flux(Lumens::new(flux)).get();
        assert!((peak - 1.0).abs() < 1e-12);
    }
}

#[test]
fn falloff_goes_through_half_and_a_tenth() {
    for (beam, field) in [(10.0, 18.0), (25.0, 30.0), (40.0, 90.0)] {
        let shape = BeamShape::new(Radians::from_deg(beam), Radians::from_deg(field));
        let at = |degrees: f64| shape.relative_intensity(Radians::from_deg(degrees));
        assert!((at(beam / 2.0) - 0.5).abs() < 1e-12 && (at(-field / 2.0) - 0.1).abs() < 1e-12);
        assert!((at(0.0) - 1.0).abs() < 1e-15 && at(91.0) <= 0.0);
    }
    // Gaussian: field over beam is 1.823.
    let soft = BeamShape::from_field(Radians::from_deg(18.23));
    assert!((soft.beam.deg() - 10.0).abs() < 0.003);
}

#[test]
fn a_hard_edge_has_the_flux_of_an_ideal_cone() {
    // Ω = 2π(1 − cos(a/2)): 0.0955 sr at 20°.
    let angle = Radians::from_deg(20.0);
    let flux = BeamShape::new(angle, angle).flux_from_peak(Candela::new(1.0)).get();
    assert!((flux / 0.0955 - 1.0).abs() < 0.02, "{flux}");
    for (beam, field) in [(0.0, 0.0), (-1.0, 3.0), (9.0, 1.0)] {
        let odd = BeamShape::new(Radians::new(beam), Radians::new(field));
        assert!(odd.peak_from_flux(Lumens::new(100.0)).get() > 0.0, "{beam} {field}");
    }
}

#[test]
fn worked_examples_of_illuminance() {
    // An isotropic lamp of 628 lm (50 cd) at 1 m and 37°: 40 lx (published exercise).
    let lamp = Point::new(0.0, 0.0, 1.0);
    let slanted =
        Direction::new(libm::sin(37.0_f64.to_radians()), 0.0, libm::cos(37.0_f64.to_radians())).unwrap();
    let intensity = Candela::new(628.0 / (4.0 * std::f64::consts::PI));
    assert!((illuminance(intensity, lamp, Point::ORIGIN, slanted).get() - 40.0).abs() < 0.1);
    // 450 cd at 3 m give 30 lx at an incidence of 53.13° (published exercise).
    let slanted = Direction::new(0.8, 0.0, 0.6).unwrap();
    let got = illuminance(Candela::new(450.0), Point::new(0.0, 0.0, 3.0), Point::ORIGIN, slanted);
    assert!((got.get() - 30.0).abs() < 1e-9, "{got}");
}

#[test]
fn faces_are_lit_from_the_front_alone() {
    let facing = face(Direction::new(0.0, -1.0, 0.7).unwrap()).unwrap();
    assert_eq!(face(Direction::UP), None);
    let singer = Point::new(0.0, 1.0, 1.6);
    let from_front = illuminance(Candela::new(900.0), Point::new(0.0, -2.0, 1.6), singer, facing);
    assert!((from_front.get() - 100.0).abs() < 1e-9);
    assert_eq!(illuminance(Candela::new(900.0), Point::new(0.0, 4.0, 3.0), singer, facing), Lux::ZERO);
    assert!(illuminance(Candela::new(1.0), singer, singer, facing).get().is_finite());
}

#[test]
fn intensity_falls_with_the_angle() {
    let shape = BeamShape::from_beam(Radians::from_deg(90.0));
    let at = Point::new(3.0, 0.0, 0.0);
    let beam = Beam::new((shape, None), Candela::new(8.0), Point::new(0.0, 0.0, 3.0), Direction::DOWN);
    assert!((beam.towards(at).get() - 4.0).abs() < 1e-9, "{beam:?}");
}

#[test]
fn a_beam_made_ready_lights_as_its_formula_says() {
    let from = Point::new(0.4, -0.3, 3.0);
    let along = Direction::new(0.3, 0.2, -1.0).unwrap();
    let shapes = [
        BeamShape::from_beam(Radians::from_deg(14.0)),
        BeamShape::new(Radians::from_deg(40.0), Radians::from_deg(45.0)),
        BeamShape::from_beam(Radians::from_deg(120.0)),
    ];
    for shape in shapes {
        let beam = Beam::new((shape, None), Candela::new(9000.0), from, along);
        for step in 0..400 {
            let (x, y) = (f64::from(step % 20) * 0.4 - 4.0, f64::from(step / 20) * 0.4 - 4.0);
            for (at, normal) in [
                (Point::new(x, y, 0.0), Direction::UP),
                (Point::new(x, y, 5.0), Direction::DOWN),
                (Point::new(x, 2.0, y), Direction::new(0.0, -1.0, 0.2).unwrap()),
                (from, Direction::UP),
            ] {
                let off_axis = from.towards(at).map_or(Radians::ZERO, |towards| along.angle_to(towards));
                let intensity = Candela::new(9000.0) * shape.relative_intensity(off_axis);
                let expected = illuminance(intensity, from, at, normal);
                let got = beam.lux_on(at, normal);
                // The outermost 2⁻⁴⁰ of the peak is left out.
                let spare = 1e-9 * expected.get() + 9000.0 * libm::exp2(-40.0);
                assert!((got.get() - expected.get()).abs() <= spare, "{shape:?} {at:?}: {got} {expected}");
            }
        }
    }
}

#[test]
fn floor_ellipse_of_a_slanted_beam() {
    // Height 5 m, aimed 4 m out, half angle 10°: semi-axes 1.4752 and 1.1404 m, centre at 4.2081 m (conic section,
    // computed apart with numpy).
    let from = Point::new(0.0, 0.0, 5.0);
    let along = from.towards(Point::new(0.0, 4.0, 0.0)).unwrap();
    for normal in [Direction::UP, Direction::DOWN] {
        let spot =
            spot_ellipse(from, along, Radians::from_deg(10.0), Point::new(9.0, 9.0, 0.0), normal).unwrap();
        assert!((spot.semi_major() - 1.4752).abs() < 5e-5 && (spot.semi_minor() - 1.1404).abs() < 5e-5);
        assert!((spot.centre.y() - 4.2081).abs() < 5e-5 && spot.centre.x().abs() < 1e-12);
        assert!(spot.major[1] > 0.0 && spot.minor[1].abs() < 1e-12);
    }
}

#[test]
fn spots_without_an_end_are_none() {
    let from = Point::new(0.0, 0.0, 5.0);
    let floor = |along: [f64; 3], degrees: f64| {
        let along = Direction::new(along[0], along[1], along[2]).unwrap();
        spot_ellipse(from, along, Radians::from_deg(degrees), Point::ORIGIN, Direction::UP)
    };
    assert!(floor([0.0, 1.0, -1.0], 44.9).is_some());
    for (along, degrees) in [([0.0, 1.0, -1.0], 45.0), ([0.0, 1.0, -1.0], 60.0), ([0.0, 0.0, 1.0], 5.0)] {
        assert_eq!(floor(along, degrees), None, "{along:?} {degrees}");
    }
    for degrees in [0.0, -5.0, 90.0] {
        assert_eq!(floor([0.0, 0.0, -1.0], degrees), None, "{degrees}");
    }
    let round = floor([0.0, 0.0, -1.0], 10.0).unwrap();
    assert!((round.semi_major() - round.semi_minor()).abs() < 1e-12);
    assert!(
        (2.0 * round.semi_major() - diameter_at(Metres::new(5.0), Radians::from_deg(20.0)).get()).abs()
            < 1e-12
    );
    assert_eq!(
        spot_ellipse(Point::ORIGIN, Direction::DOWN, Radians::from_deg(9.0), Point::ORIGIN, Direction::UP),
        None
    );
}

#[test]
fn rays_meet_planes_ahead_of_them() {
    let from = Point::new(0.0, 0.0, 5.0);
    let along = Direction::new(0.0, 4.0, -5.0).unwrap();
    let hit = where_ray_hits_plane(from, along, Point::ORIGIN, Direction::UP).unwrap();
    assert!(hit.distance(Point::new(0.0, 4.0, 0.0)).get() < 1e-12);
    assert_eq!(where_ray_hits_plane(from, along.reversed(), Point::ORIGIN, Direction::UP), None);
    let level = Direction::new(1.0, 0.0, 0.0).unwrap();
    assert_eq!(where_ray_hits_plane(from, level, Point::ORIGIN, Direction::UP), None);
}

#[test]
fn rays_in_a_room_end_on_a_side() {
    let (x, y, z) = ([-4.0, 4.0], [-8.0, 3.0], [0.0, 5.0]);
    let from = Point::new(0.0, 0.0, 4.0);
    for (along, face, point, normal) in [
        ([0.0, 0.0, -1.0], Face::Floor, [0.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
        ([0.0, 0.0, 1.0], Face::Ceiling, [0.0, 0.0, 5.0], [0.0, 0.0, -1.0]),
        ([-1.0, 0.0, 0.0], Face::Left, [-4.0, 0.0, 4.0], [1.0, 0.0, 0.0]),
        ([2.0, 0.0, -1.0], Face::Right, [4.0, 0.0, 2.0], [-1.0, 0.0, 0.0]),
        ([0.0, -4.0, -1.0], Face::Near, [0.0, -8.0, 2.0], [0.0, 1.0, 0.0]),
        ([0.0, 1.0, 0.0], Face::Far, [0.0, 3.0, 4.0], [0.0, -1.0, 0.0]),
    ] {
        let along = Direction::new(along[0], along[1], along[2]).unwrap();
        let (at, inward, side) = hits_box(from, along, x, y, z).unwrap();
        assert_eq!(side, face);
        assert!(at.distance(point.into()).get() < 1e-12, "{side:?}: {at:?}");
        assert_eq!(Some(inward), Direction::new(normal[0], normal[1], normal[2]));
    }
    assert_eq!(hits_box(Point::new(0.0, 0.0, -1.0), Direction::UP, x, y, z), None);
    assert_eq!(hits_box(Point::new(0.0, f64::NAN, 1.0), Direction::UP, x, y, z), None);
    // A light that hangs on the ceiling is inside.
    assert_eq!(hits_box(Point::new(0.0, 0.0, 5.0), Direction::DOWN, x, y, z).unwrap().2, Face::Floor);
}

fn any_direction() -> impl Strategy<Value = Direction> {
    prop::array::uniform3(-1.0..1.0).prop_filter_map("some length", |[x, y, z]| Direction::new(x, y, z))
}

proptest! {
    /// Independent of how the ellipse is found: every point of its edge lies in the plane and on the cone.
    #[test]
    fn edge_of_the_spot_is_on_the_cone_and_in_the_plane(
        from in prop::array::uniform3(-5.0..5.0), along in any_direction(), half in 0.5..60.0,
        normal in any_direction(), turn in 0.0..6.3,
    ) {
        let half = Radians::from_deg(half);
        let plane = Point::new(0.3, -0.2, 0.1);
        if let Some(spot) = spot_ellipse(from.into(), along, half, plane, normal) {
            let edge = spot.edge(Radians::new(turn));
            let size = 1.0 + spot.semi_major();
            prop_assert!((edge.0 - plane.0).dot(normal.0).abs() < 1e-6 * size);
            let off = Point::from(from).towards(edge).map(|towards| along.angle_to(towards).get());
            if let Some(off) = off.filter(|_| Point::from(from).distance(edge).get() > 1e-3) {
                prop_assert!((off - half.get()).abs() < 1e-6, "{} {}", off, half);
            }
        }
    }

    #[test]
    fn where_a_ray_ends_is_ahead_and_on_the_box(
        from in prop::array::uniform3(0.0..1.0), along in any_direction(),
    ) {
        let room = [[0.0, 1.0]; 3];
        let (at, inward, _) = hits_box(from.into(), along, room[0], room[1], room[2]).unwrap();
        prop_assert!(inward.dot(along) < 0.0);
        prop_assert!(<[f64; 3]>::from(at).iter().all(|part| (-1e-9..=1.0 + 1e-9).contains(part)));
        let ahead = (at.0 - Point::from(from).0).dot(along.0);
        prop_assert!((at.0 - Point::from(from).0 - along.0 * ahead).length() < 1e-9);
    }
}
