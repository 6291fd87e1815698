//! Single packets, read and written: E1.31-2018 tables 4-1 (data), 4-2 (synchronisation), 4-3 (universe discovery).

use std::borrow::Cow;

use super::{Cid, Priority};
use crate::Universe;

/// The length of a data packet of 512 slots.
pub const DATA_PACKET_LEN: usize = field::SLOTS + 512;

/// The length of a synchronisation packet.
pub const SYNC_PACKET_LEN: usize = 49;

/// Universes on one page of a discovery packet.
pub(super) const PAGE: usize = 512;

/// Offsets of the fields from the start of the packet.
pub(super) mod field {
    pub(crate) const ROOT_LENGTH: usize = 16;
    pub(crate) const ROOT_VECTOR: usize = 18;
    pub(crate) const CID: usize = 22;
    pub(crate) const FRAMING_LENGTH: usize = 38;
    pub(crate) const FRAMING_VECTOR: usize = 40;
    pub(crate) const NAME: usize = 44;
    pub(crate) const NAME_LEN: usize = 64;
    pub(crate) const PRIORITY: usize = 108;
    pub(crate) const SYNC_ADDRESS: usize = 109;
    pub(crate) const SEQUENCE: usize = 111;
    pub(crate) const OPTIONS: usize = 112;
    pub(crate) const UNIVERSE: usize = 113;
    pub(crate) const DMP_LENGTH: usize = 115;
    pub(crate) const DMP_VECTOR: usize = 117;
    pub(crate) const COUNT: usize = 123;
    pub(crate) const START_CODE: usize = 125;
    pub(crate) const SLOTS: usize = 126;
    pub(crate) const SYNC_SEQUENCE: usize = 44;
    pub(crate) const SYNC_OF: usize = 45;
    pub(crate) const LIST_LENGTH: usize = 112;
    pub(crate) const LIST_VECTOR: usize = 114;
    pub(crate) const PAGE: usize = 118;
    pub(crate) const LAST_PAGE: usize = 119;
    pub(crate) const LIST: usize = 120;
}

/// Preamble size, postamble size and the name of the protocol family, at the head of every packet.
const PREAMBLE: [u8; 16] = *b"\x00\x10\x00\x00ASC-E1.17\x00\x00\x00";
const ROOT_DATA: u32 = 4;
const ROOT_EXTENDED: u32 = 8;
const FRAMING_DATA: u32 = 2;
const FRAMING_SYNC: u32 = 1;
const FRAMING_DISCOVERY: u32 = 2;
const LIST_VECTOR: u32 = 1;
/// Set-property vector, address and data type, first address, address increment.
const DMP_HEAD: [u8; 6] = [0x02, 0xA1, 0x00, 0x00, 0x00, 0x01];

/// Any packet of the protocol, a view over the bytes received.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Packet<'a> {
    /// Levels of one universe.
    Data(DataPacket<'a>),
    /// "Use what you have of the streams with this synchronisation address, now".
    Sync(SyncPacket),
    /// The universes a source sends.
    Discovery(DiscoveryPacket<'a>),
}

/// The slots of one universe, from one source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DataPacket<'a> {
    /// Which component sends.
    pub cid: Cid,
    /// Its name for people; what is not UTF-8 is replaced. Written cut to 63 bytes at a character.
    pub source_name: Cow<'a, str>,
    /// The highest priority of a universe wins.
    pub priority: Priority,
    /// Hold the levels until a synchronisation packet of this address comes; `None`: use them at once.
    pub sync_address: Option<Universe>,
    /// One more than in the packet before, of this universe and source; wraps.
    pub sequence: u8,
    /// The three flags.
    pub options: Options,
    /// Which universe.
    pub universe: Universe,
    /// 0x00: levels. Receivers of levels ignore all other start codes.
    pub start_code: u8,
    /// Up to 512 values, the first being slot 1.
    pub slots: &'a [u8],
}

/// The flags of a data packet (§6.2.6).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// For showing only: must never reach real lights.
    pub preview: bool,
    /// The stream ends: its slots mean nothing any more.
    pub terminated: bool,
    /// When synchronisation is lost, go on without it rather than hold the last levels.
    pub force_sync: bool,
}

/// A synchronisation packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SyncPacket {
    /// Which component sends.
    pub cid: Cid,
    /// Counts on its own, apart from the data.
    pub sequence: u8,
    /// The streams that it releases.
    pub address: Universe,
}

/// One page of the list of universes that a source sends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DiscoveryPacket<'a> {
    /// Which component sends.
    pub cid: Cid,
    /// Its name for people, as in [`DataPacket::source_name`].
    pub source_name: Cow<'a, str>,
    /// This page, from 0.
    pub page: u8,
    /// The number of the last page.
    pub last_page: u8,
    list: &'a [u8], // invariant: pairs of bytes
}

/// Why bytes are not a packet of the protocol. All of it is to be discarded then (§5, §6.5, §7).
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PacketError {
    /// Not ACN at all.
    #[error("not an sACN packet: it does not start as one")]
    Preamble,
    /// Fewer bytes than such a packet has.
    #[error("sACN packet of {len} bytes: too short for what it claims to be")]
    Short {
        /// Bytes received.
        len: usize,
    },
    /// A length field that does not fit the packet.
    #[error("sACN packet of {len} bytes: the length field at byte {offset} says otherwise")]
    Length {
        /// Where the field stands.
        offset: usize,
        /// Bytes received.
        len: usize,
    },
    /// Kind of packet or of property message that the standard does not define.
    #[error("sACN packet with an unknown vector or address type at byte {offset}")]
    Vector {
        /// Where the field stands.
        offset: usize,
    },
    /// Priority above 200.
    #[error("sACN packet of priority {number}: priorities end at 200")]
    Priority {
        /// What it carries.
        number: u8,
    },
    /// Universe or synchronisation address outside 1..=63999.
    #[error("sACN packet for universe {number}: universes run from 1 to 63999")]
    Universe {
        /// What it carries.
        number: u16,
    },
    /// Page after the last page.
    #[error("sACN discovery page {page} of {last_page}")]
    Page {
        /// This page.
        page: u8,
        /// The last page.
        last_page: u8,
    },
}

impl<'a> Packet<'a> {
    /// Reads a packet of any kind. Never panics; reserved bits are ignored, everything else is checked strictly.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, PacketError> {
        use PacketError::{Preamble, Vector};
        if !bytes.starts_with(&PREAMBLE) {
            return Err(Preamble);
        }
        check_length(bytes, field::ROOT_LENGTH)?;
        check_length(bytes, field::FRAMING_LENGTH)?;
        match (u32_at(bytes, field::ROOT_VECTOR)?, u32_at(bytes, field::FRAMING_VECTOR)?) {
            (ROOT_DATA, FRAMING_DATA) => Ok(Self::Data(read_data(bytes)?)),
            (ROOT_EXTENDED, FRAMING_SYNC) => Ok(Self::Sync(read_sync(bytes)?)),
            (ROOT_EXTENDED, FRAMING_DISCOVERY) => Ok(Self::Discovery(read_discovery(bytes)?)),
            (ROOT_DATA | ROOT_EXTENDED, _) => Err(Vector { offset: field::FRAMING_VECTOR }),
            _ => Err(Vector { offset: field::ROOT_VECTOR }),
        }
    }
}

impl<'a> DataPacket<'a> {
    /// Reads a data packet; other kinds are refused. Never panics.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, PacketError> {
        match Packet::parse(bytes)? {
            Packet::Data(packet) => Ok(packet),
            _ => Err(PacketError::Vector { offset: field::ROOT_VECTOR }),
        }
    }

    /// The bytes to send. Slots past 512 are left out.
    pub fn write(&self) -> Vec<u8> {
        let slots = &self.slots[..self.slots.len().min(512)];
        let mut bytes = vec![0; field::SLOTS + slots.len()];
        write_head(&mut bytes, self.cid, ROOT_DATA, FRAMING_DATA);
        write_name(&mut bytes, &self.source_name);
        bytes[field::PRIORITY] = self.priority.number();
        put_u16(&mut bytes, field::SYNC_ADDRESS, self.sync_address.map_or(0, Universe::number));
        bytes[field::SEQUENCE] = self.sequence;
        bytes[field::OPTIONS] = self.options.byte();
        put_u16(&mut bytes, field::UNIVERSE, self.universe.number());
        write_length(&mut bytes, field::DMP_LENGTH);
        bytes[field::DMP_VECTOR..field::COUNT].copy_from_slice(&DMP_HEAD);
        put_u16(&mut bytes, field::COUNT, slots.len() as u16 + 1);
        bytes[field::START_CODE] = self.start_code;
        bytes[field::SLOTS..].copy_from_slice(slots);
        bytes
    }
}

impl Options {
    const PREVIEW: u8 = 0x80;
    const TERMINATED: u8 = 0x40;
    const FORCE_SYNC: u8 = 0x20;

    /// As it stands in the packet.
    pub const fn byte(self) -> u8 {
        (self.preview as u8 * Self::PREVIEW)
            | (self.terminated as u8 * Self::TERMINATED)
            | (self.force_sync as u8 * Self::FORCE_SYNC)
    }

    /// From the packet; reserved bits are ignored.
    pub const fn from_byte(byte: u8) -> Self {
        Self {
            preview: byte & Self::PREVIEW != 0,
            terminated: byte & Self::TERMINATED != 0,
            force_sync: byte & Self::FORCE_SYNC != 0,
        }
    }
}

impl SyncPacket {
    /// The bytes to send.
    pub fn write(&self) -> [u8; SYNC_PACKET_LEN] {
        let mut bytes = [0; SYNC_PACKET_LEN];
        write_head(&mut bytes, self.cid, ROOT_EXTENDED, FRAMING_SYNC);
        bytes[field::SYNC_SEQUENCE] = self.sequence;
        put_u16(&mut bytes, field::SYNC_OF, self.address.number());
        bytes
    }
}

impl DiscoveryPacket<'_> {
    /// The universes on this page; ascending if the source keeps to the standard. Numbers that are none are left out.
    pub fn universes(&self) -> impl Iterator<Item = Universe> {
        self.list
            .chunks_exact(2)
            .filter_map(|pair| Universe::new(u16::from_be_bytes([pair[0], pair[1]]).into()).ok())
    }

    /// The packets that list `universes`, which must be sorted: one page for each 512, one empty page for none.
    pub fn write_pages(cid: Cid, source_name: &str, universes: &[Universe]) -> Vec<Vec<u8>> {
        let last_page = universes.len().saturating_sub(1) / PAGE; // at most 124, for 63999 universes
        (0..=last_page)
            .map(|page| {
                let list = &universes[page * PAGE..universes.len().min((page + 1) * PAGE)];
                let mut bytes = vec![0; field::LIST];
                bytes.extend(list.iter().flat_map(|universe| universe.number().to_be_bytes()));
                write_head(&mut bytes, cid, ROOT_EXTENDED, FRAMING_DISCOVERY);
                write_name(&mut bytes, source_name);
                write_length(&mut bytes, field::LIST_LENGTH);
                put_u32(&mut bytes, field::LIST_VECTOR, LIST_VECTOR);
                bytes[field::PAGE] = page as u8;
                bytes[field::LAST_PAGE] = last_page as u8;
                bytes
            })
            .collect()
    }
}

fn read_data(bytes: &[u8]) -> Result<DataPacket<'_>, PacketError> {
    if bytes.len() < field::SLOTS {
        return Err(PacketError::Short { len: bytes.len() });
    }
    check_length(bytes, field::DMP_LENGTH)?;
    if bytes[field::DMP_VECTOR..field::COUNT] != DMP_HEAD {
        return Err(PacketError::Vector { offset: field::DMP_VECTOR });
    }
    let slots = &bytes[field::SLOTS..];
    if slots.len() > 512 || usize::from(u16_at(bytes, field::COUNT)?) != slots.len() + 1 {
        return Err(PacketError::Length { offset: field::COUNT, len: bytes.len() });
    }
    let number = bytes[field::PRIORITY];
    let sync_address = match u16_at(bytes, field::SYNC_ADDRESS)? {
        0 => None,
        number => Some(universe(number)?),
    };
    Ok(DataPacket {
        cid: cid(bytes)?,
        source_name: name(bytes)?,
        priority: Priority::new(number.into()).map_err(|_| PacketError::Priority { number })?,
        sync_address,
        sequence: bytes[field::SEQUENCE],
        options: Options::from_byte(bytes[field::OPTIONS]),
        universe: universe(u16_at(bytes, field::UNIVERSE)?)?,
        start_code: bytes[field::START_CODE],
        slots,
    })
}

fn read_sync(bytes: &[u8]) -> Result<SyncPacket, PacketError> {
    if bytes.len() != SYNC_PACKET_LEN {
        return Err(PacketError::Length { offset: field::ROOT_LENGTH, len: bytes.len() });
    }
    let address = universe(u16_at(bytes, field::SYNC_OF)?)?;
    Ok(SyncPacket { cid: cid(bytes)?, sequence: bytes[field::SYNC_SEQUENCE], address })
}

fn read_discovery(bytes: &[u8]) -> Result<DiscoveryPacket<'_>, PacketError> {
    let list = bytes.get(field::LIST..).ok_or(PacketError::Short { len: bytes.len() })?;
    check_length(bytes, field::LIST_LENGTH)?;
    if u32_at(bytes, field::LIST_VECTOR)? != LIST_VECTOR {
        return Err(PacketError::Vector { offset: field::LIST_VECTOR });
    }
    if list.len() > 2 * PAGE || list.len() % 2 != 0 {
        return Err(PacketError::Length { offset: field::LIST_LENGTH, len: bytes.len() });
    }
    let (page, last_page) = (bytes[field::PAGE], bytes[field::LAST_PAGE]);
    if page > last_page {
        return Err(PacketError::Page { page, last_page });
    }
    Ok(DiscoveryPacket { cid: cid(bytes)?, source_name: name(bytes)?, page, last_page, list })
}

/// What the three kinds have in common: preamble, root layer, head of the framing layer.
fn write_head(bytes: &mut [u8], cid: Cid, root: u32, framing: u32) {
    bytes[..PREAMBLE.len()].copy_from_slice(&PREAMBLE);
    write_length(bytes, field::ROOT_LENGTH);
    put_u32(bytes, field::ROOT_VECTOR, root);
    bytes[field::CID..field::FRAMING_LENGTH].copy_from_slice(&cid.0);
    write_length(bytes, field::FRAMING_LENGTH);
    put_u32(bytes, field::FRAMING_VECTOR, framing);
}

/// Leaves at least one NUL at the end (§6.2.2) and never half a character.
fn write_name(bytes: &mut [u8], name: &str) {
    let mut end = name.len().min(field::NAME_LEN - 1);
    while !name.is_char_boundary(end) {
        end -= 1;
    }
    bytes[field::NAME..field::NAME + end].copy_from_slice(&name.as_bytes()[..end]);
}

/// A flags-and-length field: seven in the high nibble, then the bytes from the field to the end of the packet.
fn write_length(bytes: &mut [u8], offset: usize) {
    put_u16(bytes, offset, 0x7000 | (bytes.len() - offset) as u16);
}

fn check_length(bytes: &[u8], offset: usize) -> Result<(), PacketError> {
    let len = bytes.len();
    match u16_at(bytes, offset)? {
        value if value >> 12 == 7 && usize::from(value & 0x0FFF) == len - offset => Ok(()),
        _ => Err(PacketError::Length { offset, len }),
    }
}

/// Bytes to the first NUL. A name without one is taken whole: the length of the field bounds it.
fn name(bytes: &[u8]) -> Result<Cow<'_, str>, PacketError> {
    let all = bytes_at::<{ field::NAME_LEN }>(bytes, field::NAME)?;
    let end = all.iter().position(|&byte| byte == 0).unwrap_or(all.len());
    Ok(String::from_utf8_lossy(&all[..end]))
}

fn cid(bytes: &[u8]) -> Result<Cid, PacketError> {
    bytes_at(bytes, field::CID).copied().map(Cid)
}

fn universe(number: u16) -> Result<Universe, PacketError> {
    Universe::new(number.into()).map_err(|_| PacketError::Universe { number })
}

fn bytes_at<const N: usize>(bytes: &[u8], offset: usize) -> Result<&[u8; N], PacketError> {
    bytes.get(offset..).and_then(<[u8]>::first_chunk).ok_or(PacketError::Short { len: bytes.len() })
}

fn u16_at(bytes: &[u8], offset: usize) -> Result<u16, PacketError> {
    bytes_at(bytes, offset).copied().map(u16::from_be_bytes)
}

fn u32_at(bytes: &[u8], offset: usize) -> Result<u32, PacketError> {
    bytes_at(bytes, offset).copied().map(u32::from_be_bytes)
}

pub(super) fn put_u16(bytes: &mut [u8], offset: usize, value: u16) {
    bytes[offset..offset + 2].copy_from_slice(&value.to_be_bytes());
}

fn put_u32(bytes: &mut [u8], offset: usize, value: u32) {
    bytes[offset..offset + 4].copy_from_slice(&value.to_be_bytes());
}
