//! Whole arrangements: a song from its beginning, with builds of several kinds, silence before the drop, drops that do not
//! come, two of them in a piece, bridges, and a last chorus in another key.

use super::{Drums, Scene, scene};
use crate::dice::Dice;
use crate::style::{Form, Style};
use crate::truth::Mark;

/// Parts for at least `bars` bars.
pub(crate) fn scenes(style: &Style, bars: usize, dice: &mut Dice) -> Vec<Scene> {
    let mut out = Vec::new();
    let total = |out: &[Scene]| out.iter().map(|scene| scene.bars).sum::<usize>();
    let long = if bars > 48 { 8 } else { *dice.pick(&[4, 8, 8]) };
    if style.form == Form::Dance {
        intro(&mut out, long, dice);
    }
    while total(&out) <= bars {
        match style.form {
            Form::Dance => {
                groove(&mut out, long, dice);
                tension(&mut out, long, dice);
                release(&mut out, long, dice);
            }
            Form::Song => song(&mut out, dice),
            Form::Groove | Form::Tune => rounds(&mut out, dice),
        }
    }
    if style.grooves.is_empty() {
        for scene in &mut out {
            scene.drums = Drums::Rest;
            scene.comp |= !scene.bass;
        }
    }
    out
}

fn part(mark: Mark, drums: Drums, who: &str, force: f32, bars: usize) -> Scene {
    Scene { bars, ..scene(mark, drums, who, force) }
}

fn intro(out: &mut Vec<Scene>, long: usize, dice: &mut Dice) {
    let bars = *dice.pick(&[long / 2, long, 4]);
    out.extend(match dice.int(0, 6) {
        0 | 1 => Some(part(Mark::Section, Drums::Bare, "", 0.85, bars)),
        2 => Some(part(Mark::Section, Drums::NoKick, dice.pick::<&str>(&["c", "l", "cp"]), 0.75, bars)),
        3 => Some(part(Mark::Section, Drums::Rest, dice.pick::<&str>(&["cp", "lp", "p"]), 0.6, bars)),
        _ => None,
    });
}

fn groove(out: &mut Vec<Scene>, long: usize, dice: &mut Dice) {
    let who = ["bc", "bcp", "bl", "b"];
    let first = dice.int(0, 3);
    for at in 0..dice.int(1, 2) {
        let bars = *dice.pick(&[long, 8, 8]);
        out.push(part(Mark::Section, Drums::Full, who[(first + at) % 4], 0.92, bars));
    }
}

/// A breakdown, mostly with a build after it; now and then it only seems to end.
fn tension(out: &mut Vec<Scene>, long: usize, dice: &mut Dice) {
    let hush = *dice.pick(&[Drums::Rest, Drums::Rest, Drums::NoKick]);
    let who = *dice.pick::<&str>(&["cp", "lp", "cl", "pl", "clp", "l", "p", "pb"]);
    let bars = *dice.pick(&[4, 4, 8, 8, long, 16]);
    out.push(part(Mark::Breakdown, hush, who, dice.span(0.45, 0.95), bars));
    let rounds = if dice.chance(0.12) { 2 } else { 1 };
    for round in 0..rounds {
        if dice.chance(0.7) {
            let drums = *dice.pick(&[Drums::Roll, Drums::Roll, Drums::Claps, Drums::Kicks, Drums::Rest]);
            let with = *dice.pick::<&str>(&["cp", "lp", "cl", "clp", ""]);
            out.push(part(Mark::Build, drums, with, dice.span(0.6, 0.95), *dice.pick(&[2, 4, 4, 8])));
        }
        if round + 1 < rounds {
            out.push(part(Mark::Section, Drums::Rest, who, dice.span(0.4, 0.8), *dice.pick(&[2, 4])));
        }
    }
    if let Some(last) = out.last_mut() {
        last.stop = *dice.pick(&[0.0, 0.0, 0.0, 0.5, 1.0, 2.0, 4.0]);
    }
}

/// The drop, and what may follow it.
fn release(out: &mut Vec<Scene>, long: usize, dice: &mut Dice) {
    let drums = if dice.chance(0.15) { Drums::Half } else { Drums::Full };
    let who = *dice.pick::<&str>(&["bcl", "bl", "bcp", "bclp", "bc"]);
    out.push(part(Mark::Drop, drums, who, 1.0, *dice.pick(&[long, 8, 8, 16])));
    match dice.int(0, 3) {
        0 => out.push(part(Mark::Section, Drums::Full, "bclp", 1.0, long)),
        1 => out.push(part(Mark::Section, Drums::Bare, "b", 0.85, *dice.pick(&[4, 8]))),
        _ => {}
    }
}

fn song(out: &mut Vec<Scene>, dice: &mut Dice) {
    let bars = *dice.pick(&[4, 8, 8]);
    if dice.chance(0.7) {
        let drums = *dice.pick(&[Drums::Rest, Drums::Full, Drums::Bare, Drums::NoKick]);
        out.push(part(Mark::Section, drums, "c", 0.7, *dice.pick(&[2, 4, 8])));
    }
    let chorus = |up: i32| Scene { up, ..part(Mark::Lift, Drums::Full, "bclp", 1.0, 8) };
    for round in 0..2 {
        let quiet = round == 0 && dice.chance(0.3);
        let drums = if quiet { *dice.pick(&[Drums::NoKick, Drums::Bare]) } else { Drums::Full };
        out.push(part(Mark::Section, drums, "bcl", 0.75, bars));
        if dice.chance(0.35) {
            out.push(part(Mark::Section, *dice.pick(&[Drums::Full, Drums::NoKick]), "bcp", 0.85, 4));
        }
        out.push(chorus(0));
        if dice.chance(0.3) {
            out.push(part(Mark::Section, Drums::Full, "bc", 0.8, 4));
        }
    }
    match dice.int(0, 3) {
        0 => out.push(part(Mark::Breakdown, Drums::Rest, dice.pick::<&str>(&["cl", "pl", "c"]), 0.55, 4)),
        1 => out.push(part(Mark::Section, Drums::NoKick, "bcp", 0.65, *dice.pick(&[4, 8]))),
        2 => out.push(part(Mark::Section, Drums::Half, "bcl", 0.85, 8)),
        _ => {}
    }
    out.push(chorus(*dice.pick(&[0, 0, 1, 2])));
}

fn rounds(out: &mut Vec<Scene>, dice: &mut Dice) {
    let who = ["bc", "bcl", "bcp", "bclp"];
    let first = dice.int(0, 3);
    for at in 0..4 {
        let bars = *dice.pick(&[8, 8, 16]);
        let up = if at == 3 { *dice.pick(&[0, 0, 5, 7]) } else { 0 };
        let thin = dice.chance(0.15);
        let drums = if thin { *dice.pick(&[Drums::NoKick, Drums::Bare]) } else { Drums::Full };
        let scene = part(Mark::Section, drums, who[(first + at) % 4], dice.span(0.75, 1.0), bars);
        out.push(Scene { up, ..scene });
    }
}
