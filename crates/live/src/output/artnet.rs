//! Art-Net out.

use std::net::{Ipv4Addr, SocketAddr};

use lanthorn_dmx::Frames;
use lanthorn_dmx::artnet::{self, PORT, Settings};
use lanthorn_physics::Instant;

use super::net::NetSocket;
use super::networks::Networks;
use super::{OutputError, OutputState, OutputStatus, Tally, held};

/// Most answers taken in one tick; the rest wait in the socket.
const ANSWERS_A_TICK: usize = 16;

/// Levels to Art-Net nodes: to the one listed, or to those that answer a poll and want the universe.
#[derive(Debug)]
pub struct ArtNetOutput {
    socket: NetSocket,
    sender: artnet::Sender,
    polled: Polled,
    tally: Tally,
    pumped: Instant,
}

/// Where polls go.
#[derive(Debug)]
enum Polled {
    /// To the one node that is listed.
    Node(SocketAddr),
    /// To the broadcast address of each network that there is at the time.
    Networks(Networks),
}

impl ArtNetOutput {
    pub(super) fn open(
        to: Option<SocketAddr>,
        interface: Option<Ipv4Addr>,
        frames: &Frames,
    ) -> Result<Self, OutputError> {
        // Nodes answer to the port of the protocol. Where another program has it, any port must do for a listed node;
        // a node on a port of its own answers to wherever the poll came from.
        let what = "open a socket for Art-Net";
        let port = to.map_or(PORT, |to| to.port());
        let own_port = if port == PORT { PORT } else { 0 };
        let socket = NetSocket::open(what, to, interface, own_port).or_else(|fault| match to {
            Some(_) => NetSocket::open(what, to, interface, 0),
            None => Err(fault),
        })?;
        let settings = Settings { listed: to.into_iter().collect(), port, ..Settings::default() };
        let sender = artnet::Sender::new(settings, frames.iter().map(|(universe, _)| universe))?;
        let polled = match to {
            Some(to) => Polled::Node(to),
            None => Polled::Networks(Networks::watch(interface).map_err(OutputError::Networks)?),
        };
        Ok(Self { socket, sender, polled, tally: Tally::default(), pumped: Instant::ZERO })
    }

    pub(super) fn send(&mut self, frames: &Frames, now: Instant) {
        self.sender.update(frames);
        self.pump(now);
    }

    pub(super) fn pump(&mut self, now: Instant) {
        self.hear(now);
        self.socket.send_all(self.sender.due(now), &mut self.tally);
        if let Some(sync) = self.sender.sync_due(now) {
            self.tell_all(&sync);
        }
        if let Some(poll) = self.sender.poll_due(now) {
            self.tell_all(&poll);
        }
        if self.tally.close_round(now) {
            self.socket.mend();
        }
        self.pumped = now;
    }

    pub(super) fn take_over(&mut self, successor: &mut artnet::Sender) {
        successor.take_over(&mut self.sender);
        std::mem::swap(&mut self.sender, successor);
    }

    pub(super) fn settings(&self) -> &Settings {
        self.sender.settings()
    }

    pub(super) fn held_until(&self) -> Option<Instant> {
        held(self.sender.next_due(), self.pumped)
    }

    /// Sends something that is for all nodes. That nobody can hear it is no fault of the levels, and not counted.
    fn tell_all(&mut self, bytes: &[u8]) {
        let mut apart = Tally::default();
        match &mut self.polled {
            Polled::Node(node) => self.socket.send(bytes, *node, &mut apart),
            Polled::Networks(networks) => {
                for address in networks.broadcasts() {
                    self.socket.send(bytes, (*address, PORT).into(), &mut apart);
                }
            }
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

#[cfg(test)]
mod tests {
    use std::net::UdpSocket;

    use lanthorn_dmx::Universe;
    use lanthorn_dmx::artnet::{ArtPollReply, OutputPort, Packet, PortAddress};

    use super::*;

    /// A node on an address of its own, on a free port, and an output that has only heard of it.
    fn output_and_node(frames: &Frames) -> (ArtNetOutput, UdpSocket) {
        let node = UdpSocket::bind("127.0.0.1:0").unwrap();
        node.set_read_timeout(Some(std::time::Duration::from_secs(10))).unwrap();
        let at = node.local_addr().unwrap();
        let socket = NetSocket::open("test", Some(at), None, 0).unwrap();
        let settings = Settings { port: at.port(), ..Settings::default() };
        let sender = artnet::Sender::new(settings, frames.iter().map(|(universe, _)| universe)).unwrap();
        let polled = Polled::Node(at);
        (ArtNetOutput { socket, sender, polled, tally: Tally::default(), pumped: Instant::ZERO }, node)
    }

    #[test]
    fn a_node_that_answers_gets_the_universe_that_it_wants_and_no_other() {
        let universe = |number| Universe::new(number).unwrap();
        let mut frames = Frames::dark([universe(1), universe(2)]);
        frames.get_mut(universe(2)).unwrap().0[..3].copy_from_slice(&[9, 8, 7]);
        let (mut output, node) = output_and_node(&frames);
        output.send(&frames, Instant::ZERO);
        assert_eq!(output.status().state, OutputState::Waiting, "nobody has answered");
        let mut buffer = [0; 1024];
        let (length, from) = node.recv_from(&mut buffer).unwrap();
        assert!(matches!(Packet::parse(&buffer[..length]), Ok(Packet::Poll(_))));
        let mut reply = ArtPollReply::controller(Ipv4Addr::LOCALHOST, "node");
        reply.style = 0;
        let address = PortAddress::new(1).unwrap();
        reply.outputs[0] = Some(OutputPort { address, sending: true, merging: false });
        node.send_to(&reply.write(), ("127.0.0.1", from.port())).unwrap();
        // The answer is in the socket by then, or soon.
        let mut now = Instant::ZERO;
        while output.status().nodes == 0 && now < Instant::from_secs(100.0) {
            now = now + lanthorn_physics::Span::from_millis(25);
            std::thread::sleep(std::time::Duration::from_millis(2));
            output.send(&frames, now);
        }
        assert_eq!((output.status().nodes, output.status().state), (1, OutputState::Working));
        let heard = loop {
            let length = node.recv(&mut buffer).unwrap();
            if let Ok(Packet::Dmx(levels)) = Packet::parse(&buffer[..length]) {
                break levels;
            }
        };
        assert_eq!((heard.address, &heard.slots[..4]), (address, &[9, 8, 7, 0][..]));
    }
}
