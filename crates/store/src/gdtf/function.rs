//! What the values of one channel mean: functions and their sets become ranges.

use lanthorn_fixture::mode::{RangeKind, Sense};
use lanthorn_fixture::{Attribute, Origin, Range};
use roxmltree::Node;

use super::meaning::{Family, danger, family, open_or_closed, says_nothing};
use super::value::{DmxValue, full, number};
use crate::xml::notes::{Notes, children};

/// Ranges of one channel, as a profile's text takes them.
pub(super) const MOST_RANGES: usize = 256;

/// A function of a channel; values are in the channel's own bytes.
pub(super) struct Function<'a> {
    pub(super) node: Node<'a, 'a>,
    pub(super) name: &'a str,
    pub(super) attribute: &'a str,
    /// The same as ours.
    does: Attribute,
    pub(super) from: u32,
    pub(super) to: u32,
    pub(super) default: Option<u32>,
    /// As stated, where that is.
    pub(super) physical: Option<(f64, f64)>,
    /// The channel or function that decides whether it is on, and its first and last value as written.
    pub(super) master: Option<(&'a str, Option<&'a str>, Option<&'a str>)>,
    pub(super) wheel: Option<&'a str>,
}

/// A range with the master that it depends on.
pub(super) struct Meant<'a> {
    pub(super) range: Range,
    pub(super) master: Option<(&'a str, Option<&'a str>, Option<&'a str>)>,
}

/// All functions of a channel of so many bytes, each with its end.
pub(super) fn functions<'a>(
    channel: Node<'a, 'a>,
    bytes: u8,
    who: &str,
    notes: &mut Notes<'_>,
) -> Vec<Function<'a>> {
    let mut list = Vec::new();
    for logical in children(channel, "LogicalChannel") {
        let usual = logical.attribute("Attribute").unwrap_or("NoFeature");
        let mut any = false;
        for node in children(logical, "ChannelFunction") {
            any = true;
            list.push(function(node, usual, bytes, who, notes));
        }
        if !any {
            list.push(bare(logical, usual, bytes));
        }
    }
    finish_spans(&mut list, bytes);
    list
}

fn function<'a>(
    node: Node<'a, 'a>,
    usual: &'a str,
    bytes: u8,
    who: &str,
    notes: &mut Notes<'_>,
) -> Function<'a> {
    let own = node.attribute("Attribute").filter(|name| !name.trim().is_empty());
    let attribute = own.filter(|name| !name.eq_ignore_ascii_case("NoFeature") || usual == "NoFeature");
    let attribute = attribute.or(own).unwrap_or(usual);
    let value = |name: &str, notes: &mut Notes<'_>| {
        let text = node.attribute(name)?;
        let value = DmxValue::read(text);
        if value.is_none() && !text.eq_ignore_ascii_case("none") && !text.is_empty() {
            notes.doubt(
                node,
                who,
                &format!("{name}=\"{text}\" is no DMX value"),
                "it is taken as not written",
            );
        }
        value
    };
    let from = value("DMXFrom", notes).unwrap_or(DmxValue::ZERO).start(bytes);
    let default = value("Default", notes).map(|value| value.wide(bytes));
    let figure = |name| node.attribute(name).and_then(number);
    let physical = match (figure("PhysicalFrom"), figure("PhysicalTo")) {
        (None, None) => None,
        (from, to) => Some((from.unwrap_or(0.0), to.unwrap_or(1.0))),
    };
    let master = node.attribute("ModeMaster").filter(|name| !name.trim().is_empty());
    let master = master.map(|name| (name, node.attribute("ModeFrom"), node.attribute("ModeTo")));
    let wheel = node.attribute("Wheel").filter(|name| !name.trim().is_empty());
    let name = node.attribute("Name").unwrap_or("");
    Function {
        node,
        name,
        attribute,
        does: Attribute::from_name(attribute.trim()),
        from,
        to: full(bytes),
        default,
        physical,
        master,
        wheel,
    }
}

/// A logical channel that lists no function does one thing over all its values.
fn bare<'a>(node: Node<'a, 'a>, attribute: &'a str, bytes: u8) -> Function<'a> {
    let (default, physical, master, wheel) = (None, None, None, None);
    let does = Attribute::from_name(attribute.trim());
    Function { node, name: "", attribute, does, from: 0, to: full(bytes), default, physical, master, wheel }
}

/// Ends of functions: before the next of the same master. What always holds ends where something with a master begins,
/// unless that begins together with it.
fn finish_spans(list: &mut [Function<'_>], bytes: u8) {
    list.sort_by_key(|function| function.from);
    let starts: Vec<(u32, Option<_>)> =
        list.iter().map(|function| (function.from, function.master)).collect();
    let first_of_masters = starts.iter().filter(|(_, master)| master.is_some()).map(|(from, _)| *from).min();
    for function in list.iter_mut() {
        let later =
            starts.iter().filter(|(from, master)| *from > function.from && *master == function.master);
        let next = later.map(|(from, _)| *from).min();
        let masters = first_of_masters.filter(|first| function.master.is_none() && *first > function.from);
        let end = next.into_iter().chain(masters).min();
        function.to = end.map_or(full(bytes), |next| next - 1);
    }
}

/// A span of a function that has a name of its own.
struct Set<'a> {
    from: u32,
    name: &'a str,
    physical: Option<(f64, f64)>,
    slot: u8,
}

/// What the functions of a channel mean, in the values of the profile's channel: one byte or two.
pub(super) fn ranges<'a>(
    functions: &[Function<'a>],
    bytes: u8,
    slots: &dyn Fn(&str, &str) -> Option<u8>,
    who: &str,
    notes: &mut Notes<'_>,
) -> Vec<Meant<'a>> {
    let mut list: Vec<Meant<'a>> = Vec::new();
    for (index, function) in functions.iter().enumerate() {
        let hidden = functions[..index]
            .iter()
            .any(|earlier| earlier.from == function.from && earlier.master == function.master);
        if hidden {
            notes.doubt(function.node, who, "two functions begin at the same value", "the first is taken");
            continue;
        }
        let before = list.len();
        meaning(function, bytes, slots, who, notes, &mut list);
        if list.len() > MOST_RANGES {
            let what = format!("the channel has more than {MOST_RANGES} ranges");
            notes.doubt(function.node, who, &what, "those of this function are taken as one");
            list.truncate(before.min(MOST_RANGES - 1));
            let kind = if before >= MOST_RANGES - 1 { RangeKind::Nothing } else { RangeKind::Select };
            list.push(whole(function, bytes, kind, ""));
        }
    }
    list
}

fn meaning<'a>(
    function: &Function<'a>,
    bytes: u8,
    slots: &dyn Fn(&str, &str) -> Option<u8>,
    who: &str,
    notes: &mut Notes<'_>,
    out: &mut Vec<Meant<'a>>,
) {
    let label = label(function.name, function.attribute);
    let family = family(function.attribute);
    let is_windowed = matches!(family, Family::Shutter | Family::Wheel | Family::Windows);
    let sets = if is_windowed { sets(function, bytes, who, notes) } else { Vec::new() };
    match family {
        Family::Nothing => out.push(whole(function, bytes, RangeKind::Nothing, &label)),
        Family::Amount | Family::Measured => out.push(level(function, bytes, &label)),
        Family::Shutter => {
            if sets.iter().any(|set| open_or_closed(set.name).is_some() || is_flat(set.physical)) {
                windows(function, bytes, &sets, out, |set, range| shutter(set, function, range));
            } else {
                out.push(whole_shutter(function, bytes, &label));
            }
        }
        Family::Wheel => {
            if sets.is_empty() {
                out.push(whole(function, bytes, RangeKind::Select, &label));
            } else {
                windows(function, bytes, &sets, out, |set, range| wheel(set, function, slots, range));
            }
        }
        Family::Windows => {
            if sets.iter().all(|set| set.name.is_empty()) {
                let is_one = sets.len() == 1 || function.attribute.to_ascii_lowercase().ends_with("reset");
                let kind = if is_one { RangeKind::Fixed } else { RangeKind::Select };
                out.push(whole(function, bytes, kind, &label));
            } else {
                windows(function, bytes, &sets, out, |set, range| window(set, range));
            }
        }
    }
}

/// The sets of a function, ascending, none before its beginning.
fn sets<'a>(function: &Function<'a>, bytes: u8, who: &str, notes: &mut Notes<'_>) -> Vec<Set<'a>> {
    let mut list: Vec<Set<'a>> = Vec::new();
    for node in children(function.node, "ChannelSet") {
        let from = node.attribute("DMXFrom").and_then(DmxValue::read).unwrap_or(DmxValue::ZERO).start(bytes);
        let figure = |name| node.attribute(name).and_then(number);
        let physical = figure("PhysicalFrom").zip(figure("PhysicalTo"));
        let slot = node.attribute("WheelSlotIndex").and_then(|text| text.trim().parse().ok()).unwrap_or(0);
        let name = node.attribute("Name").unwrap_or("").trim();
        if from > function.to {
            notes.doubt(node, who, &format!("the set \"{name}\" lies beyond its function"), "it is left out");
            continue;
        }
        list.push(Set { from: from.max(function.from), name, physical, slot });
    }
    if list.windows(2).any(|pair| pair[0].from > pair[1].from) {
        notes.doubt(function.node, who, "its sets are not in the order of their values", "they are sorted");
    }
    list.sort_by_key(|set| set.from);
    list.dedup_by_key(|set| set.from);
    if list.first().is_some_and(|first| first.from > function.from) {
        list.insert(0, Set { from: function.from, name: "", physical: None, slot: 0 });
    }
    list
}

/// One range for each set; neighbours that say nothing become one.
fn windows<'a>(
    function: &Function<'a>,
    bytes: u8,
    sets: &[Set<'a>],
    out: &mut Vec<Meant<'a>>,
    fill: impl Fn(&Set<'a>, &mut Range),
) {
    for (index, set) in sets.iter().enumerate() {
        let to = sets.get(index + 1).map_or(function.to, |next| next.from - 1);
        let mut meant = whole(function, bytes, RangeKind::Fixed, set.name);
        let (from, to) = span(set.from, to, bytes);
        meant.range.from = from;
        meant.range.to = to;
        fill(set, &mut meant.range);
        out.push(meant);
    }
}

fn shutter(set: &Set<'_>, function: &Function<'_>, range: &mut Range) {
    let said = open_or_closed(set.name);
    let flat = set.physical.filter(|ends| is_flat(Some(*ends)));
    match said.or(flat.map(|(value, _)| value)) {
        Some(value) => range.physical = Some((value, value)),
        None if set.name.is_empty() => {
            range.kind = RangeKind::Level;
            range.physical = set.physical.or(function.physical).filter(|(from, to)| !same(*from, *to));
        }
        None => range.kind = RangeKind::Select,
    }
}

/// A shutter's function without windows: by its name, or in proportion.
fn whole_shutter<'a>(function: &Function<'a>, bytes: u8, label: &str) -> Meant<'a> {
    let said = open_or_closed(function.name)
        .or(function.physical.filter(|ends| is_flat(Some(*ends))).map(|(a, _)| a));
    if let Some(value) = said {
        let mut meant = whole(function, bytes, RangeKind::Fixed, label);
        meant.range.physical = Some((value, value));
        return meant;
    }
    match function.physical {
        Some((from, to)) if !same(from, to) => {
            let mut meant = level(function, bytes, label);
            meant.range.physical = Some((from, to));
            meant
        }
        _ => whole(function, bytes, RangeKind::Select, label),
    }
}

fn wheel(
    set: &Set<'_>,
    function: &Function<'_>,
    slots: &dyn Fn(&str, &str) -> Option<u8>,
    range: &mut Range,
) {
    let is_prism = function.attribute.to_ascii_lowercase().starts_with("prism");
    if is_prism {
        let out = says_nothing(set.name) || matches!(set.name.to_ascii_lowercase().as_str(), "open" | "");
        if out {
            nothing(range);
        }
        return;
    }
    range.slot = Some(set.slot).filter(|slot| *slot > 0);
    if range.slot.is_none() && !set.name.is_empty() {
        range.slot = function.wheel.and_then(|wheel| slots(wheel, set.name));
        if range.slot.is_some() {
            range.origin = Origin::Derived;
        }
    }
    if range.slot.is_none() && set.name.is_empty() {
        range.kind = RangeKind::Select;
    }
}

fn window(set: &Set<'_>, range: &mut Range) {
    if set.name.is_empty() || says_nothing(set.name) {
        nothing(range);
    }
}

fn nothing(range: &mut Range) {
    range.attribute = Attribute::NoFeature;
    range.kind = RangeKind::Nothing;
    range.danger = None;
    range.slot = None;
}

/// A function as one range.
fn whole<'a>(function: &Function<'a>, bytes: u8, kind: RangeKind, label: &str) -> Meant<'a> {
    let (from, to) = span(function.from, function.to, bytes);
    let words = format!("{} {label}", function.name);
    let attribute = if kind == RangeKind::Nothing { Attribute::NoFeature } else { function.does.clone() };
    let danger = danger(function.attribute, &words).filter(|_| kind != RangeKind::Level);
    let range = Range {
        from,
        to,
        attribute,
        kind,
        direction: Sense::Up,
        physical: None,
        slot: None,
        when: None,
        hold: None,
        danger,
        label: plain(label),
        origin: Origin::Stated,
    };
    Meant { range, master: function.master }
}

/// A function in proportion. What runs backwards is turned round, but for angles, which keep their signs.
fn level<'a>(function: &Function<'a>, bytes: u8, label: &str) -> Meant<'a> {
    let mut meant = whole(function, bytes, RangeKind::Level, label);
    let usual = |(from, to): (f64, f64)| same(from, 0.0) && same(to, 1.0);
    let turned = |(from, to): (f64, f64)| usual((to, from));
    let angle = matches!(meant.range.attribute, Attribute::Pan | Attribute::Tilt);
    if let Some((from, to)) = function.physical {
        if from > to && !angle {
            meant.range.direction = Sense::Down;
        }
        if same(from, to) {
            // One figure for all values: they do not differ.
            meant.range.kind = RangeKind::Fixed;
        }
        if !usual((from, to)) && !turned((from, to)) {
            meant.range.physical = Some((from, to));
        }
    }
    meant
}

/// Open or closed at both ends.
fn is_flat(physical: Option<(f64, f64)>) -> bool {
    physical.is_some_and(|(from, to)| same(from, to) && (same(from, 0.0) || same(from, 1.0)))
}

/// Figures that were written alike.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// In the values of a channel of one byte or two.
fn span(from: u32, to: u32, bytes: u8) -> (u16, u16) {
    (narrow(from, bytes), narrow(to, bytes))
}

/// A value as the profile's channel has it: its two highest bytes.
pub(super) fn narrow(value: u32, bytes: u8) -> u16 {
    let kept = if bytes > 2 { value >> (8 * u32::from(bytes - 2)) } else { value };
    u16::try_from(kept).unwrap_or(u16::MAX)
}

/// What is worth writing of a function's name: files fill in "Attribute 1" where nobody wrote one.
fn label(name: &str, attribute: &str) -> String {
    let name = name.trim();
    let rest = name.strip_prefix(attribute).unwrap_or(name).trim();
    let filled_in =
        rest.is_empty() || (rest.len() < name.len() && rest.chars().all(|c| c.is_ascii_digit() || c == '.'));
    if filled_in { String::new() } else { plain(name) }
}

fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect::<String>().trim().to_owned()
}
