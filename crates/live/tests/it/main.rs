//! The running machine, seen from outside: sockets on the loopback interface, pseudo terminals for serial ports.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod allocation;
mod artnet;
mod engine;
mod renewal;
mod sacn;
mod swap;
#[cfg(target_os = "linux")]
mod usb;

#[path = "../../src/testing.rs"]
mod testing;

use std::sync::Arc;
use std::time::{Duration, Instant};

use lanthorn_dmx::sacn::Cid;
use lanthorn_live::output::Sender;
use lanthorn_live::{Commands, Engine, Machine, OutputSpec, Snapshots};

/// Nothing here is timed; this only keeps a test that fails from hanging.
const PATIENCE: Duration = Duration::from_secs(30);

/// Who we are in tests: a CID for each, so that tests that run at the same time do not hear each other.
fn sender(number: u8) -> Sender {
    Sender { cid: Cid::from_random([number; 16]), name: "hall laptop".to_owned() }
}

/// What an engine of so many universes computes, apart from it.
fn machine(universes: usize) -> Machine {
    Machine::new(Arc::new(testing::show()), Arc::new(testing::rig_of(universes)))
}

/// A running engine of so many universes.
fn start(universes: usize, outputs: &[OutputSpec], number: u8) -> (Engine, Commands, Snapshots) {
    let (show, rig) = (Arc::new(testing::show()), Arc::new(testing::rig_of(universes)));
    Engine::start(show, rig, outputs, &sender(number)).unwrap()
}

/// Looks every few milliseconds until there is something; fails the test when there never is.
fn wait_for<T>(what: &str, mut look: impl FnMut() -> Option<T>) -> T {
    let begun = Instant::now();
    while begun.elapsed() < PATIENCE {
        if let Some(found) = look() {
            return found;
        }
        std::thread::sleep(Duration::from_millis(3));
    }
    panic!("waited in vain: {what}");
}
