//! Which networks there are, asked again and again by a thread of its own: asking the system takes memory and time,
//! which the tick has not.

use std::net::Ipv4Addr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use rtrb::{Consumer, Producer, RingBuffer};

use super::net::ipv4_interfaces;

/// Most networks polled; a laptop has one to three.
const MOST: usize = 16;
const ASK_AGAIN: Duration = Duration::from_secs(2);

/// The broadcast addresses of our networks, as they are now.
#[derive(Debug)]
pub(crate) struct Networks {
    now: Broadcasts,
    news: Consumer<Broadcasts>,
    stop: Arc<AtomicBool>,
    thread: std::thread::Thread,
}

/// Up to [`MOST`] addresses, without heap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Broadcasts {
    addresses: [Ipv4Addr; MOST],
    count: usize,
}

impl Networks {
    /// Of all interfaces, or of the one with this address: none while it is gone.
    pub(crate) fn watch(interface: Option<Ipv4Addr>) -> std::io::Result<Self> {
        let (producer, news) = RingBuffer::new(2);
        let stop = Arc::new(AtomicBool::new(false));
        let now = Broadcasts::ask(interface);
        let thread = std::thread::Builder::new()
            .name("lanthorn-networks".to_owned())
            .spawn({
                let stop = stop.clone();
                move || keep_asking(interface, now, producer, &stop)
            })?
            .thread()
            .clone();
        Ok(Self { now, news, stop, thread })
    }

    /// The newest list. Does not wait.
    pub(crate) fn broadcasts(&mut self) -> &[Ipv4Addr] {
        while let Ok(newer) = self.news.pop() {
            self.now = newer;
        }
        &self.now.addresses[..self.now.count]
    }
}

impl Drop for Networks {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Release);
        self.thread.unpark();
    }
}

impl Broadcasts {
    fn ask(interface: Option<Ipv4Addr>) -> Self {
        let mut found = Self { addresses: [Ipv4Addr::UNSPECIFIED; MOST], count: 0 };
        let ours = ipv4_interfaces().filter(|(own, _)| interface.is_none_or(|chosen| chosen == *own));
        for address in ours.filter_map(|(_, broadcast)| broadcast).take(MOST) {
            found.addresses[found.count] = address;
            found.count += 1;
        }
        found
    }
}

fn keep_asking(
    interface: Option<Ipv4Addr>,
    mut told: Broadcasts,
    mut tell: Producer<Broadcasts>,
    stop: &AtomicBool,
) {
    while !stop.load(Ordering::Acquire) {
        std::thread::park_timeout(ASK_AGAIN);
        let found = Broadcasts::ask(interface);
        // A full ring: nobody listens just now, so tell it next time.
        if found != told && tell.push(found).is_ok() {
            told = found;
        }
    }
}
