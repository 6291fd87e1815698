//! Modes, channels and ranges: the chart.

use lanthorn_fixture::mode::{Condition, Danger, RangeKind, Sense};
use lanthorn_fixture::{Attribute, Channel, Mode, Origin, Range};
use lanthorn_physics::units::Seconds;

use super::{does, fact};
use crate::quantity::{PLAIN, TIME};
use crate::tree::Data as Value;
use crate::walk::{Fields, Report, Spot};
use crate::words::{DANGERS, ORIGINS, RANGE_KINDS, SENSES};

/// Slots in a universe.
const SLOTS: i64 = 512;
/// Heads of one light that can be told apart.
const MOST_HEADS: i64 = 64;
/// Ranges of one channel.
const MOST_RANGES: usize = 256;

/// A mode from its table.
pub(super) fn mode(mut fields: Fields<'_>, report: &mut Report<'_>) -> Option<Mode> {
    let name = fields.need("name", "\"8 channels\"", report).and_then(|spot| report.name(&spot));
    if let Some(name) = &name {
        let outer = fields.who.rsplit_once(", ").map_or("", |(outer, _)| outer).to_owned();
        fields.called(format!("{outer}, mode \"{name}\""));
    }
    let menu = fact(fields.get("menu"), report, |report, spot| report.text(spot));
    let breaks = breaks(&fields, report);
    let heads = match fields.get("heads") {
        Some(spot) => report.whole(&spot, 1, MOST_HEADS)? as u8,
        None => 1,
    };
    let mut channels = Vec::new();
    for table in fields.tables("channel", report) {
        if let Some(list) = channel(table, heads, report) {
            channels.extend(list);
        }
    }
    channels.sort_by_key(|channel| channel.coarse);
    if channels.is_empty() {
        report.wrong_at(fields.at, &fields.who, "a mode has at least one channel", "add `[[mode.channel]]`");
    }
    places(&fields, &channels, report);
    fields.finish(report);
    Some(Mode { name: name?, menu, breaks, heads, channels })
}

/// `breaks = [12, 6]`: footprints of the breaks, where there is more than one.
fn breaks(fields: &Fields<'_>, report: &mut Report<'_>) -> Vec<u16> {
    let Some(spot) = fields.get("breaks") else { return Vec::new() };
    let items = spot.items().unwrap_or_default();
    if !(2..=16).contains(&items.len()) {
        let what = "this is a list of the footprints of 2 to 16 DMX breaks";
        report.wrong(&spot, what, "write it such as [12, 6], or leave it out for one");
    }
    items.iter().filter_map(|item| report.whole(item, 0, SLOTS)).map(|slots| slots as u16).collect()
}

/// No place twice, and conditions on channels that exist.
fn places(fields: &Fields<'_>, channels: &[Channel], report: &mut Report<'_>) {
    let mut taken: Vec<(u16, &str)> = Vec::new();
    for channel in channels {
        taken.push((channel.coarse, &channel.name));
        taken.extend(channel.fine.map(|fine| (fine, channel.name.as_str())));
    }
    taken.sort_unstable();
    for pair in taken.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
        let what = format!("\"{}\" and \"{}\" are both at place {}", pair[0].1, pair[1].1, pair[0].0);
        report.wrong_at(
            fields.at,
            &fields.who,
            &what,
            "one place holds one byte: check `at` against the chart",
        );
    }
    let conditions = channels.iter().flat_map(|channel| channel.ranges.iter().filter_map(|range| range.when));
    for condition in conditions {
        let known = channels.iter().find(|channel| channel.coarse == condition.channel);
        if known.is_none_or(|channel| condition.to > channel.full()) {
            let what = format!("a range depends on values that channel {} does not have", condition.channel);
            report.wrong_at(
                fields.at,
                &fields.who,
                &what,
                "name a channel by its (coarse) place in the mode",
            );
        }
    }
}

/// A channel, or the same channel for every head.
fn channel(mut fields: Fields<'_>, heads: u8, report: &mut Report<'_>) -> Option<Vec<Channel>> {
    let at = fields.need("at", "1", report).and_then(|spot| place(&spot, report));
    let name = fields.need("name", "\"dimmer\"", report).and_then(|spot| report.name(&spot));
    if let Some(name) = &name {
        let outer = fields.who.rsplit_once(", ").map_or("", |(outer, _)| outer).to_owned();
        fields.called(format!("{outer}, channel \"{name}\""));
    }
    let full = if at.is_some_and(|(_, fine)| fine.is_some()) { u16::MAX } else { u16::from(u8::MAX) };
    let head = match fields.get("head") {
        Some(spot) => Some(report.whole(&spot, 1, i64::from(heads))? as u8 - 1),
        None => None,
    };
    let home = fact(fields.get("home"), report, |report, spot| {
        report.whole(spot, 0, i64::from(full)).map(|value| value as u16)
    });
    let each_head = match fields.get("each_head") {
        Some(spot) => Some(report.whole(&spot, 1, SLOTS)? as u16),
        None => None,
    };
    let ranges = ranges(&fields, full, report);
    fields.finish(report);
    let ((coarse, fine), name) = (at?, name?);
    let one = Channel { name, coarse, fine, head, home, ranges };
    match each_head {
        None => Some(vec![one]),
        Some(stride) => repeated(&fields, &one, stride, heads, report),
    }
}

fn repeated(
    fields: &Fields<'_>,
    one: &Channel,
    stride: u16,
    heads: u8,
    report: &mut Report<'_>,
) -> Option<Vec<Channel>> {
    let mut list = Vec::new();
    for head in 0..heads {
        let shift = stride * u16::from(head);
        let name = format!("{} {}", one.name, head + 1);
        let fine = one.fine.map(|fine| fine + shift);
        list.push(Channel { name, coarse: one.coarse + shift, fine, head: Some(head), ..one.clone() });
    }
    if list.iter().any(|channel| i64::from(channel.coarse.max(channel.fine.unwrap_or(0))) > SLOTS) {
        report.wrong_at(
            fields.at,
            &fields.who,
            "repeated for each head it runs past place 512",
            "check `each_head`",
        );
        return None;
    }
    Some(list)
}

/// `at = 3`, or `at = [1, 3]` for a coarse and a fine byte.
fn place(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<(u16, Option<u16>)> {
    if matches!(spot.node.data, Value::List(_)) {
        let [coarse, fine] = report.several(spot, "[1, 2]: coarse and fine place")?;
        let coarse = report.whole(&coarse, 1, SLOTS)?;
        let fine = report.whole(&fine, 1, SLOTS)?;
        return Some((coarse as u16, Some(fine as u16)));
    }
    report.whole(spot, 1, SLOTS).map(|coarse| (coarse as u16, None))
}

fn ranges(fields: &Fields<'_>, full: u16, report: &mut Report<'_>) -> Vec<Range> {
    if fields.get("ranges").is_none() {
        // One meaning for all values, written on the channel itself.
        return range(fields, Some((0, full)), full, report).into_iter().collect();
    }
    let list = each_range(fields, full, report);
    for (index, later) in list.iter().enumerate() {
        let clash = list[..index].iter().find(|earlier| {
            earlier.to >= later.from
                && earlier.from <= later.to
                && (earlier.when.is_none() || earlier.when == later.when)
        });
        if let Some(earlier) = clash {
            let what =
                format!("the ranges {}-{} and {}-{} overlap", earlier.from, earlier.to, later.from, later.to);
            report.wrong_at(
                fields.at,
                &fields.who,
                &what,
                "check both against the chart, or say when each applies",
            );
        }
    }
    list
}

fn each_range(fields: &Fields<'_>, full: u16, report: &mut Report<'_>) -> Vec<Range> {
    let mut list = Vec::new();
    let tables = fields.tables("ranges", report);
    if tables.len() > MOST_RANGES {
        report.wrong_at(
            fields.at,
            &fields.who,
            "a channel has at most 256 ranges",
            "join ranges that mean the same",
        );
        return list;
    }
    for table in tables {
        let values = table.need("values", "\"0-255\"", report).and_then(|spot| values(&spot, full, report));
        if let Some(range) = range(&table, values, full, report) {
            list.push(range);
        }
        table.finish(report);
    }
    list
}

/// `values = "8-134"` or `values = 8`.
fn values(spot: &Spot<'_>, full: u16, report: &mut Report<'_>) -> Option<(u16, u16)> {
    let read = match &spot.node.data {
        Value::Whole(whole) => u16::try_from(*whole).ok().map(|value| (value, value)),
        Value::Text(text) => {
            let (from, to) = text.split_once(['-', '–']).unwrap_or((text, text));
            from.trim().parse().ok().zip(to.trim().parse().ok())
        }
        _ => None,
    };
    match read {
        Some((from, to)) if from <= to && to <= full => Some((from, to)),
        _ => {
            report.wrong(
                spot,
                &format!("values run from 0 to {full}, the lower one first"),
                "write it such as \"8-134\"",
            );
            None
        }
    }
}

/// The keys that say what a range means.
fn range(
    fields: &Fields<'_>,
    values: Option<(u16, u16)>,
    full: u16,
    report: &mut Report<'_>,
) -> Option<Range> {
    let does = fields.get("does").and_then(|spot| does(&spot, report));
    let slot = fields.get("slot").and_then(|spot| report.whole(&spot, 1, 255)).map(|slot| slot as u8);
    let usual = match (&does, slot) {
        (None, _) => RangeKind::Nothing,
        (Some(Attribute::NoFeature), _) => RangeKind::Nothing,
        (Some(_), Some(_)) => RangeKind::Fixed,
        (Some(_), None) => RangeKind::Level,
    };
    let kind = fields.get("kind").and_then(|spot| report.choice(&spot, RANGE_KINDS)).unwrap_or(usual);
    let direction = fields.get("sense").and_then(|spot| report.choice(&spot, SENSES)).unwrap_or(Sense::Up);
    let physical = fields.get("physical").and_then(|spot| physical(&spot, report));
    let when = fields.get("when").and_then(|spot| condition(&spot, report));
    let hold =
        fields.get("hold").and_then(|spot| report.measure(&spot, TIME.between(0.0, 600.0))).map(Seconds::new);
    let danger: Option<Danger> = fields.get("danger").and_then(|spot| report.choice(&spot, DANGERS));
    let label = fields.get("label").and_then(|spot| report.text(&spot)).unwrap_or_default();
    let origin =
        fields.get("origin").and_then(|spot| report.choice(&spot, ORIGINS)).unwrap_or(Origin::Stated);
    let (from, to) = values.filter(|(_, to)| *to <= full)?;
    let attribute = does.unwrap_or(Attribute::NoFeature);
    Some(Range { from, to, attribute, kind, direction, physical, slot, when, hold, danger, label, origin })
}

/// `physical = 1` for the same at both ends, or `physical = [1, 25]`.
fn physical(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<(f64, f64)> {
    if matches!(spot.node.data, Value::List(_)) {
        let [from, to] = report.several(spot, "[-270, 270]")?;
        let (from, to) = (report.measure(&from, PLAIN), report.measure(&to, PLAIN));
        return from.zip(to);
    }
    report.measure(spot, PLAIN).map(|value| (value, value))
}

/// `when = { channel = 1, values = "0-9" }`.
fn condition(spot: &Spot<'_>, report: &mut Report<'_>) -> Option<Condition> {
    let fields = spot.fields(format!("{}, when", spot.who), report)?;
    let channel = fields.need("channel", "1", report).and_then(|spot| report.whole(&spot, 1, SLOTS));
    let values = fields.need("values", "\"0-9\"", report).and_then(|spot| values(&spot, u16::MAX, report));
    fields.finish(report);
    let (from, to) = values?;
    Some(Condition { channel: channel? as u16, from, to })
}
