//! Who sends what: the bookkeeping of E1.31-2018 §6.7 and §6.2.3, for showing what is on a network.

use std::collections::BTreeMap;
use std::net::SocketAddr;

use lanthorn_physics::time::{Instant, Span};

use super::{
    Cid, DISCOVERY_INTERVAL, DataPacket, DiscoveryPacket, Packet, PacketError, Priority, SyncPacket,
};
use crate::{Frame, Universe};

/// A source that is silent for this long on a universe is lost there (§6.7.1: `E131_NETWORK_DATA_LOSS_TIMEOUT`).
pub const LOSS: Span = Span::from_millis(2_500);

/// How many pairs of source and universe are kept, and as many announcements and synchronisation streams: enough for
/// any rig, and a bound on what a flood of strange packets may cost. Those past it are reported and left out.
pub const MAX_SOURCES: usize = 1024;

/// An announced list that is not repeated within two intervals is stale; a little is allowed for lateness.
const STALE: Span = Span::from_millis(2 * DISCOVERY_INTERVAL.micros() / 1000 + 2_500);

/// Keeps account of the sources of every universe.
///
/// Contract: [`handle`](Self::handle) every datagram; [`expire`](Self::expire) now and then, a few times a second
/// being plenty. Sources are told apart by component identifier, so that a packet that comes over IPv4 and IPv6 acts
/// once. Merge: of the sources at the highest priority, the highest value of each slot; preview streams are listed but
/// never merged.
#[derive(Clone, Debug, Default)]
pub struct Receiver {
    sources: BTreeMap<(Universe, Cid), Source>,
    syncs: BTreeMap<(Universe, Cid), (u8, Instant)>,
    announced: BTreeMap<Cid, Announced>,
}

/// One source on one universe.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// Which universe.
    pub universe: Universe,
    /// Which component.
    pub cid: Cid,
    /// Its name for people.
    pub name: String,
    /// Where the newest packet came from.
    pub from: SocketAddr,
    /// The priority of the newest packet.
    pub priority: Priority,
    /// For showing only; never merged.
    pub preview: bool,
    /// Its synchronisation address.
    pub sync_address: Option<Universe>,
    /// The newest levels and how many slots of them it sends; `None` while only other start codes came.
    pub levels: Option<(Frame, u16)>,
    /// The sequence number of the newest packet.
    pub sequence: u8,
    /// Packets taken.
    pub packets: u64,
    /// Packets that the gaps in the sequence show to be missing.
    pub missing: u64,
    /// Packets discarded because they came late or twice.
    pub out_of_order: u64,
    /// When the newest packet came.
    pub last_heard: Instant,
}

/// What a source says that it sends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Announced {
    /// Its name for people.
    pub name: String,
    /// All its universes, ascending, of the newest complete list.
    pub universes: Vec<Universe>,
    /// When the newest page came.
    pub last_heard: Instant,
    pending: Vec<Universe>,
    next_page: u8,
}

/// What a packet did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Event {
    /// New levels; `new` when the source was not there before.
    Levels {
        /// Which universe.
        universe: Universe,
        /// Whose.
        cid: Cid,
        /// Its first packet since it was lost, ended or never seen.
        new: bool,
    },
    /// The source has ended its stream; the packets that repeat it come as this too.
    Terminated {
        /// Which universe.
        universe: Universe,
        /// Whose.
        cid: Cid,
    },
    /// Late or twice, discarded (§6.7.2).
    OutOfOrder {
        /// Which universe or synchronisation address.
        universe: Universe,
        /// Whose.
        cid: Cid,
    },
    /// Not levels: its slots are left out.
    OtherStartCode {
        /// Which universe.
        universe: Universe,
        /// Whose.
        cid: Cid,
        /// Such as 0xDD.
        start_code: u8,
    },
    /// A synchronisation packet.
    Sync {
        /// Its address.
        address: Universe,
        /// Whose.
        cid: Cid,
    },
    /// A page of an announcement: see [`Receiver::announced`].
    Announced {
        /// Whose.
        cid: Cid,
        /// The list is complete with this page.
        complete: bool,
    },
    /// Past [`MAX_SOURCES`]: left out.
    SourcesExceeded {
        /// Whose.
        cid: Cid,
    },
}

/// A source that fell silent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lost {
    /// On which universe.
    pub universe: Universe,
    /// Which component.
    pub cid: Cid,
}

/// What a receiver of one universe would make of its sources.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merged {
    /// The highest value of each slot.
    pub frame: Frame,
    /// The most slots that one of them sends.
    pub slots: u16,
    /// The priority that won.
    pub priority: Priority,
    /// How many sources share it.
    pub sources: usize,
}

impl Receiver {
    /// Knows of no one yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a datagram. An error means that it was no valid packet, and that nothing changed.
    pub fn handle(&mut self, bytes: &[u8], from: SocketAddr, now: Instant) -> Result<Event, PacketError> {
        Ok(match Packet::parse(bytes)? {
            Packet::Data(packet) => self.data(&packet, from, now),
            Packet::Sync(packet) => self.sync(packet, now),
            Packet::Discovery(packet) => self.discovery(&packet, now),
        })
    }

    /// Forgets who has been silent too long, and says which sources these were.
    pub fn expire(&mut self, now: Instant) -> Vec<Lost> {
        let mut lost = Vec::new();
        self.sources.retain(|&(universe, cid), source| {
            let keep = now - source.last_heard < LOSS;
            if !keep {
                lost.push(Lost { universe, cid });
            }
            keep
        });
        self.syncs.retain(|_, (_, last_heard)| now - *last_heard < LOSS);
        self.announced.retain(|_, announced| now - announced.last_heard < STALE);
        lost
    }

    /// Every source on every universe, ascending by universe.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        self.sources.values()
    }

    /// What the sources announce, whether or not their streams reach us.
    pub fn announced(&self) -> impl Iterator<Item = (Cid, &Announced)> {
        self.announced.iter().map(|(&cid, announced)| (cid, announced))
    }

    /// The levels of a universe after priority and merge; `None` without a source of levels.
    pub fn merged(&self, universe: Universe) -> Option<Merged> {
        let live = || {
            let all = (universe, Cid([0; 16]))..=(universe, Cid([0xFF; 16]));
            self.sources.range(all).map(|(_, source)| source).filter(|source| !source.preview)
        };
        let priority = live().filter(|source| source.levels.is_some()).map(|source| source.priority).max()?;
        let mut merged = Merged { frame: Frame::DARK, slots: 0, priority, sources: 0 };
        for (frame, slots) in
            live().filter(|source| source.priority == priority).filter_map(|source| source.levels)
        {
            merged.sources += 1;
            merged.slots = merged.slots.max(slots);
            for (highest, value) in merged.frame.0.iter_mut().zip(frame.0) {
                *highest = (*highest).max(value);
            }
        }
        Some(merged)
    }

    fn data(&mut self, packet: &DataPacket<'_>, from: SocketAddr, now: Instant) -> Event {
        let (universe, cid) = (packet.universe, packet.cid);
        // One that fell silent is new again, whatever its sequence number.
        let known = self.sources.get_mut(&(universe, cid)).filter(|source| now - source.last_heard < LOSS);
        let new = known.is_none();
        if let Some(source) = known {
            let step = packet.sequence.wrapping_sub(source.sequence);
            if is_out_of_order(step) {
                source.out_of_order += 1;
                return Event::OutOfOrder { universe, cid };
            }
            // A step too far back to be late means that the source started again.
            source.missing += if step < 0x80 { u64::from(step) - 1 } else { 0 };
        }
        if packet.options.terminated {
            self.sources.remove(&(universe, cid));
            return Event::Terminated { universe, cid };
        }
        if new {
            self.sources.remove(&(universe, cid));
            if self.sources.len() >= MAX_SOURCES {
                return Event::SourcesExceeded { cid };
            }
        }
        let source = self.sources.entry((universe, cid)).or_insert_with(|| Source::new(packet, from, now));
        source.take(packet, from, now);
        match packet.start_code {
            0 => Event::Levels { universe, cid, new },
            start_code => Event::OtherStartCode { universe, cid, start_code },
        }
    }

    fn sync(&mut self, packet: SyncPacket, now: Instant) -> Event {
        let SyncPacket { cid, sequence, address } = packet;
        match self.syncs.get(&(address, cid)) {
            Some(&(last, heard)) if now - heard < LOSS && is_out_of_order(sequence.wrapping_sub(last)) => {
                return Event::OutOfOrder { universe: address, cid };
            }
            None if self.syncs.len() >= MAX_SOURCES => return Event::SourcesExceeded { cid },
            _ => {}
        }
        self.syncs.insert((address, cid), (sequence, now));
        Event::Sync { address, cid }
    }

    fn discovery(&mut self, packet: &DiscoveryPacket<'_>, now: Instant) -> Event {
        let cid = packet.cid;
        if self.announced.len() >= MAX_SOURCES && !self.announced.contains_key(&cid) {
            return Event::SourcesExceeded { cid };
        }
        let announced = self.announced.entry(cid).or_insert_with(|| Announced::new(now));
        Event::Announced { cid, complete: announced.take(packet, now) }
    }
}

impl Source {
    fn new(packet: &DataPacket<'_>, from: SocketAddr, now: Instant) -> Self {
        Self {
            universe: packet.universe,
            cid: packet.cid,
            name: String::new(),
            from,
            priority: packet.priority,
            preview: packet.options.preview,
            sync_address: packet.sync_address,
            levels: None,
            sequence: packet.sequence,
            packets: 0,
            missing: 0,
            out_of_order: 0,
            last_heard: now,
        }
    }

    fn take(&mut self, packet: &DataPacket<'_>, from: SocketAddr, now: Instant) {
        if self.name != packet.source_name {
            self.name = packet.source_name.clone().into_owned();
        }
        self.from = from;
        self.sequence = packet.sequence;
        self.packets += 1;
        self.last_heard = now;
        if packet.start_code == 0 {
            self.priority = packet.priority;
            self.preview = packet.options.preview;
            self.sync_address = packet.sync_address;
            let mut frame = Frame::DARK;
            frame.0[..packet.slots.len()].copy_from_slice(packet.slots);
            self.levels = Some((frame, packet.slots.len() as u16));
        }
    }
}

impl Announced {
    fn new(now: Instant) -> Self {
        Self {
            name: String::new(),
            universes: Vec::new(),
            last_heard: now,
            pending: Vec::new(),
            next_page: 0,
        }
    }

    /// Pages are taken in order; one out of order waits for the next list. `true` when the list is complete.
    fn take(&mut self, packet: &DiscoveryPacket<'_>, now: Instant) -> bool {
        self.name = packet.source_name.clone().into_owned();
        self.last_heard = now;
        if packet.page == 0 {
            self.pending.clear();
        } else if packet.page != self.next_page {
            self.next_page = 0;
            return false;
        }
        self.pending.extend(packet.universes());
        self.next_page = packet.page.wrapping_add(1);
        let complete = packet.page == packet.last_page;
        if complete {
            self.pending.sort_unstable();
            self.pending.dedup();
            std::mem::swap(&mut self.universes, &mut self.pending);
            self.next_page = 0;
        }
        complete
    }
}

/// The rule of §6.7.2 for the step from the last sequence number to this one, as a signed byte.
const fn is_out_of_order(step: u8) -> bool {
    let step = step as i8;
    -20 < step && step <= 0
}
