//! Looks and chases that ask for more flashes than the limit lets through, played on the very drive that holds them back.
//!
//! Every chase is played for some seconds, as the cue that runs it at the highest tempo leaves it, every look by itself once
//! its fade is over. Not played: other tempos, several chases at once, hands; the limit counts those all the same.

use std::sync::Arc;

use lanthorn_fixture::UnitState;
use lanthorn_physics::units::Hertz;
use lanthorn_physics::{Instant, Span};
use lanthorn_rig::limit::Tally;
use lanthorn_rig::plan::{Finding, Severity};
use lanthorn_rig::{Drive, Rig, RigState};
use lanthorn_show::{Chase, Command, Look, Player, Show};

use crate::moves::cue_of;

/// As the running machine ticks.
const TICK: Span = Span::from_millis(25);
/// A chase is counted for so long.
const COUNTED_SECS: u32 = 8;
/// No fade is waited for longer than this.
const LONGEST_FADE: Span = Span::from_millis(30_000);
/// No more than this is played, counted in ticks of one light.
const MOST_LIGHT_TICKS: usize = 3_000_000;

/// What the flash limit would hold back, as findings; and `false` when the show was so long that not all was played.
pub fn flashes(show: &Arc<Show>, rig: &Arc<Rig>) -> (Vec<Finding>, bool) {
    let mut left = MOST_LIGHT_TICKS / rig.units.len().max(1);
    let chases = show.chases.iter().enumerate();
    let mut findings: Vec<Finding> =
        chases.flat_map(|(index, chase)| of_chase(show, rig, index, chase, &mut left)).collect();
    let looks = show.looks.iter().enumerate();
    findings.extend(looks.filter_map(|(index, look)| of_look(show, rig, index, look, &mut left)));
    (findings, left > 0)
}

/// A show on its way.
struct Run {
    player: Player,
    drive: Drive,
    wished: RigState,
    now: Instant,
}

impl Run {
    fn begin(show: &Arc<Show>, rig: &Arc<Rig>) -> Self {
        Self {
            player: Player::new(show.clone(), rig.clone()),
            drive: Drive::new(rig),
            wished: RigState::dark(rig),
            now: Instant::ZERO,
        }
    }

    fn play(&mut self, span: Span, left: &mut usize) {
        let end = self.now + span;
        while self.now < end && *left > 0 {
            self.player.frame(self.now, &mut self.wished);
            self.drive.tick(&self.wished, self.now);
            self.now = self.now + TICK;
            *left -= 1;
        }
    }
}

fn of_chase(show: &Arc<Show>, rig: &Arc<Rig>, index: usize, chase: &Chase, left: &mut usize) -> Vec<Finding> {
    let mut run = Run::begin(show, rig);
    let (cue, bpm) = cue_of(show, chase);
    match cue {
        Some(cue) => {
            run.player.apply(&Command::Cue(cue), run.now);
            run.player.apply(&Command::Tempo(bpm), run.now);
        }
        None => run.player.apply(&Command::Chase { index, on: true }, run.now),
    }
    let fade = cue.map_or(chase.fade, |cue| show.cues[cue].fade);
    run.play(fade.min(LONGEST_FADE) + Span::from_secs(1.0), left);
    let before = run.drive.tally();
    run.play(Span::from_secs(f64::from(COUNTED_SECS)), left);
    let Tally { asked, sent, red_asked, red_sent } = run.drive.tally();
    let a_second = |now: u32, before: u32| f64::from(now.wrapping_sub(before)) / f64::from(COUNTED_SECS);
    let rows = [
        ("", a_second(asked, before.asked), a_second(sent, before.sent)),
        (" in red", a_second(red_asked, before.red_asked), a_second(red_sent, before.red_sent)),
    ];
    // One flash more or less may fall on either side of the beginning.
    let capped = rows.into_iter().filter(|(_, asked, sent)| asked - sent > 1.5 / f64::from(COUNTED_SECS));
    let counts_beats = chase.steps.iter().any(|step| {
        [step.time, step.fade].iter().any(|time| !matches!(time, lanthorn_show::StepTime::Time(_)))
    });
    let tempo = if counts_beats { format!(" at {bpm:.0} beats a minute") } else { String::new() };
    let finding = |(red, asked, sent): (&str, f64, f64)| Finding {
        severity: Severity::Caution,
        code: "flashes-held-back",
        what: format!("Chase {}{tempo} flashes faster{red} than the limit lets through", chase.name),
        place: format!("chase {}", chase.name),
        units: Vec::new(),
        figure: Some(format!("{asked:.1} flashes a second{red} are asked for, {sent:.1} are sent")),
        rule: "flashing light can bring on seizures; everything that pulses together counts",
        source: "W3C WCAG 2.3.1, a limit for screens that is borrowed here",
        remedy: "Give its steps more time or a fade, or a slower tempo".to_owned(),
    };
    capped.map(finding).collect()
}

fn of_look(show: &Arc<Show>, rig: &Arc<Rig>, index: usize, look: &Look, left: &mut usize) -> Option<Finding> {
    if look.parts.iter().all(|part| part.strobe.is_none()) {
        return None;
    }
    let mut run = Run::begin(show, rig);
    run.player.apply(&Command::Look(index), run.now);
    run.play(look.fade.min(LONGEST_FADE) + Span::from_secs(3.0), left);
    if run.drive.held().strobes == 0 {
        return None;
    }
    let asked: Vec<Option<f64>> = run.wished.units.iter().map(|unit| fastest(&unit.heads)).collect();
    let sent: Vec<Option<f64>> =
        run.drive.sent().get().units.iter().map(|UnitState { heads, .. }| fastest(heads)).collect();
    let slowed = rig.units.iter().zip(asked.iter().zip(&sent)).filter(|(_, (asked, sent))| asked > sent);
    Some(Finding {
        severity: Severity::Caution,
        code: "flashes-held-back",
        what: format!("Look {} flashes faster than the limit lets through", look.name),
        place: format!("look {}", look.name),
        units: slowed.map(|(unit, _)| unit.number).collect(),
        figure: Some(format!("asked for: {}; sent: {}", told(&asked), told(&sent))),
        rule: "lights that flash do not keep time together, so their rates add up, each rounded up; of one whose chart \
               does not say how fast it flashes nobody knows",
        source: "W3C WCAG 2.3.1, a limit for screens that is borrowed here",
        remedy: "Let fewer lights flash, or more slowly".to_owned(),
    })
}

/// Flashes a second of the head that flashes fastest.
fn fastest(heads: &[lanthorn_fixture::HeadState]) -> Option<f64> {
    let lit = heads.iter().filter(|head| head.level > 0.0);
    lit.filter_map(|head| head.strobe.map(Hertz::get)).reduce(f64::max)
}

/// "4 lights at up to 8 a second", "steady light".
fn told(rates: &[Option<f64>]) -> String {
    let lights = rates.iter().flatten().count();
    match rates.iter().flatten().copied().reduce(f64::max) {
        Some(most) if lights == 1 => format!("1 light at {most:.1} a second"),
        Some(most) => format!("{lights} lights at up to {most:.1} a second"),
        None => "steady light".to_owned(),
    }
}
