use super::*;
use lanthorn_physics::Point;

fn m(metres: f64) -> Metres {
    Metres::new(metres)
}

fn figure(shape: Shape) -> Figure {
    Figure {
        name: "it".to_owned(),
        shape,
        plane: Plane::Floor,
        turn: Radians::ZERO,
        pace: Pace::Speed(MetresPerSecond::new(1.0)),
        backwards: false,
        phase: shape.usual_phase(),
        phase_spread: PhaseSpread::InOrder,
        centre: None,
    }
}

fn all_shapes() -> [Shape; 8] {
    [
        Shape::Circle { across: m(3.0) },
        Shape::Eight { width: m(4.0), height: m(2.0) },
        Shape::Line { length: m(5.0) },
        Shape::Sweep { length: m(8.0) },
        Shape::Fan { width: m(6.0) },
        Shape::Wave { height: m(2.0) },
        Shape::Hold { across: m(3.0) },
        Shape::Wander { across: m(4.0) },
    ]
}

fn first(figure: &Figure) -> Place {
    Place::new(figure, 0, 4, 1)
}

fn offset(figure: &Figure, phase: f64, place: &Place) -> [f64; 3] {
    Path::new(figure).offset_at(phase, place).map(Metres::get)
}

fn assert_near(got: [f64; 3], wanted: [f64; 3], within: f64, what: &str) {
    let off = got.iter().zip(wanted).map(|(got, wanted)| (got - wanted).abs()).fold(0.0, f64::max);
    assert!(off < within, "{what}: {got:?}, not {wanted:?}");
}

#[test]
fn places_in_closed_form() {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let rows: &[(Shape, f64, [f64; 2])] = &[
        (Shape::Circle { across: m(3.0) }, 0.0, [0.0, 1.5]),
        (Shape::Circle { across: m(3.0) }, 0.125, [1.5 * half, 1.5 * half]),
        (Shape::Circle { across: m(3.0) }, 0.25, [1.5, 0.0]),
        (Shape::Circle { across: m(3.0) }, 7.5, [0.0, -1.5]),
        (Shape::Line { length: m(5.0) }, 0.0, [0.0, 0.0]),
        (Shape::Line { length: m(5.0) }, 0.25, [2.5, 0.0]),
        (Shape::Line { length: m(5.0) }, 0.5, [0.0, 0.0]),
        (Shape::Line { length: m(5.0) }, 0.75, [-2.5, 0.0]),
        // A tenth of a round from the middle at 1.25 lengths in half a round: a quarter of the length.
        (Shape::Line { length: m(5.0) }, 0.1, [1.25, 0.0]),
        // Half the time of the turn is left: a quarter of its way, which is an eighth of the length.
        (Shape::Line { length: m(8.0) }, 0.2, [4.0 - 0.25, 0.0]),
        (Shape::Sweep { length: m(8.0) }, 0.0, [-4.0, 0.0]),
        (Shape::Sweep { length: m(8.0) }, 0.25, [0.0, 0.0]),
        (Shape::Sweep { length: m(8.0) }, 0.5, [4.0, 0.0]),
        (Shape::Fan { width: m(6.0) }, 0.0, [0.0, 0.0]),
        (Shape::Fan { width: m(6.0) }, 0.25, [-1.5, 0.0]),
        (Shape::Fan { width: m(6.0) }, 0.5, [-3.0, 0.0]),
        (Shape::Wave { height: m(2.0) }, 0.25, [0.0, 1.0]),
        (Shape::Wave { height: m(2.0) }, 0.5 + 1.0 / 12.0, [0.0, -0.5]),
        (Shape::Hold { across: m(3.0) }, 0.3, [0.0, 1.5]),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 0.0, [0.0, 0.0]),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 0.25, [2.0, 0.0]),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 0.75, [-2.0, 0.0]),
        // Equal lengths along the eight by scipy 1.17.1 (integrate.quad, optimize.brentq).
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 1.0 / 16.0, [0.549_292_890, 0.528_169_987]),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 1.0 / 8.0, [1.178_080_132, 0.952_011_067]),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 0.3, [1.898_260_195, -0.597_732_138]),
    ];
    for &(shape, phase, [right, back]) in rows {
        let it = figure(shape);
        // A hold stands where it is whatever the time: its rounds do not count.
        let rounds = if shape.moves() { phase } else { Path::new(&it).rounds(phase, phase) };
        assert_near(
            offset(&it, rounds, &first(&it)),
            [right, back, 0.0],
            2e-4,
            &format!("{shape:?} {phase}"),
        );
    }
}

/// Whole lengths by scipy 1.17.1 (integrate.quad).
#[test]
fn a_round_takes_its_length_over_the_speed() {
    let pi = std::f64::consts::PI;
    for (shape, metres) in [
        (Shape::Circle { across: m(3.0) }, 3.0 * pi),
        (Shape::Eight { width: m(4.0), height: m(2.0) }, 12.194_446_940),
        (Shape::Eight { width: m(3.0), height: m(3.0) }, 14.144_146_945),
        (Shape::Eight { width: m(2.0), height: m(5.0) }, 20.764_859_672),
        (Shape::Line { length: m(4.0) }, 10.0),
        (Shape::Sweep { length: m(4.0) }, 10.0),
        (Shape::Fan { width: m(4.0) }, 5.0),
        (Shape::Wave { height: m(2.0) }, 2.0 * pi),
    ] {
        for speed in [0.5, 2.0] {
            let it = Figure { pace: Pace::Speed(MetresPerSecond::new(speed)), ..figure(shape) };
            let secs = Path::new(&it).round_secs(0.5).unwrap();
            assert!((secs - metres / speed).abs() < 1e-5, "{shape:?}: {secs} s");
        }
    }
    let beats = Figure { pace: Pace::Beats(4.0), ..figure(Shape::Circle { across: m(3.0) }) };
    assert_eq!(Path::new(&beats).round_secs(0.5), Some(2.0));
    assert_eq!(Path::new(&figure(Shape::Hold { across: m(3.0) })).round_secs(0.5), None);
}

/// The speed of the first light from tick to tick over a whole round.
fn speeds(figure: &Figure) -> Vec<f64> {
    let path = Path::new(figure);
    let place = first(figure);
    let ticks = (path.round_secs(0.5).unwrap() / 0.025) as usize;
    let at = |tick: usize| {
        path.around(Point::ORIGIN, path.rounds(tick as f64 * 0.025, tick as f64 * 0.05), &place)
    };
    (0..ticks).map(|tick| at(tick).distance(at(tick + 1)).get() / 0.025).collect()
}

#[test]
fn the_speed_is_the_one_asked_for() {
    for shape in all_shapes().into_iter().filter(|shape| shape.moves()) {
        for speed in [0.3, 1.0, 1.5] {
            let it = Figure { pace: Pace::Speed(MetresPerSecond::new(speed)), ..figure(shape) };
            let speeds = speeds(&it);
            let fastest = speeds.iter().copied().fold(0.0, f64::max);
            assert!((fastest / speed - 1.0).abs() < 0.01, "{shape:?}: {fastest} for {speed} m/s");
            let slowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
            match shape {
                Shape::Circle { .. } | Shape::Eight { .. } | Shape::Wander { .. } => {
                    assert!((slowest / speed - 1.0).abs() < 0.01, "{shape:?}: {slowest} for {speed} m/s");
                }
                // Three quarters of the way, which takes three fifths of the time, at full speed.
                Shape::Line { .. } | Shape::Sweep { .. } | Shape::Fan { .. } => {
                    let full = speeds.iter().filter(|one| (*one / speed - 1.0).abs() < 0.01).count();
                    let part = full as f64 / speeds.len() as f64;
                    assert!((part - 0.6).abs() < 0.03, "{shape:?}: {part} of the time at full speed");
                }
                Shape::Wave { .. } | Shape::Hold { .. } => {}
            }
        }
    }
}

#[test]
fn no_figure_leaves_its_size() {
    for shape in all_shapes() {
        for (name, backwards) in [("it", false), ("another", true), ("a third", false)] {
            let it = Figure { name: name.to_owned(), backwards, ..figure(shape) };
            let path = Path::new(&it);
            for light in 0..4 {
                let place = Place::new(&it, light, 4, light as u32 + 1);
                let mut outmost = [0.0_f64; 2];
                for step in 0..2000 {
                    let [right, back, up] = path.offset_at(f64::from(step) / 777.0, &place).map(Metres::get);
                    assert!(up.abs() <= 0.0);
                    outmost = [outmost[0].max(right.abs()), outmost[1].max(back.abs())];
                    if let Shape::Wander { across } = shape {
                        assert!(libm::hypot(right, back) <= across.get() / 2.0, "{name} {light}");
                    }
                }
                let (size, other) = shape.sizes();
                assert!(outmost[0] <= size.get() / 2.0 + 1e-9, "{shape:?} {outmost:?}");
                assert!(outmost[1] <= other.unwrap_or(size).get() / 2.0 + 1e-9, "{shape:?} {outmost:?}");
                if let Shape::Wander { across } = shape {
                    let most = outmost[0].max(outmost[1]);
                    assert!(most > 0.3 * across.get(), "it uses its room: {most} of {across}");
                }
            }
        }
    }
}

#[test]
fn a_wandering_spot_turns_gently() {
    for name in ["it", "another", "a third", "moths", "fireflies"] {
        let it = Figure { name: name.to_owned(), ..figure(Shape::Wander { across: m(4.0) }) };
        let path = Path::new(&it);
        let place = first(&it);
        let secs = path.round_secs(0.5).unwrap();
        let at = |secs: f64| path.offset_at(path.rounds(secs, 0.0), &place).map(Metres::get);
        // The sideways pull at 1 m/s is the curvature: nowhere a bend of less than 40 cm across.
        let pull = |time: f64| {
            let (a, b, c) = (at(time - 0.02), at(time), at(time + 0.02));
            libm::hypot(a[0] - 2.0 * b[0] + c[0], a[1] - 2.0 * b[1] + c[1]) / 4e-4
        };
        let strongest = (0..4000).map(|step| pull(secs * f64::from(step) / 4000.0)).fold(0.0, f64::max);
        assert!(strongest < 5.0, "{name}: {strongest}");
    }
}

#[test]
fn lights_of_a_group_are_apart_as_asked() {
    let circle = Shape::Circle { across: m(2.0) };
    for (spread, phase, count, places) in [
        (PhaseSpread::InOrder, 0.0, 4, &[(0.0, false), (0.0, false), (0.0, false), (0.0, false)][..]),
        (PhaseSpread::InOrder, 1.0, 4, &[(0.0, false), (0.25, false), (0.5, false), (0.75, false)]),
        (PhaseSpread::InOrder, 0.5, 2, &[(0.0, false), (0.25, false)]),
        (PhaseSpread::InOrder, 1.0, 1, &[(0.0, false)]),
        (PhaseSpread::FromTheMiddle, 1.0, 4, &[(0.5, false), (0.0, false), (0.0, false), (0.5, false)]),
        (PhaseSpread::FromTheMiddle, 0.6, 3, &[(0.3, false), (0.0, false), (0.3, false)]),
        (PhaseSpread::Mirrored, 0.0, 2, &[(0.0, false), (0.0, true)]),
        (PhaseSpread::Mirrored, 1.0, 4, &[(0.0, false), (0.5, false), (0.5, true), (0.0, true)]),
        (PhaseSpread::Mirrored, 0.4, 3, &[(0.0, false), (0.2, false), (0.0, true)]),
    ] {
        let it = Figure { phase, phase_spread: spread, ..figure(circle) };
        for (index, &(phase, mirrored)) in places.iter().enumerate() {
            let place = Place::new(&it, index, count, 1);
            assert!((place.phase - phase).abs() < 1e-12, "{spread:?} {index} of {count}: {place:?}");
            assert_eq!(place.mirrored, mirrored, "{spread:?} {index} of {count}");
        }
    }
    // Two that mirror each other are always at the same height and on opposite sides.
    let it = Figure { phase_spread: PhaseSpread::Mirrored, turn: Radians::from_deg(30.0), ..figure(circle) };
    for phase in [0.0, 0.1, 0.45, 0.8] {
        let [a, b] = [0, 1].map(|light| offset(&it, phase, &Place::new(&it, light, 2, 1)));
        assert_near(a, [-b[0], b[1], b[2]], 1e-12, "mirror");
    }
    // An open fan lies evenly along its width, in order.
    let it = figure(Shape::Fan { width: m(6.0) });
    let open: Vec<f64> = (0..4).map(|light| offset(&it, 0.5, &Place::new(&it, light, 4, 1))[0]).collect();
    for (got, wanted) in open.iter().zip([-3.0, -1.0, 1.0, 3.0]) {
        assert!((got - wanted).abs() < 1e-9, "{open:?}");
    }
}

#[test]
fn planes_turns_and_directions() {
    // A quarter of a round after the top of a circle: right, as seen from the side that the plane faces.
    let circle = Shape::Circle { across: m(2.0) };
    for (plane, top, right) in [
        (Plane::Floor, [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]),
        (Plane::BackWall, [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]),
        (Plane::LeftWall, [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]),
        (Plane::RightWall, [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]),
        (Plane::FrontWall, [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]),
        (Plane::Facing([0.0, 0.0, 5.0]), [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]),
        (Plane::Facing([0.0, -3.0, 0.0]), [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]),
        (Plane::Facing([0.0, 0.0, -1.0]), [0.0, -1.0, 0.0], [1.0, 0.0, 0.0]),
        (Plane::Facing([0.0, -1.0, 1.0]), [0.0, 0.5_f64.sqrt(), 0.5_f64.sqrt()], [1.0, 0.0, 0.0]),
        (Plane::Facing([0.0, 0.0, 0.0]), [0.0, 1.0, 0.0], [1.0, 0.0, 0.0]),
    ] {
        let it = Figure { plane, ..figure(circle) };
        let place = first(&it);
        assert_near(offset(&it, 0.0, &place), top, 1e-12, &format!("{plane:?}"));
        assert_near(offset(&it, 0.25, &place), right, 1e-12, &format!("{plane:?}"));
        let back = Figure { backwards: true, ..it };
        assert_near(offset(&back, 0.75, &place), right, 1e-12, &format!("{plane:?} backwards"));
    }
    let line = Figure { turn: Radians::from_deg(90.0), ..figure(Shape::Line { length: m(4.0) }) };
    assert_near(
        offset(&line, 0.25, &first(&line)),
        [0.0, 2.0, 0.0],
        1e-12,
        "turned to run away from the audience",
    );
}

#[test]
fn wandering_lights_go_their_own_ways_the_same_every_time() {
    let it = figure(Shape::Wander { across: m(4.0) });
    let path = Path::new(&it);
    assert_eq!(path, Path::new(&it));
    let at = |phase, number| path.offset_at(phase, &Place::new(&it, 0, 4, number)).map(Metres::get);
    let way = |number| -> Vec<[f64; 3]> { (0..40).map(|step| at(f64::from(step) / 40.0, number)).collect() };
    let apart =
        way(1).iter().zip(&way(2)).map(|(a, b)| libm::hypot(a[0] - b[0], a[1] - b[1])).fold(0.0, f64::max);
    assert!(apart > 0.5, "{apart}");
    // A fixed row, so that no later version changes a show: right, back at a quarter of a round.
    assert_near(at(0.25, 1), [-0.665_572_422, -0.730_014_666, 0.0], 1e-8, "a fixed place");
}
