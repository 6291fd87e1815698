//! One source of sound, listened to.

use lanthorn_music::pulse::{Bands, Pulse, Stroke};
use lanthorn_music::tracker::{Class, Event, NoTracker, Tracker, What};
use lanthorn_physics::{Instant, Span};

use super::Hearing;
use super::sound_clock::SoundClock;

/// A hole up to this long is filled with silence, so that the music is not lost over it; after a longer one listening begins
/// anew.
const MOST_FILLED_SECS: f64 = 1.0;

/// From here on a sample is at full scale.
const FULL: f32 = 0.999;
/// So many at full scale in one block are no chance.
const CLIPPED: usize = 3;
/// A clip is told for so long.
const CLIP_SHOWN: Span = Span::from_millis(2000);

/// How fast the shown peak goes down, decibels a second.
const PEAK_DOWN: f32 = 20.0;

/// The shown level comes up and goes down within this, seconds: the integration time of a VU meter (IEC 60268-17, from memory).
const LEVEL_SECS: f64 = 0.3;

/// Silence to fill holes with.
static SILENCE: [f32; 512] = [0.0; 512];

pub(super) struct Listener {
    rate: u32,
    delay: Span,
    tracker: Tracker,
    clock: SoundClock,
    bands: Bands,
    /// Samples taken since the tracker began, filled holes included.
    heard: u64,
    /// The source's own count of the tracker's first sample, where it counts.
    base: Option<u64>,
    gaps: u64,
    strokes: [Option<(f64, f32)>; 3],
    /// Mean power of the last moments, and the highest sample of late.
    power: f32,
    peak: f32,
    clipped: Option<Instant>,
    /// Seconds of sound in the last block.
    block: f64,
}

impl Listener {
    pub(super) fn new(rate: u32, delay: Span) -> Result<Self, NoTracker> {
        Ok(Self {
            rate,
            delay,
            tracker: Tracker::new(rate)?,
            clock: SoundClock::new(delay),
            bands: Bands::new(rate),
            heard: 0,
            base: None,
            gaps: 0,
            strokes: [None; 3],
            power: 0.0,
            peak: 0.0,
            clipped: None,
            block: 0.0,
        })
    }

    /// Takes a block that arrived at `at`.
    pub(super) fn hear(&mut self, first: Option<u64>, samples: &[f32], at: Instant) {
        if samples.is_empty() {
            return;
        }
        self.block = samples.len() as f64 / f64::from(self.rate);
        self.find_hole(first);
        self.level(samples, at);
        self.follow(samples);
        let secs = self.heard as f64 / f64::from(self.rate);
        if !self.clock.observe(secs, at) {
            self.gaps += 1;
        }
    }

    /// What the source left out is filled with silence.
    fn find_hole(&mut self, first: Option<u64>) {
        let Some(first) = first else { return };
        let base = *self.base.get_or_insert_with(|| first.saturating_sub(self.heard));
        let expected = base + self.heard;
        if first == expected {
            return;
        }
        self.gaps += 1;
        let missing = first
            .checked_sub(expected)
            .filter(|missing| *missing as f64 <= MOST_FILLED_SECS * f64::from(self.rate));
        match missing {
            Some(mut missing) => {
                while missing > 0 {
                    let part = missing.min(SILENCE.len() as u64);
                    self.follow(&SILENCE[..part as usize]);
                    missing -= part;
                }
            }
            None => self.begin_anew(first),
        }
    }

    fn begin_anew(&mut self, first: u64) {
        // The rate was good before.
        if let Ok(fresh) = Self::new(self.rate, self.delay) {
            *self = Self { gaps: self.gaps, base: Some(first), ..fresh };
        }
    }

    fn follow(&mut self, samples: &[f32]) {
        self.bands.push(samples);
        let strokes = &mut self.strokes;
        self.tracker.push(samples, |event| {
            let Event { at, what: What::Onset(class, sure), .. } = event else { return };
            let place = match class {
                Class::Kick => 0,
                Class::Snare => 1,
                Class::Hat => 2,
                Class::Other => return,
            };
            strokes[place] = Some((at, sure));
        });
        self.heard += samples.len() as u64;
    }

    fn level(&mut self, samples: &[f32], at: Instant) {
        let power = samples.iter().map(|sample| sample * sample).sum::<f32>() / samples.len() as f32;
        let part = 1.0 - (-self.block / LEVEL_SECS).exp() as f32;
        self.power += (power - self.power) * part;
        let most = samples.iter().fold(0.0_f32, |most, sample| most.max(sample.abs()));
        let down = 10.0_f32.powf(-PEAK_DOWN * self.block as f32 / 20.0);
        self.peak = (self.peak * down).max(most);
        if samples.iter().filter(|sample| sample.abs() >= FULL).count() >= CLIPPED {
            self.clipped = Some(at);
        }
    }

    /// The music as it stands.
    pub(super) fn pulse(&self) -> Pulse {
        let moment = |secs| self.clock.moment(secs);
        let stroke = |stroke: Option<(f64, f32)>| stroke.map(|(at, sure)| Stroke { at: moment(at), sure });
        let [kick, snare, hat] = self.strokes.map(stroke);
        let pulse = Pulse {
            level_db: Some(self.decibels()),
            bands: self.bands.levels(),
            strokes: [kick, snare, hat, None],
            ..Pulse::of(&self.tracker.standing(), moment)
        };
        pulse.formed(&self.tracker.shape(), moment)
    }

    /// Level, dB below a full-scale sine.
    fn decibels(&self) -> f32 {
        10.0 * (2.0 * self.power).max(1e-12).log10()
    }

    /// Says how it fares.
    pub(super) fn tell(&self, now: Instant, hearing: &mut Hearing) {
        let heard = self.heard > 0;
        hearing.level_db = heard.then(|| self.decibels());
        hearing.peak_db = heard.then(|| 20.0 * self.peak.max(1e-6).log10());
        hearing.clips = self.clipped.is_some_and(|at| now - at < CLIP_SHOWN);
        hearing.delay = self.clock.delay().map(|delay| delay + Span::from_secs(self.block));
        hearing.drift_ppm = self.clock.drift_ppm();
        hearing.gaps = self.gaps;
    }
}
