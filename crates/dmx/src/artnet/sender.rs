//! Many universes out to the nodes that want them.

use std::net::{IpAddr, SocketAddr};

use lanthorn_physics::time::{Instant, Span};

use super::packet::{DMX_PACKET_LEN, field};
use super::{
    ArtDmx, ArtPoll, ArtPollReply, ArtSync, Mapping, OutputPort, PORT, Packet, PacketError, PortAddress,
    PortAddressError,
};
use crate::rate::{LEAST_GAP, Pace, RateGuard, SETTLED_PACKETS};
use crate::{Frame, Frames, Universe};

/// The time between two polls (the protocol asks for 2.5 to 3 s).
pub const POLL_INTERVAL: Span = Span::from_millis(2_500);

/// A node that has not answered this many polls is gone when the next is due: 10 s after its last answer, at most.
pub const POLLS_UNANSWERED: u8 = 3;

/// Replies kept at most; those past it are left out, so that a flood of strange replies costs little.
const MAX_NODES: usize = 256;

/// How a sender sends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// How universes become port-addresses.
    pub mapping: Mapping,
    /// Nodes that get every universe whether or not they answer polls, which many inexpensive ones do not. A
    /// broadcast address works here too, for a person who insists.
    pub listed: Vec<SocketAddr>,
    /// Sends at the full rate even while nothing changes.
    pub continuous: bool,
    /// A synchronisation packet follows each burst of levels.
    pub sync: bool,
    /// The UDP port of the nodes that answer; 6454 but in tests.
    pub port: u16,
}

/// The streams of many universes to the nodes that are listed and to those that answered a poll with an output of
/// that port-address. A universe that no one wants is not sent.
///
/// Contract: as [`sacn::Sender`](crate::sacn::Sender): `update`, send what [`due`](Self::due) yields, then
/// [`sync_due`](Self::sync_due) and [`poll_due`](Self::poll_due) (both to the broadcast address of the network), and
/// give every datagram that comes back to [`handle_reply`](Self::handle_reply). Allocates only when a node comes,
/// changes or goes.
#[derive(Clone, Debug)]
pub struct Sender {
    settings: Settings,
    streams: Vec<Stream>, // sorted by universe
    nodes: Vec<Node>,
    next_poll: Instant,
    sync: Option<(RateGuard, bool)>, // whether levels have left since the last
}

/// A node that answers, or one of several that one device with many ports answers as.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node {
    /// Where it is.
    pub address: SocketAddr,
    /// Its name for people, short.
    pub short_name: String,
    /// The same, long.
    pub long_name: String,
    /// Its own words on how it is.
    pub report: String,
    /// Its outputs, at their places.
    pub outputs: [Option<OutputPort>; 4],
    /// Which of several answers of one device; 0 and 1 both mean the first.
    pub bind_index: u8,
    /// When its newest answer came.
    pub last_heard: Instant,
    /// Polls since that.
    pub unanswered: u8,
}

/// What a datagram was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heard {
    /// A node that we did not know.
    NewNode,
    /// A node that we know, and whose ports are as they were.
    SameNode,
    /// A node that we know, with other ports.
    ChangedNode,
    /// Someone's poll, perhaps our own come back. Controllers answer with [`ArtPollReply::controller`].
    Poll,
    /// Nothing that a sender needs.
    Other,
    /// Too many nodes: left out.
    NodesExceeded,
}

#[derive(Clone, Debug)]
struct Stream {
    universe: Universe,
    address: PortAddress,
    packet: Box<[u8; DMX_PACKET_LEN]>,
    pace: Pace,
    destinations: Vec<SocketAddr>, // sorted, each once
    leaving: Option<u8>,           // packets of darkness still to send, when it is to stop
}

const POLL_PACKET_LEN: usize = 14;

impl Default for Settings {
    fn default() -> Self {
        Self { mapping: Mapping::default(), listed: Vec::new(), continuous: false, sync: false, port: PORT }
    }
}

impl Sender {
    /// A sender of these universes, in any order, repeats allowed. Fails if one has no port-address.
    pub fn new(
        settings: Settings,
        universes: impl IntoIterator<Item = Universe>,
    ) -> Result<Self, PortAddressError> {
        let sync = settings.sync.then(|| (RateGuard::new(LEAST_GAP), false));
        let next_poll = Instant::from_micros(i64::MIN);
        let mut sender = Self { settings, streams: Vec::new(), nodes: Vec::new(), next_poll, sync };
        sender.set_universes(universes)?;
        Ok(sender)
    }

    /// What it was made with.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The nodes that answer now.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Every universe with its port-address and where it goes, ascending; empty where no one wants it.
    pub fn routes(&self) -> impl ExactSizeIterator<Item = (Universe, PortAddress, &[SocketAddr])> {
        self.streams.iter().map(|stream| (stream.universe, stream.address, stream.destinations.as_slice()))
    }

    /// Takes over the values. Universes of ours that are not in `frames` keep what they had; others are ignored.
    pub fn update(&mut self, frames: &Frames) {
        for stream in &mut self.streams {
            if let Some(frame) = frames.get(stream.universe) {
                stream.update(frame);
            }
        }
    }

    /// The levels due now, and where they go.
    pub fn due(&mut self, now: Instant) -> impl Iterator<Item = (SocketAddr, &[u8])> {
        let sync = &mut self.sync;
        self.streams.iter_mut().flat_map(move |stream| {
            let (destinations, packet) = stream.take(now);
            if let (Some((_, pending)), false) = (sync.as_mut(), destinations.is_empty()) {
                *pending = true;
            }
            destinations.iter().map(move |&destination| (destination, packet))
        })
    }

    /// The synchronisation packet, if one is due now: after all of [`due`](Self::due), by broadcast.
    pub fn sync_due(&mut self, now: Instant) -> Option<[u8; POLL_PACKET_LEN]> {
        let (guard, pending) = self.sync.as_mut()?;
        if !*pending || !guard.allows(now) {
            return None;
        }
        *pending = false;
        guard.sent(now);
        Some(ArtSync.write())
    }

    /// The poll, if one is due now, by broadcast: at once on the first call, and then every 2.5 s. Forgets the nodes
    /// that have left too many unanswered.
    pub fn poll_due(&mut self, now: Instant) -> Option<[u8; POLL_PACKET_LEN]> {
        if now < self.next_poll {
            return None;
        }
        self.next_poll = now + POLL_INTERVAL;
        let before = self.nodes.len();
        self.nodes.retain(|node| node.unanswered < POLLS_UNANSWERED);
        self.nodes.iter_mut().for_each(|node| node.unanswered += 1);
        if self.nodes.len() != before {
            self.route();
        }
        Some(ArtPoll::default().write())
    }

    /// When there is something to send again; in the past if there is now.
    pub fn next_due(&self) -> Option<Instant> {
        let streams = self.streams.iter().filter_map(Stream::next_due).min();
        let sync = self.sync.as_ref().filter(|(_, pending)| *pending).map(|(guard, _)| guard.earliest());
        [streams, sync, Some(self.next_poll)].into_iter().flatten().min()
    }

    /// Takes a datagram from the network: answers to polls, and whatever else comes to the port. A node is known by
    /// where its datagrams come from, not by the address written in them.
    pub fn handle_reply(
        &mut self,
        bytes: &[u8],
        from: SocketAddr,
        now: Instant,
    ) -> Result<Heard, PacketError> {
        let reply = match Packet::parse(bytes)? {
            Packet::PollReply(reply) => reply,
            Packet::Poll(_) => return Ok(Heard::Poll),
            Packet::Dmx(_) | Packet::Sync(_) | Packet::Other { .. } => return Ok(Heard::Other),
        };
        let address = SocketAddr::new(from.ip(), self.settings.port);
        let same = |node: &Node| node.address == address && node.bind_index == reply.bind_index;
        let heard = match self.nodes.iter().position(same) {
            Some(place) if self.nodes[place].hear(&reply, now) => Heard::ChangedNode,
            Some(_) => Heard::SameNode,
            None if self.nodes.len() >= MAX_NODES => Heard::NodesExceeded,
            None => {
                self.nodes.push(Node::new(address, &reply, now));
                Heard::NewNode
            }
        };
        if matches!(heard, Heard::NewNode | Heard::ChangedNode) {
            self.route();
        }
        Ok(heard)
    }

    /// Changes which universes there are; those that stay go on undisturbed, those that go just stop: Art-Net has no
    /// word for an end. Fails, changing nothing, if one has no port-address. Allocates: not for the tick.
    pub fn set_universes(
        &mut self,
        universes: impl IntoIterator<Item = Universe>,
    ) -> Result<(), PortAddressError> {
        let mut addresses = Vec::new();
        for universe in universes {
            addresses.push((universe, self.settings.mapping.port_address(universe)?));
        }
        self.streams.retain(|stream| addresses.iter().any(|&(universe, _)| universe == stream.universe));
        self.streams.iter_mut().for_each(Stream::stay);
        for (universe, address) in addresses {
            if let Err(place) = self.streams.binary_search_by_key(&universe, |stream| stream.universe) {
                self.streams.insert(place, Stream::new(universe, address, self.settings.continuous));
            }
        }
        self.route();
        Ok(())
    }

    /// A sender of these universes that is to take the place of one by [`take_over`](Self::take_over) later on. `ever`: all
    /// universes that that one, or one before it, may still have a stream of.
    pub fn successor(
        settings: Settings,
        universes: impl IntoIterator<Item = Universe>,
        ever: impl IntoIterator<Item = Universe>,
    ) -> Result<Self, PortAddressError> {
        let universes: Vec<Universe> = universes.into_iter().collect();
        let mut sender = Self::new(settings, universes.iter().copied().chain(ever))?;
        for stream in &mut sender.streams {
            stream.leaving = (!universes.contains(&stream.universe)).then_some(0);
            stream.destinations.reserve(MAX_NODES + sender.settings.listed.len());
        }
        Ok(sender)
    }

    /// Goes on where another sender is, made ready by [`successor`](Self::successor): streams that stay go on undisturbed,
    /// those that go are dark for some packets and then stop. `old` keeps what is of no use any more. Does not allocate.
    pub fn take_over(&mut self, old: &mut Self) {
        std::mem::swap(&mut self.nodes, &mut old.nodes);
        (self.next_poll, self.sync) = (old.next_poll, old.sync);
        for stream in &mut self.streams {
            match old.streams.binary_search_by_key(&stream.universe, |old| old.universe) {
                Ok(place) => {
                    let goes = stream.leaving.is_some();
                    std::mem::swap(stream, &mut old.streams[place]);
                    if goes { stream.leave() } else { stream.stay() }
                }
                Err(_) => {
                    // There is room for every node that there can be.
                    let nodes = self.nodes.iter().filter(|node| node.wants(stream.address));
                    let listed = &self.settings.listed;
                    let is_listed = |ip: IpAddr| listed.iter().any(|address| address.ip() == ip);
                    let answered = nodes.map(|node| node.address).filter(|address| !is_listed(address.ip()));
                    stream.destinations.extend(answered);
                    stream.destinations.sort_unstable();
                    stream.destinations.dedup();
                }
            }
        }
    }

    /// Works out anew who gets what. Streams with someone new start over, so that they hear it at once.
    fn route(&mut self) {
        let (listed, nodes) = (&self.settings.listed, &self.nodes);
        for stream in &mut self.streams {
            let answered = nodes.iter().filter(|node| node.wants(stream.address)).map(|node| node.address);
            let mut destinations = listed.clone();
            // A listed node that answers too is sent to once, at the port that the list says.
            let is_listed = |ip: IpAddr| listed.iter().any(|address| address.ip() == ip);
            destinations.extend(answered.filter(|address| !is_listed(address.ip())));
            destinations.sort_unstable();
            destinations.dedup();
            stream.route(destinations);
        }
    }
}

impl Node {
    fn new(address: SocketAddr, reply: &ArtPollReply<'_>, now: Instant) -> Self {
        let mut node = Self {
            address,
            short_name: String::new(),
            long_name: String::new(),
            report: String::new(),
            outputs: [None; 4],
            bind_index: reply.bind_index,
            last_heard: now,
            unanswered: 0,
        };
        node.hear(reply, now);
        node
    }

    /// Answers whether its ports have changed. The texts keep their memory, since answers come all the time.
    fn hear(&mut self, reply: &ArtPollReply<'_>, now: Instant) -> bool {
        let texts = [
            (&mut self.short_name, &reply.short_name),
            (&mut self.long_name, &reply.long_name),
            (&mut self.report, &reply.report),
        ];
        for (text, new) in texts {
            text.clear();
            text.push_str(new);
        }
        let changed = (0..4).any(|index| {
            self.outputs[index].map(|port| port.address) != reply.outputs[index].map(|port| port.address)
        });
        self.outputs = reply.outputs;
        self.last_heard = now;
        self.unanswered = 0;
        changed
    }

    fn wants(&self, address: PortAddress) -> bool {
        self.outputs.iter().flatten().any(|port| port.address == address)
    }
}

impl Stream {
    fn new(universe: Universe, address: PortAddress, continuous: bool) -> Self {
        let built = ArtDmx { sequence: 0, physical: 0, address, slots: &Frame::DARK.0 }.write();
        let mut packet = Box::new([0; DMX_PACKET_LEN]);
        packet.copy_from_slice(&built);
        Self {
            universe,
            address,
            packet,
            pace: Pace::new(LEAST_GAP, continuous),
            destinations: Vec::new(),
            leaving: None,
        }
    }

    fn update(&mut self, frame: &Frame) {
        let slots = &mut self.packet[field::DATA..];
        if self.leaving.is_some() {
            return;
        }
        if !self.pace.has_started() || *slots != frame.0 {
            slots.copy_from_slice(&frame.0);
            self.pace.change();
        }
    }

    fn next_due(&self) -> Option<Instant> {
        if self.destinations.is_empty() || self.leaving == Some(0) { None } else { self.pace.next_due() }
    }

    /// The packet and where it goes: nowhere, if it is not due.
    fn take(&mut self, now: Instant) -> (&[SocketAddr], &[u8]) {
        if self.destinations.is_empty() || self.leaving == Some(0) || !self.pace.take(now) {
            return (&[], &[]);
        }
        self.leaving = self.leaving.map(|left| left - 1);
        let sequence = &mut self.packet[field::SEQUENCE];
        *sequence = sequence.checked_add(1).unwrap_or(1); // 0 would mean "not counted"
        (&self.destinations, &self.packet[..])
    }

    /// Dark, and then silent: Art-Net has no word for an end, and a node left alone keeps its light.
    fn leave(&mut self) {
        if self.leaving.is_none() {
            self.packet[field::DATA..].copy_from_slice(&Frame::DARK.0);
            self.leaving = Some(if self.pace.has_started() { SETTLED_PACKETS } else { 0 });
            if self.pace.has_started() {
                self.pace.change();
            }
        }
    }

    /// Takes back that it was to stop.
    fn stay(&mut self) {
        if self.leaving.take().is_some() && self.pace.has_started() {
            self.pace.change();
        }
    }

    fn route(&mut self, destinations: Vec<SocketAddr>) {
        let someone_new =
            destinations.iter().any(|address| self.destinations.binary_search(address).is_err());
        self.destinations = destinations;
        if someone_new && self.pace.has_started() {
            self.pace.change();
        }
    }
}
