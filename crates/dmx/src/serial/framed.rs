//! The framed interface: `7E label length-low length-high data E7`. The device makes break, mark and refresh itself
//! and goes on with the last levels, so packets are needed on change; keep-alives restore it after it was unplugged.
//!
//! Labels and layouts: public notes on this de-facto interface; those of the answers from memory.

use lanthorn_physics::time::{Instant, Span};
use lanthorn_physics::units::Hertz;

use crate::Frame;
use crate::rate::{LEAST_GAP, Pace};

/// The most data in one packet.
pub const LONGEST_DATA: usize = 600;

/// The length of a packet with the start code and 512 slots.
pub const SEND_LEN: usize = OVERHEAD + 513;

/// Asks for the device's settings: the answer is read with [`Parameters::parse`].
pub const GET_PARAMETERS: [u8; 7] = [START, label::GET_PARAMETERS, 2, 0, 0, 0, END];

/// Asks for the serial number: the answer is read with [`serial_number`].
pub const GET_SERIAL_NUMBER: [u8; 5] = [START, label::SERIAL_NUMBER, 0, 0, END];

const START: u8 = 0x7E;
const END: u8 = 0xE7;
const HEAD: usize = 4;
const OVERHEAD: usize = HEAD + 1;
const LONGEST: usize = LONGEST_DATA + OVERHEAD;

/// What a packet is about.
pub mod label {
    /// Ask for settings, and the answer.
    pub const GET_PARAMETERS: u8 = 3;
    /// A packet that the device has received on its line: a status byte, the start code, slots.
    pub const RECEIVED: u8 = 5;
    /// Send this on the line: the start code, then 24 to 512 slots.
    pub const SEND: u8 = 6;
    /// Ask for the serial number, and the answer.
    pub const SERIAL_NUMBER: u8 = 10;
}

/// One packet from the device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Message<'a> {
    /// See [`label`].
    pub label: u8,
    /// Up to 600 bytes.
    pub data: &'a [u8],
}

/// Finds packets in the bytes of a port, however they are cut up, with whatever lies between.
///
/// Contract: for each piece that was read, call [`read`](Self::read) until `None`. When the port has been quiet for a
/// while (100 ms will do), call [`quiet`](Self::quiet) and then `read` again: a stray start byte must not hold back
/// what follows it for ever.
#[derive(Clone, Debug)]
pub struct Parser {
    bytes: [u8; LONGEST],
    len: usize,
    taken: usize, // bytes at the front that the last message was made of
}

/// The settings of a device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameters {
    /// Version of its firmware.
    pub firmware: u16,
    /// Its break, in microseconds.
    pub break_us: f64,
    /// Its mark after break, in microseconds.
    pub mab_us: f64,
    /// How often it refreshes the line; `None`: as fast as it can.
    pub rate: Option<Hertz>,
}

/// The stream of one device.
///
/// Contract: `update`, write what [`due`](Self::due) yields, sleep until [`next_due`](Self::next_due).
#[derive(Clone, Debug)]
pub struct Sender {
    packet: Box<[u8; SEND_LEN]>,
    pace: Pace,
}

impl<'a> Message<'a> {
    /// The bytes to send; `None` for more than 600 bytes of data.
    pub fn write(&self) -> Option<Vec<u8>> {
        let len = u16::try_from(self.data.len()).ok().filter(|&len| usize::from(len) <= LONGEST_DATA)?;
        let [low, high] = len.to_le_bytes();
        let mut bytes = vec![START, self.label, low, high];
        bytes.extend_from_slice(self.data);
        bytes.push(END);
        Some(bytes)
    }
}

impl Parser {
    /// Has read nothing yet.
    pub const fn new() -> Self {
        Self { bytes: [0; LONGEST], len: 0, taken: 0 }
    }

    /// The next complete packet, taking bytes off the front of `input` as it needs them; `None` when there is none
    /// yet, and then `input` is empty.
    pub fn read(&mut self, input: &mut &[u8]) -> Option<Message<'_>> {
        let taken = std::mem::take(&mut self.taken);
        self.drop_front(taken);
        loop {
            let start = self.bytes[..self.len].iter().position(|&byte| byte == START);
            self.drop_front(start.unwrap_or(self.len));
            let total = self.wanted();
            if self.len >= total {
                if self.is_whole(total) {
                    self.taken = total;
                    return Some(Message { label: self.bytes[1], data: &self.bytes[HEAD..total - 1] });
                }
                self.drop_front(1); // no packet after all: look for the next start byte in what followed
            } else if input.is_empty() {
                return None;
            } else {
                self.fill(input, total);
            }
        }
    }

    /// Gives up a packet that has begun and does not end.
    pub fn quiet(&mut self) {
        let given_up = self.taken.max(1).min(self.len);
        self.taken = 0;
        self.drop_front(given_up);
    }

    /// How many bytes it takes to go on: the head, then the packet that the head promises, if it can be one.
    fn wanted(&self) -> usize {
        match self.declared() {
            declared if self.len < HEAD || declared > LONGEST_DATA => HEAD,
            declared => declared + OVERHEAD,
        }
    }

    fn is_whole(&self, total: usize) -> bool {
        self.declared() <= LONGEST_DATA && self.bytes[total - 1] == END
    }

    fn declared(&self) -> usize {
        u16::from_le_bytes([self.bytes[2], self.bytes[3]]).into()
    }

    fn fill(&mut self, input: &mut &[u8], total: usize) {
        let (piece, rest) = input.split_at(input.len().min(total - self.len));
        self.bytes[self.len..self.len + piece.len()].copy_from_slice(piece);
        self.len += piece.len();
        *input = rest;
    }

    fn drop_front(&mut self, count: usize) {
        self.bytes.copy_within(count..self.len, 0);
        self.len -= count;
    }
}

impl Default for Parser {
    fn default() -> Self {
        Self::new()
    }
}

impl Parameters {
    /// One unit of break and mark in the answer (from memory).
    const UNIT_US: f64 = 10.67;

    /// Reads the data of the answer to [`GET_PARAMETERS`]; `None` when it is too short.
    pub fn parse(data: &[u8]) -> Option<Self> {
        let &[low, high, break_units, mab_units, rate] = data.first_chunk()?;
        Some(Self {
            firmware: u16::from_le_bytes([low, high]),
            break_us: f64::from(break_units) * Self::UNIT_US,
            mab_us: f64::from(mab_units) * Self::UNIT_US,
            rate: (rate > 0).then(|| Hertz::new(rate.into())),
        })
    }
}

/// Reads the data of the answer to [`GET_SERIAL_NUMBER`]: eight decimal digits, two a byte, the lowest first (from
/// memory). `None` when it is too short or not decimal.
pub fn serial_number(data: &[u8]) -> Option<u32> {
    let bytes: &[u8; 4] = data.first_chunk()?;
    let digits = bytes.iter().rev().flat_map(|byte| [byte >> 4, byte & 0x0F]);
    digits.into_iter().try_fold(0, |number, digit| (digit < 10).then(|| number * 10 + u32::from(digit)))
}

impl Sender {
    /// `rate`: how often the device refreshes its line, if it has said so; 40 Hz at most is usual, 44 Hz the limit.
    pub fn new(rate: Option<Hertz>) -> Self {
        let mut packet = Box::new([0; SEND_LEN]);
        let [low, high] = 513_u16.to_le_bytes();
        packet[..HEAD].copy_from_slice(&[START, label::SEND, low, high]);
        packet[SEND_LEN - 1] = END;
        let period = Span::from_secs(1.0 / rate.unwrap_or(Hertz::new(40.0)).get().max(1.0));
        Self { packet, pace: Pace::new(period.max(LEAST_GAP), false) }
    }

    /// Takes over the values of the universe that this device carries.
    pub fn update(&mut self, frame: &Frame) {
        let slots = &mut self.packet[HEAD + 1..SEND_LEN - 1]; // after the start code, which stays 0
        if !self.pace.has_started() || *slots != frame.0 {
            slots.copy_from_slice(&frame.0);
            self.pace.change();
        }
    }

    /// The device is new, or has come back: it is due the present levels.
    pub fn restart(&mut self) {
        if self.pace.has_started() {
            self.pace.change();
        }
    }

    /// The packet due now, if one is.
    pub fn due(&mut self, now: Instant) -> Option<&[u8]> {
        self.pace.take(now).then_some(&self.packet[..])
    }

    /// When the next packet is due; `None` before the first update.
    pub fn next_due(&self) -> Option<Instant> {
        self.pace.next_due()
    }
}

#[cfg(test)]
mod tests;
