//! Moves that motors cannot make in time: the show played from end to end, faster than real, with the very player and drive
//! that run it, comparing where each lit beam is wanted with where its motors are.
//!
//! Played are: the cue list in order, each cue until its fade is over and everything has come to rest; every chase for
//! a round, as the cue that runs it leaves it; every look, put on by hand after the one before it in the file. A beam that
//! is more than the radius of its spot away for more than 0.3 s is told. Not played: other orders, other tempos, hands.

mod tell;
mod watch;

use std::sync::Arc;

use lanthorn_physics::{Instant, Span};
use lanthorn_rig::plan::Finding;
use lanthorn_rig::{Drive, Rig, RigState};
use lanthorn_show::{Chase, Command, Order, Player, Show, StepTime, Swing, tempo};

use watch::Watch;

/// As the running machine ticks.
const TICK: Span = Span::from_millis(25);

/// After a fade, for motors to come to rest.
const SETTLE: Span = Span::from_millis(2500);

/// A chase is played no longer than this.
const LONGEST_CHASE: Span = Span::from_millis(60_000);

/// No more than this is played, counted in ticks of one light: half an hour of forty lights.
const MOST_LIGHT_TICKS: usize = 3_000_000;

/// What the moves of a show ask of its motors, as findings, worst first; and `false` when the show was so long that not
/// all of it was played.
pub fn moves(show: &Arc<Show>, rig: &Arc<Rig>) -> (Vec<Finding>, bool) {
    let moving = rig.units.iter().any(lanthorn_rig::Unit::moves);
    if !moving {
        return (Vec::new(), true);
    }
    let mut watch = Watch::new(show, rig);
    let mut stage = Stage { show, rig, left: MOST_LIGHT_TICKS / rig.units.len().max(1) };
    stage.cues(&mut watch);
    (0..show.chases.len()).for_each(|chase| stage.chase(chase, &mut watch));
    stage.looks(&mut watch);
    let mut findings = tell::findings(show, rig, &watch.seen);
    findings.sort_by_cached_key(Finding::key);
    (findings, stage.left > 0)
}

struct Stage<'a> {
    show: &'a Arc<Show>,
    rig: &'a Arc<Rig>,
    /// Ticks that may still be played.
    left: usize,
}

/// One run of the show from its beginning.
struct Run {
    player: Player,
    drive: Drive,
    wished: RigState,
    now: Instant,
}

impl Stage<'_> {
    fn begin(&self) -> Run {
        Run {
            player: Player::new(self.show.clone(), self.rig.clone()),
            drive: Drive::new(self.rig),
            wished: RigState::dark(self.rig),
            now: Instant::ZERO,
        }
    }

    /// The cue list from the top; a cue that follows by itself does so.
    fn cues(&mut self, watch: &mut Watch<'_>) {
        let mut run = self.begin();
        for (place, cue) in self.show.cues.iter().enumerate() {
            if run.player.status(run.now).cue != Some(place) {
                run.player.apply(&Command::Go, run.now);
            }
            let follows = cue.follow.filter(|_| place + 1 < self.show.cues.len());
            let span = follows.map_or(cue.fade + SETTLE, |follow| follow.max(Span::ZERO) + TICK);
            self.play(&mut run, span, Some(watch));
        }
        watch.end();
    }

    /// A chase for a round and a step more, so that its last step leads to its first one once.
    fn chase(&mut self, index: usize, watch: &mut Watch<'_>) {
        let chase = &self.show.chases[index];
        let mut run = self.begin();
        let (cue, bpm) = cue_of(self.show, chase);
        match cue {
            Some(cue) => {
                run.player.apply(&Command::Cue(cue), run.now);
                run.player.apply(&Command::Tempo(bpm), run.now);
            }
            None => run.player.apply(&Command::Chase { index, on: true }, run.now),
        }
        let secs_a_round: f64 = chase.steps.iter().map(|step| secs(step.time, bpm)).sum();
        let rounds = match chase.order {
            // Of an odd number of swung steps the first is late in every other round.
            Order::Forward | Order::Backward if chase.swing > Swing::EVEN => 2.0,
            Order::Forward | Order::Backward => 1.0,
            Order::ToAndFro | Order::Random => 2.0,
        };
        let first = chase.steps.first().map_or(0.0, |step| secs(step.time, bpm));
        // Where it came from is its own affair: it is watched from its second step on, until the first has come again.
        let begin = chase.fade + Span::from_secs(first.min(1e4));
        self.play(&mut run, begin.min(LONGEST_CHASE), None);
        self.play(
            &mut run,
            Span::from_secs((secs_a_round * rounds).min(1e4)).min(LONGEST_CHASE),
            Some(watch),
        );
        watch.end();
    }

    /// The looks in the order of the file, each put on after the one before, the first after the last.
    fn looks(&mut self, watch: &mut Watch<'_>) {
        let mut run = self.begin();
        if let Some(last) = self.show.looks.len().checked_sub(1) {
            run.player.apply(&Command::Look(last), run.now);
            self.play(&mut run, self.show.looks[last].fade + SETTLE, None);
        }
        for (place, look) in self.show.looks.iter().enumerate() {
            run.player.apply(&Command::Look(place), run.now);
            self.play(&mut run, look.fade + SETTLE, Some(watch));
        }
        watch.end();
    }

    fn play(&mut self, run: &mut Run, span: Span, mut watch: Option<&mut Watch<'_>>) {
        let end = run.now + span;
        while run.now < end && self.left > 0 {
            run.player.frame(run.now, &mut run.wished);
            run.drive.tick(&run.wished, run.now);
            if let Some(watch) = &mut watch {
                watch.look(&run.player, &run.drive, &run.wished, run.now);
            }
            run.now = run.now + TICK;
            self.left -= 1;
        }
    }
}

/// The cue that runs a chase at the highest tempo, if any does, and that tempo.
pub(crate) fn cue_of(show: &Show, chase: &Chase) -> (Option<usize>, f64) {
    let mut bpm = show.tempo.unwrap_or(tempo::DEFAULT);
    let mut best: (Option<usize>, f64) = (None, bpm);
    let mut runs = false;
    for (place, cue) in show.cues.iter().enumerate() {
        bpm = cue.tempo.unwrap_or(bpm);
        runs = cue.chases.as_ref().map_or(runs, |chases| chases.contains(&chase.name));
        if runs && (best.0.is_none() || bpm > best.1) {
            best = (Some(place), bpm);
        }
    }
    best
}

fn secs(time: StepTime, bpm: f64) -> f64 {
    match time {
        StepTime::Time(span) => span.secs(),
        StepTime::Bars(bars) => secs(StepTime::Beats(bars * tempo::BAR), bpm),
        StepTime::Beats(beats) => beats * 60.0 / bpm.clamp(tempo::RANGE[0], tempo::RANGE[1]),
    }
}
