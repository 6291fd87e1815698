//! Modes, channels, functions and sets.

use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::{Attribute, Channel, Mode, Profile, Range};

use super::super::meaning::{Family, family};
use super::{Drawing, figure, name, wheel_name};
use crate::xml::Element;

/// What is needed to write the channels of one mode.
struct Cx<'a> {
    profile: &'a Profile,
    mode: &'a Mode,
    /// The part and the attribute that name each channel.
    names: Vec<(String, Attribute)>,
}

pub(super) fn mode(profile: &Profile, mode: &Mode, drawing: &Drawing, left_out: &mut Vec<String>) -> Element {
    let cx = Cx { profile, mode, names: drawing.names(mode).0 };
    let mut channels = Element::new("DMXChannels");
    for (index, one) in mode.channels.iter().enumerate() {
        channels.push(cx.channel(index, one, left_out));
    }
    Element::new("DMXMode")
        .with("Name", name(&mode.name))
        .with("Geometry", "Base")
        .holding([channels, Element::new("Relations"), Element::new("FTMacros")])
        .keyed(&mode.name)
}

impl Cx<'_> {
    fn channel(&self, index: usize, channel: &Channel, left_out: &mut Vec<String>) -> Element {
        let (part, attribute) = &self.names[index];
        let (number, base) = self.break_of(channel.coarse);
        let place = |at: u16| (at - base.min(at)).to_string();
        let offset = channel.fine.map_or_else(
            || place(channel.coarse),
            |fine| format!("{},{}", place(channel.coarse), place(fine)),
        );
        let functions = self.functions(channel, left_out);
        let home = channel.home.value().or(channel.ranges.first().map(|range| range.from)).unwrap_or(0);
        let initial = functions.iter().rev().find(|(from, _)| *from <= home).or(functions.first());
        let initial = initial.and_then(|(_, function)| function.attribute("Name")).unwrap_or("").to_owned();
        let mut logical =
            Element::new("LogicalChannel").with("Attribute", name(attribute.name())).keyed(attribute.name());
        for (_, mut function) in functions {
            if function.attribute("Name") == Some(&initial)
                && let Some((_, value)) = function.attributes.iter_mut().find(|(name, _)| name == "Default")
            {
                *value = self.value(channel, home);
            }
            logical.push(function);
        }
        let attribute = name(attribute.name());
        Element::new("DMXChannel")
            .with("DMXBreak", number)
            .with("Offset", offset)
            .with("InitialFunction", format!("{part}_{attribute}.{attribute}.{initial}"))
            .with("Geometry", part)
            .holding([logical])
            .keyed(channel.coarse)
    }

    /// The DMX break of a place, and how many slots lie before it.
    fn break_of(&self, place: u16) -> (usize, u16) {
        let mut base = 0;
        for (index, footprint) in self.mode.breaks.iter().enumerate() {
            if place <= base + footprint || index + 1 == self.mode.breaks.len() {
                return (index + 1, base);
            }
            base += footprint;
        }
        (1, 0)
    }

    fn value(&self, channel: &Channel, value: u16) -> String {
        format!("{value}/{}", if channel.fine.is_some() { 2 } else { 1 })
    }

    /// Functions with the value that each begins at.
    fn functions(&self, channel: &Channel, left_out: &mut Vec<String>) -> Vec<(u16, Element)> {
        let mut list: Vec<(u16, Element)> = Vec::new();
        let mut names: Vec<String> = Vec::new();
        let mut index = 0;
        while let Some(first) = channel.ranges.get(index) {
            let count = 1 + channel.ranges[index + 1..]
                .iter()
                .zip(&channel.ranges[index..])
                .take_while(|(next, before)| windows_of_one(first, before, next))
                .count();
            let ranges = &channel.ranges[index..index + count];
            let number = list.len() + 1;
            list.push((first.from, self.function(channel, ranges, number, &mut names, left_out)));
            index += count;
            let next =
                channel.ranges[index..].iter().find(|range| range.when == first.when).map(|range| range.from);
            let end = ranges.last().map_or(first.to, |last| last.to);
            let hole = next.unwrap_or(channel.full()) > end.saturating_add(1) && next.is_some();
            if hole || (next.is_none() && end < channel.full() && first.when.is_some()) {
                let filler = Range { from: end + 1, to: end + 1, ..nothing(first) };
                let number = list.len() + 1;
                list.push((filler.from, self.function(channel, &[filler], number, &mut names, left_out)));
            }
        }
        list
    }

    fn function(
        &self,
        channel: &Channel,
        ranges: &[Range],
        number: usize,
        names: &mut Vec<String>,
        left_out: &mut Vec<String>,
    ) -> Element {
        let first = &ranges[0];
        let attribute = if first.kind == RangeKind::Nothing { "NoFeature" } else { first.attribute.name() };
        let windowed = first.kind == RangeKind::Fixed && is_windowed(attribute);
        let title = if windowed || first.label.is_empty() {
            format!("{} {number}", name(attribute))
        } else {
            name(&first.label)
        };
        let title = free(title, names);
        let (from, to) = physical(self.profile, first);
        let mut function = Element::new("ChannelFunction")
            .with("Name", &title)
            .with("Attribute", name(attribute))
            .with("OriginalAttribute", "")
            .with("DMXFrom", self.value(channel, first.from))
            .with("Default", self.value(channel, first.from))
            .with("PhysicalFrom", figure(from))
            .with("PhysicalTo", figure(to));
        function = self.times(function, first);
        let wheel = self.profile.wheels.iter().find(|wheel| attribute.starts_with(wheel.attribute.name()));
        function = function.with_known("Wheel", wheel.map(wheel_name));
        let emitter = self.profile.emitters.iter().find(|emitter| emitter.attribute == first.attribute);
        function = function.with_known("Emitter", emitter.map(|emitter| name(&emitter.name)));
        if let Some(when) = first.when {
            let master = self.mode.channels.iter().position(|it| it.coarse == when.channel);
            if let Some(master) = master {
                let (part, attribute) = &self.names[master];
                let of = &self.mode.channels[master];
                function = function
                    .with("ModeMaster", format!("{part}_{}", name(attribute.name())))
                    .with("ModeFrom", self.value(of, when.from))
                    .with("ModeTo", self.value(of, when.to));
            }
        }
        if windowed {
            for range in ranges {
                function.push(self.set(channel, range));
            }
        }
        tell_losses(ranges, attribute, left_out);
        function.keyed(first.from)
    }

    /// How long pan and tilt take.
    fn times(&self, function: Element, range: &Range) -> Element {
        let Some(movement) = &self.profile.movement else { return function };
        let (time, start) = match range.attribute {
            Attribute::Pan => (movement.pan_time, movement.pan_acceleration),
            Attribute::Tilt => (movement.tilt_time, movement.tilt_acceleration),
            _ => return function,
        };
        let secs = |time: lanthorn_fixture::Fact<lanthorn_physics::units::Seconds>| {
            time.value().map(|it| figure(it.get()))
        };
        function.with_known("RealFade", secs(time)).with_known("RealAcceleration", secs(start))
    }

    fn set(&self, channel: &Channel, range: &Range) -> Element {
        let label = if range.label.is_empty() { String::new() } else { name(&range.label) };
        let (from, to) = range.physical.unwrap_or((0.0, 1.0));
        let figures = range.physical.is_some();
        let set =
            Element::new("ChannelSet").with("Name", label).with("DMXFrom", self.value(channel, range.from));
        let set = set.with_known("PhysicalFrom", figures.then(|| figure(from)));
        let set = set.with_known("PhysicalTo", figures.then(|| figure(to)));
        set.with("WheelSlotIndex", range.slot.unwrap_or(0)).keyed(range.from)
    }
}

/// A name that no function of the channel has yet.
fn free(title: String, names: &mut Vec<String>) -> String {
    let mut found = title.clone();
    let mut number = 2;
    while names.contains(&found) {
        found = format!("{title} #{number}");
        number += 1;
    }
    names.push(found.clone());
    found
}

/// Windows that follow each other and do the same kind of thing are the sets of one function.
fn windows_of_one(first: &Range, before: &Range, next: &Range) -> bool {
    first.kind == RangeKind::Fixed
        && next.kind == RangeKind::Fixed
        && next.attribute == first.attribute
        && next.when == first.when
        && is_windowed(first.attribute.name())
        && before.to.checked_add(1) == Some(next.from)
}

fn is_windowed(attribute: &str) -> bool {
    matches!(family(attribute), Family::Shutter | Family::Wheel | Family::Windows)
}

fn nothing(like: &Range) -> Range {
    Range {
        attribute: Attribute::NoFeature,
        kind: RangeKind::Nothing,
        physical: None,
        slot: None,
        hold: None,
        danger: None,
        label: String::new(),
        ..like.clone()
    }
}

/// Physical values at both ends: as stated, else the travel of pan and tilt, else nothing to everything.
fn physical(profile: &Profile, range: &Range) -> (f64, f64) {
    if let Some(stated) = range.physical {
        return stated;
    }
    let movement = profile.movement.as_ref();
    let travel = match range.attribute {
        Attribute::Pan => movement.and_then(|it| it.pan_travel.value()),
        Attribute::Tilt => movement.and_then(|it| it.tilt_travel.value()),
        _ => None,
    };
    match (travel, range.direction) {
        (Some(travel), _) => (-travel.deg() / 2.0, travel.deg() / 2.0),
        // The same figure at both ends is how the format says that all values do the same.
        (None, _) if range.kind == RangeKind::Fixed && !is_windowed(range.attribute.name()) => (1.0, 1.0),
        (None, Sense::Down) if range.kind == RangeKind::Level => (1.0, 0.0),
        (None, _) => (0.0, 1.0),
    }
}

fn tell_losses(ranges: &[Range], attribute: &str, left_out: &mut Vec<String>) {
    for range in ranges {
        if range.hold.is_some() {
            left_out.push("for how long a value must be held".to_owned());
        }
        let family = family(attribute);
        let lost = match range.kind {
            RangeKind::Level => matches!(family, Family::Windows | Family::Wheel),
            RangeKind::Select => matches!(family, Family::Amount | Family::Measured),
            RangeKind::Fixed | RangeKind::Nothing => false,
        };
        if lost {
            left_out.push(format!(
                "that the values of {attribute} go {} (\"{}\")",
                kind_words(range.kind),
                range.label
            ));
        }
        if range.danger
            != super::super::meaning::danger(attribute, &range.label)
                .filter(|_| range.kind != RangeKind::Level)
        {
            left_out.push(format!("what is dangerous, or not, about \"{}\"", range.label));
        }
    }
}

fn kind_words(kind: RangeKind) -> &'static str {
    match kind {
        RangeKind::Level => "in proportion",
        RangeKind::Select => "in steps",
        RangeKind::Fixed => "as one",
        RangeKind::Nothing => "nowhere",
    }
}
