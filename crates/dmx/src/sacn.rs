//! Streaming ACN, ANSI E1.31-2018: levels over UDP multicast or unicast.
//!
//! [`Packet`] reads and [`DataPacket::write`] and its like write single packets; [`Sender`] keeps the streams of many
//! universes; [`Receiver`] keeps account of who sends what, for showing it.
//!
//! Left out: per-address priority (start code 0xDD, maker practice outside E1.31) is counted but not merged, and
//! synchronisation is sent but not obeyed: the receiver shows levels as they come, which §11.1.1 allows.

mod packet;
mod receiver;
mod sender;

pub use packet::{
    DATA_PACKET_LEN, DataPacket, DiscoveryPacket, Options, Packet, PacketError, SYNC_PACKET_LEN, SyncPacket,
};
pub use receiver::{Announced, Event, LOSS, Lost, MAX_SOURCES, Merged, Receiver, Source};
pub use sender::{DISCOVERY_INTERVAL, Sender, Settings};

use crate::Universe;

/// The UDP port of sACN.
pub const PORT: u16 = 5568;

/// Where universe discovery packets go: universe 64214 (§8, §9).
pub const DISCOVERY_V4: [u8; 4] = group_v4(64214);

/// The same over IPv6.
pub const DISCOVERY_V6: [u8; 16] = group_v6(64214);

/// Component identifier: a UUID that a sender keeps for life, over restarts too (§5.6). Make one with
/// [`Cid::from_random`], store it, and never share it between two machines.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cid(pub [u8; 16]);

/// The priority of a stream, 0..=200; receivers follow the highest (§6.2.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Priority(u8); // invariant: 0..=200

/// Why a priority cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("priority {number}: sACN priorities run from 0 to 200, 100 being usual")]
pub struct PriorityError {
    /// What was asked for.
    pub number: u32,
}

/// Why a text is not a component identifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("not a component identifier: write 32 hexadecimal digits, hyphens allowed")]
pub struct CidError;

impl Cid {
    /// A version 4 UUID (RFC 9562 §5.4) of 16 random bytes, which the caller draws.
    pub const fn from_random(mut bytes: [u8; 16]) -> Self {
        bytes[6] = 0x40 | (bytes[6] & 0x0F);
        bytes[8] = 0x80 | (bytes[8] & 0x3F);
        Self(bytes)
    }
}

impl std::fmt::Display for Cid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for (index, byte) in self.0.iter().enumerate() {
            let hyphen = if matches!(index, 4 | 6 | 8 | 10) { "-" } else { "" };
            write!(f, "{hyphen}{byte:02x}")?;
        }
        Ok(())
    }
}

impl std::str::FromStr for Cid {
    type Err = CidError;

    fn from_str(text: &str) -> Result<Self, CidError> {
        let mut bytes = [0; 16];
        let mut count = 0;
        for c in text.trim().chars().filter(|&c| c != '-') {
            let digit = c.to_digit(16).ok_or(CidError)? as u8;
            let byte = bytes.get_mut(count / 2).ok_or(CidError)?;
            *byte = *byte << 4 | digit;
            count += 1;
        }
        if count == 32 { Ok(Self(bytes)) } else { Err(CidError) }
    }
}

impl Priority {
    /// The usual priority, 100.
    pub const DEFAULT: Self = Self(100);

    /// Checked.
    pub fn new(number: u32) -> Result<Self, PriorityError> {
        match u8::try_from(number) {
            Ok(n) if n <= 200 => Ok(Self(n)),
            _ => Err(PriorityError { number }),
        }
    }

    /// 0..=200.
    pub const fn number(self) -> u8 {
        self.0
    }
}

impl Default for Priority {
    fn default() -> Self {
        Self::DEFAULT
    }
}

/// The IPv4 group of a universe (or of a synchronisation address), 239.255.hi.lo (§9.3.1).
pub const fn multicast_v4(universe: Universe) -> [u8; 4] {
    group_v4(universe.number())
}

/// The IPv6 group of a universe, `ff18::8300:` and its two bytes (§9.3.2).
pub const fn multicast_v6(universe: Universe) -> [u8; 16] {
    group_v6(universe.number())
}

const fn group_v4(number: u16) -> [u8; 4] {
    let [high, low] = number.to_be_bytes();
    [239, 255, high, low]
}

const fn group_v6(number: u16) -> [u8; 16] {
    let [high, low] = number.to_be_bytes();
    [0xFF, 0x18, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x83, 0, high, low]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups() {
        // IPv4 as Python sacn 1.11.0 `calculate_multicast_addr`; IPv6 as RFC 4291 text, read by the standard library.
        for (universe, v4, v6) in [
            (1, [239, 255, 0, 1], "ff18::8300:1"),
            (7962, [239, 255, 31, 26], "ff18::8300:1f1a"),
            (63_999, [239, 255, 249, 255], "ff18::8300:f9ff"),
        ] {
            let universe = Universe::new(universe).unwrap();
            assert_eq!(multicast_v4(universe), v4);
            assert_eq!(
                std::net::Ipv6Addr::from(multicast_v6(universe)),
                v6.parse::<std::net::Ipv6Addr>().unwrap()
            );
        }
        assert_eq!(DISCOVERY_V4, [239, 255, 250, 214]);
    }

    #[test]
    fn identifiers() {
        let text = "00112233-4455-4677-8899-aabbccddeeff";
        let cid: Cid = text.parse().unwrap();
        assert_eq!(cid.to_string(), text);
        assert_eq!(Cid::from_random(cid.0), cid, "already of version 4");
        for bad in
            ["", "00112233", "00112233-4455-4677-8899-aabbccddeeff0", "g0112233-4455-4677-8899-aabbccddeeff"]
        {
            assert_eq!(bad.parse::<Cid>(), Err(CidError), "{bad}");
        }
        assert!(Priority::new(200).is_ok() && Priority::new(201).is_err() && Priority::new(356).is_err());
    }
}
