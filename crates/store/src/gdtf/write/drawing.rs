//! The parts of a light as we draw them: a base, a yoke that pans, a head that tilts, and one beam for each head.

use lanthorn_fixture::{Attribute, Channel, Mode, Profile};

use super::figure;
use crate::xml::Element;

const IDENTITY: &str = "{1.000000,0.000000,0.000000,0.000000}{0.000000,1.000000,0.000000,0.000000}{0.000000,0.000000,1.000000,0.000000}{0.000000,0.000000,0.000000,1.000000}";

/// What is drawn of a profile.
pub(crate) struct Drawing {
    pans: bool,
    tilts: bool,
    beams: u8,
    /// Further parts that do nothing but keep the names of channels apart.
    spare: usize,
}

impl Drawing {
    pub(crate) fn new(profile: &Profile) -> Self {
        let drives = |attribute: &Attribute| {
            let channels = profile.modes.iter().flat_map(|mode| &mode.channels);
            channels.flat_map(|channel| &channel.ranges).any(|range| range.attribute == *attribute)
        };
        let beams = profile.modes.iter().map(|mode| mode.heads).max().unwrap_or(1).max(1);
        let (pans, tilts) = (drives(&Attribute::Pan), drives(&Attribute::Tilt));
        let mut drawing = Self { pans, tilts, beams, spare: 0 };
        let spare = profile.modes.iter().map(|mode| drawing.names(mode).1).max().unwrap_or(0);
        drawing.spare = spare;
        drawing
    }

    /// The part that each channel of a mode acts on, no two of which have the same attribute on the same part; and how
    /// many spare parts that takes.
    pub(super) fn names(&self, mode: &Mode) -> (Vec<(String, Attribute)>, usize) {
        let mut list: Vec<(String, Attribute)> = Vec::new();
        let mut spare = 0;
        for channel in &mode.channels {
            let attribute = main(channel);
            let mut part = self.part(channel, &attribute);
            let mut number = 0;
            while list.iter().any(|(known, it)| *known == part && *it == attribute) {
                number += 1;
                part = format!("Spare {number}");
            }
            spare = spare.max(number);
            list.push((part, attribute));
        }
        (list, spare)
    }

    fn part(&self, channel: &Channel, attribute: &Attribute) -> String {
        match (channel.head, attribute) {
            (Some(head), _) => self.beam(head),
            (None, Attribute::Pan) => "Yoke".to_owned(),
            (None, Attribute::Tilt) => "Head".to_owned(),
            (None, _) if self.beams == 1 && is_of_light(attribute) => self.beam(0),
            (None, _) if is_of_light(attribute) => self.holder().to_owned(),
            (None, _) => "Base".to_owned(),
        }
    }

    fn beam(&self, head: u8) -> String {
        if self.beams == 1 { "Beam".to_owned() } else { format!("Beam {}", u16::from(head) + 1) }
    }

    /// What the beams sit on.
    fn holder(&self) -> &'static str {
        match (self.pans, self.tilts) {
            (_, true) => "Head",
            (true, false) => "Yoke",
            (false, false) => "Base",
        }
    }

    pub(super) fn models(&self, profile: &Profile) -> Element {
        let body = &profile.body;
        let sizes = [body.width, body.depth, body.height].map(|size| size.value().map_or(0.0, |it| it.get()));
        let known = sizes.iter().any(|size| *size > 0.0);
        let model = known.then(|| {
            Element::new("Model")
                .with("Name", "Body")
                .with("Length", figure(sizes[0]))
                .with("Width", figure(sizes[1]))
                .with("Height", figure(sizes[2]))
                .with("PrimitiveType", "Cube")
                .with("File", "")
        });
        Element::new("Models").holding(model)
    }

    pub(super) fn geometries(&self, profile: &Profile) -> Element {
        let part = |tag: &str, name: &str| {
            Element::new(tag).with("Name", name).with("Model", "").with("Position", IDENTITY)
        };
        let optics = &profile.optics;
        let degrees =
            |angle: Option<lanthorn_physics::units::Radians>| angle.map(|angle| figure(angle.deg()));
        let mut inside: Vec<Element> = (0..self.beams)
            .map(|head| {
                part("Beam", &self.beam(head))
                    .with_known("LuminousFlux", optics.flux.value().map(|flux| figure(flux.get())))
                    .with_known("BeamAngle", degrees(optics.beam.value()))
                    .with_known("FieldAngle", degrees(optics.field.value()))
                    .with("BeamType", "Wash")
            })
            .collect();
        if self.tilts {
            inside = vec![part("Axis", "Head").holding(inside)];
        }
        if self.pans {
            inside = vec![part("Axis", "Yoke").holding(inside)];
        }
        let mut base = part("Geometry", "Base").holding(inside);
        let sized =
            [profile.body.width, profile.body.depth, profile.body.height].iter().any(|it| it.is_known());
        if let Some((_, model)) = base.attributes.iter_mut().find(|(name, _)| name == "Model" && sized) {
            *model = "Body".to_owned();
        }
        for number in 1..=self.spare {
            base.push(part("Geometry", &format!("Spare {number}")));
        }
        base.children.extend(inlet(profile).map(crate::xml::Child::Element));
        Element::new("Geometries").holding([base])
    }
}

/// Where its power comes in.
fn inlet(profile: &Profile) -> Option<Element> {
    let power = &profile.power;
    let known = power.watts.is_known() || power.power_factor.is_known() || power.supply.is_known();
    let supply = power.supply.value();
    known.then(|| {
        Element::new("WiringObject")
            .with("Name", "Power")
            .with("Model", "")
            .with("Position", IDENTITY)
            .with("ConnectorType", "")
            .with("ComponentType", "Consumer")
            .with("SignalType", "Power")
            .with("PinCount", 0)
            .with_known("ElectricalPayLoad", power.watts.value().map(|watts| figure(watts.get())))
            .with_known("VoltageRangeMax", supply.map(|(_, high)| figure(high.get())))
            .with_known("VoltageRangeMin", supply.map(|(low, _)| figure(low.get())))
            .with_known("CosPhi", power.power_factor.value().map(figure))
    })
}

/// What a channel is named after: the first thing that it does.
fn main(channel: &Channel) -> Attribute {
    let doing = channel.ranges.iter().map(|range| &range.attribute);
    doing
        .clone()
        .find(|it| **it != Attribute::NoFeature)
        .or(doing.clone().next())
        .cloned()
        .unwrap_or(Attribute::NoFeature)
}

/// `true` for what acts on the light itself.
fn is_of_light(attribute: &Attribute) -> bool {
    let name = attribute.name();
    let words =
        ["Dimmer", "Color", "Shutter", "Strobe", "Gobo", "Prism", "Zoom", "Focus", "Iris", "Frost", "CT"];
    words.iter().any(|word| name.starts_with(word)) && name != "DimmerCurve"
}
