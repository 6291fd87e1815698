//! Many universes out: prebuilt packets, paced by the rules of E1.31-2018 §6.6.

use lanthorn_physics::time::{Instant, Span};

use super::packet::{DATA_PACKET_LEN, field};
use super::{Cid, DataPacket, DiscoveryPacket, Options, Priority, SYNC_PACKET_LEN, SyncPacket};
use crate::rate::{LEAST_GAP, Pace, RateGuard, SETTLED_PACKETS};
use crate::{Frame, Frames, Universe};

/// The time between two lists of our universes (E1.31-2018 §12: `E131_UNIVERSE_DISCOVERY_INTERVAL`).
pub const DISCOVERY_INTERVAL: Span = Span::from_millis(10_000);

/// How often the end of a stream is told (§6.2.6).
const TERMINATED_PACKETS: u8 = 3;

/// What a sender says of itself, and how it sends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Kept over restarts: see [`Cid`].
    pub cid: Cid,
    /// For people at the receiving end; cut to 63 bytes of UTF-8, at a character.
    pub source_name: String,
    /// 100 as a rule.
    pub priority: Priority,
    /// Marks everything as for showing only, never for real lights.
    pub preview: bool,
    /// Sends at the full rate even while nothing changes, which some receivers want; strictly, §6.6.2 forbids it.
    pub continuous: bool,
    /// Receivers that can, wait for a packet on this address and then change all together.
    pub sync: Option<Universe>,
    /// With `sync`: receivers go on unsynchronised when it is lost, rather than hold.
    pub force_sync: bool,
    /// With `sync`: how long after the last data packet of a burst the synchronisation packet leaves (§11.2.2).
    pub sync_delay: Span,
}

/// The streams of many universes from one source.
///
/// Contract: [`update`](Self::update) as often as there are new frames; send all that [`due`](Self::due) yields, then
/// what [`sync_due`](Self::sync_due) and [`discovery_due`](Self::discovery_due) yield; sleep until
/// [`next_due`](Self::next_due) or the next tick, whichever is earlier. A packet counts as sent when the iterator
/// yields it: sequence and pace move on, whether or not the socket took it.
///
/// At the end, [`terminate`](Self::terminate) and then the same loop until [`is_finished`](Self::is_finished): about
/// 46 ms, or up to 69 ms if a packet has just left. No allocation after construction but in
/// [`set_universes`](Self::set_universes).
#[derive(Clone, Debug)]
pub struct Sender {
    settings: Settings,
    streams: Vec<Stream>, // sorted by universe
    sync: Option<SyncStream>,
    discovery: Discovery,
}

#[derive(Clone, Debug)]
struct Stream {
    universe: Universe,
    packet: Box<[u8; DATA_PACKET_LEN]>,
    pace: Pace,
    ending: Option<u8>, // terminated packets still to send
}

#[derive(Clone, Debug)]
struct SyncStream {
    packet: [u8; SYNC_PACKET_LEN],
    delay: Span,
    guard: RateGuard,
    due: Option<Instant>,
}

#[derive(Clone, Debug)]
struct Discovery {
    pages: Vec<Vec<u8>>,
    due: Option<Instant>,
}

impl Settings {
    /// Priority 100, suppressed when still, not synchronised.
    pub fn new(cid: Cid, source_name: impl Into<String>) -> Self {
        Self {
            cid,
            source_name: source_name.into(),
            priority: Priority::DEFAULT,
            preview: false,
            continuous: false,
            sync: None,
            force_sync: false,
            sync_delay: Span::from_millis(1),
        }
    }

    fn options(&self) -> Options {
        Options { preview: self.preview, terminated: false, force_sync: self.force_sync }
    }
}

impl Sender {
    /// A sender of these universes, in any order, repeats allowed. Silent (but for discovery) until the first
    /// [`update`](Self::update).
    pub fn new(settings: Settings, universes: impl IntoIterator<Item = Universe>) -> Self {
        let mut universes: Vec<Universe> = universes.into_iter().collect();
        universes.sort_unstable();
        universes.dedup();
        let streams = universes.iter().map(|&universe| Stream::new(&settings, universe)).collect();
        let sync = settings.sync.map(|address| SyncStream::new(&settings, address));
        let discovery = Discovery::new(&settings, &universes);
        Self { settings, streams, sync, discovery }
    }

    /// What it was made with.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The universes that it sends, ascending; those that are ending are among them until they have ended.
    pub fn universes(&self) -> impl ExactSizeIterator<Item = Universe> {
        self.streams.iter().map(|stream| stream.universe)
    }

    /// Takes over the values. Universes of ours that are not in `frames` keep what they had; others are ignored.
    pub fn update(&mut self, frames: &Frames) {
        for stream in &mut self.streams {
            if let Some(frame) = frames.get(stream.universe) {
                stream.update(frame);
            }
        }
    }

    /// The data packets due now, with their universes, ascending.
    pub fn due(&mut self, now: Instant) -> impl Iterator<Item = (Universe, &[u8])> {
        let sync = &mut self.sync;
        self.streams.iter_mut().filter_map(move |stream| {
            let universe = stream.universe;
            let bytes = stream.take(now)?;
            if let Some(sync) = sync {
                sync.after_data(now);
            }
            Some((universe, bytes))
        })
    }

    /// The synchronisation packet, if one is due now: to the group of [`Settings::sync`], not of the data.
    pub fn sync_due(&mut self, now: Instant) -> Option<&[u8]> {
        self.sync.as_mut()?.take(now)
    }

    /// The pages that list our universes, if they are due now: to [`DISCOVERY_V4`](super::DISCOVERY_V4) or
    /// [`DISCOVERY_V6`](super::DISCOVERY_V6). At once on the first call, and then every ten seconds.
    pub fn discovery_due(&mut self, now: Instant) -> impl Iterator<Item = &[u8]> {
        let due = self.discovery.take(now);
        self.discovery.pages.iter().filter(move |_| due).map(Vec::as_slice)
    }

    /// When there is something to send again; in the past if there is now. `None` once finished.
    pub fn next_due(&self) -> Option<Instant> {
        let streams = self.streams.iter().filter_map(Stream::next_due).min();
        let sync = self.sync.as_ref().and_then(SyncStream::next_due);
        [streams, sync, self.discovery.due].into_iter().flatten().min()
    }

    /// Ends every stream: three packets each that say so, through [`due`](Self::due). Later updates are ignored.
    pub fn terminate(&mut self) {
        self.streams.iter_mut().for_each(Stream::terminate);
        self.discovery.due = None;
    }

    /// `true` when every stream has told its end.
    pub fn is_finished(&self) -> bool {
        self.streams.iter().all(Stream::is_finished)
    }

    /// A sender of these universes that is to take the place of this one by [`take_over`](Self::take_over) later on.
    /// `ever`: all universes that this one, or one before it, may still have a stream of.
    pub fn successor(
        settings: Settings,
        universes: impl IntoIterator<Item = Universe>,
        ever: impl IntoIterator<Item = Universe>,
    ) -> Self {
        let universes: Vec<Universe> = universes.into_iter().collect();
        let mut sender = Self::new(settings.clone(), universes.iter().copied());
        let mut all: Vec<Universe> = universes.into_iter().chain(ever).collect();
        all.sort_unstable();
        all.dedup();
        let stream = |universe: &Universe| {
            let mut stream = Stream::new(&settings, *universe);
            if sender.streams.binary_search_by_key(universe, |stream| stream.universe).is_err() {
                stream.terminate();
            }
            stream
        };
        sender.streams = all.iter().map(stream).collect();
        sender
    }

    /// Goes on where another sender is, made ready by [`successor`](Self::successor): streams that stay go on with their
    /// sequence and pace, those that go are dark for three packets and then ended by three packets through [`due`](Self::due). `old`
    /// keeps what is of no use any more. Does not allocate.
    pub fn take_over(&mut self, old: &mut Self) {
        for stream in &mut self.streams {
            let Ok(place) = old.streams.binary_search_by_key(&stream.universe, |old| old.universe) else {
                continue;
            };
            let goes = stream.ending.is_some();
            std::mem::swap(stream, &mut old.streams[place]);
            if goes { stream.leave() } else { stream.revive() }
        }
        std::mem::swap(&mut self.sync, &mut old.sync);
        if self.discovery.pages == old.discovery.pages {
            self.discovery.due = old.discovery.due;
        }
    }

    /// Changes which universes there are: those that stay go on undisturbed, those that go are ended by three packets
    /// through [`due`](Self::due), and the new list is sent at once. Allocates: not for the tick.
    pub fn set_universes(&mut self, universes: impl IntoIterator<Item = Universe>) {
        let mut universes: Vec<Universe> = universes.into_iter().collect();
        universes.sort_unstable();
        universes.dedup();
        self.streams.retain(|stream| !stream.is_finished());
        for stream in &mut self.streams {
            match universes.binary_search(&stream.universe) {
                Ok(_) => stream.revive(),
                Err(_) => stream.terminate(),
            }
        }
        for &universe in &universes {
            if let Err(place) = self.streams.binary_search_by_key(&universe, |stream| stream.universe) {
                self.streams.insert(place, Stream::new(&self.settings, universe));
            }
        }
        self.discovery = Discovery::new(&self.settings, &universes);
    }
}

impl Stream {
    fn new(settings: &Settings, universe: Universe) -> Self {
        let built = DataPacket {
            cid: settings.cid,
            source_name: settings.source_name.as_str().into(),
            priority: settings.priority,
            sync_address: settings.sync,
            sequence: 0,
            options: settings.options(),
            universe,
            start_code: 0,
            slots: &Frame::DARK.0,
        }
        .write();
        let mut packet = Box::new([0; DATA_PACKET_LEN]);
        packet.copy_from_slice(&built);
        Self { universe, packet, pace: Pace::new(LEAST_GAP, settings.continuous), ending: None }
    }

    fn update(&mut self, frame: &Frame) {
        let slots = &mut self.packet[field::SLOTS..];
        if self.ending.is_none() && (!self.pace.has_started() || *slots != frame.0) {
            slots.copy_from_slice(&frame.0);
            self.pace.change();
        }
    }

    fn next_due(&self) -> Option<Instant> {
        if self.is_finished() { None } else { self.pace.next_due() }
    }

    fn take(&mut self, now: Instant) -> Option<&[u8]> {
        if self.is_finished() || !self.pace.take(now) {
            return None;
        }
        if let Some(left) = &mut self.ending {
            if *left <= TERMINATED_PACKETS {
                self.packet[field::OPTIONS] |= Options { terminated: true, ..Options::default() }.byte();
            }
            *left -= 1;
            if *left == TERMINATED_PACKETS {
                self.pace.change();
            }
        }
        let sequence = &mut self.packet[field::SEQUENCE];
        *sequence = sequence.wrapping_add(1);
        Some(&self.packet[..])
    }

    fn terminate(&mut self) {
        if self.ending.is_none() {
            // A stream that never began has nothing to end.
            self.ending = Some(if self.pace.has_started() { TERMINATED_PACKETS } else { 0 });
            self.packet[field::OPTIONS] |= Options { terminated: true, ..Options::default() }.byte();
            if self.pace.has_started() {
                self.pace.change();
            }
        }
    }

    /// Dark, and then ended: what an ending packet carries is not listened to (§6.2.6).
    fn leave(&mut self) {
        if self.ending.is_none() {
            self.packet[field::SLOTS..].copy_from_slice(&Frame::DARK.0);
            self.ending =
                Some(if self.pace.has_started() { SETTLED_PACKETS + TERMINATED_PACKETS } else { 0 });
            if self.pace.has_started() {
                self.pace.change();
            }
        }
    }

    /// Takes back an end that is not told completely yet.
    fn revive(&mut self) {
        if self.ending.take().is_some() {
            self.packet[field::OPTIONS] &= !Options { terminated: true, ..Options::default() }.byte();
            if self.pace.has_started() {
                self.pace.change();
            }
        }
    }

    fn is_finished(&self) -> bool {
        self.ending == Some(0)
    }
}

impl SyncStream {
    fn new(settings: &Settings, address: Universe) -> Self {
        Self {
            packet: SyncPacket { cid: settings.cid, sequence: 0, address }.write(),
            delay: settings.sync_delay,
            guard: RateGuard::new(LEAST_GAP),
            due: None,
        }
    }

    fn after_data(&mut self, now: Instant) {
        self.due = Some(now + self.delay);
    }

    fn next_due(&self) -> Option<Instant> {
        self.due.map(|due| due.max(self.guard.earliest()))
    }

    fn take(&mut self, now: Instant) -> Option<&[u8]> {
        if self.next_due()? > now {
            return None;
        }
        self.due = None;
        self.guard.sent(now);
        let sequence = &mut self.packet[field::SYNC_SEQUENCE];
        *sequence = sequence.wrapping_add(1);
        Some(&self.packet)
    }
}

impl Discovery {
    fn new(settings: &Settings, universes: &[Universe]) -> Self {
        Self {
            pages: DiscoveryPacket::write_pages(settings.cid, &settings.source_name, universes),
            due: Some(Instant::from_micros(i64::MIN)),
        }
    }

    fn take(&mut self, now: Instant) -> bool {
        let due = self.due.is_some_and(|due| due <= now);
        if due {
            self.due = Some(now + DISCOVERY_INTERVAL);
        }
        due
    }
}
