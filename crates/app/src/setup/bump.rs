//! What lights do for a question of the line check, step by step: they come up slowly, heads swing slowly, and nothing
//! flashes.

use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::Radians;
use lanthorn_physics::{Instant, Span};
use lanthorn_rig::setup::{Ask, LEVEL, LineCheck};
use lanthorn_show::Command;

/// Light takes so long from dark to all of a question's level, and back.
const FADE: Span = Span::from_millis(1200);
/// Heads go dark to where they begin, before their light comes.
const GOING: Span = Span::from_millis(2500);
/// A swing from one end to the other.
const SWING: Span = Span::from_millis(3000);
/// They stand lit at either end.
const STANDING: Span = Span::from_millis(1300);

/// What is sent, and since when the question is open.
#[derive(Debug)]
pub(super) struct Bump {
    since: Instant,
    last: Option<Instant>,
    /// What each light was sent last, perceptual; at first what it shows of the show.
    levels: Vec<f64>,
    /// Lights that hold the colour of the check.
    coloured: Vec<bool>,
    sent: Vec<Option<(Radians, Radians)>>,
}

impl Bump {
    /// From what each light shows.
    pub(super) fn new(levels: Vec<f64>) -> Self {
        let lights = levels.len();
        Self {
            since: Instant::ZERO,
            last: None,
            levels,
            coloured: vec![false; lights],
            sent: vec![None; lights],
        }
    }

    /// A question is open from now on.
    pub(super) fn ask(&mut self, now: Instant) {
        self.since = now;
    }

    /// Commands for this moment. Lights of the check that are not lit are held dark.
    pub(super) fn go_on(&mut self, line: &LineCheck, now: Instant, acts: &mut Vec<Command>) {
        let passed = self.last.map_or(Span::ZERO, |last| (now - last).max(Span::ZERO));
        self.last = Some(now);
        let plan = line.plan();
        let ask = line.asked().map(|asked| &asked.ask);
        let swings = matches!(ask, Some(Ask::Swing(..)));
        let (lit, part) = if swings { cycle(now - self.since) } else { (true, 0.0) };
        for &unit in &plan.lit {
            let wanted = match ask {
                Some(ask) if lit && plan.is_lit(ask, unit) => LEVEL,
                _ => 0.0,
            };
            let was = self.levels[unit];
            let step = LEVEL * (passed.secs() / FADE.secs());
            let level = was + (wanted - was).clamp(-step, step);
            let first = !std::mem::replace(&mut self.coloured[unit], true);
            if first || (level - was).abs() > 0.0 {
                self.levels[unit] = level;
                acts.push(Command::Level { unit, level });
            }
            if first {
                acts.push(Command::Colour { unit, chromaticity: Chromaticity::D65 });
            }
            let Some(ask) = ask else { continue };
            let [Some(from), Some(to)] = [0, 1].map(|end| plan.sent(ask, unit, end)) else { continue };
            let sent = (from.0 + (to.0 - from.0) * part, from.1 + (to.1 - from.1) * part);
            if self.sent[unit] != Some(sent) {
                self.sent[unit] = Some(sent);
                let (pan, tilt) = sent;
                acts.push(Command::Send { unit, pan, tilt });
            }
        }
    }
}

/// Of a swing so long after its question: whether heads are lit, and how far they are on their way. They swing lit, and
/// go back dark.
fn cycle(since: Span) -> (bool, f64) {
    let times = [GOING, FADE, SWING, STANDING, FADE];
    let round: f64 = times.iter().map(|time| time.secs()).sum();
    let mut left = since.secs().max(0.0) % round;
    for (phase, time) in times.iter().map(|time| time.secs()).enumerate() {
        if left < time {
            return match phase {
                0 => (false, 0.0),
                1 => (true, 0.0),
                2 => (true, left / time),
                3 => (true, 1.0),
                _ => (false, 1.0),
            };
        }
        left -= time;
    }
    (false, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swing_begins_dark_goes_lit_and_comes_back_dark() {
        let at = |ms| cycle(Span::from_millis(ms));
        assert_eq!(at(0), (false, 0.0));
        assert_eq!(at(3000), (true, 0.0));
        let (lit, part) = at(2500 + 1200 + 1500);
        assert!(lit && (part - 0.5).abs() < 1e-9);
        assert_eq!(at(2500 + 1200 + 3000 + 100), (true, 1.0));
        assert_eq!(at(2500 + 1200 + 3000 + 1300 + 100), (false, 1.0));
        assert_eq!(at(2500 + 1200 + 3000 + 1300 + 1200 + 10), (false, 0.0), "round again");
    }
}
