//! The attributes that a light uses, as DIN SPEC 15800 defines them (its annexes A and B).

use std::collections::BTreeSet;

use lanthorn_fixture::{Attribute, Profile};

use super::name;
use crate::xml::Element;

/// Feature group, feature, activation group and physical unit of an attribute.
struct Definition {
    group: &'static str,
    feature: &'static str,
    activation: Option<&'static str>,
    unit: &'static str,
}

/// The definitions of everything that a profile's channels do.
pub(super) fn definitions(profile: &Profile) -> Element {
    let ranges = profile.modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges);
    let mut used: BTreeSet<String> = ranges.map(|range| range.attribute.name().to_owned()).collect();
    used.insert(Attribute::NoFeature.name().to_owned());
    let mut activations = BTreeSet::new();
    let mut features: BTreeSet<(&str, &str)> = BTreeSet::new();
    let mut attributes = Element::new("Attributes");
    for attribute in &used {
        let definition = definition(attribute);
        activations.extend(definition.activation);
        features.insert((definition.group, definition.feature));
        attributes.push(
            Element::new("Attribute")
                .with("Name", name(attribute))
                .with("Pretty", name(attribute))
                .with_known("ActivationGroup", definition.activation)
                .with("Feature", format!("{}.{}", definition.group, definition.feature))
                .with("PhysicalUnit", definition.unit),
        );
    }
    let groups: BTreeSet<&str> = features.iter().map(|(group, _)| *group).collect();
    let groups = groups.into_iter().map(|group| {
        let own = features.iter().filter(|(of, _)| *of == group);
        let own = own.map(|(_, feature)| Element::new("Feature").with("Name", feature));
        Element::new("FeatureGroup").with("Name", group).with("Pretty", group).holding(own)
    });
    let activations =
        activations.into_iter().map(|group| Element::new("ActivationGroup").with("Name", group));
    Element::new("AttributeDefinitions").holding([
        Element::new("ActivationGroups").holding(activations),
        Element::new("FeatureGroups").holding(groups),
        attributes,
    ])
}

fn definition(attribute: &str) -> Definition {
    let (group, feature, activation) = match attribute {
        "Dimmer" => ("Dimmer", "Dimmer", None),
        "Pan" | "Tilt" => ("Position", "PanTilt", Some("PanTilt")),
        name if name.starts_with("PanRotate") || name.starts_with("TiltRotate") => {
            ("Position", "PanTilt", Some("PanTilt"))
        }
        name if name.starts_with("ColorAdd_") || name.starts_with("ColorSub_") => {
            ("Color", "RGB", Some("ColorRGB"))
        }
        name if name.starts_with("Color1") => ("Color", "Color", None),
        name if name.starts_with("ColorMacro") || name.starts_with("CT") => ("Color", "Color", None),
        name if name.starts_with("Gobo") => ("Gobo", "Gobo", None),
        name if name.starts_with("Zoom") || name.starts_with("Focus") => ("Focus", "Focus", None),
        name if ["Shutter", "Strobe", "Iris", "Frost", "Prism"].iter().any(|word| name.starts_with(word)) => {
            ("Beam", "Beam", None)
        }
        _ => ("Control", "Control", None),
    };
    let unit = match attribute {
        "Pan" | "Tilt" | "Zoom" => "Angle",
        "CTO" => "Temperature",
        "StrobeDuration" => "Time",
        name if name.starts_with("ColorAdd_") || name.starts_with("ColorSub_") => "ColorComponent",
        name if name.ends_with("Rotate") || name.ends_with("WheelSpin") => "AngularSpeed",
        name if name.ends_with("Pos") => "Angle",
        name if name.contains("Strobe") => "Frequency",
        _ => "None",
    };
    Definition { group, feature, activation, unit }
}
