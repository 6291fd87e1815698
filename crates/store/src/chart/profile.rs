//! From a reading to a profile that a show can drive.

use lanthorn_fixture::mode::{Condition, Danger, RangeKind, Sense};
use lanthorn_fixture::profile::{Body, Data, Kind, Menu, Movement, Optics, Power, Wheel, WheelSlot};
use lanthorn_fixture::{Attribute, Channel, Emitter, Encoder, Fact, Mode, Origin, Profile, Range, UnitState};
use lanthorn_physics::units::{Radians, Seconds};

use super::understand::shortened;
use crate::reading::{ChannelReading, KindReading, ModeReading, RangeReading, Reading, Way};
use crate::words::DANGERS;

/// The profile that a reading gives. What a chart does not tell (weight, power, beam) is unknown.
pub fn profile(reading: &Reading, name: &str, kind: Option<Kind>) -> Profile {
    let modes: Vec<Mode> = reading.modes.iter().map(mode).collect();
    let has = |wanted: &dyn Fn(&Attribute) -> bool| {
        modes
            .iter()
            .flat_map(|mode| &mode.channels)
            .flat_map(|channel| &channel.ranges)
            .any(|range| wanted(&range.attribute))
    };
    let wheels = wheels(reading);
    let emitters = emitters(&modes);
    let moves = has(&|attribute| matches!(attribute, Attribute::Pan | Attribute::Tilt));
    let movement = moves.then(|| Movement {
        pan_travel: travel(reading, "Pan"),
        tilt_travel: travel(reading, "Tilt"),
        ..Movement::default()
    });
    let heads = modes.iter().map(|mode| mode.heads).max().unwrap_or(1);
    let guessed = if has(&|a| matches!(a, Attribute::Fog1 | Attribute::Haze1)) {
        Kind::Hazer
    } else if moves && (!wheels.is_empty() || has(&|a| matches!(a, Attribute::Gobo1 | Attribute::Prism1))) {
        Kind::SpotHead
    } else if moves {
        Kind::WashHead
    } else if !emitters.is_empty() && heads > 1 {
        Kind::Bar
    } else if !emitters.is_empty() {
        Kind::Par
    } else if has(&|a| matches!(a, Attribute::Shutter1Strobe)) {
        Kind::Strobe
    } else {
        Kind::Dimmer
    };
    Profile {
        name: name.to_owned(),
        kind: kind.unwrap_or(guessed),
        body: Body::default(),
        power: Power::default(),
        data: Data::default(),
        movement,
        optics: Optics::default(),
        emitters,
        wheels,
        noise: Fact::unknown(),
        programmes: Vec::new(),
        menu: Menu::default(),
        modes,
        kept: Vec::new(),
    }
}

/// Computes what each mode sends for steady light, and what every channel rests at.
pub(super) fn with_steady_light(reading: &mut Reading) {
    let whole = profile(reading, "", None);
    with_steady_light_of(&whole, reading);
}

/// The same for a profile and the reading of it.
pub(crate) fn with_steady_light_of(whole: &Profile, reading: &mut Reading) {
    for (index, mode) in reading.modes.iter_mut().enumerate() {
        let encoder = Encoder::new(whole, index);
        let has = |attr: &str| {
            mode.channels
                .iter()
                .flat_map(|channel| &channel.ranges)
                .any(|range| range.attr == attr && range.kind == KindReading::Level)
        };
        let mixes =
            mode.channels.iter().flat_map(|c| &c.ranges).any(|range| range.attr.starts_with("ColorAdd_"));
        mode.virtual_dimmer = !has("Dimmer") && mixes;
        let mut state = UnitState::dark(encoder.heads());
        for head in &mut state.heads {
            head.level = 1.0;
        }
        let mut slots = vec![0_u8; usize::from(encoder.footprint())];
        encoder.encode(&state, &mut slots);
        for channel in &mut mode.channels {
            channel.home = channel.home.or_else(|| {
                rests(channel)
                    .then(|| slots.get(usize::from(channel.ch) - 1).copied().map(u16::from))
                    .flatten()
            });
        }
        let gives = mode.channels.iter().flat_map(|channel| &channel.ranges).any(gives_light);
        let steady = gives && encoder.steady_light();
        mode.steady_on = steady.then_some(slots);
    }
}

/// A channel that has a value to stay at: neither light, colour nor aim.
fn rests(channel: &ChannelReading) -> bool {
    channel.ch > 0
        && !channel.ranges.iter().any(|range| {
            range.attr == "Dimmer"
                || range.attr.starts_with("ColorAdd_")
                || range.attr.starts_with("ColorSub_")
                || matches!(range.attr.as_str(), "Fog1" | "Haze1")
        })
}

fn gives_light(range: &RangeReading) -> bool {
    range.attr == "Dimmer"
        || range.attr.starts_with("ColorAdd_")
        || range.attr == "Shutter1" && range.state.as_deref() == Some("open")
}

fn mode(reading: &ModeReading) -> Mode {
    let heads = reading
        .channels
        .iter()
        .filter_map(|channel| channel.head)
        .max()
        .map_or(1, |head| head.saturating_add(1));
    let mut channels: Vec<Channel> = Vec::new();
    let mut taken: Vec<u16> = Vec::new();
    for channel in reading.channels.iter().filter(|channel| channel.fine_of.is_none()) {
        // A number that is printed twice is asked about; the first keeps it.
        if channel.ch == 0 || channel.ch > 512 || taken.contains(&channel.ch) {
            continue;
        }
        taken.push(channel.ch);
        let free = |ch: u16| {
            (1..=512).contains(&ch) && reading.channels.iter().filter(|other| other.ch == ch).count() == 1
        };
        let fine = reading.channels.iter().find(|fine| fine.fine_of == Some(channel.ch)).map(|fine| fine.ch);
        let fine = fine.filter(|fine| free(*fine) && *fine != channel.ch && !taken.contains(fine));
        taken.extend(fine);
        channels.push(Channel {
            name: if channel.name.is_empty() {
                format!("channel {}", channel.ch)
            } else {
                channel.name.clone()
            },
            coarse: channel.ch,
            fine,
            head: channel.head,
            home: Fact::unknown(),
            ranges: ranges(channel, fine.is_some()),
        });
    }
    channels.sort_by_key(|channel| channel.coarse);
    only_known_conditions(&mut channels);
    for channel in &mut channels {
        let read = reading.channels.iter().find(|read| read.ch == channel.coarse);
        keep_a_way_out(channel, read.and_then(|read| read.home).unwrap_or(0));
    }
    Mode { name: reading.name.clone(), menu: Fact::unknown(), heads, channels, breaks: Vec::new() }
}

/// Conditions on channels that are there and depend on none themselves; the others were misread or misprinted, and fall away.
fn only_known_conditions(channels: &mut [Channel]) {
    let plain: Vec<(u16, u16)> = channels
        .iter()
        .filter(|channel| channel.ranges.iter().all(|range| range.when.is_none()))
        .map(|channel| (channel.coarse, channel.full()))
        .collect();
    for range in channels.iter_mut().flat_map(|channel| &mut channel.ranges) {
        let known = range.when.and_then(|when| {
            plain.iter().find(|(place, _)| *place == when.channel).map(|(_, full)| (when, *full))
        });
        range.when = match known {
            Some((when, u16::MAX)) => {
                Some(Condition { from: when.from << 8, to: when.to << 8 | 0xff, ..when })
            }
            Some((when, _)) => Some(when),
            None => None,
        };
    }
    // Ranges that were told apart by what fell away may cover the same values now: the first keeps them.
    for channel in channels {
        let mut kept: Vec<Range> = Vec::with_capacity(channel.ranges.len());
        for range in std::mem::take(&mut channel.ranges) {
            let clash = kept.iter().any(|other| {
                other.from <= range.to
                    && range.from <= other.to
                    && (other.when.is_none() || range.when.is_none() || other.when == range.when)
            });
            if !clash {
                kept.push(range);
            }
        }
        channel.ranges = kept;
    }
}

/// The ranges of a channel in its own resolution, in order. What overlaps in print is cut where the next one starts.
fn ranges(channel: &ChannelReading, wide: bool) -> Vec<Range> {
    if channel.ranges.is_empty() {
        // Cut off in print: best left alone.
        let unknown = RangeReading {
            from: 0,
            to: 255,
            attr: "Control1".to_owned(),
            kind: KindReading::Fixed,
            origin: "guessed".to_owned(),
            ..RangeReading::default()
        };
        return vec![one(&unknown, 0, if wide { u16::MAX } else { 255 })];
    }
    let mut sorted: Vec<&RangeReading> = channel.ranges.iter().collect();
    sorted.sort_by_key(|range| (range.when.map(|when| (when.ch, when.from)), range.from));
    let mut out: Vec<Range> = Vec::with_capacity(sorted.len());
    for (index, range) in sorted.iter().enumerate() {
        let next = sorted.get(index + 1).filter(|next| next.when == range.when);
        let to = next.map_or(range.to, |next| range.to.min(next.from.saturating_sub(1)));
        if to < range.from || next.is_some_and(|next| next.from <= range.from) {
            continue;
        }
        let (from, to) = if wide { (range.from << 8, to << 8 | 0xff) } else { (range.from, to) };
        out.push(one(range, from, to));
    }
    out
}

/// Leaves each channel a value at which nothing dangerous happens.
fn keep_a_way_out(channel: &mut Channel, home: u16) {
    let ranges = &mut channel.ranges;
    // What runs a programme only while another channel says so is guarded by that channel.
    if ranges.iter().all(|range| range.danger.is_some()) {
        for range in
            ranges.iter_mut().filter(|range| range.when.is_some() && range.danger == Some(Danger::Programme))
        {
            range.danger = None;
        }
    }
    if ranges.iter().all(Range::is_dangerous) {
        free_one(ranges, home, channel.fine.is_some());
    }
}

/// A channel of which nothing printed is free of danger is left alone at one value, 0 unless that was answered otherwise.
fn free_one(ranges: &mut Vec<Range>, home: u16, wide: bool) {
    let (from, to) = if wide { (home << 8, home << 8 | 0xff) } else { (home, home) };
    let mut out: Vec<Range> = Vec::with_capacity(ranges.len() + 2);
    for range in ranges.drain(..) {
        if range.to < from || range.from > to {
            out.push(range);
            continue;
        }
        if range.from < from {
            out.push(Range { to: from - 1, ..range.clone() });
        }
        if range.to > to {
            out.push(Range { from: to + 1, ..range });
        }
    }
    let place = out.partition_point(|range| range.from < from);
    out.insert(place, Range::nothing(from, to, "", Origin::Guessed));
    *ranges = out;
}

fn one(range: &RangeReading, from: u16, to: u16) -> Range {
    let attribute = Attribute::from_name(&range.attr);
    let kind = match range.kind {
        KindReading::Level => RangeKind::Level,
        KindReading::Fixed => RangeKind::Fixed,
        KindReading::Select => RangeKind::Select,
        KindReading::None => RangeKind::Nothing,
    };
    let unsure = range.kind == KindReading::Level && range.dir.is_none();
    Range {
        from,
        to,
        physical: physical(range, &attribute),
        slot: if range.kind == KindReading::Fixed { range.slot } else { None },
        kind,
        direction: if range.dir == Some(Way::Down) { Sense::Down } else { Sense::Up },
        when: range.when.map(|when| Condition { channel: when.ch, from: when.from, to: when.to }),
        hold: range.hold_s.map(Seconds::new),
        danger: danger(range),
        label: range.label.clone(),
        origin: match range.origin.as_str() {
            _ if unsure => Origin::Guessed,
            "derived" => Origin::Derived,
            "guessed" => Origin::Guessed,
            _ => Origin::Stated,
        },
        attribute,
    }
}

fn danger(range: &RangeReading) -> Option<Danger> {
    let said = range.danger.as_deref()?;
    let known = DANGERS.iter().find(|(word, _)| *word == said);
    Some(known.map_or(Danger::Other, |(_, danger)| *danger))
}

/// A printed "0 to 540°" is a travel about home; open and closed are 1 and 0.
fn physical(range: &RangeReading, attribute: &Attribute) -> Option<(f64, f64)> {
    match (attribute, range.state.as_deref()) {
        (Attribute::Shutter1, Some("open")) | (Attribute::Dimmer, Some("full")) => return Some((1.0, 1.0)),
        (Attribute::Shutter1, Some("closed")) | (Attribute::Dimmer, Some("off")) => return Some((0.0, 0.0)),
        _ => {}
    }
    let (from, to) = range.phys?;
    // No head turns further; what says so is a misprint.
    if matches!(attribute, Attribute::Pan | Attribute::Tilt | Attribute::Zoom) && (to - from).abs() > 1080.0 {
        return None;
    }
    match (attribute, range.unit.as_deref()) {
        (Attribute::Pan | Attribute::Tilt, Some("deg")) if from >= 0.0 && to >= 0.0 => {
            let middle = (from + to) / 2.0;
            Some((from - middle, to - middle))
        }
        (Attribute::Pan | Attribute::Tilt | Attribute::Zoom, Some("deg")) => Some((from, to)),
        (_, Some("Hz")) => Some((from, to)),
        _ => None,
    }
}

/// The whole travel that is printed for an axis, in any mode.
fn travel(reading: &Reading, attr: &str) -> Fact<Radians> {
    let printed = reading
        .modes
        .iter()
        .flat_map(|mode| &mode.channels)
        .flat_map(|channel| &channel.ranges)
        .filter(|range| range.attr == attr && range.unit.as_deref() == Some("deg"))
        .find_map(|range| range.phys);
    match printed {
        Some((from, to)) if (1.0..=1080.0).contains(&(to - from).abs()) => {
            Fact::stated(Radians::from_deg((to - from).abs()))
        }
        _ => Fact::unknown(),
    }
}

/// Colour and gobo wheels by their fixed windows; colours by their names are guesses.
fn wheels(reading: &Reading) -> Vec<Wheel> {
    let mut wheels = Vec::new();
    for attr in ["Color1", "Color2", "Gobo1", "Gobo2"] {
        let mut best: Vec<WheelSlot> = Vec::new();
        for mode in &reading.modes {
            let mut slots: Vec<WheelSlot> = Vec::new();
            for range in mode.channels.iter().flat_map(|channel| &channel.ranges) {
                let next = u8::try_from(slots.len() + 1).ok();
                if range.attr == attr && next.is_some() && range.slot == next {
                    let label = shortened(&range.label);
                    let name = if label.is_empty() { format!("slot {}", slots.len() + 1) } else { label };
                    slots.push(WheelSlot {
                        name,
                        chromaticity: Fact::unknown(),
                        transmission: Fact::unknown(),
                    });
                }
            }
            if slots.len() > best.len() {
                best = slots;
            }
        }
        // Windows out of their order name slots as well.
        let ranges = reading.modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges);
        let most =
            ranges.filter(|range| range.attr == attr).filter_map(|range| range.slot).max().unwrap_or(0);
        while !best.is_empty() && best.len() < usize::from(most) {
            let name = format!("slot {}", best.len() + 1);
            best.push(WheelSlot { name, chromaticity: Fact::unknown(), transmission: Fact::unknown() });
        }
        if !best.is_empty() {
            wheels.push(Wheel { attribute: Attribute::from_name(attr), slots: best });
        }
    }
    wheels
}

/// What the channels mix from; their exact colours are not in a chart.
fn emitters(modes: &[Mode]) -> Vec<Emitter> {
    let mut emitters: Vec<Emitter> = Vec::new();
    let ranges = modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges);
    for range in ranges.filter(|range| range.attribute.name().starts_with("ColorAdd_")) {
        if !emitters.iter().any(|emitter| emitter.attribute == range.attribute) && emitters.len() < 8 {
            emitters.push(Emitter {
                name: emitter_name(range.attribute.name()).to_owned(),
                attribute: range.attribute.clone(),
                chromaticity: Fact::unknown(),
                output: Fact::unknown(),
                watts: Fact::unknown(),
            });
        }
    }
    emitters
}

fn emitter_name(attr: &str) -> &str {
    match attr {
        "ColorAdd_R" => "red",
        "ColorAdd_G" => "green",
        "ColorAdd_B" => "blue",
        "ColorAdd_W" => "white",
        "ColorAdd_WW" => "warm white",
        "ColorAdd_CW" => "cold white",
        "ColorAdd_RY" => "amber",
        "ColorAdd_GY" => "lime",
        "ColorAdd_UV" => "ultraviolet",
        "ColorAdd_C" => "cyan",
        "ColorAdd_M" => "magenta",
        "ColorAdd_Y" => "yellow",
        other => other,
    }
}
