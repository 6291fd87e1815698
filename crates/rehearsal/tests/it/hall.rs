//! A hall and lights whose charts are written by hand.

#![expect(clippy::unwrap_used, reason = "a helper of tests")]

use std::sync::Arc;

use lanthorn_dmx::{Address, Frames};
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{
    Body, Data, Emitter, Kind, Menu, Movement, Optics, Power, Profile, Response,
};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Candela, Metres, Radians, Seconds};
use lanthorn_physics::{Instant, Point};
use lanthorn_rig::rig::{Limits, Mains, WayUp};
use lanthorn_rig::{Area, Found, HangingPlace, PlaceKind, Rig, Room, Run, Unit};

pub(crate) const RED: Chromaticity = Chromaticity::new(0.6915, 0.3084);

/// The bar is 4 m up and 2 m before the stage front; the stand is 2 m up, far left.
pub(crate) fn room() -> Room {
    let place = |name: &str, kind, middle| HangingPlace {
        name: name.to_owned(),
        kind,
        middle,
        length: Metres::new(6.0),
        turn: Radians::ZERO,
        rated: None,
        own_weight: None,
        held: lanthorn_rig::Held::default(),
    };
    let stage = Area {
        name: "stage".to_owned(),
        x: [-3.0, 3.0].map(Metres::new),
        y: [0.0, 3.0].map(Metres::new),
        height: Metres::new(0.8),
    };
    Room {
        name: "hall".to_owned(),
        x: [-6.0, 6.0].map(Metres::new),
        y: [-10.0, 4.0].map(Metres::new),
        height: Metres::new(5.0),
        platforms: vec![stage],
        audience: Vec::new(),
        furniture: Vec::new(),
        marks: Vec::new(),
        places: vec![
            place("bar", PlaceKind::Bar, Point::new(0.0, -2.0, 4.0)),
            place("stand", PlaceKind::Stand, Point::new(-4.0, -3.0, 2.0)),
        ],
    }
}

pub(crate) fn rig(units: Vec<Unit>) -> Arc<Rig> {
    Arc::new(Rig {
        room: room(),
        units,
        groups: Vec::new(),
        circuits: Vec::new(),
        controller: None,
        mains: Mains::default(),
        limits: Limits::default(),
        stock: lanthorn_rig::Stock::default(),
    })
}

pub(crate) fn unit(number: u32, profile: &Arc<Profile>) -> Unit {
    Unit {
        number,
        profile: Arc::clone(profile),
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
        run: Run::Driven { address: Address::new(1, 1 + (number - 1) * 20).ok(), shares: None },
        circuit: None,
        line: None,
        line_order: 0,
        feed: lanthorn_rig::Feed::default(),
        case: None,
        found: Found::default(),
    }
}

/// Pan and tilt in 16 bit, then dimmer, shutter, red, green, blue in 8 bit: nine channels.
pub(crate) fn head() -> Arc<Profile> {
    let movement = Movement {
        pan_travel: Fact::stated(Radians::from_deg(540.0)),
        tilt_travel: Fact::stated(Radians::from_deg(270.0)),
        pan_time: Fact::stated(Seconds::new(3.5)),
        tilt_time: Fact::stated(Seconds::new(2.0)),
        pan_acceleration: Fact::stated(Seconds::new(0.5)),
        tilt_acceleration: Fact::stated(Seconds::new(0.5)),
    };
    let shutter = Channel {
        ranges: vec![
            range(0, 9, Attribute::Shutter1, RangeKind::Fixed, Some((0.0, 0.0))),
            range(10, 199, Attribute::Shutter1Strobe, RangeKind::Level, Some((1.0, 20.0))),
            range(200, 255, Attribute::Shutter1, RangeKind::Fixed, Some((1.0, 1.0))),
        ],
        ..channel("shutter", 6, None, None, Attribute::Shutter1)
    };
    let channels = vec![
        channel("pan", 1, Some(2), None, Attribute::Pan),
        channel("tilt", 3, Some(4), None, Attribute::Tilt),
        channel("dimmer", 5, None, None, Attribute::Dimmer),
        shutter,
        channel("red", 7, None, None, Attribute::ColorAddR),
        channel("green", 8, None, None, Attribute::ColorAddG),
        channel("blue", 9, None, None, Attribute::ColorAddB),
    ];
    Arc::new(Profile {
        movement: Some(movement),
        emitters: emitters(),
        ..profile("small wash head", Kind::WashHead, 1, channels)
    })
}

/// Four heads of one dimmer channel each.
pub(crate) fn bar() -> Arc<Profile> {
    let channels = (0..4)
        .map(|head| channel("dimmer", u16::from(head) + 1, None, Some(head), Attribute::Dimmer))
        .collect();
    Arc::new(profile("four-head bar", Kind::Bar, 4, channels))
}

pub(crate) fn hazer() -> Arc<Profile> {
    let channels = vec![
        channel("haze", 1, None, None, Attribute::Haze1),
        channel("fan", 2, None, None, Attribute::Fan1),
    ];
    Arc::new(profile("hazer", Kind::Hazer, 1, channels))
}

fn profile(name: &str, kind: Kind, heads: u8, channels: Vec<Channel>) -> Profile {
    Profile {
        name: name.to_owned(),
        kind,
        body: Body {
            width: Fact::stated(Metres::new(0.8)),
            depth: Fact::stated(Metres::new(0.2)),
            height: Fact::stated(Metres::new(0.4)),
            weight: Fact::unknown(),
        },
        power: Power::default(),
        data: Data::default(),
        movement: None,
        optics: Optics {
            beam: Fact::stated(Radians::from_deg(20.0)),
            field: Fact::stated(Radians::from_deg(30.0)),
            peak: Fact::stated(Candela::new(8000.0)),
            flux: Fact::unknown(),
            response: Fact::stated(Response::Linear),
            measured: None,
        },
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::unknown(),
        programmes: Vec::new(),
        kept: Vec::new(),
        menu: Menu::default(),
        modes: vec![Mode {
            name: "only".to_owned(),
            menu: Fact::unknown(),
            breaks: Vec::new(),
            heads,
            channels,
        }],
    }
}

fn emitters() -> Vec<Emitter> {
    [
        ("red", Attribute::ColorAddR, RED, 0.30),
        ("green", Attribute::ColorAddG, Chromaticity::new(0.162, 0.733), 0.65),
        ("blue", Attribute::ColorAddB, Chromaticity::new(0.1495, 0.0309), 0.11),
    ]
    .map(|(name, attribute, chromaticity, output)| Emitter {
        name: name.to_owned(),
        attribute,
        chromaticity: Fact::stated(chromaticity),
        output: Fact::stated(output),
        watts: Fact::unknown(),
    })
    .to_vec()
}

fn channel(name: &str, coarse: u16, fine: Option<u16>, head: Option<u8>, attribute: Attribute) -> Channel {
    let full = if fine.is_some() { u16::MAX } else { 255 };
    let ranges = vec![range(0, full, attribute, RangeKind::Level, None)];
    Channel { name: name.to_owned(), coarse, fine, head, home: Fact::unknown(), ranges }
}

fn range(from: u16, to: u16, attribute: Attribute, kind: RangeKind, physical: Option<(f64, f64)>) -> Range {
    Range {
        from,
        to,
        attribute,
        kind,
        direction: Sense::Up,
        physical,
        slot: None,
        when: None,
        hold: None,
        danger: None,
        label: String::new(),
        origin: Origin::Stated,
    }
}

/// One universe with these values from its first slot on.
pub(crate) fn frames(values: &[u8]) -> Frames {
    let address = Address::new(1, 1).unwrap();
    let mut frames = Frames::dark([address.universe]);
    frames.get_mut(address.universe).unwrap().0[..values.len()].copy_from_slice(values);
    frames
}

pub(crate) fn at(secs: f64) -> Instant {
    Instant::from_secs(secs)
}
