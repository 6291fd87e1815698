//! sACN out.

use std::net::{Ipv4Addr, SocketAddr};

use lanthorn_dmx::sacn::{self, DISCOVERY_V4, PORT, Settings};
use lanthorn_dmx::{Frames, Universe};
use lanthorn_physics::{Instant, Span};

use super::net::NetSocket;
use super::{OutputError, OutputStatus, Sender, Tally, held};
use crate::clock::Clock;

/// Streams of sACN to one receiver or to the multicast groups.
#[derive(Debug)]
pub struct SacnOutput {
    socket: NetSocket,
    sender: sacn::Sender,
    to: Option<SocketAddr>,
    tally: Tally,
    pumped: Instant,
}

impl SacnOutput {
    pub(super) fn open(
        to: Option<SocketAddr>,
        interface: Option<Ipv4Addr>,
        sender: &Sender,
        frames: &Frames,
    ) -> Result<Self, OutputError> {
        let socket = NetSocket::open("open a socket for sACN", to, interface, 0)?;
        let settings = Settings::new(sender.cid, sender.name.clone());
        let sender = sacn::Sender::new(settings, frames.iter().map(|(universe, _)| universe));
        Ok(Self { socket, sender, to, tally: Tally::default(), pumped: Instant::ZERO })
    }

    pub(super) fn send(&mut self, frames: &Frames, now: Instant) {
        self.sender.update(frames);
        self.pump(now);
    }

    pub(super) fn pump(&mut self, now: Instant) {
        self.transmit(now);
        let discovery = self.to.unwrap_or_else(|| SocketAddr::from((DISCOVERY_V4, PORT)));
        for page in self.sender.discovery_due(now) {
            self.socket.send(page, discovery, &mut self.tally);
        }
        if self.tally.close_round(now) {
            self.socket.mend();
        }
        self.pumped = now;
    }

    pub(super) fn take_over(&mut self, successor: &mut sacn::Sender) {
        successor.take_over(&mut self.sender);
        std::mem::swap(&mut self.sender, successor);
    }

    pub(super) fn settings(&self) -> &Settings {
        self.sender.settings()
    }

    pub(super) fn held_until(&self) -> Option<Instant> {
        held(self.sender.next_due(), self.pumped)
    }

    pub(super) const fn status(&self) -> OutputStatus {
        self.tally.status
    }

    /// Three packets for each stream that say it ends, at the pace that receivers can follow.
    pub(super) fn finish(&mut self, clock: &Clock) {
        self.sender.terminate();
        let give_up = clock.now() + Span::from_millis(250);
        while !self.sender.is_finished() && clock.now() < give_up {
            let now = clock.now();
            self.transmit(now);
            let Some(due) = self.sender.next_due() else { break };
            // What is overdue found the buffer full: give it a moment.
            clock.sleep_until(due.max(now + Span::from_millis(1)).min(give_up));
        }
    }

    fn transmit(&mut self, now: Instant) {
        let to = self.to;
        let packets = self.sender.due(now).map(|(universe, bytes)| (destination(to, universe), bytes));
        self.socket.send_all(packets, &mut self.tally);
    }
}

fn destination(to: Option<SocketAddr>, universe: Universe) -> SocketAddr {
    to.unwrap_or_else(|| SocketAddr::from((sacn::multicast_v4(universe), PORT)))
}
