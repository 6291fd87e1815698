//! Art-Net out, to a node that is listed.

use std::net::{Ipv4Addr, UdpSocket};
use std::time::Duration;

use lanthorn_dmx::artnet::{ArtPollReply, OutputPort, Packet, PortAddress};
use lanthorn_live::OutputSpec;
use lanthorn_live::output::OutputState;

use crate::{start, wait_for};

#[test]
fn a_listed_node_gets_every_universe_once_whether_or_not_it_answers() {
    let node = UdpSocket::bind("127.0.0.1:0").unwrap();
    node.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
    let (engine, _commands, mut snapshots) =
        start(2, &[OutputSpec::ArtNet { to: node.local_addr().ok(), interface: None }], 21);
    let mut buffer = [0; 1024];
    let (mut levels, mut polls, mut last) = ([0; 2], 0, [0; 2]);
    while levels.iter().sum::<u32>() < 40 || polls == 0 {
        let (length, from) = node.recv_from(&mut buffer).unwrap();
        match Packet::parse(&buffer[..length]).unwrap() {
            Packet::Dmx(packet) => {
                let universe = usize::from(packet.address.number());
                assert_eq!(packet.slots.len(), 512);
                if levels[universe] > 0 {
                    assert_eq!(packet.sequence, last[universe] % 255 + 1, "no gap, and nothing twice");
                }
                (levels[universe], last[universe]) = (levels[universe] + 1, packet.sequence);
            }
            Packet::Poll(_) => {
                polls += 1;
                let mut reply = ArtPollReply::controller(Ipv4Addr::LOCALHOST, "par node");
                reply.style = 0;
                let address = PortAddress::new(1).unwrap();
                reply.outputs[0] = Some(OutputPort { address, sending: true, merging: false });
                node.send_to(&reply.write(), from).unwrap();
            }
            other => panic!("unexpected: {other:?}"),
        }
    }
    let status = wait_for("the answer", || {
        let status = snapshots.latest().outputs[0];
        (status.nodes == 1).then_some(status)
    });
    assert_eq!(status.state, OutputState::Working);
    assert!(levels[0].abs_diff(levels[1]) <= 1, "{levels:?}");
    engine.stop();
}

#[test]
fn without_nodes_it_waits() {
    let interface = Some(Ipv4Addr::LOCALHOST);
    let (engine, _commands, mut snapshots) = start(1, &[OutputSpec::ArtNet { to: None, interface }], 22);
    wait_for("ticks", || (snapshots.latest().ticks.done > 20).then_some(()));
    let status = snapshots.latest().outputs[0];
    assert_eq!((status.state, status.sent, status.failed), (OutputState::Waiting, 0, 0));
    engine.stop();
}
