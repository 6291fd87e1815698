use super::*;
use lanthorn_physics::colour::{Oklab, linear_of_srgb, rgb8_of_hex, xyz_of_linear_rgb};

#[test]
fn levels_are_a_one_two_five_series() {
    assert_eq!(series(0.4), [0.0; 0]);
    assert_eq!(series(30.0), [1.0, 2.0, 5.0, 10.0, 20.0]);
    assert_eq!(series(1200.0), [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0]);
}

#[test]
fn a_contour_of_a_cone_is_a_circle() {
    // Height 10 − distance from the middle: the line at 4 is a circle of radius 6 about (1, −2).
    let count = [81, 81];
    let (from, step) = ([-9.0, -12.0], 0.25);
    let grid: Vec<f64> = (0..count[1])
        .flat_map(|row| (0..count[0]).map(move |column| (row, column)))
        .map(|(row, column)| {
            let (x, y) = (from[0] + column as f64 * step, from[1] + row as f64 * step);
            10.0 - libm::hypot(x - 1.0, y + 2.0)
        })
        .collect();
    let lines = contour::lines(&grid, count, from, step, 4.0);
    assert_eq!(lines.len(), 1);
    assert!(lines[0].closed && lines[0].line.len() > 60, "{}", lines[0].line.len());
    for [x, y] in &lines[0].line {
        assert!((libm::hypot(x - 1.0, y + 2.0) - 6.0).abs() < 0.01, "{x} {y}");
    }
    // Its length is the circle's.
    let length: f64 = lines[0]
        .line
        .windows(2)
        .map(|pair| libm::hypot(pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]))
        .sum();
    assert!((length / (12.0 * std::f64::consts::PI) - 1.0).abs() < 2e-3, "{length}");
    // One that runs out of the grid is open and ends at its rim: a circle of radius 9.5 about (1, −2) passes x = 10 and y = −11.
    let open = contour::lines(&grid, count, from, step, 0.5);
    assert!(!open.is_empty() && open.iter().all(|line| line.closed || line.line.len() > 1));
}

#[test]
fn contours_of_a_saddle_do_not_cross() {
    let grid = [1.0, 0.0, 0.0, 1.0];
    let lines = contour::lines(&grid, [2, 2], [0.0, 0.0], 1.0, 0.6);
    assert_eq!(lines.len(), 2);
    assert!(lines.iter().all(|line| line.line.len() == 2 && !line.closed));
}

#[test]
fn colours_go_from_dark_to_light_in_steps_that_grey_print_keeps() {
    let lightness = |hex: &str| {
        let rgb = rgb8_of_hex(hex).unwrap().map(|part| linear_of_srgb(f64::from(part) / 255.0));
        Oklab::from_xyz(xyz_of_linear_rgb(rgb)).l
    };
    for of in 2..=9 {
        let steps: Vec<f64> = (0..of).map(|band| lightness(&band_colour(band, of))).collect();
        let even = 0.75 / (of - 1) as f64;
        for pair in steps.windows(2) {
            assert!((pair[1] - pair[0] - even).abs() < 0.02, "{of}: {steps:?}");
        }
    }
}
