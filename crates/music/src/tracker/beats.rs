//! Beats told ahead, and when there are none.

use super::{Event, What, moment};
use crate::FRAMES_A_SECOND;
use crate::bar::{Guess, Pointer};
use crate::net::Heard;

/// A beat is told so long before it comes, seconds, at least where the frames allow.
const AHEAD: f64 = 0.015;

/// A beat that turns out to have been is still told within this part of it.
const LATEST: f64 = 0.15;

/// Two beats are at least this part of one apart.
const APART: f64 = 0.6;

/// So long after a beat all that is heard of it has been told, seconds.
const HEARD_SECS: f64 = 0.06;

/// How much earlier than it was taught to the network tells of a beat, seconds: measured on clips that were not learned
/// from.
const EARLY: f64 = -0.011;

/// What tells that there is music: its mean over a second and a half above the first; below the second there is none any
/// more.
const MUSIC: [f32; 2] = [0.55, 0.35];
const MUSIC_FRAMES: f32 = 100.0;

/// How much of all probability the guess must have, on the mean, before beats are told, and to go on.
const SHARE: [f32; 2] = [0.5, 0.2];
const SHARE_FRAMES: f32 = 100.0;

/// How much beats must be heard, on the mean of so many, before they are told; and to count as heard.
const SUPPORT: [f32; 2] = [0.3, 0.15];
const SUPPORT_BEATS: f32 = 4.0;

/// Silence of so many frames ends the music.
const SILENT_FRAMES: u32 = 100;

/// The beat as it stands.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Standing {
    /// There is music, and its beat is known.
    pub follows: bool,
    /// The beat is not heard at present; the tempo is held.
    pub held: bool,
    /// Beats a minute.
    pub bpm: f64,
    /// When the last beat was (or, within a moment, will be), seconds of sound.
    pub beat_at: f64,
    /// Its place in the bar, from 1.
    pub place: u8,
    /// Beats of the bar; 0 before any is known.
    pub of: u8,
    /// How sure the beat is, 0 to 1.
    pub confidence: f32,
    /// How sure the place in the bar is, 0 to 1.
    pub bar_confidence: f32,
}

/// Finds beats.
pub struct Beats {
    pointer: Pointer,
    /// Running means.
    music: f32,
    share: f32,
    bar_share: f32,
    support: f32,
    /// What was heard of beats in the last frames.
    heard: [f32; 8],
    /// When it will be known whether the last beat was heard.
    checked: f64,
    silent: u32,
    follows: bool,
    /// The last beat, told or not.
    last: f64,
    interval: f64,
    place: u8,
    of: u8,
}

impl Default for Beats {
    fn default() -> Self {
        Self::new()
    }
}

impl Beats {
    pub(super) fn new() -> Self {
        Self {
            pointer: Pointer::new(),
            music: 0.0,
            share: 0.0,
            bar_share: 0.0,
            support: 0.0,
            heard: [0.0; 8],
            checked: f64::INFINITY,
            silent: 0,
            follows: false,
            last: f64::NEG_INFINITY,
            interval: 0.5,
            place: 0,
            of: 0,
        }
    }

    /// The pointer, to be put by hand.
    pub fn pointer_mut(&mut self) -> &mut Pointer {
        &mut self.pointer
    }

    pub(super) fn standing(&self) -> Standing {
        Standing {
            follows: self.follows,
            held: self.follows && self.support < SUPPORT[1],
            bpm: 60.0 / self.interval,
            beat_at: self.last,
            place: self.place,
            of: self.of,
            confidence: (self.share * (self.support / SUPPORT[0]).min(1.0)).clamp(0.0, 1.0),
            bar_confidence: self.bar_share,
        }
    }

    pub(super) fn hear(&mut self, heard: &Heard, silent: bool, told: f64, give: &mut impl FnMut(Event)) {
        self.silent = if silent { self.silent.saturating_add(1) } else { 0 };
        let guess = self.pointer.hear(heard);
        let toward = |mean: &mut f32, value: f32, frames: f32| *mean += (value - *mean) / frames;
        toward(&mut self.music, if silent { 0.0 } else { heard.music }, MUSIC_FRAMES);
        toward(&mut self.share, guess.share, SHARE_FRAMES);
        toward(&mut self.bar_share, guess.bar_share, SHARE_FRAMES);
        self.heard.copy_within(1.., 0);
        self.heard[7] = heard.beat;
        if told >= self.checked {
            self.checked = f64::INFINITY;
            let most = self.heard.iter().fold(0.0_f32, |most, heard| most.max(*heard));
            toward(&mut self.support, most, SUPPORT_BEATS);
        }
        self.judge(told, give);
        self.announce(&guess, told, give);
    }

    /// Whether there is music to follow.
    fn judge(&mut self, told: f64, give: &mut impl FnMut(Event)) {
        let on = usize::from(self.follows);
        let enough = self.music > MUSIC[on] && self.share > SHARE[on] && (self.follows || self.support > SUPPORT[0]);
        let follows = enough && self.silent < SILENT_FRAMES;
        if follows != self.follows {
            self.follows = follows;
            give(Event { at: told, told, what: What::Music(follows) });
        }
    }

    fn announce(&mut self, guess: &Guess, told: f64, give: &mut impl FnMut(Event)) {
        let interval = f64::from(guess.interval) / FRAMES_A_SECOND;
        let now = moment(told) + EARLY;
        // The beat that has begun, or will have, by the moment until which beats must be told.
        let (phase, due) = (f64::from(guess.phase), told + AHEAD);
        let passed = ((due - now) / interval + phase).floor();
        let at = now + (passed - phase) * interval;
        if due - at > LATEST * interval || at - self.last < APART * interval {
            return;
        }
        let beat = (i64::from(guess.beat) + passed as i64).rem_euclid(i64::from(guess.beats)) as u8;
        (self.last, self.interval) = (at, interval);
        (self.place, self.of) = (beat + 1, guess.beats);
        self.checked = at + HEARD_SECS;
        if self.follows {
            let held = self.support < SUPPORT[1];
            give(Event { at, told, what: What::Beat { place: self.place, of: self.of, held } });
        }
    }
}
