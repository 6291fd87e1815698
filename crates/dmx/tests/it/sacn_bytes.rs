//! sACN packets against the tables of E1.31-2018, against bytes recorded from Python `sacn` 1.11.0 (PyPI), and against
//! the `sacn` crate 0.11.

use lanthorn_dmx::Universe;
use lanthorn_dmx::sacn::{
    Cid, DataPacket, DiscoveryPacket, Options, Packet, PacketError, Priority, Sender, Settings, SyncPacket,
};
use lanthorn_physics::time::Instant;
use proptest::prelude::*;
use sacn::packet::{AcnRootLayerProtocol, E131RootLayerData};

use crate::{CID, frames, hex, recorded, universe};

fn ramp() -> Vec<u8> {
    (0..512_u32).map(|slot| (slot * 3) as u8).collect()
}

fn supper(slots: &[u8]) -> DataPacket<'_> {
    DataPacket {
        cid: CID,
        source_name: "Harvest supper é".into(),
        priority: Priority::new(120).unwrap(),
        sync_address: Some(universe(7962)),
        sequence: 42,
        options: Options { force_sync: true, ..Options::default() },
        universe: universe(7962),
        start_code: 0,
        slots,
    }
}

#[test]
fn as_recorded() {
    let slots = ramp();
    let data = [hex(recorded::DATA), slots.clone()].concat();
    assert_eq!(supper(&slots).write(), data);
    assert_eq!(DataPacket::parse(&data).unwrap(), supper(&slots));

    let end = [hex(recorded::END), vec![0; 512]].concat();
    let packet = DataPacket::parse(&end).unwrap();
    assert_eq!(packet.options, Options { preview: true, terminated: true, force_sync: false });
    assert_eq!((packet.source_name.as_ref(), packet.sync_address), ("x", None));
    assert_eq!(packet.write(), end);

    let sync = SyncPacket { cid: CID, sequence: 42, address: universe(7962) };
    assert_eq!(sync.write()[..], hex(recorded::SYNC));
    assert_eq!(Packet::parse(&hex(recorded::SYNC)), Ok(Packet::Sync(sync)));

    let listed = [1, 2, 300, 63_999].map(universe);
    let pages = DiscoveryPacket::write_pages(CID, "Harvest supper", &listed);
    assert_eq!(pages, [hex(recorded::DISCOVERY)]);
    let Ok(Packet::Discovery(page)) = Packet::parse(&pages[0]) else { panic!("not a discovery packet") };
    assert_eq!(page.universes().collect::<Vec<_>>(), listed);
}

/// Every field of tables 4-1 to 4-3 at its offset, written down from the tables and not from the code.
#[test]
fn table_of_offsets() {
    let bytes = supper(&ramp()).write();
    for (offset, expected) in [
        (0, &[0x00, 0x10][..]),
        (2, &[0x00, 0x00]),
        (4, &[0x41, 0x53, 0x43, 0x2D, 0x45, 0x31, 0x2E, 0x31, 0x37, 0x00, 0x00, 0x00]),
        (16, &[0x72, 0x6E]),
        (18, &[0, 0, 0, 4]),
        (22, &CID.0),
        (38, &[0x72, 0x58]),
        (40, &[0, 0, 0, 2]),
        (108, &[120]),
        (109, &[0x1F, 0x1A]),
        (111, &[42]),
        (112, &[0x20]),
        (113, &[0x1F, 0x1A]),
        (115, &[0x72, 0x0B]),
        (117, &[0x02, 0xA1, 0, 0, 0, 1]),
        (123, &[0x02, 0x01]),
        (125, &[0x00, 0, 3, 6]),
    ] {
        assert_eq!(&bytes[offset..offset + expected.len()], expected, "at byte {offset}");
    }
    assert_eq!(bytes.len(), 638);
    let two_pages: Vec<Universe> = (1..=513).map(universe).collect();
    let pages = DiscoveryPacket::write_pages(CID, "x", &two_pages);
    assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [1144, 122]);
    assert_eq!((&pages[0][118..120], &pages[1][118..]), (&[0, 1][..], &[1, 1, 0x02, 0x01][..]));
    assert_eq!(DiscoveryPacket::write_pages(CID, "x", &[])[0].len(), 120);
}

#[test]
fn name_is_cut_at_a_character_and_ends_in_nul() {
    // 62 bytes and then a character of two: it must not be cut in half, nor reach byte 64.
    for (name, kept) in [
        ("n".repeat(62) + "é", "n".repeat(62)),
        ("n".repeat(64), "n".repeat(63)),
        ("é".repeat(40), "é".repeat(31)),
    ] {
        let bytes = DataPacket { source_name: name.as_str().into(), ..supper(&[]) }.write();
        assert_eq!(DataPacket::parse(&bytes).unwrap().source_name, kept);
        assert_eq!(bytes[107], 0);
        assert!(AcnRootLayerProtocol::parse(&bytes).is_ok(), "the sacn crate insists on the NUL");
    }
}

#[test]
fn discards_what_the_standard_says() {
    let good = supper(&[1, 2, 3]).write();
    let length = |offset| PacketError::Length { offset, len: 129 };
    let vector = |offset| PacketError::Vector { offset };
    for (offset, value, error) in [
        (1, 0x11, PacketError::Preamble),
        (3, 0x01, PacketError::Preamble),
        (4, b'B', PacketError::Preamble),
        (16, 0x60, length(16)),
        (17, 0x00, length(16)),
        (21, 5, vector(18)),
        (39, 0x01, length(38)),
        (43, 3, vector(40)),
        (108, 201, PacketError::Priority { number: 201 }),
        (109, 0xFA, PacketError::Universe { number: 0xFA1A }),
        (113, 0xFA, PacketError::Universe { number: 0xFA1A }),
        (116, 0x01, length(115)),
        (117, 0x01, vector(117)),
        (118, 0xA2, vector(117)),
        (120, 0x01, vector(117)),
        (122, 0x02, vector(117)),
        (124, 5, length(123)),
    ] {
        let mut bytes = good.clone();
        bytes[offset] = value;
        assert_eq!(DataPacket::parse(&bytes), Err(error), "{value:#04x} at byte {offset}");
    }
    for len in 0..good.len() {
        assert!(DataPacket::parse(&good[..len]).is_err(), "cut to {len}");
    }
    assert!(DataPacket::parse(&[&good[..], &[0]].concat()).is_err(), "one byte too many");
    assert_eq!(DataPacket::parse(&hex(recorded::SYNC)), Err(vector(18)), "a packet of another kind");
    let mut sync = hex(recorded::SYNC);
    (sync[45], sync[46]) = (0, 0);
    assert_eq!(Packet::parse(&sync), Err(PacketError::Universe { number: 0 }));
    let mut page = hex(recorded::DISCOVERY);
    page[118] = 1;
    assert_eq!(Packet::parse(&page), Err(PacketError::Page { page: 1, last_page: 0 }));
}

#[test]
fn sender_writes_the_recorded_packet() {
    let settings = Settings {
        priority: Priority::new(120).unwrap(),
        sync: Some(universe(7962)),
        force_sync: true,
        ..Settings::new(CID, "Harvest supper é")
    };
    let mut sender = Sender::new(settings, [universe(7962)]);
    let mut levels = frames(&[(7962, 0)]);
    levels.get_mut(universe(7962)).unwrap().0.copy_from_slice(&ramp());
    sender.update(&levels);
    let mut expected = [hex(recorded::DATA), ramp()].concat();
    expected[111] = 1; // the first of the stream
    let sent: Vec<_> =
        sender.due(Instant::ZERO).map(|(universe, bytes)| (universe, bytes.to_vec())).collect();
    assert_eq!(sent, [(universe(7962), expected)]);
}

proptest! {
    /// What we write, the sacn crate reads field for field and writes back byte for byte; and we read it back too.
    #[test]
    fn agrees_with_the_sacn_crate(
        cid: [u8; 16], name in "[ -~é☂]{0,20}", priority in 0_u32..=200, sync in 0_u32..=63_999, sequence: u8,
        flags in 0_u8..8, number in 1_u32..=63_999, start_code: u8, slots in proptest::collection::vec(any::<u8>(), 0..=512),
    ) {
        let packet = DataPacket {
            cid: Cid(cid),
            source_name: name.as_str().into(),
            priority: Priority::new(priority).unwrap(),
            sync_address: Universe::new(sync).ok(),
            sequence,
            options: Options::from_byte(flags << 5),
            universe: universe(number),
            start_code,
            slots: &slots,
        };
        let bytes = packet.write();
        let theirs = AcnRootLayerProtocol::parse(&bytes).unwrap();
        prop_assert_eq!(*theirs.pdu.cid.as_bytes(), cid);
        let E131RootLayerData::DataPacket(framing) = &theirs.pdu.data else { panic!("not data to them") };
        prop_assert_eq!(framing.source_name.as_ref(), name.as_str());
        prop_assert_eq!(u32::from(framing.priority), priority);
        prop_assert_eq!(u32::from(framing.synchronization_address), sync);
        prop_assert_eq!(framing.sequence_number, sequence);
        prop_assert_eq!(
            (framing.preview_data, framing.stream_terminated, framing.force_synchronization),
            (flags & 4 != 0, flags & 2 != 0, flags & 1 != 0)
        );
        prop_assert_eq!(u32::from(framing.universe), number);
        prop_assert_eq!((framing.data.property_values[0], &framing.data.property_values[1..]), (start_code, &slots[..]));
        prop_assert_eq!(theirs.pack_alloc().unwrap(), bytes.clone());
        prop_assert_eq!(DataPacket::parse(&bytes).unwrap(), packet);
    }

    /// With one byte changed, we and the sacn crate agree on whether it is still a packet. (Left alone is
    /// what we read and they refuse: a list out of order, a name that is not UTF-8. We refuse
    /// more wrong lengths, on some of which that parser stops the program.)
    #[test]
    fn refuses_what_the_sacn_crate_refuses(
        (kind, offset) in (0_usize..3).prop_flat_map(|kind| (Just(kind), 0_usize..[129, 49, 120][kind])), value: u8,
    ) {
        let mut bytes = match kind {
            0 => DataPacket { source_name: "hall".into(), ..supper(&[1, 2, 3]) }.write(),
            1 => hex(recorded::SYNC),
            _ => hex(recorded::DISCOVERY),
        };
        bytes[offset] = if kind != 1 && (44..108).contains(&offset) { value & 0x7F } else { value };
        let ours = Packet::parse(&bytes);
        if !matches!(ours, Err(PacketError::Length { .. })) {
            let theirs = AcnRootLayerProtocol::parse(&bytes);
            prop_assert_eq!(ours.is_ok(), theirs.is_ok(), "{:?} / {:?}", ours, theirs);
        }
    }
}
