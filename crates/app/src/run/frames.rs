//! `lanthorn frames SHOW --at TIME`

use std::io::Write;
use std::sync::Arc;

use lanthorn_dmx::Frames;
use lanthorn_live::Machine;
use lanthorn_live::engine::PERIOD;
use lanthorn_physics::Instant;
use serde::Serialize;

use super::Failure;
use crate::command;
use crate::files;

/// What is printed with `--json`.
#[derive(Serialize)]
struct Printed {
    show: String,
    start: Option<String>,
    period_s: f64,
    frames: Vec<PrintedFrame>,
}

#[derive(Serialize)]
struct PrintedFrame {
    at_s: f64,
    universes: Vec<PrintedUniverse>,
}

#[derive(Serialize)]
struct PrintedUniverse {
    universe: u16,
    slots: Vec<u8>,
}

/// Prints the channel values that the running machine would send: it is the same machine, ticked from zero at the
/// same moments.
pub(crate) fn run(options: &command::Frames) -> Result<(), Failure> {
    let mut opened = files::open(&options.show)?;
    opened.start_with(options.start.as_deref())?;
    opened.print_warnings();
    let (first, last) = match (options.at, options.from, options.to) {
        (Some(at), _, _) => (tick_at(at), tick_at(at)),
        (None, Some(from), Some(to)) if from <= to => (tick_at(from), tick_at(to)),
        _ => return Err(Failure::Input("frames: --to must not lie before --from".to_owned())),
    };
    let mut printed = Printed {
        show: opened.file.show.name.clone(),
        start: opened.file.show.start.clone(),
        period_s: PERIOD.secs(),
        frames: Vec::new(),
    };
    let mut machine = Machine::new(Arc::new(opened.file.show), Arc::new(opened.file.rig));
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    for tick in 0..=last {
        let now = Instant::ZERO + PERIOD * tick;
        let frames = machine.tick(now);
        if tick < first {
            continue;
        }
        if options.json {
            printed.frames.push(PrintedFrame::new(now, frames));
        } else {
            print(&mut out, now, frames)?;
        }
    }
    if options.json {
        serde_json::to_writer(&mut out, &printed).map_err(std::io::Error::from)?;
        writeln!(out)?;
    }
    out.flush()?;
    Ok(())
}

/// The tick that is on at a moment.
fn tick_at(moment: Instant) -> i64 {
    moment.micros() / PERIOD.micros()
}

impl PrintedFrame {
    fn new(now: Instant, frames: &Frames) -> Self {
        let universe = |(universe, frame): (lanthorn_dmx::Universe, &lanthorn_dmx::Frame)| PrintedUniverse {
            universe: universe.number(),
            slots: frame.0.to_vec(),
        };
        Self { at_s: now.secs(), universes: frames.iter().map(universe).collect() }
    }
}

/// Sixteen slots a line; lines that are all zero are left out.
fn print(out: &mut impl Write, now: Instant, frames: &Frames) -> std::io::Result<()> {
    for (universe, frame) in frames.iter() {
        writeln!(out, "at {:.3} s, universe {}", now.secs(), universe.number())?;
        for (row, slots) in frame.0.chunks(16).enumerate() {
            if slots.iter().any(|&slot| slot != 0) {
                let values: String = slots.iter().map(|slot| format!(" {slot:3}")).collect();
                writeln!(out, "  {:3}:{values}", row * 16 + 1)?;
            }
        }
    }
    Ok(())
}
