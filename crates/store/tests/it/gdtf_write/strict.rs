//! What DIN SPEC 15800 asks of a description, as far as its tables say it: the order of elements (tables 2 to 72), what is
//! mandatory, the letters of names (annex C), references that lead somewhere, and functions that begin at 0 and ascend.
//! The public schema is not to be had from a package registry; this is written from the tables, not from our writer.

#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::{BTreeMap, BTreeSet};

use roxmltree::{Document, Node};

/// Children in their order, by element.
const ORDER: &[(&str, &[&str])] = &[
    (
        "FixtureType",
        &[
            "AttributeDefinitions",
            "Wheels",
            "PhysicalDescriptions",
            "Models",
            "Geometries",
            "DMXModes",
            "Revisions",
            "FTPresets",
            "Protocols",
        ],
    ),
    ("AttributeDefinitions", &["ActivationGroups", "FeatureGroups", "Attributes"]),
    (
        "PhysicalDescriptions",
        &[
            "Emitters",
            "Filters",
            "ColorSpace",
            "AdditionalColorSpaces",
            "Gamuts",
            "DMXProfiles",
            "CRIs",
            "Connectors",
            "Properties",
        ],
    ),
    ("DMXMode", &["DMXChannels", "Relations", "FTMacros"]),
];

/// What must not be missing.
const MANDATORY: &[(&str, &[&str])] = &[
    ("GDTF", &["DataVersion"]),
    ("FixtureType", &["Name", "ShortName", "LongName", "Manufacturer", "Description", "FixtureTypeID"]),
    ("Attribute", &["Name", "Pretty", "Feature"]),
    ("Feature", &["Name"]),
    ("FeatureGroup", &["Name", "Pretty"]),
    ("Wheel", &["Name"]),
    ("Slot", &["Name"]),
    ("Emitter", &["Name", "Color"]),
    ("Model", &["Name", "Length", "Width", "Height"]),
    ("Geometry", &["Name", "Position"]),
    ("Axis", &["Name", "Position"]),
    ("Beam", &["Name", "Position"]),
    ("DMXMode", &["Name", "Geometry"]),
    ("DMXChannel", &["DMXBreak", "Offset", "InitialFunction", "Geometry"]),
    ("LogicalChannel", &["Attribute"]),
    ("ChannelFunction", &["Name", "Attribute", "DMXFrom", "Default", "PhysicalFrom", "PhysicalTo"]),
    ("ChannelSet", &["DMXFrom"]),
    ("FTRDM", &["ManufacturerID", "DeviceModelID"]),
];

/// Elements whose `Name` is of the type Name.
const NAMED: &[&str] = &[
    "FixtureType",
    "Attribute",
    "Feature",
    "FeatureGroup",
    "ActivationGroup",
    "Wheel",
    "Slot",
    "Emitter",
    "Model",
    "Geometry",
    "Axis",
    "Beam",
    "WiringObject",
    "DMXMode",
    "ChannelFunction",
    "ChannelSet",
];

pub(super) fn check(text: &str) -> Vec<String> {
    let tree = Document::parse(text).unwrap();
    let mut found = Vec::new();
    let root = tree.root_element();
    if root.attribute("DataVersion") != Some("1.2") {
        found.push("the version is not 1.2".to_owned());
    }
    for node in root.descendants().filter(Node::is_element) {
        element(node, &mut found);
    }
    references(root, &mut found);
    for mode in root.descendants().filter(|node| node.has_tag_name("DMXMode")) {
        channels(mode, &mut found);
    }
    found
}

fn element(node: Node<'_, '_>, found: &mut Vec<String>) {
    let tag = node.tag_name().name();
    if let Some((_, order)) = ORDER.iter().find(|(known, _)| *known == tag) {
        let places: Vec<usize> = node
            .children()
            .filter(Node::is_element)
            .filter_map(|child| order.iter().position(|known| *known == child.tag_name().name()))
            .collect();
        if !places.is_sorted() {
            found.push(format!("the children of {tag} are out of order"));
        }
    }
    for name in MANDATORY.iter().filter(|(known, _)| *known == tag).flat_map(|(_, names)| *names) {
        if node.attribute(*name).is_none() {
            found.push(format!("{tag} has no {name}"));
        }
    }
    let letters = |c: char| c.is_ascii_alphanumeric() || " \"#%'()*+-/:;<=>@_`".contains(c);
    if let Some(name) = node.attribute("Name").filter(|_| NAMED.contains(&tag))
        && !name.chars().all(letters)
    {
        found.push(format!("{tag} is called {name:?}"));
    }
}

fn names<'a>(root: Node<'a, 'a>, tags: &[&str]) -> Vec<&'a str> {
    let list = root.descendants().filter(|node| tags.contains(&node.tag_name().name()));
    list.filter_map(|node| node.attribute("Name")).collect()
}

fn references<'a>(root: Node<'a, 'a>, found: &mut Vec<String>) {
    let parts = names(root, &["Geometry", "Axis", "Beam"]);
    let unique: BTreeSet<&str> = parts.iter().copied().collect();
    if unique.len() < parts.len() {
        found.push("two parts have one name".to_owned());
    }
    let attributes = names(root, &["Attribute"]);
    let features: Vec<String> = root
        .descendants()
        .filter(|node| node.has_tag_name("Feature"))
        .map(|node| {
            format!(
                "{}.{}",
                node.parent().unwrap().attribute("Name").unwrap(),
                node.attribute("Name").unwrap()
            )
        })
        .collect();
    let (wheels, emitters) = (names(root, &["Wheel"]), names(root, &["Emitter"]));
    let (models, activations) = (names(root, &["Model"]), names(root, &["ActivationGroup"]));
    for node in root.descendants().filter(Node::is_element) {
        let tag = node.tag_name().name();
        let mut leads = |name: &str, fits: &dyn Fn(&str) -> bool| {
            if let Some(value) = node.attribute(name).filter(|value| !value.is_empty())
                && !fits(value)
            {
                found.push(format!("{tag} {name}=\"{value}\" leads nowhere"));
            }
        };
        match tag {
            "DMXMode" | "DMXChannel" => leads("Geometry", &|it| parts.contains(&it)),
            "LogicalChannel" => leads("Attribute", &|it| attributes.contains(&it)),
            "ChannelFunction" => {
                leads("Attribute", &|it| attributes.contains(&it));
                leads("Wheel", &|it| wheels.contains(&it));
                leads("Emitter", &|it| emitters.contains(&it));
            }
            "Attribute" => {
                leads("Feature", &|it| features.iter().any(|known| known == it));
                leads("ActivationGroup", &|it| activations.contains(&it));
            }
            "Geometry" | "Axis" | "Beam" => leads("Model", &|it| models.contains(&it)),
            _ => {}
        }
    }
}

fn channels(mode: Node<'_, '_>, found: &mut Vec<String>) {
    let mut names: BTreeMap<String, Node<'_, '_>> = BTreeMap::new();
    let mut taken = BTreeSet::new();
    let list: Vec<Node<'_, '_>> = mode.descendants().filter(|node| node.has_tag_name("DMXChannel")).collect();
    for node in &list {
        let logical = node.children().find(|it| it.has_tag_name("LogicalChannel")).unwrap();
        let name =
            format!("{}_{}", node.attribute("Geometry").unwrap(), logical.attribute("Attribute").unwrap());
        for offset in node.attribute("Offset").unwrap().split(',') {
            let offset: u32 = offset.parse().unwrap();
            if offset == 0 || offset > 512 || !taken.insert((node.attribute("DMXBreak").unwrap(), offset)) {
                found.push(format!("{name}: offset {offset} is taken or impossible"));
            }
        }
        if names.insert(name.clone(), *node).is_some() {
            found.push(format!("two channels are called {name}"));
        }
    }
    for node in &list {
        let bytes = node.attribute("Offset").unwrap().split(',').count();
        let logical = node.children().find(|it| it.has_tag_name("LogicalChannel")).unwrap();
        let functions: Vec<Node<'_, '_>> =
            logical.children().filter(|it| it.has_tag_name("ChannelFunction")).collect();
        let titles: BTreeSet<&str> = functions.iter().filter_map(|it| it.attribute("Name")).collect();
        if titles.len() < functions.len() || functions.is_empty() {
            found.push("functions of a channel are missing or have one name".to_owned());
        }
        let initial: Vec<&str> = node.attribute("InitialFunction").unwrap().split('.').collect();
        if initial.len() != 3 || !names.contains_key(initial[0]) || !titles.contains(initial[2]) {
            found.push(format!("InitialFunction {initial:?} leads nowhere"));
        }
        let value = |node: &Node<'_, '_>, name: &str| {
            let (value, width) = node.attribute(name).unwrap().split_once('/').unwrap();
            (value.parse::<u32>().unwrap(), width.parse::<usize>().unwrap())
        };
        let mut before: BTreeMap<Option<&str>, u32> = BTreeMap::new();
        for (index, function) in functions.iter().enumerate() {
            let (from, width) = value(function, "DMXFrom");
            let master = function.attribute("ModeMaster");
            if width != bytes || value(function, "Default").1 != bytes || (index == 0 && from != 0) {
                found.push(format!(
                    "{:?}: DMXFrom has another width, or the first is not 0",
                    function.attribute("Name")
                ));
            }
            if before.insert(master, from).is_some_and(|last| master.is_none() && last >= from) {
                found.push(format!("{:?}: functions do not ascend", function.attribute("Name")));
            }
            if master.is_some_and(|it| !names.contains_key(it)) {
                found.push(format!("ModeMaster {master:?} leads nowhere"));
            }
        }
    }
}
