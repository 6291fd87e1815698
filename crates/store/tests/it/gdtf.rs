//! Fixture files of others: what is read, what is kept, what is refused.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use lanthorn_fixture::mode::{Danger, RangeKind, Sense};
use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Attribute, Channel, Mode, Origin, Range};
use lanthorn_store::gdtf::{self, Break, Read};
use lanthorn_store::{read_profile, write_profile};

pub(crate) const EVERYTHING: &str = include_str!("gdtf/everything.xml");

pub(crate) fn read(xml: &str) -> Read {
    gdtf::read(xml.as_bytes()).unwrap()
}

fn at(mode: &Mode, place: u16) -> &Channel {
    mode.channels.iter().find(|channel| channel.coarse == place).unwrap()
}

/// Ranges as a person would write them down.
fn told(channel: &Channel) -> Vec<String> {
    let one = |range: &Range| {
        let mut text = format!("{}-{} {} {:?}", range.from, range.to, range.attribute.name(), range.kind);
        if range.direction == Sense::Down {
            text.push_str(" down");
        }
        if let Some((from, to)) = range.physical {
            text.push_str(&format!(" {from}..{to}"));
        }
        if let Some(slot) = range.slot {
            text.push_str(&format!(" slot {slot}"));
        }
        if let Some(when) = range.when {
            text.push_str(&format!(" when {} {}-{}", when.channel, when.from, when.to));
        }
        if let Some(danger) = range.danger {
            text.push_str(&format!(" {danger:?}!"));
        }
        text
    };
    channel.ranges.iter().map(one).collect()
}

#[test]
fn a_description_with_one_of_everything_is_read() {
    let read = read(EVERYTHING);
    let profile = &read.profile;
    assert_eq!((profile.name.as_str(), profile.kind), ("Ring Head", Kind::SpotHead));
    assert_eq!((read.version.as_str(), read.maker.as_deref()), ("1.2", Some("Invented Works")));
    assert_eq!(read.identity.as_deref(), Some("0B0F1A2C-1111-4222-8333-123456789ABC"));
    // Break 1 to the third segment's blue (27 + 3 - 1), break 2 to its dimmer.
    let breaks = [Break { number: 1, footprint: 29 }, Break { number: 2, footprint: 4 }];
    assert_eq!(read.modes[0].breaks, breaks);
    assert_eq!((read.modes[0].footprint(), read.modes[0].virtual_channels), (33, 1));
    assert_eq!((read.modes[1].footprint(), read.modes[1].in_profile), (600, false));
    let mode = &profile.modes[0];
    assert_eq!((mode.footprint(), mode.heads, &mode.breaks[..]), (33, 4, &[29, 4][..]));
}

#[test]
fn channels_mean_what_the_functions_say() {
    let read = read(EVERYTHING);
    let mode = &read.profile.modes[0];
    for (place, expected) in [
        (1, vec!["0-65535 Pan Level 270..-270"]),
        (2, vec!["0-65535 Tilt Level -110..20"]),
        (5, vec!["0-65535 Dimmer Level"]),
        (7, vec!["0-255 NoFeature Nothing"]),
        (
            8,
            vec![
                "0-15 Shutter1 Fixed 0..0",
                "16-31 Shutter1 Fixed 1..1",
                "32-127 Shutter1Strobe Level down 12..0.8",
                "128-239 Shutter1StrobeRandom Level",
                "240-255 Shutter1 Fixed 1..1",
            ],
        ),
        (
            9,
            vec![
                "0-9 Color1 Fixed slot 1",
                "10-19 Color1 Fixed slot 2",
                "20-29 Color1 Fixed slot 3",
                "30-127 Color1 Select",
                "128-255 Color1WheelSpin Level down 360..-360",
            ],
        ),
        (10, vec!["0-127 Gobo1 Fixed slot 1", "128-255 Gobo1 Fixed slot 2"]),
        (
            11,
            vec![
                "0-99 NoFeature Nothing",
                "100-149 Control1 Fixed Heater!",
                "150-179 Control1 Fixed Sound!",
                "180-249 NoFeature Nothing",
                "250-255 FixtureGlobalReset Fixed Reset!",
            ],
        ),
        (12, vec!["0-255 PT Speed Level down"]),
        (13, vec!["0-9 NoFeature Nothing", "10-255 Effects1 Select Programme!"]),
        (14, vec!["0-255 NoFeature Nothing when 13 0-9", "0-255 Effects1Rate Level when 13 10-255"]),
        (15, vec!["0-0 NoFeature Nothing", "1-255 Effects2 Select Programme!"]),
        (21, vec!["0-255 ColorAdd_R Level"]),
        (33, vec!["0-255 Dimmer Level"]),
    ] {
        assert_eq!(told(at(mode, place)), expected, "channel {place}");
    }
    let heads = [1, 8, 21, 23, 24, 29, 30, 31, 33].map(|place| at(mode, place).head);
    assert_eq!(heads, [None, Some(0), Some(1), Some(1), Some(2), Some(3), Some(1), Some(2), Some(3)]);
    assert_eq!((at(mode, 1).fine, at(mode, 2).fine, at(mode, 5).fine), (Some(3), Some(4), Some(6)));
    let pan = at(mode, 1).home;
    assert_eq!((pan.value(), pan.origin()), (Some(32_768), Origin::Default));
    assert_eq!(at(mode, 8).home.value(), Some(20));
    assert_eq!(at(mode, 13).ranges[1].kind, RangeKind::Select);
    assert_eq!(at(mode, 11).ranges[4].danger, Some(Danger::Reset));
}

#[test]
fn facts_are_taken_and_defaults_are_not_known() {
    let profile = read(EVERYTHING).profile;
    let movement = profile.movement.unwrap();
    let degrees = |fact: lanthorn_fixture::Fact<lanthorn_physics::units::Radians>| {
        fact.value().map(|angle| (angle.deg() * 1000.0).round() / 1000.0)
    };
    assert_eq!((degrees(movement.pan_travel), degrees(movement.tilt_travel)), (Some(540.0), Some(130.0)));
    assert_eq!(movement.pan_time.value().map(|time| time.get()), Some(2.5));
    assert!(!movement.tilt_time.is_known());
    assert_eq!((degrees(profile.optics.beam), degrees(profile.optics.field)), (Some(12.0), Some(18.0)));
    assert!(!profile.optics.flux.is_known(), "10,000 lm is the standard's default");
    assert_eq!(profile.power.watts.value().map(|watts| watts.get()), Some(180.0));
    assert_eq!(profile.power.connector.get().map(String::as_str), Some("C14"));
    assert_eq!(profile.data.connector.get().map(String::as_str), Some("XLR5"));
    let rdm = profile.data.rdm.value().unwrap();
    assert_eq!((rdm.manufacturer, rdm.model), (0x7ff0, 0x0102));
    assert_eq!(profile.body.weight.value().map(|weight| weight.get()), Some(7.25));
    assert_eq!(profile.body.width.value().map(|width| width.get()), Some(0.30));
    // Head 0.22 m high, 0.12 + 0.10 m below the base plate.
    let height = profile.body.height;
    assert_eq!(
        (height.value().map(|it| (it.get() * 100.0).round()), height.origin()),
        (Some(44.0), Origin::Guessed)
    );
    let names: Vec<&str> = profile.emitters.iter().map(|emitter| emitter.name.as_str()).collect();
    assert_eq!(names, ["Red", "Green", "Blue"]);
    let blue = &profile.emitters[2];
    assert_eq!((blue.attribute.clone(), blue.chromaticity.origin()), (Attribute::ColorAddB, Origin::Derived));
    let colour = blue.chromaticity.value().unwrap();
    // A 460 nm line lies at 0.1440, 0.0297 (CIE 15, the spectrum locus of the 2° observer).
    assert!((colour.x - 0.144).abs() < 0.01 && (colour.y - 0.030).abs() < 0.015, "{colour:?}");
    assert_eq!(profile.wheels.len(), 2);
    assert_eq!(profile.wheels[0].slots[1].transmission.value(), Some(0.09));
}

#[test]
fn what_has_no_place_is_kept_and_survives_a_text() {
    let profile = read(EVERYTHING).profile;
    let kept = |at: &str| {
        profile.kept.iter().filter(|kept| kept.at == at).map(|kept| kept.text.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(kept("FixtureType@Manufacturer"), ["Invented Works"]);
    assert_eq!(kept("FixtureType/DMXModes/DMXMode[Long]@Description"), ["all of it"]);
    let dimmer = "FixtureType/DMXModes/DMXMode[Long]/DMXChannels/DMXChannel[5]";
    assert_eq!(kept(&format!("{dimmer}@Highlight")), ["255/1"]);
    assert_eq!(kept(&format!("{dimmer}/LogicalChannel[Dimmer]@Master")), ["Grand"]);
    let function = format!("{dimmer}/LogicalChannel[Dimmer]/ChannelFunction[0]");
    assert_eq!(kept(&format!("{function}@CustomName")), ["Level"]);
    assert_eq!(
        kept(&function),
        [r#"<ChannelSet Name="closed" DMXFrom="0/3"/>"#, r#"<ChannelSet Name="full" DMXFrom="16777215/3"/>"#]
    );
    let whole = kept("FixtureType");
    assert!(
        whole[0].starts_with("<Geometries>") && whole[1] == r#"<MakersOwn Something="else"/>"#,
        "{whole:?}"
    );
    assert!(kept("FixtureType/DMXModes/DMXMode[Long]/Relations")[0].contains("Multiply"));
    assert!(kept("FixtureType/DMXModes/DMXMode[Long]/DMXChannels")[0].contains("HSB_Brightness"));
    assert!(kept("FixtureType/DMXModes")[0].contains("Too long"));
    assert!(kept("FixtureType/Wheels")[0].contains("Nobody turns it"));
    assert_eq!(kept("FixtureType/Wheels/Wheel[Pictures]/Slot[2]@MediaFileName"), ["leaves"]);
    let text = write_profile(&profile);
    let (back, problems) = read_profile(&text);
    let errors: Vec<String> = problems.iter().filter(|it| it.is_error()).map(|it| it.in_file("x")).collect();
    assert_eq!(errors, Vec::<String>::new());
    assert_eq!(back.as_ref(), Some(&profile));
}

#[test]
fn what_is_odd_is_said_with_its_line() {
    let read = read(EVERYTHING);
    let said: Vec<String> = read.problems.iter().map(|problem| problem.in_file("x")).collect();
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn channels_that_say_nothing_and_share_a_name_are_left_alone_each() {
    // Two functions without an attribute that we know, at two places, and one more channel without any function.
    let channel = |offset: u32, inner: &str| {
        format!("<DMXChannel DMXBreak=\"1\" Offset=\"{offset}\" Geometry=\"Body\">{inner}</DMXChannel>")
    };
    let nothing = "<LogicalChannel Attribute=\"NoFeature\"/>";
    let dimmer = "<LogicalChannel Attribute=\"Dimmer\"><ChannelFunction Attribute=\"Dimmer\" DMXFrom=\"0/1\"/></LogicalChannel>";
    let xml = format!(
        "<GDTF DataVersion=\"1.2\"><FixtureType Name=\"Box\" ShortName=\"Box\" LongName=\"Box\" Manufacturer=\"Invented Works\" Description=\"\" FixtureTypeID=\"0B0F1A2C-1111-4222-8333-123456789ABC\">\
         <AttributeDefinitions><FeatureGroups/><Attributes/></AttributeDefinitions><Models/><Geometries><Geometry Name=\"Body\"/></Geometries>\
         <DMXModes><DMXMode Name=\"One\" Geometry=\"Body\"><DMXChannels>{}{}{}{}</DMXChannels></DMXMode></DMXModes></FixtureType></GDTF>",
        channel(1, dimmer),
        channel(2, nothing),
        channel(3, ""),
        channel(4, nothing),
    );
    let read = read(&xml);
    assert_eq!(read.profile.modes[0].footprint(), 4);
    let (back, problems) = read_profile(&write_profile(&read.profile));
    assert!(back.is_some(), "{problems:?}");
}
