//! Which sounds begin when: peaks of what the network hears.

use super::{Class, Event, What, moment};
use crate::FRAMES_A_SECOND;
use crate::net::Heard;

/// What is heard less surely is nothing.
const SURE: [f32; 4] = [0.4, 0.4, 0.4, 0.4];

/// Two of one class are at least so far apart, frames.
const APART: u64 = 5;

/// What begins within so many seconds of each other is told as one moment.
const ONE_MOMENT: f64 = 0.03;

/// How much earlier the network tells of an onset than [`LATE_FRAMES`](crate::net::LATE_FRAMES) says, seconds: measured on
/// clips that were not learned from.
const EARLY: f64 = -0.004;

#[derive(Default)]
pub(crate) struct Onsets {
    /// The last frame and the one before.
    past: [[f32; 4]; 2],
    frame: u64,
    last: [u64; 4],
    /// The last moment that was told.
    moment: f64,
}

impl Onsets {
    /// Hears a frame.
    pub(crate) fn hear(&mut self, heard: &Heard, told: f64, give: &mut impl FnMut(Event)) {
        let now = [heard.kick, heard.snare, heard.hat, heard.other];
        self.frame += 1;
        let [before, last] = self.past;
        for (at, class) in Class::ALL.into_iter().enumerate() {
            let sure = last[at];
            let peak = sure >= SURE[at] && sure >= now[at] && sure > before[at];
            if !peak || (self.last[at] > 0 && self.frame - self.last[at] < APART) {
                continue;
            }
            self.last[at] = self.frame;
            let between = top(before[at], sure, now[at]);
            let exact = moment(told) + (f64::from(between) - 1.0) / FRAMES_A_SECOND + EARLY;
            if self.moment == 0.0 || exact - self.moment > ONE_MOMENT {
                self.moment = exact.max(0.0);
            }
            give(Event { at: self.moment, told, what: What::Onset(class, sure) });
        }
        self.past = [last, now];
    }
}

/// The top of the parabola through three points, from the middle one.
fn top(left: f32, here: f32, right: f32) -> f32 {
    let bend = left - 2.0 * here + right;
    if bend < -1e-6 { (0.5 * (left - right) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}
