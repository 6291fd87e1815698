//! Small rigs for the tests of this crate.

use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{Body, Data, Kind, Menu, Movement, Optics, Power, Profile};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use lanthorn_physics::Point;
use lanthorn_physics::units::{Metres, Radians, Seconds};

use crate::rig::{Limits, Mains, WayUp};
use crate::{Found, HangingPlace, PlaceKind, Rig, Room, Run, Unit};

/// One head with 16-bit pan and tilt and a dimmer, on a bar 5 m up.
pub(crate) fn rig_with_head(pan_travel: Radians, tilt_travel: Radians) -> Rig {
    let channels = vec![
        channel("pan", 1, Some(2), Attribute::Pan),
        channel("tilt", 3, Some(4), Attribute::Tilt),
        channel("dimmer", 5, None, Attribute::Dimmer),
    ];
    let movement = Movement {
        pan_travel: Fact::stated(pan_travel),
        tilt_travel: Fact::stated(tilt_travel),
        pan_time: Fact::stated(Seconds::new(3.5)),
        tilt_time: Fact::stated(Seconds::new(2.0)),
        pan_acceleration: Fact::stated(Seconds::new(0.5)),
        tilt_acceleration: Fact::stated(Seconds::new(0.5)),
    };
    rig(Arc::new(profile(Kind::WashHead, channels, Some(movement))), 1)
}

/// So many fixed lights with a dimmer each.
pub(crate) fn rig_of(lights: u32) -> Rig {
    rig(Arc::new(profile(Kind::Fresnel, vec![channel("dimmer", 1, None, Attribute::Dimmer)], None)), lights)
}

/// So many strobes with a dimmer each, a flash to twenty-five a second.
pub(crate) fn strobes(lights: u32) -> Rig {
    let mut rate = channel("rate", 2, None, Attribute::Shutter1Strobe);
    rate.ranges[0].from = 10;
    rate.ranges[0].physical = Some((1.0, 25.0));
    let open = Range { from: 0, to: 9, physical: None, kind: RangeKind::Nothing, ..rate.ranges[0].clone() };
    rate.ranges.insert(0, open);
    let channels = vec![channel("dimmer", 1, None, Attribute::Dimmer), rate];
    rig(Arc::new(profile(Kind::Strobe, channels, None)), lights)
}

fn rig(profile: Arc<Profile>, lights: u32) -> Rig {
    let unit = |number: u32| Unit {
        number,
        profile: profile.clone(),
        mode: 0,
        place: 0,
        offset: Metres::ZERO,
        up: WayUp::Hanging,
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: None,
        run: Run::Driven { address: Address::new(1, number * 10).ok(), shares: None },
        circuit: None,
        line: None,
        line_order: 0,
        feed: crate::Feed::default(),
        case: None,
        found: Found::default(),
    };
    Rig {
        room: Room {
            name: "hall".to_owned(),
            x: [Metres::new(-5.0), Metres::new(5.0)],
            y: [Metres::new(-8.0), Metres::new(4.0)],
            height: Metres::new(6.0),
            platforms: Vec::new(),
            audience: Vec::new(),
            furniture: Vec::new(),
            marks: Vec::new(),
            places: vec![HangingPlace {
                name: "bar".to_owned(),
                kind: PlaceKind::Bar,
                middle: Point::new(0.0, 0.0, 5.0),
                length: Metres::new(6.0),
                turn: Radians::ZERO,
                rated: None,
                own_weight: None,
                held: crate::Held::default(),
            }],
        },
        units: (1..=lights).map(unit).collect(),
        groups: Vec::new(),
        circuits: Vec::new(),
        controller: None,
        mains: Mains::default(),
        limits: Limits::default(),
        stock: crate::Stock::default(),
    }
}

fn profile(kind: Kind, channels: Vec<Channel>, movement: Option<Movement>) -> Profile {
    Profile {
        name: "test light".to_owned(),
        kind,
        body: Body::default(),
        power: Power::default(),
        data: Data::default(),
        movement,
        optics: Optics::default(),
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::unknown(),
        programmes: Vec::new(),
        kept: Vec::new(),
        menu: Menu::default(),
        modes: vec![Mode {
            name: "short".to_owned(),
            menu: Fact::unknown(),
            breaks: Vec::new(),
            heads: 1,
            channels,
        }],
    }
}

fn channel(name: &str, coarse: u16, fine: Option<u16>, attribute: Attribute) -> Channel {
    let range = Range {
        from: 0,
        to: if fine.is_some() { u16::MAX } else { 255 },
        attribute,
        kind: RangeKind::Level,
        direction: Sense::Up,
        physical: None,
        slot: None,
        when: None,
        hold: None,
        danger: None,
        label: name.to_owned(),
        origin: Origin::Stated,
    };
    Channel { name: name.to_owned(), coarse, fine, head: None, home: Fact::unknown(), ranges: vec![range] }
}
