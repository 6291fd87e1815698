//! UDP sockets for output: never blocking, many packets in one system call where the system can.

use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr, SocketAddrV4, SocketAddrV6, UdpSocket};

use socket2::{Domain, Protocol, SockRef, Socket, Type};

use super::{OutputError, Tally};

/// Packets in one system call.
#[cfg(target_os = "linux")]
const BATCH: usize = 32;

/// A socket that sends, and its count.
#[derive(Debug)]
pub(crate) struct NetSocket {
    socket: UdpSocket,
    interface: Option<Ipv4Addr>,
}

impl NetSocket {
    /// A non-blocking socket on any free port (or on `port`), that sends multicast from `interface`.
    pub(crate) fn open(
        what: &str,
        to: Option<SocketAddr>,
        interface: Option<Ipv4Addr>,
        port: u16,
    ) -> Result<Self, OutputError> {
        if let Some(own) = interface {
            check_interface(own)?;
        }
        let fault = |source| OutputError::Socket { what: what.to_owned(), source };
        let v6 = to.is_some_and(|to| to.is_ipv6());
        let domain = if v6 { Domain::IPV6 } else { Domain::IPV4 };
        let socket = Socket::new(domain, Type::DGRAM, Some(Protocol::UDP)).map_err(fault)?;
        socket.set_nonblocking(true).map_err(fault)?;
        socket.set_reuse_address(true).map_err(fault)?;
        let own: SocketAddr = if v6 {
            SocketAddrV6::new(Ipv6Addr::UNSPECIFIED, port, 0, 0).into()
        } else {
            SocketAddrV4::new(Ipv4Addr::UNSPECIFIED, port).into()
        };
        socket.bind(&own.into()).map_err(fault)?;
        // A larger buffer takes a whole tick of hundreds of universes; smaller is fine too.
        let _ = socket.set_send_buffer_size(1 << 20);
        if !v6 {
            socket.set_broadcast(true).map_err(fault)?;
            // Receivers on this very machine (and our own tests) hear multicast too.
            socket.set_multicast_loop_v4(true).map_err(fault)?;
            socket.set_multicast_ttl_v4(20).map_err(fault)?;
        }
        // The address of an interface is IPv4 here, and of no meaning to an IPv6 socket.
        let socket = Self { socket: socket.into(), interface: interface.filter(|_| !v6) };
        socket.choose_interface().map_err(fault)?;
        Ok(socket)
    }

    /// Takes the chosen interface again: after it was pulled and came back, the system has forgotten it.
    pub(crate) fn mend(&self) {
        let _ = self.choose_interface();
    }

    fn choose_interface(&self) -> std::io::Result<()> {
        match self.interface {
            Some(own) => SockRef::from(&self.socket).set_multicast_if_v4(&own),
            None => Ok(()),
        }
    }

    /// One datagram that has arrived, if any.
    pub(crate) fn receive<'a>(&self, buffer: &'a mut [u8]) -> Option<(&'a [u8], SocketAddr)> {
        let (length, from) = self.socket.recv_from(buffer).ok()?;
        Some((&buffer[..length], from))
    }

    /// Sends one datagram.
    pub(crate) fn send(&self, bytes: &[u8], to: SocketAddr, tally: &mut Tally) {
        match self.socket.send_to(bytes, to) {
            Ok(_) => tally.sent(1),
            Err(fault) => tally.failed(1, fault.raw_os_error()),
        }
    }

    /// Sends many, and stops when the system's buffer is full: what the iterator has not yielded by then stays due at
    /// its sender and leaves a little later, before those that have left now are due again.
    #[cfg(target_os = "linux")]
    pub(crate) fn send_all<'a>(
        &self,
        mut packets: impl Iterator<Item = (SocketAddr, &'a [u8])>,
        tally: &mut Tally,
    ) {
        use rustix::net::SocketAddrAny;
        let nowhere: SocketAddr = SocketAddrV4::new(Ipv4Addr::UNSPECIFIED, 0).into();
        loop {
            let mut bytes: [&[u8]; BATCH] = [&[]; BATCH];
            let mut to: [SocketAddrAny; BATCH] = std::array::from_fn(|_| nowhere.into());
            let mut count = 0;
            for (destination, packet) in packets.by_ref().take(BATCH) {
                bytes[count] = packet;
                to[count] = destination.into();
                count += 1;
            }
            if count == 0 || !self.send_batch(&bytes, &to, count, tally) {
                return;
            }
        }
    }

    /// The first `count` of a batch. A packet that fails is counted and skipped, the rest are still sent. `false` when
    /// the buffer is full; what is left of the batch is counted as failed then.
    #[cfg(target_os = "linux")]
    fn send_batch(
        &self,
        bytes: &[&[u8]; BATCH],
        to: &[rustix::net::SocketAddrAny; BATCH],
        count: usize,
        tally: &mut Tally,
    ) -> bool {
        use rustix::io::Errno;
        use rustix::net::{MMsgHdr, SendAncillaryBuffer, SendFlags, sendmmsg};
        let slices = bytes.map(|bytes| [std::io::IoSlice::new(bytes)]);
        let mut control: [SendAncillaryBuffer<'_, '_, '_>; BATCH] =
            std::array::from_fn(|_| SendAncillaryBuffer::default());
        let mut index = 0;
        let mut messages = control.each_mut().map(|control| {
            let message = MMsgHdr::new_with_addr(&to[index], &slices[index], control);
            index += 1;
            message
        });
        let mut first = 0;
        while first < count {
            match sendmmsg(&self.socket, &mut messages[first..count], SendFlags::DONTWAIT) {
                Ok(sent) => {
                    tally.sent(sent as u64);
                    first += sent.max(1);
                }
                Err(fault @ (Errno::AGAIN | Errno::NOBUFS)) => {
                    tally.failed((count - first) as u64, Some(fault.raw_os_error()));
                    return false;
                }
                Err(fault) => {
                    tally.failed(1, Some(fault.raw_os_error()));
                    first += 1;
                }
            }
        }
        true
    }

    /// Sends many, one by one.
    #[cfg(not(target_os = "linux"))]
    pub(crate) fn send_all<'a>(
        &self,
        packets: impl Iterator<Item = (SocketAddr, &'a [u8])>,
        tally: &mut Tally,
    ) {
        for (to, bytes) in packets {
            self.send(bytes, to, tally);
        }
    }
}

fn check_interface(own: Ipv4Addr) -> Result<(), OutputError> {
    let there: Vec<Ipv4Addr> = ipv4_interfaces().map(|(address, _)| address).collect();
    if there.contains(&own) {
        return Ok(());
    }
    let there = there.iter().map(Ipv4Addr::to_string).collect::<Vec<_>>().join(", ");
    Err(OutputError::NoInterface { address: own, there })
}

/// Our own IPv4 addresses with the broadcast address of each network.
pub(crate) fn ipv4_interfaces() -> impl Iterator<Item = (Ipv4Addr, Option<Ipv4Addr>)> {
    if_addrs::get_if_addrs().unwrap_or_default().into_iter().filter_map(|interface| match interface.addr {
        if_addrs::IfAddr::V4(v4) => Some((v4.ip, v4.broadcast)),
        if_addrs::IfAddr::V6(_) => None,
    })
}
