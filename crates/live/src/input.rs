//! What arrives from a network, for `watch`: sACN and Art-Net, bounded.

use std::net::{Ipv4Addr, SocketAddr, SocketAddrV4, UdpSocket};

use lanthorn_dmx::Universe;
use lanthorn_dmx::sacn::{self, DISCOVERY_V4};
use socket2::{Domain, Protocol, Socket, Type};

use crate::output::OutputError;

/// Linux lets one socket join so many groups (`igmp_max_memberships`).
const GROUPS_A_SOCKET: usize = 20;
/// Most datagrams taken from a socket in one go, so that a flood cannot keep the caller.
const AT_ONCE: usize = 1024;

/// Open sockets that hear both protocols.
#[derive(Debug)]
pub struct Ears {
    sacn: Vec<UdpSocket>,
    artnet: Option<UdpSocket>,
}

/// One datagram.
#[derive(Debug)]
pub enum Heard<'a> {
    /// On the sACN port.
    Sacn(&'a [u8], SocketAddr),
    /// On the Art-Net port.
    ArtNet(&'a [u8], SocketAddr),
}

impl Ears {
    /// Hears sACN (unicast, and the groups of these universes on `interface`, or wherever the system chooses) and
    /// Art-Net.
    pub fn open(
        universes: impl IntoIterator<Item = Universe>,
        interface: Option<Ipv4Addr>,
    ) -> Result<Self, OutputError> {
        let own = interface.unwrap_or(Ipv4Addr::UNSPECIFIED);
        let mut groups: Vec<Ipv4Addr> =
            universes.into_iter().map(|universe| sacn::multicast_v4(universe).into()).collect();
        groups.push(DISCOVERY_V4.into());
        let mut sacn = Vec::new();
        for groups in groups.chunks(GROUPS_A_SOCKET) {
            let socket = listen("listen for sACN", sacn::PORT)?;
            for group in groups {
                socket.join_multicast_v4(group, &own).map_err(|source| OutputError::Socket {
                    what: format!("join the multicast group {group}"),
                    source,
                })?;
            }
            sacn.push(socket);
        }
        let artnet = listen("listen for Art-Net", lanthorn_dmx::artnet::PORT).ok();
        Ok(Self { sacn, artnet })
    }

    /// `true` when the Art-Net port could be opened too.
    pub const fn hears_artnet(&self) -> bool {
        self.artnet.is_some()
    }

    /// Takes what has arrived, without waiting.
    pub fn hear(&self, mut take: impl FnMut(Heard<'_>)) {
        let mut buffer = [0; 2048];
        for socket in &self.sacn {
            for _ in 0..AT_ONCE {
                let Ok((length, from)) = socket.recv_from(&mut buffer) else { break };
                take(Heard::Sacn(&buffer[..length], from));
            }
        }
        if let Some(socket) = &self.artnet {
            for _ in 0..AT_ONCE {
                let Ok((length, from)) = socket.recv_from(&mut buffer) else { break };
                take(Heard::ArtNet(&buffer[..length], from));
            }
        }
    }
}

fn listen(what: &str, port: u16) -> Result<UdpSocket, OutputError> {
    let fault = |source| OutputError::Socket { what: what.to_owned(), source };
    let socket = Socket::new(Domain::IPV4, Type::DGRAM, Some(Protocol::UDP)).map_err(fault)?;
    socket.set_reuse_address(true).map_err(fault)?;
    socket.set_nonblocking(true).map_err(fault)?;
    // Else each socket would hear the groups that any other here has joined, and so everything several times.
    #[cfg(target_os = "linux")]
    socket.set_multicast_all_v4(false).map_err(fault)?;
    let own: SocketAddr = SocketAddrV4::new(Ipv4Addr::UNSPECIFIED, port).into();
    socket.bind(&own.into()).map_err(fault)?;
    Ok(socket.into())
}
