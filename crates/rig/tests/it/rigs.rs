//! Invented rigs to plan.

use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{
    Addressing, Body, Data, Kind, Menu, Movement, OnLoss, Optics, Power, Profile, Programme,
};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use lanthorn_physics::Point;
use lanthorn_physics::units::{Amps, Candela, Decibels, Kilograms, Lumens, Metres, Radians, Volts, Watts};
use lanthorn_rig::rig::{Limits, Mains, WayUp};
use lanthorn_rig::{Area, Circuit, Found, HangingPlace, Mark, PlaceKind, Rig, Room, Run, Unit};

/// A par of 7.5 kg with a dimmer, everything about it known.
pub(crate) fn par(channels: u16) -> Profile {
    let dimmer = |place: u16| channel(place, None, Attribute::Dimmer);
    Profile {
        name: "par".to_owned(),
        kind: Kind::Par,
        body: Body { weight: Fact::stated(Kilograms::new(7.5)), ..Body::default() },
        power: Power {
            watts: Fact::stated(Watts::new(303.0)),
            power_factor: Fact::stated(1.0),
            supply: Fact::stated((Volts::new(100.0), Volts::new(240.0))),
            through: Fact::stated(Amps::new(12.0)),
            ..Power::default()
        },
        data: Data {
            unit_load: Fact::stated(1.0),
            connector: Fact::unknown(),
            on_loss: Fact::stated(OnLoss::Hold),
            addressing: Fact::stated(Addressing::Menu),
            counts_from: Fact::unknown(),
            rdm: Fact::unknown(),
        },
        movement: None,
        optics: Optics {
            beam: Fact::stated(Radians::from_deg(20.0)),
            peak: Fact::stated(Candela::new(9000.0)),
            ..Optics::default()
        },
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::stated(Decibels::new(38.0)),
        kept: Vec::new(),
        programmes: vec![
            Programme { name: "slow change".to_owned(), sound: false, menu: "AUto → A1".to_owned() },
            Programme { name: "by sound".to_owned(), sound: true, menu: "Soun".to_owned() },
        ],
        menu: Menu {
            address: Fact::stated("Addr → d{address}".to_owned()),
            leader: Fact::stated("MAst".to_owned()),
            follower: Fact::stated("SL 1".to_owned()),
        },
        modes: vec![Mode {
            breaks: Vec::new(),
            name: format!("{channels} channels"),
            menu: Fact::stated(format!("CHnd → {channels}CH")),
            heads: 1,
            channels: (1..=channels).map(dimmer).collect(),
        }],
    }
}

/// A head with 540° of pan and 270° of tilt, coarse channels only.
pub(crate) fn head() -> Profile {
    let mut profile = par(1);
    profile.name = "head".to_owned();
    profile.kind = Kind::WashHead;
    profile.movement = Some(Movement {
        pan_travel: Fact::stated(Radians::from_deg(540.0)),
        tilt_travel: Fact::stated(Radians::from_deg(270.0)),
        ..Movement::default()
    });
    profile.optics.peak = Fact::unknown();
    profile.optics.flux = Fact::stated(Lumens::new(1371.0));
    profile.modes[0].channels = vec![
        channel(1, None, Attribute::Pan),
        channel(2, None, Attribute::Tilt),
        channel(3, None, Attribute::Dimmer),
    ];
    profile
}

pub(crate) fn channel(coarse: u16, fine: Option<u16>, attribute: Attribute) -> Channel {
    let to = if fine.is_some() { u16::MAX } else { 255 };
    Channel {
        name: attribute.name().to_owned(),
        coarse,
        fine,
        head: None,
        home: Fact::unknown(),
        ranges: vec![range(0, to, attribute)],
    }
}

pub(crate) fn range(from: u16, to: u16, attribute: Attribute) -> Range {
    Range {
        from,
        to,
        attribute,
        kind: RangeKind::Level,
        direction: Sense::Up,
        physical: None,
        slot: None,
        when: None,
        hold: None,
        danger: None,
        label: String::new(),
        origin: Origin::Stated,
    }
}

/// Lights of one kind on the bar, 0.5 m apart, numbered from 1, driven, addressed one after another.
pub(crate) fn rig(profile: Profile, count: u32) -> Rig {
    let profile = Arc::new(profile);
    let step = u32::from(profile.modes[0].footprint()).max(1);
    let unit = |number: u32| Unit {
        number,
        profile: profile.clone(),
        mode: 0,
        place: 0,
        offset: Metres::new(f64::from(number - 1) * 0.5 - f64::from(count - 1) * 0.25),
        up: WayUp::Hanging,
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: Some(Point::new(0.0, 0.0, 0.0)),
        run: Run::Driven { address: Address::new(1, (number - 1) * step + 1).ok(), shares: None },
        circuit: Some(0),
        line: None,
        line_order: 0,
        feed: lanthorn_rig::Feed::default(),
        case: None,
        found: Found::default(),
    };
    Rig {
        room: room(),
        units: (1..=count).map(unit).collect(),
        groups: Vec::new(),
        circuits: vec![Circuit {
            other_load: Some(Amps::ZERO),
            ..Circuit::new("kitchen".to_owned(), Amps::new(20.0))
        }],
        controller: Some(Point::new(0.0, -8.0, 1.0)),
        mains: Mains { volts: Volts::new(120.0), ..Mains::default() },
        limits: Limits::default(),
        stock: lanthorn_rig::Stock::default(),
    }
}

fn room() -> Room {
    let place = |name: &str, kind, z: f64, length: f64| HangingPlace {
        name: name.to_owned(),
        kind,
        middle: Point::new(0.0, 0.0, z),
        length: Metres::new(length),
        turn: Radians::ZERO,
        rated: Some(Kilograms::new(500.0)),
        own_weight: None,
        held: lanthorn_rig::Held::default(),
    };
    Room {
        name: "village hall".to_owned(),
        x: [Metres::new(-40.0), Metres::new(40.0)],
        y: [Metres::new(-12.0), Metres::new(4.0)],
        height: Metres::new(6.0),
        platforms: Vec::new(),
        audience: Vec::new(),
        furniture: Vec::new(),
        marks: vec![Mark { name: "cake".to_owned(), at: Point::new(0.0, 0.0, 0.0) }],
        places: vec![
            place("front bar", PlaceKind::Bar, 5.0, 60.0),
            place("left stand", PlaceKind::Stand, 2.2, 1.2),
            place("floor", PlaceKind::Floor, 0.0, 4.0),
        ],
    }
}

pub(crate) fn audience() -> Area {
    Area {
        name: "dance floor".to_owned(),
        x: [Metres::new(-4.0), Metres::new(4.0)],
        y: [Metres::new(-8.0), Metres::new(-1.0)],
        height: Metres::ZERO,
    }
}

impl Edit for Rig {}

/// Changes in the middle of a row of a table.
pub(crate) trait Edit: Sized {
    /// The same, changed.
    fn with(mut self, change: impl FnOnce(&mut Self)) -> Self {
        change(&mut self);
        self
    }
}

/// Drives a light from a start address.
pub(crate) fn driven(slot: u32, shares: Option<u32>) -> Run {
    Run::Driven { address: Address::new(1, slot).ok(), shares }
}

pub(crate) fn linked(leader: u32, programme: Option<&str>) -> Run {
    Run::Linked { leader, programme: programme.map(str::to_owned) }
}
