//! Fixture descriptions (DIN SPEC 15800) of invented lights, of any size, each another than the last: with references to
//! parts, several DMX breaks, split and missing bytes, virtual channels, functions that depend on others, wheels, emitters.

use std::fmt::Write;

/// How much a light has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// A par: one mode, a few channels.
    Small,
    /// A head with two wheels: three modes.
    Medium,
    /// A bar of pixels with an engine: eight modes.
    Large,
}

/// Numbers that look as if they were drawn, the same for the same seed (splitmix64).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to one less than `below`.
    fn below(&mut self, below: u64) -> u64 {
        self.next() % below.max(1)
    }

    fn one_in(&mut self, count: u64) -> bool {
        self.below(count) == 0
    }
}

const HEAD: &str = r#"<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<GDTF DataVersion="1.1">
"#;
const FACTS: &str = r#"<PhysicalDescriptions><Emitters>
<Emitter Name="Red" Color="0.6915,0.3084,30.0" DominantWaveLength="0.0" DiodePart=""/><Emitter Name="Green" Color="0.162,0.733,65.0" DominantWaveLength="0.0" DiodePart=""/>
</Emitters><Filters/><ColorSpace Mode="sRGB"/><DMXProfiles/><CRIs/><Connectors/><Properties/></PhysicalDescriptions>
<Models><Model Name="Body" Length="0.3" Width="0.2" Height="0.25" PrimitiveType="Cube" File=""/></Models>
"#;
const PLACE: &str = "{1,0,0,0}{0,1,0,0}{0,0,1,0}{0,0,0,1}";
const COLOURS: [&str; 5] = ["ColorAdd_R", "ColorAdd_G", "ColorAdd_B", "ColorAdd_W", "ColorAdd_RY"];
const CONTROLS: [&str; 8] =
    ["Shutter1", "Color1", "Gobo1", "Zoom", "Focus1", "Control1", "Effects1", "Prism1"];

/// One description.
pub fn description(seed: u64, size: Size) -> String {
    let mut dice = Dice(seed);
    let modes = match size {
        Size::Small => 1 + dice.below(2),
        Size::Medium => 3,
        Size::Large => 8,
    };
    let segments = match size {
        Size::Small => 0,
        Size::Medium => dice.below(4),
        Size::Large => 4 + dice.below(20),
    };
    let mut xml = HEAD.to_owned();
    let id = format!("{:08X}-0000-4000-8000-{:012X}", dice.next() as u32, dice.next() & 0xffff_ffff_ffff);
    let _ = writeln!(
        xml,
        "<FixtureType Name=\"Invented {seed}\" ShortName=\"I{seed}\" LongName=\"Invented {seed}\" Manufacturer=\"Nobody\" \
         Description=\"\" FixtureTypeID=\"{id}\" Thumbnail=\"\" RefFT=\"\">"
    );
    definitions(&mut xml);
    wheels(&mut xml);
    xml.push_str(FACTS);
    let per_segment = 1 + dice.below(5) as usize;
    let tops = geometries(&mut xml, &mut dice, segments, per_segment);
    xml.push_str("<DMXModes>\n");
    for mode in 0..modes {
        let top = &tops[dice.below(tops.len() as u64) as usize];
        one_mode(&mut xml, &mut dice, mode, top, per_segment, size);
    }
    xml.push_str("</DMXModes><Revisions/><FTPresets/></FixtureType></GDTF>\n");
    xml
}

fn definitions(xml: &mut String) {
    xml.push_str("<AttributeDefinitions><ActivationGroups/><FeatureGroups><FeatureGroup Name=\"Control\" Pretty=\"Control\"><Feature Name=\"Control\"/></FeatureGroup></FeatureGroups><Attributes>");
    let all = COLOURS.iter().chain(&CONTROLS);
    for name in all.copied().chain([
        "Pan",
        "Tilt",
        "Dimmer",
        "NoFeature",
        "Effects1Rate",
        "Shutter1Strobe",
        "Own Word",
    ]) {
        let _ = writeln!(
            xml,
            "<Attribute Name=\"{name}\" Pretty=\"{name}\" Feature=\"Control.Control\" PhysicalUnit=\"None\"/>"
        );
    }
    xml.push_str("</Attributes></AttributeDefinitions>\n");
}

fn wheels(xml: &mut String) {
    xml.push_str("<Wheels>");
    for wheel in ["Color1", "Gobo1"] {
        let _ = write!(xml, "<Wheel Name=\"{wheel} wheel\">");
        for slot in 1..=8 {
            let _ =
                write!(xml, "<Slot Name=\"Slot {slot}\" Color=\"0.3127,0.3290,100.0\" MediaFileName=\"\"/>");
        }
        xml.push_str("</Wheel>");
    }
    xml.push_str("</Wheels>\n");
}

/// A light as modes may take it: its outermost part, whether it has segments, and the break that these are written over to.
struct Top {
    name: String,
    segments: u64,
    second_break: bool,
}

fn geometries(xml: &mut String, dice: &mut Dice, segments: u64, per_segment: usize) -> Vec<Top> {
    let mut tops = Vec::new();
    xml.push_str("<Geometries>\n");
    for version in 0..=dice.below(2) {
        let name = format!("Base {version}");
        let second_break = segments > 0 && dice.one_in(3);
        let _ = writeln!(
            xml,
            "<Geometry Name=\"{name}\" Model=\"Body\" Position=\"{PLACE}\"><Axis Name=\"Yoke {version}\" Model=\"\" Position=\"{PLACE}\"><Axis Name=\"Head {version}\" Model=\"\" Position=\"{PLACE}\">"
        );
        let _ = writeln!(
            xml,
            "<Beam Name=\"Lens {version}\" Model=\"\" Position=\"{PLACE}\" LampType=\"LED\" BeamType=\"Wash\"/>"
        );
        let first = 30 + dice.below(5);
        let stride = per_segment as u64 + dice.below(2);
        for segment in 0..segments {
            let _ = write!(
                xml,
                "<GeometryReference Name=\"Pixel {version} {segment}\" Geometry=\"Pixel\" Model=\"\" Position=\"{PLACE}\"><Break DMXBreak=\"1\" DMXOffset=\"{}\"/>",
                first + segment * stride
            );
            if second_break {
                let _ = write!(xml, "<Break DMXBreak=\"2\" DMXOffset=\"{}\"/>", 1 + segment * 2);
            }
            xml.push_str("</GeometryReference>\n");
        }
        xml.push_str("</Axis></Axis></Geometry>\n");
        tops.push(Top { name, segments, second_break });
    }
    let _ = writeln!(
        xml,
        "<Beam Name=\"Pixel\" Model=\"\" Position=\"{PLACE}\" LampType=\"LED\" BeamType=\"Wash\"/></Geometries>"
    );
    tops
}

fn one_mode(xml: &mut String, dice: &mut Dice, mode: u64, top: &Top, per_segment: usize, size: Size) {
    let version = top.name.trim_start_matches("Base ");
    let _ = writeln!(xml, "<DMXMode Name=\"Mode {mode}\" Geometry=\"{}\"><DMXChannels>", top.name);
    let mut next = 1 + u64::from(dice.one_in(8));
    let lens = format!("Lens {version}");
    if size != Size::Small {
        // Split over each other: coarse, coarse, fine, fine.
        let _ = write!(
            xml,
            "{}",
            channel(&format!("Yoke {version}"), "1", &format!("{},{}", next, next + 2), &turning("Pan"))
        );
        let _ = write!(
            xml,
            "{}",
            channel(&format!("Head {version}"), "1", &format!("{},{}", next + 1, next + 3), &turning("Tilt"))
        );
        next += 4;
    }
    if dice.one_in(3) {
        let _ = write!(
            xml,
            "{}",
            channel(&lens, "1", &format!("{},{},{}", next, next + 1, next + 2), &function("Dimmer", 3))
        );
        next += 3;
    } else {
        let _ = write!(xml, "{}", channel(&lens, "1", &next.to_string(), &function("Dimmer", 1)));
        next += 1;
    }
    for control in CONTROLS.iter().take(if size == Size::Small { 2 } else { 8 }) {
        if dice.one_in(4) {
            next += dice.below(3);
        }
        let _ = write!(xml, "{}", channel(&lens, "1", &next.to_string(), &windows(control, dice)));
        next += 1;
    }
    let colours = if top.segments == 0 { 3 + dice.below(3) as usize } else { 0 };
    for colour in COLOURS.iter().take(colours) {
        let _ = write!(xml, "{}", channel(&lens, "1", &next.to_string(), &function(colour, 1)));
        next += 1;
    }
    if dice.one_in(2) {
        let _ = write!(xml, "{}", channel(&lens, "1", "", &function("Own Word", 1)));
    }
    if top.segments > 0 {
        for (offset, colour) in (1..).zip(COLOURS.iter().take(per_segment)) {
            let offset: usize = offset;
            let _ = write!(xml, "{}", channel("Pixel", "1", &offset.to_string(), &function(colour, 1)));
        }
        if top.second_break {
            // By number, or by the word that takes the reference's last break, whichever that is.
            let number = if dice.one_in(2) { "2" } else { "Overwrite" };
            let _ = write!(xml, "{}", channel("Pixel", number, "1,2", &function("Dimmer", 2)));
        }
    }
    xml.push_str("</DMXChannels><Relations/><FTMacros/></DMXMode>\n");
}

fn channel(part: &str, number: &str, offset: &str, inside: &str) -> String {
    format!(
        "<DMXChannel DMXBreak=\"{number}\" Offset=\"{offset}\" Default=\"0/1\" Highlight=\"None\" Geometry=\"{part}\">{inside}</DMXChannel>\n"
    )
}

fn function(attribute: &str, bytes: u8) -> String {
    format!(
        "<LogicalChannel Attribute=\"{attribute}\" Snap=\"No\" Master=\"None\" MibFade=\"0\" DMXChangeTimeLimit=\"0\"><ChannelFunction \
         Name=\"{attribute} 1\" Attribute=\"{attribute}\" OriginalAttribute=\"\" DMXFrom=\"0/{bytes}\" PhysicalFrom=\"0\" \
         PhysicalTo=\"1\" RealFade=\"0\"><ChannelSet Name=\"low\" DMXFrom=\"0/{bytes}\"/><ChannelSet Name=\"\" DMXFrom=\"1/{bytes}\"/></ChannelFunction></LogicalChannel>"
    )
}

fn turning(attribute: &str) -> String {
    function(attribute, 2)
        .replace("PhysicalFrom=\"0\"", "PhysicalFrom=\"-270\"")
        .replace("PhysicalTo=\"1\"", "PhysicalTo=\"270\"")
}

/// A channel of several functions and windows.
fn windows(attribute: &str, dice: &mut Dice) -> String {
    let mut xml = format!(
        "<LogicalChannel Attribute=\"{attribute}\" Snap=\"No\" Master=\"None\" MibFade=\"0\" DMXChangeTimeLimit=\"0\">"
    );
    let wheel = if matches!(attribute, "Color1" | "Gobo1") {
        format!(" Wheel=\"{attribute} wheel\"")
    } else {
        String::new()
    };
    let _ = write!(
        xml,
        "<ChannelFunction Name=\"First\" Attribute=\"{attribute}\" OriginalAttribute=\"\" DMXFrom=\"0/1\" PhysicalFrom=\"0\" PhysicalTo=\"1\" RealFade=\"0\"{wheel}>"
    );
    let width = 8 + dice.below(8);
    for slot in 1..=8 {
        let index = if wheel.is_empty() { 0 } else { slot };
        let words = ["Open", "Closed", "No function", "Slot", "Auto", "Sound", "Reset", "Other"];
        let word = words[(slot - 1) as usize];
        let _ = write!(
            xml,
            "<ChannelSet Name=\"{word}\" DMXFrom=\"{}/1\" WheelSlotIndex=\"{index}\"/>",
            (slot - 1) * width
        );
    }
    let _ = write!(
        xml,
        "</ChannelFunction><ChannelFunction Name=\"Second\" Attribute=\"Shutter1Strobe\" OriginalAttribute=\"\" DMXFrom=\"{}/1\" PhysicalFrom=\"12\" PhysicalTo=\"0.8\" RealFade=\"0\"/></LogicalChannel>",
        8 * width + dice.below(60)
    );
    xml
}
