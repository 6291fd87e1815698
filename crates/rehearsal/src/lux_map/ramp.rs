//! The colours of a light level map: from dark to light in even steps of OKLab lightness, so that their order shows in
//! grey print too, and from violet over grey-green to yellow, so that it shows to those who do not tell red from green.

use lanthorn_physics::colour::{Oklab, hex_of_rgb8, rgb8_of_xyz};

/// Lightness of the darkest and of the lightest band.
const LIGHTNESS: [f64; 2] = [0.20, 0.95];
/// OKLab a and b at the dark end, in the middle, at the light end.
const COURSE: [[f64; 2]; 3] = [[0.035, -0.085], [-0.045, -0.005], [-0.015, 0.115]];

/// Colour of a band, `#rrggbb`: `band` of `of` bands, 0 the darkest.
pub fn band_colour(band: usize, of: usize) -> String {
    let part = if of < 2 { 0.0 } else { (band as f64 / (of - 1) as f64).clamp(0.0, 1.0) };
    hex_of_rgb8(rgb8_of_xyz(at(part).to_xyz()))
}

fn at(part: f64) -> Oklab {
    let [dark, middle, light] = COURSE;
    // A parabola through the three.
    let through = |axis: usize| {
        let (a, b, c) = (dark[axis], middle[axis], light[axis]);
        let bend = 2.0 * a - 4.0 * b + 2.0 * c;
        a + part * ((c - a) - bend) + part * part * bend
    };
    let l = LIGHTNESS[0] + (LIGHTNESS[1] - LIGHTNESS[0]) * part;
    Oklab { l, a: through(0), b: through(1) }
}
