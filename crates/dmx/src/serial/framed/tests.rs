use proptest::prelude::*;

use super::*;

/// All packets found in the pieces, in order.
fn read_all(pieces: &[&[u8]]) -> Vec<(u8, Vec<u8>)> {
    let mut parser = Parser::new();
    let mut found = Vec::new();
    for piece in pieces {
        let mut input = *piece;
        while let Some(message) = parser.read(&mut input) {
            found.push((message.label, message.data.to_vec()));
        }
        assert!(input.is_empty());
    }
    found
}

#[test]
fn send_packet_byte_by_byte() {
    let mut sender = Sender::new(None);
    assert_eq!(sender.due(Instant::ZERO), None, "no values yet");
    let mut frame = Frame::DARK;
    frame.0[0] = 1;
    frame.0[511] = 255;
    sender.update(&frame);
    let packet = sender.due(Instant::ZERO).unwrap();
    // Label 6, 513 bytes, start code, slots: 518 bytes in all.
    assert_eq!(packet.len(), 518);
    assert_eq!(packet[..7], [0x7E, 6, 0x01, 0x02, 0, 1, 0]);
    assert_eq!(packet[515..], [0, 255, 0xE7]);
}

#[test]
fn sends_on_change_no_faster_than_the_device() {
    let mut sender = Sender::new(Some(Hertz::new(20.0)));
    let mut frame = Frame::DARK;
    let mut sent = Vec::new();
    for ms in 0..2000 {
        frame.0[3] = (ms / 10).min(20) as u8; // changes each 10 ms until 200 ms
        sender.update(&frame);
        if sender.due(Instant::from_micros(ms * 1000)).is_some() {
            sent.push(ms);
        }
    }
    assert_eq!(sent, [0, 50, 100, 150, 200, 250, 300, 1200]);
}

#[test]
fn answers() {
    assert_eq!(GET_PARAMETERS[..], Message { label: 3, data: &[0, 0] }.write().unwrap());
    assert_eq!(GET_SERIAL_NUMBER[..], Message { label: 10, data: &[] }.write().unwrap());
    let parameters = Parameters::parse(&[0x04, 0x01, 9, 1, 40]).unwrap();
    assert_eq!((parameters.firmware, parameters.rate), (0x0104, Some(Hertz::new(40.0))));
    assert!((parameters.break_us - 96.03).abs() < 1e-9 && (parameters.mab_us - 10.67).abs() < 1e-9);
    assert_eq!(Parameters::parse(&[0, 1, 9, 1, 0]).unwrap().rate, None);
    assert_eq!(Parameters::parse(&[0, 1, 9, 1]), None);
    assert_eq!(serial_number(&[0x78, 0x56, 0x34, 0x12]), Some(12_345_678));
    assert_eq!(serial_number(&[0x7A, 0, 0, 0]), None);
    assert_eq!(Message { label: 6, data: &[0; 601] }.write(), None);
}

#[test]
fn finds_its_place_again() {
    let good = Message { label: 10, data: &[1, 2, 3, 4] }.write().unwrap();
    let expected = (10, vec![1, 2, 3, 4]);
    // Garbage before, a packet without its end, a length that cannot be, a start byte among the data.
    for garbage in
        [&[0x00, 0xE7, 0x55][..], &[0x7E, 5, 1, 0, 9, 9], &[0x7E, 5, 0xFF, 0xFF], &[0x7E, 0x7E, 0x7E]]
    {
        let bytes = [garbage, &good, &good].concat();
        assert_eq!(read_all(&[&bytes]), [expected.clone(), expected.clone()], "{garbage:02x?}");
    }
    // The start of a packet that never ends holds back what follows, until the port is quiet.
    let mut parser = Parser::new();
    let bytes = [&[0x7E, 5, 100, 0][..], &good].concat();
    assert_eq!(parser.read(&mut &bytes[..]), None);
    parser.quiet();
    assert_eq!(parser.read(&mut &[][..]), Some(Message { label: 10, data: &[1, 2, 3, 4] }));
}

proptest! {
    #[test]
    fn however_cut_up(
        messages in proptest::collection::vec((any::<u8>(), proptest::collection::vec(any::<u8>(), 0..=600)), 1..4),
        cut in 1_usize..700,
    ) {
        let written: Vec<Vec<u8>> =
            messages.iter().map(|(label, data)| Message { label: *label, data }.write().unwrap()).collect();
        let bytes = written.concat();
        let pieces: Vec<&[u8]> = bytes.chunks(cut).collect();
        prop_assert_eq!(read_all(&pieces), messages);
    }

    #[test]
    fn arbitrary_bytes_never_stop_it(bytes in proptest::collection::vec(
        prop_oneof![Just(0x7E), Just(0xE7), Just(0), Just(2), any::<u8>()], 0..2000)) {
        let mut parser = Parser::new();
        let mut input = &bytes[..];
        while parser.read(&mut input).is_some() {}
        prop_assert!(input.is_empty());
        for _ in 0..LONGEST {
            parser.quiet();
            while parser.read(&mut input).is_some() {}
        }
        // After enough quiet nothing is left over, and a good packet is read at once.
        let good = Message { label: 3, data: &[1] }.write().unwrap();
        prop_assert_eq!(parser.read(&mut &good[..]), Some(Message { label: 3, data: &[1] }));
    }
}
