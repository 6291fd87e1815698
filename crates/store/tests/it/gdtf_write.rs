//! Fixture files of ours: what is written reads back, and keeps to the standard.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod strict;

use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::profile::{Body, Data, Menu, Optics, Power, Profile};
use lanthorn_fixture::{Attribute, Fact, Kept, Range, emitters};
use lanthorn_store::{gdtf, shipped};

use super::gdtf::EVERYTHING;

/// Where a fact came from is not in the format.
fn bare<T: Clone>(fact: &Fact<T>) -> Fact<T> {
    fact.get().map_or(Fact::unknown(), |value| Fact::stated(value.clone()))
}

/// Figures to the six decimals that are written.
fn rounded<T: Copy>(fact: Fact<T>, get: fn(T) -> f64, make: fn(f64) -> T) -> Fact<T> {
    fact.value().map_or(Fact::unknown(), |value| Fact::stated(make((get(value) * 1e5).round() / 1e5)))
}

/// A name of the letters that the standard allows, without the number that tells it from others of that name.
fn name(text: &str) -> String {
    let letters: String = text
        .chars()
        .map(|c| match c {
            ',' => ';',
            '.' | '°' => ' ',
            '→' => '>',
            '–' => '-',
            c => c,
        })
        .collect();
    let words: Vec<&str> =
        letters.split(' ').filter(|word| !word.is_empty() && !word.starts_with('#')).collect();
    words.join(" ")
}

/// A profile as far as the format can say it.
fn said(profile: &Profile) -> Profile {
    use lanthorn_physics::units::{Kilograms, Lumens, Metres, Radians, Seconds, Volts, Watts};
    let mut profile = profile.clone();
    let metres = |fact| rounded(fact, Metres::get, Metres::new);
    let angle = |fact: Fact<Radians>| rounded(fact, Radians::deg, Radians::from_deg);
    let body = &profile.body;
    profile.body = Body {
        width: metres(body.width),
        depth: metres(body.depth),
        height: metres(body.height),
        weight: rounded(body.weight, Kilograms::get, Kilograms::new),
    };
    let supply =
        profile.power.supply.value().map(|(low, high)| (Volts::new(low.get()), Volts::new(high.get())));
    profile.power = Power {
        watts: rounded(profile.power.watts, Watts::get, Watts::new),
        power_factor: bare(&profile.power.power_factor),
        supply: supply.map_or(Fact::unknown(), Fact::stated),
        ..Power::default()
    };
    profile.data = Data { rdm: bare(&profile.data.rdm), ..Data::default() };
    if let Some(movement) = &mut profile.movement {
        let secs = |fact| rounded(fact, Seconds::get, Seconds::new);
        movement.pan_travel = angle(movement.pan_travel);
        movement.tilt_travel = angle(movement.tilt_travel);
        movement.pan_time = secs(movement.pan_time);
        movement.tilt_time = secs(movement.tilt_time);
        movement.pan_acceleration = secs(movement.pan_acceleration);
        movement.tilt_acceleration = secs(movement.tilt_acceleration);
    }
    // Exactly the standard's default is what nobody filled in.
    let filled = |angle: Fact<Radians>| {
        if angle.value() == Some(Radians::from_deg(25.0)) { Fact::unknown() } else { angle }
    };
    profile.optics = Optics {
        beam: filled(angle(profile.optics.beam)),
        field: filled(angle(profile.optics.field)),
        flux: rounded(profile.optics.flux, Lumens::get, Lumens::new),
        ..Optics::default()
    };
    colours_said(&mut profile);
    (profile.noise, profile.menu) = (Fact::unknown(), Menu::default());
    profile.programmes.clear();
    profile.kept.clear();
    let movement = profile.movement.clone();
    for mode in &mut profile.modes {
        mode.name = name(&mode.name);
        mode.menu = Fact::unknown();
        for channel in &mut mode.channels {
            channel.name.clear();
            channel.home = bare(&channel.home);
            channel
                .ranges
                .sort_by_key(|range| (range.from, range.when.map(|when| (when.channel, when.from))));
            for range in &mut channel.ranges {
                let travel = movement.as_ref().map(|it| match range.attribute {
                    Attribute::Pan => it.pan_travel,
                    Attribute::Tilt => it.tilt_travel,
                    _ => Fact::unknown(),
                });
                range_said(range, travel.and_then(|travel| travel.value()).map(Radians::deg));
            }
        }
    }
    profile
}

/// Emitters and wheels likewise.
fn colours_said(profile: &mut Profile) {
    let ranges = profile.modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges);
    let driven: Vec<Attribute> = ranges.map(|range| range.attribute.clone()).collect();
    for emitter in &mut profile.emitters {
        // Which white a lamp is that no channel drives is told by its name alone.
        if !driven.contains(&emitter.attribute) && emitter.name.contains("white") {
            emitter.attribute = Attribute::ColorAddW;
        }
        let colour =
            emitter.chromaticity.value().unwrap_or(emitters::typical(&emitter.attribute).chromaticity);
        emitter.chromaticity = Fact::stated(colour);
        emitter.output = bare(&emitter.output);
        emitter.watts = Fact::unknown();
    }
    // One emitter's light alone says nothing; the same light of all is a form that nobody filled in.
    let first = profile.emitters.first().and_then(|emitter| emitter.output.value());
    if profile.emitters.len() > 1 && profile.emitters.iter().all(|emitter| emitter.output.value() == first) {
        profile.emitters.iter_mut().for_each(|emitter| emitter.output = Fact::unknown());
    }
    for slot in profile.wheels.iter_mut().flat_map(|wheel| &mut wheel.slots) {
        slot.name = name(&slot.name);
        slot.chromaticity = bare(&slot.chromaticity);
        let known = slot.chromaticity.is_known() && slot.transmission.value().is_some_and(|part| part < 1.0);
        slot.transmission =
            if known { rounded(slot.transmission, |it| it, |it| it) } else { Fact::unknown() };
    }
}

fn range_said(range: &mut Range, travel: Option<f64>) {
    range.label = name(&range.label);
    range.hold = None;
    range.origin = lanthorn_fixture::Origin::Stated;
    if let (None, Some(travel)) = (range.physical, travel) {
        range.physical = Some((-travel / 2.0, travel / 2.0));
    }
    if range.kind == RangeKind::Level {
        range.physical = range.physical.filter(|ends| *ends != (0.0, 1.0) && *ends != (1.0, 0.0));
        let angle = matches!(range.attribute, Attribute::Pan | Attribute::Tilt);
        if let Some((from, to)) = range.physical.filter(|_| !angle) {
            range.direction = if from > to { Sense::Down } else { Sense::Up };
        }
    }
    if range.kind == RangeKind::Fixed && !matches!(range.attribute, Attribute::Dimmer | Attribute::Shutter1) {
        range.physical = range.physical.filter(|ends| *ends != (1.0, 1.0));
    }
    if range.kind == RangeKind::Nothing {
        range.attribute = Attribute::NoFeature;
    }
    range.danger = None;
}

fn back(profile: &Profile) -> (Profile, gdtf::Written) {
    let written = gdtf::write(profile).unwrap();
    let read = gdtf::read(&written.bytes)
        .unwrap_or_else(|why| panic!("{}: {why}\n{}", profile.name, written.description));
    (read.profile, written)
}

#[test]
fn every_shipped_profile_reads_back_as_far_as_the_format_can_say() {
    for profile in shipped() {
        let (read, written) = back(profile);
        let (mut read, wanted) = (said(&read), said(profile));
        // Left out by the format, guessed by a reader, or filled in by it.
        read.kind = wanted.kind;
        // Pan and tilt of a mirror, of which our profile says nothing, are movement to a reader.
        if wanted.movement.is_none() && read.movement == Some(lanthorn_fixture::profile::Movement::default())
        {
            read.movement = None;
        }
        for (mode, other) in read.modes.iter_mut().zip(&wanted.modes) {
            for (channel, other) in mode.channels.iter_mut().zip(&other.channels) {
                if !other.home.is_known() {
                    channel.home = Fact::unknown();
                }
            }
        }
        for (mode, other) in read.modes.iter().zip(&wanted.modes) {
            for (channel, other) in mode.channels.iter().zip(&other.channels) {
                assert_eq!(channel, other, "{}, {}\n{}", profile.name, mode.name, written.description);
            }
        }
        assert_eq!(read.emitters, wanted.emitters, "{}", profile.name);
        assert_eq!(read.wheels, wanted.wheels, "{}", profile.name);
        assert_eq!(read.movement, wanted.movement, "{}", profile.name);
        assert_eq!(read.optics, wanted.optics, "{}", profile.name);
        assert_eq!(read, wanted, "{}", profile.name);
    }
}

#[test]
fn dangers_of_shipped_profiles_are_seen_again_or_told() {
    for profile in shipped() {
        let (read, written) = back(profile);
        let dangers = |profile: &Profile| -> Vec<bool> {
            let channels = profile.modes.iter().flat_map(|mode| &mode.channels);
            channels.flat_map(|channel| &channel.ranges).map(|range| range.danger.is_some()).collect()
        };
        let told = written.left_out.iter().any(|it| it.starts_with("what is dangerous"));
        assert!(dangers(&read) == dangers(profile) || told, "{}", profile.name);
    }
}

#[test]
fn the_same_profile_gives_the_same_bytes_and_another_another_identity() {
    let profile = &shipped()[0];
    let (first, again) = (gdtf::write(profile).unwrap(), gdtf::write(profile).unwrap());
    assert_eq!(first, again);
    let mut other = Profile::clone(profile);
    other.modes[0].channels[0].ranges[0].label = "another word".to_owned();
    let identity = |written: &gdtf::Written| gdtf::read(&written.bytes).unwrap().identity.unwrap();
    let other = gdtf::write(&other).unwrap();
    assert_ne!(identity(&first), identity(&other));
    assert_eq!(identity(&first).len(), 36);
}

#[test]
fn what_is_written_keeps_to_the_standard() {
    let everything = gdtf::read(EVERYTHING.as_bytes()).unwrap().profile;
    for profile in shipped().iter().map(|profile| Profile::clone(profile)).chain([everything]) {
        let written = gdtf::write(&profile).unwrap();
        let found = strict::check(&written.description);
        assert_eq!(found, Vec::<String>::new(), "{}\n{}", profile.name, written.description);
    }
}

#[test]
fn what_was_kept_is_put_back_where_its_parent_is() {
    let profile = gdtf::read(EVERYTHING.as_bytes()).unwrap().profile;
    let (read, written) = back(&profile);
    let again = |at: &str, text: &str| read.kept.contains(&Kept { at: at.to_owned(), text: text.to_owned() });
    let channels = "FixtureType/DMXModes/DMXMode[Long]/DMXChannels/DMXChannel[5]";
    assert!(again("FixtureType@Manufacturer", "Invented Works"));
    assert!(again("FixtureType/DMXModes/DMXMode[Long]@Description", "all of it"));
    assert!(again(&format!("{channels}@Highlight"), "255/1"));
    assert!(again(&format!("{channels}/LogicalChannel[Dimmer]@Master"), "Grand"));
    assert!(again(&format!("{channels}/LogicalChannel[Dimmer]/ChannelFunction[0]@CustomName"), "Level"));
    assert!(written.description.contains(r#"<Revision Text="first""#));
    assert!(written.description.contains(r#"<MeasurementPoint WaveLength="460" Energy="1"/>"#));
    assert!(
        written
            .left_out
            .contains(&"kept of another file: FixtureType/DMXModes/DMXMode[Long]/Relations".to_owned())
    );
    // Footprints of both breaks and every channel's place are what they were.
    let footprint = |profile: &Profile| {
        (profile.modes[0].breaks.clone(), profile.modes[0].footprint(), profile.modes[0].heads)
    };
    assert_eq!(footprint(&read), footprint(&profile));
    let places = |profile: &Profile| -> Vec<_> {
        profile.modes[0].channels.iter().map(|it| (it.coarse, it.fine, it.head, it.ranges.len())).collect()
    };
    assert_eq!(places(&read), places(&profile));
}
