//! Lights on circuits by search: forty lights on eight circuits, from roomy to full to the brim, and an order of forty lights.

use std::hint::black_box;
use std::time::Duration;

use lanthorn_bench::{Times, head, in_turns, row};
use lanthorn_rig::sums::assign::{Bin, Item, Problem, assign};
use lanthorn_rig::sums::route::shortest;

const BUDGET: Duration = Duration::from_secs(2);

fn main() {
    println!("40 lights of 0.7 to 4 A on 8 circuits, one core");
    head(&["what", "median ms", "longest ms", "fits", "certain", "moved"]);
    for full in [0.7, 0.9, 0.98, 0.9999, 1.02] {
        tell(&format!("{:.2} % full, on none yet", full * 100.0), &problem(full, None));
        tell(&format!("{:.2} % full, five on each", full * 100.0), &problem(full, Some(5)));
    }
    let between: Vec<Vec<f64>> = (0..40_u32).map(|a| (0..40_u32).map(|b| way(a, b)).collect()).collect();
    let [times] = in_turns(
        BUDGET,
        [&mut || {
            black_box(shortest(None, &between));
        }],
    );
    row(&["order of 40 lights".to_owned(), ms(&times, 0.5), ms(&times, 1.0)]);
}

/// Lights of odd currents that nothing but search divides evenly.
fn problem(full: f64, on_each: Option<usize>) -> Problem {
    let amps: Vec<f64> = (0..40).map(|n| 0.71 + f64::from(n * 37 % 41) * 0.083).collect();
    let room = amps.iter().sum::<f64>() / 8.0 / full;
    let item =
        |(index, amps): (usize, &f64)| Item { now: on_each.map(|each| index / each), ..Item::free(*amps) };
    Problem {
        items: amps.iter().enumerate().map(item).collect(),
        bins: vec![Bin { room, limit: room, other: 0.0, phase: None }; 8],
        even_phases: false,
    }
}

fn way(a: u32, b: u32) -> f64 {
    let at = |n: u32| (f64::from(n * 17 % 40), f64::from(n * 29 % 23));
    let ((x, y), (u, v)) = (at(a), at(b));
    (x - u).abs() + (y - v).abs()
}

fn tell(what: &str, problem: &Problem) {
    let [times] = in_turns(
        BUDGET,
        [&mut || {
            black_box(assign(black_box(problem)));
        }],
    );
    let answer = assign(problem);
    let moved = answer.best.moved.len().to_string();
    row(&[
        what.to_owned(),
        ms(&times, 0.5),
        ms(&times, 1.0),
        answer.fits.to_string(),
        answer.settled.to_string(),
        moved,
    ]);
}

fn ms(times: &Times, place: f64) -> String {
    format!("{:.1}", times.at(place) / 1e3)
}
