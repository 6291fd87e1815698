//! Drums: from grooves to strikes, with fills, rolls and crashes.

use crate::dice::Dice;
use crate::form::{Drums, Scene};
use crate::grid::Grid;
use crate::kit::Drum;
use crate::style::{Groove, Style};
use crate::truth::{Class, Mark};

/// One strike.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hit {
    pub(crate) at: f64,
    pub(crate) drum: Drum,
    /// 0 to 1.
    pub(crate) force: f32,
}

/// What the drummer of one song plays.
pub(crate) struct Drummer<'a> {
    style: &'a Style,
    /// For each drum, forces of the steps of two bars; 0 is none.
    beat: Vec<(Drum, Vec<f32>)>,
    fill_every: usize,
    fills: f32,
    crashes: f32,
}

/// The signs of bar `bar` of a pattern: repeated within the bar, or two bars long.
pub(crate) fn bar_of(pattern: &str, bar: usize, steps: usize) -> Vec<char> {
    let signs: Vec<char> = pattern.chars().collect();
    let shift = if signs.len() > steps { (bar % 2) * steps } else { 0 };
    (0..steps).map(|s| signs[(s + shift) % signs.len()]).collect()
}

/// What a drummer makes of a groove: other hats, more kicks, a clap on the snare, a player of percussion beside.
fn change(beat: &mut Vec<(Drum, Vec<f32>)>, steps: usize, per_beat: usize, dice: &mut Dice) {
    const TIMES: &[&str] = &["x...", "x.", "x.x.xox.", "..x.", "..X.", "xoxo", "XooX", "xoo", "x"];
    const BESIDE: &[(Drum, &str)] = &[
        (Drum::Tamb, "....X..."),
        (Drum::Tamb, "x.x."),
        (Drum::Shaker, "XoxoXoxo"),
        (Drum::Shaker, "x.xx"),
        (Drum::Bell, "x..."),
        (Drum::Bell, "..x..x.."),
        (Drum::CongaHi, "..4..64."),
        (Drum::CongaLo, "....5.6."),
        (Drum::Ride, "x.x."),
    ];
    let row = |pattern: &str, dice: &mut Dice| -> Vec<f32> {
        (0..2).flat_map(|bar| bar_of(pattern, bar, steps)).map(|c| force(c, dice)).collect()
    };
    for (drum, forces) in beat.iter_mut() {
        if drum.class() == Class::Hat && dice.chance(0.2) {
            *forces = row(
                if per_beat == 3 {
                    dice.pick::<&str>(&["x..", "xxx", "x.x", "X.o"])
                } else {
                    dice.pick::<&str>(TIMES)
                },
                dice,
            );
        }
        if *drum == Drum::Kick && dice.chance(0.25) {
            let more = dice.span(0.03, 0.2);
            forces
                .iter_mut()
                .filter(|f| **f == 0.0)
                .for_each(|f| *f = if dice.chance(more) { 0.7 } else { 0.0 });
        }
    }
    if dice.chance(0.12)
        && let Some((_, claps)) = beat.iter().find(|b| b.0 == Drum::Snare).cloned()
    {
        beat.push((Drum::Clap, claps.iter().map(|&f| if f > 0.6 { f } else { 0.0 }).collect()));
    }
    if per_beat == 4 && dice.chance(0.25) {
        let &(drum, pattern) = dice.pick(BESIDE);
        beat.push((drum, row(pattern, dice)));
    }
}

/// The sticks of a first bar, one a beat.
pub(crate) fn count_in(grid: &Grid) -> Vec<Hit> {
    let beats = 0..usize::from(grid.meter.beats);
    let at = |beat: usize| grid.at(0, (beat * usize::from(grid.meter.steps)) as f64);
    beats.map(|beat| Hit { at: at(beat), drum: Drum::Clave, force: 0.9 }).collect()
}

/// Two bars in half time: the kick on the first beat, the snare in the middle.
fn half(class: Class, steps: usize) -> Vec<f32> {
    let at = if class == Class::Kick { 0 } else { steps / 2 };
    (0..2 * steps).map(|step| if step % steps == at { 0.9 } else { 0.0 }).collect()
}

fn force(sign: char, dice: &mut Dice) -> f32 {
    let (chance, force) = match sign {
        'X' => (1.0, 1.0),
        'x' => (1.0, 0.75),
        'o' => (1.0, 0.3),
        '1'..='9' => ((sign as u8 - b'0') as f32 / 10.0, 0.75),
        'a'..='i' => ((sign as u8 - b'a' + 1) as f32 / 10.0, 0.28),
        _ => (0.0, 0.0),
    };
    if dice.chance(chance) { force } else { 0.0 }
}

impl<'a> Drummer<'a> {
    pub(crate) fn choose(style: &'a Style, steps: usize, dice: &mut Dice) -> Drummer<'a> {
        let groove: Groove = if style.grooves.is_empty() { &[] } else { *dice.pick(style.grooves) };
        let sparse = if style.plain() { 0.0 } else { dice.span(0.0, 0.25) };
        let mut beat = Vec::new();
        for &(drum, row) in groove {
            // a drum that is not the core of the groove may be missing
            let core = matches!(drum.class(), Class::Kick | Class::Snare);
            if !core && dice.chance(sparse) {
                continue;
            }
            let two: Vec<f32> =
                (0..2).flat_map(|bar| bar_of(row, bar, steps)).map(|c| force(c, dice)).collect();
            // chance falls once for both bars more often than not
            let once = row.len() <= steps && dice.chance(0.6);
            beat.push((drum, if once { [&two[..steps], &two[..steps]].concat() } else { two }));
        }
        if !style.plain() && !beat.is_empty() {
            change(&mut beat, steps, usize::from(style.meter.steps), dice);
        }
        let fills = if style.plain() { 0.0 } else { dice.span(0.2, 0.95) };
        let crashes = if style.plain() { 0.0 } else { dice.span(0.3, 0.95) };
        Drummer { style, beat, fill_every: *dice.pick(&[4, 4, 8, 8, 16]), fills, crashes }
    }

    /// The strikes of bar `bar`, which is number `inside` of the scene.
    pub(crate) fn play(
        &self,
        grid: &Grid,
        bar: usize,
        inside: usize,
        scene: &Scene,
        dice: &mut Dice,
    ) -> Vec<Hit> {
        let mut hits = Vec::new();
        if self.beat.is_empty() || scene.drums == Drums::Rest {
            return hits;
        }
        let steps = grid.bar_steps();
        let last = inside + 1 == scene.bars;
        let fill = ((inside + 1).is_multiple_of(self.fill_every) || last) && dice.chance(self.fills);
        let from = if fill {
            steps
                - dice.pick(&[1usize, 2, 2, 4]).min(&usize::from(self.style.meter.beats))
                    * usize::from(self.style.meter.steps)
        } else {
            steps
        };
        if matches!(scene.drums, Drums::Roll | Drums::Claps | Drums::Kicks) {
            self.roll(grid, bar, inside, scene, &mut hits);
        } else {
            for (drum, row) in &self.beat {
                let mut own = row.as_slice();
                let halved: Vec<f32>;
                if scene.drums == Drums::Half && matches!(drum.class(), Class::Kick | Class::Snare) {
                    halved = half(drum.class(), steps);
                    own = &halved;
                }
                let silent = match scene.drums {
                    Drums::NoKick => *drum == Drum::Kick,
                    Drums::Bare => drum.class() == Class::Snare,
                    _ => false,
                };
                if !silent {
                    self.row(grid, bar, *drum, own, from, &mut hits, dice);
                }
            }
            if fill {
                self.fill(grid, bar, from, scene.drums, &mut hits, dice);
            }
        }
        if inside == 0 && scene.mark != Mark::Phrase && dice.chance(self.crashes) {
            hits.push(Hit { at: grid.at(bar, 0.0), drum: Drum::Crash, force: 0.9 });
        }
        hits.iter_mut().for_each(|h| h.force *= 0.6 + 0.4 * scene.force);
        hits
    }

    #[expect(clippy::too_many_arguments, reason = "one row of one bar: all of it is asked")]
    fn row(
        &self,
        grid: &Grid,
        bar: usize,
        drum: Drum,
        row: &[f32],
        until: usize,
        hits: &mut Vec<Hit>,
        dice: &mut Dice,
    ) {
        let steps = grid.bar_steps();
        let wild = if self.style.plain() { 0.0 } else { 0.02 };
        for step in 0..until {
            let mut force = row[(bar % 2) * steps + step];
            if dice.chance(wild) {
                force = if force > 0.0 && force < 0.9 {
                    0.0
                } else if step % 2 == 1 {
                    0.3
                } else {
                    force
                };
            }
            if force > 0.0 {
                let human = if self.style.plain() { 1.0 } else { 1.0 + 0.1 * dice.normal() };
                hits.push(Hit {
                    at: grid.at(bar, step as f64),
                    drum,
                    force: (force * human).clamp(0.1, 1.1),
                });
            }
        }
        let rolls = drum == Drum::Hat && self.style.name == "trap" && dice.chance(0.5);
        if rolls && until > 4 {
            let (at, by) = (dice.int(0, until - 3), *dice.pick(&[3usize, 4, 6]));
            hits.extend((1..by).map(|n| Hit {
                at: grid.at(bar, at as f64 + 2.0 * n as f64 / by as f64),
                drum,
                force: 0.5,
            }));
        }
    }

    /// From step `from` on: a roll, toms downwards, a stop, or the kick alone out.
    fn fill(&self, grid: &Grid, bar: usize, from: usize, drums: Drums, hits: &mut Vec<Hit>, dice: &mut Dice) {
        let (steps, kind) = (grid.bar_steps(), dice.int(0, 4));
        let every = *dice.pick(&[1usize, 1, 2]);
        for step in (from..steps).filter(|s| (s - from).is_multiple_of(every)) {
            let share = (step - from) as f32 / (steps - from) as f32;
            let drum = match kind {
                0 => Drum::Snare,
                1 if share < 0.3 => Drum::Snare,
                1 if share < 0.65 => Drum::TomHi,
                1 => Drum::TomLo,
                2 => *dice.pick(&[Drum::Snare, Drum::TomHi, Drum::TomLo, Drum::Kick]),
                3 => Drum::Hat,
                _ => continue,
            };
            if drum == Drum::Kick && drums == Drums::NoKick || dice.chance(0.2) {
                continue;
            }
            hits.push(Hit { at: grid.at(bar, step as f64), drum, force: 0.5 + 0.5 * share });
        }
    }

    /// A build's roll: each bar, later each half of the scene, twice as fast; the kick goes along at first.
    fn roll(&self, grid: &Grid, bar: usize, inside: usize, scene: &Scene, hits: &mut Vec<Hit>) {
        let steps = grid.bar_steps();
        let beat = f64::from(self.style.meter.steps);
        for n in 0..steps * 2 {
            let step = n as f64 / 2.0;
            let share = (inside as f64 + step / steps as f64) / scene.bars as f64;
            let every = if share < 0.5 {
                beat
            } else if share < 0.75 {
                beat / 2.0
            } else if share < 0.9 {
                beat / 4.0
            } else {
                0.5
            };
            let drum = match scene.drums {
                Drums::Claps => Drum::Clap,
                Drums::Kicks => Drum::Kick,
                _ => Drum::Snare,
            };
            if step % every == 0.0 {
                hits.push(Hit { at: grid.at(bar, step), drum, force: 0.3 + 0.6 * share as f32 });
            }
            if step % beat == 0.0 && share < 0.75 && scene.bars > 4 && scene.drums == Drums::Roll {
                hits.push(Hit { at: grid.at(bar, step), drum: Drum::Kick, force: 0.9 });
            }
        }
    }
}
