//! Rigs of any size that keep every slot moving, for tests and benches.

use std::sync::Arc;

use lanthorn_dmx::Address;
use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{Body, Data, Kind, Menu, Movement, Optics, Power, Profile};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Range};
use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::units::{Metres, Radians, Seconds};
use lanthorn_physics::{Point, Span};
use lanthorn_rig::rig::{Limits, Mains, WayUp};
use lanthorn_rig::{Found, HangingPlace, Mark, PlaceKind, Rig, Room, Run, Unit};
use lanthorn_show::{Aim, Ask, Chase, Level, Look, Order, Part, Show, Spread, Step, StepTime, Swing, Who};

/// Slots of one head: pan, tilt, dimmer, red, green, blue, white, two bytes each.
pub(crate) const FOOTPRINT: usize = 14;
/// Heads that fill a universe but for its last eight slots.
pub(crate) const HEADS: usize = 512 / FOOTPRINT;

const MARKS: [(&str, Point); 3] = [
    ("cake", Point::new(2.0, 1.0, 0.9)),
    ("door", Point::new(-4.0, -6.0, 1.5)),
    ("floor", Point::new(0.0, -3.0, 0.0)),
];

/// So many universes full of 16-bit RGBW heads on a bar.
pub(crate) fn rig_of(universes: usize) -> Rig {
    let profile = Arc::new(profile());
    let unit = |index: usize| Unit {
        number: index as u32 + 1,
        profile: profile.clone(),
        mode: 0,
        place: 0,
        offset: Metres::new((index % HEADS) as f64 / HEADS as f64 * 6.0 - 3.0),
        up: if index.is_multiple_of(2) { WayUp::Hanging } else { WayUp::Standing },
        turn: Radians::ZERO,
        lean: Radians::ZERO,
        pan_invert: false,
        tilt_invert: false,
        swap: false,
        focus: None,
        run: Run::Driven {
            address: Address::new((index / HEADS) as u32 + 1, (index % HEADS * FOOTPRINT) as u32 + 1).ok(),
            shares: None,
        },
        circuit: None,
        line: None,
        line_order: 0,
        feed: lanthorn_rig::Feed::default(),
        case: None,
        found: Found::default(),
    };
    Rig {
        room: room(),
        units: (0..universes * HEADS).map(unit).collect(),
        groups: Vec::new(),
        circuits: Vec::new(),
        controller: None,
        mains: Mains::default(),
        limits: Limits::default(),
        stock: lanthorn_rig::Stock::default(),
    }
}

/// A chase that starts with the show: all heads wander between three marks and three colours, each head's colour and
/// level its own, without ever standing still.
pub(crate) fn show() -> Show {
    let colours = [(0.6915, 0.3084), (0.162, 0.733), (0.1495, 0.0309)];
    let ask = |(x, y)| Ask { text: "a colour".to_owned(), chromaticity: Chromaticity::new(x, y) };
    let look = |index: usize| {
        let part = Part {
            aim: Some(Aim::Mark(MARKS[index].0.to_owned())),
            colours: (0..3).map(|place| ask(colours[(index + place) % 3])).collect(),
            colour_spread: Spread::InOrder,
            level: Level(0.4 + 0.2 * index as f64),
            level_to: Some(Level(0.9 - 0.2 * index as f64)),
            level_spread: Spread::InOrder,
            ..Part::of(Who::All)
        };
        Look { name: format!("look {index}"), fade: Span::from_secs(1.0), parts: vec![part] }
    };
    let time = StepTime::Time(Span::from_secs(2.0));
    let step = |index: usize| Step { look: format!("look {index}"), time, fade: time };
    let chase = Chase {
        name: "wander".to_owned(),
        steps: (0..3).map(step).collect(),
        order: Order::Forward,
        swing: Swing::EVEN,
        rounds: None,
        calm: false,
        at_each: None,
        fade: Span::ZERO,
    };
    Show {
        name: "wander".to_owned(),
        looks: (0..3).map(look).collect(),
        chases: vec![chase],
        start: Some("wander".to_owned()),
        ..Show::default()
    }
}

fn room() -> Room {
    Room {
        name: "hall".to_owned(),
        x: [-5.0, 5.0].map(Metres::new),
        y: [-8.0, 4.0].map(Metres::new),
        height: Metres::new(6.0),
        platforms: Vec::new(),
        audience: Vec::new(),
        furniture: Vec::new(),
        marks: MARKS.iter().map(|&(name, at)| Mark { name: name.to_owned(), at }).collect(),
        places: vec![HangingPlace {
            name: "bar".to_owned(),
            kind: PlaceKind::Bar,
            middle: Point::new(0.0, 0.0, 5.0),
            length: Metres::new(6.0),
            turn: Radians::ZERO,
            rated: None,
            own_weight: None,
            held: lanthorn_rig::Held::default(),
        }],
    }
}

fn profile() -> Profile {
    use Attribute::{ColorAddB, ColorAddG, ColorAddR, ColorAddW, Dimmer, Pan, Tilt};
    let channels = [Pan, Tilt, Dimmer, ColorAddR, ColorAddG, ColorAddB, ColorAddW];
    let channels = channels.into_iter().zip(0..).map(|(attribute, place)| channel(attribute, 2 * place + 1));
    Profile {
        name: "sixteen-bit wash head".to_owned(),
        kind: Kind::WashHead,
        body: Body::default(),
        power: Power::default(),
        data: Data::default(),
        movement: Some(Movement {
            pan_travel: Fact::stated(Radians::from_deg(540.0)),
            tilt_travel: Fact::stated(Radians::from_deg(220.0)),
            pan_time: Fact::stated(Seconds::new(2.5)),
            tilt_time: Fact::stated(Seconds::new(1.5)),
            pan_acceleration: Fact::stated(Seconds::new(0.3)),
            tilt_acceleration: Fact::stated(Seconds::new(0.3)),
        }),
        optics: Optics::default(),
        emitters: Vec::new(),
        wheels: Vec::new(),
        noise: Fact::unknown(),
        programmes: Vec::new(),
        kept: Vec::new(),
        menu: Menu::default(),
        modes: vec![Mode {
            name: "14 channels".to_owned(),
            menu: Fact::unknown(),
            breaks: Vec::new(),
            heads: 1,
            channels: channels.collect(),
        }],
    }
}

fn channel(attribute: Attribute, coarse: u16) -> Channel {
    let range = Range {
        from: 0,
        to: u16::MAX,
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
    };
    Channel {
        name: "channel".to_owned(),
        coarse,
        fine: Some(coarse + 1),
        head: None,
        home: Fact::unknown(),
        ranges: vec![range],
    }
}
