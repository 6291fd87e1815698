//! Where beats lie in time: the tempo and its ways.

use crate::dice::Dice;
use crate::style::{Feel, Meter, Style, Swing};
use crate::truth::Beat;

/// Bars and beats of one song, in seconds of the clip.
pub(crate) struct Grid {
    /// Begin of each beat of each bar, then the begin of the bar after the last.
    times: Vec<f64>,
    pub(crate) meter: Meter,
    swing: f64,
    swing_sixteenths: bool,
}

/// What the tempo does beside wandering.
enum Way {
    Steady,
    /// To so many times the tempo, evenly over so many seconds.
    Ramp(f64, f64),
    /// Another tempo from a second on.
    Jump(f64, f64),
}

impl Grid {
    /// Beats from `from` (somewhere in the first bar) to `to`; with `aligned` a bar begins there exactly.
    pub(crate) fn lay(style: &Style, bpm: f32, from: f64, to: f64, aligned: bool, dice: &mut Dice) -> Grid {
        let meter = style.meter;
        let period = 60.0 / f64::from(bpm);
        let (wander, pull) = match style.feel {
            Feel::Machine => (0.0, 0.0),
            Feel::Tight => (if dice.chance(0.3) { 0.002 } else { 0.0 }, 0.1),
            Feel::Live => (f64::from(dice.ratio(0.001, 0.008)), 0.06),
            Feel::Free => (f64::from(dice.ratio(0.003, 0.015)), 0.05),
        };
        let way = if style.plain() { Way::Steady } else { way(style.feel, to - from, dice) };
        let behind = if aligned || style.plain() || dice.chance(0.4) {
            0
        } else {
            dice.int(0, usize::from(meter.beats) - 1)
        };
        let part = if behind == 0 { 0.0 } else { f64::from(dice.unit()) };
        let mut at = from - (behind as f64 + part) * period;
        let (mut times, mut off, mut slow) = (Vec::new(), 0.0f64, 1.0);
        while at < to || times.len() % usize::from(meter.beats) != 0 {
            times.push(at);
            off += wander * f64::from(dice.normal()) - pull * off;
            off = off.clamp(-0.06, 0.06);
            let since = at - from;
            let factor = match way {
                Way::Steady => 1.0,
                Way::Ramp(ratio, secs) => 1.0 + (ratio - 1.0) * (since / secs).clamp(0.0, 1.0),
                Way::Jump(ratio, when) => {
                    if since < when {
                        1.0
                    } else {
                        ratio
                    }
                }
            };
            // now and then a free player holds the end of a phrase
            let phrase = style.feel == Feel::Free && (times.len() + 1) % (4 * usize::from(meter.beats)) == 0;
            slow = if phrase && dice.chance(0.4) {
                f64::from(dice.span(1.0, 1.18))
            } else {
                1.0 + (slow - 1.0) * 0.3
            };
            at += period * (1.0 + off) * slow / factor;
        }
        times.push(at);
        let (swing, swing_sixteenths) = match style.swing {
            Swing::No => (50.0, false),
            Swing::Eighths(low, high) => (dice.span(low, high), false),
            Swing::Sixteenths(low, high) => (dice.span(low, high), true),
        };
        Grid { times, meter, swing: f64::from(swing) / 100.0, swing_sixteenths }
    }

    pub(crate) fn bars(&self) -> usize {
        (self.times.len() - 1) / usize::from(self.meter.beats)
    }

    /// Steps in a bar.
    pub(crate) fn bar_steps(&self) -> usize {
        usize::from(self.meter.beats) * usize::from(self.meter.steps)
    }

    /// When step `step` of bar `bar` sounds, swing included; steps past the bar are those of the next.
    pub(crate) fn at(&self, bar: usize, step: f64) -> f64 {
        let steps = f64::from(self.meter.steps);
        let beat = (step / steps).floor();
        let mut within = step / steps - beat;
        if self.meter.steps == 4 {
            within = if self.swing_sixteenths {
                let half = (within * 2.0).floor() * 0.5;
                half + 0.5 * bend((within - half) * 2.0, self.swing)
            } else {
                bend(within, self.swing)
            };
        }
        let n = bar * usize::from(self.meter.beats) + beat.max(0.0) as usize;
        let n = n.min(self.times.len() - 2);
        self.times[n] + (self.times[n + 1] - self.times[n]) * within
    }

    pub(crate) fn beats(&self) -> Vec<Beat> {
        let of = self.meter.beats;
        let place = |n: usize| (n % usize::from(of)) as u8 + 1;
        let all = self.times[..self.times.len() - 1].iter().enumerate();
        all.map(|(n, &at)| Beat { at, place: place(n), of }).collect()
    }
}

/// Where a moment of a pair of notes lies when the second begins at `swing` of it.
fn bend(x: f64, swing: f64) -> f64 {
    if x < 0.5 { x * 2.0 * swing } else { swing + (x - 0.5) * 2.0 * (1.0 - swing) }
}

fn way(feel: Feel, secs: f64, dice: &mut Dice) -> Way {
    let share = match feel {
        Feel::Machine => 0.06,
        Feel::Tight => 0.08,
        _ => 0.18,
    };
    if !dice.chance(share) {
        return Way::Steady;
    }
    let ratio = f64::from(dice.span(0.75, 1.35));
    if dice.chance(0.75) {
        Way::Ramp(ratio, secs * f64::from(dice.span(0.4, 1.0)))
    } else {
        Way::Jump(ratio, secs * f64::from(dice.span(0.2, 0.8)))
    }
}
