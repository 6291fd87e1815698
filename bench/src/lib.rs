//! Shared by the benchmarks: rigs of any size, and times of several things taken in turns, so that whatever else the
//! machine does meets all of them alike. Compare what stands in one table; seconds of two runs mean little.

pub mod descriptions;
pub mod program;
#[path = "../../crates/live/src/testing.rs"]
mod testing;

use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

use lanthorn_live::Machine;
use lanthorn_rig::Rig;
use lanthorn_show::Show;

/// Heads that fill one universe: 36 of 14 slots.
pub const HEADS: usize = testing::HEADS;

/// So many universes full of 16-bit RGBW heads.
pub fn rig(universes: usize) -> Rig {
    testing::rig_of(universes)
}

/// A chase that keeps every head moving and changing colour, and starts by itself.
pub fn show() -> Show {
    testing::show()
}

/// Rig and show, ready to tick.
pub fn machine(universes: usize) -> Machine {
    Machine::new(Arc::new(show()), Arc::new(rig(universes)))
}

/// Times of one thing done again and again, ascending.
#[derive(Clone, Debug, Default)]
pub struct Times(Vec<Duration>);

impl Times {
    /// From single times, in any order.
    pub fn new(mut times: Vec<Duration>) -> Self {
        times.sort_unstable();
        Self(times)
    }

    /// Microseconds at a place in order: 0 the shortest, 0.5 the median, 1 the longest; NaN when nothing was timed.
    pub fn at(&self, place: f64) -> f64 {
        let index = (place * (self.0.len() as f64 - 1.0)).round() as usize;
        self.0.get(index).map_or(f64::NAN, |time| time.as_secs_f64() * 1e6)
    }

    /// Microseconds; half are shorter.
    pub fn median(&self) -> f64 {
        self.at(0.5)
    }

    /// Microseconds; the least disturbed.
    pub fn min(&self) -> f64 {
        self.at(0.0)
    }

    /// How many are shorter than `limit`.
    pub fn within(&self, limit: Duration) -> usize {
        self.0.partition_point(|time| *time < limit)
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.0.len()
    }
}

/// Does several things in turns, each once in every round, until `budget` is spent (five rounds at least), and times
/// each. The first round warms up and is not counted.
pub fn in_turns<const N: usize>(budget: Duration, mut things: [&mut dyn FnMut(); N]) -> [Times; N] {
    let mut times: [Vec<Duration>; N] = std::array::from_fn(|_| Vec::new());
    things.iter_mut().for_each(|thing| thing());
    let begun = Instant::now();
    while begun.elapsed() < budget || times.first().is_some_and(|times| times.len() < 5) {
        for (thing, times) in things.iter_mut().zip(&mut times) {
            let begun = Instant::now();
            thing();
            times.push(begun.elapsed());
        }
    }
    times.map(Times::new)
}

/// Nanoseconds for one of `count` calls in a row, median over rounds.
pub fn each_ns<T>(budget: Duration, count: usize, mut call: impl FnMut(usize) -> T) -> f64 {
    let mut round = || (0..count).for_each(|index| drop(black_box(call(index))));
    let [times] = in_turns(budget, [&mut round]);
    times.median() * 1e3 / count as f64
}

/// Prints a row of a table: the first column to the left, the others to the right.
pub fn row(columns: &[String]) {
    let mut columns = columns.iter();
    let first = columns.next().map_or("", String::as_str);
    let rest: String = columns.map(|column| format!(" {column:>14}")).collect();
    println!("{first:<26}{rest}");
}

/// The same for the head of a table.
pub fn head(columns: &[&str]) {
    println!();
    row(&columns.iter().map(|column| (*column).to_owned()).collect::<Vec<_>>());
}
