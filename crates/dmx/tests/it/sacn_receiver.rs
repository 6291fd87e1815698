//! The bookkeeping of sACN sources: E1.31-2018 §6.7 (sequence, loss), §6.2.3 (priority), §6.2.6 (options).

use std::net::SocketAddr;

use lanthorn_dmx::sacn::{
    Cid, DataPacket, DiscoveryPacket, Event, Lost, MAX_SOURCES, Options, PacketError, Priority, Receiver,
    SyncPacket,
};
use lanthorn_physics::time::Instant;

use crate::{ms, universe};

const HALL: Cid = Cid([1; 16]);
const BAR: Cid = Cid([2; 16]);

fn from() -> SocketAddr {
    SocketAddr::from(([10, 0, 0, 9], 5568))
}

fn packet(cid: Cid, sequence: u8, slots: &[u8]) -> DataPacket<'_> {
    DataPacket {
        cid,
        source_name: if cid == HALL { "hall" } else { "bar" }.into(),
        priority: Priority::DEFAULT,
        sync_address: None,
        sequence,
        options: Options::default(),
        universe: universe(1),
        start_code: 0,
        slots,
    }
}

fn levels(cid: Cid, new: bool) -> Event {
    Event::Levels { universe: universe(1), cid, new }
}

#[test]
fn sequence_rule() {
    // Last 100: discarded from 81 to 100, taken outside (§6.7.2).
    for (sequence, taken) in
        [(101, true), (100, false), (99, false), (81, false), (80, true), (0, true), (228, true)]
    {
        let mut receiver = Receiver::new();
        receiver.handle(&packet(HALL, 100, &[1]).write(), from(), Instant::ZERO).unwrap();
        let event = receiver.handle(&packet(HALL, sequence, &[2]).write(), from(), ms(25.0)).unwrap();
        let expected =
            if taken { levels(HALL, false) } else { Event::OutOfOrder { universe: universe(1), cid: HALL } };
        assert_eq!(event, expected, "{sequence}");
        assert_eq!(receiver.merged(universe(1)).unwrap().frame.0[0], if taken { 2 } else { 1 });
    }
    // Over the wrap, and with two missing.
    let mut receiver = Receiver::new();
    for sequence in [254, 255, 0, 3] {
        receiver.handle(&packet(HALL, sequence, &[1]).write(), from(), Instant::ZERO).unwrap();
    }
    let source = receiver.sources().next().unwrap();
    assert_eq!((source.packets, source.missing, source.out_of_order), (4, 2, 0));
    assert_eq!((source.name.as_str(), source.from), ("hall", from()));
}

#[test]
fn lost_after_two_and_a_half_seconds() {
    let mut receiver = Receiver::new();
    receiver.handle(&packet(HALL, 9, &[1]).write(), from(), ms(0.0)).unwrap();
    assert_eq!(receiver.expire(ms(2499.0)), []);
    assert_eq!(receiver.expire(ms(2500.0)), [Lost { universe: universe(1), cid: HALL }]);
    assert_eq!(receiver.merged(universe(1)), None);
    // It comes back with whatever number, even without `expire` in between.
    assert_eq!(receiver.handle(&packet(HALL, 9, &[1]).write(), from(), ms(3000.0)), Ok(levels(HALL, true)));
    assert_eq!(receiver.handle(&packet(HALL, 9, &[1]).write(), from(), ms(6000.0)), Ok(levels(HALL, true)));
}

#[test]
fn end_of_stream() {
    let mut receiver = Receiver::new();
    receiver.handle(&packet(HALL, 1, &[50]).write(), from(), ms(0.0)).unwrap();
    for sequence in 2..5 {
        let options = Options { terminated: true, ..Options::default() };
        let last = DataPacket { options, ..packet(HALL, sequence, &[99]) };
        let event = receiver.handle(&last.write(), from(), ms(25.0 * f64::from(sequence)));
        assert_eq!(event, Ok(Event::Terminated { universe: universe(1), cid: HALL }));
        assert_eq!(receiver.merged(universe(1)), None, "its slots mean nothing");
    }
}

#[test]
fn highest_priority_then_highest_value() {
    let mut receiver = Receiver::new();
    let mut send = |packet: DataPacket<'_>| {
        receiver.handle(&packet.write(), from(), Instant::ZERO).unwrap();
        let merged = receiver.merged(universe(1)).unwrap();
        (merged.frame.0[..3].to_vec(), merged.slots, merged.priority.number(), merged.sources)
    };
    assert_eq!(send(packet(HALL, 1, &[10, 200])), (vec![10, 200, 0], 2, 100, 1));
    assert_eq!(
        send(packet(BAR, 1, &[20, 100, 5])),
        (vec![20, 200, 5], 3, 100, 2),
        "the same priority: highest value"
    );
    let high = Priority::new(150).unwrap();
    let takes_over = DataPacket { priority: high, ..packet(BAR, 2, &[1, 1, 1]) };
    assert_eq!(send(takes_over), (vec![1, 1, 1], 3, 150, 1));
    let options = Options { preview: true, ..Options::default() };
    let preview = DataPacket { options, priority: high, ..packet(BAR, 3, &[255, 255, 255]) };
    assert_eq!(send(preview), (vec![10, 200, 0], 2, 100, 1), "a preview never counts");
}

#[test]
fn other_packets() {
    let mut receiver = Receiver::new();
    let priorities = DataPacket { start_code: 0xDD, ..packet(HALL, 1, &[100; 512]) };
    let event = receiver.handle(&priorities.write(), from(), Instant::ZERO);
    assert_eq!(event, Ok(Event::OtherStartCode { universe: universe(1), cid: HALL, start_code: 0xDD }));
    assert_eq!(receiver.merged(universe(1)), None, "no levels yet");
    receiver.handle(&packet(HALL, 2, &[7]).write(), from(), Instant::ZERO).unwrap();
    let again = DataPacket { sequence: 3, ..priorities };
    receiver.handle(&again.write(), from(), Instant::ZERO).unwrap();
    assert_eq!(receiver.merged(universe(1)).unwrap().frame.0[0], 7, "priorities are not levels");

    // Synchronisation counts apart from the data.
    let sync = SyncPacket { cid: HALL, sequence: 1, address: universe(1) }.write();
    assert_eq!(receiver.handle(&sync, from(), ms(1.0)), Ok(Event::Sync { address: universe(1), cid: HALL }));
    assert_eq!(
        receiver.handle(&sync, from(), ms(2.0)),
        Ok(Event::OutOfOrder { universe: universe(1), cid: HALL })
    );
    assert_eq!(receiver.handle(b"hello", from(), ms(3.0)), Err(PacketError::Preamble));
}

#[test]
fn announced_universes_over_two_pages() {
    let mut receiver = Receiver::new();
    let all: Vec<_> = (1..=600).map(universe).collect();
    let pages = DiscoveryPacket::write_pages(HALL, "hall", &all);
    let announced = |complete| Ok(Event::Announced { cid: HALL, complete });
    assert_eq!(receiver.handle(&pages[1], from(), ms(0.0)), announced(false), "the second page alone");
    assert_eq!(receiver.handle(&pages[0], from(), ms(1.0)), announced(false));
    assert_eq!(receiver.handle(&pages[1], from(), ms(2.0)), announced(true));
    let (cid, list) = receiver.announced().next().unwrap();
    assert_eq!((cid, list.name.as_str(), &list.universes), (HALL, "hall", &all));
    receiver.expire(ms(15_000.0));
    assert_eq!(receiver.announced().count(), 1);
    receiver.expire(ms(30_000.0));
    assert_eq!(receiver.announced().count(), 0);
}

#[test]
fn a_flood_of_sources_is_bounded() {
    let mut receiver = Receiver::new();
    for n in 0..=MAX_SOURCES as u32 {
        let mut cid = Cid([9; 16]);
        cid.0[..4].copy_from_slice(&n.to_be_bytes());
        let event = receiver.handle(&packet(cid, 0, &[1]).write(), from(), Instant::ZERO).unwrap();
        let expected =
            if n < MAX_SOURCES as u32 { levels(cid, true) } else { Event::SourcesExceeded { cid } };
        assert_eq!(event, expected);
    }
    assert_eq!(receiver.sources().count(), MAX_SOURCES);
}
