//! The crate as its users see it: bytes against tables and against independent implementations, senders on a simulated
//! clock, parsers under arbitrary bytes.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod artnet_bytes;
mod artnet_timeline;
mod hostile;
mod recorded;
mod sacn_bytes;
mod sacn_receiver;
mod sacn_timeline;

use lanthorn_dmx::sacn::Cid;
use lanthorn_dmx::{Frame, Frames, Universe};
use lanthorn_physics::time::Instant;

/// The identifier of every recorded packet.
const CID: Cid = Cid([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15]);

fn universe(number: u32) -> Universe {
    Universe::new(number).unwrap()
}

fn ms(millis: f64) -> Instant {
    Instant::from_secs(millis / 1e3)
}

/// Frames of the given universes, all slots at the given value.
fn frames(values: &[(u32, u8)]) -> Frames {
    let mut frames = Frames::dark(values.iter().map(|&(number, _)| universe(number)));
    for &(number, value) in values {
        *frames.get_mut(universe(number)).unwrap() = Frame([value; 512]);
    }
    frames
}

fn hex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> = text.chars().filter_map(|c| c.to_digit(16)).map(|digit| digit as u8).collect();
    digits.chunks(2).map(|pair| pair[0] << 4 | pair[1]).collect()
}
