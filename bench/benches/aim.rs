//! The parts of a tick: aim, colour, encode.

use std::time::Duration;

use lanthorn_bench::{HEADS, each_ns, head, rig, row};
use lanthorn_fixture::{Encoder, HeadState, UnitState};
use lanthorn_physics::Point;
use lanthorn_physics::colour::{Chromaticity, mix};
use lanthorn_physics::units::Radians;
use lanthorn_rig::aim::Head;

const BUDGET: Duration = Duration::from_secs(2);
const CALLS: usize = 1000;

/// Colour and relative light of typical emitters: red, green, blue, white, amber, lime, cyan, ultraviolet.
const EMITTERS: [(f64, f64, f64); 8] = [
    (0.6915, 0.3084, 0.30),
    (0.162, 0.733, 0.65),
    (0.1495, 0.0309, 0.11),
    (0.3246, 0.3420, 1.0),
    (0.5874, 0.4120, 0.25),
    (0.41, 0.54, 1.1),
    (0.0725, 0.479, 0.4),
    (0.18, 0.03, 0.004),
];

fn main() {
    println!("parts of a tick, one core, median of rounds of {CALLS} calls");
    head(&["what", "ns a call", "calls a second"]);
    let rig = rig(1);
    let heads: Vec<Head> = rig.units.iter().filter_map(|unit| Head::new(&rig, unit)).collect();
    assert_eq!(heads.len(), HEADS);
    let (points, pastel, vivid) = (table(point), table(pastel), table(vivid));
    let current = (Radians::ZERO, Radians::ZERO);
    tell("aim: nearest solution", |index| heads[index % HEADS].nearest(points[index], current));
    tell("aim: all solutions", |index| heads[index % HEADS].solve(points[index], current));
    for count in [3, 4, 6, 8] {
        let emitters = EMITTERS[..count]
            .iter()
            .map(|&(x, y, luminance)| mix::Emitter { chromaticity: Chromaticity::new(x, y), luminance });
        let mixer = mix::Mixer::new(&emitters.collect::<Vec<_>>());
        tell(&format!("colour: {count} emitters, in"), |index| mixer.max_output(pastel[index]));
        tell(&format!("colour: {count} emitters, out"), |index| mixer.max_output(vivid[index]));
    }
    let unit = &rig.units[0];
    let encoder = Encoder::new(&unit.profile, unit.mode);
    let mut slots = [0; 512];
    let mut state = UnitState::dark(1);
    tell("encode: one RGBW head", |index| {
        state.heads[0] = HeadState { level: 0.7, colour: Some(pastel[index]), ..HeadState::default() };
        encoder.encode(&state, &mut slots);
        slots[0]
    });
}

fn tell<T>(what: &str, call: impl FnMut(usize) -> T) {
    let ns = each_ns(BUDGET / 4, CALLS, call);
    row(&[what.to_owned(), format!("{ns:.0}"), format!("{:.2} M", 1e3 / ns)]);
}

/// Made before, so that making them is not timed.
fn table<T>(make: impl Fn(usize) -> T) -> Vec<T> {
    (0..CALLS).map(make).collect()
}

/// Somewhere on the floor.
fn point(index: usize) -> Point {
    let turn = index as f64 * 2.399_963; // the golden angle: never the same place twice
    Point::new(4.0 * turn.sin(), 3.0 * turn.cos() - 2.0, 0.0)
}

/// Colours near white, which all these emitters reach.
fn pastel(index: usize) -> Chromaticity {
    let turn = index as f64 * 2.399_963;
    Chromaticity::new(0.33 + 0.04 * turn.sin(), 0.33 + 0.04 * turn.cos())
}

/// Colours of the rim of what the eye sees, which they do not.
fn vivid(index: usize) -> Chromaticity {
    [(0.08, 0.83), (0.73, 0.265), (0.17, 0.006), (0.05, 0.30), (0.5, 0.495)]
        .map(|(x, y)| Chromaticity::new(x, y))[index % 5]
}
