//! Rigs built by hand.

use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{Addressing, Body, Data, Kind, Menu, Optics, Power, Profile, Programme};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use lanthorn_physics::Point;
use lanthorn_physics::units::{Amps, Kilograms, Metres, Radians, Watts};
use lanthorn_rig::rig::{Limits, Mains, WayUp};
use lanthorn_rig::{Area, Circuit, Found, HangingPlace, Mark, PlaceKind, Rig, Room, Run, Unit};

/// A light of four channels whose address is set by switches.
pub(crate) fn profile(name: &str, kind: Kind) -> Profile {
    let channel = |coarse: u16| {
        let range = Range {
            from: 0,
            to: 255,
            attribute: Attribute::Dimmer,
            kind: RangeKind::Level,
            direction: Sense::Up,
            physical: None,
            slot: None,
            when: None,
            hold: None,
            danger: None,
            label: "dimmer".to_owned(),
            origin: Origin::Stated,
        };
        Channel {
            name: format!("dimmer {coarse}"),
            coarse,
            fine: None,
            head: None,
            home: Fact::unknown(),
            ranges: vec![range],
        }
    };
    let programme =
        Programme { name: "slow colours".to_owned(), sound: false, menu: "Auto → 3".to_owned() };
    Profile {
        name: name.to_owned(),
        kind,
        body: Body { weight: Fact::stated(Kilograms::new(2.5)), ..Body::default() },
        power: Power { watts: Fact::stated(Watts::new(60.0)), ..Power::default() },
        data: Data { addressing: Fact::stated(Addressing::Dip), ..Data::default() },
        movement: None,
        optics: Optics::default(),
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::unknown(),
        programmes: vec![programme],
        kept: Vec::new(),
        menu: Menu {
            leader: Fact::stated("Head of the chain".to_owned()),
            follower: Fact::stated("Tail of the chain".to_owned()),
            ..Menu::default()
        },
        modes: vec![Mode {
            breaks: Vec::new(),
            name: "4 channels".to_owned(),
            menu: Fact::stated("Mode → 4".to_owned()),
            heads: 1,
            channels: (1..=4).map(channel).collect(),
        }],
    }
}

/// So many lights on a bar and a truss, driven, on two circuits and two lines.
pub(crate) fn crowd(lights: u32) -> Rig {
    let kinds = [Kind::Par, Kind::SpotHead, Kind::WashHead, Kind::Fresnel, Kind::Bar, Kind::Strobe];
    let profiles: Vec<Arc<Profile>> =
        kinds.iter().map(|kind| Arc::new(profile(&format!("{kind:?} light"), *kind))).collect();
    let half = f64::from(lights.div_ceil(2).max(2) - 1);
    let unit = |number: u32| Unit {
        number,
        profile: profiles[(number as usize - 1) % profiles.len()].clone(),
        mode: 0,
        place: usize::from(number.is_multiple_of(2)),
        offset: Metres::new(f64::from((number - 1) / 2) / half * 7.6 - 3.8),
        up: WayUp::Hanging,
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: Some(Point::new(0.0, -2.0, 1.6)),
        run: Run::Driven { address: Address::new(1, (number - 1) * 4 + 1).ok(), shares: None },
        circuit: Some(number as usize % 2),
        line: Some(if number.is_multiple_of(2) { "back" } else { "front" }.to_owned()),
        line_order: number,
        found: Found::default(),
        feed: lanthorn_rig::Feed::default(),
        case: None,
    };
    let circuit = |name: &str, x: f64| Circuit {
        name: name.to_owned(),
        breaker: Amps::new(16.0),
        other_load: None,
        at: Some(Point::new(x, 0.0, 0.3)),
        ..Circuit::new(String::new(), Amps::ZERO)
    };
    let metres = |pair: [f64; 2]| pair.map(Metres::new);
    let area = |name: &str, y: [f64; 2], height: f64| Area {
        name: name.to_owned(),
        x: metres([-4.0, 4.0]),
        y: metres(y),
        height: Metres::new(height),
    };
    Rig {
        room: Room {
            name: "test hall".to_owned(),
            x: metres([-5.0, 5.0]),
            y: metres([-9.0, 4.0]),
            height: Metres::new(5.0),
            platforms: vec![area("stage", [0.0, 4.0], 0.5)],
            audience: vec![area("seats", [-8.0, -1.0], 0.0)],
            furniture: Vec::new(),
            marks: vec![Mark { name: "singer".to_owned(), at: Point::new(0.0, 1.0, 2.1) }],
            places: vec![
                place("front bar", PlaceKind::Bar, -1.0, 3.5),
                place("back truss", PlaceKind::Truss, 2.5, 4.2),
            ],
        },
        units: (1..=lights).map(unit).collect(),
        groups: Vec::new(),
        circuits: vec![circuit("kitchen", 4.9), circuit("stage, left", -4.9)],
        controller: Some(Point::new(-4.5, -8.5, 0.8)),
        mains: Mains::default(),
        stock: lanthorn_rig::Stock::default(),
        limits: Limits::default(),
    }
}

/// A bar or truss of eight metres.
fn place(name: &str, kind: PlaceKind, y: f64, z: f64) -> HangingPlace {
    HangingPlace {
        name: name.to_owned(),
        kind,
        middle: Point::new(0.0, y, z),
        length: Metres::new(8.0),
        turn: Radians::ZERO,
        rated: Some(Kilograms::new(200.0)),
        own_weight: None,
        held: lanthorn_rig::Held::default(),
    }
}
