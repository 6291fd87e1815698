//! Art-Net 4: levels over UDP to nodes that answer, or that a person lists.
//!
//! Universes are numbered from 1 here and in sACN, port-addresses from 0: universe 1 is port-address 0:0:0 unless the
//! [`Mapping`] has an offset, 2 is 0:0:1, 17 is 0:1:0.
//!
//! Simplifications: one port-address a packet, no inputs, no device management (RDM) through nodes, no names or
//! addresses set by us. Sources: the published protocol pages; offsets as in open descriptions of the packets.

mod packet;
mod sender;

pub use packet::{
    ArtDmx, ArtPoll, ArtPollReply, ArtSync, DMX_PACKET_LEN, OutputPort, Packet, PacketError, REPLY_LEN,
};
pub use sender::{Heard, Node, POLL_INTERVAL, POLLS_UNANSWERED, Sender, Settings};

use crate::Universe;

/// The UDP port of Art-Net.
pub const PORT: u16 = 6454;

/// Where in an Art-Net network a universe is, 15 bits, printed `net:sub-net:universe`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PortAddress(u16); // invariant: 0..=0x7FFF

/// How universe numbers become port-addresses: universe 1 is `offset`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mapping {
    /// The port-address of universe 1.
    pub offset: u16,
}

/// Why a universe has no port-address.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "port-address {number}: Art-Net port-addresses run from 0 to 32767, so the universe number is too high"
)]
pub struct PortAddressError {
    /// What was asked for.
    pub number: u32,
}

impl PortAddress {
    /// Checked.
    pub fn new(number: u32) -> Result<Self, PortAddressError> {
        match u16::try_from(number) {
            Ok(n) if n <= 0x7FFF => Ok(Self(n)),
            _ => Err(PortAddressError { number }),
        }
    }

    /// From its three switches: bits 14 to 8, 7 to 4, 3 to 0. Higher bits of each are left out.
    pub const fn from_switches(net: u8, sub_net: u8, universe: u8) -> Self {
        Self((net as u16 & 0x7F) << 8 | (sub_net as u16 & 0x0F) << 4 | (universe as u16 & 0x0F))
    }

    /// 0..=32767.
    pub const fn number(self) -> u16 {
        self.0
    }
}

impl std::fmt::Display for PortAddress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}", self.0 >> 8, self.0 >> 4 & 0x0F, self.0 & 0x0F)
    }
}

impl Mapping {
    /// The port-address of a universe.
    pub fn port_address(self, universe: Universe) -> Result<PortAddress, PortAddressError> {
        PortAddress::new(u32::from(self.offset) + u32::from(universe.number()) - 1)
    }

    /// The universe at a port-address; `None` below the offset.
    pub fn universe(self, address: PortAddress) -> Option<Universe> {
        Universe::new(u32::from(address.0.checked_sub(self.offset)?) + 1).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn universes_and_port_addresses() {
        for (offset, universe, number, text) in [
            (0, 1, 0, "0:0:0"),
            (0, 17, 16, "0:1:0"),
            (1, 1, 1, "0:0:1"),
            (0, 0x0124, 0x0123, "1:2:3"),
            (0, 32_768, 32_767, "127:15:15"),
        ] {
            let (mapping, universe) = (Mapping { offset }, Universe::new(universe).unwrap());
            let address = mapping.port_address(universe).unwrap();
            assert_eq!((address.number(), address.to_string().as_str()), (number, text));
            assert_eq!(mapping.universe(address), Some(universe));
        }
        assert_eq!(
            Mapping::default().port_address(Universe::new(32_769).unwrap()),
            Err(PortAddressError { number: 32_768 })
        );
        assert_eq!(Mapping { offset: 5 }.universe(PortAddress(4)), None);
        assert_eq!(PortAddress::from_switches(1, 2, 3).number(), 0x123);
    }
}
