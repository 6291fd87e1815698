//! Single packets of Art-Net 4, read and written. Op-codes are little-endian, the protocol version big-endian.

use std::borrow::Cow;
use std::net::Ipv4Addr;

use super::{PORT, PortAddress};

/// The length of an ArtDmx packet of 512 slots.
pub const DMX_PACKET_LEN: usize = field::DATA + 512;

/// The length of the replies that we write; those of older nodes are shorter.
pub const REPLY_LEN: usize = 239;

/// The shortest reply that still says which ports a node has (up to its `SwOut`, macro, remote and style fields).
const SHORTEST_REPLY: usize = 198;

const HEADER: [u8; 8] = *b"Art-Net\0";
const POLL: u16 = 0x2000;
const POLL_REPLY: u16 = 0x2100;
const DMX: u16 = 0x5000;
const SYNC: u16 = 0x5200;

/// The version of the protocol that we speak; lower ones are refused.
const VERSION: u16 = 14;

pub(super) mod field {
    pub(crate) const OP_CODE: usize = 8;
    pub(crate) const VERSION: usize = 10;
    pub(crate) const FLAGS: usize = 12;
    pub(crate) const SEQUENCE: usize = 12;
    pub(crate) const PHYSICAL: usize = 13;
    pub(crate) const SUB_UNI: usize = 14;
    pub(crate) const LENGTH: usize = 16;
    pub(crate) const DATA: usize = 18;
    pub(crate) const IP: usize = 10;
    pub(crate) const UDP_PORT: usize = 14;
    pub(crate) const NET_SWITCH: usize = 18;
    pub(crate) const SUB_SWITCH: usize = 19;
    pub(crate) const SHORT_NAME: usize = 26;
    pub(crate) const LONG_NAME: usize = 44;
    pub(crate) const REPORT: usize = 108;
    pub(crate) const NUM_PORTS: usize = 172;
    pub(crate) const PORT_TYPES: usize = 174;
    pub(crate) const GOOD_OUTPUT: usize = 182;
    pub(crate) const SW_OUT: usize = 190;
    pub(crate) const STYLE: usize = 200;
    pub(crate) const BIND_INDEX: usize = 211;
    pub(crate) const STATUS_2: usize = 212;
}

/// Any packet that we read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Packet<'a> {
    /// "Who is there?"
    Poll(ArtPoll),
    /// "I am."
    PollReply(ArtPollReply<'a>),
    /// Levels of one port-address.
    Dmx(ArtDmx<'a>),
    /// "Use what you have, now."
    Sync(ArtSync),
    /// Something else of Art-Net, such as device management or time code.
    Other {
        /// Its op-code.
        op_code: u16,
    },
}

/// Asks every node to answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ArtPoll {
    /// Bit 1: answer when something changes too; the others concern diagnostics and are of no use to us.
    pub flags: u8,
}

/// A node's answer, as far as a sender of levels needs it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ArtPollReply<'a> {
    /// The address that the node gives; where the packet came from is the more dependable one.
    pub ip: Ipv4Addr,
    /// Up to 17 bytes.
    pub short_name: Cow<'a, str>,
    /// Up to 63 bytes.
    pub long_name: Cow<'a, str>,
    /// The node's own words on how it is.
    pub report: Cow<'a, str>,
    /// Its outputs, at their places; a node with more than four sends several replies.
    pub outputs: [Option<OutputPort>; 4],
    /// Which of several replies of one node; 0 and 1 both mean the first.
    pub bind_index: u8,
    /// 0 a node, 1 a controller, others as the standard lists them.
    pub style: u8,
}

/// One output of a node.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OutputPort {
    /// What it listens to.
    pub address: PortAddress,
    /// It sends on its line now.
    pub sending: bool,
    /// It merges two sources, so that someone else sends to it as well.
    pub merging: bool,
}

/// The slots of one port-address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ArtDmx<'a> {
    /// 1..=255, then 1 again; 0: the sender does not count.
    pub sequence: u8,
    /// The input that it came from; for information.
    pub physical: u8,
    /// Where it is for.
    pub address: PortAddress,
    /// Up to 512 values. Written with a zero more if their number is odd, and two at least.
    pub slots: &'a [u8],
}

/// Releases the levels sent before it, on all nodes at once.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ArtSync;

/// Why bytes are not a packet of the protocol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PacketError {
    /// Not Art-Net at all.
    #[error("not an Art-Net packet: it does not start as one")]
    Header,
    /// Fewer bytes than such a packet has.
    #[error("Art-Net packet of {len} bytes: too short for what it claims to be")]
    Short {
        /// Bytes received.
        len: usize,
    },
    /// A version before 14.
    #[error("Art-Net packet of version {version}: 14 or later is needed")]
    Version {
        /// What it carries.
        version: u16,
    },
    /// The number of slots does not fit the packet, or is none, or past 512.
    #[error("Art-Net packet of {len} bytes says that it has {slots} slots")]
    Slots {
        /// What it says.
        slots: u16,
        /// Bytes received.
        len: usize,
    },
}

impl<'a> Packet<'a> {
    /// Reads a packet. Never panics; what newer versions add at the end is ignored.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, PacketError> {
        if !bytes.starts_with(&HEADER) {
            return Err(PacketError::Header);
        }
        let op_code = u16::from_le_bytes(*bytes_at(bytes, field::OP_CODE)?);
        if op_code == POLL_REPLY {
            return read_reply(bytes).map(Self::PollReply); // the one packet without a version
        }
        let version = u16::from_be_bytes(*bytes_at(bytes, field::VERSION)?);
        if version < VERSION {
            return Err(PacketError::Version { version });
        }
        Ok(match op_code {
            // Old controllers end before the flags.
            POLL => Self::Poll(ArtPoll { flags: bytes.get(field::FLAGS).copied().unwrap_or(0) }),
            DMX => Self::Dmx(read_dmx(bytes)?),
            SYNC => Self::Sync(ArtSync),
            op_code => Self::Other { op_code },
        })
    }
}

impl ArtPoll {
    /// The bytes to send: the fourteen that every node understands, without the later fields for targeted polls.
    pub fn write(self) -> [u8; 14] {
        let mut bytes = [0; 14];
        write_head(&mut bytes, POLL);
        bytes[field::FLAGS] = self.flags;
        bytes
    }
}

impl ArtSync {
    /// The bytes to send.
    pub fn write(self) -> [u8; 14] {
        let mut bytes = [0; 14];
        write_head(&mut bytes, SYNC);
        bytes
    }
}

impl ArtDmx<'_> {
    /// The bytes to send. Slots past 512 are left out.
    pub fn write(&self) -> Vec<u8> {
        let slots = &self.slots[..self.slots.len().min(512)];
        let length = slots.len().next_multiple_of(2).max(2);
        let mut bytes = vec![0; field::DATA + length];
        write_head(&mut bytes, DMX);
        bytes[field::SEQUENCE] = self.sequence;
        bytes[field::PHYSICAL] = self.physical;
        bytes[field::SUB_UNI..field::LENGTH].copy_from_slice(&self.address.number().to_le_bytes());
        bytes[field::LENGTH..field::DATA].copy_from_slice(&(length as u16).to_be_bytes());
        bytes[field::DATA..field::DATA + slots.len()].copy_from_slice(slots);
        bytes
    }
}

impl<'a> ArtPollReply<'a> {
    /// The answer of a controller without ports, for others that poll: `ip` is our own.
    pub fn controller(ip: Ipv4Addr, name: &'a str) -> Self {
        Self {
            ip,
            short_name: name.into(),
            long_name: name.into(),
            report: "".into(),
            outputs: [None; 4],
            bind_index: 1,
            style: 1,
        }
    }

    /// The bytes to send. Outputs whose upper bits differ from the first's are left out: they belong in another reply.
    pub fn write(&self) -> [u8; REPLY_LEN] {
        let mut bytes = [0; REPLY_LEN];
        bytes[..HEADER.len()].copy_from_slice(&HEADER);
        bytes[field::OP_CODE..field::IP].copy_from_slice(&POLL_REPLY.to_le_bytes());
        bytes[field::IP..field::UDP_PORT].copy_from_slice(&self.ip.octets());
        bytes[field::UDP_PORT..field::UDP_PORT + 2].copy_from_slice(&PORT.to_le_bytes());
        write_text(&mut bytes[field::SHORT_NAME..field::LONG_NAME], &self.short_name);
        write_text(&mut bytes[field::LONG_NAME..field::REPORT], &self.long_name);
        write_text(&mut bytes[field::REPORT..field::NUM_PORTS], &self.report);
        let switches = self.outputs.iter().flatten().next().map_or(0, |port| port.address.number() >> 4);
        bytes[field::NET_SWITCH] = (switches >> 4) as u8;
        bytes[field::SUB_SWITCH] = (switches & 0x0F) as u8;
        for (index, port) in self.outputs.iter().enumerate() {
            let Some(port) = port.filter(|port| port.address.number() >> 4 == switches) else { continue };
            bytes[field::NUM_PORTS + 1] = index as u8 + 1;
            bytes[field::PORT_TYPES + index] = OutputPort::TYPE;
            bytes[field::GOOD_OUTPUT + index] = port.good_output();
            bytes[field::SW_OUT + index] = (port.address.number() & 0x0F) as u8;
        }
        bytes[field::STYLE] = self.style;
        bytes[field::BIND_INDEX] = self.bind_index;
        bytes[field::STATUS_2] = 0x08; // 15-bit port-addresses
        bytes
    }
}

impl OutputPort {
    /// An output (bit 7) of DMX512 (low six bits 0).
    const TYPE: u8 = 0x80;
    /// Bit 6, that the port can be an input too, does not matter.
    const TYPE_MASK: u8 = 0xBF;
    const SENDING: u8 = 0x80;
    const MERGING: u8 = 0x08;

    const fn good_output(self) -> u8 {
        self.sending as u8 * Self::SENDING + self.merging as u8 * Self::MERGING
    }
}

fn read_dmx(bytes: &[u8]) -> Result<ArtDmx<'_>, PacketError> {
    let len = bytes.len();
    let slots = u16::from_be_bytes(*bytes_at(bytes, field::LENGTH)?);
    let data = &bytes[field::DATA..];
    if !(1..=512).contains(&slots) {
        return Err(PacketError::Slots { slots, len });
    }
    let data = data.get(..slots.into()).ok_or(PacketError::Slots { slots, len })?;
    let [low, high] = *bytes_at(bytes, field::SUB_UNI)?;
    Ok(ArtDmx {
        sequence: bytes[field::SEQUENCE],
        physical: bytes[field::PHYSICAL],
        address: PortAddress::from_switches(high, low >> 4, low),
        slots: data,
    })
}

fn read_reply(bytes: &[u8]) -> Result<ArtPollReply<'_>, PacketError> {
    if bytes.len() < SHORTEST_REPLY {
        return Err(PacketError::Short { len: bytes.len() });
    }
    let text = |range: std::ops::Range<usize>| {
        let field = &bytes[range];
        let end = field.iter().position(|&byte| byte == 0).unwrap_or(field.len());
        String::from_utf8_lossy(&field[..end])
    };
    // The port types say which of the four there are; the number of ports is often wrong on inexpensive nodes.
    let outputs = std::array::from_fn(|index| {
        let good = bytes[field::GOOD_OUTPUT + index];
        (bytes[field::PORT_TYPES + index] & OutputPort::TYPE_MASK == OutputPort::TYPE).then(|| OutputPort {
            address: PortAddress::from_switches(
                bytes[field::NET_SWITCH],
                bytes[field::SUB_SWITCH],
                bytes[field::SW_OUT + index],
            ),
            sending: good & OutputPort::SENDING != 0,
            merging: good & OutputPort::MERGING != 0,
        })
    });
    Ok(ArtPollReply {
        ip: Ipv4Addr::from(*bytes_at(bytes, field::IP)?),
        short_name: text(field::SHORT_NAME..field::LONG_NAME),
        long_name: text(field::LONG_NAME..field::REPORT),
        report: text(field::REPORT..field::NUM_PORTS),
        outputs,
        bind_index: bytes.get(field::BIND_INDEX).copied().unwrap_or(0),
        style: bytes.get(field::STYLE).copied().unwrap_or(0),
    })
}

fn write_head(bytes: &mut [u8], op_code: u16) {
    bytes[..HEADER.len()].copy_from_slice(&HEADER);
    bytes[field::OP_CODE..field::VERSION].copy_from_slice(&op_code.to_le_bytes());
    bytes[field::VERSION..field::VERSION + 2].copy_from_slice(&VERSION.to_be_bytes());
}

/// Leaves at least one NUL at the end, and never half a character.
fn write_text(bytes: &mut [u8], text: &str) {
    let mut end = text.len().min(bytes.len() - 1);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    bytes[..end].copy_from_slice(&text.as_bytes()[..end]);
}

fn bytes_at<const N: usize>(bytes: &[u8], offset: usize) -> Result<&[u8; N], PacketError> {
    bytes.get(offset..).and_then(<[u8]>::first_chunk).ok_or(PacketError::Short { len: bytes.len() })
}
