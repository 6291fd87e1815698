//! A clip's course: songs, gaps, cuts, blends, and what sounds over and between them.

use crate::ambience;
use crate::dice::Dice;
use crate::dsp::{add, db, rms};
use crate::fonts::Fonts;
use crate::song::{self, Place, Song};
use crate::style::{ROWS, Style};
use crate::truth::Truth;

/// A clip while it is put together.
pub(crate) struct Timeline<'a> {
    pub(crate) samples: Vec<f32>,
    pub(crate) truth: Truth,
    pub(crate) style: &'static str,
    secs: f64,
    rate: f32,
    fonts: &'a Fonts,
    /// The only style, if one is wished.
    only: Option<&'static Style>,
    /// Whole arrangements.
    pub(crate) whole: bool,
}

impl<'a> Timeline<'a> {
    pub(crate) fn new(secs: f64, rate: f32, fonts: &'a Fonts, only: Option<&'static Style>) -> Timeline<'a> {
        let samples = vec![0.0; (secs * f64::from(rate)).round() as usize];
        let truth = Truth { secs, ..Truth::default() };
        Timeline { samples, truth, style: only.map_or("", |s| s.name), secs, rate, fonts, only, whole: false }
    }

    /// One sound without a beat for the whole clip.
    pub(crate) fn without_beat(&mut self, name: &'static str, dice: &mut Dice) {
        self.style = name;
        self.fill(name, 0.0, self.secs, 1.0, dice);
    }

    /// One sound after another, none with a beat.
    pub(crate) fn mixed_without_beat(&mut self, dice: &mut Dice) {
        let name = *dice.pick(ambience::NAMES);
        self.style = name;
        let mut at = 0.0;
        while at < self.secs {
            let to = if dice.chance(0.5) {
                self.secs
            } else {
                (at + f64::from(dice.span(3.0, 15.0))).min(self.secs)
            };
            let next = if at > 0.0 { *dice.pick(ambience::NAMES) } else { name };
            let gain = db(dice.span(-20.0, 0.0));
            self.fill(next, at, to, gain, dice);
            if dice.chance(0.4) {
                self.fill(
                    dice.pick::<&str>(ambience::NAMES),
                    at,
                    to,
                    gain * db(dice.span(-25.0, -6.0)),
                    dice,
                );
            }
            at = to;
        }
    }

    /// One song and nothing else.
    pub(crate) fn whole_song(&mut self, style: &'static Style, dice: &mut Dice) {
        self.song(style, 0.0, self.secs, None, dice);
    }

    /// Songs, with what may lie between them and over them.
    pub(crate) fn songs(&mut self, dice: &mut Dice) {
        let mut at = 0.0;
        if dice.chance(0.14) {
            at = self.gap(0.0, dice);
        }
        let mut style = self.choose(dice);
        self.style = style.name;
        let (mut joins, mut again) = (None, None);
        while at < self.secs - 1.5 {
            let left = self.secs - at;
            let ends = dice.chance(if left > 12.0 { 0.42 } else { 0.12 });
            let to = if ends { at + left * f64::from(dice.span(0.35, 0.85)) } else { self.secs };
            let mut own = again.take().unwrap_or_else(|| dice.fork(1));
            let same = own.clone();
            let song = self.song(style, at, to, joins.take(), &mut own);
            if !ends {
                break;
            }
            let next = if dice.chance(0.25) { style } else { self.choose(dice) };
            at = match dice.int(0, 6) {
                0 | 1 if next.meter == style.meter => {
                    joins = Some(song.bpm);
                    style = next;
                    self.blend(&song, to)
                }
                0..=2 => {
                    style = next;
                    to
                }
                // a pause: the same song sets in again
                3 => {
                    again = Some(same);
                    let rest = to + f64::from(dice.span(0.4, 5.0));
                    if dice.chance(0.3) {
                        let name = *dice.pick(&["applause", "speech", "murmur", "laughter"]);
                        self.fill(name, to, rest.min(self.secs), db(dice.span(-15.0, 0.0)), dice);
                    }
                    rest
                }
                _ => {
                    style = next;
                    self.gap(to, dice)
                }
            };
        }
        if dice.chance(0.2) {
            let name = *dice.pick(ambience::NAMES);
            let (from, len) =
                (self.secs * f64::from(dice.unit()), self.secs * f64::from(dice.span(0.1, 1.0)));
            let gain = db(dice.span(-22.0, -3.0));
            self.fill(name, from, (from + len).min(self.secs), gain, dice);
        }
    }

    fn choose(&self, dice: &mut Dice) -> &'static Style {
        self.only.unwrap_or_else(|| {
            loop {
                let style = dice.pick(ROWS);
                if !style.plain() {
                    return style;
                }
            }
        })
    }

    /// Something without a beat from `at` on; where it ends.
    fn gap(&mut self, at: f64, dice: &mut Dice) -> f64 {
        let short = dice.chance(0.35);
        let to = at + f64::from(if short { dice.span(0.5, 4.0) } else { dice.span(4.0, 14.0) });
        let name = if short && dice.chance(0.6) { "silence" } else { *dice.pick(ambience::NAMES) };
        let gain = db(dice.span(-15.0, 0.0));
        self.fill(name, at, to.min(self.secs), gain, dice);
        to
    }

    /// Where the next song joins so that its bars fall on those of `song`: four to sixteen beats before `to`, on a bar.
    fn blend(&self, song: &Song, to: f64) -> f64 {
        let bars: Vec<f64> = song.beats.iter().filter(|b| b.place == 1).map(|b| b.at).collect();
        // the last bar but two: what follows it of the old song fades while the new one plays
        let back = if bars.len() > 6 { 4 } else { 2 };
        bars.len().checked_sub(back).and_then(|n| bars.get(n)).copied().unwrap_or(to)
    }

    fn fill(&mut self, name: &str, from: f64, to: f64, gain: f32, dice: &mut Dice) {
        let len = ((to - from) * f64::from(self.rate)).max(0.0) as usize;
        let sound = ambience::sound(name, len, self.rate, self.fonts, dice);
        self.lay(&sound, from, gain, 0.02);
    }

    /// Adds with short fades at both ends, so that no edge is an attack.
    fn lay(&mut self, sound: &[f32], from: f64, gain: f32, fade: f32) {
        let mut sound = sound.to_vec();
        let edge = ((fade * self.rate) as usize).min(sound.len() / 2);
        let len = sound.len();
        for i in 0..edge {
            sound[i] *= i as f32 / edge as f32;
            sound[len - 1 - i] *= i as f32 / edge as f32;
        }
        add(&mut self.samples, &sound, (from * f64::from(self.rate)).round() as i64, gain);
    }

    /// A song from `from` to `to`. If it joins another, that one fades out under it.
    fn song(
        &mut self,
        style: &'static Style,
        from: f64,
        to: f64,
        joins: Option<f32>,
        dice: &mut Dice,
    ) -> Song {
        let song =
            song::play(style, Place { from, to, joins, whole: self.whole }, self.rate, self.fonts, dice);
        let first = (from * f64::from(self.rate)).round() as usize;
        if joins.is_some() {
            let old = self.truth.music.last().map_or(from, |m| m.1);
            self.fade_out(first, (old * f64::from(self.rate)) as usize);
            let heard = from + 0.6 * (old - from);
            self.truth.onsets.retain(|o| o.at < heard);
            // the old song's grid ends where the new one's begins
            self.truth.beats.retain(|b| b.at < from - 0.05);
            self.truth.sections.retain(|s| s.at < from - 0.05);
            self.truth.music.iter_mut().for_each(|m| m.1 = m.1.min(from));
        }
        let mut samples = song.samples.clone();
        let loud = rms(&samples).max(1e-6);
        let end = ((to - from) * f64::from(self.rate)) as usize;
        // what rings on is cut off, or rings
        let ring = if dice.chance(0.5) { 0.05 } else { dice.span(0.2, 1.4) };
        let tail = (ring * self.rate) as usize;
        samples
            .iter_mut()
            .skip(end)
            .enumerate()
            .for_each(|(i, s)| *s *= (1.0 - i as f32 / tail as f32).max(0.0));
        add(
            &mut self.samples,
            &samples,
            first as i64,
            0.2 / loud * if style.plain() { 1.0 } else { db(dice.span(-3.0, 3.0)) },
        );
        self.truth.beats.extend(&song.beats);
        self.truth.onsets.extend(&song.onsets);
        self.truth.sections.extend(&song.sections);
        self.truth.music.push((from, to));
        song
    }

    /// What sounds from sample `from` to `to` goes down to nothing.
    fn fade_out(&mut self, from: usize, to: usize) {
        let len = to.saturating_sub(from).max(1) as f32;
        for (i, s) in self.samples.iter_mut().skip(from).enumerate() {
            *s *= (1.0 - i as f32 / len).max(0.0);
        }
    }
}
