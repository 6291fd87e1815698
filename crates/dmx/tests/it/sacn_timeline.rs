//! The sACN sender on a simulated clock: E1.31-2018 §6.6 (pace), §6.2.6 (end), §11 (synchronisation), §12 (discovery).

use lanthorn_dmx::sacn::{DataPacket, Packet, Sender, Settings};
use lanthorn_dmx::{Frames, Universe};
use lanthorn_physics::time::{Instant, Span};
use proptest::prelude::*;

use crate::{CID, frames, ms, universe};

/// One data packet, as a receiver would note it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Noted {
    at: Instant,
    universe: u16,
    sequence: u8,
    terminated: bool,
    first_slot: u8,
}

fn sender(change: impl FnOnce(&mut Settings), universes: &[u32]) -> Sender {
    let mut settings = Settings::new(CID, "hall");
    change(&mut settings);
    Sender::new(settings, universes.iter().map(|&number| universe(number)))
}

fn note(sender: &mut Sender, at: Instant, noted: &mut Vec<Noted>) {
    for (universe, bytes) in sender.due(at) {
        let packet = DataPacket::parse(bytes).unwrap();
        assert_eq!(packet.universe, universe);
        noted.push(Noted {
            at,
            universe: universe.number(),
            sequence: packet.sequence,
            terminated: packet.options.terminated,
            first_slot: packet.slots[0],
        });
    }
}

/// Runs at 40 Hz for `for_ms`, giving the sender what `levels` says for each tick (ms).
fn run(sender: &mut Sender, for_ms: i64, mut levels: impl FnMut(i64) -> Frames) -> Vec<Noted> {
    let mut noted = Vec::new();
    for tick in (0..for_ms).step_by(25) {
        sender.update(&levels(tick));
        note(sender, Instant::from_micros(tick * 1000), &mut noted);
    }
    noted
}

fn moments(noted: &[Noted], number: u16) -> Vec<i64> {
    noted.iter().filter(|packet| packet.universe == number).map(|packet| packet.at.micros() / 1000).collect()
}

#[test]
fn settles_then_keeps_alive() {
    let mut sender = sender(|_| {}, &[1, 2]);
    // Universe 1 changes each tick until 100 ms; universe 2 never.
    let noted = run(&mut sender, 3000, |tick| frames(&[(1, (tick / 25).min(4) as u8), (2, 9)]));
    assert_eq!(moments(&noted, 1), [0, 25, 50, 75, 100, 125, 150, 1050, 1950, 2850]);
    assert_eq!(moments(&noted, 2), [0, 25, 50, 950, 1850, 2750]);
    let settled = noted.iter().filter(|packet| packet.universe == 1 && packet.at >= ms(100.0));
    assert!(settled.clone().all(|packet| packet.first_slot == 4), "keep-alives carry the same levels");
    let sequence: Vec<u8> =
        noted.iter().filter(|packet| packet.universe == 1).map(|packet| packet.sequence).collect();
    assert_eq!(sequence, (1..=10).collect::<Vec<u8>>(), "keep-alives count on");
}

#[test]
fn silent_until_there_are_levels() {
    let mut sender = sender(|_| {}, &[1, 2]);
    assert_eq!(sender.due(Instant::ZERO).count(), 0);
    sender.update(&frames(&[(2, 0), (7, 5)]));
    let universes: Vec<Universe> = sender.due(Instant::ZERO).map(|(universe, _)| universe).collect();
    assert_eq!(universes, [universe(2)], "dark levels are levels; 1 has none yet; 7 is not ours");
}

#[test]
fn continuous_stream_wraps_its_sequence() {
    let mut sender = sender(|settings| settings.continuous = true, &[1]);
    let noted = run(&mut sender, 10_000, |_| frames(&[(1, 3)]));
    assert_eq!(noted.len(), 400, "each tick of 25 ms, although nothing changes");
    for pair in noted.windows(2) {
        assert_eq!(pair[1].sequence, pair[0].sequence.wrapping_add(1));
    }
}

#[test]
fn a_change_too_early_is_held_and_the_latest_wins() {
    let mut sender = sender(|_| {}, &[1]);
    let mut noted = Vec::new();
    for (at, value) in [(0.0, 1), (5.0, 2), (10.0, 3)] {
        sender.update(&frames(&[(1, value)]));
        note(&mut sender, ms(at), &mut noted);
    }
    assert_eq!(noted.len(), 1);
    note(&mut sender, ms(22.726), &mut noted);
    assert_eq!(noted.len(), 1, "44 Hz at most");
    sender.discovery_due(ms(0.0)).for_each(drop);
    assert_eq!(sender.next_due(), Some(ms(22.727)));
    note(&mut sender, ms(22.727), &mut noted);
    assert_eq!(noted.iter().map(|packet| packet.first_slot).collect::<Vec<_>>(), [1, 3]);
}

#[test]
fn ends_with_three_packets_each_even_in_a_tight_loop() {
    let mut sender = sender(|_| {}, &[1, 2, 3]);
    sender.update(&frames(&[(1, 50), (2, 60)]));
    let mut noted = Vec::new();
    note(&mut sender, ms(0.0), &mut noted);
    sender.terminate();
    noted.clear();
    // The shortest exit: straight from one due moment to the next.
    let mut now = ms(1.0);
    while !sender.is_finished() {
        now = now.max(sender.next_due().unwrap());
        note(&mut sender, now, &mut noted);
    }
    assert_eq!(moments(&noted, 1), [22, 45, 68]);
    assert_eq!(moments(&noted, 2), [22, 45, 68]);
    assert_eq!(moments(&noted, 3), [0; 0], "never began, so has nothing to end");
    assert!(noted.iter().all(|packet| packet.terminated));
    assert_eq!(noted.iter().map(|packet| packet.sequence).collect::<Vec<_>>(), [2, 2, 3, 3, 4, 4]);
    sender.update(&frames(&[(1, 99)]));
    assert_eq!((sender.due(ms(9000.0)).count(), sender.next_due()), (0, None), "nothing after the end");
    assert_eq!(sender.discovery_due(ms(60_000.0)).count(), 0);
}

#[test]
fn lists_its_universes_every_ten_seconds() {
    let mut sender = sender(|_| {}, &[300, 2, 1, 300]);
    let listed = |sender: &mut Sender, at| -> Vec<Vec<u16>> {
        let pages = sender.discovery_due(ms(at)).map(|bytes| {
            let Ok(Packet::Discovery(page)) = Packet::parse(bytes) else { panic!("not a discovery packet") };
            page.universes().map(Universe::number).collect()
        });
        pages.collect()
    };
    let mut moments = Vec::new();
    for at in (0..35_000).step_by(25) {
        for page in listed(&mut sender, f64::from(at)) {
            assert_eq!(page, [1, 2, 300]);
            moments.push(at);
        }
    }
    assert_eq!(moments, [0, 10_000, 20_000, 30_000]);
    // A change is told at once, and the one that has gone is not in it.
    sender.set_universes([1, 4].map(universe));
    assert_eq!(listed(&mut sender, 35_000.0), [vec![1, 4]]);
    assert_eq!(listed(&mut sender, 44_999.0), Vec::<Vec<u16>>::new());
    assert_eq!(listed(&mut sender, 45_000.0), [vec![1, 4]]);
}

#[test]
fn universes_come_and_go_without_disturbing_the_others() {
    let mut sender = sender(|_| {}, &[1, 2]);
    let levels = frames(&[(1, 10), (2, 20), (3, 30)]);
    let mut noted = run(&mut sender, 1000, |_| levels.clone());
    sender.set_universes([2, 3].map(universe));
    let before = noted.len();
    for tick in (1000..3000).step_by(25) {
        sender.update(&levels);
        note(&mut sender, Instant::from_micros(tick * 1000), &mut noted);
    }
    let after = &noted[before..];
    assert_eq!(moments(after, 1), [1000, 1025, 1050]);
    assert!(after.iter().all(|packet| packet.terminated == (packet.universe == 1)));
    assert_eq!(moments(after, 2), [1850, 2750], "its keep-alives go on as they were");
    assert_eq!(moments(after, 3)[..3], [1000, 1025, 1050]);
    let second: Vec<u8> =
        noted.iter().filter(|packet| packet.universe == 2).map(|packet| packet.sequence).collect();
    assert_eq!(second, (1..=second.len() as u8).collect::<Vec<_>>());
    sender.set_universes([2, 3].map(universe));
    assert_eq!(sender.universes().map(Universe::number).collect::<Vec<_>>(), [2, 3]);
}

#[test]
fn synchronisation_follows_each_burst() {
    let mut sender = sender(|settings| settings.sync = Some(universe(9)), &[1, 2]);
    sender.update(&frames(&[(1, 1), (2, 2)]));
    assert_eq!(sender.sync_due(ms(0.0)), None, "nothing to release yet");
    for (_, bytes) in sender.due(ms(0.0)) {
        assert_eq!(DataPacket::parse(bytes).unwrap().sync_address, Some(universe(9)));
    }
    assert_eq!(sender.sync_due(ms(0.9)), None, "a little after the data");
    let Packet::Sync(first) = Packet::parse(sender.sync_due(ms(1.0)).unwrap()).unwrap() else {
        panic!("not sync")
    };
    assert_eq!((first.cid, first.address, first.sequence), (CID, universe(9), 1));
    assert_eq!(sender.sync_due(ms(2.0)), None, "one for each burst");
    assert_eq!(sender.due(ms(25.0)).count(), 2);
    let Packet::Sync(second) = Packet::parse(sender.sync_due(ms(26.0)).unwrap()).unwrap() else {
        panic!("not sync")
    };
    assert_eq!(second.sequence, 2);
}

#[test]
fn synchronisation_is_no_faster_than_the_data() {
    let mut sender = sender(|settings| settings.sync = Some(universe(9)), &[1, 2]);
    sender.update(&frames(&[(1, 1)]));
    assert_eq!(sender.due(ms(0.0)).count(), 1);
    assert!(sender.sync_due(ms(1.0)).is_some());
    // The other universe begins out of step.
    sender.update(&frames(&[(1, 1), (2, 2)]));
    assert_eq!(sender.due(ms(10.0)).count(), 1);
    assert_eq!(sender.sync_due(ms(23.0)), None);
    assert!(sender.sync_due(ms(23.727)).is_some());
}

proptest! {
    /// Whatever changes when, and however late the ticks come, each universe keeps the rules.
    #[test]
    fn keeps_the_rules_on_any_clock(
        ticks in proptest::collection::vec((100_i64..40_000, any::<bool>()), 1..300), continuous: bool,
    ) {
        let mut sender = sender(|settings| settings.continuous = continuous, &[1]);
        let (mut now, mut value, mut last_change, mut noted) = (Instant::ZERO, 0_u8, Instant::ZERO, Vec::new());
        let quiet = std::iter::repeat_n((25_000, false), 120); // three seconds to settle at the end
        for (step_us, change) in ticks.into_iter().chain(quiet) {
            now = now + Span::from_micros(step_us);
            if change {
                (value, last_change) = (value.wrapping_add(1), now);
            }
            sender.update(&frames(&[(1, value)]));
            note(&mut sender, now, &mut noted);
        }
        for pair in noted.windows(2) {
            let gap = pair[1].at - pair[0].at;
            prop_assert!(gap >= Span::from_micros(22_727), "{:?}", gap);
            prop_assert!(gap <= Span::from_millis(940), "{:?}: keep-alive and one late tick", gap);
            prop_assert_eq!(pair[1].sequence, pair[0].sequence.wrapping_add(1));
        }
        let settled: Vec<_> = noted.iter().filter(|packet| packet.at >= last_change).collect();
        prop_assert!(settled.iter().all(|packet| packet.first_slot == value));
        if !continuous {
            let close = settled.windows(2).take_while(|pair| pair[1].at - pair[0].at < Span::from_millis(100)).count();
            prop_assert!(last_change == Instant::ZERO || close + 1 == 3, "{} settled packets", close + 1);
            let idle = settled.windows(2).skip(close);
            prop_assert!(idle.map(|pair| pair[1].at - pair[0].at).all(|gap| gap >= Span::from_millis(800)));
        }
    }
}
