//! MIDI clock: 24 ticks a beat, and start, continue and stop (MIDI 1.0 Detailed Specification, system real time messages).

use lanthorn_music::pulse::Pulse;
use lanthorn_music::tracker::Standing;
use lanthorn_physics::Instant;

/// Ticks a beat.
const TICKS: i64 = 24;
/// Ticks that the tempo is taken from: two beats.
const COUNTED: usize = 48;
/// From so many on there is a tempo.
const ENOUGH: usize = 12;
/// A tick so many times as late as a tick is long ends what was counted: the sender stood still.
const PAUSE: f64 = 6.0;
/// The clock does not tell the metre: four beats a bar are assumed.
const BAR: i64 = 4;

/// A message that concerns the clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MidiMessage {
    /// F8: a twenty-fourth of a beat.
    Tick,
    /// FA: the next tick is the first of the piece.
    Start,
    /// FB: go on where it was stopped.
    Continue,
    /// FC: stop. Ticks may go on.
    Stop,
}

impl MidiMessage {
    /// Of its status byte; none for any other.
    pub fn of(byte: u8) -> Option<Self> {
        match byte {
            0xf8 => Some(Self::Tick),
            0xfa => Some(Self::Start),
            0xfb => Some(Self::Continue),
            0xfc => Some(Self::Stop),
            _ => None,
        }
    }
}

/// What a clock tells.
#[derive(Clone, Debug, Default)]
pub(super) struct MidiClock {
    /// Times of the last ticks, seconds, the newest at the end.
    times: Vec<f64>,
    /// The number of the last tick; the first after a start is 0.
    count: i64,
    started: bool,
    stopped: bool,
}

impl MidiClock {
    pub(super) fn hear(&mut self, message: MidiMessage, secs: f64) {
        match message {
            MidiMessage::Tick => self.tick(secs),
            MidiMessage::Start => {
                (self.count, self.started, self.stopped) = (-1, true, false);
            }
            MidiMessage::Continue => self.stopped = false,
            MidiMessage::Stop => self.stopped = true,
        }
    }

    fn tick(&mut self, secs: f64) {
        let paused = match (self.times.last(), self.line()) {
            (Some(last), Some((_, tick))) => secs - last > PAUSE * tick,
            (Some(last), None) => secs - last > 0.5,
            (None, _) => false,
        };
        if paused || self.times.last().is_some_and(|last| secs < *last) {
            self.times.clear();
        }
        if self.times.len() == COUNTED {
            self.times.remove(0);
        }
        self.times.push(secs);
        // A stopped piece stays where it is, though its clock may tick.
        self.count += i64::from(!self.stopped);
    }

    /// Least squares through the ticks: when the last was, and seconds a tick.
    fn line(&self) -> Option<(f64, f64)> {
        let count = self.times.len();
        if count < ENOUGH {
            return None;
        }
        let middle = (count - 1) as f64 / 2.0;
        let mean = self.times.iter().sum::<f64>() / count as f64;
        let (mut up, mut down) = (0.0, 0.0);
        for (place, secs) in self.times.iter().enumerate() {
            up += (place as f64 - middle) * (secs - mean);
            down += (place as f64 - middle) * (place as f64 - middle);
        }
        let tick = up / down;
        (tick > 1e-4).then_some((mean + middle * tick, tick))
    }

    /// As it stands; `moment` turns seconds of the clock into a moment.
    pub(super) fn pulse(&self, moment: impl Fn(f64) -> Instant) -> Pulse {
        let Some((last, tick)) = self.line() else { return Pulse::of(&Standing::default(), moment) };
        let beat = self.count.div_euclid(TICKS);
        let since = self.count.rem_euclid(TICKS) as f64;
        let standing = Standing {
            follows: !self.stopped,
            held: false,
            bpm: 60.0 / (tick * TICKS as f64),
            beat_at: last - since * tick,
            place: beat.rem_euclid(BAR) as u8 + 1,
            of: BAR as u8,
            confidence: 1.0,
            // Without a start nobody has said where bars begin.
            bar_confidence: if self.started { 1.0 } else { 0.0 },
        };
        Pulse::of(&standing, moment)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ticks of so many beats a minute from a moment on; when the next one would be.
    fn ticks(clock: &mut MidiClock, from: f64, bpm: f64, count: i32, jitter: f64) -> f64 {
        let tick = 60.0 / bpm / 24.0;
        for number in 0..count {
            let off = jitter * f64::from(number * 7 % 5 - 2) / 2.0;
            clock.hear(MidiMessage::Tick, from + f64::from(number) * tick + off);
        }
        from + f64::from(count) * tick
    }

    #[test]
    fn the_first_tick_after_a_start_is_the_first_beat() {
        let mut clock = MidiClock::default();
        clock.hear(MidiMessage::Start, 0.9);
        let next = ticks(&mut clock, 1.0, 126.0, 24 * 6 + 5, 0.002);
        let pulse = clock.pulse(Instant::from_secs);
        assert!(pulse.follows && (pulse.bpm - 126.0).abs() < 0.5, "{}", pulse.bpm);
        assert_eq!((pulse.place, pulse.of), (3, 4), "the seventh beat");
        assert!(
            (pulse.beat_at.secs() - (1.0 + 6.0 * 60.0 / 126.0)).abs() < 0.001,
            "{}",
            pulse.beat_at.secs()
        );
        clock.hear(MidiMessage::Stop, next);
        ticks(&mut clock, next, 126.0, 100, 0.0);
        assert!(!clock.pulse(Instant::from_secs).follows);
        clock.hear(MidiMessage::Continue, next);
        let place = clock.pulse(Instant::from_secs).place;
        assert!(clock.pulse(Instant::from_secs).follows && place == 3, "where it was stopped: {place}");
    }

    #[test]
    fn a_clock_that_was_never_started_is_followed_without_bars() {
        let mut clock = MidiClock::default();
        assert!(!clock.pulse(Instant::from_secs).follows);
        let next = ticks(&mut clock, 0.0, 90.0, 48, 0.001);
        let pulse = clock.pulse(Instant::from_secs);
        assert!(pulse.follows && pulse.bar_confidence == 0.0 && (pulse.bpm - 90.0).abs() < 0.5);
        // It comes back another, after a pause.
        ticks(&mut clock, next + 3.0, 140.0, 24, 0.0);
        assert!((clock.pulse(Instant::from_secs).bpm - 140.0).abs() < 0.1);
    }

    #[test]
    fn other_bytes_are_none_of_its_messages() {
        assert_eq!((0..=255).filter(|byte| MidiMessage::of(*byte).is_some()).count(), 4);
    }
}
