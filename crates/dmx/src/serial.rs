//! DMX512-A over a serial port: what to do, not how.
//!
//! [`framed`] is the common interface whose own processor makes the line signal: it takes packets of bytes.
//! [`bare`] is an adapter without one: the port itself must make break, mark and 250 kbit/s, as a [`Transmission`]
//! says. This page of the module has the times of the line (ANSI E1.11), which both obey.

pub mod bare;
pub mod framed;

pub use bare::Transmission;

use lanthorn_physics::time::Span;
use lanthorn_physics::units::Hertz;

/// Bits in a second on the line: 250 000, eight data bits, two stop bits, no parity, least significant bit first.
pub const BIT_RATE: u32 = 250_000;

/// One slot: start bit, eight data bits, two stop bits of 4 us each.
pub const SLOT_US: u32 = 44;

/// The least time from one break to the next that a transmitter may leave.
pub const LEAST_BREAK_TO_BREAK_US: u32 = 1204;

/// The shortest break that a transmitter may send.
pub const LEAST_BREAK_US: u32 = 92;

/// The shortest mark after break that a transmitter may send.
pub const LEAST_MAB_US: u32 = 12;

/// The longest that any part of a packet, and the packet itself, may be: past it, receivers count the signal as lost.
const LONGEST_US: u32 = 1_000_000;

/// The idle times of one packet on the line, in microseconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Timing {
    break_us: u32,        // invariant: 92 at least
    mab_us: u32,          // invariant: 12 at least
    inter_slot_us: u32,   // invariant: with all of them, a full packet lasts under a second
    before_break_us: u32, // ..
}

/// Why the line cannot be timed so.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TimingError {
    /// Shorter than a transmitter may send.
    #[error("break of {break_us} us: 92 us is the shortest that receivers must understand from a controller")]
    Break {
        /// What was asked for.
        break_us: u32,
    },
    /// Shorter than a transmitter may send.
    #[error("mark after break of {mab_us} us: 12 us is the shortest that a controller may send")]
    MarkAfterBreak {
        /// What was asked for.
        mab_us: u32,
    },
    /// Receivers would take the signal for lost.
    #[error("a packet of 512 slots would last {packet_us} us: keep it under a second")]
    Packet {
        /// How long.
        packet_us: u64,
    },
    /// No slots, or more than there are.
    #[error("{slots} slots: a packet has 1 to 512")]
    Slots {
        /// What was asked for.
        slots: u16,
    },
}

impl Timing {
    /// Checked, with nothing idle between slots or before the break.
    pub const fn new(break_us: u32, mab_us: u32) -> Result<Self, TimingError> {
        Self::with_idle(break_us, mab_us, 0, 0)
    }

    /// Checked: break, mark after break, mark between slots, mark before break.
    pub const fn with_idle(
        break_us: u32,
        mab_us: u32,
        inter_slot_us: u32,
        before_break_us: u32,
    ) -> Result<Self, TimingError> {
        if break_us < LEAST_BREAK_US {
            return Err(TimingError::Break { break_us });
        }
        if mab_us < LEAST_MAB_US {
            return Err(TimingError::MarkAfterBreak { mab_us });
        }
        let packet_us = break_us as u64
            + mab_us as u64
            + (SLOT_US as u64 * 513)
            + (inter_slot_us as u64 * 512)
            + before_break_us as u64;
        if packet_us >= LONGEST_US as u64 {
            return Err(TimingError::Packet { packet_us });
        }
        Ok(Self { break_us, mab_us, inter_slot_us, before_break_us })
    }

    /// The break, 92 us at least.
    pub const fn break_us(self) -> u32 {
        self.break_us
    }

    /// The mark after the break, 12 us at least.
    pub const fn mab_us(self) -> u32 {
        self.mab_us
    }
}

impl Default for Timing {
    /// 176 us and 16 us: longer than the least, since some inexpensive receivers miss a short break.
    fn default() -> Self {
        Self { break_us: 176, mab_us: 16, inter_slot_us: 0, before_break_us: 0 }
    }
}

/// How long a packet of `slots` data slots takes: break, mark, start code, slots and what is idle between them.
pub fn frame_time(slots: u16, timing: Timing) -> Span {
    let slots = i64::from(slots);
    let idle = i64::from(timing.break_us) + i64::from(timing.mab_us) + i64::from(timing.before_break_us);
    Span::from_micros(idle + i64::from(SLOT_US) * (slots + 1) + i64::from(timing.inter_slot_us) * slots)
}

/// The most packets of `slots` data slots that a line carries in a second.
pub fn max_rate(slots: u16, timing: Timing) -> Hertz {
    Hertz::new(1.0 / least_period(slots, timing).secs())
}

/// The shortest time from one packet of `slots` data slots to the next.
pub fn least_period(slots: u16, timing: Timing) -> Span {
    frame_time(slots, timing).max(Span::from_micros(LEAST_BREAK_TO_BREAK_US.into()))
}

/// The break and the mark, in microseconds, that a zero byte makes at a slower rate with two stop bits: for ports
/// without a break of their own. The start bit and eight zeros are the break (9 bits), the stop bits the mark.
pub fn slow_byte(bit_rate: u32) -> (f64, f64) {
    let bit_us = 1e6 / f64::from(bit_rate.max(1));
    (9.0 * bit_us, 2.0 * bit_us)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refresh_table() {
        // Published refresh table of E1.11 timing: slots, then time and rate at 92/12 and at 176/12.
        for (slots, short_us, short_hz, long_us, long_hz) in [
            (24, 1204, 830.6, 1288, 776.4),
            (64, 2964, 337.4, 3048, 328.1),
            (256, 11_412, 87.6, 11_496, 87.0),
            (512, 22_676, 44.10, 22_760, 43.94),
        ] {
            for (break_us, time_us, hz) in [(92, short_us, short_hz), (176, long_us, long_hz)] {
                let timing = Timing::new(break_us, 12).unwrap();
                assert_eq!(frame_time(slots, timing).micros(), time_us, "{slots} slots at {break_us}");
                assert!((max_rate(slots, timing).get() - hz).abs() < 0.05, "{slots} slots at {break_us}");
            }
        }
        let shortest = Timing::new(92, 12).unwrap();
        assert_eq!(max_rate(1, shortest), max_rate(24, shortest), "break to break is never under 1204 us");
        let idle = Timing::with_idle(92, 12, 2, 100).unwrap();
        assert_eq!(frame_time(10, idle).micros(), 92 + 12 + 44 * 11 + 2 * 10 + 100);
    }

    #[test]
    fn bounds() {
        assert_eq!((Timing::default().break_us(), Timing::default().mab_us()), (176, 16));
        assert_eq!(Timing::new(91, 12), Err(TimingError::Break { break_us: 91 }));
        assert_eq!(Timing::new(92, 11), Err(TimingError::MarkAfterBreak { mab_us: 11 }));
        assert_eq!(Timing::new(1_000_000, 12), Err(TimingError::Packet { packet_us: 1_022_584 }));
        assert!(Timing::with_idle(u32::MAX, u32::MAX, u32::MAX, u32::MAX).is_err());
    }

    #[test]
    fn slow_bytes() {
        // Rate, break, mark; from an open library's notes on break timing. 115200 is too short to be legal.
        for (rate, break_us, mab_us) in [
            (90_909, 99.0, 22.0),
            (83_333, 108.0, 24.0),
            (57_600, 156.0, 35.0),
            (50_000, 180.0, 40.0),
            (38_400, 234.0, 52.0),
        ] {
            let (b, m) = slow_byte(rate);
            assert!((b - break_us).abs() < 0.5 && (m - mab_us).abs() < 0.5, "{rate}: {b} {m}");
        }
        assert!(slow_byte(115_200).0 < f64::from(LEAST_BREAK_US));
    }
}
