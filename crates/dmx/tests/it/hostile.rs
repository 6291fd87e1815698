//! Parsers and bookkeeping under arbitrary and damaged bytes: they answer, and never panic.

use std::net::SocketAddr;

use lanthorn_dmx::sacn::{self, DataPacket, DiscoveryPacket, Options, Priority, Receiver, SyncPacket};
use lanthorn_dmx::{artnet, sacn::Cid};
use lanthorn_physics::time::Instant;
use proptest::prelude::*;

use crate::universe;

fn good_packets() -> Vec<Vec<u8>> {
    let cid = Cid([7; 16]);
    let data = DataPacket {
        cid,
        source_name: "hall".into(),
        priority: Priority::DEFAULT,
        sync_address: None,
        sequence: 0,
        options: Options::default(),
        universe: universe(1),
        start_code: 0,
        slots: &[1; 40],
    };
    let address = artnet::PortAddress::new(1).unwrap();
    vec![
        data.write(),
        SyncPacket { cid, sequence: 0, address: universe(1) }.write().to_vec(),
        DiscoveryPacket::write_pages(cid, "hall", &[universe(1), universe(2)]).remove(0),
        artnet::ArtDmx { sequence: 1, physical: 0, address, slots: &[1; 40] }.write(),
        artnet::ArtPollReply::controller([10, 0, 0, 1].into(), "hall").write().to_vec(),
        artnet::ArtPoll::default().write().to_vec(),
    ]
}

fn all_parsers(bytes: &[u8], receiver: &mut Receiver, sender: &mut artnet::Sender) {
    let from = SocketAddr::from(([10, 0, 0, 9], 1));
    if let Ok(sacn::Packet::Discovery(page)) = sacn::Packet::parse(bytes) {
        let _ = page.universes().count();
    }
    let _ = receiver.handle(bytes, from, Instant::ZERO);
    let _ = receiver.merged(universe(1));
    let _ = artnet::Packet::parse(bytes);
    let _ = sender.handle_reply(bytes, from, Instant::ZERO);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn arbitrary_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..700), head in 0_usize..7) {
        let mut receiver = Receiver::new();
        let mut sender = artnet::Sender::new(artnet::Settings::default(), [universe(1)]).unwrap();
        // As they are, or after a head that leads further in.
        let heads = good_packets();
        let head = heads.get(head).map_or(&[][..], |packet| &packet[..packet.len().min(22)]);
        all_parsers(&[head, &bytes].concat(), &mut receiver, &mut sender);
    }

    #[test]
    fn damaged_packets(
        which in 0_usize..6, changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        cut in any::<prop::sample::Index>(), whole: bool,
    ) {
        let mut receiver = Receiver::new();
        let mut sender = artnet::Sender::new(artnet::Settings::default(), [universe(1)]).unwrap();
        for packet in good_packets() {
            all_parsers(&packet, &mut receiver, &mut sender);
        }
        let mut bytes = good_packets().swap_remove(which);
        for (index, value) in changes {
            let place = index.index(bytes.len());
            bytes[place] = value;
        }
        let len = if whole { bytes.len() } else { cut.index(bytes.len()) };
        all_parsers(&bytes[..len], &mut receiver, &mut sender);
    }
}
