//! Art-Net out.

use std::net::{Ipv4Addr, SocketAddr};

use lanthorn_dmx::Frames;
use lanthorn_dmx::artnet::{self, PORT, Settings};
use lanthorn_physics::Instant;

use super::net::{NetSocket, ipv4_interfaces};
use super::{OutputError, OutputState, OutputStatus, Tally};

/// Most answers taken in one tick; the rest wait in the socket.
const ANSWERS_A_TICK: usize = 16;

/// Levels to Art-Net nodes: to the one listed, or to those that answer a poll and want the universe.
#[derive(Debug)]
pub struct ArtNetOutput {
    socket: NetSocket,
    sender: artnet::Sender,
    /// Where polls go: the listed node, or the broadcast address of each network.
    polled: Vec<SocketAddr>,
    tally: Tally,
}

impl ArtNetOutput {
    pub(super) fn open(
        to: Option<SocketAddr>,
        interface: Option<Ipv4Addr>,
        frames: &Frames,
    ) -> Result<Self, OutputError> {
        // Nodes answer to the port of the protocol. Where another program has it, any port must do for a listed node.
        let what = "open a socket for Art-Net";
        let socket = NetSocket::open(what, to, interface, PORT).or_else(|fault| match to {
            Some(_) => NetSocket::open(what, to, interface, 0),
            None => Err(fault),
        })?;
        let mut settings = Settings::default();
        settings.listed.extend(to);
        let sender = artnet::Sender::new(settings, frames.iter().map(|(universe, _)| universe))?;
        let broadcasts = || {
            ipv4_interfaces()
                .filter(|(own, _)| interface.is_none_or(|chosen| chosen == *own))
                .filter_map(|(_, broadcast)| Some(SocketAddr::from((broadcast?, PORT))))
                .collect()
        };
        Ok(Self {
            socket,
            sender,
            polled: to.map_or_else(broadcasts, |to| vec![to]),
            tally: Tally::default(),
        })
    }

    pub(super) fn send(&mut self, frames: &Frames, now: Instant) {
        self.hear(now);
        self.sender.update(frames);
        self.socket.send_all(self.sender.due(now), &mut self.tally);
        if let Some(sync) = self.sender.sync_due(now) {
            for &to in &self.polled {
                self.socket.send(&sync, to, &mut self.tally);
            }
        }
        if let Some(poll) = self.sender.poll_due(now) {
            // A poll that nobody can hear is no fault of the levels: it is not counted against them.
            let mut polls = Tally::default();
            for &to in &self.polled {
                self.socket.send(&poll, to, &mut polls);
            }
        }
        if self.tally.mend_due(now) {
            self.socket.mend();
        }
    }

    pub(super) fn status(&self) -> OutputStatus {
        let nodes = u32::try_from(self.sender.nodes().len()).unwrap_or(u32::MAX);
        let waiting = self.sender.routes().all(|(_, _, to)| to.is_empty());
        let state = if waiting { OutputState::Waiting } else { self.tally.status.state };
        OutputStatus { state, nodes, ..self.tally.status }
    }

    fn hear(&mut self, now: Instant) {
        let mut buffer = [0; 1024];
        for _ in 0..ANSWERS_A_TICK {
            let Some((bytes, from)) = self.socket.receive(&mut buffer) else { return };
            // What is not for us, or not Art-Net at all, is nothing to us.
            let _ = self.sender.handle_reply(bytes, from, now);
        }
    }
}
