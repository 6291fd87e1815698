//! The bare adapter: a serial port, a line driver, and nothing that repeats a packet for us.

use lanthorn_physics::time::{Instant, Span};
use lanthorn_physics::units::Hertz;

use super::{Timing, TimingError, least_period};
use crate::Frame;
use crate::rate::Pace;

/// One packet on the line: make a break, then a mark, then send the bytes at 250 kbit/s with two stop bits, and wait
/// until they have left before the next break.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Transmission<'a> {
    /// How long the line is held low, in microseconds, at least.
    pub break_us: u32,
    /// How long it is high before the first slot, in microseconds, at least.
    pub mab_us: u32,
    /// The start code and the slots.
    pub bytes: &'a [u8],
}

/// How a bare port is driven.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Break and mark.
    pub timing: Timing,
    /// How many slots, 1..=512. All 512 unless the line is short of time: some inexpensive receivers want them.
    pub slots: u16,
    /// How many packets a second; no more than [`max_rate`](super::max_rate) are sent. 40 Hz is gentle on receivers.
    pub rate: Hertz,
}

/// The stream of one port. It never stops, since nothing else refreshes the line: receivers count the signal as lost
/// after a second.
///
/// Contract: `update`, perform what [`due`](Self::due) yields, sleep until [`next_due`](Self::next_due).
#[derive(Clone, Debug)]
pub struct Sender {
    timing: Timing,
    bytes: [u8; 513],
    len: usize, // start code and slots in use
    pace: Pace,
}

impl Default for Settings {
    fn default() -> Self {
        Self { timing: Timing::default(), slots: 512, rate: Hertz::new(40.0) }
    }
}

impl Sender {
    /// Fails when there are no slots, or too many. A rate that is not above zero means once a second, the slowest
    /// that holds a signal.
    pub fn new(settings: Settings) -> Result<Self, TimingError> {
        let Settings { timing, slots, rate } = settings;
        if !(1..=512).contains(&slots) {
            return Err(TimingError::Slots { slots });
        }
        let period = Span::from_secs(1.0 / rate.get().max(1.0)).max(least_period(slots, timing));
        Ok(Self { timing, bytes: [0; 513], len: usize::from(slots) + 1, pace: Pace::new(period, true) })
    }

    /// Takes over the values of the universe that this port carries.
    pub fn update(&mut self, frame: &Frame) {
        self.bytes[1..].copy_from_slice(&frame.0);
        self.pace.change();
    }

    /// The packet due now, if one is.
    pub fn due(&mut self, now: Instant) -> Option<Transmission<'_>> {
        let Timing { break_us, mab_us, .. } = self.timing;
        self.pace.take(now).then(|| Transmission { break_us, mab_us, bytes: &self.bytes[..self.len] })
    }

    /// When the next packet is due; `None` before the first update.
    pub fn next_due(&self) -> Option<Instant> {
        self.pace.next_due()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn repeats_at_its_rate_with_a_start_code() {
        let settings = Settings { slots: 24, ..Settings::default() };
        let mut sender = Sender::new(settings).unwrap();
        assert_eq!(sender.due(Instant::ZERO), None, "no values yet");
        let mut frame = Frame::DARK;
        frame.0[0] = 7;
        sender.update(&frame);
        let packet = sender.due(Instant::ZERO).unwrap();
        assert_eq!((packet.break_us, packet.mab_us, packet.bytes.len()), (176, 16, 25));
        assert_eq!(packet.bytes[..3], [0, 7, 0]);
        let sent = (1..=1000).filter(|&ms| sender.due(Instant::from_secs(f64::from(ms) / 1e3)).is_some());
        assert_eq!(sent.count(), 40, "in one second, without a change");
    }

    #[test]
    fn never_faster_than_the_line() {
        let settings = Settings { rate: Hertz::new(1000.0), ..Settings::default() };
        let mut sender = Sender::new(settings).unwrap();
        sender.update(&Frame::DARK);
        assert!(sender.due(Instant::ZERO).is_some());
        // Break 176, mark 16, 513 slots of 44 us.
        assert_eq!(sender.next_due(), Some(Instant::from_micros(22_764)));
        for (slots, ok) in [(0, false), (1, true), (512, true), (513, false)] {
            assert_eq!(Sender::new(Settings { slots, ..settings }).is_ok(), ok, "{slots} slots");
        }
    }
}
