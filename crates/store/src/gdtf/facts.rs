//! Facts of the whole light: size, weight, power, beam, travel, emitters, wheels, and what sort of light it is.
//!
//! A figure that equals the standard's default is what nobody filled in, and is not known: a third of the beams that were
//! met hold 25°, 10,000 lm, 1,000 W and 6,000 K all the same.

use std::collections::BTreeSet;

use lanthorn_fixture::profile::{
    Body, Data, Emitter, Kind, Movement, Optics, Power, RdmModel, Wheel, WheelSlot,
};
use lanthorn_fixture::{Attribute, Fact, Mode, Origin};
use lanthorn_physics::colour::{Chromaticity, Spectrum};
use lanthorn_physics::units::{Kilograms, Lumens, Metres, Radians, Seconds, Volts, Watts};
use roxmltree::Node;

use super::geometry::{Drawn, Parts};
use super::meaning::{Family, emitter_by_name, family};
use super::value::{colour, number};
use crate::xml::notes::{Notes, child, children, plain_name};

/// What a missing figure is read as: a default of the standard counts as nothing said.
fn stated(node: Node<'_, '_>, name: &str, default: Option<f64>) -> Option<f64> {
    let value = node.attribute(name).and_then(number)?;
    default.is_none_or(|default| (value - default).abs() > 1e-9).then_some(value)
}

fn within(value: Option<f64>, low: f64, high: f64) -> Option<f64> {
    value.filter(|value| *value > low && *value <= high)
}

fn fact<T>(value: Option<T>, origin: Origin) -> Fact<T> {
    value.map_or(Fact::unknown(), |value| Fact::new(value, origin))
}

/// The sizes of its models, and what it weighs.
pub(super) fn body<'a>(fixture: Node<'a, 'a>, parts: Option<&Parts<'_>>, drawn: &Drawn<'_>) -> Body {
    let models: Vec<Node<'_, '_>> =
        child(fixture, "Models").into_iter().flat_map(|all| children(all, "Model")).collect();
    let (mut width, mut depth, mut height): (f64, f64, f64) = (0.0, 0.0, 0.0);
    let mut seen = 0;
    for (at, part) in parts.iter().flat_map(|parts| parts.list.iter().enumerate()) {
        let own = part.node.attribute("Model").filter(|name| !name.is_empty());
        let named = own.or_else(|| parts.and_then(|parts| parts.drawn(at, drawn).attribute("Model")));
        let model = named.and_then(|name| models.iter().find(|model| model.attribute("Name") == Some(name)));
        let Some(model) = model else { continue };
        let size = |name| within(stated(*model, name, None), 0.0, 20.0).unwrap_or(0.0);
        width = width.max(size("Length"));
        depth = depth.max(size("Width"));
        height = height.max(size("Height") - part.lift.min(0.0));
        seen += 1;
    }
    // Of one model the size is stated; of several it is put together, and their origins are anybody's guess.
    let origin = if seen == 1 { Origin::Stated } else { Origin::Guessed };
    let length = |value: f64| fact(within(Some(value), 0.0, 20.0).map(Metres::new), origin);
    let weight =
        properties(fixture, "Weight").and_then(|node| within(stated(node, "Value", None), 0.0, 500.0));
    Body {
        width: length(width),
        depth: length(depth),
        height: length(height),
        weight: fact(weight.map(Kilograms::new), Origin::Stated),
    }
}

fn properties<'a>(fixture: Node<'a, 'a>, name: &'static str) -> Option<Node<'a, 'a>> {
    child(child(child(fixture, "PhysicalDescriptions")?, "Properties")?, name)
}

/// What it draws: as its power input says, else what its light sources do.
pub(super) fn power(parts: Option<&Parts<'_>>, drawn: &Drawn<'_>) -> Power {
    let mut power = Power::default();
    let mut sources = 0.0;
    for at in 0..parts.map_or(0, |parts| parts.list.len()) {
        let Some(node) = parts.map(|parts| parts.drawn(at, drawn)) else { continue };
        match node.tag_name().name() {
            "Beam" => {
                sources +=
                    within(stated(node, "PowerConsumption", Some(1000.0)), 0.0, 100_000.0).unwrap_or(0.0);
            }
            "WiringObject" if is_power_input(node) => {
                let watts = within(stated(node, "ElectricalPayLoad", None), 0.0, 100_000.0);
                power.watts = fact(watts.map(Watts::new), Origin::Stated);
                let factor = within(stated(node, "CosPhi", None), 0.05, 1.0);
                power.power_factor = fact(factor, Origin::Stated);
                let volts = |name| within(stated(node, name, None), 11.9, 1000.0);
                let supply =
                    volts("VoltageRangeMin").zip(volts("VoltageRangeMax")).filter(|(low, high)| low < high);
                power.supply =
                    fact(supply.map(|(low, high)| (Volts::new(low), Volts::new(high))), Origin::Stated);
                power.connector = fact(node.attribute("ConnectorType").and_then(plain_name), Origin::Stated);
            }
            _ => {}
        }
    }
    if !power.watts.is_known() && sources > 0.0 {
        power.watts = Fact::new(Watts::new(sources), Origin::Derived);
    }
    power
}

fn is_power_input(node: Node<'_, '_>) -> bool {
    let is = |name, word: &str| node.attribute(name).is_some_and(|text| text.eq_ignore_ascii_case(word));
    is("SignalType", "Power") && !is("ComponentType", "Output")
}

/// Its data socket, and the numbers by which it answers.
pub(super) fn data<'a>(fixture: Node<'a, 'a>, parts: Option<&Parts<'_>>, drawn: &Drawn<'_>) -> Data {
    let mut data = Data::default();
    for at in 0..parts.map_or(0, |parts| parts.list.len()) {
        let Some(node) = parts.map(|parts| parts.drawn(at, drawn)) else { continue };
        let is_dmx =
            node.attribute("SignalType").is_some_and(|text| text.to_ascii_uppercase().starts_with("DMX"));
        if node.tag_name().name() == "WiringObject" && is_dmx && !data.connector.is_known() {
            data.connector = fact(node.attribute("ConnectorType").and_then(plain_name), Origin::Stated);
        }
    }
    let protocols = child(fixture, "Protocols");
    // Called so in 1.2, and otherwise in files of before.
    let rdm = protocols.and_then(|all| child(all, "FTRDM").or_else(|| child(all, "RDM")));
    let hex = |name| {
        let text = rdm?.attribute(name)?.trim();
        let digits = text.strip_prefix("0x").or_else(|| text.strip_prefix("0X")).unwrap_or(text);
        u16::from_str_radix(digits, 16).ok()
    };
    let both = hex("ManufacturerID").zip(hex("DeviceModelID")).filter(|both| *both != (0, 0));
    data.rdm = fact(both.map(|(manufacturer, model)| RdmModel { manufacturer, model }), Origin::Stated);
    data
}

/// The beam of its first light source that says anything.
pub(super) fn optics(parts: Option<&Parts<'_>>, drawn: &Drawn<'_>) -> Optics {
    let mut optics = Optics::default();
    for at in 0..parts.map_or(0, |parts| parts.list.len()) {
        let Some(node) =
            parts.map(|parts| parts.drawn(at, drawn)).filter(|node| node.tag_name().name() == "Beam")
        else {
            continue;
        };
        let angle = |name| within(stated(node, name, Some(25.0)), 0.0, 360.0).map(Radians::from_deg);
        let flux = within(stated(node, "LuminousFlux", Some(10_000.0)), 0.0, 1e7).map(Lumens::new);
        optics.beam = fact(angle("BeamAngle"), Origin::Stated);
        optics.field = fact(angle("FieldAngle"), Origin::Stated);
        optics.flux = fact(flux, Origin::Stated);
        break;
    }
    optics
}

/// Pan and tilt: spans and times of the widest function of each.
pub(super) fn movement(fixture: Node<'_, '_>) -> Option<Movement> {
    let mut movement = Movement::default();
    let mut moves = false;
    for node in fixture.descendants().filter(|node| node.tag_name().name() == "ChannelFunction") {
        let parent = node.parent().and_then(|it| it.attribute("Attribute"));
        let name = node.attribute("Attribute").or(parent).unwrap_or("").trim();
        let is_pan = name.eq_ignore_ascii_case("Pan");
        if !is_pan && !name.eq_ignore_ascii_case("Tilt") {
            continue;
        }
        moves = true;
        let ends = node
            .attribute("PhysicalFrom")
            .and_then(number)
            .zip(node.attribute("PhysicalTo").and_then(number));
        let ends = ends.filter(|ends| *ends != (0.0, 1.0) && *ends != (1.0, 0.0));
        let ends = ends.filter(|(from, to)| from.abs() <= 720.0 && to.abs() <= 720.0);
        let travel =
            ends.map(|(from, to)| (to - from).abs()).filter(|travel| *travel > 0.0 && *travel <= 720.0);
        let time = |name| within(stated(node, name, Some(0.0)), 0.0, 120.0).map(Seconds::new);
        let (travels, times, starts) = if is_pan {
            (&mut movement.pan_travel, &mut movement.pan_time, &mut movement.pan_acceleration)
        } else {
            (&mut movement.tilt_travel, &mut movement.tilt_time, &mut movement.tilt_acceleration)
        };
        if travels.value().is_none_or(|known| travel.is_some_and(|it| Radians::from_deg(it) > known)) {
            *travels = fact(travel.map(Radians::from_deg), Origin::Stated);
        }
        if !times.is_known() {
            *times = fact(time("RealFade"), Origin::Stated);
        }
        if !starts.is_known() {
            *starts = fact(time("RealAcceleration"), Origin::Stated);
        }
    }
    moves.then_some(movement)
}

/// What it mixes from: the emitters that functions refer to, or whose names say what they are.
pub(super) fn emitters<'a>(fixture: Node<'a, 'a>, notes: &mut Notes<'_>) -> Vec<Emitter> {
    let all = child(fixture, "PhysicalDescriptions").and_then(|it| child(it, "Emitters"));
    let nodes: Vec<Node<'_, '_>> = all.into_iter().flat_map(|all| children(all, "Emitter")).collect();
    let driven: Vec<(&str, &str)> = fixture
        .descendants()
        .filter(|node| node.tag_name().name() == "ChannelFunction")
        .filter_map(|node| node.attribute("Emitter").zip(node.attribute("Attribute")))
        .collect();
    let mut list: Vec<Emitter> = Vec::new();
    for node in nodes {
        let name = node.attribute("Name").unwrap_or("");
        let by_function = driven.iter().find(|(emitter, _)| !name.is_empty() && *emitter == name);
        let attribute = by_function.map(|(_, it)| Attribute::from_name(it)).or_else(|| emitter_by_name(name));
        let Some(attribute) = attribute else {
            notes.doubt(
                node,
                &format!("emitter \"{name}\""),
                "nothing says which channel drives it",
                "it is not mixed with",
            );
            continue;
        };
        if list.iter().any(|known| known.attribute == attribute) || list.len() >= 8 {
            let what = "another emitter is driven by the same channels, or there are eight already";
            notes.doubt(node, &format!("emitter \"{name}\""), what, "it is not mixed with");
            continue;
        }
        let (chromaticity, output) = emitter_colour(node, notes);
        let name = plain_name(name).unwrap_or_else(|| super::meaning::channel_name(&attribute));
        list.push(Emitter { name, attribute, chromaticity, output, watts: Fact::unknown() });
    }
    // The same figure for all of them is a form that nobody filled in.
    let first = list.first().and_then(|emitter| emitter.output.value());
    if list.len() > 1 && list.iter().all(|emitter| emitter.output.value() == first) {
        list.iter_mut().for_each(|emitter| emitter.output = Fact::unknown());
    }
    list
}

/// The colour as stated, else by its spectrum, else by its dominant wavelength.
fn emitter_colour<'a>(node: Node<'a, 'a>, notes: &mut Notes<'_>) -> (Fact<Chromaticity>, Fact<f64>) {
    let text = node.attribute("Color").unwrap_or("");
    let read = colour(text);
    let who = format!("emitter \"{}\"", node.attribute("Name").unwrap_or(""));
    if read.is_none() && !text.is_empty() {
        notes.doubt(node, &who, &format!("\"{text}\" is no colour"), "it is not known then");
    } else if read.is_some_and(|(_, odd)| odd) {
        notes.doubt(node, &who, &format!("\"{text}\" has not three parts"), "it is read as x, y and light");
    }
    let given =
        read.map(|(it, _)| it).filter(|[x, y, _]| (x - 0.3127).abs() > 1e-9 || (y - 0.329).abs() > 1e-9);
    let output = given.map(|[_, _, level]| level).filter(|level| *level > 0.0 && *level <= 1e6);
    let output = fact(output, Origin::Stated);
    if let Some([x, y, _]) = given {
        return (Fact::stated(Chromaticity::new(x, y)), output);
    }
    if let Some(colour) = measured(node) {
        return (Fact::new(colour, Origin::Derived), output);
    }
    let wavelength = within(stated(node, "DominantWaveLength", Some(0.0)), 379.0, 780.0);
    let colour = wavelength.and_then(|peak| Spectrum::narrow(peak, 20.0).chromaticity());
    (fact(colour, Origin::Guessed), output)
}

/// The colour of a measured spectrum, read between its points.
fn measured<'a>(node: Node<'a, 'a>) -> Option<Chromaticity> {
    let full = |node: &Node<'_, '_>| node.attribute("Physical").and_then(number).unwrap_or(0.0);
    let best = children(node, "Measurement").max_by(|a, b| full(a).total_cmp(&full(b)))?;
    let mut points: Vec<(f64, f64)> = children(best, "MeasurementPoint")
        .filter_map(|point| {
            point.attribute("WaveLength").and_then(number).zip(point.attribute("Energy").and_then(number))
        })
        .filter(|(_, energy)| *energy >= 0.0)
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    if points.len() < 3 {
        return None;
    }
    let power = |wave: f64| {
        let next = points.partition_point(|(at, _)| *at < wave);
        match (next.checked_sub(1).and_then(|before| points.get(before)), points.get(next)) {
            (Some((a, low)), Some((b, high))) => low + (high - low) * (wave - a) / (b - a).max(1e-9),
            (None, Some((at, energy))) if (at - wave).abs() < 1e-9 => *energy,
            _ => 0.0,
        }
    };
    Spectrum::from_fn(power)
        .chromaticity()
        .filter(|colour| colour.x.is_finite() && colour.y > 0.001 && colour.x < 0.8)
}

/// Wheels by the attribute that turns them; what is not turned by anything is left to what is kept.
pub(super) fn wheels<'a>(fixture: Node<'a, 'a>, notes: &mut Notes<'_>) -> Vec<(String, Wheel)> {
    let nodes = child(fixture, "Wheels").into_iter().flat_map(|all| children(all, "Wheel"));
    let functions: Vec<(&str, &str)> = fixture
        .descendants()
        .filter(|node| node.tag_name().name() == "ChannelFunction")
        .filter_map(|node| {
            let parent = node.parent().and_then(|it| it.attribute("Attribute"));
            node.attribute("Wheel").zip(node.attribute("Attribute").or(parent))
        })
        .collect();
    let mut list: Vec<(String, Wheel)> = Vec::new();
    for node in nodes {
        let name = node.attribute("Name").unwrap_or("");
        let who = format!("wheel \"{name}\"");
        let turned = |wanted: bool| {
            let fits = |it: &str| (family(it) == Family::Wheel) == wanted;
            functions
                .iter()
                .find(|(wheel, it)| !name.is_empty() && *wheel == name && fits(it))
                .map(|(_, it)| *it)
        };
        let Some(attribute) = turned(true).or_else(|| turned(false)) else {
            notes.doubt(node, &who, "no function turns it", "it is kept as it stands");
            continue;
        };
        let attribute = Attribute::from_name(base(attribute));
        let slots: Vec<WheelSlot> = children(node, "Slot").take(255).zip(1_u32..).map(slot).collect();
        if attribute.name().starts_with("Prism") || slots.is_empty() {
            continue;
        }
        if list.iter().any(|(_, known)| known.attribute == attribute) {
            notes.doubt(
                node,
                &who,
                "another wheel is turned by the same attribute",
                "it is kept as it stands",
            );
            continue;
        }
        list.push((name.to_owned(), Wheel { attribute, slots }));
    }
    list
}

/// "Color1WheelSpin" turns the wheel of "Color1".
fn base(attribute: &str) -> &str {
    let end = attribute
        .find(|c: char| c.is_ascii_digit())
        .map(|at| at + attribute[at..].find(|c: char| !c.is_ascii_digit()).unwrap_or(attribute.len() - at));
    end.and_then(|end| attribute.get(..end)).unwrap_or(attribute)
}

fn slot((node, number): (Node<'_, '_>, u32)) -> WheelSlot {
    let name = node.attribute("Name").and_then(plain_name).unwrap_or_else(|| format!("slot {number}"));
    let read = node.attribute("Color").and_then(colour).map(|(it, _)| it);
    let has_picture = node.attribute("MediaFileName").is_some_and(|file| !file.trim().is_empty());
    let white = |[x, y, _]: &[f64; 3]| (x - 0.3127).abs() < 1e-9 && (y - 0.329).abs() < 1e-9;
    let tinted = read.filter(|it| !white(it));
    let chromaticity = tinted.map(|[x, y, _]| Chromaticity::new(x, y));
    let passes = tinted.map(|[.., level]| level / 100.0).filter(|part| *part > 0.0 && *part < 1.0);
    let chromaticity = if has_picture { None } else { chromaticity };
    WheelSlot {
        name,
        chromaticity: fact(chromaticity, Origin::Stated),
        transmission: fact(passes, Origin::Stated),
    }
}

/// What sort of light, by what it has: a guess, which is said.
pub(super) fn kind<'a>(fixture: Node<'a, 'a>, name: &str, modes: &[Mode]) -> Kind {
    let ranges = modes.iter().flat_map(|mode| &mode.channels).flat_map(|channel| &channel.ranges);
    let driven: BTreeSet<&Attribute> = ranges.map(|range| &range.attribute).collect();
    let has = |wanted: &dyn Fn(&str) -> bool| driven.iter().any(|attribute| wanted(attribute.name()));
    let lower = name.to_ascii_lowercase();
    let beam_is = |attribute: &str, words: &[&str]| {
        fixture.descendants().filter(|node| node.tag_name().name() == "Beam").any(|node| {
            node.attribute(attribute)
                .is_some_and(|text| words.iter().any(|word| text.eq_ignore_ascii_case(word)))
        })
    };
    let colours = has(&|it| {
        it.starts_with("ColorAdd_")
            || it.starts_with("ColorSub_")
            || it == "Color1"
            || it.starts_with("ColorMacro")
    });
    let heads = modes.iter().map(|mode| mode.heads).max().unwrap_or(1);
    if has(&|it| it.starts_with("Fog") || it.starts_with("Haze")) {
        Kind::Hazer
    } else if has(&|it| it == "Pan" || it == "Tilt") {
        if has(&|it| it.starts_with("Gobo")) { Kind::SpotHead } else { Kind::WashHead }
    } else if colours {
        if heads > 2 { Kind::Bar } else { Kind::Par }
    } else if lower.contains("strobe") || lower.contains("blinder") {
        Kind::Strobe
    } else if heads > 1
        || beam_is("BeamType", &["None"])
        || !has(&|it| it == "Dimmer")
        || lower.contains("dimmer")
    {
        if has(&|it| it.contains("Strobe")) && !lower.contains("dimmer") {
            Kind::Strobe
        } else {
            Kind::Dimmer
        }
    } else if beam_is("BeamType", &["Fresnel", "PC"]) || beam_is("LampType", &["Tungsten", "Halogen"]) {
        Kind::Fresnel
    } else {
        Kind::Par
    }
}
