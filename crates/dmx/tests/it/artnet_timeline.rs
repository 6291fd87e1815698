//! The Art-Net sender on a simulated clock: who gets what, and when.

use std::net::SocketAddr;

use lanthorn_dmx::artnet::{
    ArtPollReply, ArtSync, Heard, Mapping, OutputPort, Packet, PortAddress, PortAddressError, Sender,
    Settings,
};
use lanthorn_physics::time::Instant;

use crate::{frames, ms, universe};

fn node(host: u8) -> SocketAddr {
    SocketAddr::from(([10, 0, 0, host], 6454))
}

/// The answer of a node with outputs at these port-addresses.
fn reply(bind_index: u8, ports: &[u32]) -> Vec<u8> {
    let mut reply = ArtPollReply { bind_index, style: 0, ..ArtPollReply::controller([0; 4].into(), "node") };
    for (output, &number) in reply.outputs.iter_mut().zip(ports) {
        let address = PortAddress::new(number).unwrap();
        *output = Some(OutputPort { address, sending: true, merging: false });
    }
    reply.write().to_vec()
}

/// Destination host, port-address, sequence and first slot of all that is due.
fn due(sender: &mut Sender, at: Instant) -> Vec<(u8, u16, u8, u8)> {
    let packets = sender.due(at).map(|(to, bytes)| {
        let Ok(Packet::Dmx(dmx)) = Packet::parse(bytes) else { panic!("not levels") };
        let SocketAddr::V4(to) = to else { panic!("not IPv4") };
        (to.ip().octets()[3], dmx.address.number(), dmx.sequence, dmx.slots[0])
    });
    packets.collect()
}

#[test]
fn levels_go_to_who_is_listed_and_to_who_answers() {
    let settings = Settings { listed: vec![node(1)], ..Settings::default() };
    let mut sender = Sender::new(settings, [1, 2].map(universe)).unwrap();
    sender.update(&frames(&[(1, 11), (2, 22)]));
    assert_eq!(due(&mut sender, ms(0.0)), [(1, 0, 1, 11), (1, 1, 1, 22)], "universe 1 is port-address 0:0:0");
    for at in [25.0, 50.0] {
        assert_eq!(due(&mut sender, ms(at)).len(), 2);
    }
    assert_eq!(due(&mut sender, ms(100.0)), [], "settled");
    // A node with two outputs, one of them ours, answers from an odd port: it is due the present levels at once.
    let heard = sender.handle_reply(&reply(1, &[1, 40]), ([10, 0, 0, 5], 3333).into(), ms(110.0));
    assert_eq!(heard, Ok(Heard::NewNode));
    assert_eq!(due(&mut sender, ms(125.0)), [(1, 1, 4, 22), (5, 1, 4, 22)]);
    // The same again is nothing new; with another port it is.
    assert_eq!(sender.handle_reply(&reply(1, &[1, 40]), node(5), ms(130.0)), Ok(Heard::SameNode));
    assert_eq!(
        sender.handle_reply(&reply(2, &[0]), node(5), ms(140.0)),
        Ok(Heard::NewNode),
        "its second page"
    );
    assert_eq!(sender.handle_reply(&reply(1, &[0]), node(5), ms(150.0)), Ok(Heard::ChangedNode));
    let routes: Vec<usize> = sender.routes().map(|(_, _, destinations)| destinations.len()).collect();
    assert_eq!(routes, [2, 1], "once to each address, whatever the number of its answers");
    // A listed node that answers is still sent to once.
    sender.handle_reply(&reply(1, &[0, 1]), node(1), ms(160.0)).unwrap();
    assert_eq!(sender.routes().map(|(_, _, to)| to.len()).collect::<Vec<_>>(), [2, 1]);
}

#[test]
fn nothing_leaves_without_someone_to_listen() {
    let mut sender = Sender::new(Settings::default(), [universe(1)]).unwrap();
    sender.poll_due(ms(0.0)).unwrap();
    sender.update(&frames(&[(1, 5)]));
    assert_eq!(due(&mut sender, ms(0.0)), []);
    assert_eq!(sender.next_due(), Some(ms(2500.0)), "only the next poll");
    sender.handle_reply(&reply(0, &[0]), node(9), ms(700.0)).unwrap();
    assert_eq!(due(&mut sender, ms(700.0)), [(9, 0, 1, 5)], "what it missed");
}

#[test]
fn a_node_is_gone_after_three_unanswered_polls() {
    let mut sender = Sender::new(Settings::default(), [universe(1)]).unwrap();
    sender.update(&frames(&[(1, 5)]));
    let mut polls = Vec::new();
    let mut known = Vec::new();
    for at in (0..25_000).step_by(25) {
        let now = ms(f64::from(at));
        if sender.poll_due(now).is_some() {
            polls.push(at);
            known.push(sender.nodes().len());
            if at <= 5000 {
                sender.handle_reply(&reply(1, &[0]), node(9), now).unwrap();
            }
        }
    }
    assert_eq!(polls, (0..10).map(|n| n * 2500).collect::<Vec<_>>());
    // Answers at 0, 2.5 and 5 s; not to the polls at 7.5, 10 and 12.5 s; forgotten at 15 s.
    assert_eq!(known, [0, 1, 1, 1, 1, 1, 0, 0, 0, 0]);
    assert_eq!(due(&mut sender, ms(25_000.0)), []);
    assert_eq!(sender.handle_reply(&reply(1, &[0]), node(9), ms(25_100.0)), Ok(Heard::NewNode), "back again");
}

#[test]
fn paced_and_counted_from_1_to_255() {
    let settings = Settings { listed: vec![node(1)], ..Settings::default() };
    let mut sender = Sender::new(settings, [universe(1)]).unwrap();
    let mut sent = Vec::new();
    for at in 0..20_000 {
        // Changes each millisecond for ten seconds, then stays.
        let value = at.min(10_000) as u8;
        sender.update(&frames(&[(1, value)]));
        sent.extend(due(&mut sender, ms(f64::from(at))).into_iter().map(|packet| (at, packet)));
    }
    let gaps: Vec<i32> = sent.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    assert!(gaps.iter().all(|&gap| gap == 23 || (800..=1000).contains(&gap)), "{gaps:?}");
    assert_eq!(gaps.iter().filter(|&&gap| gap == 900).count(), 11, "keep-alives of the second ten seconds");
    assert!(sent.len() > 255);
    for pair in sent.windows(2) {
        let (before, after) = (pair[0].1.2, pair[1].1.2);
        assert_eq!(after, if before == 255 { 1 } else { before + 1 }, "0 would mean that we do not count");
    }
}

#[test]
fn synchronisation_follows_each_burst() {
    let settings = Settings { listed: vec![node(1)], sync: true, ..Settings::default() };
    let mut sender = Sender::new(settings, [1, 2].map(universe)).unwrap();
    assert_eq!(sender.sync_due(ms(0.0)), None);
    sender.update(&frames(&[(1, 1), (2, 2)]));
    assert_eq!(due(&mut sender, ms(10.0)).len(), 2);
    assert_eq!(sender.sync_due(ms(10.0)), Some(ArtSync.write()));
    assert_eq!(sender.sync_due(ms(11.0)), None, "one for each burst");
    assert_eq!(due(&mut sender, ms(35.0)).len(), 2);
    assert!(sender.sync_due(ms(35.0)).is_some());
    let mut plain =
        Sender::new(Settings { listed: vec![node(1)], ..Settings::default() }, [universe(1)]).unwrap();
    plain.update(&frames(&[(1, 1)]));
    assert_eq!((due(&mut plain, ms(0.0)).len(), plain.sync_due(ms(0.0))), (1, None));
}

#[test]
fn offset_and_range() {
    let listed = vec![node(1)];
    let settings = Settings { mapping: Mapping { offset: 1 }, listed: listed.clone(), ..Settings::default() };
    let mut sender = Sender::new(settings, [universe(1)]).unwrap();
    sender.update(&frames(&[(1, 5)]));
    assert_eq!(due(&mut sender, ms(0.0)), [(1, 1, 1, 5)]);
    // A change of universes that cannot be leaves all as it was.
    assert_eq!(sender.set_universes([2, 40_000].map(universe)), Err(PortAddressError { number: 40_000 }));
    assert_eq!(sender.routes().map(|(universe, ..)| universe.number()).collect::<Vec<_>>(), [1]);
    sender.set_universes([2, 1].map(universe)).unwrap();
    sender.update(&frames(&[(1, 5), (2, 6)]));
    assert_eq!(due(&mut sender, ms(25.0)), [(1, 1, 2, 5), (1, 2, 1, 6)]);
}
