//! Art-Net packets against the published tables, against bytes recorded from Python `stupidArtnet` 1.6.0 (PyPI), and
//! against the `artnet_protocol` crate 0.4.

use artnet_protocol::{ArtCommand, Output, Poll};
use lanthorn_dmx::artnet::{
    ArtDmx, ArtPoll, ArtPollReply, ArtSync, OutputPort, Packet, PacketError, PortAddress, Sender, Settings,
};
use lanthorn_physics::time::Instant;
use proptest::prelude::*;

use crate::{frames, hex, recorded, universe};

fn port(number: u32) -> PortAddress {
    PortAddress::new(number).unwrap()
}

fn output(number: u32) -> Option<OutputPort> {
    Some(OutputPort { address: port(number), sending: true, merging: false })
}

#[test]
fn as_recorded() {
    let dmx = ArtDmx { sequence: 17, physical: 0, address: port(0x123), slots: &[1, 2, 3, 4, 5, 255] };
    assert_eq!(dmx.write(), hex(recorded::ART_DMX));
    assert_eq!(Packet::parse(&hex(recorded::ART_DMX)), Ok(Packet::Dmx(dmx)));
    assert_eq!(ArtSync.write()[..], hex(recorded::ART_SYNC));
    assert_eq!(Packet::parse(&hex(recorded::ART_SYNC)), Ok(Packet::Sync(ArtSync)));
}

/// Written down from the published tables, not from the code.
#[test]
fn table_of_offsets() {
    let check = |bytes: &[u8], fields: &[(usize, &[u8])]| {
        for &(offset, expected) in fields {
            assert_eq!(&bytes[offset..offset + expected.len()], expected, "at byte {offset}");
        }
    };
    let poll = ArtPoll { flags: 2 }.write();
    assert_eq!(poll.len(), 14);
    check(&poll, &[(0, b"Art-Net\0"), (8, &[0x00, 0x20]), (10, &[0, 14]), (12, &[2, 0])]);
    let dmx = ArtDmx { sequence: 5, physical: 1, address: port(0x7F2E), slots: &[9; 3] }.write();
    assert_eq!(dmx.len(), 18 + 4, "an odd number of slots gets one more");
    check(&dmx, &[(8, &[0x00, 0x50]), (10, &[0, 14]), (12, &[5, 1, 0x2E, 0x7F]), (16, &[0, 4, 9, 9, 9, 0])]);
    let reply = ArtPollReply {
        report: "#0001 [0003] as usual".into(),
        outputs: [output(0x7F2E), None, output(0x7F23), output(0x0001)],
        ..ArtPollReply::controller([10, 0, 0, 7].into(), "stage node")
    };
    let bytes = reply.write();
    assert_eq!(bytes.len(), 239);
    check(
        &bytes,
        &[
            (0, b"Art-Net\0"),
            (8, &[0x00, 0x21]),
            (10, &[10, 0, 0, 7]),
            (14, &[0x36, 0x19]),
            (18, &[0x7F, 0x02]),
            (26, b"stage node\0"),
            (44, b"stage node\0"),
            (108, b"#0001 [0003] as usual\0"),
            (172, &[0, 3]),
            (174, &[0x80, 0, 0x80, 0]),
            (182, &[0x80, 0, 0x80, 0]),
            (190, &[0x0E, 0, 0x03, 0]),
            (200, &[1]),
            (211, &[1, 0x08]),
        ],
    );
    // The fourth output is of another sub-net: it cannot be said in this reply.
    let outputs = [output(0x7F2E), None, output(0x7F23), None];
    assert_eq!(Packet::parse(&bytes), Ok(Packet::PollReply(ArtPollReply { outputs, ..reply })));
}

#[test]
fn refuses_and_tolerates() {
    let dmx = ArtDmx { sequence: 1, physical: 0, address: port(1), slots: &[1, 2] }.write();
    for (offset, value, error) in [
        (0, b'B', PacketError::Header),
        (11, 13, PacketError::Version { version: 13 }),
        (17, 0, PacketError::Slots { slots: 0, len: 20 }),
        (17, 3, PacketError::Slots { slots: 3, len: 20 }),
        (16, 3, PacketError::Slots { slots: 0x302, len: 20 }),
    ] {
        let mut bytes = dmx.clone();
        bytes[offset] = value;
        assert_eq!(Packet::parse(&bytes), Err(error), "{value} at byte {offset}");
    }
    // Longer than it says: padding, which is left out. Polls of old controllers are short, of new ones long.
    let padded = [&dmx[..], &[7, 7]].concat();
    assert!(matches!(Packet::parse(&padded), Ok(Packet::Dmx(ArtDmx { slots: [1, 2], .. }))));
    let poll = ArtPoll { flags: 6 }.write();
    assert_eq!(Packet::parse(&poll[..12]), Ok(Packet::Poll(ArtPoll { flags: 0 })));
    assert_eq!(Packet::parse(&[&poll[..], &[0; 8]].concat()), Ok(Packet::Poll(ArtPoll { flags: 6 })));
    let reply = ArtPollReply {
        outputs: [output(3), None, None, None],
        ..ArtPollReply::controller([1; 4].into(), "n")
    };
    for (len, ok) in [(197, false), (198, true), (207, true), (239, true)] {
        assert_eq!(Packet::parse(&reply.write()[..len]).is_ok(), ok, "{len} bytes of a reply");
    }
    // Only outputs of DMX512 are outputs to us: not inputs, nor other kinds. What is both an output and an input is.
    for (port_type, is_output) in [(0x80, true), (0xC0, true), (0x40, false), (0x81, false), (0x00, false)] {
        let mut bytes = reply.write();
        bytes[174] = port_type;
        let Ok(Packet::PollReply(read)) = Packet::parse(&bytes) else { panic!("not a reply") };
        assert_eq!(read.outputs[0].is_some(), is_output, "port type {port_type:#04x}");
    }
    assert_eq!(Packet::parse(b"Art-Net\0\x00\x97\x00\x0e"), Ok(Packet::Other { op_code: 0x9700 }));
}

#[test]
fn sender_writes_what_the_artnet_protocol_crate_would() {
    let settings = Settings { listed: vec![([10, 0, 0, 7], 6454).into()], ..Settings::default() };
    let mut sender = Sender::new(settings, [universe(0x124)]).unwrap();
    sender.update(&frames(&[(0x124, 77)]));
    let sent: Vec<Vec<u8>> = sender.due(Instant::ZERO).map(|(_, bytes)| bytes.to_vec()).collect();
    let theirs = Output {
        sequence: 1,
        port_address: 0x123.try_into().unwrap(),
        data: vec![77; 512].into(),
        ..Output::default()
    };
    assert_eq!(sent, [ArtCommand::Output(theirs).write_to_buffer().unwrap()]);
    let poll = Poll { diagnostics_priority: 0, ..Poll::default() };
    assert_eq!(
        sender.poll_due(Instant::ZERO).unwrap()[..],
        ArtCommand::Poll(poll).write_to_buffer().unwrap()
    );
}

#[test]
fn reply_as_the_artnet_protocol_crate_reads_it() {
    let reply = ArtPollReply {
        outputs: [output(0x0120), None, None, output(0x0123)],
        report: "fine".into(),
        ..ArtPollReply::controller([10, 0, 0, 7].into(), "stage node")
    };
    let ArtCommand::PollReply(theirs) = ArtCommand::from_buffer(&reply.write()).unwrap() else {
        panic!("no reply to them");
    };
    assert_eq!((theirs.address.octets(), theirs.port, theirs.port_address), ([10, 0, 0, 7], 6454, [1, 2]));
    assert_eq!(
        (theirs.num_ports, theirs.port_types, theirs.swout),
        ([0, 4], [0x80, 0, 0, 0x80], [0, 0, 0, 3])
    );
    assert_eq!((theirs.style, theirs.bind_index, theirs.status_2), (1, 1, 8));
    assert_eq!(theirs.short_name[..11], *b"stage node\0");
    // And one that they write, we read.
    let bytes = ArtCommand::PollReply(theirs).write_to_buffer().unwrap();
    assert_eq!(Packet::parse(&bytes), Ok(Packet::PollReply(reply)));
}

proptest! {
    #[test]
    fn agrees_with_the_artnet_protocol_crate(
        sequence: u8, physical: u8, number in 0_u32..=0x7FFF, slots in proptest::collection::vec(any::<u8>(), 1..=512),
    ) {
        let ours = ArtDmx { sequence, physical, address: port(number), slots: &slots }.write();
        let theirs = Output {
            sequence,
            physical,
            port_address: (number as u16).try_into().unwrap(),
            data: slots.clone().into(),
            ..Output::default()
        };
        // They pad 1 slot to 2, as we do, and every odd number to the next even one.
        let theirs = ArtCommand::Output(theirs).write_to_buffer().unwrap();
        prop_assert_eq!(&ours, &theirs);
        let Ok(Packet::Dmx(read)) = Packet::parse(&theirs) else { panic!("no levels to us") };
        prop_assert_eq!(&read.slots[..slots.len()], &slots[..]);
        prop_assert_eq!((read.sequence, read.physical, read.address), (sequence, physical, port(number)));
    }
}
