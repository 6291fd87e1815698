//! Which parts follow each other, and who plays in them.

pub(crate) mod whole;

use crate::dice::Dice;
use crate::style::{Form, Style};
use crate::truth::Mark;

/// What the drums do in a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Drums {
    Rest,
    /// All but the kick.
    NoKick,
    /// Kick and hats.
    Bare,
    Full,
    /// A roll that becomes faster.
    Roll,
    /// The same of claps.
    Claps,
    /// The same of kicks.
    Kicks,
    /// One kick and one snare a bar.
    Half,
}

/// A part of the form.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scene {
    pub(crate) bars: usize,
    pub(crate) mark: Mark,
    pub(crate) drums: Drums,
    pub(crate) bass: bool,
    pub(crate) comp: bool,
    pub(crate) lead: bool,
    pub(crate) pad: bool,
    /// 0.5 to 1: how loudly.
    pub(crate) force: f32,
    /// So many beats before its end all stops.
    pub(crate) stop: f32,
    /// So many semitones higher.
    pub(crate) up: i32,
}

/// Kick, bass, chords, lead, pad, force.
fn scene(mark: Mark, drums: Drums, who: &str, force: f32) -> Scene {
    let has = |c| who.contains(c);
    Scene {
        bars: 8,
        mark,
        drums,
        bass: has('b'),
        comp: has('c'),
        lead: has('l'),
        pad: has('p'),
        force,
        stop: 0.0,
        up: 0,
    }
}

/// Parts for at least `bars` bars, beginning anywhere in the form.
pub(crate) fn scenes(style: &Style, bars: usize, dice: &mut Dice) -> Vec<Scene> {
    if style.plain() {
        return (0..=bars / 8).map(|_| scene(Mark::Section, Drums::Full, "bc", 0.9)).collect();
    }
    let round = round(style, dice);
    let mut at = dice.int(0, round.len() - 1);
    let lengths: &[usize] = if style.form == Form::Dance { &[4, 4, 8, 8, 8, 16] } else { &[4, 8, 8, 16] };
    let long = *dice.pick(lengths);
    let (mut out, mut total) = (Vec::new(), 0);
    let mut into = if dice.chance(0.5) { 0 } else { dice.int(0, long / 2) };
    while total < bars + 1 {
        let mut next = round[at % round.len()];
        let length = match next.mark {
            Mark::Build => *dice.pick(&[4, long.min(8)]),
            Mark::Breakdown => long.min(8),
            _ if dice.chance(0.2) => *dice.pick(&[4, 8, 16]),
            _ => long,
        };
        next.bars = length - into.min(length - 1);
        into = 0;
        vary(&mut next, style, dice);
        total += next.bars;
        out.push(next);
        at += 1;
    }
    out
}

/// Chance may take an instrument away or bring one.
fn vary(scene: &mut Scene, style: &Style, dice: &mut Dice) {
    if style.grooves.is_empty() {
        scene.drums = Drums::Rest;
        scene.comp |= !scene.bass;
        scene.bass = !style.bass.is_empty() && !dice.chance(0.1);
        return;
    }
    let core = scene.drums == Drums::Full;
    scene.bass ^= dice.chance(if core { 0.04 } else { 0.15 });
    scene.comp ^= dice.chance(0.12);
    scene.lead ^= dice.chance(0.2);
    scene.pad ^= dice.chance(0.15);
    if scene.drums == Drums::Rest && !(scene.bass || scene.comp || scene.lead) {
        scene.comp = true;
    }
}

fn round(style: &Style, dice: &mut Dice) -> Vec<Scene> {
    use Drums::{Bare, Full, NoKick, Rest, Roll};
    use Mark::{Breakdown, Build, Drop, Lift, Section};
    match style.form {
        Form::Dance => {
            let hush = *dice.pick(&[Rest, Rest, NoKick]);
            let mut parts = vec![
                scene(Section, Bare, "", 0.8),
                scene(Section, Full, "bc", 0.9),
                scene(Breakdown, hush, dice.pick::<&str>(&["cp", "lp", "cl", "pl"]), 0.55),
                scene(Build, Roll, "cp", 0.7),
                scene(Drop, Full, "bcl", 1.0),
                scene(Section, Full, "bcp", 0.95),
                scene(Breakdown, Rest, dice.pick::<&str>(&["lp", "pb", "cl", "l"]), 0.5),
            ];
            if dice.chance(0.6) {
                parts.push(scene(Build, Roll, "lp", 0.75));
            }
            parts.extend([scene(Drop, Full, "bcl", 1.0), scene(Section, Bare, "b", 0.8)]);
            parts
        }
        Form::Song => {
            let bridge = if dice.chance(0.5) {
                scene(Breakdown, Rest, "cl", 0.55)
            } else {
                scene(Section, NoKick, "bcp", 0.65)
            };
            vec![
                scene(Section, *dice.pick(&[Rest, Full, Bare, NoKick]), "c", 0.7),
                scene(Section, Full, "bcl", 0.75),
                scene(Lift, Full, "bclp", 1.0),
                scene(Section, Full, "bcl", 0.75),
                scene(Lift, Full, "bclp", 1.0),
                bridge,
                scene(Lift, Full, "bclp", 1.0),
            ]
        }
        Form::Groove => vec![
            scene(Section, Full, "bc", 0.85),
            scene(Section, Full, "bcl", 0.9),
            scene(Section, Full, "bcp", 0.85),
            scene(Breakdown, NoKick, "bc", 0.65),
            scene(Lift, Full, "bcl", 1.0),
        ],
        Form::Tune => vec![
            scene(Section, Full, "bcl", 0.85),
            scene(Section, Full, "bcl", 0.85),
            scene(Section, Full, "bclp", 0.95),
            scene(Section, NoKick, "bcl", 0.75),
        ],
    }
}
